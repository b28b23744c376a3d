//! Steps of derivations: true ones are proved, and no step with a mistake in it is.

use rustc_hash::FxHashMap;

use super::follow::Following;
use super::mutate::mutate;
use super::node::{Id, Symbol};
use super::sample::{Samples, Symbols};
use super::text::Named;
use super::{Algebra, Point};

/// A true step: symbols that are known to be positive, what stands above, what follows, and a way
/// to compute the dependent symbols, so that the premises hold at any point.
struct Step {
    positive: &'static [&'static str],
    premises: &'static [&'static str],
    claim: &'static str,
    /// `name = formula of free symbols`, in order.
    model: &'static [&'static str],
}

const fn step(
    positive: &'static [&'static str],
    premises: &'static [&'static str],
    claim: &'static str,
    model: &'static [&'static str],
) -> Step {
    Step {
        positive,
        premises,
        claim,
        model,
    }
}

/// Steps that a teacher writes, from many fields; all of them our own.
const STEPS: &[Step] = &[
    step(&[], &["F = m*a"], "a = F/m", &["F = m*a"]),
    step(
        &[],
        &["R + p1*A1*cos(q) - p2*A2 = w*(V2 - V1*cos(q))"],
        "R = w*(V2 - V1*cos(q)) - p1*A1*cos(q) + p2*A2",
        &["R = w*(V2 - V1*cos(q)) - p1*A1*cos(q) + p2*A2"],
    ),
    step(
        &[],
        &["R + p1*A1 - p2*A2 = w*(V2 - V1)", "p2 = 0"],
        "R = w*(V2 - V1) - p1*A1",
        &["p2 = 0", "R = w*(V2 - V1) - p1*A1"],
    ),
    step(
        &["V", "g", "h"],
        &["V^2/2 = g*h"],
        "V = sqrt(2*g*h)",
        &["V = sqrt(2*g*h)"],
    ),
    step(
        &["D", "V", "Q"],
        &["Q = V*A", "A = pi*D^2/4"],
        "V = 4*Q/(pi*D^2)",
        &["A = pi*D^2/4", "Q = V*A"],
    ),
    step(
        &["D", "g", "f", "L", "Q"],
        &["h = f*L*V^2/(2*g*D)", "V = 4*Q/(pi*D^2)"],
        "h = 8*f*L*Q^2/(pi^2*g*D^5)",
        &["V = 4*Q/(pi*D^2)", "h = f*L*V^2/(2*g*D)"],
    ),
    step(
        &[],
        &["y1 + V1^2/(2*g) = y2 + V2^2/(2*g)", "V1*y1 = V2*y2"],
        "V1^2*(1 - y1^2/y2^2) = 2*g*(y2 - y1)",
        &["V2 = V1*y1/y2", "g = (V2^2 - V1^2)/(2*(y1 - y2))"],
    ),
    step(
        &["y1", "y2"],
        &["g*(y1^2 - y2^2)/2 = q*(V2 - V1)", "V1 = q/y1", "V2 = q/y2"],
        "g*(y1^2 - y2^2)/2 = q^2*(1/y2 - 1/y1)",
        &["V1 = q/y1", "V2 = q/y2", "g = 2*q*(V2 - V1)/(y1^2 - y2^2)"],
    ),
    step(
        &[],
        &["T1 - m1*g = m1*a", "m2*g - T1 = m2*a"],
        "a = g*(m2 - m1)/(m1 + m2)",
        &["a = g*(m2 - m1)/(m1 + m2)", "T1 = m1*(a + g)"],
    ),
    step(
        &[],
        &["R_A + R_B = P", "R_B*L = P*x"],
        "R_A = P*(1 - x/L)",
        &["R_B = P*x/L", "R_A = P - R_B"],
    ),
    step(
        &[],
        &["S1*cos(a) + S2*cos(b) = H", "S1*sin(a) + S2*sin(b) = W"],
        "S1*sin(b - a) = H*sin(b) - W*cos(b)",
        &["H = S1*cos(a) + S2*cos(b)", "W = S1*sin(a) + S2*sin(b)"],
    ),
    step(
        &["p1", "p2", "V1", "V2", "T1", "T2"],
        &["p1*V1/T1 = p2*V2/T2"],
        "T2 = T1*p2*V2/(p1*V1)",
        &["T2 = T1*p2*V2/(p1*V1)"],
    ),
    step(
        &["p1", "p2", "V1", "V2", "k", "T1", "T2"],
        &["p1*V1^k = p2*V2^k"],
        "p2 = p1*(V1/V2)^k",
        &["p2 = p1*(V1/V2)^k"],
    ),
    step(
        &["p1", "p2", "T1", "T2", "k"],
        &["T2/T1 = (p2/p1)^((k - 1)/k)"],
        "T2 = T1*(p1/p2)^((1 - k)/k)",
        &["T2 = T1*(p2/p1)^((k - 1)/k)"],
    ),
    step(
        &["t", "tau", "U"],
        &["u = U*(1 - exp(-t/tau))"],
        "1 - u/U = exp(-t/tau)",
        &["u = U*(1 - exp(-t/tau))"],
    ),
    step(
        &["x1", "x2", "y1", "y2"],
        &["r = ln(x1/y1) - ln(x2/y2)"],
        "r = ln(x1*y2/(x2*y1))",
        &["r = ln(x1/y1) - ln(x2/y2)"],
    ),
    step(
        &["R1", "R2"],
        &["1/R = 1/R1 + 1/R2"],
        "R = R1*R2/(R1 + R2)",
        &["R = 1/(1/R1 + 1/R2)"],
    ),
    step(
        &["I", "R"],
        &["U = R*I", "P = U*I"],
        "P = R*I^2",
        &["U = R*I", "P = U*I"],
    ),
    step(
        &[],
        &["M = F*a*b/L", "a = L/2", "b = L - a"],
        "M = F*L/4",
        &["a = L/2", "b = L - a", "M = F*a*b/L"],
    ),
    step(
        &["b", "h"],
        &["s = M*h/(2*I)", "I = b*h^3/12"],
        "s = 6*M/(b*h^2)",
        &["I = b*h^3/12", "s = M*h/(2*I)"],
    ),
    step(
        &["L", "g", "T"],
        &["w^2 = g/L", "T = 2*pi/w"],
        "T^2 = 4*pi^2*L/g",
        &["w = sqrt(g/L)", "T = 2*pi/w"],
    ),
    step(
        &[],
        &["x = v*t*cos(q)", "y = v*t*sin(q) - g*t^2/2"],
        "y = x*tan(q) - g*x^2/(2*v^2*cos(q)^2)",
        &["x = v*t*cos(q)", "y = v*t*sin(q) - g*t^2/2"],
    ),
    step(
        &["g", "v"],
        &[
            "y = v*t*sin(q) - g*t^2/2",
            "t = 2*v*sin(q)/g",
            "x = v*t*cos(q)",
        ],
        "x = v^2*sin(2*q)/g",
        &["t = 2*v*sin(q)/g", "y = 0", "x = v*t*cos(q)"],
    ),
    step(
        &["m", "k"],
        &["k*x^2/2 = m*v^2/2"],
        "x^2 = m*v^2/k",
        &["x = v*sqrt(m/k)"],
    ),
    step(
        &[],
        &["m*v1 = m*u1 + M*u2", "v1 = u2 - u1"],
        "u1 = v1*(m - M)/(m + M)",
        &["u1 = v1*(m - M)/(m + M)", "u2 = v1 + u1"],
    ),
    step(
        &["h", "k", "d"],
        &["q = (T1 - Ts)*h", "q = k*(Ts - T2)/d"],
        "q = (T1 - T2)/(1/h + d/k)",
        &["q = (T1 - T2)/(1/h + d/k)", "Ts = T1 - q/h"],
    ),
    step(
        &[],
        &["W = N*cos(q) + f*sin(q)", "f = u*N"],
        "W = N*(cos(q) + u*sin(q))",
        &["f = u*N", "W = N*cos(q) + f*sin(q)"],
    ),
    step(
        &[],
        &["N = W*cos(q)", "f = W*sin(q)", "f = u*N"],
        "u*cos(q) = sin(q)",
        &["u = tan(q)", "N = W*cos(q)", "f = W*sin(q)"],
    ),
    step(
        &["A1", "A2", "r"],
        &["p1 + r*V1^2/2 = p2 + r*V2^2/2", "A1*V1 = A2*V2"],
        "p1 - p2 = r*V1^2/2*((A1/A2)^2 - 1)",
        &["V2 = A1*V1/A2", "p2 = p1 + r*V1^2/2 - r*V2^2/2"],
    ),
    step(
        &[],
        &["n1*sin(a) = n2*sin(b)", "a = pi/2"],
        "n1 = n2*sin(b)",
        &["a = pi/2", "n1 = n2*sin(b)"],
    ),
    step(
        &["a", "b", "c"],
        &["c^2 = a^2 + b^2 - 2*a*b*cos(q)"],
        "cos(q) = (a^2 + b^2 - c^2)/(2*a*b)",
        &["c = sqrt(a^2 + b^2 - 2*a*b*cos(q))"],
    ),
    step(
        &["f", "u", "v"],
        &["1/f = 1/u + 1/v", "m = v/u"],
        "m = f/(u - f)",
        &["v = u*f/(u - f)", "m = v/u"],
    ),
    step(
        &[],
        &["F = r*Q*(V2 - V1)", "V2 = V1*cos(q)"],
        "F = -r*Q*V1*(1 - cos(q))",
        &["V2 = V1*cos(q)", "F = r*Q*(V2 - V1)"],
    ),
    step(
        &[],
        &["F = r*Q*V*(1 - cos(q))"],
        "F = 2*r*Q*V*sin(q/2)^2",
        &["F = r*Q*V*(1 - cos(q))"],
    ),
    step(
        &["E", "I", "L"],
        &["d1 = F*L^3/(3*E*I)", "d2 = q*L^4/(8*E*I)", "d = d1 + d2"],
        "d = L^3*(8*F + 3*q*L)/(24*E*I)",
        &["d1 = F*L^3/(3*E*I)", "d2 = q*L^4/(8*E*I)", "d = d1 + d2"],
    ),
    step(
        &["h", "b", "n"],
        &["R = b*h/(b + 2*h)", "V = R^(2/3)*sqrt(S)/n", "Q = b*h*V"],
        "Q = b*h*(b*h/(b + 2*h))^(2/3)*sqrt(S)/n",
        &["R = b*h/(b + 2*h)", "V = R^(2/3)*sqrt(S)/n", "Q = b*h*V"],
    ),
    step(
        &["c", "K"],
        &["K = x^2/(c - x)"],
        "x^2 + K*x - K*c = 0",
        &["c = x + x^2/K"],
    ),
    step(
        &["p", "p0"],
        &["L = 20*ln(p/p0)/ln(10)", "p = 2*p0"],
        "L = 20*ln(2)/ln(10)",
        &["p = 2*p0", "L = 20*ln(p/p0)/ln(10)"],
    ),
    step(
        &["m", "r", "v"],
        &["F = m*v^2/r", "v = w*r"],
        "F = m*w^2*r",
        &["w = v/r", "F = m*v^2/r"],
    ),
    step(
        &["D", "d"],
        &["I = pi*(D^4 - d^4)/64"],
        "I = pi*(D^2 + d^2)*(D - d)*(D + d)/64",
        &["I = pi*(D^4 - d^4)/64"],
    ),
];

