//! Readings drawn from what is known to be true: what a worksheet states of them holds as often as it
//! says. Each test names what it guards: the share that came out without the rule, or another value.
//!
//! Many problems of one kind stand in one worksheet, each with its own readings.

use std::f64::consts::TAU;
use std::fmt::Write;

use serde_json::Value;

use crate::reference::report::{list, report, text};

/// Numbers that are the same in every run (Steele, Lea and Flood 2014), and normal ones (Box and
/// Muller 1958).
struct Draws(u64);

impl Draws {
    fn bits(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut bits = self.0;
        bits = (bits ^ (bits >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        bits = (bits ^ (bits >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        bits ^ (bits >> 31)
    }

    fn uniform(&mut self) -> f64 {
        ((self.bits() >> 11) as f64 + 0.5) * 2_f64.powi(-53)
    }

    fn normal(&mut self) -> f64 {
        (-2.0 * self.uniform().ln()).sqrt() * (TAU * self.uniform()).cos()
    }

    /// How many events are counted (Knuth 1969).
    fn poisson(&mut self, mean: f64) -> u32 {
        let (mut left, mut count) = (mean, 0);
        loop {
            left += self.uniform().ln();
            if left < 0.0 {
                return count;
            }
            count += 1;
        }
    }
}

/// The reports of so many problems of one kind: the results of each, by name.
fn problems(count: usize, mut problem: impl FnMut(usize) -> String) -> Vec<Problem> {
    const IN_ONE: usize = 25;
    let mut found = Vec::new();
    for start in (0..count).step_by(IN_ONE) {
        let mut sheet = String::new();
        for at in start..(start + IN_ONE).min(count) {
            write!(sheet, "# Problem {at}\n\n{}\n", problem(at)).unwrap();
        }
        let report = report("simulated.md", &sheet);
        let errors = list(&report, "diagnostics").iter();
        let errors: Vec<&Value> = errors.filter(|it| it["severity"] == "error").collect();
        // A check that does not hold is what some are to count.
        let errors = errors.into_iter().filter(|it| it["code"] != "C01");
        assert_eq!(errors.count(), 0, "{:#}\n{sheet}", report["diagnostics"]);
        let mut checks = list(&report, "checks").iter();
        for at in start..(start + IN_ONE).min(count) {
            let title = format!("Problem {at}");
            let results = list(&report, "results").iter();
            let results = results.filter(|it| it["problem"] == title.as_str());
            found.push(Problem {
                results: results.cloned().collect(),
                check: checks.next().cloned(),
            });
        }
    }
    found
}

struct Problem {
    results: Vec<Value>,
    /// Each problem has one, or none.
    check: Option<Value>,
}

impl Problem {
    fn result(&self, name: &str) -> &Value {
        let own = self.results.iter().rfind(|it| text(it, "name") == name);
        own.unwrap_or_else(|| panic!("no {name} in {:#?}", self.results))
    }

    fn number(&self, name: &str, key: &str) -> f64 {
        self.result(name)[key].as_f64().expect(key)
    }

    /// Whether what is stated of a name with a coverage holds this.
    fn covers(&self, name: &str, truth: f64) -> bool {
        let factor = self.result(name)["coverage"]["factor"].as_f64();
        let half = factor.expect("a coverage") * self.number(name, "uncertainty");
        (self.number(name, "value") - truth).abs() <= half
    }

    fn differs(&self) -> bool {
        let check = self.check.as_ref().expect("a check");
        check["verdict"] == "differs"
    }
}

fn share(count: usize, holds: impl Iterator<Item = bool>) -> f64 {
    holds.filter(|it| *it).count() as f64 / count as f64
}

/// Three standard deviations of a share that is so large, of so many.
fn room(share: f64, count: usize) -> f64 {
    3.0 * (share * (1.0 - share) / count as f64).sqrt()
}

fn joined(numbers: &[f64], places: usize) -> String {
    let all = numbers.iter().map(|number| format!("{number:.places$}"));
    all.collect::<Vec<String>>().join(", ")
}

const COUNT: usize = 200;

/// 65 % of ten readings that scatter by a twentieth of the last digit, without the resolution.
#[test]
fn repeated_readings_whose_scatter_the_last_digit_hides_hold_their_mean() {
    for (n, scatter) in [(3, 0.05), (4, 0.3), (10, 0.05), (10, 0.3), (5, 1.0)] {
        let mut draws = Draws(n as u64);
        let mut truths = Vec::new();
        let found = problems(COUNT, |_| {
            let truth = 20.0 + draws.uniform();
            truths.push(truth);
            let readings: Vec<f64> = (0..n)
                .map(|_| (truth + scatter * draws.normal()).round())
                .collect();
            format!(
                "```given\nx_i = [{}] mm (resolution 1 mm)\n```\n\n\
                 ```work\nm = repeated(x_i) = ? mm with 95 % coverage\n```\n",
                joined(&readings, 0)
            )
        });
        let holds = found.iter().zip(&truths);
        let holds = share(
            COUNT,
            holds.map(|(problem, truth)| problem.covers("m", *truth)),
        );
        assert!(holds >= 0.95 - room(0.95, COUNT), "{n} {scatter}: {holds}");
    }
}

/// 55, 74 and 88 % by the scatter of each row alone.
#[test]
fn a_line_through_pooled_rows_holds_its_slope() {
    for n in [2, 3, 6] {
        let mut draws = Draws(100 + n as u64);
        let found = problems(COUNT, |_| {
            let names: Vec<String> = (0..n).map(|k| format!("r{k}_i")).collect();
            let rows = (0..5).map(|row| {
                let x = f64::from(row);
                let readings: Vec<String> = (0..n)
                    .map(|_| format!("{:.4}", 1.0 + 2.0 * x + 0.3 * draws.normal()))
                    .collect();
                format!("{x} | {}", readings.join(" | "))
            });
            let rows: Vec<String> = rows.collect();
            let heads: Vec<String> = names.iter().map(|name| format!("{name} / mm")).collect();
            format!(
                "```data rows\nx_i / s | {}\n{}\n```\n\n```work\ny_i = pooled({})\n```\n\n\
                 ```fit line\ny_i = a + b x_i\na = ? mm\nb = ? mm/s\n```\n\n\
                 ```work\nslope = b = ? mm/s with 95 % coverage\n```\n",
                heads.join(" | "),
                rows.join("\n"),
                names.join(", ")
            )
        });
        let holds = share(
            COUNT,
            found.iter().map(|problem| problem.covers("slope", 2.0)),
        );
        assert!((holds - 0.95).abs() <= room(0.95, COUNT), "{n}: {holds}");
    }
}

/// By observed readings the slope is 2.935.
#[test]
fn shares_of_the_reading_do_not_pull_a_line_down() {
    let mut draws = Draws(7);
    let found = problems(COUNT, |_| {
        let x: Vec<f64> = (1..=12).map(f64::from).collect();
        let y: Vec<f64> = x
            .iter()
            .map(|x| (2.0 + 3.0 * x) * (1.0 + 0.1 * draws.normal()))
            .collect();
        format!(
            "```given\nx_i = [{}] s\ny_i = [{}] mm ± 10 % each\n```\n\n\
             ```fit line\ny_i = a + b x_i\na = ? mm\nb = ? mm/s\n```\n\n\
             ```work\nslope = b = ? mm/s with 95 % coverage\n```\n",
            joined(&x, 0),
            joined(&y, 5)
        )
    });
    let mean = found.iter().map(|it| it.number("b", "value")).sum::<f64>() / COUNT as f64;
    let u = found[0].number("b", "uncertainty");
    assert!(
        (mean - 3.0).abs() < 3.5 * u / (COUNT as f64).sqrt(),
        "{mean}"
    );
    let holds = share(
        COUNT,
        found.iter().map(|problem| problem.covers("slope", 3.0)),
    );
    assert!((holds - 0.95).abs() <= room(0.95, COUNT), "{holds}");
}

/// 13, 9, 8 and 7 % with k = 2 for all.
#[test]
fn equal_means_are_called_different_as_seldom_as_is_said() {
    for (n, m) in [(3, 3), (3, 6), (4, 10)] {
        let mut draws = Draws(10 * n + m);
        let found = problems(COUNT, |_| {
            let mut readings = |count: u64, scatter: f64| {
                let all: Vec<f64> = (0..count)
                    .map(|_| 50.0 + scatter * draws.normal())
                    .collect();
                joined(&all, 5)
            };
            format!(
                "```given\na_i = [{}] mm\nb_i = [{}] mm\n```\n\n\
                 ```work\na = repeated(a_i) = ? mm\nb = repeated(b_i) = ? mm\n```\n\n\
                 ```check\na agrees with b\n```\n",
                readings(n, 1.0),
                readings(m, 2.0)
            )
        });
        let differs = share(COUNT, found.iter().map(Problem::differs));
        // Welch's approximation is on the safe side.
        assert!(
            (0.01..=0.05 + room(0.05, COUNT)).contains(&differs),
            "{n} {m}: {differs}"
        );
    }
}

/// 45 % if rows that happen to stand beside each other correlated.
#[test]
fn columns_in_ascending_order_are_not_called_different() {
    let mut draws = Draws(55);
    let found = problems(COUNT, |_| {
        let mut column = || {
            let mut all: Vec<f64> = (0..5).map(|_| 50.0 + draws.normal()).collect();
            all.sort_by(f64::total_cmp);
            all
        };
        let rows = column().into_iter().zip(column());
        let rows: Vec<String> = rows.map(|(a, b)| format!("{a:.5} | {b:.5}")).collect();
        format!(
            "```data both\na_i / mm | b_i / mm\n{}\n```\n\n\
             ```work\na = repeated(a_i) = ? mm\nb = repeated(b_i) = ? mm\n```\n\n\
             ```check\na agrees with b\n```\n",
            rows.join("\n")
        )
    });
    let differs = share(COUNT, found.iter().map(Problem::differs));
    assert!(
        (0.01..=0.05 + room(0.05, COUNT)).contains(&differs),
        "{differs}"
    );
}

/// The difference of what a line and a parabola say of the same readings: its own scatter, and as
/// often called different as is said.
#[test]
fn two_fits_of_one_list_share_its_scatter() {
    let mut draws = Draws(81);
    let found = problems(COUNT, |_| {
        let x: Vec<f64> = (0..10).map(f64::from).collect();
        let y: Vec<f64> = x
            .iter()
            .map(|x| 1.0 + 0.5 * x + 0.4 * draws.normal())
            .collect();
        format!(
            "```given\nx_i = [{}] s\ny_i = [{}] mm\nx_p = 4.5 s\n```\n\n\
             ```fit line\ny_i = a + b x_i\na = ? mm\nb = ? mm/s\n```\n\n\
             ```fit bow\ny_i = p + q x_i + r x_i^2\np = ? mm\nq = ? mm/s\nr = ? mm/s^2\n```\n\n\
             ```work\ny_1 = a + b x_p\ny_2 = p + q x_p + r x_p^2\nd = y_1 - y_2 = ? mm\n```\n\n\
             ```check\ny_1 agrees with y_2\n```\n",
            joined(&x, 0),
            joined(&y, 5)
        )
    });
    let squares = |of: &dyn Fn(&Problem) -> f64| {
        found.iter().map(|problem| of(problem).powi(2)).sum::<f64>() / COUNT as f64
    };
    let seen = squares(&|problem| problem.number("d", "value"));
    let stated = squares(&|problem| problem.number("d", "uncertainty"));
    assert!((stated / seen - 1.0).abs() < 0.3, "{stated} {seen}");
    let differs = share(COUNT, found.iter().map(Problem::differs));
    assert!(
        (0.01..=0.05 + room(0.05, COUNT)).contains(&differs),
        "{differs}"
    );
}

/// 65 % without the scatter of the further reading.
#[test]
fn a_line_that_is_used_backwards_holds_what_it_reads() {
    let mut draws = Draws(91);
    let found = problems(COUNT, |_| {
        let x: Vec<f64> = (0..6).map(f64::from).collect();
        let mut line = |x: f64| 3.0 + 10.0 * x + draws.normal();
        let y: Vec<f64> = x.iter().map(|x| line(*x)).collect();
        let further = line(2.7);
        format!(
            "```given\nx_i = [{}] mm\ny_i = [{}] V\ny_x = {further:.5} V\n```\n\n\
             ```fit line\ny_i = a + b x_i\na = ? V\nb = ? V/mm\n```\n\n\
             ```work\ne_y = scatter of line = ? V\nx = (y_x + e_y - a)/b = ? mm with 95 % coverage\n```\n",
            joined(&x, 0),
            joined(&y, 5)
        )
    });
    let holds = share(COUNT, found.iter().map(|problem| problem.covers("x", 2.7)));
    assert!((holds - 0.95).abs() <= room(0.95, COUNT), "{holds}");
}

/// Lengths and periods that are uncertain both, and a diameter that all lengths share.
#[test]
fn a_pendulum_with_errors_on_both_sides_scatters_as_it_states() {
    let mut draws = Draws(17);
    let lengths = [287.0, 388.0, 487.0, 589.0, 686.0, 785.0, 884.0, 986.0];
    let found = problems(COUNT, |_| {
        let d = 25.02 + 0.5 * draws.normal();
        let rows = lengths.map(|thread| {
            let length = (thread + 25.02 / 2.0) / 1e3;
            let time = 20.0 * TAU * (length / 9.81_f64).sqrt();
            let (l, t) = (thread + draws.normal(), time + 0.05 * draws.normal());
            format!("{l:.4} | {t:.5}")
        });
        format!(
            "```given\nd = {d:.5} ± 0.5 mm\nN = 20\n```\n\n\
             ```data swings\nl_i / mm | t_i / s\n{}\n\nl_i ± 1.0 mm\nt_i ± 0.05 s\n```\n\n\
             ```work\nL_i = l_i + d/2\nT_i = t_i/N\n```\n\n\
             ```fit line\nT_i^2 = c + (4 pi^2/g) L_i\ng = ? m/s^2\nc = ? s^2\n```\n",
            rows.join("\n")
        )
    });
    for (name, truth) in [("g", 9.81), ("c", 0.0)] {
        let off = found
            .iter()
            .map(|it| (it.number(name, "value") - truth).powi(2));
        let seen = (off.sum::<f64>() / COUNT as f64).sqrt();
        let stated = found.iter().map(|it| it.number(name, "uncertainty"));
        let stated = stated.sum::<f64>() / COUNT as f64;
        assert!(
            (seen / stated - 1.0).abs() < 0.15,
            "{name}: {seen} {stated}"
        );
    }
}

/// By observed counts the background comes out one count too low.
#[test]
fn counts_that_decay_leave_their_background_where_it_is() {
    let mut draws = Draws(23);
    let (background, start, rate) = (12.0, 300.0, 0.5);
    let found = problems(COUNT, |_| {
        let rows = (0..30).map(|row| {
            let t = f64::from(row);
            let count = draws.poisson(background + start * (-rate * t).exp());
            format!("{t} | {count}")
        });
        let rows: Vec<String> = rows.collect();
        format!(
            "```data counts\nt_i / s | N_i\n{}\n\nN_i (Poisson)\n```\n\n\
             ```fit decay\nN_i = B + A exp(-k_d t_i)\nB = ?\nA = ?\nk_d = ? 1/s near 0.4 1/s\n```\n",
            rows.join("\n")
        )
    });
    let mean = |key: &str| found.iter().map(|it| it.number("B", key)).sum::<f64>() / COUNT as f64;
    let (value, stated) = (mean("value"), mean("uncertainty"));
    assert!((value - background).abs() < 0.35, "{value}");
    let off = found
        .iter()
        .map(|it| (it.number("B", "value") - value).powi(2));
    let seen = (off.sum::<f64>() / COUNT as f64).sqrt();
    assert!((seen / stated - 1.0).abs() < 0.2, "{seen} {stated}");
}
