//! What a problem asks: where the question ends, what is asked in it, and which lines of the
//! solution earn its marks.
//!
//! All of it is read off the finished lines; nothing here is evaluated.

mod grid;
pub(super) mod marks;
pub(super) mod prose_numbers;
mod routes;
mod shown;
mod totals;
pub(super) mod versions;

use rustc_hash::{FxHashMap, FxHashSet};

pub use marks::{MarkKind, Marks};
pub use versions::{Datum, MOST_VARIED, Varied, Versions};

use super::model::{Body, Part, PartKind, Problem, Replacement, Shown, Statement};
use crate::diagnostic::{Code, Diagnostic};
use crate::dimensions::{Checked, Reading, Scale};
use crate::document::FrontMatter;
use crate::evaluate::FoundFrom;
use crate::quantity::Within;
use crate::resolve::statement::Origin;
use crate::resolve::{Expr, Resolved, SymbolId};
use crate::syntax::BlockKind;
use crate::text::Span;
use marks::Bracket;

/// So many parts have a letter.
pub const MOST_PARTS: usize = 26;

/// What a problem asks.
#[derive(Debug)]
pub struct Question {
    /// So many of the problem's parts are the question; the others are the solution.
    pub end: usize,
    /// What is asked, in order.
    pub asked: Vec<Asked>,
    /// The lines with marks, in order.
    pub lines: Vec<MarkedLine>,
    /// The other routes to answers, in order.
    pub routes: Vec<Route>,
    /// What is wrong with it as a question of a paper, at places of the problem, where the
    /// worksheet says nothing of papers and so is not told.
    pub untold: Vec<Diagnostic>,
}

/// A line of a problem: which of its parts, and which statement of that.
pub type LineAt = (usize, usize);

/// One part of a question: a line of `required`.
#[derive(Debug)]
pub struct Asked {
    /// Its line.
    pub at: LineAt,
    /// What is asked.
    pub symbol: SymbolId,
    /// The line that gives its value: one of `answer`, else one that computes it.
    pub result: Option<LineAt>,
    /// The parts before it that its value is found from.
    pub carried: Vec<usize>,
    /// Its marks, by what they are given for.
    pub marks: Vec<(u32, MarkKind)>,
    /// How far an answer may be off, where the line says so.
    pub within: Option<Within>,
}

impl Asked {
    /// All its marks.
    pub fn total(&self) -> u32 {
        self.marks.iter().map(|(count, _)| count).sum()
    }
}

/// A line with marks.
#[derive(Debug)]
pub struct MarkedLine {
    /// The line.
    pub at: LineAt,
    /// The part of the question that it belongs to.
    pub asked: usize,
    /// The other route that it stands in; none for the main one.
    pub route: Option<usize>,
}

/// Another route to answers: what stands under a heading `Alternative`.
#[derive(Debug)]
pub struct Route {
    /// Its parts of the problem, the heading first.
    pub parts: std::ops::Range<usize>,
    /// Those that it replaces.
    pub replaces: std::ops::Range<usize>,
}

impl Question {
    /// The letter of a part; one alone has none.
    pub fn letter(&self, asked: usize) -> Option<char> {
        let is_one = self.asked.len() == 1;
        let letter = u8::try_from(asked).ok().map(|at| char::from(b'a' + at));
        letter.filter(|_| !is_one && asked < MOST_PARTS)
    }

    /// The names whose values the question may show: data, and what is to be shown.
    pub fn open(&self, problem: &Problem) -> FxHashSet<SymbolId> {
        shown::open(problem, self)
    }

    /// All its marks.
    pub fn total(&self) -> u32 {
        self.asked.iter().map(Asked::total).sum()
    }
}

impl Problem {
    /// The value of what is asked.
    pub fn answered(&self, asked: &Asked) -> Option<&Shown> {
        self.line(asked.result?).body.shown()
    }

    /// The statement of a line of it.
    pub fn line(&self, (part, statement): LineAt) -> &Statement {
        &statements(&self.parts[part])[statement]
    }
}

/// The statements of a part of the page.
pub(super) fn statements(part: &Part) -> &[Statement] {
    match &part.kind {
        PartKind::Block { statements, .. } => statements,
        PartKind::Heading { .. } | PartKind::Prose(_) => &[],
    }
}

/// What a problem is looked at with.
pub(super) struct Ground<'a> {
    pub text: &'a str,
    pub front: &'a FrontMatter,
    pub resolved: &'a Resolved,
    pub checked: &'a Checked,
    /// What each name that is asked is found from.
    pub found_from: &'a FxHashMap<SymbolId, FoundFrom>,
}

