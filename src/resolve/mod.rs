//! Names to definitions: what each word of a statement means.
//!
//! In go the syntax trees of all blocks and inline asks, out come statements whose symbols,
//! functions, constants and units are decided, with every mistake about names as a diagnostic.
//! Dimensions and numbers are left to the passes after this one.

mod affine;
pub mod algebraic;
pub mod broken;
mod call;
mod celsius;
pub mod components;
mod declare;
mod define;
mod equations;
mod expr;
mod forms;
mod labelled;
mod literal;
mod look_back;
mod meaning;
mod numbers;
mod occurrences;
pub mod others;
mod product;
mod put_in;
pub mod setting;
mod sizes;
pub mod slip;
mod solving;
pub mod statement;
mod symbols;
pub mod tree;
mod typed;
mod vectors;
mod which;
pub mod written;

use std::sync::Arc;

use rustc_hash::{FxHashMap, FxHashSet};

use crate::algebra::{Effort, Sign};
use crate::diagnostic::Diagnostic;
use crate::quantity::Unit;
use crate::questions::Asker;
use crate::syntax::{self, BlockKind};
use crate::text::{Reader, Span};

pub use affine::Through;
pub use forms::{Facts, Inline, Kind, Stated, Taken, TakenAs, Task, not_read};
pub use literal::{composed, instead_of_unit};
pub use meaning::Meaning;
pub use occurrences::{Mention, Occurrence};
pub use others::{Elsewhere, Found, Named, Others, Theirs, Wanted};
pub use statement::Statement;
pub use symbols::{BySymbol, Symbols, UserFunction};
pub use tree::{
    Case, Condition, Expr, ExprKind, Factor, FunctionId, Quantity, ReadOff, Shape, Size, SizeForm,
    SymbolId, Term, TermWritten,
};
pub use typed::Typed;
pub use which::Which;

/// A block of statements, as it was parsed.
#[derive(Debug, Clone, Copy)]
pub struct Block<'a> {
    /// Which block.
    pub kind: BlockKind,
    /// The problem it belongs to; 0 is shared.
    pub problem: usize,
    /// Its lines.
    pub lines: &'a [syntax::Line],
    /// Where the lines of its text stand, also those that could not be read.
    pub places: &'a [Span],
}

/// An inline ask, as it was parsed.
#[derive(Debug, Clone, Copy)]
pub struct InlineAsk<'a> {
    /// The problem it belongs to.
    pub problem: usize,
    /// Where it stands.
    pub span: Span,
    /// What it says.
    pub ask: &'a syntax::Inline,
}

/// A worksheet whose names are decided.
#[derive(Debug, Default)]
pub struct Resolved {
    /// Its symbols and functions.
    pub symbols: Symbols,
    /// The statements of each block.
    pub blocks: Vec<Vec<Statement>>,
    /// The inline asks; `None` where one was refused.
    pub inlines: Vec<Option<Inline>>,
    /// Labels by problem: the label, its number and the statement it names.
    pub labels: FxHashMap<(usize, Box<str>), (usize, statement::Origin)>,
    /// The signs of the data, by their literals.
    pub signs: FxHashMap<SymbolId, Sign>,
    /// Where each symbol is to be defined.
    pub places: FxHashMap<SymbolId, Span>,
    /// The symbols of weighted means, by their places.
    pub means: FxHashMap<Span, SymbolId>,
    /// The names in what belongs to the problem itself, in the order of the text.
    pub occurrences: Vec<Occurrence>,
    /// The symbols that stand for values of other worksheets.
    pub elsewhere: Vec<(SymbolId, others::Elsewhere)>,
    /// What each `solve` asks.
    pub asked: Vec<statement::Asked>,
    /// The functions that were copied from other worksheets, with the lines that take them.
    pub copied_functions: Vec<(statement::Origin, FunctionId, Expr)>,
}

impl Resolved {
    /// The user functions: where each is defined, and its body.
    pub fn functions(&self) -> impl Iterator<Item = (statement::Origin, FunctionId, &Expr)> {
        let is_empty = self.symbols.function_count() == 0;
        let blocks = if is_empty { &[][..] } else { &self.blocks };
        let own = blocks.iter().enumerate().flat_map(|(block, statements)| {
            (statements.iter().enumerate()).flat_map(move |(at, statement)| {
                let origin = statement::Origin {
                    block,
                    statement: at,
                };
                let functions = statement.facts().functions.into_iter();
                functions.map(move |(function, body)| (origin, function, body))
            })
        });
        let copied = self.copied_functions.iter();
        own.chain(copied.map(|(origin, function, body)| (*origin, *function, body)))
    }
}

