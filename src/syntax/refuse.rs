//! The wording of what is refused because it has two readings, each with both spelled out.

use super::reader::{Reader, error, gap};
use super::{Expr, ExprKind, Factor, Name};
use crate::diagnostic::{Code, Diagnostic, Fix};
use crate::text::Span;

/// The same with the fixes that could be made.
fn mended(
    mut refusal: Box<Diagnostic>,
    fixes: impl IntoIterator<Item = Option<Fix>>,
) -> Box<Diagnostic> {
    refusal.fixes.extend(fixes.into_iter().flatten());
    refusal
}

/// An empty place before or after what stands at `span`.
fn before(span: Span) -> Span {
    Span {
        end: span.start,
        ..span
    }
}

/// `a / b c`; `run` is the factor below the slash, `next` what follows it,
/// `end` the last factor that stands without an operator between.
pub(super) fn slash(
    reader: &Reader<'_>,
    factors: &[Factor],
    run: usize,
    next: &Expr,
    end: Option<Span>,
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
    let (whole, divisor) = (spans(0, factors.len()), spans(run, factors.len()));
    let fixes = end.map(|end| {
        let written = whole.cover(end);
        [
            reader.choice(written, &[(before(divisor), "("), (end.at_end(), ")")]),
            reader.choice(written, &[(before(whole), "("), (whole.at_end(), ")")]),
        ]
    });
    let refusal = error(
        Code::S02,
        place,
        format!("`{}` has two readings", reader.slice(place)),
        format!("`{above}/({below} {after})` or `({above}/{below}) {after}`"),
    );
    mended(refusal, fixes.into_iter().flatten())
}

/// `sin 2 x`, `atan a/b`; `further` is what could belong to the argument, and whether an operator
/// stands before it.
pub(super) fn argument_of_two(
    reader: &Reader<'_>,
    name: &Name,
    argument: &Expr,
    (has_operator, further): (bool, &Expr),
) -> Box<Diagnostic> {
    let between = gap(argument.span, further.span);
    let link = if has_operator {
        reader.slice(between)
    } else {
        "*"
    };
    let inside = Span {
        start: argument.span.start,
        ..argument.span.cover(further.span)
    };
    let (first, second) = (reader.slice(argument.span), reader.slice(further.span));
    let function = &name.key;
    let place = name.span.cover(further.span);
    let open = (gap(name.span, argument.span), "(");
    let both = (further.span.at_end(), ")");
    let first_only = match has_operator {
        true => (argument.span.at_end(), ")"),
        false => (between, ")*"),
    };
    let refusal = error(
        Code::S03,
        place,
        format!("`{}` has two readings", reader.slice(place)),
        format!(
            "`{function}({})` or `{function}({first}){link}{second}`",
            reader.slice(inside)
        ),
    );
    mended(
        refusal,
        [
            reader.choice(place, &[open, both]),
            reader.choice(place, &[open, first_only]),
        ],
    )
}

/// `exp -x`: a sign behind a function that has no argument yet.
pub(super) fn signed_argument(
    reader: &Reader<'_>,
    name: &Name,
    sign: Span,
    term: &Expr,
) -> Box<Diagnostic> {
    let function = &name.key;
    let (sign_text, text) = (reader.slice(sign), reader.slice(term.span));
    let place = name.span.cover(term.span);
    let refusal = error(
        Code::S03,
        place,
        format!("`{}` has two readings", reader.slice(place)),
        format!("`{function}({sign_text}{text})` or `{function}(…) {sign_text} {text}`"),
    );
    let all = reader.choice(
        place,
        &[(gap(name.span, sign), "("), (term.span.at_end(), ")")],
    );
    mended(refusal, [all])
}

/// `sin cos x`; `innermost` is what follows.
pub(super) fn function_of_function(
    reader: &Reader<'_>,
    name: &Name,
    argument: &Expr,
    innermost: Option<&Expr>,
) -> Box<Diagnostic> {
    let (outer, inner) = (&name.key, reader.slice(argument.span));
    let refusal = error(
        Code::S03,
        name.span.cover(argument.span),
        format!("`{outer} {inner}` has two readings"),
        format!("`{outer}({inner}(…))` or `{outer}(…)*{inner}(…)`"),
    );
    let nested = innermost.and_then(|innermost| {
        reader.choice(
            name.span.cover(innermost.span),
            &[
                (gap(name.span, argument.span), "("),
                (innermost.span.at_end(), ")"),
            ],
        )
    });
    mended(refusal, [nested])
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
    let place = name.span.cover(argument.span);
    let open = (gap(name.span, argument.span), "(");
    let base_end = match &argument.kind {
        ExprKind::Power(base, _) => base.span,
        _ => argument.span,
    };
    let refusal = error(
        Code::S04,
        place,
        format!("`{function} {whole}` has two readings"),
        format!("`{function}({whole})` or `{function}({base})^{exponent}`"),
    );
    mended(
        refusal,
        [argument.span, base_end]
            .map(|inside| reader.choice(place, &[open, (inside.at_end(), ")")])),
    )
}

