//! Names that together satisfy equations.

use std::sync::Arc;

use super::Line;
use crate::dimensions::{Form, Type};
use crate::evaluate::{Convergence, Value};
use crate::resolve::statement::{self, Ask};
use crate::resolve::{Expr, ExprKind, SymbolId};
use crate::text::Span;
use crate::worksheet::build::Builder;
use crate::worksheet::model::{Body, Shown, System};

impl Builder<'_> {
    pub(super) fn system(
        &mut self,
        line: Line<'_>,
        system: &statement::System,
        values: &[Arc<Value>],
        convergence: Convergence,
    ) -> Body {
        let unknowns = system.unknowns.iter().zip(values);
        let unknowns = unknowns
            .map(|((symbol, ..), value)| (*symbol, self.unknown(line.problem, *symbol, value)))
            .collect();
        Body::System(Box::new(System {
            origins: system.origins.clone(),
            unknowns,
            convergence,
        }))
    }

    /// The value of an unknown as it is printed, from here on wherever it is asked.
    fn unknown(&mut self, problem: usize, symbol: SymbolId, value: &Arc<Value>) -> Arc<Shown> {
        let lead = Expr {
            span: Span::default(),
            kind: ExprKind::Symbol(symbol),
        };
        let found = (self.checked.symbols.get(symbol).cloned())
            .unwrap_or_else(|| Type::plain(Form::default()));
        let ask = self.with_unit((&lead, &found), &Ask::default(), value);
        let shown = Arc::new(self.result(problem, value, &found, &ask));
        self.tables.shown.insert(symbol, Arc::clone(&shown));
        shown
    }
}
