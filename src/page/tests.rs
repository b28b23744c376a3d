//! What stands on a page.

use super::fixture::{Sheet, penstock, troubled};
use super::*;
use crate::document::{FrontMatter, Paper};
use crate::evaluate::Convergence;
use crate::proofs::{Doubt, Ground, Verdict};
use crate::resolve::Expr;
use crate::resolve::statement::{Branch, End, Solved, Step, Way};
use crate::syntax::{BlockKind, Relation};
use crate::typeset::fixture::{shown, written};
use crate::worksheet::{Limit, Sensitivity, SensitivityRow, System, Trend};

fn parse(html: &str) -> roxmltree::Document<'_> {
    let body = html.strip_prefix("<!DOCTYPE html>\n").unwrap();
    match roxmltree::Document::parse(body) {
        Ok(document) => document,
        Err(error) => panic!("{error}"),
    }
}

/// The page of a sheet without its style sheets.
fn body(sheet: Sheet) -> String {
    let html = html(&sheet.finish(FrontMatter::default()));
    html.split_once("<body>").unwrap().1.to_owned()
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
    assert!(html.contains("<h2 id=\"h-balance-of-momentum\">"));
}

#[test]
fn problems_go_below_a_title_of_their_own() {
    let mut sheet = Sheet::default();
    sheet.heading(1, "First");
    sheet.heading(1, "Second");
    let front = FrontMatter {
        title: Some("Both < all".into()),
        paper: Paper::Letter,
        ..FrontMatter::default()
    };
    let html = html(&sheet.finish(front));
    assert!(html.contains("<title>Both &lt; all</title>"));
    assert!(html.contains("<h2 id=\"h-second\">"));
    assert!(html.contains("@page{size:letter}"));
    assert_eq!(html.matches("<section>").count(), 2);
    assert_eq!(html.matches("</section>").count(), 2);
}

#[test]
fn data_stand_in_a_table_with_header_cells() {
    let mut sheet = Sheet::default();
    sheet.given("D", written("600", "mm"), "bore");
    sheet.block(BlockKind::Given);
    let body = body(sheet);
    assert!(body.contains("<th scope=\"col\">Symbol</th>"));
    assert!(body.contains(
        "<th scope=\"row\"><math><mi>D</mi></math></th><td>600\u{a0}mm</td><td>bore</td>"
    ));
}

#[test]
fn work_has_a_row_of_symbols_one_of_numbers_and_the_result() {
    let mut sheet = Sheet::default();
    let flow = ("Q", written("0.85", "m^3/s"));
    let area = ("A", shown(0.25, "m^2"));
    sheet.work(&["V", "Q/A"], &[flow, area], shown(3.4, "m/s"), "");
    sheet.block(BlockKind::Work);
    let body = body(sheet);
    let rows = [
        "<div class=\"lead\"><math><mi>V</mi></math></div>",
        "<mfrac><mi>Q</mi><mi>A</mi></mfrac>",
        "<mfrac><mn>0.85\u{a0}m³/s</mn><mn>0.2500\u{a0}m²</mn></mfrac>",
        "<math><mo>=</mo><mn>3.400\u{a0}m/s</mn></math>",
    ];
    let places: Vec<Option<usize>> = rows.iter().map(|row| body.find(row)).collect();
    assert!(places.iter().all(Option::is_some), "{places:?} in {body}");
    assert!(places.is_sorted());
}

#[test]
fn a_refused_line_shows_its_source_and_the_way_out_in_its_place() {
    let html = html(&troubled());
    assert!(html.contains("One line is refused: <a href=\"#"));
    assert!(html.contains("<pre class=\"refused\"><code>Q/A_1 L = ? m</code></pre>"));
    assert!(html.contains("Write instead: <code>Q/(A_1 L)</code> or <code>(Q/A_1) L</code>"));
    assert!(html.contains("not evaluated: needs <math>"));
    assert!(html.contains("(<code>&lt;b&gt;</code> &amp; so on)"));
}

