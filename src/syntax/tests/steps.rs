//! `therefore`, `solve`, `component`, `show dimensions`, and asks with `from`.

use super::*;
use Code::{S01, S11, S14, S15};

#[test]
fn steps_of_derive_are_read() {
    reads(
        BlockKind::Derive,
        &[
            (
                "therefore R_x = mdot (V_2 - V_1)",
                "therefore R_x = mdot (V_2 - V_1)",
            ),
            ("∴ a = b = -c", "therefore a = b = -c"),
            ("∴a = b", "therefore a = b"),
            ("therefore (a + b) = c", "therefore (a + b) = c"),
            ("step: therefore R_x = 2", "therefore R_x = 2"),
            ("therefore a\n = b\n = c", "therefore a = b = c"),
            ("therefore: a = b", "a = b"),
            ("component x of joint", "component X of joint"),
            ("component z of joint-2", "component Z of joint-2"),
            ("show dimensions", "show dimensions"),
        ],
    );
    let text = "step: therefore R_x = 2 -- by momentum";
    let (lines, _) = block(BlockKind::Derive, text);
    assert_eq!(&*lines[0].label.as_ref().unwrap().text, "step");
    let Statement::Therefore(therefore) = &lines[0].statement else {
        panic!("{lines:?}");
    };
    assert_eq!(therefore.word.of(text), "therefore");
}

#[test]
fn solve_is_read() {
    reads(
        BlockKind::Derive,
        &[
            ("solve balance for R_x", "solve [balance] for R_x"),
            ("solve [balance] for R_x", "solve [balance] for R_x"),
            ("solve a, b for x, y", "solve [a b] for x, y"),
            ("solve [a, b] for x", "solve [a b] for x"),
            ("solve for x", "solve [] for x"),
            ("solve momentum-2 for x", "solve [momentum-2] for x"),
            (
                "solve swing for theta between 0 and 90 deg",
                "solve [swing] for theta between 0 and 90 deg",
            ),
            (
                "solve swing for theta between 0 and 90° in full",
                "solve [swing] for theta between 0 and 90 ° in full",
            ),
            (
                "solve energy for V with V > 0 in full",
                "solve [energy] for V with V ; 0 [Greater] in full",
            ),
            (
                "solve energy for y_1, y_2 with y_1 > 0, 0 < y_2 < y_1",
                "solve [energy] for y_1, y_2 with y_1 ; 0 [Greater] with 0 ; y_2 ; y_1 [Less, Less]",
            ),
            ("solve a for x in full", "solve [a] for x in full"),
            (
                "solve top for t_1 near 2 in full",
                "solve [top] for t_1 near 2 in full",
            ),
            (
                "solve top for t_1 near 2 in in full",
                "solve [top] for t_1 near 2 in in full",
            ),
            (
                "solve top for t_1 with t_1 > t_0 in full",
                "solve [top] for t_1 with t_1 ; t_0 [Greater] in full",
            ),
        ],
    );
    let text = "solve a for x near 2 m with x > 0";
    let Statement::Solve(solve) = line(BlockKind::Derive, text) else {
        panic!("{text}");
    };
    assert_eq!(solve.word.of(text), "solve");
    assert_eq!(solve.unknowns[0].name.span.of(text), "x");
    assert!(
        matches!(&solve.unknowns[0].start, Start::Near(value) if value.span.of(text) == "2 m"
            && matches!(value.kind, ExprKind::Quantity(_)))
    );
}

#[test]
fn starts_belong_to_the_names_before_them() {
    reads(
        BlockKind::Work,
        &[
            (
                "solve a, b for x near 1 m, y near 2 N",
                "solve [a b] for x near 1 m, y near 2 N",
            ),
            (
                "solve a, b for x, y near 1 m, -2 N",
                "solve [a b] for x near 1 m, y near -2 N",
            ),
            (
                "solve a, b, c for x near 1, y, z near 2, 3",
                "solve [a b c] for x near 1, y near 2, z near 3",
            ),
            (
                "solve a, b for x near 1 m, y",
                "solve [a b] for x near 1 m, y",
            ),
            (
                "solve a, b for x, y between 0 m and 1 m, 2 N and 3 N",
                "solve [a b] for x between 0 m and 1 m, y between 2 N and 3 N",
            ),
            (
                "solve a, b for x near 1 kPa gauge, y between 0 and 5 kg m/s",
                "solve [a b] for x near 1 kPa gauge, y between 0 and 5 kg*m/s",
            ),
        ],
    );
    refuses(
        BlockKind::Work,
        &[
            (
                "solve a, b for x, y near 1 m",
                S01,
                "near 1 m",
                "`x near 1 m, y near …`",
            ),
            (
                "solve a for x near 1 m, 2 m",
                S01,
                "near 1 m, 2 m",
                "`x near 1 m`",
            ),
            (
                "solve a, b for x, y between 0 and 1",
                S01,
                "between 0 and 1",
                "`x between 0 and 1, y between …`",
            ),
            ("solve a for x near 1 near 2", S01, "near", "x near 1 m"),
        ],
    );
}

