//! Lines of `derive` beyond equations: steps of the author with their verdicts, steps of the
//! engine, components, dimensions.

use std::fmt::Write;

use super::line::{about, equation, number, number_text, result_line};
use super::{Page, notice, prose};
use crate::proofs::{Ground, Verdict};
use crate::quantity::Dimension;
use crate::resolve::statement::{Branch, Origin, Solved, Step};
use crate::resolve::{Expr, ExprKind, SymbolId};
use crate::syntax::Axis;
use crate::typeset::{self, escape, mathml};
use crate::worksheet::{Prose, Statement};

/// `∴ a = b`, and whether it follows.
pub(super) fn therefore(
    page: &Page,
    statement: &Statement,
    members: &[Expr],
    verdict: &Verdict,
    out: &mut String,
) {
    equation(page, "∴", members, out);
    about(page, statement, out, |out| {
        out.push_str("<div class=\"verdict\">");
        self::verdict(page, statement, verdict, out);
        out.push_str("</div>");
    });
    number(statement, out);
    notice::whole(page, statement, out);
}

fn verdict(page: &Page, statement: &Statement, verdict: &Verdict, out: &mut String) {
    match verdict {
        Verdict::Proved {
            by,
            leaned,
            taking,
            not_zero,
        } => {
            out.push_str("✓ ");
            proved(page, statement, by, out);
            for (index, symbol) in taking.iter().enumerate() {
                out.push_str(if index == 0 { "\u{2060}, for " } else { ", " });
                more_than_zero(page, *symbol, out);
            }
            for (index, divisor) in not_zero.iter().enumerate() {
                let first = index == 0 && taking.is_empty();
                out.push_str(if first { "\u{2060}, for " } else { ", " });
                mathml::write(&typeset::math(divisor, &page.context), out);
                out.push_str(" ≠ 0");
            }
            self::leaned(page, leaned, out);
        }
        Verdict::Refuted { .. } => out.push_str("✗ <strong>does not follow</strong>"),
        Verdict::Undecided(_) => out.push_str("not decided"),
    }
}

/// "follows from (1), the equation above and the definition of A, with p₂ = 0"
fn proved(page: &Page, statement: &Statement, by: &[Ground], out: &mut String) {
    if by.is_empty() {
        out.push_str("an identity");
        return;
    }
    out.push_str("follows");
    let (values, sources): (Vec<&Ground>, Vec<&Ground>) = by
        .iter()
        .partition(|ground| matches!(ground, Ground::Value(_)));
    for (index, ground) in sources.iter().enumerate() {
        out.push_str(match index {
            0 => " from ",
            _ if index + 1 < sources.len() => "\u{2060}, ",
            _ => " and ",
        });
        match ground {
            Ground::Equation(origin, _) => source(page, statement, *origin, out),
            Ground::Definition(symbol) | Ground::Value(symbol) => {
                out.push_str("the definition of\u{a0}");
                mathml::write(&typeset::symbol(*symbol, &page.context), out);
            }
        }
    }
    for (index, ground) in values.iter().enumerate() {
        out.push_str(match index {
            0 if sources.is_empty() => " with ",
            0 => "\u{2060}, with ",
            _ => "\u{2060}, ",
        });
        let Ground::Value(symbol) = ground else {
            continue;
        };
        value(page, *symbol, out);
    }
}

/// An equation that something follows from, with a link: "(1)", "the equation above", "the
/// equation of line 12".
fn source(page: &Page, from: &Statement, origin: Origin, out: &mut String) {
    let Some(statement) = page.statement(origin) else {
        out.push_str("the equations above");
        return;
    };
    out.push_str("<a href=\"#");
    escape(&statement.id, out);
    out.push_str("\">");
    let next = Origin {
        statement: origin.statement + 1,
        ..origin
    };
    let is_next = page.statement(next).is_some_and(|next| next.id == from.id);
    match &statement.label {
        Some((_, number)) => number_text(*number, out),
        None if is_next => out.push_str("the equation above"),
        None => {
            // Writing to a string cannot fail.
            let _ = write!(out, "the equation of line\u{a0}{}", statement.line);
        }
    }
    out.push_str("</a>");
}

