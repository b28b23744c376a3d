//! Statements checked: one file a form, named as in the other rooms.

mod ask;
mod check;
mod comparison;
mod data;
mod fit;
mod limit;
mod plot;
mod root;
mod shear;
mod sketch;
mod solve;
mod system;
mod taken;
mod trend;
mod work;

use super::infer::Inference;
use super::{Form, Type};
use crate::resolve::{Expr, Kind, Statement};

pub use check::is_relative;

impl<'a> Inference<'a> {
    /// The type of a statement's value; `None` after a diagnostic was recorded.
    pub(in crate::dimensions) fn statement(&mut self, statement: &'a Statement) -> Option<Type> {
        if let Some((_, meant)) = statement.facts().meant {
            self.counted_by(meant)?;
        }
        match statement.kind.as_ref()? {
            Kind::Given { symbol, value } => {
                let found = self.infer(value)?;
                let found = self.as_atmosphere(*symbol, found);
                self.settle_definition(*symbol, value, found)
            }
            Kind::Required(required) => {
                let found = self.symbol(required.symbol);
                self.conditions(&required.conditions)?;
                Some(found)
            }
            Kind::Equation { members, .. } | Kind::Therefore { members, .. } => {
                self.members(members)
            }
            Kind::Balance(balance) => {
                self.counted_by(&balance.meant)?;
                self.members(&balance.members)
            }
            Kind::Sketch(sketch) => self.sketch(sketch),
            Kind::Shear(cut) => self.cut(cut),
            Kind::Component(component) => self.members(&component.members),
            Kind::Solved(solved) => self.solved(solved),
            Kind::Dimensions { .. } | Kind::Found(_) => Some(Type::plain(Form::default())),
            Kind::Root(root) => self.root_of(root),
            Kind::System(system) => self.system(system),
            Kind::Trend(trend) => self.trend(trend),
            Kind::Limit(limit) => self.limit(limit),
            Kind::Comparison(comparison) => self.comparison(comparison),
            Kind::Correlation { coefficient, .. } => {
                let found = self.infer(coefficient)?;
                self.number(coefficient, "a coefficient")?;
                self.usable(coefficient, &found)?;
                Some(found)
            }
            Kind::Sensitivity { subject, .. } | Kind::Budget { subject, .. } => {
                self.looked_at(subject)
            }
            Kind::Fit(fit) => self.fit(fit),
            Kind::Scatter(scatter) => self.scatter(scatter),
            Kind::OfBlock => Some(Type::plain(Form::default())),
            Kind::MonteCarlo(drawn) => self.looked_at(&drawn.subject),
            Kind::Function { function, body } => {
                self.bodies.insert(*function, body);
                self.infer(body)
            }
            Kind::Taken(taken) => self.taken(taken),
            Kind::Work(work) => self.work(statement, work),
            Kind::Check(check) => self.check(check),
            Kind::Plot(plot) => self.plot(plot),
            Kind::Data(data) => self.data(data),
            Kind::Varied(varied) => {
                for row in &varied.rows {
                    self.conditions(row)?;
                }
                Some(Type::plain(Form::default()))
            }
            Kind::MayChange(change) => Some(self.symbol(change.symbol)),
            Kind::Answer(answer) => {
                let found = self.infer(&answer.expr)?;
                self.conditions(&answer.conditions)?;
                let (expr, filled) = (&answer.expr, answer.filled.as_ref());
                let found = self.restated(expr, found, &answer.ask, filled)?;
                self.ask_turning(expr, expr, &found, &answer.ask)?;
                self.literal_turning(expr, expr, &found, filled)?;
                Some(found)
            }
        }
    }

    /// A result that a table is made of.
    fn looked_at(&mut self, subject: &Expr) -> Option<Type> {
        let found = self.infer(subject)?;
        self.number(subject, "the subject of a table")?;
        self.usable(subject, &found)?;
        Some(found)
    }
}
