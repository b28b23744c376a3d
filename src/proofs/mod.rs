//! Proofs: what the algebra says about the lines of a worksheet.
//!
//! In go resolved statements, out come a verdict on every step that the author wrote
//! (`therefore`), and derivatives in symbols for the lines that look at how a result goes with a
//! given. Solving is done where names are resolved, because later lines take formulas from it;
//! numbers are left to `evaluate`.

mod balance;
mod derivative;
mod judge;
mod mend;
mod premises;
mod provisos;
mod slips;
mod step;

use std::fmt;

use rayon::prelude::*;
use rustc_hash::{FxHashMap, FxHashSet};

use crate::algebra::Undecided;
use crate::diagnostic::{Diagnostic, Fix};
use crate::dimensions::Checked;
use crate::questions::Asker;
use crate::resolve::algebraic::Opaque;
use crate::resolve::statement::Origin;
use crate::resolve::{Expr, Resolved, SymbolId, Task};
use crate::syntax::Axis;

pub use balance::Agreement;
pub use provisos::{Provided, Proviso, Provisos};

/// What is said about a step.
#[derive(Debug, Clone, PartialEq)]
pub enum Verdict {
    /// It follows.
    Follows {
        /// From what, in the order of the worksheet; nothing for an identity.
        by: Vec<Ground>,
        /// Symbols whose given sign was used.
        leaned: Vec<SymbolId>,
        /// Symbols that are taken to be positive, without which it would not follow: a root that
        /// is taken is the positive one.
        taking: Vec<SymbolId>,
        /// What was divided by, and is not known to differ from zero.
        not_zero: Vec<Expr>,
    },
    /// It does not follow: at these values what stands above holds, and the step does not.
    DoesNotFollow {
        /// Symbols of the step, or components of them, with values.
        values: Vec<(SymbolId, Option<Axis>, f64)>,
        /// What the left side is there.
        left: f64,
        /// What the right side is there.
        right: f64,
        /// What would follow instead, as an author would say it.
        slip: Option<String>,
        /// The same as an edit, where its text is known exactly.
        fix: Option<Fix>,
    },
    /// Neither is known.
    NotDecided(Doubt),
}

/// Why neither is known.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Doubt {
    /// The step holds what the algebra does not look into.
    Opaque(Opaque),
    /// A line above does, and may say more.
    OpaqueAbove(Opaque),
    /// A line above was refused, from which it may follow.
    Refused,
    /// A proof divides by zero, or takes signs that cannot be.
    Nothing,
    /// What was tried.
    Tried(Undecided),
    /// The step was refused before.
    NotLookedAt,
}

impl fmt::Display for Doubt {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Opaque(opaque) => write!(
                out,
                "it holds {}, which is not looked into",
                opaque.words()
            ),
            Self::OpaqueAbove(opaque) => write!(
                out,
                "a line above holds {}, which is not looked into",
                opaque.words()
            ),
            Self::Refused => {
                out.write_str("a line above was refused, from which it may follow")
            }
            Self::Nothing => out.write_str(
                "it holds only where something differs from zero, or is positive, that is not so by what stands above",
            ),
            Self::Tried(Undecided::Agreeing(points)) => write!(
                out,
                "it agrees with what stands above at {points} points, but no proof was found"
            ),
            Self::Tried(Undecided::Nowhere) => out.write_str(
                "what stands above could not be solved, and no numbers were found to try",
            ),
            Self::Tried(Undecided::Effort(points)) => write!(
                out,
                "the bound on effort was reached; it agrees with what stands above at {points} points"
            ),
            Self::NotLookedAt => out.write_str("it was not looked at"),
        }
    }
}

/// What a step follows from.
#[derive(Debug, Clone, PartialEq)]
pub enum Ground {
    /// The equation above that stands there.
    Equation(Origin),
    /// The definition of a symbol.
    Definition(SymbolId),
    /// The value that was given for a symbol.
    Value(SymbolId),
}

/// What was found about the lines of a worksheet.
#[derive(Debug, Default)]
pub struct Proofs {
    verdicts: FxHashMap<Origin, Verdict>,
    derivatives: FxHashMap<Origin, Expr>,
    agreements: FxHashMap<Origin, Agreement>,
    /// The steps that do not follow, and equations that are not the balance that they are meant to be.
    pub refuted: FxHashSet<Origin>,
    /// What lines that follow from others hold by.
    pub provisos: Provisos,
}

impl Proofs {
    /// The verdict on a step.
    pub fn verdict(&self, origin: Origin) -> Verdict {
        let found = self.verdicts.get(&origin).cloned();
        found.unwrap_or(Verdict::NotDecided(Doubt::NotLookedAt))
    }

    /// Whether a line is the balance that it is meant to be; nothing where it is meant to be none.
    pub fn agreement(&self, origin: Origin) -> Option<&Agreement> {
        self.agreements.get(&origin)
    }

    /// The derivative that a line looks at, where it is short.
    pub fn derivative(&self, origin: Origin) -> Option<&Expr> {
        self.derivatives.get(&origin)
    }
}

/// What is found about one line.
#[derive(Debug, Clone)]
enum Found {
    Verdict(Origin, Verdict, Option<Diagnostic>),
    Derivative(Origin, Expr),
    Agreement(Origin, Agreement, Option<Diagnostic>),
}

