//! One line of `derive` or `work`: its rows, aligned on one equals sign.

use std::sync::Arc;

use super::notice::without_result;
use super::tree::{Aside, Block, Cell, Line, Manner, Row, Rung, Set, Table, TableKind, Text};
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
        line.has_words = true;
        let words = Text::new(notice::needs_line(page, refused));
        line.about.put(Set::OwnLine(Aside::Verdict, words));
    }
}

/// The line of a statement.
pub(super) fn line(page: &Page, statement: &Statement) -> Line {
    let mut line = Line {
        id: Some(page.anchor(&statement.id)),
        has_words: !statement.description.is_empty(),
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
                line.has_words = true;
                derived::agreement(page, statement, balance, &mut line.about);
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
            line.rungs = self::work(page, work);
            beside(page, statement, &mut line);
        }
        Body::Therefore {
            members,
            verdict,
            balance,
        } => {
            line.rungs.extend(equation(page, "∴", members));
            beside(page, statement, &mut line);
            line.has_words = true;
            derived::verdict(page, statement, verdict, &mut line.about);
            if let Some(balance) = balance {
                derived::agreement(page, statement, balance, &mut line.about);
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
                line.number = number(page, statement);
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
            line.rungs.extend(equation(page, "", &fit.members));
            line.rungs.push(Rung::Side(fitted(page, fit)));
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
    line.number = number(page, statement);
}

/// The number of a labelled equation.
pub(super) fn number(page: &Page, statement: &Statement) -> Option<usize> {
    statement
        .label
        .as_ref()
        .map(|(_, number)| page.equation(*number))
}

/// One of several lines of a statement.
pub(super) fn inner(rung: Option<Rung>, about: Text, number: Option<usize>) -> Rung {
    Rung::Line(Line {
        id: None,
        has_words: !about.is_empty(),
        rungs: rung.into_iter().collect(),
        about,
        number,
        below: Vec::new(),
    })
}

/// The members after an equals sign, each in a piece of its own where there are several.
fn sides<'e>(
    members: impl IntoIterator<Item = &'e Expr, IntoIter: ExactSizeIterator>,
    context: &Context,
) -> Text {
    let members = members.into_iter();
    let is_only = members.len() == 1;
    let mut text = Text::default();
    for member in members {
        let (side, _) = typeset::side("=", member, context);
        if is_only {
            text.formula(side);
        } else {
            text.span(Manner::Piece, side.into());
            text.put(Set::MayBreak);
        }
    }
    text
}

/// The sides of an equation, with a quiet `mark` in front of the first.
pub(super) fn equation<'e>(
    page: &Page,
    mark: &str,
    members: impl IntoIterator<Item = &'e Expr, IntoIter: ExactSizeIterator>,
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
        has_words: !statement.description.is_empty(),
        rungs: rungs(page, work, None),
        about: Text::default(),
        number: None,
        below: notice::list(page, &statement.diagnostics),
    };
    beside(page, statement, &mut line);
    line
}

fn work(page: &Page, work: &Work) -> Vec<Rung> {
    rungs(page, work, Some(result(page, work)))
}

