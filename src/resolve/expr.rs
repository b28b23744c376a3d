//! Expressions: names to symbols, numbers and units to quantities.

use super::product;
use super::tree::{Case, Condition, Expr, ExprKind, Factor, Quantity, Shape, Term};
use super::{Meaning, Resolver, SymbolId};
use crate::diagnostic::{Code, Diagnostic, in_formula, nearest};
use crate::functions::Function;
use crate::quantity::{self, Mark};
use crate::syntax::{self, Operator};
use crate::text::Span;

/// How many mistakes of a worksheet get a suggestion.
pub(super) const SUGGESTIONS: usize = 100;

impl Resolver<'_> {
    /// An expression with everything looked up; `None` after a diagnostic was recorded.
    pub(super) fn expr(&mut self, expr: &syntax::Expr) -> Option<Expr> {
        let span = expr.span;
        let kind = match &expr.kind {
            syntax::ExprKind::Number(number) => ExprKind::Number(number.value),
            syntax::ExprKind::Quantity(literal) => {
                ExprKind::Quantity(Box::new(self.quantity(literal)?))
            }
            syntax::ExprKind::Name(name) => self.name(name)?,
            syntax::ExprKind::Sum(terms) => ExprKind::Sum(self.terms(span, terms)?.into()),
            syntax::ExprKind::Product(factors) => return self.product(span, factors),
            syntax::ExprKind::Power(base, exponent) => {
                let (base, exponent) = (self.expr(base), self.expr(exponent));
                ExprKind::Power(Box::new(base?), Box::new(exponent?))
            }
            syntax::ExprKind::Negative(inner) => match below_zero(span, self.expr(inner)?) {
                Ok(reading) => return Some(reading),
                Err(inner) => ExprKind::Negative(Box::new(inner)),
            },
            syntax::ExprKind::Group(inner) => ExprKind::Group(Box::new(self.expr(inner)?)),
            syntax::ExprKind::Abs(inner) => ExprKind::Abs(Box::new(self.expr(inner)?)),
            syntax::ExprKind::Call {
                name,
                arguments,
                bracketed,
            } => return self.call(span, name, arguments, *bracketed),
            syntax::ExprKind::List(items) => ExprKind::List(self.exprs(items)?),
            syntax::ExprKind::Vector(items) => ExprKind::Vector(self.exprs(items)?),
            syntax::ExprKind::Component(name, axis) => {
                ExprKind::Component(self.symbol(name)?, *axis)
            }
            syntax::ExprKind::Cases(cases) => ExprKind::Cases(self.cases(cases)?),
            syntax::ExprKind::Constant(word) => self.constant(word)?,
            syntax::ExprKind::Where(list, which) => {
                let (list, which) = (self.expr(list), self.which(which));
                ExprKind::Where(Box::new(list?), Box::new(which?))
            }
        };
        Some(Expr { span, kind })
    }

    /// Several expressions; every one is looked at, so that each mistake is reported.
    pub(super) fn exprs(&mut self, exprs: &[syntax::Expr]) -> Option<Vec<Expr>> {
        let resolved: Vec<Option<Expr>> = exprs.iter().map(|expr| self.expr(expr)).collect();
        resolved.into_iter().collect()
    }

    fn terms(&mut self, whole: Span, terms: &[syntax::Term]) -> Option<Vec<Term>> {
        let exprs: Vec<Option<Expr>> = terms.iter().map(|term| self.expr(&term.expr)).collect();
        let exprs: Option<Vec<Expr>> = exprs.into_iter().collect();
        let resolved = terms.iter().zip(exprs?).enumerate();
        let resolved = resolved.map(|(at, (term, expr))| {
            let negative = term.negative;
            if !(negative && at == 0) {
                return Term { negative, expr };
            }
            match below_zero(whole, expr) {
                Ok(expr) => Term {
                    negative: false,
                    expr,
                },
                Err(expr) => Term { negative, expr },
            }
        });
        Some(resolved.collect())
    }

    fn cases(&mut self, cases: &[syntax::Case]) -> Option<Vec<Case>> {
        let resolved: Vec<Option<Case>> = cases
            .iter()
            .map(|case| {
                let value = self.expr(&case.value);
                let condition = match &case.condition {
                    Some(check) => Some(Condition {
                        members: self.exprs(&check.members)?,
                        relations: check.relations.clone(),
                    }),
                    None => None,
                };
                Some(Case {
                    value: value?,
                    condition,
                })
            })
            .collect();
        resolved.into_iter().collect()
    }

    fn constant(&mut self, word: &syntax::Word) -> Option<ExprKind> {
        if let Some(constant) = quantity::constant(&word.text) {
            return Some(ExprKind::Constant(constant));
        }
        let mut diagnostic = Diagnostic::error(
            Code::N07,
            word.span,
            format!("`{}` is not the name of a known constant", word.text),
        );
        let like = quantity::constants_like(&word.text);
        diagnostic = match like.as_slice() {
            [] => diagnostic.with_help(
                "a CODATA name such as `constant(molar gas constant)`, which `setsquare constants` \
                 lists, or the value in `given`",
            ),
            names => {
                let spelled: Vec<String> =
                    names.iter().map(|it| format!("`constant({it})`")).collect();
                let told = diagnostic.with_help(spelled.join(" or "));
                (names.iter()).fold(told, |told, name| told.with_choice(word.span, *name))
            }
        };
        self.diagnostics.push(diagnostic);
        None
    }

    /// A name that stands alone.
    pub(super) fn name(&mut self, name: &syntax::Name) -> Option<ExprKind> {
        match self.meaning(&name.key) {
            Meaning::Parameter { index, .. } => return Some(ExprKind::Parameter(index)),
            Meaning::Constant if &*name.key == "pi" => return Some(ExprKind::Pi),
            Meaning::Constant
            | Meaning::Symbol(_)
            | Meaning::Function(_)
            | Meaning::Language(_)
            | Meaning::Label { .. }
            | Meaning::Spot { .. }
            | Meaning::Unit
            | Meaning::Undefined => {}
        }
        let symbol = self.symbol(name);
        if symbol.is_none() {
            self.offer_unit(name);
        }
        symbol.map(ExprKind::Symbol)
    }

    /// The unit that was meant, as an edit of the name for which it was reported.
    fn offer_unit(&mut self, name: &syntax::Name) {
        let (text, span) = (self.text, name.span);
        let written = span.of(text);
        let before = text.get(..span.start as usize).unwrap_or("").trim_end();
        let Some(last) = self.diagnostics.last_mut().filter(|last| last.span == span) else {
            return;
        };
        let unit = match last.code {
            Code::N04 => in_formula(text, span, &format!("1 {written}")),
            Code::Q01 if before.ends_with(|character: char| character.is_ascii_digit()) => {
                let Some((unit, power)) = unit_with_digits(written) else {
                    return;
                };
                format!("{unit}^{power}")
            }
            _ => return,
        };
        *last = last.clone().with_choice(span, unit);
    }

    /// The symbol a name means here, or a diagnostic.
    pub(super) fn symbol(&mut self, name: &syntax::Name) -> Option<SymbolId> {
        let found = self.symbols.find(self.problem, &name.key);
        if self.symbolic {
            return Some(found.unwrap_or_else(|| self.symbols.intern(self.problem, &name.key)));
        }
        match found {
            Some(symbol) if self.may_use(symbol) => Some(symbol),
            Some(symbol) => {
                self.report_too_early(name, symbol);
                None
            }
            None => {
                self.report_undefined(name);
                None
            }
        }
    }

    fn report_too_early(&mut self, name: &syntax::Name, symbol: SymbolId) {
        let written = name.span.of(self.text);
        let diagnostic = match self.later.get(&symbol) {
            Some(span) => {
                let diagnostic = Diagnostic::error(
                    Code::N03,
                    name.span,
                    format!("`{written}` is used before it is defined"),
                )
                .with_note(format!("`{written}` is defined here"), *span);
                match self.needs_current_line(symbol) {
                    true => diagnostic.with_help(format!(
                        "the equations that need each other in `derive`, each with a label, and `solve … for {written}, … near …` or `{written} = ? from … near …` here"
                    )),
                    false => diagnostic.with_help("the line that defines it, above this one"),
                }
            }
            None => Diagnostic::error(
                Code::N01,
                name.span,
                format!("`{written}` has no value yet"),
            )
            .with_help(self.way_to_a_value(written, &name.key)),
        };
        self.diagnostics.push(diagnostic);
    }

    /// What to write above a line so that a name has a value there: nothing in `derive` is
    /// evaluated, but what stands there need not be written again.
    pub(super) fn way_to_a_value(&self, written: &str, key: &str) -> String {
        let above = match self.formulas_for(key).is_empty() {
            true => format!("a line above that defines it: `{written} = …` in `given` or `work`"),
            false => format!(
                "`{written} = ?` in `work`, above this line: it takes the formula that stands in `derive`"
            ),
        };
        self.or_fitted(written, above)
    }

    /// What would define a name that is not defined.
    fn defined_above(&self, written: &str) -> String {
        match self.in_fit {
            true => self.or_fitted(written, "a line above that defines it".to_owned()),
            false => format!("a line above that defines `{written}`"),
        }
    }

    /// What gives a name a value above a line; in the formula of a fit it may also be a parameter.
    fn or_fitted(&self, written: &str, above: String) -> String {
        match self.in_fit {
            true => format!("`{written} = ? unit` below the formula, if it is fitted, or {above}"),
            false => above,
        }
    }

    /// Whether the line that defines a symbol needs, perhaps by others, what the current line defines.
    fn needs_current_line(&self, symbol: SymbolId) -> bool {
        let Some(current) = self.above else {
            return false;
        };
        let mut seen = vec![symbol];
        let mut next = 0;
        while let Some(at) = seen.get(next).and_then(|symbol| self.later.get(symbol)) {
            next += 1;
            if at.start == current {
                return true;
            }
            let from = self.text.get(at.end as usize..).unwrap_or("");
            let line = from.lines().next().unwrap_or("");
            for (_, word) in syntax::tokens::words(line) {
                let found = self.symbols.find(self.problem, &syntax::canonical(word));
                if let Some(found) =
                    found.filter(|found| self.later.contains_key(found) && !seen.contains(found))
                {
                    seen.push(found);
                }
            }
        }
        false
    }

    pub(super) fn report_undefined(&mut self, name: &syntax::Name) {
        let written = name.span.of(self.text);
        if Function::named(&name.key).is_some_and(|function| !function.is_reserved()) {
            self.report_function_alone(name);
            return;
        }
        if let Some(unit) = quantity::describe(written) {
            self.report_unit_alone(name, &unit);
            return;
        }
        if let Some((unit, power)) = self.raised_unit(name) {
            self.diagnostics.push(
                Diagnostic::error(
                    Code::N01,
                    name.span,
                    format!("`{written}` is not defined"),
                )
                .with_help(format!(
                    "`{unit}^{power}`, if the unit is meant, or a line above that defines `{written}`"
                ))
                .with_choice(name.span, format!("{unit}^{power}")),
            );
            return;
        }
        if let Some((unit, power)) = unit_with_digits(written) {
            self.diagnostics.push(
                Diagnostic::error(
                    Code::Q01,
                    name.span,
                    format!("`{written}` is neither defined nor a unit"),
                )
                .with_help(format!("`{unit}^{power}`, if the unit is meant")),
            );
            return;
        }
        let diagnostic =
            Diagnostic::error(Code::N01, name.span, format!("`{written}` is not defined"));
        let known = self.known();
        let diagnostic = match nearest(&name.key, known.iter().copied()) {
            Some(near) => {
                let known = self.symbols.find(self.problem, near);
                let defined = self.defined_above(written);
                let diagnostic =
                    diagnostic.with_help(format!("`{near}`, if that is meant, or {defined}"));
                match is_typed(near) && known.is_some_and(|symbol| self.may_use(symbol)) {
                    true => diagnostic.with_choice(name.span, near),
                    false => diagnostic,
                }
            }
            None => diagnostic.with_help(self.way_to_a_value(written, &name.key)),
        };
        self.diagnostics.push(diagnostic);
    }

    /// The names a mistyped one may be. Looking for the nearest takes all of them: worth it for a
    /// few mistakes, and of no use where everything is wrong.
    fn known(&self) -> Vec<&str> {
        match self.diagnostics.len() < SUGGESTIONS {
            true => self.symbols.keys(self.problem, self.above),
            false => Vec::new(),
        }
    }

    /// A name that is not defined and spelled like a unit; a name that differs by one letter is
    /// rather what was meant.
    fn report_unit_alone(&mut self, name: &syntax::Name, unit: &str) {
        let written = name.span.of(self.text);
        let is_usable = |near: &&str| {
            let symbol = self.symbols.find(self.problem, near);
            is_typed(near)
                && near.chars().next() == written.chars().next()
                && symbol.is_some_and(|symbol| self.may_use(symbol))
        };
        let near = nearest(&name.key, self.known().into_iter().filter(is_usable));
        let unit = format!("also the unit {unit}: write `1 {written}`");
        let message = format!("`{written}` is not defined (`{written}` is {unit})");
        let diagnostic = Diagnostic::error(Code::N04, name.span, message);
        let join = if self.in_fit { "" } else { "or " };
        let or = format!(
            "`1 {written}` for the unit, {join}{}",
            self.defined_above(written)
        );
        let diagnostic = match near {
            Some(near) => diagnostic
                .with_help(format!("`{near}`, if that is meant, {or}"))
                .with_choice(name.span, near),
            None => diagnostic.with_help(or),
        };
        self.diagnostics.push(diagnostic);
    }

    /// `m3` right after a number, or in what follows one, as `m` and `3`.
    fn raised_unit(&self, name: &syntax::Name) -> Option<(&str, &str)> {
        let (unit, power) = name.span.of(self.text).split_at_checked(1)?;
        let is_power = matches!(power, "2" | "3" | "4");
        let line = self.text.get(..name.span.start as usize)?;
        let line = line.rsplit(['\n', '=', '+', '-', '(']).next()?;
        let follows_number = line
            .trim_start()
            .starts_with(|it: char| it.is_ascii_digit());
        (is_power && follows_number && quantity::is_unit(unit)).then_some((unit, power))
    }

    /// A product: units after numbers are gathered first.
    fn product(&mut self, span: Span, factors: &[syntax::Factor]) -> Option<Expr> {
        let mut resolved = Vec::with_capacity(factors.len());
        let mut complete = true;
        let mut at = 0;
        while at < factors.len() {
            match self.literal_at(factors, at) {
                product::Reading::Refused => return None,
                product::Reading::Literal { expr, next } => {
                    resolved.push(Factor {
                        operator: factors[at].operator,
                        expr,
                    });
                    at = next;
                }
                product::Reading::Ordinary if self.report_unit_below(factors, at) => return None,
                product::Reading::Ordinary => {
                    complete &= self.factor(factors, &mut at, &mut resolved).is_some();
                }
            }
        }
        if !complete {
            return None;
        }
        if resolved.len() == 1 {
            return resolved.pop().map(|factor| Expr {
                span,
                kind: factor.expr.kind,
            });
        }
        Some(Expr {
            span,
            kind: ExprKind::Product(resolved.into()),
        })
    }

    /// One ordinary factor, or a function's name with the bracket after it.
    fn factor(
        &mut self,
        factors: &[syntax::Factor],
        at: &mut usize,
        resolved: &mut Vec<Factor>,
    ) -> Option<()> {
        let factor = &factors[*at];
        *at += 1;
        if let Some((name, arguments, bracket)) = self.call_at(factors, *at - 1) {
            *at += 1;
            let span = factor.expr.span.cover(bracket);
            let expr = self.call(span, name, arguments, true)?;
            resolved.push(Factor {
                operator: factor.operator,
                expr,
            });
            return Some(());
        }
        let expr = self.expr(&factor.expr)?;
        push_flat(resolved, factor.operator, expr);
        Some(())
    }

    /// The name at a place of a product, with the arguments in the bracket behind it and the place
    /// of that, where the two are a call.
    pub(super) fn call_at<'e>(
        &self,
        factors: &'e [syntax::Factor],
        at: usize,
    ) -> Option<(&'e syntax::Name, &'e [syntax::Expr], Span)> {
        let syntax::ExprKind::Name(name) = &factors.get(at)?.expr.kind else {
            return None;
        };
        let next = factors.get(at + 1)?;
        let arguments = in_brackets(&next.expr)?;
        let is_call = next.operator == Operator::Juxtapose && self.is_called(name, arguments);
        is_call.then_some((name, arguments, next.expr.span))
    }
}

