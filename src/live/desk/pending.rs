//! Files that changed and are to be read again: which, and when.
//!
//! An editor's save is many events, and many saves may come at once. A file is read when nothing
//! more was heard of it for a moment, or has been heard for too long; then all that went before
//! counts as one. The clock is an argument.

use std::collections::BTreeMap;
use std::time::{Duration, Instant};

use super::event::Saved;
use crate::live::Address;

/// How long nothing more may be heard of a file before it is read.
const QUIET: Duration = Duration::from_millis(10);
/// How long a file may go on changing before it is read all the same.
const LONGEST: Duration = Duration::from_millis(100);
/// How long a file that seems to have lost its text is looked at again before that is believed:
/// editors empty a file, or take it away, and write it then.
const DOUBT: Duration = Duration::from_millis(100);

/// Files that are to be read again.
#[derive(Debug, Default)]
pub(super) struct Pending {
    waiting: BTreeMap<Address, Wait>,
    /// When each file was last saved whole, for a while.
    saved: BTreeMap<Address, Instant>,
}

/// Since when, and until when, a file waits.
#[derive(Debug, Clone, Copy)]
struct Wait {
    since: Instant,
    until: Instant,
    /// Until when its being empty or gone is not believed; not asked before it was read once.
    doubt: Option<Instant>,
}

impl Pending {
    /// Hears of a change.
    pub(super) fn note(&mut self, address: Address, saved: Saved, at: Instant) {
        // A lone save that is whole is shown at once.
        let quiet = if saved == Saved::Whole && self.is_lone(&address, at) {
            Duration::ZERO
        } else {
            QUIET
        };
        let old = self.waiting.get(&address).copied();
        let since = old.map_or(at, |old| old.since);
        let wait = Wait {
            since,
            until: (at + quiet).min(since + LONGEST),
            doubt: old.and_then(|old| old.doubt),
        };
        self.waiting.insert(address, wait);
    }

    fn is_lone(&mut self, address: &Address, at: Instant) -> bool {
        let before = self.saved.insert(address.clone(), at);
        before.is_none_or(|before| at.saturating_duration_since(before) >= QUIET)
    }

    /// The files that are to be read now, each with whether its loss would be believed.
    pub(super) fn due(&mut self, now: Instant) -> Vec<(Address, Belief)> {
        self.saved
            .retain(|_, saved| now.saturating_duration_since(*saved) < QUIET);
        let due = |wait: &Wait| wait.until <= now;
        let ready: Vec<(Address, Wait)> =
            self.waiting.extract_if(.., |_, wait| due(wait)).collect();
        let believed = |wait: &Wait| match wait.doubt {
            Some(doubt) if doubt <= now => Belief::Lost,
            until => Belief::Doubted(until.unwrap_or(now + DOUBT)),
        };
        ready
            .into_iter()
            .map(|(address, wait)| (address, believed(&wait)))
            .collect()
    }

    /// A file seems to have lost its text: it is to be looked at again soon.
    pub(super) fn doubt(&mut self, address: Address, doubt: Instant, now: Instant) {
        let wait = Wait {
            since: now,
            until: now + QUIET,
            doubt: Some(doubt),
        };
        self.waiting.insert(address, wait);
    }

    /// How long there is nothing to do; none when there is nothing to wait for.
    pub(super) fn wait(&self, now: Instant) -> Option<Duration> {
        let next = self.waiting.values().map(|wait| wait.until).min()?;
        Some(next.saturating_duration_since(now))
    }
}

/// Whether a file that is empty or gone is believed to be.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Belief {
    /// It is: it was looked at for long enough.
    Lost,
    /// Not before this time.
    Doubted(Instant),
}

#[cfg(test)]
mod tests {
    use super::*;

    fn sheet() -> Address {
        Address::of("a.md").unwrap()
    }

    fn after(start: Instant, milliseconds: u64) -> Instant {
        start + Duration::from_millis(milliseconds)
    }

    #[test]
    fn a_lone_save_that_is_whole_is_read_at_once() {
        let (mut pending, start) = (Pending::default(), Instant::now());
        pending.note(sheet(), Saved::Whole, start);
        assert_eq!(pending.due(start).len(), 1);
        assert_eq!(pending.wait(start), None);
    }

    #[test]
    fn what_is_heard_before_the_end_of_a_save_does_not_delay_it() {
        let (mut pending, start) = (Pending::default(), Instant::now());
        pending.note(sheet(), Saved::Perhaps, start);
        assert!(pending.due(start).is_empty());
        pending.note(sheet(), Saved::Whole, after(start, 1));
        assert_eq!(pending.due(after(start, 1)).len(), 1);
    }

    #[test]
    fn a_file_that_is_being_written_is_read_when_it_is_quiet() {
        let (mut pending, start) = (Pending::default(), Instant::now());
        pending.note(sheet(), Saved::Perhaps, start);
        pending.note(sheet(), Saved::Perhaps, after(start, 6));
        assert!(pending.due(after(start, 12)).is_empty());
        assert_eq!(
            pending.wait(after(start, 12)),
            Some(Duration::from_millis(4))
        );
        assert_eq!(pending.due(after(start, 16)).len(), 1);
    }

    #[test]
    fn a_storm_of_saves_is_read_now_and_then_and_at_its_end() {
        let (mut pending, start) = (Pending::default(), Instant::now());
        let mut read = 0;
        for time in 0..400 {
            if time % 4 == 0 {
                pending.note(sheet(), Saved::Whole, after(start, time));
            }
            read += pending.due(after(start, time)).len();
        }
        assert!((4..=6).contains(&read), "{read} of 100 saves were read");
        assert_eq!(pending.due(after(start, 410)).len(), 1);
        assert!(pending.due(after(start, 900)).is_empty());
    }

    #[test]
    fn a_lost_text_is_looked_at_again_before_it_is_believed() {
        let (mut pending, start) = (Pending::default(), Instant::now());
        pending.note(sheet(), Saved::Whole, start);
        let mut now = start;
        let mut looks = 0;
        loop {
            let [(address, belief)] = <[_; 1]>::try_from(pending.due(now)).unwrap();
            match belief {
                Belief::Lost => break,
                Belief::Doubted(until) => pending.doubt(address, until, now),
            }
            looks += 1;
            now += pending.wait(now).unwrap();
        }
        assert_eq!(now.duration_since(start), DOUBT);
        assert!(looks >= 5);
    }
}
