//! Lines that are solved by numbers, and lines that look at how a result goes with a given.

use rustc_hash::FxHashMap;

use super::definitions::{Definition, Stop};
use super::program::Program;
use super::sense::{self, Approach, Influence, Toward, Trend};
use super::solve::{self, Seek, Unsolved};
use super::unsolved::{self, Line};
use super::value::{Value, Values};
use super::walk::{Lack, Outcome, Walk};
use super::{convert, mend};
use crate::diagnostic::{Code, Diagnostic};
use crate::dimensions::{Reading, Type};
use crate::quantity::{self, Family};
use crate::resolve::statement::{self, End, Limit, Origin, Root, Start, System, Way};
use crate::resolve::{Expr, Kind, Shape, Statement, SymbolId};
use crate::text::Span;

/// The first number of the inputs that stand for givens which change.
const CHANGING: u32 = u32::MAX - (1 << 20);

/// How closely a result has to follow a power when the line does not say.
const EXACTLY: f64 = 1e-6;

impl<'a> Walk<'a> {
    pub(super) fn root(&mut self, root: &'a Root, found: &Type) -> Result<Outcome<'a>, Lack> {
        let sides = [self.compile(&root.sides[0]), self.compile(&root.sides[1])];
        self.needs(&sides, &[root.symbol])?;
        let (seek, place) = self.seek(root)?;
        match solve::root(&sides, root.symbol, seek, &self.results) {
            Ok((value, convergence)) => {
                let definition = Definition::Roots {
                    symbols: vec![root.symbol],
                    equations: vec![sides],
                };
                self.know(definition, std::slice::from_ref(&value));
                Ok(Outcome::Root(root, value, convergence))
            }
            Err(unsolved) => {
                let unit = root.tail.ask().and_then(|(ask, _)| ask.unit.as_ref());
                let shown = |_: usize, value: f64| match unit {
                    Some(unit) => {
                        let number = convert::in_unit(value, found.reading, unit);
                        let number = quantity::to_figures(number, 5).text();
                        format!("{number} {}", unit.text()).trim_end().to_owned()
                    }
                    None => self.shown_as(root.symbol, value),
                };
                let names = [root.lead.span.of(self.text).to_owned()];
                let line = Line {
                    place,
                    unknowns: &names,
                    shown: &shown,
                };
                let diagnostic = unsolved::diagnostic(&unsolved, &line)
                    .with_fixes(mend::starts(self.text, place, &unsolved, &shown))
                    .with_note("the equation stands here", root.sides[0].span);
                self.diagnostics.push(diagnostic);
                Err(Lack::Refused)
            }
        }
    }

    /// Where the line says that the root is, and the place where it says so.
    fn seek(&mut self, root: &Root) -> Result<(Seek, Span), Lack> {
        Ok(match &root.start {
            Start::Anywhere => (Seek::Anywhere, root.label),
            Start::Near(value) => (Seek::Near(self.number(value)?), value.span),
            Start::Between(low, high) => (
                Seek::Between(self.number(low)?, self.number(high)?),
                low.span.cover(high.span),
            ),
        })
    }

    /// The value of an expression that is one number.
    fn number(&mut self, expr: &Expr) -> Result<f64, Lack> {
        self.number_inputs(expr);
        let program = self.compile(expr);
        self.needs(std::slice::from_ref(&program), &[])?;
        Ok(self.run(&program)?.at(0))
    }

    pub(super) fn system(
        &mut self,
        statement: &Statement,
        system: &'a System,
    ) -> Result<Outcome<'a>, Lack> {
        let equations: Vec<[Program; 2]> = system
            .equations
            .iter()
            .map(|[left, right]| [self.compile(left), self.compile(right)])
            .collect();
        let symbols: Vec<SymbolId> = system.unknowns.iter().map(|(symbol, ..)| *symbol).collect();
        let programs: Vec<Program> = equations.iter().flatten().cloned().collect();
        self.needs(&programs, &symbols)?;
        let mut starts = Vec::with_capacity(symbols.len());
        for (_, _, start) in &system.unknowns {
            starts.push(match start {
                Some(start) => Some(self.number(start)?),
                None => None,
            });
        }
        match solve::system(&equations, &symbols, &starts, &self.results) {
            Ok((values, convergence)) => {
                self.know(Definition::Roots { symbols, equations }, &values);
                Ok(Outcome::System(system, values, convergence))
            }
            Err(unsolved) => {
                self.report_system(statement, system, &unsolved);
                Err(Lack::Refused)
            }
        }
    }

