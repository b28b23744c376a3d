//! A paper: which problems it has.
//!
//! In goes a worksheet with a block `problems`, or any other, which is a paper of its own
//! problems; out come the problems in order, and what is wrong.

use std::borrow::Cow;
use std::collections::BTreeMap;
use std::sync::Arc;

use super::choice::{Condition, Held};
use super::facts;
use crate::diagnostic::{Code, Diagnostic, nearest, nearest_file};
use crate::page::exam::names_problems;
use crate::text::{
    Beside, Files, Hash, MAX_BYTES, Reader, Source, Span, Unread, counted, decoded, listed,
};
use crate::worksheet::{self, Worksheet, is_refusal};

/// So many questions a paper may have.
pub const MOST_QUESTIONS: usize = 100;

/// So many worksheets are looked at where a folder is searched.
const MOST_SEARCHED: usize = 10_000;

/// A problem of a paper.
#[derive(Debug, Clone)]
pub struct Chosen {
    /// The path of its worksheet, from the folder that files are read in.
    pub path: String,
    /// The worksheet.
    pub worksheet: Arc<Worksheet>,
    /// Which of its problems.
    pub problem: usize,
    /// What it is called.
    pub title: String,
}

/// Where the lines of the blocks `problems` of a worksheet stand; none where it is no paper.
pub fn blocks(paper: &Worksheet) -> Vec<Vec<Span>> {
    let parts = paper.parts().filter(|(_, part)| names_problems(part));
    parts
        .map(|(placed, part)| placed.span(part.span))
        .map(|fence| {
            let text = fence.of(paper.source.text());
            let mut at = fence.start as usize;
            let mut lines = Vec::new();
            for line in text.split_inclusive('\n') {
                lines.push(trimmed(line, at));
                at += line.len();
            }
            // The first and the last are the fence itself.
            let last = lines.len().saturating_sub(1);
            let own = lines.into_iter().take(last).skip(1);
            own.filter(|line| !line.is_empty()).collect()
        })
        .collect()
}

fn trimmed(line: &str, at: usize) -> Span {
    let start = at + (line.len() - line.trim_start().len());
    Span::new(start, start + line.trim().len())
}

/// How far up a paper's paths lead: 1 for `../bank`.
pub fn levels_up(paper: &Worksheet) -> usize {
    let text = paper.source.text();
    let lines = blocks(paper).into_iter().flatten();
    let levels = lines.map(|line| line.of(text).matches("../").count());
    levels.max().unwrap_or(0)
}

/// A line of `problems`.
enum Line {
    /// A worksheet, and the title of one of its problems.
    Worksheet {
        path: String,
        title: Option<Span>,
        span: Span,
    },
    /// Some problems of a folder.
    Search {
        count: usize,
        folder: String,
        condition: Option<Condition>,
        span: Span,
    },
}

/// The problems of a paper in order.
///
/// `path` is that of the paper among `files`. Whatever is wrong with a line costs that line.
pub fn problems(
    paper: &Arc<Worksheet>,
    path: &str,
    files: &Arc<dyn Files>,
) -> (Vec<Chosen>, Vec<Diagnostic>) {
    let mut found = Vec::new();
    let blocks = blocks(paper);
    let lines = match blocks.as_slice() {
        [] => return (own(paper, path, &mut found), found),
        [lines] => lines,
        [first, second, ..] => {
            let place = second.first().copied().unwrap_or_default();
            let mut two = Diagnostic::error(Code::P20, place, "a paper has two blocks `problems`")
                .with_help("one block with the lines of both");
            if let Some(first) = first.first() {
                two = two.with_note("the first is here", *first);
            }
            found.push(two);
            first
        }
    };
    let mut library = Library {
        files,
        folder: path.rsplit_once('/').map_or("", |(folder, _)| folder),
        own: path,
        compiled: BTreeMap::new(),
    };
    let series = paper.front.exam.series.as_deref().unwrap_or("");
    let text = paper.source.text();
    let mut chosen: Vec<(Chosen, Span)> = Vec::new();
    for line in lines {
        let taken = match read(text, *line) {
            Ok(Line::Worksheet { path, title, span }) => {
                library.worksheet(text, &path, title, span)
            }
            Ok(Line::Search {
                count,
                folder,
                condition,
                span,
            }) => library.search((count, &folder), condition.as_ref(), series, span),
            Err(refusal) => Err(refusal),
        };
        match taken {
            Ok(taken) => {
                for one in taken {
                    let same = |it: &&(Chosen, Span)| {
                        (&it.0.path, it.0.problem) == (&one.path, one.problem)
                    };
                    match chosen.iter().position(|it| same(&it)) {
                        Some(before) => found.push(twice(&one, before, chosen.len(), *line)),
                        None => chosen.push((one, *line)),
                    }
                }
            }
            Err(refusal) => found.push(*refusal),
        }
    }
    if chosen.is_empty() && found.is_empty() {
        let place = lines.first().copied().unwrap_or_default();
        found.push(
            Diagnostic::error(Code::P20, place, "the block `problems` names no problem")
                .with_help("the path of a worksheet on a line: `rod.md`"),
        );
    }
    if let Some((_, place)) = chosen.get(MOST_QUESTIONS) {
        let message = format!("a paper has at most {MOST_QUESTIONS} questions");
        found.push(Diagnostic::error(Code::P20, *place, message).with_help("two papers"));
    }
    (chosen.into_iter().map(|(it, _)| it).collect(), found)
}

