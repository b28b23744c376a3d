//! Chains of equals: the first formula gives the value, the others verify it.

use std::cmp::Ordering;
use std::sync::Arc;

use rustc_hash::FxHashMap;

use crate::diagnostic::{Code, Diagnostic, Note};
use crate::dimensions::{Energy, Type};
use crate::evaluate::convert;
use crate::evaluate::definitions::{Care, Definition, Replaced, Stop};
use crate::evaluate::mend;
use crate::evaluate::program::Program;
use crate::evaluate::said::Way;
use crate::evaluate::second_order::Beyond;
use crate::evaluate::value::{self, Value};
use crate::evaluate::walk::{Lack, Walk};
use crate::quantity::{self, Amount, Exponent, Family, Unit};
use crate::resolve::statement::{Condition, Start, Tail, Work};
use crate::resolve::{Expr, Kind, Resolved, Shape, Statement, SymbolId};
use crate::syntax;
use crate::text::Span;

/// What is kept as it is.
const PLAIN: Exponent = Exponent::new_raw(0, 1);

impl<'a> Walk<'a> {
    /// A definition: the first formula gives the value, the others verify it.
    pub(super) fn define(
        &mut self,
        statement: &Statement,
        members: &'a [Expr],
        found: &Type,
    ) -> Result<Arc<Value>, Lack> {
        let turns = self.turns_of(statement);
        let way = self.way(members.iter().map(|member| (member, turns)), None);
        let value = Arc::new(self.verified(statement, std::slice::from_ref(&way), found)?);
        self.known_by(statement, vec![way], &value)?;
        Ok(value)
    }

    /// By which power of 2π its formula the name that a line defines is kept.
    fn turns_of(&self, statement: &Statement) -> Exponent {
        let defines = statement.defines;
        defines.map_or(PLAIN, |symbol| self.checked.turning_power(symbol))
    }

    /// Remembers the value of the name that a line defines.
    fn known_by(
        &mut self,
        statement: &Statement,
        ways: Vec<Way<'a>>,
        value: &Arc<Value>,
    ) -> Result<(), Lack> {
        let Some(symbol) = statement.defines else {
            return Ok(());
        };
        self.named_as_list(statement, symbol, value)?;
        let definition = Definition::Formula { symbol, ways };
        self.know(definition, std::slice::from_ref(value));
        Ok(())
    }

    /// A list has the name of one.
    pub(super) fn named_as_list(
        &mut self,
        statement: &Statement,
        symbol: SymbolId,
        value: &Value,
    ) -> Result<(), Lack> {
        if value.shape == Shape::List && !is_list_name(self.resolved, symbol) {
            self.report_list_name(statement, symbol);
            return Err(Lack::Refused);
        }
        Ok(())
    }

