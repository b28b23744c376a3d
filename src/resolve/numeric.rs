//! Lines of `work` that are solved by numbers: a root of an equation, a system.

use super::kind::Kind;
use super::statement::{Origin, Root, Start, System, Tail};
use super::tree::{Expr, ExprKind};
use super::{Resolver, SymbolId};
use crate::diagnostic::{Code, Decision, Diagnostic, Fix, nearest};
use crate::syntax::{self, Name, Word};
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

    /// `f = ? from colebrook near 0.02`
    pub(super) fn root(
        &mut self,
        name: &Name,
        from: &syntax::From,
        tail: Option<Tail>,
        defines: &mut Option<SymbolId>,
    ) -> Option<Kind> {
        let start = self.start(&from.start);
        let at = self.labelled(&from.label);
        let symbol = self.define(name, defines)?;
        let known = self.known[at?].clone();
        let [left, right] = known.members.as_slice() else {
            self.diagnostics.push(
                Diagnostic::error(
                    Code::N14,
                    from.label.span,
                    format!(
                        "`{}` has more than two sides, and only one equation is solved here",
                        from.label.text
                    ),
                )
                .with_help("an equation with one equals sign"),
            );
            return None;
        };
        if !known.mentions(symbol) {
            self.report_not_there(name, from.label.span, &from.label.text);
            return None;
        }
        self.all_ready(&[left, right], &[symbol], from.label.span)?;
        Some(Kind::Root(Box::new(Root {
            lead: Expr {
                span: name.span,
                kind: ExprKind::Symbol(symbol),
            },
            symbol,
            sides: [left.clone(), right.clone()],
            number: known.number.unwrap_or(0),
            origin: known.origin,
            label: from.label.span,
            start: start?,
            tail: tail?,
        })))
    }

    pub(super) fn report_not_there(&mut self, name: &Name, place: Span, label: &str) {
        let written = name.span.of(self.text);
        self.diagnostics.push(
            Diagnostic::error(
                Code::N14,
                place,
                format!("`{written}` does not stand in `{label}`, so that equation says nothing about it"),
            )
            .with_help(format!("the label of an equation with `{written}` in it")),
        );
    }

    fn start(&mut self, start: &syntax::Start) -> Option<Start> {
        Some(match start {
            syntax::Start::Anywhere => Start::Anywhere,
            syntax::Start::Near(value) => Start::Near(self.expr(value)?),
            syntax::Start::Between(low, high) => {
                let (low, high) = (self.expr(&in_unit_of(low, high)), self.expr(high));
                Start::Between(low?, high?)
            }
        })
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
                .with_help(format!(
                    "a line above that defines it: `{key} = …` in `given` or `work`"
                )),
        };
        self.diagnostics.push(diagnostic);
    }

    /// `solve a, b for x near 1 m, y near 2 N` in `work`.
    pub(super) fn system(
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
        let (mut numbers, mut origins) = (Vec::new(), Vec::new());
        for at in indices {
            let known = self.known[at].clone();
            let sides: Vec<&Expr> = known.members.iter().collect();
            self.all_ready(&sides, &symbols, solve.word)?;
            numbers.extend(known.number);
            origins.push(known.origin);
            if let Some((first, rest)) = known.members.split_first() {
                equations.extend(rest.iter().map(|side| [first.clone(), side.clone()]));
            }
        }
        if equations.len() != symbols.len() {
            self.report_count(line, equations.len(), symbols.len());
            return None;
        }
        Some(Kind::System(Box::new(System {
            equations,
            numbers,
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

/// A bound without a unit is in the unit of the other: `between 8 and 100 mm`.
pub(super) fn in_unit_of(low: &syntax::Expr, high: &syntax::Expr) -> syntax::Expr {
    let mut bound = low.clone();
    if let (syntax::ExprKind::Quantity(own), syntax::ExprKind::Quantity(other)) =
        (&mut bound.kind, &high.kind)
        && own.unit.is_none()
        && own.datum.is_none()
    {
        own.unit.clone_from(&other.unit);
        own.datum = other.datum;
    }
    bound
}
