"""Adds the trade units of the second list to units.json, computed from their definitions.

    python3 tests/reference/trade_units.py

The definitions are from memory of the publications that are named; the arithmetic is done here in
exact fractions. Needs nothing but Python.
"""

import json
import pathlib
from fractions import Fraction as F

FOOT = F(3048, 10000)
GALLON = 231 * F(254, 10000) ** 3
PI = F("3.14159265358979323846264338327950288419716939937510582")
LN10 = F("2.30258509299404568401799145468436420760110148862877298")
UNITS = [
    ("rod", "m", F(33, 2) * FOOT, "16.5 ft, NIST Handbook 44 app. C"),
    ("chain", "m", 66 * FOOT, "66 ft, NIST Handbook 44 app. C"),
    ("furlong", "m", 660 * FOOT, "660 ft, NIST Handbook 44 app. C"),
    ("pc", "m", 648000 * 149597870700 / PI, "648 000/pi au, IAU 2015 resolution B2"),
    ("stone", "kg", 14 * F(45359237, 10**8), "14 lb"),
    ("kgal", "m^3", 1000 * GALLON, "1000 gal"),
    ("Mgal", "m^3", 10**6 * GALLON, "10^6 gal"),
    ("scf", "m^3", FOOT**3, "1 ft^3"),
    ("scfm", "m^3/s", FOOT**3 / 60, "1 ft^3/min"),
    ("footcandle", "lx", 1 / FOOT**2, "1 lm/ft^2, NIST SP 811"),
    ("lm/ft^2", "lx", 1 / FOOT**2, "lx = lm/m^2, SI Brochure table 4"),
    ("Gal", "m/s^2", F(1, 100), "1 cm/s^2, SI Brochure (8th ed.) table 9"),
    ("Np", "dB", 20 / LN10, "20/ln(10) dB, SI Brochure (9th ed.) table 8"),
]
FIRST = 301


def main():
    path = pathlib.Path(__file__).with_name("units.json")
    cases = [case for case in json.loads(path.read_text()) if case["id"] < f"unit-{FIRST}"]
    for at, (unit, to, factor, source) in enumerate(UNITS):
        cases.append({
            "id": f"unit-{FIRST + at}",
            "title": f"trade: 1 {unit} in {to}",
            "source": source,
            "how": "computed by trade_units.py in exact rational arithmetic",
            "inputs": [{"symbol": "x", "value": "1", "unit": unit}],
            "equations": ["y = x"],
            "expected": [
                {"symbol": "y", "value": f"{float(factor)!r}", "unit": to, "rel_tol": 1e-14}
            ],
            "note": "",
        })
    path.write_text(json.dumps(cases, indent=1, ensure_ascii=False) + "\n")


main()