/// The problems of a worksheet that is printed alone.
fn own(paper: &Arc<Worksheet>, path: &str, found: &mut Vec<Diagnostic>) -> Vec<Chosen> {
    let chosen: Vec<Chosen> = facts::problems(paper)
        .map(|problem| Chosen {
            path: path.to_owned(),
            worksheet: Arc::clone(paper),
            problem,
            title: facts::title(paper, problem),
        })
        .collect();
    for chosen in &chosen {
        found.extend(untold(chosen));
    }
    if chosen.is_empty() && !paper.has_errors() {
        let message = "a paper has a block `problems`, or asks something itself";
        found.push(
            Diagnostic::error(Code::P20, Span::new(0, 0), message).with_help(
                "a fence ```problems with the path of a worksheet on each line, or a block `required`",
            ),
        );
    }
    chosen
}

/// What is wrong with a problem as a question, where its worksheet says nothing of papers.
fn untold(chosen: &Chosen) -> Vec<Diagnostic> {
    let placed = &chosen.worksheet.problems[chosen.problem];
    let question = placed.problem.question.iter();
    question
        .flat_map(|question| &question.untold)
        .map(|it| it.clone().moved(&|span| placed.span(span)))
        .collect()
}

fn twice(one: &Chosen, before: usize, now: usize, line: Span) -> Diagnostic {
    let message = format!(
        "`{}` is in the paper twice, as {} and {}",
        one.path,
        before + 1,
        now + 1
    );
    Diagnostic::error(Code::P16, line, message).with_help("one of the two lines")
}

/// Reads a line of `problems`; what stands behind `--` is a remark.
fn read(text: &str, line: Span) -> Result<Line, Box<Diagnostic>> {
    let whole = line.of(text);
    let body = whole.split(" -- ").next().unwrap_or(whole).trim_end();
    let span = Span::new(line.start as usize, line.start as usize + body.len());
    let words: Vec<&str> = body.split_whitespace().collect();
    if let [count, "from", folder, rest @ ..] = words.as_slice()
        && let Ok(count) = count.parse::<usize>()
    {
        let condition = match rest {
            [] => None,
            ["where", ..] => {
                let at = body
                    .find(" where ")
                    .map_or(body.len(), |at| at + " where ".len());
                let place = trimmed(body.get(at..).unwrap_or(""), line.start as usize + at);
                Some(Condition::read(text, place)?)
            }
            _ => return Err(not_read(span)),
        };
        return Ok(Line::Search {
            count,
            folder: (*folder).to_owned(),
            condition,
            span,
        });
    }
    let (path, title) = match body.split_once(": ") {
        Some((path, title)) => {
            let at = line.start as usize + body.len() - title.len();
            (path, Some(trimmed(title, at)))
        }
        None => (body, None),
    };
    if path.contains(" from ") || path.is_empty() {
        return Err(not_read(span));
    }
    Ok(Line::Worksheet {
        path: path.to_owned(),
        title,
        span: Span::new(span.start as usize, span.start as usize + path.len()),
    })
}

fn not_read(place: Span) -> Box<Diagnostic> {
    let message = "this line names no problem";
    Box::new(Diagnostic::error(Code::P12, place, message).with_help(
        "`rod.md`, `two-pipes.md: The wide pipe`, or `2 from bank where topic = \"friction\"`",
    ))
}

/// Why a worksheet is not compiled.
#[derive(Debug)]
pub enum Unopened {
    /// It cannot be read.
    Unread(Unread),
    /// It is no text, and why.
    NotText(String),
}

