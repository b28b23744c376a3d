//! Whether an equation is the balance of a sketch that its author says it is.
//!
//! It agrees where it follows from the derived balance and the balance from it: one way alone
//! would not do, as `0 = 0` follows from anything. Premises come in the order of need, so that a
//! slip is not hidden by what was found from the balance itself.

mod changes;
mod numbers;
mod slips;
mod stages;
mod told;

use std::cell::RefCell;
use std::sync::Arc;

use rustc_hash::FxHashSet;

use super::Ground;
use super::judge::{self, IsProved};
use super::premises::{Book, Premise};
use crate::diagnostic::{Code, Fix};
use crate::questions::Asker;
use crate::resolve::statement::{Another, Continuity, Meant, Origin};
use crate::resolve::{Expr, ExprKind, Factor, SymbolId, Term};
use crate::syntax::Operator;
use crate::text::Span;

use numbers::{Numbers, Ratio, Stated};
use stages::Stage;

pub(super) use told::diagnostic;

/// At most so many sets of balances are tried as premises.
const MOST_SETS: usize = 64;

/// With at most so many terms of an equation its measure is looked for.
const MOST_TERMS: usize = 8;

/// What was found of an equation that is meant to be a balance.
#[derive(Debug, Clone, PartialEq)]
pub enum Agreement {
    /// It is that balance.
    Agrees {
        /// The balances above that were needed.
        with: Vec<Ground>,
    },
    /// It is not.
    Differs(Box<Difference>),
    /// It is another balance of the problem's sketches.
    Another(Box<str>),
    /// Neither is known.
    NotDecided,
}

/// How an equation differs from its balance.
#[derive(Debug, Clone, PartialEq)]
pub struct Difference {
    /// The kind of slip.
    pub code: Code,
    /// Where it is.
    pub place: Span,
    /// What is wrong, in a sentence.
    pub message: String,
    /// What to write instead.
    pub help: String,
    /// The same as an edit.
    pub fix: Option<Fix>,
}

/// An equation beside the balance that it is meant to be.
struct Compared<'a, 'b> {
    book: &'b Book<'a>,
    asker: &'b Asker<'b>,
    origin: Origin,
    members: &'b [Expr],
    meant: &'b Meant,
    derived: Vec<Expr>,
    numbers: RefCell<Numbers<'b>>,
    /// What flows in flows out, where the balance is of something that is carried.
    continuity: Option<Continuity>,
}

/// Whether one follows from another.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Follows {
    Yes,
    No,
    Unknown,
}

/// How two equations are held together.
#[derive(Clone, Copy, PartialEq, Eq)]
enum How {
    /// Whether they say the same in other words.
    Same,
    /// Whether each follows from the other.
    Following,
}

/// What is known of an equation that is meant to be a balance.
pub(super) fn agreement(
    book: &Book<'_>,
    asker: &Asker<'_>,
    origin: Origin,
    doubtful: &FxHashSet<Origin>,
    members: &[Expr],
    meant: &Meant,
) -> Agreement {
    let setting = book.setting(origin);
    let derived = meant.written.members();
    let formulas = members.iter().chain(&derived).chain(meant.quantities());
    let numbers = RefCell::new(Numbers::new(&setting, formulas));
    let compared = Compared {
        book,
        asker,
        origin,
        members,
        meant,
        derived,
        numbers,
        continuity: meant.continuity(),
    };
    compared.agreement(doubtful)
}

