//! What stands under the heading of an entry: what corrects it, and its seal.

use super::Page;
use super::tree::{Block, Manner, Set, Text};
use crate::document::{Block as Markdown, Inline};
use crate::worksheet::{Entry, Filled, Seal, Standing};

/// The entry whose heading this is.
pub(super) fn of<'p>(page: &'p Page, heading: usize) -> Option<&'p Entry> {
    let entries = page.worksheet.entries.iter();
    let mut own = entries.filter(|entry| entry.problem == page.placed.number);
    own.find(|entry| entry.heading == heading)
}

/// The words of an entry's heading; those of a correction lead to what it corrects.
pub(super) fn heading(page: &Page, entry: Option<&Entry>, content: &[Inline<Filled>]) -> Text {
    let words = super::prose::text(page, content);
    match entry.and_then(|entry| Some((entry, entry.corrects.clone()?))) {
        Some((entry, corrected)) => {
            let mut text = Text::new(format!("{} ", entry.date));
            text.put(Set::To(corrected, Text::new(entry.title.clone())));
            text
        }
        None => words,
    }
}

/// What stands under its heading.
pub(super) fn below(entry: &Entry) -> Vec<Block> {
    let mut blocks = Vec::new();
    if let Some(seal) = &entry.seal {
        blocks.push(sealed(seal));
    }
    if !entry.corrections.is_empty() {
        let mut text = Text::new("See the correction of ");
        for (index, (date, anchor)) in entry.corrections.iter().enumerate() {
            if index > 0 {
                text.say(", of ");
            }
            text.put(Set::To(anchor.clone(), Text::new(date.to_string())));
        }
        text.say(".");
        blocks.push(paragraph(text));
    }
    blocks
}

fn sealed(seal: &Seal) -> Block {
    let (time, hash) = (seal.time.replace('T', " ").replace('Z', " UTC"), &seal.hash);
    match seal.standing {
        Standing::Altered => Block::Notice {
            is_error: true,
            text: Text::new(format!("Altered after it was sealed on {time}.")),
        },
        Standing::AsSealed | Standing::Missing | Standing::NotSealed => {
            let mut text = Text::default();
            let words = format!("Sealed {time}, {}", hash.short());
            text.span(Manner::Quiet, Text::new(words));
            paragraph(text)
        }
    }
}

fn paragraph(text: Text) -> Block {
    Block::Markdown(Markdown::Paragraph(text.0))
}
