//! Which term of a balance an author has otherwise: the balance with one change, which agrees.

use super::stages::Stage;
use super::{Compared, Difference, Follows};
use crate::diagnostic::Code;
use crate::functions::Function;
use crate::resolve::components::sum_of;
use crate::resolve::statement::WrittenTerm;
use crate::resolve::{Expr, ExprKind, Factor, Term};
use crate::syntax::Operator;
use crate::text::Span;

/// A change of one term that people make.
struct Change {
    code: Code,
    /// The number of the term.
    at: usize,
    /// What stands in its place.
    instead: Option<WrittenTerm>,
    /// What is said of it.
    words: String,
}

impl<'a> Compared<'a, '_> {
    /// The change with which the balance agrees with the equation, proved.
    pub(super) fn slip(&self, stages: &[Stage<'a>]) -> Option<Difference> {
        let all = || {
            let changes = changes(&self.meant.written.terms).into_iter();
            changes.chain(self.mistaken())
        };
        // What is the very balance with one change is told before what is a multiple of it.
        let same = all().find(|change| self.is_same(self.members, &self.changed(change)));
        if let Some(change) = same {
            return Some(self.told(&change, &Stage::default()));
        }
        for stage in stages {
            let same = all()
                .find(|change| self.is_same_with_speed(stage, self.members, &self.changed(change)));
            let agreed = same.or_else(|| {
                all().find(|change| {
                    let changed = self.changed(change);
                    self.follow_each_other(&stage.premises, self.members, &changed) == Follows::Yes
                })
            });
            if let Some(change) = agreed {
                return Some(self.told(&change, stage));
            }
            if let Some(foreign) = self.foreign(stage) {
                return Some(foreign);
            }
        }
        None
    }

    /// The balance with a change.
    fn changed(&self, change: &Change) -> Vec<Expr> {
        let mut changed = self.meant.written.clone();
        match change.instead.clone() {
            Some(instead) => changed.terms[change.at] = instead,
            None => {
                changed.terms.remove(change.at);
            }
        }
        changed.members()
    }

    fn told(&self, change: &Change, stage: &Stage<'a>) -> Difference {
        let term = &self.meant.written.terms[change.at];
        let act = self.meant.act(term, self.book.text);
        let balance = &self.meant.words;
        let right_one = self.typed(term);
        let message = match change.code {
            Code::B02 => format!("{act} is missing: {}", self.reason(term)),
            // Of two terms neither can be blamed.
            Code::B03 if self.meant.written.terms.len() == 2 => self.to_each_other(),
            Code::B03 => format!("{act} has the wrong sign: {}", self.reason(term)),
            Code::B07 => format!("{act} {}: {balance} has it as `{right_one}`", change.words),
            _ => format!(
                "{act} has another form: {}; {balance} has it as `{right_one}`",
                change.words
            ),
        };
        let side = usize::from(term.is_on_the_right).min(self.members.len() - 1);
        let is_of_both = change.code == Code::B03 && self.meant.written.terms.len() == 2;
        let own = match is_of_both {
            true => Some(self.place()),
            false => self.own_term(change, stage),
        };
        Difference {
            code: change.code,
            place: own.unwrap_or(self.members[side].span),
            message,
            help: format!("`{}`", self.typed_equation()),
            fix: Some(self.derived_instead()),
        }
    }

    /// The forms that its terms are mistaken for.
    fn mistaken(&self) -> impl Iterator<Item = Change> {
        let all = self.meant.mistaken(self.book.text);
        all.into_iter().map(|mistaken| Change {
            code: Code::B04,
            at: mistaken.at,
            instead: Some(mistaken.instead),
            words: mistaken.words,
        })
    }

    /// The author's own term that the change is in.
    fn own_term(&self, change: &Change, stage: &Stage<'a>) -> Option<Span> {
        change.instead.as_ref()?;
        if change.code == Code::B03 {
            return self.found_by(stage, &self.derived, &|terms, at| {
                terms[at].negative = !terms[at].negative;
            });
        }
        let mut without = self.meant.written.clone();
        without.terms.remove(change.at);
        self.found_by(stage, &without.members(), &taken_out)
    }

    /// A term of the author that nothing in the sketch makes.
    fn foreign(&self, stage: &Stage<'a>) -> Option<Difference> {
        let place = self.found_by(stage, &self.derived, &taken_out)?;
        let (written, sketch) = (place.of(self.book.text), &self.meant.sketch.label);
        Some(Difference {
            code: Code::B05,
            place,
            message: format!(
                "`{written}` stands in the equation, and nothing in the sketch `{sketch}` makes it in {}",
                self.meant.words
            ),
            help: format!(
                "a line in the sketch that makes it, or `{}`",
                self.typed_equation()
            ),
            fix: Some(self.derived_instead()),
        })
    }

    /// The term of the author with whose change his equation agrees with a balance.
    fn found_by(
        &self,
        stage: &Stage<'a>,
        derived: &[Expr],
        change: &dyn Fn(&mut Vec<Term>, usize),
    ) -> Option<Span> {
        for (side, member) in self.members.iter().enumerate() {
            let ExprKind::Sum(terms) = &member.kind else {
                continue;
            };
            for (at, term) in terms.iter().enumerate() {
                let mut changed = terms.to_vec();
                change(&mut changed, at);
                let mut members = self.members.to_vec();
                members[side] = sum_of(member.span, changed);
                if self.agree(stage, &members, derived) == Follows::Yes {
                    return Some(term.expr.span);
                }
            }
        }
        None
    }
}

