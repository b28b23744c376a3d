//! Lines of `derive` beyond equations: steps of the author with their verdicts, steps of the
//! engine, components, dimensions.

use super::line::{equation, inner};
use super::tree::{Cell, Manner, Row, Rung, Set, Table, TableKind, Text};
use super::{Page, prose};
use crate::algebra::Wanted;
use crate::proofs::{Agreement, Ground, Verdict};
use crate::quantity::Dimension;
use crate::resolve::statement::{Bound, Branch, Origin, Solved, Step};
use crate::resolve::{Expr, ExprKind, SymbolId};
use crate::syntax::Axis;
use crate::text::Series;
use crate::typeset;
use crate::worksheet::{Balanced, Statement};

/// Whether a step follows, beside it.
pub(super) fn verdict(page: &Page, verdict: &Verdict, about: &mut Text) {
    let mut text = Text::default();
    match verdict {
        Verdict::Follows {
            by,
            leaned,
            taking,
            not_zero,
        } => {
            text.say("✓ ");
            follows(page, by, &mut text);
            for (index, symbol) in taking.iter().enumerate() {
                text.say(if index == 0 { "\u{2060}, for " } else { ", " });
                more_than_zero(page, *symbol, &mut text);
            }
            for (index, divisor) in not_zero.iter().enumerate() {
                let first = index == 0 && taking.is_empty();
                text.say(if first { "\u{2060}, for " } else { ", " });
                text.formula(typeset::math(divisor, &page.context));
                text.say(" ≠ 0");
            }
            self::leaned(page, leaned, "\u{2060}; ", &mut text);
        }
        Verdict::DoesNotFollow { .. } => {
            text.say("✗ ");
            text.strong("does not follow");
        }
        Verdict::NotDecided(_) => text.say("not decided"),
    }
    about.reason(text);
}

/// "follows from (1), (3) and the definition of A, with p₂ = 0"
fn follows(page: &Page, by: &[Ground], text: &mut Text) {
    if by.is_empty() {
        text.say("an identity");
        return;
    }
    text.say("follows");
    let (values, sources): (Vec<&Ground>, Vec<&Ground>) = by
        .iter()
        .partition(|ground| matches!(ground, Ground::Value(_)));
    for (index, ground) in sources.iter().enumerate() {
        text.say(match index {
            0 => " from ",
            _ if index + 1 < sources.len() => "\u{2060}, ",
            _ => " and ",
        });
        match ground {
            Ground::Equation(origin) => text.put(source(page, *origin)),
            Ground::Definition(symbol) | Ground::Value(symbol) => {
                text.say("the definition of\u{a0}");
                text.formula(typeset::symbol(*symbol, &page.context));
            }
        }
    }
    for (index, ground) in values.iter().enumerate() {
        text.say(match index {
            0 if sources.is_empty() => " with ",
            0 => "\u{2060}, with ",
            _ => "\u{2060}, ",
        });
        let Ground::Value(symbol) = ground else {
            continue;
        };
        value(page, *symbol, text);
    }
}

/// "from (1), (2)", with links.
pub(super) fn from(page: &Page, origins: &[Origin]) -> Text {
    let mut text = Text::new("from\u{a0}");
    for (index, origin) in origins.iter().enumerate() {
        text.say(if index > 0 { ", " } else { "" });
        text.put(source(page, *origin));
    }
    text
}

/// An equation that something follows from, with a link: "(1)".
fn source(page: &Page, origin: Origin) -> Set {
    let cited = page.statement(origin);
    let number = cited.and_then(|cited| page.number(cited));
    match (cited, number) {
        (Some(cited), Some(number)) => Set::Cited {
            id: page.anchor(&cited.id),
            words: String::new(),
            number,
        },
        _ => Set::Words(Text::new("an equation that is not shown")),
    }
}

/// `p₂ = 0`, as it was given.
fn value(page: &Page, symbol: SymbolId, text: &mut Text) {
    let mut value = Text::default();
    match page.given(symbol) {
        Some(shown) => prose::equals(page, symbol, shown, &mut value),
        None => value.formula(typeset::symbol(symbol, &page.context)),
    }
    text.span(Manner::Value, value);
}

fn more_than_zero(page: &Page, symbol: SymbolId, text: &mut Text) {
    let name = typeset::symbol(symbol, &page.context);
    let condition = typeset::told(name, ">", typeset::literal("0"));
    text.span(Manner::Value, condition.into());
}

