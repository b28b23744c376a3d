//! What each word is, for colours.
//!
//! In goes a document, out come the words, numbers and signs of its blocks and asks, each with
//! what it is. Names are as they were resolved, so that a unit and a quantity of one spelling differ;
//! everything else is told by its letters in `lex`, which refused lines have too.

mod lex;

use lsp_types::{
    Position, SemanticToken, SemanticTokenModifier, SemanticTokenType, SemanticTokens,
    SemanticTokensLegend, SemanticTokensParams, SemanticTokensRangeParams, SemanticTokensResult,
};

use super::documents::Document;
use super::sketches;
use crate::resolve::{Meaning, Occurrence};
use crate::text::Span;
use crate::worksheet::Placed;

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
    let length = document.compiled_text().len();
    let tokens = tokens(document, Span::new(0, length));
    Some(SemanticTokensResult::Tokens(encoded(document, &tokens)))
}

/// The words in a range.
pub(super) fn semantic_tokens_range(
    document: &Document,
    params: &SemanticTokensRangeParams,
) -> Option<SemanticTokensResult> {
    let range = document.file().span(params.range);
    let mut tokens = tokens(document, range);
    tokens.retain(|token| token.place.start < range.end && range.start < token.place.end);
    Some(SemanticTokensResult::Tokens(encoded(document, &tokens)))
}

/// The words of the lines and asks that touch a range, in their order, none over another.
fn tokens(document: &Document, range: Span) -> Vec<Token> {
    let problems = document.worksheet().problems.iter();
    let mut found: Vec<Token> = problems
        .flat_map(|placed| of_problem(placed, range))
        .collect();
    found.sort_by_key(|token| (token.place.start, std::cmp::Reverse(token.place.end)));
    let mut end = 0;
    found.retain(|token| {
        let is_free = token.place.start >= end && !token.place.is_empty();
        end = end.max(token.place.end);
        is_free
    });
    found
}

fn of_problem(placed: &Placed, range: Span) -> Vec<Token> {
    let problem = &placed.problem;
    let mut lexer = lex::Lexer {
        text: &problem.text,
        names: &problem.occurrences,
        found: Vec::new(),
    };
    let sketches = sketches::all(problem);
    let lines = placed.near(&problem.lines, |line| *line, range);
    for line in lines {
        let first = sketches.iter().find(|sketch| sketch.holds(*line));
        match first {
            Some(sketch) => lexer.line_of_sketch(*line, sketch.first),
            None => lexer.line(*line),
        }
    }
    let asks = placed.near(&problem.asks_in_prose, |ask| *ask, range);
    asks.iter().for_each(|ask| lexer.code(*ask));
    let mut found = lexer.found;
    // Also names outside of lines and asks: references in prose, names in code spans.
    let names = placed.near(&problem.occurrences, |name| name.span, range);
    found.extend(names.iter().map(of_name));
    for token in &mut found {
        token.place = placed.span(token.place);
    }
    found
}

fn of_name(name: &Occurrence) -> Token {
    let (what, modifiers) = match name.meaning {
        Meaning::Symbol(_) | Meaning::Undefined => (What::Quantity, 0),
        Meaning::Function(_) => (What::Function, 0),
        Meaning::Language(_) => (What::Function, OF_THE_LANGUAGE),
        Meaning::Parameter { .. } => (What::Parameter, 0),
        Meaning::Label { .. } | Meaning::Spot { .. } => (What::Label, 0),
        Meaning::Unit => (What::Unit, 0),
        Meaning::Constant => (What::Quantity, CONSTANT | OF_THE_LANGUAGE),
    };
    let definition = if name.is_definition { DEFINITION } else { 0 };
    Token {
        place: name.span,
        what,
        modifiers: modifiers | definition,
    }
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
