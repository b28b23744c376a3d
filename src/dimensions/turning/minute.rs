//! Formulas for plain numbers of turns a minute or of degrees, such as `pi N/30` and `theta pi/180`,
//! in which a number with its unit stands.

use std::f64::consts::TAU;

use super::Counts;
use crate::diagnostic::{Code, Diagnostic};
use crate::dimensions::infer::{Inference, literal};
use crate::quantity::{Dimension, Exponent, Unit};
use crate::resolve::{Expr, ExprKind};
use crate::syntax::Operator;

/// What a product is written with: its numbers multiplied, and how often it holds a `pi` and what
/// counts of turning.
#[derive(Debug, Clone, Copy, Default)]
struct Written {
    numbers: f64,
    pi: f64,
    turns: f64,
    angle: f64,
    cycles: f64,
}

/// A coefficient of hand formulas from numbers by the minute to numbers by the second: `N/60`, and
/// `N/120` of what happens in every second turn.
const BY_THE_SECOND: [f64; 2] = [1.0, 0.5];
/// The other way: `60 f`, and `120 f/p` of a machine with `p` poles.
const BY_THE_MINUTE: [f64; 7] = [1.0, 2.0, 0.5, 1.0 / 3.0, 0.25, 0.2, 1.0 / 6.0];
/// What numbers in millimetres, kilowatts and the like bring in.
const THOUSANDS: [f64; 5] = [1e-6, 1e-3, 1.0, 1e3, 1e6];

impl Inference<'_> {
    /// Refuses a product in which counted turns are divided by the seconds of a minute, or an angle
    /// by the degrees of half a turn.
    pub(in crate::dimensions) fn by_hand(&mut self, product: &Expr) -> Option<()> {
        let written = self.written_with(product);
        let text = self.written(product);
        let (of, instead) = if is_by_the_second(&written) {
            ("turns a minute", "2 pi N` for `pi N/30")
        } else if is_from_degrees(&written) {
            ("degrees", "theta` for `theta pi/180")
        } else {
            return Some(());
        };
        self.report_by_hand(
            product,
            format!(
                "`{text}` could be the formula for a plain number of {of}, or so small a part of a quantity that has its unit already"
            ),
            instead,
        )
    }

    /// Refuses a number of cycles or an angular velocity that is multiplied by the seconds of a
    /// minute, and asked by the minute.
    pub(in crate::dimensions) fn by_the_minute(
        &mut self,
        formula: &Expr,
        unit: &Unit,
    ) -> Option<()> {
        let is_rate = Some(unit.dimension()) == Dimension::time().power((-1).into());
        if !is_rate || (unit.to_si(60.0).abs() - 1.0).abs() > 1e-9 {
            return Some(());
        }
        let written = self.written_with(formula);
        if !is_by_the_minute(&written) {
            return Some(());
        }
        let (text, unit) = (self.written(formula), unit.source());
        self.report_by_hand(
            formula,
            format!(
                "`{text}` in {unit} could be the formula for a plain number of turns a minute, or so large a multiple of a quantity that has its unit already"
            ),
            "f` for `60 f",
        )
    }

    fn report_by_hand(&mut self, place: &Expr, message: String, instead: &str) -> Option<()> {
        self.diagnostics.push(
            Diagnostic::error(Code::R05, place.span, message).with_help(format!(
                "the formula without that number, since units convert by themselves (`{instead}`), or a name of `given` for the number that is meant",
            )),
        );
        None
    }

    fn written_with(&mut self, expr: &Expr) -> Written {
        let mut found = Written {
            numbers: 1.0,
            ..Written::default()
        };
        self.write(expr, 1.0, &mut found);
        found
    }

    fn write(&mut self, expr: &Expr, power: f64, found: &mut Written) {
        let counts = match &expr.kind {
            ExprKind::Number(value) | ExprKind::Numeral(value) => {
                found.numbers *= value.powf(power);
                return;
            }
            ExprKind::Pi => {
                found.pi += power;
                return;
            }
            ExprKind::Group(inner)
            | ExprKind::Negative(inner)
            | ExprKind::Abs(inner)
            | ExprKind::Where(inner, _) => {
                return self.write(inner, power, found);
            }
            ExprKind::Product(factors) => {
                for factor in &**factors {
                    let below = factor.operator == Operator::Divide;
                    self.write(&factor.expr, if below { -power } else { power }, found);
                }
                return;
            }
            ExprKind::Power(base, exponent) => {
                if let Some(exponent) = literal(exponent) {
                    self.write(base, power * exponent, found);
                }
                return;
            }
            // All terms count the same; their numbers are not those of the product.
            ExprKind::Sum(terms) => {
                let numbers = (found.numbers, found.pi);
                if let Some(first) = terms.first() {
                    self.write(&first.expr, power, found);
                }
                (found.numbers, found.pi) = numbers;
                return;
            }
            ExprKind::Symbol(symbol) | ExprKind::Component(symbol, _) => {
                self.symbol(*symbol).counts
            }
            ExprKind::Quantity(quantity) => Counts::of_unit(&quantity.unit),
            ExprKind::Parameter(index) => self.parameter(*index).counts,
            ExprKind::Constant(_)
            | ExprKind::Call { .. }
            | ExprKind::Apply { .. }
            | ExprKind::List(_)
            | ExprKind::Vector(_)
            | ExprKind::Cases(_)
            | ExprKind::ReadOff(_) => Counts::NOTHING,
        };
        if let Counts::Known(marks) = counts {
            let number =
                |exponent: Exponent| f64::from(*exponent.numer()) / f64::from(*exponent.denom());
            found.turns += power * number(marks.unit.turns);
            found.angle += power * number(marks.unit.angle);
            found.cycles += power * number(marks.unit.cycles);
        }
    }
}

