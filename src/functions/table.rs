//! The table: one row a function, sorted by name.

use std::f64::consts::{FRAC_2_SQRT_PI, LOG2_E, LOG10_E};

use super::plain;
use super::row::{
    A_NUMBER as NUMBER, Argument, Dimensions, Domain, Print, Row, composed, one, several,
};
use Dimensions::{
    Angle, Apart, Area, Compared, Direction, Pick, Plain, Pressure, Product, Root, Same, Slope,
    Spread,
};

macro_rules! functions {
    ($($variant:ident $name:literal $row:expr;)*) => {
        /// A function of the language.
        #[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
        pub enum Function { $(#[doc = $name] $variant,)* }

        impl Function {
            /// Every function, sorted by name.
            pub const ALL: &[Function] = &[$(Function::$variant,)*];

            /// The function with this name.
            pub fn named(name: &str) -> Option<Function> {
                match name { $($name => Some(Function::$variant),)* _ => None }
            }

            /// Its name as it is typed.
            pub fn name(self) -> &'static str {
                match self { $(Function::$variant => $name,)* }
            }

            pub(super) fn row(self) -> &'static Row {
                match self { $(Function::$variant => { static ROW: Row = $row; &ROW })* }
            }
        }
    };
}

functions! {
    Gamma     "Gamma"     one(&NO_POLE, Plain(NUMBER), libm::tgamma, |x| libm::tgamma(x) * digamma(x)).print(Print::Letter('Γ')).without_zeros().within(1e-13).not_reserved().gives("the gamma function of x, (x - 1)! of a whole number");
    Abs       "abs"       one(&X, Same, f64::abs, f64::signum).bracketed().print(Print::Fence("|", "|")).gives("the magnitude of x");
    Absolute  "absolute"  composed(&PRESSURE, Pressure).bracketed().gives("the absolute pressure, by `p_atm`");
    Acos      "acos"      one(&COSINE, Plain(NUMBER), f64::acos, |x| -1.0 / (1.0 - x * x).sqrt()).gives("the angle whose cosine is x");
    AreaUnder "area_under" composed(&CURVE, Area).not_reserved().gives("the area under a curve through the rows, by straight lines");
    Asin      "asin"      one(&COSINE, Plain(NUMBER), f64::asin, |x| 1.0 / (1.0 - x * x).sqrt()).gives("the angle whose sine is x");
    Atan      "atan"      one(&X, Plain(NUMBER), f64::atan, |x| 1.0 / (1.0 + x * x)).gives("the angle whose tangent is x");
    Atan2     "atan2"     several(&POINT, Compared, atan2, atan2_slopes).gives("the angle of y over x, with its quadrant");
    Bessel    "bessel"    several(&ORDER, Plain(NUMBER), bessel, bessel_slopes).print(Print::Indexed('J')).within(1e-13).not_reserved().gives("the Bessel function of the first kind of x, of whole order n");
    Cbrt      "cbrt"      one(&X, Root(3), f64::cbrt, |x| 1.0 / (3.0 * x.cbrt().powi(2))).print(Print::Root(3)).gives("the cube root of x");
    Ceil      "ceil"      one(&X, Plain(ROUNDED), plain::ceil, |_| 0.0).whole().print(Print::Fence("⌈", "⌉")).gives("the next whole number above x");
    Correlation "correlation" composed(&TWO, Apart).not_reserved().gives("the coefficient of correlation of two uncertain values");
    Cos       "cos"       one(&ANGLE, Angle, plain::cos, |x| -x.sin()).print(Print::Powered).gives("the cosine of an angle");
    Cosh      "cosh"      one(&X, Plain(NUMBER), f64::cosh, f64::sinh).print(Print::Powered).gives("the hyperbolic cosine of x");
    Count     "count"     several(&LIST, Compared, |all| all.len() as f64, |all| vec![0.0; all.len()]).whole().rows().exact().not_reserved().gives("how many entries a list has");
    CoverageFactor "coverage_factor" composed(&LEVEL, Apart).not_reserved().gives("the factor of the interval that holds this part of all values");
    Cross     "cross"     composed(&VECTORS, Product).bracketed().print(Print::Between("×")).gives("the vector product of a and b");
    DegreesOfFreedom "degrees_of_freedom" composed(&X, Apart).not_reserved().gives("the effective degrees of freedom of x");
    Direction "direction" composed(&VECTOR, Direction).print(Print::Before("∠")).gives("the angle of a vector from the x axis");
    Dot       "dot"       composed(&VECTORS, Product).bracketed().print(Print::Between("·")).gives("the scalar product of a and b");
    Entry     "entry"     composed(&NUMBERED, Pick).not_reserved().gives("the entry of a list in a row, by its number");
    Erf       "erf"       one(&X, Plain(NUMBER), libm::erf, |x| FRAC_2_SQRT_PI * (-x * x).exp()).not_reserved().gives("the error function of x");
    Exp       "exp"       one(&X, Plain(REFERRED), f64::exp, f64::exp).without_zeros().gives("e to the power x");
    First     "first"     several(&LIST, Same, |all| plain::at(all, 0), |all| plain::only(all, 0)).rows().not_reserved().gives("the first entry of a list");
    Floor     "floor"     one(&X, Plain(ROUNDED), plain::floor, |_| 0.0).whole().print(Print::Fence("⌊", "⌋")).gives("the next whole number below x");
    Gauge     "gauge"     composed(&PRESSURE, Pressure).bracketed().gives("the pressure from the atmosphere, by `p_atm`");
    Last      "last"      several(&LIST, Same, |all| plain::at(all, all.len().saturating_sub(1)), |all| plain::only(all, all.len().saturating_sub(1))).rows().not_reserved().gives("the last entry of a list");
    Ln        "ln"        one(&POSITIVE, Plain(REFERRED), f64::ln, f64::recip).gives("the natural logarithm of x");
    Log10     "log10"     one(&POSITIVE, Plain(REFERRED), f64::log10, |x| LOG10_E / x).print(Print::Logarithm("10")).gives("the logarithm of x to base 10");
    Log2      "log2"      one(&POSITIVE, Plain(REFERRED), f64::log2, |x| LOG2_E / x).print(Print::Logarithm("2")).gives("the logarithm of x to base 2");
    Max       "max"       several(&REPEATED, Same, |all| plain::at(all, plain::greatest(all)), |all| plain::only(all, plain::greatest(all))).rows().gives("the greatest of its arguments, or of a list");
    Mean      "mean"      several(&REPEATED, Same, plain::mean, |all| vec![1.0 / all.len() as f64; all.len()]).rows().gives("the mean of its arguments, or of a list");
    Median    "median"    several(&REPEATED, Same, plain::median, plain::median_slopes).rows().not_reserved().gives("the number in the middle of its arguments, or of a list");
    Min       "min"       several(&REPEATED, Same, |all| plain::at(all, plain::least(all)), |all| plain::only(all, plain::least(all))).rows().gives("the least of its arguments, or of a list");
    Pooled    "pooled"    several(&REPEATED, Same, plain::mean, |all| vec![1.0 / all.len() as f64; all.len()]).rows().not_reserved().gives("the means row by row, uncertain by one scatter of all rows");
    Range     "range"     several(&LIST, Spread, plain::range, plain::range_slopes).rows().not_reserved().gives("how far the entries of a list lie apart");
    Rate      "rate"      composed(&CURVE, Slope).not_reserved().gives("the slope of y by x, by the neighbours on both sides");
    Relative  "relative"  composed(&X, Apart).not_reserved().gives("the relative standard uncertainty of x");
    Repeated  "repeated"  several(&REPEATED, Same, plain::mean, |all| vec![1.0 / all.len() as f64; all.len()]).rows().not_reserved().gives("the mean of a list, uncertain by its scatter");
    Round     "round"     one(&X, Plain(ROUNDED), plain::round, |_| 0.0).whole().gives("the nearest whole number");
    RunningSum "running_sum" composed(&LIST, Same).not_reserved().gives("the sums of a list so far");
    Sign      "sign"      one(&X, Compared, plain::sign, |_| 0.0).steps().gives("-1, 0 or 1");
    Sin       "sin"       one(&ANGLE, Angle, plain::sin, f64::cos).print(Print::Powered).gives("the sine of an angle");
    Sinh      "sinh"      one(&X, Plain(NUMBER), f64::sinh, f64::cosh).print(Print::Powered).gives("the hyperbolic sine of x");
    Sqrt      "sqrt"      one(&NOT_NEGATIVE, Root(2), f64::sqrt, |x| 0.5 / x.sqrt()).print(Print::Root(2)).gives("the square root of x");
    StandardDeviation "standard_deviation" several(&REPEATED, Spread, plain::standard_deviation, plain::standard_deviation_slopes).rows().exact().not_reserved().gives("the experimental standard deviation of its arguments, or of a list");
    StandardDeviationOfMean "standard_deviation_of_mean" several(&REPEATED, Spread, plain::standard_deviation_of_mean, plain::standard_deviation_of_mean_slopes).rows().exact().not_reserved().gives("the experimental standard deviation of the mean");
    Steps     "steps"     composed(&LIST, Spread).not_reserved().gives("the differences of neighbouring entries");
    Sum       "sum"       several(&LIST, Same, plain::total, |all| vec![1.0; all.len()]).rows().gives("the sum of a list");
    Tan       "tan"       one(&ANGLE, Angle, plain::tan, |x| 1.0 + x.tan().powi(2)).print(Print::Powered).gives("the tangent of an angle");
    Tanh      "tanh"      one(&X, Plain(NUMBER), f64::tanh, |x| x.cosh().powi(-2)).print(Print::Powered).gives("the hyperbolic tangent of x");
    Uncertainty "uncertainty" composed(&X, Spread).not_reserved().gives("the standard uncertainty of x");
    WeightedMean "weighted_mean" composed(&LIST, Same).not_reserved().gives("the mean of a list, weighted by the uncertainties of its entries");
}

