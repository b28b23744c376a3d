//! Whether an equation follows from others.
//!
//! In go a claim and its premises, out comes a proof with the premises that it needs, a point at
//! which the premises hold and the claim does not, or neither. A proof solves the premises for
//! some of their symbols, inserts what was found into the claim, and shows that its two sides are
//! then one expression. Numbers can only refute.
//!
//! As on paper, what is divided by is taken not to be zero: a step that fails only where some
//! quantity of the premises vanishes is not refuted.

use std::collections::BTreeSet;

use num_traits::{One, Zero};
use rustc_hash::FxHashMap;

use super::Algebra;
use super::equal::{Counterexample, Undecided};
use super::node::{Id, Node, Symbol};
use super::sample::{MOST_POINTS, Samples, Symbols};
use super::solution::{Requirement, Wanted};

/// Premises beyond so many, counted from the nearest, are not looked at.
const MOST_PREMISES: usize = 16;
/// So many branches of solutions are followed.
const MOST_BRANCHES: usize = 8;
/// For so many symbols of a premise a solution is tried.
const MOST_TRIES: usize = 5;
/// At so many points at which the premises hold the claim is tried.
const ENOUGH_POINTS: usize = 10;
/// So far from each other, as a part of the larger, both sides must be for a refutation: what is
/// inserted was computed, too.
const APART: f64 = 1e-7;

/// A divisor below this, where symbols are of the order of 1, is zero but for rounding.
const VANISHING: f64 = 1e-9;

/// An equation by its sides.
pub type Equation = (Id, Id);

/// A symbol, its values, what was divided by to find them, and whether these are principal values
/// of angles rather than all.
type Pivot = (Symbol, Vec<Id>, BTreeSet<Id>, bool);

/// The verdict on a claim.
#[derive(Debug, Clone, PartialEq)]
pub enum Following {
    /// It follows.
    Proved {
        /// The premises it needs, by index, in their order; none if it is an identity.
        used: Vec<usize>,
        /// What is not known to differ from zero, was divided by, and is no divisor of the claim.
        not_zero: Vec<Id>,
    },
    /// At this point the premises hold and the claim does not.
    Refuted(Counterexample),
    /// Neither was found.
    Undecided(Undecided),
}

/// A proof: the premises it needs, and what was divided by.
struct Proof {
    used: Vec<usize>,
    not_zero: Vec<Id>,
}

/// A claim for which no proof was found.
struct Open {
    ways: Vec<Way>,
    /// Whether all premises that have to do with it were looked at.
    all: bool,
}

/// A way to satisfy premises.
#[derive(Debug, Clone)]
struct Way {
    claim: Equation,
    open: Vec<Equation>,
    /// What was solved for, in order; later ones do not stand in earlier ones any more.
    solved: Vec<(Symbol, Id)>,
    /// What was divided by on the way.
    divisors: BTreeSet<Id>,
    /// Whether one angle of many was taken, which is enough for an example but not for a proof.
    principal: bool,
    /// Premises that were not solved: points at which they do not hold are left out.
    unsolved: Vec<Equation>,
    /// Of which symbols the value zero is left out.
    not_zero: NotZero,
    /// For which symbols premises are solved first.
    first: First,
}

/// For which symbols of a premise it is solved first, of those that the claim does not hold and of
/// the others.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum First {
    /// In the order of their numbers: what is told of a proof is told by that.
    InOrder,
    /// Those in which it is linear, which takes least work and leaves no second value.
    Linear,
}

/// Of which symbols the value zero is left out; it is then told as a divisor.
#[derive(Debug, Clone)]
enum NotZero {
    /// A quantity that an equation holds is not zero: `W sin q = u W cos q` is about `u`.
    All,
    /// In a case in which something is zero: only of these, and what is divided by has to be known
    /// not to be.
    Case {
        symbols: BTreeSet<Symbol>,
        known: BTreeSet<Id>,
    },
}

