//! Numbers, units and quantity literals.
//!
//! A literal is read where position makes a unit certain: in `given`, in claims and filled asks,
//! in conditions, and in a formula before `gauge`, `abs` or `difference`. Which unit a symbol
//! is, and whether the line may hold one, is left to others.

use super::grammar::{self, Pair, Pairs, Rule};
use super::reader::{Read, Reader};
use super::sizes;
use super::{Amount, Brackets, Datum, Literal, Magnitude, Number, UnitExpr, UnitFactor};
use super::{Expr, ExprKind, Factor, Operator};
use crate::diagnostic::{Code, Diagnostic, Fix};
use crate::text::{Span, decimal, lowered, times_ten_to};
use std::iter::Peekable;

/// The largest power of a unit that is read.
const MAX_POWER: i32 = 1000;

/// A number with or without its sign.
pub(super) fn number(pair: &Pair<'_>, start: usize) -> Read<Number> {
    let span = grammar::span(pair, start);
    let text = pair.as_str();
    let value = value_of(text);
    if value.is_finite() {
        Ok(Number { span, value })
    } else {
        Err(error(
            Code::E04,
            span,
            format!("`{text}` is too large for a number"),
            "a number below 1.7e308",
        ))
    }
}

fn value_of(text: &str) -> f64 {
    let (negative, digits) = match text.strip_prefix(['-', '−']) {
        Some(rest) => (true, rest),
        None => (false, text.strip_prefix('+').unwrap_or(text)),
    };
    let value: f64 = digits.parse().unwrap_or(f64::NAN);
    if negative { -value } else { value }
}

/// `⁻²` as a number.
pub(super) fn superscript_value(text: &str) -> f64 {
    let ascii: String = text.chars().filter_map(lowered).collect();
    ascii.parse().unwrap_or(0.0)
}

/// `12°`, `5 %`, `20 °C`.
pub(super) fn with_mark(number: Number, mark: &Pair<'_>, start: usize) -> Literal {
    let span = grammar::span(mark, start);
    Literal {
        span: number.span.cover(span),
        larger: Vec::new(),
        magnitude: Magnitude::One(number),
        unit: Some(one_unit(span, mark.as_str())),
        datum: None,
        sizes: Vec::new(),
    }
}

/// `30'` and `15"` after degrees, whose signs mean nothing else there.
pub(super) fn add_minutes(
    reader: &Reader<'_>,
    literal: &mut Literal,
    minutes: Pair<'_>,
) -> Read<()> {
    let whole = reader.span(&minutes);
    let is_degrees =
        |unit: &UnitExpr| matches!(unit.factors.as_slice(), [only] if &*only.symbol == "°");
    if !literal.unit.as_ref().is_some_and(is_degrees) {
        return Err(error(
            Code::S01,
            whole,
            format!("`{}` stands after no degrees", reader.slice(whole).trim()),
            "degrees, minutes and seconds as in `12°30'15\"`",
        ));
    }
    let numbers: Vec<Number> = minutes
        .into_inner()
        .map(|pair| number(&pair, reader.start))
        .collect::<Read<_>>()?;
    for (index, (number, symbol)) in numbers.iter().zip(["arcmin", "arcsec"]).enumerate() {
        let end = numbers
            .get(index + 1)
            .map_or(whole.end, |next| next.span.start);
        let between = Span {
            start: number.span.end,
            end,
        };
        let sign = between.start as usize + reader.slice(between).trim_end().len();
        let sign = Span::new(number.span.end as usize, sign);
        add_part(literal, Magnitude::One(*number), one_unit(sign, symbol));
    }
    literal.span = literal.span.cover(whole);
    Ok(())
}

/// A further part, in a smaller unit.
fn add_part(literal: &mut Literal, magnitude: Magnitude, unit: UnitExpr) {
    let magnitude = std::mem::replace(&mut literal.magnitude, magnitude);
    literal
        .larger
        .extend(literal.unit.replace(unit).map(|unit| (magnitude, unit)));
}

pub(super) fn one_unit(span: Span, symbol: &str) -> UnitExpr {
    let factor = UnitFactor {
        span,
        symbol: symbol.into(),
        power: 1,
        root: 1,
        below: false,
    };
    UnitExpr {
        span,
        factors: vec![factor],
    }
}

/// A datum word.
pub(super) fn datum(pair: &Pair<'_>) -> Datum {
    match pair.as_str() {
        "gauge" => Datum::Gauge,
        "abs" => Datum::Absolute,
        _ => Datum::Difference,
    }
}

// ---- units ----------------------------------------------------------------------------------

