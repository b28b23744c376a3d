//! Balances of momentum: forces and pressures on the left, what leaves less what enters on the
//! right.

use num_rational::Ratio;

use super::Id;
use super::balance::{Balance, Body, Hindrance, Lack, Looked, Of, Side, Term, Wanted, of_action};
use super::direction::Direction;
use super::place::{Leg, Place};
use super::sum::{Factor, Sum};
use super::volume::{Gathered, Motion, Opening, Part, Pressure, Section, Volume};

/// How a control volume is looked at.
struct Through<'a> {
    volume: &'a Volume,
    looked: Looked<'a>,
}

/// The terms of forces and momentum along an axis, or of moments about a place.
pub(super) fn momentum(body: &Body, volume: &Volume, balance: Balance) -> Result<Vec<Term>, Lack> {
    hindered(volume, balance)?;
    let looked = Looked { body, balance };
    let through = Through { volume, looked };
    let mut left = Vec::new();
    let (mut out, mut inward, mut inside) = (Vec::new(), Vec::new(), Vec::new());
    for part in &volume.order {
        match part {
            Part::Action(of) => {
                for term in of_action(body, balance, *of)? {
                    match term.side {
                        Side::Left => left.push(term),
                        Side::Right => inside.push(term),
                    }
                }
            }
            Part::Section(at) => {
                let Some(section) = volume.sections.get(*at) else {
                    continue;
                };
                left.extend(through.pressure(*at, section)?);
                let flown = through.carried(*at, section)?;
                match section.is_inlet {
                    true => inward.extend(flown),
                    false => out.extend(flown),
                }
            }
            Part::Gathered(at) => inside.extend(through.gathered(*at)),
            Part::Exchange(_) | Part::Device(_) => {}
        }
    }
    out.append(&mut inward);
    out.append(&mut inside);
    left.append(&mut out);
    Ok(left)
}

fn hindered(volume: &Volume, balance: Balance) -> Result<(), Lack> {
    let is_momentum = |it: &Gathered| matches!(it, Gathered::Momentum(..));
    let hindrance = match (&volume.motion, balance) {
        (Motion::Turns { .. }, Balance::Forces(_)) => Hindrance::Turns,
        (Motion::Turns { about, .. }, Balance::Moments(at)) if *about != at => {
            Hindrance::TurnsElsewhere
        }
        (_, Balance::Moments(_)) if volume.gathered.iter().any(is_momentum) => {
            Hindrance::MomentumGathers
        }
        _ => return Ok(()),
    };
    Err(Lack::None(hindrance))
}

impl Through<'_> {
    /// What one along a direction at a section counts, so far above its place.
    fn one(
        &self,
        at: usize,
        section: &Section,
        above: Option<(Ratio<i64>, Id)>,
    ) -> Result<Sum, Lack> {
        let place = section.at.and_then(|it| self.looked.body.places.get(it));
        let is_moments = matches!(self.looked.balance, Balance::Moments(_));
        if place.is_none() && is_moments && !section.flow.is_square_to_the_page() {
            return Err(Lack::Section(at, Wanted::Place));
        }
        let place = place.map(|place| match above {
            Some((part, length)) => place.by_part(part, bed(&section.flow, length)),
            None => place.clone(),
        });
        let place: Option<&Place> = place.as_ref();
        Ok(self.looked.one(&section.flow, place))
    }

    /// Pressure pushes against the outward normal of its cut: with the flow at an inlet, against
    /// it at an outlet.
    fn pressure(&self, at: usize, section: &Section) -> Result<Vec<Term>, Lack> {
        // Of a ring about the axis all of it points there.
        if matches!(self.volume.motion, Motion::Turns { .. }) {
            return Ok(Vec::new());
        }
        let sign = Ratio::from(if section.is_inlet { 1 } else { -1 });
        let term = |magnitudes, by: Sum| Term {
            of: Of::Pressure(at),
            side: Side::Left,
            flow: None,
            magnitudes,
            by: by.scaled(sign),
        };
        if let Some(Opening::Depth(depth, _)) = section.opening {
            let one = self.one(at, section, Some((Ratio::new(1, 3), depth)))?;
            if one.is_zero() {
                return Ok(Vec::new());
            }
            let by = self.depth(at, section, depth)?.times(&one);
            return Ok(vec![term(Vec::new(), by)]);
        }
        let surroundings = self.volume.medium.surroundings;
        let Pressure::Of(pressure) = section.pressure else {
            return Ok(Vec::new());
        };
        let one = self.one(at, section, None)?;
        if one.is_zero() {
            return Ok(Vec::new());
        }
        let area = self.volume.area(at)?;
        let area = Sum(vec![area.ok_or(Lack::Section(at, Wanted::Area))?]);
        Ok(vec![match surroundings {
            None => term(vec![pressure], area.times(&one)),
            Some(around) => {
                let over = Sum::quantity(pressure).plus(Sum::quantity(around).reversed());
                term(Vec::new(), over.into_one().times(&area).times(&one))
            }
        }])
    }

    /// The force on a depth: half of what the bed is under, over the whole of it.
    fn depth(&self, at: usize, section: &Section, depth: Id) -> Result<Sum, Lack> {
        let gravity = self.volume.medium.gravity;
        let gravity = gravity.ok_or(Lack::Section(at, Wanted::Gravity))?;
        let area = self.volume.area(at)?.map(|it| Sum(vec![it]));
        let area = area.ok_or(Lack::Section(at, Wanted::Area))?;
        let factors = [self.volume.density(at)?, gravity].map(Factor::Of);
        let weight = Sum::of(Ratio::new(1, 2), factors.into());
        let force = weight.times(&area).times(&Sum::quantity(depth));
        Ok(match self.volume.medium.is_from_above {
            true => force,
            // On a bed at an angle the depth is not upright.
            false => {
                let [level, _] = section.flow.on_the_page();
                force.times(&level.without_sign())
            }
        })
    }

    /// The momentum of what flows through a section.
    fn carried(&self, at: usize, section: &Section) -> Result<Option<Term>, Lack> {
        let above = match section.opening {
            Some(Opening::Depth(depth, _)) => Some((Ratio::new(1, 2), depth)),
            _ => None,
        };
        let one = self.one(at, section, above)?;
        if one.is_zero() {
            return Ok(None);
        }
        let by = self.volume.speed(at)?.times(&one);
        let sign = Ratio::from(if section.is_inlet { -1 } else { 1 });
        Ok(Some(Term {
            of: Of::Momentum(at),
            side: Side::Right,
            flow: Some(self.volume.flow(at)?),
            magnitudes: Vec::new(),
            by: by.scaled(sign),
        }))
    }

    fn gathered(&self, at: usize) -> Option<Term> {
        let Gathered::Momentum(of, direction) = self.volume.gathered.get(at)? else {
            return None;
        };
        let by = self.looked.one(direction, None);
        (!by.is_zero()).then_some(Term {
            of: Of::Gathered(at),
            side: Side::Right,
            flow: None,
            magnitudes: vec![*of],
            by,
        })
    }
}

/// Away from the bed of a stream, so long.
fn bed(flow: &Direction, length: Id) -> Leg {
    let up = flow.clone().quarter();
    Leg {
        length,
        direction: match flow.goes_left() {
            true => up.opposite(),
            false => up,
        },
    }
}
