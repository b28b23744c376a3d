//! The machine-readable report: one JSON array with an object for each worksheet.
//!
//! The types here are made for the wire and are not used inside the engine. Printed values are
//! plain text; `value` is in `unit` and `si` in coherent SI units, both at full precision.

use std::sync::OnceLock;

use serde::Serialize;

use super::recalculated::{self, Recalculated};
use super::sense::trend_words;
use super::{Page, plot, sketch};
use crate::algebra::Sign;
use crate::diagnostic::{Diagnostic, Fix, Severity};
use crate::evaluate;
use crate::proofs::{Agreement, Ground, Verdict};
use crate::quantity::{Mark, to_figures};
use crate::resolve::statement::{Bound, Branch, End, Origin, Solved, Way};
use crate::resolve::{Expr, ExprKind, Shape, SymbolId, Typed};
use crate::syntax::BlockKind;
use crate::text::{Series, Source, Span};
use crate::typeset::{Names, text};
use crate::worksheet::{
    Balanced, Body, Budget, BudgetRow, Comparison, Entries, Fit, Limit, PartKind, Placed, Problem,
    Replacement, Shown, Spread, Standing, Statement, Table, TableColumn, Trend, Turned, Worksheet,
};

#[derive(Serialize)]
struct Report<'a> {
    worksheet: &'a str,
    results: Vec<Outcome>,
    checks: Vec<Check>,
    steps: Vec<Step>,
    answers: Vec<Answer>,
    budgets: Vec<Budgeted>,
    fits: Vec<FitFound>,
    trials: Vec<Drawn>,
    tables: Vec<TableFound<'a>>,
    entries: Vec<Entry<'a>>,
    figures: Vec<Figure>,
    balances: Vec<Balance<'a>>,
    diagnostics: Vec<Finding<'a>>,
    /// Where that was asked.
    #[serde(skip_serializing_if = "Option::is_none")]
    recalculated: Option<Vec<KeyedIn<'a>>>,
}

/// A line of numbers that was keyed into a calculator.
#[derive(Serialize)]
struct KeyedIn<'a> {
    line: usize,
    /// What was keyed in; null where it cannot be, and why.
    keys: Option<&'a str>,
    not_keyed: Option<&'a str>,
    /// What that gave, and what is printed; null of a relation of a check, which holds.
    gives: Option<f64>,
    printed: Option<f64>,
    /// How far they are apart, in units of the last place that is printed; null where there is none.
    off: Option<f64>,
    differs: bool,
}

impl<'a> KeyedIn<'a> {
    fn of(found: &'a Recalculated) -> Self {
        let bare = Self {
            line: found.line,
            keys: None,
            not_keyed: None,
            gives: None,
            printed: None,
            off: None,
            differs: found.differs(),
        };
        match &found.outcome {
            recalculated::Outcome::Gave {
                keys,
                number,
                printed,
                off,
            } => Self {
                keys: Some(keys),
                gives: Some(*number),
                printed: Some(*printed),
                off: off.is_finite().then_some(*off),
                ..bare
            },
            recalculated::Outcome::Held { keys, off } => Self {
                keys: Some(keys),
                off: off.is_finite().then_some(*off),
                ..bare
            },
            recalculated::Outcome::Keyless(why) => Self {
                not_keyed: Some(why),
                ..bare
            },
        }
    }
}

/// A fit. Covariances, residuals and their deviation are in coherent SI units.
#[derive(Serialize)]
struct FitFound {
    label: Option<String>,
    line: usize,
    parameters: Vec<FitParameter>,
    covariance: Vec<Vec<f64>>,
    degrees_of_freedom: f64,
    residual_deviation: Option<f64>,
    chi_squared: Option<f64>,
    steps: u32,
    weighted: &'static str,
    /// The rows that take part, counted from 1, and their residuals.
    rows: Option<Vec<usize>>,
    residuals: Option<Vec<f64>>,
}

#[derive(Serialize)]
struct FitParameter {
    name: String,
    value: Numbers,
    unit: String,
    uncertainty: Option<Numbers>,
    si: f64,
    si_uncertainty: f64,
}

/// A table of readings.
#[derive(Serialize)]
struct TableFound<'a> {
    label: Option<&'a str>,
    number: Option<usize>,
    line: usize,
    /// The file in which it stands, and its hash.
    file: Option<&'a str>,
    sha256: Option<String>,
    rows: usize,
    columns: Vec<ColumnFound<'a>>,
    read_together: Vec<Vec<&'a str>>,
    left_out: Vec<RowLeftOut<'a>>,
}

/// A column of a table: readings in a unit, times in a pattern, or words.
#[derive(Serialize)]
struct ColumnFound<'a> {
    name: &'a str,
    unit: Option<&'a str>,
    datum: Option<&'static str>,
    /// Null where they are many; so too below.
    values: Option<Entered<'a>>,
    /// The standard uncertainty of each reading, and the part of it that all share.
    uncertainty: Option<Vec<f64>>,
    common: Option<Vec<f64>>,
}

/// What stands in the rows of a column; null where nothing does.
#[derive(Serialize)]
#[serde(untagged)]
enum Entered<'a> {
    Numbers(Vec<Option<f64>>),
    Words(Vec<Option<&'a str>>),
}

#[derive(Serialize)]
struct RowLeftOut<'a> {
    row: usize,
    reason: &'a str,
}

/// How much of long lists is told.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Extent {
    /// Lists of at most [`MOST_VALUES`].
    Short,
    /// All.
    Full,
}

