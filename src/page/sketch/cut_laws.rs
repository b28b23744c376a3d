//! Random members: what they hold at a cut is what strips say, and their lines can be read.
//!
//! Words and numbers are put together here side by side, and forces are summed as plain vectors; of
//! the program's own rules nothing is used.

use std::f64::consts::FRAC_PI_2;
use std::fmt::Write;

use super::super::Page;
use super::cut;
use crate::drawing::sketch::{Drawn, laws};
use crate::drawing::{ink::Drawing, svg};
use crate::text::Source;
use crate::worksheet::{Body, PartKind, Statement, Worksheet, compile};

type Vector = (f64, f64);

/// Into so many strips what is spread is cut.
const STRIPS: usize = 3000;

/// Places on the member beside its ends.
const LETTERS: [&str; 3] = ["C", "D", "E"];

/// Numbers as if drawn, the same in every run.
struct Dice(u64);

impl Dice {
    fn below(&mut self, count: usize) -> usize {
        self.0 = self
            .0
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 33) as usize % count
    }

    fn between(&mut self, low: f64, high: f64) -> f64 {
        let share = self.below(1000) as f64 / 1000.0;
        ((low + share * (high - low)) * 1000.0).round() / 1000.0
    }
}

/// A beam as its words, and as plain numbers.
struct Beam {
    dice: Dice,
    given: String,
    lines: Vec<String>,
    /// Where it goes, as an angle from the right.
    along: f64,
    length: f64,
    /// The places, in order, with their distances from the first.
    places: Vec<(String, f64)>,
    /// Forces and couples of the data, in kN and kN m, each with its distance; couples clockwise.
    forces: Vec<(Vector, f64)>,
    couples: Vec<(f64, f64)>,
    /// The names of reactions, with what they are where they are one.
    reactions: Vec<(String, Reaction)>,
    count: usize,
}

enum Reaction {
    Force(Vector, f64),
    /// An anticlockwise couple.
    Couple(f64),
}

impl Beam {
    fn new(start: u64) -> Self {
        let mut beam = Self {
            dice: Dice(start.wrapping_mul(0x9E37_79B9_7F4A_7C15) + 11),
            given: String::new(),
            lines: vec!["s: body".to_owned()],
            along: 0.0,
            length: 0.0,
            places: Vec::new(),
            forces: Vec::new(),
            couples: Vec::new(),
            reactions: Vec::new(),
            count: 0,
        };
        beam.shape();
        beam.supports();
        for _ in 0..1 + beam.dice.below(3) {
            match beam.dice.below(5) {
                0 | 1 => beam.force(),
                2 | 3 => beam.load(),
                _ => beam.couple(),
            }
        }
        beam
    }

    fn quantity(&mut self, letter: &str, (low, high): (f64, f64), unit: &str) -> (String, f64) {
        self.count += 1;
        let value = self.dice.between(low, high);
        let name = format!("{letter}_{}", self.count);
        let _ = writeln!(self.given, "{name} = {value} {unit}");
        (name, value)
    }

    /// The member, and places on it.
    fn shape(&mut self) {
        let (words, along) = match self.dice.below(6) {
            0 | 1 => ("right".to_owned(), 0.0),
            2 => ("left".to_owned(), 2.0 * FRAC_PI_2),
            3 => ("up".to_owned(), FRAC_PI_2),
            4 => {
                let (name, angle) = self.quantity("t", (10.0, 70.0), "deg");
                (format!("at {name} above right"), angle.to_radians())
            }
            _ => ("falling 3 in 4 right".to_owned(), -(0.75_f64).atan()),
        };
        self.along = along;
        let (name, length) = self.quantity("L", (2.0, 9.0), "m");
        self.length = length;
        self.lines.push("point A".to_owned());
        self.lines.push(format!("point B = {name} {words} from A"));
        self.places.push(("A".to_owned(), 0.0));
        for letter in LETTERS.iter().take(self.dice.below(4)) {
            let (name, far) = self.quantity("d", (0.05 * length, 0.95 * length), "m");
            self.lines
                .push(format!("point {letter} = {name} {words} from A"));
            self.places.push(((*letter).to_owned(), far));
        }
        self.places.push(("B".to_owned(), length));
        self.places.sort_by(|one, other| one.1.total_cmp(&other.1));
        self.lines.push("beam A to B".to_owned());
        self.lines.push("weight neglected".to_owned());
    }

