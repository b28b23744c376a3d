//! The error of one further reading of what was fitted.

use super::super::{Expr, Resolver, SymbolId};
use super::{Kind, Work};
use crate::diagnostic::{Code, Diagnostic};
use crate::syntax;
use crate::text::Span;

/// The error of one further reading.
#[derive(Debug, Clone, PartialEq)]
pub struct Scatter {
    /// How it is shown.
    pub work: Work,
    /// Its symbol.
    pub symbol: SymbolId,
    /// Where the left side of the fit stands.
    pub fit: Span,
    /// What was fitted.
    pub left: Expr,
}

impl Resolver<'_> {
    pub(super) fn scatter(
        &mut self,
        scatter: &syntax::Scatter,
        defines: &mut Option<SymbolId>,
    ) -> Option<Kind> {
        let symbol = self.define(&scatter.name, defines)?;
        let label = &scatter.label;
        let origin = [self.problem, 0]
            .iter()
            .find_map(|problem| self.labels.get(&(*problem, label.text.clone())))
            .map(|(_, origin)| *origin);
        let found = origin
            .and_then(|origin| self.fits.get(&origin.block))
            .map(|fit| fit.sides[0].clone());
        let Some(left) = found else {
            if origin.is_none_or(|origin| !self.refused.contains(&origin)) {
                self.diagnostics.push(
                    Diagnostic::error(
                        Code::N13,
                        label.span,
                        format!("`{}` is the label of no fit", label.text),
                    )
                    .with_help("the label of a fit above: `e_y = scatter of line = ? mV`"),
                );
            }
            return None;
        };
        let tail = self.asked(&scatter.ask, scatter.filled.as_ref())?;
        Some(Kind::Scatter(Box::new(Scatter {
            work: Work::of_name(scatter.name.span, symbol, tail),
            symbol,
            fit: left.span,
            left,
        })))
    }
}
