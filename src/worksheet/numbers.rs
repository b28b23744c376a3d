//! Problems put together: numbers and anchors that run over the page, places of the whole text.

use std::sync::Arc;

use rustc_hash::{FxHashMap, FxHashSet};

use super::entries;
use super::model::{Anchor, Filled, PartKind, Placed, Problem, Section, Worksheet};
use super::plan::{self, Plan};
use crate::diagnostic::{Code, Diagnostic};
use crate::document::{FrontMatter, HeadingNames};
use crate::syntax::BlockKind;
use crate::text::{Series, Source};

/// The problems of a worksheet, and where they stand.
pub(super) struct Pieces<'p> {
    pub front: Arc<FrontMatter>,
    /// Where each chapter begins.
    pub starts: Vec<usize>,
    pub sections: &'p [plan::Section],
    pub plans: &'p [Plan],
    pub problems: Vec<Arc<Problem>>,
    /// What is wrong with the settings.
    pub diagnostics: Vec<Diagnostic>,
}

/// Puts the problems of a worksheet together.
pub(super) fn together(source: Arc<Source>, pieces: Pieces<'_>) -> Worksheet {
    let problems = pieces.problems.into_iter().zip(pieces.plans);
    let mut placed: Vec<Placed> = (problems.enumerate())
        .map(|(number, (problem, plan))| Placed {
            chapters: chapters(plan, &pieces.starts),
            problem,
            number,
            equations: Vec::new(),
            cited: FxHashMap::default(),
            headings: Vec::new(),
            is_question: false,
        })
        .collect();
    let sections = sections(pieces.sections, placed.len());
    number(&mut placed, &sections);
    let (entries, dated) = entries::find(&placed, &sections);
    let mut found = pieces.diagnostics;
    found.extend(dated);
    let diagnostics = diagnostics(found, &placed, pieces.plans);
    Worksheet {
        source,
        front: pieces.front,
        problems: placed,
        sections,
        entries,
        files: Vec::new(),
        diagnostics,
    }
}

/// For each chapter of a problem where it begins in its text and in the worksheet's.
pub(super) fn chapters(plan: &Plan, starts: &[usize]) -> Vec<(u32, u32)> {
    let mut own = 0;
    (plan.made.chapters.iter().zip(&plan.chapters))
        .map(|(chapter, at)| {
            let place = (own, starts[*at] as u32);
            own += chapter.text.len() as u32;
            place
        })
        .collect()
}

/// The sections of the page: each piece became one part, so the parts of a problem are those of
/// its sections one after another.
fn sections(planned: &[plan::Section], problems: usize) -> Vec<Section> {
    let mut next = vec![0; problems];
    (planned.iter())
        .map(|section| {
            let from = next[section.problem];
            next[section.problem] += section.run.pieces.len();
            Section {
                problem: section.problem,
                parts: from..next[section.problem],
            }
        })
        .collect()
}

/// How many of each series there are already.
#[derive(Debug, Default)]
pub struct Counts(Vec<(Series, usize)>);

impl Counts {
    /// The next number of a series.
    fn next(&mut self, of: Series) -> usize {
        match self.0.iter_mut().find(|(series, _)| *series == of) {
            Some((_, count)) => {
                *count += 1;
                *count
            }
            None => {
                self.0.push((of, 1));
                1
            }
        }
    }
}

