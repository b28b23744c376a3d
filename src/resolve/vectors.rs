//! Which names are vectors.
//!
//! A name is a vector when a line of its problem says so: it is defined by components or by a
//! sum or multiple of vectors, or when it has no definition and a component of it is used.
//! Everything else is a scalar.

use super::{Block, Resolver};
use crate::syntax::{Axis, Expr, ExprKind, Magnitude, Operator};

/// Definitions that stand in an unusual order are followed so many steps.
const MOST_ROUNDS: usize = 8;

impl<'a> Resolver<'a> {
    /// Marks the vectors of the worksheet.
    pub(super) fn find_vectors(&mut self, blocks: &[Block<'a>]) {
        for _ in 0..MOST_ROUNDS {
            if !self.round(blocks) {
                return;
            }
        }
    }

    /// Looks at every definition once; tells whether a vector was found.
    fn round(&mut self, blocks: &[Block<'a>]) -> bool {
        let mut found = false;
        for block in blocks {
            self.problem = block.problem;
            for line in block.lines {
                found |= self.definition(line.statement.facts().sides);
            }
        }
        found
    }

    fn definition(&mut self, members: &[Expr]) -> bool {
        let mut found = false;
        members
            .iter()
            .for_each(|member| found |= self.used_components(member));
        let Some((lead, rest)) = members.split_first() else {
            return found;
        };
        if let (ExprKind::Name(name), Some(components)) = (
            &lead.kind,
            rest.iter().find_map(|member| self.components(member)),
        ) {
            let symbol = self.symbols.intern(self.problem, &name.key);
            found |= self.symbols.make_vector(symbol, components);
        }
        found
    }

    /// Marks the names of which a component is used.
    fn used_components(&mut self, expr: &Expr) -> bool {
        if let ExprKind::Component(name, axis) = &expr.kind {
            let symbol = self.symbols.intern(self.problem, &name.key);
            // What has a definition has the components that it defines.
            if self.symbols.symbol(symbol).declared {
                return false;
            }
            let components = if *axis == Axis::Z { 3 } else { 2 };
            return self.symbols.make_vector(symbol, components);
        }
        let mut found = false;
        expr.for_each_part(&mut |part| found |= self.used_components(part));
        found
    }

    /// How many components an expression has, as far as the look ahead can tell.
    fn components(&self, expr: &Expr) -> Option<u8> {
        match &expr.kind {
            ExprKind::Vector(items) => u8::try_from(items.len()).ok(),
            ExprKind::Quantity(literal) => match &literal.magnitude {
                Magnitude::Vector(items) => u8::try_from(items.len()).ok(),
                _ => None,
            },
            ExprKind::Name(name) => {
                let symbol = self.symbols.find(self.problem, &name.key)?;
                self.symbols.components(symbol)
            }
            ExprKind::Sum(terms) => terms.iter().find_map(|term| self.components(&term.expr)),
            ExprKind::Product(factors) => factors
                .iter()
                .filter(|factor| factor.operator != Operator::Divide)
                .find_map(|factor| self.components(&factor.expr)),
            ExprKind::Negative(inner) | ExprKind::Group(inner) => self.components(inner),
            ExprKind::Cases(cases) => cases.iter().find_map(|case| self.components(&case.value)),
            ExprKind::Call {
                name, arguments, ..
            } if &*name.key == "cross" => {
                let of = arguments
                    .iter()
                    .find_map(|argument| self.components(argument));
                of.filter(|components| *components == 3)
            }
            // A name before glued brackets: `p_1(a, b)` is a product.
            ExprKind::Call {
                name, arguments, ..
            } if self.function_of_language(&name.key).is_none() => match arguments.as_slice() {
                [only] => self.components(only),
                _ => None,
            },
            _ => None,
        }
    }
}
