//! Slips that are planted in the balances of random bodies: each is found, and told as what it is.
//!
//! The balances are put together here from a table of directions, x and y apart, and moments as
//! upward parts times distances from the left end; nothing of the program's own rules is used.

use setsquare::text::Source;
use setsquare::worksheet::{Agreement, Body, Worksheet};

use super::beside::compile;

/// Words of a direction, and its parts to the right and up; `t` is the angle of the force.
pub const DIRECTIONS: [(&str, &str, &str); 11] = [
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
pub struct Drawn(pub u64);

impl Drawn {
    pub fn below(&mut self, count: usize) -> usize {
        self.0 = self
            .0
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1);
        (self.0 >> 33) as usize % count
    }
}

/// A term of a balance: the sign, and its factors.
#[derive(Clone)]
pub struct Term {
    pub is_negative: bool,
    pub factors: Vec<String>,
    /// How a message names it.
    told: String,
}

impl Term {
    /// Its factors with sine and cosine exchanged.
    pub fn exchanged(&self) -> Vec<String> {
        let factors = self.factors.iter();
        let exchanged = factors.map(|factor| match factor.strip_prefix("sin") {
            Some(rest) => format!("cos{rest}"),
            None => factor.replacen("cos", "sin", 1),
        });
        exchanged.collect()
    }

    pub fn of(name: &str, part: &str, angle: &str, arm: &str) -> Option<Self> {
        let sign = part.chars().next()?;
        let factor = part[1..].trim().replace("(t)", &format!("({angle})"));
        let factors = [name, &factor, arm].map(str::to_owned);
        Some(Self {
            is_negative: sign == '-',
            factors: factors.into_iter().filter(|it| !it.is_empty()).collect(),
            told: format!("`{name}`"),
        })
    }

    /// A term by its factors, named by the first or in words.
    fn plain(is_negative: bool, factors: &[&str], told: &str) -> Self {
        Self {
            is_negative,
            factors: factors.iter().map(|it| (*it).to_owned()).collect(),
            told: match told.is_empty() {
                true => format!("`{}`", factors[0]),
                false => told.to_owned(),
            },
        }
    }

    fn written(&self) -> String {
        let sign = if self.is_negative { "-" } else { "+" };
        format!("{sign} {}", self.factors.join("*"))
    }
}

pub fn sum(terms: &[Term]) -> String {
    let all: Vec<String> = terms.iter().map(Term::written).collect();
    let all = all.join(" ");
    match all.strip_prefix("+ ") {
        Some(rest) => rest.to_owned(),
        None if all.is_empty() => "0".to_owned(),
        None => all.replacen("- ", "-", 1),
    }
}

/// A level beam with a few forces, some with places above it, so that both components of each turn
/// it: its lines, and its balances by their words.
fn body(drawn: &mut Drawn) -> (String, Vec<(String, Vec<Term>)>) {
    let heights = match drawn.below(2) {
        0 => [""; 4],
        _ => ["", "b", "h", ""],
    };
    let up_by = |height: &str| match height {
        "" => String::new(),
        _ => format!(", {height} up"),
    };
    let mut lines = format!(
        "```sketch\nbeam: body\npoint A\npoint C = a right{} from A\npoint D = c right{} from A\npoint B = L right from A\n\
         beam A to B\npin at A with A_x right, A_y up\nroller at B with B_y up\nweight neglected\n",
        up_by(heights[1]),
        up_by(heights[2]),
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
        let at = match number {
            1 => 1 + drawn.below(2),
            _ => 1 + drawn.below(3),
        };
        let ((place, distance), height) = (PLACES[at], heights[at]);
        let (name, angle) = (format!("F_{number}"), format!("t_{number}"));
        let words = words.replace(" t ", &format!(" {angle} "));
        lines.push_str(&format!("force {name} {words} at {place}\n"));
        x.extend(Term::of(&name, right, &angle, ""));
        y.extend(Term::of(&name, up, &angle, ""));
        turning.extend(Term::of(&name, up, &angle, distance));
        if !height.is_empty() {
            turning.extend(Term::of(&name, right, &angle, height).map(|term| Term {
                is_negative: !term.is_negative,
                ..term
            }));
        }
    }
    // Every place is used.
    lines.push_str("bar C to D\n```\n");
    let balances = vec![
        ("balance x of beam".to_owned(), x),
        ("balance y of beam".to_owned(), y),
        ("balance moments about A of beam".to_owned(), turning),
    ];
    (lines, balances)
}

