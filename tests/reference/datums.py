"""Writes datums.json: cases of what pressures, temperatures and levels count from, by plain
arithmetic.

    python3 tests/reference/datums.py > tests/reference/datums.json

Each case has lines of `given` and `work`, and either the number, unit and word that the last result
has, or the code with which a line is refused. The numbers are worked out here on plain floats, with
the definitions that stand at the head; nothing of setsquare is run. Which case has a number and
which is refused follows from one rule, worked out here again: a temperature on a scale is the sum
of w points, and has a meaning for w = 0 (an interval) and w = 1 (a point) alone; so for a reading
of pressure.
"""

import itertools
import json

# Definitions: SI Brochure, 9th edition, 2.3.4 (degree Celsius); the degree Fahrenheit is 5/9 K and
# counts from 459.67 below (common practice, no source); psi = lbf/in^2 with the pound 0.45359237 kg,
# g_n = 9.80665 m/s^2 and the inch 0.0254 m (exact by definition).
ZERO_C = 273.15
PSI = 0.45359237 * 9.80665 / 0.0254**2
ATM = 101.3  # kPa, the `p_atm` of every case

SCALES = {
    "degC": (lambda t: t + ZERO_C, lambda k: k - ZERO_C, 1.0, "°C"),
    "degF": (lambda t: (t + 459.67) * 5 / 9, lambda k: k * 9 / 5 - 459.67, 9 / 5, "°F"),
    "K": (lambda t: t, lambda k: k, 1.0, "K"),
}
CASES = []


def number(name, given, work, value, unit, word=None, prose=None):
    case = {"case": name, "given": given, "work": work, "value": value, "unit": unit, "word": word}
    CASES.append(case)


def refused(name, given, work, code):
    CASES.append({"case": name, "given": given, "work": work, "refused": code})


def near(left, right):
    return abs(left - right) < 1e-9


# ---- temperatures ------------------------------------------------------------------------------

POINTS = [("20 degC", 20 + ZERO_C), ("65 degC", 65 + ZERO_C), ("-5 degC", ZERO_C - 5)]


def points(values):
    return [f"T_{at} = {text}" for at, (text, _) in enumerate(values, 1)]


def weighted(name, weights, formula, extra=()):
    """A sum of points with these weights, written in some form, asked in each unit."""
    values = POINTS[: len(weights)]
    kelvin = sum(weight * si for weight, (_, si) in zip(weights, values))
    total = sum(weights)
    given = [*extra, *points(values)]
    for unit, (_, from_kelvin, size, text) in SCALES.items():
        line = f"y = {formula} = ? {unit}"
        if near(total, 1):
            number(f"{name}, in {unit}", given, [line], from_kelvin(kelvin), text)
        elif near(total, 0):
            if unit == "K":
                number(f"{name}, in K", given, [line], kelvin, text)
            else:
                refused(f"{name}, in {unit}", given, [line], "R04")
        else:
            refused(f"{name}, in {unit}", given, [line], "R03")
    for unit in ["degC", "degF"]:
        _, _, size, text = SCALES[unit]
        line = f"y = {formula} = ? {unit} difference"
        if near(total, 0):
            number(f"{name}, a difference in {unit}", given, [line], kelvin * size, text, "difference")
        else:
            code = "R04" if near(total, 1) else "R03"
            refused(f"{name}, a difference in {unit}", given, [line], code)


WEIGHTS = [
    (1, -1), (1, 1), (0.5, 0.5), (0.25, 0.75), (0.4, 0.5), (2, -1), (-1, 1), (1, 1, -1), (1, 1, 1),
    (0.2, 0.3, 0.5), (2, -1, -1), (1, -2, 1), (0.5, 0.5, 0.5),
]
for weights in WEIGHTS:
    by = ", ".join(str(weight) for weight in weights)
    terms = " + ".join(f"({weight}) T_{at}" for at, weight in enumerate(weights, 1))
    terms = terms.replace("(", "").replace(")", "").replace("+ -", "- ")
    weighted(f"weights {by}", weights, terms)
    named = " + ".join(f"w_{at} T_{at}" for at in range(1, len(weights) + 1))
    extra = [f"w_{at} = {weight}" for at, weight in enumerate(weights, 1)]
    weighted(f"weights {by} by name", weights, named, extra)
    if sum(weights) > 0 and all(weight > 0 for weight in weights):
        share = [weight / sum(weights) for weight in weights]
        over = " + ".join(f"w_{at}" for at in range(1, len(weights) + 1))
        weighted(f"a mean with weights {by}", share, f"({named})/({over})", extra)

