//! Tables: the data, and lists of results.

use super::block::{id, without_result};
use super::{Page, notice, prose};
use crate::typeset;
use crate::worksheet::{Body, Shown, Statement};

/// The table of a `given` block: symbol, value, description.
pub(super) fn given(page: &Page, statements: &[Statement], out: &mut String) {
    out.push_str(
        "<table class=\"given\">\n<caption class=\"name\">Given</caption>\n<thead><tr>\
         <th scope=\"col\">Symbol</th><th scope=\"col\">Value</th>\
         <th scope=\"col\">Description</th></tr></thead>\n<tbody>\n",
    );
    for statement in statements {
        out.push_str("<tr");
        id(statement, out);
        out.push('>');
        match &statement.body {
            Body::Given {
                symbol,
                formula,
                shown,
            } => {
                out.push_str("<th scope=\"row\">");
                typeset::symbol(*symbol, &page.context, out);
                out.push_str("</th><td>");
                match formula {
                    Some(formula) => {
                        typeset::side("", formula, &page.context, out);
                        out.push_str("<wbr/>");
                        typeset::result("=", shown, out);
                    }
                    None => typeset::value(shown, out),
                }
                out.push_str("</td><td>");
                prose::write(page, &statement.description, out);
                notice::list(page, &statement.diagnostics, out);
                out.push_str("</td>");
            }
            _ => {
                out.push_str("<td colspan=\"3\">");
                without_result(page, statement, out);
                out.push_str("</td>");
            }
        }
        out.push_str("</tr>\n");
    }
    out.push_str("</tbody>\n</table>\n");
}

/// How many entries of a list stand in one row.
const COLUMNS: usize = 4;

/// A list of results as a small table, with its unit in the head.
pub(super) fn list(shown: &Shown, out: &mut String) {
    use std::fmt::Write;
    out.push_str("<table class=\"list\">\n");
    for start in (0..typeset::entries(shown)).step_by(COLUMNS) {
        let row = start..(start + COLUMNS).min(typeset::entries(shown));
        out.push_str("<tr>");
        for index in row.clone() {
            let _ = write!(out, "<th scope=\"col\">{}</th>", index + 1);
        }
        out.push_str("</tr><tr>");
        for index in row {
            out.push_str("<td>");
            typeset::entry(shown, index, out);
            typeset::unit(&shown.unit, out);
            out.push_str("</td>");
        }
        out.push_str("</tr>\n");
    }
    out.push_str("</table>\n");
}
