//! Whether a result may be shown as it is asked or claimed.

use crate::diagnostic::{Code, Diagnostic};
use crate::dimensions::infer::Inference;
use crate::dimensions::reading::is_near;
use crate::dimensions::{Datum, Form, Reading, Type, describe};
use crate::quantity::{Dimension, Mark, Unit};
use crate::resolve::statement::{Ask, Literal};
use crate::resolve::{Expr, ExprKind};
use crate::syntax;
use crate::text::Span;

impl Inference<'_> {
    /// Whether a result may be shown as it is asked.
    pub(in crate::dimensions) fn ask(
        &mut self,
        expr: &Expr,
        found: &Type,
        ask: &Ask,
    ) -> Option<()> {
        let span = if ask.span.is_empty() {
            expr.span
        } else {
            ask.span
        };
        let subject = self.written(expr);
        if let Some(unit) = &ask.unit
            && !self.same(&found.form, &Form::known(unit.dimension()))
        {
            let what = self.what(expr, &found.form);
            let message = if unit.source().is_empty() {
                format!("`{subject}` is {what}, but no unit is written")
            } else {
                format!(
                    "`{subject}` is {what}, but `{}` is a unit of {}",
                    unit.source(),
                    describe::dimension(unit.dimension()),
                )
            };
            let dimension = self.settled(&found.form).dimension();
            let fix = dimension.filter(|_| ask.datum.is_none()).and_then(|it| {
                let symbol = wanted(it, span.of(self.text));
                self.asked_in(span, unit, if it.is_none() { "" } else { &symbol })
            });
            self.diagnostics.push(
                Diagnostic::error(Code::D03, span, message)
                    .with_help(match dimension {
                        Some(dimension) => {
                            format!("`= ? {}`", wanted(dimension, span.of(self.text)))
                        }
                        None => "a unit of its dimension".to_owned(),
                    })
                    .with_fixes(fix),
            );
            return None;
        }
        let mark = ask.unit.as_ref().map_or(Mark::None, |unit| unit.mark());
        let diagnostic = match found.reading {
            reading if reading.is_sum_of_points() => Some(points(&subject, span)),
            reading
                if reading.is_interval()
                    && mark == Mark::Point
                    && ask.datum != Some(syntax::Datum::Difference) =>
            {
                let fix = ask.unit.as_ref().filter(|_| ask.datum.is_none());
                let fix = fix.and_then(|unit| self.asked_in(span, unit, "K"));
                Some(interval(&subject, span).with_fixes(fix))
            }
            reading if reading.is_point() && ask.datum == Some(syntax::Datum::Difference) => {
                let fix = (mark == Mark::Point || mark == Mark::Interval)
                    .then(|| self.asked_as(span, "difference", ""));
                Some(point(&subject, span).with_fixes(fix.flatten()))
            }
            Reading::Pressure { weight, .. } if !is_near(weight, 1.0) && !is_near(weight, 0.0) => {
                Some(pressures(&subject, span))
            }
            Reading::Pressure { datum, .. } | Reading::Reckoned(datum)
                if clashes(datum, ask.datum) =>
            {
                let other = match datum {
                    Datum::Gauge => Datum::Absolute,
                    Datum::Absolute => Datum::Gauge,
                };
                let fix = self.asked_as(span, other.word(), datum.word());
                Some(other_datum(&subject, datum, span).with_fixes(fix))
            }
            Reading::Level => None,
            Reading::Unknown => None,
            _ if mark == Mark::Decibel => Some(decibels(&subject, span)),
            _ => None,
        };
        if let Some(diagnostic) = diagnostic {
            self.diagnostics.push(diagnostic);
            return None;
        }
        Some(())
    }

    /// Whether a result may be shown as it is asked by what it counts of turning; `of` is the
    /// formula that it is the value of.
    pub(in crate::dimensions) fn ask_turning(
        &mut self,
        expr: &Expr,
        of: &Expr,
        found: &Type,
        ask: &Ask,
    ) -> Option<()> {
        let span = if ask.span.is_empty() {
            of.span
        } else {
            ask.span
        };
        match self.unit_asked(expr, ask) {
            Some(unit) => self.turning_in(of, found, &unit, span).map(|_| ()),
            None => self.usable(of, found),
        }
    }

    /// The unit that a line asks in; one without a unit takes that of `required`.
    pub(in crate::dimensions) fn unit_asked(&self, expr: &Expr, ask: &Ask) -> Option<Unit> {
        let symbol = match &expr.inside().kind {
            ExprKind::Abs(inner) => inner.as_symbol(),
            _ => expr.inside().as_symbol(),
        };
        let wanted = || self.notes.wanted.get(&symbol?).cloned();
        ask.unit.clone().or_else(wanted)
    }

    /// A number that is compared with a result is checked as an ask in its unit.
    pub(in crate::dimensions) fn literal(
        &mut self,
        expr: &Expr,
        found: &Type,
        literal: Option<&Literal>,
    ) -> Option<()> {
        let Some(literal) = literal else {
            return Some(());
        };
        self.ask(expr, found, &as_ask(literal))
    }

    /// The same for what it counts of turning.
    pub(in crate::dimensions) fn literal_turning(
        &mut self,
        expr: &Expr,
        of: &Expr,
        found: &Type,
        literal: Option<&Literal>,
    ) -> Option<()> {
        match literal {
            Some(literal) => self.ask_turning(expr, of, found, &as_ask(literal)),
            None => Some(()),
        }
    }
}

