//! Slips that are planted in the balances of random bodies: each is found, and told as what it is.
//!
//! The balances are put together here from a table of directions, x and y apart, and moments as
//! upward parts times distances from the left end; nothing of the program's own rules is used.

use setsquare::text::Source;
use setsquare::worksheet::{Agreement, Body, Worksheet};

use super::beside::compile;

/// Words of a direction, and its parts to the right and up; `t` is the angle of the force.
const DIRECTIONS: [(&str, &str, &str); 11] = [
    ("right", "+", ""),
    ("left", "-", ""),
    ("up", "", "+"),
    ("down", "", "-"),
    ("at t above right", "+ cos(t)", "+ sin(t)"),
    ("at t above left", "- cos(t)", "+ sin(t)"),
    ("at t below right", "+ cos(t)", "- sin(t)"),
    ("at t below left", "- cos(t)", "- sin(t)"),
    ("at t left of up", "- sin(t)", "+ cos(t)"),
    ("rising 3 in 4 right", "+ 4/5", "+ 3/5"),
    ("falling 5 in 12 left", "- 12/13", "- 5/13"),
];

/// Places from the left end, with their distances.
const PLACES: [(&str, &str); 4] = [("A", ""), ("C", "a"), ("D", "c"), ("B", "L")];

/// Numbers as if drawn, the same in every run.
struct Drawn(u64);

impl Drawn {
    fn below(&mut self, count: usize) -> usize {
        self.0 = self
            .0
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1);
        (self.0 >> 33) as usize % count
    }
}

/// A term of a balance: the sign, and its factors.
#[derive(Clone)]
struct Term {
    is_negative: bool,
    factors: Vec<String>,
}

impl Term {
    fn of(name: &str, part: &str, angle: &str, arm: &str) -> Option<Self> {
        let sign = part.chars().next()?;
        let factor = part[1..].trim().replace("(t)", &format!("({angle})"));
        let factors = [name, &factor, arm].map(str::to_owned);
        Some(Self {
            is_negative: sign == '-',
            factors: factors.into_iter().filter(|it| !it.is_empty()).collect(),
        })
    }

    fn written(&self) -> String {
        let sign = if self.is_negative { "-" } else { "+" };
        format!("{sign} {}", self.factors.join("*"))
    }

    fn name(&self) -> &str {
        &self.factors[0]
    }
}

fn sum(terms: &[Term]) -> String {
    let all: Vec<String> = terms.iter().map(Term::written).collect();
    let all = all.join(" ");
    match all.strip_prefix("+ ") {
        Some(rest) => rest.to_owned(),
        None if all.is_empty() => "0".to_owned(),
        None => all.replacen("- ", "-", 1),
    }
}

