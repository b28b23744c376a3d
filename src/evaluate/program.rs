//! A checked expression as a flat program in coherent SI units, and its one evaluator.

use std::cell::{Cell, RefCell};
use std::cmp::Ordering;
use std::collections::{BTreeMap, BTreeSet};
use std::ops::Range;
use std::sync::Arc;

use rustc_hash::{FxHashMap, FxHashSet};

use super::asked::{Choice, Chosen, Compared, Outside, Table, Tabulated, Test, Told, Words};
use super::joined::{self, Joined};
use super::literal::Literal;
use super::number::Number;
use super::sources::{Key, Sources};
use crate::functions::{Dimensions, Function};
use crate::quantity::Constant;
use crate::quantity::Exponent;
use crate::resolve::components::components;
use crate::resolve::{
    Case, Condition, Expr, ExprKind, FunctionId, ReadOff, Shape, SymbolId, Symbols, Which,
};
use crate::syntax::{Operator, Relation};
use crate::text::Span;

thread_local! {
    /// How many steps of programs were taken on this thread.
    static STEPS: Cell<u64> = const { Cell::new(0) };
}

thread_local! {
    /// The branches that programs take on this thread, by place and step, while these are noted.
    static TAKEN: RefCell<Option<Taken>> = const { RefCell::new(None) };
}

/// Branches by the place that they belong to, and the step there.
type Taken = BTreeMap<(u32, u32, usize), BTreeSet<usize>>;

/// Does some work, and notes the branches that programs take on this thread: for each place, in
/// the order of the text, those that were taken.
pub(super) fn branches(work: impl FnOnce()) -> Vec<Vec<usize>> {
    TAKEN.set(Some(Taken::new()));
    work();
    let taken = TAKEN.take().unwrap_or_default();
    (taken.into_values())
        .map(|taken| taken.into_iter().collect())
        .collect()
}

fn note_branch(place: Span, step: usize, taken: usize) {
    TAKEN.with_borrow_mut(|noted| {
        if let Some(noted) = noted {
            let here = noted.entry((place.start, place.end, step)).or_default();
            here.insert(taken);
        }
    });
}

/// Does some work, and counts the steps of programs that it takes on this thread.
pub(super) fn counted<T>(work: impl FnOnce() -> T) -> (T, u64) {
    let before = STEPS.get();
    let found = work();
    (found, STEPS.get() - before)
}

/// A step of a program for a stack machine. Programs stay for as long as the values that they make,
/// so a step is small.
#[derive(Debug, Clone, PartialEq)]
enum Op {
    Constant(Box<Literal>),
    /// What is uncertain by itself: its value, and its errors by their sources, each with what it
    /// moves the value by.
    Input(Box<(Literal, Vec<(u32, f64)>)>),
    Load(SymbolId),
    LoadLocal(u32),
    StoreLocal(u32),
    Plus,
    Minus,
    Times,
    Over,
    Power,
    Negate,
    /// Stops unless the value on top may be this argument of the function.
    Require(Function, u32),
    /// A function of as many values.
    Apply(Function, u32),
    /// What a table has at the number on top.
    ReadOff(Box<Tabulated>),
    /// A function of all rows of a list.
    Aggregate(Function, Box<Program>),
    /// Nothing is told of what the number on top is uncertain by.
    Exact,
    /// The number on top is uncertain by scatter, and no longer by what each reading is: the first
    /// source, and whether each row has its own.
    Scattered(Box<Result<Scatter, Reason>>),
    /// One entry a row, or one component.
    Row(Box<(Vec<Program>, Shape)>),
    /// The number in this row of a list that is made of others.
    Part(u32),
    /// The entry in the row whose number is on top.
    Entry(Box<Program>),
    /// The area under the first list by the second.
    Area(Box<[Program; 2]>),
    /// One row of a vector.
    Pick(u32, Box<Program>),
    /// The magnitude of a vector.
    Norm(Box<Program>),
    /// The sum of the products of the components of two vectors.
    Dot(Box<[Program; 2]>),
    /// The cross product of two vectors, by component.
    Cross(Box<[Program; 2]>),
    /// Jumps unless the relation holds between the two values on top.
    Unless(Relation, u32),
    Jump(u32),
    /// No case held.
    NoCase,
    /// The atmospheric pressure is needed and not given.
    NoAtmosphere,
}

impl Op {
    fn constant(literal: Literal) -> Self {
        Self::Constant(Box::new(literal))
    }
}

/// The scatter that a number is uncertain by.
#[derive(Debug, Clone, PartialEq)]
struct Scatter {
    /// Its first source.
    first: u32,
    /// The error that the last digit hides, where it may.
    hidden: Option<u32>,
    /// Whether each row has one.
    by_row: bool,
    /// The sources that each reading has by itself, which are in the scatter.
    within: Arc<[Range<u32>]>,
}

/// A program; it leaves one number. A copy is one more name for it.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Program(Arc<Code>);

#[derive(Debug, Clone, PartialEq, Default)]
struct Code {
    ops: Vec<Op>,
    /// The place of the expression that each step belongs to.
    spans: Vec<Span>,
    /// The symbols it reads row by row.
    symbols: Vec<SymbolId>,
    /// The symbols of which it reads all rows.
    aggregated: Vec<SymbolId>,
    /// The lists in it that are made of others as a whole.
    parts: Vec<Part>,
    /// The tables that it reads values off.
    tables: Vec<Tabulated>,
    locals: u32,
}

/// A list that is made of others as a whole.
#[derive(Debug, Clone, PartialEq)]
enum Part {
    /// Some of its rows.
    Chosen(Arc<Choice>),
    /// What is told of the uncertainty of each row; of one number, one.
    Told(Arc<Told>),
    /// Of neighbouring rows.
    Joined(Box<Joined>),
}

/// The rows of a part, and whether each of them has an entry; a single number has neither.
type Entries = (Option<Rows>, Option<Arc<[bool]>>);

/// What a program that runs row by row has found on its way.
#[derive(Debug)]
pub struct Progress<N>(Vec<Found<N>>);

/// What was found of a part.
#[derive(Debug, Clone)]
struct Found<N> {
    /// The numbers that are told.
    told: Option<Arc<[f64]>>,
    /// The rows.
    rows: Option<Rows>,
    /// The sum so far, and its last row.
    sum: Option<(usize, N)>,
}

impl<N> Default for Progress<N> {
    fn default() -> Self {
        Self(Vec::new())
    }
}

impl<N: Clone> Progress<N> {
    fn of(&mut self, part: usize) -> &mut Found<N> {
        let none = Found {
            told: None,
            rows: None,
            sum: None,
        };
        if self.0.len() <= part {
            self.0.resize(part + 1, none);
        }
        &mut self.0[part]
    }
}

