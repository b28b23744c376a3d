//! Products: fractions, multiplication signs and the spaces between factors.
//!
//! Operators go from left to right. A slash takes the factors since the last fraction as its
//! numerator, which is the same value: `a/b*c/d` is set as a/b times c/d.
//!
//! There is one level of stacked fractions: in their halves, in exponents and in running text a
//! fraction has a solidus, and brackets where its parts would else run into what stands beside it.

use super::edge::{self, Edge, Gap, gap, next_run, outside_fraction};
use super::formula::{Place, Setter};
use super::rows;
use super::tree::{Kind, Node, Space};
use crate::resolve::{Expr, ExprKind, Factor};

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
            if !self.is_stacked {
                let is_all = before.is_none() && rest.is_empty();
                self.gap(before, Edge::Closed);
                self.solidus(numerator, denominator, is_all.then_some(place));
                before = Some(Edge::Closed);
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
            let expr = self.without_brackets(&factor.expr);
            self.gap(*before, edge::left(expr, &self.context));
            match edge::vector_product(expr) {
                Some(_) => self.brackets(expr),
                None if edge::is_in_parts(expr, &self.context) && (!first || factors.len() > 1) => {
                    self.brackets(expr);
                }
                None => self.expr(expr, if first { place } else { Place::Inner }),
            }
            *before = Some(edge::right(expr, &self.context));
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

    /// A stacked fraction holds together without the author's brackets.
    pub(super) fn without_brackets<'e>(&self, expr: &'e Expr) -> &'e Expr {
        match &expr.inside().kind {
            ExprKind::Product(factors) if self.is_stacked && edge::divides(factors) => {
                expr.inside()
            }
            _ => expr,
        }
    }

    /// A fraction in one line, in brackets unless it is all of its product, which has a place.
    fn solidus(&mut self, numerator: &[Factor], denominator: &[Factor], place: Option<Place>) {
        if place.is_none() {
            self.open();
        }
        // Behind a unit the solidus would seem to divide that.
        let ends_in_unit = numerator
            .last()
            .is_some_and(|last| edge::right(&last.expr, &self.context) == Edge::Unit);
        match numerator {
            [only] => self.expr(&only.expr, Place::Tight),
            _ if ends_in_unit => {
                self.open();
                self.factors(numerator, &mut None, Place::First);
                self.close();
            }
            _ => self.factors(numerator, &mut None, place.unwrap_or(Place::First)),
        }
        self.push(Node::Operator("/", Kind::Over), 0.4);
        match denominator {
            [only] => {
                let inside = only.expr.inside();
                let is_part = matches!(
                    inside.kind,
                    ExprKind::Symbol(_) | ExprKind::Parameter(_) | ExprKind::Number(_)
                );
                self.expr(if is_part { inside } else { &only.expr }, Place::Tight);
            }
            _ => {
                self.open();
                self.factors(denominator, &mut None, Place::First);
                self.close();
            }
        }
        if place.is_none() {
            self.close();
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
        let is_stacked = std::mem::replace(&mut self.is_stacked, false);
        let (start, left) = (self.row.len(), std::mem::replace(&mut self.pen, 0.0));
        match factors {
            // The bar holds together what the author's brackets did.
            [only] => self.expr(only.expr.inside(), Place::First),
            _ => self.factors(factors, &mut None, Place::First),
        }
        let width = std::mem::replace(&mut self.pen, left);
        let breaks = std::mem::replace(&mut self.breaks, outer.0);
        self.is_stacked = is_stacked;
        self.depth = outer.1;
        if width > STACK && !breaks.is_empty() {
            return rows::stack(self.row.split_off(start), start, &breaks, width, STACK);
        }
        (self.taken(start), width)
    }
}
