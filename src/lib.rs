//! Literate worksheets for engineering calculations: a Markdown text with equations in it becomes a
//! page whose symbols, units, numbers and words agree.
//!
//! A worksheet's life:
//!
//! 1. [`text`] holds its bytes as they stand in the file, and places in them.
//! 2. [`document`] takes the Markdown apart: front matter, headings, prose, blocks.
//! 3. `syntax` reads the lines of a block into trees, in the author's own form.
//! 4. `resolve` decides what each name means: a quantity, a constant, a unit, a function of the
//!    table in [`functions`] or of the author.
//! 5. `dimensions` checks every statement before anything is computed, with the units and
//!    datums that [`quantity`] knows.
//! 6. `evaluate` computes the numbers, and compares chains and claims.
//! 7. [`worksheet`] runs these passes in their order and decides what is printed.
//! 8. `typeset` sets formulas and values as trees, and writes them as MathML or LaTeX.
//! 9. [`page`] writes one HTML file, or a report for machines.
//!
//! The rooms between text and worksheet are nobody's but the crate's; what a finished worksheet
//! holds of theirs has its name in [`worksheet`].
//!
//! What is wrong on the way is said by [`diagnostic`]s; no pass stops at the first.
//!
//! ````
//! use setsquare::{page, text::Source, worksheet};
//!
//! let text = "\
//! ```given
//! F = 12.0 kN    -- pull on the rod
//! A = 300 mm^2   -- its section
//! ```
//!
//! ```work
//! sigma = F/A = ? MPa
//! ```
//!
//! ```check
//! sigma < 50 MPa
//! ```
//! ";
//! let worksheet = worksheet::compile(Source::new("rod.md", text));
//! assert!(worksheet.diagnostics.is_empty());
//! assert!(worksheet.all_checks_hold());
//!
//! // The result as it is printed, and the page it is printed on.
//! assert!(worksheet::fill(&worksheet).contains("sigma = F/A = 40.00 MPa ?"));
//! assert!(page::html(&worksheet).starts_with("<!DOCTYPE html>"));
//!
//! // What is wrong has a code, a sentence, a place and a way out.
//! let text = "```work\nlambda = L/2 r\n```\n";
//! let refused = worksheet::compile(Source::new("strut.md", text));
//! let first = &refused.diagnostics[0];
//! assert_eq!(first.code.as_str(), "S02");
//! assert_eq!(first.help.as_deref(), Some("`L/(2 r)` or `(L/2) r`"));
//! ````

pub(crate) mod algebra;
pub(crate) mod calculator;
pub mod diagnostic;
pub(crate) mod dimensions;
pub mod document;
pub(crate) mod drawing;
pub(crate) mod evaluate;
pub mod functions;
pub mod language_server;
pub mod live;
pub(crate) mod mechanics;
pub mod page;
pub mod papers;
pub(crate) mod pictures;
pub(crate) mod precise;
pub(crate) mod proofs;
pub mod quantity;
pub(crate) mod questions;
pub(crate) mod resolve;
pub(crate) mod statistics;
pub(crate) mod syntax;
pub(crate) mod tables;
pub mod text;
pub(crate) mod typeset;
pub mod worksheet;
