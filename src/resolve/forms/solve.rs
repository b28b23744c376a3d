//! `solve balance for R_x` in `derive`: solved in symbols.

use rustc_hash::FxHashMap;

use super::super::labelled::Known;
use super::super::setting::{Lines, Names, Signs, Taking};
use super::super::solving::{Problem, Solution, Solving};
use super::super::statement::Origin;
use super::super::{Expr, ExprKind, Resolver, SymbolId, Typed};
use super::Kind;
use super::root::bounds;
use crate::algebra::{End, Sign, Stuck, Wanted};
use crate::diagnostic::{Code, Diagnostic};
use crate::syntax::{self, Operator, Relation};
use crate::text::Span;

/// Equations solved in symbols.
#[derive(Debug, Clone, PartialEq)]
pub struct Solved {
    /// What they were solved for.
    pub unknowns: Vec<SymbolId>,
    /// The equations that were solved.
    pub origins: Vec<Origin>,
    /// At least one: for each unknown its formula.
    pub branches: Vec<Branch>,
    /// The steps between, where they are to be shown.
    pub steps: Vec<Step>,
    /// The signs of other symbols that were looked at on the way.
    pub signs: Vec<(SymbolId, Sign)>,
    /// The sign and range that was asked of each unknown, in coherent SI units.
    pub wanted: Vec<Wanted>,
    /// The signs of other names that were stated.
    pub stated: Vec<(SymbolId, Sign)>,
    /// The conditions as the author wrote them.
    pub asked: Vec<Span>,
}

/// One way to satisfy the equations.
#[derive(Debug, Clone, PartialEq)]
pub struct Branch {
    /// The formula of each unknown.
    pub formulas: Vec<Expr>,
    /// What must not be zero for these branches to be all: what was divided by.
    pub not_zero: Vec<Expr>,
    /// What must hold for it to be one, beyond what its formulas say of themselves.
    pub bounds: Vec<Bound>,
    /// Whether it depends on the data if it is of the sign and in the range that was asked.
    pub is_open: bool,
    /// Whether it is one for special data only, of which nothing is said.
    pub is_aside: bool,
    /// Symbols whose given sign was used.
    pub leaned: Vec<SymbolId>,
    /// Whether stated conditions chose it among others.
    pub chosen: bool,
    /// Whether it is one angle of many, which whole turns would satisfy as well.
    pub is_principal: bool,
    /// Whether an angle was left out that a further turn may bring to what was asked.
    pub leaves_turns: bool,
    /// Of each unknown that is an angle, by how much the next one differs.
    pub periods: Vec<Option<Expr>>,
}

impl Branch {
    /// Whether a formula shows that it divides by something, and so has no value where that is
    /// zero.
    pub fn shows(&self, divisor: &Expr) -> bool {
        self.formulas
            .iter()
            .any(|formula| divides(formula, divisor))
    }
}

fn divides(formula: &Expr, divisor: &Expr) -> bool {
    let mut found = match &formula.kind {
        ExprKind::Product(factors) => (factors.iter())
            .any(|factor| factor.operator == Operator::Divide && is_factor(&factor.expr, divisor)),
        _ => false,
    };
    formula.for_each_part(|part| found |= divides(part, divisor));
    found
}

/// `theta between 0 and 90 deg`, `V > 0`
fn asked(solve: &syntax::Solve) -> Vec<Span> {
    let ranges = solve.unknowns.iter().filter_map(|unknown| {
        let last = unknown.start.values().last()?;
        Some(unknown.name.span.cover(last.span))
    });
    let conditions = solve.conditions.iter();
    let conditions = conditions.map(|condition| syntax::covered(&condition.members));
    ranges.chain(conditions).collect()
}

/// Whether an expression is zero where a factor is, by its form.
fn is_factor(expr: &Expr, factor: &Expr) -> bool {
    let expr = expr.inside();
    if expr == factor.inside() {
        return true;
    }
    match &expr.kind {
        ExprKind::Product(factors) => (factors.iter())
            .any(|one| one.operator != Operator::Divide && is_factor(&one.expr, factor)),
        ExprKind::Power(base, _) | ExprKind::Negative(base) => is_factor(base, factor),
        _ => false,
    }
}

/// What must hold for a branch.
#[derive(Debug, Clone, PartialEq)]
pub struct Bound {
    /// What is compared.
    pub value: Expr,
    /// What it is at least.
    pub low: Option<Expr>,
    /// What it is at most.
    pub high: Option<Expr>,
    /// Whether it is never the bound itself.
    pub is_strict: bool,
}

