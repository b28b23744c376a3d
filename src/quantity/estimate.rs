//! A value and its standard uncertainty, rounded to one place and printed with one power of ten.
//!
//! JCGM 100, 7.2.6: the uncertainty has two figures, and the value ends where it ends. Rounding is
//! to the nearest, halves to even.

use std::ops::Range;

use super::figures::{Decimal, PLAIN, PLAIN_DECIMALS, decimal_digits, with_point};
use super::powers;

/// How far a value with an uncertainty is printed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Extent {
    /// As far as these figures of the uncertainty go.
    Uncertainty(u8),
    /// The value to these figures.
    Figures(u8),
    /// The value to these decimals.
    Decimals(u8),
}

/// A value and its standard uncertainty, rounded to one place.
#[derive(Debug, Clone, PartialEq)]
pub struct Estimate {
    /// The value.
    pub value: Decimal,
    /// The uncertainty.
    pub uncertainty: Decimal,
    /// Whether more was asked for than the two figures of the uncertainty have place for.
    pub is_cut: bool,
}

/// The parts of a printed estimate.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct EstimateLayout {
    /// Whether a minus sign stands before the value.
    pub negative: bool,
    /// The digits of the value.
    pub value: String,
    /// The digits of the uncertainty.
    pub uncertainty: String,
    /// The power of ten that both are multiplied by, where plain notation would not do.
    pub exponent: Option<i32>,
}

/// The figures that an uncertainty has where nothing else is asked.
const FIGURES: u8 = 2;

/// A value and its standard uncertainty, rounded together. Digits that were asked for and end
/// before those of the uncertainty round that up, so that it is never printed as 0.
///
/// ```
/// use setsquare::quantity::{Extent, estimate, estimate_ascii};
///
/// let found = estimate(9.80402, 0.03291, Extent::Uncertainty(2));
/// assert_eq!(estimate_ascii(&found.value, &found.uncertainty), "(9.804 ± 0.033)");
/// ```
pub fn estimate(value: f64, uncertainty: f64, extent: Extent) -> Estimate {
    let plain = match extent {
        Extent::Uncertainty(_) | Extent::Figures(_) => PLAIN,
        Extent::Decimals(_) => PLAIN_DECIMALS,
    };
    if !value.is_finite() || !uncertainty.is_finite() {
        return Estimate {
            value: super::to_figures(value, 4),
            uncertainty: super::to_figures(uncertainty, FIGURES),
            is_cut: false,
        };
    }
    let own = Digits::of(uncertainty);
    let own = own.to_figures(match extent {
        Extent::Uncertainty(figures) => figures.clamp(1, FIGURES),
        Extent::Figures(_) | Extent::Decimals(_) => FIGURES,
    });
    let value_digits = Digits::of(value);
    let asked = match extent {
        Extent::Uncertainty(_) => own.last,
        Extent::Figures(_) if value == 0.0 => own.last,
        Extent::Figures(figures) => value_digits.to_figures(figures).last,
        Extent::Decimals(decimals) => -i32::from(decimals),
    };
    let last = asked.max(own.last);
    let decimal = |digits: Digits, negative: bool| Decimal {
        negative: negative && digits.text != "0",
        digits: digits.text,
        last,
        plain: plain.clone(),
        special: None,
        is_bound: false,
    };
    Estimate {
        value: decimal(value_digits.to_place(last), value < 0.0),
        uncertainty: decimal(own.up_to_place(last), false),
        is_cut: asked < own.last,
    }
}

impl Estimate {
    /// To how many decimals the value is printed; `None` where it ends before the point.
    pub fn decimals(&self) -> Option<u8> {
        u8::try_from(-self.value.last).ok()
    }

    /// The same with the digits of a value that is certain to that place.
    #[must_use]
    pub fn with_value(mut self, certain: Decimal) -> Self {
        if certain.last == self.value.last && certain.special.is_none() && !certain.is_bound {
            (self.value.negative, self.value.digits) = (certain.negative, certain.digits);
        }
        self
    }
}

/// Decimal digits without sign or point, and the power of ten of the last.
#[derive(Debug, Clone, PartialEq)]
struct Digits {
    text: String,
    last: i32,
}

impl Digits {
    fn of(value: f64) -> Self {
        let (text, leading) = decimal_digits(value);
        let last = leading + 1 - text.len() as i32;
        Digits { text, last }
    }

    /// The power of ten of the first digit.
    fn leading(&self) -> i32 {
        self.last + self.text.len() as i32 - 1
    }

