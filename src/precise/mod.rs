//! Numbers as precisely as they are asked for: exact ones while they are simple, else two binary
//! numbers between which the number lies.
//!
//! Numbers are plain here, as in `functions`; what is computed with them is left to `evaluate`.

mod calls;
mod effort;
mod exact;
mod interval;
mod rational;
mod series;
#[cfg(test)]
mod tests;

use std::cmp::Ordering;
use std::ops::RangeInclusive;

use dashu_int::IBig;
use num_traits::{ToPrimitive, Zero};

pub use effort::{steps_for, within};
use exact::Exact;
use interval::Interval;
pub use rational::{Rational, bit_length, gcd, lcm, ten_to};

/// The bits that are computed with, one level after the other, until they settle what is asked.
/// The last is the stated bound: what it does not tell apart, to some 480 digits, counts as one.
pub const LEVELS: [usize; 3] = [192, 640, 1600];

/// The bits of the last level.
const LAST: usize = LEVELS[LEVELS.len() - 1];

/// A number with all that is known of it.
#[derive(Debug, Clone)]
pub struct Precise {
    /// The bits that are computed with; 0 for what is exact at any level.
    bits: usize,
    kind: Kind,
}

#[derive(Debug, Clone)]
enum Kind {
    Exact(Exact),
    Between(Interval),
    /// Nothing can be said with so few bits.
    Unknown,
}

/// The exact value of a number as it is written: `0.0254`, `1.2e5`. `None` for what is no such
/// number, or has more than 400 digits written out.
pub fn decimal(text: &str) -> Option<Rational> {
    let (digits, exponent) = match text.split_once(['e', 'E']) {
        Some((digits, exponent)) => (digits, exponent.parse::<i32>().ok()?),
        None => (text, 0),
    };
    let (before, after) = digits.split_once('.').unwrap_or((digits, ""));
    let written = format!("{before}{after}");
    let value: IBig = written.parse().ok()?;
    let power = exponent.checked_sub(i32::try_from(after.len()).ok()?)?;
    if written.len() as i64 + i64::from(power.abs()) > 400 {
        return None;
    }
    let scale = ten_to(power.unsigned_abs() as usize);
    Some(if power < 0 {
        Rational::new(value, scale)
    } else {
        Rational::from_integer(value * scale)
    })
}

/// A double as the shortest decimal that reads back as it: what a reader has in mind.
pub fn shortest(value: f64) -> Option<Rational> {
    decimal(&format!("{value:e}"))
}

impl Precise {
    /// A fraction.
    pub fn rational(value: Rational) -> Self {
        Precise::of(0, Kind::Exact(Exact::rational(value)))
    }

    /// A whole number.
    pub fn whole(value: i64) -> Self {
        Precise::of(0, Kind::Exact(Exact::whole(value)))
    }

    /// The number that a double is, to the last bit.
    pub fn double(value: f64) -> Self {
        Rational::from_float(value).map_or(Precise::unknown(), Precise::rational)
    }

    /// π.
    pub fn pi() -> Self {
        Precise::of(0, Kind::Exact(Exact::pi()))
    }

    /// Nothing is known of it.
    pub fn unknown() -> Self {
        Precise::of(0, Kind::Unknown)
    }

    /// The same number, computed with from here on with so many bits.
    #[must_use]
    pub fn with_bits(self, bits: usize) -> Self {
        Precise { bits, ..self }
    }

    fn of(bits: usize, kind: Kind) -> Self {
        match kind {
            Kind::Exact(exact) if !exact.is_short() => {
                let bits = working(bits);
                let found = exact.to_interval(bits);
                Precise {
                    bits,
                    kind: found.map_or(Kind::Unknown, Kind::Between),
                }
            }
            kind => Precise { bits, kind },
        }
    }

    fn between(bits: usize, found: Option<Interval>) -> Self {
        Precise {
            bits,
            kind: found.map_or(Kind::Unknown, Kind::Between),
        }
    }

    /// Whether anything is known of it.
    pub fn is_known(&self) -> bool {
        !matches!(self.kind, Kind::Unknown)
    }

    /// The fraction that it is, where that is known.
    pub fn as_rational(&self) -> Option<&Rational> {
        match &self.kind {
            Kind::Exact(exact) => exact.as_rational(),
            Kind::Between(_) | Kind::Unknown => None,
        }
    }

