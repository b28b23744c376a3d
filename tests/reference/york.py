"""The straight line through Pearson's points with York's weights of both coordinates.

    python3 tests/reference/york.py

Points: K. Pearson, Phil. Mag. 2 (1901) 559; weights: D. York, Can. J. Phys. 44 (1966) 1079 (both
from memory; the results agree with those that are published for them, a = 5.47991022,
b = -0.480533407, from memory too).
Computed with mpmath (BSD) to 40 digits: the least of sum (y - a - b x)^2 / (1/wy + b^2/wx) by b,
a being the weighted mean; standard deviations by York et al., Am. J. Phys. 72 (2004) 367, eq. 13.
Writes csv/york.csv, and its case at the end of fits.json anew.
"""

import json
import pathlib

import mpmath as mp

mp.mp.dps = 40
here = pathlib.Path(__file__).parent
X = "0.0 0.9 1.8 2.6 3.3 4.4 5.2 6.1 6.5 7.4".split()
Y = "5.9 5.4 4.4 4.6 3.5 3.7 2.8 2.8 2.4 1.5".split()
WX = "1000 1000 500 800 200 80 60 20 1.8 1.0".split()
WY = "1.0 1.8 4.0 8.0 20 20 70 70 100 500".split()
lines = ["x,y,weight_x,weight_y"] + [",".join(row) for row in zip(X, Y, WX, WY)]
(here / "csv/york.csv").write_text("\n".join(lines) + "\n")
x, y, wx, wy = ([mp.mpf(n) for n in of] for of in (X, Y, WX, WY))


def weights(b):
    return [1 / (1 / v + b * b / u) for u, v in zip(wx, wy)]


def mean(of, w):
    return sum(p * q for p, q in zip(of, w)) / sum(w)


def squares(b):
    w = weights(b)
    a = mean(y, w) - b * mean(x, w)
    return sum(p * (v - a - b * u) ** 2 for p, u, v in zip(w, x, y))


b = mp.findroot(lambda b: mp.diff(squares, b), mp.mpf("-0.48"))
w = weights(b)
a = mean(y, w) - b * mean(x, w)
adjusted = [u + p * (b / s) * (v - a - b * u) for u, v, s, p in zip(x, y, wx, w)]
middle = mean(adjusted, w)
u_b = 1 / mp.sqrt(sum(p * (u - middle) ** 2 for p, u in zip(w, adjusted)))
u_a = mp.sqrt(1 / sum(w) + middle**2 * u_b**2)
text = lambda n: mp.nstr(n, 16)
case = {
    "id": "fit-both-york",
    "title": "Straight line with errors in both coordinates",
    "source": "K. Pearson 1901 (points), D. York 1966 (weights), from memory",
    "how": "computed by york.py with mpmath; agrees with the published a = 5.47991022, b = -0.480533407",
    "inputs": [],
    "equations": [],
    "expected": [
        {"symbol": "a", "value": text(a), "unit": "1", "std_uncertainty": text(u_a)},
        {"symbol": "b", "value": text(b), "unit": "1", "std_uncertainty": text(u_b)},
        {"symbol": "chi_squared", "value": text(squares(b)), "unit": "1"},
    ],
    "note": "standard deviations at the adjusted points, from the weights alone",
    "model": "y = a + b*x",
    "data": "csv/york.csv",
    "n": len(x),
    "kind": "both sides",
}
fits = json.loads((here / "fits.json").read_text())
fits = [fit for fit in fits if fit["id"] != case["id"]] + [case]
(here / "fits.json").write_text(json.dumps(fits, indent=1, ensure_ascii=False) + "\n")
