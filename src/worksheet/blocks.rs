//! Blocks and inline asks, parsed: which problem each belongs to, and what it says.

use std::borrow::Cow;

use rayon::prelude::*;
use rustc_hash::FxHashMap;

use super::pictures::{self, PictureFigure};
use super::plan::Made;
use super::question::marks::{self, Bracket};
use crate::diagnostic::{Code, Diagnostic};
use crate::document::{self, Hole, Image, Piece};
use crate::resolve::{Block, InlineAsk, Mention, broken};
use crate::syntax::{self, BlockKind, Inline, Line, Name, Refused, Statement, Word};
use crate::text::Span;

/// A block with its lines.
#[derive(Debug)]
pub(super) struct ParsedBlock {
    pub kind: BlockKind,
    pub problem: usize,
    pub lines: Vec<Line>,
    /// Where the lines of its text stand.
    pub places: Vec<Span>,
}

impl ParsedBlock {
    /// The block as names are looked up in it.
    pub fn borrowed(&self) -> Block<'_> {
        Block {
            kind: self.kind,
            problem: self.problem,
            lines: &self.lines,
            places: &self.places,
        }
    }
}

/// An inline ask.
#[derive(Debug)]
pub(super) struct ParsedInline {
    pub problem: usize,
    pub span: Span,
    /// `None` when it could not be read.
    pub ask: Option<Inline>,
    /// The index of its outcomes, where it could be read.
    pub index: usize,
}

/// Everything that is evaluated in a problem.
#[derive(Debug, Default)]
pub(super) struct Parsed<'m> {
    /// The blocks in order: those that all problems share, then its own.
    pub blocks: Vec<ParsedBlock>,
    /// How many of them all problems share.
    pub shared: usize,
    /// What its own names are scoped by; 0 where nothing is shared.
    pub problem: usize,
    /// Its own pieces.
    pub pieces: Vec<Cow<'m, Piece>>,
    /// The asks in its prose and descriptions, sorted by place.
    pub inlines: Vec<ParsedInline>,
    /// What is named there without an ask.
    pub mentions: Vec<Mention>,
    /// For each of its own blocks the Markdown beside each of its lines.
    pub descriptions: Vec<Vec<Vec<document::Inline<Hole>>>>,
    /// The brackets behind the descriptions of its own lines, by block and line.
    pub brackets: FxHashMap<(usize, usize), Bracket>,
    /// The pictures in its prose and descriptions.
    pub pictures: Vec<(Image, Span)>,
    /// Those that are figures: those that all problems share, then its own.
    pub figures: Vec<PictureFigure>,
    /// The Markdown within the statements of the problem's own blocks, by its places.
    pub within: Vec<(Span, Vec<document::Inline<Hole>>)>,
}

impl Parsed<'_> {
    pub fn blocks(&self) -> Vec<Block<'_>> {
        self.blocks.iter().map(ParsedBlock::borrowed).collect()
    }

    /// The problem of each block, as names are scoped.
    pub fn problems_of_blocks(&self) -> Vec<usize> {
        self.blocks.iter().map(|block| block.problem).collect()
    }

    /// Lets the syntax trees go: once names are resolved nothing looks at them any more.
    pub fn forget_lines(&mut self) {
        self.blocks
            .iter_mut()
            .for_each(|block| block.lines = Vec::new());
    }

    /// Where the lines of its own blocks stand, in order.
    pub fn lines(&self) -> Vec<Span> {
        let own = self.blocks[self.shared..].iter();
        let mut lines: Vec<Span> = own.flat_map(|block| &block.places).copied().collect();
        lines.sort_by_key(|line| line.start);
        lines
    }

    /// Where asks stand that are no part of a line, in order.
    pub fn asks_in_prose(&self, lines: &[Span]) -> Vec<Span> {
        let is_in_line = |ask: Span| {
            let after = lines.partition_point(|line| line.start <= ask.start);
            lines[..after]
                .last()
                .is_some_and(|line| ask.start < line.end)
        };
        let asks = self.inlines.iter().map(|inline| inline.span);
        asks.filter(|ask| !is_in_line(*ask)).collect()
    }

    /// The asks that could be read, in order.
    pub fn asks(&self) -> Vec<InlineAsk<'_>> {
        self.inlines
            .iter()
            .filter_map(|inline| {
                Some(InlineAsk {
                    problem: inline.problem,
                    span: inline.span,
                    ask: inline.ask.as_ref()?,
                })
            })
            .collect()
    }
}

