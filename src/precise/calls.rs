//! Functions of precise numbers: exact where the argument is one of the well known, else between
//! bounds.

use std::cmp::Ordering;

use dashu_int::IBig;
use num_traits::{One, ToPrimitive, Zero};

use super::exact::Exact;
use super::interval::Interval;
use super::{Kind, Precise, Rational, series, working};
use crate::functions::Function;

impl Precise {
    /// A function of its arguments; unknown where it takes more bits to say anything, outside its
    /// domain, and for what is no function of plain numbers alone.
    pub fn call(function: Function, arguments: &[Precise]) -> Precise {
        match (function, arguments) {
            (Function::Sum, all) => total(all),
            (Function::Mean, all) => total(all).over(&Precise::whole(all.len() as i64)),
            (Function::Max, all) => extreme(all, Ordering::Greater),
            (Function::Min, all) => extreme(all, Ordering::Less),
            (Function::Repeated | Function::Pooled, all) => Self::call(Function::Mean, all),
            (Function::Count, all) => Precise::whole(all.len() as i64),
            (Function::First, [first, ..]) => first.clone(),
            (Function::Last, [.., last]) => last.clone(),
            (Function::Range, all) => {
                extreme(all, Ordering::Greater).minus(&extreme(all, Ordering::Less))
            }
            (Function::Median, all) => median(all),
            (Function::StandardDeviation, all) => deviation(all),
            (Function::StandardDeviationOfMean, all) => {
                let count = Precise::whole(all.len() as i64);
                deviation(all).over(&Self::call(Function::Sqrt, &[count]))
            }
            (Function::Atan2, [y, x]) => atan2(y, x),
            (Function::Bessel, [order, x]) => bessel(order, x),
            (_, [x]) => one(function, x),
            _ => Precise::unknown(),
        }
    }

    /// Whether it may be this argument of a function; `None` where that takes more bits.
    pub fn admits(&self, function: Function, argument: usize) -> Option<bool> {
        let against = |bound: i64| self.compare(&Precise::whole(bound));
        match function {
            Function::Sqrt => Some(self.sign()?.is_ge()),
            Function::Ln | Function::Log10 | Function::Log2 => Some(self.sign()?.is_gt()),
            Function::Asin | Function::Acos => Some(against(1)?.is_le() && against(-1)?.is_ge()),
            Function::Gamma => Some(self.sign()?.is_gt() || !self.is_whole()?),
            Function::Bessel if argument == 0 => Some(
                self.is_whole()? && against(1_000_000)?.is_le() && against(-1_000_000)?.is_ge(),
            ),
            _ => Some(true),
        }
    }

    /// Whether it is a whole number; `None` where that takes more bits.
    pub fn is_whole(&self) -> Option<bool> {
        if let Some(fraction) = self.as_rational() {
            return Some(fraction.is_integer());
        }
        let nearest = Precise::rational(Rational::from_integer(self.floor()?));
        let above = nearest.plus(&Precise::whole(1));
        Some(self.compare(&nearest)?.is_eq() || self.compare(&above)?.is_eq())
    }

    fn through(&self, map: impl Fn(&Interval, usize) -> Option<Interval>) -> Precise {
        let work = working(self.bits);
        let found = self.interval().and_then(|interval| map(&interval, work));
        Precise::between(self.bits, found)
    }
}

