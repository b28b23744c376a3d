"""Adds sets of NIST StRD to `fits.json` and `csv`, which other source distributions carry.

NIST's data and certified values are in the public domain; nothing else is taken. The nonlinear sets are files of NIST
in the source distribution of a general library (PyPI, lmfit 1.3.4, `NIST_STRD/*.dat`). The others stand as arrays with
their certified values in the tests of another (Debian's source package gsl 2.7.1). Linear and univariate sets are
computed again in exact fractions; the largest relative difference from what is certified is told in `how`.
Wampler3 is made from Wampler4 by its definition, the same polynomial with a hundredth of its deviations, and has the
exact values instead of certified ones.

    python3 strd.py FOLDER-OF-LMFIT FOLDER-OF-GSL
"""

import json
import re
import sys
from decimal import Decimal, getcontext
from fractions import Fraction
from pathlib import Path

HERE = Path(__file__).parent
NONLINEAR = {
    "Misra1b": "y = b1 * (1-(1+b2*x/2)^(-2))",
    "DanWood": "y = b1*x^b2",
    "Lanczos2": "y = b1*exp(-b2*x) + b3*exp(-b4*x) + b5*exp(-b6*x)",
    "Gauss1": "y = b1*exp( -b2*x ) + b3*exp( -(x-b4)^2 / b5^2 ) + b6*exp( -(x-b7)^2 / b8^2 )",
    "Hahn1": "y = (b1+b2*x+b3*x^2+b4*x^3) / (1+b5*x+b6*x^2+b7*x^3)",
    "Nelson": "ln(y) = b1 - b2*x * exp(-b3*z)",
    "Roszman1": "y = b1 - b2*x - atan(b3/(x-b4))/pi",
    "MGH10": "y = b1 * exp(b2/(x+b3))",
    "BoxBOD": "y = b1*(1-exp(-b2*x))",
}
getcontext().prec = 60


def root(square):
    return (Decimal(square.numerator) / Decimal(square.denominator)).sqrt()


def solved(matrix, right):
    """The solution of linear equations in fractions."""
    rows = [list(row) + [value] for row, value in zip(matrix, right)]
    for at in range(len(rows)):
        pivot = next(row for row in range(at, len(rows)) if rows[row][at] != 0)
        rows[at], rows[pivot] = rows[pivot], rows[at]
        rows[at] = [entry / rows[at][at] for entry in rows[at]]
        for other in range(len(rows)):
            if other != at and rows[other][at] != 0:
                factor = rows[other][at]
                rows[other] = [a - factor * b for a, b in zip(rows[other], rows[at])]
    return [row[-1] for row in rows]


def least_squares(columns, y):
    """Parameters, their standard deviations and that of the residuals, exact but for the roots."""
    count = len(columns)
    normal = [[sum(a * b for a, b in zip(one, other)) for other in columns] for one in columns]
    right = [sum(a * b for a, b in zip(column, y)) for column in columns]
    parameters = solved(normal, right)
    residuals = [
        value - sum(b * column[row] for b, column in zip(parameters, columns)) for row, value in enumerate(y)
    ]
    variance = sum(r * r for r in residuals) / (len(y) - count)
    deviations = []
    for at in range(count):
        unit = [Fraction(int(at == other)) for other in range(count)]
        deviations.append(root(variance * solved(normal, unit)[at]))
    return parameters, deviations, root(variance)


def difference(pairs):
    """The largest relative difference of exact from certified values."""

    def of(exact, certified):
        exact = Decimal(exact.numerator) / exact.denominator if isinstance(exact, Fraction) else exact
        return abs(exact - Decimal(certified)) / abs(Decimal(certified))

    return f"{max(of(*pair) for pair in pairs):.1e}"


def numbers(text, name):
    """The entries of an array of a C source, as they are written."""
    body = re.search(name + r"\s*\[\s*\w*\s*\]\s*=\s*\{([^}]*)\}", text).group(1)
    return [entry.strip() for entry in body.split(",") if entry.strip()]


def value_of(text, name):
    return re.search(name + r"\s*=\s*(-?[0-9.]+(?:[Ee][-+]?\d+)?)", text).group(1)


def write(name, titles, columns):
    rows = [",".join(fields) for fields in zip(*columns)]
    (HERE / f"csv/strd_{name}.csv").write_text("\n".join([",".join(titles), *rows]) + "\n")
    return {"data": f"csv/strd_{name}.csv", "n": len(rows)}


def case(prefix, name, kind, how, expected, **more):
    kinds = {
        "univariate": ("univariate summary", "Univariate Summary Statistics"),
        "linear": ("linear least squares", "Linear Least Squares Regression"),
        "nonlinear": ("nonlinear least squares", "Nonlinear Least Squares Regression"),
    }
    short, long = kinds[kind]
    return {
        "id": f"{prefix}-{name}",
        "title": f"NIST StRD {short}: {name}",
        "source": f"NIST StRD {long}, dataset {name}.dat" + ("" if name == "Wampler3" else " (certified values)"),
        "how": how,
        "inputs": [],
        "equations": [],
        "expected": expected,
        "note": "",
        **more,
        "kind": kind,
    }


def row(symbol, value, deviation=None):
    told = {"symbol": symbol, "value": value, "unit": "1"}
    return told if deviation is None else {**told, "std_uncertainty": deviation}


