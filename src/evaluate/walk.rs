//! The walk over all statements.

use std::sync::Arc;

use rustc_hash::{FxHashMap, FxHashSet};

use super::asked::{Chosen, LeftOut, Table, Test, Told};
use super::definitions::Definition;
use super::forms::Outcome;
use super::magnitude::WhatIf;
use super::others::Others;
use super::program::{self, Fault, Library, Program};
use super::sources::{About, Error, Key, Sources};
use super::table::{Scatter, ScatterWord};
use super::told;
use super::value::{self, Value, Values};
use crate::diagnostic::Diagnostic;
use crate::dimensions::{Checked, Type};
use crate::functions::Function;
use crate::proofs::Provisos;
use crate::quantity::Constant;
use crate::quantity::Exponent;
use crate::resolve::statement::{Condition, Origin};
use crate::resolve::{
    BySymbol, Expr, ExprKind, FunctionId, Kind, Resolved, Statement, SymbolId, Symbols, Which,
};
use crate::text::Span;

/// A statement that was evaluated.
#[derive(Debug)]
pub struct Evaluated<'a> {
    /// The type of its value.
    pub found: &'a Type,
    /// What came of it.
    pub outcome: Outcome<'a>,
}

/// A statement that was evaluated, or why it was not.
pub type Evaluation<'a> = Result<Evaluated<'a>, Lack>;

/// Why there is nothing to show of a statement or an inline ask.
#[derive(Debug, Clone, PartialEq)]
pub enum Lack {
    /// It is right in itself but needs what failed: the names and where they were to be defined.
    Needs(Vec<(SymbolId, Span)>),
    /// It was refused, here or by a pass before; a diagnostic was recorded.
    Refused,
}

/// The numbers of a worksheet.
#[derive(Debug, Default)]
pub struct Results<'a> {
    /// For each statement of each block.
    pub statements: Vec<Vec<Evaluation<'a>>>,
    /// For each inline ask.
    pub inlines: Vec<Result<Arc<Value>, Lack>>,
    /// The value of each symbol that has one.
    pub values: BySymbol<Arc<Value>>,
    /// The sources of uncertainty.
    pub sources: Sources,
    /// How each value came to be.
    pub(super) definitions: BySymbol<Arc<Definition<'a>>>,
    /// The tables by the places of their labels.
    pub(super) tables: FxHashMap<Span, Table>,
    /// The rows that were chosen, by the place of the choice.
    pub(super) decided: FxHashMap<Span, Chosen>,
    /// What was told of uncertainties, by place.
    pub(super) told: FxHashMap<Span, Arc<[f64]>>,
    /// The places of functions of scatter whose lists have rows that share readings.
    pub(super) shared: FxHashSet<Span>,
    /// Weighted means that there are none of.
    pub(super) no_mean: FxHashSet<SymbolId>,
    /// Before which place each weighted mean is had.
    pub(super) mean_places: FxHashMap<SymbolId, u32>,
    /// The columns of tables.
    pub(super) columns: FxHashSet<SymbolId>,
    /// Columns whose readings in a row are of one moment.
    pub(super) together: Vec<Vec<SymbolId>>,
    /// The results of scatter so far.
    pub(super) scatters: Vec<Scatter>,
    /// What a further reading of each fit scatters by, by the place of its left side; nothing where
    /// its rows have no one standard deviation.
    pub(super) further: FxHashMap<Span, Option<Further>>,
    /// What the curves leave out that lines read values off, by the places of the lines.
    pub left_out: FxHashMap<Span, LeftOut>,
    /// What is to be said of the scatter that lines find, by the places of the lines.
    pub scatter_words: FxHashMap<Span, Vec<ScatterWord>>,
    /// The sources here of those of other problems, by these.
    pub(super) adopted: FxHashMap<usize, FxHashMap<u32, u32>>,
    /// What stands here for tables of other problems.
    pub(super) tables_elsewhere: FxHashMap<(usize, Span), Span>,
    /// What sketches come to in each what-if.
    pub what_ifs: Vec<WhatIf>,
    /// Where each symbol that failed was to be defined.
    pub(super) failed: FxHashMap<SymbolId, Span>,
}

/// How far one further reading lies beside a fit.
#[derive(Debug, Clone, Copy)]
pub(super) struct Further {
    /// The residual standard deviation.
    pub deviation: f64,
    /// Its degrees of freedom.
    pub degrees: f64,
    /// A source of the fit's scatter, with which it counts as one.
    pub source: u32,
}