/// The most values of a list that are told unasked.
const MOST_VALUES: usize = 10_000;

impl Extent {
    fn tells(self, values: usize) -> bool {
        self == Self::Full || values <= MOST_VALUES
    }
}

/// An entry of a notebook.
#[derive(Serialize)]
struct Entry<'a> {
    date: String,
    title: &'a str,
    /// How it stands to its seal: `as sealed`, `altered`, `not sealed`.
    sealed: &'static str,
}

/// A figure of the page.
#[derive(Serialize)]
struct Figure {
    number: usize,
    label: Option<String>,
    line: usize,
    form: &'static str,
    title: String,
    description: String,
    /// What a sketch is of.
    #[serde(skip_serializing_if = "Option::is_none")]
    kind: Option<&'static str>,
    /// The names of a sketch that came out the other way than they were drawn.
    #[serde(skip_serializing_if = "Option::is_none")]
    turned: Option<Vec<String>>,
}

/// An equation that is meant to be a balance of a sketch.
#[derive(Serialize)]
struct Balance<'a> {
    line: usize,
    /// The label of the sketch.
    of: &'a str,
    /// `x`, `y`, `moments about A`.
    what: &'a str,
    verdict: &'static str,
    /// The lines of the balances that were needed.
    with: Vec<usize>,
    /// The balance that it is instead.
    another: Option<&'a str>,
    /// What differs: the code of the slip, and a sentence.
    differences: Vec<Differing<'a>>,
}

#[derive(Serialize)]
struct Differing<'a> {
    code: &'static str,
    what: &'a str,
}

/// A computed quantity.
#[derive(Serialize)]
struct Outcome {
    name: String,
    line: usize,
    problem: Option<String>,
    value: Numbers,
    unit: String,
    /// What it counts from: `gauge`, `abs` or `difference`.
    datum: Option<&'static str>,
    uncertainty: Option<Numbers>,
    uncertainty_unit: Option<String>,
    /// What each source contributes to the uncertainty, in its unit, the largest first; null of a
    /// list.
    contributions: Option<Vec<Contributed>>,
    /// Null where nothing is uncertain, for infinitely many, and where they cannot be told.
    degrees_of_freedom: Option<f64>,
    coverage: Option<Coverage>,
    si: Numbers,
    dimension: String,
    printed: String,
    figures: u8,
}

/// The interval that is printed, where it is not one standard uncertainty.
#[derive(Serialize)]
struct Coverage {
    factor: f64,
    level: Option<f64>,
}

/// What a source contributes to a result.
#[derive(Serialize)]
struct Contributed {
    source: String,
    contribution: f64,
}

/// What a source contributes to a result, in its unit.
#[derive(Serialize)]
struct Contribution {
    source: String,
    contribution: f64,
    share: f64,
}

/// The distribution of a result by trials, in coherent SI units.
#[derive(Serialize)]
struct Drawn {
    line: usize,
    name: String,
    count: u64,
    mean: f64,
    uncertainty: f64,
    shortest: (f64, f64),
    symmetric: (f64, f64),
    first_order: (f64, f64),
    first_order_serves: bool,
    settled: bool,
}

/// What the sources of error contribute to a result.
#[derive(Serialize)]
struct Budgeted {
    line: usize,
    name: String,
    unit: String,
    contributions: Vec<Contribution>,
}

/// A number, or an array for a list. What is not finite is null.
#[derive(Serialize)]
#[serde(untagged)]
enum Numbers {
    One(Option<f64>),
    List(Vec<f64>),
}

/// A step of a derivation that the author wrote, or one of the solutions that the engine wrote.
#[derive(Serialize)]
struct Step {
    line: usize,
    text: String,
    verdict: &'static str,
    /// The numbers of the equations that it follows from; those without a number are left out.
    by: Vec<usize>,
    /// What it follows under: `V > 0`, `x ≠ 0`, `p_2 = 0 kPa`.
    conditions: Vec<String>,
}

#[derive(Serialize)]
struct Check {
    line: usize,
    text: String,
    holds: bool,
    left: String,
    right: String,
    /// Of lists the row that is shown, from 1: the nearest to failing.
    #[serde(skip_serializing_if = "Option::is_none")]
    row: Option<usize>,
    #[serde(flatten)]
    compared: Option<Compared>,
}

/// What came of a comparison by uncertainties, in coherent SI units.
#[derive(Serialize)]
struct Compared {
    verdict: &'static str,
    difference: f64,
    uncertainty: f64,
    coverage_factor: f64,
    /// Null for infinitely many, and where they cannot be told.
    degrees_of_freedom: Option<f64>,
}

#[derive(Serialize)]
struct Answer {
    name: String,
    value: Numbers,
    unit: String,
    datum: Option<&'static str>,
    uncertainty: Option<Numbers>,
    uncertainty_unit: Option<String>,
    printed: String,
    direction: Option<String>,
}

#[derive(Serialize)]
struct Finding<'a> {
    #[serde(flatten)]
    said: Said<'a>,
    fixes: Vec<Repair<'a>>,
}

/// A message, for machines.
#[derive(Debug, Serialize)]
pub struct Said<'a> {
    code: &'static str,
    severity: &'static str,
    message: &'a str,
    help: Option<&'a str>,
    line: usize,
    column: usize,
    end_line: usize,
    end_column: usize,
}