impl Algebra {
    /// Whether `claim` follows from the `premises`; later ones are nearer and tried first.
    pub fn follows(
        &mut self,
        claim: Equation,
        premises: &[Equation],
        samples: &Samples,
    ) -> Following {
        match self.proof(claim, premises) {
            Ok(Proof { used, not_zero }) => Following::Proved { used, not_zero },
            // What was not looked at may be what the claim follows from.
            Err(Open { all: false, .. }) => Following::Undecided(Undecided::Effort(0)),
            Err(Open { ways, .. }) => self.refute(claim, &ways, samples),
        }
    }

    fn proof(&mut self, claim: Equation, premises: &[Equation]) -> Result<Proof, Open> {
        if self.is_equation_identity(claim) {
            return Ok(Proof {
                used: Vec::new(),
                not_zero: Vec::new(),
            });
        }
        let (related, all) = self.related(claim, premises);
        for at in related.iter().rev() {
            if let Some(divisors) = self.divided_by(claim, &[premises[*at]]) {
                let not_zero = self.conditions(claim, &[premises[*at]], divisors);
                let used = vec![*at];
                return Ok(Proof { used, not_zero });
            }
        }
        let ways = self.ways(claim, &chosen(premises, &related));
        if !self.all_prove(&ways) {
            return Err(Open { ways, all });
        }
        Ok(self.fewest(claim, premises, related, &ways))
    }

    /// The premises that a proof of all the claims needs, and what has to differ from zero for it;
    /// no point is looked for at which one of them does not hold.
    pub fn prove_all(
        &mut self,
        claims: &[Equation],
        premises: &[Equation],
    ) -> Option<(Vec<usize>, Vec<Id>)> {
        let mut used = BTreeSet::new();
        let mut divisors = BTreeSet::new();
        for claim in claims {
            let proof = self.proof(*claim, premises).ok()?;
            used.extend(proof.used);
            divisors.extend(proof.not_zero);
        }
        Some((used.into_iter().collect(), divisors.into_iter().collect()))
    }

    /// Whether all the claims follow, and what was divided by for it; what is not needed of the
    /// premises and of that is not looked for, which takes most of the work of a proof.
    pub fn all_shown(&mut self, claims: &[Equation], premises: &[Equation]) -> Option<Vec<Id>> {
        let mut divisors = BTreeSet::new();
        for claim in claims {
            if self.is_equation_identity(*claim) {
                continue;
            }
            let (related, _) = self.related(*claim, premises);
            let ways = self.ways_by(*claim, &chosen(premises, &related), First::Linear);
            if !self.all_prove(&ways) {
                return None;
            }
            divisors.extend(self.divisors_of_ways(&ways));
        }
        Some(divisors.into_iter().collect())
    }

    /// The same verdict for several claims at once, such as the components of a vector equation:
    /// proved if all are, refuted if one is.
    pub fn all_follow(
        &mut self,
        claims: &[Equation],
        premises: &[Equation],
        samples: &Samples,
    ) -> Following {
        let mut used = BTreeSet::new();
        let mut divisors = BTreeSet::new();
        let mut undecided = None;
        for claim in claims {
            match self.follows(*claim, premises, samples) {
                Following::Proved {
                    used: own,
                    not_zero,
                } => {
                    used.extend(own);
                    divisors.extend(not_zero);
                }
                Following::Refuted(point) => return Following::Refuted(point),
                Following::Undecided(why) => undecided = Some(why),
            }
        }
        match undecided {
            Some(why) => Following::Undecided(why),
            None => Following::Proved {
                used: used.into_iter().collect(),
                not_zero: divisors.into_iter().collect(),
            },
        }
    }

    fn is_equation_identity(&mut self, (left, right): Equation) -> bool {
        if left == right {
            return !self.is_undefined(left);
        }
        let difference = self.subtract(left, right);
        self.is_identically_zero(difference) == Some(true)
    }

