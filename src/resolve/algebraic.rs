//! Between the author's form of a formula and its canonical form: one function each way.
//!
//! A symbol of the worksheet is a symbol of the algebra; so is each component of a vector, each
//! published constant, and each number with a unit, whose value is then fixed.

use super::components::{Components, axes, components};
use super::setting::{Setting, Signs};
use super::tree::{Expr, ExprKind, Factor, FunctionId, Quantity, Shape, SymbolId, Term};
use crate::algebra::{self, Algebra, Id, Rational, Symbol};
use crate::functions::Function;
use crate::quantity::Constant;
use crate::syntax::{Axis, Operator};
use crate::text::{Span, decimal};

/// Symbols of the algebra a symbol of the worksheet takes: itself and three components.
const STRIDE: u32 = 4;
/// Where the symbols of constants and of numbers with units begin.
const FIXED: u32 = 1 << 31;
/// How deep user functions may call each other.
const MOST_CALLS: usize = 40;
/// How many levels a formula may have once user functions are written out.
const MOST_LEVELS: usize = 1_000;

/// What the algebra does not look into.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Opaque {
    /// A case distinction.
    Cases,
    /// A list, or a function of one.
    List,
    /// A number of the uncertainty of a value.
    Uncertainty,
    /// A value read off a table.
    Table,
    /// A vector where a number is needed.
    Vector,
    /// A number whose exact value cannot be told, or a pressure of the atmosphere that is missing.
    Number,
    /// User functions that call each other too deep.
    Calls,
    /// A formula that takes more effort than is left.
    Effort,
}

impl Opaque {
    /// What it is, for a sentence.
    pub fn words(self) -> &'static str {
        match self {
            Self::Cases => "a case distinction",
            Self::List => "a list",
            Self::Uncertainty => "an uncertainty",
            Self::Table => "a table as a function",
            Self::Vector => "a vector where a number is needed",
            Self::Number => "a number of too many digits",
            Self::Calls => "functions that call each other too deep",
            Self::Effort => "a formula that takes more steps than are allowed",
        }
    }
}

/// An algebra whose symbols are those of a setting.
pub struct Algebraic<'a> {
    /// The algebra.
    pub algebra: Algebra,
    setting: &'a Setting,
    /// Arguments of the user functions that are being looked into.
    frames: Vec<Vec<Id>>,
    /// How many levels the part that is being looked into is below the whole.
    level: usize,
    constants: Vec<&'static Constant>,
    literals: Vec<f64>,
}

/// The algebra's symbol for a symbol of the worksheet, or for one of its components.
pub fn symbol(id: SymbolId, axis: Option<Axis>) -> Symbol {
    let component = match axis {
        None => 0,
        Some(Axis::X) => 1,
        Some(Axis::Y) => 2,
        Some(Axis::Z) => 3,
    };
    Symbol(id.0.saturating_mul(STRIDE).min(FIXED - STRIDE) + component)
}

/// The worksheet's symbol, and the component, that a symbol of the algebra stands for; `None` for
/// a fixed value.
pub fn of_symbol(symbol: Symbol) -> Option<(SymbolId, Option<Axis>)> {
    let axis = match symbol.0 % STRIDE {
        1 => Some(Axis::X),
        2 => Some(Axis::Y),
        3 => Some(Axis::Z),
        _ => None,
    };
    (symbol.0 < FIXED).then_some((SymbolId(symbol.0 / STRIDE), axis))
}

impl<'a> Algebraic<'a> {
    /// An algebra for the formulas of a setting that knows these signs.
    pub fn new(setting: &'a Setting, signs: &Signs) -> Self {
        let signs = signs
            .iter()
            .map(|(id, sign)| (symbol(*id, None), *sign))
            .collect();
        Self {
            algebra: Algebra::knowing(signs),
            setting,
            frames: Vec::new(),
            level: 0,
            constants: Vec::new(),
            literals: Vec::new(),
        }
    }

