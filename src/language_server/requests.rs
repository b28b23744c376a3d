//! The closed list of what may be asked about a document.
//!
//! In goes a request of the protocol, out comes its answer as data. A row says the method, the
//! type of its parameters and the function that answers; a request that is not in the list is
//! refused by the server.

use lsp_server::{ErrorCode, ResponseError};
use serde::Serialize;
use serde::de::DeserializeOwned;
use serde_json::Value;

use super::documents::Document;
use super::{
    code_actions, completion, definition, folding, formatting, highlight, hover, inlay_hints,
    references, rename, semantic_tokens, signature_help, symbols,
};

/// Why a request is not answered: a code of the protocol and a sentence.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Refusal {
    /// The protocol's number.
    pub code: i32,
    /// The sentence that the editor shows.
    pub message: String,
}

impl Refusal {
    /// A refusal with a code of the protocol.
    pub fn new(code: ErrorCode, message: impl Into<String>) -> Self {
        Self {
            code: code as i32,
            message: message.into(),
        }
    }

    /// What was asked for cannot be done, and the author is told why.
    pub fn sentence(message: impl Into<String>) -> Self {
        Self::new(ErrorCode::RequestFailed, message)
    }
}

impl From<Refusal> for ResponseError {
    fn from(refusal: Refusal) -> Self {
        Self {
            code: refusal.code,
            message: refusal.message,
            data: None,
        }
    }
}

/// The answer to a request.
pub(super) type Answer = Result<Value, Refusal>;

/// What the functions that answer may return.
trait IntoAnswer {
    fn into_answer(self) -> Answer;
}

impl<T: Serialize> IntoAnswer for Option<T> {
    fn into_answer(self) -> Answer {
        serde_json::to_value(self)
            .map_err(|error| Refusal::new(ErrorCode::InternalError, error.to_string()))
    }
}

impl<T: Serialize> IntoAnswer for Result<Option<T>, Refusal> {
    fn into_answer(self) -> Answer {
        self?.into_answer()
    }
}

macro_rules! requests {
    ($($variant:ident $method:literal $params:ident => $answer:path;)*) => {
        /// A question about a document.
        #[derive(Debug)]
        pub(super) enum Question { $(#[doc = $method] $variant(Box<lsp_types::$params>),)* }

        impl Question {
            /// The question that a request asks; `None` when its method is not known.
            pub fn read(method: &str, params: Value) -> Option<Result<Self, Refusal>> {
                match method {
                    $($method => Some(read(params).map(|params| Self::$variant(Box::new(params)))),)*
                    _ => None,
                }
            }

            /// Its answer.
            pub fn answer(&self, document: &Document) -> Answer {
                match self { $(Self::$variant(params) => $answer(document, params).into_answer(),)* }
            }
        }
    };
}

requests! {
    CodeActions "textDocument/codeAction" CodeActionParams => code_actions::code_actions;
    Completion "textDocument/completion" CompletionParams => completion::completion;
    Definition "textDocument/definition" GotoDefinitionParams => definition::definition;
    Folding "textDocument/foldingRange" FoldingRangeParams => folding::folding;
    Formatting "textDocument/formatting" DocumentFormattingParams => formatting::formatting;
    Highlight "textDocument/documentHighlight" DocumentHighlightParams => highlight::highlight;
    Hover "textDocument/hover" HoverParams => hover::hover;
    InlayHints "textDocument/inlayHint" InlayHintParams => inlay_hints::inlay_hints;
    PrepareRename "textDocument/prepareRename" TextDocumentPositionParams => rename::prepare_rename;
    RangeFormatting "textDocument/rangeFormatting" DocumentRangeFormattingParams => formatting::range_formatting;
    References "textDocument/references" ReferenceParams => references::references;
    Rename "textDocument/rename" RenameParams => rename::rename;
    SemanticTokens "textDocument/semanticTokens/full" SemanticTokensParams => semantic_tokens::semantic_tokens;
    SemanticTokensRange "textDocument/semanticTokens/range" SemanticTokensRangeParams => semantic_tokens::semantic_tokens_range;
    SignatureHelp "textDocument/signatureHelp" SignatureHelpParams => signature_help::signature_help;
    Symbols "textDocument/documentSymbol" DocumentSymbolParams => symbols::symbols;
}

/// Reads parameters.
pub(super) fn read<T: DeserializeOwned>(params: Value) -> Result<T, Refusal> {
    serde_json::from_value(params)
        .map_err(|error| Refusal::new(ErrorCode::InvalidParams, format!("bad parameters: {error}")))
}

/// The address of the document that a request is about.
pub(super) fn document_of(params: &Value) -> Option<&str> {
    params.get("textDocument")?.get("uri")?.as_str()
}
