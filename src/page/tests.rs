//! What stands on a page.

use super::fixture::{Sheet, penstock, troubled};
use super::*;
use crate::document::{FrontMatter, Paper};
use crate::syntax::{BlockKind, Relation};
use crate::typeset::fixture::{shown, written};

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
}
