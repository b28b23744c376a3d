//! Points at which two expressions are tried.
//!
//! Points are the same in every run. Short numbers come first, then numbers without a pattern;
//! signs that are known and ranges that are given are respected.

use std::collections::BTreeSet;

use rustc_hash::FxHashMap;

use super::Algebra;
use super::node::{Function, Id, Node, Symbol};
use super::sign::Sign;

/// Short magnitudes, as a counterexample is pleasant to read with.
const SHORT: [f64; 10] = [2.0, 3.0, 0.5, 1.2, 0.4, 1.5, 0.7, 2.5, 0.3, 0.8];

/// Short angles, in radians.
const ANGLES: [f64; 7] = [0.4, 0.7, 0.3, 1.1, 0.9, 0.5, 1.3];

/// How many points there are.
pub(super) const MOST_POINTS: usize = 40;

/// Where expressions are tried.
#[derive(Debug, Clone, Default)]
pub struct Samples {
    ranges: FxHashMap<Symbol, (f64, f64)>,
}

impl Samples {
    /// Points within closed `ranges`; a symbol without one is tried on both sides of zero, as
    /// far as its known sign allows.
    pub fn new(ranges: FxHashMap<Symbol, (f64, f64)>) -> Self {
        Self { ranges }
    }

    /// Whether a value lies in the range of its symbol.
    pub(super) fn allows(&self, symbol: Symbol, value: f64) -> bool {
        let range = self.ranges.get(&symbol);
        range.is_none_or(|(low, high)| (*low..=*high).contains(&value))
    }

    /// Whether a symbol has one value only.
    pub(super) fn is_fixed(&self, symbol: Symbol) -> bool {
        let range = self.ranges.get(&symbol);
        range.is_some_and(|(low, high)| low == high)
    }

    /// The point of a number, for these symbols.
    pub(super) fn point(
        &self,
        algebra: &Algebra,
        symbols: &Symbols,
        at: usize,
    ) -> FxHashMap<Symbol, f64> {
        let mut random = Random::new(at as u64 + 1);
        let mut point = FxHashMap::default();
        for (place, symbol) in symbols.all.iter().enumerate() {
            let short: &[f64] = if symbols.angles.contains(symbol) {
                &ANGLES
            } else {
                &SHORT
            };
            let value = self.value(algebra, *symbol, short, (at, place), &mut random);
            point.insert(*symbol, value);
        }
        point
    }

    fn value(
        &self,
        algebra: &Algebra,
        symbol: Symbol,
        short: &[f64],
        (round, place): (usize, usize),
        random: &mut Random,
    ) -> f64 {
        let share = random.unit();
        let flip = random.unit() < 0.5;
        let magnitude = match round {
            0..6 => short[(round * 3 + place) % short.len()],
            6..9 => shortened(0.3 + 2.7 * share),
            // All below 1, as inverse functions need it.
            _ if round % 4 == 1 => 0.05 + 0.9 * share,
            // Wide apart.
            _ if round % 4 == 3 => (share * 6.0 - 2.0).exp(),
            _ => 0.3 + 2.7 * share,
        };
        if let Some((low, high)) = self.ranges.get(&symbol).copied() {
            return match (low.is_finite(), high.is_finite()) {
                (true, true) => within((low, high), share, round),
                (true, false) => low + magnitude,
                (false, true) => high - magnitude,
                (false, false) => signed(Sign::ANY, magnitude, round, flip),
            };
        }
        signed(algebra.sign_of_symbol(symbol), magnitude, round, flip)
    }
}

/// A value in a range, a short one in the first rounds.
fn within((low, high): (f64, f64), share: f64, round: usize) -> f64 {
    let value = low + (high - low) * share;
    let short = shortened(value);
    if round < 12 && (low..=high).contains(&short) {
        short
    } else {
        value
    }
}

/// The magnitude with a sign that is allowed: positive first.
fn signed(sign: Sign, magnitude: f64, round: usize, flip: bool) -> f64 {
    let is_minus = match round {
        0..3 => false,
        3 | 9 => true,
        _ => flip,
    };
    match (sign.negative, sign.positive) {
        (false, false) => 0.0,
        (true, false) => -magnitude,
        (true, true) if is_minus => -magnitude,
        _ => magnitude,
    }
}

/// The symbols of what is tried.
#[derive(Debug, Default)]
pub(super) struct Symbols {
    /// All of them.
    pub all: BTreeSet<Symbol>,
    /// Those in arguments of trigonometric functions.
    pub angles: BTreeSet<Symbol>,
}

impl Symbols {
    /// The symbols of some expressions.
    pub fn of(algebra: &Algebra, ids: &[Id]) -> Self {
        let mut symbols = Self::default();
        let mut seen = BTreeSet::new();
        let mut open = ids.to_vec();
        while let Some(id) = open.pop() {
            if !seen.insert(id) {
                continue;
            }
            match algebra.node(id) {
                Node::Symbol(symbol) => {
                    symbols.all.insert(*symbol);
                }
                Node::Call(Function::Sin | Function::Cos | Function::Tan, arguments) => {
                    for argument in arguments {
                        symbols.angles.extend(algebra.symbols(*argument));
                    }
                }
                _ => {}
            }
            open.extend(algebra.parts(id));
        }
        symbols
    }
}

/// The value with two digits.
fn shortened(value: f64) -> f64 {
    if value == 0.0 || !value.is_finite() {
        return value;
    }
    let digits = 1 - value.abs().log10().floor() as i32;
    let scale = 10_f64.powi(digits);
    (value * scale).round() / scale
}

/// Numbers without a pattern, the same in every run.
pub(super) struct Random(u64);

impl Random {
    /// Numbers that differ for each start.
    pub fn new(start: u64) -> Self {
        Self(start.wrapping_mul(0x9E37_79B9_7F4A_7C15))
    }

    /// The next whole number.
    pub fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut mixed = self.0;
        mixed = (mixed ^ (mixed >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        mixed = (mixed ^ (mixed >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        mixed ^ (mixed >> 31)
    }

    /// A number from 0 to below 1.
    pub fn unit(&mut self) -> f64 {
        (self.next() >> 11) as f64 / (1_u64 << 53) as f64
    }
}
