//! What quantities of a dimension are called, and their coherent SI unit.
//!
//! One row a dimension. Where quantities share a dimension (a moment and an energy) the noun names
//! both, so that a message is never wrong about what the author means.

use super::Dimension;

/// A dimension with a name.
pub(super) struct Noun {
    /// Exponents in the order L M T I Θ N J.
    exponents: [i32; 7],
    /// What it is called.
    pub noun: &'static str,
    /// Its unit as it is printed; empty where the base units say it best.
    pub unit: &'static str,
}

const fn noun(exponents: [i32; 7], noun: &'static str, unit: &'static str) -> Noun {
    Noun {
        exponents,
        noun,
        unit,
    }
}

/// The row of a dimension.
pub(super) fn named(dimension: Dimension) -> Option<&'static Noun> {
    NOUNS
        .iter()
        .find(|row| Dimension::from_integers(row.exponents) == dimension)
}

/// The dimensions that have a name.
static NOUNS: &[Noun] = &[
    noun([0, 0, 0, 0, 0, 0, 0], "plain number", ""),
    noun([1, 0, 0, 0, 0, 0, 0], "length", "m"),
    noun([0, 1, 0, 0, 0, 0, 0], "mass", "kg"),
    noun([0, 0, 1, 0, 0, 0, 0], "time", "s"),
    noun([0, 0, 0, 1, 0, 0, 0], "electric current", "A"),
    noun([0, 0, 0, 0, 1, 0, 0], "temperature", "K"),
    noun([0, 0, 0, 0, 0, 1, 0], "amount of substance", "mol"),
    noun([0, 0, 0, 0, 0, 0, 1], "luminous intensity", "cd"),
    noun([2, 0, 0, 0, 0, 0, 0], "area", "m²"),
    noun([3, 0, 0, 0, 0, 0, 0], "volume", "m³"),
    noun([4, 0, 0, 0, 0, 0, 0], "second moment of area", "m⁴"),
    noun([-1, 0, 0, 0, 0, 0, 0], "reciprocal length", "1/m"),
    noun([1, 0, -1, 0, 0, 0, 0], "velocity", "m/s"),
    noun([1, 0, -2, 0, 0, 0, 0], "acceleration", "m/s²"),
    noun([0, 0, -1, 0, 0, 0, 0], "frequency or rate", "1/s"),
    noun([0, 0, -2, 0, 0, 0, 0], "angular acceleration", "1/s²"),
    noun([3, 0, -1, 0, 0, 0, 0], "volume flow rate", "m³/s"),
    noun([0, 1, -1, 0, 0, 0, 0], "mass flow rate", "kg/s"),
    noun([-2, 1, -1, 0, 0, 0, 0], "mass flux", "kg/(m²·s)"),
    noun([0, 0, -1, 0, 0, 1, 0], "molar flow rate", "mol/s"),
    noun([-3, 1, 0, 0, 0, 0, 0], "density", "kg/m³"),
    noun([3, -1, 0, 0, 0, 0, 0], "specific volume", "m³/kg"),
    noun([-1, 1, 0, 0, 0, 0, 0], "mass per length", "kg/m"),
    noun([-2, 1, 0, 0, 0, 0, 0], "mass per area", "kg/m²"),
    noun([2, 1, 0, 0, 0, 0, 0], "moment of inertia", "kg·m²"),
    noun([1, 1, -1, 0, 0, 0, 0], "momentum", "N·s"),
    noun([2, 1, -1, 0, 0, 0, 0], "angular momentum", "kg·m²/s"),
    noun([1, 1, -2, 0, 0, 0, 0], "force", "N"),
    noun([0, 1, -2, 0, 0, 0, 0], "force per length", "N/m"),
    noun([-1, 1, -2, 0, 0, 0, 0], "pressure", "Pa"),
    noun([-2, 1, -2, 0, 0, 0, 0], "force per volume", "N/m³"),
    noun([2, 1, -2, 0, 0, 0, 0], "energy or moment", "N·m"),
    noun([2, 1, -3, 0, 0, 0, 0], "power", "W"),
    noun([0, 1, -3, 0, 0, 0, 0], "heat flux", "W/m²"),
    noun([-1, 1, -3, 0, 0, 0, 0], "power per volume", "W/m³"),
    noun([1, 1, -3, 0, 0, 0, 0], "power per length", "W/m"),
    noun([-1, 1, -1, 0, 0, 0, 0], "dynamic viscosity", "Pa·s"),
    noun(
        [2, 0, -1, 0, 0, 0, 0],
        "kinematic viscosity or diffusivity",
        "m²/s",
    ),
    noun([2, 0, -2, 0, 0, 0, 0], "specific energy", "J/kg"),
    noun(
        [2, 0, -2, 0, -1, 0, 0],
        "specific heat capacity",
        "J/(kg·K)",
    ),
    noun([2, 1, -2, 0, -1, 0, 0], "heat capacity or entropy", "J/K"),
    noun(
        [-1, 1, -2, 0, -1, 0, 0],
        "heat capacity per volume",
        "J/(m³·K)",
    ),
    noun([1, 1, -3, 0, -1, 0, 0], "thermal conductivity", "W/(m·K)"),
    noun(
        [0, 1, -3, 0, -1, 0, 0],
        "heat transfer coefficient",
        "W/(m²·K)",
    ),
    noun([2, 1, -3, 0, -1, 0, 0], "thermal conductance", "W/K"),
    noun([-2, -1, 3, 0, 1, 0, 0], "thermal resistance", "K/W"),
    noun([0, -1, 3, 0, 1, 0, 0], "thermal insulance", "m²·K/W"),
    noun(
        [0, 1, -3, 0, -4, 0, 0],
        "radiation coefficient",
        "W/(m²·K⁴)",
    ),
    noun(
        [0, 0, 0, 0, -1, 0, 0],
        "thermal expansion coefficient",
        "1/K",
    ),
    noun([-1, 0, 0, 0, 1, 0, 0], "temperature gradient", "K/m"),
    noun([2, 1, -2, 0, 0, -1, 0], "molar energy", "J/mol"),
    noun([2, 1, -2, 0, -1, -1, 0], "molar heat capacity", "J/(mol·K)"),
    noun([0, 1, 0, 0, 0, -1, 0], "molar mass", "kg/mol"),
    noun([3, 0, 0, 0, 0, -1, 0], "molar volume", "m³/mol"),
    noun([-3, 0, 0, 0, 0, 1, 0], "amount concentration", "mol/m³"),
    noun([0, -1, 0, 0, 0, 1, 0], "molality", "mol/kg"),
    noun([0, 0, 0, 0, 0, -1, 0], "number per amount", "1/mol"),
    noun([0, 0, 1, 1, 0, 0, 0], "electric charge", "C"),
    noun([2, 1, -3, -1, 0, 0, 0], "voltage", "V"),
    noun([1, 1, -3, -1, 0, 0, 0], "electric field strength", "V/m"),
    noun([2, 1, -3, -2, 0, 0, 0], "electrical resistance", "Ω"),
    noun([-2, -1, 3, 2, 0, 0, 0], "electrical conductance", "S"),
    noun([3, 1, -3, -2, 0, 0, 0], "resistivity", "Ω·m"),
    noun([-3, -1, 3, 2, 0, 0, 0], "conductivity", "S/m"),
    noun([-2, -1, 4, 2, 0, 0, 0], "capacitance", "F"),
    noun([2, 1, -2, -2, 0, 0, 0], "inductance", "H"),
    noun([2, 1, -2, -1, 0, 0, 0], "magnetic flux", "Wb"),
    noun([0, 1, -2, -1, 0, 0, 0], "magnetic flux density", "T"),
    noun([-1, 0, 0, 1, 0, 0, 0], "magnetic field strength", "A/m"),
    noun([-2, 0, 0, 1, 0, 0, 0], "current density", "A/m²"),
    noun([-3, -1, 4, 2, 0, 0, 0], "permittivity", "F/m"),
    noun([1, 1, -2, -2, 0, 0, 0], "permeability", "H/m"),
    noun([-2, 0, 0, 0, 0, 0, 1], "luminance or illuminance", "cd/m²"),
];

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_dimension_has_two_rows() {
        for (at, row) in NOUNS.iter().enumerate() {
            let twin = NOUNS.iter().skip(at + 1);
            assert!(
                twin.clone().all(|other| other.exponents != row.exponents),
                "{}",
                row.noun
            );
        }
    }
}
