//! Blocks and inline asks, parsed: which problem each belongs to, and what it says.

use rayon::prelude::*;

use crate::diagnostic::{Code, Diagnostic};
use crate::document::{self, Document, Hole, Piece};
use crate::resolve::{Block, InlineAsk, broken};
use crate::syntax::{self, BlockKind, Inline, Line, Statement};
use crate::text::{Source, Span};

/// A block with its lines.
#[derive(Debug)]
pub(super) struct ParsedBlock {
    pub kind: BlockKind,
    pub problem: usize,
    pub lines: Vec<Line>,
}

impl ParsedBlock {
    /// The block as names are looked up in it.
    pub fn borrowed(&self) -> Block<'_> {
        Block {
            kind: self.kind,
            problem: self.problem,
            lines: &self.lines,
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

/// Everything that is evaluated in a worksheet.
#[derive(Debug, Default)]
pub(super) struct Parsed {
    /// The title of each problem; the first is what all share.
    pub problems: Vec<Option<String>>,
    /// The problem of each piece of the document.
    pub problem_of: Vec<usize>,
    /// The blocks in order.
    pub blocks: Vec<ParsedBlock>,
    /// For each piece the index of its block.
    pub block_of: Vec<Option<usize>>,
    /// The asks in prose and descriptions, sorted by place.
    pub inlines: Vec<ParsedInline>,
    /// For each block the Markdown beside each of its lines.
    pub descriptions: Vec<Vec<Vec<document::Inline<Hole>>>>,
}

impl Parsed {
    pub fn blocks(&self) -> Vec<Block<'_>> {
        self.blocks.iter().map(ParsedBlock::borrowed).collect()
    }

    /// The problem of each block.
    pub fn problems_of_blocks(&self) -> Vec<usize> {
        self.blocks.iter().map(|block| block.problem).collect()
    }

    /// Lets the syntax trees go: once names are resolved nothing looks at them any more.
    pub fn forget_lines(&mut self) {
        self.blocks
            .iter_mut()
            .for_each(|block| block.lines = Vec::new());
    }

    /// Numbers the asks that could be read in their order.
    pub fn number_asks(&mut self) {
        let mut index = 0;
        for inline in &mut self.inlines {
            inline.index = index;
            index += usize::from(inline.ask.is_some());
        }
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
pub(super) fn parse(source: &Source, document: &Document) -> (Parsed, Vec<Diagnostic>) {
    let mut diagnostics = Vec::new();
    let (problems, problem_of) = problems(document);
    let work: Vec<(usize, BlockKind, &[Span])> = document
        .pieces
        .iter()
        .enumerate()
        .filter_map(|(at, piece)| match piece {
            Piece::Block {
                kind_word, lines, ..
            } => Some((at, kind(kind_word)?, lines.as_slice())),
            _ => None,
        })
        .collect();
    let parsed: Vec<Read> = work
        .par_iter()
        .map(|(at, kind, lines)| block(source, *kind, problem_of[*at], lines))
        .collect();
    let mut block_of = vec![None; document.pieces.len()];
    let mut blocks = Vec::with_capacity(parsed.len());
    let mut descriptions = Vec::with_capacity(parsed.len());
    for ((at, ..), (block, beside, found)) in work.iter().zip(parsed) {
        block_of[*at] = Some(blocks.len());
        blocks.push(block);
        descriptions.push(beside);
        diagnostics.extend(found);
    }
    let mut parsed = Parsed {
        problems,
        problem_of,
        blocks,
        block_of,
        inlines: Vec::new(),
        descriptions,
    };
    parsed.inlines = inlines(source, document, &parsed, &mut diagnostics);
    parsed.number_asks();
    (parsed, diagnostics)
}

/// The block a fence's word names.
pub(super) fn kind(word: &str) -> Option<BlockKind> {
    Some(match word {
        "given" => BlockKind::Given,
        "required" => BlockKind::Required,
        "derive" => BlockKind::Derive,
        "work" => BlockKind::Work,
        "check" => BlockKind::Check,
        "answer" => BlockKind::Answer,
        _ => return None,
    })
}

/// Each level-1 heading begins a problem; what stands above the first, or under one that
/// repeats the title, is shared.
fn problems(document: &Document) -> (Vec<Option<String>>, Vec<usize>) {
    let mut titles = vec![None];
    let mut current = 0;
    let problem_of = document
        .pieces
        .iter()
        .map(|piece| {
            if let Piece::Heading { level: 1, text, .. } = piece {
                if document.front.title.as_deref() == Some(text) {
                    current = 0;
                } else {
                    titles.push(Some(text.clone()));
                    current = titles.len() - 1;
                }
            }
            current
        })
        .collect();
    (titles, problem_of)
}

/// A block as its lines are read: the statements, and the Markdown beside each.
pub(super) type Read = (
    ParsedBlock,
    Vec<Vec<document::Inline<Hole>>>,
    Vec<Diagnostic>,
);

/// Reads the lines of a block.
pub(super) fn block(source: &Source, kind: BlockKind, problem: usize, spans: &[Span]) -> Read {
    let (mut lines, diagnostics) = syntax::parse_block(kind, source.text(), spans);
    put_broken_lines_back(source, kind, spans, &mut lines, &diagnostics);
    let descriptions = lines
        .iter()
        .map(|line| match line.description {
            Some(span) => description(source, span),
            None => Vec::new(),
        })
        .collect();
    let block = ParsedBlock {
        kind,
        problem,
        lines,
    };
    (block, descriptions, diagnostics)
}

/// Most descriptions are plain words, for which no Markdown parser is needed.
fn description(source: &Source, span: Span) -> Vec<document::Inline<Hole>> {
    let text = source.slice(span);
    let plain = |byte: u8| byte.is_ascii_alphanumeric() || b" ,;()/+%=".contains(&byte);
    if text.bytes().all(plain) {
        return vec![document::Inline::Text(text.to_owned())];
    }
    document::parse_inline(source, span)
}

/// A line that could not be read keeps its place, so that the page can show it and what depends
/// on its name says so.
fn put_broken_lines_back(
    source: &Source,
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
        let text = source.slice(*place);
        let blanks = text.len() - text.trim_start().len();
        let begin = place.start as usize + blanks;
        let span = Span::new(begin, begin + text.trim().len());
        let line = Line {
            span,
            label: None,
            statement: Statement::Broken(match kind {
                BlockKind::Given => broken::datum_to_define(source.text(), span),
                _ => broken::name_to_define(source.text(), span),
            }),
            description: None,
        };
        let at = lines.partition_point(|line| line.span.start < span.start);
        lines.insert(at, line);
    }
}

/// The asks in prose, headings and descriptions, sorted by place.
fn inlines(
    source: &Source,
    document: &Document,
    parsed: &Parsed,
    diagnostics: &mut Vec<Diagnostic>,
) -> Vec<ParsedInline> {
    let mut found: Vec<ParsedInline> = Vec::new();
    for (piece, problem) in document.pieces.iter().zip(&parsed.problem_of) {
        piece.for_each_open(&mut |hole| {
            found.extend(inline(source, hole, *problem, diagnostics));
        });
    }
    for (block, descriptions) in parsed.blocks.iter().zip(&parsed.descriptions) {
        for words in descriptions.iter().flatten() {
            words.for_each_open(&mut |hole| {
                found.extend(inline(source, hole, block.problem, diagnostics));
            });
        }
    }
    for piece in &document.pieces {
        if let Piece::Block {
            kind_word, span, ..
        } = piece
            && kind(kind_word).is_none()
        {
            later_block(kind_word, *span, diagnostics);
        }
    }
    found.sort_by_key(|inline| inline.span.start);
    found
}

/// The ask at an open place; its index is not given yet.
pub(super) fn inline(
    source: &Source,
    hole: &Hole,
    problem: usize,
    diagnostics: &mut Vec<Diagnostic>,
) -> Option<ParsedInline> {
    let Hole::Code { span, .. } = hole else {
        return None;
    };
    let ask = match syntax::parse_inline(source.text(), *span)? {
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

fn later_block(word: &str, span: Span, diagnostics: &mut Vec<Diagnostic>) {
    let end = (span.start as usize + 3 + word.len()).min(span.end as usize);
    diagnostics.push(
        Diagnostic::error(
            Code::Y01,
            Span::new(span.start as usize, end),
            format!("blocks of the kind `{word}` are not understood yet"),
        )
        .with_help("values in `given`, or an ordinary fence such as `text`")
        .with_choice(Span::new(end.saturating_sub(word.len()), end), "text"),
    );
}
