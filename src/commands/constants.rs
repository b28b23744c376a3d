//! `setsquare constants [WORD]`: the list of constants.

use setsquare::quantity::{self, Constant, EDITION};

use super::{Failure, Status, console, listing};

/// List the constants.
///
/// One line a constant: its published name, as `constant(…)` takes it, its value, its standard
/// uncertainty, its unit, and where it is published.
#[derive(Debug, clap::Args)]
pub struct Arguments {
    /// Only constants with this word in their name, or with this unit
    #[arg(value_name = "WORD")]
    word: Option<String>,
}

const HEADINGS: [&str; 5] = ["name", "value", "uncertainty", "unit", "source"];

/// Runs the command.
///
/// # Errors
/// [`Failure::Output`] when nobody reads the output.
pub fn run(arguments: &Arguments) -> Result<Status, Failure> {
    let word = arguments.word.as_deref().unwrap_or("");
    let found = quantity::constants().iter().filter(|it| has(it, word));
    let lines: Vec<_> = found.map(line).collect();
    if lines.is_empty() {
        console::tell(&console::complaint(nothing(word)));
        return Ok(Status::Refused);
    }
    console::print(&listing::table(HEADINGS, &lines))?;
    Ok(Status::Success)
}

fn has(constant: &Constant, word: &str) -> bool {
    let is_named = || quantity::constant(word).is_some_and(|named| named.name == constant.name);
    listing::begins_a_word(constant.name, word) || constant.published == word || is_named()
}

fn line(constant: &Constant) -> [String; HEADINGS.len()] {
    [
        constant.name.to_owned(),
        constant.number.to_owned(),
        constant.uncertainty.unwrap_or("exact").to_owned(),
        constant.published.to_owned(),
        EDITION.to_owned(),
    ]
}

fn nothing(word: &str) -> String {
    match quantity::constants_like(word).as_slice() {
        [] => format!("no constant has the word `{word}`; `setsquare constants` lists them all"),
        near => format!(
            "no constant has the word `{word}`; did you mean `{}`?",
            near.join("` or `")
        ),
    }
}
