//! What stands on a page.

use proptest::prelude::*;

use super::*;
use crate::text::Source;
use crate::worksheet::compile;

fn sheet(text: &str) -> Worksheet {
    compile(Source::new("fixture.md", text))
}

/// A worksheet in which everything is right but one check.
pub(super) fn penstock() -> Worksheet {
    let text = include_str!("../../worksheets/penstock-bend.md");
    sheet(&format!(
        "{text}\n```check\np_1 A_1 > p_2 A_2\np_1 < 1 kPa gauge -- not so\n```\n"
    ))
}

/// A worksheet with a refused line, lines that need it, a list, and asks in words that fail.
pub(super) fn troubled() -> Worksheet {
    sheet(
        "# Trouble\n\nIt is `Q/A_1 V = ? m`, and `y = ?` by [<b>x][w], see [w].\n\n\
         ```given\nQ = 2 m^3/s\nA_1 = 3 m^2\nL = 4 m -- as `<b>` & so on\n\
         y_i = [1, 2, 3, 4, 5] m\n```\n\n\
         ```work\nx = Q/A_1 L = ? m\nw: y = 2 x = ?\nz_i = 2 y_i = ?\n```\n\n\
         ```check\ny > 1 m\nsensitivity of y\n```\n\n```answer\ny\nz_i\n```\n\n```sketch\n```\n",
    )
}

fn parse(html: &str) -> roxmltree::Document<'_> {
    let body = html.strip_prefix("<!DOCTYPE html>\n").unwrap();
    match roxmltree::Document::parse(body) {
        Ok(document) => document,
        Err(error) => panic!("{error}"),
    }
}

/// The page of a worksheet without its style sheets.
fn body(text: &str) -> String {
    html(&sheet(text))
        .split_once("<body>")
        .unwrap()
        .1
        .to_owned()
}

/// The text of a page without its tags.
fn words(html: &str) -> String {
    let mut out = String::new();
    for piece in html.split('<') {
        out.push_str(piece.split_once('>').map_or(piece, |(_, text)| text));
    }
    out.replace(['\u{a0}', '\u{202f}'], " ")
        .replace('\u{2060}', "")
}

/// The words of a page have these pieces, in this order.
fn check_words(text: &str, expected: &[&str]) {
    let words = words(&body(text));
    let mut rest = words.as_str();
    for piece in expected {
        let Some((_, after)) = rest.split_once(piece) else {
            panic!("no {piece:?} in {rest:?} of {words:?}");
        };
        rest = after;
    }
}

fn report_of(text: &str) -> serde_json::Value {
    let report: serde_json::Value = serde_json::from_str(&report(&[sheet(text)])).unwrap();
    report[0].clone()
}

#[test]
fn pages_are_well_formed_and_every_id_is_there_once() {
    for worksheet in [penstock(), troubled()] {
        let html = html(&worksheet);
        let document = parse(&html);
        let mut ids: Vec<&str> = document
            .descendants()
            .filter_map(|node| node.attribute("id"))
            .collect();
        let count = ids.len();
        ids.sort_unstable();
        ids.dedup();
        assert_eq!(ids.len(), count);
        for node in document.descendants() {
            if let Some(anchor) = node.attribute("href").and_then(|it| it.strip_prefix('#')) {
                assert!(ids.contains(&anchor), "{anchor}");
            }
        }
    }
}

#[test]
fn a_page_holds_no_script_no_inline_style_and_no_address() {
    for worksheet in [penstock(), troubled()] {
        let html = html(&worksheet);
        for node in parse(&html).descendants() {
            assert_ne!(node.tag_name().name(), "script");
            assert_eq!(node.attribute("style"), None);
            assert_eq!(node.attribute("src"), None);
        }
        assert!(html.contains("default-src 'none'"));
        assert!(!html.contains("unsafe-inline"));
    }
}

#[test]
fn the_title_stands_once_when_the_first_heading_repeats_it() {
    let html = html(&penstock());
    assert_eq!(html.matches("<h1").count(), 1);
    assert!(html.contains("<h1 id=\"h-anchor-block-at-a-penstock-bend\">"));
    assert!(html.contains("<h2 id=\"h-what-is-given\">"));
}

