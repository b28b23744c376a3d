//! The page part by part, for those who keep it and replace what changed.

use std::collections::BTreeMap;
use std::hash::{Hash, Hasher};
use std::sync::Arc;

use rayon::prelude::*;
use rustc_hash::FxHashMap;

use super::{Page, head, html, part};
use crate::document::Paper;
use crate::typeset::Names;
use crate::worksheet::{Entry, Part, PartKind, Placed, Problem, Worksheet};

/// How many parts are written at a time by one thread.
const PARTS_AT_A_TIME: usize = 16;

/// One part of a page.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PartHtml {
    /// Tells it from all other elements of the page, and stays the same when something else is
    /// edited: `part/q1-V/text-2` is the second text after the block that begins with `q1-V`.
    pub id: String,
    /// Its markup, which is whole elements and text between them.
    pub html: Arc<str>,
    /// Whether a section begins with it. What stands before all of them is in none.
    pub begins_section: bool,
}

/// The markup of problems as it was written the last time, by all that it hangs on.
#[derive(Debug, Default)]
pub struct Written(FxHashMap<From, Arc<Vec<Arc<str>>>>);

/// What the markup of a problem hangs on.
#[derive(Debug)]
struct From {
    problem: Arc<Problem>,
    number: usize,
    /// The lines on which its chapters begin.
    lines: Vec<usize>,
    equations: Vec<usize>,
    cited: Vec<usize>,
    headings: Vec<String>,
    entries: Vec<Entry>,
    shift: u8,
}

impl From {
    fn of(worksheet: &Worksheet, placed: &Placed, shift: u8) -> Self {
        let starts = placed.chapter_starts();
        Self {
            problem: Arc::clone(&placed.problem),
            number: placed.number,
            lines: starts.map(|at| worksheet.source.line_of(at)).collect(),
            equations: placed.equations().to_vec(),
            cited: placed.cited(),
            headings: placed.headings().to_vec(),
            entries: (worksheet.entries.iter())
                .filter(|entry| entry.problem == placed.number)
                .cloned()
                .collect(),
            shift,
        }
    }

    fn others(&self) -> impl PartialEq + Hash {
        let Self {
            number,
            lines,
            equations,
            cited,
            headings,
            entries,
            shift,
            problem: _,
        } = self;
        (number, lines, equations, cited, headings, entries, shift)
    }
}

impl PartialEq for From {
    fn eq(&self, other: &Self) -> bool {
        Arc::ptr_eq(&self.problem, &other.problem) && self.others() == other.others()
    }
}

impl Eq for From {}

impl Hash for From {
    fn hash<H: Hasher>(&self, state: &mut H) {
        Arc::as_ptr(&self.problem).hash(state);
        self.others().hash(state);
    }
}

impl Written {
    /// The markup of the parts of each problem; those that are not known are written side by side.
    #[expect(
        clippy::mutable_key_type,
        reason = "problems are told apart by their address, and what they hold is not looked at"
    )]
    fn problems(&mut self, worksheet: &Worksheet, shift: u8) -> Vec<Arc<Vec<Arc<str>>>> {
        let before = std::mem::take(&mut self.0);
        let all: Vec<(From, Arc<Vec<Arc<str>>>)> = (worksheet.problems.par_iter())
            .map(|placed| {
                let from = From::of(worksheet, placed, shift);
                let known = before.get(&from).cloned();
                let written = known.unwrap_or_else(|| Arc::new(problem(worksheet, placed, shift)));
                (from, written)
            })
            .collect();
        let written = all.iter().map(|(_, written)| Arc::clone(written)).collect();
        self.0 = all.into_iter().collect();
        written
    }
}

/// The markup of the parts of a problem.
fn problem(worksheet: &Worksheet, placed: &Placed, shift: u8) -> Vec<Arc<str>> {
    let names = Names::new(&placed.problem.symbols);
    let page = Page::new(worksheet, placed, &names, shift);
    let parts = placed
        .problem
        .parts
        .par_iter()
        .with_min_len(PARTS_AT_A_TIME);
    parts.map(|part| written(&page, part).into()).collect()
}

/// All parts of a page in their order. First come the header, and the lines that say what is
/// wrong; either may be empty. What `memory` has of an earlier text of the worksheet is not
/// written again.
pub fn parts(worksheet: &Worksheet, memory: &mut Written) -> Vec<PartHtml> {
    let opening = head::Opening::of(worksheet);
    let problems = memory.problems(worksheet, opening.shift);
    let parts: Vec<(&Placed, &Part)> = worksheet.parts().collect();
    let markup = worksheet.sections.iter().flat_map(|section| {
        let written = problems[section.problem].get(section.parts.clone());
        written.unwrap_or_default()
    });
    let below = (parts.iter().zip(ids(&parts)).zip(markup).enumerate())
        // The title stands for these.
        .skip(opening.skip)
        .map(|(index, (((_, part), id), html))| PartHtml {
            id,
            html: Arc::clone(html),
            begins_section: index == opening.skip || part::begins_section(part),
        });
    let top = [header(worksheet, &opening), summary(worksheet)];
    top.into_iter().chain(below).collect()
}

fn written(page: &Page, part: &Part) -> String {
    let mut out = String::new();
    html::blocks(&part::blocks(page, part), &mut out);
    out
}

