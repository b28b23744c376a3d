//! What the evaluator has to say when a program stops or members disagree.

use super::program::{Fault, Reason};
use super::walk::Walk;
use crate::diagnostic::{Code, Decision, Diagnostic, Fix};
use crate::resolve::Kind;
use crate::text::Span;

impl Walk<'_> {
    /// The diagnostic of a stop. `at` replaces the place when the program stands elsewhere.
    pub(super) fn of_fault(&self, fault: Fault, at: Option<Span>) -> Diagnostic {
        let text = self.text;
        if fault.reason == Reason::NoCase && self.is_cut(fault.span) {
            let here = at.or(self.line.map(|line| line.span));
            return Diagnostic::error(
                Code::E10,
                here.unwrap_or(fault.span),
                "the cut is beyond the ends of the member",
            )
            .with_note("of this one", fault.span)
            .with_help("a distance between 0 and the length of the member");
        }
        let operand: String = fault.span.of(text).chars().take(60).collect();
        let (code, message, help) = match fault.reason {
            Reason::Outside(outside) => self.outside(&outside),
            reason => words(text, reason, &operand),
        };
        let diagnostic = Diagnostic::error(code, at.unwrap_or(fault.span), message)
            .with_help(help)
            .with_fixes(
                (code == Code::E10)
                    .then(|| last_case(text, fault.span))
                    .flatten(),
            );
        match at {
            Some(at) if at != fault.span => diagnostic.with_note("it happens here", fault.span),
            _ => diagnostic,
        }
    }
}

impl Walk<'_> {
    /// Whether functions of a cut member are defined there.
    fn is_cut(&self, place: Span) -> bool {
        let mut lines = self.resolved.blocks.iter().flatten();
        lines.any(|line| matches!(&line.kind, Some(Kind::Shear(cut)) if cut.span == place))
    }
}

/// A last case of a case distinction, for the author to fill in.
fn last_case(text: &str, cases: Span) -> Option<Fix> {
    let inside = cases.of(text).strip_suffix(')')?.trim_end();
    let end = cases.start as usize + inside.len();
    let title = "add a case `… otherwise`";
    let place = Span::new(end, end);
    Some(Fix::new(Decision::Complete, title, place, ", … otherwise"))
}

/// Why an equation has no value at a place, in a few words.
pub(super) fn reason(reason: Reason) -> &'static str {
    match reason {
        Reason::DivisionByZero | Reason::ZeroBase => "a division by zero",
        Reason::NegativeBase | Reason::NegativeRoot => "a root of a negative number",
        Reason::Domain(..) => "a function outside its domain",
        Reason::Overflow => "a number that is too large",
        Reason::Underflow => "a number that is too small",
        Reason::Lengths(..) => "lists of different lengths",
        Reason::OtherRows(_) => "lists of different tables",
        Reason::NoList => "one number where a list is needed",
        Reason::NoRow(_) | Reason::Missing(_) => "a row that is not there",
        Reason::SameAbscissae(_) => "neighbours with one abscissa",
        Reason::NoDegrees(_) => "degrees of freedom that cannot be told",
        Reason::NoUncertainty => "an uncertainty that is none",
        Reason::NoLevel => "a level that is no part of 1",
        Reason::SharedReadings => "rows that share readings",
        Reason::TooManyDerivatives => "too many readings in too many rows",
        Reason::NoWords => "a heading that is not there",
        Reason::Gap(_) => "a total with a gap",
        Reason::NoEntry => "no entries",
        Reason::NoScatter => "no scatter",
        Reason::NoAtmosphere => "`p_atm` is missing",
        Reason::Outside(_) => "a place outside of a table",
        Reason::OutOfOrder(_) => "places of a table in no order",
        Reason::TooFewRows => "a table of fewer than two rows",
        Reason::NoLists => "no lists where a table needs them",
        Reason::NoCase => "no case holds",
        Reason::InDoubt => "a number that is not known well enough",
    }
}