#[test]
fn problems_go_below_a_title_of_their_own() {
    let text = "---\ntitle: Both < all\npaper: letter\n---\n\n# First\n\n# Second\n";
    let html = html(&sheet(text));
    assert!(html.contains("<title>Both &lt; all</title>"));
    assert!(html.contains("<h2 id=\"h-second\">"));
    assert!(html.contains("@page{size:letter}"));
    assert_eq!(html.matches("<section>").count(), 2);
    assert_eq!(html.matches("</section>").count(), 2);
}

#[test]
fn data_stand_in_a_table_with_header_cells() {
    let body = body("```given\nD = 600 mm -- bore\n```\n");
    assert!(body.contains("<th scope=\"col\">Symbol</th>"));
    assert!(body.contains(
        "<th scope=\"row\"><math aria-label=\"D\"><mi>D</mi></math></th><td>600\u{202f}mm</td><td>bore</td>"
    ));
}

#[test]
fn heads_of_formulas_have_names_and_empty_ones_are_plain_cells() {
    let heads = |head: &str| body(&format!("|{head}|b|\n|--|--|\n|1|2|\n"));
    assert!(heads(" ").contains("<tr><td></td><th scope=\"col\">b</th>"));
    assert!(heads("$K_b$").contains("<th scope=\"col\"><math aria-label=\"K_b\""));
    assert!(heads("loss $K_b$").contains("<th scope=\"col\">loss <math>"));
    let body = body("```given\nK_b = 2\n```\n\n```check\nK_b^3 < 9\n```\n");
    for name in ["K sub b", "K sub b to the 3"] {
        let head = format!("<th scope=\"row\"><math aria-label=\"{name}\">");
        assert!(body.contains(&head), "{head} in {body}");
    }
}

#[test]
fn what_may_be_too_wide_is_reached_with_keys() {
    let given = "```given\na = 1 m\n```\n\n";
    let narrow = body(&format!("{given}```work\nb = 2 a = ? m\n```\n"));
    assert!(!narrow.contains("tabindex"));
    let formula = ["a"; 12].join(" + ");
    let wide = body(&format!("{given}```work\nb = ({formula})/2 = ? m\n```\n"));
    assert!(wide.contains("class=\"side\" tabindex=\"0\""), "{wide}");
    let table = "|a|b|c|\n|--|--|--|\n|1|2|3|\n";
    assert!(body(table).contains("<div class=\"frame sheet\" tabindex=\"0\""));
}

#[test]
fn work_has_a_row_of_symbols_one_of_numbers_and_the_result() {
    let body =
        body("```given\nQ = 0.85 m^3/s\nA = 0.25 m^2\n```\n\n```work\nV = Q/A = ? m/s\n```\n");
    let rows = [
        "<div class=\"lead\"><math><mi>V</mi></math></div>",
        "<mfrac><mi>Q</mi><mi>A</mi></mfrac>",
        "<mfrac><mrow><mn>0.85</mn><mtext>\u{202f}m³/s</mtext></mrow>",
        "<math><mo>=</mo><mn>3.400</mn><mtext>\u{202f}m/s</mtext></math>",
    ];
    let places: Vec<Option<usize>> = rows.iter().map(|row| body.find(row)).collect();
    assert!(places.iter().all(Option::is_some), "{places:?} in {body}");
    assert!(places.is_sorted());
}

#[test]
fn entries_of_a_list_keep_their_uncertainties() {
    let given = "```given\nx_i = [1.00, 2.00] m ± 0.01 m\nc = 1 m ± 0.05 m\n```\n\n";
    let data = "```data t\na_i / m\n1.0\n-\n3.0\n\na_i ± 0.1 m\n```\n\n";
    let work = "```work\ny_i = x_i + c = ? m\ny_i = ? m at c = 2 m\n\
                z_i = ? m with k = 2 at c = 2 m\ne_i = ? m at c = 2 m\n```\n";
    let defined = "```work\nz_i = x_i + c\ne_i = a_i + c\nd_i = e_i = ? m with k = 2\n```\n\n";
    check_words(
        &format!("{given}{data}{defined}{work}"),
        &[
            "d / m ± 0.22 (k = 2)",
            "(2.000 ± 0.051) m",
            "(3.000 ± 0.010) m",
            "(3.000 ± 0.020) m (k = 2)",
            "(3.00 ± 0.10) m",
            "–",
            "(5.00 ± 0.10) m",
        ],
    );
}

