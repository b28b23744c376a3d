//! What it costs to compare an equation with a balance of a sketch: the balances of the worksheets,
//! with a slip of every kind in each term, with two, and with none.
//!
//! The aim is that none takes more than 20 ms. What is told is how much longer a worksheet takes with
//! the line than without it, each the least of a few runs. Words after `--` choose balances:
//! `cargo bench --bench comparisons -- tee`.

#[allow(
    dead_code,
    clippy::expect_used,
    reason = "what slips are told by is for the tests, whose data are read here"
)]
#[path = "../tests/it/planted/rows.rs"]
mod rows;

use std::time::{Duration, Instant};

use rows::{Row, equation};
use setsquare::text::Source;
use setsquare::worksheet;

/// Of the equations with two slips every so many.
const OF_DOUBLE: usize = 20;
/// So many runs of each.
const RUNS: usize = 3;

#[allow(clippy::print_stdout, reason = "a bench says what it measures")]
fn main() {
    let mut single = Vec::new();
    let mut double = Vec::new();
    let mut none = Vec::new();
    let words: Vec<String> = std::env::args()
        .skip(1)
        .filter(|it| !it.starts_with('-'))
        .collect();
    let is_chosen = |row: &Row| words.is_empty() || words.iter().any(|it| row.words.contains(it));
    for row in rows::rows().into_iter().filter(is_chosen) {
        let text = text(&row);
        let without = time(&row.worksheet(&text, &[]));
        let cost = |line: &str| {
            let with = time(&row.worksheet(&text, &[line.to_owned()]));
            (
                with.saturating_sub(without),
                format!("{}: {line}", row.words),
            )
        };
        none.push(cost(&equation(&row.terms)));
        single.extend(row.slips().iter().map(|it| cost(&it.equation)));
        let few = row.double_slips().into_iter().step_by(OF_DOUBLE);
        double.extend(few.map(|it| cost(&it.equation)));
    }
    for (what, mut all) in [("true", none), ("one slip", single), ("two slips", double)] {
        all.sort();
        if all.is_empty() {
            continue;
        }
        let at = |share: usize| all[(all.len() - 1) * share / 1000].0;
        println!(
            "{what}: {} equations, half below {:?}, 9 of 10 below {:?}, 99 of 100 below {:?}; the dearest:",
            all.len(),
            at(500),
            at(900),
            at(990)
        );
        for (cost, line) in all.iter().rev().take(8) {
            println!("  {cost:?} {line}");
        }
    }
}

#[allow(
    clippy::expect_used,
    reason = "without its worksheets there is nothing to measure"
)]
fn text(row: &Row) -> String {
    let folder = std::path::Path::new(env!("CARGO_MANIFEST_DIR"));
    std::fs::read_to_string(folder.join(&row.sheet)).expect("a worksheet")
}

fn time(text: &str) -> Duration {
    let once = || {
        let source = Source::new("comparisons.md", text);
        let start = Instant::now();
        drop(worksheet::compile(source));
        start.elapsed()
    };
    (0..RUNS).map(|_| once()).min().unwrap_or_default()
}
