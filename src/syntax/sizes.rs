//! What a number is uncertain by, and what is said where that has two readings.

use super::grammar::{Pair, Rule};
use super::literal::{datum, is_percent, number, unit};
use super::reader::{Read, Reader};
use super::{
    Amount, Distribution, How, Literal, Magnitude, Number, Share, Sharing, Size, SizeTerm, UnitExpr,
};
use crate::diagnostic::{Code, Decision, Diagnostic, Fix};
use crate::quantity;
use crate::text::Span;

/// One uncertainty behind a number: `± 0.04 mm (k=2)`, `(resolution 0.1 mm)`, `(Poisson)`.
pub(super) fn size(reader: &Reader<'_>, found: &mut Literal, pair: Pair<'_>) -> Read<()> {
    let span = reader.span(&pair);
    let mut size = Size {
        span,
        amount: Amount::Counts,
        how: How::default(),
        sharing: None,
        brackets: None,
    };
    for part in pair.into_inner() {
        match part.as_rule() {
            Rule::plus_minus => size.amount = plus_minus(reader, found, part, false)?,
            Rule::how => how(reader, &mut size.how, part)?,
            Rule::sharing => {
                size.sharing = Some(match part.as_str() {
                    "each" => Sharing::Each,
                    _ => Sharing::Common,
                });
            }
            Rule::resolution => {
                size.how.distribution = Distribution::Resolution;
                if let Some(step) = part.into_inner().next() {
                    let step = term(reader, found, step)?;
                    refuse_share(&step)?;
                    size.amount = Amount::Resolution(with_unit(reader, found, step, span)?);
                }
            }
            _ => size.how.distribution = Distribution::Poisson,
        }
    }
    found.sizes.push(size);
    Ok(())
}

/// The uncertainty that stands in the brackets of its number: `(9.804 ± 0.033)`.
pub(super) fn in_brackets(reader: &Reader<'_>, found: &mut Literal, pair: Pair<'_>) -> Read<()> {
    let span = reader.span(&pair);
    let amount = plus_minus(reader, found, pair, true)?;
    found.sizes.push(plain(span, amount));
    Ok(())
}

/// Words behind a number whose uncertainty stands before the unit: `50.02(4) mm (k=2)`.
pub(super) fn how_alone(reader: &Reader<'_>, found: &mut Literal, pair: Pair<'_>) -> Read<()> {
    let span = reader.span(&pair);
    let Some(last) = found.sizes.last_mut() else {
        let written = reader.slice(span);
        return Err(refused(
            span,
            &format!("`{written}` stands after an uncertainty"),
            &format!("`50.02 ± 0.04 mm {written}`"),
        ));
    };
    last.span = last.span.cover(span);
    how(reader, &mut last.how, pair)
}

/// `50.02(4)`: the digits in brackets count in the last place that is written.
pub(super) fn concise(
    reader: &Reader<'_>,
    found: &mut Literal,
    part: Pair<'_>,
    whole: Span,
) -> Read<()> {
    let span = reader.span(&part);
    let Magnitude::One(value) = found.magnitude else {
        return Ok(());
    };
    let Some(inner) = part.into_inner().next() else {
        return Ok(());
    };
    let written = reader.slice(value.span);
    let digits = number(&inner, reader.start)?;
    if inner.as_str().contains(['e', 'E']) {
        return Err(refused(
            whole.cover(span),
            "the digits in brackets count in the last place and have no exponent",
            "`50.02(4) mm` or `50.02 ± 0.04 mm`",
        ));
    }
    let (value, place) = if inner.as_str().contains('.') {
        (digits.value, place_of(inner.as_str()))
    } else {
        (
            in_last_place(written, inner.as_str()),
            in_last_place(written, "1"),
        )
    };
    let term = SizeTerm {
        span: digits.span,
        value,
        place,
        unit: None,
        share: None,
    };
    found.sizes.push(plain(span, Amount::Concise(term)));
    Ok(())
}

fn plain(span: Span, amount: Amount) -> Size {
    Size {
        span,
        amount,
        how: How::default(),
        sharing: None,
        brackets: None,
    }
}

/// One unit in the last place of a number as it is written.
fn place_of(written: &str) -> f64 {
    quantity::written_precision(written).unwrap_or(0.0)
}

/// `digits` in the last place of `written`, by writing them there: exact to the last bit.
fn in_last_place(written: &str, digits: &str) -> f64 {
    let (mantissa, exponent) = match written.split_once(['e', 'E']) {
        Some((mantissa, exponent)) => (mantissa, exponent.parse().unwrap_or(0)),
        None => (written, 0),
    };
    let decimals = mantissa
        .split_once('.')
        .map_or(0, |(_, decimals)| decimals.len() as i64);
    let exponent: i64 = exponent;
    format!("{digits}e{}", exponent - decimals)
        .parse()
        .unwrap_or(0.0)
}

