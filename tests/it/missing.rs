//! A row that is missing or left out takes no part: what a worksheet says is what it says where
//! the table was typed without that row.

use proptest::prelude::*;
use serde_json::Value;

use super::reference::report::{list, report, text};

/// A row: two readings, and whether it takes part (0 left out, 1 and 2 with a dash, else whole).
type Row = (u32, u32, u8);

/// Lines of `work`, each by itself.
const WORK: [&str; 14] = [
    "r_i = x_i + a = ? mm",
    "r_i = x_i/y_i = ?",
    "r_i = x_i = (x_i y_i)/y_i = ? mm",
    "r_i = x_i y_i = ? mm^2 to 2 figures",
    "r_i = cases(1 for x_i > 30 mm, 2 otherwise) = ?",
    "r_i = max(x_i, y_i) - min(x_i, y_i) = ? mm",
    "r_i = sqrt(x_i^2 + y_i^2) + a\nr_i = ? mm at a = 3 mm",
    "m = mean(x_i) = ? mm",
    "m = mean(x_i/y_i) - mean(x_i)/mean(y_i) = ?",
    "m = repeated(y_i) = ? mm",
    "m = standard_deviation(x_i)/range(x_i) = ?",
    "m = max(x_i) + min(y_i) + median(x_i) + count(x_i) (1 mm) = ? mm",
    "m = first(x_i) - last(y_i) = ? mm",
    "m = mean(abs(x_i - mean(x_i))) = ? mm with k = 2",
];

/// Lines of `check`, each by itself.
const CHECK: [&str; 10] = [
    "x_i < 60 mm",
    "20 mm < x_i < 80 mm",
    "x_i = y_i within 30 mm",
    "y_i <= max(y_i)",
    "x_i agrees with y_i within k = 40",
    "x_i differs from 200 mm",
    "y_i conforms to 1 mm to 120 mm",
    "mean(x_i) > mean(y_i)",
    "x_i >= min(x_i, y_i)",
    "mean(x_i) agrees with mean(y_i) within k = 9",
];

/// A worksheet; `is_whole` without what takes no part.
fn written(rows: &[Row], lines: [&str; 2], is_whole: bool) -> String {
    let takes_part = |(_, _, part): &Row| *part > 2;
    let fields = |(x, y, part): &Row| match part {
        1 => format!("- | {}\n", f64::from(*y) / 10.0),
        2 => format!("{} | -\n", f64::from(*x) / 10.0),
        _ => format!("{} | {}\n", f64::from(*x) / 10.0, f64::from(*y) / 10.0),
    };
    let kept = rows.iter().filter(|row| !is_whole || takes_part(row));
    let table: String = kept.map(fields).collect();
    let out = rows.iter().enumerate().filter(|(_, row)| row.2 == 0);
    let out = out.filter(|_| !is_whole);
    let out: String = out
        .map(|(at, _)| format!("leave out row {} -- shaken\n", at + 1))
        .collect();
    // A reading whose neighbour is missing is a reading; here it is left out with it.
    let halves = rows
        .iter()
        .enumerate()
        .filter(|(_, row)| matches!(row.2, 1 | 2));
    let halves = halves.filter(|_| !is_whole);
    let halves: String = halves
        .map(|(at, _)| format!("leave out row {} -- half\n", at + 1))
        .collect();
    let [work, check] = lines;
    format!(
        "```given\na = 2.5 ± 0.1 mm\n```\n\n```data t\nx_i / mm | y_i / mm\n{table}\n\
         x_i ± 1.5 mm\ny_i ± 0.5 mm ± 0.2 mm common\n{out}{halves}```\n\n\
         ```work\n{work}\n```\n\n```check\n{check}\n```\n"
    )
}

/// The numbers of an entry, without those that are missing.
fn present(entry: &Value, key: &str) -> Vec<f64> {
    match &entry[key] {
        Value::Array(all) => all.iter().filter_map(Value::as_f64).collect(),
        one => one.as_f64().into_iter().collect(),
    }
}

/// What is told of a worksheet, but for the numbers of rows and lines.
fn told(source: &str) -> (Vec<[Vec<f64>; 2]>, Vec<String>, Vec<String>) {
    let report = report("law.md", source);
    let sizes = |entry: &Value| {
        let values = &entry["value"];
        let sizes = &entry["uncertainty"];
        match (values.as_array(), sizes.as_array()) {
            (Some(values), Some(sizes)) => (values.iter().zip(sizes))
                .filter(|(value, _)| !value.is_null())
                .map(|(_, size)| size.as_f64().unwrap_or(f64::NAN))
                .collect(),
            _ => present(entry, "uncertainty"),
        }
    };
    let results = list(&report, "results").iter();
    let results = results
        .map(|entry| [present(entry, "value"), sizes(entry)])
        .collect();
    let checks = list(&report, "checks").iter();
    let checks = checks
        .map(|check| format!("{} {} {}", check["text"], check["holds"], check["verdict"]))
        .collect();
    let said = list(&report, "diagnostics").iter();
    let said = said.map(|it| text(it, "code").to_owned()).collect();
    (results, checks, said)
}

fn close(one: &[f64], other: &[f64]) -> bool {
    let is_close = |(a, b): (&f64, &f64)| (a - b).abs() <= 1e-9 * a.abs().max(b.abs()).max(1e-3);
    one.len() == other.len() && one.iter().zip(other).all(is_close)
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(300))]

    #[test]
    fn a_row_that_takes_no_part_changes_nothing(
        rows in prop::collection::vec((100..999_u32, 100..999_u32, 0..9_u8), 2..9),
        work in 0..WORK.len(),
        check in 0..CHECK.len(),
    ) {
        let lines = [WORK[work], CHECK[check]];
        let [gapped, whole] = [false, true].map(|is_whole| written(&rows, lines, is_whole));
        prop_assume!(rows.iter().filter(|row| row.2 > 2).count() >= 2);
        let [of_gapped, of_whole] = [told(&gapped), told(&whole)];
        prop_assert_eq!(&of_gapped.1, &of_whole.1, "{}", gapped);
        prop_assert_eq!(&of_gapped.2, &of_whole.2, "{}", gapped);
        prop_assert_eq!(of_gapped.0.len(), of_whole.0.len(), "{}", gapped);
        for (one, other) in of_gapped.0.iter().zip(&of_whole.0) {
            prop_assert!((0..2).all(|at| close(&one[at], &other[at])), "{:?} {:?}\n{}", one, other, gapped);
        }
    }
}