#[test]
fn a_check_says_in_words_whether_it_holds() {
    let mut sheet = Sheet::default();
    let sides = || [("a", shown(1.0, "m")), ("b", shown(2.0, "m"))];
    sheet.check(sides(), Relation::Less, true);
    sheet.check(sides(), Relation::Greater, false);
    sheet.block(BlockKind::Check);
    let body = body(sheet);
    assert!(body.contains("1.000\u{a0}m &lt; 2.000\u{a0}m"));
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
        "applicability": "ask",
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
    let velocity = &first["results"][3];
    assert_eq!(velocity["name"], "V_1");
    assert_eq!(velocity["value"], 3.006);
    assert_eq!(velocity["unit"], "m/s");
    assert_eq!(velocity["dimension"], "L T⁻¹");
    assert_eq!(velocity["printed"], "3.006 m/s");
    assert_eq!(velocity["problem"], serde_json::Value::Null);
    assert_eq!(first["results"][6]["name"], "R_x at Q = 1.10 m³/s");
    assert_eq!(first["checks"][0]["text"], "p_1 A_1 cos(theta) > p_2 A_2");
    assert_eq!(first["checks"][1]["holds"], false);
    assert_eq!(first["answers"][0]["direction"], "upstream");
    assert_eq!(first["steps"], serde_json::json!([]));
    let finding = &report[1]["diagnostics"][0];
    assert_eq!(finding["code"], "S02");
    assert_eq!(finding["severity"], "error");
    assert_eq!(finding["line"], 1);
    assert_eq!(finding["end_column"], 14);
    assert_eq!(finding["fixes"], serde_json::json!([]));
}

/// A sheet with the labelled equation `a = b` in a block of its own, and the datum `p_2 = 0 Pa`
/// in another.
fn with_equation() -> Sheet {
    let mut sheet = Sheet::default();
    sheet.given("p_2", written("0", "Pa"), "");
    sheet.block(BlockKind::Given);
    sheet.equation(&["a", "b"]);
    sheet.label();
    sheet.equation(&["c", "d"]);
    sheet
}

const LABELLED: Origin = Origin {
    block: 1,
    statement: 0,
};
const PLAIN: Origin = Origin {
    block: 1,
    statement: 1,
};

fn step(sheet: &mut Sheet, verdict: Verdict) {
    let members = sheet.read(&["a", "d"]);
    let verdict = Box::new(verdict);
    sheet.statement(Body::Therefore { members, verdict }, "");
}

/// The text of a page without its tags.
fn words(html: &str) -> String {
    let mut out = String::new();
    for piece in html.split('<') {
        out.push_str(piece.split_once('>').map_or(piece, |(_, text)| text));
    }
    out.replace('\u{a0}', " ").replace('\u{2060}', "")
}

#[test]
fn a_step_says_what_it_follows_from() {
    let mut sheet = with_equation();
    let (p_2, c) = (sheet.formulas.symbol("p_2"), sheet.formulas.symbol("c"));
    let proved = |by: Vec<Ground>, leaned, taking| Verdict::Proved {
        by,
        leaned,
        taking,
        not_zero: Vec::new(),
    };
    let labelled = || Ground::Equation(LABELLED, Some(1));
    let plain = || Ground::Equation(PLAIN, None);
    step(
        &mut sheet,
        proved(vec![labelled(), plain()], vec![], vec![]),
    );
    step(&mut sheet, proved(vec![plain()], vec![], vec![]));
    let by = vec![labelled(), Ground::Definition(c), Ground::Value(p_2)];
    step(&mut sheet, proved(by, vec![], vec![]));
    step(&mut sheet, proved(vec![], vec![], vec![]));
    step(&mut sheet, proved(vec![labelled()], vec![c, p_2], vec![c]));
    sheet.block(BlockKind::Derive);
    let body = body(sheet);
    assert!(body.contains("<span class=\"mark\">∴</span><math><mi>a</mi></math></div>"));
    assert!(body.contains("✓ follows from <a href=\"#q0-1-0\">(1)</a> and <a href"));
    let words = words(&body);
    for expected in [
        "✓ follows from (1) and the equation above",
        "✓ follows from the equation of line 2",
        "✓ follows from (1) and the definition of c, with p2=0 Pa",
        "✓ an identity",
        "✓ follows from (1), for c&gt;0; uses that c is positive, p2 is zero",
    ] {
        assert!(words.contains(expected), "{expected}: {words}");
    }
}

