//! One worksheet as browsers see it.

use std::collections::BTreeSet;

use rayon::prelude::*;

use super::message::{self, Splice, Update};
use super::{difference, named, shell};
use crate::page::{self, Frame, PartHtml, Parts};
use crate::typeset::Names;
use crate::worksheet::Session;

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
    version: u64,
    names: Names,
    frame: Frame,
    title: String,
    head: String,
    parts: Vec<Kept>,
    files: BTreeSet<String>,
}

/// A part as it was last written, and the files that it names.
#[derive(Debug, Default, PartialEq)]
struct Kept {
    written: PartHtml,
    files: Vec<String>,
}

impl Kept {
    fn new(written: PartHtml) -> Self {
        let files = named::files(&written.html);
        Self { written, files }
    }
}

impl Sheet {
    /// Begins with a text. `name` is the worksheet's path below the served folder.
    pub fn new(name: &str, text: &str) -> Self {
        let mut session = Session::new(name);
        session.update(text);
        let names = Names::new(&session.worksheet().symbols);
        let parts = Parts::new(session.worksheet(), &names);
        let (frame, written) = (parts.frame(), parts.all());
        let head = parts.head(failed_checks(&written));
        let mut sheet = Self {
            version: 1,
            title: page::title(session.worksheet()),
            frame,
            head,
            parts: written.into_par_iter().map(Kept::new).collect(),
            files: BTreeSet::new(),
            names,
            session,
        };
        sheet.gather_files();
        sheet
    }

    /// How many texts there have been.
    pub fn version(&self) -> u64 {
        self.version
    }

    /// What the worksheet is called.
    pub fn title(&self) -> String {
        self.title.clone()
    }

    /// What is wrong with it, in a few words: "2 lines refused; 1 check does not hold"; nothing
    /// when all is well.
    pub fn state(&self) -> String {
        let refused = match page::refused_lines(self.session.worksheet()) {
            0 => None,
            1 => Some("1 line refused".to_owned()),
            lines => Some(format!("{lines} lines refused")),
        };
        let failed = match self.failed_checks() {
            0 => None,
            1 => Some("1 check does not hold".to_owned()),
            checks => Some(format!("{checks} checks do not hold")),
        };
        let facts: Vec<String> = ([refused, failed, self.warnings()].into_iter())
            .flatten()
            .collect();
        facts.join("; ")
    }

    /// "2 warnings (lines 4, 9)": not all of them stand on the page.
    fn warnings(&self) -> Option<String> {
        let worksheet = self.session.worksheet();
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

    /// The addresses of the files that its page shows or links to, as links have them: relative
    /// to the worksheet, percent-encoded, without what follows `?` or `#`.
    pub fn files(&self) -> &BTreeSet<String> {
        &self.files
    }

    /// The whole page.
    pub fn page(&self, place: &Place) -> String {
        let shell = shell::Shell {
            title: &self.title,
            language: &self.frame.language,
            paper: self.frame.paper,
            state: &self.state(),
            version: self.version,
        };
        shell::page(&shell, &self.main(), place)
    }

    /// Takes the text as it stands now; the message (JSON) for browsers that show the version
    /// before, `None` when the text is the same.
    pub fn update(&mut self, text: &str) -> Option<String> {
        if !self.session.update(text) {
            return None;
        }
        self.version += 1;
        Some(self.write_all())
    }

    /// The message (JSON) that brings a browser up to date that shows any other version.
    pub fn whole(&self) -> String {
        message::json(&message::Whole {
            kind: "whole",
            version: self.version,
            main: &self.main(),
            title: &self.title,
            state: &self.state(),
            language: &self.frame.language,
            paper: shell::paper(self.frame.paper),
        })
    }

    /// Writes everything again; the message that says what changed.
    fn write_all(&mut self) -> String {
        self.names = Names::new(&self.session.worksheet().symbols);
        let parts = Parts::new(self.session.worksheet(), &self.names);
        let (frame, written) = (parts.frame(), parts.all());
        let splice = self.splice(&written);
        let is_regular = frame == self.frame
            && (self.parts.iter().zip(&written))
                .all(|(old, new)| old.written.begins_section == new.begins_section);
        self.frame = frame;
        let mut update = Update {
            splice,
            ..Update::default()
        };
        for (index, part) in written.into_iter().enumerate() {
            self.put(index, part, &mut update);
        }
        let is_large = update.splice.is_some() && update.size() > self.size() / 2;
        let parts = self.finish(update);
        if is_regular && !is_large {
            parts
        } else {
            self.whole()
        }
    }

    /// Makes as many parts as there are now, by taking away or putting in parts where the first
    /// one differs. Which ones these are in truth does not matter: all are compared afterwards.
    fn splice(&mut self, written: &[PartHtml]) -> Option<Splice> {
        let (before, now) = (self.parts.len(), written.len());
        if before == now {
            return None;
        }
        let same = (self.parts.iter().zip(written)).take_while(|(old, new)| old.written == **new);
        let at = same.count();
        let removed = before.saturating_sub(now);
        let added = written.get(at..at + now.saturating_sub(before));
        let added = added.unwrap_or_default();
        let kept = added.iter().cloned().map(Kept::new);
        self.parts.splice(at..at + removed, kept);
        let part = |part: &PartHtml| (part.begins_section, part.html.clone());
        let added = added.iter().map(part).collect();
        Some(Splice(at, removed, added))
    }

    /// Keeps a part as it is written now, and notes what changed in it.
    fn put(&mut self, index: usize, written: PartHtml, update: &mut Update) {
        let Some(kept) = self.parts.get_mut(index) else {
            return;
        };
        if kept.written == written {
            return;
        }
        difference::note(index, &kept.written, &written, update);
        let part = Kept::new(written);
        update.has_other_files |= part.files != kept.files;
        *kept = part;
    }

    /// Brings up to date what stands around the parts, and words the message.
    fn finish(&mut self, mut update: Update) -> String {
        if update.has_other_files || update.splice.is_some() {
            self.gather_files();
        }
        let worksheet = self.session.worksheet();
        let head = Parts::new(worksheet, &self.names).head(self.failed_checks());
        if head != self.head {
            update.head = Some(head.clone());
            self.head = head;
        }
        let title = page::title(worksheet);
        if title != self.title {
            update.title = Some(title.clone());
            self.title = title;
        }
        update.state = self.state();
        update.version = self.version;
        message::json(&update)
    }

    /// What stands in `main`.
    fn main(&self) -> String {
        let mut out = String::with_capacity(self.size() + 64 * self.parts.len());
        shell::main(
            &self.head,
            self.parts.iter().map(|kept| &kept.written),
            &mut out,
        );
        out
    }

    fn size(&self) -> usize {
        self.parts.iter().map(|kept| kept.written.html.len()).sum()
    }

    fn failed_checks(&self) -> usize {
        failed_checks(self.parts.iter().map(|kept| &kept.written))
    }

    fn gather_files(&mut self) {
        let files = self.parts.iter().flat_map(|kept| &kept.files);
        self.files = files.cloned().collect();
    }
}

fn failed_checks<'p>(parts: impl IntoIterator<Item = &'p PartHtml>) -> usize {
    parts.into_iter().map(|part| part.failed_checks).sum()
}
