//! The formula sheet: equations with their labels, and what their symbols stand for.

use rustc_hash::FxHashSet;

use super::Sheets;
use crate::document::Formulas;
use crate::page::html::exam::{self, FormulaRow, Kind, SymbolRow};
use crate::page::tree::Text;
use crate::page::{Page, prose};
use crate::resolve::Expr;
use crate::typeset::{self, Names};
use crate::worksheet::{Body, Filled, PartKind, Problem, Statement};

/// The formula sheet; nothing where the paper asks for none.
pub fn formulas(sheets: &Sheets<'_>) -> Option<String> {
    let wanted = &sheets.front.exam.formulas;
    let mut rows: Vec<FormulaRow> = Vec::new();
    let mut symbols: Vec<SymbolRow> = Vec::new();
    let (mut seen, mut named) = (FxHashSet::default(), FxHashSet::default());
    for (at, sheet) in sheets.questions.iter().enumerate() {
        let placed = sheet.placed();
        let names = Names::new(&placed.problem.symbols);
        let page = Page::new(sheet.worksheet, placed, &names, 1);
        let cited = cited(&placed.problem);
        for statement in placed.problem.statements() {
            let (Some((label, _)), Some(members)) = (&statement.label, members(statement)) else {
                continue;
            };
            let is_wanted = match wanted {
                Formulas::None => false,
                Formulas::Cited => cited.contains(label.as_str()),
                Formulas::Labels(labels) => (labels.iter()).any(|it| {
                    it == label
                        || it
                            .strip_suffix(label.as_str())
                            .is_some_and(|it| it.ends_with('/'))
                }),
            };
            let mut text = Text::default();
            for (index, member) in members.iter().enumerate() {
                match index {
                    0 => text.formula(typeset::math(member, &page.context)),
                    _ => text.formula(typeset::side("=", member, &page.context).0),
                }
            }
            if !is_wanted || !seen.insert((label.clone(), page.slice(statement.span).to_owned())) {
                continue;
            }
            rows.push(FormulaRow {
                label: label.clone(),
                formula: text,
                question: at + 1,
            });
            let mut used = Vec::new();
            members
                .iter()
                .for_each(|it| it.for_each_symbol(&mut |symbol, _| used.push(symbol)));
            for symbol in used {
                let key = &placed.problem.symbols.symbol(symbol).key;
                let said = said(&page, symbol);
                if let Some(said) = said.filter(|_| named.insert(key.to_string())) {
                    symbols.push(SymbolRow {
                        symbol: typeset::symbol(symbol, &page.context).into(),
                        said,
                    });
                }
            }
        }
    }
    let shell = sheets.shell("Formulas", Kind::Plain);
    (!rows.is_empty()).then(|| exam::formulas(&shell, &rows, &symbols))
}

/// The sides of an equation.
fn members(statement: &Statement) -> Option<&[Expr]> {
    match &statement.body {
        Body::Equation { members, .. }
        | Body::Therefore { members, .. }
        | Body::Balance { members, .. } => Some(members),
        _ => None,
    }
}

/// The labels that prose refers to.
fn cited(problem: &Problem) -> FxHashSet<&str> {
    let mut found = FxHashSet::default();
    for part in &problem.parts {
        if let PartKind::Prose(blocks) = &part.kind {
            let mut look = |filled: &Filled| {
                if let Filled::Reference { target, .. } = filled {
                    let own = problem.statements().find(|it| it.id == *target);
                    let label = own.and_then(|it| it.label.as_ref());
                    found.extend(label.map(|(label, _)| label.as_str()));
                }
            };
            blocks.iter().for_each(|it| it.for_each_open(&mut look));
        }
    }
    found
}

/// What a symbol is, in the words of `given` or `required`, and its unit there.
fn said(page: &Page, symbol: crate::worksheet::SymbolId) -> Option<Text> {
    page.placed.problem.statements().find_map(|statement| {
        let unit = match &statement.body {
            Body::Given {
                symbol: own, shown, ..
            } if *own == symbol => Some(shown.unit.text().to_owned()),
            Body::Required {
                symbol: own, unit, ..
            } if *own == symbol => unit.as_ref().map(|unit| unit.text().to_owned()),
            _ => return None,
        };
        let mut text = prose::text(page, &statement.description);
        if let Some(unit) = unit.filter(|unit| !unit.is_empty()) {
            text.say(match text.is_empty() {
                true => format!("in\u{a0}{unit}"),
                false => format!(", in\u{a0}{unit}"),
            });
        }
        Some(text)
    })
}
