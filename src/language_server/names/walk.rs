//! From piece to piece of a worksheet: its blocks, its prose, its headings.

use rustc_hash::FxHashSet;

use super::super::documents::Document;
use super::blocks::Blocks;
use super::{Occurrence, Role, Target};
use crate::document::{self, Hole, Piece};
use crate::functions::Function;
use crate::resolve::{FunctionId, SymbolId};
use crate::syntax::{self, BlockKind, Name};
use crate::text::{Source, Span};
use crate::worksheet::Placed;

/// How well a place serves as the definition of its name; the first of the best is it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Rank {
    /// It only uses the name.
    Use,
    /// It asks for it, in `required`.
    Asked,
    /// It stands on the left of an equation.
    Left,
    /// It gives it a value.
    Value,
}

/// All names of a document, in the order of the text.
pub(super) fn walk(document: &Document, blocks: &mut Blocks) -> Vec<Occurrence> {
    let source = Source::new("", document.compiled_text());
    let worksheet = document.worksheet();
    let mut walker = Walker {
        source: &source,
        placed: &worksheet.problems[0],
        base: 0,
        symbolic: false,
        parameters: Vec::new(),
        found: Vec::new(),
    };
    let (pieces, _) = document::parse(&source);
    for (piece, (placed, _)) in pieces.pieces.iter().zip(worksheet.parts()) {
        walker.placed = placed;
        walker.piece(piece, blocks);
    }
    blocks.turn();
    walker.finish()
}

/// The state of the walk. Places are those of the file until the end.
pub(super) struct Walker<'a> {
    pub source: &'a Source,
    /// What the places of the current lines count from.
    base: u32,
    /// The problem of the current piece.
    pub placed: &'a Placed,
    /// In `derive`: any name is a quantity.
    pub symbolic: bool,
    /// The parameters of the function whose body is being read, and its name's place.
    pub parameters: Vec<(Box<str>, Span)>,
    pub found: Vec<(Occurrence, Rank)>,
}

impl<'a> Walker<'a> {
    fn piece(&mut self, piece: &Piece, blocks: &mut Blocks) {
        match piece {
            Piece::Heading { span, .. } => {
                self.note(*span, Target::Heading, Rank::Value);
                piece.for_each_open(&mut |hole| self.hole(hole));
            }
            Piece::Prose { .. } => piece.for_each_open(&mut |hole| self.hole(hole)),
            Piece::Block {
                kind_word, lines, ..
            } => {
                if let Some(kind) = BlockKind::named(kind_word) {
                    self.block(kind, lines, blocks);
                }
            }
        }
    }

    fn block(&mut self, kind: BlockKind, spans: &[Span], blocks: &mut Blocks) {
        self.symbolic = kind == BlockKind::Derive;
        let (lines, base) = blocks.read(kind, self.text(), spans);
        self.base = base;
        for line in lines.iter() {
            self.line(kind, line);
        }
        self.base = 0;
        for span in spans {
            // Lines are in order and do not overlap.
            let after = lines.partition_point(|line| line.span.start + base < span.end);
            let is_read = lines[..after]
                .last()
                .is_some_and(|line| span.start < line.span.end + base);
            if !is_read {
                self.scan_line(kind, *span);
            }
        }
        self.symbolic = false;
    }

    /// The asks, names and references in a description.
    pub fn description(&mut self, span: Span) {
        let span = self.in_file(span);
        if self.source.slice(span).contains(['`', '[']) {
            let base = std::mem::take(&mut self.base);
            for words in document::parse_inline(self.text(), span) {
                words.for_each_open(&mut |hole| self.hole(hole));
            }
            self.base = base;
        }
    }

    /// The ask, name or reference at an open place of prose.
    fn hole(&mut self, hole: &Hole) {
        match hole {
            Hole::Code { span, .. } => self.code(*span),
            Hole::Reference { label, span, .. } => {
                let text = self.source.slice(*span);
                if let Some(at) = text.rfind(label.as_str()) {
                    let start = span.start as usize + at;
                    self.label(Span::new(start, start + label.len()), label, Rank::Use);
                }
            }
            Hole::Tex { .. } => {}
        }
    }

    /// A code span: an ask, or a name that stands alone.
    fn code(&mut self, span: Span) {
        let symbolic = std::mem::replace(&mut self.symbolic, false);
        match syntax::parse_inline(self.text(), span) {
            Some(Ok(inline)) => self.inline(&inline),
            Some(Err(_)) => self.scan(span, Rank::Use),
            None => self.lone_name(span),
        }
        self.symbolic = symbolic;
    }

    /// A code span that is the name of a quantity or function and nothing else.
    fn lone_name(&mut self, span: Span) {
        let Ok(expr) = syntax::parse_expr(self.text(), span) else {
            return;
        };
        if let syntax::ExprKind::Name(name) = expr.kind {
            let target = self.target(&name.key);
            if matches!(target, Target::Symbol { .. } | Target::Function { .. }) {
                self.note(name.span, target, Rank::Use);
            }
        }
    }