/// A step of a solution, as an equation with what was done.
#[derive(Debug, Clone, PartialEq)]
pub struct Step {
    /// The left side.
    pub left: Expr,
    /// The right side.
    pub right: Expr,
    /// What was done, in words.
    pub words: String,
    /// What it was done with.
    pub with: Option<Expr>,
}

/// What a `solve` asks, whether there is a solution or not.
#[derive(Debug, Clone, PartialEq)]
pub struct Asked {
    /// Where it stands.
    pub line: Span,
    /// What is to be found.
    pub unknowns: Vec<SymbolId>,
    /// Where the equations stand.
    pub origins: Vec<Origin>,
}

/// What is known about the unknowns and other symbols of one `solve`.
#[derive(Default)]
struct Conditions {
    signs: Signs,
    wanted: FxHashMap<SymbolId, Wanted>,
}

impl Conditions {
    /// What an unknown is meant to be.
    fn of_unknown(&self, unknown: SymbolId) -> Wanted {
        Wanted {
            sign: self.signs.get(&unknown).copied(),
            ..self.wanted.get(&unknown).copied().unwrap_or_default()
        }
    }
}

impl<'a> Resolver<'a> {
    /// `solve balance for R_x` in `derive`.
    pub(in crate::resolve) fn solve(
        &mut self,
        line: Span,
        solve: &'a syntax::Solve,
        number: Option<usize>,
        origin: Origin,
    ) -> Option<Kind> {
        self.spans.insert(origin, line);
        let found = self.solved(line, solve);
        match &found {
            Some(solved) => {
                self.remember_solved(solve, solved, number, origin);
            }
            None => {
                for unknown in &solve.unknowns {
                    self.remember_refused(&unknown.name.key, origin);
                }
            }
        }
        found.map(|solved| Kind::Solved(Box::new(solved)))
    }

    fn solved(&mut self, line: Span, solve: &syntax::Solve) -> Option<Solved> {
        let unknowns: Option<Vec<SymbolId>> = solve
            .unknowns
            .iter()
            .map(|unknown| self.symbol(&unknown.name))
            .collect();
        let unknowns = unknowns?;
        let conditions = self.solve_conditions(solve, &unknowns)?;
        let indices = self.equations_of(solve, &unknowns, line)?;
        let mut signs = self.signs.clone();
        // What is zero with these data may be a divisor of the formula for all others.
        signs.retain(|_, sign| *sign != Sign::ZERO);
        signs.extend(&conditions.signs);
        let chosen: Vec<Known> = indices.iter().map(|at| self.known[*at].clone()).collect();
        // One equation alone is solved as it stands: what else stands in it may come from elsewhere.
        let hanging: &[SymbolId] = if unknowns.len() > 1 { &unknowns } else { &[] };
        let put_in = self.with_definitions(chosen, hanging, line)?;
        let chosen: Vec<&Known> = put_in.equations.iter().collect();
        let (question, names) = self.solution(&chosen, &unknowns, &conditions, &signs, solve);
        let answer = self.asker.ask(question);
        let Solution {
            branches,
            steps,
            leaned,
        } = match &**answer {
            Ok(solution) => solution,
            Err(problem) => {
                let what = self.what_is_solved(solve);
                let typed = Typed {
                    text: self.text,
                    symbols: &self.symbols,
                };
                let unless = match problem {
                    Problem::Unless(unless) => Some(typed.written(&names.formula(unless, line))),
                    Problem::Stuck(_) | Problem::Opaque(_) => None,
                };
                self.diagnostics
                    .push(unsolved(problem, line, &what, unless.as_deref()));
                return None;
            }
        };
        let solved = Solved {
            origins: (chosen.iter().map(|known| known.origin))
                .chain(put_in.origins)
                .collect(),
            signs: (leaned.iter().map(|symbol| names.symbol(*symbol)))
                .filter(|symbol| !unknowns.contains(symbol))
                .filter_map(|symbol| Some((symbol, *signs.get(&symbol)?)))
                .collect(),
            steps: steps.iter().map(|step| step.told(&names, line)).collect(),
            branches: (branches.iter())
                .map(|branch| branch.told(&names, line))
                .collect(),
            wanted: (unknowns.iter())
                .map(|unknown| conditions.of_unknown(*unknown))
                .collect(),
            stated: (conditions.signs.iter())
                .filter(|(symbol, _)| !unknowns.contains(symbol))
                .map(|(symbol, sign)| (*symbol, *sign))
                .collect(),
            asked: asked(solve),
            unknowns,
        };
        // What is stated here is known in the rest of the problem; data know better.
        for (symbol, sign) in conditions.signs {
            self.signs.entry(symbol).or_insert(sign);
        }
        Some(solved)
    }

