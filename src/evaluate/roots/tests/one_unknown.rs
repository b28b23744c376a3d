//! One equation: brackets, starts, and functions that misbehave.

use super::super::{Failure, Root, between};
use super::expression::Undefined;
use super::{agree, between_text, near, near_text};
use std::f64::consts::PI;

#[track_caller]
fn root(text: &str, low: f64, high: f64, expected: f64, tolerance: f64) {
    match between_text(text, low, high) {
        Ok(root) => assert!(agree(root.value, expected, tolerance), "{text}: {root:?}"),
        Err(failure) => panic!("{text}: {failure:?}"),
    }
}

#[track_caller]
fn several(text: &str, low: f64, high: f64, expected: &[f64]) {
    match between_text(text, low, high) {
        Err(Failure::Several(roots)) => {
            let close = |(a, b): (&f64, &f64)| agree(*a, *b, 1e-9) || (a - b).abs() < 1e-12;
            assert!(roots.len() == expected.len(), "{text}: {roots:?}");
            assert!(roots.iter().zip(expected).all(close), "{text}: {roots:?}");
        }
        other => panic!("{text}: {other:?}"),
    }
}

#[track_caller]
fn near_root(text: &str, start: f64, expected: f64, tolerance: f64) {
    match near_text(text, start) {
        Ok(root) => assert!(agree(root.value, expected, tolerance), "{text}: {root:?}"),
        Err(failure) => panic!("{text}: {failure:?}"),
    }
}

#[test]
fn all_roots_of_a_bracket_are_found() {
    several("x^2 = 4", -10.0, 10.0, &[-2.0, 2.0]);
    several(
        "sin(x) = 0",
        1.0,
        20.0,
        &[PI, 2.0 * PI, 3.0 * PI, 4.0 * PI, 5.0 * PI, 6.0 * PI],
    );
    several("(x - 1)*(x - 2)*(x - 3) = 0", 0.0, 4.0, &[1.0, 2.0, 3.0]);
    several(
        "sin(x) - x/2 = 0",
        -3.0,
        3.0,
        &[-1.895_494_267_033_981, 0.0, 1.895_494_267_033_981],
    );
    several(
        "x = 5*(1 - exp(-x))",
        0.0,
        10.0,
        &[0.0, 4.965_114_231_744_276],
    );
}

#[test]
fn roots_that_are_decades_apart_are_found() {
    several("(x - 1e-6)*(x - 2e3) = 0", 1e-9, 1e6, &[1e-6, 2e3]);
    several("(x + 1e-6)*(x + 2e3) = 0", -1e6, -1e-9, &[-2e3, -1e-6]);
    several("x*(x - 1e-5)*(x - 1) = 0", 0.0, 10.0, &[0.0, 1e-5, 1.0]);
}

#[test]
fn two_roots_in_one_cell_are_found_at_the_minimum_between_them() {
    several("(x - 0.501)*(x - 0.502) = 0", 0.0, 1.0, &[0.501, 0.502]);
    several("(x - 0.001)*(x - 0.002) = 0", -1.0, 1.0, &[0.001, 0.002]);
}

#[test]
fn poles_are_no_roots() {
    several(
        "tan(x) = x",
        4.0,
        11.0,
        &[
            4.493_409_457_909_064,
            7.725_251_836_937_707,
            10.904_121_659_428_899,
        ],
    );
    root("tan(x) = 0", 2.0, 6.0, PI, 1e-12);
    root("1/(x - 1) + 4 = 0", 0.0, 3.0, 0.75, 1e-12);
    for (text, low, high, pole) in [
        ("tan(x) = 0", 1.0, 2.0, PI / 2.0),
        ("1/x = 0", -1.0, 2.0, 0.0),
        ("1/(x - 1) = 0", 0.0, 2.0, 1.0),
        ("1/(x - 0.3) = 0", 0.0, 2.0, 0.3),
        ("1/cbrt(x - 0.3) = 0", 0.0, 2.0, 0.3),
        ("tan(x) = x", 4.6, 4.8, 1.5 * PI),
    ] {
        match between_text(text, low, high) {
            Err(Failure::Pole { at }) => assert!((at - pole).abs() < 1e-9, "{text}: {at}"),
            other => panic!("{text}: {other:?}"),
        }
    }
}

