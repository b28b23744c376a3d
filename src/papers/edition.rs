//! The versions of a paper: the same problems with other numbers.

use std::cell::RefCell;
use std::collections::BTreeSet;
use std::sync::Arc;

use rustc_hash::FxHashMap;

use super::marking::judge;
use super::marking::printed::Question;
use super::paper::Chosen;
use super::print::Version;
use super::versions::{Obstacle, Search};
use crate::diagnostic::{Code, Diagnostic};
use crate::text::{Beside, Files, Hash, Source, Span};
use crate::worksheet::Worksheet;

/// Something to say of a worksheet of a paper: at a place of its text.
#[derive(Debug, Clone)]
pub struct Said {
    /// Its text.
    pub source: Arc<Source>,
    /// What is said.
    pub diagnostic: Diagnostic,
}

/// The versions of a paper with these numbers, 0 first: the problems as they are written.
///
/// # Errors
/// P10, where not all were found.
pub fn versions(
    paper: &Worksheet,
    questions: Vec<Chosen>,
    files: &Arc<dyn Files>,
    numbers: &BTreeSet<u16>,
) -> Result<(Vec<Version>, Vec<Said>), Vec<Said>> {
    let series = paper.front.exam.series.as_deref().unwrap_or("");
    let count = numbers.last().copied().unwrap_or(0);
    let mut said = Vec::new();
    let mut refused = Vec::new();
    // For each question its worksheets in version 1 and on; none where it does not vary.
    let mut others: Vec<Option<Vec<Arc<Worksheet>>>> = Vec::new();
    for (at, chosen) in questions.iter().enumerate() {
        let beside = Beside::new(Arc::clone(files), &chosen.path);
        let search = match count {
            0 => None,
            _ => Search::new(&chosen.worksheet, &beside, chosen.problem, series),
        };
        let Some(search) = search else {
            if count > 0 {
                said.push(Said {
                    source: Arc::clone(&chosen.worksheet.source),
                    diagnostic: same_in_all(chosen, at + 1, count),
                });
            }
            others.push(None);
            continue;
        };
        let marker = Marker {
            paper,
            chosen,
            files,
            known: RefCell::default(),
        };
        let found = search.find(usize::from(count), |own, before| {
            marker.refuses(own, before)
        });
        if let Some(diagnostic) = search.refusal(&found, usize::from(count)) {
            refused.push(Said {
                source: Arc::clone(&chosen.worksheet.source),
                diagnostic,
            });
        }
        let found = found.versions.into_iter();
        others.push(Some(found.map(|it| it.worksheet).collect()));
    }
    if !refused.is_empty() {
        return Err(refused);
    }
    let version = |number: u16| Version {
        number,
        questions: (questions.iter().zip(&others))
            .map(|(chosen, others)| {
                let other = others.as_ref().zip(usize::from(number).checked_sub(1));
                let other = other.and_then(|(others, at)| others.get(at));
                Chosen {
                    worksheet: Arc::clone(other.unwrap_or(&chosen.worksheet)),
                    ..chosen.clone()
                }
            })
            .collect(),
        fingerprint: None,
    };
    let all = std::iter::once(0).chain(numbers.iter().copied().filter(|it| *it > 0));
    Ok((all.map(version).collect(), said))
}

/// What a candidate is marked by.
struct Marker<'a> {
    paper: &'a Worksheet,
    chosen: &'a Chosen,
    files: &'a Arc<dyn Files>,
    /// What was made to mark by, by the text of the worksheet.
    known: RefCell<FxHashMap<Hash, Arc<Question>>>,
}

impl Marker<'_> {
    /// What stands in the way of a candidate: rounding on the way matters where it does not in version
    /// 0, or a sheet that is copied from or into another version has more than half of the marks.
    fn refuses(&self, own: &Arc<Worksheet>, before: &[&Arc<Worksheet>]) -> Option<Obstacle> {
        let question = self.question(own);
        let first = self.question(before.first()?);
        let usual = first.rough();
        if let Some(symbol) = question.rough().iter().find(|it| !usual.contains(it)) {
            let symbols = &own.problems[self.chosen.problem].problem.symbols;
            return Some(Obstacle::Rounding(symbols.symbol(*symbol).key.to_string()));
        }
        let passes = |one: &Question, other: &Question| {
            let (marks, of) = judge::copy(one, other);
            2 * marks > of
        };
        let is_copied = |other: &&Arc<Worksheet>| {
            let other = self.question(other);
            passes(&question, &other) || passes(&other, &question)
        };
        before.iter().any(is_copied).then_some(Obstacle::Copied)
    }

    fn question(&self, own: &Arc<Worksheet>) -> Arc<Question> {
        let hash = Hash::of(own.source.text().as_bytes());
        let known = self.known.borrow().get(&hash).cloned();
        known.unwrap_or_else(|| {
            let chosen = Chosen {
                worksheet: Arc::clone(own),
                ..self.chosen.clone()
            };
            let made = Arc::new(Question::of(&chosen, self.paper, self.files));
            self.known.borrow_mut().insert(hash, Arc::clone(&made));
            made
        })
    }
}

/// A question without a block `versions`.
fn same_in_all(chosen: &Chosen, number: usize, count: u16) -> Diagnostic {
    let placed = &chosen.worksheet.problems[chosen.problem];
    let place = placed
        .problem
        .parts
        .first()
        .map_or(Span::default(), |it| it.span);
    let place = placed.span(place);
    let line = place.of(chosen.worksheet.source.text()).lines().next();
    let place = Span::new(
        place.start as usize,
        place.start as usize + line.map_or(0, str::len),
    );
    let message = format!(
        "`{}` has no `versions`: question {number} is the same in all {count} versions, and a copied answer is right",
        chosen.path
    );
    Diagnostic::warning(Code::P25, place, message)
        .with_help("a block `versions` in the problem, that says which data vary")
}
