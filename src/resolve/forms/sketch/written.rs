//! Balances in the form in which an author writes them.

use num_rational::Ratio;

use super::super::super::components::sum_of;
use super::super::super::{Expr, ExprKind, Factor, Term};
use super::Sketch;
use crate::functions::Function;
use crate::mechanics::{
    self, Action, Angles, Balance, Factor as Part, Hindrance, Id, Lack, Of, Product, Side, Sign,
    Sum,
};
use crate::syntax::Operator;
use crate::text::Span;

/// A balance with its terms written.
#[derive(Debug, Clone, PartialEq)]
pub struct Written {
    /// Each term: of which action, on which side, whether it counts minus there, and its formula.
    pub terms: Vec<WrittenTerm>,
    /// Where it is asked for.
    pub span: Span,
}

/// A term of a balance.
#[derive(Debug, Clone, PartialEq)]
pub struct WrittenTerm {
    /// What it is of.
    pub of: Of,
    /// Whether it stands on the right.
    pub is_on_the_right: bool,
    /// Whether it counts minus on its side.
    pub is_negative: bool,
    /// The flow that stands before a bracket of all that it carries, where all carry it.
    pub before: Option<Expr>,
    /// Its formula without the sign, and without that.
    pub formula: Expr,
}

impl WrittenTerm {
    /// Its formula without the sign.
    pub fn whole(&self) -> Expr {
        match &self.before {
            None => self.formula.clone(),
            Some(before) => before_a_bracket(before, self.formula.clone()),
        }
    }
}

impl Written {
    /// Its two sides.
    pub fn members(&self) -> Vec<Expr> {
        [false, true].map(|right| self.side(right)).into()
    }

    fn side(&self, right: bool) -> Expr {
        let own = |term: &&WrittenTerm| term.is_on_the_right == right;
        let terms: Vec<&WrittenTerm> = self.terms.iter().filter(own).collect();
        let plain = |term: &WrittenTerm, expr| Term {
            negative: term.is_negative,
            expr,
        };
        let mut found = Vec::with_capacity(terms.len());
        for (at, term) in terms.iter().enumerate() {
            let Some(before) = &term.before else {
                found.push(plain(term, term.formula.clone()));
                continue;
            };
            let carried = |it: &&&WrittenTerm| it.before.as_ref() == Some(before);
            let all: Vec<&&WrittenTerm> = terms.iter().filter(carried).collect();
            match all.as_slice() {
                [_] => found.push(plain(term, term.whole())),
                [first, ..] if std::ptr::eq(**first, terms[at]) => {
                    let inside = all.iter().map(|it| plain(it, it.formula.clone()));
                    let inside = sum_of(self.span, inside.collect());
                    found.push(Term {
                        negative: false,
                        expr: before_a_bracket(before, inside),
                    });
                }
                // It stands in the bracket of the first.
                _ => {}
            }
        }
        sum_of(self.span, found)
    }
}

/// A flow times what it carries.
fn before_a_bracket(before: &Expr, inside: Expr) -> Expr {
    let span = inside.span;
    let mut factors: Vec<Factor> = match &before.kind {
        ExprKind::Product(factors) => factors.to_vec(),
        _ => vec![juxtaposed(before.clone())],
    };
    match inside.kind {
        ExprKind::Product(own) => factors.extend(own.iter().cloned()),
        ExprKind::Sum(_) | ExprKind::Negative(_) => {
            factors.push(juxtaposed(Expr {
                span,
                kind: ExprKind::Group(Box::new(inside)),
            }));
        }
        _ => factors.push(juxtaposed(inside)),
    }
    Expr {
        span,
        kind: ExprKind::Product(factors.into()),
    }
}

impl Sketch {
    /// A balance of it, placed where it is asked for.
    ///
    /// # Errors
    ///
    /// What it needs and the sketch has not.
    pub fn balance(&self, balance: Balance, span: Span) -> Result<Written, Lack> {
        Ok(self.written(self.terms(balance)?, span))
    }

    /// The terms of a balance of it.
    ///
    /// # Errors
    ///
    /// What it needs and the sketch has not.
    pub fn terms(&self, balance: Balance) -> Result<Vec<mechanics::Term>, Lack> {
        if matches!(balance, Balance::Moments(_)) && self.leaves_turning_open() {
            return Err(Lack::None(Hindrance::Wheel));
        }
        match (&self.flows, &self.columns) {
            (None, Some(told)) => mechanics::balance_of_columns(&told.columns, balance),
            (None, None) => mechanics::balance(&self.body, balance),
            (Some(flows), _) => mechanics::balance_of_volume(&self.body, &flows.volume, balance),
        }
    }

    /// Whether it has a wheel that accelerates, of which no line says how it turns.
    fn leaves_turning_open(&self) -> bool {
        let has = |is: fn(&Action) -> bool| self.body.actions.iter().any(is);
        !self.wheels.is_empty()
            && has(|it| matches!(it, Action::Accelerates { .. }))
            && !has(|it| matches!(it, Action::Turns { .. }))
    }

