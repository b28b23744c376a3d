//! A table as it is printed.

use std::sync::Arc;

use crate::resolve::Quantity;
use crate::resolve::statement::{Column, Data, Readings};
use crate::worksheet::build::Builder;
use crate::worksheet::model::{Body, Entries, LeftOut, Table, TableColumn};
use crate::worksheet::show;

impl Builder<'_> {
    pub(super) fn data(&mut self, data: &Data, left_out: &[Option<usize>]) -> Body {
        let columns = data.columns.iter().map(|column| match column {
            Column::Readings(readings) => self.readings(readings),
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
            left_out: reasons.filter(|out| !out.rows.is_empty()).collect(),
        }))
    }

    /// "± 1.0 mm, each reading by itself"
    fn uncertain(&self, readings: &Readings, quantity: &Quantity) -> Vec<String> {
        let common = self.results.sources.are_common(readings.value.span);
        (quantity.sizes.iter().zip(common))
            .map(|(size, is_common)| {
                let written = size.written.span.of(self.text).trim();
                let without = [" each", " common"]
                    .iter()
                    .find_map(|word| written.strip_suffix(word));
                let stated = without.unwrap_or(written).trim_end();
                let is_in_heading = readings.is_in_heading(size);
                let unit = quantity.unit.text();
                let unit = match is_in_heading && !unit.is_empty() {
                    true => format!(" {unit}"),
                    false => String::new(),
                };
                match (stated.is_empty(), is_common, size.is_common) {
                    (true, ..) => "each reading with its own uncertainty".to_owned(),
                    (_, false, _) => format!("{stated}{unit}, each reading by itself"),
                    (_, true, true) => format!("{stated}{unit}, one error of all readings"),
                    (_, true, false) => {
                        let count = readings.written.iter().flatten().count();
                        format!("{stated}{unit}, {count} readings rounded alike")
                    }
                }
            })
            .collect()
    }

    fn readings(&mut self, readings: &Readings) -> TableColumn {
        let heading = readings.value.span.of(self.text).to_owned();
        let (Some(quantity), Some(value)) = (
            readings.quantity(),
            self.results.values.get(&readings.symbol),
        ) else {
            let entries = Entries::Words(Arc::new([]));
            return TableColumn { heading, entries };
        };
        let shown = Arc::new(show::literal(self.text, quantity, value));
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
                description: readings
                    .description
                    .map(|words| words.of(self.text).to_owned()),
            },
        }
    }
}
