//! The uncertainty of a value at a stationary point, where every derivative by an uncertain source
//! is itself 0: `sin(theta)` at 90° ± 1°.
//!
//! The terms of second order (JCGM 100, 5.1.2, note, for normal sources) are then all there is:
//! u² = ½ ΣΣ (∂²f/∂xᵢ∂xⱼ uᵢ uⱼ)². The second derivatives are differences of the exact first ones
//! at one standard uncertainty to either side.

use rustc_hash::FxHashMap;

use super::definitions::Care;
use super::number::Partial;
use super::program::Program;
use super::value::{self, Value};
use super::walk::Walk;
use crate::resolve::SymbolId;

/// Of more sources the terms are not sought: their number goes with the square.
const MOST_SOURCES: usize = 40;

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
        if let Some(moved) = self.moved(program, by, &sources) {
            let sizes = |source: u32| self.size_of(source);
            value.second_order = (0..value.rows.len())
                .map(|row| second_order(value.gradient(row), row, &sources, &moved, &sizes))
                .collect();
        }
        value
    }

    fn size_of(&self, source: u32) -> f64 {
        self.results.sources.size(source).unwrap_or(0.0)
    }

    /// The values with each source one standard uncertainty lower, and higher.
    fn moved(
        &self,
        program: &Program,
        by: &FxHashMap<SymbolId, Value>,
        sources: &[u32],
    ) -> Option<Vec<[Value; 2]>> {
        if sources.len() > MOST_SOURCES {
            return None;
        }
        let behind = self.definitions_behind([program]);
        let at = |source: u32, shift: f64| {
            let moved = Some((source, shift));
            let all = self.replay_moved(&behind, by.clone(), moved, Care::Nearest);
            value::run(program, &all.ok()?).ok()
        };
        let both = |source: &u32| {
            let size = self.size_of(*source);
            Some([at(*source, -size)?, at(*source, size)?])
        };
        sources.iter().map(both).collect()
    }
}

/// The uncertainty of second order in a row; 0 where the value does not change at all.
fn second_order(
    gradient: &[Partial],
    row: usize,
    sources: &[u32],
    moved: &[[Value; 2]],
    size: &dyn Fn(u32) -> f64,
) -> f64 {
    let mut square = 0.0;
    for [below, above] in moved {
        for source in sources {
            let slope = |value: &Value| {
                let found = value.gradient(row).iter().find(|it| it.source == *source);
                found.map_or(0.0, |partial| partial.slope)
            };
            // The difference over two uᵢ, times uᵢ.
            let term = (slope(above) - slope(below)) / 2.0 * size(*source);
            square += 0.5 * term * term;
        }
    }
    let parts: f64 = (gradient.iter())
        .map(|partial| partial.parts * size(partial.source))
        .filter(|part| part.is_finite())
        .sum();
    let found = square.sqrt();
    if found > NONE * parts { found } else { 0.0 }
}
