//! Trees written as one line of letters, for drawings: fractions with a slash, roots with their
//! sign, exponents raised.
//!
//! Brackets go around what a slash or a sign would else divide.

use super::names::{Name, Subscript, mark};
use super::tree::{Case, Kind, Node, Number, Quantity, Space, unit_clings};
use crate::text::grouped;

/// Letters that are set alike.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Run {
    /// The letters as they are typed: a quantity's are plain ones.
    pub text: String,
    /// How they are set.
    pub face: Face,
    /// Where they stand.
    pub level: Level,
}

/// How letters are set.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Face {
    /// Upright: words, numbers, units.
    Word,
    /// In italics: a quantity.
    Quantity,
    /// In bold italics: a vector.
    Vector,
}

/// Where letters stand.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Level {
    /// On the line.
    Line,
    /// Above it and smaller.
    Raised,
    /// Below it and smaller.
    Lowered,
}

impl Run {
    /// Upright letters on the line.
    pub fn words(text: impl Into<String>) -> Self {
        Self {
            text: text.into(),
            face: Face::Word,
            level: Level::Line,
        }
    }
}

/// A formula or a value as letters in one line.
pub fn runs(node: &Node) -> Vec<Run> {
    let mut line = Line {
        runs: Vec::new(),
        level: Level::Line,
    };
    line.node(node);
    line.runs
}

/// A row of a formula as it is said: "K sub b", "x to the 2".
pub(super) fn spoken(row: &[Node]) -> String {
    let mut line = Line {
        runs: Vec::new(),
        level: Level::Line,
    };
    row.iter().for_each(|node| line.node(node));
    let mut said = String::new();
    for run in line.runs {
        said.push_str(match run.level {
            Level::Line => "",
            Level::Raised => " to the ",
            Level::Lowered => " sub ",
        });
        said.push_str(&run.text);
    }
    said.trim().to_owned()
}

struct Line {
    runs: Vec<Run>,
    level: Level,
}

impl Line {
    fn put(&mut self, face: Face, text: &str) {
        if text.is_empty() {
            return;
        }
        match self.runs.last_mut() {
            Some(last) if (last.face, last.level) == (face, self.level) => last.text.push_str(text),
            _ => self.runs.push(Run {
                text: text.to_owned(),
                face,
                level: self.level,
            }),
        }
    }

    fn say(&mut self, text: &str) {
        self.put(Face::Word, text);
    }

    /// What `write` writes, raised or lowered; within a raised part all is raised.
    fn at(&mut self, level: Level, write: impl FnOnce(&mut Self)) {
        let before = self.level;
        if before == Level::Line {
            self.level = level;
        }
        write(self);
        self.level = before;
    }

    fn node(&mut self, node: &Node) {
        match node {
            Node::Row(parts) | Node::Words(parts) | Node::Beside(parts) => {
                parts.iter().for_each(|part| self.node(part));
            }
            Node::Name(name) => self.name(name),
            Node::Letter(letter) => self.put(Face::Quantity, letter.encode_utf8(&mut [0; 4])),
            Node::Upright(letter) => self.say(letter.encode_utf8(&mut [0; 4])),
            Node::Function(name) => self.say(name),
            Node::Text(text) => self.say(text),
            Node::Number(number) => self.number(number),
            Node::PowerOfTen(exponent) => self.power_of_ten(*exponent),
            Node::Quantity(quantity) => self.quantity(quantity),
            Node::Unit(unit) => self.unit(unit),
            Node::Operator(sign, kind) => self.operator(sign, *kind),
            Node::Space(space) => self.say(match space {
                Space::Thin => "\u{2009}",
                Space::Word => " ",
                Space::Tie => "\u{a0}",
            }),
            Node::Fraction(halves) => {
                let [above, below] = halves.as_ref();
                self.held(above, is_sum(above));
                self.say("/");
                self.held(below, !is_single(below));
            }
            Node::Power(parts) => {
                let [base, exponent] = parts.as_ref();
                self.held(base, !is_single(base));
                self.at(Level::Raised, |line| line.node(exponent));
            }
            Node::Subscript(parts) => {
                let [base, below] = parts.as_ref();
                self.node(base);
                self.at(Level::Lowered, |line| line.node(below));
            }
            Node::Root(degree, inside) => {
                if *degree != 2 {
                    self.at(Level::Raised, |line| line.say(&degree.to_string()));
                }
                self.say("√");
                self.held(inside, !is_single(inside));
            }
            Node::Fence(fence) => {
                self.say(fence.open);
                self.node(&fence.inside);
                self.say(fence.close);
            }
            Node::Cases(cases) => self.cases(cases),
            Node::Stack(rows) => rows.iter().for_each(|row| self.node(row)),
        }
    }

