//! Explicit formulas of `derive` that `name = ?` in `work` picks up.

use super::statement::Origin;
use super::{Expr, Resolver};
use crate::diagnostic::{Code, Diagnostic};
use crate::syntax::{self, ExprKind, Name};

/// An equation that was solved for a name.
#[derive(Debug, Clone)]
pub(super) struct Equation<'a> {
    formulas: Formulas<'a>,
    /// Its number, when it is labelled.
    number: Option<usize>,
    origin: Origin,
}

/// What a name was solved to be.
#[derive(Debug, Clone)]
enum Formulas<'a> {
    /// What the author wrote right of the name, which stands alone on the left.
    Author(&'a [syntax::Expr]),
    /// What the engine found: one formula a branch.
    Engine(Vec<Expr>),
    /// It was refused: what asks for it needs it and is not reported again.
    Refused,
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
            self.remember_as(&name.key, Formulas::Author(formulas), number, origin);
        }
    }

    /// Notes what the engine solved a name to be, one formula a branch.
    pub(super) fn remember_formulas(
        &mut self,
        key: &str,
        formulas: Vec<Expr>,
        number: Option<usize>,
        origin: Origin,
    ) {
        self.remember_as(key, Formulas::Engine(formulas), number, origin);
    }

    /// Notes that a formula for this name stands here, but was refused.
    pub(super) fn remember_refused(&mut self, key: &str, origin: Origin) {
        self.remember_as(key, Formulas::Refused, None, origin);
    }

    fn remember_as(
        &mut self,
        key: &str,
        formulas: Formulas<'a>,
        number: Option<usize>,
        origin: Origin,
    ) {
        let equation = Equation {
            formulas,
            number,
            origin,
        };
        self.equations
            .entry((self.problem, key.into()))
            .or_default()
            .push(equation);
    }

    /// The nearest formula above for `name`, resolved where it is now evaluated.
    pub(super) fn restate(&mut self, name: &Name) -> Option<Restated> {
        let found = [self.problem, 0]
            .iter()
            .find_map(|problem| self.equations.get(&(*problem, name.key.clone()))?.last())
            .cloned();
        let Some(equation) = found else {
            self.report_no_formula(name);
            return None;
        };
        let members = match equation.formulas {
            Formulas::Author(formulas) => self.resolved_again(name, formulas)?,
            Formulas::Engine(formulas) => match formulas.as_slice() {
                [only] => {
                    self.all_ready(&[only], &[], name.span)?;
                    formulas
                }
                several => {
                    self.report_branches(name, several.len(), equation.origin);
                    return None;
                }
            },
            // The members of a refused formula are none: the line then needs the formula.
            Formulas::Refused => Vec::new(),
        };
        Some(Restated {
            members,
            number: equation.number,
            origin: equation.origin,
        })
    }

    fn resolved_again(&mut self, name: &Name, formulas: &[syntax::Expr]) -> Option<Vec<Expr>> {
        let before = self.diagnostics.len();
        let members: Vec<Option<Expr>> =
            formulas.iter().map(|formula| self.expr(formula)).collect();
        // The formula is right where it stands; what is missing is missing here.
        for diagnostic in &mut self.diagnostics[before..] {
            let stands = diagnostic.span;
            diagnostic.span = name.span;
            diagnostic.fixes.clear();
            diagnostic.notes.insert(
                0,
                crate::diagnostic::Note {
                    message: "the formula is taken from here".to_owned(),
                    span: Some(stands),
                },
            );
        }
        members.into_iter().collect()
    }

    fn report_branches(&mut self, name: &Name, branches: usize, origin: Origin) {
        let written = name.span.of(self.text);
        let solved = self.spans.get(&origin).copied();
        let mut diagnostic = Diagnostic::error(
            Code::A04,
            name.span,
            format!("`{written}` was solved with {branches} branches, and none of them was chosen"),
        )
        .with_help(format!(
            "the sign or range where it is solved: `solve … for {written} with {written} > 0`"
        ));
        if let Some(span) = solved {
            diagnostic = diagnostic.with_note("it was solved here", span);
        }
        self.diagnostics.push(diagnostic);
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

/// Whether a name stands in an expression.
pub(super) fn mentions(expr: &syntax::Expr, key: &str) -> bool {
    let named = match &expr.kind {
        ExprKind::Name(name) | ExprKind::Component(name, _) | ExprKind::Call { name, .. } => {
            &*name.key == key
        }
        _ => false,
    };
    let mut found = named;
    expr.for_each_part(&mut |part| found = found || mentions(part, key));
    found
}
