//! What things of a sketch are drawn with: line types and widths of ISO 128-2 (line group
//! 0.35/0.18 for shapes, 0.5 for forces), in 1/96 inch.

use crate::drawing::ink::{Ink, Line, Pen};

/// A millimetre.
pub(super) const MM: f64 = 96.0 / 25.4;

/// Outlines of bodies, supports, walls.
pub(super) const OUTLINE: Pen = Pen::new(Ink::Black, 0.35 * MM);

/// Forces and moments.
pub(super) const FORCE: Pen = Pen::new(Ink::Black, 0.5 * MM);

/// Speeds, accelerations, rings around what is square to the page.
pub(super) const SPEED: Pen = Pen::new(Ink::Black, 0.28 * MM);

/// Loads, surfaces, cut bars, a force that is 0.
pub(super) const LOAD: Pen = Pen::new(Ink::Black, 0.2 * MM);

/// Boundaries of control volumes.
pub(super) const BOUNDARY: Pen = Pen {
    ink: Ink::Black,
    width: 0.25 * MM,
    line: Line::Dashed,
};

/// Dimensions, angles, hatching, leaders.
pub(super) const THIN: Pen = Pen::new(Ink::Black, 0.18 * MM);

/// Centre lines and references of angles.
pub(super) const REFERENCE: Pen = Pen {
    ink: Ink::Black,
    width: 0.18 * MM,
    line: Line::LongDashDot,
};

/// How long the arrow of a force is, without a scale.
pub(super) const ARROW: f64 = 14.0 * MM;

/// Heads: how long and how wide to each side.
pub(super) const HEAD: (f64, f64) = (3.2 * MM, 3.4);
pub(super) const LOAD_HEAD: (f64, f64) = (7.0, 1.9);
pub(super) const DIMENSION_HEAD: (f64, f64) = (2.1 * MM, 1.7);

/// Hatching: how far apart and how deep.
pub(super) const HATCH: (f64, f64) = (1.4 * MM, 6.0);

/// Half of the dot at a centre of gravity, which is 1.4 mm with its outline.
pub(super) const DOT: f64 = 0.55 * MM;

/// Sizes of the type.
pub(super) const SYMBOL: f64 = 16.0;
pub(super) const LETTER: f64 = 14.0;
pub(super) const NUMBER: f64 = 11.0;
