//! `surface 1 level z_1`, `pump h_p`; `from A, open`, `down a in rho_w`: what stands along a stream,
//! and along a fluid at rest.

use super::super::super::grammar::{Pair, Rule};
use super::super::super::reader::{Read, Reader};
use super::super::super::{Expr, Word};
use super::super::{Part, Spot};
use super::cut::Said;
use super::direction::Direction;

/// A section along a stream.
#[derive(Debug, Clone, PartialEq)]
pub struct StationLine {
    /// Whether it is a wide surface.
    pub is_surface: bool,
    /// Its name.
    pub name: Word,
    /// What is said of it, in order.
    pub said: Vec<Said>,
}

impl StationLine {
    /// Its word.
    pub fn word(&self) -> &'static str {
        match self.is_surface {
            true => "surface",
            false => "section",
        }
    }

    /// Its parts, in order.
    pub(super) fn parts<'a>(&'a self, take: &mut dyn FnMut(Part<'a>)) {
        take(Spot::named(&self.name, true));
        (self.said.iter().filter_map(|it| it.value.as_ref())).for_each(|it| take(Part::Expr(it)));
    }
}

/// What stands along a stream.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum DeviceKind {
    /// It adds head.
    Pump,
    /// It takes head out.
    Turbine,
    /// Head is lost.
    Loss,
}

impl DeviceKind {
    /// Its word.
    pub fn word(self) -> &'static str {
        match self {
            Self::Pump => "pump",
            Self::Turbine => "turbine",
            Self::Loss => "loss",
        }
    }
}

/// An end of columns.
#[derive(Debug, Clone, PartialEq)]
pub struct TubeEnd {
    /// Whether it is the last one.
    pub is_last: bool,
    /// Its name.
    pub name: Word,
    /// Its pressure; nothing where it is open.
    pub pressure: Option<Expr>,
}

/// Where a column goes.
#[derive(Debug, Clone, PartialEq)]
pub enum ColumnWay {
    /// Down.
    Down,
    /// Up.
    Up,
    /// In a direction.
    Along(Direction),
}

/// A column of a fluid at rest.
#[derive(Debug, Clone, PartialEq)]
pub struct Column {
    /// Where it goes.
    pub way: ColumnWay,
    /// How long it is.
    pub length: Expr,
    /// The density of its fluid.
    pub density: Expr,
}

impl Column {
    /// Its parts, in order.
    pub(super) fn parts<'a>(&'a self, take: &mut dyn FnMut(Part<'a>)) {
        take(Part::Expr(&self.length));
        if let ColumnWay::Along(direction) = &self.way {
            direction.parts(take);
        }
        take(Part::Expr(&self.density));
    }
}

impl Reader<'_> {
    pub(super) fn station(&mut self, pair: Pair<'_>) -> Read<StationLine> {
        let mut parts = pair.into_inner();
        let is_surface = self.next(&mut parts)?.as_str() == "surface";
        let name = self.next(&mut parts)?;
        let name = self.word(&name);
        let said = parts.map(|part| self.said(part)).collect::<Read<_>>()?;
        Ok(StationLine {
            is_surface,
            name,
            said,
        })
    }

    pub(super) fn device(&mut self, pair: Pair<'_>) -> Read<(DeviceKind, Expr)> {
        let mut parts = pair.into_inner();
        let (word, head) = (self.next(&mut parts)?, self.next(&mut parts)?);
        let kind = match word.as_str() {
            "pump" => DeviceKind::Pump,
            "turbine" => DeviceKind::Turbine,
            _ => DeviceKind::Loss,
        };
        Ok((kind, self.sketch_expr(&head)?))
    }

    pub(super) fn end_of_columns(&mut self, pair: Pair<'_>) -> Read<TubeEnd> {
        let mut parts = pair.into_inner();
        let is_last = self.next(&mut parts)?.as_str() == "to";
        let (name, under) = (self.next(&mut parts)?, self.next(&mut parts)?);
        let pressure = match under.as_rule() {
            Rule::end_pressure => {
                let value = self.next(&mut under.into_inner())?;
                Some(self.sketch_expr(&value)?)
            }
            _ => None,
        };
        Ok(TubeEnd {
            is_last,
            name: self.word(&name),
            pressure,
        })
    }

    pub(super) fn column(&mut self, pair: Pair<'_>) -> Read<Column> {
        let mut way = None;
        let mut formulas = Vec::new();
        for part in pair.into_inner() {
            match part.as_rule() {
                Rule::column_way => {
                    way = Some(match part.as_str() {
                        "down" => ColumnWay::Down,
                        _ => ColumnWay::Up,
                    });
                }
                Rule::direction => way = Some(ColumnWay::Along(self.direction(part)?)),
                _ => formulas.push(self.sketch_expr(&part)?),
            }
        }
        let mut formulas = formulas.into_iter();
        match (way, formulas.next(), formulas.next()) {
            (Some(way), Some(length), Some(density)) => Ok(Column {
                way,
                length,
                density,
            }),
            _ => Err(self.nothing()),
        }
    }
}
