//! Several equations: sizes, singular places, dependence and contradiction.

use super::super::{Failure, MOST_UNKNOWNS, Scales, system, system_scaled};
use super::expression::{Undefined, equation};
use super::{agree, linearise, solve_text};

#[track_caller]
fn root(texts: &[&str], start: &[f64], expected: &[f64], tolerance: f64) {
    match solve_text(texts, start) {
        Ok(solution) => {
            let close = solution
                .values
                .iter()
                .zip(expected)
                .all(|(a, b)| agree(*a, *b, tolerance));
            assert!(close, "{texts:?}: {solution:?}");
        }
        Err(failure) => panic!("{texts:?}: {failure:?}"),
    }
}

#[test]
fn unknowns_of_very_different_size_are_solved_to_the_last_digits() {
    // A length of 1e-7 m beside a pressure of 1e8 Pa.
    root(
        &["x*y = 20", "y/x = 5e14"],
        &[1e-7, 5e7],
        &[2e-7, 1e8],
        1e-14,
    );
    root(
        &["x*y = 20", "y = 5e14*x"],
        &[1e-9, 1e6],
        &[2e-7, 1e8],
        1e-14,
    );
    root(
        &["1e-25*(x - 3e-9) = 0", "1e25*(y - 4e12) = 0"],
        &[1e-8, 1e12],
        &[3e-9, 4e12],
        1e-14,
    );
    root(&["x = 3e-9", "y = 4e12"], &[0.0, 0.0], &[3e-9, 4e12], 1e-14);
    root(
        &["x + y = 1", "y = 1e9*x"],
        &[1.0, 1.0],
        &[1.0 / (1.0 + 1e9), 1e9 / (1.0 + 1e9)],
        1e-14,
    );
}

#[test]
fn an_unknown_that_shrinks_by_decades_keeps_its_digits() {
    root(
        &["x*y = 1", "x = 1e-7*y^3"],
        &[1.0, 1.0],
        &[1e-7f64.powf(0.25), 1e7f64.powf(0.25)],
        1e-13,
    );
    root(
        &["exp(x) - 1 = 1e-8", "y = x"],
        &[1.0, 1.0],
        &[1e-8, 1e-8],
        1e-7,
    );
    root(
        &["x^2 = 1e-16", "y = 2*x"],
        &[1.0, 1.0],
        &[1e-8, 2e-8],
        1e-13,
    );
}

#[test]
fn badly_scaled_equations_are_solved() {
    // More, Garbow, Hillstrom, ACM TOMS 7 (1981) 17-41, problem 3: Powell badly scaled, whose
    // published root is (1.098…e-5, 9.106…); the first unknown starts at 0.
    let texts = ["1e4*x*y = 1", "exp(-x) + exp(-y) = 1.0001"];
    let found = solve_text(&texts, &[0.0, 1.0]).expect("a root");
    assert!(agree(found.values[0], 1.098e-5, 1e-3) && agree(found.values[1], 9.106, 1e-4));
    assert!(agree(1e4 * found.values[0] * found.values[1], 1.0, 1e-15));
    // Water alone: as many protons as hydroxide ions, in mol/L, from far too much of both.
    root(&["x*y = 1e-14", "x = y"], &[1.0, 1.0], &[1e-7, 1e-7], 1e-14);
    root(
        &["x*y = 1e-14", "x = y"],
        &[1e-3, 1e-12],
        &[1e-7, 1e-7],
        1e-14,
    );
    // A gas in J, Pa, m³ and K: pressure and temperature from volume and energy.
    root(
        &["x*1e-6 = 8.314*y", "12.5*y = 5e3"],
        &[1e5, 300.0],
        &[3.3256e9, 400.0],
        1e-14,
    );
}

