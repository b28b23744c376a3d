//! A worksheet that is being edited.

use super::Worksheet;
use super::compile::compile_with;
use super::memory::Memory;
use crate::text::Source;

/// A worksheet that is being edited: the one that was compiled of the text as it stands.
#[derive(Debug)]
pub struct Session {
    memory: Memory,
    worksheet: Worksheet,
}

impl Session {
    /// Begins with an empty text. `name` is what messages call the worksheet.
    pub fn new(name: impl Into<String>) -> Self {
        let mut memory = Memory::default();
        let worksheet = compile_with(Source::new(name, ""), &mut memory);
        Self { memory, worksheet }
    }

    /// Takes the text as it stands now; whether it is another one than before.
    pub fn update(&mut self, text: &str) -> bool {
        let is_new = self.text() != text;
        if is_new {
            let source = Source::new(self.worksheet.source.name(), text);
            self.worksheet = compile_with(source, &mut self.memory);
        }
        is_new
    }

    /// The text that the worksheet was compiled of.
    pub fn text(&self) -> &str {
        self.worksheet.source.text()
    }

    /// The worksheet.
    pub fn worksheet(&self) -> &Worksheet {
        &self.worksheet
    }
}
