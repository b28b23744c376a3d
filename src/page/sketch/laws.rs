//! Sketches as found, with random signs: each arrow, number and word against a table of its own.

use super::*;
use crate::drawing::sketch::laws::{apart, inside, well_formed};
use crate::drawing::svg;
use crate::text::Source;
use crate::worksheet::{PartKind, Worksheet, compile};

/// Words of a direction in a sketch, its degrees from the right, and the words of its opposite; `t`
/// is 35°.
const DIRECTIONS: [(&str, f64, &str); 12] = [
    ("right", 0.0, "to the left"),
    ("up", 90.0, "down"),
    ("left", 180.0, "to the right"),
    ("down", 270.0, "up"),
    ("at t above right", 35.0, "at t below left"),
    ("at t above left", 145.0, "at t below right"),
    ("at t below right", -35.0, "at t above left"),
    ("at t below left", 215.0, "at t above right"),
    ("at t left of up", 125.0, "at t right of down"),
    ("at t right of up", 55.0, "at t left of down"),
    (
        "rising 3 in 4 right",
        36.869_897_645_844_02,
        "falling 3 in 4 left",
    ),
    (
        "falling 5 in 12 left",
        202.619_864_948_040_42,
        "rising 5 in 12 right",
    ),
];

/// As it is said where nothing turned.
fn as_drawn(words: &str) -> String {
    match words {
        "right" | "left" => format!("to the {words}"),
        _ => words.to_owned(),
    }
}

/// Numbers as if drawn, the same in every run.
struct Drawn(u64);

impl Drawn {
    fn below(&mut self, count: usize) -> usize {
        self.0 = (self.0)
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1);
        (self.0 >> 33) as usize % count
    }

    /// A magnitude in newtons: below zero, zero, or above.
    fn newtons(&mut self) -> f64 {
        let size = 10.0 + self.below(890) as f64;
        match self.below(7) {
            0 => 0.0,
            1..=3 => -size,
            _ => size,
        }
    }
}

/// A force of a random sketch.
struct Acting {
    name: String,
    value: f64,
    degrees: f64,
    forward: String,
    back: String,
    kind: &'static str,
}

/// A random worksheet, and what acts in its sketch.
struct Sheet {
    text: String,
    acting: Vec<Acting>,
    /// A couple, and a load up.
    spread: Option<[f64; 2]>,
    speeds: Option<[f64; 2]>,
}

/// A random sketch as a worksheet, and what acts in it.
fn sheet(drawn: &mut Drawn) -> Sheet {
    let mut acting = Vec::new();
    let mut lines = String::new();
    let shape = drawn.below(4);
    let head = match shape {
        0 => "particle\n",
        1 => {
            "body\npoint A\npoint C = a right from A\npoint B = b right from C\nbeam A to B\n\
             pin at A with A_x right, A_y up\nroller at B with B_y up\n\
             moment M clockwise at B\nload w up from A to C\n"
        }
        2 => "body\nblock on incline at t above right\n",
        _ => {
            "control volume around a bend\ninlet 1 flow right, area S, speed V_1, pressure p\n\
             outlet 2 flow up, area S, speed V_2, open\ndensity rho\n"
        }
    };
    let (spread, speeds) = (
        (shape == 1).then(|| [drawn.newtons(), drawn.newtons()]),
        (shape == 3).then(|| [drawn.newtons(), drawn.newtons()]),
    );
    let mut add = |drawn: &mut Drawn, name: String, words: &str, degrees: f64, back: &str, kind| {
        acting.push(Acting {
            name,
            value: drawn.newtons(),
            degrees,
            forward: as_drawn(words),
            back: back.to_owned(),
            kind,
        });
    };
    if shape == 1 {
        for (name, words) in [("A_x", 0), ("A_y", 1), ("B_y", 1)] {
            let (words, degrees, back) = DIRECTIONS[words];
            add(drawn, name.to_owned(), words, degrees, back, "support");
        }
    }
    for number in 1..=1 + drawn.below(3) {
        let name = format!("F_{number}");
        let kinds: &[&str] = if shape == 0 {
            &["force", "bar", "cable"]
        } else {
            &["force"]
        };
        let kind = ["force", "bar", "cable"][drawn.below(kinds.len())];
        let at = if shape == 1 { " at C" } else { "" };
        let (words, degrees, back) = match (shape, drawn.below(3)) {
            (2, 0) => ("up the incline", 35.0, "down the incline"),
            (2, 1) => ("away from the incline", 125.0, "into the incline"),
            (2, _) => ("down the incline", 215.0, "up the incline"),
            _ => DIRECTIONS[drawn.below(DIRECTIONS.len())],
        };
        lines.push_str(&format!("{kind} {name} {words}{at}\n"));
        let kind = ["force", "bar", "cable"].into_iter().find(|it| *it == kind);
        add(drawn, name, words, degrees, back, kind.unwrap_or("force"));
    }
    let scale = match drawn.below(2) {
        0 => "",
        _ => "scale 10 mm = 250 N\n",
    };
    let (mut given, mut work) = (String::new(), String::new());
    if let Some([moment, load]) = spread {
        given.push_str(&format!("M = {moment} N m\nw = {load} N/m\n"));
    }
    if let Some([one, other]) = speeds {
        given.push_str(&format!("V_1 = {one} m/s\nV_2 = {other} m/s\n"));
    }
    for force in &acting {
        let (name, value) = (&force.name, force.value);
        match drawn.below(2) {
            0 => given.push_str(&format!("{name} = {value} N\n")),
            _ => {
                given.push_str(&format!("k_{name} = {value}\n"));
                work.push_str(&format!("{name} = k_{name} u = ? N\n"));
            }
        }
    }
    let asked: String = acting
        .iter()
        .map(|it| format!("{} = ? N\n", it.name))
        .collect();
    let text = format!(
        "```given\nt = 35 deg\nu = 1 N\na = 2 m\nb = 3 m\nS = 0.02 m^2\np = 40 kPa gauge\n\
         rho = 998 kg/m^3\n{given}```\n\n```sketch\nshape: {head}{lines}weight neglected\n```\n\n\
         ```work\nz = 2 u = ? N\n{work}```\n\n```sketch\nresult: shape as found\n{scale}```\n\n\
         ```answer\n{asked}```\n"
    );
    Sheet {
        text,
        acting,
        spread,
        speeds,
    }
}

