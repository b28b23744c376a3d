"""The laboratory notebooks of `worksheets/`, computed a second time.

Each reduction is a function of all its readings and data. It is solved with numpy and scipy (general-purpose
numerical libraries), and its uncertainty is the root of the sum of squares of its change for a change of each
input by a thousandth of its standard uncertainty, with the correlations that are stated. Nothing here is
computed by setsquare.

    python3 -m venv v && v/bin/pip install numpy scipy && v/bin/python notebook.py > notebook.json
"""

import json
from math import pi, sqrt

import numpy as np
from scipy import interpolate, optimize

ROWS = []


def propagate(reduce, values, spreads, correlated=()):
    """Results, their standard uncertainties and the contribution of each input."""
    values = np.asarray(values, float)
    spreads = np.asarray(spreads, float)
    results = np.asarray(reduce(values), float)
    parts = np.zeros((len(values), len(results)))
    for at, spread in enumerate(spreads):
        if spread == 0.0:
            continue
        step = 1e-3 * spread
        above, below = values.copy(), values.copy()
        above[at] += step
        below[at] -= step
        slope = (np.asarray(reduce(above)) - np.asarray(reduce(below))) / (2 * step)
        parts[at] = slope * spread
    variance = (parts**2).sum(axis=0)
    for one, other, coefficient in correlated:
        variance += 2 * coefficient * parts[one] * parts[other]
    return results, np.sqrt(variance), parts


def note(worksheet, name, value, uncertainty, unit, degrees=None):
    row = {"worksheet": worksheet, "name": name, "value": value, "uncertainty": uncertainty, "unit": unit}
    if degrees is not None:
        row["degrees_of_freedom"] = degrees
    ROWS.append(row)


def note_list(worksheet, name, values, uncertainties, unit, missing=()):
    """A list, whose missing rows are told as they are in a report."""

    def told(numbers, blank):
        return [blank if row in missing else float(number) for row, number in enumerate(numbers)]

    note(worksheet, name, told(values, None), told(uncertainties, 0.0), unit)


def adjusted(model, guess, columns, spreads):
    """Parameters of `model(parameters, rows) = 0` where every reading of a row may move, and the readings as they are
    then: the least sum of squares of the moves, each in units of its uncertainty."""
    columns = np.asarray(columns, float)
    spreads = np.asarray(spreads, float)
    parameters = np.asarray(guess, float)
    rows = columns.copy()
    for _ in range(200):
        # The model linear in the moves at the present rows, solved for parameters with the rows eliminated.
        def of_rows(at):
            return model(parameters, at)

        slopes = []
        for column in range(len(columns)):
            step = 1e-6 * np.maximum(np.abs(rows[column]), 1e-3)
            above, below = rows.copy(), rows.copy()
            above[column] += step
            below[column] -= step
            slopes.append((of_rows(above) - of_rows(below)) / (2 * step))
        slopes = np.asarray(slopes)
        variance = ((slopes * spreads) ** 2).sum(axis=0)
        offset = of_rows(rows) + (slopes * (columns - rows)).sum(axis=0)

        jacobian = []
        for index in range(len(parameters)):
            step = 1e-6 * max(abs(parameters[index]), 1e-6)
            above, below = parameters.copy(), parameters.copy()
            above[index] += step
            below[index] -= step
            jacobian.append((model(above, rows) - model(below, rows)) / (2 * step))
        jacobian = np.asarray(jacobian).T
        weight = 1 / np.sqrt(variance)
        change, *_ = np.linalg.lstsq(jacobian * weight[:, None], -offset * weight, rcond=None)
        parameters = parameters + change
        rest = offset + jacobian @ change
        new = columns - slopes * spreads**2 * (rest / variance)
        done = np.max(np.abs(change) / np.maximum(np.abs(parameters), 1e-12)) < 1e-13
        rows = new
        if done:
            break
    return parameters, rows


def pendulum():
    lengths = np.array([287, 388, 487, 589, 686, 787, 886, 985]) * 1e-3
    times = np.array([21.90, 25.41, 28.67, 31.15, 33.47, 35.94, 38.04, 40.02])
    kept = [0, 1, 3, 4, 5, 6, 7]
    count, swings, half = len(kept), 20, 4 * pi / 180
    centres = sqrt(1.0**2 + (0.02 / 2) ** 2)
    note_list("pendulum-notebook", "L_i", lengths * 1e3 + 25.02 / 2, [centres] * len(lengths), "mm", (2,))
    note_list("pendulum-notebook", "T_i", times / swings, [0.05 / swings] * len(times), "s", (2,))
    readings = np.concatenate([lengths[kept], times[kept], [25.02e-3]])
    spreads = np.concatenate([[1.0e-3] * count, [0.05] * count, [0.02e-3]])

    def reduce(at):
        rows, ball = at[: 2 * count].reshape(2, count), at[-1]

        def model(p, rows):
            return (rows[1] / swings) ** 2 - p[1] - 4 * pi**2 / p[0] * (rows[0] + ball / 2)

        (g, c), _ = adjusted(model, [9.8, 0.0], rows, [[1.0e-3] * count, [0.05] * count])
        return [g, c, g * (1 + half**2 / 8)]

    values, spreads, _ = propagate(reduce, readings, spreads)
    for name, value, spread, unit in zip(["g_1", "c", "g"], values, spreads, ["m/s^2", "s^2", "m/s^2"]):
        note("pendulum-notebook", name, value, spread, unit)


