//! Whether a quantity holds an energy, so that a result in kg·m²/s² is one and no moment.
//!
//! The dimension does not tell. What tells is where a value comes from: a unit with a joule or a
//! watt in it, a power, a voltage, or a form that no moment has (½ m v², a pressure with its datum
//! times a volume). An energy stays one through products with anything; a power over an angular
//! velocity or another rate is a moment, and what is left of an energy in a force or a pressure
//! is none. Where nothing tells, it is a moment.

use super::{Counts, Reading, Type, infer};
use crate::functions::Function;
use crate::quantity::{Dimension, Exponent, Unit};
use crate::resolve::{Expr, ExprKind, Factor};
use crate::syntax::Operator;

/// Whether a quantity is known to hold an energy.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Energy {
    /// Nothing tells.
    Untold,
    /// It is an energy, or an energy per something.
    Held,
}

const ENERGY: Dimension = Dimension::from_integers([2, 1, -2, 0, 0, 0, 0]);
const POWER: Dimension = Dimension::from_integers([2, 1, -3, 0, 0, 0, 0]);
const VOLTAGE: Dimension = Dimension::from_integers([2, 1, -3, -1, 0, 0, 0]);
const RATE: Dimension = Dimension::from_integers([0, 0, -1, 0, 0, 0, 0]);
const VELOCITY: Dimension = Dimension::from_integers([1, 0, -1, 0, 0, 0, 0]);
const VOLUME: Dimension = Dimension::from_integers([3, 0, 0, 0, 0, 0, 0]);
const FORCE: Dimension = Dimension::from_integers([1, 1, -2, 0, 0, 0, 0]);

/// What times half the square of the other is an energy. A stiffness is not among them: half of
/// a load per length times a length squared is the moment of a cantilever.
const HALF_SQUARES: [(Dimension, Dimension); 3] = [
    (Dimension::mass(), VELOCITY),
    (Dimension::from_integers([2, 1, 0, 0, 0, 0, 0]), RATE),
    (
        Dimension::from_integers([2, 1, -2, -2, 0, 0, 0]),
        Dimension::from_integers([0, 0, 0, 1, 0, 0, 0]),
    ),
];

impl Energy {
    /// A number in this unit. Over an angle it is a moment: `N m/A`, `J/rad`, `V/rpm`.
    pub fn of_unit(unit: &Unit) -> Energy {
        let turning = unit.turning();
        let zero = Exponent::from_integer(0);
        let is_over_turning = turning.angle < zero || turning.turns < zero;
        let is_told = unit.tells_energy() || tells(unit.dimension());
        told(is_told && !is_over_turning)
    }

    /// What a line asks or claims it in decides, where that unit says energy or moment.
    pub fn asked(self, unit: &Unit) -> Energy {
        match unit.dimension() == ENERGY || unit.tells_energy() {
            true => Energy::of_unit(unit),
            false => self,
        }
    }

    /// That of a sum, or of members: one that tells is enough.
    pub fn joined(types: &[Type]) -> Energy {
        told(types.iter().any(|part| part.energy == Energy::Held))
    }

    /// What is left of it in a result of this dimension.
    pub fn within(self, dimension: Option<Dimension>) -> Energy {
        match dimension {
            Some(dimension) if tells(dimension) => Energy::Held,
            Some(dimension) => told(self == Energy::Held && may_hold(dimension)),
            None => self,
        }
    }
}

fn told(is_told: bool) -> Energy {
    match is_told {
        true => Energy::Held,
        false => Energy::Untold,
    }
}

/// Whether the dimension tells: a power and a voltage are never moments.
fn tells(dimension: Dimension) -> bool {
    dimension == POWER || dimension == VOLTAGE
}

/// Whether something of this dimension can be an energy per something. A force, a pressure, a
/// velocity that was computed from one is not any more.
fn may_hold(dimension: Dimension) -> bool {
    let [length, mass, time, others @ ..] = dimension.exponents();
    let is = |exponent: Exponent, number: i32| exponent == Exponent::from_integer(number);
    let is_mechanical = others.iter().all(|exponent| is(*exponent, 0));
    let is_energy = is(length, 2) && is(time, -2);
    let is_power = is(time, -3);
    !is_mechanical || (is(mass, 1) || is(mass, 0)) && (is_energy || is_power)
}

/// A factor, with the power it stands in.
struct Part<'a> {
    expr: &'a Expr,
    found: &'a Type,
    below: bool,
}

impl Part<'_> {
    fn dimension(&self) -> Option<Dimension> {
        self.found.form.dimension()
    }

    fn is(&self, dimension: Dimension) -> bool {
        self.dimension() == Some(dimension)
    }
}

