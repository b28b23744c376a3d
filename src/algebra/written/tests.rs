//! Results of engineering derivations and how a teacher writes them.

use super::Written;
use crate::algebra::text::Named;

/// The text of a formula's written form when the symbols named in `positive`, in this order, are
/// known to be above zero. Symbols are met in the order of `positive`, then of the formula.
fn written(positive: &str, formula: &str) -> String {
    let positive: Vec<&str> = positive.split_whitespace().collect();
    let mut named = Named::new(&positive);
    meet(&mut named, &positive);
    let id = named.read(formula);
    let written = named.algebra.written(id).unwrap();
    written.text(&|symbol| named.name(symbol))
}

fn meet(named: &mut Named, names: &[&str]) {
    for name in names {
        named.read(name);
    }
}

fn check(table: &[(&str, &str, &str)]) {
    for (positive, formula, expected) in table {
        assert_eq!(written(positive, formula), *expected, "{formula}");
    }
}

#[test]
fn terms_keep_the_order_in_which_their_symbols_were_met() {
    check(&[
        (
            "",
            "p_2*A_2 - p_1*A_1*cos(theta)",
            "p_2 A_2 - p_1 A_1 cos(theta)",
        ),
        (
            "",
            "p1 + rho*V1^2/2 + rho*g*z1 - rho*V2^2/2 - rho*g*z2",
            "p1 + rho V1^2/2 + rho g z1 - rho V2^2/2 - rho g z2",
        ),
        ("", "T2 - Q/(m*c)", "T2 - Q/(m c)"),
        ("", "s/t - a*t/2", "s/t - t a/2"),
        ("", "B/(A - log10(p)) - C", "B/(A - log10(p)) - C"),
        (
            "",
            "acos((a^2 + b^2 - c^2)/(2*a*b))",
            "acos((a^2 + b^2 - c^2)/(2 a b))",
        ),
        ("", "sinh(x) + x*cosh(x)", "sinh(x) + x cosh(x)"),
        ("", "sqrt(V^2 + 2*g*h)", "sqrt(V^2 + 2 g h)"),
        ("", "v_0*a + a*v_0*t", "v_0 a (t + 1)"),
    ]);
}

#[test]
fn a_solved_momentum_balance_begins_with_a_positive_term() {
    let mut named = Named::new(&[]);
    named.equation("R + p_1*A_1*c - p_2*A_2 = m*(V_2 - V_1*c)");
    let id = named.read("m*(V_2 - V_1*c) - p_1*A_1*c + p_2*A_2");
    let written = named.algebra.written(id).unwrap();
    let text = written.text(&|symbol| named.name(symbol));
    assert_eq!(text, "p_2 A_2 - p_1 A_1 c + m (V_2 - c V_1)");
}

#[test]
fn a_positive_term_comes_first() {
    check(&[
        ("", "-p_1 + p_2", "p_2 - p_1"),
        ("", "1 - cos(theta)", "1 - cos(theta)"),
        ("", "a - 1", "a - 1"),
        ("", "1 + a", "a + 1"),
        ("", "-1 - a", "-a - 1"),
        ("", "-a - b", "-a - b"),
        ("", "-(a - b)*x - y", "x (b - a) - y"),
        ("", "-x*(a - b) - y*(c - d)", "x (b - a) - y (c - d)"),
        ("", "-m*g + k*(x - x_0)", "k (x - x_0) - m g"),
        ("", "V_0*(1 - exp(-t/(R*C)))", "V_0 (1 - exp(-t/(R C)))"),
    ]);
}

#[test]
fn powers_descend_in_polynomials_of_one_symbol() {
    check(&[
        ("", "3*x^2 + x^4 - 2*x", "x^4 + 3 x^2 - 2 x"),
        ("", "x - x^2", "x - x^2"),
        ("", "1 + 2*x - x^2", "2 x - x^2 + 1"),
        ("", "k*x^3 - 2*x + 4*x^5", "k x^3 - 2 x + 4 x^5"),
    ]);
}

#[test]
fn factors_stand_in_their_order() {
    check(&[
        ("", "D^2*pi/4", "pi D^2/4"),
        ("", "rho*V^2/2", "rho V^2/2"),
        ("", "(1/2)*m*v^2", "m v^2/2"),
        ("", "(b - a)^3*c", "c (b - a)^3"),
        ("", "tan(theta)^2*x", "x tan(theta)^2"),
        (
            "",
            "-exp(-k*t)*(k*cos(w) + w*sin(w))",
            "-(k cos(w) + w sin(w)) exp(-k t)",
        ),
        (
            "H g b",
            "2/3*C*b*sqrt(2*g)*H^(3/2)",
            "2 H^(3/2) b C sqrt(2 g)/3",
        ),
        ("R", "R^(2/3)*sqrt(S)/n", "R^(2/3) sqrt(S)/n"),
        ("", "3*2^x", "3*2^x"),
        ("", "a*2^x*b", "a b*2^x"),
        ("", "x*abs(y - z)", "x abs(y - z)"),
    ]);
}

