//! What a browser makes of the messages: the page after them is the page as it would be sent.

use std::ops::Range;

use proptest::prelude::*;
use serde_json::Value;

use super::texts::{Pieces, is_tag};
use super::{Place, Sheet};
use crate::typeset;

/// What stands in `main`, as a browser keeps it: the head, and the parts.
#[derive(Debug, PartialEq)]
struct Shown {
    head: String,
    parts: Vec<(bool, String)>,
}

impl Shown {
    fn of(main: &str) -> Self {
        let (head, rest) = main.split_once("</div>\n<section>\n").unwrap();
        let head = head.strip_prefix("<div class=\"part\" data-part=\"head\">");
        let mut parts = Vec::new();
        let mut begins = false;
        for piece in rest.split("<div class=\"part\" data-part=\"").skip(1) {
            let (_, part) = piece.split_once("\">").unwrap();
            let (html, after) = part.rsplit_once("</div>\n").unwrap();
            parts.push((begins, html.to_owned()));
            begins = after == "</section>\n<section>\n";
        }
        Self {
            head: head.unwrap().to_owned(),
            parts,
        }
    }

    fn take(&mut self, message: &str) {
        let message: Value = serde_json::from_str(message).unwrap();
        if message["kind"] == "whole" {
            *self = Self::of(message["main"].as_str().unwrap());
            return;
        }
        assert_eq!(message["kind"], "parts");
        if let Some(splice) = message["splice"].as_array() {
            let (at, removed) = (index(&splice[0]), index(&splice[1]));
            let added: Vec<(bool, String)> = serde_json::from_value(splice[2].clone()).unwrap();
            self.parts.splice(at..at + removed, added);
        }
        for holder in message["texts"].as_array().unwrap() {
            let texts = holder[1].as_array().unwrap();
            match holder[0].as_str() {
                Some(id) => {
                    let (part, range) = self.find(id);
                    let html = with_texts(&part[range.clone()], texts);
                    part.replace_range(range, &html);
                }
                None => {
                    let part = &mut self.parts[index(&holder[0])].1;
                    *part = with_texts(part, texts);
                }
            }
        }
        for element in message["elements"].as_array().unwrap() {
            self.element(element[0].as_str().unwrap(), element[1].as_str().unwrap());
        }
        for part in message["parts"].as_array().unwrap() {
            self.parts[index(&part[0])].1 = part[1].as_str().unwrap().to_owned();
        }
        if let Some(head) = message["head"].as_str() {
            head.clone_into(&mut self.head);
        }
    }

    /// Replaces the one element with this id.
    fn element(&mut self, id: &str, html: &str) {
        let (part, range) = self.find(id);
        part.replace_range(range, html);
    }

    /// The part that holds the element with this id, and where in it.
    fn find(&mut self, id: &str) -> (&mut String, Range<usize>) {
        let sign = format!(" id=\"{id}\"");
        let holds = |(_, part): &&mut (bool, String)| part.contains(&sign);
        let (_, part) = self.parts.iter_mut().find(holds).unwrap();
        let wrapped = format!("<r>{part}</r>");
        let document = roxmltree::Document::parse(&wrapped).unwrap();
        let mut nodes = document.descendants();
        let node = nodes.find(|node| node.attribute("id") == Some(id));
        let range = node.unwrap().range();
        (part, range.start - 3..range.end - 3)
    }
}

/// Markup with other texts, each of which has to be what it is said to have been.
fn with_texts(html: &str, texts: &[Value]) -> String {
    let mut pieces: Vec<String> = Pieces(html).map(str::to_owned).collect();
    let mut own: Vec<&mut String> = pieces.iter_mut().filter(|piece| !is_tag(piece)).collect();
    for text in texts {
        let escaped = |value: &Value| {
            let mut out = String::new();
            typeset::escape(value.as_str().unwrap(), &mut out);
            out
        };
        assert_eq!(*own[index(&text[0])], escaped(&text[1]));
        *own[index(&text[0])] = escaped(&text[2]);
    }
    pieces.concat()
}

