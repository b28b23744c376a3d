//! What a unit says of turning: whether its number counts turns or cycles, or measures an angle.

use super::Exponent;

/// How often a unit holds a turn that is counted, an angle that is measured in radians, and a cycle.
///
/// A revolution is an angle, exactly 2π rad. Over a time and nothing else (`rev/s`, `r/min`,
/// `rpm`) it is a rotational frequency, which counts turns.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct Turning {
    /// Turns, counted: 1 in rpm, -1 in V/rpm.
    pub turns: Exponent,
    /// Angles in radians: 1 in rad/s, deg and rev, -1 in N m/rad.
    pub angle: Exponent,
    /// Cycles: 1 in Hz.
    pub cycles: Exponent,
    /// Whether the angle is typed in revolutions.
    pub in_revolutions: bool,
}

impl Turning {
    /// That of a unit which says nothing of it.
    pub const NONE: Turning = Turning {
        turns: Exponent::new_raw(0, 1),
        angle: Exponent::new_raw(0, 1),
        cycles: Exponent::new_raw(0, 1),
        in_revolutions: false,
    };

    /// Whether the unit says nothing of turning.
    pub fn is_none(self) -> bool {
        self == Turning::NONE
    }
}