#[test]
fn a_common_share_stands_in_a_budget_as_a_share() {
    check_words(
        "```given\nx_i = [1, 2] m ± 1 % common\nz_i = [1, 2] m ± (1 % + 1 mm) common\n\
         v_i = [1, 2] m ± 3 mm common\n```\n\n```work\nx = mean(x_i) = ? mm\nz = mean(z_i) = ? m\n\
         v = mean(v_i) = ? m\n```\n\n```check\nbudget of x\nbudget of z\nbudget of v\n```\n",
        &[
            "xi1.0 %B∞1500 mm15 mm100.0 %",
            "ziB∞0.016 m100.0 %",
            "vi0.0030 mB∞1.0000.0030 m100.0 %",
        ],
    );
}

#[test]
fn a_refused_line_shows_its_source_and_the_way_out_in_its_place() {
    let html = html(&troubled());
    assert!(html.contains("lines are refused: "));
    assert!(html.contains("<pre class=\"refused\"><code>x = Q/A_1 L = ? m</code></pre>"));
    assert!(html.contains("Write instead: <code>Q/(A_1 L)</code>"));
    assert!(html.contains("not evaluated: needs <math>"));
    assert!(html.contains("<td>as <code>&lt;b&gt;</code> &amp; so on</td>"));
}

#[test]
fn a_check_says_in_words_whether_it_holds() {
    let body = body("```given\na = 1.0 m\nb = 2.0 m\n```\n\n```check\na < b\na > b\n```\n");
    assert!(body.contains("1.0\u{202f}m &lt; 2.0\u{202f}m"));
    assert!(body.contains("✓ holds"));
    assert!(body.contains("✗ <strong>does not hold</strong>"));
}

#[test]
fn the_report_has_the_edits_of_a_fix_by_line_and_column() {
    let text = "# Rod\n\n```given\nα = 1\n```\n\n```work\nx = sin²(α) = ?\n```\n";
    let worksheet = crate::worksheet::compile(crate::text::Source::new("rod.md", text));
    let report: serde_json::Value = serde_json::from_str(&report(&[worksheet])).unwrap();
    let fixes = &report[0]["diagnostics"][0]["fixes"];
    let expected = serde_json::json!({
        "title": "write `sin(α)^2`",
        "decision": "choose",
        "edits": [
            {"line": 8, "column": 8, "end_line": 8, "end_column": 9, "text": ""},
            {"line": 8, "column": 12, "end_line": 8, "end_column": 12, "text": "^2"},
        ],
    });
    assert_eq!(fixes[0], expected);
    assert_eq!(fixes[1]["title"], "write `sin(sin(α))`");
}

#[test]
fn the_same_worksheet_gives_the_same_bytes() {
    assert_eq!(html(&penstock()), html(&penstock()));
}

#[test]
fn the_report_has_results_checks_answers_and_diagnostics() {
    let report = report(&[penstock(), troubled()]);
    let report: serde_json::Value = serde_json::from_str(&report).unwrap();
    let first = &report[0];
    assert_eq!(first["worksheet"], "fixture.md");
    let results = first["results"].as_array().unwrap();
    let area = results.iter().find(|it| it["name"] == "A_1").unwrap();
    // pi (0.7 m)²/4
    assert!((area["si"].as_f64().unwrap() - 0.384_845_100_064_75).abs() < 1e-12);
    assert_eq!(area["unit"], "m²");
    assert_eq!(area["dimension"], "L²");
    assert_eq!(area["printed"], "0.3848 m²");
    assert_eq!(area["problem"], serde_json::Value::Null);
    let checks = first["checks"].as_array().unwrap();
    let (last, before) = (&checks[checks.len() - 1], &checks[checks.len() - 2]);
    assert_eq!(before["text"], "p_1 A_1 > p_2 A_2");
    assert_eq!(before["holds"], true);
    assert_eq!(last["holds"], false);
    let finding = &report[1]["diagnostics"][1];
    assert_eq!(finding["code"], "S02");
    assert_eq!(finding["severity"], "error");
    assert_eq!(finding["line"], 13);
}