    /// What is asked of the algebra, and what its symbols are called here.
    fn solution(
        &self,
        chosen: &[&Known],
        unknowns: &[SymbolId],
        conditions: &Conditions,
        signs: &Signs,
        solve: &syntax::Solve,
    ) -> (Solving, Names) {
        let lines = Lines {
            text: self.text,
            symbols: &self.symbols,
            problem: self.problem,
            bodies: &|function| self.bodies.get(&function),
            signs,
        };
        let sides = chosen.iter().flat_map(|known| &known.members);
        let mut taking = Taking::new(lines, sides, unknowns.iter().copied());
        let equations = (chosen.iter())
            .map(|known| {
                let sides = known.members.iter();
                sides.map(|side| taking.formula(side)).collect()
            })
            .collect();
        let own = unknowns.iter().map(|unknown| taking.symbol(*unknown));
        let own = own.collect();
        let (setting, names) = taking.setting();
        let wanted = (unknowns.iter())
            .map(|unknown| conditions.of_unknown(*unknown))
            .collect();
        let question = Solving {
            setting,
            equations,
            unknowns: own,
            wanted,
            effort: self.effort[self.problem.min(1)],
            in_full: solve.in_full,
        };
        (question, names)
    }

    fn what_is_solved(&self, solve: &syntax::Solve) -> String {
        let names: Vec<&str> = (solve.unknowns.iter())
            .map(|unknown| unknown.name.span.of(self.text))
            .collect();
        names.join("`, `")
    }

    /// The equations that are meant: those with the labels, else the nearest above that hold the
    /// unknowns, as many as there are unknowns.
    pub(in crate::resolve) fn equations_of(
        &mut self,
        solve: &syntax::Solve,
        unknowns: &[SymbolId],
        line: Span,
    ) -> Option<Vec<usize>> {
        let found = self.equations_asked(solve, unknowns, line)?;
        self.asked.push(Asked {
            line,
            unknowns: unknowns.to_vec(),
            origins: found.iter().map(|at| self.known[*at].origin).collect(),
        });
        Some(found)
    }

    fn equations_asked(
        &mut self,
        solve: &syntax::Solve,
        unknowns: &[SymbolId],
        line: Span,
    ) -> Option<Vec<usize>> {
        if !solve.labels.is_empty() {
            let found: Vec<Option<usize>> = (solve.labels.iter())
                .map(|label| self.labelled(label))
                .collect();
            let found = found.into_iter().collect::<Option<Vec<usize>>>()?;
            for (symbol, unknown) in unknowns.iter().zip(&solve.unknowns) {
                if !found.iter().any(|at| self.known[*at].mentions(*symbol)) {
                    let labels: Vec<&str> = solve.labels.iter().map(|label| &*label.text).collect();
                    let place = solve.labels[0].span;
                    self.report_not_there(&unknown.name, place, &labels.join("`, `"));
                    return None;
                }
            }
            return Some(found);
        }
        let mut found: Vec<usize> = (0..self.known.len())
            .rev()
            .filter(|at| {
                let known = &self.known[*at];
                (known.problem == self.problem || known.problem == 0)
                    && unknowns.iter().any(|unknown| known.mentions(*unknown))
            })
            .take(unknowns.len())
            .collect();
        found.reverse();
        if found.is_empty() {
            self.diagnostics.push(
                Diagnostic::error(
                    Code::N14,
                    line,
                    format!("no equation above holds `{}`", self.what_is_solved(solve)),
                )
                .with_help("an equation of `derive` above with the unknown in it"),
            );
            return None;
        }
        Some(found)
    }

