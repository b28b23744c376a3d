//! The forms a line can take, and what is refused, through the public functions.

use super::*;
use proptest::prelude::*;

/// The spans of a block's lines.
fn spans(text: &str) -> Vec<Span> {
    let mut start = 0;
    text.split('\n')
        .map(|line| {
            let span = Span::new(start, start + line.len());
            start += line.len() + 1;
            span
        })
        .collect()
}

fn block(kind: BlockKind, text: &str) -> (Vec<Line>, Vec<Diagnostic>) {
    parse_block(kind, text, &spans(text))
}

/// The one statement of a line without diagnostics.
fn line(kind: BlockKind, text: &str) -> Statement {
    let (mut lines, diagnostics) = block(kind, text);
    assert_eq!(diagnostics, [], "{text}");
    assert_eq!(lines.len(), 1, "{text}");
    lines.remove(0).statement
}

/// A statement in few words: members joined by `=`, then the tail.
fn sketch(statement: &Statement) -> String {
    match statement {
        Statement::Chain(chain) => {
            let members: Vec<_> = chain.members.iter().map(print_expr).collect();
            let tail = match &chain.tail {
                Tail::None => String::new(),
                Tail::Ask(ask) => format!(" = {}", sketch_ask(ask)),
                Tail::Filled(literal, ask) => {
                    format!(" = filled {} {}", sketch_literal(literal), sketch_ask(ask))
                }
                Tail::Claim(literal) => format!(" = claim {}", sketch_literal(literal)),
            };
            let conditions: String = chain
                .conditions
                .iter()
                .map(|condition| {
                    format!(
                        " at {}={}",
                        condition.name.key,
                        print_expr(&condition.value)
                    )
                })
                .collect();
            format!("{}{tail}{conditions}", members.join(" = "))
        }
        Statement::Required(required) => format!(
            "{} {} +{} -{}",
            required.name.key,
            sketch_ask(&required.ask),
            required.positive.as_ref().map_or("", |word| &word.text),
            required.negative.as_ref().map_or("", |word| &word.text),
        ),
        Statement::Check(check) => {
            let members: Vec<_> = check.members.iter().map(print_expr).collect();
            let within = check.within.as_ref().map(print_expr);
            format!(
                "{} {:?} {}",
                members.join(" ; "),
                check.relations,
                within.unwrap_or_default()
            )
        }
        Statement::Answer(answer) => format!(
            "{} {} {}",
            print_expr(&answer.expr),
            answer.ask.as_ref().map_or(String::new(), sketch_ask),
            answer.filled.as_ref().map_or(String::new(), sketch_literal),
        ),
        Statement::NotYet(word) => format!("not yet {}", word.text),
        Statement::Broken(_) => "broken".to_owned(),
    }
}

fn sketch_ask(ask: &Ask) -> String {
    let mut parts = vec!["?".to_owned()];
    parts.extend(ask.unit.as_ref().map(sketch_unit));
    parts.extend(ask.datum.map(|datum| format!("{datum:?}")));
    parts.extend(ask.precision.map(|precision| format!("{precision:?}")));
    parts.join(" ")
}

fn sketch_unit(unit: &UnitExpr) -> String {
    let factors: Vec<_> = unit
        .factors
        .iter()
        .map(|factor| match (factor.power, factor.root) {
            (1, 1) => factor.symbol.to_string(),
            (power, 1) => format!("{}^{power}", factor.symbol),
            (power, root) => format!("{}^{power}/{root}", factor.symbol),
        })
        .collect();
    factors.join(".")
}

fn sketch_literal(literal: &Literal) -> String {
    let number = match &literal.magnitude {
        Magnitude::One(number) => number.value.to_string(),
        Magnitude::Fraction(above, below) => format!("{}/{}", above.value, below.value),
        Magnitude::List(numbers) => {
            let numbers: Vec<_> = numbers
                .iter()
                .map(|number| number.value.to_string())
                .collect();
            format!("[{}]", numbers.join(","))
        }
    };
    let mut parts = vec![number];
    parts.extend(literal.unit.as_ref().map(sketch_unit));
    parts.extend(literal.datum.map(|datum| format!("{datum:?}")));
    parts.extend(literal.uncertainty.map(|found| {
        let relative = if found.relative { "relative " } else { "" };
        format!("±{relative}{} k={}", found.value, found.coverage)
    }));
    parts.join(" ")
}

fn reads(kind: BlockKind, cases: &[(&str, &str)]) {
    for (text, expected) in cases {
        assert_eq!(sketch(&line(kind, text)).trim(), *expected, "{text}");
    }
}

/// Each line is refused with this code at this text, and the help holds the last part.
fn refuses(kind: BlockKind, cases: &[(&str, Code, &str, &str)]) {
    for (text, code, place, help) in cases {
        let (_, diagnostics) = block(kind, text);
        let [found] = diagnostics.as_slice() else {
            panic!("{text}: {diagnostics:#?}");
        };
        assert_eq!(found.code, *code, "{text}: {found:?}");
        assert_eq!(found.span.of(text), *place, "{text}: {}", found.message);
        let way_out = found.help.as_deref().unwrap_or("");
        assert!(way_out.contains(help), "{text}: {way_out}");
    }
}

