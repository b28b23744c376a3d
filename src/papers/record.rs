//! The record of a printed paper: what it was printed from, and what its versions are. With it a
//! paper can be marked years later.
//!
//! In go a paper and its versions; out comes what is written beside the pages, read back and held
//! against a present printing. Nothing of students is in it.

mod compare;
mod lines;

use std::collections::BTreeMap;
use std::sync::Arc;

use serde::{Deserialize, Serialize};

pub use compare::differences;

use super::marking::range::accepted;
use super::paper::Chosen;
use super::print::{Version, answer, within};
use super::{facts, fingerprint::fingerprint};
use crate::text::{Files, Hash, MAX_BYTES, MOST_FILE_BYTES, Unread, decoded};
use crate::worksheet::{Asked, MarkKind, Worksheet};

/// The record of a paper.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Record {
    /// The title of the paper.
    pub title: String,
    /// The path of the paper, from the folder of its files.
    pub paper: String,
    /// The texts by their paths: the paper, its worksheets, and those that they take from.
    pub texts: BTreeMap<String, String>,
    /// The hashes of the other files that were read, by their paths.
    pub files: BTreeMap<String, String>,
    /// The versions.
    pub versions: Vec<Printed>,
}

/// A version as it was printed.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Printed {
    /// Its number.
    pub version: u16,
    /// Its fingerprint.
    pub fingerprint: String,
    /// Its questions.
    pub questions: Vec<Question>,
}

/// A question as it was printed.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Question {
    /// The worksheet.
    pub worksheet: String,
    /// What the problem is called.
    pub problem: String,
    /// The data.
    pub data: Vec<Datum>,
    /// What was asked.
    pub parts: Vec<Part>,
    /// The formulas of the working.
    pub formulas: Vec<Formula>,
}

/// A datum as it was printed.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Datum {
    /// Its name.
    pub name: String,
    /// What it is, as it is written.
    pub text: String,
}

/// A part as it was printed.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Part {
    /// Its letter.
    pub letter: Option<char>,
    /// The name that is asked.
    pub name: String,
    /// What is asked: name, unit, words for signs, conditions and tolerance.
    pub required: String,
    /// Its marks: `2 method, 1 answer`.
    pub marks: String,
    /// The answer in coherent SI units.
    pub si: Vec<f64>,
    /// The answer as it is printed.
    pub printed: String,
    /// The unit that is asked.
    pub unit: String,
    /// Both ends of what is accepted, in that unit.
    pub accepted: Vec<(f64, f64)>,
}

/// A line of the working.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Formula {
    /// The line with even blanks, without its description and without numbers of the engine.
    pub text: String,
    /// Its marks.
    pub marks: String,
}

/// A version as it is printed.
pub fn printed(paper: &Worksheet, version: &Version) -> Printed {
    let questions = version.questions.iter().map(|it| question(paper, it));
    let mut printed = Printed {
        version: version.number,
        fingerprint: String::new(),
        questions: questions.collect(),
    };
    printed.fingerprint = fingerprint(&crate::page::title(paper), &printed);
    printed
}

fn question(paper: &Worksheet, chosen: &Chosen) -> Question {
    let worksheet = &chosen.worksheet;
    let asked = worksheet.problems[chosen.problem].problem.question.as_ref();
    let parts = asked.into_iter().flat_map(|question| {
        let parts = question.asked.iter().enumerate();
        parts.map(|(at, asked)| part(paper, chosen, question.letter(at), asked))
    });
    Question {
        worksheet: chosen.path.clone(),
        problem: facts::title(worksheet, chosen.problem),
        data: lines::data(worksheet, chosen.problem),
        parts: parts.collect(),
        formulas: lines::formulas(worksheet, chosen.problem),
    }
}

fn part(paper: &Worksheet, chosen: &Chosen, letter: Option<char>, asked: &Asked) -> Part {
    let placed = &chosen.worksheet.problems[chosen.problem];
    let within = within(paper, asked);
    let mut required = lines::source(&chosen.worksheet, placed, asked.at);
    required.push_str(&format!(", within {}", within.printed()));
    let found = answer(&placed.problem, asked);
    let shown = found.as_ref().map(|(shown, _)| *shown);
    let direction = found.as_ref().and_then(|(_, word)| word.as_deref());
    let printed = shown.map_or_else(String::new, |shown| match direction {
        Some(word) => format!("{} {word}", crate::page::printed(&shown.magnitude())),
        None => crate::page::printed(shown),
    });
    let marks: Vec<(u32, MarkKind)> = asked.marks.clone();
    Part {
        letter,
        name: placed.problem.symbols.symbol(asked.symbol).key.to_string(),
        required,
        marks: lines::marks(marks),
        si: shown.map_or_else(Vec::new, |it| it.si.clone()),
        printed,
        unit: shown.map_or_else(String::new, |it| it.unit.source().to_owned()),
        accepted: shown.map_or_else(Vec::new, |it| accepted(it, &within).ends),
    }
}

