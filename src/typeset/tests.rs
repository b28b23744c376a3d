//! Formulas of worksheets and what becomes of them.

use super::*;
use crate::resolve::Expr;
use crate::text::Source;
use crate::worksheet::{Body, Statement, Worksheet, compile};

/// A compiled worksheet whose formulas are set.
pub(super) struct Sheet {
    pub(super) worksheet: Worksheet,
    pub(super) names: Names,
}

impl Sheet {
    /// Compiles the text; whatever is found wrong in it fails the test.
    pub(super) fn new(text: &str) -> Self {
        let worksheet = compile(Source::new("test.md", text));
        assert_eq!(worksheet.diagnostics, [], "in {text}");
        let names = Names::new(&worksheet.problems[0].problem.symbols);
        Self { worksheet, names }
    }

    /// A `derive` block with these lines.
    pub(super) fn derive(lines: &str) -> Self {
        Self::new(&format!("```derive\n{lines}\n```\n"))
    }

    /// These data, and the value of a formula by them.
    pub(super) fn work(given: &str, formula: &str) -> Self {
        Self::new(&format!(
            "```given\n{given}\n```\n\n```work\ny = {formula} = ?\n```\n"
        ))
    }

    pub(super) fn context(&self) -> Context<'_> {
        Context::new(&self.worksheet.problems[0].problem.text, &self.names)
    }

    pub(super) fn statements(&self) -> impl Iterator<Item = &Statement> {
        self.worksheet.statements().map(|(_, statement)| statement)
    }

    /// The right side of the equation in a line, counted from 0.
    fn right(&self, line: usize) -> &Expr {
        match self.statements().nth(line).map(|statement| &statement.body) {
            Some(Body::Equation { members, .. }) => &members[1],
            other => panic!("no equation but {other:?}"),
        }
    }

    /// The formula of the line that is computed, by its numbers.
    pub(super) fn substituted(&self) -> Node {
        let Some(Body::Work(work)) = self.statements().last().map(|last| &last.body) else {
            panic!("no line of work");
        };
        let context = self.context().with_operands(work.operands());
        math(&work.members[0], &context)
    }

    /// The values of the data.
    fn given(&self) -> impl Iterator<Item = &Shown> {
        self.statements()
            .filter_map(|statement| match &statement.body {
                Body::Given { shown, .. } => Some(shown.as_ref()),
                _ => None,
            })
    }
}

/// The MathML of a formula with the tags shortened: `<mi>x</mi>` is `x`, and groups are in
/// brackets that name them.
fn plain(mathml: &str) -> String {
    let mut text = mathml.to_owned();
    // A unit stands in an element of its own behind its number.
    while let Some((before, behind)) = text.split_once("<mtext>\u{202f}") {
        text = format!("{before} {}", behind.replacen("</mtext>", "", 1));
    }
    for (from, to) in [
        ("<mo rspace=\"0.25em\">,", ", "),
        ("<mo form=\"prefix\">", ""),
        ("<mo form=\"infix\">", ""),
        ("<mo stretchy=\"false\">", ""),
        ("<mo stretchy=\"false\" form=\"prefix\">|", "|"),
        ("<mo stretchy=\"false\" form=\"postfix\">|", "|"),
        ("<mo lspace=\"0\" rspace=\"0.17em\">\u{2061}", "_"),
        ("<mspace width=\"0.17em\"/>", "_"),
        ("<mi mathvariant=\"normal\">Γ", "Γ"),
        ("<mi>", ""),
        ("</mi>", ""),
        ("<mn>", ""),
        ("</mn>", ""),
        ("<mo>", ""),
        ("</mo>", ""),
        ("<mtext>", "'"),
        ("</mtext>", "'"),
        ("\u{a0}", " "),
        ("\u{202f}", " "),
        ("<mo lspace=\"0\" rspace=\"0\">", ""),
    ] {
        text = text.replace(from, to);
    }
    let mut out = String::new();
    let mut rest = text.as_str();
    while let Some((before, after)) = rest.split_once('<') {
        out.push_str(before);
        let (tag, after) = after.split_once('>').unwrap();
        if tag.starts_with('/') {
            out.push(']');
        } else {
            out.push_str(tag.trim_start_matches('m'));
            out.push('[');
        }
        rest = after;
    }
    out + rest
}

/// The MathML of a tree without its `math` element.
fn inside(node: &Node) -> String {
    let mut out = String::new();
    mathml::write(node, &mut out);
    assert_is_xml(&out);
    let inside = out.strip_prefix("<math>");
    let inside = inside.and_then(|rest| rest.strip_suffix("</math>"));
    inside.map_or(out.clone(), str::to_owned)
}

