//! Lines of `check` that look at how a result goes with a given.

use super::block::id;
use super::check::{about, within};
use super::{Marks, Page, notice};
use crate::resolve::statement::{End, Way};
use crate::resolve::{Expr, ExprKind};
use crate::typeset::{self, mathml};
use crate::worksheet::{Body, Limit, Sensitivity, Statement, Trend};

/// Figures of an exponent that was found.
const FIGURES: u8 = 4;

/// " rises with "
pub(super) fn trend_words(way: &Way) -> &'static str {
    match way {
        Way::Rises => " rises with ",
        Way::Falls => " falls with ",
        Way::Independent => " does not depend on ",
        Way::Power(_) => " varies as ",
    }
}

/// The cells of a trend: what it says, and the derivative.
pub(super) fn trend(page: &Page, statement: &Statement, trend: &Trend, out: &mut String) {
    out.push_str("<th scope=\"row\">");
    mathml::write(&typeset::side("", &trend.subject, &page.context).0, out);
    out.push_str(trend_words(&trend.way));
    match &trend.way {
        Way::Power(exponent) => {
            mathml::write(&typeset::power(trend.with, exponent, &page.context), out)
        }
        _ => mathml::write(&typeset::symbol(trend.with, &page.context), out),
    }
    within(page, trend.within.as_ref(), out);
    about(page, statement, out);
    out.push_str("</th><td>");
    mathml::write(
        &typeset::derivative(&trend.subject, trend.with, &page.context),
        out,
    );
    // That 0 is 0 need not be said.
    let formula = trend.formula.as_ref();
    let is_number = |formula: &&Expr| matches!(formula.inside().kind, ExprKind::Numeral(_));
    if let Some(formula) = formula.filter(|formula| !is_number(formula)) {
        out.push_str("<wbr/>");
        mathml::write(&typeset::side("=", formula, &page.context).0, out);
        out.push_str("<wbr/>");
    }
    mathml::write(&typeset::result("=", &trend.derivative), out);
    if let (Way::Power(_), Some(exponent)) = (&trend.way, trend.exponent) {
        out.push_str("<div>exponent\u{a0}");
        mathml::write(&typeset::number(exponent, FIGURES), out);
        out.push_str("</div>");
    }
    out.push_str("</td>");
}

/// The cells of a limit: what it says, and what was reached.
pub(super) fn limit(page: &Page, statement: &Statement, limit: &Limit, out: &mut String) {
    out.push_str("<th scope=\"row\">");
    mathml::write(&typeset::side("", &limit.subject, &page.context).0, out);
    tends(page, &limit.value, out);
    out.push_str(" as <span class=\"value\">");
    mathml::write(&typeset::symbol(limit.with, &page.context), out);
    tends(page, &limit.at, out);
    out.push_str("</span>");
    about(page, statement, out);
    out.push_str("</th><td>reaches <span class=\"value\">");
    mathml::write(&typeset::value(&limit.reached), out);
    out.push_str("</span></td>");
}

/// " → 0"
fn tends(page: &Page, end: &End, out: &mut String) {
    match end {
        End::Value(value) => {
            mathml::write(&typeset::side("→", value, &page.context).0, out);
        }
        End::Infinite { negative, .. } => {
            let end = if *negative { "−∞" } else { "∞" };
            mathml::write(&typeset::compared("→", end), out);
        }
    }
}

/// The tables of how much each given matters, below the checks of their block.
pub(super) fn tables(page: &Page, statements: &[Statement], marks: &mut Marks, out: &mut String) {
    for statement in statements {
        if let Body::Sensitivity(sensitivity) = &statement.body {
            let start = out.len();
            table(page, statement, sensitivity, out);
            marks.statement(statement, start, out);
            notice::list(page, &statement.diagnostics, out);
        }
    }
}

fn table(page: &Page, statement: &Statement, sensitivity: &Sensitivity, out: &mut String) {
    out.push_str("<table class=\"sensitivity\"");
    id(statement, out);
    out.push_str(">\n<caption class=\"name\">Sensitivity of\u{a0}");
    // Symbols and units keep their case: mW is not MW.
    out.push_str("<span class=\"as-written\">");
    mathml::write(&typeset::math(&sensitivity.subject, &page.context), out);
    mathml::write(&typeset::result("=", &sensitivity.shown), out);
    out.push_str("</span>");
    about(page, statement, out);
    out.push_str(
        "</caption>\n<thead><tr><th scope=\"col\">Given</th><th scope=\"col\">Value</th>\
         <th scope=\"col\">Derivative</th>\
         <th scope=\"col\">Change for +1\u{a0}%</th></tr></thead>\n<tbody>\n",
    );
    for row in &sensitivity.rows {
        out.push_str("<tr><th scope=\"row\">");
        mathml::write(&typeset::symbol(row.given, &page.context), out);
        out.push_str("</th><td>");
        mathml::write(&typeset::value(&row.shown), out);
        out.push_str("</td><td>");
        mathml::write(&typeset::value(&row.derivative), out);
        out.push_str("</td><td>");
        match row.change {
            Some(change) => percent(change, out),
            None => out.push('–'),
        }
        out.push_str("</td></tr>\n");
    }
    out.push_str("</tbody>\n</table>\n");
}

/// A part as a percentage with its sign.
fn percent(part: f64, out: &mut String) {
    if part > 0.0 {
        out.push('+');
    }
    mathml::write(&typeset::number(part * 100.0, 2), out);
    out.push_str("\u{a0}%");
}
