//! Random edits: a server that gets them one by one knows what a server knows that gets the text.

use serde_json::{Value, json};

use super::client::{ADDRESS, Client};
use super::random::Random;

const WORKSHEET: &str = "# A tank 😀\r\n\r\nThe level is `? m of h`.\r\n\r\n```given\r\nh = 2.5 m -- height, ho\u{308}he\r\ng = 9.81 m/s^2\r\n```\r\n\r\n# Another\n\n```given\nρ_1 = 998 kg/m^3\nD = 40 mm -- 𝛼 pipe, `D = ? cm`\n```\n\n```derive\nfall: v^2 = 2 g_0 h_0\n```\n\n```work\nA = pi D^2/4 = ? cm^2\nm = ρ_1 A (2 m) = ? kg\n```\n\n```check\nA > 0\nm < 1 kg\n```\n\nBy [fall], `? g of m`.\n";

/// What is typed: pieces of worksheets, and what editors and people make of them.
const PIECES: &[&str] = &[
    "a",
    "= ",
    "2 ",
    "?",
    "`",
    "```",
    "\n",
    "\r\n",
    "\r",
    "h",
    "ρ",
    "_1",
    " m",
    "(",
    ")",
    "/",
    "^2",
    "😀",
    "e\u{301}",
    "𝛼",
    "# B\n",
    "```given\nz = 2 m\n```\n",
    "x = h = ?\n",
    " -- ",
    "\u{feff}",
    "[fall]",
    "\t",
    "---\n",
    "> ",
    "- ",
];

#[test]
fn edits_one_by_one_come_to_what_the_whole_text_comes_to() {
    for start in 1..=4 {
        follow(start, "utf-16", |letter| letter.len_utf16());
    }
    follow(5, "utf-8", char::len_utf8);
    follow(6, "utf-32", |_| 1);
}

fn follow(start: u64, encoding: &str, units: impl Fn(char) -> usize) {
    let mut random = Random::new(start);
    let mut text = WORKSHEET.to_owned();
    let mut one = Client::greet(&[encoding]);
    let mut other = Client::greet(&[encoding]);
    one.open_document(&text);
    other.open_document(&text);
    for version in 2..42 {
        let changes: Vec<Value> = (0..=random.below(3))
            .map(|_| change(&mut random, &mut text, &units))
            .collect();
        one.edit(version, json!(changes));
        other.edit(version, json!([{ "text": text }]));
        let (known, expected) = (knows(&mut one, version), knows(&mut other, version));
        assert_eq!(
            known, expected,
            "seed {start}, version {version}, after {changes:?} in\n{text}"
        );
    }
    assert!(one.ask("shutdown", Value::Null).is_ok());
}

/// Everything that a server says of itself about the document.
fn knows(client: &mut Client, version: i64) -> Value {
    let document = json!({ "uri": ADDRESS });
    let range =
        json!({ "start": { "line": 0, "character": 0 }, "end": { "line": 9999, "character": 0 } });
    let params = json!({ "textDocument": document, "range": range });
    json!({
        "diagnostics": client.diagnostics(version),
        "outline": client.ask("textDocument/documentSymbol", params.clone()).unwrap(),
        "hints": client.ask("textDocument/inlayHint", params.clone()).unwrap(),
        "folds": client.ask("textDocument/foldingRange", params).unwrap(),
        "said": said(client),
    })
}

/// What is said at some places, wherever they have come to be.
fn said(client: &mut Client) -> Vec<Value> {
    let methods = ["hover", "definition", "references", "documentHighlight"];
    let mut all = Vec::new();
    for line in (0..36).step_by(3) {
        let mut params = json!({
            "textDocument": { "uri": ADDRESS },
            "position": { "line": line, "character": 2 },
            "context": { "includeDeclaration": true },
            "newName": "q_9",
        });
        for method in methods {
            let answer = client.ask(&format!("textDocument/{method}"), params.clone());
            all.push(answer.unwrap());
        }
        params["position"]["character"] = json!(0);
        let renamed = client.ask("textDocument/rename", params);
        // A refusal is an answer too; only a failure of the program is none.
        if let Err((code, message)) = &renamed {
            assert_eq!(*code, -32803, "{message}");
        }
        all.push(json!(renamed.map_err(|(_, message)| message)));
    }
    all
}

/// An edit at a random place, made to the text too.
fn change(random: &mut Random, text: &mut String, units: &impl Fn(char) -> usize) -> Value {
    let mut ends: Vec<usize> = text.char_indices().map(|(at, _)| at).collect();
    ends.push(text.len());
    // No client edits between a carriage return and its line feed.
    ends.retain(|at| !(text[..*at].ends_with('\r') && text[*at..].starts_with('\n')));
    let from = random.below(ends.len());
    let length = *random.pick(&[0, 0, 1, 1, 2, 7, 40]);
    let to = (from + length).min(ends.len() - 1);
    let (start, end) = (ends[from], ends[to]);
    let new = if random.below(4) == 0 {
        ""
    } else {
        *random.pick(PIECES)
    };
    let range = json!({ "start": position(text, start, units), "end": position(text, end, units) });
    text.replace_range(start..end, new);
    json!({ "range": range, "text": new })
}

fn position(text: &str, offset: usize, units: &impl Fn(char) -> usize) -> Value {
    let before = &text[..offset];
    let (mut line, mut character) = (0, 0);
    let mut letters = before.chars().peekable();
    while let Some(letter) = letters.next() {
        let next = letters.peek().copied().or(text[offset..].chars().next());
        if letter == '\n' || (letter == '\r' && next != Some('\n')) {
            (line, character) = (line + 1, 0);
        } else {
            character += units(letter);
        }
    }
    json!({ "line": line, "character": character })
}
