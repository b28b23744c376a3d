//! A finished worksheet as a page, and as a machine-readable report.
//!
//! In goes a compiled worksheet. `tree` is what its page says, in no format's words; `html` and
//! `latex` write that down, each as one file. Nothing is evaluated here.

mod apart;
mod block;
mod check;
mod derived;
mod head;
mod html;
mod latex;
mod line;
mod notice;
mod part;
mod prose;
mod report;
mod sense;
mod table;
mod tree;

#[cfg(test)]
mod tests;

use std::sync::{Arc, OnceLock};

use rayon::prelude::*;
use rustc_hash::FxHashMap;

use crate::diagnostic::Diagnostic;
use crate::resolve::SymbolId;
use crate::resolve::statement::Origin;
use crate::text::Span;
use crate::typeset::{Context, Names};
use crate::worksheet::{Body, Part, PartKind, Shown, Statement, Worksheet};

pub use apart::{Frame, PartHtml, Parts, footer, refused_lines, style_sources, styles, title};
pub use report::report;

/// How many parts are set at a time by one thread.
const PARTS_AT_A_TIME: usize = 64;

/// What every part of a page is written from.
struct Page<'a> {
    worksheet: &'a Worksheet,
    context: Context<'a>,
    /// How far headings go down below the page's own title.
    shift: u8,
    /// For each block of statements the part that it is, in their order; made when it is first
    /// asked.
    blocks: OnceLock<Vec<usize>>,
    /// How each datum is shown; made when it is first asked.
    givens: OnceLock<FxHashMap<SymbolId, Arc<Shown>>>,
}

impl<'w> Page<'w> {
    fn new(worksheet: &'w Worksheet, names: &'w Names, shift: u8) -> Self {
        Self {
            worksheet,
            context: Context::new(&worksheet.source, names),
            shift,
            blocks: OnceLock::new(),
            givens: OnceLock::new(),
        }
    }

    /// The statement that stands at a place.
    fn statement(&self, origin: Origin) -> Option<&Statement> {
        let blocks = self.blocks.get_or_init(|| {
            let parts = self.worksheet.parts.iter().enumerate();
            let is_block = |part: &Part| matches!(part.kind, PartKind::Block { .. });
            parts
                .filter(|(_, part)| is_block(part))
                .map(|(at, _)| at)
                .collect()
        });
        let part = self.worksheet.parts.get(*blocks.get(origin.block)?)?;
        match &part.kind {
            PartKind::Block { statements, .. } => statements.get(origin.statement),
            _ => None,
        }
    }

    /// How a datum is shown.
    fn given(&self, symbol: SymbolId) -> Option<&Shown> {
        let givens = self.givens.get_or_init(|| {
            self.worksheet
                .statements()
                .filter_map(|statement| match &statement.body {
                    Body::Given { symbol, shown, .. } => Some((*symbol, Arc::clone(shown))),
                    _ => None,
                })
                .collect()
        });
        givens.get(&symbol).map(|shown| &**shown)
    }

    /// The first of what is wrong at a place.
    fn first_diagnostic_within(&self, place: Span) -> Option<&Diagnostic> {
        let all = &self.worksheet.diagnostics;
        let first = all.partition_point(|diagnostic| diagnostic.span.start < place.start);
        all.get(first)
            .filter(|diagnostic| diagnostic.span.start < place.end.max(place.start + 1))
    }

    fn diagnostics<'d>(&'d self, indices: &'d [usize]) -> impl Iterator<Item = &'d Diagnostic> {
        indices
            .iter()
            .filter_map(|index| self.worksheet.diagnostics.get(*index))
    }
}

/// The page of a worksheet as HTML.
pub fn html(worksheet: &Worksheet) -> String {
    pieces(worksheet).concat()
}

/// The page in pieces, to be written one after another: a long page need not stand in memory
/// twice.
pub fn pieces(worksheet: &Worksheet) -> Vec<String> {
    let names = Names::new(&worksheet.symbols);
    let opening = head::Opening::of(worksheet);
    let page = Page::new(worksheet, &names, opening.shift);
    let failed = worksheet.checks().filter(|holds| !holds).count();
    let mut start = String::new();
    html::head(&worksheet.front, &head::title(worksheet), &mut start);
    let top = head::top(worksheet, &opening);
    html::top(&top, &head::summaries(worksheet, failed), &mut start);
    start.push_str(html::FIRST_SECTION);
    let mut pieces = vec![start];
    let parts = worksheet.parts.get(opening.skip..).unwrap_or(&[]);
    let written = parts
        .par_chunks(PARTS_AT_A_TIME)
        .enumerate()
        .map(|(group, parts)| {
            let mut html = String::new();
            for (index, part) in parts.iter().enumerate() {
                let is_first = group == 0 && index == 0;
                if part::begins_section(part) && !is_first {
                    html.push_str(html::NEXT_SECTION);
                }
                html::blocks(&part::blocks(&page, part), &mut html);
            }
            html
        });
    pieces.par_extend(written);
    let mut end = String::new();
    html::end(&mut end);
    pieces.push(end);
    pieces
}

/// The page of a worksheet as a LaTeX document.
pub fn latex(worksheet: &Worksheet) -> String {
    let names = Names::new(&worksheet.symbols);
    let opening = head::Opening::of(worksheet);
    let page = Page::new(worksheet, &names, opening.shift);
    let failed = worksheet.checks().filter(|holds| !holds).count();
    let top = head::top(worksheet, &opening);
    let summaries = head::summaries(worksheet, failed);
    let mut out = String::new();
    latex::head(&worksheet.front, &top, &summaries, &mut out);
    for part in worksheet.parts.iter().skip(opening.skip) {
        latex::blocks(&part::blocks(&page, part), &mut out);
    }
    latex::end(&mut out);
    out
}