fn header(worksheet: &Worksheet, opening: &head::Opening) -> PartHtml {
    let mut out = String::new();
    html::header(&head::top(worksheet, opening), &mut out);
    PartHtml {
        id: "part/header".to_owned(),
        html: out.into(),
        begins_section: false,
    }
}

fn summary(worksheet: &Worksheet) -> PartHtml {
    let mut out = String::new();
    html::summaries(
        &head::summaries(worksheet, failed_checks(worksheet)),
        &mut out,
    );
    PartHtml {
        id: "part/summary".to_owned(),
        html: out.into(),
        begins_section: false,
    }
}

/// The id of each part: that of a heading, that of the first statement of a block, and for the rest
/// which one it is after the block before it, so that what is new elsewhere moves few of them.
fn ids(parts: &[(&Placed, &Part)]) -> Vec<String> {
    let mut counts: BTreeMap<String, usize> = BTreeMap::new();
    let mut block = "part".to_owned();
    let id = |(placed, part): &(&Placed, &Part)| {
        let word = match &part.kind {
            PartKind::Heading { at, .. } => return format!("part/{}", placed.heading(*at)),
            PartKind::Block { kind, statements } => match statements.first() {
                Some(first) => {
                    block = format!("part/{}", placed.anchor(&first.id));
                    return block.clone();
                }
                None => kind.word(),
            },
            PartKind::Prose(_) => "text",
        };
        let name = format!("{block}/{word}");
        let count = counts.entry(name.clone()).or_default();
        *count += 1;
        format!("{name}-{count}")
    };
    parts.iter().map(id).collect()
}

/// How many checks of a worksheet do not hold.
pub fn failed_checks(worksheet: &Worksheet) -> usize {
    worksheet.checks().filter(|holds| !holds).count()
}

/// What a worksheet is called: the title of the front matter, else the first heading, else the
/// worksheet's name.
pub fn title(worksheet: &Worksheet) -> String {
    head::title(worksheet)
}

/// How many lines of a worksheet are refused.
pub fn refused_lines(worksheet: &Worksheet) -> usize {
    head::errors(worksheet).len()
}

/// How many of so many sections of a page, from the first on, are laid out only where they are in
/// sight.
pub fn far(of: usize) -> usize {
    html::far(of)
}

/// Appends the `style` elements of a page.
pub fn styles(paper: Paper, out: &mut String) {
    html::styles(paper, out);
}

/// The sources of all style sheets that pages may have, as a security policy names them.
pub fn style_sources() -> String {
    html::style_sources()
}

/// What all pages end with, below `main`.
pub fn footer() -> String {
    let mut out = String::new();
    html::footer(&mut out);
    out
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeSet;

    use super::super::html;
    use super::super::tests::{penstock, troubled};
    use super::*;
    use crate::text::Source;
    use crate::worksheet::compile;

    #[test]
    fn the_parts_in_their_order_are_the_finished_page() {
        for worksheet in [penstock(), troubled()] {
            let mut main = String::new();
            let mut sections = 0;
            for part in parts(&worksheet, &mut Written::default()) {
                if part.begins_section {
                    main.push_str(if sections > 0 { "</section>\n" } else { "" });
                    main.push_str("<section>\n");
                    sections += 1;
                }
                main.push_str(&part.html);
            }
            let html = html(&worksheet);
            let (_, rest) = html.split_once("<main>\n").unwrap();
            let (expected, _) = rest.split_once("</section>\n</main>").unwrap();
            assert_eq!(main, expected);
        }
    }

    #[test]
    fn every_part_has_an_id_of_its_own() {
        for worksheet in [penstock(), troubled()] {
            let all = parts(&worksheet, &mut Written::default());
            let ids: BTreeSet<&str> = all.iter().map(|part| &*part.id).collect();
            assert_eq!(ids.len(), all.len());
            assert!(
                all.iter()
                    .all(|part| !part.html.contains(&format!("id=\"{}\"", part.id)))
            );
        }
    }

    fn ids_of(text: &str) -> Vec<String> {
        let ids = parts(&compile(Source::new("w.md", text)), &mut Written::default())
            .into_iter()
            .map(|part| part.id);
        ids.skip(2).collect()
    }

    const TEXT: &str = "Words.\n\n# Rod\n\n```given\nF = 1 N\n```\n\nWords.\n\n## Load\n\n\
                        ```work\nG = 2 F\n```\n\n```work\nH = 3 F\n```\n";

    #[test]
    fn an_id_says_where_a_part_stands() {
        let expected = [
            "part/text-1",
            "part/h-rod",
            "part/q1-F",
            "part/q1-F/text-1",
            "part/h-load",
            "part/q1-G",
            "part/q1-H",
        ];
        assert_eq!(ids_of(TEXT), expected);
    }

    #[test]
    fn an_edit_elsewhere_leaves_an_id_as_it_is() {
        let before = ids_of(TEXT);
        for (old, new) in [
            ("# Rod", "- a list\n\n# Rod"),
            ("## Load", "## Rope\n\n```work\nA = 1\n```\n\n## Load"),
            ("F = 1 N", "F = 1 N\nE = 2 Pa"),
            ("2 F", "2 F kg"),
            ("## Load", "```check\nF > 2 N\n```\n\n## Load"),
        ] {
            let now = ids_of(&TEXT.replace(old, new));
            let kept = now.iter().filter(|id| before.contains(id));
            assert_eq!(kept.count(), before.len(), "{new}: {now:?}");
        }
    }
}
