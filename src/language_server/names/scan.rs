//! The names of a line that cannot be read: what looks like a name, by its place alone.

use super::Target;
use super::walk::{Rank, Walker};
use crate::quantity;
use crate::resolve::broken::name_to_define;
use crate::syntax::{self, BlockKind, tokens};
use crate::text::Span;

impl Walker<'_> {
    /// A line of a block without its comment and description.
    pub fn scan_line(&mut self, block: BlockKind, line: Span) {
        let text = self.slice(line);
        let end = tokens::tail(text).unwrap_or(text.len());
        let code = Span {
            start: line.start,
            end: line.start + end as u32,
        };
        let rank = match block {
            BlockKind::Given | BlockKind::Work => Rank::Value,
            BlockKind::Required => Rank::Asked,
            _ => Rank::Left,
        };
        self.scan(code, rank);
    }

    /// Whatever looks like a name; the one that the line was to define gets `rank`.
    pub fn scan(&mut self, span: Span, rank: Rank) {
        let text = self.slice(span);
        let defines = name_to_define(self.text(), span).map(|name| name.span);
        let mut asked = false;
        for (at, word) in tokens::words(text) {
            let start = span.start as usize + at;
            let place = Span::new(start, start + word.len());
            let before = text[..at].trim_end();
            asked |= before.ends_with('?');
            if word == "at" {
                asked = false;
            }
            if syntax::is_reserved(word) {
                continue;
            }
            let name = syntax::Name {
                span: place,
                key: syntax::canonical(word),
            };
            let after_number = before.ends_with(|last: char| last.is_ascii_digit() || last == '.');
            if (asked && quantity::is_unit(word)) || (after_number && self.is_unit(&name)) {
                self.note(place, Target::Unit, Rank::Use);
            } else if text[at + word.len()..].starts_with(": ") {
                self.label(place, word, Rank::Value);
            } else if defines == Some(place) {
                self.name(&name, rank);
            } else {
                self.name(&name, Rank::Use);
            }
        }
    }
}
