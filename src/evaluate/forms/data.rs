//! A table: its columns, and the rows that take no part.

use std::sync::Arc;

use super::Outcome;
use crate::diagnostic::{Code, Diagnostic};
use crate::evaluate::asked::{Table, Test};
use crate::evaluate::literal::Column;
use crate::evaluate::made::Made;
use crate::evaluate::number::Partial;
use crate::evaluate::program::{Program, Rows, RowsOf};
use crate::evaluate::sources::{About, Key};
use crate::evaluate::value::{self, Value};
use crate::evaluate::walk::{Lack, Walk};
use crate::functions::Measured;
use crate::resolve::statement::{self, Data, Readings};
use crate::resolve::{Shape, Size, Which};
use crate::statistics::spread;
use crate::syntax::Distribution;

impl<'a> Walk<'a> {
    pub(super) fn data(&mut self, data: &'a Data) -> Result<Outcome<'a>, Lack> {
        // Which rows take part decides how those that are rounded alike are uncertain, so that
        // nothing is uncertain before.
        for column in data.readings() {
            let value = self.column(data, column, &[]);
            self.results.values.insert(column.symbol, Arc::new(value));
        }
        let words = data.columns.iter().filter_map(|column| match column {
            statement::Column::Words(heading, words) => Some((*heading, Arc::clone(words))),
            statement::Column::Readings(_) | statement::Column::Uncertainties(_) => None,
        });
        let table = Table {
            words: words.collect(),
        };
        self.results.tables.insert(data.label, table);
        let left_out = self.left_out(data);
        if let Ok(left_out) = &left_out {
            for column in data.readings() {
                let value = self.column(data, column, left_out);
                let value = self.with_errors(column, value);
                self.results.values.insert(column.symbol, Arc::new(value));
            }
        } else {
            data.readings().for_each(|column| {
                self.results.values.remove(column.symbol);
            });
        }
        let columns = data.readings().map(|column| column.symbol);
        self.results.columns.extend(columns);
        self.results.together.extend(data.together.iter().cloned());
        Ok(Outcome::Data(data, left_out?))
    }

    /// The values of a column with all its rows.
    pub(in crate::evaluate) fn whole_column(&self, data: &Data, column: &Readings) -> Value {
        self.column(data, column, &[])
    }

    /// The values of a column, without the rows that take no part.
    fn column(&self, data: &Data, column: &Readings, left_out: &[Option<usize>]) -> Value {
        let is_out = |row: usize| left_out.get(row).is_some_and(Option::is_some);
        let written: Arc<[_]> = match left_out.iter().any(Option::is_some) {
            true => (column.written.iter().enumerate())
                .map(|(row, reading)| reading.filter(|_| !is_out(row)))
                .collect(),
            false => Arc::clone(&column.written),
        };
        let Some(quantity) = column.quantity() else {
            return Value::default();
        };
        let own = Column::new(&written, &quantity.unit);
        let (rows, errors) = own.measured().map(|it| (it.value, it.error)).unzip();
        let belongs = rows_of(data);
        let of = belongs.of.clone();
        Value {
            rows,
            errors,
            shape: Shape::List,
            of,
            made: Some(Arc::new(Made::column(own, belongs))),
            ..Value::default()
        }
    }

    /// The values of a column with their errors.
    fn with_errors(&mut self, column: &Readings, mut value: Value) -> Value {
        let Some(quantity) = column.quantity().filter(|it| !it.sizes.is_empty()) else {
            return value;
        };
        let about = About {
            names: vec![column.symbol],
            words: column.description,
            ..About::stated(column.value.span)
        };
        let key = Key::Literal(column.value.span);
        let sources = &mut self.results.sources;
        sources.know(key, |sources| {
            let sizes = quantity.sizes.iter();
            let alike = |size: &Size| Size {
                is_common: size.is_common || is_rounded_alike(size, &value.rows),
                ..size.clone()
            };
            sizes
                .map(|size| sources.add_stated(&about, &alike(size), quantity))
                .collect()
        });
        let gradient = |row: usize| {
            let own = sources.of(key, row).into_iter();
            let mut own: Vec<Partial> = own
                .map(|(source, slope)| Partial::by(source, Measured::exact(slope)))
                .collect();
            own.sort_by_key(|partial| partial.source);
            own
        };
        value.gradients = (0..value.rows.len())
            .map(|row| match value.has(row) {
                true => gradient(row),
                false => Vec::new(),
            })
            .collect();
        value
    }

    /// For each row the line that leaves it out, if there is one: the first of them.
    fn left_out(&mut self, data: &'a Data) -> Result<Vec<Option<usize>>, Lack> {
        let mut found = vec![None; data.rows];
        for (line, left_out) in data.left_out.iter().enumerate() {
            let rows: Vec<usize> = match &left_out.rows {
                statement::Rows::These(rows) => rows.clone(),
                statement::Rows::Where(which) => {
                    let holds = self.rows_where(which, &rows_of(data))?;
                    (0..data.rows)
                        .filter(|row| holds[*row] == Some(true))
                        .collect()
                }
            };
            // What a file holds may change, and its page says that none is left out.
            if rows.is_empty() && data.file.is_none() {
                self.diagnostics.push(
                    Diagnostic::warning(
                        Code::K06,
                        left_out.reason,
                        "no row is left out for this reason: its condition holds in none",
                    )
                    .with_help("a condition as the readings or words are written, or no such line"),
                );
            }
            for row in rows {
                if let Some(place) = found.get_mut(row) {
                    place.get_or_insert(line);
                }
            }
        }
        Ok(found)
    }

    /// For each row whether a condition holds; nothing where a reading that it asks for is missing.
    pub(in crate::evaluate) fn rows_where(
        &mut self,
        which: &Which,
        rows: &Rows,
    ) -> Result<Vec<Option<bool>>, Lack> {
        let test = self.test(which)?;
        let mut in_doubt = Vec::new();
        let found = value::holds(&test, rows, &self.results, &mut |place| {
            in_doubt.push(place)
        });
        in_doubt.into_iter().for_each(|place| self.not_told(place));
        found.map_err(|fault| {
            self.stop(fault);
            Lack::Refused
        })
    }

    /// A condition, compiled, whose sides have values.
    pub(in crate::evaluate) fn test(&mut self, which: &Which) -> Result<Test, Lack> {
        which.for_each_comparison(&mut |condition| {
            let members = condition.members.iter();
            members.for_each(|member| self.number_inputs(member));
        });
        let test = self.compile_test(which);
        let programs: Vec<Program> = test.programs().into_iter().cloned().collect();
        self.needs(&programs, &[])?;
        Ok(test)
    }
}

/// The rows of a table.
fn rows_of(data: &Data) -> Rows {
    Rows {
        of: Some(RowsOf {
            table: Some(data.label),
            chosen: None,
        }),
        ..Rows::plain(data.rows, Shape::List)
    }
}

/// Whether readings scatter by no more than half the step that they are rounded to: then they are
/// rounded alike, and have one error.
fn is_rounded_alike(size: &Size, rows: &[f64]) -> bool {
    let step = size.standard.first().copied().unwrap_or(0.0) * 12_f64.sqrt();
    let present: Vec<f64> = rows.iter().copied().filter(|row| !row.is_nan()).collect();
    let scatter = spread::standard_deviation(&present);
    size.distribution == Distribution::Resolution
        && present.len() > 1
        && scatter <= 0.5 * step * (1.0 + 1e-9)
}
