//! A result held against a value by its uncertainty (JCGM 106, 8.3; ISO 14253-1).

use super::Outcome;
use crate::diagnostic::{Code, Diagnostic};
use crate::evaluate::compared::{Compared, Found};
use crate::evaluate::coverage;
use crate::evaluate::value::{self, Value};
use crate::evaluate::walk::{Lack, Walk};
use crate::resolve::statement::Comparison;
use crate::resolve::{Expr, Statement};
use crate::syntax::Held;
use crate::text::Span;

/// One side in one row.
struct Seen {
    side: usize,
    row: usize,
    difference: f64,
    uncertainty: f64,
    factor: f64,
    degrees: Option<f64>,
    found: Found,
}

impl Seen {
    /// How far it is from its bound, in units of what the bound allows: the least is the worst.
    fn room(&self, held: &Held<Expr>) -> f64 {
        let reach = self.factor * self.uncertainty;
        let room = match held {
            Held::Agrees(_) => reach - self.difference.abs(),
            Held::Differs(_) => self.difference.abs() - reach,
            Held::Conforms(..) => self.difference - reach,
        };
        match self.uncertainty > 0.0 {
            true => room / self.uncertainty,
            false if room == 0.0 => 0.0,
            false => room.signum() * f64::INFINITY,
        }
    }
}