    /// The premises that have to do with the claim, directly or through others; the nearest, and
    /// whether these are all.
    fn related(&self, claim: Equation, premises: &[Equation]) -> (Vec<usize>, bool) {
        let symbols_of = |equation: &Equation| self.symbols_of_sides(*equation);
        let symbols: Vec<BTreeSet<Symbol>> = premises.iter().map(symbols_of).collect();
        let mut reached = symbols_of(&claim);
        let mut found = BTreeSet::new();
        loop {
            let next = (0..premises.len())
                .rev()
                .find(|at| !found.contains(at) && !symbols[*at].is_disjoint(&reached));
            match next {
                Some(at) if found.len() < MOST_PREMISES => {
                    reached.extend(&symbols[at]);
                    found.insert(at);
                }
                _ => return (found.into_iter().collect(), next.is_none()),
            }
        }
    }

    fn symbols_of_sides(&self, (left, right): Equation) -> BTreeSet<Symbol> {
        let both = [self.symbols(left), self.symbols(right)];
        both.concat().into_iter().collect()
    }

    /// Whether the claim is an identity on every way, none of which is one angle of many.
    fn all_prove(&mut self, ways: &[Way]) -> bool {
        !ways.is_empty()
            && (ways.iter()).all(|way| !way.principal && self.is_equation_identity(way.claim))
    }

    /// What a proof from these premises divides by that is not known to differ from zero; `None`
    /// without a proof.
    fn divided_by(&mut self, claim: Equation, premises: &[Equation]) -> Option<BTreeSet<Id>> {
        let ways = self.ways(claim, premises);
        self.all_prove(&ways).then(|| self.divisors_of_ways(&ways))
    }

    fn divisors_of_ways(&mut self, ways: &[Way]) -> BTreeSet<Id> {
        let divisors: BTreeSet<Id> = ways.iter().flat_map(|way| way.divisors.clone()).collect();
        self.open_divisors(&divisors)
    }

    /// The factors of divisors that are not known to differ from zero.
    fn open_divisors(&mut self, divisors: &BTreeSet<Id>) -> BTreeSet<Id> {
        let mut found = BTreeSet::new();
        for divisor in divisors {
            found.extend(self.zeros(*divisor));
        }
        found.retain(|divisor| !self.sign(*divisor).is_not_zero());
        found
    }

    /// Of what a proof divided by, that without which the claim need not hold.
    ///
    /// The way that was taken divided, but need not have: a divisor is left out where the claim
    /// follows with it at zero, too, if only what is not left out differs from zero.
    fn conditions(
        &mut self,
        claim: Equation,
        premises: &[Equation],
        mut divisors: BTreeSet<Id>,
    ) -> Vec<Id> {
        // Where a premise or the claim divides itself, it says so already.
        let mut said = BTreeSet::new();
        for (left, right) in premises.iter().chain([&claim]) {
            self.divisors_of(*left, &mut said);
            self.divisors_of(*right, &mut said);
        }
        divisors.retain(|divisor| !said.contains(divisor));
        for divisor in divisors.clone() {
            let mut known: BTreeSet<Id> = divisors.union(&said).copied().collect();
            known.remove(&divisor);
            if self.follows_where_zero(divisor, claim, premises, &known) {
                divisors.remove(&divisor);
            }
        }
        divisors.into_iter().collect()
    }

    /// Whether the claim follows for the case that a divisor is zero, and what is `known` not to be
    /// is not.
    fn follows_where_zero(
        &mut self,
        divisor: Id,
        claim: Equation,
        premises: &[Equation],
        known: &BTreeSet<Id>,
    ) -> bool {
        let zero = self.whole(0);
        let by = FxHashMap::from_iter([(divisor, zero)]);
        let mut all = premises.to_vec();
        all.push(claim);
        let plain = self.with_parts_at(&all, &by);
        // What has no value there says so itself.
        if (plain.iter()).any(|(left, right)| self.is_undefined(*left) || self.is_undefined(*right))
        {
            return true;
        }
        if self.follows_in_case(&plain, known) {
            return true;
        }
        if let Node::Symbol(_) = self.node(divisor) {
            return false;
        }
        let few: Vec<Equation> = (all.iter())
            .map(|(left, right)| (self.rewritten(*left), self.rewritten(*right)))
            .collect();
        let few = self.with_parts_at(&few, &by);
        let mut beside = plain;
        beside.insert(0, (divisor, zero));
        self.follows_in_case(&few, known) || self.follows_in_case(&beside, known)
    }