/// Data, and equations to derive from: one with the label `balance`, one without.
const EQUATIONS: &str = "```given\np_2 = 0 Pa\nc = 2 m\n```\n\n\
                         ```derive\nbalance: a = b + p_2\nc = d\n";

fn derived(lines: &str) -> String {
    format!("{EQUATIONS}{lines}\n```\n")
}

#[test]
fn a_step_says_what_it_follows_from() {
    let text = derived(
        "therefore a = b\ntherefore a d = b c + p_2 c\ntherefore c^2 = d^2\n\
         therefore (a + b)^2 = a^2 + 2 a b + b^2",
    );
    let body = body(&text);
    assert!(body.contains("<span class=\"mark\">∴</span><math><mi>a</mi></math></div>"));
    assert!(body.contains(
        "✓ follows from <a href=\"#q0-equation-balance\" aria-label=\"equation 1\">(1)</a>"
    ));
    check_words(
        &text,
        &[
            "✓ follows from (1), with p2 = 0 Pa",
            "✓ follows from (1) and (2)",
            "✓ follows from (2)",
            "✓ an identity",
        ],
    );
    check_words(
        &derived("therefore d = c"),
        &["c=d(2)", "✓ follows from (2)"],
    );
}

#[test]
fn a_step_that_does_not_follow_or_is_not_decided_says_so() {
    let text = derived("therefore a = 2 b\nsin(k) + ln(k) = 3\ntherefore k = 1.5");
    let body = body(&text);
    assert!(body.contains("<div class=\"verdict\">✗ <strong>does not follow</strong></div>"));
    assert!(
        body.contains("<div class=\"verdict\">not decided</div>"),
        "{}",
        words(&body)
    );
}

#[test]
fn a_solution_has_its_steps_and_all_its_branches() {
    check_words(
        &derived("area: A = x^2 (c - g)\nsolve area for x -- the side"),
        &["the sidefrom (2); where c−g≠0", "orx=−"],
    );
    check_words(
        &derived("area: A = x c + g\nsolve area for x in full"),
        &["from (2): the sides exchanged", "both sides", "x="],
    );
}

/// A flow through a pipe, with what stands between its equations and its numbers.
fn flow(front: &str, between: &str) -> String {
    let text = format!(
        "{front}```given\nQ = 4 L/s\nd_i = [20, 25] mm\nA = 10 cm^2\n```\n\n```derive\n\
         speed: V = Q/A\nA_i = pi d_i^2/4\nV_i = Q/A_i\n```\n\n{between}```work\nV = ? m/s\n\
         A_i = ? cm^2\nV_i = ? m/s\n```\n"
    );
    body(&text)
}

#[test]
fn numbers_below_their_equation_do_not_repeat_it() {
    let chain = "V=4×10−3 m³/s10×10−4 m²=4.000 m/sfrom (1)";
    let right_below = words(&flow("", ""));
    assert!(right_below.contains(chain), "{right_below}");
    let further_up = words(&flow("", "Then:\n\n"));
    let whole = chain.replacen("V=", "V=QA=", 1);
    assert!(further_up.contains(&whole), "{further_up}");
    assert_eq!(further_up.matches("Ai=πdi24").count(), 2, "{further_up}");
    assert_eq!(right_below.matches("Ai=πdi24").count(), 1, "{right_below}");
    let full = words(&flow("---\nlayout: full\n---\n\n", ""));
    assert!(full.contains(&whole), "{full}");
}

