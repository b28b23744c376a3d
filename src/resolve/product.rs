//! Units in formulas: an undefined name right after a number is a unit.
//!
//! A name that the problem defines always means that quantity. A literal with a unit ends its
//! factor: `2 m v` with `m` undefined is refused, and so is a unit mixed with a quantity
//! (`3 m/s` where `s` is defined).

use super::Resolver;
use super::tree::{Expr, ExprKind, Quantity, Shape};
use crate::diagnostic::{Code, Diagnostic};
use crate::quantity::{self, Dimension, Unit};
use crate::syntax::{self, Factor, Operator, UnitExpr, UnitFactor};
use crate::text::{Span, times_ten_to};

/// What stands at a place of a product.
pub(super) enum Reading {
    /// A quantity literal; `next` is the factor after it.
    Literal {
        /// The literal.
        expr: Expr,
        /// Index of the next factor.
        next: usize,
    },
    /// Something else.
    Ordinary,
    /// Two readings; a diagnostic was recorded.
    Refused,
}

/// The number in front of a unit.
pub(super) struct Head {
    number: Span,
    values: Vec<f64>,
    shape: Shape,
    /// Index of the first factor after the number.
    next: usize,
}

impl Resolver<'_> {
    /// Reads the literal that starts at `factors[at]`, if one does.
    pub(super) fn literal_at(&mut self, factors: &[Factor], at: usize) -> Reading {
        let Some((mut head, mut written, mut next)) = self.unit_at(factors, at) else {
            return match is_mixed(factors, at) {
                true => self.report_mixed_number(factors, at),
                false => Reading::Ordinary,
            };
        };
        if factors[at].operator == Operator::Divide {
            return self.report_unit_below_a_fraction(factors, at, written.span);
        }
        let start = head.number;
        let mut larger = Vec::new();
        while let Some(further) = self.further_at(factors, next, &head) {
            let before = std::mem::replace(&mut head, further.0);
            let unit = std::mem::replace(&mut written, further.1);
            larger.push((before.values.first().copied().unwrap_or(0.0), unit));
            next = further.2;
        }
        let number = start.cover(head.number);
        if self.symbolic && !is_angle(&written) {
            return self.report_unit_in_derive(number, &written);
        }
        if let Some(mixed) = factors.get(next)
            && self.report_mixture(&written, mixed)
        {
            if head.shape == Shape::One {
                self.offer_brackets(number, written.span);
            }
            return Reading::Refused;
        }
        let Some(unit) = self.unit(&written) else {
            return Reading::Refused;
        };
        if let Some(last) = head.values.first_mut()
            && !larger.is_empty()
        {
            let Some(whole) = self.in_smallest(&larger, *last, (&written, &unit)) else {
                return Reading::Refused;
            };
            *last = whole;
        }
        Reading::Literal {
            expr: Expr {
                span: number.cover(written.span),
                kind: ExprKind::Quantity(Box::new(Quantity {
                    number,
                    values: head.values,
                    shape: head.shape,
                    datum: match unit.mark() {
                        quantity::Mark::Gauge => Some(syntax::Datum::Gauge),
                        quantity::Mark::Absolute => Some(syntax::Datum::Absolute),
                        _ => None,
                    },
                    unit,
                    sizes: Vec::new(),
                    power: None,
                })),
            },
            next,
        }
    }

    /// The number and the unit that begin at `factors[at]`, if they do, and the index of the factor
    /// after them. In `derive` a letter after a number is a quantity that may have no value yet
    /// (`2 m`).
    pub(super) fn unit_at(&self, factors: &[Factor], at: usize) -> Option<(Head, UnitExpr, usize)> {
        let head = head(factors, at)?;
        let first = factors.get(head.next)?;
        let starts_unit =
            first.operator == Operator::Juxtapose && self.unit_factors(&first.expr).is_some();
        let (written, next) = match starts_unit {
            true => self.gather(factors, head.next),
            false => self.revolutions_at(factors, head.next)?,
        };
        let is_letter = |factor: &UnitFactor| factor.symbol.chars().count() == 1;
        let is_quantity = self.symbolic && written.factors.iter().all(is_letter);
        (!is_quantity).then_some((head, written, next))
    }

    /// The next part of a literal in several units: `3 in` behind `5 ft`.
    fn further_at(
        &self,
        factors: &[Factor],
        at: usize,
        before: &Head,
    ) -> Option<(Head, UnitExpr, usize)> {
        let factor = factors.get(at)?;
        let is_number = matches!(factor.expr.kind, syntax::ExprKind::Number(_));
        (is_number && factor.operator == Operator::Juxtapose && before.shape == Shape::One)
            .then(|| self.unit_at(factors, at))
            .flatten()
    }

    /// `2 1/2 x`, with a quantity `x`.
    fn report_mixed_number(&mut self, factors: &[Factor], at: usize) -> Reading {
        let place = |from: usize, to: usize| {
            let factors = factors.get(from..to).unwrap_or_default();
            let spans = factors.iter().map(|factor| factor.expr.span);
            spans.reduce(Span::cover).unwrap_or_default()
        };
        let (whole, fraction) = (place(at, at + 1), place(at + 1, at + 3));
        let (span, after) = (whole.cover(fraction), place(at + 3, factors.len()));
        let [whole, fraction, after] = [whole, fraction, after].map(|span| span.of(self.text));
        self.diagnostics.push(
            Diagnostic::error(
                Code::S01,
                span,
                format!(
                    "`{} {after}` has two readings: a mixed number, and a product",
                    span.of(self.text)
                ),
            )
            .with_help(format!(
                "`({whole} + {fraction}) {after}` or `{whole}*({fraction}) {after}`"
            ))
            .with_choice(span, format!("({whole} + {fraction})"))
            .with_choice(span, format!("{whole}*({fraction})")),
        );
        Reading::Refused
    }

    /// `pi/4 m`, with no quantity `m`.
    fn report_unit_below_a_fraction(
        &mut self,
        factors: &[Factor],
        at: usize,
        unit: Span,
    ) -> Reading {
        let spans = factors.iter().take(at + 1).map(|factor| factor.expr.span);
        let fraction = spans.reduce(Span::cover).unwrap_or_default();
        let number = factors[at].expr.span;
        let above = Span {
            end: number.start,
            ..fraction
        };
        let [whole, above, number, unit_text] =
            [fraction, above, number, unit].map(|span| span.of(self.text));
        let above = above.trim_end_matches([' ', '/']);
        let place = fraction.cover(unit);
        self.diagnostics.push(
            Diagnostic::error(
                Code::S02,
                place,
                format!("`{whole} {unit_text}` has two readings"),
            )
            .with_help(format!(
                "`{above}/({number} {unit_text})` or `({whole}) (1 {unit_text})`"
            ))
            .with_choice(place, format!("{above}/({number} {unit_text})"))
            .with_choice(place, format!("({whole}) (1 {unit_text})")),
        );
        Reading::Refused
    }

    /// `(2 m) v` for `2 m v`, where that was reported.
    fn offer_brackets(&mut self, number: Span, unit: Span) {
        let place = number.cover(unit);
        let literal = format!("({})", place.of(self.text));
        let last = self.diagnostics.last_mut();
        if let Some(last) = last.filter(|last| matches!(last.code, Code::N10 | Code::N11)) {
            *last = last.clone().with_choice(place, literal);
        }
    }

    /// Reports `3 m/s` where `m` is a quantity and `s` is not: the whole reads as a unit.
    pub(super) fn report_unit_below(&mut self, factors: &[Factor], at: usize) -> bool {
        let [number, above, below, ..] = &factors[at..] else {
            return false;
        };
        let (syntax::ExprKind::Number(_), syntax::ExprKind::Name(name)) =
            (&number.expr.kind, &above.expr.kind)
        else {
            return false;
        };
        let mixes = !self.symbolic
            && above.operator == Operator::Juxtapose
            && below.operator == Operator::Divide
            && quantity::is_unit(name.span.of(self.text))
            && self.symbols.find(self.problem, &name.key).is_some()
            && self.unit_factors(&below.expr).is_some();
        if mixes {
            let below_span = below.expr.span;
            let (above, below) = (
                name.span.of(self.text).to_owned(),
                below.expr.span.of(self.text).to_owned(),
            );
            self.diagnostics.push(
                Diagnostic::error(
                    Code::N11,
                    name.span,
                    format!(
                        "`{above}/{below}` mixes the quantity `{above}` with the unit `{below}`"
                    ),
                )
                .with_help(format!(
                    "`{above}/(1 {below})` for the quantity, or another name for it"
                ))
                .with_choice(below_span, format!("(1 {below})")),
            );
        }
        mixes
    }

    /// A name of several letters that is a unit, and is no quantity of the problem, can only have
    /// been meant as the unit.
    fn report_unit_in_derive(&mut self, number: Span, unit: &UnitExpr) -> Reading {
        let span = number.cover(unit.span);
        let text = span.of(self.text);
        self.diagnostics.push(
            Diagnostic::error(
                Code::S15,
                span,
                format!("`{text}` has a unit, and `derive` holds symbols only"),
            )
            .with_help(format!(
                "a name for it in `given`, as in `x_0 = {text}`, and the name here"
            )),
        );
        Reading::Refused
    }

    /// `r/min` after a number, where `r` is no quantity: alone it is no unit.
    fn revolutions_at(&self, factors: &[Factor], first: usize) -> Option<(UnitExpr, usize)> {
        let [above, below, ..] = factors.get(first..)? else {
            return None;
        };
        let syntax::ExprKind::Name(name) = &above.expr.kind else {
            return None;
        };
        let stands = (above.operator, below.operator) == (Operator::Juxtapose, Operator::Divide);
        if !stands || name.span.of(self.text) != "r" || self.is_quantity(name) {
            return None;
        }
        let mut time = self.unit_factors(&below.expr)?.pop()?;
        let unit = Unit::lone(&time.symbol).ok()?;
        if unit.dimension() != Dimension::time() || (time.power, time.root) != (1, 1) {
            return None;
        }
        (time.power, time.below) = (-time.power, true);
        let revolution = UnitFactor {
            span: name.span,
            symbol: "r".into(),
            power: 1,
            root: 1,
            below: false,
        };
        let unit = UnitExpr {
            span: name.span.cover(below.expr.span),
            factors: vec![revolution, time],
        };
        Some((unit, first + 2))
    }

    /// The unit from `factors[first]` on, and the index of the factor after it.
    fn gather(&self, factors: &[Factor], first: usize) -> (UnitExpr, usize) {
        let mut unit = UnitExpr {
            span: factors[first].expr.span,
            factors: Vec::new(),
        };
        let mut next = first;
        while let Some(factor) = factors.get(next) {
            let Some(parts) = self.unit_factors(&factor.expr) else {
                break;
            };
            let divided = factor.operator == Operator::Divide;
            // `kJ/kg K` has two readings: the unit ends, and what follows is reported.
            if !divided && unit.factors.iter().any(|part| part.below) {
                break;
            }
            unit.factors.extend(parts.into_iter().map(|mut part| {
                if divided {
                    part.power = -part.power;
                    part.below = !part.below;
                }
                part
            }));
            unit.span = unit.span.cover(factor.expr.span);
            next += 1;
        }
        (unit, next)
    }

    /// Reports what may not follow a unit; false when it may.
    fn report_mixture(&mut self, unit: &UnitExpr, next: &Factor) -> bool {
        let unit_text = unit.span.of(self.text);
        let next_text = next.expr.span.of(self.text);
        if next.operator == Operator::Juxtapose {
            let diagnostic = if self.unit_factors(&next.expr).is_some() {
                Diagnostic::error(
                    Code::S13,
                    unit.span.cover(next.expr.span),
                    format!("`{unit_text} {next_text}` has two readings"),
                )
                .with_help(format!(
                    "brackets below the slash, `…/(… {next_text})`, or `{next_text}` before the slash"
                ))
            } else {
                Diagnostic::error(
                    Code::N10,
                    unit.span,
                    format!(
                        "`{unit_text}` is not defined, so it is read as a unit, and a unit ends its factor before `{next_text}`"
                    ),
                )
                .with_help(format!(
                    "a line above that defines `{unit_text}`, or brackets around the literal with its unit `{unit_text}`"
                ))
            };
            self.diagnostics.push(diagnostic);
            return true;
        }
        let name = match &next.expr.kind {
            syntax::ExprKind::Name(name) => name,
            syntax::ExprKind::Power(base, _) => match &base.kind {
                syntax::ExprKind::Name(name) => name,
                _ => return false,
            },
            _ => return false,
        };
        if next.operator != Operator::Divide || !quantity::is_unit(name.span.of(self.text)) {
            return false;
        }
        let name = name.span.of(self.text);
        self.diagnostics.push(
            Diagnostic::error(
                Code::N11,
                unit.span.cover(next.expr.span),
                format!("`{unit_text}/{next_text}` mixes the unit `{unit_text}` with the quantity `{name}`"),
            )
            .with_help(format!(
                "brackets around the literal before `/{next_text}`, or another name for the quantity `{name}`"
            )),
        );
        true
    }

    /// The unit factors that an expression reads as, where each of its names is undefined and a
    /// unit.
    fn unit_factors(&self, expr: &syntax::Expr) -> Option<Vec<UnitFactor>> {
        match &expr.kind {
            syntax::ExprKind::Name(name) => self.unit_factor(name, 1, 1).map(|factor| vec![factor]),
            syntax::ExprKind::Power(base, exponent) => {
                let syntax::ExprKind::Name(name) = &base.kind else {
                    return None;
                };
                let (power, root) = small_rational(exponent)?;
                self.unit_factor(name, power, root)
                    .map(|factor| vec![factor])
            }
            syntax::ExprKind::Group(inner) => {
                match &inner.kind {
                    syntax::ExprKind::Product(factors) => {
                        let mut all = Vec::new();
                        for factor in factors {
                            let divided = factor.operator == Operator::Divide;
                            all.extend(self.unit_factors(&factor.expr)?.into_iter().map(
                                |mut part| {
                                    if divided {
                                        part.power = -part.power;
                                        part.below = !part.below;
                                    }
                                    part
                                },
                            ));
                        }
                        Some(all)
                    }
                    _ => None,
                }
            }
            _ => None,
        }
    }

    /// Whether a name is one of the problem.
    fn is_quantity(&self, name: &syntax::Name) -> bool {
        self.symbols.find(self.problem, &name.key).is_some()
            || self.parameters.iter().any(|key| **key == *name.key)
            || &*name.key == "pi"
    }

    pub(super) fn unit_factor(
        &self,
        name: &syntax::Name,
        power: i32,
        root: i32,
    ) -> Option<UnitFactor> {
        let written = name.span.of(self.text);
        (!self.is_quantity(name) && quantity::is_unit(written)).then(|| UnitFactor {
            span: name.span,
            symbol: written.into(),
            power,
            root,
            below: false,
        })
    }
}

