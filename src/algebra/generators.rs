//! Between expressions and fractions of polynomials: what the variables stand for.
//!
//! A generator is what polynomials cannot look into: a symbol, a call, a power with a symbolic
//! exponent, the root of a sum. All fractional powers of one base are whole powers of one
//! generator, `x^(1/6)` for `x^(1/2)` and `x^(2/3)`. What is known about a generator is that one
//! power of it is something else: `sqrt(a + b)^2 = a + b`, `sin^2 = 1 - cos^2`.

use dashu_int::IBig;
use num_traits::{One, ToPrimitive, Zero};
use rustc_hash::FxHashMap;

use super::fraction::Fraction;
use super::node::{Function, Id, Node};
use super::polynomial::{self, Monomial, Polynomial};
use super::{Algebra, Rational, number};

/// An exponent has at most this numerator and denominator.
const MOST_EXPONENT: i64 = 20_000;

/// A polynomial is reduced at most this often.
const MOST_ROUNDS: u32 = 60;

/// What is used beyond the rules of arithmetic.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Rules {
    /// Of which of sine and cosine a square is one less the square of the other.
    pub circle: Option<Function>,
    /// `1/sqrt(s) = sqrt(s)/s`, so that a root stands in one way.
    pub no_root_below: bool,
}

impl Rules {
    /// What keeps an expression close to how it was.
    pub const PLAIN: Self = Self {
        circle: None,
        no_root_below: false,
    };
    /// What brings equal expressions together.
    pub const ALL: Self = Self {
        circle: Some(Function::Sin),
        no_root_below: true,
    };
}

/// `base^(1/order)`.
#[derive(Debug)]
pub(super) struct Generator {
    pub base: Id,
    /// Whether the base is kept whole under its root.
    pub is_root: bool,
    pub order: u32,
    /// The power of the generator that is known, and what it is.
    known: Option<(u32, Polynomial, IBig)>,
}

/// The generators of some expressions.
#[derive(Debug)]
pub struct Generators {
    rules: Rules,
    pub(super) found: Vec<Generator>,
    index: FxHashMap<(Id, bool), u16>,
    surveyed: FxHashMap<Id, ()>,
    done: FxHashMap<Id, Option<Fraction>>,
}

impl Generators {
    /// The generators of all of `ids`. `None` when there are too many or an exponent is beyond
    /// the bound.
    pub fn of(algebra: &mut Algebra, ids: &[Id], rules: Rules) -> Option<Self> {
        let mut generators = Self {
            rules,
            found: Vec::new(),
            index: FxHashMap::default(),
            surveyed: FxHashMap::default(),
            done: FxHashMap::default(),
        };
        // What was worked on before is counted elsewhere, or not at all.
        polynomial::take_steps();
        for id in ids {
            generators.survey(algebra, *id)?;
        }
        for at in 0..generators.found.len() {
            let known = generators.known_power(algebra, at);
            generators.found[at].known = known;
        }
        generators.done.clear();
        Some(generators)
    }

    fn survey(&mut self, algebra: &mut Algebra, id: Id) -> Option<()> {
        algebra.step();
        if self.surveyed.insert(id, ()).is_some() {
            return Some(());
        }
        match algebra.node(id).clone() {
            Node::Undefined => None,
            Node::Number(_) => Some(()),
            Node::Sum(sum) => {
                for (term, _) in &sum.terms {
                    self.survey(algebra, *term)?;
                }
                Some(())
            }
            Node::Product(factors) => {
                for (base, exponent) in &factors {
                    self.survey_power(algebra, *base, exponent)?;
                }
                Some(())
            }
            _ => self.survey_power(algebra, id, &Rational::one()),
        }
    }

    fn survey_power(&mut self, algebra: &mut Algebra, base: Id, exponent: &Rational) -> Option<()> {
        let parts = powers_of(algebra, base, exponent);
        if let Some(parts) = parts {
            for (part, exponent) in parts {
                self.register(part, false, &exponent)?;
            }
            return Some(());
        }
        match algebra.node(base).clone() {
            Node::Sum(_) | Node::Product(_) | Node::Power(..) => {
                self.survey(algebra, base)?;
                if !exponent.is_integer() {
                    self.register(base, true, exponent)?;
                }
                return Some(());
            }
            Node::Call(Function::Abs | Function::Cbrt, arguments) => {
                self.survey(algebra, *arguments.first()?)?;
            }
            Node::Call(function, arguments) if self.rules.circle == Some(function) => {
                let other = algebra.call(other_of(function), &arguments);
                self.survey(algebra, other)?;
            }
            _ => {}
        }
        self.register(base, false, exponent)
    }

