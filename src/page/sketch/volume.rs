//! A control volume for its drawing: its sections by what the data say of their size, what is
//! written at each, and how it moves.

use super::{Drawing, in_bars};
use crate::drawing::sketch::{self as drawn, Cut, Flow, Motion, Shape, Size, Turning, Volume};
use crate::mechanics::{self, Factor, Opening, Pressure, Product, Rate, Section, Turn};
use crate::resolve::statement::{self, Flows, SectionSaid};
use crate::syntax::VolumeShape;
use crate::typeset::Run;
use crate::worksheet::Sense;

impl Drawing<'_> {
    pub(super) fn volume(&self, shape: VolumeShape, flows: &Flows) -> Volume {
        let sections = flows.volume.sections.iter().zip(&flows.sections);
        Volume {
            shape: self::shape(shape),
            cuts: sections
                .enumerate()
                .map(|(at, (section, said))| self.cut(flows, at, (section, said)))
                .collect(),
            rates: (flows.volume.exchanges.iter())
                .map(|exchange| drawn::Rate {
                    label: self.magnitude(exchange.of),
                    is_in: exchange.is_in != self.is_back(exchange.of),
                })
                .collect(),
            inside: self.losses(flows),
            frame: self.body(),
            turning: self.turning(flows),
        }
    }

    /// How a control volume moves along.
    pub(super) fn moving(&self, flows: &Flows) -> Option<Motion> {
        let mechanics::Motion::Moves { speed, direction } = &flows.volume.motion else {
            return None;
        };
        let (_, mark) = flows.motion?;
        Some(Motion::Straight {
            label: self.magnitude(*speed),
            direction: self.direction_found(direction, mark, self.is_back(*speed)),
            length: self.speed_length(self.value(*speed)),
        })
    }

    fn turning(&self, flows: &Flows) -> Option<Turning> {
        match flows.volume.motion {
            mechanics::Motion::Turns { speed, turn, about } => Some(Turning {
                label: self.magnitude(speed),
                is_clockwise: (turn == Turn::Clockwise) != self.is_back(speed),
                about,
            }),
            mechanics::Motion::Still | mechanics::Motion::Moves { .. } => None,
        }
    }

    fn cut(&self, flows: &Flows, at: usize, (section, said): (&Section, &SectionSaid)) -> Cut {
        let is_turned = self.is_found() && self.sketch.streams.get(at) == Some(&Sense::Back);
        Cut {
            name: said.name.text.to_string(),
            is_inlet: section.is_inlet,
            flow: match self.radians(&section.flow) {
                Some(_) => Flow::Along(self.direction(&section.flow, said.mark)),
                None => Flow::Square {
                    is_toward_reader: !said.is_away,
                },
            },
            at: section.at,
            size: self.size(section),
            is_open: section.pressure == Pressure::Open,
            pressure: self.pressure(flows, section),
            stream: self.stream(flows, section, is_turned),
            is_turned,
            pulls: matches!(section.pressure, Pressure::Of(id) if self.is_back(id)),
            length: self.speed_length(self.seen_speed(flows, section)),
        }
    }

    /// What has no value yet is no number, and is drawn as the first section is.
    fn size(&self, section: &Section) -> Size {
        let value = |id: usize| self.value(id).unwrap_or(f64::NAN);
        match section.opening {
            Some(Opening::Area(area)) => Size::Area(value(area)),
            Some(Opening::Diameter(of)) => {
                Size::Area(std::f64::consts::FRAC_PI_4 * value(of) * value(of))
            }
            Some(Opening::Depth(depth, _)) => Size::Depth {
                depth: value(depth),
                label: self.runs(depth),
            },
            None => Size::Area(f64::NAN),
        }
    }

    /// Of a depth it is the one at a level bed.
    fn pressure(&self, flows: &Flows, section: &Section) -> Vec<Run> {
        let medium = &flows.volume.medium;
        match (section.pressure, section.opening) {
            (Pressure::Of(pressure), _) => self.magnitude(pressure),
            (_, Some(Opening::Depth(depth, _)))
                if self.is_level(section) && !medium.is_from_above =>
            {
                match (section.density.or(medium.density), medium.gravity) {
                    (Some(density), Some(gravity)) => {
                        let factors = [density, gravity, depth].map(Factor::Of);
                        self.product(&factors)
                    }
                    _ => Vec::new(),
                }
            }
            _ => Vec::new(),
        }
    }

    fn is_level(&self, section: &Section) -> bool {
        let sine = self.radians(&section.flow).map(f64::sin);
        sine.is_some_and(|it| it.abs() < 1e-9)
    }

    /// What is said of a stream: its speed seen from the control volume, then its flow, then what
    /// it carries.
    fn stream(&self, flows: &Flows, section: &Section, is_turned: bool) -> Vec<Vec<Run>> {
        let speed = flows.volume.said_speed(section);
        let rate = section.rate.map(|rate| match rate {
            Rate::Mass(id) | Rate::Volume(id) => id,
        });
        let amount = |amount: Option<mechanics::Amount>| match amount {
            Some(mechanics::Amount::Of(id)) => Some(id),
            Some(mechanics::Amount::Zero | mechanics::Amount::One) | None => None,
        };
        let carried = [
            rate,
            section.temperature,
            amount(section.enthalpy),
            amount(section.content),
        ];
        let carried = carried.into_iter().flatten().map(|id| self.magnitude(id));
        let speed = speed.map(|sum| match (section.speed, sum.0.as_slice()) {
            // One that is seen as it is said may have its value.
            (Some(said), [Product { factors, .. }]) if factors[..] == [Factor::Of(said.of)] => {
                self.magnitude(said.of)
            }
            _ if is_turned => in_bars(self.sum(&sum)),
            _ => self.sum(&sum),
        });
        speed.into_iter().chain(carried).collect()
    }

    /// The speed of a section, seen from the control volume.
    fn seen_speed(&self, flows: &Flows, section: &Section) -> Option<f64> {
        let speed = flows.volume.said_speed(section)?;
        let value = speed.value(&|id| self.value(id).unwrap_or(f64::NAN));
        value.is_finite().then_some(value)
    }

    /// `V - U`
    fn sum(&self, sum: &mechanics::Sum) -> Vec<Run> {
        let mut runs = Vec::new();
        for (number, product) in sum.0.iter().enumerate() {
            let is_minus = *product.number.numer() < 0;
            match (number, is_minus) {
                (0, false) => {}
                (0, true) => runs.push(Run::words("−")),
                (_, true) => runs.push(Run::words(" − ")),
                (_, false) => runs.push(Run::words(" + ")),
            }
            let Product { factors, .. } = product;
            runs.extend(self.product(factors));
        }
        runs
    }

    fn product(&self, factors: &[Factor]) -> Vec<Run> {
        let runs = factors.iter().map(|factor| match factor {
            Factor::Of(id) => self.symbols(*id),
            Factor::Difference(sum) => self.sum(sum),
            // A speed and a pressure are made of no others.
            Factor::Sine(_)
            | Factor::Cosine(_)
            | Factor::Slope { .. }
            | Factor::Length(_)
            | Factor::OverLength(_)
            | Factor::Over(_)
            | Factor::Pi => Vec::new(),
        });
        runs.flatten().collect()
    }
}

/// Whether anything of it has a direction along an axis: what acts, or a stream with its momentum.
pub(super) fn has_directions(of: &statement::Sketch, flows: &Flows) -> bool {
    let has_momentum = |it: &Section| it.speed.is_some() || it.opening.is_some();
    !of.acts.is_empty() || flows.volume.sections.iter().any(has_momentum)
}

/// A way along pipes has stations, and is drawn as a box where it has cuts.
fn shape(shape: VolumeShape) -> Shape {
    match shape {
        VolumeShape::Bend => Shape::Bend,
        VolumeShape::Branch => Shape::Branch,
        VolumeShape::Box | VolumeShape::Pipe => Shape::Box,
        VolumeShape::Channel => Shape::Channel,
        VolumeShape::Gate => Shape::Gate,
        VolumeShape::Heater => Shape::Heater,
        VolumeShape::Nozzle => Shape::Nozzle,
        VolumeShape::Plate => Shape::Plate,
        VolumeShape::Tank => Shape::Tank,
        VolumeShape::Vane => Shape::Vane,
        VolumeShape::Impeller => Shape::Impeller,
        VolumeShape::Sprinkler => Shape::Sprinkler,
    }
}
