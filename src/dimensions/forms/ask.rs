//! Whether a result may be shown as it is asked or claimed.

use crate::diagnostic::{Code, Diagnostic};
use crate::dimensions::datum::Unfit;
use crate::dimensions::faults::POINTS;
use crate::dimensions::infer::Inference;
use crate::dimensions::{Datum, Form, Reading, Type, datum, describe};
use crate::functions::Function;
use crate::quantity::{Dimension, Mark, Unit};
use crate::resolve::statement::{Ask, Literal};
use crate::resolve::{Expr, ExprKind, SymbolId};
use crate::syntax;
use crate::text::Span;

/// What a line that asks does with the value.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(in crate::dimensions) enum Role {
    /// It defines it, or shows formulas that give it.
    Defined,
    /// It shows what a name has, or what one formula gives.
    Restated,
}

impl Inference<'_> {
    /// The reading with which a result is shown as it is asked, where it may be.
    pub(in crate::dimensions) fn ask(
        &mut self,
        expr: &Expr,
        found: &Type,
        ask: &Ask,
        role: Role,
    ) -> Option<Reading> {
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
        self.word_fits(expr, found, ask, span)?;
        let reading = self.asked_reading(expr, found, ask, role, span)?;
        let mark = ask.unit.as_ref().map_or(Mark::None, Unit::mark);
        let diagnostic = match reading {
            Reading::Level if ask.unit.is_some() && mark != Mark::Decibel => {
                Some(not_a_level(&subject, span))
            }
            Reading::Level | Reading::Unknown => None,
            _ if mark == Mark::Decibel => Some(decibels(&subject, span)),
            _ => None,
        };
        match diagnostic {
            Some(diagnostic) => {
                self.diagnostics.push(diagnostic);
                None
            }
            None => Some(reading),
        }
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
            Some(unit) => {
                // A formula that the engine wrote has no text of its own.
                let is_own = !of.span.of(self.text).starts_with("solve ");
                let subject = if is_own { of } else { expr };
                let shown = self.turning_in((of, subject), found, &unit, span);
                shown.map(|_| ())
            }
            None => self.usable(of, found),
        }
    }

    /// The unit that a line asks in; one without a unit takes that of `required`.
    pub(in crate::dimensions) fn unit_asked(&self, expr: &Expr, ask: &Ask) -> Option<Unit> {
        let symbol = match &expr.inside().kind {
            ExprKind::Abs(inner) => inner.as_symbol(),
            _ => expr.inside().as_symbol(),
        };
        let wanted = || self.notes.wanted.get(&symbol?)?.unit.clone();
        ask.unit.clone().or_else(wanted)
    }

    /// `gauge` and `abs` go with a pressure, `difference` with a temperature, also without a unit.
    fn word_fits(&mut self, expr: &Expr, found: &Type, ask: &Ask, span: Span) -> Option<()> {
        let Some(word) = ask.datum else {
            return Some(());
        };
        let (of, dimension) = match word {
            syntax::Datum::Gauge | syntax::Datum::Absolute => ("pressure", Dimension::pressure()),
            syntax::Datum::Difference => ("temperature", Dimension::temperature()),
        };
        if self.same(&found.form, &Form::known(dimension)) {
            return Some(());
        }
        let (subject, word) = (self.written(expr), word.text());
        let what = self.what(expr, &found.form);
        let message = format!("`{word}` goes with a {of}, but `{subject}` is {what}");
        let fix = self.asked_as(span, word, "");
        self.diagnostics.push(
            Diagnostic::error(Code::D03, span, message)
                .with_help(format!("the ask without `{word}`"))
                .with_fixes(fix),
        );
        None
    }

    /// The reading of a value as it is asked; what was free of a datum has the one of the word
    /// from here on.
    fn asked_reading(
        &mut self,
        expr: &Expr,
        found: &Type,
        ask: &Ask,
        role: Role,
        span: Span,
    ) -> Option<Reading> {
        let symbol = match &expr.inside().kind {
            ExprKind::Symbol(symbol) => Some(*symbol),
            _ => None,
        };
        let wanted = symbol.and_then(|symbol| self.notes.wanted.get(&symbol).cloned());
        let wanted = wanted.unwrap_or_default();
        let unit = ask.unit.as_ref().or(wanted.unit.as_ref());
        let word = ask.datum.or(wanted.datum);
        let asked = match role {
            // What `required` asks with a word has that word before the line that defines it.
            Role::Defined => datum::asked(found.reading, wanted.datum, None)
                .and_then(|reading| datum::asked(reading, word, unit)),
            Role::Restated => datum::asked(found.reading, word, unit),
        };
        match (asked, role, symbol) {
            (Ok(reading), ..) => {
                self.take_word(expr, reading);
                Some(reading)
            }
            (Err(Unfit::Other(own, other)), Role::Restated, Some(symbol))
                if found.reading.converts() =>
            {
                self.shown_from_other(expr, symbol, own, other, span)
            }
            (Err(unfit), ..) => {
                self.report_unfit(unfit, expr, ask, span);
                None
            }
        }
    }

    /// A name is shown from the other datum, by the pressure of the atmosphere.
    fn shown_from_other(
        &mut self,
        expr: &Expr,
        symbol: SymbolId,
        own: Datum,
        asked: Datum,
        span: Span,
    ) -> Option<Reading> {
        if !self.has_atmosphere(symbol, self.here) {
            let subject = self.written(expr);
            let message = format!(
                "`{subject}` counts from {} pressure, and {} is asked: that needs the pressure of the atmosphere, and `p_atm` is not given",
                of_datum(own),
                of_datum(asked)
            );
            self.diagnostics.push(
                Diagnostic::error(Code::R06, span, message).with_help(format!(
                    "`? {}`, or `p_atm = 101.3 kPa abs` in `given` above, with the value of the place",
                    own.word()
                )),
            );
            return None;
        }
        let function = if asked.is_gauge() {
            Function::Gauge
        } else {
            Function::Absolute
        };
        self.notes.shifted.insert(expr.span, function);
        Some(Reading::pressure(asked))
    }

    /// A name that was free of a datum has this reading from here on.
    pub(in crate::dimensions) fn take_word(&mut self, expr: &Expr, reading: Reading) {
        let mut next = expr.inside().as_symbol();
        while let Some(symbol) = next {
            let known = self.types.get_mut(symbol);
            let Some(known) = known.filter(|known| reading.tells_more_than(known.reading)) else {
                return;
            };
            known.reading = reading;
            next = self.notes.same_as.get(&symbol).copied();
        }
    }

    fn report_unfit(&mut self, unfit: Unfit, expr: &Expr, ask: &Ask, span: Span) {
        let subject = self.written(expr);
        let mark = ask.unit.as_ref().map_or(Mark::None, Unit::mark);
        let diagnostic = match unfit {
            Unfit::SumOfPoints => points(&subject, span),
            Unfit::Moment => moment(&subject, span),
            Unfit::SumOfReadings => pressures(&subject, span),
            Unfit::Interval => {
                let fix = ask.unit.as_ref().filter(|_| ask.datum.is_none());
                let fix = fix.and_then(|unit| self.asked_in(span, unit, "K"));
                interval(&subject, span).with_fixes(fix)
            }
            Unfit::Point => {
                let fix = (mark == Mark::Point || mark == Mark::Interval)
                    .then(|| self.asked_as(span, "difference", ""));
                point(&subject, span).with_fixes(fix.flatten())
            }
            Unfit::Difference => {
                let word = ask.datum.map_or("", syntax::Datum::text);
                let fix = self.asked_as(span, word, "");
                difference(&subject, span).with_fixes(fix)
            }
            Unfit::Other(own, asked) => {
                let fix = self.asked_as(span, asked.word(), own.word());
                other_datum(&subject, own, asked, span).with_fixes(fix)
            }
        };
        self.diagnostics.push(diagnostic);
    }

    /// A number that is compared with a result is checked as an ask in its unit.
    pub(in crate::dimensions) fn literal(
        &mut self,
        expr: &Expr,
        found: &Type,
        literal: &Literal,
        role: Role,
    ) -> Option<Reading> {
        self.ask(expr, found, &as_ask(literal), role)
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

    /// The type of what is shown again where it is asked, and perhaps filled.
    pub(in crate::dimensions) fn restated(
        &mut self,
        expr: &Expr,
        found: Type,
        ask: &Ask,
        filled: Option<&Literal>,
    ) -> Option<Type> {
        let reading = self.ask(expr, &found, ask, Role::Restated)?;
        if let Some(literal) = filled {
            self.literal(expr, &found, literal, Role::Restated)?;
        }
        Some(Type { reading, ..found })
    }
}