    fn solve_conditions(
        &mut self,
        solve: &syntax::Solve,
        unknowns: &[SymbolId],
    ) -> Option<Conditions> {
        let mut conditions = Conditions::default();
        for (symbol, unknown) in unknowns.iter().zip(&solve.unknowns) {
            match &unknown.start {
                syntax::Start::Anywhere => {}
                syntax::Start::Between(low, high) => {
                    let [low, high] = bounds(low, high);
                    let high = self.plain_bound(&high)?;
                    let wanted = Wanted::between(self.plain_bound(&low)?, high);
                    conditions.wanted.insert(*symbol, wanted);
                }
                syntax::Start::Near(value) => {
                    self.diagnostics.push(
                        Diagnostic::error(
                            Code::S11,
                            value.span,
                            "a value to search near belongs in `work`: here the equation is solved in symbols",
                        )
                        .with_help("`between … and …` or `with x > 0`, or the line in `work`"),
                    );
                    return None;
                }
            }
        }
        for condition in &solve.conditions {
            self.condition_of_solve(condition, unknowns, &mut conditions)?;
        }
        Some(conditions)
    }

    /// `V > 0`, `0 < y < 1`: one name against plain numbers.
    fn condition_of_solve(
        &mut self,
        condition: &syntax::Check,
        unknowns: &[SymbolId],
        conditions: &mut Conditions,
    ) -> Option<()> {
        let at = condition
            .members
            .iter()
            .position(|member| matches!(member.kind, syntax::ExprKind::Name(_)));
        let name = at.and_then(|at| match &condition.members[at].kind {
            syntax::ExprKind::Name(name) => Some((at, name)),
            _ => None,
        });
        let Some((at, name)) = name else {
            return self.report_condition(condition);
        };
        let symbol = self.symbol(name)?;
        for (index, relation) in condition.relations.iter().enumerate() {
            let (other, relation) = if index + 1 == at {
                (index, turned(*relation))
            } else if index == at {
                (index + 1, *relation)
            } else {
                return self.report_condition(condition);
            };
            let bound = self.plain_bound(&condition.members[other])?;
            let is_unknown = unknowns.contains(&symbol);
            if bound == 0.0
                && let Some(sign) = sign_of(relation)
            {
                conditions.signs.insert(symbol, sign);
            } else if is_unknown && bound != 0.0 {
                let wanted = conditions.wanted.entry(symbol).or_default();
                let end = |is_taken: bool| {
                    Some(End {
                        at: bound,
                        is_taken,
                    })
                };
                match relation {
                    Relation::Less => wanted.high = end(false),
                    Relation::LessOrEqual => wanted.high = end(true),
                    Relation::Greater => wanted.low = end(false),
                    Relation::GreaterOrEqual => wanted.low = end(true),
                    Relation::Equal => return self.report_condition(condition),
                }
            } else {
                return self.report_condition(condition);
            }
        }
        Some(())
    }

    fn report_condition<T>(&mut self, condition: &syntax::Check) -> Option<T> {
        let place = syntax::covered(&condition.members);
        self.diagnostics.push(
            Diagnostic::error(
                Code::A06,
                place,
                "a condition here compares one name with a plain number",
            )
            .with_help("`with V > 0`, `with 0 < x < 1`, or `between 0 and 90 deg`"),
        );
        None
    }

    /// A bound of a condition: a plain number or an angle, whose size needs no data.
    fn plain_bound(&mut self, expr: &syntax::Expr) -> Option<f64> {
        let (inner, sign) = match &expr.kind {
            syntax::ExprKind::Negative(inner) => (&**inner, -1.0),
            _ => (expr, 1.0),
        };
        let value = self.expr(inner)?;
        let found = match &value.kind {
            ExprKind::Number(number) => Some(*number),
            ExprKind::Pi => Some(std::f64::consts::PI),
            ExprKind::Quantity(quantity) if quantity.unit.dimension().is_none() => quantity
                .values
                .first()
                .map(|value| quantity.unit.to_si(*value)),
            _ => None,
        };
        if found.is_none() {
            let text = expr.span.of(self.text);
            self.diagnostics.push(
                Diagnostic::error(
                    Code::A06,
                    expr.span,
                    format!("`{text}` is no plain number, and symbols are solved before any number is known"),
                )
                .with_help("0, a plain number or an angle; values with units belong in `work`"),
            );
        }
        found.map(|value| value * sign)
    }