fn as_ask(literal: &Literal) -> Ask {
    Ask {
        span: literal.span,
        unit: Some(literal.unit.clone()),
        datum: literal.datum,
        precision: None,
    }
}

fn clashes(datum: Datum, asked: Option<syntax::Datum>) -> bool {
    matches!(
        (datum, asked),
        (Datum::Gauge, Some(syntax::Datum::Absolute))
            | (Datum::Absolute, Some(syntax::Datum::Gauge))
    )
}

/// The coherent unit as an author can type it.
fn plain_symbol(dimension: Dimension) -> String {
    dimension
        .symbol()
        .replace('·', " ")
        .replace('²', "^2")
        .replace('³', "^3")
        .replace('⁴', "^4")
}

/// The unit to ask in instead: who asks for a force in knots means kilonewtons.
fn wanted(dimension: Dimension, asked: &str) -> String {
    match plain_symbol(dimension) {
        force if force == "N" && is_in_kn(asked) => "kN".to_owned(),
        symbol => symbol,
    }
}

fn is_in_kn(asked: &str) -> bool {
    asked
        .strip_prefix('?')
        .is_some_and(|unit| unit.trim() == "kn")
}

fn points(subject: &str, span: Span) -> Diagnostic {
    Diagnostic::error(
        Code::R03,
        span,
        format!("`{subject}` is neither a temperature nor an interval: it adds or scales temperature points"),
    )
    .with_help("a difference such as `T_2 - T_1`, or a mean such as `(T_1 + T_2)/2`")
}

fn interval(subject: &str, span: Span) -> Diagnostic {
    Diagnostic::error(
        Code::R04,
        span,
        format!("`{subject}` is a temperature interval, not a point on a scale"),
    )
    .with_help(format!("`{subject} = ? K`"))
}

fn point(subject: &str, span: Span) -> Diagnostic {
    Diagnostic::error(
        Code::R04,
        span,
        format!("`{subject}` is a point on a temperature scale, not an interval"),
    )
    .with_help(format!("`{subject} = ? degC`"))
}

fn pressures(subject: &str, span: Span) -> Diagnostic {
    Diagnostic::error(
        Code::R03,
        span,
        format!("`{subject}` is no pressure reading: it adds or scales such readings"),
    )
    .with_help("a difference such as `p_2 - p_1`, or a mean such as `(p_1 + p_2)/2`")
}

fn other_datum(subject: &str, datum: Datum, span: Span) -> Diagnostic {
    let (is, other, function) = match datum {
        Datum::Gauge => ("gauge", "absolute", "absolute"),
        Datum::Absolute => ("absolute", "gauge", "gauge"),
    };
    Diagnostic::error(
        Code::R01,
        span,
        format!("`{subject}` counts from {is} pressure, and {other} is asked"),
    )
    .with_help(format!("`{function}(…)`, with `p_atm` given"))
}

fn decibels(subject: &str, span: Span) -> Diagnostic {
    Diagnostic::error(
        Code::R07,
        span,
        format!(
            "`{subject}` is not a level: only `10 log10(…)`, `20 log10(…)` and their sums are in dB"
        ),
    )
    .with_help(format!("`10 log10({subject}) = ? dB`"))
}
