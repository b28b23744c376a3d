//! The numbers below which a share of a distribution lies.
//!
//! The distribution functions are the incomplete gamma and beta functions of `statrs`; they are
//! turned round here, always in the smaller of the two tails, so that what lies far out keeps its
//! digits.
//!
//! Shares are told to 12 digits from 10⁻⁶ to 1 − 10⁻⁶; nobody asks for a coverage beyond.
//! A share of 0 or 1 has its quantile at the end of the distribution, and one outside of [0, 1] or
//! degrees of freedom that are not positive have none: NaN.

use statrs::function::beta::beta_reg;
use statrs::function::gamma::{gamma_lr, gamma_ur};

/// From so many degrees of freedom on, Student's t is taken from the normal quantile; the first
/// term that is left out is below 1e-13 there for all shares from 1e-12 to 1 − 1e-12.
const MANY: f64 = 2000.0;

/// The most halvings of a bracket: from the largest number to two neighbours.
const MOST_STEPS: usize = 2200;

/// The quantile of the normal distribution.
pub fn normal(p: f64) -> f64 {
    if !(0.0..=1.0).contains(&p) {
        return f64::NAN;
    }
    if p == 0.5 {
        return 0.0;
    }
    if p > 0.5 {
        return -normal(1.0 - p);
    }
    let middle = p - 0.5;
    if middle.abs() <= 0.425 {
        return middle * quotient(&NEAR, 0.180625 - middle * middle);
    }
    let far = (-p.ln()).sqrt();
    if far.is_infinite() {
        return f64::NEG_INFINITY;
    }
    match far <= 5.0 {
        true => -quotient(&FAR, far - 1.6),
        false => -quotient(&FARTHEST, far - 5.0),
    }
}

/// Coefficients of a numerator and a denominator, the constants first.
type Quotient = [[f64; 8]; 2];

/// The rational functions of Wichura's algorithm AS 241 (Applied Statistics 37, 1988), to about
/// 1e-16: within 0.425 of the middle, to √(−ln p) = 5, and beyond.
const NEAR: Quotient = [
    [
        3.387_132_872_796_366_608,
        133.141_667_891_784_377_45,
        1_971.590_950_306_551_442_7,
        13_731.693_765_509_461_125,
        45_921.953_931_549_871_457,
        67_265.770_927_008_700_853,
        33_430.575_583_588_128_105,
        2_509.080_928_730_122_672_7,
    ],
    [
        1.0,
        42.313_330_701_600_911_252,
        687.187_007_492_057_908_3,
        5_394.196_021_424_751_107_7,
        21_213.794_301_586_595_867,
        39_307.895_800_092_710_61,
        28_729.085_735_721_942_674,
        5_226.495_278_852_854_561,
    ],
];
const FAR: Quotient = [
    [
        1.423_437_110_749_683_577_34,
        4.630_337_846_156_545_295_9,
        5.769_497_221_460_691_405_5,
        3.647_848_324_763_204_605_04,
        1.270_458_252_452_368_382_58,
        0.241_780_725_177_450_611_77,
        0.022_723_844_989_269_184_583_3,
        7.745_450_142_783_414_076_4e-4,
    ],
    [
        1.0,
        2.053_191_626_637_758_821_87,
        1.676_384_830_183_803_849_4,
        0.689_767_334_985_100_004_55,
        0.148_103_976_427_480_074_59,
        0.015_198_666_563_616_457_196_6,
        5.475_938_084_995_344_946e-4,
        1.050_750_071_644_416_843_24e-9,
    ],
];
const FARTHEST: Quotient = [
    [
        6.657_904_643_501_103_777_2,
        5.463_784_911_164_114_369_9,
        1.784_826_539_917_291_335_8,
        0.296_560_571_828_504_891_23,
        0.026_532_189_526_576_123_093,
        0.001_242_660_947_388_078_438_6,
        2.711_555_568_743_487_578_15e-5,
        2.010_334_399_292_288_132_65e-7,
    ],
    [
        1.0,
        0.599_832_206_555_887_937_69,
        0.136_929_880_922_735_805_31,
        0.014_875_361_290_850_614_852_5,
        7.868_691_311_456_132_591e-4,
        1.846_318_317_510_054_681_8e-5,
        1.421_511_758_316_445_888_7e-7,
        2.044_263_103_389_939_785_64e-15,
    ],
];

