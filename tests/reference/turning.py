#!/usr/bin/env python3
"""Writes the table of turning: what every kind of quantity becomes by every operation, and what is
printed of it in every unit.

    python3 tests/reference/turning.py > tests/reference/turning.json

The numbers are plain floating-point arithmetic on the data below; no library of units is used. A
turn is 2 pi rad and 360 deg by definition; the unit of rotational frequency is r/min or r/s and its
coherent unit the reciprocal second (ISO 80000-3, from memory). What is refused is the rule of the
language: `docs/reference.md`, "Turning", says it in words, and `KINDS` and the operations below say
it once more, in another form than the program.

The lines of `given` are those of every case. Each case: title; derive and work (lines of a
worksheet); either name, value and unit of a result, or refused: true.
"""

import json
from math import atan2, pi, sin

TURN = 2 * pi

# The data: value in the coherent unit of what it counts, and how it is written.
GIVEN = {
    "N": (1450 / 60, "1450 rpm"),        # turns a second
    "N_b": (24.5, "24.5 rev/s"),
    "N_c": (960 / 60, "960 r/min"),
    "w": (130.0, "130 rad/s"),           # radians a second
    "w_b": (720 * pi / 180, "720 deg/s"),
    "f": (50.0, "50 Hz"),                # cycles a second
    "f_b": (1200.0, "1.2 kHz"),
    "x": (25.0, "25 1/s"),               # nothing
    "theta": (40 * pi / 180, "40 deg"),  # radians
    "n": (3 * TURN, "3 rev"),            # an angle, typed in turns
    "c": (2.5, "2.5"),                   # nothing
    "t": (3.0, "3 s"),
    "r": (0.2, "0.2 m"),
    "D": (0.4, "0.4 m"),
    "a": (2.0, "2 kg"),
    "d": (1.0, "1 m"),
    "M": (62.0, "62 N m"),
    "g": (9.81, "9.81 m/s^2"),
    "k": (3.0, "3"),
    "F": (5.0, "5 N"),
}
DATA = [f"{name} = {written}" for name, (_, written) in GIVEN.items()]
V = {name: value for name, (value, _) in GIVEN.items()}

# What is printed of a kind in a unit: the factor from its coherent unit; None where it is refused.
# Rates first, then the same over no time, over a second time, and a time per turn.
KINDS = {
    "turns/s": {"1/s": 1, "rad/s": TURN, "deg/s": 360, "rpm": 60, "rev/s": 1, "r/min": 60, "Hz": 1},
    "radians/s": {"1/s": 1, "rad/s": 1, "deg/s": 180 / pi, "rpm": 60 / TURN, "rev/s": 1 / TURN,
                  "r/min": 60 / TURN, "Hz": None},
    "cycles/s": {"1/s": 1, "rad/s": None, "deg/s": None, "rpm": 60, "rev/s": 1, "r/min": 60, "Hz": 1},
    "1/s": {"1/s": 1, "rad/s": 1, "deg/s": 180 / pi, "rpm": None, "rev/s": None, "r/min": None, "Hz": 1},
    # An angle over a `pi` that may belong to a turn or to a circle.
    "open/s": {"1/s": 1, "rad/s": None, "deg/s": None, "rpm": None, "rev/s": None, "r/min": None, "Hz": None},
    "turns": {"rev": 1, "deg": 360, "rad": TURN},
    "radians": {"rev": 1 / TURN, "deg": 180 / pi, "rad": 1, "%": 100},
    "cycles": {"rev": 1, "deg": None, "rad": None, "%": 100},
    "1": {"rev": 1 / TURN, "deg": 180 / pi, "rad": 1, "%": 100},
    "turns/s^2": {"rpm/s": 60, "rad/s^2": TURN, "deg/s^2": 360, "rev/s^2": 1},
    "radians/s^2": {"rpm/s": 60 / TURN, "rad/s^2": 1, "deg/s^2": 180 / pi, "rev/s^2": 1 / TURN},
    "s/turn": {"s": 1, "ms": 1000, "s/rev": 1},
    "s": {"s": 1, "ms": 1000},
    "m/s": {"m/s": 1, "km/h": 3.6},
    "m": {"m": 1},
    "m/s^2": {"m/s^2": 1},
    "N": {"N": 1},
    "W": {"W": 1, "kW": 0.001},
    "J": {"J": 1},
}
RATES = {"N": "turns/s", "N_b": "turns/s", "N_c": "turns/s", "w": "radians/s", "w_b": "radians/s",
         "f": "cycles/s", "f_b": "cycles/s", "x": "1/s"}
