//! `balance y of beam`, and `by balance y of beam` behind an equation.

use super::super::statement::Origin;
use super::super::{Expr, Resolver};
use super::Kind;
use super::sketch::{Sketch, Written, WrittenTerm};
use crate::diagnostic::{Code, nearest};
use crate::mechanics::{self, Action, Direction, Turn};
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
    /// The label of the sketch.
    pub label: Box<str>,
    /// The number of the sketch.
    pub of: usize,
    /// The balance, derived.
    pub written: Written,
    /// What its terms are of, by the numbers of actions.
    pub acts: Vec<Box<str>>,
    /// Why each counts as it does, in words.
    pub reasons: Vec<Box<str>>,
    /// Terms of moments with the arm to another place.
    pub arms: Vec<Arm>,
    /// Every other balance of the problem's sketches above, in words.
    pub others: Vec<(Box<str>, Written)>,
}

/// A term of moments with another arm.
#[derive(Debug, Clone, PartialEq)]
pub struct Arm {
    /// The number of the term.
    pub at: usize,
    /// The term with that arm.
    pub instead: WrittenTerm,
    /// The place.
    pub place: Box<str>,
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
        let written = match self.balance_of(&sketch, which, balance.span) {
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
        let acts = (sketch.acts.iter())
            .map(|act| format!("the {} `{}`", act.called, act.span.of(self.text)).into())
            .collect();
        Some(Meant {
            span: balance.span,
            words: words_of(&sketch, which),
            label: sketch.label.clone(),
            of: sketch.number,
            reasons: reasons(&sketch, which),
            arms: self.arms(&sketch, which, &written),
            others: self.other_balances(&sketch, which, balance.span),
            written,
            acts,
        })
    }

    fn which_balance(
        &mut self,
        sketch: &Sketch,
        balance: &syntax::Balance,
    ) -> Option<mechanics::Balance> {
        match &balance.what {
            BalanceOf::Forces(Axis::X) => Some(mechanics::Balance::Forces(mechanics::Axis::X)),
            BalanceOf::Forces(_) => Some(mechanics::Balance::Forces(mechanics::Axis::Y)),
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
                found.map(mechanics::Balance::Moments)
            }
        }
    }

    /// Each force in a balance of moments, at every other place.
    fn arms(&self, sketch: &Sketch, which: mechanics::Balance, written: &Written) -> Vec<Arm> {
        if !matches!(which, mechanics::Balance::Moments(_)) {
            return Vec::new();
        }
        let mut found = Vec::new();
        for (at, term) in written.terms.iter().enumerate() {
            for (number, place) in sketch.places.iter().enumerate() {
                let mut moved = sketch.clone();
                match moved.body.actions.get_mut(term.of) {
                    Some(Action::Force { at, .. }) if *at != Some(number) => *at = Some(number),
                    _ => continue,
                }
                let other = self.balance_of(&moved, which, written.span);
                let terms = other.map_or_else(|_| Vec::new(), |other| other.terms);
                let instead = terms.into_iter().find(|other| other.of == term.of);
                found.extend(instead.map(|instead| Arm {
                    at,
                    instead,
                    place: place.text.clone(),
                }));
            }
        }
        found
    }

    /// The other balances of this sketch and of those above, as far as they can be written.
    fn other_balances(
        &self,
        of: &Sketch,
        which: mechanics::Balance,
        span: Span,
    ) -> Vec<(Box<str>, Written)> {
        let own = |sketch: &&Sketch| sketch.problem == self.problem || sketch.problem == 0;
        let mut found = Vec::new();
        for sketch in self.sketches.iter().filter(own) {
            for balance in balances_of(sketch) {
                let is_meant = sketch.label == of.label && balance == which;
                if is_meant || sketch.is_incomplete {
                    continue;
                }
                if let Ok(written) = self.balance_of(sketch, balance, span) {
                    found.push((words_of(sketch, balance), written));
                }
            }
        }
        found
    }
}

fn balances_of(sketch: &Sketch) -> Vec<mechanics::Balance> {
    let mut found = vec![
        mechanics::Balance::Forces(mechanics::Axis::X),
        mechanics::Balance::Forces(mechanics::Axis::Y),
    ];
    found.extend((0..sketch.places.len()).map(mechanics::Balance::Moments));
    found
}

fn words_of(sketch: &Sketch, balance: mechanics::Balance) -> Box<str> {
    let what = match balance {
        mechanics::Balance::Forces(mechanics::Axis::X) => "x".to_owned(),
        mechanics::Balance::Forces(mechanics::Axis::Y) => "y".to_owned(),
        mechanics::Balance::Moments(at) => {
            let place = sketch.places.get(at).map_or("", |it| &it.text);
            format!("moments about {place}")
        }
    };
    format!("balance {what} of {}", sketch.label).into()
}

/// Why what acts counts as it does, in words.
fn reasons(sketch: &Sketch, balance: mechanics::Balance) -> Vec<Box<str>> {
    let turned = |magnitude: &str| -> Box<str> { magnitude.into() };
    let one = |action: &Action| -> Box<str> {
        if let mechanics::Balance::Moments(at) = balance {
            let place = sketch.places.get(at).map_or("", |it| &it.text);
            return format!("the sketch has it turn about `{place}` that way").into();
        }
        match action {
            Action::Force { direction, .. } | Action::Accelerates { direction, .. } => {
                match way_of(direction) {
                    Some(way) => format!("the sketch draws it {way}").into(),
                    None => turned("the sketch draws it at an angle"),
                }
            }
            Action::Couple { turn, .. } | Action::Turns { turn, .. } => turned(match turn {
                Turn::Clockwise => "it turns clockwise",
                Turn::Anticlockwise => "it turns anticlockwise",
            }),
            Action::Load { .. } => turned("the sketch spreads it over its line"),
        }
    };
    sketch.body.actions.iter().map(one).collect()
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
