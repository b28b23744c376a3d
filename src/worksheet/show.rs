//! Values as they are printed: unit, digits, datum word, uncertainty.

use std::sync::Arc;

use super::model::{Coverage, Shown, SizeShown, Spread, TermShown};
use crate::dimensions::{Counts, Datum, Energy, Reading, Type};
use crate::evaluate::{self, Sources, Value};
use crate::quantity::{self, Amount, Clock, Decimal, Dimension, Extent, Family, Mark, Unit};
use crate::resolve::statement::Ask;
use crate::resolve::{Quantity, Shape, Size, SizeForm, TermWritten};
use crate::syntax::tokens::{TokenKind, tokens};
use crate::syntax::{self, Expanded, Precision};
use crate::text::Span;

/// What decides how a result is printed where the line does not say.
#[derive(Debug, Clone, Copy)]
pub(super) struct Manner<'a> {
    /// Significant figures.
    pub figures: u8,
    /// SI or US.
    pub family: Family,
    /// The author's own units in this problem, the latest last.
    pub hints: &'a [Unit],
    /// The sources of uncertainty.
    pub sources: &'a Sources,
    /// Whether coverage factors are told in words, as `k` is a quantity here.
    pub in_words: bool,
}

/// What the unit of a value depends on: where it has several numbers, on the largest.
pub(super) fn amount(value: &Value, found: &Type, ask: &Ask, figures: u8) -> Amount {
    let sizes = value.rows.iter().map(|si| si.abs());
    Amount {
        dimension: found.form.dimension().unwrap_or_default(),
        is_energy: found.energy == Energy::Held,
        si: sizes.fold(0.0, f64::max),
        figures: match ask.precision {
            Some(Precision::Figures(figures)) => figures,
            Some(Precision::Decimals(_) | Precision::Uncertainty(_)) | None => figures,
        },
    }
}

/// A result as it is asked.
pub(super) fn result(value: &Arc<Value>, found: &Type, ask: &Ask, manner: Manner<'_>) -> Shown {
    let unit = match &ask.unit {
        Some(unit) => unit.clone(),
        None => automatic(found, amount(value, found, ask, manner.figures), manner),
    };
    in_unit(value, (found.reading, found.counts), unit, ask, manner)
}

fn automatic(found: &Type, amount: Amount, manner: Manner<'_>) -> Unit {
    let dimension = amount.dimension;
    if let Some(clock) = found.reading.clock() {
        return Unit::clock(clock);
    }
    let level = found.reading == Reading::Level;
    if level {
        let is_own = |unit: &&Unit| unit.mark() == Mark::Decibel && unit.dimension() == dimension;
        let own = manner.hints.iter().rev().find(is_own).cloned();
        return own.unwrap_or_else(|| quantity::decibels(dimension));
    }
    let point = |unit: &&Unit| unit.mark() == Mark::Point;
    if found.reading.is_point()
        && let Some(unit) = manner.hints.iter().rev().find(point)
    {
        return unit.clone();
    }
    if let Some(unit) = turning(found, manner) {
        return quantity::rescaled(&unit, amount);
    }
    let hints: Vec<&Unit> = manner
        .hints
        .iter()
        .filter(|unit| fits(unit, found.reading))
        .collect();
    quantity::automatic(amount, manner.family, &hints)
}

/// The unit of what counts turns or cycles, or is an angle over a time: the author's own where it
/// says the same, so that it is not printed in one that says nothing.
fn turning(found: &Type, manner: Manner<'_>) -> Option<Unit> {
    let says = found.counts.says(&found.form)?;
    let dimension = found.form.dimension()?;
    let own = manner.hints.iter().rev();
    let own = own.clone().find(|unit| {
        let turning = unit.turning();
        let alike =
            (turning.turns, turning.angle, turning.cycles) == (says.turns, says.angle, says.cycles);
        // Of plain angles, only those in revolutions are shown in a unit unasked.
        let is_typed_so = turning.in_revolutions == says.in_revolutions;
        unit.dimension() == dimension && alike && (is_typed_so || !dimension.is_none())
    });
    own.cloned().or_else(|| quantity::turning(says, dimension))
}

/// Whether a result with this reading may be printed in one of the author's units unasked.
fn fits(unit: &Unit, reading: Reading) -> bool {
    match unit.mark() {
        Mark::Point => reading.is_point(),
        Mark::Decibel => reading == Reading::Level,
        Mark::Gauge => reading.counts_from() == Some(Datum::Gauge),
        Mark::Absolute => reading.counts_from().is_some_and(|datum| !datum.is_gauge()),
        Mark::Interval => unit.dimension() != Dimension::temperature(),
        Mark::Clock(_) => false,
        Mark::None | Mark::Revolutions | Mark::Revolution | Mark::Radians | Mark::Cycles => true,
    }
}

