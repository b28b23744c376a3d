//! Names renamed in small worksheets, and in those of the project.

use super::*;
use crate::language_server::fixture;
use crate::page;
use crate::text::Source;
use crate::worksheet;

fn renamed(document: &Document, params: &RenameParams) -> Result<String, String> {
    let edit = rename(document, params).map_err(|refusal| refusal.message)?;
    let changes = edit.unwrap().changes.into_iter().flatten().next();
    let (_, edits) = changes.unwrap();
    let mut text = document.text().to_owned();
    for edit in edits.iter().rev() {
        let file = document.file();
        let (start, end) = (file.offset(edit.range.start), file.offset(edit.range.end));
        text.replace_range(start..end, &edit.new_text);
    }
    Ok(text)
}

fn params(position: lsp_types::Position, new: &str) -> RenameParams {
    RenameParams {
        text_document_position: fixture::at(position),
        new_name: new.to_owned(),
        work_done_progress_params: Default::default(),
    }
}

fn check(text: &str, new: &str, expected: &str) {
    let (document, position) = fixture::with_cursor(text);
    let found = renamed(&document, &params(position, new));
    assert_eq!(found.as_deref(), Ok(expected), "{text}");
}

fn refused(text: &str, new: &str, expected: &str) {
    let (document, position) = fixture::with_cursor(text);
    let found = renamed(&document, &params(position, new));
    assert_eq!(found, Err(expected.to_owned()), "{text}");
}

#[test]
fn a_name_is_renamed_in_every_spelling_and_in_prose() {
    check(
        "```given\nD1 = 2 m -- as `D_1 = ? mm`\n```\n```work\nx = 2 D_|1 = ? m\ny = ? m at D_1 = 3 m\n```\nSee `D_1` and `? cm of D1`, not D_1.\n",
        "d_in",
        "```given\nd_in = 2 m -- as `d_in = ? mm`\n```\n```work\nx = 2 d_in = ? m\ny = ? m at d_in = 3 m\n```\nSee `d_in` and `? cm of d_in`, not D_1.\n",
    );
}

#[test]
fn another_problem_keeps_its_own_name() {
    check(
        "# A\n```given\nx| = 2 m\n```\n# B\n```given\nx = 3 m\n```\n",
        "y",
        "# A\n```given\ny = 2 m\n```\n# B\n```given\nx = 3 m\n```\n",
    );
}

#[test]
fn parameters_labels_and_functions_are_renamed_alone() {
    check(
        "```given\nf(Q) = 2 |Q + 1\nQ = 3\n```\n",
        "q",
        "```given\nf(q) = 2 q + 1\nQ = 3\n```\n",
    );
    check(
        "```given\n|f(Q) = 2 Q\n```\n```work\ny = f(2) = ?\n```\n",
        "g_1",
        "```given\ng_1(Q) = 2 Q\n```\n```work\ny = g_1(2) = ?\n```\n",
    );
    check(
        "```derive\nsum: a = b\nsolve sum for b\n```\nBy [s|um].\n",
        "total",
        "```derive\ntotal: a = b\nsolve total for b\n```\nBy [total].\n",
    );
}

#[test]
fn what_is_no_name_is_refused() {
    let text = "```given\nx| = 2 m\ny = 3 m\n```\n";
    refused(text, "of", "`of` is a word of the language");
    refused(text, "sin", "`sin` is a function of the language");
    refused(text, "π", "`π` is a constant");
    for word in ["2x", "a b", "a+b", "", "x.y"] {
        let sentence = format!(
            "`{word}` is no name: a letter first, then letters and digits, subscripts after `_`"
        );
        refused(text, word, &sentence);
    }
    refused(
        text,
        "y",
        "`y` is already a name in this problem, on line 3",
    );
}

#[test]
fn a_name_that_is_taken_is_named_by_its_definition_and_its_sort() {
    refused(
        "As `y` is.\n\n```work\nx| = 2 y = ? m\n```\n```given\ny = 3 m\n```\n",
        "y",
        "`y` is already a name in this problem, on line 7",
    );
    refused(
        "By [two].\n\n```derive\no|ne: a = b\ntwo: b = c\n```\n",
        "two",
        "`two` is already a label in this problem, on line 5",
    );
}

#[test]
fn what_is_not_the_authors_keeps_its_name() {
    refused(
        "```given\nx = 2 |m\n```\n",
        "y",
        "`m` is a unit, which keeps its name",
    );
    refused(
        "```given\nx = |sqrt(2)\n```\n",
        "y",
        "`sqrt` is a function of the language, which keeps its name",
    );
    refused("some |words\n", "y", "no name stands here");
}

#[test]
fn a_name_that_would_take_the_place_of_a_unit_is_refused() {
    refused(
        "```given\nL| = 2 m\n```\n```work\nx = L (2 m) = ? m^2\n```\n",
        "m",
        "with the name `m`, line 5 would be read otherwise",
    );
}

#[test]
fn every_symbol_of_every_worksheet_can_be_renamed() {
    let folder = concat!(env!("CARGO_MANIFEST_DIR"), "/worksheets");
    let mut count = 0;
    for entry in std::fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if path.extension().is_some_and(|extension| extension == "md") {
            count += rename_all(&std::fs::read_to_string(&path).unwrap());
        }
    }
    assert!(count > 100, "{count} symbols were renamed");
}