/// What a worksheet's formulas refer to beside values.
#[derive(Debug)]
pub struct Formulas<'a> {
    /// Bodies of user functions.
    bodies: FxHashMap<FunctionId, &'a Expr>,
    symbols: &'a Symbols,
    text: &'a str,
    in_radians: &'a FxHashSet<Span>,
    means: &'a FxHashMap<Span, SymbolId>,
}

impl<'a> Formulas<'a> {
    /// Those of a worksheet: the functions that are sound.
    pub fn of(text: &'a str, resolved: &'a Resolved, checked: &'a Checked) -> Self {
        Self {
            bodies: (resolved.functions())
                .filter(|(origin, ..)| checked.is_sound(*origin))
                .map(|(_, function, body)| (function, body))
                .collect(),
            symbols: &resolved.symbols,
            text,
            in_radians: &checked.in_radians,
            means: &resolved.means,
        }
    }

    /// The body of a user function.
    pub fn body(&self, function: FunctionId) -> Option<&'a Expr> {
        self.bodies.get(&function).copied()
    }
}

impl Results<'_> {
    /// Compiles an expression of the worksheet, to run it on other values.
    pub fn compile(
        &self,
        expr: &Expr,
        formulas: &Formulas<'_>,
        atmosphere: Option<SymbolId>,
    ) -> Program {
        Program::compile(expr, &self.library(formulas, atmosphere))
    }

    fn library<'l>(
        &'l self,
        formulas: &'l Formulas<'_>,
        atmosphere: Option<SymbolId>,
    ) -> Library<'l> {
        Library {
            bodies: &formulas.bodies,
            sources: &self.sources,
            text: formulas.text,
            atmosphere,
            symbols: Some(formulas.symbols),
            in_radians: Some(formulas.in_radians),
            tables: Some(&self.tables),
            means: Some(formulas.means),
            shared: Some(&self.shared),
        }
    }
}

impl Values for Results<'_> {
    fn value(&self, symbol: SymbolId) -> Option<&Value> {
        self.values.get(symbol).map(|value| &**value)
    }

    fn decided(&self, place: Span) -> Option<&Chosen> {
        self.decided.get(&place)
    }

    fn told(&self, told: &Told, on: &dyn Values) -> Result<Arc<[f64]>, Fault> {
        match self.told.get(&told.place) {
            Some(found) => Ok(Arc::clone(found)),
            None => told::tell(told, &self.sources, &|program| value::run(program, on)),
        }
    }
}

/// What evaluation reads of the passes before it.
#[derive(Debug, Clone, Copy)]
pub struct Ground<'a> {
    /// The text of the worksheet.
    pub text: &'a str,
    /// Its statements.
    pub resolved: &'a Resolved,
    /// Their types.
    pub checked: &'a Checked,
    /// The problem of each block.
    pub problems: &'a [usize],
    /// The lines of `derive` that were refuted: what takes a formula from one of them needs it
    /// and is not evaluated.
    pub refuted: &'a FxHashSet<Origin>,
    /// What lines of `derive` hold by.
    pub provisos: &'a Provisos,
    /// The values of other worksheets.
    pub others: &'a dyn Others,
    /// What its trials may take.
    pub trials: u64,
}

/// Evaluates all statements from top to bottom, then the inline asks.
pub fn evaluate(ground: Ground<'_>) -> (Results<'_>, Vec<Diagnostic>) {
    let walk = walked(ground);
    (walk.results, walk.diagnostics)
}

/// The walk when it is over.
pub(super) fn walked(ground: Ground<'_>) -> Walk<'_> {
    let resolved = ground.resolved;
    let mut walk = Walk::new(ground);
    for (at, block) in resolved.blocks.iter().enumerate() {
        walk.problem(ground.problems.get(at).copied().unwrap_or(0));
        let lines = block.iter().enumerate();
        let outcomes = lines
            .map(|(index, line)| walk.statement_at(at, line, index))
            .collect();
        walk.results.statements.push(outcomes);
    }
    for at in 0..resolved.inlines.len() {
        let outcome = walk.inline_at(at);
        walk.results.inlines.push(outcome.map(Arc::new));
    }
    walk.sketches_in_what_ifs(ground);
    walk
}

pub(super) struct Walk<'a> {
    pub text: &'a str,
    pub resolved: &'a Resolved,
    pub checked: &'a Checked,
    refuted: &'a FxHashSet<Origin>,
    pub provisos: &'a Provisos,
    /// The values of other worksheets.
    pub others: &'a dyn Others,
    /// What is left of what trials may take.
    pub trials: u64,
    formulas: Formulas<'a>,
    /// Whether any table is made a function.
    has_tables: bool,
    atmosphere: Option<SymbolId>,
    /// Where the current line begins; nothing for an inline ask, which may read everything.
    here: Option<u32>,
    /// The current line.
    pub(super) line: Option<&'a Statement>,
    pub results: Results<'a>,
    pub diagnostics: Vec<Diagnostic>,
}