/// Why a program stopped.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Reason {
    /// A divisor is zero.
    DivisionByZero,
    /// A negative power of zero.
    ZeroBase,
    /// A root of a negative number.
    NegativeRoot,
    /// A fractional power of a negative number.
    NegativeBase,
    /// A function outside its domain.
    Domain(Function, usize),
    /// A number that is too large.
    Overflow,
    /// A number that is not zero, but too small to be told from it.
    Underflow,
    /// Lists of different lengths.
    Lengths(usize, usize),
    /// Lists of the rows of different tables, whose labels stand here, or of different rows of one.
    OtherRows([Option<Span>; 2]),
    /// A list is needed, and it is one number.
    NoList,
    /// A row that is not there, of so many.
    NoRow(usize),
    /// A row has no entry.
    Missing(usize),
    /// Both neighbours of a row have the same abscissa.
    SameAbscissae(usize),
    /// Degrees of freedom that cannot be told: whether they are infinite.
    NoDegrees(bool),
    /// A value has no uncertainty.
    NoUncertainty,
    /// A level of confidence that is no part of 1.
    NoLevel,
    /// Rows share readings, so that their scatter is not that of single readings.
    SharedReadings,
    /// More derivatives than there is room for.
    TooManyDerivatives,
    /// A heading of words that the table does not have.
    NoWords,
    /// A total of rows of which this one has no entry.
    Gap(usize),
    /// No row has an entry.
    NoEntry,
    /// Readings do not scatter, or there is one.
    NoScatter,
    /// A place outside of a table.
    Outside(Outside),
    /// The places of a table neither rise nor fall all the way: up to this row.
    OutOfOrder(usize),
    /// A table of fewer than two rows.
    TooFewRows,
    /// A number where a table has its lists.
    NoLists,
    /// No case of a case distinction holds.
    NoCase,
    /// A pressure is shifted by that of the atmosphere, which is not given.
    NoAtmosphere,
    /// The bound on the rounding does not tell; with more precision it does.
    InDoubt,
}

/// How many numbers there are, what they are to each other, and which rows they belong to.
#[derive(Debug, Clone, PartialEq)]
pub struct Rows {
    /// How many.
    pub count: usize,
    /// What they are to each other.
    pub shape: Shape,
    /// The rows of a table, where they are those.
    pub of: Option<RowsOf>,
}

/// Rows of a table.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct RowsOf {
    /// Where the label of the table stands; a list that stands alone has none.
    pub table: Option<Span>,
    /// Whether each row is one of them; `None` for all.
    pub chosen: Option<Arc<[bool]>>,
}

impl Scatter {
    /// Whether a source is one of those of single readings.
    fn holds(&self, source: u32) -> bool {
        self.within.iter().any(|within| within.contains(&source))
    }
}

/// The branch of a function that has several: which argument is the greatest or least, or
/// whether the number between bars is negative.
fn branch<N: Number>(function: Function, arguments: &[N]) -> Option<usize> {
    let numbers = arguments.iter().map(Number::value).enumerate();
    let by_size = |one: &(usize, f64), other: &(usize, f64)| one.1.total_cmp(&other.1);
    match (function, arguments) {
        (Function::Abs, [number]) => Some(usize::from(number.value() < 0.0)),
        (Function::Max, [_, _, ..]) => numbers.max_by(by_size).map(|(at, _)| at),
        (Function::Min, [_, _, ..]) => numbers.min_by(by_size).map(|(at, _)| at),
        _ => None,
    }
}

impl Rows {
    /// So many that belong to no table.
    pub fn plain(count: usize, shape: Shape) -> Self {
        Self {
            count,
            shape,
            of: None,
        }
    }

    /// The row before one, among them.
    pub fn before(&self, row: usize) -> Option<usize> {
        (0..row).rev().find(|before| self.has(*before))
    }

    /// The row after one, among them.
    pub fn after(&self, row: usize) -> Option<usize> {
        (row + 1..self.count).find(|after| self.has(*after))
    }

    /// Whether a row is one of them.
    pub fn has(&self, row: usize) -> bool {
        let chosen = self.of.as_ref().and_then(|of| of.chosen.as_ref());
        chosen.is_none_or(|chosen| chosen.get(row).is_some_and(|it| *it))
    }

    /// Those of two values that stand side by side.
    pub(super) fn beside(self, other: Self) -> Result<Self, Reason> {
        let of = match (self.of, other.of) {
            (Some(left), Some(right)) if left != right => {
                return Err(Reason::OtherRows([left.table, right.table]));
            }
            (Some(chosen), None) | (None, Some(chosen)) if chosen.table.is_none() => {
                return Err(Reason::OtherRows([None, None]));
            }
            (left, right) => left.or(right),
        };
        if self.count != other.count {
            return Err(Reason::Lengths(self.count, other.count));
        }
        Ok(Self {
            of,
            count: self.count,
            shape: other.shape,
        })
    }
}

/// A stop, with its place.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Fault {
    /// Why.
    pub reason: Reason,
    /// The operand that is to blame.
    pub span: Span,
}

/// What compilation needs to know beside the expression.
pub struct Library<'a> {
    /// Bodies of user functions.
    pub bodies: &'a FxHashMap<FunctionId, &'a Expr>,
    /// The sources of uncertainty.
    pub sources: &'a Sources,
    /// The text that the numbers of the expression stand in.
    pub text: &'a str,
    /// `p_atm` as seen from here.
    pub atmosphere: Option<SymbolId>,
    /// Which symbols are vectors.
    pub symbols: Option<&'a Symbols>,
    /// The places of turns that are compared in radians.
    pub in_radians: Option<&'a FxHashSet<Span>>,
    /// The tables by the places of their labels.
    pub tables: Option<&'a FxHashMap<Span, Table>>,
    /// The symbols of weighted means, by their places.
    pub means: Option<&'a FxHashMap<Span, SymbolId>>,
    /// The places of functions of scatter whose lists have rows that share readings.
    pub shared: Option<&'a FxHashSet<Span>>,
}

impl Library<'_> {
    /// For each table with such a heading whether its rows have these words.
    fn words(&self, heading: &str, words: &str) -> Vec<(Span, Arc<[bool]>)> {
        let tables = self.tables.into_iter().flatten();
        let found = tables.filter_map(|(label, table)| {
            let own = (table.words.iter()).find(|(place, _)| place.of(self.text) == heading);
            let (_, own) = own?;
            Some((*label, own.iter().map(|own| **own == *words).collect()))
        });
        let mut found: Vec<(Span, Arc<[bool]>)> = found.collect();
        found.sort_by_key(|(label, _)| label.start);
        found
    }
}

impl Program {
    /// Compiles an expression.
    pub fn compile(expr: &Expr, library: &Library<'_>) -> Self {
        let mut compiler = Compiler {
            program: Code::default(),
            library,
            frames: Vec::new(),
        };
        compiler.expr(expr);
        let mut code = compiler.program;
        // Programs stay for as long as the values that they make.
        code.ops.shrink_to_fit();
        code.spans.shrink_to_fit();
        code.symbols.shrink_to_fit();
        Program(Arc::new(code))
    }

    fn of_one(op: Op, span: Span) -> Self {
        Program(Arc::new(Code {
            ops: vec![op],
            spans: vec![span],
            ..Code::default()
        }))
    }

