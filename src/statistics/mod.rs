//! What is computed of plain numbers: quantiles, sums, scatter, fits, draws.
//!
//! In go slices and closures, out come numbers; of names, units and dimensions nothing is known
//! here. `nalgebra` and `statrs` stop in this room.

#![expect(
    clippy::excessive_precision,
    reason = "constants stand as they are published"
)]

pub mod conditions;
pub mod decimals;
pub mod interpolate;
pub mod intervals;
pub mod linear;
pub mod marquardt;
pub mod philox;
pub mod projection;
pub mod quantiles;
pub mod runs;
pub mod spread;
pub mod square;
pub mod trials;

#[cfg(test)]
mod published;
