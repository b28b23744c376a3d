//! Formulas as they are put in: calls of the author's functions written out, and of cases the one
//! that holds. Nobody can key in `A(700 mm)`.

use super::super::build::Builder;
use crate::evaluate;
use crate::functions::Function;
use crate::resolve::{Case, Expr, ExprKind, Shape, SymbolId, Term};

/// A formula with its functions written out may have this many parts; beyond, its calls stay.
const MOST_PARTS: usize = 120;

impl Builder<'_> {
    /// A formula as it is put in; `None` where it is put in as it stands.
    pub(super) fn written_out(&self, expr: &Expr, atmosphere: Option<SymbolId>) -> Option<Expr> {
        if !is_to_be_written_out(expr) {
            return None;
        }
        let mut own = expr.clone();
        // Functions that put each other in many times are left when they are too large, and not
        // when all of them is there.
        let mut room = MOST_PARTS.checked_sub(own.size())?;
        self.write_out(&mut own, atmosphere, &mut room)?;
        Some(own)
    }

    /// Writes out what is in a formula, which may grow by so many parts; `None` where it would by
    /// more, or where a part cannot be written out.
    fn write_out(
        &self,
        expr: &mut Expr,
        atmosphere: Option<SymbolId>,
        room: &mut usize,
    ) -> Option<()> {
        match &expr.kind {
            ExprKind::Apply {
                function,
                arguments,
            } => {
                let mut body = self.formulas.body(*function)?.clone();
                if matches!(body.kind, ExprKind::ReadOff(_)) {
                    return None;
                }
                with_arguments(&mut body, arguments);
                *room = room.checked_sub(body.size())?;
                *expr = body;
            }
            ExprKind::Cases(cases) => {
                *expr = self.that_holds(expr, cases, atmosphere)?.clone();
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
            }
            _ => {
                let mut is_sound = true;
                expr.for_each_part_mut(|part| {
                    is_sound = is_sound && self.write_out(part, atmosphere, room).is_some();
                });
                return is_sound.then_some(());
            }
        }
        self.write_out(expr, atmosphere, room)
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

/// Whether a call or a distinction of cases stands in a formula.
fn is_to_be_written_out(expr: &Expr) -> bool {
    let mut found = match expr.kind {
        ExprKind::Apply { .. } | ExprKind::Cases(_) => true,
        ExprKind::Call { function, .. } => {
            matches!(function, Function::Absolute | Function::Gauge)
        }
        _ => false,
    };
    expr.for_each_part(|part| found = found || is_to_be_written_out(part));
    found
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
