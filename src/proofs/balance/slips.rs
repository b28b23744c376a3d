//! Which term of a balance an author has otherwise: the balance with one change, which agrees.

use super::numbers::Stated;
use super::stages::Stage;
use super::{Compared, Difference, Follows, How};
use crate::diagnostic::Code;
use crate::functions::Function;
use crate::resolve::components::sum_of;
use crate::resolve::statement::{Misread, Multiplied, WrittenTerm};
use crate::resolve::{Expr, ExprKind, Factor, Term};
use crate::syntax::{ATMOSPHERE, Operator};
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

/// A balance with a change.
struct Changed {
    change: Change,
    equation: Stated,
}

/// How an equation is held against a balance, or a change of it.
type Looked<'a, 'l> = (How, &'l Stage<'a>, &'l Stated);

/// So many pairs of changes that agree in numbers are tried to be proved.
const MOST_PAIRS: usize = 4;

impl<'a> Compared<'a, '_> {
    /// The change with which the balance agrees with the equation, proved.
    pub(super) fn slip(
        &self,
        stages: &[Stage<'a>],
        own: &Stated,
        derived: &Stated,
    ) -> Option<Difference> {
        let changes = changes(&self.meant.written.terms).into_iter();
        let all: Vec<Changed> = (changes.chain(self.mistaken()))
            .map(|change| Changed {
                equation: self.stated(&self.changed(&[&change])),
                change,
            })
            .collect();
        let misread: Vec<(Misread, Stated)> = (self.meant.misread().into_iter())
            .map(|misread| {
                let equation = self.stated(&misread.written.members());
                (misread, equation)
            })
            .collect();
        // What is the very balance with one change is told before what is a multiple of it.
        for how in [How::Same, How::Following] {
            for stage in stages {
                if !self.is_told_by(how, stage, own) {
                    continue;
                }
                let agrees =
                    |equation: &Stated| self.agree_so(how, stage, own, equation) == Follows::Yes;
                if let Some(found) = all.iter().find(|it| agrees(&it.equation)) {
                    return Some(self.told(&found.change, (how, stage, derived)));
                }
                if let Some((found, _)) = misread.iter().find(|(_, it)| agrees(it)) {
                    return Some(self.told_of_all(found));
                }
                if let Some(found) = self.foreign((how, stage, derived)) {
                    return Some(found);
                }
            }
        }
        self.two_slips(stages, own, derived, &all)
    }

    /// Whether slips can be looked for so: what holds nowhere follows from nothing.
    fn is_told_by(&self, how: How, stage: &Stage<'a>, own: &Stated) -> bool {
        let mut numbers = self.numbers.borrow_mut();
        how == How::Same || numbers.holds_somewhere(stage.number, own)
    }

    /// Two changes of two terms, with which the balance agrees with the equation.
    fn two_slips(
        &self,
        stages: &[Stage<'a>],
        own: &Stated,
        derived: &Stated,
        all: &[Changed],
    ) -> Option<Difference> {
        let equations: Vec<&Stated> = all.iter().map(|it| &it.equation).collect();
        for how in [How::Same, How::Following] {
            for stage in stages {
                let pairs = (self.numbers.borrow_mut()).pairs(
                    how == How::Same,
                    stage.number,
                    own,
                    derived,
                    &equations,
                );
                let found = (pairs.into_iter())
                    .map(|(one, two)| [&all[one].change, &all[two].change])
                    .filter(|[one, two]| one.at != two.at)
                    .take(MOST_PAIRS)
                    .find(|both| {
                        let changed = self.stated(&self.changed(both));
                        self.agree_so(how, stage, own, &changed) == Follows::Yes
                    });
                if let Some(both) = found {
                    let [one, two] = both.map(|change| self.message(change));
                    return Some(Difference {
                        code: both[0].code,
                        place: self.place(),
                        message: format!("{one}; and {two}"),
                        help: format!("`{}`", self.typed_equation()),
                        fix: Some(self.derived_instead()),
                    });
                }
            }
        }
        None
    }

    /// The balance with changes.
    fn changed(&self, changes: &[&Change]) -> Vec<Expr> {
        let mut changed = self.meant.written.clone();
        for change in changes {
            if let Some(instead) = &change.instead {
                changed.terms[change.at] = instead.clone();
            }
        }
        let is_left_out = |at| (changes.iter()).any(|it| it.at == at && it.instead.is_none());
        let terms = changed.terms.into_iter().enumerate();
        changed.terms = terms
            .filter(|(at, _)| !is_left_out(*at))
            .map(|(_, term)| term)
            .collect();
        changed.members()
    }

    /// What is wrong with a term.
    fn message(&self, change: &Change) -> String {
        let term = &self.meant.written.terms[change.at];
        let act = self.meant.act(term, self.book.text);
        let balance = &self.meant.words;
        let right_one = self.typed(term);
        match change.code {
            Code::B02 => format!("{act} is missing: {}", self.reason(term)),
            // Of two terms neither can be blamed.
            Code::B03 if self.meant.written.terms.len() == 2 => self.to_each_other(),
            Code::B03 => format!("{act} has the wrong sign: {}", self.reason(term)),
            Code::B07 if self.meant.is_of_a_depth(term) => format!(
                "{act} {}, and on a depth it is half: {balance} has it as `{right_one}`",
                change.words
            ),
            Code::B07 => format!("{act} {}: {balance} has it as `{right_one}`", change.words),
            _ => format!(
                "{act} has another form: {}; {balance} has it as `{right_one}`",
                change.words
            ),
        }
    }

    fn told(&self, change: &Change, looked: Looked<'a, '_>) -> Difference {
        let term = &self.meant.written.terms[change.at];
        let side = usize::from(term.is_on_the_right).min(self.members.len() - 1);
        let is_of_both = change.code == Code::B03 && self.meant.written.terms.len() == 2;
        let own = match is_of_both {
            true => Some(self.place()),
            false => self.own_term(change, looked),
        };
        Difference {
            code: change.code,
            place: own.unwrap_or(self.members[side].span),
            message: self.message(change),
            help: format!("`{}`", self.typed_equation()),
            fix: Some(self.derived_instead()),
        }
    }

    /// What is taken for something else: another arm, another depth, a speed of the ground.
    fn mistaken(&self) -> impl Iterator<Item = Change> {
        let all = self.meant.mistaken(self.book.text);
        all.into_iter().map(|mistaken| Change {
            code: Code::B04,
            at: mistaken.at,
            instead: Some(mistaken.instead),
            words: mistaken.words,
        })
    }

    /// A mistake in the whole of the balance.
    fn told_of_all(&self, found: &Misread) -> Difference {
        let words = found.words.clone();
        let (code, message) = match found.is_of_signs {
            true => (Code::B03, words),
            false => {
                let right_one = self.typed_equation();
                let balance = &self.meant.words;
                (Code::B04, format!("{words}: {balance} is `{right_one}`"))
            }
        };
        Difference {
            code,
            place: self.place(),
            message,
            help: format!("`{}`", self.typed_equation()),
            fix: Some(self.derived_instead()),
        }
    }

    /// Why a term that nothing in the sketch makes is nothing here, and what would make it.
    fn nothing(&self, term: &Expr) -> Option<(String, Option<String>)> {
        let mut names = Vec::new();
        term.for_each_symbol(&mut |symbol, span| names.push((symbol, span)));
        let is_alike = |formula: &Expr| {
            self.are_same(
                &[term.clone(), super::zero(term.span)],
                &[formula.clone(), super::zero(term.span)],
            )
        };
        let key = |symbol| &*self.book.resolved.symbols.symbol(symbol).key;
        for nothing in self.meant.nothings() {
            if nothing.by == Multiplied::Nothing {
                if is_alike(&nothing.formula) {
                    return Some((nothing.words, None));
                }
                continue;
            }
            let is_air = nothing.by == Multiplied::Atmosphere;
            let pressures = names
                .iter()
                .filter(|(symbol, _)| (key(*symbol) == ATMOSPHERE) == is_air);
            let found = pressures.into_iter().find(|(symbol, span)| {
                let name = Expr {
                    span: *span,
                    kind: ExprKind::Symbol(*symbol),
                };
                is_alike(&super::times(&name, &nothing.formula))
            });
            if let Some((symbol, _)) = found {
                let made = (nothing.lacking)
                    .map(|at| format!("`pressure {}` at {at} in the sketch", key(*symbol)));
                return Some((nothing.words, made));
            }
        }
        None
    }

    /// The author's own term that the change is in.
    fn own_term(&self, change: &Change, looked: Looked<'a, '_>) -> Option<Span> {
        change.instead.as_ref()?;
        if change.code == Code::B03 {
            let found = self.found_by(looked, &|terms, at| {
                terms[at].negative = !terms[at].negative;
            });
            return found.map(|term| term.span);
        }
        let mut without = self.meant.written.clone();
        without.terms.remove(change.at);
        let without = self.stated(&without.members());
        let found = self.found_by((looked.0, looked.1, &without), &taken_out);
        found.map(|term| term.span)
    }

    /// A term of the author that nothing in the sketch makes.
    fn foreign(&self, looked: Looked<'a, '_>) -> Option<Difference> {
        let term = self.found_by(looked, &taken_out)?;
        let written = term.span.of(self.book.text);
        if let Some((why, made)) = self.nothing(&term) {
            let without = format!("`{}`", self.typed_equation());
            return Some(Difference {
                code: Code::B06,
                place: term.span,
                message: format!("`{written}` is nothing in {}: {why}", self.meant.words),
                help: match made {
                    Some(made) => format!("{made}, or {without}"),
                    None => without,
                },
                fix: Some(self.derived_instead()),
            });
        }
        let sketch = &self.meant.sketch.label;
        Some(Difference {
            code: Code::B05,
            place: term.span,
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
        (how, stage, balance): Looked<'a, '_>,
        change: &dyn Fn(&mut Vec<Term>, usize),
    ) -> Option<Expr> {
        for (side, member) in self.members.iter().enumerate() {
            let ExprKind::Sum(terms) = &member.kind else {
                continue;
            };
            for (at, term) in terms.iter().enumerate() {
                let mut changed = terms.to_vec();
                change(&mut changed, at);
                let mut members = self.members.to_vec();
                members[side] = sum_of(member.span, changed);
                let members = self.stated(&members);
                if self.agree_so(how, stage, balance, &members) == Follows::Yes {
                    return Some(term.expr.clone());
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