    /// Equations with parts replaced.
    fn with_parts_at(&mut self, all: &[Equation], by: &FxHashMap<Id, Id>) -> Vec<Equation> {
        (all.iter())
            .map(|(left, right)| (self.substitute(*left, by), self.substitute(*right, by)))
            .collect()
    }

    /// Whether the last equation follows from the others, or these contradict each other: then the
    /// case cannot be.
    fn follows_in_case(&mut self, equations: &[Equation], known: &BTreeSet<Id>) -> bool {
        let Some((claim, premises)) = equations.split_last() else {
            return false;
        };
        let symbols: BTreeSet<Symbol> = (known.iter())
            .filter_map(|id| match self.node(*id) {
                Node::Symbol(symbol) => Some(*symbol),
                _ => None,
            })
            .collect();
        // What the claim is about may become zero with the divisor.
        let about = self.symbols_of_sides(*claim);
        let beside: BTreeSet<Symbol> = symbols.difference(&about).copied().collect();
        [beside, symbols].into_iter().any(|symbols| {
            let known = known.clone();
            let ways = self.ways_with(*claim, premises, NotZero::Case { symbols, known });
            !ways.is_empty()
                && !self.is_exhausted()
                && (ways.iter()).all(|way| {
                    self.cannot_be(way) || !way.principal && self.is_equation_identity(way.claim)
                })
        })
    }

    /// Whether a premise that was left is between two different numbers.
    fn cannot_be(&mut self, way: &Way) -> bool {
        way.unsolved.iter().any(|(left, right)| {
            let difference = self.subtract(*left, *right);
            self.as_number(difference)
                .is_some_and(|number| !number.is_zero())
        })
    }

    /// What stands below a line in an expression.
    fn divisors_of(&self, id: Id, found: &mut BTreeSet<Id>) {
        for part in self.within(id) {
            if let Node::Product(factors) = self.node(part) {
                let below = factors
                    .iter()
                    .filter(|(_, exponent)| exponent.is_negative());
                found.extend(below.map(|(base, _)| *base));
            }
        }
    }

    /// Leaves out the premises that a proof does not need, unless more would have to differ from
    /// zero without them.
    fn fewest(
        &mut self,
        claim: Equation,
        premises: &[Equation],
        mut kept: Vec<usize>,
        ways: &[Way],
    ) -> Proof {
        let divisors = self.divisors_of_ways(ways);
        let mut not_zero = self.conditions(claim, &chosen(premises, &kept), divisors);
        let mut at = 0;
        while at < kept.len() && !self.is_exhausted() {
            let mut fewer = kept.clone();
            fewer.remove(at);
            let without = chosen(premises, &fewer);
            let divided = self.divided_by(claim, &without);
            let conditions = divided.map(|divided| self.conditions(claim, &without, divided));
            match conditions {
                Some(conditions) if conditions.iter().all(|it| not_zero.contains(it)) => {
                    (kept, not_zero) = (fewer, conditions);
                }
                _ => at += 1,
            }
        }
        Proof {
            used: kept,
            not_zero,
        }
    }

    /// Solves the premises one after the other and inserts what is found.
    fn ways(&mut self, claim: Equation, premises: &[Equation]) -> Vec<Way> {
        self.ways_by(claim, premises, First::InOrder)
    }

    fn ways_by(&mut self, claim: Equation, premises: &[Equation], first: First) -> Vec<Way> {
        self.ways_from(claim, premises, NotZero::All, first)
    }

