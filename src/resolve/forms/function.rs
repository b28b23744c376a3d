//! A function of the author: `h_f(Q) = …`.

use super::super::{Resolver, SymbolId};
use super::Kind;
use crate::syntax::{BlockKind, Chain, Name};

impl Resolver<'_> {
    /// The name and parameters of the function that a line defines. In `derive` a labelled line
    /// with the head of a function that is known already is an equation.
    pub(in crate::resolve) fn defined_function<'c>(
        &self,
        block: BlockKind,
        chain: &'c Chain,
        is_labelled: bool,
    ) -> Option<(&'c Name, Vec<&'c Name>)> {
        let (name, parameters) = self.function_head(chain)?;
        let known = self.symbols.find_function(self.problem, &name.key);
        let is_here = |function| self.symbols.function(function).defined == name.span;
        let is_new = || known.is_none_or(is_here) && self.function_of_language(&name.key).is_none();
        let is_equation = block == BlockKind::Derive && is_labelled && !is_new();
        (!is_equation).then_some((name, parameters))
    }

    pub(super) fn function(
        &mut self,
        chain: &Chain,
        name: &Name,
        parameters: &[&Name],
        defines: &mut Option<SymbolId>,
    ) -> Option<Kind> {
        let written = name.span.of(self.text);
        if let Some(function) = self.symbols.find_function(self.problem, &name.key) {
            let first = self.symbols.function(function).defined;
            self.report_twice(written, name.span, first);
            return None;
        }
        self.take_parameters(name, parameters);
        let body = chain.members.get(1).and_then(|body| self.expr(body));
        let parameters = std::mem::take(&mut self.parameters);
        let Some(body) = body else {
            // A call of it needs what failed here.
            *defines = self.define_broken(name);
            self.broken_functions.extend(*defines);
            return None;
        };
        let function = self.new_function(name, parameters, &body);
        Some(Kind::Function { function, body })
    }

    /// From here on these are the parameters of the function whose body is resolved.
    pub(in crate::resolve) fn take_parameters(&mut self, of: &Name, parameters: &[&Name]) {
        self.definition = of.span;
        self.parameters = (parameters.iter())
            .map(|parameter| parameter.key.clone())
            .collect();
    }
}
