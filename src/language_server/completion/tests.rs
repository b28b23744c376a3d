use super::*;
use crate::language_server::fixture;

/// What is offered at the cursor, most likely first.
fn offered(text: &str) -> Vec<Offer> {
    let (document, cursor) = fixture::with_cursor(text);
    let offset = document.file().offset(cursor);
    let wishes = wishes(document.text(), offset);
    offers(&document, offset, &wishes)
}

fn labels(text: &str) -> Vec<String> {
    offered(text).into_iter().map(|offer| offer.label).collect()
}

/// A worksheet of two problems, with `line` at the end of the first, in a block of its own.
fn sheet(block: &str, line: &str) -> String {
    format!(
        "```given\ng = 9.81 m/s^2 -- gravity\n```\n\n# One\n\n```given\nD_1 = 600 mm -- inside\nρ = 999 kg/m^3\n```\n\
         ```required\nQ = ? L/s -- flow\n```\n```derive\nhead: h = V^2/(2 g)\nf(x) = x^2\n```\n```work\nV = 2 D_1/(1 s) = ? m/s\n```\n\
         ```{block}\n{line}\n```\n\n# Two\n\n```given\nother = 3 kg\n```\n"
    )
}

fn check_first(block: &str, line: &str, expected: &[&str]) {
    let found = labels(&sheet(block, line));
    let first: Vec<&str> = found
        .iter()
        .take(expected.len())
        .map(String::as_str)
        .collect();
    assert_eq!(first, expected, "{line}: {found:?}");
}

fn check_all(text: &str, expected: &[&str]) {
    assert_eq!(labels(text), expected, "{text}");
}

#[test]
fn names_have_their_values_and_descriptions() {
    let offers = offered(&sheet("work", "x = D|"));
    let name = offers.iter().find(|offer| offer.label == "D_1").unwrap();
    assert_eq!(name.detail.as_deref(), Some("600 mm"));
    assert_eq!(name.says.as_deref(), Some("inside"));
}

#[test]
fn names_of_other_problems_are_not_offered() {
    check_first("work", "x = 2*|", &["D_1", "V", "g", "ρ"]);
    assert!(!labels(&sheet("work", "x = 2*|")).contains(&"other".to_owned()));
}

#[test]
fn greek_names_are_found_by_their_names() {
    check_first("work", "x = rh|", &["ρ"]);
}

#[test]
fn a_line_that_cannot_be_read_is_served() {
    check_first("work", "x = ((D|", &["D_1"]);
    check_first("derive", "therefore sq|", &["sqrt("]);
    check_first("check", "V <  D|", &["D_1"]);
}

#[test]
fn functions_show_how_they_are_called() {
    let offers = offered(&sheet("work", "x = at|"));
    let function = offers.iter().find(|it| it.label == "atan2(").unwrap();
    assert_eq!(function.detail.as_deref(), Some("atan2(y, x)"));
    check_first("work", "x = f|", &["f(", "first(", "floor("]);
}

#[test]
fn units_after_a_question_mark_fit_what_is_asked() {
    check_first("work", "Q = ? |", &["L/s", "m^3/s"]);
    check_first("work", "V = V = ? |", &["m/s"]);
    check_first("answer", "V = ? k|", &["knot", "kg", "kg/m^3"]);
    check_first(
        "given",
        "D_2 = 450 |",
        &["L/s", "kg", "kg/m^3", "m/s", "m/s^2", "mm"],
    );
}

#[test]
fn nothing_is_offered_in_numbers_prose_and_comments() {
    for line in ["x = 12|", "x = 2 -- D|", "# D|", "x = 1.5e|"] {
        assert_eq!(labels(&sheet("work", line)), [""; 0], "{line}");
    }
    for block in ["required", "answer"] {
        assert_eq!(labels(&sheet(block, "V = |")), [""; 0], "{block}");
    }
    check_all("Some words D|", &[]);
    check_all("```text\nD|\n```\n", &[]);
}

#[test]
fn a_vector_has_components() {
    let text = "```given\nF_1 = (3, 4) kN\n```\n```work\na = F_1.|\nb = 1.|\n```\n";
    check_all(text, &["x", "y"]);
    check_all(&text.replacen('|', "x", 1), &[]);
    check_all(&text.replacen("F_1.|", "c.|", 1), &[]);
}

