//! The wording of what is refused because it has two readings, each with both spelled out.

use super::formula::Reader;
use super::{Expr, Factor, Name};
use crate::diagnostic::{Code, Diagnostic};
use crate::text::Span;

fn error(code: Code, span: Span, message: String, help: String) -> Box<Diagnostic> {
    Box::new(Diagnostic::error(code, span, message).with_help(help))
}

/// `a / b c`; `run` is the factor below the slash, `next` what follows it.
pub(super) fn slash(
    reader: &Reader<'_>,
    factors: &[Factor],
    run: usize,
    next: &Expr,
) -> Box<Diagnostic> {
    let spans = |from: usize, to: usize| {
        factors
            .get(from..to)
            .unwrap_or(&[])
            .iter()
            .map(|factor| factor.expr.span)
            .reduce(Span::cover)
            .unwrap_or(next.span)
    };
    let above = reader.slice(spans(0, run));
    let below = reader.slice(spans(run, factors.len()));
    let after = reader.slice(next.span);
    let place = spans(run.saturating_sub(1), run).cover(next.span);
    error(
        Code::S02,
        place,
        format!("`{}` has two readings", reader.slice(place)),
        format!("`{above}/({below} {after})` or `({above}/{below}) {after}`"),
    )
}

/// `sin 2 x`.
pub(super) fn argument_of_two(
    reader: &Reader<'_>,
    name: &Name,
    argument: &Expr,
    further: &Expr,
) -> Box<Diagnostic> {
    let (first, second) = (reader.slice(argument.span), reader.slice(further.span));
    let function = &name.key;
    let place = name.span.cover(further.span);
    error(
        Code::S03,
        place,
        format!("`{}` has two readings", reader.slice(place)),
        format!("`{function}({first} {second})` or `{function}({first})*{second}`"),
    )
}

/// `sin cos x`.
pub(super) fn function_of_function(
    reader: &Reader<'_>,
    name: &Name,
    argument: &Expr,
) -> Box<Diagnostic> {
    let (outer, inner) = (&name.key, reader.slice(argument.span));
    error(
        Code::S03,
        name.span.cover(argument.span),
        format!("`{outer} {inner}` has two readings"),
        format!("`{outer}({inner}(…))` or `{outer}(…)*{inner}(…)`"),
    )
}

/// `sin x^2`.
pub(super) fn power_of_argument(
    reader: &Reader<'_>,
    name: &Name,
    argument: &Expr,
) -> Box<Diagnostic> {
    let whole = reader.slice(argument.span);
    let (base, exponent) = split_power(reader, argument);
    let function = &name.key;
    error(
        Code::S04,
        name.span.cover(argument.span),
        format!("`{function} {whole}` has two readings"),
        format!("`{function}({whole})` or `{function}({base})^{exponent}`"),
    )
}

/// `sin (x)^2`.
pub(super) fn power_after_argument(
    reader: &Reader<'_>,
    call: Span,
    power: Span,
) -> Box<Diagnostic> {
    let text = reader.slice(call);
    let (function, argument) = text.split_once(['(', ' ']).unwrap_or((text, ""));
    let argument = argument
        .trim()
        .trim_start_matches('(')
        .trim_end_matches(')');
    error(
        Code::S04,
        call.cover(power),
        format!("the power after `{text}` has two readings"),
        format!("`{function}(({argument})^…)` or `({function}({argument}))^…`"),
    )
}

/// `sin^2 x`: `head` is `sin^2`.
pub(super) fn power_of_function(
    reader: &Reader<'_>,
    name: &Name,
    head: Span,
    argument: &Expr,
) -> Box<Diagnostic> {
    let function = &name.key;
    let argument_text = strip_brackets(reader.slice(argument.span));
    let exponent = exponent_after(reader.slice(head), reader.slice(name.span));
    let inverse = match (exponent.as_str(), &**function) {
        ("-1" | "(-1)", "sin" | "cos" | "tan") => {
            format!("`a{function}({argument_text})` or `1/{function}({argument_text})`")
        }
        _ => format!(
            "`{function}({argument_text})^{exponent}` or `{function}({function}({argument_text}))`"
        ),
    };
    let place = head.cover(argument.span);
    error(
        Code::S04,
        place,
        format!("`{}` has two readings", reader.slice(place)),
        inverse,
    )
}

/// `x²^3`.
pub(super) fn two_exponents(
    reader: &Reader<'_>,
    base: &Expr,
    hat: Span,
    exponent: &Expr,
) -> Box<Diagnostic> {
    let (first, second) = (reader.slice(base.span), reader.slice(exponent.span));
    let (stem, raised) = split_power(reader, base);
    error(
        Code::S01,
        hat,
        format!("`{first}^{second}` has two readings"),
        format!("`({first})^{second}` or `{stem}^({raised}^{second})`"),
    )
}

/// Bare `log`.
pub(super) fn bare_log(name: &Name) -> Box<Diagnostic> {
    error(
        Code::S05,
        name.span,
        "`log` has two readings: the natural logarithm and the one to base ten".to_owned(),
        "`ln(…)` or `log10(…)`".to_owned(),
    )
}