#[test]
fn numbers_are_short_fractions_or_exact_decimals() {
    check(&[
        ("", "0", "0"),
        ("", "-3/4", "-3/4"),
        ("", "0.375*q*L", "3 q L/8"),
        ("", "5*w*L^4/(384*E*I)", "5 w L^4/(384 E I)"),
        ("", "P*L^3/(48*E*I)", "P L^3/(48 E I)"),
        ("", "0.0254*x", "0.0254 x"),
        ("", "x/3 + 0.0001*y", "x/3 + 0.0001 y"),
        ("", "x/3000", "x/3000"),
        ("", "x/1024", "x/1024"),
        ("", "x/7919", "x/7919"),
        ("", "3.14159265*x", "3.14159265 x"),
        ("", "x^1.5", "x^(3/2)"),
        ("", "sqrt(2)/2", "sqrt(2)/2"),
    ]);
}

#[test]
fn there_is_one_quotient() {
    check(&[
        ("", "F/m", "F/m"),
        ("", "a/b/c", "a/(b c)"),
        ("", "(a/b)/(c/d)", "a d/(b c)"),
        ("", "p*V/(n*R)", "p V/(n R)"),
        ("Q Cd A rho", "Q^2*rho/(2*Cd^2*A^2)", "Q^2 rho/(2 Cd^2 A^2)"),
        ("", "pi^2*E*I/L^2", "pi^2 E I/L^2"),
        ("", "1/(x*ln(10))", "1/(x ln(10))"),
        ("", "(a + b)^2/(c*d)", "(a + b)^2/(c d)"),
        ("", "1/(1/h_1 + L/k + 1/h_2)", "1/(1/h_1 + L/k + 1/h_2)"),
        ("", "V^2/R^2*(-1)", "-V^2/R^2"),
        ("", "-2*x/(1 + x^2)^2", "-2 x/(x^2 + 1)^2"),
    ]);
}

#[test]
fn differences_are_turned_to_save_a_minus() {
    check(&[
        ("", "f*u/(u - f)", "f u/(u - f)"),
        ("", "R*R2/(R2 - R)", "R R2/(R2 - R)"),
        ("", "(d - b)/(a - c)", "(d - b)/(a - c)"),
        ("w a b c d", "(b - d*w)/(c*w - a)", "(w d - b)/(a - w c)"),
        ("", "-x/(-y)", "x/y"),
        ("", "-(a - b)/(c - d)", "(b - a)/(c - d)"),
        ("", "-1/(1 - x)", "1/(x - 1)"),
        ("", "-(a + b)/c", "-(a + b)/c"),
        ("", "-t/ln(1 - y/A)", "-t/ln(1 - y/A)"),
        ("", "-m*(V_1 - V_2)", "m (V_2 - V_1)"),
    ]);
}

#[test]
fn a_difference_from_one_is_turned_to_what_is_common() {
    check(&[
        ("", "a + x/(1 - M^2)", "a + x/(1 - M^2)"),
        ("", "x/(1 - M^2)", "x/(1 - M^2)"),
        ("", "(a - b)/(1 - M^2)", "(a - b)/(1 - M^2)"),
        (
            "",
            "m*g*L*(1 - cos(theta)) - k*x^2/2",
            "m g L (1 - cos(theta)) - k x^2/2",
        ),
        (
            "",
            "R*(1 - cos(t))*(1 - exp(-t))",
            "R (1 - cos(t)) (1 - exp(-t))",
        ),
        (
            "",
            "T_a - (T_a - T_0)*(1 - exp(-t))",
            "T_a - (T_a - T_0) (1 - exp(-t))",
        ),
    ]);
}

#[test]
fn roots_gather() {
    check(&[
        ("g h", "sqrt(2)*sqrt(g)*sqrt(h)", "sqrt(2 g h)"),
        ("hf f L g D", "sqrt(2*g*D*hf/(f*L))", "sqrt(2 hf g D/(f L))"),
        ("V", "(3*V/(4*pi))^(1/3)", "cbrt(3 V/(4 pi))"),
        ("Q V", "sqrt(4*Q/(pi*V))", "2 sqrt(Q/(pi V))"),
        ("L g", "2*pi*sqrt(L/g)", "2 pi sqrt(L/g)"),
        ("k m", "sqrt(k/m)/(2*pi)", "sqrt(k/m)/(2 pi)"),
        ("x", "sqrt(6*x)/2", "sqrt(3 x/2)"),
        ("x", "sqrt(6*x)/4", "sqrt(6 x)/4"),
        ("", "F*sqrt(2)/2", "F/sqrt(2)"),
        ("", "sqrt(3)*F", "F sqrt(3)"),
        ("", "x^(-1/2)", "1/sqrt(x)"),
        ("", "1/sqrt(1 - x^2)", "1/sqrt(1 - x^2)"),
        ("E I L", "sqrt(E*I*pi^2/L^2)", "pi sqrt(E I)/L"),
        ("g h z", "sqrt(2*g*h - 2*g*z)", "sqrt(2 g (h - z))"),
        (
            "",
            "sqrt((s_x - s_y)^2/4 + t^2)",
            "sqrt((s_x - s_y)^2 + 4 t^2)/2",
        ),
        ("", "sqrt(-x)", "sqrt(-x)"),
    ]);
}

