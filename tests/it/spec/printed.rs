//! Values and formulas as plain text, for comparison with what a case expects.

use setsquare::document::{Inline, Style};
use setsquare::text::Span;
use setsquare::worksheet::{
    Expr, ExprKind, Filled, Operator, Placed, Replacement, Shown, SymbolId, Text, Worksheet,
};

/// A value as it is printed, in plain text.
pub fn value(shown: &Shown) -> String {
    plain(&setsquare::page::printed(shown))
}

/// Text with blanks and minus signs of one kind.
pub fn plain(text: &str) -> String {
    text.replace(['\u{a0}', '\u{2009}', '\u{202f}'], " ")
        .replace('−', "-")
        .replace('⋅', "·")
}

/// The canonical spelling of a symbol, the source of anything else.
pub fn name(placed: &Placed, expr: &Expr) -> String {
    match expr.as_symbol() {
        Some(id) => key(placed, id),
        None => expr.span.of(&placed.problem.text).to_owned(),
    }
}

/// The canonical spelling of a symbol.
pub fn key(placed: &Placed, id: SymbolId) -> String {
    placed.problem.symbols.symbol(id).key.to_string()
}

/// ` at Q = 40 L/s`, or nothing.
pub fn conditions(placed: &Placed, conditions: &[(SymbolId, Replacement)]) -> String {
    let texts: Vec<String> = conditions
        .iter()
        .map(|(id, replacement)| {
            let text = match replacement {
                Replacement::Value(shown) => value(shown),
                Replacement::Formula(formula) => name(placed, formula),
            };
            format!("{} = {text}", key(placed, *id))
        })
        .collect();
    match texts.is_empty() {
        true => String::new(),
        false => format!(" at {}", texts.join(", ")),
    }
}

/// `V_1 (line 3), V_2 (line 4)`.
pub fn needs(worksheet: &Worksheet, placed: &Placed, needs: &[(SymbolId, Span)]) -> String {
    let texts: Vec<String> = needs
        .iter()
        .map(|(id, place)| {
            let line = worksheet.line(placed, *place);
            format!("{} (line {line})", key(placed, *id))
        })
        .collect();
    texts.join(", ")
}

/// A description as HTML, with what is evaluated as `{…}`.
pub fn description(placed: &Placed, text: &Text) -> String {
    let one = |inline: &Inline<Filled>| match inline {
        Inline::Text(words) => words.clone(),
        Inline::Styled(Style::Emphasis, inner) => {
            format!("<em>{}</em>", description(placed, inner))
        }
        Inline::Code(code) => format!("<code>{code}</code>"),
        Inline::Other(filled) => match &**filled {
            Filled::Value(asked) => format!("{{{}}}", inline_value(placed, asked)),
            other => format!("{other:?}"),
        },
        other => format!("{other:?}"),
    };
    plain(&text.iter().map(one).collect::<String>())
}

/// An ask in the text with its value.
pub fn inline_value(placed: &Placed, asked: &setsquare::worksheet::Value) -> String {
    let lead = match &asked.lead {
        Some(lead) => format!("{} = ", name(placed, lead)),
        None => String::new(),
    };
    let conditions = conditions(placed, &asked.conditions);
    format!("{lead}{}{conditions}", value(&asked.shown))
}

/// The pieces of a function, each with its condition: `F` and `0 <= x < a`.
pub fn pieces(placed: &Placed, expr: &Expr) -> Vec<(String, String)> {
    let ExprKind::Cases(cases) = &expr.kind else {
        return vec![(formula(placed, expr), String::new())];
    };
    let one = cases.iter().map(|case| {
        let mut text = String::new();
        if let Some(condition) = &case.condition {
            for (at, member) in condition.members.iter().enumerate() {
                let sign = at.checked_sub(1).and_then(|at| condition.relations.get(at));
                if let Some(sign) = sign {
                    text.push_str(&format!(" {} ", sign.sign().replace('≤', "<=")));
                }
                text.push_str(&formula(placed, member));
            }
        }
        (formula(placed, &case.value), text)
    });
    one.collect()
}

/// A formula as an author would type it, also where the engine wrote it.
pub fn formula(placed: &Placed, expr: &Expr) -> String {
    let one = |expr: &Expr| formula(placed, expr);
    let all = |exprs: &[Expr]| exprs.iter().map(one).collect::<Vec<_>>().join(", ");
    match &expr.kind {
        ExprKind::Numeral(value) => value.to_string(),
        ExprKind::Pi => "pi".to_owned(),
        ExprKind::Symbol(id) => key(placed, *id),
        ExprKind::Component(id, axis) => format!("{}.{}", key(placed, *id), axis.letter()),
        ExprKind::Constant(constant) => format!("constant({})", constant.name),
        ExprKind::Sum(terms) => terms
            .iter()
            .enumerate()
            .map(|(at, term)| {
                let sign = match (at, term.negative) {
                    (0, false) => "",
                    (0, true) => "-",
                    (_, false) => " + ",
                    (_, true) => " - ",
                };
                format!("{sign}{}", one(&term.expr))
            })
            .collect(),
        ExprKind::Product(factors) => factors
            .iter()
            .enumerate()
            .map(|(at, factor)| {
                let operator = match (at, factor.operator) {
                    (0, _) => "",
                    (_, Operator::Juxtapose) => " ",
                    (_, Operator::Times) => "*",
                    (_, Operator::Divide) => "/",
                };
                format!("{operator}{}", one(&factor.expr))
            })
            .collect(),
        ExprKind::Power(base, exponent) => format!("{}^{}", one(base), one(exponent)),
        ExprKind::Negative(inner) => format!("-{}", one(inner)),
        ExprKind::Group(inner) => format!("({})", one(inner)),
        ExprKind::Abs(inner) => format!("|{}|", one(inner)),
        ExprKind::Call {
            function,
            arguments,
            ..
        } => format!("{}({})", function.name(), all(arguments)),
        ExprKind::Vector(items) => format!("({})", all(items)),
        ExprKind::List(items) => format!("[{}]", all(items)),
        _ => expr.span.of(&placed.problem.text).to_owned(),
    }
}

/// The sides of an equation.
pub fn equation<'a>(placed: &Placed, sides: impl IntoIterator<Item = &'a Expr>) -> String {
    let sides: Vec<String> = sides
        .into_iter()
        .map(|side| formula(placed, side))
        .collect();
    sides.join(" = ")
}
