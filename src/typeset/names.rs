//! How the names of a worksheet are set: italic letters, upright words, subscripts, accents.
//!
//! A name is set once per worksheet and copied wherever it stands.

use rayon::prelude::*;

use super::escape::escape;
use crate::resolve::{FunctionId, SymbolId, Symbols};
use crate::syntax::{Axis, Base, Decoration, NameParts, name_parts};

/// Every name of a worksheet, typeset.
#[derive(Debug, Default)]
pub struct Names {
    symbols: Vec<Name>,
    /// The spellings of the vectors, and nothing for the other symbols; empty without vectors.
    keys: Vec<Box<str>>,
    functions: Vec<FunctionName>,
}

/// A typeset name.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Name {
    /// One MathML element.
    pub(super) mathml: Box<str>,
    /// Estimated width in em.
    pub(super) width: f32,
    /// Whether a neighbour in a product needs a thin space beside it.
    pub(super) is_word: bool,
    /// Whether the element is an `msub` that a power turns into an `msubsup`.
    pub(super) has_subscript: bool,
}

#[derive(Debug)]
struct FunctionName {
    name: Name,
    parameters: Vec<Name>,
}

impl Names {
    /// Sets every symbol and function of a worksheet.
    pub fn new(symbols: &Symbols) -> Self {
        let mut names = Self::default();
        names.extend(symbols);
        names
    }

    /// Sets the symbols and functions that came to those that are set already, whose spellings
    /// have to be what they were.
    pub fn extend(&mut self, symbols: &Symbols) {
        let ids = self.symbols.len() as u32..symbols.len() as u32;
        let functions = self.functions.len() as u32..symbols.function_count() as u32;
        let is_vector = |id| symbols.components(SymbolId(id)).is_some();
        if !self.keys.is_empty() || ids.clone().any(is_vector) {
            self.keys.resize_with(ids.start as usize, Box::default);
            self.keys.extend(ids.clone().map(|id| match is_vector(id) {
                true => symbols.symbol(SymbolId(id)).key.clone(),
                false => Box::default(),
            }));
        }
        self.symbols.par_extend(
            ids.into_par_iter()
                .with_min_len(512)
                .map(|id| set(&symbols.symbol(SymbolId(id)).key, is_vector(id))),
        );
        self.functions.extend(functions.map(|id| {
            let function = symbols.function(FunctionId(id));
            FunctionName {
                name: set(&function.key, false),
                parameters: function
                    .parameters
                    .iter()
                    .map(|key| set(key, false))
                    .collect(),
            }
        }));
    }

    pub(super) fn symbol(&self, id: SymbolId) -> Option<&Name> {
        self.symbols.get(id.0 as usize)
    }

    /// The name of a component: the vector's letter in plain italics with the axis as its last
    /// subscript.
    pub(super) fn component(&self, id: SymbolId, axis: Axis) -> Option<Name> {
        let key = self.keys.get(id.0 as usize)?;
        Some(set(&format!("{key}_{}", axis.letter()), false))
    }

    pub(super) fn function(&self, id: FunctionId) -> Option<&Name> {
        Some(&self.functions.get(id.0 as usize)?.name)
    }

    pub(super) fn parameter(&self, id: FunctionId, position: u8) -> Option<&Name> {
        self.functions
            .get(id.0 as usize)?
            .parameters
            .get(position as usize)
    }
}

/// Sets a name from its canonical spelling; a vector's letter is bold italic (ISO 80000-2).
fn set(key: &str, is_vector: bool) -> Name {
    let parts = name_parts(key);
    let mut mathml = String::with_capacity(64);
    let mut width = 0.0;
    if parts.prefix_delta {
        mathml.push_str("<mrow><mi mathvariant=\"normal\">Δ</mi>");
        width += 0.65;
    }
    let has_subscript = !parts.subscripts.is_empty();
    if has_subscript {
        mathml.push_str("<msub>");
    }
    let is_word = base(&parts, is_vector, &mut mathml, &mut width);
    if has_subscript {
        subscripts(&parts.subscripts, &mut mathml, &mut width);
        mathml.push_str("</msub>");
    }
    if parts.prefix_delta {
        mathml.push_str("</mrow>");
    }
    Name {
        mathml: mathml.into(),
        width,
        is_word: is_word || parts.prefix_delta,
        has_subscript: has_subscript && !parts.prefix_delta,
    }
}

