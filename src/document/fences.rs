//! Which fences are evaluated, and what is said about their first and last lines.

use comrak::nodes::{NodeCodeBlock, Sourcepos};

use super::Piece;
use super::places::Body;
use crate::diagnostic::{Code, Decision, Diagnostic, Fix};
use crate::text::{BlockKind, Labelled, Span};

/// A fence's first info word and the rest of its info string, with their places.
#[derive(Debug, Clone, Copy)]
struct Info {
    word: Span,
    rest: Span,
}

/// The block of a fence that is evaluated; none for ordinary code, and more than one where the
/// first is not closed before the next begins.
pub(super) fn blocks(body: &Body<'_>, place: Sourcepos, code: &NodeCodeBlock) -> Vec<Piece> {
    let named = BlockKind::named(first_word(code)).filter(|_| code.fenced);
    let Some(mut kind) = named else {
        return Vec::new();
    };
    let content = body.content_lines(place.start.line + 1, &code.literal);
    let last = place.start.line + content.len() + usize::from(code.closed);
    let mut span = body.span(start_of(body, place), body.line(last).1);
    let mut label = label(body, kind, info(body, place, code).rest);
    let mut lines = Vec::with_capacity(content.len());
    let mut blocks = Vec::new();
    for line in content {
        let Some(next) = opens_block(body.source_slice(line)) else {
            lines.push(line);
            continue;
        };
        let end = lines.last().map_or(line.start, |last: &Span| last.end);
        blocks.push(Piece::Block {
            kind,
            label,
            span: Span { end, ..span },
            lines: std::mem::take(&mut lines),
        });
        kind = next;
        label = self::label(body, next, after_word(body, line, next.word()));
        span.start = line.start;
    }
    blocks.push(Piece::Block {
        kind,
        label,
        span,
        lines,
    });
    blocks
}

/// The first word of a fence's info string.
pub(super) fn first_word(code: &NodeCodeBlock) -> &str {
    code.info.split_whitespace().next().unwrap_or("")
}

/// The label of a block, which is the first of the words behind its own.
fn label(body: &Body<'_>, kind: BlockKind, rest: Span) -> Option<Span> {
    match kind.labelled() {
        Labelled::No => None,
        Labelled::May | Labelled::Always => {
            let label = first_of(body.source_slice(rest));
            (!label.is_empty()).then(|| Span {
                end: rest.start + label.len() as u32,
                ..rest
            })
        }
    }
}

/// The first word of a text that begins with one.
fn first_of(text: &str) -> &str {
    text.split(char::is_whitespace).next().unwrap_or("")
}

/// What stands in a line behind the word that opens a block in it.
fn after_word(body: &Body<'_>, line: Span, word: &str) -> Span {
    let text = body.source_slice(line);
    let end = text.find(word).map_or(text.len(), |at| at + word.len());
    let rest = text.get(end..).unwrap_or("");
    let start = text.len() - rest.trim_start().len();
    Span::new(
        line.start as usize + start,
        line.start as usize + start + rest.trim().len(),
    )
}

/// The word of a line that begins one of our blocks.
fn opens_block(line: &str) -> Option<BlockKind> {
    let line = line.trim_start();
    let info = line.trim_start_matches(['`', '~']);
    let word = info.split_whitespace().next()?;
    BlockKind::named(word).filter(|_| line.len() - info.len() >= 3)
}

/// Where a fence's first mark stands, in the body.
fn start_of(body: &Body<'_>, place: Sourcepos) -> usize {
    let (start, end) = body.line(place.start.line);
    (start + place.start.column.saturating_sub(1)).min(end)
}

/// Whether a fence with this word is a block.
fn is_ours(word: &str) -> bool {
    BlockKind::named(word).is_some()
}

/// What is wrong with a fence, ours or not.
pub(super) fn diagnostics(
    body: &Body<'_>,
    place: Sourcepos,
    code: &NodeCodeBlock,
    found: &mut Vec<Diagnostic>,
) {
    if !code.fenced {
        return;
    }
    let info = info(body, place, code);
    let word = first_word(code);
    if is_ours(word) {
        found.extend(words_after(body, info, word));
        found.extend(without_label(info, word));
        found.extend(fence_inside(body, place, code, info).or_else(|| not_closed(code, info)));
    } else {
        found.extend(nearly_ours(code, info));
        found.extend(not_closed(code, info));
    }
}

