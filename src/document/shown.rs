//! Pieces in a form that tests can compare: one line a piece.

use super::markup::{Alignment, Block, Description, Hole, Image, Inline, Item, Style, Table};
use super::{Piece, parse};
use crate::diagnostic::Code;
use crate::text::Source;

/// The pieces of a worksheet. Open places stand among their tags as `{code …}`, `{tex …}`,
/// `{label …}`, each with the text at its place.
pub(super) fn pieces(text: &str) -> Vec<String> {
    let source = Source::new("w.md", text);
    let (document, _) = parse(&source);
    document
        .pieces
        .iter()
        .map(|piece| shown(&source, piece))
        .collect()
}

/// The codes of what is wrong with a worksheet, each with the text at its place.
pub(super) fn diagnostics(text: &str) -> Vec<(Code, String)> {
    let source = Source::new("w.md", text);
    let (_, diagnostics) = parse(&source);
    diagnostics
        .iter()
        .map(|found| (found.code, source.slice(found.span).to_owned()))
        .collect()
}

fn shown(source: &Source, piece: &Piece) -> String {
    match piece {
        Piece::Heading {
            level, id, content, ..
        } => {
            format!("h{level} {id}: {}", text(source, content))
        }
        Piece::Prose { blocks, .. } => all(source, blocks),
        Piece::Block { kind, lines, .. } => {
            let lines: Vec<&str> = lines.iter().map(|line| source.slice(*line)).collect();
            format!("{} {lines:?}", kind.word())
        }
    }
}

fn tagged(tag: &str, content: String) -> String {
    let name = tag.split(' ').next().unwrap_or("");
    format!("<{tag}>{content}</{name}>")
}

fn all(source: &Source, blocks: &[Block<Hole>]) -> String {
    blocks
        .iter()
        .map(|block| self::block(source, block))
        .collect()
}

fn block(source: &Source, block: &Block<Hole>) -> String {
    match block {
        Block::Paragraph(words) => tagged("p", text(source, words)),
        Block::Plain(words) => text(source, words),
        Block::Heading(level, words) => tagged(&format!("h{level}"), text(source, words)),
        Block::Rule => "<hr>".to_owned(),
        Block::NewPage => "<new page>".to_owned(),
        Block::Code { language, text } => {
            tagged(format!("pre {language}").trim_end(), text.clone())
        }
        Block::Quote(blocks) => tagged("quote", all(source, blocks)),
        Block::List { start, items } => {
            let tag = start.map_or("ul".to_owned(), |start| format!("ol {start}"));
            tagged(&tag, items.iter().map(|it| item(source, it)).collect())
        }
        Block::Descriptions(parts) => {
            let part = |part: &Description<Hole>| match part {
                Description::Term(words) => tagged("dt", text(source, words)),
                Description::Details(blocks) => tagged("dd", all(source, blocks)),
            };
            tagged("dl", parts.iter().map(part).collect())
        }
        Block::Table(table) => self::table(source, table),
        Block::Footnotes(notes) => {
            let note = |note: &Vec<Block<Hole>>| tagged("note", all(source, note));
            tagged("notes", notes.iter().map(note).collect())
        }
    }
}

fn item(source: &Source, item: &Item<Hole>) -> String {
    let tag = if item.is_continued {
        "li continued"
    } else {
        "li"
    };
    tagged(tag, all(source, &item.content))
}

fn table(source: &Source, table: &Table<Hole>) -> String {
    let row = |tag: &str, cells: &Vec<Vec<Inline<Hole>>>| {
        let cell = |(cell, column): (&Vec<Inline<Hole>>, &Alignment)| {
            let tag = match column {
                Alignment::Natural => tag.to_owned(),
                Alignment::Left => format!("{tag} left"),
                Alignment::Center => format!("{tag} center"),
                Alignment::Right => format!("{tag} right"),
            };
            tagged(&tag, text(source, cell))
        };
        tagged("tr", cells.iter().zip(&table.columns).map(cell).collect())
    };
    let rows: String = table.rows.iter().map(|cells| row("td", cells)).collect();
    tagged("table", row("th", &table.head) + &rows)
}

/// A text, with what stands at the places that are open.
pub(super) fn text(source: &Source, text: &[Inline<Hole>]) -> String {
    text.iter()
        .map(|inline| self::inline(source, inline))
        .collect()
}

fn inline(source: &Source, inline: &Inline<Hole>) -> String {
    match inline {
        Inline::Text(words) => words.replace('\n', " "),
        Inline::LineBreak => "<br>".to_owned(),
        Inline::Styled(style, inner) => {
            let tag = match style {
                Style::Emphasis => "em",
                Style::Strong => "strong",
                Style::Struck => "del",
            };
            tagged(tag, text(source, inner))
        }
        Inline::Code(code) => tagged("code", code.clone()),
        Inline::Tex(tex) => format!("{tex:?}"),
        Inline::Link(link) => tagged(&format!("a {}", link.url), text(source, &link.content)),
        Inline::Image(image) => format!("{image:?}"),
        Inline::Note { number, is_first } => {
            format!("[^{number}{}]", if *is_first { "" } else { " again" })
        }
        Inline::Other(hole) => open(source, hole),
    }
}

fn open(source: &Source, hole: &Hole) -> String {
    match hole {
        Hole::Code { span, .. } => format!("{{code {}}}", source.slice(*span)),
        Hole::Tex { display, span, .. } => match display {
            true => format!("{{display {}}}", source.slice(*span).trim()),
            false => format!("{{tex {}}}", source.slice(*span)),
        },
        Hole::Reference {
            label, span, text, ..
        } => match text {
            Some(text) => format!("{{label {label} ({text}) {}}}", source.slice(*span)),
            None => format!("{{label {label} {}}}", source.slice(*span)),
        },
        Hole::Picture {
            image, is_alone, ..
        } => {
            let alone = if *is_alone { " alone" } else { "" };
            let Image {
                url, title, words, ..
            } = &**image;
            format!("{{img{alone} {url} {title}: {words}}}")
        }
    }
}
