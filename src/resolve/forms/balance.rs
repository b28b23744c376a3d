//! `balance y of beam`, and `by balance y of beam` behind an equation.

use std::sync::Arc;

use super::super::statement::Origin;
use super::super::{Expr, Resolver};
use super::Kind;
use super::sketch::{Sketch, Written, WrittenTerm};
use crate::diagnostic::{Code, nearest};
use crate::mechanics::{self, Action, Balance, Direction, Turn};
use crate::syntax::{self, Axis, BalanceOf, SketchKind};
use crate::text::Span;

/// A balance of a sketch, written out by the engine.
#[derive(Debug, Clone, PartialEq)]
pub struct BalanceLine {
    /// Which it is.
    pub meant: Meant,
    /// Its sides.
    pub members: Vec<Expr>,
}

/// Which balance of which sketch an equation is.
#[derive(Debug, Clone, PartialEq)]
pub struct Meant {
    /// Where that is said.
    pub span: Span,
    /// In words: `balance y of beam`.
    pub words: Box<str>,
    /// The sketch.
    pub sketch: Arc<Sketch>,
    /// The balance, derived.
    pub written: Written,
    which: Balance,
    /// The sketches above, of this problem and of the shared part.
    above: Vec<Arc<Sketch>>,
}

/// A form of a term in which people write it, other than it is.
#[derive(Debug, Clone, PartialEq)]
pub struct Mistaken {
    /// The number of the term.
    pub at: usize,
    /// The term in that form.
    pub instead: WrittenTerm,
    /// What is wrong with it, in words.
    pub words: String,
}

impl Meant {
    /// Every other balance of the sketches above that can be written, in words.
    pub fn others(&self) -> impl Iterator<Item = (Box<str>, Written)> {
        let whole = self.above.iter().filter(|sketch| !sketch.is_incomplete);
        let all = whole.flat_map(|sketch| balances_of(sketch).map(move |it| (sketch, it)));
        let others =
            all.filter(|(sketch, which)| sketch.label != self.sketch.label || *which != self.which);
        others.filter_map(|(sketch, which)| {
            let written = sketch.balance(which, self.span).ok()?;
            Some((words_of(sketch, which), written))
        })
    }

    /// The forms of its terms in which people write them, other than they are.
    pub fn mistaken(&self, text: &str) -> Vec<Mistaken> {
        let mut found = self.arms();
        found.extend(self.of_water(text));
        found
    }

