//! A formula as an author types it, whoever wrote it: the author or the engine.

use super::{Condition, Expr, ExprKind, Factor, Symbols, Term, Which};
use crate::syntax::Operator;

/// Writes formulas of one problem.
#[derive(Debug, Clone, Copy)]
pub struct Typed<'a> {
    /// The text in which the formulas stand that the author wrote.
    pub text: &'a str,
    /// The names in them.
    pub symbols: &'a Symbols,
}

impl Typed<'_> {
    /// The text of a formula; parts that the author wrote stand as they were written.
    pub fn written(self, expr: &Expr) -> String {
        match &expr.kind {
            ExprKind::Numeral(value) => value.to_string(),
            ExprKind::Number(_) | ExprKind::Quantity(_) | ExprKind::Parameter(_) => {
                expr.span.of(self.text).to_owned()
            }
            ExprKind::Pi => "pi".to_owned(),
            ExprKind::Symbol(symbol) => self.symbols.symbol(*symbol).key.to_string(),
            ExprKind::Component(symbol, axis) => {
                format!("{}.{}", self.symbols.symbol(*symbol).key, axis.letter())
            }
            ExprKind::Constant(constant) => format!("constant({})", constant.name),
            ExprKind::Sum(terms) => self.sum(terms),
            ExprKind::Product(factors) => self.product(factors),
            ExprKind::Power(base, exponent) => {
                format!("{}^{}", self.one(base), self.one(exponent))
            }
            ExprKind::Negative(inner) => format!("-{}", self.one(inner)),
            ExprKind::Group(inner) => format!("({})", self.written(inner)),
            ExprKind::Abs(inner) => format!("|{}|", self.written(inner)),
            ExprKind::Call {
                function,
                arguments,
                ..
            } => format!("{}({})", function.name(), self.list(arguments)),
            ExprKind::Apply {
                function,
                arguments,
            } => {
                let name = &self.symbols.function(*function).key;
                format!("{name}({})", self.list(arguments))
            }
            ExprKind::List(parts) => format!("[{}]", self.list(parts)),
            ExprKind::Vector(parts) => format!("({})", self.list(parts)),
            ExprKind::Cases(cases) => {
                let one = |value: &Expr, condition: &Option<Condition>| match condition {
                    Some(condition) => {
                        format!("{} for {}", self.written(value), self.condition(condition))
                    }
                    None => format!("{} otherwise", self.written(value)),
                };
                let cases = cases.iter().map(|case| one(&case.value, &case.condition));
                format!("cases({})", cases.collect::<Vec<_>>().join(", "))
            }
            ExprKind::Where(list, which) => {
                format!("{} where ({})", self.written(list), self.which(which))
            }
            ExprKind::ReadOff(table) => {
                let [values, places] = [&table.values, &table.places].map(|it| self.written(it));
                format!("{values} against {places}")
            }
        }
    }

    /// A part that holds together whatever stands beside it.
    fn one(self, expr: &Expr) -> String {
        match &expr.kind {
            ExprKind::Sum(_)
            | ExprKind::Product(_)
            | ExprKind::Power(..)
            | ExprKind::Negative(_)
            | ExprKind::Quantity(_) => format!("({})", self.written(expr)),
            _ => self.written(expr),
        }
    }

    fn sum(self, terms: &[Term]) -> String {
        let signs = terms.iter().enumerate();
        let terms = signs.map(|(at, term)| {
            let sign = match (at, term.negative) {
                (0, false) => "",
                (0, true) => "-",
                (_, false) => " + ",
                (_, true) => " - ",
            };
            let text = match &term.expr.kind {
                ExprKind::Sum(_) | ExprKind::Negative(_) => self.one(&term.expr),
                _ => self.written(&term.expr),
            };
            format!("{sign}{text}")
        });
        terms.collect()
    }

    fn product(self, factors: &[Factor]) -> String {
        let signs = factors.iter().enumerate();
        let factors = signs.map(|(at, factor)| {
            let operator = match (at, factor.operator) {
                (0, _) => "",
                (_, Operator::Juxtapose) => " ",
                (_, Operator::Times) => "*",
                (_, Operator::Divide) => "/",
            };
            let text = match &factor.expr.kind {
                ExprKind::Power(..) | ExprKind::Quantity(_) => self.written(&factor.expr),
                _ => self.one(&factor.expr),
            };
            format!("{operator}{text}")
        });
        factors.collect()
    }

    fn list(self, parts: &[Expr]) -> String {
        let parts: Vec<String> = parts.iter().map(|part| self.written(part)).collect();
        parts.join(", ")
    }

    fn which(self, which: &Which) -> String {
        let row = |parts: &[Which], joint: &str| {
            let parts = parts.iter().map(|part| format!("({})", self.which(part)));
            parts.collect::<Vec<_>>().join(joint)
        };
        match which {
            Which::Compared(condition) => self.condition(condition),
            Which::Words { heading, words } => format!("{} = \"{words}\"", heading.1),
            Which::Not(inner) => format!("not ({})", self.which(inner)),
            Which::All(parts) => row(parts, " and "),
            Which::Any(parts) => row(parts, " or "),
        }
    }

    fn condition(self, condition: &Condition) -> String {
        let mut members = condition.members.iter();
        let first = members
            .next()
            .map_or(String::new(), |one| self.written(one));
        let rest = members.zip(&condition.relations);
        rest.fold(first, |before, (member, relation)| {
            format!("{before} {} {}", relation.sign(), self.written(member))
        })
    }
}
