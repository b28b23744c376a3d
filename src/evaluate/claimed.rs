//! Claims of the author, held against what was computed.

use super::value::Value;
use super::walk::Walk;
use super::{Verdict, claims, convert, mend};
use crate::diagnostic::{Code, Diagnostic};
use crate::dimensions::Type;
use crate::quantity;
use crate::resolve::Shape;
use crate::resolve::statement::Literal;

impl Walk<'_> {
    pub(super) fn claim(&mut self, value: &Value, found: &Type, claim: &Literal) {
        if value.shape == Shape::Vector {
            self.claim_vector(value, found, claim);
            return;
        }
        if claim.values.len() != value.rows.len() {
            let (rows, claimed) = (value.rows.len(), claim.values.len());
            self.diagnostics.push(
                Diagnostic::error(
                    Code::E09,
                    claim.span,
                    format!("the computed list has {rows} entries, but {claimed} are claimed"),
                )
                .with_help("as many numbers in brackets as there are entries, or an ask `= ?`"),
            );
            return;
        }
        for (row, claimed) in claim.values.iter().enumerate() {
            let computed = convert::in_unit(value.at(row), found.reading, &claim.unit);
            self.claim_number(*claimed, computed, claim);
        }
    }

    /// A claimed vector: each component is compared, and all are shown.
    fn claim_vector(&mut self, value: &Value, found: &Type, claim: &Literal) {
        let written = claim.span.of(self.text);
        let (components, claimed) = (value.rows.len(), claim.values.len());
        if components != claimed {
            let code = if claimed == 1 { Code::V01 } else { Code::V03 };
            self.diagnostics.push(
                Diagnostic::error(
                    code,
                    claim.span,
                    format!(
                        "the value is a vector of {components} components, but `{written}` has {claimed}"
                    ),
                )
                .with_help("as many numbers in round brackets as there are components"),
            );
            return;
        }
        let numbers: Vec<f64> = (value.rows.iter())
            .map(|si| convert::in_unit(*si, found.reading, &claim.unit))
            .collect();
        let parts = claim.number.of(self.text).split(',').map(str::trim);
        let places: Vec<Option<f64>> = parts.map(quantity::written_precision).collect();
        let verdicts: Vec<Verdict> = (claim.values.iter().zip(&numbers).zip(&places))
            .map(|((claimed, computed), place)| claims::compare_claim(*claimed, *computed, *place))
            .collect();
        let joined = |write: &dyn Fn(usize) -> String| {
            let parts: Vec<String> = (0..numbers.len()).map(write).collect();
            format!("({})", parts.join(", "))
        };
        let unit = |text: &str| {
            if text.is_empty() {
                String::new()
            } else {
                format!(" {text}")
            }
        };
        let computed = joined(&|at| quantity::to_figures(numbers[at], 6).text());
        let computed = format!("{computed}{}", unit(claim.unit.text()));
        let typed = joined(&|at| {
            let decimals = places[at].map_or(3, quantity::decimals_of).clamp(0, 15);
            quantity::to_decimals(numbers[at], decimals as u8).ascii()
        });
        let inner = typed.trim_matches(['(', ')']).to_owned();
        let unit_typed = unit(claim.unit.source());
        let fix = mend::numbers(claim, inner, &format!("{typed}{unit_typed}"));
        let typed = format!("`{typed}{}`", unit(claim.unit.source()));
        if verdicts.contains(&Verdict::Wrong) {
            let message = format!("`{written}` is wrong: the computed value is {computed}");
            self.diagnostics.push(
                Diagnostic::error(Code::E06, claim.span, message)
                    .with_help(format!("{typed}, or the formula put right"))
                    .with_fixes([fix]),
            );
        } else if verdicts.contains(&Verdict::Slip) {
            let message =
                format!("`{written}` is off by a rounding slip: the computed value is {computed}");
            self.diagnostics.push(
                Diagnostic::warning(Code::E07, claim.span, message)
                    .with_help(typed)
                    .with_fixes([fix]),
            );
        }
    }

    fn claim_number(&mut self, claimed: f64, computed: f64, claim: &Literal) {
        let place = quantity::written_precision(claim.number.of(self.text));
        let shown = |figures: u8| {
            let number = quantity::to_figures(computed, figures).text();
            format!("{number} {}", claim.unit.text())
                .trim_end()
                .to_owned()
        };
        let written = claim.span.of(self.text);
        match claims::compare_claim(claimed, computed, place) {
            Verdict::Right => {}
            Verdict::Slip => self.diagnostics.push(
                Diagnostic::warning(
                    Code::E07,
                    claim.span,
                    format!(
                        "`{written}` is off by a rounding slip: the computed value is {}",
                        shown(6)
                    ),
                )
                .with_help(format!("`{}`", ascii(computed, place, claim)))
                .with_fixes(mend::claim(
                    computed,
                    ascii_number(computed, place, claim),
                    claim,
                )),
            ),
            Verdict::Wrong => self.diagnostics.push(
                Diagnostic::error(
                    Code::E06,
                    claim.span,
                    format!(
                        "`{written}` is wrong: the computed value is {}{}",
                        shown(6),
                        prefix_slip(claimed, computed, place)
                    ),
                )
                .with_help(format!(
                    "`{}`, or the formula put right",
                    ascii(computed, place, claim)
                ))
                .with_fixes(mend::claim(
                    computed,
                    ascii_number(computed, place, claim),
                    claim,
                )),
            ),
        }
    }
}

/// The computed value to the figures of the claim, as an author would type it.
fn ascii(computed: f64, place: Option<f64>, claim: &Literal) -> String {
    let number = ascii_number(computed, place, claim);
    format!("{number} {}", claim.unit.source())
        .trim_end()
        .to_owned()
}

fn ascii_number(computed: f64, place: Option<f64>, claim: &Literal) -> String {
    let size = claim.values.first().map_or(0.0, |value| value.abs());
    let figures = match place {
        Some(place) if size > 0.0 => size.log10().floor() - place.log10().round() + 1.0,
        _ => 4.0,
    };
    quantity::to_figures(computed, figures.clamp(1.0, 15.0) as u8).ascii()
}

/// Says so when a claim has the right digits and the wrong prefix.
fn prefix_slip(claimed: f64, computed: f64, place: Option<f64>) -> String {
    let decades = (computed / claimed).abs().log10().round();
    if !decades.is_finite() || decades == 0.0 || decades % 3.0 != 0.0 {
        return String::new();
    }
    let moved = claimed * 10_f64.powf(decades);
    let place = place.map(|place| place * 10_f64.powf(decades));
    if claims::compare_claim(moved, computed, place) == Verdict::Wrong {
        return String::new();
    }
    let factor = quantity::to_figures(10_f64.powf(decades.abs()), 1).text();
    format!(", which differs by a factor of {factor}: a prefix")
}
