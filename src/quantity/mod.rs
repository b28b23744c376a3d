//! Quantities: dimensions, units, printed figures and constants.
//!
//! In go symbols as an author types them (`kPa`, `ft`) and plain numbers; out come dimensions,
//! factors to coherent SI units and correctly rounded digits. What stands where in a line, how a
//! value is typeset, and what may be added to what is left to others: a unit only says how it
//! reads its number (see [`Mark`]).

mod automatic;
mod clock;
mod coherent;
mod compose;
mod constants;
mod dimension;
mod estimate;
mod figures;
mod mark;
mod nouns;
mod powers;
mod registry;
mod spelling;
mod turning;
mod unit;
mod within;

pub use automatic::{Amount, automatic, decibels, rescaled};
pub use clock::{Clock, SECONDS_OF_DAY};
pub use coherent::System;
pub use compose::{UnitError, UnitToken};
pub use constants::{Constant, EDITION, constant, constants, constants_like};
pub use dimension::{Dimension, Exponent, product as exponent_product, sum as exponent_sum};
pub use estimate::{
    Estimate, EstimateLayout, Extent, as_one, estimate, estimate_ascii, estimate_beside,
    estimate_layout, estimate_text,
};
pub use figures::{Decimal, Layout, decimals_of, to_decimals, to_figures, written_precision};
pub(crate) use figures::{fraction_to_decimals, fraction_to_figures};
pub use mark::{Family, Mark};
pub(crate) use powers::raised;
pub use registry::{Row, describe, in_words, is_unit, list};
pub use turning::Turning;
pub use unit::{Unit, turning};
pub use within::Within;
