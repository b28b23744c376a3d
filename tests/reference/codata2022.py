"""Writes codata2022.json: the constants as a general scientific library has them.

    python3 tests/reference/codata2022.py > tests/reference/codata2022.json

Needs scipy 1.15 or newer, the first with CODATA 2022. It reads the listing of NIST that it
carries with code of its own, and computes what is exact in plain doubles: values are compared, and
the way from the listing to a number, not NIST's own digits.
"""

import json

import scipy
from scipy.constants import _codata

rows = [
    {"name": name, "value": value, "unit": unit, "uncertainty": uncertainty}
    for name, (value, unit, uncertainty) in sorted(_codata._physical_constants_2022.items())
]
print("{")
print(f' "source": "CODATA 2022 (NIST SP 961), read from scipy {scipy.__version__}",')
print(' "constants": [')
print(",\n".join("  " + json.dumps(row) for row in rows))
print(" ]\n}")