#[test]
fn a_chain_stands_in_one_row_and_in_three_where_it_is_asked_for() {
    let sides = |page: &str| {
        let (_, work) = page.split_once("id=\"q0-V\"").unwrap();
        let (line, _) = work.split_once("id=\"q0-A_i\"").unwrap();
        line.matches("class=\"side\"").count()
    };
    let between = "Then:\n\n";
    assert_eq!(sides(&flow("", between)), 1);
    assert_eq!(sides(&flow("---\nlayout: full\n---\n\n", between)), 3);
}

#[test]
fn the_numbers_of_a_list_stand_below_those_they_were_found_from() {
    let words = words(&flow("", ""));
    for table in [
        "di20 mm25 mm\nAi3.142 cm²4.909 cm²",
        "di20 mm25 mm\nVi12.73 m/s8.149 m/s",
    ] {
        assert!(words.contains(table), "{table} in {words}");
    }
}

#[test]
fn a_component_names_its_equation() {
    check_words(
        "```derive\nF = (F_x, F_y)\nR = (R_x, R_y)\njoint: F + R = 0\ncomponent x of joint\n```\n",
        &["Fx+Rx=0x component of (1)"],
    );
}

#[test]
fn dimensions_are_a_table_of_words_and_units() {
    check_words(
        &derived("g = a m\nshow dimensions"),
        &[
            "Dimensions",
            "SymbolDimensionSI unit",
            "apressurePa",
            "gopen",
        ],
    );
}

#[test]
fn what_is_solved_by_numbers_says_how_well() {
    let text = "```derive\ncole: f = 0.02 + 0.001/f\none: x + y = 3\ntwo: x - y = 1\n```\n\n\
                ```work\nf = ? from cole near 0.02\nsolve one, two for x near 1, y near 1\n```\n";
    check_words(
        text,
        &[
            "f=0.043 17from (1), solved by numbers: 6 steps, sides agree to ",
            "x=2.000from (2), (3), solved by numbers for x, y: 1 step",
            "y=1.000",
        ],
    );
    let report = report_of(text);
    let results = report["results"].as_array().unwrap();
    let names: Vec<&str> = results
        .iter()
        .filter_map(|it| it["name"].as_str())
        .collect();
    assert_eq!(names, ["f", "x", "y"]);
}

#[test]
fn a_root_that_a_line_asks_for_is_printed_there_alone() {
    let text = "```derive\none: x + y = 3\ntwo: x - y = 1\n```\n\n\
                ```work\nsolve one, two for x near 1, y near 1 -- the point\ny = ? to 2 figures\n```\n";
    check_words(
        text,
        &[
            "x=2.000the pointfrom (1), (2), solved by numbers for x, y: 1 step",
            "y=1.0",
        ],
    );
    let both = text.replace("y = ?", "x = ? to 2 figures\ny = ?");
    let words = words(&body(&both));
    assert!(words.contains("solved by numbers for x, y:"), "{words}");
    for once in ["x=2.0", "y=1.0", "the point"] {
        assert_eq!(words.matches(once).count(), 1, "{once} in {words}");
    }
    assert!(!words.contains("2.000"), "{words}");
}

/// A result `h = k Q²` to look at.
const SENSE: &str = "```given\nQ = 0.02 m^3/s\nk = 300 s^2/m^5\n```\n\n\
                     ```work\nh_f = k Q^2 = ? m\n```\n\n```check\n";

