//! Units that are written in words.
//!
//! In goes a word that is no symbol, out comes the symbol of the unit that it names: the name of
//! a row in the singular or plural and in either spelling, with or without a prefix, or a short
//! form that many write.

use super::{PREFIXES, list};

/// Words that are no names of rows, with what is typed for them.
const SHORT_FORMS: &[(&str, &str)] = &[
    ("amp", "A"),
    ("cc", "cm^3"),
    ("celsius", "degC"),
    ("centigrade", "degC"),
    ("fahrenheit", "degF"),
    ("feet", "ft"),
    ("fps", "ft/s"),
    ("gallon", "gal"),
    ("henrie", "H"),
    ("hrs", "h"),
    ("ips", "in/s"),
    ("st", "stone"),
    ("kilo", "kg"),
    ("kmh", "km/h"),
    ("kmph", "km/h"),
    ("kph", "km/h"),
    ("lpm", "L/min"),
    ("lps", "L/s"),
    ("ltr", "L"),
    ("micron", "um"),
    ("mins", "min"),
    ("mps", "m/s"),
    ("mtr", "m"),
    ("pint", "pt"),
    ("quart", "qt"),
    ("rankine", "degR"),
    ("rps", "rev/s"),
    ("sqm", "m^2"),
];

/// From so many letters on, a word may be a name with a slip in it.
const LONG: usize = 5;

/// The symbol of the unit that a word names.
pub(super) fn in_words(word: &str) -> Option<String> {
    let word = spelled(word);
    plain(&word).or_else(|| {
        PREFIXES.iter().find_map(|prefix| {
            let rest = word.strip_prefix(prefix.name)?;
            let row = list().find(|row| row.takes_prefixes() && is_named(row.name(), rest))?;
            Some(format!("{}{}", prefix.typed, row.symbol()))
        })
    })
}

/// The symbol of the unit whose name a long word nearly is.
pub(super) fn nearly_in_words(word: &str) -> Option<String> {
    let word = spelled(word);
    let is_near = |name: &str| {
        let name = spelled(name);
        name.len() >= LONG && strsim::osa_distance(&word, &name) == 1
    };
    list()
        .find(|row| word.len() >= LONG && is_near(row.name()))
        .map(|row| row.symbol().to_owned())
}

fn plain(word: &str) -> Option<String> {
    let short = |(form, _): &&(&str, &str)| word == *form || word.strip_suffix('s') == Some(form);
    let named = list().find(|row| is_named(row.name(), word));
    named
        .map(|row| row.symbol().to_owned())
        .or_else(|| Some(SHORT_FORMS.iter().find(short)?.1.to_owned()))
}

/// Whether a word is this name, in the singular or plural.
fn is_named(name: &str, word: &str) -> bool {
    let name = spelled(name);
    let singular = |ending: &str| word.strip_suffix(ending) == Some(&name);
    word == name || singular("s") || singular("es")
}

fn spelled(name: &str) -> String {
    let name = name.to_lowercase();
    name.replace("metre", "meter").replace("litre", "liter")
}
