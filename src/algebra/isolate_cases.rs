//! Cases for tests of rearranging: formulas of engineering, and those of the reference.

use std::collections::BTreeSet;

/// The ranges of symbols; of those that are not named it is 0.3 to 1.7.
pub(super) type Domain<'d> = &'d [(&'d str, f64, f64)];

/// Unknown and equation, values of the unknown that are found, and where they are compared.
pub(super) type Case = (&'static str, &'static [&'static str], Domain<'static>);

pub(super) const CASES: &[Case] = &[
    // The unknown stands once.
    ("t: v = v0 + a*t", &["(v - v0)/a"], &[]),
    ("d: p = rho*g*d + p0", &["(p - p0)/(rho*g)"], &[]),
    (
        "V1: p1 + rho*V1^2/2 = p2 + rho*V2^2/2",
        &["sqrt(2*(p2 - p1)/rho + V2^2)"],
        &[("p2", 2.0, 3.0)],
    ),
    ("h: v = sqrt(2*g*h)", &["v^2/(2*g)"], &[]),
    ("L: T = 2*pi*sqrt(L/g)", &["g*(T/(2*pi))^2"], &[]),
    ("g: T = 2*pi*sqrt(L/g)", &["L*(2*pi/T)^2"], &[]),
    (
        "T: P = eps*sigma*A*(T^4 - T0^4)",
        &["(P/(eps*sigma*A) + T0^4)^(1/4)"],
        &[],
    ),
    ("D: Q = C*D^(5/2)*sqrt(S)", &["(Q/(C*sqrt(S)))^(2/5)"], &[]),
    ("C: f = 1/(2*pi*sqrt(L*C))", &["1/(L*(2*pi*f)^2)"], &[]),
    ("E: w = 5*q*L^4/(384*E*I)", &["5*q*L^4/(384*w*I)"], &[]),
    ("r: F = G*m1*m2/r^2", &["sqrt(G*m1*m2/F)"], &[]),
    ("c: E = m*c^2", &["sqrt(E/m)"], &[]),
    ("d: tau = 16*T/(pi*d^3)", &["(16*T/(pi*tau))^(1/3)"], &[]),
    ("b: I = b*h^3/12", &["12*I/h^3"], &[]),
    (
        "T2: eta = 1 - T2/T1",
        &["T1*(1 - eta)"],
        &[("eta", 0.1, 0.8)],
    ),
    (
        "T1: eta = 1 - T2/T1",
        &["T2/(1 - eta)"],
        &[("eta", 0.1, 0.8)],
    ),
    (
        "k: q = 2*pi*k*L*(Ti - To)/ln(ro/ri)",
        &["q*ln(ro/ri)/(2*pi*L*(Ti - To))"],
        &[("Ti", 2.0, 3.0), ("ro", 2.0, 3.0)],
    ),
    (
        "ro: q = 2*pi*k*L*(Ti - To)/ln(ro/ri)",
        &["ri*exp(2*pi*k*L*(Ti - To)/q)"],
        &[("Ti", 2.0, 3.0)],
    ),
    (
        "m: q = sqrt(h*P*k*A)*th*tanh(m*L)",
        &["ln((1 + q/(th*sqrt(h*P*k*A)))/(1 - q/(th*sqrt(h*P*k*A))))/(2*L)"],
        &[("q", 0.05, 0.1)],
    ),
    (
        "n: p*V^n = K",
        &["ln(K/p)/ln(V)"],
        &[("V", 2.0, 3.0), ("K", 2.0, 3.0), ("p", 0.5, 1.0)],
    ),
    (
        "M: r = (1 + (k - 1)/2*M^2)^(k/(k - 1))",
        &["sqrt(2*(r^((k - 1)/k) - 1)/(k - 1))"],
        &[("k", 1.2, 1.6), ("r", 2.0, 3.0)],
    ),
    (
        "x: y = a*cosh(x/a)",
        &["a*ln(y/a + sqrt(y^2/a^2 - 1))"],
        &[("y", 2.0, 3.0)],
    ),
    ("x: y = atan(x/a)", &["a*tan(y)"], &[("y", 0.2, 1.2)]),
    ("x: y = asin(x/a)", &["a*sin(y)"], &[("y", 0.2, 1.2)]),
    ("x: y = cbrt(x) + b", &["(y - b)^3"], &[("y", 2.0, 3.0)]),
    ("x: abs(x - a) = b", &["a + b", "a - b"], &[]),
    ("h: E = -13.6/h^2", &["sqrt(-13.6/E)"], &[("E", -3.0, -1.0)]),
    (
        "t: N = N0*2^(-t/T)",
        &["T*ln(N0/N)/ln(2)"],
        &[("N0", 2.0, 3.0)],
    ),
    (
        "n: FV = PV*(1 + r)^n",
        &["ln(FV/PV)/ln(1 + r)"],
        &[("FV", 2.0, 3.0)],
    ),
    (
        "r: FV = PV*(1 + r)^n",
        &["(FV/PV)^(1/n) - 1"],
        &[("FV", 2.0, 3.0)],
    ),
    (
        "th: n1*sin(t1) = n2*sin(th)",
        &["asin(n1*sin(t1)/n2)"],
        &[("n1", 0.4, 0.5), ("n2", 1.0, 1.2)],
    ),
    (
        "tau: y = A*(1 - exp(-t/tau))",
        &["-t/ln(1 - y/A)"],
        &[("y", 0.1, 0.3), ("A", 0.5, 0.9)],
    ),
    (
        "f: 1/sqrt(f) = -2*log10(e/(3.7*D))",
        &["1/(2*log10(e/(3.7*D)))^2"],
        &[("e", 0.1, 0.2)],
    ),
    (
        "T: k = A*exp(-E/(R*T))",
        &["E/(R*ln(A/k))"],
        &[("A", 2.0, 3.0)],
    ),
    (
        "d: S = 20*log10(4*pi*d/lam)",
        &["lam*10^(S/20)/(4*pi)"],
        &[],
    ),
    // In denominators and on both sides.
    (
        "u: 1/f = 1/u + 1/v",
        &["f*v/(v - f)"],
        &[("v", 2.0, 3.0), ("f", 0.5, 1.0)],
    ),
    (
        "R3: 1/R = 1/R1 + 1/R2 + 1/R3",
        &["1/(1/R - 1/R1 - 1/R2)"],
        &[("R", 0.1, 0.2)],
    ),
    ("R: I = V/(R + r)", &["V/I - r"], &[("V", 2.0, 3.0)]),
    (
        "R: P = V^2*R/(R + r)^2",
        &[
            "(V^2/P - 2*r + sqrt((V^2/P - 2*r)^2 - 4*r^2))/2",
            "(V^2/P - 2*r - sqrt((V^2/P - 2*r)^2 - 4*r^2))/2",
        ],
        &[("V", 4.0, 5.0)],
    ),
    (
        "T: m1*c1*(T1 - T) = m2*c2*(T - T2)",
        &["(m1*c1*T1 + m2*c2*T2)/(m1*c1 + m2*c2)"],
        &[],
    ),
    (
        "v: m1*v1 + m2*v2 = (m1 + m2)*v",
        &["(m1*v1 + m2*v2)/(m1 + m2)"],
        &[],
    ),
    (
        "f0: f = f0*(c + vo)/(c - vs)",
        &["f*(c - vs)/(c + vo)"],
        &[("c", 2.0, 3.0)],
    ),
    (
        "vs: f = f0*(c + vo)/(c - vs)",
        &["c - f0*(c + vo)/f"],
        &[
            ("c", 2.0, 3.0),
            ("vo", 0.1, 0.2),
            ("f0", 0.5, 0.6),
            ("f", 1.0, 1.4),
        ],
    ),
    (
        "x: (x - a)/(x + b) = r",
        &["(a + b*r)/(1 - r)"],
        &[("r", 0.1, 0.8)],
    ),
    (
        "x: a/(x - b) = c/(x - d)",
        &["(a*d - b*c)/(a - c)"],
        &[("a", 2.0, 3.0), ("d", 2.0, 3.0)],
    ),
    (
        "e: n = sigma/(E*e) + e/(E*e)",
        &["sigma/(E*n - 1)"],
        &[("E", 2.0, 3.0), ("n", 2.0, 3.0)],
    ),
    (
        "w: e = (w*h + a)/(w + b)",
        &["(a - e*b)/(e - h)"],
        &[
            ("a", 2.0, 3.0),
            ("b", 0.3, 0.5),
            ("e", 1.0, 1.5),
            ("h", 0.2, 0.7),
        ],
    ),
    // Quadratic.
    (
        "y2: y2^2 + y1*y2 - 2*q^2/(g*y1) = 0",
        &[
            "-y1/2 + sqrt(y1^2/4 + 2*q^2/(g*y1))",
            "-y1/2 - sqrt(y1^2/4 + 2*q^2/(g*y1))",
        ],
        &[],
    ),
    (
        "t: h = v0*t - g*t^2/2",
        &["(v0 - sqrt(v0^2 - 2*g*h))/g", "(v0 + sqrt(v0^2 - 2*g*h))/g"],
        &[("v0", 3.0, 4.0)],
    ),
    (
        "x: x + 1/x = b",
        &["(b + sqrt(b^2 - 4))/2", "(b - sqrt(b^2 - 4))/2"],
        &[("b", 2.5, 4.0)],
    ),
    (
        "x: x^4 - b*x^2 - c = 0",
        &[
            "sqrt((b + sqrt(b^2 + 4*c))/2)",
            "-sqrt((b + sqrt(b^2 + 4*c))/2)",
        ],
        &[],
    ),
    ("x: (x - a)*(x - b) = 0", &["a", "b"], &[]),
    ("x: x^3 = a*x", &["sqrt(a)"], &[]),
    (
        "v: P = F*v + k*v^2",
        &["(-F + sqrt(F^2 + 4*k*P))/(2*k)"],
        &[],
    ),
    ("Y: q^2/(2*g*Y^2) + Y = q^2/(2*g*y1^2) + y1", &["y1"], &[]),
    ("x: x^3 - 6*x^2 + 11*x - 6 = 0", &["1", "2", "3"], &[]),
    // In roots, exponentials and logarithms several times.
    ("x: x + sqrt(x) = a", &["((-1 + sqrt(1 + 4*a))/2)^2"], &[]),
    ("x: sqrt(x + a) = x", &["(1 + sqrt(1 + 4*a))/2"], &[]),
    (
        "x: sqrt(x + a) - sqrt(x) = b",
        &["((a - b^2)/(2*b))^2"],
        &[("b", 0.1, 0.5), ("a", 1.0, 2.0)],
    ),
    (
        "x: sqrt(x^2 + a^2) = b - x",
        &["(b^2 - a^2)/(2*b)"],
        &[("b", 2.0, 3.0)],
    ),
    (
        "h: V = 2/3*sqrt(h) + a*h^(3/2)/sqrt(h)/sqrt(h)",
        &["(V/(2/3 + a))^2"],
        &[],
    ),
    (
        "x: exp(2*x) - b*exp(x) = c",
        &["ln((b + sqrt(b^2 + 4*c))/2)"],
        &[("b", 2.0, 3.0)],
    ),
    ("x: exp(x) - exp(-x) = 2*b", &["ln(b + sqrt(b^2 + 1))"], &[]),
    ("x: sinh(x) + cosh(x) = b", &["ln(b)"], &[("b", 1.5, 3.0)]),
    (
        "x: a*exp(b*x) = c*exp(d*x)",
        &["ln(c/a)/(b - d)"],
        &[("c", 2.0, 3.0), ("b", 2.0, 3.0)],
    ),
    (
        "x: a*x^n = b*x^m",
        &["(b/a)^(1/(n - m))"],
        &[("n", 2.0, 3.0)],
    ),
    (
        "x: 4^x - 3*2^x = b",
        &["ln((3 + sqrt(9 + 4*b))/2)/ln(2)"],
        &[],
    ),
    (
        "x: ln(x) + ln(x + a) = b",
        &["(-a + sqrt(a^2 + 4*exp(b)))/2"],
        &[],
    ),
    ("x: log10(x) - log10(x + a) = -b", &["a/(10^b - 1)"], &[]),
    ("x: ln(x)^2 = a^2", &["exp(a)", "exp(-a)"], &[]),
    (
        "k: T2/T1 = (p2/p1)^((k - 1)/k)",
        &["1/(1 - ln(T2/T1)/ln(p2/p1))"],
        &[
            ("p2", 6.0, 8.0),
            ("T2", 1.8, 2.0),
            ("p1", 0.5, 0.7),
            ("T1", 0.9, 1.1),
        ],
    ),
    // Angles.
    (
        "q: a*cos(q) + b*sin(q) = c",
        &["atan(b/a) + acos(c/sqrt(a^2 + b^2))"],
        &[("c", 0.1, 0.3)],
    ),
    ("q: a*sin(q) = b*cos(q)", &["atan(b/a)"], &[]),
    ("q: m*g*sin(q) - mu*m*g*cos(q) = 0", &["atan(mu)"], &[]),
    (
        "q: R = 2*v^2*sin(q)*cos(q)/g",
        &["asin(g*R/v^2)/2", "pi/2 - asin(g*R/v^2)/2"],
        &[("v", 2.0, 3.0)],
    ),
    (
        "q: y = x*tan(q) - g*x^2/(2*v^2*cos(q)^2)",
        &["atan((x + sqrt(x^2 - 4*(g*x^2/(2*v^2))*(y + g*x^2/(2*v^2))))/(g*x^2/v^2))"],
        &[("v", 3.0, 4.0), ("y", 0.1, 0.3)],
    ),
    ("q: 2*cos(q)^2 + sin(q) = 1", &["pi/2", "-pi/6"], &[]),
    ("q: tan(q)*cos(q) = a", &["asin(a)"], &[("a", 0.1, 0.9)]),
    ("q: sin(2*q) = a*cos(q)", &["asin(a/2)"], &[]),
    (
        "q: sin(q + b) = a*cos(q)",
        &["atan((a - sin(b))/cos(b))"],
        &[("b", 0.3, 0.6), ("a", 1.0, 2.0)],
    ),
];

/// Names in a text that are no functions.
pub(super) fn names(text: &str) -> Vec<String> {
    let mut found = BTreeSet::new();
    let mut word = String::new();
    for c in text.chars().chain([' ']) {
        if c.is_alphanumeric() || c == '_' {
            word.push(c);
            continue;
        }
        let is_name = word.starts_with(|c: char| c.is_alphabetic()) && word != "pi" && c != '(';
        if is_name {
            found.insert(std::mem::take(&mut word));
        }
        word.clear();
    }
    found.into_iter().collect()
}

#[derive(Debug)]
pub(super) struct Reference {
    pub equations: Vec<String>,
    pub unknowns: Vec<String>,
    pub expected: Vec<(String, String)>,
    pub domain: Vec<(String, f64, f64)>,
}

pub(super) fn references(kind: &str) -> Vec<Reference> {
    let path = concat!(env!("CARGO_MANIFEST_DIR"), "/tests/reference/algebra.json");
    let text = std::fs::read_to_string(path).unwrap();
    let all: serde_json::Value = serde_json::from_str(&text).unwrap();
    let text = |value: &serde_json::Value| value.as_str().unwrap().to_owned();
    let list = |value: &serde_json::Value| match value {
        serde_json::Value::Array(all) => all.iter().map(text).collect(),
        one => vec![text(one)],
    };
    let cases = all.as_array().or_else(|| all["cases"].as_array()).unwrap();
    cases
        .iter()
        .filter(|case| case["kind"] == kind)
        .map(|case| Reference {
            equations: list(&case["equations"]),
            unknowns: list(&case["solve_for"]),
            expected: case["expected"]
                .as_array()
                .unwrap()
                .iter()
                .map(|one| (text(&one["symbol"]), text(&one["value"])))
                .collect(),
            domain: case["domain"]
                .as_object()
                .into_iter()
                .flatten()
                .map(|(name, range)| {
                    (
                        name.clone(),
                        range[0].as_f64().unwrap(),
                        range[1].as_f64().unwrap(),
                    )
                })
                .collect(),
        })
        .collect()
}
