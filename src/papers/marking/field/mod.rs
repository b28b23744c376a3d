//! A field of a list to a quantity.
//!
//! In go the text of a field, what is asked there, and what the row says of the decimal sign; out
//! comes the one quantity that it can be, or why a person has to look at it. Numbers, units and
//! quantities are read as the language reads them (`syntax`, `resolve`); here stands what a
//! student may write more loosely, and only where one reading is possible.

mod entries;
mod numeral;
mod said;
mod unit;

pub use numeral::Signs;
pub use said::{Doubt, Remark};

use crate::dimensions::{Reading as CountsFrom, Type};
use crate::evaluate::{size_in_unit, to_si};
use crate::quantity::{Unit, written_precision};
use crate::syntax::{self, Magnitude};
use crate::text::{lowered, times_ten_to};
use numeral::{Blanks, is_blank, plain};

/// Longer fields are not read.
pub const MOST_BYTES: usize = 1000;

/// What is asked in a field.
#[derive(Debug, Clone)]
pub struct Asked {
    /// The name that the worksheet has for it.
    pub name: Box<str>,
    /// The other names of the question, of which a student may write one by mistake.
    pub others: Vec<Box<str>>,
    /// One number, or several.
    pub shape: Shape,
    /// The unit asked; [`Unit::one`] for a plain number.
    pub unit: Unit,
    /// Its dimension, what it counts from, and what it counts of turning.
    pub found: Type,
    /// The words for its signs.
    pub words: Words,
    /// The pressure of the atmosphere in Pa, by which gauge and absolute differ.
    pub atmosphere: Option<f64>,
    /// Whether a vector may be told by size and angle.
    pub by_angle: bool,
}

/// How many numbers.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Shape {
    /// One.
    Scalar,
    /// So many components.
    Vector(usize),
    /// So many entries.
    Column(usize),
}

/// The words for the signs of a quantity.
#[derive(Debug, Clone, Default)]
pub struct Words {
    /// That of a positive one.
    pub positive: Option<Box<str>>,
    /// That of a negative one.
    pub negative: Option<Box<str>>,
}

/// What a field says.
#[derive(Debug, Clone, PartialEq)]
pub enum Field {
    /// Nothing; with a remark where a sign says so.
    Blank(Option<Remark>),
    /// One quantity.
    One(Written),
    /// A number without a unit that may be a plain one, or in the unit asked, in this order.
    Either(Box<[Written; 2]>),
    /// A person has to look at it.
    Person(Doubt),
}

/// A quantity as it was written.
#[derive(Debug, Clone, PartialEq)]
pub struct Written {
    /// The number, the components or the entries; `None` for an entry that is missing.
    pub numbers: Vec<Option<Number>>,
    /// Its unit.
    pub unit: WrittenUnit,
    /// The sign before the number, where there is one.
    pub sign: Option<Sign>,
    /// The sign that a word says.
    pub word: Option<Sign>,
    /// What stands behind `±`, which is not judged.
    pub uncertainty: Option<Box<str>>,
    /// What a marker should see.
    pub remarks: Vec<Remark>,
}

/// A number of a field.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Number {
    /// In coherent SI units.
    pub si: f64,
    /// Half a unit in the last place that is written, in coherent SI units.
    pub half: f64,
    /// Its figures.
    pub figures: Figures,
}

/// How many figures are written.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Figures {
    /// With the zeros at the end of a whole number.
    pub most: u32,
    /// Without these.
    pub least: u32,
}

impl Figures {
    /// Those by which a slip is named: zeros at the end are taken as figures up to the third.
    pub fn for_slips(self) -> u32 {
        self.least.max(self.most.min(3))
    }
}

impl Number {
    /// Half a unit of the place that the last of so many figures has, in coherent SI units.
    pub fn half_at(&self, figures: u32) -> f64 {
        let places = self.figures.most.saturating_sub(figures);
        times_ten_to(self.half, places.cast_signed())
    }
}

/// What was written of the unit.
#[derive(Debug, Clone, PartialEq)]
pub enum WrittenUnit {
    /// One of the kind that is asked.
    Asked(Unit),
    /// None: the number was taken in the unit asked.
    None,
    /// One of another kind: the number was taken in the unit asked.
    Other(Unit),
}

/// A sign.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Sign {
    /// `+`, or the word for it.
    Plus,
    /// `-`, or the word for it.
    Minus,
}

