//! The names of one line.

use super::Target;
use super::walk::{Rank, Walker};
use crate::functions::Function;
use crate::syntax::{
    Answer, Ask, BlockKind, Chain, Check, Condition, Expr, ExprKind, Inline, Limit, Line, Literal,
    Name, Solve, Start, Statement, Tail, Trend, Way,
};

impl Walker<'_> {
    /// A line of a block, with its label and its description.
    pub fn line(&mut self, block: BlockKind, line: &Line) {
        if let Some(label) = &line.label {
            self.label(label.span, &label.text, Rank::Value);
        }
        self.statement(block, line);
        if let Some(span) = line.description {
            self.description(span);
        }
    }

    fn statement(&mut self, block: BlockKind, line: &Line) {
        match &line.statement {
            Statement::Chain(chain) => self.chain(block, line.label.is_some(), chain),
            Statement::Required(required) => {
                self.name(&required.name, Rank::Asked);
                self.ask(&required.ask);
            }
            Statement::Check(check) => self.check(check),
            Statement::Answer(answer) => self.answer(answer),
            Statement::Therefore(step) => self.sides(&step.members, Rank::Left),
            Statement::Solve(solve) => self.solve(block, solve),
            Statement::Component(component) => {
                self.label(component.label.span, &component.label.text, Rank::Use);
            }
            Statement::Trend(trend) => self.trend(trend),
            Statement::Limit(limit) => self.limit(limit),
            Statement::Sensitivity(subject) => self.expr(subject),
            Statement::Broken(Some(name)) => self.name(name, Rank::Value),
            Statement::ShowDimensions | Statement::Broken(None) => {}
        }
    }

    fn chain(&mut self, block: BlockKind, is_labelled: bool, chain: &Chain) {
        if let Some((name, parameters)) = self.function_head(block, is_labelled, chain) {
            self.function(name, &parameters, chain);
        } else {
            let rank = match block {
                BlockKind::Derive => Rank::Left,
                _ if chain.conditions.is_empty() => Rank::Value,
                _ => Rank::Use,
            };
            self.sides(&chain.members, rank);
        }
        match &chain.tail {
            Tail::None => {}
            Tail::Ask(ask) => self.ask(ask),
            Tail::Filled(literal, ask) => {
                self.literal(literal);
                self.ask(ask);
            }
            Tail::Claim(literal) => self.literal(literal),
        }
        self.conditions(&chain.conditions);
        if let Some(from) = &chain.from {
            self.label(from.label.span, &from.label.text, Rank::Use);
            self.start(&from.start);
        }
    }

    /// The name and the parameters of the function that a chain defines, if it defines one. A
    /// labelled line of `derive` is an equation where the function is defined elsewhere.
    fn function_head<'c>(
        &self,
        block: BlockKind,
        is_labelled: bool,
        chain: &'c Chain,
    ) -> Option<(&'c Name, Vec<&'c Name>)> {
        let ExprKind::Call {
            name,
            arguments,
            bracketed: true,
        } = &chain.members.first()?.kind
        else {
            return None;
        };
        if chain.members.len() < 2 || Function::reserved(&name.key).is_some() {
            return None;
        }
        let is_here = match self.placed.find_function(&name.key) {
            Some(function) => {
                self.placed
                    .problem
                    .symbols
                    .function(function)
                    .parameters
                    .len()
                    == arguments.len()
                    && !(block == BlockKind::Derive && is_labelled && self.is_defined(function))
            }
            // A definition that was refused still has parameters.
            None => {
                let is_equation = block == BlockKind::Derive && is_labelled;
                let is_known = Function::named(&name.key).is_some();
                self.symbol(&name.key).is_none() && !(is_equation && is_known)
            }
        };
        let parameters = arguments.iter().map(|argument| match &argument.kind {
            ExprKind::Name(parameter) => Some(parameter),
            _ => None,
        });
        is_here.then_some((name, parameters.collect::<Option<Vec<&Name>>>()?))
    }

    /// Whether the definition of a function has been met.
    fn is_defined(&self, function: crate::resolve::FunctionId) -> bool {
        let own = self.function_target(function);
        let is_it = |target: &Target| *target == own;
        self.found
            .iter()
            .any(|(occurrence, rank)| is_it(&occurrence.target) && *rank == Rank::Value)
    }

    fn function(&mut self, name: &Name, parameters: &[&Name], chain: &Chain) {
        self.name(name, Rank::Value);
        let definition = self.in_file(name.span);
        self.parameters = parameters
            .iter()
            .map(|parameter| (parameter.key.clone(), definition))
            .collect();
        for parameter in parameters {
            self.name(parameter, Rank::Value);
        }
        for member in &chain.members[1..] {
            self.expr(member);
        }
        self.parameters.clear();
    }

    /// The sides of an equation; a name alone on the left may be defined there.
    fn sides(&mut self, members: &[Expr], rank: Rank) {
        let mut members = members;
        if let [
            Expr {
                kind: ExprKind::Name(name),
                ..
            },
            rest @ ..,
        ] = members
        {
            self.name(name, rank);
            members = rest;
        }
        members.iter().for_each(|member| self.expr(member));
    }

    fn check(&mut self, check: &Check) {
        check.members.iter().for_each(|member| self.expr(member));
        if let Some(within) = &check.within {
            self.expr(within);
        }
    }

    fn answer(&mut self, answer: &Answer) {
        self.expr(&answer.expr);
        if let Some(filled) = &answer.filled {
            self.literal(filled);
        }
        if let Some(ask) = &answer.ask {
            self.ask(ask);
        }
    }

    fn solve(&mut self, block: BlockKind, solve: &Solve) {
        for label in &solve.labels {
            self.label(label.span, &label.text, Rank::Use);
        }
        let rank = match block {
            BlockKind::Work => Rank::Value,
            _ => Rank::Left,
        };
        for unknown in &solve.unknowns {
            self.name(&unknown.name, rank);
            self.start(&unknown.start);
        }
        solve.conditions.iter().for_each(|check| self.check(check));
    }

    fn start(&mut self, start: &Start) {
        start.values().for_each(|value| self.expr(value));
    }

    fn trend(&mut self, trend: &Trend) {
        self.expr(&trend.subject);
        if let Way::Power(Some(exponent)) = &trend.way {
            self.expr(exponent);
        }
        self.name(&trend.with, Rank::Use);
        if let Some(within) = &trend.within {
            self.expr(within);
        }
    }

    fn limit(&mut self, limit: &Limit) {
        self.expr(&limit.subject);
        self.expr(&limit.value);
        self.name(&limit.with, Rank::Use);
        self.expr(&limit.at);
    }

    /// An ask in prose.
    pub fn inline(&mut self, inline: &Inline) {
        self.expr(&inline.expr);
        if let Some(filled) = &inline.filled {
            self.literal(filled);
        }
        self.ask(&inline.ask);
        self.conditions(&inline.conditions);
    }

    fn conditions(&mut self, conditions: &[Condition]) {
        for condition in conditions {
            self.name(&condition.name, Rank::Use);
            self.expr(&condition.value);
        }
    }

    fn ask(&mut self, ask: &Ask) {
        if let Some(unit) = &ask.unit {
            self.unit(unit);
        }
    }

    /// The unit of a literal.
    pub fn literal(&mut self, literal: &Literal) {
        if let Some(unit) = &literal.unit {
            self.unit(unit);
        }
    }
}
