//! What came of lines that are judged, solved, or looked at as a whole.

use setsquare::worksheet::{
    Agreement, Body, Branch, Convergence, CutAt, Ground, Placed, Shown, Solved, Statement, Verdict,
};

use super::expect::Expectation;
use super::facts::{Facts, agree, is_among, is_near};
use super::printed;

/// How an expectation about such a line compares; `None` for one about anything else.
pub fn compare(facts: &Facts, expectation: &Expectation) -> Option<Result<(), String>> {
    Some(match expectation {
        Expectation::Step { number, text } => step(facts, *number, text),
        Expectation::Solved { number, word, text } => solved(facts, *number, word, text),
        Expectation::Component { number, text } => component(facts, *number, text),
        Expectation::Balance { number, text } => balance(facts, *number, text),
        Expectation::Cut { number, word, text } => cut(facts, *number, word, text),
        Expectation::Agreement { number, text } => agreement(facts, *number, text),
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
) -> Result<(&'a Placed, T), String> {
    facts
        .statements()
        .filter_map(|(placed, statement)| Some((placed, pick(&statement.body)?)))
        .nth(number.wrapping_sub(1))
        .ok_or(format!("there is no {what} {number}"))
}

fn step(facts: &Facts, number: usize, text: &str) -> Result<(), String> {
    let (placed, verdict) = nth(facts, number, "step", |body| match body {
        Body::Therefore { verdict, .. } => Some(verdict),
        _ => None,
    })?;
    agree(&verdict_text(placed, verdict), text, "the step")
}

fn verdict_text(placed: &Placed, verdict: &Verdict) -> String {
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
            Ground::Equation(origin) => labelled(placed, placed.problem.statement(*origin))
                .unwrap_or_else(|| "an equation".to_owned()),
            Ground::Definition(id) => format!("definition of {}", printed::key(placed, *id)),
            Ground::Value(id) => format!("value of {}", printed::key(placed, *id)),
        })
        .collect();
    if parts.is_empty() {
        parts.push("itself".to_owned());
    }
    parts.extend(
        leaned
            .iter()
            .map(|id| format!("sign of {}", printed::key(placed, *id))),
    );
    parts.extend(
        taking
            .iter()
            .map(|id| format!("taking {}", printed::key(placed, *id))),
    );
    parts.extend(
        not_zero
            .iter()
            .map(|divisor| format!("{} not 0", printed::formula(placed, divisor))),
    );
    format!("follows from {}", parts.join(", "))
}

/// The number of an equation with a label: "(1)".
fn labelled(placed: &Placed, equation: Option<&Statement>) -> Option<String> {
    let (_, number) = equation?.label.as_ref()?;
    Some(format!("({})", placed.equation(*number)))
}

fn solved(facts: &Facts, number: usize, word: &str, text: &str) -> Result<(), String> {
    let (placed, solved) = nth(facts, number, "solution", |body| match body {
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
                .map(|branch| branch_text(placed, solved, branch))
                .collect();
            is_among(&found, text, "branches")
        }
        "from" => {
            let cited = solved.origins.iter();
            let numbers: Vec<String> = cited
                .filter_map(|origin| placed.number_of(placed.problem.statement(*origin)?))
                .map(|number| format!("({number})"))
                .collect();
            agree(&numbers.join(", "), text, "solved from")
        }
        "where" => {
            let found = of_all(&|branch| {
                let not_zero = branch.not_zero.iter();
                not_zero
                    .map(|it| format!("{} is not zero", printed::formula(placed, it)))
                    .collect()
            });
            is_among(&found, text, "requirements")
        }
        "uses" => {
            let found = of_all(&|branch| {
                let leaned = branch.leaned.iter();
                leaned
                    .map(|id| format!("sign of {}", printed::key(placed, *id)))
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
                    let sides = printed::equation(placed, [&step.left, &step.right]);
                    let with = step.with.as_ref().map(|it| printed::formula(placed, it));
                    let with = with.map_or(String::new(), |it| format!(" {it}"));
                    format!("{}: {sides}: {}{with}", at + 1, step.words)
                })
                .collect();
            is_among(&found, text, "steps")
        }
    }
}

fn branch_text(placed: &Placed, solved: &Solved, branch: &Branch) -> String {
    let parts: Vec<String> = solved
        .unknowns
        .iter()
        .zip(&branch.formulas)
        .map(|(id, formula)| {
            let name = printed::key(placed, *id);
            format!("{name} = {}", printed::formula(placed, formula))
        })
        .collect();
    parts.join(", ")
}

