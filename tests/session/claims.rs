//! What an edit makes it necessary to do again.

use setsquare::worksheet::Change;

use super::{assert_equal, session, update};

const TEXT: &str = "\
# Two tanks

Water of `rho = ? kg/m^3` stands `h_1 = ? m` high.

```given
rho = 998 kg/m^3  -- density
h_1 = 4.20 m      -- level
h_2 = 1.75 m
```

```given
g = 9.81 m/s^2
```

```work
p_1 = rho g h_1 = ? kPa
```

```work
p_2 = rho g h_2 = ? kPa
```

Between them are `? kPa of p_1 - p_2`.

```work
d = p_1 - p_2 = ? kPa
```

```check
p_1 > p_2
```

```answer
d
```
";

/// The lines of the blocks and asks that are computed again when `old` becomes `new`.
fn effort(old: &str, new: &str) -> (Vec<usize>, Vec<usize>) {
    assert_eq!(TEXT.matches(old).count(), 1, "{old}");
    let after = TEXT.replace(old, new);
    let mut session = session(TEXT);
    let change = update(&mut session, &after);
    assert_equal(&session, TEXT, &change);
    assert!(matches!(change, Change::Parts(_)), "{change:?}");
    let effort = session.effort();
    assert!(!effort.everything && !effort.reread);
    (effort.blocks.clone(), effort.asks.clone())
}

#[test]
fn editing_prose_computes_nothing() {
    assert_eq!(
        effort("Between them are", "The difference is"),
        (vec![], vec![])
    );
    assert_eq!(
        effort("stands", "stands, *as we see*,\nat rest,"),
        (vec![], vec![])
    );
}

#[test]
fn editing_an_equation_computes_it_and_its_dependants() {
    assert_eq!(
        effort("p_1 = rho g h_1", "p_1 = 2 rho g h_1"),
        (vec![16, 26, 30, 34], vec![23])
    );
    assert_eq!(
        effort("p_2 = rho g h_2", "p_2 = rho g (h_2/2)"),
        (vec![20, 26, 30, 34], vec![23])
    );
    assert_eq!(
        effort("d = p_1 - p_2", "d = (p_1 - p_2)*2"),
        (vec![26, 34], vec![])
    );
}

#[test]
fn an_edit_that_leaves_the_value_as_it_was_goes_no_further() {
    assert_eq!(
        effort("p_1 = rho g h_1", "p_1 = g rho h_1"),
        (vec![16], vec![])
    );
    assert_eq!(effort("4.20 m ", "4.200 m"), (vec![6], vec![]));
}

#[test]
fn editing_a_datum_computes_those_who_read_it() {
    assert_eq!(
        effort("1.75 m", "1.80 m"),
        (vec![6, 20, 26, 30, 34], vec![23])
    );
    assert_eq!(
        effort("4.20 m", "4.25 m"),
        (vec![6, 16, 26, 30, 34], vec![3, 23])
    );
}

#[test]
fn editing_an_ask_in_the_text_computes_that_ask() {
    assert_eq!(
        effort("? kPa of p_1 - p_2", "? Pa of p_2 - p_1"),
        (vec![], vec![23])
    );
}

#[test]
fn editing_a_check_computes_that_check() {
    assert_eq!(effort("p_1 > p_2", "p_1 > 2 p_2"), (vec![30], vec![]));
}

#[test]
fn the_same_text_changes_nothing() {
    assert_eq!(session(TEXT).update(TEXT), Change::Nothing);
}

#[test]
fn lines_that_are_named_elsewhere_are_named_again_when_they_move() {
    let text = "# P\n\nText.\n\n```derive\na = 2 b\nb = 3 c\ntherefore a = 6 c\n```\n";
    let after = text.replace("Text.\n", "Text.\n\n");
    let mut session = session(text);
    let change = update(&mut session, &after);
    assert_equal(&session, text, &change);
    assert_eq!(change, Change::Parts(vec![0, 1, 2]));
}

#[test]
fn a_counterexample_is_sought_again_when_names_come_in_another_order() {
    let text = "```derive\ntherefore x + A = B\n```\n\n```work\nA = 2 = ?\n```\n\n```given\nc = 2 m\n```\n";
    let mut session = session(text);
    let change = session.update(&text.replace("A = 2", "D = 2"));
    assert_equal(&session, text, &change);
}

#[test]
fn a_mark_at_the_top_of_the_file_is_read() {
    let text = "# Problem\n\nText.\n";
    let mut session = session(text);
    let change = session.update(&format!("\u{feff}{text}"));
    assert_equal(&session, text, &change);
}

#[test]
fn a_refused_requirement_is_named_by_its_line() {
    let text = "Above.\n\n```required\nL = 2.50 m\n```\n\nLength `L = ? m`.\n";
    let session = session(text);
    assert_equal(&session, "", &Change::Everything);
    let page = setsquare::page::html(session.worksheet());
    assert!(page.contains("(line 4)"), "{page}");
}

#[test]
fn a_heading_that_changes_places_with_a_paragraph_changes_everything() {
    let text = "Some text.\n\n## Two\n\nMore.\n";
    let mut session = session(text);
    let change = update(&mut session, "## Two\n\nSome text.\n\nMore.\n");
    assert_equal(&session, text, &change);
    assert_eq!(change, Change::Everything);
}
