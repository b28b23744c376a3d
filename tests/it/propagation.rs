//! Random formulas with random sources: their uncertainty is that of first-order propagation in
//! plain numbers, with derivatives by differences, and so are their degrees of freedom.

use proptest::prelude::*;
use setsquare::diagnostic::Code;
use setsquare::text::Source;
use setsquare::worksheet::{self, Body, Shown};

const NAMES: [&str; 4] = ["a", "b", "c", "d"];

/// A source: its value, size, what is written behind it, what its size is divided by, ν.
type Input = (f64, f64, usize);

const HOW: [(&str, f64, f64); 6] = [
    ("", 1.0, f64::INFINITY),
    (" (k=2)", 2.0, f64::INFINITY),
    (" (rectangular)", 1.732_050_807_568_877_2, f64::INFINITY),
    (" (triangular)", 2.449_489_742_783_178, f64::INFINITY),
    (" (arcsine)", std::f64::consts::SQRT_2, f64::INFINITY),
    (" (7 degrees of freedom)", 1.0, 7.0),
];

/// A formula as it is written, and in plain numbers.
type Formula = (&'static str, fn([f64; 4]) -> f64);

const FORMULAS: [Formula; 6] = [
    ("a b/(c d)", |[a, b, c, d]| a * b / (c * d)),
    ("a^2 + b c - d", |[a, b, c, d]| a * a + b * c - d),
    ("sqrt(a + b)/(c + d)", |[a, b, c, d]| {
        (a + b).sqrt() / (c + d)
    }),
    ("(a - b)/(a + b) + c d", |[a, b, c, d]| {
        (a - b) / (a + b) + c * d
    }),
    ("exp(-a) + ln(b) c/d", |[a, b, c, d]| {
        (-a).exp() + b.ln() * c / d
    }),
    ("max(a, b) + c^3/d", |[a, b, c, d]| a.max(b) + c.powi(3) / d),
];

fn asked(text: String) -> Shown {
    let worksheet = worksheet::compile(Source::new("law.md", text.clone()));
    // What first order leaves out may be worth a word, and is not looked at here.
    let mut said = worksheet.diagnostics.iter();
    assert!(
        said.all(|said| said.code == Code::U04),
        "{text}{:?}",
        worksheet.diagnostics
    );
    let mut bodies = worksheet.statements().map(|(_, statement)| &statement.body);
    let found = bodies.find_map(|body| match body {
        Body::Work(work) => Some(Shown::clone(&work.shown)),
        _ => None,
    });
    found.expect("a result")
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(200))]

    #[test]
    fn uncertainties_are_those_of_plain_propagation(
        inputs in prop::array::uniform4((1.0..9.0f64, 0.001..0.05f64, 0..HOW.len())),
        formula in 0..FORMULAS.len(),
        coefficient in -0.9..0.9f64,
    ) {
        let inputs: [Input; 4] = inputs.map(|(value, size, how)| {
            ((value * 1e4).round() / 1e4, (value * size * 1e6).round() / 1e6, how)
        });
        let [a, b, ..] = inputs;
        prop_assume!((a.0 - b.0).abs() > 1e-3);
        let is_correlated = [a, b].iter().all(|it| HOW[it.2].2.is_infinite());
        let coefficient = (coefficient * 100.0).round() / 100.0;
        let mut given: String = NAMES.iter().zip(&inputs)
            .map(|(name, (value, size, how))| format!("{name} = {value:.4} ± {size:.6}{}\n", HOW[*how].0))
            .collect();
        if is_correlated {
            given.push_str(&format!("correlation(a, b) = {coefficient:.2}\n"));
        }
        let (written, compute) = FORMULAS[formula];
        let shown = asked(format!("```given\n{given}```\n\n```work\ny = {written} = ?\n```\n"));
        let values = inputs.map(|it| it.0);
        let mut parts = [0.0; 4];
        for at in 0..4 {
            let step = 1e-5 * values[at];
            let mut moved = [values; 2];
            moved[0][at] -= step;
            moved[1][at] += step;
            let slope = (compute(moved[1]) - compute(moved[0])) / (2.0 * step);
            parts[at] = slope * inputs[at].1 / HOW[inputs[at].2].1;
        }
        let mut square: f64 = parts.iter().map(|part| part * part).sum();
        if is_correlated {
            square += 2.0 * coefficient * parts[0] * parts[1];
        }
        let spread = shown.uncertainties[0].as_ref().expect("an uncertainty").size;
        prop_assert!((spread / square.sqrt() - 1.0).abs() < 1e-6, "{spread} {}", square.sqrt());
        let below: f64 = parts.iter().zip(&inputs)
            .map(|(part, it)| part.powi(4) / HOW[it.2].2)
            .sum();
        let degrees = shown.degrees[0].expect("degrees of freedom");
        match below > 0.0 {
            true => prop_assert!((degrees * below / square.powi(2) - 1.0).abs() < 1e-5),
            false => prop_assert!(degrees.is_infinite()),
        }
    }
}

