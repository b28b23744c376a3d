//! Equations solved for one symbol.

use std::collections::BTreeSet;

use rustc_hash::FxHashMap;

use super::isolate_cases::{CASES, Domain, names, references};
use super::node::{Id, Symbol};
use super::sign::Sign;
use super::solution::{Branch, Stuck, Wanted};
use super::text::Named;
use super::{Point, Requirement};

/// The equation solved; `text` is `unknown: left = right`.
struct Solved {
    named: Named,
    sides: (Id, Id),
    unknown: Symbol,
    result: Result<Vec<Branch>, Stuck>,
}

fn solve(positive: &[&str], text: &str, wanted: &Wanted) -> Solved {
    let (unknown, equation) = text.split_once(':').unwrap();
    let mut named = Named::new(positive);
    let sides = named.equation(equation);
    let unknown = named.symbol(unknown.trim());
    let result = named.algebra.isolate(sides.0, sides.1, unknown, wanted);
    Solved {
        named,
        sides,
        unknown,
        result,
    }
}

/// Values for all symbols of the equation but the unknown: `at` selects one of many points.
pub(super) fn point(named: &mut Named, text: &str, at: u32, domain: Domain) -> Point {
    let mut values = FxHashMap::default();
    for (index, name) in names(text).iter().enumerate() {
        let (low, high) = domain
            .iter()
            .find(|(known, ..)| known == name)
            .map_or((0.3, 1.7), |(_, low, high)| (*low, *high));
        let share = (f64::from(at) * 0.618_034 + index as f64 * 0.414_213).fract();
        values.insert(named.symbol(name), low + share * (high - low));
    }
    Point::new(values)
}

/// The branches that do not satisfy the equation wherever they have a value and meet their
/// requirements.
fn not_satisfied(solved: &mut Solved, text: &str, domain: Domain) -> Vec<String> {
    let mut problems = Vec::new();
    let Ok(branches) = solved.result.clone() else {
        return vec![format!("{text}: {:?}", solved.result)];
    };
    let mut is_possible = domain.is_empty();
    for branch in branches {
        assert!(
            !solved.named.algebra.contains(branch.value, solved.unknown),
            "{text}"
        );
        let mut satisfied = 0;
        for at in 0..40 {
            let mut point = point(&mut solved.named, text, at, domain);
            let algebra = &solved.named.algebra;
            let value = point.value(algebra, branch.value);
            let holds = branch.requires.iter().all(|requirement| {
                let mut number = |id: Id| point.value(algebra, id);
                match *requirement {
                    Requirement::NotZero(id) => number(id) != 0.0,
                    Requirement::NotNegative(id) => number(id) >= 0.0,
                    Requirement::Positive(id) => number(id) > 0.0,
                    Requirement::Inside { value, low, high } => {
                        (number(low)..=number(high)).contains(&number(value))
                    }
                }
            });
            // What is a solution for special data need not be one here.
            if !value.is_finite() || !holds || branch.is_aside {
                continue;
            }
            let shown = solved.named.show(branch.value);
            if !algebra.is_satisfied(&mut point, solved.sides, solved.unknown, value) {
                problems.push(format!("{text}: {shown} does not satisfy it at {at}"));
                break;
            }
            for step in &branch.steps {
                let sides = (step.left, step.right);
                let is_free = !algebra.contains(step.left, solved.unknown)
                    && !algebra.contains(step.right, solved.unknown);
                if is_free || !algebra.is_satisfied(&mut point, sides, solved.unknown, value) {
                    let (left, right) =
                        (solved.named.show(step.left), solved.named.show(step.right));
                    problems.push(format!(
                        "{text}: {shown} does not satisfy {left} = {right} ({:?})",
                        step.what
                    ));
                }
            }
            if !problems.is_empty() {
                break;
            }
            satisfied += 1;
        }
        is_possible |= satisfied > 0;
    }
    if !is_possible {
        problems.push(format!("{text}: no branch has a value"));
    }
    problems
}

