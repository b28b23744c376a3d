//! Which term of a balance an author has otherwise: the balance with a change, which agrees.
//!
//! Numbers at a few points tell which changes may be meant, and each costs an addition there; what
//! they leave is proved before it is said.

use super::changes::{self, Change, Instead, Place, Terms};
use super::numbers::{Column, Stated};
use super::stages::Stage;
use super::{Compared, Difference, Follows, How};
use crate::algebra::Id;
use crate::diagnostic::Code;
use crate::resolve::components::sum_of;
use crate::resolve::statement::{Misread, Multiplied, WrittenTerm};
use crate::resolve::{Expr, ExprKind, Term};
use crate::syntax::ATMOSPHERE;
use crate::text::Span;

/// So many pairs of changes that agree in numbers are tried to be proved.
const MOST_PAIRS: usize = 4;

/// A term of the author's equation.
struct Own {
    /// As it stands there.
    written: Expr,
    /// What it comes to: where it stands in a bracket, with the factors of that.
    whole: Expr,
    /// Whether it counts minus in the left side less the right one.
    is_negative: bool,
    /// Whether it stands in a bracket.
    is_in_a_bracket: bool,
    read: Option<Id>,
}

/// All that is tried.
struct Slips<'c, 'a, 'b> {
    compared: &'c Compared<'a, 'b>,
    own: &'c Stated,
    derived: &'c Stated,
    terms: Terms,
    changes: Vec<Change>,
    /// What each change takes out and puts in, as it is read.
    read: Vec<Option<(Id, Option<Id>)>>,
    misread: Vec<(Misread, Stated)>,
    author: Vec<Own>,
}

/// How and with what an equation is held against changes of the balance.
type Looked<'a, 'l> = (How, &'l Stage<'a>);

/// What all comes to at some points.
struct Columns {
    own: Column,
    derived: Column,
    /// The balance with each change.
    changed: Vec<Option<Column>>,
    /// The equation without each of its terms.
    without: Vec<Option<Column>>,
}

