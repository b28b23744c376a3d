//! Which parameters of a fit are linear: those with which a formula is affine, together.
//!
//! It is decided on the author's formula. A parameter that enters through one function of itself
//! only, which can be turned round (`4 pi^2/g`, `exp(k)`), is as good as linear: what is fitted is
//! that function of it.

use super::{Expr, ExprKind, SymbolId};
use crate::functions::Function;
use crate::syntax::Operator;

/// What of a parameter a formula is affine in.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Through {
    /// Itself.
    Itself,
    /// Its reciprocal.
    Reciprocal,
    /// Its exponential.
    Exponential,
    /// Its natural logarithm.
    Logarithm,
    /// Its square root.
    Root,
}

impl Through {
    const ALL: [Self; 5] = [
        Self::Itself,
        Self::Reciprocal,
        Self::Exponential,
        Self::Logarithm,
        Self::Root,
    ];

    fn function(self) -> Option<Function> {
        match self {
            Self::Itself | Self::Reciprocal => None,
            Self::Exponential => Some(Function::Exp),
            Self::Logarithm => Some(Function::Ln),
            Self::Root => Some(Function::Sqrt),
        }
    }

    /// What is fitted, at a value of the parameter.
    pub fn of(self, parameter: f64) -> f64 {
        match self {
            Self::Itself => parameter,
            Self::Reciprocal => 1.0 / parameter,
            Self::Exponential => parameter.exp(),
            Self::Logarithm => parameter.ln(),
            Self::Root => parameter.sqrt(),
        }
    }

    /// The parameter at a value of what is fitted; no number where there is none.
    pub fn back(self, fitted: f64) -> f64 {
        match self {
            Self::Itself => fitted,
            Self::Reciprocal => 1.0 / fitted,
            Self::Exponential => fitted.ln(),
            Self::Logarithm => fitted.exp(),
            Self::Root if fitted < 0.0 => f64::NAN,
            Self::Root => fitted * fitted,
        }
    }

    /// What a change of the parameter is of that of what is fitted.
    pub fn slope_back(self, parameter: f64) -> f64 {
        match self {
            Self::Itself => 1.0,
            Self::Reciprocal => -parameter * parameter,
            Self::Exponential => 1.0 / parameter.exp(),
            Self::Logarithm => parameter,
            Self::Root => 2.0 * parameter.sqrt(),
        }
    }

    /// A value of the parameter at which all of these have a value and a slope.
    pub fn somewhere(self) -> f64 {
        match self {
            Self::Itself => 0.0,
            Self::Reciprocal | Self::Exponential | Self::Logarithm | Self::Root => 1.0,
        }
    }
}

/// Of some parameters, in their order, those in which a formula is affine together.
pub(super) fn linear(formula: &Expr, parameters: &[SymbolId]) -> Vec<(SymbolId, Through)> {
    let mut chosen: Vec<(SymbolId, Through)> = Vec::new();
    for &parameter in parameters {
        let with = |through| {
            let mut with = chosen.clone();
            with.push((parameter, through));
            with
        };
        let mut all = Through::ALL.into_iter().map(with);
        if let Some(found) = all.find(|with| depends(formula, with).is_some()) {
            chosen = found;
        }
    }
    chosen
}

/// Whether a formula depends on some parameters, in which it is affine; `None` where it is not.
fn depends(formula: &Expr, on: &[(SymbolId, Through)]) -> Option<bool> {
    let none = |found: Option<bool>| (found == Some(false)).then_some(false);
    let is = |expr: &Expr, wanted: Through| {
        let symbol = expr.inside().as_symbol();
        on.iter()
            .any(|(own, through)| Some(*own) == symbol && *through == wanted)
    };
    match &formula.kind {
        ExprKind::Number(_)
        | ExprKind::Numeral(_)
        | ExprKind::Quantity(_)
        | ExprKind::Pi
        | ExprKind::Parameter(_)
        | ExprKind::Constant(_) => Some(false),
        ExprKind::Symbol(symbol) => match on.iter().find(|(own, _)| own == symbol) {
            Some((_, Through::Itself)) => Some(true),
            Some(_) => None,
            None => Some(false),
        },
        ExprKind::Component(symbol, _) => on.iter().all(|(own, _)| own != symbol).then_some(false),
        ExprKind::Sum(terms) => terms
            .iter()
            .try_fold(false, |any, term| Some(depends(&term.expr, on)? || any)),
        ExprKind::Product(factors) => factors.iter().try_fold(false, |any, factor| {
            let divides = factor.operator == Operator::Divide;
            let own = match divides {
                true if is(&factor.expr, Through::Reciprocal) => true,
                true => none(depends(&factor.expr, on))?,
                false => depends(&factor.expr, on)?,
            };
            (!(own && any)).then_some(own || any)
        }),
        ExprKind::Negative(inner) | ExprKind::Group(inner) => depends(inner, on),
        ExprKind::Call {
            function,
            arguments,
            ..
        } => {
            let wanted = Through::ALL
                .into_iter()
                .find(|it| it.function() == Some(*function));
            if let (Some(wanted), [only]) = (wanted, arguments.as_slice())
                && is(only, wanted)
            {
                return Some(true);
            }
            free(formula, on)
        }
        ExprKind::Power(..)
        | ExprKind::Abs(_)
        | ExprKind::Apply { .. }
        | ExprKind::List(_)
        | ExprKind::Vector(_)
        | ExprKind::Cases(_)
        | ExprKind::Where(..)
        | ExprKind::ReadOff(_) => free(formula, on),
    }
}

/// A formula that holds none of the parameters.
fn free(formula: &Expr, on: &[(SymbolId, Through)]) -> Option<bool> {
    let mut is_free = true;
    formula.for_each_symbol(&mut |symbol, _| is_free &= on.iter().all(|(own, _)| *own != symbol));
    is_free.then_some(false)
}
