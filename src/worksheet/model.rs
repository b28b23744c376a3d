//! The finished worksheet: everything that is known about it, ready to be typeset.
//!
//! Nothing here is rendered yet, and nothing needs to be computed any more.

use std::borrow::Cow;
use std::ops::Range;
use std::sync::Arc;

use rustc_hash::{FxHashMap, FxHashSet};

use super::question::{Marks, Question, Versions};

use crate::diagnostic::Diagnostic;
use crate::dimensions::{Counts, Reading};
use crate::document::{Block, FrontMatter, Image, Inline};
use crate::evaluate::{self, Convergence, Doubt, Magnitude, RowsOf, Sources};
use crate::mechanics::Inner;
use crate::proofs::{Agreement, Ground, Verdict};
use crate::quantity::{Decimal, Dimension, Mark, Unit};
use crate::resolve::statement::{self, End, Look, Origin, Solved, Way};
use crate::resolve::{Expr, FunctionId, Occurrence, Shape, SizeForm, SymbolId, Symbols};
use crate::syntax::{Axis, Band, BlockKind, CoverageFactor, Held, Relation};
use crate::tables::{self, Pattern, Times};
use crate::text::{Date, FileRead, Hash, Series, Source, Span};

/// A compiled worksheet.
#[derive(Debug)]
pub struct Worksheet {
    /// Its text.
    pub source: Arc<Source>,
    /// Its front matter.
    pub front: Arc<FrontMatter>,
    /// Its problems; the first is what all problems share and may be empty.
    pub problems: Vec<Placed>,
    /// Which parts of which problem follow each other on the page.
    pub sections: Vec<Section>,
    /// Its entries, top to bottom.
    pub entries: Vec<Entry>,
    /// The files beside it that were read, and what they were then.
    pub files: Vec<FileRead>,
    /// Everything there is to say about it, in source order, at the places of its text.
    pub diagnostics: Vec<Diagnostic>,
}

/// An entry of a notebook: what stands under a level-2 heading that begins with a date.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub struct Entry {
    /// The date.
    pub date: Date,
    /// The words behind it.
    pub title: String,
    /// Where its heading stands in the worksheet.
    pub span: Span,
    /// The problem that it stands in.
    pub problem: usize,
    /// Which of the headings of that problem it is.
    pub heading: usize,
    /// The anchor of its heading.
    pub anchor: String,
    /// The anchor of the entry that it corrects.
    pub corrects: Option<String>,
    /// The dates and anchors of its corrections.
    pub corrections: Vec<(Date, String)>,
    /// Its seal, where it has one.
    pub seal: Option<Seal>,
}

/// The seal of an entry.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub struct Seal {
    /// When it was sealed: `2026-03-12T16:40:05Z`.
    pub time: String,
    /// The hash of the text that was sealed.
    pub hash: Hash,
    /// How the entry stands to it.
    pub standing: Standing,
}

/// How something stands to its seal.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Standing {
    /// It is what was sealed.
    AsSealed,
    /// It was altered since.
    Altered,
    /// It was sealed and is not there.
    Missing,
    /// It was never sealed.
    NotSealed,
}

impl Standing {
    /// As it is told.
    pub fn words(self) -> &'static str {
        match self {
            Self::AsSealed => "as sealed",
            Self::Altered => "altered",
            Self::Missing => "missing",
            Self::NotSealed => "not sealed",
        }
    }
}

/// Some parts of a problem that stand one after another.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Section {
    /// An index into [`Worksheet::problems`].
    pub problem: usize,
    /// Which of its parts.
    pub parts: Range<usize>,
}

/// A problem where it stands in a worksheet.
#[derive(Debug)]
pub struct Placed {
    /// The problem, in which places, numbers and anchors are its own.
    pub problem: Arc<Problem>,
    /// Which problem of the worksheet it is; 0 is what all share.
    pub number: usize,
    /// For each of its chapters where it begins in the problem's text, and in the worksheet's.
    pub(super) chapters: Vec<(u32, u32)>,
    /// The number on the page of each labelled equation.
    pub(super) equations: Vec<usize>,
    /// The number on the page of each picture, and of each equation without a label that is cited.
    pub(super) cited: FxHashMap<Anchor, usize>,
    /// The anchor of each of its headings.
    pub(super) headings: Vec<String>,
    /// Whether it is a question of a paper, which shares nothing with others.
    pub(super) is_question: bool,
}

impl Placed {
    /// The place in the worksheet's text of a byte of the problem's.
    pub fn place(&self, at: u32) -> u32 {
        let chapter = self.chapters.partition_point(|(own, _)| *own <= at);
        match self.chapters.get(chapter.saturating_sub(1)) {
            Some((own, whole)) => at - own + whole,
            None => at,
        }
    }

    /// The place in the worksheet's text of a span of the problem's.
    pub fn span(&self, span: Span) -> Span {
        let start = self.place(span.start);
        Span {
            start,
            end: start + (span.end - span.start),
        }
    }

