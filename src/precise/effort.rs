//! How much more precision may take.
//!
//! Steps are counted, never time, so that the same text gives the same digits everywhere. They are
//! counted where the work is done: what a function takes hangs on its argument.

use std::cell::Cell;

use crate::questions::Share;

/// What more precision may take for each byte of a problem.
const OF_EACH_BYTE: u64 = 2_500;

/// What it may take in all problems of a worksheet beside that.
const STEPS: u64 = 2_000_000;

/// The steps that a problem has.
pub fn steps_for(share: Share) -> u64 {
    share.of(STEPS, OF_EACH_BYTE)
}

thread_local! {
    /// The steps that are left to what is being done on this thread.
    static LEFT: Cell<u64> = const { Cell::new(u64::MAX) };
}

/// Does some work within so many steps. Beyond them nothing more is known of a number than before.
pub fn within<T>(steps: u64, work: impl FnOnce() -> T) -> T {
    let before = LEFT.replace(steps);
    let found = work();
    LEFT.set(before);
    found
}

/// An operation on numbers of so many bits; `None` where no steps are left for it.
pub(super) fn operation(bits: usize) -> Option<()> {
    take(words(bits))
}

/// A function of a number, which is a series of such operations.
pub(super) fn function(bits: usize) -> Option<()> {
    take(words(bits) * (bits as u64 / 16 + 1))
}

/// What an operation costs beside others: its call as much as going through 50 words.
fn words(bits: usize) -> u64 {
    50 + bits as u64 / 64
}

fn take(steps: u64) -> Option<()> {
    LEFT.set(LEFT.get().checked_sub(steps)?);
    Some(())
}
