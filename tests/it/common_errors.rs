//! Random fits of readings that share an error: what a parameter changes by with it is what fits of
//! shifted readings say.

use proptest::prelude::*;
use setsquare::diagnostic::Severity;
use setsquare::text::Source;
use setsquare::worksheet::{self, Body};

/// A formula as it is written, its parameters, and what it is near in plain numbers.
type Formula = (&'static str, &'static [&'static str], fn(f64) -> f64);

const FORMULAS: [Formula; 6] = [
    ("y_i = a + b x_i", &["a = ?", "b = ?"], |x| 2.0 + 0.7 * x),
    ("y_i = a exp(-x_i/b)", &["a = ?", "b = ? near 4"], |x| {
        9.0 * (-x / 4.3).exp()
    }),
    ("y_i = a x_i/(b + x_i)", &["a = ?", "b = ? near 2"], |x| {
        5.0 * x / (2.2 + x)
    }),
    ("y_i = a x_i^b", &["a = ?", "b = ? near 1.4"], |x| {
        1.3 * x.powf(1.5)
    }),
    ("ln(y_i) = a + b ln(x_i)", &["a = ?", "b = ?"], |x| {
        1.3 * x.powf(1.5)
    }),
    (
        "y_i = a + b (x_i - mean(x_i))^2",
        &["a = ?", "b = ?"],
        |x| 2.0 + 0.3 * (x - 4.0).powi(2),
    ),
];

/// How the readings weigh: what stands behind each column, and in the fit.
const WEIGHTS: [[&str; 3]; 6] = [
    ["", "", ""],
    ["± 0.1 s", "", ""],
    ["± 0.1 s", "± 0.05 m", ""],
    ["± 3 % each", "", ""],
    ["± 0.1 s", "", "weighted equally"],
    ["", "", "weighted by 1/(1 + x_i^2)"],
];

/// What the readings share: whether the column of x, and whether a factor or an offset.
const SHARED: [(bool, bool); 4] = [(true, true), (true, false), (false, true), (false, false)];

/// How large what they share is stated to be: far above all else.
const SIZE: f64 = 1000.0;

struct Sheet<'a> {
    formula: &'a Formula,
    weights: &'a [&'static str; 3],
    rows: &'a [(f64, f64)],
}

impl Sheet<'_> {
    /// The parameters with their uncertainties; none where there is no fit.
    fn fitted(
        &self,
        shift: impl Fn((f64, f64)) -> (f64, f64),
        common: [&str; 2],
    ) -> Option<Vec<(f64, f64)>> {
        let (formula, parameters, _) = self.formula;
        let rows: String = (self.rows.iter().map(|row| shift(*row)))
            .map(|(x, y)| format!("{x} | {y}\n"))
            .collect();
        let [own_y, own_x, clause] = self.weights;
        let [common_x, common_y] = common;
        let sizes: String = [("r_i", own_x, common_x), ("q_i", own_y, common_y)]
            .iter()
            .filter(|(_, own, common)| !own.is_empty() || !common.is_empty())
            .map(|(name, own, common)| format!("{name} {own} {common}\n"))
            .collect();
        let text = format!(
            "```data t\nr_i / m | q_i / s\n{rows}\n{sizes}```\n\n```given\nM = 1 m\nS = 1 s\n```\n\n\
             ```work\nx_i = r_i/M = ?\ny_i = q_i/S = ?\n```\n\n\
             ```fit one\n{formula}\n{}\n{clause}\n```\n",
            parameters.join("\n"),
        );
        let worksheet = worksheet::compile(Source::new("law.md", text));
        let mut said = worksheet.diagnostics.iter();
        if said.any(|said| said.severity == Severity::Error) {
            return None;
        }
        let mut bodies = worksheet.statements().map(|(_, statement)| &statement.body);
        bodies.find_map(|body| match body {
            Body::Fit(fit) => Some(
                (fit.parameters.iter())
                    .map(|(_, shown)| {
                        let size = shown.uncertainties.first().and_then(Option::as_ref);
                        (shown.si[0], size.map_or(0.0, |spread| spread.size))
                    })
                    .collect(),
            ),
            _ => None,
        })
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(80))]

    #[test]
    fn a_shared_error_moves_parameters_as_shifted_readings_do(
        places in prop::collection::vec((0.5..8.0_f64, -0.05..0.05_f64), 6..10),
        formula in 0..FORMULAS.len(),
        weights in 0..WEIGHTS.len(),
        shared in 0..SHARED.len(),
    ) {
        let round = |value: f64| (value * 1e4).round() / 1e4;
        let formula = &FORMULAS[formula];
        let rows: Vec<(f64, f64)> = places.iter().enumerate()
            .map(|(at, (x, off))| {
                // Places lie apart, so that the readings tell the parameters apart.
                let x = round(0.2 * x + 0.7 * (at + 1) as f64);
                (x, round((formula.2)(x) * (1.0 + off)))
            })
            .collect();
        let sheet = Sheet { formula, weights: &WEIGHTS[weights], rows: &rows };
        // Rows that adjust their places beside the mean of all may have several solutions.
        prop_assume!(!(formula.0.contains("mean") && weights == 2));
        let (is_x, is_factor) = SHARED[shared];
        let shift = |by: f64| move |(x, y): (f64, f64)| {
            let moved = |value: f64| if is_factor { value * (1.0 + by) } else { value + by };
            if is_x { (moved(x), y) } else { (x, moved(y)) }
        };
        let stated = match (is_factor, is_x) {
            (true, _) => format!("± {} % common", 100.0 * SIZE),
            (false, true) => format!("± {SIZE} m common"),
            (false, false) => format!("± {SIZE} s common"),
        };
        let common = if is_x { [stated.as_str(), ""] } else { ["", stated.as_str()] };
        let (Some(plain), Some(with)) = (sheet.fitted(shift(0.0), ["", ""]), sheet.fitted(shift(0.0), common)) else {
            return Ok(());
        };
        let step = 1e-4;
        let at = |by: f64| sheet.fitted(shift(by), ["", ""]);
        let (Some(a), Some(b), Some(c), Some(d)) = (at(-2.0 * step), at(-step), at(step), at(2.0 * step)) else {
            return Ok(());
        };
        for (j, ((value, own), (_, all))) in plain.iter().zip(&with).enumerate() {
            let slope = (8.0 * (c[j].0 - b[j].0) - (d[j].0 - a[j].0)) / (12.0 * step);
            let found = (all * all - own * own).max(0.0).sqrt() / SIZE;
            // A slope far below what the parameter itself is lost in its own uncertainty.
            let room = 1e-6 * slope.abs() + 1e-6 * value.abs() + 1e-3 * own / SIZE;
            prop_assert!((found - slope.abs()).abs() < room,
                "{} {:?} {stated} {is_x}: {found}, not {slope}", formula.0, WEIGHTS[weights]);
        }
    }
}