/// A level beam with a few forces: its lines, and its balances by their words.
fn body(drawn: &mut Drawn) -> (String, Vec<(&'static str, Vec<Term>)>) {
    let mut lines = String::from(
        "```sketch\nbeam: body\npoint A\npoint C = a right from A\npoint D = c right from A\npoint B = L right from A\n\
         beam A to B\npin at A with A_x right, A_y up\nroller at B with B_y up\nweight neglected\n",
    );
    let end = |name, part, arm| Term::of(name, part, "", arm);
    let mut x: Vec<Term> = end("A_x", "+", "").into_iter().collect();
    let mut y: Vec<Term> = [end("A_y", "+", ""), end("B_y", "+", "")]
        .into_iter()
        .flatten()
        .collect();
    let mut turning: Vec<Term> = end("B_y", "+", "L").into_iter().collect();
    let count = 2 + drawn.below(3);
    for number in 1..=count {
        // One force between the ends has an upward part, so that no two balances say the same.
        let (words, right, up) = match number {
            1 => DIRECTIONS[2 + drawn.below(DIRECTIONS.len() - 2)],
            _ => DIRECTIONS[drawn.below(DIRECTIONS.len())],
        };
        let (place, distance) = match number {
            1 => PLACES[1 + drawn.below(2)],
            _ => PLACES[1 + drawn.below(3)],
        };
        let (name, angle) = (format!("F_{number}"), format!("t_{number}"));
        let words = words.replace(" t ", &format!(" {angle} "));
        lines.push_str(&format!("force {name} {words} at {place}\n"));
        x.extend(Term::of(&name, right, &angle, ""));
        y.extend(Term::of(&name, up, &angle, ""));
        turning.extend(Term::of(&name, up, &angle, distance));
    }
    // Every place is used.
    lines.push_str("bar C to D\n```\n");
    let balances = vec![
        ("balance x of beam", x),
        ("balance y of beam", y),
        ("balance moments about A of beam", turning),
    ];
    (lines, balances)
}

/// What is said of each equation.
fn verdicts(sketch: &str, equations: &[(String, &str)]) -> (Vec<Agreement>, Worksheet) {
    let lines: Vec<String> = (equations.iter())
        .map(|(equation, words)| format!("{equation} by {words}\n"))
        .collect();
    // One equation a worksheet would prove no more: a line that differs is no premise.
    let text = format!("{sketch}\n```derive\n{}```\n", lines.concat());
    let sheet = compile(Source::new("slips.md", text));
    let found = sheet
        .statements()
        .filter_map(|(_, statement)| match &statement.body {
            Body::Equation { balance, .. } => balance.as_ref().map(|it| it.agreement.clone()),
            _ => None,
        });
    (found.collect(), sheet)
}

/// A slip in one term: the terms with it, the codes that tell it, and the name that is told.
fn slips(terms: &[Term], at: usize) -> Vec<(Vec<Term>, &'static str)> {
    let with = |change: &dyn Fn(&mut Vec<Term>)| {
        let mut changed = terms.to_vec();
        change(&mut changed);
        changed
    };
    let mut found = vec![(with(&|all| drop(all.remove(at))), "B02")];
    // Of two terms neither can be blamed for a sign, and one alone has none.
    if terms.len() > 2 {
        found.push((
            with(&|all| all[at].is_negative = !all[at].is_negative),
            "B03",
        ));
    }
    if terms.len() > 1 {
        found.push((
            with(&|all| all[at].factors.insert(1, "2".to_owned())),
            "B07",
        ));
    }
    let exchanged: Vec<String> = (terms[at].factors.iter())
        .map(|factor| match factor.strip_prefix("sin") {
            Some(rest) => format!("cos{rest}"),
            None => factor.replacen("cos", "sin", 1),
        })
        .collect();
    if exchanged != terms[at].factors && terms.len() > 1 {
        found.push((with(&|all| all[at].factors = exchanged.clone()), "B04"));
    }
    found
}

/// How many bodies are drawn; many more were run once.
fn bodies() -> usize {
    std::env::var("BODIES")
        .ok()
        .and_then(|it| it.parse().ok())
        .unwrap_or(6)
}

#[test]
fn balances_agree_in_any_form_and_planted_slips_are_told() {
    let mut drawn = Drawn(20_261_127);
    let mut faults = Vec::new();
    let (mut count, mut planted) = (0, 0);
    for _ in 0..bodies() {
        let (sketch, balances) = body(&mut drawn);
        for (words, terms) in &balances {
            let mut turned = terms.clone();
            let by = drawn.below(turned.len());
            turned.rotate_left(by);
            let (left, right) = turned.split_at(drawn.below(turned.len()));
            let moved: Vec<Term> = (right.iter().cloned())
                .map(|term| Term {
                    is_negative: !term.is_negative,
                    ..term
                })
                .collect();
            let forms = [
                format!("{} = 0", sum(terms)),
                format!("{} = {}", sum(left), sum(&moved)),
                format!("3 ({}) = 0", sum(&turned)),
            ];
            let mut equations: Vec<(String, &str)> = forms.map(|it| (it, *words)).into();
            let mut wanted: Vec<Option<(&str, String)>> = vec![None; equations.len()];
            for at in 0..terms.len() {
                for (changed, code) in slips(terms, at) {
                    equations.push((format!("{} = 0", sum(&changed)), words));
                    wanted.push(Some((code, terms[at].name().to_owned())));
                }
            }
            // A line whose sides are alike says nothing that could be compared.
            let (found, sheet) = verdicts(&sketch, &equations);
            if found.len() != equations.len() {
                let told: Vec<&str> = sheet.diagnostics.iter().map(|it| &*it.message).collect();
                faults.push(format!(
                    "{} of {} lines compared: {told:?}",
                    found.len(),
                    equations.len()
                ));
                continue;
            }
            for (((equation, _), wanted), found) in equations.iter().zip(&wanted).zip(&found) {
                count += 1;
                planted += usize::from(wanted.is_some());
                let is_right = match (wanted, found) {
                    (None, Agreement::Agrees { .. }) => true,
                    (Some((code, name)), Agreement::Differs(found)) => {
                        found.code.as_str() == *code && found.message.contains(&format!("`{name}`"))
                    }
                    _ => false,
                };
                if !is_right {
                    faults.push(format!(
                        "{sketch}{equation} by {words}: {wanted:?} and {found:?}"
                    ));
                }
            }
        }
    }
    println!("{count} equations, {planted} slips");
    assert!(planted > 50, "{planted} slips");
    assert!(
        faults.is_empty(),
        "{} of {count}: {}",
        faults.len(),
        faults[..faults.len().min(5)].join("\n\n")
    );
}
