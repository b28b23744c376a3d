//! Tables as functions against plain arithmetic: the published formulas written down once more,
//! and derivatives by differences.

use proptest::prelude::*;
use setsquare::text::Source;
use setsquare::worksheet::{self, Body, Shown, Worksheet};

/// The value at `place` by straight lines.
fn straight(x: &[f64], y: &[f64], place: f64) -> f64 {
    let i = piece(x, place);
    let part = (place - x[i]) / (x[i + 1] - x[i]);
    (1.0 - part) * y[i] + part * y[i + 1]
}

/// The piece in which a place lies.
fn piece(x: &[f64], place: f64) -> usize {
    let inside = |i: &usize| (x[*i] - place) * (x[*i + 1] - place) <= 0.0;
    (0..x.len() - 1).find(inside).unwrap()
}

/// The slopes at the rows: Fritsch and Butland (1984), equation for the harmonic mean with weights;
/// at the ends the formula of three points, limited as in Fritsch and Carlson (1980).
fn slopes(x: &[f64], y: &[f64]) -> Vec<f64> {
    let count = x.len();
    let h: Vec<f64> = x.windows(2).map(|pair| pair[1] - pair[0]).collect();
    let d: Vec<f64> = (0..count - 1).map(|i| (y[i + 1] - y[i]) / h[i]).collect();
    if count == 2 {
        return vec![d[0]; 2];
    }
    let end = |near: f64, far: f64, first: f64, second: f64| {
        let slope = ((2.0 * near + far) * first - near * second) / (near + far);
        match slope * first <= 0.0 {
            true => 0.0,
            false if first * second < 0.0 && slope.abs() > 3.0 * first.abs() => 3.0 * first,
            false => slope,
        }
    };
    let mut slopes = vec![end(h[0], h[1], d[0], d[1])];
    for i in 1..count - 1 {
        let alpha = (1.0 + h[i] / (h[i - 1] + h[i])) / 3.0;
        slopes.push(match d[i - 1] * d[i] > 0.0 {
            true => d[i - 1] * d[i] / (alpha * d[i] + (1.0 - alpha) * d[i - 1]),
            false => 0.0,
        });
    }
    slopes.push(end(h[count - 2], h[count - 3], d[count - 2], d[count - 3]));
    slopes
}

/// The value at `place` by Hermite's cubics.
fn cubic(x: &[f64], y: &[f64], place: f64) -> f64 {
    let (i, slopes) = (piece(x, place), slopes(x, y));
    let h = x[i + 1] - x[i];
    let t = (place - x[i]) / h;
    (1.0 + 2.0 * t) * (1.0 - t).powi(2) * y[i]
        + t * (1.0 - t).powi(2) * h * slopes[i]
        + t * t * (3.0 - 2.0 * t) * y[i + 1]
        + t * t * (t - 1.0) * h * slopes[i + 1]
}

/// A table with places that rise or fall, and values to two decimals; some stand still.
fn table() -> impl Strategy<Value = (Vec<f64>, Vec<f64>)> {
    let rows = prop::collection::vec((5..400_i32, -900..900_i32, 0..6_u8), 2..9);
    (rows, any::<bool>(), -2000..2000_i32).prop_map(|(rows, falls, start)| {
        let (mut place, mut level) = (start, 0);
        rows.into_iter()
            .map(|(step, value, kind)| {
                place += if falls { -step } else { step };
                level = if kind == 0 { level } else { value };
                (f64::from(place) / 100.0, f64::from(level) / 100.0)
            })
            .unzip()
    })
}

fn list(numbers: &[f64]) -> String {
    let numbers: Vec<String> = numbers.iter().map(|it| format!("{it:.2}")).collect();
    format!("[{}]", numbers.join(", "))
}

fn compile(text: &str) -> Worksheet {
    worksheet::compile(Source::new("law.md", text))
}