fn quotient(of: &Quotient, x: f64) -> f64 {
    let [above, below] = of.map(|terms| terms.iter().rev().fold(0.0, |sum, term| sum * x + term));
    above / below
}

/// The quantile of Student's t with `nu` degrees of freedom, which need not be whole and may be
/// infinite.
pub fn student_t(p: f64, nu: f64) -> f64 {
    if !(0.0..=1.0).contains(&p) || nu.is_nan() || nu <= 0.0 {
        return f64::NAN;
    }
    if p == 0.5 {
        return 0.0;
    }
    if p > 0.5 {
        return -student_t(1.0 - p, nu);
    }
    if p == 0.0 {
        return f64::NEG_INFINITY;
    }
    if nu >= MANY {
        return near_normal(normal(p), nu);
    }
    let tail = |t: f64| 0.5 * beta_reg(nu / 2.0, 0.5, nu / (nu + t * t));
    -falling(tail, p)
}

/// The quantile of χ² with `nu` degrees of freedom.
pub fn chi_squared(p: f64, nu: f64) -> f64 {
    if !(0.0..=1.0).contains(&p) || nu.is_nan() || nu <= 0.0 {
        return f64::NAN;
    }
    let below = |x: f64| gamma_lr(nu / 2.0, x / 2.0);
    let above = |x: f64| gamma_ur(nu / 2.0, x / 2.0);
    positive(below, above, p)
}

/// The quantile of F with `n` degrees of freedom of the numerator and `m` of the denominator;
/// either may be infinite.
pub fn fisher(p: f64, n: f64, m: f64) -> f64 {
    if !(0.0..=1.0).contains(&p) || n.is_nan() || m.is_nan() || n <= 0.0 || m <= 0.0 {
        return f64::NAN;
    }
    match (n.is_infinite(), m.is_infinite()) {
        (true, true) => 1.0,
        (false, true) => chi_squared(p, n) / n,
        (true, false) => {
            let at = |x: f64| m / (2.0 * x);
            let below = |x: f64| gamma_ur(m / 2.0, at(x));
            let above = |x: f64| gamma_lr(m / 2.0, at(x));
            positive(below, above, p)
        }
        (false, false) => {
            let below = |x: f64| beta_reg(n / 2.0, m / 2.0, n * x / (n * x + m));
            let above = |x: f64| beta_reg(m / 2.0, n / 2.0, m / (n * x + m));
            positive(below, above, p)
        }
    }
}

/// The quantile of a distribution of positive numbers by its two tails.
fn positive(below: impl Fn(f64) -> f64, above: impl Fn(f64) -> f64, p: f64) -> f64 {
    if p == 0.0 {
        0.0
    } else if p == 1.0 {
        f64::INFINITY
    } else if p > 0.5 {
        falling(above, 1.0 - p)
    } else {
        // A rising tail falls in 1/x.
        1.0 / falling(|inverse| below(1.0 / inverse), p)
    }
}

