//! Steps and rearrangements of a computer algebra library, each written as a worksheet: a pair of
//! formulas as a `therefore`, a rearrangement or a system as a `solve`.
//!
//! A solution is looked at as the formulas of the finished worksheet, which are evaluated here a
//! second time, at random numbers, and compared with the expected ones.

use std::collections::BTreeMap;

use serde_json::Value;
use setsquare::functions::Function;
use setsquare::text::Source;
use setsquare::worksheet::{
    self, Body, Expr, ExprKind, Operator, Solved, Statement, Symbols, Verdict, Worksheet,
};

use super::report::{cases, list, text};

/// How often a solution is evaluated.
const POINTS: u32 = 20;

/// Formulas that a worksheet has to write differently: the formula, and ours.
const FORMULAS: &[(&str, &str)] = &[
    // The inverse of sinh is no function of the language.
    ("asinh(y/a)", "ln(y/a + sqrt((y/a)^2 + 1))"),
];

/// Rearrangements that give one value of several, so that they are no steps: an angle has the same
/// tangent, cosine or sine as others. They must not be proved.
const ONE_OF_SEVERAL: &[&str] = &["alg-043", "alg-044", "alg-046", "alg-049"];

/// Numbers that look random and are the same in every run.
struct Chance(u64);

impl Chance {
    /// From 0 to 1.
    fn next(&mut self) -> f64 {
        self.0 = self
            .0
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 11) as f64 / (1_u64 << 53) as f64
    }

    /// A value that a case allows for a symbol: from its domain, else a positive one about 1.
    fn value(&mut self, case: &Value, name: &str) -> f64 {
        let domain = &case["domain"][name];
        let low = domain[0].as_f64().unwrap_or(0.3);
        let high = domain[1].as_f64().unwrap_or(1.7);
        low + (high - low) * self.next()
    }
}

/// The names in a formula that are no functions, each once.
fn names(formula: &str) -> Vec<String> {
    let mut found = Vec::new();
    for word in formula.split(|mark: char| !mark.is_ascii_alphanumeric() && mark != '_') {
        let is_name = word.starts_with(|first: char| first.is_ascii_alphabetic());
        let known = word == "pi" || Function::named(word).is_some();
        if is_name && !known && !found.iter().any(|name| name == word) {
            found.push(word.to_owned());
        }
    }
    found
}

/// The data of a case: a positive value for every symbol but some. Nothing but the sign may be
/// used of it, because no value is whole.
fn given(case: &Value, formulas: &[&str], but: &[&str]) -> String {
    let mut chance = Chance(7);
    let mut lines = String::new();
    for name in names(&formulas.join(" ")) {
        if !but.contains(&&*name) {
            let value = chance.value(case, &name);
            assert!((100.0 * value).round() % 100.0 != 0.0, "{value} is whole");
            lines += &format!("{name} = {value:.2}\n");
        }
    }
    match lines.as_str() {
        "" => lines,
        _ => format!("```given\n{lines}```\n\n"),
    }
}

fn compile(case: &Value, source: &str) -> Worksheet {
    worksheet::compile(Source::new(text(case, "id"), source.to_owned()))
}

fn statements(worksheet: &Worksheet) -> impl Iterator<Item = &Statement> {
    worksheet.statements().map(|(_, statement)| statement)
}

/// The symbols of the only problem.
fn symbols(worksheet: &Worksheet) -> &Symbols {
    &worksheet.problems[0].problem.symbols
}

/// The verdict on the one step of a worksheet.
fn verdict(worksheet: &Worksheet) -> Option<&Verdict> {
    statements(worksheet).find_map(|statement| match &statement.body {
        Body::Therefore { verdict, .. } => Some(&**verdict),
        _ => None,
    })
}

fn told(worksheet: &Worksheet) -> String {
    let lines = worksheet.diagnostics.iter();
    let lines: Vec<String> = lines
        .map(|it| format!("{} {}", it.code, it.message))
        .collect();
    lines.join("\n")
}

