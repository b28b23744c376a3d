//! What the versions of a problem vary, and what stands in the way.

use rustc_hash::FxHashMap;

use super::grid::{self, MOST_VALUES, NoGrid};
use super::{Ground, Needs, Question, statements};
use crate::diagnostic::{Code, Diagnostic};
use crate::evaluate::Branches;
use crate::quantity::{Mark, Unit};
use crate::resolve::statement::Tail;
use crate::resolve::statement::{self, Condition, TakenAs};
use crate::resolve::{Expr, ExprKind, Kind, Quantity, Shape, SymbolId};
use crate::syntax::{BlockKind, Change};
use crate::text::Span;
use crate::worksheet::model::{Body, Part, PartKind, Problem, Worksheet};

/// So many data may a problem vary.
pub const MOST_VARIED: usize = 20;

/// What the versions of a problem vary.
#[derive(Debug)]
pub struct Versions {
    /// What varies, in the order of the lines.
    pub varied: Vec<Varied>,
    /// The quantities whose sign need not be that of the worksheet.
    pub may_turn: Vec<SymbolId>,
    /// Those whose formula may take another branch.
    pub may_branch: Vec<SymbolId>,
    /// The branches that formulas take in the worksheet.
    pub branches: Vec<(SymbolId, Branches)>,
    /// Claims, each with the ask that stands for it in other versions: the numbers are those of the
    /// worksheet as it is written.
    pub claims: Vec<(Span, String)>,
}

/// A line of `versions`: what changes together.
#[derive(Debug)]
pub struct Varied {
    /// Its names as they are written, without brackets: `rho, nu`.
    pub name: String,
    /// The data; each has as many choices as the others.
    pub data: Vec<Datum>,
}

impl Varied {
    /// How many choices there are.
    pub fn count(&self) -> usize {
        self.data.first().map_or(0, |datum| datum.choices.len())
    }
}

/// A datum that varies.
#[derive(Debug)]
pub struct Datum {
    /// The name.
    pub symbol: SymbolId,
    /// Where in the problem's text a choice is put in.
    pub place: Span,
    /// What may stand there instead.
    pub choices: Vec<String>,
}

/// Looks for what varies. A problem without lines of `versions` has none.
pub(in crate::worksheet) fn find(
    problem: &Problem,
    ground: &Ground<'_>,
    branches: Vec<(SymbolId, Branches)>,
) -> (Option<Versions>, Vec<Diagnostic>) {
    let mut found = Vec::new();
    let mut versions = Versions {
        varied: Vec::new(),
        may_turn: Vec::new(),
        may_branch: Vec::new(),
        branches,
        claims: claims(ground),
    };
    if block(problem).is_none() {
        return (None, found);
    }
    let mut seen: FxHashMap<SymbolId, Span> = FxHashMap::default();
    for line in lines(problem) {
        match &line.body {
            Body::Varied(line) => {
                let count = found.len();
                for (symbol, place) in &line.symbols {
                    if let Some(before) = seen.insert(*symbol, *place) {
                        let key = key(problem, *symbol);
                        let message = format!("`{key}` is varied twice");
                        found.push(
                            Diagnostic::error(Code::P08, *place, message)
                                .with_note("varied here", before)
                                .with_help("one of the lines"),
                        );
                    }
                }
                let varied = (found.len() == count).then(|| varied(ground, problem, line));
                match varied {
                    Some(Ok(varied)) => versions.varied.push(varied),
                    Some(Err(why)) => found.push(*why),
                    None => {}
                }
            }
            Body::MayChange(line) => match line.what {
                Change::Direction => versions.may_turn.push(line.symbol),
                Change::Branch => versions.may_branch.push(line.symbol),
            },
            _ => {}
        }
    }
    let data = seen.len();
    if data > MOST_VARIED {
        let place = seen.values().map(|place| place.start).max();
        let place = seen.values().find(|it| Some(it.start) == place);
        let message = format!("{data} data vary, and {MOST_VARIED} may");
        found.push(
            Diagnostic::error(Code::P09, place.copied().unwrap_or_default(), message)
                .with_help("fewer of them: three or four give many versions"),
        );
    }
    (Some(versions), found)
}

/// The claims of a problem, and the asks for as many figures.
fn claims(ground: &Ground<'_>) -> Vec<(Span, String)> {
    let all = ground.resolved.blocks.iter().flatten();
    let found = all.filter_map(|line| {
        let Some(Kind::Work(work)) = &line.kind else {
            return None;
        };
        let Tail::Claim(claim) = &work.tail else {
            return None;
        };
        let unit = claim.unit.source();
        let datum = claim.datum.map_or("", |datum| datum.text());
        let precision = match claim.uncertainty {
            Some(_) => String::new(),
            None => figures(claim.number.of(ground.text)),
        };
        let parts = ["?", unit, datum, &precision];
        let parts = parts.iter().filter(|part| !part.is_empty());
        let ask = parts.copied().collect::<Vec<&str>>().join(" ");
        Some((claim.span, ask))
    });
    found.collect()
}

