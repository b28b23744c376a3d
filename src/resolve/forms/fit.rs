//! A formula whose parameters are fitted to lists.

use super::super::affine::{self, Through};
use super::super::statement::Ask;
use super::super::which::Which;
use super::super::{Expr, Resolver, SymbolId};
use super::{Kind, Work};
use crate::diagnostic::{Code, Decision, Diagnostic, Fix};
use crate::syntax::{self, Line, Name};
use crate::text::Span;

/// The most parameters of a fit.
pub const MOST_PARAMETERS: usize = 20;

/// A formula with its parameters.
#[derive(Debug, Clone, PartialEq)]
pub struct Fit {
    /// The two sides.
    pub sides: [Expr; 2],
    /// In the order of their lines.
    pub parameters: Vec<Parameter>,
    /// The rows that take part, where a condition says it.
    pub which: Option<Which>,
    /// What the rows are weighted by.
    pub weight: Weight,
    /// What the spread is taken from, where a line says it.
    pub spread: Option<syntax::Spread>,
}

/// A parameter of a fit.
#[derive(Debug, Clone, PartialEq)]
pub struct Parameter {
    /// Its symbol.
    pub symbol: SymbolId,
    /// Where it is written.
    pub span: Span,
    /// How it is asked.
    pub ask: Ask,
    /// What of it the formula is affine in, with the other linear ones; `None` where it is sought.
    pub through: Option<Through>,
    /// Where it is sought.
    pub near: Option<Expr>,
    /// The bounds that it stays between.
    pub between: Option<[Expr; 2]>,
}

/// What the rows of a fit are weighted by.
#[derive(Debug, Clone, PartialEq)]
pub enum Weight {
    /// By the uncertainties that the readings have.
    Uncertainty,
    /// All alike.
    Equally,
    /// By a list, which multiplies the squares of the residuals.
    By(Expr),
}

impl<'a> Resolver<'a> {
    /// The formula of a fit, with what the other lines of its block say.
    pub(super) fn fit(
        &mut self,
        fit: &'a syntax::Fit,
        lines: &'a [Line],
        defined: &mut Vec<SymbolId>,
    ) -> Option<Kind> {
        let mut formulas = lines.iter().filter_map(|line| match &line.statement {
            syntax::Statement::Fit(fit) => Some((line.span, fit)),
            _ => None,
        });
        // What is wrong with all lines together is said at the first formula.
        formulas
            .next()
            .filter(|(_, first)| std::ptr::eq(*first, fit))?;
        let second = formulas.next();
        let mut asked = Vec::new();
        let mut is_refused = second.is_some();
        for line in lines {
            match &line.statement {
                syntax::Statement::Parameter(parameter) => {
                    let symbol = self.define(&parameter.name, &mut None);
                    defined.extend(symbol);
                    asked.push((parameter, symbol));
                }
                // What a refused line was to ask for is a parameter, too.
                syntax::Statement::Broken(refused) => {
                    is_refused = true;
                    let name = refused.as_ref().map(|refused| &refused.name);
                    defined.extend(name.and_then(|name| self.define_broken(name)));
                }
                _ => {}
            }
        }
        if let Some((span, second)) = second {
            let name = self.report_second(span, second);
            defined.extend(name.and_then(|name| self.define_broken(name)));
        }
        if asked.len() > MOST_PARAMETERS {
            let place = asked[MOST_PARAMETERS].0.name.span;
            self.report_fit(
                Code::F13,
                place,
                format!(
                    "{} parameters, and a fit has at most {MOST_PARAMETERS}",
                    asked.len()
                ),
                "fewer parameters: data settle only a few",
            );
            return None;
        }
        self.ready.extend(&*defined);
        self.in_fit = true;
        let (left, right) = (self.expr(&fit.left), self.expr(&fit.right));
        self.in_fit = false;
        let which = match &fit.which {
            Some(which) => Some(self.which(which)?),
            None => None,
        };
        let (mut weight, mut spread) = (Some(Weight::Uncertainty), None);
        for line in lines {
            match &line.statement {
                syntax::Statement::Weighted(None) => weight = Some(Weight::Equally),
                syntax::Statement::Weighted(Some(by)) => weight = self.expr(by).map(Weight::By),
                syntax::Statement::Spread(from) => spread = Some(*from),
                _ => {}
            }
        }
        let (left, right) = (left?, right?);
        if is_refused {
            return None;
        }
        let symbols: Vec<SymbolId> = asked.iter().filter_map(|(_, symbol)| *symbol).collect();
        self.stands_right(&left, &right, &asked)?;
        let free: Vec<SymbolId> = (asked.iter())
            .filter(|(parameter, _)| parameter.between.is_none())
            .filter_map(|(_, symbol)| *symbol)
            .collect();
        let linear = affine::linear(&right, &free);
        let mut parameters = Vec::with_capacity(symbols.len());
        for (parameter, symbol) in asked {
            let symbol = symbol?;
            let through = linear.iter().find(|(own, _)| *own == symbol);
            let found = self.fitted(parameter, symbol, through.map(|(_, it)| *it));
            parameters.push(found?);
        }
        Some(Kind::Fit(Box::new(Fit {
            sides: [left, right],
            parameters,
            which,
            weight: weight?,
            spread,
        })))
    }

