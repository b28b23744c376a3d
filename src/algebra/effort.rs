//! How much effort the questions of a problem may take.

use super::arena::MOST_STEPS;

/// Steps that all questions of a kind may take together, and those for each byte of the text.
#[derive(Debug, Clone, Copy)]
pub struct Effort {
    steps: u32,
    of_each_byte: u32,
    /// What one question may take at most.
    most: u32,
}

/// Each question may always take so many.
const LEAST: u32 = 10_000;

impl Effort {
    /// Of solving in symbols.
    pub const SOLVING: Self = Self {
        steps: MOST_STEPS,
        of_each_byte: 20,
        most: MOST_STEPS,
    };

    /// Of proving; a proof is tried several times, with more known signs or fewer.
    pub const PROVING: Self = Self {
        steps: 30 * MOST_STEPS,
        of_each_byte: 0,
        most: 10 * MOST_STEPS,
    };

    /// What each of so many questions may take, in equal parts: so it hangs neither on their order
    /// nor on what the others take. It is the most that a question may take, halved until it fits,
    /// and the length of the text is rounded up to a power of two, so that few edits of other lines
    /// make a question another one.
    pub fn of_one(self, text: &str, questions: usize) -> u32 {
        let bytes = self
            .of_each_byte
            .saturating_mul(text.len().next_power_of_two() as u32);
        let all = self.steps.saturating_add(bytes);
        let part = all / (questions as u32).max(1);
        let halved = std::iter::successors(Some(self.most), |most| Some(most / 2));
        (halved.take_while(|most| *most > LEAST))
            .find(|most| *most <= part)
            .unwrap_or(LEAST)
    }
}
