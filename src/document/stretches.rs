//! A worksheet cut where its blocks begin and end, without reading its Markdown.
//!
//! This serves worksheets that are being edited: a stretch whose text did not change need not be
//! read again. The cuts are those that the Markdown parser finds as well, in worksheets that are
//! written plainly; whoever uses them has to compare, for in others (a fence inside a quote, a
//! comment that swallows a fence) they are not.

use std::ops::Range;

use super::{BLOCK_WORDS, LATER_WORDS};

/// A stretch of a worksheet.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Stretch {
    /// What it is.
    pub kind: StretchKind,
    /// Its bytes: whole lines.
    pub range: Range<usize>,
}

/// What a stretch is.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum StretchKind {
    /// What stands above the first block, between two blocks, or below the last; may be empty.
    Prose,
    /// A block from its opening to its closing fence, with its word.
    Block(String),
}

/// The fence that is open.
struct Fence<'t> {
    mark: char,
    count: usize,
    /// The word and the start, where it opens a block.
    block: Option<(&'t str, usize)>,
}

/// Cuts a worksheet: prose and blocks by turns, prose first and last. `None` where a fence is not
/// closed, HTML might run on over blank lines, or lines end in a way that editors do not write.
pub fn split(text: &str) -> Option<Vec<Stretch>> {
    let mut stretches = Vec::new();
    let mut open: Option<Fence<'_>> = None;
    let (mut from, mut at) = (0, 0);
    let mut after_blank = true;
    for line in text.split_inclusive('\n') {
        let end = at + line.len();
        let content = line.trim_end_matches('\n');
        let content = content.strip_suffix('\r').unwrap_or(content);
        if content.contains('\r') {
            return None;
        }
        match &open {
            Some(fence) if closes(content, fence) => {
                if let Some((word, start)) = fence.block {
                    stretches.push(prose(from, start));
                    stretches.push(Stretch {
                        kind: StretchKind::Block(word.to_owned()),
                        range: start..end,
                    });
                    from = end;
                }
                open = None;
            }
            Some(_) => {}
            None if may_run_on(content) => return None,
            None => open = opens(content, at, after_blank),
        }
        // A block may follow another at once.
        after_blank = content.trim().is_empty() || from == end;
        at = end;
    }
    if open.is_some() {
        return None;
    }
    stretches.push(prose(from, text.len()));
    Some(stretches)
}

fn prose(start: usize, end: usize) -> Stretch {
    Stretch {
        kind: StretchKind::Prose,
        range: start..end,
    }
}

/// The mark of a fence, how often it stands, and what follows it.
fn fence(line: &str) -> Option<(char, usize, &str)> {
    let inner = line.trim_start_matches(' ');
    let mark = inner.chars().next().filter(|mark| "`~".contains(*mark))?;
    let rest = inner.trim_start_matches(mark);
    let count = inner.len() - rest.len();
    (count >= 3 && line.len() - inner.len() <= 3).then_some((mark, count, rest))
}

fn opens(line: &str, at: usize, after_blank: bool) -> Option<Fence<'_>> {
    let (mark, count, info) = fence(line)?;
    if mark == '`' && info.contains('`') {
        return None;
    }
    let word = info.split_whitespace().next().unwrap_or("");
    let is_ours = BLOCK_WORDS.contains(&word) || LATER_WORDS.contains(&word);
    Some(Fence {
        mark,
        count,
        block: (is_ours && after_blank && line.starts_with(mark)).then_some((word, at)),
    })
}

fn closes(line: &str, open: &Fence<'_>) -> bool {
    fence(line).is_some_and(|(mark, count, rest)| {
        mark == open.mark && count >= open.count && rest.trim().is_empty()
    })
}

/// Whether a line begins HTML that goes on over blank lines until it is closed.
fn may_run_on(line: &str) -> bool {
    let Some(tag) = inner(line).strip_prefix('<') else {
        return false;
    };
    let tag = tag.to_ascii_lowercase();
    ["!", "?", "script", "pre", "style", "textarea"]
        .iter()
        .any(|start| tag.starts_with(start))
}

/// Whether a stretch of prose can be read by itself: it defines nothing that others use, refers to
/// no heading, and has no line that begins with marks of HTML, which might reach beyond it.
pub fn self_contained(text: &str) -> bool {
    !serves_others(text)
        && !text.contains("](#")
        && text.lines().all(|line| !inner(line).starts_with('<'))
}

/// Whether a stretch of prose defines links, or has to do with notes: then others depend on it.
pub fn serves_others(text: &str) -> bool {
    text.contains("[^")
        || text.lines().any(|line| {
            let line = inner(line);
            line.starts_with('[') && line.contains("]:")
        })
}

/// A line without the marks of quotes and lists.
fn inner(line: &str) -> &str {
    line.trim_start_matches([' ', '\t', '>', '-', '*', '+'])
}

#[cfg(test)]
mod tests {
    use super::*;

    fn shown(text: &str) -> Option<Vec<&str>> {
        let stretches = split(text)?;
        Some(
            (stretches.iter())
                .map(|part| &text[part.range.clone()])
                .collect(),
        )
    }

    #[test]
    fn blocks_and_prose_take_turns() {
        let text = "a\n\n```given\nx = 1\n```\n```work\n```\nb";
        let stretches = shown(text).unwrap();
        assert_eq!(
            stretches,
            ["a\n\n", "```given\nx = 1\n```\n", "", "```work\n```\n", "b"]
        );
        assert_eq!(shown("").unwrap(), [""]);
    }

    #[test]
    fn an_ordinary_fence_hides_what_is_inside() {
        let text = "````text\n```given\n```\n````\n";
        assert_eq!(shown(text).unwrap(), [text]);
    }

    #[test]
    fn a_block_right_below_a_line_of_prose_is_not_cut() {
        let text = "<div>\n```given\n```\n";
        assert_eq!(shown(text).unwrap(), [text]);
    }

    #[test]
    fn what_runs_on_is_not_cut_at_all() {
        assert_eq!(shown("```given\nx = 1\n"), None);
        assert_eq!(shown("```text\nx = 1\n"), None);
        assert_eq!(shown("- <!-- a\n"), None);
        assert_eq!(shown("a\rb\n"), None);
        assert_eq!(shown("a\r\n").unwrap(), ["a\r\n"]);
    }

    #[test]
    fn what_others_may_refer_to_is_not_self_contained() {
        assert!(self_contained(
            "Some *words* [balance] and $x$.\n\n- a < b\n"
        ));
        for text in ["a[^1]", "[a]: b", "<b>", "> <!--", "- [a]: /b", "[a](#h-b)"] {
            assert!(!self_contained(text), "{text}");
        }
        assert!(serves_others("- [a]: /b") && !serves_others("<b> [a](#h-b)"));
    }
}
