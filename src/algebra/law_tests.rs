//! Laws that hold for any expression.

use proptest::prelude::*;
use rustc_hash::FxHashMap;

use super::compare::Equality;
use super::equal_tests::IDENTITIES;
use super::measure::{Measured, Measurement};
use super::mutate::mutate;
use super::node::Node;
use super::sample::{Random, Symbols};
use super::text::Named;
use super::{Algebra, Function, Id, Rational, Samples, Symbol, number};

/// Names of the symbols of random expressions; the first two are positive.
const NAMES: [&str; 5] = ["a", "b", "x", "y", "n"];

fn algebra() -> Named {
    let mut named = Named::new(&NAMES[..2]);
    for name in NAMES {
        named.symbol(name);
    }
    named
}

/// A random expression of about `size` parts.
fn random_expression(algebra: &mut Algebra, random: &mut Random, size: u32) -> Id {
    if size <= 1 {
        return random_leaf(algebra, random);
    }
    let left = 1 + (random.next() % u64::from(size)) as u32 / 2;
    match random.next() % 10 {
        0..3 => {
            let one = random_expression(algebra, random, left);
            let two = random_expression(algebra, random, size - left);
            algebra.add(&[one, two])
        }
        3 => {
            let one = random_expression(algebra, random, left);
            let two = random_expression(algebra, random, size - left);
            algebra.subtract(one, two)
        }
        4..6 => {
            let one = random_expression(algebra, random, left);
            let two = random_expression(algebra, random, size - left);
            algebra.multiply(&[one, two])
        }
        6 => {
            let one = random_expression(algebra, random, left);
            let two = random_expression(algebra, random, size - left);
            algebra.divide(one, two)
        }
        7 => {
            let base = random_expression(algebra, random, size - 1);
            let exponent = [(2, 1), (3, 1), (-1, 1), (1, 2), (-1, 2), (3, 2), (1, 3)]
                [random.next() as usize % 7];
            algebra.raise(base, &number::ratio(exponent.0, exponent.1))
        }
        8 => {
            let function = FUNCTIONS[random.next() as usize % FUNCTIONS.len()];
            let argument = random_expression(algebra, random, size - 1);
            algebra.call(function, &[argument])
        }
        _ => {
            let base = random_leaf(algebra, random);
            let exponent = random_expression(algebra, random, (size - 1).min(3));
            algebra.power(base, exponent)
        }
    }
}

const FUNCTIONS: [Function; 14] = [
    Function::Exp,
    Function::Ln,
    Function::Sin,
    Function::Cos,
    Function::Tan,
    Function::Asin,
    Function::Acos,
    Function::Atan,
    Function::Sinh,
    Function::Cosh,
    Function::Tanh,
    Function::Abs,
    Function::Cbrt,
    Function::Sign,
];

fn random_leaf(algebra: &mut Algebra, random: &mut Random) -> Id {
    match random.next() % 8 {
        0 => algebra.whole(2),
        1 => algebra.number(number::ratio((random.next() % 7) as i64 - 3, 2)),
        2 => algebra.pi(),
        at => algebra.symbol(Symbol((at - 3) as u32)),
    }
}

/// Some points, with the known signs.
fn points(named: &Named) -> Vec<FxHashMap<Symbol, f64>> {
    let symbols = Symbols {
        all: (0..NAMES.len() as u32).map(Symbol).collect(),
        ..Symbols::default()
    };
    let samples = Samples::default();
    (0..12)
        .map(|at| samples.point(&named.algebra, &symbols, at))
        .collect()
}

fn at(named: &Named, id: Id, point: &FxHashMap<Symbol, f64>) -> Measured {
    Measurement::new(point.clone()).of(&named.algebra, id)
}