fn info(body: &Body<'_>, place: Sourcepos, code: &NodeCodeBlock) -> Info {
    let (_, end) = body.line(place.start.line);
    let start = start_of(body, place);
    let mark = char::from(code.fence_char);
    let after = |from: usize, skip: &dyn Fn(char) -> bool| {
        let text = body.slice(from, end);
        end - text.trim_start_matches(skip).len()
    };
    let fence = after(after(start, &|c| c != mark), &|c| c == mark);
    let word = after(fence, &char::is_whitespace);
    let word_end = after(word, &|c| !c.is_whitespace());
    let rest = after(word_end, &char::is_whitespace);
    let rest_end = rest + body.slice(rest, end).trim_end().len();
    Info {
        // A fence without a word is shown by its own marks.
        word: match word == word_end {
            true => body.span(start, fence),
            false => body.span(word, word_end),
        },
        rest: body.span(rest, rest_end),
    }
}

/// What stands behind a block's word and its label.
fn words_after(body: &Body<'_>, info: Info, word: &str) -> Option<Diagnostic> {
    let label = BlockKind::named(word).and_then(|kind| label(body, kind, info.rest));
    let before = label.unwrap_or(Span {
        start: info.word.end,
        ..info.word
    });
    let after = Span {
        start: label.map_or(info.rest.start, |label| label.end),
        ..info.rest
    };
    let text = body.source_slice(after);
    let rest = text.trim_start();
    let place = Span {
        start: after.end - rest.len() as u32,
        ..after
    };
    let takes = match label {
        Some(_) => "a block has one label",
        None => "a block takes no options",
    };
    (!rest.is_empty()).then(|| {
        Diagnostic::warning(
            Code::M06,
            place,
            format!("`{rest}` after `{word}` has no meaning: {takes}"),
        )
        .with_help(match label {
            Some(label) => format!("```{word} {}", body.source_slice(label)),
            None => format!("```{word}"),
        })
        .with_fixes([Fix::new(
            Decision::None,
            format!("leave out `{rest}`"),
            Span {
                start: before.end,
                ..place
            },
            "",
        )])
    })
}

/// A block that has to have a label, and has none.
fn without_label(info: Info, word: &str) -> Option<Diagnostic> {
    let needs = BlockKind::named(word)?.labelled() == Labelled::Always;
    (needs && info.rest.is_empty()).then(|| {
        let example = format!("{word} readings");
        Diagnostic::error(
            Code::M09,
            info.word,
            format!("the block `{word}` has no label"),
        )
        .with_help(format!(
            "```{example}, and `[readings]` in the text names it"
        ))
        .with_fixes([Fix::new(
            Decision::Choose,
            format!("write `{example}`"),
            info.word,
            example,
        )])
    })
}

fn not_closed(code: &NodeCodeBlock, info: Info) -> Option<Diagnostic> {
    if code.closed {
        return None;
    }
    let word = first_word(code);
    const SHOWN: usize = 20;
    let mark = char::from(code.fence_char).to_string();
    let fence = mark.repeat(code.fence_length.min(SHOWN));
    let diagnostic = if is_ours(word) {
        Diagnostic::error(
            Code::M07,
            info.word,
            format!("the block `{word}` is not closed"),
        )
    } else {
        Diagnostic::warning(Code::M07, info.word, "this fence is not closed")
    };
    Some(diagnostic.with_help(format!("{fence} on a line of its own where it ends")))
}

/// A block that is closed only by the next block's fence swallows that block.
fn fence_inside(
    body: &Body<'_>,
    place: Sourcepos,
    code: &NodeCodeBlock,
    info: Info,
) -> Option<Diagnostic> {
    let (at, inner) = code
        .literal
        .lines()
        .enumerate()
        .find_map(|(index, line)| Some((index, opens_block(line)?)))?;
    let (start, end) = body.line(place.start.line + 1 + at);
    let (word, inner) = (first_word(code), inner.word());
    Some(
        Diagnostic::error(
            Code::M07,
            info.word,
            format!("the block `{word}` is not closed before the block `{inner}` begins"),
        )
        .with_note(format!("`{inner}` begins here"), body.span(start, end))
        .with_fixes(fence_before(body, place, at, code))
        .with_help(format!("``` on a line of its own before `{inner}`")),
    )
}

