//! Systems of equations solved for several symbols.

use std::collections::BTreeSet;

use proptest::prelude::*;
use rustc_hash::FxHashMap;

use super::Point;
use super::isolate_cases::{names, references};
use super::node::{Id, Symbol};
use super::sign::Sign;
use super::solution::{Branch, Stuck, Wanted};
use super::text::Named;

type Solved = Result<Vec<Vec<(Symbol, Branch)>>, (Stuck, Option<Symbol>)>;

/// `equations` are separated by `;`, `unknowns` by blanks.
fn solve(
    positive: &[&str],
    unknowns: &str,
    equations: &str,
    wanted: &[Wanted],
) -> (Named, Vec<(Id, Id)>, Solved) {
    let mut named = Named::new(positive);
    let sides: Vec<(Id, Id)> = equations
        .split(';')
        .map(|one| named.equation(one))
        .collect();
    let unknowns: Vec<Symbol> = unknowns.split(' ').map(|name| named.symbol(name)).collect();
    let solved = named.algebra.solve_system(&sides, &unknowns, wanted);
    (named, sides, solved)
}

fn points(named: &mut Named, text: &str) -> Vec<FxHashMap<Symbol, f64>> {
    let names = names(text);
    let value = |at: u32, index: usize| {
        0.4 + (f64::from(at) * 0.618_034 + index as f64 * 0.414_213).fract()
    };
    (0..20)
        .map(|at| {
            let values = names.iter().enumerate();
            values
                .map(|(index, name)| (named.symbol(name), value(at, index)))
                .collect()
        })
        .collect()
}

/// Every solution satisfies every equation, and one has the expected values.
fn check(positive: &[&str], unknowns: &str, equations: &str, expected: &[(&str, &str)]) {
    let (mut named, sides, solved) = solve(positive, unknowns, equations, &[]);
    let solutions = solved.unwrap_or_else(|stuck| panic!("{equations}: {stuck:?}"));
    let points = points(&mut named, equations);
    let expected: Vec<(Symbol, Id)> = expected
        .iter()
        .map(|(name, value)| (named.symbol(name), named.read(value)))
        .collect();
    let mut is_found = false;
    for solution in &solutions {
        let mut is_this = true;
        for at in &points {
            let mut free = Point::new(at.clone());
            let mut full = at.clone();
            for (symbol, branch) in solution {
                full.insert(*symbol, free.value(&named.algebra, branch.value));
            }
            let defined = solution.iter().all(|(symbol, _)| full[symbol].is_finite());
            for (symbol, id) in &expected {
                let due = free.value(&named.algebra, *id);
                is_this &= (full[symbol] - due).abs() <= 1e-7 * (1.0 + due.abs()) || due.is_nan();
            }
            let mut full = Point::new(full);
            for (left, right) in &sides {
                let (left, right) = (
                    full.value(&named.algebra, *left),
                    full.value(&named.algebra, *right),
                );
                let close = (left - right).abs() <= 1e-7 * (1.0 + left.abs() + right.abs());
                assert!(!defined || close, "{equations}: {left} {right}");
            }
        }
        is_found |= is_this;
    }
    let shown: Vec<String> = solutions
        .iter()
        .flatten()
        .map(|(_, branch)| named.show(branch.value))
        .collect();
    assert!(is_found, "{equations}: {shown:?}");
}

fn stuck(positive: &[&str], unknowns: &str, equations: &str, expected: Stuck) {
    let (_, _, solved) = solve(positive, unknowns, equations, &[]);
    assert_eq!(
        solved.err().map(|(stuck, _)| stuck),
        Some(expected),
        "{equations}"
    );
}

#[test]
fn reference_systems_are_solved() {
    for case in references("system") {
        let equations = case.equations.join(";");
        let unknowns = case.unknowns.join(" ");
        let expected: Vec<(&str, &str)> = case
            .expected
            .iter()
            .map(|(name, value)| (name.as_str(), value.as_str()))
            .collect();
        let known = names(&equations);
        let positive: Vec<&str> = known.iter().map(String::as_str).collect();
        check(&[], &unknowns, &equations, &expected);
        let free: Vec<&str> = positive
            .into_iter()
            .filter(|name| !case.unknowns.iter().any(|unknown| unknown == name))
            .collect();
        check(&free, &unknowns, &equations, &expected);
    }
}

