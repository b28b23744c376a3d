//! What each word is, for colours.
//!
//! In goes a document, out come the words, numbers and signs of its blocks and asks, each with
//! what it is. Names come from `names`, so that a unit and a quantity of one spelling differ;
//! everything else is told by its letters in `lex`, which refused lines have too.

mod lex;

use lsp_types::{
    Position, SemanticToken, SemanticTokenModifier, SemanticTokenType, SemanticTokens,
    SemanticTokensLegend, SemanticTokensParams, SemanticTokensRangeParams, SemanticTokensResult,
};

use super::documents::Document;
use super::names::{Occurrence, Role, Target};
use crate::document::{self, Hole, Piece};
use crate::syntax;
use crate::text::{BlockKind, Source, Span};

/// What a word can be; the numbers are those of the legend.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum What {
    Quantity,
    Function,
    Parameter,
    Unit,
    Number,
    Keyword,
    Operator,
    Label,
    Description,
    Comment,
}

/// The standard type of each, in the order of [`What`].
const TYPES: [SemanticTokenType; 10] = [
    SemanticTokenType::VARIABLE,
    SemanticTokenType::FUNCTION,
    SemanticTokenType::PARAMETER,
    SemanticTokenType::TYPE,
    SemanticTokenType::NUMBER,
    SemanticTokenType::KEYWORD,
    SemanticTokenType::OPERATOR,
    SemanticTokenType::PROPERTY,
    SemanticTokenType::STRING,
    SemanticTokenType::COMMENT,
];

const DEFINITION: u32 = 1;
const OF_THE_LANGUAGE: u32 = 2;
const CONSTANT: u32 = 4;

/// The modifiers, in the order of their bits.
const MODIFIERS: [SemanticTokenModifier; 3] = [
    SemanticTokenModifier::DEFINITION,
    SemanticTokenModifier::DEFAULT_LIBRARY,
    SemanticTokenModifier::READONLY,
];

/// What the numbers in the answers mean.
pub(super) fn legend() -> SemanticTokensLegend {
    SemanticTokensLegend {
        token_types: TYPES.to_vec(),
        token_modifiers: MODIFIERS.to_vec(),
    }
}

/// A word of the file, with what it is and its modifiers.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
struct Token {
    place: Span,
    what: What,
    modifiers: u32,
}

/// The words of a whole document.
pub(super) fn semantic_tokens(
    document: &Document,
    _params: &SemanticTokensParams,
) -> Option<SemanticTokensResult> {
    let tokens = tokens(document);
    Some(SemanticTokensResult::Tokens(encoded(document, &tokens)))
}

/// The words in a range.
pub(super) fn semantic_tokens_range(
    document: &Document,
    params: &SemanticTokensRangeParams,
) -> Option<SemanticTokensResult> {
    let Span { start, end } = document.file().span(params.range);
    let mut tokens = tokens(document);
    tokens.retain(|token| token.place.start < end && start < token.place.end);
    Some(SemanticTokensResult::Tokens(encoded(document, &tokens)))
}

/// The words of a document in their order, none over another.
fn tokens(document: &Document) -> Vec<Token> {
    let source = Source::new("", document.compiled_text());
    let names: Vec<Token> = document.names().all().iter().filter_map(of_name).collect();
    let mut lexer = lex::Lexer {
        text: source.text(),
        names: &names,
        found: Vec::new(),
    };
    for piece in document::parse(&source).0.pieces {
        match &piece {
            Piece::Heading { .. } | Piece::Prose { .. } => piece.for_each_open(&mut |hole| {
                if let Some(span) = ask(&source, hole) {
                    lexer.code(span);
                }
            }),
            Piece::Block {
                lines, kind_word, ..
            } if BlockKind::named(kind_word).is_some() => {
                lines.iter().for_each(|line| lexer.line(*line));
            }
            Piece::Block { .. } => {}
        }
    }
    let mut found = lexer.found;
    // Names outside blocks and asks: references in prose, names in code spans of descriptions.
    found.extend(names);
    found.sort_by_key(|token| (token.place.start, std::cmp::Reverse(token.place.end)));
    let mut end = 0;
    found.retain(|token| {
        let is_free = token.place.start >= end && !token.place.is_empty();
        end = end.max(token.place.end);
        is_free
    });
    found
}

/// The code span at an open place, if it asks for something.
fn ask(source: &Source, hole: &Hole) -> Option<Span> {
    let Hole::Code { span, .. } = hole else {
        return None;
    };
    syntax::parse_inline(source.text(), *span).map(|_| *span)
}

fn of_name(name: &Occurrence) -> Option<Token> {
    let (what, modifiers) = match &name.target {
        Target::Symbol { .. } | Target::Undefined(_) => (What::Quantity, 0),
        Target::Function { .. } => (What::Function, 0),
        Target::BuiltIn(_) => (What::Function, OF_THE_LANGUAGE),
        Target::Parameter { .. } => (What::Parameter, 0),
        Target::Label { .. } => (What::Label, 0),
        Target::Unit => (What::Unit, 0),
        Target::Constant => (What::Quantity, CONSTANT | OF_THE_LANGUAGE),
        Target::Heading => return None,
    };
    let definition = match name.role {
        Role::Definition => DEFINITION,
        Role::Use => 0,
    };
    Some(Token {
        place: name.span,
        what,
        modifiers: modifiers | definition,
    })
}

/// The words in the form of the protocol: each placed from the one before it, none over a line
/// end.
fn encoded(document: &Document, tokens: &[Token]) -> SemanticTokens {
    let file = document.file();
    let mut before = Position::default();
    let mut data = Vec::with_capacity(tokens.len());
    for token in tokens {
        let mut at = token.place.start as usize;
        for line in token.place.of(file.text).split_inclusive(['\n', '\r']) {
            let start = file.position(at);
            let end = file.position(at + line.trim_end_matches(['\n', '\r']).len());
            at += line.len();
            if start == end {
                continue;
            }
            let delta_line = start.line - before.line;
            let same = if delta_line == 0 { before.character } else { 0 };
            data.push(SemanticToken {
                delta_line,
                delta_start: start.character - same,
                length: end.character - start.character,
                token_type: token.what as u32,
                token_modifiers_bitset: token.modifiers,
            });
            before = start;
        }
    }
    SemanticTokens {
        result_id: None,
        data,
    }
}

#[cfg(test)]
mod tests;
