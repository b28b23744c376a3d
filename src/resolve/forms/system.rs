//! `solve a, b for x near 1 m, y near 2 N` in `work`: solved by numbers.

use super::super::labelled::Known;
use super::super::statement::Origin;
use super::super::{Expr, Resolver, SymbolId};
use super::Kind;
use crate::diagnostic::{Code, Diagnostic};
use crate::syntax;
use crate::text::Span;

/// Names that together satisfy equations.
#[derive(Debug, Clone, PartialEq)]
pub struct System {
    /// As many equations as unknowns, each with its two sides.
    pub equations: Vec<[Expr; 2]>,
    /// The equations.
    pub origins: Vec<Origin>,
    /// The unknowns, where each is written, and the value near which it is sought.
    pub unknowns: Vec<(SymbolId, Span, Option<Expr>)>,
}

impl Resolver<'_> {
    /// `solve a, b for x near 1 m, y near 2 N` in `work`.
    pub(in crate::resolve) fn system(
        &mut self,
        line: Span,
        solve: &syntax::Solve,
        defined: &mut Vec<SymbolId>,
    ) -> Option<Kind> {
        let unknowns = self.unknowns_with_starts(solve, defined);
        let symbols: Vec<SymbolId> = unknowns.iter().map(|(symbol, ..)| *symbol).collect();
        if unknowns.len() != solve.unknowns.len() {
            return None;
        }
        let indices = self.equations_of(solve, &symbols, line)?;
        let mut equations = Vec::new();
        let mut origins = Vec::new();
        let chosen: Vec<Known> = indices.iter().map(|at| self.known[*at].clone()).collect();
        let put_in = self.with_definitions(chosen, &symbols, line)?;
        for known in put_in.equations {
            let sides: Vec<&Expr> = known.members.iter().collect();
            self.all_ready(&sides, &symbols, solve.word)?;
            origins.push(known.origin);
            if let Some((first, rest)) = known.members.split_first() {
                equations.extend(rest.iter().map(|side| [first.clone(), side.clone()]));
            }
        }
        origins.extend(put_in.origins);
        if equations.len() != symbols.len() {
            self.report_count(line, equations.len(), symbols.len());
            return None;
        }
        Some(Kind::System(Box::new(System {
            equations,
            origins,
            unknowns,
        })))
    }

    fn report_count(&mut self, line: Span, equations: usize, unknowns: usize) {
        let plural = |count: usize, word: &str| {
            format!("{count} {word}{}", if count == 1 { "" } else { "s" })
        };
        self.diagnostics.push(
            Diagnostic::error(
                Code::N14,
                line,
                format!(
                    "{} cannot fix {}",
                    plural(equations, "equation"),
                    plural(unknowns, "unknown")
                ),
            )
            .with_help("as many equations as unknowns: `solve a, b for x, y`"),
        );
    }

    /// The unknowns of a system, defined here, each with the value near which it is sought.
    fn unknowns_with_starts(
        &mut self,
        solve: &syntax::Solve,
        defined: &mut Vec<SymbolId>,
    ) -> Vec<(SymbolId, Span, Option<Expr>)> {
        let mut found = Vec::new();
        for unknown in &solve.unknowns {
            let start = match &unknown.start {
                syntax::Start::Near(value) => self.expr(value).map(Some),
                syntax::Start::Anywhere => Some(None),
                syntax::Start::Between(low, high) => {
                    self.report_bracket(low.span.cover(high.span));
                    None
                }
            };
            let symbol = self.define(&unknown.name, &mut None);
            defined.extend(symbol);
            if let (Some(symbol), Some(start)) = (symbol, start) {
                found.push((symbol, unknown.name.span, start));
            }
        }
        found
    }

    fn report_bracket(&mut self, place: Span) {
        self.diagnostics.push(
            Diagnostic::error(
                Code::S01,
                place,
                "a system is solved near values, not between bounds",
            )
            .with_help("`near` and one value for each unknown: `x near 1 m, y near 2 N`"),
        );
    }
}
