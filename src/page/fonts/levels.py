#!/usr/bin/env python3
"""Gives the fonts of this folder the distances that this page has: levels of scripts, roots, a narrow space.

Writes STIXTwoMath-letters.woff2, too: the italic letters of quantities at the places of plain letters, for values in
the text, which are copied as plain text. Needs fonttools and brotli; run twice it says the same.
"""
import pathlib

from fontTools.misc.transform import Scale
from fontTools.pens.transformPen import TransformPen
from fontTools.pens.ttGlyphPen import TTGlyphPen
from fontTools.subset import Options, Subsetter
from fontTools.ttLib import TTFont
from fontTools.ttLib.tables._g_l_y_f import Glyph

# In thousandths of the size of the type.
CONSTANTS = {
    # A subscript of p or γ is not lowered, and a power of A or f is not raised, for the depth or height of the
    # letter; what is much taller than a line still carries its power with it.
    "SubscriptBaselineDropMin": -30,
    "SuperscriptBaselineDropMax": 560,
    # Powers stand where there is room for a subscript below them, under roots and bars as well.
    "SuperscriptShiftUp": 380,
    "SuperscriptShiftUpCramped": 380,
    "SubSuperscriptGapMin": 80,
    # Air under the bar of a root, and between it and the bar of a fraction.
    "RadicalVerticalGap": 130,
    "RadicalExtraAscender": 110,
}
# A sixth of the size of the type, between numbers and units and between groups of three digits.
NARROW_SPACE = 0x202F
SIXTH = 167
ROOT = 0x221A
TEXTS = [
    "stix-two-text-latin-400-normal.woff2",
    "stix-two-text-latin-400-italic.woff2",
    "stix-two-text-latin-700-normal.woff2",
]
# The hat, bar, dot and arrow over a letter.
MARKS = [0x302, 0x304, 0x307, 0x20D7]

folder = pathlib.Path(__file__).parent
path = folder / "STIXTwoMath-subset.woff2"
font = TTFont(path, recalcTimestamp=False)
letters = font.getBestCmap()


def constants():
    table = font["MATH"].table.MathConstants
    for name, value in CONSTANTS.items():
        getattr(table, name).Value = value


def narrow_space(font):
    """A font without this space would be given half of its ordinary one."""
    name = font.getBestCmap().get(NARROW_SPACE)
    if name is None:
        name = "uni202F"
        font.setGlyphOrder([*font.getGlyphOrder(), name])
        font["glyf"][name] = Glyph()
        for table in font["cmap"].tables:
            if table.isUnicode():
                table.cmap[NARROW_SPACE] = name
    elif list(font.getBestCmap().values()).count(name) > 1:
        raise SystemExit("the narrow space shares its glyph")
    font["hmtx"][name] = (SIXTH, 0)


def roots():
    """Makes tall root signs as wide as the usual one: a browser gives every root the room of the widest."""
    variants = font["MATH"].table.MathVariants
    index = variants.VertGlyphCoverage.glyphs.index(letters[ROOT])
    root = variants.VertGlyphConstruction[index]
    usual = font["hmtx"][letters[ROOT]][0]
    names = [record.VariantGlyph for record in root.MathGlyphVariantRecord]
    names += [record.glyph for record in root.GlyphAssembly.PartRecords]
    for name in dict.fromkeys(names):
        narrow(name, usual)


def narrow(name, width):
    was, left = font["hmtx"][name]
    if was == width:
        return
    scale = Scale(width / was, 1)
    glyphs = font.getGlyphSet()
    pen = TTGlyphPen(glyphs)
    glyphs[name].draw(TransformPen(pen, scale))
    font["glyf"][name] = pen.glyph()
    font["hmtx"][name] = (width, round(left * width / was))


for name in TEXTS:
    text = TTFont(folder / name, recalcTimestamp=False)
    narrow_space(text)
    text.save(folder / name)

constants()
narrow_space(font)
roots()
font.save(path)


def italic(letter):
    """Where the italic form of a letter stands in mathematics."""
    if letter == ord("h"):
        return 0x210E
    for first, last, block in [("A", "Z", 0x1D434), ("a", "z", 0x1D44E), ("Α", "Ω", 0x1D6E2), ("α", "ω", 0x1D6FC)]:
        if ord(first) <= letter <= ord(last):
            return block + letter - ord(first)
    raise ValueError(letter)


# U+03A2 is no letter.
plain = [*range(0x41, 0x5B), *range(0x61, 0x7B), *range(0x391, 0x3A2), *range(0x3A3, 0x3AA), *range(0x3B1, 0x3CA)]
for table in font["cmap"].tables:
    table.cmap = {letter: letters[italic(letter)] for letter in plain} | {mark: letters[mark] for mark in MARKS}
del font["MATH"], font["GSUB"]
options = Options()
options.flavor = "woff2"
subsetter = Subsetter(options)
subsetter.populate(unicodes=[*plain, *MARKS])
subsetter.subset(font)
font.save(folder / "STIXTwoMath-letters.woff2")