impl Unopened {
    /// The reason, to be put behind the name of the file and a colon.
    pub fn reason(&self) -> Cow<'_, str> {
        match self {
            Self::Unread(why) => why.reason(),
            Self::NotText(why) => why.into(),
        }
    }
}

/// A worksheet among some files, compiled.
///
/// # Errors
/// An [`Unopened`] for a file that is not there, cannot be read or is no text.
pub fn opened(files: &Arc<dyn Files>, path: &str) -> Result<Worksheet, Unopened> {
    let bytes = files.bytes(path, MAX_BYTES).map_err(Unopened::Unread)?;
    let text = decoded(bytes).map_err(|error| Unopened::NotText(error.message))?;
    let beside = Beside::new(Arc::clone(files), path);
    Ok(worksheet::compile_beside(Source::new(path, text), &beside))
}

/// The worksheets that a paper names, each compiled once.
struct Library<'f> {
    files: &'f Arc<dyn Files>,
    /// The folder of the paper.
    folder: &'f str,
    /// The path of the paper.
    own: &'f str,
    compiled: BTreeMap<String, Arc<Worksheet>>,
}

type Taken = Result<Vec<Chosen>, Box<Diagnostic>>;

impl Library<'_> {
    /// A path from the folder of the files, for one that is written in the paper; none where it
    /// leads out of them.
    fn located(&self, path: &str) -> Option<String> {
        let mut parts: Vec<&str> = self.folder.split('/').filter(|it| !it.is_empty()).collect();
        for part in path.split('/') {
            match part {
                "" | "." => {}
                ".." => drop(parts.pop()?),
                part => parts.push(part),
            }
        }
        Some(parts.join("/"))
    }

    fn compile(&mut self, path: &str) -> Result<Arc<Worksheet>, Unopened> {
        if let Some(known) = self.compiled.get(path) {
            return Ok(Arc::clone(known));
        }
        let compiled = Arc::new(opened(self.files, path)?);
        self.compiled.insert(path.to_owned(), Arc::clone(&compiled));
        Ok(compiled)
    }

    /// The problems of a worksheet, or the one with a title.
    fn worksheet(&mut self, text: &str, path: &str, title: Option<Span>, span: Span) -> Taken {
        let refuse = |message: String| Diagnostic::error(Code::P12, span, message);
        let located = self.located(path);
        let compiled = located.as_ref().map(|path| self.compile(path));
        if let Some(Err(why)) = &compiled
            && !matches!(why, Unopened::Unread(Unread::Missing))
        {
            let message = format!("`{path}` cannot be in a paper: {}", why.reason());
            return Err(Box::new(
                Diagnostic::error(Code::P15, span, message)
                    .with_help("a worksheet of UTF-8 text that can be read"),
            ));
        }
        let (Some(located), Some(Ok(worksheet))) = (located, compiled) else {
            let beside = Beside::new(Arc::clone(self.files), self.own);
            let near = nearest_file(path, &Reader::new(&beside));
            let near: Vec<String> = near.iter().map(|it| format!("`{it}`")).collect();
            let help = match near.is_empty() {
                true => "the path of a worksheet from the folder of the paper".to_owned(),
                false => listed(&near),
            };
            let message = format!("the paper names `{path}`, which is not there");
            return Err(Box::new(refuse(message).with_help(help)));
        };
        let errors = worksheet
            .diagnostics
            .iter()
            .filter(|it| is_refusal(it))
            .count();
        if errors > 0 {
            let errors = counted(errors, "error");
            let message = format!("`{path}` has {errors}, and cannot be in a paper");
            let help = format!("`setsquare check {path}` says what is wrong");
            return Err(Box::new(
                Diagnostic::error(Code::P15, span, message).with_help(help),
            ));
        }
        let all = facts::problems(&worksheet).map(|problem| Chosen {
            path: located.clone(),
            worksheet: Arc::clone(&worksheet),
            problem,
            title: facts::title(&worksheet, problem),
        });
        let all: Vec<Chosen> = all.collect();
        if let Some(wrong) = all.iter().flat_map(untold).next() {
            let line = worksheet.source.line_of(wrong.span.start);
            let message = format!("line {line} of `{path}`: {}", wrong.message);
            let found = Diagnostic::error(Code::P15, span, message);
            return Err(Box::new(match wrong.help {
                Some(help) => found.with_help(help),
                None => found,
            }));
        }
        let Some(place) = title else {
            return match all.is_empty() {
                true => Err(Box::new(
                    refuse(format!("`{path}` asks nothing"))
                        .with_help("a worksheet with a block `required`"),
                )),
                false => Ok(all),
            };
        };
        let wanted = place.of(text);
        let titles: Vec<String> = all.iter().map(|it| it.title.clone()).collect();
        let own: Vec<Chosen> = all.into_iter().filter(|it| it.title == wanted).collect();
        if own.is_empty() {
            let message = format!("`{path}` has no problem `{wanted}`");
            let near = nearest(wanted, titles.iter().map(String::as_str));
            let help = match near {
                Some(near) => format!("`{path}: {near}`"),
                None => listed(
                    &titles
                        .iter()
                        .map(|it| format!("`{it}`"))
                        .collect::<Vec<_>>(),
                ),
            };
            return Err(Box::new(
                Diagnostic::error(Code::P12, place, message).with_help(help),
            ));
        }
        Ok(own)
    }

    /// Some problems of a folder for which a condition holds: those whose hash with the series is
    /// the least, in the order of their paths.
    fn search(
        &mut self,
        (count, folder): (usize, &str),
        condition: Option<&Condition>,
        series: &str,
        span: Span,
    ) -> Taken {
        let Some(root) = self.located(folder) else {
            let message = format!("the folder `{folder}` is not there");
            return Err(Box::new(
                Diagnostic::error(Code::P12, span, message)
                    .with_help("a folder from that of the paper"),
            ));
        };
        let mut able = Vec::new();
        let mut without: BTreeMap<&'static str, usize> = BTreeMap::new();
        for path in worksheets(self.files.as_ref(), &root) {
            if path == self.own {
                continue;
            }
            let Ok(worksheet) = self.compile(&path) else {
                continue;
            };
            if worksheet.has_errors() || !blocks(&worksheet).is_empty() {
                continue;
            }
            for problem in facts::problems(&worksheet) {
                let held = match condition {
                    Some(condition) => condition.holds(&facts::facts(&worksheet, problem))?,
                    None => Held::Yes,
                };
                match held {
                    Held::Yes => able.push(Chosen {
                        path: path.clone(),
                        worksheet: Arc::clone(&worksheet),
                        problem,
                        title: facts::title(&worksheet, problem),
                    }),
                    Held::No => {}
                    Held::Without(names) => {
                        for name in names {
                            *without.entry(name).or_default() += 1;
                        }
                    }
                }
            }
        }
        if able.len() < count {
            return Err(Box::new(too_few((count, &able), &without, span)));
        }
        let hash = |it: &Chosen| {
            Hash::of(format!("{series}\n{}\n{}", it.path, it.title).as_bytes()).to_string()
        };
        able.sort_by_cached_key(hash);
        able.truncate(count);
        able.sort_by(|one, other| (&one.path, one.problem).cmp(&(&other.path, other.problem)));
        Ok(able)
    }
}

