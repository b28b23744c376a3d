//! How much each given matters for a result.

use std::sync::Arc;

use super::Line;
use crate::evaluate::{Influence, Value};
use crate::resolve::statement::Ask;
use crate::resolve::{Expr, SymbolId};
use crate::worksheet::build::Builder;
use crate::worksheet::model::{Body, Sensitivity, SensitivityRow};

impl Builder<'_> {
    pub(super) fn sensitivity(
        &self,
        line: Line<'_>,
        subject: &Expr,
        givens: &[SymbolId],
        value: &Arc<Value>,
        influences: &[Influence],
    ) -> Body {
        let asked = self.asked(line.problem, subject, &Ask::default(), value, line.found);
        let unit = &asked.unit;
        let row = |influence: &Influence| {
            let given = *givens.get(influence.given)?;
            Some(SensitivityRow {
                given,
                shown: Arc::clone(self.tables.shown.get(given)?),
                derivative: self.derivative(line, Some(unit), &influence.trend.derivative, given),
                change: influence.change(),
            })
        };
        let rows = influences.iter().filter_map(row).collect();
        Body::Sensitivity(Box::new(Sensitivity {
            subject: subject.clone(),
            rows,
            shown: asked,
        }))
    }
}
