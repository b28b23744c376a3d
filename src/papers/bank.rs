//! The problems of a folder, with what is known of each.

use std::sync::Arc;

use serde::Serialize;

use super::choice::{Condition, Fact, Held};
use super::{facts, paper};
use crate::diagnostic::Diagnostic;
use crate::text::{Files, Span, counted};
use crate::worksheet::is_refusal;

/// A problem, or a worksheet that asks nothing because it has errors.
#[derive(Debug, Clone, Serialize)]
pub struct Problem {
    /// The path of the worksheet from the folder.
    pub worksheet: String,
    /// What it is called.
    pub problem: String,
    /// What it is about.
    pub topics: Vec<String>,
    /// How hard it is.
    pub level: Option<u8>,
    /// How long it takes.
    pub minutes: Option<u16>,
    /// Its marks.
    pub marks: Option<u32>,
    /// How many parts it has.
    pub parts: usize,
    /// How many lines are refused.
    pub errors: usize,
    /// What is wrong with it: the message with its line.
    pub diagnostics: Vec<String>,
}

/// The problems of a folder and of those below it, in the order of their paths, for which a
/// condition holds; an empty one holds for all.
///
/// # Errors
/// P13 for a condition that cannot be read.
pub fn problems(files: &Arc<dyn Files>, condition: &str) -> Result<Vec<Problem>, Box<Diagnostic>> {
    let condition = match condition.trim() {
        "" => None,
        _ => Some(Condition::read(condition, Span::new(0, condition.len()))?),
    };
    let mut found = Vec::new();
    for path in paper::worksheets(files.as_ref(), "") {
        let worksheet = match paper::opened(files, &path) {
            Ok(worksheet) => worksheet,
            Err(why) => {
                found.push(unopened(&path, &why));
                continue;
            }
        };
        if !paper::blocks(&worksheet).is_empty() {
            continue;
        }
        let front = &worksheet.front.exam;
        let refused = worksheet.diagnostics.iter().filter(|it| is_refusal(it));
        let diagnostics: Vec<String> = refused
            .map(|it| {
                let line = worksheet.source.line_of(it.span.start);
                format!("line {line}: {}", it.message)
            })
            .collect();
        for problem in facts::problems(&worksheet) {
            let facts = facts::facts(&worksheet, problem);
            let holds = match &condition {
                Some(condition) => condition.holds(&facts)? == Held::Yes,
                None => true,
            };
            let Some(question) = worksheet.problems[problem]
                .problem
                .question
                .as_ref()
                .filter(|_| holds)
            else {
                continue;
            };
            let topics = match facts.get("topics") {
                Some(Fact::Texts(topics)) => topics.clone(),
                _ => Vec::new(),
            };
            found.push(Problem {
                worksheet: path.clone(),
                problem: facts::title(&worksheet, problem),
                topics,
                level: front.level,
                minutes: front.minutes,
                marks: Some(question.total()),
                parts: question.asked.len(),
                errors: diagnostics.len(),
                diagnostics: diagnostics.clone(),
            });
        }
    }
    Ok(found)
}

/// A worksheet that is not compiled.
fn unopened(path: &str, why: &paper::Unopened) -> Problem {
    Problem {
        worksheet: path.to_owned(),
        problem: path.to_owned(),
        topics: Vec::new(),
        level: None,
        minutes: None,
        marks: None,
        parts: 0,
        errors: 1,
        diagnostics: vec![why.reason().into_owned()],
    }
}

/// The list for machines.
pub fn report(found: &[Problem]) -> String {
    serde_json::to_string_pretty(found).unwrap_or_default() + "\n"
}

/// The list for a terminal: a line for each problem, and below it what is wrong.
pub fn listing(found: &[Problem]) -> String {
    let mut out = String::new();
    for problem in found {
        let mut facts = vec![problem.topics.join(", ")];
        facts.extend(problem.level.map(|level| format!("level {level}")));
        facts.extend(problem.marks.map(|marks| counted(marks as usize, "mark")));
        facts.extend(problem.minutes.map(|minutes| format!("{minutes} min")));
        facts.retain(|fact| !fact.is_empty());
        out.push_str(&format!(
            "{}: {} ({})\n",
            problem.worksheet,
            problem.problem,
            facts.join(", ")
        ));
        for wrong in &problem.diagnostics {
            out.push_str(&format!("    {wrong}\n"));
        }
    }
    out.push_str(&counted(found.len(), "problem"));
    out.push('\n');
    out
}
