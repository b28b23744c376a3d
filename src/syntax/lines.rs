//! Source lines to statements: comments, descriptions, continuation lines and labels.
//!
//! In go the content spans of a block's lines, out come [`Piece`]s, one a statement, whose text
//! has the same byte offsets as the worksheet. What a statement says is left to `statement`.

use super::Word;
use super::tokens::{self, Token, TokenKind, tokens};
use crate::diagnostic::{Code, Decision, Diagnostic, Fix};
use crate::text::Span;
use std::borrow::Cow;

/// One statement with what stands around it.
pub(super) struct Piece<'s> {
    /// Where the statement stands, label included.
    pub span: Span,
    /// Its label.
    pub label: Option<Word>,
    /// Its text after the label; byte `i` stands at `start + i` in the worksheet. Where a
    /// statement goes on over lines, what stands between them is blanked out, and so are tabs.
    pub body: Cow<'s, str>,
    /// Where the body starts.
    pub start: usize,
    /// Its description.
    pub description: Option<Span>,
}

/// A source line without comment and description.
pub(super) struct Bare {
    /// The whole line.
    pub line: Span,
    /// Without surrounding blanks; may be empty.
    pub code: Span,
    indent: usize,
    pub description: Option<Span>,
}

/// Splits a block into statements.
pub(super) fn statements<'s>(
    text: &'s str,
    lines: &[Span],
    diagnostics: &mut Vec<Diagnostic>,
) -> Vec<Piece<'s>> {
    let mut pieces = Vec::with_capacity(lines.len());
    grouped(text, lines, |parts| match parts {
        [only] if only.code.is_empty() => {
            diagnostics.extend(only.description.map(|description| {
                stray_description(description).with_fixes(comment(text, description))
            }));
        }
        parts => pieces.push(piece(text, parts, diagnostics)),
    });
    pieces
}

/// Hands the lines of each statement to `take`, in order; a line without a statement comes alone.
pub(super) fn grouped(text: &str, lines: &[Span], mut take: impl FnMut(&[Bare])) {
    let mut bare = lines.iter().map(|line| strip(text, *line)).peekable();
    let mut parts = Vec::new();
    while let Some(first) = bare.next() {
        let indent = first.indent;
        let mut open = 0;
        parts.clear();
        parts.push(first);
        while let Some(last) = parts.last().filter(|last| !last.code.is_empty()) {
            let code = last.code.of(text);
            open += bracket_balance(code);
            let goes_on = bare
                .peek()
                .is_some_and(|next| continues(code, next, next.code.of(text), indent, open));
            match bare.next_if(|_| goes_on) {
                Some(next) => parts.push(next),
                None => break,
            }
        }
        take(&parts);
    }
}

/// Whether `next`, which says `after`, belongs to the statement that the line `before` stands in.
fn continues(before: &str, next: &Bare, after: &str, indent: usize, open: isize) -> bool {
    let Some(first) = tokens(after).next() else {
        return false;
    };
    // An unclosed bracket must not swallow the statements below: they have an `=` inside it.
    if open > 0 && equals_inside(after, open) {
        return false;
    }
    let is_joint =
        |token: Token<'_>| matches!(token.kind, TokenKind::Operator | TokenKind::Relation);
    open > 0
        || tokens(before).last().is_some_and(is_joint)
        || match first.text {
            "-" | "−" | "+" => next.indent > indent,
            _ => is_joint(first),
        }
}

/// How many more brackets open than close.
fn bracket_balance(code: &str) -> isize {
    let step = |token: Token<'_>| match token.kind {
        TokenKind::Open => 1,
        TokenKind::Close => -1,
        _ => 0,
    };
    tokens(code).map(step).sum()
}

/// Whether an equals sign stands in `code` before the `open` brackets are closed.
fn equals_inside(code: &str, open: isize) -> bool {
    let mut depth = open;
    for token in tokens(code) {
        match token.kind {
            TokenKind::Open => depth += 1,
            TokenKind::Close => depth -= 1,
            TokenKind::Relation if token.text == "=" => return true,
            _ => {}
        }
        if depth <= 0 {
            return false;
        }
    }
    false
}

/// Takes comment and description off a line.
fn strip(text: &str, line: Span) -> Bare {
    let content = line.of(text);
    let start = line.start as usize;
    let code_end = tokens::tail(content).unwrap_or(content.len());
    let mark = content.get(code_end..).and_then(tokens::tail_mark);
    let description = mark.filter(|mark| *mark != "#");
    let description = description
        .map(|mark| trimmed(content, code_end + mark.len(), content.len(), start))
        .filter(|span| !span.is_empty());
    let indent = content
        .bytes()
        .take_while(|byte| matches!(byte, b' ' | b'\t'))
        .count();
    Bare {
        line,
        code: trimmed(content, 0, code_end, start),
        indent,
        description,
    }
}

fn trimmed(content: &str, from: usize, to: usize, start: usize) -> Span {
    let part = content.get(from..to).unwrap_or("");
    let left = part.len() - part.trim_start().len();
    let inner = part.trim();
    Span::new(start + from + left, start + from + left + inner.len())
}

pub(super) fn piece<'s>(
    text: &'s str,
    parts: &[Bare],
    diagnostics: &mut Vec<Diagnostic>,
) -> Piece<'s> {
    let span = parts
        .iter()
        .map(|part| part.code)
        .reduce(Span::cover)
        .unwrap_or_default();
    let mut descriptions = parts.iter().filter_map(|part| part.description);
    let description = descriptions.next();
    if let Some(second) = descriptions.next() {
        diagnostics.push(second_description(second).with_fixes(comment(text, second)));
    }
    let whole = match parts {
        [only] if !only.code.of(text).contains('\t') => Cow::Borrowed(only.code.of(text)),
        _ => Cow::Owned(blanked(text, span, parts)),
    };
    let (label, label_length) = label(&whole, span.start as usize);
    let body = match whole {
        Cow::Borrowed(whole) => Cow::Borrowed(whole.get(label_length..).unwrap_or("")),
        Cow::Owned(whole) => Cow::Owned(whole.get(label_length..).unwrap_or("").to_owned()),
    };
    Piece {
        span,
        label,
        body,
        start: span.start as usize + label_length,
        description,
    }
}

