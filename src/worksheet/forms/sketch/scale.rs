//! Scales: whether what is drawn to them has room on the page.

use super::super::super::build::Builder;
use super::reading::Reading;
use crate::diagnostic::{Code, Diagnostic};
use crate::mechanics::{Action, Id};
use crate::quantity::Dimension;
use crate::resolve::statement::{Scale, ScaleOf};

/// The greatest width and height of a figure, in metres.
const PAGE: [f64; 2] = [0.165, 0.15];

/// Something that is drawn to a scale: what it is called, how far it goes to the right and up.
struct Drawn {
    called: String,
    reach: [f64; 2],
    dimension: Option<Dimension>,
}

impl Builder<'_> {
    /// Says of each scale where what is drawn to it is larger than the page.
    pub(super) fn judge_scales(&mut self, read: &Reading<'_>) {
        let scales = &read.of.scales;
        let all = [
            (ScaleOf::Forces, &scales.forces),
            (ScaleOf::Lengths, &scales.lengths),
            (ScaleOf::Speeds, &scales.speeds),
        ];
        for (of, scale) in all {
            if let Some(scale) = scale {
                let drawn = match of {
                    ScaleOf::Forces => self.forces_drawn(read),
                    ScaleOf::Lengths => self.lengths_drawn(read),
                    ScaleOf::Speeds => self.speeds_drawn(read),
                };
                // What a sketch takes over is told there.
                if read.of.found_of.is_none() || !self.is_said_above(read, scale) {
                    self.judge_scale(scale, &drawn);
                }
            }
        }
    }

    fn is_said_above(&self, read: &Reading<'_>, scale: &Scale) -> bool {
        read.of.lines.contains(&scale.span)
    }

    fn judge_scale(&mut self, scale: &Scale, drawn: &[Drawn]) {
        let written = self.text_of(scale);
        if let Some(other) =
            (drawn.iter()).find(|it| it.dimension.is_some_and(|it| it != scale.dimension))
        {
            self.diagnostics.push(
                Diagnostic::error(
                    Code::G26,
                    scale.span,
                    format!("`{written}` is of another kind than `{}`", other.called),
                )
                .with_help("a scale in the unit of what is drawn"),
            );
            return;
        }
        let on_page = |it: &Drawn| {
            let part =
                [0, 1].map(|axis| it.reach[axis].abs() * scale.on_paper / scale.of / PAGE[axis]);
            part[0].max(part[1])
        };
        let largest = drawn
            .iter()
            .max_by(|one, other| on_page(one).total_cmp(&on_page(other)));
        let Some(largest) = largest.filter(|it| on_page(it) > 1.0) else {
            return;
        };
        let long = 1e3 * largest.reach[0].hypot(largest.reach[1]) * scale.on_paper / scale.of;
        let times = rounded_up(on_page(largest));
        let message = format!(
            "at this scale `{}` is {long:.0} mm long, and a figure is 165 mm wide and 150 mm high at most",
            largest.called
        );
        self.diagnostics
            .push(
                Diagnostic::error(Code::G26, scale.span, message).with_help(format!(
                    "{times} times `{written}` for the same length on the page"
                )),
            );
    }

    fn text_of(&self, scale: &Scale) -> &str {
        scale.written.span.of(self.text)
    }

    fn drawn(&self, read: &Reading<'_>, id: Id, way: [f64; 2]) -> Option<Drawn> {
        let expr = read.of.quantities.get(id)?;
        let value = read.value(id)?;
        let dimension = expr.as_symbol().and_then(|symbol| {
            let found = self.checked.symbols.get(symbol)?;
            found.form.dimension()
        });
        Some(Drawn {
            called: expr.span.of(self.text).to_owned(),
            reach: way.map(|part| part * value),
            dimension,
        })
    }

    fn forces_drawn(&self, read: &Reading<'_>) -> Vec<Drawn> {
        let acts = read
            .of
            .body
            .actions
            .iter()
            .filter_map(|action| match action {
                Action::Force {
                    magnitude,
                    direction,
                    ..
                } => {
                    let way = direction.on_the_page().map(|it| read.sum(&it));
                    self.drawn(read, *magnitude, way)
                }
                _ => None,
            });
        acts.collect()
    }

    fn speeds_drawn(&self, read: &Reading<'_>) -> Vec<Drawn> {
        let sections = read.of.flows.iter().flat_map(|it| &it.volume.sections);
        let speeds = sections.filter_map(|section| {
            let way = section.flow.on_the_page().map(|it| read.sum(&it));
            self.drawn(read, section.speed?.of, way)
        });
        speeds.collect()
    }

    /// All places together.
    fn lengths_drawn(&self, read: &Reading<'_>) -> Vec<Drawn> {
        let places = &read.of.body.places;
        let Some(first) = places.first() else {
            return Vec::new();
        };
        let ends = places
            .iter()
            .map(|it| first.to(it).on_the_page().map(|it| read.sum(&it)));
        let ends: Vec<[f64; 2]> = ends.collect();
        let reach = [0, 1].map(|axis| {
            let all = || ends.iter().map(|it| it[axis]).filter(|it| it.is_finite());
            all().fold(0.0, f64::max) - all().fold(0.0, f64::min)
        });
        vec![Drawn {
            called: read.of.label.to_string(),
            reach,
            dimension: None,
        }]
    }
}

/// The next of 2, 5, 10, 20, ….
fn rounded_up(times: f64) -> f64 {
    let power = 10_f64.powf(times.log10().floor());
    let steps = [1.0, 2.0, 5.0, 10.0].map(|step| step * power);
    steps
        .into_iter()
        .find(|it| *it >= times)
        .unwrap_or(10.0 * power)
}