fn one(function: Function, x: &Precise) -> Precise {
    if let Kind::Exact(exact) = &x.kind
        && let Some(found) = well_known(function, exact)
    {
        return Precise::of(x.bits, Kind::Exact(found));
    }
    let whole = |found: Option<IBig>| match found {
        Some(whole) => Precise::rational(Rational::from_integer(whole)).with_bits(x.bits),
        None => Precise::unknown(),
    };
    let domain = |low: Precise, high: Precise| {
        let (low, high) = (low.interval(), high.interval());
        x.through(|x, _| Some(x.within(&low.clone()?.hull(high.clone()?))))
    };
    let cosine = || domain(Precise::whole(-1), Precise::whole(1));
    match function {
        Function::Abs => x.through(|x, _| Some(x.magnitude())),
        Function::Sqrt => match x.sign() {
            Some(Ordering::Greater) => x.through(Interval::square_root),
            Some(Ordering::Equal) => x
                .through(|x, _| Some(x.magnitude()))
                .through(Interval::square_root),
            Some(Ordering::Less) | None => Precise::unknown(),
        },
        Function::Cbrt => x.through(Interval::cube_root),
        Function::Exp => x.through(Interval::exp),
        Function::Ln => x.through(Interval::ln),
        Function::Log10 => x.through(Interval::log10),
        Function::Log2 => x.through(Interval::log2),
        Function::Sin => x.through(Interval::sin),
        Function::Cos => x.through(Interval::cos),
        Function::Tan => x.through(Interval::tan),
        Function::Asin => cosine().through(Interval::asin),
        Function::Acos => cosine().through(Interval::acos),
        Function::Atan => x.through(Interval::atan),
        Function::Sinh => x.through(Interval::sinh),
        Function::Cosh => x.through(Interval::cosh),
        Function::Tanh => x.through(Interval::tanh),
        Function::Floor => whole(x.floor()),
        Function::Ceil => whole(x.negated().floor().map(|floor| -floor)),
        Function::Round => rounded(x),
        Function::Sign => match x.sign() {
            Some(Ordering::Greater) => Precise::whole(1),
            Some(Ordering::Equal) => Precise::whole(0),
            Some(Ordering::Less) => Precise::whole(-1),
            None => Precise::unknown(),
        },
        Function::Erf => x.through(series::erf),
        Function::Gamma => x.through(series::gamma),
        Function::Sum
        | Function::Mean
        | Function::Repeated
        | Function::Pooled
        | Function::Count
        | Function::First
        | Function::Last
        | Function::Range
        | Function::Median
        | Function::StandardDeviation
        | Function::StandardDeviationOfMean
        | Function::Max
        | Function::Min
        | Function::Atan2
        | Function::Bessel
        | Function::Absolute
        | Function::Gauge
        | Function::Cross
        | Function::Dot
        | Function::Direction
        | Function::AreaUnder
        | Function::Correlation
        | Function::CoverageFactor
        | Function::DegreesOfFreedom
        | Function::Entry
        | Function::Rate
        | Function::Relative
        | Function::RunningSum
        | Function::Steps
        | Function::Uncertainty
        | Function::WeightedMean => Precise::unknown(),
    }
}

/// The number in the middle; between two, their mean. Unknown where the order is.
fn median(all: &[Precise]) -> Precise {
    let mut sorted: Vec<&Precise> = all.iter().collect();
    let mut is_known = true;
    sorted.sort_by(|one, other| {
        let order = one.compare(other);
        is_known &= order.is_some();
        order.unwrap_or(Ordering::Equal)
    });
    let middle = [all.len().saturating_sub(1) / 2, all.len() / 2];
    match middle.map(|at| sorted.get(at)) {
        [Some(low), Some(high)] if is_known => low.plus(high).over(&Precise::whole(2)),
        _ => Precise::unknown(),
    }
}

/// The experimental standard deviation.
fn deviation(all: &[Precise]) -> Precise {
    if all.len() < 2 {
        return Precise::unknown();
    }
    let mean = total(all).over(&Precise::whole(all.len() as i64));
    let square = |number: &Precise| {
        let deviation = number.minus(&mean);
        deviation.times(&deviation)
    };
    let squares: Vec<Precise> = all.iter().map(square).collect();
    let variance = total(&squares).over(&Precise::whole(all.len() as i64 - 1));
    Precise::call(Function::Sqrt, &[variance])
}