    fn ways_with(&mut self, claim: Equation, premises: &[Equation], not_zero: NotZero) -> Vec<Way> {
        self.ways_from(claim, premises, not_zero, First::InOrder)
    }

    fn ways_from(
        &mut self,
        claim: Equation,
        premises: &[Equation],
        not_zero: NotZero,
        first: First,
    ) -> Vec<Way> {
        let start = Way {
            claim,
            first,
            open: premises.to_vec(),
            solved: Vec::new(),
            divisors: BTreeSet::new(),
            principal: false,
            unsolved: Vec::new(),
            not_zero,
        };
        let mut done = Vec::new();
        let mut open = vec![start];
        while let Some(mut way) = open.pop() {
            if way.open.is_empty() || self.is_exhausted() {
                way.unsolved.append(&mut way.open);
                done.push(way);
                continue;
            }
            // Definitions go first: they are never in the way of anything.
            let defines = |equation: &Equation| self.defined_by(*equation).is_some();
            let next = way.open.iter().position(defines).unwrap_or(0);
            let premise = way.open.remove(next);
            let room = MOST_BRANCHES.saturating_sub(done.len() + open.len());
            open.extend(self.ways_on(&way, premise, room));
        }
        done
    }

    /// The ways on with one premise solved.
    fn ways_on(&mut self, way: &Way, premise: Equation, room: usize) -> Vec<Way> {
        if self.is_equation_identity(premise) {
            return vec![way.clone()];
        }
        let Some((symbol, values, divisors, principal)) =
            self.pivot(way.claim, premise, &way.not_zero, way.first)
        else {
            return vec![leave(way, premise)];
        };
        if values.len() > room.max(1) {
            return vec![leave(way, premise)];
        }
        values
            .into_iter()
            .map(|value| {
                let mut next = self.with(way, symbol, value);
                next.divisors.extend(&divisors);
                next.principal |= principal;
                next
            })
            .collect()
    }

    fn with(&mut self, way: &Way, symbol: Symbol, value: Id) -> Way {
        let id = self.symbol(symbol);
        let mut both = |(left, right): Equation| {
            (
                self.replace(left, id, value),
                self.replace(right, id, value),
            )
        };
        let claim = both(way.claim);
        let open = way.open.iter().map(|equation| both(*equation)).collect();
        let unsolved = way
            .unsolved
            .iter()
            .map(|equation| both(*equation))
            .collect();
        let mut solved = Vec::with_capacity(way.solved.len() + 1);
        for (other, earlier) in &way.solved {
            solved.push((*other, self.replace(*earlier, id, value)));
        }
        solved.push((symbol, value));
        Way {
            claim,
            open,
            solved,
            divisors: way.divisors.clone(),
            principal: way.principal,
            unsolved,
            not_zero: way.not_zero.clone(),
            first: way.first,
        }
    }

    /// The symbol that an equation defines: it stands alone on one side and not on the other.
    fn defined_by(&self, (left, right): Equation) -> Option<(Symbol, Id)> {
        [(left, right), (right, left)]
            .into_iter()
            .find_map(|(alone, other)| match self.node(alone) {
                Node::Symbol(symbol) if !self.contains(other, *symbol) => Some((*symbol, other)),
                _ => None,
            })
    }

