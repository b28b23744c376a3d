//! What is remembered between edits, and how it is made from nothing.

use std::sync::Arc;

use super::layout::Layout;
use super::readers::Readers;
use crate::diagnostic::Diagnostic;
use crate::document::{self, Document, Piece, StretchKind};
use crate::proofs::Memory;
use crate::resolve::Kind;
use crate::text::Source;
use crate::worksheet::blocks;
use crate::worksheet::build::{Builder, Noted, Tables};
use crate::worksheet::compile::{AfterNames, Passes, assemble};
use crate::worksheet::model::{Part, Worksheet};

/// What is remembered of a worksheet.
pub(super) struct State {
    /// Nothing where the text cannot be cut; it is then read as a whole each time.
    pub layout: Option<Layout>,
    pub document: Document,
    pub passes: Passes,
    pub tables: Tables,
    pub readers: Readers,
    /// What was found while each part was built.
    pub noted: Vec<Vec<Diagnostic>>,
    /// How many asks each part has.
    pub asks: Vec<usize>,
    /// The first part of each stretch.
    pub first_part: Vec<usize>,
    /// The stretch of each block that is evaluated.
    pub stretch_of_block: Vec<usize>,
    /// Whether each stretch of prose can be read without the others.
    pub reads_alone: bool,
    /// Indices of outcomes of asks in the text that are not used any more.
    pub free: Vec<usize>,
    /// By problem whether some line of it was reasoned about in symbols.
    pub reasoned: Vec<bool>,
    /// What was found about the steps of derivations.
    pub memory: Memory,
    /// The finished worksheet; its symbols are those of the passes, which it has between edits.
    pub worksheet: Worksheet,
}

impl State {
    /// Reads and compiles a text.
    ///
    /// `memory` is what was found about the steps of an earlier text.
    pub fn fresh(name: &str, text: &str, memory: Memory) -> Self {
        let layout = Layout::new(text);
        if let Some(layout) = layout {
            let source = Arc::new(layout.source(name));
            let (document, found) = document::parse(&source);
            if let Some(first_part) = first_parts(&layout, &document) {
                return Self::of(source, document, found, Some(layout), first_part, memory);
            }
        }
        let source = Arc::new(Source::new(name, text));
        let (document, found) = document::parse(&source);
        Self::of(source, document, found, None, Vec::new(), memory)
    }

    fn of(
        source: Arc<Source>,
        document: Document,
        found: Vec<Diagnostic>,
        layout: Option<Layout>,
        first_part: Vec<usize>,
        mut memory: Memory,
    ) -> Self {
        let read = blocks::parse(&source, &document);
        let passes = Passes::run(&source, read, found, AfterNames::KeepLines, &mut memory);
        let mut state = Self {
            layout,
            worksheet: empty(&source, &document, &passes),
            document,
            passes,
            tables: Tables::default(),
            readers: Readers::default(),
            noted: Vec::new(),
            asks: Vec::new(),
            stretch_of_block: Vec::new(),
            reads_alone: false,
            first_part,
            free: Vec::new(),
            reasoned: Vec::new(),
            memory,
        };
        state.look_at_stretches();
        state.build(&source);
        state
    }

    fn look_at_stretches(&mut self) {
        let Some(layout) = &self.layout else {
            return;
        };
        let is_prose = |at: &usize| *layout.kind(*at) == StretchKind::Prose;
        self.reads_alone = (0..layout.len())
            .filter(is_prose)
            .all(|at| !document::serves_others(layout.text(at)));
        let evaluated = |at: &usize| self.passes.parsed.block_of[self.first_part[*at]].is_some();
        self.stretch_of_block = (0..layout.len())
            .filter(|at| !is_prose(at) && evaluated(at))
            .collect();
    }

    /// The text as it stands in the file.
    pub fn text(&self) -> &str {
        match &self.layout {
            Some(layout) => layout.file(),
            None => self.worksheet.source.text(),
        }
    }

