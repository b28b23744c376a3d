//! A question as students get it.

use super::{Sheet, is_title, marks, shared};
use crate::page::html::exam::{Asked, Question};
use crate::page::tree::{Block, Text};
use crate::page::{Page, part, prose, table};
use crate::resolve::SymbolId;
use crate::syntax::{Bearing, BlockKind};
use crate::typeset::{self, Names};
use crate::worksheet::{Asked as AskedPart, Body, Counts, MarkKind, PartKind, Problem, Statement};

/// "1 Force on a fire nozzle"
pub(super) fn heading(sheet: &Sheet<'_>, number: usize) -> String {
    format!("{number}\u{2002}{}", sheet.title)
}

/// The question: its prose and data, and its parts.
pub(super) fn question(sheet: &Sheet<'_>, number: usize, counts: &mut Counts) -> Question {
    let placed = sheet.placed();
    let question = sheet.question();
    let names = Names::new(&placed.problem.symbols);
    let mut blocks = shared(sheet, number, counts);
    let view = placed.as_question(number, 0..question.end, counts);
    let mut page = Page::new(sheet.worksheet, &view, &names, 1);
    page.showing = Some(question.open(&placed.problem));
    for own in view.problem.parts.iter().take(question.end) {
        let is_required = matches!(
            own.kind,
            PartKind::Block {
                kind: BlockKind::Required,
                ..
            }
        );
        if !is_title(own, sheet) && !is_required {
            blocks.extend(part::blocks(&page, own));
        }
    }
    let asked = question.asked.iter().enumerate();
    let asked = asked.map(|(at, asked)| {
        let letter = question.letter(at);
        self::asked(&page, &placed.problem, asked, (number, letter))
    });
    Question {
        heading: heading(sheet, number),
        marks: marks(question.total()),
        blocks,
        asked: asked.collect(),
    }
}

/// A part of the question with what is left for its answer.
fn asked(
    page: &Page,
    problem: &Problem,
    asked: &AskedPart,
    (number, letter): (usize, Option<char>),
) -> Asked {
    let line = problem.line(asked.at);
    let symbol = Text::from(typeset::symbol(asked.symbol, &page.context));
    let mut label = symbol.clone();
    label.say(" =");
    let name = match letter {
        Some(letter) => format!("answer to {number} ({letter})"),
        None => format!("answer to {number}"),
    };
    let Body::Required {
        unit,
        datum,
        is_shown,
        ..
    } = &line.body
    else {
        unreachable!("a part of a question is a line of `required`");
    };
    let unit = unit.as_ref().map(|unit| unit.text().to_owned());
    let unit = match datum {
        Some(datum) => Some(format!("{} {datum}", unit.unwrap_or_default())),
        None => unit,
    };
    Asked {
        letter,
        text: words(page, problem, asked, line),
        marks: asked.total(),
        name,
        answer: (!is_shown).then_some((label, unit.unwrap_or_default())),
    }
}

/// "the speed of the jet *V*₂, in m/s", "Show that *F* = 12.4 kN".
fn words(page: &Page, problem: &Problem, asked: &AskedPart, line: &Statement) -> Text {
    let Body::Required {
        symbol,
        unit,
        datum,
        positive,
        negative,
        is_shown,
        conditions,
    } = &line.body
    else {
        unreachable!("a part of a question is a line of `required`");
    };
    let name = Text::from(typeset::symbol(*symbol, &page.context));
    let about = prose::text(page, &line.description);
    let mut text = Text::default();
    if *is_shown {
        text.say("Show that ");
        if !about.is_empty() {
            text.append(about);
            text.say(" ");
        }
        let result = asked.result.map(|at| &problem.line(at).body);
        match result.and_then(Body::shown) {
            Some(shown) => {
                let name = typeset::symbol(*symbol, &page.context);
                text.formula(typeset::named(name, shown));
            }
            None => text.append(name),
        }
        prose::replaced(page, ", if ", conditions, &mut text);
        return text;
    }
    match about.is_empty() {
        true => text.append(name),
        false => {
            text.append(about);
            text.say(" ");
            text.append(name);
        }
    }
    prose::replaced(page, " if ", conditions, &mut text);
    if let Some(unit) = unit.as_ref().filter(|unit| !unit.text().is_empty()) {
        text.say(format!(", in\u{a0}{}", unit.text()));
    }
    if let Some(datum) = datum {
        text.say(format!("\u{a0}{datum}"));
    }
    let is_direction = |(_, kind): &(u32, MarkKind)| *kind == MarkKind::Direction;
    match (positive, negative) {
        (Some(one), Some(other)) => {
            text.say(format!(
                ", and say whether it {} {one} or {other}",
                verb(one)
            ));
        }
        (Some(_), None) | (None, Some(_)) => text.say(", and say which way it points"),
        (None, None)
            if is_drawn(page, problem, *symbol) || asked.marks.iter().any(is_direction) =>
        {
            text.say(", and say which way it points");
        }
        (None, None) => {}
    }
    text
}

/// "points" before the word of a way on the page or along a stream, "is" before any other.
fn verb(word: &str) -> &'static str {
    let is_way = Bearing::of_word(word).is_some() || ["downstream", "upstream"].contains(&word);
    if is_way { "points" } else { "is" }
}

/// Whether a sketch in the question draws a quantity.
fn is_drawn(page: &Page, problem: &Problem, symbol: SymbolId) -> bool {
    let end = problem.question.as_ref().map_or(0, |question| question.end);
    let parts = page.placed.problem.parts.iter().take(end);
    let mut sketches = parts.filter_map(|part| match &part.kind {
        PartKind::Block { statements, .. } => match &statements.first()?.body {
            Body::Sketch(sketch) => Some(sketch),
            _ => None,
        },
        _ => None,
    });
    sketches.any(|sketch| {
        let mut acts = sketch.sketch.body.actions.iter();
        acts.any(|act| {
            let expr = act
                .magnitude()
                .and_then(|id| sketch.sketch.quantities.get(id));
            expr.is_some_and(|expr| expr.inside().as_symbol() == Some(symbol))
        })
    })
}

/// The rows of a table of data whose names are used.
pub(super) fn data(
    page: &Page,
    statements: &[Statement],
    is_used: &dyn Fn(SymbolId) -> bool,
) -> Vec<Block> {
    let is_used = |statement: &&Statement| match &statement.body {
        Body::Given { symbol, .. } => is_used(*symbol),
        _ => true,
    };
    let own: Vec<&Statement> = statements.iter().filter(is_used).collect();
    match own.is_empty() {
        true => Vec::new(),
        false => vec![table::given(page, None, own)],
    }
}
