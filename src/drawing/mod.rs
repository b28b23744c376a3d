//! Drawings: lines, areas and words in a frame, and their writers.
//!
//! In go plain numbers and letters, out come strokes ([`ink`]), which [`svg`] and [`latex`] write
//! down. One length is 1/96 inch, so that a printed figure keeps its size. Inks are named by what
//! they are for; their colours are the page's. Worksheets, quantities and units are not known
//! here.

mod advances;
pub mod ink;
pub mod labels;
pub mod latex;
pub mod letters;
pub mod plot;
pub mod sketch;
pub mod svg;
