//! The names of a formula. Position decides: a name right after a number that no line defines is
//! a unit, by the same rules by which names are resolved.

use super::Target;
use super::walk::{Rank, Walker};
use crate::quantity;
use crate::syntax::{Expr, ExprKind, Factor, Name, Operator, UnitExpr};
use crate::text::Span;

impl Walker<'_> {
    /// Notes the names of a formula.
    pub fn expr(&mut self, expr: &Expr) {
        match &expr.kind {
            ExprKind::Name(name) | ExprKind::Component(name, _) => self.name(name, Rank::Use),
            ExprKind::Quantity(literal) => self.literal(literal),
            ExprKind::Constant(word) => self.note(word.span, Target::Constant, Rank::Use),
            ExprKind::Product(factors) => self.product(factors),
            ExprKind::Call {
                name, arguments, ..
            } => {
                self.name(name, Rank::Use);
                arguments.iter().for_each(|argument| self.expr(argument));
            }
            _ => expr.for_each_part(&mut |part| self.expr(part)),
        }
    }

    fn product(&mut self, factors: &[Factor]) {
        let mut at = 0;
        while let Some(factor) = factors.get(at) {
            let (next, units) = self.units_after(factors, at);
            if next > at {
                for span in units {
                    self.note(span, Target::Unit, Rank::Use);
                }
                at = next;
            } else {
                self.expr(&factor.expr);
                at += 1;
            }
        }
    }

    /// The units of the literal at a place of a product, and the factor after it; the same place
    /// when no literal with a unit stands there.
    fn units_after(&self, factors: &[Factor], at: usize) -> (usize, Vec<Span>) {
        let none = (at, Vec::new());
        let Some(first) = after_number(factors, at) else {
            return none;
        };
        let mut units = Vec::new();
        let mut next = first;
        while let Some(factor) = factors.get(next) {
            let joins = factor.operator == Operator::Juxtapose || next > first;
            if !joins || !self.unit_names(&factor.expr, &mut units) {
                break;
            }
            next += 1;
        }
        if next == first || (self.symbolic && !self.is_unit_in_symbols(&units)) {
            return none;
        }
        (next, units)
    }

    /// In `derive` single letters after a number are quantities.
    fn is_unit_in_symbols(&self, units: &[Span]) -> bool {
        let is_letter = |span: &Span| self.slice(*span).chars().count() == 1;
        !units.iter().all(is_letter)
    }

    /// Gathers the names of a factor that reads as a unit; false when it does not.
    fn unit_names(&self, expr: &Expr, units: &mut Vec<Span>) -> bool {
        match &expr.kind {
            ExprKind::Name(name) if self.is_unit(name) => {
                units.push(name.span);
                true
            }
            ExprKind::Power(base, _) if matches!(base.kind, ExprKind::Name(_)) => {
                self.unit_names(base, units)
            }
            ExprKind::Group(inner) => match &inner.kind {
                ExprKind::Product(factors) => {
                    let before = units.len();
                    let all = (factors.iter()).all(|factor| self.unit_names(&factor.expr, units));
                    if !all {
                        units.truncate(before);
                    }
                    all
                }
                _ => false,
            },
            _ => false,
        }
    }

    /// Whether a name right after a number is a unit.
    pub fn is_unit(&self, name: &Name) -> bool {
        let is_quantity = self.symbol(&name.key).is_some()
            || self.parameters.iter().any(|(key, _)| **key == *name.key)
            || &*name.key == "pi";
        !is_quantity && quantity::is_unit(self.slice(name.span))
    }

    /// Notes the symbols of a unit that stands where only a unit can stand.
    pub fn unit(&mut self, unit: &UnitExpr) {
        for factor in &unit.factors {
            if !factor.span.is_empty() && &*factor.symbol != "1" && !factor.symbol.is_empty() {
                self.note(factor.span, Target::Unit, Rank::Use);
            }
        }
    }
}

/// The factor after the number, the fraction or the list of numbers at a place.
fn after_number(factors: &[Factor], at: usize) -> Option<usize> {
    let is_number = |expr: &Expr| matches!(expr.kind, ExprKind::Number(_));
    match &factors.get(at)?.expr.kind {
        ExprKind::Number(_) => {
            let is_fraction = at == 0
                && factors.get(1).is_some_and(|below| {
                    below.operator == Operator::Divide && is_number(&below.expr)
                });
            Some(if is_fraction { 2 } else { at + 1 })
        }
        ExprKind::List(items) | ExprKind::Vector(items) if items.iter().all(is_number) => {
            Some(at + 1)
        }
        _ => None,
    }
}
