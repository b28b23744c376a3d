//! How a result goes with a given: exponents and their tolerances are plain numbers.

use crate::diagnostic::{Code, Diagnostic};
use crate::dimensions::infer::Inference;
use crate::dimensions::{Form, Type};
use crate::resolve::Expr;
use crate::resolve::statement::{Trend, Way};

impl Inference<'_> {
    pub(super) fn trend(&mut self, trend: &Trend) -> Option<Type> {
        let found = self.infer(&trend.subject)?;
        self.number(&trend.subject, "the subject of a trend")?;
        self.usable(&trend.subject, &found)?;
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
}
