//! From results to the finished worksheet: what is printed of each statement.

use std::sync::Arc;

use rayon::prelude::*;
use rustc_hash::{FxHashMap, FxHashSet};

use super::blocks::Parsed;
use super::forms::Line;
use super::model::{Anchor, Body, Entries, Part, PartKind, Shown, Statement, TableColumn};
use super::pictures::{PictureFigure, Sources};
use super::show::{self, Manner};
use super::site::AskSite;
use crate::diagnostic::Diagnostic;
use crate::dimensions::{Checked, Type};
use crate::document::{FrontMatter, Hole, Inline, Piece, Units};
use crate::evaluate::{Formulas, Lack, Results, Value};
use crate::proofs::Proofs;
use crate::quantity::{Exponent, Family, Unit};
use crate::resolve::statement::{Ask, Origin, Required};
use crate::resolve::{BySymbol, ExprKind, Resolved, Shape, SymbolId, statement};
use crate::syntax::BlockKind;
use crate::tables;

/// What was printed so far, and what decides how the rest is printed.
#[derive(Default)]
pub(super) struct Tables {
    /// How each symbol was printed where it was defined.
    pub shown: BySymbol<Arc<Shown>>,
    /// The readings of columns of plain numbers, as they are written.
    pub readings: BySymbol<Arc<[Option<tables::Reading>]>>,
    pub wanted: FxHashMap<SymbolId, Required>,
    /// The author's units, by problem.
    hints: Vec<Vec<Unit>>,
    /// SI or US, by problem.
    families: Vec<Family>,
    /// The lines of `derive` that became figures.
    pub figures: FxHashSet<Origin>,
    /// The anchor of each statement.
    pub ids: Vec<Vec<Anchor>>,
}

/// What a worksheet is built from.
#[derive(Clone, Copy)]
pub(super) struct Compiled<'a> {
    pub text: &'a str,
    pub front: &'a FrontMatter,
    pub parsed: &'a Parsed<'a>,
    pub resolved: &'a Resolved,
    pub checked: &'a Checked,
    pub results: &'a Results<'a>,
    pub proofs: &'a Proofs,
    pub pictures: &'a Sources,
}

/// Everything the builder looks at, and what it has built so far.
pub(super) struct Builder<'a> {
    pub text: &'a str,
    pub front: &'a FrontMatter,
    pub parsed: &'a Parsed<'a>,
    pub resolved: &'a Resolved,
    pub checked: &'a Checked,
    pub results: &'a Results<'a>,
    pub formulas: Formulas<'a>,
    pub proofs: &'a Proofs,
    pub pictures: &'a Sources,
    /// Its own pictures that are figures, from the next one on.
    pub next_figures: &'a [PictureFigure],
    pub diagnostics: Vec<Diagnostic>,
    pub asks: Vec<AskSite>,
    pub tables: Tables,
    counters: FxHashMap<(usize, &'static str), usize>,
}

impl<'a> Builder<'a> {
    pub fn new(compiled: Compiled<'a>) -> Self {
        let figures = compiled.parsed.figures.iter();
        let own_figures = figures.filter(|figure| figure.anchor.is_shared).count();
        Self {
            text: compiled.text,
            front: compiled.front,
            parsed: compiled.parsed,
            resolved: compiled.resolved,
            checked: compiled.checked,
            results: compiled.results,
            formulas: Formulas::of(compiled.text, compiled.resolved, compiled.checked),
            proofs: compiled.proofs,
            pictures: compiled.pictures,
            next_figures: &compiled.parsed.figures[own_figures..],
            diagnostics: Vec::new(),
            asks: Vec::new(),
            tables: Tables::default(),
            counters: FxHashMap::default(),
        }
    }

    /// Builds all blocks, then the prose, which may quote any of them: the blocks that all problems
    /// share, and the parts of the page.
    pub fn build(&mut self) -> (Vec<Vec<Statement>>, Vec<Part>) {
        let parsed = self.parsed;
        self.collect_hints();
        let shared: Vec<Vec<Statement>> = (0..parsed.shared).map(|at| self.block(at)).collect();
        // What is found in shared lines is found where they stand.
        self.asks.clear();
        let own = parsed.shared..self.resolved.blocks.len();
        let mut own: Vec<Vec<Statement>> = own.map(|at| self.block(at)).collect();
        self.read_back(&mut own);
        self.judge_shared(&shared);
        self.put_in_numbers(&mut own);
        for (statements, descriptions) in own.iter_mut().zip(&parsed.descriptions) {
            self.describe(statements, descriptions);
        }
        let mut blocks = own.into_iter();
        let mut headings = 0;
        let parts = (parsed.pieces.iter())
            .map(|piece| self.part(piece, &mut blocks, &mut headings))
            .collect();
        (shared, parts)
    }

