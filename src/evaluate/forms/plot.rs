//! The numbers of a plot: lists, and what a quantity is over the range of a name.

use rustc_hash::FxHashMap;

use crate::diagnostic::{Code, Diagnostic};
use crate::dimensions::{Counts, Reading};
use crate::evaluate::convert;
use crate::evaluate::definitions::{Care, Replaced, Stop};
use crate::evaluate::program::{Fault, Program, Reason, Rows};
use crate::evaluate::sampled::{Range, sampled};
use crate::evaluate::value::{self, Value};
use crate::evaluate::walk::{Lack, Walk};
use crate::resolve::statement::{Plot, PlotSide};
use crate::resolve::{Kind, Shape, SymbolId, Which};
use crate::text::Span;

/// The numbers of a line of a plot, in coherent SI units.
#[derive(Debug)]
pub enum Plotted {
    /// It has none.
    Nothing,
    /// Lists: upward, and to the right.
    Lists {
        /// The values of the rows that take part.
        values: Box<[Value; 2]>,
        /// Those of all rows, where some were left out.
        raw: Option<Box<[Value; 2]>>,
        /// Whether each row is plotted; nothing where all are.
        chosen: Option<Vec<bool>>,
    },
    /// A curve: the places, in their own unit, and the value at each that has one.
    Curve(Vec<(f64, Option<f64>)>),
    /// The curve of a fit: the places, in their own unit, with the value and its standard
    /// uncertainty at each that has one.
    Fitted(Vec<(f64, Option<(f64, f64)>)>),
    /// What is plotted of a fit, what it was fitted to be, and what is to the right.
    Residuals {
        /// The rows that take part.
        values: Box<[Value; 3]>,
        /// All rows, where some were left out.
        raw: Option<Box<[Value; 3]>>,
        /// Whether each row is fitted; nothing where all are.
        chosen: Option<Vec<bool>>,
    },
    /// Single values.
    Ones(Vec<Value>),
}

impl<'a> Walk<'a> {
    pub(super) fn plot(&mut self, plot: &'a Plot) -> Result<Plotted, Lack> {
        match plot {
            Plot::Points { y, x, which } => self.points([y, x], which.as_ref()),
            Plot::Curve {
                y,
                x,
                by,
                is_given,
                ends,
                is_logarithmic,
            } => {
                let own = if *is_given { None } else { Some(*by) };
                let range = Range {
                    ends: *ends,
                    is_logarithmic: *is_logarithmic,
                };
                let found = self.curve(y, x, (*by, own), range)?;
                Ok(Plotted::Curve(found))
            }
            Plot::Fit {
                fitted,
                label,
                reach,
                band,
            } => self.fit_curve(fitted, label, *reach, *band),
            Plot::Residuals { fitted, .. } => self.residuals(fitted),
            Plot::Place(_) | Plot::Level { .. } => {
                let values = plot.sides().into_iter();
                let values: Result<Vec<Value>, Lack> = values
                    .map(|side| {
                        let value = self.expr(&side.expr, &[])?;
                        self.one(side, &value)?;
                        Ok(value)
                    })
                    .collect();
                Ok(Plotted::Ones(values?))
            }
            Plot::Caption | Plot::Look(_) => Ok(Plotted::Nothing),
        }
    }

    fn points(&mut self, sides: [&PlotSide; 2], which: Option<&'a Which>) -> Result<Plotted, Lack> {
        let [y, x] = sides.map(|side| self.expr(&side.expr, &[]));
        let values = [y?, x?];
        self.lists(sides, [&values[0], &values[1]])?;
        let of = values.iter().find_map(|value| value.of.clone());
        let chosen = match which {
            Some(which) => Some(self.chosen(which, &values[0])?),
            None => None,
        };
        let raw = of.and_then(|of| {
            let programs = sides.map(|side| self.compile(&side.expr));
            let all = self.with_all_rows(&programs, of.table?)?;
            let [y, x] = programs.map(|program| value::run(&program, &all).ok());
            Some([y?, x?])
        });
        Ok(Plotted::Lists {
            values: Box::new(values),
            raw: raw.map(Box::new),
            chosen,
        })
    }

    /// Whether each row of a list is one of those that are meant.
    pub(super) fn chosen(&mut self, which: &'a Which, list: &Value) -> Result<Vec<bool>, Lack> {
        let rows = Rows {
            of: list.of.clone(),
            ..Rows::plain(list.rows.len(), Shape::List)
        };
        let holds = self.rows_where(which, &rows)?.into_iter();
        Ok(holds.map(|holds| holds == Some(true)).collect())
    }

