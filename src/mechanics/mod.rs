//! Forces without names: what acts on a body, and the terms of its balances.
//!
//! A magnitude, an angle, a length is an opaque number of the caller, an [`Id`]. What comes back
//! are terms: a sign, the magnitudes, and what they are multiplied by along an axis or about a
//! place. Every rule of signs stands here once.

mod action;
mod balance;
mod columns;
mod cut;
mod direction;
mod energy;
mod flow;
mod heads;
mod mass;
mod momentum;
mod place;
mod sum;
mod volume;
mod water;

#[cfg(test)]
mod cut_laws;
#[cfg(test)]
mod flow_laws;
#[cfg(test)]
mod laws;

pub use action::{Action, Load, Surface, Water};
pub use balance::{
    Axis, Balance, Body, Frame, Hindrance, Lack, Of, Side, Term, Wanted, balance,
    taken_for_positive,
};
pub use columns::{Column, Columns, End};
pub use cut::{Acting, Crooked, Inner, Member, Uncut};
pub use direction::{Direction, Sign, Turn};
pub use heads::{Device, Station};
pub use place::{Leg, Place};
pub use sum::{Angles, Factor, Product, Sum};
pub use volume::{
    Amount, Exchange, Gathered, Motion, Opening, Part, Pressure, Rate, Section, Speed, Volume,
};
pub use water::{Mistaken, depths, mistaken};

/// The terms of a balance of a control volume, left before right, out before in.
///
/// # Errors
///
/// [`Lack`] where the balance needs what is not said, or is none of such a control volume.
pub fn balance_of_volume(
    body: &Body,
    volume: &Volume,
    balance: Balance,
) -> Result<Vec<Term>, Lack> {
    let has_stations = volume.sections.iter().any(|it| it.station.is_some());
    if has_stations && !matches!(balance, Balance::Heads(_)) {
        return Err(Lack::None(Hindrance::Stations));
    }
    match balance {
        Balance::Heads(ends) => heads::heads(body, volume, ends),
        Balance::Pressure => Err(Lack::None(Hindrance::NoColumns)),
        Balance::Forces(_) | Balance::Moments(_) => momentum::momentum(body, volume, balance),
        Balance::Mass | Balance::Volume | Balance::Content => mass::mass(volume, balance),
        Balance::Energy => energy::energy(body, volume),
    }
}

/// The terms of a balance of a fluid at rest.
///
/// # Errors
///
/// [`Lack`] where it is not that of pressure.
pub fn balance_of_columns(columns: &Columns, balance: Balance) -> Result<Vec<Term>, Lack> {
    match balance {
        Balance::Pressure => Ok(columns.pressures()),
        Balance::Forces(_)
        | Balance::Moments(_)
        | Balance::Mass
        | Balance::Volume
        | Balance::Content
        | Balance::Energy
        | Balance::Heads(_) => Err(Lack::None(Hindrance::AtRest)),
    }
}

/// A magnitude, an angle or a length of the caller.
pub type Id = usize;