    fn part(
        &mut self,
        piece: &Piece,
        blocks: &mut impl Iterator<Item = Vec<Statement>>,
        headings: &mut usize,
    ) -> Part {
        let kind = match piece {
            Piece::Heading {
                level,
                text,
                content,
                ..
            } => {
                *headings += 1;
                PartKind::Heading {
                    level: *level,
                    at: *headings - 1,
                    text: text.clone(),
                    content: self.text(content),
                }
            }
            Piece::Prose { blocks, .. } => PartKind::Prose(self.prose(blocks)),
            Piece::Block { kind, .. } => PartKind::Block {
                kind: *kind,
                statements: blocks.next().unwrap_or_default(),
            },
        };
        let span = piece.span();
        Part { span, kind }
    }

    /// Puts the descriptions beside the statements of a block.
    fn describe(&mut self, statements: &mut [Statement], descriptions: &[Vec<Inline<Hole>>]) {
        for (statement, description) in statements.iter_mut().zip(descriptions) {
            statement.description = self.text(description);
            if let Body::Table(table) = &mut statement.body {
                table
                    .columns
                    .iter_mut()
                    .for_each(|it| self.describe_column(it));
            }
        }
    }

    /// Puts the words about a column below its heading.
    fn describe_column(&mut self, column: &mut TableColumn) {
        if let Entries::Readings {
            description,
            described: Some(place),
            ..
        } = &mut column.entries
            && let Some((_, words)) = self.parsed.within.iter().find(|(own, _)| own == place)
        {
            *description = self.text(words);
        }
    }

    /// The problem as names are scoped: the shared part is 0.
    pub fn own_problem(&self) -> usize {
        usize::from(self.parsed.shared > 0)
    }

    /// The author's units, so that automatic results look like the data.
    fn collect_hints(&mut self) {
        self.tables.hints = self.hints();
        self.tables.families = (0..self.tables.hints.len())
            .map(|problem| self.family(problem))
            .collect();
    }

    fn hints(&self) -> Vec<Vec<Unit>> {
        let mut hints: Vec<Vec<Unit>> = vec![Vec::new(); 2];
        for (block, parsed) in self.resolved.blocks.iter().zip(&self.parsed.blocks) {
            let known = &mut hints[parsed.problem];
            for unit in block.iter().filter_map(|statement| statement.facts().unit) {
                if !known.contains(unit) {
                    known.push(unit.clone());
                }
            }
        }
        let shared = hints.first().cloned().unwrap_or_default();
        for hints in hints.iter_mut().skip(1) {
            hints.splice(0..0, shared.iter().cloned());
        }
        hints
    }

    /// The front matter decides; otherwise US where most of the author's units are US.
    fn family(&self, problem: usize) -> Family {
        let count = |family| {
            let hints = self.tables.hints[problem].iter();
            hints.filter(|unit| unit.family() == Some(family)).count()
        };
        if self.front.units == Units::Us || count(Family::Us) > count(Family::Si) {
            Family::Us
        } else {
            Family::Si
        }
    }

    /// Whether coverage factors are told in words, as `k` is a quantity of a problem.
    pub fn factors_in_words(&self, problem: usize) -> bool {
        self.resolved.symbols.find(problem, "k").is_some()
    }

    pub fn result(&self, problem: usize, value: &Arc<Value>, found: &Type, ask: &Ask) -> Shown {
        let manner = Manner {
            figures: self.front.figures,
            family: self.tables.families[problem],
            hints: &self.tables.hints[problem],
            sources: &self.results.sources,
            in_words: self.factors_in_words(problem),
        };
        show::result(value, found, ask, manner)
    }

