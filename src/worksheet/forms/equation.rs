//! An equation, and how its pressures are read.

use super::Line;
use crate::dimensions::{Datum, Reading};
use crate::resolve::Expr;
use crate::worksheet::model::Body;

pub(super) fn equation(line: Line<'_>, members: &[Expr]) -> Body {
    Body::Equation {
        members: members.to_vec(),
        note: match line.found.reading {
            Reading::Reckoned(Datum::Gauge) => Some("pressures read as gauge"),
            Reading::Reckoned(Datum::Absolute) => Some("pressures read as absolute"),
            _ => None,
        },
    }
}
