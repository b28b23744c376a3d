//! Formulas for tests, read from a small notation: `{25 mm}` is a quantity, everything else as in
//! a worksheet. Names are made as they come.

use crate::functions::Function;
use crate::quantity::{Unit, to_figures};
use crate::resolve::{Case, Condition, Expr, ExprKind, Factor, Quantity, SymbolId, Symbols, Term};
use crate::syntax::{Operator, Relation};
use crate::text::{Source, Span};
use crate::worksheet::Shown;

/// The text of a worksheet to be, and its names.
#[derive(Default)]
pub(crate) struct Formulas {
    pub(crate) text: String,
    pub(crate) symbols: Symbols,
}

impl Formulas {
    /// Adds a formula to the text and reads it.
    pub(crate) fn read(&mut self, formula: &str) -> Expr {
        let start = self.text.len();
        self.text.push_str(formula);
        self.text.push('\n');
        let mut reader = Reader {
            text: formula,
            at: 0,
            offset: start,
            symbols: &mut self.symbols,
        };
        let expr = reader.sum();
        assert_eq!(reader.rest().trim(), "", "not read in `{formula}`");
        expr
    }

    pub(crate) fn symbol(&mut self, key: &str) -> SymbolId {
        self.symbols.intern_declared(0, key)
    }

    pub(crate) fn source(&self) -> Source {
        Source::new("fixture.md", self.text.clone())
    }
}

/// A unit by its source text.
pub(crate) fn unit(source: &str) -> Unit {
    if source.is_empty() {
        Unit::one()
    } else {
        Unit::from_source(source).unwrap()
    }
}

/// A result with four figures.
pub(crate) fn shown(value: f64, unit_source: &str) -> Shown {
    let unit = unit(unit_source);
    Shown {
        si: vec![unit.to_si(value)],
        values: vec![value],
        digits: vec![to_figures(value, 4)],
        written: None,
        shape: crate::resolve::Shape::One,
        unit,
        word: None,
        uncertainty: None,
        uncertainty_written: None,
        figures: 4,
    }
}

/// A literal as the author wrote it.
pub(crate) fn written(number: &str, unit_source: &str) -> Shown {
    Shown {
        written: Some(number.to_owned()),
        figures: 0,
        ..shown(number.parse().unwrap_or(0.0), unit_source)
    }
}

struct Reader<'a> {
    text: &'a str,
    at: usize,
    offset: usize,
    symbols: &'a mut Symbols,
}

