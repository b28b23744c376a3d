//! Vector formulas by component.

use std::sync::Arc;

use super::symbols::Vectors;
use super::tree::{Expr, ExprKind, Factor, SymbolId, Term};
use crate::functions::Function;
use crate::syntax::{Axis, Operator};
use crate::text::Span;

/// How many components the value of a formula has; `None` for one number.
pub fn components(expr: &Expr, vectors: &Vectors) -> Option<u8> {
    match &expr.kind {
        ExprKind::Symbol(symbol) => vectors.components(*symbol),
        ExprKind::Vector(items) => u8::try_from(items.len()).ok(),
        ExprKind::Quantity(quantity) if quantity.shape == super::Shape::Vector => {
            u8::try_from(quantity.values.len()).ok()
        }
        ExprKind::Sum(terms) => (terms.iter()).find_map(|term| components(&term.expr, vectors)),
        ExprKind::Product(factors) => factors
            .iter()
            .filter(|factor| factor.operator != Operator::Divide)
            .find_map(|factor| components(&factor.expr, vectors)),
        ExprKind::Negative(inner) | ExprKind::Group(inner) => components(inner, vectors),
        ExprKind::Cases(cases) => (cases.iter()).find_map(|case| components(&case.value, vectors)),
        ExprKind::Call {
            function: Function::Cross,
            arguments,
            ..
        } => {
            let of = (arguments.iter()).find_map(|argument| components(argument, vectors));
            of.filter(|components| *components == 3)
        }
        _ => None,
    }
}

/// The axes of a vector with so many components.
pub fn axes(components: u8) -> &'static [Axis] {
    if components == 3 {
        &[Axis::X, Axis::Y, Axis::Z]
    } else {
        &[Axis::X, Axis::Y]
    }
}

/// The two axes that follow another in the cyclic order of a cross product.
fn after(axis: Axis) -> (Axis, Axis) {
    match axis {
        Axis::X => (Axis::Y, Axis::Z),
        Axis::Y => (Axis::Z, Axis::X),
        Axis::Z => (Axis::X, Axis::Y),
    }
}

/// Writes out components of vector formulas.
pub struct Components<'a> {
    /// The symbols that are vectors.
    pub vectors: &'a Vectors,
    /// The components of a vector that is defined by them, where they are to be put in.
    pub definition: &'a dyn Fn(SymbolId) -> Option<&'a Expr>,
}

impl Components<'_> {
    /// One component of a formula, in the author's order; terms that are zero are left out.
    /// `None` where it has no such component.
    pub fn of(&self, expr: &Expr, axis: Axis) -> Option<Expr> {
        let made = |kind| Expr {
            span: expr.span,
            kind,
        };
        Some(match &expr.kind {
            ExprKind::Symbol(symbol) => match (self.definition)(*symbol) {
                Some(definition) => self.of(definition, axis)?,
                None => {
                    self.vectors.components(*symbol)?;
                    made(ExprKind::Component(*symbol, axis))
                }
            },
            ExprKind::Vector(items) => items.get(axis as usize)?.clone(),
            ExprKind::Group(inner) => self.of(inner, axis)?,
            ExprKind::Negative(inner) => negative(self.of(inner, axis)?),
            ExprKind::Sum(terms) => self.sum(expr.span, terms, axis)?,
            ExprKind::Product(factors) => self.product(expr.span, factors, axis)?,
            ExprKind::Call {
                function: Function::Cross,
                arguments,
                ..
            } => self.cross(expr.span, arguments, axis)?,
            // A zero stands for the zero vector.
            ExprKind::Number(value) if *value == 0.0 => expr.clone(),
            _ => return None,
        })
    }

    fn sum(&self, span: Span, terms: &[Term], axis: Axis) -> Option<Expr> {
        let mut found = Vec::with_capacity(terms.len());
        for term in terms {
            let expr = self.of(&term.expr, axis)?;
            push_term(&mut found, term.negative, expr);
        }
        Some(sum_of(span, found))
    }

    fn product(&self, span: Span, factors: &[Factor], axis: Axis) -> Option<Expr> {
        let mut minus = false;
        let mut found: Vec<Factor> = Vec::with_capacity(factors.len());
        for factor in factors {
            let is_vector = components(&factor.expr, self.vectors).is_some();
            let mut expr = if is_vector {
                self.of(&factor.expr, axis)?
            } else {
                factor.expr.clone()
            };
            if is_zero(&expr) && factor.operator != Operator::Divide {
                return Some(zero(span));
            }
            while is_vector && let ExprKind::Negative(inner) = expr.kind {
                minus = !minus;
                expr = *inner;
            }
            if is_vector && is_one(&expr) && factor.operator != Operator::Divide {
                continue;
            }
            found.push(Factor {
                operator: factor.operator,
                expr: bracketed(expr),
            });
        }
        match found.first_mut() {
            Some(first) if first.operator == Operator::Divide => found.insert(
                0,
                Factor {
                    operator: Operator::Juxtapose,
                    expr: Expr {
                        span,
                        kind: ExprKind::Numeral(1.0),
                    },
                },
            ),
            Some(first) => first.operator = Operator::Juxtapose,
            None => {}
        }
        let product = match found.len() {
            0 => Expr {
                span,
                kind: ExprKind::Numeral(1.0),
            },
            1 => found.remove(0).expr,
            _ => Expr {
                span,
                kind: ExprKind::Product(found.into()),
            },
        };
        Some(if minus { negative(product) } else { product })
    }

    fn cross(&self, span: Span, arguments: &[Expr], axis: Axis) -> Option<Expr> {
        let [left, right] = arguments else {
            return None;
        };
        let (one, two) = after(axis);
        let times = |left: Expr, right: Expr| Expr {
            span,
            kind: ExprKind::Product(
                [left, right]
                    .into_iter()
                    .map(|expr| Factor {
                        operator: Operator::Juxtapose,
                        expr: bracketed(expr),
                    })
                    .collect(),
            ),
        };
        let first = times(self.of(left, one)?, self.of(right, two)?);
        let second = times(self.of(left, two)?, self.of(right, one)?);
        let term = |negative, expr| Term { negative, expr };
        Some(Expr {
            span,
            kind: ExprKind::Sum(Arc::new([term(false, first), term(true, second)])),
        })
    }
}

