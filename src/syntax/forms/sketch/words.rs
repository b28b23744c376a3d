//! The words of sketches, which no name may be spelled as.

use super::super::super::grammar::{self, Rule};
use super::super::error;
use crate::diagnostic::{Code, Diagnostic};
use crate::text::Span;

/// The words that end a formula, as in the rule `sketch_word`.
const WORDS: [&str; 22] = [
    "right",
    "left",
    "up",
    "down",
    "above",
    "below",
    "at",
    "from",
    "toward",
    "to",
    "away",
    "on",
    "with",
    "in",
    "out",
    "flow",
    "of",
    "clockwise",
    "anticlockwise",
    "open",
    "rising",
    "falling",
];

/// Whether it is a word of sketches.
pub fn is_word_of_sketches(word: &str) -> bool {
    WORDS.contains(&word)
}

/// A line that can be read with another name for one of its words: that word was meant as a name.
pub(super) fn as_a_name(body: &str, start: usize) -> Option<Box<Diagnostic>> {
    let mut at = 0;
    for word in body.split_inclusive(|it: char| !it.is_alphanumeric() && it != '_') {
        let place = at;
        at += word.len();
        let word = word.trim_end_matches(|it: char| !it.is_alphanumeric() && it != '_');
        if !is_word_of_sketches(word) {
            continue;
        }
        let end = place + word.len();
        let other = format!("{word}_1");
        let with_other = format!("{}{other}{}", &body[..place], &body[end..]);
        let Ok(pairs) = grammar::parse(Rule::sketch_line, &with_other) else {
            continue;
        };
        let is_whole = pairs
            .flatten()
            .any(|pair| pair.as_rule() == Rule::sketch_expr && pair.as_str() == other);
        if is_whole {
            let span = Span::new(start + place, start + end);
            return Some(error(
                Code::G16,
                span,
                format!("`{word}` is a word in a sketch, and no name"),
                format!("another name, as `{other}`, in all lines"),
            ));
        }
    }
    None
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_words_are_those_that_end_a_formula() {
        for word in WORDS {
            let line = format!("force {word} right");
            assert!(grammar::parse(Rule::sketch_line, &line).is_err(), "{word}");
            let named = as_a_name(&line, 0).map(|it| it.code);
            assert_eq!(named, Some(Code::G16), "{word}");
        }
        let grammar = include_str!("../../../../grammar/worksheet.pest");
        let rule = grammar.split("sketch_word = _{").nth(1);
        let rule = rule.and_then(|it| it.split('}').next()).unwrap_or_default();
        let listed = rule.split('"').skip(1).step_by(2).count();
        assert_eq!(listed, WORDS.len());
    }

    #[test]
    fn a_word_that_is_missing_or_too_many_is_no_name() {
        for line in ["force up at A", "force F right up", "pin at A with A_x"] {
            assert!(as_a_name(line, 0).is_none(), "{line}");
        }
    }
}
