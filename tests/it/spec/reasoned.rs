//! What came of lines that are judged, solved, or looked at as a whole.

use setsquare::evaluate::Convergence;
use setsquare::proofs::{Ground, Verdict};
use setsquare::resolve::statement::{Branch, Solved};
use setsquare::worksheet::{Body, Shown, Worksheet};

use super::expect::Expectation;
use super::facts::{Facts, agree, is_among, is_near};
use super::printed;

/// How an expectation about such a line compares; `None` for one about anything else.
pub fn compare(facts: &Facts, expectation: &Expectation) -> Option<Result<(), String>> {
    Some(match expectation {
        Expectation::Step { number, text } => step(facts, *number, text),
        Expectation::Solved { number, word, text } => solved(facts, *number, word, text),
        Expectation::Component { number, text } => component(facts, *number, text),
        Expectation::Dimension { name, text } => dimension(facts, name, text),
        Expectation::Looked { number, word, text } => looked(facts, *number, word, text),
        Expectation::LookedNear {
            number,
            word,
            value,
            unit,
            tolerance,
        } => looked_near(facts, *number, word, (*value, unit, *tolerance)),
        Expectation::Sensitivity { number, text } => sensitivity(facts, *number, text),
        Expectation::Root { name, word, below } => root(facts, name, word, *below),
        _ => return None,
    })
}

/// The body with this number among those that `pick` takes.
fn nth<'a, T>(
    facts: &'a Facts,
    number: usize,
    what: &str,
    pick: impl Fn(&'a Body) -> Option<T>,
) -> Result<T, String> {
    facts
        .statements()
        .filter_map(|statement| pick(&statement.body))
        .nth(number.wrapping_sub(1))
        .ok_or(format!("there is no {what} {number}"))
}

fn step(facts: &Facts, number: usize, text: &str) -> Result<(), String> {
    let verdict = nth(facts, number, "step", |body| match body {
        Body::Therefore { verdict, .. } => Some(verdict),
        _ => None,
    })?;
    agree(&verdict_text(facts, verdict), text, "the step")
}

fn verdict_text(facts: &Facts, verdict: &Verdict) -> String {
    let worksheet = &facts.worksheet;
    let (by, leaned, taking, not_zero) = match verdict {
        Verdict::Follows {
            by,
            leaned,
            taking,
            not_zero,
        } => (by, leaned, taking, not_zero),
        Verdict::DoesNotFollow { .. } => return "does not follow".to_owned(),
        Verdict::NotDecided(_) => return "is not decided".to_owned(),
    };
    let mut parts: Vec<String> = by
        .iter()
        .map(|ground| match ground {
            Ground::Equation(_, Some(number)) => format!("({number})"),
            Ground::Equation(_, None) => "an equation".to_owned(),
            Ground::Definition(id) => format!("definition of {}", printed::key(worksheet, *id)),
            Ground::Value(id) => format!("value of {}", printed::key(worksheet, *id)),
        })
        .collect();
    if parts.is_empty() {
        parts.push("itself".to_owned());
    }
    parts.extend(
        leaned
            .iter()
            .map(|id| format!("sign of {}", printed::key(worksheet, *id))),
    );
    parts.extend(
        taking
            .iter()
            .map(|id| format!("taking {}", printed::key(worksheet, *id))),
    );
    parts.extend(
        not_zero
            .iter()
            .map(|divisor| format!("{} not 0", printed::formula(worksheet, divisor))),
    );
    format!("follows from {}", parts.join(", "))
}

fn solved(facts: &Facts, number: usize, word: &str, text: &str) -> Result<(), String> {
    let worksheet = &facts.worksheet;
    let solved = nth(facts, number, "solution", |body| match body {
        Body::Solved(solved) => Some(solved),
        _ => None,
    })?;
    let of_all = |texts: &dyn Fn(&Branch) -> Vec<String>| -> Vec<String> {
        solved.branches.iter().flat_map(texts).collect()
    };
    match word {
        "has" => {
            let plural = |count: usize, one: &str, several: &str| {
                format!("{count} {}", if count == 1 { one } else { several })
            };
            let found = match text.contains("branch") {
                true => plural(solved.branches.len(), "branch", "branches"),
                false => plural(solved.steps.len(), "step", "steps"),
            };
            agree(&found, text, "solution")
        }
        "gives" => {
            let found: Vec<String> = solved
                .branches
                .iter()
                .map(|branch| branch_text(worksheet, solved, branch))
                .collect();
            is_among(&found, text, "branches")
        }
        "from" => {
            let numbers: Vec<String> = solved.from.iter().map(|it| format!("({it})")).collect();
            agree(&numbers.join(", "), text, "solved from")
        }
        "where" => {
            let found = of_all(&|branch| {
                let not_zero = branch.not_zero.iter();
                not_zero
                    .map(|it| format!("{} is not zero", printed::formula(worksheet, it)))
                    .collect()
            });
            is_among(&found, text, "requirements")
        }
        "uses" => {
            let found = of_all(&|branch| {
                let leaned = branch.leaned.iter();
                leaned
                    .map(|id| format!("sign of {}", printed::key(worksheet, *id)))
                    .collect()
            });
            is_among(&found, text, "signs used")
        }
        "is" => {
            let chosen = solved.branches.iter().any(|branch| branch.chosen);
            agree(if chosen { "chosen" } else { "not chosen" }, text, "branch")
        }
        _ => {
            let found: Vec<String> = solved
                .steps
                .iter()
                .enumerate()
                .map(|(at, step)| {
                    let sides = printed::equation(worksheet, [&step.left, &step.right]);
                    let with = step.with.as_ref().map(|it| printed::formula(worksheet, it));
                    let with = with.map_or(String::new(), |it| format!(" {it}"));
                    format!("{}: {sides}: {}{with}", at + 1, step.words)
                })
                .collect();
            is_among(&found, text, "steps")
        }
    }
}

