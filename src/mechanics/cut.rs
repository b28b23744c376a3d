//! A straight member that is cut square to it: what acts between its first place and the cut.
//!
//! The cut is at a distance from the first place, which is one more quantity of the caller. What
//! acts is told for a cut within its length and for one behind it, so that which of both holds is
//! left to the data. V counts to the left of the way from first to last place, M where the hollow
//! side lies there, N in tension: M changes along the member at the rate V.

use num_rational::Ratio;

use super::Id;
use super::action::{Action, Load};
use super::balance::{Body, Of, Side, Term};
use super::direction::{Direction, Turn};
use super::place::Way;
use super::sum::Sum;
use super::water;

/// What holds both sides of a cut together.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Inner {
    /// Along the member.
    Axial,
    /// Square to it.
    Shear,
    /// The bending moment.
    Moment,
}

impl Inner {
    /// In the order of `Acting`.
    pub const ALL: [Self; 3] = [Self::Axial, Self::Shear, Self::Moment];
}

/// Why something is no straight member.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Crooked {
    /// There is no member.
    None,
    /// Its members are no single chain.
    Parted,
    /// This place is not on the line from first to last place.
    Bent(usize),
}

/// Why a member cannot be cut.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Uncut {
    /// Where this action acts is not said.
    Nowhere(usize),
    /// This action acts at a place that is not on the member.
    Off(usize, usize),
    /// This says that it accelerates, and where its mass lies is not said.
    Accelerates(usize),
}

/// A straight member.
#[derive(Debug, Clone, PartialEq)]
pub struct Member {
    /// The numbers of its first and last place.
    pub ends: [usize; 2],
    /// Where it goes from its first place.
    pub along: Direction,
    /// Of each place of the body: how far it is from the first, where it is on the line.
    pub at: Vec<Option<Sum>>,
    /// The places that its parts go through, in order.
    pub chain: Vec<usize>,
}

/// What acts on a member, in the order of [`Inner::ALL`].
#[derive(Debug, Clone, PartialEq)]
pub struct Acting {
    /// The number of the action.
    pub of: usize,
    /// The numbers of the places from which and to which it acts, which may be one.
    pub places: [usize; 2],
    /// What it counts at a cut between them.
    pub within: [Vec<Term>; 3],
    /// What it counts at a cut behind them.
    pub behind: [Vec<Term>; 3],
}

impl Member {
    /// The chain of these parts as one member; whether a sum is nothing is asked where the forms of
    /// ways do not tell.
    ///
    /// # Errors
    ///
    /// [`Crooked`], where it is not straight.
    pub fn new(
        body: &Body,
        parts: &[[usize; 2]],
        is_nothing: &dyn Fn(&Sum) -> bool,
    ) -> Result<Self, Crooked> {
        let chain = chain(parts)?;
        let (Some(first), Some(last)) = (chain.first(), chain.last()) else {
            return Err(Crooked::None);
        };
        let way = |to: usize| match (body.places.get(*first), body.places.get(to)) {
            (Some(from), Some(to)) => from.to(to),
            _ => Way::default(),
        };
        let whole = way(*last);
        if whole.is_nothing() {
            return Err(Crooked::Parted);
        }
        let along = (whole.course()).unwrap_or_else(|| Direction::along(whole.clone()));
        let far = |to: usize| way(to).far_along(&along, &whole, is_nothing);
        let at: Vec<Option<Sum>> = (0..body.places.len()).map(far).collect();
        match chain.iter().find(|place| at[**place].is_none()) {
            Some(bent) => Err(Crooked::Bent(*bent)),
            None => Ok(Self {
                ends: [*first, *last],
                along,
                at,
                chain,
            }),
        }
    }

    /// How far a place is from the first.
    pub fn far(&self, place: usize) -> Option<&Sum> {
        self.at.get(place)?.as_ref()
    }

    /// All that acts, in the order of the actions, with the cut at the distance `x`; where couples
    /// act is told.
    ///
    /// # Errors
    ///
    /// [`Uncut`], where that is not known, or not on it.
    pub fn cut(
        &self,
        body: &Body,
        x: Id,
        couple_at: &dyn Fn(usize) -> Option<usize>,
    ) -> Result<Vec<Acting>, Uncut> {
        let mut found = Vec::with_capacity(body.actions.len());
        for (of, action) in body.actions.iter().enumerate() {
            let cut = Cut {
                member: self,
                body,
                x,
                of,
            };
            found.extend(cut.acting(action, couple_at)?);
        }
        Ok(found)
    }
}

