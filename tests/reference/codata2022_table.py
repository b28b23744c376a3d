"""Writes src/quantity/constants/table.rs from codata2022.txt beside it.

    python3 tests/reference/codata2022_table.py > src/quantity/constants/table.rs

codata2022.txt is the table of NIST, "Fundamental Physical Constants - Complete Listing",
2022 CODATA adjustment (https://physics.nist.gov/constants), without its head; it was taken from
scipy 1.17.1, which carries it word by word (scipy/constants/_codata.py, `txt2022`).

What the listing gives as exact but breaks off with three points is computed here, to 40 digits
from the defining constants, and must begin with the digits of the listing. Needs nothing but
Python.
"""

import pathlib
from decimal import Decimal, getcontext

getcontext().prec = 50
PI = Decimal("3.14159265358979323846264338327950288419716939937510582")

HEAD = '''//! The constants of CODATA 2022, in the order of their names.
//!
//! Written by `tests/reference/codata2022_table.py` from the listing beside it: NIST,
//! "Fundamental Physical Constants, Complete Listing", 2022 CODATA adjustment. Exact ones that the
//! listing breaks off are computed from the defining constants.

use super::Constant;

/// Every constant.
#[rustfmt::skip] // one row a line
pub(super) static CONSTANTS: &[Constant] = &['''


def root(equation, slope, start):
    """Newton's method to the precision of the context."""
    x = Decimal(start)
    for _ in range(12):
        x -= equation(x) / slope(x)
    return x


def exact():
    """The values of exact constants by their names, in the units of the listing."""
    c = Decimal(299792458)
    h = Decimal("6.62607015e-34")
    e = Decimal("1.602176634e-19")
    k = Decimal("1.380649e-23")
    n = Decimal("6.02214076e23")
    hbar = h / (2 * PI)
    gas = n * k
    ice = Decimal("273.15")
    # Where Planck's spectra by wavelength and by frequency have their maximum.
    by_wavelength = root(lambda x: (x - 5) * x.exp() + 5, lambda x: (x - 4) * x.exp(), "4.965")
    by_frequency = root(lambda x: (x - 3) * x.exp() + 3, lambda x: (x - 2) * x.exp(), "2.821")
    josephson, klitzing = 2 * e / h, h / e**2
    # The conventional units of 1990: K_J-90 = 483 597.9 GHz/V, R_K-90 = 25 812.807 ohm.
    volt90 = Decimal("483597.9e9") / josephson
    ohm90 = klitzing / Decimal("25812.807")
    # Energies that belong to one of each, in joules.
    energy = {
        "electron volt": e,
        "hertz": h,
        "inverse meter": h * c,
        "joule": Decimal(1),
        "kelvin": k,
        "kilogram": c**2,
    }
    values = {
        f"{one}-{other} relationship": energy[one] / energy[other]
        for one in energy
        for other in energy
        if one != other
    }
    return values | {
        "atomic unit of action": hbar,
        "Boltzmann constant in eV/K": k / e,
        "Boltzmann constant in Hz/K": k / h,
        "Boltzmann constant in inverse meter per kelvin": k / (h * c),
        "conductance quantum": 2 * e**2 / h,
        "conventional value of ampere-90": volt90 / ohm90,
        "conventional value of coulomb-90": volt90 / ohm90,
        "conventional value of farad-90": 1 / ohm90,
        "conventional value of henry-90": ohm90,
        "conventional value of ohm-90": ohm90,
        "conventional value of volt-90": volt90,
        "conventional value of watt-90": volt90**2 / ohm90,
        "elementary charge over h-bar": e / hbar,
        "Faraday constant": n * e,
        "first radiation constant": 2 * PI * h * c**2,
        "first radiation constant for spectral radiance": 2 * h * c**2,
        "inverse of conductance quantum": h / (2 * e**2),
        "Josephson constant": josephson,
        "Loschmidt constant (273.15 K, 100 kPa)": 100000 / (k * ice),
        "Loschmidt constant (273.15 K, 101.325 kPa)": 101325 / (k * ice),
        "mag. flux quantum": h / (2 * e),
        "molar gas constant": gas,
        "molar Planck constant": n * h,
        "molar volume of ideal gas (273.15 K, 100 kPa)": gas * ice / 100000,
        "molar volume of ideal gas (273.15 K, 101.325 kPa)": gas * ice / 101325,
        "natural unit of action": hbar,
        "natural unit of action in eV s": hbar / e,
        "Planck constant in eV/Hz": h / e,
        "reduced Planck constant": hbar,
        "reduced Planck constant in eV s": hbar / e,
        "reduced Planck constant times c in MeV fm": hbar * c / e * Decimal("1e9"),
        "second radiation constant": h * c / k,
        "Stefan-Boltzmann constant": PI**2 / 60 * k**4 / (hbar**3 * c**2),
        "von Klitzing constant": klitzing,
        "Wien frequency displacement law constant": by_frequency * k / h,
        "Wien wavelength displacement law constant": h * c / (by_wavelength * k),
    }


def digits(written):
    """`9.274 010 0657 e-24` as one word."""
    return written.replace(" ", "")


def broken_off(name, written, values):
    """17 figures of an exact value, which the listing must begin."""
    value = values[name]
    mantissa, _, exponent = digits(written).partition("...")
    shown = Decimal(mantissa + exponent)
    assert 0 <= value - shown < Decimal((0, (1,), shown.as_tuple().exponent)), (name, value, shown)
    mantissa, exponent = f"{value:.16e}".split("e")
    if Decimal(f"{mantissa}e{exponent}") == value:
        mantissa = mantissa.rstrip("0").rstrip(".")
    return mantissa + (f"e{int(exponent)}" if int(exponent) else "")


def unit(published):
    """`J mol^-1 K^-1` as an author types it: `J/(mol K)`."""
    if published in ("u", "E_h", "MeV/c", "(GeV/c^2)^-2"):
        return published
    above, below = [], []
    for factor in published.split():
        symbol, _, power = factor.partition("^")
        power = int(power or 1)
        row = above if power > 0 else below
        row.append(symbol if abs(power) == 1 else f"{symbol}^{abs(power)}")
    under = " ".join(below)
    if len(below) > 1:
        under = f"({under})"
    return " ".join(above) + (f"/{under}" if below else "") if above else f"1/{under}" if below else ""


def row(line, values):
    name, value, uncertainty, published = (
        part.strip() for part in (line[:60], line[60:85], line[85:110], line[110:])
    )
    if uncertainty == "(exact)":
        number = broken_off(name, value, values) if "..." in value else digits(value)
        return name, f'Constant::exact("{name}", "{number}", "{unit(published)}")'
    return name, (
        f'Constant::measured("{name}", "{digits(value)}", "{digits(uncertainty)}", "{unit(published)}")'
    )


def main():
    values = exact()
    listing = pathlib.Path(__file__).with_name("codata2022.txt").read_text()
    rows = sorted(row(line, values) for line in listing.splitlines() if line.strip())
    print(HEAD)
    for _, text in rows:
        print(f"    {text},")
    print("];")


main()
