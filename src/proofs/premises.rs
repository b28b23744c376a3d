//! What a step may follow from: the equations, definitions and special values above it.

use std::borrow::Cow;
use std::collections::BTreeSet;

use rustc_hash::{FxHashMap, FxHashSet};

use super::Ground;
use crate::algebra::{Equation, Samples, Sign, Symbol};
use crate::dimensions::Checked;
use crate::resolve::algebraic::{self, Algebraic, Opaque};
use crate::resolve::components::{Components, axes, components};
use crate::resolve::statement::Origin;
use crate::resolve::{
    Expr, ExprKind, FunctionId, Resolved, Shape, Stated, Statement, SymbolId, Task,
};
use crate::syntax::{ATMOSPHERE, Axis};

/// The lines of a worksheet, as a proof looks at them.
pub(super) struct Book<'a> {
    pub text: &'a str,
    pub resolved: &'a Resolved,
    checked: &'a Checked,
    problems: &'a [usize],
    bodies: FxHashMap<FunctionId, &'a Expr>,
}

/// A premise with its ground, by its sides as the author wrote them.
pub(super) struct Premise<'a> {
    ground: Ground,
    sides: Vec<Cow<'a, Expr>>,
    /// The symbol that it defines, for a definition of `work` or `given`.
    lead: Option<SymbolId>,
}

/// Premises in canonical form.
pub(super) struct Premises {
    pub equations: Vec<Equation>,
    /// The ground of each.
    pub grounds: Vec<Ground>,
    /// What the algebra does not look into in a line that belongs to them.
    pub opaque: Option<Opaque>,
}

/// What stands above a step.
pub(super) struct Above<'a> {
    /// The premises that have to do with it, from top to bottom; the exact values of data come
    /// first, because they are the last that a proof should need.
    pub premises: Vec<Premise<'a>>,
    /// The symbols of the step and of all premises, each once.
    pub symbols: Vec<SymbolId>,
    /// Whether a line above was refused, which may have been one of them.
    pub refused: bool,
}

