//! Values as they are printed: digits, unit, uncertainty and datum word, as MathML, HTML or text.

use super::escape::escape;
use super::number::{self, Parts};
use crate::quantity::{Decimal, Unit, to_figures};
use crate::resolve::Shape;
use crate::worksheet::Shown;

/// Appends a value as HTML: `3.006 m/s`, `(50.02 ± 0.04) mm`, `420 kPa gauge`.
pub fn value(shown: &Shown, out: &mut String) {
    let concise = shown
        .uncertainty_written
        .as_deref()
        .map(str::trim)
        .filter(|text| text.starts_with('(') && !text.starts_with("(k"));
    if let Some(text) = concise {
        numbers(shown, out);
        let (digits, coverage) = text.split_once("(k").unwrap_or((text, ""));
        escape(digits.trim(), out);
        unit(&shown.unit, out);
        factor(coverage, out);
    } else if shown.uncertainty.is_some() || shown.uncertainty_written.is_some() {
        uncertain(shown, out);
    } else {
        numbers(shown, out);
        unit(&shown.unit, out);
    }
    if let Some(word) = shown.word {
        out.push('\u{a0}');
        out.push_str(word);
    }
}

/// `(50.02 ± 0.04) mm (k = 2)`, or `50.02 mm ± 0.2 %`.
fn uncertain(shown: &Shown, out: &mut String) {
    let written = shown.uncertainty_written.as_deref().map(|text| {
        let text = text.trim().trim_start_matches("+/-");
        let (amount, coverage) = text.split_once("(k").unwrap_or((text, ""));
        (amount.trim_start_matches(['±', ' ']).trim(), coverage)
    });
    let (amount, coverage) = written.unwrap_or(("", ""));
    let plain = shown.unit.text().is_empty();
    if amount.ends_with('%') {
        numbers(shown, out);
        unit(&shown.unit, out);
        out.push_str("\u{2009}±\u{2009}");
        escape(amount.trim_end_matches(['%', ' ']), out);
        out.push_str("\u{a0}%");
    } else {
        if !plain {
            out.push('(');
        }
        numbers(shown, out);
        out.push_str("\u{2009}±\u{2009}");
        match (&shown.uncertainty, amount.is_empty()) {
            (_, false) => number::parts(amount).html(out),
            (Some(digits), true) => decimal(digits, |parts| parts.html(out)),
            (None, true) => {}
        }
        if !plain {
            out.push(')');
        }
        unit(&shown.unit, out);
    }
    factor(coverage, out);
}

/// The coverage factor, from what follows `(k`.
fn factor(coverage: &str, out: &mut String) {
    let value = coverage.trim_matches(['=', ')', ' ']);
    if !value.is_empty() {
        out.push_str(" (<i>k</i>\u{2009}=\u{2009}");
        escape(value, out);
        out.push(')');
    }
}

/// The number of a value, or its numbers in brackets, as HTML.
fn numbers(shown: &Shown, out: &mut String) {
    if shown.shape == Shape::One {
        match (&shown.written, shown.digits.first()) {
            (Some(written), _) => number::parts(written).html(out),
            (None, Some(digits)) => decimal(digits, |parts| parts.html(out)),
            (None, None) => {}
        }
        return;
    }
    let (open, close) = fences(shown.shape);
    out.push_str(open);
    for index in 0..entries(shown) {
        if index > 0 {
            out.push_str(", ");
        }
        entry(shown, index, out);
    }
    out.push_str(close);
}

/// The brackets around the numbers of a list or a vector.
pub(super) fn fences(shape: Shape) -> (&'static str, &'static str) {
    match shape {
        Shape::Vector => ("(", ")"),
        _ => ("[", "]"),
    }
}

/// One component of a vector as a value of its own.
pub(super) fn component(shown: &Shown, index: usize) -> Shown {
    let pick = |values: &[f64]| values.get(index).copied().into_iter().collect();
    Shown {
        si: pick(&shown.si),
        values: pick(&shown.values),
        digits: shown.digits.get(index).cloned().into_iter().collect(),
        written: shown
            .written
            .as_ref()
            .and_then(|written| list_parts(written).nth(index))
            .map(|part| part.trim().to_owned()),
        shape: Shape::One,
        ..shown.clone()
    }
}

/// Appends a plain number to a number of figures as HTML.
pub fn number(value: f64, figures: u8, out: &mut String) {
    decimal(&to_figures(value, figures), |parts| parts.html(out));
}

/// How many entries a list prints.
pub fn entries(shown: &Shown) -> usize {
    match &shown.written {
        Some(written) => list_parts(written).count(),
        None => shown.digits.len(),
    }
}

/// Appends the number of one entry of a list as HTML.
pub fn entry(shown: &Shown, index: usize, out: &mut String) {
    match (&shown.written, shown.digits.get(index)) {
        (Some(written), _) => {
            if let Some(text) = list_parts(written).nth(index) {
                number::parts(text).html(out);
            }
        }
        (None, Some(digits)) => decimal(digits, |parts| parts.html(out)),
        (None, None) => {}
    }
}

fn list_parts(written: &str) -> impl Iterator<Item = &str> {
    written.trim_matches(['[', ']', '(', ')', ' ']).split(',')
}

/// Appends a unit with its leading space as HTML; nothing for the unit one.
pub fn unit(unit: &Unit, out: &mut String) {
    let text = unit.text();
    if text.is_empty() {
        return;
    }
    out.push_str(space_before(text));
    escape(text, out);
}

/// ISO 80000-1: a space stands before every unit symbol, `%` and `°C` included, but not before
/// the degree, minute and second of a plane angle.
fn space_before(unit: &str) -> &'static str {
    match unit {
        "°" | "′" | "″" => "",
        _ => "\u{a0}",
    }
}