    /// The value of a symbol.
    pub(super) fn of_symbol(symbol: SymbolId, span: Span) -> Self {
        Program(Arc::new(Code {
            ops: vec![Op::Load(symbol)],
            spans: vec![span],
            symbols: vec![symbol],
            ..Code::default()
        }))
    }

    /// The program of its number times a power of 2π.
    #[must_use]
    pub fn turned(mut self, power: Exponent, span: Span) -> Self {
        let (above, below) = (f64::from(*power.numer()), f64::from(*power.denom()));
        let ops: Vec<Op> = match (above, below) {
            (0.0, _) => return self,
            (1.0, 1.0) => two_pi().into(),
            _ => {
                let [two, pi, times, by] = two_pi();
                let [above, below] =
                    [above, below].map(|number| Op::constant(Literal::shortest(number)));
                vec![two, pi, times, above, below, Op::Over, Op::Power, by]
            }
        };
        let mut code = Code::clone(&self.0);
        code.spans.extend(ops.iter().map(|_| span));
        code.ops.extend(ops);
        self.0 = Arc::new(code);
        self
    }

    /// Turns taken in radians.
    pub fn in_radians(self, span: Span) -> Self {
        self.turned(Exponent::from_integer(1), span)
    }

    /// The symbols it reads.
    pub fn symbols(&self) -> impl Iterator<Item = SymbolId> {
        self.0.symbols.iter().chain(&self.0.aggregated).copied()
    }

    /// The symbols of which it reads all rows.
    pub fn aggregated(&self) -> impl Iterator<Item = SymbolId> {
        self.0.aggregated.iter().copied()
    }

    /// The tables that it reads values off.
    pub fn tables(&self) -> &[Tabulated] {
        &self.0.tables
    }

    /// Whether it holds a source of uncertainty itself.
    pub fn has_inputs(&self) -> bool {
        self.holds(&|_| true)
    }

    /// The sources of uncertainty that it holds itself.
    pub(super) fn inputs(&self) -> Vec<u32> {
        let own = self.0.ops.iter().flat_map(|op| match op {
            Op::Input(input) => input.1.iter().map(|(source, _)| *source).collect(),
            Op::Scattered(scatter) => (scatter.iter())
                .flat_map(|it| std::iter::once(it.first).chain(it.hidden))
                .collect(),
            _ => Vec::new(),
        });
        let mut found: Vec<u32> = own.collect();
        self.for_each_within(&mut |program| found.extend(program.inputs()));
        found
    }

    /// Whether it holds such a source itself.
    pub fn holds(&self, wanted: &dyn Fn(u32) -> bool) -> bool {
        let own = self.0.ops.iter().any(|op| match op {
            Op::Input(input) => input.1.iter().any(|(source, _)| wanted(*source)),
            Op::Scattered(scatter) => {
                (scatter.iter()).any(|it| wanted(it.first) || it.hidden.is_some_and(wanted))
            }
            _ => false,
        });
        let mut found = own;
        if !own {
            self.for_each_within(&mut |program| found = found || program.holds(wanted));
        }
        found
    }

    /// How many rows it has and what they are to each other, and which of them have entries.
    pub fn over(&self, lists: &dyn Lists) -> Result<Over, Fault> {
        let parts = self.0.parts.iter().map(|part| part.over(lists));
        let parts: Vec<Entries> = parts.collect::<Result<_, _>>()?;
        let own = (self.0.ops.iter())
            .zip(&self.0.spans)
            .filter_map(|(op, span)| match op {
                Op::Load(symbol) => lists.rows(*symbol).map(|rows| (rows, *span)),
                Op::Row(row) => Some((Rows::plain(row.0.len(), row.1), *span)),
                Op::Cross(_) => Some((Rows::plain(3, Shape::Vector), *span)),
                Op::Part(at) => {
                    let (rows, _) = parts.get(*at as usize)?;
                    rows.clone().map(|rows| (rows, *span))
                }
                _ => None,
            });
        let mut found: Option<Rows> = None;
        for (rows, span) in own {
            let beside = |reason| Fault { reason, span };
            found = Some(match found {
                Some(before) => before.beside(rows).map_err(beside)?,
                None => rows,
            });
        }
        Ok(Over {
            rows: found,
            has: parts.into_iter().filter_map(|(_, has)| has).collect(),
        })
    }

    /// Whether what it reads has no entry in a row, so that it has none either.
    pub fn lacks(&self, row: usize, over: &Over, lists: &dyn Lists) -> bool {
        let is_missing = |symbol: &SymbolId| lists.is_missing(*symbol, row);
        let has = |has: &Arc<[bool]>| has.get(row).is_some_and(|has| *has);
        self.0.symbols.iter().any(is_missing) || !over.has.iter().all(has)
    }

    /// How many steps it has; `None` where it takes more together than single numbers.
    pub(super) fn steps_on_numbers(&self) -> Option<usize> {
        let is_on_numbers = |(at, op): (usize, &Op)| match op {
            Op::Aggregate(..) => self.tells_less(at + 1),
            Op::Exact | Op::Scattered(_) => true,
            Op::Constant(_)
            | Op::Input(..)
            | Op::Load(_)
            | Op::LoadLocal(_)
            | Op::StoreLocal(_)
            | Op::Plus
            | Op::Minus
            | Op::Times
            | Op::Over
            | Op::Power
            | Op::Negate
            | Op::Require(..)
            | Op::Apply(..)
            | Op::Unless(..)
            | Op::Jump(_)
            | Op::NoCase
            | Op::NoAtmosphere => true,
            Op::ReadOff(_)
            | Op::Row(..)
            | Op::Part(_)
            | Op::Entry(_)
            | Op::Area(_)
            | Op::Pick(..)
            | Op::Norm(_)
            | Op::Dot(_)
            | Op::Cross(_) => false,
        };
        let ops = &self.0.ops;
        let mut all = ops.iter().enumerate();
        all.all(is_on_numbers).then_some(ops.len())
    }

    /// Where it stands.
    pub fn place(&self) -> Span {
        self.0.spans.last().copied().unwrap_or_default()
    }

    /// The choices of rows in it, and in what it takes together.
    pub(super) fn choices(&self) -> Vec<Arc<Choice>> {
        let own = self.0.parts.iter().filter_map(|part| match part {
            Part::Chosen(choice) => Some(Arc::clone(choice)),
            Part::Told(_) | Part::Joined(_) => None,
        });
        let mut found: Vec<Arc<Choice>> = own.collect();
        found.extend(
            self.0
                .tables
                .iter()
                .filter_map(|table| table.choice.clone()),
        );
        self.for_each_within(&mut |program| found.extend(program.choices()));
        found
    }

    /// What it tells of uncertainties, and so on.
    pub(super) fn told(&self) -> Vec<Arc<Told>> {
        let own = self.0.parts.iter().filter_map(|part| match part {
            Part::Told(told) => Some(Arc::clone(told)),
            Part::Chosen(_) | Part::Joined(_) => None,
        });
        let mut found: Vec<Arc<Told>> = own.collect();
        self.for_each_within(&mut |program| found.extend(program.told()));
        found
    }

