//! The walk over all statements.

use std::sync::Arc;

use rustc_hash::{FxHashMap, FxHashSet};

use super::definitions::Definition;
use super::program::{Fault, Library, Program, holds};
use super::sense::{Influence, Trend};
use super::solve::Convergence;
use super::value::{self, Value, Values};
use super::{Verdict, claims, convert, fault, mend};
use crate::diagnostic::{Code, Diagnostic};
use crate::dimensions::{Checked, Type, origins, relative};
use crate::quantity::{self, Family, Unit};
use crate::resolve::statement::{Condition, Literal, Origin, Tail};
use crate::resolve::{
    Expr, ExprKind, FunctionId, Inline, Kind, Resolved, Shape, Statement, SymbolId, Symbols,
};
use crate::syntax::Relation;
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

/// Evaluates all statements from top to bottom, then the inline asks. The diagnostics are those
/// of each block, then those of each inline ask.
pub fn evaluate(ground: Ground<'_>) -> (Results, Vec<Vec<Diagnostic>>) {
    let resolved = ground.resolved;
    let mut walk = Walk::new(ground, Results::default());
    let mut found = Vec::with_capacity(resolved.blocks.len() + resolved.inlines.len());
    for (at, block) in resolved.blocks.iter().enumerate() {
        walk.problem(ground.problems.get(at).copied().unwrap_or(0));
        let outcomes = (0..block.len())
            .map(|index| walk.statement_at(at, index))
            .collect();
        walk.results.statements.push(outcomes);
        found.push(std::mem::take(&mut walk.diagnostics));
    }
    for at in 0..resolved.inlines.len() {
        let outcome = walk.inline_at(at);
        walk.results.inlines.push(outcome);
        found.push(std::mem::take(&mut walk.diagnostics));
    }
    (walk.results, found)
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
    pub(super) fn new(ground: Ground<'a>, results: Results) -> Self {
        Self {
            text: ground.text,
            resolved: ground.resolved,
            checked: ground.checked,
            refuted: ground.refuted,
            formulas: Formulas::of(ground.resolved, ground.checked),
            atmosphere: None,
            here: None,
            results,
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
        self.atmosphere = self.resolved.symbols.find(problem, "p_atm");
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

    /// A definition: the first formula gives the value, the others verify it.
    fn define(&mut self, statement: &Statement, members: &[Expr], found: &Type) -> Outcome {
        let programs: Vec<Program> = members.iter().map(|member| self.compile(member)).collect();
        let missing = self.missing(&programs);
        if !missing.is_empty() {
            return Outcome::Needs(missing);
        }
        let Some(value) = self.verified(statement, members, &programs, found) else {
            return Outcome::Failed;
        };
        if let (Some(symbol), Some(first)) = (statement.defines, programs.into_iter().next()) {
            if value.shape == Shape::List && !is_list_name(self.resolved, symbol) {
                self.report_list_name(statement, symbol);
                return Outcome::Failed;
            }
            let definition = Definition::Formula {
                symbol,
                program: first,
            };
            self.know(definition, std::slice::from_ref(&value));
        }
        Outcome::Value(value)
    }

    fn report_list_name(&mut self, statement: &Statement, symbol: SymbolId) {
        let key = &self.resolved.symbols.symbol(symbol).key;
        self.diagnostics.push(
            Diagnostic::error(
                Code::N09,
                statement.span,
                format!("`{key}` is a list, but its name does not end in `_i`"),
            )
            .with_help(format!("`{key}_i = …`"))
            .with_fixes(mend::list_name(self.text, &self.resolved.symbols, symbol)),
        );
    }

    /// The value of the first formula, when all the others agree with it.
    fn verified(
        &mut self,
        statement: &Statement,
        members: &[Expr],
        programs: &[Program],
        found: &Type,
    ) -> Option<Value> {
        let mut values = Vec::with_capacity(programs.len());
        for program in programs {
            values.push(self.run(program)?);
        }
        let first = values.first()?.clone();
        for (at, value) in values.iter().enumerate().skip(1) {
            if !self.agree(&members[0], &members[at], &first, value) {
                let unit = shown_unit(statement, found, first.at(0));
                let sides = [(&members[0], &first), (&members[at], value)];
                self.report_disagreement(sides, found, &unit);
                return None;
            }
        }
        Some(first)
    }

    /// Relative 1e-9; where large terms nearly cancel, 1e-12 of the largest term.
    fn agree(&self, left: &Expr, right: &Expr, one: &Value, other: &Value) -> bool {
        let rows = one.rows.len().max(other.rows.len());
        (0..rows).all(|row| {
            let (a, b) = (one.at(row), other.at(row));
            let difference = (a - b).abs();
            difference <= 1e-9 * a.abs().max(b.abs())
                || difference
                    <= 1e-12
                        * self
                            .largest_term(left, row)
                            .max(self.largest_term(right, row))
        })
    }

    pub(super) fn largest_term(&self, expr: &Expr, row: usize) -> f64 {
        let ExprKind::Sum(terms) = &expr.inside().kind else {
            return 0.0;
        };
        let size = |expr: &Expr| {
            let value = value::run(&self.compile(expr), &self.results);
            value.map_or(0.0, |value| value.at(row).abs())
        };
        terms
            .iter()
            .map(|term| size(&term.expr))
            .fold(0.0, f64::max)
    }

    fn report_disagreement(&mut self, sides: [(&Expr, &Value); 2], found: &Type, unit: &Unit) {
        let [(left, one), (right, other)] = sides;
        let text = |expr: &Expr| expr.span.of(self.text);
        let shown = |value: &Value| {
            let size = convert::in_unit(value.at(0), found.reading, unit);
            format!("{} {}", quantity::to_figures(size, 6).text(), unit.text())
        };
        let message = format!(
            "`{}` and `{}` do not agree: {} and {}",
            text(left),
            text(right),
            shown(one).trim_end(),
            shown(other).trim_end()
        );
        self.diagnostics.push(
            Diagnostic::error(Code::E05, right.span, message)
                .with_note("the first formula", left.span)
                .with_help("the member that is wrong put right, or a line of its own for it"),
        );
    }

    /// A chain that defines nothing: an ask of an expression, or a what-if.
    fn ask(
        &mut self,
        statement: &Statement,
        lead: &Expr,
        members: &[Expr],
        conditions: &[Condition],
        found: &Type,
    ) -> Outcome {
        if !conditions.is_empty() {
            return self.expr(members.first().unwrap_or(lead), conditions);
        }
        let mut all = vec![lead.clone()];
        all.extend_from_slice(members);
        self.define(statement, &all, found)
    }

    /// The value of an expression, perhaps with other values of some givens.
    fn expr(&mut self, expr: &Expr, conditions: &[Condition]) -> Outcome {
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

    fn claim(&mut self, value: &Value, found: &Type, claim: &Literal) {
        if value.shape == Shape::Vector {
            self.claim_vector(value, found, claim);
            return;
        }
        if claim.values.len() != value.rows.len() {
            let (rows, claimed) = (value.rows.len(), claim.values.len());
            self.diagnostics.push(
                Diagnostic::error(
                    Code::E09,
                    claim.span,
                    format!("the computed list has {rows} entries, but {claimed} are claimed"),
                )
                .with_help("as many numbers in brackets as there are entries, or an ask `= ?`"),
            );
            return;
        }
        for (row, claimed) in claim.values.iter().enumerate() {
            let computed = convert::in_unit(value.at(row), found.reading, &claim.unit);
            self.claim_number(*claimed, computed, claim);
        }
    }

    /// A claimed vector: each component is compared, and all are shown.
    fn claim_vector(&mut self, value: &Value, found: &Type, claim: &Literal) {
        let written = claim.span.of(self.text);
        let (components, claimed) = (value.rows.len(), claim.values.len());
        if components != claimed {
            let code = if claimed == 1 { Code::V01 } else { Code::V03 };
            self.diagnostics.push(
                Diagnostic::error(
                    code,
                    claim.span,
                    format!(
                        "the value is a vector of {components} components, but `{written}` has {claimed}"
                    ),
                )
                .with_help("as many numbers in round brackets as there are components"),
            );
            return;
        }
        let numbers: Vec<f64> = (value.rows.iter())
            .map(|si| convert::in_unit(*si, found.reading, &claim.unit))
            .collect();
        let parts = claim.number.of(self.text).split(',').map(str::trim);
        let places: Vec<Option<f64>> = parts.map(quantity::written_precision).collect();
        let verdicts: Vec<Verdict> = (claim.values.iter().zip(&numbers).zip(&places))
            .map(|((claimed, computed), place)| claims::compare_claim(*claimed, *computed, *place))
            .collect();
        let joined = |write: &dyn Fn(usize) -> String| {
            let parts: Vec<String> = (0..numbers.len()).map(write).collect();
            format!("({})", parts.join(", "))
        };
        let unit = |text: &str| {
            if text.is_empty() {
                String::new()
            } else {
                format!(" {text}")
            }
        };
        let computed = joined(&|at| quantity::to_figures(numbers[at], 6).text());
        let computed = format!("{computed}{}", unit(claim.unit.text()));
        let typed = joined(&|at| {
            let decimals = places[at].map_or(3, quantity::decimals_of).clamp(0, 15);
            quantity::to_decimals(numbers[at], decimals as u8).ascii()
        });
        let inner = typed.trim_matches(['(', ')']).to_owned();
        let unit_typed = unit(claim.unit.source());
        let fix = mend::numbers(claim, inner, &format!("{typed}{unit_typed}"));
        let typed = format!("`{typed}{}`", unit(claim.unit.source()));
        if verdicts.contains(&Verdict::Wrong) {
            let message = format!("`{written}` is wrong: the computed value is {computed}");
            self.diagnostics.push(
                Diagnostic::error(Code::E06, claim.span, message)
                    .with_help(format!("{typed}, or the formula put right"))
                    .with_fixes([fix]),
            );
        } else if verdicts.contains(&Verdict::Slip) {
            let message =
                format!("`{written}` is off by a rounding slip: the computed value is {computed}");
            self.diagnostics.push(
                Diagnostic::warning(Code::E07, claim.span, message)
                    .with_help(typed)
                    .with_fixes([fix]),
            );
        }
    }

    fn claim_number(&mut self, claimed: f64, computed: f64, claim: &Literal) {
        let place = quantity::written_precision(claim.number.of(self.text));
        let shown = |figures: u8| {
            let number = quantity::to_figures(computed, figures).text();
            format!("{number} {}", claim.unit.text())
                .trim_end()
                .to_owned()
        };
        let written = claim.span.of(self.text);
        match claims::compare_claim(claimed, computed, place) {
            Verdict::Right => {}
            Verdict::Slip => self.diagnostics.push(
                Diagnostic::warning(
                    Code::E07,
                    claim.span,
                    format!(
                        "`{written}` is off by a rounding slip: the computed value is {}",
                        shown(6)
                    ),
                )
                .with_help(format!("`{}`", ascii(computed, place, claim)))
                .with_fixes(mend::claim(
                    computed,
                    ascii_number(computed, place, claim),
                    claim,
                )),
            ),
            Verdict::Wrong => self.diagnostics.push(
                Diagnostic::error(
                    Code::E06,
                    claim.span,
                    format!(
                        "`{written}` is wrong: the computed value is {}{}",
                        shown(6),
                        prefix_slip(claimed, computed, place)
                    ),
                )
                .with_help(format!(
                    "`{}`, or the formula put right",
                    ascii(computed, place, claim)
                ))
                .with_fixes(mend::claim(
                    computed,
                    ascii_number(computed, place, claim),
                    claim,
                )),
            ),
        }
    }

    fn check(
        &mut self,
        statement: &Statement,
        members: &[Expr],
        relations: &[Relation],
        within: Option<&Expr>,
    ) -> Outcome {
        let all: Vec<&Expr> = members.iter().chain(within).collect();
        all.iter().for_each(|member| self.number_inputs(member));
        let programs: Vec<Program> = all.iter().map(|member| self.compile(member)).collect();
        let missing = self.missing(&programs);
        if !missing.is_empty() {
            return Outcome::Needs(missing);
        }
        let mut values = Vec::with_capacity(programs.len());
        for program in &programs {
            match self.run(program) {
                Some(value) => values.push(value),
                None => return Outcome::Failed,
            }
        }
        let tolerance = within.and_then(|within| Some((within, values.pop()?)));
        if let Some((within, size)) = &tolerance
            && size.rows.iter().any(|size| *size < 0.0)
        {
            self.diagnostics.push(
                Diagnostic::error(
                    Code::C02,
                    within.span,
                    "a negative tolerance can never hold",
                )
                .with_help("the tolerance without its minus sign")
                .with_fixes(mend::without_sign(self.text, within.span)),
            );
            return Outcome::Failed;
        }
        let holds = all_hold(&values, relations, tolerance.as_ref());
        if !holds {
            let text = statement.span.of(self.text);
            self.diagnostics.push(
                Diagnostic::error(
                    Code::C01,
                    statement.span,
                    format!("the check `{text}` does not hold"),
                )
                .with_help("the data or the formula put right, or the check"),
            );
        }
        Outcome::Check { values, holds }
    }

    fn inline(&mut self, inline: &Inline) -> Outcome {
        self.expr(&inline.expr, &inline.conditions)
    }
}

/// The unit in which a statement shows its value.
fn shown_unit(statement: &Statement, found: &Type, si: f64) -> Unit {
    let asked = match &statement.kind {
        Some(Kind::Work { tail, .. }) => match tail {
            Tail::Ask(ask) | Tail::Filled(_, ask) => ask.unit.clone(),
            Tail::Claim(literal) => Some(literal.unit.clone()),
            Tail::None => None,
        },
        _ => None,
    };
    asked.unwrap_or_else(|| {
        let dimension = found.form.dimension().unwrap_or_default();
        quantity::automatic(dimension, Family::Si, &[], si)
    })
}

/// The computed value to the figures of the claim, as an author would type it.
fn ascii(computed: f64, place: Option<f64>, claim: &Literal) -> String {
    let number = ascii_number(computed, place, claim);
    format!("{number} {}", claim.unit.source())
        .trim_end()
        .to_owned()
}

fn ascii_number(computed: f64, place: Option<f64>, claim: &Literal) -> String {
    let size = claim.values.first().map_or(0.0, |value| value.abs());
    let figures = match place {
        Some(place) if size > 0.0 => size.log10().floor() - place.log10().round() + 1.0,
        _ => 4.0,
    };
    quantity::to_figures(computed, figures.clamp(1.0, 15.0) as u8).ascii()
}

/// Says so when a claim has the right digits and the wrong prefix.
fn prefix_slip(claimed: f64, computed: f64, place: Option<f64>) -> String {
    let decades = (computed / claimed).abs().log10().round();
    if !decades.is_finite() || decades == 0.0 || decades % 3.0 != 0.0 {
        return String::new();
    }
    let moved = claimed * 10_f64.powf(decades);
    let place = place.map(|place| place * 10_f64.powf(decades));
    if claims::compare_claim(moved, computed, place) == Verdict::Wrong {
        return String::new();
    }
    let factor = quantity::to_figures(10_f64.powf(decades.abs()), 1).text();
    format!(", which differs by a factor of {factor}: a prefix")
}

fn all_hold(values: &[Value], relations: &[Relation], tolerance: Option<&(&Expr, Value)>) -> bool {
    let rows = values
        .iter()
        .map(|value| value.rows.len())
        .max()
        .unwrap_or(0);
    values.windows(2).zip(relations).all(|(pair, relation)| {
        (0..rows).all(|row| {
            let (left, right) = (pair[0].at(row), pair[1].at(row));
            match tolerance {
                Some((within, size)) => {
                    let size = size.at(row);
                    let size = if relative(within) {
                        size * right.abs()
                    } else {
                        size
                    };
                    (left - right).abs() <= size * (1.0 + 1e-12)
                }
                None => holds(*relation, left, right),
            }
        })
    })
}

fn is_list_name(resolved: &Resolved, symbol: SymbolId) -> bool {
    resolved.symbols.symbol(symbol).key.ends_with("_i")
}
