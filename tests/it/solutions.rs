//! A law of solutions: of equations whose roots plain arithmetic knows, a number is printed only
//! where it is the one root that was asked for, and none is said not to be there.

use proptest::prelude::*;
use setsquare::diagnostic::Code;
use setsquare::text::Source;
use setsquare::worksheet::{self, Body, Worksheet};

/// A function of `x`, how it is written, and where it has a value.
type Function = (&'static str, fn(f64) -> f64, fn(f64) -> Vec<f64>);

const FUNCTIONS: [Function; 7] = [
    ("x", |x| x, |y| vec![y]),
    ("x^2", |x| x * x, |y| vec![y.sqrt(), -y.sqrt()]),
    ("x^3", |x| x * x * x, |y| vec![y.cbrt()]),
    (
        "|x|",
        f64::abs,
        |y| if y < 0.0 { vec![] } else { vec![y, -y] },
    ),
    ("exp(x)", f64::exp, |y| vec![y.ln()]),
    ("ln(x)", f64::ln, |y| vec![y.exp()]),
    ("sqrt(x)", f64::sqrt, |y| {
        if y < 0.0 { vec![] } else { vec![y * y] }
    }),
];

/// What an equation makes of a number.
type Off = Box<dyn Fn(f64) -> f64>;

/// An equation: as it is written, what it makes of a number, and all that can be its roots.
struct Equation {
    text: String,
    off: Off,
    roots: Vec<f64>,
}

/// Products of `f - a` and `g - b`, and a quadratic whose leading coefficient may be zero.
fn equation(form: usize, [one, other]: [usize; 2], [a, b, c]: [f64; 3]) -> Equation {
    let ((f, f_at, f_roots), (g, g_at, g_roots)) = (FUNCTIONS[one], FUNCTIONS[other]);
    let (text, off, roots): (String, Off, Vec<f64>) = match form {
        0 => (
            format!("({f} - a) ({g} - b) = 0"),
            Box::new(move |x| (f_at(x) - a) * (g_at(x) - b)),
            [f_roots(a), g_roots(b)].concat(),
        ),
        1 => (
            format!("({f} - a)^2 = b ({f} - a)"),
            Box::new(move |x| (f_at(x) - a) * (f_at(x) - a - b)),
            [f_roots(a), f_roots(a + b)].concat(),
        ),
        2 => (
            format!("({f} - a) {g} = b ({f} - a)"),
            Box::new(move |x| (f_at(x) - a) * (g_at(x) - b)),
            [f_roots(a), g_roots(b)].concat(),
        ),
        3 => (
            format!("{f} = a + b - c"),
            Box::new(move |x| f_at(x) - (a + b - c)),
            f_roots(a + b - c),
        ),
        _ => (
            "a x^2 + b x = c".to_owned(),
            Box::new(move |x| a * x * x + b * x - c),
            if a == 0.0 {
                vec![c / b]
            } else {
                let root = (b * b + 4.0 * a * c).sqrt();
                vec![(root - b) / (2.0 * a), (-root - b) / (2.0 * a)]
            },
        ),
    };
    Equation { text, off, roots }
}

/// What is asked of the root, and whether a number is so.
fn condition(which: usize, low: i32, width: i32) -> (String, Box<dyn Fn(f64) -> bool>) {
    let (low, high) = (f64::from(low), f64::from(low + width));
    const ROUNDING: f64 = 1e-9;
    match which {
        0 => (String::new(), Box::new(|_| true)),
        1 => (" with x > 0".to_owned(), Box::new(|x| x > ROUNDING)),
        2 => (" with x < 0".to_owned(), Box::new(|x| x < -ROUNDING)),
        3 => (" with x >= 0".to_owned(), Box::new(|x| x >= -ROUNDING)),
        4 => (
            format!(" with {low} < x < {high}"),
            Box::new(move |x| x > low + ROUNDING && x < high - ROUNDING),
        ),
        _ => (
            format!(" between {low} and {high}"),
            Box::new(move |x| x >= low - ROUNDING && x <= high + ROUNDING),
        ),
    }
}

fn shown(worksheet: &Worksheet) -> Option<f64> {
    worksheet
        .statements()
        .find_map(|(_, line)| match &line.body {
            Body::Work(work) => work.shown.si.first().copied(),
            _ => None,
        })
}

fn is_near(one: f64, other: f64) -> bool {
    (one - other).abs() <= 1e-6 * one.abs().max(1.0)
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(600))]

    #[test]
    fn a_number_is_the_only_root_that_was_asked_for_and_none_is_denied(
        form in 0..5_usize,
        functions in [0..7_usize, 0..7_usize],
        data in [-4..5_i32, -4..5_i32, -4..5_i32],
        (which, low, width) in (0..6_usize, -3..2_i32, 1..4_i32),
    ) {
        let data = data.map(|tenth| f64::from(tenth) * 0.5);
        let equation = equation(form, functions, data);
        let (asked, is_asked) = condition(which, low, width);
        let [a, b, c] = data;
        let text = format!(
            "```given\na = {a}\nb = {b}\nc = {c}\n```\n\n```derive\nall: {}\nsolve all for x{asked}\n```\n\n```work\nx = ?\n```\n",
            equation.text,
        );
        let mut roots: Vec<f64> = Vec::new();
        for root in equation.roots {
            let holds = root.is_finite() && (equation.off)(root).abs() <= 1e-9;
            if holds && is_asked(root) && !roots.iter().any(|known| is_near(*known, root)) {
                roots.push(root);
            }
        }
        let worksheet = worksheet::compile(Source::new("law.md", text.as_str()));
        match shown(&worksheet) {
            Some(found) => prop_assert!(
                matches!(roots.as_slice(), [only] if is_near(*only, found)),
                "{text}: {found} for {roots:?}"
            ),
            None => {
                let denies = worksheet.diagnostics.iter().any(|told| {
                    let message = &told.message;
                    told.code == Code::A03
                        && message.starts_with("no ")
                        && !message.contains("unless")
                        && !message.contains("found")
                });
                prop_assert!(roots.is_empty() || !denies, "{text}: {roots:?} {:?}", worksheet.diagnostics);
            }
        }
    }
}