    /// Whether its entries are made of neighbouring rows.
    pub(super) fn joins_rows(&self) -> bool {
        self.0.parts.iter().any(|part| match part {
            Part::Joined(_) => true,
            Part::Chosen(choice) => choice.list.joins_rows(),
            Part::Told(_) => false,
        })
    }

    /// The symbols whose entries its own are made of.
    pub(super) fn by_row(&self) -> Vec<SymbolId> {
        let mut found = self.0.symbols.clone();
        for part in &self.0.parts {
            if let Part::Chosen(choice) = part {
                found.extend(choice.list.by_row());
            }
        }
        found
    }

    /// Calls `visit` for each program that it is made of.
    fn for_each_within(&self, visit: &mut dyn FnMut(&Program)) {
        for op in &self.0.ops {
            match op {
                Op::Row(row) => row.0.iter().for_each(&mut *visit),
                Op::Pick(_, inner)
                | Op::Norm(inner)
                | Op::Aggregate(_, inner)
                | Op::Entry(inner) => visit(inner),
                Op::Dot(sides) | Op::Cross(sides) | Op::Area(sides) => {
                    sides.iter().for_each(&mut *visit);
                }
                _ => {}
            }
        }
        let parts = self.0.parts.iter();
        parts.flat_map(Part::programs).for_each(&mut *visit);
        let of_tables = self
            .0
            .tables
            .iter()
            .filter_map(|table| table.choice.as_ref());
        of_tables
            .flat_map(|choice| choice.programs())
            .for_each(&mut *visit);
    }

    /// Runs it for one row. `load` gives a symbol's number in a row.
    pub fn run<N: Number>(&self, row: usize, environment: &dyn Environment<N>) -> Result<N, Fault> {
        self.go_on(row, environment, &mut Progress::default())
    }

    /// Runs it for the next row.
    pub fn go_on<N: Number>(
        &self,
        row: usize,
        environment: &dyn Environment<N>,
        progress: &mut Progress<N>,
    ) -> Result<N, Fault> {
        STEPS.set(STEPS.get() + self.0.ops.len() as u64);
        let mut stack: Vec<N> = Vec::with_capacity(8);
        let mut locals: Vec<Option<N>> = vec![None; self.0.locals as usize];
        let mut at = 0;
        while let Some(op) = self.0.ops.get(at) {
            let span = self.0.spans.get(at).copied().unwrap_or_default();
            let fault = |reason| Fault { reason, span };
            at += 1;
            match op {
                Op::Constant(literal) => stack.push(environment.literal(literal)),
                Op::Input(input) => stack.push(environment.input(&input.0, &input.1)),
                Op::Load(symbol) => stack.push(environment.load(*symbol, row)),
                Op::LoadLocal(local) => {
                    let value = locals.get(*local as usize).cloned().flatten();
                    stack.push(value.unwrap_or_else(|| N::constant(f64::NAN)));
                }
                Op::StoreLocal(local) => {
                    let value = stack.pop();
                    if let Some(place) = locals.get_mut(*local as usize) {
                        *place = value;
                    }
                }
                Op::Jump(target) => at = *target as usize,
                Op::Unless(relation, target) => {
                    let (left, right) = pop_two(&mut stack);
                    let order = left.compare(&right).ok_or_else(|| fault(Reason::InDoubt))?;
                    let holds = holds(*relation, order);
                    note_branch(span, at, usize::from(holds));
                    if !holds {
                        at = *target as usize;
                    }
                }
                Op::NoCase => return Err(fault(Reason::NoCase)),
                Op::NoAtmosphere => return Err(fault(Reason::NoAtmosphere)),
                Op::ReadOff(table) => {
                    let at = pop(&mut stack);
                    environment.is_read(table, &at);
                    stack.push(table.read(&at, span, environment)?);
                }
                Op::Aggregate(..) if self.is_kept(at, row, environment) => {
                    stack.push(N::constant(0.0));
                }
                Op::Aggregate(function, inner) => {
                    stack.push(inner.aggregate(*function, environment)?);
                }
                Op::Exact => {
                    let number = pop(&mut stack);
                    let kept = environment.kept(span, row);
                    let number = kept.unwrap_or_else(|| number.told_by(&|_| false));
                    environment.is_told(span, row, &number);
                    stack.push(number);
                }
                Op::Scattered(scatter) => {
                    let scatter = (**scatter).as_ref().map_err(|reason| fault(*reason))?;
                    let mean = pop(&mut stack);
                    let kept = environment.kept(span, row);
                    let mean =
                        kept.unwrap_or_else(|| mean.told_by(&|source| !scatter.holds(source)));
                    environment.is_told(span, row, &mean);
                    let own = scatter.first + if scatter.by_row { row as u32 } else { 0 };
                    let mut errors = vec![(own, 1.0)];
                    errors.extend(scatter.hidden.map(|hidden| (hidden, 1.0)));
                    let error = environment.input(&Literal::shortest(0.0), &errors);
                    stack.push(mean.plus(&error));
                }
                Op::Part(at) => {
                    let at = *at as usize;
                    let number = match self.0.parts.get(at) {
                        Some(part) => part.run(row, environment, progress.of(at))?,
                        None => N::constant(f64::NAN),
                    };
                    stack.push(number);
                }
                Op::Entry(list) => {
                    let number = pop(&mut stack).value();
                    stack.push(joined::entry(list, number, environment)?);
                }
                Op::Area(curve) => stack.push(joined::area(curve, span, environment)?),
                Op::Pick(row, inner) => stack.push(inner.run(*row as usize, environment)?),
                Op::Norm(inner) => {
                    let square = dot(inner, inner, environment)?;
                    stack.push(finite(N::call(Function::Sqrt, &[square])).map_err(fault)?);
                }
                Op::Dot(sides) => stack.push(dot(&sides[0], &sides[1], environment)?),
                Op::Cross(sides) => stack.push(cross(sides, row, environment)?),
                Op::Row(list) => {
                    let item = list.0.get(row).or(list.0.first());
                    let value = item.map(|item| item.run(row, environment)).transpose()?;
                    stack.push(value.unwrap_or_else(|| N::constant(f64::NAN)));
                }
                Op::Require(function, argument) => {
                    let argument = *argument as usize;
                    let holds = stack.last().map(|it| it.is_in_domain(*function, argument));
                    require(*function, argument, holds.flatten()).map_err(fault)?;
                }
                Op::Apply(function, count) => {
                    let from = stack.len().saturating_sub(*count as usize);
                    let arguments = stack.get(from..).unwrap_or(&[]);
                    if let Some(branch) = branch(*function, arguments) {
                        note_branch(span, at, branch);
                    }
                    let result = called(*function, arguments).map_err(fault)?;
                    stack.truncate(from);
                    stack.push(result);
                }
                Op::Negate => {
                    let value = pop(&mut stack);
                    stack.push(N::constant(0.0).minus(&value));
                }
                Op::Plus | Op::Minus | Op::Times | Op::Over | Op::Power => {
                    let (left, right) = pop_two(&mut stack);
                    let result = binary(op, &left, &right).map_err(fault)?;
                    stack.push(result);
                }
            }
        }
        Ok(pop(&mut stack))
    }

