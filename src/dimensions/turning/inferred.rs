//! Where the rules of turning are asked of expressions, and what is said when one is broken.

use super::{Beside, Clash, Counts, Refusal, as_angles, asked, conversion, together};
use crate::diagnostic::{Code, Diagnostic};
use crate::dimensions::Type;
use crate::dimensions::infer::{Inference, is_zero};
use crate::quantity::{Exponent, Unit};
use crate::resolve::{Expr, ExprKind, SymbolId};
use crate::text::Span;

impl Inference<'_> {
    /// What expressions count together that are added, compared or listed.
    pub(in crate::dimensions) fn together(
        &mut self,
        exprs: &[&Expr],
        types: &[Type],
    ) -> Option<Counts> {
        let forms: Vec<_> = types.iter().map(|part| self.settled(&part.form)).collect();
        let parts: Vec<Beside<'_>> = (exprs.iter().zip(types).zip(&forms))
            .map(|((expr, part), form)| Beside {
                counts: part.counts,
                form,
                is_zero: is_zero(expr),
            })
            .collect();
        match together(&parts) {
            Ok(counts) => Some(counts),
            Err((at, clash)) => {
                self.report_clash(exprs.get(at)?, clash);
                None
            }
        }
    }

    /// What is compared, with turns taken in radians beside an angular velocity. The body of a
    /// function is compiled once for all that it is called with, so that nothing is taken there.
    pub(in crate::dimensions) fn as_angles(
        &mut self,
        exprs: &[&Expr],
        mut types: Vec<Type>,
    ) -> Vec<Type> {
        let forms: Vec<_> = types.iter().map(|part| self.settled(&part.form)).collect();
        let parts: Vec<Beside<'_>> = (exprs.iter().zip(&types).zip(&forms))
            .map(|((expr, part), form)| Beside {
                counts: part.counts,
                form,
                is_zero: is_zero(expr),
            })
            .collect();
        let found = as_angles(&parts).filter(|_| self.arguments.is_empty());
        for at in found.iter().flat_map(|(turns, _)| turns) {
            self.notes.in_radians.insert(exprs[*at].span);
        }
        if let Some((turns, angle)) = found {
            turns.into_iter().for_each(|at| types[at].counts = angle);
        }
        types
    }

    /// A value that is held against something, or takes its place: turns are taken in radians where
    /// that is an angular velocity, and not the other way round.
    pub(in crate::dimensions) fn taken_as(
        &mut self,
        (lead, of): (&Expr, &Type),
        (value, own): (&Expr, Type),
    ) -> Type {
        if of.counts.is_to_blame(Clash::Turns) {
            return own;
        }
        let mut types = self.as_angles(&[lead, value], vec![of.clone(), own.clone()]);
        types.pop().unwrap_or(own)
    }

    /// A name that stands alone on a side of an equation, and has no value yet, would take what
    /// the other sides count.
    pub(in crate::dimensions) fn names(&mut self, exprs: &[&Expr], types: &[Type]) -> Option<()> {
        let takes = (exprs.iter().zip(types)).any(|(expr, part)| {
            part.counts == Counts::Unknown && expr.inside().as_symbol().is_some()
        });
        if !takes {
            return Some(());
        }
        for (expr, part) in exprs.iter().zip(types) {
            self.usable(expr, part)?;
        }
        Some(())
    }

    /// Whether a value may stand for itself: shown, named, or looked at.
    pub(in crate::dimensions) fn usable(&mut self, expr: &Expr, found: &Type) -> Option<()> {
        let form = self.settled(&found.form);
        let usable = found.counts.usable(&form);
        self.kept(expr, usable)
    }

    /// Whether a value may be the argument of a function of plain numbers, or an exponent.
    pub(in crate::dimensions) fn as_number(&mut self, expr: &Expr, found: &Type) -> Option<()> {
        let form = self.settled(&found.form);
        let usable = found.counts.as_number(&form);
        self.kept(expr, usable)
    }

    /// Whether a value may be the argument of a function of an angle.
    pub(in crate::dimensions) fn as_angle(&mut self, expr: &Expr, found: &Type) -> Option<()> {
        let form = self.settled(&found.form);
        let usable = found.counts.as_angle(&form);
        self.kept(expr, usable)
    }

    fn kept(&mut self, expr: &Expr, rule: Result<(), Clash>) -> Option<()> {
        match rule {
            Ok(()) => Some(()),
            Err(clash) => {
                self.report_clash(expr, clash);
                None
            }
        }
    }

    /// Whether a value may take the place of what a name stands for.
    pub(in crate::dimensions) fn counts_as(
        &mut self,
        symbol: SymbolId,
        value: &Expr,
        found: &Type,
    ) -> Option<()> {
        let own = self.symbol(symbol);
        let forms = [self.settled(&found.form), self.settled(&own.form)];
        let beside = |counts, at: usize| Beside {
            counts,
            form: &forms[at],
            is_zero: at == 0 && is_zero(value),
        };
        if together(&[beside(found.counts, 0), beside(own.counts, 1)]).is_ok() {
            return Some(());
        }
        let key = &self.symbols.symbol(symbol).key;
        let unit = self.unit_of(symbol).unwrap_or("its unit").to_owned();
        let value_text = match value.kind {
            ExprKind::Symbol(_) => self.written(value),
            _ => format!("({})", self.written(value)),
        };
        let kind = |counts: Counts| match counts {
            _ if counts.is_to_blame(Clash::Turns) => Some("turns"),
            _ if counts.is_to_blame(Clash::Cycles) => Some("cycles"),
            _ => None,
        };
        let (first, second) = match (kind(found.counts), kind(own.counts)) {
            (Some(kind), None) => (
                format!("2 pi {value_text}"),
                format!("as many radians as {kind}"),
            ),
            (None, Some(kind)) => (
                format!("{value_text}/(2 pi)"),
                format!("as many {kind} as radians"),
            ),
            (Some(_), Some(_)) | (None, None) => (
                format!("{value_text} rad"),
                format!("{value_text} as it is"),
            ),
        };
        let message = format!(
            "`{}` and `{key}`, which is in {unit}, do not count the same: it could mean `{first}`, or {second}",
            self.written(value)
        );
        self.diagnostics.push(
            Diagnostic::error(Code::R05, value.span, message)
                .with_help(format!("a value in {unit}")),
        );
        None
    }

    /// Whether the value of a formula may be shown in a unit, and what it counts from then on; the
    /// subject is what a message calls it.
    pub(in crate::dimensions) fn turning_in(
        &mut self,
        (expr, subject): (&Expr, &Expr),
        found: &Type,
        unit: &Unit,
        span: Span,
    ) -> Option<Counts> {
        let form = self.settled(&found.form);
        self.by_the_minute(expr, unit)?;
        let refusal = match asked(found.counts, &form, unit) {
            Ok(counts) => return Some(counts),
            Err(refusal) => refusal,
        };
        let factor = subject.inside().as_symbol();
        let subject = self.written(subject);
        let factor = match factor {
            Some(_) => subject.clone(),
            None => format!("({subject})"),
        };
        let unit = unit.source();
        let (message, help) = match refusal {
            Refusal::Clash(clash) => {
                self.report_clash(expr, clash);
                return None;
            }
            Refusal::Unsaid => {
                let turns = match found.counts.holds_an_angle() {
                    true => String::new(),
                    false => format!(", or `{factor}*(1 rev)` where it counts turns"),
                };
                (
                    format!(
                        "`{subject}` does not say what it counts: in {unit} it could be turns, or an angle in radians"
                    ),
                    format!("`= ? rad/s` first where it is an angular velocity{turns}"),
                )
            }
            Refusal::CyclesAsAngle => (
                format!(
                    "`{subject}` counts cycles: in {unit} it could mean `2 pi {factor}`, or as many radians as cycles"
                ),
                format!("`2 pi {factor} = ? {unit}`, or `? Hz`"),
            ),
            Refusal::AngleAsCycles => (
                format!(
                    "`{subject}` measures an angle: in {unit} it could mean `{factor}/(2 pi)`, or as many cycles as radians"
                ),
                format!("`{factor}/(2 pi) = ? {unit}`, or `? rad/s`"),
            ),
        };
        self.diagnostics
            .push(Diagnostic::error(Code::R05, span, message).with_help(help));
        None
    }

    /// What a solution counts that does not say so itself: what its unit says, where the equations
    /// that were solved hold with that.
    pub(in crate::dimensions) fn solved_as(
        &mut self,
        symbol: SymbolId,
        equations: &[&[Expr]],
        found: Type,
        unit: &Unit,
    ) -> Option<Type> {
        let form = self.settled(&found.form);
        if !matches!(
            asked(found.counts, &form, unit),
            Err(Refusal::Unsaid | Refusal::Clash(Clash::Circle))
        ) {
            return Some(found);
        }
        let counts = Counts::of_unit(unit);
        let found = Type { counts, ..found };
        self.types.insert(symbol, found.clone());
        for sides in equations {
            self.members(sides)?;
        }
        Some(found)
    }

    /// Gives a name what its line asks: from then on it counts that, and its value with it.
    pub(in crate::dimensions) fn convert(
        &mut self,
        symbol: SymbolId,
        found: Type,
        unit: &Unit,
    ) -> Type {
        let form = self.settled(&found.form);
        let Ok(counts) = asked(found.counts, &form, unit) else {
            return found;
        };
        let power = conversion(found.counts, unit);
        if power != Exponent::from_integer(0) {
            self.notes.converted.insert(symbol, power);
        }
        let found = Type { counts, ..found };
        self.types.insert(symbol, found.clone());
        found
    }

    fn report_clash(&mut self, whole: &Expr, clash: Clash) {
        let blamed = self.blamed(whole, clash);
        let text = match blamed.kind {
            ExprKind::Quantity(_) => format!("({})", self.written(blamed)),
            _ => self.written(blamed),
        };
        let (message, help) = match clash {
            Clash::Turns => (
                format!(
                    "`{text}` counts turns: here it could mean `2 pi {text}` radians or `{text}` turns"
                ),
                format!(
                    "`2 pi {text}`, or a name for `{text}` asked in rad/s, or in 1/s for the turns"
                ),
            ),
            Clash::Cycles => (
                format!(
                    "`{text}` counts cycles: here it could mean `2 pi {text}` radians or `{text}` cycles"
                ),
                format!("`2 pi {text}`, or a name for `{text}` asked in 1/s"),
            ),
            Clash::Revolutions => (
                format!(
                    "`{text}` is in revolutions, which are angles of `2 pi` already: `2 pi {text}` could mean `{text}`, or that many times `2 pi`"
                ),
                format!(
                    "`{text}` alone for the angle, or the number of revolutions without a unit"
                ),
            ),
            Clash::Circle => (
                format!(
                    "`{text}` is an angle over a `pi` that can be of a turn or of a circle: it could be turns, or an angle in radians"
                ),
                format!(
                    "a name for it first (`q = {text}`, a speed in 1/s): then `q*(1 rev)` where it counts turns, or `q` asked in radians"
                ),
            ),
        };
        // A number that stands alone, as a bound does, may be the only thing that can stand there.
        let is_alone = std::ptr::eq(blamed, whole) && matches!(blamed.kind, ExprKind::Quantity(_));
        let (help, fix) = match clash {
            Clash::Turns | Clash::Cycles if is_alone => (
                "the number in rad/s for radians, or in 1/s for what is counted".to_owned(),
                None,
            ),
            Clash::Turns | Clash::Cycles => {
                (help, Some(self.instead(blamed, &format!("2 pi {text}"))))
            }
            Clash::Revolutions | Clash::Circle => (help, None),
        };
        self.diagnostics.push(
            Diagnostic::error(Code::R05, blamed.span, message)
                .with_help(help)
                .with_fixes(fix),
        );
    }

    /// The part of an expression that a rule was broken by: the first name or number that holds
    /// it, and the whole where none does.
    fn blamed<'e>(&mut self, whole: &'e Expr, clash: Clash) -> &'e Expr {
        self.holding(whole, clash).unwrap_or(whole)
    }

    fn holding<'e>(&mut self, expr: &'e Expr, clash: Clash) -> Option<&'e Expr> {
        let counts = match &expr.kind {
            ExprKind::Symbol(symbol) | ExprKind::Component(symbol, _) => {
                self.symbol(*symbol).counts
            }
            ExprKind::Quantity(quantity) => Counts::of_unit(&quantity.unit),
            ExprKind::Constant(constant) => Counts::of_unit(&constant.unit()),
            ExprKind::Number(_)
            | ExprKind::Numeral(_)
            | ExprKind::Pi
            | ExprKind::Parameter(_)
            | ExprKind::Sum(_)
            | ExprKind::Product(_)
            | ExprKind::Power(..)
            | ExprKind::Negative(_)
            | ExprKind::Group(_)
            | ExprKind::Abs(_)
            | ExprKind::Call { .. }
            | ExprKind::Apply { .. }
            | ExprKind::List(_)
            | ExprKind::Vector(_)
            | ExprKind::Cases(_)
            | ExprKind::Where(..)
            | ExprKind::ReadOff(_) => Counts::NOTHING,
        };
        if counts.is_to_blame(clash) {
            return Some(expr);
        }
        let mut parts = Vec::new();
        expr.for_each_part(|part| parts.push(part));
        parts.into_iter().find_map(|part| self.holding(part, clash))
    }
}
