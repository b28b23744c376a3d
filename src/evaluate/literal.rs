//! A number of the worksheet as the author wrote it, in coherent SI units.

use std::sync::Arc;

use crate::functions::Measured;
use crate::precise::{self, Precise, Rational};
use crate::quantity::Unit;
use crate::resolve::{Quantity, Shape};
use crate::tables::{self, Reading};
use crate::text;

/// The readings of a column: as they are written, and the unit that they are written in.
#[derive(Debug, Clone)]
pub struct Column {
    written: Arc<[Option<Reading>]>,
    unit: Option<Unit>,
}

impl Column {
    pub(super) fn new(written: &Arc<[Option<Reading>]>, unit: &Unit) -> Self {
        Self {
            written: Arc::clone(written),
            unit: (*unit != Unit::one()).then(|| unit.clone()),
        }
    }

    /// Its numbers in coherent SI units, and how far each may be off; without a reading it is no
    /// number.
    pub(super) fn measured(&self) -> impl Iterator<Item = Measured> {
        self.written.iter().map(|reading| {
            let Some(reading) = reading else {
                return Measured::exact(f64::NAN);
            };
            let written = Written::of(reading.number);
            in_si(reading.number.value(), &written, self.unit.as_ref())
        })
    }

    /// Its numbers exactly.
    pub(super) fn precise(&self, bits: usize) -> impl Iterator<Item = Precise> {
        self.written.iter().map(move |reading| {
            let Some(reading) = reading else {
                return Precise::unknown();
            };
            let number = Written::of(reading.number).precise().with_bits(bits);
            match &self.unit {
                Some(unit) => unit.precise(&number),
                None => number,
            }
        })
    }
}

/// A number as it is written, in coherent SI units.
fn in_si(value: f64, written: &Written, unit: Option<&Unit>) -> Measured {
    let error = if written.is_double(value) {
        0.0
    } else {
        precise::rounding(value)
    };
    let number = Measured { value, error };
    unit.map_or(number, |unit| unit.measured(number))
}

/// A number in coherent SI units, and exactly.
#[derive(Debug, Clone, PartialEq)]
pub struct Literal {
    si: Measured,
    written: Written,
    /// The unit that it is written in; `None` for a plain number.
    unit: Option<Unit>,
}

/// The number that stands there.
#[derive(Debug, Clone, PartialEq)]
enum Written {
    /// So many times a power of ten.
    Decimal(i128, i32),
    /// A fraction, or more digits than these.
    Exact(Box<Rational>),
    /// One without a text of its own: the shortest decimal that is read as the double.
    Shortest(f64),
    Pi,
}

impl Literal {
    /// A plain number by its text.
    pub(super) fn number(value: f64, text: &str) -> Self {
        Self::new(value, Written::read(value, text), None)
    }

    /// A number that has no text.
    pub(super) fn shortest(value: f64) -> Self {
        Self::new(value, Written::Shortest(value), None)
    }

    pub(super) fn pi() -> Self {
        Self::new(std::f64::consts::PI, Written::Pi, None)
    }

    /// The numbers of a quantity.
    pub(super) fn quantity(quantity: &Quantity, text: &str) -> impl Iterator<Item = Self> {
        let all = quantity.number.of(text);
        let is_one = quantity.shape == Shape::One;
        let mut parts = all.split(',');
        quantity.values.iter().map(move |value| {
            let part = if is_one { Some(all) } else { parts.next() };
            let written = Written::read(*value, part.unwrap_or_default());
            let is_plain = quantity.unit == Unit::one();
            Self::new(*value, written, (!is_plain).then(|| quantity.unit.clone()))
        })
    }

    fn new(value: f64, written: Written, unit: Option<Unit>) -> Self {
        let si = in_si(value, &written, unit.as_ref());
        Self { si, written, unit }
    }

    /// Its value.
    pub(super) fn value(&self) -> f64 {
        self.si.value
    }

    /// Its value and how far that may be off.
    pub(super) fn measured(&self) -> Measured {
        self.si
    }

    /// Its value, moved by so much.
    pub(super) fn shifted(&self, by: f64) -> Measured {
        match by {
            0.0 => self.si,
            by => self.si.plus(Measured::exact(by)),
        }
    }

