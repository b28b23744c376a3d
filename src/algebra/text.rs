//! Expressions as text, for tests: `2*a*x^2 - sqrt(b)/c`.

use rustc_hash::FxHashMap;

use super::node::{Function, Id, Node, Symbol};
use super::sign::Sign;
use super::{Algebra, number};
use crate::functions;

/// An algebra with names for its symbols.
pub(crate) struct Named {
    pub algebra: Algebra,
    names: Vec<String>,
}

impl Named {
    /// `positive` are the names of symbols that are known to be above zero.
    pub fn new(positive: &[&str]) -> Self {
        let signs: FxHashMap<Symbol, Sign> = (0..positive.len() as u32)
            .map(|at| (Symbol(at), Sign::POSITIVE))
            .collect();
        Self {
            algebra: Algebra::knowing(signs),
            names: positive.iter().map(|name| (*name).to_owned()).collect(),
        }
    }

    pub fn symbol(&mut self, name: &str) -> Symbol {
        let at = self.names.iter().position(|known| known == name);
        Symbol(at.unwrap_or_else(|| {
            self.names.push(name.to_owned());
            self.names.len() - 1
        }) as u32)
    }

    pub fn name(&self, symbol: Symbol) -> String {
        self.names[symbol.0 as usize].clone()
    }

    pub fn read(&mut self, text: &str) -> Id {
        let mut reader = Reader {
            rest: text,
            named: self,
        };
        let id = reader.sum();
        assert_eq!(reader.rest.trim(), "", "{text}");
        id
    }

    /// Both sides of `left = right`.
    pub fn equation(&mut self, text: &str) -> (Id, Id) {
        let (left, right) = text.split_once('=').unwrap();
        (self.read(left), self.read(right))
    }

    /// The canonical form, fully bracketed where it matters.
    pub fn show(&self, id: Id) -> String {
        let algebra = &self.algebra;
        match algebra.node(id) {
            Node::Number(value) => value.to_string(),
            Node::Undefined => "undefined".to_owned(),
            Node::Pi => "pi".to_owned(),
            Node::Symbol(symbol) => self.names[symbol.0 as usize].clone(),
            Node::Sum(sum) => {
                let mut parts: Vec<String> = sum
                    .terms
                    .iter()
                    .map(|(term, coefficient)| {
                        if *coefficient == number::whole(1) {
                            self.show(*term)
                        } else {
                            format!("{coefficient}*{}", self.show(*term))
                        }
                    })
                    .collect();
                if sum.constant != number::whole(0) {
                    parts.push(sum.constant.to_string());
                }
                format!("({})", parts.join(" + "))
            }
            Node::Product(factors) => {
                let parts: Vec<String> = factors
                    .iter()
                    .map(|(base, exponent)| {
                        if *exponent == number::whole(1) {
                            self.show(*base)
                        } else {
                            format!("{}^({exponent})", self.show(*base))
                        }
                    })
                    .collect();
                parts.join("*")
            }
            Node::Power(base, exponent) => {
                format!("{}^({})", self.show(*base), self.show(*exponent))
            }
            Node::Call(function, arguments) => {
                let arguments: Vec<String> = arguments
                    .iter()
                    .map(|argument| self.show(*argument))
                    .collect();
                format!("{}({})", function.name(), arguments.join(", "))
            }
        }
    }
}

struct Reader<'a, 'n> {
    rest: &'a str,
    named: &'n mut Named,
}

impl Reader<'_, '_> {
    fn take(&mut self, token: char) -> bool {
        self.rest = self.rest.trim_start();
        match self.rest.strip_prefix(token) {
            Some(rest) => {
                self.rest = rest;
                true
            }
            None => false,
        }
    }

    fn sum(&mut self) -> Id {
        let mut total = self.signed();
        loop {
            if self.take('+') {
                let next = self.signed();
                total = self.named.algebra.add(&[total, next]);
            } else if self.take('-') {
                let next = self.signed();
                total = self.named.algebra.subtract(total, next);
            } else {
                return total;
            }
        }
    }

    fn signed(&mut self) -> Id {
        if self.take('-') {
            let inner = self.signed();
            return self.named.algebra.negate(inner);
        }
        self.product()
    }

    fn product(&mut self) -> Id {
        let mut total = self.power();
        loop {
            if self.take('*') {
                let next = self.power();
                total = self.named.algebra.multiply(&[total, next]);
            } else if self.take('/') {
                let next = self.power();
                total = self.named.algebra.divide(total, next);
            } else {
                return total;
            }
        }
    }

    fn power(&mut self) -> Id {
        let base = self.atom();
        if !self.take('^') {
            return base;
        }
        let exponent = if self.take('-') {
            let inner = self.power();
            self.named.algebra.negate(inner)
        } else {
            self.power()
        };
        self.named.algebra.power(base, exponent)
    }

    fn atom(&mut self) -> Id {
        if self.take('(') {
            let inner = self.sum();
            assert!(self.take(')'), "{}", self.rest);
            return inner;
        }
        if self.take('-') {
            let inner = self.power();
            return self.named.algebra.negate(inner);
        }
        self.rest = self.rest.trim_start();
        let number = self.rest.find(|c: char| !c.is_ascii_digit() && c != '.');
        let end = number.unwrap_or(self.rest.len());
        if end > 0 {
            return self.number(end);
        }
        let end = self
            .rest
            .find(|c: char| !c.is_alphanumeric() && c != '_')
            .unwrap_or(self.rest.len());
        let (word, rest) = self.rest.split_at(end);
        assert!(!word.is_empty(), "{rest}");
        self.rest = rest;
        if word == "pi" {
            return self.named.algebra.pi();
        }
        if !self.rest.starts_with('(') {
            let symbol = self.named.symbol(word);
            return self.named.algebra.symbol(symbol);
        }
        self.rest = &self.rest[1..];
        let mut arguments = vec![self.sum()];
        while self.take(',') {
            arguments.push(self.sum());
        }
        assert!(self.take(')'), "{}", self.rest);
        self.call(word, &arguments)
    }

    fn number(&mut self, mut end: usize) -> Id {
        let bytes = self.rest.as_bytes();
        if bytes.get(end) == Some(&b'e') {
            let sign = usize::from(matches!(bytes.get(end + 1), Some(b'-' | b'+')));
            let digits = bytes[end + 1 + sign..]
                .iter()
                .take_while(|byte| byte.is_ascii_digit())
                .count();
            if digits > 0 {
                end += 1 + sign + digits;
            }
        }
        let (word, rest) = self.rest.split_at(end);
        self.rest = rest;
        let value = number::decimal(word).unwrap();
        self.named.algebra.number(value)
    }

    fn call(&mut self, word: &str, arguments: &[Id]) -> Id {
        let algebra = &mut self.named.algebra;
        let function = match word {
            "sqrt" => return algebra.square_root(arguments[0]),
            "log10" => {
                let ten = algebra.whole(10);
                let below = algebra.call(Function::Ln, &[ten]);
                let above = algebra.call(Function::Ln, arguments);
                return algebra.divide(above, below);
            }
            "asinh" => Function::Asinh,
            _ => Function::of(functions::Function::named(word).unwrap()),
        };
        algebra.call(function, arguments)
    }
}
