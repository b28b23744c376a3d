#!/usr/bin/env python3
"""Computes the worksheets of this repository a second time, in plain floating-point numbers.

No library of units is used: every unit that occurs is one factor below, from its definition. The
formulas are written out here from mechanics and thermodynamics, not read from the worksheets, and
where there are two routes to a number the script takes both and compares them.

    python3 tests/reference/worksheets.py > tests/reference/worksheets.json

Each row: worksheet, problem (the level-1 heading; null where the worksheet is one problem), name (of a
what-if with its condition), value in unit, and si, which is the value in coherent SI units (kelvin for
a temperature, gauge pressures as read). A vector has a list of components for its value.
"""

import json
from fractions import Fraction
from math import atan2, cos, hypot, log, log10, pi, radians, sin, sqrt, tan

# Units: factor to coherent SI, exact by definition.
INCH = Fraction(254, 10000)                      # international inch, 1959
FOOT = 12 * INCH
POUND = Fraction(45359237, 100000000)            # avoirdupois pound, kg
STANDARD_GRAVITY = Fraction(980665, 100000)      # CGPM 1901, m/s^2
POUND_FORCE = POUND * STANDARD_GRAVITY           # N
GALLON = 231 * INCH ** 3                         # US liquid gallon
UNIT = {
    "1": Fraction(1),
    "%": Fraction(1, 100),
    "deg": pi / 180,
    "s": Fraction(1), "rad/s": Fraction(1),
    "m": Fraction(1), "mm": Fraction(1, 1000), "in": INCH, "ft": FOOT,
    "m^2": Fraction(1), "ft^2": FOOT ** 2, "m^3": Fraction(1),
    "cm^3": Fraction(1, 10 ** 6), "cm^4": Fraction(1, 10 ** 8),
    "h": Fraction(3600),
    "m/s": Fraction(1), "ft/s": FOOT,
    "m^2/s": Fraction(1), "m^3/s": Fraction(1), "L/s": Fraction(1, 1000), "gpm": GALLON / 60,
    "kg": Fraction(1), "kg/s": Fraction(1),
    "kg m^2": Fraction(1),
    "lb/ft^3": POUND / FOOT ** 3,
    "N": Fraction(1), "kN": Fraction(1000), "kN/m": Fraction(1000), "kN/m^2": Fraction(1000), "kN m": Fraction(1000),
    "Pa": Fraction(1), "kPa": Fraction(1000), "MPa": Fraction(10 ** 6), "GPa": Fraction(10 ** 9),
    "psi": POUND_FORCE / INCH ** 2,
    "kW": Fraction(1000), "hp": 550 * FOOT * POUND_FORCE,
    "kWh": Fraction(3600000), "GJ": Fraction(10 ** 9),
    "K": Fraction(1), "K/W": Fraction(1), "J/(mol K)": Fraction(1), "J/(kg K)": Fraction(1),
}
ICE_POINT = Fraction(27315, 100)                 # 0 degC in K

ROWS = []


def si(number, unit):
    """A number in a unit, in coherent SI units."""
    if unit == "degC":
        return float(Fraction(str(number)) + ICE_POINT)
    return float(Fraction(str(number)) * Fraction(UNIT[unit]))


def same(left, right):
    """Two routes to one number have to agree to the last few digits of a float."""
    assert abs(left - right) <= 1e-12 * max(abs(left), abs(right)), (left, right)
    return left


def root(function, low, high):
    """The root of a function between two places where it differs in sign, by halving."""
    sign = function(low) > 0
    assert sign != (function(high) > 0), (low, high)
    for _ in range(200):
        middle = (low + high) / 2
        if (function(middle) > 0) == sign:
            low = middle
        else:
            high = middle
    return (low + high) / 2


def settled(function, start):
    """The value that a function leaves as it is, reached by applying it again and again."""
    value = start
    for _ in range(200):
        value = function(value)
    return value


