//! What is said at a cursor.

use super::*;
use crate::language_server::fixture;

fn check(text: &str, expected: Option<&str>) {
    let (document, position) = fixture::with_cursor(text);
    let params = HoverParams {
        text_document_position_params: fixture::at(position),
        work_done_progress_params: Default::default(),
    };
    let found = hover(&document, &params).map(|hover| match hover.contents {
        HoverContents::Markup(markup) => markup.value.replace("\n\n", " / "),
        other => panic!("{other:?}"),
    });
    assert_eq!(found.as_deref(), expected, "{text}");
}

#[test]
fn a_quantity_has_its_value_its_line_and_its_uses() {
    check(
        "```given\np_1 = 250 kPa gauge ± 2 kPa -- at the pump\n```\n```work\nx = p|1 + p_1 = ? bar\ny = p_1/2 = ?\n```\n",
        Some(
            "`p1` = 250 ± 2 kPa gauge / pressure, Pa / at the pump / line 2: `p_1 = 250 kPa gauge ± 2 kPa` / used 3 times, on lines 5 and 6",
        ),
    );
}

#[test]
fn a_name_without_a_value_says_so() {
    check(
        "```derive\na = 2 |b\n```\n",
        Some("`b` has no value here / used once, on line 2"),
    );
}

#[test]
fn functions_show_their_definition() {
    check(
        "```given\nf(x) = 2 x + 1 -- a line\n```\n```work\ny = |f(2) = ?\n```\n",
        Some("a line / line 2: `f(x) = 2 x + 1` / used once, on line 5"),
    );
    check(
        "```work\ny = sq|rt(2) = ?\n```\n",
        Some("`sqrt`: a function of the language, of one argument"),
    );
}

#[test]
fn units_have_a_name_a_factor_and_a_source() {
    check(
        "```given\nx = 2 k|Pa\n```\n",
        Some("`kPa`: kilopascal, a unit / pressure, Pa / 1 kPa = 1000 Pa / SI prefix"),
    );
    check(
        "```given\nx = 2 d|egC\n```\n",
        Some(
            "`degC`: degree Celsius, a unit / temperature, K / x degC is (x + 273.15) × 1 K / K, counted from 273.15 K, SI Brochure (9th ed.) table 4",
        ),
    );
}

#[test]
fn per_cent_is_said_plainly() {
    check("```given\nx = 2 %|\n```\n", Some("`%`: per cent, 0.01"));
}

#[test]
fn a_formula_that_is_taken_from_an_equation_is_shown() {
    check(
        "```given\nv = 2 m/s\ng = 9.81 m/s^2\n```\n```derive\nhead: h = v^2/(2 g)\n```\n```work\nh = ? m\nx = 2 h| = ? m\n```\n",
        Some(
            "`h` = 0.2039 m / length, m / line 9: `h = ? m` / by equation (1): `h = v^2/(2 g)` / used 2 times, on lines 6 and 10",
        ),
    );
}

#[test]
fn a_formula_that_the_engine_wrote_is_shown_as_it_is_typed() {
    check(
        "```given\nh = 2 m\ng = 9.81 m/s^2\n```\n```derive\nhead: h + 1/3 h = v^2/(2 g)\nsolve head for v with v > 0\n```\n```work\nv| = ? m/s\n```\n",
        Some(
            "`v` = 7.233 m/s / velocity, m/s / line 10: `v = ? m/s` / by the formula above: `v = 2 sqrt(2 h g/3)` / used 3 times, on lines 6 and 7",
        ),
    );
}