    fn report_system(&mut self, statement: &Statement, system: &System, unsolved: &Unsolved) {
        let names: Vec<String> = (system.unknowns.iter())
            .map(|(_, span, _)| span.of(self.text).to_owned())
            .collect();
        let shown = |at: usize, value: f64| {
            let unknown = system.unknowns.get(at);
            unknown.map_or_else(String::new, |(symbol, ..)| self.shown_as(*symbol, value))
        };
        let diagnostic = unsolved::diagnostic(
            unsolved,
            &Line {
                place: statement.span,
                unknowns: &names,
                shown: &shown,
            },
        );
        self.diagnostics.push(diagnostic);
    }

    /// Whether a value that a solved formula gives satisfies the equation and the range at the
    /// data; a root that squaring has brought in, or another angle than was meant, is reported.
    pub(super) fn is_solution(
        &mut self,
        origin: Origin,
        symbol: SymbolId,
        value: f64,
        place: Span,
    ) -> bool {
        let resolved = self.resolved;
        let statement = |origin: Origin| {
            let block = resolved.blocks.get(origin.block)?;
            block.get(origin.statement)
        };
        let Some(Kind::Solved(solved)) = statement(origin).and_then(|line| line.kind.as_ref())
        else {
            return true;
        };
        let at = solved
            .unknowns
            .iter()
            .position(|unknown| *unknown == symbol);
        let range = at.and_then(|at| solved.ranges.get(at).copied().flatten());
        let slack = 1e-9 * value.abs();
        if range.is_some_and(|(low, high)| value < low - slack || value > high + slack) {
            self.report_solution(symbol, place, "lies outside the range that was asked");
            return false;
        }
        let sides: Vec<[&Expr; 2]> = (solved.origins.iter())
            .filter_map(|origin| match statement(*origin)?.kind.as_ref()? {
                Kind::Equation { members } | Kind::Therefore { members } => {
                    let (first, rest) = members.split_first()?;
                    Some(
                        rest.iter()
                            .map(move |side| [first, side])
                            .collect::<Vec<_>>(),
                    )
                }
                _ => None,
            })
            .flatten()
            .collect();
        for [left, right] in sides {
            let programs = [self.compile(left), self.compile(right)];
            if !self.missing(&programs).is_empty() {
                continue;
            }
            let [one, other] = programs.map(|program| {
                let found = super::value::run(&program, &self.results);
                found.map_or(f64::NAN, |value| value.at(0))
            });
            let terms = self.largest_term(left, 0).max(self.largest_term(right, 0));
            let size = one.abs().max(other.abs()).max(terms);
            // Not a number where a side has no value there.
            if (one - other).abs() <= 1e-6 * size {
                continue;
            }
            self.report_solution(symbol, place, "does not satisfy the equation");
            return false;
        }
        true
    }

    fn report_solution(&mut self, symbol: SymbolId, place: Span, why: &str) {
        let key = &self.resolved.symbols.symbol(symbol).key;
        self.diagnostics.push(
            Diagnostic::error(
                Code::A07,
                place,
                format!("with these data the formula for `{key}` {why}"),
            )
            .with_help(format!(
                "`{key} = ? from label near …`, which solves the equation with the data"
            )),
        );
    }

    /// A value of a symbol for a message, in an automatic unit.
    pub(super) fn shown_as(&self, symbol: SymbolId, si: f64) -> String {
        let found = self.checked.symbols.get(&symbol);
        let dimension = found
            .and_then(|found| found.form.dimension())
            .unwrap_or_default();
        let reading = found.map_or(Reading::Plain, |found| found.reading);
        let unit = quantity::automatic(dimension, Family::Si, &[], si);
        let number = quantity::to_figures(convert::in_unit(si, reading, &unit), 5).text();
        format!("{number} {}", unit.text()).trim_end().to_owned()
    }

