//! What holds for every text.

use proptest::prelude::*;

use super::{Chapter, Document, Hole, Piece, chapters, parse, parse_inline};
use crate::text::{Source, Span};

/// Bits of Markdown that meet in odd ways.
fn markdown() -> impl Strategy<Value = String> {
    let bits = prop::sample::select(vec![
        "a",
        "é",
        "\u{feff}",
        "\0",
        "\u{1}",
        "\u{ffff}",
        " ",
        "    ",
        "\t",
        "\n",
        "\n\n",
        "\r\n",
        "\r",
        "> ",
        "- ",
        "1. ",
        "3) ",
        "# ",
        "---\n",
        "```",
        "```given\n",
        "```work x\n",
        "```\n",
        "~~~ check\n",
        "`",
        "``",
        "$",
        "$$",
        "*",
        "**",
        "_",
        "~~",
        "[",
        "]",
        "[balance]",
        "[^1]",
        "[^1]: ",
        "](",
        ")",
        "![",
        "![a](b.svg \"c\")",
        "|",
        "\\|",
        "|-|-|\n",
        "|:-|-:|\n",
        ": ",
        "<",
        "<b>",
        "</p>",
        "<!--",
        "-->",
        "<!-- new page -->\n",
        "<!-- a -->",
        "&amp;",
        "&#0;",
        "&#1;",
        "\\",
        "\"",
        "'",
        "https://x.example",
        "javascript:",
        "= ?",
        "title: ",
        "figures: ",
        "x = 1\n",
        "===\n",
        "- [x] ",
        "[a]: /b 'c'\n",
        "<http://a>",
        "\n\t",
        "> \t",
    ]);
    prop::collection::vec(bits, 0..40).prop_map(|bits| bits.concat())
}

fn check(text: &str) {
    let source = Source::new("w.md", text);
    let (document, diagnostics) = parse(&source);
    for span in spans(&document)
        .into_iter()
        .chain(diagnostics.iter().map(|found| found.span))
    {
        let fits = text.get(span.start as usize..span.end as usize).is_some();
        assert!(fits, "{span:?} does not fit {text:?}");
    }
    for piece in &document.pieces {
        piece.for_each_open(&mut |open| check_open(&source, open));
        if let Piece::Block { span, lines, .. } = piece {
            for line in lines {
                assert!(span.start <= line.start && line.end <= span.end, "{text:?}");
                assert!(!source.slice(*line).contains(['\n', '\r']), "{text:?}");
            }
        }
    }
}

fn spans(document: &Document) -> Vec<Span> {
    let mut spans = Vec::new();
    for piece in &document.pieces {
        match piece {
            Piece::Heading { span, .. } | Piece::Prose { span, .. } => spans.push(*span),
            Piece::Block { span, lines, .. } => spans.extend(lines.iter().chain([span])),
        }
    }
    spans
}

/// An open place is a place in the text.
fn check_open(source: &Source, open: &Hole) {
    let (Hole::Code { span, .. }
    | Hole::Reference { span, .. }
    | Hole::Picture { span, .. }
    | Hole::Tex { span, .. }) = open;
    assert!(!source.slice(*span).is_empty() || span.is_empty());
}

proptest! {
    #[test]
    fn any_text_gives_places_inside_it(text in any::<String>()) {
        check(&text);
    }

    #[test]
    fn any_markdown_gives_places_inside_it(text in markdown()) {
        check(&text);
    }

    #[test]
    fn any_description_gives_places_inside_it(before in "[aé\n]{0,3}", text in markdown()) {
        let source = Source::new("w.md", format!("{before}{text}"));
        let span = Span::new(before.len(), before.len() + text.len());
        for inline in parse_inline(source.text(), span) {
            inline.for_each_open(&mut |open| {
                check_open(&source, open);
                if let Hole::Code { span: found, .. } = open {
                    assert!(span.start <= found.start && found.end <= span.end);
                }
            });
        }
    }

    #[test]
    fn chapters_read_one_by_one_are_the_whole(
        parts in prop::collection::vec((chapter_start(), markdown()), 1..5)
    ) {
        let text: String = parts.iter().map(|(start, rest)| format!("{start}{rest}")).collect();
        let (mut pieces, mut diagnostics) = (Vec::new(), Vec::new());
        for place in chapters(&text) {
            let by = place.start as u32;
            let chapter = Chapter::read(text[place].into());
            pieces.extend(chapter.pieces.into_iter().map(|piece| piece.moved(by)));
            let found = chapter.diagnostics.into_iter();
            diagnostics.extend(found.map(|found| found.moved(&|span| span.moved(by))));
        }
        let whole = Chapter::read(text.as_str().into());
        prop_assert_eq!(without_ids(pieces), without_ids(whole.pieces), "{:?}", text);
        prop_assert_eq!(diagnostics, whole.diagnostics, "{:?}", text);
    }
}

/// What may stand where a chapter begins, or seems to.
fn chapter_start() -> impl Strategy<Value = &'static str> {
    prop::sample::select(vec![
        "\n\n# H\n",
        "\n# H\n\n",
        "\r\n\r\n# H\r\n",
        "\n\n # H\n",
        "# H\n",
    ])
}

/// The numbers of equal headings run over all chapters.
fn without_ids(mut pieces: Vec<Piece>) -> Vec<Piece> {
    for piece in &mut pieces {
        if let Piece::Heading { id, .. } = piece {
            id.clear();
        }
    }
    pieces
}