#[test]
fn a_jump_over_zero_is_no_root() {
    for (text, at_least, at_most) in [
        ("abs(x - 0.3)/(x - 0.3) = 0", 0.29, 0.31),
        ("x + abs(x - 0.3)/(x - 0.3)*1e-3 = 0.3", 0.29, 0.31),
        ("atan(1/(x - 0.3)) = 0", 0.29, 0.31),
    ] {
        match between_text(text, -1.0, 2.0) {
            Err(Failure::Jump { at }) => assert!((at_least..at_most).contains(&at), "{text}: {at}"),
            other => panic!("{text}: {other:?}"),
        }
    }
}

#[test]
fn without_a_change_of_sign_both_ends_are_told() {
    match between_text("x^2 + 1 = 0", -1.0, 3.0) {
        Err(Failure::NoSignChange {
            left,
            right,
            low,
            high,
        }) => {
            assert_eq!((left, right, low, high), (2.0, 10.0, -1.0, 3.0));
        }
        other => panic!("{other:?}"),
    }
    // The part of a bracket without values is left out.
    match between_text("sqrt(x) + 1 = 0", -1.0, 4.0) {
        Err(Failure::NoSignChange { left, low, .. }) => assert_eq!((left, low), (1.0, 0.0)),
        other => panic!("{other:?}"),
    }
}

#[test]
fn a_root_that_only_touches_zero_is_found() {
    root("(x - 1/3)^2 = 0", 0.0, 1.0, 1.0 / 3.0, 1e-12);
    root("x^2 - 2*x + 1 = 0", 0.1, 3.0, 1.0, 1e-7);
    root("9*x^2 - 6*x + 1 = 0", -0.9, 3.0, 1.0 / 3.0, 1e-7);
    root("(x^2 - 2)^2 = 0", 0.0, 10.0, 2f64.sqrt(), 1e-9);
    root("cos(x) = 1", 1.0, 10.0, 2.0 * PI, 1e-7);
    root("abs(x - 0.7) = 0", 0.0, 1.0, 0.7, 1e-12);
    root("exp(x - 0.7) - 1 - (x - 0.7) = 0", 0.0, 1.0, 0.7, 1e-7);
    root("(x - 0.003)^2 = 0", 0.0, 1.0, 0.003, 1e-12);
}

#[test]
fn a_minimum_just_above_zero_is_no_root() {
    for text in [
        "(x - 1/3)^2 + 1e-12 = 0",
        "x^2 - 2*x + 1 + 1e-12 = 0",
        "cosh(x - 0.2) = 1 - 1e-12",
    ] {
        let found = between_text(text, -1.1, 3.0);
        assert!(
            matches!(found, Err(Failure::NoSignChange { .. })),
            "{text}: {found:?}"
        );
        let found = near_text(text, 2.5);
        assert!(
            matches!(found, Err(Failure::Minimum { .. })),
            "{text}: {found:?}"
        );
    }
}

#[test]
fn roots_of_odd_order_are_found() {
    root("(x - 1/3)^3 = 0", 0.0, 1.0, 1.0 / 3.0, 1e-9);
    root("x^3 - 3*x^2 + 3*x - 1 = 0", 0.11, 3.0, 1.0, 1e-4);
    root("(x - 0.3)^9 = 0", 0.0, 1.0, 0.3, 1e-6);
    root("cbrt(x - 0.3) = 0", -1.0, 1.0, 0.3, 1e-12);
}