impl<'a> Walk<'a> {
    pub(super) fn new(ground: Ground<'a>) -> Self {
        let mut bodies = ground.resolved.functions().map(|(_, _, body)| body);
        Self {
            text: ground.text,
            resolved: ground.resolved,
            checked: ground.checked,
            refuted: ground.refuted,
            provisos: ground.provisos,
            others: ground.others,
            trials: ground.trials,
            formulas: Formulas::of(ground.text, ground.resolved, ground.checked),
            has_tables: bodies.any(|body| matches!(body.kind, ExprKind::ReadOff(_))),
            atmosphere: None,
            here: None,
            line: None,
            results: Results::default(),
            diagnostics: Vec::new(),
        }
    }

    /// Evaluates a statement of a block.
    fn statement_at(&mut self, block: usize, line: &'a Statement, at: usize) -> Evaluation<'a> {
        let types = self.checked.statements.get(block);
        let found = types.and_then(|types| types.get(at)?.as_ref());
        self.statement(line, found)
    }

    /// Evaluates an inline ask.
    fn inline_at(&mut self, at: usize) -> Result<Value, Lack> {
        let inline = self.resolved.inlines.get(at).and_then(Option::as_ref);
        let found = self.checked.inlines.get(at).and_then(Option::as_ref);
        let (Some(inline), Some(_)) = (inline, found) else {
            return Err(Lack::Refused);
        };
        self.problem(inline.problem);
        (self.here, self.line) = (None, None);
        self.expr(&inline.expr, &inline.conditions)
    }

    pub(super) fn problem(&mut self, problem: usize) {
        self.atmosphere = self
            .resolved
            .symbols
            .find(problem, crate::syntax::ATMOSPHERE);
    }

    /// The pressure of the atmosphere, where it is known.
    fn atmosphere(&self) -> Option<SymbolId> {
        // A `p_atm` that is defined only further down is not there yet.
        let reached = |symbol: &SymbolId| {
            let defined = self.resolved.symbols.symbol(*symbol).defined;
            let is_above = |span: Span| self.here.is_none_or(|here| span.start < here);
            defined.is_some_and(is_above)
                && (self.results.values.has(*symbol) || self.results.failed.contains_key(symbol))
        };
        self.atmosphere.filter(reached)
    }

    /// A condition for the rows of a list.
    pub(super) fn compile_test(&self, which: &Which) -> Test {
        let library = self.results.library(&self.formulas, self.atmosphere());
        program::test(which, &library)
    }

    pub(super) fn compile(&self, expr: &Expr) -> Program {
        let atmosphere = self.atmosphere();
        match self.checked.shifted.get(&expr.span) {
            Some(function) => {
                let converted = expr.clone().called(*function);
                self.results.compile(&converted, &self.formulas, atmosphere)
            }
            None => self.results.compile(expr, &self.formulas, atmosphere),
        }
    }

    /// A member of a comparison, in which turns are taken in radians beside an angular velocity.
    pub(super) fn compile_compared(&self, expr: &Expr) -> Program {
        let program = self.compile(expr);
        match self.checked.in_radians.contains(&expr.span) {
            true => program.in_radians(expr.span),
            false => program,
        }
    }

    fn statement(&mut self, statement: &'a Statement, found: Option<&'a Type>) -> Evaluation<'a> {
        (self.here, self.line) = (Some(statement.span.start), Some(statement));
        let evaluation = self.evaluated(statement, found);
        if evaluation.is_ok() {
            self.report_below_least(statement);
            if self.has_tables {
                self.note_left_out(statement);
            }
        }
        for symbol in statement.defines.iter().chain(&statement.unknowns) {
            if !self.results.values.has(*symbol) {
                self.results.failed.insert(*symbol, statement.span);
            }
        }
        evaluation
    }

