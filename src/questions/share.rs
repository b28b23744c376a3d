//! How much of what a worksheet may take falls to one of its problems.

/// The part of one problem in a bound of the whole worksheet.
///
/// It hangs on no other problem but by their number; that, and the length of its text, are rounded
/// up to powers of two, so that few edits change what a problem may take.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct Share {
    /// The bytes of its own text.
    bytes: u64,
    /// How many problems the worksheet has.
    problems: u64,
}

impl Share {
    /// Of a problem with so many bytes of its own, of so many problems.
    pub fn new(bytes: usize, problems: usize) -> Self {
        Self {
            bytes: bytes.next_power_of_two() as u64,
            problems: problems.next_power_of_two() as u64,
        }
    }

    /// Its part of so many steps for all problems together, and so many for each byte of its own.
    pub fn of(self, steps: u64, of_each_byte: u64) -> u64 {
        steps / self.problems + of_each_byte * self.bytes
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    proptest! {
        #[test]
        fn all_problems_together_take_no_more_than_the_worksheet_may(
            sizes in proptest::collection::vec(1_usize..3_000, 1..100),
            steps in 0_u64..1_000_000,
            of_each_byte in 0_u64..1_000,
        ) {
            let all: u64 = (sizes.iter())
                .map(|bytes| Share::new(*bytes, sizes.len()).of(steps, of_each_byte))
                .sum();
            let bytes = sizes.iter().sum::<usize>() as u64;
            prop_assert!(all <= steps + 2 * of_each_byte * bytes);
        }
    }
}