/// `|a| b |c|`.
pub(super) fn four_bars(reader: &Reader<'_>, first: &Expr, second: &Expr) -> Box<Diagnostic> {
    let place = first.span.cover(second.span);
    let inner = |expr: &Expr| reader.slice(expr.span).trim_matches('|').trim().to_owned();
    let between = reader
        .slice(Span {
            start: first.span.end,
            end: second.span.start,
        })
        .trim();
    let (a, b) = (inner(first), inner(second));
    let readings = if between.is_empty() {
        format!("`abs({a}) abs({b})`")
    } else {
        format!("`abs({a}) {between} abs({b})` or `abs({a} abs({between}) {b})`")
    };
    error(
        Code::S06,
        place,
        format!(
            "the four bars of `{}` pair in two ways",
            reader.slice(place)
        ),
        readings,
    )
}

/// `2(3)`.
pub(super) fn number_before_brackets(
    reader: &Reader<'_>,
    number: &Expr,
    group: &Expr,
) -> Box<Diagnostic> {
    let (first, second) = (reader.slice(number.span), reader.slice(group.span));
    let inner = strip_brackets(second);
    error(
        Code::S07,
        number.span.cover(group.span),
        format!("`{first}{second}` has two readings: a product, and a number with its uncertainty"),
        format!("`{first}*{inner}` or, in `given`, `{first} ± {inner}`"),
    )
}

/// `2 3`.
pub(super) fn two_numbers(reader: &Reader<'_>, first: &Expr, second: &Expr) -> Box<Diagnostic> {
    let (a, b) = (reader.slice(first.span), reader.slice(second.span));
    error(
        Code::S01,
        first.span.cover(second.span),
        format!("the numbers `{a}` and `{b}` stand side by side"),
        format!("`{a}*{b}` for a product, or `{a}{b}` for one number"),
    )
}

/// `sin(35)`: a warning.
pub(super) fn angle_without_unit(reader: &Reader<'_>, name: &Name, argument: &Expr) -> Diagnostic {
    let (function, angle) = (&name.key, reader.slice(argument.span));
    Diagnostic::warning(
        Code::S08,
        argument.span,
        format!("the angle `{angle}` of `{function}` has no unit and is taken in radians"),
    )
    .with_help(format!(
        "`{function}({angle} deg)` or `{function}({angle} rad)`"
    ))
}

/// `(1, 2, 3, 4)`.
pub(super) fn too_many_components(
    reader: &Reader<'_>,
    span: Span,
    count: usize,
) -> Box<Diagnostic> {
    let text = reader.slice(span);
    let inner = strip_brackets(text);
    error(
        Code::S01,
        span,
        format!("a vector has two or three components, and `{text}` has {count}"),
        format!("`(a, b)` or `(a, b, c)` for a vector, or `[{inner}]` for a list"),
    )
}

/// `sin.x`.
pub(super) fn component_of_function(
    reader: &Reader<'_>,
    name: &Name,
    span: Span,
) -> Box<Diagnostic> {
    let (text, function) = (reader.slice(span), &name.key);
    error(
        Code::S01,
        span,
        format!("`{text}` asks for a component of the function `{function}`"),
        format!("the component of a named vector, as in `V.x`, or `{function}(…)`"),
    )
}

/// `a < b > c`.
pub(super) fn mixed_relations(reader: &Reader<'_>, span: Span) -> Box<Diagnostic> {
    error(
        Code::S01,
        span,
        format!(
            "the relations of `{}` do not go one way",
            reader.slice(span)
        ),
        "a range such as `a < x < b`, or one relation a line".to_owned(),
    )
}

/// `otherwise` before the last branch.
pub(super) fn otherwise_not_last(span: Span) -> Box<Diagnostic> {
    error(
        Code::S01,
        span,
        "a branch with `otherwise` is the last one of its `cases`".to_owned(),
        "`cases(a for x < 1, b otherwise)`".to_owned(),
    )
}

/// Something is missing.
pub(super) fn incomplete(span: Span) -> Box<Diagnostic> {
    error(
        Code::S01,
        span,
        "a name, a number or a bracket is missing here".to_owned(),
        "complete the formula, as in `a + b`".to_owned(),
    )
}

fn strip_brackets(text: &str) -> &str {
    text.strip_prefix('(')
        .and_then(|inner| inner.strip_suffix(')'))
        .map_or(text, str::trim)
}

/// Base and exponent of a power as written, the exponent as it goes after `^`.
fn split_power(reader: &Reader<'_>, power: &Expr) -> (String, String) {
    let text = reader.slice(power.span);
    let super::ExprKind::Power(base, _) = &power.kind else {
        return (text.to_owned(), String::new());
    };
    let base = reader.slice(base.span);
    (base.to_owned(), exponent_after(text, base))
}

fn exponent_after(whole: &str, base: &str) -> String {
    let raised = whole.get(base.len()..).unwrap_or("").trim_start();
    match raised.strip_prefix('^') {
        Some(exponent) => exponent.trim_start().to_owned(),
        None => super::literal::superscript_value(raised).to_string(),
    }
}