/// `sin (x)^2`; `exponent` ends what is raised.
pub(super) fn power_after_argument(
    reader: &Reader<'_>,
    (name, call): (&Name, Span),
    power: Span,
    exponent: Option<Span>,
) -> Box<Diagnostic> {
    let text = reader.slice(call);
    let (function, argument) = text.split_once(['(', ' ']).unwrap_or((text, ""));
    let argument = argument
        .trim()
        .trim_start_matches('(')
        .trim_end_matches(')');
    let refusal = error(
        Code::S04,
        call.cover(power),
        format!("the power after `{text}` has two readings"),
        format!("`{function}(({argument})^…)` or `({function}({argument}))^…`"),
    );
    let blanks = text.get(name.span.len()..).unwrap_or("");
    let blanks = blanks.len() - blanks.trim_start().len();
    let after_name = Span {
        start: name.span.end,
        end: name.span.end + blanks as u32,
    };
    let fixes = exponent.map(|exponent| {
        let whole = call.cover(exponent);
        [
            reader.choice(whole, &[(after_name, "("), (exponent.at_end(), ")")]),
            reader.choice(whole, &[(before(call), "("), (call.at_end(), ")")]),
        ]
    });
    mended(refusal, fixes.into_iter().flatten())
}

/// `sin^2 x`: `head` is `sin^2`.
pub(super) fn power_of_function(
    reader: &Reader<'_>,
    name: &Name,
    head: Span,
    argument: &Expr,
) -> Box<Diagnostic> {
    let function = &name.key;
    let is_bracketed = matches!(argument.kind, ExprKind::Group(_));
    let argument_text = match is_bracketed {
        true => strip_brackets(reader.slice(argument.span)),
        false => reader.slice(argument.span),
    };
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
    let (open, close) = if is_bracketed { ("", "") } else { ("(", ")") };
    let between = gap(name.span, argument.span);
    let written = |front: &str, link: &str, end: &str| {
        let edits = [
            (before(name.span), front),
            (between, &*format!("{link}{open}")),
            (argument.span.at_end(), &*format!("{close}{end}")),
        ];
        let from = usize::from(front.is_empty());
        reader.choice(place, edits.get(from..).unwrap_or_default())
    };
    let fixes = match (exponent.as_str(), &**function) {
        ("-1" | "(-1)", "sin" | "cos" | "tan") => [written("a", "", ""), written("(1/", "", ")")],
        _ => [
            written("", "", &format!("^{exponent}")),
            written("", &format!("({function}"), ")"),
        ],
    };
    let refusal = error(
        Code::S04,
        place,
        format!("`{}` has two readings", reader.slice(place)),
        inverse,
    );
    mended(refusal, fixes)
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
    let place = base.span.cover(exponent.span);
    let tower = match &base.kind {
        ExprKind::Power(_, mark) => reader.choice(
            place,
            &[
                (mark.span, &*format!("^({raised}")),
                (exponent.span.at_end(), ")"),
            ],
        ),
        _ => None,
    };
    let power = reader.choice(
        place,
        &[(before(base.span), "("), (base.span.at_end(), ")")],
    );
    let refusal = error(
        Code::S01,
        hat,
        format!("`{first}^{second}` has two readings"),
        format!("`({first})^{second}` or `{stem}^({raised}^{second})`"),
    );
    mended(refusal, [power, tower])
}