/// Whether one branch has the value of `expected`.
fn not_found(solved: &mut Solved, text: &str, expected: &str, domain: Domain) -> Option<String> {
    let wanted = solved.named.read(expected);
    let branches = solved.result.clone().unwrap_or_default();
    let found = branches.iter().any(|branch| {
        let mut compared = 0;
        for at in 0..40 {
            let mut point = point(&mut solved.named, text, at, domain);
            let algebra = &solved.named.algebra;
            let (value, due) = (
                point.value(algebra, branch.value),
                point.value(algebra, wanted),
            );
            if !due.is_finite() {
                continue;
            }
            if !value.is_finite() || (value - due).abs() > 1e-8 * (1.0 + due.abs()) {
                return false;
            }
            compared += 1;
        }
        compared > 0
    });
    let shown: Vec<String> = branches
        .iter()
        .map(|one| solved.named.show(one.value))
        .collect();
    (!found).then(|| format!("{text}: {expected} is not among {shown:?}"))
}

/// The equation is solved with and without knowing that its symbols, but for the unknown, are
/// positive, and each time the expected values are found.
fn check(text: &str, expected: &[&str], domain: Domain) -> Vec<String> {
    let mut problems = Vec::new();
    let all = names(text);
    let is_positive = |name: &&str| {
        !text.starts_with(&format!("{name}:"))
            && domain
                .iter()
                .all(|(known, low, _)| known != name || *low > 0.0)
    };
    let positive: Vec<&str> = all.iter().map(String::as_str).filter(is_positive).collect();
    for positive in [&[][..], &positive] {
        let mut solved = solve(positive, text, &Wanted::default());
        problems.extend(not_satisfied(&mut solved, text, domain));
        for expected in expected {
            problems.extend(not_found(&mut solved, text, expected, domain));
        }
    }
    problems
}

/// What is wrong when the equation is not stuck in the expected way.
fn not_stuck(positive: &[&str], text: &str, expected: Stuck) -> Option<String> {
    let solved = solve(positive, text, &Wanted::default());
    let shown: Option<Vec<String>> = solved
        .result
        .as_ref()
        .ok()
        .map(|all| all.iter().map(|one| solved.named.show(one.value)).collect());
    let given = solved.result.err();
    (given != Some(expected)).then(|| format!("{text}: {given:?} {shown:?}"))
}

#[test]
fn reference_rearrangements_are_found() {
    let mut problems = Vec::new();
    for case in references("rearrange") {
        let text = format!("{}: {}", case.unknowns[0], case.equations[0]);
        let expected: Vec<&str> = case
            .expected
            .iter()
            .map(|(_, value)| value.as_str())
            .collect();
        let domain: Vec<(&str, f64, f64)> = case
            .domain
            .iter()
            .map(|(name, low, high)| (name.as_str(), *low, *high))
            .collect();
        problems.extend(check(&text, &expected, &domain));
    }
    assert!(problems.is_empty(), "{}", problems.join("\n"));
}

#[test]
fn the_form_of_the_author_is_kept() {
    for (text, expected) in [
        (
            "R: R + p_1*A_1*c - p_2*A_2 = mdot*(V_2 - V_1*c)",
            "mdot*(V_2 - V_1*c) - p_1*A_1*c + p_2*A_2",
        ),
        ("T_1: Q = m*c*(T_2 - T_1)", "T_2 - Q/(m*c)"),
        ("v: 1/f = 1/u + 1/v", "f*u/(u - f)"),
        ("R1: R = R1*R2/(R1 + R2)", "R*R2/(R2 - R)"),
        ("x: a*x + b = c*x + d", "(d - b)/(a - c)"),
        ("t: y = A*exp(-k*t)", "ln(A/y)/k"),
        ("P: L = 10*log10(P/P_0)", "P_0*10^(L/10)"),
        ("V_2: p_1*V_1^k = p_2*V_2^k", "(p_1*V_1^k/p_2)^(1/k)"),
        ("a: m*a = F - m*g", "F/m - g"),
        (
            "y_2: y_2^2 + y_1*y_2 - 2*q^2/(g*y_1) = 0",
            "-y_1/2 + sqrt(y_1^2/4 + 2*q^2/(g*y_1))",
        ),
    ] {
        let mut solved = solve(&[], text, &Wanted::default());
        let value = solved
            .result
            .as_ref()
            .unwrap_or_else(|stuck| panic!("{text} {stuck:?}"))[0]
            .value;
        let expected = solved.named.read(expected);
        assert_eq!(
            solved.named.show(value),
            solved.named.show(expected),
            "{text}"
        );
    }
}