    /// Whether what is left open is small beside it: less than a part in two to so many bits.
    pub fn is_narrow(&self, bits: isize) -> bool {
        match &self.kind {
            Kind::Exact(_) => true,
            Kind::Between(interval) => interval.is_narrow(bits),
            Kind::Unknown => false,
        }
    }

    /// The nearest double, and a bound on how far it is off.
    pub fn to_f64(&self) -> (f64, f64) {
        let Some(interval) = self.interval() else {
            return (f64::NAN, f64::INFINITY);
        };
        if let Kind::Exact(exact) = &self.kind
            && let Some(fraction) = exact.as_rational()
        {
            let value = fraction.to_f64();
            let is_double = Rational::from_float(value).as_ref() == Some(fraction);
            return (value, if is_double { 0.0 } else { rounding(value) });
        }
        let value = interval.to_f64();
        (value, interval.radius() + rounding(value))
    }

    /// The first power of two beyond its size; `None` for an exact zero.
    pub fn exponent(&self) -> Option<isize> {
        match &self.kind {
            Kind::Between(interval) => interval.exponent(),
            Kind::Exact(_) | Kind::Unknown => self.interval()?.exponent(),
        }
    }

    /// Whether it is certainly not zero, and neither too large nor too small for a double.
    pub fn is_amid_doubles(&self) -> bool {
        const ROOM: RangeInclusive<isize> = -1000..=1000;
        match &self.kind {
            Kind::Between(interval) => {
                let is_told = interval.sign().is_some_and(Ordering::is_ne);
                is_told && interval.exponent().is_some_and(|it| ROOM.contains(&it))
            }
            Kind::Exact(exact) => exact.as_rational().is_some_and(|fraction| {
                let size = |whole: &IBig| bit_length(whole) as isize;
                let power = size(fraction.numer()) - size(fraction.denom());
                !fraction.is_zero() && ROOM.contains(&power)
            }),
            Kind::Unknown => false,
        }
    }

    /// A binary number in the middle of what it may be.
    #[must_use]
    pub fn middle(&self) -> Self {
        let work = working(self.bits);
        let found = self.interval().and_then(|it| it.middle(work));
        Precise::between(self.bits, found)
    }

    /// All numbers that differ from it by no more than another is in size.
    #[must_use]
    pub fn widened(&self, by: &Self) -> Self {
        let work = working(self.bits.max(by.bits));
        let found = (self.interval().zip(by.interval()))
            .and_then(|(own, by)| own.widened(&by.magnitude(), work));
        Precise::between(self.bits.max(by.bits), found)
    }

    /// The two fractions between which it lies; one, twice, where it is a fraction.
    pub fn ends(&self) -> Option<[Rational; 2]> {
        match self.as_rational() {
            Some(fraction) => Some([fraction.clone(), fraction.clone()]),
            None => self.interval()?.ends(),
        }
    }

    fn interval(&self) -> Option<Interval> {
        match &self.kind {
            Kind::Exact(exact) => exact.to_interval(working(self.bits)),
            Kind::Between(interval) => Some(interval.clone()),
            Kind::Unknown => None,
        }
    }

    /// Whether what cannot be told apart counts as one.
    fn is_last(&self, other: &Self) -> bool {
        self.bits.max(other.bits) >= LAST
    }

    /// How it compares; `None` where that takes more bits.
    pub fn compare(&self, other: &Self) -> Option<Ordering> {
        let difference = self.minus(other);
        difference.sign().or_else(|| {
            let told = self.is_known() && other.is_known() && self.is_last(other);
            told.then_some(Ordering::Equal)
        })
    }

    /// Its sign; `None` where that takes more bits.
    pub fn sign(&self) -> Option<Ordering> {
        match &self.kind {
            Kind::Exact(exact) => Some(exact.sign()),
            Kind::Between(interval) => interval
                .sign()
                .or_else(|| self.is_last(self).then_some(Ordering::Equal)),
            Kind::Unknown => None,
        }
    }

    /// `self + other`
    #[must_use]
    pub fn plus(&self, other: &Self) -> Self {
        let bits = self.bits.max(other.bits);
        if let (Kind::Exact(one), Kind::Exact(other)) = (&self.kind, &other.kind)
            && let Some(sum) = one.plus(other)
        {
            return Precise::of(bits, Kind::Exact(sum));
        }
        self.joined(other, Interval::plus)
    }

