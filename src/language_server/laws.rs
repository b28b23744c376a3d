//! What holds for every answer, wherever the cursor stands and whatever is half written.

use lsp_types::{
    CompletionParams, CompletionTextEdit, DocumentFormattingParams, FormattingOptions, Position,
    Range, SemanticTokensParams, SemanticTokensResult, SignatureHelpParams, TextDocumentIdentifier,
    TextEdit,
};
use proptest::prelude::*;

use super::documents::Document;
use super::{code_actions, completion, fixture, formatting, semantic_tokens, signature_help};
use crate::text::Source;
use crate::worksheet;

const WORKED: &str = include_str!("../../worksheets/penstock-bend.md");

/// What an author has half written somewhere.
const HALVES: &[&str] = &[
    "x = ",
    "? ",
    "```",
    "```given\n",
    "`",
    "[",
    "solve ",
    "atan2(1, ",
    "constant(",
    "a = cases(1 ",
    " -- 𝛼 `",
    "  - ",
    "µ",
    "(\n",
    "---\n",
    "𝛼 = = 2\n",
    "b=2*c -d -- e\n",
    "y = ? to ",
    "\r",
    "> ",
    "force F at ",
    "point A = L ",
    "inlet 1 flow ",
    " by balance moments about ",
    "```sketch\nx: ",
];

/// The worked worksheet up to anywhere, with something half written, and perhaps its rest.
fn half_written() -> impl Strategy<Value = (String, usize)> {
    let half = prop::collection::vec(prop::sample::select(HALVES), 0..3);
    (any::<prop::sample::Index>(), half, any::<bool>()).prop_map(|(at, half, goes_on)| {
        let starts: Vec<usize> = WORKED.char_indices().map(|(at, _)| at).collect();
        let at = *at.get(&starts);
        let mut text = WORKED[..at].to_owned();
        text.push_str(&half.concat());
        let cursor = text.len();
        if goes_on {
            text.push_str(&WORKED[at..]);
        }
        (text, cursor)
    })
}

fn applied(document: &Document, mut edits: Vec<TextEdit>) -> String {
    let file = document.file();
    edits.sort_by_key(|edit| edit.range.start);
    let mut out = document.text().to_owned();
    for edit in edits.iter().rev() {
        let place = file.span(edit.range);
        out.replace_range(place.start as usize..place.end as usize, &edit.new_text);
    }
    out
}

fn completions_replace_what_is_typed(document: &Document, cursor: Position) {
    let params = CompletionParams {
        text_document_position: fixture::at(cursor),
        work_done_progress_params: Default::default(),
        partial_result_params: Default::default(),
        context: None,
    };
    let Some(list) = completion::completion(document, &params) else {
        return;
    };
    for item in list.items {
        let Some(CompletionTextEdit::Edit(edit)) = item.text_edit else {
            panic!("`{}` has no edit", item.label);
        };
        assert_eq!(edit.range.end, cursor);
        let typed = document.file().span(edit.range).of(document.text());
        assert!(!typed.contains('\n'), "{typed}");
        assert!(!item.label.is_empty());
    }
}

fn colours_stand_one_after_the_other(document: &Document) {
    let params = SemanticTokensParams {
        work_done_progress_params: Default::default(),
        partial_result_params: Default::default(),
        text_document: TextDocumentIdentifier::new(document.uri.clone()),
    };
    let Some(SemanticTokensResult::Tokens(tokens)) =
        semantic_tokens::semantic_tokens(document, &params)
    else {
        panic!("no colours");
    };
    let mut before = 0;
    let (mut line, mut start) = (0, 0);
    for token in tokens.data {
        start = match token.delta_line {
            0 => start + token.delta_start,
            _ => token.delta_start,
        };
        line += token.delta_line;
        let from = document.file().offset(Position::new(line, start));
        let to = Position::new(line, start + token.length);
        let to = document.file().offset(to);
        assert!(before <= from && from < to, "{before} {from} {to}");
        before = to;
    }
}

fn formatting_tidies(document: &Document) {
    let params = DocumentFormattingParams {
        text_document: TextDocumentIdentifier::new(document.uri.clone()),
        options: FormattingOptions::default(),
        work_done_progress_params: Default::default(),
    };
    let edits = formatting::formatting(document, &params).unwrap();
    let tidy = worksheet::tidy(&Source::new("", document.text()));
    assert_eq!(applied(document, edits), tidy);
}

fn actions_can_be_made(document: &Document, cursor: Position) {
    for action in code_actions::offered(document, Range::new(cursor, cursor)) {
        let changes = action.edit.unwrap().changes.into_iter().flatten();
        let edits: Vec<TextEdit> = changes.flat_map(|(_, edits)| edits).collect();
        assert!(!edits.is_empty(), "{}", action.title);
        assert_ne!(
            applied(document, edits),
            document.text(),
            "{}",
            action.title
        );
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(60))]

    #[test]
    fn answers_fit_the_text_wherever_the_cursor_stands((text, cursor) in half_written()) {
        let document = fixture::document(&text);
        let cursor = document.file().position(cursor);
        completions_replace_what_is_typed(&document, cursor);
        colours_stand_one_after_the_other(&document);
        formatting_tidies(&document);
        actions_can_be_made(&document, cursor);
        let params = SignatureHelpParams {
            context: None,
            text_document_position_params: fixture::at(cursor),
            work_done_progress_params: Default::default(),
        };
        if let Some(help) = signature_help::signature_help(&document, &params) {
            prop_assert_eq!(help.signatures.len(), 1);
        }
    }
}