#[test]
fn linear_systems_are_short() {
    for (unknowns, equations, expected) in [
        (
            "F1 F2",
            "F1*cos(a) + F2*cos(b) = H; F1*sin(a) + F2*sin(b) = V",
            [
                "(H*sin(b) - V*cos(b))/sin(b - a)",
                "(V*cos(a) - H*sin(a))/sin(b - a)",
            ],
        ),
        (
            "a T",
            "m1*a = m1*g - T; m2*a = T - m2*g",
            ["g*(m1 - m2)/(m1 + m2)", "2*m1*m2*g/(m1 + m2)"],
        ),
        ("x y", "x + y = s; x - y = d", ["s/2 + d/2", "s/2 - d/2"]),
        ("I1 I2", "U = R1*I1; I1 = 2*I2", ["U/R1", "U/(2*R1)"]),
    ] {
        let (mut named, _, solved) = solve(&[], unknowns, equations, &[]);
        let solution = solved.unwrap().remove(0);
        for ((_, branch), expected) in solution.iter().zip(expected) {
            let due = named.read(expected);
            let (length, most) = (
                named.algebra.length(branch.value),
                named.algebra.length(due),
            );
            assert!(
                length <= most + 2,
                "{equations}: {}",
                named.show(branch.value)
            );
        }
    }
}

#[test]
fn systems_of_engineering_are_solved() {
    check(
        &[],
        "x y",
        "a*x + b*y = e; c*x + d*y = f",
        &[("x", "(e*d - b*f)/(a*d - b*c)")],
    );
    check(
        &[],
        "x y z",
        "x + y + z = a; x - y = b; y - 2*z = c",
        &[("z", "(a - b - 2*c)/5")],
    );
    // Bridge of currents and mesh equations.
    check(
        &["R1", "R2", "R3"],
        "I1 I2 I3",
        "I1 = I2 + I3; U = R1*I1 + R2*I2; R2*I2 = R3*I3",
        &[("I1", "U*(R2 + R3)/(R1*R2 + R2*R3 + R1*R3)")],
    );
    // Elastic collision.
    check(
        &["m1", "m2"],
        "u1 u2",
        "m1*v1 + m2*v2 = m1*u1 + m2*u2; v1 - v2 = u2 - u1",
        &[("u1", "((m1 - m2)*v1 + 2*m2*v2)/(m1 + m2)")],
    );
    // Continuity and energy: a nozzle.
    check(
        &["A1", "A2", "dp", "rho"],
        "V1 V2",
        "A1*V1 = A2*V2; dp = rho*(V2^2 - V1^2)/2",
        &[("V2", "sqrt(2*dp/(rho*(1 - A2^2/A1^2)))")],
    );
    // A circle and a line.
    check(
        &[],
        "x y",
        "x^2 + y^2 = r^2; y = x",
        &[("x", "r/sqrt(2)"), ("y", "r/sqrt(2)")],
    );
    check(
        &[],
        "x y",
        "x*y = p; x + y = s",
        &[("x", "s/2 + sqrt(s^2/4 - p)")],
    );
    check(
        &["k", "T1", "p1", "r"],
        "T2 p2",
        "T2/T1 = r; p2/p1 = (T2/T1)^(k/(k - 1))",
        &[("p2", "p1*r^(k/(k - 1))")],
    );
    check(
        &[],
        "a b c d",
        "a + b = p; b + c = q; c + d = r; a - d = s + a*t",
        &[("a", "(p - q + r + s)/(2 - t)")],
    );
}