/// A unit; brackets are multiplied out.
pub(super) fn unit(reader: &Reader<'_>, pair: Pair<'_>) -> Read<UnitExpr> {
    let span = reader.span(&pair);
    let leading_slash = pair.as_str().starts_with('/');
    let mut factors = unit_row(reader, pair.into_inner(), leading_slash)?;
    if leading_slash {
        let one = UnitFactor {
            span: Span {
                start: span.start,
                end: span.start,
            },
            symbol: "".into(),
            power: 1,
            root: 1,
            below: false,
        };
        factors.insert(0, one);
    }
    Ok(UnitExpr { span, factors })
}

/// One level of a unit. After a slash only one factor may follow before the next slash.
fn unit_row(reader: &Reader<'_>, pairs: Pairs<'_>, mut below: bool) -> Read<Vec<UnitFactor>> {
    let mut factors = Vec::with_capacity(2);
    let mut pairs = pairs.peekable();
    let mut slash_used = below;
    let mut complete = false;
    let mut row: Option<Span> = None;
    let mut last = Span::default();
    while let Some(pair) = pairs.next() {
        let span = reader.span(&pair);
        if pair.as_rule() == Rule::unit_operator {
            if pair.as_str() == "/" {
                below = true;
                slash_used = true;
                complete = false;
            }
            continue;
        }
        if slash_used && complete {
            let refusal = two_unit_readings(reader, row.unwrap_or(span), last, span);
            let row = row.unwrap_or(span);
            let fixes = either_unit(reader, row, last, (span, &pairs));
            return Err(Box::new(refusal.with_fixes(fixes.into_iter().flatten())));
        }
        let mut inner = match pair.as_rule() {
            Rule::unit_group => unit_row(reader, pair.into_inner(), false)?,
            rule => vec![UnitFactor {
                span,
                symbol: if rule == Rule::unit_one {
                    ""
                } else {
                    pair.as_str()
                }
                .into(),
                power: 1,
                root: 1,
                below: false,
            }],
        };
        last = span;
        if let Some(power) = pairs.next_if(|pair| pair.as_rule() == Rule::unit_power) {
            last = span.cover(reader.span(&power));
            raise(reader, &mut inner, &power)?;
        }
        if below {
            for factor in &mut inner {
                factor.power = -factor.power;
                factor.below = !factor.below;
            }
        }
        row = Some(row.map_or(last, |row| row.cover(last)));
        complete = true;
        factors.append(&mut inner);
    }
    Ok(factors)
}

fn raise(reader: &Reader<'_>, factors: &mut [UnitFactor], power: &Pair<'_>) -> Read<()> {
    let refused = || {
        error(
            Code::S01,
            reader.span(power),
            format!("`{}` cannot be the power of a unit", power.as_str()),
            "a whole number as in `m^2`, or a fraction as in `m^(1/2)`",
        )
    };
    let (numerator, denominator) = power_of(power.as_str()).ok_or_else(refused)?;
    for factor in factors {
        let raised = factor.power.checked_mul(numerator);
        let rooted = factor.root.checked_mul(denominator);
        let (Some(raised), Some(rooted)) = (raised, rooted) else {
            return Err(refused());
        };
        if raised.abs() > MAX_POWER || rooted > MAX_POWER {
            return Err(refused());
        }
        (factor.power, factor.root) = (raised, rooted);
    }
    Ok(())
}

/// `^-2`, `^(1/2)`, `²` as numerator and positive denominator.
fn power_of(text: &str) -> Option<(i32, i32)> {
    let Some(raised) = text.strip_prefix('^') else {
        let ascii: String = text.chars().filter_map(lowered).collect();
        return Some((ascii.parse().ok()?, 1));
    };
    let plain = raised.trim_matches(['(', ')']).replace('−', "-");
    let (numerator, denominator) = plain.split_once('/').unwrap_or((&plain, "1"));
    let denominator: i32 = denominator.parse().ok()?;
    (denominator > 0).then_some((numerator.parse().ok()?, denominator))
}

/// `kJ/kg K`: `row` is what stands before, `last` the factor below the slash.
fn two_unit_readings(reader: &Reader<'_>, row: Span, last: Span, next: Span) -> Box<Diagnostic> {
    let above = Span {
        start: row.start,
        end: last.start,
    };
    let above = reader.slice(above).trim_end_matches([' ', '/']);
    let (below, after) = (reader.slice(last), reader.slice(next));
    let whole = row.cover(next);
    error(
        Code::S13,
        whole,
        format!("the unit `{}` has two readings", reader.slice(whole)),
        &format!("`{above}/({below} {after})` or `{above} {after}/{below}`"),
    )
}

