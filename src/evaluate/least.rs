//! What lies below the least that a quantity can be.

use super::walk::Walk;
use crate::diagnostic::{Code, Diagnostic};
use crate::resolve::{Shape, Statement};

impl Walk<'_> {
    /// Reports temperatures below absolute zero and absolute pressures below vacuum among what a
    /// line defines: neither data nor formulas that are right give one.
    pub(super) fn report_below_least(&mut self, statement: &Statement) {
        for symbol in statement.defines.iter().chain(&statement.unknowns) {
            let found = self.checked.symbols.get(*symbol);
            let least = found.and_then(|found| found.reading.least());
            let (Some(least), Some(value)) = (least, self.results.values.get(*symbol)) else {
                continue;
            };
            // What rounding makes of the least itself is not below it.
            let below = (value.present()).find(|(row, size)| *size < -value.error(*row));
            let Some((row, _)) = below else {
                continue;
            };
            let name = &self.resolved.symbols.symbol(*symbol).key;
            let row = match value.shape {
                Shape::List => format!(" in row {}", row + 1),
                Shape::One | Shape::Vector => String::new(),
            };
            self.diagnostics.push(
                Diagnostic::error(
                    Code::R09,
                    statement.span,
                    format!("`{name}` lies below {least}{row}"),
                )
                .with_help(
                    "the right sign and unit; `K` or `difference` for an interval, and `gauge` for a pressure from the atmosphere",
                ),
            );
        }
    }
}
