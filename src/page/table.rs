//! Tables: the data, and lists of results.

use rustc_hash::FxHashSet;

use super::notice::without_result;
use super::tree::{Block, Cell, Listed, Name, Row, Set, Table, TableKind, Text};
use super::{Page, notice, prose};
use crate::resolve::{Expr, FunctionId};
use crate::typeset;
use crate::worksheet::{Body, From, Replacement, Shape, Shown, Statement, SymbolId};

/// The table of a `given` block: symbol, value, description.
pub(super) fn given<'s>(
    page: &Page,
    name: Name,
    statements: impl IntoIterator<Item = &'s Statement>,
) -> Block {
    Block::Table(Table {
        kind: TableKind::Given,
        id: None,
        caption: name.map_or(Text::default(), Text::new),
        columns: ["Symbol", "Value", "Description"].map(Text::new).into(),
        rows: statements.into_iter().map(|it| datum(page, it)).collect(),
    })
}

fn datum(page: &Page, statement: &Statement) -> Row {
    let id = page.anchor(&statement.id);
    if let Body::Correlation { names, coefficient } = &statement.body {
        return correlation(page, statement, *names, coefficient);
    }
    if let Body::Function {
        function,
        from: Some(from),
        ..
    } = &statement.body
    {
        return function_taken(page, statement, *function, from);
    }
    let Body::Given {
        symbol,
        formula,
        shown,
        from,
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
    if let Some(from) = from {
        value.put(Set::MayBreak);
        value.say(" ");
        taken_from(page, from, &mut value);
    }
    let description = Cell {
        text: prose::text(page, &statement.description),
        below: notice::list(page, &statement.diagnostics),
        number: None,
    };
    let symbol = Text::from(typeset::symbol(*symbol, &page.context));
    Row::Cells(Some(id), vec![symbol.into(), value.into(), description])
}

/// A function of another worksheet.
fn function_taken(page: &Page, statement: &Statement, function: FunctionId, from: &From) -> Row {
    let context = page.context.in_function(function);
    let symbols = &page.placed.problem.symbols;
    let parameters = symbols.function(function).parameters.len();
    let symbol = Text::from(typeset::function(function, parameters, &context).0);
    let mut value = Text::default();
    taken_from(page, from, &mut value);
    let description = Cell {
        text: prose::text(page, &statement.description),
        below: notice::list(page, &statement.diagnostics),
        number: None,
    };
    let id = page.anchor(&statement.id);
    Row::Cells(Some(id), vec![symbol.into(), value.into(), description])
}

/// "from water.md at T = 15 °C"
fn taken_from(page: &Page, from: &From, text: &mut Text) {
    text.say(format!("from\u{a0}{}", from.file));
    let mut joint = " at ";
    for (called, stands) in &from.at {
        text.say(joint);
        text.formula(typeset::symbol(*called, &page.context));
        text.formula(typeset::side("=", stands, &page.context).0);
        joint = ", ";
    }
}

/// *r*(*V*, *J*), and the coefficient.
fn correlation(page: &Page, statement: &Statement, names: [SymbolId; 2], stated: &Expr) -> Row {
    let [one, other] = names.map(|name| typeset::symbol(name, &page.context));
    let mut symbol = Text::new("r(");
    symbol.formula(one);
    symbol.say(", ");
    symbol.formula(other);
    symbol.say(")");
    let value = Text::from(typeset::side("", stated, &page.context).0);
    let mut words = prose::text(page, &statement.description);
    if words.is_empty() {
        words = Text::new("correlation of their errors");
    }
    let description = Cell {
        text: words,
        below: notice::list(page, &statement.diagnostics),
        number: None,
    };
    let id = page.anchor(&statement.id);
    Row::Cells(Some(id), vec![symbol.into(), value.into(), description])
}

/// A list of results below the lists that it was found from, or below a count.
pub(super) fn list(
    page: &Page,
    name: &Expr,
    formulas: &[Expr],
    conditions: &[(SymbolId, Replacement)],
    shown: &Shown,
) -> Set {
    let count = typeset::entries(shown);
    let replaced = conditions.iter().filter_map(|(symbol, replacement)| {
        let own = listed(replacement)?;
        Some((*symbol, own))
    });
    let mut over: Vec<(SymbolId, &Shown)> = replaced.collect();
    let mut formulas: Vec<&Expr> = formulas.iter().collect();
    let mut seen = FxHashSet::default();
    while let Some(formula) = formulas.pop() {
        formula.for_each_symbol(&mut |symbol, _| {
            if !seen.insert(symbol) {
                return;
            }
            let given = page.given(symbol);
            match given.filter(|own| own.shape == Shape::List && typeset::entries(own) == count) {
                Some(own) => over.push((symbol, own)),
                None => formulas.extend(found_by(page, symbol)),
            }
        });
    }
    let entries = |shown: &Shown| {
        let entry = |index| {
            let own = shown.component(index);
            match own.si.iter().any(|value| value.is_nan()) {
                true => Text::new("–"),
                false => Text::from(typeset::value(&own)),
            }
        };
        (0..count).map(entry).collect::<Vec<Text>>()
    };
    let mut rows: Vec<Listed> = (over.iter())
        .map(|(symbol, own)| Listed {
            name: typeset::symbol(*symbol, &page.context).into(),
            entries: entries(own),
        })
        .collect();
    if rows.is_empty() {
        rows.push(Listed {
            name: Text::default(),
            entries: (1..=count).map(|at| Text::new(at.to_string())).collect(),
        });
    }
    rows.push(Listed {
        name: typeset::math(name, &page.context).into(),
        entries: entries(shown),
    });
    // A value with its uncertainty is as wide as two without.
    let most = if shown.uncertainties.is_empty() { 4 } else { 2 };
    Set::List {
        rows,
        columns: count.div_ceil(count.div_ceil(most).max(1)).max(1),
    }
}

/// The formulas that a name of `work` was found by.
fn found_by<'p>(page: &'p Page, symbol: SymbolId) -> &'p [Expr] {
    let mut statements = page.placed.problem.statements();
    let found = statements.find_map(|statement| match &statement.body {
        Body::Work(work) if !work.members.is_empty() && work.lead.as_symbol() == Some(symbol) => {
            Some(&*work.members)
        }
        _ => None,
    });
    found.unwrap_or(&[])
}

/// The list that stands for a given, one entry for each entry of the result.
pub(super) fn listed(replacement: &Replacement) -> Option<&Shown> {
    match replacement {
        Replacement::Value(shown) => (shown.shape == Shape::List).then_some(shown),
        Replacement::Formula(_) => None,
    }
}
