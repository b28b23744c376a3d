//! A worksheet that is being edited: what has to be computed again, and what is remembered.
//!
//! The text is cut into stretches, prose and blocks by turns. A stretch whose text did not change
//! is not read again. Where only prose, data and formulas changed, and the names that are defined
//! are the same as before, the edited blocks are resolved and checked again by themselves, and
//! then every block that reads a value which became another is evaluated again, from the top to
//! the bottom. Any other edit runs all passes on what was read; an edit that moves the blocks
//! themselves reads the whole text. The outcome is that of [`compile`](super::compile) each time.

mod edit;
mod follow;
mod layout;
mod local;
mod readers;
mod rebuild;
mod state;

use std::fmt;

use super::model::Worksheet;
use crate::proofs::Memory;
use state::State;

/// A worksheet that is being edited.
pub struct Session {
    name: String,
    state: State,
    effort: Effort,
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

/// What the last edit made it necessary to do again.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Effort {
    /// The first lines of the blocks that were evaluated again, in order, where not all were.
    pub blocks: Vec<usize>,
    /// The lines of the asks in the text that were evaluated again, likewise.
    pub asks: Vec<usize>,
    /// Whether everything was evaluated again.
    pub everything: bool,
    /// Whether everything was read again.
    pub reread: bool,
}

impl Session {
    /// Begins with an empty text. `name` is what messages call the worksheet.
    pub fn new(name: impl Into<String>) -> Self {
        let name = name.into();
        Self {
            state: State::fresh(&name, "", Memory::default()),
            name,
            effort: Effort::default(),
        }
    }

    /// Takes the text as it stands now.
    pub fn update(&mut self, text: &str) -> Change {
        self.effort = Effort::default();
        if self.text() == text {
            return Change::Nothing;
        }
        if let Some(change) = self.state.edit(text, &mut self.effort) {
            return change;
        }
        self.effort.everything = true;
        self.effort.reread = true;
        let memory = std::mem::take(&mut self.state.memory);
        self.state = State::fresh(&self.name, text, memory);
        Change::Everything
    }

    /// The text as it stands in the file.
    pub fn text(&self) -> &str {
        self.state.text()
    }

    /// The worksheet, which equals a fresh compilation but for the places in it: lines and
    /// columns are to be asked of its source.
    pub fn worksheet(&self) -> &Worksheet {
        &self.state.worksheet
    }

    /// What the last edit made it necessary to do again.
    pub fn effort(&self) -> &Effort {
        &self.effort
    }
}

impl fmt::Debug for Session {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        out.debug_struct("Session")
            .field("name", &self.name)
            .finish_non_exhaustive()
    }
}
