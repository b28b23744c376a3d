//! What is wrong with a line, in the place of the line.

use super::Page;
use super::tree::{Block, Manner, Text, begun};
use crate::diagnostic::{Diagnostic, Severity};
use crate::resolve::SymbolId;
use crate::text::Span;
use crate::typeset;
use crate::worksheet::{Body, Statement, is_refusal};

/// A message with the author's text, which stands in backticks, as code.
pub(super) fn sentence(message: &str, text: &mut Text) {
    let mut is_code = false;
    for piece in message.split('`') {
        if is_code {
            text.code(piece);
        } else if !piece.is_empty() {
            text.say(piece);
        }
        is_code = !is_code;
    }
}

/// The source of a line that was refused.
pub(super) fn source(page: &Page, span: Span) -> Block {
    Block::Refused(page.slice(span).trim_end().to_owned())
}

/// Diagnostics in full; nothing when there are none.
pub(super) fn list(page: &Page, indices: &[usize]) -> Vec<Block> {
    page.diagnostics(indices)
        .map(|diagnostic| one(page, diagnostic))
        .collect()
}

/// What stands for a statement that has no result: its source when it was refused, its formula
/// when it needs what failed above; and in both cases why.
pub(super) fn without_result(page: &Page, statement: &Statement) -> Vec<Block> {
    let mut blocks = Vec::new();
    match &statement.body {
        Body::NotEvaluated { members, needs } => {
            if members.is_empty() {
                blocks.push(source(page, statement.span));
            }
            let mut text = Text::default();
            for (index, member) in members.iter().enumerate() {
                let sign = if index > 0 { "=" } else { "" };
                text.formula(typeset::side(sign, member, &page.context).0);
                text.say(" ");
            }
            let mut why = Text::default();
            self::needs(page, needs, &mut why);
            text.span(Manner::Quiet, why);
            blocks.push(Block::Unevaluated(text));
        }
        _ => {
            blocks.push(source(page, statement.span));
            if let Some(refused) = statement.needs {
                let mut text = Text::default();
                text.span(Manner::Quiet, Text::new(needs_line(page, refused)));
                blocks.push(Block::Unevaluated(text));
            }
        }
    }
    blocks.extend(list(page, &statement.diagnostics));
    blocks
}

fn one(page: &Page, diagnostic: &Diagnostic) -> Block {
    let line = |span: Span| page.line(span);
    let (is_error, word) = match diagnostic.severity {
        Severity::Error if !is_refusal(diagnostic) => (true, "Look again"),
        Severity::Error => (true, "Refused"),
        Severity::Warning => (false, "Note"),
    };
    let mut text = Text::default();
    text.strong(word);
    let place = line(diagnostic.span);
    text.say(format!(" (line {place}, {}): ", diagnostic.code));
    sentence(&diagnostic.message, &mut text);
    text.say(".");
    for note in &diagnostic.notes {
        let mut more = Text::default();
        sentence(&begun(&note.message), &mut more);
        if let Some(span) = note.span {
            more.say(format!(" (line {})", line(span)));
        }
        more.say(".");
        text.say(" ");
        text.span(Manner::Piece, more);
    }
    if let Some(help) = &diagnostic.help {
        let mut more = Text::new("Write instead: ");
        sentence(help, &mut more);
        text.say(" ");
        text.span(Manner::Piece, more);
    }
    Block::Notice { is_error, text }
}

/// Why an ask in the text failed, in a few words.
pub(super) fn brief(page: &Page, ask: Span, needs: &[(SymbolId, Span)], text: &mut Text) {
    match page.first_diagnostic_within(ask) {
        Some(diagnostic) => sentence(&diagnostic.message, text),
        None => self::needs(page, needs, text),
    }
}

/// "not evaluated: needs line 12"
pub(super) fn needs_line(page: &Page, refused: Span) -> String {
    format!("not evaluated: needs line {}", page.line(refused))
}

/// "not evaluated: needs V₁ (line 31)"
pub(super) fn needs(page: &Page, needs: &[(SymbolId, Span)], text: &mut Text) {
    text.say("not evaluated: needs ");
    for (index, (symbol, place)) in needs.iter().enumerate() {
        if index > 0 {
            text.say(", ");
        }
        text.formula(typeset::symbol(*symbol, &page.context));
        text.say(format!(" (line {})", page.line(*place)));
    }
}
