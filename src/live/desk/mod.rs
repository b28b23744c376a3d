//! The desk: which worksheets are open, and what happens when one changes.
//!
//! In go events, one after another; out go messages to the browsers that follow. One thread does
//! all of it, so that versions come in their order; what it is asked meanwhile waits. Of many
//! changes only the last is worked on. Reading files is left to [`Folder`], connections to the
//! server.

mod event;
mod follower;
mod index;
mod open;
mod pending;
#[cfg(test)]
mod tests;

use std::collections::BTreeMap;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::sync::Arc;
use std::sync::mpsc::{Receiver, RecvTimeoutError};
use std::time::{Duration, Instant};

pub(super) use event::{Event, Page};
pub use event::{Events, Queue, Saved, queue};
pub(super) use follower::{Follower, Seat, Shown};

use super::{Address, Folder, Notice, Sheet, Tell, Text};
use crate::text::{Files, Unread};
use index::{Entry, Index};
use open::Open;
use pending::{Belief, Pending};

/// Worksheets that stay open, for a while, though nobody follows them.
const MOST_UNFOLLOWED: usize = 16;
/// Events that are taken before what is due is done.
const MOST_AT_ONCE: usize = 1000;
/// How long after a folder came or went all are looked at again: they seldom come alone.
const QUIET: Duration = Duration::from_millis(50);

/// What is said, behind the name of a worksheet, when the program itself goes wrong over it.
const BROKEN: &str = "made setsquare itself fail, which it should not: please report it; \
                      it is tried again when the worksheet changes";

/// The desk.
pub(super) struct Desk {
    files: Arc<dyn Folder>,
    tell: Arc<Tell>,
    run: String,
    /// Counts what is opened and asked for.
    count: u64,
    open: BTreeMap<Address, Open>,
    pending: Pending,
    /// When folders are to be looked at again.
    look: Option<Instant>,
    index: Index,
}

impl Desk {
    /// An empty desk over these files. `name` is what the index calls the folder, `run` tells
    /// this run of the program from all others.
    pub(super) fn new(files: Arc<dyn Folder>, tell: Arc<Tell>, name: String, run: String) -> Self {
        Self {
            index: Index::new(name, run.clone()),
            files,
            tell,
            run,
            count: 0,
            open: BTreeMap::new(),
            pending: Pending::default(),
            look: None,
        }
    }

    /// Works until nobody can send events any more.
    pub(super) fn work(mut self, events: &Receiver<Event>) {
        loop {
            let first = match self.wait(Instant::now()) {
                None => events.recv().map_err(|_| RecvTimeoutError::Disconnected),
                Some(wait) => events.recv_timeout(wait),
            };
            match first {
                Ok(event) => {
                    self.hear_safely(event);
                    let more = events.try_iter().take(MOST_AT_ONCE);
                    more.for_each(|event| self.hear_safely(event));
                }
                Err(RecvTimeoutError::Timeout) => {}
                Err(RecvTimeoutError::Disconnected) => return,
            }
            self.settle(Instant::now());
        }
    }

    /// How long there is nothing to do; none when only an event can give work.
    fn wait(&self, now: Instant) -> Option<Duration> {
        if self.index.next_unknown().is_some() {
            return Some(Duration::ZERO);
        }
        let look = self.look.map(|look| look.saturating_duration_since(now));
        self.pending.wait(now).into_iter().chain(look).min()
    }

    /// A mistake of the program costs the one who asked an answer, and nobody else anything.
    fn hear_safely(&mut self, event: Event) {
        let address = event.address().cloned();
        let heard = catch_unwind(AssertUnwindSafe(|| self.hear(event)));
        if let (Err(_), Some(address)) = (heard, address) {
            self.break_down(&address);
        }
    }

    fn hear(&mut self, event: Event) {
        match event {
            Event::Changed { address, saved, at } => self.pending.note(address, saved, at),
            Event::Anything { at } => {
                self.look.get_or_insert(at + QUIET);
            }
            Event::Page { address, answer } => {
                // Whoever asked may have gone.
                let _ = answer.send(self.page(&address));
            }
            Event::Line {
                address,
                id,
                answer,
            } => {
                let sheet = self.open.get(&address).and_then(Open::sheet);
                let _ = answer.send(sheet.and_then(|sheet| sheet.line_of(&id)));
            }
            Event::Index { answer } => {
                self.index.list(self.files.worksheets());
                let _ = answer.send(Page::Html(self.index.page()));
            }
            Event::Follow { address, follower } => match address {
                Some(address) => self.follow(&address, follower),
                None => {
                    self.index.list(self.files.worksheets());
                    self.index.greet(follower);
                }
            },
            Event::Left => {
                self.index.forget_gone();
                for open in self.open.values_mut() {
                    open.followers.forget_gone();
                }
                self.close_oldest();
            }
        }
    }

    /// The page at this address; it is read again, so that it is true where no change was heard.
    fn page(&mut self, address: &Address) -> Page {
        let text = self.files.text(address);
        match self.open.get_mut(address) {
            Some(open) if open.has_text() && seems_lost(&text) => {}
            Some(open) => {
                if open.take(text) {
                    report(open, address, &self.tell, &mut self.index);
                }
            }
            None if text == Err(Unread::Missing) => return Page::Missing,
            None => self.begin(address, text),
        }
        let page = self.open.get_mut(address).map(|open| {
            self.count += 1;
            open.asked = self.count;
            open.page()
        });
        self.close_oldest();
        page.map_or(Page::Missing, Page::Html)
    }

