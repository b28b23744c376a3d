//! A number in the worksheet against the computed one.

/// How a claim compares.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Verdict {
    /// It is the computed value to the figures it is written with.
    Right,
    /// It is off by no more than two units in its last place.
    Slip,
    /// It is wrong.
    Wrong,
}

/// Compares a claimed number with the computed one, both in the unit of the claim.
///
/// `last_place` is one unit in the last place of the claim as written; without it (a fraction)
/// the two must agree to a relative 1e-9.
pub fn compare_claim(claimed: f64, computed: f64, last_place: Option<f64>) -> Verdict {
    let difference = (claimed - computed).abs();
    // The decimal text and its binary value differ by this much at most.
    let rounding = 1e-9 * computed.abs().max(claimed.abs());
    match last_place {
        Some(place) if difference <= 0.5 * place + rounding.min(0.01 * place) => Verdict::Right,
        Some(place) if difference <= 2.0 * place + rounding.min(0.01 * place) => Verdict::Slip,
        None if difference <= rounding => Verdict::Right,
        _ => Verdict::Wrong,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn claims_are_judged_to_their_written_figures() {
        assert_eq!(compare_claim(3.006, 3.00649, Some(0.001)), Verdict::Right);
        assert_eq!(compare_claim(3.006, 3.0071, Some(0.001)), Verdict::Slip);
        assert_eq!(compare_claim(3.006, 3.009, Some(0.001)), Verdict::Wrong);
        assert_eq!(compare_claim(0.375, 0.375, None), Verdict::Right);
    }
}