fn index(value: &Value) -> usize {
    usize::try_from(value.as_u64().unwrap()).unwrap()
}

fn main_of(sheet: &Sheet) -> Shown {
    let whole: Value = serde_json::from_str(&sheet.whole()).unwrap();
    Shown::of(whole["main"].as_str().unwrap())
}

/// Takes texts one after another; the last message, after which the page is what it has to be.
fn follow(texts: &[&str]) -> Value {
    let mut sheet = Sheet::new("w.md", texts[0]);
    let mut shown = main_of(&sheet);
    let mut last = Value::Null;
    for text in &texts[1..] {
        let version = sheet.version();
        let Some(message) = sheet.update(text) else {
            assert_eq!(sheet.version(), version);
            continue;
        };
        shown.take(&message);
        assert_eq!(shown, main_of(&Sheet::new("w.md", text)), "{text}");
        assert_eq!(sheet.version(), version + 1);
        last = serde_json::from_str(&message).unwrap();
    }
    last
}

const SHEET: &str = "\
# Pump

Some words.

```given
Q = 12 L/s   -- flow
A = 300 cm^2 -- section
```

## Speed

```work
V = Q/A = ? m/s     -- velocity
W = 2 V = ? m/s
X = 3 A = ? cm^2
```

```check
V < 50 m/s
X > 1 cm^2
```

The speed is `V = ? m/s`.
";

/// The ids of the elements that a message replaces.
fn ids(message: &Value) -> Vec<&str> {
    let elements = message["elements"].as_array().unwrap().iter();
    elements
        .map(|element| element[0].as_str().unwrap())
        .collect()
}

/// The texts that a message changes: in what, and what they become.
fn texts(message: &Value) -> Vec<String> {
    let holders = message["texts"].as_array().unwrap().iter();
    let texts = holders.flat_map(|holder| {
        let texts = holder[1].as_array().unwrap().iter();
        texts.map(|text| format!("{}: {}", holder[0], text[2]).replace('"', ""))
    });
    texts.collect()
}

#[test]
fn an_edited_number_changes_the_texts_that_show_it_and_what_depends_on_it() {
    let message = follow(&[SHEET, &SHEET.replace("12 L/s", "15 L/s")]);
    assert_eq!(message["kind"], "parts");
    let expected = [
        "q1-Q: 15\u{a0}L/s",
        "q1-V: 15\u{a0}L/s",
        "q1-V: 0.5000\u{a0}m/s",
        "q1-W: 0.5000\u{a0}m/s",
        "q1-W: 1.000\u{a0}m/s",
        "q1-check-1: 0.5000\u{a0}m/s < 50\u{a0}m/s",
        "6: 0.5000\u{a0}m/s",
    ];
    assert_eq!(texts(&message), expected);
    for kind in ["elements", "parts"] {
        assert!(message[kind].as_array().unwrap().is_empty());
    }
    assert_eq!(
        (&message["head"], &message["title"], &message["state"]),
        (&Value::Null, &Value::Null, &"".into())
    );
}

#[test]
fn a_refused_line_is_told_in_its_place_and_in_the_head_and_goes_again() {
    let broken = SHEET.replace("2 V = ? m/s", "2 V = ? kg");
    let message = follow(&[SHEET, &broken]);
    assert_eq!(ids(&message), ["q1-W"]);
    assert!(
        message["elements"][0][1]
            .as_str()
            .unwrap()
            .contains("Refused")
    );
    assert!(
        message["head"]
            .as_str()
            .unwrap()
            .contains("One line is refused")
    );
    assert_eq!(message["state"], "1 line refused");
    let message = follow(&[&broken, SHEET]);
    assert_eq!(ids(&message), ["q1-W"]);
    assert_eq!(
        (&message["head"], &message["state"]),
        (&"".into(), &"".into())
    );
}

#[test]
fn a_check_that_fails_is_counted() {
    let message = follow(&[SHEET, &SHEET.replace("V < 50 m/s", "V < 0.1 m/s")]);
    assert_eq!(message["state"], "1 check does not hold");
    assert!(
        message["head"]
            .as_str()
            .unwrap()
            .contains("One check does not hold")
    );
}

