//! What has two readings, and ordinary lines where they do not belong.

use super::*;
use crate::functions::Function;

#[test]
fn what_has_two_readings_is_refused_with_both() {
    use Code::{S01, S02, S03, S04, S05, S06, S07, S13};
    refuses(
        BlockKind::Work,
        &[
            ("x = a / b c = ?", S02, "a / b c", "`a/(b c)` or `(a/b) c`"),
            ("x = a/2 b", S02, "a/2 b", "`a/(2 b)`"),
            ("x = a/(b)(c)", S02, "a/(b)(c)", "((b) (c))"),
            ("x = a/b (c)", S02, "a/b (c)", "`a/(b (c))`"),
            ("x = a/sin theta c", S03, "sin theta c", "sin(theta)*c"),
            (
                "x = W l/2 cos(t)",
                S02,
                "l/2 cos(t)",
                "`W l/(2 cos(t))` or `(W l/2) cos(t)`",
            ),
            ("x = a 1/2 b", S02, "1/2 b", ""),
            ("x = f L/D Q^2/(2 g)", S02, "L/D Q^2", ""),
            ("x = sin cos y", S03, "sin cos", ""),
            ("x = sin y^2", S04, "sin y^2", "`sin(y^2)` or `sin(y)^2`"),
            ("x = sin (y)^2", S04, "sin (y)^", "`sin((y)^…)`"),
            ("x = sin^2 y", S04, "sin^2 y", "`sin(y)^2` or `sin(sin(y))`"),
            ("x = sin²(y)", S04, "sin²(y)", "`sin(y)^2`"),
            ("x = sin^-1 y", S04, "sin^-1 y", "`asin(y)` or `1/sin(y)`"),
            ("x = log(y)", S05, "log", "`ln(…)` or `log10(…)`"),
            ("x = log y", S05, "log", "`ln(…)`"),
            (
                "x = |a| b |c|",
                S06,
                "|a| b |c|",
                "`abs(a) b abs(c)` or `abs(a abs(b) c)`",
            ),
            ("x = |a||c|", S06, "|a||c|", "abs(a) abs(c)"),
            ("x = 0.5 + 2(0.9)", S07, "2(0.9)", "`2*0.9`"),
            ("x = 2 3 y", S01, "2 3", "`2*3`"),
            ("x = y²^3", S01, "^", "`y^(2^3)`"),
        ],
    );
    refuses(
        BlockKind::Given,
        &[
            (
                "c = 4.18 kJ/kg K",
                S13,
                "kJ/kg K",
                "`kJ/(kg K)` or `kJ K/kg`",
            ),
            ("c = 4.18 kJ/kg·K", S13, "kJ/kg·K", "`kJ/(kg K)`"),
            ("c = 4.18 W/m^2 K", S13, "W/m^2 K", "`W/(m^2 K)`"),
            ("c = 2(3)", S07, "2(3)", "`2 ± 3`"),
        ],
    );
}

#[test]
fn lines_are_refused_where_they_do_not_belong() {
    use Code::{S01, S11, S12, S14, S15};
    refuses(
        BlockKind::Work,
        &[
            ("a < b", S11, "<", "check"),
            ("x = 5", S12, "x = 5", "`x = 5 ?`"),
            ("x = -12 %", S12, "x = -12 %", "given"),
            ("p = 12 kPa gauge", S12, "p = 12 kPa gauge", "given"),
            ("x = ? m = y", S01, "? m", "before it"),
            ("x = ? m to 3 digits", S01, "to 3 digits", "to N figures"),
            ("x = ? m to 0 figures", S01, "to 0 figures", "1 to 15"),
            ("x = a at", S14, "at", "at_1"),
            ("near = a + b", S14, "near", "near_1"),
            ("min = a + b", S14, "min", "min_1"),
            ("x = (a + b", S01, "(", "`)`"),
            ("x = a + b)", S01, ")", "opening"),
            ("x = a $ b", S01, "$", ""),
            ("x = a +", S01, "", ""),
            ("x", S01, "", ""),
        ],
    );
    refuses(
        BlockKind::Given,
        &[
            ("x = ? m", S11, "?", "work"),
            ("x = y = 3 m", S11, "x = y = 3 m", "work"),
            ("x < 3 m", S11, "<", "check"),
        ],
    );
    refuses(
        BlockKind::Derive,
        &[
            ("x = ? m", S11, "?", "work"),
            ("p = q + 20 kPa gauge", S15, "20 kPa gauge", "given"),
            ("T = 20 °C", S15, "20 °C", "given"),
        ],
    );
    refuses(BlockKind::Required, &[("x = 3 m", S11, "x = 3 m", "given")]);
    refuses(
        BlockKind::Answer,
        &[("x = a + b", S11, "x = a + b", "work")],
    );
    refuses(
        BlockKind::Check,
        &[
            ("x = ? m", S11, "?", "work"),
            ("a < b > c", S01, "a < b > c", "a < x < b"),
        ],
    );
}

#[test]
fn words_and_functions_are_neither_names_nor_units() {
    let alone = |text: &str| Span::new(0, text.len());
    for word in RESERVED {
        assert!(parse_expr(word, alone(word)).is_err(), "{word}");
        assert!(parse_unit(word, alone(word)).is_err(), "{word}");
        let longer = format!("{word}s_1");
        assert!(parse_expr(&longer, alone(&longer)).is_ok(), "{longer}");
    }
    let reserved = Function::ALL
        .iter()
        .filter(|function| function.is_reserved());
    for function in reserved.map(|function| function.name()) {
        let call = format!("{function}(a, b)");
        assert!(parse_expr(&call, alone(&call)).is_ok(), "{call}");
        let is_unit = parse_unit(function, alone(function)).is_ok();
        assert_eq!(is_unit, function == "min", "{function}");
    }
}

#[test]
fn uncertain_numbers_with_two_readings_are_refused() {
    use Code::{Q02, U12};
    refuses(
        BlockKind::Given,
        &[
            ("x = 5 % ± 0.2 %", U12, "5 % ± 0.2 %", "`(5 ± 0.2) %`"),
            ("x = 5 mm ± 0.1", Q02, "± 0.1", "`± 0.1 mm`"),
            ("x = 5 mm (k=2)", Q02, "(k=2)", "±"),
        ],
    );
}

#[test]
fn an_angle_without_a_unit_is_a_warning() {
    let (lines, diagnostics) = block(BlockKind::Work, "x = sin(35)");
    assert_eq!(lines.len(), 1);
    assert_eq!(diagnostics.len(), 1);
    assert_eq!(diagnostics[0].code, Code::S08);
    assert!(!diagnostics[0].is_error());
    assert_eq!(
        block(BlockKind::Work, "x = sin(1.5) + cos(35 deg) + tan 35°").1,
        []
    );
}