    /// The values with the rows that were left out of a table, as far as these programs hang on
    /// them; nothing where none was.
    pub(super) fn with_all_rows(
        &mut self,
        programs: &[Program],
        table: Span,
    ) -> Option<Replaced<'_>> {
        let statements = self.resolved.blocks.iter().flatten();
        let data = statements.filter_map(|statement| match &statement.kind {
            Some(Kind::Data(data)) => Some(data),
            _ => None,
        });
        let data = data.into_iter().find(|data| data.label == table)?;
        if data.left_out.is_empty() {
            return None;
        }
        let columns = data.readings();
        let by = columns.map(|column| (column.symbol, self.whole_column(data, column)));
        let by: FxHashMap<SymbolId, Value> = by.collect();
        // What was fitted stays as it is: a row that was left out takes no part in it.
        let mut behind = self.definitions_behind(programs);
        behind.retain(|definition| definition.is_formula());
        self.replay(&behind, by, Care::Nearest).ok()
    }

    /// Whether both sides are lists of the same rows.
    fn lists(&mut self, sides: [&PlotSide; 2], values: [&Value; 2]) -> Result<(), Lack> {
        for (side, value) in sides.iter().zip(values) {
            if value.shape != Shape::List {
                let written = side.expr.span.of(self.text);
                self.diagnostics.push(
                    Diagnostic::error(
                        Code::X05,
                        side.ask.span,
                        format!("`{written}` is no list, and no range is said"),
                    )
                    .with_help(
                        "a range after the line, as in `y against x from 0 to 10`, or a list \
                         against a list",
                    ),
                );
                return Err(Lack::Refused);
            }
        }
        if let [Some(y), Some(x)] = values.map(|value| value.of.as_ref())
            && y.table != x.table
        {
            self.stop(Fault {
                reason: Reason::OtherRows([y.table, x.table]),
                span: sides[1].expr.span,
            });
            return Err(Lack::Refused);
        }
        let [y, x] = values.map(|value| value.rows.len());
        if y != x {
            self.stop(Fault {
                reason: Reason::Lengths(y, x),
                span: sides[1].expr.span,
            });
            return Err(Lack::Refused);
        }
        Ok(())
    }

    /// Whether a value is one number.
    fn one(&mut self, side: &PlotSide, value: &Value) -> Result<(), Lack> {
        if value.shape == Shape::One {
            return Ok(());
        }
        let written = side.expr.span.of(self.text);
        self.diagnostics.push(
            Diagnostic::error(
                Code::X05,
                side.ask.span,
                format!("`{written}` is not one number"),
            )
            .with_help("a list against a list, or one of its entries, its `mean` or `max`"),
        );
        Err(Lack::Refused)
    }

    /// The values over a range; where a formula has none, there is none.
    fn curve(
        &mut self,
        y: &PlotSide,
        x: &PlotSide,
        (by, own): (SymbolId, Option<SymbolId>),
        range: Range,
    ) -> Result<Vec<(f64, Option<f64>)>, Lack> {
        self.number_inputs(&y.expr);
        let program = self.compile(&y.expr);
        self.needs(std::slice::from_ref(&program), own.as_slice())?;
        let behind = self.definitions_behind([&program]);
        let (reading, counts) = self.read_as(x);
        let unit = x.unit();
        let (mut first_stop, mut refused) = (None, None);
        let found = sampled(range, |at| {
            let si = convert::to_si(at, reading, counts, &unit);
            let chosen = FxHashMap::from_iter([(by, Value::one(si))]);
            let value = (self.replay(&behind, chosen, Care::Nearest))
                .and_then(|all| value::run(&program, &all).map_err(Stop::Fault));
            match value {
                Ok(value) => {
                    let number = value.at(0);
                    if value.shape != Shape::One {
                        refused.get_or_insert(value);
                    }
                    number.is_finite().then_some((number, 0.0))
                }
                Err(stop) => {
                    first_stop.get_or_insert(stop);
                    None
                }
            }
        });
        if let Some(value) = refused {
            self.one(y, &value)?;
        }
        match first_stop {
            Some(stop) if found.iter().all(|(_, value)| value.is_none()) => {
                self.report_stop(stop, y.expr.span);
                Err(Lack::Refused)
            }
            _ => Ok((found.into_iter())
                .map(|(at, value)| (at, value.map(|(number, _)| number)))
                .collect()),
        }
    }

    pub(super) fn read_as(&self, side: &PlotSide) -> (Reading, Counts) {
        let found = self.checked.sides.get(&side.ask.span);
        found.map_or((Reading::Plain, Counts::NOTHING), |found| {
            (found.reading, found.counts)
        })
    }
}
