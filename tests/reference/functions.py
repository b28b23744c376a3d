"""Fills in the values of functions.json: each case says in `how` what is computed, with the names
of mpmath; the numbers are the decimals that stand there, at 40 digits.

    python3 tests/reference/functions.py
"""

import json
import pathlib

import mpmath

PLACE = pathlib.Path(__file__).with_name("functions.json")
mpmath.mp.dps = 40

cases = json.loads(PLACE.read_text())
for case in cases:
    value = eval(case["how"], {**vars(mpmath)})
    case["value"] = mpmath.nstr(value, 20)
    case["source"] = f"mpmath {mpmath.__version__}"
lines = ",\n".join(" " + json.dumps(case) for case in cases)
PLACE.write_text(f"[\n{lines}\n]\n")
