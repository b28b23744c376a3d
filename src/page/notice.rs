//! What is wrong with a line, in the place of the line.

use std::fmt::Write;

use super::Page;
use crate::diagnostic::{Diagnostic, Severity};
use crate::resolve::SymbolId;
use crate::text::Span;
use crate::typeset::{self, escape, mathml};
use crate::worksheet::{Statement, is_refusal};

/// Writes a message with the author's text, which stands in backticks, as code.
pub(super) fn sentence(message: &str, out: &mut String) {
    let mut is_code = false;
    for piece in message.split('`') {
        if is_code {
            out.push_str("<code>");
            escape(piece, out);
            out.push_str("</code>");
        } else {
            escape(piece, out);
        }
        is_code = !is_code;
    }
}

/// Writes the source of a line that was refused.
pub(super) fn source(page: &Page, span: Span, out: &mut String) {
    out.push_str("<pre class=\"refused\"><code>");
    escape(page.worksheet.source.slice(span).trim_end(), out);
    out.push_str("</code></pre>\n");
}

/// Writes diagnostics in full; nothing when there are none.
pub(super) fn list(page: &Page, indices: &[usize], out: &mut String) {
    for diagnostic in page.diagnostics(indices) {
        one(page, diagnostic, out);
    }
}

/// Writes the diagnostics of a line below it, across all its columns.
pub(super) fn whole(page: &Page, statement: &Statement, out: &mut String) {
    if !statement.diagnostics.is_empty() {
        out.push_str("<div class=\"whole\">");
        list(page, &statement.diagnostics, out);
        out.push_str("</div>");
    }
}

fn one(page: &Page, diagnostic: &Diagnostic, out: &mut String) {
    let line = |span: Span| page.worksheet.source.line_of(span.start);
    let (class, word) = match diagnostic.severity {
        Severity::Error if !is_refusal(diagnostic) => ("error", "Look again"),
        Severity::Error => ("error", "Refused"),
        Severity::Warning => ("warning", "Note"),
    };
    let _ = write!(
        out,
        "<p class=\"{class}\"><strong>{word}</strong> (line {}, {}): ",
        line(diagnostic.span),
        diagnostic.code
    );
    sentence(&diagnostic.message, out);
    out.push('.');
    for note in &diagnostic.notes {
        out.push_str(" <span>");
        sentence(&note.message, out);
        if let Some(span) = note.span {
            let _ = write!(out, " (line {})", line(span));
        }
        out.push_str(".</span>");
    }
    if let Some(help) = &diagnostic.help {
        out.push_str(" <span>Write instead: ");
        sentence(help, out);
        out.push_str("</span>");
    }
    out.push_str("</p>\n");
}

/// Writes why an ask in the text failed, in a few words.
pub(super) fn brief(
    page: &Page,
    diagnostics: &[usize],
    needs: &[(SymbolId, usize)],
    out: &mut String,
) {
    match page.diagnostics(diagnostics).next() {
        Some(diagnostic) => sentence(&diagnostic.message, out),
        None => self::needs(page, needs, out),
    }
}

/// Writes "not evaluated: needs V₁ (line 31)".
pub(super) fn needs(page: &Page, needs: &[(SymbolId, usize)], out: &mut String) {
    out.push_str("not evaluated: needs ");
    for (index, (symbol, line)) in needs.iter().enumerate() {
        if index > 0 {
            out.push_str(", ");
        }
        mathml::write(&typeset::symbol(*symbol, &page.context), out);
        let _ = write!(out, " (line {line})");
    }
}
