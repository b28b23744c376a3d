//! Edits after which a page could show what is no longer so.

use setsquare::worksheet::Session;

use super::{assert_equal, session};

/// Takes the texts there and back, and compares each with a fresh compilation.
fn follow(texts: &[&str]) -> Session {
    let mut session = session(texts[0]);
    let back = texts.iter().rev().skip(1);
    for text in texts.iter().skip(1).chain(back) {
        let before = session.text().to_owned();
        session.update(text);
        assert_equal(&session, &before);
    }
    session
}

fn errors(text: &str) -> usize {
    let session = session(text);
    let diagnostics = session.worksheet().diagnostics.iter();
    diagnostics.filter(|found| found.is_error()).count()
}

#[test]
fn a_function_is_judged_by_each_use_that_it_has_now() {
    let sheet = |argument: &str| {
        format!(
            "```derive\ns(a) = a^2 + 1\n```\n\n```given\nL = 2 m\n```\n\n```work\nx = s({argument}) = ?\n```\n"
        )
    };
    let (length, number) = (sheet("L"), sheet("2"));
    assert!(errors(&length) > 0);
    assert_eq!(errors(&number), 0);
    follow(&[&length, &number]);
    follow(&[&number, &length]);
}

#[test]
fn a_fence_in_a_list_is_read_as_it_is_indented() {
    let sheet = |indent: &str| {
        format!("- item\n\n{indent}```given\n{indent}a = 1 m\n{indent}```\n\n`2 a = ? m`\n")
    };
    let texts: Vec<String> = ["", " ", "  ", "   ", "      ", "          "]
        .map(sheet)
        .into();
    let texts: Vec<&str> = texts.iter().map(String::as_str).collect();
    assert_eq!(errors(texts[2]), 0);
    assert!(errors(texts[4]) > 0);
    follow(&texts);
}

#[test]
fn a_name_is_a_vector_as_long_as_its_value_is() {
    let sheet = |value: &str| {
        format!("```given\nF = {value}\n```\n\n```work\nG = 2 F = ? kN\n```\n\n`F = ? kN`\n")
    };
    let (vector, number) = (sheet("(3, -4) kN"), sheet("5 kN"));
    assert_eq!((errors(&vector), errors(&number)), (0, 0));
    follow(&[&vector, &number, &vector]);
}

#[test]
fn a_place_that_is_named_is_where_the_line_stands_now() {
    let sheet = "```given\na = 1 m\n```\n\n```given\na = 2 m\n```\n";
    assert!(errors(sheet) > 0);
    follow(&[
        sheet,
        &format!("Words.\n\n{sheet}"),
        &format!("# A\n\nWords.\n\n{sheet}"),
    ]);
}

#[test]
fn what_is_open_at_its_end_is_read_to_the_end() {
    let list = "- ```\n  text\n\n# A\n\n```given\na = 1 m\n```\n";
    let marked = "\u{feff}```given\na = 1 m\n\n# A\n";
    let front = "---\ntitle: A\n\n# B\n\n```given\na = 1 m\n```\n";
    let closed = "---\ntitle: A\n---\n\n# B\n\n```given\na = 1 m\n```\n";
    for text in [list, marked, front] {
        follow(&["", text, &text.replace("1 m", "2 m"), closed]);
        let shorter: Vec<&str> = (text.char_indices().map(|(at, _)| &text[..at])).collect();
        follow(&shorter);
    }
}

#[test]
fn a_problem_moves_with_what_is_written_above_it() {
    let text = "```given\nk = 2\n```\n\n# P\n\n```derive\none: a = k b\n```\n\n# Q\n\nBy [two], `x = ?`.\n\n```given\nx = 3\n```\n\n```derive\ntwo: c = k d\ntherefore c = 3 d\n```\n";
    let above = text.replace("# P\n", "# P\n\nWords.\n\n```derive\nzero: e = f\n```\n");
    let session = follow(&[text, &above]);
    assert_eq!(session.text(), text);
    let session = follow(&[&above]);
    let worksheet = session.worksheet();
    let [refused] = worksheet.diagnostics.as_slice() else {
        panic!("{:?}", worksheet.diagnostics);
    };
    assert_eq!(worksheet.source.slice(refused.span), "therefore c = 3 d");
    let line = worksheet.source.line_of(refused.span.start);
    let page = setsquare::page::html(worksheet);
    assert!(page.contains(&format!(" (line {line}, A01): ")), "{page}");
    assert!(page.contains(">(3)</a>"), "{page}");
}
