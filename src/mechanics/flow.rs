//! How much flows through a section, and how fast, seen from its control volume.

use num_rational::Ratio;

use super::Id;
use super::balance::{Lack, Wanted};
use super::direction::Sign;
use super::sum::{Factor, Product, Sum};
use super::volume::{Gathered, Motion, Opening, Rate, Section, Volume};

impl Volume {
    /// The density at a section.
    pub(super) fn density(&self, at: usize) -> Result<Id, Lack> {
        let own = self.sections.get(at).and_then(|it| it.density);
        (own.or(self.medium.density)).ok_or(Lack::Section(at, Wanted::Density))
    }

    /// The area of a section, where it has one.
    pub fn area(&self, at: usize) -> Result<Option<Product>, Lack> {
        let Some(opening) = self.sections.get(at).and_then(|it| it.opening) else {
            return Ok(None);
        };
        let product = |number, factors| Product { number, factors };
        let one = Ratio::from(1);
        Ok(Some(match opening {
            Opening::Area(area) => product(one, vec![Factor::Of(area)]),
            // A circle.
            Opening::Diameter(of) => product(
                Ratio::new(1, 4),
                vec![Factor::Pi, Factor::Of(of), Factor::Of(of)],
            ),
            Opening::Depth(depth, width) => {
                let width = width.ok_or(Lack::Section(at, Wanted::Width))?;
                product(one, vec![Factor::Of(width), Factor::Of(depth)])
            }
        }))
    }

    /// By how much of its own speed a stream along a section is slower for who moves along.
    fn motion_along(&self, section: &Section) -> Option<(Sign, Id)> {
        let Motion::Moves { speed, direction } = &self.motion else {
            return None;
        };
        match section.flow.quarters_from(direction)? {
            0 => Some((Sign::Minus, *speed)),
            2 => Some((Sign::Plus, *speed)),
            _ => None,
        }
    }

    /// Whether the speed of a section, seen from the ground, has another direction than its flow.
    pub fn is_across_the_motion(&self, section: &Section) -> bool {
        let is_of_the_ground = section.speed.is_some_and(|speed| !speed.is_relative);
        let moves = matches!(self.motion, Motion::Moves { .. });
        is_of_the_ground && moves && self.motion_along(section).is_none()
    }

    /// The speed that is said of a section, seen from the control volume.
    pub fn said_speed(&self, section: &Section) -> Option<Sum> {
        let speed = section.speed?;
        let own = Sum::quantity(speed.of);
        match self.motion_along(section) {
            Some((sign, motion)) if !speed.is_relative => {
                let motion = Sum::quantity(motion).scaled(Ratio::from(sign.number()));
                Some(own.plus(motion).into_one())
            }
            _ => Some(own),
        }
    }

    /// The mass flow that a section says, or makes of area and speed.
    pub fn said_flow(&self, at: usize) -> Result<Option<Sum>, Lack> {
        let Some(section) = self.sections.get(at) else {
            return Ok(None);
        };
        match section.rate {
            Some(Rate::Mass(flow)) => return Ok(Some(Sum::quantity(flow))),
            Some(Rate::Volume(flow)) => {
                let density = Sum::quantity(self.density(at)?);
                return Ok(Some(density.times(&Sum::quantity(flow))));
            }
            None => {}
        }
        // Streams that turn are not square to their cuts.
        let turns = matches!(self.motion, Motion::Turns { .. });
        match (self.said_speed(section), self.area(at)?) {
            (Some(speed), Some(area)) if !turns => {
                let density = Sum::quantity(self.density(at)?);
                let area = Sum(vec![area]);
                Ok(Some(density.times(&area).times(&speed)))
            }
            _ => Ok(None),
        }
    }

    /// The mass flow through a section; of one that does not say it, what the others leave.
    pub fn flow(&self, at: usize) -> Result<Sum, Lack> {
        match self.said_flow(at)? {
            Some(said) => Ok(said),
            None => self.left(at),
        }
    }

    /// What the others leave for a section.
    fn left(&self, at: usize) -> Result<Sum, Lack> {
        let lack = Lack::Section(at, Wanted::Flow);
        let own = self.sections.get(at).ok_or(lack)?;
        let mut left = Sum::default();
        for (other, section) in self.sections.iter().enumerate() {
            if other != at {
                let flow = self.said_flow(other)?.ok_or(lack)?;
                left = left.plus(match section.is_inlet == own.is_inlet {
                    true => flow.reversed(),
                    false => flow,
                });
            }
        }
        for gathered in &self.gathered {
            if let Gathered::Mass(mass) = gathered {
                let mass = Sum::quantity(*mass);
                left = left.plus(if own.is_inlet { mass } else { mass.reversed() });
            }
        }
        match left.is_zero() {
            true => Err(lack),
            false => Ok(left.positive_first()),
        }
    }

    /// A speed that is made of those of the other sections, as what flows in flows out: the last
    /// that stands for itself in its flow.
    pub fn speed_of_the_others(&self) -> Option<(Id, Sum)> {
        let sections = self.sections.iter().enumerate().rev();
        sections
            .filter(|(_, section)| section.rate.is_none())
            .find_map(|(at, section)| {
                let speed = section.speed?.of;
                if self.said_speed(section)? != Sum::quantity(speed) {
                    return None;
                }
                self.said_flow(at).ok()??;
                let found = self.left(at).ok()?;
                let is_in = |product: &Product| product.factors.contains(&Factor::Of(speed));
                if found.0.iter().any(is_in) {
                    return None;
                }
                let density = Sum::quantity(self.density(at).ok()?).0.pop()?;
                let area = self.area(at).ok()??;
                Some((speed, found.over(&density).over(&area)))
            })
    }

    /// The speed through a section, seen from the control volume: said, or of flow and area.
    pub(super) fn speed(&self, at: usize) -> Result<Sum, Lack> {
        let lack = Lack::Section(at, Wanted::Speed);
        let section = self.sections.get(at).ok_or(lack)?;
        if let Some(said) = self.said_speed(section) {
            return Ok(said);
        }
        let turns = matches!(self.motion, Motion::Turns { .. });
        let area = self.area(at)?.filter(|_| !turns).ok_or(lack)?;
        let density = Product {
            number: Ratio::from(1),
            factors: vec![Factor::Of(self.density(at)?)],
        };
        Ok(self.flow(at)?.over(&density).over(&area))
    }
}