/// Trials of a mean by its scatter: readings that are uncertain by themselves are not drawn besides,
/// what they have in common is; a number without uncertainty stays what it is in all trials.
#[test]
fn trials_of_scatter_leave_out_what_is_in_it() {
    // Formula, and what it changes by with the mean, the common error, and e; scatter and limits of
    // ten readings are those of `x_i`.
    let formulas = [
        ("repeated(x_i)", [1.0, 1.0, 0.0]),
        ("3 repeated(x_i) - e", [3.0, 3.0, -1.0]),
        ("repeated(y_i)", [2.0, 2.0, 1.0]),
        ("2 r + e", [4.0, 4.0, 3.0]),
        ("repeated(x_i) + standard_deviation(x_i)", [1.0, 1.0, 0.0]),
        ("m", [0.0, 1.0, 1.0]),
    ];
    let x = [10.1, 9.9, 10.0, 10.2, 9.8, 10.0, 10.1, 9.9, 10.3, 9.7];
    let mean = x.iter().sum::<f64>() / 10.0;
    let square = x.iter().map(|x| (x - mean).powi(2)).sum::<f64>() / 9.0;
    for (own, common) in [(2.0, 0.001), (0.5, 0.03), (0.1, 0.2)] {
        for (formula, [by_mean, by_common, by_e]) in formulas {
            let list = x.map(|x| x.to_string()).join(", ");
            let text = format!(
                "```given\nx_i = [{list}] m ± {own} m ± {common} m common\ne = 0 m ± 0.02 m\n```\n\n\
                 ```work\ny_i = 2 x_i + e\nr = repeated(y_i)\nm = mean(x_i) + e\n\
                 v = {formula} = ?\n```\n\n\
                 ```check\nmonte carlo of v with 40000 trials\n```\n"
            );
            let worksheet = worksheet::compile(Source::new("law.md", text.clone()));
            let mut bodies = worksheet.statements().map(|(_, statement)| &statement.body);
            let drawn = bodies.find_map(|body| match body {
                Body::Trials(trials) => Some(trials.drawn.uncertainty),
                _ => None,
            });
            let drawn = drawn.unwrap_or_else(|| panic!("{text}{:?}", worksheet.diagnostics));
            // The t distribution of nine degrees of freedom is so much wider than the normal one.
            let scatter = square / 10.0 * 9.0 / 7.0 * by_mean * by_mean;
            let readings = if by_mean == 0.0 {
                own * own / 10.0
            } else {
                0.0
            };
            let shared = (by_common * common).powi(2) + (by_e * 0.02_f64).powi(2);
            let wanted = (scatter + readings + shared).sqrt();
            assert!(
                (drawn / wanted - 1.0).abs() < 0.03,
                "{formula}: {drawn} {wanted}"
            );
        }
    }
}
