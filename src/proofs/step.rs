//! The verdict on a step that the author wrote.

use std::sync::Arc;

use rustc_hash::FxHashSet;

use super::judge::{self, Judgement, Proof, Whether, WhichSlip};
use super::premises::{Book, Premise};
use super::{Doubt, Ground, Verdict, slips};
use crate::algebra::{Point, Undecided};
use crate::diagnostic::{Code, Diagnostic};
use crate::quantity;
use crate::questions::Asker;
use crate::resolve::algebraic::{self, Opaque};
use crate::resolve::setting::Names;
use crate::resolve::statement::Origin;
use crate::resolve::{Expr, Statement};

/// Whether a step follows from what stands above it. `doubtful` are the steps above that were not
/// proved.
pub(super) fn verdict(
    book: &Book<'_>,
    asker: &Asker<'_>,
    origin: Origin,
    doubtful: &FxHashSet<Origin>,
    members: &[Expr],
) -> Verdict {
    let premises = book.above(origin, doubtful, members);
    let (step, names) = book.step(origin, &premises, members);
    let step = Arc::new(step);
    let data = || data(book, &names);
    let answer = judge::ask(asker, &data, |zero| Whether {
        step: Arc::clone(&step),
        zero,
    });
    let (at, left, right) = match &answer.found {
        Judgement::Follows(proof) => return told(proof, &premises, &names, members),
        Judgement::NotDecided(why) => return Verdict::NotDecided(*why),
        // A line that was not read may say more.
        Judgement::Refuted { .. } if book.has_refused(origin) => {
            return Verdict::NotDecided(Doubt::Refused);
        }
        Judgement::Refuted {
            unread: Some(opaque),
            ..
        } => return Verdict::NotDecided(Doubt::OpaqueAbove(*opaque)),
        Judgement::Refuted {
            at, left, right, ..
        } => (at, *left, *right),
    };
    let slip = judge::ask(asker, &data, |zero| WhichSlip {
        step: Arc::clone(&step),
        zero,
        at: at.clone(),
    });
    let (slip, fix) = slips::told(book.text, members, slip.found);
    Verdict::DoesNotFollow {
        values: (at.iter())
            .map(|(symbol, axis, value)| (names.symbol(*symbol), *axis, *value))
            .collect(),
        left,
        right,
        slip,
        fix,
    }
}

/// The data, by the symbols of a step.
pub(super) fn data(book: &Book<'_>, names: &Names) -> Point {
    let data = book.data().filter_map(|(symbol, axis, value)| {
        let own = names.number(symbol)?;
        Some((algebraic::symbol(own, axis), value))
    });
    Point::new(data.collect())
}

fn told(proof: &Proof, premises: &[Premise<'_>], names: &Names, members: &[Expr]) -> Verdict {
    let place = (members.first()).map_or_else(Default::default, |member| member.span);
    let symbols = |all: &[_]| all.iter().map(|symbol| names.symbol(*symbol)).collect();
    Verdict::Follows {
        by: grounds(premises, &proof.by),
        leaned: symbols(&proof.leaned),
        taking: symbols(&proof.taking),
        not_zero: (proof.not_zero.iter())
            .map(|divisor| names.formula(divisor, place))
            .collect(),
    }
}

/// The grounds of a proof, each once, in the order of the worksheet.
fn grounds(premises: &[Premise<'_>], used: &[usize]) -> Vec<Ground> {
    let mut found: Vec<Ground> = Vec::new();
    for premise in used.iter().filter_map(|at| premises.get(*at)) {
        if !found.contains(&premise.ground) {
            found.push(premise.ground.clone());
        }
    }
    found
}

/// What is said about a step that does not follow, or is not decided.
pub(super) fn diagnostic(
    book: &Book<'_>,
    statement: &Statement,
    verdict: &Verdict,
) -> Option<Diagnostic> {
    match verdict {
        Verdict::Follows { .. } => None,
        Verdict::DoesNotFollow {
            values,
            left,
            right,
            slip,
            fix,
        } => {
            let at: Vec<String> = values
                .iter()
                .map(|(symbol, axis, value)| {
                    let key = &book.resolved.symbols.symbol(*symbol).key;
                    let axis = axis.map_or(String::new(), |axis| format!(".{}", axis.letter()));
                    format!("{key}{axis} = {}", number(*value))
                })
                .collect();
            let place = if at.is_empty() {
                String::new()
            } else {
                format!("for {} ", at.join(", "))
            };
            let message = format!(
                "this does not follow from what stands above: {place}its sides are {} and {}",
                number(*left),
                number(*right)
            );
            let help = slip.clone().unwrap_or_else(|| {
                "the step put right, or the equation that it needs above it".to_owned()
            });
            Some(
                Diagnostic::error(Code::A01, statement.span, message)
                    .with_help(help)
                    .with_fixes(fix.clone()),
            )
        }
        Verdict::NotDecided(why) => {
            let code = match why {
                Doubt::Tried(Undecided::Effort(_))
                | Doubt::Opaque(Opaque::Effort)
                | Doubt::OpaqueAbove(Opaque::Effort) => Code::A05,
                Doubt::Tried(Undecided::Agreeing(_) | Undecided::Nowhere)
                | Doubt::Opaque(_)
                | Doubt::OpaqueAbove(_)
                | Doubt::Refused
                | Doubt::Nothing
                | Doubt::NotLookedAt => Code::A02,
            };
            Some(
                Diagnostic::warning(
                    code,
                    statement.span,
                    format!("this step is not decided: {why}"),
                )
                .with_help("a smaller step, or the equation that it needs above it"),
            )
        }
    }
}

/// A number of an example, to four figures without trailing zeros.
fn number(value: f64) -> String {
    let text = quantity::to_figures(value, 4).text();
    if text.contains('.') && !text.contains('×') {
        text.trim_end_matches('0').trim_end_matches('.').to_owned()
    } else {
        text
    }
}
