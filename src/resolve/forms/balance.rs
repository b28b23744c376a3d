//! `balance y of beam`, and `by balance y of beam` behind an equation.

use std::sync::Arc;

use super::super::statement::Origin;
use super::super::{Expr, Resolver, SymbolId};
use super::Kind;
use super::sketch::{Pressures, Sketch, Written, WrittenTerm};
use crate::diagnostic::{Code, nearest};
use crate::mechanics::{self, Action, Balance, Direction, Gathered, Of, Opening, Section, Turn};
use crate::syntax::{self, Axis, BalanceOf, FlowOf, SketchKind};
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
    pub(super) which: Balance,
    /// The sketches above, of this problem and of the shared part.
    above: Vec<Arc<Sketch>>,
}

/// What flows in flows out.
#[derive(Debug, Clone, PartialEq)]
pub struct Continuity {
    /// As the balance of mass.
    pub members: Vec<Expr>,
    /// As a speed that is made of the others.
    pub speed: Option<(SymbolId, Expr)>,
}

/// Another balance of the sketches above.
#[derive(Debug, Clone, PartialEq)]
pub struct Another {
    /// In words.
    pub words: Box<str>,
    /// The balance, derived.
    pub written: Written,
    /// Whether it says what flows in and out.
    pub is_of_mass: bool,
}

impl Meant {
    /// Every other balance of the sketches above that can be written, in words.
    pub fn others(&self) -> impl Iterator<Item = Another> {
        let whole = self.above.iter().filter(|sketch| !sketch.is_incomplete);
        let all = whole.flat_map(|sketch| balances_of(sketch).map(move |it| (sketch, it)));
        let others =
            all.filter(|(sketch, which)| sketch.label != self.sketch.label || *which != self.which);
        others.filter_map(|(sketch, which)| {
            let written = sketch.balance(which, self.span).ok()?;
            Some(Another {
                words: words_of(sketch, which),
                written,
                is_of_mass: matches!(which, Balance::Mass | Balance::Volume),
            })
        })
    }

    /// That what flows into a steady control volume flows out of it, where the balance is of
    /// something that is carried.
    pub fn continuity(&self) -> Option<Continuity> {
        let volume = &self.sketch.flows.as_ref()?.volume;
        let gathers = (volume.gathered.iter()).any(|it| matches!(it, Gathered::Mass(_)));
        if gathers || matches!(self.which, Balance::Mass | Balance::Volume) {
            return None;
        }
        let written = self.sketch.balance(Balance::Mass, self.span).ok()?;
        let speed = volume.speed_of_the_others().and_then(|(speed, made)| {
            let symbol = self.sketch.quantities.get(speed)?.as_symbol()?;
            Some((symbol, self.sketch.formula(&made, self.span)))
        });
        Some(Continuity {
            members: written.members(),
            speed,
        })
    }

    /// Which balance it is.
    pub fn balance(&self) -> Balance {
        self.which
    }

