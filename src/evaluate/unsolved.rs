//! What to say about an equation that was not solved by numbers.

use super::program::Fault;
use super::roots::Failure;
use super::solve::Unsolved;
use crate::diagnostic::{Code, Diagnostic};
use crate::text::Span;

/// What a message needs to know about the line.
pub(super) struct Line<'a> {
    /// Where the start or the bracket is written, or the line where none is.
    pub place: Span,
    /// The unknowns as they are written.
    pub unknowns: &'a [String],
    /// Writes a number in the unit in which the unknown is sought.
    pub shown: &'a dyn Fn(usize, f64) -> String,
    /// Says why an equation has no rows.
    pub stopped: &'a dyn Fn(Fault) -> Diagnostic,
}

impl Line<'_> {
    fn names(&self) -> String {
        format!("`{}`", self.unknowns.join("`, `"))
    }

    fn one(&self, value: f64) -> String {
        (self.shown)(0, value)
    }

    fn all(&self, values: &[f64]) -> String {
        let parts: Vec<String> = values
            .iter()
            .enumerate()
            .map(|(at, value)| {
                let name = self.unknowns.get(at).map_or("", String::as_str);
                format!("{name} = {}", (self.shown)(at, *value))
            })
            .collect();
        parts.join(", ")
    }
}

/// The diagnostic of an equation, or of a system, that was not solved.
pub(super) fn diagnostic(unsolved: &Unsolved, line: &Line<'_>) -> Diagnostic {
    match words(unsolved, line) {
        Ok((code, message, help)) => Diagnostic::error(code, line.place, message).with_help(help),
        Err(fault) => (line.stopped)(fault),
    }
}

/// What is said of it, and what is to be done.
type Words = (Code, String, String);

fn words(unsolved: &Unsolved, line: &Line<'_>) -> Result<Words, Fault> {
    let names = line.names();
    Ok(match unsolved {
        Unsolved::NeedsStart => (
            Code::E15,
            format!("the equation is not linear in {names}, so it may have several roots"),
            "`near` with a value of the expected size, or `between … and …`".to_owned(),
        ),
        Unsolved::DoubleRoot => (
            Code::E14,
            format!(
                "{names} is a double root, so the uncertainty of the data does not fix its own"
            ),
            "data without uncertainty, or an equation that crosses zero".to_owned(),
        ),
        Unsolved::NotOneNumber => (
            Code::E13,
            "a system with a list, or an equation with a vector, is not solved by numbers"
                .to_owned(),
            "one number for each of its quantities, or its components as equations".to_owned(),
        ),
        Unsolved::Together => (
            Code::E13,
            format!(
                "a function takes all rows of {names} together, so that no row has a root by itself"
            ),
            "an equation in which each row stands by itself".to_owned(),
        ),
        Unsolved::NoRows(fault) => return Err(*fault),
        Unsolved::InRow(row, why) => {
            let (code, message, help) = words(why, line)?;
            (code, format!("in row {}: {message}", row + 1), help)
        }
        Unsolved::Search(failure) => searched(failure, line),
    })
}

fn searched(failure: &Failure<Fault>, line: &Line<'_>) -> Words {
    let names = line.names();
    let other_start = "another value near which it is sought, or the equation put right";
    match failure {
        Failure::NoSignChange { low, high, .. } => (
            Code::E11,
            format!(
                "no root was found between {} and {}: at no place that was tried do the sides of the equation meet",
                line.one(*low),
                line.one(*high)
            ),
            "a wider bracket, or the equation put right".to_owned(),
        ),
        Failure::Several(roots) => {
            let roots: Vec<String> = roots.iter().map(|root| line.one(*root)).collect();
            (
                Code::E12,
                format!(
                    "the bracket holds {} roots: {}",
                    roots.len(),
                    roots.join(", ")
                ),
                format!(
                    "`near {}`, or a bracket around the one that is meant",
                    roots[0]
                ),
            )
        }
        Failure::Pole { at } => (
            Code::E11,
            format!(
                "the only change of sign that was found is at {}, where the equation has no finite value",
                line.one(*at)
            ),
            "a bracket on one side of that value".to_owned(),
        ),
        Failure::Jump { at } => (
            Code::E11,
            format!(
                "the only change of sign that was found is at {}, where the equation jumps",
                line.one(*at)
            ),
            "a bracket on one side of that value".to_owned(),
        ),
        Failure::Minimum { at, .. } => (
            Code::E13,
            format!(
                "no root was found: near {} the sides come closest, and do not meet",
                line.all(at)
            ),
            other_start.to_owned(),
        ),
        Failure::Inconsistent { .. } => (
            Code::E14,
            format!(
                "no {names} was found that satisfies the equations: wherever the search went, they contradict each other"
            ),
            "the equation that is wrong put right".to_owned(),
        ),
        Failure::Dependent { .. } => (
            Code::E14,
            format!(
                "the equations do not fix {names} where the search ended: there one follows from the others, to within rounding"
            ),
            "an independent equation for each unknown".to_owned(),
        ),
        Failure::Diverged { at } => (
            Code::E13,
            format!("no root was found: the search ran away to {}", line.all(at)),
            other_start.to_owned(),
        ),
        Failure::NotConverged { iterations, .. } => (
            Code::E13,
            format!("no root was found in {iterations} steps"),
            other_start.to_owned(),
        ),
        Failure::NotFinite { .. } => (
            Code::E13,
            "the equation has no finite value where the search starts".to_owned(),
            other_start.to_owned(),
        ),
        Failure::Shape { unknowns, .. } => (
            Code::E13,
            format!("{unknowns} equations are too many to be solved together"),
            format!(
                "at most {} of them in one system",
                super::roots::MOST_UNKNOWNS
            ),
        ),
        Failure::Stopped(fault) => {
            let at = super::fault::reason(fault.reason);
            (
                Code::E13,
                format!("the equation cannot be evaluated where the search starts: {at}"),
                other_start.to_owned(),
            )
        }
    }
}
