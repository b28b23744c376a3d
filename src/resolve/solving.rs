//! Equations solved in symbols, by themselves.
//!
//! In goes a question that holds the equations with all that their solution hangs on, out come the
//! branches and the steps to them as formulas. Which equations are meant, and what is said where
//! there is no solution, is left to `derivation`.

use std::hash::{Hash, Hasher};

use super::algebraic::{self, Algebraic, Opaque};
use super::forms::{Bound, Branch, Step};
use super::setting::{Names, Setting};
use super::tree::{Expr, SymbolId};
use super::written;
use crate::algebra::{self, Id, Stuck, Wanted};
use crate::questions::Question;
use crate::text::Span;

/// Equations that are to be solved.
#[derive(Debug, PartialEq)]
pub(super) struct Solving {
    pub setting: Setting,
    /// Each by its sides.
    pub equations: Vec<Vec<Expr>>,
    pub unknowns: Vec<SymbolId>,
    /// What is wanted of each unknown.
    pub wanted: Vec<Wanted>,
    /// How many steps of algebra it may take.
    pub effort: u32,
    /// Whether the steps are asked for.
    pub in_full: bool,
}

/// By the formulas: what else two questions differ in is left to comparing them.
impl Hash for Solving {
    fn hash<H: Hasher>(&self, state: &mut H) {
        (&self.setting, &self.equations, &self.unknowns).hash(state);
    }
}

/// What solves them.
#[derive(Debug)]
pub(super) struct Solution {
    pub branches: Vec<Branch>,
    pub steps: Vec<Step>,
    /// The symbols whose signs were looked at on the way.
    pub leaned: Vec<SymbolId>,
}

/// Why there is no solution to write.
#[derive(Debug)]
pub(super) enum Problem {
    Opaque(Opaque),
    Stuck(Stuck),
    /// There is none unless this is zero.
    Unless(Expr),
}

impl Question for Solving {
    type Answer = Result<Solution, Problem>;

    fn answer(&self) -> Self::Answer {
        let mut algebraic = Algebraic::new(&self.setting, &self.setting.signs);
        algebraic.algebra.allow(self.effort);
        let found = self.solve(&mut algebraic);
        if let Err(Problem::Stuck(Stuck::Unless(id))) = found
            && let Some(unless) = written::expr(&mut algebraic, id, Span::default())
        {
            return Err(Problem::Unless(unless));
        }
        let found = found?;
        let steps = written_steps(&mut algebraic, &found, self.in_full);
        let branches = written_branches(&mut algebraic, &found);
        let branches = branches.ok_or(Problem::Stuck(Stuck::Effort))?;
        let leaned = algebraic.algebra.take_leaned().into_iter();
        let leaned = leaned.filter_map(|symbol| Some(algebraic::of_symbol(symbol)?.0));
        Ok(Solution {
            branches,
            steps,
            leaned: leaned.collect(),
        })
    }

    fn size(&self) -> usize {
        let sides = self.equations.iter().flatten();
        self.setting.size() + sides.map(Expr::size).sum::<usize>()
    }
}

impl Branch {
    /// The same with the symbols of a worksheet, at a place of it.
    pub(super) fn told(&self, names: &Names, place: Span) -> Self {
        let all = |formulas: &[Expr]| {
            let formulas = formulas.iter();
            formulas.map(|it| names.formula(it, place)).collect()
        };
        Self {
            formulas: all(&self.formulas),
            not_zero: all(&self.not_zero),
            bounds: (self.bounds.iter())
                .map(|bound| Bound {
                    value: names.formula(&bound.value, place),
                    low: (bound.low.as_ref()).map(|low| names.formula(low, place)),
                    high: (bound.high.as_ref()).map(|high| names.formula(high, place)),
                    is_strict: bound.is_strict,
                })
                .collect(),
            is_open: self.is_open,
            is_aside: self.is_aside,
            periods: (self.periods.iter())
                .map(|period| period.as_ref().map(|it| names.formula(it, place)))
                .collect(),
            leaned: (self.leaned.iter())
                .map(|symbol| names.symbol(*symbol))
                .collect(),
            chosen: self.chosen,
            is_principal: self.is_principal,
            leaves_turns: self.leaves_turns,
        }
    }
}

impl Step {
    /// The same with the symbols of a worksheet, at a place of it.
    pub(super) fn told(&self, names: &Names, place: Span) -> Self {
        Self {
            left: names.formula(&self.left, place),
            right: names.formula(&self.right, place),
            words: self.words.clone(),
            with: (self.with.as_ref()).map(|with| names.formula(with, place)),
        }
    }
}

/// A solution by the algebra, before it is written.
type Found = Vec<(algebra::Symbol, algebra::Branch)>;

impl Solving {
    fn solve(&self, algebraic: &mut Algebraic<'_>) -> Result<Vec<Found>, Problem> {
        let mut equations = Vec::new();
        for sides in &self.equations {
            pairs(algebraic, sides, &self.unknowns, &mut equations).map_err(
                |opaque| match opaque {
                    Opaque::Effort => Problem::Stuck(Stuck::Effort),
                    opaque => Problem::Opaque(opaque),
                },
            )?;
        }
        let symbols: Vec<algebra::Symbol> = (self.unknowns.iter())
            .map(|unknown| algebraic::symbol(*unknown, None))
            .collect();
        if let ([unknown], [wanted]) = (symbols.as_slice(), self.wanted.as_slice()) {
            // Of a chain of sides, the first pair that holds the unknown is solved.
            let algebra = &algebraic.algebra;
            let at = equations.iter().position(|(left, right)| {
                algebra.contains(*left, *unknown) || algebra.contains(*right, *unknown)
            });
            let (left, right) = equations[at.ok_or(Problem::Stuck(Stuck::NotThere))?];
            let branches = algebraic.algebra.isolate(left, right, *unknown, wanted);
            let branches = branches.map_err(Problem::Stuck)?;
            return Ok(branches
                .into_iter()
                .map(|branch| vec![(*unknown, branch)])
                .collect());
        }
        algebraic
            .algebra
            .solve_system(&equations, &symbols, &self.wanted)
            .map_err(|(stuck, _)| Problem::Stuck(stuck))
    }
}