#[test]
fn a_renamed_worksheet_has_the_same_numbers() {
    let path = concat!(
        env!("CARGO_MANIFEST_DIR"),
        "/worksheets/calibration-tank.md"
    );
    let text = std::fs::read_to_string(path).unwrap();
    let document = fixture::document(&text);
    let names = document.names().all();
    let first = (names.iter())
        .filter(|name| matches!(name.target, Target::Symbol { .. }))
        .nth(1);
    let position = document.places().position(first.unwrap().span.start);
    let one = renamed(&document, &params(position, "Zeta_new")).unwrap();
    assert_ne!(one, text);
    assert_eq!(numbers(&one), numbers(&text));
}

/// Renames all symbols, and all places and sections of sketches, of a worksheet at once; the report has the same numbers afterwards.
fn rename_all(text: &str) -> usize {
    let document = fixture::document(text);
    let before = numbers(text);
    let mut targets: Vec<&Target> = Vec::new();
    let mut index = |target| match targets.iter().position(|known| *known == target) {
        Some(index) => index,
        None => {
            targets.push(target);
            targets.len() - 1
        }
    };
    let all = document.names().all();
    let names: Vec<(usize, &Occurrence)> = (all.iter())
        .filter(|name| matches!(name.target, Target::Symbol { .. } | Target::Spot { .. }))
        .map(|name| (index(&name.target), name))
        .filter(|(_, name)| document.worksheet().source.slice(name.span) != "p_atm")
        .collect();
    let mut all = text.to_owned();
    for (index, name) in names.iter().rev() {
        let (start, end) = (name.span.start as usize, name.span.end as usize);
        // A list stays one.
        let list = if all[start..end].ends_with("_i") {
            "_i"
        } else {
            ""
        };
        let new = match name.target {
            Target::Spot { .. } => format!("Zeta{index}"),
            _ => format!("Zeta_n{index}{list}"),
        };
        all.replace_range(start..end, &new);
    }
    assert_eq!(numbers(&all), before, "{all}");
    let mut symbols: Vec<usize> = names.iter().map(|(index, _)| *index).collect();
    symbols.sort_unstable();
    symbols.dedup();
    symbols.len()
}

/// What is printed of results, checks, steps and answers, and the codes of what is wrong.
fn numbers(text: &str) -> Vec<String> {
    let worksheet = worksheet::compile(Source::new("w", text));
    let report: serde_json::Value = serde_json::from_str(&page::report(&[worksheet])).unwrap();
    let mut found = Vec::new();
    for list in ["results", "checks", "steps", "answers", "diagnostics"] {
        for row in report[0][list].as_array().unwrap() {
            let facts = ["line", "printed", "holds", "verdict", "code"];
            let facts: Vec<String> = facts.iter().map(|fact| row[fact].to_string()).collect();
            found.push(facts.join(" "));
        }
    }
    found
}

/// A control volume that takes density and gravity by their usual names, with a line or without.
fn pond(lines: &str) -> String {
    format!(
        "```given\nrho| = 998 kg/m^3\ng = 9.81 m/s^2\nc = 2 m\n```\n\n```sketch\nplant: control volume around a pipe\n\
         surface 1 level z_1\nsection 2 level z_2, speed V, pressure p_2\n{lines}```\n\n\
         ```derive\nbalance heads from 1 to 2 of plant\n```\n"
    )
}

#[test]
fn what_a_sketch_finds_by_its_usual_name_keeps_it_until_a_line_says_it() {
    refused(
        &pond(""),
        "rho_w",
        "the sketch `plant` finds `rho` by this name: a line `density rho` in it first",
    );
    let said = pond("density rho\n");
    check(
        &said,
        "rho_w",
        &said.replace('|', "").replace("rho", "rho_w"),
    );
    // What stands in no balance of it is only spelled so.
    let length = pond("").replace('|', "").replace("c =", "|c =");
    check(&length, "a", &length.replace("|c =", "a ="));
}

#[test]
fn places_sections_and_labels_of_sketches_are_renamed_and_quantities_of_their_spelling_stay() {
    let sketch = "```sketch\nbeam: body\npoint A\npoint B = A right from A\nforce F up at B\nroller at A with A_y up\n```\n\n```derive\nA A_y = 0 by balance moments about B of beam\n```\n[beam]\n";
    let at = |what: &str| sketch.replacen(what, &format!("|{what}"), 1);
    check(&at("A\npoint B"), "O", &{
        let renamed = sketch
            .replace("point A", "point O")
            .replace("from A", "from O");
        renamed.replace("roller at A", "roller at O")
    });
    check(
        &at("B of beam"),
        "end",
        &sketch
            .replace(" B ", " end ")
            .replace("at B", "at end")
            .replace("about B", "about end"),
    );
    check(
        &at("beam\n```\n[")[..],
        "bar1",
        &sketch.replace("beam", "bar1"),
    );
    check(
        &at("A right"),
        "a",
        &sketch
            .replace("= A right", "= a right")
            .replace("\nA A_y", "\na A_y"),
    );
    refused(
        &at("A\npoint B"),
        "B",
        "`B` is already a place in this sketch, on line 4",
    );
    refused(
        &at("A\npoint B"),
        "x-1",
        "`x-1` is no name of a place: letters and digits, without blanks",
    );
    refused(
        &at("F up"),
        "up",
        "with the name `up`, line 5 would be read otherwise",
    );
    refused(
        &at("A_y up"),
        "A_",
        "`A_` is no name: a letter first, then letters and digits, subscripts after `_`",
    );
}

#[test]
fn sections_are_renamed_in_balances() {
    check(
        "```sketch\nway: control volume\nsurface 1 level z\nsurface |2 level y\nloss h\n```\n```derive\nz = y by balance heads from 1 to 2 of way\n```\n",
        "top",
        "```sketch\nway: control volume\nsurface 1 level z\nsurface top level y\nloss h\n```\n```derive\nz = y by balance heads from 1 to top of way\n```\n",
    );
}