fn check(formula: &str, expected: &str) {
    let sheet = Sheet::derive(&format!("y = {formula}"));
    let set = math(sheet.right(0), &sheet.context());
    assert_eq!(plain(&inside(&set)), expected, "{formula}");
}

fn check_numbers(given: &str, formula: &str, expected: &str) {
    let set = Sheet::work(given, formula).substituted();
    assert_eq!(plain(&inside(&set)), expected, "{formula}");
}

fn check_value(given: &str, expected: &str) {
    let sheet = Sheet::new(&format!("```given\n{given}\n```\n"));
    let mut out = String::new();
    mathml::write(&value(sheet.given().next().unwrap()), &mut out);
    assert_eq!(out.replace(['\u{202f}', '\u{a0}'], " "), expected);
}

fn assert_is_xml(inner: &str) {
    let wrapped = format!("<math>{inner}</math>");
    if let Err(error) = roxmltree::Document::parse(&wrapped) {
        panic!("{error} in {wrapped}");
    }
}

#[test]
fn a_slash_makes_a_fraction_of_what_stands_left_of_it() {
    check("Q/A", "frac[QA]");
    check("pi D^2/4", "frac[row[πsup[D2]]4]");
    check("1/2 rho V^2", "frac[12]_ρsup[V2]");
    check("a/b*c", "frac[ab]_c");
    check("a*b/c*d^2/2", "frac[row[ab]c]_frac[sup[d2]2]");
    check("a/b/c", "frac[arow[bc]]");
}

#[test]
fn brackets_around_a_whole_half_are_dropped_and_others_kept() {
    check("a/(b c)", "frac[arow[bc]]");
    check("(a + b)/c", "frac[row[a+b]c]");
    check("(a + b) c", "(a+b)c");
    check("x^(n + 1)", "sup[xrow[n+1]]");
    check("sqrt((a + b))", "sqrt[a+b]");
    check("cbrt(a + b)", "root[row[a+b]3]");
}

#[test]
fn a_bracketed_fraction_stays_beside_the_next_one() {
    check("f (L/D) V^2/(2 g)", "f_frac[LD]_frac[sup[V2]row[2g]]");
    check("(L/2) sin(alpha)", "frac[L2]_sin(α)");
    check("a + (b/c)", "a+frac[bc]");
    check("(a/b)^2", "sup[row[(frac[ab])]2]");
}

#[test]
fn a_fraction_within_a_fraction_has_a_solidus() {
    check("a/(1 + b/c)", "frac[arow[1+b/c]]");
    check("a/(1 - (b/c)^2)", "frac[arow[1−sup[row[(b/c)]2]]]");
    check("(a/b)/(c d)", "frac[row[a/b]row[cd]]");
    check("a/(b/(c d))", "frac[arow[b/(cd)]]");
    check("a/(b + c/d*f)", "frac[arow[b+(c/d)f]]");
    check("a/(b - c d/f/g)", "frac[arow[b−cd/(fg)]]");
    check("x^(a/b)", "sup[xrow[a/b]]");
    check("x^((a + b)/2)", "sup[xrow[(a+b)/2]]");
    check("sqrt(a/(b + c/d))", "sqrt[frac[arow[b+c/d]]]");
    let given = "Q = 3 m^3/s\nA = 2 m^2\nn = 4\nF = -3 m/s";
    check_numbers(
        given,
        "n/(1 m/s + Q/A)",
        "frac[4row[1 m/s+row[(3 m³/s)]/row[(2 m²)]]]",
    );
    check_numbers(
        given,
        "n/(1 m/s + n Q/A)",
        "frac[4row[1 m/s+(4×3 m³/s)/row[(2 m²)]]]",
    );
    check_numbers(
        given,
        "n/(1 m/s + n*F/n)",
        "frac[4row[1 m/s+4×row[(−3 m/s)]/4]]",
    );
}

#[test]
fn a_formula_in_a_line_of_words_has_no_stacked_fraction() {
    let sheet = Sheet::derive("y = rho Q/(A b) + 1/2");
    let set = math(sheet.right(0), &sheet.context().in_line());
    assert_eq!(plain(&inside(&set)), "ρQ/(Ab)+1/2");
}

