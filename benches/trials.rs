//! What a million trials cost: a formula of twelve operations with four normal inputs, beside a loop
//! on two threads that draws the same numbers, does the same arithmetic and finds what the page
//! tells of it: mean, standard deviation, and both intervals.
//!
//! The aim is at most 1.2 times the loop, and below 60 ms.

#[allow(
    dead_code,
    unused_imports,
    clippy::excessive_precision,
    reason = "the draws of the program itself, of which one kind is used here"
)]
#[path = "../src/statistics/philox.rs"]
mod philox;

use setsquare::text::Source;
use setsquare::worksheet;

fn main() {
    divan::main();
}

const TRIALS: u64 = 1_000_000;

/// The values and standard uncertainties of the inputs.
const INPUTS: [(&str, f64, f64); 4] = [
    ("a", 3.0, 0.1),
    ("b", 5.0, 0.2),
    ("c", 2.0, 0.05),
    ("d", 7.0, 0.3),
];

fn sheet(trials: &str) -> String {
    let given: String = (INPUTS.iter())
        .map(|(name, value, size)| format!("{name} = {value} ± {size}\n"))
        .collect();
    let formula = "a b/(c + d) + a^2 c - d/b + (a - c) d b";
    format!("```given\n{given}```\n\n```work\ny = {formula} = ?\n```\n\n```check\n{trials}\n```\n")
}

/// The same worksheet without trials is taken off by hand.
#[divan::bench(args = ["y > 0", "monte carlo of y with 1e6 trials"])]
fn worksheet_of(bencher: divan::Bencher, line: &str) {
    bencher
        .with_inputs(|| Source::new("trials.md", sheet(line)))
        .bench_values(worksheet::compile);
}

/// So many trials are drawn one after the other.
const AT_ONCE: usize = 1_000;

/// The results of half of the trials.
fn half(from: u64) -> Vec<f64> {
    let mut found = Vec::with_capacity(TRIALS as usize / 2);
    let mut drawn = [[0.0; AT_ONCE]; 4];
    for start in (from..from + TRIALS / 2).step_by(AT_ONCE) {
        for (at, (numbers, (_, value, size))) in drawn.iter_mut().zip(INPUTS).enumerate() {
            let key = 0x9E37_79B9_7F4A_7C15 + at as u64;
            philox::Source { key }.normals(start, 0, numbers);
            numbers
                .iter_mut()
                .for_each(|number| *number = value + size * *number);
        }
        let [a, b, c, d] = &drawn;
        found.extend((0..AT_ONCE).map(|i| {
            let [a, b, c, d] = [a[i], b[i], c[i], d[i]];
            a * b / (c + d) + a * a * c - d / b + (a - c) * d * b
        }));
    }
    found
}

/// What is told of the trials.
#[allow(dead_code, reason = "a bench is what it returns")]
struct Told {
    mean: f64,
    deviation: f64,
    symmetric: [f64; 2],
    shortest: [f64; 2],
}

impl Told {
    fn of(mut values: Vec<f64>) -> Self {
        let count = values.len();
        let mean = values.iter().sum::<f64>() / count as f64;
        let squares: f64 = values.iter().map(|value| (value - mean).powi(2)).sum();
        let tail = count / 20;
        values.select_nth_unstable_by(count - tail, f64::total_cmp);
        values[count - tail..].sort_unstable_by(f64::total_cmp);
        values[..count - tail].select_nth_unstable_by(tail, f64::total_cmp);
        values[..tail].sort_unstable_by(f64::total_cmp);
        let all = values[..tail].iter().zip(&values[count - tail..]);
        let all = all.map(|(low, high)| [*low, *high]);
        let width = |ends: &[f64; 2]| ends[1] - ends[0];
        let shorter = |a: &[f64; 2], b: &[f64; 2]| width(a).total_cmp(&width(b));
        Self {
            mean,
            deviation: (squares / (count as f64 - 1.0)).sqrt(),
            symmetric: [values[tail / 2], values[count - tail / 2]],
            shortest: all.min_by(shorter).unwrap_or_default(),
        }
    }
}

#[divan::bench]
fn loop_on_two_threads() -> Told {
    let threads = [0, TRIALS / 2].map(|from| std::thread::spawn(move || half(from)));
    let halves = threads.into_iter().map(|thread| thread.join());
    Told::of(halves.flatten().flatten().collect())
}

/// Draws and arithmetic alone.
#[divan::bench]
fn draws_on_two_threads() -> Vec<f64> {
    let threads = [0, TRIALS / 2].map(|from| std::thread::spawn(move || half(from)));
    let halves = threads.into_iter().map(|thread| thread.join());
    halves.flatten().flatten().collect()
}
