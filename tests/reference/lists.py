"""Functions of lists and rows that conditions choose, computed a second time.

Random tables with readings that are uncertain by themselves and in common, missing readings and
words; each result is a function of the readings as an array of plain numbers, whose derivatives are
central differences. Coverage factors are quantiles of scipy. Writes lists.json beside it.

    python lists.py        (numpy and scipy)
"""

import json
import math
import pathlib
import random

import numpy as np
from scipy import stats

CASES = 40
draw = random.Random(20)


class Table:
    def __init__(self):
        self.n = draw.randint(4, 9)
        rows = range(self.n)
        start = draw.uniform(0, 5)
        self.t = [round(start + k * draw.uniform(0.8, 1.2), 2) for k in rows]
        self.x = [round(draw.uniform(5, 50), 1) for _ in rows]
        self.y = [round(draw.uniform(1, 9), 2) for _ in rows]
        self.words = [draw.choice(["up", "down", "at rest"]) for _ in rows]
        self.gap = draw.randrange(self.n) if draw.random() < 0.4 else None
        self.own_x = round(draw.uniform(0.1, 0.5), 2)
        self.own_y = round(draw.uniform(0.01, 0.2), 2)
        self.common_y = round(draw.uniform(0.01, 0.2), 2)

    def has(self, column, row):
        return not (column == "x" and row == self.gap)

    def text(self):
        lines = ["```data runs", "t_i / s | x_i / mm | y_i / N | direction"]
        for k in range(self.n):
            x = f"{self.x[k]}" if self.has("x", k) else "-"
            lines.append(f"{self.t[k]} | {x} | {self.y[k]} | {self.words[k]}")
        lines.append("")
        lines.append(f"x_i ± {self.own_x} mm")
        lines.append(f"y_i ± {self.own_y} N ± {self.common_y} N common")
        lines.append("```")
        return "\n".join(lines)

    def inputs(self):
        """All errors, and their sizes: those of x, of y, and the common one."""
        return np.array([self.own_x] * self.n + [self.own_y] * self.n + [self.common_y])

    def columns(self, errors):
        n = self.n
        return {
            "t": np.array(self.t),
            "x": np.array(self.x) + errors[:n],
            "y": np.array(self.y) + errors[n : 2 * n] + errors[2 * n],
        }


def condition(table, depth=0):
    """The text of a condition, and whether it holds for each row; None where it cannot be told."""
    kind = draw.random()
    rows = range(table.n)
    if depth < 2 and kind < 0.2:
        text, holds = condition(table, depth + 1)
        return f"not ({text})", [None if it is None else not it for it in holds]
    if depth < 2 and kind < 0.5:
        word = draw.choice(["and", "or"])
        parts = [condition(table, depth + 1) for _ in range(2)]
        text = f" {word} ".join(f"({part})" for part, _ in parts)
        holds = []
        for k in rows:
            own = [part[k] for _, part in parts]
            decides = word == "or"
            if decides in own:
                holds.append(decides)
            else:
                holds.append(None if None in own else not decides)
        return text, holds
    if kind < 0.7:
        word = draw.choice(["up", "down", "at rest"])
        return f'direction = "{word}"', [own == word for own in table.words]
    column, unit = draw.choice([("t", "s"), ("x", "mm"), ("y", "N")])
    numbers = getattr(table, column)
    bound = round(draw.uniform(min(numbers), max(numbers)), 3)
    sign = draw.choice(["<", ">"])
    holds = []
    for k in rows:
        if not table.has(column, k):
            holds.append(None)
        else:
            holds.append(numbers[k] < bound if sign == "<" else numbers[k] > bound)
    return f"{column}_i {sign} {bound} {unit}", holds


def gradient(function, count):
    step = 1e-4
    slopes = []
    for k in range(count):
        ends = []
        for sign in (1, -1):
            moved = np.zeros(count)
            moved[k] = sign * step
            ends.append(function(moved))
        slopes.append((ends[0] - ends[1]) / (2 * step))
    return np.array(slopes)


def uncertainty(table, function):
    sizes = table.inputs()
    slopes = gradient(function, len(sizes))
    return float(np.sqrt(np.sum((slopes * sizes) ** 2)))


def covariance(table, one, other):
    sizes = table.inputs() ** 2
    count = len(sizes)
    return float(np.sum(gradient(one, count) * gradient(other, count) * sizes))