    /// Notes the formulas of a solution for what asks for them.
    pub(in crate::resolve) fn remember_solved(
        &mut self,
        solve: &'a syntax::Solve,
        solved: &Solved,
        number: Option<usize>,
        origin: Origin,
    ) {
        for (at, unknown) in solve.unknowns.iter().enumerate() {
            let formulas: Vec<Expr> = (solved.branches.iter())
                .filter_map(|branch| branch.formulas.get(at).cloned())
                .collect();
            self.remember_formulas(&unknown.name.key, formulas, number, origin);
        }
        if let ([only], [symbol]) = (solved.branches.as_slice(), solved.unknowns.as_slice())
            && let [formula] = only.formulas.as_slice()
        {
            let lead = Expr {
                span: formula.span,
                kind: ExprKind::Symbol(*symbol),
            };
            self.keep(number, origin, &[lead, formula.clone()]);
        }
    }
}

/// The condition with its sides exchanged: `0 < x` says `x > 0`.
fn turned(relation: Relation) -> Relation {
    match relation {
        Relation::Less => Relation::Greater,
        Relation::LessOrEqual => Relation::GreaterOrEqual,
        Relation::Greater => Relation::Less,
        Relation::GreaterOrEqual => Relation::LessOrEqual,
        Relation::Equal => Relation::Equal,
    }
}

fn sign_of(relation: Relation) -> Option<Sign> {
    match relation {
        Relation::Greater => Some(Sign::POSITIVE),
        Relation::GreaterOrEqual => Some(Sign::NOT_NEGATIVE),
        Relation::Less => Some(Sign::NEGATIVE),
        Relation::LessOrEqual | Relation::Equal => None,
    }
}

fn unsolved(problem: &Problem, line: Span, what: &str, unless: Option<&str>) -> Diagnostic {
    let (code, message, help) = match problem {
        Problem::Opaque(opaque) => (
            Code::A03,
            format!(
                "`{what}` cannot be solved for in symbols: the equation holds {}",
                opaque.words()
            ),
            "the formula for one case, or `name = ? from label near …` in `work`",
        ),
        Problem::Stuck(Stuck::NotThere) => (
            Code::A03,
            format!("`{what}` cancels from the equation, which says nothing about it"),
            "an equation that depends on the unknown",
        ),
        Problem::Stuck(Stuck::Identity) => (
            Code::A03,
            format!("the equation holds for any value of `{what}`"),
            "an equation that depends on the unknown",
        ),
        Problem::Stuck(Stuck::Dependent) => (
            Code::A03,
            format!(
                "the equations do not fix `{what}`: on one of the ways to satisfy them, one follows from the others and an unknown is left open"
            ),
            "as many independent equations as unknowns, or a condition that excludes that way, such as `with x > 0`",
        ),
        Problem::Stuck(Stuck::Never) => (
            Code::A03,
            format!("no value of `{what}` satisfies the equations: they contradict each other"),
            "the equation that is wrong put right",
        ),
        Problem::Unless(_) | Problem::Stuck(Stuck::Unless(_)) => (
            Code::A03,
            match unless {
                Some(unless) => format!(
                    "no value of `{what}` satisfies the equations and conditions, unless {unless} is zero"
                ),
                None => format!(
                    "no value of `{what}` satisfies the equations and conditions, but perhaps for special data"
                ),
            },
            "the equation that is wrong put right, or the equations for those data",
        ),
        Problem::Stuck(Stuck::NotFound) => (
            Code::A03,
            format!(
                "no solution for `{what}` was found among the principal values of the angles; other turns were not tried"
            ),
            "a range that holds the angle, as in `between 0 and 360 deg`, or `name = ? from label near …` in `work`",
        ),
        Problem::Stuck(Stuck::NoBranch) => (
            Code::A03,
            format!("no solution for `{what}` satisfies the conditions"),
            "other conditions, or the sign of the given data",
        ),
        Problem::Stuck(Stuck::TooFew) => (
            Code::A03,
            format!("there are fewer equations than unknowns in `{what}`"),
            "as many equations as unknowns",
        ),
        Problem::Stuck(Stuck::TooMany) => (
            Code::A03,
            format!("there are more equations than unknowns in `{what}`"),
            "as many equations as unknowns",
        ),
        Problem::Stuck(Stuck::Effort | Stuck::TooLarge) => (
            Code::A05,
            format!("solving for `{what}` takes more steps than are allowed"),
            "shorter equations, with intermediate results by name",
        ),
        Problem::Stuck(Stuck::NotSolvable) => (
            Code::A03,
            format!("no formula was found that gives all solutions for `{what}`"),
            "`name = ? from label near …` in `work`, which solves it by numbers",
        ),
    };
    Diagnostic::error(code, line, message).with_help(help)
}
