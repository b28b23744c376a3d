//! Laws of rearranging: what is found satisfies the equation, and what satisfies it is found.

use proptest::prelude::*;

use super::Point;
use super::isolate_tests::point;
use super::node::{Function, Id, Node};
use super::solution::{Stuck, Wanted};
use super::text::Named;

/// Texts of expressions in which `x` stands once, each with what has to be undone.
fn expression() -> impl Strategy<Value = String> {
    let leaf = Just("x".to_owned());
    leaf.prop_recursive(5, 8, 1, |inner| {
        prop_oneof![
            inner.clone().prop_map(|f| format!("({f} + a)")),
            inner.clone().prop_map(|f| format!("(b - {f})")),
            inner.clone().prop_map(|f| format!("({f}*c)")),
            inner.clone().prop_map(|f| format!("(d/({f}))")),
            inner.clone().prop_map(|f| format!("(-2*{f}/(a + b) + 3)")),
            inner.clone().prop_map(|f| format!("({f})^2")),
            inner.clone().prop_map(|f| format!("({f})^3")),
            inner.clone().prop_map(|f| format!("({f})^(3/2)")),
            inner.clone().prop_map(|f| format!("({f})^(-1/2)")),
            inner.clone().prop_map(|f| format!("({f})^n")),
            inner.clone().prop_map(|f| format!("c^({f})")),
            inner.clone().prop_map(|f| format!("sqrt({f})")),
            inner.clone().prop_map(|f| format!("exp({f})")),
            inner.clone().prop_map(|f| format!("ln({f})")),
            inner.clone().prop_map(|f| format!("log10({f})")),
            inner.clone().prop_map(|f| format!("sin({f})")),
            inner.clone().prop_map(|f| format!("cos({f})")),
            inner.clone().prop_map(|f| format!("tan({f})")),
            inner.clone().prop_map(|f| format!("asin({f})")),
            inner.clone().prop_map(|f| format!("atan({f})")),
            inner.clone().prop_map(|f| format!("sinh({f})")),
            inner.clone().prop_map(|f| format!("cosh({f})")),
            inner.clone().prop_map(|f| format!("tanh({f})")),
            inner.clone().prop_map(|f| format!("abs({f})")),
            inner.prop_map(|f| format!("cbrt({f})")),
        ]
    })
}

/// Whether all angles are of the first turn, and no other than these are listed.
fn are_angles_principal(named: &Named, point: &mut Point, id: Id) -> bool {
    use std::f64::consts::{FRAC_PI_2, PI};
    let is_principal = match named.algebra.node(id) {
        Node::Call(function, arguments) => {
            let angle = point.value(&named.algebra, arguments[0]);
            match function {
                Function::Tan => angle.abs() < FRAC_PI_2,
                Function::Sin => -FRAC_PI_2 < angle && angle < 3.0 * FRAC_PI_2,
                Function::Cos => angle.abs() < PI,
                _ => true,
            }
        }
        _ => true,
    };
    let parts = named.algebra.parts(id);
    is_principal
        && parts
            .into_iter()
            .all(|part| are_angles_principal(named, point, part))
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 400, failure_persistence: None, ..ProptestConfig::default() })]

    /// Where `f(x)` has a value, one branch of `y = f(x)` gives back an `x` of this value.
    #[test]
    fn isolating_from_a_function_and_inserting_gives_its_value_back(
        text in expression(),
        is_known in any::<bool>(),
        at in 0_u32..40,
    ) {
        let names = ["a", "b", "c", "d", "n", "x"];
        let positive = if is_known { &names[..] } else { &[] };
        let mut named = Named::new(positive);
        let (y, x) = (named.symbol("y"), named.symbol("x"));
        let (left, right) = named.equation(&format!("y = {text}"));
        let mut point = point(&mut named, "a b c d n x", at, &[]);
        let value = point.value(&named.algebra, right);
        // Far out, rounding leaves nothing to compare.
        prop_assume!(value.is_finite() && value.abs() < 1e6 && value.abs() > 1e-6);
        prop_assume!(are_angles_principal(&named, &mut point, right));
        let known = point.symbol(x);
        point.set(x, known * (1.0 + 1e-6));
        let beside = point.value(&named.algebra, right);
        // Where it is flat or steep, an inverse function is only as good as the rounding.
        let change = ((beside - value) / value).abs();
        prop_assume!(1e-9 < change && change < 1e-3);
        point.set(y, value);
        let branches = named.algebra.isolate(left, right, x, &Wanted::default());
        let branches = match branches {
            Ok(branches) => branches,
            Err(stuck) => return Err(TestCaseError::fail(format!("{text}: {stuck:?}"))),
        };
        let shown: Vec<String> = branches.iter().map(|one| named.show(one.value)).collect();
        let gives_back = branches.iter().any(|branch| {
            point.set(x, known);
            let found = point.value(&named.algebra, branch.value);
            found.is_finite() && {
                point.set(x, found);
                let again = point.value(&named.algebra, right);
                (again - value).abs() <= 1e-5 * value.abs()
            }
        });
        prop_assert!(gives_back, "{text} at {at}: {shown:?}");
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 200, failure_persistence: None, ..ProptestConfig::default() })]

    /// An exponential approach is solved without a minus in front, with the author's difference
    /// as it was written and the author's factors in their order, and with the value that
    /// arithmetic gives.
    #[test]
    fn a_solved_approach_is_written_as_the_author_wrote_the_law(
        met in Just(["a", "b", "c", "d", "y"]).prop_shuffle(),
        is_exchanged in any::<bool>(),
        data in [1.1..2.0, 2.1..3.0, 0.1..1.0, 0.1..1.0, 0.1..0.9_f64],
    ) {
        let mut named = Named::new(&[]);
        for name in met {
            named.read(name);
        }
        let (factors, difference) = (["c", "d"].map(|it| named.read(it)), named.read("b - a"));
        named.algebra.note_factors(&factors);
        named.algebra.note_sum(difference);
        let law = if is_exchanged { "a + (b - a)*exp(-x/(c*d)) = y" } else { "y = a + (b - a)*exp(-x/(c*d))" };
        let (left, right) = named.equation(law);
        let x = named.symbol("x");
        let branches = named.algebra.isolate(left, right, x, &Wanted::default()).unwrap();
        let written = named.algebra.written(branches[0].value).unwrap();
        let text = written.text(&|symbol| named.name(symbol));
        prop_assert_eq!(text, "c d ln((b - a)/(y - a))");
        let [a, b, c, d, share] = data;
        let y = a + (b - a) * share;
        let values = [("a", a), ("b", b), ("c", c), ("d", d), ("y", y)];
        let mut point = Point::new(values.iter().map(|(name, value)| (named.symbol(name), *value)).collect());
        let found = point.value(&named.algebra, branches[0].value);
        prop_assert!((found + c * d * share.ln()).abs() < 1e-9, "{}", found);
    }
}

