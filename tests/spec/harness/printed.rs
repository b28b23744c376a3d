//! Values and formulas as plain text, for comparison with what a case expects.

use setsquare::resolve::{Expr, SymbolId};
use setsquare::worksheet::{Prose, Shown, Worksheet};

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

/// The HTML of a run of prose, with what is evaluated as `{…}`.
pub fn html(worksheet: &Worksheet, prose: &[Prose]) -> String {
    let mut out = String::new();
    for piece in prose {
        match piece {
            Prose::Html(html) => out += html,
            Prose::Tex { tex, .. } => out += &format!("{{tex {tex}}}"),
            Prose::Reference { number, text, .. } => match text {
                Some(text) => out += &format!("{{{text} ({number})}}"),
                None => out += &format!("{{({number})}}"),
            },
            Prose::Value(shown) => out += &format!("{{{}}}", inline(worksheet, shown)),
            Prose::Failed { .. } => out += "{failed}",
        }
    }
    plain(&out)
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