fn too_few(
    (count, able): (usize, &[Chosen]),
    without: &BTreeMap<&'static str, usize>,
    span: Span,
) -> Diagnostic {
    let mut message = match able.len() {
        0 => format!("no problem of {count} fulfils this"),
        1 => format!("1 problem of {count} fulfils this: `{}`", able[0].path),
        found => {
            let paths: Vec<String> = able.iter().map(|it| format!("`{}`", it.path)).collect();
            format!(
                "{found} problems of {count} fulfil this: {}",
                listed(&paths)
            )
        }
    };
    for (name, many) in without {
        let have = if *many == 1 { "has" } else { "have" };
        message.push_str(&format!("; {many} {have} no `{name}`"));
    }
    Diagnostic::error(Code::P14, span, message)
        .with_help("a wider condition, fewer problems, or more of them in the folder")
}

/// The worksheets of a folder and of those below it, in the order of their paths.
pub fn worksheets(files: &dyn Files, folder: &str) -> Vec<String> {
    let mut found = Vec::new();
    let mut open = vec![folder.to_owned()];
    while let Some(folder) = open.pop() {
        for name in files.names(&folder).unwrap_or_default() {
            let path = match folder.as_str() {
                "" => name.clone(),
                folder => format!("{folder}/{name}"),
            };
            match path.strip_suffix('/') {
                Some(below) => open.push(below.to_owned()),
                None if path.ends_with(".md") && found.len() < MOST_SEARCHED => found.push(path),
                None => {}
            }
        }
    }
    found.sort();
    found
}
