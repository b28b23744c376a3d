//! Other worksheets that names are taken from: read, compiled once, and kept for those who take.
//!
//! In go the files that the blocks of a problem name, out come their problems with what was found
//! of them. Which worksheets take from which is known from their texts before any is compiled, so
//! that circles are found first, and a worksheet is compiled when those it takes from are.

use std::collections::{BTreeMap, HashSet};
use std::sync::Arc;

use rustc_hash::FxHashMap;

use super::compile::{self, Passed};
use super::numbers;
use super::plan::{self, Made};
use super::stack::on_deep_stack;
use crate::diagnostic::{self, Code, Diagnostic};
use crate::dimensions::Type;
use crate::document::{self, Chapter, Piece};
use crate::evaluate::{self, Replay, Value};
use crate::proofs::Proofs;
use crate::quantity::Unit;
use crate::questions::Answers;
use crate::resolve::{self, Found, Named, Resolved, SymbolId, Wanted};
use crate::syntax;
use crate::text::{Beside, BlockKind, FileRead, Reader, Source, Span, Unread, decoded};

/// So many worksheets may take from each other in a row.
const MOST_DEEP: usize = 8;

/// A problem of another worksheet, as its passes left it.
#[derive(Debug)]
pub(super) struct Kept {
    /// Its heading.
    pub title: Option<String>,
    pub text: Arc<str>,
    pub resolved: Resolved,
    pub checked: crate::dimensions::Checked,
    pub proofs: Proofs,
    /// The problem of each of its blocks.
    pub problems: Vec<usize>,
    /// How its own names are scoped.
    pub scope: usize,
    pub found: evaluate::Kept,
    /// What is wrong with it, in the order of its text.
    pub faults: Vec<Diagnostic>,
    /// For each of its chapters where it begins in its text, and in the file.
    pub chapters: Vec<(u32, u32)>,
    /// The worksheets that it takes from itself.
    pub shelf: Shelf,
}

/// Another worksheet.
#[derive(Debug)]
pub(super) struct Sheet {
    /// Its path from the folder of the first worksheet.
    path: Arc<str>,
    title: Option<String>,
    source: Source,
    problems: Vec<Kept>,
    /// The files that it was made from, itself among them.
    files: Vec<FileRead>,
}

/// What there is at a path.
#[derive(Debug, Clone)]
enum Opened {
    Sheet(Arc<Sheet>),
    Unread(Unread),
    NotText(String),
    /// The worksheets that take from each other.
    Circle(Vec<String>),
    TooDeep,
}

/// The other worksheets that one takes from, by the paths that it writes.
#[derive(Debug, Clone, Default)]
pub(super) struct Shelf {
    opened: BTreeMap<String, Opened>,
}

/// Worksheets that were opened before, by their paths.
#[derive(Debug, Default)]
pub(super) struct Library(FxHashMap<String, Arc<Sheet>>);

/// The files that the blocks of a problem take from, as they are written there.
pub(super) fn files_of(made: &Made) -> Vec<String> {
    let runs = made.above.iter().chain(&made.own);
    let pieces = runs.flat_map(|run| made.pieces(run));
    let text = made.text();
    let mut found: Vec<String> = pieces
        .filter_map(|piece| match &*piece {
            Piece::Block {
                kind: BlockKind::Given,
                span,
                ..
            } => Some(*span),
            _ => None,
        })
        .flat_map(|span| {
            let files = syntax::taken_files(span.of(&text)).map(str::to_owned);
            files.collect::<Vec<_>>()
        })
        .collect();
    found.sort_unstable();
    found.dedup();
    found
}

/// The chapters, plans and starts of a text.
struct Planned {
    plans: Vec<plan::Plan>,
    starts: Vec<usize>,
    title: Option<String>,
}