REFUSED = "refused"

CASES = []


def case(title, work, answer, derive=(), check=()):
    """A worksheet with the data; `answer` is name, value and unit, or None where it is refused."""
    row = {"title": title, "derive": list(derive), "work": list(work)}
    if check:
        row["check"] = list(check)
    if answer is None:
        row["refused"] = True
    else:
        name, value, unit = answer
        row |= {"name": name, "value": value, "unit": unit}
    CASES.append(row)


def operations():
    """Formula, value in the coherent unit of its kind, and the kind, or that it is refused."""
    for name, kind in RATES.items():
        v = V[name]
        yield name, v, kind
        yield f"-{name}", -v, kind
        yield f"k {name}", 3 * v, kind
        yield f"{name}/3.5", v / 3.5, kind
        yield f"(k + 1)*{name}/2", 2 * v, kind
        yield f"{name} + {name}/2", 1.5 * v, kind
        yield f"|{name}|", v, kind
        yield f"max({name}, {name}/2)", v, kind
        yield f"cases({name} for k > 1, 2 {name} otherwise)", v, kind
        yield f"sqrt({name}^2)", v, kind
        yield f"{name} D/r", 2 * v, kind
        number = {"turns/s": "turns", "radians/s": "radians", "cycles/s": "cycles", "1/s": "1"}[kind]
        yield f"{name} t", 3 * v, number
        yield f"{name}/{name}", 1.0, "1"
        yield f"{name} t/t", v, kind
    for name in ["N", "N_b", "f", "f_b"]:
        v = V[name]
        for two_pi in [f"2 pi {name}", f"{name}*2 pi", f"2*({name} pi)"]:
            yield two_pi, TURN * v, "radians/s"
        yield f"2 pi {name} t", TURN * v * 3, "radians"
        yield f"2 pi {name}/t", TURN * v / 3, "radians/s^2"
        yield f"2 pi {name} r", TURN * v * 0.2, "m/s"
        yield f"pi D {name}", pi * 0.4 * v, "m/s"
        yield f"4 pi^2 {name}^2 r", (TURN * v) ** 2 * 0.2, "m/s^2"
        yield f"a (2 pi {name})^2 r", 2 * (TURN * v) ** 2 * 0.2, "N"
        yield f"2 pi {name} M", TURN * v * 62, "W"
        yield f"M*2 pi {name}/t*t", TURN * v * 62, "W"
        yield f"sin(2 pi {name}*0.1 ms)*d", sin(TURN * v * 1e-4), "m"
    for name in ["w", "w_b"]:
        v = V[name]
        yield f"{name}/(2 pi)", v / TURN, "cycles/s"
        yield f"2 pi/{name}", TURN / v, "s"
        yield f"{name} r", v * 0.2, "m/s"
        yield f"{name}^2 r", v * v * 0.2, "m/s^2"
        yield f"{name} M", v * 62, "W"
        yield f"{name}/t", v / 3, "radians/s^2"
        yield f"sin({name}*0.01 s)*d", sin(v * 0.01), "m"
    for name in ["N", "N_b", "N_c"]:
        v = V[name]
        yield f"1/{name}", 1 / v, "s/turn"
        yield f"{name}/t", v / 3, "turns/s^2"
        yield f"{name} - f", v - 50, "turns/s"
        yield f"f - {name}", 50 - v, "turns/s"
        yield f"(f - {name})/f*d", (50 - v) / 50, "m"
        yield f"{name}/f*d", v / 50, "m"
        yield f"{name}/N_b*d", v / 24.5, "m"
        for formula, kind in [
            (f"{name} r", "m/s"), (f"r {name}", "m/s"), (f"{name} D/2", "m/s"),
            (f"{name} M", "W"), (f"M {name}/k", "W"), (f"{name}^2 D", "m/s^2"),
            (f"a {name}^2 r", "N"), (f"a r^2 {name}^2/2", "J"), (f"M {name} t", "J"),
            (f"sin({name} t)*d", "m"), (f"cos({name}*1 s)*d", "m"), (f"exp(-{name} t)*d", "m"),
            (f"tan(k {name} t)*d", "m"), (f"2^({name} t)*d", "m"),
            (f"{name}/w*d", "m"), (f"w/{name}*d", "m"), (f"{name} theta", "radians/s"),
            (f"{name} + w", "radians/s"), (f"w - {name}", "radians/s"), (f"{name} + x", "1/s"),
            (f"max({name}, w)", "radians/s"), (f"{name}/(2 pi)", "1/s"), (f"{name}^2 D/g*d", "m"),
            (f"{name} n/n*2 r", "m/s"),
        ]:
            yield formula, REFUSED, kind
    for formula, kind in [
        ("f + w", "radians/s"), ("w - f", "radians/s"), ("f/w*d", "m"), ("w/f*d", "m"),
        ("sin(f t)*d", "m"), ("cos(k f*1 s)*d", "m"), ("max(f, w)", "radians/s"),
        ("2 pi n", "radians"), ("pi n D", "m"),
    ]:
        yield formula, REFUSED, kind
    yield "f r", 50 * 0.2, "m/s"
    yield "1/f", 1 / 50, "s"
    yield "x r", 25 * 0.2, "m/s"
    yield "1/x", 1 / 25, "s"
    yield "x/(2 pi)", 25 / TURN, "1/s"
    yield "x r/(pi D)", 25 * 0.2 / (pi * 0.4), "1/s"
    yield "32 x r^3/(pi D^3)", 32 * 25 * 0.2 ** 3 / (pi * 0.4 ** 3), "1/s"
    for name in ["theta", "n"]:
        v = V[name]
        yield name, v, "radians"
        yield f"{name}/3", v / 3, "radians"
        yield f"{name} + 10 deg", v + 10 * pi / 180, "radians"
        yield f"{name} - theta/2", v - 20 * pi / 180, "radians"
        yield f"{name}/t", v / 3, "radians/s"
        yield f"{name}/(t/2)", v / 1.5, "radians/s"
        yield f"{name}/t^2", v / 9, "radians/s^2"
        yield f"{name}/(2 pi)", v / TURN, "cycles"
        yield f"{name} r", v * 0.2, "m"
        yield f"{name} M", v * 62, "J"
        yield f"sin({name}/8)*d", sin(v / 8), "m"
    yield "c", 2.5, "1"
    yield "c/t", 2.5 / 3, "1/s"
    yield "atan2(r, D)", atan2(0.2, 0.4), "radians"
    yield "atan2(r, D)/t", atan2(0.2, 0.4) / 3, "radians/s"
    yield "10 rev/(2 s)", 5 * TURN, "radians/s"
    yield "x/(2 pi)*(1 rev)", 25, "radians/s"
    yield "(x/(2 pi))*(1 rev)", 25, "radians/s"
    yield "x r/(pi D)*(1 rev)", 25 * 0.2 / (pi * 0.4) * TURN, "radians/s"
    yield "w D/(2 pi r)", V["w"] * 2 / TURN, "open/s"
    yield "w r^2/(pi D^2)", V["w"] * 0.25 / pi, "open/s"
    yield "w r/D/(2 pi)", V["w"] / 2 / TURN, "cycles/s"
    yield "1/(2 pi)*w", V["w"] / TURN, "cycles/s"
    yield "(w/(2 pi)) D/r", V["w"] * 2 / TURN, "cycles/s"
    yield "N d/(pi D)", V["N"] / (pi * 0.4), "turns/s"
    yield "theta/(2 pi)*pi D", V["theta"] * 0.2, "m"
    yield "1.25 rev*F d", 1.25 * TURN * 5, "J"