/// Parses all blocks, side by side, and all inline asks.
pub(super) fn parse<'m>(text: &str, made: &'m Made) -> (Parsed<'m>, Vec<Diagnostic>) {
    let above: Vec<Cow<Piece>> = made.above.iter().flat_map(|run| made.pieces(run)).collect();
    let own: Vec<Cow<Piece>> = made.own.iter().flat_map(|run| made.pieces(run)).collect();
    let shared = evaluated(&above).count();
    let problem = usize::from(shared > 0);
    let work: Vec<(usize, Fence)> = (evaluated(&above).map(|it| (0, it)))
        .chain(evaluated(&own).map(|it| (problem, it)))
        .collect();
    let read: Vec<Read> = work
        .par_iter()
        .map(|(problem, fence)| block(text, *fence, *problem))
        .collect();
    let mut diagnostics = Vec::new();
    let mut parsed = Parsed {
        shared,
        problem,
        ..Parsed::default()
    };
    for (at, (block, found)) in read.into_iter().enumerate() {
        if at >= shared {
            let own = parsed.descriptions.len();
            let mut beside = Vec::with_capacity(block.lines.len());
            for (line, statement) in block.lines.iter().enumerate() {
                let (words, bracket) = described(text, block.kind, statement);
                beside.push(words);
                parsed.brackets.extend(bracket.map(|it| ((own, line), it)));
            }
            parsed.descriptions.push(beside);
            let within = block.lines.iter().flat_map(|line| line.statement.words());
            let within = within.map(|span| (span, description(text, span)));
            parsed.within.extend(within);
        }
        parsed.blocks.push(block);
        diagnostics.extend(found);
    }
    parsed.figures = pictures::figures(above.iter().map(|piece| &**piece), true);
    let own_figures = pictures::figures(own.iter().map(|piece| &**piece), false);
    parsed.figures.extend(own_figures);
    let found = inlines(text, problem, &own, &parsed, &mut diagnostics);
    (parsed.inlines, parsed.mentions, parsed.pictures) = found;
    parsed.pieces = own;
    (parsed, diagnostics)
}

/// A fence that is evaluated: which block it is, its label, and its lines.
#[derive(Clone, Copy)]
struct Fence<'p> {
    kind: BlockKind,
    label: Option<Span>,
    lines: &'p [Span],
}

