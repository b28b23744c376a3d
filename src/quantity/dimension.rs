//! Dimensions: exponents of the seven base quantities, with checked arithmetic.

use num_rational::Ratio;

use super::{nouns, powers};

/// An exponent of a base quantity: a small rational number.
pub type Exponent = Ratio<i32>;

/// The largest numerator and denominator of an exponent. Far beyond anything physical, and small
/// enough that no arithmetic on exponents can overflow.
const LIMIT: i64 = 1000;

/// The letters of the base quantities, in the order of the exponents.
const LETTERS: [&str; 7] = ["L", "M", "T", "I", "Θ", "N", "J"];

/// The base units as they are typed, with the place of their exponent, in the order in which they are printed.
pub(super) const BASE_UNITS: [(&str, usize); 7] = [
    ("kg", 1),
    ("m", 0),
    ("s", 2),
    ("A", 3),
    ("K", 4),
    ("mol", 5),
    ("cd", 6),
];

/// The dimension of a quantity: the exponents of length, mass, time, electric current,
/// temperature, amount of substance and luminous intensity, in this order.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub struct Dimension([Stored; 7]);

/// An exponent within [`LIMIT`], in half the place of one that is reckoned with: every unit, type and
/// value has a dimension.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
struct Stored {
    numerator: i16,
    denominator: i16,
}

impl Stored {
    const ZERO: Self = Self::whole(0);

    const fn whole(numerator: i16) -> Self {
        Self {
            numerator,
            denominator: 1,
        }
    }

    /// One that is in range.
    fn of(exponent: Exponent) -> Option<Self> {
        Some(Self {
            numerator: i16::try_from(*exponent.numer()).ok()?,
            denominator: i16::try_from(*exponent.denom()).ok()?,
        })
    }

    fn exponent(self) -> Exponent {
        Exponent::new_raw(self.numerator.into(), self.denominator.into())
    }
}

impl Default for Dimension {
    fn default() -> Self {
        Self::none()
    }
}

impl Dimension {
    /// The dimension of a plain number.
    pub const fn none() -> Self {
        Self([Stored::ZERO; 7])
    }

    /// L.
    pub const fn length() -> Self {
        Self::from_integers([1, 0, 0, 0, 0, 0, 0])
    }

    /// M.
    pub const fn mass() -> Self {
        Self::from_integers([0, 1, 0, 0, 0, 0, 0])
    }

    /// T.
    pub const fn time() -> Self {
        Self::from_integers([0, 0, 1, 0, 0, 0, 0])
    }

    /// Θ.
    pub const fn temperature() -> Self {
        Self::from_integers([0, 0, 0, 0, 1, 0, 0])
    }

    /// That of a pressure.
    pub const fn pressure() -> Self {
        Self::from_integers([-1, 1, -2, 0, 0, 0, 0])
    }

    /// J, luminous intensity.
    pub const fn luminous() -> Self {
        Self::from_integers([0, 0, 0, 0, 0, 0, 1])
    }

    /// The dimension with these whole exponents, which are small (up to 1000).
    pub const fn from_integers(exponents: [i32; 7]) -> Self {
        let [l, m, t, i, theta, n, j] = exponents;
        Self([
            Stored::whole(l as i16),
            Stored::whole(m as i16),
            Stored::whole(t as i16),
            Stored::whole(i as i16),
            Stored::whole(theta as i16),
            Stored::whole(n as i16),
            Stored::whole(j as i16),
        ])
    }

    /// The exponents, in the order L M T I Θ N J.
    pub fn exponents(&self) -> [Exponent; 7] {
        self.0.map(Stored::exponent)
    }

    /// Whether it is the dimension of a plain number.
    pub fn is_none(&self) -> bool {
        self.0.iter().all(|exponent| exponent.numerator == 0)
    }

    /// The dimension of a product; `None` when an exponent goes out of range (numerator or
    /// denominator above 1000).
    pub fn times(self, other: Self) -> Option<Self> {
        let mut exponents = self.0;
        for (own, other) in exponents.iter_mut().zip(other.0) {
            *own = Stored::of(sum(own.exponent(), other.exponent())?)?;
        }
        Some(Self(exponents))
    }

    /// The dimension of a quotient; `None` when an exponent goes out of range.
    pub fn over(self, other: Self) -> Option<Self> {
        self.times(other.power(Exponent::from_integer(-1))?)
    }

    /// The dimension of a power; `None` when an exponent goes out of range.
    pub fn power(self, exponent: Exponent) -> Option<Self> {
        let mut exponents = self.0;
        for own in &mut exponents {
            *own = Stored::of(product(own.exponent(), exponent)?)?;
        }
        Some(Self(exponents))
    }

    /// What a quantity of this dimension is called: "force", "energy or moment". Where several
    /// quantities share a dimension it is the one that is met most, or both.
    pub fn noun(self) -> Option<&'static str> {
        nouns::named(self).map(|row| row.noun)
    }

    /// The coherent SI unit, for messages: "N", "kg/(m²·s)", "1" for a plain number.
    pub fn symbol(self) -> String {
        match nouns::named(self) {
            Some(row) if !row.unit.is_empty() => row.unit.to_owned(),
            _ => self.base_symbol(),
        }
    }

    /// The dimension itself: "L M T⁻²", "1" for a plain number.
    pub fn formula(self) -> String {
        let factors: Vec<String> = LETTERS
            .iter()
            .zip(self.exponents())
            .filter(|(_, exponent)| *exponent.numer() != 0)
            .map(|(letter, exponent)| format!("{letter}{}", powers::printed(exponent)))
            .collect();
        if factors.is_empty() {
            return "1".to_owned();
        }
        factors.join(" ")
    }

    /// The unit in base units: "kg/(m²·s)".
    fn base_symbol(self) -> String {
        let mut above = Vec::new();
        let mut below = Vec::new();
        let exponents = self.exponents();
        for (unit, place) in BASE_UNITS {
            let Some(exponent) = exponents.get(place) else {
                continue;
            };
            match exponent.numer().signum() {
                1 => above.push(format!("{unit}{}", powers::printed(*exponent))),
                -1 => below.push(format!("{unit}{}", powers::printed(-*exponent))),
                _ => {}
            }
        }
        powers::slash(&above, &below, "·")
    }
}