    /// Those of some items in the order of the problem's text that touch a span of the worksheet's
    /// text. None of the items may overlap another.
    pub fn near<'a, T>(&self, items: &'a [T], place: impl Fn(&T) -> Span, span: Span) -> &'a [T] {
        let start = items.partition_point(|it| self.span(place(it)).end < span.start);
        let items = &items[start..];
        let count = items.partition_point(|it| self.place(place(it).start) <= span.end);
        &items[..count]
    }

    /// The place in the problem's text of a byte of the worksheet's; `None` where the problem is
    /// not made from it.
    pub fn own_place(&self, at: u32) -> Option<u32> {
        let end_of = |chapter: usize| match self.chapters.get(chapter + 1) {
            Some((next, _)) => *next,
            None => self.problem.text.len() as u32,
        };
        let chapters = self.chapters.iter().enumerate().rev();
        chapters
            .filter_map(|(chapter, (own, whole))| Some((chapter, at.checked_sub(*whole)? + own)))
            .find(|(chapter, place)| *place <= end_of(*chapter))
            .map(|(_, place)| place)
    }

    /// The number on the page of what has a label, in its series, from its number in the problem.
    pub fn equation(&self, number: usize) -> usize {
        let known = number.checked_sub(1).and_then(|at| self.equations.get(at));
        known.copied().unwrap_or(number)
    }

    /// The number on the page of a statement that has a label or is cited.
    pub fn number_of(&self, statement: &Statement) -> Option<usize> {
        match &statement.label {
            Some((label, number)) if !label.is_empty() => Some(self.equation(*number)),
            _ => self.cited.get(&statement.id).copied(),
        }
    }

    /// The number on the page of what is numbered by its anchor.
    pub fn number_at(&self, anchor: &Anchor) -> Option<usize> {
        self.cited.get(anchor).copied()
    }

    /// The numbers on the page of the pictures, and of the equations without a label that are
    /// cited, in the order of their anchors.
    pub fn cited(&self) -> Vec<usize> {
        let mut numbers: Vec<(&Anchor, usize)> = self
            .cited
            .iter()
            .map(|(id, number)| (id, *number))
            .collect();
        numbers.sort_unstable_by_key(|(id, _)| (id.is_shared, id.name.as_str()));
        numbers.into_iter().map(|(_, number)| number).collect()
    }

    /// The pictures among its own parts that are figures, each with its number on the page.
    pub fn pictures_of<'p>(&self, part: &'p Part) -> Vec<(&'p Picture, usize)> {
        let mut found = Vec::new();
        if let PartKind::Prose(blocks) = &part.kind {
            let mut look = |filled: &'p Filled| {
                if let Filled::Figure(picture) = filled {
                    let number = self.number_at(&picture.id).unwrap_or_default();
                    found.push((&**picture, number));
                }
            };
            blocks.iter().for_each(|it| it.for_each_open(&mut look));
        }
        found
    }

    /// The number on the page of each of its equations.
    pub fn equations(&self) -> &[usize] {
        &self.equations
    }

    /// Where its chapters begin in the worksheet's text.
    pub fn chapter_starts(&self) -> impl Iterator<Item = u32> {
        self.chapters.iter().map(|(_, whole)| *whole)
    }

    /// The anchor on the page of each of its headings.
    pub fn headings(&self) -> &[String] {
        &self.headings
    }

    /// The anchor of a statement on the page.
    pub fn anchor(&self, anchor: &Anchor) -> String {
        let number = match anchor.is_shared && !self.is_question {
            true => 0,
            false => self.number,
        };
        format!("q{number}-{}", anchor.name)
    }

    /// The anchor of a heading on the page.
    pub fn heading(&self, heading: usize) -> &str {
        self.headings.get(heading).map_or("", String::as_str)
    }

    /// How names are scoped in the problem's symbols: what is shared is 0.
    fn scope(&self) -> usize {
        usize::from(!self.problem.shared.is_empty())
    }

    /// The symbol with this key as seen from the problem.
    pub fn find(&self, key: &str) -> Option<SymbolId> {
        self.problem.symbols.find(self.scope(), key)
    }

    /// The function with this key as seen from the problem.
    pub fn find_function(&self, key: &str) -> Option<FunctionId> {
        self.problem.symbols.find_function(self.scope(), key)
    }

    /// The problem of the worksheet that a symbol belongs to: this one, or what all share.
    pub fn home(&self, symbol: SymbolId) -> usize {
        match self.problem.symbols.symbol(symbol).problem == self.scope() {
            true => self.number,
            false => 0,
        }
    }

    /// The same for a function.
    pub fn home_of_function(&self, function: FunctionId) -> usize {
        let key = &self.problem.symbols.function(function).key;
        let shared = self.problem.symbols.find_function(0, key);
        match self.scope() > 0 && shared == Some(function) {
            true => 0,
            false => self.number,
        }
    }

    /// The asks that can be filled, at the places of the worksheet's text.
    pub fn asks(&self) -> impl Iterator<Item = super::AskSite> {
        let asks = self.problem.asks.iter();
        asks.map(|ask| ask.moved(&|at| self.place(at)))
    }
}

/// A problem: what stands under one level-1 heading, or what all problems share.
///
/// It is a function of its own text, of what all share above it, and of the settings: nothing in
/// it hangs on where it stands in the worksheet. Places are those of its own text.
#[derive(Debug)]
pub struct Problem {
    /// The heading's text; `None` for what all problems share.
    pub title: Option<String>,
    /// Its text, with that of the shared part above it.
    pub text: Arc<str>,
    /// Its symbols and functions, with those of the shared part.
    pub symbols: Symbols,
    /// Its own parts in the order of the page.
    pub parts: Vec<Part>,
    /// The blocks that all problems share, as they are seen from here.
    pub shared: Vec<Vec<Statement>>,
    /// What is wrong with it, in the order of its text.
    pub diagnostics: Vec<Diagnostic>,
    /// The statements without a label that reasons cite, which are numbered all the same.
    pub(super) cited: FxHashSet<Anchor>,
    /// Its asks that can be filled.
    pub asks: Vec<super::AskSite>,
    /// Which name stands where, in the order of its text.
    pub occurrences: Vec<Occurrence>,
    /// Where the lines of its blocks stand, likewise.
    pub lines: Vec<Span>,
    /// Where asks stand that are no part of a line, likewise.
    pub asks_in_prose: Vec<Span>,
    /// The files that it was made from besides its text.
    pub files: Vec<FileRead>,
    /// The worksheets that it takes from, each with the files that that was made from.
    pub taken_from: Vec<(String, Vec<String>)>,
    /// What it asks, where it asks something.
    pub question: Option<Question>,
    /// What its versions vary, where it says so.
    pub versions: Option<Versions>,
    /// The sources of uncertainty of its values.
    pub(crate) sources: Arc<Sources>,
}

impl Problem {
    /// The statement that stands at a place.
    pub fn statement(&self, origin: Origin) -> Option<&Statement> {
        let block = match origin.block.checked_sub(self.shared.len()) {
            None => self.shared.get(origin.block)?,
            Some(own) => self.blocks().nth(own)?,
        };
        block.get(origin.statement)
    }

    /// The part right above the one that a place stands in.
    pub fn part_above(&self, place: Span) -> Option<&Part> {
        let own = (self.parts).partition_point(|part| part.span.end <= place.start);
        self.parts.get(own.checked_sub(1)?)
    }

    /// All statements that are seen in it: those that all problems share, then its own.
    pub fn statements(&self) -> impl Iterator<Item = &Statement> {
        self.shared.iter().chain(self.blocks()).flatten()
    }

    /// The fit whose formula stands at a place.
    pub(crate) fn fit_at(&self, place: Span) -> Option<&Statement> {
        let is_it = |statement: &&Statement| {
            matches!(statement.body, Body::Fit(_)) && statement.span == place
        };
        self.statements().find(is_it)
    }

    /// The statements without a label that reasons cite.
    pub(super) fn find_cited(&self) -> FxHashSet<Anchor> {
        let origins = self.blocks().flatten().flat_map(Statement::cites);
        let cited = origins.filter_map(|origin| self.statement(origin));
        cited
            .filter(|statement| statement.label.is_none())
            .map(|statement| statement.id.clone())
            .collect()
    }

    /// The statements of its own blocks.
    pub fn blocks(&self) -> impl Iterator<Item = &Vec<Statement>> {
        self.parts.iter().filter_map(|part| match &part.kind {
            PartKind::Block { statements, .. } => Some(statements),
            PartKind::Heading { .. } | PartKind::Prose(_) => None,
        })
    }
}

/// The name of a place on the page.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub struct Anchor {
    /// Whether it is in the part that all problems share.
    pub is_shared: bool,
    /// `V_2` for the definition of `V_2`, `equation-balance`, `check-3` where no name serves.
    pub name: String,
}

