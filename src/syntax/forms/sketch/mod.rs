//! `force F down at C`: the lines of `sketch`.
//!
//! Their words are words only here; a formula stops before a comma or such a word, and is read as
//! everywhere. What a line means beside the others is left to `resolve`.

mod cut;
mod direction;
mod kinds;
#[cfg(test)]
mod laws;
mod line;
mod stream;
mod volume;
mod words;

pub use cut::{Attribute, Cut, Said};
pub use direction::{Bearing, Course, Direction, Turned};
pub use kinds::{sketch_head, sketch_line};
pub use line::{
    Act, ActKind, Lies, Load, MemberKind, Position, ReactionWay, Sketch, SketchKind, Support,
    SupportKind, Water,
};
pub use stream::{Column, ColumnWay, DeviceKind, StationLine, TubeEnd};
pub use volume::{GatheredOf, MediumKind, VolumeShape};
pub use words::is_word_of_sketches;

use super::super::grammar::{Pair, Pairs, Rule, Stopped};
use super::super::reader::{Read, Reader};
use super::super::{Expr, Word, parse_expr_at};
use super::{diagnose, error};
use crate::diagnostic::Code;
use crate::diagnostic::Diagnostic;

/// What stands in a sketch, as help.
const ORDER: &str = "a line of a sketch goes: word, quantity, direction, place, then what else is said after \
     commas, as in `force F down at C` or `pin at A with A_x right, A_y up`";

impl Reader<'_> {
    /// A line of a sketch; the first says what it is of.
    pub(super) fn sketch(&mut self, pairs: Pairs<'_>) -> Read<Sketch> {
        let mut parts = pairs;
        let pair = parts.next().ok_or_else(|| self.nothing())?;
        match pair.as_rule() {
            Rule::sketch_kind => {
                let mut parts = pair.into_inner();
                let kind = self.next(&mut parts)?;
                Ok(Sketch::Head(match (kind.as_rule(), kind.as_str()) {
                    (Rule::kind_word, "body") => SketchKind::Body,
                    (Rule::kind_word, _) => SketchKind::Particle,
                    (Rule::kind_rest, _) => SketchKind::AtRest,
                    _ => SketchKind::ControlVolume(volume::shape(kind)),
                }))
            }
            Rule::sketch_found => {
                let label = self.next(&mut pair.into_inner())?;
                Ok(Sketch::AsFound(self.label(&label)))
            }
            _ => self.sketch_line(pair),
        }
    }

    /// A formula of a sketch, which is read by itself.
    fn sketch_expr(&mut self, pair: &Pair<'_>) -> Read<Expr> {
        parse_expr_at(pair.as_str(), self.span(pair).start as usize)
    }

    fn word(&self, pair: &Pair<'_>) -> Word {
        Word {
            span: self.span(pair),
            text: pair.as_str().into(),
        }
    }

    fn next<'i>(&self, parts: &mut Pairs<'i>) -> Read<Pair<'i>> {
        parts.next().ok_or_else(|| self.nothing())
    }
}

/// What to say of a line of a sketch that cannot be read.
pub(in super::super) fn sketch_unread(
    body: &str,
    start: usize,
    stopped: &Stopped,
) -> Box<Diagnostic> {
    if let Some(refusal) = diagnose::unclosed_bracket(body, start) {
        return refusal;
    }
    if let Some(refusal) = direction::bare_angle(body, start) {
        return refusal;
    }
    if let Some(refusal) = words::as_a_name(body, start) {
        return refusal;
    }
    let known = volume::unknown_shape(body, start).or_else(|| cut::unknown_attribute(body, start));
    if let Some(refusal) = known {
        return refusal;
    }
    let at = diagnose::stop(body, stopped);
    error(
        Code::G02,
        diagnose::place(body, start, at),
        diagnose::cannot_stand(body, at),
        ORDER.to_owned(),
    )
}
