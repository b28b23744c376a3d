//! An unknown.

use super::super::statement::Ask;
use super::super::{Resolver, SymbolId};
use super::Kind;
use crate::syntax;

/// An unknown.
#[derive(Debug, Clone, PartialEq)]
pub struct Required {
    /// The symbol.
    pub symbol: SymbolId,
    /// How it is asked.
    pub ask: Ask,
    /// What a positive value means.
    pub positive: Option<Box<str>>,
    /// What a negative value means.
    pub negative: Option<Box<str>>,
}

impl Resolver<'_> {
    pub(super) fn required(&mut self, required: &syntax::Required) -> Option<Kind> {
        let symbol = self.symbols.intern(self.problem, &required.name.key);
        let ask = self.ask(&required.ask)?;
        let text = |word: &Option<syntax::Word>| word.as_ref().map(|word| word.text.clone());
        Some(Kind::Required(Required {
            symbol,
            ask,
            positive: text(&required.positive),
            negative: text(&required.negative),
        }))
    }
}
