//! One line of `derive` or `work`: its rows, aligned on one equals sign.

use std::fmt::Write;

use super::block::{id, without_result};
use super::{Page, derived, notice, prose, table};
use crate::evaluate::Convergence;
use crate::resolve::{Expr, FunctionId, Shape};
use crate::typeset::{self, Context, Width, mathml};
use crate::worksheet::{Body, Statement, System, Work};

/// A left side wider than this stands in a row with the rest, in em.
const WIDE_LEAD: Width = 8.0;

/// Writes a statement.
pub(super) fn write(page: &Page, statement: &Statement, out: &mut String) {
    let has_verdict = matches!(statement.body, Body::Therefore { .. });
    out.push_str(if statement.description.is_empty() && !has_verdict {
        "<div class=\"line bare\""
    } else {
        "<div class=\"line\""
    });
    id(statement, out);
    out.push('>');
    match &statement.body {
        Body::Equation { members, note } => {
            equation(page, "", members, out);
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
        Body::Therefore { members, verdict } => {
            derived::therefore(page, statement, members, verdict, out);
        }
        Body::Solved(solved) => derived::solved(page, statement, solved, out),
        Body::Component { axis, of, members } => {
            derived::component(page, statement, *axis, *of, members, out);
        }
        Body::Dimensions(symbols) => derived::dimensions(page, statement, symbols, out),
        Body::System(system) => self::system(page, statement, system, out),
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
    about(page, statement, out, |_| {});
    number(statement, out);
    notice::whole(page, statement, out);
}

/// The description, and below it what `more` writes; nothing where both are empty.
pub(super) fn about(
    page: &Page,
    statement: &Statement,
    out: &mut String,
    more: impl FnOnce(&mut String),
) {
    let start = out.len();
    prose::write(page, &statement.description, out);
    more(out);
    if out.len() > start {
        out.insert_str(start, "<div class=\"about\">");
        out.push_str("</div>");
    }
}

/// The number of a labelled equation.
pub(super) fn number(statement: &Statement, out: &mut String) {
    if let Some((_, number)) = &statement.label {
        out.push_str("<div class=\"number\">");
        number_text(*number, out);
        out.push_str("</div>");
    }
}

/// One of several lines of a statement, with something at its right or without.
pub(super) fn result_line(has_about: bool, out: &mut String, write: impl FnOnce(&mut String)) {
    out.push_str(if has_about {
        "<div class=\"line\">"
    } else {
        "<div class=\"line bare\">"
    });
    write(out);
    out.push_str("</div>");
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

/// Writes a formula; tells its width.
fn written((formula, width): (typeset::Node, Width), out: &mut String) -> Width {
    mathml::write(&formula, out);
    width
}

/// The members after an equals sign, each in a piece of its own where there are several.
fn sides<'e>(
    members: impl IntoIterator<Item = &'e Expr, IntoIter: ExactSizeIterator>,
    context: &Context,
    out: &mut String,
) {
    let members = members.into_iter();
    if members.len() == 1 {
        members.for_each(|only| {
            mathml::write(&typeset::side("=", only, context).0, out);
        });
        return;
    }
    for member in members {
        out.push_str("<span>");
        mathml::write(&typeset::side("=", member, context).0, out);
        out.push_str("</span><wbr/>");
    }
}

/// Writes the sides of an equation, with a quiet `mark` in front of the first.
pub(super) fn equation<'e>(
    page: &Page,
    mark: &str,
    members: impl IntoIterator<Item = &'e Expr, IntoIter: ExactSizeIterator>,
    out: &mut String,
) {
    let mut members = members.into_iter();
    let Some(first) = members.next() else {
        return;
    };
    lead(out, |out| {
        if !mark.is_empty() {
            out.push_str("<span class=\"mark\">");
            out.push_str(mark);
            out.push_str("</span>");
        }
        written(typeset::side("", first, &page.context), out)
    });
    sides(members, &page.context, out);
    out.push_str("</div>");
}

fn definition(page: &Page, function: FunctionId, body: &Expr, out: &mut String) {
    let context = page.context.in_function(function);
    let parameters = page.worksheet.symbols.function(function).parameters.len();
    lead(out, |out| {
        written(typeset::function(function, parameters, &context), out)
    });
    mathml::write(&typeset::side("=", body, &context).0, out);
    out.push_str("</div>");
}

fn work(page: &Page, work: &Work, out: &mut String) {
    lead(out, |out| {
        written(typeset::side("", &work.lead, &page.context), out)
    });
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
    if shown.shape == Shape::List {
        out.push_str("<span class=\"listed\">");
        mathml::write(&typeset::sign("="), out);
        table::list(shown, out);
        out.push_str("</span>");
    } else {
        mathml::write(&typeset::result("=", shown), out);
    }
    prose::conditions(page, &work.conditions, out);
    out.push_str("</div>");
    if let Some(convergence) = &work.convergence {
        out.push_str("<div class=\"side found\">");
        if let Some(number) = work.from {
            out.push_str("from\u{a0}");
            number_text(number, out);
            out.push_str(", ");
        }
        out.push_str("solved by numbers: ");
        self::convergence(convergence, out);
        out.push_str("</div>");
    }
}

/// "5 steps, sides agree to 2 × 10⁻¹⁶"
fn convergence(convergence: &Convergence, out: &mut String) {
    let _ = match convergence.iterations {
        1 => write!(out, "1\u{a0}step, "),
        steps => write!(out, "{steps}\u{a0}steps, "),
    };
    if convergence.difference == 0.0 {
        out.push_str("sides agree to the last digit");
    } else {
        out.push_str("sides agree to <span class=\"value\">");
        mathml::write(&typeset::number(convergence.difference, 1), out);
        out.push_str("</span>");
    }
}

/// "(1), (2) solved by numbers for x, y:" and each value.
fn system(page: &Page, statement: &Statement, system: &System, out: &mut String) {
    out.push_str("<p class=\"whole lead-in\">");
    for (index, number) in system.numbers.iter().enumerate() {
        if index > 0 {
            out.push_str(", ");
        }
        number_text(*number, out);
    }
    out.push_str(" solved by numbers for ");
    for (index, (symbol, _)) in system.unknowns.iter().enumerate() {
        if index > 0 {
            out.push_str("\u{2060}, ");
        }
        mathml::write(&typeset::symbol(*symbol, &page.context), out);
    }
    out.push_str("\u{2060}:</p>");
    for (index, (symbol, shown)) in system.unknowns.iter().enumerate() {
        let has_about = index == 0 && !statement.description.is_empty();
        result_line(has_about, out, |out| {
            out.push_str("<div class=\"lead\">");
            mathml::write(&typeset::symbol(*symbol, &page.context), out);
            out.push_str("</div><div class=\"side\">");
            mathml::write(&typeset::result("=", shown), out);
            out.push_str("</div>");
            if has_about {
                about(page, statement, out, |_| {});
            }
            if index == 0 {
                number(statement, out);
            }
        });
    }
    out.push_str("<div class=\"side found\">");
    convergence(&system.convergence, out);
    out.push_str("</div>");
    notice::whole(page, statement, out);
}
