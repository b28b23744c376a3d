//! A chain of `work`, and how it ends.

use super::ask::Role;
use crate::diagnostic::Code;
use crate::dimensions::infer::{self, Inference};
use crate::dimensions::{Reading, Type};
use crate::quantity;
use crate::resolve::statement::{Ask, Start, Tail, Work};
use crate::resolve::{Expr, Kind, Statement};

impl Inference<'_> {
    pub(super) fn work(&mut self, statement: &Statement, work: &Work) -> Option<Type> {
        let members = match work.branches.is_empty() {
            true => &work.members,
            false => &work.branches,
        };
        let found = match (statement.defines, members.as_slice()) {
            (Some(symbol), [first, ..]) => {
                let mut found = self.members(members)?;
                // What an equation says is 0 is 0 of whatever it is.
                if work.origin.is_some() && infer::is_zero(first) {
                    found.form = self.symbol(symbol).form;
                }
                found = self.as_sketched(symbol, found);
                self.settle_definition(symbol, first, found.clone())?;
                found
            }
            _ => {
                let mut all = vec![work.lead.clone()];
                all.extend_from_slice(members);
                self.members(&all)?
            }
        };
        let found = self.as_it_was_solved(statement, work, found)?;
        self.conditions(&work.conditions)?;
        let role = match members.is_empty() {
            true => Role::Restated,
            false => Role::Defined,
        };
        let Some(reading) = self.tail(&work.lead, &found, &work.tail, role) else {
            self.note_plain_datum(members);
            return None;
        };
        let found = Type { reading, ..found };
        let of = members.first().unwrap_or(&work.lead);
        self.tail_turning(&work.lead, of, &found, &work.tail)?;
        let Some(symbol) = statement.defines.filter(|_| !members.is_empty()) else {
            return Some(found);
        };
        if let Some(unit) = work.tail.unit() {
            self.remember_unit(symbol, unit);
        }
        let asked = work.tail.unit().cloned();
        let asked = asked.or_else(|| self.unit_asked(&work.lead, &Ask::default()));
        let own = found.energy;
        let found = Type {
            form: self.settled(&found.form),
            energy: asked.as_ref().map_or(own, |unit| own.asked(unit)),
            ..found
        };
        if let Some(named) = self.types.get_mut(symbol) {
            named.energy = found.energy;
        }
        // What is shown unasked in a unit of turning counts what that says, as if it were asked.
        let shown = || quantity::turning(found.counts.says(&found.form)?, found.form.dimension()?);
        let found = match asked.or_else(shown) {
            Some(unit) => self.convert(symbol, found, &unit),
            None => self.symbol(symbol),
        };
        self.lies_by(&work.lead, &found, &work.start)?;
        Some(found)
    }

    /// What a solution in symbols counts that is asked in a unit of turning.
    fn as_it_was_solved(
        &mut self,
        statement: &Statement,
        work: &Work,
        found: Type,
    ) -> Option<Type> {
        let solved = work
            .origin
            .and_then(|it| self.statement_at(it)?.kind.as_ref());
        let (Some(symbol), Some(Kind::Solved(solved))) = (statement.defines, solved) else {
            return Some(found);
        };
        let asked = work.tail.unit().cloned();
        let Some(unit) = asked.or_else(|| self.unit_asked(&work.lead, &Ask::default())) else {
            return Some(found);
        };
        let origins = solved.origins.iter();
        let equations: Vec<&[Expr]> = origins
            .filter_map(|it| Some(self.statement_at(*it)?.facts().members))
            .collect();
        self.solved_as(symbol, &equations, found, &unit)
    }

    /// Whether a value can lie where a line says that it does.
    fn lies_by(&mut self, lead: &Expr, found: &Type, start: &Start) -> Option<()> {
        for value in start.values() {
            let own = self.infer(value)?;
            if !infer::is_zero(value) && !self.same(&found.form, &own.form) {
                self.report_start(value, &own.form, &found.form);
                return None;
            }
            self.comparable(&[value, lead], &[own.clone(), found.clone()])?;
            let own = self.taken_as((lead, found), (value, own));
            self.together(&[value, lead], &[own, found.clone()])?;
        }
        Some(())
    }

    /// A datum without a unit among the factors of a formula that is no quantity of the unit asked.
    fn note_plain_datum(&mut self, members: &[Expr]) {
        if let Some(last) = self.diagnostics.pop() {
            let members: Vec<&Expr> = members.iter().collect();
            let noted = match last.code {
                Code::D03 => self.with_plain_datum(last, &members),
                _ => last,
            };
            self.diagnostics.push(noted);
        }
    }

    /// The reading of a value as the end of its line asks or claims it, where it may be shown so.
    pub(super) fn tail(
        &mut self,
        lead: &Expr,
        found: &Type,
        tail: &Tail,
        role: Role,
    ) -> Option<Reading> {
        match tail {
            Tail::None => self.ask(lead, found, &Ask::default(), role),
            Tail::Ask(ask) => self.ask(lead, found, ask, role),
            Tail::Filled(literal, ask) => {
                let reading = self.ask(lead, found, ask, role)?;
                self.literal(lead, found, literal, role)?;
                Some(reading)
            }
            Tail::Claim(literal) => self.literal(lead, found, literal, role),
        }
    }

    /// The same for what it counts of turning; `of` is the formula that it is the value of.
    pub(super) fn tail_turning(
        &mut self,
        lead: &Expr,
        of: &Expr,
        found: &Type,
        tail: &Tail,
    ) -> Option<()> {
        match tail {
            Tail::None => self.ask_turning(lead, of, found, &Ask::default()),
            Tail::Ask(ask) => self.ask_turning(lead, of, found, ask),
            Tail::Filled(literal, ask) => {
                self.literal_turning(lead, of, found, Some(literal))?;
                self.ask_turning(lead, of, found, ask)
            }
            Tail::Claim(literal) => self.literal_turning(lead, of, found, Some(literal)),
        }
    }
}
