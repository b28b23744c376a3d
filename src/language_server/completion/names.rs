//! Quantities, functions, labels and constants.

use lsp_types::CompletionItemKind;
use rustc_hash::FxHashMap;

use super::super::calls::{self, Form};
use super::super::facts;
use super::{MOST, Offer, Place, begins};
use crate::quantity;
use crate::resolve::{FunctionId, Meaning, Occurrence, SymbolId};
use crate::syntax::{self, Base};
use crate::text::Span;
use crate::worksheet::{Body, Picture, Placed, Shown, Statement};

/// What is known of a quantity.
#[derive(Debug, Default, Clone)]
struct Known<'a> {
    /// As the author spells it where it is defined.
    spelled: Option<&'a str>,
    shown: Option<&'a Shown>,
    /// The unit that it is asked in.
    asked: Option<&'a quantity::Unit>,
    /// Whether it is asked for, in a unit or not.
    is_asked: bool,
    /// The line that gives it its value, or asks for it.
    statement: Option<&'a Statement>,
}

impl<'a> Known<'a> {
    /// The line of `given` that has its value.
    fn given(&self) -> Option<&'a Statement> {
        let is_given = |line: &&Statement| matches!(line.body, Body::Given { .. });
        self.statement.filter(is_given)
    }
}

/// Quantities that may be used: those with a value above first, and of these the ones that fit.
pub(super) fn names(place: Place<'_>) -> Vec<Offer> {
    let cursor = place.cursor();
    let fits = |shown: &Shown| place.fits == Some(shown.unit.dimension());
    let mut offers = quantities(place, |_, known| match known.statement {
        Some(statement) if statement.span.start <= cursor => match known.shown {
            Some(shown) if fits(shown) => Some(1),
            Some(_) => Some(2),
            None => Some(3),
        },
        Some(_) => Some(3),
        None => Some(4),
    });
    offers.push(pi());
    offers
}

fn pi() -> Offer {
    Offer::new(CompletionItemKind::CONSTANT, 5, "pi").with_detail("3.141592653589793")
}

/// Quantities that may be given a value: those that have none first.
pub(super) fn unknowns(place: Place<'_>) -> Vec<Offer> {
    quantities(place, |_, known| Some(unknown_first(known)))
}

/// What is asked for goes first, and data last.
fn unknown_first(known: &Known<'_>) -> usize {
    match (known.shown, known.asked) {
        _ if known.given().is_some() => 4,
        (None, Some(_)) => 1,
        (None, None) => 2,
        (Some(_), _) => 3,
    }
}

/// The unknowns that stand in the equations with these labels; all where none is understood.
pub(super) fn unknowns_of(place: Place<'_>, labels: &str) -> Vec<Offer> {
    let labels: Vec<&str> = labels
        .split([',', ' '])
        .filter(|label| !label.is_empty())
        .collect();
    let is_meant = |statement: &Statement| match &statement.label {
        Some((own, _)) => labels.contains(&own.as_str()),
        None => false,
    };
    let spans: Vec<Span> = (place.problem.problem.statements())
        .filter(|statement| is_meant(statement))
        .map(|statement| place.problem.span(statement.span))
        .collect();
    if spans.is_empty() {
        return unknowns(place);
    }
    let symbols_in = |placed: &Placed, span| -> Vec<SymbolId> {
        let names = placed.near(&placed.problem.occurrences, |name| name.span, span);
        let symbols = names.iter().map(|name| symbol_of(place, placed, name));
        symbols.flatten().collect()
    };
    let symbols: Vec<SymbolId> = seen(place)
        .flat_map(|placed| spans.iter().flat_map(move |span| symbols_in(placed, *span)))
        .collect();
    quantities(place, |symbol, known| {
        let stands_there = symbols.contains(&symbol);
        stands_there.then(|| unknown_first(known))
    })
}

/// Lists, by the ending of their names.
pub(super) fn lists(place: Place<'_>) -> Vec<Offer> {
    let symbols = &place.problem.problem.symbols;
    let is_list = |symbol: SymbolId| syntax::is_list_name(&symbols.symbol(symbol).key);
    quantities(place, |symbol, _| is_list(symbol).then_some(0))
}

/// Quantities of `given`.
pub(super) fn givens(place: Place<'_>) -> Vec<Offer> {
    quantities(place, |_, known| known.given().map(|_| 2))
}

/// Quantities of `given` that stand above, and `pi`.
pub(super) fn given_above(place: Place<'_>) -> Vec<Offer> {
    let cursor = place.cursor();
    let mut offers = quantities(place, |_, known| {
        let given = known.given().filter(|line| line.span.end < cursor);
        given.map(|_| 2)
    });
    offers.push(pi());
    offers
}