    /// Terms as an author writes them.
    pub fn written(&self, terms: Vec<mechanics::Term>, span: Span) -> Written {
        let writer = Writer { sketch: self, span };
        // One flow that all carry stands before a bracket, where a side has several of them.
        let flows = || terms.iter().filter_map(|term| term.flow.as_ref());
        let first = flows().next().cloned();
        let is_shared = flows().all(|flow| Some(flow) == first.as_ref());
        let on = |side| {
            terms
                .iter()
                .filter(move |it| it.side == side && it.flow.is_some())
                .count()
        };
        let in_brackets = |side| is_shared && on(side) > 1;
        let bracketed = [in_brackets(Side::Left), in_brackets(Side::Right)];
        let terms = terms.into_iter().map(|term| match term.flow.clone() {
            Some(flow) if bracketed[usize::from(term.side == Side::Right)] => {
                writer.carried(&term, &flow)
            }
            Some(flow) => writer.term(&mechanics::Term {
                by: flow.into_one().times(&term.by),
                ..term
            }),
            None => writer.term(&term),
        });
        let terms = terms.collect();
        Written { terms, span }
    }

    /// A term of a balance, placed where that is asked for.
    pub(in crate::resolve) fn written_term(
        &self,
        term: &mechanics::Term,
        span: Span,
    ) -> WrittenTerm {
        Writer { sketch: self, span }.term(term)
    }

    /// A sum in brackets, as one factor.
    pub fn formula(&self, sum: &Sum, span: Span) -> Expr {
        let writer = Writer { sketch: self, span };
        writer.made(ExprKind::Group(Box::new(writer.sum(sum))))
    }
}

struct Writer<'a> {
    sketch: &'a Sketch,
    span: Span,
}