impl<'a> Compared<'a, '_> {
    /// The change with which the balance agrees with the equation, proved.
    pub(super) fn slip(
        &self,
        stages: &[Stage<'a>],
        own: &Stated,
        derived: &Stated,
    ) -> Option<Difference> {
        let terms = Terms::new(self.meant);
        let changes = terms.changes(self.meant, self.book.text);
        let read = |formula: &Expr| self.numbers.borrow_mut().formula(formula);
        let mut known: Vec<(Place, Option<Id>)> = Vec::new();
        known.extend((terms.places()).map(|place| (place, read(&terms.at(place).whole()))));
        let of_change = |change: &Change| {
            let (_, old) = known.iter().find(|(place, _)| *place == change.place)?;
            let new = match &change.instead {
                Instead::Times(_) => None,
                Instead::Other(instead) => Some(read(&instead.whole())?),
            };
            Some(((*old)?, new))
        };
        let misread = self.meant.misread().into_iter().map(|misread| {
            let equation = self.stated(&misread.written.members());
            (misread, equation)
        });
        let slips = Slips {
            own,
            derived,
            read: changes.iter().map(of_change).collect(),
            misread: misread.collect(),
            author: self.own_terms(),
            terms,
            changes,
            compared: self,
        };
        slips.found(stages)
    }

    /// The terms of the author's equation, also those in brackets.
    fn own_terms(&self) -> Vec<Own> {
        let mut found = Vec::new();
        if let [left, right] = self.members {
            add_terms(left, false, &mut found);
            add_terms(right, true, &mut found);
        }
        for own in &mut found {
            own.read = self.numbers.borrow_mut().formula(&own.whole);
        }
        found
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
        self.difference(code, self.place(), message)
    }

    fn difference(&self, code: Code, place: Span, message: String) -> Difference {
        Difference {
            code,
            place,
            message,
            help: format!("`{}`", self.typed_equation()),
            fix: Some(self.derived_instead()),
        }
    }

    /// That nothing in the sketch makes a term of the author.
    fn told_of_a_foreign_one(&self, term: &Own) -> Difference {
        let written = term.written.span.of(self.book.text);
        let place = term.written.span;
        let balance = &self.meant.words;
        if let Some((why, made)) = self.nothing(&term.whole) {
            let message = format!("`{written}` is nothing in {balance}: {why}");
            let told = self.difference(Code::B06, place, message);
            return match made {
                Some(made) => Difference {
                    help: format!("{made}, or {}", told.help),
                    ..told
                },
                None => told,
            };
        }
        let sketch = &self.meant.sketch.label;
        let message = format!(
            "`{written}` stands in the equation, and nothing in the sketch `{sketch}` makes it in {balance}"
        );
        Difference {
            help: format!(
                "a line in the sketch that makes it, or `{}`",
                self.typed_equation()
            ),
            ..self.difference(Code::B05, place, message)
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
}

/// Adds the terms of a side, and those of brackets among the factors of one.
fn add_terms(side: &Expr, is_negative: bool, found: &mut Vec<Own>) {
    match &side.inside().kind {
        ExprKind::Sum(terms) => {
            for term in terms.iter() {
                add_terms(&term.expr, is_negative != term.negative, found);
            }
        }
        ExprKind::Negative(inner) => add_terms(inner, !is_negative, found),
        ExprKind::Number(0.0) | ExprKind::Numeral(0.0) => {}
        _ => {
            let mut add = |is_negative, written: &Expr, whole: Expr, is_in_a_bracket| {
                found.push(Own {
                    written: written.clone(),
                    whole,
                    is_negative,
                    is_in_a_bracket,
                    read: None,
                });
            };
            add(is_negative, side, side.clone(), false);
            for (turns, written, whole) in changes::bracket(side) {
                add(is_negative != turns, &written, whole, true);
            }
        }
    }
}

impl<'a> Slips<'_, 'a, '_> {
    fn found(&self, stages: &[Stage<'a>]) -> Option<Difference> {
        let looks = || {
            let all = [How::Same, How::Following].into_iter();
            all.flat_map(|how| stages.iter().map(move |stage| (how, stage)))
        };
        let same = || looks().filter(|(how, _)| *how == How::Same);
        // What is the very balance with one change is told before what is a multiple of it.
        looks()
            .find_map(|looked| self.one(looked))
            .or_else(|| same().find_map(|looked| self.replaced(looked)))
            // What stands in a bracket makes another form of a term before it is a foreign one.
            .or_else(|| same().find_map(|looked| self.foreign_in_a_bracket(looked)))
            .or_else(|| looks().find_map(|looked| self.two(looked)))
            .or_else(|| same().find_map(|looked| self.one_and_a_foreign_one(looked)))
    }

    /// What all comes to where an equation holds, or where names are what is put in for them;
    /// nothing where that holds nowhere: from what holds nowhere nothing follows.
    fn columns(&self, (how, stage): Looked<'a, '_>, equation: &Stated) -> Option<Columns> {
        let mut numbers = self.compared.numbers.borrow_mut();
        let points = numbers.places(how, stage.number, equation)?;
        let own = numbers.column_of(&points, self.own)?;
        let derived = numbers.column_of(&points, self.derived)?;
        let mut column = |id: Option<Id>| numbers.column(&points, id?);
        let changed = |(change, read): (&Change, &Option<(Id, Option<Id>)>)| {
            let (old, new) = (*read)?;
            let term = self.terms.at(change.place);
            let old = column(Some(old))?;
            Some(match &change.instead {
                Instead::Times(factor) => derived.plus((factor - 1.0) * sign(term), &old),
                Instead::Other(instead) => {
                    (derived.plus(-sign(term), &old)).plus(sign(instead), &column(new)?)
                }
            })
        };
        let changed = self.changes.iter().zip(&self.read).map(changed).collect();
        let without = |term: &Own| {
            let sign = if term.is_negative { 1.0 } else { -1.0 };
            Some(own.plus(sign, &column(term.read)?))
        };
        let without = self.author.iter().map(without).collect();
        Some(Columns {
            own,
            derived,
            changed,
            without,
        })
    }

    /// One change, a mistake in the whole, or a term that nothing in the sketch makes.
    fn one(&self, looked: Looked<'a, '_>) -> Option<Difference> {
        let (how, stage) = looked;
        let columns = self.columns(looked, self.own);
        if let Some(columns) = &columns {
            let changed = self.changes.iter().zip(&columns.changed);
            let found = changed
                .filter(|(_, column)| column.as_ref().is_some_and(|it| columns.may_be(how, it)))
                .map(|(change, _)| change)
                .find(|change| self.is_proved(looked, &[change]));
            if let Some(change) = found {
                return Some(self.told(change, looked));
            }
            let misread = self
                .misread
                .iter()
                .find(|(_, it)| self.compared.agree_so(how, stage, self.own, it) == Follows::Yes);
            if let Some((misread, _)) = misread {
                return Some(self.compared.told_of_all(misread));
            }
        }
        let columns = match how {
            How::Same => columns,
            How::Following => self.columns(looked, self.derived),
        };
        self.foreign(looked, &columns?, false)
    }

    fn foreign_in_a_bracket(&self, looked: Looked<'a, '_>) -> Option<Difference> {
        self.foreign(looked, &self.columns(looked, self.own)?, true)
    }

    /// A term of the author that nothing in the sketch makes.
    fn foreign(
        &self,
        looked: Looked<'a, '_>,
        columns: &Columns,
        is_in_a_bracket: bool,
    ) -> Option<Difference> {
        let (how, stage) = looked;
        let may_be = |without: &Column| match how {
            How::Same => without.is_or_opposes(&columns.derived),
            How::Following => without.is_nothing(),
        };
        let all = self.author.iter().zip(&columns.without);
        let found = all
            .filter(|(term, _)| term.is_in_a_bracket == is_in_a_bracket)
            .filter(|(_, without)| without.as_ref().is_some_and(may_be))
            .map(|(term, _)| term)
            .find(|term| {
                let without = self.without(term);
                let compared = self.compared;
                compared.agree_so(how, stage, self.derived, &without) == Follows::Yes
            });
        Some(self.compared.told_of_a_foreign_one(found?))
    }

    /// A term of the author in the place of a term of the balance, or of a part of one, that is of
    /// the same.
    fn replaced(&self, looked: Looked<'a, '_>) -> Option<Difference> {
        let columns = self.columns(looked, self.own)?;
        let (change, term) = self.with_a_foreign_one(looked, &columns, &|change, term| {
            let formula = self.terms.at(change.place).whole();
            change.is_left_out() && changes::have_a_name_in_common(&formula, &term.whole)
        })?;
        let compared = self.compared;
        let written = term.written.span.of(compared.book.text);
        let found = Change {
            code: Code::B04,
            place: change.place,
            instead: Instead::Times(0.0),
            words: format!("`{written}` stands for it"),
        };
        Some(compared.difference(Code::B04, term.written.span, self.message(&found)))
    }

    /// Two changes, with which the balance agrees with the equation.
    fn two(&self, looked: Looked<'a, '_>) -> Option<Difference> {
        let (how, _) = looked;
        let columns = self.columns(looked, self.own)?;
        let all = || self.changes.iter().zip(&columns.changed).enumerate();
        let pairs = all().flat_map(|(at, (one, own))| {
            let beside = all().skip(at + 1);
            beside.filter_map(move |(_, (two, other))| {
                (one.place.is_beside(two.place)).then_some((
                    [one, two],
                    own.as_ref()?,
                    other.as_ref()?,
                ))
            })
        });
        let [one, two] = pairs
            .filter(|(_, own, other)| {
                columns.may_be(how, &own.plus(1.0, other).plus(-1.0, &columns.derived))
            })
            .map(|(both, ..)| both)
            .take(MOST_PAIRS)
            .find(|both| self.is_proved(looked, both))?;
        let compared = self.compared;
        let message = format!("{}; and {}", self.message(one), self.message(two));
        Some(compared.difference(one.code, compared.place(), message))
    }

    /// A change beside a term that nothing in the sketch makes.
    fn one_and_a_foreign_one(&self, looked: Looked<'a, '_>) -> Option<Difference> {
        let columns = self.columns(looked, self.own)?;
        let (change, term) = self.with_a_foreign_one(looked, &columns, &|_, _| true)?;
        let compared = self.compared;
        let foreign = compared.told_of_a_foreign_one(term);
        let message = format!("{}; and {}", self.message(change), foreign.message);
        Some(compared.difference(change.code, compared.place(), message))
    }

    /// A change and a term of the author, without which his equation is the balance with the
    /// change.
    fn with_a_foreign_one(
        &self,
        looked: Looked<'a, '_>,
        columns: &Columns,
        is_looked_at: &dyn Fn(&Change, &Own) -> bool,
    ) -> Option<(&Change, &Own)> {
        let (how, stage) = looked;
        let changed = self.changes.iter().zip(&columns.changed);
        let all = changed.flat_map(|(change, changed)| {
            let author = self.author.iter().zip(&columns.without);
            author.filter_map(move |(term, without)| {
                let is_it = without.as_ref()?.is_or_opposes(changed.as_ref()?);
                is_it.then_some((change, term))
            })
        });
        all.filter(|(change, term)| is_looked_at(change, term))
            .take(MOST_PAIRS)
            .find(|(change, term)| {
                let (changed, without) = (self.changed(&[change]), self.without(term));
                let compared = self.compared;
                compared.agree_so(how, stage, &without, &changed) == Follows::Yes
            })
    }

    fn is_proved(&self, (how, stage): Looked<'a, '_>, changes: &[&Change]) -> bool {
        let changed = self.changed(changes);
        self.compared.agree_so(how, stage, self.own, &changed) == Follows::Yes
    }

    /// The balance with changes.
    fn changed(&self, changes: &[&Change]) -> Stated {
        let mut changed = self.compared.meant.written.clone();
        changed.terms = self.terms.changed(changes);
        self.compared.stated(&changed.members())
    }

    /// The equation without a term.
    fn without(&self, term: &Own) -> Stated {
        let mut members = self.compared.members.to_vec();
        let taken_off = Term {
            negative: !term.is_negative,
            expr: super::grouped(&term.whole),
        };
        if let Some(left) = members.first_mut() {
            let own = Term {
                negative: false,
                expr: super::grouped(left),
            };
            *left = sum_of(left.span, vec![own, taken_off]);
        }
        self.compared.stated(&members)
    }

    /// What is wrong with a term.
    fn message(&self, change: &Change) -> String {
        let compared = self.compared;
        let meant = compared.meant;
        let term = self.terms.at(change.place);
        let act = match change.place.is_a_part() {
            true => format!(
                "the part `{}` of {}",
                compared.typed_alone(term),
                meant.act(term, compared.book.text)
            ),
            false => meant.act(term, compared.book.text),
        };
        let balance = &meant.words;
        let right_one = compared.typed(term);
        match change.code {
            Code::B02 => format!("{act} is missing: {}", compared.reason(term)),
            Code::B03 if self.is_of_both(change) => compared.to_each_other(),
            Code::B03 => format!("{act} has the wrong sign: {}", compared.reason(term)),
            Code::B07 if meant.is_of_a_depth(term) => format!(
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

    /// Of two terms with the wrong sign neither can be blamed.
    fn is_of_both(&self, change: &Change) -> bool {
        change.code == Code::B03 && !change.place.is_a_part() && self.terms.whole.len() == 2
    }

    fn told(&self, change: &Change, looked: Looked<'a, '_>) -> Difference {
        let compared = self.compared;
        let term = self.terms.at(change.place);
        let side = usize::from(term.is_on_the_right).min(compared.members.len() - 1);
        let own = match self.is_of_both(change) {
            true => Some(compared.place()),
            false => self.own_term(change, looked),
        };
        let place = own.unwrap_or(compared.members[side].span);
        compared.difference(change.code, place, self.message(change))
    }

    /// The author's own term that a change is in.
    fn own_term(&self, change: &Change, looked: Looked<'a, '_>) -> Option<Span> {
        if change.is_left_out() {
            return None;
        }
        let (how, _) = looked;
        // With the other sign it is the balance; without it that without the term.
        let (twice, there) = match change.code {
            Code::B03 => (true, None),
            _ => {
                let left_out = self
                    .changes
                    .iter()
                    .position(|it| it.is_left_out() && it.place == change.place)?;
                (false, Some(left_out))
            }
        };
        let equation = there.map(|at| self.changed(&[&self.changes[at]]));
        let columns = self.columns(looked, equation.as_ref().unwrap_or(self.derived))?;
        let there = match there {
            Some(at) => columns.changed[at].as_ref()?,
            None => &columns.derived,
        };
        let mut all = self.author.iter().zip(&columns.without);
        let found = all.find(|(_, without)| {
            let Some(without) = without else {
                return false;
            };
            let own = match twice {
                true => without.plus(1.0, without).plus(-1.0, &columns.own),
                false => without.clone(),
            };
            match how {
                How::Same => own.is_or_opposes(there),
                How::Following => own.is_nothing(),
            }
        });
        found.map(|(term, _)| term.written.span)
    }
}

impl Columns {
    /// Whether the equation may be this one.
    fn may_be(&self, how: How, changed: &Column) -> bool {
        match how {
            How::Same => self.own.is_or_opposes(changed),
            // The equation itself is nothing there.
            How::Following => changed.is_nothing(),
        }
    }
}

/// How a term counts in the left side less the right one.
fn sign(term: &WrittenTerm) -> f64 {
    match term.is_negative != term.is_on_the_right {
        true => -1.0,
        false => 1.0,
    }
}