/// Where a function that falls from above `level` to 0 on the positive numbers has that level: a
/// bracket by doubling, then the method of Ridders, whose steps stay in the bracket.
fn falling(function: impl Fn(f64) -> f64, level: f64) -> f64 {
    let value = |x: f64| function(x).ln() - level.ln();
    let (mut low, mut high) = (1.0_f64, 1.0_f64);
    while value(high) > 0.0 && high.is_finite() {
        low = high;
        high *= 2.0;
    }
    while value(low) <= 0.0 && low > 0.0 {
        high = low;
        low /= 2.0;
    }
    let (mut at_low, mut at_high) = (value(low), value(high));
    for _ in 0..MOST_STEPS {
        let middle = low + (high - low) / 2.0;
        if middle <= low || middle >= high {
            break;
        }
        let at_middle = value(middle);
        let root = (at_middle * at_middle - at_low * at_high).sqrt();
        let step = (middle - low) * at_middle / root;
        let next = middle + step;
        let next = if next > low && next < high {
            next
        } else {
            middle
        };
        for (x, y) in [(middle, at_middle), (next, value(next))] {
            if x <= low || x >= high {
                continue;
            }
            match y > 0.0 {
                true => (low, at_low) = (x, y),
                false => (high, at_high) = (x, y),
            }
        }
        if at_high == 0.0 || (high - low) <= f64::EPSILON * high {
            break;
        }
    }
    match at_low.abs() < at_high.abs() {
        true => low,
        false => high,
    }
}

/// Student's t from the normal quantile `x` in powers of 1/ν: the expansion of Cornish and Fisher,
/// by its coefficients in Abramowitz and Stegun, 26.7.5.
fn near_normal(x: f64, nu: f64) -> f64 {
    if nu.is_infinite() {
        return x;
    }
    let square = x * x;
    let powers = |coefficients: &[f64]| {
        let sum = coefficients.iter().fold(0.0, |sum, c| sum * square + c);
        x * sum
    };
    let terms = [
        powers(&[1.0, 1.0]) / 4.0,
        powers(&[5.0, 16.0, 3.0]) / 96.0,
        powers(&[3.0, 19.0, 17.0, -15.0]) / 384.0,
        powers(&[79.0, 776.0, 1482.0, -1920.0, -945.0]) / 92160.0,
    ];
    x + terms.iter().rev().fold(0.0, |sum, term| (sum + term) / nu)
}

#[cfg(test)]
mod tests {
    use serde_json::Value;

    use super::*;
    use crate::statistics::published::digits;

    /// The least digits that are right; `quantiles.py` says where the values come from.
    const DIGITS: f64 = 12.0;

    fn cases() -> Vec<Value> {
        let text = include_str!("../../tests/reference/quantiles.json");
        serde_json::from_str(text).unwrap()
    }

    fn number(case: &Value, key: &str) -> f64 {
        let text = case[key].as_str().unwrap();
        match text {
            "inf" => f64::INFINITY,
            text => text.parse().unwrap(),
        }
    }

    #[test]
    fn quantiles_have_twelve_digits() {
        let mut least = f64::INFINITY;
        for case in cases() {
            let p = number(&case, "p");
            let computed = match case["of"].as_str().unwrap() {
                "normal" => normal(p),
                "student_t" => student_t(p, number(&case, "nu")),
                "chi_squared" => chi_squared(p, number(&case, "nu")),
                "fisher" => fisher(p, number(&case, "n"), number(&case, "m")),
                other => panic!("{other}"),
            };
            let expected = number(&case, "quantile");
            let digits = digits(computed, expected);
            assert!(digits >= DIGITS, "{case}: {computed}, {digits:.1} digits");
            least = least.min(digits);
        }
        assert!(least < 17.0, "no case was tried");
    }

    #[test]
    fn the_ends_of_a_distribution_and_what_lies_outside() {
        assert_eq!(normal(0.0), f64::NEG_INFINITY);
        assert_eq!(normal(1.0), f64::INFINITY);
        assert_eq!(normal(0.5), 0.0);
        assert_eq!(student_t(1.0, 3.0), f64::INFINITY);
        assert_eq!(chi_squared(0.0, 3.0), 0.0);
        assert_eq!(chi_squared(1.0, 3.0), f64::INFINITY);
        assert_eq!(fisher(0.0, 3.0, 4.0), 0.0);
        assert!(normal(1.5).is_nan());
        assert!(student_t(0.9, 0.0).is_nan());
        assert!(fisher(0.9, 1.0, -1.0).is_nan());
    }
}
