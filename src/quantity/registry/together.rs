//! What a trade runs together into one word that is no symbol: a unit and what it counts from
//! (`kPag`, `psid`), a level and its reference (`dBm`), a prefixed molarity (`mM`), an area or a
//! volume by the unit of length (`sqft`), a plural (`yds`).

use super::{PREFIXES, find, find_exactly};
use crate::quantity::{Dimension, Mark};

/// What is typed for such a word.
pub(super) fn meant(word: &str) -> Option<String> {
    level(word)
        .or_else(|| pressure(word))
        .or_else(|| molarity(word))
        .or_else(|| raised(word))
        .or_else(|| plural(word))
}

/// A level has no reference in its unit.
fn level(word: &str) -> Option<String> {
    let reference = word.strip_prefix("dB")?;
    (!reference.is_empty()).then(|| "dB".to_owned())
}

/// A pressure with the letter of its datum; a difference has no datum.
fn pressure(word: &str) -> Option<String> {
    let (unit, datum) = [("g", " gauge"), ("a", " abs"), ("d", "")]
        .into_iter()
        .find_map(|(letter, datum)| Some((word.strip_suffix(letter)?, datum)))?;
    let row = find(unit)?.row;
    // `mmHgg` is rather a slip.
    let is_slip = word.ends_with("gg");
    let is_plain = row.dimension() == Dimension::pressure() && row.mark() == Mark::None && !is_slip;
    is_plain.then(|| format!("{unit}{datum}"))
}

/// `mM` is a thousandth of a mole in a litre.
fn molarity(word: &str) -> Option<String> {
    let prefix = word.strip_suffix('M')?;
    let is_prefix = PREFIXES.iter().any(|it| it.typed == prefix && it.power < 0);
    is_prefix.then(|| format!("{prefix}mol/L"))
}

/// `sqft`, `cuin`: two or three of a unit of length.
fn raised(word: &str) -> Option<String> {
    let (unit, power) = [("sq", 2), ("cu", 3)]
        .into_iter()
        .find_map(|(start, power)| Some((word.strip_prefix(start)?, power)))?;
    let is_length = find(unit)?.row.dimension() == Dimension::length();
    is_length.then(|| format!("{unit}^{power}"))
}

/// A symbol that is written like a word, in the plural. Others end in the second: `kNs`, `Vs`.
fn plural(word: &str) -> Option<String> {
    /// Prefixed symbols that are spoken like words.
    const SPOKEN: [&str; 4] = ["kg", "km", "cm", "mm"];
    let symbol = word.strip_suffix('s')?;
    let is_lower = symbol.len() > 1 && symbol.bytes().all(|letter| letter.is_ascii_lowercase());
    let is_word = is_lower && find_exactly(symbol).is_some() || SPOKEN.contains(&symbol);
    is_word.then(|| symbol.to_owned())
}