/// Puts the marks beside the lines that they stand behind; what is left are all brackets by the
/// places of their lines.
pub(super) fn give_marks(
    problem: &mut Problem,
    brackets: &mut FxHashMap<(usize, usize), Bracket>,
) -> FxHashMap<LineAt, Bracket> {
    let mut found = FxHashMap::default();
    let mut block = 0;
    for (at, part) in problem.parts.iter_mut().enumerate() {
        let PartKind::Block { kind, statements } = &mut part.kind else {
            continue;
        };
        for (index, statement) in statements.iter_mut().enumerate() {
            let Some(bracket) = brackets.remove(&(block, index)) else {
                continue;
            };
            if let (true, Bracket::Marks(marks)) = (marks::count_in(*kind), &bracket) {
                statement.marks = Some(marks.clone());
            }
            found.insert((at, index), bracket);
        }
        block += 1;
    }
    found
}

/// Looks for the question of a problem; a problem that asks nothing has none. What is wrong with
/// it is said where the problem is meant for a paper: it has marks, or a heading that opens the
/// solution.
pub(super) fn find(
    problem: &Problem,
    brackets: &FxHashMap<LineAt, Bracket>,
    ground: &Ground<'_>,
) -> (Option<Question>, Vec<Diagnostic>) {
    let solution = solution(problem, ground.front);
    let first_marks = (brackets.values())
        .filter_map(|bracket| match bracket {
            Bracket::Marks(marks) => Some(marks.span),
            Bracket::Nearly { .. } => None,
        })
        .min_by_key(|place| place.start);
    let versions = versions::block(problem);
    let is_of_paper = solution.is_some() || first_marks.is_some() || versions.is_some();
    let mut found = match first_marks {
        Some(_) => about_brackets(problem, brackets),
        None => Vec::new(),
    };
    let required = (problem.parts.iter()).rposition(|part| part_is(part, BlockKind::Required));
    let Some(end) = solution.or(required.map(|at| at + 1)) else {
        found.extend(first_marks.or(versions).map(endless));
        return (None, found);
    };
    let asked = asked(problem, end);
    if asked.is_empty() {
        let place = match solution.and_then(|at| problem.parts.get(at)) {
            Some(heading) => heading.span,
            None => first_marks.or(versions).unwrap_or_default(),
        };
        found.extend(is_of_paper.then(|| asks_nothing(place)));
        return (None, found);
    }
    let mut question = Question {
        end,
        asked,
        lines: Vec::new(),
        routes: Vec::new(),
        untold: Vec::new(),
    };
    routes::find(problem, &mut question);
    let needs = Needs::of(problem, &question, ground.found_from);
    for at in 0..question.asked.len() {
        let names = &needs.names[at];
        let before = question.asked[..at].iter().enumerate();
        let from = before.filter(|(_, it)| names.contains(&it.symbol));
        question.asked[at].carried = from.map(|(part, _)| part).collect();
    }
    totals::settle(problem, &mut question, &needs, &mut found);
    found.extend(unanswered(problem, &question, ground.text));
    found.extend(asked_twice(problem, &question, ground.text));
    found.extend(shown::refuse(problem, &question, ground));
    found.extend(points(problem, &question, ground));
    routes::judge(problem, &question, ground.text, &mut found);
    found.extend(versions::fixed(problem, &question, &needs));
    if !is_of_paper {
        question.untold = std::mem::take(&mut found);
    }
    (Some(question), found)
}

/// Whether a part is a block of a kind, with lines in it.
fn part_is(part: &Part, wanted: BlockKind) -> bool {
    matches!(&part.kind, PartKind::Block { kind, statements } if *kind == wanted && !statements.is_empty())
}

/// The word that opens a solution, by the first part of a language's tag. English serves in all.
const SOLUTIONS: [(&str, &str); 14] = [
    ("cs", "Řešení"),
    ("da", "Løsning"),
    ("de", "Lösung"),
    ("es", "Solución"),
    ("fi", "Ratkaisu"),
    ("fr", "Solution"),
    ("hu", "Megoldás"),
    ("it", "Soluzione"),
    ("nb", "Løsning"),
    ("nl", "Oplossing"),
    ("no", "Løsning"),
    ("pl", "Rozwiązanie"),
    ("pt", "Solução"),
    ("sv", "Lösning"),
];

/// Whether a heading is a word, or begins with it and what ends a word.
fn opens_with(heading: &str, word: &str) -> bool {
    let rest = heading.trim().strip_prefix(word);
    rest.is_some_and(|rest| rest.is_empty() || rest.starts_with([' ', '\u{a0}', ':', '.']))
}