#[test]
fn a_new_statement_brings_its_part() {
    let more = SHEET.replace("W = 2 V", "U = 4 V = ? m/s\nW = 2 V");
    let message = follow(&[SHEET, &more]);
    assert_eq!(ids(&message), Vec::<&str>::new());
    assert_eq!(message["parts"].as_array().unwrap().len(), 1);
}

#[test]
fn a_new_paragraph_or_section_is_put_in_and_taken_away_without_the_rest() {
    for new in ["Words.\n\n## Speed", "## Interlude\n\nWords.\n\n## Speed"] {
        let more = SHEET.replace("## Speed", new);
        for message in [follow(&[SHEET, &more]), follow(&[&more, SHEET])] {
            assert_eq!(message["kind"], "parts", "{new}");
            assert_eq!(message["splice"][0], 3);
            assert_eq!(message["parts"].as_array().unwrap().len(), 0);
        }
    }
}

#[test]
fn a_title_that_moves_all_headings_sends_everything() {
    let titled = format!("---\ntitle: Works\n---\n\n{SHEET}");
    let message = follow(&[SHEET, &titled]);
    assert_eq!(
        (&message["kind"], &message["title"]),
        (&"whole".into(), &"Works".into())
    );
}

#[test]
fn a_comment_changes_nothing_but_the_version() {
    let message = follow(&[SHEET, &format!("{SHEET}\n\n\n")]);
    assert_eq!(
        (&message["version"], &message["from"]),
        (&2.into(), &1.into())
    );
    assert_eq!(ids(&message), Vec::<&str>::new());
    assert_eq!(follow(&[SHEET, SHEET]), Value::Null);
}

#[test]
fn the_page_carries_its_place_its_state_and_the_files_that_it_names() {
    let text = format!("{SHEET}\n```work\nZ = 2 Q = ? kg\n```\n\n[other](b.md#x) ![p](p.png)\n");
    let mut sheet = Sheet::new("w.md", &text);
    let place = Place {
        follow: "/-/follow/w.md".to_owned(),
        run: "r".to_owned(),
    };
    let page = sheet.page(&place);
    assert!(page.contains(" data-follow=\"/-/follow/w.md\" data-run=\"r\" data-version=\"1\""));
    assert!(page.contains("<title>Pump</title>"));
    assert!(page.contains(">1 line refused</p>"));
    assert!(sheet.files().iter().eq(["b.md", "p.png"]));
    sheet.update(&text.replace("![p](p.png)", ""));
    assert!(sheet.files().iter().eq(["b.md"]));
}

#[test]
fn a_first_part_that_is_taken_away_leaves_a_page() {
    follow(&[
        "a\n\nb\n\nc\n",
        "b\n\nc\n",
        "",
        "# A\n\n# B\n",
        "x\n\n# A\n\n# B\n",
        "# B\n",
    ]);
}

/// Lines that are put together to worksheets.
const LINES: [&str; 12] = [
    "# One\n",
    "## Two\n",
    "Some text.\n",
    "A value `a = ?`.\n",
    "- item\n- item\n",
    "```given\na = 1 m\n```\n",
    "```given\na = 2 m -- length\nb = 3 s\n```\n",
    "```work\nc = a/b = ? m/s\nd = 2 c = ? m/s\n```\n",
    "```work\nc = 3 a/b = ? m/s\nd = 2 c = ? kg\n```\n",
    "```check\nc > 1 m/s\n```\n",
    "```derive\ne = f g -- words\n```\n",
    "```answer\na\n```\n",
];

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]
    #[test]
    fn after_any_edits_the_page_is_the_page_of_the_text(
        sheets in prop::collection::vec(prop::collection::vec(0..LINES.len(), 0..7), 2..5)
    ) {
        let texts: Vec<String> = sheets
            .iter()
            .map(|lines| lines.iter().map(|line| LINES[*line]).collect::<Vec<_>>().join("\n"))
            .collect();
        let texts: Vec<&str> = texts.iter().map(String::as_str).collect();
        follow(&texts);
    }
}
