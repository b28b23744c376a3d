//! What came of marking, as pages: for markers, and one for each student.

use crate::document::FrontMatter;
use crate::page::html::exam::{self, Kind, Shell};
use crate::page::tree::Text;

/// A page of marks.
#[derive(Debug)]
pub struct MarksPage<'a> {
    /// The front matter of the paper.
    pub front: &'a FrontMatter,
    /// The title of the paper.
    pub title: &'a str,
    /// "Marks"; a report is named by its student.
    pub what: &'a str,
    /// What stands at the foot of each sheet of paper, and below the title.
    pub foot: String,
    /// Whether its tables need the long side of a sheet.
    pub is_wide: bool,
    /// What it says.
    pub sections: Vec<Section>,
}

/// A piece of a page of marks. What stands between backticks is set as it is typed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Section {
    /// A heading.
    Heading(String),
    /// A paragraph: what it is of, and the rest.
    Words(String, String),
    /// A list.
    Items(Vec<String>),
    /// A table.
    Table(MarksTable),
}

/// A table of a page of marks; the first cell of a row is its name.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct MarksTable {
    /// What it is of.
    pub caption: String,
    /// The heads of the columns.
    pub heads: Vec<String>,
    /// A cell for each column.
    pub rows: Vec<Vec<String>>,
    /// Which column holds a bar of characters.
    pub bar: Option<usize>,
}

/// A page of marks.
pub fn marks(page: &MarksPage<'_>) -> String {
    let shell = Shell {
        title: page.title,
        what: page.what,
        language: &page.front.language,
        paper: page.front.paper,
        foot: page.foot.clone(),
        kind: match page.is_wide {
            true => Kind::Wide,
            false => Kind::Plain,
        },
    };
    let sections: Vec<exam::Section<'_>> = page.sections.iter().map(section).collect();
    exam::told(&shell, &sections)
}

fn section(section: &Section) -> exam::Section<'_> {
    match section {
        Section::Heading(words) => exam::Section::Heading(words),
        Section::Words(of, words) => {
            let mut text = Text::default();
            if !of.is_empty() {
                text.strong(of);
                text.say(" ");
            }
            text.append(typed(words));
            exam::Section::Words(text)
        }
        Section::Items(items) => exam::Section::Items(items.iter().map(|it| typed(it)).collect()),
        Section::Table(table) => exam::Section::Table(table),
    }
}

/// Words in which some are set as they are typed.
fn typed(words: &str) -> Text {
    let mut text = Text::default();
    let parts: Vec<&str> = words.split('`').collect();
    for (at, part) in parts.iter().enumerate() {
        let is_code = at % 2 == 1 && at + 1 < parts.len();
        match is_code {
            true => text.code(part),
            false => text.say(*part),
        }
    }
    text
}
