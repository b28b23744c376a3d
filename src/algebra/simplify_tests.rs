//! Expanded, collected, gathered and simplified forms.

use super::Id;
use super::text::Named;

fn check(positive: &str, text: &str, expected: &str, form: impl Fn(&mut Named, Id) -> Id) {
    let positive: Vec<&str> = positive.split_whitespace().collect();
    let mut named = Named::new(&positive);
    let (id, expected) = (named.read(text), named.read(expected));
    let found = form(&mut named, id);
    assert_eq!(named.show(found), named.show(expected), "{text}");
}

fn simplified(positive: &str, text: &str, expected: &str) {
    check(positive, text, expected, |named, id| {
        named.algebra.simplify(id)
    });
}

fn expanded(text: &str, expected: &str) {
    check("", text, expected, |named, id| named.algebra.expand(id));
}

#[test]
fn the_reference_cases_have_their_forms() {
    let path = concat!(env!("CARGO_MANIFEST_DIR"), "/tests/reference/algebra.json");
    let cases: serde_json::Value =
        serde_json::from_str(&std::fs::read_to_string(path).unwrap()).unwrap();
    let mut found = 0;
    for case in cases.as_array().unwrap() {
        if case["kind"] == "simplify" {
            let text = case["equations"][0].as_str().unwrap();
            simplified("a x", text, case["expected"][0]["value"].as_str().unwrap());
            found += 1;
        }
    }
    assert!(found > 0);
}

#[test]
fn products_are_multiplied_out() {
    expanded("(a + b)*(c - d)", "a*c - a*d + b*c - b*d");
    expanded("(a + b)^2/c", "a^2/c + 2*a*b/c + b^2/c");
    expanded("a*(b + c*(d + 1))", "a*b + a*c*d + a*c");
    expanded("(sqrt(x) + 1)*(sqrt(x) - 1)", "x - 1");
    expanded("(a + b)*sqrt(a + b)*sqrt(a + b)", "a^2 + 2*a*b + b^2");
    expanded("sin((a + b)*c)", "sin((a + b)*c)");
    expanded("a/(b*(c + d))", "a/(b*(c + d))");
}

#[test]
fn what_would_grow_too_large_stays() {
    expanded(
        "(a + b + c + d)^20*(e + f + g)^20",
        "(a + b + c + d)^20*(e + f + g)^20",
    );
}

#[test]
fn fractions_are_gathered() {
    for (text, above, below) in [
        ("a/b + c/d", "a*d + b*c", "b*d"),
        ("1/(a - b) + 1/(a + b)", "2*a", "(a - b)*(a + b)"),
        ("1/a + 1/a^2", "a + 1", "a^2"),
        ("x/2 + y/3", "3*x + 2*y", "6"),
        ("(x^2 - 1)/(x - 1)", "x + 1", "1"),
        ("1/(1/a + 1/b)", "a*b", "a + b"),
        ("sin(x)/(a*sin(x)*b)", "1", "a*b"),
        ("(a^2 + 2*a*b + b^2)/(a + b)", "a + b", "1"),
        ("1/(x^2 - 1) + 1/(x - 1)", "x + 2", "x^2 - 1"),
    ] {
        let mut named = Named::new(&[]);
        let (id, above, below) = (named.read(text), named.read(above), named.read(below));
        let (found, under) = named.algebra.together(id);
        let (found, above) = (named.algebra.expand(found), named.algebra.expand(above));
        let (under, below) = (named.algebra.expand(under), named.algebra.expand(below));
        assert_eq!(named.show(found), named.show(above), "{text}");
        assert_eq!(named.show(under), named.show(below), "{text}");
    }
}

#[test]
fn the_shortest_form_is_found() {
    simplified("", "sin(x)^2 + cos(x)^2", "1");
    simplified("", "a*sin(x)^2 + a*cos(x)^2 + b", "a + b");
    simplified("", "1 - cos(x)^2", "sin(x)^2");
    simplified("", "1 - sin(x)^2", "cos(x)^2");
    simplified("", "cosh(x)^2 - sinh(x)^2", "1");
    simplified("", "tan(x)*cos(x)", "sin(x)");
    simplified("", "(a*b + a*c)/(b + c)", "a");
    simplified("", "rho*Q*v2 - rho*Q*v1", "rho*Q*(v2 - v1)");
    simplified("", "x/(x + 1) + 1/(x + 1)", "1");
    simplified("", "sqrt((x + 1)^2 - 2*x - 1)", "abs(x)");
    simplified("", "exp(x)*exp(-x) + ln(exp(y))", "1 + y");
    simplified("", "sin((a^2 - b^2)/(a - b))", "sin(a + b)");
    simplified("x", "log10(x)*ln(10)", "ln(x)");
    simplified("x y", "ln(x*y) - ln(x)", "ln(y)");
}

#[test]
fn what_is_short_stays() {
    for text in [
        "(a + b)^2",
        "(a + b)*(c + d)",
        "sinh(x)",
        "tan(x)",
        "log10(x)",
        "a/b + c",
        "cos(2*x)",
    ] {
        simplified("", text, text);
    }
}
