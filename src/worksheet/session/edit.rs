//! An edit: the stretches that changed are read again, and what has to follow is decided.

use std::ops::Range;
use std::sync::Arc;

use super::local::NotLocal;
use super::state::{State, place};
use super::{Change, Effort};
use crate::diagnostic::Diagnostic;
use crate::document::{self, Document, Fragment, Piece, StretchKind};
use crate::resolve;
use crate::text::{Source, Span};
use crate::worksheet::blocks::{self, ParsedInline, Read};
use crate::worksheet::compile::Passes;

/// What was read of an edited text.
#[derive(Default)]
pub(super) struct Edited {
    /// The blocks.
    pub blocks: Vec<EditedBlock>,
    /// The stretches of prose.
    pub prose: Vec<usize>,
    /// The indices of the asks in the text that are new.
    pub asks: Vec<usize>,
    /// Those that say what they said before, perhaps at another place.
    pub moved_asks: Vec<usize>,
    /// Whether there are more or fewer lines than before.
    pub moves_lines: bool,
    /// Whether there are more or fewer pieces than before.
    pub moves_parts: bool,
}

/// A block that was read again.
pub(super) struct EditedBlock {
    /// Its index.
    pub at: usize,
    /// Whether its lines matter to others through values alone, before and after.
    pub is_local: bool,
    /// The names that it does not declare any more.
    pub gone: Vec<String>,
    /// The names that it did not declare before.
    pub new: Vec<String>,
}

impl State {
    /// Takes an edited text. `None`, and nothing is changed, where it has to be read as a whole.
    pub fn edit(&mut self, text: &str, effort: &mut Effort) -> Option<Change> {
        let layout = self.layout.as_ref()?;
        let edit = layout.compare(text)?;
        if !(edit.edited.iter()).all(|at| self.may_be_read_alone(*at, edit.text(*at, text))) {
            return None;
        }
        let stretches = edit.edited.clone();
        let moves_lines = layout.moves_lines(&edit, text);
        // From here on there is no way back but to read everything.
        let layout = self.layout.as_mut()?;
        layout.accept(edit, text);
        let source = layout.source_after(&self.worksheet.source, &stretches);
        let source = Arc::new(source);
        let mut edited = Edited {
            moves_lines,
            ..Edited::default()
        };
        for at in stretches {
            match self.layout.as_ref()?.kind(at) {
                StretchKind::Prose => self.read_prose(&source, at, &mut edited)?,
                StretchKind::Block(_) => self.read_block(&source, at, &mut edited)?,
            }
        }
        self.passes.resolved.symbols = std::mem::take(&mut self.worksheet.symbols);
        Some(match self.local(&source, &edited, effort) {
            Ok(change) => {
                self.worksheet.symbols = std::mem::take(&mut self.passes.resolved.symbols);
                change
            }
            Err(NotLocal) => {
                *effort = Effort {
                    everything: true,
                    ..Effort::default()
                };
                self.compile(&source);
                Change::Everything
            }
        })
    }

    /// Whether the new text of a stretch can be read without the others.
    fn may_be_read_alone(&self, at: usize, new: &str) -> bool {
        let Some(layout) = &self.layout else {
            return false;
        };
        let old = layout.text(at);
        match layout.kind(at) {
            StretchKind::Prose => {
                let keeps_front = at > 0 || self.keeps_front(old, new);
                keeps_front
                    && self.reads_alone
                    && document::self_contained(old)
                    && document::self_contained(new)
            }
            StretchKind::Block(word) => {
                let fences = |text: &str| {
                    let mut lines = text.lines();
                    let ends = (
                        lines.next().map(str::to_owned),
                        lines.next_back().map(str::to_owned),
                    );
                    // A fence inside would begin a block of its own.
                    let is_fence = |line: &str| line.trim_start().starts_with(['`', '~']);
                    (!lines.any(is_fence)).then_some(ends)
                };
                let room = layout.room(at);
                let is_odd = |found: &Diagnostic| {
                    found.code.as_str().starts_with('M') && within(room, found.span.start)
                };
                blocks::kind(word).is_some()
                    && fences(old).is_some()
                    && fences(old) == fences(new)
                    && !self.passes.found.read.iter().any(is_odd)
            }
        }
    }

    /// Whether the settings at the top are the same, and there are none where there were none.
    fn keeps_front(&self, old: &str, new: &str) -> bool {
        let body = self.document.body;
        let starts = |text: &str| text.trim_start_matches('\u{feff}').starts_with("---");
        if old.starts_with('\u{feff}') != new.starts_with('\u{feff}') {
            return false;
        }
        if !starts(old) && !starts(new) {
            return body <= '\u{feff}'.len_utf8() && old.get(..body) == new.get(..body);
        }
        let front = old.get(..body).unwrap_or_default();
        let is_closed = front.lines().count() > 1 && front.trim_end().ends_with("---");
        is_closed && new.starts_with(front)
    }

