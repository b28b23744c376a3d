//! What the words of a line do, at the word under the cursor.

use super::super::surroundings::{Surroundings, surroundings};
use crate::syntax::BlockKind;
use crate::syntax::tokens::{Token, label, tail, tokens};
use crate::text::Span;

/// Words of the language, each with the block in which it does what is said. A longer one goes
/// before those it holds.
const WORDS: &[(BlockKind, &str, &str)] = &[
    (
        BlockKind::Derive,
        "therefore",
        "a step of yours: it must follow from the equations above; what is said of it is that it follows, does not follow (with numbers), or is not decided",
    ),
    (
        BlockKind::Derive,
        "solve",
        "works a formula out in symbols, from the equations with these labels: `solve head for V`",
    ),
    (
        BlockKind::Work,
        "solve",
        "finds the numbers that satisfy these equations together: `solve a, b for x near 1 m, y near 2 N`",
    ),
    (
        BlockKind::Derive,
        "component",
        "takes the x, y or z part of a vector equation: `component x of balance`",
    ),
    (
        BlockKind::Derive,
        "show dimensions",
        "prints the dimension of each name that has no value of its own",
    ),
    (
        BlockKind::Derive,
        "in full",
        "prints the steps between the equations and the formula",
    ),
    (
        BlockKind::Work,
        "from",
        "names the equation that gives the value: `f = ? from colebrook near 0.02`",
    ),
    (
        BlockKind::Work,
        "near",
        "says about where the value is looked for",
    ),
    (
        BlockKind::Work,
        "between",
        "says between which bounds the value is looked for",
    ),
    (
        BlockKind::Work,
        "at",
        "takes another value of a given for this line alone: `P = ? kW at Q = 40 L/s`",
    ),
    (
        BlockKind::Check,
        "within",
        "says how far apart the two sides may be: `within 1 %` or `within 0.5 kN`",
    ),
    (
        BlockKind::Check,
        "rises with",
        "holds where the result gets greater as this given does, about its value",
    ),
    (
        BlockKind::Check,
        "falls with",
        "holds where the result gets smaller as this given gets greater, about its value",
    ),
    (
        BlockKind::Check,
        "does not depend on",
        "holds where the result stays the same whatever this given is, about its value",
    ),
    (
        BlockKind::Check,
        "varies as",
        "holds where the result goes with this power of a given: `y varies as x^2`",
    ),
    (
        BlockKind::Versions,
        "from",
        "says what a datum is chosen from in other versions: `D from 70 mm to 100 mm in steps of 5 mm`, `D from [70, 80, 95] mm`",
    ),
    (
        BlockKind::Versions,
        "in steps of",
        "says how far apart the numbers are, with as many decimals as they have",
    ),
    (
        BlockKind::Versions,
        "may change direction",
        "lets the sign of an answer be another one than in the worksheet",
    ),
    (
        BlockKind::Versions,
        "may change branch",
        "lets `cases`, `max`, `min`, `abs` or a bar in this formula go another way than in the worksheet",
    ),
    (
        BlockKind::Check,
        "sensitivity of",
        "lists the givens by how much each matters for the result",
    ),
];

/// What the word at a byte of the text does, and where it stands.
pub(super) fn word(text: &str, offset: usize) -> Option<(String, Span)> {
    let Surroundings::Block { kind, line, .. } = surroundings(text, offset) else {
        return None;
    };
    let whole = text.get(line..)?.lines().next()?;
    let code = &whole[..tail(whole).unwrap_or(whole.len())];
    let after_label = label(code.trim_start()).map_or(0, |label| {
        code.len() - code.trim_start().len() + label.len()
    });
    let (line, statement) = (line + after_label, &code[after_label..]);
    WORDS
        .iter()
        .filter(|(block, ..)| *block == kind || (*block == BlockKind::Check && kind.asserts()))
        .find_map(|(_, word, does)| {
            let span = places(statement, word)
                .into_iter()
                .map(|place| Span::new(line + place.start as usize, line + place.end as usize))
                .find(|span| span.start as usize <= offset && offset <= span.end as usize)?;
            Some((format!("`{word}`: {does}"), span))
        })
}

/// Where these words stand, one after another.
fn places(statement: &str, words: &str) -> Vec<Span> {
    let written: Vec<Token<'_>> = tokens(statement).collect();
    let wanted: Vec<&str> = words.split(' ').collect();
    let is_it = |found: &&[Token<'_>]| {
        found
            .iter()
            .map(|token| token.text)
            .eq(wanted.iter().copied())
    };
    let place = |found: &[Token<'_>]| found.iter().map(|token| token.place(0)).reduce(Span::cover);
    written
        .windows(wanted.len())
        .filter(is_it)
        .filter_map(place)
        .collect()
}