#[test]
fn roots_at_the_ends_count() {
    root("x^2 - 1 = 0", 1.0, 3.0, 1.0, 0.0);
    root("x^2 - 9 = 0", 1.0, 3.0, 3.0, 0.0);
    root("sin(x) = 0", 1.0, PI, PI, 1e-15);
    several("sin(x) = 0", 0.0, 2.0 * PI, &[0.0, PI, 2.0 * PI]);
    root("sqrt(x) = 0", -1.0, 4.0, 0.0, 0.0);
    root("sqrt(x - 1/3) = 0", 0.0, 4.0, 1.0 / 3.0, 1e-12);
    root("x = 2", 2.0, 2.0, 2.0, 0.0);
    root("x = 2", 3.0, 1.0, 2.0, 1e-15);
}

#[test]
fn places_without_a_value_are_passed_over() {
    root("ln(x) = 1", -5.0, 5.0, std::f64::consts::E, 1e-14);
    root("sqrt(x - 1) = 1/2", 0.0, 3.0, 1.25, 1e-14);
    root("asin(x) = 1", -3.0, 3.0, 1f64.sin(), 1e-14);
    // Two branches of opposite sign with a hole between them hold no root.
    let found = between_text("sqrt(x^2 - 1) = -x", -3.0, 3.0);
    assert!(
        matches!(
            found,
            Err(Failure::NoSignChange { .. } | Failure::Jump { .. })
        ),
        "{found:?}"
    );
    let found = between_text("sqrt(-1 - x^2) = x", -3.0, 3.0);
    assert_eq!(found, Err(Failure::Stopped("a root of a negative number")));
}

#[test]
fn numbers_of_any_size_are_solved() {
    root("x^2 = 2e-20", 1e-12, 1e-8, 2e-20f64.sqrt(), 1e-14);
    root("x^2 = 2e40", 1e10, 1e30, 2e40f64.sqrt(), 1e-14);
    root("1e-30*(x - 3e-7) = 0", 0.0, 1.0, 3e-7, 1e-12);
    root("1e30*(x - 3e7) = 0", -1e9, 1e9, 3e7, 1e-14);
    near_root("x^2 = 2e-20", 1e-9, 2e-20f64.sqrt(), 1e-14);
    near_root("x^2 = 2e40", 1e19, 2e40f64.sqrt(), 1e-14);
    near_root("1e-30*(x - 3e-7) = 0", 0.0, 3e-7, 1e-14);
    near_root("1e30*(x - 3e7) = 0", 1.0, 3e7, 1e-14);
}

#[test]
fn a_function_that_is_zero_over_a_stretch_is_dependent() {
    for text in ["x - x = 0", "abs(x) = x"] {
        let found = between_text(text, -1.0, 2.0);
        assert!(
            matches!(found, Err(Failure::Dependent { .. })),
            "{text}: {found:?}"
        );
        let found = near_text(text, 1.0);
        assert!(
            matches!(found, Err(Failure::Dependent { .. })),
            "{text}: {found:?}"
        );
    }
}

#[test]
fn what_is_not_a_number_is_told_and_nothing_panics() {
    for bad in [f64::NAN, f64::INFINITY, f64::NEG_INFINITY] {
        let found = between::<Undefined>(&mut |_| Ok(bad), 0.0, 1.0);
        assert!(matches!(found, Err(Failure::NotFinite { .. })), "{found:?}");
        let found = near::<Undefined>(&|_| Ok((bad, bad)), 0.0);
        assert!(matches!(found, Err(Failure::NotFinite { .. })), "{found:?}");
        let found = between::<Undefined>(&mut Ok, 0.0, bad);
        assert!(matches!(found, Err(Failure::NotFinite { .. })), "{found:?}");
        let found = near::<Undefined>(&|x| Ok((x, 1.0)), bad);
        assert!(matches!(found, Err(Failure::NotFinite { .. })), "{found:?}");
    }
    let half = between::<Undefined>(
        &mut |x| Ok(if x < 0.5 { f64::NAN } else { x - 0.75 }),
        0.0,
        1.0,
    );
    assert!(half.is_ok_and(|root| root.value == 0.75));
    // A derivative that is no number leaves the search around the start.
    let found = near::<Undefined>(&|x| Ok((x - 2.0, f64::NAN)), 1.0);
    assert!(found.is_ok_and(|root| agree(root.value, 2.0, 1e-15)));
    assert!(between::<Undefined>(&mut |x| Ok(x - 1.0), -f64::MAX, f64::MAX).is_err());
}

