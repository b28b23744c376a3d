//! One worksheet as browsers see it.

use crate::page;
use crate::worksheet::{Change, Session};

/// One worksheet as browsers see it: the page, and what changed in it.
#[derive(Debug)]
pub struct Sheet {
    session: Session,
    version: u64,
}

impl Sheet {
    /// Begins with a text. `name` is the worksheet's path below the served folder.
    pub fn new(name: &str, text: &str) -> Self {
        let mut session = Session::new(name);
        session.update(text);
        Self {
            session,
            version: 1,
        }
    }

    /// How many texts there have been.
    pub fn version(&self) -> u64 {
        self.version
    }

    /// The whole page.
    pub fn page(&self) -> String {
        page::html(self.session.worksheet())
    }

    /// Takes the text as it stands now; the message (JSON) for browsers that show the version
    /// before, `None` when nothing changed.
    pub fn update(&mut self, text: &str) -> Option<String> {
        if self.session.update(text) == Change::Nothing {
            return None;
        }
        self.version += 1;
        Some(self.whole())
    }

    /// The message (JSON) that brings a browser up to date that shows any other version.
    pub fn whole(&self) -> String {
        String::new()
    }
}