/// As many figures as a number has, as an ask says it.
fn figures(number: &str) -> String {
    let plain = crate::text::decimal(number);
    let mantissa = plain.split(['e', 'E']).next().unwrap_or("");
    let digits = mantissa.trim_start_matches(['-', '+', '0', '.']);
    match digits.bytes().filter(u8::is_ascii_digit).count() {
        0 => String::new(),
        1 => "to 1 figure".to_owned(),
        count => format!("to {} figures", count.min(15)),
    }
}

/// The lines of `versions` of a problem.
fn lines(problem: &Problem) -> impl Iterator<Item = &crate::worksheet::model::Statement> {
    let all = problem.parts.iter().flat_map(statements);
    all.filter(|line| line.is_of_versions)
}

/// Where the first block `versions` of a problem stands that says something.
pub(super) fn block(problem: &Problem) -> Option<Span> {
    lines(problem).next().map(|line| line.span)
}

fn key(problem: &Problem, symbol: SymbolId) -> &str {
    &problem.symbols.symbol(symbol).key
}

type Refused = Box<Diagnostic>;

/// What a line varies.
fn varied(
    ground: &Ground<'_>,
    problem: &Problem,
    line: &statement::Varied,
) -> Result<Varied, Refused> {
    let mut data = Vec::with_capacity(line.symbols.len());
    for (at, (symbol, place)) in line.symbols.iter().enumerate() {
        let given = given(ground, problem, *symbol, *place)?;
        let column: Vec<&Condition> = line.rows.iter().filter_map(|row| row.get(at)).collect();
        data.push(Datum {
            symbol: *symbol,
            ..datum(ground.text, &given, &column, line.step.as_ref())?
        });
    }
    let name = |(_, place): &(SymbolId, Span)| place.of(ground.text).to_owned();
    let names: Vec<String> = line.symbols.iter().map(name).collect();
    Ok(Varied {
        name: names.join(", "),
        data,
    })
}

/// The literal of a datum in `given`.
struct Given {
    symbol: SymbolId,
    /// Its number.
    number: Span,
    /// Its number, and its unit where that can be replaced with it.
    whole: Option<Span>,
    unit: Unit,
    datum: &'static str,
}

/// Looks for the literal of a datum, which has to be one number.
fn given(
    ground: &Ground<'_>,
    problem: &Problem,
    symbol: SymbolId,
    place: Span,
) -> Result<Given, Refused> {
    let key = key(problem, symbol);
    let refuse = |message: String| {
        let help = "a name of `given` with a literal of one number: `D = 80 mm`";
        Box::new(Diagnostic::error(Code::P08, place, message).with_help(help))
    };
    let mut from = None;
    for line in ground.resolved.blocks.iter().flatten() {
        match &line.kind {
            Some(Kind::Given { symbol: own, value }) if *own == symbol => {
                return match literal(ground.text, symbol, value) {
                    Some(given) => Ok(given),
                    None => Err(refuse(match &value.kind {
                        ExprKind::Quantity(quantity) if quantity.shape == Shape::List => {
                            format!("`{key}` is a list")
                        }
                        ExprKind::List(_) => format!("`{key}` is a list"),
                        ExprKind::Quantity(quantity) if quantity.shape == Shape::Vector => {
                            format!("`{key}` is a vector")
                        }
                        ExprKind::Quantity(_) => {
                            format!("`{}` is not one decimal number", value.span.of(ground.text))
                        }
                        _ => format!("`{key}` is given by a formula"),
                    })),
                };
            }
            Some(Kind::Taken(taken)) => {
                if let TakenAs::Quantity(own, _) = &taken.what
                    && *own == symbol
                {
                    from = Some(format!("`{key}` is taken from another worksheet"));
                }
            }
            Some(Kind::Data(_)) if line.unknowns.contains(&symbol) => {
                from = Some(format!("`{key}` is a column of readings"));
            }
            _ => {}
        }
    }
    let computed = || format!("`{key}` is computed, and only data can be varied");
    Err(refuse(from.unwrap_or_else(computed)))
}

