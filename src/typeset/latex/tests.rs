//! What is written for TeX, of every kind of node and of every character.

use super::*;
use crate::typeset::tests::Sheet;
use crate::typeset::{derivative, equality, function as head, math, result, side};
use crate::worksheet::Body;

fn latex(node: &Node) -> String {
    let mut out = String::new();
    write(node, &mut out);
    assert_eq!(fault(&out), None, "in {out}");
    out
}

fn check(formula: &str, expected: &str) {
    let sheet = Sheet::derive(&format!("y = {formula}"));
    let Some(Body::Equation { members, .. }) = sheet.statements().next().map(|it| &it.body) else {
        panic!("no equation");
    };
    assert_eq!(latex(&math(&members[1], &sheet.context())), expected);
}

fn check_numbers(given: &str, formula: &str, expected: &str) {
    assert_eq!(latex(&Sheet::work(given, formula).substituted()), expected);
}

fn check_value(given: &str, expected: &str) {
    let sheet = Sheet::new(&format!("```given\n{given}\n```\n"));
    let Some(Body::Given { shown, .. }) = sheet.statements().next().map(|it| &it.body) else {
        panic!("no datum");
    };
    assert_eq!(latex(&result("=", shown)), expected);
}

fn text(text: &str) -> String {
    let mut out = String::new();
    escape(text, &mut out);
    assert_eq!(fault(&out), None, "in {out}");
    out
}

/// Commands that the writer may use, all of `amsmath`, `amssymb` or LaTeX itself.
const KNOWN: &str = "\
    frac sqrt left right lvert rvert vert lfloor rfloor lceil rceil lbrack rbrack text textit \
    mathrm boldsymbol operatorname dot bar hat vec begin end times div cdot pm mp le ge ne approx \
    equiv sim propto to gets leftrightarrow Rightarrow infty partial sum int surd angle parallel \
    perp in circ prime Delta Omega cos cosh exp ln log max min sin sinh tan tanh varGamma varDelta \
    varTheta varLambda varXi varPi varSigma varUpsilon varPhi varPsi varOmega alpha beta gamma \
    delta varepsilon epsilon zeta eta theta vartheta iota kappa lambda mu nu xi pi varpi rho \
    varrho varsigma sigma tau upsilon varphi phi chi psi omega textbackslash textasciitilde \
    textasciicircum textless textgreater textbar textmu textdegree enspace ensuremath \
    textsuperscript textsubscript therefore checkmark allowbreak";

/// What TeX would stumble over: an unknown command, a brace without its other, a character with a
/// meaning that was not escaped.
pub(super) fn fault(latex: &str) -> Option<String> {
    let mut depth = 0_usize;
    let mut aligned = 0_usize;
    let mut rest = latex;
    while let Some(character) = rest.chars().next() {
        rest = &rest[character.len_utf8()..];
        match character {
            '{' => depth += 1,
            '}' if depth == 0 => return Some("a brace too many".to_owned()),
            '}' => depth -= 1,
            '&' if aligned == 0 => return Some("a cell outside of a table".to_owned()),
            '$' | '%' | '#' => return Some(format!("a bare {character}")),
            '\\' => {
                let letters = rest.find(|it: char| !it.is_ascii_alphabetic());
                let (command, after) = rest.split_at(letters.unwrap_or(rest.len()));
                match command {
                    "begin" => aligned += 1,
                    "end" => aligned -= 1,
                    _ => {}
                }
                if command.is_empty() {
                    let sign = rest.chars().next().unwrap_or(' ');
                    if !"\\,{}$&#%_ ".contains(sign) {
                        return Some(format!("the command \\{sign}"));
                    }
                    rest = &rest[sign.len_utf8()..];
                } else if KNOWN.split(' ').any(|known| known == command) {
                    rest = after;
                } else {
                    return Some(format!("the command \\{command}"));
                }
            }
            _ => {}
        }
    }
    (depth > 0 || aligned > 0).then(|| "something is not closed".to_owned())
}

