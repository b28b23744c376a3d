//! The conversation with one client, from its greeting to its leave.
//!
//! In go events in their order, out go messages. Edits are applied as they come; a document is
//! compiled when a request needs it or nothing else waits, so that a burst of edits is compiled
//! once. A panic is caught here and told; it ends neither the server nor the document.

use std::collections::BTreeMap;
use std::io::{self, BufRead, Write};
use std::panic::{AssertUnwindSafe, catch_unwind};

use lsp_server::{ErrorCode, Message, Notification, Request, ResponseError};
use lsp_types::{
    DidChangeTextDocumentParams, DidCloseTextDocumentParams, DidOpenTextDocumentParams,
    InitializeParams, MessageType, ServerInfo,
};
use serde::Serialize;
use serde_json::{Value, json};

use super::documents::Document;
use super::places::Encoding;
use super::queue::{Event, Queue};
use super::requests::{Answer, Question, Refusal, document_of, read};
use super::{capabilities, diagnostics, frames};

/// How a conversation ended.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Ending {
    /// The client said that it was leaving, and left.
    Proper,
    /// The client left without a word.
    Abrupt,
}

/// How far a conversation is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Stage {
    /// The client has not greeted yet.
    Silent,
    /// Documents are worked on.
    Open,
    /// The client has said that it is leaving.
    Leaving,
}

/// Answers the client on the two streams until it leaves.
///
/// # Errors
/// When a stream fails, or no message can be found in what the client sends.
pub fn serve(input: impl BufRead + Send + 'static, output: impl Write) -> io::Result<Ending> {
    let mut queue = Queue::listen(input);
    let mut server = Server::new(output);
    loop {
        let Some(event) = queue.next(server.is_behind()) else {
            server.catch_up()?;
            continue;
        };
        if let Some(ending) = server.take(event)? {
            return Ok(ending);
        }
    }
}

/// One conversation.
struct Server<W> {
    output: W,
    stage: Stage,
    encoding: Encoding,
    /// The open documents, by their addresses.
    documents: BTreeMap<String, Document>,
}

impl<W: Write> Server<W> {
    fn new(output: W) -> Self {
        Self {
            output,
            stage: Stage::Silent,
            encoding: Encoding::default(),
            documents: BTreeMap::new(),
        }
    }

    /// Takes one event; the ending, when it is the last.
    fn take(&mut self, event: Event) -> io::Result<Option<Ending>> {
        match event {
            Event::Message(Message::Request(request)) => self.request(request)?,
            Event::Message(Message::Notification(notification)) => {
                if notification.method == "exit" {
                    return Ok(Some(self.ending()));
                }
                self.notification(notification)?;
            }
            // Nothing is asked of clients.
            Event::Message(Message::Response(_)) => {}
            Event::Unreadable(refusal) => self.respond(Value::Null, Err(refusal))?,
            Event::Cancelled(id) => {
                let refusal = Refusal::new(ErrorCode::RequestCanceled, "cancelled");
                self.respond(json!(id), Err(refusal))?;
            }
            Event::Outdated(id) => {
                let refusal = Refusal::new(ErrorCode::ContentModified, "edited meanwhile");
                self.respond(json!(id), Err(refusal))?;
            }
            Event::Closed(end) => return end.map(|()| Some(self.ending())),
        }
        Ok(None)
    }

    fn ending(&self) -> Ending {
        match self.stage {
            Stage::Leaving => Ending::Proper,
            Stage::Silent | Stage::Open => Ending::Abrupt,
        }
    }

    fn request(&mut self, request: Request) -> io::Result<()> {
        let id = json!(request.id);
        let answer = match (self.stage, request.method.as_str()) {
            (Stage::Silent, "initialize") => self.greet(request.params),
            (Stage::Silent, _) => Err(Refusal::new(
                ErrorCode::ServerNotInitialized,
                "`initialize` comes first",
            )),
            (Stage::Leaving, _) => Err(Refusal::new(
                ErrorCode::InvalidRequest,
                "nothing is answered after `shutdown`",
            )),
            (Stage::Open, "initialize") => Err(Refusal::new(
                ErrorCode::InvalidRequest,
                "`initialize` comes only once",
            )),
            (Stage::Open, "shutdown") => {
                self.stage = Stage::Leaving;
                Ok(Value::Null)
            }
            (Stage::Open, _) => self.question(request)?,
        };
        self.respond(id, answer)
    }

