//! Shear and moment of standard beams as tables of them have it, compared as equations: with the
//! reactions of the table, each piece that is written here follows to be that of the table.

use serde_json::Value;
use setsquare::text::Source;
use setsquare::worksheet::{Body, Verdict};

use super::super::beside::compile;
use super::super::spec::printed;
use super::report::{cases, list, text};

fn lines(case: &Value, key: &str) -> Vec<String> {
    let lines = list(case, key).iter();
    lines
        .map(|line| line.as_str().expect("a line is text").to_owned())
        .collect()
}

/// The formulas of the pieces of shear and moment that are written from a sketch.
fn pieces(sketch: &str) -> Vec<Vec<String>> {
    let text = format!(
        "```sketch\n{sketch}\n```\n\n```derive\nshear and moment of s as V(x), M(x)\n```\n"
    );
    let sheet = compile(Source::new("beams.md", text));
    assert!(sheet.diagnostics.is_empty(), "{:?}", sheet.diagnostics);
    let cuts = sheet.statements().filter_map(|(placed, statement)| {
        let Body::Shear(cut) = &statement.body else {
            return None;
        };
        let lines = cut.lines.iter();
        let lines = lines.map(|(_, pieces)| {
            let pieces = printed::pieces(placed, pieces).into_iter();
            pieces.map(|(value, _)| value).collect()
        });
        Some(lines.collect::<Vec<_>>())
    });
    cuts.flatten().collect()
}

#[test]
fn standard_beams_are_those_of_the_tables() {
    let (mut faults, mut count) = (Vec::new(), 0);
    for case in cases("beams.json") {
        let found = pieces(&lines(&case, "sketch").join("\n"));
        let wanted = [lines(&case, "shear"), lines(&case, "moment")];
        let id = text(&case, "id");
        for (found, wanted) in found.iter().zip(&wanted) {
            if found.len() != wanted.len() {
                faults.push(format!("{id}: {found:?} and {wanted:?}"));
                continue;
            }
            for (own, table) in found.iter().zip(wanted) {
                count += 1;
                let text = format!(
                    "```derive\n{}\ntherefore T = {table}\n```\n",
                    [lines(&case, "reactions").join("\n"), format!("T = {own}")].join("\n")
                );
                let sheet = compile(Source::new("beams.md", text));
                let follows = sheet.statements().any(|(_, statement)| {
                    matches!(&statement.body, Body::Therefore { verdict, .. }
                        if matches!(**verdict, Verdict::Follows { .. }))
                });
                if !follows {
                    faults.push(format!("{id}: {own} and {table}"));
                }
            }
        }
    }
    assert!(count >= 35, "{count} pieces");
    assert!(faults.is_empty(), "{}", faults.join("\n"));
}