    /// Whether what comes of the operation before this one is known without it.
    fn is_kept<N: Number>(&self, at: usize, row: usize, environment: &dyn Environment<N>) -> bool {
        let span = self.0.spans.get(at).copied().unwrap_or_default();
        self.tells_less(at) && environment.kept(span, row).is_some()
    }

    /// Whether an operation tells of fewer errors than its number has.
    fn tells_less(&self, at: usize) -> bool {
        matches!(self.0.ops.get(at), Some(Op::Exact | Op::Scattered(_)))
    }

    /// The symbols that it reads, but for those that it takes together to a number of which fewer
    /// errors are told.
    pub(super) fn told_symbols(&self) -> Vec<SymbolId> {
        let mut found: Vec<SymbolId> = self.0.symbols.clone();
        let mut left_out: Vec<&Program> = Vec::new();
        for (at, op) in self.0.ops.iter().enumerate() {
            if let Op::Aggregate(_, inner) = op
                && self.tells_less(at + 1)
            {
                left_out.push(inner);
            }
        }
        self.for_each_within(
            &mut |program| match left_out.iter().position(|own| *own == program) {
                Some(at) => drop(left_out.swap_remove(at)),
                None => found.extend(program.told_symbols()),
            },
        );
        found
    }

    fn aggregate<N: Number>(
        &self,
        function: Function,
        environment: &dyn Environment<N>,
    ) -> Result<N, Fault> {
        let over = self.over(environment)?;
        let rows = &over.rows;
        let fault = |reason| Fault {
            reason,
            span: self.0.spans.last().copied().unwrap_or_default(),
        };
        let count = rows.as_ref().map_or(1, |rows| rows.count);
        let mut values = Vec::with_capacity(count);
        let mut progress = Progress::default();
        for row in 0..count {
            if !rows.as_ref().is_none_or(|rows| rows.has(row)) {
                continue;
            }
            if !self.lacks(row, &over, environment) {
                values.push(self.go_on(row, environment, &mut progress)?);
            } else if function.is_total() {
                return Err(fault(Reason::Gap(row)));
            }
        }
        match values.is_empty() {
            true => Err(fault(Reason::NoEntry)),
            false => Ok(N::call(function, &values)),
        }
    }
}

impl Part {
    fn programs(&self) -> Vec<&Program> {
        match self {
            Self::Chosen(choice) => choice.programs(),
            Self::Told(told) => told.of.iter().collect(),
            Self::Joined(joined) => joined.lists.iter().collect(),
        }
    }

    /// Its rows, and whether each of them has an entry.
    fn over(&self, lists: &dyn Lists) -> Result<Entries, Fault> {
        Ok(match self {
            Self::Chosen(choice) => {
                let chosen = lists.chosen(choice)?;
                (Some(chosen.rows), Some(chosen.has))
            }
            Self::Told(told) => {
                let rows = told.of.iter().map(|own| Ok(own.over(lists)?.rows));
                let rows: Vec<Option<Rows>> = rows.collect::<Result<_, Fault>>()?;
                let rows = rows.into_iter().flatten().next();
                let has = match &rows {
                    None => None,
                    Some(_) => Some(lists.told(told)?.iter().map(|it| !it.is_nan()).collect()),
                };
                (rows, has)
            }
            Self::Joined(joined) => {
                let (rows, has) = joined.over(lists)?;
                (Some(rows), Some(has))
            }
        })
    }

    fn run<N: Number>(
        &self,
        row: usize,
        environment: &dyn Environment<N>,
        found: &mut Found<N>,
    ) -> Result<N, Fault> {
        match self {
            Self::Chosen(choice) => choice.list.run(row, environment),
            Self::Told(told) => {
                let numbers = match &found.told {
                    Some(numbers) => numbers,
                    None => found.told.insert(environment.told(told)?),
                };
                let number = numbers.get(row).or(numbers.first());
                Ok(N::constant(number.copied().unwrap_or(f64::NAN)))
            }
            Self::Joined(joined) => {
                let rows = match &found.rows {
                    Some(rows) => rows,
                    None => found.rows.insert(joined.over(environment)?.0),
                };
                joined.run(row, rows, &mut found.sum, environment)
            }
        }
    }
}

/// Which rows a program has, and which of them have entries.
#[derive(Debug, Clone, Default)]
pub struct Over {
    /// The rows; `None` for a single number.
    pub rows: Option<Rows>,
    /// For each choice of rows, whether each of them has an entry there.
    has: Vec<Arc<[bool]>>,
}

/// What a program needs to know of lists.
pub trait Lists {
    /// How many rows a symbol has; `None` for a single number.
    fn rows(&self, symbol: SymbolId) -> Option<Rows>;
    /// Whether a symbol has no entry in a row.
    fn is_missing(&self, symbol: SymbolId, row: usize) -> bool;
    /// The rows of a choice.
    fn chosen(&self, choice: &Choice) -> Result<Chosen, Fault>;
    /// What is told of the uncertainty of values: one number, or one a row.
    fn told(&self, told: &Told) -> Result<Arc<[f64]>, Fault>;
}

/// Where a program finds its numbers.
pub trait Environment<N>: Lists {
    /// A symbol's number in a row; a single number serves every row.
    fn load(&self, symbol: SymbolId, row: usize) -> N;
    /// A literal.
    fn literal(&self, literal: &Literal) -> N;
    /// What is uncertain by itself.
    fn input(&self, literal: &Literal, errors: &[(u32, f64)]) -> N;
    /// Hears that a table is read at a place.
    fn is_read(&self, _table: &Tabulated, _at: &N) {}
    /// The number at a place of which fewer errors are told than it has, where it is known already.
    fn kept(&self, _place: Span, _row: usize) -> Option<N> {
        None
    }
    /// Hears what such a number is.
    fn is_told(&self, _place: Span, _row: usize, _number: &N) {}
}

/// The sum of the products of the rows of two programs.
fn dot<N: Number>(
    left: &Program,
    right: &Program,
    environment: &dyn Environment<N>,
) -> Result<N, Fault> {
    let rows = left.over(environment)?.rows;
    let rows = rows.map_or(1, |rows| rows.count);
    let mut total = N::constant(0.0);
    for row in 0..rows {
        let product = left
            .run(row, environment)?
            .times(&right.run(row, environment)?);
        total = total.plus(&product);
    }
    Ok(total)
}

/// One component of a cross product.
fn cross<N: Number>(
    sides: &[Program; 2],
    row: usize,
    environment: &dyn Environment<N>,
) -> Result<N, Fault> {
    let [left, right] = sides;
    let (one, two) = ((row + 1) % 3, (row + 2) % 3);
    let first = left
        .run(one, environment)?
        .times(&right.run(two, environment)?);
    let second = left
        .run(two, environment)?
        .times(&right.run(one, environment)?);
    Ok(first.minus(&second))
}

