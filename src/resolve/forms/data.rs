//! `data`: the columns of a table as lists, and which rows take no part.

mod file;

pub use file::{leads_out, not_read};

use std::sync::Arc;

use super::super::tree::{Quantity, Shape, Size, SizeWritten};
use super::super::which::Which;
use super::super::{Expr, ExprKind, Resolver, SymbolId};
use super::Kind;
use crate::diagnostic::{Code, Decision, Diagnostic, Fix};
use crate::quantity::Unit;
use crate::syntax::{self, Content, Distribution, Remark};
use crate::tables::{Reading, Times};
use crate::text::Span;

/// A table of readings.
#[derive(Debug, Clone, PartialEq)]
pub struct Data {
    /// Where its label stands, or where it begins: no other table has this place.
    pub label: Span,
    /// Its columns, from left to right.
    pub columns: Vec<Column>,
    /// How many rows it has.
    pub rows: usize,
    /// The path of the file in which it stands.
    pub file: Option<Box<str>>,
    /// Columns whose readings in a row are of one moment.
    pub together: Vec<Vec<SymbolId>>,
    /// What takes no part, in the order of the lines.
    pub left_out: Vec<LeftOut>,
}

/// A column of a table.
#[derive(Debug, Clone, PartialEq)]
pub enum Column {
    /// Readings.
    Readings(Box<Readings>),
    /// What readings of another column are uncertain by, below a heading.
    Uncertainties(Uncertainties),
    /// Words, below a heading.
    Words(Span, Arc<[Box<str>]>),
}

/// A column of standard uncertainties.
#[derive(Debug, Clone, PartialEq)]
pub struct Uncertainties {
    /// Its heading.
    pub heading: Span,
    /// The name of the readings.
    pub of: SymbolId,
    /// The unit that its numbers count in.
    pub unit: Unit,
    /// As they are written, one a row.
    pub written: Arc<[Option<Reading>]>,
}

/// A column of readings.
#[derive(Debug, Clone, PartialEq)]
pub struct Readings {
    /// Its name.
    pub symbol: SymbolId,
    /// Its numbers in their unit, those without a reading not numbers: a quantity at the place of
    /// the name.
    pub value: Expr,
    /// As they are written, one a row.
    pub written: Arc<[Option<Reading>]>,
    /// Where they are times, as those are written.
    pub times: Option<Times>,
    /// What it is, in words.
    pub description: Option<Span>,
}

/// Rows that take no part.
#[derive(Debug, Clone, PartialEq)]
pub struct LeftOut {
    /// Which.
    pub rows: Rows,
    /// Why.
    pub reason: Span,
}

/// Which rows are meant, counted from 0.
#[derive(Debug, Clone, PartialEq)]
pub enum Rows {
    /// These.
    These(Vec<usize>),
    /// Those for which something holds.
    Where(Which),
}

impl Data {
    /// The columns of readings.
    pub fn readings(&self) -> impl Iterator<Item = &Readings> {
        self.columns.iter().filter_map(|column| match column {
            Column::Readings(readings) => Some(&**readings),
            Column::Uncertainties(_) | Column::Words(..) => None,
        })
    }
}

impl Readings {
    /// The quantity that it is.
    pub fn quantity(&self) -> Option<&Quantity> {
        match &self.value.kind {
            ExprKind::Quantity(quantity) => Some(quantity),
            _ => None,
        }
    }
}

