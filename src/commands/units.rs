//! `setsquare units [WORD]`: the list of units.

use setsquare::diagnostic::nearest;
use setsquare::quantity::{self, Dimension, Mark, Row, Unit};

use super::{Failure, Status, console, listing};

/// List the units.
///
/// One line a unit: how it is written, its name, its dimension, its factor to the coherent SI
/// unit, whether it takes the SI prefixes, and where the factor is from.
#[derive(Debug, clap::Args)]
pub struct Arguments {
    /// Only units with this symbol, or with this word in their name or dimension
    #[arg(value_name = "WORD")]
    word: Option<String>,
}

const COLUMNS: usize = 6;
const HEADINGS: [&str; COLUMNS] = [
    "symbol",
    "name",
    "dimension",
    "factor to SI",
    "prefixes",
    "source",
];

/// One line of the list.
type Line = [String; COLUMNS];

/// Runs the command.
///
/// # Errors
/// [`Failure::Output`] when nobody reads the output.
pub fn run(arguments: &Arguments) -> Result<Status, Failure> {
    let lines = match &arguments.word {
        None => quantity::list().map(line).collect(),
        Some(word) => find(word),
    };
    if lines.is_empty() {
        let word = arguments.word.as_deref().unwrap_or("");
        console::tell(&console::complaint(nothing(word)));
        return Ok(Status::Refused);
    }
    console::print(&listing::table(HEADINGS, &lines))?;
    Ok(Status::Success)
}

/// The units that have the word; a symbol with a prefix, which no row has, gets its own line.
fn find(word: &str) -> Vec<Line> {
    let known = quantity::list().any(|row| row.symbols().contains(&word));
    let prefixed = if known { None } else { prefixed(word) };
    let found = quantity::list().filter(|row| has(row, word)).map(line);
    prefixed.into_iter().chain(found).collect()
}

/// Whether the word is a symbol, in either case, or begins a word of the name or the dimension.
fn has(row: &Row, word: &str) -> bool {
    let dimension = row.dimension().noun().unwrap_or("");
    let is_symbol = |symbol: &&str| symbol.to_lowercase() == word.to_lowercase();
    row.symbols().iter().any(is_symbol)
        || listing::begins_a_word(row.name(), word)
        || listing::begins_a_word(dimension, word)
}

fn line(row: &'static Row) -> Line {
    [
        row.symbols().join(", "),
        row.name().to_owned(),
        noun(row.dimension()),
        match row.mark() {
            Mark::Decibel if row.factor() == 1.0 => "10^(x/10)".to_owned(),
            Mark::Decibel => format!("{} dB", row.exact_factor()),
            _ => factor(&row.exact_factor(), row.offset(), row.dimension()),
        },
        if row.takes_prefixes() { "yes" } else { "" }.to_owned(),
        row.source().to_owned(),
    ]
}

fn prefixed(symbol: &str) -> Option<Line> {
    let unit = Unit::lone(symbol).ok()?;
    Some([
        symbol.to_owned(),
        quantity::describe(symbol)?,
        noun(unit.dimension()),
        factor(&unit.exact_factor(), unit.offset(), unit.dimension()),
        String::new(),
        "SI Brochure (9th ed.) table 7".to_owned(),
    ])
}

fn noun(dimension: Dimension) -> String {
    match dimension.noun() {
        Some(noun) => noun.to_owned(),
        None => dimension.formula(),
    }
}

/// "6894.757293168361 Pa"; with an offset "(x + 273.15) × 1 K".
fn factor(number: &str, offset: f64, dimension: Dimension) -> String {
    let scaled = if offset == 0.0 {
        number.to_owned()
    } else {
        format!("(x + {offset}) × {number}")
    };
    if dimension.is_none() {
        scaled
    } else {
        format!("{scaled} {}", dimension.symbol())
    }
}

fn nothing(word: &str) -> String {
    let known = quantity::list().flat_map(|row| {
        let symbols = row.symbols().iter().copied();
        let dimension = row.dimension().noun().unwrap_or("");
        let words = [row.name(), dimension]
            .into_iter()
            .flat_map(str::split_whitespace);
        symbols.chain(words)
    });
    match nearest(word, known) {
        Some(near) => format!("no unit has the word `{word}`; did you mean `{near}`?"),
        None => format!("no unit has the word `{word}`; `setsquare units` lists them all"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_symbol_with_a_prefix_has_a_line_of_its_own() {
        let found = find("kPa");
        let [symbol, name, _, factor, ..] = found.first().unwrap();
        assert_eq!((symbol.as_str(), name.as_str()), ("kPa", "kilopascal"));
        assert_eq!(factor, "1000 Pa");
    }
}
