//! Quantity literals: numbers with their units looked up.

use super::sizes::claimed;
use super::tree::{Quantity, Shape};
use super::{Resolver, celsius, statement};
use crate::diagnostic::{Code, Decision, Diagnostic, Fix};
use crate::quantity::{self, Dimension, Exponent, Mark, Unit, UnitError, UnitToken, is_unit};
use crate::syntax::{self, Datum, Expanded, Magnitude, UnitExpr};
use crate::text::Span;

/// `None` after a diagnostic was recorded.
pub(super) type Found<T> = Option<T>;

/// The power of ten behind the brackets of a number and its uncertainty.
fn power(literal: &syntax::Literal) -> Option<i32> {
    literal.sizes.first()?.brackets?.power
}

impl Resolver<'_> {
    /// A literal as a quantity of a formula or of `given`.
    pub(super) fn quantity(&mut self, literal: &syntax::Literal) -> Found<Quantity> {
        let (unit, datum) = self.unit_of_literal(literal)?;
        let (number, values, shape) = self.values(literal, &unit)?;
        let sizes = self.sizes(literal, (&values, shape), &unit)?;
        Some(Quantity {
            number,
            values,
            shape,
            unit,
            datum,
            sizes,
            power: power(literal),
        })
    }

    /// A literal that a result is compared with.
    pub(super) fn compared(&mut self, literal: &syntax::Literal) -> Found<statement::Literal> {
        let (unit, datum) = self.unit_of_literal(literal)?;
        let (number, values, shape) = self.values(literal, &unit)?;
        let sizes = self.sizes(literal, (&values, shape), &unit)?;
        let brackets = literal.sizes.first().and_then(|it| it.brackets);
        Some(statement::Literal {
            span: literal.span,
            number,
            amount: brackets.map_or(number, |brackets| brackets.span),
            power: power(literal),
            uncertainty: claimed(literal, &sizes, &unit),
            sizes,
            values,
            unit,
            has_unit: literal.unit.is_some(),
            datum,
        })
    }

    /// The place of a literal's number, its values in the unit, and what they are to each other.
    fn values(&mut self, literal: &syntax::Literal, unit: &Unit) -> Found<(Span, Vec<f64>, Shape)> {
        let (number, mut values, shape) = magnitude(&literal.magnitude);
        let (Some(written), Some(last), Some((first, _))) =
            (&literal.unit, values.first_mut(), literal.larger.first())
        else {
            return Some((number, values, shape));
        };
        let larger: Vec<(f64, UnitExpr)> = literal
            .larger
            .iter()
            .map(|(part, unit)| {
                (
                    magnitude(part).1.first().copied().unwrap_or(0.0),
                    unit.clone(),
                )
            })
            .collect();
        *last = self.in_smallest(&larger, *last, (written, unit))?;
        Some((magnitude(first).0.cover(number), values, shape))
    }

    /// `5 ft 3 in` in the unit of its last part. All parts count from zero and measure the same;
    /// each but the last is a whole number of a larger unit than the next.
    pub(super) fn in_smallest(
        &mut self,
        larger: &[(f64, UnitExpr)],
        last: f64,
        (written, unit): (&UnitExpr, &Unit),
    ) -> Found<f64> {
        let smallest = unit;
        let mut total = last;
        let mut next = (unit.clone(), written.span);
        let mut is_negative = false;
        for (value, written) in larger.iter().rev() {
            let unit = self.unit(written)?;
            let fits = unit.dimension() == next.0.dimension()
                && unit.mark() == next.0.mark()
                && unit.offset() == 0.0
                && unit.factor() > next.0.factor()
                && value.fract() == 0.0;
            if !fits {
                self.report_parts(written.span, next.1);
                return None;
            }
            total += value.abs() * unit.ratio(smallest);
            is_negative = value.is_sign_negative();
            next = (unit, written.span);
        }
        Some(if is_negative { -total } else { total })
    }

    fn report_parts(&mut self, larger: Span, smaller: Span) {
        let (one, other) = (larger.of(self.text), smaller.of(self.text));
        self.diagnostics.push(
            Diagnostic::error(
                Code::Q03,
                larger.cover(smaller),
                format!("`{one}` and `{other}` do not make one quantity"),
            )
            .with_help(
                "one number with its unit, or whole numbers of larger units before smaller ones, as in `5 ft 3 in`",
            ),
        );
    }

    /// An ask with its unit looked up.
    pub(super) fn ask(&mut self, ask: &syntax::Ask) -> Found<statement::Ask> {
        if let Some(Expanded::Factor(factor)) = &ask.expanded {
            self.factor_fits(factor)?;
        }
        let (unit, datum) = match &ask.unit {
            Some(unit) => {
                let (unit, datum) = self.unit_with_datum(unit, ask.datum)?;
                (Some(unit), datum)
            }
            None => (None, ask.datum),
        };
        Some(statement::Ask {
            span: ask.span,
            unit,
            datum,
            precision: ask.precision,
            expanded: ask.expanded,
        })
    }

    /// The unit of a literal, and its datum; a word alone is no unit.
    fn unit_of_literal(&mut self, literal: &syntax::Literal) -> Found<(Unit, Option<Datum>)> {
        match (&literal.unit, literal.datum) {
            (Some(written), datum) => self.unit_with_datum(written, datum),
            (None, None) => Some((Unit::one(), None)),
            (None, Some(datum)) => {
                let (word, of, unit) = match datum {
                    Datum::Gauge | Datum::Absolute => (datum.text(), "pressure", "kPa"),
                    Datum::Difference => (datum.text(), "temperature", "degC"),
                };
                let number = literal.magnitude.span();
                self.diagnostics.push(
                    Diagnostic::error(
                        Code::D03,
                        literal.span,
                        format!("`{word}` goes with a unit of {of}, and none is written"),
                    )
                    .with_help(format!("`{} {unit} {word}`", number.of(self.text))),
                );
                None
            }
        }
    }

    /// The unit, and the datum that its word or its own mark (`psig`) names.
    pub(super) fn unit_with_datum(
        &mut self,
        written: &UnitExpr,
        datum: Option<Datum>,
    ) -> Found<(Unit, Option<Datum>)> {
        let unit = self.unit(written)?;
        if let Some(datum) = datum {
            self.datum_fits(written, &unit, datum)?;
        }
        Some(match (unit.mark(), datum) {
            (Mark::Gauge, None) => (unit, Some(Datum::Gauge)),
            (Mark::Absolute, None) => (unit, Some(Datum::Absolute)),
            (Mark::Gauge, Some(Datum::Absolute)) | (Mark::Absolute, Some(Datum::Gauge)) => {
                self.report_two_words(written);
                return None;
            }
            (_, Some(Datum::Difference)) => (unit.interval(), datum),
            _ => (unit, datum),
        })
    }

    /// `gauge` and `abs` go with a pressure, `difference` with a temperature.
    fn datum_fits(&mut self, written: &UnitExpr, unit: &Unit, datum: Datum) -> Option<()> {
        let (word, of, fits) = match datum {
            Datum::Gauge => ("gauge", "pressure", Dimension::pressure()),
            Datum::Absolute => ("abs", "pressure", Dimension::pressure()),
            Datum::Difference => ("difference", "temperature", Dimension::temperature()),
        };
        if unit.dimension() == fits {
            return Some(());
        }
        let text = written.span.of(self.text);
        let after = self.text.get(written.span.end as usize..).unwrap_or("");
        let blanks = after.len() - after.trim_start().len();
        let without = after.trim_start().starts_with(word).then(|| {
            let start = written.span.end as usize;
            let place = Span::new(start, start + blanks + word.len());
            Fix::new(Decision::Choose, format!("leave out `{word}`"), place, "")
        });
        self.diagnostics.push(
            Diagnostic::error(
                Code::D03,
                written.span,
                format!("`{word}` goes with a unit of {of}, and `{text}` is none"),
            )
            .with_help(format!("`{text}` without the word"))
            .with_fixes(without),
        );
        None
    }

    /// `psig abs`.
    fn report_two_words(&mut self, written: &UnitExpr) {
        let unit = written.span.of(self.text);
        self.diagnostics.push(
            Diagnostic::error(
                Code::R01,
                written.span,
                format!("`{unit}` and the word after it name different data"),
            )
            .with_help(format!(
                "`{unit}` alone, or a unit of pressure with the word"
            )),
        );
    }

    /// A unit, looked up.
    pub(super) fn unit(&mut self, written: &UnitExpr) -> Found<Unit> {
        // The same few units stand in every line of a long worksheet.
        let text = written.span.of(self.text);
        if let Some(unit) = self.units.get(text) {
            return Some(unit.clone());
        }
        if let Some((place, degree)) = celsius::meant(written, self.text) {
            self.diagnostics
                .push(celsius::refused(written, self.text, place, degree));
            return None;
        }
        match composed(written) {
            Ok(unit) => {
                self.units.insert(text.into(), unit.clone());
                Some(unit)
            }
            Err(_) if is_metric_ton(text) => {
                self.diagnostics.push(
                    Diagnostic::error(
                        Code::Q01,
                        written.span,
                        format!("there is no unit `{text}`"),
                    )
                    .with_help("`t`")
                    .with_choice(written.span, "t"),
                );
                None
            }
            Err(error) => {
                let at = |index: usize| {
                    written
                        .factors
                        .get(index)
                        .map_or(written.span, |factor| factor.span)
                };
                let fixes = unit_fixes(&error, written, at(error.index()), self.text);
                self.diagnostics
                    .push(unit_diagnostic(&error, &at).with_fixes(fixes));
                None
            }
        }
    }
}

