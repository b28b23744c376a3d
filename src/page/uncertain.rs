//! Lines of `check` about uncertainties: comparisons by them, and budgets.

use super::check::about;
use super::tree::{Aside, Block, Cell, Manner, Row, Set, Table, TableKind, Text};
use super::{Page, notice, plot, prose};
use crate::quantity::to_figures;
use crate::resolve::{Expr, SymbolId};
use crate::syntax::Held;
use crate::text::{Series, Span};
use crate::typeset;
use crate::worksheet::{
    Body, Budget, BudgetRow, Comparison, ScatterWord, Shown, Statement, Trials, TrialsRow,
};

/// A comparison: what it says, and its figures.
pub(super) fn comparison(page: &Page, statement: &Statement, comparison: &Comparison) -> [Text; 2] {
    let formula = |(expr, _): &(Expr, Shown)| typeset::side("", expr, &page.context).0;
    let mut says = Text::from(formula(&comparison.subject));
    match &comparison.held {
        Held::Agrees(other) => {
            says.say(" agrees with ");
            says.formula(formula(other));
        }
        Held::Differs(other) => {
            says.say(" differs from ");
            says.formula(formula(other));
        }
        Held::Conforms(low, high) => {
            says.say(match (low, high) {
                (Some(_), None) => " conforms to at least ",
                (None, _) => " conforms to at most ",
                (Some(_), Some(_)) => " conforms to ",
            });
            low.iter().for_each(|low| says.formula(formula(low)));
            if low.is_some() && high.is_some() {
                says.say(" to ");
            }
            high.iter().for_each(|high| says.formula(formula(high)));
        }
    }
    if let Some(within) = &comparison.within {
        says.say(match within.in_words {
            true => format!(" within coverage factor {}", within.value),
            false => format!(" within k = {}", within.value),
        });
    }
    about(page, statement, &mut says);
    [says, figures(comparison)]
}

/// "0.008 m/s², *u* = 0.033 m/s²: 0.2 standard uncertainties apart (*k* = 1.96)"
fn figures(comparison: &Comparison) -> Text {
    let compared = &comparison.compared;
    let mut text = Text::default();
    if let Some(row) = comparison.row {
        text.say(format!("row {}: ", row + 1));
    }
    text.formula(typeset::value(&comparison.difference));
    match &comparison.held {
        Held::Agrees(_) | Held::Differs(_) => {
            text.say(", u = ");
            text.formula(typeset::value(&comparison.uncertainty));
            if compared.uncertainty > 0.0 {
                let apart = to_figures(compared.apart(), 2).text();
                text.say(format!(": {apart} standard uncertainties apart"));
            }
        }
        Held::Conforms(low, high) => {
            let is_upper = low.is_none() || comparison.side == 1;
            let limit = match is_upper {
                true => high.as_ref(),
                false => low.as_ref(),
            };
            let is_above = is_upper == (compared.difference < 0.0);
            text.say(if is_above { " above " } else { " below " });
            if let Some((_, shown)) = limit {
                text.formula(typeset::value(shown));
            }
            text.say(", U = ");
            text.formula(typeset::value(&comparison.uncertainty));
        }
    }
    text.say(format!(" ({}", factor(comparison)));
    if let Some(degrees) = compared.degrees.filter(|degrees| degrees.is_finite()) {
        text.say(format!(", ν = {}", to_figures(degrees, 3).text()));
    }
    text.say(")");
    if compared.is_too_narrow {
        text.put(Set::MayBreak);
        text.say("; the tolerance is narrower than 2 U, so that nothing can conform");
    }
    text
}

/// A coverage factor as it is told: in words where `k` is a quantity.
fn coverage(factor: &str, in_words: bool) -> String {
    match in_words {
        true => format!("coverage factor {factor}"),
        false => format!("k = {factor}"),
    }
}

fn factor(comparison: &Comparison) -> String {
    let number = |factor: f64| match factor.fract() == 0.0 {
        true => format!("{factor}"),
        false => to_figures(factor, 3).text(),
    };
    coverage(&number(comparison.compared.factor), comparison.in_words)
}

