//! A block of statements.

use super::notice::{self, without_result};
use super::tree::{Block, Entry, Manner, Text};
use super::{Page, check, data, line, plot, prose, results, sense, sketch, table, uncertain};
use crate::resolve::{Shape, SymbolId};
use crate::syntax::BlockKind;
use crate::typeset;
use crate::worksheet::{Body, Phrase, Replacement, Shown, Statement};

/// The blocks of the page that a block of statements becomes.
///
/// A block is not named a second time below a heading that is its name.
pub(super) fn blocks(
    page: &Page,
    kind: BlockKind,
    statements: &[Statement],
    heading: Option<&str>,
) -> Vec<Block> {
    if statements.is_empty() {
        return Vec::new();
    }
    let entries = |entry: fn(&Page, &Statement) -> Entry| {
        statements.iter().map(|it| entry(page, it)).collect()
    };
    let named = |name: &'static str| {
        let singular = |words: &str| {
            let words = words.trim().trim_end_matches(':').to_lowercase();
            words.strip_suffix('s').map_or(words.clone(), str::to_owned)
        };
        let is_said = heading.is_some_and(|heading| singular(heading) == singular(name));
        (!is_said).then_some(name)
    };
    match kind {
        BlockKind::Given => vec![table::given(page, named("Given"), statements)],
        BlockKind::Required => vec![Block::Required(named("Required"), entries(required))],
        BlockKind::Work => results::blocks(page, statements),
        BlockKind::Derive | BlockKind::Fit => {
            let lines = statements.iter().map(|it| line::line(page, it));
            let lines = Block::Lines(lines.collect());
            let fits = statements
                .iter()
                .filter_map(|it| line::correlations(page, it));
            let cuts = statements
                .iter()
                .filter_map(|it| sketch::cut::block(page, it));
            std::iter::once(lines).chain(fits).chain(cuts).collect()
        }
        BlockKind::Check => {
            let checks = check::table(page, named("Checks"), statements).into_iter();
            let checks = checks.chain(sense::tables(page, statements));
            checks.chain(uncertain::budgets(page, statements)).collect()
        }
        BlockKind::Plot => plot::blocks(page, statements),
        BlockKind::Sketch => sketch::blocks(page, statements),
        BlockKind::Data => statements
            .iter()
            .flat_map(|it| data::table(page, it))
            .collect(),
        BlockKind::Answer => vec![Block::Answers(named("Answer"), entries(answer))],
        // Nothing of it is printed but what is wrong with it.
        BlockKind::Versions => statements
            .iter()
            .filter(|it| {
                let lacks = matches!(it.body, Body::Refused | Body::NotEvaluated { .. });
                lacks || !it.diagnostics.is_empty()
            })
            .flat_map(|it| notice::without_result(page, it))
            .collect(),
    }
}

fn required(page: &Page, statement: &Statement) -> Entry {
    let id = page.anchor(&statement.id);
    let Body::Required {
        symbol,
        unit,
        datum,
        positive,
        negative,
        is_shown,
        conditions,
    } = &statement.body
    else {
        return failed_entry(page, statement);
    };
    let mut text = Text::from(typeset::symbol(*symbol, &page.context));
    if let Some(unit) = unit.as_ref().filter(|unit| !unit.text().is_empty()) {
        text.say(format!(" in\u{a0}{}", unit.text()));
    }
    if let Some(datum) = datum {
        text.say(format!("\u{a0}{datum}"));
    }
    if !statement.description.is_empty() {
        text.say(", ");
        text.append(prose::text(page, &statement.description));
    }
    if !conditions.is_empty() {
        text.append(under(page, conditions));
    }
    if *is_shown {
        text.say(", to be shown");
    }
    signs(positive.as_deref(), negative.as_deref(), &mut text);
    let below = notice::list(page, &statement.diagnostics);
    Entry { id, text, below }
}

/// ", if Q = 40 L/s"
fn under(page: &Page, conditions: &[(SymbolId, Replacement)]) -> Text {
    let mut text = Text::default();
    prose::replaced(page, ", if ", conditions, &mut text);
    text
}

fn failed_entry(page: &Page, statement: &Statement) -> Entry {
    Entry {
        id: page.anchor(&statement.id),
        text: Text::default(),
        below: without_result(page, statement),
    }
}

/// " (downstream positive, upstream negative)"
fn signs(positive: Option<&str>, negative: Option<&str>, text: &mut Text) {
    let positive = positive.map(|word| format!("{word} positive"));
    let negative = negative.map(|word| format!("{word} negative"));
    let words: Vec<String> = positive.into_iter().chain(negative).collect();
    if !words.is_empty() {
        text.say(" ");
        text.span(Manner::Quiet, Text::new(format!("({})", words.join(", "))));
    }
}

fn answer(page: &Page, statement: &Statement) -> Entry {
    let id = page.anchor(&statement.id);
    let Body::Answer {
        expr,
        shown,
        direction,
        conditions,
    } = &statement.body
    else {
        return failed_entry(page, statement);
    };
    let mut text = Text::default();
    if shown.shape == Shape::List {
        text.put(table::list(
            page,
            expr,
            std::slice::from_ref(expr),
            &[],
            shown,
        ));
    } else {
        text.formula(typeset::equality(expr, shown, &page.context));
    }
    if let Some((word, size)) = direction.as_deref() {
        let is_size = shown.si.first().is_some_and(|value| *value >= 0.0);
        self::direction(page, word, (!is_size).then_some(size), &mut text);
    }
    prose::conditions(page, conditions, &mut text);
    if !statement.description.is_empty() {
        let about = prose::text(page, &statement.description);
        text.span(Manner::About, about);
    }
    let below = notice::list(page, &statement.diagnostics);
    Entry { id, text, below }
}

/// ", that is 19.0 kN upstream"; ", downstream" where the size is what stands there.
fn direction(page: &Page, word: &Phrase, size: Option<&Shown>, text: &mut Text) {
    match size {
        None => text.say(", "),
        Some(size) => {
            text.say(", that is ");
            text.formula(typeset::value(size));
            text.say(" ");
        }
    }
    sketch::phrase(page, word, text);
}
