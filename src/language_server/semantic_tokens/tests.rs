use lsp_types::{Range, TextDocumentIdentifier};

use super::*;
use crate::language_server::fixture;

/// The words of an answer as `word:what`, found again by their places in UTF-16.
fn shown(document: &Document, result: Option<SemanticTokensResult>) -> Vec<String> {
    let Some(SemanticTokensResult::Tokens(tokens)) = result else {
        panic!("no tokens");
    };
    let file = document.file();
    let (mut line, mut start) = (0, 0);
    let mut found = Vec::new();
    for token in tokens.data {
        if token.delta_line > 0 {
            start = 0;
        }
        line += token.delta_line;
        start += token.delta_start;
        let from = file.offset(Position::new(line, start));
        let to = file.offset(Position::new(line, start + token.length));
        let what = &TYPES[token.token_type as usize];
        let what = what.as_str();
        let star = match token.token_modifiers_bitset & DEFINITION {
            0 => "",
            _ => "*",
        };
        found.push(format!("{}:{what}{star}", &file.text[from..to]));
    }
    found
}

fn all(text: &str) -> Vec<String> {
    let document = fixture::document(text);
    let params = SemanticTokensParams {
        work_done_progress_params: Default::default(),
        partial_result_params: Default::default(),
        text_document: TextDocumentIdentifier::new(fixture::ADDRESS.parse().unwrap()),
    };
    shown(&document, semantic_tokens(&document, &params))
}

#[test]
fn quantities_units_numbers_and_words_are_told_apart() {
    assert_eq!(
        all("```given\nm = 1.5e-3 kg gauge -- 𝛼 `m = ?`\n```\n").join(" "),
        "m:variable* =:operator 1.5e-3:number kg:type gauge:keyword -- 𝛼 `:string m:variable  = ?`:string"
    );
    assert_eq!(
        all("```given\nm = 2 kg\nx = 3 m\n```\n```work\ny = m x = ? kg m to 3 figures # a\n```\n")
            [8..]
            .join(" "),
        "y:variable* =:operator m:variable x:variable =:operator ?:operator kg:type m:type to:keyword 3:number figures:keyword # a:comment"
    );
}

#[test]
fn steps_labels_functions_and_parameters_have_their_own_kinds() {
    assert_eq!(
        all(
            "```derive\nfl-1: f(Q) = 2 sin(Q)\ntherefore a = f(b)\nsolve fl-1 for b\n```\n[fl-1]\n"
        )
        .join(" "),
        "fl-1:property* f:function* Q:parameter* =:operator 2:number sin:function Q:parameter \
         therefore:keyword a:variable* =:operator f:function b:variable solve:keyword fl-1:property for:keyword b:variable* fl-1:property"
    );
}

#[test]
fn a_statement_over_several_lines_in_a_quote_keeps_its_places() {
    assert_eq!(
        all("> ```work\n> α = (1 +\n>   2) = ?\n> ```\n").join(" "),
        "α:variable* =:operator 1:number +:operator 2:number =:operator ?:operator"
    );
}

#[test]
fn refused_lines_have_colours_too() {
    assert_eq!(
        all("```given\na = = 2 kg\n```\n").join(" "),
        "a:variable* =:operator =:operator 2:number kg:type"
    );
}

#[test]
fn prose_has_the_colours_of_its_asks_only() {
    assert_eq!(
        all("a = 2 `x = 2` `? kg of 2 kg`\n").join(" "),
        "?:operator kg:type of:keyword 2:number kg:type"
    );
}

#[test]
fn a_range_has_the_words_in_it() {
    let document = fixture::document("```given\na = 2 kg\nb = 3 m\n```\n");
    let params = SemanticTokensRangeParams {
        work_done_progress_params: Default::default(),
        partial_result_params: Default::default(),
        text_document: TextDocumentIdentifier::new(fixture::ADDRESS.parse().unwrap()),
        range: Range::new(Position::new(2, 2), Position::new(3, 0)),
    };
    let found = shown(&document, semantic_tokens_range(&document, &params));
    assert_eq!(found.join(" "), "=:operator 3:number m:type");
}