    /// Its value exactly, to be computed with with so many bits.
    pub(super) fn precise(&self, bits: usize) -> Precise {
        let number = self.written.precise().with_bits(bits);
        match &self.unit {
            Some(unit) => unit.precise(&number),
            None => number,
        }
    }
}

impl Written {
    fn of(number: tables::Decimal) -> Self {
        let (mut digits, mut power) = (number.digits, number.power);
        while digits != 0 && digits % 10 == 0 {
            digits /= 10;
            power += 1;
        }
        Self::Decimal(digits, power)
    }

    fn read(value: f64, text: &str) -> Self {
        let plain = text::decimal(text);
        if plain.parse() == Ok(value)
            && let Some((digits, power)) = decimal(&plain)
        {
            return Self::Decimal(digits, power);
        }
        let exact = match plain.split_once('/') {
            Some((above, below)) => fraction(above.trim(), below.trim()),
            None => precise::decimal(plain.trim_start_matches('+')),
        };
        // What is written in another way than a number is known by its value alone.
        match exact {
            Some(exact) if Precise::rational(exact.clone()).to_f64().0 == value => {
                Self::Exact(Box::new(exact))
            }
            _ => Self::Shortest(value),
        }
    }

    /// Whether the double is the number to the last bit, as far as that is seen at once.
    fn is_double(&self, value: f64) -> bool {
        const EXACT: i128 = 1 << 53;
        match self {
            Self::Decimal(digits, 0) => digits.abs() <= EXACT,
            Self::Decimal(digits, power @ 1..=15) => {
                digits.abs() < EXACT && value.abs() < EXACT as f64 && *power > 0
            }
            Self::Decimal(digits, power @ -22..=-1) => {
                let fives = 5_i128.pow(power.unsigned_abs());
                digits.abs() <= EXACT && digits % fives == 0
            }
            Self::Decimal(digits, _) => *digits == 0,
            Self::Shortest(_) => value.fract() == 0.0 && value.abs() < EXACT as f64,
            Self::Exact(_) | Self::Pi => false,
        }
    }

    fn precise(&self) -> Precise {
        let found = match self {
            Self::Pi => return Precise::pi(),
            Self::Decimal(digits, power) => {
                let scale = precise::ten_to(power.unsigned_abs() as usize);
                let digits = (*digits).into();
                Some(match *power < 0 {
                    true => Rational::new(digits, scale),
                    false => Rational::from_integer(digits * scale),
                })
            }
            Self::Exact(exact) => Some((**exact).clone()),
            Self::Shortest(value) => precise::shortest(*value),
        };
        found.map_or_else(Precise::unknown, Precise::rational)
    }
}

/// A decimal of few digits, without the zeros at its end.
fn decimal(text: &str) -> Option<(i128, i32)> {
    let (mantissa, exponent) = match text.split_once(['e', 'E']) {
        Some((mantissa, exponent)) => (mantissa, exponent.parse::<i32>().ok()?),
        None => (text, 0),
    };
    let unsigned = mantissa.trim_start_matches(['-', '+']);
    let (mut digits, mut power, mut is_after, mut count) = (0_i128, exponent, false, 0);
    for byte in unsigned.bytes() {
        match byte {
            b'.' if !is_after => is_after = true,
            b'0'..=b'9' if count < 36 => {
                digits = digits * 10 + i128::from(byte - b'0');
                power -= i32::from(is_after);
                count += 1;
            }
            _ => return None,
        }
    }
    if count == 0 || power.abs() > 400 {
        return None;
    }
    while digits != 0 && digits % 10 == 0 {
        digits /= 10;
        power += 1;
    }
    let is_negative = mantissa.starts_with('-');
    Some((if is_negative { -digits } else { digits }, power))
}

/// `3/8`, and `2 1/3` with its whole in front of the numerator.
fn fraction(above: &str, below: &str) -> Option<Rational> {
    let zero = Rational::from_integer(0.into());
    let (whole, above) = above.split_once(' ').unwrap_or(("0", above));
    let whole = precise::decimal(whole)?;
    let (above, below) = (precise::decimal(above.trim())?, precise::decimal(below)?);
    (below != zero).then(|| match whole < zero {
        true => whole - above / below,
        false => whole + above / below,
    })
}
