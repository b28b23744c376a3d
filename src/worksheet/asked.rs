//! How a value is shown where it is asked.

use std::sync::Arc;

use super::build::Builder;
use super::forms::as_list;
use super::model::{Body, Replacement, Shown};
use super::show;
use super::site::{AskSite, Form};
use crate::diagnostic::{Code, Diagnostic};
use crate::dimensions::Type;
use crate::evaluate::{Doubt, Value};
use crate::quantity::{self, Decimal, Mark};
use crate::resolve::statement::{Ask, Condition, Literal};
use crate::resolve::{Expr, ExprKind, Kind, Shape, SymbolId};
use crate::syntax::{Expanded, Precision};
use crate::text::Span;

/// Whether every uncertainty can be typed.
fn is_finite(shown: &Shown) -> bool {
    let mut spreads = shown.uncertainties.iter().flatten();
    spreads.all(|spread| spread.size.is_finite())
}

impl Builder<'_> {
    /// Notes the ask of a statement, with the value it was answered with.
    pub(super) fn note_ask(&mut self, kind: &Kind, body: &Body) {
        if let Some((ask, filled)) = kind.facts().ask {
            self.note_site(ask, filled, body.shown());
            // What `required` asks of a name is told at the line that defines it.
            if matches!(body, Body::Work(_)) || ask.precision.is_some() || ask.expanded.is_some() {
                self.warn_of_figures(ask, body.shown());
            }
        }
    }

    /// Notes an ask, and warns when a filled number is stale.
    pub(super) fn note_site(&mut self, ask: &Ask, filled: Option<&Literal>, shown: Option<&Shown>) {
        // A point of time is no number that a line could hold.
        let is_number = |shown: &&Shown| !matches!(shown.unit.mark(), Mark::Clock(_));
        let shown = shown.filter(|shown| shown.shape != Shape::List && is_finite(shown));
        let shown = shown.filter(is_number);
        let number = shown.map(number);
        let text = self.text;
        let form = match filled {
            Some(literal) => {
                let place = with_brackets(text, literal.amount);
                let after = place.end as usize;
                let Some(mark) = text[after..].find('?') else {
                    return;
                };
                let stands = place.of(text);
                if let Some(number) = number.as_ref().filter(|number| *number != stands) {
                    self.diagnostics.push(
                        Diagnostic::warning(
                            Code::E08,
                            place,
                            not_as_printed(stands, number, shown),
                        )
                        .with_help(format!("`{number}`, which `setsquare fill` writes"))
                        .with_fix(place, number.as_str()),
                    );
                }
                Form::Filled {
                    number: place,
                    mark: after + mark,
                }
            }
            None => match open(text, ask) {
                Some(form) => form,
                None => return,
            },
        };
        let unit = shown.map_or(String::new(), |shown| {
            // A word that was asked stays where it stands.
            let word = shown.word.filter(|_| ask.datum.is_none());
            [shown.unit.source(), word.unwrap_or("")]
                .join(" ")
                .trim()
                .to_owned()
        });
        self.asks.push(AskSite { form, number, unit });
    }

    /// Warns where the figures that are asked for and the uncertainty do not go together.
    pub(super) fn warn_of_figures(&mut self, ask: &Ask, shown: Option<&Shown>) {
        let Some(shown) = shown else {
            return;
        };
        let written = ask.span.of(self.text);
        if let (Some(Expanded::Level(_, place)), None) = (ask.expanded, shown.coverage)
            && !shown.uncertainties.is_empty()
        {
            self.diagnostics.push(
                Diagnostic::error(
                    Code::U05,
                    place,
                    "its degrees of freedom cannot be told: a correlation is stated of a source that has few",
                )
                .with_help("`with k = 2`"),
            );
        }
        if shown.is_cut {
            let printed = shown.digits.iter().map(Decimal::figures).max().unwrap_or(1);
            let figures = if printed == 1 { "figure" } else { "figures" };
            self.diagnostics.push(
                Diagnostic::warning(
                    Code::U11,
                    ask.span,
                    format!(
                        "`{written}` asks for digits below the uncertainty, which are not printed"
                    ),
                )
                .with_help(format!("without figures, or `to {printed} {figures}`")),
            );
        } else if let Some(Precision::Uncertainty(_)) = ask.precision
            && shown.uncertainties.is_empty()
        {
            self.diagnostics.push(
                Diagnostic::warning(
                    Code::U06,
                    ask.span,
                    format!("`{written}` asks for an uncertainty, and there is none"),
                )
                .with_help("`± …` after the data in `given`, or `to 3 figures`"),
            );
        }
    }

    /// Says what is not certain of the figures that are printed at a place.
    pub(super) fn note_doubt(&mut self, place: Span, name: &str, shown: &Shown) {
        let Some(doubt) = shown.doubt else { return };
        let message = match doubt {
            Doubt::Cancelled => {
                format!("only the bound of `{name}` is certain: it is 0 as far as 480 digits show")
            }
            Doubt::Fewer => format!("fewer figures of `{name}` are certain than are asked"),
            Doubt::Lost => format!("no figure of `{name}` is certain"),
        };
        self.diagnostics
            .push(Diagnostic::warning(Code::E16, place, message).with_help(
                "a form of the formula in which nothing cancels: `ln(a/b)` for `ln(a) - ln(b)`",
            ));
    }

    /// An ask without a unit takes the one that `required` names, or the one the name was
    /// printed in before; another value of it with the prefix that is handy for that.
    pub fn with_unit(&self, (expr, found): (&Expr, &Type), ask: &Ask, result: &Value) -> Ask {
        let symbol = match &expr.inside().kind {
            ExprKind::Symbol(symbol) => Some(*symbol),
            ExprKind::Abs(inner) => inner.as_symbol(),
            _ => None,
        };
        let (None, Some(symbol), None) = (&ask.unit, symbol, found.reading.clock()) else {
            return ask.clone();
        };
        let wanted = self.tables.wanted.get(&symbol);
        let shown = || {
            let shown = self.tables.shown.get(symbol)?;
            let amount = show::amount(result, found, ask, self.front.figures);
            Some(match result.is_of(&shown.si) {
                true => shown.unit.clone(),
                false => quantity::rescaled(&shown.unit, amount),
            })
        };
        let unit = (wanted.and_then(|wanted| wanted.ask.unit.clone()))
            .or_else(shown)
            .filter(|unit| show::goes_with(unit, ask.datum));
        Ask {
            unit,
            datum: ask.datum.or(wanted.and_then(|wanted| wanted.ask.datum)),
            precision: ask
                .precision
                .or(wanted.and_then(|wanted| wanted.ask.precision)),
            expanded: ask.expanded,
            span: ask.span,
        }
    }

    /// A value that was printed before is printed the same way again, unless it is asked
    /// otherwise.
    pub fn asked(
        &self,
        problem: usize,
        expr: &Expr,
        ask: &Ask,
        result: &Arc<Value>,
        found: &Type,
    ) -> Shown {
        if let (Some(symbol), None, None) = (expr.inside().as_symbol(), ask.precision, ask.expanded)
            && let Some(shown) = self.tables.shown.get(symbol)
            && result.is_of(&shown.si)
            && shown.coverage.is_none()
            && ask.unit.as_ref().is_none_or(|unit| *unit == shown.unit)
            && show::goes_with(&shown.unit, ask.datum)
            && show::word(found.reading, ask.datum, &shown.unit) == shown.word
        {
            let readings = || self.tables.readings.get(symbol).map(|it| as_list(it));
            let written = shown.written.clone().or_else(readings);
            if written.is_some() || !shown.digits.is_empty() {
                return Shown {
                    written,
                    ..Shown::clone(shown)
                };
            }
        }
        self.result(
            problem,
            result,
            found,
            &self.with_unit((expr, found), ask, result),
        )
    }

    /// The replaced givens, as the author wrote them.
    pub fn conditions(&self, conditions: &[Condition]) -> Vec<(SymbolId, Replacement)> {
        conditions
            .iter()
            .map(|condition| {
                let replacement = match &condition.value.kind {
                    ExprKind::Quantity(quantity) => {
                        let si = quantity
                            .values
                            .iter()
                            .map(|value| quantity.unit.to_si(*value))
                            .collect();
                        let value = Arc::new(Value {
                            rows: si,
                            shape: quantity.shape,
                            ..Value::default()
                        });
                        Replacement::Value(Box::new(show::literal(self.text, quantity, &value)))
                    }
                    ExprKind::Number(number) => {
                        let written = condition.value.span.of(self.text);
                        Replacement::Value(Box::new(show::number(written, *number)))
                    }
                    _ => Replacement::Formula(condition.value.clone()),
                };
                (condition.symbol, replacement)
            })
            .collect()
    }
}

