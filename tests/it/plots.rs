//! Fits in plots: the curve that is drawn is the fitted one, however the plot counts.

use proptest::prelude::*;
use setsquare::diagnostic::Code;
use setsquare::text::Source;
use setsquare::worksheet::{self, Body, Plot, Worksheet};

/// A function that can be turned round for positive numbers: as it is written of a name, and
/// itself.
type Turned = (&'static str, fn(f64) -> f64);

const TURNED: [Turned; 9] = [
    ("@", |y| y),
    ("ln(@/(1 s))", |y| y.ln()),
    ("log10(@/(1 s))", |y| y.log10()),
    ("@^2", |y| y * y),
    ("sqrt(@/(1 s))", |y| y.sqrt()),
    ("1/@", |y| 1.0 / y),
    ("exp(-@/(10 s))", |y| (-y / 10.0).exp()),
    ("(3 @ + 2 s)", |y| 3.0 * y + 2.0),
    ("@^3/(2 s^2)", |y| y * y * y / 2.0),
];

/// Functions of what is plotted to the right, which rise.
const ACROSS: [Turned; 4] = [
    ("@", |x| x),
    ("ln(@/(1 m))", |x| x.ln()),
    ("@^2", |x| x * x),
    ("sqrt(@/(2 m))", |x| (x / 2.0).sqrt()),
];

fn of((formula, _): Turned, name: &str) -> String {
    formula.replace('@', name)
}

/// A straight line in one function of the readings, plotted by others; readings are exact.
fn sheet(fitted: Turned, plotted: Turned, across: Turned, through_a_name: bool) -> String {
    let xs = [1.0, 2.0, 3.5, 5.0, 8.0];
    let ys: Vec<String> = xs.iter().map(|x| format!("{}", reading(*x))).collect();
    let (name, given) = match through_a_name {
        true => ("u_i", "u_i = 2 y_i - y_i = ? s"),
        false => ("y_i", "n_y = 1 + 1 = ?"),
    };
    format!(
        "```given\nx_i = [1, 2, 3.5, 5, 8] m\ny_i = [{}] s\n```\n\n```work\n{given}\n```\n\n\
         ```fit line\n{} = a + b x_i + d x_i^2\na = ?\nb = ?\nd = ?\n```\n\n\
         ```plot\n{} against {}\nfit line with band for a reading\nresiduals of line\n```\n",
        ys.join(", "),
        of(fitted, "y_i"),
        side(plotted, name, "s"),
        side(across, "x_i", "m"),
    )
}

/// A quantity over its unit: the plain function is of that of its name.
fn side(of_name: Turned, name: &str, unit: &str) -> String {
    let formula = of(of_name, name);
    let over = match of_name.0 {
        "@" | "(3 @ + 2 s)" => format!(" / {unit}"),
        "@^2" => format!(" / {unit}^2"),
        "1/@" => return format!("({formula}) / (1/{unit})"),
        "@^3/(2 s^2)" => return format!("({formula}) / {unit}"),
        _ => String::new(),
    };
    format!("{formula}{over}")
}

fn reading(x: f64) -> f64 {
    (1.0 + 0.4 * x + 0.03 * (7.0 * x).sin()) * 2.0
}

fn compile(text: &str) -> Worksheet {
    worksheet::compile(Source::new("law.md", text))
}

fn plots(sheet: &Worksheet) -> impl Iterator<Item = &Plot> {
    sheet
        .statements()
        .filter_map(|(_, statement)| match &statement.body {
            Body::Plot(plot) => Some(&**plot),
            _ => None,
        })
}

/// The values of the three parameters.
fn parameters(sheet: &Worksheet) -> Vec<f64> {
    let fits = sheet
        .statements()
        .filter_map(|(_, statement)| match &statement.body {
            Body::Fit(fit) => Some(&fit.numbers.parameters),
            _ => None,
        });
    fits.flatten().map(|(value, _)| *value).collect()
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(60))]

    /// Each point of the curve, taken back by hand, lies on the fitted line; and a residual is by
    /// how much a point is off that curve.
    #[test]
    fn a_fit_is_drawn_as_it_was_fitted_however_the_plot_counts(
        fitted in 0..TURNED.len(),
        plotted in 0..TURNED.len(),
        across in 0..ACROSS.len(),
        through_a_name in any::<bool>(),
    ) {
        let (fitted, plotted, across) = (TURNED[fitted], TURNED[plotted], ACROSS[across]);
        let text = sheet(fitted, plotted, across, through_a_name);
        let sheet = compile(&text);
        let refused: Vec<Code> = sheet.diagnostics.iter().map(|it| it.code).collect();
        let refused: Vec<&Code> = refused.iter().filter(|it| **it != Code::F09).collect();
        prop_assert!(refused.is_empty(), "{refused:?}\n{text}");
        let found = parameters(&sheet);
        let [a, b, d] = found[..] else {
            return Err(TestCaseError::fail(text));
        };
        let runs = plots(&sheet).find_map(|plot| match plot {
            Plot::Fit { runs, .. } => Some(runs),
            _ => None,
        });
        let places: Vec<(f64, f64, f64)> = runs.into_iter().flatten().flatten().copied().collect();
        prop_assert!(places.len() > 100, "{} places\n{text}", places.len());
        // What is to the right rises with x, and so is taken back by halving.
        let back = |wanted: f64, (_, function): Turned| {
            let (mut low, mut high) = (1e-6, 100.0);
            let rises = function(high) > function(low);
            for _ in 0..200 {
                let middle = f64::midpoint(low, high);
                match (function(middle) < wanted) == rises {
                    true => low = middle,
                    false => high = middle,
                }
            }
            f64::midpoint(low, high)
        };
        for (right, up, size) in places.iter().step_by(17) {
            let x = back(*right, across);
            let line = a + b * x + d * x * x;
            let drawn = fitted.1(back(*up, plotted));
            let scale = line.abs().max(1e-3);
            prop_assert!((drawn - line).abs() < 1e-6 * scale, "{drawn} {line} at {x}\n{text}");
            prop_assert!(*size > 0.0);
        }
        let off = plots(&sheet).find_map(|plot| match plot {
            Plot::Residuals { points, .. } => Some(points),
            _ => None,
        });
        let off = off.into_iter().flatten();
        for (point, x) in off.zip([1.0, 2.0, 3.5, 5.0, 8.0]) {
            let line = a + b * x + d * x * x;
            let own = plotted.1(reading(x));
            let wanted = own - plotted.1(back(line, fitted));
            prop_assert!((point.y.0 - wanted).abs() < 1e-6 * own.abs(), "{} {wanted}\n{text}", point.y.0);
        }
    }
}