/// `kJ/(kg K)` and `kJ K/kg`; `next` is the factor that has two readings, with what follows it.
fn either_unit<'i>(
    reader: &Reader<'_>,
    row: Span,
    last: Span,
    (mut next, rest): (Span, &Peekable<Pairs<'i>>),
) -> [Option<Fix>; 2] {
    let mut rest = rest.clone();
    if let Some(power) = rest.next_if(|pair| pair.as_rule() == Rule::unit_power) {
        next = next.cover(reader.span(&power));
    }
    let above = reader.slice(Span {
        end: last.start,
        ..row
    });
    let above_end = row.start + above.trim_end_matches([' ', '/']).len() as u32;
    let above_end = Span::new(above_end as usize, above_end as usize);
    if rest.peek().is_some() || above_end.end == row.start {
        return [None, None];
    }
    let whole = row.cover(next);
    let open = Span {
        end: last.start,
        ..last
    };
    let moved = format!(" {}", reader.slice(next));
    let after = Span {
        start: last.end,
        ..next
    };
    [
        reader.choice(whole, &[(open, "("), (next.at_end(), ")")]),
        reader.choice(whole, &[(above_end, &*moved), (after, "")]),
    ]
}

// ---- literals -------------------------------------------------------------------------------

/// A quantity literal.
pub(super) fn literal(reader: &Reader<'_>, pair: Pair<'_>) -> Read<Literal> {
    let span = reader.span(&pair);
    let mut found = Literal {
        span,
        larger: Vec::new(),
        magnitude: Magnitude::List(Vec::new()),
        unit: None,
        datum: None,
        sizes: Vec::new(),
    };
    for part in pair.into_inner() {
        match part.as_rule() {
            Rule::signed => found.magnitude = Magnitude::One(number(&part, reader.start)?),
            Rule::fraction | Rule::mixed => {
                found.magnitude = broken(reader, &found.magnitude, part)?;
            }
            Rule::degrees => {
                let sign = Span {
                    end: reader.span(&part).start + "°".len() as u32,
                    ..reader.span(&part)
                };
                found.unit = Some(one_unit(sign, "°"));
                for minutes in part.into_inner() {
                    add_minutes(reader, &mut found, minutes)?;
                }
            }
            Rule::power_of_ten => {
                let Magnitude::One(before) = found.magnitude else {
                    continue;
                };
                found.magnitude = Magnitude::One(with_exponent(reader, before, &part)?);
            }
            Rule::further => further(reader, &mut found, part)?,
            Rule::number_list => found.magnitude = Magnitude::List(numbers(reader, part)?),
            Rule::number_vector => found.magnitude = Magnitude::Vector(numbers(reader, part)?),
            Rule::concise => sizes::concise(reader, &mut found, part, span)?,
            Rule::uncertain_number => uncertain_number(reader, &mut found, part)?,
            Rule::unit => found.unit = Some(unit(reader, part)?),
            Rule::datum => found.datum = Some(datum(&part)),
            Rule::size => sizes::size(reader, &mut found, part)?,
            Rule::how => sizes::how_alone(reader, &mut found, part)?,
            _ => {}
        }
    }
    sizes::refuse_sizes(reader, &found)?;
    Ok(found)
}

fn numbers(reader: &Reader<'_>, part: Pair<'_>) -> Read<Vec<Number>> {
    part.into_inner()
        .map(|part| number(&part, reader.start))
        .collect()
}

/// A number with the fraction behind it: `3/8`, `2 1/2`.
fn broken(reader: &Reader<'_>, before: &Magnitude, part: Pair<'_>) -> Read<Magnitude> {
    let is_mixed = part.as_rule() == Rule::mixed;
    let parts = numbers(reader, part)?;
    Ok(match (before, parts.as_slice()) {
        (Magnitude::One(whole), [above, below]) if is_mixed => {
            Magnitude::Mixed(*whole, *above, *below)
        }
        (Magnitude::One(above), [below]) => Magnitude::Fraction(*above, *below),
        _ => before.clone(),
    })
}

/// `5 · 10^3`: the number before with the exponent of `part`.
fn with_exponent(reader: &Reader<'_>, before: Number, part: &Pair<'_>) -> Read<Number> {
    let span = before.span.cover(reader.span(part));
    let text = reader.slice(span);
    let value = value_of(&decimal(text));
    match value.is_finite() {
        true => Ok(Number { span, value }),
        false => Err(error(
            Code::E04,
            span,
            format!("`{text}` is no number of the computable range"),
            "a number below 1.7e308",
        )),
    }
}

/// `3 in` behind `5 ft`.
fn further(reader: &Reader<'_>, found: &mut Literal, part: Pair<'_>) -> Read<()> {
    let mut magnitude = Magnitude::List(Vec::new());
    for part in part.into_inner() {
        match part.as_rule() {
            Rule::number => magnitude = Magnitude::One(number(&part, reader.start)?),
            Rule::further_unit => {
                let unit = one_unit(reader.span(&part), part.as_str());
                add_part(found, magnitude.clone(), unit);
            }
            _ => magnitude = broken(reader, &magnitude, part)?,
        }
    }
    Ok(())
}

