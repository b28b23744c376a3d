//! The lines of `sketch`: a body, its places, and what acts on it.
//!
//! All lines of a block together make one [`Sketch`], which its first line carries. What acts goes
//! to `mechanics` as numbered quantities; `written` makes formulas of the terms that come back.

mod acts;
mod columns;
mod counterpart;
mod cut;
mod direction;
mod found;
mod lack;
mod lost;
mod place;
mod rope;
mod square;
mod station;
mod volume;
mod water;
mod written;

use std::sync::Arc;

use rustc_hash::FxHashMap;

use super::super::statement::{Origin, Statement};
use super::super::{Block, Expr, ExprKind, Resolver};
use super::Kind;
use crate::diagnostic::{Code, Diagnostic, nearest};
use crate::mechanics::{self, Action, Axis, Balance, Body, Frame, Id, Station, Turn, Volume};
use crate::quantity::Dimension;
use crate::syntax::{
    self, Attribute, Bearing, Line, MemberKind, SketchKind, SupportKind, Word, is_word_of_sketches,
};
use crate::text::Span;

pub use rope::Rope;
pub use written::{Written, WrittenTerm};

/// More lines than this make two sketches.
const MOST_LINES: usize = 60;

/// A sketch: what it is of, and what acts on it.
#[derive(Debug, Clone, PartialEq)]
pub struct Sketch {
    /// Its label.
    pub label: Box<str>,
    /// Where its label stands.
    pub labelled: Span,
    /// Its number.
    pub number: usize,
    /// What it is of.
    pub kind: SketchKind,
    /// The problem that it stands in.
    pub problem: usize,
    /// The formulas behind the numbers of `body`.
    pub quantities: Vec<Expr>,
    /// Those that are angles.
    pub angles: Vec<Id>,
    /// Its frame, its places and what acts.
    pub body: Body,
    /// The names of its places.
    pub places: Vec<Word>,
    /// Of each action: its line.
    pub acts: Vec<Act>,
    /// What goes from place to place.
    pub members: Vec<(MemberKind, [usize; 2])>,
    /// Filled bodies.
    pub outlines: Vec<Vec<usize>>,
    /// What a block stands on.
    pub block: Option<(mechanics::Direction, Mark)>,
    /// Wheels, with their radii.
    pub wheels: Vec<(usize, Id)>,
    /// What flows through it, where it is a control volume.
    pub flows: Option<Flows>,
    /// Its columns, where it is a fluid at rest with both ends.
    pub columns: Option<ColumnsTold>,
    /// The supports.
    pub supports: Vec<(SupportKind, usize)>,
    /// Levels that are written at places.
    pub levels: Vec<(Id, usize)>,
    /// Lengths that are written from place to place.
    pub dimensions: Vec<(Id, [usize; 2])>,
    /// Fluids at rest on lines of it.
    pub water: Vec<WaterOn>,
    /// Pressures that count from the atmosphere here.
    pub gauge: Vec<Id>,
    /// Pressures that count from vacuum here.
    pub absolute: Vec<Id>,
    /// What it takes by its usual name, as no line says it: the word of that line, and the quantity.
    pub usual: Vec<(&'static str, Id)>,
    /// Where each place was said to be.
    pub told: Vec<Told>,
    /// How it is drawn, and what is left out of it.
    pub look: Look,
    /// The scales that it is drawn to.
    pub scales: Scales,
    /// Where its lines stand, but for the first.
    pub lines: Vec<Span>,
    /// The number of the sketch that this is as it turned out.
    pub found_of: Option<usize>,
    /// Whether a line of it was refused.
    pub is_incomplete: bool,
    /// The first of them, where one is.
    pub refused: Option<Span>,
    /// Its balances along x and y, by which its dimensions are checked.
    pub balances: Vec<Vec<Expr>>,
}

/// A fluid at rest on a line of a sketch.
#[derive(Debug, Clone, PartialEq)]
pub struct WaterOn {
    /// The number of what it does.
    pub act: usize,
    /// Its density and gravity.
    pub density: Id,
    /// What things weigh for their mass.
    pub gravity: Id,
    /// What presses on its surface over the air.
    pub pressure: Option<Id>,
    /// How wide its line is.
    pub width: Option<Id>,
}

/// What flows through a control volume: as `mechanics` has it, and where that is said.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Flows {
    /// Its sections, how it moves, what gathers in it.
    pub volume: Volume,
    /// Of each section: how it is said.
    pub sections: Vec<SectionSaid>,
    /// Where each heat and power stands.
    pub exchanges: Vec<Span>,
    /// Where each thing that gathers stands.
    pub gathered: Vec<Span>,
    /// Where the head of each pump, turbine and loss stands.
    pub devices: Vec<Span>,
    /// Where the speed stands with which it moves or turns, and how its direction is said.
    pub motion: Option<(Span, Mark)>,
    /// What is said of all that flows, and where.
    pub medium: Vec<(syntax::MediumKind, Span)>,
}

