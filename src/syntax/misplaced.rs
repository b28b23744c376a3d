//! Lines that can be read and belong elsewhere: what a block does not take.
//!
//! In goes a chain, or a statement that its block's rule did not match, out comes a diagnostic
//! that names the right block.

use super::diagnose::{error, place};
use super::formula::{Read, Reader};
use super::mend::part;
use super::statement::{is_only_a_literal, refuse_function_as_name};
use super::tokens::{TokenKind, outside_brackets, tokens};
use super::{BlockKind, Chain, Expr, ExprKind, Tail, ask_from};
use crate::diagnostic::{Applicability, Code, Diagnostic, Fix};
use crate::text::Span;

/// Refuses chains that the grammar reads but the block does not take.
pub(super) fn refuse_chain(kind: BlockKind, reader: &Reader<'_>, chain: &Chain) -> Read<()> {
    match kind {
        BlockKind::Derive => {
            return refuse_units(reader, &chain.members);
        }
        BlockKind::Work => {
            ask_from::refuse_from(reader, chain)?;
            refuse_data(reader, chain)?;
        }
        _ => {}
    }
    match chain.members.first().map(|first| &first.kind) {
        Some(ExprKind::Name(name)) => refuse_function_as_name(name),
        _ => Ok(()),
    }
}

/// Refuses units in the formulas of `derive`.
pub(super) fn refuse_units(reader: &Reader<'_>, formulas: &[Expr]) -> Read<()> {
    match formulas.iter().find_map(unit_inside) {
        Some(unit) => Err(unit_in_derive(reader, unit)),
        None => Ok(()),
    }
}

/// `x = 5` alone in `work`.
fn refuse_data(reader: &Reader<'_>, chain: &Chain) -> Read<()> {
    if let [first] = chain.members.as_slice()
        && matches!(first.kind, ExprKind::Name(_))
        && let Tail::Claim(literal) = &chain.tail
        && (is_only_a_literal(literal) || !chain.conditions.is_empty())
    {
        let line = first.span.cover(literal.span);
        // ` ?` behind it would only do where the name is an unknown that is searched for.
        return Err(number_in_work(
            reader.slice(first.span),
            reader.slice(literal.span),
            line,
        ));
    }
    Ok(())
}

/// `name = literal` alone in `work`.
fn number_in_work(name: &str, literal: &str, span: Span) -> Box<Diagnostic> {
    error(
        Code::S12,
        span,
        format!("`{name} = {literal}` defines `{name}` by a number"),
        format!("the line in `given`, or `{name} = {literal} ?` when it is a result"),
    )
}

/// The first part of a formula that has a unit other than `°` and `%`.
fn unit_inside(expr: &Expr) -> Option<&Expr> {
    match &expr.kind {
        ExprKind::Quantity(literal) => {
            let has_unit = literal.unit.as_ref().is_some_and(|unit| {
                unit.factors
                    .iter()
                    .any(|factor| !matches!(&*factor.symbol, "°" | "%" | "‰"))
            });
            (has_unit || literal.datum.is_some()).then_some(expr)
        }
        ExprKind::Sum(terms) => terms.iter().find_map(|term| unit_inside(&term.expr)),
        ExprKind::Product(factors) => factors.iter().find_map(|factor| unit_inside(&factor.expr)),
        ExprKind::Power(base, exponent) => unit_inside(base).or_else(|| unit_inside(exponent)),
        ExprKind::Negative(inner) | ExprKind::Group(inner) | ExprKind::Abs(inner) => {
            unit_inside(inner)
        }
        ExprKind::Call { arguments, .. } => arguments.iter().find_map(unit_inside),
        ExprKind::List(items) | ExprKind::Vector(items) => items.iter().find_map(unit_inside),
        ExprKind::Cases(cases) => cases.iter().find_map(|case| unit_inside(&case.value)),
        ExprKind::Number(_)
        | ExprKind::Name(_)
        | ExprKind::Component(..)
        | ExprKind::Constant(_) => None,
    }
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

/// A line that would be good in another block.
pub(super) fn wrong_block(kind: BlockKind, body: &str, start: usize) -> Option<Box<Diagnostic>> {
    let whole = Span::new(start, start + body.len());
    let compares = |text: &str| text.starts_with(['<', '>', '≤', '≥']) || text == "->";
    let outer = |of: &dyn Fn(&str) -> bool| {
        outside_brackets(body)
            .find(|token| of(token.text))
            .map(|token| token.at)
    };
    let comparison = outer(&compares);
    let ask = outer(&|text| text == "?");
    let equals = tokens(body).filter(|token| token.text == "=").count();
    let at = |offset: usize| place(body, start, offset);
    let (span, what, help) = match kind {
        BlockKind::Given | BlockKind::Derive | BlockKind::Work | BlockKind::Answer
            if comparison.is_some() =>
        {
            (at(comparison?), "a comparison", "in a `check` block")
        }
        BlockKind::Given if ask.is_some() => (
            at(ask?),
            "an ask",
            "in a `work` block, or as data: `D = 600 mm`",
        ),
        BlockKind::Derive if ask.is_some() => (at(ask?), "an ask", "in a `work` block"),
        BlockKind::Check if ask.is_some() => (at(ask?), "an ask", "in a `work` block"),
        BlockKind::Given if equals > 1 => (whole, "a chain of equals", "in a `work` block"),
        BlockKind::Required if ask.is_none() && equals > 0 => (
            whole,
            "a value",
            "in `given` when it is data, or as an unknown: `R_x = ? kN`",
        ),
        BlockKind::Answer if ask.is_none() && equals > 0 => (
            whole,
            "a formula",
            "in `work`, and only the name here: `R_x = ? kN`",
        ),
        _ => return None,
    };
    let refusal = error(
        Code::S11,
        span,
        format!("{what} does not belong in `{}`", kind.word()),
        format!("the line {help}"),
    );
    Some(Box::new(refusal.with_fixes(in_this_block(
        kind,
        body,
        start,
        ask.is_some(),
    ))))
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
            Some(Fix::new(Applicability::Ask, title, rest, ""))
        }
        _ => None,
    }
}