/// The compiler balances the stack; a number that is not there could only be a broken program,
/// and shows as one that is not finite.
fn pop<N: Number>(stack: &mut Vec<N>) -> N {
    stack.pop().unwrap_or_else(|| N::constant(f64::NAN))
}

fn pop_two<N: Number>(stack: &mut Vec<N>) -> (N, N) {
    let right = pop(stack);
    (pop(stack), right)
}

/// Whether a relation holds between two numbers that compare so.
pub fn holds(relation: Relation, order: Ordering) -> bool {
    match relation {
        Relation::Less => order.is_lt(),
        Relation::LessOrEqual => order.is_le(),
        Relation::Greater => order.is_gt(),
        Relation::GreaterOrEqual => order.is_ge(),
        Relation::Equal => order.is_eq(),
    }
}

fn finite<N: Number>(result: N) -> Result<N, Reason> {
    if !result.is_known() {
        Err(Reason::InDoubt)
    } else if result.is_finite() {
        Ok(result)
    } else {
        Err(Reason::Overflow)
    }
}

/// What is to be said where a number may not be this argument of a function.
fn require(function: Function, argument: usize, holds: Option<bool>) -> Result<(), Reason> {
    match (holds, function.dimensions()) {
        (Some(true), _) => Ok(()),
        (None, _) => Err(Reason::InDoubt),
        (Some(false), Dimensions::Root(_)) => Err(Reason::NegativeRoot),
        (Some(false), _) => Err(Reason::Domain(function, argument)),
    }
}

fn called<N: Number>(function: Function, arguments: &[N]) -> Result<N, Reason> {
    let result = finite(N::call(function, arguments))?;
    if result.vanishes() && !function.has_zeros() {
        return Err(Reason::Underflow);
    }
    Ok(result)
}

fn binary<N: Number>(op: &Op, left: &N, right: &N) -> Result<N, Reason> {
    let result = finite(match op {
        Op::Plus => left.plus(right),
        Op::Minus => left.minus(right),
        Op::Times => left.times(right),
        Op::Over => match right.compare(&N::constant(0.0)) {
            Some(Ordering::Equal) => return Err(Reason::DivisionByZero),
            None => return Err(Reason::InDoubt),
            Some(Ordering::Less | Ordering::Greater) => left.over(right),
        },
        _ => {
            base_fits(left, right)?;
            left.power(right)
        }
    })?;
    let may_vanish = match op {
        Op::Times => right.vanishes(),
        Op::Over | Op::Power => false,
        _ => true,
    };
    if !may_vanish && result.vanishes() && !left.vanishes() {
        return Err(Reason::Underflow);
    }
    Ok(result)
}

/// Whether a base may have this exponent: not where it is 0 below a line, nor negative under a root.
fn base_fits<N: Number>(base: &N, exponent: &N) -> Result<(), Reason> {
    let zero = N::constant(0.0);
    if exponent.is_whole() == Some(true) && exponent.value() >= 0.0 {
        return Ok(());
    }
    match base.compare(&zero).ok_or(Reason::InDoubt)? {
        Ordering::Greater => Ok(()),
        Ordering::Equal => match exponent.compare(&zero).ok_or(Reason::InDoubt)? {
            Ordering::Less => Err(Reason::ZeroBase),
            Ordering::Equal | Ordering::Greater => Ok(()),
        },
        Ordering::Less => match exponent.is_whole().ok_or(Reason::InDoubt)? {
            true => Ok(()),
            false => Err(Reason::NegativeBase),
        },
    }
}

struct Compiler<'a> {
    program: Code,
    library: &'a Library<'a>,
    /// The functions that are written out, each within the one before it.
    frames: Vec<Frame>,
}

/// A function of the author that is written out.
struct Frame {
    /// The first local of its parameters.
    first: u32,
    /// Its arguments, in which no parameters are left.
    arguments: Vec<Expr>,
}

