//! The text of a worksheet under edit, with room between its stretches.
//!
//! A stretch keeps its place while it is edited, as long as it fits, so that the places of
//! everything else stay right.

use crate::document::{self, Stretch, StretchKind};
use crate::text::{Source, Span};

/// Room behind a stretch: this much, and an eighth of its length.
const ROOM: usize = 96;

/// Where the stretches of a worksheet stand.
#[derive(Debug)]
pub(super) struct Layout {
    /// The text as it stands in the file.
    file: String,
    stretches: Vec<Stretch>,
    places: Vec<Place>,
}

/// What a text changes.
#[derive(Debug, PartialEq)]
pub(super) struct Edit {
    stretches: Vec<Stretch>,
    /// The stretches whose text is another, in order.
    pub edited: Vec<usize>,
}

impl Edit {
    /// The new text of a stretch.
    pub fn text<'t>(&self, at: usize, text: &'t str) -> &'t str {
        &text[self.stretches[at].range.clone()]
    }
}

/// Where a stretch stands among the others.
#[derive(Debug, Clone)]
struct Place {
    start: usize,
    /// With the room behind it.
    end: usize,
    /// Where its lines begin, from its start.
    lines: Vec<u32>,
}

impl Layout {
    /// Lays out a text; `None` where it cannot be cut into stretches.
    pub fn new(text: &str) -> Option<Self> {
        let stretches = document::split(text)?;
        let mut places = Vec::with_capacity(stretches.len());
        let mut start = 0;
        for stretch in &stretches {
            let length = stretch.range.len();
            let end = start + length + ROOM + length / 8;
            places.push(Place {
                start,
                end,
                lines: lines(text, stretch),
            });
            start = end;
        }
        Some(Self {
            file: text.to_owned(),
            stretches,
            places,
        })
    }

    /// The text as it stands in the file.
    pub fn file(&self) -> &str {
        &self.file
    }

    /// How many stretches there are; prose and blocks by turns.
    pub fn len(&self) -> usize {
        self.stretches.len()
    }

    /// What a stretch is.
    pub fn kind(&self, at: usize) -> &StretchKind {
        &self.stretches[at].kind
    }

    /// The text of a stretch.
    pub fn text(&self, at: usize) -> &str {
        &self.file[self.stretches[at].range.clone()]
    }

    /// Where a stretch stands, without its room.
    pub fn span(&self, at: usize) -> Span {
        let start = self.places[at].start;
        Span::new(start, start + self.stretches[at].range.len())
    }

    /// Where a stretch may reach.
    pub fn room(&self, at: usize) -> Span {
        let place = &self.places[at];
        Span::new(place.start, place.end)
    }

    /// The inner lines of a block, without their endings.
    pub fn block_lines(&self, at: usize) -> Vec<Span> {
        let (text, start) = (self.text(at), self.places[at].start);
        let mut lines: Vec<Span> = Vec::new();
        let mut from = 0;
        for line in text.split_inclusive('\n') {
            let content = line.trim_end_matches('\n');
            let content = content.strip_suffix('\r').unwrap_or(content);
            lines.push(Span::new(start + from, start + from + content.len()));
            from += line.len();
        }
        let inner = 1..lines.len().saturating_sub(1);
        lines.get(inner).unwrap_or_default().to_vec()
    }

    /// How many lines there are.
    pub fn line_count(&self) -> usize {
        self.places.iter().map(|place| place.lines.len()).sum()
    }

    /// The whole text, laid out.
    pub fn source(&self, name: &str) -> Source {
        let end = self.places.last().map_or(0, |place| place.end);
        let mut text = String::with_capacity(end);
        for at in 0..self.len() {
            text.push_str(self.text(at));
            let room = self.places[at].end - text.len();
            text.extend(std::iter::repeat_n('\n', room));
        }
        Source::spaced(name, text, self.line_starts())
    }

    /// The laid out text after an edit of some stretches.
    pub fn source_after(&self, before: &Source, edited: &[usize]) -> Source {
        let mut text = before.text().to_owned();
        for at in edited {
            let place = &self.places[*at];
            let mut new = self.text(*at).to_owned();
            let room = place.end - place.start - new.len();
            new.extend(std::iter::repeat_n('\n', room));
            text.replace_range(place.start..place.end, &new);
        }
        Source::spaced(before.name(), text, self.line_starts())
    }

    fn line_starts(&self) -> Vec<u32> {
        let mut starts = Vec::with_capacity(self.line_count());
        for place in &self.places {
            let start = place.start as u32;
            starts.extend(place.lines.iter().map(|line| start + line));
        }
        starts
    }