/// Bare `log`.
pub(super) fn bare_log(name: &Name) -> Box<Diagnostic> {
    let refusal = error(
        Code::S05,
        name.span,
        "`log` has two readings: the natural logarithm and the one to base ten".to_owned(),
        "`ln(…)` or `log10(…)`".to_owned(),
    );
    Box::new(
        refusal
            .with_choice(name.span, "ln")
            .with_choice(name.span, "log10"),
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
    let refusal = error(
        Code::S06,
        place,
        format!(
            "the four bars of `{}` pair in two ways",
            reader.slice(place)
        ),
        readings,
    );
    mended(refusal, paired_bars(reader, place, first, second))
}

/// Two magnitudes side by side, or one in the other.
fn paired_bars(reader: &Reader<'_>, place: Span, first: &Expr, second: &Expr) -> [Option<Fix>; 2] {
    let (Some((a, b)), Some((c, d))) = (bars(first), bars(second)) else {
        return [None, None];
    };
    let touching = b.end == c.start;
    let third = if touching { " abs(" } else { "abs(" };
    let beside = [(a, "abs("), (b, ")"), (c, third), (d, ")")];
    let blanks = |text: &str| (text.len() - text.trim().len()) as u32;
    let between = reader.slice(gap(b, c));
    let left = blanks(between.trim_end_matches(' '));
    let right = blanks(between.trim_start_matches(' '));
    let inner_open = Span {
        end: b.end + left,
        ..b
    };
    let inner_close = Span {
        start: c.start.saturating_sub(right),
        ..c
    };
    let within = [
        (a, "abs("),
        (inner_open, " abs("),
        (inner_close, ") "),
        (d, ")"),
    ];
    let is_empty = between.trim().is_empty();
    [
        reader.choice(place, &beside),
        (!is_empty).then(|| reader.choice(place, &within)).flatten(),
    ]
}

/// The two bars of a magnitude.
fn bars(expr: &Expr) -> Option<(Span, Span)> {
    match &expr.kind {
        ExprKind::Abs(_) => Some(ends(expr.span)),
        ExprKind::Power(base, _) => bars(base),
        _ => None,
    }
}

/// The first and the last byte.
fn ends(span: Span) -> (Span, Span) {
    let first = Span {
        end: span.start + 1,
        ..span
    };
    let last = Span {
        start: span.end.saturating_sub(1),
        ..span
    };
    (first, last)
}

/// `2(3)`.
pub(super) fn number_before_brackets(
    reader: &Reader<'_>,
    number: &Expr,
    group: &Expr,
) -> Box<Diagnostic> {
    let (first, second) = (reader.slice(number.span), reader.slice(group.span));
    let inner = strip_brackets(second);
    let place = number.span.cover(group.span);
    let refusal = error(
        Code::S07,
        place,
        format!("`{first}{second}` has two readings: a product, and a number with its uncertainty"),
        format!("`{first}*{inner}` or, in `given`, `{first} ± {inner}`"),
    );
    let product = reader.choice(place, &[(group.span, &*format!("*{inner}"))]);
    mended(refusal, [product])
}

/// `2 3`.
pub(super) fn two_numbers(reader: &Reader<'_>, first: &Expr, second: &Expr) -> Box<Diagnostic> {
    let (a, b) = (reader.slice(first.span), reader.slice(second.span));
    let place = first.span.cover(second.span);
    let refusal = error(
        Code::S01,
        place,
        format!("the numbers `{a}` and `{b}` stand side by side"),
        format!("`{a}*{b}` for a product, or `{a}{b}` for one number"),
    );
    let between = gap(first.span, second.span);
    mended(
        refusal,
        ["*", ""].map(|link| reader.choice(place, &[(between, link)])),
    )
}

/// `sin(35)`: a warning.
pub(super) fn angle_without_unit(reader: &Reader<'_>, name: &Name, argument: &Expr) -> Diagnostic {
    let (function, angle) = (&name.key, reader.slice(argument.span));
    let between = gap(name.span, argument.span);
    let mut place = name.span.cover(argument.span);
    let close = Span {
        start: place.end,
        end: place.end + 1,
    };
    if reader.slice(close) == ")" {
        place = place.cover(close);
    }
    let fixes = ["deg", "rad"].map(|unit| {
        if reader.slice(between).contains('(') {
            return reader.choice(place, &[(argument.span.at_end(), &*format!(" {unit}"))]);
        }
        let (open, close) = ((between, "("), format!(" {unit})"));
        reader.choice(place, &[open, (argument.span.at_end(), &*close)])
    });
    Diagnostic::warning(
        Code::S08,
        argument.span,
        format!("the angle `{angle}` of `{function}` has no unit and is taken in radians"),
    )
    .with_help(format!(
        "`{function}({angle} deg)` or `{function}({angle} rad)`"
    ))
    .with_fixes(fixes.into_iter().flatten())
}

/// `(1, 2, 3, 4)`.
pub(super) fn too_many_components(
    reader: &Reader<'_>,
    span: Span,
    count: usize,
) -> Box<Diagnostic> {
    let text = reader.slice(span);
    let inner = strip_brackets(text);
    let refusal = error(
        Code::S01,
        span,
        format!("a vector has two or three components, and `{text}` has {count}"),
        format!("`(a, b)` or `(a, b, c)` for a vector, or `[{inner}]` for a list"),
    );
    let (open, close) = ends(span);
    mended(refusal, [reader.choice(span, &[(open, "["), (close, "]")])])
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

/// `(a_i where n_i = 1, b_i)`: a component is one number.
pub(super) fn rows_as_component(reader: &Reader<'_>, chosen: &Expr) -> Box<Diagnostic> {
    let written = reader.slice(chosen.span);
    error(
        Code::V01,
        chosen.span,
        format!("`{written}` is rows of a list, and a component of a vector is one number"),
        "one number of them, such as their mean".to_owned(),
    )
}
