//! Numbers, from top to bottom.
//!
//! In go checked statements, out comes for each its value in coherent SI units, or what it
//! needs that failed above. How values are printed is left to the worksheet.

mod asked;
mod branches;
mod certain;
mod claimed;
mod claims;
mod compared;
mod convert;
mod coverage;
mod definitions;
mod drawn;
mod elsewhere;
mod fault;
mod fit;
mod forms;
mod joined;
mod lanes;
mod least;
mod literal;
mod made;
mod magnitude;
mod mend;
mod model;
mod number;
mod others;
mod program;
mod read_off;
mod roots;
mod said;
mod sampled;
mod scatter;
mod second_order;
mod sense;
mod solve;
mod sources;
mod stopped;
mod table;
mod told;
mod turned;
mod unsolved;
mod value;
mod walk;
mod ways;
mod weighted;
mod what_ifs;

pub use certain::{Doubt, digits, entered};
pub use claims::Verdict;
pub use compared::Compared;
pub use convert::{in_unit, size_in_unit, to_si};
pub use coverage::{USUAL, factor as coverage_factor};
pub use definitions::{Branches, FoundFrom};
pub use drawn::Drawn;
pub use elsewhere::what_if;
pub use fit::{Fitted, Judgement, Solved, common};
pub use forms::{Outcome, Plotted};
pub use magnitude::{Magnitude, WhatIf};
pub use others::{Kept, Others};
pub use program::{Fault, Program, Reason, RowsOf};
pub use sense::{Influence, Trend};
pub use solve::Convergence;
pub use sources::{Contribution, Scale, Sources};
pub use table::ScatterWord;
pub use value::{Value, Values, run};
pub use walk::{Formulas, Ground, Lack, Results, evaluate};