/// The text of `span` with all that is in none of `parts` replaced by blanks, byte for byte.
fn blanked(text: &str, span: Span, parts: &[Bare]) -> String {
    let mut whole = String::with_capacity(span.len());
    for part in parts {
        let at = (part.code.start - span.start) as usize;
        whole.extend(std::iter::repeat_n(' ', at.saturating_sub(whole.len())));
        whole.push_str(part.code.of(text));
    }
    if whole.contains('\t') {
        whole = whole.replace('\t', " ");
    }
    whole
}

/// `label: ` in front of a statement, and the length up to the statement.
fn label(body: &str, start: usize) -> (Option<Word>, usize) {
    let Some(label) = tokens::label(body) else {
        return (None, 0);
    };
    let word = Word {
        span: Span::new(start, start + label.len()),
        text: label.into(),
    };
    let after = body.get(label.len() + 1..).unwrap_or("");
    (Some(word), body.len() - after.trim_start().len())
}

fn stray_description(span: Span) -> Diagnostic {
    Diagnostic::error(Code::S01, span, "this description stands without a statement")
        .with_help("write it after a statement, as in `D_1 = 600 mm -- inside diameter`, or begin the line with `# ` to make it a comment")
}

/// A description made a comment.
fn comment(text: &str, description: Span) -> Option<Fix> {
    let before = text.get(..description.start as usize)?;
    let before = before.trim_end_matches([' ', '\t']);
    let mark = ["--", "—"].iter().find(|mark| before.ends_with(*mark))?;
    let place = Span::new(before.len() - mark.len(), before.len());
    let title = "make it a comment with `#`";
    Some(Fix::new(Decision::Choose, title, place, "#"))
}

fn second_description(span: Span) -> Diagnostic {
    Diagnostic::error(Code::S01, span, "this statement already has a description")
        .with_help("keep one description, at the end of the statement")
}

#[cfg(test)]
mod tests {
    use super::*;

    fn spans(text: &str) -> Vec<Span> {
        let mut start = 0;
        text.split('\n')
            .map(|line| {
                let span = Span::new(start, start + line.len());
                start += line.len() + 1;
                span
            })
            .collect()
    }

    fn check(text: &str, expected: &[(&str, Option<&str>)]) {
        let mut diagnostics = Vec::new();
        let pieces = statements(text, &spans(text), &mut diagnostics);
        let found: Vec<_> = pieces
            .iter()
            .map(|piece| {
                let words: Vec<_> = piece.body.split_whitespace().collect();
                (words.join(" "), piece.description.map(|span| span.of(text)))
            })
            .collect();
        let expected: Vec<_> = expected
            .iter()
            .map(|(body, description)| ((*body).to_owned(), *description))
            .collect();
        assert_eq!(found, expected, "{text}");
        assert_eq!(diagnostics, [], "{text}");
    }

    #[test]
    fn comments_and_descriptions_end_a_statement() {
        check("a = 1 # note", &[("a = 1", None)]);
        check("# note\n\na = 1", &[("a = 1", None)]);
        check(
            "a = 1 -- of #4 bar # 2",
            &[("a = 1", Some("of #4 bar # 2"))],
        );
        check("a = 1 — width", &[("a = 1", Some("width"))]);
        check("a = b--c", &[("a = b--c", None)]);
        check("a = 1 # x -- y", &[("a = 1", None)]);
    }

    #[test]
    fn a_statement_goes_on() {
        check("a = (b +\n c) = ?", &[("a = (b + c) = ?", None)]);
        check("a = (b\nc)", &[("a = (b c)", None)]);
        check("a = b *\nc", &[("a = b * c", None)]);
        check("a =\nc", &[("a = c", None)]);
        check("a = b # one\n  = c -- two", &[("a = b = c", Some("two"))]);
        check("a = b\n* c", &[("a = b * c", None)]);
    }

    #[test]
    fn a_leading_sign_goes_on_only_when_indented() {
        check("a = b\n  - c", &[("a = b - c", None)]);
        check("a < b\n-c < d", &[("a < b", None), ("-c < d", None)]);
    }

    #[test]
    fn an_open_bracket_stops_before_the_next_statement() {
        check("a = (b\nc = 2", &[("a = (b", None), ("c = 2", None)]);
    }

    #[test]
    fn offsets_are_those_of_the_worksheet() {
        let text = "balance: a = b # é\n   + c";
        let pieces = statements(text, &spans(text), &mut Vec::new());
        assert_eq!(pieces.len(), 1);
        let piece = &pieces[0];
        let at = piece.start + piece.body.find('c').unwrap();
        assert_eq!(&text[at..], "c");
        assert_eq!(
            piece.label.as_ref().map(|word| &*word.text),
            Some("balance")
        );
        assert_eq!(piece.span, Span::new(0, text.len()));
    }

    #[test]
    fn a_description_alone_is_refused() {
        let mut diagnostics = Vec::new();
        assert!(statements("-- lonely", &spans("-- lonely"), &mut diagnostics).is_empty());
        assert_eq!(diagnostics.len(), 1);
        statements(
            "a = (b -- x\n) -- y",
            &spans("a = (b -- x\n) -- y"),
            &mut diagnostics,
        );
        assert_eq!(diagnostics.len(), 2);
    }
}