    fn register(&mut self, base: Id, is_root: bool, exponent: &Rational) -> Option<()> {
        let order = exponent
            .denom()
            .to_i64()
            .filter(|order| *order <= MOST_EXPONENT)?;
        exponent
            .numer()
            .to_i64()
            .filter(|above| above.abs() <= MOST_EXPONENT)?;
        let at = self.index.get(&(base, is_root)).copied();
        let at = match at {
            Some(at) => at,
            None => {
                let at = u16::try_from(self.found.len()).ok()?;
                self.index.insert((base, is_root), at);
                self.found.push(Generator {
                    base,
                    is_root,
                    order: 1,
                    known: None,
                });
                at
            }
        };
        let generator = &mut self.found[usize::from(at)];
        let order =
            order / number::common(order, i64::from(generator.order)) * i64::from(generator.order);
        generator.order = u32::try_from(order)
            .ok()
            .filter(|order| *order <= MOST_EXPONENT as u32)?;
        Some(())
    }

    /// The power of a generator that is something else.
    fn known_power(&mut self, algebra: &mut Algebra, at: usize) -> Option<(u32, Polynomial, IBig)> {
        let Generator {
            base,
            is_root,
            order,
            ..
        } = self.found[at];
        let (power, value) = match algebra.node(base).clone() {
            _ if is_root => (order, self.fraction(algebra, base)?),
            Node::Number(value) => (order, Fraction::number(&value)),
            Node::Call(Function::Abs, arguments) => {
                let inner = self.fraction(algebra, *arguments.first()?)?;
                (2 * order, self.reduced(inner.raised(2)?)?)
            }
            Node::Call(Function::Cbrt, arguments) => {
                (3 * order, self.fraction(algebra, *arguments.first()?)?)
            }
            Node::Call(function, arguments) if self.rules.circle == Some(function) => {
                let other = algebra.call(other_of(function), &arguments);
                let square = self.power(algebra, other, &number::whole(2))?;
                let one = Fraction::whole(Polynomial::one());
                (
                    2 * order,
                    Fraction::sum(&[one, square.scaled(&-Rational::one())])?,
                )
            }
            _ => return None,
        };
        (value.below.is_empty() && !value.is_zero()).then_some((power, value.above, value.divisor))
    }

    /// The expression as a fraction of polynomials in the generators, reduced by what is known
    /// about them. `None` when it has no value, or beyond the bound.
    pub fn fraction(&mut self, algebra: &mut Algebra, id: Id) -> Option<Fraction> {
        if let Some(found) = self.done.get(&id) {
            return found.clone();
        }
        algebra.step();
        if algebra.is_exhausted() {
            return None;
        }
        let found = self.fraction_of(algebra, id);
        algebra.count(polynomial::take_steps());
        self.done.insert(id, found.clone());
        found
    }

    fn fraction_of(&mut self, algebra: &mut Algebra, id: Id) -> Option<Fraction> {
        match algebra.node(id).clone() {
            Node::Undefined => None,
            Node::Number(value) => Some(Fraction::number(&value)),
            Node::Sum(sum) => {
                let mut parts = vec![Fraction::number(&sum.constant)];
                for (term, coefficient) in &sum.terms {
                    parts.push(self.fraction(algebra, *term)?.scaled(coefficient));
                }
                self.reduced(Fraction::sum(&parts)?)
            }
            Node::Product(factors) => {
                let mut product = Fraction::whole(Polynomial::one());
                for (base, exponent) in &factors {
                    let power = self.power(algebra, *base, exponent)?;
                    product = self.reduced(product.times(&power)?)?;
                }
                Some(product)
            }
            _ => self.power(algebra, id, &Rational::one()),
        }
    }

    fn power(&mut self, algebra: &mut Algebra, base: Id, exponent: &Rational) -> Option<Fraction> {
        if let Some(parts) = powers_of(algebra, base, exponent) {
            let mut product = Fraction::whole(Polynomial::one());
            for (part, exponent) in parts {
                product = product.times(&self.variable(part, false, &exponent)?)?;
            }
            return Some(product);
        }
        let is_compound = matches!(
            algebra.node(base),
            Node::Sum(_) | Node::Product(_) | Node::Power(..)
        );
        if !is_compound {
            let power = self.variable(base, false, exponent)?;
            return self.reduced(power);
        }
        if exponent.is_integer() {
            let inner = self.fraction(algebra, base)?;
            let power = inner.raised(number::as_whole(exponent)?)?;
            return self.reduced(power);
        }
        if !self.rules.no_root_below {
            let power = self.variable(base, true, exponent)?;
            return self.reduced(power);
        }
        let floor = exponent.floor();
        let whole = number::as_whole(&floor)?;
        let root = self.variable(base, true, &(exponent - floor))?;
        let outside = self.fraction(algebra, base)?.raised(whole)?;
        self.reduced(root.times(&outside)?)
    }