/// The places of parts that hang together, from end to end; the first part is gone as it is told.
fn chain(parts: &[[usize; 2]]) -> Result<Vec<usize>, Crooked> {
    let (first, others) = parts.split_first().ok_or(Crooked::None)?;
    let mut chain = first.to_vec();
    let mut left = others.to_vec();
    let other = |part: &[usize; 2], end: usize| match part {
        [one, two] if *one == end => Some(*two),
        [one, two] if *two == end => Some(*one),
        _ => None,
    };
    while !left.is_empty() {
        let (front, back) = (chain[0], chain[chain.len() - 1]);
        let next = left.iter().enumerate().find_map(|(at, part)| {
            let ends = [(other(part, back), false), (other(part, front), true)];
            let found = ends
                .into_iter()
                .find_map(|(end, before)| Some((end?, before)));
            found.map(|(end, before)| (at, end, before))
        });
        let (at, end, before) = next.ok_or(Crooked::Parted)?;
        left.remove(at);
        if chain.contains(&end) {
            return Err(Crooked::Parted);
        }
        let place = if before { 0 } else { chain.len() };
        chain.insert(place, end);
    }
    match chain.as_slice() {
        [one, two] if one == two => Err(Crooked::Parted),
        _ => Ok(chain),
    }
}

/// One action at a cut.
struct Cut<'a> {
    member: &'a Member,
    body: &'a Body,
    x: Id,
    of: usize,
}

/// Magnitudes, and by what they count.
type Part = (Vec<Id>, Sum);

/// What is spread over a part of a member.
struct Spread {
    /// From where it begins to the cut, and over all of it.
    cut: Sum,
    length: Sum,
    /// How far the cut is behind its beginning and its end.
    behind: [Sum; 2],
    /// Of one for each length of the member: along it, and to its left.
    unit: [Sum; 2],
}

impl Cut<'_> {
    fn acting(
        &self,
        action: &Action,
        couple_at: &dyn Fn(usize) -> Option<usize>,
    ) -> Result<Option<Acting>, Uncut> {
        Ok(match action {
            Action::Force {
                magnitude,
                direction,
                at,
            } => {
                let at = at.ok_or(Uncut::Nowhere(self.of))?;
                let [along, left] = self.parts_of(direction);
                let arm = self.x().plus(self.far(at)?.reversed()).into_one();
                let counted = [along.reversed(), left.clone(), left.times(&arm)];
                Some(self.at(at, counted.map(|by| vec![(vec![*magnitude], by)])))
            }
            Action::Couple { magnitude, turn } => {
                let at = couple_at(self.of).ok_or(Uncut::Nowhere(self.of))?;
                self.far(at)?;
                // What turns clockwise bends what is behind it to the hollow side on the left.
                let by = Sum::number(match turn {
                    Turn::Clockwise => 1,
                    Turn::Anticlockwise => -1,
                });
                let moment = vec![(vec![*magnitude], by)];
                Some(self.at(at, [Vec::new(), Vec::new(), moment]))
            }
            Action::Load { ends, lies, places } => {
                let one = Sum::number(1);
                let ends = ends.map(|end| end.map(|id| (vec![id], one.clone())));
                self.spread(ends, lies, *places)?
            }
            Action::Water(on) => {
                let one = || Sum::number(1);
                let depths = water::depths(self.body, action).unwrap_or_else(|| [one(), one()]);
                let ends = depths.map(|depth| Some((on.magnitudes.clone(), depth.into_one())));
                self.spread(ends, &on.lies(), on.places)?
            }
            Action::Accelerates { .. } | Action::Turns { .. } => {
                return Err(Uncut::Accelerates(self.of));
            }
        })
    }

    fn x(&self) -> Sum {
        Sum::quantity(self.x)
    }

    fn far(&self, place: usize) -> Result<Sum, Uncut> {
        let far = self.member.far(place).cloned();
        far.ok_or(Uncut::Off(self.of, place))
    }

    /// The components of a direction along the member and to its left.
    fn parts_of(&self, direction: &Direction) -> [Sum; 2] {
        let along = &self.member.along;
        [along.clone(), along.clone().quarter()].map(|axis| direction.component(&axis))
    }

    /// What acts at one place.
    fn at(&self, place: usize, behind: [Vec<Part>; 3]) -> Acting {
        Acting {
            of: self.of,
            places: [place, place],
            within: [Vec::new(), Vec::new(), Vec::new()],
            behind: behind.map(|parts| self.terms(parts)),
        }
    }

    fn terms(&self, parts: Vec<Part>) -> Vec<Term> {
        let parts = parts.into_iter().filter(|(_, by)| !by.is_zero());
        parts
            .map(|(magnitudes, by)| Term {
                of: Of::Action(self.of),
                side: Side::Left,
                flow: None,
                magnitudes,
                by,
            })
            .collect()
    }

    /// What changes evenly from place to place; nothing where those are one.
    fn spread(
        &self,
        mut ends: [Option<Part>; 2],
        lies: &Load,
        mut places: [usize; 2],
    ) -> Result<Option<Acting>, Uncut> {
        let unit = self.unit(lies);
        let [mut from, mut to] = [self.far(places[0])?, self.far(places[1])?];
        let mut length = to.clone().plus(from.clone().reversed());
        let goes_back = length.0.iter().all(|it| it.number < Ratio::from(0));
        let mut unit = unit;
        if goes_back {
            ends.swap(0, 1);
            places.swap(0, 1);
            std::mem::swap(&mut from, &mut to);
            length = length.reversed();
            // The other side of its way is that of the member.
            if matches!(lies, Load::Square { .. }) {
                unit = unit.map(Sum::reversed);
            }
        }
        if length.is_zero() {
            return Ok(None);
        }
        let x = self.x();
        let spread = Spread {
            cut: x.clone().plus(from.clone().reversed()).into_one(),
            length: length.into_one(),
            behind: [from, to],
            unit,
        };
        let is_even = ends[0].is_some() && ends[0] == ends[1];
        let [first, last] = ends;
        let shares: Vec<(Option<Part>, Share)> = match is_even {
            true => vec![(first, Share::Even)],
            false => vec![(first, Share::Falling), (last, Share::Rising)],
        };
        let mut within = [Vec::new(), Vec::new(), Vec::new()];
        let mut behind = [Vec::new(), Vec::new(), Vec::new()];
        for (end, share) in shares {
            let Some((magnitudes, size)) = end else {
                continue;
            };
            let inside = spread.within(share).into_iter();
            let parts = inside.map(|by| (true, by));
            for (is_within, by) in parts.chain([(false, spread.behind(share, &x))]) {
                let all = if is_within { &mut within } else { &mut behind };
                let [along, left] = &spread.unit;
                let [force, moment] = by.map(|by| size.times(&by));
                let counted = [
                    along.times(&force).reversed(),
                    left.times(&force),
                    left.times(&moment),
                ];
                for (own, by) in all.iter_mut().zip(counted) {
                    own.push((magnitudes.clone(), by));
                }
            }
        }
        Ok(Some(Acting {
            of: self.of,
            places,
            within: within.map(|parts| self.terms(parts)),
            behind: behind.map(|parts| self.terms(parts)),
        }))
    }

    /// What one of a load is for each length of the member: along it, and to its left.
    fn unit(&self, lies: &Load) -> [Sum; 2] {
        match lies {
            Load::PerLength(direction) => self.parts_of(direction),
            Load::PerLevelLength(direction) => {
                let [level, _] = self.member.along.on_the_page();
                let level = level.without_sign();
                self.parts_of(direction).map(|part| part.times(&level))
            }
            Load::Square { from_the_left, .. } => {
                let left = Sum::number(if *from_the_left { -1 } else { 1 });
                [Sum::default(), left]
            }
        }
    }
}

