//! A plate: a jet that splits on it, or on two plates that meet.

use super::super::Volume;
use super::super::pens::LOAD;
use super::super::sheet::{Layer, Sheet};
use super::super::way::{Way, middle};
use super::{OUTSIDE, Passage, Vessel, turn, way, widths};
use crate::drawing::ink::{Ink, Item, Pen, Point};

/// How wide the jet is in parts of a duct, and the least layer.
const JET: f64 = 0.5;
const LEAST: f64 = 9.0;

/// How far the jet and its layers are drawn.
const BEFORE: f64 = 120.0;
const ALONG: f64 = 112.0;

/// How thick the plate is.
const THICK: f64 = 7.0;

/// In how many pieces an edge goes around.
const PIECES: u8 = 8;

/// A layer on the plate: the way along it, the way off the plate, how thick it is.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Film {
    cut: usize,
    along: Way,
    off: Way,
    thick: f64,
}

/// Draws a plate; nothing where it is no jet that splits in two.
pub(super) fn draw(volume: &Volume, sheet: &mut Sheet) -> Option<Vessel> {
    let mut inlets = (0..volume.cuts.len()).filter(|it| volume.cuts[*it].is_inlet);
    let inlet = inlets.next()?;
    let jet = way(&volume.cuts[inlet])?;
    let outlets: Vec<usize> = (0..volume.cuts.len()).filter(|it| *it != inlet).collect();
    if inlets.next().is_some() || outlets.len() != 2 {
        return None;
    }
    let widths = widths(&volume.cuts);
    let half = JET * widths[inlet] / 2.0;
    let layer = |cut: usize| {
        let along = way(&volume.cuts[cut])?;
        let by = turn(jet, along);
        // Along the jet, or back into it, there is no plate.
        if by.abs() < 0.3 || by.abs() > 2.7 {
            return None;
        }
        let off = if along.left().dot(jet) < 0.0 {
            along.left()
        } else {
            along.left().back()
        };
        let thick = (JET * widths[cut] / 2.0).max(LEAST);
        Some((
            by,
            Film {
                cut,
                along,
                off,
                thick,
            },
        ))
    };
    let mut layers = [layer(outlets[0])?, layer(outlets[1])?];
    if layers[0].0 < layers[1].0 {
        layers.reverse();
    }
    // One to the left of the jet, one to its right.
    if layers[0].0 <= 0.0 || layers[1].0 >= 0.0 {
        return None;
    }
    let layers = layers.map(|(_, layer)| layer);
    let zero = Point::new(0.0, 0.0);
    sheet.begin();
    for (side, layer) in [1.0, -1.0].into_iter().zip(&layers) {
        let line = edge(jet, side * half, layer, 0.0);
        sheet.line(Layer::Body, &line, LOAD);
    }
    plates(sheet, &layers);
    let mut gates = vec![None; volume.cuts.len()];
    gates[inlet] = Some(Passage {
        at: jet.from(zero, -BEFORE),
        way: jet,
        out: jet.back(),
        half,
        reach: half + OUTSIDE,
        inside: 0.0,
        is_in_side: false,
    });
    for layer in &layers {
        gates[layer.cut] = Some(Passage {
            at: layer
                .off
                .from(layer.along.from(zero, ALONG), layer.thick / 2.0),
            way: layer.along,
            out: layer.along,
            half: layer.thick / 2.0,
            reach: layer.thick / 2.0 + THICK + OUTSIDE,
            inside: 0.0,
            is_in_side: false,
        });
    }
    // Around the edges of the jet, and behind the plates.
    let mut boundary = edge(jet, half + OUTSIDE, &layers[0], OUTSIDE);
    boundary.extend(behind(&layers));
    let mut right = edge(jet, -half - OUTSIDE, &layers[1], OUTSIDE);
    right.reverse();
    boundary.append(&mut right);
    Some(Vessel {
        gates: gates.into_iter().collect::<Option<Vec<_>>>()?,
        boundary: vec![boundary],
        hearts: vec![jet.from(zero, -half), jet.from(zero, -BEFORE / 2.0)],
        ..Vessel::default()
    })
}

/// One edge of the jet from its start, so far beside its middle, then along the layer, so far
/// outside of it.
fn edge(jet: Way, aside: f64, layer: &Film, more: f64) -> Vec<Point> {
    let zero = Point::new(0.0, 0.0);
    let start = jet.left().from(jet.from(zero, -BEFORE), aside);
    let off = layer.thick + more;
    let end = layer.off.from(layer.along.from(zero, ALONG), off);
    // Where both lines meet.
    let beside = jet.left().from(zero, aside);
    let down = jet.dot(layer.off);
    let have = layer.off.dot(Way {
        x: beside.x,
        y: beside.y,
    });
    let by = if down.abs() > 0.05 {
        (off - have) / down
    } else {
        -off
    };
    let corner = jet.from(beside, by.clamp(-BEFORE + 24.0, 24.0));
    let round = 26.0;
    let from = jet.from(corner, -round);
    let to = layer.along.from(corner, round);
    let mut line = vec![start];
    for piece in 0..=PIECES {
        let part = f64::from(piece) / f64::from(PIECES);
        let curve = |a: f64, b: f64, c: f64| {
            (1.0 - part) * (1.0 - part) * a + 2.0 * part * (1.0 - part) * b + part * part * c
        };
        line.push(Point::new(
            curve(from.x, corner.x, to.x),
            curve(from.y, corner.y, to.y),
        ));
    }
    line.push(end);
    line
}

/// The plates under both layers.
fn plates(sheet: &mut Sheet, layers: &[Film; 2]) {
    let zero = Point::new(0.0, 0.0);
    sheet.begin();
    let line = |off: f64| {
        let ends = layers.map(|it| it.off.from(it.along.from(zero, ALONG - 8.0), -off));
        let corner = middle(
            layers[0].off.from(zero, -off),
            layers[1].off.from(zero, -off),
        );
        vec![ends[0], corner, ends[1]]
    };
    let pen = Pen::new(Ink::Black, THICK - 1.0);
    sheet.put(Layer::Body, Item::Lines(vec![line(THICK / 2.0)], pen));
    sheet.keep_off(&line(0.0));
    sheet.keep_off(&line(THICK));
}

/// Behind the plates, from the first to the second.
fn behind(layers: &[Film; 2]) -> Vec<Point> {
    let zero = Point::new(0.0, 0.0);
    let off = THICK + OUTSIDE;
    let ends = layers.map(|it| it.off.from(it.along.from(zero, ALONG), -off));
    let corner = middle(
        layers[0].off.from(zero, -off),
        layers[1].off.from(zero, -off),
    );
    vec![ends[0], corner, ends[1]]
}