    fn evaluated(&mut self, statement: &'a Statement, found: Option<&'a Type>) -> Evaluation<'a> {
        let kind = statement.kind.as_ref().ok_or(Lack::Refused)?;
        self.needs_formula(statement, kind)?;
        let found = found.ok_or(Lack::Refused)?;
        let outcome = self.sound(statement, kind, found)?;
        Ok(Evaluated { found, outcome })
    }

    /// A formula that was refused or refuted in `derive` is what a line of `work` needs.
    fn needs_formula(&self, statement: &Statement, kind: &Kind) -> Result<(), Lack> {
        let Some(symbol) = statement.defines.or(statement.unknowns.first().copied()) else {
            return Ok(());
        };
        let mut origins = kind.facts().origins.iter();
        let refused = origins.find_map(|origin| self.refused(*origin));
        refused.map_or(Ok(()), |place| Err(Lack::Needs(vec![(symbol, place)])))
    }

    /// The line of `derive` that was refused or refuted: this one, or one that it was solved from.
    pub(super) fn refused(&self, origin: Origin) -> Option<Span> {
        let mut seen = FxHashSet::default();
        let mut before = vec![origin];
        while let Some(origin) = before.pop() {
            // Lines share what they were solved from.
            if !seen.insert(origin) {
                continue;
            }
            let block = self.resolved.blocks.get(origin.block)?;
            let line = block.get(origin.statement)?;
            if !self.checked.is_sound(origin) || self.refuted.contains(&origin) {
                return Some(line.span);
            }
            before.extend(line.facts().origins.iter().rev());
        }
        None
    }

    /// What programs need that failed above, but for the unknowns.
    pub(super) fn needs(&self, programs: &[Program], unknowns: &[SymbolId]) -> Result<(), Lack> {
        let mut missing = self.missing(programs);
        missing.retain(|(symbol, _)| !unknowns.contains(symbol));
        if missing
            .iter()
            .any(|(symbol, _)| self.results.no_mean.contains(symbol))
        {
            return Err(Lack::Refused);
        }
        match missing.is_empty() {
            true => Ok(()),
            false => Err(Lack::Needs(missing)),
        }
    }

    /// Notes the sources of uncertainty of an expression: its uncertain literals and constants.
    pub(super) fn number_inputs(&mut self, expr: &Expr) {
        match &expr.kind {
            ExprKind::Quantity(quantity) if !quantity.sizes.is_empty() => {
                let about = About {
                    names: self
                        .line
                        .and_then(|line| line.defines)
                        .into_iter()
                        .collect(),
                    words: self.line.and_then(|line| line.description),
                    ..About::stated(expr.span)
                };
                self.results
                    .sources
                    .know(Key::Literal(expr.span), |sources| {
                        let sizes = quantity.sizes.iter();
                        sizes
                            .map(|size| sources.add_stated(&about, size, quantity))
                            .collect()
                    });
            }
            ExprKind::Constant(constant) => self.number_constant(constant, expr.span),
            _ => {}
        }
        expr.for_each_part(|part| self.number_inputs(part));
        if let ExprKind::Call {
            function,
            arguments,
            ..
        } = &expr.kind
        {
            self.number_call(expr, *function, arguments);
        }
        if let ExprKind::Where(..) = expr.kind {
            self.decide(expr);
        }
    }

    /// Notes what a call has of its own that hangs on all values of its arguments.
    fn number_call(&mut self, expr: &Expr, function: Function, arguments: &[Expr]) {
        let (by_scatter, of_uncertainty) = (function.is_by_scatter(), function.is_of_uncertainty());
        let is_mean = by_scatter || matches!(function, Function::Mean | Function::WeightedMean);
        if !(is_mean || of_uncertainty) || has_parameters(expr) {
            return;
        }
        match (function, arguments) {
            (Function::WeightedMean, [list]) => self.number_mean(expr.span, list),
            _ if by_scatter => self.number_scatter(expr.span, function, arguments),
            _ if of_uncertainty => self.tell(expr),
            _ => {}
        }
        if let (true, [list]) = (is_mean, arguments) {
            self.jumps(expr.span, list);
        }
    }

    /// Tells of the uncertainty of values, once: that of second order with them.
    fn tell(&mut self, expr: &Expr) {
        let program = self.compile(expr);
        if !self.missing(std::slice::from_ref(&program)).is_empty() {
            return;
        }
        for told in program.told() {
            if told.place != expr.span || self.results.told.contains_key(&told.place) {
                continue;
            }
            let run = |program: &Program| {
                let value = value::run(program, &self.results)?;
                Ok(self.with_second_order(program, &FxHashMap::default(), value))
            };
            // What is wrong with it is said where it is evaluated.
            if let Ok(found) = told::tell(&told, &self.results.sources, &run) {
                self.results.told.insert(told.place, found);
            }
        }
    }

    /// Where the current line begins.
    pub(super) fn here(&self) -> Option<u32> {
        self.here
    }

    /// Whether the rows of a list share readings, because they are made of neighbouring rows.
    pub(super) fn joins_rows(&self, program: &Program) -> bool {
        let mut seen = FxHashSet::default();
        let mut open = vec![program.clone()];
        while let Some(program) = open.pop() {
            if program.joins_rows() {
                return true;
            }
            for symbol in program.by_row() {
                if seen.insert(symbol)
                    && let Some(definition) = self.results.definitions.get(symbol)
                {
                    open.extend(definition.programs().into_iter().cloned());
                }
            }
        }
        false
    }

    /// Decides which rows of a list are meant, once.
    fn decide(&mut self, expr: &Expr) {
        let program = self.compile(expr);
        // In the body of a function it hangs on the arguments.
        if has_parameters(expr) || !self.missing(std::slice::from_ref(&program)).is_empty() {
            return;
        }
        self.decide_at(&program, expr.span);
    }

    /// Decides which rows are meant in a program by the condition at a place, once.
    pub(super) fn decide_at(&mut self, program: &Program, place: Span) {
        for choice in program.choices() {
            if choice.place != place || self.results.decided.contains_key(&choice.place) {
                continue;
            }
            let mut in_doubt = Vec::new();
            let found = value::decide(&choice, &self.results, &mut |place| in_doubt.push(place));
            in_doubt.into_iter().for_each(|place| self.not_told(place));
            // What is wrong with it is said where it is evaluated.
            if let Ok(found) = found {
                self.results.decided.insert(choice.place, found);
            }
        }
    }

    fn number_constant(&mut self, constant: &'static Constant, place: Span) {
        if constant.uncertainty.is_some() {
            let about = About {
                constant: Some(constant.name),
                ..About::stated(place)
            };
            let sources = &mut self.results.sources;
            sources.know(Key::Constant(constant.name), |sources| {
                vec![Error::Each(sources.add(about, [constant.spread()]))]
            });
        }
        if let Some(base) = constant.in_multiples_of() {
            self.number_constant(base, place);
        }
    }

    /// The names an expression needs that failed above.
    pub(super) fn missing(&self, programs: &[Program]) -> Vec<(SymbolId, Span)> {
        let mut missing: Vec<(SymbolId, Span)> = Vec::new();
        for symbol in programs.iter().flat_map(Program::symbols) {
            if self.results.values.has(symbol) || missing.iter().any(|(other, _)| *other == symbol)
            {
                continue;
            }
            missing.push((symbol, self.place_of(symbol)));
        }
        // What a weighted mean lacks is told, and not that it has no value.
        let is_mean = |symbol: &SymbolId| self.resolved.means.values().any(|mean| mean == symbol);
        if missing.len() > 1 && missing.iter().any(|(symbol, _)| !is_mean(symbol)) {
            missing.retain(|(symbol, _)| !is_mean(symbol));
        }
        for table in programs.iter().flat_map(Program::tables) {
            let (place, function) = table.made;
            let is_known = missing.iter().any(|(other, _)| *other == function);
            if self.results.failed.contains_key(&function) && !is_known {
                missing.push((function, place));
            }
        }
        missing
    }

    /// Where a symbol that has no value was to be defined.
    pub(super) fn place_of(&self, symbol: SymbolId) -> Span {
        let failed = self.results.failed.get(&symbol);
        let place = failed.or_else(|| self.resolved.places.get(&symbol));
        place.copied().unwrap_or_default()
    }

    pub(super) fn run(&mut self, program: &Program) -> Result<Value, Lack> {
        match value::run(program, &self.results) {
            Ok(value) => Ok(self.with_second_order(program, &FxHashMap::default(), value)),
            Err(fault) => {
                self.stop(fault);
                Err(Lack::Refused)
            }
        }
    }

    pub(super) fn stop(&mut self, fault: Fault) {
        let diagnostic = self.of_fault(fault, None);
        self.diagnostics.push(diagnostic);
    }

    /// The value of an expression, perhaps with other values of some givens.
    pub(super) fn expr(&mut self, expr: &Expr, conditions: &[Condition]) -> Result<Value, Lack> {
        self.number_inputs(expr);
        let program = self.compile(expr);
        self.needs(std::slice::from_ref(&program), &[])?;
        match conditions.is_empty() {
            true => self.run(&program),
            false => self.what_if(&[(expr, Exponent::from_integer(0))], conditions),
        }
    }
}

fn has_parameters(expr: &Expr) -> bool {
    let mut found = matches!(expr.kind, ExprKind::Parameter(_));
    expr.for_each_part(|part| found = found || has_parameters(part));
    found
}
