//! Two binary numbers between which a number lies, rounded outwards at each step.

use std::cmp::Ordering;

use dashu_base::Approximation;
use dashu_float::round::mode::{Down, Up};
use dashu_float::{Context, FBig, FpResult, Repr};
use dashu_int::IBig;

use super::Rational;
use super::effort;

/// A binary number of any length.
type Float = Repr<2>;

/// Binary exponents beyond this are not written out in digits.
const LARGEST_EXPONENT: isize = 20_000;

/// A number that is known to lie between two.
#[derive(Debug, Clone)]
pub(super) struct Interval {
    low: Float,
    high: Float,
}

/// What an operation gave; `None` for what is no finite number.
fn finite<R: dashu_float::round::Round>(result: FpResult<FBig<R, 2>>) -> Option<Float> {
    let value = result.ok().map(Approximation::value)?.into_repr();
    value.is_finite().then_some(value)
}

fn down(bits: usize) -> Context<Down> {
    Context::new(bits)
}

fn up(bits: usize) -> Context<Up> {
    Context::new(bits)
}

/// A function that rises everywhere: from that of the lower end to that of the upper.
macro_rules! rising {
    ($($name:ident)*) => {$(
        pub fn $name(&self, bits: usize) -> Option<Interval> {
            effort::function(bits)?;
            Some(Interval {
                low: finite(down(bits).$name(&self.low, None))?,
                high: finite(up(bits).$name(&self.high, None))?,
            })
        }
    )*};
}

impl Interval {
    /// A quotient of whole numbers.
    pub fn rational(value: &Rational, bits: usize) -> Option<Interval> {
        let [above, below] = [value.numer(), value.denom()].map(float);
        Some(Interval {
            low: finite(down(bits).div(&above, &below))?,
            high: finite(up(bits).div(&above, &below))?,
        })
    }

    /// π.
    pub fn pi(bits: usize) -> Option<Interval> {
        let low = down(bits).pi::<2>(None).value().into_repr();
        let high = up(bits).pi::<2>(None).value().into_repr();
        Some(Interval { low, high })
    }

    /// Both ends as exact numbers; `None` where they are too large or small to be written out.
    pub fn ends(&self) -> Option<[Rational; 2]> {
        Some([rational(&self.low)?, rational(&self.high)?])
    }

    /// The number in the middle, as an interval of no width.
    pub fn middle(&self, bits: usize) -> Option<Interval> {
        let half = Repr::new(IBig::from(1), -1);
        let sum = finite(down(bits).add(&self.low, &self.high))?;
        let middle = finite(down(bits).mul(&sum, &half))?;
        let within = middle.clone().clamp(self.low.clone(), self.high.clone());
        Some(Interval {
            low: within.clone(),
            high: within,
        })
    }

    /// The nearest double to the middle; infinite beyond the range of doubles.
    pub fn to_f64(&self) -> f64 {
        let (low, high) = (self.low.to_f64().value(), self.high.to_f64().value());
        match low == high {
            true => low,
            false => low / 2.0 + high / 2.0,
        }
    }

    /// A bound on the distance from the middle to an end.
    pub fn radius(&self) -> f64 {
        let width = finite(up(64).sub(&self.high, &self.low));
        let width = width.map_or(f64::INFINITY, |width| width.to_f64().value());
        width * (1.0 + f64::EPSILON) + f64::MIN_POSITIVE * f64::EPSILON
    }

    /// Whether it is narrow beside its size: to so many bits.
    pub fn is_narrow(&self, bits: isize) -> bool {
        let Some(width) = finite(up(64).sub(&self.high, &self.low)) else {
            return false;
        };
        let least = match self.sign() {
            Some(Ordering::Greater) => &self.low,
            Some(Ordering::Less) => &self.high,
            Some(Ordering::Equal) => return true,
            None => return false,
        };
        let scaled = Repr::new(width.significand().clone(), width.exponent() + bits);
        magnitude(&scaled) <= magnitude(least)
    }

    /// The first power of two beyond its size; `None` for an exact zero.
    pub fn exponent(&self) -> Option<isize> {
        let size = |end: &Float| {
            let is_zero = *end == Float::zero();
            (!is_zero).then(|| end.exponent() + end.digits() as isize)
        };
        size(&self.low).max(size(&self.high))
    }

