use super::*;
use crate::diagnostic::{Code, Diagnostic};
use crate::language_server::fixture;
use crate::text::Span;

/// What is offered at the cursor, and the text after each.
fn offers(text: &str) -> Vec<(String, String)> {
    let (document, cursor) = fixture::with_cursor(text);
    let actions = offered(&document, Range::new(cursor, cursor));
    let after = |action: CodeAction| {
        let changes = action.edit.unwrap().changes.into_iter().flatten();
        let mut edits: Vec<TextEdit> = changes.flat_map(|(_, edits)| edits).collect();
        edits.sort_by_key(|edit| edit.range.start);
        let mut out = document.text().to_owned();
        for edit in edits.iter().rev() {
            let place = document.file().span(edit.range);
            out.replace_range(place.start as usize..place.end as usize, &edit.new_text);
        }
        (action.title, out)
    };
    actions.into_iter().map(after).collect()
}

fn check(text: &str, expected: &[(&str, &str)]) {
    let found = offers(text);
    let found: Vec<(&str, &str)> = found
        .iter()
        .map(|(title, text)| (title.as_str(), text.as_str()))
        .collect();
    assert_eq!(found, expected);
}

#[test]
fn the_number_of_an_ask_is_written_and_taken_out() {
    let open = "```given\na = 2 m\n```\n```work\nb = 2 a = ? m to 2 figures\n```\n";
    let filled = open.replace("? m to", "4.0 m ? to");
    check(
        &open.replace("b =", "|b ="),
        &[("write the computed value here: 4.0", filled.as_str())],
    );
    check(
        &filled.replace("b =", "b| ="),
        &[("take the computed value out", open)],
    );
}

#[test]
fn the_nearest_of_several_asks_is_meant() {
    let text = "```given\na = 2 m\nβ = 3 m\n```\n𝛼 `a = ? m` and `β = ?`|\n";
    check(
        text,
        &[(
            "write the computed value here: 3 m",
            "```given\na = 2 m\nβ = 3 m\n```\n𝛼 `a = ? m` and `β = 3 m?`\n",
        )],
    );
}

#[test]
fn one_block_is_made_tidy() {
    check(
        "```given\na=2 m|\n```\n```given\nb=2 m\n```\n",
        &[(
            "tidy this block",
            "```given\na = 2 m\n```\n```given\nb=2 m\n```\n",
        )],
    );
    check("```given\na = 2 m|\n```\n", &[]);
}

#[test]
fn a_correction_is_attached_to_what_it_corrects() {
    let text = "```given\nx = 5\n```\n```work\na = lo|g(x) = ?\n```\n";
    let (document, cursor) = fixture::with_cursor(text);
    let actions = offered(&document, Range::new(cursor, cursor));
    let titles: Vec<&str> = actions.iter().map(|it| it.title.as_str()).collect();
    assert_eq!(titles, ["write `ln`", "write `log10`"]);
    for action in &actions {
        assert_eq!(action.kind, Some(CodeActionKind::QUICKFIX));
        assert_eq!(action.is_preferred, Some(false));
        let [corrected] = action.diagnostics.as_deref().unwrap() else {
            panic!("one diagnostic");
        };
        assert_eq!(corrected.range.start.line, 4);
    }
    assert!(offers(text)[0].1.contains("a = ln(x) = ?"));
    assert!(offers(&text.replace('|', "").replace("x = 5", "x = |5")).is_empty());
}

#[test]
fn the_only_certain_correction_is_preferred() {
    let document = fixture::document("abc");
    let found = || Diagnostic::error(Code::S01, Span::new(0, 1), "wrong");
    let preferred = |found: &Diagnostic| -> Vec<Option<bool>> {
        let actions = fixes::of_one(&document, found).into_iter();
        actions.map(|action| action.is_preferred).collect()
    };
    let one = found()
        .with_fix(Span::new(0, 1), "x")
        .with_choice(Span::new(0, 1), "y");
    assert_eq!(preferred(&one), [Some(true), Some(false)]);
    let two = one.with_fix(Span::new(0, 1), "z");
    assert_eq!(preferred(&two), [Some(false); 3]);
}

#[test]
fn an_editor_may_ask_for_some_kinds_only() {
    let rewrite = Some(&CodeActionKind::REFACTOR_REWRITE);
    assert!(is_wanted(None, rewrite));
    assert!(is_wanted(Some(&[CodeActionKind::REFACTOR]), rewrite));
    assert!(is_wanted(Some(&[CodeActionKind::EMPTY]), rewrite));
    assert!(!is_wanted(Some(&[CodeActionKind::QUICKFIX]), rewrite));
}

#[test]
fn a_balance_is_written_into_its_line() {
    let text = |line: &str| {
        format!(
            "```sketch\nbox: body\npoint A\nforce F up at A\nforce G down at A\nforce H right at A\n```\n```derive\n{line}\n```\n"
        )
    };
    let written = |line: &str| text(line);
    let title = "write the balance";
    for (line, after) in [
        ("|balance y of box", "F - G = 0 by balance y of box"),
        (
            "u: G = F| by balance y of box  -- up",
            "u: F - G = 0 by balance y of box  -- up",
        ),
        ("up: balance x of bo|x", "up: H = 0 by balance x of box"),
    ] {
        let offered = offers(&text(line));
        assert!(
            offered.contains(&(title.to_owned(), written(after))),
            "{offered:?}"
        );
        // What is written is the balance, and is not offered again.
        let again = offers(&text(
            &after.replacen('F', "|F", 1).replacen("H =", "|H =", 1),
        ));
        assert!(again.iter().all(|(other, _)| other != title), "{again:?}");
        let compiled = fixture::document(&written(after));
        assert_eq!(compiled.worksheet().diagnostics, []);
    }
}
