//! What is other in one printing than in another, in sentences.

use super::super::fingerprint::six_figures;
use super::{Part, Printed, Question, Record};

/// So many differences are told.
const MOST_TOLD: usize = 5;

/// What differs between an earlier printing and a present one, a difference for each question;
/// nothing where all versions that both have are of the same fingerprint.
pub fn differences(earlier: &Record, now: &Record) -> Vec<String> {
    let mut found: Vec<String> = Vec::new();
    let mut told: Vec<usize> = Vec::new();
    let mut others = 0;
    for before in &earlier.versions {
        let same = now.versions.iter().find(|it| it.version == before.version);
        let Some(own) = same.filter(|own| own.fingerprint != before.fingerprint) else {
            continue;
        };
        if earlier.title != now.title && !told.contains(&0) {
            told.push(0);
            found.push(format!(
                "it was called `{}` and is `{}`",
                earlier.title, now.title
            ));
        }
        let counts = (before.questions.len(), own.questions.len());
        if counts.0 != counts.1 && !told.contains(&0) {
            told.push(0);
            found.push(format!(
                "it had {} questions and has {}",
                counts.0, counts.1
            ));
        }
        for (at, pair) in before.questions.iter().zip(&own.questions).enumerate() {
            if told.contains(&(at + 1)) {
                continue;
            }
            if let Some(what) = of_question(pair.0, pair.1) {
                told.push(at + 1);
                match found.len() < MOST_TOLD {
                    true => found.push(format!("question {} {}{what}", at + 1, version(before))),
                    false => others += 1,
                }
            }
        }
        if found.is_empty() {
            found.push(format!(
                "version {} has another fingerprint",
                before.version
            ));
        }
    }
    if others > 0 {
        found.push(format!("and {others} questions more"));
    }
    found
}

fn version(of: &Printed) -> String {
    format!("version {}, ", of.version)
}

/// The first difference of a question.
fn of_question(before: &Question, now: &Question) -> Option<String> {
    let was = |name: &str, one: &str, other: &str| format!("`{name}` was {one} and is {other}");
    if before.problem != now.problem {
        return Some(format!(
            "`{}` stood there, and `{}` does now",
            before.problem, now.problem
        ));
    }
    for datum in &before.data {
        match now.data.iter().find(|it| it.name == datum.name) {
            Some(own) if own.text == datum.text => {}
            Some(own) => return Some(was(&datum.name, &datum.text, &own.text)),
            None => return Some(format!("the datum `{}` is not there any more", datum.name)),
        }
    }
    let is_new = |name: &str| before.data.iter().all(|it| it.name != name);
    if let Some(new) = now.data.iter().find(|it| is_new(&it.name)) {
        return Some(format!("the datum `{}` is new", new.name));
    }
    if before.parts.len() != now.parts.len() {
        return Some(format!(
            "it had {} parts and has {}",
            before.parts.len(),
            now.parts.len()
        ));
    }
    let parts = || before.parts.iter().zip(&now.parts);
    for (one, other) in parts() {
        if one.required != other.required {
            return Some(format!(
                "`{}` is asked now, and `{}` was",
                other.required, one.required
            ));
        }
        if one.marks != other.marks {
            return Some(format!(
                "`{}` had {} and has {}",
                one.name,
                marks(one),
                marks(other)
            ));
        }
    }
    // A formula is the cause, an answer what comes of it.
    for (one, other) in before.formulas.iter().zip(&now.formulas) {
        if one.text != other.text {
            return Some(format!("`{}` was `{}`", other.text, one.text));
        }
        if one.marks != other.marks {
            return Some(format!("the marks of `{}` are others", one.text));
        }
    }
    if before.formulas.len() != now.formulas.len() {
        let (one, other) = (before.formulas.len(), now.formulas.len());
        return Some(format!("its working had {one} lines and has {other}"));
    }
    let answers = |part: &Part| {
        part.si
            .iter()
            .map(|it| six_figures(*it))
            .collect::<Vec<_>>()
    };
    parts()
        .find(|(one, other)| answers(one) != answers(other))
        .map(|(one, other)| was(&one.name, &one.printed, &other.printed))
}

fn marks(part: &Part) -> String {
    format!("({})", part.marks)
}
