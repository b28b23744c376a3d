//! The walk over all statements.

use std::sync::Arc;

use rustc_hash::{FxHashMap, FxHashSet};

use super::definitions::Definition;
use super::fault;
use super::program::{Fault, Library, Program};
use super::sense::{Influence, Trend};
use super::solve::Convergence;
use super::value::{self, Value, Values};
use crate::diagnostic::Diagnostic;
use crate::dimensions::{Checked, Type, origins};
use crate::resolve::statement::{Condition, Origin, Tail};
use crate::resolve::{
    Expr, ExprKind, FunctionId, Inline, Kind, Resolved, Statement, SymbolId, Symbols,
};
use crate::text::Span;

/// What came of a statement or an inline ask.
#[derive(Debug, Clone, PartialEq)]
pub enum Outcome {
    /// There is nothing to compute, or it was refused before.
    Nothing,
    /// Its value.
    Value(Value),
    /// A check: the values of its members, and whether it holds.
    Check {
        /// One a member.
        values: Vec<Value>,
        /// Whether it holds.
        holds: bool,
    },
    /// A root: its value, and how well the search converged.
    Root(Value, Convergence),
    /// The values that satisfy a system, one an unknown.
    System(Vec<Value>, Convergence),
    /// A trend, and whether it is as claimed.
    Trend(Trend, bool),
    /// A limit: what the values came to, and whether it is as claimed.
    Limit {
        /// In coherent SI units.
        reached: f64,
        /// Whether that is the limit that is claimed.
        holds: bool,
    },
    /// A result and how much each given matters for it, most first.
    Sensitivity(Value, Vec<Influence>),
    /// It is right in itself but needs what failed: the names and where they were to be defined.
    Needs(Vec<(SymbolId, Span)>),
    /// It failed now; a diagnostic was recorded.
    Failed,
}

/// The numbers of a worksheet.
#[derive(Debug, Default)]
pub struct Results {
    /// For each statement of each block.
    pub statements: Vec<Vec<Outcome>>,
    /// For each inline ask.
    pub inlines: Vec<Outcome>,
    /// The value of each symbol that has one.
    pub values: FxHashMap<SymbolId, Value>,
    /// Standard uncertainties of the uncertain literals, in SI units.
    pub inputs: Vec<f64>,
    /// The number of each uncertain literal among `inputs`, by its place.
    numbers: FxHashMap<Span, u32>,
    /// How each value came to be.
    pub(super) definitions: FxHashMap<SymbolId, Arc<Definition>>,
    /// Where each symbol that failed was to be defined.
    pub(super) failed: FxHashMap<SymbolId, Span>,
}

/// What a worksheet's formulas refer to beside values.
#[derive(Debug)]
pub struct Formulas<'a> {
    /// Bodies of user functions.
    bodies: FxHashMap<FunctionId, &'a Expr>,
    symbols: &'a Symbols,
}

impl<'a> Formulas<'a> {
    /// Those of a worksheet: the functions that are sound.
    pub fn of(resolved: &'a Resolved, checked: &Checked) -> Self {
        Self {
            bodies: (resolved.functions())
                .filter(|(origin, ..)| checked.is_sound(*origin))
                .map(|(_, function, body)| (function, body))
                .collect(),
            symbols: &resolved.symbols,
        }
    }
}

impl Results {
    /// Compiles an expression of the worksheet, to run it on other values.
    pub fn compile(
        &self,
        expr: &Expr,
        formulas: &Formulas<'_>,
        atmosphere: Option<SymbolId>,
    ) -> Program {
        Program::compile(
            expr,
            &Library {
                bodies: &formulas.bodies,
                inputs: &self.numbers,
                atmosphere,
                symbols: Some(formulas.symbols),
            },
        )
    }
}

impl Values for Results {
    fn value(&self, symbol: SymbolId) -> Option<&Value> {
        self.values.get(&symbol)
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
    /// The steps of `derive` that were refuted: what takes a formula from one of them needs it
    /// and is not evaluated.
    pub refuted: &'a FxHashSet<Origin>,
}

/// Evaluates all statements from top to bottom, then the inline asks.
pub fn evaluate(ground: Ground<'_>) -> (Results, Vec<Diagnostic>) {
    let resolved = ground.resolved;
    let mut walk = Walk::new(ground);
    for (at, block) in resolved.blocks.iter().enumerate() {
        walk.problem(ground.problems.get(at).copied().unwrap_or(0));
        let outcomes = (0..block.len())
            .map(|index| walk.statement_at(at, index))
            .collect();
        walk.results.statements.push(outcomes);
    }
    for at in 0..resolved.inlines.len() {
        let outcome = walk.inline_at(at);
        walk.results.inlines.push(outcome);
    }
    (walk.results, walk.diagnostics)
}

pub(super) struct Walk<'a> {
    pub text: &'a str,
    pub resolved: &'a Resolved,
    pub checked: &'a Checked,
    refuted: &'a FxHashSet<Origin>,
    formulas: Formulas<'a>,
    atmosphere: Option<SymbolId>,
    /// Where the current line begins; nothing for an inline ask, which may read everything.
    here: Option<u32>,
    pub results: Results,
    pub diagnostics: Vec<Diagnostic>,
}

