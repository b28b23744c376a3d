//! Balances of what flows: mass, volume, and a substance in it. What comes in stands on the left.

use num_rational::Ratio;

use super::Id;
use super::balance::{Balance, Hindrance, Lack, Of, Side, Term, Wanted};
use super::sum::{Factor, Product, Sum};
use super::volume::{Amount, Gathered, Part, Rate, Section, Volume};

/// The terms of a balance of mass, volume or content.
pub(super) fn mass(volume: &Volume, balance: Balance) -> Result<Vec<Term>, Lack> {
    let gathers = (volume.gathered.iter()).any(|it| matches!(it, Gathered::Mass(_)));
    if balance == Balance::Content && gathers {
        return Err(Lack::None(Hindrance::MassGathers));
    }
    let density = match balance {
        Balance::Volume => volume.one_density()?,
        _ => None,
    };
    let mut terms = Vec::new();
    for part in &volume.order {
        match part {
            Part::Section(at) => {
                if let Some(section) = volume.sections.get(*at) {
                    terms.extend(volume.through(*at, section, balance, density)?);
                }
            }
            Part::Gathered(at) => terms.extend(volume.mass_gathered(*at, balance, density)?),
            Part::Action(_) | Part::Exchange(_) | Part::Device(_) => {}
        }
    }
    // What gathers stands behind all that leaves.
    terms.sort_by_key(|term| matches!(term.of, Of::Gathered(_)));
    Ok(terms)
}

impl Volume {
    /// The density that all sections have; none where none is needed.
    fn one_density(&self) -> Result<Option<Id>, Lack> {
        let of = |section: &Section| section.density.or(self.medium.density);
        let Some(first) = self.sections.first() else {
            return Ok(None);
        };
        let density = of(first);
        match self.sections.iter().position(|it| of(it) != density) {
            Some(other) => Err(Lack::Section(other, Wanted::OneDensity)),
            None => Ok(density),
        }
    }

    fn through(
        &self,
        at: usize,
        section: &Section,
        balance: Balance,
        density: Option<Id>,
    ) -> Result<Option<Term>, Lack> {
        let side = if section.is_inlet {
            Side::Left
        } else {
            Side::Right
        };
        let lack = Lack::Section(at, Wanted::Flow);
        let (by, of) = match balance {
            Balance::Volume => (self.volume_flow(at, section, density)?, Of::Flow(at)),
            // With the flow that the others leave, the balance of mass says nothing.
            Balance::Content => (self.flow(at)?, Of::Content(at)),
            _ => (self.said_flow(at)?.ok_or(lack)?, Of::Flow(at)),
        };
        let by = match (balance, section.content) {
            (Balance::Content, None) => return Err(Lack::Section(at, Wanted::Content)),
            (Balance::Content, Some(Amount::Zero)) => return Ok(None),
            (Balance::Content, Some(Amount::Of(content))) => {
                by.into_one().times(&Sum::quantity(content))
            }
            _ => by,
        };
        Ok(Some(Term {
            of,
            side,
            flow: None,
            magnitudes: Vec::new(),
            by,
        }))
    }

    fn volume_flow(&self, at: usize, section: &Section, density: Option<Id>) -> Result<Sum, Lack> {
        if let Some(Rate::Volume(flow)) = section.rate {
            return Ok(Sum::quantity(flow));
        }
        if section.rate.is_none()
            && let (Some(speed), Some(area)) = (self.said_speed(section), self.area(at)?)
        {
            return Ok(Sum(vec![area]).times(&speed));
        }
        let flow = self.said_flow(at)?;
        let flow = flow.ok_or(Lack::Section(at, Wanted::Flow))?;
        Ok(flow.over(&one(density.ok_or(Lack::Section(at, Wanted::Density))?)))
    }

    fn mass_gathered(
        &self,
        at: usize,
        balance: Balance,
        density: Option<Id>,
    ) -> Result<Option<Term>, Lack> {
        let Some(Gathered::Mass(mass)) = self.gathered.get(at) else {
            return Ok(None);
        };
        let by = Sum::quantity(*mass);
        let by = match balance {
            Balance::Volume => by.over(&one(density.ok_or(Lack::Section(0, Wanted::Density))?)),
            _ => by,
        };
        Ok(Some(Term {
            of: Of::Gathered(at),
            side: Side::Right,
            flow: None,
            magnitudes: Vec::new(),
            by,
        }))
    }
}

fn one(id: Id) -> Product {
    Product {
        number: Ratio::from(1),
        factors: vec![Factor::Of(id)],
    }
}