impl Anchor {
    /// That of the figure which a line has below its formulas.
    #[must_use]
    pub fn of_figure(&self) -> Self {
        Self {
            name: format!("{}-lines", self.name),
            ..self.clone()
        }
    }
}

/// A part of the page.
#[derive(Debug)]
pub struct Part {
    /// Where it stands.
    pub span: Span,
    /// What it is.
    pub kind: PartKind,
}

/// What a part is.
#[derive(Debug)]
pub enum PartKind {
    /// A heading.
    Heading {
        /// 1 to 6.
        level: u8,
        /// Which of the headings of its problem it is.
        at: usize,
        /// Its plain text.
        text: String,
        /// Its content.
        content: Text,
    },
    /// Markdown.
    Prose(Vec<Block<Filled>>),
    /// A block of statements.
    Block {
        /// Which block.
        kind: BlockKind,
        /// Its statements.
        statements: Vec<Statement>,
    },
}

/// What stands in a text at the places that Markdown left open.
#[derive(Debug, Clone)]
pub enum Filled {
    /// A reference to what has a label: printed "(3)" or "Table 3".
    Reference {
        /// Where it is numbered.
        series: Series,
        /// Its number in the problem; none for a picture, which is numbered by its anchor.
        number: Option<usize>,
        /// Its anchor.
        target: Anchor,
        /// The author's own link text.
        text: Option<String>,
    },
    /// A picture with a caption, alone in its paragraph.
    Figure(Box<Picture>),
    /// An ask in the text.
    Value(Box<Value>),
    /// An ask that failed; the diagnostics within its place say why.
    Failed {
        /// Where it stands.
        span: Span,
        /// What it needs that failed above: the name, and where it was to be defined.
        needs: Vec<(SymbolId, Span)>,
    },
}

/// A picture that is a figure.
#[derive(Debug, Clone)]
pub struct Picture {
    /// Its anchor.
    pub id: Anchor,
    /// Where it stands.
    pub span: Span,
    /// What prose calls it.
    pub label: Option<String>,
    /// What is said below it.
    pub caption: String,
    /// The picture itself.
    pub image: Image,
}

/// Words in a line, with what they ask for.
pub type Text = Vec<Inline<Filled>>;

/// What stands for a given in one line.
#[derive(Debug, Clone)]
pub enum Replacement {
    /// The literal as it was written.
    Value(Box<Shown>),
    /// The formula as it was written.
    Formula(Expr),
}

/// A value asked for in the text.
#[derive(Debug, Clone)]
pub struct Value {
    /// Where it stands.
    pub span: Span,
    /// What is printed before the equals sign; `None` for the value alone.
    pub lead: Option<Expr>,
    /// Replaced givens: `at Q = 40 L/s`.
    pub conditions: Vec<(SymbolId, Replacement)>,
    /// The value.
    pub shown: Shown,
}

/// A statement of a block with its results.
#[derive(Debug)]
pub struct Statement {
    /// Its anchor, unique in the worksheet.
    pub id: Anchor,
    /// Where it stands.
    pub span: Span,
    /// Its label, and its number in the problem.
    pub label: Option<(String, usize)>,
    /// What it says, and what came of it.
    pub body: Body,
    /// Whether it makes a table in `check`, and so asserts nothing, also where it was refused.
    pub makes_a_table: bool,
    /// Whether it stands in `versions`, so that it need not hold here.
    pub is_of_versions: bool,
    /// The refused line of a sketch that it needs, so that it was held against no balance.
    pub needs: Option<Span>,
    /// The description beside it.
    pub description: Text,
    /// Its marks.
    pub marks: Option<Marks>,
    /// Its diagnostics: indices into [`Problem::diagnostics`].
    pub diagnostics: Vec<usize>,
}

impl Statement {
    /// Whether what it asserts of the worksheet holds; `None` for what asserts nothing.
    pub fn holds(&self) -> Option<bool> {
        self.body.holds().filter(|_| !self.is_of_versions)
    }

    /// The equations that are cited beside it.
    fn cites(&self) -> Vec<Origin> {
        let of = |grounds: &[Ground]| {
            let origins = grounds.iter().filter_map(|ground| match ground {
                Ground::Equation(origin) => Some(*origin),
                Ground::Definition(_) | Ground::Value(_) => None,
            });
            origins.collect::<Vec<Origin>>()
        };
        let held = |balance: &Option<Box<Balanced>>| match balance.as_deref() {
            Some(Balanced {
                agreement: Agreement::Agrees { with },
                ..
            }) => of(with),
            _ => Vec::new(),
        };
        match &self.body {
            Body::Equation { balance, .. } => held(balance),
            Body::Therefore {
                verdict, balance, ..
            } => {
                let mut all = held(balance);
                if let Verdict::Follows { by, .. } = &**verdict {
                    all.extend(of(by));
                }
                all
            }
            Body::Solved(solved) => solved.origins.clone(),
            Body::System(system) => system.origins.clone(),
            // Of these, a label is cited or nothing.
            Body::Work(_)
            | Body::Component { .. }
            | Body::Balance { .. }
            | Body::Given { .. }
            | Body::Required { .. }
            | Body::Shear(_)
            | Body::Sketch(_)
            | Body::Dimensions(_)
            | Body::Trend(_)
            | Body::Limit(_)
            | Body::Sensitivity(_)
            | Body::Budget(_)
            | Body::Trials(_)
            | Body::Comparison(_)
            | Body::Correlation { .. }
            | Body::Fit(_)
            | Body::OfBlock
            | Body::Function { .. }
            | Body::Check { .. }
            | Body::Answer { .. }
            | Body::Plot(_)
            | Body::Table(_)
            | Body::Varied(_)
            | Body::MayChange(_)
            | Body::Refused
            | Body::NotEvaluated { .. } => Vec::new(),
        }
    }

    /// Where it is numbered in a block, if it has a number.
    pub fn series(&self, block: BlockKind) -> Option<Series> {
        match &self.body {
            Body::Shear(cut) if cut.figure.is_some() => Some(Series::Figure),
            // What may become a figure has a number without a label.
            _ if self
                .label
                .as_ref()
                .is_some_and(|(label, _)| label.is_empty()) =>
            {
                (block.series() == Series::Figure).then_some(Series::Figure)
            }
            _ => Some(block.series()),
        }
    }
}