impl Planned {
    fn of(text: &str) -> Self {
        let (front, body, _) = document::front(text);
        let front = Arc::new(front);
        let rest = text.get(body..).unwrap_or("");
        let places = document::chapters(rest);
        let starts = places.iter().map(|place| body + place.start).collect();
        let chapters: Vec<Arc<Chapter>> = (places.into_iter())
            .map(|place| Arc::new(Chapter::read(rest[place].into())))
            .collect();
        let sections = plan::sections(&chapters, &front);
        let plans = plan::plans(&chapters, &sections, &front);
        Self {
            plans,
            starts,
            title: front.title.clone(),
        }
    }
}

impl Library {
    /// The worksheets at paths beside one, which is one of the files itself where it has a name.
    pub fn shelf(&mut self, paths: &[String], beside: &Beside) -> Shelf {
        let mut opener = Opener {
            library: self,
            beside,
            heights: FxHashMap::default(),
        };
        let own = beside.worksheet().to_owned();
        opener.shelf(paths, "", &mut vec![own])
    }

    /// Forgets what none of these read.
    pub fn forget<'f>(&mut self, files: impl Iterator<Item = &'f FileRead>) {
        let read: std::collections::BTreeSet<&str> = files.map(|file| &*file.path).collect();
        self.0.retain(|path, _| read.contains(&**path));
    }
}

struct Opener<'o> {
    library: &'o mut Library,
    beside: &'o Beside,
    /// How many worksheets stand below each in a row, itself counted.
    heights: FxHashMap<String, usize>,
}

impl Opener<'_> {
    fn shelf(&mut self, paths: &[String], base: &str, above: &mut Vec<String>) -> Shelf {
        let mut opened = BTreeMap::new();
        for path in paths {
            let found = self.open(&format!("{base}{path}"), above);
            opened.insert(path.clone(), found);
        }
        Shelf { opened }
    }

    fn open(&mut self, path: &str, above: &mut Vec<String>) -> Opened {
        match self.height(path, above) {
            Err(circle) => return Opened::Circle(circle),
            Ok(height) if height > MOST_DEEP => return Opened::TooDeep,
            Ok(_) => {}
        }
        if let Some(known) = self.library.0.get(path)
            && is_read(known, self.beside)
        {
            return Opened::Sheet(Arc::clone(known));
        }
        let contents = self.beside.read(path);
        let bytes = match &*contents {
            Ok((bytes, _)) => bytes.clone(),
            Err(unread) => return Opened::Unread(unread.clone()),
        };
        match decoded(bytes) {
            Ok(text) => {
                let sheet = Arc::new(self.compile(path, text, above));
                self.library.0.insert(path.to_owned(), Arc::clone(&sheet));
                Opened::Sheet(sheet)
            }
            Err(not_text) => Opened::NotText(not_text.message),
        }
    }

    /// How many worksheets stand in a row from this one on.
    fn height(&mut self, path: &str, above: &mut Vec<String>) -> Result<usize, Vec<String>> {
        if let Some(at) = above.iter().position(|own| own == path) {
            return Err(in_order(&above[at..]));
        }
        if let Some(known) = self.heights.get(path) {
            return Ok(*known);
        }
        if above.len() > 4 * MOST_DEEP {
            return Ok(MOST_DEEP);
        }
        let contents = self.beside.read(path);
        let text = match &*contents {
            Ok((bytes, _)) => decoded(bytes.clone()).unwrap_or_default(),
            Err(_) => String::new(),
        };
        let mut below = 0;
        above.push(path.to_owned());
        for file in files_in(&Planned::of(&text)) {
            let inner = self.height(&format!("{}{file}", folder(path)), above);
            below = below.max(inner?);
        }
        above.pop();
        self.heights.insert(path.to_owned(), below + 1);
        Ok(below + 1)
    }

    fn compile(&mut self, path: &str, text: String, above: &mut Vec<String>) -> Sheet {
        let base = folder(path);
        let planned = Planned::of(&text);
        let file: Arc<str> = path.into();
        above.push(path.to_owned());
        let reader = Reader::within(self.beside, base);
        drop(reader.read(path.rsplit('/').next().unwrap_or(path)));
        let mut problems = Vec::with_capacity(planned.plans.len());
        let mut files = reader.readings();
        let answers = Answers::default();
        for plan in &planned.plans {
            let shelf = self.shelf(&files_of(&plan.made), base, above);
            let reader = Reader::within(self.beside, base);
            let (problem, kept): (_, Passed) = compile::problem_kept(
                &plan.made,
                &answers.asker(plan.made.shares()),
                reader,
                &shelf,
            );
            let faults = problem.diagnostics.iter().filter(|found| found.is_error());
            let faults = faults.cloned().collect();
            files.extend(problem.files.iter().cloned());
            let chapters = numbers::chapters(plan, &planned.starts);
            problems.push(Kept {
                title: problem.title.clone(),
                text: Arc::clone(&problem.text),
                resolved: kept.resolved,
                checked: kept.checked,
                proofs: kept.proofs,
                problems: kept.problems,
                scope: usize::from(!problem.shared.is_empty()),
                found: kept.found,
                faults,
                chapters,
                shelf,
            });
        }
        above.pop();
        files.sort_by(|one, other| one.path.cmp(&other.path));
        files.dedup_by(|one, other| one.path == other.path);
        Sheet {
            path: file,
            title: planned.title,
            source: Source::new(path, text),
            problems,
            files,
        }
    }
}

