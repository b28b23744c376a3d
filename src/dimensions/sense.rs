//! Roots, systems, trends and limits: what their parts must be.

use super::infer::{self, Inference};
use super::{Form, Reading, Type, describe};
use crate::diagnostic::{Code, Diagnostic};
use crate::quantity::Dimension;
use crate::resolve::statement::{End, Limit, Root, Start, System, Trend, Way};
use crate::resolve::{Expr, SymbolId};

impl<'a> Inference<'a> {
    pub(super) fn root_of(&mut self, root: &'a Root) -> Option<Type> {
        self.members(&root.sides)?;
        let starts: Vec<&Expr> = match &root.start {
            Start::Anywhere => Vec::new(),
            Start::Near(value) => vec![value],
            Start::Between(low, high) => vec![low, high],
        };
        let found = self.unknown_of(root.symbol, &starts)?;
        self.tail(&root.lead, &found, &root.tail)?;
        Some(found)
    }

    pub(super) fn system(&mut self, system: &'a System) -> Option<Type> {
        let mut sound = true;
        for sides in &system.equations {
            sound &= self.members(sides).is_some();
        }
        for (symbol, _, start) in &system.unknowns {
            let starts: Vec<&Expr> = start.iter().collect();
            sound &= self.unknown_of(*symbol, &starts).is_some();
        }
        sound.then(|| Type::plain(Form::default()))
    }

    /// The type of an unknown: its dimension as the equations fix it, its reading as the value
    /// says near which it is sought.
    fn unknown_of(&mut self, symbol: SymbolId, starts: &[&Expr]) -> Option<Type> {
        let mut reading = Reading::Plain;
        for start in starts {
            let own = self.infer(start)?;
            let form = self.symbol(symbol).form;
            if !infer::is_zero(start) && !self.same(&form, &own.form) {
                self.report_start(start, &own.form, &form);
                return None;
            }
            if own.reading != Reading::Plain {
                reading = own.reading;
            }
        }
        let form = self.symbol(symbol).form;
        let form = self.settled(&form);
        if reading == Reading::Plain && form.dimension() == Some(Dimension::temperature()) {
            reading = Reading::EITHER;
        }
        let found = Type { form, reading };
        self.types.insert(symbol, found.clone());
        Some(found)
    }

    fn report_start(&mut self, start: &Expr, own: &Form, wanted: &Form) {
        let message = format!(
            "`{}` is {}, but what is sought is {}",
            self.written(start),
            self.what(start, own),
            self.settled(wanted)
                .dimension()
                .map_or_else(|| "something else".to_owned(), describe::dimension),
        );
        self.diagnostics.push(
            Diagnostic::error(Code::D03, start.span, message)
                .with_help("a value with a unit of what is sought"),
        );
    }

    pub(super) fn trend(&mut self, trend: &Trend) -> Option<Type> {
        let found = self.infer(&trend.subject)?;
        self.number(&trend.subject, "the subject of a trend")?;
        if let Way::Power(exponent) = &trend.way {
            let own = self.infer(exponent)?;
            if !self.same(&own.form, &Form::default()) {
                self.plain_wanted(exponent, &own.form, "the exponent");
                return None;
            }
        }
        if let Some(within) = &trend.within {
            let own = self.infer(within)?;
            if !self.same(&own.form, &Form::default()) {
                self.plain_wanted(within, &own.form, "the tolerance of an exponent");
                return None;
            }
        }
        Some(found)
    }

    fn plain_wanted(&mut self, expr: &Expr, form: &Form, role: &str) {
        let message = format!(
            "`{}` is {}, but {role} is a plain number",
            self.written(expr),
            self.what(expr, form)
        );
        self.diagnostics.push(
            Diagnostic::error(Code::D03, expr.span, message)
                .with_help("a plain number, or a tolerance such as `within 2 %`"),
        );
    }

    pub(super) fn limit(&mut self, limit: &Limit) -> Option<Type> {
        let found = self.infer(&limit.subject)?;
        self.number(&limit.subject, "the subject of a limit")?;
        self.end(&limit.value, &found.form, "the value of the limit")?;
        let with = self.symbol(limit.with);
        self.end(&limit.at, &with.form, "what it tends to")?;
        Some(found)
    }

    fn end(&mut self, end: &End, form: &Form, role: &str) -> Option<()> {
        let End::Value(expr) = end else {
            return Some(());
        };
        let own = self.infer(expr)?;
        if infer::is_zero(expr) || self.same(&own.form, form) {
            return Some(());
        }
        let wanted = self
            .settled(form)
            .dimension()
            .map_or_else(|| "something else".to_owned(), describe::dimension);
        let message = format!(
            "`{}` is {}, but {role} is {wanted}",
            self.written(expr),
            self.what(expr, &own.form)
        );
        self.diagnostics.push(
            Diagnostic::error(Code::D03, expr.span, message)
                .with_help("a value with a unit of that dimension, 0 or `inf`"),
        );
        None
    }
}