    /// Its sign, where one is certain.
    pub fn sign(&self) -> Option<Ordering> {
        let zero = Float::zero();
        match (self.low.cmp(&zero), self.high.cmp(&zero)) {
            (Ordering::Greater, _) => Some(Ordering::Greater),
            (_, Ordering::Less) => Some(Ordering::Less),
            (Ordering::Equal, Ordering::Equal) => Some(Ordering::Equal),
            _ => None,
        }
    }

    pub fn plus(&self, other: &Interval, bits: usize) -> Option<Interval> {
        Some(Interval {
            low: finite(down(bits).add(&self.low, &other.low))?,
            high: finite(up(bits).add(&self.high, &other.high))?,
        })
    }

    pub fn minus(&self, other: &Interval, bits: usize) -> Option<Interval> {
        Some(Interval {
            low: finite(down(bits).sub(&self.low, &other.high))?,
            high: finite(up(bits).sub(&self.high, &other.low))?,
        })
    }

    pub fn negated(&self) -> Interval {
        Interval {
            low: -self.high.clone(),
            high: -self.low.clone(),
        }
    }

    pub fn times(&self, other: &Interval, bits: usize) -> Option<Interval> {
        effort::operation(bits)?;
        self.corners(
            other,
            |one, other| finite(down(bits).mul(one, other)),
            |one, other| finite(up(bits).mul(one, other)),
        )
    }

    /// A quotient; `None` where the divisor may be zero.
    pub fn over(&self, other: &Interval, bits: usize) -> Option<Interval> {
        effort::operation(bits)?;
        other.sign().filter(|sign| sign.is_ne())?;
        self.corners(
            other,
            |one, other| finite(down(bits).div(one, other)),
            |one, other| finite(up(bits).div(one, other)),
        )
    }

    /// A power of a positive number.
    pub fn power(&self, exponent: &Interval, bits: usize) -> Option<Interval> {
        effort::function(bits)?;
        self.sign().filter(|sign| sign.is_gt())?;
        self.corners(
            exponent,
            |one, other| finite(down(bits).powf(one, other, None)),
            |one, other| finite(up(bits).powf(one, other, None)),
        )
    }

    /// A whole power.
    pub fn raised(&self, exponent: u32, bits: usize) -> Option<Interval> {
        effort::operation(bits)?;
        let low = |end: &Float| finite(down(bits).powi(end, IBig::from(exponent)));
        let high = |end: &Float| finite(up(bits).powi(end, IBig::from(exponent)));
        let is_even = exponent.is_multiple_of(2);
        Some(match self.sign() {
            Some(Ordering::Less) if is_even => Interval {
                low: low(&self.high)?,
                high: high(&self.low)?,
            },
            None if is_even => Interval {
                low: Float::zero(),
                high: high(&self.low)?.max(high(&self.high)?),
            },
            _ => Interval {
                low: low(&self.low)?,
                high: high(&self.high)?,
            },
        })
    }

    /// A function of two numbers that is extreme at corners only.
    fn corners(
        &self,
        other: &Interval,
        down: impl Fn(&Float, &Float) -> Option<Float>,
        up: impl Fn(&Float, &Float) -> Option<Float>,
    ) -> Option<Interval> {
        let mut found: Option<Interval> = None;
        for one in [&self.low, &self.high] {
            for other in [&other.low, &other.high] {
                let (low, high) = (down(one, other)?, up(one, other)?);
                found = Some(match found {
                    None => Interval { low, high },
                    Some(known) => Interval {
                        low: known.low.min(low),
                        high: known.high.max(high),
                    },
                });
            }
        }
        found
    }

    /// Everything from the one to the other.
    pub fn hull(self, other: Interval) -> Interval {
        Interval {
            low: self.low.min(other.low),
            high: self.high.max(other.high),
        }
    }

    /// Wider by so much on both sides.
    pub fn widened(&self, by: &Interval, bits: usize) -> Option<Interval> {
        Some(Interval {
            low: finite(down(bits).sub(&self.low, &by.high))?,
            high: finite(up(bits).add(&self.high, &by.high))?,
        })
    }

    /// From zero to its width.
    pub fn width(&self) -> Option<Interval> {
        Some(Interval {
            low: Float::zero(),
            high: finite(up(64).sub(&self.high, &self.low))?,
        })
    }

    pub fn magnitude(&self) -> Interval {
        match self.sign() {
            Some(Ordering::Less) => self.negated(),
            Some(_) => self.clone(),
            None => Interval {
                low: Float::zero(),
                high: self.high.clone().max(-self.low.clone()),
            },
        }
    }