#[test]
fn labels_are_offered_where_they_may_stand() {
    for (block, line) in [
        ("work", "h = ? m from |"),
        ("work", "solve |"),
        ("derive", "a: component x of he|"),
    ] {
        check_first(block, line, &["head"]);
    }
    let text = sheet("given", "a = 1").replace("# Two", "As [h| says\n\n# Two");
    assert_eq!(labels(&text), ["head"]);
    let text = sheet("given", "a = 1").replace("# Two", "# Two\n\n[h|");
    assert_eq!(labels(&text), [""; 0]);
    let picture = "# Two\n\n![](img/hoop.png \"The hoop\")\n\n[h|";
    let text = sheet("given", "a = 1").replace("# Two", picture);
    assert_eq!(labels(&text), ["hoop"]);
}

#[test]
fn words_stand_where_they_may() {
    let with = |block: &str, line: &str, word: &str| {
        let found = labels(&sheet(block, line));
        assert!(found.iter().any(|label| label == word), "{line}: {found:?}");
    };
    with("derive", "th|", "therefore");
    with("derive", "show |", "dimensions");
    with("derive", "solve head f|", "for");
    with("derive", "solve head for V |", "between");
    with("derive", "component |", "x");
    with("check", "V |", "rises with");
    with("check", "V rises |", "with");
    with("check", "V does not |", "depend on");
    with("check", "V = 2 m/s w|", "within");
    with("versions", "V |", "may change direction");
    with("versions", "V |", "rises with");
    with("versions", "V f|", "from");
    with("versions", "V from 2 m/s |", "to");
    with("versions", "V from 2 m/s to 3 m/s |", "in steps of");
    with("work", "h = ? m f|", "from");
    with("work", "h = ? m from head |", "near");
    with("work", "h = ? m from head between 1 m |", "and");
    with("work", "h = ? m |", "at");
    with("work", "h = ? m to |", "3 figures");
    with("work", "h = ? m to 3 |", "figures");
    with("work", "h = cases(1 |", "otherwise");
    with("given", "p = 4 kPa |", "gauge");
    with("given", "T = 4 degC |", "difference");
    with("answer", "Q = ? L/s |", "to");
    let derive = labels(&sheet("work", "th|"));
    assert!(!derive.contains(&"therefore".to_owned()), "{derive:?}");
}

#[test]
fn what_is_asked_for_goes_first_where_a_line_begins() {
    check_first("work", "|", &["Q", "solve", "h"]);
}

#[test]
fn a_new_line_of_given_has_what_is_not_defined_yet() {
    check_all(&sheet("given", "|"), &["h"]);
    let found = labels(&sheet("given", "a = |"));
    assert_eq!(found[..4], ["D_1", "g", "ρ", "f("], "{found:?}");
    for name in ["V", "Q", "h", "a"] {
        assert!(!found.iter().any(|label| label == name), "{found:?}");
    }
}

#[test]
fn units_go_on_after_an_operator() {
    let found = labels(&sheet("given", "c = 998 kg/|"));
    assert!(found.iter().any(|label| label == "mm"), "{found:?}");
    assert!(!found.iter().any(|label| label == "sqrt("), "{found:?}");
    check_first("given", "c = 998 kg/|", &["L/s"]);
    check_all(&sheet("given", "c = 998 kg/m^|"), &[]);
    check_first("given", "c = 998 m|", &["m", "m/s", "m/s^2", "mm"]);
}

#[test]
fn a_plain_number_is_asked_in_per_cent_first() {
    let found = labels(&sheet("work", "r = D_1/D_1 = ? |"));
    assert_eq!(found[0], "%", "{found:?}");
    assert!(!found.iter().any(String::is_empty), "{found:?}");
    check_first("check", "D_1 = 600 mm within 1 |", &["%", "mm"]);
    let angle = labels(&sheet("work", "theta = atan(1) = ? |"));
    assert_ne!(angle[0], "%", "{angle:?}");
}

#[test]
fn what_changes_in_a_check_or_a_condition_is_given() {
    for (block, line) in [
        ("check", "V rises with |"),
        ("check", "V falls with |"),
        ("check", "V varies as |"),
        ("check", "V does not depend on |"),
        ("check", "V -> 0 as |"),
        ("work", "V = ? m/s at |"),
    ] {
        check_all(&sheet(block, line), &["D_1", "g", "ρ"]);
    }
    check_first("check", "V -> 0 |", &["as"]);
    let words = labels(&sheet("check", "V |"));
    assert!(!words.iter().any(|label| label == "as"), "{words:?}");
}