/// A fluid at rest of a few columns, each with a fluid of four.
fn columns(drawn: &mut Drawn) -> (String, Vec<(String, Vec<Term>)>) {
    let mut lines = String::from("```sketch\ntube: fluid at rest\n");
    let mut terms = Vec::new();
    let mut end = |lines: &mut String, word, letter, is_open: bool, is_negative| {
        let name = format!("p_{letter}");
        match is_open {
            true => lines.push_str(&format!("{word} {letter}, open\n")),
            false => {
                lines.push_str(&format!("{word} {letter}, pressure {name}\n"));
                terms.push(Term::plain(is_negative, &[&name], ""));
            }
        }
    };
    let opens = drawn.below(3);
    end(&mut lines, "from", "A", opens == 1, false);
    let mut found = Vec::new();
    for number in 1..=2 + drawn.below(4) {
        let (length, angle) = (format!("h_{number}"), format!("t_{number}"));
        let fluid = format!("rho_{}", 1 + drawn.below(4));
        let own = [length.as_str(), fluid.as_str(), "g"];
        let oblique = format!("sin({angle})");
        let (words, is_negative) = match drawn.below(4) {
            0 => (format!("down {length}"), false),
            1 => (format!("up {length}"), true),
            2 => (format!("along {length} at {angle} above left"), true),
            _ => (format!("along {length} at {angle} below right"), false),
        };
        lines.push_str(&format!("{words} in {fluid}\n"));
        let mut factors = own.to_vec();
        if words.starts_with("along") {
            factors.push(&oblique);
        }
        found.push(Term::plain(is_negative, &factors, ""));
    }
    end(&mut lines, "to", "B", opens == 2, true);
    lines.push_str("gravity g\n```\n");
    terms.extend(found);
    (lines, vec![("balance pressure of tube".to_owned(), terms)])
}

/// A stream past a few sections, with what stands between them.
fn stream(drawn: &mut Drawn) -> (String, Vec<(String, Vec<Term>)>) {
    let mut lines = String::from("```sketch\npipe: control volume around a pipe\n");
    // Of each section its terms; of what lies behind it, too.
    let mut sections: Vec<Vec<Term>> = Vec::new();
    let mut between: Vec<Vec<Term>> = Vec::new();
    let count = 2 + drawn.below(3);
    for number in 1..=count {
        let named = |what: &str| format!("{what} at section {number}");
        let level = format!("z_{number}");
        let (pressure, speed) = (
            format!("(p_{number}/(rho g))"),
            format!("(V_{number}^2/(2 g))"),
        );
        if drawn.below(3) == 0 {
            lines.push_str(&format!("surface {number} level {level}\n"));
            let told = format!("the level at surface {number}");
            sections.push(vec![Term::plain(false, &[&level], &told)]);
        } else {
            lines.push_str(&format!(
                "section {number} level {level}, speed V_{number}, pressure p_{number}\n"
            ));
            sections.push(vec![
                Term::plain(false, &[&pressure], &named("the pressure head")),
                Term::plain(false, &[&speed], &named("the speed head")),
                Term::plain(false, &[&level], &named("the level")),
            ]);
        }
        let mut devices = Vec::new();
        for other in 0..drawn.below(3) {
            let name = format!("h_{number}{other}");
            let (word, is_negative) =
                [("pump", false), ("turbine", true), ("loss", true)][drawn.below(3)];
            lines.push_str(&format!("{word} {name}\n"));
            devices.push(Term::plain(is_negative, &[&name], ""));
        }
        between.push(devices);
    }
    lines.push_str("density rho\ngravity g\n```\n");
    let mut balances = Vec::new();
    for from in 0..count {
        for to in from + 1..count {
            let mut terms = sections[from].clone();
            terms.extend(between[from..to].iter().flatten().cloned());
            terms.extend(sections[to].iter().cloned().map(|term| Term {
                is_negative: true,
                ..term
            }));
            let words = format!("balance heads from {} to {} of pipe", from + 1, to + 1);
            balances.push((words, terms));
        }
    }
    (lines, balances)
}

