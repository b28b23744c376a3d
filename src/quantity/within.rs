//! How far a value may be off.

use super::Unit;

/// How far a value may be off: `2 %` of it, or `0.3 K`.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub struct Within {
    /// The number as it is written.
    text: Box<str>,
    /// Its unit as it is written, of an interval.
    unit: Box<str>,
}

impl Within {
    /// 1 %, which is taken where nothing is said.
    pub fn one_percent() -> Self {
        Self {
            text: "1".into(),
            unit: "%".into(),
        }
    }

    /// `2 %` or `0.3 K`; `None` for anything else, and for what is not above zero.
    ///
    /// ```
    /// use setsquare::quantity::Within;
    ///
    /// let within = Within::read("0.3 K").expect("a tolerance");
    /// assert_eq!((within.number(), within.is_share()), (0.3, false));
    /// assert_eq!(Within::read("2"), None);
    /// ```
    pub fn read(text: &str) -> Option<Self> {
        let text = text.trim();
        let digits = text.find(|it: char| !(it.is_ascii_digit() || it == '.'))?;
        let (number, unit) = text.split_at(digits);
        let parsed: f64 = number.parse().ok()?;
        let unit = Unit::from_source(unit.trim()).ok()?;
        (parsed > 0.0 && parsed.is_finite()).then(|| Self {
            text: number.into(),
            unit: unit.interval().source().into(),
        })
    }

    /// The number, in its unit.
    pub fn number(&self) -> f64 {
        self.text.parse().unwrap_or(f64::NAN)
    }

    /// Its unit.
    pub fn unit(&self) -> Unit {
        Unit::from_source(&self.unit).unwrap_or_else(|_| Unit::one())
    }

    /// Whether it is a share of the value.
    pub fn is_share(&self) -> bool {
        self.unit().is_share()
    }

    /// As it is printed: `2 %`.
    pub fn printed(&self) -> String {
        format!("{}\u{a0}{}", self.text, self.unit().text())
    }
}
