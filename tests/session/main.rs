//! A worksheet that is edited equals one that is compiled afresh, and no more of it is computed
//! again than the edit asks for.

mod claims;
mod random;

use std::mem::discriminant;

use setsquare::page::{self, Parts};
use setsquare::text::Source;
use setsquare::typeset::Names;
use setsquare::worksheet::{self, Change, PartKind, Session, Worksheet};

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
    let parts = (worksheet.parts.iter())
        .map(|part| {
            let what = match &part.kind {
                PartKind::Block { kind, statements } => format!(
                    "{} {:?}",
                    kind.word(),
                    (statements.iter())
                        .map(|line| (line.line, line.id.clone(), line.diagnostics.len()))
                        .collect::<Vec<_>>()
                ),
                _ => String::new(),
            };
            format!("{} {} {what}", part.problem, place(part.span.start))
        })
        .collect();
    (page::html(worksheet), report, parts)
}

/// Each part of the page, as it is written by itself.
fn parts(session: &Session) -> Vec<String> {
    let worksheet = session.worksheet();
    let names = Names::new(&worksheet.symbols);
    let written = Parts::new(worksheet, &names).all();
    written.into_iter().map(|part| part.html).collect()
}

/// Gives the session another text, and fails where a part changes that it does not name.
fn update(session: &mut Session, text: &str) -> Change {
    let kinds = |session: &Session| -> Vec<_> {
        let parts = session.worksheet().parts.iter();
        parts.map(|part| discriminant(&part.kind)).collect()
    };
    let (before, kinds_before) = (parts(session), kinds(session));
    let change = session.update(text);
    if let Change::Parts(named) = &change {
        let after = parts(session);
        assert_eq!(kinds_before, kinds(session), "{text}");
        for (at, (before, after)) in before.iter().zip(&after).enumerate() {
            assert!(
                named.contains(&at) || before == after,
                "part {at} is not named in {change:?}:\n{before}\n{after}\n{text}"
            );
        }
    }
    change
}

/// Fails where the session does not hold what a fresh compilation of its text gives.
fn assert_equal(session: &Session, before: &str, change: &Change) {
    let text = session.text();
    let (kept, new) = (seen(session.worksheet()), seen(&fresh(text)));
    if kept == new {
        return;
    }
    let context = format!("after {change:?}\nbefore:\n{before}\nafter:\n{text}");
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
