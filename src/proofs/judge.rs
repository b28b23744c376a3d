//! A step judged by itself.
//!
//! In go questions that hold a step with everything that its verdict hangs on, out comes what is
//! known of it: whether it follows, and which slip it has. Symbols are numbers here, and premises
//! are told by their places; who asks says the rest in the words of the worksheet.

use std::cell::{Cell, RefCell};
use std::collections::BTreeSet;
use std::hash::{Hash, Hasher};
use std::sync::Arc;

use super::{Doubt, slips};
use crate::algebra::{
    Algebra, Counterexample, Equation, Following, Id, Point, Samples, Sign, Undecided,
};
use crate::questions::{Answered, Asker, Question};
use crate::resolve::algebraic::{self, Algebraic, Opaque};
use crate::resolve::components::{Components, axes, components};
use crate::resolve::setting::{Setting, Signs};
use crate::resolve::{Expr, ExprKind, SymbolId, written};
use crate::syntax::Axis;
use crate::text::Span;

/// A step, with the premises that have to do with it.
#[derive(Debug, PartialEq, Hash)]
pub(super) struct Step {
    pub setting: Setting,
    /// From top to bottom; the exact values of data come first, because they are the last that a
    /// proof should need.
    pub premises: Vec<Equality>,
    /// Its sides.
    pub members: Vec<Expr>,
    /// How many steps of algebra all attempts at it may take together.
    pub effort: u32,
}

/// A premise by its sides.
#[derive(Debug, PartialEq, Hash)]
pub(super) struct Equality {
    /// The symbol that it defines, for a definition of `work` or `given`.
    pub lead: Option<SymbolId>,
    pub sides: Vec<Expr>,
}

/// Does it follow?
#[derive(Debug, PartialEq, Hash)]
pub(super) struct Whether {
    pub step: Arc<Step>,
    /// The divisors that are zero with the data, by their numbers among [`Judged::divisors`].
    pub zero: Vec<usize>,
}

/// Is there a proof of it, whatever it needs?
#[derive(Debug, PartialEq, Hash)]
pub(super) struct IsProved {
    pub step: Arc<Step>,
    /// As for [`Whether`].
    pub zero: Vec<usize>,
}

/// Which slip makes it not follow?
#[derive(Debug, PartialEq)]
pub(super) struct WhichSlip {
    pub step: Arc<Step>,
    /// As for [`Whether`].
    pub zero: Vec<usize>,
    /// Where it does not hold.
    pub at: Values,
}

impl Hash for WhichSlip {
    fn hash<H: Hasher>(&self, state: &mut H) {
        (&self.step, &self.zero).hash(state);
    }
}

/// Symbols, or components of them, with values.
pub(super) type Values = Vec<(SymbolId, Option<Axis>, f64)>;

/// What was found, where none of the divisors is zero with the data but those that were said to be.
#[derive(Debug)]
pub(super) struct Judged<T> {
    pub found: T,
    /// The divisors that were asked about, each once, in their order.
    divisors: Divisors,
}

/// Whether a step follows.
#[derive(Debug)]
pub(super) enum Judgement {
    /// It does.
    Follows(Proof),
    /// It does not, as at these values what was read of its premises holds.
    Refuted {
        at: Values,
        left: f64,
        right: f64,
        /// What was not read of them, and may say more.
        unread: Option<Opaque>,
    },
    /// Neither is known.
    NotDecided(Doubt),
}

/// A proof; each part as in [`super::Verdict::Follows`], premises by their places, from the first.
#[derive(Debug, Clone)]
pub(super) struct Proof {
    pub by: Vec<usize>,
    pub leaned: Vec<SymbolId>,
    pub taking: Vec<SymbolId>,
    pub not_zero: Vec<Expr>,
}

impl Question for Whether {
    type Answer = Judged<Judgement>;

    fn answer(&self) -> Self::Answer {
        let judge = Judge::new(&self.step, &self.zero, self.step.effort);
        judge.judged(Judge::judgement)
    }

