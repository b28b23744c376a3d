//! Writing the engine's numbers into the source, and taking them out again.
//!
//! `= ? kN to 3 figures` becomes `= -19.0 kN ? to 3 figures`; nothing else in the file changes.
//! An ask without a unit becomes `= -19.0 kN?`, with no blank before the mark, so that taking
//! the number out gives back the ask without a unit. A word that was asked without a unit stays
//! behind the mark: `= ? gauge` becomes `= 42.0 kPa? gauge`.

use super::model::Worksheet;
use crate::diagnostic::Edit;
use crate::text::Span;

/// The text of a worksheet with every ask answered.
pub fn fill(worksheet: &Worksheet) -> String {
    let edits = worksheet.asks().flat_map(|ask| ask.filling());
    apply(worksheet.source.text(), edits.collect())
}

/// The text of a worksheet with the engine's numbers taken out of its asks.
pub fn unfill(worksheet: &Worksheet) -> String {
    let text = worksheet.source.text();
    let edits = worksheet.asks().flat_map(|site| site.emptying(text));
    apply(text, edits.collect())
}

/// What stands at a place of a worksheet, with the engine's numbers taken out of its asks.
pub fn emptied(worksheet: &Worksheet, place: Span) -> String {
    let text = worksheet.source.text();
    let edits = worksheet.asks().flat_map(|site| site.emptying(text));
    let within = |edit: &Edit| place.start <= edit.span.start && edit.span.end <= place.end;
    apply_within(text, place, edits.filter(within).collect())
}

/// The same with asks at some places besides.
pub fn asking(worksheet: &Worksheet, asks: Vec<(Span, String)>) -> String {
    let text = worksheet.source.text();
    let edits = worksheet.asks().flat_map(|site| site.emptying(text));
    let asks = asks.into_iter().map(|(span, text)| Edit { span, text });
    apply(text, edits.chain(asks).collect())
}

/// Applies edits that do not overlap.
fn apply(text: &str, edits: Vec<Edit>) -> String {
    apply_within(text, Span::new(0, text.len()), edits)
}

/// What stands at a place of a text, with edits there that do not overlap.
pub(super) fn apply_within(text: &str, place: Span, mut edits: Vec<Edit>) -> String {
    edits.sort_by_key(|edit| edit.span);
    let text = text.get(..place.end as usize).unwrap_or(text);
    let mut at = place.start as usize;
    let mut out = String::with_capacity(text.len() - at + 16 * edits.len());
    for edit in edits {
        let (start, end) = (edit.span.start as usize, edit.span.end as usize);
        // The same ask is never noted twice, but a broken span must not lose text.
        if start < at {
            continue;
        }
        out.push_str(&text[at..start]);
        out.push_str(&edit.text);
        at = end;
    }
    out.push_str(&text[at..]);
    out
}