    fn follow(&mut self, address: &Address, follower: Follower) {
        if !self.open.contains_key(address) {
            self.begin(address, self.files.text(address));
        }
        if let Some(open) = self.open.get_mut(address) {
            open.greet(follower);
        }
    }

    /// Opens a worksheet with what was read.
    fn begin(&mut self, address: &Address, text: Result<Text, Unread>) {
        self.count += 1;
        let run = format!("{}.{}", self.run, self.count);
        let files: Arc<dyn Files> = self.files.clone();
        let open = Open::new(address.clone(), run, files, text);
        report(&open, address, &self.tell, &mut self.index);
        self.open.insert(address.clone(), open);
    }

    /// Closes what nobody follows and nobody has asked for in a while.
    fn close_oldest(&mut self) {
        let unfollowed = self
            .open
            .iter()
            .filter(|(_, open)| open.followers.is_empty());
        let mut asked: Vec<(u64, Address)> = unfollowed
            .map(|(address, open)| (open.asked, address.clone()))
            .collect();
        asked.sort_unstable();
        let surplus = asked.len().saturating_sub(MOST_UNFOLLOWED);
        for (_, address) in asked.into_iter().take(surplus) {
            self.open.remove(&address);
        }
    }

    /// Does what is due.
    fn settle(&mut self, now: Instant) {
        for (address, belief) in self.pending.due(now) {
            let read = catch_unwind(AssertUnwindSafe(|| self.read(&address, belief, now)));
            if read.is_err() {
                self.break_down(&address);
            }
        }
        if self.look.is_some_and(|look| look <= now) {
            self.look = None;
            self.look_again(now);
        }
        self.read_for_index();
        self.index.tell(now);
    }

    /// Reads a worksheet that changed, came or went.
    fn read(&mut self, address: &Address, belief: Belief, now: Instant) {
        // Nobody looks at these: they are read when somebody does.
        self.open
            .retain(|_, open| !open.is_at(address) || !open.followers.is_empty());
        let all = self.open.iter_mut().filter(|(_, open)| open.shows(address));
        for (at, open) in all {
            let text = self.files.text(at);
            if let (true, Belief::Doubted(until)) = (open.has_text() && seems_lost(&text), belief) {
                return self.pending.doubt(address.clone(), until, now);
            }
            let is_gone = text == Err(Unread::Missing);
            if open.take(text) {
                report(open, at, &self.tell, &mut self.index);
            }
            if is_gone {
                self.index.forget(at);
            }
        }
        if self.index.is_followed() && !self.index.lists(address) {
            self.index.list(self.files.worksheets());
        }
        if !self.open.contains_key(address) {
            self.index.note(address, Entry::Unknown);
        }
    }

    /// Reads the next worksheet that the index waits for.
    fn read_for_index(&mut self) {
        let Some(address) = self.index.next_unknown() else {
            return;
        };
        let entry = catch_unwind(AssertUnwindSafe(|| self.entry(&address)));
        let entry = entry.unwrap_or_else(|_| Entry::Unread(BROKEN.to_owned()));
        if entry == Entry::Unread(open::trouble(&Unread::Missing)) {
            self.index.forget(&address);
        } else {
            self.index.note(&address, entry);
        }
    }

    /// Folders came or went: everything that is followed is looked at again.
    fn look_again(&mut self, now: Instant) {
        for address in self.open.keys() {
            self.files.watch(address);
            self.pending.note(address.clone(), Saved::Perhaps, now);
        }
        if self.index.is_followed() {
            self.index.list(self.files.worksheets());
        }
    }

    /// What the index says of a worksheet.
    fn entry(&self, address: &Address) -> Entry {
        match self.open.get(address) {
            Some(open) => entry(open),
            None => match self.files.text(address) {
                Ok(text) => {
                    let files: Arc<dyn Files> = self.files.clone();
                    Entry::of(&Sheet::new(address.path(), &text.text, files))
                }
                Err(unread) => Entry::Unread(open::trouble(&unread)),
            },
        }
    }

    /// The program itself went wrong over this worksheet.
    fn break_down(&mut self, address: &Address) {
        for open in self.open.values_mut().filter(|open| open.is_at(address)) {
            open.break_down();
        }
        let text = format!("{address} {BROKEN}");
        (self.tell)(&Notice::Failed { text });
    }
}

impl Event {
    /// The worksheet that it is about.
    fn address(&self) -> Option<&Address> {
        match self {
            Self::Page { address, .. }
            | Self::Line { address, .. }
            | Self::Changed { address, .. } => Some(address),
            Self::Follow { address, .. } => address.as_ref(),
            Self::Anything { .. } | Self::Index { .. } | Self::Left => None,
        }
    }
}

fn seems_lost(text: &Result<Text, Unread>) -> bool {
    match text {
        Ok(text) => text.text.is_empty(),
        Err(unread) => *unread == Unread::Missing,
    }
}

/// A worksheet was read: the terminal and the index hear of it.
fn report(open: &Open, address: &Address, tell: &Arc<Tell>, index: &mut Index) {
    let entry = entry(open);
    let address = address.clone();
    index.note(&address, entry.clone());
    match entry {
        Entry::Read { state, .. } => tell(&Notice::Read { address, state }),
        Entry::Unread(trouble) => tell(&Notice::Failed {
            text: format!("{address} {trouble}"),
        }),
        Entry::Unknown => {}
    }
}

fn entry(open: &Open) -> Entry {
    match (open.trouble(), open.sheet()) {
        (Some(trouble), _) => Entry::Unread(trouble.to_owned()),
        (None, Some(sheet)) => Entry::of(sheet),
        (None, None) => Entry::Unknown,
    }
}
