//! From numbers to places on an axis.

use super::Axis;
use super::ticks;
use crate::tables::Pattern;

/// Where the numbers of an axis stand.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Scale {
    /// The numbers at its ends.
    pub from: f64,
    pub to: f64,
    /// The places of its ends.
    pub start: f64,
    pub end: f64,
    pub is_logarithmic: bool,
    /// How times are written, where it counts the seconds of such.
    pub times: Option<Pattern>,
}

/// The least and greatest of some numbers.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Range {
    pub least: f64,
    pub greatest: f64,
}

/// A part of the range by which the points stay off the ends of the axis.
const ROOM: f64 = 0.04;

impl Range {
    /// The range of the numbers; nothing where there is none.
    pub fn of(numbers: impl IntoIterator<Item = f64>) -> Option<Self> {
        numbers.into_iter().fold(None, |range: Option<Self>, it| {
            let one = range.unwrap_or(Self {
                least: it,
                greatest: it,
            });
            Some(Self {
                least: one.least.min(it),
                greatest: one.greatest.max(it),
            })
        })
    }
}

impl Scale {
    /// The scale of an axis for numbers in a range, between two places. `is_roomy` says that what
    /// is at the ends has a size of its own.
    pub fn new(axis: &Axis, range: Range, (start, end): (f64, f64), is_roomy: bool) -> Self {
        let (from, to) = ends(axis, range, (end - start).abs(), is_roomy);
        let (start, end) = if axis.is_reversed {
            (end, start)
        } else {
            (start, end)
        };
        Self {
            from,
            to,
            start,
            end,
            is_logarithmic: axis.is_logarithmic,
            times: axis.times,
        }
    }

    /// The place of a number.
    pub fn at(&self, value: f64) -> f64 {
        let along = |value: f64| {
            if self.is_logarithmic {
                value.ln()
            } else {
                value
            }
        };
        let (from, to) = (along(self.from), along(self.to));
        let part = along(value) / (to - from) - from / (to - from);
        self.start + part * (self.end - self.start)
    }

    /// The number at a place.
    pub fn number(&self, place: f64) -> f64 {
        let part = (place - self.start) / (self.end - self.start);
        match self.is_logarithmic {
            true => self.from * (self.to / self.from).powf(part),
            false => self.from + part * (self.to - self.from),
        }
    }

    /// The same with its axis drawn out to a place beyond one of its ends.
    #[must_use]
    pub fn drawn_out(&self, place: f64) -> Self {
        let number = self.number(place);
        let is_at_end = (place - self.end).abs() < (place - self.start).abs();
        match is_at_end {
            true => Self {
                to: number,
                end: place,
                ..*self
            },
            false => Self {
                from: number,
                start: place,
                ..*self
            },
        }
    }
}

/// The numbers at the ends of an axis.
fn ends(axis: &Axis, range: Range, length: f64, is_roomy: bool) -> (f64, f64) {
    let Range { least, greatest } = apart(axis, range);
    let (mut from, mut to) = (axis.from.unwrap_or(least), axis.to.unwrap_or(greatest));
    if from >= to {
        // Everything lies beyond the one end that is said.
        let width = from.abs().max(1.0);
        match (axis.from, axis.is_logarithmic) {
            (Some(_), false) => to = from + width,
            (None, false) => from = to - width,
            (Some(_), true) => to = from * 10.0,
            (None, true) => from = to / 10.0,
        }
    }
    let (room_below, room_above) = match axis.is_logarithmic {
        true => {
            let factor = (to / from).powf(ROOM);
            (from / factor, to * factor)
        }
        false => (from - ROOM * (to - from), to + ROOM * (to - from)),
    };
    let step = match axis.times {
        None => Some(ticks::step(to - from, length, ticks::ACROSS)),
        Some(times) => super::times::even_step(times, to - from, length, ticks::ACROSS),
    };
    // An end at 0 is an end: nothing is expected beyond it.
    if axis.from.is_none() && is_roomy && from != 0.0 {
        from = round_end(axis, room_below, step, f64::floor);
    }
    if axis.to.is_none() && is_roomy && to != 0.0 {
        to = round_end(axis, room_above, step, f64::ceil);
    }
    (from, to)
}

/// An end moved to the tick beyond it, if that is near.
fn round_end(axis: &Axis, end: f64, step: Option<f64>, round: fn(f64) -> f64) -> f64 {
    let Some(step) = step.filter(|_| !axis.is_logarithmic) else {
        return end;
    };
    let tick = round(end / step) * step;
    if (tick - end).abs() < 0.5 * step {
        tick
    } else {
        end
    }
}

/// Numbers that are all alike have room around them.
fn apart(axis: &Axis, range: Range) -> Range {
    let Range { least, greatest } = range;
    let size = least.abs().max(greatest.abs());
    if greatest - least > 1e-12 * size {
        return range;
    }
    match axis.is_logarithmic {
        true => Range {
            least: least / 2.0,
            greatest: greatest * 2.0,
        },
        false => {
            let around = if size == 0.0 { 1.0 } else { 0.1 * size };
            Range {
                least: least - around,
                greatest: greatest + around,
            }
        }
    }
}
