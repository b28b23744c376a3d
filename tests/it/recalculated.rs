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
    let gave = |it: &&Recalculated| !matches!(it.outcome, Outcome::Keyless(_));
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

/// What is printed of a side of a check is changed after the worksheet was made.
#[test]
fn a_check_that_does_not_hold_by_its_figures_is_found() {
    let text = "```given\nm = 4 kg\ng = 9.81 m/s^2\n```\n\n```work\nW = m g = ? N\n```\n\n\
                ```check\nW < 40 N\nW = 39 N within 1 %\nW = 39.5 N within 300 mN\n5 N < W < 0.05 kN\n```\n";
    let mut worksheet = compile(text);
    assert_eq!(tried(&worksheet, "whole"), (6, Vec::new()));
    let placed = worksheet.problems.last_mut().expect("a problem");
    let problem = Arc::get_mut(&mut placed.problem).expect("nobody else has it");
    for part in &mut problem.parts {
        let PartKind::Block { statements, .. } = &mut part.kind else {
            continue;
        };
        for statement in statements {
            if let Body::Check { members, .. } = &mut statement.body {
                for (_, shown) in members.iter_mut().filter(|(_, it)| !it.digits.is_empty()) {
                    shown.written = Some("80.0".to_owned());
                }
            }
        }
    }
    let (_, wrong) = tried(&worksheet, "planted");
    assert_eq!(wrong.len(), 4, "{wrong:?}");
}

