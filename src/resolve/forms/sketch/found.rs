//! A sketch as it turned out, and scales that figures are drawn to.

use std::sync::Arc;

use super::super::super::statement::Statement;
use super::super::super::{Block, Expr, ExprKind, Quantity, Resolver, Shape};
use super::super::Kind;
use super::{Scale, ScaleOf, Scales, Sketch};
use crate::diagnostic::{Code, nearest};
use crate::mechanics::{Action, Motion};
use crate::quantity::Dimension;
use crate::syntax::{self, Line, Literal, Word};
use crate::text::Span;

/// The greatest width and height of a figure, in metres.
const WIDEST: f64 = 0.165;

impl<'a> Resolver<'a> {
    /// `result: elbow as found`, with what is said of how it is drawn.
    pub(super) fn sketch_as_found(
        &mut self,
        block: Block<'a>,
        head: &'a Line,
        of: &Word,
        statements: &mut [Statement],
    ) -> Option<Arc<Sketch>> {
        let label = head.label.as_ref()?;
        let number = statements.first()?.label.as_ref().map_or(0, |it| it.1);
        let before = self.found_above(of)?;
        let mut sketch = Sketch {
            label: label.text.clone(),
            number,
            problem: self.problem,
            found_of: Some(before.number),
            balances: Vec::new(),
            ..(*before).clone()
        };
        sketch.look.numbers = None;
        let mut own = Scales::default();
        for (line, statement) in block.lines.iter().zip(statements).skip(1) {
            let syntax::Statement::Sketch(said) = &line.statement else {
                sketch.is_incomplete = true;
                continue;
            };
            let read = match &**said {
                syntax::Sketch::Show { numbers } => {
                    let mut is_said = sketch.look.numbers.is_some();
                    let read = self.once(line.span, &mut is_said);
                    sketch.look.numbers = Some(*numbers);
                    read
                }
                syntax::Sketch::NoDimensions => {
                    sketch.look.no_dimensions = true;
                    Some(())
                }
                syntax::Sketch::Scale(both) => self
                    .scale(line.span, both)
                    .and_then(|(of, scale)| self.one_scale(&mut own, of, scale)),
                _ => {
                    let named = &before.label;
                    self.refuse_sketch(
                        Code::G31,
                        line.span,
                        "a sketch as found says `show`, `no dimensions` and `scale` alone"
                            .to_owned(),
                        format!("this line in the sketch `{named}`"),
                    );
                    None
                }
            };
            match read {
                Some(()) => statement.kind = Some(Kind::OfBlock),
                None => sketch.is_incomplete = true,
            }
        }
        self.fits_scales(&sketch, &mut own);
        sketch.scales.take_over(own);
        Some(Arc::new(sketch))
    }

    /// The sketch above that is drawn again.
    fn found_above(&mut self, of: &Word) -> Option<Arc<Sketch>> {
        if let Some(found) = self.sketches_above().find(|it| it.label == of.text) {
            return Some(Arc::clone(found));
        }
        let before = (self.found.iter())
            .find(|it| it.label == of.text && (it.problem == self.problem || it.problem == 0));
        if let Some(before) = before {
            let first = self
                .sketches
                .iter()
                .find(|it| Some(it.number) == before.found_of);
            let first = first.map_or("the sketch", |it| &it.label).to_owned();
            self.refuse_sketch(
                Code::G27,
                of.span,
                format!("`{}` is a sketch as found already", of.text),
                format!("`{first} as found`"),
            );
            return None;
        }
        if self.has_refused_sketch {
            return None;
        }
        let all: Vec<Box<str>> = self.sketches_above().map(|it| it.label.clone()).collect();
        let near = nearest(&of.text, all.iter().map(|it| &**it));
        let help = match (near, all.first()) {
            (Some(near), _) => format!("`{near} as found`"),
            (None, Some(first)) => {
                format!(
                    "the label of a sketch above, as in `{first} as found`, or this block below the sketch"
                )
            }
            (None, None) => {
                "this block below the sketch, whose first line has the label".to_owned()
            }
        };
        self.refuse_sketch(
            Code::G27,
            of.span,
            format!("no sketch above is labelled `{}`", of.text),
            help,
        );
        None
    }