impl<'a> Walk<'a> {
    pub(super) fn new(ground: Ground<'a>) -> Self {
        Self {
            text: ground.text,
            resolved: ground.resolved,
            checked: ground.checked,
            refuted: ground.refuted,
            formulas: Formulas::of(ground.resolved, ground.checked),
            atmosphere: None,
            here: None,
            results: Results::default(),
            diagnostics: Vec::new(),
        }
    }

    /// Evaluates a statement of a block.
    pub(super) fn statement_at(&mut self, block: usize, statement: usize) -> Outcome {
        let types = self.checked.statements.get(block);
        let found = types.and_then(|types| types.get(statement)?.as_ref());
        let lines = self.resolved.blocks.get(block);
        match lines.and_then(|lines| lines.get(statement)) {
            Some(line) => self.statement(line, found),
            None => Outcome::Nothing,
        }
    }

    /// Evaluates an inline ask.
    pub(super) fn inline_at(&mut self, at: usize) -> Outcome {
        let inline = self.resolved.inlines.get(at).and_then(Option::as_ref);
        let found = self.checked.inlines.get(at).and_then(Option::as_ref);
        let (Some(inline), Some(_)) = (inline, found) else {
            return Outcome::Nothing;
        };
        self.problem(inline.problem);
        self.here = None;
        self.inline(inline)
    }

    pub(super) fn problem(&mut self, problem: usize) {
        self.atmosphere = self
            .resolved
            .symbols
            .find(problem, crate::syntax::ATMOSPHERE);
    }

    pub(super) fn compile(&self, expr: &Expr) -> Program {
        // A `p_atm` that is defined only further down is not there yet.
        let reached = |symbol: &SymbolId| {
            let defined = self.resolved.symbols.symbol(*symbol).defined;
            let is_above = |span: Span| self.here.is_none_or(|here| span.start < here);
            defined.is_some_and(is_above)
                && (self.results.values.contains_key(symbol)
                    || self.results.failed.contains_key(symbol))
        };
        let atmosphere = self.atmosphere.filter(reached);
        self.results.compile(expr, &self.formulas, atmosphere)
    }

    fn statement(&mut self, statement: &'a Statement, found: Option<&Type>) -> Outcome {
        self.here = Some(statement.span.start);
        let refused = statement
            .kind
            .as_ref()
            .and_then(|_| self.refused_formula(statement));
        let outcome = match (&statement.kind, found, refused) {
            (Some(_), _, Some(needs)) => needs,
            (Some(kind), Some(found), None) => self.sound(statement, kind, found),
            _ => Outcome::Nothing,
        };
        for symbol in statement.defines.iter().chain(&statement.unknowns) {
            if !self.results.values.contains_key(symbol) {
                self.results.failed.insert(*symbol, statement.span);
            }
        }
        outcome
    }

    /// A formula that was refused or refuted in `derive` is what a line of `work` needs.
    fn refused_formula(&self, statement: &Statement) -> Option<Outcome> {
        let symbol = statement.defines.or(statement.unknowns.first().copied())?;
        origins(statement).iter().find_map(|origin| {
            let types = self.checked.statements.get(origin.block)?;
            let refused = types.get(origin.statement)?.is_none() || self.refuted.contains(origin);
            let equation = self
                .resolved
                .blocks
                .get(origin.block)?
                .get(origin.statement)?;
            refused.then(|| Outcome::Needs(vec![(symbol, equation.span)]))
        })
    }

