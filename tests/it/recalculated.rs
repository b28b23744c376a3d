//! What is printed, keyed into a calculator that shares no code with the program, gives what is
//! printed: in the worksheets, the spec cases, and in generated lines.

use std::fs;
use std::path::Path;
use std::sync::Arc;

use proptest::prelude::*;
use setsquare::page::{self, Outcome, Recalculated};
use setsquare::text::Source;
use setsquare::worksheet::{self, Body, PartKind, Worksheet};

use crate::spec;

fn compile(text: &str) -> Worksheet {
    worksheet::compile(Source::new("law.md", text.to_owned()))
}

/// How many lines were keyed in, and those that differ, in words.
fn tried(worksheet: &Worksheet, name: &str) -> (usize, Vec<String>) {
    let found = page::recalculated(worksheet);
    let gave = |it: &&Recalculated| matches!(it.outcome, Outcome::Gave { .. });
    let wrong = found.iter().filter(|it| it.differs());
    (
        found.iter().filter(gave).count(),
        wrong
            .map(|it| format!("{name}:{}: {:?}", it.line, it.outcome))
            .collect(),
    )
}

#[test]
fn every_worksheet_can_be_keyed_in() {
    let (mut lines, mut wrong) = (0, Vec::new());
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("worksheets");
    for entry in fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if path.extension().is_none_or(|ending| ending != "md") {
            continue;
        }
        let name = path.file_name().unwrap().to_string_lossy().into_owned();
        let (count, differ) = tried(&compile(&fs::read_to_string(&path).unwrap()), &name);
        lines += count;
        wrong.extend(differ);
    }
    println!("{lines} lines keyed in");
    assert!(wrong.is_empty(), "\n{}", wrong.join("\n"));
    assert!(lines > 120, "only {lines} lines");
}

#[test]
fn every_case_can_be_keyed_in() {
    let (mut lines, mut wrong) = (0, Vec::new());
    for (name, text) in spec::worksheets() {
        let (count, differ) = tried(&compile(&text), &name);
        lines += count;
        wrong.extend(differ);
    }
    println!("{lines} lines keyed in");
    assert!(wrong.is_empty(), "\n{}", wrong.join("\n"));
    assert!(lines > 500, "only {lines} lines");
}

/// Digits are added to what is put in until the result is had, and no more.
#[test]
fn no_more_digits_are_put_in_than_the_result_needs() {
    let text = "```given\nQ = 22 L/s\nD = 125 mm\nrho = 998 kg/m^3\np = 240 kPa\n```\n\n```work\n\
                A = pi D^2/4 = ? mm^2\nV = Q/A = ? m/s\nF = p A + rho Q V = ? kN\nP = p Q = ? hp\n```\n";
    let worksheet = compile(text);
    assert_eq!(tried(&worksheet, "digits"), (4, Vec::new()));
    let works = worksheet
        .statements()
        .filter_map(|(_, statement)| match &statement.body {
            Body::Work(work) => Some(work),
            _ => None,
        });
    for (_, shown) in works.flat_map(|work| work.operands()) {
        let printed = page::printed(shown);
        let digits = printed.chars().filter(char::is_ascii_digit).count();
        assert!(digits <= 7, "{printed}");
    }
}

/// The digits of an operand are changed after the worksheet was made: the line must be found.
#[test]
fn a_planted_fault_is_found() {
    let text = "```given\nQ = 22 L/s\nA = 122.7 cm^2\n```\n\n```work\nV = Q/A = ? m/s\n```\n";
    let mut worksheet = compile(text);
    assert_eq!(tried(&worksheet, "whole"), (1, Vec::new()));
    let placed = worksheet.problems.last_mut().expect("a problem");
    let problem = Arc::get_mut(&mut placed.problem).expect("nobody else has it");
    for part in &mut problem.parts {
        let PartKind::Block { statements, .. } = &mut part.kind else {
            continue;
        };
        for statement in statements {
            if let Body::Work(work) = &mut statement.body {
                let put_in = work.put_in.as_mut().expect("numbers are put in");
                let shown = Arc::make_mut(&mut put_in.operands[0].1);
                shown.written = Some("23e-3".to_owned());
            }
        }
    }
    let (_, wrong) = tried(&worksheet, "planted");
    assert_eq!(wrong.len(), 1, "{wrong:?}");
}

/// A kind of quantity: the letter that stands for it, and units to give and ask it in.
type Kind = (char, &'static [&'static str]);