/// What can be written instead.
#[derive(Serialize)]
struct Repair<'a> {
    title: &'a str,
    decision: &'static str,
    edits: Vec<Change<'a>>,
}

/// A place, and the text in its place.
#[derive(Serialize)]
struct Change<'a> {
    line: usize,
    column: usize,
    end_line: usize,
    end_column: usize,
    text: &'a str,
}

/// The report on some worksheets as JSON, without the values of lists that are long.
pub fn report(worksheets: &[Worksheet]) -> String {
    report_with(worksheets, &[], false)
}

/// The report on some worksheets as JSON, with all values.
pub fn full_report(worksheets: &[Worksheet]) -> String {
    report_with(worksheets, &[], true)
}

/// The report on some worksheets as JSON, with the lines of each that were keyed into a calculator,
/// where they were, and with all values if it is `full`.
pub fn report_with(
    worksheets: &[Worksheet],
    recalculated: &[Vec<Recalculated>],
    full: bool,
) -> String {
    let extent = if full { Extent::Full } else { Extent::Short };
    let reports = worksheets.iter().enumerate().map(|(at, worksheet)| Report {
        recalculated: (recalculated.get(at)).map(|all| all.iter().map(KeyedIn::of).collect()),
        ..one(worksheet, extent)
    });
    let reports: Vec<Report> = reports.collect();
    // Strings, numbers and lists of them always have a JSON form.
    serde_json::to_string_pretty(&reports).unwrap_or_else(|_| "[]".to_owned())
}

fn entries(worksheet: &Worksheet) -> Vec<Entry<'_>> {
    let entries = worksheet.entries.iter();
    entries
        .map(|entry| Entry {
            date: entry.date.to_string(),
            title: &entry.title,
            sealed: match &entry.seal {
                Some(seal) => seal.standing.words(),
                None => Standing::NotSealed.words(),
            },
        })
        .collect()
}

/// The figures, in the order of the page.
fn figures(worksheet: &Worksheet) -> Vec<Figure> {
    let names = OnceLock::new();
    let mut found = Vec::new();
    for (placed, part) in worksheet.parts() {
        let pictures = placed.pictures_of(part).into_iter();
        found.extend(pictures.map(|(picture, number)| Figure {
            number,
            label: picture.label.clone(),
            line: worksheet.line(placed, picture.span),
            form: "picture",
            title: picture.caption.clone(),
            description: picture.image.words.clone(),
            kind: None,
            turned: None,
        }));
        // A line of `derive` that became a figure stands for itself.
        let (kind, blocks): (_, Vec<&[Statement]>) = match &part.kind {
            PartKind::Block {
                kind: kind @ (BlockKind::Plot | BlockKind::Sketch),
                statements,
            } => (*kind, vec![statements]),
            PartKind::Block { kind, statements } => {
                let found = statements.iter();
                let found = found.filter(|it| it.series(*kind) == Some(Series::Figure));
                (BlockKind::Derive, found.map(std::slice::from_ref).collect())
            }
            PartKind::Heading { .. } | PartKind::Prose(_) => continue,
        };
        for statements in blocks {
            let names: &Vec<Names> = names.get_or_init(|| super::names(worksheet));
            let drawn = names.get(placed.number).and_then(|names| {
                let page = Page::new(worksheet, placed, names, 0);
                drawn(&page, kind, statements)
            });
            found.extend(drawn);
        }
    }
    found
}

/// The figure that a block or a line of `derive` became.
fn drawn(page: &Page, kind: BlockKind, statements: &[Statement]) -> Option<Figure> {
    let first = statements.first()?;
    let (label, number) = first.label.as_ref()?;
    let sketch = match &first.body {
        Body::Sketch(sketch) => Some(sketch),
        _ => None,
    };
    let (drawing, title) = match kind {
        BlockKind::Sketch => (
            sketch::figure(page, statements).map(|figure| figure.wide),
            sketch::title(page, statements),
        ),
        BlockKind::Derive => (
            sketch::cut::figure(page, first).map(|figure| figure.wide),
            sketch::cut::title(page, first),
        ),
        _ => (
            plot::drawing(page, statements),
            plot::title(page, statements),
        ),
    };
    let key = |turned: &Turned| key(&page.placed.problem, turned.symbol).to_owned();
    Some(Figure {
        number: page.equation(*number),
        label: (!label.is_empty()).then(|| label.clone()),
        line: page.line(first.span),
        form: match kind {
            BlockKind::Derive => "diagram",
            _ => kind.word(),
        },
        title,
        description: drawing
            .map(|drawing| drawing.description)
            .unwrap_or_default(),
        kind: sketch.map(|sketch| sketch.sketch.kind.word()),
        turned: sketch.map(|sketch| {
            sketch
                .turned
                .iter()
                .filter(|it| it.is_turned)
                .map(key)
                .collect()
        }),
    })
}

fn one(worksheet: &Worksheet, extent: Extent) -> Report<'_> {
    let mut report = Report {
        worksheet: worksheet.source.name(),
        results: Vec::new(),
        checks: Vec::new(),
        steps: Vec::new(),
        answers: Vec::new(),
        budgets: Vec::new(),
        fits: Vec::new(),
        trials: Vec::new(),
        tables: Vec::new(),
        entries: entries(worksheet),
        figures: figures(worksheet),
        balances: Vec::new(),
        diagnostics: findings(worksheet),
        recalculated: None,
    };
    let statements = worksheet.statements();
    for (placed, statement) in statements.filter(|(_, it)| !it.is_of_versions) {
        let place = Place {
            worksheet,
            placed,
            extent,
        };
        add(place, statement, &mut report);
    }
    report
}