#[test]
fn equal_exponents_gather() {
    check(&[
        ("V1 p1 p2 k", "V1*(p1/p2)^(1/k)", "V1 (p1/p2)^(1/k)"),
        (
            "p_1 T_1 T_2 k",
            "p_1*(T_2/T_1)^(k/(k - 1))",
            "p_1 (T_2/T_1)^(k/(k - 1))",
        ),
        (
            "T_1 p_1 p_2 k",
            "T_1*(p_2/p_1)^((k - 1)/k)",
            "T_1 (p_2/p_1)^((k - 1)/k)",
        ),
        (
            "T_1 p_1 p_2 k",
            "T_1*(p_2/p_1)^(1 - 1/k)",
            "T_1 (p_2/p_1)^(1 - 1/k)",
        ),
        (
            "k M",
            "(1 + (k - 1)/2*M^2)^(k/(k - 1))",
            "(M^2 (k - 1)/2 + 1)^(k/(k - 1))",
        ),
        ("a b", "(a/(2*b))^(2/3)", "(a/(2 b))^(2/3)"),
        ("V", "(V/2)^(2/3)", "(V/2)^(2/3)"),
        ("", "n*x^(n - 1)", "n x^(n - 1)"),
        ("", "T_1*r^(1 - k)", "T_1/r^(k - 1)"),
        ("", "C/V^n", "C/V^n"),
        (
            "",
            "A*((1 + i)^n - 1)/(i*(1 + i)^n)",
            "A ((i + 1)^n - 1)/(i (i + 1)^n)",
        ),
        ("", "10^(-pH)", "10^(-pH)"),
        ("", "P0*10^(L/10)", "P0*10^(L/10)"),
        ("", "x^y^z", "x^(y^z)"),
    ]);
}

#[test]
fn common_factors_are_pulled_out_where_that_is_shorter() {
    check(&[
        ("", "g*h_1 - g*h_2", "g (h_1 - h_2)"),
        ("", "a*x - b*x", "x (a - b)"),
        ("", "w*x*L/2 - w*x^2/2", "w x (L - x)/2"),
        ("", "a*cos(t) + b*cos(t)", "(a + b) cos(t)"),
        ("", "2*x + 2*y", "2 (x + y)"),
        ("", "4*x + 6", "4 x + 6"),
        ("", "v_0*t + a*t^2/2", "v_0 t + t^2 a/2"),
        ("", "a^2*b*c + a*b^2*c", "a b c (a + b)"),
        ("", "x^2 - x", "x^2 - x"),
        ("", "m*V_2 - m*V_1 + R", "m V_2 - m V_1 + R"),
    ]);
}

#[test]
fn terms_stand_over_one_denominator_where_that_is_shorter() {
    check(&[
        ("", "a/(2*c) + b/(2*c)", "(a + b)/(2 c)"),
        ("", "x/2 + y/3", "x/2 + y/3"),
        ("", "1/a + 1/b", "1/a + 1/b"),
        ("", "Q/(m*c) + W/(m*g)", "Q/(m c) + W/(m g)"),
        ("", "V^2/(2*g) + f*L*V^2/(2*g*D)", "V^2 (f L/D + 1)/(2 g)"),
        (
            "",
            "(-b + sqrt(b^2 - 4*a*c))/(2*a)",
            "(sqrt(b^2 - 4 a c) - b)/(2 a)",
        ),
        (
            "",
            "(-b - sqrt(b^2 - 4*a*c))/(2*a)",
            "-(b + sqrt(b^2 - 4 a c))/(2 a)",
        ),
        (
            "K c",
            "(-K + sqrt(K^2 + 4*K*c))/2",
            "(sqrt(K^2 + 4 K c) - K)/2",
        ),
        ("", "(s_x + s_y)/2 + t", "s_x/2 + s_y/2 + t"),
    ]);
}