#[test]
fn asks_with_from_are_read() {
    reads(
        BlockKind::Work,
        &[
            ("f = ? from colebrook", "f = ? from colebrook"),
            (
                "f = ? from colebrook near 0.02",
                "f = ? from colebrook near 0.02",
            ),
            (
                "y = ? m to 3 figures from energy between 0 and 2 m",
                "y = ? m Figures(3) from energy between 0 and 2 m",
            ),
            ("x = ? m from a near 2 m", "x = ? m from a near 2 m"),
            (
                "p = ? kPa gauge from a near 2 kPa gauge",
                "p = ? kPa Gauge from a near 2 kPa gauge",
            ),
            (
                "f = 0.01772 ? from colebrook near 0.02",
                "f = filled 0.01772 ? from colebrook near 0.02",
            ),
            (
                "f = 1.2 m ? to 2 figures from cole-2",
                "f = filled 1.2 m ? m Figures(2) from cole-2",
            ),
            (
                "Q = ? L/s from system near 4 L/s at H = 3 m, D = 2*D_0",
                "Q = ? L.s^-1 from system near 4 L/s at H=3 m at D=2*D_0",
            ),
        ],
    );
    let text = "f = ? from colebrook near 0.02 at Q = 3";
    let Statement::Chain(chain) = line(BlockKind::Work, text) else {
        panic!("{text}");
    };
    let from = chain.from.unwrap();
    assert_eq!(from.span.of(text), "from colebrook near 0.02");
    assert_eq!(from.label.span.of(text), "colebrook");
}

#[test]
fn asks_with_from_are_refused_at_the_part_that_is_wrong() {
    refuses(
        BlockKind::Work,
        &[
            ("f = 3 from x", S01, "from x", "`f = ? from x`"),
            ("f = 3 m from x", S01, "from x", "`f = ? from x`"),
            ("f = g + h from x", S01, "from x", "the formula without"),
            ("f = g = ? from x", S01, "from x", "`f = ? from x`"),
            ("2 f = ? from x near 2", S01, "2 f", "`x = ? from x near 2`"),
            ("f = ? near 2", S01, "near", "`f = ? from colebrook near …`"),
            (
                "f = ? between 1 and 2",
                S01,
                "between",
                "from colebrook between",
            ),
            ("f = ? from", S01, "", "`f = ? from colebrook`"),
            ("f = ? from near 2", S01, "near", "`f = ? from colebrook`"),
            ("f = ? from x near", S01, "", "near 0.02"),
            ("f = ? from x near x_0", S01, "x_0", "near 0.02"),
            ("f = ? from x near 2*a", S01, "*", "near 0.02"),
            ("f = ? from x between 1", S01, "", "between 0.008 and 0.1"),
            ("f = ? from x between 1 to 2", S01, "to", ""),
            ("f = ? from x, y", S01, ",", "`f = ? from colebrook`"),
            (
                "f = ? from x near 1, 2",
                S01,
                "near 1, 2",
                "colebrook near …",
            ),
            (
                "f = ? from x to 3 figures",
                S01,
                "to 3 figures",
                "`f = ? to 3 figures from",
            ),
            ("f = ? at Q = 2 from x", S01, "from", "before `at`"),
            ("f = ? from (x", S01, "(", "`)`"),
            ("from = a", S14, "from", "from_1"),
        ],
    );
    for kind in [
        BlockKind::Given,
        BlockKind::Required,
        BlockKind::Derive,
        BlockKind::Check,
        BlockKind::Answer,
    ] {
        refuses(kind, &[("f = ? from x", S11, "from", "`work`")]);
    }
    let inline = "f = ? from x";
    let refusal = parse_inline(inline, Span::new(0, inline.len()))
        .unwrap()
        .unwrap_err();
    assert_eq!(refusal.code, S11);
}