def table():
    """Every operation in every unit of its dimension, in the line that defines a name."""
    for formula, value, kind in operations():
        for unit, factor in KINDS[kind].items():
            refused = value == REFUSED or factor is None
            answer = None if refused else ("y", value * factor, unit)
            case(f"{formula} in {unit}", [f"y = {formula} = ? {unit}"], answer)


def from_then_on():
    """What was asked in a unit counts that from then on."""
    for name, kind in RATES.items():
        v = V[name]
        for unit, factor in KINDS[kind].items():
            if factor is None:
                continue
            asked = {"rad/s": "radians/s", "deg/s": "radians/s", "Hz": "cycles/s"}.get(unit)
            asked = asked or ("1/s" if unit == "1/s" else "turns/s")
            if unit == "1/s":
                # It says nothing: turns are a plain number from here on, all else stays.
                asked = "1/s" if kind == "turns/s" else kind
            size = v * TURN if kind == "turns/s" and asked == "radians/s" else v
            size = v / TURN if kind == "radians/s" and asked == "turns/s" else size
            line = f"y = {name} = ? {unit}"
            speed = None if asked == "turns/s" else ("v", size * 0.2, "m/s")
            case(f"{name} asked in {unit}, times a radius", [line, "v = y r = ? m/s"], speed)
            if asked in ("turns/s", "cycles/s"):
                case(f"2 pi times {name} asked in {unit}", [line, "u = 2 pi y = ? rad/s"],
                     ("u", TURN * size, "rad/s"))
            for other, own in KINDS[asked].items():
                answer = None if own is None else ("z", size * own, other)
                case(f"{name} asked in {unit}, then in {other}", [line, f"z = y = ? {other}"], answer)


