//! The table of a `check` block: the relation in symbols, the figures, the verdict.

use super::notice::without_result;
use super::tree::{Aside, Block, Cell, Name, Row, Set, Table, TableKind, Text};
use super::{Page, notice, prose, sense, uncertain};
use crate::quantity::to_figures;
use crate::resolve::Expr;
use crate::syntax::Relation;
use crate::typeset;
use crate::worksheet::{Apart, Body, Shown, Statement};

/// The table of the checks, if there are any beside sensitivities.
pub(super) fn table(page: &Page, name: Name, statements: &[Statement]) -> Option<Block> {
    let is_row = |statement: &&Statement| {
        !matches!(
            statement.body,
            Body::Sensitivity(_) | Body::Budget(_) | Body::Trials(_)
        )
    };
    let rows = statements.iter().filter(is_row);
    let rows: Vec<Row> = rows.flat_map(|statement| row(page, statement)).collect();
    (!rows.is_empty()).then(|| {
        Block::Table(Table {
            kind: TableKind::Check,
            id: None,
            caption: name.map_or(Text::default(), Text::new),
            columns: ["Relation", "Figures", "Verdict"].map(Text::new).into(),
            rows,
        })
    })
}

/// The row of a check, and what else there is to say of it in a row of its own.
fn row(page: &Page, statement: &Statement) -> Vec<Row> {
    let id = page.anchor(&statement.id);
    let ([relation, figures], holds) = match &statement.body {
        Body::Check {
            members,
            relations,
            within,
            row,
            holds,
            apart,
        } => {
            let sides = Sides {
                apart: *apart,
                members,
                relations,
                within: within.as_ref(),
                row: *row,
            };
            (comparison(page, statement, &sides), *holds)
        }
        Body::Trend(trend) => (sense::trend(page, statement, trend), trend.holds),
        Body::Limit(limit) => (sense::limit(page, statement, limit), limit.holds),
        Body::Comparison(comparison) => {
            let [says, figures] = uncertain::comparison(page, statement, comparison);
            let sign = if comparison.holds { "✓ " } else { "✗ " };
            let mut verdict = Text::new(sign);
            match comparison.holds {
                true => verdict.say(comparison.compared.found.words()),
                false => verdict.strong(comparison.compared.found.words()),
            }
            return rows(page, statement, [says, figures, verdict]);
        }
        // Without a result, or a form of another block.
        Body::Given { .. }
        | Body::Required { .. }
        | Body::Equation { .. }
        | Body::Therefore { .. }
        | Body::Solved(_)
        | Body::Component { .. }
        | Body::Balance { .. }
        | Body::Sketch(_)
        | Body::Shear(_)
        | Body::Dimensions(_)
        | Body::System(_)
        | Body::Sensitivity(_)
        | Body::Table(_)
        | Body::Budget(_)
        | Body::Trials(_)
        | Body::Correlation { .. }
        | Body::Fit(_)
        | Body::OfBlock
        | Body::Function { .. }
        | Body::Work(_)
        | Body::Answer { .. }
        | Body::Plot(_)
        | Body::Varied(_)
        | Body::MayChange(_)
        | Body::Refused
        | Body::NotEvaluated { .. } => {
            return vec![Row::Whole(id, without_result(page, statement))];
        }
    };
    rows(page, statement, [relation, figures, verdict(holds)])
}

fn rows(page: &Page, statement: &Statement, cells: [Text; 3]) -> Vec<Row> {
    let id = page.anchor(&statement.id);
    let cells = cells.map(Cell::from);
    let mut rows = vec![Row::Cells(Some(id), cells.into())];
    if !statement.diagnostics.is_empty() {
        rows.push(Row::Note(notice::list(page, &statement.diagnostics)));
    }
    rows
}

fn verdict(holds: bool) -> Text {
    if holds {
        return Text::new("✓ holds");
    }
    let mut text = Text::new("✗ ");
    text.strong("does not hold");
    text
}

/// The description below a relation.
pub(super) fn about(page: &Page, statement: &Statement, text: &mut Text) {
    let about = prose::text(page, &statement.description);
    if !about.is_empty() {
        text.put(Set::OwnLine(Aside::About, about));
    }
}

/// The tolerance of a relation.
pub(super) fn within(page: &Page, within: Option<&Expr>, text: &mut Text) {
    if let Some(within) = within {
        text.say(" within ");
        text.formula(typeset::math(within, &page.context));
    }
}

/// A relation.
struct Sides<'a> {
    members: &'a [(Expr, Shown)],
    relations: &'a [Relation],
    within: Option<&'a Expr>,
    row: Option<usize>,
    apart: Option<Apart>,
}

/// A relation between sides, and their values, of lists those of the row that is nearest to failing.
fn comparison(page: &Page, statement: &Statement, sides: &Sides<'_>) -> [Text; 2] {
    let sign = |index: usize| {
        let relation = index
            .checked_sub(1)
            .and_then(|before| sides.relations.get(before));
        relation.map_or("", |relation| relation.sign())
    };
    let (mut symbols, mut figures) = (Text::default(), Text::default());
    if let Some(row) = sides.row {
        figures.say(format!("row {}: ", row + 1));
    }
    for (index, (member, shown)) in sides.members.iter().enumerate() {
        if index > 0 {
            symbols.put(Set::MayBreak);
            figures.say(format!(" {} ", sign(index)));
        }
        symbols.formula(typeset::side(sign(index), member, &page.context).0);
        figures.formula(typeset::value(&shown.in_row(sides.row)));
    }
    if let Some(apart) = sides.apart {
        let standard = to_figures(apart.standard, 2).text();
        let way = match (apart.is_nearest, apart.is_above) {
            (true, _) => "off the nearest",
            (false, true) => "above",
            (false, false) => "below",
        };
        figures.say(format!("; {standard} u {way}"));
    }
    within(page, sides.within, &mut symbols);
    about(page, statement, &mut symbols);
    [symbols, figures]
}
