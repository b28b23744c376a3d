//! Lines of `check` that look at how a result goes with a given.

use super::check::{about, within};
use super::tree::{Aside, Block, Cell, Manner, Row, Set, Table, TableKind, Text};
use super::{Page, notice};
use crate::resolve::statement::{End, Way};
use crate::resolve::{Expr, ExprKind};
use crate::typeset;
use crate::worksheet::{Body, Limit, Sensitivity, SensitivityRow, Statement, Trend};

/// Figures of an exponent that was found.
const FIGURES: u8 = 4;

/// " rises with "
pub(super) fn trend_words(way: &Way) -> &'static str {
    match way {
        Way::Rises => " rises with ",
        Way::Falls => " falls with ",
        Way::Independent => " does not depend on ",
        Way::Power(_) => " varies as ",
    }
}

/// A trend: what it says, and the derivative.
pub(super) fn trend(page: &Page, statement: &Statement, trend: &Trend) -> [Text; 2] {
    let mut says = Text::from(typeset::side("", &trend.subject, &page.context).0);
    says.say(trend_words(&trend.way));
    says.formula(match &trend.way {
        Way::Power(exponent) => typeset::power(trend.with, exponent, &page.context),
        Way::Rises | Way::Falls | Way::Independent => typeset::symbol(trend.with, &page.context),
    });
    within(page, trend.within.as_ref(), &mut says);
    about(page, statement, &mut says);
    let derivative = typeset::derivative(&trend.subject, trend.with, &page.context);
    let mut figures = Text::from(derivative);
    // That 0 is 0 need not be said.
    let formula = trend.formula.as_ref();
    let is_number = |formula: &&Expr| matches!(formula.inside().kind, ExprKind::Numeral(_));
    if let Some(formula) = formula.filter(|formula| !is_number(formula)) {
        figures.put(Set::MayBreak);
        figures.formula(typeset::side("=", formula, &page.context).0);
        figures.put(Set::MayBreak);
    }
    figures.formula(typeset::result("=", &trend.derivative));
    if let (Way::Power(_), Some(exponent)) = (&trend.way, trend.exponent) {
        let mut more = Text::new("exponent\u{a0}");
        more.formula(typeset::number(exponent, FIGURES));
        figures.put(Set::OwnLine(Aside::More, more));
    }
    [says, figures]
}

/// A limit: what it says, and what was reached.
pub(super) fn limit(page: &Page, statement: &Statement, limit: &Limit) -> [Text; 2] {
    let mut says = Text::from(typeset::side("", &limit.subject, &page.context).0);
    tends(page, &limit.value, &mut says);
    says.say(" as ");
    let behind = match &limit.at {
        End::Value(value) => typeset::math(value, &page.context.in_line()),
        End::Infinite { negative, .. } => typeset::literal(infinite(*negative)),
    };
    let name = typeset::symbol(limit.with, &page.context);
    says.span(Manner::Value, typeset::told(name, "→", behind).into());
    about(page, statement, &mut says);
    let mut reached = Text::new("reaches ");
    reached.span(Manner::Value, typeset::value(&limit.reached).into());
    [says, reached]
}

/// " → 0"
fn tends(page: &Page, end: &End, text: &mut Text) {
    text.formula(match end {
        End::Value(value) => typeset::side("→", value, &page.context).0,
        End::Infinite { negative, .. } => typeset::compared("→", infinite(*negative)),
    });
}

fn infinite(negative: bool) -> &'static str {
    if negative { "−∞" } else { "∞" }
}

/// The tables of how much each given matters, below the checks of their block.
pub(super) fn tables(page: &Page, statements: &[Statement]) -> Vec<Block> {
    let mut blocks = Vec::new();
    for statement in statements {
        if let Body::Sensitivity(sensitivity) = &statement.body {
            blocks.push(table(page, statement, sensitivity));
            blocks.extend(notice::list(page, &statement.diagnostics));
        }
    }
    blocks
}

fn table(page: &Page, statement: &Statement, sensitivity: &Sensitivity) -> Block {
    let mut caption = Text::new("Sensitivity of\u{a0}");
    // Symbols and units keep their case: mW is not MW.
    let mut subject = Text::from(typeset::math(&sensitivity.subject, &page.context));
    subject.formula(typeset::result("=", &sensitivity.shown));
    caption.span(Manner::AsWritten, subject);
    about(page, statement, &mut caption);
    Block::Table(Table {
        kind: TableKind::Sensitivity,
        id: Some(page.anchor(&statement.id)),
        caption,
        columns: ["Given", "Value", "Derivative", "Change for +1\u{a0}%"]
            .map(Text::new)
            .into(),
        rows: sensitivity.rows.iter().map(|it| row(page, it)).collect(),
    })
}

fn row(page: &Page, row: &SensitivityRow) -> Row {
    let texts = [
        typeset::symbol(row.given, &page.context).into(),
        typeset::value(&row.shown).into(),
        typeset::value(&row.derivative).into(),
        match row.change {
            Some(change) => percent(change),
            None => Text::new("–"),
        },
    ];
    Row::Cells(None, texts.map(Cell::from).into())
}

/// A part as a percentage with its sign.
fn percent(part: f64) -> Text {
    let mut text = Text::default();
    if part > 0.0 {
        text.say("+");
    }
    text.formula(typeset::number(part * 100.0, 2));
    text.say("\u{a0}%");
    text
}
