"""Random formulas with units, and what they come to, for `reference.rs`.

    python3 tests/reference/certain.py > tests/reference/certain.txt

The values are computed by mpmath 1.3.0 with 150 digits, and once more with 700: what the two do not
agree on to 60 digits is left out, and so is what is no real number, or too large or small for a
double on the way. The sizes of the units are their definitions (SI Brochure, 9th edition; yard and
pound agreement 1959; NIST SP 811, 2008, appendix B), written down here by themselves, from memory.
Rounding is to the nearest, halves to the even digit.

A line `given` names a quantity; a line below it is: formula, unit asked, figures, the digits as a
whole number with its power of ten, with a tab between.
"""

import random

import mpmath
from mpmath import mp, mpf

SHEETS, LINES = 210, 100
RANDOM = random.Random(20260)

# name: (kind, size as a function, so that pi has the digits of the moment)
I = lambda text: (lambda: mpf(text))
R = lambda a, b: (lambda: mpf(a) / mpf(b))
LB, G, IN, FT = "0.45359237", "9.80665", "0.0254", "0.3048"
LBF = lambda: mpf(LB) * mpf(G)
GAL = lambda: 231 * mpf(IN) ** 3
UNITS = {
    "L": {
        "m": I(1), "mm": I("1e-3"), "cm": I("1e-2"), "km": I(1000), "um": I("1e-6"), "nm": I("1e-9"),
        "in": I(IN), "ft": I(FT), "yd": I("0.9144"), "mi": I("1609.344"), "nmi": I(1852),
        "ftUS": R(1200, 3937), "thou": I("2.54e-5"), "fathom": I("1.8288"), "point": lambda: mpf(IN) / 72,
    },
    "A": {"m^2": I(1), "mm^2": I("1e-6"), "in^2": lambda: mpf(IN) ** 2, "ft^2": lambda: mpf(FT) ** 2,
          "ha": I(10000), "acre": lambda: 43560 * mpf(FT) ** 2, "cm^2": I("1e-4")},
    "V": {"m^3": I(1), "L": I("1e-3"), "mL": I("1e-6"), "gal": GAL, "ft^3": lambda: mpf(FT) ** 3,
          "bbl": lambda: 42 * GAL(), "floz": lambda: GAL() / 128, "galUK": I("4.54609e-3")},
    "M": {"kg": I(1), "g": I("1e-3"), "t": I(1000), "lb": I(LB), "oz": lambda: mpf(LB) / 16, "mg": I("1e-6"),
          "tonUS": lambda: 2000 * mpf(LB), "slug": lambda: LBF() / mpf(FT)},
    "T": {"s": I(1), "ms": I("1e-3"), "min": I(60), "h": I(3600), "d": I(86400)},
    "F": {"N": I(1), "kN": I(1000), "lbf": LBF, "kip": lambda: 1000 * LBF(), "kgf": I(G), "dyn": I("1e-5")},
    "P": {"Pa": I(1), "kPa": I(1000), "MPa": I(10**6), "bar": I(10**5), "psi": lambda: LBF() / mpf(IN) ** 2,
          "atm": I(101325), "Torr": R(101325, 760), "mmHg": lambda: mpf("13595.1") * mpf(G) / 1000,
          "inH2O": lambda: 1000 * mpf(G) * mpf(IN), "ksf": lambda: 1000 * LBF() / mpf(FT) ** 2},
    "E": {"J": I(1), "kJ": I(1000), "kWh": I(3600000), "BTU": lambda: mpf("4186.8") * mpf(LB) * 5 / 9,
          "eV": I("1.602176634e-19"), "calth": I("4.184"), "MJ": I(10**6)},
    "W": {"W": I(1), "kW": I(1000), "hp": lambda: 550 * mpf(FT) * LBF(), "PS": lambda: 75 * mpf(G),
          "TR": lambda: 12000 * mpf("4186.8") * mpf(LB) * 5 / 9 / 3600},
    "N": {"": I(1), "%": I("0.01")},
    "D": {"deg": lambda: mp.pi / 180, "rad": I(1), "arcmin": lambda: mp.pi / 10800,
          "arcsec": lambda: mp.pi / 648000, "gon": lambda: mp.pi / 200, "mrad": I("1e-3")},
    # Asked only.
    "L/T": {"m/s": I(1), "km/h": R(10, 36), "mph": lambda: mpf("1609.344") / 3600, "ft/s": I(FT), "knot": R(1852, 3600)},
    "M/V": {"kg/m^3": I(1), "lb/ft^3": lambda: mpf(LB) / mpf(FT) ** 3, "g/cm^3": I(1000), "lb/gal": lambda: mpf(LB) / GAL()},
    "V/T": {"m^3/s": I(1), "L/min": lambda: mpf(1) / 60000, "gpm": lambda: GAL() / 60, "cfs": lambda: mpf(FT) ** 3},
    "F/L": {"N/m": I(1), "kN/m": I(1000), "lbf/ft": lambda: LBF() / mpf(FT)},
    "M L/T^2": {"N": I(1), "kN": I(1000), "lbf": LBF},
    "F/A": {"Pa": I(1), "MPa": I(10**6), "psi": lambda: LBF() / mpf(IN) ** 2, "bar": I(10**5)},
    "E/T": {"W": I(1), "kW": I(1000), "hp": lambda: 550 * mpf(FT) * LBF(), "BTU/h": lambda: mpf("4186.8") * mpf(LB) * 5 / 9 / 3600},
    "P V": {"J": I(1), "kJ": I(1000), "ft lbf": lambda: mpf(FT) * LBF(), "BTU": lambda: mpf("4186.8") * mpf(LB) * 5 / 9},
    "E/M": {"J/kg": I(1), "kJ/kg": I(1000), "BTU/lb": lambda: mpf("4186.8") * 5 / 9},
    "sqrt(P/(M/V))": {"m/s": I(1), "ft/s": I(FT)},
}
SIMPLE = ["L", "A", "V", "M", "T", "F", "P", "E", "W"]
WIDE = 10**280


