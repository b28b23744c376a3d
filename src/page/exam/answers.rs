//! The table of all answers of all versions.

use super::Sheets;
use crate::page::html::exam::{self, AnswerTable, Kind};
use crate::page::tree::Text;
use crate::page::{Page, sketch};
use crate::typeset::{self, Names};
use crate::worksheet::{Body, Counts};

/// The table of answers: a row for each version, a column for each part.
pub fn answers(versions: &[Sheets<'_>]) -> String {
    let Some(first) = versions.first() else {
        return String::new();
    };
    let mut columns = Vec::new();
    for (at, sheet) in first.questions.iter().enumerate() {
        let placed = sheet.placed();
        let names = Names::new(&placed.problem.symbols);
        let page = Page::new(sheet.worksheet, placed, &names, 1);
        let question = sheet.question();
        for (part, asked) in question.asked.iter().enumerate() {
            let letter = question.letter(part).map_or_else(String::new, String::from);
            let mut head = Text::new(format!("{}{letter} ", at + 1));
            head.formula(typeset::symbol(asked.symbol, &page.context));
            columns.push(head);
        }
    }
    let rows = versions.iter().map(|sheets| {
        let version = sheets.version.unwrap_or(0).to_string();
        let cells = sheets.questions.iter().enumerate().flat_map(|(at, sheet)| {
            let placed = sheet.placed();
            let all = 0..placed.problem.parts.len();
            let view = placed.as_question(at + 1, all, &mut Counts::default());
            let names = Names::new(&placed.problem.symbols);
            let page = Page::new(sheet.worksheet, &view, &names, 1);
            let asked = sheet.question().asked.iter();
            let cells: Vec<Text> = asked
                .map(
                    |asked| match asked.result.map(|at| &placed.problem.line(at).body) {
                        Some(Body::Answer {
                            shown, direction, ..
                        }) => match direction.as_deref() {
                            Some((word, size)) => {
                                let mut text = Text::from(typeset::value(size));
                                text.say(" ");
                                sketch::phrase(&page, word, &mut text);
                                text
                            }
                            None => typeset::value(shown).into(),
                        },
                        Some(body) => match body.shown() {
                            Some(shown) => typeset::value(shown).into(),
                            None => Text::default(),
                        },
                        None => Text::default(),
                    },
                )
                .collect();
            cells
        });
        (version, cells.collect())
    });
    let table = AnswerTable {
        columns,
        rows: rows.collect(),
    };
    exam::answers(&first.shell("Answers", Kind::Wide), &table)
}
