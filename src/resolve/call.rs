//! `name(…)`: a function of the language, a function of the author, or a product with a bracket.
//!
//! Names of newer functions of the language are not reserved: a problem that has a quantity or a
//! function called so means its own.

use super::tree::{Expr, ExprKind, Factor};
use super::{Meaning, Resolver, SymbolId};
use crate::diagnostic::{Code, Diagnostic};
use crate::functions::{Dimensions, Function};
use crate::quantity::{Dimension, Unit};
use crate::syntax::{self, Operator};
use crate::text::Span;

impl Resolver<'_> {
    /// A call, with everything looked up; `None` after a diagnostic was recorded.
    pub(super) fn call(
        &mut self,
        span: Span,
        name: &syntax::Name,
        arguments: &[syntax::Expr],
        bracketed: bool,
    ) -> Option<Expr> {
        if !bracketed && let [argument] = arguments {
            self.number_with_unit(name, argument)?;
        }
        let kind = match self.called(&name.key) {
            Meaning::Language(function) => {
                let arguments = self.arguments(name, function.arity(), arguments)?;
                if function.dimensions() == Dimensions::Pressure {
                    self.atmosphere(name)?;
                }
                if function == Function::WeightedMean {
                    self.mean(span)?;
                }
                ExprKind::Call {
                    function,
                    arguments,
                    bracketed,
                }
            }
            Meaning::Function(function) => {
                let takes = self.symbols.function(function).parameters.len();
                let arguments = self.arguments(name, (takes, takes), arguments)?;
                ExprKind::Apply {
                    function,
                    arguments,
                }
            }
            // The definition of the function was refused.
            Meaning::Symbol(symbol) if self.broken_functions.contains(&symbol) => {
                ExprKind::Symbol(symbol)
            }
            Meaning::Symbol(_) if claims(&name.key, arguments) => {
                return self.report_two_readings(span, name);
            }
            Meaning::Symbol(_) if (1..=3).contains(&arguments.len()) => {
                return self.product_with_bracket(span, name, arguments);
            }
            Meaning::Symbol(_)
            | Meaning::Parameter { .. }
            | Meaning::Label { .. }
            | Meaning::Spot { .. }
            | Meaning::Unit
            | Meaning::Constant
            | Meaning::Undefined => {
                self.report_no_function(name, arguments);
                return None;
            }
        };
        Some(Expr { span, kind })
    }

    /// A weighted mean is fitted where it stands, and has a symbol as a parameter of a fit has.
    fn mean(&mut self, place: Span) -> Option<()> {
        if !self.parameters.is_empty() {
            let written = place.of(self.text);
            self.diagnostics.push(
                Diagnostic::error(
                    Code::N05,
                    place,
                    format!("`{written}` stands in a function of your own, and its weights depend on the data alone"),
                )
                .with_help(format!("a line of its own above: `m = {written}`")),
            );
            return None;
        }
        let known = self.means.contains_key(&place);
        if !known {
            let symbol = self.symbols.add_unseen(self.problem, place.of(self.text));
            self.means.insert(place, symbol);
        }
        Some(())
    }

    /// The function of the language that a name is, where the problem does not mean its own.
    pub(super) fn function_of_language(&self, key: &str) -> Option<Function> {
        let function = Function::named(key)?;
        let is_own = || {
            let defines = |problem| self.own_functions.contains(&(problem, key.into()));
            self.symbols.find(self.problem, key).is_some()
                || self.symbols.find_function(self.problem, key).is_some()
                || self.parameters.iter().any(|parameter| **parameter == *key)
                || defines(self.problem)
                || defines(0)
        };
        (function.is_reserved() || !is_own()).then_some(function)
    }

    /// Whether a name and the bracket behind a blank are a call, or could be one.
    pub(super) fn is_called(&self, name: &syntax::Name, arguments: &[syntax::Expr]) -> bool {
        match self.called(&name.key) {
            Meaning::Language(_) | Meaning::Function(_) => true,
            Meaning::Symbol(symbol) => {
                !self.broken_functions.contains(&symbol) && claims(&name.key, arguments)
            }
            Meaning::Parameter { .. }
            | Meaning::Label { .. }
            | Meaning::Spot { .. }
            | Meaning::Unit
            | Meaning::Constant
            | Meaning::Undefined => false,
        }
    }

    /// Refuses `sin 2 x`: of several factors, a function without brackets takes a number with its
    /// unit only.
    fn number_with_unit(&mut self, name: &syntax::Name, argument: &syntax::Expr) -> Option<()> {
        let syntax::ExprKind::Product(factors) = &argument.kind else {
            return Some(());
        };
        let end = self.unit_at(factors, 0).map_or(1, |(_, _, next)| next);
        let Some(further) = factors.get(end) else {
            return Some(());
        };
        let refusal = syntax::argument_of_two(self.text, name, factors, end, further);
        self.diagnostics.push(refusal);
        None
    }

    fn arguments(
        &mut self,
        name: &syntax::Name,
        takes: (usize, usize),
        arguments: &[syntax::Expr],
    ) -> Option<Vec<Expr>> {
        let resolved = self.exprs(arguments);
        if !(takes.0..=takes.1).contains(&arguments.len()) {
            self.report_arity(name, takes, arguments.len());
            return None;
        }
        resolved
    }

    /// `bessel(1, x)` where the problem has a quantity `bessel`.
    fn report_two_readings(&mut self, span: Span, name: &syntax::Name) -> Option<Expr> {
        let (whole, written) = (span.of(self.text), name.span.of(self.text));
        let bracket = Span {
            start: name.span.end,
            end: span.end,
        };
        let product = format!("*{}", bracket.of(self.text).trim_start());
        self.diagnostics.push(
            Diagnostic::error(
                Code::S03,
                span,
                format!(
                    "`{whole}` has two readings: the function `{written}` of the language, and the quantity `{written}` of this problem times a bracket"
                ),
            )
            .with_help(format!(
                "`{written}{product}` for the product, or another name for the quantity, such as `{written}_1`"
            ))
            .with_choice(bracket, product),
        );
        None
    }

    fn report_no_function(&mut self, name: &syntax::Name, arguments: &[syntax::Expr]) {
        let written = name.span.of(self.text);
        if let Some(datum) = datum_in_brackets(written, arguments) {
            let place = arguments
                .iter()
                .fold(name.span, |span, it| span.cover(it.span));
            let close = Span {
                start: place.end,
                end: place.end + 1,
            };
            self.diagnostics.push(
                Diagnostic::error(
                    Code::N05,
                    place.cover(close),
                    format!(
                        "`{}` is no function: the datum of a pressure is a word",
                        place.cover(close).of(self.text)
                    ),
                )
                .with_help(format!("`{written} {datum}`"))
                .with_choice(place.cover(close), format!("{written} {datum}")),
            );
            return;
        }
        self.diagnostics.push(
            Diagnostic::error(
                Code::N05,
                name.span,
                format!("`{written}` is neither a function nor a quantity that is defined above"),
            )
            .with_help(format!(
                "a line above that defines the function: `{written}(x) = …`"
            )),
        );
    }

    /// `erf x`, where the problem has no quantity `erf`.
    pub(super) fn report_function_alone(&mut self, name: &syntax::Name) {
        let written = name.span.of(self.text);
        self.diagnostics.push(
            Diagnostic::error(
                Code::N05,
                name.span,
                format!("`{written}` is a function, and its argument is not in brackets"),
            )
            .with_help(format!(
                "`{written}(…)`, or a line above that defines a quantity `{written}`"
            )),
        );
    }

    fn product_with_bracket(
        &mut self,
        span: Span,
        name: &syntax::Name,
        arguments: &[syntax::Expr],
    ) -> Option<Expr> {
        let head = self.name(name);
        let mut inner = self.exprs(arguments)?;
        let bracket = Span {
            start: name.span.end,
            end: span.end,
        };
        let factors = vec![
            Factor {
                operator: Operator::Juxtapose,
                expr: Expr {
                    span: name.span,
                    kind: head?,
                },
            },
            Factor {
                operator: Operator::Juxtapose,
                expr: Expr {
                    span: bracket,
                    kind: if inner.len() == 1 {
                        ExprKind::Group(Box::new(inner.remove(0)))
                    } else {
                        ExprKind::Vector(inner)
                    },
                },
            },
        ];
        Some(Expr {
            span,
            kind: ExprKind::Product(factors.into()),
        })
    }

    /// A conversion between gauge and absolute needs the pressure of the atmosphere.
    fn atmosphere(&mut self, name: &syntax::Name) -> Option<SymbolId> {
        let found = self
            .symbols
            .find(self.problem, syntax::ATMOSPHERE)
            .filter(|symbol| self.symbolic || self.may_use(*symbol));
        if found.is_none() && !self.symbolic {
            let written = name.span.of(self.text);
            self.diagnostics.push(
                Diagnostic::error(
                    Code::R06,
                    name.span,
                    format!("`{written}(…)` needs the pressure of the atmosphere, and `p_atm` is not given"),
                )
                .with_help("`p_atm = 101.3 kPa abs` in `given` above, with the value of the place"),
            );
            return None;
        }
        found.or_else(|| Some(self.symbols.intern(self.problem, syntax::ATMOSPHERE)))
    }

    fn report_arity(&mut self, name: &syntax::Name, takes: (usize, usize), found: usize) {
        let (takes, most) = takes;
        let least = if takes < most { "at least " } else { "" };
        let written = name.span.of(self.text);
        let plural = |count: usize| if count == 1 { "" } else { "s" };
        self.diagnostics.push(
            Diagnostic::error(
                Code::N05,
                name.span,
                format!(
                    "`{written}` takes {least}{takes} argument{}, but {found} stand{} here",
                    plural(takes),
                    if found == 1 { "s" } else { "" }
                ),
            )
            .with_help(format!(
                "`{written}(…)` with {takes} argument{}",
                plural(takes)
            )),
        );
    }
}

