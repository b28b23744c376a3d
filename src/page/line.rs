//! One line of `derive` or `work`: its rows, aligned on one equals sign.

use std::sync::Arc;

use super::notice::without_result;
use super::tree::{Block, Cell, Line, Manner, Row, Rung, Set, Table, TableKind, Text};
use super::{Page, derived, notice, prose, sketch, table, uncertain};
use crate::evaluate::Convergence;
use crate::quantity;
use crate::resolve::{Expr, ExprKind, FunctionId, ReadOff, Shape, SymbolId};
use crate::statistics::interpolate;
use crate::text::Series;
use crate::typeset::{self, Context, Width};
use crate::worksheet::{Body, Fit, PutIn, Replacement, Shown, Statement, System, Work};

/// A left side wider than this stands in a row with the rest, in em.
const WIDE_LEAD: Width = 8.0;

/// That an equation was held against no balance, because a line of its sketch was refused.
fn not_compared(page: &Page, statement: &Statement, line: &mut Line) {
    if let Some(refused) = statement.needs {
        let words = Text::new(notice::needs_line(page, refused));
        line.about.reason(words);
    }
}

/// The line of a statement.
pub(super) fn line(page: &Page, statement: &Statement) -> Line {
    let mut line = Line {
        id: Some(page.anchor(&statement.id)),
        rungs: Vec::new(),
        about: Text::default(),
        number: None,
        below: notice::list(page, &statement.diagnostics),
    };
    match &statement.body {
        Body::Equation {
            members,
            note,
            balance,
        } => {
            line.rungs.extend(equation(page, "", members));
            line.rungs
                .extend(note.map(|note| Rung::Remark(Text::new(format!("({note})")))));
            beside(page, statement, &mut line);
            if let Some(balance) = balance {
                derived::agreement(page, balance, &mut line.about);
            }
            not_compared(page, statement, &mut line);
        }
        Body::Function {
            function,
            body,
            table,
            ..
        } => {
            line.rungs.push(definition(page, *function, body, *table));
            beside(page, statement, &mut line);
        }
        Body::Work(work) => {
            beside(page, statement, &mut line);
            chain(page, statement, work, Some(result(page, work)), &mut line);
        }
        Body::Therefore {
            members,
            verdict,
            balance,
        } => {
            line.rungs.extend(equation(page, "∴", members));
            beside(page, statement, &mut line);
            derived::verdict(page, verdict, &mut line.about);
            if let Some(balance) = balance {
                derived::agreement(page, balance, &mut line.about);
            }
            not_compared(page, statement, &mut line);
        }
        Body::Solved(solved) => line.rungs = derived::solved(page, statement, solved),
        Body::Component { axis, of, members } => {
            line.rungs = derived::component(page, statement, *axis, *of, members);
        }
        Body::Balance { words, of, members } => {
            line.rungs = derived::balance(page, statement, words, *of, members);
        }
        Body::Shear(cut) => {
            let lines = cut.lines.iter();
            line.rungs = lines
                .map(|(function, pieces)| definition(page, *function, pieces, None))
                .collect();
            // The number of what became a figure stands below that.
            if cut.figure.is_none() && statement.label.as_ref().is_some_and(|it| !it.0.is_empty()) {
                line.number = page.number(statement);
            }
            line.about = prose::text(page, &statement.description);
        }
        Body::Dimensions(symbols) => line.rungs = derived::dimensions(page, statement, symbols),
        Body::System(system) => self::system(page, statement, system, &mut line),
        Body::Fit(fit) => {
            if let Some((_, number)) = &statement.label {
                let name = Series::Fit.reference(page.equation(*number));
                line.rungs.push(Rung::Remark(Text::new(name)));
            }
            if let Some((lead, rest)) = fit.members.split_first() {
                let rows = vec![sides(rest, &page.context), fitted(page, fit)];
                line.rungs.extend(rows_of(page, lead, rows));
            }
            line.rungs.extend(correlation(page, fit).map(Rung::Remark));
            let remarks = fit
                .remarks
                .iter()
                .map(|it| Rung::Remark(Text::new(it.clone())));
            line.rungs.extend(remarks);
            let scatter = uncertain::scatter(page, &fit.scatter);
            line.rungs.extend(scatter.into_iter().map(Rung::Remark));
            if let Some(deviation) = &fit.deviation {
                let mut text = Text::new("residual standard deviation ");
                text.formula(typeset::value(deviation));
                line.rungs.push(Rung::Remark(text));
            }
            line.about = prose::text(page, &statement.description);
        }
        Body::OfBlock => beside(page, statement, &mut line),
        // Without a result, or a form of another block.
        Body::Given { .. }
        | Body::Required { .. }
        | Body::Trend(_)
        | Body::Limit(_)
        | Body::Sensitivity(_)
        | Body::Table(_)
        | Body::Budget(_)
        | Body::Trials(_)
        | Body::Comparison(_)
        | Body::Correlation { .. }
        | Body::Check { .. }
        | Body::Answer { .. }
        | Body::Plot(_)
        | Body::Sketch(_)
        | Body::Varied(_)
        | Body::MayChange(_)
        | Body::Refused
        | Body::NotEvaluated { .. } => line.below = without_result(page, statement),
    }
    line
}

