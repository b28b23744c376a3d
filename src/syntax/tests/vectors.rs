//! Vectors and their components.

use super::*;
use Code::{S01, S02, S07, S12, S14};

fn formula(text: &str) -> Expr {
    parse_expr(text, Span::new(0, text.len())).unwrap()
}

#[test]
fn vectors_and_components_are_read_in_formulas() {
    for (text, printed) in [
        ("(a, b)", "(a, b)"),
        ("(a,b,c)", "(a, b, c)"),
        ("2 (a, -b)", "2 (a, -b)"),
        ("rho Q (V cos(t), 0)", "rho Q (V cos(t), 0)"),
        ("|(3, 4)|", "|(3, 4)|"),
        ("((a, b), c)", "((a, b), c)"),
        ("(a, b) + (c, d)", "(a, b) + (c, d)"),
        ("V_2.x", "V_2.x"),
        ("2 V.x^2", "2 V.x^2"),
        ("V.y²/(2 g)", "V.y^2/(2 g)"),
        ("ρ_w.z h", "rho_w.z h"),
        ("|V.x + W.y|", "|V.x + W.y|"),
        ("V.x (a + b)", "V.x (a + b)"),
        ("sin theta.x", "sin theta.x"),
        ("dot(F, d)", "dot(F, d)"),
        ("cross (r, F)", "cross(r, F)"),
        ("direction(r) + direction r", "direction(r) + direction r"),
        ("a .5 + b.5 + .5", "a 0.5 + b 0.5 + 0.5"),
    ] {
        let expr = formula(text);
        assert_eq!(print_expr(&expr), printed, "{text}");
        assert_eq!(expr.span, Span::new(0, text.len()), "{text}");
    }
}

#[test]
fn a_vector_after_a_name_is_a_factor() {
    let ExprKind::Product(factors) = formula("m (a, b)").kind else {
        panic!("a product");
    };
    assert!(matches!(factors[1].expr.kind, ExprKind::Vector(_)));
    assert!(matches!(formula("m(a, b)").kind, ExprKind::Call { .. }));
    assert!(matches!(formula("max (a, b)").kind, ExprKind::Call { .. }));

    let text = "V_2.x";
    let ExprKind::Component(name, axis) = formula(text).kind else {
        panic!("a component");
    };
    assert_eq!((name.span.of(text), axis), ("V_2", Axis::X));
}

#[test]
fn vector_literals_are_read() {
    reads(
        BlockKind::Work,
        &[
            ("F = G = (3.0, -4.0) kN", "F = G = claim (3,-4) kN"),
            ("F = (3.0, -4.0) kN ?", "F = filled (3,-4) kN ? kN"),
            ("F = ? kN at G = (1, 2) kN", "F = ? kN at G=(1, 2) kN"),
            ("F = (1, 2) m", "F = (1, 2) m"),
            ("F = (a, 2) m", "F = (a, 2) m"),
            ("F = (1, 2, 3)*m", "F = (1, 2, 3)*m"),
            ("F.x = ? kN", "F.x = ? kN"),
        ],
    );
    reads(
        BlockKind::Given,
        &[
            ("F = (3, 4) kN", "F = (3, 4) kN"),
            ("F = ( 3 , -4 , 5e3 )", "F = (3, -4, 5000)"),
            ("p = (1, 2) kPa gauge", "p = (1, 2) kPa gauge"),
        ],
    );
    let Statement::Chain(chain) = line(BlockKind::Given, "F = (3, 4) kN") else {
        panic!("a chain");
    };
    assert!(matches!(&chain.members[1].kind, ExprKind::Quantity(literal)
            if matches!(literal.magnitude, Magnitude::Vector(_))));
    reads(
        BlockKind::Given,
        &[("D = (50.02 ± 0.04) mm", "D = 50.02 mm +/- 0.04 mm")],
    );
    reads(BlockKind::Answer, &[("F = (3, 4) kN ?", "F ? kN (3,4) kN")]);
}

#[test]
fn what_is_no_vector_is_refused() {
    refuses(
        BlockKind::Work,
        &[
            (
                "x = (1, 2, 3, 4)",
                S01,
                "(1, 2, 3, 4)",
                "`[1, 2, 3, 4]` for a list",
            ),
            ("x = (1, 2, 3, 4) m", S01, "(1, 2, 3, 4)", "`(a, b)`"),
            ("x = (1, 2)", S12, "x = (1, 2)", "given"),
            ("x = (1, )", S01, ")", ""),
            ("x = V.w", S01, "V.w", "`V.x`, `V.y` or `V.z`"),
            ("x = V.xy", S01, "V.xy", "`V.x`"),
            ("x = V_2.x_1", S01, "V_2.x_1", "`V_2.x`"),
            ("x = V.x.y", S01, ".y", "a name for the vector"),
            ("x = (a + b).x", S01, ".x", "a name for the vector"),
            ("x = sin.x", S01, "sin.x", "`sin(…)`"),
            ("x = a/b (c, d)", S02, "a/b (c, d)", "`a/(b (c, d))`"),
            ("x = 2(3)", S07, "2(3)", ""),
            ("dot = a b", S14, "dot", "dot_1"),
        ],
    );
    refuses(
        BlockKind::Given,
        &[
            ("x = (3, 4) mm ± 0.1 mm", Code::Q02, "± 0.1 mm", ""),
            ("x = 5 N.m", S01, "N.m", "`N*m`"),
        ],
    );
    refuses(
        BlockKind::Required,
        &[("F.x = ? kN", S01, "F.x", "`F = ? kN`")],
    );
    refuses(
        BlockKind::Derive,
        &[("F = (1, 20 kPa gauge)", Code::S15, "20 kPa gauge", "given")],
    );
}