#[test]
fn conditions_choose_between_solutions() {
    let positive = [(); 2].map(|()| Wanted {
        sign: Some(Sign::POSITIVE),
        ..Wanted::default()
    });
    let (_, _, solved) = solve(&["r"], "x y", "x^2 + y^2 = r^2; y = x", &positive);
    assert_eq!(solved.unwrap().len(), 1);
    let (_, _, solved) = solve(&["r"], "x y", "x^2 + y^2 = r^2; y = x", &[]);
    assert_eq!(solved.unwrap().len(), 2);
}

#[test]
fn systems_without_one_solution_are_told_apart() {
    stuck(&[], "x y", "x + y = a", Stuck::TooFew);
    stuck(&[], "x y", "x + y = a; 2*x + 2*y = 2*a", Stuck::Dependent);
    stuck(&[], "x y", "x + y = 1; x + y = 2", Stuck::Never);
    // Where c is 1, these are one equation.
    let (_, _, solved) = solve(&[], "x y", "a*x + b*y = c; 2*a*x + 2*b*y = c + 1", &[]);
    assert!(matches!(solved, Err((Stuck::Unless(_), _))), "{solved:?}");
    stuck(&[], "x", "x = a; x = b", Stuck::TooMany);
    stuck(&[], "x y", "x = a; x = a + 1", Stuck::NotThere);
    stuck(&[], "x y", "x*exp(x) = y; x + y = a", Stuck::NotSolvable);
    let many = vec!["x = a"; 13].join(";");
    stuck(&[], "x", &many, Stuck::TooLarge);
    check(&[], "x", "x = a; 2*x = 2*a", &[("x", "a")]);
}

#[test]
fn only_the_determinant_is_required() {
    let equations = "F1*cos(a) + F2*cos(b) = H; F1*sin(a) + F2*sin(b) = V";
    let (mut named, _, solved) = solve(&[], "F1 F2", equations, &[]);
    let solution = solved.unwrap().remove(0);
    let required: BTreeSet<_> = solution
        .iter()
        .flat_map(|(_, branch)| &branch.requires)
        .collect();
    let sine = named.read("sin(a - b)");
    assert_eq!(
        required,
        BTreeSet::from([&super::Requirement::NotZero(sine)])
    );
}

#[test]
fn addition_theorems_are_read_backwards() {
    for (long, short) in [
        ("sin(a)*cos(b) + cos(a)*sin(b)", "sin(a + b)"),
        ("sin(a)*cos(b) - cos(a)*sin(b)", "sin(a - b)"),
        ("cos(a)*sin(b) - sin(a)*cos(b)", "sin(b - a)"),
        ("cos(a)*cos(b) + sin(a)*sin(b)", "cos(a - b)"),
        ("cos(a)*cos(b) - sin(a)*sin(b)", "cos(a + b)"),
        (
            "2*F*sin(a)*cos(b) + 2*F*cos(a)*sin(b) + H",
            "2*F*sin(a + b) + H",
        ),
    ] {
        let mut named = Named::new(&[]);
        let (long, short) = (named.read(long), named.read(short));
        let found = named.algebra.shortest_with_angles(long);
        assert_eq!(named.show(found), named.show(short));
    }
}

/// Left sides of equations in `x` and `y`.
const SIDES: [&str; 20] = [
    "x*y",
    "x*(y - a)",
    "x^2 - x*y",
    "x + y",
    "a*x - b*y",
    "x^2 + y^2",
    "x*y^2",
    "x/y",
    "x - a*y^2",
    "x*cos(y)",
    "x*sin(y)",
    "sqrt(x) + y",
    "x^2 - a*x",
    "x*exp(y)",
    "(x - a)*(y - b)",
    "abs(x) + y",
    "x^2*y - y",
    "y*(x + b)",
    "sqrt(x + a) - y",
    "x*y - x - y",
];

