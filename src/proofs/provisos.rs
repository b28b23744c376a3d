//! What a line of `derive` holds by beside the equations above it.
//!
//! A step may put in that a datum is zero, or take a root by the sign of another. It is right for
//! the data; with other data it is right as long as that stays so, and so is what follows from it.

use rustc_hash::FxHashMap;

use super::{Ground, Verdict};
use crate::algebra::Sign;
use crate::resolve::statement::Origin;
use crate::resolve::statement::Solved;
use crate::resolve::{Expr, Facts, Resolved, Stated, SymbolId, Task};

/// What has to stay so.
#[derive(Debug, Clone, PartialEq)]
pub enum Proviso {
    /// A datum has the value that it is given.
    Value(SymbolId),
    /// A symbol is what the line that defines it says.
    Definition(SymbolId),
    /// A symbol has this sign.
    Sign(SymbolId, Sign),
    /// This differs from zero.
    NotZero(Expr),
    /// An equation that the author states.
    Equation(Origin),
    /// All data: the step was not decided, and may hold with them only.
    Undecided,
}

/// A proviso, and the line that brought it in.
#[derive(Debug, Clone, PartialEq)]
pub struct Provided {
    /// The step, or the solution.
    pub step: Origin,
    /// What has to stay so for it.
    pub proviso: Proviso,
}

/// The provisos of lines, their own and those of what they follow from.
pub type Provisos = FxHashMap<Origin, Vec<Provided>>;

/// The provisos of all lines of `derive`.
pub(super) fn provisos(resolved: &Resolved, verdicts: &FxHashMap<Origin, Verdict>) -> Provisos {
    let mut found = Provisos::default();
    for (block, statements) in resolved.blocks.iter().enumerate() {
        for (statement, line) in statements.iter().enumerate() {
            let origin = Origin { block, statement };
            let facts = line.facts();
            let (above, own) = match (facts.task, facts.stated) {
                (Task::Step(_), _) => of_step(resolved, verdicts.get(&origin)),
                (_, Stated::Solved(solved)) => (facts.origins.to_vec(), of_solved(solved)),
                // What was written out of another line holds as that does.
                (_, Stated::Sides(_)) => (facts.origins.to_vec(), Vec::new()),
                (_, Stated::Nothing | Stated::Work(_) | Stated::Datum(..)) => continue,
            };
            let mut all: Vec<Provided> = Vec::new();
            let own = own.into_iter().map(|proviso| Provided {
                step: origin,
                proviso,
            });
            let above = above
                .iter()
                .flat_map(|above| inherited(resolved, &found, *above, origin));
            for provided in above.chain(own) {
                if !(all.iter()).any(|known| known.proviso == provided.proviso) {
                    all.push(provided);
                }
            }
            found.insert(origin, all);
        }
    }
    found
}

/// What is inherited from a line above: the equation itself where the author states it, and what
/// a line that follows from others holds by.
fn inherited(resolved: &Resolved, known: &Provisos, above: Origin, step: Origin) -> Vec<Provided> {
    let block = resolved.blocks.get(above.block);
    let line = block.and_then(|block| block.get(above.statement));
    match line.map(|line| line.facts()) {
        Some(facts) if is_of_author(&facts) => vec![Provided {
            step,
            proviso: Proviso::Equation(above),
        }],
        _ => known.get(&above).cloned().unwrap_or_default(),
    }
}

/// Whether a line is an equation that the author states, and no step.
fn is_of_author(facts: &Facts<'_>) -> bool {
    matches!(
        (facts.task, facts.stated),
        (Task::Nothing, Stated::Sides(_))
    ) && facts.origins.is_empty()
}

/// The lines that a step follows from, and what it holds by.
fn of_step(resolved: &Resolved, verdict: Option<&Verdict>) -> (Vec<Origin>, Vec<Proviso>) {
    let Some(Verdict::Follows {
        by,
        leaned,
        taking,
        not_zero,
    }) = verdict
    else {
        return (Vec::new(), vec![Proviso::Undecided]);
    };
    let mut above = Vec::new();
    let mut own = Vec::new();
    for ground in by {
        match ground {
            Ground::Equation(origin) => above.push(*origin),
            Ground::Definition(symbol) => own.push(Proviso::Definition(*symbol)),
            Ground::Value(symbol) => own.push(Proviso::Value(*symbol)),
        }
    }
    let given = |symbol: &SymbolId| Some((*symbol, *resolved.signs.get(symbol)?));
    let taken = |symbol: &SymbolId| (*symbol, Sign::POSITIVE);
    let signs = (leaned.iter().filter_map(given)).chain(taking.iter().map(taken));
    own.extend(signs.map(|(symbol, sign)| Proviso::Sign(symbol, sign)));
    own.extend(not_zero.iter().cloned().map(Proviso::NotZero));
    (above, own)
}

/// What a solution holds by.
fn of_solved(solved: &Solved) -> Vec<Proviso> {
    let signs = (solved.signs.iter()).map(|(symbol, sign)| Proviso::Sign(*symbol, *sign));
    let divisors = solved.branches.iter().flat_map(|branch| &branch.not_zero);
    signs
        .chain(divisors.cloned().map(Proviso::NotZero))
        .collect()
}