/// `± 0.04 mm`, `± 0.2 %`, `± (0.4 % + 0.03 L/s)`; `is_inside` the brackets of its number, whose
/// unit stands behind them.
fn plus_minus(
    reader: &Reader<'_>,
    found: &mut Literal,
    pair: Pair<'_>,
    is_inside: bool,
) -> Read<Amount> {
    let span = reader.span(&pair);
    let mut terms = Vec::new();
    for inner in pair.into_inner() {
        let own = term(reader, found, inner)?;
        if is_inside && (own.unit.is_some() || own.share.is_some()) {
            return Err(unit_inside_brackets(reader, span));
        }
        terms.push(own);
    }
    if let [only] = &mut terms[..]
        && found.unit.is_none()
        && only.share.is_none()
        && found.sizes.is_empty()
    {
        // One unit for both numbers.
        found.unit = only.unit.take();
        return Ok(Amount::Sum(terms));
    }
    for own in &terms {
        if own.share == Some(Share::Value) {
            refuse_percent(reader, found, own, span)?;
        }
    }
    let terms = terms.into_iter().map(|own| match is_inside {
        true => Ok(own),
        false => with_unit(reader, found, own, span),
    });
    Ok(Amount::Sum(terms.collect::<Read<_>>()?))
}

/// `0.04 mm`, `0.2 %`, `0.25 % of 600 kPa`. A datum word behind it is that of the value.
fn term(reader: &Reader<'_>, found: &mut Literal, pair: Pair<'_>) -> Read<SizeTerm> {
    let mut own = SizeTerm {
        span: reader.span(&pair),
        value: 0.0,
        place: 0.0,
        unit: None,
        share: None,
    };
    let mut full = None;
    for inner in pair.into_inner() {
        match inner.as_rule() {
            Rule::number => {
                own.value = number(&inner, reader.start)?.value;
                own.place = place_of(inner.as_str());
            }
            Rule::unit => own.unit = Some(unit(reader, inner)?),
            Rule::datum => found.datum = Some(datum(&inner)),
            _ => full = Some(full_scale(reader, inner)?),
        }
    }
    let is_share = own.unit.as_ref().is_some_and(is_percent);
    if is_share {
        own.unit = None;
        own.value /= 100.0;
        own.place /= 100.0;
        own.share = Some(full.unwrap_or(Share::Value));
    } else if full.is_some() {
        let written = reader.slice(own.span);
        return Err(refused(
            own.span,
            &format!("`{written}` is not a share: only `%` is of a full scale"),
            "`0.25 % of 600 kPa`",
        ));
    }
    Ok(own)
}

fn full_scale(reader: &Reader<'_>, pair: Pair<'_>) -> Read<Share> {
    let mut of = Number {
        span: reader.span(&pair),
        value: 0.0,
    };
    let (mut own, mut word) = (None, None);
    for inner in pair.into_inner() {
        match inner.as_rule() {
            Rule::signed => of = number(&inner, reader.start)?,
            Rule::datum => word = Some(datum(&inner)),
            _ => own = Some(unit(reader, inner)?),
        }
    }
    match own {
        Some(own) => Ok(Share::Of(of, own, word)),
        None => Ok(Share::Value),
    }
}

/// A number without a unit beside one with a unit is refused, however clear it seems.
fn with_unit(reader: &Reader<'_>, found: &Literal, own: SizeTerm, whole: Span) -> Read<SizeTerm> {
    match &found.unit {
        Some(unit) if own.unit.as_ref().is_some_and(|own| is_same(unit, own)) => {
            Ok(SizeTerm { unit: None, ..own })
        }
        Some(unit_of_value) if own.unit.is_none() && own.share.is_none() => {
            let unit = typed(unit_of_value);
            let place = Span {
                start: whole.start.max(own.span.start.min(whole.end)),
                ..own.span
            };
            let is_alone = reader.slice(whole).starts_with(['±', '+']) && {
                let inside = reader.slice(whole);
                !inside.contains('(')
            };
            let place = if is_alone { whole } else { place };
            let text = reader.slice(place).trim_end();
            let end = place.start as usize + text.len();
            let place = Span::new(place.start as usize, end);
            if is_percent(unit_of_value) && matches!(found.magnitude, Magnitude::List(_)) {
                return Err(refused(
                    place,
                    &format!("`{text}` says in no unit, and `{text} %` would be a share"),
                    &format!(
                        "in the heading of the column, where it counts in %: `x_i / % {text}`"
                    ),
                ));
            }
            let refusal = refused(
                place,
                &format!("the uncertainty `{text}` has no unit"),
                &format!("`{text} {unit}`"),
            );
            let with_unit = reader.choice(place, &[(place.at_end(), &*format!(" {unit}"))]);
            Err(Box::new(refusal.with_fixes(with_unit)))
        }
        _ => Ok(own),
    }
}