/// The equations of a chain of sides. What holds no unknown is read first: symbols are written in
/// the order in which they are met, and the other side is what the result begins with.
fn pairs(
    algebraic: &mut Algebraic<'_>,
    members: &[Expr],
    unknowns: &[SymbolId],
    equations: &mut Vec<(Id, Id)>,
) -> Result<(), Opaque> {
    let holds_unknown = |expr: &Expr| {
        let mut found = false;
        expr.for_each_symbol(&mut |symbol, _| found |= unknowns.contains(&symbol));
        found
    };
    let mut order: Vec<usize> = (0..members.len()).collect();
    order.sort_by_key(|at| holds_unknown(&members[*at]));
    let mut sides: Vec<Option<Id>> = vec![None; members.len()];
    for at in order {
        sides[at] = Some(algebraic.canonical(&members[at])?);
    }
    let sides: Vec<Id> = sides.into_iter().flatten().collect();
    if let Some((first, rest)) = sides.split_first() {
        equations.extend(rest.iter().map(|side| (*first, *side)));
    }
    Ok(())
}

fn written_branches(algebraic: &mut Algebraic<'_>, found: &[Found]) -> Option<Vec<Branch>> {
    found
        .iter()
        .map(|solution| {
            let mut branch = Branch {
                formulas: Vec::new(),
                not_zero: Vec::new(),
                bounds: Vec::new(),
                is_open: false,
                is_aside: false,
                leaned: Vec::new(),
                chosen: false,
                is_principal: false,
                leaves_turns: false,
                periods: Vec::new(),
            };
            for (_, own) in solution {
                branch
                    .formulas
                    .push(written::expr(algebraic, own.value, Span::default())?);
                branch.periods.push(match own.period {
                    Some(period) => Some(written::expr(algebraic, period, Span::default())?),
                    None => None,
                });
                branch.is_open |= own.is_open;
                branch.is_aside |= own.is_aside;
                branch.chosen |= own.taken.is_some();
                branch.is_principal |= own.is_principal();
                branch.leaves_turns |= own.leaves_turns;
                // Where no branch was left out, signs decided nothing.
                let leaned = own.leaned.iter().filter(|_| own.taken.is_some());
                for symbol in leaned.filter_map(|symbol| algebraic::of_symbol(*symbol)) {
                    if !branch.leaned.contains(&symbol.0) {
                        branch.leaned.push(symbol.0);
                    }
                }
                for requirement in &own.requires {
                    if let algebra::Requirement::NotZero(divisor) = requirement {
                        let divisor = algebraic.algebra.as_the_author_wrote(*divisor);
                        let divisor = written::expr(algebraic, divisor, Span::default())?;
                        if !branch.not_zero.contains(&divisor) {
                            branch.not_zero.push(divisor);
                        }
                    } else if !is_said(algebraic, solution, requirement) {
                        let bound = written_bound(algebraic, requirement)?;
                        if !branch.bounds.contains(&bound) {
                            branch.bounds.push(bound);
                        }
                    }
                }
            }
            Some(branch)
        })
        .collect()
}

/// Whether a formula of a solution says of itself what is required.
fn is_said(
    algebraic: &mut Algebraic<'_>,
    solution: &Found,
    requirement: &algebra::Requirement,
) -> bool {
    let algebra = &mut algebraic.algebra;
    (solution.iter()).any(|(_, own)| algebra.is_said_by(own.value, requirement))
}

/// What must hold, as a comparison.
fn written_bound(
    algebraic: &mut Algebraic<'_>,
    requirement: &algebra::Requirement,
) -> Option<Bound> {
    use algebra::Requirement::{Inside, NotNegative, NotZero, Positive};
    let zero = algebraic.algebra.number(algebra::whole(0));
    let (value, low, high) = match *requirement {
        NotZero(id) => (id, None, None),
        NotNegative(id) | Positive(id) => (id, Some(zero), None),
        Inside { value, low, high } => (value, Some(low), Some(high)),
    };
    let mut side = |id: Option<Id>| match id {
        Some(id) => written::expr(algebraic, id, Span::default()).map(Some),
        None => Some(None),
    };
    Some(Bound {
        value: side(Some(value))??,
        low: side(low)?,
        high: side(high)?,
        is_strict: matches!(requirement, Positive(_)),
    })
}

/// The steps of the first solution, one after the other.
fn written_steps(algebraic: &mut Algebraic<'_>, found: &[Found], wanted: bool) -> Vec<Step> {
    let Some(solution) = found.first().filter(|_| wanted) else {
        return Vec::new();
    };
    let mut steps = Vec::new();
    for (_, branch) in solution {
        // The last equation is the result itself.
        let between = branch.steps.len().saturating_sub(1);
        for step in branch.steps.iter().take(between) {
            let (words, with) = written::operation(&mut algebraic.algebra, &step.what);
            let left = written::expr(algebraic, step.left, Span::default());
            let right = written::expr(algebraic, step.right, Span::default());
            // A step too long to be written is left out.
            let (Some(left), Some(right)) = (left, right) else {
                continue;
            };
            steps.push(Step {
                left,
                right,
                words,
                with: with.and_then(|with| written::expr(algebraic, with, Span::default())),
            });
        }
    }
    steps
}
