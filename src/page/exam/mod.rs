//! The sheets of a question paper: questions with space for answers, worked solutions, a marking
//! guide, a formula sheet, a table of answers; and pages of marks. Each is a function from finished
//! worksheets, or from what is to be told, to one HTML file.

mod answers;
mod formulas;
mod guide;
mod marks;
mod question;

use rustc_hash::FxHashSet;

use super::html;
use super::tree::Block;
use super::{Page, part};
use crate::document::{Block as Markdown, FrontMatter};
use crate::resolve::{Meaning, SymbolId};
use crate::syntax::BlockKind;
use crate::text::counted;
use crate::typeset::Names;
use crate::worksheet::{Counts, Filled, Part, PartKind, Placed, Question, Worksheet};

pub use answers::answers;
pub use formulas::formulas;
pub use guide::guide;
pub use marks::{MarksPage, MarksTable, Section, marks as marks_page};

/// What is printed on the sheets of a paper.
#[derive(Debug)]
pub struct Sheets<'a> {
    /// The paper itself, whose prose is the instructions; none where a worksheet is printed alone.
    pub paper: Option<&'a Worksheet>,
    /// Its title, and what else its front page says.
    pub front: &'a FrontMatter,
    /// Its title.
    pub title: &'a str,
    /// The number of the version, where the paper has several.
    pub version: Option<u16>,
    /// What tells this version from another printing: `K7Q2-M5ZX`.
    pub fingerprint: Option<&'a str>,
    /// Whether the questions are in large print.
    pub is_large: bool,
    /// The questions in order.
    pub questions: Vec<Sheet<'a>>,
}

/// A question of a paper.
#[derive(Debug)]
pub struct Sheet<'a> {
    /// The worksheet that it stands in.
    pub worksheet: &'a Worksheet,
    /// The problem of that.
    pub problem: usize,
    /// Its title.
    pub title: String,
    /// For each part what is said of its answer.
    pub parts: Vec<SheetPart>,
}

/// What is said of the answer of a part.
#[derive(Debug, Clone, Default)]
pub struct SheetPart {
    /// Both ends of what is accepted, as they are printed; of a vector those of each component.
    pub accepted: Vec<(String, String)>,
    /// How far it may be off, where that is not what is usual.
    pub within: Option<String>,
}

impl<'a> Sheet<'a> {
    fn placed(&self) -> &'a Placed {
        &self.worksheet.problems[self.problem]
    }

    /// What it asks.
    ///
    /// # Panics
    /// Where it asks nothing: a question of a paper does.
    fn question(&self) -> &'a Question {
        match &self.placed().problem.question {
            Some(question) => question,
            None => unreachable!("a question of a paper asks something"),
        }
    }
}

/// What a version is called.
fn version(number: u16) -> String {
    match number {
        0 => "Practice version".to_owned(),
        number => format!("Version {number}"),
    }
}

/// "4 marks"
fn marks(count: u32) -> String {
    counted(count as usize, "mark")
}

impl Sheets<'_> {
    fn total(&self) -> u32 {
        self.questions.iter().map(|it| it.question().total()).sum()
    }

    /// What stands at the foot of each sheet of paper.
    fn foot(&self) -> String {
        let version = self.version.map(version);
        let fingerprint = self.fingerprint.map(str::to_owned);
        let words: Vec<String> = version.into_iter().chain(fingerprint).collect();
        words.join(" · ")
    }

    fn shell<'s>(&'s self, what: &'static str, kind: html::exam::Kind) -> html::exam::Shell<'s> {
        html::exam::Shell {
            title: self.title,
            what,
            language: &self.front.language,
            paper: self.front.paper,
            foot: self.foot(),
            kind,
        }
    }

    /// "Engineering mechanics · 12 March 2027"
    fn facts(&self) -> Vec<String> {
        let facts = [&self.front.course, &self.front.author, &self.front.date];
        facts.into_iter().flatten().cloned().collect()
    }
}

/// The instructions of the paper: its prose, but for its title.
fn instructions(sheets: &Sheets<'_>) -> Vec<Block> {
    let Some(paper) = sheets.paper else {
        return Vec::new();
    };
    let names = super::names(paper);
    let mut blocks = Vec::new();
    for (placed, own) in paper.parts() {
        let is_title = matches!(&own.kind, PartKind::Heading { level: 1, .. });
        if !is_title && !names_problems(own) {
            let page = Page::new(paper, placed, &names[placed.number], 1);
            blocks.extend(part::blocks(&page, own));
        }
    }
    blocks
}