class Bad(Exception):
    pass


def fine(value):
    if not isinstance(value, mpf):
        raise Bad
    if not mpmath.isfinite(value) or (value != 0 and not 1 / mpf(WIDE) < abs(value) < WIDE):
        raise Bad
    return value


def number(small=False):
    pick = RANDOM.random()
    if small or pick < 0.12:
        return f"{RANDOM.randint(1, 99)}e-{RANDOM.randint(4, 11)}"
    if pick < 0.5:
        return f"{RANDOM.uniform(0.1, 20):.{RANDOM.randint(1, 4)}f}"
    if pick < 0.8:
        return str(RANDOM.randint(1, 500))
    return f"{RANDOM.uniform(0.001, 2):.{RANDOM.randint(3, 9)}f}"


class Sheet:
    def __init__(self):
        self.names, self.lines = {}, []
        for kind in [*SIMPLE, "N", "D"]:
            names = []
            for at in range(8 if kind in ("N", "D", "L") else 4):
                text, unit = number(kind == "N" and at >= 6), RANDOM.choice(list(UNITS[kind]))
                if float(text) == 0:
                    text = "1.5"
                if kind == "D":
                    text = f"{RANDOM.uniform(0.1, 170):.{RANDOM.randint(0, 3)}f}" if unit != "rad" else number()
                name = f"{ {'N': 'n', 'D': 'phi', 'T': 't', 'L': 'a', 'A': 'S', 'V': 'V', 'M': 'm', 'F': 'F', 'P': 'p', 'E': 'E', 'W': 'W'}[kind]}_{at + 1}"
                size = UNITS[kind][unit]
                self.lines.append(f"{name} = {text} {unit}".rstrip())
                names.append((name, lambda text=text, size=size: mpf(text) * size()))
            self.names[kind] = names

    # Each gives the text of a formula and a function that computes it.
    def leaf(self, kind):
        if kind == "N" and RANDOM.random() < 0.5:
            text = number()
            return text, lambda: mpf(text)
        return RANDOM.choice(self.names[kind])

    def quantity(self, kind, depth):
        if depth == 0:
            return self.leaf(kind)
        one, f = self.quantity(kind, depth - 1)
        other, g = self.quantity(kind, depth - 1)
        n, h = self.plain(depth - 1)
        return RANDOM.choice([
            lambda: (f"({one} + {other})", lambda: fine(f() + g())),
            lambda: (f"({one} - {other})", lambda: fine(f() - g())),
            lambda: (f"{n}*{one}", lambda: fine(h() * f())),
            lambda: (f"{one}/({n})", lambda: fine(f() / h())),
            lambda: (f"sqrt(({one})^2 + ({other})^2)", lambda: fine(mpmath.sqrt(f() ** 2 + g() ** 2))),
            lambda: (f"(sqrt(({one})^2 + ({other})^2) - abs({one}))", lambda: fine(mpmath.sqrt(f() ** 2 + g() ** 2) - abs(f()))),
            lambda: (f"max({one}, {other})", lambda: max(f(), g())),
            lambda: (f"min({one}, {other})", lambda: min(f(), g())),
            lambda: (f"abs({one} - {other})", lambda: fine(abs(f() - g()))),
            lambda: (f"mean({one}, {other}, {one})", lambda: fine((2 * f() + g()) / 3)),
            lambda: (f"cbrt(({one})^3 + ({other})^3)", lambda: fine(cbrt(f() ** 3 + g() ** 3))),
        ])()

    def angle(self):
        return self.leaf("D")

    def plain(self, depth):
        if depth == 0:
            return self.leaf("N")
        x, f = self.plain(depth - 1)
        y, g = self.plain(depth - 1)
        u, h = self.angle()
        k = RANDOM.randint(2, 4)
        kind = RANDOM.choice(SIMPLE)
        q, i = self.quantity(kind, 0)
        r, j = self.quantity(kind, 0)
        s, e = RANDOM.choice(self.names["N"][6:])
        c = RANDOM.choice
        return c([
            lambda: (f"({x} + {y})", lambda: fine(f() + g())),
            lambda: (f"({x} - {y})", lambda: fine(f() - g())),
            lambda: (f"{x}*{y}", lambda: fine(f() * g())),
            lambda: (f"{x}/({y})", lambda: fine(f() / g())),
            lambda: (f"({x})^{k}", lambda: fine(f() ** k)),
            lambda: (f"abs({x})^({y})", lambda: fine(power(abs(f()), g()))),
            lambda: (f"({q}/{r})", lambda: fine(i() / j())),
            lambda: (f"sin({u})", lambda: fine(mpmath.sin(h()))),
            lambda: (f"cos({u})", lambda: fine(mpmath.cos(h()))),
            lambda: (f"tan({u})", lambda: fine(mpmath.tan(h()))),
            lambda: (f"exp({x})", lambda: fine(mpmath.exp(f()))),
            lambda: (f"ln(abs({x}))", lambda: fine(mpmath.log(abs(f())))),
            lambda: (f"log10(abs({x}))", lambda: fine(mpmath.log10(abs(f())))),
            lambda: (f"log2(abs({x}))", lambda: fine(mpmath.log(abs(f())) / mpmath.log(2))),
            lambda: (f"sqrt(abs({x}))", lambda: fine(mpmath.sqrt(abs(f())))),
            lambda: (f"cbrt({x})", lambda: fine(cbrt(f()))),
            lambda: (f"asin(tanh({x}))", lambda: fine(mpmath.asin(tanh(f())))),
            lambda: (f"acos(tanh({x}))", lambda: fine(mpmath.acos(tanh(f())))),
            lambda: (f"atan({x})", lambda: fine(mpmath.atan(f()))),
            lambda: (f"atan2({q}, {r})", lambda: fine(mpmath.atan2(i(), j()))),
            lambda: (f"sinh({x})", lambda: fine(mpmath.sinh(f()))),
            lambda: (f"cosh({x})", lambda: fine(mpmath.cosh(f()))),
            lambda: (f"tanh({x})", lambda: fine(tanh(f()))),
            lambda: (f"erf({x})", lambda: fine(erf(f()))),
            lambda: (f"Gamma(1 + abs({x}))", lambda: fine(gamma(1 + abs(f())))),
            lambda: (f"bessel({k - 2}, {x})", lambda: fine(bessel(k - 2, f()))),
            lambda: (f"floor({x})", lambda: fine(step(mpmath.floor, f()))),
            lambda: (f"ceil({x})", lambda: fine(step(mpmath.ceil, f()))),
            lambda: (f"round({x})", lambda: fine(step(lambda v: mpmath.sign(v) * mpmath.floor(abs(v) + mpf(1) / 2), f(), mpf(1) / 2))),
            lambda: (f"sign({x})", lambda: fine(mpmath.sign(f()))),
            # What cancels.
            lambda: (f"(exp({s}) - 1 - {s})", lambda: fine(mpmath.exp(e()) - 1 - e())),
            lambda: (f"(1 - cos({s}))", lambda: fine(1 - mpmath.cos(e()))),
            lambda: (f"ln(1 + {s})", lambda: fine(mpmath.log(1 + e()))),
            lambda: (f"(sqrt(1 + {s}) - 1)", lambda: fine(mpmath.sqrt(1 + e()) - 1)),
            lambda: (f"({s} - sin({s}))", lambda: fine(e() - mpmath.sin(e()))),
            lambda: (f"(tan({s}) - {s})/{s}^3", lambda: fine((mpmath.tan(e()) - e()) / e() ** 3)),
            lambda: (f"(({x} + {s}) - {x})", lambda: fine((f() + e()) - f())),
            lambda: (f"(1/{s} - 1/({s} + {s}^2))", lambda: fine(1 / e() - 1 / (e() + e() ** 2))),
            lambda: (f"(1 - erf(4 + {s}))", lambda: fine(1 - erf(4 + e()))),
            lambda: (f"(Gamma(2 + {s}) - 1)", lambda: fine(gamma(2 + e()) - 1)),
            lambda: (f"(1 - bessel(0, {s}))", lambda: fine(1 - bessel(0, e()))),
            lambda: (f"(cosh({s}) - 1)", lambda: fine(mpmath.cosh(e()) - 1)),
        ])()

    def line(self):
        pick = RANDOM.random()
        depth = RANDOM.choice([1, 1, 2, 2, 2, 3])
        if pick < 0.5:
            text, f = self.plain(depth)
            kind, unit = "N", RANDOM.choice(["", "", "", "%"])
            if RANDOM.random() < 0.1:
                text, f = RANDOM.choice([
                    (f"atan({text})", lambda f=f: fine(mpmath.atan(f()))),
                    (f"acos(tanh({text}))", lambda f=f: fine(mpmath.acos(tanh(f())))),
                ])
                kind, unit = "D", RANDOM.choice(list(UNITS["D"]))
        elif pick < 0.75:
            kind = RANDOM.choice(SIMPLE)
            text, f = self.quantity(kind, depth)
            unit = RANDOM.choice(list(UNITS[kind]))
        else:
            kind = RANDOM.choice(["L/T", "M/V", "V/T", "F/L", "M L/T^2", "F/A", "E/T", "P V", "E/M", "sqrt(P/(M/V))"])
            part = lambda kind: self.quantity(kind, RANDOM.choice([0, 0, 1]))
            if kind == "M L/T^2":
                (m, a), (l, b), (t, c) = part("M"), part("L"), self.leaf("T")
                text, f = f"{m}*{l}/{t}^2", lambda: fine(a() * b() / c() ** 2)
            elif kind == "P V":
                (p, a), (v, b) = part("P"), part("V")
                text, f = f"({p})*{v}", lambda: fine(a() * b())
            elif kind == "sqrt(P/(M/V))":
                (p, a), (m, b), (v, c) = self.leaf("P"), part("M"), self.leaf("V")
                text, f = f"sqrt({p}/(abs({m})/{v}))", lambda: fine(mpmath.sqrt(a() / (abs(b()) / c())))
            else:
                top, bottom = kind.split("/")
                (x, a), (y, b) = part(top), part(bottom)
                text, f = f"({x})/({y})", lambda: fine(a() / b())
            unit = RANDOM.choice(list(UNITS[kind]))
        return text, f, UNITS[kind][unit], unit