    /// To so many figures, also where rounding gives a new first digit.
    fn to_figures(&self, figures: u8) -> Self {
        let place = self.leading() + 1 - i32::from(figures);
        let rounded = self.to_place(place);
        match rounded.text.len() > usize::from(figures) {
            true => self.to_place(place + 1),
            false => rounded,
        }
    }

    /// To the nearest with its last digit there, halves to even.
    fn to_place(&self, place: i32) -> Self {
        let (kept, dropped) = self.split(place);
        let half = dropped.bytes().next().unwrap_or(b'0').cmp(&b'5');
        let beyond = dropped.bytes().skip(1).any(|digit| digit != b'0');
        let is_odd = kept.bytes().next_back().is_some_and(|digit| digit % 2 == 1);
        let is_up = half.is_gt() || half.is_eq() && (beyond || is_odd);
        Digits::kept(&kept, is_up, place)
    }

    /// Up to the next with its last digit there.
    fn up_to_place(&self, place: i32) -> Self {
        let (kept, dropped) = self.split(place);
        let is_up = dropped.bytes().any(|digit| digit != b'0');
        Digits::kept(&kept, is_up, place)
    }

    /// What stands up to a place, and what comes after it.
    fn split(&self, place: i32) -> (String, String) {
        let count = self.leading() - place + 1;
        match usize::try_from(count) {
            Ok(count) if count <= self.text.len() => {
                let (kept, dropped) = self.text.split_at(count);
                (kept.to_owned(), dropped.to_owned())
            }
            Ok(count) => (format!("{:0<count$}", self.text), String::new()),
            Err(_) => (String::new(), format!("0{}", self.text)),
        }
    }

    fn kept(kept: &str, is_up: bool, place: i32) -> Self {
        let mut digits: Vec<u8> = kept.bytes().collect();
        let mut carry = is_up;
        for digit in digits.iter_mut().rev().take_while(|_| is_up) {
            if !carry {
                break;
            }
            carry = *digit == b'9';
            *digit = if carry { b'0' } else { *digit + 1 };
        }
        if carry {
            digits.insert(0, b'1');
        }
        let text = String::from_utf8_lossy(&digits);
        let text = text.trim_start_matches('0');
        Digits {
            text: if text.is_empty() { "0" } else { text }.to_owned(),
            last: place,
        }
    }
}

/// How a value and its uncertainty are printed, which were rounded together.
pub fn estimate_layout(value: &Decimal, uncertainty: &Decimal) -> EstimateLayout {
    let layout = value.layout();
    if value.special.is_some() || uncertainty.special.is_some() {
        return EstimateLayout {
            negative: layout.negative,
            value: layout.mantissa,
            uncertainty: uncertainty.layout().mantissa,
            exponent: layout.exponent,
        };
    }
    let leading = value.leading().max(uncertainty.leading());
    let is_plain = is_plain(&value.plain, leading, value.last);
    let last = if is_plain {
        value.last
    } else {
        value.last - leading
    };
    EstimateLayout {
        negative: layout.negative,
        value: with_point(&value.digits, last),
        uncertainty: with_point(&uncertainty.digits, last),
        exponent: (!is_plain).then_some(leading),
    }
}

fn is_plain(plain: &Range<i32>, leading: i32, last: i32) -> bool {
    plain.contains(&leading) && last <= 0
}

/// As it is typed into a worksheet: `(9.804 ± 0.033)`, `(5.00 ± 0.10) × 10^-9`.
pub fn estimate_ascii(value: &Decimal, uncertainty: &Decimal) -> String {
    let layout = estimate_layout(value, uncertainty);
    let power = layout.exponent.map(|it| format!(" × 10^{it}"));
    let sign = if layout.negative { "-" } else { "" };
    between_brackets(sign, &layout, power).replace('∞', "inf")
}

/// As plain text: `(9.804 ± 0.033)`, `(5.00 ± 0.10) × 10⁻⁹`.
pub fn estimate_text(value: &Decimal, uncertainty: &Decimal) -> String {
    let layout = estimate_layout(value, uncertainty);
    let power = layout
        .exponent
        .map(|it| format!(" × 10{}", powers::raised(it)));
    let sign = if layout.negative { "−" } else { "" };
    between_brackets(sign, &layout, power)
}

/// As it stands among others in a column: `9.804 ± 0.033`, `(5.00 ± 0.10) × 10⁻⁹`.
pub fn estimate_beside(value: &Decimal, uncertainty: &Decimal) -> String {
    let text = estimate_text(value, uncertainty);
    let bare = text
        .strip_prefix('(')
        .and_then(|text| text.strip_suffix(')'));
    bare.map_or_else(|| text.clone(), str::to_owned)
}

