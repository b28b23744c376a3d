//! A table as it is printed.

use std::sync::Arc;

use crate::evaluate::{self, Value};
use crate::quantity::{self, Unit};
use crate::resolve::statement::{Column, Data, Readings};
use crate::resolve::{Quantity, Size, SizeForm};
use crate::tables;
use crate::worksheet::build::Builder;
use crate::worksheet::model::{
    Body, Entries, LeftOut, ReadingsUncertain, Shown, Table, TableColumn, Text,
};
use crate::worksheet::show;

impl Builder<'_> {
    pub(super) fn data(&mut self, data: &Data, left_out: &[Option<usize>]) -> Body {
        let columns = data.columns.iter().map(|column| match column {
            Column::Readings(readings) => self.readings(readings),
            Column::Uncertainties(own) => TableColumn {
                heading: own.heading.of(self.text).to_owned(),
                entries: Entries::Uncertainties {
                    of: own.of,
                    unit: own.unit.clone(),
                    readings: Arc::clone(&own.written),
                },
            },
            Column::Words(heading, words) => TableColumn {
                heading: heading.of(self.text).to_owned(),
                entries: Entries::Words(Arc::clone(words)),
            },
        });
        let columns = columns.collect();
        let mut rows = vec![Vec::new(); data.left_out.len()];
        for (row, line) in left_out.iter().enumerate() {
            if let Some(rows) = line.and_then(|line| rows.get_mut(line)) {
                rows.push(row);
            }
        }
        let reasons = data.left_out.iter().zip(rows).map(|(out, rows)| LeftOut {
            rows,
            reason: out.reason.of(self.text).to_owned(),
        });
        Body::Table(Box::new(Table {
            place: data.label,
            file: data.file.clone(),
            together: data.together.clone(),
            columns,
            rows: data.rows,
            left_out: reasons.collect(),
        }))
    }

    /// "1.0 mm, each reading by itself"
    fn uncertain(&self, readings: &Readings, quantity: &Quantity) -> Vec<ReadingsUncertain> {
        let common = self.results.sources.are_common(readings.value.span);
        (quantity.sizes.iter().zip(common))
            .map(|(size, is_common)| {
                if size.written.span.of(self.text).trim().is_empty() {
                    return ReadingsUncertain {
                        size: None,
                        is_standard: false,
                        of: "each reading with its own uncertainty".to_owned(),
                    };
                }
                let of = match (is_common, size.is_common) {
                    (false, _) => "each reading by itself".to_owned(),
                    (true, true) => "one error of all readings".to_owned(),
                    (true, false) => {
                        let count = readings.written.iter().flatten().count();
                        format!("{count} readings rounded alike")
                    }
                };
                let mut shown = show::size_written(self.text, size);
                // What they have in common is said behind it.
                (shown.words).retain(|word| !matches!(word.as_str(), "each" | "common"));
                ReadingsUncertain {
                    size: Some((shown, quantity.unit.clone())),
                    is_standard: is_standard(size),
                    of,
                }
            })
            .collect()
    }

    /// How many readings take part, their mean, the least and the greatest, in their unit.
    fn summary(&self, readings: &Readings, value: &Value, unit: &Unit) -> Option<[String; 4]> {
        if readings.written.len() <= Table::MOST_ROWS {
            return None;
        }
        let found = self.checked.symbols.get(readings.symbol)?;
        let rows = value.rows.iter().enumerate();
        let numbers: Vec<(f64, usize)> = rows
            .filter(|(_, si)| si.is_finite())
            .map(|(row, si)| {
                let number = evaluate::in_unit(*si, found.reading, found.counts, unit);
                (number, row)
            })
            .collect();
        let order = |one: &&(f64, usize), other: &&(f64, usize)| one.0.total_cmp(&other.0);
        let (_, least) = numbers.iter().min_by(order)?;
        let (_, greatest) = numbers.iter().max_by(order)?;
        let text = |row: usize| match &readings.times {
            Some(times) => times.written.get(row).map_or("", |it| it).to_owned(),
            None => {
                let reading = readings.written.get(row).and_then(Option::as_ref);
                reading.map_or_else(String::new, |reading| reading.number.text())
            }
        };
        let mean = match readings.times {
            // A mean time of day is no reading.
            Some(_) => String::new(),
            None => {
                let all: f64 = numbers.iter().map(|(number, _)| *number).sum();
                let texts = numbers.iter().map(|(_, row)| text(*row));
                let decimals = texts.map(|it| it.split_once('.').map_or(0, |(_, it)| it.len()));
                let decimals = decimals.max().unwrap_or(0) + 1;
                match all / numbers.len() as f64 {
                    mean if mean.abs() < 1e9 => format!("{mean:.decimals$}"),
                    mean => quantity::to_figures(mean, self.front.figures).text(),
                }
            }
        };
        let count = numbers.len().to_string();
        Some([count, mean, text(*least), text(*greatest)])
    }

    fn readings(&mut self, readings: &Readings) -> TableColumn {
        let heading = readings.value.span.of(self.text).to_owned();
        let (Some(quantity), Some(value)) = (
            readings.quantity(),
            self.results.values.get(readings.symbol),
        ) else {
            let entries = Entries::Words(Arc::new([]));
            return TableColumn { heading, entries };
        };
        // How the readings are written is told where it is asked: a file has many.
        let shown = Arc::new(Shown {
            written: None,
            ..show::literal(self.text, quantity, value)
        });
        if is_plain(readings) {
            let written = Arc::clone(&readings.written);
            self.tables.readings.insert(readings.symbol, written);
        }
        (self.tables.shown).insert(readings.symbol, Arc::clone(&shown));
        TableColumn {
            heading,
            entries: Entries::Readings {
                symbol: readings.symbol,
                unit: quantity.unit.clone(),
                word: shown.word,
                readings: Arc::clone(&readings.written),
                times: readings.times.clone(),
                place: readings.value.span,
                shown: Arc::clone(&shown),
                uncertain: self.uncertain(readings, quantity),
                description: Text::new(),
                described: readings.description,
                summary: (self.summary(readings, value, &quantity.unit)).map(Box::new),
            },
        }
    }
}

/// Whether readings are plain numbers, with no uncertainty of their own.
fn is_plain(readings: &Readings) -> bool {
    let is_uncertain = |it: &tables::Reading| it.uncertainty.is_some();
    readings.times.is_none() && !readings.written.iter().flatten().any(is_uncertain)
}

/// Readings as an author would write a list of them.
pub(in crate::worksheet) fn as_list(readings: &[Option<tables::Reading>]) -> String {
    let text = |reading: &Option<tables::Reading>| {
        (reading.as_ref()).map_or_else(|| "–".to_owned(), |reading| reading.number.text())
    };
    let texts: Vec<String> = readings.iter().map(text).collect();
    texts.join(", ")
}

/// Whether what is written is the standard uncertainty itself, as an amount.
fn is_standard(size: &Size) -> bool {
    let words = size.written.words.iter();
    let mut words = words.filter(|word| !matches!(word.as_str(), "each" | "common"));
    size.written.form == SizeForm::PlusMinus && size.share.is_none() && words.next().is_none()
}
