//! Fluids at rest on lines of a body: pressures that grow with depth.

use num_rational::Ratio;

use super::action::{Action, Load, Water};
use super::balance::{Balance, Body, Looked, Of, Parts, Side, Term, spread};
use super::place::Place;
use super::sum::Sum;

/// A form in which people write what a fluid does to a line.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Mistaken {
    /// With the pressure at one end on the whole line; the number of its place.
    AsAtOneEnd(usize),
    /// With depths that count from the upper end and not from the surface; the number of its place.
    FromItsEnd(usize),
    /// With a resultant that passes through the middle of the line.
    ThroughTheMiddle,
    /// Without a factor; its place among the magnitudes.
    Without(usize),
}

impl Water {
    /// How it lies on its line.
    pub(super) fn lies(&self) -> Load {
        Load::Square {
            from_the_left: self.from_the_left,
            side: self.side.clone(),
        }
    }
}

/// How deep under its surface the ends of the line of a fluid lie; nothing for what does not grow
/// with depth, and for other actions.
pub fn depths(body: &Body, action: &Action) -> Option<[Sum; 2]> {
    let Action::Water(water) = action else {
        return None;
    };
    let surface = water.surface.as_ref()?;
    let level = body.places.get(surface.place)?;
    let [first, last] = water.places.map(|at| body.places.get(at));
    Some([first?, last?].map(|end| depth(end, level, surface.height.map(Sum::quantity))))
}

fn depth(end: &Place, level: &Place, height: Option<Sum>) -> Sum {
    let [_, up] = end.to(level).on_the_page();
    height.unwrap_or_default().plus(up)
}

impl Looked<'_> {
    /// The depths of both ends, d₁ and d₂, count as a load that changes evenly: half their sum, and
    /// a sixth and a third along the way.
    pub(super) fn water(&self, water: &Water) -> Parts {
        let whole = Sum::number(1);
        let ends = match depths(self.body, &Action::Water(water.clone())) {
            Some(ends) => ends,
            None => [whole.clone(), whole],
        };
        self.on_line(water, &ends, None)
    }

    /// The same with these pressures at the ends; the whole of it at a share of the way, where one
    /// is said.
    fn on_line(&self, water: &Water, ends: &[Sum; 2], at: Option<Ratio<i64>>) -> Parts {
        let [Some(first), Some(last)] = water.places.map(|at| self.body.places.get(at)) else {
            return Parts::new();
        };
        let way = first.to(last);
        let unit = spread(&way, &water.lies());
        let [one, two] = ends;
        let part = |share: Ratio<i64>, end: &Sum| end.clone().scaled(share);
        let whole = part(Ratio::new(1, 2), one).plus(part(Ratio::new(1, 2), two));
        let along = match at {
            Some(share) => part(share, &whole),
            None => part(Ratio::new(1, 6), one).plus(part(Ratio::new(1, 3), two)),
        };
        let by = self.spread((first, &way), &unit, [&whole, &along]);
        vec![(Side::Left, water.magnitudes.clone(), by)]
    }
}

/// The forms in which people write a term of a fluid on a line, other than it is.
pub fn mistaken(body: &Body, balance: Balance, term: &Term) -> Vec<(Mistaken, Term)> {
    let Of::Action(action) = term.of else {
        return Vec::new();
    };
    let Some(Action::Water(water)) = body.actions.get(action) else {
        return Vec::new();
    };
    let mut found = Vec::new();
    let looked = Looked { body, balance };
    let mut add = |mistaken, parts: Parts| {
        let terms = parts.into_iter().map(|(side, magnitudes, by)| Term {
            of: term.of,
            side,
            flow: None,
            magnitudes,
            by,
        });
        let others = terms.filter(|other| !other.by.is_zero() && other != term);
        found.extend(others.map(|other| (mistaken, other)));
    };
    let whole = Sum::number(1);
    let ends = depths(body, &Action::Water(water.clone()));
    if let Some([one, two]) = &ends {
        for (at, end) in [one, two].into_iter().enumerate() {
            let even = [end.clone(), end.clone()];
            add(
                Mistaken::AsAtOneEnd(water.places[at]),
                looked.on_line(water, &even, None),
            );
            let own = [one, two].map(|it| it.clone().plus(end.clone().reversed()));
            add(
                Mistaken::FromItsEnd(water.places[at]),
                looked.on_line(water, &own, None),
            );
        }
    }
    if matches!(balance, Balance::Moments(_)) {
        let ends = ends.unwrap_or_else(|| [whole.clone(), whole]);
        let half = Some(Ratio::new(1, 2));
        add(
            Mistaken::ThroughTheMiddle,
            looked.on_line(water, &ends, half),
        );
    }
    for at in 0..term.magnitudes.len() {
        let mut without = term.clone();
        without.magnitudes.remove(at);
        found.push((Mistaken::Without(at), without));
    }
    found
}
