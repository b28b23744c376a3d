//! The adapter to the parser generator: the one file that knows `grammar/worksheet.pest`.
//!
//! In goes the text of one statement, out come matched pairs, or the place where reading
//! stopped and what was expected there, in words.

use crate::text::Span;
use pest::Parser;
use pest::error::{ErrorVariant, InputLocation};

#[derive(pest_derive::Parser)]
#[grammar = "../grammar/worksheet.pest"]
struct Worksheet;

pub(super) type Pair<'i> = pest::iterators::Pair<'i, Rule>;
pub(super) type Pairs<'i> = pest::iterators::Pairs<'i, Rule>;

/// Where reading stopped, as an offset into the statement, and what could have stood there.
pub(super) struct Stopped {
    pub at: usize,
    pub expected: Vec<&'static str>,
}

/// What an operand is called in a message.
pub(super) const OPERAND: &str = "a name, a number or a bracket";
/// What a number is called in a message.
pub(super) const NUMBER: &str = "a number";
/// What a unit is called where it was expected.
pub(super) const UNIT: &str = "a unit";

/// Matches the whole of `text` by `rule`.
pub(super) fn parse(rule: Rule, text: &str) -> Result<Pairs<'_>, Stopped> {
    Worksheet::parse(rule, text).map_err(|error| {
        let at = match error.location {
            InputLocation::Pos(at) | InputLocation::Span((at, _)) => at,
        };
        let mut expected: Vec<&'static str> = match error.variant {
            ErrorVariant::ParsingError { positives, .. } => {
                positives.into_iter().filter_map(words).collect()
            }
            ErrorVariant::CustomError { .. } => Vec::new(),
        };
        expected.sort_unstable();
        expected.dedup();
        Stopped { at, expected }
    })
}

/// The place of a pair in the worksheet, when the statement stands at `start`.
pub(super) fn span(pair: &Pair<'_>, start: usize) -> Span {
    let place = pair.as_span();
    Span::new(start + place.start(), start + place.end())
}

/// What a rule is called in a message; `None` for parts that would only be noise.
fn words(rule: Rule) -> Option<&'static str> {
    match rule {
        Rule::name | Rule::expr | Rule::bar_expr | Rule::abs | Rule::group | Rule::list => {
            Some(OPERAND)
        }
        Rule::number | Rule::signed | Rule::literal | Rule::number_list => Some(NUMBER),
        Rule::relation => Some("a relation such as `<`"),
        Rule::unit | Rule::unit_symbol | Rule::unit_group | Rule::unit_one => Some(UNIT),
        Rule::ask | Rule::filled_mark => Some("an ask `?`"),
        Rule::precision | Rule::figures_count | Rule::figures_word => {
            Some("`to N figures` or `to N decimals`")
        }
        Rule::constant_words => Some("the name of a constant"),
        Rule::sign_mark | Rule::sign_word => Some("`+` or `-` with a word"),
        Rule::sign_text => Some("a word"),
        Rule::otherwise | Rule::branch => Some("`for` or `otherwise`"),
        Rule::how | Rule::coverage => Some("words such as `(k=2)`, `(95 %)` or `(rectangular)`"),
        _ => None,
    }
}