def elsewhere():
    """The same in lists, functions, derivations, what-ifs and claims."""
    for name, kind in RATES.items():
        v = V[name]
        for unit, factor in KINDS[kind].items():
            answer = None if factor is None else ("y", v * factor, unit)
            case(f"f({name}) in {unit}", ["h(q) = 3 q/3", f"y = h({name}) = ? {unit}"], answer)
            case(f"{name} from an equation in {unit}", [f"y = ? {unit}"], answer, [f"e: y = {name}"])
            listed = None if factor is None else ("y_i", [v * factor, 2 * v * factor], unit)
            case(f"a list of {name} in {unit}", [f"y_i = [1, 2] {name} = ? {unit}"], listed)
            lists = None if factor is None else ("y_i", [v * factor, v * factor / 2], unit)
            case(f"a list with {name} in {unit}", [f"y_i = [{name}, {name}/2] = ? {unit}"], lists)
    for name in ["N", "f"]:
        v = V[name]
        case(f"2 pi {name} by a function", ["h(q) = 2 pi q", f"y = h({name}) = ? rad/s"],
             ("y", TURN * v, "rad/s"))
        case(f"2 pi {name} by an equation", ["u = ? rad/s", "v = ? m/s"], ("v", TURN * v * 0.2, "m/s"),
             [f"a: u = 2 pi {name}", "b: v = u r"])
    case("a speed from an equation with turns", ["v = ? m/s"], None, ["e: v = N r"])
    case("a speed from a name asked in rad/s", ["u = N = ? rad/s", "v = ? m/s"],
         ("v", V["N"] * TURN * 0.2, "m/s"), ["e: v = u r"])
    case("the belt of two pulleys", ["q = ? rpm"], ("q", 1450 * 2, "rpm"),
         ["e: q r = N D", "solve e for q"])


