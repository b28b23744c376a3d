//! A worksheet that is edited equals one that is compiled afresh.

mod cases;
mod random;
mod taken;

use setsquare::page;
use setsquare::text::Source;
use setsquare::worksheet::{self, PartKind, Session, Worksheet};

const NAME: &str = "edited.md";

/// A session that holds `text`.
fn session(text: &str) -> Session {
    let mut session = Session::new(NAME);
    session.update(text);
    session
}

fn fresh(text: &str) -> Worksheet {
    worksheet::compile(Source::new(NAME, text))
}

/// Everything of a worksheet that anybody can see.
fn seen(worksheet: &Worksheet) -> (String, String, Vec<String>) {
    let report = page::report(std::slice::from_ref(worksheet));
    let place = |at| {
        let place = worksheet.source.position(at);
        format!("{}:{}", place.line, place.column)
    };
    let parts = (worksheet.parts())
        .map(|(placed, part)| {
            let what = match &part.kind {
                PartKind::Block { kind, statements } => format!(
                    "{} {:?}",
                    kind.word(),
                    (statements.iter())
                        .map(|line| {
                            let line_of = worksheet.line(placed, line.span);
                            (line_of, placed.anchor(&line.id), line.diagnostics.len())
                        })
                        .collect::<Vec<_>>()
                ),
                _ => String::new(),
            };
            let start = placed.place(part.span.start);
            format!("{} {} {what}", placed.number, place(start))
        })
        .collect();
    (page::html(worksheet), report, parts)
}

/// Fails where the session does not hold what a fresh compilation of its text gives.
fn assert_equal(session: &Session, before: &str) {
    let text = session.text();
    let (kept, new) = (seen(session.worksheet()), seen(&fresh(text)));
    if kept == new {
        return;
    }
    let context = format!("before:\n{before}\nafter:\n{text}");
    for (kept, new) in [(&kept.1, &new.1), (&kept.0, &new.0)] {
        let (kept, new): (Vec<&str>, Vec<&str>) = (kept.lines().collect(), new.lines().collect());
        if let Some(at) = (kept.iter().zip(&new)).position(|(kept, new)| kept != new) {
            let around = |lines: &[&str]| {
                let reach = at.saturating_sub(10)..(at + 3).min(lines.len());
                lines[reach].join("\n")
            };
            panic!(
                "the session has\n{}\nbut it should be\n{}\n{context}",
                around(&kept),
                around(&new)
            );
        }
    }
    assert_eq!(kept.2, new.2, "{context}");
    panic!("{context}");
}