/// `p₂ = 0`, as it was given.
fn value(page: &Page, symbol: SymbolId, out: &mut String) {
    out.push_str("<span class=\"value\">");
    mathml::write(&typeset::symbol(symbol, &page.context), out);
    if let Some(shown) = page.given(symbol) {
        out.push('\u{2060}');
        mathml::write(&typeset::result("=", shown), out);
    }
    out.push_str("</span>");
}

fn more_than_zero(page: &Page, symbol: SymbolId, out: &mut String) {
    out.push_str("<span class=\"value\">");
    mathml::write(&typeset::symbol(symbol, &page.context), out);
    out.push('\u{2060}');
    mathml::write(&typeset::compared(">", "0"), out);
    out.push_str("</span>");
}

/// "uses that h is positive", "uses that h and V are positive, p₂ is zero"
fn leaned(page: &Page, symbols: &[SymbolId], out: &mut String) {
    let mut opening = "\u{2060}; uses that ";
    for sign in ["positive", "negative", "zero"] {
        let own: Vec<&SymbolId> = symbols
            .iter()
            .filter(|symbol| self::sign(page, **symbol) == sign)
            .collect();
        for (index, symbol) in own.iter().enumerate() {
            out.push_str(match index {
                0 => std::mem::replace(&mut opening, ", "),
                _ if index + 1 < own.len() => "\u{2060}, ",
                _ => " and ",
            });
            mathml::write(&typeset::symbol(**symbol, &page.context), out);
        }
        match own.len() {
            0 => continue,
            1 => out.push_str(" is "),
            _ => out.push_str(" are "),
        }
        out.push_str(sign);
    }
}

/// The sign of a symbol by its datum; what has none is known to be positive by a condition.
fn sign(page: &Page, symbol: SymbolId) -> &'static str {
    match page.given(symbol).and_then(|shown| shown.si.first()) {
        Some(value) if *value < 0.0 => "negative",
        Some(value) if *value == 0.0 => "zero",
        _ => "positive",
    }
}

/// "Solved (1) for x:", the steps, and each solution.
pub(super) fn solved(page: &Page, statement: &Statement, solved: &Solved, out: &mut String) {
    out.push_str("<p class=\"whole lead-in\">Solved ");
    for (index, origin) in solved.origins.iter().enumerate() {
        if index > 0 {
            out.push_str(", ");
        }
        source(page, statement, *origin, out);
    }
    out.push_str(" for ");
    for (index, symbol) in solved.unknowns.iter().enumerate() {
        if index > 0 {
            out.push_str("\u{2060}, ");
        }
        mathml::write(&typeset::symbol(*symbol, &page.context), out);
    }
    out.push_str("\u{2060}:</p>");
    for step in &solved.steps {
        self::step(page, step, out);
    }
    let last = solved.branches.len().saturating_sub(1);
    let mut said = String::new();
    for (index, branch) in solved.branches.iter().enumerate() {
        let mut remarks = String::new();
        self::remarks(page, branch, &mut remarks);
        // What was said of the solution before need not be said again.
        let news = if remarks == said {
            ""
        } else {
            remarks.as_str()
        };
        let described = if index == 0 {
            statement.description.as_slice()
        } else {
            &[]
        };
        let numbered = (index == last).then_some(statement);
        let way = Way {
            mark: if index > 0 { "or" } else { "" },
            described,
            remarks: news,
            numbered,
        };
        self::branch(page, solved, branch, &way, out);
        said = remarks;
    }
    notice::whole(page, statement, out);
}

/// An equation between, with what was done at its right.
fn step(page: &Page, step: &Step, out: &mut String) {
    result_line(true, out, |out| {
        equation(page, "", [&step.left, &step.right], out);
        out.push_str("<div class=\"about\">");
        escape(&step.words, out);
        if let Some(with) = &step.with {
            out.push(' ');
            mathml::write(&typeset::side("", with, &page.context).0, out);
        }
        out.push_str("</div>");
    });
}

/// What stands around the formulas of one solution.
struct Way<'a> {
    /// In front of the first.
    mark: &'a str,
    /// The description, at the right of the first.
    described: &'a [Prose],
    /// Below it, finished.
    remarks: &'a str,
    /// The statement whose number stands at the last.
    numbered: Option<&'a Statement>,
}

