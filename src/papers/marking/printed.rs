//! A paper as it was printed, as marking needs it.

use std::sync::Arc;

use super::list;
use crate::papers::paper::Chosen;
use crate::papers::print::{Version, answer};
use crate::text::Files;
use crate::worksheet::{Body, MarkKind, Shape, Shown, Worksheet};

/// A paper as it was printed, in all its versions.
#[derive(Debug)]
pub struct Printed {
    pub(super) versions: Vec<Version>,
}

impl Printed {
    /// These versions.
    pub fn of(versions: &[Version], _paper: &Worksheet, _files: &Arc<dyn Files>) -> Self {
        Self {
            versions: versions.to_vec(),
        }
    }

    /// What a list may say of it. Versions differ in numbers only, so that the first tells of all.
    pub fn columns(&self) -> list::Paper {
        let questions = self.versions.first().map_or(&[][..], |it| &it.questions);
        list::Paper {
            questions: questions.iter().map(question).collect(),
            versions: (self.versions.iter())
                .map(|it| list::Version {
                    number: u32::from(it.number),
                    fingerprint: it.fingerprint.as_deref().map(Into::into),
                })
                .collect(),
        }
    }
}

fn question(chosen: &Chosen) -> list::Question {
    let problem = &chosen.worksheet.problems[chosen.problem].problem;
    let mut found = list::Question::default();
    let Some(question) = &problem.question else {
        return found;
    };
    for (at, asked) in question.asked.iter().enumerate() {
        let shown = answer(problem, asked).map(|(shown, _)| shown);
        // Kinds in the order of the design, each once.
        let counts = MarkKind::ALL.into_iter().filter_map(|kind| {
            let own = asked.marks.iter().filter(|(_, own)| *own == kind);
            let count: u32 = own.map(|(count, _)| count).sum();
            (count > 0).then(|| (kind.word().into(), count))
        });
        found.parts.push(list::Part {
            letter: question.letter(at),
            components: shown.map_or(1, components),
            marks: counts.collect(),
        });
    }
    for statement in problem.statements() {
        let symbol = match &statement.body {
            Body::Given { symbol, .. } => Some(*symbol),
            Body::Work(work) => work.lead.inside().as_symbol(),
            _ => None,
        };
        let Some(symbol) = symbol else { continue };
        let name = &problem.symbols.symbol(symbol).key;
        if found.names.iter().all(|it| *it.name != **name) {
            found.names.push(list::Named {
                name: (&**name).into(),
                components: statement.body.shown().map_or(1, components),
            });
        }
    }
    found
}

/// How many components a value has; a column of readings stands in one field.
fn components(shown: &Shown) -> usize {
    match shown.shape {
        Shape::Vector => shown.si.len(),
        Shape::One | Shape::List => 1,
    }
}
