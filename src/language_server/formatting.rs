//! A worksheet in good order, as edits of the lines that are not.

use lsp_types::{DocumentFormattingParams, DocumentRangeFormattingParams, Range, TextEdit};

use super::documents::Document;
use super::places::Text;
use crate::diagnostic::Edit;
use crate::text::{Source, Span};
use crate::worksheet;

/// The edits that tidy a whole worksheet.
pub(super) fn formatting(
    document: &Document,
    _params: &DocumentFormattingParams,
) -> Option<Vec<TextEdit>> {
    let file = document.file();
    let all = Span::new(0, file.text.len());
    let edits = tidying(document, all).into_iter();
    Some(edits.map(|edit| smallest(&file, &edit)).collect())
}

/// The edits that tidy the lines of a range.
pub(super) fn range_formatting(
    document: &Document,
    params: &DocumentRangeFormattingParams,
) -> Option<Vec<TextEdit>> {
    Some(within(document, params.range))
}

fn within(document: &Document, range: Range) -> Vec<TextEdit> {
    let file = document.file();
    let place = file.span(range);
    tidying(document, place)
        .into_iter()
        .filter(|edit| edit.span.start <= place.end && place.start <= edit.span.end)
        .map(|edit| smallest(&file, &edit))
        .collect()
}

/// The edits that tidy the blocks that a place touches, with their places in the file.
pub(super) fn tidying(document: &Document, place: Span) -> Vec<Edit> {
    if document.is_too_large() {
        return Vec::new();
    }
    worksheet::tidy_blocks_within(&Source::new("", document.text()), place)
}

/// An edit of the file, without what it leaves as it is at its start and end: an editor keeps
/// the cursor there.
pub(super) fn smallest(file: &Text<'_>, edit: &Edit) -> TextEdit {
    let old = edit.span.of(file.text);
    let new = edit.text.as_str();
    let same = |(a, b): &(char, char)| a == b;
    let alike = |pairs: &mut dyn Iterator<Item = (char, char)>| -> usize {
        pairs.take_while(same).map(|(a, _)| a.len_utf8()).sum()
    };
    let before = alike(&mut old.chars().zip(new.chars()));
    let (old_rest, new_rest) = (&old[before..], &new[before..]);
    let after = alike(&mut old_rest.chars().rev().zip(new_rest.chars().rev()));
    let start = edit.span.start as usize + before;
    let place = Span::new(start, edit.span.end as usize - after);
    TextEdit {
        range: file.range(place),
        new_text: new_rest[..new_rest.len() - after].to_owned(),
    }
}

#[cfg(test)]
mod tests {
    use lsp_types::Position;

    use super::*;
    use crate::language_server::fixture;

    /// The edits as `line:from-to text`.
    fn shown(edits: &[TextEdit]) -> Vec<String> {
        let one = |edit: &TextEdit| {
            let Range { start, end } = edit.range;
            assert_eq!(start.line, end.line);
            format!(
                "{}:{}-{} {:?}",
                start.line, start.character, end.character, edit.new_text
            )
        };
        edits.iter().map(one).collect()
    }

    const TEXT: &str =
        "a  b\r\n```given\r\nα=1 m  \r\nbc = 2 m -- 𝛼\r\n```\r\n```work\r\nx=bc = ?\r\n```\r\n";

    #[test]
    fn only_the_part_of_a_line_that_changes_is_edited() {
        let document = fixture::document(TEXT);
        let everything = Range::new(Position::default(), Position::new(99, 0));
        let edits = within(&document, everything);
        assert_eq!(
            shown(&edits),
            ["2:1-7 \"  = 1 m\"", "3:9-9 \"   \"", "6:1-2 \" = \""]
        );
    }

    #[test]
    fn a_range_tidies_its_lines_only() {
        let document = fixture::document(TEXT);
        let range = Range::new(Position::new(3, 2), Position::new(3, 4));
        let edits = within(&document, range);
        assert_eq!(shown(&edits), ["3:9-9 \"   \""]);
    }
}
