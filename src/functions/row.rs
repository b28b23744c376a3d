//! What a row of the table says.

/// The most arguments of a function that takes as many as there are.
pub(super) const MOST_ARGUMENTS: usize = 100;

/// What most functions of plain numbers take instead of a quantity.
pub const A_NUMBER: &str = "a plain number, such as an angle or a ratio";

/// A row of the table; see [`super::Function`] for what each part means to other rooms.
#[derive(Debug, Clone, Copy)]
pub(super) struct Row {
    pub reserved: bool,
    pub arguments: &'static [Argument],
    pub rows: bool,
    pub exact: bool,
    pub bracketed: bool,
    pub dimensions: Dimensions,
    pub value: Value,
    pub zeros: bool,
    pub course: Course,
    pub error: f64,
    pub print: Print,
    pub gives: &'static str,
}

/// An argument of a function.
#[derive(Debug, Clone, Copy)]
pub struct Argument {
    /// What editors call it.
    pub name: &'static str,
    /// Which numbers it may be; `None` for all.
    pub domain: Option<Domain>,
}

/// Numbers for which a function has a value.
#[derive(Debug, Clone, Copy)]
pub struct Domain {
    /// Whether a number is one of them.
    pub holds: fn(f64) -> bool,
    /// What an author has to give.
    pub asks: &'static str,
}

/// What a function asks of dimensions, and which one it gives.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Dimensions {
    /// Plain numbers give a plain number. The words say what to write instead of a quantity.
    Plain(&'static str),
    /// An angle, which is a plain number, gives a plain number.
    Angle,
    /// Any one dimension gives the same.
    Same,
    /// Any one dimension gives the same, as a difference of two such values.
    Spread,
    /// Any one dimension gives a plain number.
    Compared,
    /// The root of any dimension.
    Root(i32),
    /// A pressure gives the same pressure from another datum.
    Pressure,
    /// Two vectors give the product of their dimensions.
    Product,
    /// A vector of any dimension gives an angle.
    Direction,
    /// Any dimension and a plain number give the first.
    Pick,
    /// Values of any dimension and differences of others give the product of both.
    Area,
    /// Differences of any dimension and of another give the quotient.
    Slope,
    /// Values of any dimensions give a plain number.
    Apart,
}

/// How a function is computed, with its derivative by each argument.
#[derive(Debug, Clone, Copy)]
pub(super) enum Value {
    One(fn(f64) -> f64, fn(f64) -> f64),
    Several(fn(&[f64]) -> f64, fn(&[f64]) -> Vec<f64>),
    /// No function of plain numbers alone: `evaluate` writes it out.
    Composed,
}

/// How the value follows its arguments.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Course {
    Smooth,
    /// In steps, between which it is constant.
    Steps,
    /// In steps from one whole number to another.
    Whole,
}

/// How a function is set in type.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Print {
    /// By its name, upright, with brackets.
    Name,
    /// By its name, and a power of it between name and brackets: sin²(x).
    Powered,
    /// By a letter of its own, upright.
    Letter(char),
    /// As a logarithm to this base.
    Logarithm(&'static str),
    /// As a root of this degree.
    Root(u8),
    /// Between these fences.
    Fence(&'static str, &'static str),
    /// As this sign between its two arguments.
    Between(&'static str),
    /// As this sign before its argument.
    Before(&'static str),
    /// By this letter in italics, with the first argument as its subscript.
    Indexed(char),
}

/// A function of one number by its value and its derivative.
pub(super) const fn one(
    argument: &'static [Argument; 1],
    dimensions: Dimensions,
    value: fn(f64) -> f64,
    slope: fn(f64) -> f64,
) -> Row {
    row(argument, dimensions, Value::One(value, slope))
}

/// A function of several numbers by its value and its derivatives by each of them.
pub(super) const fn several(
    arguments: &'static [Argument],
    dimensions: Dimensions,
    value: fn(&[f64]) -> f64,
    slopes: fn(&[f64]) -> Vec<f64>,
) -> Row {
    row(arguments, dimensions, Value::Several(value, slopes)).bracketed()
}

/// What is no function of plain numbers alone.
pub(super) const fn composed(arguments: &'static [Argument], dimensions: Dimensions) -> Row {
    row(arguments, dimensions, Value::Composed)
}

const fn row(arguments: &'static [Argument], dimensions: Dimensions, value: Value) -> Row {
    Row {
        reserved: true,
        arguments,
        rows: false,
        exact: false,
        bracketed: false,
        dimensions,
        value,
        zeros: true,
        course: Course::Smooth,
        error: 0.0,
        print: Print::Name,
        gives: "",
    }
}

impl Row {
    /// A problem may call a quantity or a function of its own so. Without brackets the name would
    /// be read as that of a quantity.
    pub const fn not_reserved(mut self) -> Self {
        self.reserved = false;
        self.bracketed()
    }

    /// Never applied without brackets: its name is also a unit or a word.
    pub const fn bracketed(mut self) -> Self {
        self.bracketed = true;
        self
    }

    /// Of as many numbers as there are, or of the rows of a list.
    pub const fn rows(mut self) -> Self {
        self.rows = true;
        self
    }

    /// A number that is told without an uncertainty.
    pub const fn exact(mut self) -> Self {
        self.exact = true;
        self
    }

    /// Constant between steps.
    pub const fn steps(mut self) -> Self {
        self.course = Course::Steps;
        self
    }

    /// A whole number.
    pub const fn whole(mut self) -> Self {
        self.course = Course::Whole;
        self
    }

    /// Nowhere 0.
    pub const fn without_zeros(mut self) -> Self {
        self.zeros = false;
        self
    }

    /// Computed with this error, beyond the rounding of one operation: a share of the larger of
    /// the value and 1.
    pub const fn within(mut self, error: f64) -> Self {
        self.error = error;
        self
    }

    /// Set otherwise than by its name.
    pub const fn print(mut self, print: Print) -> Self {
        self.print = print;
        self
    }

    /// What it gives, for editors.
    pub const fn gives(mut self, gives: &'static str) -> Self {
        self.gives = gives;
        self
    }
}
