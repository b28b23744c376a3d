//! Laws that hold for any worksheet, tried on random ones.

use proptest::prelude::*;
use setsquare::text::Source;
use setsquare::worksheet::{self, Body};
use setsquare::{page, worksheet::Worksheet};

/// Plain arithmetic with its own brackets: every operator, no unary minus (on which the
/// independent evaluator differs on purpose: it takes `-2^2` as 4).
fn arithmetic() -> impl Strategy<Value = String> {
    let number =
        (1..5000_u32).prop_map(|hundredths| format!("{:.2}", f64::from(hundredths) / 100.0));
    let leaf = number.clone();
    let nested = leaf.prop_recursive(5, 40, 3, move |inner| {
        prop_oneof![
            (inner.clone(), "[+*/-]", inner.clone())
                .prop_map(|(left, sign, right)| format!("({left} {sign} {right})")),
            (inner.clone(), "[+-]", inner.clone(), "[+-]", inner.clone())
                .prop_map(|(a, first, b, second, c)| format!("({a} {first} {b} {second} {c})")),
            (inner, 1..4_u8).prop_map(|(base, exponent)| format!("({base}^{exponent})")),
        ]
    });
    (nested, number).prop_map(|(left, right)| format!("{left} + {right}"))
}

fn compile(text: &str) -> Worksheet {
    worksheet::compile(Source::new("law.md", text))
}

/// The value of the only result.
fn value(worksheet: &Worksheet) -> Option<f64> {
    worksheet
        .statements()
        .find_map(|statement| match &statement.body {
            Body::Work(work) => work.shown.si.first().copied(),
            _ => None,
        })
}

/// Pieces from which worksheets are put together, right and wrong.
fn pieces() -> impl Strategy<Value = String> {
    let piece = prop_oneof![
        Just("```given\n".to_owned()),
        Just("```work\n".to_owned()),
        Just("```derive\n".to_owned()),
        Just("```check\n".to_owned()),
        Just("```answer\n".to_owned()),
        Just("```required\n".to_owned()),
        Just("```\n".to_owned()),
        Just("# Problem\n".to_owned()),
        Just("p = 200 kPa gauge -- *reading*\n".to_owned()),
        Just("T = 20 degC\n".to_owned()),
        Just("L = 50.02 ± 0.04 mm\n".to_owned()),
        Just("x_i = [1, 2, 5] mm\n".to_owned()),
        Just("f(x) = x^2 + 1\n".to_owned()),
        Just("a: F = p A cos(30 deg)\n".to_owned()),
        Just("y = L^2 = ? mm^2 to 3 figures\n".to_owned()),
        Just("z = f(2) = 5.0\n".to_owned()),
        Just("y > 2 mm^2\n".to_owned()),
        Just("Text `y = ? mm^2` with `? K of T`, $x^2$ and [a].\n\n".to_owned()),
        Just("| a | `y = ?` |\n|---|:-:|\n| <b> | ** |\n\n".to_owned()),
        "[ -~]{0,24}\n",
        "\\PC{0,12}\n",
    ];
    prop::collection::vec(piece, 0..14).prop_map(|pieces| pieces.concat())
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(300))]

    #[test]
    fn plain_arithmetic_agrees_with_an_independent_evaluator(formula in arithmetic()) {
        let expected = evalexpr::eval_number(&formula);
        let worksheet = compile(&format!("```work\nx = {formula} = ?\n```\n"));
        match (expected, value(&worksheet)) {
            (Ok(expected), Some(found)) => {
                let size = expected.abs().max(1.0);
                prop_assert!((expected - found).abs() <= 1e-9 * size, "{formula}: {expected} and {found}");
            }
            // What is not finite is refused here, and is infinite or not a number there.
            (Ok(expected), None) => prop_assert!(!expected.is_finite(), "{formula}: {expected}"),
            (Err(_), found) => prop_assert!(found.is_none(), "{formula}: {found:?}"),
        }
    }

    #[test]
    fn any_worksheet_becomes_a_well_formed_page(text in pieces()) {
        let worksheet = compile(&text);
        let html = page::html(&worksheet);
        let body = html.strip_prefix("<!DOCTYPE html>").unwrap_or(&html);
        prop_assert!(roxmltree::Document::parse(body).is_ok(), "{text}");
        for diagnostic in &worksheet.diagnostics {
            let place = diagnostic.span;
            prop_assert!(text.is_char_boundary(place.start as usize), "{text}");
            prop_assert!(text.is_char_boundary(place.end as usize), "{text}");
            prop_assert!(!diagnostic.message.is_empty());
        }
    }

    #[test]
    fn filling_and_emptying_gives_back_the_same_bytes(text in pieces()) {
        let worksheet = compile(&text);
        let filled = worksheet::fill(&worksheet);
        // Only what was open before is opened again.
        if !text.contains(" ?\n") && !text.contains("?`") {
            let emptied = worksheet::unfill(&Source::new("law.md", filled));
            prop_assert_eq!(emptied, text);
        }
    }

    #[test]
    fn the_same_text_gives_the_same_page(text in pieces()) {
        prop_assert_eq!(page::html(&compile(&text)), page::html(&compile(&text)));
    }
}

#[test]
fn filling_and_emptying_the_worked_worksheets_gives_back_their_bytes() {
    let folder = concat!(env!("CARGO_MANIFEST_DIR"), "/worksheets");
    let mut tried = 0;
    for entry in std::fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if path.extension().is_none_or(|extension| extension != "md") {
            continue;
        }
        let text = std::fs::read_to_string(&path).unwrap();
        let filled = worksheet::fill(&compile(&text));
        assert_ne!(filled, text, "{}", path.display());
        let emptied = worksheet::unfill(&Source::new("law.md", filled.clone()));
        assert_eq!(emptied, text, "{}", path.display());
        // A filled worksheet is as good as an open one, and filling it again changes nothing.
        let again = compile(&filled);
        assert!(again.diagnostics.is_empty(), "{:?}", again.diagnostics);
        assert_eq!(worksheet::fill(&again), filled);
        tried += 1;
    }
    assert!(tried >= 5, "only {tried} worksheets");
}
