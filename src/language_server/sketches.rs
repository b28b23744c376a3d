//! What an editor asks of sketches: which lines are theirs, what a name does in them, and the
//! balances that lines name.

use super::documents::Document;
use super::facts;
use crate::resolve::{Expr, SymbolId, Typed};
use crate::syntax::{self, BlockKind, tokens};
use crate::text::Span;
use crate::worksheet::{Body, PartKind, Placed, Problem, Statement};

/// The block of a sketch.
pub(super) struct Block<'a> {
    /// Where it stands, in the text of its problem.
    span: Span,
    /// Its first line.
    pub first: &'a str,
}

impl Block<'_> {
    /// Whether a line stands in it.
    pub fn holds(&self, line: Span) -> bool {
        self.span.start <= line.start && line.end <= self.span.end
    }
}

/// The sketches of a problem itself.
pub(super) fn all(problem: &Problem) -> Vec<Block<'_>> {
    let is_sketch = |kind: &PartKind| {
        matches!(
            kind,
            PartKind::Block {
                kind: BlockKind::Sketch,
                ..
            }
        )
    };
    let parts = problem.parts.iter().filter(|part| is_sketch(&part.kind));
    let block = |part: &crate::worksheet::Part| {
        let line = problem
            .lines
            .iter()
            .find(|line| part.span.start <= line.start);
        let first = line.map_or("", |line| line.of(&problem.text));
        Block {
            span: part.span,
            first,
        }
    };
    parts.map(block).collect()
}

/// The lines above in the block of a sketch, of which one is being written.
pub(super) fn lines_above(text: &str, line: usize) -> &str {
    let before = text.get(..line).unwrap_or("");
    let is_fence = |line: &str| {
        let line = line.trim_start_matches([' ', '\t', '>', '-', '*', '+']);
        line.starts_with("```") || line.starts_with("~~~")
    };
    let mut start = before.len();
    for line in before.split_inclusive('\n').rev() {
        if is_fence(line) {
            break;
        }
        start -= line.len();
    }
    &before[start..]
}

/// What the sketches of a problem say of a quantity: where it acts, and what it turned out to do.
pub(super) fn said(document: &Document, placed: &Placed, symbol: SymbolId) -> Vec<String> {
    let problem = &placed.problem;
    let mut found = Vec::new();
    for statement in problem.statements() {
        let Body::Sketch(sketch) = &statement.body else {
            continue;
        };
        let of = &sketch.sketch;
        let is_it = |span: &Span| span.of(&problem.text) == &*problem.symbols.symbol(symbol).key;
        for act in of.acts.iter().filter(|act| is_it(&act.span)) {
            let source = &document.worksheet().source;
            let number = source.line_of(placed.span(act.span).start);
            let line = source.slice(source.line_span(number));
            let code = &line[..tokens::tail(line).unwrap_or(line.len())];
            let code = code.trim_matches([' ', '\t', '>']);
            found.push(format!("in `{}`, line {number}: `{code}`", of.label));
        }
        let turned = sketch
            .turned
            .iter()
            .filter(|turned| turned.symbol == symbol);
        found.extend(turned.map(|turned| turned.words.plain(&problem.text)));
    }
    found
}

/// A balance that a line names.
pub(super) struct Named<'a> {
    /// Where it is named, in the worksheet: `balance x of elbow`.
    pub span: Span,
    /// Where the statement stands that names it, without its label, in the worksheet.
    pub body: Span,
    /// `by balance x of elbow`, as it is written in the statement.
    pub words: &'a str,
    /// The balance, written out as an author types it.
    pub derived: String,
}

/// The balance that the line at a place names, where it was derived.
pub(super) fn balance(document: &Document, at: u32) -> Option<Named<'_>> {
    let (placed, statement) = facts::statement_at(document.worksheet(), at)?;
    let members = members(statement)?;
    let problem = &*placed.problem;
    let writer = Typed {
        text: &problem.text,
        symbols: &problem.symbols,
    };
    let sides: Vec<String> = members.iter().map(|side| writer.written(side)).collect();
    let text = statement.span.of(&problem.text);
    let label = tokens::label(text).map_or(0, |label| label.len() + 1);
    let lead = text.get(label..)?;
    let start = label + (lead.len() - lead.trim_start().len());
    let (place, followed) = syntax::balance_begun(text.get(start..)?)?;
    let end = start + place + followed.parts.last()?.end;
    let own = |from: usize, to: usize| {
        let start = statement.span.start as usize;
        placed.span(Span::new(start + from, start + to))
    };
    Some(Named {
        span: own(start + place, end),
        body: own(start, text.len()),
        words: text.get(start + place..end)?,
        derived: sides.join(" = "),
    })
}

/// The sides of the balance that a line names.
fn members(statement: &Statement) -> Option<&[Expr]> {
    match &statement.body {
        Body::Balance { members, .. } => Some(members),
        Body::Equation { balance, .. } | Body::Therefore { balance, .. } => {
            Some(&balance.as_ref()?.derived)
        }
        _ => None,
    }
}