for count in [1, 2, 3]:
    texts = ", ".join(text.removesuffix(" degC") for text, _ in POINTS[:count])
    row = [f"T_i = [{texts}] degC", f"n = {count}"]
    kelvin = [si for _, si in POINTS[:count]]
    mean = sum(kelvin) / count
    for formula in ["mean(T_i)", "sum(T_i)/n", f"sum(T_i)/{count}", "sum(T_i/n)"]:
        number(f"{formula} of {count}", row, [f"y = {formula} = ? degC"], mean - ZERO_C, "°C")
    if count > 1:
        refused(f"sum of {count}", row, ["y = sum(T_i) = ? degC"], "R03")
        refused(f"sum of {count}, unasked", row, ["y = sum(T_i)"], "R03")
        refused(f"{count} of them by name", row, [f"y = n max(T_i) = ? degC"], "R03")
    number(f"the greatest of {count}", row, ["y = max(T_i) = ? degC"], max(kelvin) - ZERO_C, "°C")

for weights in [[0.2, 0.3, 0.5], [1, 2, 3], [0.2, 0.3, 0.6]]:
    row = ["T_i = [20, 65, -5] degC", f"w_i = {json.dumps(weights)}"]
    kelvin = sum(weight * si for weight, (_, si) in zip(weights, POINTS))
    line = "y = sum(w_i T_i) = ? degC"
    if near(sum(weights), 1):
        number(f"weighted by rows {weights}", row, [line], kelvin - ZERO_C, "°C")
    else:
        refused(f"weighted by rows {weights}", row, [line], "R03")
    mean = kelvin / sum(weights)
    number(f"mean by rows {weights}", row, ["y = sum(w_i T_i)/sum(w_i) = ? degC"], mean - ZERO_C, "°C")
    masses = ["T_i = [20, 65, -5] degC", f"m_i = {json.dumps(weights)} kg"]
    number(f"mean by masses {weights}", masses, ["y = sum(m_i T_i)/sum(m_i) = ? degC"], mean - ZERO_C, "°C")

# What is unasked: a point in the author's scale, an interval and a product in K.
both = points(POINTS[:2])
number("an interval, unasked", both, ["y = T_2 - T_1"], 45, "K")
number("an interval as given, unasked", ["d = 10 degC difference"], ["y = 2 d"], 20, "K")
number("a product, unasked", [*both, "r = 2", "k = 0.4"], ["y = T_1 r^k"], (20 + ZERO_C) * 2**0.4, "K")
number(
    "a product beside an interval, unasked",
    [*both, "d = 10 degC difference", "V_1 = 2 L", "V_2 = 3 L"],
    ["y = T_1 V_2/V_1"],
    (20 + ZERO_C) * 1.5,
    "K",
)
number(
    "a product, asked in degC",
    [*both, "V_1 = 2 L", "V_2 = 3 L"],
    ["y = T_1 V_2/V_1 = ? degC"],
    (20 + ZERO_C) * 1.5 - ZERO_C,
    "°C",
)
number("a ratio of points", both, ["y = T_2/T_1 = ?"], (65 + ZERO_C) / (20 + ZERO_C), "")
number("an interval over an interval", both, ["y = (T_2 - T_1)/(1 K) = ?"], 45, "")
number("an interval in proportion", both, ["y = (T_2 - T_1) (1 m)/(3 m)"], 15, "K")
refused("an interval in proportion, in degC", both, ["y = (T_2 - T_1) (1 m)/(3 m) = ? degC"], "R04")
for unit, text in itertools.product(["degC", "degF"], ["T_1/(1 {})", "(T_2 - T_1)/(1 {})", "(5 {}) T_1"]):
    formula = text.format(unit)
    refused(f"`{formula}`", both, [f"y = {formula}"], "R08")
for formula in ["|T_3|", "abs(T_3)", "sign(T_3)"]:
    refused(f"`{formula}`", points(POINTS), [f"y = {formula}"], "R03")