/// What a statement says, and what came of it.
#[derive(Debug)]
pub enum Body {
    /// A line of `given`.
    Given {
        /// The name.
        symbol: SymbolId,
        /// The constant expression, where the value is not a literal.
        formula: Option<Expr>,
        /// The value, as the author wrote it where it is a literal.
        shown: Arc<Shown>,
        /// The other worksheet that it is taken from.
        from: Option<Box<From>>,
    },
    /// A line of `required`.
    Required {
        /// The unknown.
        symbol: SymbolId,
        /// The unit it is asked in; printed after the symbol.
        unit: Option<Unit>,
        /// "gauge", "abs" or "difference" after the unit.
        datum: Option<&'static str>,
        /// What a positive value means.
        positive: Option<String>,
        /// What a negative value means.
        negative: Option<String>,
        /// Whether its value is said, and is to be shown to be that.
        is_shown: bool,
        /// Replaced data: `at Q = 40 L/s`.
        conditions: Vec<(SymbolId, Replacement)>,
    },
    /// A line of `derive`.
    Equation {
        /// Two or more sides.
        members: Vec<Expr>,
        /// "pressures read as gauge", where that is how the equation is read.
        note: Option<&'static str>,
        /// Whether it is the balance of a sketch that it is meant to be.
        balance: Option<Box<Balanced>>,
    },
    /// A balance of a sketch, written out by the engine.
    Balance {
        /// In words: `balance y of beam`.
        words: Box<str>,
        /// The number of the sketch.
        of: usize,
        /// Its sides.
        members: Vec<Expr>,
    },
    /// What a straight member of a sketch holds together at a cut.
    Shear(Box<Cut>),
    /// A sketch.
    Sketch(Box<Sketch>),
    /// A step of the author.
    Therefore {
        /// Two or more sides.
        members: Vec<Expr>,
        /// Whether it follows.
        verdict: Box<Verdict>,
        /// Whether it is the balance of a sketch that it is meant to be.
        balance: Option<Box<Balanced>>,
    },
    /// A step of the engine.
    Solved(Box<Solved>),
    /// A component of a vector equation.
    Component {
        /// Which.
        axis: Axis,
        /// The number of the vector equation.
        of: usize,
        /// Its sides.
        members: Vec<Expr>,
    },
    /// The dimensions of the symbols that have no value of their own; `None` where the equations
    /// leave it open.
    Dimensions(Vec<(SymbolId, Option<Dimension>)>),
    /// Names that together satisfy equations.
    System(Box<System>),
    /// How a result goes with a given.
    Trend(Box<Trend>),
    /// What a result tends to.
    Limit(Box<Limit>),
    /// How much each given matters.
    Sensitivity(Box<Sensitivity>),
    /// What each source of error contributes.
    Budget(Box<Budget>),
    /// The distribution of a result by trials.
    Trials(Box<Trials>),
    /// A result held against a value by its uncertainty.
    Comparison(Box<Comparison>),
    /// A stated correlation of two givens.
    Correlation {
        /// The names.
        names: [SymbolId; 2],
        /// The coefficient.
        coefficient: Expr,
    },
    /// The formula of a fit, and how it fits.
    Fit(Box<Fit>),
    /// What belongs to another line of its block, and is shown there.
    OfBlock,
    /// The definition of a user function.
    Function {
        /// The function; its parameters are in [`Symbols`].
        function: FunctionId,
        /// Its body.
        body: Expr,
        /// The number of the table that it is read off, where it is a table of the worksheet.
        table: Option<usize>,
        /// The other worksheet that it is taken from.
        from: Option<Box<From>>,
    },
    /// A chain of `work`.
    Work(Box<Work>),
    /// A line of `check`.
    Check {
        /// Two or three sides with their values.
        members: Vec<(Expr, Shown)>,
        /// The relations between them.
        relations: Vec<Relation>,
        /// The tolerance.
        within: Option<Expr>,
        /// Of lists the row that is nearest to failing.
        row: Option<usize>,
        /// Whether it holds.
        holds: bool,
        /// How far its sides are apart, where one is uncertain.
        apart: Option<Apart>,
    },
    /// A line of `answer`.
    Answer {
        /// What is answered.
        expr: Expr,
        /// The value with its sign.
        shown: Box<Shown>,
        /// "upstream", and the value without its sign, where the line, `required` or a sketch says
        /// what signs mean.
        direction: Option<Box<(Phrase, Shown)>>,
        /// Replaced data: `at Q = 40 L/s`.
        conditions: Vec<(SymbolId, Replacement)>,
    },
    /// A line of `plot`.
    Plot(Box<Plot>),
    /// A table of readings.
    Table(Box<Table>),
    /// What data vary over.
    Varied(Box<statement::Varied>),
    /// What may be other than in the worksheet.
    MayChange(statement::MayChange),
    /// A line that was refused: only its source can be shown.
    Refused,
    /// A line that is right in itself but needs what failed above.
    NotEvaluated {
        /// The formula as far as it is understood: sides of a chain or check, one for an answer.
        members: Vec<Expr>,
        /// The names it needs, and where they were to be defined.
        needs: Vec<(SymbolId, Span)>,
    },
}

impl Body {
    /// The value that an ask of the statement is answered with.
    pub fn shown(&self) -> Option<&Shown> {
        self.facts().0
    }

    /// Whether an assertion holds, also one of `versions`; `None` for what asserts nothing.
    pub fn holds(&self) -> Option<bool> {
        self.facts().1
    }

    /// The value that is asked, and whether an assertion holds.
    fn facts(&self) -> (Option<&Shown>, Option<bool>) {
        match self {
            Self::Work(work) => (Some(&work.shown), None),
            Self::Answer { shown, .. } => (Some(shown), None),
            Self::Check { holds, .. } => (None, Some(*holds)),
            Self::Trend(trend) => (None, Some(trend.holds)),
            Self::Limit(limit) => (None, Some(limit.holds)),
            Self::Comparison(comparison) => (None, Some(comparison.holds)),
            Self::Given { .. }
            | Self::Required { .. }
            | Self::Equation { .. }
            | Self::Therefore { .. }
            | Self::Solved(_)
            | Self::Component { .. }
            | Self::Balance { .. }
            | Self::Shear(_)
            | Self::Sketch(_)
            | Self::Dimensions(_)
            | Self::System(_)
            | Self::Sensitivity(_)
            | Self::Budget(_)
            | Self::Trials(_)
            | Self::Correlation { .. }
            | Self::Fit(_)
            | Self::OfBlock
            | Self::Varied(_)
            | Self::MayChange(_)
            | Self::Function { .. }
            | Self::Plot(_)
            | Self::Table(_)
            | Self::Refused
            | Self::NotEvaluated { .. } => (None, None),
        }
    }
}

/// An equation held against a balance of a sketch.
#[derive(Debug)]
pub struct Balanced {
    /// The balance, in words.
    pub words: Box<str>,
    /// The label of the sketch.
    pub label: Box<str>,
    /// Its number.
    pub of: usize,
    /// The sides of the balance, derived.
    pub derived: Vec<Expr>,
    /// What was found.
    pub agreement: Agreement,
}