/// "uses that h is positive", "uses that h and V are positive, p₂ is zero", after `opening`;
/// nothing where there is nothing that it leans on.
fn leaned(page: &Page, symbols: &[SymbolId], opening: &str, text: &mut Text) {
    let mut opening = format!("{opening}uses that ");
    for sign in ["positive", "negative", "zero"] {
        let own: Vec<&SymbolId> = symbols
            .iter()
            .filter(|symbol| self::sign(page, **symbol) == sign)
            .collect();
        for (index, symbol) in own.iter().enumerate() {
            text.say(match index {
                0 => std::mem::replace(&mut opening, ", ".to_owned()),
                _ if index + 1 < own.len() => "\u{2060}, ".to_owned(),
                _ => " and ".to_owned(),
            });
            text.formula(typeset::symbol(**symbol, &page.context));
        }
        match own.len() {
            0 => continue,
            1 => text.say(" is "),
            _ => text.say(" are "),
        }
        text.say(sign);
    }
}

/// The sign of a symbol by its datum; what has none is known to be positive by a condition.
fn sign(page: &Page, symbol: SymbolId) -> &'static str {
    match page.given(symbol).and_then(|shown| shown.si.first()) {
        Some(value) if *value < 0.0 => "negative",
        Some(value) if *value == 0.0 => "zero",
        _ => "positive",
    }
}

/// The steps, and each solution, with the equations that they are from beside the first.
pub(super) fn solved(page: &Page, statement: &Statement, solved: &Solved) -> Vec<Rung> {
    let mut from = Some(from(page, &solved.origins));
    let mut rungs: Vec<Rung> = (solved.steps.iter())
        .map(|it| step(page, it, from.take()))
        .collect();
    let shown: Vec<&Branch> = (solved.branches.iter())
        .filter(|branch| !branch.is_aside)
        .collect();
    let last = shown.len().saturating_sub(1);
    let mut said = Text::default();
    for (index, branch) in shown.into_iter().enumerate() {
        let remarks = remarks(page, solved, branch);
        let mut about = Text::default();
        if index == 0 {
            about = prose::text(page, &statement.description);
        }
        let mut reason = from.take().unwrap_or_default();
        // What was said of the solution before need not be said again.
        if remarks != said {
            if !reason.is_empty() && !remarks.is_empty() {
                reason.say("\u{2060}; ");
            }
            reason.append(remarks.clone());
        }
        if !reason.is_empty() {
            about.reason(reason);
        }
        let way = Way {
            mark: if index > 0 { "or" } else { "" },
            about,
            number: page.number(statement).filter(|_| index == last),
        };
        rungs.extend(self::branch(page, solved, branch, way));
        said = remarks;
    }
    rungs
}

/// An equation between, with what was done at its right.
fn step(page: &Page, step: &Step, from: Option<Text>) -> Rung {
    let mut about = Text::default();
    if let Some(from) = from {
        about.append(from);
        about.say(": ");
    }
    about.say(step.words.clone());
    if let Some(with) = &step.with {
        about.say(" ");
        about.formula(typeset::side("", with, &page.context).0);
    }
    inner(equation(page, "", [&step.left, &step.right]), about, None)
}

/// What stands around the formulas of one solution.
struct Way {
    /// In front of the first.
    mark: &'static str,
    /// At the right of the first.
    about: Text,
    /// At the right of the last.
    number: Option<usize>,
}

/// The formulas of one solution.
fn branch(page: &Page, solved: &Solved, branch: &Branch, mut way: Way) -> Vec<Rung> {
    let last = solved.unknowns.len().saturating_sub(1);
    let formulas = solved.unknowns.iter().zip(&branch.formulas).enumerate();
    formulas
        .map(|(index, (symbol, formula))| {
            let lead = Expr {
                span: formula.span,
                kind: ExprKind::Symbol(*symbol),
            };
            let mark = std::mem::take(&mut way.mark);
            let about = std::mem::take(&mut way.about);
            let number = way.number.filter(|_| index == last);
            inner(equation(page, mark, [&lead, formula]), about, number)
        })
        .collect()
}

/// What a solution rests on.
fn remarks(page: &Page, solved: &Solved, branch: &Branch) -> Text {
    let mut parts = Vec::new();
    parts.extend((branch.bounds.iter()).map(|bound| where_bound(page, bound)));
    let divisors =
        (branch.not_zero.iter()).filter(|divisor| holds_a_sum(divisor) || !branch.shows(divisor));
    for divisor in divisors {
        let mut part = Text::new("where ");
        part.formula(typeset::side("", divisor, &page.context).0);
        part.say("\u{2060}");
        part.formula(typeset::compared("≠", "0"));
        parts.push(part);
    }
    if branch.is_open {
        parts.push(Text::new("where it meets the condition"));
    } else if branch.chosen {
        parts.push(Text::new("the solution that meets the condition"));
    }
    let is_in_range = |wanted: &Wanted| wanted.range().is_some();
    if branch.is_principal && !solved.wanted.iter().any(is_in_range) {
        parts.push(Text::new(
            "the principal value; other angles satisfy it, too",
        ));
    } else if branch.leaves_turns {
        parts.push(Text::new(
            "further turns of the angles that were left out were not tried",
        ));
    }
    let mut part = Text::default();
    leaned(page, &branch.leaned, "", &mut part);
    if !part.is_empty() {
        parts.push(part);
    }
    let mut all = Text::default();
    for (index, part) in parts.into_iter().enumerate() {
        if index > 0 {
            all.say("\u{2060}; ");
        }
        all.append(part);
    }
    all
}