/// Where a statement stands.
#[derive(Clone, Copy)]
struct Place<'a> {
    worksheet: &'a Worksheet,
    placed: &'a Placed,
    extent: Extent,
}

impl<'a> Place<'a> {
    fn line(self, statement: &Statement) -> usize {
        self.worksheet.line(self.placed, statement.span)
    }

    fn slice(self, span: Span) -> &'a str {
        span.of(&self.placed.problem.text)
    }

    /// The number on the page of the equation at a place.
    fn number(self, origin: Origin) -> Option<usize> {
        let cited = self.placed.problem.statement(origin)?;
        self.placed.number_of(cited)
    }

    /// The label of the fit whose formula stands at a place.
    fn fit(self, place: Span) -> Option<&'a str> {
        let fit = self.placed.problem.fit_at(place)?;
        fit.label.as_ref().map(|(label, _)| label.as_str())
    }

    fn key(self, symbol: SymbolId) -> &'a str {
        &self.placed.problem.symbols.symbol(symbol).key
    }
}

fn add<'a>(place: Place<'a>, statement: &'a Statement, report: &mut Report<'a>) {
    match &statement.body {
        Body::Table(table) => report.tables.push(self::table(place, statement, table)),
        // Data that the author wrote are no results; what is computed from them is.
        Body::Given {
            symbol,
            formula: Some(_),
            shown,
            ..
        }
        | Body::Given {
            symbol,
            shown,
            from: Some(_),
            ..
        } => {
            let name = place.key(*symbol).to_owned();
            let outcome = outcome(place, statement, name, shown);
            report.results.push(outcome);
        }
        Body::Work(work) => {
            let name = name(place, &work.lead) + &conditions(place, &work.conditions);
            let outcome = outcome(place, statement, name, &work.shown);
            report.results.push(outcome);
        }
        Body::System(system) => {
            for (symbol, shown) in &system.unknowns {
                let name = place.key(*symbol).to_owned();
                let outcome = outcome(place, statement, name, shown);
                report.results.push(outcome);
            }
        }
        Body::Fit(fit) => report.fits.push(self::fit(place, statement, fit)),
        Body::Equation { balance, .. } => {
            let balance = balance.as_deref();
            report
                .balances
                .extend(balance.map(|it| self::balance(place, statement, it)));
        }
        Body::Therefore {
            members,
            verdict,
            balance,
        } => {
            let balance = balance.as_deref();
            report
                .balances
                .extend(balance.map(|it| self::balance(place, statement, it)));
            report.steps.push(step(place, statement, members, verdict));
        }
        Body::Solved(solved) => report.steps.extend(solutions(place, statement, solved)),
        Body::Trend(trend) => report.checks.push(self::trend(place, statement, trend)),
        Body::Limit(limit) => report.checks.push(self::limit(place, statement, limit)),
        Body::Comparison(found) => report.checks.push(comparison(place, statement, found)),
        Body::Trials(trials) => {
            let drawn = &trials.drawn;
            report.trials.push(Drawn {
                line: place.line(statement),
                name: name(place, &trials.subject),
                count: drawn.count,
                mean: drawn.mean,
                uncertainty: drawn.uncertainty,
                shortest: drawn.shortest,
                symmetric: drawn.symmetric,
                first_order: drawn.first.2,
                first_order_serves: drawn.serves,
                settled: drawn.is_settled,
            });
        }
        Body::Budget(budget) => report.budgets.push(budgeted(place, statement, budget)),
        Body::Check {
            members,
            relations,
            within,
            row,
            holds,
            apart: _,
        } => {
            let sources: Vec<&str> = members
                .iter()
                .map(|(member, _)| place.slice(member.span))
                .collect();
            let mut line = String::new();
            for (index, source) in sources.iter().enumerate() {
                let sign = index
                    .checked_sub(1)
                    .and_then(|before| relations.get(before));
                if let Some(sign) = sign {
                    line.push(' ');
                    line.push_str(sign.sign());
                    line.push(' ');
                }
                line.push_str(source);
            }
            if let Some(within) = within {
                line.push_str(" within ");
                line.push_str(place.slice(within.span));
            }
            let figures = |member: Option<&(Expr, Shown)>| {
                member.map_or_else(String::new, |(_, shown)| text(&shown.in_row(*row)))
            };
            report.checks.push(Check {
                line: place.line(statement),
                text: line,
                holds: *holds,
                left: figures(members.first()),
                right: figures(members.last()),
                row: row.map(|row| row + 1),
                compared: None,
            });
        }
        Body::Answer {
            expr,
            shown,
            direction,
            conditions,
        } => report.answers.push(Answer {
            name: name(place, expr) + &self::conditions(place, conditions),
            value: numbers(&shown.values, shown.shape),
            unit: unit(shown),
            datum: shown.datum(),
            uncertainty: uncertainty(shown),
            uncertainty_unit: uncertainty_unit(shown),
            printed: text(shown),
            direction: (direction.as_ref())
                .map(|direction| direction.0.plain(&place.placed.problem.text)),
        }),
        _ => {}
    }
}