// ---- what to write instead of a quantity with a dimension -----------------------------------

const REFERRED: &str = "a ratio to a reference quantity, such as `ln(c/c_0)`";
const ROUNDED: &str = "a ratio to the unit to round to, such as `round(L/L_0)`";

// ---- arguments ------------------------------------------------------------------------------

const X: [Argument; 1] = [any("x")];
const ANGLE: [Argument; 1] = [any("angle")];
const PRESSURE: [Argument; 1] = [any("pressure")];
const VECTOR: [Argument; 1] = [any("vector")];
const VECTORS: [Argument; 2] = [any("a"), any("b")];
const POINT: [Argument; 2] = [any("y"), any("x")];
const LIST: [Argument; 1] = [any("list")];
const CURVE: [Argument; 2] = [any("y_i"), any("x_i")];
const TWO: [Argument; 2] = [any("x"), any("y")];
const NUMBERED: [Argument; 2] = [any("list"), any("row")];
const LEVEL: [Argument; 2] = [any("x"), any("level")];
const REPEATED: [Argument; 2] = [any("x"), any("…")];
const POSITIVE: [Argument; 1] = [only("x", |x| x > 0.0, "an argument that is greater than 0")];
const NOT_NEGATIVE: [Argument; 1] = [only("x", |x| x >= 0.0, "an argument that is not negative")];
const COSINE: [Argument; 1] = [only(
    "x",
    |x| x.abs() <= 1.0,
    "an argument between -1 and 1",
)];
const NO_POLE: [Argument; 1] = [only(
    "x",
    |x| x > 0.0 || x.fract() != 0.0,
    "an argument that is neither 0 nor a negative whole number",
)];
const ORDER: [Argument; 2] = [
    only(
        "n",
        |n| plain::is_whole(n) && n.abs() <= 1e6,
        "a whole number of at most a million as its order",
    ),
    any("x"),
];

