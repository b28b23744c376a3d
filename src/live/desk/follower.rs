//! A browser that follows a worksheet or the index, and the messages that it is sent.

use std::sync::mpsc::{Receiver, SyncSender, sync_channel};
use std::sync::{Arc, Weak};

use serde_json::json;
use tungstenite::Utf8Bytes;

/// Messages that may wait for one browser; it is let go when there are more, and catches up when
/// it comes again.
const MOST_WAITING: usize = 16;

/// A browser that follows.
#[derive(Debug)]
pub(in crate::live) struct Follower {
    shown: Shown,
    sender: SyncSender<Utf8Bytes>,
    here: Weak<()>,
}

/// The other end of a follower, where the browser is.
#[derive(Debug)]
pub(in crate::live) struct Seat {
    /// Where its messages come out.
    pub(in crate::live) messages: Receiver<Utf8Bytes>,
    /// Kept as long as the browser is there.
    pub(in crate::live) here: Arc<()>,
}

/// What a browser shows when it begins to follow.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub(in crate::live) struct Shown {
    pub(in crate::live) run: String,
    pub(in crate::live) version: u64,
}

impl Follower {
    /// A browser that shows this, and its end.
    pub(in crate::live) fn new(shown: Shown) -> (Self, Seat) {
        let (sender, messages) = sync_channel(MOST_WAITING);
        let here = Arc::new(());
        let follower = Self {
            shown,
            sender,
            here: Arc::downgrade(&here),
        };
        (follower, Seat { messages, here })
    }

    /// Whether it shows this.
    pub(super) fn shows(&self, run: &str, version: u64) -> bool {
        self.shown.run == run && self.shown.version == version
    }

    /// Sends a message; false when it takes none any more.
    pub(super) fn send(&self, message: Utf8Bytes) -> bool {
        self.sender.try_send(message).is_ok()
    }
}

/// Those who follow one thing.
#[derive(Debug, Default)]
pub(super) struct Followers {
    all: Vec<Follower>,
}

impl Followers {
    pub(super) fn is_empty(&self) -> bool {
        self.all.is_empty()
    }

    /// One more, who is told these first.
    pub(super) fn greet(&mut self, follower: Follower, messages: Vec<String>) {
        if messages.into_iter().all(|text| follower.send(text.into())) {
            self.all.push(follower);
        }
    }

    /// Tells all of them, and lets go of those who take no more.
    pub(super) fn tell(&mut self, message: String) {
        let message = Utf8Bytes::from(message);
        self.all.retain(|follower| follower.send(message.clone()));
    }

    /// Lets go of those who left.
    pub(super) fn forget_gone(&mut self) {
        self.all.retain(|follower| follower.here.strong_count() > 0);
    }
}

/// The first message on every connection. `read` is when the file was read, in milliseconds
/// since 1970.
pub(super) fn hello(run: &str, version: u64, read: u64) -> String {
    json!({"kind": "hello", "run": run, "version": version, "read": read}).to_string()
}

/// Something that keeps the page from following.
pub(super) fn trouble(text: &str) -> String {
    json!({"kind": "trouble", "text": text}).to_string()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_browser_that_does_not_read_is_let_go() {
        let (follower, seat) = Follower::new(Shown::default());
        let mut followers = Followers::default();
        followers.greet(follower, Vec::new());
        for _ in 0..MOST_WAITING {
            followers.tell("news".to_owned());
            assert!(!followers.is_empty());
        }
        followers.tell("one too many".to_owned());
        assert!(followers.is_empty());
        assert_eq!(seat.messages.try_iter().count(), MOST_WAITING);
    }

    #[test]
    fn those_who_left_are_forgotten() {
        let (follower, seat) = Follower::new(Shown::default());
        let mut followers = Followers::default();
        followers.greet(follower, vec!["hello".to_owned()]);
        followers.forget_gone();
        assert!(!followers.is_empty());
        drop(seat);
        followers.forget_gone();
        assert!(followers.is_empty());
    }
}