/// The right side of a fit with its parameters put in.
fn fitted(page: &Page, fit: &Fit) -> Text {
    let bare = |(symbol, shown): &(SymbolId, Arc<Shown>)| (*symbol, Arc::new(shown.bare()));
    let parameters: Vec<(SymbolId, Arc<Shown>)> = fit.parameters.iter().map(bare).collect();
    let context = page.context.with_operands(&parameters);
    sides(fit.members.iter().skip(1), &context)
}

/// "correlation r(*g*, *c*) = 0.93" of two parameters; more have a table.
fn correlation(page: &Page, fit: &Fit) -> Option<Text> {
    let [(one, _), (other, _)] = fit.parameters.as_slice() else {
        return None;
    };
    let coefficient = fit.numbers.correlations.last()?.first()?;
    let mut text = Text::new("correlation r(");
    text.formula(typeset::symbol(*one, &page.context));
    text.say(", ");
    text.formula(typeset::symbol(*other, &page.context));
    text.say(format!(
        ") = {}",
        quantity::to_figures(*coefficient, 2).text()
    ));
    Some(text)
}

/// The correlations of more than two parameters, in a triangle.
pub(super) fn correlations(page: &Page, statement: &Statement) -> Option<Block> {
    let Body::Fit(fit) = &statement.body else {
        return None;
    };
    let names: Vec<SymbolId> = fit.parameters.iter().map(|(symbol, _)| *symbol).collect();
    if names.len() < 3 {
        return None;
    }
    let name = |symbol: &SymbolId| Text::from(typeset::symbol(*symbol, &page.context));
    let (_, columns) = names.split_last()?;
    let rows = names.iter().zip(&fit.numbers.correlations).skip(1);
    let rows = rows.map(|(symbol, row)| {
        let numbers = row.iter().map(|it| quantity::to_figures(*it, 2).text());
        let numbers = numbers.chain(std::iter::repeat_n(
            String::new(),
            columns.len() - row.len(),
        ));
        let cells = std::iter::once(name(symbol)).chain(numbers.map(Text::new));
        Row::Cells(None, cells.map(Cell::from).collect())
    });
    Some(Block::Table(Table {
        kind: TableKind::Data,
        id: None,
        caption: Text::new("Correlations"),
        columns: std::iter::once(Text::default())
            .chain(columns.iter().map(name))
            .collect(),
        rows: rows.collect(),
    }))
}

/// Puts the description and the number beside a line.
fn beside(page: &Page, statement: &Statement, line: &mut Line) {
    line.about = prose::text(page, &statement.description);
    line.number = page.number(statement);
}

/// One of several lines of a statement.
pub(super) fn inner(rung: Option<Rung>, about: Text, number: Option<usize>) -> Rung {
    Rung::Line(Line {
        id: None,
        rungs: rung.into_iter().collect(),
        about,
        number,
        below: Vec::new(),
    })
}

/// The members after an equals sign, each in a piece of its own.
fn sides<'e>(members: impl IntoIterator<Item = &'e Expr>, context: &Context) -> Text {
    let mut text = Text::default();
    for member in members {
        text.piece(typeset::side("=", member, context).0.into());
    }
    text
}

/// The sides of an equation, with a quiet `mark` in front of the first.
pub(super) fn equation<'e>(
    page: &Page,
    mark: &str,
    members: impl IntoIterator<Item = &'e Expr>,
) -> Option<Rung> {
    let mut members = members.into_iter();
    let (first, width) = typeset::side("", members.next()?, &page.context);
    let mut lead = Text::default();
    if !mark.is_empty() {
        lead.span(Manner::Mark, Text::new(mark));
    }
    lead.formula(first);
    Some(Rung::Equation {
        lead,
        is_wide: width > WIDE_LEAD,
        right: sides(members, &page.context),
    })
}

