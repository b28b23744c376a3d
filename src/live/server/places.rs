//! How many may be at something at once.

use std::sync::{Arc, Condvar, Mutex, MutexGuard, PoisonError};

/// So many places, of which each is taken by one at a time.
#[derive(Debug, Clone)]
pub(super) struct Places {
    room: Arc<Room>,
}

#[derive(Debug)]
struct Room {
    free: Mutex<usize>,
    given_back: Condvar,
}

/// A place that is taken; it is given back when this is dropped.
#[derive(Debug)]
pub(super) struct Taken {
    room: Arc<Room>,
}

impl Places {
    pub(super) fn new(count: usize) -> Self {
        let room = Room {
            free: Mutex::new(count),
            given_back: Condvar::new(),
        };
        Self {
            room: Arc::new(room),
        }
    }

    /// Waits for a place, and takes it.
    pub(super) fn wait(&self) -> Taken {
        let free = self.room.free();
        let found = self.room.given_back.wait_while(free, |free| *free == 0);
        self.take(found.unwrap_or_else(PoisonError::into_inner))
    }

    /// Takes a place if one is free.
    pub(super) fn opt(&self) -> Option<Taken> {
        let free = self.room.free();
        (*free > 0).then(|| self.take(free))
    }

    fn take(&self, mut free: MutexGuard<usize>) -> Taken {
        *free -= 1;
        Taken {
            room: Arc::clone(&self.room),
        }
    }
}

impl Room {
    /// A count is right even if somebody failed who had it.
    fn free(&self) -> MutexGuard<'_, usize> {
        self.free.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

impl Drop for Taken {
    fn drop(&mut self) {
        *self.room.free() += 1;
        self.room.given_back.notify_one();
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_place_is_taken_by_one_at_a_time() {
        let places = Places::new(2);
        let taken = [places.wait(), places.wait()];
        assert!(places.opt().is_none());
        let next = {
            let places = places.clone();
            std::thread::spawn(move || places.wait())
        };
        drop(taken);
        let _next = next.join().unwrap();
        assert!(places.opt().is_some());
    }
}