    fn size(&self) -> usize {
        self.step.size()
    }
}

impl Question for IsProved {
    type Answer = Judged<bool>;

    fn answer(&self) -> Self::Answer {
        let judge = Judge::new(&self.step, &self.zero, self.step.effort);
        judge.judged(|judge| {
            let members = &judge.step.members;
            let shows = |mut desk| judge.is_shown(&mut desk, members);
            // With all taken to be positive whatever follows with fewer does.
            shows(judge.desk_of_given())
                || (judge.taken(members).last())
                    .is_some_and(|taken| shows(judge.desk_taking(taken)))
        })
    }

    fn size(&self) -> usize {
        self.step.size()
    }
}

impl Question for WhichSlip {
    /// An index into the changes of the sides.
    type Answer = Judged<Option<usize>>;

    fn answer(&self) -> Self::Answer {
        let judge = Judge::new(&self.step, &self.zero, self.step.effort / SLIPS);
        judge.judged(|judge| slips::found(judge, &self.at))
    }

    fn size(&self) -> usize {
        self.step.size()
    }
}

impl Step {
    fn size(&self) -> usize {
        let premises = self.premises.iter().flat_map(|premise| &premise.sides);
        let sides = premises.chain(&self.members);
        self.setting.size() + sides.map(Expr::size).sum::<usize>()
    }
}

/// Asks a question as far as the data tell which divisors are zero.
pub(super) fn ask<Q, T>(
    asker: &Asker<'_>,
    data: &dyn Fn() -> Point,
    question: impl Fn(Vec<usize>) -> Q,
) -> Arc<Answered<Q>>
where
    Q: Question<Answer = Judged<T>>,
{
    let mut zero = Vec::new();
    loop {
        let answer = asker.ask(question(zero.clone()));
        match answer.divisors.next_zero(&zero, data) {
            Some(next) => zero.push(next),
            None => return answer,
        }
    }
}

/// Expressions that a proof takes to differ from zero.
#[derive(Debug, Default)]
struct Divisors {
    algebra: Algebra,
    found: Vec<Id>,
}

impl Divisors {
    /// The number of a divisor of some algebra.
    fn number(&mut self, algebra: &Algebra, divisor: Id) -> usize {
        let own = self.algebra.keep(algebra, divisor);
        let known = self.found.iter().position(|known| *known == own);
        known.unwrap_or_else(|| {
            self.found.push(own);
            self.found.len() - 1
        })
    }

    /// The first that is zero with the data, beside those that are known to be.
    fn next_zero(&self, known: &[usize], data: &dyn Fn() -> Point) -> Option<usize> {
        if self.found.is_empty() {
            return None;
        }
        let mut data = data();
        let mut is_zero = |divisor: Id| data.value(&self.algebra, divisor).abs() < 1e-12;
        (self.found.iter().enumerate())
            .find(|(at, divisor)| !known.contains(at) && is_zero(**divisor))
            .map(|(at, _)| at)
    }
}

/// Looks at a step.
///
/// Premises are in canonical form once for each set of known signs, and each attempt is made once:
/// a slip is looked for among many changes of a step, all of which stand below the same premises
/// and hold the same symbols.
pub(super) struct Judge<'q> {
    pub step: &'q Step,
    zero: &'q [usize],
    /// The premises that are looked at, by their places.
    among: RefCell<Vec<usize>>,
    divisors: RefCell<Divisors>,
    /// How many steps of algebra are left.
    left: Cell<u32>,
}

/// An algebra that knows some signs, with the premises in it.
pub(super) struct Desk<'q> {
    algebraic: Algebraic<'q>,
    premises: Premises,
    samples: Samples,
    /// Whether some of the signs are not given but taken.
    is_taken: bool,
}

/// Premises in canonical form.
#[derive(Default)]
struct Premises {
    equations: Vec<Equation>,
    /// The premise of each.
    places: Vec<usize>,
    /// What the algebra does not look into in one of them.
    unread: Option<Opaque>,
}