/// The unit that is written.
///
/// # Errors
/// As for [`Unit::compose`].
pub fn composed(written: &UnitExpr) -> Result<Unit, UnitError> {
    let power = |factor: &syntax::UnitFactor| match factor.below {
        true => -factor.power,
        false => factor.power,
    };
    let tokens: Vec<UnitToken<'_>> = (written.factors.iter())
        .map(|factor| UnitToken {
            symbol: &factor.symbol,
            power: Exponent::new(power(factor), factor.root),
            below: factor.below,
        })
        .collect();
    Unit::compose(&tokens)
}

/// The texts that help names instead of a text with this unit in it, which is none or has two
/// readings; none where the unit is one. A word for the datum may stand at their ends.
pub fn instead_of_unit(written: &UnitExpr, text: &str) -> Vec<String> {
    let fixes = match (celsius::meant(written, text), composed(written)) {
        (Some((place, degree)), _) => celsius::refused(written, text, place, degree).fixes,
        (None, Ok(_)) => Vec::new(),
        (None, Err(_)) if is_metric_ton(written.span.of(text)) => {
            vec![Fix::write(Decision::Choose, written.span, "t")]
        }
        (None, Err(error)) => {
            let at = written.factors.get(error.index());
            let at = at.map_or(written.span, |factor| factor.span);
            let help = ways(&error).join(" ");
            fixes_of(named(&help), written, at, text)
        }
    };
    fixes.iter().filter_map(|fix| fix.applied(text)).collect()
}