/// What stands in the brackets that an expression is.
fn in_brackets(expr: &syntax::Expr) -> Option<&[syntax::Expr]> {
    match &expr.kind {
        syntax::ExprKind::Group(inner) => Some(std::slice::from_ref(inner)),
        syntax::ExprKind::Vector(items) => Some(items),
        _ => None,
    }
}

/// Whether a name can be typed: `T_` comes of a slip.
fn is_typed(name: &str) -> bool {
    !name.ends_with('_') && !name.contains("__")
}

/// `mm2` as `mm` and `2`: a unit whose power lost its mark. One letter with a digit is a name.
fn unit_with_digits(word: &str) -> Option<(&str, &str)> {
    let (unit, power) = syntax::tokens::digits_apart(word);
    (unit.len() > 1 && !power.is_empty() && quantity::is_unit(unit)).then_some((unit, power))
}

/// Adds a factor; a glued bracket (`p_1(a + b)`) is two factors of this product.
fn push_flat(resolved: &mut Vec<Factor>, operator: Operator, expr: Expr) {
    match expr.kind {
        ExprKind::Product(inner) if operator != Operator::Divide => {
            for (index, factor) in inner.iter().enumerate() {
                resolved.push(Factor {
                    operator: if index == 0 {
                        operator
                    } else {
                        factor.operator
                    },
                    expr: factor.expr.clone(),
                });
            }
        }
        kind => resolved.push(Factor {
            operator,
            expr: Expr {
                span: expr.span,
                kind,
            },
        }),
    }
}

/// A literal behind a minus sign, from where that stands, as the reading below zero that it is where
/// its unit counts from an agreed point: -5 °C is no 5 °C that are taken away. Anything else is given
/// back.
fn below_zero(minus: Span, expr: Expr) -> Result<Expr, Expr> {
    let ExprKind::Quantity(quantity) = &expr.kind else {
        return Err(expr);
    };
    let mark = quantity.unit.mark();
    let is_reading = quantity.unit.offset() != 0.0
        || matches!(mark, Mark::Gauge | Mark::Decibel)
        || quantity.datum == Some(syntax::Datum::Gauge);
    if !is_reading || quantity.shape != Shape::One {
        return Err(expr);
    }
    let from_minus = |place: Span| Span {
        start: minus.start,
        end: place.end,
    };
    let quantity = Quantity {
        number: from_minus(quantity.number),
        values: quantity.values.iter().map(|value| -value).collect(),
        ..Quantity::clone(quantity)
    };
    Ok(Expr {
        span: from_minus(expr.span),
        kind: ExprKind::Quantity(Box::new(quantity)),
    })
}