/// Whether a part is the block that names the problems of a paper.
pub fn names_problems(part: &Part) -> bool {
    let named = |block: &Markdown<Filled>| matches!(block, Markdown::Code { language, .. } if language == "problems");
    matches!(&part.kind, PartKind::Prose(blocks) if blocks.iter().any(named))
}

/// The question papers: the front page, and each question with space for its answers.
pub fn questions(sheets: &Sheets<'_>) -> String {
    let mut counts = Counts::default();
    let mut asked = Vec::new();
    for (at, sheet) in sheets.questions.iter().enumerate() {
        asked.push(question::question(sheet, at + 1, &mut counts));
    }
    let mut facts = Vec::new();
    facts.extend(
        sheets
            .front
            .exam
            .time
            .as_ref()
            .map(|it| format!("Time: {it}")),
    );
    facts.push(format!("Total: {}", marks(sheets.total())));
    facts.extend(sheets.version.map(version));
    let kind = match sheets.is_large {
        true => html::exam::Kind::Large,
        false => html::exam::Kind::Questions,
    };
    let cover = html::exam::Cover {
        facts: [sheets.facts(), facts].map(|it| it.join(" · ")),
        has_candidate: sheets.paper.is_some(),
        instructions: instructions(sheets),
        awarded: match sheets.paper {
            Some(_) => (sheets.questions.iter().enumerate())
                .map(|(at, it)| ((at + 1).to_string(), it.question().total()))
                .collect(),
            None => Vec::new(),
        },
    };
    html::exam::questions(
        &sheets.shell("Questions", kind),
        &cover,
        &asked,
        sheets.front.exam.space,
    )
}

/// The worked solutions.
pub fn solutions(sheets: &Sheets<'_>) -> String {
    let mut out = Vec::new();
    for (at, sheet) in sheets.questions.iter().enumerate() {
        let number = at + 1;
        let placed = sheet.placed();
        let all = 0..placed.problem.parts.len();
        let view = placed.as_question(number, all, &mut Counts::default());
        let names = Names::new(&placed.problem.symbols);
        let page = Page::new(sheet.worksheet, &view, &names, 1);
        let mut blocks = shared(sheet, number, &mut Counts::default());
        let own = view
            .problem
            .parts
            .iter()
            .skip_while(|it| is_title(it, sheet));
        blocks.extend(own.flat_map(|it| part::blocks(&page, it)));
        out.push((question::heading(sheet, number), blocks));
    }
    html::exam::blocks(
        &sheets.shell("Worked solutions", html::exam::Kind::Plain),
        &out,
    )
}

/// Whether a part is the heading that is the question's own title.
fn is_title(part: &Part, sheet: &Sheet<'_>) -> bool {
    matches!(&part.kind, PartKind::Heading { level: 1, text, .. } if *text == sheet.title)
}

/// What the problems of a worksheet share, as far as a problem uses it.
fn shared(sheet: &Sheet<'_>, number: usize, counts: &mut Counts) -> Vec<Block> {
    if sheet.problem == 0 {
        return Vec::new();
    }
    let own = &sheet.placed().problem;
    let home = &sheet.worksheet.problems[0];
    let used: FxHashSet<&str> = (own.occurrences.iter())
        .filter_map(|it| match it.meaning {
            Meaning::Symbol(symbol) => Some(&*own.symbols.symbol(symbol).key),
            _ => None,
        })
        .collect();
    let view = home.as_question(number, 0..home.problem.parts.len(), counts);
    let names = Names::new(&home.problem.symbols);
    let page = Page::new(sheet.worksheet, &view, &names, 1);
    let parts = home.problem.parts.iter();
    parts
        .flat_map(|own| match &own.kind {
            PartKind::Block { kind, statements } if *kind == BlockKind::Given => {
                let is_used =
                    |name: SymbolId| used.contains(&*home.problem.symbols.symbol(name).key);
                question::data(&page, statements, &is_used)
            }
            PartKind::Heading { level: 1, .. } => Vec::new(),
            _ => part::blocks(&page, own),
        })
        .collect()
}
