//! The order of the passes.

use std::sync::Arc;

use rustc_hash::{FxHashMap, FxHashSet};

use super::build::{Builder, Compiled};
use super::memory::Memory;
use super::model::{Problem, Worksheet};
use super::numbers::{self, Pieces};
use super::others::Shelf;
use super::plan::{self, Made};
use super::stack::on_deep_stack;
use super::{blocks, pictures, place, question, seal};
use crate::dimensions::Checked;
use crate::proofs::Proofs;
use crate::questions::Asker;
use crate::resolve::{Resolved, SymbolId};
use crate::text::{Beside, Reader, Source};
use crate::{dimensions, document, evaluate, precise, proofs, resolve, statistics};

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
    compile_beside(source, &Beside::nothing())
}

/// The same for a worksheet that stands in a folder, of which it may read files.
pub fn compile_beside(source: Source, beside: &Beside) -> Worksheet {
    compile_with(source, beside, &mut Memory::default())
}

/// The same, with a memory of what was compiled before.
pub(super) fn compile_with(source: Source, beside: &Beside, memory: &mut Memory) -> Worksheet {
    on_deep_stack(|| compile_here(source, beside, memory))
}

fn compile_here(source: Source, beside: &Beside, memory: &mut Memory) -> Worksheet {
    let source = Arc::new(source);
    let (front, body, mut diagnostics) = document::front(source.text());
    let front = Arc::new(front);
    let text = source.text().get(body..).unwrap_or("");
    let places = document::chapters(text);
    let starts: Vec<usize> = places.iter().map(|place| body + place.start).collect();
    let texts: Vec<&str> = places.into_iter().map(|place| &text[place]).collect();
    let chapters = memory.chapters(&texts);
    for (chapter, start) in chapters.iter().zip(&starts) {
        let found = chapter.diagnostics.iter().cloned();
        diagnostics.extend(found.map(|found| found.moved(&|span| span.moved(*start as u32))));
    }
    let sections = plan::sections(&chapters, &front);
    let plans = plan::plans(&chapters, &sections, &front);
    let made: Vec<&Made> = plans.iter().map(|plan| &plan.made).collect();
    let problems = memory.problems(&made, beside, problem);
    let pieces = Pieces {
        front,
        starts,
        sections: &sections,
        plans: &plans,
        problems,
        diagnostics,
    };
    let mut worksheet = numbers::together(source, pieces);
    // Other files may have been looked at to see whether something before still holds.
    let reader = Reader::new(beside);
    let read = worksheet
        .problems
        .iter()
        .flat_map(|placed| &placed.problem.files);
    read.for_each(|file| reader.note(file));
    question::versions::refuse_above_problems(&mut worksheet);
    seal::look_up(&mut worksheet, &reader);
    worksheet.files = reader.readings();
    worksheet
}

/// The passes, on what one problem is made from, within the bound on more precision.
fn problem(made: &Made, asker: &Asker<'_>, reader: Reader<'_>, shelf: &Shelf) -> Problem {
    problem_with(made, asker, reader, shelf, |_| ()).0
}

/// What is kept of the passes of a problem, for those who take from it.
pub(super) struct Passed {
    pub resolved: Resolved,
    pub checked: Checked,
    pub proofs: Proofs,
    /// The problem of each of its blocks.
    pub problems: Vec<usize>,
    pub found: evaluate::Kept,
}

/// The same for a problem that others take from, with what is kept for them.
pub(super) fn problem_kept(
    made: &Made,
    asker: &Asker<'_>,
    reader: Reader<'_>,
    shelf: &Shelf,
) -> (Problem, Passed) {
    problem_with(made, asker, reader, shelf, |passed| passed)
}

fn problem_with<K: Send>(
    made: &Made,
    asker: &Asker<'_>,
    reader: Reader<'_>,
    shelf: &Shelf,
    keep: impl Fn(Passed) -> K + Send,
) -> (Problem, K) {
    let whole = made.text();
    precise::within(precise::steps_for(asker.share(1)), || {
        passes(made, whole, asker, reader, shelf, keep)
    })
}