/// A step read in: claim, premises and model.
struct Read {
    named: Named,
    claim: (Id, Id),
    premises: Vec<(Id, Id)>,
    model: Vec<(Symbol, Id)>,
}

fn read(step: &Step) -> Read {
    let mut named = Named::new(step.positive);
    let premises = step
        .premises
        .iter()
        .map(|premise| named.equation(premise))
        .collect();
    let claim = named.equation(step.claim);
    let model = step
        .model
        .iter()
        .map(|line| {
            let (name, formula) = line.split_once('=').unwrap();
            (named.symbol(name.trim()), named.read(formula))
        })
        .collect();
    Read {
        named,
        claim,
        premises,
        model,
    }
}

/// Whether an equation fails at a point at which the premises hold.
fn fails(algebra: &Algebra, read: &Read, (left, right): (Id, Id)) -> bool {
    let mut ids = vec![left, right];
    ids.extend(read.model.iter().map(|(_, formula)| *formula));
    let samples = Samples::default();
    (0..24).any(|at| {
        let mut point = Point::new(samples.point(algebra, &Symbols::of(algebra, &ids), at));
        for (symbol, formula) in &read.model {
            let value = point.value(algebra, *formula);
            point.set(*symbol, value);
        }
        let holds = read.premises.iter().all(|(left, right)| {
            let (left, right) = (point.value(algebra, *left), point.value(algebra, *right));
            (left - right).abs() <= 1e-9 * left.abs().max(right.abs())
        });
        let (left, right) = (point.value(algebra, left), point.value(algebra, right));
        // The samples are of the order of 1, so that what is left of terms that cancel is not
        // more than this.
        let apart = (left - right).abs() > 1e-6 * left.abs().max(right.abs()) + 1e-9;
        holds && left.is_finite() && right.is_finite() && apart
    })
}