/// Whether it is the unit of an angle, which formulas in symbols may hold: `sin(30 deg)`.
fn is_angle(unit: &UnitExpr) -> bool {
    matches!(unit.factors.as_slice(), [only] if only.power == 1 && matches!(&*only.symbol, "deg" | "rad"))
}

/// The number at a place: one number, a fraction of two at the head, or a list.
fn head(factors: &[Factor], at: usize) -> Option<Head> {
    let factor = factors.get(at)?;
    match &factor.expr.kind {
        syntax::ExprKind::Number(number) => {
            if is_mixed(factors, at)
                && let [above, below] = factors.get(at + 1..at + 3)?
                && let [
                    syntax::ExprKind::Number(above),
                    syntax::ExprKind::Number(below),
                ] = [&above.expr.kind, &below.expr.kind]
            {
                return Some(Head {
                    number: number.span.cover(below.span),
                    values: vec![number.value + above.value / below.value],
                    shape: Shape::One,
                    next: at + 3,
                });
            }
            if at == 0
                && let Some(below) = factors.get(1)
                && below.operator == Operator::Divide
                && let syntax::ExprKind::Number(denominator) = &below.expr.kind
            {
                return Some(Head {
                    number: number.span.cover(denominator.span),
                    values: vec![number.value / denominator.value],
                    shape: Shape::One,
                    next: 2,
                });
            }
            let power = factors.get(at + 1).and_then(|next| {
                let exponent = (next.operator == Operator::Times).then(|| power_of_ten(&next.expr));
                exponent.flatten()
            });
            Some(match power {
                Some((exponent, end)) => Head {
                    number: number.span.cover(end),
                    values: vec![times_ten_to(number.value, exponent)],
                    shape: Shape::One,
                    next: at + 2,
                },
                None => Head {
                    number: number.span,
                    values: vec![number.value],
                    shape: Shape::One,
                    next: at + 1,
                },
            })
        }
        syntax::ExprKind::List(items) | syntax::ExprKind::Vector(items) => {
            let is_list = matches!(factor.expr.kind, syntax::ExprKind::List(_));
            let values = items
                .iter()
                .map(|item| match &item.kind {
                    syntax::ExprKind::Number(number) => Some(number.value),
                    _ => None,
                })
                .collect::<Option<Vec<f64>>>()?;
            let number = items.iter().map(|item| item.span).reduce(Span::cover)?;
            Some(Head {
                number,
                values,
                shape: if is_list { Shape::List } else { Shape::Vector },
                next: at + 1,
            })
        }
        _ => None,
    }
}