const KINDS: &[Kind] = &[
    ('l', &["m", "mm", "cm", "km", "in", "ft"]),
    ('a', &["m^2", "mm^2", "cm^2", "in^2", "ft^2"]),
    ('v', &["m/s", "km/h", "ft/s", "mm/s", "m/min"]),
    ('q', &["m^3/s", "L/s", "L/min", "m^3/h", "gpm", "cfs"]),
    ('p', &["Pa", "kPa", "bar", "MPa", "psi", "N/mm^2", "kN/m^2"]),
    ('f', &["N", "kN", "lbf", "kip", "MN"]),
    ('m', &["kg", "g", "t", "lb"]),
    ('d', &["kg/m^3", "g/cm^3", "lb/ft^3", "kg/L"]),
    ('w', &["W", "kW", "hp", "MW"]),
    ('e', &["J", "kJ", "kW h", "MJ", "N m"]),
    ('t', &["s", "min", "h", "ms"]),
    ('u', &["Pa s", "cP", "mPa s"]),
    ('b', &["N m", "kN m", "N mm", "lbf ft"]),
    ('k', &["N/m", "N/mm", "kN/m", "lbf/in"]),
    ('g', &["m/s^2", "ft/s^2", "mm/s^2"]),
    ('c', &["kJ/(kg K)", "J/(kg K)", "J/(kg degC)"]),
    ('E', &["GPa", "MPa", "N/mm^2", "ksi"]),
    ('I', &["cm^4", "mm^4", "m^4", "in^4"]),
    ('K', &["degC", "K", "degF"]),
    ('o', &["deg", "rad", "gon", "mrad", "arcmin"]),
    ('n', &["rpm", "rev/s"]),
    ('s', &["rad/s"]),
    ('1', &["", "%", "ppm", "ppb", "permille"]),
];

/// A formula: its names with the kind of each, the lines before, what it says, and what it gives.
type Formula = (
    &'static [(&'static str, char)],
    &'static str,
    &'static str,
    char,
);

const FORMULAS: &[Formula] = &[
    (&[("D", 'l')], "", "pi D^2/4", 'a'),
    (&[("Q", 'q'), ("A", 'a')], "", "Q/A", 'v'),
    (&[("Q", 'q'), ("D", 'l')], "", "4 Q/(pi D^2)", 'v'),
    (&[("p", 'p'), ("A", 'a')], "", "p A", 'f'),
    (&[("rho", 'd'), ("V", 'v')], "", "1/2 rho V^2", 'p'),
    (
        &[("p", 'p'), ("rho", 'd'), ("g", 'g'), ("z", 'l'), ("V", 'v')],
        "",
        "p + rho g z - rho V^2/2",
        'p',
    ),
    (
        &[
            ("rho", 'd'),
            ("Q", 'q'),
            ("V", 'v'),
            ("W", 'v'),
            ("beta", 'o'),
            ("p", 'p'),
            ("A", 'a'),
        ],
        "",
        "rho Q (V - W cos(beta)) - p A cos(beta)",
        'f',
    ),
    (
        &[("F", 'f'), ("L", 'l'), ("E", 'E'), ("I", 'I')],
        "",
        "F L^3/(48 E I)",
        'l',
    ),
    (&[("M", 'b'), ("h", 'l'), ("I", 'I')], "", "M h/(2 I)", 'p'),
    (
        &[("b", 'l'), ("h", 'l'), ("x", 'l')],
        "",
        "(b h^3 - (b - x) (h - x)^3)/12",
        'I',
    ),
    (
        &[("m", 'm'), ("c", 'c'), ("T_1", 'K'), ("T_2", 'K')],
        "",
        "m c (T_2 - T_1)",
        'e',
    ),
    (
        &[("rho", 'd'), ("V", 'v'), ("D", 'l'), ("mu", 'u')],
        "",
        "rho V D/mu",
        '1',
    ),
    (
        &[("L", 'l'), ("D", 'l'), ("V", 'v'), ("g", 'g')],
        "",
        "0.021 (L/D) V^2/(2 g)",
        'l',
    ),
    (&[("p", 'p'), ("rho", 'd')], "", "sqrt(2 p/rho)", 'v'),
    (&[("F", 'f'), ("V", 'v')], "", "F V", 'w'),
    (&[("P", 'w'), ("Q", 'q')], "", "P/Q", 'p'),
    (&[("k", 'k'), ("x", 'l')], "", "k x^2/2", 'e'),
    (&[("P", 'w'), ("t", 't')], "", "P t", 'e'),
    (&[("x", 'l'), ("y", 'l')], "", "atan(x/y)", 'o'),
    (
        &[("x", 'l'), ("y", 'l'), ("beta", 'o')],
        "",
        "x sin(beta) - y cos(beta)^2",
        'l',
    ),
    (&[("n", 'n')], "", "2 pi n", 's'),
    (
        &[("x", 'l'), ("y", 'l')],
        "",
        "max(x, y)^2 - min(x, y)^2",
        'a',
    ),
    (&[("D", 'l')], "A(x) = pi x^2/4", "A(D)", 'a'),
    (&[("D", 'l'), ("p", 'p')], "A(x) = pi x^2/4", "p A(D)", 'f'),
    (
        &[("D", 'l'), ("d", 'l')],
        "A(x) = pi x^2/4",
        "A(D) - A(D - d)",
        'a',
    ),
    (
        &[("Q", 'q'), ("D", 'l'), ("g", 'g')],
        "h(v) = v^2/(2 g)",
        "h(4 Q/(pi D^2))",
        'l',
    ),
    (
        &[("x", 'l'), ("y", 'l')],
        "",
        "cases(x - y for x > y, y - x otherwise)",
        'l',
    ),
    (&[("p", 'p'), ("V", 'l')], "", "(p - 2 kPa) V^2", 'f'),
    (&[("m", 'm'), ("g", 'g')], "", "m g", 'f'),
    (&[("m", 'm'), ("t", 't')], "", "m/t * 3.5 m/s", 'f'),
    (&[("V", 'v'), ("t", 't')], "", "V t + 12 cm", 'l'),
    (&[("T_1", 'K'), ("T_2", 'K')], "", "(T_1 + T_2)/2", 'K'),
    (&[("T_1", 'K'), ("T_2", 'K')], "", "T_1/T_2", '1'),
    (&[("T_1", 'K')], "", "T_1 + 5 K", 'K'),
    (
        &[("T_1", 'K'), ("c", 'c'), ("m", 'm')],
        "",
        "m c (T_1 - 20 degC)",
        'e',
    ),
    (
        &[("T_1", 'K')],
        "",
        "cases(T_1 for T_1 > 20 degC, 20 degC otherwise) - 3 K",
        'K',
    ),
    (&[("eta", '1'), ("P", 'w')], "", "eta P + P", 'w'),
    (&[("n", 'n'), ("D", 'l')], "", "pi D n", 'v'),
    (&[("s", 's'), ("t", 't')], "", "s t", 'o'),
    (&[("beta", 'o'), ("F", 'f')], "", "F exp(0.3 beta)", 'f'),
    (
        &[("beta", 'o'), ("r", 'l')],
        "",
        "r beta + r sin(beta)",
        'l',
    ),
    (&[("x", 'l'), ("y", 'l')], "", "2 atan(x/y) + 12 deg", 'o'),
];