    fn place(&mut self) -> (String, f64) {
        let at = self.dice.below(self.places.len());
        self.places[at].clone()
    }

    fn supports(&mut self) {
        let is_steep = self.along.cos().abs() < 0.5;
        let across = if is_steep {
            ("right", (1.0, 0.0))
        } else {
            ("up", (0.0, 1.0))
        };
        let kind = self.dice.below(3);
        if kind == 0 {
            let (name, far) =
                [("A".to_owned(), 0.0), ("B".to_owned(), self.length)][self.dice.below(2)].clone();
            self.lines.push(format!(
                "fixed at {name} with R_x right, R_y up, R_m anticlockwise"
            ));
            self.reactions = vec![
                ("R_x".to_owned(), Reaction::Force((1.0, 0.0), far)),
                ("R_y".to_owned(), Reaction::Force((0.0, 1.0), far)),
                ("R_m".to_owned(), Reaction::Couple(far)),
            ];
            return;
        }
        let count = self.places.len();
        let first = self.dice.below(count);
        let second = (first + 1 + self.dice.below(count - 1)) % count;
        let (pin, roller) = (self.places[first].clone(), self.places[second].clone());
        self.lines
            .push(format!("pin at {} with R_x right, R_y up", pin.0));
        self.lines
            .push(format!("link at {} with R_m {}", roller.0, across.0));
        self.reactions = vec![
            ("R_x".to_owned(), Reaction::Force((1.0, 0.0), pin.1)),
            ("R_y".to_owned(), Reaction::Force((0.0, 1.0), pin.1)),
            ("R_m".to_owned(), Reaction::Force(across.1, roller.1)),
        ];
    }

    fn direction(&mut self) -> (String, Vector) {
        let (words, angle) = match self.dice.below(4) {
            0 => ("up".to_owned(), FRAC_PI_2),
            1 => {
                let (name, angle) = self.quantity("t", (10.0, 80.0), "deg");
                (format!("at {name} below right"), -angle.to_radians())
            }
            _ => ("down".to_owned(), -FRAC_PI_2),
        };
        (words, (angle.cos(), angle.sin()))
    }

    fn force(&mut self) {
        let (place, far) = self.place();
        let (name, size) = self.quantity("F", (1.0, 40.0), "kN");
        let (words, (x, y)) = self.direction();
        self.lines.push(format!("force {name} {words} at {place}"));
        self.forces.push(((size * x, size * y), far));
    }

    fn couple(&mut self) {
        let (place, far) = self.place();
        let (name, size) = self.quantity("M", (1.0, 30.0), "kN m");
        let is_clockwise = self.dice.below(2) == 0;
        let (words, sign) = match is_clockwise {
            true => ("clockwise", 1.0),
            false => ("anticlockwise", -1.0),
        };
        self.lines.push(format!("moment {name} {words} at {place}"));
        self.couples.push((sign * size, far));
    }

