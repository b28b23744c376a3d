//! A table: the type of each column, and conditions that say which rows take no part.

use crate::dimensions::infer::Inference;
use crate::dimensions::{Form, Type};
use crate::resolve::Which;
use crate::resolve::statement::{Data, Rows};

impl<'a> Inference<'a> {
    pub(super) fn data(&mut self, data: &'a Data) -> Option<Type> {
        let mut sound = true;
        for column in data.readings() {
            let found = self.infer(&column.value);
            let settled =
                found.and_then(|found| self.settle_definition(column.symbol, &column.value, found));
            sound &= settled.is_some();
        }
        for left_out in &data.left_out {
            match &left_out.rows {
                Rows::These(_) => {}
                Rows::Where(which) => sound &= self.which(which).is_some(),
            }
        }
        sound.then(|| Type::plain(Form::default()))
    }

    /// Whether the sides of every comparison can be compared.
    pub(in crate::dimensions) fn which(&mut self, which: &Which) -> Option<()> {
        let mut sound = true;
        which.for_each_comparison(&mut |condition| {
            sound &= self.compared(&condition.members).is_some();
        });
        sound.then_some(())
    }
}
