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
    check_first("work", "x = f|", &["f(", "floor("]);
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
    with("work", "h = ? m f|", "from");
    with("work", "h = ? m from head |", "near");
    with("work", "h = ? m from head between 1 m |", "and");
    with("work", "h = ? m |", "at");
    with("work", "h = ? m to |", "3 figures");
    with("work", "h = ? m to 3 |", "figures");
    with("work", "h = cases(1 |", "otherwise");
    with("given", "p = 4 kPa |", "gauge");
    with("given", "p = 4 kPa |", "difference");
    with("answer", "Q = ? L/s |", "to");
    let derive = labels(&sheet("work", "th|"));
    assert!(!derive.contains(&"therefore".to_owned()), "{derive:?}");
}

#[test]
fn what_is_asked_for_goes_first_where_a_line_begins() {
    check_first("work", "|", &["Q", "solve", "h"]);
    check_first("given", "|", &["Q", "h"]);
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
        match completion(&document, &params) {
            Some(CompletionResponse::Array(items)) => items,
            other => panic!("{other:?}"),
        }
    };
    assert!(at(&sheet("work", "x = V |")).is_empty());
    let items = at(&sheet("work", "V = V = ? |"));
    assert_eq!(items[0].label, "m/s");
    let Some(CompletionTextEdit::Edit(edit)) = &items[0].text_edit else {
        panic!("no edit");
    };
    assert_eq!(edit.range.start, edit.range.end);
}