#[test]
fn words_of_lines_say_what_they_do() {
    let says = |text: &str, word: &str| {
        let (document, position) = fixture::with_cursor(text);
        let params = HoverParams {
            text_document_position_params: fixture::at(position),
            work_done_progress_params: Default::default(),
        };
        let found = hover(&document, &params);
        match found.map(|hover| hover.contents) {
            Some(HoverContents::Markup(markup)) => {
                let begins = format!("`{word}`: ");
                assert!(markup.value.starts_with(&begins), "{}", markup.value);
            }
            other => panic!("{text}: {other:?}"),
        }
    };
    says("```derive\nthere|fore a = b\n```\n", "therefore");
    says("```derive\nsolve| e for x\n```\n", "solve");
    says("> ```check\n> F = 2 N wi|thin 1 %\n> ```\n", "within");
    says("```check\nu rises wi|th a\n```\n", "rises with");
    says(
        "```check\nu does not |depend on a\n```\n",
        "does not depend on",
    );
    says(
        "```versions\nD fr|om 1 m to 2 m in steps of 1 m\n```\n",
        "from",
    );
    says(
        "```versions\nD from 1 m to 2 m in st|eps of 1 m\n```\n",
        "in steps of",
    );
    says(
        "```versions\nF may cha|nge branch\n```\n",
        "may change branch",
    );
    says("```versions\nu rises wi|th a\n```\n", "rises with");
    check("```check\nu < 2 -- rises wi|th a\n```\n", None);
    check("```work\nx = ? there|fore\n```\n", None);
}

#[test]
fn labels_show_their_equation() {
    check(
        "```derive\nsum: a = b\n  + c -- all\n```\nBy [su|m] it is.\n",
        Some("equation (1) / all / line 2: `sum: a = b + c` / used once, on line 5"),
    );
}

#[test]
fn constants_have_their_published_value() {
    check(
        "```given\nR = constant(molar |gas constant)\n```\n",
        Some("molar gas constant / 8.31446261815324 J/(mol·K), exact / CODATA 2022"),
    );
    check(
        "```work\nx = 2 |pi = ?\n```\n",
        Some("`pi` = 3.141592653589793"),
    );
}

#[test]
fn words_of_blocks_say_what_the_block_is() {
    check(
        "> ```che|ck\n> 1 < 2\n> ```\n",
        Some("`check`: assertions about the results: `V < 3 m/s`"),
    );
    check(
        "```sket|ch\n```\n",
        Some(
            "`sketch`: a body and what acts on it, one a line: `force F down at C`; the first line says what it is of",
        ),
    );
    check("```te|xt\n```\n", None);
    check("gi|ven\n", None);
    check(
        "\u{feff}```che|ck\n1 < 2\n```\n",
        Some("`check`: assertions about the results: `V < 3 m/s`"),
    );
}

#[test]
fn nothing_is_said_about_numbers_and_words() {
    check("```given\nx = 2|5 kPa\n```\n", None);
    check("some |words\n", None);
}

const BEND: &str = "```given\nA = 2 m^2\np = 3 Pa gauge\n```\n```sketch\nbend: control volume\ninlet 1 flow right, area A, open\noutlet 2 flow up, area A, pressure p\nforce R_y up -- of the bolts\ndensity r\n```\n```derive\nup: R_y - p A = r Q^2/A by balance y of bend\nmass: r Q = r A V\n```\n```work\nQ = 0 m^3/s\nR_y = -p A = ? N\n```\n";

#[test]
fn a_quantity_of_a_sketch_says_where_it_acts_and_what_it_turned_out_to_do() {
    check(
        &BEND.replace("R_y = -p", "R|_y = -p"),
        Some(
            "`R_y` = −6.000 N / force, N / in `bend`, line 9: `force R_y up` / acts down, opposite to the sketch / line 18: `R_y = -p A = ? N` / used 2 times, on lines 9 and 13",
        ),
    );
}

#[test]
fn a_balance_is_written_out() {
    let sketch = "```sketch\nbox: body\npoint A\npoint B = a right from A\nforce F up at A\nforce G down at B\n```\n```derive\nF = G by balance y of box\nbalance moments about A of box\n```\n";
    check(
        &sketch.replace("by balance y", "by bal|ance y"),
        Some("`balance y of box`: `F - G = 0`"),
    );
    check(
        &sketch.replace("about A of", "ab|out A of"),
        Some("`balance moments about A of box`: `-(G a) = 0`"),
    );
    check(
        &sketch.replace("about A of", "about |A of"),
        Some(
            "`balance moments about A of box`: `-(G a) = 0` / `A`: a place of the sketch `box` / line 3: `point A` / used 3 times, on lines 4, 5 and 10",
        ),
    );
    check(
        &sketch.replace("box\nbalance", "b|ox\nbalance"),
        Some(
            "`balance y of box`: `F - G = 0` / Figure 1 / line 2: `box: body` / used 2 times, on lines 9 and 10",
        ),
    );
}
