//! Whether signs run: too few changes from above to below for their order to be chance
//! (Wald and Wolfowitz 1940).

use statrs::function::gamma::ln_gamma;

/// The probability that signs in any order, as many of each as these, change as seldom as these or
/// more seldom. Zeros count with the sign before them; without two signs there is nothing to tell.
pub fn chance_of_so_few(residuals: &[f64]) -> Option<f64> {
    let signs: Vec<bool> = (residuals.iter().filter(|r| **r != 0.0))
        .map(|r| *r > 0.0)
        .collect();
    let above = signs.iter().filter(|sign| **sign).count();
    let below = signs.len() - above;
    if above == 0 || below == 0 {
        return None;
    }
    let runs = 1 + signs.windows(2).filter(|pair| pair[0] != pair[1]).count();
    let all = choices(signs.len(), above);
    let chance = |runs: usize| {
        let half = runs / 2;
        let ways = |a: usize, b: usize| (choices(above - 1, a) + choices(below - 1, b) - all).exp();
        match runs % 2 {
            0 => 2.0 * ways(half - 1, half - 1),
            _ => ways(half, half - 1) + ways(half - 1, half),
        }
    };
    Some((2..=runs).map(chance).sum::<f64>().min(1.0))
}

/// The logarithm of how many ways there are to choose `k` of `n`.
fn choices(n: usize, k: usize) -> f64 {
    let factorial = |n: usize| ln_gamma(n as f64 + 1.0);
    match k > n {
        true => f64::NEG_INFINITY,
        false => factorial(n) - factorial(k) - factorial(n - k),
    }
}

/// How many signs at the beginning are alike, zeros left out.
pub fn first_run(residuals: &[f64]) -> usize {
    let mut signs = residuals.iter().filter(|r| **r != 0.0).map(|r| *r > 0.0);
    let Some(first) = signs.next() else {
        return 0;
    };
    1 + signs.take_while(|sign| *sign == first).count()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn few_changes_are_a_rare_order() {
        let signs = |text: &str| -> Vec<f64> {
            text.chars()
                .map(|c| if c == '+' { 1.0 } else { -1.0 })
                .collect()
        };
        // All orders of so many signs, counted.
        for text in ["+++---", "+-+-+-", "++--++-", "+++++-----", "+-------"] {
            let signs = signs(text);
            let above = signs.iter().filter(|s| **s > 0.0).count() as u32;
            let runs = |of: &dyn Fn(usize) -> bool| {
                1 + (1..signs.len()).filter(|i| of(*i) != of(i - 1)).count()
            };
            let own = runs(&|i| signs[i] > 0.0);
            let orders: Vec<u32> = (0..1_u32 << signs.len())
                .filter(|order| order.count_ones() == above)
                .collect();
            let few = orders
                .iter()
                .filter(|order| runs(&|i| *order >> i & 1 == 1) <= own);
            let expected = few.count() as f64 / orders.len() as f64;
            let found = chance_of_so_few(&signs).unwrap();
            assert!(
                (found - expected).abs() < 1e-12,
                "{text}: {found} {expected}"
            );
        }
        assert_eq!(chance_of_so_few(&[1.0, 0.0, 2.0]), None);
        assert_eq!(first_run(&[1.0, 2.0, 0.0, 3.0, -1.0]), 3);
    }
}
