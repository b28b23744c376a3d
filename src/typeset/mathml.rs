//! Trees written as MathML Core, and values in running text as HTML.

use std::fmt::Write;

use super::escape::escape;
use super::names::{Name, Subscript, mark};
use super::run::spoken;
use super::tree::{Case, Fence, Kind, Node, Number, Quantity, Space, unit_clings};
use crate::syntax::Decoration;
use crate::text::{NARROW, grouped};

/// Appends a formula as one `math` element, or as several between which the line may be broken;
/// a value in running text as HTML.
pub fn write(node: &Node, out: &mut String) {
    formulas(node, false, out);
}

/// The same, each formula with a name in words, for a place that is named by nothing else.
pub fn write_named(node: &Node, out: &mut String) {
    formulas(node, true, out);
}

/// Whether a tree is written as words, of which none need a name.
pub fn is_words(node: &Node) -> bool {
    matches!(node, Node::Words(_))
}

fn formulas(node: &Node, named: bool, out: &mut String) {
    match node {
        Node::Words(parts) => parts.iter().for_each(|part| words(part, out)),
        Node::Beside(parts) => beside(parts, named, out),
        formula => math(formula, named, out),
    }
}

fn beside(parts: &[Node], named: bool, out: &mut String) {
    let mut after_formula = false;
    for part in parts {
        let is_formula = !matches!(part, Node::Words(_));
        if after_formula && is_formula {
            // No place to break lies between adjoining elements with a joiner.
            out.push('\u{2060}');
        }
        formulas(part, named, out);
        after_formula = is_formula;
    }
}

fn math(formula: &Node, named: bool, out: &mut String) {
    for (index, row) in formula.rows().enumerate() {
        out.push_str(if index > 0 { "<wbr/>" } else { "" });
        out.push_str("<math");
        if named {
            out.push_str(" aria-label=\"");
            escape(&spoken(row), out);
            out.push('"');
        }
        out.push('>');
        row.iter().for_each(|part| self::part(part, out));
        out.push_str("</math>");
    }
}

/// Appends a part as its elements, which may be none or several.
fn part(node: &Node, out: &mut String) {
    match node {
        Node::Row(parts) | Node::Words(parts) | Node::Beside(parts) => {
            parts.iter().for_each(|part| self::part(part, out));
        }
        Node::Name(name) => self::name(name, out),
        Node::Letter(letter) => self::letter("<mi>", *letter, out),
        Node::Upright(letter) => self::letter("<mi mathvariant=\"normal\">", *letter, out),
        Node::Function(name) => element("mi", name, out),
        Node::Text(text) => element("mtext", text, out),
        Node::Number(number) => self::number(number, out),
        Node::PowerOfTen(exponent) => power_of_ten(*exponent, out),
        Node::Quantity(quantity) => self::quantity(quantity, out),
        Node::Unit(text) => unit(text, out),
        Node::Operator(sign, kind) => operator(sign, *kind, out),
        Node::Space(space) => self::space(*space, out),
        Node::Fraction(halves) => elements("mfrac", halves.as_slice(), out),
        Node::Power(parts) => power(parts, out),
        Node::Subscript(parts) => elements("msub", parts.as_slice(), out),
        Node::Root(2, inside) => {
            out.push_str("<msqrt>");
            part(inside, out);
            out.push_str("</msqrt>");
        }
        Node::Root(degree, inside) => {
            out.push_str("<mroot>");
            single(inside, out);
            out.push_str(&format!("<mn>{degree}</mn></mroot>"));
        }
        Node::Fence(fence) => self::fence(fence, out),
        Node::Cases(cases) => self::cases(cases, out),
        Node::Stack(rows) => stack(rows, out),
    }
}

/// Appends a part as exactly one element: an `mrow` goes around where there are more or fewer.
fn single(node: &Node, out: &mut String) {
    let is_single = match node {
        Node::Row(_) | Node::Words(_) | Node::Beside(_) | Node::PowerOfTen(_) => false,
        Node::Number(number) => number.is_plain(),
        Node::Quantity(quantity) => {
            quantity.in_brackets || (quantity.number.is_plain() && quantity.unit.is_empty())
        }
        Node::Name(_)
        | Node::Letter(_)
        | Node::Upright(_)
        | Node::Function(_)
        | Node::Text(_)
        | Node::Unit(_)
        | Node::Operator(..)
        | Node::Space(_)
        | Node::Fraction(_)
        | Node::Power(_)
        | Node::Subscript(_)
        | Node::Root(..)
        | Node::Fence(_)
        | Node::Cases(_)
        | Node::Stack(_) => true,
    };
    if is_single {
        return part(node, out);
    }
    out.push_str("<mrow>");
    part(node, out);
    out.push_str("</mrow>");
}

