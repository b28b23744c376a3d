//! Comparisons of `check`.

use super::Outcome;
use crate::diagnostic::{Code, Diagnostic};
use crate::dimensions::relative;
use crate::evaluate::mend;
use crate::evaluate::program::{Program, holds};
use crate::evaluate::value::Value;
use crate::evaluate::walk::{Lack, Walk};
use crate::resolve::statement::Check;
use crate::resolve::{Expr, Statement};
use crate::syntax::Relation;

impl<'a> Walk<'a> {
    pub(super) fn check(
        &mut self,
        statement: &Statement,
        check: &'a Check,
    ) -> Result<Outcome<'a>, Lack> {
        let all: Vec<&Expr> = check.members.iter().chain(&check.within).collect();
        all.iter().for_each(|member| self.number_inputs(member));
        let programs: Vec<Program> = all.iter().map(|member| self.compile(member)).collect();
        self.needs(&programs, &[])?;
        let mut values = Vec::with_capacity(programs.len());
        for program in &programs {
            values.push(self.run(program)?);
        }
        let tolerance = check.within.as_ref();
        let tolerance = tolerance.and_then(|within| Some((within, values.pop()?)));
        if let Some((within, size)) = &tolerance
            && size.rows.iter().any(|size| *size < 0.0)
        {
            self.diagnostics.push(
                Diagnostic::error(
                    Code::C02,
                    within.span,
                    "a negative tolerance can never hold",
                )
                .with_help("the tolerance without its minus sign")
                .with_fixes(mend::without_sign(self.text, within.span)),
            );
            return Err(Lack::Refused);
        }
        let holds = all_hold(&values, &check.relations, tolerance.as_ref());
        if !holds {
            let text = statement.span.of(self.text);
            self.diagnostics.push(
                Diagnostic::error(
                    Code::C01,
                    statement.span,
                    format!("the check `{text}` does not hold"),
                )
                .with_help("the data or the formula put right, or the check"),
            );
        }
        Ok(Outcome::Check {
            check,
            values,
            holds,
        })
    }
}

fn all_hold(values: &[Value], relations: &[Relation], tolerance: Option<&(&Expr, Value)>) -> bool {
    let rows = values
        .iter()
        .map(|value| value.rows.len())
        .max()
        .unwrap_or(0);
    values.windows(2).zip(relations).all(|(pair, relation)| {
        (0..rows).all(|row| {
            let (left, right) = (pair[0].at(row), pair[1].at(row));
            match tolerance {
                Some((within, size)) => {
                    let size = size.at(row);
                    let size = if relative(within) {
                        size * right.abs()
                    } else {
                        size
                    };
                    (left - right).abs() <= size * (1.0 + 1e-12)
                }
                None => holds(*relation, left, right),
            }
        })
    })
}
