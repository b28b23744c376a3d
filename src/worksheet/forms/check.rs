//! A comparison with the values of its sides.

use std::sync::Arc;

use super::Line;
use crate::evaluate::Value;
use crate::resolve::ExprKind;
use crate::resolve::statement::{Ask, Check};
use crate::worksheet::build::Builder;
use crate::worksheet::model::Body;
use crate::worksheet::show;

impl Builder<'_> {
    pub(super) fn check(
        &self,
        line: Line<'_>,
        check: &Check,
        values: &[Arc<Value>],
        (row, holds): (Option<usize>, bool),
    ) -> Body {
        // All sides are shown in the unit of the first that has one, so that they compare.
        let unit = check.members.iter().find_map(|member| {
            Some(
                self.tables
                    .shown
                    .get(member.inside().as_symbol()?)?
                    .unit
                    .clone(),
            )
        });
        let ask = Ask {
            unit,
            ..Ask::default()
        };
        let members = (check.members.iter())
            .zip(values)
            .map(|(member, value)| {
                let shown = match &member.kind {
                    ExprKind::Quantity(quantity) => show::literal(self.text, quantity, value),
                    ExprKind::Number(number) => show::number(member.span.of(self.text), *number),
                    _ => self.asked(line.problem, member, &ask, value, line.found),
                };
                (member.clone(), shown)
            })
            .collect();
        Body::Check {
            members,
            relations: check.relations.clone(),
            within: check.within.clone(),
            row,
            holds,
        }
    }
}