/// The budgets and trials of a block, below its checks.
pub(super) fn budgets(page: &Page, statements: &[Statement]) -> Vec<Block> {
    let mut blocks = Vec::new();
    for statement in statements {
        let table = match &statement.body {
            Body::Budget(budget) => table(page, statement, budget),
            Body::Trials(trials) => drawn(page, statement, trials),
            _ => continue,
        };
        blocks.push(table);
        if let Body::Trials(trials) = &statement.body {
            blocks.extend(plot::density(page, statement, trials));
        }
        blocks.extend(notice::list(page, &statement.diagnostics));
    }
    blocks
}

fn table(page: &Page, statement: &Statement, budget: &Budget) -> Block {
    let mut caption = Text::new("Budget of\u{a0}");
    let mut subject = Text::from(typeset::math(&budget.subject, &page.context));
    subject.formula(typeset::result("=", &budget.shown));
    caption.span(Manner::AsWritten, subject);
    if let Some((shown, factor)) = &budget.expanded {
        let mut expanded = Text::new("U = ");
        expanded.formula(typeset::value(shown));
        let factor = to_figures(*factor, 3).text();
        let factor = coverage(&factor, budget.in_words);
        expanded.say(format!(" ({factor}, 95\u{a0}%)"));
        let mut below = Text::default();
        below.span(Manner::AsWritten, expanded);
        caption.put(Set::OwnLine(Aside::More, below));
    }
    about(page, statement, &mut caption);
    let mut rows: Vec<Row> = budget.rows.iter().map(|it| row(page, it)).collect();
    rows.push(whole(page, budget));
    Block::Table(Table {
        kind: TableKind::Budget,
        id: Some(page.anchor(&statement.id)),
        caption,
        columns: [
            "Source",
            "Value",
            "u",
            "Type",
            "ν",
            "Sensitivity",
            "Contribution",
            "Share",
        ]
        .map(Text::new)
        .into(),
        rows,
    })
}

fn row(page: &Page, row: &BudgetRow) -> Row {
    let value = |shown: &Option<Shown>| match shown {
        Some(shown) => typeset::value(shown).into(),
        None => Text::default(),
    };
    let cells = [
        source(page, row),
        value(&row.shown),
        value(&row.uncertainty),
        Text::new(row.kind.clone()),
        Text::new(row.degrees.map_or_else(String::new, degrees)),
        value(&row.sensitivity),
        typeset::value(&row.contribution).into(),
        share(row.share),
    ];
    Row::Cells(None, cells.map(Cell::from).into())
}

/// "*e*, voltmeter, limit of error"
fn source(page: &Page, row: &BudgetRow) -> Text {
    if let Some(together) = row.together {
        return Text::new(format!("{together} more, together"));
    }
    let fit = row.place.and_then(|place| fit(page, place));
    let mut text = Text::default();
    fit.iter().for_each(|fit| text.say(fit.clone()));
    for name in &row.names {
        text.say(if text.is_empty() { "" } else { ", " });
        text.formula(typeset::symbol(*name, &page.context));
    }
    if row.is_correlation {
        text.say(", correlated");
        return text;
    }
    match (row.constant, row.names.as_slice()) {
        (Some(constant), _) => text.say(constant),
        (None, []) if fit.is_none() => text.say("a number of the formulas"),
        (None, [only]) => {
            if let Some(words) = description(page, *only) {
                text.say(", ");
                text.append(words);
            }
        }
        (None, _) => {}
    }
    if row.by_scatter {
        text.say(", scatter");
    } else if row.count > 1 {
        text.say(format!(", {} readings", row.count));
    }
    text
}

/// "the last digit hides scatter", "read together with *V*, *r* = 0.05"
pub(super) fn scatter(page: &Page, words: &[ScatterWord]) -> Vec<Text> {
    let said = words.iter().map(|word| match word {
        ScatterWord::Hidden(rows) => Text::new(format!(
            "the scatter is within half a step of the last digit{}: step/√12 is added",
            match rows {
                Some((rows, all)) if rows < all => format!(" in {rows} of {all} rows"),
                Some(_) | None => String::new(),
            }
        )),
        ScatterWord::Together {
            names,
            place,
            coefficient,
        } => {
            let mut text = Text::new("read together with ");
            match names.first() {
                Some(name) => text.formula(typeset::symbol(*name, &page.context)),
                None => text.say(fit(page, *place).unwrap_or_else(|| "others".to_owned())),
            }
            let r = format!("{coefficient:.2}").replace('-', "\u{2212}");
            text.say(format!(", r = {r}"));
            text
        }
    });
    said.collect()
}

