//! A root of an equation.

use std::sync::Arc;

use super::Line;
use crate::evaluate::{Convergence, Value};
use crate::resolve::statement::Root;
use crate::worksheet::build::Builder;
use crate::worksheet::model::{Body, Work};

impl Builder<'_> {
    pub(super) fn root(
        &mut self,
        line: Line<'_>,
        root: &Root,
        result: &Arc<Value>,
        convergence: Convergence,
    ) -> Body {
        let shown = Arc::new(self.at_the_end(line, &root.lead, &root.tail, result));
        self.tables.shown.insert(root.symbol, Arc::clone(&shown));
        Body::Work(Box::new(Work {
            lead: root.lead.clone(),
            members: Vec::new(),
            origin: root.origins.first().copied(),
            from: Some(root.number),
            convergence: Some(convergence),
            conditions: Vec::new(),
            reads: None,
            put_in: None,
            rows: result.of.clone().filter(|of| of.table.is_some()),
            shown,
            claim: None,
            left_out: self.left_out(line.problem, self.place(line.origin)),
            scatter: self.scatter_words(line),
        }))
    }
}