def weir():
    heads = np.array([30.8, 41.9, 55.6, 67.9, 82.0, 97.1, 112.8, 129.9, 148.5]) * 1e-3
    flows = np.array([3.70, 5.96, 8.98, 12.53, 16.69, 21.34, 26.97, 33.63, 40.84]) * 1e-3
    count = len(heads)
    gauge = 0.5e-3 / sqrt(3)

    def spread_of_flow(flow):
        return np.sqrt((0.003 * flow) ** 2 + 0.08e-3**2)

    def direct(at):
        rows, zero = at[: 2 * count].reshape(2, count), at[-1]

        def model(p, rows):
            return rows[1] - p[0] * ((rows[0] + zero) / 0.1) ** p[1]

        p, fitted = np.array([22.5e-3, 1.5]), rows
        for _ in range(30):
            p, fitted = adjusted(model, p, rows, [[0.2e-3] * count, spread_of_flow(fitted[1])])
        return p

    readings = np.concatenate([heads, flows, [0.0]])

    def equal(at):
        rows, zero = at[: 2 * count].reshape(2, count), at[-1]
        slope, start = np.polyfit(np.log((rows[0] + zero) / 0.1), np.log(rows[1] / 1e-3), 1)
        return [start, slope]

    fitted = direct(readings)
    spreads = np.concatenate([[0.2e-3] * count, spread_of_flow(fitted[0] * (heads / 0.1) ** fitted[1]), [gauge]])
    values, uncertain, _ = propagate(direct, readings, spreads)
    note("weir-calibration", "Q_0", values[0] * 1e3, uncertain[0] * 1e3, "L/s")
    note("weir-calibration", "n", values[1], uncertain[1], "1")
    # The logarithms with their own uncertainties: the same readings move, the same weights are taken of the fitted flow.
    def logarithms(at):
        rows, zero = at[: 2 * count].reshape(2, count), at[-1]

        def model(p, rows):
            return np.log(rows[1] / 1e-3) - p[0] - p[1] * np.log((rows[0] + zero) / 0.1)

        p, fitted = np.array([3.1, 1.5]), rows
        for _ in range(30):
            p, fitted = adjusted(model, p, rows, [[0.2e-3] * count, spread_of_flow(fitted[1])])
        return p

    values, uncertain, _ = propagate(logarithms, readings, spreads)
    note("weir-calibration", "a_3", values[0], uncertain[0], "1")
    note("weir-calibration", "n_3", values[1], uncertain[1], "1")
    # The spread of the equally weighted line is that of its residuals; the zero of the gauge goes through it.
    start, slope = equal(readings)
    x, y = np.log(heads / 0.1), np.log(flows / 1e-3)
    rest = y - start - slope * x
    s = sqrt((rest**2).sum() / (count - 2))
    square = ((x - x.mean()) ** 2).sum()
    own = [s * sqrt(1 / count + x.mean() ** 2 / square), s / sqrt(square)]
    _, through, _ = propagate(equal, readings, np.concatenate([[0.0] * 2 * count, [gauge]]))
    note("weir-calibration", "a", start, sqrt(own[0] ** 2 + through[0] ** 2), "1")
    note("weir-calibration", "n_2", slope, sqrt(own[1] ** 2 + through[1] ** 2), "1")
    note_list("weir-calibration", "h_i", heads * 1e3, [sqrt(0.2**2 + 0.5**2 / 3)] * count, "mm")