/// The columns of a fluid at rest, and where they are said.
#[derive(Debug, Clone, PartialEq)]
pub struct ColumnsTold {
    /// As `mechanics` has them.
    pub columns: mechanics::Columns,
    /// The names of both ends.
    pub names: [Word; 2],
    /// Where the pressure of each end stands, or its name.
    pub ends: [Span; 2],
    /// How each column is said.
    pub told: Vec<ColumnTold>,
}

/// How a column is said.
#[derive(Debug, Clone, PartialEq)]
pub struct ColumnTold {
    /// Where its length stands.
    pub span: Span,
    /// How its direction is said; nothing where that is up or down.
    pub along: Option<Mark>,
}

/// How a section is said.
#[derive(Debug, Clone, PartialEq)]
pub struct SectionSaid {
    /// Its name.
    pub name: Word,
    /// Where its line stands.
    pub line: Span,
    /// How its direction is said.
    pub mark: Mark,
    /// Whether it flows away from the reader.
    pub is_away: bool,
    /// What else is said of it, with the place of each formula.
    pub said: Vec<(Attribute, Span)>,
}

/// A pressure of a sketch, with what it counts from.
#[derive(Debug, Clone, Copy)]
pub struct Counted<'a> {
    /// The pressure.
    pub pressure: &'a Expr,
    /// Whether it counts from the atmosphere, and not from vacuum.
    pub is_gauge: bool,
}

impl Sketch {
    /// The pressures that count from something whatever balances are asked for.
    pub fn pressures(&self) -> impl Iterator<Item = Counted<'_>> {
        let around = self
            .flows
            .as_ref()
            .and_then(|it| it.volume.medium.surroundings);
        let sections = around.map(|_| self.pressures_of_sections(|_| true));
        let absolute = self.absolute.iter().copied().chain(around);
        let absolute = absolute.chain(sections.into_iter().flatten());
        let gauge = self.gauge.iter().map(|id| self.counted(*id, true));
        let absolute = absolute.map(|id| self.counted(id, false));
        gauge.chain(absolute).flatten()
    }

    fn counted(&self, pressure: Id, is_gauge: bool) -> Option<Counted<'_>> {
        let pressure = self.quantities.get(pressure)?;
        Some(Counted { pressure, is_gauge })
    }

    fn pressures_of_sections(&self, is_one: impl Fn(usize) -> bool) -> impl Iterator<Item = Id> {
        let sections = self.flows.iter().flat_map(|it| &it.volume.sections);
        let chosen = sections.enumerate().filter(move |(at, _)| is_one(*at));
        chosen.filter_map(|(_, section)| match section.pressure {
            mechanics::Pressure::Of(pressure) => Some(pressure),
            mechanics::Pressure::Open | mechanics::Pressure::Unsaid => None,
        })
    }

    /// The pressures that a balance counts from the atmosphere.
    pub fn pressures_of(&self, balance: mechanics::Balance) -> Vec<Counted<'_>> {
        let Some(volume) = self.flows.as_ref().map(|it| &it.volume) else {
            return Vec::new();
        };
        let is_one = |at: usize| match balance {
            mechanics::Balance::Forces(_) | mechanics::Balance::Moments(_) => {
                volume.medium.surroundings.is_none()
            }
            mechanics::Balance::Heads(ends) => ends.contains(&at) && volume.heads_are_gauge(ends),
            _ => false,
        };
        let all = self.pressures_of_sections(is_one);
        all.filter_map(|id| self.counted(id, true)).collect()
    }
}