    /// A power of a generator.
    fn variable(&self, base: Id, is_root: bool, exponent: &Rational) -> Option<Fraction> {
        let at = *self.index.get(&(base, is_root))?;
        let generator = &self.found[usize::from(at)];
        let power = number::as_whole(&(exponent * number::whole(i64::from(generator.order))))?;
        let size = u32::try_from(power.unsigned_abs()).ok()?;
        let monomial = Polynomial::term(Monomial::power(at, size), IBig::one());
        if power >= 0 {
            return Some(Fraction::whole(monomial));
        }
        let mut inverse = Fraction::whole(Polynomial::one());
        inverse.divide_by(&monomial, 1);
        Some(inverse)
    }

    /// The fraction with known powers of generators replaced above, and below where a root is.
    fn reduced(&self, mut fraction: Fraction) -> Option<Fraction> {
        if self.rules.no_root_below {
            fraction = self.without_roots_below(fraction)?;
        }
        for _ in 0..MOST_ROUNDS {
            let Some((at, (power, value, divisor))) = self.reducible(&fraction.above) else {
                return Some(fraction);
            };
            let parts = fraction.above.by_power(at);
            let most = parts.first().map_or(0, |(exponent, _)| exponent / power);
            let mut terms = Vec::new();
            for (exponent, part) in parts {
                let times = exponent / power;
                let scale = divisor.pow((most - times) as usize);
                let rest = Monomial::power(at, exponent % power);
                let replaced = part.times(&value.raised(times)?)?.shifted(&rest);
                terms.extend(replaced.scaled(&scale).terms().iter().cloned());
            }
            fraction.above = Polynomial::gathered(terms);
            fraction.divisor *= divisor.pow(most as usize);
        }
        None
    }

    fn reducible(&self, polynomial: &Polynomial) -> Option<(u16, &(u32, Polynomial, IBig))> {
        let variables = polynomial.variables().into_iter().rev();
        variables
            .filter_map(|at| Some((at, self.found.get(usize::from(at))?.known.as_ref()?)))
            .find(|(at, known)| polynomial.degree(*at) >= known.0)
    }

    /// `1/sqrt(s)` as `sqrt(s)/s`.
    fn without_roots_below(&self, mut fraction: Fraction) -> Option<Fraction> {
        let mut below = std::mem::take(&mut fraction.below);
        while let Some((factor, own)) = below.pop() {
            let Some((at, known)) = self.root_alone(&factor) else {
                fraction.divide_by(&factor, own);
                continue;
            };
            let (power, value, divisor) = known;
            let times = own.div_ceil(*power);
            let rest = Monomial::power(at, times * power - own);
            fraction.above = fraction.above.shifted(&rest);
            fraction.above = fraction.above.scaled(&divisor.pow(times as usize));
            fraction.divide_by(value, times);
        }
        Some(fraction)
    }

    fn root_alone(&self, factor: &Polynomial) -> Option<(u16, &(u32, Polynomial, IBig))> {
        let [(monomial, _)] = factor.terms() else {
            return None;
        };
        let (at, _) = *monomial.powers().first()?;
        let generator = self.found.get(usize::from(at))?;
        let is_root = generator.is_root || generator.order > 1;
        Some((at, generator.known.as_ref().filter(|_| is_root)?))
    }
}

fn other_of(function: Function) -> Function {
    if function == Function::Sin {
        Function::Cos
    } else {
        Function::Sin
    }
}

/// The powers that a power with a symbolic exponent is a product of: `x^(2 a + b/2)` is `x^a`
/// squared times the root of `x^b`. `None` for other bases, and for the root of a power that may
/// be negative, which is no power with half of the exponent.
fn powers_of(algebra: &mut Algebra, base: Id, exponent: &Rational) -> Option<Vec<(Id, Rational)>> {
    let (inner, of) = match algebra.node(base).clone() {
        Node::Call(Function::Exp, arguments) => (*arguments.first()?, None),
        Node::Power(of, inner) if exponent.is_integer() || algebra.sign(of).is_positive() => {
            (inner, Some(of))
        }
        _ => return None,
    };
    let terms = match algebra.node(inner).clone() {
        Node::Sum(sum) => {
            let one = algebra.whole(1);
            let constant = Some((one, sum.constant)).filter(|(_, value)| !value.is_zero());
            sum.terms.into_iter().chain(constant).collect()
        }
        _ => vec![(inner, Rational::one())],
    };
    let mut powers = Vec::with_capacity(terms.len());
    for (term, own) in terms {
        let base = match of {
            // A power with the exponent 1 would be the base itself.
            Some(of) if algebra.is_one(term) => of,
            Some(of) => algebra.power(of, term),
            None => algebra.call(Function::Exp, &[term]),
        };
        powers.push((base, own * exponent));
    }
    Some(powers)
}