/// The tonne by its other name, which is two words.
fn is_metric_ton(text: &str) -> bool {
    let words: Vec<&str> = text.split_whitespace().collect();
    matches!(
        words.as_slice(),
        ["metric", "ton" | "tons" | "tonne" | "tonnes"]
    )
}

/// The diagnostic of a unit that could not be composed; `at` places its factors.
fn unit_diagnostic(error: &UnitError, at: &dyn Fn(usize) -> Span) -> Diagnostic {
    let code = match error {
        UnitError::Ambiguous { .. } => Code::S13,
        UnitError::OutOfRange { .. } => Code::D06,
        UnitError::Unknown { .. } | UnitError::Datum { .. } => Code::Q01,
    };
    let help = match ways(error).as_slice() {
        [] => "a unit that `setsquare units` lists, or a product of such units".to_owned(),
        [way] => way.clone(),
        [first, product, ..] if product.contains(' ') => {
            format!("{first}, or {product} for a product")
        }
        [product, other, ..] => format!("{product} for a product, or {other}"),
    };
    Diagnostic::error(code, at(error.index()), error.to_string()).with_help(help)
}

/// The units that could be written at `place` instead, each of which is one.
fn unit_fixes(error: &UnitError, written: &UnitExpr, place: Span, text: &str) -> Vec<Fix> {
    let mut ways = ways(error);
    ways.extend(error.help().filter(|help| !ways.contains(help)));
    let help = ways.join(" ");
    let parsed = |unit: &&str| syntax::parse_unit(unit, Span::new(0, unit.len())).is_ok();
    fixes_of(named(&help).filter(parsed), written, place, text)
}

