//! Products: fractions, multiplication signs and the spaces between factors.
//!
//! Operators go from left to right. A slash takes the factors since the last fraction as its
//! numerator, which is the same value: `a/b*c/d` is set as a/b times c/d.

use super::edge::{self, Edge, Gap, gap, is_tall};
use super::formula::{Place, Writer};
use super::rows;
use crate::resolve::{Expr, ExprKind, Factor};
use crate::syntax::Operator;

/// A fraction's half is set in several rows when it is wider than this, in em.
const STACK: f32 = 22.0;

impl Writer<'_> {
    pub(super) fn product(&mut self, factors: &[Factor], place: Place) -> u32 {
        let mut elements = 0;
        let mut before: Option<Edge> = None;
        let mut rest = factors;
        while !rest.is_empty() {
            let (numerator, denominator, after) = next_run(rest);
            rest = after;
            let place = if before.is_some() {
                Place::Inner
            } else {
                place
            };
            if denominator.is_empty() {
                elements += self.factors(numerator, &mut before, place);
                continue;
            }
            let (outside, numerator) = numerator.split_at(outside_fraction(numerator));
            elements += self.factors(outside, &mut before, place);
            elements += self.gap(before, Edge::Fraction);
            elements += self.fraction(numerator, denominator);
            before = Some(Edge::Fraction);
        }
        elements
    }

    /// Factors without a slash, one after the other.
    fn factors(&mut self, factors: &[Factor], before: &mut Option<Edge>, place: Place) -> u32 {
        let mut elements = 0;
        for factor in factors {
            let first = before.is_none();
            elements += self.gap(*before, edge::left(&factor.expr, &self.context));
            elements += match edge::vector_product(&factor.expr) {
                Some(_) => self.brackets(&factor.expr),
                None => self.expr(&factor.expr, if first { place } else { Place::Inner }),
            };
            *before = Some(edge::right(&factor.expr, &self.context));
        }
        elements
    }

    fn gap(&mut self, left: Option<Edge>, right: Edge) -> u32 {
        let Some(left) = left else { return 0 };
        match gap(left, right, self.context.is_substituted()) {
            Gap::None => 0,
            Gap::Thin => {
                self.out.push_str("<mspace width=\"0.17em\"/>");
                self.pen += 0.17;
                1
            }
            Gap::Times => self.operator("×", 1),
        }
    }

    fn fraction(&mut self, numerator: &[Factor], denominator: &[Factor]) -> u32 {
        let start = self.pen;
        self.out.push_str("<mfrac>");
        let above = self.half(numerator);
        self.pen = start;
        let below = self.half(denominator);
        self.out.push_str("</mfrac>");
        self.pen = start + above.max(below) + 0.2;
        1
    }

    /// One half of a fraction as one element; tells its width.
    fn half(&mut self, factors: &[Factor]) -> f32 {
        let outer = (std::mem::take(&mut self.breaks), self.depth.replace(0));
        let (start, left) = (self.out.len(), std::mem::replace(&mut self.pen, 0.0));
        let elements = match factors {
            // The bar holds together what the author's brackets did.
            [only] => self.expr(only.expr.inside(), Place::First),
            _ => self.factors(factors, &mut None, Place::First),
        };
        let mut width = std::mem::replace(&mut self.pen, left);
        let breaks = std::mem::replace(&mut self.breaks, outer.0);
        self.depth = outer.1;
        if width > STACK && !breaks.is_empty() {
            width = rows::stack(self.out, start, &breaks, width, STACK);
        } else if elements != 1 {
            self.out.insert_str(start, "<mrow>");
            self.out.push_str("</mrow>");
        }
        width
    }
}

/// Splits a product after its next fraction: numerator, denominator (empty at the end), rest.
fn next_run(factors: &[Factor]) -> (&[Factor], &[Factor], &[Factor]) {
    let divides = |factor: &Factor| factor.operator == Operator::Divide;
    // The first factor's operator says nothing.
    let skip = factors.len().min(1);
    let slash = factors
        .iter()
        .skip(skip)
        .position(divides)
        .map_or(factors.len(), |at| at + skip);
    let (numerator, rest) = factors.split_at(slash);
    let end = rest
        .iter()
        .position(|factor| !divides(factor))
        .unwrap_or(rest.len());
    let (denominator, rest) = rest.split_at(end);
    (numerator, denominator, rest)
}

/// How many factors stand before the fraction rather than in its numerator: those up to the
/// last tall one in brackets, so that `f (L/D) V^2/(2 g)` has no fraction in a fraction.
fn outside_fraction(numerator: &[Factor]) -> usize {
    let tall = |expr: &Expr| matches!(expr.kind, ExprKind::Group(_)) && is_tall(expr);
    let last = numerator.iter().rposition(|factor| tall(&factor.expr));
    match last {
        Some(at) if at + 1 < numerator.len() => at + 1,
        _ => 0,
    }
}
