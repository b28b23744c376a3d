//! What the engine solved for.

use crate::dimensions::Type;
use crate::dimensions::infer::Inference;
use crate::resolve::statement::Solved;
use crate::resolve::{Expr, ExprKind};

impl Inference<'_> {
    /// What the engine found is of the dimension of the unknown.
    pub(super) fn solved(&mut self, solved: &Solved) -> Option<Type> {
        let mut found = None;
        for branch in &solved.branches {
            for (symbol, formula) in solved.unknowns.iter().zip(&branch.formulas) {
                let lead = Expr {
                    span: formula.span,
                    kind: ExprKind::Symbol(*symbol),
                };
                found = Some(self.members(&[lead, formula.clone()])?);
            }
        }
        found
    }
}
