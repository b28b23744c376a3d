//! `balance y of beam`, and `by balance y of beam` behind an equation.

use std::sync::Arc;

use super::super::statement::Origin;
use super::super::{Expr, Resolver, SymbolId};
use super::Kind;
use super::sketch::{Counted, Sketch, Written, WrittenTerm};
use crate::diagnostic::{Code, nearest};
use crate::mechanics::{
    self, Action, Balance, Device, Direction, End, Gathered, Hindrance, Lack, Of, Opening, Section,
    Turn,
};
use crate::syntax::{self, Axis, BalanceOf, FlowOf, SketchKind, Word};
use crate::text::Span;

/// Heads between at most so many pairs of sections are looked at beside the one that is named.
const MOST_WAYS: usize = 30;

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
    /// Whether it is of forces or moments.
    pub is_of_forces: bool,
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
            // That nothing is nothing is said by every sketch.
            (!written.terms.is_empty()).then(|| Another {
                words: words_of(sketch, which),
                written,
                is_of_mass: matches!(which, Balance::Mass | Balance::Volume),
                is_of_forces: matches!(which, Balance::Forces(_) | Balance::Moments(_)),
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

    /// The quantities of the sketches above.
    pub fn quantities(&self) -> impl Iterator<Item = &Expr> {
        let own = std::iter::once(&self.sketch).chain(&self.above);
        own.flat_map(|sketch| &sketch.quantities)
    }

    /// Which balance it is.
    pub fn balance(&self) -> Balance {
        self.which
    }

    /// The pressures that it counts from the atmosphere.
    pub fn pressures(&self) -> Vec<Counted<'_>> {
        self.sketch.pressures_of(self.which)
    }

    /// What a term is of: "the force `F`", "the pressure force at outlet 2".
    pub fn act(&self, term: &WrittenTerm, text: &str) -> String {
        let flows = self.sketch.flows.as_ref();
        let named = |word: &str, span: Option<&Span>| {
            span.map_or_else(String::new, |span| format!("{word} `{}`", span.of(text)))
        };
        let at = |words: &str, section| format!("{words} at {}", self.section_called(section));
        match term.of {
            Of::Action(action) => self.acting(action, text),
            Of::End(end) => self.end_called(end, text),
            Of::Column(column) => self.column_called(column, text),
            Of::PressureHead(section) => at("the pressure head", section),
            Of::SpeedHead(section) => at("the speed head", section),
            Of::Level(section) => at("the level", section),
            Of::DepthHead(section) => at("the depth", section),
            Of::Device(number) => {
                let device = flows.and_then(|it| it.volume.devices.get(number));
                let word = match device {
                    Some((Device::Pump, _)) => "the pump",
                    Some((Device::Turbine, _)) => "the turbine",
                    Some((Device::Loss, _)) | None => "the loss",
                };
                named(word, flows.and_then(|it| it.devices.get(number)))
            }
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

    /// "the force `F`", "the water `rho` on AB"
    fn acting(&self, action: usize, text: &str) -> String {
        let on_line = match self.sketch.body.actions.get(action) {
            Some(Action::Water(water)) => {
                let [from, to] = water.places.map(|at| self.place(at));
                format!(" on {from}{to}")
            }
            _ => String::new(),
        };
        let act = self.sketch.acts.get(action);
        act.map_or_else(String::new, |act| {
            format!("the {} `{}`{on_line}", act.called, act.span.of(text))
        })
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

    /// The name of a place.
    pub(super) fn place(&self, at: usize) -> &str {
        self.sketch.places.get(at).map_or("", |it| &it.text)
    }

    /// Why a term counts as it does, in words.
    pub fn reason(&self, term: &WrittenTerm) -> String {
        match term.of {
            Of::Action(action) => self.reason_of_action(action),
            Of::Pressure(section) => self.reason_of_pressure(section),
            Of::End(0) => "the way begins with it".to_owned(),
            Of::End(_) => "the way ends with it".to_owned(),
            Of::Column(column) => self.reason_of_column(column),
            Of::PressureHead(section)
            | Of::SpeedHead(section)
            | Of::Level(section)
            | Of::DepthHead(section) => {
                let section = self.section_called(section);
                match term.is_on_the_right {
                    false => format!("the way begins at {section}"),
                    true => format!("the way ends at {section}"),
                }
            }
            Of::Device(number) => self.reason_of_device(number),
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
            Some(Action::Water(water)) => return self.pressing(water),
        };
        way.to_owned()
    }
}

impl Meant {
    /// "the pressure `p_A` at A"
    fn end_called(&self, end: usize, text: &str) -> String {
        let told = self.sketch.columns.as_ref();
        told.map_or_else(String::new, |told| {
            let name = &told.names[end].text;
            match told.columns.ends[end] {
                End::Pressure(_) => format!("the pressure `{}` at {name}", told.ends[end].of(text)),
                End::Open => format!("the pressure of the surroundings at {name}"),
            }
        })
    }

    /// "the column `h` of `rho_m`"
    fn column_called(&self, column: usize, text: &str) -> String {
        let told = self.sketch.columns.as_ref();
        let found = told.and_then(|told| {
            let length = told.told.get(column)?.span.of(text);
            let density = self.written_as(told.columns.columns.get(column)?.density, text);
            Some(format!("the column `{length}` of `{density}`"))
        });
        found.unwrap_or_default()
    }

    fn reason_of_column(&self, column: usize) -> String {
        let told = self.sketch.columns.as_ref();
        let goes_down = told
            .and_then(|told| told.columns.columns.get(column))
            .map(|it| it.goes_down());
        match goes_down {
            Some(true) => "going down adds pressure".to_owned(),
            _ => "going up takes pressure off".to_owned(),
        }
    }

    fn reason_of_device(&self, number: usize) -> String {
        let flows = self.sketch.flows.as_ref();
        let device = flows.and_then(|it| it.volume.devices.get(number));
        let way = match self.which {
            Balance::Heads([from, to]) => {
                let name = |at: usize| {
                    let said = flows.and_then(|it| it.sections.get(at));
                    said.map_or("", |said| &said.name.text)
                };
                format!(" between {} and {}", name(from), name(to))
            }
            _ => String::new(),
        };
        match device {
            Some((Device::Pump, _)) => format!("a pump adds head{way}"),
            Some((Device::Turbine, _)) => format!("a turbine takes head out{way}"),
            Some((Device::Loss, _)) | None => format!("head is lost{way}"),
        }
    }

    /// A quantity of the sketch as its author writes it.
    pub(super) fn written_as<'t>(&self, id: mechanics::Id, text: &'t str) -> &'t str {
        let expr = self.sketch.quantities.get(id);
        expr.map_or("", |expr| expr.span.of(text))
    }

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
        if sketch.is_incomplete {
            // What is wrong with the sketch has been told.
            self.needs = sketch.refused;
            return None;
        }
        let which = self.which_balance(&sketch, balance)?;
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
                FlowOf::Pressure => Balance::Pressure,
            }),
            BalanceOf::Heads(ends) => self.heads_of(sketch, ends),
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

