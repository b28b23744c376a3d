//! A table as a function: which table it is, and what the curve between its rows leaves out.

use std::sync::Arc;

use crate::dimensions::Type;
use crate::evaluate::Value;
use crate::resolve::statement::{Ask, Origin};
use crate::resolve::{Expr, ExprKind, Kind};
use crate::syntax::Precision;
use crate::text::Span;
use crate::worksheet::build::Builder;
use crate::worksheet::model::Shown;

impl Builder<'_> {
    /// The number of the table whose rows a function is read off.
    pub(super) fn table_of(&self, body: &Expr) -> Option<usize> {
        let ExprKind::ReadOff(table) = &body.kind else {
            return None;
        };
        let value = self.results.values.get(table.values.as_symbol()?)?;
        let label = value.of.as_ref()?.table?;
        let mut statements = self.resolved.blocks.iter().flatten();
        let data = statements
            .find(|line| matches!(&line.kind, Some(Kind::Data(data)) if data.label == label))?;
        data.label.as_ref().map(|(_, number)| *number)
    }

    /// Where a line stands.
    pub(super) fn place(&self, line: Origin) -> Span {
        let block = self.resolved.blocks.get(line.block);
        let found = block.and_then(|block| block.get(line.statement));
        found.map_or_else(Span::default, |line| line.span)
    }

    /// What the curves leave out that a line reads values off.
    pub(super) fn left_out(&self, problem: usize, line: Span) -> Option<Box<(Shown, bool)>> {
        let found = self.results.left_out.get(&line)?;
        let of = self.checked.symbols.get(found.values)?;
        let difference = Type {
            // A difference holds no datum.
            reading: of.reading.scaled(0.0),
            ..of.clone()
        };
        let ask = Ask {
            unit: self.checked.units.get(&found.values).cloned(),
            precision: Some(Precision::Figures(2)),
            ..Ask::default()
        };
        let size = Arc::new(Value::one(found.above.abs()));
        let shown = self.result(problem, &size, &difference, &ask);
        Some(Box::new((shown, found.above > 0.0)))
    }
}