#[test]
fn no_bracket_is_doubled_and_those_of_calls_are_like_others() {
    check("a ((b + c))", "a_(b+c)");
    check("|(a + b)| + floor((a/b))", "|a+b|+row[⌊frac[ab]⌋]");
    check("max(a, (b/c))", "maxrow[(a,frac[bc])]");
    let mut out = String::new();
    let sheet = Sheet::derive("y = max(p_1, a^2)");
    mathml::write(&math(sheet.right(0), &sheet.context()), &mut out);
    assert!(out.contains("<mo stretchy=\"false\">(</mo>"), "{out}");
}

#[test]
fn a_root_is_parted_from_what_follows() {
    check("sqrt(a) b", "sqrt[a]_b");
    check("sqrt(a) (b + c)", "sqrt[a]_(b+c)");
}

#[test]
fn digits_stand_in_groups_of_three_from_five_on() {
    check("1234 a", "1234a");
    check("12345.6789 a", "12 345.6789a");
    check("0.12345 a", "0.123 45a");
    check_value("x = 1234567.12345 m", "1 234 567.123 45 m");
}

#[test]
fn a_name_with_its_value_is_plain_text() {
    let check = |given: &str, expected: &str| {
        let sheet = Sheet::new(&format!("```given\n{given}\n```\n"));
        let Some(Body::Given { symbol, shown, .. }) = sheet.statements().next().map(|it| &it.body)
        else {
            panic!("no datum");
        };
        let name = super::symbol(*symbol, &sheet.context());
        let mut out = String::new();
        mathml::write(&named(name, shown), &mut out);
        assert_eq!(out, expected);
    };
    check(
        "V_1 = 3.60 m/s",
        "<i>V</i><sub>1</sub>\u{a0}=\u{a0}3.60\u{202f}m/s",
    );
    check(
        "mdot_in = 2 kg/s",
        "<i>m\u{307}</i><sub>in</sub>\u{a0}=\u{a0}2\u{202f}kg/s",
    );
    check("Delta_T = 3 K", "Δ<i>T</i>\u{a0}=\u{a0}3\u{202f}K");
    check("Re = 12000", "Re\u{a0}=\u{a0}12\u{202f}000");
}

#[test]
fn signs_are_proper_and_know_their_side() {
    check("-a + b - c", "−a+b−c");
    check("a (-b)", "a_(−b)");
    check("2^-n", "sup[2row[−n]]");
}

#[test]
fn powers_of_subscripted_names_stack_both() {
    check("V_1^2", "subsup[V12]");
    check("(a b)^2", "sup[row[(ab)]2]");
    check("sin(theta)^2", "sup[sin2](θ)");
    check("ln(x)^2", "sup[row[(ln(x))]2]");
}

#[test]
fn functions_without_brackets_are_set_off_by_a_space() {
    check("a sin theta", "a_sin_θ");
    check("a sin(theta)", "a_sin(θ)");
    check("sin theta cos phi", "sin_θ_cos_φ");
    check("log10(x)", "sub[log10](x)");
    check("Gamma(x)", "Γ(x)");
    check("bessel(n, x)", "sub[Jn](x)");
    check("bessel(n + 1, 2 x)", "sub[Jrow[n+1]](2x)");
    check("max(a, b)", "maxrow[(a,b)]");
    check("|x|", "|x|");
}

#[test]
fn plain_numbers_that_meet_get_a_sign() {
    check("2*3 a", "2×3a");
    check("2 a*3", "2a×3");
    check("2*(1/2)", "2×frac[12]");
}

#[test]
fn case_distinctions_have_a_brace() {
    check(
        "cases(64/Re for Re < 2300, f otherwise)",
        "row[{table class=\"cases\"[tr[td[frac[64Re]]td['for\u{2002}'Re&lt;2300]]tr[td[f]td['otherwise']]]]",
    );
}

#[test]
fn numbers_go_in_with_their_units() {
    let given = "Q = 0.850 m^3/s\nA_2 = 0.1590 m^2";
    check_numbers(given, "Q/A_2", "frac[row[0.850 m³/s]row[0.1590 m²]]");
    check_numbers(given, "2 Q", "2×0.850 m³/s");
    check_numbers(given, "Q A_2", "0.850 m³/s×0.1590 m²");
    check_numbers(given, "pi Q", "π×0.850 m³/s");
}

#[test]
fn a_quantity_below_an_exponent_gets_brackets_and_a_plain_number_does_not() {
    let given = "D = 600 mm\nn = 1.4";
    check_numbers(given, "D^2", "sup[row[(0.600 m)]2]");
    check_numbers(given, "n^2", "sup[1.42]");
    check_numbers(given, "pi D^2/4", "frac[row[π_sup[row[(0.600 m)]2]]4]");
}

