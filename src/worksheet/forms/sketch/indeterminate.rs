//! More unknowns than balances: what `solve` asks of a sketch has no one answer.

use std::sync::Arc;

use rustc_hash::FxHashSet;

use super::super::super::build::Builder;
use super::told::magnitudes;
use crate::diagnostic::{Code, Diagnostic};
use crate::mechanics::{Axis, Balance};
use crate::resolve::statement::{ActOf, Asked, Sketch};
use crate::resolve::{Expr, Kind, SymbolId};
use crate::syntax::SketchKind;
use crate::text::listed;

/// An equation by the unknowns in it, and whether it is a balance.
struct Row {
    unknowns: Vec<SymbolId>,
    is_balance: bool,
}

impl Builder<'_> {
    /// Says where a `solve` asks for more than the balances of its sketches tell.
    pub(super) fn judge_solves(&mut self) {
        if self.resolved.asked.is_empty() {
            return;
        }
        let resolved = self.resolved;
        let sought = self.sought();
        for asked in &resolved.asked {
            let Some(told) = self.open(asked, &sought) else {
                continue;
            };
            self.diagnostics.push(told);
        }
    }

    fn open(&self, asked: &Asked, sought: &FxHashSet<SymbolId>) -> Option<Diagnostic> {
        let mut sketches: Vec<&Arc<Sketch>> = Vec::new();
        for origin in &asked.origins {
            let line = self
                .resolved
                .blocks
                .get(origin.block)?
                .get(origin.statement)?;
            let sketch = match &line.kind {
                Some(Kind::Balance(balance)) => Some(&balance.meant.sketch),
                _ => line.facts().meant.map(|(_, meant)| &meant.sketch),
            };
            let sketch = sketch.filter(|it| is_of_forces(it));
            sketches
                .extend(sketch.filter(|it| !sketches.iter().any(|own| own.number == it.number)));
        }
        let problem = sketches.first()?.problem;
        if sketches.iter().any(|it| it.is_incomplete) {
            return None;
        }
        let mut unknowns: Vec<SymbolId> = Vec::new();
        for sketch in &sketches {
            note(sketch_unknowns(sketch, sought), &mut unknowns);
        }
        let own = unknowns.clone();
        // Other bodies that share an unknown have balances of their own.
        let lines = || self.resolved.blocks.iter().flatten();
        let all = lines().filter_map(|line| match &line.kind {
            Some(Kind::Sketch(sketch)) if sketch.problem == problem && is_of_forces(sketch) => {
                Some(sketch)
            }
            _ => None,
        });
        let all: Vec<&Arc<Sketch>> = all.collect();
        let relations: Vec<Vec<SymbolId>> = lines()
            .filter_map(|line| self.relation(line, sought))
            .collect();
        loop {
            let before = unknowns.len();
            for sketch in &all {
                let its = sketch_unknowns(sketch, sought);
                if its.iter().any(|it| unknowns.contains(it)) {
                    note(its, &mut unknowns);
                }
            }
            for relation in &relations {
                if relation.iter().any(|it| unknowns.contains(it)) {
                    note(relation.clone(), &mut unknowns);
                }
            }
            if unknowns.len() == before {
                break;
            }
        }
        let balances = all.iter().flat_map(|sketch| rows(sketch, sought));
        let relations = relations.into_iter().map(|unknowns| Row {
            unknowns,
            is_balance: false,
        });
        let rows: Vec<Row> = balances
            .chain(relations)
            .filter(|row| row.unknowns.iter().any(|it| unknowns.contains(it)))
            .collect();
        let open = undetermined(&unknowns, &rows);
        if !asked.unknowns.iter().any(|it| open.contains(it)) {
            return None;
        }
        let is_open = |row: &&Row| row.unknowns.iter().any(|it| open.contains(it));
        let count = rows
            .iter()
            .filter(is_open)
            .filter(|row| row.is_balance)
            .count();
        let others = rows.iter().filter(is_open).count() - count;
        let named = |symbol: &&SymbolId| own.contains(symbol);
        let names: Vec<String> = (open.iter().filter(named))
            .map(|symbol| format!("`{}`", self.resolved.symbols.symbol(*symbol).key))
            .collect();
        // What no sketch has is no support that balances leave open.
        if names.is_empty() {
            return None;
        }
        let labels: Vec<String> = sketches
            .iter()
            .map(|it| format!("`{}`", it.label))
            .collect();
        let others = match others {
            0 => String::new(),
            1 => " and 1 other equation".to_owned(),
            count => format!(" and {count} other equations"),
        };
        let balances = if count == 1 { "balance" } else { "balances" };
        let message = format!(
            "{} of {} are {} unknowns in {count} {balances}{others}: statically indeterminate",
            listed(&names),
            listed(&labels),
            names.len()
        );
        Some(
            Diagnostic::warning(Code::B10, asked.line, message).with_help(
                "an equation that says how it deforms, one of them in `given`, or a support less",
            ),
        )
    }

    /// What is to be found: what supports carry, and what any line asks for. Any other name stands
    /// for what is known, also where no number is given.
    fn sought(&self) -> FxHashSet<SymbolId> {
        let lines = || self.resolved.blocks.iter().flatten();
        let mut found = FxHashSet::default();
        for asked in &self.resolved.asked {
            found.extend(&asked.unknowns);
        }
        for line in lines() {
            match &line.kind {
                Some(Kind::Required(required)) => {
                    found.insert(required.symbol);
                }
                Some(Kind::Work(work)) => {
                    found.extend(line.defines.filter(|_| work.conditions.is_empty()))
                }
                Some(Kind::Equation { members, by: None }) => {
                    found.extend(members.iter().filter_map(Expr::as_symbol));
                }
                Some(Kind::Sketch(sketch)) => {
                    let acts = sketch.body.actions.iter().zip(&sketch.acts);
                    let of_supports = acts.filter(|(_, act)| matches!(act.kind, ActOf::Support(_)));
                    let ids = of_supports.flat_map(|(action, _)| magnitudes(action));
                    let exprs = ids.flatten().filter_map(|id| sketch.quantities.get(id));
                    found.extend(exprs.filter_map(Expr::as_symbol));
                }
                _ => {}
            }
        }
        for line in lines() {
            if let Some((symbol, _)) = line.facts().datum() {
                found.remove(&symbol);
            }
            if let Some(Kind::Taken(_) | Kind::Data(_) | Kind::Fit(_)) = &line.kind {
                found.retain(|it| line.defines != Some(*it) && !line.unknowns.contains(it));
            }
        }
        found
    }

    /// The unknowns of an equation that is no balance and comes from none.
    fn relation(
        &self,
        line: &crate::resolve::Statement,
        sought: &FxHashSet<SymbolId>,
    ) -> Option<Vec<SymbolId>> {
        let members: Vec<&Expr> = match &line.kind {
            Some(Kind::Equation { members, by: None }) => members.iter().collect(),
            Some(Kind::Work(work))
                if work.conditions.is_empty()
                    && work.origin.is_none()
                    && !work.members.is_empty() =>
            {
                std::iter::once(&work.lead).chain(&work.members).collect()
            }
            _ => return None,
        };
        let mut found = Vec::new();
        for member in members {
            member.for_each_symbol(&mut |symbol, _| note(vec![symbol], &mut found));
        }
        found.retain(|symbol| sought.contains(symbol));
        Some(found)
    }
}

