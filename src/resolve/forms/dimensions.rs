//! `show dimensions`.

use super::super::Resolver;
use super::Kind;

impl Resolver<'_> {
    /// The undeclared symbols of the equations above, in the order in which they first stand.
    pub(in crate::resolve) fn dimensions(&self) -> Kind {
        let mut symbols = Vec::new();
        for known in self
            .known
            .iter()
            .filter(|known| known.problem == self.problem)
        {
            for member in &known.members {
                member.for_each_symbol(&mut |symbol, _| {
                    if !self.symbols.symbol(symbol).declared && !symbols.contains(&symbol) {
                        symbols.push(symbol);
                    }
                });
            }
        }
        Kind::Dimensions { symbols }
    }
}
