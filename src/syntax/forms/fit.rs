//! The lines of `fit`: `T_i^2 = c + k L_i`, its parameters `k = ? s^2/m near 4 s^2/m`, and what they
//! are weighted by.

use super::super::grammar::{Pair, Pairs, Rule};
use super::super::reader::{Read, Reader, error};
use super::super::statement::refuse_function_as_name;
use super::super::{Expr, ExprKind, Literal, Name, Which, literal};
use super::{Ask, Part, Start, Statement};
use crate::diagnostic::{Code, Diagnostic};
use crate::text::Span;

/// The formula of a fit.
#[derive(Debug, Clone, PartialEq)]
pub struct Fit {
    /// What is compared: of readings.
    pub left: Expr,
    /// What it is compared with.
    pub right: Expr,
    /// The rows that take part.
    pub which: Option<Which>,
}

/// A parameter of a fit.
#[derive(Debug, Clone, PartialEq)]
pub struct Parameter {
    /// Its name.
    pub name: Name,
    /// How it is asked.
    pub ask: Ask,
    /// The engine's own number from before.
    pub filled: Option<Literal>,
    /// `near 15 min`: a literal.
    pub near: Option<Expr>,
    /// `between 5 min and 1 h`: two literals.
    pub between: Option<(Expr, Expr)>,
}

/// What the spread of the readings is taken from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Spread {
    /// `spread from residuals`
    Residuals,
    /// `spread from uncertainty`
    Uncertainty,
}

impl Fit {
    /// Its parts, in order.
    pub(super) fn parts<'a>(&'a self, take: &mut dyn FnMut(Part<'a>)) {
        take(Part::Expr(&self.left));
        take(Part::Expr(&self.right));
        if let Some(which) = &self.which {
            which.for_each_comparison(&mut |check| {
                check.members.iter().for_each(|it| take(Part::Expr(it)));
            });
        }
    }
}

impl Parameter {
    /// Its parts, in order.
    pub(super) fn parts<'a>(&'a self, take: &mut dyn FnMut(Part<'a>)) {
        take(Part::Name(&self.name));
        self.filled.iter().for_each(|it| take(Part::Literal(it)));
        take(Part::Ask(&self.ask));
        let bounds = self.between.iter().flat_map(|(low, high)| [low, high]);
        (self.near.iter().chain(bounds)).for_each(|it| take(Part::Expr(it)));
    }
}

impl Reader<'_> {
    /// The formula, or a parameter.
    pub(super) fn fit_line(&mut self, pairs: Pairs<'_>) -> Read<Statement> {
        let mut sides = Vec::with_capacity(2);
        let (mut ask, mut filled) = (None, None);
        let (mut near, mut between, mut which) = (None, None, None);
        for pair in pairs {
            match pair.as_rule() {
                Rule::expr => sides.push(self.expr(pair)?),
                Rule::ask => ask = Some(self.ask(pair)?),
                Rule::literal => filled = Some(literal::literal(self, pair)?),
                Rule::filled_mark => {
                    if let Some(literal) = &filled {
                        ask = Some(self.filled_ask(literal, pair)?);
                    }
                }
                Rule::near | Rule::between => match self.only(pair)? {
                    Start::Near(value) => near = Some(*value),
                    Start::Between(low, high) => between = Some((*low, *high)),
                    Start::Anywhere => {}
                },
                Rule::which => which = Some(self.which(pair)?),
                _ => {}
            }
        }
        let mut sides = sides.into_iter();
        let left = sides.next().ok_or_else(|| self.nothing())?;
        match (sides.next(), ask) {
            (None, Some(ask)) if which.is_none() => Ok(Statement::Parameter(Parameter {
                name: self.parameter(left)?,
                ask,
                filled,
                near,
                between,
            })),
            (Some(right), _) if near.is_none() && between.is_none() => {
                Ok(Statement::Fit(Fit { left, right, which }))
            }
            _ => Err(self.start_of_formula()),
        }
    }

    fn parameter(&self, left: Expr) -> Read<Name> {
        let written = self.slice(left.span).to_owned();
        let ExprKind::Name(name) = left.kind else {
            return Err(error(
                Code::S01,
                left.span,
                format!("`{written}` is no name, and a parameter of a fit is a name"),
                "`a = ?`, with `a` in the formula above".to_owned(),
            ));
        };
        refuse_function_as_name(&name)?;
        Ok(name)
    }

    fn only(&mut self, pair: Pair<'_>) -> Read<Start> {
        let span = self.span(&pair);
        let mut starts = self.starts(pair)?;
        match starts.pop() {
            Some(only) if starts.is_empty() => Ok(only),
            _ => Err(error(
                Code::S01,
                span,
                format!(
                    "`{}` has several starts for one parameter",
                    self.slice(span)
                ),
                "one, as in `tau = ? min near 15 min`".to_owned(),
            )),
        }
    }

    fn start_of_formula(&self) -> Box<Diagnostic> {
        error(
            Code::S01,
            Span::new(self.start, self.start + self.text.len()),
            "a start stands after the ask for a parameter, and `where` after the formula"
                .to_owned(),
            "`tau = ? min near 15 min` in a line of its own, `y_i = a + b x_i where x_i < 5 mm`"
                .to_owned(),
        )
    }

    pub(super) fn weighted(&mut self, pairs: Pairs<'_>) -> Read<Option<Expr>> {
        let mut pairs = pairs.filter(|pair| pair.as_rule() == Rule::expr);
        pairs.next().map(|pair| self.expr(pair)).transpose()
    }

    pub(super) fn spread(&self, mut pairs: Pairs<'_>) -> Read<Spread> {
        Ok(match pairs.any(|pair| pair.as_rule() == Rule::residuals) {
            true => Spread::Residuals,
            false => Spread::Uncertainty,
        })
    }
}
