#!/usr/bin/env python3
"""Writes fonts.css, the style sheet that carries the fonts of this folder, from the font files."""
import base64
import pathlib

FACES = [
    ("STIX Two Math", "normal", 400, "STIXTwoMath-subset.woff2"),
    ("STIX Two Letters", "normal", 400, "STIXTwoMath-letters.woff2"),
    ("STIX Two Text", "normal", 400, "stix-two-text-latin-400-normal.woff2"),
    ("STIX Two Text", "italic", 400, "stix-two-text-latin-400-italic.woff2"),
    ("STIX Two Text", "normal", 700, "stix-two-text-latin-700-normal.woff2"),
]

folder = pathlib.Path(__file__).parent
rules = []
for family, style, weight, name in FACES:
    data = base64.b64encode((folder / name).read_bytes()).decode("ascii")
    rules.append(
        f'@font-face{{font-family:"{family}";font-style:{style};font-weight:{weight};'
        # Text can be read before its font is there.
        "font-display:swap;"
        f'src:url(data:font/woff2;base64,{data}) format("woff2")}}\n'
    )
(folder / "fonts.css").write_text("".join(rules), encoding="ascii")