def compared():
    """Two speeds of rotation, or two angles: turns and radians are the same; what counts nothing is
    beside an angle a number of radians, and beside turns and cycles two readings are left."""
    sides = {name: (V[name], kind) for name, kind in RATES.items()}
    sides |= {"100 rpm": (100 / 60, "turns/s"), "60 rad/s": (60.0, "radians/s"),
              "2 rev/s": (2.0, "turns/s"), "7 Hz": (7.0, "cycles/s"), "2 pi N": (TURN * V["N"], "radians/s"),
              "N D/r": (2 * V["N"], "turns/s"), "-w": (-V["w"], "radians/s")}
    radians = {"turns/s": TURN, "radians/s": 1, "1/s": 1}
    pairs = [{"turns/s", "radians/s"}, {"radians/s", "1/s"}]
    cycles = [{"turns/s", "cycles/s"}, {"cycles/s", "1/s"}]
    for left, (one, kind) in sides.items():
        for right, (other, beside) in sides.items():
            both = {kind, beside}
            if len(both) == 1 or both in cycles:
                first, second = one, other
            elif both in pairs:
                first, second = one * radians[kind], other * radians[beside]
            else:
                first = None
            if first is not None and abs(first - second) < 1e-9 * abs(first):
                continue
            sign = ">" if first is None or first > second else "<"
            line = f"y = cases(1 d for {left} {sign} {right}, 2 d otherwise) = ? m"
            case(f"{left} {sign} {right}", [line], None if first is None else ("y", 1.0, "m"))


def by_hand():
    """Formulas for plain numbers of turns a minute and of degrees."""
    for name in ["N", "N_b", "N_c"]:
        for formula in [f"pi {name}/30", f"2 pi {name}/60", f"{name} pi/30", f"(pi/30) {name}",
                        f"{name}/9.55", f"{name}*2 pi/60", f"2*(pi {name})/60"]:
            case(f"{formula} by hand", [f"y = {formula} = ? rad/s"], None)
        for formula in [f"2 pi {name} M/60", f"pi {name} M/30000", f"2 pi {name} M/60000"]:
            case(f"{formula} by hand", [f"y = {formula} = ? W"], None)
        for formula in [f"pi D {name}/60", f"pi D {name}/60000", f"2 pi {name} r/60"]:
            case(f"{formula} by hand", [f"y = {formula} = ? m/s"], None)
        case(f"60/{name} by hand", [f"y = 60/{name} = ? s"], None)
        case(f"{name} t/60 by hand", [f"y = {name} t/60 = ? rev"], None)
        for ratio in [2, 6, 7, 25, 40]:
            v = V[name] / ratio
            case(f"{name} by a gear of {ratio}", [f"y = {name}/{ratio} = ? rpm"], ("y", 60 * v, "rpm"))
            case(f"2 pi {name} by {ratio}", [f"y = 2 pi {name}/{ratio} = ? rad/s"],
                 ("y", TURN * v, "rad/s"))
    for name in ["f", "f_b"]:
        for formula in [f"60 {name}", f"60 {name}/2", f"120 {name}/4", f"120 {name}/k"]:
            for unit in ["rpm", "r/min"]:
                case(f"{formula} in {unit} by hand", [f"y = {formula} = ? {unit}"], None)
        case(f"{name}/2 in rpm", [f"y = {name}/2 = ? rpm"], ("y", 30 * V[name], "rpm"))
        case(f"60 {name} in Hz", [f"y = 60 {name} = ? Hz"], ("y", 60 * V[name], "Hz"))
    for name in ["w", "w_b"]:
        for formula in [f"60 {name}/(2 pi)", f"30 {name}/pi", f"9.55 {name}"]:
            case(f"{formula} in rpm by hand", [f"y = {formula} = ? rpm"], None)
    for formula, unit in [("theta pi/180", "rad"), ("pi/180*theta", "deg"), ("theta*pi/180*r", "m")]:
        case(f"{formula} by hand", [f"y = {formula} = ? {unit}"], None)
    case("half an angle", ["y = theta/2 = ? deg"], ("y", 20, "deg"))


def solved():
    """What a name that was solved for in symbols counts, its unit says."""
    for derive, value in [
        ("e: q = 2 pi n_1 r", 10 / (TURN * 0.2)), ("e: q = pi D n_1", 10 / (pi * 0.4)),
        ("e: p = 2 pi n_1 M", 50 / (TURN * 62)), ("e: q/r = 2 pi n_1", 10 / (TURN * 0.2)),
    ]:
        work = ["q = x D = ? m/s", "p = F q = ? W"]
        for unit, factor in [("rpm", 60), ("rev/s", 1), ("r/min", 60)]:
            case(f"{derive} solved, in {unit}", work + [f"n_1 = ? {unit}"],
                 ("n_1", value * factor, unit), [derive, "solve e for n_1"])
    case("turns that an equation uses as radians", ["q = x D = ? m/s", "n_1 = ? rpm"], None,
         ["e: q = n_1 r", "solve e for n_1"])


