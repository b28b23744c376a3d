//! The marking guide: what earns the marks of each part, line by line.

use super::question::heading;
use super::{Sheet, SheetPart, Sheets};
use crate::page::html::exam::{self, Guide, GuideRow, Kind};
use crate::page::tree::Text;
use crate::page::{Page, prose};
use crate::resolve::Expr;
use crate::typeset::{self, Names};
use crate::worksheet::{Body, Counts, MarkKind, MarkedLine, Marks, Question, Statement, SymbolId};

/// The marking guide of a paper.
pub fn guide(sheets: &Sheets<'_>) -> String {
    let questions = sheets.questions.iter().enumerate();
    let guides: Vec<Guide> = questions.map(|(at, it)| question(it, at + 1)).collect();
    exam::guide(&sheets.shell("Marking guide", Kind::Plain), &guides)
}

fn question(sheet: &Sheet<'_>, number: usize) -> Guide {
    let placed = sheet.placed();
    let question = sheet.question();
    let all = 0..placed.problem.parts.len();
    let view = placed.as_question(number, all, &mut Counts::default());
    let names = Names::new(&placed.problem.symbols);
    let page = Page::new(sheet.worksheet, &view, &names, 1);
    let none = SheetPart::default();
    let mut rows = Vec::new();
    for (at, asked) in question.asked.iter().enumerate() {
        let said = sheet.parts.get(at).unwrap_or(&none);
        let main = rows_of(&page, question, (at, None), said);
        let part = format!("{} {}", part_name(question, at), asked.total());
        let has_lines = !main.is_empty();
        rows.extend(main);
        if !has_lines {
            rows.push(alone(&page, question, at, said));
        }
        let first = rows.len() - if has_lines { count(question, at) } else { 1 };
        rows[first].part = Some(part);
        for route in 0..question.routes.len() {
            let mut other = rows_of(&page, question, (at, Some(route)), said);
            if let Some(first) = other.first_mut() {
                first.part = Some("or".to_owned());
            }
            rows.extend(other);
        }
    }
    Guide {
        heading: heading(sheet, number),
        marks: super::marks(question.total()),
        rows,
        carried: carried(&page, question),
    }
}

fn count(question: &Question, at: usize) -> usize {
    let lines = question.lines.iter();
    lines
        .filter(|it| it.asked == at && it.route.is_none())
        .count()
}

fn part_name(question: &Question, at: usize) -> String {
    question
        .letter(at)
        .map_or_else(String::new, |it| format!("({it})"))
}

/// The marked lines of a part on a route.
fn rows_of(
    page: &Page,
    question: &Question,
    (at, route): (usize, Option<usize>),
    said: &SheetPart,
) -> Vec<GuideRow> {
    let lines = question.lines.iter();
    let own: Vec<&MarkedLine> = lines
        .filter(|it| it.asked == at && it.route == route)
        .collect();
    let symbol = question.asked[at].symbol;
    // What is accepted stands at the last line that gives the answer.
    let gives = own
        .iter()
        .rposition(|line| name(page.placed.problem.line(line.at)) == Some(symbol));
    let rows = own.iter().enumerate();
    rows.map(|(index, marked)| {
        let statement = page.placed.problem.line(marked.at);
        let mut notes: Vec<Text> = Vec::new();
        if !statement.description.is_empty() {
            notes.push(prose::text(page, &statement.description));
        }
        if gives == Some(index) || (gives.is_none() && index + 1 == own.len()) {
            notes.extend(accepted(said));
        }
        GuideRow {
            part: None,
            line: line(page, statement),
            marks: statement.marks.as_ref().map_or_else(String::new, margin),
            notes,
        }
    })
    .collect()
}