impl SectionSaid {
    /// `inlet 1`, `outlet 2`.
    pub fn called(&self, section: &mechanics::Section) -> String {
        let word = match section.station {
            Some(Station::Surface) => "surface",
            Some(Station::Pipe) => "section",
            None if section.is_inlet => "inlet",
            None => "outlet",
        };
        format!("{word} {}", self.name.text)
    }

    /// Where something of it stands.
    pub fn place_of(&self, is: impl Fn(Attribute) -> bool) -> Option<Span> {
        let found = self.said.iter().find(|(what, _)| is(*what));
        found.map(|(_, span)| *span)
    }
}

/// What is said of how a sketch is drawn.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Look {
    /// What is seen has no height.
    pub from_above: bool,
    /// The weight counts for nothing.
    pub no_weight: bool,
    /// Supports are drawn as forces alone.
    pub supports_removed: bool,
    /// No lengths are drawn.
    pub no_dimensions: bool,
    /// Whether values are written behind symbols, where that is said.
    pub numbers: Option<bool>,
}

/// What a scale is of.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ScaleOf {
    /// The arrows of forces.
    Forces,
    /// The lengths between places.
    Lengths,
    /// The arrows of streams, and of what moves.
    Speeds,
}

impl ScaleOf {
    /// All of them.
    pub const ALL: [Self; 3] = [Self::Forces, Self::Lengths, Self::Speeds];

    /// What it is of, in words.
    pub fn words(self) -> &'static str {
        match self {
            Self::Forces => "forces",
            Self::Lengths => "lengths",
            Self::Speeds => "speeds",
        }
    }
}

/// A scale: a length on the page stands for something.
#[derive(Debug, Clone, PartialEq)]
pub struct Scale {
    /// Where it stands.
    pub span: Span,
    /// The length on the page, in metres.
    pub on_paper: f64,
    /// What that stands for, in coherent SI units.
    pub of: f64,
    /// The dimension of that.
    pub dimension: Dimension,
    /// The same as it is written.
    pub written: Expr,
}

/// The scales that a sketch is drawn to.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Scales {
    /// Of forces.
    pub forces: Option<Scale>,
    /// Of lengths.
    pub lengths: Option<Scale>,
    /// Of speeds.
    pub speeds: Option<Scale>,
}

impl Scales {
    /// The scale of one kind.
    fn of(&mut self, of: ScaleOf) -> &mut Option<Scale> {
        match of {
            ScaleOf::Forces => &mut self.forces,
            ScaleOf::Lengths => &mut self.lengths,
            ScaleOf::Speeds => &mut self.speeds,
        }
    }

    /// Those of another go before these.
    fn take_over(&mut self, other: Self) {
        self.forces = other.forces.or(self.forces.take());
        self.lengths = other.lengths.or(self.lengths.take());
        self.speeds = other.speeds.or(self.speeds.take());
    }
}

/// Where a place was said to be.
#[derive(Debug, Clone, PartialEq)]
pub enum Told {
    /// Others are told from it.
    Beginning,
    /// In the middle of two.
    Middle([usize; 2]),
    /// By legs from one.
    Legs(usize, Vec<ToldLeg>),
}

/// A leg of a way to a place.
#[derive(Debug, Clone, PartialEq)]
pub struct ToldLeg {
    /// The number of its length.
    pub length: Id,
    /// Where it goes.
    pub direction: mechanics::Direction,
    /// How that is said.
    pub mark: Mark,
}

/// What a line of a sketch says that acts.
#[derive(Debug, Clone, PartialEq)]
pub struct Act {
    /// What it is called: `force`, `weight`, `moment`.
    pub called: &'static str,
    /// Which kind of line it is of.
    pub kind: ActOf,
    /// Where its quantity stands.
    pub span: Span,
    /// How its direction is said.
    pub mark: Mark,
    /// The number of the place where a couple is drawn.
    pub at: Option<usize>,
    /// The side that a load presses square from.
    pub side: Option<Bearing>,
    /// Whether it points away from the reader.
    pub is_away: bool,
}

/// How a direction is said.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Mark {
    /// In words alone.
    Words,
    /// By an angle.
    Angle {
        /// Quarter turns from the right to where it counts from; nothing where that is the x axis.
        from: Option<u8>,
        /// The angle.
        angle: Id,
    },
    /// By what it rises or falls in what.
    Slope {
        /// The upright leg.
        rise: Id,
        /// The level leg.
        run: Id,
    },
    /// By a place.
    Place {
        /// Toward it, or away.
        is_toward: bool,
        /// Its number.
        place: usize,
    },
}

