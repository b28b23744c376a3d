//! Which part of the question a line belongs to, and whether the marks add up.

use super::marks::{MarkKind, Marks};
use super::{Asked, MarkedLine, Needs, Question, same_data};
use crate::diagnostic::{Code, Diagnostic};
use crate::resolve::Expr;
use crate::resolve::SymbolId;
use crate::resolve::statement::Origin;
use crate::syntax::BlockKind;
use crate::text::{counted, listed};
use crate::worksheet::model::{Body, PartKind, Problem, Statement};

/// Gives each line with marks to its part, and each part its marks.
pub(super) fn settle(
    problem: &Problem,
    question: &mut Question,
    needs: &Needs,
    found: &mut Vec<Diagnostic>,
) {
    let mut blocks = problem.shared.len();
    for (at, part) in problem.parts.iter().enumerate() {
        let PartKind::Block { kind, statements } = &part.kind else {
            continue;
        };
        for (index, statement) in statements.iter().enumerate() {
            if statement.marks.is_none() || *kind == BlockKind::Required {
                continue;
            }
            let origin = Origin {
                block: blocks,
                statement: index,
            };
            let asked = belongs(problem, question, needs, (statement, origin));
            let routes = question.routes.iter();
            let route = routes.enumerate().find(|(_, it)| it.parts.contains(&at));
            question.lines.push(MarkedLine {
                at: (at, index),
                asked,
                route: route.map(|(route, _)| route),
            });
        }
        blocks += 1;
    }
    let has_marks = !question.lines.is_empty()
        || (question.asked.iter()).any(|asked| said(problem, asked).is_some_and(has_items));
    for at in 0..question.asked.len() {
        let (marks, wrong) = of_part(problem, question, at, has_marks);
        question.asked[at].marks = marks;
        found.extend(wrong);
    }
}

fn has_items(marks: &Marks) -> bool {
    !marks.items.is_empty()
}

/// What `required` says of a part.
fn said<'p>(problem: &'p Problem, asked: &Asked) -> Option<&'p Marks> {
    problem.line(asked.at).marks.as_ref()
}

/// The marks of a part by its lines on the main route, and what is wrong with its total.
fn of_part(
    problem: &Problem,
    question: &Question,
    at: usize,
    has_marks: bool,
) -> (Vec<(u32, MarkKind)>, Option<Diagnostic>) {
    let asked = &question.asked[at];
    let said = said(problem, asked).filter(|marks| has_items(marks));
    let own: Vec<&Statement> = (question.lines.iter())
        .filter(|line| line.asked == at && line.route.is_none())
        .map(|marked| problem.line(marked.at))
        .collect();
    if own.is_empty() {
        let is_shown = matches!(
            problem.line(asked.at).body,
            Body::Required { is_shown: true, .. }
        );
        let kind = |kind: MarkKind| match kind {
            _ if is_shown => MarkKind::ByHand,
            // Without a line of the working an answer is all that can earn them.
            MarkKind::Both => MarkKind::Answer,
            kind => kind,
        };
        let mut marks = Vec::new();
        match said {
            Some(said) => {
                (said.items.iter()).for_each(|(count, of)| add(&mut marks, *count, kind(*of)))
            }
            None if has_marks => {}
            None => add(&mut marks, 1, kind(MarkKind::Both)),
        }
        return (marks, None);
    }
    let mut marks = Vec::new();
    let all = own.iter().filter_map(|line| line.marks.as_ref());
    all.flat_map(|marks| &marks.items)
        .for_each(|(count, kind)| add(&mut marks, *count, *kind));
    let total: u32 = marks.iter().map(|(count, _)| count).sum();
    let wrong = said.filter(|said| said.total() != total).map(|said| {
        let names = own.iter().filter_map(|line| {
            let count = line.marks.as_ref()?.total();
            Some(format!("{} {count}", name(problem, line)))
        });
        let part = match question.letter(at) {
            Some(letter) => format!("part ({letter})"),
            None => "the question".to_owned(),
        };
        let message = format!(
            "{part} has {}, but its lines add up to {total}: {}",
            counted(said.total() as usize, "mark"),
            listed(&names.collect::<Vec<String>>())
        );
        let help = format!(
            "`({})`, or other marks at its lines",
            counted(total as usize, "mark")
        );
        Diagnostic::error(Code::P05, said.span, message).with_help(help)
    });
    (marks, wrong)
}

