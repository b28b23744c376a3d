//! What a result tends to.

use std::sync::Arc;

use rustc_hash::FxHashMap;

use super::Outcome;
use crate::evaluate::definitions::{Care, Stop};
use crate::evaluate::sense::{self, Approach, Toward};
use crate::evaluate::value::{self, Value, Values};
use crate::evaluate::walk::{Lack, Walk};
use crate::evaluate::{Fault, Reason};
use crate::quantity;
use crate::resolve::statement::{End, Limit};
use crate::resolve::{Shape, Statement};

impl<'a> Walk<'a> {
    pub(super) fn limit(
        &mut self,
        statement: &Statement,
        limit: &'a Limit,
    ) -> Result<Outcome<'a>, Lack> {
        let (subject, with) = (&limit.subject, limit.with);
        self.number_inputs(subject);
        let program = self.compile(subject);
        self.needs(std::slice::from_ref(&program), &[])?;
        let (claimed, end) = (self.toward(&limit.value), self.toward(&limit.at));
        let (claimed, end) = (claimed?, end?);
        let Some(start) = self.results.value(with).cloned() else {
            return Err(Lack::Needs(vec![(with, self.place_of(with))]));
        };
        // At the data themselves it need not have a value: a limit is for such places, too.
        let operating = value::run(&program, &self.results).ok();
        let is_one = |value: &Value| value.shape == Shape::One;
        if !is_one(&start) || !operating.as_ref().is_none_or(is_one) {
            self.report_not_one(statement.span, with);
            return Err(Lack::Refused);
        }
        let operating = operating.map_or(0.0, |value| value.at(0));
        let behind = self.definitions_behind([&program]);
        let mut barred = None;
        let mut values: Vec<Value> = Vec::new();
        let mut result = |place: f64| {
            let by = FxHashMap::from_iter([(with, Value::one(place))]);
            let found = self.replay(&behind, by, Care::Nearest);
            let found = found.and_then(|all| value::run(&program, &all).map_err(Stop::Fault));
            let number = found.map(|value| {
                let number = value.at(0);
                values.push(value);
                number
            });
            number.map_err(|stop: Stop| {
                let none = Fault {
                    reason: Reason::Overflow,
                    span: subject.span,
                };
                // Where it has no value the way ends; why is asked only of steps.
                match stop {
                    Stop::Barred(found) => {
                        barred.get_or_insert(found);
                        none
                    }
                    stop => stop.fault().unwrap_or(none),
                }
            })
        };
        let found = sense::limit(&mut result, start.at(0), end, claimed, operating);
        if let (Approach::Missed(_) | Approach::Unclear, Some(barred)) = (&found, barred) {
            self.report_stop(Stop::Barred(barred), statement.span);
            return Err(Lack::Refused);
        }
        // What was reached is one of the values on the way, of which more digits can be had.
        let known = |reached: f64| {
            let found = values.into_iter().rfind(|value| value.at(0) == reached);
            Arc::new(found.unwrap_or_else(|| Value::one(reached)))
        };
        match found {
            Approach::Reached(reached) => Ok(Outcome::Limit {
                limit,
                reached: known(reached),
                holds: true,
            }),
            Approach::Missed(reached) => {
                let symbol = subject.as_symbol();
                let shown = symbol.map_or_else(
                    || quantity::to_figures(reached, 5).text(),
                    |symbol| self.shown_as(symbol, reached),
                );
                let far = reached.abs() > 1e6 * operating.abs();
                self.report_check(
                    statement.span,
                    if far {
                        "on the way it goes beyond every bound, perhaps to one side only".to_owned()
                    } else {
                        format!("it comes to {shown} instead")
                    },
                );
                Ok(Outcome::Limit {
                    limit,
                    reached: known(reached),
                    holds: false,
                })
            }
            Approach::Unclear => {
                let text = statement.span.of(self.text).to_owned();
                self.report_unclear(
                    statement.span,
                    format!(
                        "the limit `{text}` cannot be told: the values on the way do not settle"
                    ),
                    "a comparison at a value close to the end, with `at`",
                );
                Err(Lack::Refused)
            }
        }
    }

    fn toward(&mut self, end: &End) -> Result<Toward, Lack> {
        Ok(match end {
            End::Value(expr) => Toward::Value(self.number(expr)?),
            End::Infinite { negative, .. } => Toward::Infinity {
                negative: *negative,
            },
        })
    }
}