fn element(tag: &str, text: &str, out: &mut String) {
    open(tag, out);
    escape(text, out);
    close(tag, out);
}

fn elements(tag: &str, parts: &[Node], out: &mut String) {
    open(tag, out);
    parts.iter().for_each(|part| single(part, out));
    close(tag, out);
}

fn open(tag: &str, out: &mut String) {
    out.push('<');
    out.push_str(tag);
    out.push('>');
}

fn close(tag: &str, out: &mut String) {
    out.push_str("</");
    out.push_str(tag);
    out.push('>');
}

fn letter(tag: &str, letter: char, out: &mut String) {
    out.push_str(tag);
    escape(letter.encode_utf8(&mut [0; 4]), out);
    out.push_str("</mi>");
}

fn operator(sign: &str, kind: Kind, out: &mut String) {
    out.push_str(match kind {
        Kind::Relation | Kind::Infix { breaks: false } | Kind::Comma | Kind::Plain => "<mo>",
        // At the start of a row it would count as a sign of what follows.
        Kind::Infix { breaks: true } => "<mo form=\"infix\">",
        Kind::Prefix => "<mo form=\"prefix\">",
        // A bar does not say by itself which side it closes.
        Kind::Open if sign == "|" => "<mo stretchy=\"false\" form=\"prefix\">",
        Kind::Close if sign == "|" => "<mo stretchy=\"false\" form=\"postfix\">",
        Kind::Open | Kind::Close => "<mo stretchy=\"false\">",
        Kind::ListComma => "<mo rspace=\"0.25em\">",
        Kind::Apply => "<mo lspace=\"0\" rspace=\"0.17em\">",
        Kind::Over => OVER,
    });
    escape(sign, out);
    out.push_str("</mo>");
}

/// A solidus stands close to both sides.
const OVER: &str = "<mo lspace=\"0\" rspace=\"0\">";

fn space(space: Space, out: &mut String) {
    out.push_str(match space {
        Space::Thin => "<mspace width=\"0.17em\"/>",
        Space::Word | Space::Tie => "<mspace width=\"0.25em\"/>",
    });
}

/// A power; a subscript and an exponent of the same letter stand above each other.
fn power(parts: &[Node; 2], out: &mut String) {
    let [base, exponent] = parts;
    if let Node::Name(name) = base
        && !name.subscripts.is_empty()
        && !name.has_delta
    {
        out.push_str("<msubsup>");
        letters(name, out);
        subscripts(&name.subscripts, out);
        single(exponent, out);
        out.push_str("</msubsup>");
        return;
    }
    elements("msup", parts, out);
}

fn fence(fence: &Fence, out: &mut String) {
    let tag = match fence.grows {
        true => "<mo>",
        false => "<mo stretchy=\"false\">",
    };
    out.push_str("<mrow>");
    out.push_str(tag);
    out.push_str(fence.open);
    out.push_str("</mo>");
    part(&fence.inside, out);
    out.push_str(tag);
    out.push_str(fence.close);
    out.push_str("</mo></mrow>");
}

fn cases(cases: &[Case], out: &mut String) {
    out.push_str("<mrow><mo>{</mo><mtable class=\"cases\">");
    for case in cases {
        out.push_str("<mtr><mtd>");
        part(&case.value, out);
        out.push_str("</mtd><mtd>");
        match &case.condition {
            Some(condition) => {
                out.push_str("<mtext>for\u{2002}</mtext>");
                part(condition, out);
            }
            None => out.push_str("<mtext>otherwise</mtext>"),
        }
        out.push_str("</mtd></mtr>");
    }
    out.push_str("</mtable></mrow>");
}

fn stack(rows: &[Node], out: &mut String) {
    out.push_str("<mtable class=\"rows\">");
    for row in rows {
        out.push_str("<mtr><mtd>");
        part(row, out);
        out.push_str("</mtd></mtr>");
    }
    out.push_str("</mtable>");
}

