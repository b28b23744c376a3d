//! Slips that are planted in the balances of random control volumes, and their forces against plain
//! vectors.
//!
//! The balances are put together here from a table of directions, x and y apart; nothing of the
//! program's own rules is used.

use setsquare::text::Source;
use setsquare::worksheet::Body;

use super::beside::compile;
use super::sketches::{Compared, DIRECTIONS, Drawn, Term, bodies, sum};

/// A term of a balance, what it is called, and whether it stands on the left.
struct Part {
    term: Term,
    called: String,
    is_left: bool,
}

/// A control volume with one inlet and some outlets.
struct Volume {
    lines: Vec<String>,
    /// What counts along x and along y.
    parts: [Vec<Part>; 2],
    /// Of open outlets: the number, and its components.
    open: Vec<(usize, [String; 2])>,
    outlets: usize,
}

impl Volume {
    fn new(drawn: &mut Drawn) -> Self {
        let outlets = 1 + drawn.below(2);
        let mut found = Self {
            lines: vec!["cv: control volume".to_owned()],
            parts: [Vec::new(), Vec::new()],
            open: Vec::new(),
            outlets,
        };
        for number in 1..=1 + outlets {
            found.section(drawn, number);
        }
        // What acts has a part along both axes, so that no balance has two terms alone.
        for number in 1..=2 {
            let (words, right, up) = DIRECTIONS[4 + drawn.below(DIRECTIONS.len() - 4)];
            let angle = format!("a_{number}");
            let words = words.replace(" t ", &format!(" {angle} "));
            let name = format!("F_{number}");
            found.lines.push(format!("force {name} {words}"));
            for (axis, part) in [right, up].into_iter().enumerate() {
                if let Some(term) = Term::of(&name, part, &angle, "") {
                    found.parts[axis].push(Part {
                        term,
                        called: format!("`{name}`"),
                        is_left: true,
                    });
                }
            }
        }
        found.lines.push("weight neglected\ndensity rho".to_owned());
        found
    }

    fn section(&mut self, drawn: &mut Drawn, number: usize) {
        let is_inlet = number == 1;
        let (words, right, up) = DIRECTIONS[drawn.below(DIRECTIONS.len())];
        let angle = format!("b_{number}");
        let words = words.replace(" t ", &format!(" {angle} "));
        let word = if is_inlet { "inlet" } else { "outlet" };
        let is_open = !is_inlet && drawn.below(2) == 0;
        let pressure = match is_open {
            true => "open".to_owned(),
            false => format!("pressure p_{number}"),
        };
        self.lines.push(format!(
            "{word} {number} flow {words}, area A_{number}, speed V_{number}, {pressure}"
        ));
        if is_open {
            let component = |part: &str| match part {
                "" => String::new(),
                "+" | "-" => "1".to_owned(),
                part => part[2..].replace("(t)", &format!("({angle})")),
            };
            self.open.push((number, [component(right), component(up)]));
        }
        for (axis, part) in [right, up].into_iter().enumerate() {
            let turned = |part: &str| match part.strip_prefix('-') {
                Some(rest) => format!("+{rest}"),
                None => part.replacen('+', "-", 1),
            };
            // Pressure pushes with the flow at an inlet; momentum that enters is taken off.
            let (pushes, carries) = match is_inlet {
                true => (part.to_owned(), turned(part)),
                false => (turned(part), part.to_owned()),
            };
            let name = format!("p_{number}*A_{number}");
            if let (Some(term), false) = (Term::of(&name, &pushes, &angle, ""), is_open) {
                self.parts[axis].push(Part {
                    term,
                    called: format!("pressure force at {word} {number}"),
                    is_left: true,
                });
            }
            let name = format!("rho*A_{number}*V_{number}^2");
            if let Some(term) = Term::of(&name, &carries, &angle, "") {
                self.parts[axis].push(Part {
                    term,
                    called: format!("momentum at {word} {number}"),
                    is_left: false,
                });
            }
        }
    }

