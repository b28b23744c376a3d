//! Logarithms of one sum as one logarithm: `ln(a) - ln(b)` is `ln(a/b)`.

use num_traits::One;

use crate::algebra::node::{Function, Id, Node};
use crate::algebra::{Algebra, Rational};

/// Logarithms with one coefficient, its sign aside.
#[derive(Debug)]
struct Group {
    size: Rational,
    /// What the logarithms are divided by: `ln(10)` in those to base ten.
    below: Option<Id>,
    /// What they are taken of, each with a minus or not.
    of: Vec<(Id, bool)>,
}

impl Algebra {
    /// The same sum with the logarithms of what is known to be above zero gathered.
    pub(super) fn with_gathered_logarithms(&mut self, id: Id) -> Id {
        let Node::Sum(sum) = self.node(id).clone() else {
            return id;
        };
        let mut groups: Vec<Group> = Vec::new();
        let mut terms = Vec::new();
        for (term, coefficient) in self.in_order(&sum.terms) {
            let Some((of, below)) = self.as_logarithm(term) else {
                terms.push((term, coefficient));
                continue;
            };
            let (size, part) = (coefficient.abs(), (of, coefficient.is_negative()));
            let known = groups
                .iter_mut()
                .find(|group| group.size == size && group.below == below);
            match known {
                Some(group) => group.of.push(part),
                None => groups.push(Group {
                    size,
                    below,
                    of: vec![part],
                }),
            }
        }
        if groups.iter().all(|group| group.of.len() < 2) {
            return id;
        }
        for group in groups {
            terms.push(self.as_one_logarithm(&group));
        }
        self.sum_of(&sum.constant, &terms)
    }

    /// What a logarithm is taken of, and what it is divided by, when that is above zero.
    fn as_logarithm(&self, id: Id) -> Option<(Id, Option<Id>)> {
        let factors = self.factors_of(id);
        let (above, below): (Vec<_>, Vec<_>) = factors
            .into_iter()
            .partition(|(_, exponent)| exponent.is_positive());
        let [(call, exponent)] = above.as_slice() else {
            return None;
        };
        let below = match below.as_slice() {
            [] => None,
            [(base, power)] if (-power).is_one() && self.is_base_of_logarithm(*base) => Some(*base),
            _ => return None,
        };
        let Node::Call(Function::Ln, arguments) = self.node(*call) else {
            return None;
        };
        let of = arguments.first().copied()?;
        (exponent.is_one() && self.sign(of).is_positive()).then_some((of, below))
    }

    fn as_one_logarithm(&mut self, group: &Group) -> (Id, Rational) {
        // Those that are subtracted go below, unless there is nothing else.
        let is_minus = group.of.iter().all(|(_, minus)| *minus);
        let factors: Vec<(Id, Rational)> = group
            .of
            .iter()
            .map(|(of, minus)| {
                let one = Rational::one();
                (*of, if *minus == is_minus { one } else { -one })
            })
            .collect();
        let product = self.product_of(&factors);
        let mut logarithm = self.call(Function::Ln, &[product]);
        if let Some(below) = group.below {
            logarithm = self.divide(logarithm, below);
        }
        let size = group.size.clone();
        (logarithm, if is_minus { -size } else { size })
    }
}