#[test]
fn looks_at_the_sense_of_a_result_stand_in_the_check_table() {
    let text = format!(
        "{SENSE}h_f rises with Q\nh_f varies as Q^3\nh_f -> 0 as Q -> 0\nsensitivity of h_f\n```\n"
    );
    check_words(
        &text,
        &[
            "hf rises with Q∂hf∂Q=2kQ=12.00 s/m²✓ holds",
            "hf varies as Q3∂hf∂Q=2kQ=12.00 s/m²exponent 2.000✗ does not hold",
            "hf→0 as Q → 0reaches ",
            "✓ holds",
            "Sensitivity of hf=0.1200 m",
            "Q0.02 m³/s12.00 s/m²+2.0 %",
        ],
    );
    let html = html(&sheet(&text));
    assert_eq!(html.matches("<table class=\"check\">").count(), 1);
    assert_eq!(html.matches("<table class=\"sensitivity\"").count(), 1);
    let report = report_of(&text);
    let checks = &report["checks"];
    assert_eq!(checks[0]["text"], "h_f rises with Q");
    assert_eq!(checks[0]["left"], "12.00 s/m²");
    assert_eq!(checks[1]["text"], "h_f varies as Q^3");
    assert_eq!(checks[1]["right"], "2.000");
    assert_eq!(checks[2]["text"], "h_f -> 0 as Q -> 0");
    assert_eq!(checks[2]["right"], "0");
}

#[test]
fn a_block_with_only_a_sensitivity_has_no_check_table() {
    let body = body(&format!("{SENSE}sensitivity of h_f\n```\n"));
    assert!(!body.contains("<table class=\"check\">"));
    assert!(body.contains("<caption class=\"name\">Sensitivity of"));
}

#[test]
fn tables_of_markdown_align_by_class_and_their_heads_have_a_scope() {
    let body = body("| a | b |\n|:--|--:|\n| 1 | 2 |\n");
    assert!(body.contains("<th scope=\"col\" class=\"left\">a</th>"));
    assert!(body.contains("<td class=\"right\">2</td>"));
}

#[test]
fn a_footnote_has_one_way_back() {
    let body = body("a[^n] b[^n]\n\n[^n]: x\n");
    assert!(body.contains("<sup><a href=\"#fn-1\" id=\"fnref-1\">1</a></sup>"));
    assert!(body.contains("<sup><a href=\"#fn-1\">1</a></sup>"));
    assert_eq!(
        body.matches("<a href=\"#fnref-1\" class=\"back\">↩</a>")
            .count(),
        1
    );
}

#[test]
fn a_divided_item_goes_on_without_a_mark_of_its_own() {
    let body = body("3. a\n   ```given\n   x = 1 m\n   ```\n   b\n");
    assert!(body.contains("<ol start=\"3\">\n<li class=\"continued\">b</li>"));
}

#[test]
fn raw_html_and_unreadable_tex_are_shown_as_they_are_written() {
    let body = body("a <b>c</b> $\\nosuch<$\n");
    assert!(body.contains("a &lt;b&gt;c&lt;/b&gt; <code class=\"tex\">\\nosuch&lt;</code>"));
}

/// Bits of Markdown that meet in odd ways.
fn markdown() -> impl Strategy<Value = String> {
    let bits = vec![
        "a",
        "é",
        "\0",
        "\u{1}",
        "\u{ffff}",
        " ",
        "    ",
        "\n",
        "\n\n",
        "\r",
        "> ",
        "- ",
        "1. ",
        "# ",
        "```",
        "```given\n",
        "```\n",
        "`",
        "$",
        "$$",
        "*",
        "**",
        "~~",
        "[",
        "]",
        "[balance]",
        "[^1]",
        "[^1]: ",
        "](",
        ")",
        "![",
        "|",
        "|-|-|\n",
        "|:-|-:|\n",
        ": ",
        "<b>",
        "</p>",
        "<!--",
        "&amp;",
        "&#1;",
        "\\",
        "\"",
        "'",
        "= ?",
        "x = 1\n",
        "- [x] ",
        "<http://a>",
        "\n\t",
    ];
    let bits = prop::sample::select(bits);
    prop::collection::vec(bits, 0..40).prop_map(|bits| bits.concat())
}

proptest! {
    #[test]
    fn any_markdown_gives_a_well_formed_page(text in markdown()) {
        parse(&html(&sheet(&text)));
    }

    #[test]
    fn any_text_gives_a_well_formed_page(text in any::<String>()) {
        parse(&html(&sheet(&text)));
    }
}