    /// The text of the file.
    pub fn text(&self) -> &'a str {
        self.source.text()
    }

    /// A place of the current lines as a place in the file.
    pub fn in_file(&self, span: Span) -> Span {
        Span {
            start: span.start + self.base,
            end: span.end + self.base,
        }
    }

    /// The text at a place of the current lines.
    pub fn slice(&self, span: Span) -> &'a str {
        self.source.slice(self.in_file(span))
    }

    /// Notes a name.
    pub fn note(&mut self, span: Span, target: Target, rank: Rank) {
        let occurrence = Occurrence {
            span: self.in_file(span),
            target,
            role: Role::Use,
            problem: self.placed.number,
        };
        self.found.push((occurrence, rank));
    }

    /// Notes a name that means what it means wherever it stands in a formula.
    pub fn name(&mut self, name: &Name, rank: Rank) {
        let target = self.target(&name.key);
        self.note(name.span, target, rank);
    }

    /// Notes a label.
    pub fn label(&mut self, span: Span, text: &str, rank: Rank) {
        let target = Target::Label {
            problem: self.placed.number,
            text: text.into(),
        };
        self.note(span, target, rank);
    }

    /// What a name in a formula means.
    pub fn target(&self, key: &str) -> Target {
        if let Some(index) = self.parameters.iter().position(|(own, _)| **own == *key) {
            let definition = self.parameters[index].1;
            return Target::Parameter { definition, index };
        }
        if matches!(key, "pi" | "inf") {
            return Target::Constant;
        }
        if let Some(function) = Function::reserved(key) {
            return Target::BuiltIn(function);
        }
        if let Some(function) = self.placed.find_function(key) {
            return self.function_target(function);
        }
        let of_language = || Function::named(key).map(Target::BuiltIn);
        match self.symbol(key) {
            Some(symbol) => Target::Symbol {
                problem: self.placed.home(symbol),
                key: key.into(),
            },
            None => of_language().unwrap_or_else(|| Target::Undefined(key.into())),
        }
    }

    /// The quantity with this name.
    pub fn symbol(&self, key: &str) -> Option<SymbolId> {
        self.placed.find(key)
    }

    /// What the name of a function of the author means.
    pub fn function_target(&self, function: FunctionId) -> Target {
        Target::Function {
            problem: self.placed.home_of_function(function),
            key: self.placed.problem.symbols.function(function).key.clone(),
        }
    }

    /// The names in their order, each label with the problem that has it, and one definition for
    /// each.
    fn finish(self) -> Vec<Occurrence> {
        let mut found = self.found;
        found.sort_by_key(|(occurrence, _)| (occurrence.span.start, occurrence.span.end));
        found.dedup_by(|second, first| {
            second.0.span == first.0.span && second.0.target != Target::Heading
        });
        let labels: FxHashSet<(usize, Box<str>)> = found
            .iter()
            .filter(|(_, rank)| *rank == Rank::Value)
            .filter_map(|(occurrence, _)| match &occurrence.target {
                Target::Label { problem, text } => Some((*problem, text.clone())),
                _ => None,
            })
            .collect();
        for (occurrence, _) in &mut found {
            // A label that the problem does not have is that of the shared part.
            if let Target::Label { problem, text } = &mut occurrence.target
                && !labels.contains(&(*problem, text.clone()))
            {
                *problem = 0;
            }
        }
        define(&mut found);
        found
            .into_iter()
            .map(|(occurrence, _)| occurrence)
            .collect()
    }
}

/// Makes the first of the best places of each name its definition.
fn define(found: &mut [(Occurrence, Rank)]) {
    let mut order: Vec<usize> = (0..found.len()).collect();
    order.sort_by_key(|at| {
        let (occurrence, rank) = &found[*at];
        (key(&occurrence.target), std::cmp::Reverse(*rank), *at)
    });
    let is_first = |place: usize| {
        let own = key(&found[order[place]].0.target);
        place == 0 || key(&found[order[place - 1]].0.target) != own
    };
    let definitions: Vec<usize> = (0..order.len())
        .filter(|place| {
            let (occurrence, rank) = &found[order[*place]];
            occurrence.target == Target::Heading || (is_first(*place) && *rank > Rank::Use)
        })
        .map(|place| order[place])
        .collect();
    for at in definitions {
        found[at].0.role = Role::Definition;
    }
}

/// A target in a form that can be sorted.
fn key(target: &Target) -> (u8, u32, u32, &str) {
    match target {
        Target::Symbol { problem, key } => (0, *problem as u32, 0, key),
        Target::Function { problem, key } => (1, *problem as u32, 0, key),
        Target::Parameter { definition, index } => (2, definition.start, *index as u32, ""),
        Target::Label { problem, text } => (3, *problem as u32, 0, text),
        Target::Undefined(key) => (4, 0, 0, key),
        Target::BuiltIn(function) => (5, 0, 0, function.name()),
        Target::Unit => (6, 0, 0, ""),
        Target::Constant => (7, 0, 0, ""),
        Target::Heading => (8, 0, 0, ""),
    }
}
