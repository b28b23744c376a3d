//! What a place of the text is in, told from the text before it.
//!
//! In go the text and a byte of it, out comes whether that is a block, an ask, the front matter
//! or prose, with what stands before it on its line. Nothing is compiled: this serves lines that
//! are being written and cannot be read yet.

use crate::syntax::BlockKind;
use crate::syntax::tokens::tail;

/// What a place is in.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Surroundings<'a> {
    /// The front matter.
    Front {
        /// The line up to the place.
        before: &'a str,
    },
    /// The word of a fence.
    Fence {
        /// What is written of it.
        before: &'a str,
    },
    /// A statement.
    Block {
        /// Of which block.
        kind: BlockKind,
        /// The line up to the place.
        before: &'a str,
        /// Where the line begins, in the text.
        line: usize,
    },
    /// A code span.
    Code {
        /// The span up to the place.
        before: &'a str,
    },
    /// A reference in prose.
    Reference {
        /// What is written after the bracket.
        before: &'a str,
    },
    /// The address of a picture in prose.
    Picture {
        /// What is written after the bracket.
        before: &'a str,
    },
    /// Anything else.
    Prose,
}

/// A fence that is open.
#[derive(Debug, Clone, Copy)]
struct Fence<'a> {
    mark: char,
    length: usize,
    word: &'a str,
}

/// What a byte of the text is in.
pub(super) fn surroundings(text: &str, offset: usize) -> Surroundings<'_> {
    let offset = (0..=offset.min(text.len()))
        .rev()
        .find(|at| text.is_char_boundary(*at))
        .unwrap_or(0);
    // A byte order mark is no part of the first line.
    let start = text.len() - text.trim_start_matches('\u{feff}').len();
    let offset = offset.max(start);
    let line = text[..offset].rfind('\n').map_or(start, |at| at + 1);
    let before = &text[line..offset];
    let body = match front(text) {
        Some(end) if line < end => return Surroundings::Front { before },
        end => end.unwrap_or(start),
    };
    let mut open = None;
    for above in text[body..line].lines() {
        open = after(open, above);
    }
    match open {
        None => outside(before),
        Some(fence) => match BlockKind::named(fence.word) {
            _ if opening(before).is_some() => Surroundings::Fence {
                before: word_before(before),
            },
            Some(kind) => inside(kind, before, line),
            None => Surroundings::Prose,
        },
    }
}

fn inside(kind: BlockKind, before: &str, line: usize) -> Surroundings<'_> {
    match tail(before) {
        Some(_) => prose(before),
        None => Surroundings::Block { kind, before, line },
    }
}

fn outside(before: &str) -> Surroundings<'_> {
    if opening(before).is_some() {
        return Surroundings::Fence {
            before: word_before(before),
        };
    }
    prose(before)
}

/// In prose: a code span, a reference or the address of a picture, where one is open.
fn prose(before: &str) -> Surroundings<'_> {
    let mut code = None;
    for (at, _) in before.match_indices('`') {
        code = match code {
            None => Some(at + 1),
            Some(_) => None,
        };
    }
    if let Some(at) = code {
        return Surroundings::Code {
            before: &before[at..],
        };
    }
    if let Some((words, before)) = before.rsplit_once("](")
        && !before.contains([')', ' ', '"'])
        && words
            .rfind('[')
            .is_some_and(|at| words[..at].ends_with('!'))
    {
        return Surroundings::Picture { before };
    }
    match before.rfind('[') {
        Some(at) if !before[at..].contains(']') => Surroundings::Reference {
            before: &before[at + 1..],
        },
        _ => Surroundings::Prose,
    }
}

/// Where the front matter ends; up to the last line that looks like it when it is not closed.
fn front(text: &str) -> Option<usize> {
    let start = text.len() - text.trim_start_matches('\u{feff}').len();
    let mut lines = text[start..].split_inclusive('\n');
    let first = lines.next()?;
    if first.trim_end() != "---" {
        return None;
    }
    let mut end = start + first.len();
    for line in lines {
        let content = line.trim();
        end += line.len();
        if content == "---" {
            return Some(end - line.len());
        }
        let word = content.split(':').next().unwrap_or("");
        let looks_like_it = content.starts_with('#') || word.chars().all(char::is_alphanumeric);
        if !looks_like_it {
            return Some(end - line.len());
        }
    }
    Some(end + 1)
}