/// A unit as an author types it.
fn typed(unit: &UnitExpr) -> String {
    let part = |is_below: bool| -> Vec<String> {
        let factors = unit.factors.iter().filter(|it| (it.power < 0) == is_below);
        factors
            .map(|factor| match (factor.power.abs(), factor.root) {
                (1, 1) => factor.symbol.to_string(),
                (power, 1) => format!("{}^{power}", factor.symbol),
                (power, root) => format!("{}^({power}/{root})", factor.symbol),
            })
            .filter(|it| !it.is_empty())
            .collect()
    };
    let (above, below) = (part(false).join(" "), part(true));
    let above = if above.is_empty() { "1" } else { &above };
    match below.as_slice() {
        [] => above.to_owned(),
        [one] => format!("{above}/{one}"),
        _ => format!("{above}/({})", below.join(" ")),
    }
}

fn is_same(one: &UnitExpr, other: &UnitExpr) -> bool {
    let factors = one.factors.iter().zip(&other.factors);
    one.factors.len() == other.factors.len()
        && factors.into_iter().all(|(one, other)| {
            (&one.symbol, one.power, one.root) == (&other.symbol, other.power, other.root)
        })
}

fn refuse_share(step: &SizeTerm) -> Read<()> {
    match step.share {
        None => Ok(()),
        Some(_) => Err(refused(
            step.span,
            "the step of the last digit is no share",
            "`(resolution 0.1 mm)`",
        )),
    }
}

/// The words in brackets behind an uncertainty.
fn how(reader: &Reader<'_>, how: &mut How, pair: Pair<'_>) -> Read<()> {
    let whole = reader.span(&pair);
    let mut met: Vec<Rule> = Vec::new();
    for part in pair.into_inner().flat_map(Pair::into_inner) {
        let (rule, span) = (part.as_rule(), reader.span(&part));
        // A level, a factor and a shape each say what the size means.
        let means = [Rule::coverage, Rule::level, Rule::shape];
        let tells_degrees = [Rule::freedom, Rule::known];
        let clashes = |kin: &[Rule]| kin.contains(&rule) && met.iter().any(|it| kin.contains(it));
        if clashes(&means) || clashes(&tells_degrees) {
            let written = reader.slice(whole);
            return Err(refused(
                whole,
                &format!("`{written}` says twice what the uncertainty means"),
                "`(k=2)`, `(95 %)` or `(rectangular)`, and how well it is known",
            ));
        }
        met.push(rule);
        if rule == Rule::shape {
            how.distribution = match part.as_str() {
                "rectangular" => Distribution::Rectangular,
                "triangular" => Distribution::Triangular,
                _ => Distribution::Arcsine,
            };
            continue;
        }
        let written = reader.slice(span);
        let value = match part.into_inner().next() {
            Some(inner) => number(&inner, reader.start)?.value,
            None => 0.0,
        };
        match rule {
            Rule::coverage if value > 0.0 => how.coverage = value,
            Rule::coverage => {
                return Err(refused(span, "a coverage factor is above 0", "`(k=2)`"));
            }
            Rule::level if value > 0.0 && value < 100.0 => how.level = Some(value / 100.0),
            Rule::level => {
                return Err(refused(
                    span,
                    &format!("`{written}` is no part of all errors"),
                    "a level between 0 % and 100 %, such as `(95 %)`",
                ));
            }
            Rule::freedom if value > 0.0 => how.degrees = value,
            Rule::known if value > 0.0 => how.degrees = 0.5 / (value / 100.0).powi(2),
            _ => {
                return Err(refused(
                    span,
                    &format!("`{written}` leaves no degrees of freedom"),
                    "a number above 0",
                ));
            }
        }
    }
    Ok(())
}

/// A filled number is written by `fill`, and with brackets, so that it can be taken out again.
pub(super) fn refuse_apart(reader: &Reader<'_>, literal: &Literal) -> Read<()> {
    let is_filled = |size: &Size| size.brackets.is_some() && size.how == How::default();
    match literal.sizes.as_slice() {
        [] => return Ok(()),
        [only] if is_filled(only) => return Ok(()),
        _ => {}
    }
    let written = reader.slice(literal.span);
    Err(refused(
        literal.span,
        &format!("a filled number has its uncertainty in brackets, and `{written}` does not"),
        "`(50.02 ± 0.04) mm ?`, which `setsquare fill` writes, or an ask such as `? mm`",
    ))
}

