//! Broken, deep and unclosed lines.

use super::*;

#[test]
fn a_broken_line_costs_one_line() {
    let text = "a = (b +\nc = 2*d = ?\ne = $\nf = g h";
    let (lines, diagnostics) = block(BlockKind::Work, text);
    assert_eq!(lines.len(), 2);
    assert_eq!(diagnostics.len(), 2, "{diagnostics:#?}");
}

#[test]
fn the_deepest_statement_that_is_read_does_not_overflow() {
    for text in [
        format!("x = {}a{}", "(".repeat(99), ")".repeat(99)),
        format!("x = {}a{}", "[".repeat(99), "]".repeat(99)),
        format!("x = {}a{}", "sin(".repeat(99), ")".repeat(99)),
        format!("x = {}a{}", "|(".repeat(49), ")|".repeat(49)),
        format!("x = {}a{}", "(b, ".repeat(99), ")".repeat(99)),
        format!("x = a{}", "^a".repeat(99)),
        format!("x = {}a", "-".repeat(99)),
    ] {
        let (lines, diagnostics) = block(BlockKind::Work, &text);
        assert_eq!(diagnostics, [], "{text}");
        let Statement::Chain(chain) = &lines[0].statement else {
            panic!("{text}");
        };
        assert!(!print_expr(&chain.members[1]).is_empty());
    }
    let deep = format!("x = {}", "(".repeat(10_000));
    assert_eq!(block(BlockKind::Work, &deep).1[0].code, Code::S09);
}

#[test]
fn depth_and_length_are_capped_in_lines_of_words() {
    let deep = "(".repeat(10_000);
    let long = "a, ".repeat(MAX_STATEMENT);
    for (kind, opening) in [
        (BlockKind::Derive, "therefore a = "),
        (BlockKind::Derive, "solve a for x with x > "),
        (BlockKind::Check, "y varies as "),
        (BlockKind::Check, "y -> "),
        (BlockKind::Check, "sensitivity of "),
    ] {
        let deep = block(kind, &format!("{opening}{deep}")).1;
        assert_eq!(deep[0].code, Code::S09, "{opening}");
        let long = block(kind, &format!("{opening}{long}")).1;
        assert_eq!(long[0].code, Code::S10, "{opening}");
    }
}

#[test]
fn unclosed_nesting_is_refused_in_linear_time() {
    for opening in [
        "f(",
        "(",
        "(a, ",
        "((a, b), ",
        "V.x (",
        "|(",
        "[",
        "cases(",
        "2 f(",
        "sin (",
        "5 m (",
        "a^(",
    ] {
        let text = format!("x = {}", opening.repeat(45));
        let before = std::time::Instant::now();
        let (lines, diagnostics) = block(BlockKind::Work, &text);
        assert!(before.elapsed().as_secs() < 5, "{text}");
        assert!(lines.is_empty(), "{text}");
        assert_eq!(diagnostics.len(), 1, "{text}");
    }
}