/// The files that any problem of a worksheet takes from.
fn files_in(planned: &Planned) -> Vec<String> {
    let mut all: Vec<String> = planned
        .plans
        .iter()
        .flat_map(|it| files_of(&it.made))
        .collect();
    all.sort_unstable();
    all.dedup();
    all
}

/// The folder of a path, with its last slash.
fn folder(path: &str) -> &str {
    path.rfind('/').map_or("", |slash| &path[..=slash])
}

/// A circle from the first of its names on, so that it is said alike wherever it is met.
fn in_order(circle: &[String]) -> Vec<String> {
    let least = (0..circle.len()).min_by_key(|at| &circle[*at]).unwrap_or(0);
    let mut all = circle.to_vec();
    all.rotate_left(least);
    all.extend(all.first().cloned());
    all
}

/// Whether the files that a worksheet was made from are what they were then.
fn is_read(sheet: &Sheet, beside: &Beside) -> bool {
    let now = Reader::new(beside);
    sheet
        .files
        .iter()
        .for_each(|file| drop(now.read(&file.path)));
    now.readings() == sheet.files
}

/// A worksheet whose values can be had again with other values and other formulas in it.
#[derive(Debug)]
pub struct Replays(Sheet);

impl Replays {
    /// Compiles a worksheet that stands in a folder, and keeps what its passes found.
    pub fn of(source: &Source, beside: &Beside) -> Self {
        on_deep_stack(|| {
            let mut opener = Opener {
                library: &mut Library::default(),
                beside,
                heights: FxHashMap::default(),
            };
            let text = source.text().to_owned();
            Self(opener.compile(source.name(), text, &mut Vec::new()))
        })
    }

    /// How many problems it has, what all share among them.
    pub fn count(&self) -> usize {
        self.0.problems.len()
    }

    /// One of its problems, evaluated. It is the problem of this number of the worksheet that
    /// [`compile`](super::compile) makes of the text.
    pub fn problem(&self, number: usize) -> Option<Replay<'_>> {
        let kept = self.0.problems.get(number)?;
        Some(on_deep_stack(|| Replay::of(kept.ground())))
    }

    /// The place in the worksheet's text of a byte of the problem's.
    pub fn place(&self, number: usize, at: u32) -> u32 {
        let kept = self.0.problems.get(number);
        kept.map_or(at, |kept| kept.place(at))
    }

    /// The name that is written so in a problem.
    pub fn find(&self, number: usize, key: &str) -> Option<SymbolId> {
        let kept = self.0.problems.get(number)?;
        kept.resolved.symbols.find(kept.scope, key)
    }
}

impl Shelf {
    /// The files that all worksheets on it were made from.
    pub fn read(&self, reader: &Reader<'_>) {
        for (path, opened) in &self.opened {
            drop(reader.read(path));
            if let Opened::Sheet(sheet) = opened {
                sheet.files.iter().for_each(|file| reader.note(file));
            }
        }
    }

