//! What an edit costs in a worksheet that is open: the tool's part between a save and the message
//! to the browser, or between a key and the diagnostics.
//!
//! `cargo bench --bench session` prints medians for 1, 10, 100 and 1000 sections.
#![expect(
    clippy::expect_used,
    reason = "the worksheets are written here, or are the repository's own"
)]

use std::sync::Arc;

use setsquare::live::Sheet;
use setsquare::text::NoFiles;
use setsquare::worksheet::Session;

mod sheets;

use sheets::{SECTIONS, worksheet_text};

fn main() {
    divan::main();
}

/// Gives a session two texts by turns.
fn turns(bencher: divan::Bencher, text: &str, edited: &str) {
    assert_ne!(text, edited);
    let mut session = Session::new("plant.md");
    session.update(text);
    let mut is_edited = false;
    bencher.bench_local(|| {
        is_edited = !is_edited;
        session.update(if is_edited { edited } else { text })
    });
}

/// The text with the last `from` changed.
fn last(text: &str, from: &str, to: &str) -> String {
    let at = text.rfind(from).expect("the text has it");
    format!("{}{to}{}", &text[..at], &text[at + from.len()..])
}

#[divan::bench(args = SECTIONS)]
fn prose(bencher: divan::Bencher, sections: usize) {
    let text = worksheet_text(sections);
    turns(
        bencher,
        &text,
        &last(&text, "is **disputed**", "was *disputed*"),
    );
}

#[divan::bench(args = SECTIONS)]
fn datum_at_the_end(bencher: divan::Bencher, sections: usize) {
    let text = worksheet_text(sections);
    turns(bencher, &text, &last(&text, "= 42 m", "= 43 m"));
}

#[divan::bench(args = SECTIONS)]
fn formula_at_the_end(bencher: divan::Bencher, sections: usize) {
    let text = worksheet_text(sections);
    turns(bencher, &text, &last(&text, "pi*d_", "3*d_"));
}

/// A third of all results depends on it.
#[divan::bench(args = SECTIONS)]
fn datum_at_the_top(bencher: divan::Bencher, sections: usize) {
    let text = worksheet_text(sections);
    turns(bencher, &text, &text.replacen("= 42 m", "= 43 m", 1));
}

/// A line that cannot be read while it is typed, on which others depend.
#[divan::bench(args = SECTIONS)]
fn broken_line(bencher: divan::Bencher, sections: usize) {
    let text = worksheet_text(sections);
    turns(bencher, &text, &last(&text, "= pi*d_", "= pi*"));
}

/// A name that is typed anew.
#[divan::bench(args = SECTIONS)]
fn new_name(bencher: divan::Bencher, sections: usize) {
    let text = worksheet_text(sections);
    turns(bencher, &text, &last(&text, "```\n", "z = 1*A_1\n```\n"));
}

/// The worked problems, with their proofs and roots: opened.
#[divan::bench(args = WORKED)]
fn worked_whole(bencher: divan::Bencher, name: &str) {
    let text = worked(name);
    bencher.bench(|| {
        let mut session = Session::new("plant.md");
        session.update(&text)
    });
}

/// The same, with a word more at the end.
#[divan::bench(args = WORKED)]
fn worked_prose(bencher: divan::Bencher, name: &str) {
    let text = worked(name);
    turns(bencher, &text, &format!("{text}\nWords.\n"));
}

/// The same: a digit of the first datum is changed.
#[divan::bench(args = WORKED)]
fn worked_datum_at_the_top(bencher: divan::Bencher, name: &str) {
    let text = worked(name);
    let block = text.find("```given").expect("it has data");
    turns(bencher, &text, &with_a_digit_more(&text, block));
}

/// The same, of the last data.
#[divan::bench(args = WORKED)]
fn worked_datum(bencher: divan::Bencher, name: &str) {
    let text = worked(name);
    let block = text.rfind("```given").expect("it has data");
    turns(bencher, &text, &with_a_digit_more(&text, block));
}

/// The text with a digit more in the first number of a block.
fn with_a_digit_more(text: &str, block: usize) -> String {
    let line = text[block..].find("= ").expect("a datum has a value") + block + 2;
    let digits = text[line..].find(' ').expect("and a unit") + line;
    format!("{}1{}", &text[..digits], &text[digits..])
}

/// The same, with one more check.
#[divan::bench(args = WORKED)]
fn worked_check(bencher: divan::Bencher, name: &str) {
    let text = worked(name);
    turns(
        bencher,
        &text,
        &last(&text, "```check\n", "```check\n1 < 2\n"),
    );
}

/// The same, with a line of the last derivation that cannot be read.
#[divan::bench(args = WORKED)]
fn worked_derivation(bencher: divan::Bencher, name: &str) {
    let text = worked(name);
    let block = text.rfind("```derive").expect("it has a derivation");
    let line = text[block..].find(" = ").expect("which has an equation") + block + 3;
    let edited = format!("{}*{}", &text[..line], &text[line..]);
    turns(bencher, &text, &edited);
}

/// The same, with the last step that is to follow written another way.
#[divan::bench(args = &WORKED[1..])]
fn worked_step(bencher: divan::Bencher, name: &str) {
    let text = worked(name);
    let step = text.rfind("therefore ").expect("it has a step");
    let line = text[step..].find(" = ").expect("which is an equation") + step + 3;
    let edited = format!("{}1*{}", &text[..line], &text[line..]);
    turns(bencher, &text, &edited);
}

const WORKED: [&str; 5] = [
    "penstock-bend",
    "pendulum-period",
    "pipe-friction",
    "sluice-gate",
    "truss-joint",
];

fn worked(name: &str) -> String {
    let folder = concat!(env!("CARGO_MANIFEST_DIR"), "/worksheets");
    std::fs::read_to_string(format!("{folder}/{name}.md")).expect("the worksheet is there")
}

/// From the text to the message that is sent to browsers.
#[divan::bench(args = SECTIONS)]
fn message_for_a_datum(bencher: divan::Bencher, sections: usize) {
    let text = worksheet_text(sections);
    let edited = last(&text, "= 42 m", "= 43 m");
    let mut sheet = Sheet::new("plant.md", &text, Arc::new(NoFiles));
    let mut is_edited = false;
    bencher.bench_local(|| {
        is_edited = !is_edited;
        sheet.update(if is_edited { &edited } else { &text })
    });
}
