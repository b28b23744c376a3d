//! Units of one system, in which numbers can be put in without factors between them.

use std::sync::LazyLock;

use super::{Exponent, Mark, Unit, UnitToken, compose, spelling};

/// A system of units that cohere: no product of them needs a factor.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum System {
    /// Metre, kilogram, second, newton, pascal, joule, watt.
    Si,
    /// Millimetre, newton, megapascal, for what has neither mass nor time in it.
    Millimetre,
    /// Foot, slug, second, pound-force.
    Us,
}

/// The units of a system, one for each kind of quantity that has one.
fn units(symbols: &str) -> Vec<Unit> {
    let read = |source| spelling::read(source).ok();
    symbols.split(", ").filter_map(read).collect()
}

static SI: LazyLock<Vec<Unit>> = LazyLock::new(|| {
    units(
        "m, kg, s, A, K, mol, cd, N, Pa, J, W, C, V, F, ohm, S, Wb, T, H, m^2, m^3, m/s, m^2/s, \
         Pa s, m^3/s, kg/s, m/s^2, 1/s, N/m",
    )
});

static MILLIMETRE: LazyLock<Vec<Unit>> =
    LazyLock::new(|| units("mm, N, MPa, N mm, mm^2, mm^3, N/mm"));

static US: LazyLock<Vec<Unit>> = LazyLock::new(|| {
    units(
        "ft, slug, s, lbf, lbf/ft^2, ft lbf, ft lbf/s, ft^2, ft^3, ft/s, ft^2/s, ft^3/s, \
         lbf s/ft^2, slug/s, ft/s^2, 1/s, degR",
    )
});

impl System {
    fn units(self) -> &'static [Unit] {
        match self {
            Self::Si => &SI,
            Self::Millimetre => &MILLIMETRE,
            Self::Us => &US,
        }
    }

    /// The unit of the system of the same kind as one factor.
    fn of_kind(self, unit: &Unit) -> Option<&'static Unit> {
        let kind = unit.dimension();
        self.units().iter().find(|own| own.dimension() == kind)
    }

    /// A unit in this system, factor by factor as it is written; `None` where it has none, or where
    /// the unit counts from a datum, in decibels or of a clock.
    pub fn unit(self, unit: &Unit) -> Option<Unit> {
        if matches!(unit.mark(), Mark::Decibel | Mark::Clock(_)) {
            return None;
        }
        if unit.mark() == Mark::Point {
            return self.of_kind(unit).map(Unit::interval);
        }
        let counts_turns = unit.turning().turns != Exponent::from_integer(0);
        let written = spelling::tokens(unit.source());
        let mut all: Vec<UnitToken<'_>> = Vec::new();
        for token in written {
            let own = self.factor(&token, counts_turns)?;
            for part in own {
                let power = part.power * token.power;
                let below = part.below != token.below;
                let signed = if below { -power } else { power };
                let known = all.iter_mut().find(|it| it.symbol == part.symbol);
                match known {
                    Some(known) => {
                        let before = if known.below {
                            -known.power
                        } else {
                            known.power
                        };
                        let sum = before + signed;
                        known.below = sum < Exponent::from_integer(0);
                        known.power = if known.below { -sum } else { sum };
                    }
                    None => all.push(UnitToken {
                        power,
                        below,
                        ..part
                    }),
                }
            }
        }
        all.retain(|it| it.power != Exponent::from_integer(0));
        compose::compose(&all)
            .ok()
            .filter(|it| it.dimension() == unit.dimension())
    }

    /// What stands for one factor of a unit, to the first power.
    fn factor<'t>(self, token: &UnitToken<'t>, counts_turns: bool) -> Option<Vec<UnitToken<'t>>> {
        let itself = || {
            vec![UnitToken {
                symbol: token.symbol,
                power: Exponent::from_integer(1),
                below: false,
            }]
        };
        if token.symbol.is_empty() {
            return Some(itself());
        }
        // The r of `r/min` is a unit there alone.
        let lone = match Unit::lone(token.symbol) {
            Ok(unit) => unit.interval(),
            Err(_) if counts_turns => Unit::one(),
            Err(_) => return None,
        };
        if lone.dimension().is_none() {
            // An angle is in radians; turns over a time are counted.
            let is_angle = !lone.turning().is_none() || lone == Unit::one();
            let symbol = match (is_angle, counts_turns) {
                (false, _) => token.symbol,
                (true, true) => "",
                (true, false) => "rad",
            };
            let power = Exponent::from_integer(1);
            return Some(vec![UnitToken {
                symbol,
                power,
                below: false,
            }]);
        }
        let own = self.of_kind(&lone)?;
        Some(match own.ratio(&lone) == 1.0 {
            true => itself(),
            false => spelling::tokens(own.source()),
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn check(system: System, source: &str, text: &str) {
        let unit = Unit::from_source(source).expect(source);
        let found = system.unit(&unit);
        assert_eq!(found.as_ref().map(Unit::text), Some(text), "{source}");
    }

    #[test]
    fn a_unit_is_put_into_a_system_factor_by_factor() {
        for (source, text) in [
            ("L/s", "m³/s"),
            ("kPa", "Pa"),
            ("cm^2", "m²"),
            ("kN/m^2", "N/m²"),
            ("N/mm^2", "N/m²"),
            ("kJ/(kg K)", "J/(kg·K)"),
            ("kJ/(kg degC)", "J/(kg·°C)"),
            ("km/h", "m/s"),
            ("m^3/h", "m³/s"),
            ("cP", "Pa·s"),
            ("bar", "Pa"),
            ("kN m", "N·m"),
            ("degC", "K"),
            ("m/s", "m/s"),
            ("psi", "Pa"),
            ("L/min", "m³/s"),
            ("%", "%"),
            ("deg", "rad"),
            ("rev", "rad"),
            ("rpm", "1/s"),
            ("rev/s", "1/s"),
            ("r/min", "1/s"),
            ("deg/s", "rad/s"),
        ] {
            check(System::Si, source, text);
        }
        for (source, text) in [
            ("m", "mm"),
            ("kN", "N"),
            ("kN m", "N·mm"),
            ("GPa", "MPa"),
            ("kN/m", "N/mm"),
        ] {
            check(System::Millimetre, source, text);
        }
        for (source, text) in [
            ("psi", "lbf/ft²"),
            ("gpm", "ft³/s"),
            ("in^2", "ft²"),
            ("hp", "ft·lbf/s"),
            ("degF", "°R"),
        ] {
            check(System::Us, source, text);
        }
    }

    #[test]
    fn what_a_system_has_no_unit_for_has_none_in_it() {
        for (system, source) in [
            (System::Millimetre, "kg"),
            (System::Millimetre, "m/s"),
            (System::Us, "V"),
            (System::Si, "dB"),
        ] {
            let unit = Unit::from_source(source).expect(source);
            assert_eq!(system.unit(&unit), None, "{source}");
        }
    }
}