/// The exponent of `10^3`, and where the power ends.
fn power_of_ten(expr: &syntax::Expr) -> Option<(i32, Span)> {
    let syntax::ExprKind::Power(base, exponent) = &expr.kind else {
        return None;
    };
    let is_ten = matches!(&base.kind, syntax::ExprKind::Number(number) if number.value == 10.0);
    let (power, root) = small_rational(exponent)?;
    (is_ten && root == 1).then_some((power, expr.span))
}

/// Whether a mixed number stands at a place: `2 1/2`.
fn is_mixed(factors: &[Factor], at: usize) -> bool {
    factors.get(..at + 3).is_some_and(syntax::is_mixed_number)
}

/// The exponent of a unit: a small whole number or a fraction of two.
fn small_rational(exponent: &syntax::Expr) -> Option<(i32, i32)> {
    let whole = |value: f64| (value.fract() == 0.0 && value.abs() <= 99.0).then_some(value as i32);
    match &exponent.kind {
        syntax::ExprKind::Number(number) => Some((whole(number.value)?, 1)),
        syntax::ExprKind::Negative(inner) => {
            let (power, root) = small_rational(inner)?;
            Some((-power, root))
        }
        syntax::ExprKind::Group(inner) => match &inner.kind {
            syntax::ExprKind::Product(factors) => match factors.as_slice() {
                [above, below] if below.operator == Operator::Divide => {
                    let (power, _) = small_rational(&above.expr)?;
                    let (root, _) = small_rational(&below.expr)?;
                    (root > 0).then_some((power, root))
                }
                _ => None,
            },
            _ => small_rational(inner),
        },
        _ => None,
    }
}
