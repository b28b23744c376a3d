//! Vectors and columns of readings.

use super::numeral::{Blanks, Signs, is_blank, is_number, plain};
use super::{
    Asked, Doubt, Field, Number, Read, Remark, Shape, Written, WrittenUnit, in_si, is_dash,
    is_sign, place_of, scalar, unit,
};
use crate::dimensions::{Counts, Form, Type};
use crate::quantity::Unit;
use crate::syntax;

/// `(9.36, 3.78) kN`; `10.1 kN at 22°` where that may be.
pub(super) fn vector(asked: &Asked, text: &str, row: Signs, count: usize) -> Read<Written> {
    if let Some((size, angle)) = text.split_once(" at ")
        && asked.by_angle
        && count == 2
    {
        return by_angle(asked, size, angle, row);
    }
    let open = text.starts_with(['(', '[']).then_some(1);
    let inside = open.and_then(|at| {
        let end = text.rfind([')', ']']).filter(|end| *end > at)?;
        // The last bracket may be that of a unit.
        let end = text.find([')', ']']).unwrap_or(end);
        Some((text.get(at..end)?, text.get(end + 1..)?))
    });
    let (inner, tail) = inside.ok_or(Doubt::NotUnderstood)?;
    let parts = components(inner, row, count)?;
    all(asked, &parts, tail, row, Blanks::Group)
}

/// The components between brackets.
fn components<'t>(inner: &'t str, row: Signs, count: usize) -> Read<Vec<&'t str>> {
    let trimmed = |parts: Vec<&'t str>| -> Read<Vec<&'t str>> {
        match parts.len() == count {
            true => Ok(parts),
            false => Err(Doubt::NotUnderstood),
        }
    };
    if inner.contains(';') {
        return trimmed(inner.split(';').collect());
    }
    let apart = parted(inner);
    if apart.len() > 1 {
        return trimmed(apart);
    }
    // Commas without blanks: each that a number may have can be its decimal sign.
    let commas: Vec<usize> = inner.match_indices(',').map(|(at, _)| at).collect();
    if commas.is_empty() || commas.len() > 5 {
        return Err(Doubt::NotUnderstood);
    }
    let mut found: Vec<Vec<&'t str>> = Vec::new();
    for chosen in 0..1_u32 << commas.len() {
        if chosen.count_ones() as usize + 1 != count {
            continue;
        }
        let (mut parts, mut start) = (Vec::new(), 0);
        for (bit, at) in commas.iter().enumerate() {
            if chosen >> bit & 1 == 1 {
                parts.extend(inner.get(start..*at));
                start = at + 1;
            }
        }
        parts.extend(inner.get(start..));
        if parts.iter().all(|part| is_number(part)) {
            found.push(parts);
        }
    }
    match found.as_slice() {
        [only] if !(row.is_comma() && commas.len() + 1 == count) => Ok(only.clone()),
        [only] => Err(Doubt::TwoReadings(
            only.join(" and "),
            format!("{} alone", inner.replacen(',', ".", 1)),
        )),
        [one, other, ..] => Err(Doubt::TwoReadings(one.join(" and "), other.join(" and "))),
        [] => Err(Doubt::NotUnderstood),
    }
}

/// Parts with a comma and a blank between them.
fn parted(text: &str) -> Vec<&str> {
    let mut parts = Vec::new();
    let mut start = 0;
    for (at, _) in text.match_indices(',') {
        let after = text.get(at + 1..).unwrap_or("");
        if after.starts_with(is_blank) {
            parts.extend(text.get(start..at));
            start = at + 1;
        }
    }
    parts.extend(text.get(start..));
    parts
}

/// `20 39 61 80 99 mm`, with a dash for what is missing.
pub(super) fn column(asked: &Asked, text: &str, row: Signs, count: usize) -> Read<Written> {
    let bare = text.strip_prefix(['[', '(']);
    let (inner, tail) = match bare {
        Some(bare) => {
            let end = bare.find([']', ')']).ok_or(Doubt::NotUnderstood)?;
            (
                bare.get(..end).unwrap_or(""),
                bare.get(end + 1..).unwrap_or(""),
            )
        }
        None => text.split_at(start_of_unit(text)),
    };
    let inner = inner.trim_matches(is_blank);
    let parts: Vec<&str> = match (inner.contains(';'), parted(inner)) {
        (true, _) => inner.split(';').collect(),
        (false, parts) if parts.len() > 1 => parts,
        (false, _) if inner.contains(is_blank) => inner
            .split(is_blank)
            .filter(|part| !part.is_empty())
            .collect(),
        (false, _) => inner.split(',').collect(),
    };
    if parts.len() != count {
        return Err(Doubt::Entries(parts.len(), count));
    }
    all(asked, &parts, tail, row, Blanks::Separate)
}

