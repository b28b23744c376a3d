//! setsquare
pub mod diagnostic;
pub mod dimensions;
pub mod document;
pub mod evaluate;
pub mod quantity;
pub mod resolve;
pub mod syntax;
pub mod text;
pub mod worksheet;
