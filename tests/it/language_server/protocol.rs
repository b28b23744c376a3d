//! The edges of the protocol: how a conversation begins and ends, and what is no message.

use serde_json::{Value, json};

use super::client::{ADDRESS, Client};

fn at(line: u32, character: u32) -> Value {
    json!({
        "textDocument": { "uri": ADDRESS },
        "position": { "line": line, "character": character },
    })
}

#[test]
fn a_client_that_says_goodbye_sees_the_program_end_well() {
    let mut client = Client::open("```given\na = 2 m\n```\n");
    assert_eq!(client.ask("shutdown", Value::Null), Ok(Value::Null));
    client.tell("exit", Value::Null);
    let (status, errors) = client.end();
    assert_eq!((status.code(), errors.as_str()), (Some(0), ""));
}

#[test]
fn a_client_that_exits_without_shutdown_sees_a_failure() {
    let mut client = Client::open("");
    client.tell("exit", Value::Null);
    assert_eq!(client.end().0.code(), Some(1));
}

#[test]
fn a_client_that_vanishes_ends_the_program() {
    let client = Client::open("");
    assert_eq!(client.end().0.code(), Some(1));
}

#[test]
fn nothing_is_answered_before_the_greeting() {
    let mut client = Client::start();
    let early = client.ask("textDocument/hover", at(0, 0));
    assert_eq!(early, Err((-32002, "`initialize` comes first".to_owned())));
    let greeted = client
        .ask("initialize", json!({ "capabilities": {} }))
        .unwrap();
    assert_eq!(greeted["serverInfo"]["name"], "setsquare");
    client.open_document("```given\na = 2 m\n```\n");
    let hover = client.ask("textDocument/hover", at(1, 0)).unwrap();
    assert_eq!(hover["range"]["end"], json!({ "line": 1, "character": 1 }));
}

#[test]
fn nothing_is_answered_after_shutdown() {
    let mut client = Client::open("");
    assert_eq!(client.ask("shutdown", Value::Null), Ok(Value::Null));
    let (code, _) = client.ask("textDocument/hover", at(0, 0)).unwrap_err();
    assert_eq!(code, -32600);
}

#[test]
fn the_program_answers_in_the_encoding_of_the_client() {
    let text = "```given\na = 2 m -- 😀 `a = ? mm`\n```\n";
    for (encoding, start) in [("utf-8", 17), ("utf-16", 15), ("utf-32", 14)] {
        let mut client = Client::greet(&[encoding]);
        client.open_document(text);
        let hover = client.ask("textDocument/hover", at(1, start)).unwrap();
        assert_eq!(
            hover["range"]["start"]["character"],
            json!(start),
            "{encoding}"
        );
    }
}

#[test]
fn what_is_not_known_or_not_right_is_refused() {
    let mut client = Client::open("");
    let (code, message) = client.ask("textDocument/wish", at(0, 0)).unwrap_err();
    assert_eq!(
        (code, message.as_str()),
        (-32601, "`textDocument/wish` is not known here")
    );
    let (code, _) = client
        .ask("textDocument/hover", json!({ "position": 3 }))
        .unwrap_err();
    assert_eq!(code, -32602);
    let elsewhere = json!({ "textDocument": { "uri": "file:///x" }, "position": { "line": 0, "character": 0 } });
    let (code, message) = client.ask("textDocument/hover", elsewhere).unwrap_err();
    assert_eq!(
        (code, message.as_str()),
        (-32602, "`file:///x` is not open")
    );
    assert_eq!(client.ask("textDocument/hover", at(7, 7)), Ok(Value::Null));
}

#[test]
fn a_message_that_cannot_be_read_does_not_end_the_conversation() {
    let mut client = Client::open("");
    client.send_bytes(b"Content-Length: 3\r\n\r\n{\"a");
    assert_eq!(client.answer(&Value::Null).unwrap_err().0, -32700);
    client.send_bytes(b"Content-Length: 9\r\n\r\n{\"id\":[]}");
    assert_eq!(client.answer(&Value::Null).unwrap_err().0, -32600);
    assert_eq!(client.ask("textDocument/hover", at(0, 0)), Ok(Value::Null));
}

