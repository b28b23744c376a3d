//! A root of an equation, and where it is sought.

use super::ask::Role;
use crate::diagnostic::{Code, Diagnostic};
use crate::dimensions::infer::{self, Inference};
use crate::dimensions::{Counts, Energy, Form, Reading, Type, datum, describe, reading};
use crate::quantity::{Dimension, Unit};
use crate::resolve::statement::Root;
use crate::resolve::{Expr, ExprKind, SymbolId};
use crate::syntax;
use crate::text::Span;

impl<'a> Inference<'a> {
    pub(super) fn root_of(&mut self, root: &'a Root) -> Option<Type> {
        self.members(&root.sides)?;
        let starts: Vec<&Expr> = root.start.values().collect();
        let (unit, word) = (
            root.tail.unit(),
            root.tail.ask().and_then(|(ask, _)| ask.datum),
        );
        let found = self.unknown_of(root.symbol, &starts, unit, word)?;
        self.again(&root.sides, &found)?;
        self.is_no_interval(&root.sides, root.symbol, root.lead.span)?;
        let reading = self.tail(&root.lead, &found, &root.tail, Role::Defined)?;
        self.tail_turning(&root.lead, &root.lead, &found, &root.tail)?;
        Some(Type { reading, ..found })
    }

    /// An equation once more, where its unknown is now known to count turns, cycles or radians, to
    /// be an interval of time, or to count from a datum.
    pub(super) fn again(&mut self, sides: &[Expr], unknown: &Type) -> Option<()> {
        let is_time = unknown.form.dimension() == Some(Dimension::time());
        let has_datum = unknown.reading.tells_more_than(Reading::EITHER);
        if unknown.counts == Counts::NOTHING && !is_time && !has_datum {
            return Some(());
        }
        self.members(sides).map(|_| ())
    }

    /// The type of an unknown: its dimension as the equations fix it, its reading as the value
    /// says near which it is sought, or the unit and word with which it is asked.
    pub(super) fn unknown_of(
        &mut self,
        symbol: SymbolId,
        starts: &[&Expr],
        asked: Option<&Unit>,
        word: Option<syntax::Datum>,
    ) -> Option<Type> {
        let mut reading = Reading::Plain;
        let mut counts = Counts::NOTHING;
        let mut energy = Energy::Untold;
        let mut types = Vec::new();
        for start in starts {
            let own = self.infer(start)?;
            let form = self.symbol(symbol).form;
            if !infer::is_zero(start) && !self.same(&form, &own.form) {
                self.report_start(start, &own.form, &form);
                return None;
            }
            if own.energy == Energy::Held {
                energy = own.energy;
            }
            if own.reading != Reading::Plain {
                reading = own.reading;
            }
            if own.counts != Counts::NOTHING {
                counts = own.counts;
            }
            types.push(own);
        }
        // Two bounds are of one kind and one datum.
        self.comparable(starts, &types)?;
        self.together(starts, &types)?;
        let form = self.symbol(symbol).form;
        let form = self.settled(&form);
        let energy = energy.within(form.dimension());
        if reading == Reading::Plain && form.dimension() == Some(Dimension::temperature()) {
            reading = Reading::EITHER;
        }
        // What does not go with the ask is said of that.
        if let Ok(as_asked) = datum::asked(reading, word, asked) {
            reading = as_asked;
        }
        if counts == Counts::NOTHING {
            counts = asked.map_or(counts, Counts::of_unit);
        }
        let found = Type {
            form,
            reading,
            counts,
            energy: asked.map_or(energy, |unit| energy.asked(unit)),
        };
        self.types.insert(symbol, found.clone());
        Some(found)
    }

    /// An unknown that counts from a datum, where an equation takes it times something as an
    /// interval: the terms beside it count from theirs on both sides alike.
    pub(super) fn is_no_interval(
        &mut self,
        sides: &[Expr],
        unknown: SymbolId,
        place: Span,
    ) -> Option<()> {
        let reading = self.symbol(unknown).reading;
        let is_pressure = matches!(reading, Reading::Pressure(..)) && !reading.is_difference();
        let ([left, right], true) = (sides, reading.is_point() || is_pressure) else {
            return Some(());
        };
        let mut terms = terms_of(left, false);
        terms.extend(terms_of(right, true));
        let holds = |term: &Expr| {
            let mut found = false;
            term.for_each_symbol(&mut |symbol, _| found |= symbol == unknown);
            found
        };
        let own: Vec<usize> = (0..terms.len()).filter(|at| holds(terms[*at].1)).collect();
        let [own] = own[..] else {
            return Some(());
        };
        let (_, term) = terms.remove(own);
        // The difference of two in it may well be an interval.
        let is_factor = match &term.inside().kind {
            ExprKind::Product(factors) => {
                (factors.iter()).any(|factor| factor.expr.inside().as_symbol() == Some(unknown))
            }
            _ => false,
        };
        if !is_factor {
            return Some(());
        }
        let (negative, exprs): (Vec<bool>, Vec<&Expr>) = terms.into_iter().unzip();
        let types = self.parts(exprs.iter().copied())?;
        let parts = self.terms(negative.into_iter(), &exprs, &types);
        let beside = reading::sum(&parts).ok()?;
        if !beside.is_interval() && !beside.is_difference() {
            return Some(());
        }
        let (written, name) = (self.written(term), place.of(self.text));
        let (message, help) = match is_pressure {
            true => (
                format!(
                    "`{written}` is a difference of pressures here, and `{name}` counts from a datum"
                ),
                format!("`{name} = ? kPa`, asked and sought without `gauge` and `abs`"),
            ),
            false => (
                format!(
                    "`{written}` is an interval of temperature here, and `{name}` is a point of its scale"
                ),
                format!("`{name} = ? K`, sought near a value in K; or `degC difference`"),
            ),
        };
        self.diagnostics
            .push(Diagnostic::error(Code::R04, place, message).with_help(help));
        None
    }

    pub(super) fn report_start(&mut self, start: &Expr, own: &Form, wanted: &Form) {
        let message = format!(
            "`{}` is {}, but what is sought is {}",
            self.written(start),
            self.what(start, own),
            self.settled(wanted)
                .dimension()
                .map_or_else(|| "something else".to_owned(), describe::dimension),
        );
        self.diagnostics.push(
            Diagnostic::error(Code::D03, start.span, message)
                .with_help("a value with a unit of what is sought"),
        );
    }
}

/// The terms of a side, each with whether it is taken away.
fn terms_of(side: &Expr, negative: bool) -> Vec<(bool, &Expr)> {
    match &side.inside().kind {
        ExprKind::Sum(terms) => (terms.iter())
            .map(|term| (term.negative != negative, &term.expr))
            .collect(),
        _ => vec![(negative, side)],
    }
}
