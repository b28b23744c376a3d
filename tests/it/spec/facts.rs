//! What came of a worksheet, and how it compares with what was expected.

use setsquare::diagnostic::{Diagnostic, Severity};
use setsquare::document::{self, Paper, Units};
use setsquare::page;
use setsquare::text::Source;
use setsquare::worksheet::{
    Body, Entry, Filled, PartKind, Placed, Shown, Statement, Work, Worksheet, fill, unfill,
};

use super::super::beside::compile;
use super::expect::Expectation;
use super::{printed, reasoned};

/// A compiled worksheet.
pub struct Facts {
    pub worksheet: Worksheet,
}

/// A result: where it belongs, what it is called, what it is.
pub struct Outcome<'a> {
    pub placed: &'a Placed,
    pub name: String,
    pub shown: &'a Shown,
    pub work: Option<&'a Work>,
}

impl Facts {
    /// Compiles a worksheet.
    pub fn of(text: &str) -> Self {
        Self {
            worksheet: compile(Source::new("spec.md", text)),
        }
    }

    /// What is expected and not found, and what is found and not expected.
    pub fn compare(&self, expectations: &[Expectation]) -> Vec<String> {
        let mut wrong = Vec::new();
        let mut open: Vec<&Diagnostic> = self.worksheet.diagnostics.iter().collect();
        let mut last: Option<&Diagnostic> = None;
        for expectation in expectations {
            let outcome = match expectation {
                Expectation::Finding {
                    severity,
                    code,
                    place,
                    text,
                } => {
                    let fits = |found: &&Diagnostic| {
                        found.code == *code
                            && found.severity == *severity
                            && place.is_none_or(|place| place == self.place(found))
                            && printed::plain(&found.message).contains(&printed::plain(text))
                    };
                    match open.iter().position(fits) {
                        Some(at) => {
                            last = Some(open.remove(at));
                            Ok(())
                        }
                        None => {
                            last = None;
                            let place =
                                place.map_or(String::new(), |(l, c)| format!(" at {l}:{c}"));
                            Err(format!("no {code}{place}: {text}"))
                        }
                    }
                }
                Expectation::Message(text) => holds(
                    last.map_or("no message", |found| &found.message),
                    text,
                    "message",
                ),
                Expectation::Help(text) => holds(
                    last.and_then(|found| found.help.as_deref())
                        .unwrap_or("no help"),
                    text,
                    "help",
                ),
                Expectation::Note(text) => {
                    let notes: Vec<&str> = last
                        .iter()
                        .flat_map(|found| &found.notes)
                        .map(|note| note.message.as_str())
                        .collect();
                    holds(&notes.join(" | "), text, "notes")
                }
                other => self.one(other),
            };
            wrong.extend(outcome.err());
        }
        for found in open {
            let (line, column) = self.place(found);
            let word = match found.severity {
                Severity::Error => "error",
                Severity::Warning => "warning",
            };
            let help = found.help.as_deref().unwrap_or("none");
            wrong.push(format!(
                "not expected: {word} {} at {line}:{column}: {} [help: {help}]",
                found.code, found.message
            ));
        }
        wrong
    }

    fn place(&self, found: &Diagnostic) -> (usize, usize) {
        let position = self.worksheet.source.position(found.span.start);
        (position.line, position.column)
    }