    /// A symbol for which a premise can be solved, with all its values: the one it defines, else
    /// one with a single value, first of those that the claim does not hold.
    fn pivot(
        &mut self,
        claim: Equation,
        premise: Equation,
        not_zero: &NotZero,
        first: First,
    ) -> Option<Pivot> {
        let (left, right) = premise;
        if let Some((symbol, value)) = self.defined_by(premise) {
            return Some((symbol, vec![value], BTreeSet::new(), false));
        }
        let mut symbols: Vec<Symbol> = self.symbols_of_sides(premise).into_iter().collect();
        let is_of_one = symbols.len() == 1;
        symbols.sort_by_key(|symbol| {
            let is_claimed = self.contains(claim.0, *symbol) || self.contains(claim.1, *symbol);
            let is_linear = || {
                let mut sides = [left, right].into_iter();
                sides.all(|side| self.is_linear(side, *symbol))
            };
            (is_claimed, first == First::Linear && !is_linear())
        });
        let mut several: Option<Pivot> = None;
        for symbol in symbols.into_iter().take(MOST_TRIES) {
            let Ok(branches) = self.isolate(left, right, symbol, &Wanted::default()) else {
                continue;
            };
            // Which of several has the known sign depends on the data.
            if branches.len() > 1 && branches.iter().any(|branch| branch.is_open) {
                continue;
            }
            let is_left_out = match not_zero {
                NotZero::All => true,
                NotZero::Case { symbols, .. } => symbols.contains(&symbol),
            };
            let all: Vec<Id> = branches.iter().map(|branch| branch.value).collect();
            let differs = |value: &Id| !is_left_out || !self.is_zero(*value);
            // Where an equation says of its only symbol that it is zero, it is that.
            let values: Vec<Id> = match is_of_one && !all.iter().any(differs) {
                true => all.into_iter().take(1).collect(),
                false => all.into_iter().filter(differs).collect(),
            };
            if values.is_empty() {
                continue;
            }
            let mut divisors: BTreeSet<Id> = (branches.iter().flat_map(|branch| &branch.requires))
                .filter_map(|requirement| match requirement {
                    Requirement::NotZero(id) => Some(*id),
                    _ => None,
                })
                .collect();
            if values.len() < branches.len() {
                divisors.insert(self.symbol(symbol));
            }
            if let NotZero::Case { known, .. } = not_zero
                && !self.open_divisors(&divisors).is_subset(known)
            {
                continue;
            }
            let principal = branches.iter().any(super::Branch::is_principal);
            let found = (symbol, values, divisors, principal);
            if found.1.len() == 1 && !principal {
                return Some(found);
            }
            several = match several {
                // What takes all values goes before one angle of many.
                Some((.., true)) if !principal => Some(found),
                None => Some(found),
                other => other,
            };
        }
        several
    }

    /// Whether an expression, as it stands, is a symbol times what does not hold it, and more that
    /// does not.
    fn is_linear(&self, id: Id, symbol: Symbol) -> bool {
        if !self.contains(id, symbol) {
            return true;
        }
        match self.node(id) {
            Node::Symbol(_) => true,
            Node::Sum(sum) => (sum.terms.iter()).all(|(term, _)| self.is_linear(*term, symbol)),
            Node::Product(factors) => {
                let mut holding = (factors.iter()).filter(|(base, _)| self.contains(*base, symbol));
                match (holding.next(), holding.next()) {
                    (Some((base, exponent)), None) => {
                        exponent.is_one() && self.is_linear(*base, symbol)
                    }
                    _ => false,
                }
            }
            _ => false,
        }
    }

    /// Whether there is a point at which the premises that have to do with a claim hold, the signs
    /// are as they are known, and none of the `divisors` is zero. Without one, a proof that
    /// leans on those signs and divisors says nothing.
    pub fn can_hold(
        &mut self,
        claim: Equation,
        premises: &[Equation],
        divisors: &[Id],
        samples: &Samples,
    ) -> bool {
        let (related, _) = self.related(claim, premises);
        let ways = self.ways(claim, &chosen(premises, &related));
        ways.iter().any(|way| {
            let mut ids = vec![claim.0, claim.1];
            ids.extend(way.solved.iter().map(|(_, value)| *value));
            ids.extend(
                way.unsolved
                    .iter()
                    .flat_map(|(left, right)| [*left, *right]),
            );
            ids.extend(divisors);
            let symbols = Symbols::of(self, &ids);
            (0..MOST_POINTS).any(|at| {
                let mut point = samples.point(self, &symbols, at);
                if !self.complete_point(way, &mut point, samples) || !self.holds_at(way, &point) {
                    return false;
                }
                let mut values = super::Point::new(point);
                (divisors.iter()).all(|divisor| values.value(self, *divisor).abs() > VANISHING)
            })
        })
    }