fn number(number: &Number, out: &mut String) {
    out.push_str("<mn>");
    digits(number, out);
    out.push_str("</mn>");
    if let Some(exponent) = number.exponent {
        power_of_ten(exponent, out);
    }
    if let Some(factor) = &number.factor {
        out.push_str(&match factor.is_over {
            true => format!("{OVER}/</mo><mn>"),
            false => "<mo>×</mo><mn>".to_owned(),
        });
        escape(&grouped(&factor.digits), out);
        out.push_str("</mn>");
    }
}

fn power_of_ten(exponent: i32, out: &mut String) {
    out.push_str("<mo>×</mo><msup><mn>10</mn><mn>");
    integer(exponent, out);
    out.push_str("</mn></msup>");
}

/// A number and its unit as elements of their own: what reads the page aloud knows the number, and
/// what copies it keeps the space before the unit.
fn quantity(quantity: &Quantity, out: &mut String) {
    let (before, after) = match quantity.in_brackets {
        false => ("", ""),
        true => (
            "<mrow><mo stretchy=\"false\">(</mo>",
            "<mo stretchy=\"false\">)</mo></mrow>",
        ),
    };
    out.push_str(before);
    number(&quantity.number, out);
    unit(&quantity.unit, out);
    out.push_str(after);
}

fn unit(text: &str, out: &mut String) {
    if !text.is_empty() {
        out.push_str("<mtext>");
        unit_text(text, out);
        out.push_str("</mtext>");
    }
}

fn unit_text(text: &str, out: &mut String) {
    if !text.is_empty() && !unit_clings(text) {
        out.push(NARROW);
    }
    escape(text, out);
}

fn digits(number: &Number, out: &mut String) {
    if number.negative {
        out.push('−');
    }
    escape(&grouped(&number.mantissa), out);
}

fn integer(value: i32, out: &mut String) {
    if value < 0 {
        out.push('−');
    }
    // Writing to a string cannot fail.
    let _ = write!(out, "{}", value.unsigned_abs());
}

/// A name as one element.
pub(super) fn name(name: &Name, out: &mut String) {
    if name.has_delta {
        out.push_str("<mrow><mi mathvariant=\"normal\">Δ</mi>");
    }
    if name.subscripts.is_empty() {
        letters(name, out);
    } else {
        out.push_str("<msub>");
        letters(name, out);
        subscripts(&name.subscripts, out);
        out.push_str("</msub>");
    }
    if name.has_delta {
        out.push_str("</mrow>");
    }
}

/// The letters of a name with their accent.
fn letters(name: &Name, out: &mut String) {
    if name.decoration.is_some() {
        out.push_str("<mover accent=\"true\">");
    }
    // A single character in `mi` is italic, more than one are upright, as MathML Core has it.
    out.push_str("<mi>");
    match name.is_vector {
        true => out.extend(name.letters.chars().map(bold_italic)),
        false => escape(&name.letters, out),
    }
    out.push_str("</mi>");
    if let Some(decoration) = name.decoration {
        out.push_str(match decoration {
            Decoration::Dot => "<mo>˙</mo></mover>",
            Decoration::Bar => "<mo>¯</mo></mover>",
            Decoration::Hat => "<mo stretchy=\"false\">^</mo></mover>",
            Decoration::Vec => "<mo stretchy=\"false\">→</mo></mover>",
        });
    }
}

/// The letter from the bold italic alphabet of mathematics (Unicode, Mathematical Alphanumeric
/// Symbols), which stays bold where only the text is kept.
fn bold_italic(letter: char) -> char {
    let from = |first: char, block: u32| {
        char::from_u32(block + letter as u32 - first as u32).unwrap_or(letter)
    };
    match letter {
        'A'..='Z' => from('A', 0x1D468),
        'a'..='z' => from('a', 0x1D482),
        'Α'..='Ω' => from('Α', 0x1D71C),
        'α'..='ω' => from('α', 0x1D736),
        _ => letter,
    }
}

/// The subscripts as one element, joined by commas.
fn subscripts(subscripts: &[Subscript], out: &mut String) {
    if let [only] = subscripts {
        return subscript(only, out);
    }
    let is_letter = |it: &Subscript| matches!(it, Subscript::Letter(_));
    if subscripts.iter().any(is_letter) {
        out.push_str("<mrow>");
        for (index, part) in subscripts.iter().enumerate() {
            if index > 0 {
                out.push_str("<mtext>,</mtext>");
            }
            subscript(part, out);
        }
        out.push_str("</mrow>");
        return;
    }
    out.push_str("<mtext>");
    for (index, part) in subscripts.iter().enumerate() {
        if index > 0 {
            out.push(',');
        }
        if let Subscript::Number(text) | Subscript::Word(text) = part {
            escape(text, out);
        }
    }
    out.push_str("</mtext>");
}

