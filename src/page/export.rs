//! Tables with what is computed from them, as files that can be read as tables again.

use std::borrow::Cow;
use std::collections::HashSet;

use crate::evaluate::Value;
use crate::quantity::{Clock, Mark, Unit};
use crate::resolve::{Shape, SymbolId};
use crate::tables::{self, Pattern, Sign, separated};
use crate::worksheet::{Body, Entries, Placed, Problem, Shown, Table, TableColumn, Worksheet};

/// A table as a file (RFC 4180, UTF-8).
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Exported {
    /// What the file is called.
    pub name: String,
    /// What stands in it.
    pub text: String,
}

/// The tables of a worksheet, each with the lists that are computed from it.
pub fn tables(worksheet: &Worksheet) -> Vec<Exported> {
    let mut known = HashSet::new();
    let found = worksheet.statements().filter_map(|(placed, statement)| {
        let Body::Table(table) = &statement.body else {
            return None;
        };
        let (label, number) = statement.label.as_ref()?;
        // Problems have labels of their own, and not every disk tells capitals apart.
        let is_first = known.insert(label.to_lowercase());
        let name = match is_first {
            true => format!("{label}.csv"),
            false => format!("{label} {}.csv", placed.equation(*number)),
        };
        Some(Exported {
            name,
            text: file(placed, table),
        })
    });
    found.collect()
}

/// A column of a file: its title and what stands below.
struct Column<'t> {
    title: String,
    entry: Box<dyn Fn(usize) -> Cow<'t, str> + 't>,
}

fn file(placed: &Placed, table: &Table) -> String {
    let mut columns = vec![Column {
        title: "row".to_owned(),
        entry: Box::new(|row| (row + 1).to_string().into()),
    }];
    for column in &table.columns {
        columns.extend(self::columns(&placed.problem, column));
    }
    for (symbol, shown) in lists(&placed.problem, table) {
        columns.extend(computed(&placed.problem, symbol, shown));
    }
    if table.left_out.iter().any(|out| !out.rows.is_empty()) {
        let mut reasons = vec![""; table.rows];
        for out in &table.left_out {
            for row in &out.rows {
                if let Some(reason) = reasons.get_mut(*row) {
                    *reason = &out.reason;
                }
            }
        }
        columns.push(Column {
            title: "left out".to_owned(),
            entry: Box::new(move |row| reasons.get(row).copied().unwrap_or("").into()),
        });
    }
    let titles: Vec<String> = columns.iter().map(|column| column.title.clone()).collect();
    let rows = (0..table.rows).map(|row| -> Vec<String> {
        columns
            .iter()
            .map(|column| (column.entry)(row).into_owned())
            .collect()
    });
    separated(std::iter::once(titles).chain(rows))
}

/// A column of the table, as it is written, and what it is uncertain by.
fn columns<'t>(problem: &'t Problem, column: &'t TableColumn) -> Vec<Column<'t>> {
    let Entries::Readings {
        symbol,
        unit,
        word,
        readings,
        times,
        shown,
        ..
    } = &column.entries
    else {
        return match column.entries {
            // They stand behind their readings.
            Entries::Uncertainties { .. } => Vec::new(),
            Entries::Readings { .. } | Entries::Words(_) => vec![Column {
                title: column.heading.clone(),
                entry: Box::new(|row| column.entry(row)),
            }],
        };
    };
    let key = &problem.symbols.symbol(*symbol).key;
    let title = match times {
        Some(times) => format!("{key} / {}", times.pattern.text()),
        None => titled(key, unit, *word),
    };
    let own = Column {
        title,
        entry: Box::new(
            move |row| match (readings.get(row).copied().flatten(), times) {
                (None, _) => "-".into(),
                (Some(_), Some(_)) => column.entry(row),
                (Some(reading), None) => reading.number.text().into(),
            },
        ),
    };
    let value = shown.origin.as_deref().map(|(value, ..)| value);
    let sizes = value.and_then(|value| uncertainty(problem, key, unit, value));
    std::iter::once(own).chain(sizes).collect()
}