    fn greet(&mut self, params: Value) -> Answer {
        let params: InitializeParams = read(params)?;
        let offered = params
            .capabilities
            .general
            .and_then(|general| general.position_encodings);
        self.encoding = Encoding::best(&offered.unwrap_or_default());
        self.stage = Stage::Open;
        let info = ServerInfo {
            name: "setsquare".to_owned(),
            version: Some(env!("CARGO_PKG_VERSION").to_owned()),
        };
        let capabilities = capabilities::capabilities(self.encoding);
        Ok(json!({ "capabilities": capabilities, "serverInfo": info }))
    }

    /// Answers a question about a document; the error is that of the stream.
    fn question(&mut self, request: Request) -> io::Result<Answer> {
        let uri = document_of(&request.params).unwrap_or("").to_owned();
        let question = match Question::read(&request.method, request.params) {
            Some(Ok(question)) => question,
            Some(Err(refusal)) => return Ok(Err(refusal)),
            None => {
                let message = format!("`{}` is not known here", request.method);
                return Ok(Err(Refusal::new(ErrorCode::MethodNotFound, message)));
            }
        };
        self.compile(&uri)?;
        let Some(document) = self.documents.get(&uri) else {
            let message = format!("`{uri}` is not open");
            return Ok(Err(Refusal::new(ErrorCode::InvalidParams, message)));
        };
        Ok(guarded(&request.method, || question.answer(document)))
    }

    fn notification(&mut self, notification: Notification) -> io::Result<()> {
        if self.stage != Stage::Open {
            return Ok(());
        }
        let taken = match notification.method.as_str() {
            "textDocument/didOpen" => read(notification.params).map(|params| self.open(params)),
            "textDocument/didChange" => read(notification.params).map(|params| self.edit(params)),
            "textDocument/didClose" => match read(notification.params) {
                Ok(params) => return self.close(&params),
                Err(refusal) => Err(refusal),
            },
            _ => Ok(()),
        };
        match taken {
            Ok(()) => Ok(()),
            Err(refusal) => self.tell(
                MessageType::ERROR,
                &format!("`{}` has {}", notification.method, refusal.message),
            ),
        }
    }

    fn open(&mut self, params: DidOpenTextDocumentParams) {
        let uri = params.text_document.uri.as_str().to_owned();
        let document = Document::open(params.text_document, self.encoding);
        self.documents.insert(uri, document);
    }

    fn edit(&mut self, params: DidChangeTextDocumentParams) {
        let text = params.text_document;
        if let Some(document) = self.documents.get_mut(text.uri.as_str()) {
            document.edit(text.version, params.content_changes);
        }
    }

    fn close(&mut self, params: &DidCloseTextDocumentParams) -> io::Result<()> {
        let uri = &params.text_document.uri;
        self.documents.remove(uri.as_str());
        let nothing = diagnostics::none(uri);
        self.notify("textDocument/publishDiagnostics", nothing)
    }

    /// Whether a document was edited since it was compiled.
    fn is_behind(&self) -> bool {
        self.documents.values().any(Document::is_behind)
    }

    /// Compiles one of the documents that were edited.
    fn catch_up(&mut self) -> io::Result<()> {
        let behind = self
            .documents
            .iter()
            .find(|(_, document)| document.is_behind());
        match behind.map(|(uri, _)| uri.clone()) {
            Some(uri) => self.compile(&uri),
            None => Ok(()),
        }
    }

    /// Compiles a document if it was edited, and says what is wrong with it.
    fn compile(&mut self, uri: &str) -> io::Result<()> {
        let Some(document) = self.documents.get_mut(uri) else {
            return Ok(());
        };
        if !document.is_behind() {
            return Ok(());
        }
        if catch_unwind(AssertUnwindSafe(|| document.compile())).is_err() {
            document.give_up();
            let message = "setsquare failed at this text; please report it, and edit on";
            self.tell(MessageType::ERROR, message)?;
        }
        match self.documents.get(uri).map(diagnostics::diagnostics) {
            Some(found) => self.notify("textDocument/publishDiagnostics", found),
            None => Ok(()),
        }
    }