    /// The parts of a stretch.
    pub fn parts_of(&self, stretch: usize) -> Range<usize> {
        let end = self.first_part.get(stretch + 1).copied();
        self.first_part[stretch]..end.unwrap_or(self.document.pieces.len())
    }

    fn read_prose(&mut self, source: &Source, at: usize, edited: &mut Edited) -> Option<()> {
        let layout = self.layout.as_ref()?;
        let (mut span, mut room) = (layout.span(at), layout.room(at));
        if at == 0 {
            let body = self.document.body as u32;
            span.start += body;
            room.start += body;
        }
        let (mut pieces, found) = document::parse_stretch(source, span);
        let old = self.parts_of(at);
        keep_names(&self.document, old.clone(), &mut pieces)?;
        let problems = self.problems_in(old.clone(), &pieces);
        let gone = self.forget_read(room);
        self.passes.found.read.extend(found);
        let mut asks = Vec::new();
        for (piece, problem) in pieces.iter().zip(&problems) {
            let read = &mut self.passes.found.read;
            blocks::read_inlines(source, fragments(piece), *problem, &mut asks, read);
        }
        self.add_asks(source, asks, gone, edited);
        let grown = pieces.len() as isize - old.len() as isize;
        let known = &self.document.pieces[old.clone()];
        let same_kinds = known
            .iter()
            .map(is_heading)
            .eq(pieces.iter().map(is_heading));
        edited.moves_parts |= !same_kinds;
        for first in self.first_part.iter_mut().skip(at + 1) {
            *first = first.saturating_add_signed(grown);
        }
        let parsed = &mut self.passes.parsed;
        parsed
            .block_of
            .splice(old.clone(), pieces.iter().map(|_| None));
        parsed.problem_of.splice(old.clone(), problems);
        self.document.pieces.splice(old.clone(), pieces);
        self.make_room_for_parts(old, grown);
        edited.prose.push(at);
        Some(())
    }

    fn read_block(&mut self, source: &Source, at: usize, edited: &mut Edited) -> Option<()> {
        let layout = self.layout.as_ref()?;
        let (span, room, lines) = (layout.span(at), layout.room(at), layout.block_lines(at));
        let part = self.first_part[at];
        let block = self.passes.parsed.block_of[part]?;
        let known = &self.passes.parsed.blocks[block];
        let (kind, problem) = (known.kind, known.problem);
        let (read, descriptions, found): Read = blocks::block(source, kind, problem, &lines);
        if let Some(Piece::Block {
            span: known_span,
            lines: known_lines,
            ..
        }) = self.document.pieces.get_mut(part)
        {
            (*known_span, *known_lines) = (span, lines);
        }
        let gone = self.forget_read(room);
        self.passes.found.read.extend(found);
        let mut asks = Vec::new();
        for description in &descriptions {
            let found = &mut self.passes.found.read;
            blocks::read_inlines(source, description, problem, &mut asks, found);
        }
        self.add_asks(source, asks, gone, edited);
        let parsed = &mut self.passes.parsed;
        let before = std::mem::replace(&mut parsed.blocks[block], read);
        parsed.descriptions[block] = descriptions;
        let (before, after) = (before.borrowed(), parsed.blocks[block].borrowed());
        let declared = |block| resolve::declares(block).map(str::to_owned);
        let (old, new): (Vec<String>, Vec<String>) =
            (declared(before).collect(), declared(after).collect());
        let is_once = |name: &String| new.iter().filter(|other| *other == name).count() == 1;
        edited.blocks.push(EditedBlock {
            at: block,
            is_local: resolve::is_local(before)
                && resolve::is_local(after)
                && new.iter().all(is_once),
            gone: old
                .iter()
                .filter(|name| !new.contains(name))
                .cloned()
                .collect(),
            new: new
                .iter()
                .filter(|name| !old.contains(name))
                .cloned()
                .collect(),
        });
        Some(())
    }

    /// Forgets what was read in a stretch: its diagnostics and asks. What the asks said is
    /// returned, with the indices of their outcomes.
    fn forget_read(&mut self, room: Span) -> Vec<(String, usize)> {
        let read = &mut self.passes.found.read;
        read.retain(|found| !within(room, found.span.start));
        let mut gone = Vec::new();
        let before = &self.worksheet.source;
        self.passes.parsed.inlines.retain(|inline| {
            let stays = !within(room, inline.span.start);
            if !stays && inline.ask.is_some() {
                gone.push((before.slice(inline.span).to_owned(), inline.index));
            }
            stays
        });
        gone
    }