/// What kind of line something that acts is of.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ActOf {
    /// A force.
    Force(syntax::ActKind),
    /// A couple.
    Moment,
    /// A load.
    Load,
    /// A fluid on a line.
    Water,
    /// What a support carries; the number of the support.
    Support(usize),
    /// What is moved or turned faster and faster.
    Acceleration,
}

/// What the first line of a block says.
#[derive(Clone, Copy)]
enum Head<'a> {
    Of(SketchKind),
    AsFound(&'a Word),
}

/// A sketch while its lines are read.
pub(super) struct Draft {
    pub sketch: Sketch,
    /// The numbers of quantities by their text.
    pub by_text: FxHashMap<String, Id>,
    /// The numbers of places by their names.
    pub by_name: FxHashMap<Box<str>, usize>,
    /// Places that something is at.
    pub used: Vec<bool>,
    /// In which direction each force of the author is.
    pub forces: Vec<(String, usize)>,
    /// What things weigh for their mass, where a line says it.
    pub gravity: Option<Id>,
    /// Whether that line was read.
    pub has_gravity: bool,
    /// The place that a control volume turns about.
    pub about: Option<Word>,
    /// What refused lines were to say.
    lost: lost::Lost,
    /// Ends of columns, and the columns.
    tube: columns::TubeDraft,
}

