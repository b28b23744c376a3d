//! One worksheet as browsers see it.

use std::sync::Arc;

use super::content::Content;
use super::shell;
use crate::page;
use crate::text::Files;
use crate::worksheet::{Session, Worksheet};

/// Where a page is followed from.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Place {
    /// The address at which changes are told: `/-/follow/sub/pump.md`.
    pub follow: String,
    /// Which run of the server wrote the page.
    pub run: String,
}

/// The lines of so many warnings are told.
const WARNINGS_TOLD: usize = 5;

/// One worksheet as browsers see it: the page, and what changed in it.
#[derive(Debug)]
pub struct Sheet {
    session: Session,
    /// What was written of it before.
    written: page::Written,
    version: u64,
    content: Content,
}

impl Sheet {
    /// Begins with a text. `name` is the worksheet's path below the served folder, whose files it
    /// may read.
    pub fn new(name: &str, text: &str, served: Arc<dyn Files>) -> Self {
        let mut session = Session::beside(name, served, name);
        session.update(text);
        let mut written = page::Written::default();
        let content = content(session.worksheet(), &mut written);
        Self {
            session,
            written,
            version: 1,
            content,
        }
    }

    /// How many texts there have been.
    pub fn version(&self) -> u64 {
        self.version
    }

    /// What the worksheet is called.
    pub fn title(&self) -> &str {
        &self.content.title
    }

    /// What is wrong with it, in a few words: "2 lines refused; 1 check does not hold"; nothing
    /// when all is well.
    pub fn state(&self) -> &str {
        &self.content.state
    }

    /// Whether it read a file, whose path below the served folder this is.
    pub fn has_read(&self, path: &str) -> bool {
        self.session.has_read(path)
    }

    /// The 1-based line on which the statement with this anchor stands.
    pub fn line_of(&self, id: &str) -> Option<usize> {
        let worksheet = self.session.worksheet();
        let mut statements = worksheet.statements();
        let found = statements.find(|(placed, it)| placed.anchor(&it.id) == id);
        found.map(|(placed, it)| worksheet.line(placed, it.span))
    }

    /// The whole page.
    pub fn page(&self, place: &Place) -> String {
        shell::page(&self.content, self.version, place)
    }

    /// Takes the text as it stands now; the message (JSON) for browsers that show the version
    /// before, `None` when the text is the same.
    pub fn update(&mut self, text: &str) -> Option<String> {
        if !self.session.update(text) {
            return None;
        }
        let now = content(self.session.worksheet(), &mut self.written);
        let before = std::mem::replace(&mut self.content, now);
        self.version += 1;
        Some(self.content.message(self.version, Some(&before)))
    }

    /// The message (JSON) that brings a browser up to date that shows any other version.
    pub fn whole(&self) -> String {
        self.content.message(self.version, None)
    }
}

fn content(worksheet: &Worksheet, written: &mut page::Written) -> Content {
    Content {
        title: page::title(worksheet),
        language: worksheet.front.language.clone(),
        paper: worksheet.front.paper,
        state: state(worksheet),
        parts: page::parts(worksheet, written),
    }
}

fn state(worksheet: &Worksheet) -> String {
    let refused = match page::refused_lines(worksheet) {
        0 => None,
        1 => Some("1 line refused".to_owned()),
        lines => Some(format!("{lines} lines refused")),
    };
    let failed = match page::failed_checks(worksheet) {
        0 => None,
        1 => Some("1 check does not hold".to_owned()),
        checks => Some(format!("{checks} checks do not hold")),
    };
    let facts = [refused, failed, warnings(worksheet)];
    let facts: Vec<String> = facts.into_iter().flatten().collect();
    facts.join("; ")
}

/// "2 warnings (lines 4, 9)": not all of them stand on the page.
fn warnings(worksheet: &Worksheet) -> Option<String> {
    let mut lines: Vec<usize> = (worksheet.diagnostics.iter())
        .filter(|found| !found.is_error())
        .map(|found| worksheet.source.line_of(found.span.start))
        .collect();
    let count = lines.len();
    lines.dedup();
    let told: Vec<String> = (lines.iter().take(WARNINGS_TOLD))
        .map(ToString::to_string)
        .collect();
    let more = if lines.len() > WARNINGS_TOLD {
        ", …"
    } else {
        ""
    };
    let told = told.join(", ");
    match (count, lines.len()) {
        (0, _) => None,
        (1, _) => Some(format!("1 warning (line {told})")),
        (_, 1) => Some(format!("{count} warnings (line {told})")),
        _ => Some(format!("{count} warnings (lines {told}{more})")),
    }
}
