//! Units: the author's own first, and those that fit what is asked for.

use lsp_types::CompletionItemKind;

use super::super::facts;
use super::{Offer, Place, names};
use crate::quantity::{self, Dimension, Family, Row, Unit};
use crate::worksheet::{Body, Worksheet};

/// The prefixes that are met most; others are offered once they are typed.
const PREFIXES: &[&str] = &["k", "m", "c", "M", "u", "n", "G"];

/// Units for the quantity `of`, of which `typed` is written.
pub(super) fn units(place: Place<'_>, of: Option<&str>, typed: &str) -> Vec<Offer> {
    let wanted = of
        .and_then(|name| names::unit_of(place, name))
        .map(Unit::dimension);
    let fits = |dimension: Dimension| wanted == Some(dimension);
    let mut offers: Vec<Offer> = used(place.document.worksheet())
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
        if (rank < 8 && coherent) || !typed.is_empty() {
            offers.extend(prefixed(row, rank));
        }
    }
    let coherent = wanted.map(|dimension| (dimension.symbol(), dimension));
    offers.extend(coherent.and_then(|(symbol, dimension)| {
        let unit = Unit::from_source(&symbol).ok()?;
        (unit.dimension() == dimension).then(|| Offer {
            order: 1,
            ..offer(0, unit.source(), dimension)
        })
    }));
    offers
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
    for (_, statement) in facts::statements(worksheet) {
        let unit = match &statement.body {
            Body::Given { shown, .. } => Some(&shown.unit),
            Body::Work(work) => Some(&work.shown.unit),
            Body::Required { unit, .. } => unit.as_ref(),
            Body::Answer { shown, .. } => Some(&shown.unit),
            _ => None,
        };
        let new = unit
            .filter(|unit| !unit.source().is_empty())
            .filter(|unit| used.iter().all(|known| known.source() != unit.source()));
        used.extend(new);
    }
    used
}
