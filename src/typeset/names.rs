//! How the names of a worksheet are set: italic letters, upright words, subscripts, accents.
//!
//! A name is taken apart once per worksheet and shared wherever it stands.

use std::sync::Arc;

use rayon::prelude::*;

use crate::resolve::{FunctionId, SymbolId, Symbols, UserFunction};
use crate::syntax::{Axis, Base, Decoration, NameParts, name_parts};

/// Every name of a worksheet, typeset.
#[derive(Debug, Default)]
pub struct Names {
    symbols: Vec<Arc<Name>>,
    /// The spellings of the vectors, and nothing for the other symbols; empty without vectors.
    keys: Vec<Box<str>>,
    functions: Vec<FunctionName>,
}

/// A name taken apart for setting in type.
#[derive(Debug, Clone, PartialEq)]
pub struct Name {
    /// Whether an upright Δ stands in front.
    pub(super) has_delta: bool,
    /// Its letters as they are printed: one of a quantity in italics, more of a word upright.
    pub(super) letters: Box<str>,
    /// Whether the letters are those of a vector: bold italics (ISO 80000-2).
    pub(super) is_vector: bool,
    /// What stands over the letters.
    pub(super) decoration: Option<Decoration>,
    /// The subscripts, in order.
    pub(super) subscripts: Vec<Subscript>,
    /// Estimated width in em.
    pub(super) width: f32,
}

/// One subscript of a name.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Subscript {
    /// The letter of a quantity, in italics.
    Letter(char),
    /// A whole number.
    Number(Box<str>),
    /// A word, upright.
    Word(Box<str>),
}

impl Name {
    /// Whether its letters make a word.
    pub(super) fn letters_are_word(&self) -> bool {
        self.letters.chars().nth(1).is_some()
    }

    /// Whether a neighbour in a product needs a thin space beside it.
    pub(super) fn is_word(&self) -> bool {
        self.has_delta || self.letters_are_word()
    }
}

/// The character that puts a decoration over the letter before it.
pub(super) fn mark(decoration: Decoration) -> &'static str {
    match decoration {
        Decoration::Dot => "\u{307}",
        Decoration::Bar => "\u{304}",
        Decoration::Hat => "\u{302}",
        Decoration::Vec => "\u{20d7}",
    }
}

#[derive(Debug)]
struct FunctionName {
    name: Arc<Name>,
    parameters: Vec<Arc<Name>>,
}

impl FunctionName {
    fn new(function: &UserFunction) -> Self {
        let parameters = function.parameters.iter();
        Self {
            name: set(&function.key, false),
            parameters: parameters.map(|key| set(key, false)).collect(),
        }
    }
}

impl Names {
    /// Takes the name of every symbol and function of a worksheet apart.
    pub fn new(symbols: &Symbols) -> Self {
        let ids = 0..symbols.len() as u32;
        let is_vector = |id| symbols.components(SymbolId(id)).is_some();
        let key = |id| match is_vector(id) {
            true => symbols.symbol(SymbolId(id)).key.clone(),
            false => Box::default(),
        };
        Self {
            keys: match ids.clone().any(is_vector) {
                true => ids.clone().map(key).collect(),
                false => Vec::new(),
            },
            symbols: ids
                .into_par_iter()
                .with_min_len(512)
                .map(|id| set(&symbols.symbol(SymbolId(id)).key, is_vector(id)))
                .collect(),
            functions: (0..symbols.function_count() as u32)
                .map(|id| FunctionName::new(symbols.function(FunctionId(id))))
                .collect(),
        }
    }

    pub(super) fn symbol(&self, id: SymbolId) -> Option<&Arc<Name>> {
        self.symbols.get(id.0 as usize)
    }

    /// The name of a component: the vector's letter in plain italics with the axis as its last
    /// subscript.
    pub(super) fn component(&self, id: SymbolId, axis: Axis) -> Option<Arc<Name>> {
        let key = self.keys.get(id.0 as usize)?;
        Some(set(&format!("{key}_{}", axis.letter()), false))
    }

    /// The name of a list without the index of its rows, as the heading of a column has it.
    pub(super) fn column(&self, id: SymbolId) -> Option<Arc<Name>> {
        let name = self.symbols.get(id.0 as usize)?;
        let mut bare = Name::clone(name);
        match bare.subscripts.last() {
            Some(Subscript::Letter('i')) => {
                bare.subscripts.pop();
                Some(Arc::new(bare))
            }
            _ => Some(Arc::clone(name)),
        }
    }

    pub(super) fn function(&self, id: FunctionId) -> Option<&Arc<Name>> {
        Some(&self.functions.get(id.0 as usize)?.name)
    }

    pub(super) fn parameter(&self, id: FunctionId, position: u8) -> Option<&Arc<Name>> {
        self.functions
            .get(id.0 as usize)?
            .parameters
            .get(position as usize)
    }
}

/// Takes a name apart from its canonical spelling.
fn set(key: &str, is_vector: bool) -> Arc<Name> {
    let parts = name_parts(key);
    let letters: Box<str> = match parts.base {
        Base::Latin(word) => word.into(),
        Base::Greek(letter) => letter.to_string().into(),
    };
    let subscripts: Vec<Subscript> = parts.subscripts.iter().map(|it| subscript(it)).collect();
    let delta = if parts.prefix_delta { 0.65 } else { 0.0 };
    let below: usize = subscripts.iter().map(|it| it.letters() + 1).sum();
    Arc::new(Name {
        has_delta: parts.prefix_delta,
        width: delta
            + 0.56 * letters.chars().count() as f32
            + 0.36 * below.saturating_sub(1) as f32,
        letters,
        is_vector,
        decoration: parts.decoration,
        subscripts,
    })
}

fn subscript(part: &str) -> Subscript {
    match italic_letter(part) {
        Some(letter) => Subscript::Letter(letter),
        None if part.bytes().all(|byte| byte.is_ascii_digit()) => Subscript::Number(part.into()),
        None => Subscript::Word(part.into()),
    }
}

impl Subscript {
    fn letters(&self) -> usize {
        match self {
            Subscript::Letter(_) => 1,
            Subscript::Number(text) | Subscript::Word(text) => text.chars().count(),
        }
    }
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

#[cfg(test)]
mod tests {
    use super::*;

    fn check(key: &str, expected: &str) {
        let mut out = String::new();
        super::super::mathml::name(&set(key, false), &mut out);
        assert_eq!(out, expected);
    }

    #[test]
    fn letters_are_italic_and_words_upright() {
        check("p", "<mi>p</mi>");
        check("rho", "<mi>ρ</mi>");
        check("Re", "<mi>Re</mi>");
        assert!(set("Re", false).is_word());
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
