//! Lines of `work`. Neighbouring lines whose results are lists over the same rows of a table have
//! their formulas one under the other, and then one table of all results.

use super::column::{Chosen, Column};
use super::tree::{Block, Line, Table, TableKind, Text};
use super::{Page, data, line};
use crate::document;
use crate::quantity;
use crate::typeset::{self, entries};
use crate::worksheet::{Body, Shown, Spread, Statement, SymbolId, Work};

/// The blocks that lines of `work` become.
pub(super) fn blocks(page: &Page, statements: &[Statement]) -> Vec<Block> {
    let mut blocks = Vec::new();
    let mut lines: Vec<Line> = Vec::new();
    let mut rest = statements;
    while let Some((first, behind)) = rest.split_first() {
        let group = group(rest);
        if group.is_empty() {
            lines.push(line::line(page, first));
            rest = behind;
            continue;
        }
        rest = rest.get(group.len()..).unwrap_or(&[]);
        let formulas = group
            .iter()
            .map(|(statement, _, work)| line::without_result_of(page, statement, work));
        lines.extend(formulas);
        blocks.push(Block::Lines(std::mem::take(&mut lines)));
        blocks.extend(table(page, &group));
    }
    if !lines.is_empty() {
        blocks.push(Block::Lines(lines));
    }
    blocks
}

/// A line with a column of results.
type Tabled<'s> = (&'s Statement, SymbolId, &'s Work);

/// The first lines, as far as their results are lists over the same rows.
fn group(statements: &[Statement]) -> Vec<Tabled<'_>> {
    let tabled = statements.iter().map_while(tabled);
    let mut found: Vec<Tabled<'_>> = Vec::new();
    for one in tabled {
        let is_beside = found
            .first()
            .is_none_or(|(_, _, first)| first.rows == one.2.rows);
        if !is_beside {
            break;
        }
        found.push(one);
    }
    found
}

/// A line of one name and its formulas, the results of which are entries of a column.
fn tabled(statement: &Statement) -> Option<Tabled<'_>> {
    let Body::Work(work) = &statement.body else {
        return None;
    };
    let is_defined = !work.members.is_empty() || work.convergence.is_some();
    let is_plain = work.claim.is_none() && work.conditions.is_empty() && is_defined;
    let symbol = work.lead.as_symbol()?;
    (is_plain && work.rows.is_some()).then_some((statement, symbol, &**work))
}

fn table(page: &Page, group: &[Tabled<'_>]) -> Vec<Block> {
    let columns: Vec<Column> = group.iter().map(|it| column(page, it)).collect();
    let count = group.first().map_or(0, |(_, _, work)| entries(&work.shown));
    let lacks = |row: &usize| {
        let values = group.iter().map(|(_, _, work)| work.shown.si.get(*row));
        values
            .into_iter()
            .any(|value| value.is_some_and(|it| it.is_nan()))
    };
    // A row that is missing is told from its number.
    let are_named = (0..count).any(|row| lacks(&row));
    let chosen = Chosen::new(count, Vec::new(), are_named);
    let table = Block::Table(Table {
        kind: TableKind::Data,
        id: None,
        caption: Text::default(),
        columns: chosen.headings(&columns),
        rows: chosen.rows(&columns),
    });
    let note = chosen.note().map(|note| Text::new(format!("{note}.")));
    let note = note.map(|note| Block::Markdown(document::Block::Paragraph(note.0)));
    std::iter::once(table).chain(note).collect()
}

fn column<'c>(page: &Page, (_, symbol, work): &Tabled<'c>) -> Column<'c> {
    let shown: &Shown = &work.shown;
    let mut heading = data::heading(page, *symbol, shown.unit.text(), shown.word);
    let same = same(shown);
    if let Some(spread) = same {
        heading.say(format!("\u{a0}±\u{a0}{}", spread.digits.text()));
    }
    if let Some(factor) = typeset::factor(shown) {
        heading.formula(factor);
    }
    let is_same = same.is_some();
    let shown: &'c Shown = &work.shown;
    Column {
        heading,
        entry: Box::new(move |row| entry(shown, row, is_same)),
        is_number: true,
        summary: summary(shown),
    }
}

fn entry(shown: &Shown, row: usize, is_same: bool) -> String {
    let is_missing = shown.si.get(row).is_none_or(|value| value.is_nan());
    let Some(digits) = shown.digits.get(row).filter(|_| !is_missing) else {
        return "–".to_owned();
    };
    let own = shown.uncertainties.get(row).and_then(Option::as_ref);
    match own.filter(|_| !is_same) {
        Some(spread) => quantity::estimate_beside(digits, &spread.digits),
        None => digits.text(),
    }
}

/// The uncertainty of all entries, where it is the same for all.
fn same(shown: &Shown) -> Option<&Spread> {
    let own = shown.si.iter().zip(&shown.uncertainties);
    let mut own = own.filter(|(value, _)| !value.is_nan()).map(|(_, own)| own);
    let first = own.next()?.as_ref()?;
    let is_same =
        |own: &Option<Spread>| (own.as_ref()).is_some_and(|own| own.digits == first.digits);
    own.all(is_same).then_some(first)
}

/// How many entries there are, their mean, the least and the greatest.
fn summary(shown: &Shown) -> Option<[String; 4]> {
    let entries = shown.values.iter().zip(&shown.digits);
    let entries: Vec<_> = entries.filter(|(value, _)| value.is_finite()).collect();
    let least = entries
        .iter()
        .min_by(|one, other| one.0.total_cmp(other.0))?;
    let greatest = entries
        .iter()
        .max_by(|one, other| one.0.total_cmp(other.0))?;
    let mean = entries.iter().map(|(value, _)| **value).sum::<f64>() / entries.len() as f64;
    Some([
        entries.len().to_string(),
        quantity::to_figures(mean, shown.figures.max(4)).text(),
        least.1.text(),
        greatest.1.text(),
    ])
}