/// Gives the numbers of a list one form: all without a power of ten, where that takes no zero that
/// is not known and not too many decimals, or else each with its own.
pub fn as_one(mut numbers: Vec<(&mut Decimal, Option<&mut Decimal>)>) {
    /// A number with more digits than that before or behind its point is not read.
    const MOST_DIGITS: i32 = 7;
    let plain: Vec<(bool, bool)> = (numbers.iter())
        .filter(|(value, _)| value.special.is_none() && !value.is_bound)
        .map(|(value, uncertainty)| {
            let leading = match uncertainty {
                Some(uncertainty) => value.leading().max(uncertainty.leading()),
                None => value.leading(),
            };
            let is_zero = uncertainty.is_none() && value.is_zero();
            let is_so = is_zero || is_plain(&value.plain, leading, value.last);
            let may_be =
                is_zero || (-MOST_DIGITS..=0).contains(&value.last) && leading < MOST_DIGITS;
            (is_so, may_be)
        })
        .collect();
    let are_one = plain.windows(2).all(|pair| pair[0].0 == pair[1].0);
    if are_one {
        return;
    }
    let range = match plain.iter().all(|(_, may_be)| *may_be) {
        true => PLAIN_DECIMALS,
        false => 0..0,
    };
    for (value, uncertainty) in &mut numbers {
        value.plain = range.clone();
        if let Some(uncertainty) = uncertainty {
            uncertainty.plain = range.clone();
        }
    }
}

fn between_brackets(sign: &str, layout: &EstimateLayout, power: Option<String>) -> String {
    let (value, uncertainty) = (&layout.value, &layout.uncertainty);
    let power = power.unwrap_or_default();
    format!("({sign}{value} ± {uncertainty}){power}")
}

#[cfg(test)]
mod tests {
    use super::*;
    use dashu_int::IBig;
    use num_traits::{Pow, Signed};
    use proptest::prelude::*;

    fn printed(value: f64, uncertainty: f64, extent: Extent) -> String {
        let found = estimate(value, uncertainty, extent);
        estimate_text(&found.value, &found.uncertainty)
    }

    #[test]
    fn an_uncertainty_has_two_figures_and_the_value_ends_where_it_ends() {
        let cases = [
            (9.80402, 0.03291, "(9.804 ± 0.033)"),
            (-19.0123, 0.996, "(−19.0 ± 1.0)"),
            (5e-9, 1e-10, "(5.00 ± 0.10) × 10⁻⁹"),
            (1.35e-5, 1e-7, "(1.350 ± 0.010) × 10⁻⁵"),
            (12345.6, 120.0, "(1.235 ± 0.012) × 10⁴"),
            (12345.6, 12.0, "(12346 ± 12)"),
            (0.3, 12.0, "(0 ± 12)"),
            (-0.001, 0.33, "(0.00 ± 0.33)"),
            (0.0, 0.33, "(0.00 ± 0.33)"),
            (3.0, 120.0, "(0.0 ± 1.2) × 10²"),
            (
                1e300,
                1e280,
                "(1.000000000000000000000 ± 0.000000000000000000010) × 10³⁰⁰",
            ),
            (2.5, f64::INFINITY, "(2.500 ± ∞)"),
        ];
        for (value, uncertainty, expected) in cases {
            assert_eq!(
                printed(value, uncertainty, Extent::Uncertainty(2)),
                expected
            );
        }
        assert_eq!(
            printed(9.80402, 0.096, Extent::Uncertainty(1)),
            "(9.8 ± 0.1)"
        );
    }

    #[test]
    fn halves_go_to_the_even_digit() {
        let two = Extent::Uncertainty(2);
        assert_eq!(printed(1.0025, 0.010, two), "(1.002 ± 0.010)");
        assert_eq!(printed(1.0035, 0.010, two), "(1.004 ± 0.010)");
        assert_eq!(printed(1.0, 0.0125, two), "(1.000 ± 0.012)");
        assert_eq!(printed(1.0, 0.0135, two), "(1.000 ± 0.014)");
        assert_eq!(printed(1.0, 0.0995, two), "(1.00 ± 0.10)");
        // A double just beside the half that a reader has in mind.
        assert_eq!(
            printed(0.1 + 0.2 - 0.275, 0.10, Extent::Decimals(2)),
            "(0.02 ± 0.10)"
        );
    }

