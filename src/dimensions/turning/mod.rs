//! What a number counts of turning: turns, cycles, an angle in radians, or nothing.
//!
//! A dimension does not tell 24 turns a second from 24 radians a second. So each quantity carries
//! exponents beside its dimension: of turns that are counted (`rpm`), of angles that are measured
//! in radians (`rad/s`, `deg`, `rev`), of cycles (`Hz`), and of the `pi` that its formula is
//! written with. Products add them, powers multiply them, and [`Counts::settled`] reads them:
//! a turn times `2 pi` is an angle, and an angle over `2 pi` is a cycle.
//!
//! Angles and cycles vanish beside other dimensions (`omega r` is a speed, `f lambda` too).
//! Counted turns do not: what still holds some may be a number of turns, a rotational frequency,
//! a time per turn, or part of a larger formula in which they cancel. Anything else uses turns
//! where a reader could mean radians, and is refused.

mod inferred;
mod minute;

use super::Form;
use crate::quantity::{Dimension, Exponent, Turning, Unit, exponent_product, exponent_sum};

/// What a number counts of turning.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Counts {
    /// It depends on names without a value.
    Unknown,
    /// It is known.
    Known(Marks),
}

/// How often a formula holds a turn, an angle, a cycle and a `pi`.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Marks {
    unit: Turning,
    pi: Exponent,
    /// Whether the `pi` stands with a length or the like, as in `D/(2 pi r)`: it may then belong to
    /// a circle, and not to a turn.
    of_circle: bool,
    /// Whether it holds one revolution as a unit, as in `v/(pi D)*(1 rev)`, which says that turns
    /// are counted.
    per_revolution: bool,
}

/// A broken rule.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Clash {
    /// Turns that are counted are used where radians could be meant.
    Turns,
    /// Cycles stand where radians could be meant.
    Cycles,
    /// `2 pi` stands before revolutions, which are angles of 2π already.
    Revolutions,
    /// An angle stands over a `pi` that can be of a turn or of a circle.
    Circle,
}

/// What a quantity is, once its marks are read.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Class {
    Nothing,
    /// Angles to this power, with nothing but a time beside them.
    Angle(Exponent),
    /// Cycles likewise.
    Cycles(Exponent),
    /// Turns to this power, beside anything.
    Turns(Exponent),
    /// It has two readings where something asks what it counts, and may stand elsewhere.
    Open(Clash),
    /// No number of one kind.
    Clash(Clash),
}

const NONE: Marks = Marks {
    unit: Turning::NONE,
    pi: ZERO,
    of_circle: false,
    per_revolution: false,
};
const ZERO: Exponent = Exponent::new_raw(0, 1);
const ONE: Exponent = Exponent::new_raw(1, 1);

impl Counts {
    /// A quantity that says nothing of turning.
    pub const NOTHING: Counts = Counts::Known(NONE);

    /// `pi`.
    pub const PI: Counts = Counts::Known(Marks { pi: ONE, ..NONE });

    /// An angle in radians.
    pub const ANGLE: Counts = Counts::Known(Marks {
        unit: Turning {
            angle: ONE,
            ..Turning::NONE
        },
        ..NONE
    });

    /// A number in this unit.
    pub fn of_unit(unit: &Unit) -> Counts {
        Counts::Known(Marks {
            unit: unit.turning(),
            ..NONE
        })
    }

    /// One revolution as a formula writes it.
    pub fn per_revolution(self) -> Counts {
        match self {
            Counts::Known(marks) => Counts::Known(Marks {
                per_revolution: marks.unit.in_revolutions,
                ..marks
            }),
            Counts::Unknown => Counts::Unknown,
        }
    }

    /// A product of factors, each with its dimension and its power, in whatever order and brackets
    /// they stand; `None` where an exponent runs out of range.
    pub fn product<'a>(
        factors: impl IntoIterator<Item = (Counts, &'a Form, Exponent)>,
    ) -> Option<Counts> {
        let mut all = NONE;
        for (counts, form, power) in factors {
            let Counts::Known(marks) = counts else {
                return Some(Counts::Unknown);
            };
            // Most quantities say nothing of turning.
            if !marks.unit.is_none() || marks.pi != ZERO {
                let mut own = settled(marks);
                own.of_circle |= own.pi != ZERO && time_exponent(form) == Time::Other;
                all = all.with(own, power)?;
            }
        }
        // An angle over `2 pi` is a cycle, where no circle is near that the `pi` could be of.
        if !all.of_circle && !all.per_revolution {
            let cycles = paired(all.pi, -all.unit.angle);
            all.unit.angle += cycles;
            all.unit.cycles -= cycles;
            all.pi -= cycles;
        }
        Some(Counts::Known(all))
    }