/// A sketch with its numbers.
#[derive(Debug)]
pub struct Sketch {
    /// What it shows.
    pub sketch: Arc<statement::Sketch>,
    /// What each of its quantities comes to, where it has a value.
    pub values: Vec<Option<Magnitude>>,
    /// How each of them turned out.
    pub senses: Vec<Sense>,
    /// How the stream of each section turned out, seen from the control volume.
    pub streams: Vec<Sense>,
    /// What is printed of each of its quantities that is one name.
    pub shown: Vec<Option<Arc<Shown>>>,
    /// What turned out against what was drawn: the quantity, its value, and what it says.
    pub turned: Vec<Turned>,
    /// What its balances take for true without a word, in sentences.
    pub taken_for_true: Vec<String>,
}

impl Sketch {
    /// The same with the values of those quantities only that are made of some names; how others
    /// turned out is not told.
    #[must_use]
    pub fn showing(&self, open: &FxHashSet<SymbolId>) -> Self {
        let is_open = |id: usize| {
            let mut all = true;
            let mut look = |symbol: SymbolId, _| all &= open.contains(&symbol);
            if let Some(expr) = self.sketch.quantities.get(id) {
                expr.for_each_symbol(&mut look);
            }
            all
        };
        let shown = |values: &[Option<Arc<Shown>>]| {
            let values = values.iter().enumerate();
            let own = values.map(|(id, it)| it.clone().filter(|_| is_open(id)));
            own.collect()
        };
        let values = self.values.iter().enumerate();
        Self {
            sketch: Arc::clone(&self.sketch),
            values: values.map(|(id, it)| it.filter(|_| is_open(id))).collect(),
            senses: vec![Sense::Unknown; self.senses.len()],
            streams: vec![Sense::Unknown; self.streams.len()],
            shown: shown(&self.shown),
            turned: Vec::new(),
            taken_for_true: self.taken_for_true.clone(),
        }
    }
}

/// How a magnitude turned out against what was drawn.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Sense {
    /// It has no value.
    Unknown,
    /// It is nothing.
    Zero,
    /// As it was drawn.
    Forward,
    /// The other way.
    Back,
}

/// What a straight member of a sketch holds together at a cut.
#[derive(Debug)]
pub struct Cut {
    /// The number of the sketch.
    pub sketch: usize,
    /// Its label.
    pub label: Box<str>,
    /// The functions, each with its formula piece by piece.
    pub lines: Vec<(FunctionId, Expr)>,
    /// The figure, where all that acts has a value.
    pub figure: Option<Box<CutFigure>>,
}

/// The shear and moment lines of a member, under it. Numbers are in coherent SI units.
#[derive(Debug)]
pub struct CutFigure {
    /// The sketch with its numbers.
    pub sketch: Sketch,
    /// How long the member is.
    pub length: f64,
    /// Where it goes on the page from its first place, in radians anticlockwise from right.
    pub along: f64,
    /// How far each place of the sketch is from the first, where it is on the member.
    pub far: Vec<Option<f64>>,
    /// The numbers of its first and last place.
    pub ends: [usize; 2],
    /// Its lines.
    pub lines: Vec<CutLine>,
}

/// One line of a member.
#[derive(Debug)]
pub struct CutLine {
    /// What is counted.
    pub inner: Inner,
    /// Its function.
    pub function: FunctionId,
    /// How far from the first place, and how much there.
    pub runs: Vec<(f64, f64)>,
    /// What is written on it.
    pub marks: Vec<CutMark>,
    /// Where it is greatest, and least.
    pub extremes: [CutMark; 2],
}

/// A value of such a line.
#[derive(Debug)]
pub struct CutMark {
    /// How far from the first place.
    pub far: f64,
    /// How much.
    pub value: f64,
    /// The same as it is printed.
    pub shown: Shown,
    /// Where that is, as it is told.
    pub at: CutAt,
}

/// Where a value of such a line is.
#[derive(Debug)]
pub enum CutAt {
    /// At a place of the sketch.
    Place(usize),
    /// All along between two.
    Between([usize; 2]),
    /// So far from the first place.
    Far(Box<Shown>),
}

/// A magnitude of a sketch of which something is to be said.
#[derive(Debug)]
pub struct Turned {
    /// The name.
    pub symbol: SymbolId,
    /// Its value.
    pub shown: Arc<Shown>,
    /// What that means on the page.
    pub words: Phrase,
    /// Whether it came out below zero.
    pub is_turned: bool,
}

/// Words with formulas between them.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Phrase(pub Vec<Said>);

/// A part of a phrase.
#[derive(Debug, Clone, PartialEq)]
pub enum Said {
    /// Words.
    Words(String),
    /// A formula.
    Formula(Expr),
}

impl Phrase {
    /// Words alone.
    pub fn words(words: impl Into<String>) -> Self {
        Self(vec![Said::Words(words.into())])
    }

    /// The same with words before it and behind.
    #[must_use]
    pub fn between(self, before: &str, behind: &str) -> Self {
        let before = Self::words(before).0.into_iter();
        let behind = Self::words(behind).0;
        Self(before.chain(self.0).chain(behind).collect())
    }

    /// As plain text, formulas as they are written in a text.
    pub fn plain(&self, text: &str) -> String {
        let parts = self.0.iter().map(|said| match said {
            Said::Words(words) => words.as_str(),
            Said::Formula(formula) => formula.span.of(text),
        });
        parts.collect()
    }
}

/// Where a name of another worksheet is taken from.
#[derive(Debug)]
pub struct From {
    /// The file.
    pub file: Box<str>,
    /// What stands for parameters or givens there, by their names.
    pub at: Vec<(SymbolId, Expr)>,
}

/// A line of `plot` with its numbers, which are in the units of the axes.
#[derive(Debug)]
pub enum Plot {
    /// What the plot is called.
    Caption,
    /// Points, one a row.
    Points {
        /// What is counted upward, and to the right.
        axes: Box<[PlotAxis; 2]>,
        /// The points.
        points: Vec<PlotPoint>,
    },
    /// A curve.
    Curve {
        /// What is counted upward, and to the right.
        axes: Box<[PlotAxis; 2]>,
        /// Places to the right with what is there upward, in runs without a gap.
        runs: Vec<Vec<(f64, f64)>>,
        /// Whether there are places without a value.
        has_gaps: bool,
    },
    /// The curve of a fit.
    Fit {
        /// The label of the fit.
        label: Box<str>,
        /// As of a curve, with the standard uncertainty at each place.
        runs: Vec<Vec<(f64, f64, f64)>>,
        /// The band that goes around it.
        band: Option<Band>,
    },
    /// What the points are off the curve of a fit.
    Residuals {
        /// The points.
        points: Vec<PlotPoint>,
        /// What is counted upward, and to the right where that is not what the plot counts there.
        axes: Option<Box<[PlotAxis; 2]>>,
    },
    /// A result.
    Place(PlotPoint),
    /// A line at one value.
    Level {
        /// The value.
        value: f64,
        /// Whether it is upright.
        is_upright: bool,
    },
    /// How all of it is drawn.
    Look(Look),
}

