//! What the server can do, as it says when it is greeted.

use lsp_types::{
    CodeActionOptions, CodeActionProviderCapability, CompletionOptions,
    FoldingRangeProviderCapability, HoverProviderCapability, OneOf, RenameOptions,
    SemanticTokensFullOptions, SemanticTokensOptions, SemanticTokensServerCapabilities,
    ServerCapabilities, SignatureHelpOptions, TextDocumentSyncCapability, TextDocumentSyncKind,
    TextDocumentSyncOptions, WorkDoneProgressOptions,
};

use super::places::Encoding;
use super::{code_actions, semantic_tokens};

/// What is offered to a client with this encoding.
pub(super) fn capabilities(encoding: Encoding) -> ServerCapabilities {
    let sync = TextDocumentSyncOptions {
        open_close: Some(true),
        change: Some(TextDocumentSyncKind::INCREMENTAL),
        ..TextDocumentSyncOptions::default()
    };
    let rename = RenameOptions {
        prepare_provider: Some(true),
        work_done_progress_options: WorkDoneProgressOptions::default(),
    };
    ServerCapabilities {
        position_encoding: Some(encoding.kind()),
        text_document_sync: Some(TextDocumentSyncCapability::Options(sync)),
        hover_provider: Some(HoverProviderCapability::Simple(true)),
        definition_provider: Some(OneOf::Left(true)),
        references_provider: Some(OneOf::Left(true)),
        document_highlight_provider: Some(OneOf::Left(true)),
        document_symbol_provider: Some(OneOf::Left(true)),
        folding_range_provider: Some(FoldingRangeProviderCapability::Simple(true)),
        inlay_hint_provider: Some(OneOf::Left(true)),
        completion_provider: Some(completion()),
        signature_help_provider: Some(signature_help()),
        semantic_tokens_provider: Some(colours()),
        code_action_provider: Some(corrections()),
        document_formatting_provider: Some(OneOf::Left(true)),
        document_range_formatting_provider: Some(OneOf::Left(true)),
        rename_provider: Some(OneOf::Right(rename)),
        ..ServerCapabilities::default()
    }
}

/// A blank is among the characters after which completion is looked for: words and units follow
/// one.
fn completion() -> CompletionOptions {
    let triggers = [" ", "`", "[", "(", "?", ".", "~", "\""];
    CompletionOptions {
        trigger_characters: Some(triggers.map(str::to_owned).to_vec()),
        ..CompletionOptions::default()
    }
}

fn signature_help() -> SignatureHelpOptions {
    SignatureHelpOptions {
        trigger_characters: Some(vec!["(".to_owned(), ",".to_owned()]),
        retrigger_characters: Some(vec![")".to_owned()]),
        work_done_progress_options: WorkDoneProgressOptions::default(),
    }
}

fn colours() -> SemanticTokensServerCapabilities {
    let options = SemanticTokensOptions {
        legend: semantic_tokens::legend(),
        full: Some(SemanticTokensFullOptions::Bool(true)),
        range: Some(true),
        work_done_progress_options: WorkDoneProgressOptions::default(),
    };
    SemanticTokensServerCapabilities::SemanticTokensOptions(options)
}

fn corrections() -> CodeActionProviderCapability {
    CodeActionProviderCapability::Options(CodeActionOptions {
        code_action_kinds: Some(code_actions::kinds()),
        ..CodeActionOptions::default()
    })
}