    #[test]
    fn digits_that_were_asked_for_end_at_the_uncertainty_and_round_it_up() {
        let figures = |count| estimate(9.80402, 0.03291, Extent::Figures(count));
        assert!(figures(6).is_cut);
        assert!(!figures(4).is_cut);
        assert_eq!(
            printed(9.80402, 0.03291, Extent::Figures(6)),
            "(9.804 ± 0.033)"
        );
        assert_eq!(
            printed(9.80402, 0.03291, Extent::Figures(3)),
            "(9.80 ± 0.04)"
        );
        assert_eq!(
            printed(9.80402, 0.03291, Extent::Figures(1)),
            "(1 ± 1) × 10¹"
        );
        assert_eq!(
            printed(9.80402, 0.03291, Extent::Decimals(1)),
            "(9.8 ± 0.1)"
        );
        assert_eq!(printed(9.80402, 0.03, Extent::Decimals(2)), "(9.80 ± 0.03)");
        assert_eq!(
            printed(1.2e-7, 3e-9, Extent::Decimals(3)),
            "(0.000 ± 0.001)"
        );
    }

    /// The decimal digits of a double as a whole number of a power of ten.
    fn exactly(value: f64) -> (IBig, i32) {
        let text = format!("{:.14e}", value.abs());
        let (mantissa, exponent) = text.split_once('e').expect("an exponent");
        let exponent: i32 = exponent.parse().expect("a number");
        (
            mantissa.replace('.', "").parse().expect("digits"),
            exponent - 14,
        )
    }

    fn power_of_ten(exponent: i32) -> IBig {
        IBig::from(10).pow(exponent.unsigned_abs())
    }

    /// Half of the last place at most, and even where it is a half: in whole numbers.
    fn is_nearest(exact: (IBig, i32), printed: &IBig, last: i32) -> bool {
        let (mut exact, from) = exact;
        let mut printed = printed.clone();
        let mut unit = IBig::from(1);
        if last >= from {
            unit *= power_of_ten(last - from);
            printed *= &unit;
        } else {
            exact *= power_of_ten(from - last);
        }
        let off: IBig = (&exact - &printed).abs() * 2;
        let is_even = (&printed / &unit % IBig::from(2)).is_zero();
        off < unit || off == unit && is_even
    }

    proptest! {
        #[test]
        fn both_are_rounded_to_the_nearest_at_one_place(
            value in prop::num::f64::NORMAL, decades in -10.0..10.0f64, lead in 1.0..10.0f64,
        ) {
            prop_assume!((1e-250..1e250).contains(&value.abs()));
            let uncertainty = value.abs() * lead * 10_f64.powf(decades);
            let found = estimate(value, uncertainty, Extent::Uncertainty(2));
            let last = found.uncertainty.last;
            prop_assert_eq!(found.value.last, last);
            prop_assert_eq!(found.uncertainty.digits.len(), 2);
            let own = found.uncertainty.digits.parse().expect("digits");
            prop_assert!(is_nearest(exactly(uncertainty), &own, last));
            let own = found.value.digits.parse().expect("digits");
            prop_assert!(is_nearest(exactly(value), &own, last), "{value} {uncertainty}");
        }

        #[test]
        fn an_uncertainty_that_is_rounded_up_is_not_less_and_never_zero(
            value in -1e6..1e6f64, decades in -8.0..8.0f64, figures in 1..12u8,
        ) {
            let uncertainty = 10_f64.powf(decades);
            let found = estimate(value, uncertainty, Extent::Figures(figures));
            let two = estimate(value, uncertainty, Extent::Uncertainty(2));
            prop_assert!(found.uncertainty.value() >= two.uncertainty.value());
            prop_assert!(found.uncertainty.value() > 0.0);
            prop_assert!(found.value.last >= two.value.last);
            prop_assert_eq!(found.value.last, found.uncertainty.last);
        }

        #[test]
        fn the_layout_says_what_the_digits_say(
            value in -1e9..1e9f64, scale in -30..30i32, decades in -8.0..8.0f64,
        ) {
            let value = value * 10_f64.powi(scale);
            let uncertainty = (value.abs() + 1e-300) * 10_f64.powf(decades);
            let found = estimate(value, uncertainty, Extent::Uncertainty(2));
            let layout = estimate_layout(&found.value, &found.uncertainty);
            let power = layout.exponent.map(|it| format!("e{it}")).unwrap_or_default();
            let read = |digits: &str| format!("{digits}{power}").parse::<f64>().expect("a number");
            prop_assert_eq!(read(&layout.value), found.value.value().abs());
            prop_assert_eq!(read(&layout.uncertainty), found.uncertainty.value());
            let decimals = |digits: &str| digits.split_once('.').map_or(0, |(_, it)| it.len());
            prop_assert_eq!(decimals(&layout.value), decimals(&layout.uncertainty));
        }
    }
}
