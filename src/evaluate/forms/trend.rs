//! How a result goes with a given.

use std::sync::Arc;

use rustc_hash::FxHashMap;

use super::Outcome;
use crate::evaluate::definitions::{Care, Definition, Stop};
use crate::evaluate::made::{Made, Shift};
use crate::evaluate::number::Partial;
use crate::evaluate::program::Program;
use crate::evaluate::sense::Trend;
use crate::evaluate::value::{self, Value, Values};
use crate::evaluate::walk::{Lack, Walk};
use crate::functions::Measured;
use crate::quantity;
use crate::resolve::statement::{self, Way};
use crate::resolve::{Expr, Shape, Statement, SymbolId};
use crate::text::Span;

/// The first number of the inputs that stand for givens which change.
const CHANGING: u32 = u32::MAX - (1 << 20);

/// How closely a result has to follow a power when the line does not say.
const EXACTLY: f64 = 1e-6;

impl<'a> Walk<'a> {
    pub(super) fn trend(
        &mut self,
        statement: &Statement,
        line: &'a statement::Trend,
    ) -> Result<Outcome<'a>, Lack> {
        let (_, found) = self.trends(statement.span, &line.subject, &[line.with])?;
        let trend = found.into_iter().next().ok_or(Lack::Refused)?;
        let at_zero = trend.with == 0.0 && matches!(line.way, Way::Power(_) | Way::Independent);
        if at_zero {
            let name = self.resolved.symbols.symbol(line.with).key.clone();
            self.report_unclear(
                statement.span,
                format!("`{name}` is 0 here, where how the result goes with it cannot be told"),
                "data at which it is not zero",
            );
            return Err(Lack::Refused);
        }
        let holds = match &line.way {
            Way::Rises => trend.rises(),
            Way::Falls => trend.falls(),
            Way::Independent => !trend.rises() && !trend.falls(),
            Way::Power(exponent) => {
                let wanted = self.number(exponent)?;
                let tolerance = match &line.within {
                    Some(within) => self.number(within)?,
                    None => EXACTLY,
                };
                trend.varies_as(wanted, tolerance)
            }
        };
        if !holds {
            self.report_check(statement.span, trend_help(&trend));
        }
        Ok(Outcome::Trend(line, Box::new(trend), holds))
    }

    /// How a result goes with each of some givens.
    pub(super) fn trends(
        &mut self,
        place: Span,
        subject: &Expr,
        givens: &[SymbolId],
    ) -> Result<(Value, Vec<Trend>), Lack> {
        self.number_inputs(subject);
        let program = self.compile(subject);
        self.needs(std::slice::from_ref(&program), &[])?;
        let mut by = FxHashMap::default();
        let mut at = Vec::with_capacity(givens.len());
        for (number, symbol) in givens.iter().enumerate() {
            let Some(value) = self.results.value(*symbol) else {
                return Err(Lack::Needs(vec![(*symbol, self.place_of(*symbol))]));
            };
            if value.shape != Shape::One {
                self.report_not_one(place, *symbol);
                return Err(Lack::Refused);
            }
            at.push(value.at(0));
            let changing = Value {
                gradients: vec![vec![Partial::of(CHANGING + number as u32)]],
                ..value.clone()
            };
            by.insert(*symbol, changing);
        }
        let behind = self.definitions_behind([&program]);
        let found = self.replay(&behind, by, Care::All);
        let found = found.and_then(|all| value::run(&program, &all).map_err(Stop::Fault));
        let value = match found {
            Ok(value) => value,
            Err(stop) => {
                self.report_stop(stop, subject.span);
                return Err(Lack::Refused);
            }
        };
        if value.shape != Shape::One {
            let name = subject.span.of(self.text);
            self.report_unclear(
                place,
                format!("`{name}` is a list, and a trend is one of a single number"),
                "one entry, or a sum or mean of the list",
            );
            return Err(Lack::Refused);
        }
        let mut trends = Vec::with_capacity(givens.len());
        for (number, (symbol, with)) in givens.iter().zip(&at).enumerate() {
            let mut gradient = value.gradient(0).iter();
            let found = gradient.find(|partial| partial.source == CHANGING + number as u32);
            trends.push(Trend {
                value: value.at(0),
                with: *with,
                derivative: found.map_or(Value::one(0.0), |partial| {
                    self.slope(&program, &behind, *symbol, partial.measured())
                }),
            });
        }
        Ok((value, trends))
    }
}

impl<'a> Walk<'a> {
    /// A derivative, with how it is had with more precision: as the slope over a small part of the
    /// given. Where the result has no value beside the data, it is the double that it is.
    fn slope(
        &self,
        program: &Program,
        behind: &[Arc<Definition<'a>>],
        symbol: SymbolId,
        derivative: Measured,
    ) -> Value {
        let end = |with: &Value, shift| {
            // It changes, so that what holds only at its value is left out here, too.
            let shifted = Value {
                gradients: vec![vec![Partial::of(CHANGING)]],
                second_order: Vec::new(),
                made: Some(Arc::new(Made::shifted(with, shift))),
                ..with.clone()
            };
            let by = FxHashMap::from_iter([(symbol, shifted)]);
            let all = self.replay(behind, by, Care::Nearest).ok()?;
            value::run(program, &all).ok()?.made
        };
        let made = self.results.value(symbol).and_then(|with| {
            let ends = [end(with, Shift::Up)?, end(with, Shift::Down)?];
            Some(Arc::new(Made::slope(ends, with)))
        });
        let plain = Value::one(derivative.value);
        if made.is_none() {
            return plain;
        }
        let mut value = Value {
            errors: vec![derivative.error],
            made,
            ..plain.clone()
        };
        match value.settle_alone() {
            true => value,
            false => plain,
        }
    }
}

/// What a trend is, for a message.
fn trend_help(trend: &Trend) -> String {
    let way = if trend.rises() {
        "it rises"
    } else if trend.falls() {
        "it falls"
    } else {
        "it does not change"
    };
    match trend.exponent() {
        Some(exponent) if exponent != 0.0 => format!(
            "{way}, here as the power {}",
            quantity::to_figures(exponent, 4).text()
        ),
        _ => way.to_owned(),
    }
}
