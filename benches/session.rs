//! What an edit costs in a worksheet that is open: the tool's part between a save and the message
//! to the browser, or between a key and the diagnostics.
//!
//! `cargo bench --bench session` prints medians for 1, 10, 100 and 1000 sections.

use setsquare::live::{Place, Sheet};
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
    turns(bencher, &text, &last(&text, "is taken", "was taken"));
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

/// From the text to the message that is sent to browsers.
#[divan::bench(args = SECTIONS)]
fn message_for_a_datum(bencher: divan::Bencher, sections: usize) {
    let text = worksheet_text(sections);
    let edited = last(&text, "= 42 m", "= 43 m");
    let mut sheet = Sheet::new("plant.md", &text);
    let _ = sheet.page(&Place::default());
    let mut is_edited = false;
    bencher.bench_local(|| {
        is_edited = !is_edited;
        sheet.update(if is_edited { &edited } else { &text })
    });
}
