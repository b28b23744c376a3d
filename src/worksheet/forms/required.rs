//! An unknown, and how it is to be answered.

use crate::resolve::statement::Required;
use crate::worksheet::build::Builder;
use crate::worksheet::model::Body;

impl Builder<'_> {
    pub(super) fn required(&mut self, required: &Required) -> Body {
        self.tables.wanted.insert(required.symbol, required.clone());
        Body::Required {
            symbol: required.symbol,
            unit: required.ask.unit.clone(),
            positive: required.positive.as_deref().map(str::to_owned),
            negative: required.negative.as_deref().map(str::to_owned),
        }
    }
}
