//! Terms of second order (JCGM 100, 5.1.2, note, for normal sources): ΣΣ (½ fᵢⱼ² + fᵢ fᵢⱼⱼ) uᵢ² uⱼ²
//! of the square of the uncertainty, and ½ Σ fᵢᵢ uᵢ² of the value.
//!
//! At a stationary point, where every derivative by an uncertain source is itself 0, as of
//! `sin(theta)` at 90° ± 1°, they are all there is. Elsewhere they tell whether first order serves.
//! Second and third derivatives are differences of the exact first ones at one standard uncertainty
//! to either side. Sources that correlate are moved together, along the columns of the root of
//! their correlations, so that what is moved is independent.

use std::sync::Arc;

use rustc_hash::FxHashMap;

use super::definitions::{Care, Changed, Definition, Stop};
use super::number::Partial;
use super::program::{Fault, Program};
use super::sources::Bond;
use super::value::{self, Value, Values};
use super::walk::Walk;
use crate::resolve::SymbolId;

/// Of more sources the terms are not sought: their number goes with the square.
const MOST_SOURCES: usize = 40;

/// The largest change of an uncertainty that first order is said to serve with.
const MOST_CHANGE: f64 = 0.05;

/// And of a value, in standard uncertainties.
const MOST_SHIFT: f64 = 0.1;

/// Far above rounding: what is smaller beside its parts is none.
const NONE: f64 = 1e-9;

impl Walk<'_> {
    /// The value of a program, with its uncertainty of second order where those of first order
    /// vanish.
    pub(super) fn with_second_order(
        &self,
        program: &Program,
        by: &FxHashMap<SymbolId, Value>,
        mut value: Value,
    ) -> Value {
        let is_flat =
            |gradient: &[Partial]| !gradient.is_empty() && gradient.iter().all(Partial::vanishes);
        if !value.gradients.iter().any(|gradient| is_flat(gradient)) {
            return value;
        }
        let mut sources: Vec<u32> = (value.gradients.iter().flatten())
            .map(|partial| partial.source)
            .collect();
        sources.sort_unstable();
        sources.dedup();
        let directions = self.directions(&sources);
        if let Ok((_, moved)) = self.moved_along(program, by, &directions) {
            let sizes = |source: u32| self.size_of(source);
            value.second_order = (0..value.rows.len())
                .map(|row| second_order(value.gradient(row), row, &directions, &moved, &sizes))
                .collect();
        }
        value
    }

    fn size_of(&self, source: u32) -> f64 {
        self.results.sources.size(source).unwrap_or(0.0)
    }

    /// The value, and those with the sources of each direction moved backwards, and forwards; the
    /// fault of a formula that has no value there.
    fn moved_along(
        &self,
        program: &Program,
        by: &FxHashMap<SymbolId, Value>,
        directions: &[Direction],
    ) -> Result<(Value, Vec<[Value; 2]>), Option<Fault>> {
        if directions.len() > MOST_SOURCES {
            return Err(None);
        }
        let behind = self.definitions_behind([program]);
        let base = self.replay(&behind, by.clone(), Care::Nearest);
        let base = base.map_err(Stop::fault)?;
        let reads = behind.iter().flat_map(|definition| definition.reads());
        let mut fixed: Vec<(SymbolId, &Value)> = Vec::new();
        for symbol in program.symbols().chain(reads) {
            let is_formula = |it: &Arc<Definition<'_>>| {
                matches!(**it, Definition::Formula { .. } | Definition::Roots { .. })
            };
            let has_formula = self.results.definitions.get(symbol).is_some_and(is_formula);
            let is_known = has_formula
                || by.contains_key(&symbol)
                || fixed.iter().any(|(own, _)| *own == symbol);
            if let Some(value) = base.value(symbol).filter(|_| !is_known) {
                fixed.push((symbol, value));
            }
        }
        let at = |shifts: &[(u32, f64)]| {
            let moved = fixed
                .iter()
                .filter_map(|(symbol, value)| Some((*symbol, shifted(value, shifts)?)));
            let changed = Changed {
                fixed: moved.collect(),
                moved: shifts.to_vec(),
                ..Changed::to(by.clone())
            };
            let all = self.replay_changed(&behind, &changed, Care::Nearest);
            let all = all.map_err(Stop::fault)?;
            value::run(program, &all).map_err(Some)
        };
        let both = |direction: &Direction| {
            let back: Direction = direction
                .iter()
                .map(|(source, by)| (*source, -by))
                .collect();
            Ok([at(&back)?, at(direction)?])
        };
        let here = value::run(program, &base).map_err(Some)?;
        let moved = directions.iter().map(both);
        let moved = moved.collect::<Result<_, Option<Fault>>>()?;
        Ok((here, moved))
    }

    /// Directions of one standard uncertainty each in which sources are independent.
    fn directions(&self, sources: &[u32]) -> Vec<Direction> {
        let mut found = Vec::new();
        for group in self.results.sources.groups(sources, Bond::Correlated) {
            let root = self.results.sources.root_of(&group);
            let count = group.len();
            for column in 0..count {
                let parts = group.iter().enumerate().map(|(row, source)| {
                    let by = match root.get(row * count + column) {
                        Some(by) => *by,
                        None if row == column => 1.0,
                        None => 0.0,
                    };
                    (*source, by * self.size_of(*source))
                });
                found.push(parts.filter(|(_, by)| *by != 0.0).collect());
            }
        }
        found
    }

    /// What the terms of second order change of a value whose first order does not vanish, in the
    /// first row where it matters.
    pub(super) fn beyond_first_order(
        &self,
        program: &Program,
        by: &FxHashMap<SymbolId, Value>,
        value: &Value,
    ) -> Option<Beyond> {
        // One that does nothing by itself may do much together with another.
        let mut sources: Vec<u32> = (value.gradients.iter().flatten())
            .filter(|partial| self.size_of(partial.source) > 0.0)
            .map(|partial| partial.source)
            .collect();
        sources.sort_unstable();
        sources.dedup();
        if sources.is_empty() || sources.len() > MOST_SOURCES {
            return None;
        }
        let directions = self.directions(&sources);
        let (here, moved) = match self.moved_along(program, by, &directions) {
            Ok(moved) => moved,
            Err(fault) => return fault.map(|_| Beyond::NoValue),
        };
        (0..here.rows.len()).find_map(|row| {
            if value.gradient(row).iter().all(Partial::vanishes) {
                return None;
            }
            let slope = |value: &Value, along: &Direction| slope(value.gradient(row), along);
            let first: Vec<f64> = directions.iter().map(|it| slope(&here, it)).collect();
            let square: f64 = first.iter().map(|slope| slope * slope).sum();
            let (mut added, mut shift) = (0.0, 0.0);
            for (j, [below, above]) in moved.iter().enumerate() {
                for (i, direction) in directions.iter().enumerate() {
                    let (low, high) = (slope(below, direction), slope(above, direction));
                    let second = (high - low) / 2.0;
                    let third = high - 2.0 * first[i] + low;
                    added += 0.5 * second * second + first[i] * third;
                    if i == j {
                        shift += 0.5 * second;
                    }
                }
            }
            let (size, whole) = (square.sqrt(), square + added);
            let is_known = size > 0.0 && whole.is_finite() && shift.is_finite();
            let changes = (whole.max(0.0).sqrt() - size).abs() > MOST_CHANGE * size;
            let moves = shift.abs() > MOST_SHIFT * size;
            (is_known && (changes || moves)).then(|| Beyond::Changed {
                size,
                with: (whole > 0.0).then(|| whole.sqrt()),
                shift: if moves { shift } else { 0.0 },
            })
        })
    }
}

