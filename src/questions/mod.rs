//! Questions that take long to answer, each of which is worked out once.
//!
//! In goes a question, out comes its answer. A [`Question`] is a value that holds everything its
//! answer hangs on: it is all that the work is handed, so that an answer cannot be out of date.
//! What is asked, and of what, is left to others.

mod share;

use std::any::Any;
use std::hash::{BuildHasher, Hash};
use std::ops::Deref;
use std::sync::{Arc, Mutex, OnceLock, PoisonError};

use rustc_hash::{FxBuildHasher, FxHashMap};

pub use share::Share;

/// What is asked, by itself.
pub trait Question: PartialEq + Hash + Send + Sync + 'static {
    /// What is answered.
    type Answer: Send + Sync + 'static;

    /// Works the answer out.
    fn answer(&self) -> Self::Answer;

    /// How many parts it has.
    fn size(&self) -> usize;
}

/// A question with more parts than this is not kept: lines that hang on hundreds of others would
/// take up the square of their number.
const MOST_PARTS: usize = 2_000;

/// Questions of any kind with their answers, by the hash of the question.
#[derive(Debug, Default)]
pub struct Answers(Mutex<FxHashMap<u64, Vec<Kept>>>);

type Kept = Arc<dyn Any + Send + Sync>;

/// A question with its answer.
#[derive(Debug)]
pub struct Answered<Q: Question> {
    question: Q,
    answer: OnceLock<Q::Answer>,
}

/// The answers, to somebody who notes what is asked.
#[derive(Debug)]
pub struct Asker<'a> {
    answers: &'a Answers,
    shares: [Share; 2],
    asked: Mutex<Asked>,
}

/// What somebody asked. As long as it is there, the answers are.
#[derive(Debug, Default)]
pub struct Asked(Vec<Kept>);

impl Answers {
    /// Somebody who asks for lines that all problems share, and for those of one problem: what
    /// falls to each of the two.
    pub fn asker(&self, shares: [Share; 2]) -> Asker<'_> {
        Asker {
            answers: self,
            shares,
            asked: Mutex::default(),
        }
    }

    /// Forgets what nobody asked of whom something is left.
    pub fn forget(&mut self) {
        let kept = self.0.get_mut().unwrap_or_else(PoisonError::into_inner);
        kept.retain(|_, kept| {
            kept.retain(|kept| Arc::strong_count(kept) > 1);
            !kept.is_empty()
        });
    }

    /// Where what is kept stands in memory.
    #[cfg(test)]
    pub fn places(&self) -> std::collections::BTreeSet<usize> {
        let kept = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        let kept = kept.values().flatten();
        kept.map(|kept| Arc::as_ptr(kept).addr()).collect()
    }

    /// The place of a question among those that are kept.
    fn place<Q: Question>(&self, question: Q) -> Arc<Answered<Q>> {
        let hash = FxBuildHasher.hash_one(&question);
        let mut kept = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        let kept = kept.entry(hash).or_default();
        let known = (kept.iter())
            .filter_map(|kept| Arc::clone(kept).downcast::<Answered<Q>>().ok())
            .find(|known| known.question == question);
        known.unwrap_or_else(|| {
            let new = Answered::new(question);
            kept.push(Arc::clone(&new) as Kept);
            new
        })
    }
}

impl Asker<'_> {
    /// The answer to a question. Who asks what is being worked out waits for it.
    pub fn ask<Q: Question>(&self, question: Q) -> Arc<Answered<Q>> {
        let place = match question.size() {
            0..=MOST_PARTS => {
                let place = self.answers.place(question);
                let mut asked = self.asked.lock().unwrap_or_else(PoisonError::into_inner);
                asked.0.push(Arc::clone(&place) as Kept);
                place
            }
            _ => Answered::new(question),
        };
        (place.answer).get_or_init(|| place.question.answer());
        place
    }

    /// What falls to the lines of a problem; 0 is what all share.
    pub fn share(&self, problem: usize) -> Share {
        self.shares[problem.min(1)]
    }

    /// What was asked.
    pub fn asked(self) -> Asked {
        let asked = self.asked.into_inner();
        asked.unwrap_or_else(PoisonError::into_inner)
    }
}

impl<Q: Question> Answered<Q> {
    fn new(question: Q) -> Arc<Self> {
        Arc::new(Self {
            question,
            answer: OnceLock::new(),
        })
    }
}

impl<Q: Question> Deref for Answered<Q> {
    type Target = Q::Answer;

    fn deref(&self) -> &Q::Answer {
        (self.answer).get_or_init(|| self.question.answer())
    }
}

#[cfg(test)]
mod tests {
    use std::sync::atomic::{AtomicUsize, Ordering};

    use super::*;

    /// How often one was worked out.
    static WORK: AtomicUsize = AtomicUsize::new(0);

    #[derive(PartialEq, Hash)]
    struct Squared {
        of: usize,
        size: usize,
    }

    impl Question for Squared {
        type Answer = usize;

        fn answer(&self) -> usize {
            WORK.fetch_add(1, Ordering::Relaxed);
            self.of * self.of
        }

        fn size(&self) -> usize {
            self.size
        }
    }

    /// Of another kind, with the same hash.
    #[derive(PartialEq, Hash)]
    struct Negated {
        of: usize,
        size: usize,
    }

    impl Question for Negated {
        type Answer = isize;

        fn answer(&self) -> isize {
            -(self.of as isize)
        }

        fn size(&self) -> usize {
            self.size
        }
    }

    #[test]
    fn what_is_asked_again_is_not_worked_out_again_until_nobody_is_left_who_asked() {
        let worked_out = || WORK.load(Ordering::Relaxed);
        let mut answers = Answers::default();
        let ask = |asker: &Asker<'_>, of, size| **asker.ask(Squared { of, size });
        let (first, second) = (
            answers.asker([Share::new(1, 1); 2]),
            answers.asker([Share::new(1, 1); 2]),
        );
        assert_eq!([ask(&first, 3, 1), ask(&second, 3, 1)], [9, 9]);
        assert_eq!(**second.ask(Negated { of: 3, size: 1 }), -3);
        assert_eq!((ask(&first, 4, 1), worked_out()), (16, 2));
        let (first, second) = (first.asked(), second.asked());
        answers.forget();
        assert_eq!(answers.places().len(), 3);
        drop(first);
        answers.forget();
        let third = answers.asker([Share::new(1, 1); 2]);
        assert_eq!((ask(&third, 3, 1), worked_out()), (9, 2));
        assert_eq!((ask(&third, 4, 1), worked_out()), (16, 3));
        drop((second, third));
        answers.forget();
        assert!(answers.places().is_empty());
        let asker = answers.asker([Share::new(1, 1); 2]);
        let size = MOST_PARTS + 1;
        assert_eq!((ask(&asker, 5, size), ask(&asker, 5, size)), (25, 25));
        assert_eq!(worked_out(), 5);
        assert!(asker.asked().0.is_empty());
    }
}
