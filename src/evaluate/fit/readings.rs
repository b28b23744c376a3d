//! Which errors the readings of a row have of their own.
//!
//! An error that is met in one row only is that row's own; one that several rows have, or a number
//! beside the lists, is common to them, weights nothing, and goes through the fit by its
//! derivatives.

use rustc_hash::{FxHashMap, FxHashSet};

use crate::evaluate::program::Rows;
use crate::evaluate::sources::{Growth, Sources};
use crate::evaluate::value::{self, Value, Values};
use crate::resolve::SymbolId;
use crate::statistics::conditions::{Own, Row, Size};

/// The rows of the lists of a formula.
#[derive(Clone)]
pub(super) struct Readings {
    /// The lists.
    pub lists: Vec<SymbolId>,
    /// The rows in which every list has an entry.
    pub rows: Vec<usize>,
    /// Their entries, with the errors that they have of their own.
    pub own: Vec<Row>,
    /// What each reading of a row is one of, where it has a name.
    pub names: Vec<Vec<SymbolId>>,
    /// The number of each of these errors.
    pub numbers: Vec<Vec<u32>>,
    /// How large each is as it is known.
    pub sizes: Vec<Vec<f64>>,
    /// Errors of several rows.
    pub common: FxHashSet<u32>,
    /// The smallest degrees of freedom of an own error.
    pub degrees: f64,
    /// Whether an own error grows with its reading.
    pub grows: bool,
    /// The first row with an own error that was found from the scatter of that row alone.
    pub by_scatter: Option<usize>,
}

/// The errors that several rows of some lists have, and those of numbers beside them.
pub fn common(lists: &[&Value], rows: &[usize], sources: &Sources) -> FxHashSet<u32> {
    let mut met: FxHashMap<u32, usize> = FxHashMap::default();
    let mut common = FxHashSet::default();
    for &row in rows {
        for partial in lists.iter().flat_map(|list| list.gradient(row)) {
            let first = *met.entry(partial.source).or_insert(row);
            let is_single = sources
                .block_of(partial.source)
                .and_then(|at| sources.blocks().get(at))
                .is_none_or(|block| block.count == 1);
            if first != row || (is_single && rows.len() > 1) {
                common.insert(partial.source);
            }
        }
    }
    common
}

impl Readings {
    /// Of lists with so many rows.
    pub(super) fn of(
        lists: Vec<SymbolId>,
        all: &Rows,
        chosen: Option<&[Option<bool>]>,
        values: &dyn Values,
        sources: &Sources,
    ) -> Self {
        let found: Vec<&Value> = (lists.iter())
            .filter_map(|symbol| values.value(*symbol))
            .collect();
        let is_whole = |row: &usize| {
            let mut lists = lists.iter();
            let is_chosen = chosen.is_none_or(|chosen| chosen.get(*row) == Some(&Some(true)));
            all.has(*row) && is_chosen && !lists.any(|list| value::is_missing(values, *list, *row))
        };
        let rows: Vec<usize> = (0..all.count).filter(is_whole).collect();
        let common = common(&found, &rows, sources);
        let mut readings = Self {
            lists,
            rows,
            own: Vec::new(),
            names: Vec::new(),
            numbers: Vec::new(),
            sizes: Vec::new(),
            common,
            degrees: f64::INFINITY,
            grows: false,
            by_scatter: None,
        };
        for at in 0..readings.rows.len() {
            readings.take(readings.rows[at], &found, values, sources);
        }
        readings
    }

    fn take(&mut self, row: usize, lists: &[&Value], values: &dyn Values, sources: &Sources) {
        let mut own = Row {
            entries: lists.iter().map(|list| list.at(row)).collect(),
            readings: Vec::new(),
            errors: Vec::new(),
        };
        let (mut numbers, mut sizes) = (Vec::new(), Vec::new());
        let mut read: Vec<SymbolId> = Vec::new();
        for (at, list) in lists.iter().enumerate() {
            for partial in list.gradient(row) {
                let size = sources.size(partial.source).unwrap_or(0.0);
                let is_none = partial.vanishes() || (size == 0.0 && partial.slope == 0.0);
                if self.common.contains(&partial.source) || is_none {
                    continue;
                }
                if let Some(known) = numbers.iter().position(|it| *it == partial.source) {
                    let error: &mut Own = &mut own.errors[known];
                    error.by_entry[at] = partial.slope;
                    continue;
                }
                let block = sources.block_of(partial.source);
                let block = block.and_then(|at| sources.blocks().get(at));
                let (growth, name) = block.map_or((Growth::Fixed, None), |block| {
                    if block.about.by_scatter && !block.about.is_one {
                        self.by_scatter.get_or_insert(row);
                    }
                    self.degrees = self.degrees.min(block.about.degrees);
                    (block.about.growth, block.about.names.first().copied())
                });
                let raw = name.and_then(|name| Some((name, values.value(name)?.at(row))));
                let reading = match raw {
                    Some((name, raw)) => {
                        let known = read.iter().position(|it| *it == name);
                        known.unwrap_or_else(|| {
                            read.push(name);
                            own.readings.push(raw);
                            read.len() - 1
                        })
                    }
                    None => {
                        own.readings.push(0.0);
                        read.push(SymbolId(u32::MAX));
                        read.len() - 1
                    }
                };
                let grown = match (growth, raw) {
                    (Growth::Share(part), Some(_)) => Size::Share(part, reading),
                    (Growth::Root, Some(_)) => Size::Root(1.0, reading),
                    _ => Size::Fixed(size),
                };
                self.grows |= !matches!(grown, Size::Fixed(_));
                let mut by_entry = vec![0.0; lists.len()];
                by_entry[at] = partial.slope;
                own.errors.push(Own {
                    size: grown,
                    reading,
                    by_entry,
                });
                numbers.push(partial.source);
                sizes.push(size);
            }
        }
        self.own.push(own);
        self.names.push(read);
        self.numbers.push(numbers);
        self.sizes.push(sizes);
    }

    /// With all entries of a list, and readings of that name, moved.
    pub(super) fn moved(&self, symbol: SymbolId, by: f64) -> Self {
        let mut moved = self.clone();
        let list = self.lists.iter().position(|list| *list == symbol);
        for (row, names) in moved.own.iter_mut().zip(&self.names) {
            if let Some(entry) = list.and_then(|list| row.entries.get_mut(list)) {
                *entry += by;
            }
            let named = row.readings.iter_mut().zip(names);
            named
                .filter(|(_, name)| **name == symbol)
                .for_each(|(reading, _)| *reading += by);
        }
        moved
    }

    /// Whether the entries of some lists have errors of their own.
    pub(super) fn have_own(&self, of: &[SymbolId]) -> bool {
        let is_of: Vec<bool> = self.lists.iter().map(|list| of.contains(list)).collect();
        let has = |error: &Own| {
            let slopes = error.by_entry.iter().zip(&is_of);
            slopes
                .into_iter()
                .any(|(slope, is_of)| *is_of && *slope != 0.0)
        };
        self.own.iter().flat_map(|row| &row.errors).any(has)
    }
}
