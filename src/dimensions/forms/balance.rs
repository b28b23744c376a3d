//! The pressures of a balance of forces: they count from the atmosphere, or all from vacuum.

use crate::diagnostic::{Code, Diagnostic};
use crate::dimensions::infer::Inference;
use crate::dimensions::{Datum, Reading, Type};
use crate::resolve::statement::Pressures;
use crate::resolve::{Expr, SymbolId};
use crate::text::Span;

impl Inference<'_> {
    /// What a control volume takes its pressures for in balances of forces and moments. From here
    /// on a pressure without a datum has that one.
    pub(in crate::dimensions) fn pressures_of(&mut self, counted: Pressures<'_>) -> Option<()> {
        let mut sound = true;
        let datum = match counted.surroundings {
            Some(_) => Datum::Absolute,
            None => Datum::Gauge,
        };
        for (pressure, at) in counted.surroundings.into_iter().chain(counted.sections) {
            sound &= self.counts_from(pressure, at, datum).is_some();
        }
        sound.then_some(())
    }

    fn counts_from(&mut self, pressure: &Expr, at: Span, datum: Datum) -> Option<()> {
        let told = self.diagnostics.len();
        let found = self.infer(pressure);
        // What is wrong with it is told with the sketch.
        self.diagnostics.truncate(told);
        let found = found?;
        let symbol = pressure.inside().as_symbol();
        match found.reading {
            Reading::Pressure(own, weight)
                if weight.may_be_point() && own.is_gauge() != datum.is_gauge() =>
            {
                self.report_datum(pressure, at, datum);
                return None;
            }
            Reading::Plain | Reading::Unknown | Reading::Reckoned(_) => {
                if let Some(symbol) = symbol {
                    self.notes.counted.insert(symbol, datum);
                    let counted = self.as_counted(symbol, found);
                    self.types.insert(symbol, counted);
                }
            }
            _ => {}
        }
        Some(())
    }

    /// A value of which a sketch says what it counts from.
    pub(in crate::dimensions) fn as_counted(&self, symbol: SymbolId, found: Type) -> Type {
        let is_free = matches!(
            found.reading,
            Reading::Plain | Reading::Unknown | Reading::Reckoned(_)
        );
        match self.notes.counted.get(&symbol) {
            Some(datum) if is_free => Type {
                reading: Reading::pressure(*datum),
                ..found
            },
            _ => found,
        }
    }

    fn report_datum(&mut self, pressure: &Expr, at: Span, datum: Datum) {
        let written = pressure.span.of(self.text);
        let (message, help) = match datum.is_gauge() {
            true => (
                format!(
                    "`{written}` is absolute, and the atmosphere presses all around: pressures of a \
                     balance of forces are gauge"
                ),
                format!(
                    "`pressure gauge({written})`, or a line `surroundings p_atm`, with which all are absolute"
                ),
            ),
            false => (
                format!(
                    "`{written}` is gauge, and with `surroundings` all pressures of a sketch are absolute"
                ),
                format!("`pressure absolute({written})`, or the sketch without `surroundings`"),
            ),
        };
        let is_told = (self.diagnostics.iter()).any(|it| it.code == Code::G13 && it.span == at);
        if !is_told {
            self.diagnostics
                .push(Diagnostic::error(Code::G13, at, message).with_help(help));
        }
    }
}