impl<'a> Resolver<'a> {
    /// The statements of a `sketch`: the first carries all of it.
    pub(in crate::resolve) fn sketch_block(
        &mut self,
        index: usize,
        block: Block<'a>,
    ) -> Vec<Statement> {
        let mut statements: Vec<Statement> = (block.lines.iter()).map(bare_statement).collect();
        let first = block.lines.first();
        let head = first.and_then(|line| match &line.statement {
            syntax::Statement::Sketch(sketch) => match &**sketch {
                syntax::Sketch::Head(kind) => Some((line, Head::Of(*kind))),
                syntax::Sketch::AsFound(of) => Some((line, Head::AsFound(of))),
                _ => None,
            },
            _ => None,
        });
        let origin = |statement| Origin {
            block: index,
            statement,
        };
        let Some((line, kind)) = head else {
            match first {
                Some(first) if !is_broken(first) => self.no_head(first.span),
                // What its label is, nobody knows.
                _ => self.has_refused_sketch = true,
            }
            (0..statements.len()).for_each(|at| {
                self.refused.insert(origin(at));
            });
            return statements;
        };
        let Some(label) = &line.label else {
            self.no_head(line.span);
            self.refused.insert(origin(0));
            return statements;
        };
        self.above = Some(line.span.start);
        statements[0].label = self.label(line, origin(0));
        let is_spelled_as_a_word = is_word_of_sketches(&label.text);
        if is_spelled_as_a_word {
            self.refuse_word(label.span, "a sketch");
        }
        let kind = match kind {
            Head::Of(kind) => kind,
            Head::AsFound(of) => {
                let found = self.sketch_as_found(block, line, of, &mut statements);
                match found {
                    Some(found) => {
                        self.found.push(Arc::clone(&found));
                        statements[0].kind = Some(Kind::Found(found));
                    }
                    None => (0..statements.len()).for_each(|at| {
                        self.refused.insert(origin(at));
                    }),
                }
                return statements;
            }
        };
        let mut draft = Draft::new(label, kind, self.problem);
        draft.sketch.is_incomplete = is_spelled_as_a_word;
        draft.sketch.lines = block.lines.iter().skip(1).map(|it| it.span).collect();
        // What is above the line that names a place may be read below one that was refused.
        for line in block.lines.iter().skip(1).filter(|line| is_broken(line)) {
            draft.lost.take(line.span.of(self.text));
        }
        draft.sketch.number = (statements[0].label.as_ref()).map_or(0, |(_, number)| *number);
        if block.lines.len() > MOST_LINES {
            self.refuse_sketch(
                Code::G24,
                line.span,
                format!("a sketch has at most {MOST_LINES} lines"),
                "two sketches".to_owned(),
            );
            draft.sketch.is_incomplete = true;
            draft.sketch.refused = Some(line.span);
        }
        let lines: Vec<(usize, &'a Line)> = (block.lines.iter().enumerate())
            .skip(1)
            .take(MOST_LINES)
            .collect();
        self.axes_of_sketch(&mut draft, &lines);
        self.medium_of_sketch(&mut draft, &lines);
        for (at, line) in &lines {
            let read = match &line.statement {
                syntax::Statement::Sketch(sketch) => self.line_of_sketch(&mut draft, line, sketch),
                _ => None,
            };
            match read {
                Some(()) => statements[*at].kind = Some(Kind::OfBlock),
                None => {
                    draft.sketch.is_incomplete = true;
                    draft.sketch.refused.get_or_insert(line.span);
                    draft.lost.take(line.span.of(self.text));
                    self.refused.insert(origin(*at));
                }
            }
        }
        // A refused line may be what is at a place.
        if !draft.sketch.is_incomplete {
            self.unused_places(&draft);
        }
        if kind == SketchKind::AtRest && !self.whole_columns(&mut draft, line.span) {
            draft.sketch.is_incomplete = true;
        }
        if !self.whole_volume(&mut draft, line.span) {
            draft.sketch.is_incomplete = true;
        }
        if !self.no_words_as_names(&draft.sketch) || !self.ropes_are_tangents(&draft.sketch) {
            draft.sketch.is_incomplete = true;
        }
        if draft.sketch.is_incomplete {
            draft.sketch.refused.get_or_insert(line.span);
        }
        let mut scales = std::mem::take(&mut draft.sketch.scales);
        self.fits_scales(&draft.sketch, &mut scales);
        let mut sketch = Sketch {
            scales,
            ..draft.sketch
        };
        let mut checked = vec![Balance::Forces(Axis::X), Balance::Forces(Axis::Y)];
        if sketch.flows.is_some() {
            checked.push(Balance::Mass);
            let last = sketch
                .flows
                .as_ref()
                .map_or(0, |it| it.volume.sections.len());
            checked.extend(last.checked_sub(1).map(|last| Balance::Heads([0, last])));
        }
        if sketch.columns.is_some() {
            checked.push(Balance::Pressure);
        }
        for balance in checked {
            if let Ok(written) = sketch.balance(balance, line.span) {
                sketch.balances.push(written.members());
            }
        }
        let sketch = Arc::new(sketch);
        if statements[0].label.is_some() {
            self.sketches.push(Arc::clone(&sketch));
        }
        statements[0].kind = Some(Kind::Sketch(sketch));
        statements
    }

    fn no_head(&mut self, span: Span) {
        self.has_refused_sketch = true;
        self.refuse_sketch(
            Code::G01,
            span,
            "a sketch begins with its label and what it is of".to_owned(),
            "a first line such as `beam: body` or `joint: particle -- the pin`".to_owned(),
        );
    }

    /// A name that is spelled as a word of sketches.
    pub(super) fn refuse_word(&mut self, span: Span, what: &str) {
        let written = span.of(self.text);
        self.refuse_sketch(
            Code::G16,
            span,
            format!("`{written}` is a word in a sketch, and no name of {what}"),
            format!("another name, as `{written}_1`, in all lines"),
        );
    }

    /// Whether no quantity of a sketch is spelled as a word of sketches.
    fn no_words_as_names(&mut self, sketch: &Sketch) -> bool {
        let mut found: Option<Span> = None;
        for expr in &sketch.quantities {
            expr.for_each_symbol(&mut |symbol, span| {
                if is_word_of_sketches(&self.symbols.symbol(symbol).key) {
                    found = found.or(Some(span));
                }
            });
        }
        if let Some(span) = found {
            self.refuse_word(span, "a quantity");
        }
        found.is_none()
    }

    pub(super) fn refuse_sketch(&mut self, code: Code, span: Span, message: String, help: String) {
        self.diagnostics
            .push(Diagnostic::error(code, span, message).with_help(help));
    }

    /// The sketch of this problem, or of the shared part, with this label.
    pub(super) fn sketch_labelled(&mut self, label: &Word) -> Option<Arc<Sketch>> {
        let found = self.sketches_above().find(|it| it.label == label.text);
        if let Some(found) = found {
            return Some(Arc::clone(found));
        }
        if self.has_refused_sketch {
            return None;
        }
        let all = self.sketches_above().map(|sketch| sketch.label.clone());
        let all: Vec<Box<str>> = all.collect();
        let near = nearest(&label.text, all.iter().map(|it| &**it));
        let help = match (near, all.first()) {
            (Some(near), _) => format!("`{near}`"),
            (None, Some(first)) => format!("the label of a sketch above, as `{first}`"),
            (None, None) => "a `sketch` block above, whose first line has this label".to_owned(),
        };
        self.refuse_sketch(
            Code::B01,
            label.span,
            format!("no sketch above is labelled `{}`", label.text),
            help,
        );
        None
    }

    /// The sketches above, of this problem and of the shared part.
    pub(in crate::resolve) fn sketches_above(&self) -> impl Iterator<Item = &Arc<Sketch>> {
        let own = |sketch: &&Arc<Sketch>| sketch.problem == self.problem || sketch.problem == 0;
        self.sketches.iter().filter(own)
    }

    fn unused_places(&mut self, draft: &Draft) {
        for (place, is_used) in draft.sketch.places.iter().zip(&draft.used) {
            if !is_used {
                self.diagnostics.push(
                    Diagnostic::warning(
                        Code::G20,
                        place.span,
                        format!("nothing is at `{}`", place.text),
                    )
                    .with_help("without this line, or something at the place"),
                );
            }
        }
    }
}

impl Draft {
    fn new(label: &Word, kind: SketchKind, problem: usize) -> Self {
        Self {
            sketch: Sketch {
                label: label.text.clone(),
                labelled: label.span,
                number: 0,
                kind,
                problem,
                quantities: Vec::new(),
                angles: Vec::new(),
                body: Body {
                    frame: Frame {
                        x: mechanics::Direction::right(),
                        y: mechanics::Direction::up(),
                        turn: Turn::Anticlockwise,
                        only: None,
                    },
                    places: Vec::new(),
                    actions: Vec::new(),
                },
                places: Vec::new(),
                acts: Vec::new(),
                members: Vec::new(),
                outlines: Vec::new(),
                block: None,
                wheels: Vec::new(),
                flows: matches!(kind, SketchKind::ControlVolume(_)).then(Flows::default),
                columns: None,
                supports: Vec::new(),
                levels: Vec::new(),
                dimensions: Vec::new(),
                water: Vec::new(),
                usual: Vec::new(),
                gauge: Vec::new(),
                absolute: Vec::new(),
                told: Vec::new(),
                look: Look::default(),
                scales: Scales::default(),
                lines: Vec::new(),
                found_of: None,
                is_incomplete: false,
                refused: None,
                balances: Vec::new(),
            },
            by_text: FxHashMap::default(),
            by_name: FxHashMap::default(),
            used: Vec::new(),
            forces: Vec::new(),
            gravity: None,
            has_gravity: false,
            about: None,
            lost: lost::Lost::default(),
            tube: columns::TubeDraft::default(),
        }
    }