    fn one(&self, expectation: &Expectation) -> Result<(), String> {
        match expectation {
            Expectation::Printed { .. } | Expectation::Near { .. } => self.result(expectation),
            Expectation::Operand { .. }
            | Expectation::NoOperands { .. }
            | Expectation::Restated { .. } => self.substituted(expectation),
            Expectation::Check { number, holds } => {
                let found = match &self.check(*number)?.1.body {
                    Body::Check { holds, .. } => *holds,
                    Body::Trend(trend) => trend.holds,
                    Body::Comparison(found) => found.holds,
                    Body::Limit(limit) => limit.holds,
                    _ => return Err(format!("check {number} is not evaluated")),
                };
                agree(&found.to_string(), &holds.to_string(), "check holds")
            }
            Expectation::Row { number, row } => {
                let found = match &self.check(*number)?.1.body {
                    Body::Check { row, .. } => *row,
                    Body::Comparison(found) => found.row,
                    _ => return Err(format!("check {number} is not evaluated")),
                };
                let found = found.map_or_else(|| "no row".to_owned(), |row| (row + 1).to_string());
                agree(&found, &row.to_string(), "row")
            }
            Expectation::Side {
                number,
                right,
                printed,
            } => {
                let Body::Check { members, row, .. } = &self.check(*number)?.1.body else {
                    return Err(format!("check {number} is not evaluated"));
                };
                let side = if *right {
                    members.last()
                } else {
                    members.first()
                };
                let found = side.map_or(String::new(), |(_, shown)| {
                    printed::value(&shown.in_row(*row))
                });
                agree(&found, printed, "side")
            }
            Expectation::Fill(line) => has_line(&fill(&self.worksheet), line, "filled"),
            Expectation::Ask(line) => has_line(&unfill(&self.worksheet), line, "emptied"),
            Expectation::Front { key, value } => agree(&self.front(key)?, value, key),
            Expectation::Blocks(kinds) => agree(&self.blocks(), kinds, "blocks"),
            Expectation::Problems(titles) => agree(&self.problems(), titles, "problems"),
            Expectation::Entries(headings) => agree(&self.entries(), headings, "entries"),
            Expectation::Anchor(id) => {
                let lines = self.statements();
                let found: Vec<String> = lines.map(|(placed, it)| placed.anchor(&it.id)).collect();
                is_among(&found, id, "anchors")
            }
            Expectation::Sides { .. } | Expectation::EquationNote { .. } => {
                self.equation(expectation)
            }
            other => match reasoned::compare(self, other) {
                Some(outcome) => outcome,
                None => self.shown_in_text(other),
            },
        }
    }

    fn result(&self, expectation: &Expectation) -> Result<(), String> {
        let outcomes = self.outcomes();
        let find = |problem: &Option<usize>, name: &str| {
            outcomes
                .iter()
                .rev()
                .find(|it| {
                    it.name == name && problem.is_none_or(|problem| it.placed.number == problem)
                })
                .ok_or_else(|| {
                    let names: Vec<&str> = outcomes.iter().map(|it| it.name.as_str()).collect();
                    format!("no result {name}; there are {}", names.join(", "))
                })
        };
        match expectation {
            Expectation::Printed {
                problem,
                name,
                printed,
            } => agree(&printed::value(find(problem, name)?.shown), printed, name),
            Expectation::Near {
                problem,
                name,
                value,
                unit,
                tolerance,
            } => {
                let shown = find(problem, name)?.shown;
                agree(shown.unit.text(), unit, "unit")?;
                let found = shown.values.first().copied().unwrap_or(f64::NAN);
                is_near(found, *value, *tolerance, name)
            }
            _ => Ok(()),
        }
    }

    fn substituted(&self, expectation: &Expectation) -> Result<(), String> {
        let outcomes = self.outcomes();
        let work = |name: &str| {
            outcomes
                .iter()
                .rev()
                .filter(|it| it.name == name)
                .find_map(|it| Some((it.placed, it.work?)))
                .ok_or(format!("no line of work {name}"))
        };
        match expectation {
            Expectation::Operand { of, name, printed } => {
                let (placed, work) = work(of)?;
                let operands = work.operands();
                let found: Vec<String> = operands
                    .iter()
                    .map(|(id, shown)| {
                        let key = printed::key(placed, *id);
                        format!("{key} = {}", printed::value(shown))
                    })
                    .collect();
                is_among(
                    &found,
                    &format!("{name} = {}", printed::plain(printed)),
                    "operands",
                )
            }
            Expectation::NoOperands { of } => {
                let count = work(of)?.1.operands().len();
                agree(&count.to_string(), "0", "operands")
            }
            Expectation::Restated { name, number } => {
                let (placed, work) = work(name)?;
                let from = work.from.map(|from| placed.equation(from).to_string());
                let found = from.unwrap_or("none".to_owned());
                agree(&found, &number.to_string(), "restated from")
            }
            _ => Ok(()),
        }
    }