def case():
    table = Table()
    work, results = [], []
    rows = range(table.n)

    def add(line, unit, function, is_exact=False):
        name = f"r_{len(results)}"
        work.append(f"{name} = {line} = ? {unit}".rstrip())
        zero = np.zeros(len(table.inputs()))
        size = 0.0 if is_exact else uncertainty(table, function)
        results.append({"name": name, "value": float(function(zero)), "uncertainty": size})

    def add_list(line, unit, entries):
        """Entries are functions, or None where there is none."""
        name = f"r_{len(results)}_i"
        work.append(f"{name} = {line} = ? {unit}".rstrip())
        zero = np.zeros(len(table.inputs()))
        results.append({
            "name": name,
            "value": [None if it is None else float(it(zero)) for it in entries],
            "uncertainty": [None if it is None else uncertainty(table, it) for it in entries],
        })

    for _ in range(4):
        text, holds = condition(table)
        column, unit = draw.choice([("x", "mm"), ("y", "N"), ("t", "s")])
        own = [k for k in rows if holds[k] and table.has(column, k)]
        # What a total may lack.
        gaps = [k for k in rows if holds[k] is not False and not (holds[k] and table.has(column, k))]
        chosen = f"{column}_i where {text}"
        if len(own) < 2:
            continue
        take = lambda errors, own=own, column=column: table.columns(errors)[column][own]
        add(f"mean({chosen})", unit, lambda errors: np.mean(take(errors)))
        add(f"max({chosen})", unit, lambda errors: np.max(take(errors)))
        add(f"standard_deviation({chosen})", unit, lambda errors: np.std(take(errors), ddof=1), True)
        add(f"count({chosen})", "", lambda errors: len(own), True)
        if not gaps:
            add(f"sum({chosen})", unit, lambda errors: np.sum(take(errors)))
            so_far = [
                (lambda errors, k=k: np.sum(table.columns(errors)[column][[j for j in own if j <= k]]))
                if k in own else None
                for k in rows
            ]
            add_list(f"running_sum({chosen})", unit, so_far)
            if column != "t":
                def area(errors, own=own, column=column):
                    columns = table.columns(errors)
                    return np.trapezoid(columns[column][own], columns["t"][own])
                add(f"area_under({chosen}, t_i where {text})", f"{unit} s", area)
        if column == "y" and not gaps:
            # The error in common weights nothing, and all weights are alike.
            add(f"weighted_mean({chosen})", unit, lambda errors: np.mean(take(errors)))
        steps = []
        known = [k for k in rows if holds[k] is not False]
        for k in rows:
            before = [j for j in known if j < k]
            if k in own and before and before[-1] in own:
                pair = (before[-1], k)
                steps.append(
                    lambda errors, pair=pair, column=column:
                        table.columns(errors)[column][pair[1]] - table.columns(errors)[column][pair[0]]
                )
            else:
                steps.append(None)
        if any(steps):
            add_list(f"steps({chosen})", unit, steps)
        f = lambda errors: np.mean(take(errors)) ** 2 + table.columns(errors)["y"][0] * 2.0
        if column == "y":
            size = uncertainty(table, f)
            zero = np.zeros(len(table.inputs()))
            formula = f"mean({chosen})^2 + 2 N*entry(y_i, 1)"
            add(f"uncertainty({formula})", "N^2", lambda errors: size, True)
            add(f"relative({formula})", "", lambda errors: size / abs(f(zero)), True)
            g = lambda errors: table.columns(errors)["y"][-1] * 3.0
            both = covariance(table, f, g) / math.sqrt(covariance(table, f, f) * covariance(table, g, g))
            add(f"correlation({formula}, 3 last(y_i))", "", lambda errors: both, True)
    slopes = []
    for k in rows:
        if 0 < k < table.n - 1 and all(table.has("x", j) for j in (k - 1, k, k + 1)):
            slopes.append(
                lambda errors, k=k: (table.columns(errors)["x"][k + 1] - table.columns(errors)["x"][k - 1])
                / (table.t[k + 1] - table.t[k - 1])
            )
        else:
            slopes.append(None)
    if any(slopes):
        add_list("rate(x_i, t_i)", "mm/s", slopes)
    degrees = draw.randint(2, 30)
    size = round(draw.uniform(0.1, 1), 2)
    level = draw.choice([68, 90, 95, 99])
    factor = float(stats.t.ppf(0.5 + level / 200, degrees))
    work.append(f"e = degrees_of_freedom(m_0) = ?")
    work.append(f"k = coverage_factor(m_0, {level} %) = ?")
    results.append({"name": "e", "value": float(degrees), "uncertainty": 0.0})
    results.append({"name": "k", "value": factor, "uncertainty": 0.0})
    given = f"```given\nm_0 = 3.0 kg ± {size} kg ({degrees} degrees of freedom)\n```"
    text = "\n\n".join([table.text(), given, "```work\n" + "\n".join(work) + "\n```", ""])
    return {"worksheet": text, "results": results}


def weights():
    """Weighted means of readings with different uncertainties, some of them shares."""
    n = draw.randint(3, 7)
    numbers = [round(draw.uniform(9, 11), 2) for _ in range(n)]
    sizes = [round(draw.uniform(0.5, 2), 2) for _ in range(n)]
    rows = "\n".join(f"{number} ± {size}" for number, size in zip(numbers, sizes))
    w = 1 / np.array(sizes) ** 2
    mean = float(np.sum(w * np.array(numbers)) / np.sum(w))
    share = round(draw.uniform(5, 20), 1)
    base = round(draw.uniform(0.5, 2), 2)
    # All rows have the share of the mean, so that they weigh alike.
    plain = float(np.mean(numbers))
    size = math.hypot(base, share / 100 * plain) / math.sqrt(n)
    columns = "\n".join(str(number) for number in numbers)
    text = (
        f"```data own\na_i / N\n{rows}\n```\n\n```data shares\nb_i / N\n{columns}\n\n"
        f"b_i ± {base} N ± ({share} %) each\n```\n\n```work\n"
        "p = weighted_mean(a_i) = ? N\nq = 2 weighted_mean(b_i) = ? N\n```\n"
    )
    return {
        "worksheet": text,
        "results": [
            {"name": "p", "value": mean, "uncertainty": float(1 / math.sqrt(np.sum(w)))},
            {"name": "q", "value": 2 * plain, "uncertainty": 2 * size},
        ],
    }


cases = [case() for _ in range(CASES)] + [weights() for _ in range(20)]
place = pathlib.Path(__file__).with_suffix(".json")
place.write_text(json.dumps(cases, indent=1, ensure_ascii=False) + "\n", encoding="utf-8")
print(len(cases), "cases,", sum(len(it["results"]) for it in cases), "results")