class Problem:
    """Notes the results of one problem of one worksheet."""

    def __init__(self, worksheet, problem=None):
        self.worksheet, self.problem = worksheet, problem

    def note(self, name, value, unit):
        """Notes one result, given in coherent SI units: a number, or a vector as a list."""
        if isinstance(value, list):
            shown = [component / float(UNIT[unit]) for component in value]
            ROWS.append({"worksheet": self.worksheet, "problem": self.problem, "name": name,
                         "value": shown, "unit": unit, "si": value})
            return
        shown = value - float(ICE_POINT) if unit == "degC" else value / float(UNIT[unit])
        ROWS.append({"worksheet": self.worksheet, "problem": self.problem, "name": name,
                     "value": shown, "unit": unit, "si": value})


def penstock_bend():
    """Momentum at a bend that also narrows, on a slope."""
    p = Problem("penstock-bend")
    d1, d2 = si(700, "mm"), si(500, "mm")
    slope = radians(32)
    flow, gauge_in, fall, loss = si(1.15, "m^3/s"), si(380, "kPa"), si(0.55, "m"), 0.15
    water, steel, density, gravity = 0.62, 410.0, 999.0, 9.81
    friction, safety, concrete = 0.55, 1.5, 2350.0

    a1, a2 = pi * (d1 / 2) ** 2, pi * (d2 / 2) ** 2
    v1, v2 = flow / a1, flow / a2
    rate = same(density * flow, density * a2 * v2)
    # Energy per weight: the head falls by the loss.
    head_in = gauge_in / (density * gravity) + v1 ** 2 / (2 * gravity) + fall
    gauge_out = (head_in - (1 + loss) * v2 ** 2 / (2 * gravity)) * density * gravity
    weight = water * density * gravity + steel * gravity
    # Momentum: rate of momentum out minus in is the sum of the forces, as vectors (right, up).
    inflow, outflow = (v1 * cos(slope), -v1 * sin(slope)), (v2, 0.0)
    push_in = (gauge_in * a1 * cos(slope), -gauge_in * a1 * sin(slope))
    push_out = (-gauge_out * a2, 0.0)
    rx, ry = (
        rate * (outflow[i] - inflow[i]) - push_in[i] - push_out[i] + (weight if i else 0.0)
        for i in (0, 1)
    )
    size, direction = sqrt(rx * rx + ry * ry), atan2(ry, rx)
    block = safety * abs(rx) / friction - ry

    p.note("A_1", a1, "m^2")
    p.note("A_2", a2, "m^2")
    p.note("V_1", v1, "m/s")
    p.note("V_2", v2, "m/s")
    p.note("mdot", rate, "kg/s")
    p.note("p_2", gauge_out, "kPa")
    p.note("W", weight, "kN")
    p.note("R_x", rx, "kN")
    p.note("R_y", ry, "kN")
    p.note("R", size, "kN")
    p.note("phi", direction, "deg")
    p.note("W_b", block, "kN")
    p.note("V_b", block / (concrete * gravity), "m^3")


def ridge_pump(flow):
    """Head and shaft power of a pump from the readings of its gauges."""
    gravity, density, efficiency = float(STANDARD_GRAVITY), si(62.3, "lb/ft^3"), 0.71
    area_s, area_d = pi * si(6, "in") ** 2 / 4, pi * si(4, "in") ** 2 / 4
    v_s, v_d = flow / area_s, flow / area_d
    head_s = si("-4.2", "psi") / (density * gravity) + v_s ** 2 / (2 * gravity)
    head_d = si(58, "psi") / (density * gravity) + v_d ** 2 / (2 * gravity) + si(2.5, "ft")
    head = head_d - head_s
    return area_s, area_d, v_s, v_d, head, density * gravity * flow * head / efficiency


