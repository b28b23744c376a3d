//! A result held against a value by its uncertainty.

use crate::dimensions::infer::{self, Inference};
use crate::dimensions::{Counts, Energy, Form, Reading, Type};
use crate::resolve::Expr;
use crate::resolve::statement::Comparison;

impl Inference<'_> {
    pub(super) fn comparison(&mut self, comparison: &Comparison) -> Option<Type> {
        let sides = std::iter::once(&comparison.subject).chain(comparison.held.sides());
        let members: Vec<Expr> = sides.cloned().collect();
        self.begin();
        let types = self.compared(&members)?;
        for (member, part) in members.iter().zip(&types) {
            self.number(member, "a side of a check")?;
            self.usable(member, part)?;
        }
        let form = (types.iter().zip(&members))
            .find(|(_, member)| !infer::is_zero(member))
            .map_or_else(Form::default, |(part, _)| part.form.clone());
        Some(Type {
            form,
            reading: Reading::joined(types.iter().map(|part| part.reading)),
            counts: (types.first()).map_or(Counts::NOTHING, |part| part.counts),
            energy: Energy::joined(&types),
        })
    }
}