fn table<'a>(place: Place<'a>, statement: &'a Statement, table: &'a Table) -> TableFound<'a> {
    let label = statement.label.as_ref();
    let read = table.file.as_deref().and_then(|path| {
        let mut files = place.placed.problem.files.iter();
        files.find(|file| file.path == path)
    });
    let left_out = table.left_out.iter().flat_map(|out| {
        let row = |row: &usize| RowLeftOut {
            row: row + 1,
            reason: &out.reason,
        };
        out.rows.iter().map(row)
    });
    let mut left_out: Vec<RowLeftOut<'_>> = left_out.collect();
    left_out.sort_by_key(|out| out.row);
    TableFound {
        label: label.map(|(label, _)| label.as_str()),
        number: label.map(|(_, number)| place.placed.equation(*number)),
        line: place.line(statement),
        file: table.file.as_deref(),
        sha256: read.and_then(|file| Some(file.found.as_ref().ok()?.to_string())),
        rows: table.rows,
        columns: (table.columns.iter())
            .filter_map(|column| self::column(place, table.rows, column))
            .collect(),
        read_together: (table.together.iter())
            .map(|names| names.iter().map(|name| place.key(*name)).collect())
            .collect(),
        left_out,
    }
}

/// A column; uncertainties of readings are told with these.
fn column<'a>(place: Place<'a>, rows: usize, column: &'a TableColumn) -> Option<ColumnFound<'a>> {
    let is_told = place.extent.tells(rows);
    let (symbol, unit, word, readings, times, own, shown) = match &column.entries {
        Entries::Words(words) => {
            let words = words.iter().map(|word| Some(&**word));
            return Some(ColumnFound {
                name: &column.heading,
                unit: None,
                datum: None,
                values: is_told.then(|| Entered::Words(words.collect())),
                uncertainty: None,
                common: None,
            });
        }
        Entries::Uncertainties { .. } => return None,
        Entries::Readings {
            symbol,
            unit,
            word,
            readings,
            times,
            place,
            shown,
            ..
        } => (symbol, unit, word, readings, times, *place, shown),
    };
    let sources = &place.placed.problem.sources;
    let factor = unit.interval().factor();
    let value = shown.origin.as_deref().map(|(value, ..)| value);
    let size = |row: usize| value?.uncertainty(row, sources).map(|it| it.size / factor);
    let sizes = |size: &dyn Fn(usize) -> Option<f64>| -> Option<Vec<f64>> {
        let all: Vec<Option<f64>> = match is_told {
            true => (0..rows).map(size).collect(),
            false => return None,
        };
        let is_uncertain = all.iter().any(Option::is_some);
        is_uncertain.then(|| all.into_iter().map(|it| it.unwrap_or(0.0)).collect())
    };
    let common = |row: usize| Some(sources.common(own, row) / factor).filter(|size| *size > 0.0);
    let values = || match times {
        Some(times) => Entered::Words(
            (readings.iter().zip(times.written.iter()))
                .map(|(reading, written)| reading.map(|_| &**written))
                .collect(),
        ),
        None => Entered::Numbers(
            (readings.iter())
                .map(|reading| reading.map(|it| it.number.value()))
                .collect(),
        ),
    };
    Some(ColumnFound {
        name: place.key(*symbol),
        unit: Some(match times {
            Some(times) => times.pattern.text(),
            None => unit.text(),
        }),
        datum: word.as_ref().copied(),
        values: is_told.then(values),
        uncertainty: sizes(&size),
        common: sizes(&common),
    })
}

/// What the sources contribute to the uncertainty of a result.
fn contributions(place: Place<'_>, shown: &Shown) -> Option<Vec<Contributed>> {
    let (value, _, counts) = shown.origin.as_deref()?;
    if shown.uncertainties.is_empty() || shown.shape != Shape::One {
        return None;
    }
    let sources = &place.placed.problem.sources;
    let own = sources.budget(value.gradient(0)).into_iter().map(|own| {
        let abouts = own.blocks.iter().filter_map(|at| sources.blocks().get(*at));
        let mut names = Vec::new();
        for about in abouts.map(|block| &block.about) {
            let constant = about.constant.into_iter();
            let fit = place.fit(about.place).filter(|_| about.names.is_empty());
            let known = about.names.iter().map(|name| place.key(*name));
            for name in constant.chain(fit).chain(known) {
                if !names.contains(&name) {
                    names.push(name);
                }
            }
        }
        let size = own.square.abs().sqrt().copysign(own.square);
        Contributed {
            source: names.join(", "),
            contribution: evaluate::size_in_unit(size, *counts, &shown.unit),
        }
    });
    Some(own.collect())
}

fn fit(place: Place<'_>, statement: &Statement, fit: &Fit) -> FitFound {
    let numbers = &fit.numbers;
    let parameters = fit.parameters.iter().zip(&numbers.parameters);
    let size = |j: usize| numbers.parameters.get(j).map_or(0.0, |(_, size)| *size);
    let covariance = |j: usize, k: usize| {
        let (later, earlier) = (j.max(k), j.min(k));
        let row = numbers.correlations.get(later);
        let r = row.and_then(|row| row.get(earlier)).copied().unwrap_or(1.0);
        r * size(j) * size(k)
    };
    let count = numbers.parameters.len();
    FitFound {
        label: statement.label.as_ref().map(|(label, _)| label.clone()),
        line: place.line(statement),
        parameters: parameters
            .map(|((symbol, shown), (si, si_uncertainty))| FitParameter {
                name: place.key(*symbol).to_owned(),
                value: self::numbers(&shown.values, shown.shape),
                unit: unit(shown),
                uncertainty: uncertainty(shown),
                si: *si,
                si_uncertainty: *si_uncertainty,
            })
            .collect(),
        covariance: (0..count)
            .map(|j| (0..count).map(|k| covariance(j, k)).collect())
            .collect(),
        degrees_of_freedom: numbers.degrees,
        residual_deviation: numbers.deviation,
        chi_squared: numbers.chi_squared,
        steps: numbers.steps,
        weighted: numbers.weighted,
        rows: (place.extent.tells(numbers.rows.len()))
            .then(|| numbers.rows.iter().map(|row| row + 1).collect()),
        residuals: (place.extent.tells(numbers.residuals.len())).then(|| numbers.residuals.clone()),
    }
}