/// Reads a field; `row` is what the student's other fields say of the decimal sign.
pub fn read(asked: &Asked, field: &str, row: Signs) -> Field {
    let text = field.trim_matches(is_blank);
    if text.is_empty() {
        return Field::Blank(None);
    }
    if is_dash(text) || text.eq_ignore_ascii_case("n/a") {
        return Field::Blank(Some(Remark::Blank(text.into())));
    }
    if text.len() > MOST_BYTES {
        return Field::Person(Doubt::TooLong);
    }
    stated(asked, text, row).unwrap_or_else(Field::Person)
}

/// The sign for nothing.
fn is_dash(text: &str) -> bool {
    matches!(text, "-" | "–" | "—" | "−")
}

/// A sign before a number, as keyboards and spreadsheets have it.
fn is_sign(letter: char) -> bool {
    matches!(letter, '+' | '-' | '−' | '–')
}

type Read<T> = Result<T, Doubt>;

/// The field behind its `R_x =` and its `~`.
fn stated(asked: &Asked, text: &str, row: Signs) -> Read<Field> {
    let (name, rest, is_about) = match text.split_once(['=', '≈', '~']) {
        Some((name, rest)) => {
            let sign = text.get(name.len()..).and_then(|it| it.chars().next());
            (name.trim_matches(is_blank), rest, sign != Some('='))
        }
        None => ("", text, false),
    };
    if rest.contains(['=', '≈', '~']) {
        return Err(Doubt::NotUnderstood);
    }
    if !name.is_empty() {
        let is_name = name.starts_with(char::is_alphabetic)
            && (name.chars()).all(|it| it.is_alphanumeric() || it == '_' || lowered(it).is_some());
        let key = syntax::canonical(name);
        if !is_name {
            return Err(Doubt::NotUnderstood);
        }
        if key != asked.name && asked.others.contains(&key) {
            return Err(Doubt::OtherName(name.into()));
        }
    }
    let mut found = directed(asked, rest.trim_matches(is_blank), row)?;
    if is_about {
        for written in found.all_mut() {
            written.remarks.push(Remark::About);
        }
    }
    Ok(found)
}

impl Field {
    fn all_mut(&mut self) -> &mut [Written] {
        match self {
            Self::Blank(_) | Self::Person(_) => &mut [],
            Self::One(written) => std::slice::from_mut(written),
            Self::Either(both) => &mut **both,
        }
    }
}

/// A field with a word for its sign, or without. A word that is a unit too is tried as both.
fn directed(asked: &Asked, text: &str, row: Signs) -> Read<Field> {
    let words = [
        (asked.words.positive.as_deref(), Sign::Plus),
        (asked.words.negative.as_deref(), Sign::Minus),
    ];
    let found: Vec<(&str, &str, Sign)> = (words.into_iter())
        .filter_map(|(word, sign)| Some((without_word(text, word?)?, word?, sign)))
        .collect();
    let (rest, word, sign) = match found.as_slice() {
        [] => return shaped(asked, text, row, None),
        [only] => *only,
        _ => return Err(Doubt::BothWords),
    };
    let other = words.iter().find(|(_, own)| *own != sign);
    if other.is_some_and(|(word, _)| word.is_some_and(|it| without_word(rest, it).is_some())) {
        return Err(Doubt::BothWords);
    }
    if !crate::quantity::is_unit(word) {
        return shaped(asked, rest, row, Some(sign));
    }
    let ways = [
        shaped(asked, text, row, None),
        shaped(asked, rest, row, Some(sign)),
    ];
    let has_unit = |way: &&Read<Field>| {
        matches!(
            way,
            Ok(Field::One(Written {
                unit: WrittenUnit::Asked(_),
                ..
            }))
        )
    };
    match (ways.iter().filter(has_unit).count(), ways) {
        (1, [unit, Err(_) | Ok(_)]) if has_unit(&&unit) => unit,
        (1, [_, direction]) => direction,
        (_, [Err(doubt), Err(_)]) => Err(doubt),
        (_, [Ok(field), Err(_)] | [Err(_), Ok(field)]) => Ok(field),
        (_, [Ok(_), Ok(_)]) => Err(Doubt::TwoReadings(
            format!("the unit {word}"),
            format!("the direction {word}"),
        )),
    }
}

