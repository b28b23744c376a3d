//! Papers: from worksheets to question papers, and from lists of answers to marks.
//!
//! In go compiled worksheets and the bytes of lists; where they come from is left to `commands`.

pub mod bank;
pub mod choice;
pub mod edition;
pub mod facts;
pub mod fingerprint;
pub mod marking;
pub mod paper;
pub mod print;
pub mod record;
pub mod versions;

/// The marks of some questions.
pub fn total(questions: &[paper::Chosen]) -> u32 {
    let questions = questions.iter().filter_map(|chosen| {
        let placed = &chosen.worksheet.problems[chosen.problem];
        placed.problem.question.as_ref()
    });
    questions.map(crate::worksheet::Question::total).sum()
}