fn definition(page: &Page, function: FunctionId, body: &Expr, table: Option<usize>) -> Rung {
    let context = page.context.in_function(function);
    let parameters = page
        .placed
        .problem
        .symbols
        .function(function)
        .parameters
        .len();
    let (lead, width) = typeset::function(function, parameters, &context);
    let right = match &body.kind {
        ExprKind::ReadOff(read_off) => self::read_off(page, read_off, table),
        _ => typeset::side("=", body, &context).0.into(),
    };
    Rung::Equation {
        lead: lead.into(),
        is_wide: width > WIDE_LEAD,
        right,
    }
}

/// ": Table 1, by straight lines", and without a table its lists.
fn read_off(page: &Page, read_off: &ReadOff, table: Option<usize>) -> Text {
    let mut text = Text::new(": ");
    match table {
        Some(number) => text.say(Series::Table.reference(page.equation(number))),
        None => {
            text.formula(typeset::math(&read_off.values, &page.context));
            text.say(" against ");
            text.formula(typeset::math(&read_off.places, &page.context));
        }
    }
    text.say(match read_off.way {
        interpolate::Way::Straight => ", by straight lines",
        interpolate::Way::Cubic => ", by cubic pieces that rise and fall with the rows",
    });
    text
}

/// The formula of a line whose results stand in a table below.
pub(super) fn without_result_of(page: &Page, statement: &Statement, work: &Work) -> Line {
    let mut line = Line {
        id: Some(page.anchor(&statement.id)),
        rungs: Vec::new(),
        about: Text::default(),
        number: None,
        below: notice::list(page, &statement.diagnostics),
    };
    beside(page, statement, &mut line);
    chain(page, statement, work, None, &mut line);
    line
}

/// A left side with what stands at its right: in one row where there is room, or each below the
/// one before.
fn rows_of(page: &Page, lead: &Expr, rows: Vec<Text>) -> Vec<Rung> {
    let (lead, width) = typeset::side("", lead, &page.context);
    let mut rows = rows.into_iter();
    let mut right = rows.next().unwrap_or_default();
    if page.is_compact() {
        for row in rows.by_ref() {
            right.put(Set::MayBreak);
            right.append(row);
        }
    }
    let first = Rung::Equation {
        lead: lead.into(),
        is_wide: width > WIDE_LEAD,
        right,
    };
    std::iter::once(first).chain(rows.map(Rung::Side)).collect()
}

/// A chain: its formulas, the numbers that are put in, what they are followed by, and beside them
/// where it is from.
fn chain(page: &Page, statement: &Statement, work: &Work, result: Option<Text>, line: &mut Line) {
    let mut rows: Vec<Text> = Vec::new();
    let is_list = work.told().shape == Shape::List;
    let has_numbers = work.put_in.is_some() || is_list;
    // Numbers right below their equation need not repeat it.
    let is_said = page.is_compact() && has_numbers && stands_above(page, statement, work);
    if !work.members.is_empty() && !is_said {
        rows.push(sides(&work.members, &page.context));
    }
    if let Some(put_in) = &work.put_in {
        let context = in_numbers(page, put_in);
        rows.push(sides(put_in.members(&work.members), &context));
    }
    let between = work.put_in.as_ref().and_then(|it| it.between.as_ref());
    let (listed, result) = match result {
        Some(result) if is_list => (Some(result), None),
        result => (None, result),
    };
    rows.extend(result.map(|result| {
        let mut both = Text::default();
        if let Some(between) = between {
            both.piece(typeset::result("=", between).into());
        }
        both.piece(result);
        both
    }));
    let found = (work.convergence.as_ref()).map(|found| solved(page, work, found));
    match found {
        Some(found) if rows.is_empty() && listed.is_none() => {
            // Roots that stand in a table below.
            let mut text = Text::from(typeset::side("", &work.lead, &page.context).0);
            text.say("\u{2060}, ");
            text.append(found);
            line.rungs.push(Rung::LeadIn(text));
        }
        found => {
            if !rows.is_empty() {
                line.rungs.extend(rows_of(page, &work.lead, rows));
            }
            line.rungs.extend(listed.map(Rung::Side));
            let reason = found.or_else(|| {
                let origin = work.from.and(work.origin)?;
                Some(derived::from(page, &[origin]))
            });
            if let Some(reason) = reason {
                line.about.reason(reason);
            }
        }
    }
    let rungs = &mut line.rungs;
    let scatter = uncertain::scatter(page, &work.scatter);
    rungs.extend(scatter.into_iter().map(Rung::Remark));
    if let Some((difference, is_more)) = work.left_out.as_deref() {
        let mut text = Text::new("the nearest rows give ");
        text.formula(typeset::value(difference));
        text.say(if *is_more { " more" } else { " less" });
        rungs.push(Rung::Remark(text));
    }
}

