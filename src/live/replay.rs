//! What a browser makes of the messages: the page after them is the page as it would be sent.

use std::collections::BTreeMap;
use std::sync::Arc;

use proptest::prelude::*;
use serde_json::Value;

use super::{Place, Sheet};
use crate::text::NoFiles;

/// What stands in `main`, as a browser keeps it: the parts by their ids, and their order, section
/// by section.
#[derive(Debug, Default, PartialEq)]
struct Shown {
    version: u64,
    order: Vec<Vec<String>>,
    parts: BTreeMap<String, String>,
}

impl Shown {
    fn take(&mut self, message: &str) {
        let message: Value = serde_json::from_str(message).unwrap();
        assert_eq!(message["kind"], "parts");
        let from = message["from"].as_u64();
        assert!(from.is_none_or(|from| from == self.version), "{message}");
        for part in message["parts"].as_array().unwrap() {
            let [id, html] = [0, 1].map(|at| part[at].as_str().unwrap().to_owned());
            self.parts.insert(id, html);
        }
        if !message["order"].is_null() {
            self.order = serde_json::from_value(message["order"].clone()).unwrap();
        }
        let stands = |id: &String| self.order.iter().flatten().any(|other| other == id);
        self.parts.retain(|id, _| stands(id));
        self.version = message["version"].as_u64().unwrap();
    }

    /// What a browser shows that gets everything.
    fn of(sheet: &Sheet) -> Self {
        let mut shown = Self::default();
        shown.take(&sheet.whole());
        shown
    }

    /// As the page is written.
    fn main(&self) -> String {
        let part =
            |id: &String| format!("<div class=\"part\" id=\"{id}\">{}</div>\n", self.parts[id]);
        let sections = self
            .order
            .iter()
            .map(|ids| ids.iter().map(part).collect::<String>());
        let mut sections = sections.collect::<Vec<String>>().into_iter();
        let first = sections.next().unwrap();
        sections.fold(first, |main, section| {
            format!("{main}<section>\n{section}</section>\n")
        })
    }
}

fn place() -> Place {
    Place {
        follow: "/-/follow/w.md".to_owned(),
        run: "r".to_owned(),
    }
}

/// Takes texts one after another; the last message, after which the page is what it has to be.
fn follow(texts: &[&str]) -> Value {
    let mut sheet = Sheet::new("w.md", texts[0], Arc::new(NoFiles));
    let mut shown = Shown::of(&sheet);
    let mut last = Value::Null;
    for text in &texts[1..] {
        let version = sheet.version();
        let Some(message) = sheet.update(text) else {
            assert_eq!(sheet.version(), version);
            continue;
        };
        shown.take(&message);
        assert_eq!(shown.version, version + 1);
        let page = Sheet::new("w.md", text, Arc::new(NoFiles)).page(&place());
        let main = format!("<main>\n{}</main>", shown.main());
        assert!(page.contains(&main), "{text}\n{main}\n{page}");
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

## Section

```work
Y = 4 A = ? cm^2
```
";

/// The ids of the parts that a message brings.
fn ids(message: &Value) -> Vec<&str> {
    let parts = message["parts"].as_array().unwrap().iter();
    parts.map(|part| part[0].as_str().unwrap()).collect()
}

/// The markup that a message brings of a part.
fn html<'m>(message: &'m Value, id: &str) -> &'m str {
    let mut parts = message["parts"].as_array().unwrap().iter();
    parts.find(|part| part[0] == id).unwrap()[1]
        .as_str()
        .unwrap()
}

#[test]
fn an_edited_number_brings_the_parts_that_show_it_or_what_depends_on_it() {
    let message = follow(&[SHEET, &SHEET.replace("12 L/s", "15 L/s")]);
    let expected = [
        "part/q1-Q",
        "part/q1-V",
        "part/q1-check-1",
        "part/q1-check-1/text-1",
    ];
    assert_eq!(ids(&message), expected);
    assert!(html(&message, "part/q1-V").contains("<mn>0.5000</mn><mtext>\u{202f}m/s</mtext>"));
    assert_eq!(message["order"], Value::Null);
    assert_eq!(
        (&message["title"], &message["state"]),
        (&"Pump".into(), &"".into())
    );
}

#[test]
fn a_refused_line_is_told_in_its_place_and_in_the_summary_and_goes_again() {
    let broken = SHEET.replace("2 V = ? m/s", "2 V = ? kg");
    let expected = ["part/summary", "part/q1-V"];
    let message = follow(&[SHEET, &broken]);
    assert_eq!(ids(&message), expected);
    assert!(html(&message, "part/q1-V").contains("Refused"));
    assert!(html(&message, "part/summary").contains("One line is refused"));
    assert_eq!(message["state"], "1 line refused");
    let message = follow(&[&broken, SHEET]);
    assert_eq!(ids(&message), expected);
    assert_eq!(
        (html(&message, "part/summary"), &message["state"]),
        ("", &"".into())
    );
}

const SKETCHED: &str = "\
# Pump

Some words.

```sketch
box: particle -- the box
force F right
force G at b above left
```

