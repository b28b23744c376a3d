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

use super::documents::{Document, Folders};
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
pub fn serve(
    input: impl BufRead + Send + 'static,
    output: impl Write,
    folders: Folders,
) -> io::Result<Ending> {
    let mut queue = Queue::listen(input);
    let mut server = Server::new(output, folders);
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
    folders: Folders,
    stage: Stage,
    encoding: Encoding,
    /// The open documents, by their addresses.
    documents: BTreeMap<String, Document>,
}

impl<W: Write> Server<W> {
    fn new(output: W, folders: Folders) -> Self {
        Self {
            output,
            folders,
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
        let document = Document::open(params.text_document, self.encoding, self.folders);
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
        // An answer may be long: it is moved, not copied.
        let (key, value) = match answer {
            Ok(result) => ("result", result),
            Err(refusal) => ("error", json!(ResponseError::from(refusal))),
        };
        let message = [("id", id), (key, value)].into_iter().collect();
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
mod tests;
