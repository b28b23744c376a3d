//! What the algebra wrote, as a formula of the worksheet: with brackets by precedence, and every
//! part placed at the line that asked for it.

use super::algebraic::{self, Algebraic};
use super::tree::{Expr, ExprKind, Factor, Term};
use crate::algebra::{self, Algebra, Id, Operation, Written};
use crate::functions::Function;
use crate::syntax::Operator;
use crate::text::Span;

/// The formula of a canonical expression; `None` for one without a value or too long to be
/// written.
pub fn expr(algebraic: &mut Algebraic<'_>, id: Id, place: Span) -> Option<Expr> {
    let written = algebraic.algebra.written(id)?;
    Some(Writer { algebraic, place }.expr(&written))
}

/// What was done to an equation, in words that may end in a formula.
pub(super) fn operation(algebra: &mut Algebra, what: &Operation) -> (String, Option<Id>) {
    let words = |words: &str| words.to_owned();
    match what {
        Operation::Exchanged => (words("the sides exchanged"), None),
        Operation::Subtracted(id) => (words("both sides minus"), Some(*id)),
        // Divided by a half is multiplied by two.
        Operation::Divided(id)
            if algebra
                .as_number(*id)
                .is_some_and(|value| !value.is_integer()) =>
        {
            let factor = algebra.raise(*id, &algebra::whole(-1));
            (words("both sides multiplied by"), Some(factor))
        }
        Operation::Divided(id) => (words("both sides divided by"), Some(*id)),
        Operation::Multiplied(id) => (words("both sides multiplied by"), Some(*id)),
        Operation::Raised(power) => (raised(power), None),
        Operation::RaisedTo(id) => (words("both sides to the power"), Some(*id)),
        Operation::Logarithm => (words("the logarithm of both sides"), None),
        Operation::Exponential(None) => (words("the exponential of both sides"), None),
        Operation::Exponential(Some(base)) => (words("both sides as exponents of"), Some(*base)),
        Operation::Applied(function) => (format!("{} of both sides", function.name()), None),
        Operation::Inverse(function) => (
            format!("the inverse of {} of both sides", function.name()),
            None,
        ),
        Operation::Collected => (words("collected by powers of the unknown"), None),
        Operation::Quadratic(..) => (words("the quadratic formula"), None),
        Operation::Factor(id) => (words("the factor that is zero is"), Some(*id)),
        Operation::Rewritten(id) => (words("rewritten with"), Some(*id)),
        Operation::Inserted(_) => (words("what was found above inserted"), None),
        Operation::Eliminated => (words("the linear equations solved together"), None),
    }
}

fn raised(power: &algebra::Rational) -> String {
    if *power == algebra::whole(2) {
        "both sides squared".to_owned()
    } else if *power == algebra::ratio(1, 2) {
        "the square root of both sides".to_owned()
    } else if *power == algebra::whole(-1) {
        "both sides turned over".to_owned()
    } else {
        format!("both sides to the power {power}")
    }
}

struct Writer<'w, 'a> {
    algebraic: &'w Algebraic<'a>,
    place: Span,
}

impl Writer<'_, '_> {
    fn made(&self, kind: ExprKind) -> Expr {
        Expr {
            span: self.place,
            kind,
        }
    }

    fn expr(&self, written: &Written) -> Expr {
        let kind = match written {
            Written::Whole(value) => ExprKind::Numeral(value.to_f64().value()),
            Written::Decimal(text) => ExprKind::Numeral(text.parse().unwrap_or(f64::NAN)),
            Written::Pi => ExprKind::Pi,
            Written::Symbol(symbol) => self.symbol(*symbol),
            Written::Sum(terms) => ExprKind::Sum(
                terms
                    .iter()
                    .map(|(negative, term)| Term {
                        negative: *negative,
                        expr: self.expr(term),
                    })
                    .collect(),
            ),
            Written::Product(factors) => {
                ExprKind::Product(self.factors(factors, Operator::Juxtapose).into())
            }
            Written::Quotient(above, below) => self.quotient(above, below),
            Written::Power(base, exponent) => {
                ExprKind::Power(Box::new(self.base(base)), Box::new(self.exponent(exponent)))
            }
            Written::Root(inner) => self.call(Function::Sqrt, std::slice::from_ref(inner)),
            Written::CubeRoot(inner) => self.call(Function::Cbrt, std::slice::from_ref(inner)),
            Written::Negative(inner) => ExprKind::Negative(Box::new(self.factor(inner))),
            Written::Call(function, arguments) => self.call(*function, arguments),
            Written::Abs(inner) => ExprKind::Abs(Box::new(self.expr(inner))),
        };
        self.made(kind)
    }

    fn symbol(&self, symbol: algebra::Symbol) -> ExprKind {
        match algebraic::of_symbol(symbol) {
            Some((id, None)) => ExprKind::Symbol(id),
            Some((id, Some(axis))) => ExprKind::Component(id, axis),
            None => match self.algebraic.constant_of(symbol) {
                Some(constant) => ExprKind::Constant(constant),
                None => ExprKind::Numeral(self.algebraic.literal_of(symbol)),
            },
        }
    }

    fn call(
        &self,
        function: Function,
        arguments: &[impl std::borrow::Borrow<Written>],
    ) -> ExprKind {
        ExprKind::Call {
            function,
            arguments: (arguments.iter())
                .map(|argument| self.expr(argument.borrow()))
                .collect(),
            bracketed: true,
        }
    }

    fn factors(&self, factors: &[Written], first: Operator) -> Vec<Factor> {
        factors
            .iter()
            .enumerate()
            .map(|(at, factor)| Factor {
                operator: if at == 0 { first } else { Operator::Juxtapose },
                expr: self.factor(factor),
            })
            .collect()
    }

    /// `a b/(c d)`: the numerator's factors stand in the row, the denominator in brackets.
    fn quotient(&self, above: &Written, below: &Written) -> ExprKind {
        let mut factors = match above {
            Written::Product(inner) => self.factors(inner, Operator::Juxtapose),
            _ => vec![Factor {
                operator: Operator::Juxtapose,
                expr: self.factor(above),
            }],
        };
        let below_expr = self.expr(below);
        let below_expr = match below {
            Written::Product(_) | Written::Quotient(..) => self.group(below_expr),
            _ => self.factor(below),
        };
        factors.push(Factor {
            operator: Operator::Divide,
            expr: below_expr,
        });
        ExprKind::Product(factors.into())
    }

    /// A factor: a sum, a quotient or what has a minus stands in brackets.
    fn factor(&self, written: &Written) -> Expr {
        let expr = self.expr(written);
        match written {
            Written::Sum(_) | Written::Negative(_) => self.group(expr),
            _ => expr,
        }
    }

    /// The base of a power: anything but a name, a number or what has brackets of its own.
    fn base(&self, written: &Written) -> Expr {
        let expr = self.expr(written);
        match written {
            Written::Whole(_)
            | Written::Decimal(_)
            | Written::Pi
            | Written::Symbol(_)
            | Written::Abs(_) => expr,
            _ => self.group(expr),
        }
    }

    fn exponent(&self, written: &Written) -> Expr {
        let expr = self.expr(written);
        match written {
            Written::Whole(_) | Written::Decimal(_) | Written::Pi | Written::Symbol(_) => expr,
            _ => self.group(expr),
        }
    }

    fn group(&self, expr: Expr) -> Expr {
        self.made(ExprKind::Group(Box::new(expr)))
    }
}