/// The blocks of sketches of a worksheet, with their pages.
fn on_sketches(sheet: &Worksheet, mut look: impl FnMut(&Page, &[Statement], &worksheet::Sketch)) {
    let names = crate::page::names(sheet);
    for (placed, part) in sheet.parts() {
        let PartKind::Block { statements, .. } = &part.kind else {
            continue;
        };
        let Some(Body::Sketch(sketch)) = statements.first().map(|it| &it.body) else {
            continue;
        };
        let page = Page::new(sheet, placed, &names[placed.number], 0);
        look(&page, statements, sketch);
    }
}

/// All forces of a drawing, those of supports too.
fn forces(sketch: &drawn::Sketch) -> Vec<&Force> {
    let supports = match &sketch.figure {
        drawn::Figure::Body(body) => body.supports.as_slice(),
        _ => &[],
    };
    let of_supports = supports.iter().flat_map(|it| &it.forces);
    sketch.forces.iter().chain(of_supports).collect()
}

/// `|F_1| = 3.000 N`: the name, whether it is in bars, and the number.
fn label(force: &Force) -> (String, bool, Option<f64>) {
    let text = letters::plain(&force.label);
    let (name, number) = match text.split_once('=') {
        Some((name, number)) => (name, Some(number)),
        None => (text.as_str(), None),
    };
    let number = number.map(|it| {
        let digits: String = (it.replace('−', "-").chars())
            .filter(|it| it.is_ascii_digit() || ".-".contains(*it))
            .collect();
        digits.parse().unwrap_or(f64::NAN)
    });
    let name: String = name.chars().filter(|it| it.is_alphanumeric()).collect();
    (name, text.starts_with('|'), number)
}