/// The pieces that are evaluated.
fn evaluated<'p>(pieces: &'p [Cow<'_, Piece>]) -> impl Iterator<Item = Fence<'p>> {
    pieces.iter().filter_map(|piece| match &**piece {
        Piece::Block {
            kind, label, lines, ..
        } => Some(Fence {
            kind: *kind,
            label: *label,
            lines,
        }),
        Piece::Heading { .. } | Piece::Prose { .. } => None,
    })
}

/// A block as its lines are read.
type Read = (ParsedBlock, Vec<Diagnostic>);

/// Reads the lines of a block.
fn block(text: &str, fence: Fence<'_>, problem: usize) -> Read {
    let (kind, spans) = (fence.kind, fence.lines);
    let (mut lines, mut diagnostics) = syntax::parse_block(kind, text, spans);
    put_broken_lines_back(text, kind, spans, &mut lines, &diagnostics);
    // What is named by the label of a block is what its first line says.
    if let (Some(label), Some(first)) = (fence.label, lines.first_mut()) {
        let word = label.of(text);
        match syntax::tokens::is_label(word) {
            true => {
                first.label = Some(Word {
                    span: label,
                    text: word.into(),
                });
            }
            false => diagnostics.push(no_label(kind, word, label)),
        }
    }
    let block = ParsedBlock {
        kind,
        problem,
        lines,
        places: spans.to_vec(),
    };
    (block, diagnostics)
}

fn no_label(kind: BlockKind, word: &str, place: Span) -> Diagnostic {
    let message = format!("`{word}` is no label: letters, digits, `-` and `_`, without blanks");
    Diagnostic::error(Code::M09, place, message).with_help(format!(
        "a word such as `readings`: ```{} readings",
        kind.word()
    ))
}

/// The Markdown beside a line, and the bracket with marks at its end.
fn described(
    text: &str,
    kind: BlockKind,
    line: &Line,
) -> (Vec<document::Inline<Hole>>, Option<Bracket>) {
    let Some(mut span) = line.description else {
        return (Vec::new(), None);
    };
    let bracket = marks::read(text, span, kind == BlockKind::Required);
    if let Some(Bracket::Marks(marks)) = &bracket
        && marks::count_in(kind)
    {
        let before = Span {
            end: marks.span.start,
            ..span
        };
        span.end = span.start + before.of(text).trim_end().len() as u32;
    }
    match span.is_empty() {
        true => (Vec::new(), bracket),
        false => (description(text, span), bracket),
    }
}

/// Most descriptions are plain words, for which no Markdown parser is needed.
fn description(text: &str, span: Span) -> Vec<document::Inline<Hole>> {
    let words = span.of(text);
    let plain = |byte: u8| byte.is_ascii_alphanumeric() || b" ,;()/+%=".contains(&byte);
    if words.bytes().all(plain) {
        return vec![document::Inline::Text(words.to_owned())];
    }
    document::parse_inline(text, span)
}

/// A line that could not be read keeps its place, so that the page can show it and what depends
/// on its name says so.
fn put_broken_lines_back(
    text: &str,
    kind: BlockKind,
    spans: &[Span],
    lines: &mut Vec<Line>,
    diagnostics: &[Diagnostic],
) {
    for diagnostic in diagnostics
        .iter()
        .filter(|diagnostic| diagnostic.is_error())
    {
        let start = diagnostic.span.start;
        let before = lines.partition_point(|line| line.span.start <= start);
        let covered = before
            .checked_sub(1)
            .is_some_and(|at| start <= lines[at].span.end);
        let after = spans.partition_point(|span| span.start <= start);
        let place = spans.get(after.saturating_sub(1));
        let (false, Some(place)) = (covered, place) else {
            continue;
        };
        let written = place.of(text);
        let blanks = written.len() - written.trim_start().len();
        let begin = place.start as usize + blanks;
        let span = Span::new(begin, begin + written.trim().len());
        let line = Line {
            span,
            label: None,
            statement: Statement::Broken(match kind {
                BlockKind::Given => broken::datum_to_define(text, span).map(Refused::quantity),
                BlockKind::Fit => broken::parameter_to_define(text, span).map(Refused::quantity),
                BlockKind::Data
                | BlockKind::Required
                | BlockKind::Check
                | BlockKind::Plot
                | BlockKind::Sketch
                | BlockKind::Answer
                | BlockKind::Versions => broken::name_to_define(text, span).map(Refused::quantity),
                BlockKind::Derive | BlockKind::Work => broken::to_define(text, span),
            }),
            description: None,
        };
        let at = lines.partition_point(|line| line.span.start < span.start);
        lines.insert(at, line);
    }
}

/// The asks in prose, headings and descriptions, sorted by place, what is named there beside
/// them, and the pictures.
fn inlines(
    text: &str,
    problem: usize,
    own: &[Cow<'_, Piece>],
    parsed: &Parsed,
    diagnostics: &mut Vec<Diagnostic>,
) -> (Vec<ParsedInline>, Vec<Mention>, Vec<(Image, Span)>) {
    let mut found: Vec<ParsedInline> = Vec::new();
    let mut mentions = Vec::new();
    let mut pictures = Vec::new();
    let mut read = |hole: &Hole| {
        let ask = inline(text, hole, problem, diagnostics);
        mentions.extend(mention(text, hole, ask.as_ref()));
        found.extend(ask);
        if let Hole::Picture { image, span, .. } = hole {
            pictures.push(((**image).clone(), *span));
        }
    };
    own.iter().for_each(|piece| piece.for_each_open(&mut read));
    for words in parsed.descriptions.iter().flatten().flatten() {
        words.for_each_open(&mut read);
    }
    for words in parsed.within.iter().flat_map(|(_, words)| words) {
        words.for_each_open(&mut read);
    }
    found.sort_by_key(|inline| inline.span.start);
    let readable = found.iter_mut().filter(|inline| inline.ask.is_some());
    readable
        .enumerate()
        .for_each(|(index, inline)| inline.index = index);
    (found, mentions, pictures)
}

/// What is named at an open place, unless it could be read as an ask.
fn mention(text: &str, hole: &Hole, ask: Option<&ParsedInline>) -> Option<Mention> {
    match (hole, ask) {
        (Hole::Code { span, .. }, None) => {
            let word = span.of(text);
            let name = || Name {
                span: *span,
                key: syntax::canonical(word),
            };
            syntax::tokens::is_word(word).then(|| Mention::Name(name()))
        }
        (Hole::Code { span, .. }, Some(ask)) => ask.ask.is_none().then_some(Mention::Unread(*span)),
        (Hole::Reference { label, span, .. }, _) => {
            let start = span.start as usize + span.of(text).rfind(label.as_str())?;
            Some(Mention::Label(Span::new(start, start + label.len())))
        }
        (Hole::Tex { .. } | Hole::Picture { .. }, _) => None,
    }
}

/// The ask at an open place; its index is not given yet.
fn inline(
    text: &str,
    hole: &Hole,
    problem: usize,
    diagnostics: &mut Vec<Diagnostic>,
) -> Option<ParsedInline> {
    let Hole::Code { span, .. } = hole else {
        return None;
    };
    let ask = match syntax::parse_inline(text, *span)? {
        Ok(ask) => Some(ask),
        Err(diagnostic) => {
            diagnostics.push(*diagnostic);
            None
        }
    };
    Some(ParsedInline {
        problem,
        span: *span,
        ask,
        index: 0,
    })
}
