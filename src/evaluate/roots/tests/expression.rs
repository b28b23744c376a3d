//! Just enough of formulas to read the reference cases: values with exact gradients.
//!
//! Nothing is shared with the program, so that neither can hide a mistake of the other.

use std::iter::Peekable;
use std::str::Chars;

/// A value and its derivatives by all unknowns.
#[derive(Debug, Clone)]
pub struct Dual {
    pub value: f64,
    pub slopes: Vec<f64>,
}

/// Why a formula has no value.
pub type Undefined = &'static str;

/// A formula that was read.
#[derive(Debug, Clone)]
pub enum Expr {
    Number(f64),
    Unknown(usize),
    Negative(Box<Expr>),
    Operation(char, Box<Expr>, Box<Expr>),
    Call(String, Vec<Expr>),
}

/// Reads `left = right` as `left - right`.
pub fn equation(text: &str, unknowns: &[&str]) -> Expr {
    let (left, right) = text.split_once('=').expect("an equation");
    Expr::Operation(
        '-',
        Box::new(formula(left, unknowns)),
        Box::new(formula(right, unknowns)),
    )
}

/// Reads a formula.
pub fn formula(text: &str, unknowns: &[&str]) -> Expr {
    let mut reader = Reader {
        rest: text.chars().peekable(),
        unknowns,
    };
    let expr = reader.sum();
    assert_eq!(reader.peek(), None, "left over in {text}");
    expr
}

struct Reader<'a> {
    rest: Peekable<Chars<'a>>,
    unknowns: &'a [&'a str],
}

impl Reader<'_> {
    fn peek(&mut self) -> Option<char> {
        while self.rest.next_if(|c| c.is_whitespace()).is_some() {}
        self.rest.peek().copied()
    }

    fn take(&mut self, wanted: &[char]) -> Option<char> {
        let next = self.peek()?;
        if wanted.contains(&next) {
            self.rest.next()
        } else {
            None
        }
    }

    fn sum(&mut self) -> Expr {
        let mut left = self.product();
        while let Some(sign) = self.take(&['+', '-']) {
            left = Expr::Operation(sign, Box::new(left), Box::new(self.product()));
        }
        left
    }

    fn product(&mut self) -> Expr {
        let mut left = self.signed();
        while let Some(sign) = self.take(&['*', '/']) {
            left = Expr::Operation(sign, Box::new(left), Box::new(self.signed()));
        }
        left
    }

    fn signed(&mut self) -> Expr {
        match self.take(&['-']) {
            Some(_) => Expr::Negative(Box::new(self.signed())),
            None => self.power(),
        }
    }

    fn power(&mut self) -> Expr {
        let base = self.atom();
        match self.take(&['^']) {
            Some(_) => Expr::Operation('^', Box::new(base), Box::new(self.signed())),
            None => base,
        }
    }

    fn atom(&mut self) -> Expr {
        if self.take(&['(']).is_some() {
            let inner = self.sum();
            assert!(self.take(&[')']).is_some(), "a bracket is open");
            return inner;
        }
        match self.peek() {
            Some(c) if c.is_ascii_digit() || c == '.' => self.number(),
            Some(c) if c.is_alphabetic() => self.name(),
            other => panic!("unexpected {other:?}"),
        }
    }

    fn number(&mut self) -> Expr {
        let mut text = String::new();
        while let Some(c) = self
            .rest
            .next_if(|&c| c.is_ascii_digit() || ".e".contains(c))
        {
            text.push(c);
            if c == 'e' {
                text.extend(self.rest.next_if(|&c| c == '-' || c == '+'));
            }
        }
        Expr::Number(text.parse().expect("a number"))
    }

    fn name(&mut self) -> Expr {
        let mut name = String::new();
        while let Some(c) = self.rest.next_if(|c| c.is_alphanumeric()) {
            name.push(c);
        }
        if self.take(&['(']).is_some() {
            let mut arguments = vec![self.sum()];
            while self.take(&[',']).is_some() {
                arguments.push(self.sum());
            }
            assert!(self.take(&[')']).is_some(), "a call is open");
            return Expr::Call(name, arguments);
        }
        match self.unknowns.iter().position(|unknown| *unknown == name) {
            Some(index) => Expr::Unknown(index),
            None if name == "pi" => Expr::Number(std::f64::consts::PI),
            None => panic!("unknown name {name}"),
        }
    }
}