#[test]
fn names_have_their_letters_subscripts_and_accents() {
    check("rho V_1", "\\rho V_{1}");
    check("W_water_max", "W_{\\mathrm{water},\\mathrm{max}}");
    check("Re q_theta", "\\mathrm{Re}\\,q_{\\theta }");
    check("mdot xbar_1 yhat", "\\dot{m}\\bar{x}_{1}\\hat{y}");
    check("Delta_T_1 Omega", "\\Delta T_{1}\\,\\varOmega ");
    check("é_ü Größe", "\\textit{é}_{\\textit{ü}}\\,\\text{Größe}");
}

#[test]
fn fractions_powers_and_roots_take_groups() {
    check("pi D^2/4", "\\frac{\\pi D^{2}}{4}");
    check("V_1^2/(2 g)", "\\frac{V_{1}^{2}}{2g}");
    check("(a b)^(n + 1)", "{(ab)}^{n+1}");
    check("Delta_p^2", "{\\Delta p}^{2}");
    check("sqrt(a + b) cbrt(c)", "\\sqrt{a+b}\\,\\sqrt[3]{c}");
    check("log10(x)", "\\log _{10}(x)");
}

#[test]
fn fences_grow_around_what_is_tall() {
    check("c (a/b + 1)", "c\\,\\left(\\frac{a}{b}+1\\right)");
    check(
        "|x| + |a/b|",
        "\\lvert x\\rvert +\\left\\lvert \\frac{a}{b}\\right\\rvert ",
    );
    check("floor(x)", "\\lfloor x\\rfloor ");
    check("max(a, b)", "\\max (a,b)");
}

#[test]
fn functions_keep_their_own_distance() {
    check("a sin theta", "a\\sin \\theta ");
    check("sin(theta)^2 L", "\\sin ^{2}(\\theta )L");
    check("atan2(a, b)", "\\operatorname{atan2}(a,b)");
}

#[test]
fn signs_are_those_of_mathematics() {
    check("-a + b - 2*3 c", "-a+b-2\\times 3c");
    check(
        "cases(64/Re for Re <= 2300, f otherwise)",
        "\\begin{cases} \\frac{64}{\\mathrm{Re}} & \\text{for }\\mathrm{Re}\\le 2300 \
         \\\\ f & \\text{otherwise} \\end{cases}",
    );
}

#[test]
fn numbers_stand_with_upright_units() {
    let given = "Q = 0.850 m^3/s\nF = -3 kN\nn = 1.2e5\nT = 20 °C\nalpha = 35°";
    check_numbers(given, "2 Q", "2\\times 0.850\\,\\mathrm{m^{3}/s}");
    check_numbers(given, "2*F", "2\\times (-3\\,\\mathrm{kN})");
    check_numbers(given, "n^2", "{(1.2\\times 10^{5})}^{2}");
    check_numbers(given, "cos(alpha)", "\\cos (35\\mathrm{{^{\\circ}}})");
    check_value("x = 20 °C", "=20\\,\\mathrm{{^{\\circ}}C}");
    check_value("x = 5 µm", "=5\\,\\mathrm{\\text{\\textmu}m}");
    check_value("x = 2 kΩ", "=2\\,\\mathrm{k\\Omega }");
    check_value("x = 5 %", "=5\\,\\mathrm{\\%}");
    check_value("x = 3 m^(1/2)", "=3\\,\\mathrm{m^{1/2}}");
    check_value("x = 2 N·m", "=2\\,\\mathrm{N{\\cdot}m}");
}

#[test]
fn values_have_their_uncertainty_and_word() {
    check_value("x = 420 kPa gauge", "=420\\,\\mathrm{kPa}~\\text{gauge}");
    check_value("x = 50.02(4) mm", "=50.02(4)\\,\\mathrm{mm}");
    check_value(
        "x = (50.02 ± 0.04) mm (k=2)",
        "=(50.02\\pm 0.04)\\,\\mathrm{mm}\\ (k=2)",
    );
    check_value(
        "x_i = [1, -2.5] m",
        "=\\lbrack 1,\\ -2.5\\rbrack \\,\\mathrm{m}",
    );
    check_value("x = (1, -2.5) m", "=(1,\\ -2.5)\\,\\mathrm{m}");
}

