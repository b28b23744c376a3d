//! Polynomials in the unknown that are zero: linear ones, pure powers, quadratic ones, those that
//! are one of these in a power of the unknown, and those with a root that can be seen.

use std::collections::BTreeSet;

use dashu_int::IBig;
use num_traits::{One, Signed, Zero};

use super::node::{Id, Node, Symbol};
use super::solution::{Operation, Requirement, Stuck};
use super::solver::{Found, Solver, Trail};
use super::{Rational, number};

/// Roots that are tried on a polynomial of the third degree and above.
const MOST_TRIED: usize = 200;

impl Solver<'_> {
    /// The values of the unknown for which the sum of `coefficients[n] unknown^n` is zero.
    pub fn polynomial(&mut self, coefficients: Vec<Id>, trail: Trail) -> Found {
        let coefficients = self.without_vanishing(coefficients);
        let unknown = self.algebra.symbol(self.unknown);
        let lowest = coefficients
            .iter()
            .position(|one| !self.algebra.is_zero(*one));
        let Some(lowest) = lowest else {
            return Err(Stuck::Identity);
        };
        if coefficients.len() == 1 {
            let zero = self.algebra.whole(0);
            return Err(self.without_unknown(coefficients[0], zero));
        }
        if lowest == 0 {
            return self.of_degree(&coefficients, trail);
        }
        // A power of the unknown is a factor of its own.
        let zero = self.algebra.whole(0);
        let mut at_zero = trail.clone();
        at_zero.step(unknown, zero, Operation::Factor(unknown));
        let mut found = vec![(zero, at_zero)];
        let mut reason = Stuck::Never;
        if coefficients.len() > lowest + 1 {
            match self.of_degree(&coefficients[lowest..], trail) {
                Ok(more) => found.extend(more),
                Err(Stuck::Never | Stuck::NotThere) => {}
                Err(other) => return Err(other),
            }
        } else {
            let mut trail = trail;
            self.require_not_zero(coefficients[lowest], &mut trail)?;
            found[0].1.requires = trail.requires;
            reason = Stuck::Never;
        }
        self.some(found, reason)
    }

    /// Without those high coefficients that are zero, and with all others that are as 0.
    fn without_vanishing(&mut self, coefficients: Vec<Id>) -> Vec<Id> {
        let zero = self.algebra.whole(0);
        let mut kept: Vec<Id> = coefficients
            .into_iter()
            .map(|one| if self.vanishes(one) { zero } else { one })
            .collect();
        while kept.len() > 1 && kept.last().is_some_and(|last| *last == zero) {
            kept.pop();
        }
        kept
    }

    /// By its degree; the lowest and the highest coefficient are not zero.
    fn of_degree(&mut self, coefficients: &[Id], trail: Trail) -> Found {
        let step = coefficients
            .iter()
            .enumerate()
            .filter(|(_, one)| !self.algebra.is_zero(**one))
            .fold(0, |step, (power, _)| number::common(step, power as i64))
            as usize;
        match (coefficients.len() - 1, step) {
            (0, _) => {
                let zero = self.algebra.whole(0);
                Err(self.without_unknown(coefficients[0], zero))
            }
            (1, _) => self.linear(coefficients[0], coefficients[1], trail),
            (degree, step) if step > 1 => self.in_a_power(coefficients, degree, step, trail),
            (2, _) => self.quadratic(coefficients, trail),
            _ => self.by_a_root(coefficients, trail),
        }
    }

    fn linear(&mut self, constant: Id, slope: Id, trail: Trail) -> Found {
        let mut trail = trail;
        let unknown = self.algebra.symbol(self.unknown);
        let opposite = self.algebra.negate(constant);
        let left = self.algebra.multiply(&[slope, unknown]);
        trail.step(left, opposite, Operation::Collected);
        self.require_not_zero(slope, &mut trail)?;
        let value = self.algebra.divide(opposite, slope);
        let value = self.tidy(value);
        if !self.algebra.is_one(slope) {
            trail.step(unknown, value, Operation::Divided(slope));
        }
        Ok(vec![(value, trail)])
    }

    /// A polynomial in `unknown^step`.
    fn in_a_power(
        &mut self,
        coefficients: &[Id],
        degree: usize,
        step: usize,
        trail: Trail,
    ) -> Found {
        let thinned: Vec<Id> = coefficients.iter().step_by(step).copied().collect();
        let unknown = self.algebra.symbol(self.unknown);
        let exponent = number::whole(step as i64);
        let power = self.algebra.raise(unknown, &exponent);
        if degree == step {
            let mut trail = trail;
            let opposite = self.algebra.negate(thinned[0]);
            self.require_not_zero(thinned[1], &mut trail)?;
            let value = self.algebra.divide(opposite, thinned[1]);
            let value = self.tidy(value);
            trail.step(power, value, Operation::Collected);
            return self.peel_power(unknown, &exponent, value, trail);
        }
        let found = self.in_place_of(power, trail, |solver, trail| {
            solver.of_degree(&thinned, trail)
        })?;
        let equations = found
            .into_iter()
            .map(|(value, trail)| (power, value, trail))
            .collect();
        self.any_of(equations)
    }

    /// `(-b/2 +- sqrt(b^2/4 - a c))/a`
    fn quadratic(&mut self, coefficients: &[Id], trail: Trail) -> Found {
        let [c, b, a] = *coefficients else {
            return Err(Stuck::NotSolvable);
        };
        let [c, b, a] = self.over_no_line([c, b, a]);
        let mut trail = trail;
        let unknown = self.algebra.symbol(self.unknown);
        self.require_not_zero(a, &mut trail)?;
        let half = self.algebra.scale(b, &number::ratio(1, 2));
        let inner = {
            let square = self.algebra.raise(half, &number::whole(2));
            let product = self.algebra.multiply(&[a, c]);
            self.algebra.subtract(square, product)
        };
        let (inner, root) = self.shortest_root(inner);
        self.require(Requirement::NotNegative(inner), &mut trail)?;
        let mut found = Vec::new();
        for sign in [1, -1] {
            let terms = [(half, -Rational::one()), (root, number::whole(sign))];
            let above = self.algebra.sum_of(&Rational::zero(), &terms);
            let value = self.algebra.divide(above, a);
            let is_monic = self.algebra.as_number(a).is_some();
            let value = if is_monic && self.is_root(root) {
                // The half of the first power and the root stay apart.
                value
            } else {
                self.tidy(value)
            };
            let mut trail = trail.clone();
            trail.step(unknown, value, Operation::Quadratic(a, b, c));
            found.push((value, trail));
        }
        self.some(found, Stuck::Never)
    }

    /// A short form of what stands under the root, and its root but for the sign: squares that
    /// are factors are taken out.
    fn shortest_root(&mut self, id: Id) -> (Id, Id) {
        let short = self.tidy(id);
        let (above, below) = self.algebra.together(id);
        let factored = self.algebra.divide(above, below);
        let forms = [short, factored].map(|form| {
            let root = self.root_without_squares(form);
            (form, self.without_magnitudes(root, false))
        });
        let [plain, other] = forms;
        let is_better = !self.algebra.is_undefined(other.1)
            && self.algebra.length(other.1) < self.algebra.length(plain.1);
        if is_better { other } else { plain }
    }

    /// The square root but for its sign: of `-x^2 s` it is `x sqrt(-s)`.
    fn root_without_squares(&mut self, id: Id) -> Id {
        let (coefficient, rest) = self.algebra.split_coefficient(id);
        let Some(Node::Product(factors)) = rest.map(|rest| self.algebra.node(rest).clone()) else {
            return self.algebra.square_root(id);
        };
        let (squares, others): (Vec<_>, Vec<_>) = factors
            .into_iter()
            .partition(|(_, exponent)| number::is_even(exponent));
        let half = number::ratio(1, 2);
        let mut outside: Vec<(Id, Rational)> = squares
            .into_iter()
            .map(|(base, exponent)| (base, exponent * &half))
            .collect();
        let others = self.algebra.product_of(&others);
        let inside = self.algebra.scale(others, &coefficient);
        outside.push((self.algebra.square_root(inside), Rational::one()));
        self.algebra.product_of(&outside)
    }

    /// Coefficients multiplied by what makes them short: without denominators, when the first has
    /// any, and without a minus before the first.
    fn over_no_line(&mut self, coefficients: [Id; 3]) -> [Id; 3] {
        let unknown = self.algebra.symbol(self.unknown);
        let [c, b, a] = coefficients;
        let (_, own) = self.algebra.over_one_line(a, None);
        let mut scaled = coefficients;
        if !own.is_empty() {
            let terms = [(c, 0), (b, 1), (a, 2)].map(|(one, power)| {
                let place = self.algebra.raise(unknown, &number::whole(power));
                self.algebra.multiply(&[one, place])
            });
            let sum = self.algebra.add(&terms);
            let (above, _) = self.algebra.over_one_line(sum, None);
            let powers = self.algebra.powers_of(above, self.unknown);
            if let Some(Ok(powers)) = powers.map(<[Id; 3]>::try_from) {
                scaled = powers;
            }
        }
        let (number, _) = self.algebra.split_coefficient(scaled[2]);
        if number.is_negative() || self.algebra.leads_with_minus(scaled[2]) {
            scaled = scaled.map(|one| self.algebra.negate(one));
        }
        scaled
    }

    /// Whether a square root is left in what should be one.
    fn is_root(&self, id: Id) -> bool {
        let (_, rest) = self.algebra.split_coefficient(id);
        rest.is_some_and(|rest| match self.algebra.node(rest) {
            Node::Product(factors) => factors.iter().any(|(_, exponent)| !exponent.is_integer()),
            _ => false,
        })
    }

    /// A polynomial of the third degree or above: a root that can be seen, and the rest.
    fn by_a_root(&mut self, coefficients: &[Id], trail: Trail) -> Found {
        for candidate in self.possible_roots(coefficients) {
            let Some(rest) = self.divided_by_root(coefficients, candidate) else {
                continue;
            };
            let mut at_root = trail.clone();
            let unknown = self.algebra.symbol(self.unknown);
            let factor = self.algebra.subtract(unknown, candidate);
            at_root.step(unknown, candidate, Operation::Factor(factor));
            let mut found = vec![(candidate, at_root)];
            match self.polynomial(rest, trail) {
                Ok(more) => found.extend(more),
                Err(Stuck::Never | Stuck::NotThere) => {}
                Err(other) => return Err(other),
            }
            return self.some(found, Stuck::Never);
        }
        Err(Stuck::NotSolvable)
    }

    /// What is left of a polynomial when a root is divided out; `None` when it is none.
    fn divided_by_root(&mut self, coefficients: &[Id], root: Id) -> Option<Vec<Id>> {
        let mut rest = Vec::new();
        let mut carried = self.algebra.whole(0);
        for coefficient in coefficients.iter().rev() {
            let product = self.algebra.multiply(&[carried, root]);
            carried = self.algebra.add(&[product, *coefficient]);
            rest.push(carried);
        }
        let remainder = rest.pop()?;
        if !self.vanishes(remainder) {
            return None;
        }
        rest.reverse();
        Some(rest.into_iter().map(|one| self.tidy(one)).collect())
    }

    /// Rational numbers and symbols that might be roots.
    fn possible_roots(&mut self, coefficients: &[Id]) -> Vec<Id> {
        let numbers: Option<Vec<Rational>> = coefficients
            .iter()
            .map(|one| self.algebra.as_number(*one).cloned())
            .collect();
        if let Some(numbers) = numbers {
            let roots = rational_roots(&numbers);
            return roots
                .into_iter()
                .map(|root| self.algebra.number(root))
                .collect();
        }
        let symbols: BTreeSet<Symbol> = coefficients
            .iter()
            .flat_map(|one| self.algebra.symbols(*one))
            .copied()
            .collect();
        let mut candidates = vec![self.algebra.whole(1), self.algebra.whole(-1)];
        for symbol in symbols {
            let id = self.algebra.symbol(symbol);
            candidates.extend([id, self.algebra.negate(id)]);
        }
        candidates.truncate(MOST_TRIED);
        candidates
    }
}

