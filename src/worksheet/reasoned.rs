//! What is printed of lines that are proved, solved, or looked at as a whole.

use std::sync::Arc;

use super::build::Builder;
use super::model::{Body, Limit, Sensitivity, SensitivityRow, Shown, System, Trend, Work};
use crate::dimensions::{Form, Reading, Type};
use crate::evaluate::{Convergence, Influence, Outcome, Value};
use crate::quantity::Exponent;
use crate::resolve::statement::{Ask, Origin, Root};
use crate::resolve::{Expr, ExprKind, Kind, SymbolId};

impl<'a> Builder<'a> {
    /// The body of such a line; `None` for any other.
    pub(super) fn reasoned(
        &mut self,
        problem: usize,
        origin: Origin,
        kind: &'a Kind,
        outcome: &'a Outcome,
        found: &Type,
    ) -> Option<Body> {
        Some(match (kind, outcome) {
            (Kind::Therefore { members }, _) => Body::Therefore {
                members: members.clone(),
                verdict: Box::new(self.proofs.verdict(origin)),
            },
            (Kind::Solved(solved), _) => Body::Solved(solved.clone()),
            (
                Kind::Component {
                    axis, of, members, ..
                },
                _,
            ) => Body::Component {
                axis: *axis,
                of: *of,
                members: members.clone(),
            },
            (Kind::Dimensions { symbols }, _) => Body::Dimensions(
                (symbols.iter())
                    .map(|symbol| {
                        let found = self.checked.symbols.get(symbol);
                        (*symbol, found.and_then(|found| found.form.dimension()))
                    })
                    .collect(),
            ),
            (Kind::System(system), Outcome::System(values, convergence)) => {
                let unknowns = system.unknowns.iter().zip(values);
                let unknowns = unknowns
                    .map(|((symbol, ..), value)| (*symbol, self.unknown(problem, *symbol, value)))
                    .collect();
                Body::System(Box::new(System {
                    numbers: system.numbers.clone(),
                    unknowns,
                    convergence: *convergence,
                }))
            }
            (
                Kind::Trend {
                    subject,
                    way,
                    with,
                    within,
                },
                Outcome::Trend(trend, holds),
            ) => Body::Trend(Box::new(Trend {
                subject: subject.clone(),
                way: way.clone(),
                with: *with,
                within: within.clone(),
                formula: self.proofs.derivative(origin).cloned(),
                derivative: self.derivative(problem, trend.derivative, found, *with),
                exponent: trend.exponent(),
                holds: *holds,
            })),
            (
                Kind::Limit {
                    subject,
                    value,
                    with,
                    at,
                },
                Outcome::Limit { reached, holds },
            ) => Body::Limit(Box::new(Limit {
                subject: subject.clone(),
                value: value.clone(),
                with: *with,
                at: at.clone(),
                reached: self.asked(
                    problem,
                    subject,
                    &Ask::default(),
                    &Value::one(*reached),
                    found,
                ),
                holds: *holds,
            })),
            (Kind::Sensitivity { subject, givens }, Outcome::Sensitivity(value, influences)) => {
                self.sensitivity(problem, subject, givens, value, influences, found)
            }
            _ => return None,
        })
    }

    /// The value of an unknown as it is printed, from here on wherever it is asked.
    fn unknown(&mut self, problem: usize, symbol: SymbolId, value: &Value) -> Arc<Shown> {
        let lead = Expr {
            span: crate::text::Span::default(),
            kind: ExprKind::Symbol(symbol),
        };
        let found = (self.checked.symbols.get(&symbol).cloned())
            .unwrap_or_else(|| Type::plain(Form::default()));
        let ask = self.with_unit(&lead, &Ask::default());
        let shown = Arc::new(self.result(problem, value, &found, &ask));
        self.tables.shown.insert(symbol, Arc::clone(&shown));
        shown
    }

    pub(super) fn root(
        &mut self,
        problem: usize,
        root: &Root,
        result: &Value,
        convergence: Convergence,
        found: &Type,
    ) -> Body {
        let shown = self.work_shown(problem, &root.lead, &root.tail, result, found);
        let shown = Arc::new(shown);
        self.tables.shown.insert(root.symbol, Arc::clone(&shown));
        Body::Work(Box::new(Work {
            lead: root.lead.clone(),
            members: Vec::new(),
            from: Some(root.number),
            convergence: Some(convergence),
            conditions: Vec::new(),
            operands: Vec::new(),
            shown,
            claim: None,
        }))
    }

    /// A derivative in the unit of its dimension.
    fn derivative(&self, problem: usize, derivative: f64, subject: &Type, with: SymbolId) -> Shown {
        let below = (self.checked.symbols.get(&with))
            .map_or_else(Form::default, |found| found.form.clone());
        let form = subject
            .form
            .times(&below, Exponent::from_integer(-1))
            .unwrap_or_default();
        let found = Type {
            form,
            reading: Reading::Plain,
        };
        self.result(problem, &Value::one(derivative), &found, &Ask::default())
    }

    fn sensitivity(
        &self,
        problem: usize,
        subject: &Expr,
        givens: &[SymbolId],
        value: &Value,
        influences: &[Influence],
        found: &Type,
    ) -> Body {
        let rows = influences
            .iter()
            .filter_map(|influence| {
                let given = *givens.get(influence.given)?;
                Some(SensitivityRow {
                    given,
                    shown: Arc::clone(self.tables.shown.get(&given)?),
                    derivative: self.derivative(problem, influence.trend.derivative, found, given),
                    change: influence.change(),
                })
            })
            .collect();
        Body::Sensitivity(Box::new(Sensitivity {
            subject: subject.clone(),
            shown: self.asked(problem, subject, &Ask::default(), value, found),
            rows,
        }))
    }
}
