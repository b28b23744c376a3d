//! Balances of a sketch as they come out with the usual mistakes: another arm, a speed that is seen
//! from the ground, the depth of another section.

use super::balance::Meant;
use super::sketch::{Sketch, Written, WrittenTerm};
use crate::mechanics::{
    self, Action, Balance, Motion, Of, Opening, Pressure, Product, Section, Sum, Term, Volume,
};
use crate::resolve::Expr;
use crate::text::listed;

/// A term with a usual mistake in it.
#[derive(Debug, Clone, PartialEq)]
pub struct Mistaken {
    /// The number of the term.
    pub at: usize,
    /// Of which of its components it is, where it is not of the whole term.
    pub component: Option<usize>,
    /// The term, or its component, with the mistake.
    pub instead: WrittenTerm,
    /// What the mistake is.
    pub words: String,
}

/// A whole balance with a usual mistake in it.
#[derive(Debug, Clone, PartialEq)]
pub struct Misread {
    /// The balance with the mistake.
    pub written: Written,
    /// What the mistake is, in a sentence.
    pub words: String,
    /// Whether signs alone are wrong.
    pub is_of_signs: bool,
}

/// What has no part in a balance, and is often counted.
#[derive(Debug, Clone, PartialEq)]
pub struct Nothing {
    /// What an author would write, but for the sign and for what it is multiplied with.
    pub formula: Expr,
    /// What that is.
    pub by: Multiplied,
    /// Why it is nothing.
    pub words: String,
    /// Sections to which a pressure would have to be written for it to be something.
    pub lacking: Option<String>,
}

/// What is multiplied with a formula.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Multiplied {
    /// Nothing is.
    Nothing,
    /// The pressure of the atmosphere.
    Atmosphere,
    /// Another pressure.
    Pressure,
}

impl Meant {
    /// Terms with usual mistakes.
    pub fn mistaken(&self, text: &str) -> Vec<Mistaken> {
        let mut found = self.arms();
        found.extend(self.other_depths());
        found.extend(self.seen_from_the_ground());
        found.extend(self.of_water(text));
        found.extend(self.of_columns(text));
        found
    }

    /// What a fluid does to its line, as people mistake it.
    fn of_water(&self, text: &str) -> Vec<Mistaken> {
        let body = &self.sketch.body;
        let terms = mechanics::balance(body, self.which).unwrap_or_default();
        let mut found = Vec::new();
        for (at, term) in terms.iter().enumerate() {
            let Of::Action(action) = term.of else {
                continue;
            };
            let Some(Action::Water(water)) = body.actions.get(action) else {
                continue;
            };
            for (how, other) in mechanics::mistaken(body, self.which, term) {
                found.push(Mistaken {
                    at,
                    component: None,
                    instead: self.sketch.written_term(&other, self.span),
                    words: self.mistaken_words(water, how, term, text),
                });
            }
        }
        found
    }

    fn mistaken_words(
        &self,
        water: &mechanics::Water,
        how: mechanics::Mistaken,
        term: &mechanics::Term,
        text: &str,
    ) -> String {
        let name = |at: usize| self.place(at);
        match how {
            mechanics::Mistaken::AsAtOneEnd(place) => {
                format!(
                    "the pressure at `{}` is taken for the whole line",
                    name(place)
                )
            }
            mechanics::Mistaken::FromItsEnd(place) => {
                format!("depths count from `{}`, not from the surface", name(place))
            }
            mechanics::Mistaken::ThroughTheMiddle => {
                let [from, to] = water.places.map(name);
                format!("its resultant is taken through the middle of {from}{to}")
            }
            mechanics::Mistaken::Without(at) => {
                let id = term.magnitudes.get(at);
                let expr = id.and_then(|id| self.sketch.quantities.get(*id));
                let written = expr.map_or("", |expr| expr.span.of(text));
                format!("`{written}` is not in it")
            }
        }
    }

