//! What a step may follow from: the equations, definitions and special values above it.

use std::borrow::Cow;
use std::collections::BTreeSet;
use std::sync::Arc;

use rustc_hash::{FxHashMap, FxHashSet};

use super::Ground;
use super::judge::{Equality, Step};
use crate::algebra::Effort;
use crate::dimensions::Checked;
use crate::questions::{Asker, Share};
use crate::resolve::setting::{Lines, Names, Setting, Taking};
use crate::resolve::statement::Origin;
use crate::resolve::{
    Expr, ExprKind, Factor, FunctionId, Kind, Resolved, Shape, Stated, Statement, SymbolId, Task,
};
use crate::syntax::{Axis, Operator};
use crate::text::Span;

/// The lines of a worksheet, as a proof looks at them.
pub(super) struct Book<'a> {
    pub text: &'a str,
    pub resolved: &'a Resolved,
    checked: &'a Checked,
    problems: &'a [usize],
    bodies: FxHashMap<FunctionId, &'a Expr>,
    /// Of the lines that all share, and of others.
    efforts: [Efforts; 2],
}

/// How many steps of algebra a line may take.
#[derive(Clone, Copy)]
pub(super) struct Efforts {
    /// A proof.
    step: u32,
    /// A derivative.
    pub derivative: u32,
}

/// A premise with its ground, by its sides as the author wrote them.
#[derive(Clone)]
pub(super) struct Premise<'a> {
    pub ground: Ground,
    sides: Vec<Cow<'a, Expr>>,
    /// The symbol that it defines, for a definition of `work` or `given`.
    lead: Option<SymbolId>,
}

impl<'a> Book<'a> {
    pub fn new(
        text: &'a str,
        resolved: &'a Resolved,
        checked: &'a Checked,
        problems: &'a [usize],
        asker: &Asker<'_>,
    ) -> Self {
        let functions = resolved.functions();
        let bodies = functions
            .map(|(_, function, body)| (function, body))
            .collect();
        Self {
            text,
            resolved,
            checked,
            problems,
            bodies,
            efforts: [0, 1].map(|problem| {
                let share = asker.share(problem);
                let is_own = |block| problems.get(block) == Some(&problem);
                Efforts {
                    step: effort_of_one(Effort::PROVING, share, resolved, is_own, |task| {
                        matches!(task, Task::Step(_))
                    }),
                    derivative: effort_of_one(Effort::DERIVING, share, resolved, is_own, |task| {
                        matches!(task, Task::Trend(_))
                    }),
                }
            }),
        }
    }