/// The sum of two exponents, unless it is out of range.
pub fn sum(first: Exponent, second: Exponent) -> Option<Exponent> {
    // Whole exponents are nearly all there are, and need no reduction.
    if *first.denom() == 1 && *second.denom() == 1 {
        let whole = first.numer().checked_add(*second.numer())?;
        return (i64::from(whole).abs() <= LIMIT).then(|| Exponent::from_integer(whole));
    }
    let (a, b) = (i64::from(*first.numer()), i64::from(*first.denom()));
    let (c, d) = (i64::from(*second.numer()), i64::from(*second.denom()));
    bounded((a * d).checked_add(c * b)?, b * d)
}

/// The product of two exponents, unless it is out of range.
pub fn product(first: Exponent, second: Exponent) -> Option<Exponent> {
    if *first.denom() == 1 && *second.denom() == 1 {
        let whole = first.numer().checked_mul(*second.numer())?;
        return (i64::from(whole).abs() <= LIMIT).then(|| Exponent::from_integer(whole));
    }
    bounded(
        i64::from(*first.numer()) * i64::from(*second.numer()),
        i64::from(*first.denom()) * i64::from(*second.denom()),
    )
}

/// The same exponent, unless it is out of range.
pub(super) fn in_range(exponent: Exponent) -> Option<Exponent> {
    bounded(i64::from(*exponent.numer()), i64::from(*exponent.denom()))
}

/// A reduced exponent, unless it is out of range.
fn bounded(numerator: i64, denominator: i64) -> Option<Exponent> {
    if denominator == 0 {
        return None;
    }
    let ratio = Ratio::new(numerator, denominator);
    let (numerator, denominator) = (*ratio.numer(), *ratio.denom());
    if numerator.abs() > LIMIT || denominator > LIMIT {
        return None;
    }
    let (numerator, denominator) = (i32::try_from(numerator), i32::try_from(denominator));
    Some(Exponent::new_raw(numerator.ok()?, denominator.ok()?))
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    const FORCE: Dimension = Dimension::from_integers([1, 1, -2, 0, 0, 0, 0]);

    #[test]
    fn a_dimension_has_a_noun_a_unit_and_a_formula() {
        assert_eq!(FORCE.noun(), Some("force"));
        assert_eq!(FORCE.symbol(), "N");
        assert_eq!(FORCE.formula(), "L M T⁻²");
        let flux = Dimension::from_integers([-2, 1, -1, 0, 0, 0, 0]);
        assert_eq!(flux.symbol(), "kg/(m²·s)");
        assert_eq!(Dimension::none().symbol(), "1");
        assert_eq!(Dimension::none().formula(), "1");
    }

    #[test]
    fn fractional_exponents_are_written_out() {
        let root = Dimension::length().power(Exponent::new(1, 2));
        assert_eq!(root.map(Dimension::symbol).as_deref(), Some("m^(1/2)"));
        assert_eq!(root.map(Dimension::formula).as_deref(), Some("L^(1/2)"));
    }

    #[test]
    fn exponents_out_of_range_are_refused() {
        let long = Dimension::length().power(Exponent::from_integer(1000));
        assert!(long.is_some());
        assert_eq!(long.and_then(|it| it.times(Dimension::length())), None);
        assert_eq!(FORCE.power(Exponent::new(1, 1001)), None);
        assert_eq!(FORCE.power(Exponent::from_integer(i32::MIN)), None);
        assert_eq!(FORCE.power(Exponent::new_raw(1, 0)), None);
        let extreme = Dimension::from_integers([-1000; 7]);
        assert_eq!(extreme.over(FORCE), None);
    }

    fn any_dimension() -> impl Strategy<Value = Dimension> {
        prop::array::uniform7(-5..=5).prop_map(Dimension::from_integers)
    }

    proptest! {
        #[test]
        fn dimensions_form_a_commutative_group(
            a in any_dimension(), b in any_dimension(), c in any_dimension(),
        ) {
            let product = |x: Dimension, y: Dimension| x.times(y).expect("small exponents");
            prop_assert_eq!(product(a, b), product(b, a));
            prop_assert_eq!(product(product(a, b), c), product(a, product(b, c)));
            prop_assert_eq!(product(a, Dimension::none()), a);
            prop_assert_eq!(a.over(a), Some(Dimension::none()));
            prop_assert_eq!(product(a, b).over(b), Some(a));
        }

        #[test]
        fn a_power_of_a_power_is_the_product_of_the_powers(
            a in any_dimension(), n in 1..9, m in 1..9,
        ) {
            let up = a.power(Exponent::new(n, m));
            prop_assert_eq!(up.and_then(|it| it.power(Exponent::new(m, n))), Some(a));
        }
    }
}
