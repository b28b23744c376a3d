//! Formulas and what becomes of them.

use super::fixture::{Formulas, shown, unit, written};
use super::*;
use crate::resolve::{Expr, ExprKind, UserFunction};
use crate::text::Span;

/// The MathML of a formula with the tags shortened: `<mi>x</mi>` is `x`, and groups are in
/// brackets that name them.
fn plain(mathml: &str) -> String {
    let mut text = mathml.to_owned();
    for (from, to) in [
        ("<mo rspace=\"0.25em\">,", ", "),
        ("<mo form=\"prefix\">", ""),
        ("<mo form=\"infix\">", ""),
        ("<mo stretchy=\"false\">", ""),
        ("<mo stretchy=\"false\" form=\"prefix\">|", "|"),
        ("<mo stretchy=\"false\" form=\"postfix\">|", "|"),
        ("<mo lspace=\"0\" rspace=\"0.17em\">\u{2061}", "_"),
        ("<mspace width=\"0.17em\"/>", "_"),
        ("<mi>", ""),
        ("</mi>", ""),
        ("<mn>", ""),
        ("</mn>", ""),
        ("<mo>", ""),
        ("</mo>", ""),
        ("<mtext>", "'"),
        ("</mtext>", "'"),
        ("\u{a0}", " "),
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

fn check(formula: &str, expected: &str) {
    let mut formulas = Formulas::default();
    let formula = formulas.read(formula);
    let (source, names) = (formulas.source(), Names::new(&formulas.symbols));
    let mathml = expr(&formula, &Context::new(&source, &names));
    assert_eq!(plain(&mathml), expected);
    assert_is_xml(&mathml);
}

fn check_numbers(formula: &str, values: &[(&str, Shown)], expected: &str) {
    let mut formulas = Formulas::default();
    let formula = formulas.read(formula);
    let operands: Vec<(SymbolId, std::sync::Arc<Shown>)> = values
        .iter()
        .map(|(key, shown)| (formulas.symbol(key), std::sync::Arc::new(shown.clone())))
        .collect();
    let (source, names) = (formulas.source(), Names::new(&formulas.symbols));
    let context = Context::new(&source, &names).with_operands(&operands);
    let mathml = expr(&formula, &context);
    assert_eq!(plain(&mathml), expected);
    assert_is_xml(&mathml);
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
    check(
        "f (L/D) V^2/(2 g)",
        "f_row[(frac[LD])]_frac[sup[V2]row[2g]]",
    );
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
    check("2*(1/2)", "2row[(frac[12])]");
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
    let values = [
        ("Q", written("0.850", "m^3/s")),
        ("A_2", shown(0.159_04, "m^2")),
    ];
    check_numbers("Q/A_2", &values, "frac[0.850 m³/s0.1590 m²]");
    check_numbers("2 Q", &values, "2×0.850 m³/s");
    check_numbers("Q x", &values, "0.850 m³/s×x");
    check_numbers("pi Q", &values, "π×0.850 m³/s");
}

#[test]
fn a_quantity_below_an_exponent_gets_brackets_and_a_plain_number_does_not() {
    let values = [("D", written("600", "mm")), ("n", written("1.4", ""))];
    check_numbers("D^2", &values, "sup[(600 mm)2]");
    check_numbers("n^2", &values, "sup[1.42]");
    check_numbers("pi D^2/4", &values, "frac[row[π_sup[(600 mm)2]]4]");
}

#[test]
fn a_negative_number_gets_brackets_where_a_sign_stands_before_it() {
    let values = [("F", written("-3", "kN")), ("L", written("2", "m"))];
    check_numbers("F L", &values, "−3 kN×2 m");
    check_numbers("L F", &values, "2 m×(−3 kN)");
    check_numbers("L - F", &values, "2 m−(−3 kN)");
    check_numbers("F + L", &values, "−3 kN+2 m");
}

#[test]
fn degrees_stand_without_a_space() {
    let values = [("theta", written("35", "°"))];
    check_numbers("cos theta", &values, "cos_35°");
    check_numbers("cos(theta)", &values, "cos(35°)");
}

#[test]
fn quantities_of_the_author_keep_their_text() {
    check("rho/{1.20e3 kg/m^3}", "frac[ρrow[1.20×sup[103]' kg/m³']]");
    check("a {9.81 m/s^2}", "a×9.81 m/s²");
}

#[test]
fn parameters_print_by_their_names() {
    let mut formulas = Formulas::default();
    let function = formulas.symbols.add_function(
        0,
        UserFunction {
            key: "h_f".into(),
            parameters: vec!["Q".into()],
            defined: Span::default(),
        },
    );
    let call = formulas.read("h_f(2 x)");
    let (source, names) = (formulas.source(), Names::new(&formulas.symbols));
    let context = Context::new(&source, &names).in_function(function);
    assert_eq!(plain(&expr(&call, &context)), "sub[hf](2x)");
    let mut head = String::new();
    super::function(function, 1, &context, &mut head);
    assert_eq!(plain(&head), "ath[sub[hf]row[(Q)]]");
}

#[test]
fn a_wide_row_may_break_before_its_operators() {
    let mut formulas = Formulas::default();
    let wide = formulas.read("mdot (V_2 - V_1 cos(theta)) - p_1 A_1 cos(theta) + p_2 A_2 + W_x");
    let short = formulas.read("a - b");
    let (source, names) = (formulas.source(), Names::new(&formulas.symbols));
    let context = Context::new(&source, &names);
    let mut out = String::new();
    side("=", &wide, &context, &mut out);
    assert!(out.contains("</math><wbr/><math><mo form=\"infix\">−</mo>"));
    assert_is_xml(&out);
    out.clear();
    side("=", &short, &context, &mut out);
    assert!(!out.contains("wbr"), "{out}");
}

#[test]
fn a_fraction_too_wide_for_the_page_is_stacked() {
    let mut formulas = Formulas::default();
    let terms: Vec<String> = (1..30).map(|n| format!("a_{n} b_{n}")).collect();
    let wide = formulas.read(&format!("({})/c", terms.join(" + ")));
    let (source, names) = (formulas.source(), Names::new(&formulas.symbols));
    let mathml = expr(&wide, &Context::new(&source, &names));
    assert!(
        mathml.contains("<mfrac><mtable class=\"rows\">"),
        "{mathml}"
    );
    assert!(mathml.contains("</mtd></mtr><mtr><mtd><mo form=\"infix\">+</mo>"));
    assert_is_xml(&mathml);
}

#[test]
fn values_print_with_uncertainty_and_word() {
    let check = |shown: Shown, expected: &str| {
        let mut out = String::new();
        value(&shown, &mut out);
        assert_eq!(out.replace(['\u{2009}', '\u{a0}'], " "), expected);
    };
    check(written("420", "kPa"), "420 kPa");
    check(written("-1.5e6", "Pa"), "−1.5 × 10<sup>6</sup> Pa");
    check(written("35", "°"), "35°");
    check(written("5", "%"), "5 %");
    check(
        Shown {
            word: Some("gauge"),
            ..written("420", "kPa")
        },
        "420 kPa gauge",
    );
    let with = |text: &str| Shown {
        uncertainty_written: Some(text.to_owned()),
        ..written("50.02", "mm")
    };
    check(with("(4)"), "50.02(4) mm");
    check(with("± 0.04"), "(50.02 ± 0.04) mm");
    check(with("± 0.04 (k=2)"), "(50.02 ± 0.04) mm (<i>k</i> = 2)");
    check(with("± 0.2 %"), "50.02 mm ± 0.2 %");
    let list = Shown {
        shape: crate::resolve::Shape::List,
        ..written("[1, -2.5]", "m")
    };
    check(list, "[1, −2.5] m");
}

#[test]
fn plain_text_of_a_value() {
    assert_eq!(text(&shown(-19.012, "kN")), "−19.01 kN");
    assert_eq!(text(&shown(35.0, "°")), "35.00°");
    assert_eq!(unit("kN").text(), "kN");
}

#[test]
fn products_of_vectors_have_their_signs_and_brackets_where_they_are_needed() {
    check("dot(a, b)", "a·b");
    check("cross(a, b + c)", "a×(b+c)");
    check("dot(a, cross(b, c))", "a·(b×c)");
    check("2 dot(a, b)", "2(a·b)");
    check("dot(a, b)/c", "frac[row[a·b]c]");
    check("dot(a, b)^2", "sup[row[(a·b)]2]");
    check("dot(a, b) + c", "a·b+c");
}

#[test]
fn a_direction_is_an_angle() {
    check("direction(F)", "∠F");
    check("direction(F + G)", "∠(F+G)");
}

#[test]
fn vectors_are_bold_and_their_components_are_not() {
    use crate::syntax::Axis;
    let mut formulas = Formulas::default();
    let force = formulas.symbol("F_1");
    let rate = formulas.symbol("omega");
    formulas.symbols.make_vector(force, 2);
    formulas.symbols.make_vector(rate, 3);
    let node = |kind| Expr {
        span: Span::default(),
        kind,
    };
    let component = node(ExprKind::Component(force, Axis::X));
    let square = node(ExprKind::Power(
        Box::new(component.clone()),
        Box::new(node(ExprKind::Numeral(2.0))),
    ));
    let (source, names) = (formulas.source(), Names::new(&formulas.symbols));
    let context = Context::new(&source, &names);
    let set = |expr: &Expr| plain(&super::expr(expr, &context));
    assert_eq!(set(&node(ExprKind::Symbol(force))), "sub[𝑭1]");
    assert_eq!(set(&node(ExprKind::Symbol(rate))), "𝝎");
    assert_eq!(set(&component), "sub[Frow[1','x]]");
    assert_eq!(set(&square), "subsup[Frow[1','x]2]");
    let vector = node(ExprKind::Vector(vec![
        node(ExprKind::Numeral(0.0)),
        node(ExprKind::Symbol(force)),
    ]));
    assert_eq!(set(&vector), "row[(0, sub[𝑭1])]");
    let operands = [(
        force,
        std::sync::Arc::new(Shown {
            shape: crate::resolve::Shape::Vector,
            ..written("3, -4.0", "kN")
        }),
    )];
    let numbers = context.with_operands(&operands);
    let set = |expr: &Expr| plain(&super::expr(expr, &numbers));
    assert_eq!(set(&node(ExprKind::Symbol(force))), "row[(3, −4.0)]' kN'");
    assert_eq!(set(&component), "3 kN");
    assert_eq!(set(&square), "sup[(3 kN)2]");
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
    let mut formulas = Formulas::default();
    let (name, sum) = (formulas.read("h_f"), formulas.read("a + b"));
    let flow = formulas.symbol("Q");
    let (source, names) = (formulas.source(), Names::new(&formulas.symbols));
    let context = Context::new(&source, &names);
    let set = |of: &Expr| {
        let mut out = String::new();
        derivative(of, flow, &context, &mut out);
        out.replace("<mi mathvariant=\"normal\">∂</mi>", "∂")
    };
    assert_eq!(plain(&set(&name)), "ath[frac[row[∂sub[hf]]row[∂Q]]]");
    assert_eq!(plain(&set(&sum)), "ath[frac[row[∂]row[∂Q]](a+b)]");
}

#[test]
fn a_power_of_one_is_not_written() {
    let mut formulas = Formulas::default();
    let (one, half) = (formulas.read("1"), formulas.read("1/2"));
    let flow = formulas.symbol("Q");
    let (source, names) = (formulas.source(), Names::new(&formulas.symbols));
    let context = Context::new(&source, &names);
    let set = |exponent: &Expr| {
        let mut out = String::new();
        power(flow, exponent, &context, &mut out);
        plain(&out)
    };
    assert_eq!(set(&one), "ath[Q]");
    assert_eq!(set(&half), "ath[sup[Qfrac[12]]]");
}
