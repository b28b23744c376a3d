//! The recorded conversations, held with the program; `UPDATE=1` writes down what it says now.

use std::fs;
use std::path::{Path, PathBuf};

use serde_json::{Value, json};

use super::client::{ADDRESS, Client};
use super::conversation::{CURSOR, Conversation, Turn};
use super::shown;

#[test]
fn the_program_answers_as_it_was_recorded() {
    let mut failed = Vec::new();
    for path in recordings() {
        let recorded = fs::read_to_string(&path).unwrap();
        let mut conversation = Conversation::read(&recorded);
        hold(&mut conversation);
        let said = conversation.write();
        if std::env::var_os("UPDATE").is_some() {
            fs::write(&path, &said).unwrap();
        } else if said != recorded {
            failed.push(difference(&path, &recorded, &said));
        }
    }
    assert!(failed.is_empty(), "{}", failed.join("\n\n"));
}

fn recordings() -> Vec<PathBuf> {
    let folder = concat!(
        env!("CARGO_MANIFEST_DIR"),
        "/tests/language_server/conversations"
    );
    let mut found: Vec<PathBuf> = fs::read_dir(folder)
        .unwrap()
        .map(|entry| entry.unwrap().path())
        .collect();
    found.sort();
    assert!(!found.is_empty());
    found
}

fn difference(path: &Path, recorded: &str, said: &str) -> String {
    let mut lines = recorded.lines().zip(said.lines()).enumerate();
    let first = lines.find(|(_, (old, new))| old != new);
    let (at, (old, new)) = first.unwrap_or((recorded.lines().count(), ("the end", "more or less")));
    format!(
        "{}:{}\n  recorded: {old}\n  said now: {new}",
        path.display(),
        at + 1
    )
}

/// Holds a conversation and puts the answers in.
fn hold(conversation: &mut Conversation) {
    let mut text = conversation.worksheet.clone();
    let mut client = Client::open(&text);
    let mut version = 1;
    for turn in &mut conversation.turns {
        turn.answer = if turn.question == "edit" {
            version += 1;
            edit(&mut client, &mut text, version, turn);
            String::new()
        } else if turn.question == "diagnostics" {
            shown::diagnostics(&text, &client.diagnostics(version))
        } else {
            answer(&mut client, &text, turn)
        };
    }
}

/// Replaces a line by others, by one edit of that line alone.
fn edit(client: &mut Client, text: &mut String, version: i64, turn: &Turn) {
    let (old, new) = turn.lines.split_once("\n~~~~").expect("old and new lines");
    let new = new.trim_start_matches('\n');
    let (line, before) = find(text, old);
    let length = before.encode_utf16().count();
    let range = json!({
        "start": { "line": line, "character": 0 },
        "end": { "line": line, "character": length },
    });
    client.edit(version, json!([{ "range": range, "text": new }]));
    let mut lines: Vec<String> = text.split('\n').map(str::to_owned).collect();
    lines[line] = new.to_owned();
    *text = lines.join("\n");
}

/// The number and the text of a line.
fn find<'a>(text: &'a str, wanted: &str) -> (usize, &'a str) {
    let mut lines = text.split('\n').enumerate();
    lines
        .find(|(_, line)| *line == wanted)
        .unwrap_or_else(|| panic!("the worksheet has the line `{wanted}`"))
}

/// The place of the cursor.
fn cursor(text: &str, lines: &str) -> Value {
    let marked = lines.lines().find(|line| line.contains(CURSOR));
    let marked = marked.unwrap_or_else(|| panic!("`{lines}` has a cursor"));
    let (line, _) = find(text, &marked.replace(CURSOR, ""));
    let before = marked.split(CURSOR).next().unwrap();
    json!({ "line": line, "character": before.encode_utf16().count() })
}

fn answer(client: &mut Client, text: &str, turn: &Turn) -> String {
    let (word, rest) = turn
        .question
        .split_once(' ')
        .unwrap_or((&turn.question, ""));
    let document = json!({ "uri": ADDRESS });
    let at = || json!({ "textDocument": document, "position": cursor(text, &turn.lines) });
    let whole = json!({
        "textDocument": document,
        "range": { "start": { "line": 0, "character": 0 }, "end": { "line": 9999, "character": 0 } },
    });
    let ranges = |answer: &Value| {
        let all = answer.as_array().cloned().unwrap_or_default();
        shown::places(text, all.into_iter().map(|one| one["range"].clone()))
    };
    let mut ask =
        |method: &str, params: Value| client.ask(&format!("textDocument/{method}"), params);
    let answer = match word {
        "hover" => {
            ask("hover", at()).map(|found| or_nothing(&found, |found| shown::hover(text, found)))
        }
        "definition" => ask("definition", at())
            .map(|found| or_nothing(&found, |found| shown::place(text, &found["range"]))),
        "references" => {
            let mut params = at();
            params["context"] = json!({ "includeDeclaration": rest == "with definition" });
            ask("references", params).map(|found| or_nothing(&found, ranges))
        }
        "highlight" => ask("documentHighlight", at())
            .map(|found| or_nothing(&found, |found| highlights(text, found))),
        "may-be-renamed" => ask("prepareRename", at())
            .map(|found| or_nothing(&found, |found| shown::place(text, &found["range"]))),
        "rename" => {
            let mut params = at();
            params["newName"] = json!(rest);
            ask("rename", params).map(|found| {
                let after = shown::edited(text, &found["changes"][ADDRESS]);
                shown::changed(text, &after)
            })
        }
        "hints" => ask("inlayHint", whole).map(|found| shown::hints(text, &found)),
        "outline" => ask("documentSymbol", whole).map(|found| shown::outline(&found)),
        "folding" => ask("foldingRange", whole).map(|found| folds(&found)),
        "complete" => ask("completion", at()).map(|found| shown::offers(&found)),
        "signature" => ask("signatureHelp", at()).map(|found| or_nothing(&found, shown::signature)),
        "colours" => ask("semanticTokens/full", whole).map(|found| shown::colours(text, &found)),
        "actions" => {
            let place = cursor(text, &turn.lines);
            let mut params = at();
            params["range"] = json!({ "start": place, "end": place });
            params["context"] = json!({ "diagnostics": [] });
            ask("codeAction", params).map(|found| shown::actions(text, &found, ADDRESS))
        }
        "tidy" => {
            let mut params = whole;
            params["options"] = json!({ "tabSize": 4, "insertSpaces": true });
            ask("formatting", params)
                .map(|found| shown::changed(text, &shown::edited(text, &found)))
        }
        other => panic!("`{other}` is no question"),
    };
    answer.unwrap_or_else(|(code, message)| format!("refused {code}: {message}"))
}

fn or_nothing(found: &Value, show: impl Fn(&Value) -> String) -> String {
    if found.is_null() {
        "nothing".to_owned()
    } else {
        show(found)
    }
}

fn highlights(text: &str, found: &Value) -> String {
    let one = |found: &Value| {
        let kind = if found["kind"] == 3 {
            "defined"
        } else {
            "used"
        };
        format!("{} {kind}", shown::place(text, &found["range"]))
    };
    found
        .as_array()
        .unwrap()
        .iter()
        .map(one)
        .collect::<Vec<_>>()
        .join("\n")
}

fn folds(found: &Value) -> String {
    let line = |value: &Value| value.as_u64().unwrap() + 1;
    let one = |fold: &Value| format!("{}-{}", line(&fold["startLine"]), line(&fold["endLine"]));
    found
        .as_array()
        .unwrap()
        .iter()
        .map(one)
        .collect::<Vec<_>>()
        .join("\n")
}
