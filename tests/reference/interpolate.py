"""Monotone cubic interpolation of random tables by a general scientific library.

    python3 tests/reference/interpolate.py > tests/reference/interpolate.json

Computed with scipy's PchipInterpolator (BSD), which names the same papers.
"""

import json
import random

from scipy.interpolate import PchipInterpolator

random.seed(4)
cases = []
for kind in ["rising", "any", "flat pieces"]:
    for count in [2, 3, 4, 5, 9]:
        x, y, at, level = [], [], 0.0, 0.0
        for _ in range(count):
            at += round(random.uniform(0.1, 5.0), 3)
            step = {"rising": random.uniform(0, 3), "any": random.uniform(-3, 3), "flat pieces": random.choice([0, 0, 2.5])}
            level += round(step[kind], 3)
            x.append(round(at, 3))
            y.append(round(level, 3))
        places = [x[0]] + [round(random.uniform(x[0], x[-1]), 4) for _ in range(8)] + [x[-1]]
        values = [float(value) for value in PchipInterpolator(x, y)(places)]
        cases.append({"kind": kind, "x": x, "y": y, "places": places, "values": values})
print(json.dumps(cases, indent=1))
