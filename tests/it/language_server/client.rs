//! A client that talks to the program on its standard streams.

use std::io::{BufRead, BufReader, Read, Write};
use std::process::{Child, ChildStdin, Command, ExitStatus, Stdio};
use std::sync::mpsc::{self, Receiver};
use std::thread;
use std::time::{Duration, Instant};

use serde_json::{Value, json};

/// The address of the document of every test.
pub const ADDRESS: &str = "file:///home/me/w.md";

/// After so long an answer does not come any more.
const PATIENCE: Duration = Duration::from_secs(60);

/// A program that answers, and what it has said so far.
pub struct Client {
    child: Child,
    input: Option<ChildStdin>,
    messages: Receiver<Value>,
    /// What was pushed and not looked at yet.
    pushed: Vec<Value>,
    next_id: u64,
}

impl Client {
    /// Starts the program, and says nothing.
    pub fn start() -> Self {
        let mut child = Command::new(env!("CARGO_BIN_EXE_setsquare"))
            .arg("language-server")
            .stdin(Stdio::piped())
            .stdout(Stdio::piped())
            .stderr(Stdio::piped())
            .spawn()
            .unwrap();
        let output = BufReader::new(child.stdout.take().unwrap());
        Self {
            input: child.stdin.take(),
            child,
            messages: listen(output),
            pushed: Vec::new(),
            next_id: 1,
        }
    }

    /// Starts the program and greets it.
    pub fn greet(encodings: &[&str]) -> Self {
        let mut client = Self::start();
        let capabilities = json!({ "general": { "positionEncodings": encodings } });
        let params = json!({ "processId": null, "rootUri": null, "capabilities": capabilities });
        client.ask("initialize", params).unwrap();
        client.tell("initialized", json!({}));
        client
    }

    /// Greets the program and opens the document of the test.
    pub fn open(text: &str) -> Self {
        let mut client = Self::greet(&["utf-16"]);
        client.open_document(text);
        client
    }

    /// Opens the document of the test.
    pub fn open_document(&mut self, text: &str) {
        let document =
            json!({ "uri": ADDRESS, "languageId": "markdown", "version": 1, "text": text });
        self.tell("textDocument/didOpen", json!({ "textDocument": document }));
    }

    /// Edits the document of the test.
    pub fn edit(&mut self, version: i64, changes: Value) {
        let document = json!({ "uri": ADDRESS, "version": version });
        let params = json!({ "textDocument": document, "contentChanges": changes });
        self.tell("textDocument/didChange", params);
    }

    /// Sends bytes as they are; a program that has left does not take them.
    pub fn send_bytes(&mut self, bytes: &[u8]) {
        if let Some(input) = &mut self.input {
            let _ = input.write_all(bytes).and_then(|()| input.flush());
        }
    }

    /// Sends a message.
    pub fn send(&mut self, mut message: Value) {
        message["jsonrpc"] = json!("2.0");
        let text = message.to_string();
        self.send_bytes(format!("Content-Length: {}\r\n\r\n{text}", text.len()).as_bytes());
    }

    /// Sends a notification.
    pub fn tell(&mut self, method: &str, params: Value) {
        self.send(json!({ "method": method, "params": params }));
    }

    /// Sends a request and does not wait; its number.
    pub fn begin(&mut self, method: &str, params: Value) -> u64 {
        let id = self.next_id;
        self.next_id += 1;
        self.send(json!({ "id": id, "method": method, "params": params }));
        id
    }

    /// Sends a request; its result, or the code and sentence of its refusal.
    pub fn ask(&mut self, method: &str, params: Value) -> Result<Value, (i64, String)> {
        let id = self.begin(method, params);
        self.answer(&json!(id))
    }

    /// The answer to a request.
    pub fn answer(&mut self, id: &Value) -> Result<Value, (i64, String)> {
        let found = self
            .pushed
            .iter()
            .position(|message| is_answer(message, id));
        let message = match found {
            Some(at) => self.pushed.remove(at),
            None => self.wait_for(|message| is_answer(message, id)),
        };
        match message.get("error") {
            Some(error) => Err((
                error["code"].as_i64().unwrap(),
                error["message"].as_str().unwrap().to_owned(),
            )),
            None => Ok(message["result"].clone()),
        }
    }

    /// What is wrong with a version of the document of the test, once it is said.
    pub fn diagnostics(&mut self, version: i64) -> Value {
        let is_it = |message: &Value| {
            message["method"] == "textDocument/publishDiagnostics"
                && message["params"]["version"] == version
        };
        let found = self.pushed.iter().position(is_it);
        let message = match found {
            Some(at) => self.pushed.remove(at),
            None => self.wait_for(is_it),
        };
        message["params"]["diagnostics"].clone()
    }

    /// The next notification with this method.
    pub fn pushed(&mut self, method: &str) -> Value {
        let is_it = |message: &Value| message["method"] == method;
        match self.pushed.iter().position(is_it) {
            Some(at) => self.pushed.remove(at),
            None => self.wait_for(is_it),
        }
    }

    fn wait_for(&mut self, is_it: impl Fn(&Value) -> bool) -> Value {
        let deadline = Instant::now() + PATIENCE;
        loop {
            let left = deadline.saturating_duration_since(Instant::now());
            let message = self.messages.recv_timeout(left).expect("an answer in time");
            if is_it(&message) {
                return message;
            }
            self.pushed.push(message);
        }
    }

    /// Closes the input and waits for the end; the status, and what was said on standard error.
    pub fn end(mut self) -> (ExitStatus, String) {
        self.input = None;
        let deadline = Instant::now() + PATIENCE;
        let status = loop {
            if let Some(status) = self.child.try_wait().unwrap() {
                break status;
            }
            assert!(Instant::now() < deadline, "the program ends");
            thread::yield_now();
        };
        let mut errors = String::new();
        let mut stderr = self.child.stderr.take().unwrap();
        stderr.read_to_string(&mut errors).unwrap();
        (status, errors)
    }
}

impl Drop for Client {
    fn drop(&mut self) {
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

fn is_answer(message: &Value, id: &Value) -> bool {
    message.get("method").is_none() && message.get("id") == Some(id)
}

/// Reads what the program says, on a thread of its own.
fn listen(mut output: impl BufRead + Send + 'static) -> Receiver<Value> {
    let (sender, receiver) = mpsc::channel();
    thread::spawn(move || {
        while let Some(message) = read(&mut output) {
            if sender.send(message).is_err() {
                return;
            }
        }
    });
    receiver
}

fn read(output: &mut impl BufRead) -> Option<Value> {
    let mut header = String::new();
    output.read_line(&mut header).ok()?;
    let length = header
        .strip_prefix("Content-Length: ")?
        .trim()
        .parse()
        .ok()?;
    let mut blank = String::new();
    output.read_line(&mut blank).ok()?;
    assert_eq!(blank, "\r\n");
    let mut content = vec![0; length];
    output.read_exact(&mut content).ok()?;
    Some(serde_json::from_slice(&content).unwrap())
}
