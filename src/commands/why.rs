//! `setsquare why [CODE]`: what a code means, with an example.

use setsquare::diagnostic::{Code, explanation, nearest};

use super::{Failure, Status, console};

/// Say why a line is refused, by the code of its message.
///
/// Prints what the code means, with an example and its correction.
/// Without a code, lists them all.
#[derive(Debug, clap::Args)]
pub struct Arguments {
    /// The code, such as D02
    #[arg(value_name = "CODE")]
    code: Option<String>,
}

/// Runs the command.
///
/// # Errors
/// [`Failure::Usage`] for an unknown code; [`Failure::Output`] when nobody reads the output.
pub fn run(arguments: &Arguments) -> Result<Status, Failure> {
    let text = match &arguments.code {
        Some(name) => {
            let code = Code::named(name).ok_or_else(|| Failure::Usage(unknown(name)))?;
            format!("{}\n", explanation(code).page.trim_end())
        }
        None => list(),
    };
    console::print(&text)?;
    Ok(Status::Success)
}

fn list() -> String {
    let line = |code: &Code| format!("{code}  {}\n", code.title());
    Code::ALL.iter().map(line).collect()
}

fn unknown(name: &str) -> String {
    let upper = name.to_uppercase();
    match nearest(&upper, Code::ALL.iter().map(|code| code.as_str())) {
        Some(near) => format!("there is no code `{name}`; did you mean `{near}`?"),
        None => format!("there is no code `{name}`; `setsquare why` lists them all"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_nearest_code_is_suggested() {
        assert_eq!(unknown("d2"), "there is no code `d2`; did you mean `D02`?");
        assert!(unknown("pressure").contains("lists them all"));
    }

    #[test]
    fn every_code_is_listed_on_a_line() {
        assert_eq!(list().lines().count(), Code::ALL.len());
        assert!(list().starts_with("T01  text that is not UTF-8\n"));
    }
}