#[test]
fn an_equation_is_solved_for_what_stands_in_it() {
    check_all(&sheet("derive", "solve head for |"), &["h", "V", "g"]);
    check_all(
        &sheet("work", "solve head for h near 1 m, |"),
        &["h", "V", "g"],
    );
    check_all(
        &sheet("derive", "solve head for V |"),
        &["with", "between", "in full"],
    );
    check_all(
        &sheet("work", "solve head for V |"),
        &["near", "with", "between"],
    );
}

#[test]
fn words_of_a_datum_stand_after_units_that_have_one() {
    check_first("work", "u = 2 D_1 = ? m |", &["to", "from", "at"]);
    let found = labels(&sheet("work", "u = 2 D_1 = ? m |"));
    for word in ["gauge", "abs", "difference"] {
        assert!(!found.iter().any(|label| label == word), "{found:?}");
    }
    check_first("work", "p = ? kPa |", &["gauge", "to", "abs"]);
    check_first("given", "T = 20 degC |", &["difference"]);
}

#[test]
fn units_are_put_together_as_the_formula_asks() {
    let text = |line: &str| format!("```given\na = 2 m\nF = 3 kN\n```\n```work\nM = {line}\n```\n");
    for (line, unit) in [
        ("F a = ? |", "kN m"),
        ("F a = ? k|", "kN m"),
        ("F/a = ? |", "kN/m"),
        ("F/sqrt(a^2) = ? k|", "kN/m"),
        ("F a/(2 m) = ? k|", "kN"),
    ] {
        let found = labels(&text(line));
        assert!(found[..2].contains(&unit.to_owned()), "{line}: {found:?}");
    }
}

#[test]
fn a_name_is_found_in_each_of_its_greek_spellings() {
    let text = |line: &str| {
        format!("```given\nDelta_F = 2 N\nρ_w = 3 kg\n```\n```work\nq = {line}\n```\n")
    };
    for (typed, name) in [
        ("Δ|", "Delta_F"),
        ("ΔF|", "Delta_F"),
        ("Δ_F|", "Delta_F"),
        ("rho|", "ρ_w"),
        ("ρ|", "ρ_w"),
    ] {
        let offers = offered(&text(typed));
        assert_eq!(offers[0].label, name, "{typed}");
        let typed = typed.trim_end_matches('|');
        let compared = offers[0].compared(typed).unwrap_or(name);
        assert!(compared.starts_with(typed), "{typed}: {compared}");
    }
}

#[test]
fn constants_read_as_they_are_published() {
    let offers = offered(&sheet("given", "R = constant(standard acc|"));
    assert_eq!(offers[0].detail.as_deref(), Some("9.80665 m/s^2"));
}

#[test]
fn constants_are_offered_by_their_published_names() {
    check_all(
        &sheet("given", "R = constant(molar g|"),
        &["molar gas constant"],
    );
}

#[test]
fn asks_in_prose_have_names_and_units() {
    let prose = |ask: &str| sheet("given", "a = 1").replace("# Two", &format!("a `{ask}\n\n# Two"));
    assert_eq!(labels(&prose("D|"))[0], "D_1");
    assert_eq!(labels(&prose("V = ? |"))[0], "m/s");
    assert!(labels(&prose("? m/s o|")).contains(&"of".to_owned()));
    assert_eq!(labels(&prose("? m/s of V|"))[0], "V");
    assert_eq!(labels(&prose("V = ? m/s at D_1 = 300 |"))[0], "mm");
}

#[test]
fn fences_and_the_front_matter_have_their_words() {
    check_all("a\n\n```w|", &["work"]);
    check_all("---\nti|\n---\n", &["title: "]);
    check_all("---\nunits: |\n---\n", &["SI", "US"]);
    check_all("---\npaper: l|", &["letter"]);
}

#[test]
fn after_a_blank_only_what_must_follow_is_offered() {
    let at = |text: &str| {
        let (document, cursor) = fixture::with_cursor(text);
        let params = CompletionParams {
            text_document_position: fixture::at(cursor),
            work_done_progress_params: Default::default(),
            partial_result_params: Default::default(),
            context: Some(lsp_types::CompletionContext {
                trigger_kind: CompletionTriggerKind::TRIGGER_CHARACTER,
                trigger_character: Some(" ".to_owned()),
            }),
        };
        completion(&document, &params).unwrap().items
    };
    assert!(at(&sheet("work", "x = V |")).is_empty());
    let items = at(&sheet("work", "V = V = ? |"));
    assert_eq!(items[0].label, "m/s");
    let Some(CompletionTextEdit::Edit(edit)) = &items[0].text_edit else {
        panic!("no edit");
    };
    assert_eq!(edit.range.start, edit.range.end);
}

