//! A fit in a plot: its curve, its band, and what the readings are off it.

use std::sync::Arc;

use rustc_hash::FxHashMap;

use super::Plotted;
use crate::diagnostic::{Code, Diagnostic};
use crate::evaluate::convert;
use crate::evaluate::definitions::{Care, Definition, Replaced};
use crate::evaluate::number::{Gradient, Partial};
use crate::evaluate::program::Program;
use crate::evaluate::sampled::{Range, sampled};
use crate::evaluate::sources::{About, Sources};
use crate::evaluate::value::{self, Value, Values as _};
use crate::evaluate::walk::{Lack, Walk};
use crate::resolve::statement::{Fitted, Plot, PlotSide, Reach};
use crate::resolve::{Kind, Shape, SymbolId, Which};
use crate::syntax::Band;
use crate::text::Span;

/// Two numbers are the same that differ by no more than this share.
const SAME: f64 = 1e-7;

/// How what is plotted is told from the fitted value.
struct Told {
    left: Program,
    right: Program,
    up: Program,
    is_on_both: bool,
}

impl Told {
    fn programs(&self) -> [Program; 3] {
        [&self.left, &self.right, &self.up].map(Program::clone)
    }

    /// What is plotted for the fitted value, which is off by an error.
    fn at(&self, fitted: &Fitted, values: &Replaced<'_>, error: Option<u32>) -> Option<Value> {
        let mut value = match self.is_on_both {
            true => Value::one(0.0),
            false => value::run(&self.right, values).ok()?,
        };
        if let Some(error) = error {
            let of_one = vec![Vec::new(); value.rows.len()];
            value.gradients = match value.gradients.is_empty() {
                true => of_one,
                false => value.gradients,
            };
            for gradient in &mut value.gradients {
                gradient.push(Partial::of(error));
            }
        }
        let mut values = values.clone();
        values.by.insert(fitted.value, value);
        value::run(&self.up, &values).ok()
    }
}

/// The single values that a curve hangs on, each as a source of its own: their gradients may be
/// long, one entry a reading, and what they share is known once and for all places.
struct Inputs {
    values: FxHashMap<SymbolId, Value>,
    /// The number of the first source; the others follow.
    first: u32,
    covariance: Vec<Vec<f64>>,
    /// What stands behind them.
    gradients: Vec<Gradient>,
}

impl Inputs {
    /// Values with these among them.
    fn over<'v>(&self, mut values: Replaced<'v>) -> Replaced<'v> {
        for (symbol, value) in &self.values {
            values.by.entry(*symbol).or_insert_with(|| value.clone());
        }
        values
    }

    /// The standard uncertainty of what has this gradient by them and by other sources.
    fn size(&self, gradient: &[Partial], sources: &Sources) -> f64 {
        let at = |partial: &Partial| {
            let at = partial.source.checked_sub(self.first)? as usize;
            (at < self.covariance.len()).then_some(at)
        };
        let own: Vec<(usize, f64)> = (gradient.iter())
            .filter_map(|partial| Some((at(partial)?, partial.slope)))
            .collect();
        let rest: Gradient = gradient
            .iter()
            .filter(|it| at(it).is_none())
            .copied()
            .collect();
        let mut square = sources.covariance(&rest, &rest);
        for (one, slope) in &own {
            for (other, with) in &own {
                square += slope * with * self.covariance[*one][*other];
            }
            if !rest.is_empty() {
                square += 2.0 * slope * sources.covariance(&self.gradients[*one], &rest);
            }
        }
        square.max(0.0).sqrt()
    }
}