/// A worksheet in which a formula of a case is to follow from its equations.
fn step(case: &Value, equations: &[&str], claim: &str) -> String {
    let labelled: String = equations
        .iter()
        .enumerate()
        .map(|(at, equation)| format!("e{}: {equation}\n", at + 1))
        .collect();
    let unknowns = unknowns(case);
    // What is solved for has the sign that the claim gives it.
    let but: Vec<&str> = match equations.is_empty() {
        true => Vec::new(),
        false => unknowns.iter().map(String::as_str).collect(),
    };
    let all: Vec<&str> = equations.iter().copied().chain([claim]).collect();
    let data = given(case, &all, &but);
    format!("{data}```derive\n{labelled}therefore {claim}\n```\n")
}

fn unknowns(case: &Value) -> Vec<String> {
    match &case["solve_for"] {
        Value::String(name) => vec![name.clone()],
        Value::Array(names) => names
            .iter()
            .filter_map(Value::as_str)
            .map(str::to_owned)
            .collect(),
        _ => Vec::new(),
    }
}

fn equations(case: &Value) -> Vec<&str> {
    list(case, "equations")
        .iter()
        .filter_map(Value::as_str)
        .collect()
}

/// The formula of an expected row, as a worksheet writes it.
fn formula(row: &Value) -> &str {
    super::lookup(FORMULAS, text(row, "value"))
}

/// A step of the set.
struct Step {
    id: String,
    source: String,
    is_true: bool,
    /// Whether it compares two formulas, with nothing above it.
    is_pair: bool,
}

/// Every step of the set with whether it is true: pairs, simplified forms, and rearrangements
/// whose set lists one solution.
fn steps(cases: &[Value]) -> Vec<Step> {
    let mut found = Vec::new();
    for case in cases {
        let id = text(case, "id").to_owned();
        let rows = list(case, "expected");
        let equations = equations(case);
        let pair = |claim: &str, is_true: bool| Step {
            id: id.clone(),
            source: step(case, &[], claim),
            is_true,
            is_pair: true,
        };
        match text(case, "kind") {
            "equivalence" => found.push(pair(equations[0], text(&rows[0], "value") == "equal")),
            "simplify" => {
                let claim = format!("{} = {}", equations[0], formula(&rows[0]));
                found.push(pair(&claim, true));
            }
            "rearrange" | "system" => {
                let name = |row: &Value| text(row, "symbol").to_owned();
                let is_single = |row: &&Value| {
                    rows.iter().filter(|other| name(other) == name(row)).count() == 1
                };
                found.extend(rows.iter().filter(is_single).map(|row| Step {
                    id: id.clone(),
                    source: step(
                        case,
                        &equations,
                        &format!("{} = {}", name(row), formula(row)),
                    ),
                    is_true: !ONE_OF_SEVERAL.contains(&&*id),
                    is_pair: false,
                }));
            }
            // Derivatives are stated nowhere in a worksheet by themselves.
            _ => {}
        }
    }
    found
}

/// How many steps came to which verdict.
#[derive(Default)]
struct Count {
    proved: usize,
    refuted: usize,
    undecided: usize,
}

impl Count {
    fn total(&self) -> usize {
        self.proved + self.refuted + self.undecided
    }

    fn line(&self, of: &str) -> String {
        let Self {
            proved,
            refuted,
            undecided,
        } = self;
        format!(
            "{} {of}: {proved} proved, {refuted} refuted, {undecided} undecided",
            self.total()
        )
    }
}

