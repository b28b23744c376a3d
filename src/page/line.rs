//! One line of `derive` or `work`: its rows, aligned on one equals sign.

use std::fmt::Write;

use super::block::{id, without_result};
use super::{Page, notice, prose, table};
use crate::resolve::{Expr, FunctionId};
use crate::typeset::{self, Context, Width};
use crate::worksheet::{Body, Statement, Work};

/// A left side wider than this stands in a row with the rest, in em.
const WIDE_LEAD: Width = 8.0;

/// Writes a statement.
pub(super) fn write(page: &Page, statement: &Statement, out: &mut String) {
    out.push_str(if statement.description.is_empty() {
        "<div class=\"line bare\""
    } else {
        "<div class=\"line\""
    });
    id(statement, out);
    out.push('>');
    match &statement.body {
        Body::Equation { members, note } => {
            equation(page, members, out);
            if let Some(note) = note {
                out.push_str("<div class=\"side quiet\">(");
                out.push_str(note);
                out.push_str(")</div>");
            }
            beside(page, statement, out);
        }
        Body::Function { function, body } => {
            definition(page, *function, body, out);
            beside(page, statement, out);
        }
        Body::Work(work) => {
            self::work(page, work, out);
            beside(page, statement, out);
        }
        _ => {
            out.push_str("<div class=\"whole\">");
            without_result(page, statement, out);
            out.push_str("</div>");
        }
    }
    out.push_str("</div>\n");
}

/// "(3)"
pub(super) fn number_text(number: usize, out: &mut String) {
    // Writing to a string cannot fail.
    let _ = write!(out, "({number})");
}

/// The description and the number, and what else there is to say.
fn beside(page: &Page, statement: &Statement, out: &mut String) {
    if !statement.description.is_empty() {
        out.push_str("<div class=\"about\">");
        prose::write(page, &statement.description, out);
        out.push_str("</div>");
    }
    if let Some((_, number)) = &statement.label {
        out.push_str("<div class=\"number\">");
        number_text(*number, out);
        out.push_str("</div>");
    }
    if !statement.diagnostics.is_empty() {
        out.push_str("<div class=\"whole\">");
        notice::list(page, &statement.diagnostics, out);
        out.push_str("</div>");
    }
}

/// Writes the left side in its column, or opens the row that it shares with the right side.
/// The row of the right side is open afterwards.
fn lead(out: &mut String, write: impl FnOnce(&mut String) -> Width) {
    let start = out.len();
    let width = write(out);
    if width > WIDE_LEAD {
        out.insert_str(start, "<div class=\"side wide\"><span>");
        out.push_str("</span>");
    } else {
        out.insert_str(start, "<div class=\"lead\">");
        out.push_str("</div><div class=\"side\">");
    }
}

/// The members after an equals sign, each in a piece of its own where there are several.
fn sides(members: &[Expr], context: &Context, out: &mut String) {
    if let [only] = members {
        typeset::side("=", only, context, out);
        return;
    }
    for member in members {
        out.push_str("<span>");
        typeset::side("=", member, context, out);
        out.push_str("</span><wbr/>");
    }
}

fn equation(page: &Page, members: &[Expr], out: &mut String) {
    let Some((first, rest)) = members.split_first() else {
        return;
    };
    lead(out, |out| typeset::side("", first, &page.context, out));
    sides(rest, &page.context, out);
    out.push_str("</div>");
}

fn definition(page: &Page, function: FunctionId, body: &Expr, out: &mut String) {
    let context = page.context.in_function(function);
    let parameters = page.worksheet.symbols.function(function).parameters.len();
    lead(out, |out| {
        typeset::function(function, parameters, &context, out)
    });
    typeset::side("=", body, &context, out);
    out.push_str("</div>");
}

fn work(page: &Page, work: &Work, out: &mut String) {
    lead(out, |out| typeset::side("", &work.lead, &page.context, out));
    if !work.members.is_empty() {
        sides(&work.members, &page.context, out);
        if let Some(number) = work.from {
            out.push_str(" <span class=\"quiet\">from\u{a0}");
            number_text(number, out);
            out.push_str("</span>");
        }
        out.push_str("</div>");
        if !work.operands.is_empty() {
            out.push_str("<div class=\"side\">");
            sides(
                &work.members,
                &page.context.with_operands(&work.operands),
                out,
            );
            out.push_str("</div>");
        }
        out.push_str("<div class=\"side\">");
    }
    let shown = work.claim.as_ref().unwrap_or(&work.shown);
    if shown.is_list {
        out.push_str("<span class=\"listed\"><math><mo>=</mo></math>");
        table::list(shown, out);
        out.push_str("</span>");
    } else {
        typeset::result("=", shown, out);
    }
    prose::conditions(page, &work.conditions, out);
    out.push_str("</div>");
}
