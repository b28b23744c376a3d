//! Papers in several versions, made from the examples by exchanging literals.

use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};
use std::sync::Arc;

use setsquare::papers::marking::printed::Printed;
use setsquare::papers::paper::{self, Chosen};
use setsquare::papers::print::Version;
use setsquare::text::{Beside, Files, Source, Unread};
use setsquare::worksheet::{self, Replays, Worksheet};
use sha2::{Digest, Sha256};

pub fn folder() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/papers")
}

pub fn file(name: &str) -> String {
    fs::read_to_string(folder().join(name)).unwrap()
}

struct Folder(BTreeMap<String, String>);

impl Files for Folder {
    fn bytes(&self, path: &str, _: usize) -> Result<Vec<u8>, Unread> {
        let text = self.0.get(path).ok_or(Unread::Missing)?;
        Ok(text.clone().into_bytes())
    }

    fn names(&self, _: &str) -> Result<Vec<String>, Unread> {
        Ok(self.0.keys().cloned().collect())
    }
}

/// A paper and its worksheets as they are written.
pub struct Paper {
    files: Arc<dyn Files>,
    pub paper: Arc<Worksheet>,
    chosen: Vec<Chosen>,
}

const SERIES: &str = "spring 2027";

/// The candidates that are versions 0, 1, 2, 3: the first has none.
fn candidate(path: &str, version: u16) -> u32 {
    match (path, version) {
        ("fire-nozzle.md", 1) => 0,
        ("fire-nozzle.md", 2) => 5,
        ("fire-nozzle.md", 3) => 8,
        (_, version) => u32::from(version) - 1,
    }
}

impl Paper {
    pub fn test_3() -> Self {
        Self::of("test-3.md", &file("test-3.md"))
    }

    pub fn alone(name: &str) -> Self {
        Self::of(name, &file(name))
    }

    pub fn of(name: &str, text: &str) -> Self {
        let mut all: BTreeMap<String, String> = BTreeMap::new();
        for entry in fs::read_dir(folder()).unwrap() {
            let path = entry.unwrap().path();
            let own = path.file_name().unwrap().to_string_lossy().into_owned();
            all.insert(own, fs::read_to_string(&path).unwrap());
        }
        all.insert(name.to_owned(), text.to_owned());
        let files: Arc<dyn Files> = Arc::new(Folder(all));
        let beside = Beside::new(Arc::clone(&files), name);
        let paper = worksheet::compile_beside(Source::new(name, text.to_owned()), &beside);
        let paper = Arc::new(paper);
        let (chosen, wrong) = paper::problems(&paper, name, &files);
        assert!(wrong.is_empty(), "{wrong:?}");
        Self {
            files,
            paper,
            chosen,
        }
    }

    pub fn printed(&self, versions: &[u16]) -> Printed {
        let versions: Vec<Version> = (versions.iter())
            .map(|number| Version {
                number: *number,
                questions: self.questions(*number),
                fingerprint: None,
            })
            .collect();
        Printed::of(&versions, &self.paper, &self.files)
    }

    pub fn questions(&self, version: u16) -> Vec<Chosen> {
        self.chosen
            .iter()
            .map(|it| self.version(it, version))
            .collect()
    }

    pub fn replays(&self, chosen: &Chosen) -> Replays {
        let beside = Beside::new(Arc::clone(&self.files), &chosen.path);
        Replays::of(&chosen.worksheet.source, &beside)
    }

    fn version(&self, chosen: &Chosen, number: u16) -> Chosen {
        if number == 0 {
            return chosen.clone();
        }
        let text = chosen.worksheet.source.text();
        let text = exchanged(text, &chosen.title, candidate(&chosen.path, number));
        let beside = Beside::new(Arc::clone(&self.files), &chosen.path);
        let compiled = worksheet::compile_beside(Source::new(&chosen.path, text), &beside);
        assert!(!compiled.has_errors(), "{:?}", compiled.diagnostics);
        Chosen {
            worksheet: Arc::new(compiled),
            ..chosen.clone()
        }
    }
}

/// The text of a worksheet with the data of a candidate.
fn exchanged(text: &str, title: &str, candidate: u32) -> String {
    let (_, block) = text.split_once("```versions\n").unwrap();
    let (block, _) = block.split_once("```").unwrap();
    let mut data: BTreeMap<String, String> = BTreeMap::new();
    for line in block.lines() {
        let Some((name, choices)) = line.split_once(" from ") else {
            continue;
        };
        let choices = choices_of(choices);
        let hashed = format!("{SERIES}\n{title}\n{name}\n{candidate}");
        let hash = Sha256::digest(hashed.as_bytes());
        let first = u64::from_be_bytes(hash[..8].try_into().unwrap());
        let at = (first % choices.len() as u64) as usize;
        data.insert(name.to_owned(), choices[at].clone());
    }
    let mut out = String::new();
    let mut is_given = false;
    for line in text.lines() {
        if line.starts_with("```") {
            is_given = line == "```given";
        }
        let name = line.split('=').next().unwrap_or("").trim();
        match data.get(name).filter(|_| is_given) {
            Some(value) => {
                let behind = line.find("--").map_or("", |at| &line[at..]);
                out += &format!("{name} = {value} {behind}\n");
            }
            None => out += &format!("{line}\n"),
        }
    }
    out
}

/// The literals of a line of `versions`.
fn choices_of(choices: &str) -> Vec<String> {
    if let Some(rest) = choices.strip_prefix('[') {
        let (list, unit) = rest.split_once(']').unwrap();
        let each = list.split(',');
        return each
            .map(|it| format!("{} {}", it.trim(), unit.trim()))
            .collect();
    }
    let (from, rest) = choices.split_once(" to ").unwrap();
    let (to, step) = rest.split_once(" in steps of ").unwrap();
    let parts = |text: &str| {
        let (number, unit) = text.trim().split_once(' ').unwrap();
        (number.to_owned(), unit.to_owned())
    };
    let ((from, unit), (to, _), (step, _)) = (parts(from), parts(to), parts(step));
    let decimals = step.split_once('.').map_or(0, |(_, behind)| behind.len());
    let number = |text: &str| text.parse::<f64>().unwrap();
    let count = ((number(&to) - number(&from)) / number(&step)).round() as usize;
    (0..=count)
        .map(|at| {
            let value = number(&from) + at as f64 * number(&step);
            format!("{value:.decimals$} {unit}")
        })
        .collect()
}
