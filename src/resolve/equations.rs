//! Explicit formulas of `derive` that `name = ?` in `work` picks up.

use super::statement::Origin;
use super::{Expr, Resolver};
use crate::diagnostic::{Code, Diagnostic};
use crate::syntax::{self, ExprKind, Name};

/// An equation that was solved for a name: the name stands alone on the left.
#[derive(Debug, Clone, Copy)]
pub(super) struct Equation<'a> {
    /// What stands right of the name.
    formulas: &'a [syntax::Expr],
    /// Its number, when it is labelled.
    number: Option<usize>,
    origin: Origin,
}

/// A formula that was picked up.
pub(super) struct Restated {
    pub members: Vec<Expr>,
    pub number: Option<usize>,
    pub origin: Origin,
}

impl<'a> Resolver<'a> {
    /// Notes the name that the equation is solved for: it stands alone on the left, and nowhere
    /// else.
    pub(super) fn remember(
        &mut self,
        members: &'a [syntax::Expr],
        number: Option<usize>,
        origin: Origin,
    ) {
        let Some((solved, formulas)) = members.split_first() else {
            return;
        };
        let ExprKind::Name(name) = &solved.kind else {
            return;
        };
        let implicit = formulas.iter().any(|formula| mentions(formula, &name.key));
        if !formulas.is_empty() && !implicit {
            self.equations
                .entry((self.problem, name.key.clone()))
                .or_default()
                .push(Equation {
                    formulas,
                    number,
                    origin,
                });
        }
    }

    /// Notes that a formula for this name stands here, but was refused: what asks for it needs it
    /// and is not reported again.
    pub(super) fn remember_refused(&mut self, key: &str, origin: Origin) {
        self.equations
            .entry((self.problem, key.into()))
            .or_default()
            .push(Equation {
                formulas: &[],
                number: None,
                origin,
            });
    }

    /// The nearest formula above for `name`, resolved where it is now evaluated.
    pub(super) fn restate(&mut self, name: &Name) -> Option<Restated> {
        let found = [self.problem, 0]
            .iter()
            .find_map(|problem| self.equations.get(&(*problem, name.key.clone()))?.last())
            .copied();
        let Some(equation) = found else {
            self.report_no_formula(name);
            return None;
        };
        let before = self.diagnostics.len();
        let members: Vec<Option<Expr>> = equation
            .formulas
            .iter()
            .map(|formula| self.expr(formula))
            .collect();
        // The formula is right where it stands; what is missing is missing here.
        for diagnostic in &mut self.diagnostics[before..] {
            let stands = diagnostic.span;
            diagnostic.span = name.span;
            diagnostic.notes.insert(
                0,
                crate::diagnostic::Note {
                    message: "the formula is taken from here".to_owned(),
                    span: Some(stands),
                },
            );
        }
        Some(Restated {
            members: members.into_iter().collect::<Option<Vec<Expr>>>()?,
            number: equation.number,
            origin: equation.origin,
        })
    }

    fn report_no_formula(&mut self, name: &Name) {
        let written = name.span.of(self.text);
        self.diagnostics.push(
            Diagnostic::error(
                Code::N08,
                name.span,
                format!("`{written}` is asked, but no equation above is solved for `{written}`"),
            )
            .with_help(format!(
                "`{written} = … = ?` with its formula, or the equation `{written} = …` in `derive` above"
            )),
        );
    }
}

fn mentions(expr: &syntax::Expr, key: &str) -> bool {
    match &expr.kind {
        ExprKind::Name(name) => &*name.key == key,
        ExprKind::Number(_) | ExprKind::Quantity(_) | ExprKind::Constant(_) => false,
        ExprKind::Sum(terms) => terms.iter().any(|term| mentions(&term.expr, key)),
        ExprKind::Product(factors) => factors.iter().any(|factor| mentions(&factor.expr, key)),
        ExprKind::Power(base, exponent) => mentions(base, key) || mentions(exponent, key),
        ExprKind::Negative(inner) | ExprKind::Group(inner) | ExprKind::Abs(inner) => {
            mentions(inner, key)
        }
        ExprKind::Call {
            name, arguments, ..
        } => &*name.key == key || arguments.iter().any(|argument| mentions(argument, key)),
        ExprKind::List(items) => items.iter().any(|item| mentions(item, key)),
        ExprKind::Cases(cases) => cases.iter().any(|case| {
            mentions(&case.value, key)
                || case
                    .condition
                    .iter()
                    .flat_map(|condition| &condition.members)
                    .any(|member| mentions(member, key))
        }),
    }
}