impl Writer<'_> {
    fn made(&self, kind: ExprKind) -> Expr {
        Expr {
            span: self.span,
            kind,
        }
    }

    /// Magnitudes times what all products share, times the rest in one bracket; the sign of what
    /// stands first there is that of the term.
    fn term(&self, term: &mechanics::Term) -> WrittenTerm {
        let (shared, rest) = term.by.clone().shared();
        let rest = rest.positive_first();
        let counts_minus = rest.0.iter().all(|it| it.number < Ratio::from(0));
        let mut product = Product {
            number: Ratio::from(if counts_minus { -1 } else { 1 }),
            factors: term.magnitudes.iter().map(|id| Part::Of(*id)).collect(),
        };
        product.factors.extend(shared);
        let rest = rest.without_sign();
        match rest.0.as_slice() {
            [only] => {
                product.number *= only.number;
                product.factors.extend(only.factors.iter().cloned());
            }
            _ => product.factors.push(Part::Difference(Box::new(rest))),
        }
        let (is_negative, formula) = self.product(&product);
        WrittenTerm {
            of: term.of,
            is_on_the_right: term.side == Side::Right,
            is_negative,
            before: None,
            formula,
        }
    }

    /// A term that stands in the bracket behind its flow.
    fn carried(&self, term: &mechanics::Term, flow: &Sum) -> WrittenTerm {
        let flow = flow.clone().into_one();
        let (_, before) = match flow.0.as_slice() {
            [only] => self.product(only),
            _ => (false, self.number(1)),
        };
        WrittenTerm {
            before: Some(before),
            ..self.term(term)
        }
    }

    fn sum(&self, sum: &Sum) -> Expr {
        let sum = sum.clone().positive_first();
        let terms = sum.0.iter().map(|product| {
            let (negative, expr) = self.product(product);
            Term { negative, expr }
        });
        sum_of(self.span, terms.collect())
    }

    /// A product: whether it counts minus, and the rest.
    fn product(&self, product: &Product) -> (bool, Expr) {
        let is_negative = product.number < Ratio::from(0);
        let (over, under) = (product.number.numer().abs(), *product.number.denom());
        let mut factors: Vec<Factor> = Vec::new();
        if over != 1 {
            factors.push(juxtaposed(self.number(over)));
        }
        let mut below = Vec::new();
        for (at, part) in product.factors.iter().enumerate() {
            let before = &product.factors[..at];
            if before.contains(part) {
                continue;
            }
            let same = product.factors.iter().filter(|it| *it == part);
            let power = same.count() as i64;
            if let Part::Over(factor) = part {
                below.push(self.raised(self.part(factor), power));
                continue;
            }
            if let Part::OverLength(sums) = part {
                below.push(self.raised(self.length(sums), power));
                continue;
            }
            if let Part::Slope { leg, of } = part {
                let leg = self.raised(self.quantity(*leg), power);
                // A number stands before names.
                match leg.kind {
                    ExprKind::Number(_) => factors.insert(0, juxtaposed(leg)),
                    _ => factors.push(juxtaposed(leg)),
                }
                below.push(self.raised(self.long_side(*of), power));
                continue;
            }
            match (self.product_of(part), power) {
                // A product of names needs no brackets among factors.
                (Some(own), 1) => factors.extend(own.iter().cloned()),
                _ => factors.push(juxtaposed(self.raised(self.part(part), power))),
            }
        }
        if under != 1 {
            below.insert(0, self.number(under));
        }
        if factors.is_empty() {
            factors.push(juxtaposed(self.number(1)));
        }
        // All that is below stands in one bracket, as a fraction has it.
        let divisor = match below.len() {
            0 => None,
            1 => below.pop(),
            _ => {
                let all = below.into_iter().map(juxtaposed).collect();
                let product = self.made(ExprKind::Product(all));
                Some(self.made(ExprKind::Group(Box::new(product))))
            }
        };
        factors.extend(divisor.map(|expr| Factor {
            operator: Operator::Divide,
            expr,
        }));
        let formula = match factors.len() {
            1 => alone(factors.remove(0).expr),
            _ => self.made(ExprKind::Product(factors.into())),
        };
        (is_negative, formula)
    }

    fn number(&self, value: i64) -> Expr {
        self.made(ExprKind::Numeral(value as f64))
    }

    fn raised(&self, base: Expr, power: i64) -> Expr {
        match power {
            1 => base,
            power => self.made(ExprKind::Power(
                Box::new(base),
                Box::new(self.number(power)),
            )),
        }
    }

    /// A formula of the author, in brackets where a factor needs them.
    fn quantity(&self, id: Id) -> Expr {
        let Some(expr) = self.sketch.quantities.get(id) else {
            return self.number(0);
        };
        match expr.kind {
            ExprKind::Sum(_) | ExprKind::Negative(_) | ExprKind::Product(_) => Expr {
                span: expr.span,
                kind: ExprKind::Group(Box::new(expr.clone())),
            },
            _ => expr.clone(),
        }
    }

    /// The factors of a formula of the author that has them side by side.
    fn product_of(&self, part: &Part) -> Option<&[Factor]> {
        let Part::Of(id) = part else {
            return None;
        };
        let ExprKind::Product(factors) = &self.sketch.quantities.get(*id)?.kind else {
            return None;
        };
        let is_plain = |factor: &Factor| {
            factor.operator == Operator::Juxtapose
                && matches!(factor.expr.kind, ExprKind::Symbol(_) | ExprKind::Power(..))
        };
        factors.iter().all(is_plain).then_some(factors)
    }

    fn part(&self, part: &Part) -> Expr {
        match part {
            Part::Of(id) => self.quantity(*id),
            Part::Sine(angles) => self.angle(angles).called(Function::Sin),
            Part::Cosine(angles) => self.angle(angles).called(Function::Cos),
            Part::Slope { leg, .. } => self.quantity(*leg),
            Part::Difference(sum) => self.made(ExprKind::Group(Box::new(self.sum(sum)))),
            Part::Length(sums) | Part::OverLength(sums) => self.length(sums),
            Part::Over(factor) => self.part(factor),
            Part::Pi => self.made(ExprKind::Pi),
        }
    }

    fn angle(&self, angles: &Angles) -> Expr {
        let terms = angles.iter().map(|(sign, id)| Term {
            negative: *sign == Sign::Minus,
            expr: (self.sketch.quantities.get(*id)).map_or_else(|| self.number(0), Expr::clone),
        });
        sum_of(self.span, terms.collect())
    }

    /// The long side of the triangle of a slope; a number where it is a whole one.
    fn long_side(&self, of: [Id; 2]) -> Expr {
        let plain = of.map(
            |id| match self.sketch.quantities.get(id).map(|it| &it.kind) {
                Some(ExprKind::Number(value)) => Some(*value),
                _ => None,
            },
        );
        if let [Some(rise), Some(run)] = plain {
            let long = rise.hypot(run);
            if long.fract() == 0.0 {
                return self.made(ExprKind::Numeral(long));
            }
        }
        let [rise, run] = of.map(Sum::quantity);
        self.length(&[run, rise])
    }

    fn length(&self, sums: &[Sum; 2]) -> Expr {
        let square = |sum: &Sum| {
            let base = self.sum(sum);
            let base = match base.kind {
                ExprKind::Sum(_) | ExprKind::Product(_) | ExprKind::Negative(_) => {
                    self.made(ExprKind::Group(Box::new(base)))
                }
                _ => base,
            };
            Term {
                negative: false,
                expr: self.raised(base, 2),
            }
        };
        let terms = sums.iter().filter(|sum| !sum.is_zero()).map(square);
        sum_of(self.span, terms.collect()).called(Function::Sqrt)
    }
}

/// A product of the author that stands alone needs no brackets.
fn alone(expr: Expr) -> Expr {
    match expr.kind {
        ExprKind::Group(inner) if matches!(inner.kind, ExprKind::Product(_)) => *inner,
        _ => expr,
    }
}

fn juxtaposed(expr: Expr) -> Factor {
    Factor {
        operator: Operator::Juxtapose,
        expr,
    }
}
