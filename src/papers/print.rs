//! What a paper prints: a file for each kind of sheet and version.

use super::marking::range::accepted;
use super::paper::Chosen;
use crate::page::exam::{self, Sheet, SheetPart, Sheets};
use crate::quantity::Within;
use crate::worksheet::{Asked, Body, Problem, Shown, Worksheet};

/// A kind of sheet.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Kind {
    /// Questions.
    Questions,
    /// Worked solutions.
    Solutions,
    /// The marking guide.
    Guide,
    /// The formula sheet.
    Formulas,
    /// The table of answers.
    Answers,
}

impl Kind {
    /// Every kind.
    pub const ALL: [Self; 5] = [
        Self::Questions,
        Self::Solutions,
        Self::Guide,
        Self::Formulas,
        Self::Answers,
    ];

    /// As it is named in arguments and files.
    pub fn word(self) -> &'static str {
        match self {
            Self::Questions => "questions",
            Self::Solutions => "solutions",
            Self::Guide => "guide",
            Self::Formulas => "formulas",
            Self::Answers => "answers",
        }
    }
}

/// A version of a paper: its number, and its questions.
#[derive(Debug, Clone)]
pub struct Version {
    /// 0 for the worksheets as they are written.
    pub number: u16,
    /// The questions, in the order of the paper.
    pub questions: Vec<Chosen>,
    /// What tells this printing from another.
    pub fingerprint: Option<String>,
}

/// What is to be printed.
#[derive(Debug)]
pub struct Job<'a> {
    /// The paper; a worksheet that is printed alone has no front page.
    pub paper: &'a Worksheet,
    /// Whether it has a block `problems`.
    pub has_front: bool,
    /// The versions in order.
    pub versions: &'a [Version],
    /// Whether questions are in large print.
    pub is_large: bool,
}

/// A file that is written: what stands behind the name of the paper, and its bytes.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct File {
    /// `v3.questions.html`
    pub suffix: String,
    /// What it holds.
    pub content: String,
}

impl Job<'_> {
    /// The files of some kinds, the questions of all versions first.
    pub fn files(&self, kinds: &[Kind]) -> Vec<File> {
        let title = crate::page::title(self.paper);
        let sheets: Vec<Sheets<'_>> = (self.versions.iter())
            .map(|version| self.sheets(version, &title))
            .collect();
        let named = |number: u16, word: &str| match number {
            0 => format!("{word}.html"),
            number => format!("v{number}.{word}.html"),
        };
        let mut out = Vec::new();
        let mut kinds = kinds.to_vec();
        kinds.sort_unstable();
        kinds.dedup();
        for kind in kinds {
            let each: fn(&Sheets<'_>) -> String = match kind {
                Kind::Questions => exam::questions,
                Kind::Solutions => exam::solutions,
                Kind::Guide => exam::guide,
                Kind::Formulas => {
                    let formulas = sheets.first().and_then(exam::formulas);
                    out.extend(formulas.map(|content| File {
                        suffix: "formulas.html".to_owned(),
                        content,
                    }));
                    continue;
                }
                Kind::Answers => {
                    out.push(File {
                        suffix: "answers.html".to_owned(),
                        content: exam::answers(&sheets),
                    });
                    out.push(File {
                        suffix: "answers.csv".to_owned(),
                        content: self.answers(),
                    });
                    continue;
                }
            };
            out.extend(
                sheets
                    .iter()
                    .zip(self.versions)
                    .map(|(sheets, version)| File {
                        suffix: named(version.number, kind.word()),
                        content: each(sheets),
                    }),
            );
        }
        out
    }

    fn sheets<'s>(&'s self, version: &'s Version, title: &'s str) -> Sheets<'s> {
        let several = self.versions.len() > 1 || version.number > 0;
        Sheets {
            paper: self.has_front.then_some(self.paper),
            front: &self.paper.front,
            title,
            version: several.then_some(version.number),
            fingerprint: version.fingerprint.as_deref(),
            is_large: self.is_large,
            questions: version.questions.iter().map(|it| self.sheet(it)).collect(),
        }
    }

    fn sheet<'s>(&'s self, chosen: &'s Chosen) -> Sheet<'s> {
        let problem = &chosen.worksheet.problems[chosen.problem].problem;
        let asked = problem.question.iter().flat_map(|it| &it.asked);
        Sheet {
            worksheet: &chosen.worksheet,
            problem: chosen.problem,
            title: chosen.title.clone(),
            parts: asked.map(|asked| self.part(problem, asked)).collect(),
        }
    }

    fn part(&self, problem: &Problem, asked: &Asked) -> SheetPart {
        let Some((shown, direction)) = answer(problem, asked) else {
            return SheetPart::default();
        };
        let within = within(self.paper, asked);
        let found = accepted(shown, &within);
        let unit = found.unit.to_string();
        let ends = found.printed.into_iter().enumerate();
        let many = found.ends.len() > 1;
        SheetPart {
            accepted: ends
                .map(|(at, (from, to))| {
                    let is_last = !many || at + 1 == found.ends.len();
                    let behind = match &direction {
                        Some(word) => format!(" {unit} {word}"),
                        None if unit.is_empty() || !is_last => String::new(),
                        None => format!(" {unit}"),
                    };
                    match &direction {
                        // With a word for the sign, sizes are told.
                        Some(_) if from.starts_with('−') => {
                            let bare = |it: &str| it.trim_start_matches('−').to_owned();
                            (bare(&to), bare(&from) + &behind)
                        }
                        _ => (from, to + &behind),
                    }
                })
                .collect(),
            within: asked.within.as_ref().map(Within::printed),
        }
    }

    /// The table of answers for machines.
    fn answers(&self) -> String {
        let mut rows = vec!["version,question,part,name,value,unit,direction,from,to".to_owned()];
        for version in self.versions {
            for (at, chosen) in version.questions.iter().enumerate() {
                let problem = &chosen.worksheet.problems[chosen.problem].problem;
                let Some(question) = &problem.question else {
                    continue;
                };
                for (part, asked) in question.asked.iter().enumerate() {
                    let Some((shown, direction)) = answer(problem, asked) else {
                        continue;
                    };
                    let found = accepted(shown, &within(self.paper, asked));
                    let name = &problem.symbols.symbol(asked.symbol).key;
                    let letter = question.letter(part).map_or_else(String::new, String::from);
                    for (digits, (from, to)) in shown.digits.iter().zip(&found.ends) {
                        rows.push(format!(
                            "{},{},{letter},{name},{},{},{},{from},{to}",
                            version.number,
                            at + 1,
                            digits.ascii(),
                            shown.unit.source(),
                            direction.as_deref().unwrap_or(""),
                        ));
                    }
                }
            }
        }
        rows.join("\n") + "\n"
    }
}

/// How far the answer to a part may be off.
pub fn within(paper: &Worksheet, asked: &Asked) -> Within {
    let own = asked.within.clone();
    let of_paper = || paper.front.exam.within.clone();
    own.or_else(of_paper).unwrap_or_else(Within::one_percent)
}

/// The answer to a part, and the word for its direction.
pub fn answer<'p>(problem: &'p Problem, asked: &Asked) -> Option<(&'p Shown, Option<String>)> {
    let body = &problem.line(asked.result?).body;
    let direction = match body {
        Body::Answer { direction, .. } => direction.as_deref(),
        _ => None,
    };
    let word = direction.map(|(word, _)| word.plain(&problem.text));
    Some((problem.answered(asked)?, word))
}