/// "Fit 1", where a source is the scatter about one.
fn fit(page: &Page, place: Span) -> Option<String> {
    let fit = page.placed.problem.fit_at(place)?;
    let (_, number) = fit.label.as_ref()?;
    Some(Series::Fit.reference(page.equation(*number)))
}

/// The words beside the line that gives a name.
fn description(page: &Page, name: SymbolId) -> Option<Text> {
    let mut statements = page.placed.problem.statements();
    let own = statements.find(|statement| match &statement.body {
        Body::Given { symbol, .. } => *symbol == name,
        _ => false,
    })?;
    (!own.description.is_empty()).then(|| prose::text(page, &own.description))
}

fn degrees(degrees: f64) -> String {
    match degrees.is_finite() {
        true if degrees.fract() == 0.0 => degrees.to_string(),
        true => to_figures(degrees, 3).text(),
        false => "∞".to_owned(),
    }
}

fn share(share: f64) -> Text {
    let text = match share.abs() < 0.0005 {
        true => "0.0".to_owned(),
        false => format!("{:.1}", share * 100.0).replace('-', "−"),
    };
    Text::new(format!("{text}\u{a0}%"))
}

/// The last row: the result with its expanded uncertainty.
fn whole(page: &Page, budget: &Budget) -> Row {
    let bare = budget.shown.bare();
    let mut subject = Text::from(typeset::math(&budget.subject, &page.context));
    subject.formula(typeset::result("=", &bare));
    let mut strong = Text::default();
    strong.append(subject);
    let spread = budget.shown.uncertainties.first().and_then(Option::as_ref);
    let own = spread.map(|spread| Shown {
        digits: vec![spread.digits.clone()],
        unit: bare.unit.interval(),
        ..bare.clone()
    });
    let cells = [
        strong,
        Text::default(),
        own.map_or_else(Text::default, |own| typeset::value(&own).into()),
        Text::default(),
        Text::new(budget.degrees.map_or_else(|| "–".to_owned(), degrees)),
        Text::default(),
        Text::default(),
        Text::default(),
    ];
    Row::Cells(None, cells.map(Cell::from).into())
}

/// The distribution of a result by trials.
fn drawn(page: &Page, statement: &Statement, trials: &Trials) -> Block {
    let drawn = &trials.drawn;
    let mut caption = Text::new("Trials of\u{a0}");
    let mut subject = Text::from(typeset::math(&trials.subject, &page.context));
    subject.formula(typeset::result("=", &trials.shown));
    caption.span(Manner::AsWritten, subject);
    let settled = match drawn.is_settled {
        true => "settled to two figures",
        false => "the second figure is not settled",
    };
    let level = to_figures(drawn.level * 100.0, 3).text();
    let words = format!(
        "{} trials, {settled}; intervals for {level}\u{a0}%; {}",
        drawn.count,
        verdict(trials)
    );
    let mut below = Text::default();
    below.span(Manner::AsWritten, Text::new(words));
    caption.put(Set::OwnLine(Aside::More, below));
    about(page, statement, &mut caption);
    let row = |row: &TrialsRow| {
        let numbers = [&row.mean, &row.uncertainty, &row.low, &row.high];
        let numbers = numbers.map(|shown| Text::from(typeset::value(shown)));
        let cells = std::iter::once(Text::new(row.name)).chain(numbers);
        Row::Cells(None, cells.map(Cell::from).collect())
    };
    Block::Table(Table {
        kind: TableKind::Trials,
        id: Some(page.anchor(&statement.id)),
        caption,
        columns: ["", "Value", "u", "From", "To"].map(Text::new).into(),
        rows: trials.rows.iter().map(row).collect(),
    })
}

/// "first order does not serve: its lower end is 0.8 *u* off"
fn verdict(trials: &Trials) -> String {
    let drawn = &trials.drawn;
    if drawn.serves {
        return "first order serves".to_owned();
    }
    let (low, high) = drawn.off;
    let (end, off) = match low.abs() >= high.abs() {
        true => ("lower", low),
        false => ("upper", high),
    };
    let off = to_figures(off.abs(), 1).text();
    format!("first order does not serve: its {end} end is {off} u off")
}
