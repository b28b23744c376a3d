//! What each problem of a worksheet is made from.
//!
//! In go the chapters of a text, out comes for each problem all that it is a function of: the
//! settings, its own pieces, and the pieces above it that all problems share.

use std::borrow::Cow;
use std::collections::BTreeSet;
use std::hash::{Hash, Hasher};
use std::ops::Range;
use std::sync::Arc;

use crate::diagnostic::Diagnostic;
use crate::document::{Chapter, FrontMatter, Hole, Piece};
use crate::questions::Share;

/// Some pieces of one of the chapters that a problem is made from.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub(super) struct Run {
    /// An index into the chapters.
    pub chapter: usize,
    /// Which of its pieces.
    pub pieces: Range<usize>,
}

/// Everything that a problem is made from. Two that are equal give the same problem.
#[derive(Debug, Clone)]
pub(super) struct Made {
    /// The settings.
    pub front: Arc<FrontMatter>,
    /// The chapters whose texts, one after another, are the text of the problem.
    pub chapters: Vec<Arc<Chapter>>,
    /// What all problems share, as far as it stands above this one.
    pub above: Vec<Run>,
    /// Its own pieces.
    pub own: Vec<Run>,
    /// How many problems there are, rounded up to a power of two: they share what a worksheet may
    /// take.
    pub problems: usize,
}

impl PartialEq for Made {
    fn eq(&self, other: &Self) -> bool {
        let same = |(own, other): (&Arc<Chapter>, &Arc<Chapter>)| Arc::ptr_eq(own, other);
        self.chapters.len() == other.chapters.len()
            && self.chapters.iter().zip(&other.chapters).all(same)
            && (&self.above, &self.own, self.problems) == (&other.above, &other.own, other.problems)
            && self.front == other.front
    }
}

impl Eq for Made {}

impl Hash for Made {
    fn hash<H: Hasher>(&self, state: &mut H) {
        for chapter in &self.chapters {
            Arc::as_ptr(chapter).hash(state);
        }
        (&self.above, &self.own, self.problems, &self.front).hash(state);
    }
}

impl Made {
    /// The pieces of a run, at their places in the text of the problem.
    pub fn pieces(&self, run: &Run) -> impl Iterator<Item = Cow<'_, Piece>> {
        let start = self.start(run);
        let pieces = self.chapters[run.chapter].pieces.get(run.pieces.clone());
        (pieces.unwrap_or(&[]).iter()).map(move |piece| match start {
            0 => Cow::Borrowed(piece),
            _ => Cow::Owned(piece.clone().moved(start)),
        })
    }

    /// The heading that it stands under; none for what all problems share.
    pub fn title(&self) -> Option<String> {
        let own = self.own.first().filter(|_| self.own.len() == 1)?;
        match self.chapters[own.chapter].pieces.get(own.pieces.start)? {
            Piece::Heading { level: 1, text, .. } if self.front.title.as_ref() != Some(text) => {
                Some(text.clone())
            }
            _ => None,
        }
    }

    /// What was found where the Markdown of its own pieces was read.
    pub fn diagnostics(&self) -> Vec<Diagnostic> {
        let of_run = |run: &Run| {
            let chapter = &self.chapters[run.chapter];
            let pieces = chapter.pieces.get(run.pieces.clone()).unwrap_or(&[]);
            // Footnotes come last, wherever they stand in the text.
            let from = pieces.first()?.span().start;
            let to = pieces.iter().map(|piece| piece.span().end).max()?;
            let here = from..to;
            let start = self.start(run);
            let found = chapter.diagnostics.iter();
            let found = found
                .filter(move |found| here.contains(&found.span.start))
                .cloned();
            Some(found.map(move |found| found.moved(&|span| span.moved(start))))
        };
        self.own.iter().filter_map(of_run).flatten().collect()
    }

    /// What falls to the lines that all share, and to its own.
    pub fn shares(&self) -> [Share; 2] {
        let bytes = |runs: &[Run]| {
            let runs = runs.iter().map(|run| bytes_of_blocks(&self.chapters, run));
            runs.sum::<usize>()
        };
        let own = Share::new(bytes(&self.own), self.problems);
        let shared = match bytes(&self.above) {
            // Without such lines it is the first problem itself.
            0 => own,
            bytes => Share::new(bytes, self.problems),
        };
        [shared, own]
    }

    /// Where the chapter of a run begins in the text of the problem.
    fn start(&self, run: &Run) -> u32 {
        let above = self.chapters.iter().take(run.chapter);
        above.map(|chapter| chapter.text.len() as u32).sum()
    }

    /// Its text.
    pub fn text(&self) -> Arc<str> {
        match self.chapters.as_slice() {
            [only] => Arc::clone(&only.text),
            several => several
                .iter()
                .map(|chapter| &*chapter.text)
                .collect::<String>()
                .into(),
        }
    }
}