/// Whether what stands in the brackets behind a quantity could be meant for the function of the
/// language that has its name.
fn claims(key: &str, arguments: &[syntax::Expr]) -> bool {
    let is_list = matches!(arguments, [only] if has_rows(only));
    Function::named(key).is_some_and(|function| function.claims(arguments.len(), is_list))
}

/// Whether a formula has a list or the name of one outside of what makes one number of all rows.
fn has_rows(expr: &syntax::Expr) -> bool {
    use syntax::ExprKind::{Call, List, Name, Where};
    if matches!(&expr.kind, List(_) | Where(..)) {
        return true;
    }
    if let Name(name) = &expr.kind {
        return syntax::is_list_name(&name.key);
    }
    let reduces = |it: Function| (it.takes_rows() || it.takes_lists()) && !it.joins_rows();
    if matches!(&expr.kind, Call { name, .. } if Function::named(&name.key).is_some_and(reduces)) {
        return false;
    }
    let mut found = false;
    expr.for_each_part(&mut |part| found |= has_rows(part));
    found
}

/// The datum of `bar(g)`, as a word behind the unit.
fn datum_in_brackets(unit: &str, arguments: &[syntax::Expr]) -> Option<&'static str> {
    let [
        syntax::Expr {
            kind: syntax::ExprKind::Name(datum),
            ..
        },
    ] = arguments
    else {
        return None;
    };
    let unit = Unit::lone(unit).ok()?;
    if unit.dimension() != Dimension::pressure() {
        return None;
    }
    syntax::meant_datum(&datum.key)
}