    fn load(&mut self) {
        let first = self.dice.below(self.places.len() - 1);
        let last = first + 1 + self.dice.below(self.places.len() - 1 - first);
        let (mut from, mut to) = (self.places[first].clone(), self.places[last].clone());
        // Back to the first place is told without data.
        if first == 0 && self.dice.below(3) == 0 {
            std::mem::swap(&mut from, &mut to);
        }
        let (one, size) = self.quantity("q", (0.5, 9.0), "kN/m");
        let (words, sizes) = match self.dice.below(4) {
            0 | 1 => (one, (size, size)),
            2 => (format!("0 to {one}"), (0.0, size)),
            _ => {
                let (other, more) = self.quantity("q", (0.5, 9.0), "kN/m");
                (format!("{one} to {other}"), (size, more))
            }
        };
        let unit = (self.along.cos(), self.along.sin());
        let force = match self.dice.below(3) {
            0 => {
                let is_steep = unit.0.abs() < 0.5;
                let sides = match is_steep {
                    true => [("left", (1.0, 0.0)), ("right", (-1.0, 0.0))],
                    false => [("above", (0.0, -1.0)), ("below", (0.0, 1.0))],
                };
                let (side, (x, y)) = sides[self.dice.below(2)];
                self.lines.push(format!(
                    "load {words} on {} to {} from {side}",
                    from.0, to.0
                ));
                // Square to the member, away from that side.
                let left = (-unit.1, unit.0);
                let sign = (left.0 * x + left.1 * y).signum();
                (sign * left.0, sign * left.1)
            }
            kind => {
                let (direction, (x, y)) = self.direction();
                let (per, share) = match kind {
                    1 => ("per length", 1.0),
                    _ => ("per level length", unit.0.abs()),
                };
                // Nothing of an upright member is level.
                let (per, share) = match share < 0.1 {
                    true => ("per length", 1.0),
                    false => (per, share),
                };
                self.lines.push(format!(
                    "load {words} {direction} from {} to {}, {per}",
                    from.0, to.0
                ));
                (share * x, share * y)
            }
        };
        let long = (to.1 - from.1).abs();
        for strip in 0..STRIPS {
            let share = (strip as f64 + 0.5) / STRIPS as f64;
            let size = (sizes.0 + share * (sizes.1 - sizes.0)) * long / STRIPS as f64;
            let far = from.1 + share * (to.1 - from.1);
            self.forces.push(((size * force.0, size * force.1), far));
        }
    }

    fn text(&self, cuts: &[f64]) -> String {
        let names: Vec<&str> = self.reactions.iter().map(|(name, _)| &**name).collect();
        let mut text = format!("```given\n{}", self.given);
        for (at, cut) in cuts.iter().enumerate() {
            let _ = writeln!(text, "x_{at} = {cut} m");
        }
        let _ = write!(
            text,
            "```\n\n```sketch\n{}\n```\n\n```derive\nex: balance x of s\ney: balance y of s\n\
             em: balance moments about A of s\nsolve ex, ey, em for {}\n\
             shear and moment of s as N(x), V(x), M(x)\n```\n\n```work\n",
            self.lines.join("\n"),
            names.join(", ")
        );
        for (name, reaction) in &self.reactions {
            let unit = match reaction {
                Reaction::Force(..) => "kN",
                Reaction::Couple(_) => "kN m",
            };
            let _ = writeln!(text, "{name} = ? {unit}");
        }
        for at in 0..cuts.len() {
            let _ = writeln!(
                text,
                "n_{at} = N(x_{at}) = ? kN\nv_{at} = V(x_{at}) = ? kN\nm_{at} = M(x_{at}) = ? kN m"
            );
        }
        text + "```\n"
    }

    /// Axial force, shear and moment at a cut, in kN and kN m.
    fn held(&self, reactions: &[f64], x: f64) -> [f64; 3] {
        let (along, left) = (
            (self.along.cos(), self.along.sin()),
            (-self.along.sin(), self.along.cos()),
        );
        let mut found = [0.0; 3];
        let mut count = |(right, up): Vector, far: f64| {
            // At a place the cut is just behind it.
            if far <= x {
                let aside = right * left.0 + up * left.1;
                found[0] -= right * along.0 + up * along.1;
                found[1] += aside;
                found[2] += aside * (x - far);
            }
        };
        self.forces
            .iter()
            .for_each(|(force, far)| count(*force, *far));
        let mut turned: f64 = (self.couples.iter())
            .filter(|(_, far)| *far <= x)
            .map(|(size, _)| size)
            .sum();
        for ((_, reaction), size) in self.reactions.iter().zip(reactions) {
            match reaction {
                Reaction::Force((right, up), far) => count((size * right, size * up), *far),
                Reaction::Couple(far) if *far <= x => turned -= size,
                Reaction::Couple(_) => {}
            }
        }
        found[2] += turned;
        found
    }
}

fn beams(usual: usize) -> usize {
    let asked = std::env::var("BEAMS").ok();
    asked.and_then(|it| it.parse().ok()).unwrap_or(usual)
}

fn derived(sheet: &Worksheet) -> Option<&Statement> {
    let mut blocks = sheet.parts().filter_map(|(_, part)| match &part.kind {
        PartKind::Block { statements, .. } => Some(statements),
        PartKind::Heading { .. } | PartKind::Prose(_) => None,
    });
    blocks.find_map(|block| block.iter().find(|it| matches!(it.body, Body::Shear(_))))
}