impl Compiler<'_> {
    fn push(&mut self, op: Op, span: Span) {
        self.program.ops.push(op);
        self.program.spans.push(span);
    }

    fn expr(&mut self, expr: &Expr) {
        let span = expr.span;
        match &expr.kind {
            ExprKind::Number(value) => {
                let literal = Literal::number(*value, span.of(self.library.text));
                self.push(Op::constant(literal), span);
            }
            ExprKind::Numeral(value) => self.push(Op::constant(Literal::shortest(*value)), span),
            ExprKind::Pi => self.push(Op::constant(Literal::pi()), span),
            ExprKind::Constant(constant) => self.constant(constant, span),
            ExprKind::Quantity(quantity) => self.quantity(quantity, span),
            ExprKind::Symbol(symbol) => self.load(*symbol, span),
            ExprKind::Parameter(index) => {
                let first = self.frames.last().map_or(0, |frame| frame.first);
                self.push(Op::LoadLocal(first + u32::from(*index)), span);
            }
            ExprKind::Sum(terms) => {
                for (at, term) in terms.iter().enumerate() {
                    self.expr(&term.expr);
                    match (at, term.negative) {
                        (0, false) => {}
                        (0, true) => self.push(Op::Negate, term.expr.span),
                        (_, false) => self.push(Op::Plus, span),
                        (_, true) => self.push(Op::Minus, span),
                    }
                }
            }
            ExprKind::Product(factors) => {
                for (at, factor) in factors.iter().enumerate() {
                    self.expr(&factor.expr);
                    match (at, factor.operator) {
                        (0, _) => {}
                        (_, Operator::Divide) => self.push(Op::Over, factor.expr.span),
                        _ => self.push(Op::Times, span),
                    }
                }
            }
            ExprKind::Power(base, exponent) => {
                self.expr(base);
                self.expr(exponent);
                self.push(Op::Power, span);
            }
            ExprKind::Negative(inner) => {
                self.expr(inner);
                self.push(Op::Negate, span);
            }
            ExprKind::Group(inner) => self.expr(inner),
            ExprKind::Abs(inner) if self.is_vector(inner) => {
                let inner = self.inner(inner);
                self.push(Op::Norm(Box::new(inner)), span);
            }
            ExprKind::Abs(inner) => {
                self.expr(inner);
                self.push(Op::Apply(Function::Abs, 1), span);
            }
            ExprKind::Component(symbol, axis) => {
                self.program.aggregated.push(*symbol);
                let whole = Program::of_symbol(*symbol, span);
                self.push(Op::Pick(*axis as u32, Box::new(whole)), span);
            }
            ExprKind::Call {
                function,
                arguments,
                ..
            } => self.call(*function, arguments, span),
            ExprKind::Apply {
                function,
                arguments,
            } => self.apply(*function, arguments, span),
            ExprKind::List(items) => {
                let items = items.iter().map(|item| self.inner(item)).collect();
                self.push(Op::Row(Box::new((items, Shape::List))), span);
            }
            ExprKind::Vector(items) => {
                let items = items.iter().map(|item| self.inner(item)).collect();
                self.push(Op::Row(Box::new((items, Shape::Vector))), span);
            }
            ExprKind::Cases(cases) => self.cases(cases, span),
            ExprKind::Where(list, which) => self.chosen(list, which, span),
            ExprKind::ReadOff(table) => self.read_off(table, span),
        }
    }

    fn read_off(&mut self, table: &ReadOff, span: Span) {
        let (Some(values), Some(places)) = (table.values.as_symbol(), table.places.as_symbol())
        else {
            self.push(Op::NoCase, span);
            return;
        };
        let own = Tabulated {
            made: (span, table.function),
            values,
            places,
            way: table.way,
            choice: table
                .rows
                .as_ref()
                .map(|which| self.choice(&table.values, which, span)),
        };
        self.program.aggregated.extend([values, places]);
        self.program.tables.push(own.clone());
        self.expr(&table.at);
        self.push(Op::ReadOff(Box::new(own)), self.place_of(&table.at));
    }

    /// Where an expression stands; of a parameter its argument.
    fn place_of(&self, expr: &Expr) -> Span {
        let ExprKind::Parameter(index) = &expr.inside().kind else {
            return expr.span;
        };
        let frame = self.frames.last();
        let found = frame.and_then(|frame| frame.arguments.get(usize::from(*index)));
        found.map_or(expr.span, |argument| argument.span)
    }

    fn is_vector(&self, expr: &Expr) -> bool {
        let symbols = self.library.symbols;
        symbols.is_some_and(|symbols| components(expr, symbols.vectors()).is_some())
    }

    /// A product of two vectors, or the angle of one.
    fn call_of_vectors(&mut self, function: Function, arguments: &[Expr], span: Span) {
        let sides: Vec<Program> = arguments.iter().map(|side| self.inner(side)).collect();
        match (function, sides.as_slice()) {
            (Function::Dot, [left, right]) => {
                let sides = Box::new([left.clone(), right.clone()]);
                self.push(Op::Dot(sides), span);
            }
            (Function::Cross, [left, right]) => {
                let symbols = self.library.symbols;
                let in_space = symbols.is_some_and(|symbols| {
                    (arguments.iter()).any(|side| components(side, symbols.vectors()) == Some(3))
                });
                if in_space {
                    self.push(Op::Cross(Box::new([left.clone(), right.clone()])), span);
                    return;
                }
                let pick = |row, side: &Program| Op::Pick(row, Box::new(side.clone()));
                self.push(pick(0, left), span);
                self.push(pick(1, right), span);
                self.push(Op::Times, span);
                self.push(pick(1, left), span);
                self.push(pick(0, right), span);
                self.push(Op::Times, span);
                self.push(Op::Minus, span);
            }
            (_, [vector]) => {
                self.push(Op::Pick(1, Box::new(vector.clone())), span);
                self.push(Op::Pick(0, Box::new(vector.clone())), span);
                self.push(Op::Apply(Function::Atan2, 2), span);
            }
            _ => self.push(Op::NoCase, span),
        }
    }

    /// An expression with the arguments of the function that is written out in the place of its
    /// parameters.
    fn written_out(&self, expr: &Expr) -> Expr {
        let mut own = expr.clone();
        if let Some(frame) = self.frames.last() {
            own.change(&mut |part| {
                if let ExprKind::Parameter(at) = part.kind
                    && let Some(argument) = frame.arguments.get(usize::from(at))
                {
                    let span = argument.span;
                    let kind = ExprKind::Group(Box::new(argument.clone()));
                    *part = Expr { span, kind };
                }
            });
        }
        own
    }

    /// A program of its own that shares what this one knows; it cannot see locals, so that
    /// arguments are written out inside it.
    fn inner(&mut self, expr: &Expr) -> Program {
        let program = match self.frames.is_empty() {
            true => Program::compile(expr, self.library),
            false => Program::compile(&self.written_out(expr), self.library),
        };
        self.program.aggregated.extend(program.symbols());
        self.program.tables.extend(program.tables().iter().cloned());
        program
    }

    fn load(&mut self, symbol: SymbolId, span: Span) {
        self.program.symbols.push(symbol);
        self.push(Op::Load(symbol), span);
    }

    /// A constant is a source; one that is published in multiples of another is a source beside
    /// that: the same value from both, each relative to its own.
    fn constant(&mut self, constant: &'static Constant, span: Span) {
        let value = Literal::shortest(constant.value());
        let op = self.number(Key::Constant(constant.name), 0, value);
        self.push(op, span);
        if let Some(base) = constant.in_multiples_of() {
            self.constant(base, span);
            self.push(Op::constant(Literal::shortest(base.value())), span);
            self.push(Op::Over, span);
            self.push(Op::Times, span);
        }
    }

    fn quantity(&mut self, quantity: &crate::resolve::Quantity, span: Span) {
        let mut literals = Literal::quantity(quantity, self.library.text);
        let key = Key::Literal(span);
        if quantity.shape != Shape::One {
            let items = literals
                .enumerate()
                .map(|(row, it)| Program::of_one(self.number(key, row, it), span));
            let row = Op::Row(Box::new((items.collect(), quantity.shape)));
            self.push(row, span);
            return;
        }
        let literal = literals.next().unwrap_or_else(|| Literal::shortest(0.0));
        let op = self.number(key, 0, literal);
        self.push(op, span);
    }

    /// A number with the errors that what stands at its place has.
    fn number(&self, key: Key, row: usize, literal: Literal) -> Op {
        let errors = self.library.sources.of(key, row);
        match errors.is_empty() {
            true => Op::constant(literal),
            false => Op::Input(Box::new((literal, errors))),
        }
    }

    fn call(&mut self, function: Function, arguments: &[Expr], span: Span) {
        match (function, arguments) {
            (Function::Dot | Function::Cross | Function::Direction, _) => {
                self.call_of_vectors(function, arguments, span);
                return;
            }
            (_, [list]) if function.takes_rows() => {
                let inner = self.inner(list);
                self.push(Op::Aggregate(function, Box::new(inner)), span);
                self.told(function, false, span);
                return;
            }
            (Function::WeightedMean, [list]) => {
                self.inner(list);
                let mean = self.library.means.and_then(|means| means.get(&span));
                match mean {
                    Some(symbol) => self.load(*symbol, span),
                    None => self.push(Op::NoCase, span),
                }
                return;
            }
            (Function::Entry, [list, row]) => {
                let list = self.inner(list);
                self.expr(row);
                self.push(Op::Entry(Box::new(list)), span);
                return;
            }
            (Function::AreaUnder, [y, x]) => {
                let curve = Box::new([self.inner(y), self.inner(x)]);
                self.push(Op::Area(curve), span);
                return;
            }
            _ if function.joins_rows() => {
                let lists = arguments.iter().map(|list| self.inner(list)).collect();
                let place = span;
                let joined = Joined {
                    function,
                    lists,
                    place,
                };
                self.part(Part::Joined(Box::new(joined)), span);
                return;
            }
            _ if function.is_of_uncertainty() => {
                let of = arguments.iter().map(|own| self.inner(own)).collect();
                let place = span;
                let told = Told {
                    place,
                    function,
                    of,
                };
                self.part(Part::Told(Arc::new(told)), span);
                return;
            }
            (Function::Absolute | Function::Gauge, [pressure]) => {
                self.expr(pressure);
                if let Some(atmosphere) = self.library.atmosphere {
                    self.load(atmosphere, span);
                    let op = if function == Function::Absolute {
                        Op::Plus
                    } else {
                        Op::Minus
                    };
                    self.push(op, span);
                } else {
                    self.push(Op::NoAtmosphere, span);
                }
                return;
            }
            _ => {}
        }
        for (at, argument) in arguments.iter().enumerate() {
            self.expr(argument);
            if function.domain(at).is_some() {
                self.push(Op::Require(function, at as u32), argument.span);
            }
        }
        let place = match arguments {
            [only] => only.span,
            _ => span,
        };
        self.push(Op::Apply(function, arguments.len() as u32), place);
        self.told(function, true, span);
    }

    /// What is told of the uncertainty of a call.
    fn told(&mut self, function: Function, by_row: bool, span: Span) {
        if function.is_exact() {
            self.push(Op::Exact, span);
        }
        if function.is_by_scatter() {
            let sources = self.library.sources;
            let own = sources.of(Key::Literal(span), 0);
            let scatter = own.first().map(|(first, _)| Scatter {
                first: *first,
                hidden: own.get(1).map(|(source, _)| *source),
                by_row,
                within: sources.of_single_readings(),
            });
            let is_shared = self
                .library
                .shared
                .is_some_and(|shared| shared.contains(&span));
            let scatter = match is_shared {
                true => Err(Reason::SharedReadings),
                false => scatter.ok_or(Reason::NoScatter),
            };
            self.push(Op::Scattered(Box::new(scatter)), span);
        }
    }

    fn apply(&mut self, function: FunctionId, arguments: &[Expr], span: Span) {
        let Some(body) = self.library.bodies.get(&function).copied() else {
            self.push(Op::NoCase, span);
            return;
        };
        arguments.iter().for_each(|argument| self.expr(argument));
        let first = self.program.locals;
        self.program.locals += arguments.len() as u32;
        for local in (0..arguments.len() as u32).rev() {
            self.push(Op::StoreLocal(first + local), span);
        }
        let arguments = arguments.iter().map(|argument| self.written_out(argument));
        let arguments = arguments.collect();
        self.frames.push(Frame { first, arguments });
        self.expr(body);
        self.frames.pop();
    }

    fn cases(&mut self, cases: &[Case], span: Span) {
        let mut ends = Vec::new();
        for case in cases {
            let mut misses = Vec::new();
            if let Some(condition) = &case.condition {
                misses = self.condition(condition);
            }
            self.expr(&case.value);
            ends.push(self.program.ops.len());
            self.push(Op::Jump(0), span);
            let next = self.program.ops.len() as u32;
            for miss in misses {
                if let Some(Op::Unless(_, target)) = self.program.ops.get_mut(miss) {
                    *target = next;
                }
            }
        }
        self.push(Op::NoCase, span);
        let end = self.program.ops.len() as u32;
        for jump in ends {
            if let Some(Op::Jump(target)) = self.program.ops.get_mut(jump) {
                *target = end;
            }
        }
    }

    /// Those rows of a list.
    fn chosen(&mut self, list: &Expr, which: &Which, span: Span) {
        let choice = self.choice(list, which, span);
        self.part(Part::Chosen(choice), span);
    }

    fn choice(&mut self, list: &Expr, which: &Which, span: Span) -> Arc<Choice> {
        let (list, mut which) = (self.written_out(list), which.clone());
        which.for_each_comparison_mut(&mut |condition| {
            let members = condition.members.iter_mut();
            members.for_each(|member| *member = self.written_out(member));
        });
        let choice = Choice {
            place: span,
            list: Program::compile(&list, self.library),
            test: test(&which, self.library),
        };
        let symbols = choice.programs().into_iter().flat_map(Program::symbols);
        let symbols: Vec<SymbolId> = symbols.collect();
        self.program.aggregated.extend(symbols);
        Arc::new(choice)
    }

    /// A list that is made of others as a whole.
    fn part(&mut self, part: Part, span: Span) {
        let symbols = part.programs().into_iter().flat_map(Program::symbols);
        let symbols: Vec<SymbolId> = symbols.collect();
        self.program.aggregated.extend(symbols);
        let at = self.program.parts.len() as u32;
        self.program.parts.push(part);
        self.push(Op::Part(at), span);
    }

    fn compared(&mut self, member: &Expr) {
        self.expr(member);
        let places = self.library.in_radians;
        if places.is_some_and(|places| places.contains(&member.span)) {
            two_pi()
                .into_iter()
                .for_each(|op| self.push(op, member.span));
        }
    }

    /// The tests of a condition; where each of them jumps is filled in later.
    fn condition(&mut self, condition: &Condition) -> Vec<usize> {
        let mut misses = Vec::new();
        for (pair, relation) in condition.members.windows(2).zip(&condition.relations) {
            pair.iter().for_each(|member| self.compared(member));
            misses.push(self.program.ops.len());
            let span = pair
                .first()
                .map_or_else(Span::default, |member| member.span);
            self.push(Op::Unless(*relation, 0), span);
        }
        misses
    }
}

