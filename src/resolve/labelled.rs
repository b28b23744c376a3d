//! The equations of `derive` that later lines refer to.

use super::statement::Origin;
use super::{Expr, Resolver, SymbolId};
use crate::diagnostic::{Code, Decision, Diagnostic, Fix, nearest};
use crate::syntax::Word;
use crate::text::Span;

/// An equation of `derive` that later lines may refer to.
#[derive(Debug, Clone)]
pub(super) struct Known {
    pub problem: usize,
    pub origin: Origin,
    pub number: Option<usize>,
    /// Whether it is a step, which follows from others and defines nothing.
    pub is_step: bool,
    pub members: Vec<Expr>,
}

impl Known {
    /// Whether a symbol stands in it.
    pub fn mentions(&self, wanted: SymbolId) -> bool {
        let mut found = false;
        for member in &self.members {
            member.for_each_symbol(&mut |symbol, _| found |= symbol == wanted);
        }
        found
    }
}

impl Resolver<'_> {
    /// Keeps an equation for the lines that refer to it, where there are such lines.
    pub(super) fn keep(&mut self, number: Option<usize>, origin: Origin, members: &[Expr]) {
        self.keep_as(false, number, origin, members);
    }

    /// Keeps a step likewise.
    pub(super) fn keep_step(&mut self, number: Option<usize>, origin: Origin, members: &[Expr]) {
        self.keep_as(true, number, origin, members);
    }

    fn keep_as(&mut self, is_step: bool, number: Option<usize>, origin: Origin, members: &[Expr]) {
        if self.keeps_equations {
            self.known.push(Known {
                is_step,
                problem: self.problem,
                origin,
                number,
                members: members.to_vec(),
            });
        }
    }

    /// The equation with this label; an index into the known ones.
    pub(super) fn labelled(&mut self, label: &Word) -> Option<usize> {
        let place = [self.problem, 0]
            .iter()
            .find_map(|problem| self.labels.get(&(*problem, label.text.clone())))
            .copied();
        let Some((_, origin)) = place else {
            self.report_label(label);
            return None;
        };
        let found = self.known.iter().position(|known| known.origin == origin);
        let found = found.map(|at| self.seen_from_here(at));
        if found.is_none() && !self.refused.contains(&origin) {
            self.diagnostics.push(
                Diagnostic::error(
                    Code::N13,
                    label.span,
                    format!("what `{}` names is no equation to solve", label.text),
                )
                .with_help("the label of an equation in `derive` above"),
            );
        }
        found
    }

    /// An equation of the shared part again, with the symbols of this problem.
    pub(super) fn seen_from_here(&mut self, at: usize) -> usize {
        let problem = self.problem;
        if self.known[at].problem == problem {
            return at;
        }
        let symbols = &self.symbols;
        let by = |symbol: SymbolId| symbols.seen_from(problem, symbol);
        let own = Known {
            problem,
            members: (self.known[at].members.iter())
                .map(|member| member.with_symbols(&by))
                .collect(),
            ..self.known[at].clone()
        };
        self.known.push(own);
        self.known.len() - 1
    }

    fn report_label(&mut self, label: &Word) {
        let known: Vec<Box<str>> = self
            .labels
            .keys()
            .filter(|(problem, _)| *problem == self.problem || *problem == 0)
            .map(|(_, label)| label.clone())
            .collect();
        let mut known: Vec<&str> = known.iter().map(|label| &**label).collect();
        known.sort_unstable();
        let near = nearest(&label.text, known.iter().copied());
        let meant = near.filter(|near| !near.ends_with('-') && self.labels_an_equation(near));
        let fix = meant.map(|near| Fix::write(Decision::Choose, label.span, near));
        let help = match near {
            Some(near) => format!("`{near}`, if that equation is meant"),
            None => format!(
                "the label in front of its equation above: `{}: … = …`",
                label.text
            ),
        };
        self.diagnostics.push(
            Diagnostic::error(
                Code::N13,
                label.span,
                format!("no equation above has the label `{}`", label.text),
            )
            .with_help(help)
            .with_fixes(fix),
        );
    }

    /// Whether a line that names this label would find an equation.
    fn labels_an_equation(&self, label: &str) -> bool {
        let place = [self.problem, 0]
            .iter()
            .find_map(|problem| self.labels.get(&(*problem, label.into())));
        place.is_some_and(|(_, origin)| self.known.iter().any(|known| known.origin == *origin))
    }

    /// Whether every symbol but the unknowns has a value by now; each that has none is reported.
    pub(super) fn all_ready(
        &mut self,
        sides: &[&Expr],
        unknowns: &[SymbolId],
        place: Span,
    ) -> Option<()> {
        let mut missing: Vec<(SymbolId, Span)> = Vec::new();
        for side in sides {
            side.for_each_symbol(&mut |symbol, span| {
                let known = self.may_use(symbol)
                    || unknowns.contains(&symbol)
                    || missing.iter().any(|(other, _)| *other == symbol);
                if !known {
                    missing.push((symbol, span));
                }
            });
        }
        for (symbol, span) in &missing {
            self.report_missing(*symbol, *span, place);
        }
        missing.is_empty().then_some(())
    }

    /// A formula that is right where it stands needs a value that is missing where it is used.
    fn report_missing(&mut self, symbol: SymbolId, span: Span, place: Span) {
        let key = self.symbols.symbol(symbol).key.clone();
        let diagnostic = match self.later.get(&symbol) {
            Some(defined) => Diagnostic::error(
                Code::N03,
                place,
                format!("`{key}` is used before it is defined"),
            )
            .with_note("the formula is taken from here", span)
            .with_note(format!("`{key}` is defined here"), *defined)
            .with_help("the line that defines it, above this one"),
            None => Diagnostic::error(Code::N01, place, format!("`{key}` has no value yet"))
                .with_note("the formula is taken from here", span)
                .with_help(self.way_to_a_value(&key, &key)),
        };
        self.diagnostics.push(diagnostic);
    }
}