/// A part without a marked line: its answer.
fn alone(page: &Page, question: &Question, at: usize, said: &SheetPart) -> GuideRow {
    let asked = &question.asked[at];
    let line = asked.result.map(|at| page.placed.problem.line(at));
    let marks = asked.marks.iter();
    GuideRow {
        part: None,
        line: line.map_or_else(Text::default, |it| self::line(page, it)),
        marks: marks.map(one).collect::<Vec<String>>().join(" "),
        notes: accepted(said),
    }
}

/// "17.23 to 17.59", and what else is said of the answer.
fn accepted(said: &SheetPart) -> Vec<Text> {
    let mut words: Vec<String> = Vec::new();
    let ends: Vec<String> = (said.accepted.iter())
        .map(|(from, to)| format!("{from} to {to}"))
        .collect();
    if !ends.is_empty() {
        words.push(match &said.within {
            Some(within) => format!("{}, within {within}", ends.join("; ")),
            None => ends.join("; "),
        });
    }
    words.into_iter().map(Text::new).collect()
}

/// "M2 A1"
fn margin(marks: &Marks) -> String {
    let items = marks.items.iter();
    let items = items.map(|(count, kind)| one(&(u32::from(*count), *kind)));
    items.collect::<Vec<String>>().join(" ")
}

fn one((count, kind): &(u32, MarkKind)) -> String {
    format!("{}{count}", kind.letter())
}

/// The name whose value a line gives.
fn name(statement: &Statement) -> Option<SymbolId> {
    let Body::Work(work) = &statement.body else {
        return None;
    };
    let mut members = std::iter::once(&work.lead).chain(&work.members);
    members.find_map(|member| member.inside().as_symbol())
}

/// A line of the solution in one row.
pub(super) fn line(page: &Page, statement: &Statement) -> Text {
    let mut text = match &statement.body {
        Body::Work(work) => {
            let mut text = sides(page, std::iter::once(&work.lead).chain(&work.members));
            text.piece(typeset::result("=", work.told()).into());
            prose::conditions(page, &work.conditions, &mut text);
            text
        }
        Body::Answer {
            expr,
            shown,
            direction,
            conditions,
        } => {
            let mut text = Text::from(typeset::equality(expr, shown, &page.context));
            prose::conditions(page, conditions, &mut text);
            if let Some((word, _)) = direction.as_deref() {
                text.say(", ");
                crate::page::sketch::phrase(page, word, &mut text);
            }
            text
        }
        Body::Equation { members, .. }
        | Body::Therefore { members, .. }
        | Body::Component { members, .. }
        | Body::Balance { members, .. } => sides(page, members),
        Body::Fit(fit) => sides(page, &fit.members),
        _ => Text(vec![crate::document::Inline::Code(
            page.slice(statement.span).to_owned(),
        )]),
    };
    if let Some((label, _)) = statement.label.as_ref().filter(|it| !it.0.is_empty()) {
        text.say(format!(" ({label})"));
    }
    text
}

fn sides<'e>(page: &Page, members: impl IntoIterator<Item = &'e Expr>) -> Text {
    let mut text = Text::default();
    for (index, member) in members.into_iter().enumerate() {
        match index {
            0 => text.formula(typeset::math(member, &page.context)),
            _ => text.piece(typeset::side("=", member, &page.context).0.into()),
        }
    }
    text
}

/// "Carried: (b) from your V₂, (c) from your V₂ or p₁."
fn carried(page: &Page, question: &Question) -> Text {
    let mut text = Text::default();
    for (at, asked) in question.asked.iter().enumerate() {
        for (index, before) in asked.carried.iter().enumerate() {
            match (index, text.is_empty()) {
                (0, true) => text.say(format!("Carried: {} from your ", part_name(question, at))),
                (0, false) => text.say(format!(", {} from your ", part_name(question, at))),
                _ if index + 1 == asked.carried.len() => text.say(" or "),
                _ => text.say(", "),
            }
            let symbol = question.asked[*before].symbol;
            text.formula(typeset::symbol(symbol, &page.context));
        }
    }
    if !text.is_empty() {
        text.say(".");
    }
    text
}
