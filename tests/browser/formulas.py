"""Worksheets of random formulas, whose pages are measured like any other."""

import random
import subprocess

# Names with deep, high and accented letters, as plain numbers and as lengths.
PLAIN = ["A", "p_1", "y_2", "q_b", "gamma_1", "f", "V_max", "xi_3", "Qdot", "zbar_2", "Re", "Delta_T", "g_y", "beta_i", "k"]
LENGTHS = ["D_1", "y_n", "h_f", "L", "gamma_g", "rhat"]


def worksheet(lines, seed):
    """A worksheet with so many lines of work."""
    chance = random.Random(seed)
    given = [f"{name} = {chance.choice(['1.25', '2.5', '0.75'])}" for name in PLAIN[:3]]
    given += [f"{name} = {chance.choice(['1.25', '2.5', '0.75', '12345.6', '3'])}" for name in PLAIN[3:]]
    given += [f"{name} = {chance.choice(['1.25', '0.350', '750'])} {chance.choice(['m', 'mm'])}" for name in LENGTHS]
    work = [f"w_{at} = {formula(chance, 4)} = ?" for at in range(1, lines + 1)]
    return "\n".join(["# Formulas", "", "```given", *given, "```", "", "```work", *work, "```", ""])


def page(program, folder, lines, seed):
    """The page of such a worksheet, which is written beside it."""
    source = folder / f"formulas-{seed}.md"
    source.write_text(worksheet(lines, seed), encoding="utf-8")
    written = source.with_suffix(".html")
    subprocess.run([program, "page", source, "-o", written], check=True, capture_output=True, timeout=300)
    return written


def formula(chance, depth):
    """A plain number greater than zero, so that it may stand under a root."""
    if depth == 0:
        return chance.choice(PLAIN)
    one = lambda: formula(chance, depth - 1)
    length = lambda: chance.choice(LENGTHS)
    kinds = [
        lambda: f"({one()} + {one()})",
        lambda: f"({one()})*({one()})",
        lambda: f"({one()})/({one()})",
        lambda: f"(({one()})/({one()})) ({one()})",
        lambda: f"{length()}/{length()}",
        lambda: f"({length()} + {length()}/({one()}))/({length()})",
        lambda: f"{chance.choice(PLAIN)}^2",
        lambda: f"({one()})^2",
        lambda: f"({length()}/{length()})^({chance.choice(PLAIN[:3])}/2)",
        lambda: f"sqrt({one()}) {chance.choice(PLAIN)}",
        lambda: f"sqrt(({one()})/({one()}))",
        lambda: f"max(({one()}), {chance.choice(PLAIN)}^2)",
        lambda: f"|(({one()}))|",
        lambda: f"{chance.choice(PLAIN)}",
        lambda: f"1/2 ({one()})",
        lambda: f"ln(1 + ({one()}))",
    ]
    return chance.choice(kinds)()
