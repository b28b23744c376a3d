//! What a name means.

use super::{FunctionId, Resolver, SymbolId};
use crate::functions::Function;
use crate::text::Span;

/// What a name means.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Meaning {
    /// A quantity.
    Symbol(SymbolId),
    /// A function of the author.
    Function(FunctionId),
    /// A function of the language.
    Language(Function),
    /// A parameter of a function of the author.
    Parameter {
        /// Where the name of the function stands that is defined there.
        of: Span,
        /// Which.
        index: u8,
    },
    /// A label of an equation.
    Label {
        /// Whether the equation is one of the problem's own.
        is_own: bool,
    },
    /// A place or a section of a sketch.
    Spot {
        /// Where the label of the sketch stands.
        of: Span,
        /// Whether it is a section.
        is_section: bool,
    },
    /// A unit.
    Unit,
    /// A constant: its name between the brackets, or `pi` and `inf`.
    Constant,
    /// Nothing that the problem or the language knows.
    Undefined,
}

impl Resolver<'_> {
    /// What a name means that stands alone.
    pub(super) fn meaning(&self, key: &str) -> Meaning {
        if let Some(parameter) = self.parameter(key) {
            return parameter;
        }
        if matches!(key, "pi" | "inf") {
            return Meaning::Constant;
        }
        let symbol = || self.symbols.find(self.problem, key).map(Meaning::Symbol);
        match Function::reserved(key) {
            Some(function) => Meaning::Language(function),
            None => symbol().unwrap_or_else(|| self.called(key)),
        }
    }

    /// What a name means before the bracket of its arguments.
    pub(super) fn called(&self, key: &str) -> Meaning {
        if let Some(function) = Function::reserved(key) {
            return Meaning::Language(function);
        }
        if let Some(function) = self.symbols.find_function(self.problem, key) {
            return Meaning::Function(function);
        }
        match self.symbols.find(self.problem, key) {
            Some(symbol) => Meaning::Symbol(symbol),
            None => (self.function_of_language(key)).map_or(Meaning::Undefined, Meaning::Language),
        }
    }

    fn parameter(&self, key: &str) -> Option<Meaning> {
        let index = self.parameters.iter().position(|own| **own == *key)?;
        Some(Meaning::Parameter {
            of: self.definition,
            index: index as u8,
        })
    }
}