/// A slip is sought with a part of the effort of the step.
const SLIPS: u32 = 4;

/// More signs than this are not looked at one by one.
const MOST_SIGNS: usize = 12;

impl<'q> Judge<'q> {
    fn new(step: &'q Step, zero: &'q [usize], effort: u32) -> Self {
        Self {
            step,
            zero,
            among: RefCell::new((0..step.premises.len()).collect()),
            divisors: RefCell::default(),
            left: Cell::new(effort),
        }
    }

    /// Counts the steps that an algebra took since it was last looked at, and lets it take what is
    /// left.
    fn spend(&self, algebra: &mut Algebra) {
        self.left
            .set(self.left.get().saturating_sub(algebra.steps()));
        algebra.rest();
        algebra.allow(self.left.get());
    }

    fn judged<T>(self, find: impl FnOnce(&Self) -> T) -> Judged<T> {
        let found = find(&self);
        let divisors = self.divisors.into_inner();
        Judged { found, divisors }
    }

    /// Whether the step follows from its premises.
    fn judgement(&self) -> Judgement {
        let members = &self.step.members;
        let given = &self.step.setting.signs;
        let first = match self.decided(&mut self.desk_of_given(), members) {
            Ok(first) => first,
            Err(opaque) => return Judgement::NotDecided(Doubt::Opaque(opaque)),
        };
        if let Judgement::Follows(proof) = first {
            return Judgement::Follows(self.least(proof, &[], given));
        }
        match (self.with_positive(), first) {
            (Some(proof), _) => Judgement::Follows(proof),
            // With more effort it might follow.
            (None, Judgement::NotDecided(Doubt::Tried(why))) if self.left.get() == 0 => {
                let points = match why {
                    Undecided::Agreeing(points) | Undecided::Effort(points) => points,
                    Undecided::Nowhere => 0,
                };
                Judgement::NotDecided(Doubt::Tried(Undecided::Effort(points)))
            }
            (None, first) => first,
        }
    }