    /// Runs all passes again on what was read, and builds all parts.
    pub fn compile(&mut self, source: &Arc<Source>) {
        let mut parsed = std::mem::take(&mut self.passes.parsed);
        parsed.number_asks();
        // What was said of Markdown and of lines as they were read is among these already.
        let found = std::mem::take(&mut self.passes.found.read);
        let read = (parsed, Vec::new());
        let memory = &mut self.memory;
        self.passes = Passes::run(source, read, found, AfterNames::KeepLines, memory);
        self.build(source);
    }

    /// Builds the whole worksheet from what the passes found.
    fn build(&mut self, source: &Arc<Source>) {
        let compiled = self.passes.compiled(source, &self.document);
        let mut builder = Builder::new(compiled, Tables::default());
        let pieces = self.document.pieces.clone();
        let built = builder.build(pieces, self.passes.parsed.descriptions.clone());
        self.tables = builder.tables;
        self.noted = (built.iter())
            .map(|(_, noted)| noted.diagnostics.clone())
            .collect();
        self.asks = built.iter().map(|(_, noted)| noted.asks.len()).collect();
        self.worksheet = self.assemble(source, built);
        self.free.clear();
        let problems = self.passes.parsed.problems_of_blocks();
        self.readers = Readers::of(&self.passes.resolved, &problems);
        self.reasoned = self.reasoned_problems(&problems);
        self.worksheet.symbols = std::mem::take(&mut self.passes.resolved.symbols);
    }

    fn assemble(&self, source: &Arc<Source>, built: Vec<(Part, Noted)>) -> Worksheet {
        assemble(source, self.document.front.clone(), &self.passes, built)
    }

    /// By problem whether a step was proved in it, or a derivative or solution found.
    fn reasoned_problems(&self, problems: &[usize]) -> Vec<bool> {
        let mut reasoned = vec![false; self.passes.parsed.problems.len()];
        for (statements, problem) in self.passes.resolved.blocks.iter().zip(problems) {
            let kinds = statements.iter().filter_map(|line| line.kind.as_ref());
            reasoned[*problem] |= kinds.into_iter().any(is_reasoned);
        }
        reasoned
    }
}

fn is_reasoned(kind: &Kind) -> bool {
    matches!(
        kind,
        Kind::Therefore { .. } | Kind::Trend { .. } | Kind::Solved(_) | Kind::Component { .. }
    )
}

/// The first part of each stretch, where the stretches are the pieces that the parser found: each
/// block by itself, and prose between them.
fn first_parts(layout: &Layout, document: &Document) -> Option<Vec<usize>> {
    let mut first = Vec::with_capacity(layout.len());
    let mut at = 0;
    for stretch in 0..layout.len() {
        first.push(at);
        let (span, room) = (layout.span(stretch), layout.room(stretch));
        match layout.kind(stretch) {
            StretchKind::Block(word) => match document.pieces.get(at) {
                Some(Piece::Block {
                    kind_word,
                    span: found,
                    ..
                }) if kind_word == word && found.start == span.start => at += 1,
                _ => return None,
            },
            StretchKind::Prose => {
                let is_here = |piece: &Piece| {
                    let start = place(piece);
                    room.start <= start && start < room.end && !matches!(piece, Piece::Block { .. })
                };
                at += (document.pieces.iter().skip(at))
                    .take_while(|piece| is_here(piece))
                    .count();
            }
        }
    }
    (at == document.pieces.len()).then_some(first)
}

/// Where a piece begins.
pub(super) fn place(piece: &Piece) -> u32 {
    match piece {
        Piece::Heading { span, .. } | Piece::Prose { span, .. } | Piece::Block { span, .. } => {
            span.start
        }
    }
}

/// A worksheet without parts, to be built.
fn empty(source: &Arc<Source>, document: &Document, passes: &Passes) -> Worksheet {
    assemble(source, document.front.clone(), passes, Vec::new())
}