    /// What lies in the other as well; the nearest of its ends where nothing does.
    pub fn within(&self, other: &Interval) -> Interval {
        let clamp = |end: &Float| end.clone().clamp(other.low.clone(), other.high.clone());
        Interval {
            low: clamp(&self.low),
            high: clamp(&self.high),
        }
    }

    /// Whether a lies wholly below b, or above; equal are only two of no width.
    pub fn compare(&self, other: &Interval) -> Option<Ordering> {
        match (self.high.cmp(&other.low), self.low.cmp(&other.high)) {
            (Ordering::Less, _) => Some(Ordering::Less),
            (_, Ordering::Greater) => Some(Ordering::Greater),
            (Ordering::Equal, Ordering::Equal) => Some(Ordering::Equal),
            _ => None,
        }
    }

    pub fn square_root(&self, bits: usize) -> Option<Interval> {
        effort::operation(bits)?;
        Some(Interval {
            low: finite(down(bits).sqrt(&self.low))?,
            high: finite(up(bits).sqrt(&self.high))?,
        })
    }

    pub fn cube_root(&self, bits: usize) -> Option<Interval> {
        effort::operation(bits)?;
        Some(Interval {
            low: finite(down(bits).cbrt(&self.low))?,
            high: finite(up(bits).cbrt(&self.high))?,
        })
    }

    rising! { exp ln log2 log10 sinh tanh asin atan }

    /// It falls.
    pub fn acos(&self, bits: usize) -> Option<Interval> {
        effort::function(bits)?;
        Some(Interval {
            low: finite(down(bits).acos(&self.high, None))?,
            high: finite(up(bits).acos(&self.low, None))?,
        })
    }

    /// It is least at 0 and the same on both sides.
    pub fn cosh(&self, bits: usize) -> Option<Interval> {
        effort::function(bits)?;
        let size = self.magnitude();
        Some(Interval {
            low: finite(down(bits).cosh(&size.low, None))?,
            high: finite(up(bits).cosh(&size.high, None))?,
        })
    }

    /// By the lower end, and a slope of 1 at most.
    pub fn sin(&self, bits: usize) -> Option<Interval> {
        effort::function(bits)?;
        let start = Interval {
            low: finite(down(bits).sin(&self.low, None))?,
            high: finite(up(bits).sin(&self.low, None))?,
        };
        start.widened(&self.width()?, bits)
    }

    /// By the lower end, and a slope of 1 at most.
    pub fn cos(&self, bits: usize) -> Option<Interval> {
        effort::function(bits)?;
        let start = Interval {
            low: finite(down(bits).cos(&self.low, None))?,
            high: finite(up(bits).cos(&self.low, None))?,
        };
        start.widened(&self.width()?, bits)
    }

    /// It rises where no pole lies between, which the cosine shows.
    pub fn tan(&self, bits: usize) -> Option<Interval> {
        effort::function(bits)?;
        self.cos(bits)?.sign().filter(|sign| sign.is_ne())?;
        Some(Interval {
            low: finite(down(bits).tan(&self.low, None))?,
            high: finite(up(bits).tan(&self.high, None))?,
        })
    }

    /// The angle of a point; `None` where it may lie at the origin or on both sides of the cut
    /// along the negative axis.
    pub fn atan2(&self, x: &Interval, bits: usize) -> Option<Interval> {
        effort::function(bits)?;
        let is_right = x.sign() == Some(Ordering::Greater);
        if !is_right && self.sign().is_none_or(Ordering::is_eq) {
            return None;
        }
        self.corners(
            x,
            |y, x| finite(down(bits).atan2(y, x, None)),
            |y, x| finite(up(bits).atan2(y, x, None)),
        )
    }
}

fn float(whole: &IBig) -> Float {
    Repr::new(whole.clone(), 0)
}

fn rational(value: &Float) -> Option<Rational> {
    let (significand, exponent) = (value.significand(), value.exponent());
    if exponent.abs() > LARGEST_EXPONENT {
        return None;
    }
    let whole = significand.clone();
    let scale = IBig::from(1) << exponent.unsigned_abs();
    Some(match exponent < 0 {
        true => Rational::new(whole, scale),
        false => Rational::from_integer(whole * scale),
    })
}

fn magnitude(value: &Float) -> Float {
    match *value < Float::zero() {
        true => -value.clone(),
        false => value.clone(),
    }
}
