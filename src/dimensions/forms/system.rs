//! Names that together satisfy equations.

use crate::dimensions::infer::Inference;
use crate::dimensions::{Counts, Form, Reading, Type};
use crate::resolve::Expr;
use crate::resolve::statement::System;

impl<'a> Inference<'a> {
    pub(super) fn system(&mut self, system: &'a System) -> Option<Type> {
        let (mut sound, mut counted) = (true, false);
        for sides in &system.equations {
            sound &= self.members(sides).is_some();
        }
        for (symbol, _, start) in &system.unknowns {
            let starts: Vec<&Expr> = start.iter().collect();
            let asked = self.notes.wanted.get(symbol).cloned().unwrap_or_default();
            let found = self.unknown_of(*symbol, &starts, asked.unit.as_ref(), asked.datum);
            sound &= found.is_some();
            counted |= found.is_some_and(|found| {
                found.counts != Counts::NOTHING || found.reading.tells_more_than(Reading::EITHER)
            });
        }
        if sound && counted {
            // Once more, now that it is known what the unknowns count, and from what.
            for sides in &system.equations {
                sound &= self.members(sides).is_some();
                let mut unknowns = system.unknowns.iter();
                sound &= unknowns.all(|(symbol, place, _)| {
                    self.is_no_interval(sides, *symbol, *place).is_some()
                });
            }
        }
        sound.then(|| Type::plain(Form::default()))
    }
}