    /// Each column with the fluid of another.
    fn of_columns(&self, text: &str) -> Vec<Mistaken> {
        let mut found = Vec::new();
        let Some(told) = &self.sketch.columns else {
            return found;
        };
        let own = told.columns.pressures();
        let mut densities: Vec<mechanics::Id> =
            told.columns.columns.iter().map(|it| it.density).collect();
        densities.dedup();
        for (at, term) in own.iter().enumerate() {
            let Of::Column(column) = term.of else {
                continue;
            };
            for other in &densities {
                let density = told.columns.columns[column].density;
                if *other == density {
                    continue;
                }
                let mut changed = told.columns.clone();
                changed.columns[column].density = *other;
                let instead = changed.pressures().into_iter().find(|it| it.of == term.of);
                found.extend(instead.map(|instead| Mistaken {
                    at,
                    component: None,
                    instead: self.sketch.written_term(&instead, self.span),
                    words: format!(
                        "`{}` is taken for `{}`",
                        self.written_as(*other, text),
                        self.written_as(density, text)
                    ),
                }));
            }
        }
        found
    }

    /// What a sketch gives where it is changed.
    fn terms_of(&self, sketch: &Sketch) -> Vec<Term> {
        sketch.terms(self.which).unwrap_or_default()
    }

    /// The term of a changed sketch in the place of one that is of the same.
    fn changed_term(&self, sketch: &Sketch, at: usize) -> Option<WrittenTerm> {
        let of = self.written.terms.get(at)?.of;
        let changed = (self.terms_of(sketch).into_iter()).find(|it| it.of == of)?;
        self.in_place(&self.terms_of(&self.sketch), at, changed)
    }

    /// A term in the place of another.
    fn in_place(&self, own: &[Term], at: usize, term: Term) -> Option<WrittenTerm> {
        let mut terms = own.to_vec();
        *terms.get_mut(at)? = term;
        self.sketch
            .written(terms, self.span)
            .terms
            .into_iter()
            .nth(at)
    }

    /// Each term by the components of its direction on the page, where it has both.
    pub fn components(&self) -> Vec<Vec<WrittenTerm>> {
        let own = self.terms_of(&self.sketch);
        let components = self.components_of(&self.sketch, &own);
        let written = |(at, parts): (usize, [Option<Term>; 2])| match parts {
            [Some(one), Some(two)] => [one, two]
                .into_iter()
                .filter_map(|part| self.in_place(&own, at, part))
                .collect(),
            _ => Vec::new(),
        };
        components.into_iter().enumerate().map(written).collect()
    }

    /// What each term is by what is to the right on the page, and by what is up.
    fn components_of(&self, sketch: &Sketch, own: &[Term]) -> Vec<[Option<Term>; 2]> {
        if !matches!(self.which, Balance::Forces(_) | Balance::Moments(_)) {
            return own.iter().map(|_| [None, None]).collect();
        }
        let seen = [mechanics::Axis::X, mechanics::Axis::Y].map(|axis| {
            let mut seen = Sketch::clone(sketch);
            seen.body.frame.only = Some(axis);
            self.terms_of(&seen)
        });
        let is_part = |of: &Term, it: &Term| it.of == of.of && it.magnitudes == of.magnitudes;
        let of = |term: &Term| {
            seen.each_ref()
                .map(|all| all.iter().find(|it| is_part(term, it)).cloned())
        };
        own.iter().map(of).collect()
    }

