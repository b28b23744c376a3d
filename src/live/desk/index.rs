//! The index of the folder: its worksheets, each with its title and what is wrong with it.

use std::collections::BTreeMap;
use std::time::{Duration, Instant};

use super::follower::{self, Follower, Followers};
use super::open::now;
use crate::document::Paper;
use crate::live::{Address, Place, shell};
use crate::typeset;

/// How often the index is sent while many worksheets are being read for it.
const OFTEN: Duration = Duration::from_millis(100);

/// The index of the folder.
#[derive(Debug)]
pub(super) struct Index {
    name: String,
    run: String,
    version: u64,
    entries: BTreeMap<Address, Entry>,
    /// What is shown of the entries.
    main: String,
    told: Option<Instant>,
    followers: Followers,
}

/// What is known of a worksheet.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) enum Entry {
    /// Nothing: it is to be read.
    Unknown,
    /// Its title, and what is wrong with it, if anything is.
    Read { title: String, state: String },
    /// Why it could not be read.
    Unread(String),
}

impl Index {
    /// The index of the folder with this name.
    pub(super) fn new(name: String, run: String) -> Self {
        let mut index = Self {
            name,
            run,
            version: 1,
            entries: BTreeMap::new(),
            main: String::new(),
            told: None,
            followers: Followers::default(),
        };
        index.main = index.write();
        index
    }

    pub(super) fn is_followed(&self) -> bool {
        !self.followers.is_empty()
    }

    pub(super) fn forget_gone(&mut self) {
        self.followers.forget_gone();
    }

    /// Takes the list of worksheets as it is now; what is known of them stays.
    pub(super) fn list(&mut self, worksheets: Vec<Address>) {
        let mut known = std::mem::take(&mut self.entries);
        let mut entry = |address: &Address| known.remove(address).unwrap_or(Entry::Unknown);
        self.entries = (worksheets.into_iter())
            .map(|address| (address.clone(), entry(&address)))
            .collect();
    }

    /// Whether a worksheet is in the list.
    pub(super) fn lists(&self, address: &Address) -> bool {
        self.entries.contains_key(address)
    }

    /// Takes a worksheet from the list that is there no more.
    pub(super) fn forget(&mut self, address: &Address) {
        self.entries.remove(address);
    }

    /// Takes what is known of a worksheet now, if it is listed.
    pub(super) fn note(&mut self, address: &Address, entry: Entry) {
        if let Some(known) = self.entries.get_mut(address) {
            *known = entry;
        }
    }

    /// The next worksheet that somebody waits to hear of.
    pub(super) fn next_unknown(&self) -> Option<Address> {
        if !self.is_followed() {
            return None;
        }
        let mut entries = self.entries.iter();
        let unknown = entries.find(|(_, entry)| **entry == Entry::Unknown);
        unknown.map(|(address, _)| address.clone())
    }

    /// Tells the followers what has changed; while much is being read, not each time.
    pub(super) fn tell(&mut self, now: Instant) {
        let is_soon = |told: Instant| now.saturating_duration_since(told) < OFTEN;
        if !self.is_followed() || (self.next_unknown().is_some() && self.told.is_some_and(is_soon))
        {
            return;
        }
        if self.write_anew() {
            let message = self.whole();
            self.told = Some(now);
            self.followers.tell(message);
        }
    }

    /// One more browser, which is brought up to date.
    pub(super) fn greet(&mut self, follower: Follower) {
        self.write_anew();
        let mut messages = vec![follower::hello(&self.run, self.version, now())];
        if !follower.shows(&self.run, self.version) {
            messages.push(self.whole());
        }
        self.followers.greet(follower, messages);
    }

    /// Its page as it is now.
    pub(super) fn page(&mut self) -> String {
        self.write_anew();
        let place = Place {
            follow: "/-/follow/".to_owned(),
            run: self.run.clone(),
        };
        let shell = shell::Shell {
            title: &self.name,
            language: "en",
            paper: Paper::A4,
            state: &self.state(),
            version: self.version,
        };
        shell::page(&shell, &self.main, &place)
    }

    fn whole(&self) -> String {
        follower::whole(self.version, &self.main, &self.name, &self.state())
    }

