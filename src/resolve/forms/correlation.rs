//! `correlation(V, J) = -0.36`, in `given`.

use super::super::{Resolver, SymbolId};
use super::Kind;
use crate::diagnostic::{Code, Diagnostic};
use crate::syntax::{self, Chain, ExprKind};

impl Resolver<'_> {
    /// The names that a line of `given` correlates, if it is one that does.
    pub(super) fn correlates<'c>(&self, chain: &'c Chain) -> Option<[&'c syntax::Expr; 2]> {
        let [lead, _] = chain.members.as_slice() else {
            return None;
        };
        match &lead.kind {
            ExprKind::Call {
                name, arguments, ..
            } if &*name.key == "correlation" => match arguments.as_slice() {
                [one, other] => Some([one, other]),
                _ => None,
            },
            _ => None,
        }
    }

    pub(super) fn correlation(&mut self, chain: &Chain, names: [&syntax::Expr; 2]) -> Option<Kind> {
        let found = names.map(|name| self.expr(name));
        let coefficient = self.expr(chain.members.get(1)?)?;
        let mut symbols: Vec<SymbolId> = Vec::new();
        for (expr, name) in found.into_iter().zip(names) {
            match expr?.as_symbol() {
                Some(symbol) => symbols.push(symbol),
                None => {
                    let written = name.span.of(self.text);
                    self.diagnostics.push(
                        Diagnostic::error(
                            Code::U01,
                            name.span,
                            format!("`{written}` is no name that is given with an uncertainty"),
                        )
                        .with_help("`correlation(a, b) = 0.5` of two names of `given`"),
                    );
                    return None;
                }
            }
        }
        let [one, other] = symbols.as_slice() else {
            return None;
        };
        Some(Kind::Correlation {
            names: [*one, *other],
            coefficient,
        })
    }
}