    fn sketch(&self) -> String {
        format!("```sketch\n{}\n```\n", self.lines.join("\n"))
    }
}

fn side(parts: &[Part], is_left: bool) -> Vec<Term> {
    let own = parts.iter().filter(|part| part.is_left == is_left);
    own.map(|part| part.term.clone()).collect()
}

fn equation(parts: &[Part]) -> String {
    format!("{} = {}", sum(&side(parts, true)), sum(&side(parts, false)))
}

fn copied(parts: &[Part]) -> Vec<Part> {
    let one = |part: &Part| Part {
        term: part.term.clone(),
        called: part.called.clone(),
        is_left: part.is_left,
    };
    parts.iter().map(one).collect()
}

/// The balance with a slip in each term: its codes, and what has to be named.
fn slips(parts: &[Part]) -> Vec<(String, &'static str, String)> {
    let mut found = Vec::new();
    for (at, part) in parts.iter().enumerate() {
        let mut add = |code, change: &dyn Fn(&mut Vec<Part>)| {
            let mut changed = copied(parts);
            change(&mut changed);
            found.push((equation(&changed), code, part.called.clone()));
        };
        add("B02", &|all| drop(all.remove(at)));
        add("B03", &|all| {
            all[at].term.is_negative = !all[at].term.is_negative
        });
        add("B07", &|all| all[at].term.factors.insert(0, "2".to_owned()));
        let is_component = |it: &String| it.starts_with("cos") || it.starts_with("sin");
        if part.term.factors.iter().any(is_component) {
            add("B04", &|all| {
                all[at].term.factors = all[at].term.exchanged();
            });
            add("B04", &|all| {
                all[at].term.factors.retain(|it| !is_component(it))
            });
        }
    }
    found
}

#[test]
fn balances_of_control_volumes_agree_in_any_form_and_planted_slips_are_told() {
    let mut drawn = Drawn(41_503);
    let mut compared = Compared::default();
    for _ in 0..bodies(3) {
        let volume = Volume::new(&mut drawn);
        for (axis, words) in ["balance x of cv", "balance y of cv"]
            .into_iter()
            .enumerate()
        {
            let parts = &volume.parts[axis];
            if parts.len() < 3 {
                continue;
            }
            let (left, right) = (side(parts, true), side(parts, false));
            let mut forms = vec![
                equation(parts),
                format!("3 ({}) = 3*({})", sum(&left), sum(&right)),
                format!("{} - ({}) = 0", sum(&left), sum(&right)),
            ];
            if volume.outlets == 1 {
                // What flows out is what flows in.
                forms.push(equation(parts).replace("rho*A_2*V_2^2", "rho*A_1*V_1*V_2"));
            }
            let mut equations: Vec<(String, &str)> =
                forms.into_iter().map(|it| (it, words)).collect();
            let mut wanted: Vec<Option<(&str, String)>> = vec![None; equations.len()];
            for (slip, code, called) in slips(parts) {
                equations.push((slip, words));
                wanted.push(Some((code, called)));
            }
            for (number, components) in &volume.open {
                let component = &components[axis];
                if component.is_empty() {
                    continue;
                }
                for pressure in ["p_1", "p_atm", "p_9"] {
                    let left = format!("{} - {pressure}*A_{number}*{component}", sum(&left));
                    equations.push((format!("{left} = {}", sum(&right)), words));
                    wanted.push(Some(("B06", format!("outlet {number}"))));
                }
            }
            compared.judge(&volume.sketch(), &equations, &wanted);
        }
    }
    println!("{}", compared.told());
    compared.hold();
}

/// A random control volume as its lines, with what is known of it as plain numbers.
struct Held {
    drawn: Drawn,
    given: String,
    lines: Vec<String>,
    count: usize,
    /// What the sections push with, less what they carry.
    all: (f64, f64),
    /// Of those that say their flow: what comes in, less what goes out.
    flow: f64,
    motion: Option<f64>,
}