fn subscript(part: &Subscript, out: &mut String) {
    match part {
        Subscript::Letter(letter) => self::letter("<mi>", *letter, out),
        Subscript::Number(text) => element("mn", text, out),
        Subscript::Word(text) => element("mtext", text, out),
    }
}

/// Appends a part of a value in running text.
fn words(node: &Node, out: &mut String) {
    match node {
        Node::Row(parts) | Node::Words(parts) => parts.iter().for_each(|part| words(part, out)),
        Node::Letter(letter) => letters_words(letter.encode_utf8(&mut [0; 4]), "", out),
        Node::Text(text) => escape(text, out),
        Node::Number(number) => number_words(number, out),
        Node::PowerOfTen(exponent) => power_of_ten_words(*exponent, out),
        Node::Quantity(quantity) => {
            number_words(&quantity.number, out);
            unit_text(&quantity.unit, out);
        }
        Node::Unit(text) => unit_text(text, out),
        Node::Operator(sign, kind) => sign_words(sign, *kind, out),
        Node::Space(space) => out.push(match space {
            Space::Thin => '\u{2009}',
            Space::Word => ' ',
            Space::Tie => '\u{a0}',
        }),
        Node::Fence(fence) => {
            escape(fence.open, out);
            words(&fence.inside, out);
            escape(fence.close, out);
        }
        Node::Name(name) => name_words(name, out),
        Node::Upright(_)
        | Node::Function(_)
        | Node::Fraction(_)
        | Node::Power(_)
        | Node::Subscript(_)
        | Node::Root(..)
        | Node::Cases(_)
        | Node::Stack(_)
        | Node::Beside(_) => write(node, out),
    }
}

/// A name in running text, in letters that are copied as they are typed.
fn name_words(name: &Name, out: &mut String) {
    if name.has_delta {
        out.push('Δ');
    }
    let mark = name.decoration.map_or("", mark);
    match name.is_vector {
        true => out.extend(name.letters.chars().map(bold_italic).chain(mark.chars())),
        false => letters_words(&name.letters, mark, out),
    }
    if name.subscripts.is_empty() {
        return;
    }
    out.push_str("<sub>");
    for (index, part) in name.subscripts.iter().enumerate() {
        out.push_str(if index > 0 { "," } else { "" });
        match part {
            Subscript::Letter(letter) => letters_words(letter.encode_utf8(&mut [0; 4]), "", out),
            Subscript::Number(text) | Subscript::Word(text) => escape(text, out),
        }
    }
    out.push_str("</sub>");
}

/// One letter in italics, a word upright, with the mark that stands over its last letter.
fn letters_words(letters: &str, mark: &str, out: &mut String) {
    let is_word = letters.chars().nth(1).is_some();
    out.push_str(if is_word { "" } else { "<i>" });
    escape(letters, out);
    out.push_str(mark);
    out.push_str(if is_word { "" } else { "</i>" });
}

fn number_words(number: &Number, out: &mut String) {
    digits(number, out);
    if let Some(exponent) = number.exponent {
        power_of_ten_words(exponent, out);
    }
    if let Some(factor) = &number.factor {
        out.push_str(if factor.is_over { "/" } else { TIMES });
        escape(&grouped(&factor.digits), out);
    }
}

const TIMES: &str = "\u{202f}×\u{202f}";

fn power_of_ten_words(exponent: i32, out: &mut String) {
    out.push_str(TIMES);
    out.push_str("10<sup>");
    integer(exponent, out);
    out.push_str("</sup>");
}

fn sign_words(sign: &str, kind: Kind, out: &mut String) {
    let (before, after) = match kind {
        Kind::Relation => ("\u{a0}", "\u{a0}"),
        Kind::Infix { .. } => ("\u{202f}", "\u{202f}"),
        Kind::Comma | Kind::ListComma => ("", " "),
        Kind::Prefix | Kind::Open | Kind::Close | Kind::Plain | Kind::Apply | Kind::Over => {
            ("", "")
        }
    };
    out.push_str(before);
    escape(sign, out);
    out.push_str(after);
}
