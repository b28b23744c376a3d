//! How much effort the questions of a problem may take.

use super::arena::MOST_STEPS;
use crate::questions::Share;

/// Steps that all questions of a kind may take together, and those for each byte of the problem
/// that asks them.
#[derive(Debug, Clone, Copy)]
pub struct Effort {
    steps: u64,
    of_each_byte: u64,
    /// What one question may take at most.
    most: u32,
}

/// Each question may always take so many.
const LEAST: u32 = 10_000;

impl Effort {
    /// Of solving in symbols.
    pub const SOLVING: Self = Self {
        steps: MOST_STEPS as u64,
        of_each_byte: 20,
        most: MOST_STEPS,
    };

    /// Of proving; a proof is tried several times, with more known signs or fewer.
    pub const PROVING: Self = Self {
        steps: 20 * MOST_STEPS as u64,
        of_each_byte: 150,
        most: 10 * MOST_STEPS,
    };

    /// Of differentiating what a line says rises or falls.
    pub const DERIVING: Self = Self::SOLVING;

    /// What each of so many questions may take, in equal parts: so it hangs neither on their order
    /// nor on what the others take. It is the most that a question may take, halved until it fits,
    /// so that few edits of other lines make a question another one.
    pub fn of_one(self, share: Share, questions: usize) -> u32 {
        let all = share.of(self.steps, self.of_each_byte);
        let part = u32::try_from(all / (questions as u64).max(1)).unwrap_or(u32::MAX);
        let halved = std::iter::successors(Some(self.most), |most| Some(most / 2));
        (halved.take_while(|most| *most > LEAST))
            .find(|most| *most <= part)
            .unwrap_or(LEAST)
    }
}