/// The fence that is open after a line, when `open` was open before it.
fn after<'a>(open: Option<Fence<'a>>, line: &'a str) -> Option<Fence<'a>> {
    let found = opening(line);
    match (open, found) {
        (Some(open), Some(fence)) => {
            let closes =
                fence.word.is_empty() && fence.mark == open.mark && fence.length >= open.length;
            match (closes, BlockKind::named(fence.word)) {
                (true, _) => None,
                // A block ends where the next one begins.
                (false, Some(_)) if BlockKind::named(open.word).is_some() => Some(fence),
                (false, _) => Some(open),
            }
        }
        (None, found) => found,
        (open, None) => open,
    }
}

/// The fence that a line opens or closes.
fn opening(line: &str) -> Option<Fence<'_>> {
    let is_prefix = |letter: char| matches!(letter, ' ' | '\t' | '>' | '-' | '*' | '+');
    let content = line.trim_start_matches(is_prefix);
    let mark = content.chars().next().filter(|c| matches!(c, '`' | '~'))?;
    let info = content.trim_start_matches(mark);
    let length = content.len() - info.len();
    let word = info.split_whitespace().next().unwrap_or("");
    (length >= 3 && !info.contains('`')).then_some(Fence { mark, length, word })
}

/// What is written of a fence's word.
fn word_before(before: &str) -> &str {
    let end = before.rfind(['`', '~']).map_or(0, |at| at + 1);
    before[end..].trim_start()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn check(text: &str, expected: Surroundings) {
        let at = text.find('¦').unwrap();
        assert_eq!(
            surroundings(&text.replacen('¦', "", 1), at),
            expected,
            "{text}"
        );
    }

    #[test]
    fn the_front_matter_need_not_be_closed() {
        check("---\ntit¦\n---\n", Surroundings::Front { before: "tit" });
        check("---\nunits: ¦", Surroundings::Front { before: "units: " });
        check("---\ntitle: a\n---\n¦", Surroundings::Prose);
        check("---\n\nSome words. ¦", Surroundings::Prose);
    }

    #[test]
    fn blocks_are_known_by_their_fences() {
        let block = |kind, before, line| Surroundings::Block { kind, before, line };
        check("```given\na = ¦", block(BlockKind::Given, "a = ", 9));
        check("> ~~~ work\n> a¦\n> ~~~", block(BlockKind::Work, "> a", 11));
        check("```given\na\n```work\nb¦", block(BlockKind::Work, "b", 19));
        check("```text\na¦\n", Surroundings::Prose);
        check("```given\na\n```\nb¦", Surroundings::Prose);
        check("a\n```wo¦", Surroundings::Fence { before: "wo" });
        check("- ~~~ ¦", Surroundings::Fence { before: "" });
        check("\u{feff}```given\na¦", block(BlockKind::Given, "a", 12));
        check("\u{feff}```gi¦", Surroundings::Fence { before: "gi" });
    }

    #[test]
    fn comments_and_descriptions_are_prose() {
        check("```given\n# a¦", Surroundings::Prose);
        check("```given\na = 1 -- b¦", Surroundings::Prose);
        check("```given\na = 1 -- `b¦", Surroundings::Code { before: "b" });
    }

    #[test]
    fn prose_holds_code_spans_and_references() {
        check("a `b` `c = ¦", Surroundings::Code { before: "c = " });
        check("a `b` c¦", Surroundings::Prose);
        check("a [bal¦", Surroundings::Reference { before: "bal" });
        check("a [b] c¦", Surroundings::Prose);
        check("![a bend](be¦", Surroundings::Picture { before: "be" });
        check("![a bend](bend.svg \"The b¦", Surroundings::Prose);
        check("[a page](be¦", Surroundings::Prose);
    }
}