    /// The worksheets on it by the paths that lead there, each with the files that it was made from.
    pub fn made_from(&self) -> Vec<(String, Vec<String>)> {
        let sheets = self
            .opened
            .iter()
            .filter_map(|(path, opened)| match opened {
                Opened::Sheet(sheet) => Some((path, sheet)),
                Opened::Unread(_) | Opened::NotText(_) | Opened::Circle(_) | Opened::TooDeep => {
                    None
                }
            });
        let files = |sheet: &Sheet| sheet.files.iter().map(|file| file.path.clone()).collect();
        sheets
            .map(|(path, sheet)| (path.clone(), files(sheet)))
            .collect()
    }

    /// Every problem of every worksheet on it; a worksheet that is written in two ways is there
    /// twice.
    fn problems(&self) -> impl Iterator<Item = (&str, &Arc<Sheet>, &Kept)> {
        self.opened.iter().flat_map(|(path, opened)| match opened {
            Opened::Sheet(sheet) => {
                let problems = sheet.problems.iter();
                problems.map(|problem| (&**path, sheet, problem)).collect()
            }
            _ => Vec::new(),
        })
    }

    fn at(&self, at: usize) -> Option<(&Arc<Sheet>, &Kept)> {
        let (_, sheet, problem) = self.problems().nth(at)?;
        Some((sheet, problem))
    }

    /// What a symbol of another problem is, and its unit.
    pub fn type_of(&self, at: usize, symbol: SymbolId) -> Option<(Type, Option<Unit>)> {
        let (_, kept) = self.at(at)?;
        let found = kept.checked.symbols.get(symbol)?.clone();
        Some((found, kept.checked.units.get(&symbol).cloned()))
    }
}

impl Kept {
    /// What it is evaluated again from.
    fn ground(&self) -> evaluate::Ground<'_> {
        evaluate::Ground {
            text: &self.text,
            resolved: &self.resolved,
            checked: &self.checked,
            problems: &self.problems,
            refuted: &self.proofs.refuted,
            provisos: &self.proofs.provisos,
            others: &self.shelf,
            // Nothing is taken of them.
            trials: 0,
        }
    }

    /// A name that has a value, or is a function.
    fn named(&self, key: &str) -> Option<Named> {
        let symbols = &self.resolved.symbols;
        if let Some(function) = symbols.find_function(self.scope, key) {
            return Some(Named::Function(function));
        }
        let symbol = symbols.find(self.scope, key)?;
        symbols
            .symbol(symbol)
            .defined
            .map(|_| Named::Symbol(symbol))
    }

    /// Whether a name is its own, and not of what all problems share.
    fn owns(&self, named: Named) -> bool {
        let symbols = &self.resolved.symbols;
        match named {
            Named::Symbol(symbol) => symbols.symbol(symbol).problem == self.scope,
            Named::Function(function) => {
                let key = &symbols.function(function).key;
                self.scope == 0 || symbols.find_function(0, key) != Some(function)
            }
        }
    }

    /// The names that can be taken.
    fn names(&self) -> Vec<&str> {
        let symbols = &self.resolved.symbols;
        let mut names = symbols.keys(self.scope, None);
        names.extend(symbols.function_keys(self.scope));
        names.sort_unstable();
        names.dedup();
        names
    }

    /// The place in the file of a place of its text.
    fn place(&self, at: u32) -> u32 {
        let chapter = self.chapters.partition_point(|(own, _)| *own <= at);
        match self.chapters.get(chapter.saturating_sub(1)) {
            Some((own, whole)) => at - own + whole,
            None => at,
        }
    }

    /// What is wrong with it first, as it is said elsewhere.
    fn fault(&self, sheet: &Sheet) -> Option<String> {
        self.faults.first().map(|fault| self.told(sheet, fault))
    }

    /// What is wrong with the line that defines a name; where nothing is, with the worksheet first.
    fn fault_of(&self, sheet: &Sheet, symbol: SymbolId) -> Option<String> {
        let lines = self.resolved.blocks.iter().flatten();
        let mut own =
            lines.filter(|line| line.defines == Some(symbol) || line.unknowns.contains(&symbol));
        let line = own.next().map(|line| line.span);
        let is_there = |fault: &&Diagnostic| {
            line.is_some_and(|line| (line.start..line.end).contains(&fault.span.start))
        };
        let fault = self.faults.iter().find(is_there).or(self.faults.first())?;
        Some(self.told(sheet, fault))
    }

    fn told(&self, sheet: &Sheet, fault: &Diagnostic) -> String {
        let place = self.place(fault.span.start) as usize;
        let line = sheet
            .source
            .text()
            .get(..place)
            .unwrap_or("")
            .matches('\n')
            .count()
            + 1;
        format!("line {line}: {}", fault.message)
    }
}

