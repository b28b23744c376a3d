//! Units: the author's own first, and those that fit what is asked for.

use lsp_types::CompletionItemKind;
use rustc_hash::FxHashSet;

use super::{Offer, Place, dimension, names};
use crate::quantity::{self, Dimension, Exponent, Family, Row, Unit};
use crate::worksheet::{Body, Worksheet};

/// The prefixes that are met most; others are offered once they are typed.
const PREFIXES: &[&str] = &["k", "m", "c", "M", "u", "n", "G"];

/// Units for the quantity `of`.
pub(super) fn units(place: Place<'_>, of: Option<&str>) -> Vec<Offer> {
    let wanted = of.and_then(|sides| dimension::of(place, sides));
    let fits = |dimension: Dimension| wanted == Some(dimension);
    let used = used(place.document.worksheet());
    let mut offers: Vec<Offer> = used
        .iter()
        .map(|unit| {
            let rank = match wanted {
                Some(_) if !fits(unit.dimension()) => 4,
                _ => 0,
            };
            offer(rank, unit.source(), unit.dimension())
        })
        .collect();
    for row in quantity::list() {
        let rank = match row.family() {
            _ if !fits(row.dimension()) => 8,
            Some(Family::Us) => 3,
            _ => 2,
        };
        let coherent = row.factor() == 1.0;
        offers.push(Offer {
            order: if coherent { 0 } else { PREFIXES.len() + 1 },
            ..offer(rank, row.symbol(), row.dimension()).with_detail(detail(row))
        });
        // `GTorr` is a unit, and nobody means it until it is typed.
        if (rank < 8 && coherent) || !place.typed.is_empty() {
            offers.extend(prefixed(row, rank));
        }
    }
    let Some(wanted) = wanted else {
        return offers;
    };
    if wanted.is_none() {
        offers.extend(of.filter(|of| !is_angle(place, of)).map(|_| percent()));
        return offers;
    }
    offers.extend(composed(&used, wanted));
    offers.extend(coherent(wanted));
    offers
}

/// The coherent SI unit.
fn coherent(wanted: Dimension) -> Option<Offer> {
    let unit = Unit::from_source(&wanted.symbol()).ok()?;
    (unit.dimension() == wanted).then(|| Offer {
        order: 1,
        ..offer(0, unit.source(), wanted)
    })
}

/// Whether what is asked for is an angle, as far as that can be told.
fn is_angle(place: Place<'_>, of: &str) -> bool {
    let by_unit = || {
        let first = of.split('=').next().unwrap_or(of);
        let unit = names::unit_of(place, first.trim());
        unit.is_some_and(|unit| !matches!(unit.source(), "" | "%"))
    };
    let words = ["asin", "acos", "atan", "direction("];
    words.iter().any(|word| of.contains(word)) || by_unit()
}

/// `%`, where it is likelier than any other unit.
pub(super) fn percent() -> Offer {
    Offer::new(CompletionItemKind::UNIT, 0, "%").with_detail("per cent")
}

/// Units after one that may be complete: words are likelier there.
pub(super) fn further(place: Place<'_>) -> Vec<Offer> {
    let mut offers = units(place, None);
    for offer in &mut offers {
        // Ranks have one figure.
        offer.rank = (offer.rank + 2).min(9);
    }
    offers
}

/// So many of the author's units are put together, no more.
const MOST_COMPOSED: usize = 12;

/// The quotients and products of two of the author's units that fit and say what is meant; a
/// length goes last in a product: `kN m`.
fn composed(used: &[&Unit], wanted: Dimension) -> Vec<Offer> {
    let is_simple = |unit: &&&Unit| quantity::is_unit(unit.source());
    let simple: Vec<&Unit> = used
        .iter()
        .filter(is_simple)
        .take(MOST_COMPOSED)
        .copied()
        .collect();
    let is_length = |unit: &Unit| unit.dimension() == Dimension::length();
    let mut offers = Vec::new();
    for (at, one) in simple.iter().enumerate() {
        for (place, other) in simple.iter().enumerate() {
            let (a, b) = (one.source(), other.source());
            if !is_telling(one.dimension(), other.dimension(), wanted) {
                continue;
            }
            if one.dimension().over(other.dimension()) == Some(wanted) {
                offers.push(format!("{a}/{b}"));
            }
            if place > at && one.dimension().times(other.dimension()) == Some(wanted) {
                let swapped = is_length(one) && !is_length(other);
                offers.push(match swapped {
                    true => format!("{b} {a}"),
                    false => format!("{a} {b}"),
                });
            }
        }
    }
    let understood = |symbol: &String| Unit::from_source(symbol).is_ok();
    let offers = offers.into_iter().filter(understood);
    offers.map(|symbol| offer(0, &symbol, wanted)).collect()
}

/// Whether two units put together say what is meant: they measure different quantities, and no
/// more than one power of a base unit cancels. `kN/m` and `kJ/kg` do; `kW/kN` is a velocity that nobody
/// writes so.
fn is_telling(one: Dimension, other: Dimension, wanted: Dimension) -> bool {
    let size = |dimension: Dimension| -> Exponent {
        let exponents = dimension.exponents().into_iter();
        exponents.map(|power| power.max(-power)).sum()
    };
    let cancelled = size(one) + size(other) - size(wanted);
    one != other && cancelled <= Exponent::from_integer(2)
}

fn offer(rank: usize, symbol: &str, dimension: Dimension) -> Offer {
    let offer = Offer::new(CompletionItemKind::UNIT, rank, symbol);
    match dimension.noun() {
        Some(noun) => offer.with_detail(noun),
        None => offer,
    }
}

/// "newton, force".
fn detail(row: &Row) -> String {
    match row.dimension().noun() {
        Some(noun) => format!("{}, {noun}", row.name()),
        None => row.name().to_owned(),
    }
}

fn prefixed(row: &'static Row, rank: usize) -> impl Iterator<Item = Offer> {
    let prefixes = match row.takes_prefixes() {
        true => PREFIXES,
        false => &[],
    };
    prefixes.iter().enumerate().filter_map(move |(at, prefix)| {
        let symbol = format!("{prefix}{}", row.symbol());
        let name = quantity::describe(&symbol)?;
        let offer = offer(rank, &symbol, row.dimension()).with_detail(name);
        let order = at + 1;
        Some(Offer { order, ..offer })
    })
}

/// The units that the author has written, each once.
fn used(worksheet: &Worksheet) -> Vec<&Unit> {
    let mut used: Vec<&Unit> = Vec::new();
    let mut known: FxHashSet<&str> = FxHashSet::default();
    for (_, statement) in worksheet.statements() {
        let unit = match &statement.body {
            Body::Given { shown, .. } => Some(&shown.unit),
            Body::Work(work) => Some(&work.shown.unit),
            Body::Required { unit, .. } => unit.as_ref(),
            Body::Answer { shown, .. } => Some(&shown.unit),
            _ => None,
        };
        let new = unit
            .filter(|unit| !unit.source().is_empty())
            .filter(|unit| known.insert(unit.source()));
        used.extend(new);
    }
    used
}
