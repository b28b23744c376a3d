//! What waits to be done, in the order in which it came.
//!
//! A thread reads ahead, so that edits that come in a burst are all known before the first of
//! them is compiled, and a request can be cancelled before its turn.

use std::collections::VecDeque;
use std::io::{self, BufRead};
use std::sync::mpsc::{self, Receiver};
use std::thread;

use lsp_server::{Message, RequestId};

use super::frames::{self, Frame};
use super::requests::{Refusal, document_of};

/// Everything that can wake the server.
#[derive(Debug)]
pub(super) enum Event {
    /// A message of the client.
    Message(Message),
    /// Something that is no message.
    Unreadable(Refusal),
    /// A request that was cancelled before its turn.
    Cancelled(RequestId),
    /// A request about a text that an edit, which waits behind it, makes another: the editor asks
    /// again after that edit.
    Outdated(RequestId),
    /// The stream has ended, or failed.
    Closed(io::Result<()>),
}

/// What waits to be done.
#[derive(Debug)]
pub(super) struct Queue {
    incoming: Receiver<Event>,
    waiting: VecDeque<Event>,
}

impl Queue {
    /// Begins to read a stream.
    pub fn listen(mut input: impl BufRead + Send + 'static) -> Self {
        let (sender, incoming) = mpsc::channel();
        thread::spawn(move || {
            loop {
                let (event, is_last) = next(&mut input);
                if sender.send(event).is_err() || is_last {
                    return;
                }
            }
        });
        Self {
            incoming,
            waiting: VecDeque::new(),
        }
    }

    /// What comes next; `None` when there is nothing and `is_busy` says that there is something
    /// else to do meanwhile.
    pub fn next(&mut self, is_busy: bool) -> Option<Event> {
        while let Ok(event) = self.incoming.try_recv() {
            self.arrive(event);
        }
        if self.waiting.is_empty() && !is_busy {
            let event = self.incoming.recv();
            self.arrive(event.unwrap_or(Event::Closed(Ok(()))));
            // What the client sent together is looked at together.
            return self.next(true);
        }
        let event = self.waiting.pop_front()?;
        Some(match outdatable(&event) {
            Some((id, uri)) if self.is_edit_waiting(uri) => Event::Outdated(id.clone()),
            _ => event,
        })
    }

    /// Whether an edit of a document waits.
    fn is_edit_waiting(&self, uri: &str) -> bool {
        self.waiting.iter().any(|event| {
            matches!(event, Event::Message(Message::Notification(edit))
                if edit.method == "textDocument/didChange" && document_of(&edit.params) == Some(uri))
        })
    }

    fn arrive(&mut self, event: Event) {
        match cancelled(&event) {
            Some(id) => self.cancel(&id),
            None => self.waiting.push_back(event),
        }
    }

    fn cancel(&mut self, id: &RequestId) {
        let queued = self.waiting.iter_mut().find(
            |event| matches!(event, Event::Message(Message::Request(request)) if request.id == *id),
        );
        if let Some(event) = queued {
            *event = Event::Cancelled(id.clone());
        }
    }
}

/// The next event of a stream, and whether it is the last that is read.
fn next(input: &mut impl BufRead) -> (Event, bool) {
    match frames::read(input) {
        Ok(Some(Frame::Message(message))) => {
            let is_exit = matches!(&message, Message::Notification(left) if left.method == "exit");
            (Event::Message(message), is_exit)
        }
        Ok(Some(Frame::Unreadable(refusal))) => (Event::Unreadable(refusal), false),
        Ok(None) => (Event::Closed(Ok(())), true),
        Err(error) => (Event::Closed(Err(error)), true),
    }
}

/// What editors ask unasked after each edit. What a person asks for is answered in any case.
const AFTER_EACH_EDIT: &[&str] = &[
    "textDocument/documentHighlight",
    "textDocument/documentSymbol",
    "textDocument/foldingRange",
    "textDocument/inlayHint",
    "textDocument/semanticTokens/full",
];

/// The number and the document of a request that is asked again after each edit.
fn outdatable(event: &Event) -> Option<(&RequestId, &str)> {
    let Event::Message(Message::Request(request)) = event else {
        return None;
    };
    let is_one = AFTER_EACH_EDIT.contains(&request.method.as_str());
    Some((&request.id, document_of(&request.params)?)).filter(|_| is_one)
}

/// The request that a message cancels.
fn cancelled(event: &Event) -> Option<RequestId> {
    let Event::Message(Message::Notification(notification)) = event else {
        return None;
    };
    if notification.method != "$/cancelRequest" {
        return None;
    }
    serde_json::from_value(notification.params.get("id")?.clone()).ok()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn queue(contents: &[&str]) -> Queue {
        let bytes: String = contents
            .iter()
            .map(|content| format!("Content-Length: {}\r\n\r\n{content}", content.len()))
            .collect();
        Queue::listen(io::Cursor::new(bytes.into_bytes()))
    }

    /// Everything up to the end of the stream, looked at only after all of it has come.
    fn all(mut queue: Queue) -> Vec<String> {
        let mut found = Vec::new();
        while let Ok(event) = queue.incoming.recv() {
            queue.arrive(event);
        }
        while let Some(event) = queue.next(true) {
            found.push(match event {
                Event::Message(Message::Request(request)) => format!("{}", request.id),
                Event::Message(Message::Notification(notification)) => notification.method,
                Event::Cancelled(id) => format!("no {id}"),
                Event::Outdated(id) => format!("old {id}"),
                Event::Closed(end) => format!("closed {}", end.is_ok()),
                other => format!("{other:?}"),
            });
        }
        found
    }

    #[test]
    fn a_request_is_cancelled_before_its_turn() {
        let found = all(queue(&[
            r#"{"id":1,"method":"a"}"#,
            r#"{"id":"x","method":"b"}"#,
            r#"{"method":"$/cancelRequest","params":{"id":"x"}}"#,
            r#"{"method":"$/cancelRequest","params":{"id":7}}"#,
        ]));
        assert_eq!(found, ["1", "no \"x\"", "closed true"]);
    }

    #[test]
    fn what_is_asked_after_each_edit_is_outdated_by_the_next_edit() {
        let ask = |id: u32, method: &str, uri: &str| {
            format!(
                r#"{{"id":{id},"method":"textDocument/{method}","params":{{"textDocument":{{"uri":"{uri}"}}}}}}"#
            )
        };
        let edit = r#"{"method":"textDocument/didChange","params":{"textDocument":{"uri":"a"}}}"#;
        let found = all(queue(&[
            &ask(1, "inlayHint", "a"),
            &ask(2, "inlayHint", "b"),
            &ask(3, "hover", "a"),
            edit,
            &ask(4, "inlayHint", "a"),
        ]));
        let edit = "textDocument/didChange";
        assert_eq!(found, ["old 1", "2", "3", edit, "4", "closed true"]);
    }

    #[test]
    fn nothing_is_read_after_the_client_has_left() {
        let found = all(queue(&[r#"{"method":"exit"}"#, r#"{"method":"late"}"#]));
        assert_eq!(found, ["exit"]);
    }

    #[test]
    fn the_end_of_the_stream_is_an_event() {
        let mut queue = queue(&[]);
        assert!(matches!(queue.next(false), Some(Event::Closed(Ok(())))));
    }
}
