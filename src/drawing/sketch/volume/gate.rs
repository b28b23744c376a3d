//! A gate: a deep stream before it, and the jet below it that contracts.

use super::super::Volume;
use super::super::pens::OUTLINE;
use super::super::sheet::{Layer, Sheet};
use super::Vessel;
use super::channel::{ABOVE, BEYOND, Bed, WITHIN};
use crate::drawing::ink::Ink;

/// Where the gate is, and where the jet has contracted.
const GATE: f64 = 150.0;
const LONG: f64 = 268.0;

/// Depths without values.
const UNKNOWN: [f64; 2] = [1.0, 0.25];

/// How thick the gate is, and how far it reaches above the surface.
const THICK: f64 = 8.0;
const HIGH: f64 = 36.0;

/// How far a stream contracts below a sharp edge (common practice, no source).
const CONTRACTION: f64 = 0.61;

/// How far before the gate the boundary is.
const BEFORE: f64 = 5.0;

/// Draws a gate; nothing where it is no stream of two depths.
pub(super) fn draw(volume: &Volume, sheet: &mut Sheet) -> Option<Vessel> {
    let bed = Bed::new(volume, UNKNOWN)?;
    let [first, last] = bed.depths;
    // Where the stream behind is the deeper one, the gate is drowned.
    let lip = (last / CONTRACTION).min(0.8 * first.max(last));
    let top = first.max(last) + HIGH;
    bed.ground(sheet, LONG);
    let jet = |part: f64| {
        // It falls fast at first.
        let fallen = 1.0 - (1.0 - part) * (1.0 - part) * (1.0 - part);
        (
            GATE + part * (LONG - GATE - 20.0),
            lip + fallen * (last - lip),
        )
    };
    let jet: Vec<(f64, f64)> = (0..=14).map(|step| jet(f64::from(step) / 14.0)).collect();
    bed.surface(
        sheet,
        &[(-BEYOND, first), (GATE, first)],
        &bed.marks(LONG)[..1],
    );
    let mut below = jet.clone();
    below.push((LONG + BEYOND, last));
    bed.surface(sheet, &below, &bed.marks(LONG)[1..]);
    plate(sheet, &bed, lip, top);
    let mut boundary = vec![bed.at(0.0, WITHIN), bed.at(0.0, first + ABOVE)];
    boundary.push(bed.at(GATE - BEFORE, first + ABOVE));
    // Below the gate it runs within the jet.
    let within = jet
        .iter()
        .map(|(along, off)| bed.at(*along - BEFORE, off - WITHIN));
    boundary.extend(within);
    boundary.extend([(LONG, last - WITHIN), (LONG, WITHIN)].map(|(along, off)| bed.at(along, off)));
    bed.dimensions(volume, LONG, sheet);
    let holds = [0.55, 0.72, 0.4]
        .map(|part| bed.at(GATE - BEFORE - 2.0, lip + part * (first.max(lip) - lip)));
    let holds = holds.map(|at| (at, None)).to_vec();
    Some(Vessel {
        gates: bed.gates(LONG, [66.0, 66.0]),
        boundary: vec![boundary],
        hearts: [0.5, 0.4, 0.6]
            .map(|part| bed.at(part * GATE, 0.6 * first))
            .to_vec(),
        holds,
        rim: None,
        top: None,
    })
}

/// The gate with its sharp edge.
fn plate(sheet: &mut Sheet, bed: &Bed, lip: f64, top: f64) {
    sheet.begin();
    let corners = [
        (GATE, lip),
        (GATE, top),
        (GATE + THICK, top),
        (GATE + THICK, lip + THICK),
    ];
    let corners = corners.map(|(along, off)| bed.at(along, off));
    sheet.outline(Layer::Body, corners.to_vec(), Ink::Band, Some(OUTLINE));
}
