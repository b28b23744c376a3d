//! Trees written as a reader keys them into a calculator: numbers without their units.
//!
//! It is written from the tree that is printed, so that what is printed is what is tried.

use super::tree::{Fence, Kind, Node, Number, Quantity};
use crate::calculator::{self, FUNCTIONS};
use crate::quantity::Unit;

/// What of a formula cannot be keyed in.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Keyless {
    /// A letter that stands for something.
    Name,
    /// Words.
    Words,
    /// A number that is no decimal.
    Number(String),
    /// A list or a vector.
    List,
    /// A case distinction.
    Cases,
    /// A function that calculators do not have.
    Function(String),
    /// A sign that is none of arithmetic.
    Sign(&'static str),
}

/// A formula in numbers as a row of keys, whose result stands in a unit.
///
/// # Errors
/// When something in it cannot be keyed in.
pub fn keyed(node: &Node, unit: &str) -> Result<String, Keyless> {
    Row::new(node.parts(), Setting::of(unit)).row()
}

/// What a number in a unit that is no more than a number is multiplied by: `%`.
pub fn share(unit: &str) -> f64 {
    let known = Unit::from_source(unit).ok().filter(Unit::is_share);
    known.map_or(1.0, |unit| unit.factor())
}

/// What angles are to a calculator.
#[derive(Clone, Copy)]
struct Setting {
    /// How many radians there are in one of what functions give.
    degree: Option<f64>,
    /// Whether this is within the argument of a function of an angle.
    in_angle: bool,
}

impl Setting {
    fn of(unit: &str) -> Self {
        Self {
            degree: calculator::setting(unit),
            in_angle: false,
        }
    }
}

/// Parts side by side, and how far they are read.
struct Row<'n> {
    parts: &'n [Node],
    at: usize,
    setting: Setting,
}

impl<'n> Row<'n> {
    fn new(parts: &'n [Node], setting: Setting) -> Self {
        let at = 0;
        Self { parts, at, setting }
    }

    fn row(&mut self) -> Result<String, Keyless> {
        let mut keys = String::new();
        let mut is_behind_factor = false;
        while let Some(part) = self.parts.get(self.at) {
            match part {
                Node::Space(_) => self.at += 1,
                Node::Operator(sign, kind @ (Kind::Infix { .. } | Kind::Prefix)) => {
                    keys.push_str(match (*sign, kind) {
                        ("+", Kind::Infix { .. }) => " + ",
                        ("−", Kind::Infix { .. }) => " - ",
                        ("×" | "·", Kind::Infix { .. }) => "*",
                        ("−", _) => "-",
                        (sign, _) => return Err(Keyless::Sign(sign)),
                    });
                    is_behind_factor = false;
                    self.at += 1;
                }
                Node::Operator(_, Kind::Over) => {
                    keys.push('/');
                    is_behind_factor = false;
                    self.at += 1;
                }
                _ => {
                    keys.push_str(if is_behind_factor { "*" } else { "" });
                    keys.push_str(&self.factor()?);
                    is_behind_factor = true;
                }
            }
        }
        Ok(keys)
    }

    /// What holds together: one part, what brackets hold, or a function with its arguments.
    fn factor(&mut self) -> Result<String, Keyless> {
        let Some(part) = self.parts.get(self.at) else {
            return Err(Keyless::Words);
        };
        if let Node::Operator(open, Kind::Open) = part {
            let inside = self.inside();
            return fenced(open, &self.setting.parts(inside)?);
        }
        self.at += 1;
        if let Some(name) = function(part) {
            return self.call(name);
        }
        if let Node::Power(parts) = part
            && let [base, exponent] = &**parts
            && let Some(name) = function(base)
        {
            let exponent = self.setting.all(exponent)?;
            return Ok(format!("({}^({exponent}))", self.call(name)?));
        }
        self.setting.node(part)
    }

    /// A function with the arguments that follow.
    fn call(&mut self, name: &str) -> Result<String, Keyless> {
        let outside = self.setting;
        self.setting.in_angle = matches!(name, "sin" | "cos" | "tan");
        let arguments = self.arguments();
        self.setting = outside;
        let call = call(name, &arguments?)?;
        let gives_an_angle = matches!(name, "asin" | "acos" | "atan" | "atan2");
        Ok(
            match outside
                .degree
                .filter(|_| gives_an_angle && !outside.in_angle)
            {
                Some(degree) => format!("({call}/{degree:?})"),
                None => call,
            },
        )
    }

    /// The arguments of the function before.
    fn arguments(&mut self) -> Result<String, Keyless> {
        match self.parts.get(self.at) {
            Some(Node::Operator(_, Kind::Apply)) => {
                self.at += 1;
                self.factor()
            }
            Some(Node::Operator("(", Kind::Open)) => {
                let inside = self.inside();
                self.setting.parts(inside)
            }
            Some(Node::Fence(fence)) if fence.open == "(" => {
                self.at += 1;
                let parts = fence.inside.parts();
                let is_comma = |part: &Node| matches!(part, Node::Operator(_, Kind::Comma));
                let each = parts.split(is_comma).map(|it| self.setting.parts(it));
                Ok(each.collect::<Result<Vec<_>, _>>()?.join(", "))
            }
            _ => Err(Keyless::Words),
        }
    }

    /// What stands within the brackets that open here, behind which reading goes on.
    fn inside(&mut self) -> &'n [Node] {
        let from = self.at + 1;
        let mut depth = 0;
        for (at, part) in self.parts.iter().enumerate().skip(self.at) {
            match part {
                Node::Operator(_, Kind::Open) => depth += 1,
                Node::Operator(_, Kind::Close) => depth -= 1,
                _ => {}
            }
            if depth == 0 {
                self.at = at + 1;
                return &self.parts[from..at];
            }
        }
        self.at = self.parts.len();
        &self.parts[from..]
    }
}