def night_pump(flow):
    """Losses, head and power of a pump that lifts water through a long pipe."""
    gravity, density, viscosity = float(STANDARD_GRAVITY), 999.0, 1.14e-6
    lift, length, bore, roughness, fittings = 38.0, 640.0, 0.15, 0.15e-3, 6.5
    speed = flow / (pi * bore ** 2 / 4)
    reynolds = speed * bore / viscosity
    turbulent = 0.25 * log10(roughness / bore / 3.7 + 5.74 * reynolds ** -0.9) ** -2
    friction = 64 / reynolds if reynolds < 2300 else turbulent
    velocity_head = speed ** 2 / (2 * gravity)
    pipe = friction * length / bore * velocity_head
    valves = fittings * velocity_head
    head = lift + pipe + valves
    power = density * gravity * flow * head / 0.74 / 0.92
    return speed, reynolds, turbulent, friction, pipe, valves, head, power


def pump_house():
    """Energy balance of two pumps, in US and in SI units."""
    p = Problem("pump-house", "The ridge pump, from its gauges")
    area_s, area_d, v_s, v_d, head, power = ridge_pump(si(450, "gpm"))
    p.note("A_s", area_s, "ft^2")
    p.note("A_d", area_d, "ft^2")
    p.note("V_s", v_s, "ft/s")
    p.note("V_d", v_d, "ft/s")
    p.note("H", head, "ft")
    p.note("P", power, "hp")

    p = Problem("pump-house", "The night pump, before it is bought")
    speed, reynolds, turbulent, friction, pipe, valves, head, power = night_pump(si(32, "L/s"))
    p.note("V", speed, "m/s")
    p.note("Re", reynolds, "1")
    p.note("f_t", turbulent, "1")
    p.note("f", friction, "1")
    p.note("h_f", pipe, "m")
    p.note("h_v", valves, "m")
    p.note("H", head, "m")
    p.note("P", power, "kW")
    p.note("E", power * 6 * 3600, "kWh")
    p.note("P at Q = 24 L/s", night_pump(si(24, "L/s"))[-1], "kW")


def heated_pipe():
    """Heat through three resistances in a row."""
    p = Problem("heated-pipe")
    steam, air = si(165, "degC"), si(8, "degC")
    r1, r2, r3 = 0.051, 0.057, 0.107
    length, wall, wool, transfer = 85.0, 50.0, 0.042, 12.0
    r_wall = log(r2 / r1) / (2 * pi * wall * length)
    r_wool = log(r3 / r2) / (2 * pi * wool * length)
    r_air = 1 / (transfer * 2 * pi * r3 * length)
    heat = (steam - air) / (r_wall + r_wool + r_air)
    outer = same(air + heat * r_air, steam - heat * (r_wall + r_wool))
    inner = steam - heat * r_wall
    r_bare = 1 / (transfer * 2 * pi * r2 * length)

    p.note("r_1", r1, "mm")
    p.note("r_2", r2, "mm")
    p.note("r_3", r3, "mm")
    p.note("R_w", r_wall, "K/W")
    p.note("R_k", r_wool, "K/W")
    p.note("R_o", r_air, "K/W")
    p.note("Qdot", heat, "kW")
    p.note("T_o", outer, "degC")
    p.note("T_w", inner, "degC")
    p.note("T_m", (inner + outer) / 2, "degC")
    p.note("E", heat * 4500 * 3600, "GJ")
    p.note("T_e", steam - heat / (0.35 * 2200), "degC")
    p.note("Delta_T", heat / (0.35 * 2200), "K")
    p.note("R_bare", r_bare, "K/W")
    p.note("Qdot_bare", (steam - air) / (r_wall + r_bare), "kW")