#[test]
fn a_step_that_does_not_follow_or_is_not_decided_says_so() {
    let mut sheet = with_equation();
    let refuted = Verdict::Refuted {
        values: Vec::new(),
        left: 1.0,
        right: 2.0,
        slip: None,
        fix: None,
    };
    step(&mut sheet, refuted);
    step(&mut sheet, Verdict::Undecided(Doubt::NotLookedAt));
    sheet.block(BlockKind::Derive);
    let worksheet = sheet.finish(FrontMatter::default());
    let html = html(&worksheet);
    assert!(html.contains("<div class=\"verdict\">✗ <strong>does not follow</strong></div>"));
    assert!(html.contains("<div class=\"verdict\">not decided</div>"));
    let report: serde_json::Value = serde_json::from_str(&report(&[worksheet])).unwrap();
    let steps = report[0]["steps"].as_array().unwrap();
    let verdicts: Vec<&str> = steps
        .iter()
        .filter_map(|it| it["verdict"].as_str())
        .collect();
    assert_eq!(verdicts, ["refuted", "undecided"]);
}

#[test]
fn a_solution_has_its_steps_and_all_its_branches() {
    let mut sheet = with_equation();
    let x = sheet.formulas.symbol("x");
    let mut branch = |formula: &str, divisor: &str| Branch {
        formulas: sheet.read(&[formula]),
        not_zero: sheet.read(&[divisor]),
        leaned: vec![x],
        chosen: false,
        is_principal: false,
    };
    let branches = vec![branch("a", "D"), branch("-a", "D - a")];
    let mut sides = sheet.read(&["x^2", "a^2", "b"]);
    let with = sides.pop();
    let (right, left) = (sides.remove(1), sides.remove(0));
    let step = Step {
        left,
        right,
        words: "both sides minus".to_owned(),
        with,
    };
    let solved = Solved {
        unknowns: vec![x],
        from: vec![1],
        origins: vec![LABELLED],
        branches,
        steps: vec![step],
        ranges: vec![None],
    };
    sheet.statement(Body::Solved(Box::new(solved)), "the level");
    sheet.label();
    sheet.block(BlockKind::Derive);
    let body = body(sheet);
    let words = words(&body);
    let order = [
        "Solved (1) for x:",
        "x2=a2both sides minus b",
        "x=athe leveluses that x is positive",
        "orx=−awhere D−a≠0; uses that x is positive(2)",
    ];
    let places: Vec<Option<usize>> = order.iter().map(|it| words.find(it)).collect();
    assert!(places.iter().all(Option::is_some), "{places:?} in {words}");
    assert!(places.is_sorted());
    assert!(!words.contains("where D≠0"));
}

#[test]
fn a_component_names_its_equation() {
    let mut sheet = with_equation();
    let members = sheet.read(&["F_x", "R_x"]);
    let axis = crate::syntax::Axis::X;
    let of = 1;
    sheet.statement(Body::Component { axis, of, members }, "");
    sheet.block(BlockKind::Derive);
    assert!(words(&body(sheet)).contains("x component of (1):Fx=Rx"));
}

#[test]
fn dimensions_are_a_table_of_words_and_units() {
    let mut sheet = Sheet::default();
    let force = crate::typeset::fixture::unit("N").dimension();
    let symbols = vec![
        (sheet.formulas.symbol("F"), Some(force)),
        (sheet.formulas.symbol("k"), None),
    ];
    sheet.statement(Body::Dimensions(symbols), "");
    sheet.block(BlockKind::Derive);
    let body = body(sheet);
    assert!(body.contains("<mi>F</mi></math></th><td>force</td><td>N</td></tr>"));
    assert!(body.contains("<mi>k</mi></math></th><td>open</td><td></td></tr>"));
}

#[test]
fn what_is_solved_by_numbers_says_how_well() {
    let mut sheet = with_equation();
    let convergence = |iterations, difference| Convergence {
        iterations,
        difference,
    };
    let work = sheet.work(&["f"], &[], shown(0.0213, ""), "");
    work.from = Some(1);
    work.convergence = Some(convergence(5, 2.2e-16));
    let unknowns = vec![
        (sheet.formulas.symbol("x"), Arc::new(shown(1.0, "m"))),
        (sheet.formulas.symbol("y"), Arc::new(shown(2.0, "N"))),
    ];
    let system = System {
        numbers: vec![1, 2],
        unknowns,
        convergence: convergence(1, 0.0),
    };
    sheet.statement(Body::System(Box::new(system)), "");
    sheet.block(BlockKind::Work);
    let worksheet = sheet.finish(FrontMatter::default());
    let words = words(&html(&worksheet));
    for expected in [
        "f=0.02130from (1), solved by numbers: 5 steps, sides agree to 2\u{2009}×\u{2009}10−16",
        "(1), (2) solved by numbers for x, y:x=1.000 my=2.000 N1 step, sides agree to the last digit",
    ] {
        assert!(words.contains(expected), "{expected}: {words}");
    }
    let report: serde_json::Value = serde_json::from_str(&report(&[worksheet])).unwrap();
    let results = report[0]["results"].as_array().unwrap();
    let names: Vec<&str> = results
        .iter()
        .filter_map(|it| it["name"].as_str())
        .collect();
    assert_eq!(names, ["f", "x", "y"]);
}

