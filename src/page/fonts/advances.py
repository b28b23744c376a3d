#!/usr/bin/env python3
"""Writes drawing/advances.rs, how wide the letters of a drawing are, from the fonts of the page.

Needs fonttools and brotli.
"""
import pathlib

from fontTools.ttLib import TTFont

TABLES = [
    ("TEXT", "upright letters of words", "stix-two-text-latin-400-normal.woff2"),
    ("MATH", "signs, and the letters of quantities", "STIXTwoMath-subset.woff2"),
]

folder = pathlib.Path(__file__).parent
lines = [
    "//! How wide the letters of the page's fonts are, in thousandths of the size of the type.",
    "//!",
    "//! Written by `src/page/fonts/advances.py` from the fonts themselves.",
]
for table, about, name in TABLES:
    font = TTFont(folder / name)
    unit = font["head"].unitsPerEm
    widths = font["hmtx"]
    rows = {
        letter: round(widths[glyph][0] * 1000 / unit)
        for letter, glyph in font.getBestCmap().items()
        if letter >= 0x20
    }
    lines.append(f"\n/// The {about}, in the order of their code points.")
    lines.append("#[rustfmt::skip]")
    lines.append(f"pub(super) const {table}: [(u32, u16); {len(rows)}] = [")
    pairs = [f"(0x{letter:x}, {rows[letter]})," for letter in sorted(rows)]
    lines += ["    " + " ".join(pairs[at : at + 6]) for at in range(0, len(pairs), 6)]
    lines.append("];")
target = folder.parent.parent / "drawing" / "advances.rs"
target.write_text("\n".join(lines) + "\n", encoding="ascii")