#[test]
fn a_negative_number_gets_brackets_where_a_sign_stands_before_it() {
    let given = "F = -3 kN\nG = 2 kN";
    check_numbers(given, "F G", "−3×sup[103] N×2×sup[103] N");
    check_numbers(given, "G F", "2×sup[103] N×row[(−3×sup[103] N)]");
    check_numbers(given, "G - F", "2 kN−row[(−3 kN)]");
    check_numbers(given, "F + G", "−3 kN+2 kN");
}

#[test]
fn degrees_stand_without_a_space() {
    check_numbers("theta = 35°", "cos theta", "cos_35'°'");
    check_numbers("theta = 35°", "cos(theta)", "cos(35'°')");
}

#[test]
fn quantities_of_the_author_keep_their_text() {
    check_numbers(
        "rho = 2 kg/m^3",
        "rho/(1.20e3 kg/m^3)",
        "frac[row[2 kg/m³]row[1.20×sup[103] kg/m³]]",
    );
    check_numbers("t = 2 s", "t*9.81 m/s^2", "2 s×9.81 m/s²");
    check_numbers("n = 1.2e5", "n^2", "sup[row[(1.2×sup[105])]2]");
    check("(-2.0e3)^n", "sup[row[(−2.0×sup[103])]n]");
}

#[test]
fn parameters_print_by_their_names() {
    let sheet = Sheet::derive("h_f(Q) = k Q^2\ny = h_f(2 x)");
    let set = math(sheet.right(1), &sheet.context());
    assert_eq!(plain(&inside(&set)), "sub[hf](2x)");
    let Some(Body::Function { function, body, .. }) = sheet.statements().next().map(|it| &it.body)
    else {
        panic!("no function");
    };
    let context = sheet.context().in_function(*function);
    let (head, _) = super::function(*function, 1, &context);
    assert_eq!(plain(&inside(&head)), "sub[hf]row[(Q)]");
    assert_eq!(plain(&inside(&math(body, &context))), "ksup[Q2]");
}

#[test]
fn a_wide_row_may_break_before_its_operators() {
    let wide = "y = mdot (V_2 - V_1 cos(theta)) - p_1 A_1 cos(theta) + p_2 A_2 + W_x";
    let sheet = Sheet::derive(&format!("{wide}\nx = a - b"));
    let set = |line| {
        let mut out = String::new();
        mathml::write(&side("=", sheet.right(line), &sheet.context()).0, &mut out);
        assert_is_xml(&out);
        out
    };
    assert!(set(0).contains("</math><wbr/><math><mo form=\"infix\">−</mo>"));
    assert!(!set(1).contains("wbr"), "{}", set(1));
}

#[test]
fn a_fraction_too_wide_for_the_page_is_stacked() {
    let terms: Vec<String> = (1..30).map(|n| format!("a_{n} b_{n}")).collect();
    let sheet = Sheet::derive(&format!("y = ({})/c", terms.join(" + ")));
    let mathml = inside(&math(sheet.right(0), &sheet.context()));
    assert!(
        mathml.contains("<mfrac><mtable class=\"rows\">"),
        "{mathml}"
    );
    assert!(mathml.contains("</mtd></mtr><mtr><mtd><mo form=\"infix\">+</mo>"));
}

#[test]
fn values_print_with_uncertainty_and_word() {
    check_value("x = 420 kPa", "420 kPa");
    check_value("x = -1.5e6 Pa", "−1.5 × 10<sup>6</sup> Pa");
    check_value("x = 35°", "35°");
    check_value("x = 5 %", "5 %");
    check_value("x = 420 kPa gauge", "420 kPa gauge");
    check_value("x = 50.02(4) mm", "50.02(4) mm");
    check_value("x = (50.02 ± 0.04) mm", "(50.02 ± 0.04) mm");
    check_value(
        "x = (50.02 ± 0.04) mm (k=2)",
        "(50.02 ± 0.04) mm (<i>k</i> = 2)",
    );
    check_value("x = 50.02 mm ± 0.2 %", "50.02 mm ± 0.2 %");
    check_value("x_i = [1, -2.5] m", "[1, −2.5] m");
}

#[test]
fn a_result_ends_the_formula_where_words_begin() {
    let sheet = Sheet::new("```given\np = 420 kPa gauge\nd = 50.02(4) mm\n```\n");
    let set: Vec<String> = sheet
        .given()
        .map(|shown| inside(&result("=", shown)))
        .collect();
    assert_eq!(
        set,
        [
            "<math><mo>=</mo><mn>420</mn><mtext>\u{202f}kPa</mtext></math>\u{a0}gauge",
            "<math><mo>=</mo></math>50.02(4)\u{202f}mm",
        ]
    );
}