const fn any(name: &'static str) -> Argument {
    Argument { name, domain: None }
}

const fn only(name: &'static str, holds: fn(f64) -> bool, asks: &'static str) -> Argument {
    let domain = Some(Domain { holds, asks });
    Argument { name, domain }
}

// ---- values that take more than a line ------------------------------------------------------

fn atan2(point: &[f64]) -> f64 {
    plain::at(point, 0).atan2(plain::at(point, 1))
}

fn atan2_slopes(point: &[f64]) -> Vec<f64> {
    let (y, x) = (plain::at(point, 0), plain::at(point, 1));
    let square = y * y + x * x;
    vec![x / square, -y / square]
}

/// Of a whole order, which the domain sees to.
fn bessel(arguments: &[f64]) -> f64 {
    let order = plain::at(arguments, 0).round() as i32;
    libm::jn(order, plain::at(arguments, 1))
}

/// An order is counted and does not change; by the argument as in NIST DLMF 10.6.1 (from memory).
fn bessel_slopes(arguments: &[f64]) -> Vec<f64> {
    let order = plain::at(arguments, 0).round() as i32;
    let neighbour = |by: i32| libm::jn(order + by, plain::at(arguments, 1));
    vec![0.0, (neighbour(-1) - neighbour(1)) / 2.0]
}

/// The derivative of ln Γ(x): by the recurrence to where its asymptotic series holds, and by
/// reflection for a negative argument (NIST DLMF 5.5 and 5.11, from memory).
fn digamma(x: f64) -> f64 {
    if x < 0.0 {
        let pi = std::f64::consts::PI;
        return digamma(1.0 - x) - pi / (pi * x).tan();
    }
    let (mut x, mut below) = (x, 0.0);
    while x < 12.0 {
        below += 1.0 / x;
        x += 1.0;
    }
    let square = (x * x).recip();
    let series = [
        1.0 / 12.0,
        -1.0 / 120.0,
        1.0 / 252.0,
        -1.0 / 240.0,
        1.0 / 132.0,
    ]
    .into_iter()
    .rev()
    .fold(0.0, |sum, term| (sum + term) * square);
    x.ln() - 0.5 / x - series - below
}