    /// Adds asks of the text, in their places, and gives them outcomes to be filled; one that says
    /// what one of those that are gone said takes over its outcome.
    fn add_asks(
        &mut self,
        source: &Source,
        mut asks: Vec<ParsedInline>,
        mut gone: Vec<(String, usize)>,
        edited: &mut Edited,
    ) {
        let mut new = Vec::new();
        for (at, ask) in asks.iter_mut().enumerate() {
            let text = source.slice(ask.span);
            let known = gone.iter().position(|(known, _)| known == text);
            match known {
                _ if ask.ask.is_none() => {}
                Some(known) => {
                    ask.index = gone.swap_remove(known).1;
                    edited.moved_asks.push(ask.index);
                }
                None => new.push(at),
            }
        }
        for (_, index) in gone {
            self.clear_outcome(index);
            self.free.push(index);
        }
        for at in new {
            asks[at].index = self.free.pop().unwrap_or_else(|| {
                let resolved = &mut self.passes.resolved.inlines;
                resolved.push(None);
                resolved.len() - 1
            });
            edited.asks.push(asks[at].index);
        }
        let inlines = &mut self.passes.parsed.inlines;
        inlines.extend(asks);
        inlines.sort_by_key(|inline| inline.span.start);
    }

    /// Forgets what was found about an ask that is gone.
    fn clear_outcome(&mut self, index: usize) {
        let Passes {
            parsed,
            resolved,
            checked,
            found,
            ..
        } = &mut self.passes;
        if let Some(inline) = resolved.inlines.get_mut(index) {
            *inline = None;
        }
        if let Some(found) = checked.inlines.get_mut(index) {
            *found = None;
        }
        let at = parsed.blocks.len() + index;
        for found in [
            &mut found.resolve,
            &mut found.dimensions,
            &mut found.evaluate,
        ] {
            if let Some(found) = found.get_mut(at) {
                found.clear();
            }
        }
    }

    /// The problem of each of the new pieces of a stretch, which has the headings that it had.
    fn problems_in(&self, old: Range<usize>, pieces: &[Piece]) -> Vec<usize> {
        let problem_of = &self.passes.parsed.problem_of;
        let mut headings = (old.clone())
            .filter(|at| is_heading(&self.document.pieces[*at]))
            .map(|at| problem_of[at]);
        let above = old.start.checked_sub(1);
        let mut current = above.map_or(0, |above| problem_of[above]);
        (pieces.iter())
            .map(|piece| {
                if is_heading(piece) {
                    current = headings.next().unwrap_or(current);
                }
                current
            })
            .collect()
    }

    /// Makes as many parts as there are pieces; they are built later.
    fn make_room_for_parts(&mut self, old: Range<usize>, grown: isize) {
        let count = old.len().saturating_add_signed(grown);
        let gone: usize = self.asks[old.clone()].iter().sum();
        let from: usize = self.asks[..old.start].iter().sum();
        self.worksheet.asks.drain(from..from + gone);
        self.asks.splice(old.clone(), std::iter::repeat_n(0, count));
        let nothing = std::iter::repeat_with(Vec::new).take(count);
        self.noted.splice(old.clone(), nothing);
        let parts = (self.document.pieces[old.start..old.start + count].iter()).map(|piece| {
            crate::worksheet::Part {
                problem: 0,
                span: Span::new(place(piece) as usize, place(piece) as usize),
                kind: crate::worksheet::PartKind::Prose(Vec::new()),
            }
        });
        self.worksheet.parts.splice(old, parts);
    }
}

/// Gives the headings of a stretch that is read again the names they had; `None` where they are
/// other headings.
fn keep_names(document: &Document, old: Range<usize>, pieces: &mut [Piece]) -> Option<()> {
    let mut before = document.pieces[old]
        .iter()
        .filter(|piece| is_heading(piece));
    for piece in pieces {
        match piece {
            Piece::Block { .. } => return None,
            Piece::Prose { .. } => {}
            Piece::Heading {
                level, id, text, ..
            } => match before.next() {
                Some(Piece::Heading {
                    level: known_level,
                    id: known,
                    text: known_text,
                    ..
                }) if known_level == level && known_text == text => known.clone_into(id),
                _ => return None,
            },
        }
    }
    before.next().is_none().then_some(())
}

fn is_heading(piece: &Piece) -> bool {
    matches!(piece, Piece::Heading { .. })
}

fn fragments(piece: &Piece) -> &[Fragment] {
    match piece {
        Piece::Heading { fragments, .. } | Piece::Prose { fragments, .. } => fragments,
        Piece::Block { .. } => &[],
    }
}

pub(super) fn within(room: Span, place: u32) -> bool {
    room.start <= place && place < room.end
}