fn as_ask(literal: &Literal) -> Ask {
    Ask {
        span: literal.span,
        unit: Some(literal.unit.clone()),
        datum: literal.datum,
        precision: None,
        expanded: None,
    }
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

/// The unit to ask in instead: who asks for a force in knots means kilonewtons, and for a
/// temperature in coulombs degrees.
fn wanted(dimension: Dimension, asked: &str) -> String {
    let letter = asked.strip_prefix('?').map_or("", str::trim);
    match plain_symbol(dimension) {
        kelvin if kelvin == "K" && matches!(letter, "C" | "F") => format!("deg{letter}"),
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
        format!(
            "`{subject}` is neither a point of its scale nor an interval: it adds or scales points"
        ),
    )
    .with_help(POINTS)
}

fn moment(subject: &str, span: Span) -> Diagnostic {
    let message = format!("`{subject}` is a point of time, which is no number of a unit");
    Diagnostic::error(Code::R04, span, message).with_help(format!(
        "`{subject} = ?` for the time of day or the date; for an interval a difference, such as `{subject} - first(t_i)`"
    ))
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

fn difference(subject: &str, span: Span) -> Diagnostic {
    Diagnostic::error(
        Code::R03,
        span,
        format!("`{subject}` is a difference of pressures, which counts from nothing"),
    )
    .with_help(format!("`{subject} = ?` with a unit alone"))
}

fn of_datum(datum: Datum) -> &'static str {
    if datum.is_gauge() {
        "gauge"
    } else {
        "absolute"
    }
}

fn other_datum(subject: &str, own: Datum, asked: Datum, span: Span) -> Diagnostic {
    let (is, other) = (of_datum(own), of_datum(asked));
    Diagnostic::error(
        Code::R01,
        span,
        format!("`{subject}` counts from {is} pressure, and {other} is asked"),
    )
    .with_help(format!("`{other}(…)`, with `p_atm` given"))
}

fn not_a_level(subject: &str, span: Span) -> Diagnostic {
    Diagnostic::error(
        Code::R07,
        span,
        format!("`{subject}` is a level in decibels, and its unit is none of decibels"),
    )
    .with_help(format!(
        "`{subject} = ? dB`, or `10^({subject}/10)` for the ratio of powers"
    ))
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
