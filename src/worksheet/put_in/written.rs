//! Formulas as they are put in: calls of the author's functions written out, and of cases the one
//! that holds. Nobody can key in `A(700 mm)`.

use super::super::build::Builder;
use crate::evaluate;
use crate::functions::Function;
use crate::resolve::{Case, Expr, ExprKind, Shape, SymbolId, Term};

/// A formula with its functions written out may have this many parts; beyond, its calls stay.
const MOST_PARTS: usize = 120;

/// How deep functions are looked into.
const MOST_LEVELS: usize = 8;

impl Builder<'_> {
    /// A formula as it is put in; `None` where it is put in as it stands.
    pub(super) fn written_out(&self, expr: &Expr, atmosphere: Option<SymbolId>) -> Option<Expr> {
        let mut own = expr.clone();
        let is_other = self.write_out(&mut own, atmosphere, MOST_LEVELS)?;
        (is_other && own.size() <= MOST_PARTS).then_some(own)
    }

    /// Writes out what is in a formula, and tells whether anything was; `None` where a part cannot
    /// be written out.
    fn write_out(
        &self,
        expr: &mut Expr,
        atmosphere: Option<SymbolId>,
        levels: usize,
    ) -> Option<bool> {
        let levels = levels.checked_sub(1)?;
        let mut is_other = true;
        match &expr.kind {
            ExprKind::Apply {
                function,
                arguments,
            } => {
                let mut body = self.formulas.body(*function)?.clone();
                with_arguments(&mut body, arguments);
                if matches!(body.kind, ExprKind::ReadOff(_)) {
                    return None;
                }
                *expr = body;
                self.write_out(expr, atmosphere, levels)?;
            }
            ExprKind::Cases(cases) => {
                *expr = self.that_holds(expr, cases, atmosphere)?.clone();
                self.write_out(expr, atmosphere, levels)?;
            }
            ExprKind::Call {
                function: function @ (Function::Absolute | Function::Gauge),
                arguments,
                ..
            } => {
                let [pressure] = arguments.as_slice() else {
                    return None;
                };
                let of = |expr: Expr, negative| Term { negative, expr };
                let shift = Expr {
                    span: expr.span,
                    kind: ExprKind::Symbol(atmosphere?),
                };
                let terms = [
                    of(pressure.clone(), false),
                    of(shift, *function == Function::Gauge),
                ];
                expr.kind = ExprKind::Sum(terms.into());
                self.write_out(expr, atmosphere, levels)?;
            }
            _ => {
                is_other = false;
                let mut sound = true;
                expr.for_each_part_mut(|part| match self.write_out(part, atmosphere, levels + 1) {
                    Some(other) => is_other |= other,
                    None => sound = false,
                });
                sound.then_some(())?;
            }
        }
        Some(is_other)
    }

    /// The value of the case that holds: found as the distinction is evaluated, with the number of
    /// each case in the place of its value.
    fn that_holds<'e>(
        &self,
        expr: &Expr,
        cases: &'e [Case],
        atmosphere: Option<SymbolId>,
    ) -> Option<&'e Expr> {
        let numbered = cases.iter().enumerate().map(|(at, case)| Case {
            value: Expr {
                span: case.value.span,
                kind: ExprKind::Numeral(at as f64),
            },
            condition: case.condition.clone(),
        });
        let distinction = Expr {
            span: expr.span,
            kind: ExprKind::Cases(numbered.collect()),
        };
        let program = self
            .results
            .compile(&distinction, &self.formulas, atmosphere);
        let found = evaluate::run(&program, self.results).ok()?;
        let at = (found.shape == Shape::One).then(|| found.at(0))?;
        cases.get(at as usize).map(|case| &case.value)
    }
}

/// Puts the arguments in for the parameters of a function's body.
fn with_arguments(body: &mut Expr, arguments: &[Expr]) {
    if let ExprKind::Parameter(at) = body.kind {
        if let Some(argument) = arguments.get(usize::from(at)) {
            *body = argument.inside().clone();
        }
        return;
    }
    body.for_each_part_mut(|part| with_arguments(part, arguments));
}