    pub(super) fn trend(
        &mut self,
        statement: &Statement,
        line: &'a statement::Trend,
    ) -> Result<Outcome<'a>, Lack> {
        let (_, found) = self.trends(statement.span, &line.subject, &[line.with])?;
        let trend = *found.first().ok_or(Lack::Refused)?;
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
        Ok(Outcome::Trend(line, trend, holds))
    }

    /// How a result goes with each of some givens.
    fn trends(
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
                rows: value.rows.clone(),
                shape: Shape::One,
                gradients: vec![vec![(CHANGING + number as u32, 1.0)]],
            };
            by.insert(*symbol, changing);
        }
        let behind = self.definitions_behind(&program);
        let value = match self.replay(&program, &behind, by) {
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
        let trends = at
            .iter()
            .enumerate()
            .map(|(number, with)| Trend {
                value: value.at(0),
                with: *with,
                derivative: value
                    .gradient(0)
                    .iter()
                    .find(|(input, _)| *input == CHANGING + number as u32)
                    .map_or(0.0, |(_, derivative)| *derivative),
            })
            .collect();
        Ok((value, trends))
    }

    pub(super) fn sensitivity(
        &mut self,
        subject: &'a Expr,
        givens: &'a [SymbolId],
    ) -> Result<Outcome<'a>, Lack> {
        let numbers: Vec<usize> = (0..givens.len())
            .filter(|at| {
                let value = self.results.value(givens[*at]);
                value.is_some_and(|value| value.shape == Shape::One)
            })
            .collect();
        let changing: Vec<SymbolId> = numbers.iter().map(|at| givens[*at]).collect();
        let (value, trends) = self.trends(subject.span, subject, &changing)?;
        let mut influences: Vec<Influence> = numbers
            .into_iter()
            .zip(trends)
            .filter(|(_, trend)| trend.derivative != 0.0)
            .map(|(given, trend)| Influence { given, trend })
            .collect();
        // Sizes that differ by rounding only are one size.
        let size = |influence: &Influence| {
            let change = influence.change().map_or(0.0, f64::abs);
            (change.log10() * 1e9).round() as i64
        };
        influences.sort_by_key(|influence| (std::cmp::Reverse(size(influence)), influence.given));
        let value = Value {
            gradients: Vec::new(),
            ..value
        };
        Ok(Outcome::Sensitivity {
            subject,
            givens,
            value,
            influences,
        })
    }

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
        let operating = super::value::run(&program, &self.results).ok();
        let is_one = |value: &Value| value.shape == Shape::One;
        if !is_one(&start) || !operating.as_ref().is_none_or(is_one) {
            self.report_not_one(statement.span, with);
            return Err(Lack::Refused);
        }
        let operating = operating.map_or(0.0, |value| value.at(0));
        let behind = self.definitions_behind(&program);
        let mut result = |place: f64| {
            let by = FxHashMap::from_iter([(with, Value::one(place))]);
            let found = self.replay(&program, &behind, by);
            found.map(|value| value.at(0)).map_err(|stop: Stop| {
                // Where it has no value the way ends; why is not asked.
                stop.fault().unwrap_or(super::Fault {
                    reason: super::Reason::Overflow,
                    span: subject.span,
                })
            })
        };
        let found = sense::limit(&mut result, start.at(0), end, claimed, operating);
        match found {
            Approach::Reached(reached) => Ok(Outcome::Limit {
                limit,
                reached,
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
                    reached,
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

    fn report_check(&mut self, place: Span, instead: String) {
        let text = place.of(self.text);
        self.diagnostics.push(
            Diagnostic::error(
                Code::C01,
                place,
                format!("the check `{text}` does not hold: {instead}"),
            )
            .with_help("the data or the formula put right, or the check"),
        );
    }

    fn report_not_one(&mut self, place: Span, symbol: SymbolId) {
        let key = &self.resolved.symbols.symbol(symbol).key;
        let message = format!("`{key}` is not one number, so nothing goes with it alone");
        self.report_unclear(place, message, "a given with one number");
    }

    fn report_unclear(&mut self, place: Span, message: String, help: &str) {
        self.diagnostics
            .push(Diagnostic::error(Code::C05, place, message).with_help(help));
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