#[test]
fn the_report_says_under_what_a_step_follows() {
    let report = report_of(
        "```given\nd = 2.0 m\nb = 0 m\n```\n\n```derive\nfall: V^2 = 2 g h\n\
         therefore V = sqrt(2 g h)\nlaw: x a = x c\ntherefore a = c\nside: L = sqrt(d^2)\n\
         therefore L = d\ntherefore L = 2 d\n```\n",
    );
    let expected = serde_json::json!([
        {"line": 8, "text": "V = sqrt(2 g h)", "verdict": "follows", "by": [1],
         "conditions": ["V > 0"]},
        {"line": 10, "text": "a = c", "verdict": "follows", "by": [2], "conditions": ["x ≠ 0"]},
        {"line": 12, "text": "L = d", "verdict": "follows", "by": [3], "conditions": ["d > 0"]},
        {"line": 13, "text": "L = 2 d", "verdict": "does not follow", "by": [], "conditions": []},
    ]);
    assert_eq!(report["steps"], expected);
}

/// The steps of the report on a derivation, as text, conditions and the equations they come from.
fn steps(data: &str, lines: &str) -> Vec<String> {
    let report = report_of(&format!(
        "```given\n{data}\n```\n\n```derive\n{lines}\n```\n"
    ));
    let texts = |list: &serde_json::Value| -> Vec<String> {
        let list = list.as_array().into_iter().flatten();
        list.map(|it| it.to_string().replace('"', "")).collect()
    };
    let steps = report["steps"].as_array().cloned().unwrap_or_default();
    let step = |step: &serde_json::Value| {
        let (by, under) = (texts(&step["by"]), texts(&step["conditions"]));
        let text = step["text"].as_str().unwrap_or_default();
        format!("{text} from {} under {}", by.join(" "), under.join(", "))
    };
    steps.iter().map(step).collect()
}

#[test]
fn the_report_says_under_what_each_solution_holds() {
    assert_eq!(
        steps("d = 2 m", "law: x (x - a) = c x\nsolve law for x"),
        ["x = 0 from 1 under ", "x = a + c from 1 under "]
    );
    assert_eq!(
        steps(
            "d = 2 m",
            "law: sqrt(k - y) = 4 - y\nsolve law for y with y < 4"
        ),
        [
            "y = (sqrt(4 k - 15) + 7)/2 from 1 under y < 4, 1/2 - sqrt(4 k - 15)/2 ≥ 0",
            "y = (7 - sqrt(4 k - 15))/2 from 1 under y < 4",
        ]
    );
    assert_eq!(
        steps(
            "d = 2 m",
            "law: s = sin(u)\nsolve law for u between 0 and 90 deg"
        ),
        ["u = asin(s) from 1 under u between 0 and 90 deg"]
    );
    assert_eq!(
        steps("d = 2 m", "a: x + y = c\nb: p x = q y\nsolve a, b for x, y"),
        ["x = c q/(p + q), y = c p/(p + q) from 1 2 under -p - q ≠ 0"]
    );
    assert_eq!(
        steps(
            "d = 2 m",
            "law: V^2 = 2 g h d^2\nsolve law for V with V > 0, h > 0"
        ),
        ["V = d sqrt(2 g h) from 1 under V > 0, h > 0, d > 0"]
    );
}

#[test]
fn the_report_says_which_data_a_step_uses_by_their_values() {
    assert_eq!(
        steps(
            "q = 0 kPa\na = 30 deg",
            "law: p = q + n sin(a)\ntherefore p = n/2"
        ),
        ["p = n/2 from 1 under q = 0 kPa, a = 30°"]
    );
}

#[test]
fn a_plain_check_tells_how_far_what_is_uncertain_is_from_its_limit() {
    let page = words(&body(
        "```given\nd = 24.9 mm ± 0.03 mm\ne = 3 mm\nx_i = [1, 1.1] mm ± 0.05 mm\n```\n\n\
         ```check\nd < 25 mm\nd > 25.6 mm\n24 mm < d < 25 mm\n25 mm > d\ne < 4 mm\nx_i < 2 mm\n\
         d = 25 mm within 1 %\n```\n",
    ));
    let told: Vec<&str> = page
        .match_indices(" u ")
        .map(|(at, _)| page[..at + 8].rsplit(";").next().unwrap_or(""))
        .collect();
    for said in [
        "; 3.3 u below",
        "; 23 u below",
        "; 3.3 u off the nearest",
        "; 18 u below",
    ] {
        assert!(page.contains(said), "{said}: {told:?}");
    }
    // Two lines hold by 3.3 of them, whichever side is the uncertain one; what is exact, or is
    // compared within a tolerance, tells nothing.
    assert_eq!(told.len(), 5, "{told:?}");
}