impl Expr {
    /// The value and the derivatives at `x`.
    pub fn at(&self, x: &[f64]) -> Result<Dual, Undefined> {
        match self {
            Expr::Number(value) => Ok(Dual {
                value: *value,
                slopes: vec![0.0; x.len()],
            }),
            Expr::Unknown(index) => {
                let slopes = (0..x.len())
                    .map(|j| f64::from(u8::from(j == *index)))
                    .collect();
                Ok(Dual {
                    value: x[*index],
                    slopes,
                })
            }
            Expr::Negative(inner) => {
                let inner = inner.at(x)?;
                let value = -inner.value;
                Ok(inner.chain(value, -1.0))
            }
            Expr::Operation('^', base, exponent) => power(&base.at(x)?, exponent.at(x)?.value),
            Expr::Operation(sign, left, right) => operate(*sign, &left.at(x)?, &right.at(x)?),
            Expr::Call(name, arguments) if name == "atan2" => {
                Ok(atan2(&arguments[0].at(x)?, &arguments[1].at(x)?))
            }
            Expr::Call(name, arguments) => call(name, &arguments[0].at(x)?),
        }
    }
}

impl Dual {
    /// A function of this value, with its derivative.
    fn chain(&self, value: f64, slope: f64) -> Self {
        Self {
            value,
            slopes: self.slopes.iter().map(|s| slope * s).collect(),
        }
    }

    /// A function of two values, with its derivatives by both.
    fn join(&self, other: &Self, value: f64, by_self: f64, by_other: f64) -> Self {
        let pairs = self.slopes.iter().zip(&other.slopes);
        Self {
            value,
            slopes: pairs.map(|(a, b)| by_self * a + by_other * b).collect(),
        }
    }
}

fn operate(sign: char, a: &Dual, b: &Dual) -> Result<Dual, Undefined> {
    let (x, y) = (a.value, b.value);
    match sign {
        '+' => Ok(a.join(b, x + y, 1.0, 1.0)),
        '-' => Ok(a.join(b, x - y, 1.0, -1.0)),
        '*' => Ok(a.join(b, x * y, y, x)),
        _ if y == 0.0 => Err("division by zero"),
        _ => Ok(a.join(b, x / y, 1.0 / y, -x / y / y)),
    }
}

/// Exponents are constants in all cases.
fn power(base: &Dual, exponent: f64) -> Result<Dual, Undefined> {
    let x = base.value;
    if x < 0.0 && exponent.fract() != 0.0 {
        return Err("a power of a negative number");
    }
    if x == 0.0 && exponent < 0.0 {
        return Err("division by zero");
    }
    Ok(base.chain(x.powf(exponent), exponent * x.powf(exponent - 1.0)))
}

fn atan2(y: &Dual, x: &Dual) -> Dual {
    let squares = x.value * x.value + y.value * y.value;
    y.join(
        x,
        y.value.atan2(x.value),
        x.value / squares,
        -y.value / squares,
    )
}

fn call(name: &str, argument: &Dual) -> Result<Dual, Undefined> {
    let x = argument.value;
    let (value, slope) = match name {
        "sqrt" if x < 0.0 => return Err("a root of a negative number"),
        "ln" | "log10" if x <= 0.0 => return Err("a logarithm of a number that is not positive"),
        "asin" | "acos" if x.abs() > 1.0 => return Err("outside the domain"),
        "sqrt" => (x.sqrt(), 0.5 / x.sqrt()),
        "cbrt" => (x.cbrt(), 1.0 / (3.0 * x.cbrt() * x.cbrt())),
        "sin" => (x.sin(), x.cos()),
        "cos" => (x.cos(), -x.sin()),
        "tan" => (x.tan(), 1.0 / (x.cos() * x.cos())),
        "asin" => (x.asin(), 1.0 / (1.0 - x * x).sqrt()),
        "acos" => (x.acos(), -1.0 / (1.0 - x * x).sqrt()),
        "atan" => (x.atan(), 1.0 / (1.0 + x * x)),
        "exp" => (x.exp(), x.exp()),
        "ln" => (x.ln(), 1.0 / x),
        "log10" => (x.log10(), 1.0 / (x * std::f64::consts::LN_10)),
        "sinh" => (x.sinh(), x.cosh()),
        "cosh" => (x.cosh(), x.sinh()),
        "tanh" => (x.tanh(), 1.0 / (x.cosh() * x.cosh())),
        "abs" => (x.abs(), x.signum()),
        _ => panic!("unknown function {name}"),
    };
    Ok(argument.chain(value, slope))
}