impl<'a> Walk<'a> {
    /// The curve of a fit over the points of the plot, and to the ends of the axis.
    pub(super) fn fit_curve(
        &mut self,
        fitted: &'a Fitted,
        label: &str,
        reach: Reach,
        band: Option<Band>,
    ) -> Result<Plotted, Lack> {
        let told = self.way_up(fitted)?;
        let across = self.across(fitted, label, &told)?;
        let inputs = self.inputs(fitted, &told, band.is_some());
        // The newest source stands last in a gradient.
        let error = match band {
            Some(Band::Reading) => Some(self.further_error(fitted, label)?),
            Some(Band::Curve) | None => None,
        };
        let (reading, counts) = self.read_as(&fitted.x);
        let unit = fitted.x.unit();
        let Some(range) = self.range(fitted, reach) else {
            return Ok(Plotted::Fitted(Vec::new()));
        };
        let behind = self.behind(&told.programs());
        let found = sampled(range, |at| {
            let si = convert::to_si(at, reading, counts, &unit);
            let by = match &across {
                Some(across) => {
                    let own = self.at_place(fitted, &across.1, si, &inputs)?;
                    FxHashMap::from_iter([(across.0, own)])
                }
                None => FxHashMap::default(),
            };
            // The parameters stay what they are: no other row is fitted.
            let all = inputs.over(self.replay(&behind, by, Care::Nearest).ok()?);
            let value = told.at(fitted, &all, error)?;
            let is_there = value.shape == Shape::One && value.at(0).is_finite();
            is_there.then(|| {
                let size = inputs.size(value.gradient(0), &self.results.sources);
                (value.at(0), size)
            })
        });
        Ok(Plotted::Fitted(found))
    }