impl<'a> Reader<'a> {
    fn rest(&self) -> &'a str {
        &self.text[self.at..]
    }

    fn skip(&mut self) {
        self.at = self.text.len() - self.rest().trim_start().len();
    }

    fn take(&mut self, token: &str) -> bool {
        self.skip();
        let found = self.rest().starts_with(token);
        if found {
            self.at += token.len();
        }
        found
    }

    fn span(&self, start: usize) -> Span {
        Span::new(self.offset + start, self.offset + self.at)
    }

    fn node(&self, start: usize, kind: ExprKind) -> Expr {
        Expr {
            span: self.span(start),
            kind,
        }
    }

    fn sum(&mut self) -> Expr {
        self.skip();
        let start = self.at;
        let mut terms = Vec::new();
        let mut negative = self.take("-");
        loop {
            let expr = self.product();
            terms.push(Term { negative, expr });
            if self.take("+") {
                negative = false;
            } else if self.take("-") {
                negative = true;
            } else {
                break;
            }
        }
        match terms.as_slice() {
            [
                Term {
                    negative: false, ..
                },
            ] => terms.remove(0).expr,
            [Term { negative: true, .. }] => {
                let inner = Box::new(terms.remove(0).expr);
                self.node(start, ExprKind::Negative(inner))
            }
            _ => self.node(start, ExprKind::Sum(terms)),
        }
    }

    fn product(&mut self) -> Expr {
        self.skip();
        let start = self.at;
        let mut factors = vec![Factor {
            operator: Operator::Juxtapose,
            expr: self.power(),
        }];
        loop {
            let operator = if self.take("*") {
                Operator::Times
            } else if self.take("/") {
                Operator::Divide
            } else if self.begins_factor() {
                Operator::Juxtapose
            } else {
                break;
            };
            let expr = self.power();
            factors.push(Factor { operator, expr });
        }
        if factors.len() == 1 {
            return factors.remove(0).expr;
        }
        self.node(start, ExprKind::Product(factors))
    }

    fn begins_factor(&mut self) -> bool {
        self.skip();
        let word = self.word();
        self.rest()
            .starts_with(|c: char| c.is_alphanumeric() || "({[".contains(c))
            && !["for", "otherwise"].contains(&word)
    }

    fn word(&self) -> &'a str {
        let rest = self.rest();
        let end = rest.find(|c: char| !(c.is_alphanumeric() || c == '_'));
        &rest[..end.unwrap_or(rest.len())]
    }

    fn power(&mut self) -> Expr {
        self.skip();
        let start = self.at;
        let base = self.atom();
        if !self.take("^") {
            return base;
        }
        let exponent = if self.take("-") {
            let inner = Box::new(self.atom());
            self.node(start, ExprKind::Negative(inner))
        } else {
            self.power()
        };
        self.node(start, ExprKind::Power(Box::new(base), Box::new(exponent)))
    }

    fn atom(&mut self) -> Expr {
        self.skip();
        let start = self.at;
        if self.take("(") {
            let inner = Box::new(self.sum());
            assert!(self.take(")"));
            return self.node(start, ExprKind::Group(inner));
        }
        if self.take("|") {
            let inner = Box::new(self.sum());
            assert!(self.take("|"));
            return self.node(start, ExprKind::Abs(inner));
        }
        if self.take("{") {
            return self.quantity(start);
        }
        if self.rest().starts_with(|c: char| c.is_ascii_digit()) {
            let rest = self.rest();
            let end = rest.find(|c: char| !(c.is_ascii_digit() || ".e".contains(c)));
            let number = &rest[..end.unwrap_or(rest.len())];
            self.at += number.len();
            return self.node(start, ExprKind::Number(number.parse().unwrap()));
        }
        let word = self.word();
        assert!(!word.is_empty(), "nothing to read at `{}`", self.rest());
        self.at += word.len();
        self.named(word, start)
    }

    fn quantity(&mut self, start: usize) -> Expr {
        let rest = self.rest();
        let inside = &rest[..rest.find('}').unwrap()];
        let (number, unit_source) = inside.split_once(' ').unwrap_or((inside, ""));
        let number_start = self.at;
        self.at += number.len();
        let number_span = self.span(number_start);
        self.at += inside.len() - number.len() + 1;
        let quantity = Quantity {
            number: number_span,
            values: vec![number.parse().unwrap()],
            shape: crate::resolve::Shape::One,
            unit: unit(unit_source),
            datum: None,
            uncertainty: None,
            uncertainty_text: None,
        };
        self.node(start, ExprKind::Quantity(Box::new(quantity)))
    }

    fn named(&mut self, word: &str, start: usize) -> Expr {
        if word == "pi" {
            return self.node(start, ExprKind::Pi);
        }
        if word == "cases" {
            return self.cases(start);
        }
        if let Some(id) = self.symbols.find_function(0, word) {
            let arguments = self.arguments();
            let function = id;
            return self.node(
                start,
                ExprKind::Apply {
                    function,
                    arguments,
                },
            );
        }
        let Some(function) = Function::named(word) else {
            let id = self.symbols.intern_declared(0, word);
            return self.node(start, ExprKind::Symbol(id));
        };
        let bracketed = self.rest().starts_with('(');
        let arguments = if bracketed {
            self.arguments()
        } else {
            vec![self.power()]
        };
        let kind = ExprKind::Call {
            function,
            arguments,
            bracketed,
        };
        self.node(start, kind)
    }

    fn arguments(&mut self) -> Vec<Expr> {
        assert!(self.take("("));
        let mut arguments = vec![self.sum()];
        while self.take(",") {
            arguments.push(self.sum());
        }
        assert!(self.take(")"));
        arguments
    }

    fn cases(&mut self, start: usize) -> Expr {
        assert!(self.take("("));
        let mut cases = Vec::new();
        loop {
            let value = self.sum();
            let condition = self.take("for").then(|| {
                let left = self.sum();
                assert!(self.take("<"));
                Condition {
                    members: vec![left, self.sum()],
                    relations: vec![Relation::Less],
                }
            });
            let last = condition.is_none() && self.take("otherwise");
            cases.push(Case { value, condition });
            if last || !self.take(",") {
                break;
            }
        }
        assert!(self.take(")"));
        self.node(start, ExprKind::Cases(cases))
    }
}
