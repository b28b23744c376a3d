//! How a unit reads its number, and whose it is.

use super::Clock;

/// How a unit reads its number, beyond its size.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Mark {
    /// As it stands.
    None,
    /// It counts revolutions: rpm, rev/s. Its SI value is in revolutions per second.
    Revolutions,
    /// A revolution as a factor: an angle, and counted where it stands over a time alone.
    Revolution,
    /// It measures an angle: rad/s, deg, rev. Its SI value is in radians.
    Radians,
    /// It counts cycles: Hz.
    Cycles,
    /// A level in decibels: a logarithm, not a multiple.
    Decibel,
    /// A pressure counted from the atmosphere: psig, barg.
    Gauge,
    /// A pressure counted from vacuum: psia, bara.
    Absolute,
    /// A temperature on a scale with an offset: degC, degF alone.
    Point,
    /// An interval of a temperature scale: degC inside a compound unit.
    Interval,
    /// A point of time, in seconds: no unit that can be written.
    Clock(Clock),
}

/// The system a unit belongs to.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Family {
    /// The SI and what is used with it.
    Si,
    /// US customary units.
    Us,
}
