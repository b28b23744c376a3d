//! Where the panels of a plot stand below each other.

use crate::drawing::ink::Area;

/// What stands above the first frame: the title of its axis.
pub(super) const ABOVE: f64 = 34.0;

/// What stands below the last frame: numbers, and the title of the axis.
pub(super) const BELOW: f64 = 46.0;

/// From one frame to the next, with the title of its axis between.
const BETWEEN: f64 = 40.0;

/// How high a strip is.
const HEIGHT: f64 = 64.0;

/// What stands at the right of all frames, at least.
pub(super) const RIGHT: f64 = 16.0;

/// The frames of the panels, and how high the drawing is.
pub(super) fn frames(
    (width, height): (f64, f64),
    (left, right): (f64, f64),
    strips: usize,
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
    for strip in 0..strips {
        let top = frames[strip].bottom + BETWEEN;
        frames.push(Area {
            left,
            top,
            right,
            bottom: top + HEIGHT,
        });
    }
    let bottom = frames[strips].bottom;
    (frames, bottom + BELOW)
}
