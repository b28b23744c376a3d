//! The balances of a body: forces along an axis, moments about a place.

use num_rational::Ratio;

use super::Id;
use super::action::{Action, Load};
use super::direction::{Direction, Turn};
use super::place::{Place, Way, cross};
use super::sum::Sum;

/// The axes of a body, and how its moments count.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Frame {
    /// Where x points.
    pub x: Direction,
    /// Where y points.
    pub y: Direction,
    /// The turning that counts plus.
    pub turn: Turn,
    /// Of what has a direction this component of the page alone counts, where one is asked.
    pub only: Option<Axis>,
}

/// A body, or a particle where nothing has a place.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Body {
    /// Its axes.
    pub frame: Frame,
    /// Its places.
    pub places: Vec<Place>,
    /// What acts on it.
    pub actions: Vec<Action>,
}

/// An axis of the frame.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Axis {
    /// The first.
    X,
    /// The second.
    Y,
}

/// Which balance.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Balance {
    /// Of forces along an axis.
    Forces(Axis),
    /// Of moments about the place of this number.
    Moments(usize),
    /// Of mass.
    Mass,
    /// Of volume.
    Volume,
    /// Of a substance.
    Content,
    /// Of energy.
    Energy,
    /// Of pressure along a fluid at rest.
    Pressure,
    /// Of heads from one section to another, by their numbers.
    Heads([usize; 2]),
}

/// The side of a balance.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Side {
    /// What acts.
    Left,
    /// What comes of it.
    Right,
}

/// A term of a balance: magnitudes times a sum, which is never zero.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Term {
    /// What it is of.
    pub of: Of,
    /// Where it stands.
    pub side: Side,
    /// The mass flow that carries it, which may be told before a bracket of all that it carries.
    pub flow: Option<Sum>,
    /// What is multiplied.
    pub magnitudes: Vec<Id>,
    /// By what: a component, an arm, a length, a speed.
    pub by: Sum,
}

/// What a term is of, by the number that it has in the sketch.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Of {
    /// What acts.
    Action(usize),
    /// The pressure on a section.
    Pressure(usize),
    /// What flows through a section.
    Flow(usize),
    /// The momentum that goes with that.
    Momentum(usize),
    /// The substance that goes with it.
    Content(usize),
    /// The enthalpy that goes with it, or what heat makes of it.
    Heat(usize),
    /// The work of pressure that goes with it.
    FlowWork(usize),
    /// The energy of its speed.
    Speed(usize),
    /// The energy of its height.
    Height(usize),
    /// What gathers inside.
    Gathered(usize),
    /// Heat or power.
    Rate(usize),
    /// The pressure at an end of columns.
    End(usize),
    /// A column.
    Column(usize),
    /// The pressure at a section, as a head.
    PressureHead(usize),
    /// Its speed, as a head.
    SpeedHead(usize),
    /// Its height.
    Level(usize),
    /// Its depth, over its bed.
    DepthHead(usize),
    /// A pump, a turbine or a loss.
    Device(usize),
}

/// What a balance needs and has not.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Lack {
    /// This action has no place, and moments are asked.
    Place(usize),
    /// A section wants something.
    Section(usize, Wanted),
    /// The balance is none that such a control volume has.
    None(Hindrance),
}

/// What a section has not.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Wanted {
    /// A place.
    Place,
    /// A flow, or what it comes from.
    Flow,
    /// A speed, or what it comes from.
    Speed,
    /// An area, where it has a pressure.
    Area,
    /// A width, where it has a depth.
    Width,
    /// A density.
    Density,
    /// The density that all others have.
    OneDensity,
    /// The density that the other end has.
    SameDensity,
    /// How strong gravity is.
    Gravity,
    /// The heat capacity of what has a temperature.
    HeatCapacity,
    /// Whether what has a pressure is a liquid or a gas.
    Substance,
    /// A temperature, where others have one.
    Temperature,
    /// An enthalpy, where others have one.
    Enthalpy,
    /// How much of the substance is in it.
    Content,
}

/// Why there is no such balance.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Hindrance {
    /// It turns, so that what is inside changes its direction all the time.
    Turns,
    /// It turns about another place.
    TurnsElsewhere,
    /// Momentum gathers, and where is not said.
    MomentumGathers,
    /// Mass gathers, and what is in it is not said.
    MassGathers,
    /// Mass gathers, and how much energy with it is not said.
    EnergyGathers,
    /// It accelerates, so that energy hangs on who sees it.
    Accelerates,
    /// It moves, so that power hangs on who sees it.
    PowerMoves,
    /// It has a wheel and accelerates, and whether the wheel turns is not said.
    Wheel,
    /// Nothing flows through a body.
    NoFlow,
    /// It has no columns.
    NoColumns,
    /// It is at rest: pressure alone is balanced.
    AtRest,
    /// It is told by stations, and not by cuts.
    Stations,
    /// It moves, or something gathers in it, and heads are those of a steady stream.
    HeadsMove,
    /// More than one stream comes in or goes out.
    SeveralWays,
}

