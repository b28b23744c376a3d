//! What need not be done again: chapters by their texts, problems by what they are made from.

use std::sync::Arc;

use rayon::prelude::*;
use rustc_hash::FxHashMap;

use super::model::Problem;
use super::others::{self, Library, Shelf};
use super::plan::Made;
use crate::document::Chapter;
use crate::questions::{Answers, Asked, Asker};
use crate::text::{Beside, Reader};

/// A problem with the questions that it asked.
type Remembered = (Arc<Problem>, Arc<Asked>);

/// What was read and compiled before. What is not asked for when a worksheet is compiled is
/// forgotten.
#[derive(Debug, Default)]
pub(super) struct Memory {
    chapters: FxHashMap<Arc<str>, Arc<Chapter>>,
    /// Each with the questions that it asked.
    problems: FxHashMap<Made, Remembered>,
    /// The other worksheets that they take from.
    library: Library,
    answers: Answers,
}

impl Memory {
    /// The chapters with these texts.
    pub fn chapters(&mut self, texts: &[&str]) -> Vec<Arc<Chapter>> {
        let mut before = std::mem::take(&mut self.chapters);
        let mut chapter = |text: &&str| {
            let known = before.remove_entry(*text).or_else(|| {
                let (text, chapter) = self.chapters.get_key_value(*text)?;
                Some((Arc::clone(text), Arc::clone(chapter)))
            });
            let (text, chapter) = known.unwrap_or_else(|| {
                let text: Arc<str> = (*text).into();
                (Arc::clone(&text), Arc::new(Chapter::read(text)))
            });
            self.chapters.insert(text, Arc::clone(&chapter));
            chapter
        };
        texts.iter().map(&mut chapter).collect()
    }

    /// The problems that are made from these; those that are not known are compiled side by side.
    pub fn problems(
        &mut self,
        plans: &[&Made],
        beside: &Beside,
        compile: impl Fn(&Made, &Asker<'_>, Reader<'_>, &Shelf) -> Problem + Sync,
    ) -> Vec<Arc<Problem>> {
        let before = std::mem::take(&mut self.problems);
        let answers = &self.answers;
        // Other worksheets are opened one after the other: those that are compiled side by side
        // must not wait for each other.
        let work: Vec<(&Made, Result<Remembered, Shelf>)> = (plans.iter())
            .map(|made| {
                let known = before
                    .get(*made)
                    .filter(|(known, _)| is_read(known, beside));
                let known = known.cloned().ok_or_else(|| {
                    let files = others::files_of(made);
                    match files.is_empty() {
                        true => Shelf::default(),
                        false => self.library.shelf(&files, beside),
                    }
                });
                (*made, known)
            })
            .collect();
        let problems: Vec<Remembered> = work
            .into_par_iter()
            .map(|(made, known)| {
                known.unwrap_or_else(|shelf| {
                    let asker = answers.asker(made.shares());
                    let problem = compile(made, &asker, Reader::new(beside), &shelf);
                    (Arc::new(problem), Arc::new(asker.asked()))
                })
            })
            .collect();
        let read = problems.iter().flat_map(|(problem, _)| &problem.files);
        self.library.forget(read);
        drop(before);
        let made = plans.iter().map(|made| (*made).clone());
        self.problems = made.zip(problems.iter().cloned()).collect();
        self.answers.forget();
        problems.into_iter().map(|(problem, _)| problem).collect()
    }
}

/// Whether the files that a problem read are what they were then.
fn is_read(problem: &Problem, beside: &Beside) -> bool {
    let now = Reader::new(beside);
    let files = problem.files.iter();
    files.for_each(|file| drop(now.read(&file.path)));
    now.readings() == problem.files
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeSet;

    use super::super::compile::compile_with;
    use super::*;
    use crate::text::Source;

    /// Steps of all kinds: with signs, a function, a special value, a divisor, an example, a slip.
    const TEXT: &str = "\
# Tank

```given
h = 3 m
n = 2
```

```derive
f(a) = a^2 + 1
fall: v^2 = 2 g h
therefore v = sqrt(2 g h)
x = f(v/c)
therefore x - 1 = v^2/c^2
y = b z
F.x p = F.x q
therefore p = q
w = n v^2
therefore w = 4 g h
therefore w = 3 g h
solve fall for g
```

```given
b = 5 m
F = (2, 3) N
g = 9.81 m/s^2
c = 4 m/s
z = 2
```

```work
y = ? m
```

```check
y > 1 m
y rises with b
```
";

    fn asked(memory: &mut Memory, text: &str) -> BTreeSet<usize> {
        compile_with(Source::new("tank.md", text), &Beside::nothing(), memory);
        memory.answers.places()
    }

    /// The questions of a text that were not asked by [`TEXT`] before.
    fn new_questions(text: &str) -> usize {
        assert_ne!(text, TEXT);
        let mut memory = Memory::default();
        let before = asked(&mut memory, TEXT);
        // Four steps that follow, one that does not with its slip, a solution, a derivative.
        assert_eq!(before.len(), 8);
        let after = asked(&mut memory, text);
        after.difference(&before).count()
    }

    #[test]
    fn only_what_a_question_hangs_on_makes_it_another() {
        let kept = [
            ("# Tank", "Words.\n\n# Tank of `h = ?`"),
            ("h = 3 m", "h = 3.5 m"),
            ("b = 5 m", "b = 5.5 m"),
            ("y > 1 m", "y > 1.5 m"),
            ("y rises", "1 < 2\ny rises"),
            ("f(a) = a^2 + 1", "e = r\nf(a) = a^2 + 1"),
            (
                "```given\nh",
                "```derive\ne = r\ntherefore = 1\n```\n\n```given\nh",
            ),
            ("f(", "s("),
        ];
        for (from, to) in kept {
            assert_eq!(new_questions(&TEXT.replace(from, to)), 0, "{to}");
        }
        let renamed = TEXT.replace(" g", " G").replace("\ng = ", "\nG = ");
        assert_eq!(new_questions(&renamed), 0);
        let changed = [
            ("a^2 + 1", "a^2 + 1.0"),
            ("2 g h\ntherefore v =", "2.0 g h\ntherefore v ="),
            ("n = 2", "n = 4"),
            ("h = 3 m", "h = -3 m"),
            ("F = (2,", "F = (0,"),
            ("therefore w = 3", "therefore w = 5"),
            ("fall for g", "fall for h"),
        ];
        for (from, to) in changed {
            assert!(new_questions(&TEXT.replace(from, to)) > 0, "{to}");
        }
    }

    #[test]
    fn problems_that_ask_the_same_pay_once() {
        let twice = format!("{TEXT}\n{}", TEXT.replace("# Tank", "# Another"));
        let once = asked(&mut Memory::default(), TEXT).len();
        assert_eq!(asked(&mut Memory::default(), &twice).len(), once);
    }

    #[test]
    fn what_one_problem_asked_is_kept_while_another_is_edited() {
        let other = |text: &str| format!("{TEXT}\n# Other\n\n```derive\n{text}\n```\n");
        let mut memory = Memory::default();
        let before = asked(&mut memory, &other("p = q"));
        let edited = asked(&mut memory, &other("p = q\ntherefore p/q = 1"));
        assert!(before.is_subset(&edited) && before != edited);
        let back = asked(&mut memory, &other("p = 2 q"));
        assert_eq!(back, before);
    }
}