def balcony_beam():
    """A clamped beam under a line load and a force at its tip."""
    p = Problem("balcony-beam")
    length, spacing = 1.6, 1.2
    floor, people, rail = si(2.1, "kN/m^2"), si(4, "kN/m^2"), si(0.9, "kN")
    width, height, wall = si(80, "mm"), si(140, "mm"), si(6, "mm")
    modulus = si(210, "GPa")
    line_d = (1.35 * floor + 1.5 * people) * spacing
    moment = line_d * length * length / 2 + 1.35 * rail * length
    # Second moment of area by the other route: two flanges and two webs.
    flange = width * wall ** 3 / 12 + width * wall * ((height - wall) / 2) ** 2
    web = wall * (height - 2 * wall) ** 3 / 12
    second = 2 * flange + 2 * web
    same(second, (width * height ** 3 - (width - 2 * wall) * (height - 2 * wall) ** 3) / 12)
    section = second / (height / 2)
    line = (floor + people) * spacing
    # Sinking by the area-moment rule: the integral of M(x) (L - x)/(E I), done by hand.
    tip = (line * length ** 4 / 8 + rail * length ** 3 / 3) / (modulus * second)

    p.note("w_d", line_d, "kN/m")
    p.note("M", moment, "kN m")
    p.note("V", line_d * length + 1.35 * rail, "kN")
    p.note("I", second, "cm^4")
    p.note("Z", section, "cm^3")
    p.note("sigma", moment / section, "MPa")
    p.note("w", line, "kN/m")
    p.note("delta", tip, "mm")
    p.note("d_max", length / 250, "mm")


def calibration_tank():
    """Ideal gas in a rigid tank, read twice."""
    p = Problem("calibration-tank")
    # CODATA 2018 and 2022, exact since the SI of 2019: k N_A.
    molar_gas_constant = 1.380649e-23 * 6.02214076e23
    gas = molar_gas_constant / 28.0134e-3
    barometer, volume = si(98.6, "kPa"), 0.25
    t1, t2, night = si(21.5, "degC"), si(18.2, "degC"), si("-5", "degC")
    p1, p2 = barometer + si(612, "kPa"), barometer + si(418, "kPa")
    # Amounts of substance first, masses from them.
    m1 = p1 * volume / (molar_gas_constant * t1) * 28.0134e-3
    m2 = p2 * volume / (molar_gas_constant * t2) * 28.0134e-3
    same(m1, p1 * volume / (gas * t1))
    lost = m1 - m2
    cold = p2 * night / t2

    p.note("R_u", molar_gas_constant, "J/(mol K)")
    p.note("R", gas, "J/(kg K)")
    p.note("P_1", p1, "kPa")
    p.note("P_2", p2, "kPa")
    p.note("m_1", m1, "kg")
    p.note("m_2", m2, "kg")
    p.note("m", lost, "kg")
    p.note("e", 0.545 / lost - 1, "%")
    p.note("P_n", cold, "kPa")
    p.note("p_n", cold - barometer, "kPa")


def sluice_gate():
    """Energy and momentum of water under a gate, by halving on the energy itself."""
    p = Problem("sluice-gate")
    width, deep, loss, density, gravity = 2.4, 2.1, 0.06, 999.0, 9.81
    strip = 3.6 / width
    speed = strip / deep
    head = deep + speed ** 2 / (2 * gravity)

    def jet(loss):
        # From thin to half the depth: the surplus of energy changes its sign once.
        surplus = lambda depth: depth + (1 + loss) * (strip / depth) ** 2 / (2 * gravity) - head
        return root(surplus, 1e-3, deep / 2)

    thin, lossless = jet(loss), jet(0)
    fast = strip / thin
    push = density * gravity * (deep ** 2 - thin ** 2) / 2 - density * strip * (fast - speed)
    # Without loss the alternate depth is a quadratic, and the force has a closed form.
    froude = speed / sqrt(gravity * deep)
    same(lossless / deep, (froude ** 2 + sqrt(froude ** 4 + 8 * froude ** 2)) / 4)
    fast_0 = strip / lossless
    same(density * gravity * (deep ** 2 - lossless ** 2) / 2 - density * strip * (fast_0 - speed),
         density * gravity * (deep - lossless) ** 3 / (2 * (deep + lossless)))

    p.note("q", strip, "m^2/s")
    p.note("V_1", speed, "m/s")
    p.note("Fr_1", froude, "1")
    p.note("r", thin / deep, "1")
    p.note("r_0", lossless / deep, "1")
    p.note("y_2", thin, "m")
    p.note("V_2", fast, "m/s")
    p.note("Fr_2", fast / sqrt(gravity * thin), "1")
    p.note("a", thin / 0.61, "m")
    p.note("F", push, "kN/m")
    p.note("F_g", push * width, "kN")


