//! Other routes to the answers: sections of the solution under a heading `Alternative`.

use rustc_hash::FxHashSet;

use super::{MarkedLine, Question, Route, opens_with, statements};
use crate::diagnostic::{Code, Diagnostic};
use crate::resolve::SymbolId;
use crate::text::{Span, counted};
use crate::worksheet::model::{Body, PartKind, Problem};

/// Finds the routes, each with the section that it replaces.
pub(super) fn find(problem: &Problem, question: &mut Question) {
    let heading = |at: usize| match &problem.parts.get(at)?.kind {
        PartKind::Heading { level, text, .. } => Some((*level, text)),
        _ => None,
    };
    let mut routes: Vec<Route> = Vec::new();
    for at in question.end..problem.parts.len() {
        let Some((level, _)) =
            heading(at).filter(|(level, text)| *level > 1 && opens_with(text, "Alternative"))
        else {
            continue;
        };
        let ends = |part: &usize| heading(*part).is_some_and(|(other, _)| other <= level);
        let end = (at + 1..problem.parts.len()).find(ends);
        // Several routes may stand for one section.
        let replaces = match routes.last().filter(|before| before.parts.end == at) {
            Some(before) if heading(before.parts.start).is_some_and(|it| it.0 == level) => {
                before.replaces.clone()
            }
            _ => (question.end..at).rev().find(ends).unwrap_or(question.end)..at,
        };
        routes.push(Route {
            parts: at..end.unwrap_or(problem.parts.len()),
            replaces,
        });
    }
    question.routes = routes;
}

/// Whether each route carries the marks of the section that it replaces, and reaches what that
/// reaches. In a problem without marks such a heading is a heading.
pub(super) fn judge(
    problem: &Problem,
    question: &Question,
    text: &str,
    found: &mut Vec<Diagnostic>,
) {
    if question.lines.is_empty() {
        return;
    }
    for (at, route) in question.routes.iter().enumerate() {
        let total = |is_own: &dyn Fn(&&MarkedLine) -> bool| -> u32 {
            let lines = question.lines.iter().filter(is_own);
            let marks = lines.filter_map(|it| Some(problem.line(it.at).marks.as_ref()?.total()));
            marks.sum()
        };
        let own = total(&|it| it.route == Some(at));
        let main = total(&|it| it.route.is_none() && route.replaces.contains(&it.at.0));
        let place = problem.parts[route.parts.start].span;
        let refuse = |message: String, help: &str| {
            Diagnostic::error(Code::P06, first_line(text, place), message).with_help(help)
        };
        if own != main {
            found.push(refuse(
                format!(
                    "the alternative has {}, the section that it replaces {main}",
                    counted(own as usize, "mark")
                ),
                "marks of the same total",
            ));
        }
        let reached = reached(problem, route.parts.clone());
        let wanted = self::reached(problem, route.replaces.clone());
        for asked in &question.asked {
            if wanted.contains(&asked.symbol) && !reached.contains(&asked.symbol) {
                let key = &problem.symbols.symbol(asked.symbol).key;
                found.push(refuse(
                    format!("the alternative does not reach `{key}`"),
                    &format!("a line `… = {key} = ?` in it"),
                ));
            }
        }
    }
}

/// The first line of what stands at a place.
fn first_line(text: &str, place: Span) -> Span {
    let line = place.of(text).lines().next().unwrap_or("");
    Span::new(place.start as usize, place.start as usize + line.len())
}

/// The names whose values lines of `work` give or show.
fn reached(problem: &Problem, parts: std::ops::Range<usize>) -> FxHashSet<SymbolId> {
    let mut found = FxHashSet::default();
    for statement in problem.parts[parts].iter().flat_map(statements) {
        match &statement.body {
            Body::Work(work) => {
                let all = std::iter::once(&work.lead).chain(&work.members);
                found.extend(all.filter_map(|member| member.inside().as_symbol()));
            }
            Body::System(system) => found.extend(system.unknowns.iter().map(|(it, _)| *it)),
            Body::Fit(fit) => found.extend(fit.parameters.iter().map(|(it, _)| *it)),
            _ => {}
        }
    }
    found
}
