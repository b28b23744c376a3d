//! What is refused before a statement is read at all: control characters, length, depth.
//!
//! The parser and every walk over its tree recurse, so the depth of a statement is capped here,
//! on its tokens, where a million brackets cost one pass.

use super::tokens::{Token, TokenKind, tokens};
use crate::diagnostic::{Code, Decision, Diagnostic, Fix};
use crate::text::Span;

/// The longest statement, in bytes.
pub const MAX_STATEMENT: usize = 20_000;
/// The deepest nesting of brackets, signs and powers.
pub const MAX_DEPTH: usize = 100;

/// Refuses a statement that must not reach the parser. `start` is where `body` stands.
pub(super) fn refuse(body: &str, start: usize) -> Option<Diagnostic> {
    if body.len() > MAX_STATEMENT {
        return Some(too_long(body, start));
    }
    let is_control = |letter: char| letter.is_control() && letter != '\t';
    if let Some(at) = body.find(is_control) {
        let character = body.get(at..)?.chars().next()?;
        let span = Span::new(start + at, start + at + character.len_utf8());
        return Some(control_character(span, character));
    }
    let mut depth = Depth::default();
    tokens(body)
        .find(|token| depth.step(token) > MAX_DEPTH)
        .map(|token| too_deep(token.place(start)))
}

/// How deep the tree of what was read so far goes, at most: open brackets, and on each level
/// the signs in a row and the powers of powers.
#[derive(Default)]
struct Depth {
    total: usize,
    /// What signs and powers have added on the current level.
    here: usize,
    /// The same for the levels around it.
    around: Vec<usize>,
    /// Whether the last token was an operand, and where it ended.
    after_operand: bool,
    end: usize,
}

impl Depth {
    /// The depth after another token.
    fn step(&mut self, token: &Token<'_>) -> usize {
        let mut is_operand = false;
        match token.kind {
            TokenKind::Open => self.open(),
            TokenKind::Bar if !self.after_operand => self.open(),
            TokenKind::Close | TokenKind::Bar => {
                self.close();
                is_operand = true;
            }
            TokenKind::Operator => match token.text {
                "^" => self.deeper(),
                "-" | "−" if !self.after_operand => self.deeper(),
                _ => self.level(),
            },
            TokenKind::Relation | TokenKind::Comma | TokenKind::Ask => self.level(),
            TokenKind::Label
            | TokenKind::Word
            | TokenKind::Number
            | TokenKind::Raised
            | TokenKind::UnitMark
            | TokenKind::Sign
            | TokenKind::Strange
            | TokenKind::Description
            | TokenKind::Comment => {
                if self.after_operand && self.end < token.at {
                    self.level();
                }
                is_operand = true;
            }
        }
        self.after_operand = is_operand;
        self.end = token.end();
        self.total
    }

    fn open(&mut self) {
        self.around.push(std::mem::take(&mut self.here));
        self.total += 1;
    }

    fn close(&mut self) {
        self.level();
        if let Some(outer) = self.around.pop() {
            self.here = outer;
            self.total -= 1;
        }
    }

    fn deeper(&mut self) {
        self.here += 1;
        self.total += 1;
    }

    fn level(&mut self) {
        self.total -= self.here;
        self.here = 0;
    }
}

fn too_long(body: &str, start: usize) -> Diagnostic {
    Diagnostic::error(
        Code::S10,
        Span::new(start, start + body.len()),
        format!(
            "this statement is {} bytes long; the limit is {MAX_STATEMENT}",
            body.len()
        ),
    )
    .with_help("name parts of it in statements of their own")
}

fn too_deep(span: Span) -> Diagnostic {
    Diagnostic::error(
        Code::S09,
        span,
        format!("brackets, signs and powers are nested more than {MAX_DEPTH} deep here"),
    )
    .with_help("name an inner part in a statement of its own, and use its name here")
}

fn control_character(span: Span, character: char) -> Diagnostic {
    Diagnostic::error(
        Code::T03,
        span,
        format!(
            "a statement cannot hold the control character U+{:04X}",
            u32::from(character)
        ),
    )
    .with_help("delete the character; it may have come with copied text")
    .with_fixes([Fix::new(Decision::Choose, "delete the character", span, "")])
}

#[cfg(test)]
mod tests {
    use super::*;

    fn code(body: &str) -> Option<(Code, u32)> {
        refuse(body, 7).map(|found| (found.code, found.span.start))
    }

    #[test]
    fn depth_is_capped_where_it_is_crossed() {
        let deep = "(".repeat(10_000);
        assert_eq!(code(&deep), Some((Code::S09, 107)));
        assert_eq!(
            code(&format!("x{}", "^x".repeat(101))),
            Some((Code::S09, 208))
        );
        assert_eq!(
            code(&format!("{}x", "-".repeat(101))),
            Some((Code::S09, 107))
        );
        assert_eq!(
            code(&format!("{}x", "− ".repeat(101))),
            Some((Code::S09, 507 - 100))
        );
        let both = format!("{}{}", "(x^(".repeat(30), "-".repeat(20));
        assert_eq!(code(&both).map(|found| found.0), Some(Code::S09));
    }

    #[test]
    fn length_is_not_depth() {
        assert_eq!(code(&"x^2 - ".repeat(1000)), None);
        assert_eq!(code(&"x^2 y^3 ".repeat(1000)), None);
        assert_eq!(code(&"(a)-".repeat(1000)), None);
        assert_eq!(
            code(&format!("{}x{}", "(".repeat(100), ")".repeat(100))),
            None
        );
        assert_eq!(code(&")".repeat(1000)), None);
    }

    #[test]
    fn long_statements_and_control_characters_are_refused() {
        assert_eq!(code(&"x".repeat(MAX_STATEMENT + 1)), Some((Code::S10, 7)));
        assert_eq!(code("a\u{0}b"), Some((Code::T03, 8)));
        assert_eq!(code("a\u{85}b"), Some((Code::T03, 8)));
        assert_eq!(code("a\tb"), None);
    }
}