/// A problem of a text: what it is made from, and where that stands.
#[derive(Debug)]
pub(super) struct Plan {
    /// What it is made from.
    pub made: Made,
    /// The chapters of the text that it is made from.
    pub chapters: Vec<usize>,
    /// Whether it is made without what all share, because all problems together ask too much.
    pub is_too_much: bool,
}

/// Some pieces of a text that belong to one problem.
#[derive(Debug)]
pub(super) struct Section {
    /// The problem; 0 is what all share.
    pub problem: usize,
    /// Its pieces; the chapter is one of the text.
    pub run: Run,
}

/// Each level-1 heading begins a problem; what stands above the first, or under one that repeats
/// the title, is shared.
pub(super) fn sections(chapters: &[Arc<Chapter>], front: &FrontMatter) -> Vec<Section> {
    let mut sections: Vec<Section> = Vec::new();
    let (mut current, mut count) = (0, 0);
    for (chapter, read) in chapters.iter().enumerate() {
        let mut from = 0;
        for (at, piece) in read.pieces.iter().enumerate() {
            let Piece::Heading { level: 1, text, .. } = piece else {
                continue;
            };
            push(&mut sections, current, chapter, from..at);
            from = at;
            current = match front.title.as_deref() == Some(text) {
                true => 0,
                false => {
                    count += 1;
                    count
                }
            };
        }
        push(&mut sections, current, chapter, from..read.pieces.len());
    }
    sections
}

fn push(sections: &mut Vec<Section>, problem: usize, chapter: usize, pieces: Range<usize>) {
    if !pieces.is_empty() {
        let run = Run { chapter, pieces };
        sections.push(Section { problem, run });
    }
}

/// So many bytes of what all share are read, all problems together: each problem is made from the
/// shared part and its own.
const MOST_SHARED: usize = crate::text::MAX_BYTES;

/// What each problem is made from, the shared part first.
pub(super) fn plans(
    chapters: &[Arc<Chapter>],
    sections: &[Section],
    front: &Arc<FrontMatter>,
) -> Vec<Plan> {
    let shared: Vec<&Section> = sections.iter().filter(|it| it.problem == 0).collect();
    let problems = problems_with_blocks(chapters, sections).next_power_of_two();
    let plan = |above: &[&Section], own: &[&Section]| plan(chapters, front, problems, above, own);
    let mut plans = vec![plan(&[], &shared)];
    let mut above: Vec<&Section> = Vec::new();
    let (mut size, mut spent) = (0, 0);
    for section in sections {
        if section.problem == 0 {
            let blocks = bytes_of_blocks(chapters, &section.run);
            if blocks > 0 || holds_pictures(chapters, &section.run) {
                above.push(section);
                size += blocks;
            }
            continue;
        }
        spent += size;
        let is_too_much = spent > MOST_SHARED;
        let seen = if is_too_much { &[][..] } else { &above };
        plans.push(Plan {
            is_too_much,
            ..plan(seen, &[section])
        });
    }
    plans
}