/// Names that are used somewhere, and that no line gives a value or asks for.
pub(super) fn undefined(place: Place<'_>) -> Vec<Offer> {
    let symbols = &place.problem.problem.symbols;
    let cursor = place.cursor();
    quantities(place, |symbol, known| {
        let is_elsewhere = |span: Span| cursor < span.start || span.end < cursor;
        let defined = symbols.symbol(symbol).defined;
        let is_known = known.is_asked || known.shown.is_some() || defined.is_some_and(is_elsewhere);
        (!is_known).then_some(2)
    })
}

fn quantities(
    place: Place<'_>,
    rank: impl Fn(SymbolId, &Known<'_>) -> Option<usize>,
) -> Vec<Offer> {
    let problem = &*place.problem.problem;
    let key = |symbol| &*problem.symbols.symbol(symbol).key;
    let mut found = Vec::new();
    for (symbol, known) in known(place) {
        let label = known.spelled.unwrap_or(key(symbol));
        let is_typed = || {
            let others = spellings(key(symbol));
            begins(label, place.typed) || others.iter().any(|it| begins(it, place.typed))
        };
        if let Some(rank) = rank(symbol, &known).filter(|_| is_typed()) {
            found.push((rank, label, symbol, known));
        }
    }
    found.sort_by_key(|(rank, label, ..)| (*rank, *label));
    // What is said beside them takes most of the time.
    found.truncate(MOST + 1);
    let mut offers = Vec::with_capacity(found.len());
    for (rank, label, symbol, known) in found {
        let mut offer = Offer::new(CompletionItemKind::VARIABLE, rank, label);
        offer.detail = match (known.shown, known.asked) {
            (Some(shown), _) => Some(facts::printed(shown)),
            (None, Some(unit)) => Some(format!("? {}", unit.text()).trim_end().to_owned()),
            (None, None) => None,
        };
        offer.says = known
            .statement
            .and_then(|statement| facts::description(problem, statement))
            .map(str::to_owned);
        offer.spellings = spellings(key(symbol));
        offers.push(offer);
    }
    offers
}

/// How a name may be typed: by its key, and with the Greek letters that it is printed with.
fn spellings(key: &str) -> Vec<String> {
    let parts = syntax::name_parts(key);
    let base = match (&parts.base, parts.decoration) {
        (Base::Greek(letter), None) => letter.to_string(),
        (Base::Latin(letters), None) => letters.clone(),
        _ => return vec![key.to_owned()],
    };
    let subscripts = parts.subscripts.iter();
    let rest = subscripts.fold(base, |before, subscript| format!("{before}_{subscript}"));
    let mut spellings = vec![key.to_owned()];
    if parts.prefix_delta {
        spellings.extend([format!("Δ{rest}"), format!("Δ_{rest}")]);
    } else if rest != key {
        spellings.push(rest);
    }
    spellings
}

/// The quantities that are named in the problem or in what all share, in their order.
fn known(place: Place<'_>) -> Vec<(SymbolId, Known<'_>)> {
    let mut known: FxHashMap<SymbolId, Known> = FxHashMap::default();
    // The name that is being written is a name as well: what stands at the cursor does not count.
    let cursor = place.offset as u32;
    let is_written = |name: Span| name.start <= cursor && cursor <= name.end;
    for placed in seen(place) {
        let names = placed.problem.occurrences.iter();
        for name in names.filter(|name| !is_written(placed.span(name.span))) {
            let Some(symbol) = symbol_of(place, placed, name) else {
                continue;
            };
            let known = known.entry(symbol).or_default();
            if known.spelled.is_none() || name.is_definition {
                known.spelled = Some(name.span.of(&placed.problem.text));
            }
        }
    }
    (place.problem.problem.statements()).for_each(|statement| tell(&mut known, statement));
    let mut known: Vec<(SymbolId, Known)> = known.into_iter().collect();
    known.sort_by_key(|(symbol, _)| *symbol);
    known
}

/// What all problems share, and the problem itself.
fn seen(place: Place<'_>) -> impl Iterator<Item = &Placed> {
    let problems = place.document.worksheet().problems.iter();
    problems.filter(move |seen| [0, place.problem.number].contains(&seen.number))
}

/// The quantity that a name of the problem means, or of what all share as it is seen from there.
fn symbol_of(place: Place<'_>, placed: &Placed, name: &Occurrence) -> Option<SymbolId> {
    let Meaning::Symbol(symbol) = name.meaning else {
        return None;
    };
    if placed.number == place.problem.number {
        return Some(symbol);
    }
    let key = &placed.problem.symbols.symbol(symbol).key;
    let seen = place.problem.find(key)?;
    (place.problem.home(seen) == placed.number).then_some(seen)
}

/// Notes what a statement tells of the quantities that are known.
fn tell<'a>(known: &mut FxHashMap<SymbolId, Known<'a>>, statement: &'a Statement) {
    let (symbols, asked): (Vec<SymbolId>, _) = match &statement.body {
        Body::Required { symbol, unit, .. } => (vec![*symbol], unit.as_ref()),
        body => (facts::defined_by(body), None),
    };
    for symbol in symbols {
        let Some(known) = known.get_mut(&symbol) else {
            continue;
        };
        let shown = facts::given_here(&statement.body, symbol);
        if shown.is_some() || known.statement.is_none() {
            known.statement = Some(statement);
        }
        known.is_asked |= matches!(statement.body, Body::Required { .. });
        known.shown = known.shown.or(shown);
        known.asked = known.asked.or(asked);
    }
}

