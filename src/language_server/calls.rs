//! The functions of the language and of the author, and the call that a place is in.
//!
//! In goes the text before a place, out comes the innermost call that is open there, and how
//! functions are called and what they give.

use crate::resolve::{FunctionId, Symbols};
use crate::syntax::tokens::{Token, TokenKind, tokens};

/// How a function of the language is called.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Form {
    /// Its name.
    pub name: &'static str,
    /// Its arguments.
    pub arguments: &'static [&'static str],
    /// Whether the last of them may be written several times.
    pub repeats: bool,
    /// What it gives.
    pub gives: &'static str,
}

const fn one(name: &'static str, argument: &'static [&'static str], gives: &'static str) -> Form {
    Form {
        name,
        arguments: argument,
        repeats: false,
        gives,
    }
}

const fn many(name: &'static str, argument: &'static [&'static str], gives: &'static str) -> Form {
    Form {
        repeats: true,
        ..one(name, argument, gives)
    }
}

/// Every function of the language, and the words that are written like one.
pub(super) const FORMS: &[Form] = &[
    one("abs", &["x"], "the magnitude of x"),
    one(
        "absolute",
        &["pressure"],
        "the absolute pressure, by `p_atm`",
    ),
    one("acos", &["x"], "the angle whose cosine is x"),
    one("asin", &["x"], "the angle whose sine is x"),
    one("atan", &["x"], "the angle whose tangent is x"),
    one(
        "atan2",
        &["y", "x"],
        "the angle of y over x, with its quadrant",
    ),
    many(
        "cases",
        &["value for condition", "value otherwise"],
        "the value of the first condition that holds",
    ),
    one("cbrt", &["x"], "the cube root of x"),
    one("ceil", &["x"], "the next whole number above x"),
    one("constant", &["published name"], "a constant of CODATA 2022"),
    one("cos", &["angle"], "the cosine of an angle"),
    one("cosh", &["x"], "the hyperbolic cosine of x"),
    one("cross", &["a", "b"], "the vector product of a and b"),
    one(
        "direction",
        &["vector"],
        "the angle of a vector from the x axis",
    ),
    one("dot", &["a", "b"], "the scalar product of a and b"),
    one("exp", &["x"], "e to the power x"),
    one("floor", &["x"], "the next whole number below x"),
    one(
        "gauge",
        &["pressure"],
        "the pressure from the atmosphere, by `p_atm`",
    ),
    one("ln", &["x"], "the natural logarithm of x"),
    one("log10", &["x"], "the logarithm of x to base 10"),
    one("log2", &["x"], "the logarithm of x to base 2"),
    many(
        "max",
        &["x", "…"],
        "the greatest of its arguments, or of a list",
    ),
    many(
        "mean",
        &["x", "…"],
        "the mean of its arguments, or of a list",
    ),
    many(
        "min",
        &["x", "…"],
        "the least of its arguments, or of a list",
    ),
    one("round", &["x"], "the nearest whole number"),
    one("sign", &["x"], "-1, 0 or 1"),
    one("sin", &["angle"], "the sine of an angle"),
    one("sinh", &["x"], "the hyperbolic sine of x"),
    one("sqrt", &["x"], "the square root of x"),
    many("sum", &["list"], "the sum of a list"),
    one("tan", &["angle"], "the tangent of an angle"),
    one("tanh", &["x"], "the hyperbolic tangent of x"),
];

impl Form {
    /// The form with this name.
    pub fn named(name: &str) -> Option<&'static Self> {
        FORMS.iter().find(|form| form.name == name)
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
    use crate::resolve::Function;
    use crate::syntax::FUNCTIONS;

    #[test]
    fn every_function_has_its_form() {
        for name in FUNCTIONS {
            let form = Form::named(name).unwrap_or_else(|| panic!("{name}"));
            let (least, most) = Function::named(name).unwrap().arity();
            assert!(form.arguments.len() >= least, "{name}");
            assert_eq!(form.repeats, most > 2, "{name}");
        }
    }

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