/// What an axis of a plot counts.
#[derive(Debug)]
pub struct PlotAxis {
    /// The quantity.
    pub quantity: Expr,
    /// Its unit.
    pub unit: Unit,
    /// "gauge", "abs" or "difference" after the unit.
    pub datum: Option<&'static str>,
    /// How times are written that it counts, in seconds.
    pub times: Option<Pattern>,
}

/// A point of a plot, each number with its standard uncertainty.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PlotPoint {
    /// Upward.
    pub y: (f64, f64),
    /// To the right.
    pub x: (f64, f64),
    /// Whether its row was left out.
    pub is_left_out: bool,
}

/// A table of readings.
#[derive(Debug)]
pub struct Table {
    /// Where its label stands, by which its rows are known.
    pub(crate) place: Span,
    /// The path of the file in which it stands.
    pub file: Option<Box<str>>,
    /// Columns whose readings in a row are of one moment.
    pub together: Vec<Vec<SymbolId>>,
    /// Its columns, from left to right.
    pub columns: Vec<TableColumn>,
    /// How many rows it has.
    pub rows: usize,
    /// The rows that take no part, by the reason.
    pub left_out: Vec<LeftOut>,
}

impl Table {
    /// More rows than this are not all shown.
    pub const MOST_ROWS: usize = 40;
}

/// A column of a table.
#[derive(Debug)]
pub struct TableColumn {
    /// Its heading as the author wrote it; of readings the name alone.
    pub heading: String,
    /// What stands below.
    pub entries: Entries,
}

/// What stands below a heading.
#[derive(Debug)]
pub enum Entries {
    /// Readings.
    Readings {
        /// The name of the list.
        symbol: SymbolId,
        /// The unit that the numbers count in.
        unit: Unit,
        /// "gauge", "abs" or "difference" behind the unit.
        word: Option<&'static str>,
        /// One a row.
        readings: Arc<[Option<tables::Reading>]>,
        /// Where they are times, as those are written.
        times: Option<Times>,
        /// Where they stand, by which their errors are known.
        place: Span,
        /// Their values without the rows that take no part.
        shown: Arc<Shown>,
        /// What they are.
        description: Text,
        /// Where that is written.
        described: Option<Span>,
        /// What they are uncertain by, one source of error each.
        uncertain: Vec<ReadingsUncertain>,
        /// How many there are, with their mean, the least and the greatest, where not all rows are
        /// shown.
        summary: Option<Box<[String; 4]>>,
    },
    /// Standard uncertainties of the readings of another column.
    Uncertainties {
        /// The name of those readings.
        of: SymbolId,
        /// The unit that the numbers count in.
        unit: Unit,
        /// One a row.
        readings: Arc<[Option<tables::Reading>]>,
    },
    /// Words, one a row.
    Words(Arc<[Box<str>]>),
}

impl TableColumn {
    /// What stands in a row, as it is written; a missing reading is a dash.
    pub fn entry(&self, row: usize) -> Cow<'_, str> {
        let (readings, times) = match &self.entries {
            Entries::Words(words) => return words.get(row).map_or("", |word| word).into(),
            Entries::Readings {
                readings, times, ..
            } => (readings, times.as_ref()),
            Entries::Uncertainties { readings, .. } => (readings, None),
        };
        let Some(reading) = readings.get(row).and_then(Option::as_ref) else {
            return "–".into();
        };
        if let Some(times) = times {
            return times.written.get(row).map_or("", |it| it).into();
        }
        let number = reading.number.text();
        match reading.uncertainty {
            Some(size) => format!("{number} ± {}", size.text()).into(),
            None => number.into(),
        }
    }
}

/// How far what a check compares is apart, where that is uncertain.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Apart {
    /// In standard uncertainties of the difference.
    pub standard: f64,
    /// Whether the uncertain side, the first of two, is the greater one.
    pub is_above: bool,
    /// Whether there are further limits, of which this is the nearest.
    pub is_nearest: bool,
}

/// What the readings of a column are uncertain by, in words.
#[derive(Debug)]
pub struct ReadingsUncertain {
    /// As it is written, and the unit that it counts in; `None` where each reading has its own.
    pub size: Option<(SizeShown, Unit)>,
    /// Whether it is the standard uncertainty.
    pub is_standard: bool,
    /// "each reading by itself"
    pub of: String,
}

/// Rows that take no part.
#[derive(Debug)]
pub struct LeftOut {
    /// Which, from 0.
    pub rows: Vec<usize>,
    /// Why, as the author wrote it.
    pub reason: String,
}

/// A chain of `work` with its results.
#[derive(Debug)]
pub struct Work {
    /// What stands left of the first equals sign.
    pub lead: Expr,
    /// The formulas after it, each verified.
    pub members: Vec<Expr>,
    /// Whether the formula was restated from a labelled equation above: its number.
    pub from: Option<usize>,
    /// The equation that it was restated from.
    pub origin: Option<Origin>,
    /// How well the search converged, where the value is a root of the equation.
    pub convergence: Option<Convergence>,
    /// Replaced givens: `at Q = 40 L/s`.
    pub conditions: Vec<(SymbolId, Replacement)>,
    /// The numbers to put in for the symbols; `None` where that would show nothing new.
    pub put_in: Option<Box<PutIn>>,
    /// What the sign of a what-if means in a sketch.
    pub reads: Option<Phrase>,
    /// The result.
    pub shown: Arc<Shown>,
    /// The rows of a table that it has an entry for each of.
    pub rows: Option<RowsOf>,
    /// The claim that was verified, as the author wrote it.
    pub claim: Option<Box<Shown>>,
    /// How far the nearest rows of a table put the result elsewhere than the curve between two of
    /// them, where that is more than the table is uncertain by, and whether higher.
    pub left_out: Option<Box<(Shown, bool)>>,
    /// What is said of the scatter that it found.
    pub scatter: Vec<evaluate::ScatterWord>,
}

/// What is put in for the symbols of a chain, so that it gives the result as it stands.
#[derive(Debug)]
pub struct PutIn {
    /// The formulas with calls written out, where they have any.
    pub members: Option<Vec<Expr>>,
    /// The numbers of the symbols, with as many digits as the result needs.
    pub operands: Vec<(SymbolId, Arc<Shown>)>,
    /// Those that the formulas write themselves, where they are put in otherwise.
    pub literals: Vec<(Span, Arc<Shown>)>,
    /// The result in the unit in which the numbers give it, where it is shown in another.
    pub between: Option<Arc<Shown>>,
}

impl Work {
    /// The value that is told: a claim as the author wrote it.
    pub fn told(&self) -> &Shown {
        self.claim.as_deref().unwrap_or(&self.shown)
    }

    /// The numbers that are put in for symbols; none where that would show nothing new.
    pub fn operands(&self) -> &[(SymbolId, Arc<Shown>)] {
        self.put_in.as_ref().map_or(&[], |it| &it.operands)
    }

    /// Those that are put in for what the formulas write themselves.
    pub fn literals(&self) -> &[(Span, Arc<Shown>)] {
        self.put_in.as_ref().map_or(&[], |it| &it.literals)
    }
}