/// The formulas of one solution.
fn branch(page: &Page, solved: &Solved, branch: &Branch, way: &Way, out: &mut String) {
    let last = solved.unknowns.len().saturating_sub(1);
    for (index, (symbol, formula)) in solved.unknowns.iter().zip(&branch.formulas).enumerate() {
        let has_words = !way.described.is_empty() || !way.remarks.is_empty();
        let has_about = index == 0 && has_words;
        let lead = Expr {
            span: formula.span,
            kind: ExprKind::Symbol(*symbol),
        };
        result_line(has_about, out, |out| {
            let mark = if index == 0 { way.mark } else { "" };
            equation(page, mark, [&lead, formula], out);
            if has_about {
                out.push_str("<div class=\"about\">");
                prose::write(page, way.described, out);
                out.push_str(way.remarks);
                out.push_str("</div>");
            }
            if let Some(statement) = way.numbered.filter(|_| index == last) {
                number(statement, out);
            }
        });
    }
}

/// What a solution rests on.
fn remarks(page: &Page, branch: &Branch, out: &mut String) {
    let mut parts = Vec::new();
    let divisors = branch
        .not_zero
        .iter()
        .filter(|divisor| holds_a_sum(divisor));
    for divisor in divisors {
        let mut part = "where ".to_owned();
        mathml::write(&typeset::side("", divisor, &page.context).0, &mut part);
        part.push('\u{2060}');
        mathml::write(&typeset::compared("≠", "0"), &mut part);
        parts.push(part);
    }
    if branch.chosen {
        parts.push("the solution that meets the condition".to_owned());
    }
    if branch.is_principal && !branch.chosen {
        parts.push("the principal value; other angles satisfy it, too".to_owned());
    }
    let mut part = String::new();
    leaned(page, &branch.leaned, &mut part);
    if !part.is_empty() {
        parts.push(part.trim_start_matches("\u{2060}; ").to_owned());
    }
    if !parts.is_empty() {
        out.push_str("<div class=\"verdict\">");
        out.push_str(&parts.join("\u{2060}; "));
        out.push_str("</div>");
    }
}

/// Whether a divisor can vanish by its terms: that a symbol alone must not be zero, everyone sees.
fn holds_a_sum(expr: &Expr) -> bool {
    if matches!(expr.kind, ExprKind::Sum(_)) {
        return true;
    }
    let mut found = false;
    expr.for_each_part(|part| found |= holds_a_sum(part));
    found
}

/// "x component of (2):" and the equation.
pub(super) fn component(
    page: &Page,
    statement: &Statement,
    axis: Axis,
    of: usize,
    members: &[Expr],
    out: &mut String,
) {
    out.push_str("<p class=\"whole lead-in\">");
    mathml::write(&typeset::axis(axis), out);
    out.push_str(" component of\u{a0}");
    number_text(of, out);
    out.push_str(":</p>");
    result_line(!statement.description.is_empty(), out, |out| {
        equation(page, "", members, out);
        about(page, statement, out, |_| {});
        number(statement, out);
    });
    notice::whole(page, statement, out);
}

/// The dimensions of symbols as a small table.
pub(super) fn dimensions(
    page: &Page,
    statement: &Statement,
    symbols: &[(SymbolId, Option<Dimension>)],
    out: &mut String,
) {
    out.push_str(
        "<div class=\"whole\"><table class=\"dimensions\">\n\
         <caption class=\"name\">Dimensions</caption>\n<thead><tr>\
         <th scope=\"col\">Symbol</th><th scope=\"col\">Dimension</th>\
         <th scope=\"col\">SI unit</th></tr></thead>\n<tbody>\n",
    );
    for (symbol, dimension) in symbols {
        out.push_str("<tr><th scope=\"row\">");
        mathml::write(&typeset::symbol(*symbol, &page.context), out);
        out.push_str("</th><td>");
        match dimension {
            Some(dimension) => {
                match dimension.noun() {
                    Some(noun) => escape(noun, out),
                    None => escape(&dimension.formula(), out),
                }
                out.push_str("</td><td>");
                escape(&dimension.symbol(), out);
            }
            None => out.push_str("open</td><td>"),
        }
        out.push_str("</td></tr>\n");
    }
    out.push_str("</tbody>\n</table></div>");
    if !statement.description.is_empty() {
        out.push_str("<div class=\"whole quiet\">");
        prose::write(page, &statement.description, out);
        out.push_str("</div>");
    }
    notice::whole(page, statement, out);
}
