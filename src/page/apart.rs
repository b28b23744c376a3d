//! The page part by part, for those who keep it and replace what changed.

use std::ops::Range;

use rayon::prelude::*;

use super::{Page, head, html, part};
use crate::document::Paper;
use crate::typeset::Names;
use crate::worksheet::{PartKind, Worksheet};

/// How many parts are written at a time by one thread.
const PARTS_AT_A_TIME: usize = 16;

/// One part of a page.
#[derive(Debug, Default, Clone, PartialEq, Eq)]
pub struct PartHtml {
    /// Its markup, which is whole elements and text between them.
    pub html: String,
    /// The elements of its statements: id, and place in the markup. They do not overlap.
    pub elements: Vec<(String, Range<usize>)>,
    /// How many of its checks do not hold.
    pub failed_checks: usize,
    /// Whether a section begins with it.
    pub begins_section: bool,
}

/// What the markup of all parts depends on besides the parts.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Frame {
    /// How many parts at the top are not written, because the title stands for them.
    pub skip: usize,
    /// How far headings go down below the title.
    pub shift: u8,
    /// The language of the page.
    pub language: String,
    /// Its paper.
    pub paper: Paper,
}

/// Writes parts of one worksheet.
pub struct Parts<'w> {
    page: Page<'w>,
    opening: head::Opening,
}

impl<'w> Parts<'w> {
    /// `names` are those of the worksheet's symbols.
    pub fn new(worksheet: &'w Worksheet, names: &'w Names) -> Self {
        let opening = head::Opening::of(worksheet);
        Self {
            page: Page::new(worksheet, names, opening.shift),
            opening,
        }
    }

    /// What the markup of all parts depends on.
    pub fn frame(&self) -> Frame {
        let front = &self.page.worksheet.front;
        Frame {
            skip: self.opening.skip,
            shift: self.opening.shift,
            language: front.language.clone(),
            paper: front.paper,
        }
    }

    /// One part; nothing where there is none or the title stands for it.
    pub fn part(&self, index: usize) -> PartHtml {
        let Some(part) = self.page.worksheet.parts.get(index) else {
            return PartHtml::default();
        };
        if index < self.opening.skip {
            return PartHtml::default();
        }
        let mut html = String::new();
        let blocks = part::blocks(&self.page, part);
        let elements = html::blocks(&blocks, &mut html);
        let failed_checks = match &part.kind {
            PartKind::Block { statements, .. } => statements
                .iter()
                .filter(|statement| statement.body.holds() == Some(false))
                .count(),
            _ => 0,
        };
        PartHtml {
            html,
            elements,
            failed_checks,
            begins_section: index > self.opening.skip && part::begins_section(part),
        }
    }

    /// All parts in their order.
    pub fn all(&self) -> Vec<PartHtml> {
        (0..self.page.worksheet.parts.len())
            .into_par_iter()
            .with_min_len(PARTS_AT_A_TIME)
            .map(|index| self.part(index))
            .collect()
    }

    /// What stands before the parts: the header, and the lines that say what is wrong.
    /// `failed_checks` are those of all parts together.
    pub fn head(&self, failed_checks: usize) -> String {
        let worksheet = self.page.worksheet;
        let top = head::top(worksheet, &self.opening);
        let summaries = head::summaries(worksheet, failed_checks);
        let mut out = String::new();
        html::top(&top, &summaries, &mut out);
        out
    }
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
    use super::super::html;
    use super::super::tests::{penstock, troubled};
    use super::*;

    #[test]
    fn the_parts_in_their_order_are_the_finished_page() {
        for worksheet in [penstock(), troubled()] {
            let names = Names::new(&worksheet.symbols);
            let parts = Parts::new(&worksheet, &names);
            let all = parts.all();
            let failed = all.iter().map(|part| part.failed_checks).sum();
            let mut main = parts.head(failed) + "<section>\n";
            for part in &all {
                if part.begins_section {
                    main.push_str(html::NEXT_SECTION);
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
    fn each_statement_with_an_id_is_marked_as_one_element() {
        for worksheet in [penstock(), troubled()] {
            let names = Names::new(&worksheet.symbols);
            let parts = Parts::new(&worksheet, &names).all();
            let elements = parts.iter().flat_map(|part| {
                let element = |(id, at): &(String, Range<usize>)| {
                    (id.clone(), part.html[at.clone()].to_owned())
                };
                part.elements.iter().map(element)
            });
            let mut ids = Vec::new();
            for (id, element) in elements {
                let document = roxmltree::Document::parse(&element).unwrap();
                assert_eq!(document.root_element().attribute("id"), Some(&*id));
                ids.push(id);
            }
            let expected: Vec<&str> = worksheet.statements().map(|it| &*it.id).collect();
            ids.sort_unstable();
            let mut sorted = expected.clone();
            sorted.sort_unstable();
            assert_eq!(ids, sorted);
        }
    }
}
