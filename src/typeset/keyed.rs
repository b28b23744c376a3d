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
    /// A list, or a vector where a number is needed.
    List,
    /// A case distinction.
    Cases,
    /// A function that calculators do not have.
    Function(String),
    /// A sign that is none of arithmetic.
    Sign(&'static str),
}

/// A formula in numbers as a row of keys, whose result stands in a unit; of a vector a row for each
/// component.
///
/// # Errors
/// When something in it cannot be keyed in.
pub fn keyed(node: &Node, unit: &str) -> Result<Vec<String>, Keyless> {
    Ok(match Row::new(node.parts(), Setting::of(unit)).row()? {
        Keys::One(keys) => vec![keys],
        Keys::Each(keys) => keys,
    })
}

/// What is keyed in for a part.
#[derive(Debug, Clone)]
enum Keys {
    /// For a number.
    One(String),
    /// For each component of a vector.
    Each(Vec<String>),
}

impl Keys {
    /// The keys of a number.
    fn one(self) -> Result<String, Keyless> {
        match self {
            Self::One(keys) => Ok(keys),
            Self::Each(_) => Err(Keyless::List),
        }
    }

    /// The same with more around them.
    fn map(self, around: impl Fn(&str) -> String) -> Self {
        match self {
            Self::One(keys) => Self::One(around(&keys)),
            Self::Each(all) => Self::Each(all.iter().map(|keys| around(keys)).collect()),
        }
    }

    /// Pieces one after another; what is a number stands in each component of a vector.
    fn joined(pieces: &[Self]) -> Result<Self, Keyless> {
        let mut lengths = pieces.iter().filter_map(|it| match it {
            Self::One(_) => None,
            Self::Each(all) => Some(all.len()),
        });
        let Some(length) = lengths.next() else {
            return Ok(Self::One(pieces.iter().map(|it| it.of(0)).collect()));
        };
        if lengths.any(|other| other != length) {
            return Err(Keyless::List);
        }
        let component = |at: usize| pieces.iter().map(|it| it.of(at)).collect();
        Ok(Self::Each((0..length).map(component).collect()))
    }

    fn of(&self, at: usize) -> &str {
        match self {
            Self::One(keys) => keys,
            Self::Each(all) => all.get(at).map_or("", |keys| keys),
        }
    }

    /// `a · b` or `a × b`.
    fn product(sign: &str, left: &[String], right: &[String]) -> Result<Self, Keyless> {
        let both = |at: usize, other: usize| format!("{}*{}", left[at], right[other]);
        let across =
            |at: usize, other: usize| format!("({} - {})", both(at, other), both(other, at));
        match (sign, left.len(), right.len()) {
            ("·", length, other) if length == other => {
                let parts: Vec<String> = (0..length).map(|at| both(at, at)).collect();
                Ok(Self::One(format!("({})", parts.join(" + "))))
            }
            ("×", 2, 2) => Ok(Self::One(across(0, 1))),
            ("×", 3, 3) => Ok(Self::Each(vec![across(1, 2), across(2, 0), across(0, 1)])),
            _ => Err(Keyless::List),
        }
    }
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