    /// The number of a quantity; formulas that read alike are one.
    pub fn quantity(&mut self, text: &str, expr: Expr) -> Id {
        let words: String = text.split_whitespace().collect::<Vec<_>>().join(" ");
        let next = self.sketch.quantities.len();
        let id = *self.by_text.entry(words).or_insert(next);
        if id == next {
            self.sketch.quantities.push(expr);
        }
        id
    }

    fn act(&mut self, action: Action, act: Act) {
        if let Some(flows) = &mut self.sketch.flows {
            let at = self.sketch.acts.len();
            flows.volume.order.push(mechanics::Part::Action(at));
        }
        self.sketch.body.actions.push(action);
        self.sketch.acts.push(act);
    }
}

fn is_broken(line: &Line) -> bool {
    matches!(line.statement, syntax::Statement::Broken(_))
}

fn bare_statement(line: &Line) -> Statement {
    Statement {
        span: line.span,
        label: None,
        description: line.description,
        defines: None,
        unknowns: Vec::new(),
        makes_a_table: false,
        is_of_versions: false,
        needs: None,
        kind: None,
    }
}

/// Whether a formula is a plain number, or has a minus in front.
fn is_plain_number(expr: &Expr) -> bool {
    matches!(expr.inside().kind, ExprKind::Number(_))
}