/// That of a product of these factors, whose whole has this dimension.
pub(super) fn of_product(
    factors: &[Factor],
    types: &[Type],
    (dimension, counts): (Option<Dimension>, Counts),
) -> Energy {
    let parts: Vec<Part<'_>> = (factors.iter().zip(types))
        .map(|(factor, found)| Part {
            expr: &factor.expr,
            found,
            below: factor.operator == Operator::Divide,
        })
        .collect();
    let held: i32 = (parts.iter())
        .filter(|part| part.found.energy == Energy::Held)
        .map(|part| if part.below { -1 } else { 1 })
        .sum();
    let is_energy = held > 0 || held == 0 && (has_power(&parts) || has_form(&parts));
    told(is_energy && !counts.is_per_turning() && !is_over_rate(&parts)).within(dimension)
}

/// Whether the factors, from the left, come to a power before they are all taken.
fn has_power(parts: &[Part<'_>]) -> bool {
    let mut product = Some(Dimension::none());
    parts.iter().any(|part| {
        let step = product.zip(part.dimension());
        product = step.and_then(|(product, next)| match part.below {
            true => product.over(next),
            false => product.times(next),
        });
        product == Some(POWER)
    })
}

/// Whether more rates or velocities stand below than above: a power over an angular velocity is a
/// moment, and over a velocity a force.
fn is_over_rate(parts: &[Part<'_>]) -> bool {
    [RATE, VELOCITY].into_iter().any(|rate| {
        let sides = (parts.iter()).filter(|part| part.is(rate));
        let net: i32 = sides.map(|part| if part.below { -1 } else { 1 }).sum();
        net < 0
    })
}

/// Whether the form is one that no moment has.
fn has_form(parts: &[Part<'_>]) -> bool {
    let is_plain = |part: &&Part<'_>| part.found.form.is_plain();
    let numbers: f64 = (parts.iter().filter(is_plain))
        .filter_map(|part| Some((part, infer::literal(part.expr)?)))
        .map(|(part, number)| if part.below { 1.0 / number } else { number })
        .product();
    let mut others = parts.iter().filter(|part| !is_plain(part));
    let (Some(first), Some(second), None) = (others.next(), others.next(), others.next()) else {
        return false;
    };
    let is_above = !first.below && !second.below;
    let is_half_square = |of: &Part<'_>, square: &Part<'_>| {
        HALF_SQUARES.iter().any(|(dimension, base)| {
            let squared = base.power(Exponent::from_integer(2));
            of.is(*dimension) && square.dimension() == squared && is_square(square.expr)
        })
    };
    let is_in_vessel = |pressure: &Part<'_>, volume: &Part<'_>| {
        matches!(pressure.found.reading, Reading::Pressure(..)) && volume.is(VOLUME)
    };
    let either_way =
        |rule: &dyn Fn(&Part<'_>, &Part<'_>) -> bool| rule(first, second) || rule(second, first);
    is_above && (numbers == 0.5 && either_way(&is_half_square) || either_way(&is_in_vessel))
}

/// Whether it is written as a square, or as a difference of some.
fn is_square(expr: &Expr) -> bool {
    match &expr.inside().kind {
        ExprKind::Power(_, exponent) => infer::literal(exponent) == Some(2.0),
        ExprKind::Sum(terms) => terms.iter().all(|term| is_square(&term.expr)),
        ExprKind::Negative(inner) => is_square(inner),
        ExprKind::Number(_)
        | ExprKind::Numeral(_)
        | ExprKind::Quantity(_)
        | ExprKind::Pi
        | ExprKind::Symbol(_)
        | ExprKind::Parameter(_)
        | ExprKind::Constant(_)
        | ExprKind::Product(_)
        | ExprKind::Group(_)
        | ExprKind::Abs(_)
        | ExprKind::Call { .. }
        | ExprKind::Apply { .. }
        | ExprKind::List(_)
        | ExprKind::Vector(_)
        | ExprKind::Component(..)
        | ExprKind::Cases(_)
        | ExprKind::Where(..)
        | ExprKind::ReadOff(_) => false,
    }
}

/// That of a product of two vectors: a force along a way does work.
pub(super) fn of_vectors(
    function: Function,
    types: &[Type],
    dimension: Option<Dimension>,
) -> Energy {
    let has = |dimension| (types.iter()).any(|part| part.form.dimension() == Some(dimension));
    let is_work = function == Function::Dot && has(FORCE) && has(Dimension::length());
    told(is_work || Energy::joined(types) == Energy::Held).within(dimension)
}