/// What a problem may ask beyond its own text.
#[derive(Clone, Copy)]
pub struct Access<'a> {
    /// Questions that are answered once.
    pub asker: &'a Asker<'a>,
    /// The files beside the worksheet.
    pub reader: &'a Reader<'a>,
    /// Other worksheets.
    pub others: &'a dyn Others,
}

/// Resolves all blocks from top to bottom, then the inline asks, which may name anything of
/// `problem`. Names are recorded where they belong to it, and in `mentions` of its prose.
pub fn resolve(
    text: &str,
    problem: usize,
    blocks: &[Block<'_>],
    inlines: &[InlineAsk<'_>],
    mentions: &[Mention],
    access: Access<'_>,
) -> (Resolved, Vec<Diagnostic>) {
    let asker = access.asker;
    let mut resolver = Resolver::new(text, access);
    resolver.declare(blocks);
    resolver.effort = [0, 1].map(|problem| effort_of_one(asker, problem, blocks));
    resolver.find_vectors(blocks);
    let statements = (blocks.iter().enumerate())
        .map(|(index, block)| resolver.block(index, *block))
        .collect();
    resolver.look_back(blocks);
    resolver.reach_everything();
    let occurrences = resolver.occurrences(problem, blocks, inlines, mentions);
    let inlines = (inlines.iter())
        .map(|inline| resolver.inline(inline))
        .collect();
    let resolved = Resolved {
        symbols: resolver.symbols,
        blocks: statements,
        inlines,
        labels: resolver.labels,
        signs: resolver.signs,
        places: resolver.later,
        means: resolver.means,
        occurrences,
        elsewhere: resolver.elsewhere,
        copied_functions: resolver.copied_functions,
        asked: resolver.asked,
    };
    (resolved, resolver.diagnostics)
}

/// How many steps of algebra each `solve` of a problem may take.
fn effort_of_one(asker: &Asker<'_>, problem: usize, blocks: &[Block<'_>]) -> u32 {
    let own = blocks.iter().filter(|block| block.problem == problem);
    let lines = own.flat_map(|block| block.lines);
    let solves = lines.filter(|line| match &line.statement {
        syntax::Statement::Plot(plot) => plot.shows_a_fit(),
        other => matches!(other, syntax::Statement::Solve(_)),
    });
    Effort::SOLVING.of_one(asker.share(problem), solves.count())
}

impl<'a> Resolver<'a> {
    fn new(text: &'a str, access: Access<'a>) -> Self {
        let Access {
            asker,
            reader,
            others,
        } = access;
        Self {
            text,
            asker,
            reader,
            others,
            copies: others::Copies::default(),
            elsewhere: Vec::new(),
            functions_elsewhere: Vec::new(),
            copied_functions: Vec::new(),
            taken_from: FxHashSet::default(),
            symbols: Symbols::default(),
            problem: 0,
            symbolic: false,
            in_fit: false,
            parameters: Vec::new(),
            definition: Span::default(),
            ready: FxHashSet::default(),
            later: FxHashMap::default(),
            given: FxHashSet::default(),
            signs: FxHashMap::default(),
            numbers: FxHashMap::default(),
            keeps_equations: false,
            known: Vec::new(),
            refused: FxHashSet::default(),
            spans: FxHashMap::default(),
            bodies: FxHashMap::default(),
            broken_functions: FxHashSet::default(),
            own_functions: FxHashSet::default(),
            headings: FxHashSet::default(),
            means: FxHashMap::default(),
            units: FxHashMap::default(),
            equations: FxHashMap::default(),
            effort: [0; 2],
            labels: FxHashMap::default(),
            label_count: 0,
            plot_axes: None,
            plot_reach: statement::Reach::default(),
            fits: FxHashMap::default(),
            sketches: Vec::new(),
            found: Vec::new(),
            asked: Vec::new(),
            has_refused_sketch: false,
            needs: None,
            drawn: FxHashMap::default(),
            lists: FxHashSet::default(),
            made: FxHashMap::default(),
            sign_words: FxHashMap::default(),
            diagnostics: Vec::new(),
            above: Some(0),
        }
    }
}

/// The state of the walk.
struct Resolver<'a> {
    text: &'a str,
    /// Who asks for solutions in symbols.
    asker: &'a Asker<'a>,
    /// Who reads files beside the worksheet.
    reader: &'a Reader<'a>,
    /// Other worksheets.
    others: &'a dyn Others,
    /// What was copied from them.
    copies: others::Copies,
    /// The symbols that stand for values of other worksheets.
    elsewhere: Vec<(SymbolId, others::Elsewhere)>,
    /// The functions that were copied from them.
    functions_elsewhere: Vec<(FunctionId, Expr)>,
    /// The same with the lines that take them.
    copied_functions: Vec<(statement::Origin, FunctionId, Expr)>,
    /// The other problems of which was said what is wrong with them.
    taken_from: FxHashSet<usize>,
    symbols: Symbols,
    /// The problem of the current statement.
    problem: usize,
    /// In `derive`: any name is a quantity, none is a unit.
    symbolic: bool,
    /// In the formula of a fit: a name without a value may be asked below it.
    in_fit: bool,
    /// The parameters of the function whose body is being resolved.
    parameters: Vec<Box<str>>,
    /// Where the name of that function stands.
    definition: Span,
    /// Symbols that are defined above the current statement.
    ready: FxHashSet<SymbolId>,
    /// Where each symbol is defined, anywhere in the worksheet.
    later: FxHashMap<SymbolId, Span>,
    /// Symbols that are data, and so may be replaced in a condition.
    given: FxHashSet<SymbolId>,
    /// The signs of the data.
    signs: FxHashMap<SymbolId, Sign>,
    /// The data that are one number, in coherent SI units.
    numbers: FxHashMap<SymbolId, f64>,
    /// Whether any line refers to an equation or plots a fit, so that formulas have to be kept.
    keeps_equations: bool,
    /// The equations of `derive` so far.
    known: Vec<labelled::Known>,
    /// Where the solutions of the engine stand.
    spans: FxHashMap<statement::Origin, Span>,
    /// Equations that were refused.
    refused: FxHashSet<statement::Origin>,
    /// The bodies of user functions so far, for the algebra.
    bodies: FxHashMap<FunctionId, Expr>,
    /// Functions whose definition was refused, as symbols without a value.
    broken_functions: FxHashSet<SymbolId>,
    /// Functions of the author with names of newer functions of the language, by problem.
    own_functions: FxHashSet<(usize, Box<str>)>,
    /// The headings of words of the tables above, each with its problem.
    headings: FxHashSet<(usize, Box<str>)>,
    /// The symbols of weighted means, by their places.
    means: FxHashMap<Span, SymbolId>,
    /// Units that were looked up, by their text.
    units: FxHashMap<Box<str>, Unit>,
    equations: FxHashMap<(usize, Box<str>), Vec<equations::Equation>>,
    /// Steps of algebra that one solution may take.
    effort: [u32; 2],
    labels: FxHashMap<(usize, Box<str>), (usize, statement::Origin)>,
    label_count: usize,
    /// What the axes of the present plot count: upward, and to the right.
    plot_axes: Option<[syntax::Side; 2]>,
    /// What the present plot says of its level axis.
    plot_reach: statement::Reach,
    /// The fits, by their blocks.
    fits: FxHashMap<usize, statement::Fit>,
    /// The sketches so far.
    sketches: Vec<Arc<statement::Sketch>>,
    /// Those of them as they turned out.
    found: Vec<Arc<statement::Sketch>>,
    /// What each `solve` so far asks.
    asked: Vec<statement::Asked>,
    /// Which way each magnitude of a sketch is drawn, and where that is said; nothing for one that is
    /// drawn both ways, on two bodies.
    drawn: FxHashMap<SymbolId, Option<(crate::syntax::Bearing, Span)>>,
    /// Whether the first line of a sketch was refused, and with it its label.
    has_refused_sketch: bool,
    /// The refused line of a sketch that the present line needs.
    needs: Option<Span>,
    /// The lists of a worksheet that plots fits, and the formulas of those that were made.
    lists: FxHashSet<SymbolId>,
    made: FxHashMap<SymbolId, Expr>,
    /// What lines said of the signs of a symbol: whether of the positive one, and the word.
    sign_words: FxHashMap<SymbolId, Vec<(bool, crate::syntax::Word)>>,
    diagnostics: Vec<Diagnostic>,
    /// Where the current line begins, above which names are looked for; `None` for all.
    above: Option<u32>,
}

impl Resolver<'_> {
    fn may_use(&self, symbol: SymbolId) -> bool {
        match self.above {
            Some(_) => self.ready.contains(&symbol),
            None => self.later.contains_key(&symbol),
        }
    }

    /// From here on every name of the problem may be used, wherever it is defined.
    fn reach_everything(&mut self) {
        self.above = None;
    }
}