    /// Every value that a name or formula got, in the order of the page.
    pub fn outcomes(&self) -> Vec<Outcome<'_>> {
        let mut found = Vec::new();
        for (placed, statement) in self.statements() {
            if let Body::System(system) = &statement.body {
                found.extend(system.unknowns.iter().map(|(symbol, shown)| Outcome {
                    placed,
                    name: printed::key(placed, *symbol),
                    shown,
                    work: None,
                }));
            }
            let (name, shown, work): (String, &Shown, Option<&Work>) = match &statement.body {
                Body::Given { symbol, shown, .. } => (printed::key(placed, *symbol), shown, None),
                Body::Work(work) => {
                    let work: &Work = work;
                    let name = printed::name(placed, &work.lead);
                    let conditions = printed::conditions(placed, &work.conditions);
                    (name + &conditions, &*work.shown, Some(work))
                }
                _ => continue,
            };
            found.push(Outcome {
                placed,
                name,
                shown,
                work,
            });
        }
        found
    }

    /// Every statement, in the order of the page.
    pub fn statements(&self) -> impl Iterator<Item = (&Placed, &Statement)> {
        self.worksheet.statements()
    }

    /// The check with this number, whether evaluated or not.
    pub fn check(&self, number: usize) -> Result<(&Placed, &Statement), String> {
        let checks = self
            .worksheet
            .parts()
            .filter_map(|(placed, part)| match &part.kind {
                PartKind::Block { kind, statements } if kind.word() == "check" => {
                    Some(statements.iter().map(move |check| (placed, check)))
                }
                _ => None,
            });
        let nth = checks.flatten().nth(number.wrapping_sub(1));
        nth.ok_or(format!("there is no check {number}"))
    }

    fn equation(&self, expectation: &Expectation) -> Result<(), String> {
        let equations: Vec<(usize, Option<&'static str>)> = self
            .statements()
            .filter_map(|(_, statement)| match &statement.body {
                Body::Equation { members, note, .. } => Some((members.len(), *note)),
                _ => None,
            })
            .collect();
        let nth = |number: usize| {
            equations
                .get(number.wrapping_sub(1))
                .ok_or(format!("there is no equation {number}"))
        };
        match expectation {
            Expectation::Sides { number, count } => {
                agree(&nth(*number)?.0.to_string(), &count.to_string(), "sides")
            }
            Expectation::EquationNote { number, text } => {
                agree(nth(*number)?.1.unwrap_or("none"), text, "note")
            }
            _ => Ok(()),
        }
    }

    fn front(&self, key: &str) -> Result<String, String> {
        let front = &self.worksheet.front;
        let text = |value: &Option<String>| value.clone().unwrap_or("none".to_owned());
        Ok(match key {
            "title" => text(&front.title),
            "author" => text(&front.author),
            "date" => text(&front.date),
            "course" => text(&front.course),
            "figures" => front.figures.to_string(),
            "language" => front.language.clone(),
            "contents" => match front.contents {
                true => "yes".to_owned(),
                false => "no".to_owned(),
            },
            "units" => match front.units {
                Units::Si => "SI".to_owned(),
                Units::Us => "US".to_owned(),
            },
            "paper" => match front.paper {
                Paper::A4 => "A4".to_owned(),
                Paper::Letter => "letter".to_owned(),
            },
            other => return Err(format!("no key {other}")),
        })
    }

    fn blocks(&self) -> String {
        let words: Vec<&str> = self
            .worksheet
            .parts()
            .filter_map(|(_, part)| match &part.kind {
                PartKind::Block { kind, .. } => Some(kind.word()),
                _ => None,
            })
            .collect();
        match words.is_empty() {
            true => "none".to_owned(),
            false => words.join(" "),
        }
    }

    fn problems(&self) -> String {
        let titles: Vec<&str> = self
            .worksheet
            .problems
            .iter()
            .map(|placed| placed.problem.title.as_deref().unwrap_or("shared"))
            .collect();
        titles.join(" | ")
    }

    /// The entries; one that corrects another says so.
    fn entries(&self) -> String {
        let entries = self.worksheet.entries.iter();
        let told = |entry: &Entry| match &entry.corrects {
            Some(anchor) => format!("{} → {anchor}", entry.heading()),
            None => entry.heading(),
        };
        let told: Vec<String> = entries.map(told).collect();
        told.join(" | ")
    }

    fn shown_in_text(&self, expectation: &Expectation) -> Result<(), String> {
        let worksheet = &self.worksheet;
        match expectation {
            Expectation::Clean => Ok(()),
            Expectation::Answer { text } => {
                let answers: Vec<String> = self
                    .statements()
                    .filter_map(|(placed, it)| answer(placed, it))
                    .collect();
                is_among(&answers, &printed::plain(text), "answers")
            }
            Expectation::Required(text) => {
                let lines: Vec<String> = self
                    .statements()
                    .filter_map(|(placed, it)| required(placed, it))
                    .collect();
                is_among(&lines, text, "required lines")
            }
            Expectation::Part(text) => {
                let parts: Vec<String> = (worksheet.problems.iter()).flat_map(asked).collect();
                is_among(&parts, text, "parts of questions")
            }
            Expectation::Versions(text) => {
                let lines: Vec<String> = (worksheet.problems.iter()).flat_map(varied).collect();
                is_among(&lines, text, "lines of versions")
            }
            Expectation::NotEvaluated { text } => {
                let lines: Vec<String> = self
                    .statements()
                    .filter_map(|(placed, it)| match &it.body {
                        Body::NotEvaluated { members, needs } => {
                            let name = members
                                .first()
                                .map_or(String::new(), |it| printed::name(placed, it));
                            Some(format!(
                                "{name} needs {}",
                                printed::needs(worksheet, placed, needs)
                            ))
                        }
                        _ => None,
                    })
                    .collect();
                is_among(&lines, text, "lines not evaluated")
            }
            Expectation::Label { label, number } => {
                let labels: Vec<String> = self
                    .statements()
                    .filter_map(|(placed, it)| Some((placed, it.label.as_ref()?)))
                    .map(|(placed, (label, number))| {
                        format!("{label} = ({})", placed.equation(*number))
                    })
                    .collect();
                is_among(&labels, &format!("{label} = ({number})"), "labels")
            }
            Expectation::Describes { name, html } => {
                let of = |(placed, line): &(&Placed, &Statement)| {
                    subject(placed, line).as_deref() == Some(name)
                };
                let line = self.statements().filter(of).last();
                let (placed, statement) = line.ok_or(format!("no line {name}"))?;
                let found = printed::description(placed, &statement.description);
                let found = if found.is_empty() { "none" } else { &found };
                agree(found, html, "description")
            }
            other => self.prose(other),
        }
    }

    /// What stands at the open places of all prose: headings, text, descriptions.
    fn all_prose(&self) -> Vec<(&Placed, &Filled)> {
        let mut all = Vec::new();
        for (placed, part) in self.worksheet.parts() {
            let mut open = |filled| all.push((placed, filled));
            match &part.kind {
                PartKind::Heading { content, .. } => {
                    content.iter().for_each(|it| it.for_each_open(&mut open));
                }
                PartKind::Prose(blocks) => {
                    blocks.iter().for_each(|it| it.for_each_open(&mut open));
                }
                PartKind::Block { statements, .. } => {
                    let words = statements.iter().flat_map(|it| &it.description);
                    words.for_each(|it| it.for_each_open(&mut open));
                }
            }
        }
        all
    }

    fn prose(&self, expectation: &Expectation) -> Result<(), String> {
        let worksheet = &self.worksheet;
        let all = self.all_prose().into_iter();
        let (found, wanted, what): (Vec<String>, String, &str) = match expectation {
            Expectation::Inline(text) => (
                all.filter_map(|(placed, it)| match it {
                    Filled::Value(asked) => Some(printed::inline_value(placed, asked)),
                    _ => None,
                })
                .collect(),
                printed::plain(text),
                "values in the text",
            ),
            Expectation::InlineNeeds(text) => (
                all.filter_map(|(placed, it)| match it {
                    Filled::Failed { needs, .. } => {
                        let needs = printed::needs(worksheet, placed, needs);
                        Some(format!("needs {needs}"))
                    }
                    _ => None,
                })
                .collect(),
                text.clone(),
                "asks that failed",
            ),
            Expectation::Reference { label, number } => (
                all.filter_map(|(placed, it)| match it {
                    Filled::Reference { number, target, .. } => {
                        let label = target.name.strip_prefix("equation-")?;
                        Some(format!("{label} = ({})", placed.equation((*number)?)))
                    }
                    _ => None,
                })
                .collect(),
                format!("{label} = ({number})"),
                "references",
            ),
            Expectation::Tex { display, tex } => {
                let mathml = document::mathml(tex, *display)?;
                return match page::html(worksheet).contains(&mathml) {
                    true => Ok(()),
                    false => Err(format!("no `{tex}` on the page")),
                };
            }
            Expectation::Html(text) | Expectation::NoHtml(text) => {
                let html = printed::plain(&page::html(worksheet));
                let (_, html) = html.split_once("<main>").unwrap_or_default();
                let wanted = matches!(expectation, Expectation::Html(_));
                return match html.contains(text.as_str()) == wanted {
                    true => Ok(()),
                    false => Err(format!("html is {html}, {expectation:?}")),
                };
            }
            other => return Err(format!("{other:?} is not compared")),
        };
        is_among(&found, &wanted, what)
    }
}

