//! What a statement says, and what is asked of it whatever its form.

use super::statement::{
    Answer, Ask, Check, Component, End, Limit, Literal, Origin, Required, Root, Solved, Start,
    System, Trend, Way, Work,
};
use super::{Expr, ExprKind, FunctionId, SymbolId};
use crate::quantity::Unit;

/// What a statement says.
#[derive(Debug, Clone, PartialEq)]
pub enum Kind {
    /// A datum: a literal or a constant expression.
    Given {
        /// The name it defines.
        symbol: SymbolId,
        /// Its value.
        value: Expr,
    },
    /// An unknown.
    Required(Required),
    /// An equation of `derive`.
    Equation {
        /// Two or more sides.
        members: Vec<Expr>,
    },
    /// A step of `derive` that has to follow from what stands above.
    Therefore {
        /// Two or more sides.
        members: Vec<Expr>,
    },
    /// A step of `derive` that the engine wrote.
    Solved(Box<Solved>),
    /// A component of a vector equation of `derive`, written out by the engine.
    Component(Component),
    /// `show dimensions`: the symbols of the equations above that have no value of their own.
    Dimensions {
        /// In the order in which they first stand.
        symbols: Vec<SymbolId>,
    },
    /// `f = ? from colebrook near 0.02`: a root of an equation.
    Root(Box<Root>),
    /// `solve a, b for x, y near …` in `work`.
    System(Box<System>),
    /// `y rises with x` and its kin.
    Trend(Box<Trend>),
    /// `y -> value as x -> value`.
    Limit(Box<Limit>),
    /// `sensitivity of y`.
    Sensitivity {
        /// What is looked at.
        subject: Expr,
        /// The givens of the problem, in their order.
        givens: Vec<SymbolId>,
    },
    /// A user function's definition.
    Function {
        /// The function.
        function: FunctionId,
        /// Its body.
        body: Expr,
    },
    /// A chain of `work`.
    Work(Box<Work>),
    /// A line of `check`.
    Check(Check),
    /// A line of `answer`.
    Answer(Box<Answer>),
}

impl Kind {
    /// Where the equations stand that it takes its formula from.
    pub fn origins(&self) -> &[Origin] {
        match self {
            Self::Work(work) => work.origin.as_slice(),
            Self::Root(root) => std::slice::from_ref(&root.origin),
            Self::System(system) => &system.origins,
            Self::Solved(solved) => &solved.origins,
            Self::Component(component) => std::slice::from_ref(&component.origin),
            Self::Given { .. }
            | Self::Required(_)
            | Self::Equation { .. }
            | Self::Therefore { .. }
            | Self::Dimensions { .. }
            | Self::Trend(_)
            | Self::Limit(_)
            | Self::Sensitivity { .. }
            | Self::Function { .. }
            | Self::Check(_)
            | Self::Answer(_) => &[],
        }
    }

    /// How its value is asked, and the engine's own number from before.
    pub fn ask(&self) -> Option<(&Ask, Option<&Literal>)> {
        match self {
            Self::Work(work) => work.tail.ask(),
            Self::Root(root) => root.tail.ask(),
            Self::Answer(answer) => Some((&answer.ask, answer.filled.as_ref())),
            Self::Required(_)
            | Self::Given { .. }
            | Self::Equation { .. }
            | Self::Therefore { .. }
            | Self::Solved(_)
            | Self::Component(_)
            | Self::Dimensions { .. }
            | Self::System(_)
            | Self::Trend(_)
            | Self::Limit(_)
            | Self::Sensitivity { .. }
            | Self::Function { .. }
            | Self::Check(_) => None,
        }
    }

    /// The unit that the author wrote: of a datum, an ask or a claim.
    pub fn unit(&self) -> Option<&Unit> {
        match self {
            Self::Given { value, .. } => match &value.kind {
                ExprKind::Quantity(quantity) => Some(&quantity.unit),
                _ => None,
            },
            Self::Required(required) => required.ask.unit.as_ref(),
            Self::Work(work) => work.tail.unit(),
            Self::Equation { .. }
            | Self::Therefore { .. }
            | Self::Solved(_)
            | Self::Component(_)
            | Self::Dimensions { .. }
            | Self::Root(_)
            | Self::System(_)
            | Self::Trend(_)
            | Self::Limit(_)
            | Self::Sensitivity { .. }
            | Self::Function { .. }
            | Self::Check(_)
            | Self::Answer(_) => None,
        }
    }

