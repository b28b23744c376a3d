//! What holds for every worksheet of the specification, whatever its case is about.

use setsquare::diagnostic::Code;
use setsquare::page::report;
use setsquare::text::Source;
use setsquare::worksheet::{Shape, Shown, Work, Worksheet, fill, tidy, unfill};

use super::super::beside::compile;
use super::facts::{Facts, Outcome};
use super::printed;

/// What `fill` and `fill --ask` owe to every worksheet: what was filled can be emptied again,
/// filling twice changes nothing, and a filled worksheet says the same, but for stale numbers.
pub fn fill_laws(text: &str) -> Vec<String> {
    let mut wrong = Vec::new();
    let source = Source::new("spec.md", text);
    let worksheet = compile(source);
    let filled = fill(&worksheet);
    let filled_source = Source::new("spec.md", filled.clone());
    let emptied = unfill(&worksheet);
    let again = unfill(&compile(filled_source.clone()));
    if again != emptied {
        wrong.push(format!(
            "filled and emptied:\n{again}instead of:\n{emptied}"
        ));
    }
    let refilled = compile(filled_source);
    let twice = fill(&refilled);
    if twice != filled {
        wrong.push(format!("filled twice:\n{twice}instead of:\n{filled}"));
    }
    let codes = |worksheet: &Worksheet| -> Vec<Code> {
        worksheet
            .diagnostics
            .iter()
            .map(|it| it.code)
            .filter(|code| *code != Code::E08)
            .collect()
    };
    let (before, after) = (codes(&worksheet), codes(&refilled));
    if before != after {
        wrong.push(format!(
            "{before:?} before, {after:?} after filling:\n{filled}"
        ));
    }
    if refilled.diagnostics.iter().any(|it| it.code == Code::E08) {
        wrong.push(format!("a number just filled is stale:\n{filled}"));
    }
    wrong
}

/// What `tidy` owes to every worksheet: it says the same, and tidying twice changes nothing.
pub fn tidy_laws(text: &str) -> Vec<String> {
    let mut wrong = Vec::new();
    let source = Source::new("spec.md", text);
    let tidied = tidy(&source);
    let again = Source::new("spec.md", tidied.clone());
    let twice = tidy(&again);
    if twice != tidied {
        wrong.push(format!("tidied twice:\n{twice}instead of:\n{tidied}"));
    }
    let (before, after) = (said(source), said(again));
    if before != after {
        wrong.push(format!(
            "{before}\nbefore,\n{after}\nafter tidying:\n{tidied}"
        ));
    }
    wrong
}

/// The report on a worksheet without columns, and without the blanks in what it quotes.
fn said(source: Source) -> String {
    report(&[compile(source)])
        .lines()
        .filter(|line| !line.contains("column\":"))
        .map(|line| line.split_whitespace().collect::<String>() + "\n")
        .collect()
}

/// The printed numbers of a line, typed in again, give its printed result to within one unit in
/// the last place. Tells how many lines could be tried, and the faults.
pub fn re_entered(text: &str) -> (usize, Vec<String>) {
    let facts = Facts::of(text);
    let outcomes = facts.outcomes();
    let lines = outcomes
        .iter()
        .filter_map(|outcome| Some((outcome, outcome.work?)));
    let tried: Vec<Option<String>> = lines
        .filter(|(_, work)| work.conditions.is_empty() && !work.operands().is_empty())
        .filter_map(|(outcome, work)| again(outcome, work))
        .collect();
    (tried.len(), tried.into_iter().flatten().collect())
}

/// Computes a line from what is printed in it; the fault, if it does not give what is printed.
/// `None` for a line that cannot stand alone.
fn again(outcome: &Outcome<'_>, work: &Work) -> Option<Option<String>> {
    let member = work.members.first()?;
    let (name, placed) = (&outcome.name, outcome.placed);
    let written = member.span.of(&placed.problem.text);
    // A formula that the engine wrote has no text of its own: it stands at the line that asked.
    let formula = match written.starts_with("solve ") {
        true => printed::formula(placed, member),
        false => written.to_owned(),
    };
    let typed = |shown: &Shown| {
        let number = match (&shown.written, shown.digits.first()) {
            (Some(written), _) if shown.shape == Shape::Vector => {
                format!("({})", written.trim_matches(['(', ')']))
            }
            (Some(written), _) => written.clone(),
            (None, Some(_)) if shown.shape == Shape::Vector => {
                let digits: Vec<String> = shown.digits.iter().map(|it| it.ascii()).collect();
                format!("({})", digits.join(", "))
            }
            (None, Some(digits)) => digits.ascii(),
            (None, None) => return None,
        };
        let unit = shown.unit.source();
        Some(format!("{number} {unit} {}", shown.word.unwrap_or("")))
    };
    let mut text = "```given\n".to_owned();
    for (id, shown) in work.operands() {
        let key = printed::key(placed, *id);
        text += &format!("{key} = {}\n", typed(shown)?);
    }
    // What is asked in radians has another value from then on than what is asked in turns.
    let unit = &work.shown.unit;
    let ask = match unit.turning().is_none() {
        true => String::new(),
        false => format!(" = ? {}", unit.source()),
    };
    text += &format!("```\n```work\nresult_x = {formula}{ask}\n```\n");
    let again = Facts::of(&text);
    // A line that needs more than its operands, such as a function, cannot stand alone.
    if again.worksheet.has_errors() {
        return None;
    }
    let outcomes = again.outcomes();
    let found = outcomes.last()?.shown;
    // In one unit where they have one. Otherwise both are in SI units; only their difference counts, so the unit's zero does not matter.
    let is_same = found.unit == *unit;
    let off = |at: usize| -> Option<bool> {
        let (numbers, again, factor) = match is_same {
            true => (&work.shown.values, &found.values, 1.0),
            false => (&work.shown.si, &found.si, unit.factor().abs()),
        };
        let exact = numbers.get(at)?;
        let difference = (again.get(at)? - exact).abs();
        let digits = work.shown.digits.get(at)?;
        let place = digits.unit_in_last_place() * factor;
        // The printed result is itself half a unit away from the exact one at most.
        Some(difference > 1.5 * place + 1e-12 * exact.abs())
    };
    let count = match work.shown.shape {
        Shape::Vector => work.shown.si.len(),
        _ => 1,
    };
    let off: Option<Vec<bool>> = (0..count).map(off).collect();
    Some(off?.contains(&true).then(|| {
        format!(
            "{name} = {formula} prints {}, but re-entered gives {}",
            printed::value(&work.shown),
            printed::value(found)
        )
    }))
}