#[test]
fn true_steps_are_proved_and_untrue_ones_are_not() {
    let cases = cases("algebra.json");
    let (mut equal, mut follows, mut untrue) =
        (Count::default(), Count::default(), Count::default());
    let mut wrong = Vec::new();
    let mut open = Vec::new();
    for step in steps(&cases) {
        let worksheet = worksheet::compile(Source::new(&*step.id, step.source.clone()));
        let count = match (step.is_true, step.is_pair) {
            (false, _) => &mut untrue,
            (true, true) => &mut equal,
            (true, false) => &mut follows,
        };
        let line = || format!("{}\n{}{}\n", step.id, step.source, told(&worksheet));
        match verdict(&worksheet) {
            Some(Verdict::Follows { .. }) => {
                count.proved += 1;
                wrong.extend((!step.is_true).then(line));
            }
            Some(Verdict::DoesNotFollow { .. }) => {
                count.refuted += 1;
                wrong.extend(step.is_true.then(line));
            }
            Some(Verdict::NotDecided(_)) => {
                count.undecided += 1;
                open.push(line());
            }
            None => wrong.push(line()),
        }
    }
    println!("{}", equal.line("pairs of equal formulas"));
    println!("{}", follows.line("steps that follow"));
    println!("{}", untrue.line("steps and pairs that are not true"));
    println!("not decided:\n{}", open.join("\n"));
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
    // As many as the set held when it was put here; none may be lost unseen.
    assert_eq!(
        [equal.total(), follows.total(), untrue.total()],
        [22, 32, 19]
    );
    for count in [equal, follows] {
        assert!(
            100 * count.proved >= 95 * count.total(),
            "{}",
            open.join("\n")
        );
    }
}

/// The solution of a worksheet.
fn solution(worksheet: &Worksheet) -> Option<&Solved> {
    statements(worksheet).find_map(|statement| match &statement.body {
        Body::Solved(solved) => Some(&**solved),
        _ => None,
    })
}

/// A case as a worksheet that solves it.
fn solving(case: &Value) -> String {
    let equations = equations(case);
    let labels: Vec<String> = (1..=equations.len()).map(|at| format!("e{at}")).collect();
    let derive: String = (labels.iter().zip(&equations))
        .map(|(label, equation)| format!("{label}: {equation}\n"))
        .collect();
    let unknowns = unknowns(case);
    let but: Vec<&str> = unknowns.iter().map(String::as_str).collect();
    let data = given(case, &equations, &but);
    let (labels, unknowns) = (labels.join(", "), unknowns.join(", "));
    format!("{data}```derive\n{derive}solve {labels} for {unknowns}\n```\n")
}

/// Numbers for symbols, by their canonical names.
type Numbers = BTreeMap<String, f64>;

/// The value of a formula of a worksheet at some numbers; not a number where it has none.
fn value(expr: &Expr, symbols: &Symbols, at: &Numbers) -> f64 {
    let of = |part: &Expr| value(part, symbols, at);
    match &expr.kind {
        ExprKind::Number(number) | ExprKind::Numeral(number) => *number,
        ExprKind::Pi => std::f64::consts::PI,
        ExprKind::Symbol(id) => at
            .get(&*symbols.symbol(*id).key)
            .copied()
            .unwrap_or(f64::NAN),
        ExprKind::Sum(terms) => (terms.iter())
            .map(|term| {
                if term.negative {
                    -of(&term.expr)
                } else {
                    of(&term.expr)
                }
            })
            .sum(),
        ExprKind::Product(factors) => {
            factors
                .iter()
                .fold(1.0, |product, factor| match factor.operator {
                    Operator::Divide => product / of(&factor.expr),
                    _ => product * of(&factor.expr),
                })
        }
        ExprKind::Power(base, exponent) => of(base).powf(of(exponent)),
        ExprKind::Negative(inner) => -of(inner),
        ExprKind::Group(inner) => of(inner),
        ExprKind::Abs(inner) => of(inner).abs(),
        ExprKind::Call {
            function,
            arguments,
            ..
        } => {
            let first = of(&arguments[0]);
            match function {
                Function::Sqrt => first.sqrt(),
                Function::Cbrt => first.cbrt(),
                Function::Exp => first.exp(),
                Function::Ln => first.ln(),
                Function::Log10 => first.log10(),
                Function::Sin => first.sin(),
                Function::Cos => first.cos(),
                Function::Tan => first.tan(),
                Function::Asin => first.asin(),
                Function::Acos => first.acos(),
                Function::Atan => first.atan(),
                Function::Sinh => first.sinh(),
                Function::Cosh => first.cosh(),
                _ => f64::NAN,
            }
        }
        _ => f64::NAN,
    }
}

fn is_near(left: f64, right: f64) -> bool {
    (left - right).abs() <= 1e-9 * left.abs().max(right.abs()).max(1e-3)
}

