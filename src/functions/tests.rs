//! Laws that every row of the table keeps.

use super::Function;
use super::row::{Course, Value};

/// Numbers that are tried for each argument.
const TRIED: [f64; 8] = [-2.6, -0.7, 0.37, 0.9, 1.0, 1.8, 3.0, 40.3];

/// Arguments for which a function is defined.
fn tried(function: Function) -> Vec<Vec<f64>> {
    let count = function.arity().0.max(function.arguments().len());
    let choices = TRIED.len().pow(count as u32);
    let all = (0..choices).map(|choice| {
        let place = |at: usize| choice / TRIED.len().pow(at as u32) % TRIED.len();
        (0..count).map(|at| TRIED[place(at)]).collect::<Vec<f64>>()
    });
    all.filter(|arguments| function.is_defined(arguments))
        .collect()
}

fn is_computed(function: &Function) -> bool {
    !matches!(function.row().value, Value::Composed)
}

fn moved(arguments: &[f64], at: usize, by: f64) -> Vec<f64> {
    let mut moved = arguments.to_vec();
    moved[at] += by;
    moved
}

#[test]
fn names_are_sorted_and_found() {
    let names: Vec<&str> = Function::ALL.iter().map(|it| it.name()).collect();
    assert!(names.is_sorted(), "{names:?}");
    for function in Function::ALL {
        assert_eq!(Function::named(function.name()), Some(*function));
        assert!(!function.gives().is_empty(), "{function:?}");
        // A digit at the end of a name that is not reserved is the subscript of a quantity.
        let is_plain = !function
            .name()
            .ends_with(|last: char| last.is_ascii_digit());
        assert!(function.is_reserved() || is_plain, "{function:?}");
    }
}

#[test]
fn derivatives_agree_with_differences() {
    let computed = Function::ALL.iter().filter(|it| is_computed(it));
    for function in computed.filter(|it| it.row().course == Course::Smooth) {
        let mut compared = 0;
        for arguments in tried(*function) {
            for at in 0..arguments.len() {
                let step = 1e-6 * arguments[at].abs();
                let ends = [-step, step].map(|by| moved(&arguments, at, by));
                if !ends.iter().all(|end| function.is_defined(end)) {
                    continue;
                }
                let [low, high] = ends.map(|end| function.value(&end));
                let difference = (high - low) / (2.0 * step);
                let slope = function.slopes(&arguments)[at];
                let room = 1e-6 * difference.abs().max(1.0);
                let is_kink = arguments.windows(2).any(|pair| pair[0] == pair[1]);
                if difference.is_finite() && !is_kink {
                    assert!(
                        (difference - slope).abs() < room,
                        "{function:?}{arguments:?}"
                    );
                    compared += 1;
                }
            }
        }
        assert!(compared > 2, "{function:?}");
    }
}

#[test]
fn the_bound_holds_for_errors_of_the_arguments() {
    for function in Function::ALL.iter().filter(|it| is_computed(it)) {
        let mut bounded = 0;
        for arguments in tried(*function) {
            let errors = vec![1e-4; arguments.len()];
            let Some(bound) = function.error(&arguments, &errors) else {
                continue;
            };
            let value = function.value(&arguments);
            for at in 0..arguments.len() {
                for share in [-1.0, -0.3, 0.6, 1.0] {
                    let off = function.value(&moved(&arguments, at, 1e-4 * share));
                    let rounding = 1e-12 * value.abs().max(1.0);
                    let is_held = (off - value).abs() <= bound + rounding;
                    assert!(is_held, "{function:?}{arguments:?}: {off} {value} {bound}");
                }
            }
            bounded += 1;
        }
        let takes_whole_numbers = function.domain(0).is_some_and(|it| !(it.holds)(0.5));
        assert!(bounded > 2 || takes_whole_numbers, "{function:?}");
    }
}

#[test]
fn values_are_those_of_another_calculator() {
    let mut compared = 0;
    for function in Function::ALL.iter().filter(|it| is_computed(it)) {
        for arguments in tried(*function) {
            let digits: Vec<String> = arguments.iter().map(|it| format!("{it:?}")).collect();
            let other = ["math::", ""].into_iter().find_map(|room| {
                let call = format!("{room}{}({})", function.name(), digits.join(", "));
                evalexpr::eval_number(&call).ok()
            });
            let Some(other) = other else { continue };
            let value = function.value(&arguments);
            let room = 1e-14 * other.abs().max(1.0);
            let is_one =
                (value - other).abs() <= room || (!value.is_finite() && !other.is_finite());
            assert!(is_one, "{function:?}{arguments:?}: {value} {other}");
            compared += 1;
        }
    }
    assert!(compared > 150, "{compared}");
}

#[test]
fn rounding_of_earlier_steps_does_not_decide() {
    let value = |function: Function, x: f64| function.value(&[x]);
    assert_eq!(value(Function::Floor, 0.6 / 0.2), 3.0);
    assert_eq!(value(Function::Ceil, (0.1 + 0.2) / 0.1), 3.0);
    assert_eq!(value(Function::Round, 1.005 * 100.0), 101.0);
    assert_eq!(value(Function::Floor, 2.999), 2.0);
    assert_eq!(value(Function::Sin, std::f64::consts::PI), 0.0);
    assert_eq!(value(Function::Sin, 1e-20), 1e-20);
    assert!(value(Function::Tan, std::f64::consts::FRAC_PI_2).is_infinite());
    assert_eq!(Function::Sum.value(&[0.1, 0.2, -0.3]), 0.0);
}

#[test]
fn nothing_is_said_at_a_step_or_at_the_end_of_a_domain() {
    assert_eq!(Function::Floor.error(&[3.0], &[1e-9]), None);
    assert_eq!(Function::Floor.error(&[2.5], &[1e-9]), Some(0.0));
    assert_eq!(Function::Ln.error(&[1e-9], &[1e-9]), None);
    assert_eq!(Function::Sin.error(&[1.0], &[1.0]), None);
}

#[test]
fn several_arguments_or_a_list_may_be_meant_for_the_function() {
    assert!(Function::Bessel.claims(2, false));
    assert!(!Function::Bessel.claims(3, false));
    assert!(!Function::Erf.claims(1, false));
    assert!(!Function::Erf.claims(1, true));
    assert!(Function::Mean.claims(1, true));
}

/// A sum of a hundred thousand equal terms is that many times the term, which a product gives with
/// one rounding.
#[test]
fn long_sums_stay_within_their_bound() {
    let count = 100_000;
    let no_errors = vec![0.0; count];
    for term in [0.1, 1.0 / 3.0, 7.7e-9, 1e15 + 0.3] {
        let terms = vec![term; count];
        let expected = [(Function::Sum, term * count as f64), (Function::Mean, term)];
        for (function, expected) in expected {
            let bound = function.error(&terms, &no_errors).unwrap();
            let error = (function.value(&terms) - expected).abs();
            assert!(error <= bound + f64::EPSILON * expected, "{term}: {error}");
            assert!(error <= 2.0 * f64::EPSILON * expected, "{term}: {error}");
        }
        assert!(Function::StandardDeviation.value(&terms) <= 1e-15 * term);
    }
}
