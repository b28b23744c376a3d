//! Values and formulas as plain text, for comparison with what a case expects.

use setsquare::document::{Inline, Style};
use setsquare::resolve::{Expr, ExprKind, SymbolId};
use setsquare::syntax::Operator;
use setsquare::worksheet::{Filled, Shown, Worksheet};

/// A value as it is printed, in plain text.
pub fn value(shown: &Shown) -> String {
    plain(&setsquare::typeset::text(shown))
}

/// Text with blanks and minus signs of one kind.
pub fn plain(text: &str) -> String {
    text.replace(['\u{a0}', '\u{2009}', '\u{202f}'], " ")
        .replace('−', "-")
        .replace('⋅', "·")
}

/// The canonical spelling of a symbol, the source of anything else.
pub fn name(worksheet: &Worksheet, expr: &Expr) -> String {
    match expr.as_symbol() {
        Some(id) => key(worksheet, id),
        None => worksheet.source.slice(expr.span).to_owned(),
    }
}

/// The canonical spelling of a symbol.
pub fn key(worksheet: &Worksheet, id: SymbolId) -> String {
    worksheet.symbols.symbol(id).key.to_string()
}

/// ` at Q = 40 L/s`, or nothing.
pub fn conditions(worksheet: &Worksheet, conditions: &[(SymbolId, Shown)]) -> String {
    let texts: Vec<String> = conditions
        .iter()
        .map(|(id, shown)| format!("{} = {}", key(worksheet, *id), value(shown)))
        .collect();
    match texts.is_empty() {
        true => String::new(),
        false => format!(" at {}", texts.join(", ")),
    }
}

/// `V_1 (line 3), V_2 (line 4)`.
pub fn needs(worksheet: &Worksheet, needs: &[(SymbolId, usize)]) -> String {
    let texts: Vec<String> = needs
        .iter()
        .map(|(id, line)| format!("{} (line {line})", key(worksheet, *id)))
        .collect();
    texts.join(", ")
}

/// A description, its emphasis as HTML, with what is evaluated as `{…}`.
pub fn description(worksheet: &Worksheet, text: &[Inline<Filled>]) -> String {
    let one = |inline: &Inline<Filled>| match inline {
        Inline::Text(words) => words.clone(),
        Inline::Styled(Style::Emphasis, inner) => {
            format!("<em>{}</em>", description(worksheet, inner))
        }
        Inline::Other(Filled::Value(asked)) => format!("{{{}}}", self::inline(worksheet, asked)),
        other => format!("{other:?}"),
    };
    text.iter().map(one).collect()
}

/// An ask in the text with its value.
pub fn inline(worksheet: &Worksheet, asked: &setsquare::worksheet::Value) -> String {
    let lead = match &asked.lead {
        Some(lead) => format!("{} = ", name(worksheet, lead)),
        None => String::new(),
    };
    let conditions = conditions(worksheet, &asked.conditions);
    format!("{lead}{}{conditions}", value(&asked.shown))
}

/// A formula as an author would type it, also where the engine wrote it.
pub fn formula(worksheet: &Worksheet, expr: &Expr) -> String {
    let one = |expr: &Expr| formula(worksheet, expr);
    let all = |exprs: &[Expr]| exprs.iter().map(one).collect::<Vec<_>>().join(", ");
    match &expr.kind {
        ExprKind::Numeral(value) => value.to_string(),
        ExprKind::Pi => "pi".to_owned(),
        ExprKind::Symbol(id) => key(worksheet, *id),
        ExprKind::Component(id, axis) => format!("{}.{}", key(worksheet, *id), axis.letter()),
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
        _ => worksheet.source.slice(expr.span).to_owned(),
    }
}

/// The sides of an equation.
pub fn equation<'a>(worksheet: &Worksheet, sides: impl IntoIterator<Item = &'a Expr>) -> String {
    let sides: Vec<String> = sides
        .into_iter()
        .map(|side| formula(worksheet, side))
        .collect();
    sides.join(" = ")
}
