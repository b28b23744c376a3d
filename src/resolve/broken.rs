//! The name, or the function, that a refused line was to define.

use crate::syntax::tokens::{self, Token, TokenKind};
use crate::syntax::{self, Name, Refused};
use crate::text::Span;

/// The name on the left of the first equals sign, also after `therefore`; `None` when the left
/// side is no single name.
pub fn name_to_define(text: &str, span: Span) -> Option<Name> {
    let (name, is_alone) = defined(text, span)?;
    (!is_alone).then_some(name)
}

/// The same for a line of `given`, of which perhaps no more than the name is typed yet.
pub fn datum_to_define(text: &str, span: Span) -> Option<Name> {
    defined(text, span).map(|(name, _)| name)
}

/// The same of a line of `fit`: a name that is asked, with or without its `=`.
pub fn parameter_to_define(text: &str, span: Span) -> Option<Name> {
    let mut tokens = tokens::of_line(span.of(text));
    let name = tokens
        .next()
        .filter(|first| first.kind == TokenKind::Word)?;
    let next = tokens.next();
    let is_asked = next.is_none_or(|next| {
        matches!(next.text, "=" | "?") || matches!(next.kind, TokenKind::Word | TokenKind::Number)
    });
    is_asked.then(|| name_at(&name, span))
}

/// What a line of formulas was to define: a name, or a function `h(Q) = …`.
pub fn to_define(text: &str, span: Span) -> Option<Refused> {
    let quantity = name_to_define(text, span).map(Refused::quantity);
    quantity.or_else(|| function_to_define(text, span))
}

fn function_to_define(text: &str, span: Span) -> Option<Refused> {
    let mut tokens = tokens::of_line(span.of(text)).filter(|token| token.kind != TokenKind::Label);
    let name = tokens
        .next()
        .filter(|first| first.kind == TokenKind::Word)?;
    tokens.next().filter(|open| open.text == "(")?;
    let close = tokens.find(|token| token.kind != TokenKind::Word && token.text != ",")?;
    let equals = tokens.next()?;
    (close.text == ")" && equals.text == "=").then(|| Refused {
        name: name_at(&name, span),
        is_function: true,
    })
}

/// The single name that a line begins with, and whether it stands without an equals sign.
fn defined(text: &str, span: Span) -> Option<(Name, bool)> {
    let is_word = |token: &Token<'_>| token.kind == TokenKind::Word;
    let mut tokens = tokens::of_line(span.of(text))
        .filter(|token| token.kind != TokenKind::Label && token.text != "therefore");
    let name = tokens.next().filter(is_word)?;
    let next = tokens.next();
    next.is_none_or(|next| next.text == "=").then(|| {
        let name = name_at(&name, span);
        (name, next.is_none())
    })
}

/// The name that a token of a line is.
fn name_at(token: &Token<'_>, line: Span) -> Name {
    Name {
        span: token.place(line.start as usize),
        key: syntax::canonical(token.text),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn check(line: &str, expected: Option<&str>) {
        let found = name_to_define(line, Span::new(0, line.len()));
        assert_eq!(found.as_ref().map(|name| &*name.key), expected);
        if let Some(name) = found {
            assert_eq!(&*syntax::canonical(name.span.of(line)), &*name.key);
        }
    }

    #[test]
    fn a_datum_is_known_by_its_name_alone() {
        let found = |line: &str| datum_to_define(line, Span::new(0, line.len()));
        let name = found(" m_1 ").unwrap();
        assert_eq!((&*name.key, name.span), ("m_1", Span::new(1, 4)));
        assert!(found("m_1 2").is_none() && found("12").is_none() && found("").is_none());
    }

    #[test]
    fn a_single_name_on_the_left_is_found() {
        check("  V_1 = Q/(", Some("V_1"));
        check("therefore R_x = F/2", Some("R_x"));
        check("balance: D1 = x)", Some("D_1"));
        check("a + b = c)", None);
        check("no equals sign", None);
    }
}
