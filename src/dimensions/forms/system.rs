//! Names that together satisfy equations.

use crate::dimensions::infer::Inference;
use crate::dimensions::{Counts, Form, Type};
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
            let asked = (self.notes.wanted.get(symbol)).and_then(|ask| ask.unit.clone());
            let found = self.unknown_of(*symbol, &starts, asked.as_ref());
            sound &= found.is_some();
            counted |= found.is_some_and(|found| found.counts != Counts::NOTHING);
        }
        if sound && counted {
            // Once more, now that it is known what the unknowns count.
            for sides in &system.equations {
                sound &= self.members(sides).is_some();
            }
        }
        sound.then(|| Type::plain(Form::default()))
    }
}