/// The base with its accent; tells whether it is a word.
fn base(parts: &NameParts, is_vector: bool, out: &mut String, width: &mut f32) -> bool {
    if parts.decoration.is_some() {
        out.push_str("<mover accent=\"true\">");
    }
    // A single character in `mi` is italic, more than one are upright, as MathML Core has it.
    out.push_str("<mi>");
    let letters = match &parts.base {
        Base::Latin(word) if is_vector => {
            word.chars()
                .map(bold_italic)
                .for_each(|letter| out.push(letter));
            word.chars().count()
        }
        Base::Latin(word) => {
            escape(word, out);
            word.chars().count()
        }
        Base::Greek(letter) => {
            out.push(if is_vector {
                bold_italic(*letter)
            } else {
                *letter
            });
            1
        }
    };
    out.push_str("</mi>");
    if let Some(decoration) = &parts.decoration {
        out.push_str(match decoration {
            Decoration::Dot => "<mo>˙</mo></mover>",
            Decoration::Bar => "<mo>¯</mo></mover>",
            Decoration::Hat => "<mo stretchy=\"false\">^</mo></mover>",
            Decoration::Vec => "<mo stretchy=\"false\">→</mo></mover>",
        });
    }
    *width += 0.56 * letters as f32;
    letters > 1
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

/// The subscripts, joined by commas.
fn subscripts(parts: &[String], out: &mut String, width: &mut f32) {
    let letters: usize = parts.iter().map(|part| subscript_width(part)).sum();
    *width += 0.36 * (letters + parts.len() - 1) as f32;
    let all_upright = parts.len() > 1 && parts.iter().all(|part| italic_letter(part).is_none());
    if all_upright {
        out.push_str("<mtext>");
        for (index, part) in parts.iter().enumerate() {
            if index > 0 {
                out.push(',');
            }
            escape(part, out);
        }
        out.push_str("</mtext>");
        return;
    }
    if parts.len() > 1 {
        out.push_str("<mrow>");
    }
    for (index, part) in parts.iter().enumerate() {
        if index > 0 {
            out.push_str("<mtext>,</mtext>");
        }
        subscript(part, out);
    }
    if parts.len() > 1 {
        out.push_str("</mrow>");
    }
}

fn subscript(part: &str, out: &mut String) {
    if let Some(letter) = italic_letter(part) {
        out.push_str("<mi>");
        out.push(letter);
        out.push_str("</mi>");
        return;
    }
    let tag = if part.bytes().all(|byte| byte.is_ascii_digit()) {
        "mn"
    } else {
        "mtext"
    };
    out.push('<');
    out.push_str(tag);
    out.push('>');
    escape(part, out);
    out.push_str("</");
    out.push_str(tag);
    out.push('>');
}

/// The letter, when the subscript stands for a quantity: one letter, or Greek by name.
fn italic_letter(part: &str) -> Option<char> {
    let mut characters = part.chars();
    match (characters.next(), characters.next()) {
        (Some(letter), None) if letter.is_alphabetic() => Some(letter),
        _ => match name_parts(part) {
            NameParts {
                base: Base::Greek(letter),
                decoration: None,
                prefix_delta: false,
                ..
            } => Some(letter),
            _ => None,
        },
    }
}

fn subscript_width(part: &str) -> usize {
    if italic_letter(part).is_some() {
        1
    } else {
        part.chars().count()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn check(key: &str, expected: &str) {
        assert_eq!(&*set(key, false).mathml, expected);
    }

    #[test]
    fn letters_are_italic_and_words_upright() {
        check("p", "<mi>p</mi>");
        check("rho", "<mi>ρ</mi>");
        check("Re", "<mi>Re</mi>");
        assert!(set("Re", false).is_word);
    }

    #[test]
    fn subscripts_that_are_words_are_upright_and_quantities_italic() {
        check("p_1", "<msub><mi>p</mi><mn>1</mn></msub>");
        check("h_f", "<msub><mi>h</mi><mi>f</mi></msub>");
        check("W_water", "<msub><mi>W</mi><mtext>water</mtext></msub>");
        check("q_theta", "<msub><mi>q</mi><mi>θ</mi></msub>");
    }

    #[test]
    fn several_subscripts_are_joined_by_a_comma() {
        check("p_1_max", "<msub><mi>p</mi><mtext>1,max</mtext></msub>");
        check(
            "p_x_max",
            "<msub><mi>p</mi><mrow><mi>x</mi><mtext>,</mtext><mtext>max</mtext></mrow></msub>",
        );
    }

    #[test]
    fn a_delta_is_upright_before_its_quantity() {
        check(
            "Delta_T_1",
            "<mrow><mi mathvariant=\"normal\">Δ</mi><msub><mi>T</mi><mn>1</mn></msub></mrow>",
        );
    }

    #[test]
    fn endings_become_accents() {
        check(
            "mdot",
            "<mover accent=\"true\"><mi>m</mi><mo>˙</mo></mover>",
        );
    }
}
