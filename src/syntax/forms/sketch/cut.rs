//! `inlet 1 flow right, area A_1, open`: a cut and what is said of it.

use super::super::super::grammar::{Pair, Rule};
use super::super::super::reader::{Read, Reader, error};
use super::super::super::tokens::{word_at, words};
use super::super::super::{Expr, Word};
use super::super::{Part, Spot, diagnose};
use super::direction::Direction;
use crate::diagnostic::{Code, Diagnostic, nearest};
use crate::text::Span;

/// What is said of a section.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Attribute {
    /// It is open to the atmosphere.
    Open,
    /// Its area.
    Area,
    /// Its diameter.
    Diameter,
    /// Its depth under a free surface.
    Depth,
    /// Its width.
    Width,
    /// How fast it flows.
    Speed {
        /// Seen from the control volume.
        is_relative: bool,
    },
    /// How much mass flows.
    MassFlow {
        /// Seen from the control volume.
        is_relative: bool,
    },
    /// How much volume flows.
    VolumeFlow {
        /// Seen from the control volume.
        is_relative: bool,
    },
    /// Its pressure.
    Pressure,
    /// Its density.
    Density,
    /// How high it lies.
    Level,
    /// How warm it is.
    Temperature,
    /// Its enthalpy.
    Enthalpy,
    /// Its heat capacity.
    HeatCapacity,
    /// The share of a substance.
    Content,
}

/// The words of what is said of a section.
const WORDS: [&str; 15] = [
    "open",
    "area",
    "diameter",
    "depth",
    "width",
    "speed",
    "mass flow",
    "volume flow",
    "pressure",
    "density",
    "level",
    "temperature",
    "enthalpy",
    "content",
    "heat capacity",
];

/// What may be said of a section, as an order of parts.
pub(super) fn order() -> String {
    let one = |words: &&str| match *words {
        "open" => "open".to_owned(),
        "speed" | "mass flow" | "volume flow" => {
            format!("{words} $formula | relative {words} $formula")
        }
        words => format!("{words} $formula"),
    };
    format!(
        "( {} )",
        WORDS.iter().map(one).collect::<Vec<_>>().join(" | ")
    )
}

impl Attribute {
    fn named(words: &str) -> Self {
        let words: Vec<&str> = words.split_whitespace().collect();
        let is_relative = words.first() == Some(&"relative");
        match words.get(usize::from(is_relative)).copied() {
            Some("area") => Self::Area,
            Some("diameter") => Self::Diameter,
            Some("depth") => Self::Depth,
            Some("width") => Self::Width,
            Some("speed") => Self::Speed { is_relative },
            Some("mass") => Self::MassFlow { is_relative },
            Some("volume") => Self::VolumeFlow { is_relative },
            Some("pressure") => Self::Pressure,
            Some("density") => Self::Density,
            Some("level") => Self::Level,
            Some("temperature") => Self::Temperature,
            Some("enthalpy") => Self::Enthalpy,
            Some("content") => Self::Content,
            Some("open") => Self::Open,
            _ => Self::HeatCapacity,
        }
    }

    /// Its words.
    pub fn words(self) -> &'static str {
        match self {
            Self::Open => "open",
            Self::Area => "area",
            Self::Diameter => "diameter",
            Self::Depth => "depth",
            Self::Width => "width",
            Self::Speed { is_relative: false } => "speed",
            Self::Speed { is_relative: true } => "relative speed",
            Self::MassFlow { is_relative: false } => "mass flow",
            Self::MassFlow { is_relative: true } => "relative mass flow",
            Self::VolumeFlow { is_relative: false } => "volume flow",
            Self::VolumeFlow { is_relative: true } => "relative volume flow",
            Self::Pressure => "pressure",
            Self::Density => "density",
            Self::Level => "level",
            Self::Temperature => "temperature",
            Self::Enthalpy => "enthalpy",
            Self::HeatCapacity => "heat capacity",
            Self::Content => "content",
        }
    }
}

/// Something that is said of a section.
#[derive(Debug, Clone, PartialEq)]
pub struct Said {
    /// Where it stands.
    pub span: Span,
    /// What it is.
    pub what: Attribute,
    /// How much; nothing of what is open.
    pub value: Option<Expr>,
}

impl Said {
    /// The place of how much it is, or of the words where that is all.
    pub fn place(&self) -> Span {
        self.value.as_ref().map_or(self.span, |value| value.span)
    }
}

