//! The index of the folder: its worksheets, each with its title and what is wrong with it.

use std::collections::BTreeMap;
use std::time::{Duration, Instant};

use super::follower::{self, Follower, Followers};
use super::open::now;
use crate::live::content::Content;
use crate::live::{Address, Place, Sheet, shell};
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
    content: Content,
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

impl Entry {
    /// What is known of a worksheet that was read.
    pub(super) fn of(sheet: &Sheet) -> Self {
        Self::Read {
            title: sheet.title().to_owned(),
            state: sheet.state().to_owned(),
        }
    }
}

impl Index {
    /// The index of the folder with this name.
    pub(super) fn new(name: String, run: String) -> Self {
        let entries = BTreeMap::new();
        Self {
            content: content(&name, &entries),
            name,
            run,
            version: 1,
            entries,
            told: None,
            followers: Followers::default(),
        }
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
        if let Some(before) = self.write_anew() {
            let message = self.content.message(self.version, Some(&before));
            self.told = Some(now);
            self.followers.tell(message);
        }
    }

    /// One more browser, which is brought up to date.
    pub(super) fn greet(&mut self, follower: Follower) {
        self.write_anew();
        let mut messages = vec![follower::hello(&self.run, self.version, now())];
        if !follower.shows(&self.run, self.version) {
            messages.push(self.content.message(self.version, None));
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
        shell::page(&self.content, self.version, &place)
    }

    /// Writes it; what it was before, where it is another one now.
    fn write_anew(&mut self) -> Option<Content> {
        let now = content(&self.name, &self.entries);
        if now == self.content {
            return None;
        }
        self.version += 1;
        Some(std::mem::replace(&mut self.content, now))
    }
}

fn content(name: &str, entries: &BTreeMap<Address, Entry>) -> Content {
    Content::plain(name, table(entries), state(entries))
}

fn table(entries: &BTreeMap<Address, Entry>) -> String {
    if entries.is_empty() {
        return "<p>The folder holds no worksheet (a file named *.md).</p>\n".to_owned();
    }
    let mut out = String::from(
        "<table><thead><tr><th>Worksheet</th><th>Title</th><th>State</th></tr></thead><tbody>\n",
    );
    for (address, entry) in entries {
        write_row(address, entry, &mut out);
    }
    out.push_str("</tbody></table>\n");
    out
}

/// "2 of 12 worksheets need a look"; nothing when none has.
fn state(entries: &BTreeMap<Address, Entry>) -> String {
    let is_wrong = |entry: &&Entry| match entry {
        Entry::Unknown => false,
        Entry::Read { state, .. } => !state.is_empty(),
        Entry::Unread(_) => true,
    };
    let all = entries.len();
    match entries.values().filter(is_wrong).count() {
        0 => String::new(),
        1 => format!("1 of {all} worksheets needs a look"),
        wrong => format!("{wrong} of {all} worksheets need a look"),
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
    use crate::live::desk::follower::{Seat, Shown};

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
        assert_eq!(state(&index.entries), "1 of 3 worksheets needs a look");
    }

    #[test]
    fn followers_hear_of_what_is_new_only() {
        let mut index = Index::new("bridge".to_owned(), "run".to_owned());
        let (
            follower,
            Seat {
                messages,
                here: _here,
            },
        ) = Follower::new(Shown::default());
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
