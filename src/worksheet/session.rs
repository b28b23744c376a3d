//! A worksheet that is being edited.

use std::fmt;
use std::sync::Arc;

use super::Worksheet;
use super::compile::compile_with;
use super::memory::Memory;
use crate::text::{Beside, Files, NoFiles, Source};

/// A worksheet that is being edited: the one that was compiled of the text as it stands.
pub struct Session {
    memory: Memory,
    worksheet: Worksheet,
    files: Arc<dyn Files>,
    path: String,
}

impl Session {
    /// Begins with an empty text. `name` is what messages call the worksheet.
    pub fn new(name: impl Into<String>) -> Self {
        Self::beside(name, Arc::new(NoFiles), "")
    }

    /// The same for a worksheet that may read what stands in its folder: it is the one of these
    /// files with this path.
    pub fn beside(name: impl Into<String>, files: Arc<dyn Files>, path: &str) -> Self {
        let mut memory = Memory::default();
        let source = Source::new(name, "");
        Self {
            worksheet: compile_with(source, &Beside::nothing(), &mut memory),
            memory,
            files,
            path: path.to_owned(),
        }
    }

    /// Takes the text as it stands now, and the files that it reads; whether any of them is
    /// another one than before.
    pub fn update(&mut self, text: &str) -> bool {
        let beside = Beside::new(Arc::clone(&self.files), &self.path);
        let is_new = self.text() != text || !self.is_read(&beside);
        if is_new {
            let source = Source::new(self.worksheet.source.name(), text);
            self.worksheet = compile_with(source, &beside, &mut self.memory);
        }
        is_new
    }

    /// Whether the files that the worksheet read are what they were then.
    fn is_read(&self, beside: &Beside) -> bool {
        let files = &self.worksheet.files;
        files.iter().for_each(|file| drop(beside.read(&file.path)));
        beside.readings() == *files
    }

    /// Whether the worksheet read a file, whose path is as that of the worksheet.
    pub fn has_read(&self, path: &str) -> bool {
        let folder = self.path.rsplit_once('/').map(|(folder, _)| folder);
        let below = folder.map_or(Some(path), |folder| {
            path.strip_prefix(folder)?.strip_prefix('/')
        });
        let mut files = self.worksheet.files.iter();
        // Of a folder the names were read.
        let is_in = |path: &str, folder: &str| {
            let (own, _) = path.rsplit_once('/').unwrap_or(("", path));
            folder.strip_suffix('/') == Some(own)
        };
        below.is_some_and(|path| files.any(|file| file.path == path || is_in(path, &file.path)))
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

impl fmt::Debug for Session {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        out.debug_struct("Session")
            .field("worksheet", &self.worksheet)
            .finish_non_exhaustive()
    }
}
