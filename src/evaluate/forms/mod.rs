//! Statements evaluated: one file a form, named as in the other rooms.

mod check;
mod comparison;
mod correlation;
mod data;
mod fit;
mod fitted;
mod limit;
mod monte_carlo;
mod plot;
mod root;
mod sensitivity;
mod solve;
mod system;
mod trend;
mod work;

use std::sync::Arc;

use super::compared::Compared;
use super::convert;
use super::drawn::Drawn;
use super::fit::Fitted;
use super::sense::{Influence, Trend};
use super::solve::Convergence;
use super::value::Value;
use super::walk::{Lack, Walk};
use crate::diagnostic::{Code, Diagnostic};
use crate::dimensions::{Counts, Energy, Reading, Type};
use crate::quantity::{self, Amount, Family};
use crate::resolve::statement::{
    self, Answer, BalanceLine, Check, Comparison, Component, Cut, Data, Limit, MayChange, Meant,
    MonteCarlo, Plot, Required, Root, Sketch, Solved, System, Varied, Work,
};
use crate::resolve::{
    Expr, ExprKind, FunctionId, Kind, Shape, Statement, SymbolId, Taken, TakenAs,
};
use crate::text::Span;

pub use plot::Plotted;

/// What a statement says, and what came of it.
#[derive(Debug)]
pub enum Outcome<'a> {
    /// A datum.
    Given {
        /// Its name.
        symbol: SymbolId,
        /// As it is written.
        value: &'a Expr,
        /// Its value.
        result: Arc<Value>,
    },
    /// An unknown.
    Required(&'a Required),
    /// The sides of an equation.
    Equation(&'a [Expr], Option<&'a Meant>),
    /// The sides of a step.
    Therefore(&'a [Expr], Option<&'a Meant>),
    /// A step of the engine.
    Solved(&'a Solved),
    /// A component of a vector equation.
    Component(&'a Component),
    /// A balance of a sketch.
    Balance(&'a BalanceLine),
    /// What a straight member holds together at a cut.
    Shear(&'a Cut),
    /// A sketch.
    Sketch(&'a Arc<Sketch>),
    /// Symbols whose dimensions are shown.
    Dimensions(&'a [SymbolId]),
    /// A root: its value, and how well the search converged.
    Root(&'a Root, Arc<Value>, Convergence),
    /// A system: the value of each unknown.
    System(&'a System, Vec<Arc<Value>>, Convergence),
    /// A trend, and whether it is as claimed.
    Trend(&'a statement::Trend, Box<Trend>, bool),
    /// A limit.
    Limit {
        /// What it is claimed to be.
        limit: &'a Limit,
        /// What the values came to.
        reached: Arc<Value>,
        /// Whether that is the limit that is claimed.
        holds: bool,
    },
    /// How much each given matters for a result.
    Sensitivity {
        /// The result.
        subject: &'a Expr,
        /// The givens.
        givens: &'a [SymbolId],
        /// Its value.
        value: Arc<Value>,
        /// Those that matter, most first.
        influences: Vec<Influence>,
    },
    /// What each source contributes to a result.
    Budget {
        /// The result.
        subject: &'a Expr,
        /// Whether all sources have rows of their own.
        in_full: bool,
        /// Its value.
        value: Arc<Value>,
    },
    /// The distribution of a result by trials, beside its value.
    Trials(&'a MonteCarlo, Arc<Value>, Box<Drawn>),
    /// A result held against a value.
    Comparison(&'a Comparison, Box<Compared>),
    /// A stated correlation.
    Correlation {
        /// Two givens.
        names: [SymbolId; 2],
        /// The coefficient.
        coefficient: &'a Expr,
    },
    /// A fit.
    Fit(&'a statement::Fit, Box<Fitted>),
    /// What belongs to another line of its block, and is shown there.
    OfBlock,
    /// A user function.
    Function(FunctionId, &'a Expr),
    /// A name of another worksheet, and its value where it is a quantity.
    Taken(&'a Taken, Option<Arc<Value>>),
    /// A chain of `work`, its formulas, and its value.
    Work(&'a Work, &'a [Expr], Arc<Value>),
    /// A line of `check`.
    Check {
        /// What is compared.
        check: &'a Check,
        /// One a member.
        values: Vec<Arc<Value>>,
        /// Of lists the row that is nearest to failing.
        row: Option<usize>,
        /// Whether it holds.
        holds: bool,
    },
    /// A line of `answer`, and its value.
    Answer(&'a Answer, Arc<Value>),
    /// A line of `plot`, and its numbers.
    Plot(&'a Plot, Plotted),
    /// A table, and for each row the line that leaves it out.
    Data(&'a Data, Vec<Option<usize>>),
    /// What data vary over.
    Varied(&'a Varied),
    /// What may be other than in the worksheet.
    MayChange(MayChange),
}

impl<'a> Walk<'a> {
    /// Evaluates a statement that is sound.
    pub(in crate::evaluate) fn sound(
        &mut self,
        statement: &'a Statement,
        kind: &'a Kind,
        found: &Type,
    ) -> Result<Outcome<'a>, Lack> {
        Ok(match kind {
            Kind::Given { symbol, value } => {
                self.number_inputs(value);
                let result = self.define(statement, std::slice::from_ref(value), found)?;
                Outcome::Given {
                    symbol: *symbol,
                    value,
                    result,
                }
            }
            Kind::Required(required) => Outcome::Required(required),
            Kind::Equation { members, by } => Outcome::Equation(members, by.as_deref()),
            Kind::Therefore { members, by } => Outcome::Therefore(members, by.as_deref()),
            Kind::Solved(solved) => Outcome::Solved(solved),
            Kind::Component(component) => Outcome::Component(component),
            Kind::Balance(balance) => Outcome::Balance(balance),
            Kind::Sketch(sketch) | Kind::Found(sketch) => Outcome::Sketch(sketch),
            Kind::Shear(cut) => Outcome::Shear(cut),
            Kind::Dimensions { symbols } => Outcome::Dimensions(symbols),
            Kind::Root(root) => self.root(statement, root, found)?,
            Kind::System(system) => self.system(statement, system)?,
            Kind::Trend(trend) => self.trend(statement, trend)?,
            Kind::Limit(limit) => self.limit(statement, limit)?,
            Kind::Sensitivity { subject, givens } => self.sensitivity(subject, givens)?,
            Kind::Budget { subject, in_full } => {
                let value = Arc::new(self.expr(subject, &[])?);
                if value.uncertainty(0, &self.results.sources).is_none() {
                    return Err(self.refuse_certain(subject));
                }
                Outcome::Budget {
                    subject,
                    in_full: *in_full,
                    value,
                }
            }
            Kind::MonteCarlo(line) => self.monte_carlo(statement, line)?,
            Kind::Comparison(comparison) => self.comparison(statement, comparison)?,
            Kind::Correlation { names, coefficient } => {
                self.correlation(statement, *names, coefficient)?
            }
            Kind::Fit(fit) => self.fit(statement, fit)?,
            Kind::OfBlock => Outcome::OfBlock,
            Kind::Scatter(scatter) => {
                let value = self.further_reading(statement, scatter)?;
                Outcome::Work(&scatter.work, &[], value)
            }
            Kind::Function { function, body } => {
                self.number_inputs(body);
                if matches!(body.kind, ExprKind::ReadOff(_)) {
                    self.tabulated(body)?;
                }
                Outcome::Function(*function, body)
            }
            Kind::Taken(taken) => {
                self.take(taken)?;
                match &taken.what {
                    TakenAs::Quantity(_, value) => {
                        self.number_inputs(value);
                        let value = self.define(statement, std::slice::from_ref(value), found)?;
                        Outcome::Taken(taken, Some(value))
                    }
                    TakenAs::Function(_, body) => {
                        if matches!(body.kind, ExprKind::ReadOff(_)) {
                            self.tabulated(body)?;
                        }
                        Outcome::Taken(taken, None)
                    }
                }
            }
            Kind::Work(work) => {
                let (value, members) = self.work(statement, work, found)?;
                Outcome::Work(work, members, value)
            }
            Kind::Check(check) => self.check(statement, check)?,
            Kind::Plot(plot) => Outcome::Plot(plot, self.plot(plot)?),
            Kind::Data(data) => self.data(data)?,
            Kind::Varied(varied) => Outcome::Varied(varied),
            Kind::MayChange(change) => Outcome::MayChange(*change),
            Kind::Answer(answer) => {
                let value = self.expr(&answer.expr, &answer.conditions)?;
                // What a line above says of the same result is not said again.
                let written = answer.expr.span.of(self.text);
                let mut said = self.diagnostics.iter();
                if !said.any(|it| it.code == Code::U04 && it.span.of(self.text) == written) {
                    let (asked, of) = ((&answer.expr, &*answer.conditions), (&value, found));
                    self.second_order_of(statement, asked, &answer.expr, of);
                }
                Outcome::Answer(answer, Arc::new(value))
            }
        })
    }

    /// The value of an expression that is one number.
    pub(super) fn number(&mut self, expr: &Expr) -> Result<f64, Lack> {
        self.number_inputs(expr);
        let program = self.compile_compared(expr);
        self.needs(std::slice::from_ref(&program), &[])?;
        let value = self.run(&program)?;
        if value.shape == Shape::One {
            return Ok(value.at(0));
        }
        let message = format!(
            "`{}` has {} entries, where one number is needed",
            expr.span.of(self.text),
            value.rows.len()
        );
        self.diagnostics.push(
            Diagnostic::error(Code::E09, expr.span, message)
                .with_help("one number, which serves all rows"),
        );
        Err(Lack::Refused)
    }

    /// A value of a symbol for a message, in an automatic unit.
    pub(in crate::evaluate) fn shown_as(&self, symbol: SymbolId, si: f64) -> String {
        let found = self.checked.symbols.get(symbol);
        let dimension = found
            .and_then(|found| found.form.dimension())
            .unwrap_or_default();
        let reading = found.map_or(Reading::Plain, |found| found.reading);
        let counts = found.map_or(Counts::NOTHING, |found| found.counts);
        let amount = Amount {
            dimension,
            is_energy: found.is_some_and(|found| found.energy == Energy::Held),
            si,
            figures: 5,
        };
        let unit = quantity::automatic(amount, Family::Si, &[]);
        let number = quantity::to_figures(convert::in_unit(si, reading, counts, &unit), 5).text();
        format!("{number} {}", unit.text()).trim_end().to_owned()
    }

    /// Nothing that a result comes from is uncertain.
    fn refuse_certain(&mut self, subject: &Expr) -> Lack {
        let written = subject.span.of(self.text);
        self.diagnostics.push(
            Diagnostic::error(
                Code::U06,
                subject.span,
                format!("nothing that `{written}` comes from is uncertain"),
            )
            .with_help("`± …` after the data in `given`"),
        );
        Lack::Refused
    }

    pub(super) fn report_check(&mut self, place: Span, instead: String) {
        let text = place.of(self.text);
        self.fails(
            Diagnostic::error(
                Code::C01,
                place,
                format!("the check `{text}` does not hold: {instead}"),
            )
            .with_help("the data or the formula put right, or the check"),
        );
    }

    /// Says that a check does not hold. What has to hold in other versions need not hold here.
    pub(super) fn fails(&mut self, found: Diagnostic) {
        if !self.line.is_some_and(|line| line.is_of_versions) {
            self.diagnostics.push(found);
        }
    }

    pub(super) fn report_not_one(&mut self, place: Span, symbol: SymbolId) {
        let key = &self.resolved.symbols.symbol(symbol).key;
        let message = format!("`{key}` is not one number, so nothing goes with it alone");
        self.report_unclear(place, message, "a given with one number");
    }

    pub(super) fn report_unclear(&mut self, place: Span, message: String, help: &str) {
        self.diagnostics
            .push(Diagnostic::error(Code::C05, place, message).with_help(help));
    }
}
