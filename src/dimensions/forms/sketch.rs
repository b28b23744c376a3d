//! A sketch: its balances have one dimension, and its pressures count from where they do there.

use crate::diagnostic::{Code, Diagnostic};
use crate::dimensions::infer::Inference;
use crate::dimensions::{Datum, Form, Reading, Type, infer};
use crate::resolve::statement::Sketch;
use crate::resolve::{Expr, Kind, Statement, SymbolId};

impl Inference<'_> {
    pub(super) fn sketch(&mut self, sketch: &Sketch) -> Option<Type> {
        for members in &sketch.balances {
            self.members(members)?;
        }
        for (expr, datum) in pressures(sketch) {
            // A name is told where its value stands.
            if expr.as_symbol().is_none() {
                let found = self.infer(expr)?;
                self.read_from(expr, &found, (datum, &sketch.label))?;
            }
        }
        Some(Type::plain(Form::default()))
    }

    /// Notes from what a sketch reads its pressures.
    pub(in crate::dimensions) fn know_sketched(&mut self, statement: &Statement) {
        let Some(Kind::Sketch(sketch)) = &statement.kind else {
            return;
        };
        for (expr, datum) in pressures(sketch) {
            let Some(symbol) = expr.as_symbol() else {
                continue;
            };
            let label = sketch.label.clone();
            let before = self.notes.sketched.insert(symbol, (datum, label));
            if let Some((other, its)) = before.filter(|(other, _)| *other != datum) {
                let written = self.written(expr);
                let message = format!(
                    "`{written}` is {} in the sketch `{its}`, and {} here",
                    of_datum(other),
                    of_datum(datum)
                );
                self.diagnostics.push(
                    Diagnostic::error(Code::G13, expr.span, message)
                        .with_help("`surroundings p_atm` in both sketches, or in neither"),
                );
            }
        }
    }

    /// What a sketch reads from a datum has it, where it has none of its own.
    pub(in crate::dimensions) fn as_sketched(&self, symbol: SymbolId, found: Type) -> Type {
        let Some((datum, _)) = self.notes.sketched.get(&symbol) else {
            return found;
        };
        let is_pressure = self.settled(&found.form).dimension() == infer::pressure().dimension();
        let is_free = match found.reading {
            Reading::Plain | Reading::Unknown => true,
            Reading::Pressure(_, weight) => weight.may_be_interval() && weight.may_be_point(),
            Reading::Scaled(..) | Reading::Reckoned(_) | Reading::Level => false,
        };
        match is_pressure && is_free {
            true => Type {
                reading: Reading::pressure(*datum),
                ..found
            },
            false => found,
        }
    }

    /// Whether the value of a name counts from where a sketch reads it.
    pub(in crate::dimensions) fn read_as_sketched(
        &mut self,
        symbol: SymbolId,
        value: &Expr,
        found: &Type,
    ) -> Option<()> {
        let Some((datum, label)) = self.notes.sketched.get(&symbol).cloned() else {
            return Some(());
        };
        self.read_from(value, found, (datum, &label))
    }

    fn read_from(
        &mut self,
        value: &Expr,
        found: &Type,
        (datum, label): (Datum, &str),
    ) -> Option<()> {
        let own = found.reading.counts_from();
        let Some(own) = own.filter(|own| own.is_gauge() != datum.is_gauge()) else {
            return Some(());
        };
        let message = format!(
            "this is {}, and pressures in the sketch `{label}` are {}",
            of_datum(own),
            of_datum(datum)
        );
        let help = match datum.is_gauge() {
            true => "`gauge(…)` of it in the sketch, or its gauge reading here",
            false => "`absolute(…)` of it in the sketch, or its absolute reading here",
        };
        self.diagnostics
            .push(Diagnostic::error(Code::G13, value.span, message).with_help(help));
        None
    }
}

/// The pressures of a sketch, each with its datum.
fn pressures(sketch: &Sketch) -> impl Iterator<Item = (&Expr, Datum)> {
    let gauge = sketch.gauge.iter().map(|id| (id, Datum::Gauge));
    let absolute = sketch.absolute.iter().map(|id| (id, Datum::Absolute));
    let both = gauge.chain(absolute);
    both.filter_map(|(id, datum)| Some((sketch.quantities.get(*id)?, datum)))
}

fn of_datum(datum: Datum) -> &'static str {
    match datum.is_gauge() {
        true => "gauge",
        false => "absolute",
    }
}