impl Setting {
    fn parts(self, parts: &[Node]) -> Result<String, Keyless> {
        Row::new(parts, self).row()
    }

    fn all(self, node: &Node) -> Result<String, Keyless> {
        self.parts(node.parts())
    }

    fn node(self, node: &Node) -> Result<String, Keyless> {
        match node {
            Node::Row(_) => Ok(format!("({})", self.all(node)?)),
            Node::Letter('π') => Ok(format!("{:?}", std::f64::consts::PI)),
            Node::Number(number) => self::number(number),
            Node::PowerOfTen(exponent) => Ok(format!("1e{exponent}")),
            Node::Quantity(quantity) => self.quantity(quantity),
            Node::Fraction(halves) => {
                let [above, below] = &**halves;
                Ok(format!("(({})/({}))", self.all(above)?, self.all(below)?))
            }
            Node::Power(parts) => {
                let [base, exponent] = &**parts;
                Ok(format!("(({})^({}))", self.all(base)?, self.all(exponent)?))
            }
            Node::Root(degree, inside) => {
                let name = match degree {
                    2 => "sqrt",
                    _ => "cbrt",
                };
                call(name, &self.all(inside)?)
            }
            Node::Fence(fence) => self.fence(fence),
            Node::Stack(rows) => {
                // Brackets may open in one row and close in another.
                let parts: Vec<Node> = rows.iter().flat_map(Node::parts).cloned().collect();
                Ok(format!("({})", self.parts(&parts)?))
            }
            Node::Cases(_) => Err(Keyless::Cases),
            Node::Name(_) | Node::Letter(_) | Node::Upright(_) | Node::Subscript(_) => {
                Err(Keyless::Name)
            }
            Node::Function(name) => Err(Keyless::Function((*name).to_owned())),
            Node::Operator(sign, _) => Err(Keyless::Sign(sign)),
            Node::Text(_) | Node::Unit(_) | Node::Space(_) | Node::Words(_) | Node::Beside(_) => {
                Err(Keyless::Words)
            }
        }
    }

    fn fence(self, fence: &Fence) -> Result<String, Keyless> {
        if fence.open == "[" {
            return Err(Keyless::List);
        }
        let is_comma =
            |part: &Node| matches!(part, Node::Operator(_, Kind::Comma | Kind::ListComma));
        if fence.inside.parts().iter().any(is_comma) {
            return Err(Keyless::List);
        }
        fenced(fence.open, &self.all(&fence.inside)?)
    }

    fn quantity(self, quantity: &Quantity) -> Result<String, Keyless> {
        let number = number(&quantity.number)?;
        let degree = calculator::setting(&quantity.unit).filter(|_| self.in_angle);
        Ok(match degree.unwrap_or_else(|| share(&quantity.unit)) {
            1.0 => number,
            factor => format!("({number}*{factor:?})"),
        })
    }
}

fn fenced(open: &'static str, inside: &str) -> Result<String, Keyless> {
    match open {
        "(" => Ok(format!("({inside})")),
        "|" => call("abs", inside),
        "⌈" => call("ceil", inside),
        "⌊" => call("floor", inside),
        open => Err(Keyless::Sign(open)),
    }
}

/// The function that a part is the name of.
fn function(part: &Node) -> Option<&'static str> {
    match part {
        Node::Function(name) => Some(name),
        Node::Subscript(parts) => match &**parts {
            [Node::Function("log"), Node::Number(base)] => match &*base.mantissa {
                "10" => Some("log10"),
                "2" => Some("log2"),
                _ => None,
            },
            _ => None,
        },
        _ => None,
    }
}

fn call(name: &str, arguments: &str) -> Result<String, Keyless> {
    match FUNCTIONS.iter().any(|(known, ..)| *known == name) {
        true => Ok(format!("{name}({arguments})")),
        false => Err(Keyless::Function(name.to_owned())),
    }
}

fn number(number: &Number) -> Result<String, Keyless> {
    let sign = if number.negative { "-" } else { "" };
    let digits =
        mantissa(&number.mantissa).ok_or_else(|| Keyless::Number(number.mantissa.to_string()))?;
    let power = number.exponent.map(|exponent| format!("e{exponent}"));
    let digits = format!("{digits}{}", power.unwrap_or_default());
    let factor = match &number.factor {
        None => String::new(),
        Some(factor) => {
            let sign = if factor.is_over { '/' } else { '*' };
            let digits = mantissa(&factor.digits)
                .ok_or_else(|| Keyless::Number(factor.digits.to_string()))?;
            format!("{sign}{digits}")
        }
    };
    let is_simple = !digits.contains('/') && factor.is_empty() && !number.negative;
    Ok(match is_simple {
        true => digits,
        false => format!("({sign}{digits}{factor})"),
    })
}

/// Digits as a calculator takes them; a fraction as the quotient that it is.
fn mantissa(text: &str) -> Option<String> {
    let decimal = |text: &str| {
        let is_digits =
            !text.is_empty() && text.bytes().all(|it| it.is_ascii_digit() || it == b'.');
        is_digits.then(|| match text.contains('.') {
            true => text.to_owned(),
            false => format!("{text}.0"),
        })
    };
    if let Some((above, below)) = text.split_once('/') {
        let below = decimal(below.trim())?;
        return Some(match above.trim().split_once(' ') {
            Some((whole, above)) => {
                let (whole, above) = (decimal(whole)?, decimal(above.trim())?);
                format!("({whole} + {above}/{below})")
            }
            None => format!("({}/{below})", decimal(above.trim())?),
        });
    }
    decimal(text)
}
