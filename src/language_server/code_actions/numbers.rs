//! The computed number of an ask, written into the text or taken out.

use lsp_types::{CodeAction, Range, TextEdit};

use super::super::documents::Document;
use super::rewrite;
use crate::diagnostic::Edit;
use crate::text::Span;
use crate::worksheet::AskSite;

/// What is offered for the ask at the cursor, or for the nearest one on its line.
pub(super) fn numbers(document: &Document, range: Range) -> Vec<CodeAction> {
    let places = document.places();
    let cursor = places.at(range.start);
    let line = places.source.line_of(cursor);
    let on_line = |site: &AskSite| places.source.line_of(site.place().start) == line;
    let distance = |site: &AskSite| {
        let Span { start, end } = site.place();
        start.saturating_sub(cursor).max(cursor.saturating_sub(end))
    };
    let asks = document.worksheet().asks();
    match asks.filter(on_line).min_by_key(distance) {
        Some(site) if site.is_filled() => {
            let edits = site.emptying(places.source.text());
            let title = "take the computed value out".to_owned();
            vec![rewrite(document, title, placed(document, &edits))]
        }
        Some(site) => write(document, &site).into_iter().collect(),
        None => Vec::new(),
    }
}

fn write(document: &Document, site: &AskSite) -> Option<CodeAction> {
    let edits = site.filling();
    let number = edits.first()?.text.trim_end_matches('?');
    let title = format!("write the computed value here: {number}");
    Some(rewrite(document, title, placed(document, &edits)))
}

fn placed(document: &Document, edits: &[Edit]) -> Vec<TextEdit> {
    let places = document.places();
    let placed = |edit: &Edit| TextEdit {
        range: places.range(edit.span),
        new_text: edit.text.clone(),
    };
    edits.iter().map(placed).collect()
}