#[test]
fn the_scatter_about_a_fit_is_told_by_its_label() {
    let text = "```data t\ny_i / mm | x_i / s\n1 | 1\n2.1 | 2\n2.9 | 3\n4.2 | 4\n```\n\n\
                ```fit line\ny_i = a + b x_i\na = ? mm\nb = ? mm/s\n```\n\n\
                ```work\nc = 2 a = ? mm\ne_y = scatter of line = ? mm\nx = (2 mm + e_y - a)/b = ? s\n```\n\n\
                ```check\nbudget of c\nbudget of x\n```\n";
    let report = report_of(text);
    let sources = |list: &serde_json::Value| -> Vec<String> {
        let list = list.as_array().into_iter().flatten();
        list.map(|it| it["source"].as_str().unwrap_or("").to_owned())
            .collect()
    };
    let result = |name: &str| {
        let mut all = report["results"].as_array().into_iter().flatten();
        sources(&all.find(|it| it["name"] == name).unwrap()["contributions"])
    };
    assert_eq!(result("c"), ["line"]);
    assert_eq!(result("x"), ["line, e_y"]);
    assert_eq!(sources(&report["budgets"][0]["contributions"]), ["line"]);
    assert_eq!(
        sources(&report["budgets"][1]["contributions"]),
        ["line, e_y"]
    );
    assert!(words(&body(text)).contains("Fit 1, scatter"));
}

#[test]
fn scatter_says_what_it_was_read_together_with_and_what_the_last_digit_hides() {
    // The deviations are −0.1, 0, 0.1 and 0, 0.1, −0.1: r = −0.5.
    let page = words(&body(
        "```data t\nx_i / s | V_i / V | J_i / A | K_i / A\n1 | 1.0 | 2.1 | 2.2\n2 | 1.1 | 2.2 | 2.0\n\
         3 | 1.2 | 2.0 | 2.1\n\nV_i, J_i read together\n```\n\n\
         ```work\nV = repeated(V_i) = ? V\nJ = repeated(J_i) = ? A\nK = repeated(K_i) = ? A\n```\n\n\
         ```fit one\nV_i = a + b x_i\na = ? V\nb = ? V/s\n```\n\n\
         ```fit two\nJ_i = c + d x_i\nc = ? A\nd = ? A/s\n```\n\n\
         ```data s\nA_i / mm | B_i / mm\n1.00 | 1.00\n2.00 | 2.01\n3.00 | 3.10\n\n\
         A_i (resolution 0.02 mm)\nB_i (resolution 0.02 mm)\n```\n\n\
         ```work\nm_i = repeated(A_i, B_i) = ? mm\np_i = pooled(A_i, B_i) = ? mm\n\
         q = repeated(A_i where A_i < 2.5 mm) = ? mm\n```\n",
    ));
    assert!(page.contains("V and J read together"), "{page}");
    let with = page.matches("read together with ").count();
    assert!(
        page.contains("read together with V, r = \u{2212}0.50"),
        "{page}"
    );
    assert!(page.contains("read together with Fit 1, r = "), "{page}");
    // J with V; the second fit with V and with the first; the first with J.
    assert_eq!(with, 4, "{page}");
    // Half a step is 0.01 mm, and the rows scatter by 0, 0.007 and 0.07 mm.
    let hidden = "the scatter is within half a step of the last digit";
    assert!(
        page.contains(&format!("{hidden} in 2 of 3 rows: step/√12 is added")),
        "{page}"
    );
    assert_eq!(page.matches(hidden).count(), 1, "{page}");
}