/// Where the unit behind the entries begins: at the first letter that is no exponent, or sign of a unit.
fn start_of_unit(text: &str) -> usize {
    let mut before = ' ';
    for (at, letter) in text.char_indices() {
        let after = text.get(at + letter.len_utf8()..).unwrap_or("");
        let is_exponent = matches!(letter, 'e' | 'E')
            && before.is_ascii_digit()
            && after.starts_with(|it: char| it.is_ascii_digit() || is_sign(it));
        let is_of_entries = letter.is_ascii_digit()
            || is_blank(letter)
            || is_sign(letter)
            || matches!(letter, '.' | ',' | ';' | '—')
            || is_exponent;
        if !is_of_entries {
            return at;
        }
        before = letter;
    }
    text.len()
}

/// Numbers with one unit behind them.
fn all(asked: &Asked, parts: &[&str], tail: &str, row: Signs, blanks: Blanks) -> Read<Written> {
    let signs = match blanks {
        Blanks::Group => parts.iter().fold(row, |all, part| all.and(Signs::of(part))),
        Blanks::Separate => row,
    };
    let one = unit::only(
        asked,
        unit::ways(asked, &format!("1 {}", tail.trim_matches(is_blank)))?,
    )?;
    let (mut numbers, mut remarks) = (Vec::new(), one.remarks.clone());
    for (at, part) in parts.iter().enumerate() {
        let part = part.trim_matches(is_blank);
        if is_dash(part) && blanks == Blanks::Separate {
            numbers.push(None);
            continue;
        }
        let others = match blanks {
            Blanks::Group => signs,
            Blanks::Separate => (parts.iter().enumerate())
                .filter(|(other, _)| *other != at)
                .fold(signs, |all, (_, part)| all.and(Signs::of(part))),
        };
        let (text, otherwise) = plain(part, blanks, others)?;
        let read = otherwise
            .iter()
            .map(|(own, read)| Remark::read_as(own, read));
        remarks.extend(read);
        let (sign, unsigned) = super::signed(&text);
        let text = match sign {
            Some(super::Sign::Minus) => format!("-{unsigned}"),
            Some(super::Sign::Plus) | None => unsigned.to_owned(),
        };
        let literal = syntax::parse_literal(&text).map_err(|_| Doubt::NotUnderstood)?;
        let number = literal.plain().filter(|_| literal.larger.is_empty());
        let number = number.ok_or(Doubt::NotUnderstood)?;
        let place = place_of(&text, number)?;
        let unit = one.unit(asked);
        numbers.push(Some(in_si(
            asked,
            unit,
            &text,
            number,
            place,
            one.literal.datum,
        )?));
    }
    Ok(Written {
        numbers,
        unit: one.unit,
        sign: None,
        word: None,
        uncertainty: None,
        remarks,
    })
}

/// A vector by its size and its angle from the first axis.
fn by_angle(asked: &Asked, size: &str, angle: &str, row: Signs) -> Read<Written> {
    let of_size = Asked {
        shape: Shape::Scalar,
        ..asked.clone()
    };
    let degree = Unit::lone("deg").map_err(|_| Doubt::NotUnderstood)?;
    let of_angle = Asked {
        shape: Shape::Scalar,
        found: Type {
            counts: Counts::ANGLE,
            ..Type::plain(Form::known(degree.dimension()))
        },
        unit: degree,
        atmosphere: None,
        ..asked.clone()
    };
    let one = |field| match field {
        Field::One(written) => Ok(written),
        Field::Blank(_) | Field::Either(_) | Field::Person(_) => Err(Doubt::NotUnderstood),
    };
    let size = one(scalar(&of_size, size.trim_matches(is_blank), row, None)?)?;
    let angle = one(scalar(&of_angle, angle.trim_matches(is_blank), row, None)?)?;
    // A bare number behind `at` may be degrees or radians.
    if !matches!(angle.unit, WrittenUnit::Asked(_)) {
        return Err(Doubt::NotUnderstood);
    }
    let ([Some(length)], [Some(turned)]) = (size.numbers.as_slice(), angle.numbers.as_slice())
    else {
        return Err(Doubt::NotUnderstood);
    };
    let (sine, cosine) = turned.si.sin_cos();
    let component = |part: f64, across: f64| {
        Some(Number {
            si: length.si * part,
            half: length.half * part.abs() + (length.si * across).abs() * turned.half,
            figures: length.figures,
        })
    };
    let mut remarks = size.remarks;
    remarks.extend(angle.remarks);
    remarks.push(Remark::BySizeAndAngle);
    Ok(Written {
        numbers: vec![component(cosine, sine), component(sine, cosine)],
        unit: size.unit,
        sign: None,
        word: None,
        uncertainty: None,
        remarks,
    })
}
