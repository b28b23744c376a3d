//! Where the panels of a plot stand below each other.

use super::scale::{Range, Scale};
use super::{Axis, Panel};
use crate::drawing::ink::Area;

/// What stands above the first frame: the title of its axis.
pub(super) const ABOVE: f64 = 34.0;

/// What stands below the last frame: numbers, and the title of the axis.
pub(super) const BELOW: f64 = 46.0;

/// From one frame to the next, with the title of its axis between.
const BETWEEN: f64 = 40.0;

/// The share of what lies farthest off that the tick on either side of 0 has at least.
const ENOUGH: f64 = 0.65;

/// The part of its range by which marks stay off the ends of a strip.
const ROOM: f64 = 0.04;

/// How high a strip is.
const HEIGHT: f64 = 64.0;

/// What stands at the right of all frames, at least.
pub(super) const RIGHT: f64 = 16.0;

/// The frames of the panels, and how high the drawing is. Below what has a level axis of its own
/// stands what that counts.
pub(super) fn frames(
    (width, height): (f64, f64),
    (left, right): (f64, f64),
    strips: &[Panel],
    keys: f64,
) -> (Vec<Area>, f64) {
    let right = width - right;
    let top = ABOVE + keys;
    let first = Area {
        left,
        top,
        right,
        bottom: (height - BELOW).max(ABOVE + 40.0) + keys,
    };
    let mut frames = vec![first];
    for (at, strip) in strips.iter().enumerate() {
        let axis = if strip.x.is_some() { BELOW } else { 0.0 };
        let top = frames[at].bottom + BETWEEN + axis;
        frames.push(Area {
            left,
            top,
            right,
            bottom: top + HEIGHT,
        });
    }
    let bottom = frames[strips.len()].bottom;
    (frames, bottom + BELOW)
}

/// The upright scale of a strip, with room for the marks at its ends.
pub(super) fn scale(axis: &Axis, range: Range, frame: &Area) -> Scale {
    let room = match axis.is_logarithmic {
        true => 0.0,
        false => ROOM * (range.greatest - range.least),
    };
    let stated = Axis {
        from: axis.from.or(Some(range.least - room)),
        to: axis.to.or(Some(range.greatest + room)),
        ..axis.clone()
    };
    Scale::new(&stated, range, (frame.bottom, frame.top), false)
}

/// A range on both sides of 0 as one that reaches as far to both, so that a tick stands on either
/// side of it.
pub(super) fn evened(range: Range) -> Range {
    let most = range.greatest.max(-range.least);
    if range.least > 0.0 || range.greatest < 0.0 || most == 0.0 {
        return range;
    }
    let power = 10_f64.powf((ENOUGH * most).log10().floor());
    let digits = [1.0, 2.0, 5.0, 10.0].map(|digit| digit * power);
    let tick = digits.into_iter().find(|tick| *tick >= ENOUGH * most);
    let reach = tick.unwrap_or(most).max(most);
    Range {
        least: -reach,
        greatest: reach,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_strip_has_a_tick_on_either_side_of_zero() {
        for (least, greatest, wanted) in [
            (-0.45, 0.2, 0.5),
            (-0.018, 0.022, 0.022),
            (-3e-7, 1e-7, 3e-7),
            (0.0, 0.8, 1.0),
            (1.0, 2.0, 2.0),
        ] {
            let found = evened(Range { least, greatest });
            assert!((found.greatest - wanted).abs() < 1e-9 * wanted, "{found:?}");
        }
    }
}