fn words(text: &str, reason: Reason, operand: &str) -> (Code, String, String) {
    match reason {
        Reason::DivisionByZero => (
            Code::E01,
            format!("division by zero: `{operand}` is 0"),
            "data for which the divisor is not zero, or `cases(…)` for that case".to_owned(),
        ),
        Reason::ZeroBase => (
            Code::E01,
            format!("division by zero: `{operand}` is a negative power of 0"),
            "data for which the base is not zero, or `cases(…)` for that case".to_owned(),
        ),
        Reason::NegativeBase => (
            Code::E02,
            format!("the base of `{operand}` is negative, and such a power has no real value"),
            "data for which it is not negative, or the magnitude `|…|` if that is meant".to_owned(),
        ),
        Reason::NegativeRoot => (
            Code::E02,
            format!("`{operand}` is negative, and a root of it has no real value"),
            "data for which it is not negative, or the magnitude `|…|` if that is meant".to_owned(),
        ),
        Reason::Domain(function, argument) => (
            Code::E03,
            format!("`{operand}` is outside the domain of `{}`", function.name()),
            (function.domain(argument).map_or("", |domain| domain.asks)).to_owned(),
        ),
        Reason::Overflow => (
            Code::E04,
            format!("`{operand}` is too large or not a number"),
            "data of a size for which the formula holds".to_owned(),
        ),
        Reason::Underflow => (
            Code::E04,
            format!("`{operand}` is too small to be told from 0"),
            "data of a size for which the formula holds".to_owned(),
        ),
        Reason::Lengths(left, right) => (
            Code::E09,
            format!("`{operand}` has {right} entries, but another list has {left}"),
            "lists of one length, or a single number".to_owned(),
        ),
        Reason::OtherRows([one, other]) if one == other => (
            Code::K05,
            format!(
                "`{operand}` has other rows of this table than the list before it: conditions chose them otherwise"
            ),
            "the same condition for both, or one number of each list, such as its mean".to_owned(),
        ),
        Reason::OtherRows([one, other]) => (
            Code::K05,
            format!(
                "`{operand}` has the rows of {}, and the list before it those of {}",
                table(text, other),
                table(text, one)
            ),
            "both columns in one table, or one number of each list, such as its mean".to_owned(),
        ),
        Reason::NoList => (
            Code::K05,
            format!("`{operand}` is one number, where a list is needed"),
            "a list, such as a column of a table".to_owned(),
        ),
        Reason::NoRow(count) => (
            Code::K06,
            format!(
                "`{operand}` has {count} row{}",
                if count == 1 { "" } else { "s" }
            ),
            format!("the whole number of a row, from 1 to {count}"),
        ),
        Reason::Missing(row) => (
            Code::K14,
            format!("row {} has no `{operand}`", row + 1),
            "another row".to_owned(),
        ),
        Reason::SameAbscissae(row) => (
            Code::E01,
            format!(
                "division by zero: `{operand}` is the same on both sides of row {}",
                row + 1
            ),
            "rows in which it differs".to_owned(),
        ),
        Reason::NoDegrees(false) => (
            Code::U05,
            format!(
                "the degrees of freedom of `{operand}` cannot be told: a stated correlation touches a source that has few"
            ),
            "a coverage factor that is stated: `with k = 2`".to_owned(),
        ),
        Reason::NoDegrees(true) => (
            Code::U05,
            format!(
                "nothing that `{operand}` comes from is known by its scatter: its degrees of freedom are infinite"
            ),
            format!("`coverage_factor({operand}, 95 %)`, which takes the normal distribution then"),
        ),
        Reason::NoUncertainty => (
            Code::U06,
            format!("nothing that `{operand}` comes from is uncertain"),
            "`± …` after what is measured".to_owned(),
        ),
        Reason::NoLevel => (
            Code::E03,
            format!("`{operand}` is no level of confidence"),
            "a part between 0 and 1: `95 %`".to_owned(),
        ),
        Reason::SharedReadings => (
            Code::K21,
            format!(
                "neighbouring rows of the list in `{operand}` share a reading: their scatter is not that of single readings"
            ),
            "the mean of the list, or the readings themselves".to_owned(),
        ),
        Reason::TooManyDerivatives => (
            Code::K12,
            format!("the rows of `{operand}` depend on too many readings"),
            "fewer rows, or one error that all readings have in common".to_owned(),
        ),
        Reason::NoWords => (
            Code::K15,
            format!("`{operand}` is no heading of words in this table"),
            "a heading of the table, or a comparison of readings: `t_i < 30 s`".to_owned(),
        ),
        Reason::Gap(row) => (
            Code::K14,
            format!(
                "row {} has no `{operand}`: the total would lack it",
                row + 1
            ),
            format!("`mean({operand})`, which leaves it out, or the rows without gaps"),
        ),
        Reason::NoEntry => (
            Code::K14,
            format!("no row has `{operand}`"),
            "rows that are not all left out".to_owned(),
        ),
        Reason::NoScatter => (
            Code::U02,
            format!("`{operand}` has no scatter to be uncertain by"),
            "two readings or more, or `± …` with its uncertainty".to_owned(),
        ),
        Reason::NoAtmosphere => (
            Code::R06,
            format!("`{operand}` needs the pressure of the atmosphere, and `p_atm` is not given"),
            "`p_atm = 101.3 kPa abs` in `given` above, with the value of the place".to_owned(),
        ),
        Reason::Outside(_) => (
            Code::K17,
            format!("`{operand}` lies outside of the table"),
            "more rows, or an argument inside: a table is never continued".to_owned(),
        ),
        Reason::OutOfOrder(row) => (
            Code::K16,
            format!(
                "the places of `{operand}` neither rise nor fall all the way: they turn, or stand still, at row {}",
                row + 1
            ),
            "rows in order; a noisy one is fitted, or left out with its reason".to_owned(),
        ),
        Reason::TooFewRows => (
            Code::K16,
            format!("`{operand}` has fewer than two rows"),
            "two rows or more with both entries".to_owned(),
        ),
        Reason::NoLists => (
            Code::K16,
            format!("`{operand}` has not two lists"),
            "the names of two lists of one table: `rho_i against T_i`".to_owned(),
        ),
        Reason::NoCase => (
            Code::E10,
            format!("no case of `{operand}` holds"),
            "a last case `… otherwise`".to_owned(),
        ),
        Reason::InDoubt => (
            Code::E04,
            format!("`{operand}` is lost in rounding, and what follows depends on it"),
            "data of a size for which the formula holds".to_owned(),
        ),
    }
}

/// The table that rows are of.
fn table(text: &str, label: Option<Span>) -> String {
    match label {
        Some(label) => format!("`{}`", label.of(text)),
        None => "a list that stands alone".to_owned(),
    }
}