/// Texts of sums in which `x` stands in several terms.
fn gathered() -> impl Strategy<Value = String> {
    let atoms = [
        "x",
        "x",
        "x^2",
        "x^3",
        "sqrt(x)",
        "sqrt(x + a)",
        "x^(3/2)",
        "exp(x)",
        "exp(-2*x)",
        "a^x",
        "1/x",
        "1/(x + b)",
        "1/x^2",
        "x/(x - b)",
        "abs(7*x - a)",
        "cbrt(x)",
        "ln(x)",
        "ln(x + a)",
        "sinh(x)",
        "x^n",
        "sqrt(x^2 + b)",
    ];
    let factors = ["1", "-1", "2", "a", "b", "-1/b"];
    let term = (
        proptest::sample::select(atoms.to_vec()),
        proptest::sample::select(factors.to_vec()),
    )
        .prop_map(|(atom, factor)| format!("{factor}*{atom}"));
    proptest::collection::vec(term, 2..4).prop_map(|terms| terms.join(" + "))
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 600, failure_persistence: None, ..ProptestConfig::default() })]

    /// What is found satisfies the equation, and what satisfies it is found.
    #[test]
    fn no_solution_is_lost_or_invented(
        text in gathered(),
        is_known in any::<bool>(),
        at in 0_u32..40,
    ) {
        let names = ["a", "b", "n", "x"];
        let positive = if is_known { &names[..] } else { &[] };
        let mut named = Named::new(positive);
        let (c, x) = (named.symbol("c"), named.symbol("x"));
        let sides = named.equation(&format!("{text} = c"));
        let mut point = point(&mut named, "a b n x", at, &[]);
        let known = point.symbol(x);
        let value = point.value(&named.algebra, sides.0);
        prop_assume!(value.is_finite() && named.algebra.contains(sides.0, x));
        point.set(c, value);
        let branches = match named.algebra.isolate(sides.0, sides.1, x, &Wanted::default()) {
            Ok(branches) => branches,
            Err(Stuck::NotSolvable) => return Ok(()),
            Err(other) => return Err(TestCaseError::fail(format!("{text}: {other:?}"))),
        };
        let mut is_found = false;
        let shown: Vec<String> = branches.iter().map(|one| named.show(one.value)).collect();
        for (branch, shown) in branches.iter().zip(&shown) {
            point.set(x, known);
            let found = point.value(&named.algebra, branch.value);
            if !found.is_finite() {
                continue;
            }
            is_found |= (found - known).abs() <= 1e-5 * (1.0 + known.abs());
            let holds = branch.requires.iter().all(|one| !named.algebra.fails_at(&mut point, one));
            if holds && !branch.is_aside {
                let algebra = &named.algebra;
                let is_satisfied = algebra.is_satisfied(&mut point, sides, x, found);
                prop_assert!(is_satisfied, "{text} at {at}: {shown}");
            }
        }
        prop_assert!(is_found, "{text} at {at}: {shown:?}");
    }
}
