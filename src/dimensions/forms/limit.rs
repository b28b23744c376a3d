//! What a result tends to.

use crate::diagnostic::{Code, Diagnostic};
use crate::dimensions::infer::{self, Inference};
use crate::dimensions::{Type, describe};
use crate::resolve::statement::{End, Limit};
use crate::resolve::{Expr, ExprKind};

impl Inference<'_> {
    pub(super) fn limit(&mut self, limit: &Limit) -> Option<Type> {
        let found = self.infer(&limit.subject)?;
        self.number(&limit.subject, "the subject of a limit")?;
        self.usable(&limit.subject, &found)?;
        let role = "the value of the limit";
        self.end(&limit.value, &limit.subject, &found, role)?;
        let with = self.symbol(limit.with);
        let lead = Expr {
            span: limit.subject.span,
            kind: ExprKind::Symbol(limit.with),
        };
        self.end(&limit.at, &lead, &with, "what it tends to")?;
        Some(found)
    }

    fn end(&mut self, end: &End, lead: &Expr, of: &Type, role: &str) -> Option<()> {
        let End::Value(expr) = end else {
            return Some(());
        };
        let own = self.infer(expr)?;
        if infer::is_zero(expr) || self.same(&own.form, &of.form) {
            self.comparable(&[lead, expr], &[of.clone(), own.clone()])?;
            let own = self.taken_as((lead, of), (expr, own));
            return match lead.as_symbol() {
                Some(symbol) => self.counts_as(symbol, expr, &own),
                None => (self.together(&[expr, expr], &[own, of.clone()])).map(|_| ()),
            };
        }
        let wanted = self
            .settled(&of.form)
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
