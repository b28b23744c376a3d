//! What a log of 100,000 rows costs: read from a file, reduced, a sine fitted, a table and two
//! plots drawn.
//!
//! `cargo bench --bench log` prints medians; the aim is half a second.
#![expect(clippy::expect_used, reason = "the worksheet is written here")]

use std::fmt::Write;
use std::sync::Arc;

use setsquare::page;
use setsquare::text::{Beside, Files, Source, Unread};
use setsquare::worksheet::{Worksheet, compile_beside};

const ROWS: usize = 100_000;

const SHEET: &str = r#"
```data log
file "log.csv"
separated by semicolons
decimal comma
headings in line 3
t_i / s         = column "Time [s]"
p_i / kPa gauge = column "P1 [kPa]"
Q_i / (L/s)     = column "Q [L/s]"
status          = column "Status"

p_i ± 0.2 kPa ± 0.5 % common
leave out where status = "low" -- flow meter out of its range
```

```work
n   = count(p_i) = ?
p_m = mean(p_i) = ? kPa gauge
s_p = standard_deviation(p_i) = ? kPa
```

```fit swing
p_i = p_0 + A exp(-t_i/tau) sin(2 pi f t_i + phi) where t_i < 120 s
p_0 = ? kPa gauge
A   = ? kPa near 3 kPa
tau = ? s near 600 s
f   = ? 1/s near 0.73 1/s
phi = ? rad near 0
```

```plot
p_i / kPa gauge against t_i / s where t_i < 10 s
fit swing
```

```plot
p_i / kPa gauge against t_i / min
```
"#;

fn main() {
    divan::main();
}

/// The log: a decaying swing, and noise that is the same each time.
fn log() -> String {
    let mut out = "Rig\nchannels 3, 4\nTime [s];P1 [kPa];Q [L/s];Status\n".to_owned();
    let mut noise = 1_u32;
    for row in 0..ROWS {
        noise = noise.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
        let t = row as f64 / 20.0;
        let own = f64::from(noise >> 8) / f64::from(1 << 24) - 0.5;
        let swing = 3.0 * (-t / 600.0).exp() * (2.0 * std::f64::consts::PI * 0.73 * t).sin();
        let status = if row % 5000 == 4999 { "low" } else { "ok" };
        let line = format!(
            "{t:.2};{:.2};{:.3};{status}",
            410.0 + swing + 0.7 * own,
            32.0 + own
        );
        writeln!(out, "{}", line.replace('.', ",")).expect("a text takes all");
    }
    out
}

struct Log(Vec<u8>);

impl Files for Log {
    fn bytes(&self, _: &str, _: usize) -> Result<Vec<u8>, Unread> {
        Ok(self.0.clone())
    }

    fn names(&self, _: &str) -> Result<Vec<String>, Unread> {
        Ok(vec!["log.csv".to_owned()])
    }
}

fn compiled(files: &Arc<Log>) -> Worksheet {
    let files: Arc<dyn Files> = Arc::<Log>::clone(files);
    let beside = Beside::new(files, "log.md");
    let worksheet = compile_beside(Source::new("log.md", SHEET), &beside);
    assert!(!worksheet.has_errors(), "{:?}", worksheet.diagnostics);
    worksheet
}

#[divan::bench(sample_count = 9)]
fn compile(bencher: divan::Bencher) {
    let files = Arc::new(Log(log().into_bytes()));
    bencher.bench(|| compiled(&files));
}

#[divan::bench(sample_count = 9)]
fn text_to_page(bencher: divan::Bencher) {
    let files = Arc::new(Log(log().into_bytes()));
    bencher.bench(|| page::html(&compiled(&files)));
}

#[divan::bench(sample_count = 9)]
fn tables_out(bencher: divan::Bencher) {
    let worksheet = compiled(&Arc::new(Log(log().into_bytes())));
    bencher.bench(|| page::tables(&worksheet));
}