    /// What a fluid does to its line, as people mistake it.
    fn of_water(&self, text: &str) -> Vec<Mistaken> {
        let body = &self.sketch.body;
        let terms = mechanics::balance(body, self.which).unwrap_or_default();
        let mut found = Vec::new();
        for (at, term) in terms.iter().enumerate() {
            let Some(Action::Water(water)) = body.actions.get(term.of) else {
                continue;
            };
            for (how, other) in mechanics::mistaken(body, self.which, term) {
                found.push(Mistaken {
                    at,
                    instead: self.sketch.written(&other, self.span),
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

    /// Each force of a balance of moments at every other place.
    fn arms(&self) -> Vec<Mistaken> {
        let mut found = Vec::new();
        if !matches!(self.which, Balance::Moments(_)) {
            return found;
        }
        let mut moved = Sketch::clone(&self.sketch);
        for (at, term) in self.written.terms.iter().enumerate() {
            for (number, place) in self.sketch.places.iter().enumerate() {
                let own = match moved.body.actions.get_mut(term.of) {
                    Some(Action::Force { at, .. }) if *at != Some(number) => at.replace(number),
                    _ => continue,
                };
                let terms = moved.balance(self.which, self.span);
                let terms = terms.map_or_else(|_| Vec::new(), |other| other.terms);
                let instead = terms.into_iter().find(|other| other.of == term.of);
                found.extend(instead.map(|instead| Mistaken {
                    at,
                    instead,
                    words: format!("its arm is that to `{}`", place.text),
                }));
                if let Some(Action::Force { at, .. }) = moved.body.actions.get_mut(term.of) {
                    *at = own;
                }
            }
        }
        found
    }

    /// What a term is of: "the force `F`".
    pub fn act(&self, term: &WrittenTerm, text: &str) -> String {
        let act = self.sketch.acts.get(term.of);
        let on_line = match self.sketch.body.actions.get(term.of) {
            Some(Action::Water(water)) => {
                let [from, to] = water.places.map(|at| self.place(at));
                format!(" on {from}{to}")
            }
            _ => String::new(),
        };
        act.map_or_else(String::new, |act| {
            format!("the {} `{}`{on_line}", act.called, act.span.of(text))
        })
    }

    /// The name of a place.
    fn place(&self, at: usize) -> &str {
        self.sketch.places.get(at).map_or("", |it| &it.text)
    }

    /// Why a term counts as it does, in words.
    pub fn reason(&self, term: &WrittenTerm) -> String {
        if let Balance::Moments(at) = self.which {
            let place = self.sketch.places.get(at).map_or("", |it| &it.text);
            return format!("the sketch has it turn about `{place}` that way");
        }
        let way = match self.sketch.body.actions.get(term.of) {
            Some(Action::Force { direction, .. } | Action::Accelerates { direction, .. }) => {
                match way_of(direction) {
                    Some(way) => return format!("the sketch draws it {way}"),
                    None => "the sketch draws it at an angle",
                }
            }
            Some(Action::Couple { turn, .. } | Action::Turns { turn, .. }) => match turn {
                Turn::Clockwise => "it turns clockwise",
                Turn::Anticlockwise => "it turns anticlockwise",
            },
            Some(Action::Load { .. }) | None => "the sketch spreads it over its line",
            Some(Action::Water(water)) => return self.pressing(water),
        };
        way.to_owned()
    }
}

impl Meant {
    /// From where a fluid presses on its line.
    fn pressing(&self, water: &mechanics::Water) -> String {
        let [from, to] = water.places.map(|at| self.place(at));
        let side = match water.side.quarters_from(&Direction::right()) {
            Some(0) => "the right",
            Some(1) => "above",
            Some(2) => "the left",
            _ => "below",
        };
        format!("it presses on {from}{to} from {side}")
    }
}

impl Resolver<'_> {
    /// `balance y of beam`
    pub(in crate::resolve) fn balance_line(
        &mut self,
        balance: &syntax::Balance,
        number: Option<usize>,
        origin: Origin,
    ) -> Option<Kind> {
        let meant = self.meant(balance)?;
        let members = meant.written.members();
        self.remember(&members, number, origin);
        self.keep(number, origin, &members);
        Some(Kind::Balance(Box::new(BalanceLine { meant, members })))
    }

    /// The balance that a line names.
    pub(in crate::resolve) fn meant(&mut self, balance: &syntax::Balance) -> Option<Meant> {
        let sketch = self.sketch_labelled(&balance.label)?;
        let which = self.which_balance(&sketch, balance)?;
        let written = match sketch.balance(which, balance.span) {
            Ok(written) => written,
            Err(lack) => {
                self.refuse_lack(&sketch, lack, balance.span);
                return None;
            }
        };
        if sketch.is_incomplete {
            // What is wrong with the sketch has been told.
            return None;
        }
        Some(Meant {
            span: balance.span,
            words: words_of(&sketch, which),
            written,
            which,
            above: self.sketches_above().cloned().collect(),
            sketch,
        })
    }

    fn which_balance(&mut self, sketch: &Sketch, balance: &syntax::Balance) -> Option<Balance> {
        match &balance.what {
            BalanceOf::Forces(Axis::X) => Some(Balance::Forces(mechanics::Axis::X)),
            BalanceOf::Forces(_) => Some(Balance::Forces(mechanics::Axis::Y)),
            BalanceOf::Moments(place) if sketch.kind == SketchKind::Particle => {
                self.refuse_sketch(
                    Code::G11,
                    place.span,
                    "a particle has no moments: all forces go through one point".to_owned(),
                    format!("`balance x of {0}` or `balance y of {0}`", sketch.label),
                );
                None
            }
            BalanceOf::Moments(place) => {
                let names = sketch.places.iter().map(|it| &*it.text);
                let found = names.clone().position(|name| *name == *place.text);
                if found.is_none() {
                    let help = match nearest(&place.text, names) {
                        Some(near) => format!("`{near}`"),
                        None => format!("`point {} = … from …` in the sketch", place.text),
                    };
                    self.refuse_sketch(
                        Code::G05,
                        place.span,
                        format!(
                            "`{}` is no place of the sketch `{}`",
                            place.text, sketch.label
                        ),
                        help,
                    );
                }
                found.map(Balance::Moments)
            }
        }
    }
}

fn balances_of(sketch: &Sketch) -> impl Iterator<Item = Balance> + use<> {
    let forces = [mechanics::Axis::X, mechanics::Axis::Y].map(Balance::Forces);
    let moments = (0..sketch.places.len()).map(Balance::Moments);
    forces.into_iter().chain(moments)
}

fn words_of(sketch: &Sketch, balance: Balance) -> Box<str> {
    let what = match balance {
        Balance::Forces(mechanics::Axis::X) => "x".to_owned(),
        Balance::Forces(mechanics::Axis::Y) => "y".to_owned(),
        Balance::Moments(at) => {
            let place = sketch.places.get(at).map_or("", |it| &it.text);
            format!("moments about {place}")
        }
    };
    format!("balance {what} of {}", sketch.label).into()
}

/// A way of the page in words.
fn way_of(direction: &Direction) -> Option<&'static str> {
    Some(match direction.quarters_from(&Direction::right())? {
        0 => "to the right",
        1 => "up",
        2 => "to the left",
        _ => "down",
    })
}