def replaced():
    """A value in the place of a given, in what-ifs, claims, checks and ends of limits: beside an
    angle, turns are the same in radians; in the place of turns an angle leaves two readings."""
    values = {"1500 rpm": (25.0, "turns/s"), "25 rev/s": (25.0, "turns/s"), "960 r/min": (16.0, "turns/s"),
              "90 rad/s": (90.0, "radians/s"), "30 rad/min": (0.5, "radians/s"), "40 Hz": (40.0, "cycles/s"),
              "30 1/s": (30.0, "1/s"), "N_b": (24.5, "turns/s"), "w_b": (4 * pi, "radians/s"), "0": (0.0, None)}
    # By what the value counts: what it is in the place of each kind.
    fits = {"turns/s": {"turns/s": 1, "cycles/s": 1, None: 1},
            "radians/s": {"radians/s": 1, "turns/s": TURN, "1/s": 1, None: 1},
            "cycles/s": {"cycles/s": 1, "turns/s": 1, "1/s": 1, None: 1},
            "1/s": {"1/s": 1, "radians/s": 1, "cycles/s": 1, None: 1}}
    for name in ["N", "w", "f", "x"]:
        kind = RATES[name]
        by = 2 * pi if kind == "turns/s" else 1
        formula = f"2 pi {name} r" if kind == "turns/s" else f"{name} r"
        line = f"y = {formula} = ? m/s"
        for value, (size, counts) in values.items():
            factor = fits[kind].get(counts)
            result = f"y at {name} = {value}"
            answer = None if factor is None else (result, by * size * factor * 0.2, "m/s")
            case(f"{name} replaced by {value}", [line, f"y = ? m/s at {name} = {value}"], answer)
            if answer and size:
                filled = f"{answer[1]:#.4g}"
                case(f"{name} replaced by {value}, filled", [line, f"y = {filled} m/s ? at {name} = {value}"], answer)
            if value[0].isdigit() and size:
                comes = answer[1] if answer else 0.0
                check = [f"y -> {comes!r} m/s as {name} -> {value}"]
                case(f"{name} tends to {value}", [line], answer and ("y", by * V[name] * 0.2, "m/s"),
                     check=check)
    case("a list of turns in the place of an angle", ["y = w r = ? m/s", "y = ? m/s at w = [60, 120] rpm"],
         ("y at w = [60, 120] rpm", [TURN * 0.2, 2 * TURN * 0.2], "m/s"))
    case("a sum with turns", ["y = w + 1500 rpm = ? rad/s"], None)
    case("a list with turns", ["y_i = [w, N] = ? rad/s"], None)
    for line, answer in [("q = ? rpm from e between 200 rad/s and 400 rad/s", None),
                         ("q = ? rpm from e between 0 and 4000 rpm", 2900.0),
                         ("q = ? rpm from e between 4000 rpm and 0", 2900.0)]:
        case(line, [line], answer and ("q", answer, "rpm"), ["e: q = 2 N"])
    for line in ["q = ? rad/s from e between 2000 and 3000 rpm", "q = ? rad/s from e between 3000 rpm and 0",
                 "q = ? rad/s from e between 200 rad/s and 3000 rpm"]:
        case(line, [line], ("q", 260.0, "rad/s"), ["e: q = 2 w"])
    case("bounds of two kinds", ["q = ? rpm from e between 100 rad/s and 4000 rpm"], None,
         ["e: q k + q^3/N^2 = N"])


table()
from_then_on()
replaced()
elsewhere()
compared()
by_hand()
solved()
rows = ",\n".join("  " + json.dumps(row) for row in CASES)
print(f'{{\n "given": {json.dumps(DATA)},\n "cases": [\n{rows}\n ]\n}}')