#[test]
fn malformed_steps_show_the_right_form() {
    refuses(
        BlockKind::Derive,
        &[
            ("therefore x", S01, "x", "`therefore x = …`"),
            ("∴ a + b", S01, "a + b", "`∴ a + b = …`"),
            ("therefore", S01, "", "`therefore R_x = a - b`"),
            ("therefore a = ?", S01, "?", "`therefore R_x = a - b`"),
            ("therefore a < b", S01, "<", "`therefore R_x = a - b`"),
            ("therefore a = (b", S01, "(", "`)`"),
            ("therefore p = 20 kPa gauge", S15, "20 kPa gauge", "given"),
            ("solve x", S01, "solve x", "`solve for x`"),
            ("solve", S01, "solve", "`solve balance for R_x`"),
            (
                "solve balance R_x",
                S01,
                "solve balance R_x",
                "`solve balance for R_x`",
            ),
            ("solve a for", S01, "", "`solve balance for R_x`"),
            ("solve a for 2 x", S01, "2", "`solve balance for R_x`"),
            ("solve a for x + y", S01, "+", "`solve balance for R_x`"),
            ("solve [a for x", S01, "[", "`]`"),
            ("solve a b for x", S01, "b", "`solve balance for R_x`"),
            ("solve a for x near x_0", S01, "x_0", "`near 2 N`"),
            (
                "solve a for x between 0, 1",
                S01,
                ",",
                "`between 0 and 90 deg`",
            ),
            ("solve a for x with x", S01, "", "`with R_x > 0`"),
            (
                "solve a for x in full with x > 0",
                S01,
                "with",
                "in this order",
            ),
            ("solve a for x show", S01, "", "in full"),
            ("solve a for x show steps", S01, "show steps", "`in full`"),
            ("a = 2 in full", S01, "in full", "without these words"),
            ("solve a for pi", S14, "pi", "pi_1"),
            (
                "solve a for x with x < 1 > y",
                S01,
                "x < 1 > y",
                "a < x < b",
            ),
            (
                "solve a for x with p > 2 kPa gauge",
                S15,
                "2 kPa gauge",
                "given",
            ),
            ("component w of joint", S01, "w", "`component x of joint`"),
            ("component x joint", S01, "joint", "`component x of joint`"),
            ("component x of", S01, "", "`component x of joint`"),
            ("show steps", S01, "steps", "`show dimensions`"),
            ("show", S01, "", "`show dimensions`"),
            ("solve = 3", S14, "solve", "solve_1"),
            ("show = a b", S14, "show", "show_1"),
        ],
    );
}

#[test]
fn steps_are_refused_in_other_blocks() {
    let derive_only = [
        ("therefore a = b", S11, "therefore", "a `derive` block"),
        ("∴ a = b", S11, "∴", "a `derive` block"),
        ("component x of joint", S11, "component", "a `derive` block"),
        ("show dimensions", S11, "show", "a `derive` block"),
    ];
    let solve = [("solve a for x", S11, "solve", "`derive` or a `work`")];
    for kind in [
        BlockKind::Given,
        BlockKind::Required,
        BlockKind::Check,
        BlockKind::Answer,
    ] {
        refuses(kind, &derive_only);
        refuses(kind, &solve);
    }
    refuses(BlockKind::Work, &derive_only);
    refuses(
        BlockKind::Work,
        &[
            ("solve a for x with x > 0", S11, "with", "`near 2 m`"),
            ("solve a for x in full", S11, "in full", "`derive`"),
            (
                "solve a for x show steps",
                S01,
                "show steps",
                "without these words",
            ),
        ],
    );
}

#[test]
fn words_of_steps_are_names_where_they_can_be() {
    reads(
        BlockKind::Work,
        &[
            ("sensitivity = a b", "sensitivity = a b"),
            ("sensitivity V = ?", "sensitivity V = ?"),
            ("steps = dimensions on", "steps = dimensions on"),
            ("not = depend and_1", "not = depend and_1"),
            ("showing = solved", "showing = solved"),
        ],
    );
}
