//! What symbolic and numeric solving cost: a worksheet with one such line, from text to results.
//!
//! The aim is below 5 ms for a typical line; `nothing` is what the worksheet costs without it.

use setsquare::text::Source;
use setsquare::worksheet;

fn main() {
    divan::main();
}

/// Lines of the everyday kinds, by what they do.
const CASES: [(&str, &str); 10] = [
    ("nothing", "```derive\nE = m c^2\n```\n"),
    (
        "rearranged",
        "```derive\nb: R_x + p_1 A_1 cos(theta) - p_2 A_2 = mdot (V_2 - V_1 cos(theta))\n\
         therefore R_x = mdot (V_2 - V_1 cos(theta)) - p_1 A_1 cos(theta) + p_2 A_2\n```\n",
    ),
    (
        "combined",
        "```derive\nh_f = f (L/D) V^2/(2 g)\nV = Q/A\nA = pi D^2/4\nRe = V D/nu\n\
         therefore h_f = 8 f L Q^2/(pi^2 g D^5)\n```\n",
    ),
    (
        "refuted, slip named",
        "```derive\nh_f = f (L/D) V^2/(2 g)\nV = Q/A\nA = pi D^2/4\n\
         therefore h_f = 8 f L Q^2/(pi^2 g D^4)\n```\n",
    ),
    (
        "identity",
        "```derive\ntherefore cos(a - b) + cos(a + b) = 2 cos(a) cos(b)\n```\n",
    ),
    (
        "solve, linear",
        "```derive\nb: R_x + p_1 A_1 cos(theta) - p_2 A_2 = mdot (V_2 - V_1 cos(theta))\nsolve b for R_x\n```\n",
    ),
    (
        "solve, quadratic",
        "```derive\nj: y_2^2 + y_1 y_2 - 2 q^2/(g y_1) = 0\nsolve j for y_2 with y_2 > 0\n```\n",
    ),
    (
        "solve, system",
        "```derive\nh: S_1 cos(a) + S_2 cos(b) = H\nv: S_1 sin(a) + S_2 sin(b) = W\nsolve h, v for S_1, S_2\n```\n",
    ),
    (
        "root by numbers",
        "```given\nRe = 1.2e5\nk = 0.001\n```\n\n```derive\nc: 1/sqrt(f) = -2 log10(k/3.7 + 2.51/(Re sqrt(f)))\n```\n\n\
         ```work\nf = ? from c between 0.005 and 0.1\n```\n",
    ),
    (
        "system by numbers",
        "```given\na = 2\nb = 3\n```\n\n```derive\ne: x^2 + y^2 = a b\nf: x y = a\n```\n\n```work\nsolve e, f for x, y near 2, 1\n```\n",
    ),
];

#[divan::bench(args = CASES.map(|(name, _)| name))]
fn line(bencher: divan::Bencher, name: &str) {
    let text = CASES
        .iter()
        .find(|(case, _)| *case == name)
        .map_or("", |(_, text)| text);
    bencher
        .with_inputs(|| Source::new("line.md", text))
        .bench_values(worksheet::compile);
}