#[test]
fn logarithms_gather_where_the_signs_are_known() {
    check(&[
        ("A y k", "(ln(A) - ln(y))/k", "ln(A/y)/k"),
        ("", "ln(a) - ln(b)", "ln(a) - ln(b)"),
        ("a b", "-ln(a) - ln(b)", "-ln(a b)"),
        ("a b c", "ln(a) - 2*ln(b) - ln(c)", "ln(a/c) - 2 ln(b)"),
        ("T_0 T", "R*(ln(T) - ln(T_0)) + c*T", "R ln(T/T_0) + T c"),
        (
            "p_1 p_2 V_1 V_2",
            "(ln(p_1) - ln(p_2))/(ln(V_2) - ln(V_1))",
            "ln(p_1/p_2)/ln(V_2/V_1)",
        ),
        ("", "ln(x)/ln(2)", "log2(x)"),
        ("", "10*log10(P/P0)", "10 log10(P/P0)"),
        ("P P0", "10*(log10(P) - log10(P0))", "10 log10(P/P0)"),
        ("", "Vt*ln(1 + i/Is)", "Vt ln(i/Is + 1)"),
    ]);
}

#[test]
fn functions_have_their_names_and_brackets() {
    check(&[
        ("", "pi/2 - asin(g*R/v^2)/2", "(pi - asin(g R/v^2))/2"),
        ("", "2*asin(d/(2*R))", "2 asin(d/(2 R))"),
        ("", "asinh(y/a)", "ln(y/a + sqrt(y^2/a^2 + 1))"),
        ("", "atan2(F_y, F_x)", "atan2(F_y, F_x)"),
        ("", "max(a, b) - min(a, b, 0)", "max(a, b) - min(a, b, 0)"),
        ("", "sign(x)*floor(y)", "sign(x) floor(y)"),
        ("", "exp(b - a)/exp(c)", "exp(b - a - c)"),
        ("", "-x*exp(-x^2/2)", "-x exp(-x^2/2)"),
        ("", "y*cbrt(x)", "y cbrt(x)"),
    ]);
}

#[test]
fn brackets_stand_where_precedence_asks_for_them() {
    let symbol = |at| Written::Symbol(crate::algebra::Symbol(at));
    let sum = || Written::Sum(vec![(false, symbol(0)), (true, symbol(1))]);
    let name = |symbol: crate::algebra::Symbol| ["a", "b"][symbol.0 as usize].to_owned();
    let table = [
        (sum().negative(), "-(a - b)"),
        (sum().raised_to(sum()), "(a - b)^(a - b)"),
        (
            symbol(0).raised_to(symbol(1)).raised_to(Written::whole(2)),
            "(a^b)^2",
        ),
        (symbol(0).over(symbol(1)).over(sum()), "(a/b)/(a - b)"),
        (symbol(0).negative().over(symbol(1)), "(-a)/b"),
        (Written::Product(vec![symbol(0), Written::whole(2)]), "a*2"),
        (
            Written::Product(vec![sum(), symbol(0).over(symbol(1))]),
            "(a - b) (a/b)",
        ),
        (
            Written::Sum(vec![(true, sum()), (false, symbol(0))]),
            "-(a - b) + a",
        ),
    ];
    for (written, expected) in table {
        assert_eq!(written.text(&name), expected);
    }
}

#[test]
fn size_counts_leaves_and_operators() {
    let mut named = Named::new(&[]);
    for (formula, size) in [
        ("a", 1),
        ("-a", 2),
        ("a - b", 3),
        ("-a - b", 4),
        ("rho*V^2/2", 7),
    ] {
        let id = named.read(formula);
        assert_eq!(named.algebra.written(id).unwrap().size(), size, "{formula}");
    }
}

#[test]
fn what_has_no_value_or_is_too_long_is_not_written() {
    let mut named = Named::new(&[]);
    let mut id = named.read("1/0");
    assert_eq!(named.algebra.written(id), None);
    id = named.read("x");
    for _ in 0..40 {
        let (one, other) = (
            named.algebra.call(crate::algebra::Function::Exp, &[id]),
            named.algebra.call(crate::algebra::Function::Cosh, &[id]),
        );
        id = named.algebra.add(&[one, other]);
    }
    assert_eq!(named.algebra.written(id), None);
}

#[test]
fn the_ratio_in_a_logarithm_is_turned_over_to_save_a_minus() {
    check(&[
        ("", "-k*ln(a/b)", "k ln(b/a)"),
        ("", "-k*ln(1 - a/b)", "-k ln(1 - a/b)"),
        ("", "-k*ln(a*b)", "-k ln(a b)"),
        ("", "-k/ln(a/b)", "k/ln(b/a)"),
        ("", "-k*log10(a/b)", "k log10(b/a)"),
        ("", "c - k*ln(a/b)", "c - k ln(a/b)"),
    ]);
}
