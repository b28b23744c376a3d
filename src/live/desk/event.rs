//! What the desk hears of, and how it is told.

use std::sync::mpsc::{Receiver, Sender, channel};
use std::time::Instant;

use super::follower::Follower;
use crate::live::Address;

/// What may happen.
#[derive(Debug)]
pub(in crate::live) enum Event {
    /// A file below the folder changed, came or went.
    Changed {
        address: Address,
        saved: Saved,
        at: Instant,
    },
    /// A folder came or went, or changes were missed: anything may have changed.
    Anything { at: Instant },
    /// A browser asks for the page of a worksheet.
    Page {
        address: Address,
        answer: Sender<Page>,
    },
    /// A browser asks on which line a statement of a worksheet stands.
    Line {
        address: Address,
        /// The anchor of the statement.
        id: String,
        answer: Sender<Option<usize>>,
    },
    /// A browser asks for the index.
    Index { answer: Sender<Page> },
    /// A browser follows a worksheet; without an address, the index.
    Follow {
        address: Option<Address>,
        follower: Follower,
    },
    /// A browser follows no more.
    Left,
}

/// Whether a change is the last of a save.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Saved {
    /// The file was closed, or put in place whole.
    Whole,
    /// More may come: it is being written.
    Perhaps,
}

/// The page that a browser asked for.
#[derive(Debug, PartialEq, Eq)]
pub(in crate::live) enum Page {
    /// This one.
    Html(String),
    /// There is none at this address.
    Missing,
}

/// Tells the desk what happened; may be kept by as many as like.
#[derive(Debug, Clone)]
pub struct Events {
    sender: Sender<Event>,
}

/// Where the desk hears of it.
#[derive(Debug)]
pub struct Queue {
    pub(in crate::live) receiver: Receiver<Event>,
    pub(in crate::live) events: Events,
}

/// Events, and the queue that they go through.
pub fn queue() -> (Events, Queue) {
    let (sender, receiver) = channel();
    let events = Events { sender };
    let queue = Queue {
        receiver,
        events: events.clone(),
    };
    (events, queue)
}

impl Events {
    /// A file below the folder changed, came or went.
    pub fn changed(&self, address: Address, saved: Saved) {
        let at = Instant::now();
        self.send(Event::Changed { address, saved, at });
    }

    /// A folder came or went, or changes were missed.
    pub fn anything(&self) {
        self.send(Event::Anything { at: Instant::now() });
    }

    /// Nobody hears it once the desk is closed, and nobody needs to.
    pub(in crate::live) fn send(&self, event: Event) {
        let _ = self.sender.send(event);
    }
}