    /// Each force, pressure and momentum of a balance of moments at every other place.
    fn arms(&self) -> Vec<Mistaken> {
        let mut found = Vec::new();
        if !matches!(self.which, Balance::Moments(_)) {
            return found;
        }
        let terms = self.terms_of(&self.sketch);
        let components = self.components_of(&self.sketch, &terms);
        for (at, term) in self.written.terms.iter().enumerate() {
            for (number, place) in self.sketch.places.iter().enumerate() {
                let mut moved = Sketch::clone(&self.sketch);
                let flows = moved.flows.as_mut();
                let own = match term.of {
                    Of::Action(action) => match moved.body.actions.get_mut(action) {
                        Some(Action::Force { at, .. }) => at,
                        _ => continue,
                    },
                    Of::Pressure(section) | Of::Momentum(section) => {
                        match flows.and_then(|it| it.volume.sections.get_mut(section)) {
                            Some(section) => &mut section.at,
                            None => continue,
                        }
                    }
                    _ => continue,
                };
                if own.replace(number) == Some(number) {
                    continue;
                }
                let words = format!("its arm is that to `{}`", place.text);
                let mut add = |component, instead: Option<WrittenTerm>| {
                    found.extend(instead.map(|instead| Mistaken {
                        at,
                        component,
                        instead,
                        words: words.clone(),
                    }));
                };
                add(None, self.changed_term(&moved, at));
                let [Some(_), Some(_)] = &components[at] else {
                    continue;
                };
                let there = self.terms_of(&moved);
                let there = (there.iter().position(|it| it.of == term.of))
                    .and_then(|at| self.components_of(&moved, &there).into_iter().nth(at));
                for (number, part) in there.into_iter().flatten().enumerate() {
                    let instead = part.and_then(|part| self.in_place(&terms, at, part));
                    add(Some(number), instead);
                }
            }
        }
        found
    }

    /// The pressure on each depth with the depth of every other section.
    fn other_depths(&self) -> Vec<Mistaken> {
        let Some(flows) = &self.sketch.flows else {
            return Vec::new();
        };
        let mut found = Vec::new();
        for (at, term) in self.written.terms.iter().enumerate() {
            let Of::Pressure(section) = term.of else {
                continue;
            };
            for (other, there) in flows.volume.sections.iter().enumerate() {
                let Some(Opening::Depth(depth, _)) = there.opening.filter(|_| other != section)
                else {
                    continue;
                };
                let mut changed = Sketch::clone(&self.sketch);
                let own = changed
                    .flows
                    .as_mut()
                    .map(|it| &mut it.volume.sections[section]);
                if let Some(Opening::Depth(own, _)) = own.and_then(|it| it.opening.as_mut()) {
                    *own = depth;
                    found.extend(self.changed_term(&changed, at).map(|instead| Mistaken {
                        at,
                        component: None,
                        instead,
                        words: format!("it is that on the depth at {}", self.section_called(other)),
                    }));
                }
            }
        }
        found
    }

    /// The same balance as if nothing moved.
    fn on_the_ground(&self, change: impl Fn(&mut Volume)) -> Option<Vec<Term>> {
        let mut changed = Sketch::clone(&self.sketch);
        let flows = changed.flows.as_mut()?;
        if !matches!(flows.volume.motion, Motion::Moves { .. }) {
            return None;
        }
        change(&mut flows.volume);
        let terms = self.terms_of(&changed);
        (terms.len() == self.written.terms.len()).then_some(terms)
    }

    /// The momentum at each section with the speed that is seen from the ground.
    fn seen_from_the_ground(&self) -> Vec<Mistaken> {
        let ground = self.on_the_ground(|volume| volume.motion = Motion::Still);
        let Some(ground) = ground else {
            return Vec::new();
        };
        let own = self.terms_of(&self.sketch);
        let mut found = Vec::new();
        for (at, (own_term, there)) in own.iter().zip(&ground).enumerate() {
            if own_term.by == there.by {
                continue;
            }
            let mut terms = own.clone();
            terms[at].by = there.by.clone();
            let instead = self
                .sketch
                .written(terms, self.span)
                .terms
                .into_iter()
                .nth(at);
            found.extend(instead.map(|instead| Mistaken {
                at,
                component: None,
                instead,
                words: "its speed is that seen from the ground".to_owned(),
            }));
        }
        found
    }

