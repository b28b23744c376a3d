//! A bend: straight, around, and straight again.

use super::super::Volume;
use super::super::sheet::Sheet;
use super::duct::Duct;
use super::{OUTSIDE, Vessel, ends, turn, widths};

/// The radius of its middle, in parts of the greater width.
const RADIUS: f64 = 0.95;

/// How long it is straight at both ends.
const STRAIGHT: f64 = 62.0;

/// Draws a bend; nothing where it has other sections than an inlet and an outlet.
pub(super) fn draw(volume: &Volume, sheet: &mut Sheet) -> Option<Vessel> {
    let [(inlet, first), (outlet, last)] = ends(volume)?;
    let widths = widths(&volume.cuts);
    let halves = [inlet, outlet].map(|cut| widths[cut] / 2.0);
    let radius = RADIUS * 2.0 * halves[0].max(halves[1]);
    let duct = Duct::bent(first, turn(first, last), radius, [STRAIGHT; 2], halves);
    duct.walls(sheet);
    let mut gates = vec![
        duct.passage(true, STRAIGHT)?,
        duct.passage(false, STRAIGHT)?,
    ];
    if inlet > outlet {
        gates.reverse();
    }
    Some(Vessel {
        gates,
        boundary: vec![duct.around(OUTSIDE)],
        hearts: duct.hearts(),
        ..Vessel::default()
    })
}