/// The name that a line is about.
fn subject(placed: &Placed, statement: &Statement) -> Option<String> {
    match &statement.body {
        Body::Given { symbol, .. } | Body::Required { symbol, .. } => {
            Some(printed::key(placed, *symbol))
        }
        Body::Work(work) => Some(printed::name(placed, &work.lead)),
        Body::Equation { members, .. } | Body::Therefore { members, .. } => {
            members.first().map(|it| printed::name(placed, it))
        }
        Body::Trend(trend) => Some(printed::name(placed, &trend.subject)),
        Body::Limit(limit) => Some(printed::name(placed, &limit.subject)),
        Body::Check { members, .. } => members.first().map(|it| printed::name(placed, &it.0)),
        Body::Answer { expr, .. } => Some(printed::name(placed, expr)),
        _ => None,
    }
}

fn answer(placed: &Placed, statement: &Statement) -> Option<String> {
    let Body::Answer {
        expr,
        shown,
        direction,
        conditions,
    } = &statement.body
    else {
        return None;
    };
    let name = printed::name(placed, expr) + &printed::conditions(placed, conditions);
    Some(match direction.as_deref() {
        Some((word, without_sign)) => {
            let word = word.plain(&placed.problem.text);
            format!("{name} = {} {word}", printed::value(without_sign))
        }
        None => format!("{name} = {}", printed::value(shown)),
    })
}