/// Proves or refutes every step, and differentiates where that is asked. `problems` are those of
/// the blocks.
pub fn prove(
    text: &str,
    resolved: &Resolved,
    checked: &Checked,
    problems: &[usize],
    asker: &Asker<'_>,
) -> (Proofs, Vec<Diagnostic>) {
    let lines = lines_to_look_at(resolved, checked);
    if lines.is_empty() {
        let provisos = provisos::provisos(resolved, &FxHashMap::default());
        let none = Proofs {
            provisos,
            ..Proofs::default()
        };
        return (none, Vec::new());
    }
    let book = premises::Book::new(text, resolved, checked, problems, asker);
    // A step may follow from steps above it, so those of one problem go one after the other.
    let mut groups: Vec<Vec<Origin>> = Vec::new();
    for origin in lines {
        let problem = problems.get(origin.block).copied().unwrap_or(0);
        if groups.len() <= problem {
            groups.resize_with(problem + 1, Vec::new);
        }
        groups[problem].push(origin);
    }
    let judge =
        |lines: &[Origin], doubtful: &FxHashSet<Origin>| in_order(&book, asker, lines, doubtful);
    let (first, others) = groups.split_at(1);
    let (shared, doubtful) = judge(&first[0], &FxHashSet::default());
    let others: Vec<_> = (others.par_iter())
        .map(|group| judge(group, &doubtful).0)
        .collect();
    let mut proofs = Proofs::default();
    let mut diagnostics = Vec::new();
    for found in std::iter::once(shared).chain(others).flatten() {
        proofs.take(found, &mut diagnostics);
    }
    proofs.provisos = provisos::provisos(resolved, &proofs.verdicts);
    (proofs, diagnostics)
}

impl Proofs {
    fn take(&mut self, found: Found, diagnostics: &mut Vec<Diagnostic>) {
        match found {
            Found::Verdict(origin, verdict, diagnostic) => {
                if matches!(verdict, Verdict::DoesNotFollow { .. }) {
                    self.refuted.insert(origin);
                }
                self.verdicts.insert(origin, verdict);
                diagnostics.extend(diagnostic);
            }
            Found::Agreement(origin, agreement, diagnostic) => {
                if matches!(agreement, Agreement::Differs(_)) {
                    self.refuted.insert(origin);
                }
                self.agreements.insert(origin, agreement);
                diagnostics.extend(diagnostic);
            }
            Found::Derivative(origin, expr) => {
                self.derivatives.insert(origin, expr);
            }
        }
    }
}

/// Looks at the lines of one problem. A step that was not proved is no premise of those below it;
/// those are told as well.
fn in_order(
    book: &premises::Book<'_>,
    asker: &Asker<'_>,
    lines: &[Origin],
    before: &FxHashSet<Origin>,
) -> (Vec<Found>, FxHashSet<Origin>) {
    let mut doubtful = before.clone();
    let mut all = Vec::with_capacity(lines.len());
    for origin in lines {
        let found = look_at(book, asker, *origin, &doubtful);
        if let Some(Found::Verdict(origin, verdict, _)) = &found
            && !matches!(verdict, Verdict::Follows { .. })
        {
            doubtful.insert(*origin);
        }
        all.extend(found);
        let compared = compare(book, asker, *origin, &doubtful);
        if let Some(Found::Agreement(origin, Agreement::Differs(_), _)) = &compared {
            doubtful.insert(*origin);
        }
        all.extend(compared);
    }
    (all, doubtful)
}

/// The lines whose statements are sound and have something to prove or differentiate.
fn lines_to_look_at(resolved: &Resolved, checked: &Checked) -> Vec<Origin> {
    let mut found = Vec::new();
    for (block, statements) in resolved.blocks.iter().enumerate() {
        for (statement, line) in statements.iter().enumerate() {
            let facts = line.facts();
            let wanted = !matches!(facts.task, Task::Nothing) || facts.meant.is_some();
            let types = checked.statements.get(block);
            let sound = types
                .and_then(|types| types.get(statement)?.as_ref())
                .is_some();
            if wanted && sound {
                found.push(Origin { block, statement });
            }
        }
    }
    found
}

fn look_at(
    book: &premises::Book<'_>,
    asker: &Asker<'_>,
    origin: Origin,
    doubtful: &FxHashSet<Origin>,
) -> Option<Found> {
    let statement = book.statement(origin)?;
    match statement.facts().task {
        Task::Step(members) => {
            let verdict = step::verdict(book, asker, origin, doubtful, members);
            let diagnostic = step::diagnostic(book, statement, &verdict);
            Some(Found::Verdict(origin, verdict, diagnostic))
        }
        Task::Trend(trend) => {
            let formula = derivative::formula(book, asker, origin, &trend.subject, trend.with)?;
            Some(Found::Derivative(origin, formula))
        }
        Task::Nothing => None,
    }
}

/// Compares a line with the balance that it is meant to be.
fn compare(
    book: &premises::Book<'_>,
    asker: &Asker<'_>,
    origin: Origin,
    doubtful: &FxHashSet<Origin>,
) -> Option<Found> {
    let (members, meant) = book.statement(origin)?.facts().meant?;
    let found = balance::agreement(book, asker, origin, doubtful, members, meant);
    let diagnostic = balance::diagnostic(meant, &found);
    Some(Found::Agreement(origin, found, diagnostic))
}