```given
F = 2 N
b = 30 deg
```

```work
G = F/cos(b) = ? N
H = 2 N
```
";

#[test]
fn a_figure_is_one_part_and_is_brought_whole() {
    let figure = "part/q1-equation-box";
    for (from, to, others) in [
        ("above left", "below left", vec![]),
        ("-- the box", "-- a box", vec![]),
        (
            "force G at b above left",
            "force G at b abov left",
            vec!["part/summary"],
        ),
    ] {
        let message = follow(&[SKETCHED, &SKETCHED.replace(from, to)]);
        let mut expected = others;
        expected.push(figure);
        assert_eq!(ids(&message), expected, "{to}");
        let html = html(&message, figure);
        assert_eq!(
            (
                html.matches("<svg").count(),
                html.matches("</figure>").count()
            ),
            (1, 1)
        );
        assert_eq!(message["order"], Value::Null);
    }
    // A result that changes its sign is said below the figure.
    let message = follow(&[SKETCHED, &SKETCHED.replace("F = 2 N", "F = -2 N")]);
    assert!(ids(&message).contains(&figure), "{message}");
    assert!(html(&message, figure).contains("acts to the left"));
    // What is written elsewhere brings no figure.
    let message = follow(&[SKETCHED, &SKETCHED.replace("H = 2 N", "H = 3 N")]);
    assert!(!ids(&message).contains(&figure), "{message}");
}

#[test]
fn a_check_that_fails_is_counted() {
    let message = follow(&[SHEET, &SHEET.replace("V < 50 m/s", "V < 0.1 m/s")]);
    assert_eq!(message["state"], "1 check does not hold");
    assert!(html(&message, "part/summary").contains("One check does not hold"));
}

#[test]
fn a_new_statement_brings_its_part() {
    let more = SHEET.replace("W = 2 V", "U = 4 V = ? m/s\nW = 2 V");
    assert_eq!(ids(&follow(&[SHEET, &more])), ["part/q1-V"]);
}

#[test]
fn a_new_paragraph_or_section_comes_and_goes_without_the_rest() {
    for (new, expected) in [
        ("Words.\n\n## Speed", vec!["part/q1-Q/text-1"]),
        (
            "## Interlude\n\nWords.\n\n## Speed",
            vec!["part/h-interlude", "part/q1-Q/text-1"],
        ),
    ] {
        let more = SHEET.replace("## Speed", new);
        assert_eq!(ids(&follow(&[SHEET, &more])), expected);
        let back = follow(&[&more, SHEET]);
        assert_eq!(ids(&back), Vec::<&str>::new());
        assert_eq!(back["order"][2][0], "part/h-speed");
    }
}

#[test]
fn a_title_that_moves_all_headings_brings_them_and_nothing_else() {
    let titled = format!("---\ntitle: Works\n---\n\n{SHEET}");
    let message = follow(&[SHEET, &titled]);
    let expected = [
        "part/header",
        "part/h-pump",
        "part/h-speed",
        "part/h-section",
    ];
    assert_eq!(
        (ids(&message).as_slice(), &message["title"]),
        (&expected[..], &"Works".into())
    );
}

#[test]
fn space_between_parts_changes_nothing_but_the_version() {
    let message = follow(&[SHEET, &format!("{SHEET}\n\n\n")]);
    assert_eq!(
        (&message["version"], &message["from"]),
        (&2.into(), &1.into())
    );
    assert_eq!(
        (ids(&message), &message["order"]),
        (Vec::new(), &Value::Null)
    );
    assert_eq!(follow(&[SHEET, SHEET]), Value::Null);
}

#[test]
fn another_language_or_paper_is_told() {
    let other = format!("---\nlanguage: de\npaper: letter\n---\n\n{SHEET}");
    let message = follow(&[SHEET, &other]);
    assert_eq!(
        (&message["language"], &message["paper"]),
        (&"de".into(), &"letter".into())
    );
}

#[test]
fn the_page_carries_its_place_and_its_state() {
    let text = format!("{SHEET}\n```work\nZ = 2 Q = ? kg\n```\n");
    let sheet = Sheet::new("w.md", &text, Arc::new(NoFiles));
    let page = sheet.page(&place());
    assert!(page.contains(" data-follow=\"/-/follow/w.md\" data-run=\"r\" data-version=\"1\""));
    assert!(page.contains("<title>Pump</title>"));
    assert!(page.contains(">1 line refused</p>"));
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
const LINES: [&str; 18] = [
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
    "```sketch\nbar: particle -- a bar\nforce F right\nforce G at b above left\n```\n",
    "```sketch\nbar: particle -- a bar\nforce F right\nforce G left\nshow numbers\n```\n",
    "```sketch\nbar: particle\nforce F rigt\nforce G left\n```\n",
    "```sketch\nbox: control volume\ninlet 1 flow right, area a, speed c\noutlet 2 flow up, area a, speed c\n```\n",
    "```derive\nF = G by balance x of bar\nbalance y of bar\n```\nSee [bar].\n",
    "```work\nF = -a = ? m\n```\n",
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
