//! A datum: its name and its value.

use super::super::{Resolver, SymbolId, celsius};
use super::Kind;
use crate::diagnostic::{Code, Diagnostic};
use crate::quantity;
use crate::syntax::{self, Chain, ExprKind};
use crate::text::Span;

impl Resolver<'_> {
    pub(super) fn given_line(
        &mut self,
        chain: &Chain,
        defines: &mut Option<SymbolId>,
    ) -> Option<Kind> {
        let [lead, value] = chain.members.as_slice() else {
            return self.report_given_form(chain);
        };
        let ExprKind::Name(name) = &lead.kind else {
            return self.report_given_form(chain);
        };
        if self.report_number_missing(lead.span, value) {
            self.define(name, defines)?;
            return None;
        }
        if let ExprKind::Quantity(literal) = &value.kind {
            self.diagnostics.extend(celsius::warned(&name.key, literal));
        }
        let said = self.diagnostics.len();
        let value = self.expr(value);
        if value.is_none() {
            self.report_mistyped(chain, said);
        }
        let symbol = self.define(name, defines)?;
        Some(Kind::Given {
            symbol,
            value: value?,
        })
    }

    /// One word on a quantity that is written otherwise, where what was said is several things of
    /// its parts, or that its unit is not defined.
    fn report_mistyped(&mut self, chain: &Chain, said: usize) {
        let of_parts = self.diagnostics.get(said..).unwrap_or_default();
        if of_parts.len() < 2
            && !of_parts
                .iter()
                .any(|found| matches!(found.code, Code::N04 | Code::N10))
        {
            return;
        }
        let place = syntax::covered(&chain.members);
        let (line, start) = (place.of(self.text), place.start as usize);
        if let Some(meant) = syntax::mistyped_quantity(line, start, quantity::is_unit) {
            self.diagnostics.truncate(said);
            self.diagnostics.push(meant);
        }
    }

    /// `m_P = kg`: a unit whose number is not typed yet.
    fn report_number_missing(&mut self, lead: Span, value: &syntax::Expr) -> bool {
        let ExprKind::Name(name) = &value.kind else {
            return false;
        };
        let is_known = self.symbols.find(self.problem, &name.key).is_some();
        if is_known || !quantity::is_unit(name.span.of(self.text)) {
            return false;
        }
        let (lead, unit) = (lead.of(self.text), value.span.of(self.text));
        self.diagnostics.push(
            Diagnostic::error(
                Code::N04,
                value.span,
                format!("the number is missing before the unit `{unit}`"),
            )
            .with_help(format!(
                "`{lead} = … {unit}` with a number, or a line above that defines `{unit}`"
            )),
        );
        true
    }

    fn report_given_form(&mut self, chain: &Chain) -> Option<Kind> {
        let span = syntax::covered(&chain.members);
        self.diagnostics.push(
            Diagnostic::error(
                Code::S11,
                span,
                "a line of `given` is a name, one equals sign and its value",
            )
            .with_help("`name = value unit`, and formulas in `work`"),
        );
        None
    }
}