/// "where 4 − x ≥ 0"
fn where_bound(page: &Page, bound: &Bound) -> Text {
    let side = |expr: &Expr| typeset::side("", expr, &page.context).0;
    let sign = if bound.is_strict { ">" } else { "≥" };
    let mut part = Text::new("where ");
    match (&bound.low, &bound.high) {
        (Some(low), Some(high)) => {
            part.formula(side(low));
            part.say(" ≤ ");
            part.formula(side(&bound.value));
            part.say(" ≤ ");
            part.formula(side(high));
        }
        _ => {
            part.formula(side(&bound.value));
            part.say("\u{2060}");
            part.formula(typeset::compared(sign, "0"));
        }
    }
    part
}

/// Whether a divisor can vanish by its terms: that a symbol alone must not be zero, everyone sees.
fn holds_a_sum(expr: &Expr) -> bool {
    if matches!(expr.kind, ExprKind::Sum(_)) {
        return true;
    }
    let mut found = false;
    expr.for_each_part(|part| found |= holds_a_sum(part));
    found
}

/// The equation, and "x component of (2)".
pub(super) fn component(
    page: &Page,
    statement: &Statement,
    axis: Axis,
    of: usize,
    members: &[Expr],
) -> Vec<Rung> {
    let mut reason = Text::from(typeset::axis(axis));
    reason.say(format!(" component of\u{a0}({})", page.equation(of)));
    reasoned(page, statement, reason, members)
}

/// A balance of a sketch, written out.
pub(super) fn balance(
    page: &Page,
    statement: &Statement,
    words: &str,
    of: usize,
    members: &[Expr],
) -> Vec<Rung> {
    let what = words.split(" of ").next().unwrap_or(words);
    let figure = Series::Figure.reference(page.equation(of));
    let reason = Text::new(format!("{what} of {figure}"));
    reasoned(page, statement, reason, members)
}

/// An equation with a ground.
fn reasoned(page: &Page, statement: &Statement, reason: Text, members: &[Expr]) -> Vec<Rung> {
    let mut about = prose::text(page, &statement.description);
    about.reason(reason);
    let equation = equation(page, "", members);
    vec![inner(equation, about, page.number(statement))]
}

/// "✓ agrees with Figure 1, with (2)"
pub(super) fn agreement(page: &Page, held: &Balanced, about: &mut Text) {
    let figure = Series::Figure.reference(page.equation(held.of));
    let mut text = Text::default();
    match &held.agreement {
        Agreement::Agrees { with } => {
            text.say(format!("✓ agrees with {figure}"));
            for (index, ground) in with.iter().enumerate() {
                text.say(if index == 0 {
                    "\u{2060}, with "
                } else {
                    " and "
                });
                if let Ground::Equation(origin) = ground {
                    text.put(source(page, *origin));
                }
            }
        }
        Agreement::Differs(_) => {
            text.say("✗ ");
            text.strong(&format!("differs from {figure}"));
        }
        Agreement::Another(words) => text.say(format!("not decided: this is {words}")),
        Agreement::NotDecided => text.say("not decided"),
    }
    about.reason(text);
}

/// The dimensions of symbols as a small table.
pub(super) fn dimensions(
    page: &Page,
    statement: &Statement,
    symbols: &[(SymbolId, Option<Dimension>)],
) -> Vec<Rung> {
    let row = |(symbol, dimension): &(SymbolId, Option<Dimension>)| {
        let (name, unit) = match dimension {
            Some(dimension) => {
                let noun = dimension.noun().map(str::to_owned);
                let name = noun.unwrap_or_else(|| dimension.formula());
                (name, dimension.symbol())
            }
            None => ("open".to_owned(), String::new()),
        };
        let symbol = typeset::symbol(*symbol, &page.context).into();
        let texts = [symbol, Text::new(name), Text::new(unit)];
        Row::Cells(None, texts.map(Cell::from).into())
    };
    let table = Rung::Table(Table {
        kind: TableKind::Dimensions,
        id: None,
        caption: Text::new("Dimensions"),
        columns: ["Symbol", "Dimension", "SI unit"].map(Text::new).into(),
        rows: symbols.iter().map(row).collect(),
    });
    let words = prose::text(page, &statement.description);
    let words = (!words.is_empty()).then_some(Rung::Words(words));
    std::iter::once(table).chain(words).collect()
}
