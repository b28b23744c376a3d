//! The functions of the language and of the author, and the call that a place is in.
//!
//! In goes the text before a place, out comes the innermost call that is open there, and how
//! functions are called and what they give.

use crate::functions::Function;
use crate::resolve::{FunctionId, Symbols};
use crate::syntax::tokens::{Token, TokenKind, tokens};

/// How a function of the language is called.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Form {
    /// Its name.
    pub name: &'static str,
    /// Its arguments.
    pub arguments: Vec<&'static str>,
    /// Whether the last of them may be written several times.
    pub repeats: bool,
    /// What it gives.
    pub gives: &'static str,
}

impl Form {
    /// Every function of the language, and the words that are written like one, by name.
    pub fn all() -> Vec<Self> {
        let mut all: Vec<Self> = Function::ALL.iter().copied().map(Self::of).collect();
        all.extend([Self::cases(), Self::constant()]);
        all.sort_by_key(|form| form.name);
        all
    }

    /// The form with this name.
    pub fn named(name: &str) -> Option<Self> {
        match name {
            "cases" => Some(Self::cases()),
            "constant" => Some(Self::constant()),
            _ => Function::named(name).map(Self::of),
        }
    }

    fn of(function: Function) -> Self {
        let arguments = function.arguments().iter();
        Self {
            name: function.name(),
            arguments: arguments.map(|argument| argument.name).collect(),
            repeats: function.takes_rows(),
            gives: function.gives(),
        }
    }

    fn cases() -> Self {
        Self {
            name: "cases",
            arguments: vec!["value for condition", "value otherwise"],
            repeats: true,
            gives: "the value of the first condition that holds",
        }
    }

    fn constant() -> Self {
        Self {
            name: "constant",
            arguments: vec!["published name"],
            repeats: false,
            gives: "a constant of CODATA 2022",
        }
    }

    /// `atan2(y, x)`.
    pub fn call(&self) -> String {
        format!("{}({})", self.name, self.arguments.join(", "))
    }
}

/// `h_f(Q)`, for a function of the author.
pub(super) fn call(symbols: &Symbols, function: FunctionId) -> String {
    let function = symbols.function(function);
    format!("{}({})", function.key, function.parameters.join(", "))
}

/// A call that is open.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Open<'a> {
    /// The name before its bracket.
    pub name: &'a str,
    /// What is written after the bracket.
    pub inside: &'a str,
    /// How many arguments are complete.
    pub argument: usize,
}

/// The innermost call that is open at the end of a text.
pub(super) fn open(before: &str) -> Option<Open<'_>> {
    let mut open: Vec<Option<Open<'_>>> = Vec::new();
    let mut last = None;
    for token in tokens(before) {
        match token.kind {
            TokenKind::Open => {
                let name = last
                    .filter(|last: &Token<'_>| last.kind == TokenKind::Word && token.text == "(");
                open.push(name.map(|name| Open {
                    name: name.text,
                    inside: &before[token.end()..],
                    argument: 0,
                }));
            }
            TokenKind::Close => drop(open.pop()),
            TokenKind::Comma => {
                if let Some(Some(call)) = open.last_mut() {
                    call.argument += 1;
                }
            }
            _ => {}
        }
        last = Some(token);
    }
    open.into_iter().rev().flatten().next()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_innermost_open_call_is_found_with_its_argument() {
        let found = |text| open(text).map(|open| (open.name, open.argument));
        assert_eq!(found("a = atan2(y (1, 2), "), Some(("atan2", 1)));
        assert_eq!(found("a = max(1, sqrt(2), [1, 2"), Some(("max", 2)));
        assert_eq!(found("a = max(1, (b + sqrt"), Some(("max", 1)));
        assert_eq!(found("a = sqrt(2)"), None);
        assert_eq!(found("a = 2 (b"), None);
    }
}