impl<'a> Walk<'a> {
    pub(super) fn comparison(
        &mut self,
        statement: &Statement,
        comparison: &'a Comparison,
    ) -> Result<Outcome<'a>, Lack> {
        let sides: Vec<&Expr> = std::iter::once(&comparison.subject)
            .chain(comparison.held.sides())
            .collect();
        let mut values = Vec::with_capacity(sides.len());
        for side in &sides {
            values.push(self.expr(side, &[])?);
        }
        self.refuse_reversed(comparison, &values)?;
        let differences: Vec<Value> = match &comparison.held {
            Held::Agrees(_) | Held::Differs(_) => vec![values[0].less(&values[1])],
            Held::Conforms(Some(_), _) => (values.iter().skip(1).enumerate())
                .map(|(at, limit)| match at {
                    0 => values[0].less(limit),
                    _ => limit.less(&values[0]),
                })
                .collect(),
            Held::Conforms(None, _) => vec![values[1].less(&values[0])],
        };
        let is_exact = |value: &Value| value.gradients.iter().all(Vec::is_empty);
        if values.iter().all(is_exact) {
            return Err(self.refuse_exact(statement.span, comparison));
        }
        self.needs_rows(statement.span, &values)?;
        let mut seen = Vec::new();
        for (at, difference) in differences.iter().enumerate() {
            for (row, _) in difference.present() {
                seen.push(self.seen(statement.span, comparison, (at, row), difference)?);
            }
        }
        let worst = seen.into_iter().reduce(|worst, next| {
            let (old, new) = (worst.room(&comparison.held), next.room(&comparison.held));
            if new < old { next } else { worst }
        });
        let worst = worst.ok_or(Lack::Refused)?;
        let is_too_narrow = match values.as_slice() {
            [_, low, high] => (0..low.rows.len().max(high.rows.len()))
                .any(|row| high.at(row) - low.at(row) < 2.0 * worst.factor * worst.uncertainty),
            _ => false,
        };
        let compared = Compared {
            side: worst.side,
            row: worst.row,
            difference: worst.difference,
            uncertainty: worst.uncertainty,
            factor: worst.factor,
            degrees: worst.degrees,
            found: worst.found,
            is_too_narrow,
            values,
        };
        let holds = compared.holds(&comparison.held);
        if !holds {
            let instead = match compared.found {
                Found::NotDecided => {
                    "the value is nearer to a limit than its uncertainty".to_owned()
                }
                Found::DoesNotConform => {
                    "the value lies outside by more than its uncertainty".to_owned()
                }
                Found::Agrees | Found::Differs | Found::Conforms => format!(
                    "{:.2} standard uncertainties lie between, and the factor is {:.2}",
                    compared.apart(),
                    compared.factor
                ),
            };
            self.report_check(statement.span, instead);
        }
        Ok(Outcome::Comparison(comparison, Box::new(compared)))
    }

    fn seen(
        &mut self,
        place: Span,
        comparison: &Comparison,
        (side, row): (usize, usize),
        difference: &Value,
    ) -> Result<Seen, Lack> {
        let sources = &self.results.sources;
        let found = difference.uncertainty(row, sources);
        let uncertainty = found.map_or(0.0, |found| found.size);
        let degrees = difference.degrees_of_freedom(row, sources).ok();
        let factor = match (&comparison.within, degrees) {
            (Some(within), _) => within.value,
            (None, Some(degrees)) => coverage::factor(coverage::USUAL, degrees),
            (None, None) => return Err(self.refuse_degrees(place, "within k = 2")),
        };
        let (own, reach) = (difference.at(row), factor * uncertainty);
        // What rounding has moved it by does not decide.
        let room = difference.error(row).max(8.0 * f64::EPSILON * reach);
        let found = match comparison.held {
            Held::Agrees(_) | Held::Differs(_) if own.abs() <= reach + room => Found::Agrees,
            Held::Agrees(_) | Held::Differs(_) => Found::Differs,
            Held::Conforms(..) if own >= reach - room => Found::Conforms,
            Held::Conforms(..) if own <= -reach + room => Found::DoesNotConform,
            Held::Conforms(..) => Found::NotDecided,
        };
        Ok(Seen {
            side,
            row,
            difference: own,
            uncertainty,
            factor,
            degrees,
            found,
        })
    }

    /// A stated correlation with what has few degrees of freedom.
    pub(super) fn refuse_degrees(&mut self, place: Span, instead: &str) -> Lack {
        self.diagnostics.push(
            Diagnostic::error(
                Code::U05,
                place,
                "its degrees of freedom cannot be told: a correlation is stated of a source that has few",
            )
            .with_help(format!("`{instead}`")),
        );
        Lack::Refused
    }

    fn refuse_exact(&mut self, place: Span, comparison: &Comparison) -> Lack {
        let written = |expr: &Expr| expr.span.of(self.text).to_owned();
        let subject = written(&comparison.subject);
        let help = match &comparison.held {
            Held::Agrees(other) => format!("`{subject} = {} within 1 %`", written(other)),
            Held::Differs(other) => {
                format!("`{subject} < {0}` or `{subject} > {0}`", written(other))
            }
            Held::Conforms(Some(low), Some(high)) => {
                format!("`{} < {subject} < {}`", written(low), written(high))
            }
            Held::Conforms(low, high) => {
                let low = low
                    .iter()
                    .map(|low| format!("`{subject} > {}`", written(low)));
                let mut all = low.chain(
                    high.iter()
                        .map(|it| format!("`{subject} < {}`", written(it))),
                );
                all.next().unwrap_or_default()
            }
        };
        self.diagnostics
            .push(Diagnostic::error(Code::C06, place, "neither side is uncertain").with_help(help));
        Lack::Refused
    }

    fn refuse_reversed(&mut self, comparison: &Comparison, values: &[Value]) -> Result<(), Lack> {
        let (Held::Conforms(Some(low), Some(high)), [_, least, most]) = (&comparison.held, values)
        else {
            return Ok(());
        };
        let mut rows = value::rows_of_all(&[least, most]).into_iter();
        if rows.all(|row| least.at(row) < most.at(row)) {
            return Ok(());
        }
        let [low, high] = [low.span, high.span];
        let [low_text, high_text] = [low, high].map(|span| span.of(self.text));
        let whole = low.cover(high);
        let instead = format!("{high_text} to {low_text}");
        self.diagnostics.push(
            Diagnostic::error(
                Code::C07,
                whole,
                format!("the first limit `{low_text}` is not the smaller one"),
            )
            .with_help(format!("`{instead}`"))
            .with_choice(whole, instead),
        );
        Err(Lack::Refused)
    }
}
