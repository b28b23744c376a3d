//! Tables: the data, and lists of results.

use super::notice::without_result;
use super::tree::{Block, Cell, Row, Set, Table, TableKind, Text};
use super::{Page, notice, prose};
use crate::typeset;
use crate::worksheet::{Body, Shown, Statement};

/// The table of a `given` block: symbol, value, description.
pub(super) fn given(page: &Page, statements: &[Statement]) -> Block {
    Block::Table(Table {
        kind: TableKind::Given,
        id: None,
        caption: Text::new("Given"),
        columns: &["Symbol", "Value", "Description"],
        rows: statements.iter().map(|it| datum(page, it)).collect(),
    })
}

fn datum(page: &Page, statement: &Statement) -> Row {
    let id = page.anchor(&statement.id);
    let Body::Given {
        symbol,
        formula,
        shown,
    } = &statement.body
    else {
        return Row::Whole(id, without_result(page, statement));
    };
    let mut value = Text::default();
    match formula {
        Some(formula) => {
            value.formula(typeset::side("", formula, &page.context).0);
            value.put(Set::MayBreak);
            value.formula(typeset::result("=", shown));
        }
        None => value.formula(typeset::value(shown)),
    }
    let description = Cell {
        text: prose::text(page, &statement.description),
        below: notice::list(page, &statement.diagnostics),
    };
    let symbol = Text::from(typeset::symbol(*symbol, &page.context));
    Row::Cells(Some(id), vec![symbol.into(), value.into(), description])
}

/// The entries of a list of results.
pub(super) fn list(shown: &Shown) -> Set {
    let entry = |index| {
        let mut text = Text::from(typeset::entry(shown, index));
        text.formula(typeset::unit(&shown.unit));
        text
    };
    Set::List((0..typeset::entries(shown)).map(entry).collect())
}