#[test]
fn formulas_of_engineering_are_rearranged() {
    let problems: Vec<String> = CASES
        .iter()
        .flat_map(|(text, expected, domain)| check(text, expected, domain))
        .collect();
    assert!(problems.is_empty(), "{}", problems.join("\n"));
}

#[test]
fn what_has_no_closed_form_is_told() {
    let texts = [
        "x: x*exp(x) = a",
        "x: x + sin(x) = a",
        "x: x = cos(x)",
        "M: E - e*sin(E)*M = M + sin(M)",
        "x: x^5 - x + a = 0",
        "x: x^3 + a*x^2 + b = 0",
        "x: x^x = a",
        "f: 1/sqrt(f) = -2*log10(e/3.7 + 2.51/(R*sqrt(f)))",
        "a: y = a*cosh(x/a)",
        "x: exp(x) + exp(a*x) = b",
        "x: x^n + x = b",
        "x: ln(x) + x = b",
        "x: floor(x) = a",
        "x: max(x, a) = b",
        "x: sin(x) + cos(a*x) = b",
    ];
    let problems: Vec<String> = texts
        .iter()
        .filter_map(|text| not_stuck(&[], text, Stuck::NotSolvable))
        .collect();
    assert!(problems.is_empty(), "{}", problems.join("\n"));
}

#[test]
fn what_holds_always_or_never_is_told() {
    let cases: &[(&[&str], &str, Stuck)] = &[
        (&[], "x: a + b = c", Stuck::NotThere),
        (&[], "x: x + a = x + b", Stuck::NotThere),
        (&[], "x: x/x = 1", Stuck::NotThere),
        (&[], "x: x + a = a + x", Stuck::Identity),
        (&[], "x: (x + a)^2 = x^2 + 2*a*x + a^2", Stuck::Identity),
        (&[], "x: (x^2 - a^2)/(x - a) = x + a", Stuck::Identity),
        (&[], "x: x + 1 = x + 2", Stuck::Never),
        (&["a"], "x: x = x + a", Stuck::Never),
        (&[], "x: sqrt(x) = -1", Stuck::Never),
        (&[], "x: exp(x) = -1", Stuck::Never),
        (&[], "x: sin(x) = 2", Stuck::Never),
        (&[], "x: x^2 + 1 = 0", Stuck::Never),
        (&["a"], "x: x^2 + a = 0", Stuck::Never),
        (&[], "x: 1/x = 0", Stuck::Never),
        (&[], "x: abs(x) = -3", Stuck::Never),
        (&["a", "b"], "x: sqrt(x) + sqrt(x + a) = -b", Stuck::Never),
        (&[], "x: (x^2 - 1)/(x - 1) = 2", Stuck::Never),
        (&["x", "a"], "x: x = -a", Stuck::NoBranch),
        (&[], "x: cosh(x) = 1/2", Stuck::Never),
    ];
    let problems: Vec<String> = cases
        .iter()
        .filter_map(|(positive, text, expected)| not_stuck(positive, text, *expected))
        .collect();
    assert!(problems.is_empty(), "{}", problems.join("\n"));
}