fn is_of_forces(sketch: &Sketch) -> bool {
    matches!(sketch.kind, SketchKind::Body | SketchKind::Particle)
}

fn note(more: Vec<SymbolId>, all: &mut Vec<SymbolId>) {
    for symbol in more {
        if !all.contains(&symbol) {
            all.push(symbol);
        }
    }
}

/// The magnitudes of a sketch that are to be found.
fn sketch_unknowns(sketch: &Sketch, sought: &FxHashSet<SymbolId>) -> Vec<SymbolId> {
    let mut found = Vec::new();
    for action in &sketch.body.actions {
        for id in magnitudes(action).into_iter().flatten() {
            if let Some(expr) = sketch.quantities.get(id) {
                expr.for_each_symbol(&mut |symbol, _| note(vec![symbol], &mut found));
            }
        }
    }
    found.retain(|symbol| sought.contains(symbol));
    found
}

/// The balances of a sketch by the unknowns in them.
fn rows(sketch: &Sketch, sought: &FxHashSet<SymbolId>) -> Vec<Row> {
    let mut which = vec![Balance::Forces(Axis::X), Balance::Forces(Axis::Y)];
    if sketch.kind == SketchKind::Body {
        which.push(Balance::Moments(0));
    }
    let unknowns = sketch_unknowns(sketch, sought);
    let row = |balance: Balance| {
        let own = match sketch.terms(balance) {
            Ok(terms) => {
                let mut own = Vec::new();
                for id in terms
                    .iter()
                    .flat_map(|term| term.magnitudes.iter().copied())
                {
                    if let Some(expr) = sketch.quantities.get(id) {
                        expr.for_each_symbol(&mut |symbol, _| note(vec![symbol], &mut own));
                    }
                }
                own.retain(|symbol| unknowns.contains(symbol));
                own
            }
            // Where a place is missing, it is there all the same.
            Err(_) => unknowns.clone(),
        };
        Row {
            unknowns: own,
            is_balance: true,
        }
    };
    which.into_iter().map(row).collect()
}

/// The unknowns that the equations leave open, by which stands in which: those that can be reached
/// from one without an equation of its own.
fn undetermined(unknowns: &[SymbolId], rows: &[Row]) -> Vec<SymbolId> {
    // The unknown that each equation is taken for.
    let mut taken: Vec<Option<usize>> = vec![None; rows.len()];
    let stands = |row: usize, unknown: usize| rows[row].unknowns.contains(&unknowns[unknown]);
    fn find(
        unknown: usize,
        stands: &dyn Fn(usize, usize) -> bool,
        taken: &mut [Option<usize>],
        seen: &mut [bool],
    ) -> bool {
        for row in 0..taken.len() {
            if seen[row] || !stands(row, unknown) {
                continue;
            }
            seen[row] = true;
            let is_free = match taken[row] {
                None => true,
                Some(other) => find(other, stands, taken, seen),
            };
            if is_free {
                taken[row] = Some(unknown);
                return true;
            }
        }
        false
    }
    for unknown in 0..unknowns.len() {
        find(unknown, &stands, &mut taken, &mut vec![false; rows.len()]);
    }
    let mut open: Vec<usize> = (0..unknowns.len())
        .filter(|unknown| !taken.contains(&Some(*unknown)))
        .collect();
    let mut at = 0;
    while let Some(unknown) = open.get(at).copied() {
        at += 1;
        for row in (0..rows.len()).filter(|row| stands(*row, unknown)) {
            if let Some(other) = taken[row].filter(|it| !open.contains(it)) {
                open.push(other);
            }
        }
    }
    open.sort_unstable();
    open.into_iter().map(|unknown| unknowns[unknown]).collect()
}
