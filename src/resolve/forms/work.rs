//! A chain of `work`.

use super::super::statement::{Condition, Origin, Start, Tail};
use super::super::{Expr, ExprKind, Resolver, SymbolId};
use super::Kind;
use crate::diagnostic::{Code, Diagnostic};
use crate::syntax::{self, Chain, Name};
use crate::text::Span;

/// A chain of `work`.
#[derive(Debug, Clone, PartialEq)]
pub struct Work {
    /// The first member.
    pub lead: Expr,
    /// Where the engine found several solutions, the formula of each.
    pub branches: Vec<Expr>,
    /// The formulas, empty when the lead itself is asked again.
    pub members: Vec<Expr>,
    /// The number of the equation the formula was taken from, when it has one.
    pub from: Option<usize>,
    /// The equation the formula was taken from, an index into the problem's statements.
    pub origin: Option<Origin>,
    /// What other equations above say that the name is, the nearer first.
    pub others: Vec<Formula>,
    /// Where the author says that the value lies, which is found without a search.
    pub start: Start,
    /// How the chain ends.
    pub tail: Tail,
    /// Replaced givens.
    pub conditions: Vec<Condition>,
}

impl Work {
    /// A name that stands alone in front of what ends the line.
    pub(super) fn of_name(span: Span, symbol: SymbolId, tail: Tail) -> Self {
        Self {
            lead: Expr {
                span,
                kind: ExprKind::Symbol(symbol),
            },
            branches: Vec::new(),
            members: Vec::new(),
            from: None,
            origin: None,
            others: Vec::new(),
            start: Start::Anywhere,
            tail,
            conditions: Vec::new(),
        }
    }
}

/// What an equation above says that a name is.
#[derive(Debug, Clone, PartialEq)]
pub struct Formula {
    /// The sides of the equation but the name.
    pub members: Vec<Expr>,
    /// The number of the equation, when it has one.
    pub number: Option<usize>,
    /// The equation.
    pub origin: Origin,
}

impl<'a> Resolver<'a> {
    pub(super) fn work(
        &mut self,
        chain: &'a Chain,
        defines: &mut Option<SymbolId>,
    ) -> Option<Kind> {
        let (lead, rest) = chain.members.split_first()?;
        let tail = self.tail(&chain.tail);
        let conditions = self.conditions(&chain.conditions);
        if let syntax::ExprKind::Name(name) = &lead.kind
            && &*name.key != "pi"
        {
            return self.work_on_name(chain, name, rest, tail, conditions, defines);
        }
        let lead = self.expr(lead);
        let members = self.exprs(rest);
        Some(Kind::Work(Box::new(Work {
            lead: lead?,
            members: members?,
            branches: Vec::new(),
            from: None,
            origin: None,
            others: Vec::new(),
            start: Start::Anywhere,
            tail: tail?,
            conditions: conditions?,
        })))
    }

    /// How a line ends that asks for a value, which may be filled in.
    pub(super) fn asked(
        &mut self,
        ask: &syntax::Ask,
        filled: Option<&syntax::Literal>,
    ) -> Option<Tail> {
        let ask = self.ask(ask)?;
        Some(match filled {
            Some(literal) => Tail::Filled(Box::new(self.compared(literal)?), ask),
            None => Tail::Ask(ask),
        })
    }

