//! The blanks within the lines of a statement.
//!
//! In go the lines of a statement and the places in it that are kept, out comes each line with
//! its blanks set. One blank stands around equals signs, relations, and plus and minus between
//! terms; what the author wrote tight stays tight where that groups: around `*` and `/`, and
//! around plus and minus inside brackets. No other blank appears or vanishes but beside brackets
//! and commas.

use super::super::lines::Bare;
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

fn tokens(
    text: &str,
    code: Span,
    atoms: &[Span],
    mut depth: usize,
    mut before: Option<Kind>,
) -> Vec<Token> {
    let mut tokens = Vec::new();
    let mut at = code.start;
    while at < code.end {
        let rest = Span { start: at, ..code }.of(text);
        let blanks = rest.len() - rest.trim_start().len();
        if blanks > 0 {
            at += blanks as u32;
            continue;
        }
        let (kind, length) = match atom(atoms, at) {
            Some(end) => (Kind::Operand, (end.min(code.end) - at) as usize),
            None => plain(rest, atoms, at, before),
        };
        if kind == Kind::Close {
            depth = depth.saturating_sub(1);
        }
        let end = (at + length.max(1) as u32).min(code.end);
        tokens.push(Token {
            place: Span { start: at, end },
            kind,
            depth,
        });
        if kind == Kind::Open {
            depth += 1;
        }
        before = Some(kind);
        at = end;
    }
    tokens
}

/// The end of the atom that `at` stands in.
fn atom(atoms: &[Span], at: u32) -> Option<u32> {
    let next = atoms.partition_point(|atom| atom.start <= at);
    let atom = atoms.get(next.checked_sub(1)?)?;
    (at < atom.end).then_some(atom.end)
}

/// What begins with `rest` and is no atom, and its length.
fn plain(rest: &str, atoms: &[Span], at: u32, before: Option<Kind>) -> (Kind, usize) {
    if ["->", "<=", ">="].iter().any(|it| rest.starts_with(it)) {
        return (Kind::Relation, 2);
    }
    let Some(first) = rest.chars().next() else {
        return (Kind::Word, 1);
    };
    let kind = match first {
        '+' | '-' | '−' => sign(before),
        '*' | '/' | '·' | '×' | '⋅' => Kind::Times,
        '^' => Kind::Power,
        '=' | '<' | '>' | '≤' | '≥' | '→' => Kind::Relation,
        '(' | '[' => Kind::Open,
        ')' | ']' => Kind::Close,
        ',' => Kind::Comma,
        '|' => Kind::Bar,
        '?' => Kind::Ask,
        _ if first.is_alphanumeric() => return (Kind::Word, word(rest, atoms, at)),
        _ => Kind::Word,
    };
    (kind, first.len_utf8())
}

/// A sign after an operand stands between terms. After a bar it may be either.
fn sign(before: Option<Kind>) -> Kind {
    match before {
        Some(Kind::Operand | Kind::Close) => Kind::Sign,
        _ => Kind::Unary,
    }
}

/// The length of a word, which ends where an atom begins.
fn word(rest: &str, atoms: &[Span], at: u32) -> usize {
    let next = atoms.partition_point(|atom| atom.start <= at);
    let most = atoms
        .get(next)
        .map_or(rest.len(), |atom| (atom.start - at) as usize);
    let end = rest.find(|character: char| !character.is_alphanumeric() && character != '_');
    end.unwrap_or(rest.len()).min(most)
}