#[test]
fn a_stream_without_frames_ends_the_program_with_a_sentence() {
    for (bytes, why) in [
        ("hello\r\n\r\n", "`hello` is no header"),
        (
            "Content-Length: many\r\n\r\n",
            "a message without its length",
        ),
        (
            "Content-Length: 9999999999999\r\n\r\n",
            "a message of 9999999999999 bytes is too long",
        ),
    ] {
        let mut client = Client::open("");
        client.send_bytes(bytes.as_bytes());
        let (status, errors) = client.end();
        assert_eq!(status.code(), Some(2));
        let sentence = format!("setsquare: the conversation with the editor broke off: {why}\n");
        assert_eq!(errors, sentence);
    }
}

#[test]
fn a_request_that_waits_can_be_cancelled() {
    // The text takes a while, so that what follows it waits.
    let mut client = Client::greet(&["utf-16"]);
    let lines: String = (0..2000).map(|at| format!("a_{at} = {at} m\n")).collect();
    let open = json!({ "uri": ADDRESS, "languageId": "m", "version": 1, "text": format!("```given\n{lines}```\n") });
    client.tell("textDocument/didOpen", json!({ "textDocument": open }));
    let first = client.begin("textDocument/hover", at(1, 0));
    let second = client.begin("textDocument/hover", at(2, 0));
    client.tell("$/cancelRequest", json!({ "id": second }));
    client.tell("$/cancelRequest", json!({ "id": 12345 }));
    assert!(client.answer(&json!(first)).is_ok());
    // It is answered in any case, once; a cancellation may come too late.
    if let Err((code, _)) = client.answer(&json!(second)) {
        assert_eq!(code, -32800);
    }
    assert!(
        client
            .ask("textDocument/hover", at(1, 0))
            .unwrap()
            .is_object()
    );
}

#[test]
fn a_storm_of_keys_is_compiled_a_few_times_and_ends_with_the_last() {
    let mut client = Client::open("");
    for version in 2..=500 {
        client.edit(
            version,
            json!([{ "text": format!("```check\n{version} < 0\n```\n") }]),
        );
    }
    let found = client.diagnostics(500);
    assert_eq!(found[0]["code"], "C01");
    let (code, _) = client.ask("textDocument/wish", at(0, 0)).unwrap_err();
    assert_eq!(code, -32601);
}

#[test]
fn hints_in_a_storm_are_those_of_its_end() {
    let mut client = Client::open("");
    let whole = json!({
        "textDocument": { "uri": ADDRESS },
        "range": { "start": { "line": 0, "character": 0 }, "end": { "line": 9, "character": 0 } },
    });
    let mut asked = Vec::new();
    for version in 2..=100 {
        let text = format!("```work\nx = {version} (1 m) = ? m\n```\n");
        client.edit(version, json!([{ "text": text }]));
        asked.push(client.begin("textDocument/inlayHint", whole.clone()));
    }
    let last = client.answer(&json!(asked.pop().unwrap())).unwrap();
    assert_eq!(last[0]["label"], "= 100.0 m");
    for id in asked {
        // Each is answered once, by hints or by the word that the text has changed.
        if let Err((code, _)) = client.answer(&json!(id)) {
            assert_eq!(code, -32801);
        }
    }
}

#[test]
fn diagnostics_are_cleared_when_a_document_is_closed() {
    let mut client = Client::open("```check\n2 < 1\n```\n");
    assert_eq!(client.diagnostics(1)[0]["code"], "C01");
    client.tell(
        "textDocument/didClose",
        json!({ "textDocument": { "uri": ADDRESS } }),
    );
    let cleared = client.pushed("textDocument/publishDiagnostics");
    assert_eq!(cleared["params"]["diagnostics"], json!([]));
    let (code, _) = client.ask("textDocument/hover", at(0, 0)).unwrap_err();
    assert_eq!(code, -32602);
    client.open_document("```check\n2 < 1\n```\n");
    assert_eq!(client.diagnostics(1)[0]["code"], "C01");
}
