//! The balance of energy: what is brought in stands on the left, what leaves or gathers on the
//! right.

use num_rational::Ratio;

use super::action::Action;
use super::balance::{Body, Hindrance, Lack, Of, Side, Term, Wanted};
use super::sum::{Factor, Product, Sum};
use super::volume::{Amount, Gathered, Motion, Part, Pressure, Section, Volume};

/// The terms of the balance of energy.
pub(super) fn energy(body: &Body, volume: &Volume) -> Result<Vec<Term>, Lack> {
    hindered(body, volume)?;
    let mut terms = Vec::new();
    for part in &volume.order {
        match part {
            Part::Section(at) => {
                if let Some(section) = volume.sections.get(*at) {
                    terms.extend(volume.with_the_flow(*at, section)?);
                }
            }
            Part::Exchange(at) => {
                let Some(exchange) = volume.exchanges.get(*at) else {
                    continue;
                };
                terms.push(Term {
                    of: Of::Rate(*at),
                    side: if exchange.is_in {
                        Side::Left
                    } else {
                        Side::Right
                    },
                    flow: None,
                    magnitudes: vec![exchange.of],
                    by: Sum::number(1),
                });
            }
            Part::Gathered(at) => {
                if let Some(Gathered::Energy(of)) = volume.gathered.get(*at) {
                    terms.push(Term {
                        of: Of::Gathered(*at),
                        side: Side::Right,
                        flow: None,
                        magnitudes: vec![*of],
                        by: Sum::number(1),
                    });
                }
            }
            Part::Action(_) | Part::Device(_) => {}
        }
    }
    // Heat and power stand before what flows, what gathers behind it.
    terms.sort_by_key(|term| match term.of {
        Of::Rate(_) => 0,
        Of::Gathered(_) => 2,
        _ => 1,
    });
    Ok(terms)
}

fn hindered(body: &Body, volume: &Volume) -> Result<(), Lack> {
    let gathers = |is: &dyn Fn(&Gathered) -> bool| volume.gathered.iter().any(is);
    let accelerates = |action: &Action| matches!(action, Action::Accelerates { .. });
    let moves = matches!(volume.motion, Motion::Moves { .. });
    let hindrance = if body.actions.iter().any(accelerates) {
        Hindrance::Accelerates
    } else if moves && volume.exchanges.iter().any(|it| it.is_power) {
        Hindrance::PowerMoves
    } else if gathers(&|it| matches!(it, Gathered::Mass(_)))
        && !gathers(&|it| matches!(it, Gathered::Energy(_)))
    {
        Hindrance::EnergyGathers
    } else {
        return Ok(());
    };
    Err(Lack::None(hindrance))
}

impl Volume {
    /// What goes with the flow of a section.
    fn with_the_flow(&self, at: usize, section: &Section) -> Result<Vec<Term>, Lack> {
        let mut parts = Vec::new();
        parts.extend(self.heat(at, section)?.map(|by| (Of::Heat(at), by)));
        parts.extend(
            self.flow_work(at, section)?
                .map(|by| (Of::FlowWork(at), by)),
        );
        if let Some(speed) = self.said_speed(section) {
            let half = speed.times(&speed).scaled(Ratio::new(1, 2));
            parts.push((Of::Speed(at), half));
        }
        if let Some(Amount::Of(level)) = section.level {
            let gravity = self.medium.gravity;
            let gravity = gravity.ok_or(Lack::Section(at, Wanted::Gravity))?;
            let by = Sum::quantity(gravity).times(&Sum::quantity(level));
            parts.push((Of::Height(at), by));
        }
        if parts.is_empty() {
            return Ok(Vec::new());
        }
        let flow = self.flow(at)?;
        let side = if section.is_inlet {
            Side::Left
        } else {
            Side::Right
        };
        let term = |(of, by)| Term {
            of,
            side,
            flow: Some(flow.clone()),
            magnitudes: Vec::new(),
            by,
        };
        Ok(parts.into_iter().map(term).collect())
    }

    /// The enthalpy of a section, or what its temperature makes with the heat capacity.
    fn heat(&self, at: usize, section: &Section) -> Result<Option<Sum>, Lack> {
        let any = |is: &dyn Fn(&Section) -> bool| self.sections.iter().any(is);
        let has_enthalpies = any(&|it| it.enthalpy.is_some());
        let has_temperatures = any(&|it| it.temperature.is_some());
        match (section.enthalpy, section.temperature) {
            (Some(Amount::Of(enthalpy)), _) => Ok(Some(Sum::quantity(enthalpy))),
            (Some(Amount::Zero | Amount::One), _) => Ok(None),
            // Temperatures and enthalpies count from different zeros.
            (None, _) if has_enthalpies => Err(Lack::Section(at, Wanted::Enthalpy)),
            (None, Some(temperature)) => {
                let capacity = section.heat_capacity.or(self.medium.heat_capacity);
                let capacity = capacity.ok_or(Lack::Section(at, Wanted::HeatCapacity))?;
                let by = Sum::quantity(capacity).times(&Sum::quantity(temperature));
                Ok(Some(by))
            }
            (None, None) if has_temperatures => Err(Lack::Section(at, Wanted::Temperature)),
            (None, None) => Ok(None),
        }
    }

    /// The work of pressure, which an enthalpy has in it, and the heat capacity of a gas too.
    fn flow_work(&self, at: usize, section: &Section) -> Result<Option<Sum>, Lack> {
        if section.enthalpy.is_some() {
            return Ok(None);
        }
        let pressure = match (section.pressure, self.medium.surroundings) {
            (Pressure::Of(pressure), _) | (Pressure::Open, Some(pressure)) => pressure,
            (Pressure::Open, None) | (Pressure::Unsaid, _) => return Ok(None),
        };
        match self.medium.is_liquid {
            Some(true) => {
                let density = Product {
                    number: Ratio::from(1),
                    factors: vec![Factor::Of(self.density(at)?)],
                };
                Ok(Some(Sum::quantity(pressure).over(&density)))
            }
            Some(false) => Ok(None),
            None => match section.pressure {
                Pressure::Of(_) => Err(Lack::Section(at, Wanted::Substance)),
                Pressure::Open | Pressure::Unsaid => Ok(None),
            },
        }
    }
}