    fn respond(&mut self, id: Value, answer: Answer) -> io::Result<()> {
        let message = match answer {
            Ok(result) => json!({ "id": id, "result": result }),
            Err(refusal) => json!({ "id": id, "error": ResponseError::from(refusal) }),
        };
        frames::write(&mut self.output, message)
    }

    fn notify(&mut self, method: &str, params: impl Serialize) -> io::Result<()> {
        frames::write(
            &mut self.output,
            json!({ "method": method, "params": params }),
        )
    }

    fn tell(&mut self, kind: MessageType, message: &str) -> io::Result<()> {
        self.notify(
            "window/logMessage",
            json!({ "type": kind, "message": message }),
        )
    }
}

/// An answer, or the refusal that says that setsquare itself failed.
fn guarded(method: &str, answer: impl FnOnce() -> Answer) -> Answer {
    catch_unwind(AssertUnwindSafe(answer)).unwrap_or_else(|_| {
        let message = format!("setsquare failed at `{method}`; please report it");
        Err(Refusal::new(ErrorCode::InternalError, message))
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::io::Cursor;

    /// What the server answers to messages, without the frames.
    fn conversation(messages: &[Value]) -> (Vec<Value>, Ending) {
        let mut input = Vec::new();
        for message in messages {
            frames::write(&mut input, message.clone()).unwrap();
        }
        let mut output = Vec::new();
        let ending = serve(Cursor::new(input), &mut output).unwrap();
        (unframed(&output), ending)
    }

    fn unframed(mut bytes: &[u8]) -> Vec<Value> {
        let mut found = Vec::new();
        while let Some(at) = bytes.windows(4).position(|four| four == b"\r\n\r\n") {
            let header = std::str::from_utf8(&bytes[..at]).unwrap();
            let length: usize = header.rsplit(' ').next().unwrap().parse().unwrap();
            found.push(serde_json::from_slice(&bytes[at + 4..at + 4 + length]).unwrap());
            bytes = &bytes[at + 4 + length..];
        }
        found
    }

    fn request(id: u32, method: &str, params: Value) -> Value {
        json!({ "id": id, "method": method, "params": params })
    }

    fn greeting() -> Value {
        request(0, "initialize", json!({ "capabilities": {} }))
    }

    fn opened(text: &str) -> Value {
        let document =
            json!({ "uri": "file:///w.md", "languageId": "m", "version": 1, "text": text });
        json!({ "method": "textDocument/didOpen", "params": { "textDocument": document } })
    }

    fn edit(version: u32, text: &str) -> Value {
        let document = json!({ "uri": "file:///w.md", "version": version });
        let params = json!({ "textDocument": document, "contentChanges": [{ "text": text }] });
        json!({ "method": "textDocument/didChange", "params": params })
    }

    fn codes(answers: &[Value]) -> Vec<String> {
        answers
            .iter()
            .map(|answer| format!("{}:{}", answer["id"], answer["error"]["code"]))
            .collect()
    }

    #[test]
    fn a_proper_conversation_ends_properly() {
        let (answers, ending) = conversation(&[
            greeting(),
            json!({ "method": "initialized", "params": {} }),
            request(1, "shutdown", Value::Null),
            json!({ "method": "exit" }),
        ]);
        assert_eq!(ending, Ending::Proper);
        assert_eq!(codes(&answers), ["0:null", "1:null"]);
        assert_eq!(
            answers[0]["result"]["capabilities"]["positionEncoding"],
            "utf-16"
        );
        assert_eq!(answers[0]["jsonrpc"], "2.0");
        assert_eq!(answers[1].get("result"), Some(&Value::Null));
    }

    #[test]
    fn whoever_leaves_without_a_word_leaves_abruptly() {
        let exit = json!({ "method": "exit" });
        assert_eq!(conversation(&[greeting(), exit.clone()]).1, Ending::Abrupt);
        assert_eq!(conversation(&[exit]).1, Ending::Abrupt);
        assert_eq!(conversation(&[greeting()]).1, Ending::Abrupt);
        assert_eq!(conversation(&[]).1, Ending::Abrupt);
    }

    #[test]
    fn a_failure_of_the_program_is_an_answer() {
        assert_eq!(guarded("a", || Ok(json!(2))), Ok(json!(2)));
        let failed = guarded("a", || panic!("on purpose")).unwrap_err();
        assert_eq!(failed.code, -32603);
        assert_eq!(failed.message, "setsquare failed at `a`; please report it");
    }

    #[test]
    fn requests_out_of_turn_are_refused() {
        let place = json!({ "textDocument": { "uri": "file:///none" }, "position": { "line": 0, "character": 0 } });
        let (answers, _) = conversation(&[
            request(1, "textDocument/hover", place.clone()),
            greeting(),
            greeting(),
            request(2, "textDocument/hover", place.clone()),
            request(3, "textDocument/hover", json!({ "textDocument": 3 })),
            request(4, "workspace/wish", Value::Null),
            request(5, "shutdown", Value::Null),
            request(6, "textDocument/hover", place),
        ]);
        assert_eq!(
            codes(&answers),
            [
                "1:-32002", "0:null", "0:-32600", "2:-32602", "3:-32602", "4:-32601", "5:null",
                "6:-32600"
            ]
        );
    }

    #[test]
    fn a_burst_of_edits_is_compiled_once() {
        let mut messages = vec![greeting(), opened("")];
        let texts: Vec<String> = (2..200)
            .map(|at| format!("```check\n{at} < 0\n```\n"))
            .collect();
        messages.extend(
            texts
                .iter()
                .zip(2..)
                .map(|(text, version)| edit(version, text)),
        );
        // All has come before the first is looked at.
        let mut input = Vec::new();
        for message in messages {
            frames::write(&mut input, message).unwrap();
        }
        let mut queue = Queue::listen(Cursor::new(input));
        let mut output = Vec::new();
        let mut server = Server::new(&mut output);
        let mut waiting = Vec::new();
        loop {
            match queue.next(false) {
                Some(Event::Closed(_)) => break,
                Some(event) => waiting.push(event),
                None => {}
            }
        }
        for event in waiting {
            server.take(event).unwrap();
        }
        while server.is_behind() {
            server.catch_up().unwrap();
        }
        let published: Vec<Value> = unframed(&output).split_off(1);
        assert_eq!(published.len(), 1);
        assert_eq!(published[0]["params"]["version"], 199);
        assert_eq!(published[0]["params"]["diagnostics"][0]["code"], "C01");
    }

    #[test]
    fn diagnostics_are_pushed_and_taken_back() {
        let close = json!({ "method": "textDocument/didClose", "params": { "textDocument": { "uri": "file:///w.md" } } });
        let hover = json!({ "textDocument": { "uri": "file:///w.md" }, "position": { "line": 0, "character": 0 } });
        let text = "```given\na = 2 m\na = 3 m\n```\n";
        let (answers, _) = conversation(&[
            greeting(),
            opened(text),
            request(1, "textDocument/hover", hover),
            close,
        ]);
        let found = &answers[1]["params"]["diagnostics"][0];
        assert_eq!(found["code"], "N02");
        assert_eq!(found["severity"], 1);
        assert_eq!(found["source"], "setsquare");
        assert_eq!(
            found["range"],
            json!({ "start": { "line": 2, "character": 0 }, "end": { "line": 2, "character": 1 } })
        );
        let message = found["message"].as_str().unwrap();
        assert!(message.contains("\nWrite instead: "), "{message}");
        assert_eq!(
            found["relatedInformation"][0]["location"]["range"]["start"]["line"],
            1
        );
        assert_eq!(answers[1]["params"]["version"], 1);
        assert_eq!(answers[3]["params"]["diagnostics"], json!([]));
    }

    #[test]
    fn notifications_that_cannot_be_read_are_told_and_passed_over() {
        let (answers, _) = conversation(&[
            greeting(),
            json!({ "method": "textDocument/didOpen", "params": {} }),
            json!({ "method": "$/unknown" }),
            edit(2, "for a document that is not open"),
            request(1, "shutdown", Value::Null),
        ]);
        assert_eq!(answers.len(), 3);
        assert_eq!(answers[1]["method"], "window/logMessage");
        assert_eq!(answers[2]["id"], 1);
    }
}
