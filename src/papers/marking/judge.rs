//! A list to marks.

use super::list::{Cell, Holds, List, Row, Says};
use super::marked::{Answer, Marked, PartOf, Student, Verdict};
use super::printed::Printed;
use crate::papers::print::{Version, answer};
use crate::worksheet::{Asked, Problem};

/// Marks a list: every answer goes to a person.
pub fn mark(list: &List, printed: &Printed) -> Marked {
    let versions = &printed.versions;
    let parts = versions.first().map(parts).unwrap_or_default();
    let students = list.rows.iter().filter_map(|row| {
        let version = versions.get(row.version)?;
        let rights = asked(version).map(|(_, _, problem, asked)| right(problem, asked));
        let answers = asked(version).zip(&parts).zip(rights);
        Some(Student {
            id: row.id.clone(),
            version: version.number,
            line: row.line,
            answers: answers
                .map(|(((question, part, ..), of), right)| Answer {
                    written: written(list, row, question, part),
                    si: Vec::new(),
                    value: Vec::new(),
                    read_as: None,
                    marks: 0,
                    open: of.of,
                    verdict: Verdict::ToBeRead,
                    carried: Vec::new(),
                    is_own: false,
                    other_version: None,
                    route: None,
                    slip: None,
                    is_proposed: false,
                    remarks: Vec::new(),
                    right,
                })
                .collect(),
        })
    });
    let students = students.collect();
    Marked { parts, students }
}

/// The parts of a version with their indices.
fn asked(version: &Version) -> impl Iterator<Item = (usize, usize, &Problem, &Asked)> {
    let questions = version.questions.iter().enumerate();
    questions.flat_map(|(at, chosen)| {
        let problem = &*chosen.worksheet.problems[chosen.problem].problem;
        let asked = problem.question.iter().flat_map(|it| &it.asked);
        asked
            .enumerate()
            .map(move |(part, asked)| (at, part, problem, asked))
    })
}

fn parts(version: &Version) -> Vec<PartOf> {
    let parts = asked(version).map(|(question, part, problem, asked)| {
        let name = problem.symbols.symbol(asked.symbol).key.to_string();
        PartOf {
            question: question + 1,
            letter: problem.question.as_ref().and_then(|it| it.letter(part)),
            printed: name.clone(),
            name,
            of: asked.total(),
        }
    });
    parts.collect()
}

fn right(problem: &Problem, asked: &Asked) -> String {
    match answer(problem, asked) {
        Some((shown, Some(word))) => {
            format!("{} {word}", crate::page::printed(&shown.magnitude()))
        }
        Some((shown, None)) => crate::page::printed(shown),
        None => String::new(),
    }
}

fn written(list: &List, row: &Row, question: usize, part: usize) -> Box<str> {
    let cells = list.columns.iter().zip(&row.cells);
    let own = cells.filter_map(|(column, Cell { says, .. })| match (column.holds, says) {
        (
            Holds::Answer {
                question: q,
                part: p,
                ..
            },
            Says::Words(words),
        ) if (q, p) == (question, part) => Some(&**words),
        _ => None,
    });
    own.collect::<Vec<&str>>().join(", ").into()
}