/// Whether the equation that a line is from stands right above it, in the block above.
fn stands_above(page: &Page, statement: &Statement, work: &Work) -> bool {
    let Some(from) = work.origin.and_then(|origin| page.statement(origin)) else {
        return false;
    };
    let above = page.placed.problem.part_above(statement.span);
    above.is_some_and(|above| {
        !from.id.is_shared && above.span.start <= from.span.start && from.span.end <= above.span.end
    })
}

/// What formulas are set with where numbers are put in.
pub(super) fn in_numbers<'a>(page: &Page<'a>, put_in: &'a PutIn) -> Context<'a> {
    let context = page.context.with_operands(&put_in.operands);
    context.with_literals(&put_in.literals)
}

/// "from (1), solved by numbers: 5 steps, sides agree to 2 × 10⁻¹⁶"
fn solved(page: &Page, work: &Work, found: &Convergence) -> Text {
    let mut text = Text::default();
    if let Some(origin) = work.from.and(work.origin) {
        text.append(derived::from(page, &[origin]));
        text.say(", ");
    }
    text.say(match found.is_by_row {
        true => "solved by numbers in each row: at most ",
        false => "solved by numbers: ",
    });
    convergence(found, &mut text);
    text
}

/// " = 3.006 m/s at Q = 40 L/s"; a list is a table.
fn result(page: &Page, work: &Work) -> Text {
    let shown = work.told();
    let mut text = Text::default();
    if shown.shape == Shape::List {
        text.put(table::list(
            page,
            &work.lead,
            &work.members,
            &work.conditions,
            shown,
        ));
    } else {
        text.formula(typeset::result("=", shown));
    }
    let is_listed = |(_, replacement): &&(SymbolId, Replacement)| {
        shown.shape == Shape::List && table::listed(replacement).is_some()
    };
    let others = work.conditions.iter().filter(|it| !is_listed(it));
    prose::conditions(page, others, &mut text);
    if let Some(reads) = &work.reads {
        text.say(": ");
        sketch::phrase(page, reads, &mut text);
    }
    text
}

/// "5 steps, sides agree to 2 × 10⁻¹⁶"
fn convergence(convergence: &Convergence, text: &mut Text) {
    text.say(match convergence.iterations {
        1 => "1\u{a0}step, ".to_owned(),
        steps => format!("{steps}\u{a0}steps, "),
    });
    if convergence.difference == 0.0 {
        text.say("sides agree to the last digit");
    } else {
        text.say("sides agree to ");
        let number = typeset::number(convergence.difference, 1);
        text.span(Manner::Value, number.into());
    }
}

/// "(1), (2) solved by numbers for x, y:" and each value that no line below asks for, which shows
/// it in its own unit.
fn system(page: &Page, statement: &Statement, system: &System, line: &mut Line) {
    let mut reason = derived::from(page, &system.origins);
    reason.say(", solved by numbers for ");
    names(
        page,
        system.unknowns.iter().map(|(symbol, _)| *symbol),
        &mut reason,
    );
    convergence(&system.convergence, &mut reason);
    let unknowns = system.unknowns.iter();
    let mut own = unknowns.filter(|(symbol, _)| !is_asked(page, *symbol));
    let value = |(symbol, shown): &(SymbolId, Arc<Shown>)| Rung::Equation {
        lead: typeset::symbol(*symbol, &page.context).into(),
        is_wide: false,
        right: typeset::result("=", shown).into(),
    };
    match own.next() {
        Some(first) => {
            let mut about = prose::text(page, &statement.description);
            about.reason(reason);
            let first = inner(Some(value(first)), about, page.number(statement));
            line.rungs.push(first);
        }
        None => {
            beside(page, statement, line);
            line.about.reason(reason);
        }
    }
    (line.rungs).extend(own.map(|it| inner(Some(value(it)), Text::default(), None)));
}

/// Whether a line of `work` shows a name that has its value already.
fn is_asked(page: &Page, symbol: SymbolId) -> bool {
    let mut statements = page.placed.problem.statements();
    statements.any(|statement| match &statement.body {
        Body::Work(work) => {
            work.members.is_empty()
                && work.conditions.is_empty()
                && work.convergence.is_none()
                && work.lead.as_symbol() == Some(symbol)
        }
        _ => false,
    })
}

/// "x, y: "
fn names(page: &Page, symbols: impl Iterator<Item = SymbolId>, text: &mut Text) {
    for (index, symbol) in symbols.enumerate() {
        if index > 0 {
            text.say("\u{2060}, ");
        }
        text.formula(typeset::symbol(symbol, &page.context));
    }
    text.say("\u{2060}: ");
}
