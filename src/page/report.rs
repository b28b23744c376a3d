//! The machine-readable report: one JSON array with an object for each worksheet.
//!
//! The types here are made for the wire and are not used inside the engine. Printed values are
//! plain text; `value` is in `unit` and `si` in coherent SI units, both at full precision.

use serde::Serialize;

use super::sense::trend_words;
use super::{Page, plot};
use crate::algebra::Sign;
use crate::diagnostic::{Diagnostic, Fix, Severity};
use crate::proofs::{Ground, Verdict};
use crate::quantity::{Mark, to_figures};
use crate::resolve::statement::{Bound, Branch, End, Solved, Way};
use crate::resolve::{Expr, ExprKind, Shape, SymbolId, Typed};
use crate::syntax::BlockKind;
use crate::text::{Source, Span};
use crate::typeset::text;
use crate::worksheet::{
    Body, Budget, BudgetRow, Comparison, Fit, Limit, PartKind, Placed, Problem, Replacement, Shown,
    Spread, Standing, Statement, Trend, Worksheet,
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
    entries: Vec<Entry<'a>>,
    figures: Vec<Figure>,
    diagnostics: Vec<Finding<'a>>,
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
    rows: Vec<usize>,
    residuals: Vec<f64>,
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
    code: String,
    severity: &'static str,
    message: &'a str,
    help: Option<&'a str>,
    line: usize,
    column: usize,
    end_line: usize,
    end_column: usize,
    fixes: Vec<Repair<'a>>,
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

/// The report on some worksheets as JSON.
pub fn report(worksheets: &[Worksheet]) -> String {
    let reports: Vec<Report> = worksheets.iter().map(one).collect();
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
    let blocks: Vec<(&Placed, &[Statement])> = (worksheet.parts())
        .filter_map(|(placed, part)| match &part.kind {
            PartKind::Block {
                kind: BlockKind::Plot,
                statements,
            } => Some((placed, &**statements)),
            PartKind::Block { .. }
            | PartKind::Heading { .. }
            | PartKind::Prose(_)
            | PartKind::LaterBlock { .. } => None,
        })
        .collect();
    if blocks.is_empty() {
        return Vec::new();
    }
    let names = super::names(worksheet);
    (blocks.into_iter())
        .filter_map(|(placed, statements)| {
            let first = statements.first()?;
            let (label, number) = first.label.as_ref()?;
            let page = Page::new(worksheet, placed, names.get(placed.number)?, 0);
            let drawing = plot::drawing(&page, statements);
            Some(Figure {
                number: placed.equation(*number),
                label: (!label.is_empty()).then(|| label.clone()),
                line: worksheet.line(placed, first.span),
                form: "plot",
                title: plot::title(&page, statements),
                description: drawing
                    .map(|drawing| drawing.description)
                    .unwrap_or_default(),
            })
        })
        .collect()
}

fn one(worksheet: &Worksheet) -> Report<'_> {
    let mut report = Report {
        worksheet: worksheet.source.name(),
        results: Vec::new(),
        checks: Vec::new(),
        steps: Vec::new(),
        answers: Vec::new(),
        budgets: Vec::new(),
        fits: Vec::new(),
        trials: Vec::new(),
        entries: entries(worksheet),
        figures: figures(worksheet),
        diagnostics: findings(worksheet),
    };
    for (placed, statement) in worksheet.statements() {
        let place = Place { worksheet, placed };
        add(place, statement, &mut report);
    }
    report
}

/// Where a statement stands.
#[derive(Clone, Copy)]
struct Place<'a> {
    worksheet: &'a Worksheet,
    placed: &'a Placed,
}

impl<'a> Place<'a> {
    fn line(self, statement: &Statement) -> usize {
        self.worksheet.line(self.placed, statement.span)
    }

    fn slice(self, span: Span) -> &'a str {
        span.of(&self.placed.problem.text)
    }

    fn key(self, symbol: SymbolId) -> &'a str {
        &self.placed.problem.symbols.symbol(symbol).key
    }
}

fn add(place: Place<'_>, statement: &Statement, report: &mut Report) {
    match &statement.body {
        // Data that the author wrote are no results; what is computed from them is.
        Body::Given {
            symbol,
            formula: Some(_),
            shown,
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
        Body::Therefore { members, verdict } => {
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
            holds,
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
                member.map(|(_, shown)| text(shown)).unwrap_or_default()
            };
            report.checks.push(Check {
                line: place.line(statement),
                text: line,
                holds: *holds,
                left: figures(members.first()),
                right: figures(members.last()),
                compared: None,
            });
        }
        Body::Answer {
            expr,
            shown,
            direction,
        } => report.answers.push(Answer {
            name: name(place, expr),
            value: numbers(&shown.values, shown.shape),
            unit: unit(shown),
            datum: shown.datum(),
            uncertainty: uncertainty(shown),
            uncertainty_unit: uncertainty_unit(shown),
            printed: text(shown),
            direction: direction.as_ref().map(|direction| direction.0.clone()),
        }),
        _ => {}
    }
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
        rows: numbers.rows.iter().map(|row| row + 1).collect(),
        residuals: numbers.residuals.clone(),
    }
}

fn step(place: Place<'_>, statement: &Statement, members: &[Expr], verdict: &Verdict) -> Step {
    let (word, by) = match verdict {
        Verdict::Follows { by, .. } => ("follows", by.as_slice()),
        Verdict::DoesNotFollow { .. } => ("does not follow", [].as_slice()),
        Verdict::NotDecided(_) => ("not decided", [].as_slice()),
    };
    let number = |ground: &Ground| match ground {
        Ground::Equation(_, number) => number.map(|number| place.placed.equation(number)),
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
    let numbers = solved.from.iter();
    let by: Vec<usize> = numbers
        .map(|number| place.placed.equation(*number))
        .collect();
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
        compared: None,
    }
}

/// `g agrees with 9.81 m/s^2`, with what came of it.
fn comparison(place: Place<'_>, statement: &Statement, found: &Comparison) -> Check {
    let compared = &found.compared;
    let sides: Vec<String> = found.held.sides().map(|(_, shown)| text(shown)).collect();
    Check {
        line: place.line(statement),
        text: place.slice(statement.span).to_owned(),
        holds: found.holds,
        left: text(&found.subject.1),
        right: sides.join(" to "),
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
            (None, None) => names.join(", "),
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
    Outcome {
        name,
        line: place.line(statement),
        problem: place.placed.problem.title.clone(),
        value: numbers(&shown.values, shown.shape),
        unit: unit(shown),
        datum: shown.datum(),
        uncertainty: uncertainty(shown),
        uncertainty_unit: uncertainty_unit(shown),
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
        si: numbers(&shown.si, shown.shape),
        dimension: shown.unit.dimension().formula(),
        printed: text(shown),
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
    let start = source.position(diagnostic.span.start);
    let end = source.position(diagnostic.span.end);
    Finding {
        code: diagnostic.code.to_string(),
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
        fixes: (diagnostic.fixes.iter())
            .map(|fix| repair(source, fix))
            .collect(),
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