/// What is left of a text that begins or ends with a word, perhaps in brackets.
fn without_word<'t>(text: &'t str, word: &str) -> Option<&'t str> {
    let count = word.chars().count();
    let is_same = |part: &str| part.to_lowercase() == word.to_lowercase();
    let place = |at: usize| text.char_indices().nth(at).map_or(text.len(), |(at, _)| at);
    let trim = |it: char| is_blank(it) || matches!(it, ',' | ';' | ':');
    let (start, rest) = text.split_at_checked(place(count))?;
    if is_same(start) && !rest.starts_with(char::is_alphanumeric) {
        return Some(rest.trim_matches(trim));
    }
    let (text, closed) = match text.strip_suffix(')') {
        Some(inner) if inner.trim_end().ends_with(|it: char| it.is_alphabetic()) => (inner, true),
        _ => (text, false),
    };
    let length = text.chars().count();
    let (rest, end) = text.split_at_checked(place(length.checked_sub(count)?))?;
    if !is_same(end) || rest.ends_with(char::is_alphanumeric) {
        return None;
    }
    match (closed, rest.strip_suffix('(')) {
        (true, Some(rest)) => Some(rest.trim_matches(trim)),
        (true, None) => None,
        (false, _) => Some(rest.trim_matches(trim)),
    }
}

fn shaped(asked: &Asked, text: &str, row: Signs, word: Option<Sign>) -> Read<Field> {
    match asked.shape {
        Shape::Scalar => scalar(asked, text, row, word),
        Shape::Vector(_) | Shape::Column(_) if word.is_some() => Err(Doubt::NotUnderstood),
        Shape::Vector(count) => entries::vector(asked, text, row, count).map(Field::One),
        Shape::Column(count) => entries::column(asked, text, row, count).map(Field::One),
    }
}

fn scalar(asked: &Asked, text: &str, row: Signs, word: Option<Sign>) -> Read<Field> {
    let (text, otherwise) = plain(text, Blanks::Group, row)?;
    let text = with_times(&text);
    let (sign, unsigned) = signed(&text);
    if let (Some(sign), Some(word)) = (sign, word)
        && (sign, word) != (Sign::Plus, Sign::Plus)
    {
        return Err(Doubt::SignAndWord);
    }
    let is_negative = sign == Some(Sign::Minus) || word == Some(Sign::Minus);
    let text = match is_negative {
        true => format!("-{unsigned}"),
        false => unsigned.to_owned(),
    };
    let mut ways = unit::ways(asked, &text)?;
    if let Some(way) = ways.iter().find(|way| !way.literal.larger.is_empty()) {
        return Err(Doubt::Parts(way.text.as_str().into()));
    }
    ways.retain(|way| {
        matches!(
            way.literal.magnitude,
            Magnitude::One(_) | Magnitude::Fraction(..)
        )
    });
    let way = unit::only(asked, ways)?;
    let mut remarks: Vec<Remark> = (otherwise.into_iter())
        .map(|(written, read)| Remark::read_as(&written, &read))
        .collect();
    remarks.extend(way.remarks.iter().cloned());
    let written = Written {
        numbers: vec![Some(number(asked, &way)?)],
        unit: way.unit.clone(),
        sign,
        word,
        uncertainty: uncertainty(&way),
        remarks,
    };
    Ok(either(asked, &way, written))
}

/// `1.24 x 10^4` with its sign of multiplication.
fn with_times(text: &str) -> std::borrow::Cow<'_, str> {
    let is_times = |(at, _): &(usize, &str)| {
        let (before, after) = (text.get(..*at), text.get(at + 1..));
        let raised = after.and_then(|after| after.trim_start().strip_prefix("10"));
        let is_raised = |it: char| it == '^' || lowered(it).is_some();
        before.is_some_and(|before| before.trim_end().ends_with(|it: char| it.is_ascii_digit()))
            && raised.is_some_and(|raised| raised.starts_with(is_raised))
    };
    match text.match_indices(['x', 'X']).find(is_times) {
        Some((at, _)) => {
            let (before, after) = text.split_at(at);
            format!("{before}×{}", after.get(1..).unwrap_or("")).into()
        }
        None => text.into(),
    }
}

/// A sign at the start, and what stands behind it.
fn signed(text: &str) -> (Option<Sign>, &str) {
    let mut letters = text.chars();
    match letters.next() {
        Some('+') => (Some(Sign::Plus), letters.as_str().trim_start()),
        Some(letter) if is_sign(letter) => (Some(Sign::Minus), letters.as_str().trim_start()),
        Some(_) | None => (None, text),
    }
}