    fn sound(&mut self, statement: &'a Statement, kind: &'a Kind, found: &Type) -> Outcome {
        match kind {
            Kind::Required { .. }
            | Kind::Equation { .. }
            | Kind::Therefore { .. }
            | Kind::Solved(_)
            | Kind::Component { .. }
            | Kind::Dimensions { .. } => Outcome::Nothing,
            Kind::Root(root) => self.root(root, found),
            Kind::System(system) => self.system(statement, system),
            Kind::Trend {
                subject,
                way,
                with,
                within,
            } => self.trend(statement, subject, way, *with, within.as_ref()),
            Kind::Limit {
                subject,
                value,
                with,
                at,
            } => self.limit(statement, subject, value, *with, at),
            Kind::Sensitivity { subject, givens } => self.sensitivity(subject, givens),
            Kind::Function { body, .. } => {
                self.number_inputs(body);
                Outcome::Nothing
            }
            Kind::Given { value } => {
                self.number_inputs(value);
                self.define(statement, std::slice::from_ref(value), found)
            }
            Kind::Work {
                lead,
                members,
                tail,
                conditions,
                origin,
                ..
            } => {
                members.iter().for_each(|member| self.number_inputs(member));
                let outcome = if conditions.is_empty() && statement.defines.is_some() {
                    self.define(statement, members, found)
                } else {
                    self.ask(statement, lead, members, conditions, found)
                };
                if let (Outcome::Value(value), Tail::Claim(claim)) = (&outcome, tail) {
                    self.claim(value, found, claim);
                }
                let restated = origin.is_some();
                if restated && outcome == Outcome::Failed {
                    self.place_last(lead.span);
                }
                match (&outcome, origin, statement.defines) {
                    (Outcome::Value(value), Some(origin), Some(symbol))
                        if !self.is_solution(*origin, symbol, value.at(0), lead.span) =>
                    {
                        self.forget(symbol);
                        Outcome::Failed
                    }
                    _ => outcome,
                }
            }
            Kind::Check {
                members,
                relations,
                within,
            } => self.check(statement, members, relations, within.as_ref()),
            Kind::Answer { expr, .. } => self.expr(expr, &[]),
        }
    }

    /// A restated formula fails where it is asked, not where it stands.
    fn place_last(&mut self, span: Span) {
        if let Some(diagnostic) = self.diagnostics.last_mut() {
            let stands = diagnostic.span;
            diagnostic.span = span;
            diagnostic.notes.push(crate::diagnostic::Note {
                message: "the formula stands here".to_owned(),
                span: Some(stands),
            });
        }
    }

    /// Numbers the uncertain literals of an expression.
    pub(super) fn number_inputs(&mut self, expr: &Expr) {
        if let ExprKind::Quantity(quantity) = &expr.kind
            && let Some(uncertainty) = quantity.uncertainty
        {
            let inputs = &mut self.results.inputs;
            let size = uncertainty * quantity.unit.factor().abs();
            let number = *(self.results.numbers.entry(expr.span)).or_insert(inputs.len() as u32);
            match inputs.get_mut(number as usize) {
                Some(known) => *known = size,
                None => inputs.push(size),
            }
        }
        expr.for_each_part(|part| self.number_inputs(part));
    }

    /// The names an expression needs that failed above.
    pub(super) fn missing(&self, programs: &[Program]) -> Vec<(SymbolId, Span)> {
        let mut missing: Vec<(SymbolId, Span)> = Vec::new();
        for symbol in programs.iter().flat_map(Program::symbols) {
            if self.results.values.contains_key(&symbol)
                || missing.iter().any(|(other, _)| *other == symbol)
            {
                continue;
            }
            missing.push((symbol, self.place_of(symbol)));
        }
        missing
    }

    /// Where a symbol that has no value was to be defined.
    pub(super) fn place_of(&self, symbol: SymbolId) -> Span {
        let failed = self.results.failed.get(&symbol);
        let place = failed.or_else(|| self.resolved.places.get(&symbol));
        place.copied().unwrap_or_default()
    }

    pub(super) fn run(&mut self, program: &Program) -> Option<Value> {
        match value::run(program, &self.results) {
            Ok(value) => Some(value),
            Err(fault) => {
                self.stop(fault);
                None
            }
        }
    }

    pub(super) fn stop(&mut self, fault: Fault) {
        self.diagnostics
            .push(fault::diagnostic(self.text, fault, None));
    }

    /// The value of an expression, perhaps with other values of some givens.
    pub(super) fn expr(&mut self, expr: &Expr, conditions: &[Condition]) -> Outcome {
        self.number_inputs(expr);
        let program = self.compile(expr);
        let missing = self.missing(std::slice::from_ref(&program));
        if !missing.is_empty() {
            return Outcome::Needs(missing);
        }
        let value = if conditions.is_empty() {
            self.run(&program)
        } else {
            self.what_if(&program, conditions)
        };
        value.map_or(Outcome::Failed, Outcome::Value)
    }

    fn inline(&mut self, inline: &Inline) -> Outcome {
        self.expr(&inline.expr, &inline.conditions)
    }
}
