//! Dimensions in words: "a force (N)".

use super::Form;
use super::infer::Inference;
use crate::diagnostic::Diagnostic;
use crate::quantity::{Dimension, Unit};
use crate::resolve::{Expr, ExprKind, SymbolId};

/// "a force (N)", "kg/(m²·s)", "a plain number".
pub fn dimension(dimension: Dimension) -> String {
    in_unit(dimension, &dimension.symbol())
}

fn in_unit(dimension: Dimension, unit: &str) -> String {
    if dimension.is_none() {
        return "a plain number".to_owned();
    }
    match dimension.noun() {
        Some(noun) => {
            let article = if noun.starts_with(['a', 'e', 'i', 'o']) {
                "an"
            } else {
                "a"
            };
            format!("{article} {noun} ({unit})")
        }
        None => unit.to_owned(),
    }
}

impl Inference<'_> {
    /// Adds where a datum without a unit stands among the factors of `parts`, if there is just
    /// one: it is what most often makes dimensions differ.
    pub(super) fn with_plain_datum(&self, diagnostic: Diagnostic, parts: &[&Expr]) -> Diagnostic {
        let mut data = Vec::new();
        for part in parts {
            self.plain_data(part, &mut data);
        }
        let [datum] = data.as_slice() else {
            return diagnostic;
        };
        match self.symbols.symbol(*datum).defined {
            Some(span) => {
                let note = format!("`{}` has no unit here", span.of(self.text));
                diagnostic.with_note(note, span)
            }
            None => diagnostic,
        }
    }

    /// Adds that `C` is the coulomb, where sides differ by a temperature and a charge, or `F` the
    /// farad.
    pub(super) fn with_degree(&self, diagnostic: Diagnostic, parts: &[&Expr]) -> Diagnostic {
        let mut units: Vec<&str> = Vec::new();
        for part in parts {
            part.for_each_symbol(&mut |symbol, _| {
                units.extend(self.notes.units.get(&symbol).map(Unit::source));
            });
        }
        let has = |letter: &str| {
            units.iter().any(|unit| {
                let mut symbols = unit.split(|symbol: char| !symbol.is_alphanumeric());
                symbols.any(|symbol| symbol == letter)
            })
        };
        let note = match (has("C"), has("F")) {
            (true, _) => "`C` is the coulomb: the degree Celsius is `degC`",
            (false, true) => "`F` is the farad: the degree Fahrenheit is `degF`",
            (false, false) => return diagnostic,
        };
        let place = parts.first().map(|part| part.span).unwrap_or_default();
        diagnostic.with_note(note, place)
    }

    fn plain_data(&self, part: &Expr, data: &mut Vec<SymbolId>) {
        match &part.kind {
            ExprKind::Symbol(symbol) => {
                let is_plain = || self.exact(*symbol).is_some();
                if !data.contains(symbol) && is_plain() {
                    data.push(*symbol);
                }
            }
            ExprKind::Product(factors) => {
                for factor in &**factors {
                    self.plain_data(&factor.expr, data);
                }
            }
            ExprKind::Power(inner, _) | ExprKind::Negative(inner) | ExprKind::Group(inner) => {
                self.plain_data(inner, data);
            }
            _ => {}
        }
    }

    /// What an expression is, in the author's own unit where it is a name with one.
    pub(super) fn what(&self, expr: &Expr, form: &Form) -> String {
        let Some(found) = self.settled(form).dimension() else {
            return "of a dimension that is not known yet".to_owned();
        };
        let unit = match &expr.inside().kind {
            ExprKind::Symbol(symbol) => self.unit_of(*symbol).map(str::to_owned),
            ExprKind::Quantity(quantity) => Some(quantity.unit.text().to_owned()),
            _ => None,
        };
        match unit {
            Some(unit) if !unit.is_empty() => in_unit(found, &unit),
            _ => dimension(found),
        }
    }

    /// The author's text of an expression, on one line and not too long.
    pub(super) fn written(&self, expr: &Expr) -> String {
        const SHOWN: usize = 60;
        let text = expr.span.of(self.text).split_whitespace();
        let text = text.collect::<Vec<_>>().join(" ");
        if text.chars().count() <= SHOWN {
            return text;
        }
        let mut short: String = text.chars().take(SHOWN).collect();
        short.push('…');
        short
    }
}