    /// A power.
    pub fn power(self, power: Exponent) -> Option<Counts> {
        match self {
            Counts::Known(marks) => NONE.with(settled(marks), power).map(Counts::Known),
            Counts::Unknown => Some(Counts::Unknown),
        }
    }

    /// What a name keeps of its formula. Beside other dimensions than time, angles and cycles
    /// have vanished, and the `pi` of a formula means nothing to those who use its name, but for
    /// that of a number such as `2 pi`.
    pub fn named(self, form: &Form) -> Counts {
        let Counts::Known(marks) = self else {
            return self;
        };
        let read = settled(marks);
        match class(read, form) {
            Class::Nothing if form.is_plain() && read.unit.is_none() && !read.of_circle => {
                Counts::Known(read)
            }
            Class::Nothing | Class::Open(_) => Counts::NOTHING,
            Class::Angle(_) | Class::Cycles(_) | Class::Turns(_) => Counts::Known(Marks {
                unit: read.unit,
                ..NONE
            }),
            Class::Clash(_) => self,
        }
    }

    /// Whether it is what a name may stand for and a line may show; otherwise the rule that is
    /// broken.
    pub fn usable(self, form: &Form) -> Result<(), Clash> {
        let Counts::Known(marks) = self else {
            return Ok(());
        };
        match class(settled(marks), form) {
            Class::Nothing | Class::Angle(_) | Class::Cycles(_) | Class::Open(_) => Ok(()),
            Class::Turns(turns) => match time_exponent(form) {
                Time::Open => Ok(()),
                Time::Power(time) if turns == ONE && time <= ZERO => Ok(()),
                Time::Power(time) if turns == -ONE && time > ZERO => Ok(()),
                Time::Power(_) | Time::Other => Err(Clash::Turns),
            },
            Class::Clash(clash) => Err(clash),
        }
    }

    /// Whether it may be the argument of a function of plain numbers.
    pub fn as_number(self, form: &Form) -> Result<(), Clash> {
        let Counts::Known(marks) = self else {
            return Ok(());
        };
        match class(settled(marks), form) {
            Class::Nothing | Class::Angle(_) | Class::Cycles(_) | Class::Open(_) => Ok(()),
            Class::Turns(_) => Err(Clash::Turns),
            Class::Clash(clash) => Err(clash),
        }
    }

    /// Whether it may be the argument of a function of an angle.
    pub fn as_angle(self, form: &Form) -> Result<(), Clash> {
        self.as_number(form)?;
        match self {
            Counts::Known(marks) if matches!(class(settled(marks), form), Class::Cycles(_)) => {
                Err(Clash::Cycles)
            }
            Counts::Known(_) | Counts::Unknown => Ok(()),
        }
    }

    /// Whether it is per angle or per turn.
    pub fn is_per_turning(self) -> bool {
        match self {
            Counts::Known(marks) => {
                let read = settled(marks);
                read.unit.angle < ZERO || read.unit.turns < ZERO
            }
            Counts::Unknown => false,
        }
    }

    /// Whether an angle is multiplied in.
    pub fn holds_an_angle(self) -> bool {
        match self {
            Counts::Known(marks) => settled(marks).unit.angle != ZERO,
            Counts::Unknown => false,
        }
    }

    /// Whether it holds what a rule was broken by.
    pub fn is_to_blame(self, clash: Clash) -> bool {
        let Counts::Known(marks) = self else {
            return false;
        };
        match clash {
            Clash::Turns => marks.unit.turns != ZERO,
            Clash::Cycles => marks.unit.cycles != ZERO,
            Clash::Revolutions => marks.unit.in_revolutions,
            Clash::Circle => false,
        }
    }

