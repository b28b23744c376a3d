//! The edits that make a dimension or a reading right, where place and text are known.
//!
//! In go the parts that a rule was broken by, out come fixes. What is said beside them is left to
//! the passes that raise the diagnostic.

use super::infer::Inference;
use crate::diagnostic::{Decision, Fix, in_formula};
use crate::quantity::Unit;
use crate::resolve::{Expr, SymbolId};
use crate::syntax;
use crate::text::Span;

impl Inference<'_> {
    /// `absolute(p)` in the place of `p`, where the pressure of the atmosphere is given above.
    pub(super) fn as_absolute(&self, part: &Expr) -> Option<Fix> {
        let part = part.inside();
        let symbol = part.as_symbol()?;
        self.has_atmosphere(symbol, Some(part.span)).then(|| {
            let written = format!("absolute({})", part.span.of(self.text));
            Fix::write(Decision::Choose, part.span, written)
        })
    }

    /// Whether the pressure of the atmosphere is given above a place; prose may read everything.
    pub(super) fn has_atmosphere(&self, beside: SymbolId, place: Option<Span>) -> bool {
        let problem = self.symbols.symbol(beside).problem;
        self.notes.atmospheres.iter().any(|symbol| {
            let atmosphere = self.symbols.symbol(*symbol);
            let is_seen = atmosphere.problem == problem || atmosphere.problem == 0;
            let is_above = |defined: Span| place.is_none_or(|place| defined.end <= place.start);
            is_seen && atmosphere.defined.is_some_and(is_above)
        })
    }

    /// `written` in the place of a part of a formula, in brackets where it needs them.
    pub(super) fn instead(&self, part: &Expr, written: &str) -> Fix {
        let written = in_formula(self.text, part.span, written);
        Fix::write(Decision::Choose, part.span, written)
    }

    /// The magnitude of a vector that stands by its name.
    pub(super) fn magnitude(&self, vector: &Expr) -> Option<Fix> {
        vector.as_symbol()?;
        let (start, end) = (vector.span.start as usize, vector.span.end as usize);
        let before = self.text.get(..start)?.rsplit('\n').next()?;
        let after = self.text.get(end..)?.split('\n').next()?;
        // Further bars in the line would pair with these; a name that is defined is no part.
        let stands_free = !before.contains('|') && !after.contains('|');
        let is_defined = after.trim_start().starts_with('=') && before.trim().is_empty();
        (stands_free && !is_defined).then(|| {
            let written = format!("|{}|", vector.span.of(self.text));
            Fix::write(Decision::Choose, vector.span, written)
        })
    }

    /// `dot(F, s)` and `cross(F, s)` for the product of two vectors side by side.
    pub(super) fn products(&self, left: &Expr, right: &Expr) -> Vec<Fix> {
        let link = Span {
            start: left.span.end,
            end: right.span.start.max(left.span.end),
        };
        let is_between = matches!(link.of(self.text).trim(), "" | "*" | "·" | "×" | "⋅");
        if !is_between || link.len() > 3 + '·'.len_utf8() {
            return Vec::new();
        }
        let written = |function: &str| {
            let place = left.span.cover(right.span);
            let (one, other) = (left.span.of(self.text), right.span.of(self.text));
            Fix::write(
                Decision::Choose,
                place,
                format!("{function}({one}, {other})"),
            )
        };
        ["dot", "cross"].map(written).to_vec()
    }

    /// The unit of a plain angle, where it is given.
    pub(super) fn angle_units(&self, symbol: SymbolId) -> Vec<Fix> {
        let given = |unit| self.given_with(symbol, unit);
        ["deg", "rad"].into_iter().filter_map(given).collect()
    }

    /// A value of `given` with a further word behind it.
    pub(super) fn given_with(&self, symbol: SymbolId, word: &str) -> Option<Fix> {
        let value = self.notes.numbers.get(&symbol)?;
        let written = value.of(self.text);
        let title = format!("write `{written} {word}` where it is given");
        let typed = format!(" {word}");
        Some(Fix::new(Decision::Choose, title, value.at_end(), typed))
    }

    /// An ask, or a claimed number, with `wanted` as its unit; empty for a plain number.
    pub(super) fn asked_in(&self, ask: Span, unit: &Unit, wanted: &str) -> Option<Fix> {
        let span = Span::new(0, wanted.len());
        if !wanted.is_empty() && syntax::parse_unit(wanted, span).is_err() {
            return None;
        }
        let blank = if wanted.is_empty() { "" } else { " " };
        let typed = format!("?{blank}{wanted}");
        let title = format!("write `{typed}`");
        let written = ask.of(self.text);
        if let Some(after) = written.strip_prefix('?') {
            // A knot is kept by its other symbol.
            let source = if wanted == "kN" { "kn" } else { unit.source() };
            let rest = after.trim_start().strip_prefix(source)?;
            let is_whole = rest.is_empty() || rest.starts_with(' ');
            let place = Span::new(ask.start as usize, ask.end as usize - rest.len());
            return (is_whole && !unit.source().is_empty())
                .then(|| Fix::new(Decision::Choose, title, place, typed));
        }
        let is_number = written.starts_with(|character: char| {
            character.is_ascii_digit() || matches!(character, '-' | '−' | '.')
        });
        (is_number && !written.contains('?')).then(|| Fix::new(Decision::Choose, title, ask, typed))
    }

    /// An ask with another word, or none, after its unit.
    pub(super) fn asked_as(&self, ask: Span, word: &str, other: &str) -> Option<Fix> {
        let written = ask.of(self.text);
        let at = written.find(word).filter(|_| written.starts_with('?'))?;
        let start = ask.start as usize + written.get(..at)?.trim_end().len();
        let place = Span::new(start, ask.start as usize + at + word.len());
        let title = match other {
            "" => format!("leave out `{word}`"),
            other => format!("write `{other}`"),
        };
        let blank = if other.is_empty() { "" } else { " " };
        let typed = format!("{blank}{other}");
        Some(Fix::new(Decision::Choose, title, place, typed))
    }
}
