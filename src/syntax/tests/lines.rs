//! Ordinary lines, formulas and inline asks.

use super::*;

#[test]
fn asks_claims_and_conditions_are_read_in_work() {
    reads(
        BlockKind::Work,
        &[
            (
                "V_2 = Q/A_2 = V_1 (D_1/D_2)^2 = ? m/s",
                "V_2 = Q/A_2 = V_1 (D_1/D_2)^2 = ? m.s^-1",
            ),
            ("A_1 = pi D_1²/4", "A_1 = pi D_1^2/4"),
            ("R_x = ?", "R_x = ?"),
            ("R_x = ? kN to 3 figures", "R_x = ? kN Figures(3)"),
            (
                "p = a = ? kPa gauge to 2 decimals",
                "p = a = ? kPa Gauge Decimals(2)",
            ),
            (
                "R_x = -19.01 kN ? to 3 figures",
                "R_x = filled -19.01 kN ? kN Figures(3)",
            ),
            ("R_x = a = −19.01 kN ?", "R_x = a = filled -19.01 kN ? kN"),
            (
                "V_1 = Q/A_1 = 3.006 m/s",
                "V_1 = Q/A_1 = claim 3.006 m.s^-1",
            ),
            ("f = mu N = 12.3 N", "f = mu N = claim 12.3 N"),
            ("n = a/b = 3", "n = a/b = claim 3"),
            ("n = a/b = 1/3", "n = a/b = 1/3"),
            ("x = 3*a = 2*b", "x = 3*a = 2*b"),
            (
                "P = ? kW at Q = 40 L/s, H = 3 m",
                "P = ? kW at Q=40 L/s at H=3 m",
            ),
            ("P = a = 3 kW at Q = 2*Q_0", "P = a = claim 3 kW at Q=2*Q_0"),
            ("E = 1/2 m v^2", "E = 1/2 m v^2"),
            ("D = 2 r", "D = 2 r"),
            (
                "h_f(Q) = f (L/D) Q^2/(2 g A^2)",
                "h_f(Q) = f (L/D) Q^2/(2 g A^2)",
            ),
            (
                "f = cases(64/Re for Re < 2300, f_t otherwise)",
                "f = cases(64/Re for Re < 2300, f_t otherwise)",
            ),
            (
                "R = constant( molar gas constant ) = ?",
                "R = constant(molar gas constant) = ?",
            ),
            ("x = max(a, b, 2) = ?", "x = max(a, b, 2) = ?"),
            ("x = max (a, b) = ?", "x = max(a, b) = ?"),
            ("M = [1, 2] g", "M = [1, 2] g"),
            ("dp = p - 20 kPa gauge = ?", "dp = p - 20 kPa gauge = ?"),
            (
                "T_2 = T_1 + 10 degC difference",
                "T_2 = T_1 + 10 degC difference",
            ),
            (
                "T_2 = T_1 + 10 °C difference",
                "T_2 = T_1 + 10 °C difference",
            ),
            ("q = 9.81 kN/m^2 abs + p", "q = 9.81 kN/m^2 abs + p"),
            ("x\t=\ta\tb", "x = a b"),
            ("x = abs(y) + gauge(p) = ?", "x = abs(y) + gauge(p) = ?"),
        ],
    );
}

#[test]
fn formulas_keep_the_authors_form() {
    let check = |text: &str, printed: &str| {
        let expr = parse_expr(text, Span::new(0, text.len())).unwrap();
        assert_eq!(print_expr(&expr), printed, "{text}");
        assert_eq!(expr.span, Span::new(0, text.len()), "{text}");
    };
    for (text, printed) in [
        ("-x^2", "-x^2"),
        ("- x y + b", "-x y + b"),
        ("a − b·c×d", "a - b*c*d"),
        ("2^-3^x", "2^-3^x"),
        ("x³ y⁻¹²", "x^3 y^-12"),
        ("ρ_w g h", "rho_w g h"),
        ("Δp/ρ", "Delta_p/rho"),
        ("πD^2", "pi D^2"),
        ("2πN", "2 pi N"),
        ("mdot (V_2 - V_1)", "mdot (V_2 - V_1)"),
        ("sin theta", "sin theta"),
        ("sin (theta)", "sin(theta)"),
        ("sin(theta)^2", "sin(theta)^2"),
        ("a sin theta cos phi", "a sin theta cos phi"),
        ("log10 H_n", "log10 H_n"),
        ("a/b*c", "a/b*c"),
        ("1/2 rho V^2", "1/2 rho V^2"),
        ("a/(b c)", "a/(b c)"),
        ("a*-b", "a*-b"),
        ("|a| + |b|", "|a| + |b|"),
        ("|a (|b| + c)|", "|a (|b| + c)|"),
        ("12° + 5 %", "12 ° + 5 %"),
        ("5 1/s", "5 1/s"),
        ("f(x) + f()", "f(x) + f()"),
        ("2e + 2e3", "2 e + 2000"),
        ("at_1 + for1", "at_1 + for_1"),
        ("atan2(F_y,F_x)", "atan2(F_y, F_x)"),
        ("x--y", "x - -y"),
    ] {
        check(text, printed);
    }
}