/// Halves away from zero.
fn rounded(x: &Precise) -> Precise {
    let half = Precise::rational(Rational::new(IBig::one(), IBig::from(2)));
    let sign = match x.sign() {
        Some(sign) => sign,
        // Near zero both ways of rounding give 0.
        None => Ordering::Greater,
    };
    let found = match sign {
        Ordering::Less => x.minus(&half).negated().floor().map(|floor| -floor),
        Ordering::Equal | Ordering::Greater => x.plus(&half).floor(),
    };
    match found {
        Some(whole) => Precise::rational(Rational::from_integer(whole)).with_bits(x.bits),
        None => Precise::unknown(),
    }
}

fn total(all: &[Precise]) -> Precise {
    all.iter()
        .fold(Precise::whole(0), |sum, term| sum.plus(term))
}

/// The first that no other goes beyond.
fn extreme(all: &[Precise], wanted: Ordering) -> Precise {
    let mut best: Option<&Precise> = None;
    for candidate in all {
        best = match best.map(|best| candidate.compare(best)) {
            None => Some(candidate),
            Some(Some(order)) if order == wanted => Some(candidate),
            Some(Some(_)) => best,
            // Two that cannot be told apart yet are one or the other.
            Some(None) => return Precise::unknown(),
        };
    }
    best.cloned().unwrap_or_else(Precise::unknown)
}

fn atan2(y: &Precise, x: &Precise) -> Precise {
    let bits = y.bits.max(x.bits);
    let turn = |above: i64, below: i64| {
        let part = Rational::new(IBig::from(above), IBig::from(below));
        Precise::pi()
            .times(&Precise::rational(part))
            .with_bits(bits)
    };
    match (y.sign(), x.sign()) {
        (Some(Ordering::Equal), Some(Ordering::Greater | Ordering::Equal)) => Precise::whole(0),
        (Some(Ordering::Equal), Some(Ordering::Less)) => turn(1, 1),
        (Some(Ordering::Greater), Some(Ordering::Equal)) => turn(1, 2),
        (Some(Ordering::Less), Some(Ordering::Equal)) => turn(-1, 2),
        (Some(above), Some(right)) => {
            let ratio = y.over(x);
            let angle = Precise::call(Function::Atan, &[ratio]);
            match (above, right) {
                (_, Ordering::Greater) => angle,
                (Ordering::Greater, _) => angle.plus(&turn(1, 1)),
                _ => angle.minus(&turn(1, 1)),
            }
        }
        _ => y.joined(x, Interval::atan2),
    }
}

fn bessel(order: &Precise, x: &Precise) -> Precise {
    let Some(order) = order.as_rational().filter(|order| order.is_integer()) else {
        return match order.is_whole() {
            Some(true) => {
                let half = Precise::rational(Rational::new(IBig::one(), IBig::from(2)));
                let nearest = order.plus(&half).floor();
                nearest.map_or_else(Precise::unknown, |nearest| {
                    bessel(&Precise::rational(Rational::from_integer(nearest)), x)
                })
            }
            _ => Precise::unknown(),
        };
    };
    if matches!(&x.kind, Kind::Exact(exact) if exact.is_zero()) {
        return Precise::whole(i64::from(order.is_zero()));
    }
    let Some(order) = order.to_integer().to_i32() else {
        return Precise::unknown();
    };
    x.through(|x, bits| series::bessel(order, x, bits))
}

// ---- exact values ---------------------------------------------------------------------------