/// The formulas that a case expects, resolved by the same worksheet: for each solution those of
/// the unknowns, in their order.
fn expected<'w>(case: &Value, worksheet: &'w Worksheet) -> Vec<&'w Expr> {
    let count = list(case, "expected").len();
    let mut sides: Vec<&Expr> = statements(worksheet)
        .filter_map(|statement| match &statement.body {
            Body::Equation { members, .. } => members.get(1),
            _ => None,
        })
        .collect();
    sides.split_off(sides.len().saturating_sub(count))
}

/// What is wrong with a solution: nothing, or what was found instead.
fn unsolved(case: &Value) -> Option<String> {
    let rows = list(case, "expected");
    let unknowns = unknowns(case);
    // The expected formulas stand below, under names of their own.
    let wanted: String = rows
        .iter()
        .enumerate()
        .map(|(at, row)| format!("want_{at} = {}\n", formula(row)))
        .collect();
    let source = format!("{}\n```derive\n{wanted}```\n", solving(case));
    let sheet = compile(case, &source);
    let wrong = |why: &str| {
        let id = text(case, "id");
        Some(format!("{id}: {why}\n{source}{}\n", told(&sheet)))
    };
    let Some(solved) = solution(&sheet) else {
        return wrong("it is not solved");
    };
    let expected = expected(case, &sheet);
    let mut chance = Chance(11);
    let mut compared = 0;
    for _ in 0..POINTS {
        let at: Numbers = names(&source)
            .into_iter()
            .map(|name| (super::canonical(&name), chance.value(case, &name)))
            .collect();
        for (row, formula) in rows.iter().zip(&expected) {
            let unknown = unknowns.iter().position(|name| name == text(row, "symbol"));
            let (Some(unknown), wanted) = (unknown, value(formula, symbols(&sheet), &at)) else {
                return wrong("an expected symbol is not sought");
            };
            if !wanted.is_finite() {
                continue;
            }
            compared += 1;
            let is_found = solved.branches.iter().any(|branch| {
                let found = value(&branch.formulas[unknown], symbols(&sheet), &at);
                is_near(found, wanted)
            });
            if !is_found {
                return wrong(&format!("no branch is {wanted} at {at:?}"));
            }
        }
        if let Some(why) = contradiction(&sheet, solved, &unknowns, &at) {
            return wrong(&why);
        }
    }
    (compared == 0)
        .then(|| wrong("it was compared nowhere"))
        .flatten()
}

/// A branch that does not satisfy the equations at some numbers, though it has a value there.
fn contradiction(
    sheet: &Worksheet,
    solved: &Solved,
    unknowns: &[String],
    at: &Numbers,
) -> Option<String> {
    for branch in &solved.branches {
        let mut inserted = at.clone();
        for (name, formula) in unknowns.iter().zip(&branch.formulas) {
            inserted.insert(super::canonical(name), value(formula, symbols(sheet), at));
        }
        let labelled = statements(sheet).filter(|statement| statement.label.is_some());
        for statement in labelled {
            let Body::Equation { members, .. } = &statement.body else {
                continue;
            };
            let sides: Vec<f64> = (members.iter())
                .map(|member| value(member, symbols(sheet), &inserted))
                .collect();
            let is_real = sides.iter().all(|side| side.is_finite());
            if is_real && !sides.windows(2).all(|pair| is_near(pair[0], pair[1])) {
                return Some(format!("its sides are {sides:?} at {inserted:?}"));
            }
        }
    }
    None
}

#[test]
fn rearrangements_and_systems_are_solved() {
    let cases = cases("algebra.json");
    let sought: Vec<&Value> = (cases.iter())
        .filter(|case| ["rearrange", "system"].contains(&text(case, "kind")))
        .collect();
    let found: Vec<String> = sought.iter().filter_map(|case| unsolved(case)).collect();
    println!("{} of {} solved", sought.len() - found.len(), sought.len());
    assert_eq!(sought.len(), 36);
    assert!(found.is_empty(), "{}", found.join("\n"));
}
