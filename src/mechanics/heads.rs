//! Heads along a stream: what stands at one section, what comes to it and what is lost on the way.

use num_rational::Ratio;

use super::Id;
use super::action::Action;
use super::balance::{Body, Hindrance, Lack, Of, Side, Term, Wanted};
use super::direction::Direction;
use super::sum::{Factor, Product, Sum};
use super::volume::{Amount, Motion, Opening, Part, Pressure, Rate, Section, Volume};

/// What stands along a stream between its sections.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Device {
    /// It adds head.
    Pump,
    /// It takes head out.
    Turbine,
    /// Head is lost.
    Loss,
}

/// A section of a stream that is no cut.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Station {
    /// A wide surface: nothing moves there.
    Surface,
    /// A place along a pipe.
    Pipe,
}

/// The terms of the heads from one section to another, which lies farther along the stream.
pub(super) fn heads(
    body: &Body,
    volume: &Volume,
    [from, to]: [usize; 2],
) -> Result<Vec<Term>, Lack> {
    hindered(body, volume)?;
    volume.of_one_density([from, to])?;
    let place = |at| (volume.order.iter()).position(|it| *it == Part::Section(at));
    let (Some(first), Some(last)) = (place(from), place(to)) else {
        return Ok(Vec::new());
    };
    let between = volume.order.get(first..last).unwrap_or_default();
    let mut terms = volume.head_at(from, Side::Left)?;
    let mut right = volume.head_at(to, Side::Right)?;
    for part in between {
        let Part::Device(number) = part else { continue };
        let Some((device, head)) = volume.devices.get(*number) else {
            continue;
        };
        let own = match device {
            Device::Pump => &mut terms,
            Device::Turbine | Device::Loss => &mut right,
        };
        let side = match device {
            Device::Pump => Side::Left,
            Device::Turbine | Device::Loss => Side::Right,
        };
        own.push(term(Of::Device(*number), side, Sum::quantity(*head)));
    }
    terms.append(&mut right);
    Ok(terms)
}

fn hindered(body: &Body, volume: &Volume) -> Result<(), Lack> {
    let accelerates = |action: &Action| matches!(action, Action::Accelerates { .. });
    let is_still = volume.motion == Motion::Still
        && volume.gathered.is_empty()
        && !body.actions.iter().any(accelerates);
    if !is_still {
        return Err(Lack::None(Hindrance::HeadsMove));
    }
    let count = |is_inlet| {
        let cuts = volume.sections.iter().filter(|it| it.station.is_none());
        cuts.filter(|it| it.is_inlet == is_inlet).count()
    };
    match (count(true), count(false)) {
        (0, 0) | (1, 1) => Ok(()),
        _ => Err(Lack::None(Hindrance::SeveralWays)),
    }
}

fn term(of: Of, side: Side, by: Sum) -> Term {
    Term {
        of,
        side,
        flow: None,
        magnitudes: Vec::new(),
        by,
    }
}

fn product(factors: Vec<Factor>, number: Ratio<i64>) -> Product {
    Product { number, factors }
}

impl Volume {
    /// Heads are those of one fluid.
    fn of_one_density(&self, ends: [usize; 2]) -> Result<(), Lack> {
        let of = |section: &Section| section.density.or(self.medium.density);
        let own = |at: usize| self.sections.get(at).and_then(of);
        match own(ends[0]) == own(ends[1]) {
            true => Ok(()),
            false => Err(Lack::Section(ends[1], Wanted::SameDensity)),
        }
    }

    fn gravity_at(&self, at: usize) -> Result<Id, Lack> {
        (self.medium.gravity).ok_or(Lack::Section(at, Wanted::Gravity))
    }

    /// The pressure, the speed and the height at a section, as heads.
    fn head_at(&self, at: usize, side: Side) -> Result<Vec<Term>, Lack> {
        let Some(section) = self.sections.get(at) else {
            return Ok(Vec::new());
        };
        let mut terms = Vec::new();
        if let Some(pressure) = self.pressure_at(section) {
            let weight = vec![
                Factor::Of(self.density(at)?),
                Factor::Of(self.gravity_at(at)?),
            ];
            let by = Sum::quantity(pressure).over(&product(weight, Ratio::from(1)));
            terms.push(term(Of::PressureHead(at), side, by));
        }
        if let Some(speed) = self.speed_of_head(at, section)? {
            let twice = product(vec![Factor::Of(self.gravity_at(at)?)], Ratio::from(2));
            let by = speed.times(&speed).over(&twice);
            terms.push(term(Of::SpeedHead(at), side, by));
        }
        if let Some(Amount::Of(level)) = section.level {
            terms.push(term(Of::Level(at), side, Sum::quantity(level)));
        }
        if let Some(Opening::Depth(depth, _)) = section.opening {
            let level = section.flow.component(&Direction::right()).without_sign();
            let by = match self.medium.is_from_above {
                true => Sum::quantity(depth),
                false => Sum::quantity(depth).times(&level),
            };
            terms.push(term(Of::DepthHead(at), side, by));
        }
        Ok(terms)
    }

    /// What a section is under; nothing where that is the 0 of gauge pressures, or is not said.
    fn pressure_at(&self, section: &Section) -> Option<Id> {
        match section.pressure {
            Pressure::Of(pressure) => Some(pressure),
            Pressure::Open => self.medium.surroundings,
            Pressure::Unsaid if section.is_under_air() => self.medium.surroundings,
            Pressure::Unsaid => None,
        }
    }

    /// How fast it flows at a section; nothing where that is neither said nor made of flow and area.
    fn speed_of_head(&self, at: usize, section: &Section) -> Result<Option<Sum>, Lack> {
        if section.station == Some(Station::Surface) {
            return Ok(None);
        }
        if let Some(said) = self.said_speed(section) {
            return Ok(Some(said));
        }
        let Some(area) = self.area(at)? else {
            return Ok(None);
        };
        // What flows through one flows through all.
        let own = section.rate;
        let any = || self.sections.iter().find_map(|it| it.rate);
        let flow = match own.or_else(any) {
            Some(Rate::Volume(flow)) => Sum::quantity(flow),
            Some(Rate::Mass(flow)) => {
                let density = product(vec![Factor::Of(self.density(at)?)], Ratio::from(1));
                Sum::quantity(flow).over(&density)
            }
            None => return Ok(None),
        };
        Ok(Some(flow.over(&area)))
    }

    /// Whether a balance of heads between two sections makes pressures gauge: one of them has that 0.
    pub fn heads_are_gauge(&self, ends: [usize; 2]) -> bool {
        let is_zero = |at: usize| {
            let section = self.sections.get(at);
            section.is_some_and(|it| match it.pressure {
                Pressure::Open => true,
                Pressure::Of(_) => false,
                Pressure::Unsaid => it.is_under_air(),
            })
        };
        self.medium.surroundings.is_none() && ends.into_iter().any(is_zero)
    }
}

impl Section {
    /// Whether a free surface lies over it.
    fn is_under_air(&self) -> bool {
        self.station == Some(Station::Surface) || matches!(self.opening, Some(Opening::Depth(..)))
    }
}