/// The formulas of a line with what they are followed by.
fn rungs(page: &Page, work: &Work, result: Option<Text>) -> Vec<Rung> {
    let (lead, width) = typeset::side("", &work.lead, &page.context);
    let mut rights = Vec::new();
    if !work.members.is_empty() {
        let mut symbols = sides(&work.members, &page.context);
        if let Some(number) = work.from {
            symbols.say(" ");
            symbols.span(
                Manner::Quiet,
                Text::new(format!("from\u{a0}({})", page.equation(number))),
            );
        }
        rights.push(symbols);
        if let Some(put_in) = &work.put_in {
            let context = in_numbers(page, put_in);
            rights.push(sides(put_in.members(&work.members), &context));
        }
    }
    let between = work.put_in.as_ref().and_then(|it| it.between.as_ref());
    rights.extend(result.map(|result| match between {
        None => result,
        Some(between) => {
            let mut both = Text::default();
            both.span(Manner::Piece, typeset::result("=", between).into());
            both.put(Set::MayBreak);
            both.span(Manner::Piece, result);
            both
        }
    }));
    let mut rungs = Vec::new();
    let mut rights = rights.into_iter();
    match (rights.next(), &work.convergence) {
        // Roots that stand in a table below.
        (None, Some(convergence)) => {
            let mut text = Text::from(lead);
            text.say("\u{2060}, ");
            text.append(solved(page, work, convergence));
            rungs.push(Rung::LeadIn(text));
        }
        (first, convergence) => {
            rungs.push(Rung::Equation {
                lead: lead.into(),
                is_wide: width > WIDE_LEAD,
                right: first.unwrap_or_default(),
            });
            rungs.extend(rights.map(Rung::Side));
            let found = convergence.as_ref();
            rungs.extend(found.map(|found| Rung::Found(solved(page, work, found))));
        }
    }
    let scatter = uncertain::scatter(page, &work.scatter);
    rungs.extend(scatter.into_iter().map(Rung::Remark));
    if let Some((difference, is_more)) = work.left_out.as_deref() {
        let mut text = Text::new("the nearest rows give ");
        text.formula(typeset::value(difference));
        text.say(if *is_more { " more" } else { " less" });
        rungs.push(Rung::Remark(text));
    }
    rungs
}

/// What formulas are set with where numbers are put in.
pub(super) fn in_numbers<'a>(page: &Page<'a>, put_in: &'a PutIn) -> Context<'a> {
    let context = page.context.with_operands(&put_in.operands);
    context.with_literals(&put_in.literals)
}

/// "from (1), solved by numbers: 5 steps, sides agree to 2 × 10⁻¹⁶"
fn solved(page: &Page, work: &Work, found: &Convergence) -> Text {
    let mut text = Text::default();
    if let Some(number) = work.from {
        text.say(format!("from\u{a0}({}), ", page.equation(number)));
    }
    text.say(match found.is_by_row {
        true => "solved by numbers in each row: at most ",
        false => "solved by numbers: ",
    });
    convergence(found, &mut text);
    text
}

/// " = 3.006 m/s at Q = 40 L/s"
fn result(page: &Page, work: &Work) -> Text {
    let shown = work.claim.as_deref().unwrap_or(&work.shown);
    let mut text = Text::default();
    if shown.shape == Shape::List {
        let mut listed = Text::from(typeset::sign("="));
        listed.put(table::list(page, shown, &work.conditions));
        text.span(Manner::Listed, listed);
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
    let numbers = (system.numbers.iter()).map(|number| format!("({})", page.equation(*number)));
    let mut lead_in = Text::new(numbers.collect::<Vec<String>>().join(", "));
    lead_in.say(" solved by numbers for ");
    names(
        page,
        system.unknowns.iter().map(|(symbol, _)| *symbol),
        &mut lead_in,
    );
    line.rungs.push(Rung::LeadIn(lead_in));
    let unknowns = system.unknowns.iter();
    let mut own = unknowns.filter(|(symbol, _)| !is_asked(page, *symbol));
    let value = |(symbol, shown): &(SymbolId, Arc<Shown>)| Rung::Equation {
        lead: typeset::symbol(*symbol, &page.context).into(),
        is_wide: false,
        right: typeset::result("=", shown).into(),
    };
    match own.next() {
        Some(first) => {
            let about = prose::text(page, &statement.description);
            let first = inner(Some(value(first)), about, number(page, statement));
            line.rungs.push(first);
        }
        None => beside(page, statement, line),
    }
    (line.rungs).extend(own.map(|it| inner(Some(value(it)), Text::default(), None)));
    let mut found = Text::default();
    convergence(&system.convergence, &mut found);
    line.rungs.push(Rung::Found(found));
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

/// "x, y:"
pub(super) fn names(page: &Page, symbols: impl Iterator<Item = SymbolId>, text: &mut Text) {
    for (index, symbol) in symbols.enumerate() {
        if index > 0 {
            text.say("\u{2060}, ");
        }
        text.formula(typeset::symbol(symbol, &page.context));
    }
    text.say("\u{2060}:");
}