/// Whether a drawing can be read: nothing touches, all is in view, the same bytes each time.
fn reads(drawing: &Drawing) -> Result<(), String> {
    let drawn = Drawn {
        drawing: drawing.clone(),
        notes: Vec::new(),
    };
    laws::apart(&drawn).map_err(|it| it.to_string())?;
    laws::inside(&drawn).map_err(|it| it.to_string())?;
    let mut page = String::new();
    svg::write(drawing, "drawing", &mut page);
    if page.contains("NaN") || page.contains("inf") {
        return Err("it has what is no number".to_owned());
    }
    match page.len() < 12_000 {
        true => Ok(()),
        false => Err(format!("it has {} bytes", page.len())),
    }
}

#[test]
fn what_a_member_holds_is_what_strips_say_and_can_be_read() {
    let (mut faults, mut touching, mut largest) = (Vec::new(), Vec::new(), 0);
    let count = beams(40);
    for start in 0..count as u64 {
        let mut beam = Beam::new(start);
        let length = beam.length;
        let cuts: Vec<f64> = (0..3)
            .map(|_| beam.dice.between(0.01 * length, 0.99 * length))
            .collect();
        let text = beam.text(&cuts);
        let sheet = compile(Source::new("beam.md", text.as_str()));
        let errors: Vec<_> = sheet
            .diagnostics
            .iter()
            .filter(|it| it.is_error())
            .collect();
        if !errors.is_empty() {
            faults.push(format!("{text}{errors:?}"));
            continue;
        }
        let values: Vec<f64> = (sheet.statements())
            .filter_map(|(_, statement)| match &statement.body {
                Body::Work(work) => Some(work.shown.si[0] / 1000.0),
                _ => None,
            })
            .collect();
        let (reactions, held) = values.split_at(beam.reactions.len().min(values.len()));
        let size = |at: usize| {
            let forces = beam.forces.iter().map(|((x, y), _)| x.hypot(*y));
            let couples = beam.couples.iter().map(|(size, _)| size.abs());
            let all = forces.sum::<f64>() + reactions.iter().map(|it| it.abs()).sum::<f64>();
            if at == 2 {
                all * length + couples.sum::<f64>()
            } else {
                all
            }
        };
        for (cut, found) in cuts.iter().zip(held.chunks(3)) {
            let wanted = beam.held(reactions, *cut);
            for (at, (found, wanted)) in found.iter().zip(wanted).enumerate() {
                // A strip is on one side of the cut or on the other.
                if (found - wanted).abs() > 2e-3 * size(at) {
                    faults.push(format!("{text}at {cut} {at}: {found} and {wanted}"));
                }
            }
        }
        // Behind everything nothing is left.
        for (at, left) in beam.held(reactions, 2.0 * length).into_iter().enumerate() {
            if left.abs() > 1e-5 * size(at) {
                faults.push(format!("{text}{left} is left over"));
            }
        }
        let names = super::super::names(&sheet);
        let found = sheet
            .problems
            .iter()
            .zip(&names)
            .find_map(|(placed, names)| {
                let page = Page::new(&sheet, placed, names, 0);
                cut::figure(&page, derived(&sheet)?)
            });
        let Some(figure) = found else {
            faults.push(format!("{text}it has no figure"));
            continue;
        };
        let drawings = std::iter::once(&figure.wide).chain(figure.narrow.iter());
        for (at, drawing) in drawings.enumerate() {
            let mut bytes = String::new();
            svg::write(drawing, "drawing", &mut bytes);
            largest = largest.max(bytes.len());
            if let Err(why) = reads(drawing) {
                touching.push(format!("{text}drawing {at}: {why}"));
            }
        }
    }
    println!(
        "{count} members, {} faults, {} drawings that cannot be read, at most {largest} bytes",
        faults.len(),
        touching.len()
    );
    assert!(
        faults.is_empty(),
        "{} of {count}: {}",
        faults.len(),
        faults[0]
    );
    assert!(
        touching.is_empty(),
        "{} of {count}: {}",
        touching.len(),
        touching[0]
    );
}
