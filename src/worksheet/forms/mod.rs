//! What is printed of each form of statement: one file a form that has more
//! than a few lines, named as in the other rooms.

mod answer;
mod budget;
mod check;
mod comparison;
mod data;
mod fit;
mod given;
mod limit;
mod monte_carlo;
mod plot;
mod root;
mod sensitivity;
mod shear;
mod sketch;
mod system;
mod tabulated;
mod taken;
mod trend;
mod work;

pub(super) use data::as_list;

use super::build::Builder;
use super::model::Body;
use crate::dimensions::{Reading, Type};
use crate::evaluate::Outcome;
use crate::resolve::SymbolId;
use crate::resolve::statement::Origin;

/// A line that is printed: what its form does not say.
#[derive(Clone, Copy)]
pub(super) struct Line<'a> {
    /// The problem it belongs to.
    pub problem: usize,
    /// Where it stands.
    pub origin: Origin,
    /// The symbol whose definition it is.
    pub defines: Option<SymbolId>,
    /// The type of its value.
    pub found: &'a Type,
}

impl Builder<'_> {
    /// What is printed of a statement that was evaluated.
    pub(super) fn evaluated(&mut self, line: Line<'_>, outcome: &Outcome<'_>) -> Body {
        match outcome {
            Outcome::Given {
                symbol,
                value,
                result,
            } => self.given(line, *symbol, value, result),
            Outcome::Required(required) => {
                let wanted = (*required).clone();
                // What is asked with other data says how the name is read, where nothing else does.
                match required.conditions.is_empty() {
                    true => drop(self.tables.wanted.insert(required.symbol, wanted)),
                    false => drop(self.tables.wanted.entry(required.symbol).or_insert(wanted)),
                }
                Body::Required {
                    symbol: required.symbol,
                    unit: required.ask.unit.clone(),
                    datum: required.ask.datum.map(|datum| datum.text()),
                    positive: required.positive.as_deref().map(str::to_owned),
                    negative: required.negative.as_deref().map(str::to_owned),
                    is_shown: required.is_shown,
                    conditions: self.conditions(&required.conditions),
                }
            }
            Outcome::Equation(members, by) => Body::Equation {
                balance: self.compared_with_balance(line, *by),
                members: members.to_vec(),
                note: match line.found.reading {
                    Reading::Reckoned(datum) if datum.is_gauge() => Some("pressures read as gauge"),
                    Reading::Reckoned(_) => Some("pressures read as absolute"),
                    _ => None,
                },
            },
            Outcome::Therefore(members, by) => Body::Therefore {
                balance: self.compared_with_balance(line, *by),
                members: members.to_vec(),
                verdict: Box::new(self.proofs.verdict(line.origin)),
            },
            Outcome::Solved(solved) => Body::Solved(Box::new((*solved).clone())),
            Outcome::Component(component) => Body::Component {
                axis: component.axis,
                of: component.of,
                members: component.members.clone(),
            },
            Outcome::Balance(balance) => Body::Balance {
                words: balance.meant.words.clone(),
                of: balance.meant.sketch.number,
                members: balance.members.clone(),
            },
            Outcome::Shear(cut) => self.shear(line, cut),
            Outcome::Sketch(sketch) => self.sketch(line, sketch),
            Outcome::Dimensions(symbols) => {
                let dimension = |symbol: &_| self.checked.symbols.get(*symbol)?.form.dimension();
                let symbols = symbols.iter();
                Body::Dimensions(symbols.map(|symbol| (*symbol, dimension(symbol))).collect())
            }
            Outcome::Root(root, value, convergence) => self.root(line, root, value, *convergence),
            Outcome::System(system, values, convergence) => {
                self.system(line, system, values, *convergence)
            }
            Outcome::Trend(trend, found, holds) => self.trend(line, trend, found, *holds),
            Outcome::Limit {
                limit,
                reached,
                holds,
            } => self.limit(line, limit, reached, *holds),
            Outcome::Sensitivity {
                subject,
                givens,
                value,
                influences,
            } => self.sensitivity(line, subject, givens, value, influences),
            Outcome::Budget {
                subject,
                in_full,
                value,
            } => self.budget(line, subject, *in_full, value),
            Outcome::Trials(drawn_by, value, drawn) => self.trials(line, drawn_by, value, drawn),
            Outcome::Comparison(comparison, compared) => {
                self.comparison(line, comparison, compared)
            }
            Outcome::Correlation { names, coefficient } => Body::Correlation {
                names: *names,
                coefficient: (*coefficient).clone(),
            },
            Outcome::Fit(fit, fitted) => self.fit(line, fit, fitted),
            Outcome::OfBlock => Body::OfBlock,
            Outcome::Function(function, body) => Body::Function {
                function: *function,
                body: (*body).clone(),
                table: self.table_of(body),
                from: None,
            },
            Outcome::Taken(taken, value) => self.taken(line, taken, value.as_ref()),
            Outcome::Work(work, members, value) => self.work(line, work, members, value),
            Outcome::Check {
                check,
                values,
                row,
                holds,
            } => self.check(line, check, values, (*row, *holds)),
            Outcome::Plot(plot, numbers) => {
                Body::Plot(Box::new(self.plot(line.problem, plot, numbers)))
            }
            Outcome::Answer(answer, value) => self.answer(line, answer, value),
            Outcome::Varied(varied) => Body::Varied(Box::new((*varied).clone())),
            Outcome::MayChange(change) => Body::MayChange(*change),
            Outcome::Data(data, left_out) => self.data(data, left_out),
        }
    }
}