/// A cut.
#[derive(Debug, Clone, PartialEq)]
pub struct Cut {
    /// Whether something flows in.
    pub is_inlet: bool,
    /// Its name.
    pub name: Word,
    /// Where the stream goes.
    pub flow: Direction,
    /// The place of it.
    pub at: Option<Word>,
    /// What else is said of it, in order.
    pub said: Vec<Said>,
}

impl Cut {
    /// Its parts, in order.
    pub(super) fn parts<'a>(&'a self, take: &mut dyn FnMut(Part<'a>)) {
        take(Spot::named(&self.name, true));
        self.flow.parts(take);
        self.at.iter().for_each(|it| take(Spot::place(it)));
        (self.said.iter().filter_map(|it| it.value.as_ref())).for_each(|it| take(Part::Expr(it)));
    }
}

impl Reader<'_> {
    pub(super) fn cut(&mut self, pair: Pair<'_>) -> Read<Cut> {
        let mut parts = pair.into_inner();
        let is_inlet = self.next(&mut parts)?.as_str() == "inlet";
        let (name, flow) = (self.next(&mut parts)?, self.next(&mut parts)?);
        let mut cut = Cut {
            is_inlet,
            name: self.word(&name),
            flow: self.direction(flow)?,
            at: None,
            said: Vec::new(),
        };
        for part in parts {
            match part.as_rule() {
                Rule::place => cut.at = Some(self.word(&part)),
                _ => cut.said.push(self.said(part)?),
            }
        }
        Ok(cut)
    }

    /// `area A_1`, `open`
    pub(super) fn said(&mut self, pair: Pair<'_>) -> Read<Said> {
        let span = self.span(&pair);
        let mut parts = pair.into_inner();
        let what = self.next(&mut parts)?;
        let value = parts.next();
        if let Some(value) = &value {
            self.refuse_two_at_once(value)?;
        }
        let value = value.map(|it| self.sketch_expr(&it)).transpose()?;
        Ok(Said {
            span,
            what: Attribute::named(what.as_str()),
            value,
        })
    }

    /// `speed V_1 pressure p_1`: without a comma it would be a product of both.
    fn refuse_two_at_once(&self, value: &Pair<'_>) -> Read<()> {
        let (text, span) = (value.as_str(), self.span(value));
        let found = words(text).find(|(_, word)| WORDS.contains(word));
        match found.filter(|(_, word)| *word != text.trim()) {
            Some((at, word)) => Err(error(
                Code::G02,
                span,
                format!("`{word}` begins what else is said of a section, after a comma"),
                match text.get(..at).map_or("", str::trim) {
                    "" => format!("a quantity before it, and `, {}`", text.trim()),
                    before => format!("`{before}, {}`", text.get(at..).unwrap_or("").trim()),
                },
            )),
            None => Ok(()),
        }
    }
}

/// `colour c` at a section: nothing that one has.
pub(super) fn unknown_attribute(body: &str, start: usize) -> Option<Box<Diagnostic>> {
    if !matches!(word_at(body, 0), "inlet" | "outlet" | "surface" | "section") {
        return None;
    }
    let mut at = 0;
    for (number, part) in parts_by_commas(body).into_iter().enumerate() {
        let lead = part.len() - part.trim_start().len();
        let words = part.trim_start();
        let first = word_at(words, 0);
        let unrelated = words
            .strip_prefix("relative")
            .map_or(words, str::trim_start);
        let is_known = WORDS
            .iter()
            .any(|known| starts_with_words(unrelated, known));
        if number > 0 && !is_known && !first.is_empty() {
            let help = match nearest(first, WORDS) {
                Some(near) => format!("`{near}`"),
                None => format!("one of `{}`", WORDS.join("`, `")),
            };
            return Some(error(
                Code::G03,
                diagnose::place(body, start, at + lead),
                format!("`{first}` is nothing that a section has"),
                help,
            ));
        }
        at += part.len() + 1;
    }
    None
}

/// Whether a text begins with words, whatever the blanks between them.
fn starts_with_words(text: &str, words: &str) -> bool {
    let mut found = text.split_whitespace();
    words.split(' ').all(|word| found.next() == Some(word))
}

/// The pieces between commas outside brackets.
fn parts_by_commas(body: &str) -> Vec<&str> {
    let (mut depth, mut from, mut found) = (0_i32, 0, Vec::new());
    for (at, letter) in body.char_indices() {
        match letter {
            '(' => depth += 1,
            ')' => depth -= 1,
            ',' if depth == 0 => {
                found.push(&body[from..at]);
                from = at + 1;
            }
            _ => {}
        }
    }
    found.push(&body[from..]);
    found
}