fn push_term(terms: &mut Vec<Term>, negative: bool, expr: Expr) {
    if is_zero(&expr) {
        return;
    }
    match expr.kind {
        ExprKind::Negative(inner) => push_term(terms, !negative, *inner),
        ExprKind::Sum(inner) => {
            for term in &*inner {
                push_term(terms, term.negative != negative, term.expr.clone());
            }
        }
        kind => terms.push(Term {
            negative,
            expr: Expr {
                span: expr.span,
                kind,
            },
        }),
    }
}

/// A sum of terms; of one term the term itself, of none 0.
pub fn sum_of(span: Span, mut terms: Vec<Term>) -> Expr {
    match terms.len() {
        0 => zero(span),
        1 => {
            let only = terms.remove(0);
            if only.negative {
                negative(only.expr)
            } else {
                only.expr
            }
        }
        _ => Expr {
            span,
            kind: ExprKind::Sum(terms.into()),
        },
    }
}

fn zero(span: Span) -> Expr {
    Expr {
        span,
        kind: ExprKind::Numeral(0.0),
    }
}

fn negative(expr: Expr) -> Expr {
    match expr.kind {
        ExprKind::Negative(inner) => *inner,
        ExprKind::Numeral(0.0) | ExprKind::Number(0.0) => expr,
        ExprKind::Sum(terms) => Expr {
            span: expr.span,
            kind: ExprKind::Sum(
                terms
                    .iter()
                    .map(|term| Term {
                        negative: !term.negative,
                        expr: term.expr.clone(),
                    })
                    .collect(),
            ),
        },
        _ => Expr {
            span: expr.span,
            kind: ExprKind::Negative(Box::new(expr)),
        },
    }
}

/// A sum as a factor needs brackets.
fn bracketed(expr: Expr) -> Expr {
    match expr.kind {
        ExprKind::Sum(_) | ExprKind::Negative(_) => Expr {
            span: expr.span,
            kind: ExprKind::Group(Box::new(expr)),
        },
        _ => expr,
    }
}

fn is_zero(expr: &Expr) -> bool {
    matches!(
        expr.inside().kind,
        ExprKind::Number(0.0) | ExprKind::Numeral(0.0)
    )
}

fn is_one(expr: &Expr) -> bool {
    matches!(
        expr.inside().kind,
        ExprKind::Number(1.0) | ExprKind::Numeral(1.0)
    )
}