const DENSITY: f64 = 998.0;
const GRAVITY: f64 = 9.81;

impl Held {
    fn new(start: u64) -> Self {
        let mut drawn = Drawn(start);
        let moves = drawn.below(3) == 0;
        let mut found = Self {
            drawn,
            given: format!("rho = {DENSITY} kg/m^3\ng = {GRAVITY} m/s^2\n"),
            lines: vec!["s: control volume".to_owned()],
            count: 0,
            all: (0.0, 0.0),
            flow: 0.0,
            motion: None,
        };
        if moves {
            let (name, value) = found.quantity("U", (0.5, 3.0), "m/s");
            found.lines.push(format!("moves {name} right"));
            found.motion = Some(value);
        }
        found
    }

    fn quantity(&mut self, letter: &str, ends: (f64, f64), unit: &str) -> (String, f64) {
        self.count += 1;
        let share = self.drawn.below(1000) as f64 / 1000.0;
        let value = ((ends.0 + share * (ends.1 - ends.0)) * 1000.0).round() / 1000.0;
        let name = format!("{letter}_{}", self.count);
        self.given.push_str(&format!("{name} = {value} {unit}\n"));
        (name, value)
    }

    /// A direction in words and in radians; of a ground speed that is seen while moving it is level.
    fn direction(&mut self, is_level: bool) -> (String, f64) {
        let pi = std::f64::consts::PI;
        if is_level {
            return [("right", 0.0), ("left", pi)].map(|(words, at)| (words.to_owned(), at))
                [self.drawn.below(2)]
            .clone();
        }
        match self.drawn.below(3) {
            0 => {
                let at = self.drawn.below(4);
                let words = ["right", "up", "left", "down"][at].to_owned();
                (words, at as f64 * pi / 2.0)
            }
            1 => {
                let (name, value) = self.quantity("t", (3.0, 85.0), "deg");
                let (words, from, sign) = [
                    ("above right", 0.0, 1.0),
                    ("above left", 1.0, -1.0),
                    ("below right", 0.0, -1.0),
                    ("below left", 1.0, 1.0),
                ][self.drawn.below(4)];
                (
                    format!("at {name} {words}"),
                    from * pi + sign * value.to_radians(),
                )
            }
            _ => {
                let (up, right) = (self.drawn.below(2) == 0, self.drawn.below(2) == 0);
                let words = format!(
                    "{} 3 in 4 {}",
                    if up { "rising" } else { "falling" },
                    if right { "right" } else { "left" }
                );
                let signed = |is_plus, value: f64| if is_plus { value } else { -value };
                (words, signed(up, 3.0_f64).atan2(signed(right, 4.0)))
            }
        }
    }