fn step(place: Place<'_>, statement: &Statement, members: &[Expr], verdict: &Verdict) -> Step {
    let (word, by) = match verdict {
        Verdict::Follows { by, .. } => ("follows", by.as_slice()),
        Verdict::DoesNotFollow { .. } => ("does not follow", [].as_slice()),
        Verdict::NotDecided(_) => ("not decided", [].as_slice()),
    };
    let number = |ground: &Ground| match ground {
        Ground::Equation(origin) => place.number(*origin),
        Ground::Definition(_) | Ground::Value(_) => None,
    };
    let sides: Vec<&str> = members.iter().map(|side| place.slice(side.span)).collect();
    Step {
        line: place.line(statement),
        text: sides.join(" = "),
        verdict: word,
        by: by.iter().filter_map(number).collect(),
        conditions: step_conditions(place.placed, verdict),
    }
}

fn balance<'w>(place: Place<'w>, statement: &'w Statement, held: &'w Balanced) -> Balance<'w> {
    let line = |ground: &Ground| match ground {
        Ground::Equation(origin) => {
            let statement = place.placed.problem.statement(*origin)?;
            Some(place.line(statement))
        }
        Ground::Definition(_) | Ground::Value(_) => None,
    };
    let mut found = Balance {
        line: place.line(statement),
        of: &held.label,
        what: what_of(&held.words),
        verdict: "not decided",
        with: Vec::new(),
        another: None,
        differences: Vec::new(),
    };
    match &held.agreement {
        Agreement::Agrees { with } => {
            found.verdict = "agrees";
            found.with = with.iter().filter_map(line).collect();
        }
        Agreement::Differs(difference) => {
            found.verdict = "differs";
            found.differences.push(Differing {
                code: difference.code.as_str(),
                what: &difference.message,
            });
        }
        Agreement::Another(words) => found.another = Some(&**words),
        Agreement::NotDecided => {}
    }
    found
}

/// `moments about A` of `balance moments about A of beam`.
fn what_of(words: &str) -> &str {
    let words = words.strip_prefix("balance ").unwrap_or(words);
    words.rsplit_once(" of ").map_or(words, |(what, _)| what)
}

/// The signs that are taken, what was divided by, the data whose values and signs were used.
fn step_conditions(placed: &Placed, verdict: &Verdict) -> Vec<String> {
    let Verdict::Follows {
        by,
        leaned,
        taking,
        not_zero,
    } = verdict
    else {
        return Vec::new();
    };
    let problem = &*placed.problem;
    let taken = (taking.iter()).map(|symbol| format!("{} > 0", key(problem, *symbol)));
    let values = by.iter().filter_map(|ground| match ground {
        Ground::Value(symbol) => Some(value(problem, *symbol)),
        Ground::Equation(..) | Ground::Definition(_) => None,
    });
    let given = leaned.iter().map(|symbol| sign(problem, *symbol));
    (taken.chain(differing(problem, not_zero)))
        .chain(values)
        .chain(given)
        .collect()
}

/// The solutions of a line, each with what was asked of it and what it holds under.
fn solutions(place: Place<'_>, statement: &Statement, solved: &Solved) -> Vec<Step> {
    let problem = &*place.placed.problem;
    let origins = solved.origins.iter();
    let by: Vec<usize> = origins.filter_map(|origin| place.number(*origin)).collect();
    let shown = solved.branches.iter().filter(|branch| !branch.is_aside);
    let solution = |branch: &Branch| {
        let asked = solved.asked.iter();
        let asked = asked.map(|span| place.slice(*span).to_owned());
        let bounds = branch.bounds.iter().map(|it| bound(problem, it));
        let signs = solved
            .signs
            .iter()
            .filter_map(|it| known_sign(problem, *it));
        let mut conditions: Vec<String> = asked.chain(bounds).collect();
        for condition in differing(problem, &branch.not_zero).chain(signs) {
            if !conditions.contains(&condition) {
                conditions.push(condition);
            }
        }
        Step {
            line: place.line(statement),
            text: formulas(problem, solved, branch),
            verdict: "follows",
            by: by.clone(),
            conditions,
        }
    };
    shown.map(solution).collect()
}

/// `T_1 = W/2, T_2 = W/2`
fn formulas(problem: &Problem, solved: &Solved, branch: &Branch) -> String {
    let formulas = solved.unknowns.iter().zip(&branch.formulas);
    let formulas: Vec<String> = formulas
        .map(|(symbol, formula)| {
            format!(
                "{} = {}",
                key(problem, *symbol),
                typed(problem).written(formula)
            )
        })
        .collect();
    formulas.join(", ")
}

