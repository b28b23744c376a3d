//! Levels in decibels: logarithms, which add where ratios multiply.
//!
//! A level per length or time (`dB/km`) is one too, and goes through the same products as any
//! quantity until its dimension is used up.

use super::Form;
use super::reading::{FactorPart, Fault, Part, Reading};

/// The reading of a sum with a level; `None` where no term is one.
///
/// Numbers beside a level are dB without saying so; what was computed from ratios is not.
pub(super) fn sum(parts: &[Part]) -> Result<Option<Reading>, Fault> {
    if !parts.iter().any(|part| part.reading == Reading::Level) {
        return Ok(None);
    }
    let other = (parts.iter()).position(|part| part.reading != Reading::Level && !part.is_number);
    other.map_or(Ok(Some(Reading::Level)), |at| Err(Fault::BesideLevel(at)))
}

/// The reading of a product with a level, or one that makes it; `None` for any other.
pub(super) fn product(factors: &[FactorPart], result: &Form) -> Result<Option<Reading>, Fault> {
    let is_level = |factor: &FactorPart| factor.reading == Reading::Level;
    let Some(at) = factors.iter().position(is_level) else {
        return Ok(is_logarithm(factors).then_some(Reading::Level));
    };
    let level = &factors[at];
    if let Some(other) = (factors.iter().skip(at + 1)).position(is_level) {
        // How far a loss per length reaches is a length.
        let other = at + 1 + other;
        let is_quotient = level.below != factors[other].below && !result.is_plain();
        let others = factors.iter().filter(|factor| is_level(factor)).count();
        return match is_quotient && others == 2 {
            true => Ok(None),
            false => Err(Fault::Level(at)),
        };
    }
    let multiplies = |(index, factor): (usize, &FactorPart)| {
        index != at && !factor.below && !factor.form.is_plain()
    };
    let is_multiplied = factors.iter().enumerate().any(multiplies);
    if level.below || (level.form.is_plain() && is_multiplied) {
        return Err(Fault::Level(at));
    }
    Ok(Some(Reading::Level))
}

/// Whether it is 10 or 20 times a logarithm to base ten, perhaps times plain numbers.
fn is_logarithm(factors: &[FactorPart]) -> bool {
    let logarithms = factors.iter().filter(|factor| factor.is_log10);
    let is_decibel =
        |factor: &FactorPart| !factor.below && matches!(factor.literal, Some(10.0 | 20.0));
    logarithms.clone().count() == 1
        && logarithms.clone().all(|factor| !factor.below)
        && factors.iter().any(is_decibel)
        && factors.iter().all(|factor| factor.form.is_plain())
}