    /// A section; the last leaves its flow open.
    fn section(&mut self, number: usize, is_last: bool) {
        let is_inlet = number == 1;
        let is_depth = self.drawn.below(4) == 0;
        let is_ground = self.motion.is_some() && !is_last && self.drawn.below(2) == 0;
        let (words, angle) = self.direction(is_depth || is_ground);
        let (mut area_words, area, depth_force) = match (is_depth, self.drawn.below(2)) {
            (true, _) => {
                let (y, depth) = self.quantity("y", (0.3, 2.0), "m");
                let (b, width) = self.quantity("b", (0.3, 2.0), "m");
                let force = DENSITY * GRAVITY * width * depth * depth / 2.0;
                (format!("depth {y}, width {b}"), depth * width, Some(force))
            }
            (false, 0) => {
                let (name, area) = self.quantity("A", (0.01, 0.5), "m^2");
                (format!("area {name}"), area, None)
            }
            _ => {
                let (name, long) = self.quantity("D", (0.1, 0.8), "m");
                let area = std::f64::consts::PI * long * long / 4.0;
                (format!("diameter {name}"), area, None)
            }
        };
        let sign = if is_inlet { 1.0 } else { -1.0 };
        let (flow, speed) = if is_last {
            // What the others leave it.
            let flow = -sign * self.flow;
            (flow, flow / (DENSITY * area))
        } else {
            match (self.motion, is_ground) {
                (Some(motion), true) => {
                    let (name, value) = self.quantity("V", (4.0, 9.0), "m/s");
                    area_words.push_str(&format!(", speed {name}"));
                    let seen = if angle == 0.0 {
                        value - motion
                    } else {
                        value + motion
                    };
                    (DENSITY * area * seen, seen)
                }
                (motion, _) => {
                    let relative = if motion.is_some() { "relative " } else { "" };
                    match self.drawn.below(3) {
                        0 => {
                            let (name, value) = self.quantity("m", (20.0, 90.0), "kg/s");
                            area_words.push_str(&format!(", {relative}mass flow {name}"));
                            (value, value / (DENSITY * area))
                        }
                        1 => {
                            let (name, value) = self.quantity("Q", (0.02, 0.09), "m^3/s");
                            area_words.push_str(&format!(", {relative}volume flow {name}"));
                            (DENSITY * value, value / area)
                        }
                        _ => {
                            let (name, value) = self.quantity("V", (1.0, 5.0), "m/s");
                            area_words.push_str(&format!(", {relative}speed {name}"));
                            (DENSITY * area * value, value)
                        }
                    }
                }
            }
        };
        self.flow += sign * flow;
        let pressure = match (depth_force, self.drawn.below(2)) {
            (Some(force), _) => force,
            (None, 0) => {
                let (name, value) = self.quantity("p", (5.0, 90.0), "kPa gauge");
                area_words.push_str(&format!(", pressure {name}"));
                value * 1000.0 * area
            }
            _ => {
                area_words.push_str(", open");
                0.0
            }
        };
        let word = if is_inlet { "inlet" } else { "outlet" };
        self.lines
            .push(format!("{word} {number} flow {words}, {area_words}"));
        let size = sign * (pressure + flow * speed);
        self.all.0 += size * angle.cos();
        self.all.1 += size * angle.sin();
    }
}

/// What holds a control volume is what plain vectors say, whatever its sections.
#[test]
fn control_volumes_are_held_by_what_plain_vectors_say() {
    let (mut held, mut faults) = (0, Vec::new());
    for start in 0..20 * bodies(3) as u64 {
        let mut volume = Held::new(start.wrapping_mul(0x9E37_79B9_7F4A_7C15) + 3);
        let sections = 2 + volume.drawn.below(2);
        for number in 1..=sections {
            volume.section(number, number == sections);
        }
        volume.lines.push(
            "force R_x right\nforce R_y up\nweight neglected\ndensity rho\ngravity g".to_owned(),
        );
        let text = format!(
            "```given\n{}```\n\n```sketch\n{}\n```\n\n```derive\nex: balance x of s\ney: balance y of s\n\
             solve ex for R_x\nsolve ey for R_y\n```\n\n```work\nR_x = ? N\nR_y = ? N\n```\n",
            volume.given,
            volume.lines.join("\n")
        );
        let sheet = compile(Source::new("held.md", text.clone()));
        let errors = sheet.diagnostics.iter().filter(|it| it.is_error());
        let told: Vec<String> = errors.map(|it| it.message.clone()).collect();
        let wanted = [-volume.all.0, -volume.all.1];
        let found: Vec<f64> = (sheet.statements())
            .filter_map(|(_, statement)| match &statement.body {
                Body::Work(work) => Some(work.shown.values[0]),
                _ => None,
            })
            .collect();
        let size = wanted.iter().fold(1.0_f64, |size, it| size.max(it.abs()));
        let close = |(found, wanted): (&f64, &f64)| (found - wanted).abs() < 1e-4 * size;
        match found.len() == 2 && found.iter().zip(&wanted).all(close) {
            true => held += 1,
            false => faults.push(format!("{text}{told:?} {found:?} and {wanted:?}")),
        }
    }
    println!("{held} control volumes");
    assert!(faults.is_empty(), "{}: {}", faults.len(), faults[0]);
}