    /// The statements of a block, but for the numbers that are put in and the descriptions.
    fn block(&mut self, at: usize) -> Vec<Statement> {
        let resolved = self.resolved;
        let (kind, problem) = (self.parsed.blocks[at].kind, self.parsed.blocks[at].problem);
        let mut statements = Vec::with_capacity(resolved.blocks[at].len());
        for (index, statement) in resolved.blocks[at].iter().enumerate() {
            let id = Anchor {
                is_shared: at < self.parsed.shared,
                name: self.anchor(problem, kind, statement),
            };
            let label = statement.label.as_ref();
            let origin = Origin {
                block: at,
                statement: index,
            };
            statements.push(Statement {
                id,
                span: statement.span,
                label: label.map(|(label, number)| (label.to_string(), *number)),
                body: self.body(problem, origin, statement),
                makes_a_table: statement.makes_a_table,
                is_of_versions: statement.is_of_versions,
                needs: statement.needs,
                description: Vec::new(),
                marks: None,
                diagnostics: Vec::new(),
            });
        }
        if kind == BlockKind::Plot {
            self.judge_plot(&statements);
        }
        let ids = statements.iter().map(|statement| statement.id.clone());
        self.tables.ids.push(ids.collect());
        statements
    }

    /// `V_2` for the definition of `V_2`; a count where no name serves.
    fn anchor(&mut self, problem: usize, kind: BlockKind, line: &statement::Statement) -> String {
        if let Some(symbol) = line.defines {
            return self.resolved.symbols.symbol(symbol).key.to_string();
        }
        if let Some((label, _)) = line.label.as_ref().filter(|(label, _)| !label.is_empty()) {
            return format!("equation-{label}");
        }
        let word = kind.word();
        let counter = self.counters.entry((problem, word)).or_default();
        *counter += 1;
        format!("{word}-{counter}")
    }

    fn body(&mut self, problem: usize, origin: Origin, statement: &statement::Statement) -> Body {
        let results = self.results;
        let body = match &results.statements[origin.block][origin.statement] {
            Ok(evaluated) => {
                let line = Line {
                    problem,
                    origin,
                    defines: statement.defines,
                    found: evaluated.found,
                };
                self.evaluated(line, &evaluated.outcome)
            }
            Err(Lack::Needs(needs)) => Body::NotEvaluated {
                members: statement.facts().left_to_show(),
                needs: needs.clone(),
            },
            Err(Lack::Refused) => Body::Refused,
        };
        if let Some(kind) = &statement.kind {
            self.note_ask(kind, &body);
        }
        let reached = match &body {
            Body::Limit(limit) => Some(&limit.reached),
            body => body.shown(),
        };
        if let Some(shown) = reached {
            let name = statement
                .defines
                .map(|it| &*self.resolved.symbols.symbol(it).key);
            self.note_doubt(statement.span, name.unwrap_or("the result"), shown);
        }
        body
    }

    /// Puts the numbers in for the symbols, now that every symbol has been printed. No line needs
    /// another here, so the blocks are taken side by side.
    fn put_in_numbers(&self, own: &mut [Vec<Statement>]) {
        let own = own.par_iter_mut().enumerate();
        own.for_each(|(at, block)| self.put_in_numbers_of(self.parsed.shared + at, block));
    }

    /// Puts the numbers in for the symbols of one block.
    fn put_in_numbers_of(&self, at: usize, block: &mut [Statement]) {
        let problem = self.parsed.blocks[at].problem;
        for (index, statement) in block.iter_mut().enumerate() {
            let Body::Work(work) = &mut statement.body else {
                continue;
            };
            if work.members.is_empty() && work.convergence.is_some() {
                continue;
            }
            let types = self.checked.statements.get(at);
            let found = types.and_then(|types| types.get(index)?.as_ref());
            if let (Some(found), true, false) = (
                found,
                work.conditions.is_empty(),
                work.shown.shape == Shape::List,
            ) {
                let lead = match work.lead.kind {
                    ExprKind::Symbol(_) => None,
                    _ => Some(&work.lead),
                };
                let defined = self.resolved.blocks[at].get(index);
                let defined = defined.and_then(|statement| statement.defines);
                let plain = Exponent::from_integer(0);
                let turns = defined.map_or(plain, |symbol| self.checked.turning_power(symbol));
                let formulas = (lead, work.members.as_slice());
                let put_in = self.put_in(problem, formulas, (found, turns), &work.shown);
                work.put_in = put_in.map(Box::new);
            }
        }
    }
}
