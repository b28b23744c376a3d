//! The order of the passes.

use std::sync::Arc;

use super::blocks;
use super::build::{Builder, Compiled};
use super::model::{Problem, Worksheet};
use super::place;
use super::stack::on_deep_stack;
use crate::text::Source;
use crate::{dimensions, document, evaluate, proofs, resolve};

/// Compiles a worksheet: parse, resolve, check, evaluate.
///
/// Never fails: what is wrong is in the diagnostics, and everything else is evaluated.
///
/// ```
/// use setsquare::{text::Source, worksheet};
///
/// let text = "```given\nF = 12 kN\nA = 300 mm^2\n```\n\n```work\nsigma = F/A = ? MPa\n```\n";
/// let worksheet = worksheet::compile(Source::new("rod.md", text));
/// assert!(worksheet.diagnostics.is_empty());
/// ```
pub fn compile(source: Source) -> Worksheet {
    on_deep_stack(|| compile_here(source))
}

fn compile_here(source: Source) -> Worksheet {
    let source = Arc::new(source);
    let text = source.text();
    let (mut document, markdown) = document::parse(&source);
    let (mut parsed, read) = blocks::parse(&source, &document);
    let (resolved, named) = resolve::resolve(text, &parsed.blocks(), &parsed.asks());
    parsed.forget_lines();
    let (checked, measured) = dimensions::check(text, &resolved);
    let problems = parsed.problems_of_blocks();
    let (proofs, proved) = proofs::prove(text, &resolved, &checked, &problems);
    let (results, evaluated) = evaluate::evaluate(evaluate::Ground {
        text,
        resolved: &resolved,
        checked: &checked,
        problems: &problems,
        refuted: &proofs.refuted,
    });
    let pieces = std::mem::take(&mut document.pieces);
    let descriptions = std::mem::take(&mut parsed.descriptions);
    let mut builder = Builder::new(Compiled {
        source: &source,
        front: &document.front,
        parsed: &parsed,
        resolved: &resolved,
        checked: &checked,
        results: &results,
        proofs: &proofs,
    });
    let parts = builder.build(pieces, descriptions);
    let (built, asks) = (builder.diagnostics, builder.asks);
    let found = [markdown, read, named, measured, proved, evaluated, built];
    let titles = std::mem::take(&mut parsed.problems);
    let mut worksheet = Worksheet {
        source: Arc::clone(&source),
        front: document.front,
        symbols: resolved.symbols,
        problems: titles.into_iter().map(|title| Problem { title }).collect(),
        parts,
        diagnostics: found.into_iter().flatten().collect(),
        asks,
    };
    place::place(&mut worksheet);
    worksheet
}