/// `(9.804 ± 0.033)`, `(5.00 ± 0.10) × 10^-9`.
fn uncertain_number(reader: &Reader<'_>, found: &mut Literal, part: Pair<'_>) -> Read<()> {
    let mut brackets = Brackets {
        span: reader.span(&part),
        power: None,
    };
    for inner in part.into_inner() {
        match inner.as_rule() {
            Rule::signed => found.magnitude = Magnitude::One(number(&inner, reader.start)?),
            Rule::power_of_ten => brackets.power = Some(power_of_ten(reader, inner)?),
            _ => sizes::in_brackets(reader, found, inner)?,
        }
    }
    let power = brackets.power.unwrap_or(0);
    let inside = reader.slice(brackets.span).split(')').next().unwrap_or("");
    if brackets.power.is_some() && inside.contains(['e', 'E']) {
        return Err(sizes::refused(
            brackets.span,
            "there is a power of ten in the brackets and one after them",
            "one power of ten for both numbers: `(5.00 ± 0.10) × 10^-9 m`",
        ));
    }
    if let Magnitude::One(value) = &mut found.magnitude {
        value.value = times_ten_to(value.value, power);
    }
    if let Some(size) = found.sizes.last_mut() {
        if let Amount::Sum(terms) = &mut size.amount {
            for term in terms {
                term.value = times_ten_to(term.value, power);
                term.place = times_ten_to(term.place, power);
            }
        }
        size.brackets = Some(brackets);
    }
    Ok(())
}

/// The exponent of `× 10^-9`, `·10⁻⁹`, `e-9`.
fn power_of_ten(reader: &Reader<'_>, part: Pair<'_>) -> Read<i32> {
    let span = reader.span(&part);
    let written = part.into_inner().next();
    let lowered = written.map(|it| -> String {
        let characters = it.as_str().chars();
        characters.map(|it| lowered(it).unwrap_or(it)).collect()
    });
    let power = lowered.and_then(|it| it.replace('−', "-").trim_start_matches('+').parse().ok());
    power.ok_or_else(|| sizes::refused(span, "this power of ten is out of range", "`× 10^-9`"))
}

pub(super) fn is_percent(unit: &UnitExpr) -> bool {
    matches!(unit.factors.as_slice(), [only] if &*only.symbol == "%")
}

fn error(code: Code, span: Span, message: String, help: &str) -> Box<Diagnostic> {
    Box::new(Diagnostic::error(code, span, message).with_help(help))
}

// ---- a datum word inside a formula ------------------------------------------------------------

/// Turns the last number and the names after it into a literal that ends in a datum word:
/// `240 kPa gauge` inside a formula.
pub(super) fn close_with_datum(
    reader: &Reader<'_>,
    factors: &mut Vec<Factor>,
    word: &Pair<'_>,
) -> Read<()> {
    let place = reader.span(word);
    let refused = || {
        error(
            Code::S01,
            place,
            format!(
                "`{}` stands here without a number and a unit before it",
                word.as_str()
            ),
            "a literal such as `240 kPa gauge`",
        )
    };
    let head = factors
        .iter()
        .rposition(|factor| {
            matches!(factor.expr.kind, ExprKind::Quantity(_))
                || matches!(factor.expr.kind, ExprKind::Number(number) if number.value != 1.0)
        })
        .or_else(|| {
            factors
                .iter()
                .position(|factor| matches!(factor.expr.kind, ExprKind::Number(_)))
        })
        .ok_or_else(refused)?;
    let tail = factors.split_off(head + 1);
    let Some(number) = factors.pop() else {
        return Err(refused());
    };
    let mut literal = match number.expr.kind {
        ExprKind::Quantity(literal) if tail.is_empty() => *literal,
        ExprKind::Number(value) if !tail.is_empty() => Literal {
            span: number.expr.span,
            larger: Vec::new(),
            magnitude: Magnitude::One(value),
            unit: Some(unit_of(reader, &tail).ok_or_else(refused)?),
            datum: None,
            sizes: Vec::new(),
        },
        _ => return Err(refused()),
    };
    literal.span = literal.span.cover(place);
    literal.datum = Some(datum(word));
    factors.push(Factor {
        operator: number.operator,
        expr: Expr {
            span: literal.span,
            kind: ExprKind::Quantity(Box::new(literal)),
        },
    });
    Ok(())
}

/// Factors of a formula read as a unit by reading their text again as one.
fn unit_of(reader: &Reader<'_>, factors: &[Factor]) -> Option<UnitExpr> {
    let span = factors
        .iter()
        .map(|factor| factor.expr.span)
        .reduce(Span::cover)?;
    if factors.first()?.operator != Operator::Juxtapose {
        return None;
    }
    super::parse_unit_at(reader.slice(span), span.start as usize).ok()
}
