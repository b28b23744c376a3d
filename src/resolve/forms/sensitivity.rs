//! `sensitivity of y`.

use super::super::{Resolver, SymbolId};
use super::Kind;
use crate::syntax;

impl Resolver<'_> {
    pub(in crate::resolve) fn sensitivity(&mut self, subject: &syntax::Expr) -> Option<Kind> {
        let subject = self.expr(subject)?;
        let mut givens: Vec<SymbolId> = self
            .given
            .iter()
            .copied()
            .filter(|symbol| {
                let of = self.symbols.symbol(*symbol).problem;
                self.may_use(*symbol) && (of == self.problem || of == 0)
            })
            .collect();
        // In the order in which they stand.
        givens.sort_by_key(|symbol| self.symbols.symbol(*symbol).defined.map(|span| span.start));
        Some(Kind::Sensitivity { subject, givens })
    }
}