#[test]
fn true_steps_are_proved() {
    let mut missed = Vec::new();
    for step in STEPS {
        let mut read = read(step);
        assert!(
            !fails(&read.named.algebra, &read, read.claim),
            "{} is not true",
            step.claim
        );
        let found = read
            .named
            .algebra
            .follows(read.claim, &read.premises, &Samples::default());
        assert!(
            !matches!(found, Following::Refuted(_)),
            "{} refuted: {found:?}",
            step.claim
        );
        if !matches!(found, Following::Proved { .. }) {
            missed.push(step.claim);
        }
    }
    assert!(
        missed.len() * 20 <= STEPS.len(),
        "of {} steps not proved: {missed:#?}",
        STEPS.len()
    );
}

#[test]
fn no_step_with_a_mistake_is_proved() {
    let each = 10_000 / STEPS.len() as u64 + 1;
    let (mut wrong, mut refuted) = (0, 0);
    for step in STEPS {
        for seed in 0..each {
            let mut read = read(step);
            let (left, right) = read.claim;
            let changed = if seed % 4 == 0 {
                (mutate(&mut read.named.algebra, left, seed), right)
            } else {
                (left, mutate(&mut read.named.algebra, right, seed))
            };
            if !fails(&read.named.algebra, &read, changed) {
                continue;
            }
            wrong += 1;
            let found = (read.named.algebra).follows(changed, &read.premises, &Samples::default());
            assert!(
                !matches!(found, Following::Proved { .. }),
                "{} as {} = {}",
                step.claim,
                read.named.show(changed.0),
                read.named.show(changed.1)
            );
            refuted += u32::from(matches!(found, Following::Refuted(_)));
        }
    }
    assert!(wrong > 6_000, "{wrong} wrong steps");
    // Most mistakes are also shown by numbers; the others are left undecided.
    assert!(refuted * 100 > wrong * 95, "{refuted} of {wrong} refuted");
}

