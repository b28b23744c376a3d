//! Lines that can be read and belong elsewhere: what a block does not take.
//!
//! In goes a statement that its block's rule did not match, out comes a diagnostic that names
//! the right block; [`PARTS`] has what may stand where.

use super::reader::{Read, Reader, error, part};
use super::tokens::{TokenKind, outside_brackets, tokens};
use super::{BlockKind, Expr, ExprKind};
use crate::diagnostic::{Code, Decision, Diagnostic, Fix};
use crate::text::Span;

/// Refuses units in the formulas of `derive`.
pub(super) fn refuse_units(reader: &Reader<'_>, formulas: &[Expr]) -> Read<()> {
    match formulas.iter().find_map(unit_inside) {
        Some(unit) => Err(unit_in_derive(reader, unit)),
        None => Ok(()),
    }
}

/// The first part of a formula that has a unit other than `°` and `%`.
fn unit_inside(expr: &Expr) -> Option<&Expr> {
    if let ExprKind::Quantity(literal) = &expr.kind {
        let is_mark = |symbol: &str| matches!(symbol, "°" | "%" | "‰");
        let mut factors = literal.unit.iter().flat_map(|unit| &unit.factors);
        let has_unit = factors.any(|factor| !is_mark(&factor.symbol));
        return (has_unit || literal.datum.is_some()).then_some(expr);
    }
    let mut found = None;
    expr.for_each_part(&mut |part| found = found.or_else(|| unit_inside(part)));
    found
}

fn unit_in_derive(reader: &Reader<'_>, unit: &Expr) -> Box<Diagnostic> {
    let text = reader.slice(unit.span);
    error(
        Code::S15,
        unit.span,
        format!("`{text}` has a unit, and `derive` holds symbols only"),
        format!("a name for it in `given`, as in `p_atm = {text}`, and the name here"),
    )
}

/// What a line that its block cannot read holds.
struct Held {
    /// Where the whole line stands.
    line: Span,
    /// The first comparison outside brackets.
    comparison: Option<Span>,
    /// The first ask outside brackets.
    ask: Option<Span>,
    /// How many equals signs.
    equals: usize,
}

impl Held {
    fn new(body: &str, start: usize) -> Self {
        let compares = |text: &str| text.starts_with(['<', '>', '≤', '≥']);
        let first = |of: &dyn Fn(&str) -> bool| {
            let found = outside_brackets(body).find(|token| of(token.text))?;
            Some(found.place(start))
        };
        Self {
            line: Span::new(start, start + body.len()),
            comparison: first(&compares),
            ask: first(&|text| text == "?"),
            equals: tokens(body).filter(|token| token.text == "=").count(),
        }
    }

    /// What a name is said to equal, where nothing is asked.
    fn value(&self) -> Option<Span> {
        (self.ask.is_none() && self.equals > 0).then_some(self.line)
    }
}

/// Something a line may hold, and the blocks that do not take it.
struct Part {
    /// What it is called.
    what: &'static str,
    /// Where it stands.
    found: fn(&Held) -> Option<Span>,
    /// Each block that does not take it, with the place to go.
    refused: &'static [(BlockKind, &'static str)],
}

/// What may stand in which block; the first that is found is told.
static PARTS: [Part; 5] = [
    Part {
        what: "a comparison",
        found: |held| held.comparison,
        refused: &[
            (BlockKind::Given, "in a `check` block"),
            (BlockKind::Derive, "in a `check` block"),
            (BlockKind::Work, "in a `check` block"),
            (BlockKind::Answer, "in a `check` block"),
        ],
    },
    Part {
        what: "an ask",
        found: |held| held.ask,
        refused: &[
            (
                BlockKind::Given,
                "in a `work` block, or as data: `D = 600 mm`",
            ),
            (BlockKind::Derive, "in a `work` block"),
            (BlockKind::Check, "in a `work` block"),
            (BlockKind::Versions, "in a `work` block"),
        ],
    },
    Part {
        what: "a chain of equals",
        found: |held| (held.equals > 1).then_some(held.line),
        refused: &[(BlockKind::Given, "in a `work` block")],
    },
    Part {
        what: "a value",
        found: Held::value,
        refused: &[(
            BlockKind::Required,
            "in `given` when it is data, or as an unknown: `R_x = ? kN`",
        )],
    },
    Part {
        what: "a formula",
        found: Held::value,
        refused: &[(
            BlockKind::Answer,
            "in `work`, and only the name here: `R_x = ? kN`",
        )],
    },
];

/// A line that would be good in another block.
pub(super) fn wrong_block(kind: BlockKind, body: &str, start: usize) -> Option<Box<Diagnostic>> {
    let held = Held::new(body, start);
    let (what, span, help) = PARTS.iter().find_map(|part| {
        let (_, help) = part.refused.iter().find(|(block, _)| *block == kind)?;
        Some((part.what, (part.found)(&held)?, help))
    })?;
    let refusal = error(
        Code::S11,
        span,
        format!("{what} does not belong in `{}`", kind.word()),
        format!("the line {help}"),
    );
    let fix = in_this_block(kind, body, start, held.ask.is_some());
    Some(Box::new(refusal.with_fixes(fix)))
}

/// `R_x = 3 kN` as the unknown of `required`, or as the name of `answer`.
fn in_this_block(kind: BlockKind, body: &str, start: usize, asks: bool) -> Option<Fix> {
    let (name, value) = body.split_once('=').filter(|_| !asks)?;
    let value = value.trim_start();
    let mut number = tokens(value).skip_while(|token| token.kind == TokenKind::Operator);
    let number = number
        .next()
        .filter(|first| first.kind == TokenKind::Number);
    let unit = value.get(number.map_or(0, |number| number.end())..)?;
    let line = part(start, 0, body.len());
    let reader = Reader::new(body, start);
    match kind {
        BlockKind::Required => {
            let number = part(start, body.len() - value.len(), body.len() - unit.len());
            reader.choice(line, &[(number, "?")])
        }
        BlockKind::Answer => {
            let kept = name.trim_end().len();
            let title = format!("write `{}`", name.trim());
            let rest = part(start, kept, body.len());
            Some(Fix::new(Decision::Choose, title, rest, ""))
        }
        _ => None,
    }
}
