//! Forces without names: what acts on a body, and the terms of its balances.
//!
//! A magnitude, an angle, a length is an opaque number of the caller, an [`Id`]. What comes back
//! are terms: a sign, the magnitudes, and what they are multiplied by along an axis or about a
//! place. Every rule of signs stands here once.

mod action;
mod balance;
mod direction;
mod place;
mod sum;
mod water;

#[cfg(test)]
mod laws;

pub use action::{Action, Load, Surface, Water};
pub use balance::{Axis, Balance, Body, Frame, Lack, Side, Term, balance, taken_for_positive};
pub use direction::{Direction, Sign, Turn};
pub use place::{Leg, Place};
pub use sum::{Angles, Factor, Product, Sum};
pub use water::{Mistaken, depths, mistaken};

/// A magnitude, an angle or a length of the caller.
pub type Id = usize;
