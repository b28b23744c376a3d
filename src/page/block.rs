//! A block of statements.

use super::{Marks, Page, check, line, notice, prose, sense, table};
use crate::resolve::Shape;
use crate::syntax::BlockKind;
use crate::typeset::{self, escape, mathml};
use crate::worksheet::{Body, Shown, Statement};

/// Writes a block, and marks where each of its statements stands.
pub(super) fn write(
    page: &Page,
    kind: BlockKind,
    statements: &[Statement],
    marks: &mut Marks,
    out: &mut String,
) {
    if statements.is_empty() {
        return;
    }
    match kind {
        BlockKind::Given => table::given(page, statements, marks, out),
        BlockKind::Required => required(page, statements, marks, out),
        BlockKind::Derive | BlockKind::Work => {
            out.push_str("<div class=\"lines\">\n");
            for statement in statements {
                let start = out.len();
                line::write(page, statement, out);
                marks.statement(statement, start, out);
            }
            out.push_str("</div>\n");
        }
        BlockKind::Check => {
            check::table(page, statements, marks, out);
            sense::tables(page, statements, marks, out);
        }
        BlockKind::Answer => answers(page, statements, marks, out),
    }
}

/// ` id="q1-V_2"`
pub(super) fn id(statement: &Statement, out: &mut String) {
    out.push_str(" id=\"");
    escape(&statement.id, out);
    out.push('"');
}

/// Writes a statement that has no result: its source when it was refused, its formula when it
/// needs what failed above; and in both cases why.
pub(super) fn without_result(page: &Page, statement: &Statement, out: &mut String) {
    match &statement.body {
        Body::NotEvaluated { members, needs } => {
            if members.is_empty() {
                notice::source(page, statement.span, out);
            }
            out.push_str("<p class=\"unevaluated\">");
            for (index, member) in members.iter().enumerate() {
                let sign = if index > 0 { "=" } else { "" };
                mathml::write(&typeset::side(sign, member, &page.context).0, out);
                out.push(' ');
            }
            out.push_str("<span class=\"quiet\">");
            notice::needs(page, needs, out);
            out.push_str("</span></p>\n");
        }
        _ => notice::source(page, statement.span, out),
    }
    notice::list(page, &statement.diagnostics, out);
}

fn required(page: &Page, statements: &[Statement], marks: &mut Marks, out: &mut String) {
    out.push_str("<div class=\"required\">\n<p class=\"name\">Required</p>\n<ul>\n");
    for statement in statements {
        let start = out.len();
        out.push_str("<li");
        id(statement, out);
        out.push('>');
        match &statement.body {
            Body::Required {
                symbol,
                unit,
                positive,
                negative,
            } => {
                mathml::write(&typeset::symbol(*symbol, &page.context), out);
                if let Some(unit) = unit.as_ref().filter(|unit| !unit.text().is_empty()) {
                    out.push_str(" in\u{a0}");
                    escape(unit.text(), out);
                }
                description(page, statement, out);
                signs(positive.as_deref(), negative.as_deref(), out);
                notice::list(page, &statement.diagnostics, out);
            }
            _ => without_result(page, statement, out),
        }
        out.push_str("</li>\n");
        marks.statement(statement, start, out);
    }
    out.push_str("</ul>\n</div>\n");
}

/// ", force of the block on the water"
fn description(page: &Page, statement: &Statement, out: &mut String) {
    if !statement.description.is_empty() {
        out.push_str(", ");
        prose::write(page, &statement.description, out);
    }
}

/// " (positive downstream, negative upstream)"
fn signs(positive: Option<&str>, negative: Option<&str>, out: &mut String) {
    let words = [("positive ", positive), ("negative ", negative)];
    let mut opened = false;
    for (sign, word) in words {
        let Some(word) = word else { continue };
        out.push_str(if opened {
            ", "
        } else {
            " <span class=\"quiet\">("
        });
        opened = true;
        out.push_str(sign);
        escape(word, out);
    }
    if opened {
        out.push_str(")</span>");
    }
}

fn answers(page: &Page, statements: &[Statement], marks: &mut Marks, out: &mut String) {
    out.push_str("<div class=\"answer\">\n<p class=\"name\">Answer</p>\n");
    for statement in statements {
        let start = out.len();
        out.push_str("<div");
        id(statement, out);
        out.push('>');
        match &statement.body {
            Body::Answer {
                expr,
                shown,
                direction,
            } => {
                if shown.shape == Shape::List {
                    mathml::write(&typeset::math(expr, &page.context), out);
                    table::list(shown, out);
                } else {
                    mathml::write(&typeset::equality(expr, shown, &page.context), out);
                }
                if let Some((word, size)) = direction.as_deref() {
                    self::direction(word, size, out);
                }
                if !statement.description.is_empty() {
                    out.push_str("<span class=\"about\">");
                    prose::write(page, &statement.description, out);
                    out.push_str("</span>");
                }
                notice::list(page, &statement.diagnostics, out);
            }
            _ => without_result(page, statement, out),
        }
        out.push_str("</div>\n");
        marks.statement(statement, start, out);
    }
    out.push_str("</div>\n");
}

/// ", that is 19.0 kN upstream"
fn direction(word: &str, size: &Shown, out: &mut String) {
    out.push_str(", that is ");
    mathml::write(&typeset::value(size), out);
    out.push(' ');
    escape(word, out);
}