#[test]
fn the_fewest_premises_are_named() {
    let mut named = Named::new(&["g"]);
    let premises: Vec<(Id, Id)> = ["A = pi*D^2/4", "F = m*a", "m = r*V", "x = y + 1"]
        .iter()
        .map(|text| named.equation(text))
        .collect();
    let claim = named.equation("F = r*V*a");
    let found = named.algebra.follows(claim, &premises, &Samples::default());
    assert_eq!(
        found,
        Following::Proved {
            used: vec![1, 2],
            not_zero: Vec::new()
        }
    );
    let identity = named.equation("sin(x)^2 + cos(x)^2 = 1");
    let found = named
        .algebra
        .follows(identity, &premises, &Samples::default());
    assert_eq!(
        found,
        Following::Proved {
            used: Vec::new(),
            not_zero: Vec::new()
        }
    );
}

#[test]
fn a_counterexample_satisfies_the_premises() {
    let mut named = Named::new(&["g", "h"]);
    let premises = vec![named.equation("V^2/2 = g*h")];
    let claim = named.equation("V = g*h");
    let symbols = [named.symbol("V"), named.symbol("g"), named.symbol("h")];
    let Following::Refuted(point) = named.algebra.follows(claim, &premises, &Samples::default())
    else {
        panic!("not refuted");
    };
    let values: FxHashMap<Symbol, f64> = point.values.into_iter().collect();
    let [v, g, h] = symbols.map(|symbol| values[&symbol]);
    assert!((v * v / 2.0 - g * h).abs() < 1e-9 * v * v);
    assert!((v - g * h).abs() > 1e-6 * v.abs());
}

#[test]
fn contradictory_premises_prove_nothing_by_chance() {
    let mut named = Named::new(&[]);
    let premises = vec![named.equation("x = 1"), named.equation("x = 2")];
    let claim = named.equation("y = 3");
    let found = named.algebra.follows(claim, &premises, &Samples::default());
    assert!(!matches!(found, Following::Proved { .. }), "{found:?}");
}

#[test]
fn what_is_divided_by_is_told() {
    let mut named = Named::new(&[]);
    let premises = vec![named.equation("a*x = b*x")];
    let claim = named.equation("a = b");
    let x = named.read("x");
    let found = named.algebra.follows(claim, &premises, &Samples::default());
    assert_eq!(
        found,
        Following::Proved {
            used: vec![0],
            not_zero: vec![x]
        }
    );
    // A claim that divides by it itself says so already.
    let premises = vec![named.equation("F = m*q")];
    let claim = named.equation("q = F/m");
    let found = named.algebra.follows(claim, &premises, &Samples::default());
    assert_eq!(
        found,
        Following::Proved {
            used: vec![0],
            not_zero: Vec::new()
        }
    );
}