/// The numbers among which the rational roots of a polynomial are.
fn rational_roots(coefficients: &[Rational]) -> Vec<Rational> {
    let content = number::content(coefficients.iter());
    let (Some(first), Some(last)) = (coefficients.first(), coefficients.last()) else {
        return Vec::new();
    };
    let above = divisors((first / &content).numer());
    let below = divisors((last / &content).numer());
    // Rounded numbers leave out most of what is no root; exact ones decide on the rest.
    let rounded: Vec<f64> = coefficients.iter().map(number::to_f64).collect();
    let may_be_root = |root: f64| {
        let (value, size) = (rounded.iter().rev()).fold((0.0, 0.0), |(value, size), one| {
            (value * root + one, size * root.abs() + one.abs())
        });
        value.abs() <= 1e-9 * size || !size.is_finite()
    };
    let mut found = BTreeSet::new();
    for over in &above {
        for under in &below {
            let size = number::to_f64(&Rational::from_integer(over.clone()))
                / number::to_f64(&Rational::from_integer(under.clone()));
            for sign in [1, -1] {
                if may_be_root(size * f64::from(sign)) {
                    let root = Rational::new(over * sign, under.clone());
                    found.insert(root);
                }
            }
        }
    }
    let is_root = |root: &Rational| {
        let value = coefficients
            .iter()
            .rev()
            .fold(Rational::zero(), |value, one| value * root + one);
        value.is_zero()
    };
    found
        .into_iter()
        .take(MOST_TRIED * 10)
        .filter(is_root)
        .collect()
}

/// The positive divisors of a whole number; only some when there are very many.
fn divisors(value: &IBig) -> Vec<IBig> {
    let mut found = vec![IBig::one()];
    for (prime, power) in number::factors(&value.abs()) {
        let known = found.clone();
        let mut factor = IBig::one();
        for _ in 0..power {
            factor *= &prime;
            found.extend(known.iter().map(|one| one * &factor));
        }
        if found.len() > MOST_TRIED {
            break;
        }
    }
    found
}