    /// `self - other`
    #[must_use]
    pub fn minus(&self, other: &Self) -> Self {
        self.plus(&other.negated())
    }

    /// `-self`
    #[must_use]
    pub fn negated(&self) -> Self {
        let kind = match &self.kind {
            Kind::Exact(exact) => Kind::Exact(-exact.clone()),
            Kind::Between(interval) => Kind::Between(interval.negated()),
            Kind::Unknown => Kind::Unknown,
        };
        Precise {
            bits: self.bits,
            kind,
        }
    }

    /// `self * other`
    #[must_use]
    pub fn times(&self, other: &Self) -> Self {
        match (&self.kind, &other.kind) {
            (Kind::Exact(one), Kind::Exact(two)) => {
                Precise::of(self.bits.max(other.bits), Kind::Exact(one.times(two)))
            }
            (Kind::Exact(zero), _) | (_, Kind::Exact(zero)) if zero.is_zero() => Precise::whole(0),
            _ => self.joined(other, Interval::times),
        }
    }

    /// `self / other`; unknown where the divisor may be zero.
    #[must_use]
    pub fn over(&self, other: &Self) -> Self {
        if let (Kind::Exact(one), Kind::Exact(two)) = (&self.kind, &other.kind) {
            let kind = match two.inverse() {
                Some(inverse) => Kind::Exact(one.times(&inverse)),
                None => Kind::Unknown,
            };
            return Precise::of(self.bits.max(other.bits), kind);
        }
        self.joined(other, Interval::over)
    }

    /// `self ^ exponent`; unknown where the base may be zero or is negative and the exponent is
    /// no whole number.
    #[must_use]
    pub fn power(&self, exponent: &Self) -> Self {
        let bits = self.bits.max(exponent.bits);
        let fraction = exponent.as_rational();
        if let Kind::Exact(base) = &self.kind
            && let Some(power) = fraction.and_then(|fraction| exact_power(base, fraction))
        {
            return Precise::of(bits, Kind::Exact(power));
        }
        let whole = fraction.filter(|it| it.is_integer());
        if let Some(whole) = whole.and_then(|it| it.numer().to_i32()) {
            let work = working(bits);
            let raised = self
                .interval()
                .and_then(|base| base.raised(whole.unsigned_abs(), work));
            let raised = Precise::between(bits, raised);
            return match whole < 0 {
                true => Precise::whole(1).over(&raised),
                false => raised,
            };
        }
        match self.sign() {
            Some(Ordering::Equal) if exponent.sign() == Some(Ordering::Greater) => {
                Precise::whole(0)
            }
            _ => self.joined(exponent, Interval::power),
        }
    }

    fn joined(
        &self,
        other: &Self,
        join: fn(&Interval, &Interval, usize) -> Option<Interval>,
    ) -> Self {
        let bits = self.bits.max(other.bits);
        let found = (self.interval())
            .zip(other.interval())
            .and_then(|(one, other)| join(&one, &other, working(bits)));
        Precise::between(bits, found)
    }

    /// The whole number below it, or that it is; `None` where that takes more bits.
    fn floor(&self) -> Option<IBig> {
        let [low, high] = self.ends()?;
        let (below, above) = (low.floor().to_integer(), high.floor().to_integer());
        if below == above || (self.is_last(self) && &above - &below == IBig::from(1)) {
            return Some(above);
        }
        None
    }
}

/// A power that is exact: of a whole exponent, or of half of one.
fn exact_power(base: &Exact, exponent: &Rational) -> Option<Exact> {
    if base.is_zero() && !exponent.is_positive() {
        return exponent.is_zero().then(|| Exact::whole(1));
    }
    let above = exponent.numer().to_i64()?;
    let below = exponent.denom().to_u32()?;
    let raised = base.raised(above)?;
    match below {
        1 => Some(raised),
        2 if base.sign().is_gt() => raised.square_root(),
        2..=64 if base.sign().is_gt() => raised.root_of_degree(below),
        _ => None,
    }
}

/// The bits to compute with where none were asked for.
fn working(bits: usize) -> usize {
    match bits {
        0 => LEVELS[0],
        bits => bits,
    }
}

/// How far a double can be off that is nearest to a number.
pub fn rounding(value: f64) -> f64 {
    value.abs() * (f64::EPSILON / 2.0) + f64::MIN_POSITIVE * f64::EPSILON
}
