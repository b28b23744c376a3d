//! Words of the language, of fences, and of the front matter.

use lsp_types::CompletionItemKind;

use super::{Offer, Wish, Wishes};
use crate::tables::Pattern;
use crate::text::BlockKind;

/// The keys of the front matter with what each says.
const KEYS: &[(&str, &str)] = &[
    ("title: ", "the title of the page"),
    ("author: ", "who wrote it"),
    ("date: ", "as it is to be printed"),
    ("course: ", "what it belongs to"),
    ("figures: ", "significant figures of results, 1 to 15"),
    ("units: ", "the family that automatic units prefer"),
    ("paper: ", "what the page is printed on"),
    ("language: ", "a language tag such as `en` or `pt-BR`"),
    (
        "contents: ",
        "whether the page begins with the list of its entries",
    ),
    (
        "numbers: ",
        "the units in which numbers are put in for symbols",
    ),
    (
        "layout: ",
        "whether a chain stands in one row where there is room, or in three",
    ),
    ("topic: ", "what a problem is about, with commas between"),
    ("level: ", "how hard a problem is, 1 to 5"),
    ("minutes: ", "how long a problem takes"),
    (
        "time: ",
        "how long a question paper takes, as it is printed",
    ),
    (
        "versions: ",
        "how many versions with other numbers a paper has",
    ),
    (
        "series: ",
        "free text that decides which numbers the versions have",
    ),
    (
        "formulas: ",
        "labels of the equations on the formula sheet, or `cited`",
    ),
    ("within: ", "how far an answer may be off"),
    ("space: ", "what is left for answers on a question paper"),
];

/// What may follow in a line of the front matter.
pub(super) fn front_wishes(before: &str) -> Wishes<'_> {
    let Some((key, value)) = before.split_once(':') else {
        return Wishes::new(before.trim_start(), vec![Wish::Keys]);
    };
    let values: &[&str] = match key.trim() {
        "figures" => &["3", "4", "5", "6"],
        "units" => &["SI", "US"],
        "paper" => &["A4", "letter"],
        "contents" => &["yes", "no"],
        "numbers" => &["as given", "base units"],
        "layout" => &["compact", "full"],
        "space" => &["lines", "boxes", "none"],
        "level" => &["1", "2", "3", "4", "5"],
        "formulas" => &["cited"],
        "minutes" => &["10", "15", "20", "30"],
        "versions" => &["2", "4"],
        "within" => &["1 %", "2 %"],
        "language" => &["en", "de", "fr", "es", "pt-BR"],
        _ => &[],
    };
    Wishes::new(value.trim_start(), vec![Wish::Words(values)])
}

/// The keys of the front matter.
pub(super) fn keys() -> Vec<Offer> {
    let offer = |(key, says): &(&str, &str)| {
        Offer::new(CompletionItemKind::PROPERTY, 0, *key).with_detail(*says)
    };
    KEYS.iter().map(offer).collect()
}

/// The words of fences.
pub(super) fn blocks() -> Vec<Offer> {
    let offer = |kind: BlockKind| {
        let mut offer = Offer::new(CompletionItemKind::KEYWORD, 0, kind.word());
        offer.says = Some(kind.about().to_owned());
        offer
    };
    BlockKind::ALL.iter().copied().map(offer).collect()
}

/// How times are written in a table.
pub(super) fn patterns() -> Vec<Offer> {
    let offer = |(order, pattern): (usize, Pattern)| Offer {
        order,
        ..Offer::new(CompletionItemKind::KEYWORD, 3, pattern.text()).with_detail(pattern.noun())
    };
    Pattern::ALL.into_iter().enumerate().map(offer).collect()
}

/// Words that follow others.
pub(super) fn phrase(order: usize, phrase: &str) -> Offer {
    Offer {
        order,
        ..Offer::new(CompletionItemKind::KEYWORD, 1, phrase)
    }
}

/// Words, in the order in which they are most likely.
pub(super) fn words<'w>(list: impl Iterator<Item = &'w str>) -> Vec<Offer> {
    list.enumerate()
        .map(|(order, word)| phrase(order, word))
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::document;
    use crate::text::Source;

    #[test]
    fn every_key_is_one_of_the_front_matter() {
        for (key, _) in KEYS {
            let value = match front_wishes(key).list.as_slice() {
                [Wish::Words([value, ..])] => value,
                _ => "x",
            };
            let source = Source::new("w", format!("---\n{key}{value}\n---\n"));
            assert_eq!(document::parse(&source).1, [], "{key}");
        }
    }
}