    /// What a unit has to say in which it is shown unasked: nothing of a plain angle, which is a
    /// number, and of whatever counts nothing.
    pub fn says(self, form: &Form) -> Option<Turning> {
        let Counts::Known(marks) = self else {
            return None;
        };
        let read = settled(marks);
        match class(read, form) {
            Class::Turns(_) => Some(read.unit),
            Class::Angle(_) | Class::Cycles(_) => {
                (!form.is_plain() || read.unit.in_revolutions).then_some(read.unit)
            }
            Class::Nothing | Class::Open(_) | Class::Clash(_) => None,
        }
    }
}

impl Marks {
    /// The exponents of a product.
    fn with(self, other: Marks, power: Exponent) -> Option<Marks> {
        let add = |own, other| exponent_sum(own, exponent_product(other, power)?);
        Some(Marks {
            unit: Turning {
                turns: add(self.unit.turns, other.unit.turns)?,
                angle: add(self.unit.angle, other.unit.angle)?,
                cycles: add(self.unit.cycles, other.unit.cycles)?,
                in_revolutions: self.unit.in_revolutions || other.unit.in_revolutions,
            },
            pi: add(self.pi, other.pi)?,
            of_circle: self.of_circle || other.of_circle,
            per_revolution: self.per_revolution || other.per_revolution,
        })
    }

    /// Whether its `pi`, below the line, belongs to a circle beside the turns that are counted.
    fn is_over_a_circle(self) -> bool {
        self.of_circle && self.pi < ZERO
    }
}

/// The marks with every pair of a `pi` and what it turns into something else taken together.
fn settled(marks: Marks) -> Marks {
    if marks == NONE {
        return NONE;
    }
    let mut read = marks;
    if read.unit.in_revolutions && read.unit.angle > ZERO && read.pi > ZERO {
        return read;
    }
    // Where turns stand, a cycle counts as one of them.
    if read.unit.turns != ZERO {
        read.unit.turns += read.unit.cycles;
        read.unit.cycles = ZERO;
    }
    let Turning { turns, cycles, .. } = read.unit;
    let with_turns = paired(read.pi, turns);
    let with_cycles = paired(read.pi - with_turns, cycles);
    read.unit.turns -= with_turns;
    read.unit.cycles -= with_cycles;
    read.unit.angle += with_turns + with_cycles;
    read.pi -= with_turns + with_cycles;
    if read.pi == ZERO {
        read.of_circle = false;
    }
    if read.unit.angle == ZERO {
        read.unit.in_revolutions = false;
        read.per_revolution = false;
    }
    read
}

/// As much of two exponents as they share; nothing where they have different signs.
fn paired(left: Exponent, right: Exponent) -> Exponent {
    if left > ZERO && right > ZERO {
        left.min(right)
    } else if left < ZERO && right < ZERO {
        left.max(right)
    } else {
        ZERO
    }
}

/// What the marks say beside a dimension, once they are settled.
fn class(read: Marks, form: &Form) -> Class {
    if read.unit.is_none() {
        return Class::Nothing;
    }
    let Turning {
        turns,
        angle,
        cycles,
        in_revolutions,
    } = read.unit;
    if in_revolutions && angle > ZERO && read.pi > ZERO {
        Class::Clash(Clash::Revolutions)
    } else if turns != ZERO && (angle != ZERO || read.pi != ZERO && !read.is_over_a_circle()) {
        Class::Clash(Clash::Turns)
    } else if turns != ZERO {
        Class::Turns(turns)
    } else if angle * cycles < ZERO {
        Class::Clash(Clash::Cycles)
    } else if time_exponent(form) == Time::Other {
        Class::Nothing
    } else if angle * read.pi < ZERO && !read.per_revolution {
        Class::Open(Clash::Circle)
    } else if angle != ZERO && cycles != ZERO {
        Class::Open(Clash::Cycles)
    } else if angle != ZERO {
        Class::Angle(angle)
    } else if cycles != ZERO {
        Class::Cycles(cycles)
    } else {
        Class::Nothing
    }
}

/// How a dimension is made of time.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Time {
    /// A power of time and nothing else; 0 for a plain number.
    Power(Exponent),
    /// With something else.
    Other,
    /// It is not known yet.
    Open,
}

fn time_exponent(form: &Form) -> Time {
    let Some(dimension) = form.dimension() else {
        return Time::Open;
    };
    let [_, _, time, ..] = dimension.exponents();
    match Dimension::time().power(time) {
        Some(own) if own == dimension => Time::Power(time),
        _ => Time::Other,
    }
}