#[test]
fn looks_at_the_sense_of_a_result_stand_in_the_check_table() {
    let mut sheet = Sheet::default();
    let q = sheet.formulas.symbol("Q");
    let mut members = sheet.read(&["h_f", "2 k", "2", "0", "0"]);
    let (to, at) = (members.pop().unwrap(), members.pop().unwrap());
    let (exponent, formula) = (members.pop().unwrap(), members.pop().unwrap());
    let subject = members.pop().unwrap();
    let trend = |way, formula, holds| {
        Body::Trend(Box::new(Trend {
            subject: subject.clone(),
            way,
            with: q,
            within: None,
            formula,
            derivative: shown(12.3, "s/m^2"),
            exponent: Some(1.998),
            holds,
        }))
    };
    sheet.statement(trend(Way::Rises, Some(formula), true), "");
    sheet.statement(trend(Way::Power(exponent), None, false), "");
    let limit = Limit {
        subject: subject.clone(),
        value: End::Value(to),
        with: q,
        at: End::Value(at),
        reached: shown(1e-9, "m"),
        holds: true,
    };
    sheet.statement(Body::Limit(Box::new(limit)), "");
    sheet.statement(sensitivity(subject.clone(), q), "");
    sheet.block(BlockKind::Check);
    let worksheet = sheet.finish(FrontMatter::default());
    let html = html(&worksheet);
    let words = words(&html);
    for expected in [
        "hf rises with Q∂hf∂Q=2k=12.30 s/m²✓ holds",
        "hf varies as Q2∂hf∂Q=12.30 s/m²exponent 1.998✗ does not hold",
        "hf→0 as Q→0reaches 1.000\u{2009}×\u{2009}10−9 m✓ holds",
        "Sensitivity of hf=5.000 m",
        "Q0.02 m³/s12.30 s/m²+2.0 %",
    ] {
        assert!(words.contains(expected), "{expected}: {words}");
    }
    assert_eq!(html.matches("<table class=\"check\">").count(), 1);
    assert_eq!(html.matches("<table class=\"sensitivity\"").count(), 1);
    let report: serde_json::Value = serde_json::from_str(&report(&[worksheet])).unwrap();
    let checks = &report[0]["checks"];
    assert_eq!(checks[0]["text"], "h_f rises with Q");
    assert_eq!(checks[0]["left"], "12.30 s/m²");
    assert_eq!(checks[1]["text"], "h_f varies as Q^2");
    assert_eq!(checks[1]["right"], "1.998");
    assert_eq!(checks[2]["text"], "h_f -> 0 as Q -> 0");
    assert_eq!(checks[2]["right"], "0");
}

fn sensitivity(subject: Expr, given: SymbolId) -> Body {
    Body::Sensitivity(Box::new(Sensitivity {
        subject,
        shown: shown(5.0, "m"),
        rows: vec![SensitivityRow {
            given,
            shown: Arc::new(written("0.02", "m^3/s")),
            derivative: shown(12.3, "s/m^2"),
            change: Some(0.0198),
        }],
    }))
}

#[test]
fn a_block_with_only_a_sensitivity_has_no_check_table() {
    let mut sheet = Sheet::default();
    let q = sheet.formulas.symbol("Q");
    let subject = sheet.read(&["h_f"]).remove(0);
    sheet.statement(sensitivity(subject, q), "");
    sheet.block(BlockKind::Check);
    let body = body(sheet);
    assert!(!body.contains("<table class=\"check\">"));
    assert!(body.contains("<caption class=\"name\">Sensitivity of"));
}