fn add(marks: &mut Vec<(u32, MarkKind)>, count: u8, kind: MarkKind) {
    let count = u32::from(count);
    match marks.iter_mut().find(|(_, other)| *other == kind) {
        Some((sum, _)) => *sum += count,
        None => marks.push((count, kind)),
    }
}

/// What a line is called: its label, or what stands left of its first equals sign.
fn name(problem: &Problem, line: &Statement) -> String {
    if let Some((label, _)) = line.label.as_ref().filter(|(label, _)| !label.is_empty()) {
        return format!("`{label}`");
    }
    let written = line.span.of(&problem.text);
    let left = written.split_once('=').map_or(written, |(left, _)| left);
    format!("`{}`", left.trim())
}

/// The part that a line belongs to.
fn belongs(
    problem: &Problem,
    question: &Question,
    needs: &Needs,
    (line, origin): (&Statement, Origin),
) -> usize {
    let last = question.asked.len() - 1;
    match stands_for(problem, line) {
        StandsFor::Names(names) => {
            let with = data(line);
            let is_it = |asked: &Asked| {
                names.contains(&asked.symbol)
                    && same_data(data(problem.line(asked.at)), with, &problem.text)
            };
            let own = (!with.is_empty()).then(|| question.asked.iter().position(is_it));
            own.flatten()
                .or_else(|| needs.first(&names))
                .unwrap_or(last)
        }
        StandsFor::Equation(names) => {
            let latest = question
                .asked
                .iter()
                .rposition(|it| names.contains(&it.symbol));
            latest
                .or_else(|| needs.taken.get(&origin).copied())
                .unwrap_or(last)
        }
        StandsFor::Nothing => last,
    }
}

/// What is put in for data in a line.
pub(super) fn data(line: &Statement) -> &super::Data {
    match &line.body {
        Body::Work(work) => &work.conditions,
        Body::Required { conditions, .. } => conditions,
        _ => &[],
    }
}

/// What a line is about.
enum StandsFor {
    /// It gives these names their values, or shows them.
    Names(Vec<SymbolId>),
    /// It states something of these names.
    Equation(Vec<SymbolId>),
    Nothing,
}

fn stands_for(problem: &Problem, line: &Statement) -> StandsFor {
    let of = |members: &[Expr]| {
        let mut names = Vec::new();
        let mut visit = |symbol: SymbolId, _| names.push(symbol);
        members.iter().for_each(|it| it.for_each_symbol(&mut visit));
        StandsFor::Equation(names)
    };
    match &line.body {
        Body::Work(work) => {
            let all = std::iter::once(&work.lead).chain(&work.members);
            let name = all.filter_map(|member| member.inside().as_symbol()).next();
            StandsFor::Names(name.into_iter().collect())
        }
        Body::System(system) => {
            StandsFor::Names(system.unknowns.iter().map(|(symbol, _)| *symbol).collect())
        }
        Body::Equation { members, .. }
        | Body::Therefore { members, .. }
        | Body::Component { members, .. }
        | Body::Balance { members, .. } => of(members),
        Body::Solved(solved) => StandsFor::Equation(solved.unknowns.clone()),
        Body::Fit(fit) => StandsFor::Names(fit.parameters.iter().map(|(it, _)| *it).collect()),
        // A parameter of a fit is told with its formula.
        Body::OfBlock => {
            let own = usize::from(!problem.shared.is_empty());
            let symbol = problem.symbols.find(own, &line.id.name);
            StandsFor::Names(symbol.into_iter().collect())
        }
        _ => StandsFor::Nothing,
    }
}