fn branch_text(worksheet: &Worksheet, solved: &Solved, branch: &Branch) -> String {
    let parts: Vec<String> = solved
        .unknowns
        .iter()
        .zip(&branch.formulas)
        .map(|(id, formula)| {
            let name = printed::key(worksheet, *id);
            format!("{name} = {}", printed::formula(worksheet, formula))
        })
        .collect();
    parts.join(", ")
}

fn component(facts: &Facts, number: usize, text: &str) -> Result<(), String> {
    let members = nth(facts, number, "component", |body| match body {
        Body::Component { members, .. } => Some(members),
        _ => None,
    })?;
    agree(
        &printed::equation(&facts.worksheet, members),
        text,
        "component",
    )
}

fn dimension(facts: &Facts, name: &str, text: &str) -> Result<(), String> {
    let found: Vec<String> = facts
        .statements()
        .filter_map(|statement| match &statement.body {
            Body::Dimensions(symbols) => Some(symbols),
            _ => None,
        })
        .flatten()
        .map(|(id, dimension)| {
            let dimension = match dimension {
                Some(dimension) if dimension.is_none() => "1".to_owned(),
                Some(dimension) => dimension.formula(),
                None => "open".to_owned(),
            };
            format!("{} = {dimension}", printed::key(&facts.worksheet, *id))
        })
        .collect();
    is_among(&found, &format!("{name} = {text}"), "dimensions")
}

/// The value with this name in a check that looks at a result as a whole.
fn value<'a>(facts: &'a Facts, number: usize, word: &str) -> Result<&'a Shown, String> {
    let found = match (&facts.check(number)?.body, word) {
        (Body::Trend(trend), "derivative") => Some(&trend.derivative),
        (Body::Limit(limit), "reached") => Some(&limit.reached),
        (Body::Sensitivity(found), _) => word.strip_prefix("derivative of ").and_then(|name| {
            let mut rows = found.rows.iter();
            rows.find(|row| printed::key(&facts.worksheet, row.given) == name)
                .map(|row| &row.derivative)
        }),
        _ => None,
    };
    found.ok_or(format!("check {number} has no {word}"))
}

fn looked(facts: &Facts, number: usize, word: &str, text: &str) -> Result<(), String> {
    if let (Body::Trend(trend), "formula") = (&facts.check(number)?.body, word) {
        let formula = trend.formula.as_ref();
        let found = formula.map(|it| printed::formula(&facts.worksheet, it));
        return agree(&found.unwrap_or("none".to_owned()), text, "derivative");
    }
    agree(&printed::value(value(facts, number, word)?), text, word)
}

fn looked_near(
    facts: &Facts,
    number: usize,
    word: &str,
    (expected, unit, tolerance): (f64, &str, f64),
) -> Result<(), String> {
    if let (Body::Trend(trend), "exponent") = (&facts.check(number)?.body, word) {
        return is_near(
            trend.exponent.unwrap_or(f64::NAN),
            expected,
            tolerance,
            word,
        );
    }
    let shown = value(facts, number, word)?;
    agree(shown.unit.text(), unit, "unit")?;
    let found = shown.values.first().copied().unwrap_or(f64::NAN);
    is_near(found, expected, tolerance, word)
}

/// `D -5.00 %, L 1.00 %`: how much the result changes for 1 % of each given, most first.
fn sensitivity(facts: &Facts, number: usize, text: &str) -> Result<(), String> {
    let Body::Sensitivity(found) = &facts.check(number)?.body else {
        return Err(format!("check {number} is no sensitivity"));
    };
    let rows: Vec<String> = found
        .rows
        .iter()
        .map(|row| {
            let change = row
                .change
                .map_or("?".to_owned(), |it| format!("{:.3}", 100.0 * it));
            format!("{} {change} %", printed::key(&facts.worksheet, row.given))
        })
        .collect();
    agree(&rows.join(", "), text, "sensitivity")
}

fn root(facts: &Facts, name: &str, word: &str, below: f64) -> Result<(), String> {
    let key = |id| printed::key(&facts.worksheet, id);
    let of = |body: &Body| -> Option<Convergence> {
        match body {
            Body::Work(work) if work.lead.as_symbol().map(key).as_deref() == Some(name) => {
                work.convergence
            }
            Body::System(system) => {
                let mut names = system.unknowns.iter().map(|(id, _)| key(*id));
                names.any(|it| it == name).then_some(system.convergence)
            }
            _ => None,
        }
    };
    let found = facts.statements().find_map(|statement| of(&statement.body));
    let found = found.ok_or(format!("{name} is no root"))?;
    let number = match word {
        "iterations" => f64::from(found.iterations),
        _ => found.difference,
    };
    let holds = number < below;
    holds
        .then_some(())
        .ok_or(format!("{word} of {name} is {number}, not below {below}"))
}