/// What stands beside others in a sum, a comparison or a list.
#[derive(Debug, Clone, Copy)]
pub struct Beside<'a> {
    /// What it counts.
    pub counts: Counts,
    /// Its dimension.
    pub form: &'a Form,
    /// Whether it is the plain number 0, which fits anything.
    pub is_zero: bool,
}

/// What quantities count together that are added, compared or listed; otherwise the index of the
/// one to blame, and why.
pub fn together(parts: &[Beside<'_>]) -> Result<Counts, (usize, Clash)> {
    let mut known: Vec<(usize, Marks, Class)> = Vec::new();
    for (at, part) in parts.iter().enumerate().filter(|(_, part)| !part.is_zero) {
        if let Counts::Known(marks) = part.counts {
            let read = settled(marks);
            known.push((at, read, class(read, part.form)));
        }
    }
    let is_counted = known.iter().any(|(.., class)| match class {
        Class::Angle(_) | Class::Cycles(_) | Class::Turns(_) => true,
        Class::Nothing | Class::Open(_) | Class::Clash(_) => false,
    });
    for (at, _, class) in &known {
        match class {
            Class::Clash(clash) => return Err((*at, *clash)),
            Class::Open(clash) if is_counted => return Err((*at, *clash)),
            Class::Nothing
            | Class::Angle(_)
            | Class::Cycles(_)
            | Class::Turns(_)
            | Class::Open(_) => {}
        }
    }
    // What is over an angle or a cycle counts nothing, beside what counts.
    let counts = |class: &Class| match class {
        Class::Angle(power) | Class::Cycles(power) => *power > ZERO,
        Class::Nothing | Class::Turns(_) | Class::Open(_) | Class::Clash(_) => false,
    };
    if known.iter().any(|(.., class)| counts(class)) {
        for (.., class) in &mut known {
            if matches!(class, Class::Angle(power) | Class::Cycles(power) if *power < ZERO) {
                *class = Class::Nothing;
            }
        }
    }
    let first = |wanted: fn(Class) -> bool| known.iter().find(|(.., class)| wanted(*class));
    let turns = first(|class| matches!(class, Class::Turns(_)));
    let angle = first(|class| matches!(class, Class::Angle(_)));
    let cycles = first(|class| matches!(class, Class::Cycles(_)));
    if let Some((at, marks, Class::Turns(own))) = turns {
        let fits = known.iter().all(|(.., other)| match other {
            Class::Turns(other) | Class::Cycles(other) => other == own,
            Class::Nothing | Class::Angle(_) | Class::Open(_) | Class::Clash(_) => false,
        });
        return if fits {
            Ok(Counts::Known(*marks))
        } else {
            Err((*at, Clash::Turns))
        };
    }
    if let (Some(_), Some((at, ..))) = (angle, cycles) {
        return Err((*at, Clash::Cycles));
    }
    if known.is_empty() && parts.iter().any(|part| part.counts == Counts::Unknown) {
        return Ok(Counts::Unknown);
    }
    if let Some((_, marks, own)) = angle.or(cycles) {
        let alike = known.iter().all(|(.., other)| match other {
            Class::Nothing => true,
            other => other == own,
        });
        return Ok(if alike {
            Counts::Known(*marks)
        } else {
            Counts::NOTHING
        });
    }
    let pi = known.first().map_or(NONE, |(_, marks, _)| *marks);
    let alike = known.iter().all(|(_, marks, _)| *marks == pi);
    Ok(if alike {
        Counts::Known(pi)
    } else {
        Counts::NOTHING
    })
}

/// The turns among what is compared, where an angle stands beside them that is as much of a time:
/// a speed of rotation is one in turns and in radians. Each index, and what they count in radians.
pub fn as_angles(parts: &[Beside<'_>]) -> Option<(Vec<usize>, Counts)> {
    let classes: Vec<Class> = (parts.iter())
        .map(|part| match part.counts {
            Counts::Known(marks) if !part.is_zero => class(settled(marks), part.form),
            Counts::Known(_) | Counts::Unknown => Class::Nothing,
        })
        .collect();
    let angle = classes.iter().position(|own| *own == Class::Angle(ONE))?;
    let turns: Vec<usize> = (0..classes.len())
        .filter(|at| classes[*at] == Class::Turns(ONE))
        .collect();
    (!turns.is_empty()).then_some((turns, parts[angle].counts))
}

/// Why a quantity is not shown in a unit.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Refusal {
    /// A rule is broken whatever the unit.
    Clash(Clash),
    /// The unit says what it counts, and the quantity does not.
    Unsaid,
    /// The unit measures an angle, and the quantity counts cycles.
    CyclesAsAngle,
    /// The unit counts cycles, and the quantity measures an angle.
    AngleAsCycles,
}

/// Whether a quantity that counts this may be told in a unit, which leaves one reading.
pub fn is_shown_in(counts: Counts, form: &Form, unit: &Unit) -> bool {
    asked(counts, form, unit).is_ok()
}

/// What a quantity counts from then on, when it was asked or claimed in this unit.
///
/// # Errors
///
/// Where the unit leaves two readings.
pub fn asked(counts: Counts, form: &Form, unit: &Unit) -> Result<Counts, Refusal> {
    let Counts::Known(marks) = counts else {
        return Ok(counts);
    };
    let read = settled(marks);
    let own = class(read, form);
    let wanted = unit.turning();
    if let Class::Clash(clash) = own {
        return Err(Refusal::Clash(clash));
    }
    if wanted.is_none() {
        counts.usable(form).map_err(Refusal::Clash)?;
        // The unit says nothing, so that the number is a plain one from here on.
        return Ok(match own {
            Class::Turns(_) => Counts::NOTHING,
            Class::Nothing | Class::Angle(_) | Class::Cycles(_) | Class::Open(_) => {
                counts.named(form)
            }
            Class::Clash(_) => counts,
        });
    }
    if let Class::Open(clash) = own {
        return Err(Refusal::Clash(clash));
    }
    let Turning {
        turns,
        angle,
        cycles,
        ..
    } = read.unit;
    let fits = if wanted.turns != ZERO {
        let said = if turns == ZERO {
            [cycles, angle]
        } else {
            [turns; 2]
        };
        let fits = wanted.angle == ZERO && said.contains(&wanted.turns);
        fits.then_some(()).ok_or(if turns == ZERO {
            Refusal::Unsaid
        } else {
            Refusal::Clash(Clash::Turns)
        })
    } else if let Class::Turns(own) = own {
        let fits = own == wanted.angle || own == wanted.cycles;
        fits.then_some(()).ok_or(Refusal::Clash(Clash::Turns))
    } else if wanted.angle != ZERO {
        let clashes = cycles != ZERO
            && is_of_time(form)
            && !(wanted.in_revolutions && cycles == wanted.angle);
        (!clashes).then_some(()).ok_or(Refusal::CyclesAsAngle)
    } else {
        let clashes = angle * wanted.cycles > ZERO && cycles == ZERO;
        (!clashes).then_some(()).ok_or(Refusal::AngleAsCycles)
    };
    fits.map(|()| Counts::of_unit(unit))
}

fn is_of_time(form: &Form) -> bool {
    match time_exponent(form) {
        Time::Power(_) | Time::Open => true,
        Time::Other => false,
    }
}

/// What a number is multiplied by where it is shown in a unit in which [`asked`] lets it be shown.
pub fn factor(counts: Counts, unit: &Unit) -> f64 {
    times_two_pi(conversion(counts, unit))
}

/// The power of 2π that it is multiplied by.
pub fn conversion(counts: Counts, unit: &Unit) -> Exponent {
    let Counts::Known(marks) = counts else {
        return ZERO;
    };
    let own = settled(marks).unit;
    let wanted = unit.turning();
    let is_angle_as_turns = wanted.turns != ZERO && own.turns == ZERO && own.cycles != wanted.turns;
    let is_turns_as_angle = wanted.turns == ZERO
        && wanted.angle != ZERO
        && (own.turns == wanted.angle
            || own.turns == ZERO && wanted.in_revolutions && own.cycles == wanted.angle);
    if is_angle_as_turns && own.angle == wanted.turns {
        -wanted.turns
    } else if is_turns_as_angle {
        wanted.angle
    } else {
        ZERO
    }
}

/// 2π to a power.
pub fn times_two_pi(power: Exponent) -> f64 {
    std::f64::consts::TAU.powf(f64::from(*power.numer()) / f64::from(*power.denom()))
}