    /// A second formula; what is equal to a unit or a number alone was to be asked.
    fn report_second<'s>(&mut self, span: Span, second: &'s syntax::Fit) -> Option<&'s Name> {
        let name = match &second.left.kind {
            syntax::ExprKind::Name(name) if !syntax::is_list_name(&name.key) => Some(name),
            _ => None,
        };
        let Some(name) = name.filter(|name| !self.is_defined(&name.key)) else {
            self.report_fit(
                Code::S01,
                span,
                "a fit has one formula".to_owned(),
                "the second in a `fit` of its own",
            );
            return None;
        };
        let (written, unit) = (name.span.of(self.text), second.right.span);
        let message =
            format!("the fit has a formula above, and a parameter `{written}` is asked with `?`");
        let ask = format!("? {}", unit.of(self.text));
        let help = format!("`{written} = {ask}`");
        self.diagnostics.push(
            Diagnostic::error(Code::S01, span, message)
                .with_help(help)
                .with_fixes([Fix::write(Decision::Choose, unit, ask)]),
        );
        Some(name)
    }

    fn is_defined(&self, key: &str) -> bool {
        let symbol = self.symbols.find(self.problem, key);
        symbol.is_some_and(|symbol| self.later.contains_key(&symbol))
    }

    fn fitted(
        &mut self,
        parameter: &syntax::Parameter,
        symbol: SymbolId,
        through: Option<Through>,
    ) -> Option<Parameter> {
        let written = parameter.name.span.of(self.text);
        if through.is_none() && parameter.near.is_none() && parameter.between.is_none() {
            self.report_fit(
                Code::F03,
                parameter.name.span,
                format!("the formula is not linear in `{written}`, which needs a start"),
                &format!("`{written} = ? near …`, with a value that it might have"),
            );
            return None;
        }
        let near = match &parameter.near {
            Some(near) => Some(self.expr(near)?),
            None => None,
        };
        let between = match &parameter.between {
            Some((low, high)) => {
                let [low, high] = super::root::bounds(low, high);
                Some([self.expr(&low)?, self.expr(&high)?])
            }
            None => None,
        };
        Some(Parameter {
            symbol,
            span: parameter.name.span,
            ask: self.ask(&parameter.ask)?,
            through,
            near,
            between,
        })
    }

    /// Parameters stand on the right side, each of them, and on that alone.
    fn stands_right(
        &mut self,
        left: &Expr,
        right: &Expr,
        asked: &[(&syntax::Parameter, Option<SymbolId>)],
    ) -> Option<()> {
        let mut is_right = true;
        for (parameter, symbol) in asked {
            let symbol = (*symbol)?;
            let place = |side: &Expr| {
                let mut found = None;
                side.for_each_symbol(&mut |own, span| {
                    found = found.or((own == symbol).then_some(span));
                });
                found
            };
            let written = parameter.name.span.of(self.text);
            if let Some(span) = place(left) {
                self.report_fit(
                    Code::F06,
                    span,
                    format!("`{written}` stands on the left side: it would shrink what it is compared with"),
                    "the parameters on the right side, the readings on the left",
                );
                is_right = false;
            } else if place(right).is_none() {
                self.report_fit(
                    Code::N14,
                    parameter.name.span,
                    format!("`{written}` does not stand in the formula, so that the readings say nothing about it"),
                    "a name of the formula that has no value",
                );
                is_right = false;
            }
        }
        is_right.then_some(())
    }

    /// A line of a parameter: its value is asked, as of any name that has one.
    pub(super) fn of_parameter(&mut self, parameter: &syntax::Parameter) -> Option<Kind> {
        let symbol = self.symbols.find(self.problem, &parameter.name.key)?;
        let tail = self.asked(&parameter.ask, parameter.filled.as_ref())?;
        let work = Work::of_name(parameter.name.span, symbol, tail);
        Some(Kind::Work(Box::new(work)))
    }

    /// A parameter of a fit whose formula could not be read: what needs it says so.
    pub(super) fn without_formula(
        &mut self,
        parameter: &syntax::Parameter,
        lines: &[Line],
    ) -> Option<SymbolId> {
        let is_refused = lines
            .iter()
            .any(|line| matches!(line.statement, syntax::Statement::Broken(_)));
        let mut parameters = lines.iter().filter_map(|line| match &line.statement {
            syntax::Statement::Parameter(parameter) => Some(parameter),
            _ => None,
        });
        let is_first = parameters
            .next()
            .is_some_and(|first| std::ptr::eq(first, parameter));
        if is_first && !is_refused {
            let written = parameter.name.span.of(self.text);
            self.report_fit(
                Code::S01,
                parameter.name.span,
                format!("`{written}` is a parameter, and the fit has no formula"),
                "the formula above its parameters: `T_i = c + k L_i`",
            );
        }
        self.define_broken(&parameter.name)
    }

    fn report_fit(&mut self, code: Code, place: Span, message: String, help: &str) {
        self.diagnostics
            .push(Diagnostic::error(code, place, message).with_help(help));
    }
}
