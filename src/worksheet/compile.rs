//! The order of the passes.

use std::sync::Arc;

use super::blocks::{self, Parsed};
use super::build::Builder;
use super::model::Worksheet;
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
    let source = Arc::new(source);
    let text = source.text();
    let (document, mut diagnostics) = document::parse(&source);
    let mut parsed: Parsed = blocks::parse(&source, &document, &mut diagnostics);
    let (resolved, found) = resolve::resolve(text, &parsed.blocks(), &parsed.asks());
    diagnostics.extend(found.into_iter().flatten());
    parsed.forget_lines();
    let (checked, found) = dimensions::check(text, &resolved);
    diagnostics.extend(found.into_iter().flatten());
    let problems: Vec<usize> = parsed.blocks.iter().map(|block| block.problem).collect();
    let (proofs, found) = proofs::prove(text, &resolved, &checked, &problems);
    diagnostics.extend(found);
    let (results, found) = evaluate::evaluate(evaluate::Ground {
        text,
        resolved: &resolved,
        checked: &checked,
        problems: &problems,
        refuted: &proofs.refuted,
    });
    diagnostics.extend(found.into_iter().flatten());
    let built = Builder::new(
        &source,
        parsed,
        &resolved,
        &checked,
        &results,
        &proofs,
        diagnostics,
    )
    .build(document)
    .finish(source.clone());
    Worksheet {
        symbols: resolved.symbols,
        ..built
    }
}