impl Resolver<'_> {
    /// The numbers of two sections, the second of which lies farther along the stream.
    fn heads_of(&mut self, sketch: &Sketch, ends: &[Word; 2]) -> Option<Balance> {
        let Some(flows) = &sketch.flows else {
            let none = Lack::None(match sketch.columns {
                Some(_) => Hindrance::AtRest,
                None => Hindrance::NoFlow,
            });
            self.refuse_lack(sketch, none, ends[0].span);
            return None;
        };
        let names = || flows.sections.iter().map(|it| &*it.name.text);
        let mut found = Vec::with_capacity(2);
        for end in ends {
            let Some(at) = names().position(|name| *name == *end.text) else {
                let help = match nearest(&end.text, names()) {
                    Some(near) => format!("`{near}`"),
                    None => format!("`section {} …` in the sketch", end.text),
                };
                let message = format!(
                    "`{}` is no section of the sketch `{}`",
                    end.text, sketch.label
                );
                self.refuse_sketch(Code::G05, end.span, message, help);
                return None;
            };
            found.push(at);
        }
        let [from, to] = [found[0], found[1]];
        if from >= to {
            let (one, two) = (&ends[0].text, &ends[1].text);
            let message = match from == to {
                true => format!("from {one} to {one} there is no way"),
                false => format!("{one} lies after {two} in the order of the lines"),
            };
            self.refuse_sketch(
                Code::G05,
                ends[0].span.cover(ends[1].span),
                message,
                format!("`heads from {two} to {one}`"),
            );
            return None;
        }
        Some(Balance::Heads([from, to]))
    }
}

impl Sketch {
    /// Whether a name stands in some balance of it.
    pub fn counts(&self, name: SymbolId) -> bool {
        let mut counts = false;
        for which in balances_of(self) {
            let Ok(written) = self.balance(which, Span::default()) else {
                continue;
            };
            for side in written.members() {
                side.for_each_symbol(&mut |symbol, _| counts |= symbol == name);
            }
        }
        counts
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
    let sections = sketch
        .flows
        .as_ref()
        .map_or(0, |it| it.volume.sections.len());
    let ways = (0..sections).flat_map(move |from| (from + 1..sections).map(move |to| [from, to]));
    let heads = ways.take(MOST_WAYS).map(Balance::Heads);
    let pressure = sketch.columns.iter().map(|_| Balance::Pressure);
    let pressure: Vec<Balance> = pressure.collect();
    let all = forces
        .into_iter()
        .chain(moments)
        .chain(flows.iter().copied());
    all.chain(heads).chain(pressure)
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
        Balance::Pressure => "pressure".to_owned(),
        Balance::Heads(ends) => {
            let name = |at: usize| {
                let said = sketch.flows.as_ref().and_then(|it| it.sections.get(at));
                said.map_or("", |it| &it.name.text)
            };
            let [from, to] = ends.map(name);
            format!("heads from {from} to {to}")
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
