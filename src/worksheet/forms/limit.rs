//! What a result tends to.

use std::sync::Arc;

use super::Line;
use crate::evaluate::Value;
use crate::resolve::statement::{self, Ask};
use crate::worksheet::build::Builder;
use crate::worksheet::model::{Body, Limit};

impl Builder<'_> {
    pub(super) fn limit(
        &self,
        line: Line<'_>,
        limit: &statement::Limit,
        reached: &Arc<Value>,
        holds: bool,
    ) -> Body {
        let ask = Ask::default();
        Body::Limit(Box::new(Limit {
            subject: limit.subject.clone(),
            value: limit.value.clone(),
            with: limit.with,
            at: limit.at.clone(),
            reached: self.asked(line.problem, &limit.subject, &ask, reached, line.found),
            holds,
        }))
    }
}