/// Where both are defined they are one number.
fn assert_same_value(named: &Named, before: Id, after: Id) {
    for point in points(named) {
        let (one, two) = (at(named, before, &point), at(named, after, &point));
        if one.is_known() && two.is_known() {
            let far = (one.value - two.value).abs() > 4.0 * (one.error + two.error);
            assert!(
                !far,
                "{} and {} at {point:?}: {one:?} and {two:?}",
                named.show(before),
                named.show(after)
            );
        }
    }
}

/// Whether a power of what may be negative stands in it, which is defined for whole exponents
/// only, and so lost to any rounding of the exponent.
fn has_brittle_power(algebra: &Algebra, id: Id) -> bool {
    let is_brittle = match algebra.node(id) {
        Node::Power(base, _) => !algebra.sign(*base).is_positive(),
        _ => false,
    };
    let mut parts = algebra.parts(id).into_iter();
    is_brittle || parts.any(|part| has_brittle_power(algebra, part))
}

/// Where the original is defined the other form is as well.
fn assert_domain_kept(named: &Named, before: Id, after: Id) {
    if has_brittle_power(&named.algebra, before) {
        return;
    }
    for point in points(named) {
        let one = at(named, before, &point);
        if one.is_known() && one.error < 1e-6 * one.value.abs() {
            let mut simple = super::Point::new(point.clone());
            let two = simple.value(&named.algebra, after);
            assert!(
                two.is_finite() || at(named, after, &point).is_known(),
                "{} and {} at {point:?}: {one:?} and {two:?}",
                named.show(before),
                named.show(after)
            );
        }
    }
}

fn random_named(seed: u64, size: u32) -> (Named, Id) {
    let mut named = algebra();
    let mut random = Random::new(seed);
    let id = random_expression(&mut named.algebra, &mut random, size);
    (named, id)
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(400))]

    #[test]
    fn expanding_keeps_the_value(seed in any::<u64>(), size in 3_u32..16) {
        let (mut named, id) = random_named(seed, size);
        let expanded = named.algebra.expand(id);
        assert_same_value(&named, id, expanded);
    }

    #[test]
    fn gathering_keeps_the_value(seed in any::<u64>(), size in 3_u32..16) {
        let (mut named, id) = random_named(seed, size);
        let (above, below) = named.algebra.together(id);
        let quotient = named.algebra.divide(above, below);
        assert_same_value(&named, id, quotient);
    }

    #[test]
    fn simplifying_keeps_value_and_domain(seed in any::<u64>(), size in 3_u32..16) {
        let (mut named, id) = random_named(seed, size);
        let simple = named.algebra.simplify(id);
        prop_assert!(named.algebra.length(simple) <= named.algebra.length(id));
        assert_same_value(&named, id, simple);
        assert_domain_kept(&named, id, simple);
    }

    #[test]
    fn rewriting_keeps_the_value(seed in any::<u64>(), size in 3_u32..16) {
        let (mut named, id) = random_named(seed, size);
        let rewritten = named.algebra.rewritten(id);
        assert_same_value(&named, id, rewritten);
    }

    #[test]
    fn the_simple_form_is_never_different(seed in any::<u64>(), size in 3_u32..14) {
        let (mut named, id) = random_named(seed, size);
        let simple = named.algebra.simplify(id);
        let verdict = named.algebra.compare(id, simple, &Samples::default());
        prop_assert!(!matches!(verdict, Equality::Different(_)), "{:?}", verdict);
    }

    #[test]
    fn two_random_expressions_are_proved_equal_only_with_equal_values(
        one in any::<u64>(),
        two in any::<u64>(),
        size in 2_u32..7,
    ) {
        let (mut named, left) = random_named(one, size);
        let right = random_expression(&mut named.algebra, &mut Random::new(two), size);
        let difference = named.algebra.subtract(left, right);
        let proved = named.algebra.is_identically_zero(difference);
        if proved == Some(true) {
            assert_same_value(&named, left, right);
        }
    }

    #[test]
    fn an_equal_form_is_never_proved_to_differ(seed in any::<u64>(), size in 3_u32..14) {
        let (mut named, id) = random_named(seed, size);
        let expanded = named.algebra.expand(id);
        let (above, below) = named.algebra.together(id);
        let gathered = named.algebra.divide(above, below);
        for other in [expanded, gathered, named.algebra.simplify(id)] {
            let difference = named.algebra.subtract(id, other);
            prop_assert_ne!(named.algebra.is_identically_zero(difference), Some(false));
        }
    }

    #[test]
    fn a_mistake_is_proved_only_where_values_agree(seed in any::<u64>(), size in 3_u32..14) {
        let (mut named, id) = random_named(seed, size);
        let mutated = mutate(&mut named.algebra, id, seed);
        let difference = named.algebra.subtract(id, mutated);
        if named.algebra.is_identically_zero(difference) == Some(true) {
            assert_same_value(&named, id, mutated);
        }
    }
}