number("the magnitude of an interval", points(POINTS), ["y = |T_3 - T_1| = ? K"], 25, "K")

# A computed temperature has its word from the first ask on.
power = [*both, "r = 2", "k = 0.4"]
warm = (20 + ZERO_C) * 2**0.4
for asks, last in [
    (["? degC", "? K"], (warm, "K", None)),
    (["? K", "? degC"], (warm - ZERO_C, "°C", None)),
    (["? degC", "? difference"], "R04"),
    (["? difference", "? degC"], "R04"),
    (["? degC difference", "? K"], (warm, "K", None)),
]:
    work = [f"y = T_1 r^k = {asks[0]}", f"y = {asks[1]}"]
    if isinstance(last, str):
        refused(f"asked {asks[0]}, then {asks[1]}", power, work, last)
    else:
        number(f"asked {asks[0]}, then {asks[1]}", power, work, *last)

# What-ifs keep the datum.
for value, result in [
    ("30 degC", 35.0), ("86 degF", 35.0), ("303.15 K", 35.0), ("30 degC difference", None),
]:
    work = ["y = T_1 + 5 K = ? degC", f"y = ? degC at T_1 = {value}"]
    if result is None:
        refused(f"a point at {value}", both, work, "R04")
    else:
        number(f"a point at {value}", both, work, result, "°C")
for value, result in [("20 degC difference", 40.0), ("20 K", 40.0), ("20 degC", None)]:
    given = [*both, "d = 10 degC difference"]
    work = ["y = T_1 + d = ? degC", f"y = ? degC at d = {value}"]
    if result is None:
        refused(f"an interval at {value}", given, work, "R04")
    else:
        number(f"an interval at {value}", given, work, result, "°C")

# ---- pressures ---------------------------------------------------------------------------------

# A reading is so many gauge readings g, absolute ones a and atmospheres m: without gauge readings it
# is absolute for a + m = 1, and a gauge reading with one atmosphere is the absolute pressure.
KINDS = {"g": ("{} kPa gauge", "gauge"), "a": ("{} kPa abs", "abs"), "m": (None, "abs"), "n": ("{} kPa", None)}
READ = {"g": (240.0, 100.0), "a": (300.0, 150.0), "m": (ATM, ATM), "n": (50.0, 20.0)}


def pressure(kind, at):
    if kind == "m":
        return None, "p_atm", ATM
    text = KINDS[kind][0].format(READ[kind][at])
    return f"p_{at + 1} = {text}", f"p_{at + 1}", READ[kind][at]


def pair(one, two, sign):
    """The word of a sum or difference of two pressures; a code where it is refused."""
    kinds = {one, two}
    if kinds == {"g", "a"}:
        return "R01"
    if kinds == {"g", "m"}:
        return "abs" if sign == "+" else "R01"
    if "n" in kinds:
        other = (kinds - {"n"} or {"n"}).pop()
        if other == "n":
            return None
        # `p - p_atm`: only as a reading makes `p` the difference one that can be used.
        if sign == "-" and two != "n":
            return "free"
        return KINDS[other][1]
    if sign == "-":
        return "free" if kinds == {"a", "m"} and two == "m" else "difference"
    return "R03"


for one, two, sign in itertools.product(KINDS, KINDS, "+-"):
    first, left, p = pressure(one, 0)
    second, right, q = pressure(two, 1)
    given = ["p_atm = 101.3 kPa", *(line for line in [first, second] if line)]
    value = p + q if sign == "+" else p - q
    word = pair(one, two, sign)
    formula = f"{left} {sign} {right}"
    name = f"{one} {sign} {two}"
    if word in ("R01", "R03"):
        refused(name, given, [f"y = {formula}"], word)
        continue
    has = word if word in ("gauge", "abs") else None
    number(name, given, [f"y = {formula} = ? kPa"], value, "kPa", has)
    for asked in ["gauge", "abs"]:
        line = f"y = {formula} = ? kPa {asked}"
        if word == "difference":
            refused(f"{name}, {asked}", given, [line], "R03")
        elif word == "free" and two == "m":
            # `p - p_atm` is the gauge pressure.
            if asked == "gauge":
                number(f"{name}, {asked}", given, [line], value, "kPa", asked)
            else:
                refused(f"{name}, {asked}", given, [line], "R01")
        elif word == "free":
            refused(f"{name}, {asked}", given, [line], "R03")
        elif word is None or word == asked:
            number(f"{name}, {asked}", given, [line], value, "kPa", asked)
        else:
            refused(f"{name}, {asked}", given, [line], "R01")