def resistor():
    volts = np.array([4.9987, 4.9991, 4.9984, 4.9993, 4.9989, 4.9986])
    amps = np.array([50.056, 50.050, 50.048, 50.051, 50.046, 50.050]) * 1e-3
    count = len(volts)
    together = np.corrcoef(volts, amps)[0, 1]
    means = [volts.mean(), amps.mean()]
    scatter = [volts.std(ddof=1) / sqrt(count), amps.std(ddof=1) / sqrt(count)]
    values = [*means, 0.0, 0.0, 12e-6, 24.1]
    spreads = [
        *scatter, 0.35e-3 / sqrt(3), 0.012e-3 / sqrt(3), 5e-6 / sqrt(3), 0.6 / sqrt(2),
    ]

    def reduce(at):
        voltage, current = at[0] + at[2], at[1] + at[3]
        resistance = voltage / current
        return [voltage, current, resistance, resistance / (1 + at[4] * (at[5] - 20))]

    values, uncertain, parts = propagate(reduce, values, spreads, [(0, 1, together)])
    # Welch-Satterthwaite (JCGM 100, G.4.1): the readings taken together are one source of five degrees of freedom,
    # the ammeter's limit is known to 25 %, which are eight (G.4.2).
    def degrees(of):
        joint = of[0] ** 2 + of[1] ** 2 + 2 * together * of[0] * of[1]
        whole = joint + (of[2:] ** 2).sum()
        return whole**2 / (joint**2 / (count - 1) + of[3] ** 4 / 8)

    units = ["V", "mA", "ohm", "ohm"]
    scales = [1, 1e3, 1, 1]
    names = ["V", "I", "R", "R_0"]
    for at, (name, value, spread, unit, scale) in enumerate(zip(names, values, uncertain, units, scales)):
        note("resistor-budget", name, value * scale, spread * scale, unit, degrees(parts[:, at]))


def pump():
    flows = np.array([0.0, 8.0, 15.0, 22.0, 30.0, 38.0, 45.0, 52.0]) * 1e-3
    behind = np.array([308.3, 302.1, 289.8, 275.2, 253.9, 221.8, 190.1, 153.6]) * 1e3
    ahead = np.full(8, -12.0e3)
    count = len(flows)
    # Density, height, resistance, the meter's factor, the gauge's offset, the rounding of equal readings.
    values = np.concatenate([behind, [999.1, 0.35, 5.6e3, 0.0, 0.0, 0.0]])
    spreads = np.concatenate(
        [
            [1.0e3] * count,
            [
                0.1 / sqrt(12), 0.01, 0.06 * 5.6e3, 0.005 / sqrt(3), 0.0025 * 600e3 / sqrt(3), 0.5e3 / sqrt(12),
            ],
        ]
    )

    def reduce(at):
        pressure = at[:count]
        rho, z, k_s, meter, gauge, rounding = at[count:]
        q = flows * (1 + meter)
        head = (pressure + gauge - ahead - rounding) / (rho * 9.81) + z
        b, a, h_0 = np.polyfit(q, head, 2)
        duty = optimize.brentq(lambda q: h_0 + a * q + b * q**2 - 14.2 - k_s * q**2, 0.0, 0.1, xtol=1e-15)
        return [h_0, -a, -b, duty, 14.2 + k_s * duty**2, *head]

    values, uncertain, _ = propagate(reduce, values, spreads)
    note_list("pump-and-plant", "H_i", values[5:], uncertain[5:], "m")
    units = ["m", "s/m^2", "s^2/m^5", "L/s", "m"]
    scales = [1, 1, 1, 1e3, 1]
    for name, value, spread, unit, scale in zip(["H_0", "a", "b", "Q", "H"], values, uncertain, units, scales):
        note("pump-and-plant", name, value * scale, spread * scale, unit)


def water():
    """Values between the rows by scipy's monotone cubic, which names the same papers."""
    places = np.array([0, 5, 10, 15, 20, 25, 30, 35, 40, 50, 60, 70, 80], float)
    columns = [
        [999.8, 1000.0, 999.7, 999.1, 998.2, 997.0, 995.6, 994.0, 992.2, 988.0, 983.2, 977.8, 971.8],
        [4.217, 4.202, 4.192, 4.186, 4.182, 4.180, 4.178, 4.178, 4.179, 4.181, 4.184, 4.190, 4.196],
        [1.792, 1.519, 1.307, 1.139, 1.002, 0.890, 0.798, 0.719, 0.653, 0.547, 0.467, 0.404, 0.355],
    ]
    count = len(places)
    values = np.concatenate([*columns, [13.0]])
    spreads = np.concatenate([[step / sqrt(12)] * count for step in [0.1, 0.001, 0.001]] + [[0.5]])

    def reduce(at):
        rho, c, mu = (
            interpolate.PchipInterpolator(places, at[k * count : (k + 1) * count]) for k in range(3)
        )
        mains = at[-1]
        backwards = optimize.brentq(lambda t: mu(t) / rho(t) * 1e3 - 1.0, 0.0, 80.0, xtol=1e-13)
        return [rho(mains), c(mains), mu(mains), mu(mains) / rho(mains) * 1e3, backwards]

    values, uncertain, _ = propagate(reduce, values, spreads)
    names = [("rho_m", "kg/m^3"), ("c_m", "kJ/(kg K)"), ("mu_m", "mPa s"), ("nu_m", "mm^2/s"), ("T_w", "degC")]
    for (name, unit), value, spread in zip(names, values, uncertain):
        note("water", name, value, spread, unit)


if __name__ == "__main__":
    pendulum()
    weir()
    resistor()
    pump()
    water()
    print("[\n " + ",\n ".join(json.dumps(row) for row in ROWS) + "\n]")