impl<'a> Book<'a> {
    pub fn new(
        text: &'a str,
        resolved: &'a Resolved,
        checked: &'a Checked,
        problems: &'a [usize],
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
        }
    }

    pub fn statement(&self, origin: Origin) -> Option<&'a Statement> {
        self.resolved
            .blocks
            .get(origin.block)?
            .get(origin.statement)
    }

    /// The data that are numbers, by the symbols of the algebra, in coherent SI units.
    pub fn data(&self) -> impl Iterator<Item = (Symbol, f64)> {
        let given = |statement: &'a Statement| statement.facts().datum();
        (self.resolved.blocks.iter().flatten())
            .filter_map(given)
            .flat_map(|(symbol, value)| match &value.kind {
                ExprKind::Number(number) => vec![(algebraic::symbol(symbol, None), *number)],
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
                        .map(|(axis, number)| (algebraic::symbol(symbol, *axis), number))
                        .collect()
                }
                _ => Vec::new(),
            })
    }

    fn problem(&self, block: usize) -> usize {
        self.problems.get(block).copied().unwrap_or(0)
    }

    /// The body of a user function.
    pub fn body(&self, function: FunctionId) -> Option<&'a Expr> {
        self.bodies.get(&function).copied()
    }

    /// An algebra for a line of the problem, in which these signs are known.
    pub fn algebraic<'b>(
        &'b self,
        origin: Origin,
        bodies: &'b dyn Fn(FunctionId) -> Option<&'b Expr>,
        signs: &FxHashMap<SymbolId, Sign>,
    ) -> Algebraic<'b> {
        let symbols = &self.resolved.symbols;
        let atmosphere = symbols.find(self.problem(origin.block), ATMOSPHERE);
        Algebraic::new(self.text, symbols, signs, bodies, atmosphere)
    }

    /// What stands above a step.
    pub fn above(
        &self,
        origin: Origin,
        doubtful: &FxHashSet<Origin>,
        members: &[Expr],
    ) -> Above<'a> {
        let all = self.all_above(origin, doubtful);
        let mut symbols = symbols_of(members.iter());
        for premise in &all {
            symbols.extend(premise.symbols());
        }
        let (mut premises, rest): (Vec<_>, Vec<_>) = (related(all, members).into_iter())
            .partition(|premise| matches!(premise.ground, Ground::Value(_)));
        premises.extend(rest);
        Above {
            premises,
            symbols: symbols.into_iter().collect(),
            refused: self.has_refused(origin),
        }
    }

    /// Premises in canonical form.
    pub fn premises(&self, above: &Above<'a>, algebraic: &mut Algebraic<'_>) -> Premises {
        let mut found = Premises {
            equations: Vec::new(),
            grounds: Vec::new(),
            opaque: None,
        };
        for premise in &above.premises {
            match self.equations(premise, algebraic) {
                Ok(equations) => {
                    for equation in equations {
                        found.equations.push(equation);
                        found.grounds.push(premise.ground.clone());
                    }
                }
                Err(opaque) => found.opaque = Some(opaque),
            }
        }
        found
    }

    /// A premise as equations between numbers: one for each pair of sides and component.
    fn equations(
        &self,
        premise: &Premise<'a>,
        algebraic: &mut Algebraic<'_>,
    ) -> Result<Vec<Equation>, Opaque> {
        let lead = premise.lead.map(|symbol| Expr {
            span: premise
                .sides
                .first()
                .map(|side| side.span)
                .unwrap_or_default(),
            kind: ExprKind::Symbol(symbol),
        });
        let sides: Vec<&Expr> = (lead.iter())
            .chain(premise.sides.iter().map(AsRef::as_ref))
            .collect();
        self.pairs(&sides, algebraic)
    }

    /// The equations that a chain of sides states.
    pub fn pairs(
        &self,
        sides: &[&Expr],
        algebraic: &mut Algebraic<'_>,
    ) -> Result<Vec<Equation>, Opaque> {
        let symbols = &self.resolved.symbols;
        let size = sides.iter().find_map(|side| components(side, symbols));
        let Some((first, rest)) = sides.split_first() else {
            return Ok(Vec::new());
        };
        let mut found = Vec::new();
        let Some(size) = size else {
            let left = algebraic.canonical(first)?;
            for side in rest {
                found.push((left, algebraic.canonical(side)?));
            }
            return Ok(found);
        };
        let writer = Components {
            symbols,
            definition: &|_| None,
        };
        for axis in axes(size) {
            let one = |side: &Expr| writer.of(side, *axis).ok_or(Opaque::Vector);
            let left = algebraic.canonical(&one(first)?)?;
            for side in rest {
                found.push((left, algebraic.canonical(&one(side)?)?));
            }
        }
        Ok(found)
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

    /// Whether an equation above a line was refused.
    fn has_refused(&self, origin: Origin) -> bool {
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
        let number = statement.label.as_ref().map(|(_, number)| *number);
        let equation = |members: &'a [Expr]| Premise {
            ground: Ground::Equation(here, number),
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
                // One angle of many does not follow from its equation.
                if only.is_principal {
                    return None;
                }
                Some(Premise {
                    ground: Ground::Equation(here, number),
                    sides: only.formulas.iter().map(Cow::Borrowed).collect(),
                    lead: Some(*symbol),
                })
            }
            Stated::Work(work) => {
                let is_own = work.origin.is_none() && work.conditions.is_empty();
                (is_own && !work.members.is_empty()).then_some(Premise {
                    ground: Ground::Definition(statement.defines?),
                    sides: work.members.iter().map(Cow::Borrowed).collect(),
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

    /// Points at which a claim is tried: constants and numbers with units have their values.
    pub fn samples(&self, algebraic: &Algebraic<'_>) -> Samples {
        let fixed = algebraic.fixed();
        Samples::new(
            (fixed.into_iter())
                .map(|(symbol, value)| (symbol, (value, value)))
                .collect(),
        )
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
    pub fn definitions(&self, origin: Origin) -> FxHashMap<SymbolId, &'a Expr> {
        let mut found = FxHashMap::default();
        for premise in self.all_above(origin, &FxHashSet::default()) {
            if let (Ground::Definition(symbol), Some(Cow::Borrowed(first))) =
                (&premise.ground, premise.sides.first())
            {
                found.entry(*symbol).or_insert(*first);
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
                    found.entry(symbol).or_insert(first);
                }
            }
        }
        found
    }
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

impl Premise<'_> {
    fn symbols(&self) -> BTreeSet<SymbolId> {
        let mut found = symbols_of(self.sides.iter().map(AsRef::as_ref));
        found.extend(self.lead);
        found
    }
}

fn symbols_of<'e>(exprs: impl Iterator<Item = &'e Expr>) -> BTreeSet<SymbolId> {
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
            [only] if quantity.shape == Shape::One && quantity.uncertainty.is_none() => {
                *only == 0.0 && quantity.unit.offset() == 0.0
                    || quantity.unit.source().is_empty() && only.fract() == 0.0
                    || matches!(quantity.unit.source(), "deg" | "°") && only.rem_euclid(30.0) == 0.0
            }
            _ => false,
        },
        _ => false,
    }
}