    /// The whole balance with usual mistakes.
    pub fn misread(&self) -> Vec<Misread> {
        let mut found = self.all_momentum_turned();
        found.extend(self.without_a_factor());
        let own = self.terms_of(&self.sketch);
        let misread = |terms, words: &str| Misread {
            written: self.sketch.written(terms, self.span),
            words: words.to_owned(),
            is_of_signs: false,
        };
        let mixed = |there: &[Term], flows: bool, speeds: bool| -> Vec<Term> {
            let both = own.iter().zip(there);
            both.map(|(own, there)| Term {
                flow: if flows {
                    there.flow.clone()
                } else {
                    own.flow.clone()
                },
                by: if speeds {
                    there.by.clone()
                } else {
                    own.by.clone()
                },
                ..own.clone()
            })
            .collect()
        };
        if let Some(ground) = self.on_the_ground(|volume| volume.motion = Motion::Still) {
            found.push(misread(
                ground.clone(),
                "the speeds and the mass flow are those seen from the ground",
            ));
            found.push(misread(
                mixed(&ground, true, false),
                "the mass flow is that seen from the ground",
            ));
            found.push(misread(
                mixed(&ground, false, true),
                "the speeds are those seen from the ground",
            ));
        }
        let at_rest = self.on_the_ground(at_rest);
        found.extend(at_rest.map(|terms| {
            misread(
                terms,
                "all speeds are taken as if the control volume stood still",
            )
        }));
        let turned = self.on_the_ground(|volume| {
            if let Motion::Moves { direction, .. } = &mut volume.motion {
                *direction = direction.clone().opposite();
            }
        });
        if let Some(turned) = turned {
            found.push(misread(
                turned,
                "the speed of the control volume counts the other way in what is seen from it",
            ));
        }
        found
    }

    /// A balance of what flows with the same factor missing in each flow: speeds alone, or areas
    /// alone.
    fn without_a_factor(&self) -> Vec<Misread> {
        let flows = self.sketch.flows.as_ref();
        let of_flow = matches!(self.which, Balance::Mass | Balance::Volume);
        let Some(volume) = flows.map(|it| &it.volume).filter(|_| of_flow) else {
            return Vec::new();
        };
        let without = |factor: &dyn Fn(usize, &Section) -> Option<Product>, words: &str| {
            let terms = self.terms_of(&self.sketch).into_iter().map(|term| {
                let Of::Flow(at) = term.of else {
                    return None;
                };
                let section = volume.sections.get(at)?;
                // A flow that is one name has no factors.
                let factor = factor(at, section).filter(|_| section.rate.is_none())?;
                let by = term.by.clone().over(&factor);
                Some(Term { by, ..term })
            });
            Some(Misread {
                written: self
                    .sketch
                    .written(terms.collect::<Option<_>>()?, self.span),
                words: words.to_owned(),
                is_of_signs: false,
            })
        };
        let area = |at: usize, _: &Section| volume.area(at).ok()?;
        let speed = |_: usize, section: &Section| {
            let mut speed = volume.said_speed(section)?.into_one().0;
            speed.pop().filter(|_| speed.is_empty())
        };
        let found = [
            without(&area, "each flow is without the area that it goes through"),
            without(&speed, "each flow is without its speed"),
        ];
        found.into_iter().flatten().collect()
    }

    /// What enters less what leaves.
    fn all_momentum_turned(&self) -> Vec<Misread> {
        let is_momentum = |it: &WrittenTerm| matches!(it.of, Of::Momentum(_));
        let count = self
            .written
            .terms
            .iter()
            .filter(|it| is_momentum(it))
            .count();
        if count < 2 {
            return Vec::new();
        }
        let mut written = self.written.clone();
        for term in written.terms.iter_mut().filter(|it| is_momentum(it)) {
            term.is_negative = !term.is_negative;
        }
        vec![Misread {
            written,
            words:
                "the momentum has the wrong sign to the forces: on the right what leaves counts, \
                    and what enters is taken off"
                    .to_owned(),
            is_of_signs: true,
        }]
    }