impl Record {
    /// The record of a printing: `path` is that of the paper among the files.
    pub fn of(
        paper: &Worksheet,
        (path, files): (&str, &Arc<dyn Files>),
        versions: &[Version],
    ) -> Self {
        let mut record = Self {
            title: crate::page::title(paper),
            paper: path.to_owned(),
            texts: BTreeMap::new(),
            files: BTreeMap::new(),
            versions: versions.iter().map(|it| printed(paper, it)).collect(),
        };
        record
            .texts
            .insert(path.to_owned(), paper.source.text().to_owned());
        record.add_files(path, paper, files.as_ref());
        let all = versions.iter().flat_map(|version| &version.questions);
        for chosen in all {
            // A version is made from the text that stands in the file.
            record.add_text(&chosen.path, files.as_ref());
            record.add_files(&chosen.path, &chosen.worksheet, files.as_ref());
        }
        record
    }

    fn add_text(&mut self, path: &str, files: &dyn Files) {
        if self.texts.contains_key(path) {
            return;
        }
        // What is no text was refused before there was a paper to record.
        let text = files.bytes(path, MAX_BYTES).ok().map(decoded);
        if let Some(Ok(text)) = text {
            self.texts.insert(path.to_owned(), text);
        }
    }

    /// The files that a worksheet read.
    fn add_files(&mut self, path: &str, worksheet: &Worksheet, files: &dyn Files) {
        let folder = path.rsplit_once('/').map_or("", |(folder, _)| folder);
        for read in &worksheet.files {
            let path = match folder {
                "" => read.path.clone(),
                folder => format!("{folder}/{}", read.path),
            };
            match &read.found {
                _ if read.path.ends_with('/') => {}
                Ok(_) if path.ends_with(".md") => self.add_text(&path, files),
                Ok(hash) => drop(self.files.insert(path, hash.to_string())),
                Err(_) => {}
            }
        }
    }

    /// As it is written.
    pub fn json(&self) -> String {
        serde_json::to_string_pretty(self).unwrap_or_default() + "\n"
    }

    /// Reads what was written.
    ///
    /// # Errors
    /// A sentence that says why it is no record.
    pub fn read(text: &str) -> Result<Self, String> {
        serde_json::from_str(text).map_err(|error| format!("it is no record of a paper: {error}"))
    }

    /// This printing, with those versions of an earlier one that it does not print again.
    #[must_use]
    pub fn with_others_of(mut self, earlier: &Self) -> Self {
        let is_new = |it: &&Printed| self.versions.iter().all(|own| own.version != it.version);
        let others: Vec<Printed> = earlier.versions.iter().filter(is_new).cloned().collect();
        self.versions.extend(others);
        self.versions.sort_by_key(|it| it.version);
        self
    }

    /// The data files that are others now, or are not there.
    pub fn changed_files(&self, files: &dyn Files) -> Vec<&str> {
        let changed = self.files.iter().filter(|(path, hash)| {
            let found = files.bytes(path, MOST_FILE_BYTES);
            found.map_or(true, |bytes| Hash::of(&bytes).to_string() != **hash)
        });
        changed.map(|(path, _)| path.as_str()).collect()
    }

    /// The files as they were: texts of the record, and data files that are still the same.
    pub fn files(self: &Arc<Self>, now: &Arc<dyn Files>) -> Arc<dyn Files> {
        Arc::new(AsPrinted {
            record: Arc::clone(self),
            now: Arc::clone(now),
        })
    }
}

/// The files that a paper was printed from.
struct AsPrinted {
    record: Arc<Record>,
    now: Arc<dyn Files>,
}

impl Files for AsPrinted {
    fn bytes(&self, path: &str, most: usize) -> Result<Vec<u8>, Unread> {
        if let Some(text) = self.record.texts.get(path) {
            let is_short = text.len() <= most;
            return match is_short {
                true => Ok(text.clone().into_bytes()),
                false => Err(Unread::TooLong(most)),
            };
        }
        let hash = self.record.files.get(path).ok_or(Unread::Missing)?;
        let bytes = self.now.bytes(path, most)?;
        match Hash::of(&bytes).to_string() == *hash {
            true => Ok(bytes),
            false => Err(Unread::Missing),
        }
    }

    fn names(&self, folder: &str) -> Result<Vec<String>, Unread> {
        let before = match folder {
            "" => String::new(),
            folder => format!("{folder}/"),
        };
        let all = self.record.texts.keys().chain(self.record.files.keys());
        let below = all.filter_map(|path| path.strip_prefix(&before));
        let mut names: Vec<String> = below
            .map(|path| match path.split_once('/') {
                Some((folder, _)) => format!("{folder}/"),
                None => path.to_owned(),
            })
            .collect();
        names.sort();
        names.dedup();
        match names.is_empty() {
            true => Err(Unread::Missing),
            false => Ok(names),
        }
    }
}

#[cfg(test)]
mod tests;
