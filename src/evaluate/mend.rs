//! The edits that a computed value puts right, where place and text are known.
//!
//! In go a value and the text that does not fit it, out come fixes. What is said beside them is
//! left to the passes that raise the diagnostic.

use super::roots::Failure;
use super::solve::Unsolved;
use super::{Verdict, claims};
use crate::diagnostic::{Decision, Fix};
use crate::quantity;
use crate::resolve::statement::Literal;
use crate::resolve::{SymbolId, Symbols};
use crate::text::Span;

/// `number`, which is what was computed, in the place of the one that is claimed; none where
/// that would not be right, as for one entry of a list.
pub(super) fn claim(computed: f64, number: String, claim: &Literal) -> Option<Fix> {
    let value = number.parse().unwrap_or(f64::NAN);
    let precision = quantity::written_precision(&number);
    let is_right = claims::compare_claim(value, computed, precision) == Verdict::Right;
    let typed = format!("{number} {}", claim.unit.source());
    (is_right && claim.values.len() == 1).then(|| numbers(claim, number, typed.trim_end()))
}

/// What is computed in the place of the numbers of a claim; `typed` is the whole claim then.
pub(super) fn numbers(claim: &Literal, numbers: String, typed: &str) -> Fix {
    let title = format!("write `{typed}`");
    Fix::new(Decision::Choose, title, claim.number, numbers)
}

/// A tolerance without the minus sign that it begins with.
pub(super) fn without_sign(text: &str, tolerance: Span) -> Option<Fix> {
    let written = tolerance.of(text);
    let rest = written.strip_prefix(['-', '−'])?.trim_start();
    let end = tolerance.end as usize - rest.len();
    let sign = Span::new(tolerance.start as usize, end);
    let title = format!("write `{rest}`");
    Some(Fix::new(Decision::Choose, title, sign, ""))
}

/// The name of a list where it is defined.
pub(super) fn list_name(text: &str, symbols: &Symbols, symbol: SymbolId) -> Option<Fix> {
    let symbol = symbols.symbol(symbol);
    let place = symbol.defined?;
    let name = format!("{}_i", place.of(text));
    let is_taken = symbols.find(symbol.problem, &name).is_some();
    (!is_taken).then(|| Fix::write(Decision::Choose, place, name))
}

/// `near` with each root of a bracket that holds several, or with a value that is left open.
pub(super) fn starts(
    text: &str,
    bracket: Span,
    unsolved: &Unsolved,
    shown: &dyn Fn(usize, f64) -> String,
) -> Vec<Fix> {
    if matches!(unsolved, Unsolved::NeedsStart) {
        let title = "write `near …` after the label";
        let place = bracket.at_end();
        return vec![Fix::new(Decision::Complete, title, place, " near …")];
    }
    let Unsolved::Search(Failure::Several(roots)) = unsolved else {
        return Vec::new();
    };
    let before = text.get(..bracket.start as usize).unwrap_or("").trim_end();
    let Some(before) = before.strip_suffix("between") else {
        return Vec::new();
    };
    let place = Span::new(before.len(), bracket.end as usize);
    let roots = roots.iter().map(|root| shown(0, *root).replace('−', "-"));
    roots
        // A power of ten is not printed as it is typed.
        .filter(|root| !root.contains('×'))
        .map(|root| Fix::write(Decision::Choose, place, format!("near {root}")))
        .collect()
}