/// A list that is computed from the table, at full precision.
fn computed<'t>(problem: &'t Problem, symbol: SymbolId, shown: &'t Shown) -> Vec<Column<'t>> {
    let key = &problem.symbols.symbol(symbol).key;
    let clock = match shown.unit.mark() {
        Mark::Clock(clock) => Some(clock),
        _ => None,
    };
    // A time of day past midnight is none that is read again: such a list is in seconds.
    let is_read_again = |clock: &Clock| {
        let pattern = Pattern::read(clock.pattern());
        let values = shown.values.iter().filter(|value| value.is_finite());
        let texts = values.map(|value| moment(*value, *clock));
        let mut times = texts.map(|text| pattern?.time(&text, Sign::Point));
        times.all(|time| time.is_some())
    };
    let told = clock.filter(is_read_again);
    let own = Column {
        title: match (told, clock) {
            (Some(clock), _) => format!("{key} / {}", clock.pattern()),
            (None, Some(_)) => titled(key, &shown.unit.interval(), None),
            (None, None) => titled(key, &shown.unit, shown.word),
        },
        entry: Box::new(move |row| {
            let value = shown.values.get(row).copied().unwrap_or(f64::NAN);
            match (value.is_finite(), told) {
                (true, Some(clock)) => moment(value, clock).into(),
                (true, None) => value.to_string().into(),
                (false, _) => "-".into(),
            }
        }),
    };
    let value = shown.origin.as_deref().map(|(value, ..)| value);
    let sizes = value.and_then(|value| uncertainty(problem, key, &shown.unit, value));
    std::iter::once(own).chain(sizes).collect()
}

/// A point of time with all its digits.
fn moment(value: f64, clock: Clock) -> String {
    let exact = tables::reading(&value.to_string()).ok();
    let text = exact.and_then(|it| clock.text(it.number.digits, it.number.power));
    text.unwrap_or_else(|| "-".to_owned())
}

/// What the numbers of a list are uncertain by, where they are.
fn uncertainty<'t>(
    problem: &'t Problem,
    key: &str,
    unit: &Unit,
    value: &'t Value,
) -> Option<Column<'t>> {
    let unit = unit.interval();
    let size = move |row: usize| Some(value.uncertainty(row, &problem.sources)?.size);
    (0..value.rows.len()).find_map(size)?;
    let factor = unit.factor();
    Some(Column {
        title: titled(&format!("u({key})"), &unit, None),
        entry: Box::new(move |row| match (value.has(row), size(row)) {
            (false, _) => "-".into(),
            (true, Some(size)) => (size / factor).to_string().into(),
            (true, None) => "0".into(),
        }),
    })
}

/// `L_i / mm`, `p_i / kPa gauge`, `v_i / (m/s)`
fn titled(key: &str, unit: &Unit, word: Option<&str>) -> String {
    let source = unit.source();
    let unit = match source {
        "" => return key.to_owned(),
        _ if source.contains([' ', '/', '*']) => format!("({source})"),
        _ => source.to_owned(),
    };
    match word {
        Some(word) => format!("{key} / {unit} {word}"),
        None => format!("{key} / {unit}"),
    }
}

/// The lists that are computed from a table, each where it is defined.
fn lists<'p>(
    problem: &'p Problem,
    table: &'p Table,
) -> impl Iterator<Item = (SymbolId, &'p Shown)> {
    let mut known: HashSet<SymbolId> = HashSet::new();
    let rows = move |shown: &Shown| {
        let value = shown.origin.as_deref().map(|(value, ..)| value);
        let of = value.and_then(|value| value.of.as_ref()?.table);
        shown.shape == Shape::List && of == Some(table.place)
    };
    problem.statements().filter_map(move |statement| {
        let Body::Work(work) = &statement.body else {
            return None;
        };
        let symbol = work.lead.as_symbol()?;
        let is_new = work.conditions.is_empty() && rows(&work.shown) && known.insert(symbol);
        is_new.then_some((symbol, &*work.shown))
    })
}

#[cfg(test)]
mod tests {
    use std::sync::Arc;

    use proptest::prelude::*;

    use super::*;
    use crate::text::{Beside, Memory, Source};
    use crate::worksheet::{compile, compile_beside};