/// `4 - x >= 0`
fn bound(problem: &Problem, bound: &Bound) -> String {
    let written = |expr: &Expr| typed(problem).written(expr);
    let value = written(&bound.value);
    match (&bound.low, &bound.high) {
        (Some(low), Some(high)) => format!("{} ≤ {value} ≤ {}", written(low), written(high)),
        _ => format!("{value} {} 0", if bound.is_strict { ">" } else { "≥" }),
    }
}

/// What was divided by.
fn differing<'a>(
    problem: &'a Problem,
    divisors: &'a [Expr],
) -> impl Iterator<Item = String> + use<'a> {
    let divisors = divisors.iter();
    divisors.map(|divisor| format!("{} ≠ 0", typed(problem).written(divisor)))
}

fn typed(problem: &Problem) -> Typed<'_> {
    Typed {
        text: &problem.text,
        symbols: &problem.symbols,
    }
}

fn key(problem: &Problem, symbol: SymbolId) -> &str {
    &problem.symbols.symbol(symbol).key
}

fn datum(problem: &Problem, symbol: SymbolId) -> Option<&Shown> {
    let mut statements = problem.statements();
    statements.find_map(|statement| match &statement.body {
        Body::Given {
            symbol: given,
            shown,
            ..
        } if *given == symbol => Some(&**shown),
        _ => None,
    })
}

/// `p_2 = 0 kPa`, as it was given.
fn value(problem: &Problem, symbol: SymbolId) -> String {
    let key = key(problem, symbol);
    datum(problem, symbol).map_or_else(
        || format!("value of {key}"),
        |shown| format!("{key} = {}", text(shown)),
    )
}

/// How a symbol lies to 0 by its datum; what has none is known to be positive by a condition.
fn sign(problem: &Problem, symbol: SymbolId) -> String {
    let value = datum(problem, symbol).and_then(|shown| shown.si.first().copied());
    let sign = match value {
        Some(value) if value < 0.0 => "<",
        Some(0.0) => "=",
        _ => ">",
    };
    format!("{} {sign} 0", key(problem, symbol))
}

/// What was known of a sign: `d > 0`.
fn known_sign(problem: &Problem, (symbol, sign): (SymbolId, Sign)) -> Option<String> {
    let sign = match (sign.negative, sign.zero, sign.positive) {
        (true, true, true) | (false, false, false) => return None,
        (false, false, true) => ">",
        (false, true, true) => "≥",
        (true, false, false) => "<",
        (true, true, false) => "≤",
        (false, true, false) => "=",
        (true, false, true) => "≠",
    };
    Some(format!("{} {sign} 0", key(problem, symbol)))
}

/// `h_f rises with Q`, with the derivative and the exponent that was found for a power.
fn trend(place: Place<'_>, statement: &Statement, trend: &Trend) -> Check {
    let source = |expr: &Expr| place.slice(expr.span);
    let mut line = source(&trend.subject).to_owned();
    line.push_str(trend_words(&trend.way));
    line.push_str(place.key(trend.with));
    if let Way::Power(exponent) = &trend.way {
        // An exponent that the author did not write has no text.
        if !matches!(exponent.kind, ExprKind::Numeral(_)) {
            line.push('^');
            line.push_str(source(exponent));
        }
    }
    if let Some(within) = &trend.within {
        line.push_str(" within ");
        line.push_str(source(within));
    }
    let exponent = trend
        .exponent
        .filter(|_| matches!(trend.way, Way::Power(_)));
    Check {
        line: place.line(statement),
        text: line,
        holds: trend.holds,
        left: text(&trend.derivative),
        right: exponent.map_or_else(String::new, |exponent| to_figures(exponent, 4).text()),
        row: None,
        compared: None,
    }
}

/// `h_f -> 0 as Q -> 0`, with the value that was reached and the one that was claimed.
fn limit(place: Place<'_>, statement: &Statement, limit: &Limit) -> Check {
    let end = |end: &End| match end {
        End::Value(value) => place.slice(value.span).to_owned(),
        End::Infinite { negative, .. } => if *negative { "-inf" } else { "inf" }.to_owned(),
    };
    let claimed = end(&limit.value);
    Check {
        line: place.line(statement),
        text: format!(
            "{} -> {claimed} as {} -> {}",
            place.slice(limit.subject.span),
            place.key(limit.with),
            end(&limit.at)
        ),
        holds: limit.holds,
        left: text(&limit.reached),
        right: claimed,
        row: None,
        compared: None,
    }
}

/// `g agrees with 9.81 m/s^2`, with what came of it.
fn comparison(place: Place<'_>, statement: &Statement, found: &Comparison) -> Check {
    let compared = &found.compared;
    let figures = |(_, shown): &(Expr, Shown)| text(&shown.in_row(found.row));
    let sides: Vec<String> = found.held.sides().map(figures).collect();
    Check {
        line: place.line(statement),
        text: place.slice(statement.span).to_owned(),
        holds: found.holds,
        left: figures(&found.subject),
        right: sides.join(" to "),
        row: found.row.map(|row| row + 1),
        compared: Some(Compared {
            verdict: compared.found.words(),
            difference: compared.difference,
            uncertainty: compared.uncertainty,
            coverage_factor: compared.factor,
            degrees_of_freedom: compared.degrees.filter(|it| it.is_finite()),
        }),
    }
}