/// The fence that closes a block below its last line that reads as a statement, above the `count`th
/// line, at which the next begins.
fn fence_before(
    body: &Body<'_>,
    place: Sourcepos,
    count: usize,
    code: &NodeCodeBlock,
) -> Option<Fix> {
    let line = |at: usize| body.line(place.start.line + 1 + at);
    let mark = char::from(code.fence_char);
    let fence = mark.to_string().repeat(code.fence_length);
    let (start, end) = line(count);
    // In a list or a quotation the line begins with marks of those.
    if !body.slice(start, end).starts_with(['`', '~']) {
        return None;
    }
    let content: Vec<&str> = code.literal.lines().take(count).collect();
    let prose = content.iter().position(|line| is_prose(line));
    let before = content.get(..prose.unwrap_or(count))?;
    let kept = before.iter().rposition(|line| !line.trim().is_empty());
    let below = kept.map_or(0, |last| last + 1);
    let parted = match content.get(below) {
        Some(next) if next.trim().is_empty() => "\n",
        _ => "\n\n",
    };
    let title = format!("write {fence} on a line of its own to close it");
    let start = line(below).0;
    let place = body.span(start, start);
    Some(Fix::new(
        Decision::Choose,
        title,
        place,
        format!("{fence}{parted}"),
    ))
}

/// Whether a line is a heading or a sentence rather than a statement: statements relate or ask
/// something, go on from the line above or begin with a word of the language.
fn is_prose(line: &str) -> bool {
    let line = line.trim();
    if line.is_empty() || line.starts_with("# ") {
        return false;
    }
    let ends_sentence = line.ends_with(['.', ':', ',']) && line.contains(' ');
    let starts = |word: &&str| line.split_whitespace().next() == Some(*word);
    let is_statement = line.contains(['=', '?', '<', '>', '≤', '≥', '|'])
        || line.starts_with(|first: char| "+-−*/^·×)]".contains(first))
        || ["therefore", "solve", "show", "as", "sensitivity"]
            .iter()
            .any(starts);
    line.starts_with("##") || ends_sentence || !is_statement && line.split_whitespace().count() > 2
}

/// Ordinary code that was probably meant to be evaluated.
fn nearly_ours(code: &NodeCodeBlock, info: Info) -> Option<Diagnostic> {
    let word = first_word(code);
    let lower = word.to_lowercase();
    let letters = lower.split(['{', '[', '(', ':', ',', '=']).next()?;
    let is_near = |word: &str| letters.len() > 2 && strsim::osa_distance(letters, word) == 1;
    let block = BlockKind::named(letters).or_else(|| {
        BlockKind::ALL
            .iter()
            .copied()
            .find(|kind| is_near(kind.word()))
    })?;
    let meant = block.word();
    code.literal.contains(" = ").then(|| {
        Diagnostic::warning(
            Code::M06,
            info.word,
            format!("`{word}` is not a block, so these lines are shown and not evaluated"),
        )
        .with_help(format!("```{meant}"))
        .with_fixes([Fix::write(
            Decision::Choose,
            info.word.cover(info.rest),
            meant,
        )])
    })
}

/// A block in a footnote is shown as code: footnotes stand after everything they could serve.
pub(super) fn in_footnote(body: &Body<'_>, place: Sourcepos, code: &NodeCodeBlock) -> Diagnostic {
    let word = first_word(code);
    Diagnostic::warning(
        Code::M06,
        info(body, place, code).word,
        format!("the block `{word}` stands in a footnote and is not evaluated"),
    )
    .with_help(format!(
        "```{word} in the text that the footnote belongs to"
    ))
}

#[cfg(test)]
mod tests {
    use super::super::shown::{diagnostics, pieces};
    use super::super::{Piece, parse};
    use crate::diagnostic::Code;
    use crate::text::Source;

    fn found(code: Code, place: &str) -> Vec<(Code, String)> {
        vec![(code, place.to_owned())]
    }

