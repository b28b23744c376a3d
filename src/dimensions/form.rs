//! Dimensions with variables, and the equations between them.
//!
//! A name without a value has a dimension variable. Every rule of quantity calculus is linear in
//! the exponents, so an equation between two dimensions is a linear equation whose unknowns are
//! the variables' exponents, and elimination decides it exactly.

use rustc_hash::FxHashMap;

use crate::quantity::{Dimension, Exponent, exponent_product, exponent_sum};

/// A dimension variable.
pub type Variable = u32;

/// A known dimension times powers of variables.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Form {
    /// The known part.
    pub known: Dimension,
    /// The variables with their exponents, sorted, none of them zero.
    pub unknown: Vec<(Variable, Exponent)>,
}

impl Form {
    /// A known dimension.
    pub fn known(known: Dimension) -> Self {
        Self {
            known,
            unknown: Vec::new(),
        }
    }

    /// A variable alone.
    pub fn variable(variable: Variable) -> Self {
        Self {
            known: Dimension::none(),
            unknown: vec![(variable, Exponent::from_integer(1))],
        }
    }

    /// The dimension, when no variable is left in it.
    pub fn dimension(&self) -> Option<Dimension> {
        self.unknown.is_empty().then_some(self.known)
    }

    /// Whether it is certainly a plain number.
    pub fn is_plain(&self) -> bool {
        self.unknown.is_empty() && self.known.is_none()
    }

    /// The product with another form raised to a power; `None` when an exponent is out of range.
    pub fn times(&self, other: &Form, power: Exponent) -> Option<Form> {
        let known = if (*power.numer(), *power.denom()) == (1, 1) {
            self.known.times(other.known)?
        } else {
            self.known.times(other.known.power(power)?)?
        };
        if other.unknown.is_empty() {
            return Some(Form {
                known,
                unknown: self.unknown.clone(),
            });
        }
        let mut unknown = self.unknown.clone();
        for (variable, exponent) in &other.unknown {
            let added = exponent_product(*exponent, power)?;
            match unknown.binary_search_by_key(variable, |(variable, _)| *variable) {
                Ok(at) => {
                    let sum = exponent_sum(unknown[at].1, added)?;
                    if sum == Exponent::from_integer(0) {
                        unknown.remove(at);
                    } else {
                        unknown[at].1 = sum;
                    }
                }
                Err(at) => unknown.insert(at, (*variable, added)),
            }
        }
        Some(Form { known, unknown })
    }

    /// The form raised to a power.
    pub fn power(&self, power: Exponent) -> Option<Form> {
        if power == Exponent::from_integer(0) {
            return Some(Form::default());
        }
        Form::default().times(self, power)
    }
}

/// The equations found so far.
#[derive(Debug, Default)]
pub struct Equations {
    solved: FxHashMap<Variable, Form>,
    next: Variable,
}

impl Equations {
    /// A variable that no equation speaks of yet.
    pub fn fresh(&mut self) -> Variable {
        self.next += 1;
        self.next
    }

    /// The form with every solved variable replaced.
    pub fn settle(&self, form: &Form) -> Option<Form> {
        let mut settled = form.clone();
        // Solutions never mention solved variables newer than themselves, so each round removes
        // at least one variable for good; the bound only guards against a broken table.
        for _ in 0..=self.solved.len() {
            let found = settled.unknown.iter().find_map(|(variable, exponent)| {
                Some((*variable, *exponent, self.solved.get(variable)?))
            });
            let Some((variable, exponent, solution)) = found else {
                return Some(settled);
            };
            settled.unknown.retain(|(other, _)| *other != variable);
            settled = settled.times(solution, exponent)?;
        }
        Some(settled)
    }

    /// Adds the equation `left = right`. `Some(false)` when it contradicts what is known, `None`
    /// when an exponent is out of range.
    pub fn equate(&mut self, left: &Form, right: &Form) -> Option<bool> {
        if left.unknown.is_empty() && right.unknown.is_empty() {
            return Some(left.known == right.known);
        }
        let quotient = self.settle(&left.times(right, Exponent::from_integer(-1))?)?;
        let Some((variable, exponent)) = quotient.unknown.last().copied() else {
            return Some(quotient.known.is_none());
        };
        let mut rest = quotient;
        rest.unknown.pop();
        let solution = rest.power(-exponent.recip())?;
        self.solved.insert(variable, solution);
        Some(true)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_equation_determines_the_variable_it_holds() {
        let mut equations = Equations::default();
        let (force, speed) = (equations.fresh(), equations.fresh());
        let newton = Form::known(Dimension::from_integers([1, 1, -2, 0, 0, 0, 0]));
        let left = Form::variable(force)
            .times(&Form::variable(speed), Exponent::from_integer(2))
            .unwrap();
        assert_eq!(equations.equate(&left, &newton), Some(true));
        let metre = Form::known(Dimension::length());
        assert_eq!(equations.equate(&Form::variable(force), &metre), Some(true));
        let speed = equations.settle(&Form::variable(speed)).unwrap();
        assert_eq!(
            speed.dimension(),
            Dimension::from_integers([0, 1, -2, 0, 0, 0, 0]).power(Exponent::new(1, 2))
        );
        assert_eq!(equations.equate(&speed, &metre), Some(false));
    }
}