    fn row(&mut self) -> Result<Keys, Keyless> {
        let mut pieces: Vec<Keys> = Vec::new();
        // The vector of a product, with the sign that stands behind it.
        let mut vector: Option<(usize, &str)> = None;
        let mut is_behind_factor = false;
        while let Some(part) = self.parts.get(self.at) {
            let sign = |keys: &str| Keys::One(keys.to_owned());
            match part {
                Node::Space(_) => self.at += 1,
                Node::Operator(operator, kind @ (Kind::Infix { .. } | Kind::Prefix)) => {
                    let product = matches!(*operator, "×" | "·");
                    vector = vector.filter(|_| product).map(|(at, known)| match known {
                        "·" => (at, known),
                        _ => (at, *operator),
                    });
                    pieces.push(sign(match (*operator, kind) {
                        ("+", Kind::Infix { .. }) => " + ",
                        ("−", Kind::Infix { .. }) => " - ",
                        ("×" | "·", Kind::Infix { .. }) => "*",
                        ("−", _) => "-",
                        (sign, _) => return Err(Keyless::Sign(sign)),
                    }));
                    is_behind_factor = false;
                    self.at += 1;
                }
                Node::Operator(_, Kind::Over) => {
                    pieces.push(sign("/"));
                    is_behind_factor = false;
                    self.at += 1;
                }
                _ => {
                    pieces.extend(is_behind_factor.then(|| sign("*")));
                    let mut factor = self.factor()?;
                    if let Keys::Each(right) = &factor {
                        match vector {
                            None => vector = Some((pieces.len(), "")),
                            // The product stands where the first of them does.
                            Some((at, sign)) => {
                                let Keys::Each(left) = &pieces[at] else {
                                    return Err(Keyless::List);
                                };
                                let product = Keys::product(sign, left, right)?;
                                vector = match product {
                                    Keys::One(_) => None,
                                    Keys::Each(_) => Some((at, "")),
                                };
                                pieces[at] = product;
                                factor = Keys::One("1.0".to_owned());
                            }
                        }
                    }
                    pieces.push(factor);
                    is_behind_factor = true;
                }
            }
        }
        Keys::joined(&pieces)
    }

    /// What holds together: one part, what brackets hold, or a function with its arguments.
    fn factor(&mut self) -> Result<Keys, Keyless> {
        let Some(part) = self.parts.get(self.at) else {
            return Err(Keyless::Words);
        };
        if let Node::Operator(open, Kind::Open) = part {
            let inside = self.inside();
            let inside = fenced(open, self.setting.parts(inside)?)?;
            return Ok(self.in_unit(inside));
        }
        self.at += 1;
        if let Node::Operator("∠", _) = part {
            return self.direction().map(Keys::One);
        }
        if let Some(name) = function(part) {
            return self.call(name).map(Keys::One);
        }
        if let Node::Power(parts) = part
            && let [base, exponent] = &**parts
            && let Some(name) = function(base)
        {
            let exponent = self.setting.all(exponent)?.one()?;
            return Ok(Keys::One(format!("({}^({exponent}))", self.call(name)?)));
        }
        let factor = self.setting.node(part)?;
        Ok(self.in_unit(factor))
    }

    /// The components of a vector with the unit that follows its brackets.
    fn in_unit(&mut self, factor: Keys) -> Keys {
        match (&factor, self.parts.get(self.at)) {
            (Keys::Each(_), Some(Node::Unit(unit))) => {
                self.at += 1;
                match self.setting.factor(unit) {
                    1.0 => factor,
                    by => factor.map(|keys| format!("({keys}*{by:?})")),
                }
            }
            _ => factor,
        }
    }

    /// The angle of the vector that follows.
    fn direction(&mut self) -> Result<String, Keyless> {
        let outside = self.setting;
        self.setting.in_angle = false;
        let vector = self.factor();
        self.setting = outside;
        match vector? {
            Keys::Each(all) if all.len() == 2 => {
                Ok(outside.angle(call("atan2", &format!("{}, {}", all[1], all[0]))?))
            }
            Keys::One(_) | Keys::Each(_) => Err(Keyless::List),
        }
    }

    /// A function with the arguments that follow.
    fn call(&mut self, name: &str) -> Result<String, Keyless> {
        let outside = self.setting;
        self.setting.in_angle = matches!(name, "sin" | "cos" | "tan");
        let arguments = self.arguments();
        self.setting = outside;
        let call = call(name, &arguments?)?;
        let gives_an_angle = matches!(name, "asin" | "acos" | "atan" | "atan2");
        Ok(match gives_an_angle {
            true => outside.angle(call),
            false => call,
        })
    }

