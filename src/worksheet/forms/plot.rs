//! The lines of a plot, in the units of its axes.

use std::borrow::Cow;
use std::sync::Arc;

use crate::dimensions::{Counts, Form, Reading, Type};
use crate::evaluate::{self, Plotted, Value};
use crate::resolve::statement::{self, Ask, PlotSide};
use crate::worksheet::build::Builder;
use crate::worksheet::model::{Plot, PlotAxis, PlotPoint};

impl Builder<'_> {
    pub(super) fn plot(&self, problem: usize, line: &statement::Plot, numbers: &Plotted) -> Plot {
        match (line, numbers) {
            (
                statement::Plot::Points { y, x, .. },
                Plotted::Lists {
                    values,
                    raw,
                    chosen,
                },
            ) => {
                let points = self.points([y, x], values, raw.as_deref(), chosen.as_deref());
                Plot::Points {
                    axes: Box::new([axis(y), axis(x)]),
                    points,
                }
            }
            (statement::Plot::Curve { y, x, .. }, Plotted::Curve(places)) => Plot::Curve {
                axes: Box::new([axis(y), axis(x)]),
                runs: self.runs(y, places),
                has_gaps: places.iter().any(|(_, value)| value.is_none()),
            },
            (
                statement::Plot::Fit {
                    fitted,
                    label,
                    band,
                    ..
                },
                Plotted::Fitted(places),
            ) => Plot::Fit {
                label: label.clone(),
                runs: self.fitted_runs(&fitted.y, places),
                band: *band,
            },
            (
                statement::Plot::Residuals {
                    fitted,
                    has_own_axis,
                },
                Plotted::Residuals {
                    values,
                    raw,
                    chosen,
                },
            ) => {
                let y = self.counted(problem, &fitted.y, values);
                let points = self.residuals([&y, &fitted.x], values, raw.as_deref());
                let is_fitted = |row: &usize| {
                    (chosen.as_ref()).is_none_or(|chosen| chosen.get(*row) == Some(&true))
                };
                let points = points.into_iter().filter(|(row, _)| is_fitted(row));
                Plot::Residuals {
                    points: points.map(|(_, point)| point).collect(),
                    axes: has_own_axis.then(|| Box::new([axis(&y), axis(&fitted.x)])),
                }
            }
            (statement::Plot::Place(sides), Plotted::Ones(values)) => {
                let [y, x] = sides.as_ref();
                match values.as_slice() {
                    [up, right] => Plot::Place(self.point([y, x], [up, right], 0)),
                    _ => Plot::Caption,
                }
            }
            (statement::Plot::Level { side, is_upright }, Plotted::Ones(values)) => {
                let value = values
                    .first()
                    .map_or(f64::NAN, |value| self.number(side, value, 0).0);
                Plot::Level {
                    value,
                    is_upright: *is_upright,
                }
            }
            (statement::Plot::Look(look), _) => Plot::Look(look.clone()),
            // A series always comes with its numbers.
            (
                statement::Plot::Caption
                | statement::Plot::Points { .. }
                | statement::Plot::Curve { .. }
                | statement::Plot::Fit { .. }
                | statement::Plot::Residuals { .. }
                | statement::Plot::Place(_)
                | statement::Plot::Level { .. },
                _,
            ) => Plot::Caption,
        }
    }

    /// The rows that are plotted, and those that were left out.
    fn points(
        &self,
        sides: [&PlotSide; 2],
        values: &[Value; 2],
        raw: Option<&[Value; 2]>,
        chosen: Option<&[bool]>,
    ) -> Vec<PlotPoint> {
        let [up, right] = values;
        let is_whole = |point: &PlotPoint| point.y.0.is_finite() && point.x.0.is_finite();
        let rows = 0..up.rows.len().min(right.rows.len());
        rows.filter_map(|row| {
            let is_chosen = chosen.is_none_or(|chosen| chosen.get(row) == Some(&true));
            let point = self.point(sides, [up, right], row);
            if is_whole(&point) {
                return is_chosen.then_some(point);
            }
            // Of a row that was left out no condition can be told.
            let [up, right] = raw.filter(|_| chosen.is_none())?;
            let point = PlotPoint {
                is_left_out: true,
                ..self.point(sides, [up, right], row)
            };
            is_whole(&point).then_some(point)
        })
        .collect()
    }

    fn runs(&self, y: &PlotSide, places: &[(f64, Option<f64>)]) -> Vec<Vec<(f64, f64)>> {
        let (reading, counts) = self.read_as(y);
        let unit = y.unit();
        let mut runs = vec![Vec::new()];
        for (at, value) in places {
            match (value, runs.last_mut()) {
                (Some(si), Some(run)) => {
                    run.push((*at, evaluate::in_unit(*si, reading, counts, &unit)));
                }
                _ => runs.push(Vec::new()),
            }
        }
        runs.retain(|run| run.len() > 1);
        runs
    }

    fn fitted_runs(
        &self,
        y: &PlotSide,
        places: &[(f64, Option<(f64, f64)>)],
    ) -> Vec<Vec<(f64, f64, f64)>> {
        let (reading, counts) = self.read_as(y);
        let unit = y.unit();
        let mut runs = vec![Vec::new()];
        for (at, value) in places {
            match (value, runs.last_mut()) {
                (Some((si, size)), Some(run)) => run.push((
                    *at,
                    evaluate::in_unit(*si, reading, counts, &unit),
                    evaluate::size_in_unit(*size, counts, &unit),
                )),
                _ => runs.push(Vec::new()),
            }
        }
        runs.retain(|run| run.len() > 1);
        runs
    }

    /// A side of a plot in its unit; where none is said, in that of its name, or a handy one.
    fn counted(&self, problem: usize, side: &PlotSide, values: &[Value; 3]) -> PlotSide {
        if side.ask.unit.is_some() {
            return side.clone();
        }
        let [left, right, _] = values;
        let rows = 0..left.rows.len();
        let off = Value {
            rows: rows.map(|row| left.at(row) - right.at(row)).collect(),
            shape: left.shape,
            ..Value::default()
        };
        let found = self.checked.sides.get(&side.ask.span).cloned();
        let found = Type {
            reading: Reading::Plain,
            ..found.unwrap_or_else(|| Type::plain(Form::default()))
        };
        let ask = self.with_unit((&side.expr, &found), &side.ask, left);
        let unit = match ask.unit {
            Some(unit) => unit,
            None => self.result(problem, &Arc::new(off), &found, &ask).unit,
        };
        PlotSide {
            expr: side.expr.clone(),
            ask: Ask {
                unit: Some(unit.interval()),
                ..side.ask.clone()
            },
            times: None,
        }
    }

    /// What each row is off the curve, with the uncertainty of its reading.
    fn residuals(
        &self,
        [y, x]: [&PlotSide; 2],
        values: &[Value; 3],
        raw: Option<&[Value; 3]>,
    ) -> Vec<(usize, PlotPoint)> {
        let (_, counts) = self.read_as(y);
        let unit = y.unit();
        let owns = [Some(values), raw].map(|values| Some(self.without_common(&values?[0])));
        let point = |[left, right, place]: &[Value; 3], row: usize, is_left_out: bool| {
            let off = evaluate::size_in_unit(left.at(row) - right.at(row), counts, &unit);
            let own = owns[usize::from(is_left_out)].as_deref();
            let point = PlotPoint {
                y: (off, own.map_or(0.0, |own| self.number(y, own, row).1)),
                x: self.number(x, place, row),
                is_left_out,
            };
            (point.y.0.is_finite() && point.x.0.is_finite()).then_some((row, point))
        };
        let rows = 0..values[0].rows.len();
        rows.filter_map(|row| {
            point(values, row, false).or_else(|| raw.and_then(|raw| point(raw, row, true)))
        })
        .collect()
    }

    /// Readings with the errors alone that each has by itself.
    fn without_common<'v>(&self, readings: &'v Value) -> Cow<'v, Value> {
        if readings.gradients.iter().all(Vec::is_empty) {
            return Cow::Borrowed(readings);
        }
        let rows: Vec<usize> = (0..readings.rows.len()).collect();
        let common = evaluate::common(&[readings], &rows, &self.results.sources);
        let mut own = readings.clone();
        for gradient in &mut own.gradients {
            gradient.retain(|partial| !common.contains(&partial.source));
        }
        Cow::Owned(own)
    }

    fn point(&self, [y, x]: [&PlotSide; 2], [up, right]: [&Value; 2], row: usize) -> PlotPoint {
        PlotPoint {
            y: self.number(y, up, row),
            x: self.number(x, right, row),
            is_left_out: false,
        }
    }

    /// A number in the unit of its axis, and its standard uncertainty.
    fn number(&self, side: &PlotSide, value: &Value, row: usize) -> (f64, f64) {
        let (reading, counts) = self.read_as(side);
        let unit = side.unit();
        let number = evaluate::in_unit(value.at(row), reading, counts, &unit);
        let own = value.uncertainty(row, &self.results.sources);
        let size = own.map(|own| evaluate::size_in_unit(own.size, counts, &unit));
        (number, size.filter(|size| size.is_finite()).unwrap_or(0.0))
    }

    fn read_as(&self, side: &PlotSide) -> (Reading, Counts) {
        let found = self.checked.sides.get(&side.ask.span);
        found.map_or((Reading::Plain, Counts::NOTHING), |found| {
            (found.reading, found.counts)
        })
    }
}

fn axis(side: &PlotSide) -> PlotAxis {
    PlotAxis {
        quantity: side.expr.clone(),
        unit: side.unit(),
        datum: side.ask.datum.map(|datum| datum.text()),
        times: side.times,
    }
}
