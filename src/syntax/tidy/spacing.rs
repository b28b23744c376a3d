//! The blanks within the lines of a statement.
//!
//! In go the lines of a statement and the places in it that are kept, out comes each line with
//! its blanks set. One blank stands around equals signs, relations, and plus and minus between
//! terms; what the author wrote tight stays tight where that groups: around `*` and `/`, and
//! around plus and minus inside brackets. No other blank appears or vanishes but beside brackets
//! and commas.

use super::super::lines::Bare;
use super::super::tokens::{self, TokenKind, tokens as syntax_tokens};
use crate::text::Span;

/// A line with its blanks set.
#[derive(Debug, Default)]
pub(super) struct Set {
    /// Its text, without indentation, comment and description.
    pub text: String,
    /// Where its first equals sign outside brackets stands, in characters.
    pub equals: Option<usize>,
    /// Whether it begins with a relation, or with a closing bracket.
    pub opens_with: Option<Kind>,
    /// The brackets that are open at its end: the line of the statement that each stands in, and
    /// where on that line what is inside begins; `None` where nothing follows on the line.
    pub open: Vec<(usize, Option<usize>)>,
}

/// What a part of a line is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Kind {
    /// A name, a number, a quantity: kept as it is.
    Operand,
    /// A word of the language, or anything unknown.
    Word,
    /// A minus or plus between two terms.
    Sign,
    /// A minus in front of a term, or one that may be either.
    Unary,
    Times,
    Power,
    Relation,
    Open,
    Close,
    Comma,
    Bar,
    Ask,
}

struct Token {
    place: Span,
    kind: Kind,
    /// How many brackets it stands in.
    depth: usize,
}

/// Sets the blanks of the lines of a statement; `atoms` are kept as they are.
pub(super) fn set(text: &str, parts: &[Bare], atoms: &[Span]) -> Vec<Set> {
    let mut open = Vec::new();
    let mut before = None;
    let mut sets = Vec::with_capacity(parts.len());
    for (row, part) in parts.iter().enumerate() {
        let tokens = tokens(text, part.code, atoms, open.len(), before);
        before = tokens.last().map(|token| token.kind).or(before);
        sets.push(write(text, row, &tokens, &mut open));
    }
    sets
}

fn write(text: &str, row: usize, tokens: &[Token], open: &mut Vec<(usize, Option<usize>)>) -> Set {
    let mut set = Set {
        opens_with: tokens.first().map(|token| token.kind),
        ..Set::default()
    };
    let mut column = 0;
    for (at, token) in tokens.iter().enumerate() {
        if at > 0 && has_blank(text, tokens, at) {
            set.text.push(' ');
            column += 1;
        }
        if let Some((opened, inside @ None)) = open.last_mut()
            && *opened == row
        {
            *inside = Some(column);
        }
        match token.kind {
            Kind::Open => open.push((row, None)),
            Kind::Close => drop(open.pop()),
            Kind::Relation if token.depth == 0 && token.place.of(text) == "=" => {
                set.equals = set.equals.or(Some(column));
            }
            _ => {}
        }
        let written = token.place.of(text);
        set.text.push_str(written);
        column += written.chars().count();
    }
    set.open.clone_from(open);
    set
}

/// Whether a blank stands before the token at `at`, which is not the first of its line.
fn has_blank(text: &str, tokens: &[Token], at: usize) -> bool {
    let (Some(left), Some(right)) = (
        at.checked_sub(1).and_then(|at| tokens.get(at)),
        tokens.get(at),
    ) else {
        return false;
    };
    let apart = is_apart(tokens, at);
    match (left.kind, right.kind) {
        (Kind::Open, _) | (_, Kind::Close | Kind::Comma) => false,
        // `-> -5` and `= -x`, but never `=-`.
        (Kind::Relation | Kind::Comma | Kind::Ask, _) | (_, Kind::Relation) => true,
        (Kind::Power, _) | (_, Kind::Power) => false,
        (Kind::Sign, _) => is_loose(tokens, at - 1),
        (_, Kind::Sign) => is_loose(tokens, at),
        (Kind::Times, _) => is_loose(tokens, at - 1),
        (_, Kind::Times) => is_loose(tokens, at),
        (Kind::Word, _) if is_colon(text, left) => true,
        _ => apart,
    }
}

/// Whether the author left a blank before the token at `at`.
fn is_apart(tokens: &[Token], at: usize) -> bool {
    let left = at.checked_sub(1).and_then(|at| tokens.get(at));
    match (left, tokens.get(at)) {
        (Some(left), Some(right)) => left.place.end < right.place.start,
        _ => true,
    }
}

/// Whether the operator at `at` has blanks around it: signs between terms always, what stands in
/// brackets or between factors where the author left one, or where it ends or begins a line.
fn is_loose(tokens: &[Token], at: usize) -> bool {
    let outer = tokens
        .get(at)
        .is_some_and(|token| token.kind == Kind::Sign && token.depth == 0);
    outer || at + 1 == tokens.len() || is_apart(tokens, at) || is_apart(tokens, at + 1)
}

fn is_colon(text: &str, token: &Token) -> bool {
    token.place.of(text) == ":"
}

/// The atoms of a line and the tokens between them.
fn tokens(
    text: &str,
    code: Span,
    atoms: &[Span],
    mut depth: usize,
    mut before: Option<Kind>,
) -> Vec<Token> {
    let mut tokens = Vec::new();
    let mut push = |place: Span, kind: Kind| {
        if kind == Kind::Close {
            depth = depth.saturating_sub(1);
        }
        tokens.push(Token { place, kind, depth });
        if kind == Kind::Open {
            depth += 1;
        }
    };
    let inside = |atom: &&Span| atom.start < code.end;
    let first = atoms.partition_point(|atom| atom.end <= code.start);
    let atoms = atoms.get(first..).unwrap_or_default();
    let mut at = code.start;
    for atom in atoms
        .iter()
        .take_while(inside)
        .copied()
        .chain([code.at_end()])
    {
        let between = Span {
            start: at,
            end: atom.start.max(at),
        };
        for token in syntax_tokens(between.of(text)) {
            let kind = kind(&token, before);
            push(token.place(at as usize), kind);
            before = Some(kind);
        }
        let kept = Span {
            start: between.end,
            end: atom.end.min(code.end),
        };
        if !kept.is_empty() {
            push(kept, Kind::Operand);
            before = Some(Kind::Operand);
        }
        at = kept.end;
    }
    tokens
}

/// What a token is here that is no atom.
fn kind(token: &tokens::Token<'_>, before: Option<Kind>) -> Kind {
    match token.kind {
        TokenKind::Operator => match token.text {
            "+" | "-" | "−" => sign(before),
            "^" => Kind::Power,
            _ => Kind::Times,
        },
        TokenKind::Relation => Kind::Relation,
        TokenKind::Open => Kind::Open,
        TokenKind::Close => Kind::Close,
        TokenKind::Comma => Kind::Comma,
        TokenKind::Bar => Kind::Bar,
        TokenKind::Ask => Kind::Ask,
        TokenKind::Label
        | TokenKind::Word
        | TokenKind::Number
        | TokenKind::Raised
        | TokenKind::UnitMark
        | TokenKind::Sign
        | TokenKind::Strange
        | TokenKind::Description
        | TokenKind::Comment => Kind::Word,
    }
}

/// A sign after an operand stands between terms. After a bar it may be either.
fn sign(before: Option<Kind>) -> Kind {
    match before {
        Some(Kind::Operand | Kind::Close) => Kind::Sign,
        _ => Kind::Unary,
    }
}