    /// Looks for a point at which the premises hold and the claim does not.
    fn refute(&self, claim: Equation, ways: &[Way], samples: &Samples) -> Following {
        let mut agreeing = 0;
        for way in ways {
            match self.refute_way(claim, way, samples) {
                Ok(points) => agreeing += points,
                Err(point) => return Following::Refuted(point),
            }
        }
        Following::Undecided(if self.is_exhausted() {
            Undecided::Effort(agreeing)
        } else if agreeing == 0 {
            Undecided::Nowhere
        } else {
            Undecided::Agreeing(agreeing)
        })
    }

    /// At how many points of a way the claim holds, or where it does not.
    fn refute_way(
        &self,
        claim: Equation,
        way: &Way,
        samples: &Samples,
    ) -> Result<usize, Counterexample> {
        let mut ids = vec![way.claim.0, way.claim.1];
        ids.extend(way.solved.iter().map(|(_, value)| *value));
        ids.extend(
            way.unsolved
                .iter()
                .flat_map(|(left, right)| [*left, *right]),
        );
        let symbols = Symbols::of(self, &ids);
        let mut agreeing = 0;
        for at in 0..MOST_POINTS {
            let mut point = samples.point(self, &symbols, at);
            if !self.complete_point(way, &mut point, samples) || !self.holds_at(way, &point) {
                continue;
            }
            let Some((left, right)) = self.two_values(claim, &point) else {
                continue;
            };
            if !apart(left, right) {
                agreeing += 1;
                if agreeing >= ENOUGH_POINTS {
                    break;
                }
                continue;
            }
            if !self.sides_differ(way.claim, &point) {
                continue;
            }
            return Err(Counterexample {
                values: (self.symbols_of_sides(claim).into_iter())
                    .filter_map(|symbol| Some((symbol, *point.get(&symbol)?)))
                    .collect(),
                left,
                right,
            });
        }
        Ok(agreeing)
    }

    /// Computes what was solved for; false where it has no value, or one of a sign or range that
    /// is known to be impossible.
    fn complete_point(
        &self,
        way: &Way,
        point: &mut FxHashMap<Symbol, f64>,
        samples: &Samples,
    ) -> bool {
        for (symbol, value) in &way.solved {
            let found = super::Point::new(point.clone()).value(self, *value);
            let sign = self.sign_of_symbol(*symbol);
            let fits = found.is_finite()
                && ((found < 0.0 && sign.negative)
                    || (found == 0.0 && self.is_zero(*value))
                    || (found > 0.0 && sign.positive));
            if !fits || !samples.allows(*symbol, found) {
                return false;
            }
            point.insert(*symbol, found);
        }
        true
    }

    /// Whether the premises that were not solved hold at a point.
    fn holds_at(&self, way: &Way, point: &FxHashMap<Symbol, f64>) -> bool {
        way.unsolved.iter().all(|equation| {
            self.two_values(*equation, point)
                .is_some_and(|(left, right)| !apart(left, right))
        })
    }

    fn two_values(
        &self,
        (left, right): Equation,
        point: &FxHashMap<Symbol, f64>,
    ) -> Option<(f64, f64)> {
        let mut at = super::Point::new(point.clone());
        let (left, right) = (at.value(self, left), at.value(self, right));
        (left.is_finite() && right.is_finite()).then_some((left, right))
    }
}

/// Some of the premises.
fn chosen(premises: &[Equation], places: &[usize]) -> Vec<Equation> {
    places.iter().map(|at| premises[*at]).collect()
}

/// Whether two numbers are clearly different.
fn apart(left: f64, right: f64) -> bool {
    (left - right).abs() > APART * left.abs().max(right.abs())
}

/// The same way with a premise that was not solved.
fn leave(way: &Way, premise: Equation) -> Way {
    let mut left = way.clone();
    left.unsolved.push(premise);
    left
}