/// The heading that opens the solution.
fn solution(problem: &Problem, front: &FrontMatter) -> Option<usize> {
    let language = front.language.split('-').next().unwrap_or("");
    let language = language.to_ascii_lowercase();
    let own = SOLUTIONS.iter().find(|(tag, _)| *tag == language);
    problem.parts.iter().position(|part| match &part.kind {
        PartKind::Heading { level, text, .. } if *level > 1 => {
            opens_with(text, "Solution") || own.is_some_and(|(_, word)| opens_with(text, word))
        }
        _ => false,
    })
}

/// The lines of `required` in the question, as far as there are letters, and one more.
fn asked(problem: &Problem, end: usize) -> Vec<Asked> {
    let mut found = Vec::new();
    for (at, part) in problem.parts.iter().enumerate().take(end) {
        for (index, statement) in statements(part).iter().enumerate() {
            let Body::Required {
                symbol, conditions, ..
            } = &statement.body
            else {
                continue;
            };
            // What is beyond is refused by the first of it.
            if found.len() > MOST_PARTS {
                return found;
            }
            found.push(Asked {
                at: (at, index),
                symbol: *symbol,
                result: result(problem, *symbol, conditions),
                carried: Vec::new(),
                marks: Vec::new(),
                within: (statement.marks.as_ref()).and_then(|marks| marks.within.clone()),
            });
        }
    }
    found
}

/// The line that gives the value of a name with these data: one of `answer`, else the last that
/// computes it.
fn result(problem: &Problem, symbol: SymbolId, conditions: &Data) -> Option<LineAt> {
    let lines = problem.parts.iter().enumerate().flat_map(|(at, part)| {
        let lines = statements(part).iter().enumerate();
        lines.map(move |(index, statement)| ((at, index), statement))
    });
    let is_it = |expr: &Expr, own: &Data| {
        expr.inside().as_symbol() == Some(symbol) && same_data(own, conditions, &problem.text)
    };
    let mut found = None;
    for (at, statement) in lines {
        match &statement.body {
            Body::Answer {
                expr,
                conditions: own,
                ..
            } if is_it(expr, own) => return Some(at),
            Body::Work(work) if is_it(&work.lead, &work.conditions) => found = Some(at),
            _ => {}
        }
    }
    found
}

/// What is put in for data.
type Data = [(SymbolId, Replacement)];

/// Whether two what-ifs put in the same.
fn same_data(left: &Data, right: &Data, text: &str) -> bool {
    let same = |(symbol, value): &(SymbolId, Replacement)| {
        let other = right.iter().find(|(other, _)| other == symbol);
        match (value, other.map(|(_, value)| value)) {
            (Replacement::Value(own), Some(Replacement::Value(other))) => own.si == other.si,
            (Replacement::Formula(own), Some(Replacement::Formula(other))) => {
                own.span.of(text) == other.span.of(text)
            }
            _ => false,
        }
    };
    left.len() == right.len() && left.iter().all(same)
}

/// What the answers of a question are found from.
struct Needs {
    /// For each part the names that it needs, its own among them.
    names: Vec<FxHashSet<SymbolId>>,
    /// For each line that a formula of those names was taken from, the first part that needs it.
    taken: FxHashMap<Origin, usize>,
}

impl Needs {
    fn of(
        problem: &Problem,
        question: &Question,
        found_from: &FxHashMap<SymbolId, FoundFrom>,
    ) -> Self {
        let of_one = |asked: &Asked| {
            let mut found = FxHashSet::default();
            let mut open = vec![asked.symbol];
            while let Some(symbol) = open.pop() {
                if found.insert(symbol) {
                    let from = found_from.get(&symbol);
                    open.extend(from.iter().flat_map(|from| &from.reads));
                }
            }
            found
        };
        let names: Vec<FxHashSet<SymbolId>> = question.asked.iter().map(of_one).collect();
        let mut taken = FxHashMap::default();
        for (part, names) in names.iter().enumerate() {
            let from = names.iter().filter_map(|name| found_from.get(name));
            let mut open: Vec<Origin> = from.flat_map(|from| from.origins.clone()).collect();
            while let Some(origin) = open.pop() {
                if taken.contains_key(&origin) {
                    continue;
                }
                taken.insert(origin, part);
                // What was solved was taken from the equations that were solved.
                if let Some(Body::Solved(solved)) = problem.statement(origin).map(|it| &it.body) {
                    open.extend(&solved.origins);
                }
            }
        }
        Self { names, taken }
    }

