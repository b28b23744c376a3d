//! Trees written as LaTeX, in the words of `amsmath` and `amssymb` and no other package.
//!
//! What is written stands in mathematical mode: dollar signs or an aligned cell around it are left
//! to whoever writes the page, and so is whether fractions are set large. A row is broken where
//! TeX finds it right, at a sign outside of fences that grow.

mod characters;

use std::fmt::Write;

use super::names::{Name, Subscript};
use super::tree::{Case, Fence, Kind, Node, Number, Quantity, Space, unit_clings};
use crate::syntax::Decoration;
use crate::text::grouped;
use characters::{character, command};

pub use characters::escape;

/// Functions with a command of their own.
const COMMANDS: [&str; 11] = [
    "cos", "cosh", "exp", "ln", "log", "max", "min", "sin", "sinh", "tan", "tanh",
];

/// Appends letters of quantities in running text.
pub fn slanted(text: &str, out: &mut String) {
    out.push('$');
    let mut letters = text.chars().peekable();
    while let Some(letter) = letters.next() {
        let accent = letters.next_if(|next| accent(*next).is_some());
        out.push_str(accent.and_then(self::accent).unwrap_or_default());
        out.push('{');
        character(letter, out);
        out.push('}');
    }
    out.push('$');
}

/// What stands over the letter before it.
fn accent(mark: char) -> Option<&'static str> {
    match mark {
        '\u{307}' => Some("\\dot"),
        '\u{304}' => Some("\\bar"),
        '\u{302}' => Some("\\hat"),
        '\u{20d7}' => Some("\\vec"),
        _ => None,
    }
}

/// Appends a formula or a value for mathematical mode.
pub fn write(node: &Node, out: &mut String) {
    match node {
        Node::Row(parts) | Node::Words(parts) | Node::Beside(parts) => row(parts, out),
        Node::Name(name) => self::name(name, out),
        Node::Letter(letter) | Node::Upright(letter) => character(*letter, out),
        Node::Function(name) => function(name, out),
        Node::Text(text) => self::text(text, out),
        Node::Number(number) => self::number(number, out),
        Node::PowerOfTen(exponent) => power_of_ten(*exponent, out),
        Node::Quantity(quantity) => self::quantity(quantity, out),
        Node::Unit(text) => unit(text, out),
        Node::Operator(sign, kind) => operator(sign, *kind, out),
        Node::Space(space) => out.push_str(match space {
            Space::Thin => "\\,",
            Space::Word => "\\ ",
            Space::Tie => "~",
        }),
        Node::Fraction(halves) => {
            out.push_str("\\frac");
            halves.iter().for_each(|half| group(half, out));
        }
        Node::Power(parts) => power(parts, out),
        Node::Subscript(parts) => {
            let [base, below] = parts.as_ref();
            write(base, out);
            out.push('_');
            group(below, out);
        }
        Node::Root(2, inside) => {
            out.push_str("\\sqrt");
            group(inside, out);
        }
        Node::Root(degree, inside) => {
            out.push_str(&format!("\\sqrt[{degree}]"));
            group(inside, out);
        }
        Node::Fence(fence) => self::fence(fence, out),
        Node::Cases(cases) => self::cases(cases, out),
        Node::Stack(rows) => stack(rows, out),
    }
}

/// Appends parts one after the other. TeX parts the name of a function from what stands before it
/// by itself.
fn row(parts: &[Node], out: &mut String) {
    let mut rest = parts.iter().peekable();
    while let Some(part) = rest.next() {
        let is_thin = matches!(part, Node::Space(Space::Thin));
        if !(is_thin && rest.peek().is_some_and(|next| begins_with_function(next))) {
            write(part, out);
        }
    }
}

fn begins_with_function(node: &Node) -> bool {
    if let Node::Power(parts) | Node::Subscript(parts) = node {
        return begins_with_function(&parts[0]);
    }
    matches!(node, Node::Function(_))
}

/// Appends a part in the braces of an argument.
fn group(node: &Node, out: &mut String) {
    out.push('{');
    write(node, out);
    out.push('}');
}

fn text(text: &str, out: &mut String) {
    out.push_str("\\text{");
    escape(text, out);
    out.push('}');
}

fn function(name: &str, out: &mut String) {
    if COMMANDS.contains(&name) {
        out.push('\\');
        command(name, out);
        return;
    }
    out.push_str("\\operatorname{");
    name.chars().for_each(|letter| character(letter, out));
    out.push('}');
}

fn operator(sign: &str, kind: Kind, out: &mut String) {
    match (kind, sign) {
        (Kind::Open, "|") => command("\\lvert", out),
        (Kind::Close, "|") => command("\\rvert", out),
        (Kind::ListComma, _) => out.push_str(",\\ "),
        // The name of a function keeps its distance by itself.
        (Kind::Apply, _) => {}
        (
            Kind::Relation
            | Kind::Infix { .. }
            | Kind::Prefix
            | Kind::Open
            | Kind::Close
            | Kind::Comma
            | Kind::Plain
            | Kind::Over,
            _,
        ) => sign.chars().for_each(|sign| character(sign, out)),
    }
}