# A computed pressure has its word from the first line on that asks or claims it with one.
HEAD = ["p_atm = 101.3 kPa", "rho = 1000 kg/m^3", "g = 9.81 m/s^2", "h = 10 m"]
P = 98.1
FORMS = {
    "kPa gauge": ("gauge", 1.0, "kPa", "gauge"),
    "psig": ("gauge", PSI / 1000, "psig", None),
    "bar abs": ("abs", 100.0, "bar", "abs"),
    "psia": ("abs", PSI / 1000, "psia", None),
}
for first, second in itertools.product(FORMS, FORMS):
    own, _, _, _ = FORMS[first]
    asked, size, unit, word = FORMS[second]
    shift = {"gauge": {"gauge": 0.0, "abs": ATM}, "abs": {"gauge": -ATM, "abs": 0.0}}[own][asked]
    work = [f"y = rho g h = ? {first}", f"y = ? {second}"]
    number(f"? {first}, then ? {second}", HEAD, work, (P + shift) / size, unit, word)
    if own != asked:
        refused(f"? {first}, then ? {second}, without p_atm", HEAD[1:], work, "R06")
    late = [f"y = rho g h = ? kPa", f"y = ? {first}", f"y = ? {second}"]
    number(f"without a word, ? {first}, then ? {second}", HEAD, late, (P + shift) / size, unit, word)
    other = [f"y = rho g h = ? kPa", f"z = y = ? {first}", f"y = ? {second}"]
    number(f"by another name ? {first}, then ? {second}", HEAD, other, (P + shift) / size, unit, word)
for claim in ["98.1 kPa gauge", "14.23 psig"]:
    work = [f"y = rho g h = {claim}", "y = ? kPa abs"]
    number(f"claimed {claim}, then abs", HEAD, work, P + ATM, "kPa", "abs")
for unit, function, code in [
    ("kPa gauge", "absolute", None), ("kPa abs", "gauge", None),
    ("kPa gauge", "gauge", "R01"), ("kPa abs", "absolute", "R01"), ("kPa", "absolute", "R01"),
]:
    work = [f"y = rho g h = ? {unit}", f"z = {function}(y) = ? kPa"]
    if code:
        refused(f"{function} of ? {unit}", HEAD, work, code)
    else:
        value, word = (P + ATM, "abs") if function == "absolute" else (P - ATM, "gauge")
        number(f"{function} of ? {unit}", HEAD, work, value, "kPa", word)
refused("a definition that asks the other word", [*HEAD, "p_1 = 240 kPa gauge"], ["y = p_1 + rho g h = ? kPa abs"], "R01")
number("a list", [*HEAD, "h_i = [1, 2] m"], ["y_i = rho g h_i = ? kPa gauge", "y_i = ? kPa abs"], [9.81 + ATM, 19.62 + ATM], "kPa", "abs")
number("a ratio of absolute ones", [*HEAD, "p_1 = 240 kPa gauge"], ["y = (p_1 + p_atm)/p_atm = ?"], (240 + ATM) / ATM, "")
number("a work of gas", [*HEAD, "p_1 = 240 kPa gauge", "V = 0.5 m^3"], ["y = (p_1 + p_atm) V = ? kJ"], (240 + ATM) * 0.5, "kJ")
refused("a work of gas by gauge", [*HEAD, "p_1 = 240 kPa gauge", "V = 0.5 m^3"], ["y = p_1 V"], "R02")
for value, result in [("100 kPa gauge", 150.0), ("100 kPa", 150.0), ("10 psig", 10 * PSI / 1000 + 50), ("100 kPa abs", None), ("20 psia", None)]:
    given = [*HEAD, "p_1 = 240 kPa gauge", "d = 50 kPa"]
    work = ["y = p_1 + d = ? kPa", f"y = ? kPa at p_1 = {value}"]
    if result is None:
        refused(f"a gauge pressure at {value}", given, work, "R01")
    else:
        number(f"a gauge pressure at {value}", given, work, result, "kPa", "gauge")