    /// `scale 10 mm = 5 kN`
    pub(super) fn scale(&mut self, line: Span, both: &[Literal; 2]) -> Option<(ScaleOf, Scale)> {
        let [on_paper, of] = both;
        let paper = self.quantity(on_paper)?;
        let stands = self.quantity(of)?;
        let example = "`scale 10 mm = 5 kN`, `scale 10 mm = 0.5 m` or `scale 10 mm = 2 m/s`";
        let (Some(on_paper_si), Some(of_si)) = (alone(&paper), alone(&stands)) else {
            self.refuse_sketch(
                Code::G26,
                line,
                "a scale is a length and what it stands for, both one number above 0".to_owned(),
                example.to_owned(),
            );
            return None;
        };
        let written = |span: Span, text: &str| span.of(text).to_owned();
        if paper.unit.dimension() != Dimension::length() {
            let message = format!(
                "`{}` is no length on the page",
                written(on_paper.span, self.text)
            );
            self.refuse_sketch(Code::G26, on_paper.span, message, example.to_owned());
            return None;
        }
        let dimension = stands.unit.dimension();
        let found = [
            // A sketch may be one for a unit of width.
            (
                ScaleOf::Forces,
                vec![exponents(1, 1, -2), exponents(0, 1, -2)],
            ),
            (ScaleOf::Lengths, vec![Dimension::length()]),
            (ScaleOf::Speeds, vec![exponents(1, 0, -1)]),
        ];
        let found = found.into_iter().find(|(_, all)| all.contains(&dimension));
        let Some((kind, _)) = found else {
            let message = format!(
                "`{}` is no force, length or speed",
                written(of.span, self.text)
            );
            self.refuse_sketch(Code::G26, of.span, message, example.to_owned());
            return None;
        };
        if on_paper_si > WIDEST {
            let message = format!(
                "a figure is {:.0} mm wide at most, and the bar of its scale would be {}",
                1e3 * WIDEST,
                written(on_paper.span, self.text)
            );
            self.refuse_sketch(
                Code::G26,
                on_paper.span,
                message,
                "a shorter bar, as `10 mm`".to_owned(),
            );
            return None;
        }
        let scale = Scale {
            span: line,
            on_paper: on_paper_si,
            of: of_si,
            dimension,
            written: Expr {
                span: of.span,
                kind: ExprKind::Quantity(Box::new(stands)),
            },
        };
        Some((kind, scale))
    }

    /// One scale for each of forces, lengths and speeds.
    pub(super) fn one_scale(&mut self, all: &mut Scales, of: ScaleOf, scale: Scale) -> Option<()> {
        let own = all.of(of);
        if own.is_some() {
            let message = format!("{} have a scale already", of.words());
            self.said_twice(scale.span, &message);
            return None;
        }
        *own = Some(scale);
        Some(())
    }

    /// A scale of what a sketch has none of.
    pub(super) fn fits_scales(&mut self, sketch: &Sketch, scales: &mut Scales) {
        for of in ScaleOf::ALL {
            let Some(scale) = scales.of(of).clone() else {
                continue;
            };
            let has = match of {
                ScaleOf::Forces => (sketch.body.actions.iter())
                    .any(|it| matches!(it, Action::Force { direction, .. } if !direction.is_square_to_the_page())),
                ScaleOf::Lengths => sketch.has_lengths(),
                ScaleOf::Speeds => sketch.has_speeds(),
            };
            if !has {
                let message = format!("this sketch draws no {}", of.words());
                self.refuse_sketch(
                    Code::G26,
                    scale.span,
                    message,
                    "the sketch without this line".to_owned(),
                );
                *scales.of(of) = None;
            }
        }
    }
}

impl Sketch {
    /// Whether its figure has lengths that can be drawn to a scale.
    fn has_lengths(&self) -> bool {
        let is_of_places = match &self.flows {
            Some(flows) => flows.volume.sections.iter().any(|it| it.at.is_some()),
            None => self.block.is_none(),
        };
        is_of_places && self.places.len() > 1
    }

    fn has_speeds(&self) -> bool {
        self.flows.as_ref().is_some_and(|flows| {
            let has_speed = |it: &crate::mechanics::Section| {
                it.station.is_none() && flows.volume.said_speed(it).is_some()
            };
            matches!(flows.volume.motion, Motion::Moves { .. })
                || flows.volume.sections.iter().any(has_speed)
        })
    }
}

/// Of length, mass and time.
fn exponents(length: i32, mass: i32, time: i32) -> Dimension {
    Dimension::from_integers([length, mass, time, 0, 0, 0, 0])
}

/// The one number above zero that a literal is, in coherent SI units.
fn alone(quantity: &Quantity) -> Option<f64> {
    let is_plain = quantity.datum.is_none() && quantity.sizes.is_empty();
    let [value] = quantity.values.as_slice() else {
        return None;
    };
    let si = quantity.unit.to_si(*value);
    (is_plain && quantity.shape == Shape::One && si > 0.0 && si.is_finite()).then_some(si)
}