def nonlinear(folder, name, model):
    lines = (folder / f"NIST_STRD/{name}.dat").read_text().splitlines()
    parameters = [line.split() for line in lines if re.match(r"\s*b\d\s*=", line)]
    starts = [{fields[0]: fields[at] for fields in parameters} for at in (2, 3)]
    expected = [row(fields[0], fields[4], fields[5]) for fields in parameters]

    def stated(title):
        return next(line.split(":")[1].strip() for line in lines if line.startswith(title))

    expected += [row("rss", stated("Residual Sum of Squares"))]
    expected += [row("resid_sd", stated("Residual Standard Deviation"))]
    start = max(at for at, line in enumerate(lines) if line.startswith("Data:")) + 1
    # A point is written with a digit before it.
    rows = [re.sub(r"(?<![0-9])\.", "0.", line).split() for line in lines[start:] if line.strip()]
    columns = list(zip(*rows))
    data = write(name, ["y", "x", "z"][: len(columns)], columns)
    assert data["n"] == int(stated("Number of Observations"))
    degrees = int(stated("Degrees of Freedom"))
    how = f"read by strd.py from lmfit 1.3.4 source distribution NIST_STRD/{name}.dat"
    return case(
        "fit-nl", name, "nonlinear", how, expected, model=model, **data,
        degrees_of_freedom=degrees, start1=starts[0], start2=starts[1],
    )


def univariate(folder):
    text = (folder / "statistics/test_nist.c").read_text()
    two = ["1000000.2"] + ["1000000.1", "1000000.3"] * 500
    sets = [
        ("Lew", "lew", numbers(text, "lew")),
        ("Michelso", "michelson", numbers(text, "michelson ")),
        ("NumAcc3", "numacc3", two),
    ]
    for name, word, readings in sets:
        after = text[text.index(f"gsl_stats_mean ({word}") :]
        mean, deviation = value_of(after, "expected_mean"), value_of(after, "expected_sd")
        exact = [Fraction(reading) for reading in readings]
        middle = sum(exact) / len(exact)
        spread = root(sum((entry - middle) ** 2 for entry in exact) / (len(exact) - 1))
        how = (
            "read by strd.py from Debian's source package gsl 2.7.1, statistics/test_nist.c; re-computed in exact "
            f"fractions, largest difference {difference([(middle, mean), (spread, deviation)])}"
        )
        expected = [row("mean", mean), row("sd", deviation)]
        yield case("stat-uni", name, "univariate", how, expected, **write(name, ["y"], [readings]))


def linear(folder):
    text = (folder / "fit/test.c").read_text()
    x, y = numbers(text, "noint1_x"), numbers(text, "noint1_y")
    after = text[text.index("i < noint1_n") :]
    slope = value_of(after, "expected_c1")
    deviation = re.search(r"expected_cov11 = pow\(([^,]*)", after).group(1)
    parameters, deviations, _ = least_squares([[Fraction(at) for at in x]], [Fraction(at) for at in y])
    how = (
        "read by strd.py from Debian's source package gsl 2.7.1, fit/test.c; re-computed in exact fractions, largest "
        f"difference {difference([(parameters[0], slope), (deviations[0], deviation)])}"
    )
    yield case(
        "fit-lin", "NoInt1", "linear", how, [row("B1", slope, deviation)], model="y = B1*x", **write("NoInt1", ["y", "x"], [y, x])
    )

    text = (folder / "multifit/test_longley.c").read_text()
    y = numbers(text, "longley_y")
    entries = numbers(text, "longley_x ")
    columns = [entries[at::7] for at in range(7)]
    values, spreads = numbers(text, "expected_c"), numbers(text, "expected_sd")
    exact = [[Fraction(entry) for entry in column] for column in columns]
    parameters, deviations, _ = least_squares(exact, [Fraction(at) for at in y])
    pairs = [*zip(parameters, values), *zip(deviations, spreads)]
    titles = ["d", "g", "u", "f", "p", "t"]
    model = "y = B0 + " + " + ".join(f"B{at}*{title}" for at, title in enumerate(titles, 1))
    how = (
        "read by strd.py from Debian's source package gsl 2.7.1, multifit/test_longley.c; re-computed in exact "
        f"fractions, largest difference {difference(pairs)}"
    )
    expected = [row(f"B{at}", *both) for at, both in enumerate(zip(values, spreads))]
    data = write("Longley", ["y", *titles], [y, *columns[1:]])
    yield case("fit-lin", "Longley", "linear", how, expected, model=model, **data)

    fourth = [line.split(",") for line in (HERE / "csv/strd_Wampler4.csv").read_text().splitlines()[1:]]
    x = [Fraction(fields[1]) for fields in fourth]
    line = [sum(at**power for power in range(6)) for at in x]
    y = [line[at] + (Fraction(fields[0]) - line[at]) / 100 for at, fields in enumerate(fourth)]
    parameters, deviations, _ = least_squares([[at**power for at in x] for power in range(6)], y)
    expected = [
        row(f"B{at}", str(value), f"{deviation:.15e}") for at, (value, deviation) in enumerate(zip(parameters, deviations))
    ]
    how = "made by strd.py from Wampler4 by its definition; values in exact fractions, which certified ones round"
    model = "y = B0 + B1*x + B2*x^2 + B3*x^3 + B4*x^4 + B5*x^5"
    data = write("Wampler3", ["y", "x"], [[str(at) for at in y], [fields[1] for fields in fourth]])
    yield case("fit-lin", "Wampler3", "linear", how, expected, model=model, **data)


def main(lmfit, gsl):
    sets = [*linear(gsl), *univariate(gsl)]
    sets += [nonlinear(lmfit, name, model) for name, model in NONLINEAR.items()]
    file = HERE / "fits.json"
    own = {entry["id"] for entry in sets}
    kept = [entry for entry in json.loads(file.read_text()) if entry["id"] not in own]
    file.write_text(json.dumps(kept + sets, indent=1) + "\n")


main(*map(Path, sys.argv[1:]))