    /// The numbers of a worksheet's columns and lists, in the units of their headings.
    fn read(worksheet: &Worksheet) -> Vec<(String, Vec<f64>)> {
        let mut found = Vec::new();
        for (placed, statement) in worksheet.statements() {
            let key = |symbol: SymbolId| placed.problem.symbols.symbol(symbol).key.to_string();
            match &statement.body {
                Body::Table(table) => {
                    found.extend(table.columns.iter().filter_map(|column| {
                        let Entries::Readings {
                            symbol, readings, ..
                        } = &column.entries
                        else {
                            return None;
                        };
                        let number = |it: &Option<tables::Reading>| {
                            it.map_or(f64::NAN, |reading| reading.number.value())
                        };
                        Some((key(*symbol), readings.iter().map(number).collect()))
                    }));
                }
                Body::Work(work) => {
                    let symbol = work.lead.as_symbol().unwrap();
                    found.push((key(symbol), work.shown.values.clone()));
                }
                _ => {}
            }
        }
        found
    }

    fn bits(values: &[f64]) -> Vec<u64> {
        let one = |value: &f64| {
            if value.is_nan() {
                u64::MAX
            } else {
                value.to_bits()
            }
        };
        values.iter().map(one).collect()
    }

    proptest! {
        #[test]
        fn a_table_that_is_written_is_read_with_the_same_values_to_the_last_bit(
            rows in prop::collection::vec(
                (-10_i64.pow(12)..10_i64.pow(12), 0..12_u32, prop::bool::weighted(0.9),
                 "[a-z°é,;\"' =+-]{0,8}", 0..86_400_u32),
                1..9),
            unit in prop::sample::select(&["mm", "kPa gauge", "degC", "(m/s)", "psi", "ft", "1"][..]),
            asked in prop::sample::select(&[0, 1][..]),
            is_left_out in any::<bool>(),
        ) {
            let mut seconds: Vec<u32> = rows.iter().map(|row| row.4).collect();
            seconds.sort_unstable();
            let mut text = format!("```data readings\na_i / {unit} | t_i / hh:mm:ss | note\n");
            for ((digits, places, is_present, words, _), second) in rows.iter().zip(seconds) {
                // No temperature lies below absolute zero.
                let digits = if unit == "degC" { digits.abs() } else { *digits };
                let number = tables::reading(&format!("{digits}e-{places}")).unwrap().number.text();
                let number = if *is_present { number } else { "-".to_owned() };
                let [h, m, s] = [second / 3600, second / 60 % 60, second % 60];
                text.push_str(&format!("{number} | {h:02}:{m:02}:{s:02} | x{words}x\n"));
            }
            if is_left_out {
                text.push_str("leave out row 1 -- it was the first, and \"late\"\n");
            }
            text.push_str("```\n\n```work\nb_i = (a_i + first(a_i))/2\n");
            let half = ["b_i - first(a_i)", "(b_i - first(a_i))/7"][asked];
            text.push_str(&format!("c_i = {half}\ns_i = t_i + 1.25 s\nd_i = t_i - first(t_i)\n```\n"));
            let worksheet = compile(Source::new("w.md", text.as_str()));
            prop_assume!(!worksheet.has_errors());
            let exported = super::tables(&worksheet);
            prop_assert_eq!(exported.len(), 1);
            let files = Memory::default();
            files.write("readings.csv", exported[0].text.clone());
            let titles: Vec<String> = {
                let first = exported[0].text.lines().next().unwrap();
                first.split(',').map(str::to_owned).collect()
            };
            let mut again = "```data readings\nfile \"readings.csv\"\n".to_owned();
            for title in titles.iter().filter(|title| title.contains("_i")) {
                again.push_str(&format!("{title} = column \"{title}\"\n"));
            }
            again.push_str("why = column \"note\"\n```\n");
            let beside = Beside::new(Arc::new(files), "w.md");
            let second = compile_beside(Source::new("w.md", again.as_str()), &beside);
            prop_assert!(!second.has_errors(), "{}\n{}\n{:?}", text, again, second.diagnostics);
            let back = read(&second);
            for (key, values) in read(&worksheet) {
                let own = back.iter().find(|(other, _)| *other == key);
                let own = own.map(|(_, values)| bits(values));
                prop_assert_eq!(own, Some(bits(&values)), "{} of\n{}", key, text);
            }
        }
    }
}
