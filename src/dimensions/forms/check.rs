//! A comparison, and its tolerance.

use crate::diagnostic::{Code, Diagnostic};
use crate::dimensions::infer::{self, Inference};
use crate::dimensions::turning::Clash;
use crate::dimensions::{Counts, Energy, Form, Reading, Type, describe};
use crate::resolve::statement::Check;
use crate::resolve::{Expr, ExprKind};

impl Inference<'_> {
    pub(super) fn check(&mut self, check: &Check) -> Option<Type> {
        let members = &check.members;
        self.begin();
        let types = self.compared(members)?;
        for member in members {
            self.number(member, "a side of a check")?;
        }
        let form = types
            .iter()
            .zip(members)
            .find(|(_, member)| !infer::is_zero(member))
            .map_or_else(Form::default, |(part, _)| part.form.clone());
        if let Some(within) = &check.within {
            let tolerance = self.infer(within)?;
            let relative = is_relative(within);
            let fits = relative || infer::is_zero(within);
            if !fits && !self.same(&tolerance.form, &form) {
                let message = format!(
                    "the tolerance `{}` is {}, but what is compared is {}",
                    self.written(within),
                    self.what(within, &tolerance.form),
                    self.settled(&form)
                        .dimension()
                        .map_or_else(|| "something else".to_owned(), describe::dimension),
                );
                self.diagnostics.push(
                    Diagnostic::error(Code::D03, within.span, message)
                        .with_help("`within 1 %`, or a tolerance of that dimension")
                        .with_choice(within.span, "1 %"),
                );
                return None;
            }
            self.tolerance_fits(within, &tolerance, &types, relative)?;
            if !relative {
                let mut beside: Vec<&Expr> = members.iter().collect();
                beside.push(within);
                let mut all = types.clone();
                all.push(tolerance);
                // A tolerance is taken as what it is a tolerance of, not the other way round.
                let of_turns = |part: &Type| part.counts.is_to_blame(Clash::Turns);
                if !types.iter().any(of_turns) {
                    all = self.as_angles(&beside, all);
                }
                self.together(&beside, &all)?;
            }
            if relative && members.last().is_some_and(infer::is_zero) {
                self.diagnostics.push(
                    Diagnostic::error(
                        Code::C02,
                        within.span,
                        "a relative tolerance about zero can never hold",
                    )
                    .with_help("an absolute tolerance, such as `within 0.5 kN`"),
                );
                return None;
            }
        }
        for (member, part) in members.iter().zip(&types) {
            self.usable(member, part)?;
        }
        Some(Type {
            form,
            reading: Reading::joined(types.iter().map(|part| part.reading)),
            counts: (types.first()).map_or(Counts::NOTHING, |part| part.counts),
            energy: Energy::joined(&types),
        })
    }

    /// A tolerance is an interval, and a share of a temperature on a scale has two readings.
    fn tolerance_fits(
        &mut self,
        within: &Expr,
        tolerance: &Type,
        sides: &[Type],
        relative: bool,
    ) -> Option<()> {
        let written = self.written(within);
        let is_reading = tolerance.reading.is_point() || tolerance.reading.counts_from().is_some();
        let message = if is_reading {
            format!("the tolerance `{written}` is a reading that counts from a datum, not a size")
        } else if relative && sides.iter().any(|side| side.reading.is_point()) {
            format!(
                "`{written}` of a temperature has two readings: of its number, and from absolute zero"
            )
        } else {
            return Some(());
        };
        self.diagnostics.push(
            Diagnostic::error(Code::R04, within.span, message)
                .with_help("a size without a datum, such as `within 0.5 K` or `within 2 kPa`"),
        );
        None
    }
}

/// Whether a tolerance is a share of the right side: a literal in `%` or `‰`.
pub fn is_relative(within: &Expr) -> bool {
    matches!(&within.inside().kind, ExprKind::Quantity(quantity)
        if quantity.unit.dimension().is_none() && !quantity.unit.text().is_empty())
}