/// A value in a unit that is decided.
pub(super) fn in_unit(
    value: &Arc<Value>,
    (reading, counts): (Reading, Counts),
    unit: Unit,
    ask: &Ask,
    manner: Manner<'_>,
) -> Shown {
    if let Mark::Clock(clock) = unit.mark() {
        return moments(value, clock, ask, manner);
    }
    let values: Vec<f64> = value
        .rows
        .iter()
        .map(|si| evaluate::in_unit(*si, reading, counts, &unit))
        .collect();
    let precision = ask.precision.unwrap_or(Precision::Figures(manner.figures));
    let (mut is_cut, mut doubt) = (false, None);
    let (degrees, coverage) = expanded(value, ask, manner);
    let printed = values.iter().enumerate().map(|(row, number)| {
        let Some(found) = value.uncertainty(row, manner.sources) else {
            let read = (reading, counts, &unit);
            let (digits, own) = evaluate::digits(value, row, read, exactly(precision, manner));
            doubt = doubt.or(own);
            return (digits, None);
        };
        let size = evaluate::size_in_unit(found.size, counts, &unit);
        let by = coverage.as_ref().and_then(|(factors, _)| factors.get(row));
        let half = size * by.copied().unwrap_or(1.0);
        let printed = quantity::estimate(*number, half, extent(ask.precision));
        let printed = match printed.decimals().filter(|_| printed.value.value() != 0.0) {
            Some(decimals) => {
                let read = (reading, counts, &unit);
                let precision = Precision::Decimals(decimals);
                let (digits, own) = evaluate::digits(value, row, read, precision);
                doubt = doubt.or(own);
                printed.with_value(digits)
            }
            None => printed,
        };
        is_cut |= printed.is_cut;
        let spread = Spread {
            size,
            digits: printed.uncertainty,
            is_second_order: found.is_second_order,
        };
        (printed.value, Some(spread))
    });
    let (mut digits, mut uncertainties): (Vec<Decimal>, Vec<Option<Spread>>) = printed.unzip();
    let sizes = uncertainties.iter_mut().map(Option::as_mut);
    let sizes = sizes.map(|spread| spread.map(|spread| &mut spread.digits));
    quantity::as_one(digits.iter_mut().zip(sizes).collect());
    digits.shrink_to_fit();
    let is_exact = uncertainties.iter().all(Option::is_none);
    Shown {
        origin: Some(Box::new((Arc::clone(value), reading, counts))),
        doubt,
        si: value.rows.clone(),
        values,
        digits,
        written: None,
        shape: value.shape,
        word: word(reading, ask.datum, &unit),
        unit,
        uncertainties: if is_exact { Vec::new() } else { uncertainties },
        coverage: coverage.map(|(_, coverage)| coverage),
        degrees: if is_exact { Vec::new() } else { degrees },
        is_cut,
        sizes: Vec::new(),
        power: None,
        figures: match precision {
            Precision::Figures(figures) => figures,
            Precision::Decimals(_) | Precision::Uncertainty(_) => manner.figures,
        },
    }
}

