//! Claims of the author, held against what was computed.

use super::value::Value;
use super::walk::Walk;
use super::{Verdict, certain, claims, convert, mend};
use crate::diagnostic::{Code, Decision, Diagnostic, Fix};
use crate::dimensions::Type;
use crate::quantity::{self, Extent};
use crate::resolve::Shape;
use crate::resolve::statement::Literal;

impl Walk<'_> {
    pub(super) fn claim(&mut self, value: &Value, found: &Type, claim: &Literal) {
        if value.shape == Shape::Vector {
            self.claim_vector(value, found, claim);
            return;
        }
        let rows: Vec<usize> = value.present().map(|(row, _)| row).collect();
        if claim.values.len() != rows.len() {
            let (entries, claimed) = (rows.len(), claim.values.len());
            let without = match value.rows.len() - entries {
                0 => String::new(),
                lacking => format!(", and {lacking} without a value"),
            };
            self.diagnostics.push(
                Diagnostic::error(
                    Code::E09,
                    claim.span,
                    format!("the computed list has {entries} entries{without}, but {claimed} are claimed"),
                )
                .with_help("as many numbers in brackets as there are entries, or an ask `= ?`"),
            );
            return;
        }
        if let Some(stated) = claim.uncertainty {
            self.claim_estimate(value, found, claim, stated);
            return;
        }
        let mut texts = claim.number.of(self.text).split(',').map(str::trim);
        for (row, claimed) in rows.into_iter().zip(&claim.values) {
            let place = quantity::written_precision(claim.number.of(self.text));
            let read = (found.reading, found.counts, &claim.unit);
            let computed = certain::number(value, row, read, place);
            let verdict = (texts.next())
                .and_then(|text| certain::claimed(value, row, read, text))
                .unwrap_or_else(|| claims::compare_claim(*claimed, computed, place));
            self.claim_number((*claimed, computed), verdict, claim);
        }
    }

    /// A claimed number with an uncertainty: both are compared, each to its own figures.
    fn claim_estimate(&mut self, value: &Value, found: &Type, claim: &Literal, stated: (f64, f64)) {
        let read = (found.reading, found.counts, &claim.unit);
        let spread = (value.uncertainty(0, &self.results.sources))
            .map(|it| convert::size_in_unit(it.size, found.counts, &claim.unit));
        let scale = 10_f64.powi(claim.power.unwrap_or(0));
        let place = quantity::written_precision(claim.number.of(self.text)).map(|it| it * scale);
        let claimed = claim.values.first().copied().unwrap_or(f64::NAN);
        let computed = certain::number(value, 0, read, place);
        let text = claim.number.of(self.text);
        let text = (claim.power).map_or_else(|| text.to_owned(), |power| format!("{text}e{power}"));
        let of_value = certain::claimed(value, 0, read, &text)
            .unwrap_or_else(|| claims::compare_claim(claimed, computed, place));
        let of_spread = spread.map_or(Verdict::Wrong, |spread| {
            claims::compare_claim(stated.0, spread, Some(stated.1))
        });
        let (shown, typed) = match spread {
            Some(spread) => {
                let both = quantity::estimate(computed, spread, Extent::Uncertainty(2));
                let (value, uncertainty) = (&both.value, &both.uncertainty);
                let text = quantity::estimate_text(value, uncertainty);
                (text, quantity::estimate_ascii(value, uncertainty))
            }
            None => {
                let text = quantity::to_figures(computed, 6).text();
                let typed = ascii_number(computed, place, claim);
                (format!("{text}, without uncertainty"), typed)
            }
        };
        let written = claim.span.of(self.text);
        let with_unit = |text: &str, unit: &str| format!("{text} {unit}").trim_end().to_owned();
        let typed_whole = with_unit(&typed, claim.unit.source());
        let computed = match spread {
            Some(_) => with_unit(&shown, claim.unit.text()),
            None => shown,
        };
        let title = format!("write `{typed_whole}`");
        let is_apart = claim.amount == claim.number;
        let fix = Fix::new(Decision::Choose, title, claim.amount, typed);
        let fix = (!is_apart).then_some(fix);
        let diagnostic = match (of_value, of_spread) {
            (Verdict::Right, Verdict::Right) => return,
            (Verdict::Wrong, _) | (_, Verdict::Wrong) => Diagnostic::error(
                Code::E06,
                claim.span,
                format!("`{written}` is wrong: the computed value is {computed}"),
            )
            .with_help(format!("`{typed_whole}`, or the formula put right")),
            (Verdict::Slip, _) | (_, Verdict::Slip) => Diagnostic::warning(
                Code::E07,
                claim.span,
                format!("`{written}` is off by a rounding slip: the computed value is {computed}"),
            )
            .with_help(format!("`{typed_whole}`")),
        };
        self.diagnostics.push(diagnostic.with_fixes(fix));
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
        let parts = claim.number.of(self.text).split(',').map(str::trim);
        let places: Vec<Option<f64>> = parts.map(quantity::written_precision).collect();
        let numbers: Vec<f64> = (0..components)
            .map(|row| {
                let place = places.get(row).copied().flatten();
                certain::number(
                    value,
                    row,
                    (found.reading, found.counts, &claim.unit),
                    place,
                )
            })
            .collect();
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

    fn claim_number(&mut self, (claimed, computed): (f64, f64), verdict: Verdict, claim: &Literal) {
        let place = quantity::written_precision(claim.number.of(self.text));
        let shown = |figures: u8| {
            let number = quantity::to_figures(computed, figures).text();
            format!("{number} {}", claim.unit.text())
                .trim_end()
                .to_owned()
        };
        let written = claim.span.of(self.text);
        match verdict {
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