fn passes<K>(
    made: &Made,
    whole: Arc<str>,
    asker: &Asker<'_>,
    reader: Reader<'_>,
    shelf: &Shelf,
    keep: impl Fn(Passed) -> K,
) -> (Problem, K) {
    shelf.read(&reader);
    let text = &*whole;
    let (mut parsed, read) = blocks::parse(text, made);
    let (mut resolved, named) = resolve::resolve(
        text,
        parsed.problem,
        &parsed.blocks(),
        &parsed.asks(),
        &parsed.mentions,
        resolve::Access {
            asker,
            reader: &reader,
            others: shelf,
        },
    );
    parsed.forget_lines();
    let elsewhere = |at: usize, symbol| shelf.type_of(at, symbol);
    let (checked, measured) = dimensions::check(text, &resolved, &elsewhere);
    let problems = parsed.problems_of_blocks();
    let (proofs, proved) = proofs::prove(text, &resolved, &checked, &problems, asker);
    let (results, evaluated) = evaluate::evaluate(evaluate::Ground {
        text,
        resolved: &resolved,
        checked: &checked,
        problems: &problems,
        refuted: &proofs.refuted,
        provisos: &proofs.provisos,
        others: shelf,
        trials: statistics::trials::work_for(asker.share(1)),
    });
    let (sources, pictured) = pictures::read(text, &parsed.pictures, &reader);
    let mut builder = Builder::new(Compiled {
        text,
        front: &made.front,
        parsed: &parsed,
        resolved: &resolved,
        checked: &checked,
        results: &results,
        proofs: &proofs,
        pictures: &sources,
    });
    let (shared, parts) = builder.build();
    let (built, asks) = (builder.diagnostics, builder.asks);
    let found = [
        made.diagnostics(),
        read,
        named,
        measured,
        proved,
        evaluated,
        pictured,
        built,
    ];
    let lines = parsed.lines();
    let asks_in_prose = parsed.asks_in_prose(&lines);
    let has_versions = (resolved.blocks.iter().flatten()).any(|line| line.is_of_versions);
    let asked: Vec<SymbolId> = (resolved.blocks.iter().flatten())
        .filter_map(|line| Some(line.facts().required?.0))
        .collect();
    let found_from = results.found_from(&asked);
    let symbols: Vec<SymbolId> = (0..resolved.symbols.len() as u32).map(SymbolId).collect();
    let all_found_from = match has_versions {
        true => results.found_from(&symbols),
        false => FxHashMap::default(),
    };
    let branches = if has_versions {
        results.branches(symbols.into_iter())
    } else {
        Vec::new()
    };
    let kept = results.keep();
    let occurrences = std::mem::take(&mut resolved.occurrences);
    let mut problem = Problem {
        title: made.title(),
        symbols: resolved.symbols.clone(),
        parts,
        shared,
        diagnostics: found.into_iter().flatten().collect(),
        cited: FxHashSet::default(),
        asks,
        occurrences,
        asks_in_prose,
        lines,
        files: reader.readings(),
        taken_from: shelf.made_from(),
        text: Arc::clone(&whole),
        question: None,
        versions: None,
        sources: kept.sources(),
    };
    let brackets = question::give_marks(&mut problem, &mut parsed.brackets);
    let ground = question::Ground {
        text,
        front: &made.front,
        resolved: &resolved,
        checked: &checked,
        found_from: &found_from,
    };
    let (varied, refused) = question::versions::find(&problem, &ground, branches);
    problem.versions = varied;
    problem.diagnostics.extend(refused);
    let (asked, judged) = question::find(&problem, &brackets, &ground);
    problem.diagnostics.extend(judged);
    if let Some(asked) = &asked {
        let told = question::prose_numbers::judge(&problem, asked, &ground, &all_found_from);
        problem.diagnostics.extend(told);
    }
    problem.question = asked;
    place::place(&mut problem);
    problem.cited = problem.find_cited();
    let passed = Passed {
        resolved,
        checked,
        proofs,
        problems,
        found: kept,
    };
    (problem, keep(passed))
}
