//! Derivatives: against worked cases, a table, and laws.

use proptest::prelude::*;
use rustc_hash::FxHashMap;
use serde_json::Value;

use crate::algebra::node::{Id, Symbol};
use crate::algebra::text::Named;
use crate::algebra::{Algebra, Point};

/// Formulas in `a`, `b` and `x`, with every smooth function.
pub(crate) fn formula() -> impl Strategy<Value = String> {
    let leaf = prop_oneof![
        4 => Just("x".to_owned()),
        2 => Just("a".to_owned()),
        2 => Just("b".to_owned()),
        1 => (1..13_u32).prop_map(|number| number.to_string()),
        1 => Just("0.25".to_owned()),
        1 => Just("pi".to_owned()),
    ];
    leaf.prop_recursive(4, 24, 3, |inner| {
        let pair = (inner.clone(), inner.clone());
        let call = prop::sample::select(vec![
            "exp", "ln", "sin", "cos", "tan", "asin", "acos", "atan", "sinh", "cosh", "tanh",
            "asinh", "abs", "cbrt", "sqrt", "log10",
        ]);
        let power = prop::sample::select(vec!["2", "-1", "3", "-2", "1/2", "-1/2", "2/3", "-3/2"]);
        prop_oneof![
            3 => pair.clone().prop_map(|(one, other)| format!("({one} + {other})")),
            3 => pair.clone().prop_map(|(one, other)| format!("({one} - {other})")),
            3 => pair.clone().prop_map(|(one, other)| format!("{one}*{other}")),
            3 => pair.clone().prop_map(|(one, other)| format!("({one})/({other})")),
            1 => pair.prop_map(|(one, other)| format!("({one})^({other})")),
            2 => (inner.clone(), power).prop_map(|(base, power)| format!("({base})^({power})")),
            2 => (inner, call).prop_map(|(argument, call)| format!("{call}({argument})")),
        ]
    })
}

/// Values of `a`, `b` and `x`, all above zero.
pub(crate) fn values() -> impl Strategy<Value = [f64; 3]> {
    [0.2..2.0, 0.2..2.0, 0.2..2.0].prop_map(|[a, b, x]: [f64; 3]| [a, b, x])
}

/// The names of [`formula`], known to be above zero or not.
pub(crate) fn named(known: bool) -> Named {
    if known {
        return Named::new(&["a", "b", "x"]);
    }
    let mut named = Named::new(&[]);
    for name in ["a", "b", "x"] {
        named.symbol(name);
    }
    named
}

pub(crate) fn point(values: &[f64]) -> Point {
    let symbols = (0..values.len() as u32).map(Symbol);
    let at: FxHashMap<Symbol, f64> = symbols.zip(values.iter().copied()).collect();
    Point::new(at)
}

fn slope(named: &mut Named, id: Id, name: &str) -> Id {
    let by = named.symbol(name);
    named.algebra.differentiate(id, by).unwrap()
}

/// The slope by `x` from values on both sides, when it is not lost in rounding.
fn central(algebra: &Algebra, id: Id, [a, b, x]: [f64; 3]) -> Option<f64> {
    let slope = |step: f64| {
        let above = point(&[a, b, x + step]).value(algebra, id);
        let below = point(&[a, b, x - step]).value(algebra, id);
        (above - below) / (2.0 * step)
    };
    let (coarse, fine) = (slope(2e-5), slope(1e-5));
    let value = point(&[a, b, x]).value(algebra, id);
    let size = fine.abs().max(value.abs()).max(1.0);
    ((coarse - fine).abs() < 1e-7 * size && size < 1e6).then_some(fine)
}

fn close(one: f64, other: f64) -> bool {
    (one - other).abs() <= 1e-9 * one.abs().max(other.abs()).max(1.0)
}

#[test]
fn the_worked_cases_agree() {
    let path = concat!(env!("CARGO_MANIFEST_DIR"), "/tests/reference/algebra.json");
    let text = std::fs::read_to_string(path).unwrap();
    let cases: Vec<Value> = serde_json::from_str(&text).unwrap();
    let mut count = 0;
    for case in cases.iter().filter(|case| case["kind"] == "derivative") {
        let mut named = Named::new(&[]);
        let formula = named.read(case["equations"][0].as_str().unwrap());
        let found = slope(&mut named, formula, case["wrt"].as_str().unwrap());
        let expected = named.read(case["expected"][0]["value"].as_str().unwrap());
        for values in [[0.31, 0.72, 0.53, 0.24], [0.83, 0.42, 0.27, 0.64]] {
            let mut point = point(&values);
            let algebra = &named.algebra;
            let (found, expected) = (point.value(algebra, found), point.value(algebra, expected));
            assert!(
                close(found, expected),
                "{}: {found} and {expected}",
                case["id"]
            );
        }
        count += 1;
    }
    assert!(count >= 12, "{count} cases");
}