/// How many problems have something to evaluate.
fn problems_with_blocks(chapters: &[Arc<Chapter>], sections: &[Section]) -> usize {
    let with_blocks = sections
        .iter()
        .filter(|it| bytes_of_blocks(chapters, &it.run) > 0);
    let problems: BTreeSet<usize> = with_blocks.map(|it| it.problem).collect();
    problems.len()
}

/// How much of a run is evaluated.
fn bytes_of_blocks(chapters: &[Arc<Chapter>], run: &Run) -> usize {
    let pieces = chapters[run.chapter].pieces.get(run.pieces.clone());
    let blocks = pieces.unwrap_or(&[]).iter().map(|piece| match piece {
        Piece::Block { span, .. } => span.len(),
        Piece::Heading { .. } | Piece::Prose { .. } => 0,
    });
    blocks.sum()
}

/// Whether a picture that may be referred to stands in a run.
fn holds_pictures(chapters: &[Arc<Chapter>], run: &Run) -> bool {
    let pieces = chapters[run.chapter].pieces.get(run.pieces.clone());
    let mut found = false;
    for piece in pieces.unwrap_or(&[]) {
        let mut look = |hole: &Hole| found |= matches!(hole, Hole::Picture { is_alone: true, .. });
        piece.for_each_open(&mut look);
    }
    found
}

fn plan(
    chapters: &[Arc<Chapter>],
    front: &Arc<FrontMatter>,
    problems: usize,
    above: &[&Section],
    own: &[&Section],
) -> Plan {
    let mut used: Vec<usize> = Vec::new();
    let mut run = |section: &&Section| {
        let chapter = section.run.chapter;
        if used.last() != Some(&chapter) {
            used.push(chapter);
        }
        Run {
            chapter: used.len() - 1,
            pieces: section.run.pieces.clone(),
        }
    };
    let above = above.iter().map(&mut run).collect();
    let own = own.iter().map(&mut run).collect();
    Plan {
        made: Made {
            front: Arc::clone(front),
            chapters: used.iter().map(|at| Arc::clone(&chapters[*at])).collect(),
            above,
            own,
            problems,
        },
        chapters: used,
        is_too_much: false,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_long_shared_part_is_read_for_so_many_problems_and_no_more() {
        let data: String = (0..60_000).map(|at| format!("x_{at} = 1 m\n")).collect();
        let shared: Arc<str> = format!("```given\n{data}```\n").into();
        let size = shared.len() - 1;
        let problem: Arc<str> = "# P\n\n```given\ny = 2 m\n```\n".into();
        let chapters: Vec<Arc<Chapter>> = std::iter::once(shared)
            .chain(std::iter::repeat_n(problem, 30))
            .map(|text| Arc::new(Chapter::read(text)))
            .collect();
        let front = Arc::new(FrontMatter::default());
        let sections = sections(&chapters, &front);
        let plans = plans(&chapters, &sections, &front);
        let with_it = plans.iter().filter(|plan| !plan.made.above.is_empty());
        assert_eq!(with_it.count(), MOST_SHARED / size);
        let too_much = plans.iter().filter(|plan| plan.is_too_much);
        assert_eq!(too_much.count(), 30 - MOST_SHARED / size);
    }

    #[test]
    fn what_problems_share_stands_above_them() {
        let text =
            "```given\na = 1 m\n```\n\n# P\n\nWords.\n\n# Title\n\n```given\nb = 2 m\n```\n\n# Q\n";
        let front = Arc::new(FrontMatter {
            title: Some("Title".to_owned()),
            ..FrontMatter::default()
        });
        let chapters: Vec<Arc<Chapter>> = (crate::document::chapters(text).into_iter())
            .map(|place| Arc::new(Chapter::read(text[place].into())))
            .collect();
        let sections = sections(&chapters, &front);
        let plans = plans(&chapters, &sections, &front);
        let shared: Vec<usize> = plans.iter().map(|plan| plan.made.above.len()).collect();
        assert_eq!(shared, [0, 1, 2]);
        let titles: Vec<_> = plans.iter().map(|plan| plan.made.title()).collect();
        assert_eq!(titles, [None, Some("P".to_owned()), Some("Q".to_owned())]);
    }
}