/// What is said of each equation.
pub fn verdicts(sketch: &str, equations: &[(String, &str)]) -> (Vec<Agreement>, Worksheet) {
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

/// Equations that were compared with balances, and what was not as it has to be.
#[derive(Default)]
pub struct Compared {
    count: usize,
    planted: usize,
    named: usize,
    faults: Vec<String>,
}

impl Compared {
    /// Compares equations, each with the code and the name that tell its slip; one without has to
    /// agree.
    pub fn judge(
        &mut self,
        sketch: &str,
        equations: &[(String, &str)],
        wanted: &[Option<(&str, String)>],
    ) {
        let (found, sheet) = verdicts(sketch, equations);
        if found.len() != equations.len() {
            let told: Vec<&str> = sheet.diagnostics.iter().map(|it| &*it.message).collect();
            self.faults.push(format!(
                "{sketch}{} of {} lines compared: {told:?}",
                found.len(),
                equations.len()
            ));
            return;
        }
        for (((equation, words), wanted), found) in equations.iter().zip(wanted).zip(&found) {
            self.count += 1;
            self.planted += usize::from(wanted.is_some());
            let is_right = match (wanted, found) {
                (None, Agreement::Agrees { .. }) => true,
                (Some((code, name)), Agreement::Differs(found)) => {
                    let is_named = found.code.as_str() == *code && found.message.contains(name);
                    self.named += usize::from(is_named);
                    is_named
                }
                _ => false,
            };
            if !is_right {
                self.faults.push(format!(
                    "{sketch}{equation} by {words}: {wanted:?} and {found:?}"
                ));
            }
        }
    }

    /// How much was compared.
    pub fn told(&self) -> String {
        let (count, planted, named) = (self.count, self.planted, self.named);
        format!("{count} equations, {planted} slips, {named} named as planted")
    }

    /// All that have to agree do, and every slip is told as what it is.
    pub fn hold(self) {
        let Self {
            count,
            planted,
            faults,
            ..
        } = self;
        assert!(planted > 50, "{planted} slips");
        assert!(
            faults.is_empty(),
            "{} of {count}: {}",
            faults.len(),
            faults[..faults.len().min(5)].join("\n\n")
        );
    }
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
    let exchanged = terms[at].exchanged();
    if exchanged != terms[at].factors && terms.len() > 1 {
        found.push((with(&|all| all[at].factors = exchanged.clone()), "B04"));
    }
    found
}

/// How many are drawn, where nothing else is asked for; many more were run once.
pub fn bodies(few: usize) -> usize {
    std::env::var("BODIES")
        .ok()
        .and_then(|it| it.parse().ok())
        .unwrap_or(few)
}

#[test]
fn balances_agree_in_any_form_and_planted_slips_are_told() {
    let mut drawn = Drawn(20_261_127);
    let mut compared = Compared::default();
    for number in 0..3 * bodies(6) {
        let (sketch, balances) = match number % 3 {
            0 => body(&mut drawn),
            1 => columns(&mut drawn),
            _ => stream(&mut drawn),
        };
        for (words, terms) in &balances {
            // Of one term alone there is nothing to compare with.
            if terms.len() < 2 {
                continue;
            }
            let words = words.as_str();
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
            let mut equations: Vec<(String, &str)> = forms.map(|it| (it, words)).into();
            let mut wanted: Vec<Option<(&str, String)>> = vec![None; equations.len()];
            for at in 0..terms.len() {
                for (changed, code) in slips(terms, at) {
                    equations.push((format!("{} = 0", sum(&changed)), words));
                    wanted.push(Some((code, terms[at].told.clone())));
                }
            }
            compared.judge(&sketch, &equations, &wanted);
        }
    }
    println!("{}", compared.told());
    compared.hold();
}

/// Plain numbers of a fluid at rest and of a stream give what worksheets of them give.
#[test]
fn columns_and_heads_are_those_of_plain_numbers() {
    let (mut held, mut faults) = (0, Vec::new());
    for start in 0..10 * bodies(6) as u64 {
        let mut body = Clamped::new(Drawn(start.wrapping_mul(0x9E37_79B9_7F4A_7C15) + 3));
        let (lines, derive, work, wanted) = match start % 2 {
            0 => tube(&mut body),
            _ => plant(&mut body),
        };
        let text = format!(
            "```given\ng = 9.81 m/s^2\n{}```\n\n```sketch\n{lines}```\n\n```derive\n{derive}```\n\n```work\n{work}```\n",
            body.given
        );
        let sheet = compile(Source::new("numbers.md", text.clone()));
        let found = (sheet.statements()).find_map(|(_, statement)| match &statement.body {
            Body::Work(work) => Some(work.shown.values[0]),
            _ => None,
        });
        match found {
            Some(found) if (found - wanted).abs() < 1e-6 * (1.0 + wanted.abs()) => held += 1,
            _ => faults.push(format!(
                "{text}{found:?} and {wanted}: {:?}",
                sheet.diagnostics
            )),
        }
    }
    println!("{held} columns and streams");
    assert!(faults.is_empty(), "{}: {}", faults.len(), faults[0]);
}

/// The pressure at the far end of random columns.
fn tube(body: &mut Clamped) -> (String, String, String, f64) {
    let (name, mut pressure) = body.quantity("p", (5.0, 90.0), "kPa gauge");
    let mut lines = format!("tube: fluid at rest\nfrom A, pressure {name}\n");
    for _ in 0..1 + body.drawn.below(5) {
        let (length, long) = body.quantity("h", (0.1, 3.0), "m");
        let (density, rho) = body.quantity("rho", (600.0, 13_600.0), "kg/m^3");
        let (words, up) = match body.drawn.below(4) {
            0 => (format!("down {length}"), -1.0),
            1 => (format!("up {length}"), 1.0),
            _ => {
                let (words, angle) = body.direction();
                (format!("along {length} {words}"), angle.sin())
            }
        };
        lines.push_str(&format!("{words} in {density}\n"));
        pressure -= rho * 9.81 * long * up / 1000.0;
    }
    lines.push_str("to B, pressure p_B\n");
    let derive = "all: balance pressure of tube\nsolve all for p_B\n".to_owned();
    (lines, derive, "p_B = ? kPa\n".to_owned(), pressure)
}

/// The head of a pump between random sections.
fn plant(body: &mut Clamped) -> (String, String, String, f64) {
    let (density, rho) = body.quantity("rho", (700.0, 1200.0), "kg/m^3");
    let mut lines = String::from("plant: control volume around a pipe\n");
    let mut head = 0.0;
    for (number, sign) in [(1, -1.0), (2, 1.0)] {
        let (level, z) = body.quantity("z", (-5.0, 60.0), "m");
        head += sign * z;
        if body.drawn.below(2) == 0 {
            lines.push_str(&format!("surface {number} level {level}\n"));
        } else {
            let (pressure, p) = body.quantity("p", (5.0, 400.0), "kPa gauge");
            let (diameter, d) = body.quantity("D", (50.0, 300.0), "mm");
            let (flow, q) = body.quantity("Q", (2.0, 60.0), "L/s");
            lines.push_str(&format!(
                "section {number} level {level}, pressure {pressure}, diameter {diameter}, volume flow {flow}\n"
            ));
            let speed = q / 1000.0 / (std::f64::consts::PI * (d / 1000.0).powi(2) / 4.0);
            head += sign * (p * 1000.0 / (rho * 9.81) + speed * speed / (2.0 * 9.81));
        }
        if number == 1 {
            lines.push_str("pump h_p\n");
            for _ in 0..body.drawn.below(3) {
                let (loss, h) = body.quantity("h", (0.1, 9.0), "m");
                let word = ["loss", "turbine"][body.drawn.below(2)];
                lines.push_str(&format!("{word} {loss}\n"));
                head += h;
            }
        }
    }
    lines.push_str(&format!("density {density}\n"));
    let derive = "all: balance heads from 1 to 2 of plant\nsolve all for h_p\n".to_owned();
    (lines, derive, "h_p = ? m\n".to_owned(), head)
}

/// A vector of the page.
type Vector = (f64, f64);

/// A random clamped body as its lines, with what is known of it as plain numbers.
struct Clamped {
    drawn: Drawn,
    given: String,
    lines: Vec<String>,
    places: Vec<Vector>,
    /// The x axis, in radians, and whether y is anticlockwise from it.
    axes: (f64, bool),
    count: usize,
}

/// Letters of places.
const LETTERS: [&str; 4] = ["A", "B", "C", "D"];

impl Clamped {
    fn new(drawn: Drawn) -> Self {
        Self {
            drawn,
            given: String::new(),
            lines: vec!["s: body".to_owned()],
            places: Vec::new(),
            axes: (0.0, true),
            count: 0,
        }
    }

    /// A quantity of its own, with a value between two.
    fn quantity(&mut self, letter: &str, ends: (f64, f64), unit: &str) -> (String, f64) {
        self.count += 1;
        let share = self.drawn.below(1000) as f64 / 1000.0;
        let value = ((ends.0 + share * (ends.1 - ends.0)) * 1000.0).round() / 1000.0;
        let name = format!("{letter}_{}", self.count);
        self.given.push_str(&format!("{name} = {value} {unit}\n"));
        (name, value)
    }

    /// A direction in words, and as an angle in radians.
    fn direction(&mut self) -> (String, f64) {
        let quarter = std::f64::consts::FRAC_PI_2;
        match self.drawn.below(4) {
            0 => {
                let at = self.drawn.below(4);
                let words = ["right", "up", "left", "down"][at].to_owned();
                (words, at as f64 * quarter)
            }
            1 => {
                let (name, value) = self.quantity("t", (3.0, 85.0), "deg");
                let (words, from, sign) = [
                    ("above right", 0.0, 1.0),
                    ("above left", 2.0, -1.0),
                    ("below right", 0.0, -1.0),
                    ("below left", 2.0, 1.0),
                    ("left of up", 1.0, 1.0),
                    ("right of up", 1.0, -1.0),
                    ("left of down", 3.0, -1.0),
                    ("right of down", 3.0, 1.0),
                ][self.drawn.below(8)];
                (
                    format!("at {name} {words}"),
                    from * quarter + sign * value.to_radians(),
                )
            }
            2 => {
                let (rise, run) = [(3.0, 4.0), (5.0, 12.0), (1.0, 2.0)][self.drawn.below(3)];
                let (up, right) = (self.drawn.below(2) == 0, self.drawn.below(2) == 0);
                let words = format!(
                    "{} {rise} in {run} {}",
                    if up { "rising" } else { "falling" },
                    if right { "right" } else { "left" }
                );
                let signed = |is_plus, value: f64| if is_plus { value } else { -value };
                (words, signed(up, rise).atan2(signed(right, run)))
            }
            _ => {
                let (name, value) = self.quantity("t", (3.0, 85.0), "deg");
                let sign = if self.axes.1 { 1.0 } else { -1.0 };
                (
                    format!("at {name} from x"),
                    self.axes.0 + sign * value.to_radians(),
                )
            }
        }
    }

    /// Axes, and places reached by one or two legs from those before.
    fn shape(&mut self) {
        if self.drawn.below(2) == 0 {
            let (name, value) = self.quantity("t", (5.0, 80.0), "deg");
            let is_anticlockwise = self.drawn.below(2) == 0;
            let y = if is_anticlockwise {
                "left of up"
            } else {
                "right of down"
            };
            self.lines
                .push(format!("axes x at {name} above right, y at {name} {y}"));
            self.axes = (value.to_radians(), is_anticlockwise);
        }
        self.lines.push("point A".to_owned());
        self.places.push((0.0, 0.0));
        for letter in &LETTERS[1..] {
            let from = self.drawn.below(self.places.len());
            let (mut x, mut y) = self.places[from];
            let mut legs = Vec::new();
            for _ in 0..=self.drawn.below(2) {
                let (length, long) = self.quantity("l", (0.3, 3.0), "m");
                let (words, angle) = self.direction();
                (x, y) = (x + long * angle.cos(), y + long * angle.sin());
                legs.push(format!("{length} {words}"));
            }
            let legs = legs.join(", ");
            self.lines
                .push(format!("point {letter} = {legs} from {}", LETTERS[from]));
            self.places.push((x, y));
        }
        for letter in &LETTERS[1..] {
            self.lines.push(format!("bar A to {letter}"));
        }
        self.lines.push("weight neglected".to_owned());
    }

    /// A force at a place, each as a vector.
    fn force(&mut self) -> (Vector, Vector) {
        let at = 1 + self.drawn.below(3);
        let (name, size) = self.quantity("F", (0.5, 9.0), "kN");
        let other = 1 + self.drawn.below(3);
        let (words, angle) = match other == at {
            true => self.direction(),
            false => {
                let (here, there) = (self.places[at], self.places[other]);
                let angle = (there.1 - here.1).atan2(there.0 - here.0);
                (format!("toward {}", LETTERS[other]), angle)
            }
        };
        let kind = ["force", "cable", "friction"][self.drawn.below(3)];
        self.lines
            .push(format!("{kind} {name} {words} at {}", LETTERS[at]));
        ((size * angle.cos(), size * angle.sin()), self.places[at])
    }

    /// Water on a line as the forces of many strips, each pressed square by its own depth, from a
    /// side that the line faces.
    fn water(&mut self) -> Vec<(Vector, Vector)> {
        let at = 1 + self.drawn.below(3);
        let to = 1 + at % 3;
        let ((x1, y1), (x2, y2)) = (self.places[at], self.places[to]);
        let (dx, dy) = (x2 - x1, y2 - y1);
        let level = self.drawn.below(4);
        // The surface lies over both ends.
        let least = (y1.max(y2) - self.places[level].1).max(0.0);
        let (height, high) = self.quantity("h", (least + 0.1, least + 2.0), "m");
        let surface = self.places[level].1 + high;
        let (density, rho) = self.quantity("rho", (700.0, 1300.0), "kg/m^3");
        let (width, wide) = self.quantity("b", (0.3, 2.0), "m");
        let (pressed, over) = match self.drawn.below(2) {
            0 => (String::new(), 0.0),
            _ => {
                let (name, over) = self.quantity("p", (1.0, 20.0), "kPa gauge");
                (format!(", pressure {name}"), over)
            }
        };
        let side = self.drawn.below(4);
        let words = ["right", "above", "left", "below"][side];
        let (right, up) = [(1.0, 0.0), (0.0, 1.0), (-1.0, 0.0), (0.0, -1.0)][side];
        self.lines.push(format!(
            "water {density} on {} to {} from {words}, surface {height} above {}{pressed}, width {width}",
            LETTERS[at], LETTERS[to], LETTERS[level]
        ));
        let sign = if right * -dy + up * dx > 0.0 {
            1.0
        } else {
            -1.0
        };
        let strips = 2000;
        let strip = |number: usize| {
            let share = (number as f64 + 0.5) / strips as f64;
            let place = (x1 + share * dx, y1 + share * dy);
            // In kN, as all forces here.
            let push = rho * 9.81 / 1000.0 * (surface - place.1) + over;
            let push = push * wide / strips as f64;
            ((push * sign * dy, push * -sign * dx), place)
        };
        (0..strips).map(strip).collect()
    }

    /// A load as the forces of many strips, each with its place.
    fn load(&mut self) -> Vec<(Vector, Vector)> {
        let at = 1 + self.drawn.below(3);
        let to = 1 + at % 3;
        let ((x1, y1), (x2, y2)) = (self.places[at], self.places[to]);
        let (first, size) = self.quantity("q", (0.5, 5.0), "kN/m");
        let (sizes, ends) = match self.drawn.below(3) {
            0 => ((size, size), first),
            1 => ((0.0, size), format!("0 to {first}")),
            _ => {
                let (last, other) = self.quantity("q", (0.5, 5.0), "kN/m");
                ((size, other), format!("{first} to {last}"))
            }
        };
        let (dx, dy) = (x2 - x1, y2 - y1);
        let way = format!("{} to {}", LETTERS[at], LETTERS[to]);
        let spread = match self.drawn.below(3) {
            0 => {
                let side = self.drawn.below(4);
                let words = ["right", "above", "left", "below"][side];
                let (right, up) = [(1.0, 0.0), (0.0, 1.0), (-1.0, 0.0), (0.0, -1.0)][side];
                self.lines
                    .push(format!("load {ends} on {way} from {words}"));
                let sign = if right * -dy + up * dx > 0.0 {
                    1.0
                } else {
                    -1.0
                };
                (sign * dy, -sign * dx)
            }
            kind => {
                let (words, angle) = self.direction();
                let (per, long) = match kind {
                    1 => ("per length", dx.hypot(dy)),
                    _ => ("per level length", dx.abs()),
                };
                self.lines
                    .push(format!("load {ends} {words} from {way}, {per}"));
                (long * angle.cos(), long * angle.sin())
            }
        };
        let strips = 400;
        let strip = |number: usize| {
            let share = (number as f64 + 0.5) / strips as f64;
            let load = (sizes.0 + share * (sizes.1 - sizes.0)) / strips as f64;
            (
                (load * spread.0, load * spread.1),
                (x1 + share * dx, y1 + share * dy),
            )
        };
        (0..strips).map(strip).collect()
    }
}

/// What acts on the clamp is that of plain vectors, whatever the body; a line is refused only where
/// the data turn it over.
#[test]
fn clamps_carry_what_plain_vectors_say() {
    let (mut held, mut refused, mut faults) = (0, 0, Vec::new());
    for start in 0..10 * bodies(6) as u64 {
        let mut body = Clamped::new(Drawn(start.wrapping_mul(0x9E37_79B9_7F4A_7C15) + 7));
        body.shape();
        let (mut acts, mut couple) = (Vec::new(), 0.0);
        for _ in 0..1 + body.drawn.below(3) {
            match body.drawn.below(7) {
                0 | 1 => acts.push(body.force()),
                2 | 3 => acts.extend(body.load()),
                4 | 5 => acts.extend(body.water()),
                _ => {
                    let (name, size) = body.quantity("M", (0.5, 9.0), "kN m");
                    body.lines.push(format!("moment {name} clockwise at B"));
                    couple -= size;
                }
            }
        }
        body.lines
            .push("fixed at A with A_x right, A_y up, M_A anticlockwise".to_owned());
        let about = LETTERS[body.drawn.below(4)];
        let text = format!(
            "```given\ng = 9.81 m/s^2\n{}```\n\n```sketch\n{}\n```\n\n```derive\nex: balance x of s\ney: balance y of s\n\
             em: balance moments about {about} of s\nsolve ex, ey, em for A_x, A_y, M_A\n```\n\n\
             ```work\nA_x = ? kN\nA_y = ? kN\nM_A = ? kN m\n```\n",
            body.given,
            body.lines.join("\n")
        );
        let sheet = compile(Source::new("clamped.md", text.clone()));
        let errors = sheet.diagnostics.iter().filter(|it| it.is_error());
        let codes: Vec<&str> = errors.map(|it| it.code.as_str()).collect();
        if !codes.is_empty() {
            refused += 1;
            if codes.iter().any(|code| *code != "G33") {
                faults.push(format!("{text}{codes:?}"));
            }
            continue;
        }
        let sum = |of: &dyn Fn(&(Vector, Vector)) -> f64| acts.iter().map(of).sum::<f64>();
        let wanted = [
            -sum(&|(force, _)| force.0),
            -sum(&|(force, _)| force.1),
            -sum(&|(force, at)| at.0 * force.1 - at.1 * force.0) - couple,
        ];
        let found: Vec<f64> = (sheet.statements())
            .filter_map(|(_, statement)| match &statement.body {
                Body::Work(work) => Some(work.shown.values[0]),
                _ => None,
            })
            .collect();
        let size = wanted.iter().fold(1.0_f64, |size, it| size.max(it.abs()));
        let close = |(found, wanted): (&f64, &f64)| (found - wanted).abs() < 1e-4 * size;
        match found.len() == 3 && found.iter().zip(&wanted).all(close) {
            true => held += 1,
            false => faults.push(format!("{text}{found:?} and {wanted:?}")),
        }
    }
    println!("{held} bodies, {refused} refused");
    assert!(held > refused, "{held} and {refused}");
    assert!(faults.is_empty(), "{}: {}", faults.len(), faults[0]);
}