#[test]
fn conditions_choose_between_branches() {
    let values = |positive: &[&str], text: &str, wanted: &Wanted| {
        let solved = solve(positive, text, wanted);
        let mut branches = solved.result.unwrap();
        branches.retain(|branch| !branch.is_aside);
        (branches.len(), branches[0].taken)
    };
    let any = Wanted::default();
    let positive = Wanted {
        sign: Some(Sign::POSITIVE),
        ..Wanted::default()
    };
    assert_eq!(values(&[], "x: x^2 = a", &any).0, 2);
    assert_eq!(values(&["x"], "x: x^2 = a", &any).0, 1);
    assert_eq!(values(&["a"], "x: x^2 = a", &positive).0, 1);
    let (count, taken) = values(&["K", "c"], "x: K = x^2/(c - x)", &positive);
    assert_eq!((count, taken.is_some()), (1, true));
    assert_eq!(values(&["K", "c"], "x: K = x^2/(c - x)", &any).0, 2);
    assert_eq!(values(&[], "q: sin(q) = a", &any).0, 2);
    let acute = Wanted::between(0.0, 1.5);
    assert_eq!(values(&["a"], "q: sin(q) = a", &acute).0, 1);
    assert_eq!(
        values(&[], "C: cos(C) = a", &Wanted::between(0.0, 3.2)).0,
        1
    );
    assert_eq!(
        values(&[], "x: x^2 - 5*x + 6 = 0", &Wanted::between(0.0, 2.5)).0,
        1
    );
    assert_eq!(values(&["b"], "x: x^2 - 2*b*x + c = 0", &positive).0, 2);
}

#[test]
fn a_further_turn_is_taken_where_the_range_asks_for_it() {
    let pi = std::f64::consts::PI;
    let obtuse = Wanted::between(pi / 2.0, pi);
    for (positive, text, wanted, expected) in [
        (
            &["mu"][..],
            "q: tan(q) = -mu",
            Wanted::between(0.0, pi),
            "pi - atan(mu)",
        ),
        (&["a"], "q: sin(q) = a", obtuse, "pi - asin(a)"),
        (
            &["a"],
            "q: sin(q) = -a",
            Wanted::between(pi, 1.5 * pi),
            "pi + asin(a)",
        ),
        (
            &["a"],
            "q: cos(q) = a",
            Wanted::between(1.5 * pi, 2.0 * pi),
            "2*pi - acos(a)",
        ),
    ] {
        let mut solved = solve(positive, text, &wanted);
        let branches = solved.result.clone().unwrap();
        let expected = solved.named.read(expected);
        let values: Vec<Id> = branches.iter().map(|branch| branch.value).collect();
        assert_eq!(values, [expected], "{text}");
    }
}

#[test]
fn what_was_divided_by_is_required() {
    let mut solved = solve(&["m"], "a: m*c*a = F", &Wanted::default());
    let branch = solved.result.unwrap().remove(0);
    let c = solved.named.read("c");
    assert_eq!(branch.requires, [Requirement::NotZero(c)]);
    let m = solved.named.symbol("m");
    assert_eq!(branch.leaned, BTreeSet::from([m]));
    let mut solved = solve(&[], "x: x^2 = a", &Wanted::default());
    let branch = solved.result.unwrap().remove(0);
    let a = solved.named.read("a");
    assert_eq!(branch.requires, [Requirement::NotNegative(a)]);
}

#[test]
fn steps_lead_from_the_equation_to_the_value() {
    let mut solved = solve(&[], "T1: Q = m*c*(T2 - T1)", &Wanted::default());
    let branch = solved.result.clone().unwrap().remove(0);
    let shown: Vec<String> = branch
        .steps
        .iter()
        .map(|step| {
            format!(
                "{} = {}",
                solved.named.show(step.left),
                solved.named.show(step.right)
            )
        })
        .collect();
    let last = solved.named.read("T2 - Q/(m*c)");
    assert_eq!(branch.steps.last().unwrap().right, last, "{shown:?}");
    assert!(shown.len() >= 3, "{shown:?}");
}

#[test]
fn squares_are_taken_out_of_the_discriminant() {
    let known = ["q", "g", "y1", "Y"];
    let text = "Y: q^2/(2*g*Y^2) + Y = q^2/(2*g*y1^2) + y1";
    let solved = solve(&known, text, &Wanted::default());
    let shown: Vec<String> = solved
        .result
        .iter()
        .flatten()
        .map(|branch| solved.named.show(branch.value))
        .collect();
    // The flow on the other side of the jump, and the depth that was put in.
    assert_eq!(shown.len(), 2, "{shown:?}");
    assert!(!shown[1].contains("q^(4)"), "{shown:?}");
}
