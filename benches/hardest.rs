//! What the hardest short worksheets cost: below 2 kB, with lines of which each reaches a bound.
//!
//! The aim is that none takes more than 2 s of processor time.

use setsquare::text::Source;
use setsquare::worksheet;

fn main() {
    divan::main();
}

const MOST_BYTES: usize = 2048;

/// Hard blocks by what they are; each is repeated, under headings of its own or under none.
const BLOCKS: [(&str, &str); 8] = [
    (
        "quintics",
        "```derive\ne: 100000000000000003 x^5 + 200000000000000011 x^4 + 300000000000000029 x = 7\nsolve e for x\n```\n",
    ),
    (
        "linear equations",
        "```derive\n\
         p: a x + b y + c z + d u + 495827231387167976 v = q\n\
         q_1: b x + c y + d z + 3 u + h v = n\nr: c x + d y + 923430400117747879 z + h u + k v = m\n\
         s: d x + g y + h z + k u + 7 v = l\nt: g x + 302841916315779630 y + k z + l u + m v = w\n\
         solve p, q_1, r, s, t for x, y, z, u, v\n```\n",
    ),
    (
        "sums of fractions",
        "```derive\ntherefore 1/(a + x) + 1/(b + x^2) + 1/(c + sqrt(x)) + 1/(d + x) + 1/(g + x) + 1/(h + y) = \
         1/(b + x^2) + 1/(a + x) + 1/(d + x) + 1/(h + y) + 1/(g + x) + 1/(c - sqrt(x))\n```\n",
    ),
    (
        "powers of powers",
        "```derive\ny_0 = a g - k + x^2\ny_1 = 1/x^2 + 1/c^4 + y_0^2\ny_2 = sqrt(x) + y_1^2\n\
         y_3 = b - d^6 + y_2^2\ny_4 = r x^3 + y_3^3\ntherefore y_4 = b + v + x\n```\n",
    ),
    (
        "functions of functions",
        "```derive\nf(t) = 1/(t + a) + sqrt(t)\ntherefore f(f(f(x))) = f(f(x)) + b\n```\n",
    ),
    (
        "cancelled figures",
        "```work\nx = (1 - cos(1e-30))/1e-60 - exp(sin(1e-40)) = ? to 12 figures\n```\n",
    ),
    (
        "trials",
        "```given\na = 3.0 ± 0.1\n```\n\n```work\nx = exp(sin(a^3)) = ?\n```\n\n```check\nmonte carlo of x\n```\n",
    ),
    (
        "trials of roots",
        "```given\na = 3.0 ± 0.1\n```\n\n```derive\ne: x exp(x) = a\n```\n\n\
         ```work\nx = ? from e near 1\n```\n\n```check\nmonte carlo of x\n```\n",
    ),
];

/// As many problems of one block as go into a short worksheet.
fn sheet(block: &str) -> String {
    let problems = (1..).map(|at| format!("# Problem {at}\n\n{block}\n"));
    let mut sheet = String::new();
    for problem in problems {
        if sheet.len() + problem.len() > MOST_BYTES {
            break;
        }
        sheet += &problem;
    }
    sheet
}

#[divan::bench(args = BLOCKS.map(|(name, _)| name), sample_count = 3)]
fn worksheet_of(bencher: divan::Bencher, name: &str) {
    let block = BLOCKS.iter().find(|(own, _)| *own == name);
    let text = sheet(block.map_or("", |(_, block)| block));
    bencher
        .with_inputs(|| Source::new("hardest.md", text.clone()))
        .bench_values(worksheet::compile);
}