    pub fn statement(&self, origin: Origin) -> Option<&'a Statement> {
        self.resolved
            .blocks
            .get(origin.block)?
            .get(origin.statement)
    }

    /// The data that are numbers, or components, in coherent SI units.
    pub fn data(&self) -> impl Iterator<Item = (SymbolId, Option<Axis>, f64)> {
        let given = |statement: &'a Statement| statement.facts().datum();
        (self.resolved.blocks.iter().flatten())
            .filter_map(given)
            .flat_map(|(symbol, value)| match &value.kind {
                ExprKind::Number(number) => vec![(symbol, None, *number)],
                ExprKind::Quantity(quantity) => {
                    let numbers = quantity
                        .values
                        .iter()
                        .map(|value| quantity.unit.to_si(*value));
                    let axes: &[Option<Axis>] = match quantity.shape {
                        Shape::Vector => &[Some(Axis::X), Some(Axis::Y), Some(Axis::Z)],
                        Shape::One => &[None],
                        Shape::List => &[],
                    };
                    (axes.iter().zip(numbers))
                        .map(|(axis, number)| (symbol, *axis, number))
                        .collect()
                }
                _ => Vec::new(),
            })
    }

    /// How many steps of algebra a line may take.
    pub fn efforts(&self, origin: Origin) -> Efforts {
        self.efforts[self.problem(origin.block).min(1)]
    }

    fn problem(&self, block: usize) -> usize {
        self.problems.get(block).copied().unwrap_or(0)
    }

    /// A line of the problem, as formulas are taken from it.
    pub fn lines<'b>(
        &'b self,
        origin: Origin,
        bodies: &'b dyn Fn(FunctionId) -> Option<&'b Expr>,
    ) -> Lines<'b> {
        Lines {
            text: self.text,
            symbols: &self.resolved.symbols,
            problem: self.problem(origin.block),
            bodies,
            signs: &self.resolved.signs,
        }
    }

    /// All that formulas of a problem may hold, as the algebra is told of it.
    pub fn setting(&self, origin: Origin) -> Setting {
        let bodies = |function| self.body(function);
        let all = self
            .bodies
            .iter()
            .map(|(function, body)| (*function, *body));
        Setting::of_lines(self.lines(origin, &bodies), all)
    }

    /// The body of a user function.
    pub fn body(&self, function: FunctionId) -> Option<&'a Expr> {
        self.bodies.get(&function).copied()
    }

    /// The premises that stand above a step and have to do with it, from top to bottom; the exact
    /// values of data come first.
    pub fn above(
        &self,
        origin: Origin,
        doubtful: &FxHashSet<Origin>,
        members: &[Expr],
    ) -> Vec<Premise<'a>> {
        let all = self.all_above(origin, doubtful);
        let (mut premises, rest): (Vec<_>, Vec<_>) = (related(all, members).into_iter())
            .partition(|premise| matches!(premise.ground, Ground::Value(_)));
        premises.extend(rest);
        premises
    }

    /// A step below its premises by itself, and what its symbols are called here.
    pub fn step(
        &self,
        origin: Origin,
        premises: &[Premise<'a>],
        members: &[Expr],
    ) -> (Step, Names) {
        let bodies = |function| self.body(function);
        let sides = || premises.iter().flat_map(|premise| &premise.sides);
        let mut taking = Taking::new(
            self.lines(origin, &bodies),
            sides().map(AsRef::as_ref).chain(members),
            premises.iter().filter_map(|premise| premise.lead),
        );
        let mut stated = Vec::with_capacity(premises.len());
        for premise in premises {
            let sides = premise.sides.iter();
            stated.push(Equality {
                lead: premise.lead.map(|lead| taking.symbol(lead)),
                sides: sides.map(|side| taking.formula(side)).collect(),
            });
        }
        let members = members.iter().map(|side| taking.formula(side)).collect();
        let (setting, names) = taking.setting();
        let step = Step {
            setting,
            premises: stated,
            members,
            effort: self.efforts(origin).step,
        };
        (step, names)
    }

    /// Everything above a line of its problem, and of what all problems share.
    fn all_above(&self, origin: Origin, doubtful: &FxHashSet<Origin>) -> Vec<Premise<'a>> {
        let problem = self.problem(origin.block);
        let mut found = Vec::new();
        for (block, statements) in self.resolved.blocks.iter().enumerate() {
            let own = self.problem(block);
            if own != problem && own != 0 {
                continue;
            }
            for (index, statement) in statements.iter().enumerate() {
                let here = Origin {
                    block,
                    statement: index,
                };
                // Data may stand below the symbols that they are values of.
                let is_given = statement.facts().datum().is_some();
                if doubtful.contains(&here) {
                    continue;
                }
                if here < origin || (is_given && own == problem) {
                    let premise = self.premise(here, statement);
                    found.extend(premise.map(|premise| self.seen_from(problem, own, premise)));
                }
            }
        }
        found
    }

    /// A premise of the shared part with the symbols that a problem has for its names.
    fn seen_from(&self, problem: usize, own: usize, premise: Premise<'a>) -> Premise<'a> {
        if own == problem {
            return premise;
        }
        let symbols = &self.resolved.symbols;
        let by = |symbol: SymbolId| symbols.seen_from(problem, symbol);
        Premise {
            ground: premise.ground,
            sides: (premise.sides.iter())
                .map(|side| Cow::Owned(side.with_symbols(&by)))
                .collect(),
            lead: premise.lead.map(by),
        }
    }

    /// Whether a line is a balance of a sketch, or was solved or proved from lines that may be.
    pub fn is_of_a_balance(&self, origin: Origin) -> bool {
        self.comes_from(origin, &|line| {
            balance_said(line).is_some() || matches!(line.facts().task, Task::Step(_))
        })
    }

    /// Whether a line is this balance, or was solved from it.
    pub fn is_of_this_balance(&self, origin: Origin, words: &str) -> bool {
        self.comes_from(origin, &|line| balance_said(line) == Some(words))
    }

    /// Whether a line is such a one, or was solved from such a one.
    fn comes_from(&self, origin: Origin, is_such: &dyn Fn(&Statement) -> bool) -> bool {
        self.statement(origin).is_some_and(|line| {
            let mut origins = line.facts().origins.iter();
            is_such(line) || origins.any(|from| self.comes_from(*from, is_such))
        })
    }

    /// Whether an equation above a line was refused.
    pub fn has_refused(&self, origin: Origin) -> bool {
        let problem = self.problem(origin.block);
        (self.resolved.blocks.iter().enumerate())
            .filter(|(block, _)| self.problem(*block) == problem || self.problem(*block) == 0)
            .flat_map(|(block, statements)| {
                (statements.iter().enumerate())
                    .map(move |(statement, line)| (Origin { block, statement }, line))
            })
            .take_while(|(here, _)| *here < origin)
            .any(|(here, line)| {
                let types = self.checked.statements.get(here.block);
                let refused = types
                    .and_then(|types| types.get(here.statement)?.as_ref())
                    .is_none();
                let facts = line.facts();
                let is_equation = matches!(facts.stated, Stated::Sides(_) | Stated::Solved(_))
                    && matches!(facts.task, Task::Nothing);
                refused && (is_equation || line.kind.is_none())
            })
    }

    fn premise(&self, here: Origin, statement: &'a Statement) -> Option<Premise<'a>> {
        let types = self.checked.statements.get(here.block)?;
        types.get(here.statement)?.as_ref()?;
        let equation = |members: &'a [Expr]| Premise {
            ground: Ground::Equation(here),
            sides: members.iter().map(Cow::Borrowed).collect(),
            lead: None,
        };
        match statement.facts().stated {
            Stated::Nothing => None,
            Stated::Sides(members) => Some(equation(members)),
            Stated::Solved(solved) => {
                let ([only], [symbol]) = (solved.branches.as_slice(), solved.unknowns.as_slice())
                else {
                    return None;
                };
                // One angle of many does not follow from its equation; nor does a value where it
                // was divided by what does not show.
                if only.is_principal || !only.not_zero.iter().all(|one| only.shows(one)) {
                    return None;
                }
                Some(Premise {
                    ground: Ground::Equation(here),
                    sides: only.formulas.iter().map(Cow::Borrowed).collect(),
                    lead: Some(*symbol),
                })
            }
            Stated::Work(work) => {
                let is_own = work.origin.is_none() && work.conditions.is_empty();
                (is_own && !work.members.is_empty()).then_some(Premise {
                    ground: Ground::Definition(statement.defines?),
                    sides: (work.members.iter())
                        .map(|side| self.turned(statement.defines, side))
                        .collect(),
                    lead: statement.defines,
                })
            }
            Stated::Datum(symbol, value) => {
                let ground = match &value.kind {
                    // Of the data only what is exact by its nature may be put in.
                    _ if is_special(value) => Ground::Value(symbol),
                    ExprKind::Quantity(_) | ExprKind::Number(_) | ExprKind::Constant(_) => {
                        return None;
                    }
                    _ => Ground::Definition(symbol),
                };
                Some(Premise {
                    ground,
                    sides: vec![Cow::Borrowed(value)],
                    lead: Some(symbol),
                })
            }
        }
    }

    /// The formula of a name, with the `2 pi` of a line that asks turns in radians.
    fn turned(&self, defines: Option<SymbolId>, side: &'a Expr) -> Cow<'a, Expr> {
        let power = defines.and_then(|symbol| self.checked.converted.get(&symbol));
        let Some(power) = power else {
            return Cow::Borrowed(side);
        };
        let expr = |kind| Expr {
            span: side.span,
            kind,
        };
        let factor = |operator, kind| Factor {
            operator,
            expr: expr(kind),
        };
        let two_pi = ExprKind::Product(Arc::new([
            factor(Operator::Juxtapose, ExprKind::Numeral(2.0)),
            factor(Operator::Juxtapose, ExprKind::Pi),
        ]));
        let size = f64::from(power.numer().abs()) / f64::from(*power.denom());
        let turns = ExprKind::Power(
            Box::new(expr(two_pi)),
            Box::new(expr(ExprKind::Numeral(size))),
        );
        let operator = if *power.numer() < 0 {
            Operator::Divide
        } else {
            Operator::Times
        };
        Cow::Owned(expr(ExprKind::Product(Arc::new([
            factor(Operator::Juxtapose, side.kind.clone()),
            factor(operator, turns),
        ]))))
    }

    /// The symbols that are roots of equations, with what they depend on.
    pub fn roots(&self) -> FxHashMap<SymbolId, Vec<SymbolId>> {
        let mut found = FxHashMap::default();
        for statement in self.resolved.blocks.iter().flatten() {
            let Some((symbols, sides)) = statement.facts().roots else {
                continue;
            };
            let mut reads = Vec::new();
            for side in sides {
                side.for_each_symbol(&mut |symbol, _| reads.push(symbol));
            }
            for symbol in symbols {
                found.insert(symbol, reads.clone());
            }
        }
        found
    }

    /// How each symbol of a problem is defined by a formula, above a line.
    pub fn definitions(&self, origin: Origin) -> FxHashMap<SymbolId, Cow<'a, Expr>> {
        let mut found = FxHashMap::default();
        for premise in self.all_above(origin, &FxHashSet::default()) {
            if let (Ground::Definition(symbol), Some(first)) =
                (premise.ground, premise.sides.into_iter().next())
                && (matches!(first, Cow::Borrowed(_))
                    || self.checked.converted.contains_key(&symbol))
            {
                found.entry(symbol).or_insert(first);
            }
        }
        for (block, statements) in self
            .resolved
            .blocks
            .iter()
            .enumerate()
            .take(origin.block + 1)
        {
            let own = self.problem(block);
            if own != self.problem(origin.block) && own != 0 {
                continue;
            }
            for statement in statements {
                if let (Stated::Work(work), Some(symbol)) =
                    (statement.facts().stated, statement.defines)
                    && work.origin.is_some()
                    && let Some(first) = work.members.first()
                {
                    let first = self.turned(Some(symbol), first);
                    found.entry(symbol).or_insert(first);
                }
            }
        }
        found
    }
}