/// The exact value of a function, where it has one of a simple form.
fn well_known(function: Function, x: &Exact) -> Option<Exact> {
    let is_zero = x.is_zero();
    let fraction = || x.as_rational();
    match function {
        Function::Abs => Some(match x.sign() {
            Ordering::Less => -x.clone(),
            Ordering::Equal | Ordering::Greater => x.clone(),
        }),
        Function::Sqrt => x.square_root(),
        Function::Cbrt => x.root_of_degree(3),
        Function::Sin => sine(x.as_turn()?),
        Function::Cos => sine(&(x.as_turn()? + half())),
        Function::Tan => {
            let turn = x.as_turn()?;
            let below = sine(&(turn + half()))?;
            Some(sine(turn)?.times(&below.inverse()?))
        }
        Function::Asin => twelfth(x, -6..=6, sine),
        Function::Acos => twelfth(x, 0..=12, |turn| sine(&(turn + half()))),
        Function::Atan => twelfth(x, -5..=5, |turn| {
            Some(sine(turn)?.times(&sine(&(turn + half()))?.inverse()?))
        }),
        Function::Exp | Function::Cosh if is_zero => Some(Exact::whole(1)),
        Function::Sinh | Function::Tanh | Function::Erf if is_zero => Some(Exact::whole(0)),
        Function::Ln if fraction()?.is_one() => Some(Exact::whole(0)),
        Function::Log10 => logarithm(fraction()?, 10),
        Function::Log2 => logarithm(fraction()?, 2),
        Function::Gamma => {
            let value = fraction()?.to_u32_if_whole()?;
            let factorial = (1..value).fold(IBig::one(), |product, factor| product * factor);
            (1..=400)
                .contains(&value)
                .then(|| Exact::rational(Rational::from_integer(factorial)))
        }
        _ => None,
    }
}

trait WholeFraction {
    fn to_u32_if_whole(&self) -> Option<u32>;
}

impl WholeFraction for Rational {
    fn to_u32_if_whole(&self) -> Option<u32> {
        self.is_integer().then(|| self.numer().to_u32()).flatten()
    }
}

fn half() -> Rational {
    Rational::new(IBig::one(), IBig::from(2))
}

/// The sine of so many times π, where it is a fraction or the half of a root: at multiples of a
/// quarter and of a sixth.
fn sine(turn: &Rational) -> Option<Exact> {
    let twelfths = turn * IBig::from(12);
    if !twelfths.is_integer() {
        return None;
    }
    let circle = IBig::from(24);
    let twelfths = ((twelfths.to_integer() % &circle) + &circle) % &circle;
    let at = twelfths.to_i64()?;
    let (sign, at) = if at >= 12 { (-1, at - 12) } else { (1, at) };
    let square = match at.min(12 - at) {
        0 => 0,
        2 => 1,
        3 => 2,
        4 => 3,
        6 => 4,
        _ => return None,
    };
    let part = Rational::new(IBig::from(sign), IBig::from(2));
    Some(match square {
        0 => Exact::whole(0),
        square => Exact::new(part, IBig::from(square), 0),
    })
}

/// The multiple of a twelfth of π at which a function has this value.
fn twelfth(
    value: &Exact,
    mut range: std::ops::RangeInclusive<i64>,
    function: impl Fn(&Rational) -> Option<Exact>,
) -> Option<Exact> {
    let turn = |at: i64| Rational::new(IBig::from(at), IBig::from(12));
    let is_same = |one: &Exact| {
        let difference = one.plus(&-value.clone());
        difference.is_some_and(|difference| difference.is_zero())
    };
    let at = range.find(|at| function(&turn(*at)).is_some_and(|found| is_same(&found)))?;
    Some(Exact::new(turn(at), IBig::one(), 1))
}

/// The whole logarithm of a power of the base.
fn logarithm(value: &Rational, base: u32) -> Option<Exact> {
    if !value.is_positive() {
        return None;
    }
    let is_large = value.denom().is_one();
    let whole = if is_large {
        value.numer()
    } else if value.numer().is_one() {
        value.denom()
    } else {
        return None;
    };
    let mut rest = whole.clone();
    let mut count = 0_i64;
    let base = IBig::from(base);
    while (&rest % &base).is_zero() {
        rest /= &base;
        count += 1;
    }
    let sign = if is_large { 1 } else { -1 };
    rest.is_one().then(|| Exact::whole(sign * count))
}