    /// What has no part in this balance, and would have if it were not open, or not square to the
    /// axis.
    pub fn nothings(&self) -> Vec<Nothing> {
        let mut found = Vec::new();
        let formula = |sum: &Sum| self.sketch.formula(sum, self.span);
        let axis = match self.which {
            Balance::Forces(mechanics::Axis::X) => "x",
            Balance::Forces(mechanics::Axis::Y) => "y",
            _ => return found,
        };
        let has = |of: Of| self.written.terms.iter().any(|it| it.of == of);
        for (number, action) in self.sketch.body.actions.iter().enumerate() {
            if let (Action::Force { magnitude, .. }, false) = (action, has(Of::Action(number))) {
                found.push(Nothing {
                    formula: formula(&Sum::quantity(*magnitude)),
                    by: Multiplied::Nothing,
                    words: format!("it has no component along {axis}"),
                    lacking: None,
                });
            }
        }
        let Some(flows) = &self.sketch.flows else {
            return found;
        };
        let along = match self.which {
            Balance::Forces(mechanics::Axis::Y) => &self.sketch.body.frame.y,
            _ => &self.sketch.body.frame.x,
        };
        let sections = || flows.volume.sections.iter().enumerate();
        let lacks = |section: &Section| {
            let is_square = section.flow.component(along).is_zero();
            section.pressure == Pressure::Unsaid && !is_depth(section) && !is_square
        };
        let unsaid: Vec<String> = (sections().filter(|(_, it)| lacks(it)))
            .map(|(at, _)| self.section_called(at))
            .collect();
        for (at, section) in sections() {
            let called = self.section_called(at);
            let Ok(Some(area)) = flows.volume.area(at) else {
                continue;
            };
            let area = Sum(vec![area]);
            let component = section.flow.component(along);
            let square = format!("the flow at {called} has no component along {axis}");
            if component.is_zero() {
                if let Pressure::Of(pressure) = section.pressure {
                    found.push(Nothing {
                        formula: formula(&Sum::quantity(pressure).times(&area)),
                        by: Multiplied::Nothing,
                        words: square.clone(),
                        lacking: None,
                    });
                }
                continue;
            }
            let atmosphere = format!(
                "the atmosphere presses all around, also at {called}, and drops out: pressures are gauge"
            );
            let open =
                format!("{called} is open to the atmosphere, where the gauge pressure is zero");
            let [of_air, of_another] = match section.pressure {
                Pressure::Of(_) => [Some((atmosphere, None)), without_pressure(&unsaid)],
                Pressure::Open => [Some((open.clone(), None)), Some((open, None))],
                // A depth has its own.
                Pressure::Unsaid if is_depth(section) => continue,
                Pressure::Unsaid => [Some((atmosphere, None)), without_pressure(&[called])],
            };
            for area in [area.times(&component), area] {
                for (by, told) in [
                    (Multiplied::Atmosphere, &of_air),
                    (Multiplied::Pressure, &of_another),
                ] {
                    let formula = formula(&area);
                    found.extend(told.clone().map(|(words, lacking)| Nothing {
                        formula,
                        by,
                        words,
                        lacking,
                    }));
                }
            }
        }
        found
    }
}

fn is_depth(section: &Section) -> bool {
    matches!(section.opening, Some(Opening::Depth(..)))
}

/// That sections have no pressure, and which they are; nothing where there are none.
fn without_pressure(sections: &[String]) -> Option<(String, Option<String>)> {
    let have = match sections {
        [] => return None,
        [_] => "has",
        _ => "have",
    };
    let listed = listed(sections);
    let words = format!("{listed} {have} no pressure in the sketch");
    Some((words, Some(listed)))
}

/// As if nothing moved: a stream that is seen from the control volume has the speed of the one that
/// is seen from the ground.
fn at_rest(volume: &mut Volume) {
    volume.motion = Motion::Still;
    let ground = (volume.sections.iter())
        .filter_map(|it| it.speed)
        .find(|it| !it.is_relative);
    let Some(ground) = ground else {
        return;
    };
    for section in &mut volume.sections {
        if section.speed.is_some_and(|it| it.is_relative) {
            section.speed = Some(ground);
        }
    }
}