fn refused(code: Code, place: Span, message: String, help: String) -> Box<Diagnostic> {
    Box::new(Diagnostic::error(code, place, message).with_help(help))
}

impl resolve::Others for Shelf {
    fn find(&self, wanted: &Wanted<'_>) -> Result<Found<'_>, Box<Diagnostic>> {
        let (file, place) = wanted.file;
        let sheet = match self.opened.get(file) {
            Some(Opened::Sheet(sheet)) => sheet,
            Some(Opened::Unread(unread)) => {
                return Err(Box::new(resolve::not_read(file, place, unread, "of", &[])));
            }
            Some(Opened::NotText(why)) => {
                let help = "a worksheet, in UTF-8".to_owned();
                return Err(refused(Code::K08, place, format!("`{file}`: {why}"), help));
            }
            Some(Opened::Circle(circle)) => {
                let circle: Vec<String> = circle.iter().map(|path| format!("`{path}`")).collect();
                return Err(refused(
                    Code::K19,
                    place,
                    format!("worksheets take from each other: {}", circle.join(" from ")),
                    "the value itself in one of them".to_owned(),
                ));
            }
            Some(Opened::TooDeep) => {
                return Err(refused(
                    Code::K19,
                    place,
                    format!(
                        "`{file}` takes from worksheets that take from others, more than {MOST_DEEP} in a row"
                    ),
                    "the value from the worksheet in which it stands".to_owned(),
                ));
            }
            None => {
                let unread = Unread::Missing;
                return Err(Box::new(resolve::not_read(file, place, &unread, "of", &[])));
            }
        };
        let all: Vec<(usize, &Kept)> = (self.problems().enumerate())
            .filter(|(_, (path, ..))| *path == file)
            .map(|(at, (_, _, kept))| (at, kept))
            .collect();
        let among = self.among(sheet, &all, wanted)?;
        let (key, key_place) = wanted.key;
        let mut found: Vec<(usize, &Kept, Named)> = (among.iter())
            .filter_map(|(at, kept)| Some((*at, *kept, kept.named(key)?)))
            .collect();
        // What all share is one, in whichever problem it is seen.
        if wanted.under.is_none() && found.len() > 1 {
            let own: Vec<_> = found.iter().copied().filter(|it| it.1.owns(it.2)).collect();
            found = own;
        }
        let (at, kept, what) = match found.as_slice() {
            [only] => *only,
            [] => {
                let mut known = HashSet::new();
                let mut names: Vec<&str> =
                    among.iter().flat_map(|(_, kept)| kept.names()).collect();
                names.retain(|name| known.insert(*name));
                let help = match diagnostic::nearest(key, names.iter().copied()) {
                    Some(near) => format!("`{near}`"),
                    None => {
                        let names: Vec<String> = (names.iter().take(12))
                            .map(|name| format!("`{name}`"))
                            .collect();
                        match names.is_empty() {
                            true => "a worksheet with a line that defines it".to_owned(),
                            false => format!("a name of it: {}", names.join(", ")),
                        }
                    }
                };
                let fault = among.iter().find_map(|(_, kept)| kept.fault(sheet));
                let fault = fault.map_or_else(String::new, |fault| format!("; {fault}"));
                let message = format!("`{file}` has no `{key}`{fault}");
                return Err(refused(Code::K18, key_place, message, help));
            }
            several => {
                let titles: Vec<String> = (several.iter())
                    .map(|(_, kept, _)| format!("`under \"{}\"`", title(sheet, kept)))
                    .collect();
                return Err(refused(
                    Code::K18,
                    key_place,
                    format!("`{key}` stands in {} problems of `{file}`", several.len()),
                    format!("{} after the file", titles.join(" or ")),
                ));
            }
        };
        if let Named::Symbol(symbol) = what
            && !kept.found.has(symbol)
        {
            let why = kept.fault_of(sheet, symbol);
            let why = why.map_or_else(String::new, |why| format!("; {why}"));
            return Err(refused(
                Code::K18,
                key_place,
                format!("`{key}` has no value in `{file}`{why}"),
                "that worksheet put right".to_owned(),
            ));
        }
        Ok(Found {
            at,
            resolved: &kept.resolved,
            scope: kept.scope,
            what,
        })
    }

    fn fault(&self, at: usize, wanted: &Wanted<'_>) -> Option<Diagnostic> {
        let (sheet, kept) = self.at(at)?;
        let (file, place) = wanted.file;
        let fault = kept.fault(sheet)?;
        let message = format!("`{file}` has an error in {fault}");
        let diagnostic = Diagnostic::error(Code::K18, place, message);
        Some(diagnostic.with_help("that worksheet put right"))
    }
}

/// The heading of a problem; of what all share the title of the worksheet.
fn title<'k>(sheet: &'k Sheet, kept: &'k Kept) -> &'k str {
    let own = kept.title.as_deref().or(sheet.title.as_deref());
    own.unwrap_or("")
}

impl Shelf {
    /// The problems of a worksheet that a line may mean.
    fn among<'k>(
        &self,
        sheet: &Sheet,
        all: &[(usize, &'k Kept)],
        wanted: &Wanted<'_>,
    ) -> Result<Vec<(usize, &'k Kept)>, Box<Diagnostic>> {
        let Some((under, place)) = wanted.under else {
            return Ok(all.to_vec());
        };
        let own: Vec<(usize, &Kept)> = (all.iter().copied())
            .filter(|(_, kept)| title(sheet, kept) == under)
            .collect();
        if !own.is_empty() {
            return Ok(own);
        }
        let titles: Vec<&str> = all.iter().map(|(_, kept)| title(sheet, kept)).collect();
        let shown: Vec<String> = (titles.iter().filter(|title| !title.is_empty()))
            .map(|title| format!("\"{title}\""))
            .collect();
        let begins = |title: &&str| !under.is_empty() && title.starts_with(under);
        let mut alike = titles.iter().copied().filter(begins);
        let begun = alike.next().filter(|_| alike.next().is_none());
        let near = diagnostic::nearest(under, titles.iter().copied()).or(begun);
        let help = match (near, shown.is_empty()) {
            (Some(near), _) => format!("`under \"{near}\"`"),
            (None, true) => "the line without `under …`".to_owned(),
            (None, false) => format!("a heading of it: {}", shown.join(", ")),
        };
        let message = format!("`{}` has no problem \"{under}\"", wanted.file.0);
        Err(refused(Code::K18, place, message, help))
    }
}

impl evaluate::Others for Shelf {
    fn found(&self, at: usize) -> Option<&evaluate::Kept> {
        self.at(at).map(|(_, kept)| &kept.found)
    }

    fn place(&self, at: usize, place: Span) -> (Arc<str>, u32) {
        match self.at(at) {
            Some((sheet, kept)) => (Arc::clone(&sheet.path), kept.place(place.start)),
            None => ("".into(), place.start),
        }
    }

    fn text(&self, at: usize) -> &str {
        self.at(at).map_or("", |(_, kept)| &*kept.text)
    }

    fn what_if(
        &self,
        at: usize,
        symbol: SymbolId,
        by: FxHashMap<SymbolId, Value>,
    ) -> Result<Value, String> {
        let (_, kept) = self.at(at).ok_or_else(String::new)?;
        evaluate::what_if(kept.ground(), symbol, by)
    }
}