VISCOSITY, ROUGHNESS = 1.27e-6, 0.26e-3          # of the water and the pipes of pipe-friction


def friction_factor(speed, bore):
    """The factor of Colebrook's equation, which is applied until it settles."""
    reynolds = speed * bore / VISCOSITY
    inverse_root = settled(
        lambda x: -2 * log10(ROUGHNESS / bore / 3.7 + 2.51 * x / reynolds), 6.0)
    return inverse_root ** -2


def flow_of(bore, length, head):
    """The flow that loses a head in a pipe: factor and speed in turn, until they settle."""
    gravity = 9.81
    speed = settled(
        lambda v: sqrt(2 * gravity * head * bore / (length * friction_factor(v, bore))), 1.0)
    return speed * pi * bore ** 2 / 4


def pipe_friction():
    """One rough pipe, then three that meet in a joint."""
    p = Problem("pipe-friction", "The main alone")
    density, gravity = 999.6, 9.81
    flow, bore, length = si(21, "L/s"), 0.15, 820.0
    speed = flow / (pi * bore ** 2 / 4)
    factor = friction_factor(speed, bore)
    head = factor * length / bore * speed ** 2 / (2 * gravity)
    # The wall holds back the pressure on the area of the pipe.
    wall = density * gravity * head * (pi * bore ** 2 / 4) / (pi * bore * length)
    same(wall, factor * density * speed ** 2 / 8)

    p.note("V", speed, "m/s")
    p.note("Re", speed * bore / VISCOSITY, "1")
    p.note("f", factor, "1")
    p.note("h_f", head, "m")
    p.note("tau", wall, "Pa")
    p.note("f_r", 0.25 / log10(ROUGHNESS / bore / 3.7) ** 2, "1")

    p = Problem("pipe-friction", "The main and two branches")
    spring, upper, lower = 46.0, 21.5, 0.0
    pipes = (0.15, 820.0), (0.1, 340.0), (0.1, 610.0)

    def flows(joint):
        drops = spring - joint, joint - upper, joint - lower
        return [flow_of(*pipe, drop) for pipe, drop in zip(pipes, drops)]

    def surplus(joint):
        come, *gone = flows(joint)
        return come - sum(gone)

    joint = root(surplus, upper + 1, spring - 1)
    come, to_upper, to_lower = flows(joint)
    speeds = [flow / (pi * bore ** 2 / 4)
              for flow, (bore, _) in zip((come, to_upper, to_lower), pipes)]
    factors = [friction_factor(speed, bore) for speed, (bore, _) in zip(speeds, pipes)]

    p.note("Q_1", come, "L/s")
    p.note("Q_2", to_upper, "L/s")
    p.note("Q_3", to_lower, "L/s")
    p.note("H", joint, "m")
    p.note("f_1", factors[0], "1")
    p.note("f_2", factors[1], "1")
    p.note("f_3", factors[2], "1")
    p.note("Re_3", speeds[2] * 0.1 / VISCOSITY, "1")
    p.note("p_j", density * gravity * (joint - 12), "kPa")


