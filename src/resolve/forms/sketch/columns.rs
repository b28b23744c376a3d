//! `from A, open`, `down a in rho_w`, `to B, pressure p_B`: a fluid at rest.

use super::super::super::Resolver;
use super::{ColumnTold, ColumnsTold, Draft};
use crate::diagnostic::Code;
use crate::mechanics::{Column, Columns, Direction, End, Id};
use crate::syntax::{self, ColumnWay, FluidColumn, TubeEnd, Word};
use crate::text::Span;

/// A fluid at rest while its lines are read.
#[derive(Debug, Default)]
pub(super) struct TubeDraft {
    ends: [Option<(Word, End, Span)>; 2],
    columns: Vec<Column>,
    told: Vec<ColumnTold>,
    surroundings: Option<Id>,
}

impl Resolver<'_> {
    /// An end of the columns: the first before them, the last behind.
    pub(super) fn end_of_columns(
        &mut self,
        draft: &mut Draft,
        line: Span,
        end: &TubeEnd,
    ) -> Option<()> {
        let at = usize::from(end.is_last);
        let word = if end.is_last { "to" } else { "from" };
        if draft.tube.ends[at].is_some() {
            self.said_twice(line, &format!("`{word}` is said twice"));
            return None;
        }
        let comes_late = !end.is_last && !draft.tube.columns.is_empty();
        if comes_late || (!end.is_last && draft.tube.ends[1].is_some()) {
            self.refuse_sketch(
                Code::G05,
                line,
                "`from` stands before the columns, which begin there".to_owned(),
                "the line `from` above them".to_owned(),
            );
            return None;
        }
        let other = draft.tube.ends[1 - at].as_ref();
        if let Some((name, ..)) = other.filter(|(name, ..)| name.text == end.name.text) {
            let line = self.line_number(name.span);
            self.refuse_sketch(
                Code::G19,
                end.name.span,
                format!("`{}` is the other end already, in line {line}", name.text),
                "another name for one of them".to_owned(),
            );
            return None;
        }
        let (under, span) = match &end.pressure {
            Some(pressure) => (End::Pressure(self.signed(draft, pressure)?), pressure.span),
            None => (End::Open, end.name.span),
        };
        draft.tube.ends[at] = Some((end.name.clone(), under, span));
        Some(())
    }

    pub(super) fn column_of_sketch(
        &mut self,
        draft: &mut Draft,
        line: Span,
        column: &FluidColumn,
    ) -> Option<()> {
        if draft.tube.ends[0].is_none() || draft.tube.ends[1].is_some() {
            self.refuse_sketch(
                Code::G05,
                line,
                "columns stand between `from` and `to`, in the order of the way".to_owned(),
                "`from A, open` above the first, `to B, open` below the last".to_owned(),
            );
            return None;
        }
        let length = self.magnitude(draft, &column.length)?;
        let density = self.magnitude(draft, &column.density)?;
        let (direction, along) = match &column.way {
            ColumnWay::Down => (Direction::quarters(3), None),
            ColumnWay::Up => (Direction::up(), None),
            ColumnWay::Along(direction) => {
                let (found, mark) = self.direction(draft, direction, None)?;
                (found, Some(mark))
            }
        };
        let gravity = self.gravity(draft, line)?;
        draft.tube.columns.push(Column {
            direction,
            length,
            density,
            gravity,
        });
        draft.tube.told.push(ColumnTold {
            span: column.length.span,
            along,
        });
        Some(())
    }

    /// `surroundings p_atm` of a fluid at rest.
    pub(super) fn surroundings_of_columns(
        &mut self,
        draft: &mut Draft,
        line: Span,
        value: &syntax::Expr,
    ) -> Option<()> {
        if draft.tube.surroundings.is_some() {
            self.said_twice(line, "the surroundings are said twice");
            return None;
        }
        draft.tube.surroundings = Some(self.magnitude(draft, value)?);
        Some(())
    }

    /// Both ends and a column; whether they are there.
    pub(super) fn whole_columns(&mut self, draft: &mut Draft, head: Span) -> bool {
        let tube = std::mem::take(&mut draft.tube);
        let [first, last] = tube.ends;
        let (Some(first), Some(last), false) = (first, last, tube.columns.is_empty()) else {
            // A refused line may be what lacks.
            if !draft.sketch.is_incomplete {
                self.refuse_sketch(
                    Code::G10,
                    head,
                    "where the columns begin, what they are or where they end is not said".to_owned(),
                    "`from A, pressure p_A`, then `down h in rho` or `up h in rho`, then `to B, open`"
                        .to_owned(),
                );
            }
            return false;
        };
        let columns = Columns {
            ends: [first.1, last.1],
            columns: tube.columns,
            surroundings: tube.surroundings,
        };
        let pressures = columns.ends.iter().filter_map(|end| match end {
            End::Pressure(pressure) => Some(*pressure),
            End::Open => None,
        });
        if columns.is_gauge() {
            draft.sketch.gauge.extend(pressures);
        } else if let Some(around) = tube.surroundings {
            draft.sketch.absolute.extend(pressures.chain([around]));
        }
        draft.sketch.columns = Some(ColumnsTold {
            columns,
            names: [first.0, last.0],
            ends: [first.2, last.2],
            told: tube.told,
        });
        true
    }
}
