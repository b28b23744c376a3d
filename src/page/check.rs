//! The table of a `check` block: the relation in symbols, the figures, the verdict.

use super::block::{id, without_result};
use super::{Page, notice, prose};
use crate::typeset::{self, escape};
use crate::worksheet::{Body, Statement};

pub(super) fn table(page: &Page, statements: &[Statement], out: &mut String) {
    out.push_str(
        "<table class=\"check\">\n<caption class=\"name\">Checks</caption>\n<thead><tr>\
         <th scope=\"col\">Relation</th><th scope=\"col\">Figures</th>\
         <th scope=\"col\">Verdict</th></tr></thead>\n<tbody>\n",
    );
    for statement in statements {
        out.push_str("<tr");
        id(statement, out);
        out.push('>');
        row(page, statement, out);
        out.push_str("</tr>\n");
    }
    out.push_str("</tbody>\n</table>\n");
}

fn row(page: &Page, statement: &Statement, out: &mut String) {
    let Body::Check {
        members,
        relations,
        within,
        holds,
    } = &statement.body
    else {
        out.push_str("<td colspan=\"3\">");
        without_result(page, statement, out);
        out.push_str("</td>");
        return;
    };
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
        typeset::side(sign(index), member, &page.context, out);
    }
    if let Some(within) = within {
        out.push_str(" within ");
        typeset::math(within, &page.context, out);
    }
    if !statement.description.is_empty() {
        out.push_str("<div class=\"about\">");
        prose::write(page, &statement.description, out);
        out.push_str("</div>");
    }
    out.push_str("</th><td>");
    for (index, (_, shown)) in members.iter().enumerate() {
        if index > 0 {
            out.push(' ');
            escape(sign(index), out);
            out.push(' ');
        }
        typeset::value(shown, out);
    }
    out.push_str("</td><td class=\"verdict\">");
    out.push_str(if *holds {
        "✓ holds"
    } else {
        "✗ <strong>does not hold</strong>"
    });
    notice::list(page, &statement.diagnostics, out);
    out.push_str("</td>");
}