fn shown<'a>(worksheet: &'a Worksheet, text: &str) -> Vec<&'a Shown> {
    let errors = worksheet.diagnostics.iter().filter(|it| it.is_error());
    assert_eq!(errors.count(), 0, "{text}\n{:?}", worksheet.diagnostics);
    let bodies = worksheet.statements().map(|(_, statement)| &statement.body);
    let works = bodies.filter_map(|body| match body {
        Body::Work(work) => Some(&*work.shown),
        _ => None,
    });
    works.collect()
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(200))]

    #[test]
    fn values_and_uncertainties_are_those_of_the_formulas(
        (x, y) in table(),
        part in 0.0..1.0_f64,
        u_x in 0..3_i32,
        u_y in 1..20_i32,
        by_cubic in any::<bool>(),
    ) {
        let place = x[0] + part * (x[x.len() - 1] - x[0]);
        // As it is written.
        let place: f64 = format!("{place:.3}").parse().unwrap();
        prop_assume!((x[0] - place) * (x[x.len() - 1] - place) <= 0.0);
        let (u_x, u_y) = (f64::from(u_x) / 100.0, f64::from(u_y) / 100.0);
        let by = if by_cubic { " by cubic" } else { "" };
        let text = format!(
            "```given\nx_i = {} m\ny_i = {} s ± {u_y} s\nx_1 = {place} m ± {u_x} m\n```\n\n\
             ```work\nf(x) = y_i against x_i{by}\nt_1 = f(x_1) = ? s\n```\n",
            list(&x),
            list(&y),
        );
        let worksheet = compile(&text);
        let shown = shown(&worksheet, &text);
        let curve = if by_cubic { cubic } else { straight };
        let expected = curve(&x, &y, place);
        let size = y.iter().fold(1e-9_f64, |most, y| most.max(y.abs()));
        let found = shown[0].si[0];
        prop_assert!((found - expected).abs() <= 1e-11 * size, "{text}{found} not {expected}");

        // At a row, and where pieces stand still, both sides differ; there is no one derivative.
        let is_smooth = x.iter().all(|x| (x - place).abs() > 1e-3)
            && (!by_cubic || slopes(&x, &y).iter().all(|slope| *slope != 0.0));
        if is_smooth {
            const STEP: f64 = 1e-5;
            let by_entries: f64 = (0..y.len())
                .map(|row| {
                    let moved = |by: f64| {
                        let mut y = y.clone();
                        y[row] += by;
                        curve(&x, &y, place)
                    };
                    ((moved(STEP) - moved(-STEP)) / (2.0 * STEP)).powi(2)
                })
                .sum();
            let by_place =
                (curve(&x, &y, place + STEP) - curve(&x, &y, place - STEP)) / (2.0 * STEP);
            let expected = (by_entries * u_y * u_y + (by_place * u_x).powi(2)).sqrt();
            let found = shown[0].uncertainties[0].as_ref().unwrap().size;
            prop_assert!((found / expected - 1.0).abs() < 1e-4, "{text}{found} not {expected}");
        }
    }

    /// What is looked up at a place is found again from the value, where the table rises or falls.
    #[test]
    fn a_table_used_backwards_gives_the_place(
        steps in prop::collection::vec((5..400_i32, 5..400_i32), 1..9),
        part in 0.01..0.99_f64,
        by_cubic in any::<bool>(),
    ) {
        let sum = |of: fn(&(i32, i32)) -> i32| {
            let mut total = 0;
            let rows = steps.iter().map(|step| {
                total += of(step);
                f64::from(total) / 100.0
            });
            std::iter::once(0.0).chain(rows).collect::<Vec<f64>>()
        };
        let (x, y) = (sum(|step| step.0), sum(|step| step.1));
        let place = part * x[x.len() - 1];
        let curve = if by_cubic { cubic } else { straight };
        let value = curve(&x, &y, place);
        let by = if by_cubic { " by cubic" } else { "" };
        let text = format!(
            "```given\nx_i = {} m\ny_i = {} s\nt = {value} s\n```\n\n```derive\n\
             f(x) = y_i against x_i{by}\nback: f(z) = t\n```\n\n```work\nz = ? m from back\n```\n",
            list(&x),
            list(&y),
        );
        let worksheet = compile(&text);
        let found = shown(&worksheet, &text)[0].si[0];
        prop_assert!((found - place).abs() <= 1e-7 * x[x.len() - 1], "{text}{found} not {place}");
    }

    /// No table has a value outside of it, however near.
    #[test]
    fn outside_there_is_no_value((x, y) in table(), far in 1..8_u32, first in any::<bool>()) {
        let (end, other) = match first {
            true => (x[0], x[1]),
            false => (x[x.len() - 1], x[x.len() - 2]),
        };
        let away = 10_f64.powi(-4 * far as i32 + 3).copysign(end - other);
        // Written out, so that nothing of it is rounded away.
        let (whole, rest) = ((end * 100.0).round() as i64, away);
        let sign = if rest < 0.0 { "-" } else { "+" };
        let text = format!(
            "```given\nx_i = {} m\ny_i = {}\n```\n\n```work\nf(x) = y_i against x_i\n\
             t_1 = f({whole}/100*(1 m)) = ?\nt_2 = f({whole}/100*(1 m) {sign} {:e} m) = ?\n```\n",
            list(&x),
            list(&y),
            rest.abs(),
        );
        let worksheet = compile(&text);
        let codes: Vec<&str> = (worksheet.diagnostics.iter())
            .filter(|it| it.is_error())
            .map(|it| it.code.as_str())
            .collect();
        prop_assert_eq!(codes, ["K17"], "{}{:?}", text, worksheet.diagnostics);
    }
}
