//! Statements: what each block's line says.
//!
//! In goes the text of one statement, out comes its tree. Which form it has is found here; the
//! forms are read in `forms`, formulas in `formula`, literals in `literal`.

use super::grammar::{self, Pair, Rule, Stopped};
use super::reader::{Read, Reader};
use super::{BlockKind, Expr, ExprKind, Literal, Magnitude, Name, Statement};
use super::{diagnose, forms, limits, literal, misplaced};
use crate::diagnostic::Diagnostic;
use crate::functions::Function;

/// Reads a statement that stands at `start`.
pub(super) fn statement(
    kind: BlockKind,
    body: &str,
    start: usize,
    warnings: &mut Vec<Diagnostic>,
) -> Read<Statement> {
    if let Some(refusal) = limits::refuse(body, start) {
        return Err(Box::new(refusal));
    }
    let mut reader = Reader::new(body, start);
    // The words of a sketch are words there, also those that open a form elsewhere.
    let is_of_sketch =
        kind == BlockKind::Sketch && grammar::parse(forms::rule_of(kind), body).is_ok();
    let statement = match forms::opening(kind, body).filter(|_| !is_of_sketch) {
        Some(form) => forms::statement(form, kind, &mut reader),
        None => ordinary(kind, &mut reader)
            .map_err(|refusal| forms::nearly(kind, body, start).unwrap_or(refusal)),
    }?;
    warnings.append(&mut reader.warnings);
    Ok(statement)
}

/// A line of the form that most lines of its block have.
fn ordinary(kind: BlockKind, reader: &mut Reader<'_>) -> Read<Statement> {
    let pairs = match grammar::parse(forms::rule_of(kind), reader.text) {
        Ok(pairs) => pairs,
        Err(stopped) => return unmatched(kind, reader, &stopped),
    };
    forms::ordinary(kind, reader, pairs)
}

/// What to say about a statement that was not matched.
fn unread(kind: BlockKind, body: &str, start: usize, stopped: &Stopped) -> Box<Diagnostic> {
    if kind == BlockKind::Sketch {
        return forms::sketch_unread(body, start, stopped);
    }
    forms::plot_unread(kind, body, start)
        .or_else(|| forms::taken_unread(kind, body, start))
        .or_else(|| forms::from_unread(kind, body, start, stopped))
        .or_else(|| forms::of_another_block(kind, body, start))
        .or_else(|| forms::component_required(kind, body, start))
        .or_else(|| forms::range_in_words(kind, body, start))
        .or_else(|| misplaced::wrong_block(kind, body, start))
        .unwrap_or_else(|| {
            let meant = format!("a line of `{}`: {}", kind.word(), kind.about());
            diagnose::general(body, start, stopped, meant)
        })
}

/// A line that is no ordinary one of its block: one that words join, or a mistake.
fn unmatched(kind: BlockKind, reader: &mut Reader<'_>, stopped: &Stopped) -> Read<Statement> {
    forms::meant(kind, reader)
        .unwrap_or_else(|| Err(unread(kind, reader.text, reader.start, stopped)))
}

impl Reader<'_> {
    /// A literal or a formula, where a literal's unit is certain.
    pub(super) fn value(&mut self, pair: Pair<'_>) -> Read<Expr> {
        match pair.as_rule() {
            Rule::literal => Ok(quantity(literal::literal(self, pair)?)),
            _ => self.expr(pair),
        }
    }
}

/// A literal as a formula.
pub(super) fn quantity(literal: Literal) -> Expr {
    Expr {
        span: literal.span,
        kind: ExprKind::Quantity(Box::new(literal)),
    }
}

/// Whether a literal can be nothing else: it has no names that might be quantities.
pub(super) fn is_only_a_literal(literal: &Literal) -> bool {
    let marks_only = literal.unit.as_ref().is_none_or(|unit| {
        unit.factors
            .iter()
            .all(|factor| !factor.symbol.chars().all(char::is_alphabetic))
    });
    let is_one = matches!(literal.magnitude, Magnitude::One(_)) && literal.larger.is_empty();
    let plain = is_one || literal.unit.is_none();
    (marks_only && plain) || literal.datum.is_some() || !literal.sizes.is_empty()
}

/// A function, `pi` and `inf` cannot be defined.
pub(super) fn refuse_function_as_name(name: &Name) -> Read<()> {
    if Function::reserved(&name.key).is_some() || matches!(&*name.key, "pi" | "inf") {
        return Err(diagnose::taken_name(name));
    }
    Ok(())
}
