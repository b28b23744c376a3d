//! `at theta above right`: where something points.

use super::super::super::grammar::{Pair, Rule};
use super::super::super::reader::{Read, Reader, error};
use super::super::super::tokens::word_at;
use super::super::super::{Expr, Word};
use super::super::{Part, Spot, diagnose};
use crate::diagnostic::{Code, Diagnostic};
use crate::text::Span;

/// A way of the page.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Bearing {
    /// To the right.
    Right,
    /// Up.
    Up,
    /// To the left.
    Left,
    /// Down.
    Down,
}

impl Bearing {
    fn named(word: &str) -> Self {
        match word {
            "right" => Self::Right,
            "left" => Self::Left,
            "up" => Self::Up,
            _ => Self::Down,
        }
    }

    /// That of a word alone.
    pub fn of_word(word: &str) -> Option<Self> {
        ["right", "left", "up", "down"]
            .contains(&word)
            .then(|| Self::named(word))
    }

    /// How many quarter turns anticlockwise it is from the right.
    pub fn quarters(self) -> u8 {
        match self {
            Self::Right => 0,
            Self::Up => 1,
            Self::Left => 2,
            Self::Down => 3,
        }
    }
}

/// From where an angle counts, and toward what.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Turned {
    /// From a way of the page toward one beside it.
    From(Bearing, Bearing),
    /// From the x axis toward the y axis.
    FromX,
}

/// A slope: `rising 3 in 4 right`.
#[derive(Debug, Clone, PartialEq)]
pub struct Slope {
    /// Whether it rises.
    pub rises: bool,
    /// Whether it goes to the right.
    pub to_the_right: bool,
    /// How much it rises or falls.
    pub rise: Expr,
    /// In how much.
    pub run: Expr,
}

/// What a direction is told by.
#[derive(Debug, Clone, PartialEq)]
pub enum Course {
    /// A way of the page.
    Bearing(Bearing),
    /// An angle.
    Angle(Expr, Turned),
    /// A slope.
    Slope(Box<Slope>),
    /// Along the incline of the sketch, to this many quarter turns from up it.
    Incline(u8),
    /// Toward the reader, or away.
    Reader {
        /// Toward.
        is_toward: bool,
    },
    /// Toward a place, or away from it.
    Place {
        /// Toward.
        is_toward: bool,
        /// The place.
        place: Word,
    },
}

/// Where something points.
#[derive(Debug, Clone, PartialEq)]
pub struct Direction {
    /// Where it stands.
    pub span: Span,
    /// What it is told by.
    pub course: Course,
}

impl Direction {
    /// Its parts, in order.
    pub(super) fn parts<'a>(&'a self, take: &mut dyn FnMut(Part<'a>)) {
        match &self.course {
            Course::Angle(angle, _) => take(Part::Expr(angle)),
            Course::Slope(slope) => {
                take(Part::Expr(&slope.rise));
                take(Part::Expr(&slope.run));
            }
            Course::Place { place, .. } => take(Spot::place(place)),
            Course::Bearing(_) | Course::Incline(_) | Course::Reader { .. } => {}
        }
    }
}

impl Reader<'_> {
    pub(super) fn direction(&mut self, pair: Pair<'_>) -> Read<Direction> {
        let span = self.span(&pair);
        let inner = pair.into_inner().next().ok_or_else(|| self.nothing())?;
        let rule = inner.as_rule();
        let text = inner.as_str();
        let mut parts = inner.into_inner();
        let course = match rule {
            Rule::direction_angle => {
                let angle = self.next(&mut parts)?;
                let turned = turned(self.next(&mut parts)?.as_str());
                Course::Angle(self.angle(&angle)?, turned)
            }
            Rule::direction_slope => {
                let rises = self.next(&mut parts)?.as_str() == "rising";
                let (rise, run) = (self.next(&mut parts)?, self.next(&mut parts)?);
                let to_the_right = self.next(&mut parts)?.as_str() == "right";
                Course::Slope(Box::new(Slope {
                    rises,
                    to_the_right,
                    rise: self.sketch_expr(&rise)?,
                    run: self.sketch_expr(&run)?,
                }))
            }
            Rule::direction_incline => Course::Incline(match word_at(text, 0) {
                "up" => 0,
                "down" => 2,
                _ => 1,
            }),
            Rule::direction_reader => Course::Reader {
                is_toward: text.starts_with("toward"),
            },
            Rule::direction_place => {
                let is_toward = self.next(&mut parts)?.as_str() == "toward";
                let place = self.next(&mut parts)?;
                Course::Place {
                    is_toward,
                    place: self.word(&place),
                }
            }
            _ => Course::Bearing(Bearing::named(text)),
        };
        Ok(Direction { span, course })
    }

    /// An angle is a formula in which something says that it is one.
    fn angle(&mut self, pair: &Pair<'_>) -> Read<Expr> {
        let expr = self.sketch_expr(pair)?;
        let text = pair.as_str();
        let says_so = text.contains('°') || text.chars().any(char::is_alphabetic);
        match says_so {
            true => Ok(expr),
            false => Err(error(
                Code::G02,
                self.span(pair),
                format!("`{text}` could be a slope or an angle in radians"),
                format!(
                    "`at {text}° above right`, `at atan({text}) above right` or `rising 3 in 4 right`"
                ),
            )),
        }
    }
}

fn turned(words: &str) -> Turned {
    let mut words = words.split_whitespace();
    let (first, last) = (words.next().unwrap_or(""), words.next_back().unwrap_or(""));
    match first {
        "above" => Turned::From(Bearing::named(last), Bearing::Up),
        "below" => Turned::From(Bearing::named(last), Bearing::Down),
        "from" => Turned::FromX,
        side => Turned::From(Bearing::named(last), Bearing::named(side)),
    }
}

/// `at 30°` or `at theta right`: an angle counts from a direction.
pub(super) fn bare_angle(body: &str, start: usize) -> Option<Box<Diagnostic>> {
    let at = body.rfind(" at ")?;
    let rest = body.get(at + 4..)?;
    let angle = rest.split(',').next().unwrap_or("").trim_end();
    let looks_like_an_angle = angle.contains('°') && !angle.contains(' ');
    looks_like_an_angle.then(|| {
        error(
            Code::G02,
            diagnose::place(body, start, at + 4),
            format!("`at {angle}` of what? an angle counts from a direction"),
            format!("`at {angle} above right`"),
        )
    })
}