#[test]
fn a_solution_that_is_found_twice_keeps_what_it_was_divided_by() {
    let mut named = Named::new(&[]);
    let unknowns = [named.symbol("x"), named.symbol("y")];
    let equations = [
        named.equation("a*x - b*y = 0"),
        named.equation("abs(x) + y = 0"),
    ];
    let solutions = named
        .algebra
        .solve_system(&equations, &unknowns, &[])
        .unwrap();
    let [solution] = solutions.as_slice() else {
        panic!("{solutions:?}");
    };
    let at = FxHashMap::from_iter([(named.symbol("a"), 3.0), (named.symbol("b"), 3.0)]);
    let requires = solution.iter().flat_map(|(_, branch)| &branch.requires);
    let excluded = requires.filter(|one| match one {
        super::Requirement::NotZero(id) => {
            Point::new(at.clone()).value(&named.algebra, *id).abs() < 1e-9
        }
        _ => false,
    });
    // With a = b every x = y below zero solves both.
    assert_eq!(excluded.count(), 1);
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 250, failure_persistence: None, ..ProptestConfig::default() })]

    /// Equations that are made to hold at a point: it is among the branches, unless something that
    /// was divided by is zero there, and nothing is said that excludes it.
    #[test]
    fn a_known_solution_is_covered(
        one in 0..SIDES.len(),
        other in 0..SIDES.len(),
        at in (-2_i32..4, -2_i32..4),
        data in (-2_i32..4, 1_i32..4),
        is_plain in any::<bool>(),
        signed in any::<bool>(),
    ) {
        prop_assume!(one != other);
        let mut named = Named::new(&[]);
        let (x, y) = (named.symbol("x"), named.symbol("y"));
        let mut at = FxHashMap::from_iter([(x, f64::from(at.0)), (y, f64::from(at.1))]);
        at.insert(named.symbol("a"), f64::from(data.0));
        at.insert(named.symbol("b"), f64::from(data.1));
        let mut sides = Vec::new();
        for (name, text) in [("c", SIDES[one]), ("d", SIDES[other])] {
            let left = named.read(text);
            let value = Point::new(at.clone()).value(&named.algebra, left);
            prop_assume!(value.is_finite());
            let is_whole = value == value.round() && value.abs() < 1e6;
            let right = if is_plain && is_whole {
                named.algebra.number(super::whole(value as i64))
            } else {
                let symbol = named.symbol(name);
                at.insert(symbol, value);
                named.algebra.symbol(symbol)
            };
            sides.push((left, right));
        }
        let wanted = [x, y].map(|symbol| Wanted {
            sign: (signed && at[&symbol] > 0.0).then_some(Sign::POSITIVE),
            ..Wanted::default()
        });
        let told = format!("{} ; {} at {at:?}", SIDES[one], SIDES[other]);
        let solved = named.algebra.solve_system(&sides, &[x, y], &wanted);
        let solutions = match solved {
            Ok(solutions) => solutions,
            Err((Stuck::Never | Stuck::NoBranch, _)) => {
                return Err(TestCaseError::fail(format!("{told}: no solution")));
            }
            Err((Stuck::Unless(id), _)) => {
                let value = Point::new(at.clone()).value(&named.algebra, id);
                prop_assert!(value.abs() < 1e-9 || value.is_nan(), "{told}: unless {}", named.show(id));
                return Ok(());
            }
            Err(_) => return Ok(()),
        };
        let is_zero = |id: Id| Point::new(at.clone()).value(&named.algebra, id).abs() < 1e-9;
        let is_excluded = (solutions.iter().flatten().flat_map(|(_, branch)| &branch.requires))
            .any(|one| matches!(one, super::Requirement::NotZero(id) if is_zero(*id)));
        let is_found = solutions.iter().any(|solution| {
            solution.iter().all(|(symbol, branch)| {
                let value = Point::new(at.clone()).value(&named.algebra, branch.value);
                let off = value - at[symbol];
                let turns = off / std::f64::consts::TAU;
                let is_turned = branch.is_principal() && (turns - turns.round()).abs() < 1e-6;
                is_turned || off.abs() < 1e-6 * (1.0 + value.abs())
            })
        });
        let shown: Vec<String> = (solutions.iter().flatten())
            .map(|(_, branch)| named.show(branch.value))
            .collect();
        prop_assert!(is_found || is_excluded, "{told}: {shown:?}");
    }
}