/// A power. A name takes its exponent above its subscript, anything else as a whole.
fn power(parts: &[Node; 2], out: &mut String) {
    let [base, exponent] = parts;
    let is_one = match base {
        Node::Name(name) => !name.has_delta,
        other => matches!(other, Node::Function(_) | Node::Letter(_)),
    };
    if is_one {
        write(base, out);
    } else {
        group(base, out);
    }
    out.push('^');
    group(exponent, out);
}

/// Two fences, which grow where something is higher than a line: TeX keeps fences that may grow
/// off the name of a function.
fn fence(fence: &Fence, out: &mut String) {
    let grows = fence.grows;
    let side = |size, sign, kind, out: &mut String| {
        if grows {
            out.push_str(size);
        }
        operator(sign, kind, out);
    };
    side("\\left", fence.open, Kind::Open, out);
    write(&fence.inside, out);
    side("\\right", fence.close, Kind::Close, out);
}

fn cases(cases: &[Case], out: &mut String) {
    out.push_str("\\begin{cases}");
    for (index, case) in cases.iter().enumerate() {
        out.push_str(if index > 0 { " \\\\ " } else { " " });
        write(&case.value, out);
        match &case.condition {
            Some(condition) => {
                out.push_str(" & \\text{for }");
                write(condition, out);
            }
            None => out.push_str(" & \\text{otherwise}"),
        }
    }
    out.push_str(" \\end{cases}");
}

fn stack(rows: &[Node], out: &mut String) {
    out.push_str("\\begin{aligned}");
    for (index, row) in rows.iter().enumerate() {
        out.push_str(if index > 0 { " \\\\ & " } else { " & " });
        write(row, out);
    }
    out.push_str(" \\end{aligned}");
}

fn number(number: &Number, out: &mut String) {
    if number.negative {
        out.push('-');
    }
    // The units of larger parts stand upright among the digits: `5 ft 3`.
    let mut is_word = false;
    for digit in grouped(&number.mantissa).chars() {
        if digit.is_alphabetic() != is_word {
            is_word = !is_word;
            out.push_str(if is_word { "\\mathrm{" } else { "}" });
        }
        match digit {
            // A comma among digits has no space after it.
            ',' => out.push_str("{,}"),
            digit => character(digit, out),
        }
    }
    if is_word {
        out.push('}');
    }
    if let Some(exponent) = number.exponent {
        power_of_ten(exponent, out);
    }
    if let Some(factor) = &number.factor {
        out.push_str(if factor.is_over { "/" } else { "\\times " });
        let digits = grouped(&factor.digits);
        digits.chars().for_each(|it| character(it, out));
    }
}

fn power_of_ten(exponent: i32, out: &mut String) {
    // Writing to a string cannot fail.
    let _ = write!(out, "\\times 10^{{{exponent}}}");
}

fn quantity(quantity: &Quantity, out: &mut String) {
    let (open, close) = match quantity.in_brackets {
        true => ("(", ")"),
        false => ("", ""),
    };
    out.push_str(open);
    number(&quantity.number, out);
    unit(&quantity.unit, out);
    out.push_str(close);
}

/// A unit, upright, after a thin space.
fn unit(text: &str, out: &mut String) {
    if text.is_empty() {
        return;
    }
    if !unit_clings(text) {
        out.push_str("\\,");
    }
    out.push_str("\\mathrm{");
    characters::unit(text, out);
    out.push('}');
}

fn name(name: &Name, out: &mut String) {
    if name.has_delta {
        command("\\Delta", out);
    }
    let (open, close) = match name.decoration {
        Some(Decoration::Dot) => ("\\dot{", "}"),
        Some(Decoration::Bar) => ("\\bar{", "}"),
        Some(Decoration::Hat) => ("\\hat{", "}"),
        Some(Decoration::Vec) => ("\\vec{", "}"),
        None => ("", ""),
    };
    out.push_str(open);
    letters(name, out);
    out.push_str(close);
    if name.subscripts.is_empty() {
        return;
    }
    out.push_str("_{");
    for (index, part) in name.subscripts.iter().enumerate() {
        if index > 0 {
            out.push(',');
        }
        match part {
            Subscript::Letter(letter) => character(*letter, out),
            Subscript::Number(digits) => out.push_str(digits),
            Subscript::Word(word) => self::word(word, out),
        }
    }
    out.push('}');
}

/// The letters of a name: italic when there is one, an upright word else, bold italic in a vector.
fn letters(name: &Name, out: &mut String) {
    if name.is_vector {
        out.push_str("\\boldsymbol{");
    }
    if name.is_vector || !name.letters_are_word() {
        name.letters.chars().for_each(|it| character(it, out));
    } else {
        word(&name.letters, out);
    }
    if name.is_vector {
        out.push('}');
    }
}

/// A word of a name, upright.
fn word(word: &str, out: &mut String) {
    if word.bytes().all(|byte| byte.is_ascii_alphanumeric()) {
        out.push_str("\\mathrm{");
        out.push_str(word);
        out.push('}');
    } else {
        text(word, out);
    }
}

#[cfg(test)]
mod laws;
#[cfg(test)]
mod tests;