    /// What another text changes; `None` where its stretches are others, or one does not fit.
    pub fn compare(&self, text: &str) -> Option<Edit> {
        let stretches = document::split(text)?;
        if stretches.len() != self.len() {
            return None;
        }
        let mut edited = Vec::new();
        for (at, new) in stretches.iter().enumerate() {
            let place = &self.places[at];
            if new.kind != *self.kind(at) || new.range.len() >= place.end - place.start {
                return None;
            }
            if text[new.range.clone()] != *self.text(at) {
                edited.push(at);
            }
        }
        Some(Edit { stretches, edited })
    }

    /// Whether a stretch has more or fewer lines than before, so that those below have other
    /// numbers.
    pub fn moves_lines(&self, edit: &Edit, text: &str) -> bool {
        let count = |text: &str| text.bytes().filter(|byte| *byte == b'\n').count();
        let edited = edit.edited.iter();
        (edited.copied()).any(|at| count(self.text(at)) != count(edit.text(at, text)))
    }

    /// Takes the text that was compared.
    pub fn accept(&mut self, edit: Edit, text: &str) {
        // Whether the end of the file begins a line may depend on the stretch above it.
        let last = self.len().saturating_sub(1);
        for at in edit.edited.into_iter().chain([last]) {
            self.places[at].lines = lines(text, &edit.stretches[at]);
        }
        self.stretches = edit.stretches;
        text.clone_into(&mut self.file);
    }

    /// The stretch that a place belongs to.
    pub fn stretch_of(&self, place: u32) -> usize {
        let after = (self.places).partition_point(|other| other.start <= place as usize);
        after.saturating_sub(1)
    }
}

/// Where the lines of a stretch begin. The end of the file begins a line too, after the ending of
/// another.
fn lines(file: &str, stretch: &Stretch) -> Vec<u32> {
    let (text, above) = (&file[stretch.range.clone()], &file[..stretch.range.start]);
    let is_last = stretch.range.end == file.len();
    let mut starts = Vec::new();
    if !text.is_empty() || (is_last && (above.is_empty() || above.ends_with('\n'))) {
        starts.push(0);
    }
    for (at, byte) in text.bytes().enumerate() {
        if byte == b'\n' && at + 1 < text.len() {
            starts.push(at as u32 + 1);
        }
    }
    if is_last && stretch.kind == StretchKind::Prose && text.ends_with('\n') {
        starts.push(text.len() as u32);
    }
    starts
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::text::Position;

    const TEXT: &str = "a\n\n```given\nx = 1\n```\nb";

    #[test]
    fn lines_and_columns_are_those_of_the_file() {
        for text in [TEXT, "", "\n", "```given\n```", "```given\n```\n"] {
            let layout = Layout::new(text).unwrap();
            let (spaced, plain) = (layout.source("w"), Source::new("w", text));
            assert_eq!(spaced.line_count(), plain.line_count(), "{text:?}");
            assert_eq!(layout.line_count(), plain.line_count(), "{text:?}");
            for line in 1..=plain.line_count() {
                let of = |source: &Source| source.slice(source.line_span(line)).to_owned();
                assert_eq!(of(&spaced), of(&plain), "{text:?}");
            }
        }
        let layout = Layout::new(TEXT).unwrap();
        let lines = layout.block_lines(1);
        let source = layout.source("w");
        assert_eq!(source.slice(lines[0]), "x = 1");
        let place = source.position(lines[0].start + 4);
        assert_eq!(place, Position { line: 4, column: 5 });
    }

    #[test]
    fn an_edit_leaves_the_other_stretches_in_their_places() {
        let mut layout = Layout::new(TEXT).unwrap();
        let before = layout.source("w");
        let after = TEXT.replace("x = 1", "x = 17\ny = 2");
        let edit = layout.compare(&after).unwrap();
        assert_eq!(edit.edited, [1]);
        layout.accept(edit, &after);
        let source = layout.source_after(&before, &[1]);
        assert_eq!(source.text(), layout.source("w").text());
        assert_eq!(source.slice(layout.span(2)), "b");
        assert_eq!(layout.span(2), Layout::new(TEXT).unwrap().span(2));
        assert_eq!(source.line_of(layout.span(2).start), 7);
    }

    #[test]
    fn other_stretches_and_long_texts_need_another_layout() {
        let layout = Layout::new(TEXT).unwrap();
        assert_eq!(layout.compare("a\n\n```work\nx = 1\n```\nb"), None);
        assert_eq!(layout.compare("a"), None);
        let long = TEXT.replace('b', &"b".repeat(500));
        assert_eq!(layout.compare(&long), None);
    }
}