/// The units between backticks.
fn named(help: &str) -> impl Iterator<Item = &str> {
    help.split('`').skip(1).step_by(2)
}

/// Each of some units at `place`.
fn fixes_of<'u>(
    units: impl Iterator<Item = &'u str>,
    written: &UnitExpr,
    place: Span,
    text: &str,
) -> Vec<Fix> {
    let after = text.get(place.end as usize..).unwrap_or("");
    let is_raised = after.starts_with(|character| "^²³⁻¹".contains(character));
    let is_alone = written.factors.len() == 1 && !is_raised;
    units
        .map(|unit| match unit.contains([' ', '/', '^']) && !is_alone {
            true => Fix::write(Decision::Choose, place, format!("({unit})")),
            false => Fix::write(Decision::Choose, place, unit),
        })
        .collect()
}

/// What may be written instead, as it is said: the unit in its right case first, `KN` being
/// seldom a kelvin newton; but a product that is a quantity with a name, as `N m` for `Nm`.
fn ways(error: &UnitError) -> Vec<String> {
    let (near, product) = (error.help(), run_together(error));
    if let (UnitError::Unknown { symbol, .. }, Some(near)) = (error, &near) {
        let first = near.split('`').nth(1).unwrap_or_default();
        let is_case = first.eq_ignore_ascii_case(symbol);
        if is_case {
            // A product of two prefixed units of the same letters is never meant.
            let of_letters = |product: &String| product.find(' ') == Some(2);
            let product = product.filter(of_letters);
            let mut ways = [Some(near.clone()), product.clone()];
            if product.is_some_and(|product| is_named(&product)) {
                ways.reverse();
            }
            return ways.into_iter().flatten().collect();
        }
    }
    product.or(near).into_iter().collect()
}

/// Whether the dimension of a unit between backticks has a name.
fn is_named(unit: &str) -> bool {
    let unit = quantity::Unit::from_source(unit.trim_matches('`'));
    unit.is_ok_and(|unit| unit.dimension().noun().is_some())
}

/// Units that were written without a blank, or with a bare exponent: `kNm`, `mm2`.
fn run_together(error: &UnitError) -> Option<String> {
    let UnitError::Unknown { symbol, .. } = error else {
        return None;
    };
    if quantity::in_words(symbol).is_some() {
        return None;
    }
    let (word, power) = syntax::tokens::digits_apart(symbol);
    if !power.is_empty() && is_unit(word) {
        return Some(format!("`{word}^{power}`"));
    }
    let (left, right) = symbol
        .char_indices()
        .rev()
        .map(|(at, _)| symbol.split_at(at))
        .find(|(left, right)| is_unit(left) && is_unit(right))?;
    Some(format!("`{left} {right}`"))
}

/// The place of a magnitude's text, its values, and what they are to each other.
fn magnitude(magnitude: &Magnitude) -> (Span, Vec<f64>, Shape) {
    match magnitude {
        Magnitude::One(number) => (number.span, vec![number.value], Shape::One),
        Magnitude::Fraction(above, below) => (
            above.span.cover(below.span),
            vec![above.value / below.value],
            Shape::One,
        ),
        Magnitude::Mixed(whole, above, below) => {
            let part = above.value / below.value;
            let sign = if whole.value.is_sign_negative() {
                -1.0
            } else {
                1.0
            };
            let value = whole.value + sign * part;
            (whole.span.cover(below.span), vec![value], Shape::One)
        }
        Magnitude::List(numbers) | Magnitude::Vector(numbers) => {
            let span = numbers
                .iter()
                .map(|number| number.span)
                .reduce(Span::cover)
                .unwrap_or_default();
            let values = numbers.iter().map(|number| number.value).collect();
            let shape = match magnitude {
                Magnitude::Vector(_) => Shape::Vector,
                _ => Shape::List,
            };
            (span, values, shape)
        }
    }
}
