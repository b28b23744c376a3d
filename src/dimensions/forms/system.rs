//! Names that together satisfy equations.

use crate::dimensions::infer::Inference;
use crate::dimensions::{Form, Type};
use crate::resolve::Expr;
use crate::resolve::statement::System;

impl<'a> Inference<'a> {
    pub(super) fn system(&mut self, system: &'a System) -> Option<Type> {
        let mut sound = true;
        for sides in &system.equations {
            sound &= self.members(sides).is_some();
        }
        for (symbol, _, start) in &system.unknowns {
            let starts: Vec<&Expr> = start.iter().collect();
            sound &= self.unknown_of(*symbol, &starts).is_some();
        }
        sound.then(|| Type::plain(Form::default()))
    }
}
