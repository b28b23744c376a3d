//! What need not be done again: chapters by their texts, problems by what they are made from.

use std::sync::Arc;

use rayon::prelude::*;
use rustc_hash::FxHashMap;

use super::model::Problem;
use super::plan::Made;
use crate::document::Chapter;

/// What was read and compiled before. What is not asked for when a worksheet is compiled is
/// forgotten.
#[derive(Debug, Default)]
pub(super) struct Memory {
    chapters: FxHashMap<Arc<str>, Arc<Chapter>>,
    problems: FxHashMap<Made, Arc<Problem>>,
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
        compile: impl Fn(&Made) -> Problem + Sync,
    ) -> Vec<Arc<Problem>> {
        let before = std::mem::take(&mut self.problems);
        let problems: Vec<Arc<Problem>> = plans
            .par_iter()
            .map(|made| match before.get(*made) {
                Some(known) => Arc::clone(known),
                None => Arc::new(compile(made)),
            })
            .collect();
        let made = plans.iter().map(|made| (*made).clone());
        self.problems = made.zip(problems.iter().cloned()).collect();
        problems
    }
}
