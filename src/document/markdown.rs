//! The Markdown parser: which of its extensions a worksheet has, and a limit on its work.

use std::cell::Cell;
use std::sync::Arc;

use comrak::options::BrokenLinkReference;
use comrak::{Arena, Options, ResolvedReference, try_parse_document};

use super::Piece;
use super::markup::{Block, Hole, Inline};
use super::places::Body;
use super::prose;
use super::writer::Writer;
use crate::diagnostic::{Code, Diagnostic};

/// What the parser counts as steps between two calls of the limit.
const STEPS_A_CALL: usize = 256;
/// Steps for tables that fill their missing cells, whatever the length of the text.
const STEPS_FOR_SHORT_TEXTS: usize = 1_000_000;
/// Steps for each byte: hostile text takes about six, prose less than one.
const STEPS_A_BYTE: usize = 8;
/// Steps for any text: a step takes up to 130 bytes of memory; the largest worksheet that is read
/// (16 MB), if it is all prose, takes half of this.
const STEPS_AT_MOST: usize = 24_000_000;

/// The destination that stands for "no link definition": NUL cannot come from a worksheet.
const LABEL_MARK: &str = "\0";

/// The pieces of a worksheet's body.
pub(super) fn pieces(body: &Body<'_>) -> (Vec<Piece>, Vec<Diagnostic>) {
    let arena = Arena::new();
    let options = options(Notes::Read);
    let limit = limit(body.text().len());
    match try_parse_document(&arena, body.text(), &options, &limit) {
        Ok(root) => Writer::new(body).pieces(root),
        Err(_) => too_intricate(body),
    }
}

/// The text of what is one paragraph.
pub(super) fn inlines(body: &Body<'_>, skip: usize) -> Vec<Inline<Hole>> {
    let arena = Arena::new();
    let options = options(Notes::Ignored);
    let limit = limit(body.text().len());
    match try_parse_document(&arena, body.text(), &options, &limit) {
        Ok(root) => prose::description(body, root, skip),
        Err(_) => {
            let text = body.slice(skip, body.text().len());
            vec![Inline::Text(text.to_owned())]
        }
    }
}

/// The label of a link that no definition explains, if this destination stands for one.
pub(super) fn label(url: &str) -> Option<&str> {
    url.strip_prefix(LABEL_MARK)
}

/// Whether footnotes are read.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Notes {
    Read,
    Ignored,
}

fn options(notes: Notes) -> Options<'static> {
    let mut options = Options::default();
    options.extension.table = true;
    options.extension.strikethrough = true;
    options.extension.description_lists = true;
    options.extension.math_dollars = true;
    options.extension.footnotes = notes == Notes::Read;
    options.parse.broken_link_callback = Some(Arc::new(|link: BrokenLinkReference<'_>| {
        is_label(link.original).then(|| ResolvedReference {
            url: format!("{LABEL_MARK}{}", link.original),
            title: String::new(),
        })
    }));
    options
}

/// A letter, then letters, digits, `_` and `-`.
fn is_label(text: &str) -> bool {
    text.starts_with(|first: char| first.is_ascii_alphabetic())
        && text
            .chars()
            .all(|other| other.is_ascii_alphanumeric() || other == '_' || other == '-')
}

/// Stops the parser where a short text would fill the memory (tables that complete their rows).
fn limit(bytes: usize) -> impl Fn() -> bool {
    let steps = (STEPS_FOR_SHORT_TEXTS + bytes * STEPS_A_BYTE).min(STEPS_AT_MOST);
    let calls_left = Cell::new(steps / STEPS_A_CALL);
    move || match calls_left.get().checked_sub(1) {
        Some(left) => {
            calls_left.set(left);
            false
        }
        None => true,
    }
}

fn too_intricate(body: &Body<'_>) -> (Vec<Piece>, Vec<Diagnostic>) {
    let (_, first_line_end) = body.line(1);
    let diagnostic = Diagnostic::error(
        Code::T02,
        body.span(0, first_line_end),
        "the Markdown of this worksheet has too many parts to be laid out",
    )
    .with_help("split the worksheet, or shorten its tables of empty cells and its runs of marks");
    let whole = Block::Code {
        language: String::new(),
        text: body.text().to_owned(),
    };
    let piece = Piece::Prose {
        span: body.span(0, body.text().len()),
        blocks: vec![whole],
    };
    (vec![piece], vec![diagnostic])
}

#[cfg(test)]
mod tests {
    use super::super::shown::{diagnostics, pieces};
    use super::*;

    #[test]
    fn tables_that_would_fill_the_memory_are_refused_and_shown_as_text() {
        let wide = format!(
            "|{}\n|{}\n{}\n",
            "a|".repeat(700),
            "-|".repeat(700),
            "|a|\n".repeat(700)
        );
        let text = wide.repeat(4);
        assert_eq!(diagnostics(&text)[0].0, Code::T02);
        assert!(pieces(&text)[0].starts_with("<pre>|a|a|"));
    }

    #[test]
    fn labels_are_words() {
        for label in ["balance", "e-1", "A_b"] {
            assert!(is_label(label), "{label}");
        }
        for other in ["", "1a", "_a", "ISO 1", "é", "a."] {
            assert!(!is_label(other), "{other}");
        }
    }
}
