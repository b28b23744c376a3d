//! Prose with what was asked for in it.

use super::{Page, notice};
use crate::document;
use crate::resolve::{Expr, ExprKind, SymbolId};
use crate::typeset::{self, escape, mathml};
use crate::worksheet::{Prose, Shown, Value};

pub(super) fn write(page: &Page, content: &[Prose], out: &mut String) {
    for run in content {
        match run {
            Prose::Html(html) => out.push_str(html),
            Prose::Tex { tex, display, .. } => document::tex(tex, *display, out),
            Prose::Reference {
                number,
                target,
                text,
                ..
            } => reference(*number, target, text.as_deref(), out),
            Prose::Value(value) => self::value(page, value, out),
            Prose::Failed {
                span,
                diagnostics,
                needs,
            } => {
                out.push_str("<span class=\"failed\"><code>");
                escape(page.worksheet.source.slice(*span), out);
                out.push_str("</code> (");
                notice::brief(page, diagnostics, needs, out);
                out.push_str(")</span>");
            }
        }
    }
}

/// "(3)", after the author's own words where there are any.
fn reference(number: usize, target: &str, text: Option<&str>, out: &mut String) {
    out.push_str("<a href=\"#");
    escape(target, out);
    out.push_str("\">");
    if let Some(text) = text {
        escape(text, out);
        out.push('\u{a0}');
    }
    super::line::number_text(number, out);
    out.push_str("</a>");
}

fn value(page: &Page, value: &Value, out: &mut String) {
    match &value.lead {
        // A name and its value stay on one line; a longer formula may break at its signs.
        Some(lead) if is_short(lead) => {
            out.push_str("<span class=\"value\">");
            mathml::write(&typeset::equality(lead, &value.shown, &page.context), out);
            out.push_str("</span>");
        }
        Some(lead) => mathml::write(&typeset::equality(lead, &value.shown, &page.context), out),
        None => {
            out.push_str("<span class=\"value\">");
            mathml::write(&typeset::value(&value.shown), out);
            out.push_str("</span>");
        }
    }
    conditions(page, &value.conditions, out);
}

/// Whether an expression is a name, a component, or the magnitude or direction of a name.
fn is_short(expr: &Expr) -> bool {
    match &expr.kind {
        ExprKind::Symbol(_) | ExprKind::Component(..) => true,
        ExprKind::Group(inner) | ExprKind::Abs(inner) => is_short(inner),
        ExprKind::Call { arguments, .. } => {
            matches!(arguments.as_slice(), [only] if only.inside().as_symbol().is_some())
        }
        _ => false,
    }
}

/// " at Q = 40 L/s, H = 3 m", after a result with replaced givens.
pub(super) fn conditions(page: &Page, conditions: &[(SymbolId, Shown)], out: &mut String) {
    for (index, (symbol, shown)) in conditions.iter().enumerate() {
        out.push_str(if index == 0 { " at " } else { ", " });
        mathml::write(&typeset::symbol(*symbol, &page.context), out);
        out.push('\u{2060}');
        mathml::write(&typeset::result("=", shown), out);
    }
}
