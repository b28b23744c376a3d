//! What must hold for a candidate: kept when it is not known, dropped when it is.

use num_traits::Zero;
use rustc_hash::FxHashMap;

use super::node::{Function, Id, Node};
use super::solution::{Requirement, Stuck};
use super::solver::{Solver, Trail};
use super::{Algebra, Point};

impl Solver<'_> {
    /// Notes a requirement; an error when it cannot be met.
    pub fn require(&mut self, requirement: Requirement, trail: &mut Trail) -> Result<(), Stuck> {
        match self.algebra.decide(&requirement) {
            Some(true) => {}
            Some(false) => return Err(Stuck::Never),
            None if trail.requires.contains(&requirement) => {}
            None => {
                if let Requirement::NotZero(id) = requirement
                    && !self.holds(id)
                {
                    self.divided_by_data.push(id);
                }
                trail.requires.push(requirement);
            }
        }
        Ok(())
    }

    /// Notes that an expression is divided by, factor by factor. Where one that holds the unknown
    /// is zero, solutions are looked for apart.
    pub fn require_not_zero(&mut self, id: Id, trail: &mut Trail) -> Result<(), Stuck> {
        for factor in self.algebra.zeros(id) {
            if self.holds(factor) {
                self.divided.push(factor);
            } else {
                self.require(Requirement::NotZero(factor), trail)?;
            }
        }
        Ok(())
    }
}

impl Algebra {
    /// The factors one of which is zero where the expression is.
    pub(super) fn zeros(&mut self, id: Id) -> Vec<Id> {
        let (coefficient, rest) = self.split_coefficient(id);
        let Some(rest) = rest else {
            return vec![self.number(coefficient)];
        };
        match self.node(rest) {
            Node::Product(factors) => factors
                .iter()
                .filter(|(_, exponent)| exponent.is_positive())
                .map(|(base, _)| *base)
                .collect(),
            _ => vec![rest],
        }
    }

    /// Whether a requirement holds, as far as signs and numbers tell.
    pub(super) fn decide(&mut self, requirement: &Requirement) -> Option<bool> {
        if let Some(certain) = self.decide_by_number(requirement) {
            return Some(certain);
        }
        let (id, holds, fails) = match *requirement {
            Requirement::NotZero(id) => {
                let sign = self.sign_by_squares(id);
                (id, sign.is_not_zero(), !sign.negative && !sign.positive)
            }
            Requirement::NotNegative(id) => {
                let sign = self.sign_by_squares(id);
                (
                    id,
                    sign.is_not_negative(),
                    sign.negative && !sign.zero && !sign.positive,
                )
            }
            Requirement::Positive(id) => {
                let sign = self.sign_by_squares(id);
                (id, sign.is_positive(), sign.is_not_positive())
            }
            Requirement::Inside { .. } => return None,
        };
        if !holds && !fails {
            return None;
        }
        self.lean(id);
        Some(holds)
    }

    fn decide_by_number(&self, requirement: &Requirement) -> Option<bool> {
        // Exact numbers are not rounded.
        if let Requirement::NotZero(id) | Requirement::NotNegative(id) | Requirement::Positive(id) =
            *requirement
            && let Some(value) = self.as_number(id)
        {
            return Some(match requirement {
                Requirement::NotZero(_) => !value.is_zero(),
                Requirement::NotNegative(_) => !value.is_negative(),
                Requirement::Positive(_) | Requirement::Inside { .. } => value.is_positive(),
            });
        }
        let mut point = Point::new(FxHashMap::default());
        let mut number = |id: Id| {
            let value = point.value(self, id);
            // Without a symbol, what has no value here has none anywhere.
            self.symbols(id).is_empty().then_some(value)
        };
        const NOTHING: f64 = 1e-12;
        Some(match *requirement {
            Requirement::NotZero(id) => number(id)?.abs() > NOTHING,
            Requirement::NotNegative(id) => number(id)? >= -NOTHING,
            Requirement::Positive(id) => number(id)? > NOTHING * NOTHING,
            Requirement::Inside { value, low, high } => {
                let (value, low, high) = (number(value)?, number(low)?, number(high)?);
                low - NOTHING <= value && value <= high + NOTHING
            }
        })
    }
}

impl Algebra {
    /// Whether a value says of itself that a requirement holds: it is not real where it does not.
    pub fn is_said_by(&mut self, value: Id, requirement: &Requirement) -> bool {
        let mut parts = self.within(value).into_iter();
        parts.any(|part| self.is_said_at(part, requirement))
    }

    fn is_said_at(&mut self, value: Id, requirement: &Requirement) -> bool {
        match self.node(value).clone() {
            Node::Product(factors) => {
                let rooted: Vec<_> = (factors.into_iter())
                    .filter(|(_, exponent)| !exponent.is_integer())
                    .map(|(base, _)| (base, num_traits::One::one()))
                    .collect();
                match (requirement, rooted.is_empty()) {
                    (Requirement::NotNegative(id), false) => {
                        let radicand = self.product_of(&rooted);
                        self.is_of_one_sign(*id, radicand)
                    }
                    _ => false,
                }
            }
            Node::Call(Function::Ln, arguments) => match (requirement, arguments.as_slice()) {
                (Requirement::Positive(id), [argument]) => self.is_of_one_sign(*id, *argument),
                _ => false,
            },
            Node::Call(Function::Asin | Function::Acos, arguments) => match requirement {
                Requirement::Inside { value, .. } => arguments.contains(value),
                _ => false,
            },
            _ => false,
        }
    }

    fn is_of_one_sign(&mut self, one: Id, other: Id) -> bool {
        let ratio = self.divide(one, other);
        let ratio = self.shortest(ratio);
        self.sign(ratio).is_positive()
    }
}