#[test]
fn plain_text_of_a_value() {
    let sheet = Sheet::work("F = -19.012 kN\ntheta = 35.0°", "2 F");
    let Some(Body::Work(work)) = sheet.statements().last().map(|last| &last.body) else {
        panic!("no line of work");
    };
    assert_eq!(text(&work.shown), "−38.02 kN");
    let written: Vec<String> = sheet.given().map(text).collect();
    assert_eq!(written, ["-19.012 kN", "35.0°"]);
}

#[test]
fn products_of_vectors_have_their_signs_and_brackets_where_they_are_needed() {
    let given = "a = (1, 2) m\nb = (3, 4) m\nc = 2 m";
    let check = |formula: &str, expected: &str| {
        let sheet = Sheet::work(given, formula);
        let Some(Body::Work(work)) = sheet.statements().last().map(|last| &last.body) else {
            panic!("no line of work");
        };
        let set = math(&work.members[0], &sheet.context());
        assert_eq!(plain(&inside(&set)), expected, "{formula}");
    };
    check("dot(a, b)", "𝒂·𝒃");
    check("cross(a, a + b)", "𝒂×(𝒂+𝒃)");
    check("dot(a, b) c", "(𝒂·𝒃)c");
    check("2 dot(a, b)", "2(𝒂·𝒃)");
    check("dot(a, b)/c", "frac[row[𝒂·𝒃]c]");
    check("dot(a, b)^2", "sup[row[(𝒂·𝒃)]2]");
    check("dot(a, b) + c^2", "𝒂·𝒃+sup[c2]");
    check("direction(a)", "∠𝒂");
    check("direction(a + b)", "∠(𝒂+𝒃)");
}

#[test]
fn vectors_are_bold_and_their_components_are_not() {
    let sheet = Sheet::work("F_1 = (3, -4.0) kN", "(0 kN, 2 F_1.x)");
    let Some(Body::Work(work)) = sheet.statements().last().map(|last| &last.body) else {
        panic!("no line of work");
    };
    let vector = inside(&math(&work.members[0], &sheet.context()));
    assert_eq!(plain(&vector), "row[(0 kN, 2sub[Frow[1','x]])]");
    check_numbers("F_1 = (3, -4.0) kN", "2 F_1", "2×row[(3, −4.0)] kN");
    check_numbers("F_1 = (3, -4.0) kN", "F_1.x^2", "sup[row[(3000 N)]2]");
    check_numbers("F_1 = (3, -4.0) kN", "2 F_1.y", "2×row[(−4.0 kN)]");
}

#[test]
fn numbers_of_the_engine_are_short() {
    use super::number::numeral;
    assert_eq!(numeral(2.0), "2");
    assert_eq!(numeral(-40.0), "-40");
    assert_eq!(numeral(2.51), "2.51");
    assert_eq!(numeral(1.0 / 3.0), "0.333333");
    assert_eq!(numeral(123_456_789_012.0), "123456789012");
    assert_eq!(numeral(1e30), "1e30");
}

#[test]
fn a_derivative_is_a_fraction_or_an_operator() {
    let sheet = Sheet::derive("y = h_f\nx = a + b\nz = Q");
    let flow = sheet.right(2).as_symbol().unwrap();
    let set = |line| {
        let node = derivative(sheet.right(line), flow, &sheet.context());
        plain(&inside(&node).replace("<mi mathvariant=\"normal\">∂</mi>", "∂"))
    };
    assert_eq!(set(0), "frac[row[∂sub[hf]]row[∂Q]]");
    assert_eq!(set(1), "frac[row[∂]row[∂Q]](a+b)");
}

#[test]
fn a_power_of_one_is_not_written() {
    let sheet = Sheet::derive("y = 1\nx = 1/2\nz = Q");
    let flow = sheet.right(2).as_symbol().unwrap();
    let set = |line| plain(&inside(&power(flow, sheet.right(line), &sheet.context())));
    assert_eq!(set(0), "Q");
    assert_eq!(set(1), "sup[Qrow[1/2]]");
}

#[test]
fn a_number_in_several_parts_is_one_factor() {
    let sheet = |formula: &str| {
        let given = "h = 5 ft 3 in\nd = 2 1/2 in\na = 3";
        plain(&inside(&Sheet::work(given, formula).substituted()))
    };
    assert!(sheet("a h").contains("(") && sheet("h a").contains("("));
    assert!(sheet("a d").contains("("));
    assert!(!sheet("h + d").contains("(") && !sheet("h/a").contains("("));
}