/// Random expressions have numbers at many points, or the laws would say nothing.
#[test]
fn random_expressions_are_defined_often() {
    let mut known = 0;
    for seed in 0..500 {
        let (named, id) = random_named(seed, 8);
        let points = points(&named);
        known += points
            .iter()
            .filter(|point| at(&named, id, point).is_known())
            .count();
    }
    assert!(known > 2500, "{known} of {}", 500 * 12);
}

/// Ten thousand mistakes in true identities: algebra alone, without the numbers that would
/// refute them, proves none of which the values differ.
#[test]
fn no_mistake_in_an_identity_is_proved() {
    let mut different = 0;
    for seed in 0..10_000_u64 {
        let (positive, equation) = IDENTITIES[seed as usize % IDENTITIES.len()];
        let positive: Vec<&str> = positive.split_whitespace().collect();
        let mut named = Named::new(&positive);
        let (left, right) = named.equation(equation);
        let mutated = mutate(&mut named.algebra, right, seed);
        let difference = named.algebra.subtract(left, mutated);
        let is_proved = named.algebra.is_identically_zero(difference) == Some(true);
        let verdict = named.algebra.compare(left, mutated, &Samples::default());
        let is_different = matches!(verdict, Equality::Different(_));
        different += u32::from(is_different);
        assert!(
            !(is_proved && is_different),
            "{equation}: {} {verdict:?}",
            named.show(mutated)
        );
    }
    assert!(different > 7_000, "{different}");
}

/// What the numbers cost that an algebra holds, each once, in steps.
fn weight_of_numbers(algebra: &Algebra) -> u64 {
    let weight = |value: &Rational| u64::from(number::weight(number::bits(value)));
    let of = |at: usize| match algebra.node(Id(at as u32)) {
        Node::Number(value) => weight(value),
        Node::Sum(sum) => {
            let coefficients = sum.terms.iter().map(|(_, value)| weight(value));
            coefficients.sum::<u64>() + weight(&sum.constant)
        }
        _ => 0,
    };
    (0..algebra.len()).map(of).sum()
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(48))]

    /// Functions that put themselves in twice double the digits of their numbers with each level: the
    /// steps that are counted grow with what the numbers cost, and not with how many there are.
    #[test]
    fn long_numbers_are_paid_for(
        slope in -999_i64..999,
        places in 0_u32..4,
        constant in -99_i64..99,
        power in 2_i64..6,
        levels in 1_usize..40,
    ) {
        let mut algebra = Algebra::new();
        let slope = number::ratio(slope, 10_i64.pow(places));
        let mut value = algebra.symbol(Symbol(0));
        for _ in 0..levels {
            let raised = algebra.raise(value, &number::whole(power));
            let terms = [(raised, number::whole(1)), (value, slope.clone())];
            value = algebra.sum_of(&number::whole(constant), &terms);
        }
        let weight = weight_of_numbers(&algebra);
        prop_assert!(weight <= u64::from(algebra.steps()), "{weight} {}", algebra.steps());
    }
}
