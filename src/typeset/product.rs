//! Products: fractions, multiplication signs and the spaces between factors.
//!
//! Operators go from left to right. A slash takes the factors since the last fraction as its
//! numerator, which is the same value: `a/b*c/d` is set as a/b times c/d.

use super::edge::{self, Edge, Gap, gap, is_tall};
use super::formula::{Place, Setter};
use super::rows;
use super::tree::{Node, Space};
use crate::resolve::{Expr, ExprKind, Factor};
use crate::syntax::Operator;

/// A fraction's half is set in several rows when it is wider than this, in em.
const STACK: f32 = 22.0;

impl Setter<'_> {
    pub(super) fn product(&mut self, factors: &[Factor], place: Place) {
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
                self.factors(numerator, &mut before, place);
                continue;
            }
            let (outside, numerator) = numerator.split_at(outside_fraction(numerator));
            self.factors(outside, &mut before, place);
            self.gap(before, Edge::Fraction);
            self.fraction(numerator, denominator);
            before = Some(Edge::Fraction);
        }
    }

    /// Factors without a slash, one after the other.
    fn factors(&mut self, factors: &[Factor], before: &mut Option<Edge>, place: Place) {
        for factor in factors {
            let first = before.is_none();
            self.gap(*before, edge::left(&factor.expr, &self.context));
            match edge::vector_product(&factor.expr) {
                Some(_) => self.brackets(&factor.expr),
                None if edge::is_in_parts(&factor.expr, &self.context)
                    && (!first || factors.len() > 1) =>
                {
                    self.brackets(&factor.expr);
                }
                None => self.expr(&factor.expr, if first { place } else { Place::Inner }),
            }
            *before = Some(edge::right(&factor.expr, &self.context));
        }
    }

    fn gap(&mut self, left: Option<Edge>, right: Edge) {
        let Some(left) = left else { return };
        match gap(left, right, self.context.is_substituted()) {
            Gap::None => {}
            Gap::Thin => self.push(Node::Space(Space::Thin), 0.17),
            Gap::Times => self.operator("×", 1),
        }
    }

    fn fraction(&mut self, numerator: &[Factor], denominator: &[Factor]) {
        let start = self.pen;
        let (above, width_above) = self.half(numerator);
        let (below, width_below) = self.half(denominator);
        self.row.push(Node::Fraction(Box::new([above, below])));
        self.pen = start + width_above.max(width_below) + 0.2;
    }

    /// One half of a fraction and its width.
    fn half(&mut self, factors: &[Factor]) -> (Node, f32) {
        let outer = (std::mem::take(&mut self.breaks), self.depth.replace(0));
        let (start, left) = (self.row.len(), std::mem::replace(&mut self.pen, 0.0));
        match factors {
            // The bar holds together what the author's brackets did.
            [only] => self.expr(only.expr.inside(), Place::First),
            _ => self.factors(factors, &mut None, Place::First),
        }
        let width = std::mem::replace(&mut self.pen, left);
        let breaks = std::mem::replace(&mut self.breaks, outer.0);
        self.depth = outer.1;
        if width > STACK && !breaks.is_empty() {
            return rows::stack(self.row.split_off(start), start, &breaks, width, STACK);
        }
        (self.taken(start), width)
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
