//! Expressions with one mistake in them, for laws.

use num_traits::One;

use super::node::{Function, Id, Node};
use super::sample::Random;
use super::{Algebra, Rational, number};

/// The expression with one part changed as people get it wrong: a sign, a factor 2, an exponent,
/// a function, a part left out. The same `seed` makes the same mistake.
pub(crate) fn mutate(algebra: &mut Algebra, id: Id, seed: u64) -> Id {
    let mut random = Random::new(seed);
    let size = count(algebra, id);
    let mut place = random.next() % size;
    changed_at(algebra, id, &mut place, &mut random)
}

/// How many parts an expression has, counted wherever they stand.
fn count(algebra: &Algebra, id: Id) -> u64 {
    let parts = algebra.parts(id).into_iter();
    1 + parts.map(|part| count(algebra, part)).sum::<u64>()
}

/// Changes the part that is reached after `place` others.
fn changed_at(algebra: &mut Algebra, id: Id, place: &mut u64, random: &mut Random) -> Id {
    if *place == 0 {
        *place = u64::MAX;
        return wrong(algebra, id, random);
    }
    *place -= 1;
    let mut inner = |algebra: &mut Algebra, part: Id| {
        if *place == u64::MAX {
            return part;
        }
        changed_at(algebra, part, place, random)
    };
    match algebra.node(id).clone() {
        Node::Undefined | Node::Number(_) | Node::Pi | Node::Symbol(_) => id,
        Node::Sum(sum) => {
            let mut terms = Vec::new();
            for (term, coefficient) in sum.terms {
                terms.push((inner(algebra, term), coefficient));
            }
            algebra.sum_of(&sum.constant, &terms)
        }
        Node::Product(factors) => {
            let mut changed = Vec::new();
            for (base, exponent) in factors {
                changed.push((inner(algebra, base), exponent));
            }
            algebra.product_of(&changed)
        }
        Node::Power(base, exponent) => {
            let base = inner(algebra, base);
            let exponent = inner(algebra, exponent);
            algebra.power(base, exponent)
        }
        Node::Call(function, arguments) => {
            let mut changed = Vec::new();
            for argument in arguments {
                changed.push(inner(algebra, argument));
            }
            algebra.call(function, &changed)
        }
    }
}

fn wrong(algebra: &mut Algebra, id: Id, random: &mut Random) -> Id {
    let two = number::whole(2);
    match random.next() % 6 {
        0 => algebra.negate(id),
        1 => algebra.scale(id, &two),
        2 => algebra.raise(id, &two),
        3 => {
            let one = algebra.whole(1);
            algebra.add(&[id, one])
        }
        _ => wrong_inside(algebra, id, random),
    }
}

fn wrong_inside(algebra: &mut Algebra, id: Id, random: &mut Random) -> Id {
    match algebra.node(id).clone() {
        Node::Number(value) => algebra.number(value + Rational::one()),
        Node::Sum(mut sum) => {
            let at = random.next() as usize % sum.terms.len();
            match random.next() % 3 {
                0 => sum.terms[at].1 = -sum.terms[at].1.clone(),
                1 => sum.terms[at].1 *= number::whole(2),
                _ => {
                    sum.terms.remove(at);
                }
            }
            algebra.sum_of(&sum.constant, &sum.terms)
        }
        Node::Product(mut factors) => {
            let at = random.next() as usize % factors.len();
            match random.next() % 4 {
                0 => factors[at].1 = -factors[at].1.clone(),
                1 => factors[at].1 *= number::whole(2),
                2 => factors[at].1 += Rational::one(),
                _ => {
                    factors.remove(at);
                }
            }
            algebra.product_of(&factors)
        }
        Node::Call(function, arguments) => {
            let other = match function {
                Function::Sin => Function::Cos,
                Function::Cos => Function::Sin,
                Function::Tan => Function::Sin,
                Function::Exp => Function::Sinh,
                Function::Sinh => Function::Cosh,
                Function::Cosh => Function::Sinh,
                Function::Ln => Function::Atan,
                Function::Atan => Function::Asin,
                Function::Asin => Function::Acos,
                _ => Function::Abs,
            };
            algebra.call(other, &arguments[..1])
        }
        _ => algebra.scale(id, &number::ratio(1, 2)),
    }
}
