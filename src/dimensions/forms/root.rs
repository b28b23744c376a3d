//! A root of an equation, and where it is sought.

use super::ask::Role;
use crate::diagnostic::{Code, Diagnostic};
use crate::dimensions::infer::{self, Inference};
use crate::dimensions::{Counts, Energy, Form, Reading, Type, describe};
use crate::quantity::{Dimension, Unit};
use crate::resolve::statement::Root;
use crate::resolve::{Expr, SymbolId};

impl<'a> Inference<'a> {
    pub(super) fn root_of(&mut self, root: &'a Root) -> Option<Type> {
        self.members(&root.sides)?;
        let starts: Vec<&Expr> = root.start.values().collect();
        let found = self.unknown_of(root.symbol, &starts, root.tail.unit())?;
        self.again(&root.sides, &found)?;
        let reading = self.tail(&root.lead, &found, &root.tail, Role::Defined)?;
        self.tail_turning(&root.lead, &root.lead, &found, &root.tail)?;
        Some(Type { reading, ..found })
    }

    /// An equation once more, where its unknown is now known to count turns, cycles or radians, or
    /// to be an interval of time.
    pub(super) fn again(&mut self, sides: &[Expr], unknown: &Type) -> Option<()> {
        let is_time = unknown.form.dimension() == Some(Dimension::time());
        if unknown.counts == Counts::NOTHING && !is_time {
            return Some(());
        }
        self.members(sides).map(|_| ())
    }

    /// The type of an unknown: its dimension as the equations fix it, its reading as the value
    /// says near which it is sought, or the unit in which it is asked.
    pub(super) fn unknown_of(
        &mut self,
        symbol: SymbolId,
        starts: &[&Expr],
        asked: Option<&Unit>,
    ) -> Option<Type> {
        let mut reading = Reading::Plain;
        let mut counts = Counts::NOTHING;
        let mut energy = Energy::Untold;
        let mut types = Vec::new();
        for start in starts {
            let own = self.infer(start)?;
            let form = self.symbol(symbol).form;
            if !infer::is_zero(start) && !self.same(&form, &own.form) {
                self.report_start(start, &own.form, &form);
                return None;
            }
            if own.energy == Energy::Held {
                energy = own.energy;
            }
            if own.reading != Reading::Plain {
                reading = own.reading;
            }
            if own.counts != Counts::NOTHING {
                counts = own.counts;
            }
            types.push(own);
        }
        // Two bounds are of one kind and one datum.
        self.comparable(starts, &types)?;
        self.together(starts, &types)?;
        let form = self.symbol(symbol).form;
        let form = self.settled(&form);
        let energy = energy.within(form.dimension());
        if reading == Reading::Plain && form.dimension() == Some(Dimension::temperature()) {
            reading = Reading::EITHER;
        }
        if counts == Counts::NOTHING {
            counts = asked.map_or(counts, Counts::of_unit);
        }
        let found = Type {
            form,
            reading,
            counts,
            energy: asked.map_or(energy, |unit| energy.asked(unit)),
        };
        self.types.insert(symbol, found.clone());
        Some(found)
    }

    pub(super) fn report_start(&mut self, start: &Expr, own: &Form, wanted: &Form) {
        let message = format!(
            "`{}` is {}, but what is sought is {}",
            self.written(start),
            self.what(start, own),
            self.settled(wanted)
                .dimension()
                .map_or_else(|| "something else".to_owned(), describe::dimension),
        );
        self.diagnostics.push(
            Diagnostic::error(Code::D03, start.span, message)
                .with_help("a value with a unit of what is sought"),
        );
    }
}
