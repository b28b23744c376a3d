//! The canonical form.

use super::text::Named;

/// Both texts have one canonical form when `positive` symbols are above zero.
fn same(positive: &[&str], left: &str, right: &str) {
    let mut named = Named::new(positive);
    let (one, other) = (named.read(left), named.read(right));
    assert_eq!(named.show(one), named.show(other), "{left} and {right}");
}

fn differ(positive: &[&str], left: &str, right: &str) {
    let mut named = Named::new(positive);
    let (one, other) = (named.read(left), named.read(right));
    assert_ne!(one, other, "{left} and {right}");
}

#[test]
fn like_terms_and_factors_are_gathered() {
    same(&[], "x + 2*y - x", "2*y");
    same(&[], "x*y*x/y", "x^2");
    same(&[], "3*(x + y) - 3*x", "3*y");
    same(&[], "1/(2*a + 2*b)", "(1/2)/(a + b)");
    same(&[], "(b - a)^(-1)", "-1/(a - b)");
    same(&[], "x^n*x", "x^(n + 1)");
    same(&[], "x^n/x^n", "1");
    same(&[], "exp(a)*exp(b)", "exp(a + b)");
    same(&[], "exp(a)*exp(-a)", "1");
    same(&[], "0*x", "0");
}

#[test]
fn numbers_are_exact() {
    same(&[], "0.1 + 0.2", "0.3");
    same(&[], "12^(1/2)", "2*3^(1/2)");
    same(&[], "1/sqrt(2)", "sqrt(2)/2");
    same(&[], "sqrt(2)*sqrt(3)", "sqrt(6)");
    same(&[], "8^(2/3)", "4");
    same(&[], "sqrt(0.25)", "0.5");
    same(&[], "2^10", "1024");
}

#[test]
fn roots_are_taken_only_where_the_sign_is_known() {
    same(&["x"], "sqrt(x^2)", "x");
    same(&[], "sqrt(x^2)", "abs(x)");
    same(&[], "sqrt(x)^2", "x");
    same(&["a", "b"], "sqrt(a*b)", "sqrt(a)*sqrt(b)");
    differ(&[], "sqrt(a*b)", "sqrt(a)*sqrt(b)");
    same(&["a"], "sqrt(a^2*b)", "a*sqrt(b)");
    same(&[], "abs(-2*x)", "2*abs(x)");
    same(&[], "abs(a - b)", "abs(b - a)");
    same(&["x"], "(x^a)^b", "x^(a*b)");
    differ(&[], "(x^a)^b", "x^(a*b)");
}

#[test]
fn used_signs_are_told() {
    let mut named = Named::new(&["x"]);
    named.read("x + y");
    assert!(named.algebra.take_leaned().is_empty());
    named.read("sqrt(x^2)");
    assert_eq!(named.algebra.take_leaned().len(), 1);
}

#[test]
fn angles_have_their_known_values() {
    same(&[], "sin(pi/6)", "1/2");
    same(&[], "cos(pi)", "-1");
    same(&[], "tan(pi/3)", "sqrt(3)");
    same(&[], "sin(-x)", "-sin(x)");
    same(&[], "cos(b - a)", "cos(a - b)");
    same(&[], "sin(asin(x))", "x");
    same(&[], "acos(-1/2)", "2*pi/3");
    same(&[], "atan(1)", "pi/4");
    differ(&[], "asin(sin(x))", "x");
}

#[test]
fn a_division_by_zero_stays() {
    differ(&[], "1/0", "0");
    differ(&[], "0*(1/0)", "0");
}