/// The digits of a value as an author types them; those of a vector in brackets.
fn number(shown: &Shown) -> String {
    if shown.shape == Shape::Vector {
        let parts: Vec<String> = match &shown.written {
            Some(written) => written
                .split(',')
                .map(|part| part.trim().to_owned())
                .collect(),
            None => shown.digits.iter().map(|digits| digits.ascii()).collect(),
        };
        return format!("({})", parts.join(", "));
    }
    if let (Some(digits), Some(Some(spread))) = (shown.digits.first(), shown.uncertainties.first())
    {
        return quantity::estimate_ascii(digits, &spread.digits);
    }
    match (&shown.written, shown.digits.first()) {
        (_, Some(digits)) => digits.ascii(),
        (Some(written), None) => written.clone(),
        (None, None) => String::new(),
    }
}

/// The place of a filled number, with the brackets around the components of a vector.
fn with_brackets(text: &str, number: Span) -> Span {
    let (start, end) = (number.start as usize, number.end as usize);
    let before = text[..start].trim_end();
    let after = &text[end..];
    let blanks = after.len() - after.trim_start().len();
    if before.ends_with('(') && after.trim_start().starts_with(')') && number.of(text).contains(',')
    {
        Span::new(before.len() - 1, end + blanks + 1)
    } else {
        number
    }
}

/// The form of an ask that holds no number, if a mark stands there at all.
fn open(text: &str, ask: &Ask) -> Option<Form> {
    let written = ask.span.of(text);
    if !written.starts_with('?') {
        return None;
    }
    let before = |words: &str| written.rfind(words).unwrap_or(written.len());
    let precision = ask.precision.map(|_| before(" to "));
    let expanded = ask.expanded.map(|_| before(" with "));
    let end = precision.into_iter().chain(expanded).min();
    let end = end.unwrap_or(written.len());
    let start = ask.span.start as usize;
    Some(Form::Open {
        mark: start,
        end: start + written[..end].trim_end().len(),
        has_unit: ask.unit.is_some(),
    })
}

/// What a filled number that is not the printed one is: of the same value with other figures, or
/// stale.
fn not_as_printed(stands: &str, number: &str, shown: Option<&Shown>) -> String {
    let value = shown.and_then(|shown| match shown.values.as_slice() {
        [only] => Some(*only),
        _ => None,
    });
    let written = crate::text::decimal(stands).parse::<f64>().ok();
    let place = quantity::written_precision(stands);
    match (value, written, place) {
        (Some(value), Some(written), Some(place)) if (value - written).abs() <= 0.5 * place => {
            format!("the filled number `{stands}` has other figures than are asked for: {number}")
        }
        _ => format!("the filled number `{stands}` is stale: it is now {number}"),
    }
}
