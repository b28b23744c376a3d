//! A table as a function: `rho(T) = rho_i against T_i`.

use super::super::tree::{Expr, ExprKind, ReadOff};
use super::super::{FunctionId, Resolver, SymbolId, UserFunction, declare};
use super::Kind;
use crate::diagnostic::{Code, Diagnostic};
use crate::functions::Function;
use crate::statistics::interpolate::Way;
use crate::syntax::{Name, Tabulated};

impl Resolver<'_> {
    pub(super) fn tabulated(
        &mut self,
        tabulated: &Tabulated,
        defines: &mut Option<SymbolId>,
    ) -> Option<Kind> {
        let name = &tabulated.name;
        self.may_be_function(name)?;
        let lists = self
            .expr(&tabulated.values)
            .zip(self.expr(&tabulated.places));
        let rows = tabulated.rows.as_ref().map(|rows| self.which(rows));
        let lists = lists.filter(|(values, places)| self.are_lists([values, places]));
        let (Some((values, places)), None | Some(Some(_))) = (lists, &rows) else {
            // A call of it needs what failed here.
            *defines = self.define_broken(name);
            self.broken_functions.extend(*defines);
            return None;
        };
        let body = Expr {
            span: tabulated.values.span.cover(tabulated.places.span),
            kind: ExprKind::ReadOff(Box::new(ReadOff {
                function: self.symbols.add_unseen(self.problem, &name.key),
                values,
                places,
                way: if tabulated.is_cubic {
                    Way::Cubic
                } else {
                    Way::Straight
                },
                rows: rows.flatten(),
                at: Expr {
                    span: tabulated.parameter.span,
                    kind: ExprKind::Parameter(0),
                },
            })),
        };
        let function = self.new_function(name, vec![tabulated.parameter.key.clone()], &body);
        Some(Kind::Function { function, body })
    }

    fn are_lists(&mut self, lists: [&Expr; 2]) -> bool {
        let other = lists.into_iter().find(|list| list.as_symbol().is_none());
        if let Some(other) = other {
            self.diagnostics.push(
                Diagnostic::error(
                    Code::K16,
                    other.span,
                    format!("`{}` is no list", other.span.of(self.text)),
                )
                .with_help("the names of two lists of one table: `rho_i against T_i`"),
            );
        }
        other.is_none()
    }

    /// Whether a name may be that of a function: it is not reserved, and means nothing yet.
    pub(super) fn may_be_function(&mut self, name: &Name) -> Option<()> {
        let written = name.span.of(self.text);
        if Function::reserved(&name.key).is_some() || !declare::may_be_name(&name.key) {
            self.diagnostics.push(
                Diagnostic::error(
                    Code::S14,
                    name.span,
                    format!("`{written}` has a meaning of its own and cannot be defined"),
                )
                .with_help("another name, such as one with a subscript"),
            );
            return None;
        }
        let function = self.symbols.find_function(self.problem, &name.key);
        let first = function.map(|function| self.symbols.function(function).defined);
        let quantity = self.symbols.find(self.problem, &name.key);
        let first = first.or_else(|| self.later.get(&quantity?).copied());
        if let Some(first) = first {
            self.report_twice(written, name.span, first);
            return None;
        }
        Some(())
    }

    /// Adds a function with its body.
    pub(super) fn new_function(
        &mut self,
        name: &Name,
        parameters: Vec<Box<str>>,
        body: &Expr,
    ) -> FunctionId {
        let function = self.symbols.add_function(
            self.problem,
            UserFunction {
                key: name.key.clone(),
                parameters,
                defined: name.span,
            },
        );
        if self.keeps_equations {
            self.bodies.insert(function, body.clone());
        }
        function
    }
}
