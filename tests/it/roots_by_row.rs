//! Random columns and equations: the root in each row is that of plain numbers, and so are its
//! uncertainty, that of the mean of all rows, and what a what-if changes.

use proptest::prelude::*;
use setsquare::text::Source;
use setsquare::worksheet::{self, Body, Shown};

/// An equation as it is written, what its left side less `a` is in plain numbers at `x` and `c`,
/// and the derivatives of that by `x` and by `c`.
type Equation = (&'static str, fn(f64, f64) -> f64, fn(f64, f64) -> [f64; 2]);

/// Each rises with `x`, so that there is one root.
const EQUATIONS: [Equation; 4] = [
    (
        "x_i^3 + c x_i = a_i",
        |x, c| x.powi(3) + c * x,
        |x, c| [3.0 * x * x + c, x],
    ),
    (
        "a_i = x_i exp(x_i/c)",
        |x, c| x * (x / c).exp(),
        |x, c| {
            let growth = (x / c).exp();
            [growth * (1.0 + x / c), -growth * (x / c).powi(2)]
        },
    ),
    (
        "ln(1 + x_i) + c x_i - a_i = 0",
        |x, c| x.ln_1p() + c * x,
        |x, c| [1.0 / (1.0 + x) + c, x],
    ),
    (
        "c sqrt(x_i) + x_i^2 = a_i",
        |x, c| c * x.sqrt() + x * x,
        |x, c| [c / (2.0 * x.sqrt()) + 2.0 * x, x.sqrt()],
    ),
];

fn bisected(equation: &Equation, a: f64, c: f64) -> f64 {
    let (mut low, mut high) = (0.0, 100.0);
    for _ in 0..200 {
        let middle = f64::midpoint(low, high);
        match (equation.1)(middle, c) < a {
            true => low = middle,
            false => high = middle,
        }
    }
    f64::midpoint(low, high)
}

fn results(text: &str) -> Vec<Shown> {
    let worksheet = worksheet::compile(Source::new("law.md", text.to_owned()));
    assert!(
        worksheet.diagnostics.is_empty(),
        "{text}{:?}",
        worksheet.diagnostics
    );
    let bodies = worksheet.statements().map(|(_, statement)| &statement.body);
    let shown = bodies.filter_map(|body| match body {
        Body::Work(work) => Some(Shown::clone(&work.shown)),
        _ => None,
    });
    shown.collect()
}

fn is_same(found: f64, wanted: f64) -> bool {
    (found - wanted).abs() <= 1e-9 * wanted.abs().max(1e-6)
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(60))]

    #[test]
    fn a_root_in_each_row_is_that_of_the_row_alone(
        rows in prop::collection::vec(prop::option::weighted(0.8, 1.0..9.0_f64), 2..7),
        constant in 1.0..4.0_f64,
        other in 1.0..4.0_f64,
        equation in 0..EQUATIONS.len(),
        is_table in any::<bool>(),
        way in 0..2_usize,
    ) {
        let round = |value: f64| (value * 1e3).round() / 1e3;
        let rows: Vec<Option<f64>> = rows.into_iter().map(|row| row.map(round)).collect();
        let rows: Vec<Option<f64>> = match is_table {
            true => rows,
            false => rows.into_iter().filter(Option::is_some).collect(),
        };
        let present: Vec<f64> = rows.iter().flatten().copied().collect();
        prop_assume!(present.len() > 1);
        let (c, other) = (round(constant), round(other));
        let (own, common) = (1e-4, 2e-4);
        let data = match is_table {
            true => {
                let entry = |row: &Option<f64>| row.map_or("-".to_owned(), |row| format!("{row:.3}"));
                let rows: Vec<String> = rows.iter().map(entry).collect();
                format!("```data t\na_i\n{}\n\na_i ± {own}\n```\n\n```given\n", rows.join("\n"))
            }
            false => {
                let rows: Vec<String> = present.iter().map(|row| format!("{row:.3}")).collect();
                format!("```given\na_i = [{}] ± {own}\n", rows.join(", "))
            }
        };
        let equation = &EQUATIONS[equation];
        let way = ["near 1", "between 0.0001 and 30"][way];
        let text = format!(
            "{data}c = {c:.3} ± {common}\n```\n\n```derive\nlaw: {}\n```\n\n\
             ```work\nx_i = ? from law {way}\nx = mean(x_i) = ?\nx = ? at c = {other:.3}\n```\n",
            equation.0,
        );
        let shown = results(&text);
        let of_row = |a: f64, c: f64| {
            let x = bisected(equation, a, c);
            let [by_x, by_c] = (equation.2)(x, c);
            (x, 1.0 / by_x, -by_c / by_x)
        };
        prop_assert_eq!(shown[0].values.len(), rows.len());
        for (at, row) in rows.iter().enumerate() {
            let found = shown[0].values[at];
            let Some(a) = row else {
                prop_assert!(found.is_nan());
                continue;
            };
            let (x, by_a, by_c) = of_row(*a, c);
            prop_assert!(is_same(found, x), "{text}row {at}: {found}, not {x}");
            let size = (by_a * own).hypot(by_c * common);
            let found = shown[0].uncertainties[at].as_ref().expect("an uncertainty").size;
            prop_assert!(is_same(found, size), "{text}row {at}: {found}, not {size}");
        }
        let count = present.len() as f64;
        let all: Vec<_> = present.iter().map(|a| of_row(*a, c)).collect();
        let sum = |part: &dyn Fn(&(f64, f64, f64)) -> f64| all.iter().map(part).sum::<f64>();
        let mean = sum(&|it| it.0) / count;
        prop_assert!(is_same(shown[1].values[0], mean), "{text}");
        // What all rows have in common is not averaged out.
        let size = (sum(&|it| (it.1 * own).powi(2)).sqrt()).hypot(sum(&|it| it.2) * common) / count;
        let found = shown[1].uncertainties[0].as_ref().expect("an uncertainty").size;
        prop_assert!(is_same(found, size), "{text}{found}, not {size}");
        let mean = present.iter().map(|a| of_row(*a, other).0).sum::<f64>() / count;
        prop_assert!(is_same(shown[2].values[0], mean), "{text}");
    }
}
