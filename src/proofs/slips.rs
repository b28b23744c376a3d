//! The likely slip in a step that does not follow: the step with one small change, which does.

use super::judge::{Desk, Judge, Values};
use super::mend;
use crate::diagnostic::Fix;
use crate::resolve::slip::{self, Slip};
use crate::resolve::{Expr, SymbolId};
use crate::text::Span;

/// So many changes that agree at the example are tried to be proved.
const MOST_TRIES: usize = 12;

/// Sides that differ by less than this part are the same number here.
const SAME: f64 = 1e-6;

/// A change of a part of the step.
struct Change {
    members: Vec<Expr>,
    /// The part that was changed.
    place: Span,
    kind: Slip,
}

/// The change with which a step follows, as an index into all of them; `at` is where it does not
/// hold as it stands.
pub(super) fn found(judge: &Judge<'_>, at: &Values) -> Option<usize> {
    let mut desks = Desks::new(judge);
    changes(&judge.step.members)
        .into_iter()
        .enumerate()
        // What fails at the same numbers need not be tried to be proved.
        .filter(|(_, change)| desks.given.agrees_at(&change.members, at, SAME))
        .take(MOST_TRIES)
        .collect::<Vec<(usize, Change)>>()
        .into_iter()
        .find(|(_, change)| desks.prove(&change.members))
        .map(|(index, _)| index)
}

/// The slip of a step, as an author would say it, and as an edit.
pub(super) fn told(
    text: &str,
    members: &[Expr],
    slip: Option<usize>,
) -> (Option<String>, Option<Fix>) {
    let Some(change) = slip.and_then(|at| changes(members).into_iter().nth(at)) else {
        return (None, None);
    };
    let sides: Vec<Span> = members.iter().map(|member| member.span).collect();
    let fix = mend::fix(text, &sides, change.place, change.kind);
    (Some(words(text, &change)), fix)
}

/// The desks at which changes of a step are tried, one for each set of known signs.
struct Desks<'j, 'q> {
    judge: &'j Judge<'q>,
    given: Desk<'q>,
    taken: Vec<(Vec<SymbolId>, Desk<'q>)>,
}

impl<'j, 'q> Desks<'j, 'q> {
    fn new(judge: &'j Judge<'q>) -> Self {
        Self {
            judge,
            given: judge.desk_of_given(),
            taken: Vec::new(),
        }
    }

    /// Whether a step follows, be it with its symbol, or all, taken to be positive.
    fn prove(&mut self, members: &[Expr]) -> bool {
        self.judge.is_proved(&mut self.given, members)
            || (self.judge.taken(members).into_iter())
                .any(|taken| self.proves_taking(taken, members))
    }

    fn proves_taking(&mut self, taken: Vec<SymbolId>, members: &[Expr]) -> bool {
        let known = self.taken.iter().position(|(of, _)| *of == taken);
        let at = known.unwrap_or_else(|| {
            let desk = self.judge.desk_taking(&taken);
            self.taken.push((taken, desk));
            self.taken.len() - 1
        });
        let judge = self.judge;
        (self.taken.get_mut(at)).is_some_and(|(_, desk)| judge.is_proved(desk, members))
    }
}

fn words(text: &str, change: &Change) -> String {
    let part = change.place.of(text);
    match change.kind {
        Slip::Sign => format!("it follows with the other sign of `{part}`"),
        Slip::Factor(factor) => format!("it follows with the factor {factor} at `{part}`"),
        Slip::Square => format!("it follows with the square of `{part}`"),
        Slip::NoSquare => format!("it follows with `{part}` without its square"),
        Slip::Function(from, to) => format!(
            "it follows with `{}` instead of `{}` in `{part}`",
            to.name(),
            from.name()
        ),
        Slip::Inverted => format!("it follows with the ratio `{part}` inverted"),
        other => format!("it follows with {}", other.told(part)),
    }
}

/// The step with each single change, signs first.
fn changes(members: &[Expr]) -> Vec<Change> {
    let mut found = Vec::new();
    for at in (0..members.len()).rev() {
        slip::each(&members[at], &slip::of_step, &mut |expr, place, kind| {
            let mut changed = members.to_vec();
            changed[at] = expr;
            found.push(Change {
                members: changed,
                place,
                kind,
            });
        });
    }
    found.sort_by_key(|change| match change.kind {
        Slip::Sign => 0,
        Slip::Factor(_) => 1,
        Slip::Square | Slip::NoSquare => 2,
        Slip::Function(..) => 3,
        Slip::Inverted => 4,
        _ => 5,
    });
    found
}