/// `2(3)`, without decimal point and unit, may be a product; the components of a vector have no
/// uncertainty that says which of them it is of.
pub(super) fn refuse_sizes(reader: &Reader<'_>, found: &Literal) -> Read<()> {
    let Some(size) = found.sizes.first() else {
        return Ok(());
    };
    let Magnitude::One(value) = &found.magnitude else {
        return match found.magnitude {
            Magnitude::Vector(_) => Err(refused(
                size.span,
                "a vector has its uncertainties in its components",
                "named components with theirs: `F = (F_x, F_y)` in `work`",
            )),
            _ => Ok(()),
        };
    };
    let Amount::Concise(term) = &size.amount else {
        return Ok(());
    };
    let written = reader.slice(value.span);
    if found.unit.is_some() || written.contains('.') {
        return Ok(());
    }
    let inner = reader.slice(term.span);
    let brackets = Span {
        start: value.span.end,
        end: term.span.end + 1,
    };
    let place = value.span.cover(brackets);
    let refusal = Diagnostic::error(
        Code::S07,
        place,
        format!(
            "`{written}({inner})` has two readings: a product, and a number with its uncertainty"
        ),
    )
    .with_help(format!("`{written}*{inner}` or `{written} ± {inner}`"));
    let fixes =
        ["*", " ± "].map(|link| reader.choice(place, &[(brackets, &*format!("{link}{inner}"))]));
    Err(Box::new(refusal.with_fixes(fixes.into_iter().flatten())))
}

pub(super) fn refused(span: Span, message: &str, help: &str) -> Box<Diagnostic> {
    Box::new(Diagnostic::error(Code::Q02, span, message.to_owned()).with_help(help))
}

fn unit_inside_brackets(reader: &Reader<'_>, span: Span) -> Box<Diagnostic> {
    let text = reader.slice(span);
    refused(
        span,
        &format!("the unit of `{text}` stands after the brackets, once for both numbers"),
        "`(50.02 ± 0.04) mm`",
    )
}

/// `50 % ± 1 %`, `1.0 ± 1 %`: a share of the value, or so many percent more or less.
fn refuse_percent(reader: &Reader<'_>, found: &Literal, own: &SizeTerm, span: Span) -> Read<()> {
    if found.unit.as_ref().is_some_and(|unit| !is_percent(unit)) {
        return Ok(());
    }
    // Those of a column are looked at where its unit is known.
    if matches!(&found.magnitude, Magnitude::List(list) if list.is_empty()) {
        return Ok(());
    }
    let place = Span {
        end: span.start + reader.slice(span).trim_end().len() as u32,
        ..found.span
    };
    let share = own.value * 100.0;
    let share = quantity::to_figures(share, 6).ascii();
    let (share, written) = (trimmed(&share), reader.slice(place));
    let Magnitude::One(value) = &found.magnitude else {
        return Err(Box::new(
            Diagnostic::error(
                Code::U12,
                place,
                format!("`{written}` has two readings: a share of each value, or of the whole"),
            )
            .with_help("the uncertainty as a number of the same kind as the values"),
        ));
    };
    let number = reader.slice(value.span);
    let size = value.value.abs() * own.value;
    let own_size = trimmed(&quantity::to_figures(size, 6).ascii()).to_owned();
    let is_in_percent = found.unit.is_some();
    let (whole, part) = match is_in_percent {
        true => (
            format!("({number} ± {share}) %"),
            format!("({number} ± {own_size}) %"),
        ),
        false => (
            format!("({number} ± {share}) %"),
            format!("{number} ± {own_size}"),
        ),
    };
    let readings = match is_in_percent {
        true => format!("{share} % of it, or {share} more or less"),
        false => format!("{share} % of {number}, or percentages both"),
    };
    let (first, second) = match is_in_percent {
        true => (whole, part),
        false => (part, whole),
    };
    let fixes = [&first, &second].map(|text| Fix::write(Decision::Choose, place, text.clone()));
    Err(Box::new(
        Diagnostic::error(
            Code::U12,
            place,
            format!("`{written}` has two readings: {readings}"),
        )
        .with_help(format!("`{first}` or `{second}`"))
        .with_fixes(fixes),
    ))
}

fn trimmed(number: &str) -> &str {
    match number.contains('.') && !number.contains('e') {
        true => number.trim_end_matches('0').trim_end_matches('.'),
        false => number,
    }
}