/// A value as plain text: `-3.006 m/s`, `[1.2, 3.4] mm`, `420 kPa gauge`.
pub fn text(shown: &Shown) -> String {
    let mut out = String::new();
    match &shown.written {
        Some(written) if shown.shape != Shape::One => {
            let (open, close) = fences(shown.shape);
            out.push_str(open);
            out.push_str(written);
            out.push_str(close);
        }
        Some(written) => out.push_str(written),
        None if shown.shape != Shape::One => {
            let texts: Vec<String> = shown.digits.iter().map(Decimal::text).collect();
            let (open, close) = fences(shown.shape);
            out.push_str(open);
            out.push_str(&texts.join(", "));
            out.push_str(close);
        }
        None => out.extend(shown.digits.first().map(Decimal::text)),
    }
    match (&shown.uncertainty_written, &shown.uncertainty) {
        (Some(written), _) => {
            if !written.starts_with('(') {
                out.push(' ');
            }
            out.push_str(written.trim());
        }
        (None, Some(digits)) => {
            out.push_str(" ± ");
            out.push_str(&digits.text());
        }
        (None, None) => {}
    }
    let unit = shown.unit.text();
    if !unit.is_empty() {
        out.push_str(if space_before(unit).is_empty() {
            ""
        } else {
            " "
        });
        out.push_str(unit);
    }
    if let Some(word) = shown.word {
        out.push(' ');
        out.push_str(word);
    }
    out
}

/// Which brackets a number needs.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Brackets {
    /// None.
    None,
    /// Round ones, should it have a power of ten.
    AroundPowersOfTen,
    /// Round ones.
    Round,
}

/// Appends number and unit as MathML, without uncertainty and datum word: what is put in for a
/// symbol. Tells the elements and the width in em.
pub(super) fn operand(shown: &Shown, brackets: Brackets, out: &mut String) -> (u32, f32) {
    match (&shown.written, shown.digits.first()) {
        _ if shown.shape != Shape::One => list(shown, out),
        (Some(written), _) => quantity(number::parts(written), &shown.unit, brackets, out),
        (None, Some(digits)) => {
            let mut size = (0, 0.0);
            decimal(digits, |parts| {
                size = quantity(parts, &shown.unit, brackets, out);
            });
            size
        }
        (None, None) => (0, 0.0),
    }
}

/// Appends a number with its unit: one element, sign and brackets included, unless it has a
/// power of ten. Tells the elements and the width in em.
pub(super) fn quantity(
    parts: Parts,
    unit: &Unit,
    brackets: Brackets,
    out: &mut String,
) -> (u32, f32) {
    let text = unit.text();
    let unit_width = unit_width(unit);
    if parts.exponent.is_some() {
        let around = brackets != Brackets::None;
        if around {
            out.push_str("<mrow><mo stretchy=\"false\">(</mo>");
        }
        let elements = parts.mathml(out) + unit_mathml(unit, out).0;
        if around {
            out.push_str("<mo stretchy=\"false\">)</mo></mrow>");
            return (1, parts.width() + unit_width + 0.7);
        }
        return (elements, parts.width() + unit_width);
    }
    let round = brackets == Brackets::Round;
    // Not `mtext`: an operator between texts alone counts as the whole row and loses its spaces.
    out.push_str(if round { "<mn>(" } else { "<mn>" });
    parts.html(out);
    if !text.is_empty() {
        out.push_str(space_before(text));
        escape(text, out);
    }
    out.push_str(if round { ")</mn>" } else { "</mn>" });
    (
        1,
        parts.width() + unit_width + if round { 0.7 } else { 0.0 },
    )
}

/// A comma between numbers, with the space that it has in a sentence.
pub(super) const COMMA: &str = "<mo rspace=\"0.25em\">,</mo>";

fn list(shown: &Shown, out: &mut String) -> (u32, f32) {
    let start = out.len();
    let (open, close) = fences(shown.shape);
    out.push_str("<mrow><mo stretchy=\"false\">");
    out.push_str(open);
    out.push_str("</mo>");
    for index in 0..entries(shown) {
        if index > 0 {
            out.push_str(COMMA);
        }
        match (&shown.written, shown.digits.get(index)) {
            (Some(written), _) => {
                if let Some(text) = list_parts(written).nth(index) {
                    number::parts(text).mathml(out);
                }
            }
            (None, Some(digits)) => decimal(digits, |parts| {
                parts.mathml(out);
            }),
            (None, None) => {}
        }
    }
    out.push_str("<mo stretchy=\"false\">");
    out.push_str(close);
    out.push_str("</mo></mrow>");
    let elements = 1 + unit_mathml(&shown.unit, out).0;
    // Tags are about half of what was written.
    (elements, 0.2 * (out.len() - start) as f32)
}

/// Appends a unit as one `mtext`; tells the elements and the width in em.
pub(super) fn unit_mathml(unit: &Unit, out: &mut String) -> (u32, f32) {
    let text = unit.text();
    if text.is_empty() {
        return (0, 0.0);
    }
    out.push_str("<mtext>");
    out.push_str(space_before(text));
    escape(text, out);
    out.push_str("</mtext>");
    (1, unit_width(unit))
}

fn unit_width(unit: &Unit) -> f32 {
    match unit.text() {
        "" => 0.0,
        text => 0.25 + 0.5 * text.chars().count() as f32,
    }
}

fn decimal(digits: &Decimal, write: impl FnOnce(Parts)) {
    let layout = digits.layout();
    write(Parts {
        negative: layout.negative,
        mantissa: &layout.mantissa,
        exponent: layout.exponent,
    });
}