fn component(facts: &Facts, number: usize, text: &str) -> Result<(), String> {
    let (placed, members) = nth(facts, number, "component", |body| match body {
        Body::Component { members, .. } => Some(members),
        _ => None,
    })?;
    agree(&printed::equation(placed, members), text, "component")
}

fn balance(facts: &Facts, number: usize, text: &str) -> Result<(), String> {
    let (placed, members) = nth(facts, number, "balance", |body| match body {
        Body::Balance { members, .. } => Some(members),
        _ => None,
    })?;
    agree(&printed::equation(placed, members), text, "balance")
}

/// A function of those of all cut members, in their order.
fn cut(facts: &Facts, number: usize, word: &str, text: &str) -> Result<(), String> {
    let all = facts.statements();
    let cuts = all.filter_map(|(placed, statement)| match &statement.body {
        Body::Shear(cut) => Some((placed, cut)),
        _ => None,
    });
    let mut functions = cuts.flat_map(|(placed, cut)| {
        let lines = cut.lines.iter();
        lines.map(move |(function, pieces)| (placed, cut, *function, pieces))
    });
    let found = functions.nth(number.wrapping_sub(1));
    let (placed, cut, function, pieces) = found.ok_or("there is no such function")?;
    if word == "is" {
        let pieces = printed::pieces(placed, pieces).into_iter();
        let pieces = pieces.map(|(value, condition)| format!("{value} ({condition})"));
        return agree(&pieces.collect::<Vec<_>>().join(", "), text, "function");
    }
    let figure = cut.figure.as_deref().ok_or("it is not drawn")?;
    let line = figure.lines.iter().find(|it| it.function == function);
    let line = line.ok_or("it is not drawn")?;
    let mark = &line.extremes[usize::from(word == "least")];
    let place = |at: usize| &figure.sketch.sketch.places[at].text;
    let at = match &mark.at {
        CutAt::Place(at) => format!("at {}", place(*at)),
        CutAt::Between([from, to]) => format!("from {} to {}", place(*from), place(*to)),
        CutAt::Far(far) => format!("at {}", printed::value(far)),
    };
    let found = format!("{} {at}", printed::value(&mark.shown));
    agree(&found, text, word)
}

fn agreement(facts: &Facts, number: usize, text: &str) -> Result<(), String> {
    let (placed, held) = nth(facts, number, "equation by a balance", |body| match body {
        Body::Equation { balance, .. } | Body::Therefore { balance, .. } => balance.as_deref(),
        _ => None,
    })?;
    let found = match &held.agreement {
        Agreement::Agrees { with } => {
            let with: Vec<String> = with
                .iter()
                .map(|ground| match ground {
                    Ground::Equation(origin) => labelled(placed, placed.problem.statement(*origin)),
                    Ground::Definition(_) | Ground::Value(_) => None,
                })
                .map(|number| number.unwrap_or_else(|| "a line without a number".to_owned()))
                .collect();
            match with.is_empty() {
                true => "agrees".to_owned(),
                false => format!("agrees with {}", with.join(" and ")),
            }
        }
        Agreement::Differs(difference) => format!("differs by {}", difference.code),
        Agreement::Another(words) => format!("decides {words}"),
        Agreement::NotDecided => "decides nothing".to_owned(),
    };
    agree(&found, text, "agreement")
}

fn dimension(facts: &Facts, name: &str, text: &str) -> Result<(), String> {
    let found: Vec<String> = facts
        .statements()
        .filter_map(|(placed, statement)| match &statement.body {
            Body::Dimensions(symbols) => Some((placed, symbols)),
            _ => None,
        })
        .flat_map(|(placed, symbols)| symbols.iter().map(move |symbol| (placed, symbol)))
        .map(|(placed, (id, dimension))| {
            let dimension = match dimension {
                Some(dimension) if dimension.is_none() => "1".to_owned(),
                Some(dimension) => dimension.formula(),
                None => "open".to_owned(),
            };
            format!("{} = {dimension}", printed::key(placed, *id))
        })
        .collect();
    is_among(&found, &format!("{name} = {text}"), "dimensions")
}

