//! A comparison with the values of its sides.

use std::sync::Arc;

use super::Line;
use crate::evaluate::Value;
use crate::resolve::ExprKind;
use crate::resolve::statement::{Ask, Check};
use crate::syntax::Relation;
use crate::worksheet::build::Builder;
use crate::worksheet::model::{Apart, Body};
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
            apart: self.how_far_apart(check, values, row.unwrap_or(0)),
        }
    }

    /// How far values are from what they have to be less or more than, in one row.
    fn how_far_apart(&self, check: &Check, values: &[Arc<Value>], row: usize) -> Option<Apart> {
        use Relation::{Equal, Greater, GreaterOrEqual, Less, LessOrEqual};
        let pairs = values.windows(2).zip(&check.relations);
        let found = pairs.filter_map(|(pair, relation)| {
            let difference = pair[0].less(&pair[1]);
            let own = difference.uncertainty(row, &self.results.sources)?;
            let off = difference.at(row);
            let room = match relation {
                Less | LessOrEqual => -off,
                Greater | GreaterOrEqual => off,
                Equal => return None,
            };
            let is_exact = pair[0].uncertainty(row, &self.results.sources).is_none();
            let apart = Apart {
                standard: off.abs() / own.size,
                is_above: (off > 0.0) != is_exact,
                is_nearest: check.relations.len() > 1,
            };
            Some((room / own.size, apart)).filter(|(room, _)| room.is_finite())
        });
        let nearest = found.min_by(|(one, _), (other, _)| one.total_cmp(other));
        nearest.map(|(_, apart)| apart)
    }
}