fn budgeted(place: Place<'_>, statement: &Statement, budget: &Budget) -> Budgeted {
    let contribution = |row: &BudgetRow| {
        let names: Vec<&str> = row.names.iter().map(|name| place.key(*name)).collect();
        let source = match (row.together, row.constant) {
            (Some(count), _) => format!("{count} more"),
            (None, Some(constant)) => constant.to_owned(),
            (None, None) => {
                let fit = row.place.and_then(|at| place.fit(at));
                let all: Vec<&str> = fit.into_iter().chain(names).collect();
                all.join(", ")
            }
        };
        Contribution {
            source,
            contribution: row.contribution.values.first().copied().unwrap_or(0.0),
            share: row.share,
        }
    };
    Budgeted {
        line: place.line(statement),
        name: name(place, &budget.subject),
        unit: budget.shown.unit.interval().text().to_owned(),
        contributions: budget.rows.iter().map(contribution).collect(),
    }
}

fn outcome(place: Place<'_>, statement: &Statement, name: String, shown: &Shown) -> Outcome {
    let is_told = place.extent.tells(shown.values.len());
    Outcome {
        name,
        line: place.line(statement),
        problem: place.placed.problem.title.clone(),
        value: if is_told {
            numbers(&shown.values, shown.shape)
        } else {
            Numbers::One(None)
        },
        unit: unit(shown),
        datum: shown.datum(),
        uncertainty: uncertainty(shown).filter(|_| is_told),
        uncertainty_unit: uncertainty_unit(shown),
        contributions: contributions(place, shown),
        degrees_of_freedom: shown
            .degrees
            .first()
            .copied()
            .flatten()
            .filter(|it| it.is_finite()),
        coverage: shown.coverage.map(|coverage| Coverage {
            factor: coverage.factors.1,
            level: coverage.level,
        }),
        si: if is_told {
            numbers(&shown.si, shown.shape)
        } else {
            Numbers::One(None)
        },
        dimension: shown.unit.dimension().formula(),
        printed: match is_told {
            true => text(shown),
            false => format!("{} values", shown.values.len()),
        },
        figures: shown.figures,
    }
}

/// The standard uncertainty in the unit of the value; 0 for entries of a list that have none.
fn uncertainty(shown: &Shown) -> Option<Numbers> {
    let size = |spread: &Option<Spread>| spread.as_ref().map_or(0.0, |spread| spread.size);
    let sizes: Vec<f64> = shown.uncertainties.iter().map(size).collect();
    (!sizes.is_empty()).then(|| numbers(&sizes, shown.shape))
}

/// The unit of the value; that of a point of time is not printed.
fn unit(shown: &Shown) -> String {
    match shown.unit.mark() {
        Mark::Clock(_) => shown.unit.interval().text().to_owned(),
        _ => shown.unit.text().to_owned(),
    }
}

/// The unit that an uncertainty is in: that of the value, as an interval.
fn uncertainty_unit(shown: &Shown) -> Option<String> {
    (!shown.uncertainties.is_empty()).then(|| shown.unit.interval().text().to_owned())
}

fn numbers(values: &[f64], shape: Shape) -> Numbers {
    if shape != Shape::One {
        Numbers::List(values.to_vec())
    } else {
        Numbers::One(values.first().copied().filter(|value| value.is_finite()))
    }
}

/// The canonical spelling of a symbol, the source of anything else.
fn name(place: Place<'_>, expr: &Expr) -> String {
    match expr.as_symbol() {
        Some(id) => place.key(id).to_owned(),
        None => place.slice(expr.span).to_owned(),
    }
}

/// " at Q = 40 L/s", so that a what-if is not taken for the result itself.
fn conditions(place: Place<'_>, conditions: &[(SymbolId, Replacement)]) -> String {
    let mut out = String::new();
    for (index, (symbol, replacement)) in conditions.iter().enumerate() {
        out.push_str(if index == 0 { " at " } else { ", " });
        out.push_str(place.key(*symbol));
        out.push_str(" = ");
        match replacement {
            Replacement::Value(shown) => out.push_str(&text(shown)),
            Replacement::Formula(formula) => out.push_str(place.slice(formula.span)),
        }
    }
    out
}

fn findings(worksheet: &Worksheet) -> Vec<Finding<'_>> {
    let findings = worksheet.diagnostics.iter();
    findings
        .map(|diagnostic| finding(&worksheet.source, diagnostic))
        .collect()
}

fn finding<'a>(source: &Source, diagnostic: &'a Diagnostic) -> Finding<'a> {
    Finding {
        said: said(source, diagnostic),
        fixes: (diagnostic.fixes.iter())
            .map(|fix| repair(source, fix))
            .collect(),
    }
}

/// A message of a text.
pub fn said<'a>(source: &Source, diagnostic: &'a Diagnostic) -> Said<'a> {
    let start = source.position(diagnostic.span.start);
    let end = source.position(diagnostic.span.end);
    Said {
        code: diagnostic.code.as_str(),
        severity: match diagnostic.severity {
            Severity::Error => "error",
            Severity::Warning => "warning",
        },
        message: &diagnostic.message,
        help: diagnostic.help.as_deref(),
        line: start.line,
        column: start.column,
        end_line: end.line,
        end_column: end.column,
    }
}

fn repair<'a>(source: &Source, fix: &'a Fix) -> Repair<'a> {
    let edits = fix.edits.iter().map(|edit| {
        let start = source.position(edit.span.start);
        let end = source.position(edit.span.end);
        Change {
            line: start.line,
            column: start.column,
            end_line: end.line,
            end_column: end.column,
            text: &edit.text,
        }
    });
    Repair {
        title: &fix.title,
        decision: fix.decision.word(),
        edits: edits.collect(),
    }
}