#[test]
fn dependent_equations_are_named() {
    match solve_text(&["x + y = 4", "z = 1", "2*x + 2*y = 8"], &[1.0, 1.0, 5.0]) {
        Err(Failure::Dependent {
            equations,
            unknowns,
        }) => {
            assert_eq!((equations, unknowns), (vec![0, 2], vec![0, 1]));
        }
        other => panic!("{other:?}"),
    }
    // Along a curve: the same circle twice.
    let found = solve_text(&["x^2 + y^2 = 4", "3*x^2 + 3*y^2 = 12"], &[1.0, 0.5]);
    assert!(matches!(found, Err(Failure::Dependent { .. })), "{found:?}");
    // An unknown that is in no equation.
    let found = solve_text(&["x = 1", "x^2 = 1"], &[3.0, 2.0]);
    assert!(
        matches!(&found, Err(Failure::Dependent { unknowns, .. }) if *unknowns == [1]),
        "{found:?}"
    );
    let found = solve_text(&["x - x = 0"], &[3.0]);
    assert!(matches!(found, Err(Failure::Dependent { .. })), "{found:?}");
}

#[test]
fn contradicting_equations_are_named() {
    match solve_text(&["x + y = 1", "x + y = 2"], &[1.0, 1.0]) {
        Err(Failure::Inconsistent {
            equations,
            residual,
        }) => {
            assert_eq!(equations, [0, 1]);
            assert!(residual > 0.1, "{residual}");
        }
        other => panic!("{other:?}"),
    }
    for start in [[0.0, 0.0], [1e8, 1e-8], [0.5, 0.5]] {
        let found = solve_text(&["x + y = 1", "3*x + 3*y = 6"], &start);
        assert!(
            matches!(found, Err(Failure::Inconsistent { .. })),
            "{found:?}"
        );
    }
    let found = solve_text(&["x*y = 1", "z = 3", "x*y = 2"], &[1.0, 1.0, 1.0]);
    assert!(
        matches!(&found, Err(Failure::Inconsistent { equations, .. }) if *equations == [0, 2]),
        "{found:?}"
    );
}

#[test]
fn a_minimum_that_is_no_root_is_a_failure() {
    for texts in [["x^2 + y^2 = -1", "x = y"], ["x^2 + 1e-6 = 0", "y = 3"]] {
        let found = solve_text(&texts, &[1.0, 2.0]);
        assert!(
            matches!(found, Err(Failure::Minimum { .. })),
            "{texts:?}: {found:?}"
        );
    }
}

#[test]
fn a_start_at_a_singular_place_is_left() {
    root(&["x^2 = 1", "y = 2"], &[0.0, 0.0], &[1.0, 2.0], 1e-14);
    root(&["x^2 + y^2 = 2", "x = y"], &[0.0, 0.0], &[1.0, 1.0], 1e-14);
    root(&["x*y = 6", "x + y = 5"], &[1.0, 1.0], &[2.0, 3.0], 1e-14);
}

#[test]
fn a_singular_root_is_accepted_with_what_is_left() {
    let found = solve_text(&["(x - 1)^2 = 0", "y = 2"], &[3.0, 1.0]).expect("a root");
    assert!(
        agree(found.values[0], 1.0, 1e-7) && found.residual < 1e-13,
        "{found:?}"
    );
    let found = solve_text(&["x^2 - 2*x*y + y^2 = 0", "x + y = 2"], &[3.0, 1.0]).expect("a root");
    assert!(agree(found.values[0], 1.0, 1e-6), "{found:?}");
    let found = solve_text(&["x^2 = 0", "y^2 = 0"], &[0.0, 0.0]).expect("a root");
    assert_eq!((found.values, found.iterations), (vec![0.0, 0.0], 0));
}

#[test]
fn steps_to_where_there_is_no_value_are_halved() {
    root(
        &["ln(x) + y = 1", "sqrt(y) = 1"],
        &[30.0, 0.01],
        &[1.0, 1.0],
        1e-13,
    );
    let found = solve_text(&["ln(x) = 1", "y = 1"], &[-1.0, 1.0]);
    assert_eq!(
        found,
        Err(Failure::Stopped(
            "a logarithm of a number that is not positive"
        ))
    );
}

#[test]
fn unknowns_that_run_away_are_told() {
    let found = solve_text(&["1/x = 0", "y = 1"], &[1.0, 1.0]);
    assert!(matches!(found, Err(Failure::Diverged { .. })), "{found:?}");
    let found = solve_text(&["exp(-x) = 0", "y = 1"], &[1.0, 1.0]);
    assert!(
        matches!(found, Err(Failure::NotConverged { .. })),
        "{found:?}"
    );
}