def truss_joint():
    """Two bars that hold a load, by moments about the pins; a cable by its force at the anchor."""
    p = Problem("truss-joint", "The joint of a wall crane")
    reach, rise, fall = 2.4, radians(32), radians(18)
    load = [2500.0, -14000.0]
    high, low = reach * tan(rise), reach * tan(fall)
    # About the lower pin only the level part of the upper reaction turns; and the other way round.
    pull_x = (reach * load[1] - low * load[0]) / (high + low)
    push_x = -(reach * load[1] + high * load[0]) / (high + low)
    same(pull_x + push_x, -load[0])
    upper = [pull_x, -pull_x * tan(rise)]
    lower = [push_x, push_x * tan(fall)]
    same(upper[1] + lower[1], -load[1])
    turn = reach * load[1] - low * load[0]

    p.note("e_1", [-cos(rise), sin(rise)], "1")
    p.note("e_2", [-cos(fall), -sin(fall)], "1")
    p.note("F_1", hypot(*upper), "kN")
    p.note("F_2", -hypot(*lower), "kN")
    p.note("R_A", upper, "kN")
    p.note("R_B", lower, "kN")
    p.note("r_A", [0.0, high + low], "m")
    p.note("r_C", [reach, low], "m")
    p.note("M_A", -turn, "kN m")
    p.note("M_P", turn, "kN m")

    p = Problem("truss-joint", "The cable at a mast")
    tension, eye, anchor = 5200.0, (0.4, 0.15, 4.2), (6.5, -2.0, -0.3)
    way = [b - a for a, b in zip(eye, anchor)]
    length = hypot(*way)
    unit = [part / length for part in way]
    force = [tension * part for part in unit]
    moment = [anchor[i - 2] * force[i - 1] - anchor[i - 1] * force[i - 2] for i in range(3)]
    # The distance of the foot from the line, by Pythagoras: without any moment.
    along = sum(a * b for a, b in zip(eye, unit))
    distance = sqrt(hypot(*eye) ** 2 - along ** 2)
    same(hypot(*moment), tension * distance)

    p.note("e", unit, "1")
    p.note("F", force, "kN")
    p.note("R", [-part for part in force], "kN")
    p.note("M", moment, "kN m")
    p.note("M_R", [-part for part in moment], "kN m")
    p.note("d", distance, "m")
    p.note("M_t", moment[2], "kN m")


def pendulum_period():
    """A ball on a wire, in small swings and in wide ones."""
    p = Problem("pendulum-period")
    length, radius, mass, gravity, longer = 6.4, 0.09, 24.0, 9.81, 0.005
    wide = radians(18)
    inertia = mass * length ** 2 + 0.4 * mass * radius ** 2
    small = 2 * pi * sqrt(inertia / (mass * gravity * length))
    series = lambda angle: 1 + angle ** 2 / 16 + 11 * angle ** 4 / 3072
    # The exact period, by the arithmetic-geometric mean: the series is good to six figures here.
    arithmetic, geometric, means = 1.0, cos(wide / 2), []
    for _ in range(6):
        arithmetic, geometric = (arithmetic + geometric) / 2, sqrt(arithmetic * geometric)
        means.append((arithmetic, geometric))
    exact = small / arithmetic
    assert abs(exact / (small * series(wide)) - 1) < 1e-6
    drop = 2 * length * sin(wide / 2) ** 2
    turning = sqrt(2 * mass * gravity * drop / inertia)
    # The longest swing is a quadratic for the square of the angle.
    square = (-1 / 16 + sqrt(1 / 256 + 44 * longer / 3072)) / (22 / 3072)
    same(series(sqrt(square)), 1 + longer)

    p.note("L_e", inertia / (mass * length), "m")
    p.note("omega", 2 * pi / small, "rad/s")
    p.note("T_0", small, "s")
    p.note("T", small * series(wide), "s")
    p.note("h", drop, "m")
    p.note("I_h", inertia, "kg m^2")
    p.note("omega_b", turning, "rad/s")
    p.note("V", length * turning, "m/s")
    p.note("theta_p", sqrt(square), "deg")
    p.note("a_1", means[0][0], "1")
    p.note("b_1", means[0][1], "1")
    p.note("a_2", means[1][0], "1")
    p.note("T_G", small / means[1][0], "s")


def loading_jib():
    """A jib on a wall with a tie, and two slings on its hook."""
    p = Problem("loading-jib")
    length, rise, fall, slope = 3.2, radians(20), radians(35), radians(55)
    weight, load = 900.0, 6500.0
    # Places and pulls as components; moments about the pin.
    end = (length * cos(rise), length * sin(rise))
    tie = (-cos(fall), sin(fall))
    turning = end[0] * tie[1] - end[1] * tie[0]
    pull = (weight * end[0] / 2 + load * end[0]) / turning
    level, upright = -pull * tie[0], weight + load - pull * tie[1]
    # The pull of the pin goes through the point where the lines of the tie and of both weights meet.
    both = weight + load
    at = (weight * end[0] / 2 + load * end[0]) / both
    height = end[1] + (at - end[0]) * tie[1] / tie[0]
    same(upright / level, height / at)

    p.note("S", pull, "kN")
    p.note("A_x", level, "kN")
    p.note("A_y", upright, "kN")
    p.note("T", load / 2 / sin(slope), "kN")