#[test]
fn lines_of_the_other_blocks_are_read() {
    reads(
        BlockKind::Required,
        &[
            (
                "R_x = ? kN (+ downstream, - upstream)",
                "R_x ? kN +downstream -upstream",
            ),
            ("T = ? (- down the slope)", "T ? + -down the slope"),
            ("p = ? kPa gauge", "p ? kPa Gauge + -"),
        ],
    );
    reads(
        BlockKind::Check,
        &[
            ("a < b", "a ; b [Less]"),
            ("0 <= x < 2 h", "0 ; x ; 2 h [LessOrEqual, Less]"),
            ("a = b within 1 %", "a ; b [Equal] 1 %"),
            ("a = b within 0.5 kN", "a ; b [Equal] 0.5 kN"),
            ("a ≥ b_1 within c", "a ; b_1 [GreaterOrEqual] c"),
        ],
    );
    reads(
        BlockKind::Answer,
        &[
            ("R_x", "R_x"),
            ("R_x = ? kN to 3 figures", "R_x ? kN Figures(3)"),
            ("|R_x| = ? kN", "|R_x| ? kN"),
            ("R_x to 3 figures", "R_x ? Figures(3)"),
            ("R_x = 12.0 kN ?", "R_x ? kN 12 kN"),
        ],
    );
    reads(
        BlockKind::Derive,
        &[
            ("balance: R_x + p_1 A_1 = 0", "R_x + p_1 A_1 = 0"),
            ("x = y cos(90 deg) 5 %", "x = y cos(90 deg) 5 %"),
        ],
    );
    reads(
        BlockKind::Given,
        &[
            ("x = 2*L", "x = 2*L"),
            ("x = 2 a_1", "x = 2 a_1"),
            ("x = 2 pi", "x = 2 pi"),
            ("x = 3/8", "x = 3/8"),
            ("x = pi D^2/4", "x = pi D^2/4"),
        ],
    );
}

#[test]
fn inline_asks_are_told_from_code() {
    let inline = |text: &str| parse_inline(text, Span::new(0, text.len()));
    for code in [
        "x = 5",
        "a ? b : c",
        "let x == ?",
        "what?",
        "ls *.?",
        "f(x)",
        "",
    ] {
        assert!(inline(code).is_none(), "{code}");
    }
    let read = |text: &str| {
        let found = inline(text).unwrap().unwrap();
        let filled = found.filled.as_ref().map_or(String::new(), sketch_literal);
        let kind = if found.names_it { "named" } else { "bare" };
        format!(
            "{kind} {} {} {filled}",
            print_expr(&found.expr),
            sketch_ask(&found.ask)
        )
    };
    assert_eq!(read("p_1 = ? bar"), "named p_1 ? bar ");
    assert_eq!(read("p_1 = 4.20 bar ?"), "named p_1 ? bar 4.2 bar");
    assert_eq!(read(" ? bar of p_1 "), "bare p_1 ? bar ");
    assert_eq!(read("4.20 bar ? of p_1"), "bare p_1 ? bar 4.2 bar");
    assert_eq!(
        read("|R_x| = ? kN to 2 figures"),
        "named |R_x| ? kN Figures(2) "
    );
    assert_eq!(read("? of a b"), "bare a b ? ");
    assert_eq!(
        inline("P = ? kW at Q = 4 L/s")
            .unwrap()
            .unwrap()
            .conditions
            .len(),
        1
    );
    assert_eq!(inline("? bar").unwrap().unwrap_err().code, Code::S01);
}