    /// What is plotted of each row, what it was fitted to be, and what is to the right.
    pub(super) fn residuals(&mut self, fitted: &'a Fitted) -> Result<Plotted, Lack> {
        let told = self.way_up(fitted)?;
        let [y, x] = [&fitted.y, &fitted.x].map(|side| self.compile(&side.expr));
        self.needs(&[y.clone(), x.clone()], &[])?;
        let inputs = self.inputs(fitted, &told, false);
        let off = |values: Replaced<'_>| {
            let [y, x] = [&y, &x].map(|program| value::run(program, &values).ok());
            Some([y?, told.at(fitted, &inputs.over(values), None)?, x?])
        };
        let Some(values) = off(Replaced::nothing(&self.results)) else {
            return Err(self.no_way_up(fitted));
        };
        let of = values.iter().find_map(|value| value.of.clone());
        let chosen = match &fitted.which {
            Some(which) => Some(self.chosen(which, &values[0])?),
            None => None,
        };
        let mut programs = told.programs().to_vec();
        programs.extend([y.clone(), x.clone()]);
        let raw = of.and_then(|of| self.with_all_rows(&programs, of.table?));
        let raw = raw.and_then(off);
        Ok(Plotted::Residuals {
            values: Box::new(values),
            raw: raw.map(Box::new),
            chosen,
        })
    }

    /// The formula by which what is plotted is told from the fitted value: that with which the
    /// readings agree.
    fn way_up(&mut self, fitted: &'a Fitted) -> Result<Told, Lack> {
        let [left, right] = [0, 1].map(|side| self.compile(&fitted.sides[side]));
        let plotted = self.compile(&fitted.y.expr);
        self.needs(&[left.clone(), right.clone(), plotted.clone()], &[])?;
        for up in &fitted.up {
            let told = Told {
                left: left.clone(),
                right: right.clone(),
                up: self.compile(&up.formula),
                is_on_both: up.is_on_both,
            };
            if self.agrees(fitted, &told, &plotted) == Some(true) {
                return Ok(told);
            }
        }
        Err(self.no_way_up(fitted))
    }

    /// Whether the readings themselves are told from what they were fitted as.
    fn agrees(&self, fitted: &Fitted, told: &Told, plotted: &Program) -> Option<bool> {
        let nothing = Replaced::nothing(&self.results);
        let left = value::run(&told.left, &nothing).ok()?;
        let value = match told.is_on_both {
            true => {
                let right = value::run(&told.right, &nothing).ok()?;
                let rows = 0..left.rows.len();
                Value {
                    rows: rows.map(|row| left.at(row) - right.at(row)).collect(),
                    ..left
                }
            }
            false => left,
        };
        let plotted = value::run(plotted, &nothing).ok()?;
        let mut values = nothing;
        values.by.insert(fitted.value, value);
        let found = value::run(&told.up, &values).ok()?;
        Some(plotted.shape == Shape::List && is_same(&plotted, &found))
    }

    fn no_way_up(&mut self, fitted: &Fitted) -> Lack {
        let [fit, plotted, right] = fitted.written(self.text);
        let (message, help) = match fitted.up.is_empty() {
            true => (
                format!("the fit is of `{fit}`, and the plot of `{plotted}`"),
                format!("`{fit} / … against {right} / …`"),
            ),
            false => (
                format!(
                    "`{plotted}` is not told from the fitted `{fit}`: no one root of it is that of all readings"
                ),
                format!("`{fit} / … against {right} / …`"),
            ),
        };
        self.diagnostics
            .push(Diagnostic::error(Code::X04, self.place(), message).with_help(help));
        Lack::Refused
    }

    /// The list that changes to the right, and the formula that tells it from there; nothing
    /// where the fit is the same everywhere.
    fn across(
        &mut self,
        fitted: &'a Fitted,
        label: &str,
        told: &Told,
    ) -> Result<Option<(SymbolId, Program)>, Lack> {
        let behind = self.behind(&told.programs());
        let inputs = self.inputs(fitted, told, false);
        let is_one = |by: FxHashMap<SymbolId, Value>| {
            let all = self.replay(&behind, by, Care::Nearest).ok();
            let found = all.and_then(|all| told.at(fitted, &inputs.over(all), None));
            found.is_some_and(|value| value.shape == Shape::One)
        };
        if is_one(FxHashMap::default()) {
            return Ok(None);
        }
        let plotted = self.compile(&fitted.x.expr);
        let place = value::run(&plotted, &Replaced::nothing(&self.results)).ok();
        for (by, formula) in &fitted.across {
            let program = self.compile(formula);
            let Some((place, own)) = place.as_ref().zip(self.results.value(*by)) else {
                continue;
            };
            let mut values = Replaced::nothing(&self.results);
            values.by.insert(fitted.place, place.clone());
            let found = value::run(&program, &values).ok();
            let is_it = own.shape == Shape::List && found.is_some_and(|found| is_same(own, &found));
            let somewhere = (own.rows.iter().copied()).find(|value| value.is_finite());
            if is_it
                && let Some(somewhere) = somewhere
                && is_one(FxHashMap::from_iter([(*by, Value::one(somewhere))]))
            {
                return Ok(Some((*by, program)));
            }
        }
        let written = fitted.x.expr.span.of(self.text);
        self.diagnostics.push(
            Diagnostic::error(
                Code::X04,
                self.place(),
                format!("the fit `{label}` does not depend on `{written}` alone, which the plot has to the right"),
            )
            .with_help("the fitted quantity against a list that stands in the fit's right side"),
        );
        Err(Lack::Refused)
    }

    /// The single values that a curve hangs on, each as a source of its own.
    fn inputs(&mut self, fitted: &Fitted, told: &Told, is_uncertain: bool) -> Inputs {
        let programs = told.programs();
        let mut symbols: Vec<SymbolId> = programs.iter().flat_map(Program::symbols).collect();
        for (_, formula) in &fitted.across {
            formula.for_each_symbol(&mut |symbol, _| symbols.push(symbol));
        }
        symbols.sort_unstable();
        symbols.dedup();
        let known = symbols.into_iter().filter_map(|symbol| {
            let value = self.results.values.get(symbol)?;
            let is_one = value.shape == Shape::One && !value.gradients.is_empty();
            is_one.then(|| (symbol, Value::clone(value)))
        });
        let known: Vec<(SymbolId, Value)> = known.collect();
        let gradients: Vec<Gradient> = known
            .iter()
            .map(|(_, it)| it.gradient(0).to_vec())
            .collect();
        let first = match is_uncertain && !known.is_empty() {
            true => {
                let about = About::stated(self.place());
                let sizes = known.iter().map(|_| 1.0);
                self.results.sources.add(about, sizes)
            }
            false => 0,
        };
        let values = known
            .into_iter()
            .zip(first..)
            .map(|((symbol, value), own)| {
                let gradient = is_uncertain.then(|| vec![Partial::of(own)]);
                let value = Value {
                    gradients: gradient.into_iter().collect(),
                    second_order: Vec::new(),
                    ..value
                };
                (symbol, value)
            });
        Inputs {
            values: values.collect(),
            covariance: match is_uncertain {
                true => (gradients.iter())
                    .map(|one| {
                        let with = |other| self.results.sources.covariance(one, other);
                        gradients.iter().map(|other| with(other)).collect()
                    })
                    .collect(),
                false => Vec::new(),
            },
            gradients,
            first,
        }
    }

    /// The value of a name at a place to the right.
    fn at_place(
        &self,
        fitted: &Fitted,
        across: &Program,
        si: f64,
        inputs: &Inputs,
    ) -> Option<Value> {
        let mut values = Replaced::nothing(&self.results);
        values.by.clone_from(&inputs.values);
        values.by.insert(fitted.place, Value::one(si));
        value::run(across, &values).ok()
    }

    /// What programs hang on, but for the parameters of fits.
    fn behind(&self, programs: &[Program]) -> Vec<Arc<Definition<'a>>> {
        let mut behind = self.definitions_behind(programs);
        behind.retain(|definition| definition.is_formula());
        behind
    }

    /// From the least of the points of the plot to the greatest, and to the ends of the axis.
    fn range(&mut self, fitted: &Fitted, reach: Reach) -> Option<Range> {
        let (reading, counts) = self.read_as(&fitted.x);
        let unit = fitted.x.unit();
        let mut ends = (f64::INFINITY, f64::NEG_INFINITY);
        for si in self.places(fitted) {
            let number = convert::in_unit(si, reading, counts, &unit);
            let has_place = !reach.is_logarithmic || number > 0.0;
            if has_place && number.is_finite() {
                ends = (ends.0.min(number), ends.1.max(number));
            }
        }
        let ends = (reach.from.unwrap_or(ends.0), reach.to.unwrap_or(ends.1));
        (ends.0 <= ends.1).then_some(Range {
            ends,
            is_logarithmic: reach.is_logarithmic,
        })
    }

    /// Where the points of the plot lie to the right; those of the fit, where there are none.
    fn places(&mut self, fitted: &Fitted) -> Vec<f64> {
        let here = self.place();
        let blocks = self.resolved.blocks.iter();
        let block = blocks
            .into_iter()
            .find(|block| block.iter().any(|it| it.span == here));
        let mut found = Vec::new();
        let lines = block
            .into_iter()
            .flatten()
            .filter_map(|it| it.kind.as_ref());
        for line in lines {
            if let Kind::Plot(plot) = line
                && let Plot::Points { x, which, .. } = &**plot
                && let Some(places) = self.places_of(x, which.as_ref())
            {
                found.extend(places);
            }
        }
        match found.is_empty() {
            true => self.places_of(&fitted.x, None).unwrap_or_default(),
            false => found,
        }
    }

    fn places_of(&mut self, side: &PlotSide, which: Option<&'a Which>) -> Option<Vec<f64>> {
        let program = self.compile(&side.expr);
        let value = value::run(&program, &Replaced::nothing(&self.results)).ok()?;
        let before = self.diagnostics.len();
        let chosen = which.map(|it| self.chosen(it, &value));
        // What is wrong in the line of the points is said there.
        self.diagnostics.truncate(before);
        let chosen = chosen.transpose().ok()?;
        let rows = value.rows.iter().enumerate();
        let rows = rows.filter(|(row, _)| {
            (chosen.as_ref()).is_none_or(|chosen| chosen.get(*row) == Some(&true))
        });
        Some(rows.map(|(_, si)| *si).collect())
    }

    /// The source of the error of one further reading.
    fn further_error(&mut self, fitted: &Fitted, label: &str) -> Result<u32, Lack> {
        let found = self.results.further.get(&fitted.sides[0].span).copied();
        let Some(further) = found.flatten() else {
            self.diagnostics.push(
                Diagnostic::error(
                    Code::F14,
                    self.place(),
                    format!("the rows of the fit `{label}` have no one standard deviation, so that nothing says how a further reading scatters"),
                )
                .with_help("`with band` for that of the curve, or `weighted equally` in the fit"),
            );
            return Err(Lack::Refused);
        };
        let about = About {
            by_scatter: true,
            degrees: further.degrees,
            ..About::stated(self.place())
        };
        Ok(self.results.sources.add(about, [further.deviation]))
    }

    /// Where the present line stands.
    fn place(&self) -> Span {
        self.line.map_or_else(Span::default, |line| line.span)
    }
}

/// Whether all numbers of a list are the same as those of another; those that are missing are not
/// looked at.
fn is_same(list: &Value, other: &Value) -> bool {
    let sizes = list.rows.iter().filter(|it| it.is_finite());
    let scale = sizes.fold(0.0, |scale: f64, it| scale.max(it.abs()));
    let mut rows = (0..list.rows.len()).filter(|row| list.has(*row));
    rows.all(|row| (list.at(row) - other.at(row)).abs() <= SAME * scale)
}