/// How many steps of algebra each task of a kind may take in a problem, of which these are the
/// blocks.
fn effort_of_one(
    effort: Effort,
    share: Share,
    resolved: &Resolved,
    is_own: impl Fn(usize) -> bool,
    is_one: impl Fn(Task<'_>) -> bool,
) -> u32 {
    let own = resolved
        .blocks
        .iter()
        .enumerate()
        .filter(|(at, _)| is_own(*at));
    let lines = own.flat_map(|(_, lines)| lines);
    let tasks = lines.filter(|line| is_one(line.facts().task));
    effort.of_one(share, tasks.count())
}

/// The premises that have to do with a step, directly or through others.
fn related<'a>(premises: Vec<Premise<'a>>, members: &[Expr]) -> Vec<Premise<'a>> {
    let mut reached = symbols_of(members.iter());
    let symbols: Vec<BTreeSet<SymbolId>> = premises.iter().map(Premise::symbols).collect();
    let mut chosen = vec![false; premises.len()];
    while let Some(at) =
        (0..premises.len()).find(|at| !chosen[*at] && !symbols[*at].is_disjoint(&reached))
    {
        chosen[at] = true;
        reached.extend(&symbols[at]);
    }
    (premises.into_iter().zip(chosen))
        .filter_map(|(premise, chosen)| chosen.then_some(premise))
        .collect()
}