fn given_literal(text: &str) -> Literal {
    let Statement::Chain(chain) = line(BlockKind::Given, &format!("x = {text}")) else {
        panic!("{text}");
    };
    match &chain.members[1].kind {
        ExprKind::Quantity(literal) => (**literal).clone(),
        other => panic!("{text}: {other:?}"),
    }
}

#[test]
fn literals_of_every_form_are_read_in_given() {
    for (text, expected) in [
        ("25 mm", "25 mm"),
        ("1.2e5 Pa", "120000 Pa"),
        ("-3", "-3"),
        ("−3 °C", "-3 °C"),
        ("9.81 m/s^2", "9.81 m.s^-2"),
        ("4.18 kJ/(kg K)", "4.18 kJ.kg^-1.K^-1"),
        ("4.18 kJ/(kg·K)", "4.18 kJ.kg^-1.K^-1"),
        ("3 kJ/kg/K", "3 kJ.kg^-1.K^-1"),
        ("3/8 in", "3/8 in"),
        ("12°", "12 °"),
        ("5 %", "5 %"),
        ("12.5 mm²", "12.5 mm^2"),
        ("2 N m", "2 N.m"),
        ("2 N*m", "2 N.m"),
        ("2 N·m", "2 N.m"),
        ("5 1/s", "5 .s^-1"),
        ("5 /s", "5 .s^-1"),
        ("30 MPa m^(1/2)", "30 MPa.m^1/2"),
        ("2 (m/s)^2", "2 m^2.s^-2"),
        ("3 W/(m^2 °C)", "3 W.m^-2.°C^-1"),
        ("4 inH2O", "4 inH2O"),
        ("3 µm", "3 µm"),
        ("3 kΩ", "3 kΩ"),
        ("5 min", "5 min"),
        ("340 m", "340 m"),
        ("420 kPa gauge", "420 kPa Gauge"),
        ("200 kPa abs", "200 kPa Absolute"),
        ("10 degC difference", "10 degC Difference"),
        ("12 psig", "12 psig"),
        ("[1, 2, 5] mm", "[1,2,5] mm"),
        ("[1, -2]", "[1,-2]"),
        ("50.02 ± 0.04 mm", "50.02 mm ±0.04 k=1"),
        ("50.02 +/- 0.04 mm", "50.02 mm ±0.04 k=1"),
        ("(50.02 ± 0.04) mm", "50.02 mm ±0.04 k=1"),
        ("50.02 mm ± 0.04 mm", "50.02 mm ±0.04 k=1"),
        ("50.02(4) mm", "50.02 mm ±0.04 k=1"),
        ("5(2) mm", "5 mm ±2 k=1"),
        ("12.3 kPa ± 0.2 %", "12.3 kPa ±relative 0.002 k=1"),
        ("50.02(4) mm (k=2)", "50.02 mm ±0.04 k=2"),
        ("200 kPa abs ± 2 kPa (k=2)", "200 kPa Absolute ±2 k=2"),
    ] {
        assert_eq!(sketch_literal(&given_literal(text)), expected, "{text}");
    }
}

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
            ("y rises with x", "not yet rises"),
            ("y does not depend on x", "not yet does"),
            ("y -> 0 as x -> inf", "not yet ->"),
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
            ("therefore R_x = 2", "not yet therefore"),
            ("solve a, b for x", "not yet solve"),
            ("show steps", "not yet show"),
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
    reads(
        BlockKind::Work,
        &[("f = ? from cole near 0.02", "not yet from")],
    );
}

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
            ("x = a/sin theta c", S02, "a/sin theta c", "(a/sin theta) c"),
            (
                "x = W l/2 cos(t)",
                S02,
                "l/2 cos(t)",
                "`W l/(2 cos(t))` or `(W l/2) cos(t)`",
            ),
            ("x = a 1/2 b", S02, "1/2 b", ""),
            ("x = f L/D Q^2/(2 g)", S02, "L/D Q^2", ""),
            ("x = sin 2 x", S03, "sin 2 x", "`sin(2 x)` or `sin(2)*x`"),
            ("x = ln 2 y", S03, "ln 2 y", "`ln(2 y)`"),
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
            ("x = (a, b)", S01, "(a, b)", "max(a, b)"),
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
fn uncertain_numbers_with_two_readings_are_refused() {
    use Code::Q02;
    refuses(
        BlockKind::Given,
        &[
            ("x = 5 % ± 0.2 %", Q02, "5 % ± 0.2 %", "`(5 ± 0.2) %`"),
            ("x = 5 mm ± 40 um", Q02, "um", "`mm`"),
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
fn unclosed_nesting_is_refused_in_linear_time() {
    for opening in [
        "f(", "(", "|(", "[", "cases(", "2 f(", "sin (", "5 m (", "a^(",
    ] {
        let text = format!("x = {}", opening.repeat(45));
        let before = std::time::Instant::now();
        let (lines, diagnostics) = block(BlockKind::Work, &text);
        assert!(before.elapsed().as_secs() < 5, "{text}");
        assert!(lines.is_empty(), "{text}");
        assert_eq!(diagnostics.len(), 1, "{text}");
    }
}

/// A tree's debug form without its places.
fn without_spans(expr: &Expr) -> String {
    let text = format!("{expr:?}");
    let mut out = String::new();
    for (index, part) in text.split("Span {").enumerate() {
        out.push_str(match index {
            0 => part,
            _ => part.split_once('}').map_or(part, |(_, rest)| rest),
        });
    }
    out
}

/// Formulas as an author could write them, ambiguous ones among them.
fn formula() -> impl Strategy<Value = String> {
    let atom = prop_oneof![
        Just("a".to_owned()),
        Just("p_1".to_owned()),
        Just("ρ_w".to_owned()),
        Just("Δp".to_owned()),
        Just("mdot".to_owned()),
        Just("2".to_owned()),
        Just("0.5".to_owned()),
        Just("1e-9".to_owned()),
        Just("12°".to_owned()),
        Just("20 °C".to_owned()),
        Just("5 %".to_owned()),
        Just("3 kPa gauge".to_owned()),
        Just("sin theta".to_owned()),
        Just("constant(molar gas constant)".to_owned()),
    ];
    atom.prop_recursive(5, 40, 4, |inner| {
        let joined = (inner.clone(), "[ *+−/^·-]|( - )|( / )", inner.clone());
        prop_oneof![
            joined.prop_map(|(left, operator, right)| format!("{left}{operator}{right}")),
            inner.clone().prop_map(|inner| format!("({inner})")),
            inner.clone().prop_map(|inner| format!("|{inner}|")),
            inner.clone().prop_map(|inner| format!("-{inner}")),
            inner.clone().prop_map(|inner| format!("({inner})²")),
            inner.clone().prop_map(|inner| format!("cos({inner})")),
            (inner.clone(), inner.clone()).prop_map(|(a, b)| format!("max({a}, {b})")),
            (inner.clone(), inner.clone()).prop_map(|(a, b)| format!("[{a},{b}]")),
            (inner.clone(), inner.clone(), inner)
                .prop_map(|(a, b, c)| format!("cases({a} for {b} < {c}, {c} otherwise)")),
        ]
    })
}

fn kinds() -> impl Strategy<Value = BlockKind> {
    prop_oneof![
        Just(BlockKind::Given),
        Just(BlockKind::Required),
        Just(BlockKind::Derive),
        Just(BlockKind::Work),
        Just(BlockKind::Check),
        Just(BlockKind::Answer),
    ]
}

/// Pieces of the language in any order, with text that is no part of it.
fn anything() -> impl Strategy<Value = String> {
    prop_oneof![
        any::<String>(),
        proptest::collection::vec(
            prop_oneof![
                "[-+*/^=<>?()|,±°%·−²é#:\\[\\] \n]{1,3}",
                Just(" kJ/kg K".to_owned()),
                Just(" at ".to_owned()),
                Just(" gauge".to_owned()),
                Just(" abs (".to_owned()),
                Just("12.5e3".to_owned()),
                Just(" -- ".to_owned()),
                Just("cases(".to_owned()),
                Just("constant(".to_owned()),
                Just(" to 3 figures".to_owned()),
                Just("sin ".to_owned()),
                Just("Δρ_1".to_owned()),
                Just("x".to_owned()),
            ],
            0..24
        )
        .prop_map(|parts| parts.concat()),
    ]
}

fn on_boundaries(text: &str, span: Span) -> bool {
    text.get(span.start as usize..span.end as usize).is_some()
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(600))]

    #[test]
    fn a_printed_formula_reads_as_the_same_tree(text in formula()) {
        if let Ok(expr) = parse_expr(&text, Span::new(0, text.len())) {
            let printed = print_expr(&expr);
            let again = parse_expr(&printed, Span::new(0, printed.len()))
                .map_err(|refusal| TestCaseError::fail(format!("{text} -> {printed}: {}", refusal.message)))?;
            prop_assert_eq!(without_spans(&again), without_spans(&expr), "{} -> {}", text, printed);
        }
    }

    #[test]
    fn any_text_is_read_or_refused_at_a_place_in_it(kind in kinds(), text in anything()) {
        let (lines, diagnostics) = block(kind, &text);
        for line in &lines {
            prop_assert!(on_boundaries(&text, line.span));
        }
        for diagnostic in &diagnostics {
            prop_assert!(on_boundaries(&text, diagnostic.span), "{:?}", diagnostic);
            prop_assert!(diagnostic.help.is_some());
        }
        if let Some(Err(refusal)) = parse_inline(&text, Span::new(0, text.len())) {
            prop_assert!(on_boundaries(&text, refusal.span), "{:?}", refusal);
        }
        let _ = parse_expr(&text, Span::new(0, text.len()));
        let _ = parse_unit(&text, Span::new(0, text.len()));
    }
}