/// The residuals of a line through readings with an error of their own, and one in common by name.
fn residuals_with(common: &str) -> Vec<(f64, f64)> {
    let text = format!(
        "```data runs\nx_i / m | y_i / s ± 0.2\n1 | 2.1\n2 | 3.9\n3 | 6.2\n4 | 7.9\n```\n\n\
         ```given\ne = 0 s {common}\n```\n\n```work\nz_i = y_i + e = ? s\n```\n\n\
         ```fit line\nz_i = a + b x_i\na = ?\nb = ?\n```\n\n\
         ```plot\nz_i / s against x_i / m\nfit line\nresiduals of line\n```\n",
    );
    let sheet = compile(&text);
    let points = plots(&sheet).find_map(|plot| match plot {
        Plot::Residuals { points, .. } => Some(points.iter().map(|point| point.y).collect()),
        _ => None,
    });
    points.expect("residuals")
}

#[test]
fn the_bars_of_residuals_are_the_errors_of_the_readings_alone() {
    let own = residuals_with("");
    assert!(
        own.iter().all(|(_, bar)| (bar - 0.2).abs() < 1e-12),
        "{own:?}"
    );
    let with_common = residuals_with("± 3 s");
    for ((off, bar), (other, wanted)) in with_common.iter().zip(&own) {
        assert!((off - other).abs() < 1e-9);
        assert!((bar - wanted).abs() < 1e-12, "{bar} for {wanted}");
    }
}
