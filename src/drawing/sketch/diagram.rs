//! Shear and moment lines under a level member, aligned with its length.

use super::Body;
use super::beside::Label;
use super::pens::{LOAD, OUTLINE, THIN};
use super::plan::Plan;
use super::sheet::{Layer, Sheet};
use super::way::Way;
use crate::drawing::ink::Point;

/// How high a line is from its least to its greatest value.
const HIGH: f64 = 84.0;

/// What is between what stands above and a line, with room for what is written on it.
const BETWEEN: f64 = 34.0;

/// How far a base line reaches beyond the member.
const BEYOND: f64 = 8.0;

/// Draws the lines of a body, one under the other.
pub(super) fn draw(sheet: &mut Sheet, plan: &Plan, body: &Body) {
    for diagram in &body.diagrams {
        let above = sheet.extent().bottom + BETWEEN;
        let values = diagram.line.iter().map(|(_, value)| *value);
        let (least, most) = values.fold((0.0_f64, 0.0_f64), |(least, most), it| {
            (least.min(it), most.max(it))
        });
        let scale = match most - least {
            range if range > 0.0 && range.is_finite() => HIGH / range,
            _ => 0.0,
        };
        let base = above + most * scale;
        let left = plan.place(0).x;
        let at = |far: f64, value: f64| Point::new(left + plan.length(far), base - scale * value);
        let length = diagram
            .line
            .iter()
            .fold(0.0_f64, |most, (far, _)| most.max(*far));

        // What a place is read down by.
        sheet.begin();
        let bottom = base - least * scale;
        let stops = diagram.stops.iter();
        let ordinates = stops.map(|far| {
            let x = at(*far, 0.0).x;
            vec![Point::new(x, above - 4.0), Point::new(x, bottom + 4.0)]
        });
        sheet.lines(Layer::Thin, ordinates.collect(), THIN);

        sheet.begin();
        let (from, to) = (at(0.0, 0.0), at(length, 0.0));
        let ends = [
            Point::new(from.x - BEYOND, from.y),
            Point::new(to.x + BEYOND, to.y),
        ];
        sheet.line(Layer::Thin, &ends, LOAD);
        sheet.name(Label::around(&diagram.name, ends[0], Way::LEFT, 4.0));

        sheet.begin();
        let line: Vec<Point> = (diagram.line.iter())
            .map(|(far, value)| at(*far, *value))
            .collect();
        sheet.line(Layer::Body, &line, OUTLINE);
        for (far, value, runs) in &diagram.marks {
            let up = if *value < 0.0 { Way::DOWN } else { Way::UP };
            sheet.label(Label::value(runs, at(*far, *value), up));
        }
    }
}
