//! A finished worksheet as a page, and as a machine-readable report.
//!
//! In goes a compiled worksheet. `tree` is what its page says, in no format's words; `html` and
//! `latex` write that down, each as one file. Nothing is evaluated here.

mod apart;
mod block;
mod check;
mod column;
mod data;
mod derived;
mod entry;
pub mod exam;
mod export;
mod head;
mod html;
mod latex;
mod line;
mod notice;
mod part;
mod plot;
mod prose;
mod recalculated;
mod report;
mod results;
mod sense;
mod sketch;
mod table;
mod tree;
mod uncertain;

#[cfg(test)]
mod picture_laws;
#[cfg(test)]
mod tests;

use std::convert::Infallible;
use std::sync::{Arc, OnceLock};

use rayon::prelude::*;
use rustc_hash::{FxHashMap, FxHashSet};

use crate::diagnostic::Diagnostic;
use crate::document::Layout;
use crate::resolve::SymbolId;
use crate::resolve::statement::Origin;
use crate::text::Span;
use crate::typeset::{Context, Names};
use crate::worksheet::{Anchor, Body, Part, Placed, Shown, Statement, Worksheet};

pub use apart::{
    PartHtml, Written, failed_checks, far, footer, parts, refused_lines, style_sources, styles,
    title,
};
pub use export::{Exported, tables};
pub use recalculated::{Outcome, Recalculated, recalculated};
pub use report::{Said, full_report, report, report_with, said};

pub use crate::typeset::text as printed;

/// How many parts are set at a time by one thread.
const PARTS_AT_A_TIME: usize = 64;

/// How many times as many are set before they are written: enough for all threads to have work.
const GROUPS_AT_A_TIME: usize = 16;

/// What every part of a problem's page is written from.
struct Page<'a> {
    worksheet: &'a Worksheet,
    placed: &'a Placed,
    context: Context<'a>,
    /// How far headings go down below the page's own title.
    shift: u8,
    /// How each datum is shown; made when it is first asked.
    givens: OnceLock<FxHashMap<SymbolId, Arc<Shown>>>,
    /// The names whose values sketches show, where not all do.
    showing: Option<FxHashSet<SymbolId>>,
}

impl<'w> Page<'w> {
    fn new(worksheet: &'w Worksheet, placed: &'w Placed, names: &'w Names, shift: u8) -> Self {
        Self {
            worksheet,
            placed,
            context: Context::new(&placed.problem.text, names),
            shift,
            givens: OnceLock::new(),
            showing: None,
        }
    }

    /// The statement that stands at a place.
    fn statement(&self, origin: Origin) -> Option<&Statement> {
        self.placed.problem.statement(origin)
    }

    /// How a datum is shown.
    fn given(&self, symbol: SymbolId) -> Option<&Shown> {
        let givens = self.givens.get_or_init(|| {
            let statements = self.placed.problem.statements();
            statements
                .filter_map(|statement| match &statement.body {
                    Body::Given { symbol, shown, .. } => Some((*symbol, Arc::clone(shown))),
                    _ => None,
                })
                .collect()
        });
        givens.get(&symbol).map(|shown| &**shown)
    }

    /// The anchor of a statement.
    fn anchor(&self, anchor: &Anchor) -> String {
        self.placed.anchor(anchor)
    }

    /// Whether a chain stands in one row where there is room.
    fn is_compact(&self) -> bool {
        self.worksheet.front.layout == Layout::Compact
    }

    /// The number of an equation.
    fn equation(&self, number: usize) -> usize {
        self.placed.equation(number)
    }

    /// The number of a statement on the page: it has a label, or a reason cites it.
    fn number(&self, statement: &Statement) -> Option<usize> {
        self.placed.number_of(statement)
    }

    /// The 1-based line of a place.
    fn line(&self, span: Span) -> usize {
        self.worksheet.line(self.placed, span)
    }

    /// The text at a place.
    fn slice(&self, span: Span) -> &str {
        span.of(&self.placed.problem.text)
    }

    /// The first that is said of what stands at a place.
    fn first_diagnostic_within(&self, place: Span) -> Option<&Diagnostic> {
        let all = &self.placed.problem.diagnostics;
        let first = all.partition_point(|diagnostic| diagnostic.span.start < place.start);
        all.get(first)
            .filter(|diagnostic| diagnostic.span.start < place.end.max(place.start + 1))
    }

