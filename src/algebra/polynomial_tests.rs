//! Laws of polynomials: products, quotients, common divisors and factors.

use proptest::prelude::*;

use super::divisor::{common_divisor, factored};
use super::polynomial::{Monomial, Polynomial};

/// Polynomials in three variables, up to four terms.
fn polynomial() -> impl Strategy<Value = Polynomial> {
    let term = (0_u32..3, 0_u32..3, 0_u32..2, -4_i64..5);
    prop::collection::vec(term, 1..5).prop_map(|terms| {
        let parts = terms.into_iter().map(|(x, y, z, value)| {
            let mut part = Polynomial::term(Monomial::default(), value.into());
            for (variable, power) in [(0, x), (1, y), (2, z)] {
                part = part.shifted(&Monomial::power(variable, power));
            }
            part
        });
        Polynomial::gathered(parts.flat_map(|part| part.terms().to_vec()))
    })
}

fn product(one: &Polynomial, two: &Polynomial) -> Polynomial {
    one.times(two).unwrap()
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(300))]

    #[test]
    fn a_product_divided_by_one_is_the_other(one in polynomial(), two in polynomial()) {
        prop_assume!(!two.is_zero());
        prop_assert_eq!(product(&one, &two).over(&two), Some(one));
    }

    #[test]
    fn what_was_multiplied_is_found_in_common(
        one in polynomial(),
        two in polynomial(),
        shared in polynomial(),
    ) {
        prop_assume!(!one.is_zero() && !two.is_zero() && !shared.is_zero());
        let (left, right) = (product(&one, &shared), product(&two, &shared));
        let found = common_divisor(&left, &right);
        prop_assert!(left.over(&found).is_some() && right.over(&found).is_some());
        prop_assert!(found.over(&shared).is_some(), "{:?} {:?}", found, shared);
    }

    #[test]
    fn factors_multiplied_are_the_whole(one in polynomial(), two in polynomial()) {
        let whole = product(&product(&one, &one), &two);
        prop_assume!(!whole.is_zero());
        let mut again = Polynomial::one();
        for (factor, power) in factored(&whole) {
            again = product(&again, &factor.raised(power).unwrap());
        }
        prop_assert_eq!(again.scaled(&whole.content()), whole);
    }

    #[test]
    fn a_difference_with_itself_is_zero(one in polynomial()) {
        prop_assert!(one.minus(&one).is_zero());
    }
}