fn holds(of: &Sheet) -> usize {
    let (text, acting) = (of.text.as_str(), of.acting.as_slice());
    let sheet = compile(Source::new("found.md", text));
    assert!(!sheet.has_errors(), "{text}\n{:?}", sheet.diagnostics);
    let plain = |name: &str| name.replace('_', "");
    let mut sketches = 0;
    on_sketches(&sheet, |page, statements, sketch| {
        sketches += 1;
        let drawing = Drawing {
            page,
            sketch,
            of: &sketch.sketch,
        };
        let is_found = drawing.is_found();
        let all = drawing.all(String::new(), drawing.read_out(statements));
        if let (drawn::Figure::Body(body), Some([moment, load])) = (&all.figure, of.spread) {
            assert_eq!(
                body.moments[0].is_clockwise,
                !is_found || moment >= 0.0,
                "{text}"
            );
            assert_eq!(body.moments[0].is_zero, is_found && moment == 0.0, "{text}");
            assert_eq!(body.loads[0].is_turned, is_found && load < 0.0, "{text}");
        }
        if let (drawn::Figure::Volume(volume), Some(speeds)) = (&all.figure, of.speeds) {
            for (cut, speed) in volume.cuts.iter().zip(speeds) {
                assert_eq!(cut.is_turned, is_found && speed < 0.0, "{text}");
            }
        }
        let arrows = forces(&all);
        assert_eq!(arrows.len(), acting.len(), "{text}");
        for force in acting {
            let own = arrows.iter().find(|it| label(it).0 == plain(&force.name));
            let own = own.unwrap_or_else(|| panic!("{}\n{text}", force.name));
            let (_, is_in_bars, number) = label(own);
            let back = is_found && force.value < 0.0;
            assert_eq!(own.is_turned, back, "{}\n{text}", force.name);
            assert_eq!(is_in_bars, back, "{}\n{text}", force.name);
            assert_eq!(own.is_zero, is_found && force.value == 0.0, "{text}");
            assert_eq!(number, is_found.then(|| force.value.abs()), "{text}");
            // The shape stays as it was told.
            let Towards::Angle(angle) = own.direction.towards else {
                panic!("{text}");
            };
            let off = (angle - force.degrees.to_radians()).sin().abs();
            assert!(
                off < 1e-9 && (angle - force.degrees.to_radians()).cos() > 0.0,
                "{text}"
            );
            if is_found && text.contains("scale") {
                let long = match force.value {
                    0.0 => 7.0,
                    value => value.abs() / 25.0,
                };
                assert!(
                    own.length.is_some_and(|it| (it - long).abs() < 1e-9),
                    "{text}"
                );
            } else {
                assert_eq!(own.length, None, "{text}");
            }
            let said = (sketch.turned.iter())
                .find(|it| *page.placed.problem.symbols.symbol(it.symbol).key == *force.name);
            let words = said.map(|it| it.words.plain(&page.placed.problem.text));
            match (force.value, words) {
                (value, None) => assert!(value > 0.0, "{}\n{text}", force.name),
                (0.0, Some(words)) => assert_eq!(words, "no force acts there", "{text}"),
                (value, Some(words)) => {
                    assert!(value < 0.0, "{}\n{text}", force.name);
                    let expected = match (force.kind, is_found) {
                        ("bar", _) => "in compression".to_owned(),
                        ("cable", false) => "would have to push".to_owned(),
                        ("support", false) if force.name == "B_y" => "it lifts off".to_owned(),
                        (_, false) => format!("acts {}, opposite to the sketch", force.back),
                        (_, true) => force.back.clone(),
                    };
                    assert!(words.contains(&expected), "{words}: {expected}\n{text}");
                }
            }
        }
        let drawn = drawn::draw(&all);
        let of_drawing = [apart(&drawn), inside(&drawn), well_formed(&all)];
        for found in of_drawing {
            assert!(found.is_ok(), "{found:?}\n{text}");
        }
        let mut bytes = String::new();
        let figure = figure(page, statements).unwrap();
        svg::write(&figure.wide, "drawing sketch", &mut bytes);
        assert!(bytes.len() < 12 * 1024, "{} bytes\n{text}", bytes.len());
    });
    assert_eq!(sketches, 2, "{text}");
    answers(&sheet, acting, text);
    acting.len()
}

/// The words of the answers.
fn answers(sheet: &Worksheet, acting: &[Acting], text: &str) {
    for (placed, statement) in sheet.statements() {
        let Body::Answer {
            expr, direction, ..
        } = &statement.body
        else {
            continue;
        };
        let name = expr.span.of(&placed.problem.text);
        let force = acting.iter().find(|it| it.name == name).unwrap();
        let expected = match (force.kind, force.value) {
            (_, 0.0) => None,
            ("bar", value) if value < 0.0 => Some("in compression"),
            ("bar", _) => Some("in tension"),
            (_, value) if value < 0.0 => Some(force.back.as_str()),
            _ => Some(force.forward.as_str()),
        };
        let words = direction
            .as_ref()
            .map(|it| it.0.plain(&placed.problem.text));
        assert_eq!(words.as_deref(), expected, "{name}\n{text}");
    }
}

#[test]
fn a_sketch_as_found_has_each_arrow_number_and_word_as_its_value_is() {
    let count = std::env::var("BODIES").ok().and_then(|it| it.parse().ok());
    let mut drawn = Drawn(20_261_127);
    let mut forces = 0;
    for _ in 0..count.unwrap_or(60) {
        forces += holds(&sheet(&mut drawn));
    }
    assert!(forces > 0);
}
