//! A worksheet that is being edited: what has to be computed again, and what is remembered.

use super::compile::compile;
use super::model::Worksheet;
use crate::text::Source;

/// A worksheet that is being edited.
#[derive(Debug)]
pub struct Session {
    text: String,
    worksheet: Worksheet,
}

/// What became of the parts of a worksheet through an edit.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Change {
    /// The text is the same.
    Nothing,
    /// These parts, in order, may print otherwise; all others print the same bytes. There are as
    /// many parts as before, of the same kinds. What stands around the parts (title, summary) may
    /// print otherwise.
    Parts(Vec<usize>),
    /// Anything may have changed, the number of parts too.
    Everything,
}

impl Session {
    /// Begins with an empty text. `name` is what messages call the worksheet.
    pub fn new(name: impl Into<String>) -> Self {
        Self {
            text: String::new(),
            worksheet: compile(Source::new(name, "")),
        }
    }

    /// Takes the text as it stands now.
    pub fn update(&mut self, text: &str) -> Change {
        if self.text == text {
            return Change::Nothing;
        }
        self.text = text.to_owned();
        self.worksheet = compile(Source::new(self.worksheet.source.name(), text));
        Change::Everything
    }

    /// The text as it stands in the file.
    pub fn text(&self) -> &str {
        &self.text
    }

    /// The worksheet, which equals a fresh compilation but for the places in it: lines and
    /// columns are to be asked of its source.
    pub fn worksheet(&self) -> &Worksheet {
        &self.worksheet
    }
}
