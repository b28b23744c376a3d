//! The numbers of a plot: lists, and what a quantity is over the range of a name.

use rustc_hash::FxHashMap;

use crate::diagnostic::{Code, Diagnostic};
use crate::dimensions::{Counts, Reading};
use crate::evaluate::convert;
use crate::evaluate::definitions::{Care, Stop};
use crate::evaluate::program::{Fault, Reason};
use crate::evaluate::value::{self, Value};
use crate::evaluate::walk::{Lack, Walk};
use crate::resolve::statement::{Plot, PlotSide};
use crate::resolve::{Shape, SymbolId};

/// Into how many parts a range is divided.
const PARTS: usize = 240;

/// The numbers of a line of a plot, in coherent SI units.
#[derive(Debug)]
pub enum Plotted {
    /// It has none.
    Nothing,
    /// Lists: upward, and to the right.
    Lists(Box<[Value; 2]>),
    /// A curve: the places, in their own unit, and the value at each that has one.
    Curve(Vec<(f64, Option<f64>)>),
    /// Single values.
    Ones(Vec<Value>),
}

impl<'a> Walk<'a> {
    pub(super) fn plot(&mut self, plot: &'a Plot) -> Result<Plotted, Lack> {
        match plot {
            Plot::Points { y, x } => {
                let (y_values, x_values) = (self.expr(&y.expr, &[])?, self.expr(&x.expr, &[])?);
                self.lists([y, x], [&y_values, &x_values])?;
                Ok(Plotted::Lists(Box::new([y_values, x_values])))
            }
            Plot::Curve {
                y,
                x,
                by,
                is_given,
                ends,
            } => {
                let own = if *is_given { None } else { Some(*by) };
                let found = self.curve(y, x, (*by, own), *ends)?;
                Ok(Plotted::Curve(found))
            }
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
            Plot::Caption | Plot::Axis { .. } | Plot::Size(..) | Plot::Grid | Plot::Bars(_) => {
                Ok(Plotted::Nothing)
            }
        }
    }

    /// Whether both sides are lists of one length.
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
                        "a range behind the line, as in `y against x from 0 to 10`, or a list \
                         against a list",
                    ),
                );
                return Err(Lack::Refused);
            }
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
        (from, to): (f64, f64),
    ) -> Result<Vec<(f64, Option<f64>)>, Lack> {
        self.number_inputs(&y.expr);
        let program = self.compile(&y.expr);
        self.needs(std::slice::from_ref(&program), own.as_slice())?;
        let behind = self.definitions_behind([&program]);
        let (reading, counts) = self.read_as(x);
        let unit = x.unit();
        let mut found = Vec::with_capacity(PARTS + 1);
        let mut first_stop = None;
        for part in 0..=PARTS {
            let at = from + (to - from) * part as f64 / PARTS as f64;
            let si = convert::to_si(at, reading, counts, &unit);
            let chosen = FxHashMap::from_iter([(by, Value::one(si))]);
            let value = (self.replay(&behind, chosen, Care::Nearest))
                .and_then(|all| value::run(&program, &all).map_err(Stop::Fault));
            match value {
                Ok(value) => {
                    self.one(y, &value)?;
                    let number = value.at(0);
                    found.push((at, number.is_finite().then_some(number)));
                }
                Err(stop) => {
                    first_stop.get_or_insert(stop);
                    found.push((at, None));
                }
            }
        }
        match first_stop {
            Some(stop) if found.iter().all(|(_, value)| value.is_none()) => {
                self.report_stop(stop, y.expr.span);
                Err(Lack::Refused)
            }
            _ => Ok(found),
        }
    }

    fn read_as(&self, side: &PlotSide) -> (Reading, Counts) {
        let found = self.checked.sides.get(&side.ask.span);
        found.map_or((Reading::Plain, Counts::NOTHING), |found| {
            (found.reading, found.counts)
        })
    }
}