    #[test]
    fn lines_are_byte_exact_whatever_ends_them() {
        assert_eq!(
            pieces("\u{feff}```given\r\na = 1 m\r\n\r\n  b\0é  \r\n```\r\n"),
            ["given [\"a = 1 m\", \"\", \"  b\\0é  \"]"]
        );
        assert_eq!(
            pieces("- x\n\n  ~~~ work\n\ta = 1\n  ~~~\n")[1],
            "work [\"a = 1\"]"
        );
        assert_eq!(pieces("```given\n```\n"), ["given []"]);
        assert_eq!(pieces("```plot\ny over x\n```"), ["plot [\"y over x\"]"]);
    }

    #[test]
    fn a_block_covers_its_fences() {
        let source = Source::new("w.md", "a\n\n> ```given\n> x = 1\n> ```\n\nb\n");
        let (document, diagnostics) = parse(&source);
        assert_eq!(diagnostics, []);
        let span = document.pieces.iter().find_map(|piece| match piece {
            Piece::Block { span, .. } => Some(*span),
            _ => None,
        });
        assert_eq!(source.slice(span.unwrap()), "```given\n> x = 1\n> ```");
    }

    #[test]
    fn words_after_a_name_are_reported_and_the_block_is_read() {
        let text = "```work  {x=1} y \na\n```\n";
        assert_eq!(diagnostics(text), found(Code::M06, "{x=1} y"));
        assert_eq!(pieces(text), ["work [\"a\"]"]);
    }

    #[test]
    fn a_name_that_is_nearly_ours_is_reported_when_its_lines_look_like_ours() {
        for word in ["Given", "givn", "given{x}", "Plot"] {
            let text = format!("```{word}\na = 1\n```\n");
            assert_eq!(diagnostics(&text), found(Code::M06, word));
            assert!(pieces(&text)[0].starts_with("<pre "));
        }
        for text in [
            "```Given\na\n```\n",
            "```rust\na = 1\n```\n",
            "```\na = 1\n```\n",
            "    given\n",
        ] {
            assert_eq!(diagnostics(text), [], "{text}");
        }
    }

    #[test]
    fn a_block_without_an_end_is_reported() {
        assert_eq!(diagnostics("```given\na = 1\n"), found(Code::M07, "given"));
        assert_eq!(
            diagnostics("> ```given\n> a = 1\n\nb\n"),
            found(Code::M07, "given")
        );
        assert_eq!(diagnostics("~~~~\na\n"), found(Code::M07, "~~~~"));
        assert_eq!(
            diagnostics("```given\na = 1\n\n```work\nb\n```\n"),
            found(Code::M07, "given")
        );
    }

    #[test]
    fn a_block_ends_where_the_next_one_begins() {
        let text = "```given\na = 1\n\n```work\nb = a\n```\nc\n";
        assert_eq!(
            pieces(text),
            ["given [\"a = 1\", \"\"]", "work [\"b = a\"]", "<p>c</p>"]
        );
        assert_eq!(
            diagnostics("```given\n~~~ work\nb"),
            found(Code::M07, "given")
        );
    }

    #[test]
    fn a_block_is_closed_below_its_last_statement() {
        let closed = |text: &str| {
            let (_, diagnostics) = parse(&Source::new("w.md", text));
            diagnostics[0].fixes[0].applied(text).unwrap()
        };
        assert_eq!(
            closed("```given\na = 1\n\nThe area is what follows.\n\n```work\nb = a\n```\n"),
            "```given\na = 1\n```\n\nThe area is what follows.\n\n```work\nb = a\n```\n"
        );
        assert_eq!(
            closed("```given\na = 1\n## Next = one\n```work\nb = a\n```\n"),
            "```given\na = 1\n```\n\n## Next = one\n```work\nb = a\n```\n"
        );
        assert_eq!(
            closed("```given\na = 1\n# note\n```work\nb = a\n```\n"),
            "```given\na = 1\n# note\n```\n\n```work\nb = a\n```\n"
        );
        assert_eq!(
            closed("```given\n```work\nb = a\n```\n"),
            "```given\n```\n\n```work\nb = a\n```\n"
        );
    }

    #[test]
    fn a_block_in_a_footnote_is_shown_as_code() {
        let text = "a[^1]\n\n[^1]: b\n\n    ```given\n    x = 1\n    ```\n";
        assert_eq!(diagnostics(text), found(Code::M06, "given"));
        assert!(pieces(text)[1].contains("<pre given>x = 1\n</pre>"));
    }
}
