//! Expressions in canonical form: what is proved, solved and differentiated.
//!
//! Coefficients and exponents are exact, every expression is kept once, and equal expressions
//! are one index. In go sums, products, powers and functions; out come simplified ones, verdicts
//! on whether two are equal, and equations solved for a symbol. Names, units, numbers of a
//! worksheet and how a formula is set are left to others: a symbol is a number here, and the
//! author's own form of a formula stays in the syntax tree.
//!
//! Over the real numbers, and with domains kept honest: what is rewritten is equal wherever the
//! original is defined, and a rule that needs a sign is used only where the sign is known.

mod addition;
mod angles;
mod angular;
mod arena;
mod asked;
mod author;
mod bounds;
mod branches;
mod build;
#[cfg(test)]
mod compare;
mod denominators;
mod determinant;
mod differentiate;
mod divisor;
mod effort;
mod equal;
#[cfg(test)]
mod equal_tests;
mod expand;
mod exponentials;
mod factors;
mod follow;
#[cfg(test)]
mod follow_tests;
mod fraction;
mod gather;
mod generators;
mod held;
mod inverse;
mod isolate;
#[cfg(test)]
mod isolate_cases;
#[cfg(test)]
mod isolate_laws;
#[cfg(test)]
mod isolate_tests;
#[cfg(test)]
mod law_tests;
mod logarithm;
mod measure;
#[cfg(test)]
pub(crate) mod mutate;
mod node;
mod normal;
mod number;
mod polynomial;
#[cfg(test)]
mod polynomial_tests;
mod quadratic;
mod radicals;
mod requirement;
mod restored;
mod roots;
mod sample;
mod sign;
mod signs;
mod simplify;
#[cfg(test)]
mod simplify_tests;
mod solution;
mod solver;
mod squares;
mod system;
#[cfg(test)]
mod system_tests;
#[cfg(test)]
mod tests;
#[cfg(test)]
pub(crate) mod text;
mod trial;
mod trigonometry;
mod value;
mod written;

pub use arena::Algebra;
pub use effort::Effort;
pub use equal::{Counterexample, Undecided};
pub use follow::{Equation, Following};
pub use node::{Function, Id, Symbol};
pub use number::{Rational, decimal, ratio, whole};
pub use sample::Samples;
pub use sign::Sign;
pub use solution::{Branch, End, Operation, Requirement, Step, Stuck, Wanted};
pub use value::Point;
pub use written::Written;