#[test]
fn the_root_nearest_to_the_start_is_taken() {
    // Newton's first step leads from 1.6 far away, as the cosine is nearly flat there.
    near_root("sin(x) = 0.5", 1.6, PI * 5.0 / 6.0, 1e-14);
    near_root("sin(x) = 0.5", 1.5, PI / 6.0, 1e-14);
    near_root("sin(x) = 0", 100.0, 32.0 * PI, 1e-14);
    near_root("x^2 = 4", 0.1, 2.0, 1e-14);
    near_root("x^2 = 4", -0.1, -2.0, 1e-14);
    near_root("tan(x) = x", 7.5, 7.725_251_836_937_707, 1e-12);
    near_root("(x - 1)*(x - 2)*(x - 3) = 0", 2.45, 2.0, 1e-14);
}

#[test]
fn a_start_at_which_newton_fails_is_left() {
    near_root("x^2 = 4", 0.0, -2.0, 1e-14);
    near_root("cos(x) = 0.5", 0.0, -PI / 3.0, 1e-14);
    near_root("cbrt(x - 0.3) = 0", 1.0, 0.3, 1e-12);
    near_root("ln(x) = 1", 30.0, std::f64::consts::E, 1e-14);
    near_root("sqrt(x) = 3", 1e-6, 9.0, 1e-14);
    near_root("x^3 - 2*x + 2 = 0", 0.0, -1.769_292_354_238_631_4, 1e-14);
}

#[test]
fn double_roots_are_found_from_a_start() {
    near_root("(x - 1/3)^2 = 0", 1.0, 1.0 / 3.0, 1e-7);
    near_root("x^2 - 2*x + 1 = 0", 3.0, 1.0, 1e-7);
    near_root("cos(x) = 1", 6.0, 2.0 * PI, 1e-7);
    near_root("(x - 0.3)^4 = 0", 1.0, 0.3, 1e-3);
}

#[test]
fn the_end_of_a_search_without_a_root_is_told() {
    let found = near_text("x^2 + 1 = 0", 3.0);
    assert!(
        matches!(found, Err(Failure::Minimum { residual, .. }) if agree(residual, 1.0, 1e-9)),
        "{found:?}"
    );
    let found = near_text("1/x = 0", 1.0);
    assert!(matches!(found, Err(Failure::Diverged { .. })), "{found:?}");
    let found = near_text("exp(-x) = 0", 1.0);
    assert!(found.is_err(), "{found:?}");
    assert_eq!(
        near_text("sqrt(x) = 1", -1.0),
        Err(Failure::Stopped("a root of a negative number"))
    );
    let exact = near_text("x = 2", 2.0);
    assert_eq!(
        exact,
        Ok(Root {
            value: 2.0,
            residual: 0.0,
            iterations: 0
        })
    );
}

#[test]
fn a_function_that_is_rough_at_every_size_has_no_root_to_speak_of() {
    // Digits of a hash of the place: the sign changes everywhere, and nothing is continuous.
    let rough = |x: f64| {
        let bits = x.to_bits().wrapping_mul(0xff51_afd7_ed55_8ccd);
        let bits = (bits ^ (bits >> 33)).wrapping_mul(0xc4ce_b9fe_1a85_ec53);
        ((bits >> 11) as f64) / 2f64.powi(52) - 1.0
    };
    let found = between::<Undefined>(&mut |x| Ok(rough(x)), 1.0, 2.0);
    assert!(
        matches!(found, Err(Failure::Jump { .. } | Failure::Pole { .. })),
        "{found:?}"
    );
    let found = near::<Undefined>(&|x| Ok((rough(x), rough(x + 1.0))), 1.0);
    assert!(found.is_err(), "{found:?}");
}