impl PutIn {
    /// The formulas that the numbers are put into, where those of the chain are `members`.
    pub fn members<'a>(&'a self, members: &'a [Expr]) -> &'a [Expr] {
        self.members.as_deref().unwrap_or(members)
    }
}

/// Names that together satisfy equations.
#[derive(Debug)]
pub struct System {
    /// The equations.
    pub origins: Vec<Origin>,
    /// The names with their values.
    pub unknowns: Vec<(SymbolId, Arc<Shown>)>,
    /// How well the search converged.
    pub convergence: Convergence,
}

/// A fit.
#[derive(Debug)]
pub struct Fit {
    /// The two sides of the formula.
    pub members: Vec<Expr>,
    /// The parameters with their values.
    pub parameters: Vec<(SymbolId, Arc<Shown>)>,
    /// The residual standard deviation, where all rows weigh alike.
    pub deviation: Option<Shown>,
    /// What is said of it, a sentence or two each.
    pub remarks: Vec<String>,
    /// What is said of its scatter.
    pub scatter: Vec<evaluate::ScatterWord>,
    /// Its numbers, in coherent SI units.
    pub numbers: FitNumbers,
}

/// A fit by its numbers, in coherent SI units.
#[derive(Debug)]
pub struct FitNumbers {
    /// The parameters with their standard uncertainties.
    pub parameters: Vec<(f64, f64)>,
    /// The correlation of each parameter with those before it.
    pub correlations: Vec<Vec<f64>>,
    /// The rows that take part, from 0.
    pub rows: Vec<usize>,
    /// Their residuals, left less right.
    pub residuals: Vec<f64>,
    /// Rows less parameters.
    pub degrees: f64,
    /// The residual standard deviation, where the spread is from the residuals.
    pub deviation: Option<f64>,
    /// Σ (residual/u)², where the rows are weighted by their uncertainties.
    pub chi_squared: Option<f64>,
    /// The steps of the search.
    pub steps: u32,
    /// What the rows are weighted by, in words.
    pub weighted: &'static str,
}

/// How a result goes with a given.
#[derive(Debug)]
pub struct Trend {
    /// What is looked at.
    pub subject: Expr,
    /// How it is to go.
    pub way: Way,
    /// The given that changes.
    pub with: SymbolId,
    /// The tolerance of an exponent.
    pub within: Option<Expr>,
    /// The derivative in symbols, where it is short.
    pub formula: Option<Expr>,
    /// The derivative at the data.
    pub derivative: Shown,
    /// The exponent with which it varies there; `None` where the result is zero.
    pub exponent: Option<f64>,
    /// Whether it goes as claimed.
    pub holds: bool,
}

/// What a result tends to.
#[derive(Debug)]
pub struct Limit {
    /// What is looked at.
    pub subject: Expr,
    /// What it is to tend to.
    pub value: End,
    /// The given that changes.
    pub with: SymbolId,
    /// What the given tends to.
    pub at: End,
    /// The value that was reached on the way.
    pub reached: Shown,
    /// Whether that is what is claimed.
    pub holds: bool,
}

/// How much each given matters for a result.
#[derive(Debug)]
pub struct Sensitivity {
    /// The result.
    pub subject: Expr,
    /// Its value.
    pub shown: Shown,
    /// The givens that matter, most first.
    pub rows: Vec<SensitivityRow>,
}

/// How much one given matters.
#[derive(Debug)]
pub struct SensitivityRow {
    /// The given.
    pub given: SymbolId,
    /// Its value.
    pub shown: Arc<Shown>,
    /// The derivative of the result by it.
    pub derivative: Shown,
    /// The change of the result, as a part of it, for a change of the given by 1 %; `None` where
    /// the result is zero.
    pub change: Option<f64>,
}

/// A result held against a value.
#[derive(Debug)]
pub struct Comparison {
    /// The result, and its value.
    pub subject: (Expr, Shown),
    /// How it is held, with the values.
    pub held: Held<(Expr, Shown)>,
    /// The coverage factor that is stated.
    pub within: Option<CoverageFactor>,
    /// Whether the factor is told in words.
    pub in_words: bool,
    /// The side that decides: 0, or 1 for an upper limit beside a lower one.
    pub side: usize,
    /// The row that decides, where there are several.
    pub row: Option<usize>,
    /// How far the result is from that side, for a limit how far inside, as it is printed.
    pub difference: Shown,
    /// The standard uncertainty of that; for a limit its expanded one.
    pub uncertainty: Shown,
    /// What came of it.
    pub compared: evaluate::Compared,
    /// Whether it is as claimed.
    pub holds: bool,
}

/// The distribution of a result by trials.
#[derive(Debug)]
pub struct Trials {
    /// The density of the values, in the unit of the result: the ends of each bin, and how much of
    /// all lies there.
    pub density: Vec<(f64, f64, f64)>,
    /// The normal curve of first order.
    pub normal: Vec<(f64, f64)>,
    /// The result.
    pub subject: Expr,
    /// Its value.
    pub shown: Shown,
    /// The intervals of the trials, and that of first order.
    pub rows: Vec<TrialsRow>,
    /// Whether their number was asked for.
    pub is_counted: bool,
    /// What came of them.
    pub drawn: evaluate::Drawn,
}

/// An interval with what it is around.
#[derive(Debug)]
pub struct TrialsRow {
    /// Whose it is.
    pub name: &'static str,
    /// The mean, or the value.
    pub mean: Shown,
    /// The standard uncertainty.
    pub uncertainty: Shown,
    /// The lower end.
    pub low: Shown,
    /// The upper end.
    pub high: Shown,
}

/// What each source of error contributes to a result.
#[derive(Debug)]
pub struct Budget {
    /// The result.
    pub subject: Expr,
    /// Its value.
    pub shown: Shown,
    /// The sources, the largest first.
    pub rows: Vec<BudgetRow>,
    /// The degrees of freedom; `None` where they cannot be told.
    pub degrees: Option<f64>,
    /// The expanded uncertainty, with its factor, where they can.
    pub expanded: Option<(Shown, f64)>,
    /// Whether the factor is told in words.
    pub in_words: bool,
}

/// What a source, or several together, contribute.
#[derive(Debug)]
pub struct BudgetRow {
    /// What it is an error of.
    pub names: Vec<SymbolId>,
    /// Where what has no name stands, or the line that it comes from.
    pub(crate) place: Option<Span>,
    /// The constant that it is the error of.
    pub constant: Option<&'static str>,
    /// How many errors of one column or list it stands for.
    pub count: usize,
    /// So many small sources together.
    pub together: Option<usize>,
    /// Whether it is the part of a stated correlation between two.
    pub is_correlation: bool,
    /// Whether it is the scatter of readings, whatever their number.
    pub by_scatter: bool,
    /// The value that it is an error of.
    pub shown: Option<Shown>,
    /// Its standard uncertainty.
    pub uncertainty: Option<Shown>,
    /// `A`, or `B` with its distribution.
    pub kind: String,
    /// Its degrees of freedom; of several together none.
    pub degrees: Option<f64>,
    /// The derivative of the result by it.
    pub sensitivity: Option<Shown>,
    /// Its standard uncertainty in the result.
    pub contribution: Shown,
    /// Its part of the square of the uncertainty.
    pub share: f64,
}