# A word without a unit.
number("? gauge", HEAD, ["y = rho g h = ? gauge"], P, "kPa", "gauge")
number("? abs", HEAD, ["y = rho g h = ? abs"], P, "kPa", "abs")
number("? difference", both, ["y = T_2 - T_1 = ? difference"], 45, "K", "difference")
for word, formula in itertools.product(["gauge", "abs"], ["g h", "h", "rho g h^2", "2"]):
    refused(f"? {word} of {formula}", HEAD, [f"y = {formula} = ? {word}"], "D03")
for formula in ["g h", "rho g h", "2"]:
    refused(f"? difference of {formula}", HEAD, [f"y = {formula} = ? difference"], "D03")

# ---- levels ------------------------------------------------------------------------------------

LEVELS = ["G_1 = 12 dB", "G_2 = 3 dB", "alpha = 0.2 dB/km", "L = 50 km", "P_1 = 2 W", "P_2 = 40 W", "v = 2 km/s"]
import math

RATIO = 10 * math.log10(20)
for formula, value, unit in [
    ("G_1 + G_2", 15, "dB"), ("G_1 - G_2", 9, "dB"), ("2 G_1", 24, "dB"), ("G_1/2", 6, "dB"),
    ("alpha L", 10, "dB"), ("G_1 - alpha L", 2, "dB"), ("10 log10(P_2/P_1)", RATIO, "dB"),
    ("20 log10(P_2/P_1)", 2 * RATIO, "dB"), ("10 log10(P_2/P_1) - alpha L + 3", RATIO - 7, "dB"),
    ("max(G_1, G_2)", 12, "dB"), ("-G_1", -12, "dB"), ("2 alpha L/4", 5, "dB"), ("L alpha", 10, "dB"),
]:
    number(f"`{formula}`", LEVELS, [f"y = {formula} = ? {unit}"], value, unit)
    number(f"`{formula}`, unasked", LEVELS, [f"y = {formula}"], value, unit)
for formula, unit, value, text in [
    ("G_1/L", "dB/km", 12 / 50, "dB/km"), ("alpha v", "dB/s", 0.4, "dB/s"), ("G_1/alpha", "km", 60, "km"),
    ("10^(G_1/10)", "", 10**1.2, ""), ("10^(G_1/20)", "", 10**0.6, ""),
    ("exp(ln(10) G_1/10)", "", 10**1.2, ""), ("P_1 10^(G_1/10)", "W", 2 * 10**1.2, "W"),
]:
    number(f"`{formula}`", LEVELS, [f"y = {formula} = ? {unit}".rstrip()], value, text)
for formula in [
    "G_1 G_2", "G_1/G_2", "G_1 P_1", "P_1/G_1", "G_1^2", "sqrt(G_1)", "log10(G_1)", "ln(G_1)",
    "alpha alpha", "alpha/alpha", "G_1 alpha", "1/G_1", "sin(G_1)", "G_1 + P_2/P_1", "2 G_1 G_2 L/L",
]:
    refused(f"`{formula}`", LEVELS, [f"y = {formula}"], "R07")
for formula, unit in [("P_2/P_1", "dB"), ("2", "dB"), ("G_1", "%")]:
    refused(f"`{formula}` in {unit}", LEVELS, [f"y = {formula} = ? {unit}"], "R07")

# ---- units that look like degrees ----------------------------------------------------------------

for literal in ["20 deg C", "68 ° F", "20 ° C", "12 kJ/(kg C)", "5 W/(m^2 C)", "0.6 W/(m C)", "1 BTU/(lb F)", "3 J/(mol C)", "2 BTU/F"]:
    refused(f"`{literal}`", [f"x = {literal}"], ["y = x"], "S13")
for literal, unit, value in [("20 C", "C", 40), ("5 J/C", "J/C", 10), ("3 C/m^2", "C/m^2", 6), ("2 N/C", "N/C", 4), ("7 F", "F", 14)]:
    shown = {"C/m^2": "C/m²"}.get(unit, unit)
    number(f"`{literal}`", [f"q = {literal}"], [f"y = 2 q = ? {unit}"], value, shown)

print("[\n" + ",\n".join(" " + json.dumps(case, ensure_ascii=False) for case in CASES) + "\n]")