/// The literal of one decimal number.
fn literal(text: &str, symbol: SymbolId, value: &Expr) -> Option<Given> {
    let is_decimal = |span: Span| grid::is_decimal(span.of(text));
    match &value.kind {
        ExprKind::Number(_) => is_decimal(value.span).then(|| Given {
            symbol,
            number: value.span,
            whole: Some(value.span),
            unit: Unit::one(),
            datum: "",
        }),
        ExprKind::Quantity(quantity) => {
            let is_one = quantity.shape == Shape::One && is_decimal(quantity.number);
            let is_in_brackets = value.span.of(text).starts_with('(');
            // What stands before is in a larger unit: `5 ft 3 in`.
            let is_first = is_in_brackets || quantity.number.start == value.span.start;
            let behind = quantity.sizes.first();
            let end = behind.map_or(value.span.end, |size| size.written.span.start);
            let whole = Span { end, ..value.span };
            let whole = Span {
                end: whole.start + whole.of(text).trim_end().len() as u32,
                ..whole
            };
            (is_one && is_first).then(|| Given {
                symbol,
                number: quantity.number,
                whole: (!is_in_brackets).then_some(whole),
                unit: quantity.unit.clone(),
                datum: word(quantity),
            })
        }
        _ => None,
    }
}

/// The datum word of a literal.
fn word(quantity: &Quantity) -> &'static str {
    quantity.datum.map_or("", |datum| datum.text())
}

/// A literal of `versions`.
struct Chosen<'a> {
    text: &'a str,
    span: Span,
    unit: &'a Unit,
    datum: &'static str,
}

fn chosen<'a>(text: &'a str, value: &'a Expr) -> Option<Chosen<'a>> {
    let ExprKind::Quantity(quantity) = &value.kind else {
        return None;
    };
    Some(Chosen {
        text: quantity.number.of(text),
        span: value.span,
        unit: &quantity.unit,
        datum: word(quantity),
    })
}

/// What may stand in the place of a datum.
fn datum(
    text: &str,
    given: &Given,
    column: &[&Condition],
    step: Option<&Expr>,
) -> Result<Datum, Refused> {
    let place = (column.iter().map(|it| it.span))
        .chain(step.map(|step| step.span))
        .reduce(Span::cover)
        .unwrap_or_default();
    let refuse = |place: Span, message: String, help: String| {
        Box::new(Diagnostic::error(Code::P09, place, message).with_help(help))
    };
    let all: Option<Vec<Chosen<'_>>> = (column.iter())
        .map(|condition| chosen(text, &condition.value))
        .collect();
    let step = step.map(|step| chosen(text, step));
    let (Some(all), None | Some(Some(_))) = (all, &step) else {
        return Err(refuse(
            place,
            "a choice is a number with its unit".to_owned(),
            "`D from 70 mm to 100 mm in steps of 5 mm`".to_owned(),
        ));
    };
    let named = |unit: &Unit| match unit.source() {
        "" => "no unit".to_owned(),
        source => format!("`{source}`"),
    };
    let Some(first) = all.first() else {
        return Err(one_value(place));
    };
    let other =
        |it: &&Chosen<'_>| it.unit.source() != first.unit.source() || it.datum != first.datum;
    if let (Some(_), Some(other)) = (&step, all.iter().find(other)) {
        let message = format!(
            "the ends have different units, {} and {}",
            named(first.unit),
            named(other.unit)
        );
        return Err(refuse(
            other.span,
            message,
            format!("both in {}", named(first.unit)),
        ));
    }
    let texts: Vec<(String, &Chosen<'_>)> = match step.flatten() {
        Some(step) => {
            let wanted = match first.unit.mark() {
                Mark::Point => first.unit.of_differences(),
                _ => first.unit.clone(),
            };
            let is_interval =
                step.datum == "difference" && step.unit.source() == first.unit.source();
            if step.unit.source() != wanted.source() && !is_interval {
                let message = format!(
                    "the step has another unit, {} where the ends have {}",
                    named(step.unit),
                    named(first.unit)
                );
                return Err(refuse(
                    step.span,
                    message,
                    format!("a step in {}", named(&wanted)),
                ));
            }
            let last = all.last().unwrap_or(first);
            let numbers = grid::grid(first.text, last.text, step.text);
            let numbers = numbers.map_err(|why| no_grid(why, [first, last, &step], place))?;
            numbers.into_iter().map(|number| (number, first)).collect()
        }
        None => (all.iter()).map(|it| (it.text.to_owned(), it)).collect(),
    };
    if texts.len() < 2 {
        return Err(one_value(place));
    }
    if texts.len() as i128 > MOST_VALUES {
        return Err(too_many(place, texts.len() as i128));
    }
    let is_same =
        |it: &Chosen<'_>| it.unit.source() == given.unit.source() && it.datum == given.datum;
    let keeps_unit = texts.iter().all(|(_, it)| is_same(it));
    let place = match (keeps_unit, given.whole) {
        (true, _) => given.number,
        (false, Some(whole)) => whole,
        (false, None) => {
            let found = texts.iter().find(|(_, it)| !is_same(it));
            let found = found.map_or(place, |(_, it)| it.span);
            let message = format!(
                "number and uncertainty stand in brackets before {} in `given`",
                named(&given.unit)
            );
            return Err(refuse(
                found,
                message,
                format!("the choices in {}", named(&given.unit)),
            ));
        }
    };
    let choice = |(number, it): (String, &Chosen<'_>)| match keeps_unit {
        true => number,
        false => [&number, it.unit.source(), it.datum]
            .join(" ")
            .trim_end()
            .replace("  ", " "),
    };
    Ok(Datum {
        symbol: given.symbol,
        place,
        choices: texts.into_iter().map(choice).collect(),
    })
}