    /// A desk that knows the given signs.
    pub fn desk_of_given(&self) -> Desk<'q> {
        self.desk(&self.step.setting.signs, false)
    }

    /// A desk at which some symbols are taken to be positive, too.
    pub fn desk_taking(&self, taken: &[SymbolId]) -> Desk<'q> {
        self.desk(&self.signs_with(taken), true)
    }

    fn desk(&self, signs: &Signs, is_taken: bool) -> Desk<'q> {
        let mut algebraic = Algebraic::new(&self.step.setting, signs);
        self.spend(&mut algebraic.algebra);
        let premises = self.premises(&mut algebraic);
        self.spend(&mut algebraic.algebra);
        Desk {
            algebraic,
            premises,
            samples: Samples::default(),
            is_taken,
        }
    }

    fn premises(&self, algebraic: &mut Algebraic<'_>) -> Premises {
        let mut found = Premises::default();
        for place in self.among.borrow().iter().copied() {
            let premise = &self.step.premises[place];
            let lead = premise.lead.map(|symbol| Expr {
                span: Span::default(),
                kind: ExprKind::Symbol(symbol),
            });
            match pairs(
                &self.step.setting,
                lead.iter().chain(&premise.sides),
                algebraic,
            ) {
                Ok(equations) => {
                    found.places.extend(equations.iter().map(|_| place));
                    found.equations.extend(equations);
                }
                Err(opaque) => found.unread = Some(opaque),
            }
        }
        found
    }

    /// The given signs and those that are taken to be positive beside them, first the least.
    ///
    /// A step such as `V = sqrt(2 g h)` takes the positive root; whoever writes it so takes `V` to
    /// be positive, and the verdict says so. Where that is not enough, all symbols of unknown sign
    /// are taken to be.
    pub fn taken(&self, members: &[Expr]) -> Vec<Vec<SymbolId>> {
        let setting = &self.step.setting;
        let unknown = |symbol: &SymbolId| !setting.signs.contains_key(symbol);
        let lead = members.first().and_then(Expr::as_symbol).filter(unknown);
        let lead: Vec<SymbolId> = lead.into_iter().collect();
        let all = setting.symbols().filter(unknown).collect();
        let mut attempts = vec![lead, all];
        attempts.dedup();
        attempts.retain(|taken| !taken.is_empty());
        attempts
    }

    /// The given signs with some symbols taken to be positive.
    fn signs_with(&self, taken: &[SymbolId]) -> Signs {
        let mut signs = self.step.setting.signs.clone();
        signs.extend(taken.iter().map(|symbol| (*symbol, Sign::POSITIVE)));
        signs
    }

    fn with_positive(&self) -> Option<Proof> {
        let members = &self.step.members;
        self.taken(members).into_iter().find_map(|taken| {
            let signs = self.signs_with(&taken);
            let mut desk = self.desk(&signs, true);
            let (used, not_zero) = self.proof(&mut desk, members)?;
            let found = desk.proved(&used, &not_zero);
            Some(self.least(found, &taken, &signs))
        })
    }

    /// The proof that asks least: of the data first, then of what stands above. By fewer premises
    /// it may take fewer signs, or more.
    fn least(&self, proof: Proof, taken: &[SymbolId], signs: &Signs) -> Proof {
        let all = self.among.borrow().clone();
        let short = self.with_needed_premises(proof.clone(), taken, signs);
        let short = self.with_needed_signs(short, taken, signs);
        self.among.replace(all);
        let own = self.with_needed_signs(proof, taken, signs);
        let asked = |proof: &Proof| {
            let of_data = proof.leaned.len() + proof.taking.len() + proof.not_zero.len();
            (of_data, proof.by.len())
        };
        if asked(&short) < asked(&own) {
            short
        } else {
            own
        }
    }

    /// A proof with only those signs without which there is none.
    fn with_needed_signs(&self, proof: Proof, taken: &[SymbolId], signs: &Signs) -> Proof {
        let needed = self.needed(proof.leaned.clone(), taken, signs);
        // With fewer signs it may take other premises.
        let proof = match needed == proof.leaned {
            true => proof,
            false => self.with_signs(&needed, taken, signs).unwrap_or(proof),
        };
        let (taking, leaned) = (needed.into_iter()).partition(|symbol| taken.contains(symbol));
        Proof {
            leaned,
            taking,
            ..proof
        }
    }

    /// A proof with only those premises without which there is none, the first of which are the
    /// last that it should need; only they are looked at then.
    fn with_needed_premises(&self, mut proof: Proof, taken: &[SymbolId], signs: &Signs) -> Proof {
        let every: Vec<SymbolId> = signs.keys().copied().collect();
        let mut at = 0;
        while at < proof.by.len() {
            let mut fewer = proof.by.clone();
            fewer.remove(at);
            self.among.replace(fewer);
            let shorter = self.with_signs(&every, taken, signs);
            // What is divided by is to ask of the data, too.
            match shorter.filter(|it| it.not_zero.len() <= proof.not_zero.len()) {
                Some(shorter) => proof = shorter,
                None => at += 1,
            }
        }
        self.among.replace(proof.by.clone());
        proof
    }

    /// A proof with the signs of these symbols only, beside which divisors may be known to differ
    /// from zero by the others.
    fn with_signs(&self, known: &[SymbolId], taken: &[SymbolId], signs: &Signs) -> Option<Proof> {
        let mut fewer = signs.clone();
        fewer.retain(|symbol, _| known.contains(symbol));
        let is_taken = taken.iter().any(|symbol| known.contains(symbol));
        let mut desk = self.desk(&fewer, is_taken);
        let Ok(Judgement::Follows(mut proof)) = self.decided(&mut desk, &self.step.members) else {
            return None;
        };
        let mut all = Algebraic::new(&self.step.setting, signs);
        self.spend(&mut all.algebra);
        proof.not_zero.retain(|divisor| {
            let divisor = all.canonical(divisor);
            divisor.is_ok_and(|divisor| !all.algebra.sign(divisor).is_not_zero())
        });
        self.spend(&mut all.algebra);
        Some(proof)
    }

    /// Of the symbols whose signs were looked at, those without which there is no proof.
    fn needed(&self, looked_at: Vec<SymbolId>, taken: &[SymbolId], signs: &Signs) -> Vec<SymbolId> {
        let mut kept = looked_at;
        if kept.is_empty() {
            return kept;
        }
        let proves = |known: &[SymbolId]| {
            let mut signs = signs.clone();
            signs.retain(|symbol, _| known.contains(symbol));
            let is_taken = taken.iter().any(|symbol| known.contains(symbol));
            self.is_proved(&mut self.desk(&signs, is_taken), &self.step.members)
        };
        if proves(&[]) {
            return Vec::new();
        }
        // None at all was tried already.
        if kept.len() > MOST_SIGNS || kept.len() == 1 {
            return kept;
        }
        let mut at = 0;
        while at < kept.len() {
            let mut fewer = kept.clone();
            fewer.remove(at);
            if proves(&fewer) {
                kept = fewer;
            } else {
                at += 1;
            }
        }
        kept
    }

    /// Whether a step, or a change of it, is proved with what a desk knows.
    pub fn is_proved(&self, desk: &mut Desk<'_>, members: &[Expr]) -> bool {
        self.proof(desk, members).is_some()
    }

    /// The same, first without looking for what a proof needs.
    fn is_shown(&self, desk: &mut Desk<'_>, members: &[Expr]) -> bool {
        let Ok(claims) = self.claims(desk, members) else {
            return false;
        };
        let premises = &desk.premises.equations;
        let shown = desk.algebraic.algebra.all_shown(&claims, premises);
        let is_about = |divisors: &Vec<Id>| self.is_about_something(desk, &claims, divisors);
        let is_enough = shown.as_ref().is_some_and(is_about);
        self.spend(&mut desk.algebraic.algebra);
        // It may divide by less.
        is_enough || shown.is_some() && self.is_proved(desk, members)
    }

    /// The premises that a proof needs, and what it takes not to be zero.
    fn proof(&self, desk: &mut Desk<'_>, members: &[Expr]) -> Option<(Vec<usize>, Vec<Id>)> {
        let claims = self.claims(desk, members).ok()?;
        let premises = &desk.premises.equations;
        let proof = (desk.algebraic.algebra).prove_all(&claims, premises);
        let proof = proof.filter(|(_, not_zero)| self.is_about_something(desk, &claims, not_zero));
        self.spend(&mut desk.algebraic.algebra);
        proof
    }

    fn decided(&self, desk: &mut Desk<'_>, members: &[Expr]) -> Result<Judgement, Opaque> {
        let claims = self.claims(desk, members)?;
        let premises = &desk.premises.equations;
        let found = (desk.algebraic.algebra).all_follow(&claims, premises, &desk.samples);
        let judgement = match found {
            Following::Proved { not_zero, .. }
                if !self.is_about_something(desk, &claims, &not_zero) =>
            {
                Judgement::NotDecided(Doubt::Nothing)
            }
            Following::Proved { used, not_zero } => {
                Judgement::Follows(desk.proved(&used, &not_zero))
            }
            Following::Refuted(point) => refuted(point, desk.premises.unread),
            Following::Undecided(why) => Judgement::NotDecided(Doubt::Tried(why)),
        };
        self.spend(&mut desk.algebraic.algebra);
        Ok(judgement)
    }

    /// The sides of a step as equations; effort is counted from here.
    fn claims(&self, desk: &mut Desk<'_>, members: &[Expr]) -> Result<Vec<Equation>, Opaque> {
        let claims = pairs(&self.step.setting, members.iter(), &mut desk.algebraic)?;
        // Constants and numbers with units have their values wherever a claim is tried.
        let fixed = desk.algebraic.fixed().into_iter();
        let fixed = fixed.map(|(symbol, value)| (symbol, (value, value)));
        desk.samples = Samples::new(fixed.collect());
        self.spend(&mut desk.algebraic.algebra);
        Ok(claims)
    }

    /// Whether a proof that divides, or takes symbols to be positive, is about anything: what
    /// stands above can hold so, and no divisor is zero with the data.
    fn is_about_something(
        &self,
        desk: &mut Desk<'_>,
        claims: &[Equation],
        not_zero: &[Id],
    ) -> bool {
        if not_zero.is_empty() && !desk.is_taken {
            return true;
        }
        let algebra = &mut desk.algebraic.algebra;
        let premises = &desk.premises.equations;
        !not_zero
            .iter()
            .any(|divisor| self.is_zero(algebra, *divisor))
            && (claims.iter())
                .all(|claim| algebra.can_hold(*claim, premises, not_zero, &desk.samples))
    }

    /// Whether a divisor is zero with the data.
    fn is_zero(&self, algebra: &Algebra, divisor: Id) -> bool {
        let number = self.divisors.borrow_mut().number(algebra, divisor);
        self.zero.contains(&number)
    }
}

