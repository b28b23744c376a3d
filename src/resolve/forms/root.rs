//! `f = ? from colebrook near 0.02`: a root of an equation.

use super::super::equations::explicit;
use super::super::statement::{Origin, Tail};
use super::super::{Expr, ExprKind, Resolver, SymbolId};
use super::{Kind, Work};
use crate::diagnostic::{Code, Diagnostic};
use crate::syntax::{self, Name};
use crate::text::Span;

/// A name that is the root of an equation.
#[derive(Debug, Clone, PartialEq)]
pub struct Root {
    /// The name, as an expression.
    pub lead: Expr,
    /// The unknown.
    pub symbol: SymbolId,
    /// The two sides of the equation.
    pub sides: [Expr; 2],
    /// The number of the equation.
    pub number: usize,
    /// The equation, and the definitions that were put into it.
    pub origins: Vec<Origin>,
    /// The label, where it stands in the line.
    pub label: Span,
    /// Where the root is sought.
    pub start: Start,
    /// How the value is shown.
    pub tail: Tail,
}

/// Where a root is sought.
pub type Start = syntax::Start<Expr>;

impl Resolver<'_> {
    /// `f = ? from colebrook near 0.02`
    pub(in crate::resolve) fn root(
        &mut self,
        name: &Name,
        from: &syntax::From,
        tail: Option<Tail>,
        defines: &mut Option<SymbolId>,
    ) -> Option<Kind> {
        let start = self.start(&from.start);
        let at = self.labelled(&from.label);
        let symbol = self.define(name, defines)?;
        let known = self.known[at?].clone();
        if let Some(members) = explicit(&known.members, symbol) {
            let with_values = self.with_own_values(&members, from.label.span)?;
            return Some(Kind::Work(Box::new(Work {
                members: with_values,
                from: known.number,
                origin: Some(known.origin),
                start: start?,
                ..Work::of_name(name.span, symbol, tail?)
            })));
        }
        let mut put_in = self.with_definitions(vec![known], &[symbol], from.label.span)?;
        let known = put_in.equations.remove(0);
        let [left, right] = known.members.as_slice() else {
            self.diagnostics.push(
                Diagnostic::error(
                    Code::N14,
                    from.label.span,
                    format!(
                        "`{}` has more than two sides, and only one equation is solved here",
                        from.label.text
                    ),
                )
                .with_help("an equation with one equals sign"),
            );
            return None;
        };
        if !known.mentions(symbol) {
            self.report_not_there(name, from.label.span, &from.label.text);
            return None;
        }
        self.all_ready(&[left, right], &[symbol], from.label.span)?;
        Some(Kind::Root(Box::new(Root {
            lead: Expr {
                span: name.span,
                kind: ExprKind::Symbol(symbol),
            },
            symbol,
            sides: [left.clone(), right.clone()],
            number: known.number.unwrap_or(0),
            origins: std::iter::once(known.origin)
                .chain(put_in.origins)
                .collect(),
            label: from.label.span,
            start: start?,
            tail: tail?,
        })))
    }

    /// The sides of an equation that says what a name is, of which one at least has values.
    fn with_own_values(&mut self, members: &[Expr], label: Span) -> Option<Vec<Expr>> {
        let with_values = self.with_values(members);
        if with_values.is_empty() {
            let first: Vec<&Expr> = members.first().into_iter().collect();
            self.all_ready(&first, &[], label)?;
        }
        Some(with_values)
    }

    pub(in crate::resolve) fn report_not_there(&mut self, name: &Name, place: Span, label: &str) {
        let written = name.span.of(self.text);
        self.diagnostics.push(
            Diagnostic::error(
                Code::N14,
                place,
                format!("`{written}` does not stand in `{label}`, so that equation says nothing about it"),
            )
            .with_help(format!("the label of an equation with `{written}` in it")),
        );
    }

    fn start(&mut self, start: &syntax::Start) -> Option<Start> {
        Some(match start {
            syntax::Start::Anywhere => Start::Anywhere,
            syntax::Start::Near(value) => Start::Near(Box::new(self.expr(value)?)),
            syntax::Start::Between(low, high) => {
                let [low, high] = bounds(low, high).map(|bound| self.expr(&bound));
                Start::Between(Box::new(low?), Box::new(high?))
            }
        })
    }
}

/// A bound without a unit is in the unit of the other: `between 8 and 100 mm`; the second only where
/// it is zero, since of `between 8 mm and 100` the unit could have been forgotten.
pub(in crate::resolve) fn bounds(low: &syntax::Expr, high: &syntax::Expr) -> [syntax::Expr; 2] {
    let is_zero = matches!(&high.kind, syntax::ExprKind::Quantity(own) if own.is_plain_zero());
    let above = if is_zero {
        in_unit_of(high, low)
    } else {
        high.clone()
    };
    [in_unit_of(low, high), above]
}

fn in_unit_of(bound: &syntax::Expr, other: &syntax::Expr) -> syntax::Expr {
    let mut bound = bound.clone();
    if let (syntax::ExprKind::Quantity(own), syntax::ExprKind::Quantity(other)) =
        (&mut bound.kind, &other.kind)
        && own.unit.is_none()
        && own.datum.is_none()
    {
        own.unit.clone_from(&other.unit);
        own.datum = other.datum;
    }
    bound
}