/// Points of time as ISO 8601 writes them: to the millisecond, without zeros at the end, unless the
/// line says to how many decimals of a second; uncertain ones as far as two figures of that go.
fn moments(value: &Arc<Value>, clock: Clock, ask: &Ask, manner: Manner<'_>) -> Shown {
    const MILLISECONDS: u8 = 3;
    const MOST_DECIMALS: i32 = 9;
    let unit = Unit::clock(clock);
    let reading = Reading::moment(clock);
    let (degrees, coverage) = expanded(value, ask, manner);
    let (mut doubt, mut sizes) = (None, Vec::new());
    let rows = (0..value.rows.len()).map(|row| {
        let found = value.uncertainty(row, manner.sources);
        let factor = coverage.as_ref().and_then(|(factors, _)| factors.get(row));
        let half = (found.as_ref()).map(|found| found.size * factor.copied().unwrap_or(1.0));
        let half = half.map(|half| quantity::to_figures(half, 2));
        let decimals = match (ask.precision, &half) {
            (Some(Precision::Decimals(decimals)), _) => decimals,
            (_, Some(half)) => {
                quantity::decimals_of(half.unit_in_last_place()).clamp(0, MOST_DECIMALS) as u8
            }
            (_, None) => MILLISECONDS,
        };
        let read = (reading, Counts::NOTHING, &unit);
        let (digits, own) = evaluate::digits(value, row, read, Precision::Decimals(decimals));
        doubt = doubt.or(own);
        let is_asked = matches!(ask.precision, Some(Precision::Decimals(_)));
        let text = digits.exact().and_then(|(mut digits, mut power)| {
            while power > 0 || (power < 0 && digits % 10 == 0 && !is_asked && half.is_none()) {
                let step = if power > 0 { -1 } else { 1 };
                digits = if step < 0 { digits * 10 } else { digits / 10 };
                power += step;
            }
            clock.text(digits, power)
        });
        let spread = found.zip(half).map(|(found, half)| {
            sizes.push(half.ascii());
            Spread {
                size: found.size,
                digits: half,
                is_second_order: found.is_second_order,
            }
        });
        (text.unwrap_or_else(|| "–".to_owned()), spread)
    });
    let (texts, uncertainties): (Vec<String>, Vec<_>) = rows.unzip();
    let is_exact = uncertainties.iter().all(Option::is_none);
    let origin = Some(Box::new((Arc::clone(value), reading, Counts::NOTHING)));
    let is_same = uncertainties.len() == sizes.len() && sizes.windows(2).all(|it| it[0] == it[1]);
    let sizes = sizes.first().filter(|_| is_same).map(|size| SizeShown {
        form: SizeForm::PlusMinus,
        terms: vec![TermShown {
            number: size.clone(),
            unit: Some(Unit::second()),
            of: None,
        }],
        words: Vec::new(),
    });
    Shown {
        origin,
        doubt,
        si: value.rows.clone(),
        values: value.rows.clone(),
        shape: value.shape,
        unit,
        uncertainties: if is_exact { Vec::new() } else { uncertainties },
        coverage: coverage.map(|(_, coverage)| coverage),
        degrees: if is_exact { Vec::new() } else { degrees },
        sizes: sizes.into_iter().collect(),
        ..number(&texts.join(", "), f64::NAN)
    }
}

/// What each uncertain number's standard uncertainty is multiplied by, and how that is said.
type Widened = (Vec<f64>, Coverage);

/// The degrees of freedom of each number, and what each standard uncertainty is multiplied by.
fn expanded(value: &Value, ask: &Ask, manner: Manner<'_>) -> (Vec<Option<f64>>, Option<Widened>) {
    let rows = 0..value.rows.len();
    let is_uncertain = |row: &usize| value.uncertainty(*row, manner.sources).is_some();
    let degrees: Vec<Option<f64>> = (rows.clone())
        .map(|row| value.degrees_of_freedom(row, manner.sources).ok())
        .collect();
    let uncertain: Vec<usize> = rows.clone().filter(is_uncertain).collect();
    let Some(asked) = ask.expanded.filter(|_| !uncertain.is_empty()) else {
        return (degrees, None);
    };
    let (factors, level, in_words) = match asked {
        Expanded::Factor(factor) => (
            rows.map(|_| Some(factor.value)).collect(),
            None,
            factor.in_words || manner.in_words,
        ),
        Expanded::Level(level, _) => {
            let factor =
                |degrees: &Option<f64>| Some(evaluate::coverage_factor(level, (*degrees)?));
            let factors: Vec<Option<f64>> = degrees.iter().map(factor).collect();
            (factors, Some(level), manner.in_words)
        }
    };
    let own: Option<Vec<f64>> = uncertain.iter().map(|row| factors[*row]).collect();
    let Some(own) = own else {
        return (degrees, None);
    };
    let least = own.iter().copied().fold(f64::INFINITY, f64::min);
    let most = own.iter().copied().fold(0.0, f64::max);
    let coverage = Coverage {
        factors: (least, most),
        level,
        in_words,
    };
    let factors = factors.into_iter().map(|it| it.unwrap_or(1.0)).collect();
    (degrees, Some((factors, coverage)))
}

/// A size in a unit that is decided, to two figures.
pub(super) fn size(si: f64, unit: &Unit, counts: Counts) -> Shown {
    let value = evaluate::size_in_unit(si, counts, unit);
    Shown {
        si: vec![si],
        values: vec![value],
        digits: vec![quantity::to_figures(value, 2)],
        written: None,
        unit: unit.interval(),
        figures: 2,
        ..number("", value)
    }
}

/// How far an exact value is printed.
fn exactly(asked: Precision, manner: Manner<'_>) -> Precision {
    match asked {
        Precision::Figures(_) | Precision::Decimals(_) => asked,
        Precision::Uncertainty(_) => Precision::Figures(manner.figures),
    }
}