/// A condition for the rows of a list, compiled.
pub fn test(which: &Which, library: &Library<'_>) -> Test {
    let all = |parts: &[Which]| parts.iter().map(|part| test(part, library)).collect();
    match which {
        Which::Compared(condition) => {
            let places = condition.members.iter().map(|member| member.span);
            Test::Compared(Compared {
                members: (condition.members.iter())
                    .map(|member| member_of_comparison(member, library))
                    .collect(),
                relations: condition.relations.clone(),
                place: places.reduce(Span::cover).unwrap_or_default(),
            })
        }
        Which::Words { heading, words } => Test::Words(Words {
            heading: heading.0,
            tables: library.words(&heading.1, words),
        }),
        Which::Not(inner) => Test::Not(Box::new(test(inner, library))),
        Which::All(parts) => Test::All(all(parts)),
        Which::Any(parts) => Test::Any(all(parts)),
    }
}

/// A side of a comparison, in which turns are taken in radians beside an angular velocity.
fn member_of_comparison(member: &Expr, library: &Library<'_>) -> Program {
    let program = Program::compile(member, library);
    let places = library.in_radians;
    match places.is_some_and(|places| places.contains(&member.span)) {
        true => program.in_radians(member.span),
        false => program,
    }
}

/// What comes before, times 2π.
fn two_pi() -> [Op; 4] {
    let two = Literal::shortest(2.0);
    [
        Op::constant(two),
        Op::constant(Literal::pi()),
        Op::Times,
        Op::Times,
    ]
}
