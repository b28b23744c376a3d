//! What is wrong with a worksheet, pushed after each change.

use lsp_types::{
    Diagnostic, DiagnosticRelatedInformation, DiagnosticSeverity, Location, NumberOrString,
    PublishDiagnosticsParams, Range, Uri,
};

use super::documents::Document;
use crate::diagnostic::{self, Severity};
use crate::text::MAX_BYTES;

/// Everything that there is to say about a document.
pub(super) fn diagnostics(document: &Document) -> PublishDiagnosticsParams {
    let diagnostics = if document.is_too_large() {
        vec![too_large(document.text().len())]
    } else {
        let found = document.worksheet().diagnostics.iter();
        found.map(|found| diagnostic(document, found)).collect()
    };
    PublishDiagnosticsParams {
        uri: document.uri.clone(),
        diagnostics,
        version: Some(document.version),
    }
}

/// Takes back what was said about a document that is closed.
pub(super) fn none(uri: &Uri) -> PublishDiagnosticsParams {
    PublishDiagnosticsParams {
        uri: uri.clone(),
        diagnostics: Vec::new(),
        version: None,
    }
}

/// One diagnostic in the form of the protocol.
pub(super) fn diagnostic(document: &Document, found: &diagnostic::Diagnostic) -> Diagnostic {
    let related: Vec<DiagnosticRelatedInformation> = found
        .notes
        .iter()
        .filter_map(|note| {
            Some(DiagnosticRelatedInformation {
                location: Location {
                    uri: document.uri.clone(),
                    range: document.places().range(note.span?),
                },
                message: note.message.clone(),
            })
        })
        .collect();
    Diagnostic {
        range: document.places().range(found.span),
        severity: Some(match found.severity {
            Severity::Error => DiagnosticSeverity::ERROR,
            Severity::Warning => DiagnosticSeverity::WARNING,
        }),
        code: Some(NumberOrString::String(found.code.as_str().to_owned())),
        source: Some("setsquare".to_owned()),
        message: message(found),
        related_information: (!related.is_empty()).then_some(related),
        ..Diagnostic::default()
    }
}

/// The sentence, the facts that have no place of their own, and what to write instead.
fn message(found: &diagnostic::Diagnostic) -> String {
    let mut message = found.message.clone();
    let placeless = found.notes.iter().filter(|note| note.span.is_none());
    for note in placeless {
        message.push('\n');
        message.push_str(&note.message);
    }
    if let Some(help) = &found.help {
        message.push_str("\nWrite instead: ");
        message.push_str(help);
    }
    message
}

fn too_large(bytes: usize) -> Diagnostic {
    Diagnostic {
        range: Range::default(),
        severity: Some(DiagnosticSeverity::ERROR),
        source: Some("setsquare".to_owned()),
        message: format!("this worksheet is {bytes} bytes long; the limit is {MAX_BYTES}"),
        ..Diagnostic::default()
    }
}