    /// The pressures that it counts; none where it is no balance of forces or moments.
    pub fn pressures(&self) -> Pressures<'_> {
        match self.which {
            Balance::Forces(_) | Balance::Moments(_) => self.sketch.pressures(),
            Balance::Mass | Balance::Volume | Balance::Content | Balance::Energy => {
                Pressures::default()
            }
        }
    }

    /// What a term is of: "the force `F`", "the pressure force at outlet 2".
    pub fn act(&self, term: &WrittenTerm, text: &str) -> String {
        let flows = self.sketch.flows.as_ref();
        let named = |word: &str, span: Option<&Span>| {
            span.map_or_else(String::new, |span| format!("{word} `{}`", span.of(text)))
        };
        let at = |words: &str, section| format!("{words} at {}", self.section_called(section));
        match term.of {
            Of::Action(action) => (self.sketch.acts.get(action)).map_or_else(String::new, |act| {
                format!("the {} `{}`", act.called, act.span.of(text))
            }),
            Of::Pressure(section) => at("the pressure force", section),
            Of::Flow(section) => at("the flow", section),
            Of::Momentum(section) => at("the momentum", section),
            Of::Content(section) => at("the content of the flow", section),
            Of::Heat(section) => at("the enthalpy", section),
            Of::FlowWork(section) => at("the term p/ρ", section),
            Of::Speed(section) => at("the energy of the speed", section),
            Of::Height(section) => at("the energy of the height", section),
            Of::Gathered(number) => named(
                "what gathers,",
                flows.and_then(|it| it.gathered.get(number)),
            ),
            Of::Rate(number) => {
                let exchange = flows.and_then(|it| it.volume.exchanges.get(number));
                let word = match exchange.is_some_and(|it| it.is_power) {
                    true => "the power",
                    false => "the heat",
                };
                named(word, flows.and_then(|it| it.exchanges.get(number)))
            }
        }
    }

    /// `inlet 1`
    pub(super) fn section_called(&self, number: usize) -> String {
        let found = self.sketch.flows.as_ref().and_then(|flows| {
            let section = flows.volume.sections.get(number)?;
            Some(flows.sections.get(number)?.called(section))
        });
        found.unwrap_or_default()
    }

    pub(super) fn section(&self, number: usize) -> Option<&Section> {
        self.sketch.flows.as_ref()?.volume.sections.get(number)
    }

    /// Why a term counts as it does, in words.
    pub fn reason(&self, term: &WrittenTerm) -> String {
        match term.of {
            Of::Action(action) => self.reason_of_action(action),
            Of::Pressure(section) => self.reason_of_pressure(section),
            Of::Momentum(section)
            | Of::Flow(section)
            | Of::Content(section)
            | Of::Heat(section)
            | Of::FlowWork(section)
            | Of::Speed(section)
            | Of::Height(section) => {
                let is_inlet = self.section(section).is_some_and(|it| it.is_inlet);
                let is_momentum = matches!(term.of, Of::Momentum(_));
                let way = self.section(section).and_then(|it| way_of(&it.flow));
                let words = match (is_momentum, is_inlet) {
                    (true, true) => "what enters is taken off",
                    (true, false) => "what leaves counts",
                    (false, true) => "it enters",
                    (false, false) => "it leaves",
                };
                match (is_momentum, way) {
                    (true, Some(way)) => format!("{words}, and it goes {way}"),
                    _ => words.to_owned(),
                }
            }
            Of::Gathered(_) => "what gathers stands on the right, as what leaves".to_owned(),
            Of::Rate(number) => {
                let exchange = self.sketch.flows.as_ref();
                let exchange = exchange.and_then(|it| it.volume.exchanges.get(number));
                match exchange.is_some_and(|it| it.is_in) {
                    true => "the sketch has it come in".to_owned(),
                    false => "the sketch has it go out".to_owned(),
                }
            }
        }
    }

    /// Whether it is the force on a depth.
    pub fn is_of_a_depth(&self, term: &WrittenTerm) -> bool {
        let Of::Pressure(section) = term.of else {
            return false;
        };
        let opening = self.section(section).and_then(|it| it.opening);
        matches!(opening, Some(Opening::Depth(..)))
    }

    fn reason_of_pressure(&self, number: usize) -> String {
        let Some(section) = self.section(number) else {
            return String::new();
        };
        let (words, acts) = match section.is_inlet {
            true => ("it pushes with the flow", section.flow.clone()),
            false => (
                "it pushes against the flow",
                section.flow.clone().opposite(),
            ),
        };
        match way_of(&acts) {
            Some(way) => format!("{words}, {way}"),
            None => words.to_owned(),
        }
    }

    fn reason_of_action(&self, action: usize) -> String {
        if let Balance::Moments(at) = self.which {
            let place = self.sketch.places.get(at).map_or("", |it| &it.text);
            return format!("the sketch has it turn about `{place}` that way");
        }
        let way = match self.sketch.body.actions.get(action) {
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
        };
        way.to_owned()
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
        if sketch.is_incomplete {
            // What is wrong with the sketch has been told.
            return None;
        }
        let written = match sketch.balance(which, balance.span) {
            Ok(written) => written,
            Err(lack) => {
                self.refuse_lack(&sketch, lack, balance.span);
                return None;
            }
        };
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
            BalanceOf::Flow(of) => Some(match of {
                FlowOf::Mass => Balance::Mass,
                FlowOf::Volume => Balance::Volume,
                FlowOf::Content => Balance::Content,
                FlowOf::Energy => Balance::Energy,
            }),
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
    let flows = match sketch.flows {
        Some(_) => &[
            Balance::Mass,
            Balance::Volume,
            Balance::Content,
            Balance::Energy,
        ][..],
        None => &[],
    };
    (forces.into_iter().chain(moments)).chain(flows.iter().copied())
}

fn words_of(sketch: &Sketch, balance: Balance) -> Box<str> {
    let what = match balance {
        Balance::Forces(mechanics::Axis::X) => "x".to_owned(),
        Balance::Forces(mechanics::Axis::Y) => "y".to_owned(),
        Balance::Moments(at) => {
            let place = sketch.places.get(at).map_or("", |it| &it.text);
            format!("moments about {place}")
        }
        Balance::Mass => "mass".to_owned(),
        Balance::Volume => "volume".to_owned(),
        Balance::Content => "content".to_owned(),
        Balance::Energy => "energy".to_owned(),
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