    /// Writes it, and says whether it is another one now.
    fn write_anew(&mut self) -> bool {
        let main = self.write();
        let is_new = main != self.main;
        if is_new {
            self.main = main;
            self.version += 1;
        }
        is_new
    }

    fn write(&self) -> String {
        let mut out = String::from("<header><h1>");
        typeset::escape(&self.name, &mut out);
        out.push_str("</h1></header>\n<section>\n");
        if self.entries.is_empty() {
            out.push_str("<p>The folder holds no worksheet (a file named *.md).</p>\n");
        } else {
            out.push_str(
                "<table><thead><tr><th>Worksheet</th><th>Title</th><th>State</th></tr></thead><tbody>\n",
            );
            for (address, entry) in &self.entries {
                write_row(address, entry, &mut out);
            }
            out.push_str("</tbody></table>\n");
        }
        out.push_str("</section>\n");
        out
    }

    /// "2 of 12 worksheets need a look"; nothing when none has.
    fn state(&self) -> String {
        let is_wrong = |entry: &&Entry| match entry {
            Entry::Unknown => false,
            Entry::Read { state, .. } => !state.is_empty(),
            Entry::Unread(_) => true,
        };
        let all = self.entries.len();
        match self.entries.values().filter(is_wrong).count() {
            0 => String::new(),
            1 => format!("1 of {all} worksheets needs a look"),
            wrong => format!("{wrong} of {all} worksheets need a look"),
        }
    }
}

fn write_row(address: &Address, entry: &Entry, out: &mut String) {
    let (title, state) = match entry {
        Entry::Unknown => ("", "not read yet"),
        Entry::Read { title, state } if state.is_empty() => (title.as_str(), "no errors"),
        Entry::Read { title, state } => (title.as_str(), state.as_str()),
        Entry::Unread(reason) => ("", reason.as_str()),
    };
    out.push_str("<tr><td><a href=\"");
    typeset::escape(&address.url(), out);
    out.push_str("\">");
    typeset::escape(address.path(), out);
    out.push_str("</a></td><td>");
    typeset::escape(title, out);
    out.push_str("</td><td>");
    typeset::escape(state, out);
    out.push_str("</td></tr>\n");
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::live::desk::follower::Shown;

    fn sheet(path: &str) -> Address {
        Address::of(path).unwrap()
    }

    fn read(title: &str, state: &str) -> Entry {
        let (title, state) = (title.to_owned(), state.to_owned());
        Entry::Read { title, state }
    }

    #[test]
    fn a_worksheet_is_listed_with_its_title_and_state() {
        let mut index = Index::new("bridge".to_owned(), "run".to_owned());
        index.list(vec![sheet("a & b.md"), sheet("c.md"), sheet("d.md")]);
        index.note(&sheet("a & b.md"), read("<Beam>", ""));
        index.note(&sheet("c.md"), read("Post", "2 lines refused"));
        let page = index.page();
        assert!(page.contains(
            "<td><a href=\"/a%20%26%20b.md\">a &amp; b.md</a></td><td>&lt;Beam&gt;</td><td>no errors</td>"
        ));
        assert!(page.contains("<td>Post</td><td>2 lines refused</td>"));
        assert!(page.contains("<td>not read yet</td>"));
        assert_eq!(index.state(), "1 of 3 worksheets needs a look");
    }

    #[test]
    fn followers_hear_of_what_is_new_only() {
        let mut index = Index::new("bridge".to_owned(), "run".to_owned());
        let (follower, mut messages) = Follower::new(Shown::default());
        index.list(vec![sheet("a.md")]);
        index.greet(follower);
        assert!(messages.try_recv().unwrap().contains("\"hello\""));
        assert!(messages.try_recv().unwrap().contains("not read yet"));
        assert_eq!(index.next_unknown(), Some(sheet("a.md")));
        index.note(&sheet("a.md"), read("Post", ""));
        index.tell(Instant::now());
        assert!(messages.try_recv().unwrap().contains("no errors"));
        index.tell(Instant::now());
        assert!(messages.try_recv().is_err());
    }

    #[test]
    fn nobody_waits_for_an_index_that_is_not_followed() {
        let mut index = Index::new("bridge".to_owned(), "run".to_owned());
        index.list(vec![sheet("a.md")]);
        assert_eq!(index.next_unknown(), None);
    }
}