/// The interval that is printed around a value.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Coverage {
    /// The least factor of its numbers, and the largest.
    pub factors: (f64, f64),
    /// The part of all values within it, where that is asked.
    pub level: Option<f64>,
    /// Whether the factor is said in words.
    pub in_words: bool,
}

impl Coverage {
    /// That of a number with these degrees of freedom, among those that it is of.
    fn of(self, degrees: Option<f64>) -> Self {
        let factor = self.level.zip(degrees);
        let factor = factor.map(|(level, degrees)| evaluate::coverage_factor(level, degrees));
        Self {
            factors: factor.map_or(self.factors, |factor| (factor, factor)),
            ..self
        }
    }
}

/// A standard uncertainty as it is printed.
#[derive(Debug, Clone, PartialEq)]
pub struct Spread {
    /// In the unit of the value, full precision.
    pub size: f64,
    /// Rounded to the place of the value.
    pub digits: Decimal,
    /// Whether it is of second order, at a point where the first vanishes.
    pub is_second_order: bool,
}

/// An uncertainty as the author wrote it.
#[derive(Debug, Clone, PartialEq)]
pub struct SizeShown {
    /// How it is written.
    pub form: SizeForm,
    /// Its terms.
    pub terms: Vec<TermShown>,
    /// The words behind it: `k = 2`, `rectangular`, `common`.
    pub words: Vec<String>,
}

/// A term of an uncertainty as the author wrote it.
#[derive(Debug, Clone, PartialEq)]
pub struct TermShown {
    /// Its number.
    pub number: String,
    /// The unit that it has beside that of the value.
    pub unit: Option<Unit>,
    /// What it is a share of, where that is not the value: `600 kPa`.
    pub of: Option<Box<(String, Unit)>>,
}

impl SizeShown {
    /// Whether it stands in brackets with its number, or in the concise form behind it: the unit
    /// is that of both.
    pub fn shares_unit(&self) -> bool {
        match self.form {
            SizeForm::Concise => true,
            SizeForm::PlusMinus => matches!(self.terms.as_slice(), [only] if only.unit.is_none()),
            SizeForm::Resolution | SizeForm::Counts => false,
        }
    }
}

/// A value as it is printed.
#[derive(Debug, Clone, PartialEq)]
pub struct Shown {
    /// In coherent SI units (absolute kelvin for temperature points; gauge pressures as read).
    pub si: Vec<f64>,
    /// In `unit`, full precision.
    pub values: Vec<f64>,
    /// The printed digits of each value; `None` prints `written`.
    pub digits: Vec<Decimal>,
    /// The author's own text for the number, where it is a literal.
    pub written: Option<String>,
    /// What the numbers are to each other.
    pub shape: Shape,
    /// The unit.
    pub unit: Unit,
    /// "gauge", "abs" or "difference" after the unit.
    pub word: Option<&'static str>,
    /// The standard uncertainty of each value that has one; empty where none has.
    pub uncertainties: Vec<Option<Spread>>,
    /// The interval that is printed, where it is not one standard uncertainty.
    pub coverage: Option<Coverage>,
    /// The degrees of freedom of each value that is uncertain; `None` where they cannot be told.
    pub degrees: Vec<Option<f64>>,
    /// Whether digits were asked for that the uncertainty has no place for.
    pub is_cut: bool,
    /// The author's own uncertainties, where it is a literal.
    pub sizes: Vec<SizeShown>,
    /// The power of ten behind the author's own brackets around both.
    pub power: Option<i32>,
    /// Significant figures it is printed with; 0 as written.
    pub figures: u8,
    /// The value, and what it counts from: more digits are taken from there.
    pub(crate) origin: Option<Box<(Arc<evaluate::Value>, Reading, Counts)>>,
    /// What is not certain of the digits.
    pub(crate) doubt: Option<Doubt>,
}

impl Shown {
    /// The same without its sign: one number that counts from zero.
    #[must_use]
    pub fn magnitude(&self) -> Self {
        let bare = |written: &String| written.trim_start_matches(['-', '−']).to_owned();
        Self {
            si: self.si.iter().map(|it| it.abs()).collect(),
            values: self.values.iter().map(|it| it.abs()).collect(),
            digits: self.digits.iter().map(Decimal::magnitude).collect(),
            written: self.written.as_ref().map(bare),
            ..self.clone()
        }
    }

    /// The same without what it is uncertain by.
    #[must_use]
    pub fn bare(&self) -> Self {
        Self {
            uncertainties: Vec::new(),
            coverage: None,
            sizes: Vec::new(),
            ..self.clone()
        }
    }

    /// One entry of a list or component of a vector as a value of its own.
    #[must_use]
    pub fn component(&self, index: usize) -> Self {
        fn only<T: Clone>(all: &[T], index: usize) -> Vec<T> {
            all.get(index).cloned().into_iter().collect()
        }
        let part = |written: &String| {
            list_parts(written)
                .nth(index)
                .map(|it| it.trim().to_owned())
        };
        let coverage = self.coverage.and_then(|coverage| {
            self.uncertainties.get(index)?.as_ref()?;
            let degrees = self.degrees.get(index).copied().flatten();
            Some(coverage.of(degrees))
        });
        Self {
            coverage,
            si: only(&self.si, index),
            values: only(&self.values, index),
            digits: only(&self.digits, index),
            uncertainties: only(&self.uncertainties, index),
            degrees: only(&self.degrees, index),
            written: self.written.as_ref().and_then(part),
            shape: Shape::One,
            unit: self.unit.clone(),
            sizes: self.sizes.clone(),
            origin: self.origin.clone(),
            doubt: self.doubt,
            ..*self
        }
    }

    /// What a list has in a row; any other value is itself.
    pub fn in_row(&self, row: Option<usize>) -> Cow<'_, Self> {
        match row {
            Some(row) if self.shape == Shape::List => Cow::Owned(self.component(row)),
            _ => Cow::Borrowed(self),
        }
    }

    /// What it counts from, by its word or by its unit.
    pub fn datum(&self) -> Option<&'static str> {
        match self.unit.mark() {
            Mark::Gauge => Some("gauge"),
            Mark::Absolute => Some("abs"),
            Mark::Clock(clock) => Some(clock.zero()),
            _ => self.word,
        }
    }
}

/// The texts between the commas of a list.
pub(crate) fn list_parts(written: &str) -> impl Iterator<Item = &str> {
    written.trim_matches(['[', ']', '(', ')', ' ']).split(',')
}
