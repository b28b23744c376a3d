//! Laws of the written form: its text, read back, has the value of the expression; it is not much
//! longer than the expression; it is the same every time.

use proptest::prelude::*;

use super::Written;
use crate::algebra::differentiate::tests::{formula, named, point};
use crate::algebra::node::{Id, Node};
use crate::algebra::{Algebra, Rational};

/// Reads formulas of the worksheet language, as it says they are read, and refuses what it
/// refuses: `a/b c`, numbers side by side, a function without brackets.
struct Reader<'a> {
    rest: &'a str,
    value: &'a dyn Fn(&str) -> f64,
}

impl Reader<'_> {
    fn read(text: &str, value: &dyn Fn(&str) -> f64) -> f64 {
        let mut reader = Reader { rest: text, value };
        let found = reader.sum();
        assert_eq!(reader.rest, "", "{text}");
        found
    }

    fn take(&mut self, token: &str) -> bool {
        let rest = self.rest.strip_prefix(token);
        self.rest = rest.unwrap_or(self.rest);
        rest.is_some()
    }

    fn sum(&mut self) -> f64 {
        let mut total = if self.take("-") {
            -self.product()
        } else {
            self.product()
        };
        loop {
            if self.take(" + ") {
                total += self.product();
            } else if self.take(" - ") {
                total -= self.product();
            } else {
                return total;
            }
        }
    }

    fn product(&mut self) -> f64 {
        let mut total = self.power();
        let mut is_below = false;
        loop {
            if self.take("/") {
                total /= self.power();
                is_below = true;
            } else if self.take("*") {
                total *= self.power();
                is_below = false;
            } else if self.rest.starts_with(" + ") || self.rest.starts_with(" - ") {
                return total;
            } else if self.take(" ") {
                assert!(!is_below, "a factor beside a denominator: {}", self.rest);
                let is_digit = self.rest.starts_with(|first: char| first.is_ascii_digit());
                assert!(!is_digit, "a number after a factor: {}", self.rest);
                total *= self.power();
            } else {
                return total;
            }
        }
    }

    fn power(&mut self) -> f64 {
        let base = self.atom();
        if self.take("^") {
            base.powf(self.power())
        } else {
            base
        }
    }

    fn atom(&mut self) -> f64 {
        if self.take("(") {
            let inner = self.sum();
            assert!(self.take(")"), "{}", self.rest);
            return inner;
        }
        let is_part = |part: char| part.is_alphanumeric() || part == '_' || part == '.';
        let end = self
            .rest
            .find(|part| !is_part(part))
            .unwrap_or(self.rest.len());
        let (word, rest) = self.rest.split_at(end);
        self.rest = rest;
        if let Ok(number) = word.parse() {
            return number;
        }
        if !self.take("(") {
            return (self.value)(word);
        }
        let mut arguments = vec![self.sum()];
        while self.take(", ") {
            arguments.push(self.sum());
        }
        assert!(self.take(")"), "{}", self.rest);
        call(word, &arguments)
    }
}

fn call(name: &str, arguments: &[f64]) -> f64 {
    let x = arguments[0];
    match name {
        "sqrt" => x.sqrt(),
        "cbrt" => x.cbrt(),
        "abs" => x.abs(),
        "exp" => x.exp(),
        "ln" => x.ln(),
        "log10" => x.log10(),
        "log2" => x.log2(),
        "sin" => x.sin(),
        "cos" => x.cos(),
        "tan" => x.tan(),
        "asin" => x.asin(),
        "acos" => x.acos(),
        "atan" => x.atan(),
        "atan2" => x.atan2(arguments[1]),
        "sinh" => x.sinh(),
        "cosh" => x.cosh(),
        "tanh" => x.tanh(),
        "sign" => x.signum(),
        "min" => arguments.iter().copied().fold(x, f64::min),
        "max" => arguments.iter().copied().fold(x, f64::max),
        "floor" => x.floor(),
        _ => panic!("{name}"),
    }
}

/// Leaves and operators of the canonical form, written as it stands.
fn plain_size(algebra: &Algebra, id: Id) -> usize {
    let number = |value: &Rational| if value.is_integer() { 1 } else { 3 };
    match algebra.node(id) {
        Node::Number(value) => number(value),
        Node::Undefined | Node::Pi | Node::Symbol(_) => 1,
        Node::Sum(sum) => {
            let terms = sum.terms.iter();
            let size = |(term, coefficient): &(Id, Rational)| {
                2 + number(coefficient) + plain_size(algebra, *term)
            };
            number(&sum.constant) + terms.map(size).sum::<usize>()
        }
        Node::Product(factors) => factors
            .iter()
            .map(|(base, exponent)| 2 + number(exponent) + plain_size(algebra, *base))
            .sum(),
        Node::Power(base, exponent) => {
            1 + plain_size(algebra, *base) + plain_size(algebra, *exponent)
        }
        Node::Call(_, arguments) => {
            1 + arguments
                .iter()
                .map(|argument| plain_size(algebra, *argument))
                .sum::<usize>()
        }
    }
}

