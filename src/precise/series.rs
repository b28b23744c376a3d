//! Functions that the library lacks, by series whose rounding and remainder are bounded.

use dashu_int::IBig;

use super::Rational;
use super::interval::Interval;
use crate::functions::Function;

/// The most terms of a series.
const MOST_TERMS: usize = 20_000;

fn whole(value: i64) -> Option<Interval> {
    // Two words hold any such number exactly.
    Interval::rational(&Rational::from_integer(IBig::from(value)), 128)
}

/// A function by its value at a point within an argument, and its slope there: an argument is so
/// narrow that twice the slope holds all over it.
fn around(
    function: Function,
    arguments: &[f64],
    x: &Interval,
    bits: usize,
    value: impl Fn(&Interval) -> Option<Interval>,
) -> Option<Interval> {
    let value = value(&x.middle(bits)?)?;
    let slope = function.slopes(arguments).last().copied()?;
    let slope = Interval::rational(&Rational::from_float(2.0 * slope.abs() + 1e-300)?, 64)?;
    value.widened(&slope.times(&x.width()?, 64)?, bits)
}

/// erf x = 2/√π · e^(-x²) · Σ 2^n x^(2n+1)/(1·3·5···(2n+1)), in which nothing cancels (NIST DLMF
/// 7.6.2, from memory).
pub(super) fn erf(x: &Interval, bits: usize) -> Option<Interval> {
    let place = x.to_f64();
    if place.abs() > 40.0 {
        // 1 - erf 40 is 10⁻⁶⁹⁷.
        let one = whole(if place > 0.0 { 1 } else { -1 })?;
        let tail = Interval::rational(&super::decimal("1e-390")?, 64)?;
        let inside = match place > 0.0 {
            true => one.minus(&tail, 2000)?,
            false => one.plus(&tail, 2000)?,
        };
        return Some(one.hull(inside));
    }
    // Near zero the value is in proportion to the argument, and so is the slope times its width.
    around(Function::Erf, &[place], x, bits, |x| {
        let square = x.raised(2, bits)?;
        let double = square.times(&whole(2)?, bits)?;
        let mut term = x.clone();
        let mut sum = term.clone();
        for n in 1..MOST_TERMS {
            let below = 2 * n as i64 + 1;
            term = term.times(&double, bits)?.over(&whole(below)?, bits)?;
            sum = sum.plus(&term, bits)?;
            let ratio = 2.0 * place * place / (below as f64 + 2.0);
            if ratio < 0.5 && is_spent(&term, &sum, bits) {
                // The rest is less than this term, on the same side.
                let end = sum.plus(&term, bits)?;
                let sum = sum.hull(end);
                let scale = square.negated().exp(bits)?;
                let pi = Interval::pi(bits)?.square_root(bits)?;
                return whole(2)?
                    .times(&scale, bits)?
                    .times(&sum, bits)?
                    .over(&pi, bits);
            }
        }
        None
    })
}

/// Γ x = N^x e^(-N) · Σ N^k/(x(x+1)···(x+k)) + Γ(x, N), in which nothing cancels (NIST DLMF 8.7.1
/// and 8.2.3, from memory), for x between 1 and 2, where the last term is less than 2 N^(x-1)
/// e^(-N); from there by the recurrence.
pub(super) fn gamma(x: &Interval, bits: usize) -> Option<Interval> {
    let place = x.to_f64();
    let steps = place.floor() as i64 - 1;
    if steps.abs() > 400 {
        return None;
    }
    around(Function::Gamma, &[place], x, bits, |x| {
        let start = x.minus(&whole(steps)?, bits)?;
        let mut value = gamma_from_one_to_two(&start, bits)?;
        let mut at = start;
        for _ in 0..steps {
            value = value.times(&at, bits)?;
            at = at.plus(&whole(1)?, bits)?;
        }
        for _ in steps..0 {
            at = at.minus(&whole(1)?, bits)?;
            value = value.over(&at, bits)?;
        }
        Some(value)
    })
}

fn gamma_from_one_to_two(x: &Interval, bits: usize) -> Option<Interval> {
    let far = (bits as f64 * std::f64::consts::LN_2).ceil() as i64 + 16;
    let bound = whole(far)?;
    let mut term = whole(1)?.over(x, bits)?;
    let mut sum = term.clone();
    let mut below = x.clone();
    for k in 1..MOST_TERMS {
        below = below.plus(&whole(1)?, bits)?;
        term = term.times(&bound, bits)?.over(&below, bits)?;
        sum = sum.plus(&term, bits)?;
        if k as i64 > 2 * far && is_spent(&term, &sum, bits) {
            // The terms halve from here on, so that the rest is less than this one.
            let end = sum.plus(&term, bits)?;
            let sum = sum.hull(end);
            let scale = bound.negated().exp(bits)?;
            let power = bound.power(x, bits)?.times(&scale, bits)?;
            let value = power.times(&sum, bits)?;
            let rest = power.over(&bound, bits)?.times(&whole(2)?, bits)?;
            let end = value.plus(&rest, bits)?;
            return Some(value.hull(end));
        }
    }
    None
}

/// J_n x = Σ (-1)^k (x/2)^(2k+n)/(k! (n+k)!) (NIST DLMF 10.2.2, from memory), with as many more
/// bits as cancel.
pub(super) fn bessel(order: i32, x: &Interval, bits: usize) -> Option<Interval> {
    let place = x.to_f64();
    let n = i64::from(order.unsigned_abs());
    if place.abs() > 1500.0 || n > 2000 {
        return None;
    }
    let work = bits + (place.abs() * 3.0) as usize + 64;
    let found = around(
        Function::Bessel,
        &[f64::from(order.abs()), place],
        x,
        work,
        |x| {
            let half = x.over(&whole(2)?, work)?;
            let square = half.raised(2, work)?.negated();
            let mut term = whole(1)?;
            for factor in 1..=n {
                term = term.times(&half, work)?.over(&whole(factor)?, work)?;
            }
            let mut sum = term.clone();
            for k in 1..MOST_TERMS as i64 {
                let below = whole(k)?.times(&whole(n + k)?, work)?;
                term = term.times(&square, work)?.over(&below, work)?;
                sum = sum.plus(&term, work)?;
                // The terms fall and change their sign from here on.
                if k as f64 > place.abs() && is_spent(&term, &sum, bits) {
                    return sum.widened(&term.magnitude(), work);
                }
            }
            None
        },
    )?;
    Some(match order < 0 && order % 2 != 0 {
        true => found.negated(),
        false => found,
    })
}

/// Whether a term adds nothing to a sum that so many bits would show.
fn is_spent(term: &Interval, sum: &Interval, bits: usize) -> bool {
    let scale = Rational::from_integer(IBig::from(1) << (bits + 8));
    let scaled =
        Interval::rational(&scale, 64).and_then(|scale| term.magnitude().times(&scale, 64));
    scaled.is_some_and(|scaled| {
        scaled
            .compare(&sum.magnitude())
            .is_some_and(std::cmp::Ordering::is_lt)
    })
}