impl<'a> Premise<'a> {
    /// An equation that is put here as a premise.
    pub fn stated(origin: Origin, sides: &[Expr]) -> Self {
        Self {
            ground: Ground::Equation(origin),
            sides: sides.iter().cloned().map(Cow::Owned).collect(),
            lead: None,
        }
    }
}

impl Premise<'_> {
    pub fn symbols(&self) -> BTreeSet<SymbolId> {
        let mut found = symbols_of(self.sides.iter().map(AsRef::as_ref));
        found.extend(self.lead);
        found
    }

    /// What is equal, first the symbol that is defined.
    pub fn members(&self) -> Vec<Expr> {
        let lead = self.lead.map(|symbol| Expr {
            span: Span::default(),
            kind: ExprKind::Symbol(symbol),
        });
        let sides = self.sides.iter().map(|side| side.as_ref().clone());
        lead.into_iter().chain(sides).collect()
    }

    /// What a name is, where it stands alone on a side.
    pub fn definitions_of(&self, symbol: SymbolId) -> impl Iterator<Item = &Expr> {
        let defines = self.leads().any(|lead| lead == symbol);
        let sides = self.sides.iter().map(AsRef::as_ref);
        sides.filter(move |side: &&Expr| defines && side.inside().as_symbol() != Some(symbol))
    }

    /// The symbols that stand alone on a side: what it may define.
    pub fn leads(&self) -> impl Iterator<Item = SymbolId> {
        let sides = self.sides.iter();
        let alone = sides.filter_map(|side| side.inside().as_symbol());
        self.lead.into_iter().chain(alone)
    }
}

pub fn symbols_of<'e>(exprs: impl Iterator<Item = &'e Expr>) -> BTreeSet<SymbolId> {
    let mut found = BTreeSet::new();
    for expr in exprs {
        expr.for_each_symbol(&mut |symbol, _| {
            found.insert(symbol);
        });
    }
    found
}

/// Whether a datum is a special value that may be put in: zero, a whole number without a unit, an
/// angle.
fn is_special(value: &Expr) -> bool {
    match &value.kind {
        ExprKind::Number(number) => number.fract() == 0.0,
        ExprKind::Quantity(quantity) => match quantity.values.as_slice() {
            [only] if quantity.shape == Shape::One && quantity.sizes.is_empty() => {
                *only == 0.0 && quantity.unit.offset() == 0.0
                    || quantity.unit.source().is_empty() && only.fract() == 0.0
                    || matches!(quantity.unit.source(), "deg" | "°") && only.rem_euclid(30.0) == 0.0
            }
            _ => false,
        },
        _ => false,
    }
}

/// The balance of a sketch that a line is, or is meant to be, in words.
fn balance_said(line: &Statement) -> Option<&str> {
    let meant = line.facts().meant.map(|(_, meant)| meant);
    let written = match &line.kind {
        Some(Kind::Balance(balance)) => Some(&balance.meant),
        _ => None,
    };
    meant.or(written).map(|meant| &*meant.words)
}
