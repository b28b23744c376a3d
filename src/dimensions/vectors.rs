//! Vectors where vectors belong, numbers where numbers belong.

use super::infer::{Inference, is_zero};
use crate::diagnostic::{Code, Diagnostic};
use crate::functions::Function;
use crate::resolve::{Expr, ExprKind, Factor, Shape as Values};
use crate::syntax::{Axis, Operator};

/// What the value of an expression is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Shape {
    /// A number, or a column of numbers.
    Number,
    /// A vector with so many components.
    Vector(u8),
    /// The number 0, which also stands for the zero vector.
    Zero,
}

impl Shape {
    fn words(self) -> String {
        match self {
            Self::Number | Self::Zero => "a number".to_owned(),
            Self::Vector(components) => format!("a vector of {components} components"),
        }
    }

    fn is_vector(self) -> bool {
        matches!(self, Self::Vector(_))
    }
}

impl Inference<'_> {
    /// The shape of an expression; `None` after a diagnostic was recorded.
    pub(super) fn shape(&mut self, expr: &Expr) -> Option<Shape> {
        match &expr.kind {
            _ if is_zero(expr) => Some(Shape::Zero),
            ExprKind::Symbol(symbol) => {
                let components = self.symbols.components(*symbol);
                Some(components.map_or(Shape::Number, Shape::Vector))
            }
            ExprKind::Component(symbol, axis) => {
                self.component(expr, self.symbols.components(*symbol), *axis)
            }
            ExprKind::Quantity(quantity) if quantity.shape == Values::Vector => {
                Some(Shape::Vector(quantity.values.len() as u8))
            }
            ExprKind::Vector(items) => {
                for item in items {
                    self.number(item, "a component")?;
                }
                Some(Shape::Vector(items.len() as u8))
            }
            ExprKind::Sum(terms) => {
                let terms: Vec<&Expr> = terms.iter().map(|term| &term.expr).collect();
                self.one_shape(&terms, "be added")
            }
            ExprKind::Product(factors) => self.shape_of_product(factors),
            ExprKind::Negative(inner) | ExprKind::Group(inner) => self.shape(inner),
            ExprKind::Abs(inner) => {
                self.shape(inner)?;
                Some(Shape::Number)
            }
            ExprKind::Power(base, exponent) => {
                self.number(base, "the base of a power")?;
                self.number(exponent, "an exponent")?;
                Some(Shape::Number)
            }
            ExprKind::Call {
                function,
                arguments,
                ..
            } => self.shape_of_call(expr, *function, arguments),
            ExprKind::Apply { arguments, .. } => {
                for argument in arguments {
                    self.number(argument, "the argument of a function")?;
                }
                Some(Shape::Number)
            }
            ExprKind::List(items) => {
                for item in items {
                    self.number(item, "an entry of a list")?;
                }
                Some(Shape::Number)
            }
            ExprKind::Cases(cases) => {
                for case in cases {
                    for member in case.condition.iter().flat_map(|found| &found.members) {
                        self.number(member, "a side of a condition")?;
                    }
                }
                let values: Vec<&Expr> = cases.iter().map(|case| &case.value).collect();
                self.one_shape(&values, "be values of one quantity")
            }
            ExprKind::Where(list, which) => {
                let mut sound = true;
                which.for_each_comparison(&mut |condition| {
                    for member in &condition.members {
                        sound &= self.number(member, "a side of a condition").is_some();
                    }
                });
                self.number(list, "a list")?;
                sound.then_some(Shape::Number)
            }
            ExprKind::ReadOff(table) => {
                for list in [&table.values, &table.places] {
                    self.number(list, "an entry of a table")?;
                }
                Some(Shape::Number)
            }
            ExprKind::Number(_)
            | ExprKind::Numeral(_)
            | ExprKind::Quantity(_)
            | ExprKind::Pi
            | ExprKind::Parameter(_)
            | ExprKind::Constant(_) => Some(Shape::Number),
        }
    }

    /// The one shape of expressions that must share it.
    pub(super) fn one_shape(&mut self, exprs: &[&Expr], verb: &str) -> Option<Shape> {
        let mut first: Option<(&Expr, Shape)> = None;
        for expr in exprs {
            let own = self.shape(expr)?;
            if own == Shape::Zero {
                continue;
            }
            match first {
                None => first = Some((expr, own)),
                Some((_, shape)) if shape == own => {}
                Some((other, shape)) => {
                    self.report_shapes([(other, shape), (expr, own)], verb);
                    return None;
                }
            }
        }
        Some(first.map_or(Shape::Zero, |(_, shape)| shape))
    }

    fn report_shapes(&mut self, sides: [(&Expr, Shape); 2], verb: &str) {
        let [(left, one), (right, other)] = sides;
        let (code, help) = if one.is_vector() && other.is_vector() {
            (
                Code::V03,
                "vectors with the same number of components".to_owned(),
            )
        } else {
            let vector = if one.is_vector() { left } else { right };
            let name = self.written(vector);
            (
                Code::V01,
                format!("a component, such as `{name}.x`, or the magnitude `|{name}|`"),
            )
        };
        let message = format!(
            "`{}` is {}, but `{}` is {}: they cannot {verb}",
            self.written(left),
            one.words(),
            self.written(right),
            other.words()
        );
        let fix = match (code, one.is_vector()) {
            (Code::V01, true) => self.magnitude(left),
            (Code::V01, false) => self.magnitude(right),
            _ => None,
        };
        let diagnostic = Diagnostic::error(code, right.span, message).with_help(help);
        self.diagnostics.push(diagnostic.with_fixes(fix));
    }

    /// Checks that an expression is no vector.
    pub(super) fn number(&mut self, expr: &Expr, role: &str) -> Option<()> {
        if !self.shape(expr)?.is_vector() {
            return Some(());
        }
        let name = self.written(expr);
        self.diagnostics.push(
            Diagnostic::error(
                Code::V04,
                expr.span,
                format!("`{name}` is a vector and cannot be {role}"),
            )
            .with_help(format!(
                "its magnitude `|{name}|`, a component, or `dot({name}, {name})`"
            ))
            .with_fixes(self.magnitude(expr)),
        );
        None
    }

    fn component(&mut self, whole: &Expr, components: Option<u8>, axis: Axis) -> Option<Shape> {
        if components.is_some_and(|components| usize::from(components) > axis as usize) {
            return Some(Shape::Number);
        }
        let text = self.written(whole);
        let name = text.rsplit_once('.').map_or(&*text, |(name, _)| name);
        let message = match components {
            Some(components) => {
                format!("`{name}` has {components} components, and `{text}` is none of them")
            }
            None => format!("`{name}` is a number and has no components"),
        };
        self.diagnostics.push(
            Diagnostic::error(Code::V03, whole.span, message)
                .with_help("a vector by its components, as in `F = (F_x, F_y)`"),
        );
        None
    }

    fn shape_of_product(&mut self, factors: &[Factor]) -> Option<Shape> {
        let mut vector: Option<(&Expr, Shape)> = None;
        let mut zero = false;
        for factor in factors {
            if factor.operator == Operator::Divide {
                self.number(&factor.expr, "a divisor")?;
                continue;
            }
            let own = self.shape(&factor.expr)?;
            zero |= own == Shape::Zero;
            match (vector, own.is_vector()) {
                (Some((other, _)), true) => {
                    self.report_product(other, &factor.expr);
                    return None;
                }
                (None, true) => vector = Some((&factor.expr, own)),
                _ => {}
            }
        }
        Some(match vector {
            Some((_, shape)) => shape,
            None if zero => Shape::Zero,
            None => Shape::Number,
        })
    }

    fn report_product(&mut self, left: &Expr, right: &Expr) {
        let (left_text, right_text) = (self.written(left), self.written(right));
        self.diagnostics.push(
            Diagnostic::error(
                Code::V02,
                left.span.cover(right.span),
                format!(
                    "the product of the vectors `{left_text}` and `{right_text}` has two readings"
                ),
            )
            .with_help(format!(
                "`dot({left_text}, {right_text})` or `cross({left_text}, {right_text})`"
            ))
            .with_fixes(self.products(left, right)),
        );
    }

    fn shape_of_call(
        &mut self,
        whole: &Expr,
        function: Function,
        arguments: &[Expr],
    ) -> Option<Shape> {
        match (function, arguments) {
            (Function::Dot | Function::Cross, [left, right]) => {
                let shape = self.one_shape(&[left, right], "be multiplied")?;
                let Shape::Vector(components) = shape else {
                    return self.report_no_vector(whole, function, left);
                };
                // In a plane the cross product has one component, across the plane.
                Some(if function == Function::Cross && components == 3 {
                    shape
                } else {
                    Shape::Number
                })
            }
            (Function::Direction, [vector]) => match self.shape(vector)? {
                Shape::Vector(2) => Some(Shape::Number),
                Shape::Vector(_) => {
                    let name = self.written(vector);
                    self.diagnostics.push(
                        Diagnostic::error(
                            Code::V03,
                            vector.span,
                            format!("the direction of `{name}`, which has 3 components, is no single angle"),
                        )
                        .with_help(format!("the unit vector `{name}/|{name}|`")),
                    );
                    None
                }
                _ => self.report_no_vector(whole, function, vector),
            },
            _ => {
                for argument in arguments {
                    self.number(argument, "the argument of a function of numbers")?;
                }
                Some(Shape::Number)
            }
        }
    }

    fn report_no_vector(
        &mut self,
        whole: &Expr,
        function: Function,
        argument: &Expr,
    ) -> Option<Shape> {
        let name = self.written(argument);
        self.diagnostics.push(
            Diagnostic::error(
                Code::V04,
                whole.span,
                format!(
                    "`{}` takes vectors, and `{name}` is a number",
                    function.name()
                ),
            )
            .with_help("vectors by their components, as in `F = (F_x, F_y)`"),
        );
        None
    }
}