def orchard_ladder():
    """A ladder on a rough ground and a smooth board, with a picker on it."""
    p = Problem("orchard-ladder")
    length, slope, own, picker = 4.2, radians(62), 118.0, 760.0
    friction, safety = 0.45, 1.3
    ground = own + picker
    board = friction * ground / safety
    # Three forces that hold a body meet in a point: the weights together, and both supports together.
    # The line of the ground's force goes from the foot to the height of the board.
    height = length * sin(slope)
    across = height * board / ground
    # There both weights together act; each lies at its level distance from the foot.
    middle = length / 2 * cos(slope)
    at = (ground * across - own * middle) / picker

    p.note("N_A", ground, "N")
    p.note("N_B", board, "N")
    p.note("s", at / cos(slope), "m")


def feed_branch():
    """The force on a branch of a main, by forces at its three ends as vectors."""
    p = Problem("feed-branch")
    density, turn = 999.0, radians(50)
    ends = [
        # Diameter, flow out of the piece, gauge pressure, and which way is out.
        (0.400, -0.260, 240e3, (-1.0, 0.0)),
        (0.300, 0.150, 238e3, (1.0, 0.0)),
        (0.250, 0.110, 226e3, (cos(turn), sin(turn))),
    ]
    force = [0.0, 0.0]
    for diameter, flow, pressure, (x, y) in ends:
        area = pi * diameter ** 2 / 4
        # Pressure pushes in, and what leaves takes its momentum with it; what enters points in.
        thrust = pressure * area + density * flow ** 2 / area
        force[0] += thrust * x
        force[1] += thrust * y

    for at, (diameter, flow, _, _) in enumerate(ends, start=1):
        area = pi * diameter ** 2 / 4
        p.note(f"A_{at}", area, "m^2")
        p.note(f"V_{at}", abs(flow) / area, "m/s")
    p.note("Q_2", 0.150, "m^3/s")
    p.note("F_x", force[0], "kN")
    p.note("F_y", force[1], "kN")
    p.note("F", sqrt(force[0] ** 2 + force[1] ** 2), "kN")


def hill_tank():
    """The head and power of a pump from a pond to a tank, by pressures along the way."""
    p = Problem("hill-tank")
    pond, tank, inlet = 212.0, 246.5, 214.2
    flow, diameter, factor, density, gravity = 0.018, 0.125, 0.021, 999.0, 9.81
    area = pi * diameter ** 2 / 4
    speed = flow / area
    dynamic = density * speed ** 2 / 2
    before = (factor * 14 / diameter + 1.6) * dynamic
    behind = (factor * 310 / diameter + 2.4) * dynamic
    # Pressures from the open surfaces to both sides of the pump.
    suction = density * gravity * (pond - inlet) - dynamic - before
    delivery = density * gravity * (tank - inlet) - dynamic + behind
    rise = delivery - suction

    p.note("A", area, "m^2")
    p.note("V", speed, "m/s")
    p.note("h_s", before / (density * gravity), "m")
    p.note("h_d", behind / (density * gravity), "m")
    p.note("h_p", rise / (density * gravity), "m")
    p.note("P", rise * flow / 0.68, "kW")
    p.note("p_3", suction, "kPa")
    p.note("p_a", suction + 98.6e3, "kPa")


if __name__ == "__main__":
    penstock_bend()
    pump_house()
    heated_pipe()
    balcony_beam()
    calibration_tank()
    sluice_gate()
    pipe_friction()
    truss_joint()
    pendulum_period()
    loading_jib()
    orchard_ladder()
    feed_branch()
    hill_tank()
    print("[\n " + ",\n ".join(json.dumps(row) for row in ROWS) + "\n]")