/// The rules that the tree promises to those who set it.
fn is_in_form(written: &Written) -> bool {
    match written {
        Written::Whole(_) | Written::Decimal(_) | Written::Pi | Written::Symbol(_) => true,
        Written::Sum(terms) => {
            let plain = |term: &Written| !matches!(term, Written::Sum(_) | Written::Negative(_));
            let begins = !terms[0].0 || terms.iter().all(|(minus, _)| *minus);
            terms.len() > 1
                && begins
                && terms
                    .iter()
                    .all(|(_, term)| plain(term) && is_in_form(term))
        }
        Written::Product(factors) => {
            let plain = |factor: &Written| {
                let is_one = *factor == Written::whole(1);
                !is_one
                    && !matches!(
                        factor,
                        Written::Product(_) | Written::Quotient(..) | Written::Negative(_)
                    )
            };
            factors.len() > 1
                && factors
                    .iter()
                    .all(|factor| plain(factor) && is_in_form(factor))
        }
        Written::Quotient(above, below) => {
            let plain =
                |part: &Written| !matches!(part, Written::Quotient(..) | Written::Negative(_));
            plain(above) && plain(below) && is_in_form(above) && is_in_form(below)
        }
        Written::Power(base, exponent) => is_in_form(base) && is_in_form(exponent),
        Written::Negative(inner) => !matches!(**inner, Written::Negative(_)) && is_in_form(inner),
        Written::Root(inner) | Written::CubeRoot(inner) | Written::Abs(inner) => is_in_form(inner),
        Written::Call(_, arguments) => arguments.iter().all(is_in_form),
    }
}

/// Whether an expression and all its parts have a value: `1/ln(0)` has none.
fn is_defined(algebra: &Algebra, id: Id, values: &[f64]) -> bool {
    point(values).value(algebra, id).is_finite()
        && algebra
            .parts(id)
            .into_iter()
            .all(|part| is_defined(algebra, part, values))
}

/// Products of differences that are each other's multiples, or their opposites.
fn multiples() -> impl Strategy<Value = String> {
    let before = prop::sample::select(vec!["1", "2", "a", "b", "a*b", "3*x"]);
    let pair = prop::sample::select(vec![
        ["a", "b"],
        ["a*b", "x"],
        ["b*(x - a)", "x"],
        ["a*x", "b*x"],
        ["x^2", "a"],
    ]);
    let factor = (before, any::<bool>(), 1..4_i32, any::<bool>());
    (pair, prop::collection::vec(factor, 1..5)).prop_map(|([one, other], factors)| {
        let mut text = "1".to_owned();
        for (before, turned, power, below) in factors {
            let (first, second) = if turned { (other, one) } else { (one, other) };
            let sign = if below { '/' } else { '*' };
            text += &format!("{sign}({before}*{first} - {before}*{second})^{power}");
        }
        text
    })
}

fn any_values() -> impl Strategy<Value = [f64; 3]> {
    [-2.0..2.0, -2.0..2.0, -2.0..2.0].prop_map(|[a, b, x]: [f64; 3]| [a, b, x])
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(1000))]

    #[test]
    fn the_text_has_the_value_of_the_expression(
        formula in prop_oneof![4 => formula(), 1 => multiples()],
        values in any_values(),
        known: bool,
    ) {
        let mut named = named(known);
        let id = named.read(&formula);
        let values = if known { values.map(f64::abs) } else { values };
        let Some(written) = named.algebra.written(id) else {
            return Ok(());
        };
        let text = written.text(&|symbol| named.name(symbol));
        let expected = point(&values).value(&named.algebra, id);
        let value = |name: &str| match name {
            "pi" => std::f64::consts::PI,
            "a" => values[0],
            "b" => values[1],
            "x" => values[2],
            _ => panic!("{name}"),
        };
        let found = Reader::read(&text, &value);
        if is_defined(&named.algebra, id, &values) && expected.abs() < 1e9 {
            let size = expected.abs().max(1.0);
            prop_assert!((found - expected).abs() <= 1e-6 * size,
                "{formula} is {text} at {values:?}: {found}, not {expected}");
        }
    }

    #[test]
    fn it_is_in_form_and_not_much_longer(formula in formula(), known: bool) {
        let mut named = named(known);
        let id = named.read(&formula);
        // An inverse hyperbolic sine has no name in the language and is written out.
        if let (Some(written), false) = (named.algebra.written(id), formula.contains("asinh")) {
            let text = written.text(&|symbol| named.name(symbol));
            prop_assert!(is_in_form(&written), "{formula} is {text}");
            let most = 2 * plain_size(&named.algebra, id);
            prop_assert!(written.size() <= most, "{formula} is {text}: {most}");
        }
    }

    #[test]
    fn it_is_the_same_every_time(formula in formula(), known: bool) {
        let write = || {
            let mut named = named(known);
            let id = named.read(&formula);
            let first = named.algebra.written(id);
            (named.algebra.written(id) == first, first)
        };
        let (again, first) = write();
        prop_assert!(again, "{formula}");
        prop_assert_eq!(first, write().1);
    }
}
