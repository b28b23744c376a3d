//! Assertions about how results behave: trends, limits, sensitivities.
//!
//! In go the pairs of such a line of `check`, out comes its tree. Whether the name that changes
//! is a given is left to others.

use super::formula::{Read, Reader, negative};
use super::grammar::{Pair, Pairs, Rule};
use super::{Expr, ExprKind, Factor, Limit, Name, Number, Operator, Trend, Way};
use crate::diagnostic::{Code, Diagnostic};
use crate::text::Span;

/// A power of one quantity, as it is written.
struct Shape {
    base: Name,
    exponent: Option<Box<Expr>>,
}

impl Reader<'_> {
    pub(super) fn trend(&mut self, mut pairs: Pairs<'_>) -> Read<Trend> {
        let (Some(subject), Some(way), with) = (pairs.next(), pairs.next(), pairs.next()) else {
            return Err(self.nothing());
        };
        let subject = self.expr(subject)?;
        let way = match way.as_rule() {
            Rule::rises => Way::Rises,
            Rule::falls => Way::Falls,
            Rule::independent => Way::Independent,
            _ => return self.varies(subject, way),
        };
        let with = with.filter(|with| with.as_rule() == Rule::name);
        let with = with.ok_or_else(|| self.nothing())?;
        Ok(Trend {
            subject,
            way,
            with: self.name(&with),
            within: None,
        })
    }

    /// `varies as x^2 within 5 %`.
    fn varies(&mut self, subject: Expr, pair: Pair<'_>) -> Read<Trend> {
        let mut written = None;
        let mut within = None;
        for part in pair.into_inner() {
            match part.as_rule() {
                Rule::expr => written = Some(self.expr(part)?),
                Rule::within => within = self.within(part)?,
                _ => {}
            }
        }
        let written = written.ok_or_else(|| self.nothing())?;
        let Some(shape) = shape(&written) else {
            return Err(no_power(self, &subject, written.span));
        };
        Ok(Trend {
            subject,
            way: Way::Power(shape.exponent),
            with: shape.base,
            within,
        })
    }

    /// `y -> 0 as x -> inf`.
    pub(super) fn limit(&mut self, pairs: Pairs<'_>) -> Read<Limit> {
        let mut with = None;
        let mut values = Vec::with_capacity(3);
        for pair in pairs {
            match pair.as_rule() {
                Rule::name => with = Some(self.name(&pair)),
                Rule::expr | Rule::literal => values.push(self.value(pair)?),
                _ => {}
            }
        }
        let mut values = values.into_iter();
        match (values.next(), values.next(), with, values.next()) {
            (Some(subject), Some(value), Some(with), Some(at)) => Ok(Limit {
                subject,
                value,
                with,
                at,
            }),
            _ => Err(self.nothing()),
        }
    }

    /// `sensitivity of y`.
    pub(super) fn sensitivity(&mut self, mut pairs: Pairs<'_>) -> Read<Expr> {
        match pairs.find(|pair| pair.as_rule() == Rule::expr) {
            Some(subject) => self.expr(subject),
            None => Err(self.nothing()),
        }
    }
}

/// `x`, `x^2`, `1/x`, `1/x^2`, `sqrt(x)`, `cbrt(x)` as a power of `x`.
fn shape(written: &Expr) -> Option<Shape> {
    match &written.kind {
        ExprKind::Name(name) => Some(Shape {
            base: name.clone(),
            exponent: None,
        }),
        ExprKind::Group(inner) => shape(inner),
        ExprKind::Power(base, exponent) => match shape(base)? {
            Shape {
                base,
                exponent: None,
            } if is_of_numbers(exponent) => Some(Shape {
                base,
                exponent: Some(exponent.clone()),
            }),
            _ => None,
        },
        ExprKind::Call {
            name, arguments, ..
        } => root(&name.key, arguments, written.span),
        ExprKind::Product(factors) => reciprocal(factors, written.span),
        _ => None,
    }
}

/// `sqrt(x)`: the exponent is `(1/2)`, as it would be written.
fn root(function: &str, arguments: &[Expr], span: Span) -> Option<Shape> {
    let degree = match function {
        "sqrt" => 2.0,
        "cbrt" => 3.0,
        _ => return None,
    };
    let [argument] = arguments else {
        return None;
    };
    let Shape {
        base,
        exponent: None,
    } = shape(argument)?
    else {
        return None;
    };
    let factor = |operator, value| Factor {
        operator,
        expr: number(value, span),
    };
    let fraction = vec![
        factor(Operator::Juxtapose, 1.0),
        factor(Operator::Divide, degree),
    ];
    let fraction = Expr {
        span,
        kind: ExprKind::Product(fraction),
    };
    let exponent = Expr {
        span,
        kind: ExprKind::Group(Box::new(fraction)),
    };
    Some(Shape {
        base,
        exponent: Some(Box::new(exponent)),
    })
}

/// `1/x^2`: the exponent is that below the slash with a minus before it.
fn reciprocal(factors: &[Factor], span: Span) -> Option<Shape> {
    let [above, below] = factors else {
        return None;
    };
    let is_one = matches!(above.expr.kind, ExprKind::Number(number) if number.value == 1.0);
    if !is_one || below.operator != Operator::Divide {
        return None;
    }
    let Shape { base, exponent } = shape(&below.expr)?;
    let inner = exponent.map_or_else(|| number(1.0, span), |exponent| *exponent);
    Some(Shape {
        base,
        exponent: Some(Box::new(negative(span, inner))),
    })
}

fn number(value: f64, span: Span) -> Expr {
    Expr {
        span,
        kind: ExprKind::Number(Number { span, value }),
    }
}

/// Whether a formula holds plain numbers only.
fn is_of_numbers(expr: &Expr) -> bool {
    match &expr.kind {
        ExprKind::Number(_) => true,
        ExprKind::Sum(terms) => terms.iter().all(|term| is_of_numbers(&term.expr)),
        ExprKind::Product(factors) => factors.iter().all(|factor| is_of_numbers(&factor.expr)),
        ExprKind::Power(base, exponent) => is_of_numbers(base) && is_of_numbers(exponent),
        ExprKind::Negative(inner) | ExprKind::Group(inner) => is_of_numbers(inner),
        _ => false,
    }
}

/// `y varies as 2 x`.
fn no_power(reader: &Reader<'_>, subject: &Expr, span: Span) -> Box<Diagnostic> {
    let (subject, written) = (reader.slice(subject.span), reader.slice(span));
    Box::new(
        Diagnostic::error(
            Code::S01,
            span,
            format!("`{written}` is no power of one quantity by a plain number"),
        )
        .with_help(format!(
            "`{subject} varies as x^2`, or as `x`, `1/x`, `x^(1/2)`, `sqrt(x)`; a constant factor is left out"
        )),
    )
}