/// How far an uncertain value is printed: where nothing is asked, two figures of its uncertainty.
fn extent(asked: Option<Precision>) -> Extent {
    match asked {
        None => Extent::Uncertainty(2),
        Some(Precision::Uncertainty(figures)) => Extent::Uncertainty(figures),
        Some(Precision::Figures(figures)) => Extent::Figures(figures),
        Some(Precision::Decimals(decimals)) => Extent::Decimals(decimals),
    }
}

/// Whether a unit may be shown with a word: `psig` says itself what it counts from.
pub(super) fn goes_with(unit: &Unit, word: Option<syntax::Datum>) -> bool {
    match (unit.mark(), word) {
        (Mark::Gauge, Some(word)) => word == syntax::Datum::Gauge,
        (Mark::Absolute, Some(word)) => word == syntax::Datum::Absolute,
        (Mark::Point, Some(word)) => word != syntax::Datum::Difference,
        _ => true,
    }
}

/// Shows a value in other digits or another unit than before.
pub(super) fn again(shown: &mut Shown, precision: Precision) {
    let plain = Value {
        rows: shown.si.clone(),
        shape: shown.shape,
        ..Value::default()
    };
    let plain = (Arc::new(plain), Reading::Plain, Counts::NOTHING);
    let (value, reading, counts) = shown.origin.as_deref().unwrap_or(&plain);
    let read = (*reading, *counts, &shown.unit);
    shown.digits = (0..shown.values.len())
        .map(|row| evaluate::digits(value, row, read, precision).0)
        .collect();
}

/// The word after the unit.
pub(super) fn word(
    reading: Reading,
    asked: Option<syntax::Datum>,
    unit: &Unit,
) -> Option<&'static str> {
    if matches!(unit.mark(), Mark::Gauge | Mark::Absolute) {
        return None;
    }
    match (reading, asked) {
        (Reading::Pressure(datum, weight), _) if !weight.may_be_interval() => Some(datum.word()),
        (_, Some(asked)) => Some(asked.text()),
        _ => None,
    }
}

/// A literal as the author wrote it.
pub(super) fn literal(text: &str, quantity: &Quantity, value: &Arc<Value>) -> Shown {
    Shown {
        origin: Some(Box::new((
            Arc::clone(value),
            Reading::Plain,
            Counts::NOTHING,
        ))),
        doubt: None,
        si: value.rows.clone(),
        values: quantity.values.clone(),
        digits: Vec::new(),
        written: Some(written(quantity.number.of(text), quantity.power)),
        shape: quantity.shape,
        unit: quantity.unit.clone(),
        word: match (quantity.datum, quantity.unit.mark()) {
            (_, Mark::Gauge | Mark::Absolute) | (None, _) => None,
            (Some(syntax::Datum::Gauge), _) => Some("gauge"),
            (Some(syntax::Datum::Absolute), _) => Some("abs"),
            (Some(syntax::Datum::Difference), _) => Some("difference"),
        },
        uncertainties: Vec::new(),
        coverage: None,
        degrees: Vec::new(),
        is_cut: false,
        sizes: sizes(text, &quantity.sizes),
        power: quantity.power,
        figures: 0,
    }
}

/// A number as it is written, with the power of ten that stands behind its brackets.
pub(super) fn written(number: &str, power: Option<i32>) -> String {
    match power {
        Some(power) => format!("{number}e{power}"),
        None => number.to_owned(),
    }
}

/// Uncertainties as they are written.
pub(super) fn sizes(text: &str, sizes: &[Size]) -> Vec<SizeShown> {
    sizes.iter().map(|size| size_written(text, size)).collect()
}

/// An uncertainty as it is written.
pub(super) fn size_written(text: &str, size: &Size) -> SizeShown {
    let number = |place: Span| {
        let number = tokens(place.of(text)).find(|it| it.kind == TokenKind::Number);
        number.map_or_else(String::new, |number| number.text.to_owned())
    };
    let term = |term: &TermWritten| TermShown {
        number: number(term.span),
        unit: term.unit.clone(),
        of: (term.of.as_deref()).map(|(of, unit)| Box::new((number(*of), unit.clone()))),
    };
    SizeShown {
        form: size.written.form,
        terms: size.written.terms.iter().map(term).collect(),
        words: size.written.words.clone(),
    }
}

/// A plain number as the author wrote it, with the unit one.
pub(super) fn number(written: &str, value: f64) -> Shown {
    Shown {
        origin: None,
        doubt: None,
        si: vec![value],
        values: vec![value],
        digits: Vec::new(),
        written: Some(written.to_owned()),
        shape: Shape::One,
        unit: Unit::one(),
        word: None,
        uncertainties: Vec::new(),
        coverage: None,
        degrees: Vec::new(),
        is_cut: false,
        sizes: Vec::new(),
        power: None,
        figures: 0,
    }
}