fn required(placed: &Placed, statement: &Statement) -> Option<String> {
    let Body::Required {
        symbol,
        unit,
        datum,
        positive,
        negative,
        is_shown,
        conditions,
    } = &statement.body
    else {
        return None;
    };
    let mut text = printed::key(placed, *symbol);
    if let Some(unit) = unit {
        text += &format!(" in {}", unit.text());
    }
    if let Some(datum) = datum {
        text += &format!(" {datum}");
    }
    for (sign, word) in [("+", positive), ("-", negative)] {
        if let Some(word) = word {
            text += &format!(", {sign} {word}");
        }
    }
    text += &printed::conditions(placed, conditions);
    if *is_shown {
        text += ", to be shown";
    }
    Some(text)
}

/// The parts of a problem's question with their marks: `(b) p_1: M2 A3, within 2 %`.
fn asked(placed: &Placed) -> Vec<String> {
    let Some(question) = &placed.problem.question else {
        return Vec::new();
    };
    let part = |(at, asked): (usize, &setsquare::worksheet::Asked)| {
        let letter = question.letter(at).map(|it| format!("({it}) "));
        let marks = asked.marks.iter();
        let marks: Vec<String> = marks
            .map(|(count, kind)| format!("{}{count}", kind.letter()))
            .collect();
        let within = asked.within.as_ref();
        let within = within.map(|it| format!(", within {}", printed::plain(&it.printed())));
        format!(
            "{}{}: {}{}",
            letter.unwrap_or_default(),
            printed::key(placed, asked.symbol),
            marks.join(" "),
            within.unwrap_or_default()
        )
    };
    question.asked.iter().enumerate().map(part).collect()
}