    /// The values of the symbols that stand for constants and for numbers with units, in coherent
    /// SI units.
    pub fn fixed(&self) -> Vec<(Symbol, f64)> {
        let constants = self.constants.iter().map(|constant| constant.value());
        let values = constants.map(|value| (0, value));
        let literals = self.literals.iter().map(|value| (1, *value));
        let mut counts = [0; 2];
        values
            .chain(literals)
            .map(|(kind, value)| {
                let at = counts[kind];
                counts[kind] += 1;
                (fixed(kind as u32, at), value)
            })
            .collect()
    }

    /// The published constant that a symbol of the algebra stands for.
    pub fn constant_of(&self, symbol: Symbol) -> Option<&'static Constant> {
        let at = self.constants.len();
        (0..at)
            .find(|at| fixed(0, *at as u32) == symbol)
            .and_then(|at| self.constants.get(at).copied())
    }

    /// The number with a unit that a symbol of the algebra stands for, in coherent SI units.
    pub fn literal_of(&self, symbol: Symbol) -> f64 {
        (0..self.literals.len())
            .find(|at| fixed(1, *at as u32) == symbol)
            .and_then(|at| self.literals.get(at).copied())
            .unwrap_or(f64::NAN)
    }

    /// The canonical form of a formula whose value is one number.
    pub fn canonical(&mut self, expr: &Expr) -> Result<Id, Opaque> {
        if self.level >= MOST_LEVELS {
            return Err(Opaque::Calls);
        }
        // Functions that use each other twice are written out without end.
        if self.algebra.is_exhausted() {
            return Err(Opaque::Effort);
        }
        self.level += 1;
        let found = self.canonical_part(expr);
        self.level -= 1;
        found
    }

    fn canonical_part(&mut self, expr: &Expr) -> Result<Id, Opaque> {
        Ok(match &expr.kind {
            ExprKind::Number(_) => self.number(expr.span)?,
            ExprKind::Numeral(value) => {
                let exact = Rational::from_float(*value).ok_or(Opaque::Number)?;
                self.algebra.number(exact)
            }
            ExprKind::Quantity(quantity) => self.quantity(quantity)?,
            ExprKind::Pi => self.algebra.pi(),
            ExprKind::Symbol(id) => self.algebra.symbol(symbol(*id, None)),
            ExprKind::Component(id, axis) => self.algebra.symbol(symbol(*id, Some(*axis))),
            ExprKind::Parameter(at) => {
                let frame = self.frames.last();
                *frame
                    .and_then(|frame| frame.get(usize::from(*at)))
                    .ok_or(Opaque::Calls)?
            }
            ExprKind::Constant(constant) => self.constant(constant),
            ExprKind::Sum(terms) => self.sum(terms)?,
            ExprKind::Product(factors) => self.product(factors)?,
            ExprKind::Power(base, exponent) => {
                let base = self.canonical(base)?;
                let exponent = self.canonical(exponent)?;
                self.algebra.power(base, exponent)
            }
            ExprKind::Negative(inner) => {
                let inner = self.canonical(inner)?;
                self.algebra.negate(inner)
            }
            ExprKind::Group(inner) => self.canonical(inner)?,
            ExprKind::Abs(inner) if components(inner, &self.setting.vectors).is_some() => {
                let square = self.dot(inner, inner)?;
                self.algebra.square_root(square)
            }
            ExprKind::Abs(inner) => {
                let inner = self.canonical(inner)?;
                self.algebra.call(algebra::Function::Abs, &[inner])
            }
            ExprKind::Call {
                function,
                arguments,
                ..
            } => self.call(*function, arguments)?,
            ExprKind::Apply {
                function,
                arguments,
            } => self.apply(*function, arguments)?,
            ExprKind::List(_) | ExprKind::Where(..) => return Err(Opaque::List),
            ExprKind::Vector(_) => return Err(Opaque::Vector),
            ExprKind::Cases(_) => return Err(Opaque::Cases),
            ExprKind::ReadOff(_) => return Err(Opaque::Table),
        })
    }

    fn parts(&mut self, exprs: &[Expr]) -> Result<Vec<Id>, Opaque> {
        exprs.iter().map(|expr| self.canonical(expr)).collect()
    }

    fn number(&mut self, span: Span) -> Result<Id, Opaque> {
        let value = algebra::decimal(span.of(&self.setting.numbers)).ok_or(Opaque::Number)?;
        Ok(self.algebra.number(value))
    }

    /// A plain number or an angle exactly; any other literal as a symbol of a fixed value.
    fn quantity(&mut self, quantity: &Quantity) -> Result<Id, Opaque> {
        let value = match (quantity.values.as_slice(), quantity.shape) {
            ([only], Shape::One) => *only,
            (_, Shape::Vector) => return Err(Opaque::Vector),
            _ => return Err(Opaque::List),
        };
        let written = decimal(quantity.number.of(&self.setting.numbers));
        let exact = match written.split_once('/') {
            Some((above, below)) => algebra::decimal(above.trim())
                .zip(algebra::decimal(below.trim()))
                .filter(|(_, below)| *below != algebra::whole(0))
                .map(|(above, below)| above / below),
            None => algebra::decimal(written.trim_start_matches('+')),
        };
        let certain = quantity.sizes.is_empty();
        match (quantity.unit.source(), exact) {
            ("", Some(exact)) if certain => Ok(self.algebra.number(exact)),
            ("rad", Some(exact)) if certain => Ok(self.algebra.number(exact)),
            (_, Some(exact)) if certain && value == 0.0 && quantity.unit.offset() == 0.0 => {
                Ok(self.algebra.number(exact))
            }
            ("%", Some(exact)) if certain => Ok(self.algebra.number(exact / algebra::whole(100))),
            ("deg" | "°", Some(exact)) if certain => {
                let pi = self.algebra.pi();
                Ok(self.algebra.scale(pi, &(exact / algebra::whole(180))))
            }
            _ => Ok(self.literal(quantity.unit.to_si(value))),
        }
    }

    fn literal(&mut self, si: f64) -> Id {
        let known = self.literals.iter().position(|value| *value == si);
        let at = known.unwrap_or_else(|| {
            self.literals.push(si);
            self.literals.len() - 1
        });
        self.algebra.symbol(fixed(1, at as u32))
    }

    fn constant(&mut self, constant: &'static Constant) -> Id {
        let known = (self.constants.iter()).position(|known| known.name == constant.name);
        let at = known.unwrap_or_else(|| {
            self.constants.push(constant);
            self.constants.len() - 1
        });
        self.algebra.symbol(fixed(0, at as u32))
    }

    fn sum(&mut self, terms: &[Term]) -> Result<Id, Opaque> {
        let mut parts = Vec::with_capacity(terms.len());
        for term in terms {
            let sign = if term.negative { -1 } else { 1 };
            parts.push((self.canonical(&term.expr)?, algebra::whole(sign)));
        }
        let sum = self.algebra.sum_of(&algebra::whole(0), &parts);
        self.algebra.note_sum(sum);
        Ok(sum)
    }

    fn product(&mut self, factors: &[Factor]) -> Result<Id, Opaque> {
        let mut parts = Vec::with_capacity(factors.len());
        let mut above = Vec::new();
        for factor in factors {
            let part = self.canonical(&factor.expr)?;
            let power = if factor.operator == Operator::Divide {
                -1
            } else {
                above.push(part);
                1
            };
            parts.push((part, algebra::whole(power)));
        }
        self.algebra.note_factors(&above);
        Ok(self.algebra.product_of(&parts))
    }

    fn call(&mut self, function: Function, arguments: &[Expr]) -> Result<Id, Opaque> {
        match (function, arguments) {
            (Function::Dot, [left, right]) => return self.dot(left, right),
            (Function::Cross, [left, right]) => {
                let first = self.product_of_components(left, Axis::X, right, Axis::Y)?;
                let second = self.product_of_components(left, Axis::Y, right, Axis::X)?;
                return Ok(self.algebra.subtract(first, second));
            }
            (Function::Direction, [vector]) => {
                let (x, y) = (self.axis(vector, Axis::X)?, self.axis(vector, Axis::Y)?);
                return Ok(self.algebra.call(algebra::Function::Atan2, &[y, x]));
            }
            _ => {}
        }
        if function.is_of_uncertainty() {
            return Err(Opaque::Uncertainty);
        }
        if function.joins_rows() || function.takes_lists() {
            return Err(Opaque::List);
        }
        let parts = self.parts(arguments)?;
        let first = *parts.first().ok_or(Opaque::List)?;
        let algebra = &mut self.algebra;
        Ok(match function {
            Function::Sqrt => algebra.square_root(first),
            Function::Log10 => logarithm(algebra, first, 10),
            Function::Log2 => logarithm(algebra, first, 2),
            Function::Absolute | Function::Gauge => return self.datum(function, first),
            Function::Sum | Function::Mean if parts.len() > 1 => {
                let sum = algebra.add(&parts);
                let count = algebra::whole(parts.len() as i64);
                match function {
                    Function::Mean => algebra.scale(sum, &count.recip()),
                    _ => sum,
                }
            }
            // Of one argument they run over the rows of a list.
            _ if function.takes_rows() && parts.len() == 1 => return Err(Opaque::List),
            _ => algebra.call(algebra::Function::of(function), &parts),
        })
    }

    /// A component of a vector.
    fn axis(&mut self, vector: &Expr, axis: Axis) -> Result<Id, Opaque> {
        let writer = Components {
            vectors: &self.setting.vectors,
            definition: &|_| None,
        };
        let component = writer.of(vector, axis).ok_or(Opaque::Vector)?;
        self.canonical(&component)
    }

    fn product_of_components(
        &mut self,
        left: &Expr,
        one: Axis,
        right: &Expr,
        other: Axis,
    ) -> Result<Id, Opaque> {
        let factors = [self.axis(left, one)?, self.axis(right, other)?];
        Ok(self.algebra.multiply(&factors))
    }

    /// The sum of the products of the components of two vectors.
    fn dot(&mut self, left: &Expr, right: &Expr) -> Result<Id, Opaque> {
        let vectors = &self.setting.vectors;
        let size = components(left, vectors).or(components(right, vectors));
        let mut terms = Vec::new();
        for axis in axes(size.ok_or(Opaque::Vector)?) {
            terms.push(self.product_of_components(left, *axis, right, *axis)?);
        }
        Ok(self.algebra.add(&terms))
    }

    /// Pressures of one datum differ by a fixed value from those of the other.
    fn datum(&mut self, function: Function, pressure: Id) -> Result<Id, Opaque> {
        let atmosphere = self.setting.atmosphere.ok_or(Opaque::Number)?;
        let shift = self.algebra.symbol(symbol(atmosphere, None));
        Ok(match function {
            Function::Absolute => self.algebra.add(&[pressure, shift]),
            _ => self.algebra.subtract(pressure, shift),
        })
    }

    fn apply(&mut self, function: FunctionId, arguments: &[Expr]) -> Result<Id, Opaque> {
        let body = (self.setting.body(function)).ok_or(Opaque::Calls)?;
        if self.frames.len() >= MOST_CALLS {
            return Err(Opaque::Calls);
        }
        let arguments = self.parts(arguments)?;
        self.frames.push(arguments);
        let value = self.canonical(body);
        self.frames.pop();
        value
    }
}

/// A symbol for a fixed value: of constants (0), numbers with units (1).
fn fixed(kind: u32, at: u32) -> Symbol {
    Symbol(FIXED + (at << 2) + kind)
}

fn logarithm(algebra: &mut Algebra, of: Id, base: i64) -> Id {
    let base = algebra.whole(base);
    let below = algebra.call(algebra::Function::Ln, &[base]);
    let above = algebra.call(algebra::Function::Ln, &[of]);
    algebra.divide(above, below)
}