    /// The first part that needs one of some names.
    fn first(&self, names: &[SymbolId]) -> Option<usize> {
        (self.names.iter()).position(|needs| names.iter().any(|name| needs.contains(name)))
    }
}

/// What is nearly marks, and marks where none count.
fn about_brackets(problem: &Problem, brackets: &FxHashMap<LineAt, Bracket>) -> Vec<Diagnostic> {
    let said = brackets.iter().filter_map(|((part, _), bracket)| {
        let PartKind::Block { kind, .. } = problem.parts.get(*part)?.kind else {
            return None;
        };
        match (marks::count_in(kind), bracket) {
            (true, bracket) => marks::is_nearly(bracket),
            (false, Bracket::Marks(marks)) => Some(marks::do_not_count(kind, marks.span)),
            (false, Bracket::Nearly { .. }) => None,
        }
    });
    said.collect()
}

fn endless(place: Span) -> Diagnostic {
    let message = "no heading Solution and no `required`, so that the question has no end";
    Diagnostic::error(Code::P01, place, message)
        .with_help("a heading `## Solution` above the working, or a block `required`")
}

fn asks_nothing(place: Span) -> Diagnostic {
    let message = "nothing is asked above the solution";
    Diagnostic::error(Code::P01, place, message)
        .with_help("a block `required` above the heading: `F = ? kN -- what it is`")
}

/// Parts that no line answers.
fn unanswered<'q>(
    problem: &'q Problem,
    question: &'q Question,
    text: &'q str,
) -> impl Iterator<Item = Diagnostic> + 'q {
    let without = question.asked.iter().filter(|asked| asked.result.is_none());
    without.map(move |asked| {
        let line = problem.line(asked.at);
        let written = line.span.of(text);
        let message = format!("no line of the solution answers `{written}`");
        Diagnostic::error(Code::P01, line.span, message).with_help(format!(
            "`{written}` in `answer`, or a line of `work` for it"
        ))
    })
}

/// Names that are asked twice with the same data, and more parts than there are letters.
fn asked_twice<'q>(
    problem: &'q Problem,
    question: &'q Question,
    text: &'q str,
) -> impl Iterator<Item = Diagnostic> + 'q {
    let line = |asked: &Asked| problem.line(asked.at);
    let data = |asked: &Asked| totals::data(problem.line(asked.at));
    let all = question.asked.iter().enumerate();
    let twice = all.filter_map(move |(at, asked)| {
        let before = question.asked[..at].iter();
        let mut same =
            before.filter(|it| it.symbol == asked.symbol && same_data(data(it), data(asked), text));
        let first = line(same.next()?).span;
        let here = line(asked).span;
        let key = &problem.symbols.symbol(asked.symbol).key;
        let message = match data(asked).is_empty() {
            true => format!("`{key}` is asked twice without a condition"),
            false => format!("`{key}` is asked twice with the same condition"),
        };
        let found = Diagnostic::error(Code::P26, here, message).with_note("asked here", first);
        Some(found.with_help(format!(
            "one of the lines, or other data: `{} at …`",
            here.of(text).split(" at ").next().unwrap_or_default()
        )))
    });
    let beyond = question.asked.get(MOST_PARTS).map(|asked| {
        let message = format!("a question has at most {MOST_PARTS} parts");
        Diagnostic::error(Code::P26, line(asked).span, message)
            .with_help("two problems, each under its own heading")
    });
    twice.chain(beyond)
}

/// Temperatures as points of a scale that have no tolerance with a unit.
fn points<'q>(
    problem: &'q Problem,
    question: &'q Question,
    ground: &'q Ground<'_>,
) -> impl Iterator<Item = Diagnostic> + 'q {
    question.asked.iter().filter_map(|asked| {
        let found = ground.checked.symbols.get(asked.symbol)?;
        let is_point = matches!(found.reading, Reading::Scaled(Scale::Temperature, weight) if weight.may_be_point() && !weight.may_be_interval());
        let is_share = asked.within.as_ref().is_none_or(Within::is_share);
        if !is_point || !is_share {
            return None;
        }
        let line = problem.line(asked.at);
        let key = &problem.symbols.symbol(asked.symbol).key;
        let place = line.marks.as_ref().map_or(line.span, |marks| marks.span);
        let message = format!(
            "`{key}` is a temperature: a tolerance in per cent depends on where its scale begins"
        );
        let help = "`(within 0.3 K)` at the end of the description";
        Some(Diagnostic::error(Code::P18, place, message).with_help(help))
    })
}