/// The terms of a balance of a body, in the order of the actions; what has no part in it is left
/// out.
///
/// # Errors
///
/// [`Lack`] where moments are asked and something that has one acts nowhere.
pub fn balance(body: &Body, balance: Balance) -> Result<Vec<Term>, Lack> {
    if !matches!(balance, Balance::Forces(_) | Balance::Moments(_)) {
        return Err(Lack::None(Hindrance::NoFlow));
    }
    let mut terms = Vec::with_capacity(body.actions.len());
    for of in 0..body.actions.len() {
        terms.extend(of_action(body, balance, of)?);
    }
    Ok(terms)
}

/// The terms of one action.
pub(super) fn of_action(body: &Body, balance: Balance, of: usize) -> Result<Vec<Term>, Lack> {
    let looked = Looked { body, balance };
    let Some(action) = body.actions.get(of) else {
        return Ok(Vec::new());
    };
    let parts = looked.parts(of, action)?;
    let terms = parts.into_iter().filter(|(.., by)| !by.is_zero());
    let term = |(side, magnitudes, by)| Term {
        of: Of::Action(of),
        side,
        flow: None,
        magnitudes,
        by,
    };
    Ok(terms.map(term).collect())
}

/// A body as one balance sees it.
pub(super) struct Looked<'a> {
    pub body: &'a Body,
    pub balance: Balance,
}

pub(super) type Parts = Vec<(Side, Vec<Id>, Sum)>;