def cbrt(x):
    return -mpmath.cbrt(-x) if x < 0 else mpmath.cbrt(x)


def power(base, exponent):
    if base == 0 or abs(exponent) > 300:
        raise Bad
    return base**exponent


def gamma(x):
    if x > 150:
        raise Bad
    return mpmath.gamma(x)


def bessel(n, x):
    if abs(x) > 300:
        raise Bad
    return mpmath.besselj(n, x)


# Where these differ from 1 by less than the digits that are computed with, the library says 1.
def tanh(x):
    if abs(x) > 60:
        raise Bad
    return mpmath.tanh(x)


def erf(x):
    if abs(x) > 10:
        raise Bad
    return mpmath.erf(x)


def step(function, x, offset=0):
    if abs(x) > 10**12:
        raise Bad
    # Whole numbers that are reached by computing are judged in another test.
    near = x + offset
    if near != mpmath.nint(near) and abs(near - mpmath.nint(near)) < mpf(10) ** -40:
        raise Bad
    return mpf(function(x))


def rounded(value, figures):
    if value == 0:
        raise Bad
    size = abs(value)
    leading = int(mpmath.floor(mpmath.log10(size)))
    if size >= mpf(10) ** (leading + 1):
        leading += 1
    if size < mpf(10) ** leading:
        leading -= 1
    last = leading - figures + 1
    scaled = size / mpf(10) ** last
    units = int(mpmath.floor(scaled))
    rest = scaled - units
    off = abs(rest - mpf(1) / 2)
    if mpf(10) ** -300 < off < mpf(10) ** -40:
        raise Bad
    if off <= mpf(10) ** -300:
        units += units % 2
    elif rest > mpf(1) / 2:
        units += 1
    if units == 10**figures:
        units, last = units // 10, last + 1
    return f"{'-' if value < 0 else ''}{units}e{last}"


def value(f, size, digits):
    mp.dps = digits
    return f() / size()


def main():
    count = 0
    for _ in range(SHEETS):
        sheet, out, seen = Sheet(), [], set()
        while len(out) < LINES:
            text, f, size, unit = sheet.line()
            if text in seen or len(text) > 90:
                continue
            seen.add(text)
            try:
                low, high = value(f, size, 150), value(f, size, 700)
                if not mpmath.isfinite(high) or high == 0 or abs(low - high) > abs(high) * mpf(10) ** -60:
                    continue
                figures = RANDOM.choice([3, 4, 4, 4, 6, 9, 12, 15])
                out.append(f"{text}\t{unit}\t{figures}\t{rounded(high, figures)}")
            except (Bad, ZeroDivisionError, ValueError, OverflowError, TypeError):
                continue
        print("given")
        print("\n".join(sheet.lines))
        print("work")
        print("\n".join(out))
        count += len(out)


if __name__ == "__main__":
    main()
