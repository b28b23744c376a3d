//! The balance that a line names, written into it.

use lsp_types::{CodeAction, Range, TextEdit};

use super::super::documents::Document;
use super::super::sketches;
use super::rewrite;

/// What is offered for the line at the cursor: the derived equation in the place of what stands
/// before `by`, or of a line that only names the balance.
pub(super) fn balances(document: &Document, range: Range) -> Option<CodeAction> {
    let places = document.places();
    let named = sketches::balance(document, places.at(range.start))?;
    let written = format!("{} by {}", named.derived, named.words);
    let source = places.source.slice(named.body);
    let is_there = source.split_whitespace().eq(written.split_whitespace());
    (!is_there).then(|| {
        let edit = TextEdit {
            range: places.range(named.body),
            new_text: written,
        };
        rewrite(document, "write the balance".to_owned(), vec![edit])
    })
}
