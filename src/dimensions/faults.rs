//! What to say when a rule about readings is broken.

use super::infer::Inference;
use super::reading::Fault;
use crate::diagnostic::{Code, Diagnostic, Fix};
use crate::resolve::Expr;

/// What has a meaning for points of a scale.
pub(super) const POINTS: &str = "a difference such as `T_2 - T_1`, or a mean such as `(T_1 + T_2)/2`; `T - 0 K` for a temperature that counts from absolute zero";

/// What has a meaning for points of time.
pub(super) const MOMENTS: &str = "a difference of two points of time, such as `t_i - first(t_i)`";

impl Fault {
    /// The code of the rule that is broken.
    pub(super) fn code(self) -> Code {
        match self {
            Fault::GaugeWithAbsolute(..) => Code::R01,
            Fault::NeedsAbsolute(_) => Code::R02,
            Fault::Points(_) | Fault::Magnitude(_) | Fault::Moment(_) | Fault::Clocks(..) => {
                Code::R03
            }
            Fault::Level(_) | Fault::BesideLevel(_) => Code::R07,
            Fault::WrittenPoint(_) => Code::R08,
        }
    }
}

impl Inference<'_> {
    /// The edit with which the rule is kept.
    fn fix_of(&self, fault: Fault, parts: &[&Expr]) -> Option<Fix> {
        match fault {
            // `p + p_atm` converts by itself what `absolute(p)` would convert once more.
            Fault::GaugeWithAbsolute(at, other) => {
                let other = parts.get(other)?.inside().as_symbol();
                let is_atmosphere =
                    other.is_some_and(|other| self.notes.atmospheres.contains(&other));
                (!is_atmosphere)
                    .then(|| self.as_absolute(parts.get(at)?))
                    .flatten()
            }
            Fault::NeedsAbsolute(at) => self.as_absolute(parts.get(at)?),
            Fault::Level(at) => {
                let part = parts.get(at)?;
                Some(self.instead(part, &format!("10^({}/10)", self.written(part))))
            }
            Fault::WrittenPoint(_)
            | Fault::Points(_)
            | Fault::Magnitude(_)
            | Fault::Moment(_)
            | Fault::Clocks(..)
            | Fault::BesideLevel(_) => None,
        }
    }

    /// Turns a broken rule into its diagnostic.
    pub fn report(&mut self, fault: Fault, whole: &Expr, parts: &[&Expr]) {
        let text = |at: usize| {
            parts
                .get(at)
                .map_or(String::new(), |part| self.written(part))
        };
        let factor = |at: usize| match parts.get(at).and_then(|part| part.inside().as_symbol()) {
            Some(_) => text(at),
            None => format!("({})", text(at)),
        };
        let span = |at: usize| parts.get(at).map_or(whole.span, |part| part.span);
        let diagnostic = match fault {
            Fault::GaugeWithAbsolute(gauge, absolute) => Diagnostic::error(
                fault.code(),
                span(gauge.max(absolute)),
                format!(
                    "`{}` is reckoned from gauge pressure, `{}` from absolute: they cannot meet",
                    text(gauge),
                    text(absolute)
                ),
            )
            .with_note("the other term", span(gauge.min(absolute)))
            .with_help(match parts.get(gauge).and_then(|part| part.inside().as_symbol()) {
                Some(_) => format!("`absolute({})`, with `p_atm` given", text(gauge)),
                None => "`absolute(p)` or `gauge(p)` around one of the pressures, with `p_atm` given"
                    .to_owned(),
            }),
            Fault::NeedsAbsolute(at) => Diagnostic::error(
                fault.code(),
                span(at),
                format!(
                    "`{}` is a gauge pressure, and `{}` needs absolute pressure",
                    text(at),
                    self.written(whole)
                ),
            )
            .with_help(format!("`absolute({})`, with `p_atm` given", text(at))),
            Fault::Points(at) => Diagnostic::error(
                fault.code(),
                span(at),
                format!("`{}` adds points of a scale, which has no meaning by itself", text(at)),
            )
            .with_help(POINTS),
            Fault::Moment(at) => Diagnostic::error(
                fault.code(),
                span(at),
                format!(
                    "`{}` counts from the zero of a clock, and `{}` needs an interval",
                    text(at),
                    self.written(whole)
                ),
            )
            .with_help(MOMENTS),
            Fault::Clocks(one, other) => Diagnostic::error(
                fault.code(),
                span(other),
                format!(
                    "`{}` and `{}` are times of different clocks, with a date or without, with an offset from universal time or without: nothing lies between them",
                    text(one),
                    text(other)
                ),
            )
            .with_help("one pattern for both, with an offset in both or in neither"),
            Fault::Level(at) => Diagnostic::error(
                fault.code(),
                span(at),
                format!("`{}` is a level in decibels and cannot be a factor here", text(at)),
            )
            .with_help(format!("`10^({}/10)` for the ratio of powers", factor(at))),
            Fault::BesideLevel(at) => Diagnostic::error(
                fault.code(),
                span(at),
                format!("`{}` is no level, and stands in a sum of levels in decibels", text(at)),
            )
            .with_help(format!("`10 log10({})`, or a number in dB", text(at))),
            Fault::WrittenPoint(at) => Diagnostic::error(
                fault.code(),
                span(at),
                format!(
                    "`{}` has two readings in a product: the absolute temperature, and an interval",
                    text(at)
                ),
            )
            .with_help(
                "`(T - T_0)/(1 K)` with `T_0 = 0 degC` in `given`; `degC difference` or `K` for an interval",
            ),
            Fault::Magnitude(at) => Diagnostic::error(
                fault.code(),
                span(at),
                format!(
                    "`{}` is a point on a scale: its magnitude and sign depend on the scale",
                    text(at)
                ),
            )
            .with_help("those of a difference, such as `|T_2 - T_1|`"),
        };
        let fix = self.fix_of(fault, parts);
        self.diagnostics.push(diagnostic.with_fixes(fix));
    }
}