    fn diagnostics<'d>(&'d self, indices: &'d [usize]) -> impl Iterator<Item = &'d Diagnostic> {
        indices
            .iter()
            .filter_map(|index| self.placed.problem.diagnostics.get(*index))
    }
}

/// The pages of all problems.
struct Pages<'n>(Vec<Page<'n>>);

impl<'n> Pages<'n> {
    /// `names` are those of the problems.
    fn new(worksheet: &'n Worksheet, names: &'n [Names], shift: u8) -> Self {
        let problems = worksheet.problems.iter().zip(names);
        Self(
            problems
                .map(|(placed, names)| Page::new(worksheet, placed, names, shift))
                .collect(),
        )
    }

    /// The page of a problem.
    fn of(&self, placed: &Placed) -> &Page<'n> {
        &self.0[placed.number]
    }
}

/// The names of each problem.
fn names(worksheet: &Worksheet) -> Vec<Names> {
    let problems = worksheet.problems.par_iter();
    problems
        .map(|placed| Names::new(&placed.problem.symbols))
        .collect()
}

/// The page of a worksheet as HTML.
pub fn html(worksheet: &Worksheet) -> String {
    let mut html = String::new();
    let Ok(()) = write_html(worksheet, |piece| {
        html.push_str(piece);
        Ok::<(), Infallible>(())
    });
    html
}

/// The same in pieces, each of which `write` gets when it is made: a long page need not stand in
/// memory as a whole.
///
/// # Errors
/// The first one of `write`, after which nothing more is made.
pub fn write_html<E>(
    worksheet: &Worksheet,
    mut write: impl FnMut(&str) -> Result<(), E>,
) -> Result<(), E> {
    let names = names(worksheet);
    let opening = head::Opening::of(worksheet);
    let pages = Pages::new(worksheet, &names, opening.shift);
    let mut start = String::new();
    html::head(&worksheet.front, &head::title(worksheet), &mut start);
    html::header(&head::top(worksheet, &opening), &mut start);
    let summaries = head::summaries(worksheet, failed_checks(worksheet));
    html::summaries(&summaries, &mut start);
    let mut sections = 0;
    let parts: Vec<(Option<usize>, (&Placed, &Part))> = (worksheet.parts().skip(opening.skip))
        .map(|(placed, part)| {
            let begins = sections == 0 || part::begins_section(part);
            sections += usize::from(begins);
            (begins.then(|| sections - 1), (placed, part))
        })
        .collect();
    write(&start)?;
    let mut section = String::new();
    for round in parts.chunks(PARTS_AT_A_TIME * GROUPS_AT_A_TIME) {
        let set = |(begins, (placed, part)): &(Option<usize>, (&Placed, &Part))| {
            let mut html = String::new();
            html::blocks(&part::blocks(pages.of(placed), part), &mut html);
            (*begins, html)
        };
        let parts = round.par_iter().with_min_len(PARTS_AT_A_TIME);
        let parts: Vec<(Option<usize>, String)> = parts.map(set).collect();
        let mut done = String::new();
        for (begins, html) in parts {
            if let Some(before) = begins.and_then(|number| number.checked_sub(1)) {
                html::section(before, sections, &section, &mut done);
                section.clear();
            }
            section.push_str(&html);
        }
        write(&done)?;
    }
    // A page without parts has a section all the same.
    let sections = sections.max(1);
    let mut end = String::new();
    html::section(sections - 1, sections, &section, &mut end);
    html::end(&mut end);
    write(&end)
}

/// The page of a worksheet as a LaTeX document.
pub fn latex(worksheet: &Worksheet) -> String {
    let names = names(worksheet);
    let opening = head::Opening::of(worksheet);
    let pages = Pages::new(worksheet, &names, opening.shift);
    let top = head::top(worksheet, &opening);
    let summaries = head::summaries(worksheet, failed_checks(worksheet));
    let mut out = String::new();
    latex::head(&worksheet.front, &top, &summaries, &mut out);
    for (placed, part) in worksheet.parts().skip(opening.skip) {
        latex::blocks(&part::blocks(pages.of(placed), part), &mut out);
    }
    latex::end(&mut out);
    out
}