/// What part of a load that changes evenly belongs to the size at one of its ends.
#[derive(Clone, Copy)]
enum Share {
    /// All of it: it is the same at both.
    Even,
    /// It falls to nothing at the last.
    Falling,
    /// It rises from nothing at the first.
    Rising,
}

impl Spread {
    /// Force and moment of one at a cut within it: of ξ behind its beginning they are ξ and ξ²/2
    /// where it is even, ξ²/(2ℓ) and ξ³/(6ℓ) where it rises; what falls is an even one less that.
    fn within(&self, share: Share) -> Vec<[Sum; 2]> {
        let square = self.cut.times(&self.cut);
        let even = [self.cut.clone(), half(square.clone())];
        let over = |sum: Sum| match self.length.0.as_slice() {
            [only] => sum.over(only),
            _ => sum,
        };
        let rising = || {
            let cube = square.times(&self.cut);
            [
                over(half(square.clone())),
                over(cube.scaled(Ratio::new(1, 6))),
            ]
        };
        match share {
            Share::Even => vec![even],
            Share::Rising => vec![rising()],
            Share::Falling => vec![even, rising().map(Sum::reversed)],
        }
    }

    /// The same behind it: its resultant, and that times the arm to its centre, which is in its
    /// middle, or a third from the end where it is largest.
    fn behind(&self, share: Share, x: &Sum) -> [Sum; 2] {
        let [from, to] = &self.behind;
        let (resultant, parts) = match share {
            Share::Even => (self.length.clone(), [Ratio::new(1, 2), Ratio::new(1, 2)]),
            Share::Falling => (
                half(self.length.clone()),
                [Ratio::new(2, 3), Ratio::new(1, 3)],
            ),
            Share::Rising => (
                half(self.length.clone()),
                [Ratio::new(1, 3), Ratio::new(2, 3)],
            ),
        };
        let centre = (from.clone().scaled(parts[0])).plus(to.clone().scaled(parts[1]));
        let arm = x.clone().plus(centre.reversed()).into_one();
        [resultant.clone(), resultant.times(&arm)]
    }
}

fn half(sum: Sum) -> Sum {
    sum.scaled(Ratio::new(1, 2))
}

impl Acting {
    /// What it counts at a cut, with the values of the caller's quantities.
    pub fn value(&self, inner: Inner, is_within: bool, value: &dyn Fn(Id) -> f64) -> f64 {
        let all = if is_within {
            &self.within
        } else {
            &self.behind
        };
        let terms = all[inner as usize].iter();
        let one = |term: &Term| {
            let magnitudes: f64 = term.magnitudes.iter().map(|id| value(*id)).product();
            magnitudes * term.by.value(value)
        };
        terms.map(one).sum()
    }
}