fn taken_out(terms: &mut Vec<Term>, at: usize) {
    terms.remove(at);
}

/// The changes of each term, the commonest slips first.
fn changes(terms: &[WrittenTerm]) -> Vec<Change> {
    let mut found = Vec::new();
    for (at, term) in terms.iter().enumerate() {
        found.push(change(Code::B02, at, None, "it is missing"));
        let mut turned = term.clone();
        turned.is_negative = !turned.is_negative;
        found.push(change(Code::B03, at, Some(turned), "its sign is wrong"));
    }
    for (at, term) in terms.iter().enumerate() {
        let mut add = |code, formula: Option<Expr>, words, both_signs: bool| {
            let Some(formula) = formula else {
                return;
            };
            let as_it_is = WrittenTerm {
                formula,
                ..term.clone()
            };
            if both_signs {
                let mut turned = as_it_is.clone();
                turned.is_negative = !turned.is_negative;
                found.push(change(code, at, Some(turned), words));
            }
            found.push(change(code, at, Some(as_it_is), words));
        };
        add(
            Code::B04,
            exchanged(&term.formula),
            "sine and cosine are exchanged",
            true,
        );
        add(
            Code::B04,
            whole(&term.formula),
            "no component is taken of it",
            true,
        );
        add(
            Code::B07,
            Some(times(&term.formula, 2.0, Operator::Juxtapose)),
            "counts twice here",
            false,
        );
        add(
            Code::B07,
            Some(times(&term.formula, 2.0, Operator::Divide)),
            "counts half here",
            false,
        );
    }
    found
}

fn change(code: Code, at: usize, instead: Option<WrittenTerm>, words: &str) -> Change {
    Change {
        code,
        at,
        instead,
        words: words.to_owned(),
    }
}

/// Sines for cosines and the other way round; nothing where there are none.
fn exchanged(formula: &Expr) -> Option<Expr> {
    let mut other = formula.clone();
    let mut is_changed = false;
    other.change(&mut |part| {
        if let ExprKind::Call { function, .. } = &mut part.kind {
            let exchanged = match function {
                Function::Sin => Function::Cos,
                Function::Cos => Function::Sin,
                _ => return,
            };
            *function = exchanged;
            is_changed = true;
        }
    });
    is_changed.then_some(other)
}

/// Without sines and cosines; nothing where there are none.
fn whole(formula: &Expr) -> Option<Expr> {
    let mut other = formula.clone();
    let mut is_changed = false;
    other.change(&mut |part| {
        let is_component = matches!(
            part.kind,
            ExprKind::Call {
                function: Function::Sin | Function::Cos,
                ..
            }
        );
        if is_component {
            part.kind = ExprKind::Numeral(1.0);
            is_changed = true;
        }
    });
    is_changed.then_some(other)
}

fn times(formula: &Expr, number: f64, operator: Operator) -> Expr {
    let expr = |kind| Expr {
        span: formula.span,
        kind,
    };
    let grouped = expr(ExprKind::Group(Box::new(formula.clone())));
    let number = expr(ExprKind::Numeral(number));
    expr(ExprKind::Product(
        [
            Factor {
                operator: Operator::Juxtapose,
                expr: grouped,
            },
            Factor {
                operator: match operator {
                    Operator::Divide => Operator::Divide,
                    _ => Operator::Times,
                },
                expr: number,
            },
        ]
        .into(),
    ))
}
