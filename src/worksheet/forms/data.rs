//! A table as it is printed.

use std::sync::Arc;

use crate::resolve::statement::{Column, Data, Readings};
use crate::tables::Reading;
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
        let reasons = data.left_out.iter().enumerate().map(|(line, out)| LeftOut {
            rows: (0..data.rows)
                .filter(|row| left_out.get(*row).copied().flatten() == Some(line))
                .collect(),
            reason: out.reason.of(self.text).to_owned(),
        });
        Body::Table(Box::new(Table {
            columns,
            rows: data.rows,
            left_out: reasons.filter(|out| !out.rows.is_empty()).collect(),
        }))
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
        let written = |reading: &Option<Reading>| {
            reading.map_or_else(|| "–".to_owned(), |reading| reading.number.text())
        };
        TableColumn {
            heading,
            entries: Entries::Readings {
                symbol: readings.symbol,
                unit: quantity.unit.clone(),
                word: shown.word,
                written: readings.written.iter().map(written).collect(),
                description: readings
                    .description
                    .map(|words| words.of(self.text).to_owned()),
            },
        }
    }
}