/// Sources that are moved together, and how far.
type Direction = Vec<(u32, f64)>;

/// What a value with this gradient changes by along a direction.
fn slope(gradient: &[Partial], along: &Direction) -> f64 {
    let parts = along.iter().map(|(source, by)| {
        Partial::among(gradient, *source).map_or(0.0, |partial| partial.slope * by)
    });
    parts.sum()
}

/// What second order says beyond the first.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Beyond {
    /// One standard uncertainty beside the data there is no value.
    NoValue,
    /// In coherent SI units: the standard uncertainty of first order, that with the terms of second
    /// order where it is one, and by how much they move the value where that matters.
    Changed {
        size: f64,
        with: Option<f64>,
        shift: f64,
    },
}

/// A value that has no formula, moved by its errors to first order; nothing where it has none of
/// them.
fn shifted(value: &Value, shifts: &[(u32, f64)]) -> Option<Value> {
    let mut is_moved = false;
    let mut own = value.clone();
    for (row, number) in own.rows.iter_mut().enumerate() {
        for (source, by) in shifts {
            if let Some(partial) = Partial::among(value.gradient(row), *source) {
                is_moved = true;
                *number += partial.slope * by;
            }
        }
    }
    own.made = None;
    is_moved.then_some(own)
}

/// The uncertainty of second order in a row; 0 where the value does not change at all.
fn second_order(
    gradient: &[Partial],
    row: usize,
    directions: &[Direction],
    moved: &[[Value; 2]],
    size: &dyn Fn(u32) -> f64,
) -> f64 {
    let mut square = 0.0;
    for [below, above] in moved {
        for along in directions {
            let [low, high] = [below, above].map(|value| slope(value.gradient(row), along));
            // The difference over two uᵢ, times uᵢ.
            square += 0.5 * ((high - low) / 2.0).powi(2);
        }
    }
    let parts: f64 = (gradient.iter())
        .map(|partial| partial.parts * size(partial.source))
        .filter(|part| part.is_finite())
        .sum();
    let found = square.sqrt();
    if found > NONE * parts { found } else { 0.0 }
}
