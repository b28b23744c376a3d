//! The program, serving a folder of its own on a free port.

use std::fs::{self, File};
use std::io::{BufRead, BufReader, Read, Write};
use std::net::{Ipv4Addr, TcpStream};
use std::path::PathBuf;
use std::process::{Child, Command, Stdio};
use std::time::{Duration, Instant};

use tempfile::TempDir;

/// How long anything may take that should come at once; a machine may be busy.
pub const PATIENCE: Duration = Duration::from_secs(30);

/// Where the messages of the program are kept, beside the folder that it serves.
const MESSAGES: &str = "messages";

/// A worksheet with a result that the force decides.
pub fn sheet(force: u32) -> String {
    format!("# Rod\n\n```given\nF = {force}.0 kN\n```\n\n```work\nR = 2 F = ? kN\n```\n")
}

/// The result as it is printed.
pub fn result(force: u32) -> String {
    format!("<mn>{}.00</mn><mtext> kN</mtext>", 2 * force)
}

/// The program and the folder that it serves. What stands outside the served folder, `root`, is
/// beside it.
pub struct Program {
    pub folder: TempDir,
    pub port: u16,
    child: Child,
}

impl Program {
    /// Serves a folder with these files.
    pub fn with(files: &[(&str, &str)]) -> Self {
        let folder = tempfile::tempdir().unwrap();
        for (name, text) in files {
            write(&folder, name, text);
        }
        Self::start(folder, "", 0)
    }

    /// Serves what stands at a path below the root, at this port (0: any).
    pub fn start(folder: TempDir, path: &str, port: u16) -> Self {
        let root = folder.path().join("root");
        fs::create_dir_all(&root).unwrap();
        let mut child = Command::new(env!("CARGO_BIN_EXE_setsquare"))
            .args(["live", "--no-open", "--port", &port.to_string()])
            .arg(root.join(path))
            .stdout(Stdio::piped())
            .stderr(File::create(folder.path().join(MESSAGES)).unwrap())
            .spawn()
            .unwrap();
        let mut line = String::new();
        let mut out = BufReader::new(child.stdout.take().unwrap());
        out.read_line(&mut line).unwrap();
        let (_, after) = line.split_once("http://127.0.0.1:").expect("an address");
        let (port, _) = after.split_once('/').unwrap();
        let port = port.parse().unwrap();
        Self {
            folder,
            port,
            child,
        }
    }

    /// Ends it, and starts another on the same port.
    pub fn start_again(mut self) -> Self {
        self.end();
        let folder = std::mem::replace(&mut self.folder, tempfile::tempdir().unwrap());
        Self::start(folder, "", self.port)
    }

    fn end(&mut self) {
        // It may have ended by itself, which the test says.
        let _ = self.child.kill();
        self.child.wait().unwrap();
    }

    pub fn path(&self, name: &str) -> PathBuf {
        self.folder.path().join("root").join(name)
    }

    pub fn write(&self, name: &str, text: &str) {
        write(&self.folder, name, text);
    }

    /// What it said on standard error.
    pub fn messages(&self) -> String {
        fs::read_to_string(self.folder.path().join(MESSAGES)).unwrap()
    }

    #[cfg(target_os = "linux")]
    pub fn process(&self) -> PathBuf {
        PathBuf::from(format!("/proc/{}", self.child.id()))
    }

    pub fn host(&self) -> String {
        format!("127.0.0.1:{}", self.port)
    }

    pub fn connect(&self) -> TcpStream {
        let stream = TcpStream::connect((Ipv4Addr::LOCALHOST, self.port)).unwrap();
        stream.set_read_timeout(Some(PATIENCE)).unwrap();
        stream
    }

    /// Sends these bytes, and reads to the end.
    pub fn send(&self, request: &str) -> Answer {
        let mut stream = self.connect();
        // A request that is refused early is not read to its end.
        let _ = stream.write_all(request.as_bytes());
        Answer::read(stream)
    }

    /// Asks for a path, with these lines after the host's.
    pub fn ask(&self, path: &str, lines: &str) -> Answer {
        let host = self.host();
        self.send(&format!(
            "GET {path} HTTP/1.1\r\nHost: {host}\r\n{lines}\r\n"
        ))
    }

    pub fn get(&self, path: &str) -> Answer {
        self.ask(path, "")
    }

    /// That it still answers, after whatever was done to it.
    #[track_caller]
    pub fn is_well(&self) {
        self.get("/-/live.js").is(200);
    }
}

impl Drop for Program {
    fn drop(&mut self) {
        self.end();
    }
}

fn write(folder: &TempDir, name: &str, text: &str) {
    let path = folder.path().join("root").join(name);
    fs::create_dir_all(path.parent().unwrap()).unwrap();
    fs::write(path, text).unwrap();
}

/// What was answered.
#[derive(Debug)]
pub struct Answer {
    pub status: u16,
    pub head: String,
    pub body: String,
}

impl Answer {
    /// Reads to the end of the connection; one that is cut off has the status 0.
    pub fn read(mut stream: TcpStream) -> Self {
        let mut bytes = Vec::new();
        // A connection that is reset has ended, too.
        let _ = stream.read_to_end(&mut bytes);
        let text = String::from_utf8_lossy(&bytes);
        let (head, body) = text.split_once("\r\n\r\n").unwrap_or((&text, ""));
        let status = head.split(' ').nth(1).unwrap_or("0");
        Self {
            status: status.parse().unwrap_or(0),
            head: head.to_lowercase(),
            body: plain(body),
        }
    }

    #[track_caller]
    pub fn is(self, status: u16) -> Self {
        assert_eq!(self.status, status, "{self:?}");
        self
    }

    #[track_caller]
    pub fn shows(self, text: &str) -> Self {
        assert!(self.body.contains(text), "no `{text}` in {self:?}");
        self
    }

    /// The value of an attribute of the page.
    pub fn attribute(&self, name: &str) -> String {
        let (_, after) = self.body.split_once(&format!("{name}=\"")).expect(name);
        after.split_once('"').unwrap().0.to_owned()
    }
}

/// A text with ordinary spaces where a page has others.
pub fn plain(text: &str) -> String {
    text.replace(['\u{a0}', '\u{202f}'], " ")
}

/// Tries until it is so, or it took too long.
#[track_caller]
pub fn wait_until(what: &str, mut is_so: impl FnMut() -> bool) {
    let start = Instant::now();
    while !is_so() {
        assert!(start.elapsed() < PATIENCE, "still not: {what}");
        std::thread::sleep(Duration::from_millis(10));
    }
}