/// A number without a unit where a share or an angle is asked may be a plain one.
fn either(asked: &Asked, way: &unit::Way, written: Written) -> Field {
    let (Some(Some(own)), WrittenUnit::None, Magnitude::One(number)) = (
        written.numbers.first(),
        &written.unit,
        &way.literal.magnitude,
    ) else {
        return Field::One(written);
    };
    let is_other = asked.unit.dimension().is_none() && asked.unit.factor() != 1.0;
    let most = match asked.unit.is_share() {
        true => 1.0,
        false => std::f64::consts::TAU,
    };
    if !is_other || number.value.abs() > most || number.value == 0.0 {
        return Field::One(written);
    }
    let bare = Number {
        si: number.value,
        half: own.half / size(asked, &asked.unit),
        figures: own.figures,
    };
    let as_number = Written {
        numbers: vec![Some(bare)],
        ..written.clone()
    };
    Field::Either(Box::new([as_number, written]))
}

fn uncertainty(way: &unit::Way) -> Option<Box<str>> {
    let size = way.literal.sizes.first()?;
    let end = way.literal.sizes.last().map_or(size.span, |last| last.span);
    Some(size.span.cover(end).of(&way.text).into())
}

/// The number of a literal in coherent SI units.
fn number(asked: &Asked, way: &unit::Way) -> Read<Number> {
    let unit = way.unit(asked);
    let power = (way.literal.sizes.first()).and_then(|size| size.brackets?.power);
    match way.literal.magnitude {
        Magnitude::One(number) => {
            let place = times_ten_to(place_of(&way.text, number)?, power.unwrap_or(0));
            in_si(asked, unit, &way.text, number, place, way.literal.datum)
        }
        // A fraction is as exact as its numbers are.
        Magnitude::Fraction(above, below) => {
            let value = above.value / below.value;
            let si = counted(asked, unit, value, way.literal.datum)?;
            let figures = Figures {
                most: 15,
                least: 15,
            };
            let half = 0.0;
            (si.is_finite().then_some(Number { si, half, figures })).ok_or(Doubt::NotUnderstood)
        }
        Magnitude::Mixed(..) | Magnitude::List(_) | Magnitude::Vector(_) => {
            Err(Doubt::NotUnderstood)
        }
    }
}

fn place_of(text: &str, number: syntax::Number) -> Read<f64> {
    written_precision(number.span.of(text)).ok_or(Doubt::NotUnderstood)
}

fn in_si(
    asked: &Asked,
    unit: &Unit,
    text: &str,
    number: syntax::Number,
    place: f64,
    datum: Option<syntax::Datum>,
) -> Read<Number> {
    let si = counted(asked, unit, number.value, datum)?;
    let half = 0.5 * place * size(asked, unit);
    let is_known = si.is_finite() && half.is_finite();
    let figures = figures(number.span.of(text));
    (is_known.then_some(Number { si, half, figures })).ok_or(Doubt::NotUnderstood)
}

/// One of a unit as a difference, in coherent SI units.
fn size(asked: &Asked, unit: &Unit) -> f64 {
    1.0 / size_in_unit(1.0, asked.found.counts, unit)
}

/// A value of the datum asked, in coherent SI units.
fn counted(asked: &Asked, unit: &Unit, value: f64, datum: Option<syntax::Datum>) -> Read<f64> {
    let found = &asked.found;
    let si = to_si(value, found.reading, found.counts, unit);
    let written = unit::datum(unit, datum);
    match (found.reading, written) {
        (_, None) => Ok(si),
        (_, Some(syntax::Datum::Difference)) if found.reading.is_interval() => Ok(si),
        (CountsFrom::Pressure(own, _), Some(word)) => {
            let is_gauge = word == syntax::Datum::Gauge;
            match (own.is_gauge() == is_gauge, asked.atmosphere) {
                (true, _) => Ok(si),
                (false, Some(atmosphere)) if is_gauge => Ok(si + atmosphere),
                (false, Some(atmosphere)) => Ok(si - atmosphere),
                (false, None) => Err(Doubt::Datum(word)),
            }
        }
        (_, Some(word)) => Err(Doubt::Datum(word)),
    }
}

/// The figures of a number as it is written.
fn figures(text: &str) -> Figures {
    let text = crate::text::decimal(text);
    let mantissa = text.split(['e', 'E']).next().unwrap_or("");
    let digits: String = mantissa.chars().filter(char::is_ascii_digit).collect();
    let digits = digits.trim_start_matches('0');
    let count = |digits: &str| (digits.len() as u32).max(1);
    let least = match mantissa.contains('.') {
        true => digits,
        false => digits.trim_end_matches('0'),
    };
    Figures {
        most: count(digits),
        least: count(least),
    }
}

#[cfg(test)]
mod laws;
#[cfg(test)]
mod tests;