/// Shared factors, each with the values of its symbols at which it is zero.
const FACTORS: &[(&str, &[(&str, f64)])] = &[
    ("t", &[("t", 0.0)]),
    ("t^2", &[("t", 0.0)]),
    ("(t - s)", &[("t", 0.7), ("s", 0.7)]),
    ("(t^2 - s^2)", &[("t", 0.7), ("s", -0.7)]),
    ("(t + 2*s)", &[("t", 1.4), ("s", -0.7)]),
    ("t*(s + 1)", &[("t", 1.3), ("s", -1.0)]),
    ("sin(t)", &[("t", 0.0)]),
    ("cos(t)", &[("t", std::f64::consts::FRAC_PI_2)]),
    ("ln(t)", &[("t", 1.0)]),
    ("(exp(t) - 1)", &[("t", 0.0)]),
    ("sqrt(t)", &[("t", 0.0)]),
    ("(2*t - 1)", &[("t", 0.5)]),
];

/// Other factors of a product.
const OTHERS: &[&str] = &[
    "a",
    "b",
    "(a + b)",
    "a*b",
    "a^2",
    "(a - 2*c)",
    "sin(a)",
    "exp(b)",
    "c/b",
    "(1 + a)",
    "sqrt(c)",
    "3*c",
];

/// Lines in which a factor `f` is shared by products, by `left` and `right` of them, and what
/// follows only where it is not zero. The names `u`, `v`, `w` are free, or zero with it.
const SHARED: &[(&[&str], &str)] = &[
    (&["f*{l} = f*{r}"], "{l} = {r}"),
    (&["f*{l} = u", "u = f*{r}"], "{l} = {r}"),
    (&["f*{l} = u", "v = f*{r}", "u = v"], "{l} = {r}"),
    (&["u = f*{l}", "u - f*{r} = 0"], "{l} - {r} = 0"),
    (&["f*{l} - f*{r} = u", "u = 0"], "{l} = {r}"),
    (&["u = f*{l}", "v = f*{r}", "2*u = 2*v"], "{l} = {r}"),
    (&["f*u = f*{l}", "v = u", "w = v + {r}"], "w = {l} + {r}"),
    (&["f*{l} = u*{r}", "u = f"], "{l} = {r}"),
    (&["u + f*{l} = v", "v - u = f*{r}"], "{l} = {r}"),
    (&["u^2 = f*{l}", "f*{r} = u^2"], "{l} = {r}"),
];

/// Where a shared factor is zero, its products are equal whatever stands beside it.
#[test]
fn what_a_shared_factor_was_divided_by_is_told() {
    let mut told = 0;
    for ((factor, zero), (lines, claim)) in
        (FACTORS.iter()).flat_map(|factor| SHARED.iter().map(move |shared| (*factor, shared)))
    {
        for (at, left) in OTHERS.iter().enumerate().step_by(2) {
            let right = OTHERS[(at * 5 + 3) % OTHERS.len()];
            let filled = |text: &str| {
                let text = text.replace("f*", &format!("{factor}*"));
                let text = text.replace("= f", &format!("= {factor}"));
                text.replace("{l}", left).replace("{r}", right)
            };
            let mut named = Named::new(&[]);
            let premises: Vec<(Id, Id)> = lines
                .iter()
                .map(|line| named.equation(&filled(line)))
                .collect();
            let claim = named.equation(&filled(claim));
            let found = named.algebra.follows(claim, &premises, &Samples::default());
            let Following::Proved { not_zero, .. } = found else {
                continue;
            };
            let zeros = [("u", 0.0), ("v", 0.0), ("w", 9.0)];
            let others = [("a", 0.9), ("b", 0.4), ("c", 1.7)];
            let values = (zeros.iter().chain(&others).chain(zero))
                .map(|(name, value)| (named.symbol(name), *value));
            let mut point = Point::new(values.collect());
            let mut value = |id: Id| point.value(&named.algebra, id);
            let holds =
                (premises.iter()).all(|(left, right)| (value(*left) - value(*right)).abs() < 1e-9);
            let fails = (value(claim.0) - value(claim.1)).abs() > 1e-3;
            if holds && fails {
                told += 1;
                assert!(
                    not_zero.iter().any(|divisor| value(*divisor).abs() < 1e-9),
                    "{:?} therefore {}, if not zero: {:?}",
                    lines
                        .iter()
                        .map(|line| filled(line))
                        .collect::<Vec<String>>(),
                    named.show(claim.0) + " = " + &named.show(claim.1),
                    not_zero
                        .iter()
                        .map(|id| named.show(*id))
                        .collect::<Vec<String>>()
                );
            }
        }
    }
    assert!(told > 180, "{told}");
}