/// Numbers the equations and names the headings from the top of the page to its bottom.
fn number(placed: &mut [Placed], sections: &[Section]) {
    let mut names = HeadingNames::default();
    let mut counts = Counts::default();
    let by_problems = placed.iter().skip(1);
    let of_shared = by_problems.flat_map(|placed| placed.problem.cited.iter());
    let of_shared: FxHashSet<String> = (of_shared.filter(|id| id.is_shared))
        .map(|id| id.name.clone())
        .collect();
    for section in sections {
        let problem = Arc::clone(&placed[section.problem].problem);
        if section.problem > 0 {
            let shared = problem.shared.iter().flatten();
            let labels = shared.filter_map(|statement| statement.label.as_ref());
            let known = labels.map(|(_, number)| *number).max().unwrap_or(0);
            let numbers = placed[0].equations.get(..known).unwrap_or(&[]).to_vec();
            placed[section.problem].equations = numbers;
            let shared = placed[0].cited.iter();
            placed[section.problem].cited = shared
                .map(|(id, number)| {
                    let id = Anchor {
                        is_shared: true,
                        ..id.clone()
                    };
                    (id, *number)
                })
                .collect();
        }
        let placed = &mut placed[section.problem];
        for part in problem.parts.get(section.parts.clone()).unwrap_or(&[]) {
            match &part.kind {
                PartKind::Heading { text, .. } => placed.headings.push(names.name(text)),
                PartKind::Block { kind, statements } => {
                    for statement in statements {
                        let Some(own) = statement.series(*kind) else {
                            continue;
                        };
                        let id = &statement.id;
                        let is_cited = || {
                            problem.cited.contains(id)
                                || (placed.number == 0 && of_shared.contains(&id.name))
                        };
                        if let Some((_, number)) = &statement.label {
                            placed.equations.resize(*number, counts.next(own));
                        } else if is_cited() {
                            placed.cited.insert(id.clone(), counts.next(own));
                        }
                    }
                }
                PartKind::Prose(blocks) => {
                    let mut count = |filled: &Filled| {
                        if let Filled::Figure(picture) = filled {
                            let number = counts.next(Series::Figure);
                            placed.cited.insert(picture.id.clone(), number);
                        }
                    };
                    blocks.iter().for_each(|it| it.for_each_open(&mut count));
                }
            }
        }
    }
}

impl Placed {
    /// A problem as a question of a paper, whose equations, tables and figures are numbered on from
    /// `counts`: those with labels in the given parts, and what the problem shares with others.
    /// Anchors begin with the number of the question.
    pub fn as_question(
        &self,
        question: usize,
        parts: std::ops::Range<usize>,
        counts: &mut Counts,
    ) -> Placed {
        let problem = Arc::clone(&self.problem);
        let mut equations = Vec::new();
        let mut number = |label: &Option<(String, usize)>, series: Option<Series>| {
            if let (Some((_, own)), Some(series)) = (label, series) {
                let at = equations.len().max(*own);
                equations.resize(at, 0);
                equations[own - 1] = counts.next(series);
            }
        };
        for statement in problem.shared.iter().flatten() {
            // What is shared keeps its series by what its number is read with.
            number(&statement.label, statement.series(BlockKind::Derive));
        }
        let mut figures = Vec::new();
        for part in problem.parts.get(parts).unwrap_or(&[]) {
            match &part.kind {
                PartKind::Block { kind, statements } => statements
                    .iter()
                    .for_each(|it| number(&it.label, it.series(*kind))),
                PartKind::Prose(blocks) => {
                    let mut found = |filled: &Filled| {
                        if let Filled::Figure(picture) = filled {
                            figures.push(picture.id.clone());
                        }
                    };
                    blocks.iter().for_each(|it| it.for_each_open(&mut found));
                }
                PartKind::Heading { .. } => {}
            }
        }
        let figures = figures.into_iter();
        let cited = figures
            .map(|id| (id, counts.next(Series::Figure)))
            .collect();
        let headings = self.headings.iter();
        Placed {
            problem,
            number: question,
            chapters: self.chapters.clone(),
            equations,
            cited,
            headings: headings.map(|id| format!("q{question}-{id}")).collect(),
            is_question: true,
        }
    }
}

/// Everything there is to say, each thing once: what is wrong with a shared line is found again by
/// every problem.
fn diagnostics(mut found: Vec<Diagnostic>, placed: &[Placed], plans: &[Plan]) -> Vec<Diagnostic> {
    for (placed, plan) in placed.iter().zip(plans) {
        let own = placed.problem.diagnostics.iter().cloned();
        found.extend(own.map(|found| found.moved(&|span| placed.span(span))));
        if plan.is_too_much {
            found.extend(too_much(placed));
        }
    }
    found.sort_by_key(|diagnostic| (diagnostic.span.start, diagnostic.code));
    let mut known = FxHashSet::default();
    found.retain(|it| known.insert((it.span, it.code, it.message.clone())));
    found
}

fn too_much(placed: &Placed) -> Option<Diagnostic> {
    let heading = placed.span(placed.problem.parts.first()?.span);
    let message = "what all problems share is too long for so many problems: from here on they are \
                   read without it";
    Some(
        Diagnostic::error(Code::T04, heading, message)
            .with_help("a worksheet for some of the problems, or a shorter part above the first"),
    )
}
