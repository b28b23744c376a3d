//! What is said about a worksheet when its work is done: its diagnostics, one line, a status.

use setsquare::diagnostic::Diagnostic;
use setsquare::diagnostic::terminal::{self, Colour};
use setsquare::text::{BlockKind, counted};
use setsquare::worksheet::{self, PartKind, Statement, Worksheet};

use super::Status;

/// How many messages of a worksheet are told on the terminal; nobody reads more.
const MOST_TOLD: usize = 300;

/// The diagnostics that `wanted` keeps, as lines for a terminal.
pub fn diagnostics(
    worksheet: &Worksheet,
    colour: Colour,
    wanted: impl Fn(&Diagnostic) -> bool,
) -> String {
    let mut wanted = worksheet
        .diagnostics
        .iter()
        .filter(|diagnostic| wanted(diagnostic));
    let mut told: String = wanted
        .by_ref()
        .take(MOST_TOLD)
        .map(|diagnostic| terminal::render(diagnostic, &worksheet.source, colour))
        .collect();
    let left = wanted.count();
    if left > 0 {
        told.push_str(&format!(
            "{}: {left} more messages are not shown; `check --json` has them all\n",
            worksheet.source.name()
        ));
    }
    told
}

/// "penstock-bend.md: 2 errors, 1 warning, 3 of 4 checks hold", without a line ending.
pub fn line(worksheet: &Worksheet) -> String {
    // A check that does not hold is counted with the checks.
    let errors = count(worksheet, worksheet::is_refusal);
    let warnings = count(worksheet, |diagnostic| !diagnostic.is_error());
    let (holding, checks) = checks(worksheet);
    let mut facts = vec![match errors {
        0 => "no errors".to_owned(),
        errors => counted(errors, "error"),
    }];
    if warnings > 0 {
        facts.push(counted(warnings, "warning"));
    }
    if checks > 0 {
        let verb = if checks == 1 { "holds" } else { "hold" };
        facts.push(format!("{holding} of {} {verb}", counted(checks, "check")));
    }
    format!("{}: {}", worksheet.source.name(), facts.join(", "))
}

/// Whether it has no errors and every check holds.
pub fn status(worksheet: &Worksheet) -> Status {
    if worksheet.has_errors() || !worksheet.all_checks_hold() {
        Status::Refused
    } else {
        Status::Success
    }
}

fn count(worksheet: &Worksheet, wanted: impl Fn(&Diagnostic) -> bool) -> usize {
    let diagnostics = worksheet.diagnostics.iter();
    diagnostics.filter(|diagnostic| wanted(diagnostic)).count()
}

/// How many checks hold, and how many there are. One that could not be evaluated does not hold.
fn checks(worksheet: &Worksheet) -> (usize, usize) {
    let statements = worksheet.parts().filter_map(|(_, part)| match &part.kind {
        PartKind::Block {
            kind: BlockKind::Check,
            statements,
        } => Some(statements),
        _ => None,
    });
    // A table asserts nothing.
    let asserts = |statement: &&Statement| !statement.makes_a_table;
    let all: Vec<&Statement> = statements.flatten().filter(asserts).collect();
    let holding = all
        .iter()
        .filter(|statement| statement.body.holds() == Some(true));
    (holding.count(), all.len())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_agree_with_their_nouns() {
        assert_eq!(counted(1, "warning"), "1 warning");
        assert_eq!(counted(2, "error"), "2 errors");
    }
}
