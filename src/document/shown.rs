//! Pieces in a form that tests can compare: one line a piece.

use super::{Fragment, Piece, parse};
use crate::diagnostic::Code;
use crate::text::Source;

/// The pieces of a worksheet. Fragments stand in their HTML as `{code …}`, `{tex …}`,
/// `{label …}`, each with the text at its place.
pub(super) fn pieces(text: &str) -> Vec<String> {
    let source = Source::new("w.md", text);
    let (document, _) = parse(&source);
    document
        .pieces
        .iter()
        .map(|piece| shown(&source, piece))
        .collect()
}

/// The codes of what is wrong with a worksheet, each with the text at its place.
pub(super) fn diagnostics(text: &str) -> Vec<(Code, String)> {
    let source = Source::new("w.md", text);
    let (_, diagnostics) = parse(&source);
    diagnostics
        .iter()
        .map(|found| (found.code, source.slice(found.span).to_owned()))
        .collect()
}

fn shown(source: &Source, piece: &Piece) -> String {
    match piece {
        Piece::Heading {
            level,
            id,
            fragments: inside,
            ..
        } => {
            format!("h{level} {id}: {}", fragments(source, inside))
        }
        Piece::Prose {
            fragments: inside, ..
        } => fragments(source, inside).replace('\n', ""),
        Piece::Block {
            kind_word, lines, ..
        } => {
            let lines: Vec<&str> = lines.iter().map(|line| source.slice(*line)).collect();
            format!("{kind_word} {lines:?}")
        }
    }
}

/// Fragments, each with the text at its place.
pub(super) fn fragments(source: &Source, fragments: &[Fragment]) -> String {
    fragments
        .iter()
        .map(|fragment| match fragment {
            Fragment::Html(html) => html.clone(),
            Fragment::Code { span, .. } => format!("{{code {}}}", source.slice(*span)),
            Fragment::Tex { display, span, .. } => match display {
                true => format!("{{display {}}}", source.slice(*span).trim()),
                false => format!("{{tex {}}}", source.slice(*span)),
            },
            Fragment::Reference {
                label, span, text, ..
            } => match text {
                Some(text) => format!("{{label {label} ({text}) {}}}", source.slice(*span)),
                None => format!("{{label {label} {}}}", source.slice(*span)),
            },
        })
        .collect()
}