#[test]
fn vectors_are_keyed_in_by_component() {
    let text = "```given\nF = (120, 50) N\nG = (0.30, -80) N\nR = (3, -80, 20) N\nr = (0.2, 0.3, 0.1) m\n\
                a = 3.5\n```\n\n```work\nS = F + a G = ? N\nM = cross(r, R) = ? N m\n\
                P = dot(r, 2 R) = ? J\ns = |F - G|/2 = ? N\ne = F/|F| = ?\nbeta = direction(F) = ? deg\n\
                t = F.x + G.y = ? N\n```\n";
    let (count, wrong) = tried(&compile(text), "vectors");
    assert!(wrong.is_empty(), "{wrong:?}");
    // Each component is a row of keys.
    assert_eq!(
        count,
        2 + 3 + 1 + 1 + 2 + 1 + 1,
        "{:?}",
        page::recalculated(&compile(text))
    );
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

/// Formulas of vectors: of `F`, `G` in a plane, of `R`, `r` in space and of numbers `a`, `h`; what each
/// gives, and how many rows of keys that is.
const VECTORS: &[(&str, char, usize)] = &[
    ("F + G", 'f', 2),
    ("F - a G/3", 'f', 2),
    ("2 (F + G) - F", 'f', 2),
    ("-F", 'f', 2),
    ("F/|F|", '1', 2),
    ("|F|", 'f', 1),
    ("|F - G|^2/|G|", 'f', 1),
    ("a |F| + G.x", 'f', 1),
    ("direction(F)", 'o', 1),
    ("2 direction(F + G)", 'o', 1),
    ("(a F.x, F.y) + G", 'f', 2),
    ("cross(r, R)", 'b', 3),
    ("cross(r, a R)/2", 'b', 3),
    ("a cross(2 r, R - R_2)", 'b', 3),
    ("dot(r, R)", 'b', 1),
    ("dot(r, R)/|r| + dot(r, R_2)/h", 'f', 1),
    ("cross(F, G)/|G|", 'f', 1),
    ("(h, 2 h, 3 h) + r", 'l', 3),
];

#[derive(Debug, Clone)]
struct DrawnVectors {
    formula: usize,
    numbers: Vec<(i32, u8)>,
    units: [usize; 5],
    asked: usize,
    figures: u8,
    is_base: bool,
}

fn vectors() -> impl Strategy<Value = DrawnVectors> {
    (
        0..VECTORS.len(),
        prop::collection::vec((-9999..9999_i32, 0..4_u8), 15),
        prop::array::uniform5(0..60_usize),
        0..60_usize,
        2..7_u8,
        any::<bool>(),
    )
        .prop_map(
            |(formula, numbers, units, asked, figures, is_base)| DrawnVectors {
                formula,
                numbers,
                units,
                asked,
                figures,
                is_base,
            },
        )
}

fn number((digits, places): (i32, u8)) -> String {
    let number = f64::from(digits) / 10_f64.powi(i32::from(places));
    format!("{number:.*}", usize::from(places))
}

fn vector_text(drawn: &DrawnVectors) -> String {
    let (formula, gives, _) = VECTORS[drawn.formula];
    let numbers: Vec<String> = drawn.numbers.iter().map(|it| number(*it)).collect();
    let unit = |kind: char, at: usize| {
        let all = units(kind);
        all[drawn.units[at] % all.len()]
    };
    let head = match drawn.is_base {
        true => "---\nnumbers: base units\n---\n\n",
        false => "",
    };
    let asked = units(gives);
    format!(
        "{head}```given\nF = ({}, {}) {}\nG = ({}, {}) {}\nR = ({}, {}, {}) {}\nR_2 = ({}, {}, {}) {}\n\
         r = ({}, {}, {}) {}\na = {}\nh = {} {}\n```\n\n```work\ny = {formula} = ? {} to {} figures\n```\n",
        numbers[0],
        numbers[1],
        unit('f', 0),
        numbers[2],
        numbers[3],
        unit('f', 1),
        numbers[4],
        numbers[5],
        numbers[6],
        unit('f', 2),
        numbers[7],
        numbers[8],
        numbers[9],
        unit('f', 3),
        numbers[10],
        numbers[11],
        numbers[12],
        unit('l', 4),
        numbers[13],
        numbers[14].trim_start_matches('-'),
        unit('l', 4),
        asked[drawn.asked % asked.len()],
        drawn.figures,
    )
}

#[derive(Debug, Clone)]
struct DrawnCheck {
    numbers: [(u32, u8); 3],
    units: [usize; 3],
    limit: f64,
    relation: usize,
}

fn checks() -> impl Strategy<Value = DrawnCheck> {
    (
        prop::array::uniform3((11..9999_u32, 0..4_u8)),
        prop::array::uniform3(0..60_usize),
        // Limits near the value among them.
        prop_oneof![0.2..5.0_f64, 0.999..1.001_f64, 0.999_999..1.000_001_f64],
        0..6_usize,
    )
        .prop_map(|(numbers, units, limit, relation)| DrawnCheck {
            numbers,
            units,
            limit,
            relation,
        })
}

/// A product against a limit, which is about its value in another unit.
fn check_text(drawn: &DrawnCheck) -> String {
    let kinds = ['p', 'l', 'f'];
    let chosen: Vec<&str> = (kinds.iter().zip(drawn.units))
        .map(|(kind, at)| units(*kind)[at % units(*kind).len()])
        .collect();
    let given = |at: usize| {
        let (digits, places) = drawn.numbers[at];
        number((digits as i32, places))
    };
    let [p, x] = [0, 1].map(|at| format!("{} {}", given(at), chosen[at]));
    let si = |text: &str| {
        setsquare::quantity::Unit::from_source(text)
            .expect("a unit")
            .factor()
    };
    let value = |at: usize| given(at).parse::<f64>().expect("a number") * si(chosen[at]);
    let force = value(0) * value(1) * value(1) / si(chosen[2]);
    let limit = format!("{:.9} {}", force * drawn.limit, chosen[2]);
    let check = match drawn.relation {
        0 => format!("F < {limit}"),
        1 => format!("p x^2 > {limit}"),
        2 => format!("F <= {limit}"),
        3 => format!("{limit} >= F"),
        4 => format!("F = {limit} within 0.1 %"),
        _ => format!("p x^2 = {limit} within {:.9} {}", force * 1e-3, chosen[2]),
    };
    format!(
        "```given\np = {p}\nx = {x}\n```\n\n```work\nF = p x^2 = ? {}\n```\n\n```check\n{check}\n```\n",
        chosen[2]
    )
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
    #[test]
    fn generated_lines_of_vectors_can_be_keyed_in(drawn in vectors()) {
        let text = vector_text(&drawn);
        let worksheet = compile(&text);
        if worksheet.has_errors() {
            return Ok(());
        }
        let (count, wrong) = tried(&worksheet, "generated");
        prop_assert!(wrong.is_empty(), "{wrong:?}\n{text}");
        let (_, _, rows) = VECTORS[drawn.formula];
        prop_assert_eq!(count, rows, "{:?}\n{}", page::recalculated(&worksheet), text);
    }

    #[test]
    fn generated_checks_hold_by_their_figures(drawn in checks()) {
        let text = check_text(&drawn);
        let worksheet = compile(&text);
        // What does not hold is told.
        let is_false = |it: &setsquare::worksheet::Statement| it.body.holds() == Some(false);
        if worksheet.has_errors() || worksheet.statements().any(|(_, it)| is_false(it)) {
            return Ok(());
        }
        let (count, wrong) = tried(&worksheet, "generated");
        prop_assert!(wrong.is_empty(), "{wrong:?}\n{text}");
        prop_assert_eq!(count, 2, "{:?}\n{}", page::recalculated(&worksheet), text);
    }
}