fn units(kind: char) -> &'static [&'static str] {
    let found = KINDS.iter().find(|(own, _)| *own == kind);
    found.map_or(&[], |(_, units)| units)
}

#[derive(Debug, Clone)]
struct Drawn {
    formula: usize,
    numbers: Vec<(u32, u8, usize)>,
    asked: usize,
    figures: u8,
    is_base: bool,
}

fn drawn() -> impl Strategy<Value = Drawn> {
    let number = (11..9999_u32, 0..4_u8, 0..60_usize);
    (
        0..FORMULAS.len(),
        prop::collection::vec(number, 7),
        0..60_usize,
        2..7_u8,
        any::<bool>(),
    )
        .prop_map(|(formula, numbers, asked, figures, is_base)| Drawn {
            formula,
            numbers,
            asked,
            figures,
            is_base,
        })
}

fn text(drawn: &Drawn) -> String {
    let (names, before, formula, gives) = FORMULAS[drawn.formula];
    let mut text = String::new();
    if drawn.is_base {
        text.push_str("---\nnumbers: base units\n---\n\n");
    }
    text.push_str("```given\n");
    for ((name, kind), (digits, places, unit)) in names.iter().zip(&drawn.numbers) {
        let units = units(*kind);
        let number = f64::from(*digits) / 10_f64.powi(i32::from(*places));
        let number = format!("{number:.*}", usize::from(*places));
        text.push_str(&format!(
            "{name} = {number} {}\n",
            units[unit % units.len()]
        ));
    }
    text.push_str("```\n\n");
    if !before.is_empty() {
        text.push_str(&format!("```derive\n{before}\n```\n\n"));
    }
    let units = units(gives);
    text.push_str(&format!(
        "```work\ny = {formula} = ? {} to {} figures\n```\n",
        units[drawn.asked % units.len()],
        drawn.figures
    ));
    text
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(
        std::env::var("LINES").ok().and_then(|it| it.parse().ok()).unwrap_or(300)
    ))]

    #[test]
    fn generated_lines_can_be_keyed_in(drawn in drawn()) {
        let text = text(&drawn);
        let worksheet = compile(&text);
        // What is out of a domain or of range is told; a warning leaves the line as it is.
        if worksheet.has_errors() {
            return Ok(());
        }
        let (count, wrong) = tried(&worksheet, "generated");
        prop_assert!(wrong.is_empty(), "{wrong:?}\n{text}");
        prop_assert_eq!(count, 1, "{:?}\n{}", page::recalculated(&worksheet), text);
    }
}