    /// The value by the nearest of the lines that say what a name is, when all others agree with
    /// it.
    fn verified(
        &mut self,
        statement: &Statement,
        ways: &[Way<'_>],
        found: &Type,
    ) -> Result<Value, Lack> {
        let nearest: Vec<Program> = ways
            .iter()
            .take(1)
            .flat_map(Way::programs)
            .cloned()
            .collect();
        self.needs(&nearest, &[])?;
        let values = Replaced::nothing(&self.results);
        let value = self.by_ways(statement.defines, ways, &values, Care::All);
        let value = value.and_then(|value| self.shown_by(statement.defines, ways, value));
        match (value, nearest.first()) {
            (Ok(value), Some(first)) => {
                Ok(self.with_second_order(first, &FxHashMap::default(), value))
            }
            (Ok(value), None) => Ok(value),
            (Err(stop), _) => {
                self.report_here(statement, found, stop);
                Err(Lack::Refused)
            }
        }
    }

    /// The value, when the nearest line, which is the one that is printed, gives it.
    fn shown_by(
        &self,
        symbol: Option<SymbolId>,
        ways: &[Way<'_>],
        value: Value,
    ) -> Result<Value, Stop> {
        let Some(first) = ways.first().filter(|_| ways.len() > 1) else {
            return Ok(value);
        };
        let values = Replaced::nothing(&self.results);
        match first.origin.and_then(|it| self.bar(it, symbol, &values)) {
            Some(barred) if !self.gives(first, &value, &values) => {
                Err(Stop::Barred(Box::new(barred)))
            }
            _ => Ok(value),
        }
    }

    /// Reports why a line has no value.
    fn report_here(&mut self, statement: &Statement, found: &Type, stop: Stop) {
        let lead = match &statement.kind {
            Some(Kind::Work(work)) if work.origin.is_some() => Some(work.lead.span),
            _ => None,
        };
        let place = lead.unwrap_or(statement.span);
        match stop {
            Stop::Fault(fault) => {
                self.stop(fault);
                self.place_last(lead);
            }
            Stop::Disagree(disagreement) => {
                let unit = shown_unit(statement, found, disagreement.sides[0].1.at(0));
                let diagnostic = self.disagreement(&disagreement, found, &unit);
                self.diagnostics.push(match lead {
                    Some(lead) if !disagreement.in_one_line => diagnostic.with_help(format!(
                        "the equation that is wrong put right, or `{} = ? from label`, which takes one alone",
                        lead.of(self.text)
                    )),
                    _ => diagnostic.with_help(
                        "the member that is wrong put right, or a line of its own for it",
                    ),
                });
                self.place_last(lead);
            }
            stop @ (Stop::Unsolved(..) | Stop::Barred(_) | Stop::NoSolution(..)) => {
                self.report_stop(stop, place);
            }
        }
    }

    fn report_list_name(&mut self, statement: &Statement, symbol: SymbolId) {
        let key = &self.resolved.symbols.symbol(symbol).key;
        self.diagnostics.push(
            Diagnostic::error(
                Code::N09,
                statement.span,
                format!("`{key}` is a list, but its name does not end in `_i`"),
            )
            .with_help(format!("`{key}_i = …`"))
            .with_fixes(mend::list_name(self.text, &self.resolved.symbols, symbol)),
        );
    }

    /// A chain of `work`, whose value is a solution and what is claimed.
    pub(super) fn work(
        &mut self,
        statement: &Statement,
        work: &'a Work,
        found: &Type,
    ) -> Result<(Arc<Value>, &'a [Expr]), Lack> {
        let others = work.others.iter().flat_map(|other| &other.members);
        for member in work.members.iter().chain(others) {
            self.number_inputs(member);
        }
        let own = |value| (value, &*work.members);
        let result = match statement.defines {
            Some(_) if !work.branches.is_empty() => self.by_branch(statement, work, found),
            Some(_) if work.conditions.is_empty() => {
                self.define_by(statement, work, found).map(own)
            }
            _ => self.ask(statement, work, found).map(Arc::new).map(own),
        };
        if let (Ok((value, _)), Tail::Claim(claim)) = (&result, &work.tail) {
            self.claim(value, found, claim);
        }
        if let (Ok((value, _)), Start::Between(low, high)) = (&result, &work.start) {
            self.between(&work.lead, value, [low, high])?;
        }
        if let (Ok((value, members)), Tail::Ask(_) | Tail::Filled(..)) = (&result, &work.tail) {
            let formula = members.first().unwrap_or(&work.lead);
            let asked = (&work.lead, work.conditions.as_slice());
            self.second_order_of(statement, asked, formula, (value, found));
        }
        result
    }

    /// Warns where first order does not serve for a result that is asked, with these conditions,
    /// and that a formula gives.
    pub(super) fn second_order_of(
        &mut self,
        statement: &Statement,
        (lead, conditions): (&Expr, &[Condition]),
        formula: &Expr,
        (value, found): (&Value, &Type),
    ) {
        if value.gradients.iter().all(Vec::is_empty) {
            return;
        }
        let program = self.compile(formula);
        let mut by = FxHashMap::default();
        for condition in conditions {
            let own = self.compile_compared(&condition.value);
            let Ok(value) = self.run(&own) else { return };
            by.insert(condition.symbol, value);
        }
        let Some(beyond) = self.beyond_first_order(&program, &by, value) else {
            return;
        };
        let unit = shown_unit(statement, found, value.at(0));
        let shown = |size: f64| {
            let number = convert::size_in_unit(size, found.counts, &unit);
            let number = quantity::to_figures(number, 2).text();
            format!("{number} {}", unit.text()).trim_end().to_owned()
        };
        let written = lead.span.of(self.text);
        let message = match beyond {
            Beyond::NoValue => format!(
                "`{written}` has no value one standard uncertainty beside the data: first order does not serve"
            ),
            Beyond::Changed { size, with, shift } => {
                let with = with.map(|with| format!(", with second order {}", shown(with)));
                let moved = match shift {
                    0.0 => String::new(),
                    shift => format!("; second order moves the value by {}", shown(shift)),
                };
                format!(
                    "to first order u = {}{}{moved}",
                    shown(size),
                    with.unwrap_or_default()
                )
            }
        };
        self.diagnostics.push(
            Diagnostic::warning(Code::U04, lead.span, message)
                .with_help(format!("`monte carlo of {written}` in `check`")),
        );
    }

    /// Whether a value that needs no search lies between the bounds of its line.
    fn between(&mut self, lead: &Expr, value: &Value, bounds: [&Expr; 2]) -> Result<(), Lack> {
        use Ordering::{Greater, Less};
        let mut ends = Vec::with_capacity(2);
        for bound in bounds {
            self.number_inputs(bound);
            let program = self.compile_compared(bound);
            ends.push(self.run(&program)?);
        }
        let place = bounds[0].span.cover(bounds[1].span);
        let mut is_outside = |row: usize| {
            let sides: Vec<Ordering> = (ends.iter())
                .map(|end| self.told(value::order(end, value, row), place))
                .collect();
            matches!(sides.as_slice(), [Less, Less] | [Greater, Greater])
        };
        let Some(row) = value
            .present()
            .map(|(row, _)| row)
            .find(|row| is_outside(*row))
        else {
            return Ok(());
        };
        let [name, low, high] = [lead, bounds[0], bounds[1]].map(|it| it.span.of(self.text));
        let shown = lead
            .as_symbol()
            .map_or_else(String::new, |symbol| self.shown_as(symbol, value.at(row)));
        self.diagnostics.push(
            Diagnostic::error(
                Code::E11,
                place,
                format!(
                    "`{name}` is {shown} by this equation, which is not between {low} and {high}"
                ),
            )
            .with_help("bounds with that value between them, or the equation put right"),
        );
        Err(Lack::Refused)
    }

    /// A definition by that branch of a solution which holds, and its formula.
    fn by_branch(
        &mut self,
        statement: &Statement,
        work: &'a Work,
        found: &Type,
    ) -> Result<(Arc<Value>, &'a [Expr]), Lack> {
        (work.branches.iter()).for_each(|formula| self.number_inputs(formula));
        let programs: Vec<Program> = work.branches.iter().map(|it| self.compile(it)).collect();
        self.needs(&programs, &[])?;
        let at = self.branch_at(statement, work)?;
        let formula = work.branches.get(at..=at).ok_or(Lack::Refused)?;
        let turns = self.turns_of(statement);
        let way = self.way(formula.iter().map(|it| (it, turns)), work.origin);
        let value = Arc::new(self.verified(statement, std::slice::from_ref(&way), found)?);
        self.known_by(statement, vec![way], &value)?;
        Ok((value, formula))
    }

    /// A definition by the formulas of the line, or by those that stand above.
    fn define_by(
        &mut self,
        statement: &Statement,
        work: &'a Work,
        found: &Type,
    ) -> Result<Arc<Value>, Lack> {
        let turns = self.turns_of(statement);
        let all = |members: &'a [Expr]| members.iter().map(move |member| (member, turns));
        let mut ways = vec![self.way(all(&work.members), work.origin)];
        for other in &work.others {
            let way = self.way(all(&other.members), Some(other.origin));
            let programs: Vec<Program> = way.programs().cloned().collect();
            if self.refused(other.origin).is_none() && self.missing(&programs).is_empty() {
                ways.push(way);
            }
        }
        let value = Arc::new(self.verified(statement, &ways, found)?);
        self.known_by(statement, ways, &value)?;
        Ok(value)
    }

    /// A restated formula fails where it is asked, not where it stands.
    fn place_last(&mut self, lead: Option<Span>) {
        if let (Some(span), Some(diagnostic)) = (lead, self.diagnostics.last_mut()) {
            let stands = std::mem::replace(&mut diagnostic.span, span);
            diagnostic.notes.push(Note {
                message: "the formula stands here".to_owned(),
                span: Some(stands),
            });
        }
    }

    /// A chain that defines nothing: an ask of an expression, or a what-if.
    fn ask(&mut self, statement: &Statement, work: &'a Work, found: &Type) -> Result<Value, Lack> {
        if !work.conditions.is_empty() {
            // Beside its formulas a name is taken back to what they count.
            let lead = work.lead.as_symbol().filter(|_| !work.members.is_empty());
            let turns = lead.map_or(PLAIN, |symbol| self.checked.turning_power(symbol));
            let members = work.members.iter().map(|member| (member, PLAIN));
            let all: Vec<(&Expr, Exponent)> = members.chain([(&work.lead, -turns)]).collect();
            all.iter()
                .for_each(|(formula, _)| self.number_inputs(formula));
            let programs: Vec<Program> = all.iter().map(|(it, _)| self.compile(it)).collect();
            self.needs(&programs, &[])?;
            return self.what_if(&all, &work.conditions);
        }
        let all = std::iter::once(&work.lead).chain(&work.members);
        let way = self.way(all.map(|formula| (formula, PLAIN)), None);
        self.verified(statement, &[way], found)
    }
}

/// The unit in which a statement shows its value.
fn shown_unit(statement: &Statement, found: &Type, si: f64) -> Unit {
    statement.facts().unit.cloned().unwrap_or_else(|| {
        let dimension = found.form.dimension().unwrap_or_default();
        let amount = Amount {
            dimension,
            is_energy: found.energy == Energy::Held,
            si,
            figures: 4,
        };
        quantity::automatic(amount, Family::Si, &[])
    })
}

pub(super) fn is_list_name(resolved: &Resolved, symbol: SymbolId) -> bool {
    syntax::is_list_name(&resolved.symbols.symbol(symbol).key)
}
