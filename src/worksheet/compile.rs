//! The order of the passes.

use std::sync::Arc;

use super::blocks::{self, Parsed};
use super::build::{Builder, Compiled, Noted, Tables};
use super::model::{Part, Problem, Worksheet};
use super::place;
use crate::diagnostic::Diagnostic;
use crate::dimensions::{self, Checked};
use crate::document::{self, Document, FrontMatter};
use crate::evaluate::{self, Results};
use crate::proofs::{self, Memory, Proofs};
use crate::resolve::{self, Resolved};
use crate::text::Source;

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
    let (mut document, found) = document::parse(&source);
    let parsed = blocks::parse(&source, &document);
    let mut passes = Passes::run(
        &source,
        parsed,
        found,
        AfterNames::ForgetLines,
        &mut Memory::default(),
    );
    let pieces = std::mem::take(&mut document.pieces);
    let descriptions = std::mem::take(&mut passes.parsed.descriptions);
    let compiled = passes.compiled(&source, &document);
    let mut builder = Builder::new(compiled, Tables::default());
    let built = builder.build(pieces, descriptions);
    let mut worksheet = assemble(&source, document.front, &passes, built);
    worksheet.symbols = passes.resolved.symbols;
    worksheet
}

/// What is kept of the lines of blocks once their names are looked up.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum AfterNames {
    /// Nothing: no later pass looks at them.
    ForgetLines,
    /// All: some of them may be looked up again.
    KeepLines,
}

/// What the passes have made of a worksheet.
#[derive(Debug)]
pub(super) struct Passes {
    pub parsed: Parsed,
    pub resolved: Resolved,
    pub checked: Checked,
    pub proofs: Proofs,
    pub results: Results,
    pub found: Found,
}

/// The diagnostics of each pass; those that belong to a block or an inline ask by its index, the
/// blocks first.
#[derive(Debug, Default)]
pub(super) struct Found {
    /// Of Markdown and of lines as they are read: each stands where it was found.
    pub read: Vec<Diagnostic>,
    pub resolve: Vec<Vec<Diagnostic>>,
    pub dimensions: Vec<Vec<Diagnostic>>,
    pub proofs: Vec<Diagnostic>,
    pub evaluate: Vec<Vec<Diagnostic>>,
}

impl Found {
    /// All of them, in the order of the passes.
    pub fn all(&self) -> impl Iterator<Item = &Diagnostic> {
        (self.read.iter())
            .chain(self.resolve.iter().flatten())
            .chain(self.dimensions.iter().flatten())
            .chain(&self.proofs)
            .chain(self.evaluate.iter().flatten())
    }
}

impl Passes {
    /// Runs all passes on what was read.
    pub fn run(
        source: &Source,
        (mut parsed, read): (Parsed, Vec<Diagnostic>),
        mut markdown: Vec<Diagnostic>,
        after: AfterNames,
        memory: &mut Memory,
    ) -> Self {
        let text = source.text();
        markdown.extend(read);
        let (resolved, named) = resolve::resolve(text, &parsed.blocks(), &parsed.asks());
        if after == AfterNames::ForgetLines {
            parsed.forget_lines();
        }
        let (checked, measured) = dimensions::check(text, &resolved);
        let problems = parsed.problems_of_blocks();
        let (proofs, proved) = proofs::prove_again(text, &resolved, &checked, &problems, memory);
        let (results, evaluated) = evaluate::evaluate(evaluate::Ground {
            text,
            resolved: &resolved,
            checked: &checked,
            problems: &problems,
            refuted: &proofs.refuted,
        });
        let found = Found {
            read: markdown,
            resolve: named,
            dimensions: measured,
            proofs: proved,
            evaluate: evaluated,
        };
        Self {
            parsed,
            resolved,
            checked,
            proofs,
            results,
            found,
        }
    }

    /// What the builder looks at.
    pub fn compiled<'a>(&'a self, source: &'a Source, document: &'a Document) -> Compiled<'a> {
        Compiled {
            source,
            front: &document.front,
            parsed: &self.parsed,
            resolved: &self.resolved,
            checked: &self.checked,
            results: &self.results,
            proofs: &self.proofs,
        }
    }
}

/// The finished worksheet, all but its symbols.
pub(super) fn assemble(
    source: &Arc<Source>,
    front: FrontMatter,
    passes: &Passes,
    built: Vec<(Part, Noted)>,
) -> Worksheet {
    let mut diagnostics: Vec<Diagnostic> = passes.found.all().cloned().collect();
    let mut parts = Vec::with_capacity(built.len());
    let mut asks = Vec::new();
    for (part, noted) in built {
        parts.push(part);
        diagnostics.extend(noted.diagnostics);
        asks.extend(noted.asks);
    }
    let problems = passes.parsed.problems.iter().cloned();
    let mut worksheet = Worksheet {
        source: Arc::clone(source),
        front,
        symbols: resolve::Symbols::default(),
        problems: problems.map(|title| Problem { title }).collect(),
        parts,
        diagnostics,
        asks,
    };
    place::place(&mut worksheet);
    worksheet
}
