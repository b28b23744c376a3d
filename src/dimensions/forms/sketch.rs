//! A sketch: its balances have one dimension, and its pressures count from where they do there.

use crate::diagnostic::{Code, Diagnostic};
use crate::dimensions::infer::Inference;
use crate::dimensions::{Datum, Form, Reading, Type, infer};
use crate::resolve::statement::{Counted, Meant, Sketch};
use crate::resolve::{Expr, Kind, Statement, SymbolId};

impl Inference<'_> {
    pub(super) fn sketch(&mut self, sketch: &Sketch) -> Option<Type> {
        for members in &sketch.balances {
            self.members(members)?;
        }
        self.count(sketch.pressures(), &sketch.label)?;
        Some(Type::plain(Form::default()))
    }

    /// What a balance counts from the atmosphere.
    pub(super) fn counted_by(&mut self, meant: &Meant) -> Option<()> {
        self.count(meant.pressures().into_iter(), &meant.sketch.label)
    }

    /// Whether pressures count from where a sketch has them.
    fn count<'s>(
        &mut self,
        pressures: impl Iterator<Item = Counted<'s>>,
        label: &str,
    ) -> Option<()> {
        for Counted { pressure, is_gauge } in pressures {
            // A name is told where its value stands.
            if pressure.as_symbol().is_none() {
                let found = self.infer(pressure)?;
                self.read_from(pressure, &found, (datum(is_gauge), label))?;
            }
        }
        Some(())
    }

    /// Notes from what a sketch reads its pressures, and a balance of it.
    pub(in crate::dimensions) fn know_sketched(&mut self, statement: &Statement) {
        if let Some(Kind::Sketch(sketch)) = &statement.kind {
            self.know_counted(sketch.pressures(), &sketch.label);
        }
        let written = match &statement.kind {
            Some(Kind::Balance(balance)) => Some(&balance.meant),
            _ => None,
        };
        let meant = statement.facts().meant.map(|(_, meant)| meant);
        for meant in written.into_iter().chain(meant) {
            self.know_counted(meant.pressures().into_iter(), &meant.sketch.label);
        }
    }

    fn know_counted<'s>(&mut self, pressures: impl Iterator<Item = Counted<'s>>, label: &str) {
        for Counted { pressure, is_gauge } in pressures {
            let Some(symbol) = pressure.as_symbol() else {
                continue;
            };
            let own = datum(is_gauge);
            let known = self.notes.sketched.entry(symbol);
            let (other, its) = known.or_insert_with(|| (own, label.into()));
            if *other == own {
                continue;
            }
            let written = pressure.span.of(self.text);
            let message = format!(
                "`{written}` is {} in the sketch `{its}`, and {} here",
                of_datum(*other),
                of_datum(own)
            );
            let is_told = (self.diagnostics.iter())
                .any(|it| it.code == Code::G13 && it.span == pressure.span);
            if !is_told {
                self.diagnostics.push(
                    Diagnostic::error(Code::G13, pressure.span, message)
                        .with_help("`surroundings p_atm` in both sketches, or in neither"),
                );
            }
        }
    }

    /// A name as its sketch reads it, whatever it is.
    pub(in crate::dimensions) fn read_by_its_sketch(&self, symbol: SymbolId, found: Type) -> Type {
        match self.notes.sketched.get(&symbol) {
            Some((datum, _)) if self.is_pressure(&found) => Type {
                reading: Reading::pressure(*datum),
                ..found
            },
            _ => found,
        }
    }

    fn is_pressure(&self, found: &Type) -> bool {
        self.settled(&found.form).dimension() == infer::pressure().dimension()
    }

    /// What a sketch reads from a datum has it, where it has none of its own.
    pub(in crate::dimensions) fn as_sketched(&self, symbol: SymbolId, found: Type) -> Type {
        let is_free = match found.reading {
            // What is reckoned from pressures is found by the balance.
            Reading::Plain | Reading::Unknown | Reading::Reckoned(_) => true,
            Reading::Pressure(_, weight) => weight.may_be_interval() && weight.may_be_point(),
            Reading::Scaled(..) | Reading::Level => false,
        };
        match is_free {
            true => self.read_by_its_sketch(symbol, found),
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
            true => {
                "`gauge(…)` of it in the sketch, its gauge reading here, or a line `surroundings p_atm` in the sketch"
            }
            false => {
                "`absolute(…)` of it in the sketch, its absolute reading here, or the sketch without `surroundings`"
            }
        };
        self.diagnostics
            .push(Diagnostic::error(Code::G13, value.span, message).with_help(help));
        None
    }
}

fn datum(is_gauge: bool) -> Datum {
    match is_gauge {
        true => Datum::Gauge,
        false => Datum::Absolute,
    }
}

fn of_datum(datum: Datum) -> &'static str {
    match datum.is_gauge() {
        true => "gauge",
        false => "absolute",
    }
}
