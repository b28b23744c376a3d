//! From a list of answers to marks.

#[cfg_attr(
    not(test),
    expect(dead_code, reason = "what is said of a wrong answer has no reader yet")
)]
pub mod slip;
