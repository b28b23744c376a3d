//! Answers that are those of another version.

use super::carried::holds;
use super::field::{Field, Written};
use super::printed::{Printed, Question, Target};

/// A number of fewer figures may be anything.
const LEAST_FIGURES: u32 = 3;

/// So many answers of one other version are no chance.
const LEAST_ANSWERS: usize = 2;

/// The answers of another version among those to a question: its index, and which parts they
/// answer. `is_right` says of a part and of numbers in its unit whether they are right here.
pub(super) fn found(
    printed: &Printed,
    (version, at): (usize, usize),
    fields: &[Field],
    is_right: impl Fn(usize, &[f64]) -> bool,
) -> Option<(usize, Vec<usize>)> {
    let own: &Question = printed.versions.get(version)?.questions.get(at)?;
    let written: Vec<(usize, Vec<f64>)> = (fields.iter().zip(&own.parts).enumerate())
        .filter_map(|(part, (field, of))| Some((part, full(field, &of.target)?)))
        .filter(|(part, values)| !is_right(*part, values))
        .collect();
    if written.len() < LEAST_ANSWERS {
        return None;
    }
    let mut most: Option<(usize, Vec<usize>)> = None;
    for (other, of) in printed.versions.iter().enumerate() {
        let Some(question) = of.questions.get(at).filter(|_| other != version) else {
            continue;
        };
        let parts: Vec<usize> = (written.iter())
            .filter(|(part, values)| {
                let there = question.parts.get(*part);
                there.is_some_and(|there| holds(&there.target.accepted, values))
            })
            .map(|(part, _)| *part)
            .collect();
        let before = most
            .as_ref()
            .map_or(LEAST_ANSWERS - 1, |(_, parts)| parts.len());
        if parts.len() > before {
            most = Some((other, parts));
        }
    }
    most
}

/// The numbers of an answer in its unit, where each has figures enough.
fn full(field: &Field, target: &Target) -> Option<Vec<f64>> {
    let written: &Written = match field {
        Field::One(written) => written,
        Field::Either(both) => &both[1],
        Field::Blank(_) | Field::Person(_) => return None,
    };
    let numbers = written.numbers.iter().map(|number| {
        let number = (*number)?;
        let is_full = number.figures.for_slips() >= LEAST_FIGURES;
        is_full.then(|| target.in_unit(number.si))
    });
    numbers.collect()
}
