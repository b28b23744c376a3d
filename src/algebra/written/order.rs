//! The order of terms and factors: that in which their symbols were first met.

use crate::algebra::node::{Function, Id, Node};
use crate::algebra::{Algebra, Rational};
use num_traits::Zero;

/// Where an expression stands among others: by the symbol in it that was met last, since only
/// then could it be written. What has no symbol stands at the end.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Place {
    is_constant: bool,
    last: Option<Id>,
    symbols: Vec<Id>,
}

/// Which signs the terms of a sum have, in the order in which they are written.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Signs {
    AllPlus,
    AllMinus,
    /// Both, with a plus first.
    PlusFirst,
    /// Both, with a minus first.
    MinusFirst,
    /// Both, and a constant that differs from the first: `1 - x` and `x - 1` are as good.
    Either,
}

impl Signs {
    /// Whether the sum can begin with a plus whichever way it is turned.
    pub(super) fn are_both(self) -> bool {
        !matches!(self, Self::AllPlus | Self::AllMinus)
    }
}

impl Algebra {
    /// The place of an expression.
    pub(super) fn place(&mut self, id: Id) -> Place {
        let symbols = self.symbols(id).to_vec();
        let mut symbols: Vec<Id> = symbols
            .into_iter()
            .map(|symbol| self.symbol(symbol))
            .collect();
        symbols.sort_unstable();
        Place {
            is_constant: symbols.is_empty(),
            last: symbols.last().copied(),
            symbols,
        }
    }

    /// The terms of a sum in the order in which they are written, leaving signs aside: powers of
    /// one symbol descend.
    pub(super) fn in_order(&mut self, terms: &[(Id, Rational)]) -> Vec<(Id, Rational)> {
        let mut placed: Vec<(Place, Rational, (Id, Rational))> = terms
            .iter()
            .map(|term| {
                let degree = self.degree(term.0);
                (self.place(term.0), degree, term.clone())
            })
            .collect();
        let is_polynomial = placed.windows(2).all(|two| match two {
            [(one, ..), (other, ..)] => one == other,
            _ => true,
        }) && placed.iter().all(|(_, degree, _)| !degree.is_zero());
        placed.sort_by(|(one, high, first), (other, low, second)| {
            let powers = if is_polynomial {
                low.cmp(high)
            } else {
                std::cmp::Ordering::Equal
            };
            one.cmp(other).then(powers).then(first.0.cmp(&second.0))
        });
        placed.into_iter().map(|(_, _, term)| term).collect()
    }

    /// The exponent of what is a power of a symbol; 0 for anything else.
    fn degree(&self, id: Id) -> Rational {
        let factors = self.factors_of(id);
        match factors.as_slice() {
            [(base, exponent)] if matches!(self.node(*base), Node::Symbol(_)) => exponent.clone(),
            _ => Rational::zero(),
        }
    }

    /// Whether it is a function that stays between -1 and 1 as it is commonly used: a sine, or an
    /// exponential of what has a minus.
    fn is_at_most_one(&self, id: Id) -> bool {
        let Node::Call(function, arguments) = self.node(id) else {
            return false;
        };
        match function {
            Function::Sin | Function::Cos | Function::Tanh => true,
            Function::Exp => arguments.iter().any(|argument| {
                let (coefficient, _) = self.split_coefficient(*argument);
                coefficient.is_negative() || self.leads_with_minus(*argument)
            }),
            _ => false,
        }
    }

    /// Which signs the terms of a sum have; a constant comes last.
    pub(super) fn signs(&mut self, id: Id) -> Signs {
        let Node::Sum(sum) = self.node(id).clone() else {
            return Signs::AllPlus;
        };
        let terms = self.in_order(&sum.terms);
        let has_constant = !sum.constant.is_zero();
        if let ([(only, coefficient)], true) = (terms.as_slice(), has_constant)
            && coefficient.is_negative() != sum.constant.is_negative()
            && self.is_at_most_one(*only)
        {
            // The constant is the larger: `1 - cos(x)`.
            return if coefficient.is_negative() {
                Signs::PlusFirst
            } else {
                Signs::MinusFirst
            };
        }
        let constant = has_constant.then_some(sum.constant);
        let minus: Vec<bool> = terms
            .into_iter()
            .map(|(_, coefficient)| coefficient)
            .chain(constant)
            .map(|coefficient| coefficient.is_negative())
            .collect();
        match minus.first() {
            first if has_constant && first != minus.last() => Signs::Either,
            Some(true) if minus.iter().all(|minus| *minus) => Signs::AllMinus,
            Some(true) => Signs::MinusFirst,
            _ if minus.iter().any(|minus| *minus) => Signs::PlusFirst,
            _ => Signs::AllPlus,
        }
    }
}
