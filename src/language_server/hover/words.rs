//! What the words of a line do, at the word under the cursor.

use super::super::surroundings::{Surroundings, surroundings, tail};
use crate::syntax::BlockKind;
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
    let statement = &whole[..tail(whole).unwrap_or(whole.len())];
    WORDS
        .iter()
        .filter(|(block, ..)| *block == kind)
        .find_map(|(_, word, does)| {
            let span = places(statement, word)
                .map(|at| Span::new(line + at, line + at + word.len()))
                .find(|span| span.start as usize <= offset && offset <= span.end as usize)?;
            Some((format!("`{word}`: {does}"), span))
        })
}

/// Where a word stands by itself.
fn places<'a>(statement: &'a str, word: &'a str) -> impl Iterator<Item = usize> + 'a {
    let is_part = |letter: char| letter.is_alphanumeric() || letter == '_';
    let found = statement.match_indices(word);
    found.map(|(at, _)| at).filter(move |at| {
        let (before, after) = (&statement[..*at], &statement[at + word.len()..]);
        !before.ends_with(is_part) && !after.starts_with(is_part) && !after.starts_with(':')
    })
}
