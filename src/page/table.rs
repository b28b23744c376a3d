//! Tables: the data, and lists of results.

use super::block::{id, without_result};
use super::{Marks, Page, notice, prose};
use crate::typeset::{self, mathml};
use crate::worksheet::{Body, Shown, Statement};

/// The table of a `given` block: symbol, value, description.
pub(super) fn given(page: &Page, statements: &[Statement], marks: &mut Marks, out: &mut String) {
    out.push_str(
        "<table class=\"given\">\n<caption class=\"name\">Given</caption>\n<thead><tr>\
         <th scope=\"col\">Symbol</th><th scope=\"col\">Value</th>\
         <th scope=\"col\">Description</th></tr></thead>\n<tbody>\n",
    );
    for statement in statements {
        let start = out.len();
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
                mathml::write(&typeset::symbol(*symbol, &page.context), out);
                out.push_str("</th><td>");
                match formula {
                    Some(formula) => {
                        mathml::write(&typeset::side("", formula, &page.context).0, out);
                        out.push_str("<wbr/>");
                        mathml::write(&typeset::result("=", shown), out);
                    }
                    None => mathml::write(&typeset::value(shown), out),
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
        marks.statement(statement, start, out);
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
            mathml::write(&typeset::entry(shown, index), out);
            mathml::write(&typeset::unit(&shown.unit), out);
            out.push_str("</td>");
        }
        out.push_str("</tr>\n");
    }
    out.push_str("</table>\n");
}