#[test]
fn what_is_not_a_number_is_told_and_nothing_panics() {
    for bad in [f64::NAN, f64::INFINITY] {
        let found = system::<Undefined>(&mut |_| Ok((vec![bad], vec![1.0])), &[1.0]);
        assert!(matches!(found, Err(Failure::NotFinite { .. })), "{found:?}");
        let found = system::<Undefined>(&mut |_| Ok((vec![1.0], vec![bad])), &[1.0]);
        assert!(matches!(found, Err(Failure::NotFinite { .. })), "{found:?}");
        let found = system::<Undefined>(&mut |x| Ok((x.to_vec(), vec![1.0])), &[bad]);
        assert!(matches!(found, Err(Failure::NotFinite { .. })), "{found:?}");
    }
    // A value only at the start.
    let mut asked = 0;
    let found = system::<Undefined>(
        &mut |_| {
            asked += 1;
            Ok((vec![if asked == 1 { 1.0 } else { f64::NAN }], vec![1.0]))
        },
        &[1.0],
    );
    assert!(matches!(found, Err(Failure::Minimum { .. })), "{found:?}");
}

#[test]
fn the_number_of_unknowns_and_equations_is_checked() {
    let many = vec![1.0; MOST_UNKNOWNS + 1];
    for start in [&[][..], &many] {
        let found = system::<Undefined>(&mut |x| Ok((x.to_vec(), vec![])), start);
        assert!(matches!(found, Err(Failure::Shape { .. })), "{found:?}");
    }
    let found = system::<Undefined>(&mut |_| Ok((vec![1.0], vec![1.0])), &[1.0, 2.0]);
    assert_eq!(
        found,
        Err(Failure::Shape {
            unknowns: 2,
            equations: 1
        })
    );
}

#[test]
fn as_many_unknowns_as_allowed_are_solved() {
    // Broyden tridiagonal: More, Garbow, Hillstrom, ACM TOMS 7 (1981) 17-41, problem 30.
    let count = MOST_UNKNOWNS;
    let mut f = |x: &[f64]| -> Result<super::super::Linearised, Undefined> {
        let mut jacobian = vec![0.0; count * count];
        let mut residuals = vec![0.0; count];
        for i in 0..count {
            let before = if i > 0 { x[i - 1] } else { 0.0 };
            let after = x.get(i + 1).copied().unwrap_or(0.0);
            residuals[i] = (3.0 - 2.0 * x[i]) * x[i] - before - 2.0 * after + 1.0;
            jacobian[i * count + i] = 3.0 - 4.0 * x[i];
            if i > 0 {
                jacobian[i * count + i - 1] = -1.0;
            }
            if i + 1 < count {
                jacobian[i * count + i + 1] = -2.0;
            }
        }
        Ok((residuals, jacobian))
    };
    let found = system(&mut f, &vec![-1.0; count]).expect("a root");
    let (residuals, _) = f(&found.values).expect("a value");
    assert!(residuals.iter().all(|r| r.abs() < 1e-14), "{residuals:?}");
}

#[test]
fn sizes_that_are_given_are_used() {
    // Multiplied out, the equation shows its own rounding of 1e-10; the caller knows its terms.
    let names = &["x", "y"];
    let equations = [
        equation("(x + 1e6) - 1e6 = 0.1", names),
        equation("y = 2*x", names),
    ];
    let scales = Scales {
        unknowns: &[0.1, 0.1],
        residuals: &[1e6, 1.0],
    };
    let found = system_scaled(&mut |x| linearise(&equations, x), &[5.0, 5.0], scales);
    let found = found.expect("a root");
    assert!(
        agree(found.values[0], 0.1, 1e-8) && found.residual < 1e-15,
        "{found:?}"
    );
    // Without them it is found out.
    let found = system(&mut |x| linearise(&equations, x), &[5.0, 5.0]).expect("a root");
    assert!(agree(found.values[0], 0.1, 1e-8), "{found:?}");
    let useless = Scales {
        unknowns: &[f64::NAN, -1.0, 7.0],
        residuals: &[0.0],
    };
    let found = system_scaled(&mut |x| linearise(&equations, x), &[5.0, 5.0], useless);
    assert!(found.is_ok(), "{found:?}");
}
