//! Laws that hold for any text.

use super::*;
use proptest::prelude::*;

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
        Just("V_2.x".to_owned()),
        Just("ρ_w.z".to_owned()),
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
            (inner.clone(), inner.clone()).prop_map(|(a, b)| format!("({a},{b})")),
            (inner.clone(), inner.clone(), inner.clone())
                .prop_map(|(a, b, c)| format!("({a}, {b}, {c})")),
            (inner.clone(), inner.clone()).prop_map(|(a, b)| format!("dot({a}, {b})")),
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
                Just("V.x".to_owned()),
                Just(" from a near ".to_owned()),
                Just(" between ".to_owned()),
                Just(" and ".to_owned()),
                Just("solve a for ".to_owned()),
                Just(" with ".to_owned()),
                Just(" in full".to_owned()),
                Just("therefore ".to_owned()),
                Just("∴".to_owned()),
                Just("component x of ".to_owned()),
                Just(" varies as ".to_owned()),
                Just(" rises with ".to_owned()),
                Just(" -> ".to_owned()),
                Just(" → ".to_owned()),
                Just(" as ".to_owned()),
                Just("sensitivity of ".to_owned()),
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