impl Resolver<'_> {
    /// The table of a block; its names are defined also where it is refused.
    pub(super) fn data(
        &mut self,
        line: &syntax::Line,
        data: &syntax::Data,
        defined: &mut Vec<SymbolId>,
    ) -> Option<Kind> {
        let read = data
            .source
            .as_ref()
            .map(|source| self.read_file(data, source));
        let is_unread = matches!(read, Some(None));
        let (of_file, titles) = read.flatten().unzip();
        let (data, titles) = (of_file.as_ref().unwrap_or(data), titles.unwrap_or_default());
        let columns: Vec<Option<Column>> = (data.columns.iter().enumerate())
            .map(|(at, column)| {
                let title = titles.get(at).and_then(Option::as_deref);
                self.column(data, column, title, defined)
            })
            .collect();
        self.define_unread(data, defined);
        // Conditions may read what stands above them.
        self.ready.extend(defined.iter());
        // Nothing is known of the rows of a file that was not read.
        if is_unread {
            return None;
        }
        let left_out: Vec<Option<LeftOut>> = (data.remarks.iter())
            .filter_map(|remark| match remark {
                Remark::Description { .. }
                | Remark::Uncertain { .. }
                | Remark::Together(_)
                | Remark::NoReading(_) => None,
                Remark::LeaveOut { rows, reason } => Some(self.left_out(data, rows, *reason)),
            })
            .collect();
        if data.is_broken {
            return None;
        }
        let label = line.label.as_ref().map(|label| label.span);
        Some(Kind::Data(Box::new(Data {
            label: label.unwrap_or(data.heading),
            columns: columns.into_iter().collect::<Option<_>>()?,
            rows: data.rows,
            file: data
                .source
                .as_ref()
                .map(|source| source.path.text.as_ref().into()),
            together: self.read_together(data),
            left_out: left_out.into_iter().collect::<Option<_>>()?,
        })))
    }

    /// What refused lines of a table were to name is known, without a value.
    fn define_unread(&mut self, data: &syntax::Data, defined: &mut Vec<SymbolId>) {
        for name in &data.unread.lists {
            let symbol = self.symbols.find(self.problem, &name.key);
            let place = symbol.and_then(|symbol| self.later.get(&symbol));
            if place == Some(&name.span) {
                defined.extend(self.define_broken(name));
            }
        }
        for heading in &data.unread.headings {
            let heading = heading.of(self.text);
            self.headings.insert((self.problem, heading.into()));
        }
    }

    fn column(
        &mut self,
        data: &syntax::Data,
        column: &syntax::Column,
        title: Option<&str>,
        defined: &mut Vec<SymbolId>,
    ) -> Option<Column> {
        let (name, unit, datum, heading, readings, times) = match &column.content {
            Content::Words(words) => {
                let heading = column.span.of(self.text);
                self.headings.insert((self.problem, heading.into()));
                return Some(Column::Words(column.span, Arc::clone(words)));
            }
            Content::Uncertainties { of, unit, readings } => {
                let (unit, place) = (self.unit_of_uncertainties(unit.as_ref())?, unit.as_ref());
                if let Some(title) = title.filter(|_| data.is_titled(column)) {
                    self.title_agrees(title, column.span, place, (&unit, None))?;
                }
                if !data.names().any(|name| name.key == of.key) {
                    self.report_no_column(of);
                    return None;
                }
                return Some(Column::Uncertainties(Uncertainties {
                    heading: column.span,
                    of: self.symbols.find(self.problem, &of.key)?,
                    unit,
                    written: Arc::clone(readings),
                }));
            }
            Content::Readings {
                name,
                unit,
                times,
                datum,
                sizes,
                readings,
            } => (name, unit, datum, sizes, readings, times),
        };
        let symbol = self.define(name, &mut None);
        defined.extend(symbol);
        let written = unit.as_ref();
        let (unit, datum) = match (unit, times) {
            (Some(unit), _) => self.unit_with_datum(unit, *datum)?,
            (None, Some(times)) => (self.unit_of_times(name, times, readings)?, None),
            (None, None) => (Unit::one(), None),
        };
        if let Some(title) = title.filter(|_| times.is_none() && data.is_titled(column)) {
            self.title_agrees(title, column.span, written, (&unit, datum))?;
        }
        let number =
            |reading: &Option<Reading>| reading.map_or(f64::NAN, |reading| reading.number.value());
        let values: Vec<f64> = readings.iter().map(number).collect();
        let sizes = self.column_sizes(data, (name, &unit), heading, (&values, readings))?;
        let quantity = Quantity {
            number: name.span,
            values,
            shape: Shape::List,
            unit,
            datum,
            sizes,
            power: None,
        };
        let mut descriptions = data.remarks.iter().filter_map(|remark| match remark {
            Remark::Description { name: of, words }
            | Remark::Uncertain {
                name: of,
                words: Some(words),
                ..
            } if of.key == name.key => Some(*words),
            Remark::Description { .. }
            | Remark::Uncertain { .. }
            | Remark::Together(_)
            | Remark::NoReading(_)
            | Remark::LeaveOut { .. } => None,
        });
        Some(Column::Readings(Box::new(Readings {
            symbol: symbol?,
            value: Expr {
                span: name.span,
                kind: ExprKind::Quantity(Box::new(quantity)),
            },
            written: Arc::clone(readings),
            times: times.clone(),
            description: descriptions.next_back(),
        })))
    }

    /// The unit of the seconds of times: those of a clock count from its zero, and it does not go
    /// back.
    fn unit_of_times(
        &mut self,
        name: &syntax::Name,
        times: &Times,
        readings: &[Option<Reading>],
    ) -> Option<Unit> {
        let written = name.span.of(self.text);
        let mut refuse = |message: String, help: String| {
            self.diagnostics
                .push(Diagnostic::error(Code::K13, name.span, message).with_help(help));
            None
        };
        if let Some(row) = times.apart {
            let (own, others) = match times.is_universal {
                true => ("no", "have one"),
                false => ("an", "have none"),
            };
            let message = format!(
                "`{written}` has {own} offset from universal time in row {}, and rows before it {others}",
                row + 1
            );
            return refuse(message, "an offset in all rows, or in none".to_owned());
        }
        let Some(clock) = times.clock() else {
            return Some(Unit::second());
        };
        let present = readings.iter().enumerate();
        let present: Vec<(usize, f64)> = present
            .filter_map(|(row, reading)| Some((row + 1, reading.as_ref()?.number.value())))
            .collect();
        let back = present.windows(2).find(|pair| pair[1].1 < pair[0].1);
        if let Some([(before, _), (row, _)]) = back.filter(|_| !clock.has_date) {
            let pattern = times.pattern.text();
            let message = format!("`{written}` falls from row {before} to row {row}");
            let help = format!(
                "a pattern with a date, such as `{written} / YYYY-MM-DD {pattern}`; `{written} / mm:ss` if a stopwatch was started again"
            );
            return refuse(message, help);
        }
        Some(Unit::clock(clock))
    }

    fn read_together(&self, data: &syntax::Data) -> Vec<Vec<SymbolId>> {
        let groups = data.remarks.iter().filter_map(|remark| match remark {
            Remark::Together(names) => Some(names),
            Remark::Description { .. }
            | Remark::Uncertain { .. }
            | Remark::LeaveOut { .. }
            | Remark::NoReading(_) => None,
        });
        let symbol = |name: &syntax::Name| self.symbols.find(self.problem, &name.key);
        groups
            .map(|names| names.iter().filter_map(symbol).collect())
            .collect()
    }

    fn unit_of_uncertainties(&mut self, written: Option<&syntax::UnitExpr>) -> Option<Unit> {
        written.map_or_else(|| Some(Unit::one()), |unit| self.unit(unit))
    }

    fn report_no_column(&mut self, of: &syntax::Name) {
        let written = of.span.of(self.text);
        self.diagnostics.push(
            Diagnostic::error(
                Code::K15,
                of.span,
                format!("`{written}` is no column of readings in this table"),
            )
            .with_help(format!("a heading `{written}` beside `u({written})`")),
        );
    }

    /// What the readings of a column are uncertain by: as the heading says, a line below the
    /// table, a column beside them, or each reading itself; one of the four.
    fn column_sizes(
        &mut self,
        data: &syntax::Data,
        (name, unit): (&syntax::Name, &Unit),
        heading: &[syntax::Size],
        (values, readings): (&[f64], &[Option<Reading>]),
    ) -> Option<Vec<Size>> {
        let lines: Vec<(&syntax::Name, &[syntax::Size])> = (data.remarks.iter())
            .filter_map(|remark| match remark {
                Remark::Uncertain {
                    name: of, sizes, ..
                } if of.key == name.key => Some((of, sizes.as_slice())),
                Remark::Description { .. }
                | Remark::Uncertain { .. }
                | Remark::Together(_)
                | Remark::NoReading(_)
                | Remark::LeaveOut { .. } => None,
            })
            .collect();
        let own = self.sizes_of_fields(name, unit, readings)?;
        let beside = self.sizes_beside(data, name, unit, readings)?;
        let is_known = !heading.is_empty() || own.is_some() || beside.is_some();
        if let Some((second, _)) = lines.get(usize::from(!is_known)) {
            self.report_stated_twice(second.span, name);
            return None;
        }
        let stated = [!heading.is_empty(), own.is_some(), beside.is_some()];
        if stated.into_iter().filter(|is_stated| *is_stated).count() > 1 {
            self.report_stated_twice(name.span, name);
            return None;
        }
        let stated = match lines.first() {
            Some((_, sizes)) => sizes,
            None => heading,
        };
        let stated: Vec<Option<Size>> = (stated.iter())
            .map(|size| self.size(size, (values, Shape::List), unit))
            .collect();
        let mut sizes: Vec<Size> = stated.into_iter().collect::<Option<_>>()?;
        // A share of a reading that is missing is no size of anything.
        for standard in sizes.iter_mut().flat_map(|size| &mut size.standard) {
            *standard = if standard.is_nan() { 0.0 } else { *standard };
        }
        sizes.extend(own.or(beside));
        Some(sizes)
    }

    /// What each reading says itself that it is uncertain by; where one does, all do.
    fn sizes_of_fields(
        &mut self,
        name: &syntax::Name,
        unit: &Unit,
        readings: &[Option<Reading>],
    ) -> Option<Option<Size>> {
        let own = |reading: &Reading| reading.uncertainty.map(|size| size.value());
        let found: Vec<Option<f64>> = readings.iter().flatten().map(own).collect();
        if found.iter().all(Option::is_none) {
            return Some(None);
        }
        let without = |(_, reading): &(usize, &Option<Reading>)| {
            reading.is_some_and(|reading| reading.uncertainty.is_none())
        };
        if let Some((row, _)) = readings.iter().enumerate().find(without) {
            let help = "an uncertainty after every reading; `± 0` where one is exact";
            self.report_not_stated(name.span, name, row, help);
            return None;
        }
        let own = |reading: &Option<Reading>| reading.as_ref().and_then(own);
        Some(Some(each_its_own(readings.iter().map(own), unit)))
    }

    /// What a column beside the readings says that each is uncertain by.
    fn sizes_beside(
        &mut self,
        data: &syntax::Data,
        name: &syntax::Name,
        unit: &Unit,
        readings: &[Option<Reading>],
    ) -> Option<Option<Size>> {
        let mut columns = data
            .columns
            .iter()
            .filter_map(|column| match &column.content {
                Content::Uncertainties {
                    of, unit, readings, ..
                } => (of.key == name.key).then_some((of, unit, readings)),
                Content::Readings { .. } | Content::Words(_) => None,
            });
        let Some((of, own, sizes)) = columns.next().filter(|_| !data.is_broken) else {
            return Some(None);
        };
        if let Some((second, ..)) = columns.next() {
            self.report_stated_twice(second.span, name);
            return None;
        }
        let place = own.as_ref().map_or(of.span, |own| own.span);
        let own = self.unit_of_uncertainties(own.as_ref())?;
        self.is_of(place, &own, unit)?;
        for (row, (reading, size)) in readings.iter().zip(sizes.iter()).enumerate() {
            match (reading, size) {
                (Some(_), None) => {
                    let help = "a number there; `0` where the reading is exact";
                    self.report_not_stated(of.span, name, row, help);
                    return None;
                }
                (_, Some(size)) if size.number.value() < 0.0 || size.uncertainty.is_some() => {
                    self.report_no_size(of, row, size);
                    return None;
                }
                (_, Some(_)) | (None, None) => {}
            }
        }
        let size = |size: &Option<Reading>| size.as_ref().map(|size| size.number.value());
        Some(Some(each_its_own(sizes.iter().map(size), &own)))
    }

    /// One row has no uncertainty where others have.
    fn report_not_stated(&mut self, place: Span, name: &syntax::Name, row: usize, help: &str) {
        let written = name.span.of(self.text);
        let row = row + 1;
        self.diagnostics.push(
            Diagnostic::error(
                Code::K03,
                place,
                format!("row {row} has no uncertainty of `{written}`, and other rows have one"),
            )
            .with_help(help),
        );
    }

    fn report_no_size(&mut self, of: &syntax::Name, row: usize, size: &Reading) {
        let written = of.span.of(self.text);
        let what = match size.uncertainty {
            Some(_) => "is uncertain itself",
            None => "is negative",
        };
        self.diagnostics.push(
            Diagnostic::error(
                Code::K02,
                of.span,
                format!("`u({written})` {what} in row {}", row + 1),
            )
            .with_help("standard uncertainties: plain numbers of at least 0"),
        );
    }

    fn report_stated_twice(&mut self, place: Span, name: &syntax::Name) {
        let written = name.span.of(self.text);
        self.diagnostics.push(
            Diagnostic::error(
                Code::K20,
                place,
                format!("the uncertainty of `{written}` is stated twice"),
            )
            .with_help("one of the two; several sources of error stand one after another: `± 1 mm ± 0.5 mm common`"),
        );
    }

    fn left_out(
        &mut self,
        data: &syntax::Data,
        rows: &syntax::Rows,
        reason: Span,
    ) -> Option<LeftOut> {
        let count = data.rows;
        let rows = match rows {
            syntax::Rows::These(numbers) => Rows::These(self.row_numbers(numbers, count)?),
            syntax::Rows::FromTo(ends) => {
                let [first, last] = self.row_numbers(ends, count)?.try_into().ok()?;
                if first > last {
                    let place = ends[0].1.cover(ends[1].1);
                    self.report_turned(place, [ends[0].0, ends[1].0]);
                    return None;
                }
                Rows::These((first..=last).collect())
            }
            syntax::Rows::Where(which) => {
                self.only_its_words(data, which)?;
                Rows::Where(self.which(which)?)
            }
        };
        Some(LeftOut { rows, reason })
    }

    /// Rows counted from 0, which have to be there.
    fn row_numbers(&mut self, numbers: &[(usize, Span)], count: usize) -> Option<Vec<usize>> {
        let mut all = true;
        for (number, place) in numbers {
            if !(1..=count).contains(number) {
                let rows = if count == 1 { "row" } else { "rows" };
                let message = format!("there is no row {number}: the table has {count} {rows}");
                self.report_rows(*place, message, count);
                all = false;
            }
        }
        all.then(|| numbers.iter().map(|(number, _)| number - 1).collect())
    }

    fn report_turned(&mut self, place: Span, [first, last]: [usize; 2]) {
        let typed = format!("{last} to {first}");
        self.diagnostics.push(
            Diagnostic::error(
                Code::K06,
                place,
                format!("row {first} stands after row {last}"),
            )
            .with_help(format!("`rows {typed}`"))
            .with_fixes([Fix::write(Decision::Choose, place, typed)]),
        );
    }

    fn report_rows(&mut self, place: Span, message: String, count: usize) {
        self.diagnostics.push(
            Diagnostic::error(Code::K06, place, message).with_help(format!(
                "a row from 1 to {count}, as they are counted from the top"
            )),
        );
    }

    /// Words have no size that could be compared, and readings are no words.
    fn only_its_words(&mut self, data: &syntax::Data, which: &syntax::Which) -> Option<()> {
        let before = self.diagnostics.len();
        let headings: Vec<&str> = (data.columns.iter())
            .filter_map(|column| match &column.content {
                Content::Words(_) => Some(column.span.of(self.text)),
                Content::Readings { .. } | Content::Uncertainties { .. } => None,
            })
            .collect();
        let mut compared: Vec<(Span, Box<str>)> = Vec::new();
        which.for_each_comparison(&mut |check| {
            for member in &check.members {
                member.for_each_name(&mut |name| compared.push((name.span, name.key.clone())));
            }
        });
        for (place, key) in compared {
            let written = place.of(self.text);
            let symbol = self.symbols.find(self.problem, &key);
            let later = symbol.and_then(|symbol| self.later.get(&symbol));
            let is_own = data.names().any(|name| name.key == key);
            if syntax::is_list_name(&key)
                && !is_own
                && later.is_some_and(|it| it.start > place.start)
            {
                let message = format!(
                    "`{written}` is computed below: what is left out is told by what was read"
                );
                self.diagnostics.push(
                    Diagnostic::error(Code::N03, place, message).with_help(
                        "`leave out row 3 -- why` with the number of the row, or a condition on a column",
                    ),
                );
            }
            if headings.contains(&written) || headings.contains(&&*key) {
                self.diagnostics.push(
                    Diagnostic::error(Code::K15, place, format!("`{written}` is words"))
                        .with_help(format!(
                            "`{written} = \"…\"` for the rows with these words, or `{written}_i` in the heading for readings"
                        )),
                );
            }
        }
        self.no_other_headings(&headings, which);
        (self.diagnostics.len() == before).then_some(())
    }

    fn no_other_headings(&mut self, headings: &[&str], which: &syntax::Which) {
        match which {
            syntax::Which::Compared(_) => {}
            syntax::Which::Words { heading, .. } if headings.contains(&&*heading.text) => {}
            syntax::Which::Words { heading, .. } => {
                let known: Vec<String> = headings.iter().map(|it| format!("`{it}`")).collect();
                let help = match known.as_slice() {
                    [] => "a comparison of readings: `t_i < 30 s`".to_owned(),
                    known => known.join(" or "),
                };
                let message = format!("`{}` is no heading of words in this table", heading.text);
                self.diagnostics
                    .push(Diagnostic::error(Code::K15, heading.span, message).with_help(help));
            }
            syntax::Which::Not(inner) => self.no_other_headings(headings, inner),
            syntax::Which::All(parts) | syntax::Which::Any(parts) => {
                parts
                    .iter()
                    .for_each(|part| self.no_other_headings(headings, part));
            }
        }
    }
}

/// Each reading with its own uncertainty, in this unit; one that is missing has none.
fn each_its_own(sizes: impl Iterator<Item = Option<f64>>, unit: &Unit) -> Size {
    let factor = unit.interval().factor().abs();
    Size {
        standard: sizes
            .map(|size| size.map_or(0.0, |size| size * factor))
            .collect(),
        distribution: Distribution::Normal,
        degrees: f64::INFINITY,
        is_common: false,
        share: None,
        written: SizeWritten::default(),
    }
}
