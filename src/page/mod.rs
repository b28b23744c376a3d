//! A finished worksheet as one HTML page, and as a machine-readable report.
//!
//! In goes a compiled worksheet; out comes a page that needs no network, no script and no other
//! file: style and fonts are part of it, and its security policy allows nothing else. Nothing is
//! evaluated here. The page is well-formed XML apart from its document type.

mod block;
mod check;
mod head;
mod line;
mod notice;
mod part;
mod prose;
mod report;
mod style;
mod table;

#[cfg(test)]
mod fixture;
#[cfg(test)]
mod tests;

use std::fmt;

use rayon::prelude::*;

use crate::diagnostic::Diagnostic;
use crate::typeset::{Context, Names};
use crate::worksheet::Worksheet;

pub use report::report;

/// How many parts are set at a time by one thread.
const PARTS_AT_A_TIME: usize = 64;

/// What every part of a page is written from.
struct Page<'a> {
    worksheet: &'a Worksheet,
    context: Context<'a>,
    /// How far headings go down below the page's own title.
    shift: u8,
}

impl Page<'_> {
    fn diagnostics<'d>(&'d self, indices: &'d [usize]) -> impl Iterator<Item = &'d Diagnostic> {
        indices
            .iter()
            .filter_map(|index| self.worksheet.diagnostics.get(*index))
    }
}

/// Writes the page of a worksheet.
///
/// # Errors
/// Those of `out`.
pub fn write(worksheet: &Worksheet, out: &mut dyn fmt::Write) -> fmt::Result {
    pieces(worksheet)
        .iter()
        .try_for_each(|piece| out.write_str(piece))
}

/// The page of a worksheet.
pub fn html(worksheet: &Worksheet) -> String {
    pieces(worksheet).concat()
}

/// The page in pieces, to be written one after another: a long page need not stand in memory
/// twice.
pub fn pieces(worksheet: &Worksheet) -> Vec<String> {
    let names = Names::new(&worksheet.symbols);
    let opening = head::Opening::of(worksheet);
    let page = Page {
        worksheet,
        context: Context::new(&worksheet.source, &names),
        shift: opening.shift,
    };
    let mut start = String::new();
    head::write(worksheet, &opening, &mut start);
    let mut pieces = vec![start];
    let parts = worksheet.parts.get(opening.skip..).unwrap_or(&[]);
    let written = parts
        .par_chunks(PARTS_AT_A_TIME)
        .enumerate()
        .map(|(group, parts)| {
            let mut html = String::new();
            for (index, part) in parts.iter().enumerate() {
                let is_first = group == 0 && index == 0;
                part::write(&page, part, is_first, &mut html);
            }
            html
        });
    pieces.par_extend(written);
    pieces.push(head::END.to_owned());
    pieces
}
