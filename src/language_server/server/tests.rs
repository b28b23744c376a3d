//! Conversations held in memory.

use super::*;
use crate::text::NoFiles;
use std::io::Cursor;
use std::sync::Arc;

/// What the server answers to messages, without the frames.
fn conversation(messages: &[Value]) -> (Vec<Value>, Ending) {
    let mut input = Vec::new();
    for message in messages {
        frames::write(&mut input, message.clone()).unwrap();
    }
    let mut output = Vec::new();
    let ending = serve(Cursor::new(input), &mut output, |_| Arc::new(NoFiles)).unwrap();
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
    let document = json!({ "uri": "file:///w.md", "languageId": "m", "version": 1, "text": text });
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
    let mut server = Server::new(&mut output, |_| Arc::new(NoFiles));
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
