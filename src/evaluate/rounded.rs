//! What rounding the results between makes of a result.

use super::convert;
use super::instead::{Instead, Refusal, Replay};
use super::slips::{AtTheEnd, SlipOf};
use super::value::Value;
use crate::quantity::Unit;
use crate::resolve::SymbolId;

impl Replay<'_> {
    /// What rounding each result between to so many figures, in its own unit, makes of a result,
    /// with a slip where there is one: half a unit in the last of them each, the root of the sum of
    /// their squares. One number for each of the result.
    ///
    /// What was given is not rounded, and neither is what `instead` has.
    ///
    /// # Errors
    /// Why the result has no value.
    pub fn rounded(
        &self,
        symbol: SymbolId,
        slip: Option<&SlipOf>,
        instead: &Instead,
        figures: i32,
    ) -> Result<Vec<f64>, Refusal> {
        let (own, at_the_end) = match slip {
            Some(slip) => self.with_slip(slip, instead)?,
            None => (instead.clone(), AtTheEnd::NOTHING),
        };
        let value = self.value(symbol, &own)?;
        let mut squares = vec![0.0; value.rows.len()];
        for between in self.behind_with(symbol, &own)? {
            if between == symbol || self.datum(between).is_some() {
                continue;
            }
            let number = self.value(between, &own)?;
            for row in 0..number.rows.len() {
                let mut off = number.clone();
                off.rows[row] += self.half_a_unit(between, &number, row, figures);
                // Where there is no value beside it, there is none to compare with.
                let Ok(moved) = self.value(symbol, &own.clone().with(between, off)) else {
                    continue;
                };
                let pairs = moved.rows.iter().zip(&value.rows);
                for (square, (moved, here)) in squares.iter_mut().zip(pairs) {
                    let by = moved - here;
                    if by.is_finite() {
                        *square += by * by;
                    }
                }
            }
        }
        let size = |square: &f64| square.sqrt() * at_the_end.scale.abs();
        Ok(squares.iter().map(size).collect())
    }

    /// Half a unit in a figure of a number, in its own unit; in coherent SI units.
    fn half_a_unit(&self, symbol: SymbolId, value: &Value, row: usize, figures: i32) -> f64 {
        let found = self.walk.checked.symbols.get(symbol);
        let line = self.line(symbol);
        let unit = line.and_then(|line| line.facts().unit.cloned());
        let (Some(found), Some(unit)) = (found, unit.or_else(|| Some(Unit::one()))) else {
            return 0.0;
        };
        let shown = |si: f64| convert::in_unit(si, found.reading, found.counts, &unit);
        let number = shown(value.at(row)).abs();
        if number == 0.0 || !number.is_finite() {
            return 0.0;
        }
        let half = 0.5 * 10_f64.powi(number.log10().floor() as i32 + 1 - figures);
        half / (shown(1.0) - shown(0.0)).abs()
    }
}