#[test]
fn quantities_that_fit_go_first() {
    check_first("work", "x = |", &["D_1", "V", "g", "ρ"]);
    check_first("work", "V_2 = V + |", &["D_1", "V", "g", "ρ"]);
    check_first("check", "V < |", &["V", "D_1", "g", "ρ"]);
    check_first("check", "g > 2 g - |", &["g", "D_1", "V", "ρ"]);
    // A factor may have any dimension.
    check_first("check", "V < 2*|", &["D_1", "V", "g", "ρ"]);
    check_first("check", "V < 2 (D_1 + |", &["D_1", "V", "g", "ρ"]);
}

#[test]
fn units_are_put_together_where_they_say_what_is_meant() {
    let text = "```given\na = 2 m\nt = 3 s\nF = 3 kN\nP = 4 kW\n```\n```work\nv = a/t = ? |\n```\n";
    let found = labels(text);
    assert_eq!(found[0], "m/s");
    assert!(!found.contains(&"kW/kN".to_owned()), "{found:?}");
    let area = labels("```given\na = 2 mm\nb = 3 m\n```\n```work\nA = a b = ? |\n```\n");
    assert!(!area.contains(&"mm m".to_owned()), "{area:?}");
    assert!(
        area.contains(&"m²".to_owned()) || area.contains(&"m^2".to_owned()),
        "{area:?}"
    );
}

#[test]
fn a_long_list_is_cut_and_says_so() {
    let data: String = (0..300).map(|at| format!("a_{at} = {at} m\n")).collect();
    let listed = |line: &str| {
        let text = format!("```given\n{data}```\n```work\nx = {line}\n```\n");
        let (document, cursor) = fixture::with_cursor(&text);
        let params = CompletionParams {
            text_document_position: fixture::at(cursor),
            work_done_progress_params: Default::default(),
            partial_result_params: Default::default(),
            context: None,
        };
        let list = completion(&document, &params).unwrap();
        (list.items.len(), list.is_incomplete)
    };
    assert_eq!(listed("|"), (200, true));
    assert_eq!(listed("a_29|"), (11, false));
}

/// What is offered first in a line of a body, below a few lines.
fn in_a_body(line: &str, expected: &[&str]) {
    let text = format!(
        "```given\na = 2 m\nW = 3 kN\n```\n```sketch\nbeam: body -- a beam\npoint A\npoint B = a right from A   # the end\n{line}\n```\n"
    );
    let found = labels(&text);
    let first: Vec<&str> = found
        .iter()
        .take(expected.len())
        .map(String::as_str)
        .collect();
    assert_eq!(first, expected, "{line}: {found:?}");
}

#[test]
fn a_sketch_begins_with_a_label_and_what_it_is_of() {
    let at = |line: &str| labels(&format!("```sketch\n{line}\n```\n"));
    assert_eq!(at("bea|"), [""; 0]);
    assert_eq!(
        at("beam: |"),
        ["body", "particle", "fluid at rest", "control volume"]
    );
    assert_eq!(at("beam: control volume |"), ["around"]);
    assert_eq!(
        at("beam: control volume around a b|"),
        ["bend", "branch", "box"]
    );
}

#[test]
fn lines_of_a_sketch_are_those_of_its_kind() {
    in_a_body("f|", &["force", "friction", "fixed"]);
    in_a_body("in|", &[]);
    let text = "```sketch\np: particle\n|\n```\n";
    let found = labels(text);
    assert!(
        found.contains(&"normal".to_owned()) && !found.contains(&"point".to_owned()),
        "{found:?}"
    );
    let text = "```sketch\nt: fluid at rest\n|\n```\n";
    assert_eq!(
        labels(text),
        [
            "from",
            "to",
            "down",
            "up",
            "along",
            "gravity",
            "surroundings",
            "no dimensions",
            "show",
            "scale"
        ]
    );
}