    fn work_on_name(
        &mut self,
        chain: &Chain,
        name: &Name,
        rest: &[syntax::Expr],
        tail: Option<Tail>,
        conditions: Option<Vec<Condition>>,
        defines: &mut Option<SymbolId>,
    ) -> Option<Kind> {
        if let Some(from) = &chain.from {
            return self.root(name, from, tail, defines);
        }
        let known = self
            .symbols
            .find(self.problem, &name.key)
            .filter(|symbol| self.may_use(*symbol));
        if known.is_none() && !chain.conditions.is_empty() {
            match rest.is_empty() {
                true => drop(self.symbol(name)),
                false => self.report_defined_under_conditions(name, chain),
            }
            return None;
        }
        let asks_again = rest.is_empty() && known.is_some();
        let restated = match rest.is_empty() && !asks_again {
            true => self.restate(name),
            false => None,
        };
        let members = if !rest.is_empty() {
            self.exprs(rest)
        } else if asks_again {
            Some(Vec::new())
        } else {
            restated.as_ref().map(|it| it.nearest.members.clone())
        };
        let from = restated.as_ref().and_then(|it| it.nearest.number);
        let origin = restated.as_ref().map(|it| it.nearest.origin);
        let (others, branches) =
            restated.map_or_else(Default::default, |it| (it.others, it.branches));
        if let (Some([only]), syntax::Tail::None) = (members.as_deref(), &chain.tail)
            && matches!(only.kind, ExprKind::Quantity(_) | ExprKind::Number(_))
        {
            self.report_number_in_work(name, only.span);
            self.define(name, defines)?;
            return None;
        }
        let symbol = match known {
            Some(symbol) if asks_again || !chain.conditions.is_empty() => symbol,
            _ => self.define(name, defines)?,
        };
        Some(Kind::Work(Box::new(Work {
            members: members?,
            branches,
            from,
            origin,
            others,
            conditions: conditions?,
            ..Work::of_name(name.span, symbol, tail?)
        })))
    }

    /// `V_3 = Q/A = ? m/s at Q = 4 m^3/s`.
    fn report_defined_under_conditions(&mut self, name: &Name, chain: &Chain) {
        let written = name.span.of(self.text);
        let conditions = chain.conditions.iter().map(|condition| condition.span);
        let conditions = conditions.reduce(Span::cover).unwrap_or(name.span);
        self.diagnostics.push(
            Diagnostic::error(
                Code::N01,
                name.span,
                format!("`{written}` has no value: a line with `at` defines nothing"),
            )
            .with_help(format!(
                "the line without `at …`, and below it `{written} = ? at {}`",
                conditions.of(self.text)
            )),
        );
    }

    fn report_number_in_work(&mut self, name: &Name, number: Span) {
        let place = number;
        let (name, number) = (name.span.of(self.text), number.of(self.text));
        self.diagnostics.push(
            Diagnostic::error(
                Code::S12,
                place,
                format!(
                    "`{name} = {number}` defines `{name}` by a number, but data belong in `given`"
                ),
            )
            .with_help(format!(
                "the line moved to `given`, or `{name} = {number} ?` for a number that is computed"
            )),
        );
    }

    fn tail(&mut self, tail: &syntax::Tail) -> Option<Tail> {
        Some(match tail {
            syntax::Tail::None => Tail::None,
            syntax::Tail::Ask(ask) => Tail::Ask(self.ask(ask)?),
            syntax::Tail::Filled(literal, ask) => {
                Tail::Filled(Box::new(self.compared(literal)?), self.ask(ask)?)
            }
            syntax::Tail::Claim(literal) => Tail::Claim(Box::new(self.compared(literal)?)),
        })
    }

    pub(super) fn conditions(
        &mut self,
        conditions: &[syntax::Condition],
    ) -> Option<Vec<Condition>> {
        let resolved: Vec<Option<Condition>> = conditions
            .iter()
            .map(|condition| {
                let value = self.expr(&condition.value);
                let symbol = self.symbol(&condition.name)?;
                if !self.given.contains(&symbol) {
                    let written = condition.name.span.of(self.text);
                    self.diagnostics.push(
                        Diagnostic::error(
                            Code::N12,
                            condition.name.span,
                            format!("`{written}` is computed, so it cannot be replaced"),
                        )
                        .with_help("a condition on a name of `given`"),
                    );
                    return None;
                }
                Some(Condition {
                    span: condition.span,
                    symbol,
                    value: value?,
                })
            })
            .collect();
        resolved.into_iter().collect()
    }
}