#[test]
fn each_function_has_its_derivative() {
    let table = [
        ("7", "0"),
        ("pi*a", "0"),
        ("x", "1"),
        ("3*x^2 - 5*x + 4", "6*x - 5"),
        ("1/x", "-1/x^2"),
        ("sqrt(x)", "1/(2*sqrt(x))"),
        ("x^(2/3)", "(2/3)*x^(-1/3)"),
        ("x^n", "n*x^(n - 1)"),
        ("a^x", "a^x*ln(a)"),
        ("x^x", "x^x*ln(x) + x^x"),
        ("10^x", "10^x*ln(10)"),
        ("exp(-k*x)", "-k*exp(-k*x)"),
        ("ln(3*x)", "1/x"),
        ("log10(x)", "1/(x*ln(10))"),
        ("sin(w*x)", "w*cos(w*x)"),
        ("cos(w*x)", "-w*sin(w*x)"),
        ("tan(x)", "1/cos(x)^2"),
        ("asin(x)", "1/sqrt(1 - x^2)"),
        ("acos(x)", "-1/sqrt(1 - x^2)"),
        ("atan(x)", "1/(1 + x^2)"),
        ("atan2(x, a)", "a/(a^2 + x^2)"),
        ("atan2(a, x)", "-a/(a^2 + x^2)"),
        ("sinh(x)", "cosh(x)"),
        ("cosh(x)", "sinh(x)"),
        ("tanh(x)", "1/cosh(x)^2"),
        ("asinh(x)", "1/sqrt(1 + x^2)"),
        ("abs(x)", "sign(x)"),
        ("cbrt(x)", "1/(3*cbrt(x)^2)"),
        ("floor(a)*x", "floor(a)"),
        ("max(a, b)*x", "max(a, b)"),
    ];
    for (formula, expected) in table {
        let mut named = Named::new(&[]);
        let id = named.read(formula);
        let found = slope(&mut named, id, "x");
        let expected = named.read(expected);
        assert_eq!(named.show(found), named.show(expected), "{formula}");
    }
}

#[test]
fn steps_and_choices_have_no_derivative() {
    for formula in [
        "floor(x)",
        "a*sign(x)",
        "min(x, a)",
        "max(a, x)^2",
        "sin(floor(2*x))",
        "1/0",
    ] {
        let mut named = Named::new(&[]);
        let id = named.read(formula);
        let by = named.symbol("x");
        assert_eq!(named.algebra.differentiate(id, by), None, "{formula}");
    }
}

#[test]
fn shared_parts_are_differentiated_once() {
    let mut named = Named::new(&[]);
    let mut id = named.read("x");
    for _ in 0..200 {
        let (sine, cosine) = (
            named.algebra.call(crate::algebra::Function::Sin, &[id]),
            named.algebra.call(crate::algebra::Function::Cos, &[id]),
        );
        id = named.algebra.multiply(&[sine, cosine]);
    }
    slope(&mut named, id, "x");
    assert!(named.algebra.len() < 20_000, "{}", named.algebra.len());
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(400))]

    #[test]
    fn the_derivative_is_the_slope(formula in formula(), values in values(), known: bool) {
        let mut named = named(known);
        let id = named.read(&formula);
        let by = named.symbol("x");
        if let Some(found) = named.algebra.differentiate(id, by)
            && let Some(expected) = central(&named.algebra, id, values)
        {
            let found = point(&values).value(&named.algebra, found);
            let size = found.abs().max(expected.abs()).max(1.0);
            prop_assert!((found - expected).abs() < 1e-4 * size, "{formula}: {found} and {expected}");
        }
    }

    #[test]
    fn it_is_linear(one in formula(), other in formula(), values in values()) {
        let mut named = named(true);
        let (left, right) = (named.read(&one), named.read(&other));
        let sum = named.read(&format!("3*({one}) - a*({other})"));
        let by = named.symbol("x");
        let slopes = [sum, left, right].map(|id| named.algebra.differentiate(id, by));
        if let [Some(sum), Some(left), Some(right)] = slopes {
            let mut point = point(&values);
            let [sum, left, right] = [sum, left, right].map(|id| point.value(&named.algebra, id));
            let (left, right) = (3.0 * left, values[0] * right);
            let size = sum.abs().max(left.abs()).max(right.abs()).max(1.0);
            let fails = (sum - (left - right)).abs() > 1e-6 * size && size < 1e9;
            prop_assert!(!fails, "{one}, {other}: {sum}, {left}, {right}");
        }
    }

    #[test]
    fn it_obeys_the_product_rule(one in formula(), other in formula(), values in values()) {
        let mut named = named(true);
        let (left, right) = (named.read(&one), named.read(&other));
        let product = named.algebra.multiply(&[left, right]);
        let by = named.symbol("x");
        let slopes = [product, left, right].map(|id| named.algebra.differentiate(id, by));
        if let [Some(product), Some(left_slope), Some(right_slope)] = slopes {
            let mut point = point(&values);
            let [found, u, v, du, dv] = [product, left, right, left_slope, right_slope]
                .map(|id| point.value(&named.algebra, id));
            let size = found.abs().max((u * dv).abs()).max((v * du).abs()).max(1.0);
            let fails = (found - (u * dv + v * du)).abs() > 1e-6 * size && size < 1e9;
            prop_assert!(!fails, "{one}, {other}: {found}");
        }
    }

    #[test]
    fn it_obeys_the_chain_rule(outer in formula(), inner in formula(), values in values()) {
        let mut named = named(false);
        let (outer, inner) = (named.read(&outer), named.read(&inner));
        let by = named.symbol("x");
        let x = named.algebra.symbol(by);
        let composed = named.algebra.substitute(outer, &FxHashMap::from_iter([(x, inner)]));
        let slopes = [composed, outer, inner].map(|id| named.algebra.differentiate(id, by));
        if let [Some(composed), Some(outer), Some(slope)] = slopes {
            let at = point(&values).value(&named.algebra, inner);
            let found = point(&values).value(&named.algebra, composed);
            let outer = point(&[values[0], values[1], at]).value(&named.algebra, outer);
            let expected = outer * point(&values).value(&named.algebra, slope);
            let size = found.abs().max(expected.abs()).max(1.0);
            let fails = (found - expected).abs() > 1e-5 * size && size < 1e7;
            prop_assert!(!fails, "{found} and {expected}");
        }
    }
}