#[test]
fn vectors_are_bold() {
    let sheet = Sheet::work("F_1 = (3, -4) kN\nG = (1, 2) kN", "dot(F_1, G)");
    let Some(Body::Work(work)) = sheet.statements().last().map(|it| &it.body) else {
        panic!("no line of work");
    };
    let set = latex(&math(&work.members[0], &sheet.context()));
    assert_eq!(set, "\\boldsymbol{F}_{1}\\cdot \\boldsymbol{G}");
}

#[test]
fn wide_halves_stand_in_rows() {
    let terms: Vec<String> = (1..20).map(|n| format!("a_{n} b_{n}")).collect();
    let sheet = Sheet::derive(&format!("y = ({})/c", terms.join(" + ")));
    let Some(Body::Equation { members, .. }) = sheet.statements().next().map(|it| &it.body) else {
        panic!("no equation");
    };
    let set = latex(&side("=", &members[1], &sheet.context()).0);
    assert!(
        set.starts_with("=\\frac{\\begin{aligned} & a_{1}b_{1}+"),
        "{set}"
    );
    assert!(set.contains(" \\\\ & +"), "{set}");
}

#[test]
fn definitions_derivatives_and_equalities_are_whole() {
    let sheet = Sheet::new("```given\nQ = 2 m\n```\n\n```derive\ng(x) = x^2\n```\n");
    let bodies: Vec<&Body> = sheet.statements().map(|it| &it.body).collect();
    let [
        Body::Given { symbol, shown, .. },
        Body::Function { function, body, .. },
    ] = bodies[..]
    else {
        panic!("{bodies:?}");
    };
    let context = sheet.context().in_function(*function);
    assert_eq!(latex(&head(*function, 1, &context).0), "g(x)");
    assert_eq!(
        latex(&derivative(body, *symbol, &context)),
        "\\frac{\\partial }{\\partial Q}(x^{2})"
    );
    assert_eq!(
        latex(&equality(body, shown, &context)),
        "x^{2}=2\\,\\mathrm{m}"
    );
}

#[test]
fn text_has_nothing_that_tex_would_read() {
    assert_eq!(
        text("100 % of $5 & #1_a {b} ~^\\"),
        "100 \\% of \\$5 \\& \\#1\\_a \\{b\\} \\textasciitilde{}\\textasciicircum{}\\textbackslash{}"
    );
    assert_eq!(text("a -- b ?` ''"), "a -{}- b ?{}` '{}'");
    assert_eq!(text("[1]*"), "{[}1{]}{*}");
    assert_eq!(text("a\n\nb\tc\0"), "a  b c?");
    assert_eq!(
        text("ρ ≥ 3\u{a0}m²"),
        "\\ensuremath{\\rho} \\ensuremath{\\ge} 3~m\\textsuperscript{2}"
    );
    assert_eq!(
        text("<b>|x|"),
        "\\textless{}b\\textgreater{}\\textbar{}x\\textbar{}"
    );
}

#[test]
fn no_character_is_left_with_a_meaning() {
    for code in (0..0x3000).chain([0x1d468, 0x1f600, 0xfffd, 0x10ffff]) {
        let Some(character) = char::from_u32(code) else {
            continue;
        };
        let of = character.to_string();
        text(&of);
        for node in [
            Node::Letter(character),
            Node::Unit(of.as_str().into()),
            Node::Text(of.as_str().into()),
            Node::Number(Number {
                negative: false,
                mantissa: of.as_str().into(),
                exponent: None,
                factor: None,
            }),
        ] {
            latex(&node);
        }
    }
}