/// `pi N/30`, `N/60`, `N/9.55`, `4 pi^2 N^2/3600`
fn is_by_the_second(written: &Written) -> bool {
    if written.turns == 0.0 {
        return false;
    }
    // With a `pi` for a turn stands a 2.
    let paired = match written.pi * written.turns > 0.0 {
        true => written.pi.abs().min(written.turns.abs()) * written.turns.signum(),
        false => 0.0,
    };
    let rest = written.numbers.abs() / 2_f64.powf(paired) * 60_f64.powf(written.turns);
    let rest = if written.turns < 0.0 {
        1.0 / rest
    } else {
        rest
    };
    is_one_of(rest, &BY_THE_SECOND) || written.pi == 0.0 && is_rounded(rest / TAU)
}

/// `60 f`, `120 f/p`, `30 omega/pi`, `9.55 omega`
fn is_by_the_minute(written: &Written) -> bool {
    let paired = written.angle.min(-written.pi).max(0.0);
    let rest = written.numbers.abs() * 2_f64.powf(paired) / 60.0;
    let is_plain_angle = written.angle == 1.0 && written.pi == 0.0;
    let is_speed = written.cycles == 1.0 || written.angle == 1.0 && paired == 1.0;
    written.turns == 0.0
        && (is_speed && is_one_of(rest, &BY_THE_MINUTE) || is_plain_angle && is_rounded(rest * TAU))
}

/// `theta pi/180`
fn is_from_degrees(written: &Written) -> bool {
    let parts = [written.angle, written.pi, written.turns, written.cycles];
    parts == [1.0, 1.0, 0.0, 0.0] && (written.numbers.abs() * 180.0 - 1.0).abs() < 1e-9
}

/// Whether a number is 1 as far as three figures tell, as 9.55 is 30/π.
fn is_rounded(value: f64) -> bool {
    (value - 1.0).abs() < 5e-4
}

fn is_one_of(value: f64, all: &[f64]) -> bool {
    let mut wanted = all
        .iter()
        .flat_map(|one| THOUSANDS.iter().map(move |by| one * by));
    wanted.any(|wanted| (value - wanted).abs() <= 1e-9 * wanted)
}