fn one_value(place: Span) -> Refused {
    let found = Diagnostic::error(Code::P09, place, "one value varies nothing");
    Box::new(found.with_help("two values or more: `from 70 mm to 100 mm in steps of 5 mm`"))
}

fn too_many(place: Span, count: i128) -> Refused {
    let message = format!("{count} values, and {MOST_VALUES} may be");
    Box::new(Diagnostic::error(Code::P09, place, message).with_help("a larger step"))
}

/// Why a grid is none.
fn no_grid(why: NoGrid, [from, to, step]: [&Chosen<'_>; 3], place: Span) -> Refused {
    let with_unit = |number: &str, of: &Chosen<'_>| {
        let written = [number, of.unit.source(), of.datum].join(" ");
        written.trim_end().replace("  ", " ")
    };
    let [low, high] = [from, to].map(|end| with_unit(end.text, end));
    let by = with_unit(step.text, step);
    match why {
        NoGrid::OneValue => one_value(place),
        NoGrid::TooMany(count) => too_many(place, count),
        NoGrid::TooLong => {
            let message = "numbers of too many digits to count in";
            let found = Diagnostic::error(Code::P09, place, message);
            Box::new(found.with_help("ends and step of about the same size"))
        }
        NoGrid::Downward => {
            let message = format!("the step `{by}` does not lead from `{low}` up to `{high}`");
            let found = Diagnostic::error(Code::P09, place, message);
            Box::new(found.with_help("the smaller end first, and a step above zero"))
        }
        NoGrid::NoStep(others) => {
            let message = format!("the step `{by}` does not lead from `{low}` to `{high}`");
            let others: Vec<String> = (others.iter())
                .map(|other| format!("`in steps of {}`", with_unit(other, step)))
                .collect();
            let help = match others.is_empty() {
                true => format!("another end, or a list: `from [{}, …]`", from.text),
                false => others.join(" or "),
            };
            Box::new(Diagnostic::error(Code::P09, step.span, message).with_help(help))
        }
    }
}

/// Answers that no datum which varies has a part in; what a refused line was to vary is not known.
pub(super) fn fixed(problem: &Problem, question: &Question, needs: &Needs) -> Vec<Diagnostic> {
    let mut data = Vec::new();
    for line in lines(problem) {
        match &line.body {
            Body::Varied(line) => data.extend(line.symbols.iter().map(|(symbol, _)| *symbol)),
            Body::Refused => return Vec::new(),
            _ => {}
        }
    }
    let asked = question.asked.iter().enumerate();
    let fixed = asked.filter(|(at, _)| {
        !data.is_empty() && !data.iter().any(|symbol| needs.names[*at].contains(symbol))
    });
    let told = fixed.map(|(_, asked)| {
        let key = key(problem, asked.symbol);
        let message =
            format!("`{key}` depends on no datum that varies, and is the same in all versions");
        Diagnostic::warning(Code::P11, problem.line(asked.at).span, message)
            .with_help("a datum of its formula in `versions`")
    });
    told.collect()
}

/// Refuses blocks `versions` in what several problems share. That no question ends there is no news
/// then.
pub(in crate::worksheet) fn refuse_above_problems(worksheet: &mut Worksheet) {
    let [shared, _, ..] = worksheet.problems.as_slice() else {
        return;
    };
    let is_of_versions = |part: &&Part| {
        matches!(
            part.kind,
            PartKind::Block {
                kind: BlockKind::Versions,
                ..
            }
        )
    };
    let blocks = shared.problem.parts.iter().filter(is_of_versions);
    let places: Vec<Span> = blocks.map(|part| shared.span(part.span)).collect();
    for place in places {
        let message = "`versions` stands above the problems: which of them varies?";
        let refused = Diagnostic::error(Code::P22, place, message)
            .with_help("the block into its problem, below its heading");
        let all = &mut worksheet.diagnostics;
        all.retain(|it| {
            it.code != Code::P01 || it.span.start >= place.end || it.span.end <= place.start
        });
        let at = all.partition_point(|it| it.span.start <= place.start);
        all.insert(at, refused);
    }
}