#[test]
fn parts_of_a_line_follow_in_their_order() {
    in_a_body(
        "force F |",
        &["right", "left", "up", "down", "at", "rising", "falling"],
    );
    in_a_body("force F at 30° |", &["above right", "above left"]);
    in_a_body("force F down |", &["at"]);
    in_a_body("force F down at |", &["A", "B"]);
    in_a_body("force F down at A, |", &["opposite to"]);
    in_a_body("weight |", &["neglected", "W", "a"]);
    in_a_body("beam A |", &["to"]);
    in_a_body("beam A to |", &["A", "B"]);
    in_a_body("pin at A |", &["with"]);
    in_a_body("accelerates a clockwise, |", &["moment of inertia"]);
    let cut = |line: &str| labels(&format!("```sketch\nv: control volume\n{line}\n```\n"));
    assert_eq!(cut("inlet 1 |"), ["flow"]);
    assert_eq!(cut("inlet 1 flow right, ar|"), ["area"]);
    assert_eq!(
        cut("inlet 1 flow right, relative |"),
        ["speed", "mass flow", "volume flow"]
    );
    in_a_body("block on |", &["floor", "incline"]);
}

#[test]
fn a_balance_names_what_and_of_which_sketch() {
    let at = |line: &str| {
        labels(&format!(
            "```sketch\nbeam: body\npoint A\nforce F up at A\n```\n```sketch\nway: control volume\nsurface 1 level z\nsurface 2 level y\n```\n```derive\n{line}\n```\n"
        ))
    };
    let what = [
        "x",
        "y",
        "moments about",
        "mass",
        "volume",
        "content",
        "energy",
        "pressure",
        "heads from",
    ];
    assert_eq!(at("F = 0 by |"), ["balance"]);
    assert_eq!(at("F = 0 by balance |"), what);
    assert_eq!(at("balance |"), what);
    assert_eq!(at("u: balance moments about |"), ["A"]);
    assert_eq!(at("balance heads from 1 to |"), ["1", "2"]);
    assert_eq!(at("F = 0 by balance y of |"), ["beam", "way"]);
    assert!(at("F = 0 |").contains(&"by balance".to_owned()));
}

/// A folder with two worksheets, a folder, and a table.
fn folder(_: &std::path::Path) -> std::sync::Arc<dyn crate::text::Files> {
    let files = crate::text::Memory::default();
    files.write("w.md", "");
    files.write("w.html", "");
    files.write("log.csv", "t,x\n1,2\n");
    files.write(
        "water.md",
        "# Cold\n\n```given\nrho_0 = 999 kg/m^3\n```\n\n```work\nmu(T) = T\nm = 2 rho_0 = ? kg/m^3\n```\n\n# Warm\n\n```given\nrho_1 = 980 kg/m^3\n```\n",
    );
    files.write("old/bath.md", "```given\nd = 3 m\n```\n");
    files.write("old/a bend.svg", "<svg/>");
    std::sync::Arc::new(files)
}

fn check_beside(block: &str, line: &str, expected: &[&str]) {
    let text = format!("```{block}\n{line}\n```\n");
    let at = text.find('|').unwrap();
    let document = fixture::beside(&text.replacen('|', "", 1), folder);
    let wishes = wishes(document.text(), at);
    let found = offers(&document, at, &wishes);
    let found: Vec<&str> = found.iter().map(|offer| offer.label.as_str()).collect();
    assert_eq!(found, expected, "{line}");
}

#[test]
fn pictures_are_offered_where_prose_shows_one() {
    let offered = |line: &str| {
        let at = line.find('|').unwrap();
        let document = fixture::beside(&line.replacen('|', "", 1), folder);
        let wishes = wishes(document.text(), at);
        let found = offers(&document, at, &wishes).into_iter();
        found.map(|offer| offer.label).collect::<Vec<_>>()
    };
    assert_eq!(offered("![a bend](|)"), ["old/"]);
    assert_eq!(offered("Words, ![a bend](old/|"), ["old/a%20bend.svg"]);
    assert!(offered("[a page](|)").is_empty());
}

#[test]
fn files_and_what_stands_in_other_worksheets_are_offered_between_quotes() {
    check_beside("given", "rho = rho_0 of \"|", &["water.md", "old/"]);
    check_beside("given", "rho = rho_0 of \"w|\"", &["water.md"]);
    check_beside("given", "d = d of \"old/|\"", &["old/bath.md"]);
    check_beside("data log", "file \"|\"", &["log.csv", "old/"]);
    check_beside(
        "given",
        "rho = rho_0 of \"water.md\" under \"|\"",
        &["Cold", "Warm"],
    );
    check_beside(
        "given",
        "rho = | of \"water.md\"",
        &["m", "mu", "rho_0", "rho_1"],
    );
    check_beside("given", "rho = rh| of \"water.md\"", &["rho_0", "rho_1"]);
    check_beside("given", "rho = | of \"nothing.md\"", &[]);
    // Words in quotes are anybody's elsewhere.
    check_beside("data log", "no reading \"|\"", &[]);
}
