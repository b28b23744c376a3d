//! A written formula as text of the worksheet language.

use super::{Symbol, Written};

/// How tightly a formula holds together, loosest first.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Binding {
    Sum,
    Negative,
    Product,
    Power,
    Atom,
}

impl Written {
    /// The formula as an author types it, with a name for each symbol: factors side by side, a
    /// denominator of several in brackets.
    pub(in crate::algebra) fn text(&self, name: &dyn Fn(Symbol) -> String) -> String {
        let mut out = String::new();
        Writer {
            name,
            out: &mut out,
        }
        .formula(self);
        out
    }
}

fn binding(written: &Written) -> Binding {
    match written {
        Written::Sum(_) => Binding::Sum,
        Written::Negative(_) => Binding::Negative,
        Written::Product(_) | Written::Quotient(..) => Binding::Product,
        Written::Power(..) => Binding::Power,
        _ => Binding::Atom,
    }
}

struct Writer<'a> {
    name: &'a dyn Fn(Symbol) -> String,
    out: &'a mut String,
}

impl Writer<'_> {
    fn formula(&mut self, written: &Written) {
        match written {
            Written::Whole(value) => self.out.push_str(&value.to_string()),
            Written::Decimal(digits) => self.out.push_str(digits),
            Written::Pi => self.out.push_str("pi"),
            Written::Symbol(symbol) => self.out.push_str(&(self.name)(*symbol)),
            Written::Sum(terms) => self.sum(terms),
            Written::Product(factors) => self.product(factors),
            Written::Quotient(above, below) => {
                // A quotient above is read from the left, but looks like one below.
                let tight = if matches!(**above, Written::Quotient(..)) {
                    Binding::Atom
                } else {
                    Binding::Product
                };
                self.at_least(tight, above);
                self.out.push('/');
                self.at_least(Binding::Power, below);
            }
            Written::Power(base, exponent) => {
                self.at_least(Binding::Atom, base);
                self.out.push('^');
                self.at_least(Binding::Atom, exponent);
            }
            Written::Negative(inner) => {
                self.out.push('-');
                self.at_least(Binding::Product, inner);
            }
            Written::Root(inner) => self.call("sqrt", std::slice::from_ref(inner)),
            Written::CubeRoot(inner) => self.call("cbrt", std::slice::from_ref(inner)),
            Written::Abs(inner) => self.call("abs", std::slice::from_ref(inner)),
            Written::Call(function, arguments) => self.call(function.name(), arguments),
        }
    }

    fn at_least(&mut self, tight: Binding, written: &Written) {
        if binding(written) >= tight {
            return self.formula(written);
        }
        self.out.push('(');
        self.formula(written);
        self.out.push(')');
    }

    fn sum(&mut self, terms: &[(bool, Written)]) {
        for (index, (minus, term)) in terms.iter().enumerate() {
            self.out.push_str(match (index, minus) {
                (0, false) => "",
                (0, true) => "-",
                (_, false) => " + ",
                (_, true) => " - ",
            });
            self.at_least(Binding::Product, term);
        }
    }

    fn product(&mut self, factors: &[Written]) {
        for (index, factor) in factors.iter().enumerate() {
            let start = self.out.len();
            self.at_least(Binding::Power, factor);
            if index > 0 {
                // Two numbers side by side would be one number.
                let digit = |text: &str| text.starts_with(|first: char| first.is_ascii_digit());
                let number = self.out.get(start..).is_some_and(digit);
                self.out.insert(start, if number { '*' } else { ' ' });
            }
        }
    }

    /// Always with brackets: a power or a further factor after the argument has one reading then.
    fn call<T: std::borrow::Borrow<Written>>(&mut self, function: &str, arguments: &[T]) {
        self.out.push_str(function);
        self.out.push('(');
        for (index, argument) in arguments.iter().enumerate() {
            if index > 0 {
                self.out.push_str(", ");
            }
            self.formula(argument.borrow());
        }
        self.out.push(')');
    }
}