/// Whether a number is near another: relatively, or absolutely near zero.
pub fn is_near(found: f64, value: f64, tolerance: f64, what: &str) -> Result<(), String> {
    let scale = if value == 0.0 { 1.0 } else { value.abs() };
    let near = (found - value).abs() <= tolerance * scale;
    near.then_some(()).ok_or(format!(
        "{what} is {found}, expected {value} within {tolerance}"
    ))
}

/// Whether a text is what is expected, but for the kinds of blanks and minus signs.
pub fn agree(found: &str, expected: &str, what: &str) -> Result<(), String> {
    let (found, expected) = (printed::plain(found), printed::plain(expected));
    match found == expected {
        true => Ok(()),
        false => Err(format!("{what} is {found}, expected {expected}")),
    }
}

fn holds(found: &str, part: &str, what: &str) -> Result<(), String> {
    match printed::plain(found).contains(&printed::plain(part)) {
        true => Ok(()),
        false => Err(format!("{what}: {found}, expected {part}")),
    }
}

/// Whether a text is among those found.
pub fn is_among<T: AsRef<str>>(found: &[T], wanted: &str, what: &str) -> Result<(), String> {
    if found.iter().any(|it| it.as_ref() == wanted) {
        return Ok(());
    }
    let found: Vec<&str> = found.iter().map(AsRef::as_ref).collect();
    Err(format!("{what} are {found:?}, expected {wanted:?}"))
}

fn has_line(text: &str, line: &str, what: &str) -> Result<(), String> {
    if text.lines().any(|it| it.trim() == line) {
        return Ok(());
    }
    Err(format!("no line `{line}` in the {what} worksheet:\n{text}"))
}

/// What varies in a problem and instead of what, and whether its conditions hold as it is written.
fn varied(placed: &Placed) -> Vec<String> {
    let problem = &placed.problem;
    let lines = problem
        .versions
        .iter()
        .flat_map(|versions| &versions.varied);
    let data = lines.flat_map(|line| &line.data).map(|datum| {
        let key = &problem.symbols.symbol(datum.symbol).key;
        let place = datum.place.of(&problem.text);
        format!("{key}: {} for {place}", datum.choices.join(", "))
    });
    let conditions = problem.statements().filter(|line| line.is_of_versions);
    let conditions = conditions.filter_map(|line| {
        let verdict = match line.body.holds()? {
            true => "holds",
            false => "does not hold",
        };
        Some(format!("{} {verdict}", line.span.of(&problem.text)))
    });
    data.chain(conditions).collect()
}
