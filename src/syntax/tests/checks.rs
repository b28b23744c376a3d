//! Trends, limits and sensitivities.

use super::*;
use Code::{S01, S11, S14};

#[test]
fn trends_are_read() {
    reads(
        BlockKind::Check,
        &[
            ("R_x falls with p_1", "R_x Falls p_1"),
            ("V rises with Q", "V Rises Q"),
            ("|R_x| + a b rises with Q", "|R_x| + a b Rises Q"),
            ("T does not depend on m", "T Independent m"),
            ("h_f varies as Q^2", "h_f varies ^ 2 Q"),
            ("h_f varies as Q²", "h_f varies ^ 2 Q"),
            ("h_f varies as Q", "h_f varies Q"),
            ("h_f varies as (Q)", "h_f varies Q"),
            ("h_f varies as Q^1.9 within 5 %", "h_f varies ^ 1.9 Q 5 %"),
            ("h_f varies as Q within 5 %", "h_f varies Q 5 %"),
            ("T varies as L^(1/2)", "T varies ^ (1/2) L"),
            ("T varies as L^-1.5", "T varies ^ -1.5 L"),
            ("T varies as L^(2 - 1/2)", "T varies ^ (2 - 1/2) L"),
            ("T varies as 1/L", "T varies ^ -1 L"),
            ("T varies as 1/L^2", "T varies ^ -2 L"),
            ("T varies as 1/(L^2)", "T varies ^ -2 L"),
            ("T varies as sqrt(L)", "T varies ^ (1/2) L"),
            ("T varies as sqrt L", "T varies ^ (1/2) L"),
            ("T varies as 1/sqrt(L)", "T varies ^ -(1/2) L"),
            ("T varies as cbrt(L)", "T varies ^ (1/3) L"),
        ],
    );
    let text = "T varies as 1/L^2";
    let Statement::Trend(trend) = line(BlockKind::Check, text) else {
        panic!("{text}");
    };
    let Way::Power(Some(exponent)) = &trend.way else {
        panic!("{trend:?}");
    };
    assert_eq!(exponent.span.of(text), "1/L^2");
    assert_eq!(trend.with.span.of(text), "L");
}

#[test]
fn limits_and_sensitivities_are_read() {
    reads(
        BlockKind::Check,
        &[
            ("y -> 0 as x -> inf", "y -> 0 as x -> inf"),
            ("y → 1 as x → 0", "y -> 1 as x -> 0"),
            ("y->a as x->-inf", "y -> a as x -> -inf"),
            (
                "V -> sqrt(2 g h) as m -> 3 kg",
                "V -> sqrt(2 g h) as m -> 3 kg",
            ),
            (
                "F_x -> -F as theta -> 90 deg",
                "F_x -> -F as theta -> 90 deg",
            ),
            ("y -> 2 m/s as x -> 2*a", "y -> 2 m/s as x -> 2*a"),
            ("sensitivity of y", "y"),
            ("sensitivity of |R_x| + a", "|R_x| + a"),
            ("sensitivity < 3", "sensitivity ; 3 [Less]"),
            ("sensitivity V < 3", "sensitivity V ; 3 [Less]"),
        ],
    );
    let text = "theta -> 90 deg as F -> inf";
    let Statement::Limit(limit) = line(BlockKind::Check, text) else {
        panic!("{text}");
    };
    assert!(matches!(limit.value.kind, ExprKind::Quantity(_)));
    assert!(matches!(&limit.at.kind, ExprKind::Name(name) if &*name.key == "inf"));
}

#[test]
fn malformed_checks_show_the_right_form() {
    refuses(
        BlockKind::Check,
        &[
            ("y varies with x^2", S01, "with", "`y varies as x^2`"),
            ("y rises as x", S01, "as", "`y varies as x`"),
            ("y falls as 1/x", S01, "as", "`y falls with x`"),
            ("y rises x", S01, "x", "`y rises with x`"),
            ("y rises with", S01, "", "`y rises with x`"),
            ("y rises with x^2", S01, "^", "`y rises with x`"),
            ("y rises with 2 x", S01, "2", "`y rises with x`"),
            (
                "y rises with x within 5 %",
                S01,
                "within",
                "`y varies as x^2`",
            ),
            ("y increases with x", S01, "with", "`y rises with x`"),
            ("y goes as x^2", S01, "as", "`y varies as x^2`"),
            (
                "y does not depend of x",
                S01,
                "does",
                "`y does not depend on x`",
            ),
            ("y varies as", S01, "", "`y varies as x^2`"),
            ("y varies as 2 x", S01, "2 x", "`y varies as x^2`"),
            ("y varies as x^n", S01, "x^n", "`x^(1/2)`"),
            ("y varies as x z", S01, "x z", "`1/x`"),
            ("y varies as sin(x)", S01, "sin(x)", "`sqrt(x)`"),
            ("y does not depend on", S01, "", "`y does not depend on x`"),
            (
                "y does depend on x",
                S01,
                "does",
                "`y does not depend on x`",
            ),
            ("y depends on x", S01, "", "`y does not depend on x`"),
            ("y between a and b", S01, "between", "`a < y < b`"),
            ("a < b and b < c", S01, "and", "`a < x < b`"),
            ("(y varies as x", S01, "(", "`)`"),
            ("y -> 0", S01, "", "`y -> 0 as x -> inf`"),
            ("y -> as x -> 0", S01, "as", "`y -> 0 as x -> inf`"),
            ("y -> 0 as x", S01, "", "`y -> 0 as x -> inf`"),
            ("y -> 0 as 2 x -> 0", S01, "2", "`y -> 0 as x -> inf`"),
            ("y -> 0 for x -> 0", S01, "for", "`y -> 0 as x -> inf`"),
            ("sensitivity y", S01, "sensitivity", "`sensitivity of y`"),
            ("sensitivity of", S01, "", "`sensitivity of y`"),
            ("sensitivity of y < 3", S01, "<", "`sensitivity of y`"),
            ("rises < 3", S14, "rises", "rises_1"),
            ("a + b", S01, "", "relation"),
        ],
    );
}

#[test]
fn checks_are_refused_in_other_blocks() {
    for kind in [
        BlockKind::Given,
        BlockKind::Required,
        BlockKind::Derive,
        BlockKind::Work,
        BlockKind::Answer,
    ] {
        refuses(
            kind,
            &[
                (
                    "y rises with x",
                    S11,
                    "rises",
                    "a `check` or a `versions` block",
                ),
                (
                    "y varies as x^2",
                    S11,
                    "varies",
                    "a `check` or a `versions` block",
                ),
                (
                    "y does not depend on x",
                    S11,
                    "does",
                    "a `check` or a `versions` block",
                ),
                (
                    "y -> 0 as x -> inf",
                    S11,
                    "->",
                    "a `check` or a `versions` block",
                ),
                (
                    "y → 0 as x → inf",
                    S11,
                    "→",
                    "a `check` or a `versions` block",
                ),
                ("sensitivity of y", S11, "sensitivity", "a `check` block"),
            ],
        );
    }
    refuses(
        BlockKind::Work,
        &[("falls = a + b", S14, "falls", "falls_1")],
    );
}