impl Looked<'_> {
    fn parts(&self, of: usize, action: &Action) -> Result<Parts, Lack> {
        Ok(match action {
            Action::Force {
                magnitude,
                direction,
                at,
            } => vec![(
                Side::Left,
                vec![*magnitude],
                self.one(direction, self.place(of, *at)?),
            )],
            Action::Couple { magnitude, turn } => {
                vec![(Side::Left, vec![*magnitude], self.couple(*turn))]
            }
            Action::Load { ends, lies, places } => self.load(*ends, lies, *places),
            Action::Water(water) => self.water(water),
            Action::Accelerates {
                magnitude,
                direction,
                mass,
                at,
            } => vec![(
                Side::Right,
                vec![*mass, *magnitude],
                self.one(direction, self.place(of, *at)?),
            )],
            Action::Turns {
                magnitude,
                turn,
                inertia,
            } => vec![(Side::Right, vec![*inertia, *magnitude], self.couple(*turn))],
        })
    }

    fn axis(&self, axis: Axis) -> &Direction {
        match axis {
            Axis::X => &self.body.frame.x,
            Axis::Y => &self.body.frame.y,
        }
    }

    /// What a vector of the length 1 at a place counts.
    pub fn one(&self, direction: &Direction, place: Option<&Place>) -> Sum {
        match (self.balance, place) {
            (Balance::Forces(axis), _) if self.body.frame.only.is_none() => {
                direction.component(self.axis(axis))
            }
            (Balance::Forces(axis), _) => self.along(axis, &direction.on_the_page()),
            (Balance::Moments(about), Some(place)) => {
                let way = self.from(about, place);
                self.counted(way.moment(&self.asked(&direction.on_the_page())))
            }
            _ => Sum::default(),
        }
    }

    /// What counts of components to the right and up the page.
    fn asked(&self, [right, up]: &[Sum; 2]) -> [Sum; 2] {
        match self.body.frame.only {
            None => [right.clone(), up.clone()],
            Some(Axis::X) => [right.clone(), Sum::default()],
            Some(Axis::Y) => [Sum::default(), up.clone()],
        }
    }

    /// The component along an axis of what has these to the right and up.
    fn along(&self, axis: Axis, on_the_page: &[Sum; 2]) -> Sum {
        let [right, up] = self.axis(axis).on_the_page();
        let [x, y] = self.asked(on_the_page);
        x.times(&right).plus(y.times(&up))
    }

    /// The place of an action, which moments need.
    fn place(&self, of: usize, at: Option<usize>) -> Result<Option<&Place>, Lack> {
        let place = at.and_then(|at| self.body.places.get(at));
        match (self.balance, place) {
            (Balance::Moments(_), None) => Err(Lack::Place(of)),
            _ => Ok(place),
        }
    }

    pub fn from(&self, about: usize, place: &Place) -> Way {
        let nowhere = Place::default();
        self.body.places.get(about).unwrap_or(&nowhere).to(place)
    }

    fn couple(&self, turn: Turn) -> Sum {
        if self.body.frame.only.is_some() {
            return Sum::default();
        }
        match (self.balance, turn) {
            (Balance::Moments(_), Turn::Anticlockwise) => self.counted(Sum::number(1)),
            (Balance::Moments(_), Turn::Clockwise) => self.counted(Sum::number(-1)),
            _ => Sum::default(),
        }
    }

    /// An anticlockwise moment as the frame counts it.
    fn counted(&self, moment: Sum) -> Sum {
        match self.body.frame.turn {
            Turn::Anticlockwise => moment,
            Turn::Clockwise => moment.reversed(),
        }
    }

    /// The resultant of what changes evenly from q₁ to q₂ is half their sum times the length; about
    /// the first end q₁ counts with a sixth and q₂ with a third of length and way.
    fn load(&self, ends: [Option<Id>; 2], lies: &Load, places: [usize; 2]) -> Parts {
        let [Some(first), Some(last)] = places.map(|at| self.body.places.get(at)) else {
            return Vec::new();
        };
        let way = first.to(last);
        let unit = spread(&way, lies);
        let is_even = ends[0].is_some() && ends[0] == ends[1];
        let shares: &[(Option<Id>, Ratio<i64>, Ratio<i64>)] = &match is_even {
            true => vec![(ends[0], Ratio::from(1), Ratio::new(1, 2))],
            false => vec![
                (ends[0], Ratio::new(1, 2), Ratio::new(1, 6)),
                (ends[1], Ratio::new(1, 2), Ratio::new(1, 3)),
            ],
        };
        let mut parts = Parts::new();
        for (end, whole, along) in shares {
            let Some(end) = end else {
                continue;
            };
            let [whole, along] = [whole, along].map(|share| Sum::of(*share, Vec::new()));
            let by = self.spread((first, &way), &unit, [&whole, &along]);
            parts.push((Side::Left, vec![*end], by));
        }
        parts
    }

    /// What is spread over a way counts, of which this is one over all of it: as a force its whole,
    /// and about the beginning of the way what acts along it.
    pub fn spread(
        &self,
        (first, way): (&Place, &Way),
        unit: &[Sum; 2],
        [whole, along]: [&Sum; 2],
    ) -> Sum {
        match self.balance {
            Balance::Mass
            | Balance::Volume
            | Balance::Content
            | Balance::Energy
            | Balance::Pressure
            | Balance::Heads(_) => Sum::default(),
            Balance::Forces(axis) => self.along(axis, unit).times(whole),
            Balance::Moments(about) => {
                let unit = &self.asked(unit);
                let arm = self.from(about, first).moment(unit).times(whole);
                self.counted(arm.plus(cross(&way.along(), unit).times(along)))
            }
        }
    }
}

/// What one of a load gives over its whole line, to the right and up.
pub(super) fn spread(way: &Way, lies: &Load) -> [Sum; 2] {
    let [right, up] = way.along();
    match lies {
        Load::PerLength(direction) => {
            let length = way.length();
            direction.on_the_page().map(|part| length.times(&part))
        }
        Load::PerLevelLength(direction) => {
            let level = right.without_sign().into_one();
            direction.on_the_page().map(|part| level.times(&part))
        }
        Load::Square {
            from_the_left: true,
            ..
        } => [up, right.reversed()],
        Load::Square {
            from_the_left: false,
            ..
        } => [up.reversed(), right],
    }
}

/// What was taken for positive of a load, and only the data can tell: its length, its level extent,
/// how far its line is to the side that it is pressed from. Nothing for other actions.
pub fn taken_for_positive(body: &Body, action: &Action) -> Option<Sum> {
    let (lies, places) = match action {
        Action::Load { lies, places, .. } => (lies, places),
        Action::Water(water) => (&water.lies(), &water.places),
        Action::Force { .. }
        | Action::Couple { .. }
        | Action::Accelerates { .. }
        | Action::Turns { .. } => return None,
    };
    let [first, last] = places.map(|at| body.places.get(at));
    let way = first?.to(last?);
    Some(match lies {
        Load::PerLength(_) => way.length(),
        Load::PerLevelLength(_) => {
            let [right, _] = way.along();
            right.without_sign()
        }
        Load::Square {
            from_the_left,
            side,
        } => {
            let left = way.moment(&side.on_the_page());
            match from_the_left {
                true => left,
                false => left.reversed(),
            }
        }
    })
}