impl<'a> Compared<'a, '_> {
    fn agreement(&self, doubtful: &FxHashSet<Origin>) -> Agreement {
        let mut all = self.book.above(self.origin, doubtful, &self.both());
        all.retain(|premise| !self.is_the_same(premise));
        let (balances, others): (Vec<_>, Vec<_>) =
            (all.into_iter()).partition(|premise| self.is_of_a_balance(premise));
        let (mut is_unknown, mut is_unknown_with_balances) = (false, false);
        let (own, derived) = (self.stated(self.members), self.stated(&self.derived));
        let before = others.len();
        let others = self.without_the_balance(others, &derived);
        let mut is_in_them = others.len() < before;
        let stages = self.stages(&others);
        let mut beside = None;
        for stage in &stages {
            match self.agree(stage, &own, &derived) {
                Follows::Yes => return Agreement::Agrees { with: Vec::new() },
                Follows::Unknown if self.is_a_multiple(stage, &own, &derived) => {
                    return Agreement::Agrees { with: Vec::new() };
                }
                Follows::Unknown => is_unknown = true,
                Follows::No => {}
            }
            let beside = beside.get_or_insert_with(|| self.beside());
            let another = beside.iter().find(|(other, members)| {
                // With it among the premises everything that is true agrees.
                let is_among_them = other.is_of_mass && !stage.premises.is_empty();
                // Of what is a square, or carries a factor, the same follows as of another.
                let agrees = match other.is_of_forces {
                    true => self.agree(stage, &own, members),
                    false => self.agree_so(How::Same, stage, &own, members),
                };
                !is_among_them && agrees == Follows::Yes
            });
            if let Some((other, _)) = another {
                return Agreement::Another(other.words.clone());
            }
        }
        let last = stages.last().map_or(&[][..], |it| &it.premises);
        let made = stages.last().map_or(&[][..], |it| &it.made);
        let with = |set: &[&Premise<'a>]| {
            let set = set.iter().map(|premise| (*premise).clone());
            self.stage(last.iter().cloned().chain(set).collect(), made.to_vec())
        };
        let every: Vec<&Premise<'a>> = balances.iter().collect();
        let all = with(&every);
        let is_in_all = self.may_follow(&all, None, &derived);
        // What does not hold with all of them does not with some.
        let sets = match is_in_all || self.may_follow(&all, Some(&derived), &own) {
            true => sets(&balances),
            false => Vec::new(),
        };
        for set in sets {
            let stage = with(&set);
            // With the balance among the premises everything that is true agrees.
            if is_in_all && self.may_follow(&stage, None, &derived) {
                is_in_them = true;
                continue;
            }
            match self.agree(&stage, &own, &derived) {
                Follows::Yes => {
                    let with = set.iter().map(|premise| premise.ground.clone()).collect();
                    return Agreement::Agrees { with };
                }
                Follows::Unknown => is_unknown_with_balances = true,
                Follows::No => {}
            }
        }
        if let Some(found) = self.slip(&stages, &own, &derived) {
            return Agreement::Differs(Box::new(found));
        }
        // What does not hold where all premises and the balance do follows from fewer no more.
        let is_refuted = |stage: &Stage<'a>| !self.may_follow(stage, Some(&derived), &own);
        let is_unknown = match stages.last() {
            _ if is_refuted(&all) => false,
            Some(last) if is_refuted(last) => is_unknown_with_balances,
            _ => is_unknown || is_unknown_with_balances,
        };
        let is_in_them = is_in_them
            && self.may_follow(&all, None, &own)
            && self.proves(&all.premises, self.members);
        match is_unknown || is_in_them {
            true => Agreement::NotDecided,
            false => Agreement::Differs(Box::new(self.somewhere())),
        }
    }

    /// Premises from which the balance does not follow by themselves: with it among them everything
    /// that is true agrees. The lowest of those that make it are left out.
    fn without_the_balance(
        &self,
        mut others: Vec<Premise<'a>>,
        derived: &Stated,
    ) -> Vec<Premise<'a>> {
        let follows = |premises: Vec<Premise<'a>>| {
            let number = self.numbers.borrow_mut().stage(&premises, &[]);
            let mut numbers = self.numbers.borrow_mut();
            numbers.may_follow(number, None, derived) == Some(true)
        };
        while !others.is_empty() && follows(others.clone()) {
            let without = |at: usize| {
                let mut fewer = others.clone();
                fewer.remove(at);
                fewer
            };
            // Where it follows twice, it is nearest to what stands last.
            let makes_it = (0..others.len()).rev().find(|at| !follows(without(*at)));
            others = without(makes_it.unwrap_or(others.len() - 1));
        }
        others
    }

    /// Every other balance of the sketches above.
    fn beside(&self) -> Vec<(Another, Stated)> {
        let all = self.meant.others();
        all.map(|other| {
            let members = self.stated(&other.written.members());
            (other, members)
        })
        .collect()
    }

    fn stated(&self, members: &[Expr]) -> Stated {
        self.numbers.borrow_mut().stated(members.to_vec())
    }

    fn stage(&self, premises: Vec<Premise<'a>>, made: Vec<(SymbolId, Expr)>) -> Stage<'a> {
        let number = self.numbers.borrow_mut().stage(&premises, &made);
        Stage {
            premises,
            made,
            number,
        }
    }

    /// Whether numbers leave it open that an equation follows from another with the premises of a
    /// stage.
    fn may_follow(&self, stage: &Stage<'a>, from: Option<&Stated>, to: &Stated) -> bool {
        let mut numbers = self.numbers.borrow_mut();
        let may = numbers.may_follow(stage.number, from, to);
        may.unwrap_or(true) || numbers.is_unread(stage.number)
    }

    /// The sides of both, by which premises are chosen that have to do with them.
    fn both(&self) -> Vec<Expr> {
        self.members.iter().chain(&self.derived).cloned().collect()
    }

    /// Whether a premise comes from the very balance: it is none for it.
    fn is_the_same(&self, premise: &Premise<'a>) -> bool {
        match &premise.ground {
            Ground::Equation(origin) => self.book.is_of_this_balance(*origin, &self.meant.words),
            Ground::Definition(_) | Ground::Value(_) => false,
        }
    }

    /// Whether a premise comes from a balance.
    fn is_of_a_balance(&self, premise: &Premise<'_>) -> bool {
        match &premise.ground {
            Ground::Equation(origin) => self.book.is_of_a_balance(*origin),
            Ground::Definition(_) | Ground::Value(_) => false,
        }
    }

    /// Whether the one less its right side is a multiple of the other less its own.
    fn is_so_many(&self, left: &[Expr], right: &[Expr], (above, below): (i32, i32)) -> bool {
        let (Some(one), Some(other)) = (difference(left), difference(right)) else {
            return false;
        };
        let times = |of: Expr, number: i32| match number {
            1 => of,
            -1 => Expr {
                span: of.span,
                kind: ExprKind::Negative(Box::new(grouped(&of))),
            },
            _ => times(&numeral(of.span, f64::from(number)), &of),
        };
        self.proves(&[], &[times(one, below), times(other, above)])
    }

    /// Whether an equation is a multiple of another, with what is put in at a stage.
    fn is_proportional(
        &self,
        stage: &Stage<'a>,
        left: &Stated,
        right: &Stated,
        ratio: Ratio,
    ) -> bool {
        let (left, right) = (&left.members[..], &right.members[..]);
        let put_in = stage.put_in(left).zip(stage.put_in(right));
        let (left, right) = match &put_in {
            Some((left, right)) => (&left[..], &right[..]),
            None => (left, right),
        };
        match ratio {
            Ratio::Of(above, below) => self.is_so_many(left, right, (above, below)),
            Ratio::Unknown => [1, -1]
                .iter()
                .any(|it| self.is_so_many(left, right, (*it, 1))),
        }
    }

    /// Whether each follows from the other, with what may be put in.
    fn agree(&self, stage: &Stage<'a>, left: &Stated, right: &Stated) -> Follows {
        match self.agree_so(How::Same, stage, left, right) {
            Follows::Yes => Follows::Yes,
            Follows::No | Follows::Unknown => self.agree_so(How::Following, stage, left, right),
        }
    }

    /// Whether the equation is its balance multiplied or divided by something: by as much as one of
    /// its terms is of the first term there. What is divided by is taken not to be zero.
    fn is_a_multiple(&self, stage: &Stage<'a>, own: &Stated, balance: &Stated) -> bool {
        // Of `0 = 0` everything is a multiple.
        let nothing = [zero(self.meant.span), zero(self.meant.span)];
        let is_nothing = |it: &Stated| {
            self.agree_so(How::Same, stage, it, &self.stated(&nothing)) != Follows::No
        };
        if is_nothing(own) || is_nothing(balance) {
            return false;
        }
        let put_in = |members: &[Expr]| stage.put_in(members).unwrap_or_else(|| members.to_vec());
        let (Some(first), Some(whole), Some(derived)) = (
            terms(&balance.members).into_iter().next(),
            difference(&put_in(&own.members)),
            difference(&put_in(&balance.members)),
        ) else {
            return false;
        };
        let first = put_in(&[first]);
        terms(&own.members)
            .into_iter()
            .take(MOST_TERMS)
            .any(|term| {
                let term = put_in(&[term]);
                self.are_same(
                    &[times(&whole, &first[0]), times(&derived, &term[0])],
                    &nothing,
                )
            })
    }

    /// Whether two equations say the same, with nothing put in.
    fn are_same(&self, left: &[Expr], right: &[Expr]) -> bool {
        let (left, right) = (self.stated(left), self.stated(right));
        self.agree_so(How::Same, &Stage::default(), &left, &right) == Follows::Yes
    }

    /// The left one is that which is held against many.
    fn agree_so(&self, how: How, stage: &Stage<'a>, left: &Stated, right: &Stated) -> Follows {
        match how {
            How::Same => {
                let mut numbers = self.numbers.borrow_mut();
                let ratio = numbers.proportion(stage.number, left, right);
                drop(numbers);
                match ratio {
                    Some(Ratio::Of(1 | -1, 1) | Ratio::Unknown) => {}
                    _ => return Follows::No,
                }
                match ratio.is_some_and(|it| self.is_proportional(stage, left, right, it)) {
                    true => Follows::Yes,
                    false => Follows::Unknown,
                }
            }
            How::Following => {
                let mut numbers = self.numbers.borrow_mut();
                let ratio = numbers.proportion(stage.number, left, right);
                drop(numbers);
                if let Some(ratio) = ratio.filter(|it| matches!(it, Ratio::Of(..)))
                    && self.is_proportional(stage, left, right, ratio)
                {
                    return Follows::Yes;
                }
                let mut both = [(left, right), (right, left)].into_iter();
                if !both.all(|(from, to)| self.may_follow(stage, Some(from), to)) {
                    return Follows::No;
                }
                let (left, right) = (&left.members[..], &right.members[..]);
                let follow_each_other = [(right, left), (left, right)].iter().all(|(from, to)| {
                    let mut all = vec![Premise::stated(self.origin, from)];
                    all.extend(stage.premises.iter().cloned());
                    self.proves(&all, to)
                });
                match follow_each_other {
                    true => Follows::Yes,
                    false => Follows::Unknown,
                }
            }
        }
    }

    fn proves(&self, premises: &[Premise<'a>], members: &[Expr]) -> bool {
        let (step, names) = self.book.step(self.origin, premises, members);
        let step = Arc::new(step);
        let data = || super::step::data(self.book, &names);
        let answer = judge::ask(self.asker, &data, |zero| IsProved {
            step: Arc::clone(&step),
            zero,
        });
        answer.found
    }
}

/// The terms of both sides that are not nothing.
fn terms(members: &[Expr]) -> Vec<Expr> {
    let of_side = |member: &Expr| match &member.kind {
        ExprKind::Sum(terms) => terms.iter().map(|term| term.expr.clone()).collect(),
        _ => vec![member.clone()],
    };
    let all = members.iter().flat_map(of_side);
    all.filter(|term| {
        !matches!(
            term.inside().kind,
            ExprKind::Number(0.0) | ExprKind::Numeral(0.0)
        )
    })
    .collect()
}

fn times(left: &Expr, right: &Expr) -> Expr {
    let factor = |expr: &Expr| Factor {
        operator: Operator::Times,
        expr: grouped(expr),
    };
    Expr {
        span: left.span,
        kind: ExprKind::Product([factor(left), factor(right)].into()),
    }
}

fn grouped(expr: &Expr) -> Expr {
    Expr {
        span: expr.span,
        kind: ExprKind::Group(Box::new(expr.clone())),
    }
}

fn numeral(span: Span, value: f64) -> Expr {
    Expr {
        span,
        kind: ExprKind::Numeral(value),
    }
}

fn zero(span: Span) -> Expr {
    numeral(span, 0.0)
}

/// The left side less the right one; nothing for more than two sides.
fn difference(members: &[Expr]) -> Option<Expr> {
    let [left, right] = members else {
        return None;
    };
    let grouped = |side: &Expr, negative| Term {
        negative,
        expr: grouped(side),
    };
    Some(Expr {
        span: left.span.cover(right.span),
        kind: ExprKind::Sum([grouped(left, false), grouped(right, true)].into()),
    })
}

/// One, two and three of them, in their order.
fn sets<'p, 'a>(balances: &'p [Premise<'a>]) -> Vec<Vec<&'p Premise<'a>>> {
    let mut found: Vec<Vec<&Premise<'_>>> = balances.iter().map(|one| vec![one]).collect();
    for (first, one) in balances.iter().enumerate() {
        for (second, two) in balances.iter().enumerate().skip(first + 1) {
            found.push(vec![one, two]);
            found.extend((balances.iter().skip(second + 1)).map(|three| vec![one, two, three]));
        }
    }
    found.sort_by_key(Vec::len);
    found.truncate(MOST_SETS);
    found
}