    /// What is left to show of it where it could not be evaluated.
    pub fn sides(&self) -> Vec<Expr> {
        match self {
            Self::Given { value, .. } => vec![value.clone()],
            Self::Equation { members } | Self::Therefore { members } => members.clone(),
            Self::Component(component) => component.members.clone(),
            Self::Root(root) => vec![root.lead.clone()],
            Self::Trend(trend) => vec![trend.subject.clone()],
            Self::Limit(limit) => vec![limit.subject.clone()],
            Self::Sensitivity { subject, .. } => vec![subject.clone()],
            Self::Work(work) => (std::iter::once(&work.lead).chain(&work.members))
                .cloned()
                .collect(),
            Self::Check(check) => check.members.clone(),
            Self::Answer(answer) => vec![answer.expr.clone()],
            Self::Required(_)
            | Self::Solved(_)
            | Self::Dimensions { .. }
            | Self::System(_)
            | Self::Function { .. } => Vec::new(),
        }
    }

    /// Calls `visit` for every symbol in it, as often as it stands.
    pub fn for_each_symbol(&self, visit: &mut impl FnMut(SymbolId)) {
        let exprs = self.exprs_and_symbols(visit);
        for expr in exprs {
            expr.for_each_symbol(&mut |symbol, _| visit(symbol));
        }
    }

    /// The formulas in it.
    pub fn exprs(&self) -> Vec<&Expr> {
        self.exprs_and_symbols(&mut |_| {})
    }

    /// The formulas in it; `visit` is called for the symbols that stand outside of them.
    fn exprs_and_symbols(&self, visit: &mut impl FnMut(SymbolId)) -> Vec<&Expr> {
        let mut exprs: Vec<&Expr> = Vec::new();
        match self {
            Self::Given { value, .. } => exprs.push(value),
            Self::Required(required) => visit(required.symbol),
            Self::Equation { members } | Self::Therefore { members } => exprs.extend(members),
            Self::Component(component) => exprs.extend(&component.members),
            Self::Solved(solved) => {
                solved.unknowns.iter().for_each(|symbol| visit(*symbol));
                let formulas = solved.branches.iter().flat_map(|branch| &branch.formulas);
                exprs.extend(formulas);
            }
            Self::Dimensions { symbols } => symbols.iter().for_each(|symbol| visit(*symbol)),
            Self::Root(root) => {
                visit(root.symbol);
                exprs.extend(&root.sides);
                match &root.start {
                    Start::Anywhere => {}
                    Start::Near(value) => exprs.push(value),
                    Start::Between(low, high) => exprs.extend([low, high]),
                }
            }
            Self::System(system) => {
                exprs.extend(system.equations.iter().flatten());
                for (symbol, _, start) in &system.unknowns {
                    visit(*symbol);
                    exprs.extend(start);
                }
            }
            Self::Trend(trend) => {
                visit(trend.with);
                exprs.push(&trend.subject);
                exprs.extend(&trend.within);
                if let Way::Power(exponent) = &trend.way {
                    exprs.push(exponent);
                }
            }
            Self::Limit(limit) => {
                visit(limit.with);
                exprs.push(&limit.subject);
                let ends = [&limit.value, &limit.at];
                exprs.extend(ends.into_iter().filter_map(End::value));
            }
            Self::Sensitivity { subject, givens } => {
                givens.iter().for_each(|symbol| visit(*symbol));
                exprs.push(subject);
            }
            Self::Function { body, .. } => exprs.push(body),
            Self::Work(work) => {
                exprs.push(&work.lead);
                exprs.extend(&work.members);
                for condition in &work.conditions {
                    visit(condition.symbol);
                    exprs.push(&condition.value);
                }
            }
            Self::Check(check) => {
                exprs.extend(&check.members);
                exprs.extend(&check.within);
            }
            Self::Answer(answer) => exprs.push(&answer.expr),
        }
        exprs
    }
}