/// The value with this name in a check that looks at a result as a whole.
fn value<'a>(facts: &'a Facts, number: usize, word: &str) -> Result<&'a Shown, String> {
    let (placed, check) = facts.check(number)?;
    let found = match (&check.body, word) {
        (Body::Trend(trend), "derivative") => Some(&trend.derivative),
        (Body::Limit(limit), "reached") => Some(&limit.reached),
        (Body::Trials(found), "mean" | "uncertainty" | "low" | "high") => {
            let row = found.rows.get(1);
            row.map(|row| match word {
                "mean" => &row.mean,
                "uncertainty" => &row.uncertainty,
                "low" => &row.low,
                _ => &row.high,
            })
        }
        (Body::Comparison(found), "difference") => Some(&found.difference),
        (Body::Comparison(found), "uncertainty") => Some(&found.uncertainty),
        (Body::Sensitivity(found), _) => word.strip_prefix("derivative of ").and_then(|name| {
            let mut rows = found.rows.iter();
            rows.find(|row| printed::key(placed, row.given) == name)
                .map(|row| &row.derivative)
        }),
        _ => None,
    };
    found.ok_or(format!("check {number} has no {word}"))
}

fn looked(facts: &Facts, number: usize, word: &str, text: &str) -> Result<(), String> {
    let (placed, check) = facts.check(number)?;
    if let (Body::Trend(trend), "formula") = (&check.body, word) {
        let formula = trend.formula.as_ref();
        let found = formula.map(|it| printed::formula(placed, it));
        return agree(&found.unwrap_or("none".to_owned()), text, "derivative");
    }
    let (placed, check) = facts.check(number)?;
    match (&check.body, word) {
        (Body::Comparison(found), "verdict") => {
            return agree(found.compared.found.words(), text, word);
        }
        (Body::Trials(found), "verdict") => {
            let serves = if found.drawn.serves {
                "serves"
            } else {
                "does not serve"
            };
            return agree(&format!("first order {serves}"), text, word);
        }
        (Body::Budget(found), "budget") => {
            let rows = found.rows.iter().map(|row| {
                let names = row.names.iter().map(|name| printed::key(placed, *name));
                let mut of = names.collect::<Vec<String>>().join(" ");
                if let Some(constant) = row.constant {
                    of = constant.to_owned();
                }
                if let Some(count) = row.together {
                    of = format!("{count} more");
                }
                format!("{of} {:.1} %", 100.0 * row.share)
            });
            return agree(&rows.collect::<Vec<String>>().join(", "), text, word);
        }
        _ => {}
    }
    agree(&printed::value(value(facts, number, word)?), text, word)
}

fn looked_near(
    facts: &Facts,
    number: usize,
    word: &str,
    (expected, unit, tolerance): (f64, &str, f64),
) -> Result<(), String> {
    if let (Body::Trend(trend), "exponent") = (&facts.check(number)?.1.body, word) {
        return is_near(
            trend.exponent.unwrap_or(f64::NAN),
            expected,
            tolerance,
            word,
        );
    }
    let plain = match (&facts.check(number)?.1.body, word) {
        (Body::Comparison(found), "factor") => Some(found.compared.factor),
        (Body::Comparison(found), "degrees") => found.compared.degrees,
        (Body::Budget(found), "degrees") => found.degrees,
        (Body::Budget(found), "factor") => found.expanded.as_ref().map(|(_, factor)| *factor),
        _ => None,
    };
    if let Some(plain) = plain {
        return is_near(plain, expected, tolerance, word);
    }
    let shown = value(facts, number, word)?;
    agree(shown.unit.text(), unit, "unit")?;
    let found = shown.values.first().copied().unwrap_or(f64::NAN);
    is_near(found, expected, tolerance, word)
}

/// `D -5.00 %, L 1.00 %`: how much the result changes for 1 % of each given, most first.
fn sensitivity(facts: &Facts, number: usize, text: &str) -> Result<(), String> {
    let (placed, check) = facts.check(number)?;
    let Body::Sensitivity(found) = &check.body else {
        return Err(format!("check {number} is no sensitivity"));
    };
    let rows: Vec<String> = found
        .rows
        .iter()
        .map(|row| {
            let change = row
                .change
                .map_or("?".to_owned(), |it| format!("{:.3}", 100.0 * it));
            format!("{} {change} %", printed::key(placed, row.given))
        })
        .collect();
    agree(&rows.join(", "), text, "sensitivity")
}

fn root(facts: &Facts, name: &str, word: &str, below: f64) -> Result<(), String> {
    let of = |placed: &Placed, body: &Body| -> Option<Convergence> {
        let key = |id| printed::key(placed, id);
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
    let found = facts
        .statements()
        .find_map(|(placed, statement)| of(placed, &statement.body));
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
