//! Lines to syntax trees.
//!
//! In go the lines of a block, or the content of an inline code span, as places in the
//! worksheet's text; out come trees in the author's own form and diagnostics. The grammar is
//! `grammar/worksheet.pest`. No name and no unit is looked up here.
//!
//! `lines` joins source lines to statements, `limits` refuses what must not be parsed,
//! `grammar` matches, `statement` finds the form of a line, `forms` has a file for each with its
//! tree, `formula`, `literal` and `sizes` build the trees within and refuse what has two readings (worded
//! in `refuse`), `misplaced` refuses what belongs in another block, `mistyped` knows quantities as others write them, `diagnose` words everything
//! else that cannot be read, `mend` has the edits that a refusal offers, `order` tells what may follow in a line that is being written. `tokens` says where words begin and end, `tidy` sets the blanks of lines and puts them under each other.

mod diagnose;
mod forms;
mod formula;
mod grammar;
mod limits;
mod lines;
mod literal;
mod mend;
mod misplaced;
mod mistyped;
mod name;
pub mod order;
mod reader;
mod refuse;
mod sizes;
mod statement;
mod tidy;
pub mod tokens;
mod tree;
mod which;

pub use crate::text::BlockKind;
pub(crate) use forms::no_unit;
pub use forms::*;
pub(crate) use formula::{argument_of_two, is_mixed_number};
pub use limits::{MAX_DEPTH, MAX_STATEMENT};
pub(crate) use mistyped::{meant_datum, mistyped_quantity};
pub use name::{
    ATMOSPHERE, Base, Decoration, NameParts, RESERVED, canonical, greek_letter, is_list_name,
    is_reserved, meant_greek, name_parts,
};
pub use tidy::tidy_block;
pub use tree::*;

use crate::diagnostic::{Code, Diagnostic};
use crate::text::Span;
use grammar::Rule;
use reader::{Read, Reader};

/// Reads the lines of a block. `lines` are the places of its lines in `text`, in order, without
/// the prefix that the Markdown around it puts before them and without line endings. A line that is refused gives
/// diagnostics and no [`Line`]; the others stand.
pub fn parse_block(kind: BlockKind, text: &str, lines: &[Span]) -> (Vec<Line>, Vec<Diagnostic>) {
    let mut diagnostics = Vec::new();
    if kind == BlockKind::Data {
        let table = forms::data(text, lines, &mut diagnostics);
        return (table.into_iter().collect(), diagnostics);
    }
    let (caption, lines) = match kind {
        BlockKind::Plot | BlockKind::Fit => forms::caption(text, lines),
        _ => (None, lines),
    };
    let pieces = lines::statements(text, lines, &mut diagnostics);
    let mut read = Vec::with_capacity(pieces.len() + 1);
    // The caption of a fit is what its formula is described by.
    let about = caption.as_ref().and_then(|line| line.description);
    read.extend(caption.filter(|_| kind == BlockKind::Plot));
    for piece in pieces {
        match statement::statement(kind, &piece.body, piece.start, &mut diagnostics) {
            Ok(statement) => read.push(Line {
                span: piece.span,
                label: piece.label,
                statement,
                description: piece.description,
            }),
            Err(mut refusal) => {
                mend::keep_readable(&mut refusal, kind, &piece.body, piece.start);
                let meant = match kind {
                    BlockKind::Given => mistyped_quantity(&piece.body, piece.start, |_| true),
                    _ => None,
                };
                diagnostics.push(meant.unwrap_or(*refusal));
            }
        }
    }
    if let (BlockKind::Fit, Some(first)) = (kind, read.first_mut()) {
        first.description = first.description.or(about);
    }
    (read, diagnostics)
}

/// Reads the content of an inline code span. `None` when it is not an ask: it has no ask at its
/// end and does not begin with `?`, and is ordinary code.
pub fn parse_inline(text: &str, span: Span) -> Option<Result<Inline, Box<Diagnostic>>> {
    let content = span.of(text);
    let body = content.trim();
    if !forms::is_ask(body) {
        return None;
    }
    let start = span.start as usize + (content.len() - content.trim_start().len());
    Some(forms::inline(body, start).map_err(|mut refusal| {
        mend::keep_readable_inline(&mut refusal, body, start);
        refusal
    }))
}

/// Reads one formula.
///
/// # Errors
/// The diagnostic of what cannot be read or has two readings.
pub fn parse_expr(text: &str, span: Span) -> Result<Expr, Box<Diagnostic>> {
    parse_expr_at(span.of(text), span.start as usize)
}

fn parse_expr_at(body: &str, start: usize) -> Read<Expr> {
    let mut pairs = alone(Rule::expr_alone, body, start, "a formula")?;
    let pair = pairs
        .next()
        .ok_or_else(|| reader::incomplete(Span::new(start, start + body.len())))?;
    Reader::new(body, start).expr(pair)
}

/// Reads one unit.
///
/// # Errors
/// The diagnostic of what cannot be read or has two readings.
pub fn parse_unit(text: &str, span: Span) -> Result<UnitExpr, Box<Diagnostic>> {
    parse_unit_at(span.of(text), span.start as usize)
}

fn parse_unit_at(body: &str, start: usize) -> Read<UnitExpr> {
    let mut pairs = alone(Rule::unit_alone, body, start, "a unit")?;
    let pair = pairs
        .next()
        .ok_or_else(|| reader::incomplete(Span::new(start, start + body.len())))?;
    literal::unit(&Reader::new(body, start), pair)
}

/// Reads one quantity literal.
///
/// # Errors
/// The diagnostic of what cannot be read or has two readings.
pub fn parse_literal(text: &str) -> Result<Literal, Box<Diagnostic>> {
    let mut pairs = alone(Rule::literal_alone, text, 0, "a quantity")?;
    let pair = (pairs.next()).ok_or_else(|| reader::incomplete(Span::new(0, text.len())))?;
    literal::literal(&Reader::new(text, 0), pair)
}

fn alone<'i>(rule: Rule, body: &'i str, start: usize, what: &str) -> Read<grammar::Pairs<'i>> {
    if let Some(refusal) = limits::refuse(body, start) {
        return Err(Box::new(refusal));
    }
    grammar::parse(rule, body).map_err(|stopped| {
        let span = diagnose::place(body, start, stopped.at);
        Box::new(
            Diagnostic::error(
                Code::S01,
                span,
                format!("`{}` cannot be read as {what}", body.trim()),
            )
            .with_help("a formula such as `rho g h`, or a unit such as `kg/m^3`"),
        )
    })
}

#[cfg(test)]
mod tests;