    /// A part, in brackets where it would not hold together without.
    fn held(&mut self, node: &Node, is_loose: bool) {
        self.say(if is_loose { "(" } else { "" });
        self.node(node);
        self.say(if is_loose { ")" } else { "" });
    }

    fn name(&mut self, name: &Name) {
        if name.has_delta {
            self.say("Δ");
        }
        let face = match (name.letters_are_word(), name.is_vector) {
            (true, _) => Face::Word,
            (false, true) => Face::Vector,
            (false, false) => Face::Quantity,
        };
        self.put(face, &name.letters);
        if let Some(decoration) = name.decoration {
            self.put(face, mark(decoration));
        }
        self.at(Level::Lowered, |line| {
            for (at, subscript) in name.subscripts.iter().enumerate() {
                line.say(if at > 0 { "," } else { "" });
                match subscript {
                    Subscript::Letter(letter) => {
                        line.put(Face::Quantity, letter.encode_utf8(&mut [0; 4]));
                    }
                    Subscript::Number(text) | Subscript::Word(text) => line.say(text),
                }
            }
        });
    }

    fn number(&mut self, number: &Number) {
        self.say(if number.negative { "−" } else { "" });
        self.say(&grouped(&number.mantissa));
        if let Some(exponent) = number.exponent {
            self.power_of_ten(exponent);
        }
        if let Some(factor) = &number.factor {
            self.say(if factor.is_over { "/" } else { " × " });
            self.say(&grouped(&factor.digits));
        }
    }

    fn power_of_ten(&mut self, exponent: i32) {
        self.say(" × 10");
        self.at(Level::Raised, |line| {
            line.say(&exponent.to_string().replace('-', "−"));
        });
    }

    fn quantity(&mut self, quantity: &Quantity) {
        self.say(if quantity.in_brackets { "(" } else { "" });
        self.number(&quantity.number);
        self.unit(&quantity.unit);
        self.say(if quantity.in_brackets { ")" } else { "" });
    }

    fn unit(&mut self, unit: &str) {
        let space = !unit.is_empty() && !unit_clings(unit);
        self.say(if space { "\u{202f}" } else { "" });
        self.say(unit);
    }

    fn operator(&mut self, sign: &str, kind: Kind) {
        match kind {
            Kind::Relation | Kind::Infix { .. } if self.level == Level::Line => {
                self.say(&format!(" {sign} "));
            }
            Kind::Relation
            | Kind::Infix { .. }
            | Kind::Prefix
            | Kind::Open
            | Kind::Close
            | Kind::Plain
            | Kind::Over => self.say(sign),
            Kind::Comma | Kind::ListComma => self.say(&format!("{sign} ")),
            Kind::Apply => self.say("\u{2009}"),
        }
    }

    fn cases(&mut self, cases: &[Case]) {
        for (at, case) in cases.iter().enumerate() {
            self.say(if at > 0 { "; " } else { "" });
            self.node(&case.value);
            match &case.condition {
                Some(condition) => {
                    self.say(" for ");
                    self.node(condition);
                }
                None => self.say(" otherwise"),
            }
        }
    }
}

/// Whether a part has a sign between its parts, so that a slash behind it would divide the last.
fn is_sum(node: &Node) -> bool {
    node.parts().iter().any(|part| match part {
        Node::Operator(sign, kind) => {
            matches!(kind, Kind::Relation | Kind::Infix { .. }) && !matches!(*sign, "·" | "×")
        }
        _ => false,
    })
}

/// Whether a part holds together whatever stands beside it.
fn is_single(node: &Node) -> bool {
    match node {
        Node::Row(parts) => match parts.as_slice() {
            [only] => is_single(only),
            parts => is_bracketed(parts),
        },
        Node::Fraction(_) | Node::Quantity(_) | Node::Cases(_) | Node::Stack(_) => false,
        Node::Number(number) => !number.negative && number.is_plain(),
        _ => true,
    }
}

/// Whether one pair of brackets goes around all parts.
fn is_bracketed(parts: &[Node]) -> bool {
    let mut depth = 0;
    let depths: Vec<i32> = (parts.iter())
        .map(|part| {
            depth += match part {
                Node::Operator(_, Kind::Open) => 1,
                Node::Operator(_, Kind::Close) => -1,
                _ => 0,
            };
            depth
        })
        .collect();
    let Some((last, before)) = depths.split_last() else {
        return true;
    };
    *last == 0 && !before.is_empty() && before.iter().all(|depth| *depth > 0)
}
