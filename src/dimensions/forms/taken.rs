//! A name of another worksheet.

use super::super::Type;
use super::super::infer::Inference;
use crate::resolve::{Expr, ExprKind, Taken, TakenAs};

impl<'a> Inference<'a> {
    pub(super) fn taken(&mut self, taken: &'a Taken) -> Option<Type> {
        match &taken.what {
            TakenAs::Quantity(symbol, value) => {
                for (given, stands, _) in taken.at.iter().filter(|(.., is_given)| *is_given) {
                    let given = Expr {
                        span: stands.span,
                        kind: ExprKind::Symbol(*given),
                    };
                    self.alike(&[given, stands.clone()], "stand for each other")?;
                }
                let found = self.infer(value)?;
                let found = self.as_atmosphere(*symbol, found);
                let unit = self.unit_taken(value);
                if let Some(unit) = unit {
                    self.remember_unit(*symbol, &unit);
                }
                self.settle_definition(*symbol, value, found)
            }
            TakenAs::Function(function, body) => {
                self.bodies.insert(*function, body);
                self.infer(body)
            }
        }
    }

    /// The unit in which what is taken stands there.
    fn unit_taken(&self, value: &Expr) -> Option<crate::quantity::Unit> {
        let symbol = match &value.kind {
            ExprKind::Symbol(symbol) => *symbol,
            ExprKind::Apply { function, .. } => match &self.bodies.get(function)?.kind {
                ExprKind::ReadOff(table) => table.values.as_symbol()?,
                _ => return None,
            },
            _ => return None,
        };
        self.notes.units.get(&symbol).cloned()
    }
}
