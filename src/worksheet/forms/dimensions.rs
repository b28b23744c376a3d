//! The dimensions of symbols that have no value of their own.

use crate::resolve::SymbolId;
use crate::worksheet::build::Builder;
use crate::worksheet::model::Body;

impl Builder<'_> {
    pub(super) fn dimensions(&self, symbols: &[SymbolId]) -> Body {
        let dimension = |symbol| self.checked.symbols.get(symbol)?.form.dimension();
        let symbols = symbols.iter();
        Body::Dimensions(symbols.map(|symbol| (*symbol, dimension(symbol))).collect())
    }
}
