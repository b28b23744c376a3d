//! What is known of a problem without its numbers.

use super::choice::{Fact, Facts};
use crate::worksheet::Worksheet;

/// The facts of a problem of a worksheet.
pub fn facts(worksheet: &Worksheet, problem: usize) -> Facts {
    let front = &worksheet.front;
    let mut found = Facts::new();
    let topics = &front.exam.topics;
    if let Some(first) = topics.first() {
        found.insert("topic", Fact::Text(first.clone()));
        found.insert("topics", Fact::Texts(topics.clone()));
    }
    let numbers = [
        ("level", front.exam.level.map(i64::from)),
        ("minutes", front.exam.minutes.map(i64::from)),
    ];
    let question = worksheet.problems[problem].problem.question.as_ref();
    let counted = question.map(|question| {
        [
            ("marks", i64::from(question.total())),
            ("parts", question.asked.len() as i64),
            ("alternatives", question.routes.len() as i64),
        ]
    });
    let numbers = numbers
        .into_iter()
        .filter_map(|(name, it)| Some((name, it?)));
    for (name, number) in numbers.chain(counted.into_iter().flatten()) {
        found.insert(name, Fact::Whole(number));
    }
    let texts = [
        ("title", Some(title(worksheet, problem))),
        ("course", front.course.clone()),
        ("author", front.author.clone()),
    ];
    for (name, text) in texts {
        found.extend(text.map(|text| (name, Fact::Text(text))));
    }
    found
}

/// The problems of a worksheet that ask something.
pub fn problems(worksheet: &Worksheet) -> impl Iterator<Item = usize> {
    let all = worksheet.problems.iter().enumerate();
    all.filter(|(_, placed)| placed.problem.question.is_some())
        .map(|(at, _)| at)
}

/// What a problem is called: its heading, else the title of its worksheet, else the name of the
/// file.
pub fn title(worksheet: &Worksheet, problem: usize) -> String {
    let own = worksheet.problems[problem].problem.title.clone();
    own.unwrap_or_else(|| crate::page::title(worksheet))
}
