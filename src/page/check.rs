//! The table of a `check` block: the relation in symbols, the figures, the verdict.

use super::block::{id, without_result};
use super::{Marks, Page, notice, prose, sense};
use crate::resolve::Expr;
use crate::syntax::Relation;
use crate::typeset::{self, escape, mathml};
use crate::worksheet::{Body, Shown, Statement};

pub(super) fn table(page: &Page, statements: &[Statement], marks: &mut Marks, out: &mut String) {
    let is_row = |statement: &&Statement| !matches!(statement.body, Body::Sensitivity(_));
    if !statements.iter().any(|statement| is_row(&statement)) {
        return;
    }
    out.push_str(
        "<table class=\"check\">\n<caption class=\"name\">Checks</caption>\n<thead><tr>\
         <th scope=\"col\">Relation</th><th scope=\"col\">Figures</th>\
         <th scope=\"col\">Verdict</th></tr></thead>\n<tbody>\n",
    );
    for statement in statements.iter().filter(is_row) {
        let start = out.len();
        out.push_str("<tr");
        id(statement, out);
        out.push('>');
        row(page, statement, out);
        out.push_str("</tr>\n");
        marks.statement(statement, start, out);
        note(page, statement, out);
    }
    out.push_str("</tbody>\n</table>\n");
}

fn row(page: &Page, statement: &Statement, out: &mut String) {
    let holds = match &statement.body {
        Body::Check {
            members,
            relations,
            within,
            holds,
        } => {
            let within = within.as_ref();
            comparison(page, statement, members, relations, within, out);
            *holds
        }
        Body::Trend(trend) => {
            sense::trend(page, statement, trend, out);
            trend.holds
        }
        Body::Limit(limit) => {
            sense::limit(page, statement, limit, out);
            limit.holds
        }
        _ => {
            out.push_str("<td colspan=\"3\">");
            without_result(page, statement, out);
            out.push_str("</td>");
            return;
        }
    };
    out.push_str("<td class=\"verdict\">");
    out.push_str(if holds {
        "✓ holds"
    } else {
        "✗ <strong>does not hold</strong>"
    });
    out.push_str("</td>");
}

/// What else there is to say of a row, in a row of its own; a row that is all notices has said it.
fn note(page: &Page, statement: &Statement, out: &mut String) {
    if statement.body.holds().is_some() && !statement.diagnostics.is_empty() {
        out.push_str("<tr class=\"note\"><td colspan=\"3\">");
        notice::list(page, &statement.diagnostics, out);
        out.push_str("</td></tr>\n");
    }
}

/// The description below a relation.
pub(super) fn about(page: &Page, statement: &Statement, out: &mut String) {
    if !statement.description.is_empty() {
        out.push_str("<div class=\"about\">");
        prose::write(page, &statement.description, out);
        out.push_str("</div>");
    }
}

/// The tolerance of a relation.
pub(super) fn within(page: &Page, within: Option<&Expr>, out: &mut String) {
    if let Some(within) = within {
        out.push_str(" within ");
        mathml::write(&typeset::math(within, &page.context), out);
    }
}

/// The cells of a relation between sides and of their values.
fn comparison(
    page: &Page,
    statement: &Statement,
    members: &[(Expr, Shown)],
    relations: &[Relation],
    within: Option<&Expr>,
    out: &mut String,
) {
    let sign = |index: usize| {
        let relation = index
            .checked_sub(1)
            .and_then(|before| relations.get(before));
        relation.map_or("", |relation| typeset::relation(*relation))
    };
    out.push_str("<th scope=\"row\">");
    for (index, (member, _)) in members.iter().enumerate() {
        if index > 0 {
            out.push_str("<wbr/>");
        }
        mathml::write(&typeset::side(sign(index), member, &page.context).0, out);
    }
    self::within(page, within, out);
    about(page, statement, out);
    out.push_str("</th><td>");
    for (index, (_, shown)) in members.iter().enumerate() {
        if index > 0 {
            out.push(' ');
            escape(sign(index), out);
            out.push(' ');
        }
        mathml::write(&typeset::value(shown), out);
    }
    out.push_str("</td>");
}