impl Desk<'_> {
    fn proved(&mut self, used: &[usize], not_zero: &[Id]) -> Proof {
        let written = |id: &Id| written::expr(&mut self.algebraic, *id, Span::default());
        let not_zero = not_zero.iter().filter_map(written).collect();
        let places = used.iter().filter_map(|at| self.premises.places.get(*at));
        let by: BTreeSet<usize> = places.copied().collect();
        Proof {
            by: by.into_iter().collect(),
            not_zero,
            leaned: (self.algebraic.algebra.take_leaned().into_iter())
                .filter_map(|symbol| algebraic::of_symbol(symbol).map(|(symbol, _)| symbol))
                .collect(),
            taking: Vec::new(),
        }
    }

    /// Whether the sides of a step agree at a point, to a part of the larger; also where that
    /// cannot be told.
    pub fn agrees_at(&mut self, members: &[Expr], at: &Values, part: f64) -> bool {
        let algebraic = &mut self.algebraic;
        let sides: Result<Vec<_>, _> = (members.iter())
            .map(|member| algebraic.canonical(member))
            .collect();
        let Ok(sides) = sides else {
            return true;
        };
        let at =
            (at.iter()).map(|(symbol, axis, value)| (algebraic::symbol(*symbol, *axis), *value));
        let mut point = Point::new(at.chain(algebraic.fixed()).collect());
        let numbers: Vec<f64> = (sides.iter())
            .map(|side| point.value(&algebraic.algebra, *side))
            .collect();
        numbers.windows(2).all(|pair| {
            let off = (pair[0] - pair[1]).abs();
            off.is_nan() || off <= part * pair[0].abs().max(pair[1].abs())
        })
    }
}

/// The equations between numbers that a chain of sides states: one for each pair of sides and
/// component.
pub(super) fn pairs<'e>(
    setting: &Setting,
    sides: impl Iterator<Item = &'e Expr>,
    algebraic: &mut Algebraic<'_>,
) -> Result<Vec<Equation>, Opaque> {
    let vectors = &setting.vectors;
    let sides: Vec<&Expr> = sides.collect();
    let size = sides.iter().find_map(|side| components(side, vectors));
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
        vectors,
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

fn refuted(point: Counterexample, unread: Option<Opaque>) -> Judgement {
    Judgement::Refuted {
        at: (point.values.into_iter())
            .filter_map(|(symbol, value)| {
                let (symbol, axis) = algebraic::of_symbol(symbol)?;
                Some((symbol, axis, value))
            })
            .collect(),
        left: point.left,
        right: point.right,
        unread,
    }
}