/// The unit of a quantity, as it is printed or asked for.
pub(super) fn unit_of<'a>(place: Place<'a>, name: &str) -> Option<&'a quantity::Unit> {
    let problem = &*place.problem.problem;
    let symbol = place.problem.find(&syntax::canonical(name))?;
    let asked = || {
        (problem.statements()).find_map(|statement| match &statement.body {
            Body::Required {
                symbol: own, unit, ..
            } if *own == symbol => unit.as_ref(),
            _ => None,
        })
    };
    facts::value(problem, symbol)
        .map(|shown| &shown.unit)
        .or_else(asked)
}

/// The components of a vector, by their letters.
pub(super) fn components(place: Place<'_>, vector: &str) -> Vec<Offer> {
    let symbol = place.problem.find(&syntax::canonical(vector));
    let count = symbol.and_then(|symbol| place.problem.problem.symbols.components(symbol));
    let letters = ["x", "y", "z"].into_iter().take(count.unwrap_or(0).into());
    letters
        .map(|letter| Offer::new(CompletionItemKind::FIELD, 0, letter))
        .collect()
}

/// The functions of the author and of the language.
pub(super) fn functions(place: Place<'_>) -> Vec<Offer> {
    let problem = &*place.problem.problem;
    let symbols = &problem.symbols;
    let own = (0..symbols.function_count()).map(|at| FunctionId(at as u32));
    let own = own.filter(|id| {
        let key = &symbols.function(*id).key;
        place.problem.find_function(key) == Some(*id)
    });
    let own = own.map(|id| {
        let mut offer = Offer::new(
            CompletionItemKind::FUNCTION,
            4,
            format!("{}(", symbols.function(id).key),
        )
        .with_detail(calls::call(symbols, id));
        offer.says = facts::function(problem, id)
            .and_then(|statement| facts::description(problem, statement))
            .map(str::to_owned);
        offer
    });
    let is_own = |name: &str| {
        place.problem.find(name).is_some() || place.problem.find_function(name).is_some()
    };
    let of_language = Form::all().into_iter().filter(|form| !is_own(form.name));
    let of_language = of_language.map(|form| {
        let label = format!("{}(", form.name);
        let mut offer = Offer::new(CompletionItemKind::FUNCTION, 6, label).with_detail(form.call());
        offer.says = Some(form.gives.to_owned());
        offer
    });
    own.chain(of_language).collect()
}

/// The labels of the problem, with their equations.
pub(super) fn labels(place: Place<'_>) -> Vec<Offer> {
    let problem = &*place.problem.problem;
    let mut offers = Vec::new();
    for statement in problem.statements() {
        let label = statement.label.as_ref();
        let Some((label, number)) = label.filter(|(label, _)| begins(label, place.typed)) else {
            continue;
        };
        let number = place.problem.equation(*number);
        let source = statement.span.of(&problem.text);
        let words: Vec<&str> = source.split_whitespace().skip(1).collect();
        let detail = format!("({number}) {}", words.join(" "));
        offers.push(Offer::new(CompletionItemKind::REFERENCE, 0, label).with_detail(detail));
    }
    offers
}

/// The names of the problem's pictures, with their captions.
pub(super) fn pictures(place: Place<'_>) -> Vec<Offer> {
    let parts = place.problem.problem.parts.iter();
    let pictures = parts.flat_map(|part| place.problem.pictures_of(part));
    let offer = |(picture, number): (&Picture, usize)| {
        let label = picture.label.as_ref()?;
        let detail = format!("Figure {number}. {}", picture.caption);
        Some(Offer::new(CompletionItemKind::REFERENCE, 0, label).with_detail(detail))
    };
    pictures.filter_map(offer).collect()
}

/// The published names of constants.
pub(super) fn constants() -> Vec<Offer> {
    let offer = |constant: &quantity::Constant| {
        let value = format!("{} {}", constant.number, constant.published);
        Offer::new(CompletionItemKind::CONSTANT, 0, constant.name).with_detail(value.trim_end())
    };
    quantity::constants().iter().map(offer).collect()
}