    /// The arguments of the function before.
    fn arguments(&mut self) -> Result<String, Keyless> {
        match self.parts.get(self.at) {
            Some(Node::Operator(_, Kind::Apply)) => {
                self.at += 1;
                self.factor()?.one()
            }
            Some(Node::Operator("(", Kind::Open)) => {
                let inside = self.inside();
                self.setting.parts(inside)?.one()
            }
            Some(Node::Fence(fence)) if fence.open == "(" => {
                self.at += 1;
                let parts = fence.inside.parts();
                let is_comma = |part: &Node| matches!(part, Node::Operator(_, Kind::Comma));
                let each = (parts.split(is_comma)).map(|it| self.setting.parts(it)?.one());
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
    fn parts(self, parts: &[Node]) -> Result<Keys, Keyless> {
        Row::new(parts, self).row()
    }

    fn all(self, node: &Node) -> Result<Keys, Keyless> {
        self.parts(node.parts())
    }

    /// What a number in a unit is multiplied by.
    fn factor(self, unit: &str) -> f64 {
        let degree = calculator::setting(unit).filter(|_| self.in_angle);
        degree.unwrap_or_else(|| share(unit))
    }

    /// An angle as functions give it here.
    fn angle(self, keys: String) -> String {
        match self.degree.filter(|_| !self.in_angle) {
            Some(degree) => format!("({keys}/{degree:?})"),
            None => keys,
        }
    }

    fn node(self, node: &Node) -> Result<Keys, Keyless> {
        match node {
            Node::Row(_) => Ok(self.all(node)?.map(|keys| format!("({keys})"))),
            Node::Letter('π') => Ok(Keys::One(format!("{:?}", std::f64::consts::PI))),
            Node::Number(number) => self::number(number).map(Keys::One),
            Node::PowerOfTen(exponent) => Ok(Keys::One(format!("1e{exponent}"))),
            Node::Quantity(quantity) => self.quantity(quantity).map(Keys::One),
            Node::Fraction(halves) => {
                let [above, below] = &**halves;
                let below = self.all(below)?.one()?;
                Ok(self
                    .all(above)?
                    .map(|above| format!("(({above})/({below}))")))
            }
            Node::Power(parts) => {
                let [base, exponent] = &**parts;
                let [base, exponent] = [self.all(base)?.one()?, self.all(exponent)?.one()?];
                Ok(Keys::One(format!("(({base})^({exponent}))")))
            }
            Node::Root(degree, inside) => {
                let name = match degree {
                    2 => "sqrt",
                    _ => "cbrt",
                };
                call(name, &self.all(inside)?.one()?).map(Keys::One)
            }
            Node::Fence(fence) => self.fence(fence),
            Node::Stack(rows) => {
                // Brackets may open in one row and close in another.
                let parts: Vec<Node> = rows.iter().flat_map(Node::parts).cloned().collect();
                Ok(self.parts(&parts)?.map(|keys| format!("({keys})")))
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

    fn fence(self, fence: &Fence) -> Result<Keys, Keyless> {
        if fence.open == "[" {
            return Err(Keyless::List);
        }
        let is_comma =
            |part: &Node| matches!(part, Node::Operator(_, Kind::Comma | Kind::ListComma));
        let parts = fence.inside.parts();
        if parts.iter().any(is_comma) {
            let each = (parts.split(is_comma)).map(|part| {
                let keys = self.parts(part)?.one()?;
                Ok(format!("({keys})"))
            });
            return Ok(Keys::Each(each.collect::<Result<_, Keyless>>()?));
        }
        fenced(fence.open, self.all(&fence.inside)?)
    }

    fn quantity(self, quantity: &Quantity) -> Result<String, Keyless> {
        let number = number(&quantity.number)?;
        Ok(match self.factor(&quantity.unit) {
            1.0 => number,
            factor => format!("({number}*{factor:?})"),
        })
    }
}

fn fenced(open: &'static str, inside: Keys) -> Result<Keys, Keyless> {
    match (open, inside) {
        ("(", inside) => Ok(inside.map(|keys| format!("({keys})"))),
        // The magnitude of a vector.
        ("|", Keys::Each(all)) => {
            let squares: Vec<String> = all.iter().map(|keys| format!("({keys})^2")).collect();
            call("sqrt", &squares.join(" + ")).map(Keys::One)
        }
        ("|", inside) => call("abs", &inside.one()?).map(Keys::One),
        ("⌈", inside) => call("ceil", &inside.one()?).map(Keys::One),
        ("⌊", inside) => call("floor", &inside.one()?).map(Keys::One),
        (open, _) => Err(Keyless::Sign(open)),
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
