//! What tables as functions are to the lines that use them: whether they are some, what the curves
//! between their rows leave out, and what lies outside of them.

use std::cell::RefCell;
use std::sync::Arc;

use super::asked::{Choice, Chosen, LeftOut, Outside, Tabulated, Told};
use super::convert;
use super::definitions::{Care, Definition, Replaced};
use super::literal::Literal;
use super::number::{Dual, Number};
use super::program::{Environment, Fault, Lists, Program, Rows};
use super::value::{self, Graded, Plain, Values};
use super::walk::{Lack, Walk};
use crate::diagnostic::{Code, Diagnostic};
use crate::dimensions::Counts;
use crate::quantity::{self, Unit};
use rustc_hash::FxHashMap;

use crate::resolve::statement::Condition;
use crate::resolve::{Expr, ExprKind, Kind, Statement, SymbolId};
use crate::text::Span;

/// What is less than this, beside a value, may be rounding.
const ROUNDING: f64 = 1e-12;

/// Plain numbers, with what is read off which table at which place.
struct Watched<'a> {
    plain: Plain<'a>,
    seen: RefCell<Vec<(Tabulated, f64)>>,
}

impl Environment<f64> for Watched<'_> {
    fn load(&self, symbol: SymbolId, row: usize) -> f64 {
        self.plain.load(symbol, row)
    }

    fn literal(&self, literal: &Literal) -> f64 {
        self.plain.literal(literal)
    }

    fn input(&self, literal: &Literal, errors: &[(u32, f64)]) -> f64 {
        self.plain.input(literal, errors)
    }

    fn is_read(&self, table: &Tabulated, at: &f64) {
        self.seen.borrow_mut().push((table.clone(), *at));
    }
}

impl Lists for Watched<'_> {
    fn rows(&self, symbol: SymbolId) -> Option<Rows> {
        self.plain.rows(symbol)
    }

    fn is_missing(&self, symbol: SymbolId, row: usize) -> bool {
        self.plain.is_missing(symbol, row)
    }

    fn chosen(&self, choice: &Choice) -> Result<Chosen, Fault> {
        self.plain.chosen(choice)
    }

    fn told(&self, told: &Told) -> Result<Arc<[f64]>, Fault> {
        self.plain.told(told)
    }
}

impl<'a> Walk<'a> {
    /// Looks at a table that is made a function; where its lists have no values yet, later.
    pub(super) fn tabulated(&mut self, body: &Expr) -> Result<(), Lack> {
        let program = self.compile(body);
        if !self.missing(std::slice::from_ref(&program)).is_empty() {
            return Ok(());
        }
        self.decide_at(&program, body.span);
        for table in program.tables() {
            if let Err(fault) = value::in_order(table, &self.results) {
                self.results.failed.insert(table.made.1, body.span);
                self.stop(fault);
                return Err(Lack::Refused);
            }
        }
        Ok(())
    }

    /// Notes what the curves leave out that a line reads values off, and warns where it is more
    /// than the entries are uncertain by.
    pub(super) fn note_left_out(&mut self, line: &'a Statement) {
        let facts = line.facts();
        let sides = facts.roots.map(|(_, sides)| sides).unwrap_or_default();
        let formulas = facts.lead.into_iter().chain(facts.members).chain(sides);
        let mut programs: Vec<Program> = formulas.map(|formula| self.compile(formula)).collect();
        let mut conditions: &[Condition] = &[];
        if let Some(Kind::Work(work)) = &line.kind {
            conditions = &work.conditions;
        }
        let Some(values) = self.under(conditions, &mut programs) else {
            return;
        };
        let found = (programs.iter())
            .filter(|program| !program.tables().is_empty())
            .flat_map(|program| self.left_out_by(program, &values))
            .max_by(|one, other| one.above.abs().total_cmp(&other.above.abs()));
        if let Some(found) = found {
            self.results.left_out.insert(line.span, found);
            self.warn_left_out(line.span, found);
        }
    }

    /// The values that a what-if has, with the formulas that are evaluated again for it; those of
    /// today where nothing is replaced. Nothing where it has none, which was said.
    fn under(&self, conditions: &[Condition], programs: &mut Vec<Program>) -> Option<Replaced<'_>> {
        if conditions.is_empty() {
            return Some(Replaced::nothing(&self.results));
        }
        let mut by = FxHashMap::default();
        for condition in conditions {
            let own = self.compile_compared(&condition.value);
            by.insert(condition.symbol, value::run(&own, &self.results).ok()?);
        }
        let behind = self.definitions_behind(programs.iter());
        let values = self.replay(&behind, by, Care::Nearest).ok()?;
        for definition in &behind {
            let mut symbols = definition.symbols().iter();
            if symbols.any(|symbol| values.by.contains_key(symbol)) {
                programs.extend(match &**definition {
                    Definition::Formula { .. } => {
                        definition.programs().into_iter().cloned().collect()
                    }
                    Definition::Roots { equations, .. } => {
                        equations.iter().flatten().cloned().collect()
                    }
                    Definition::Fit(_) => Vec::new(),
                });
            }
        }
        Some(values)
    }

    /// What the curves leave out that a program reads values off, where it is more than the
    /// entries are uncertain by.
    fn left_out_by(&self, program: &Program, values: &dyn Values) -> Vec<LeftOut> {
        let watched = Watched {
            plain: Plain(values),
            seen: RefCell::default(),
        };
        let Ok(over) = program.over(&watched) else {
            return Vec::new();
        };
        for row in 0..over.rows.as_ref().map_or(1, |rows| rows.count) {
            if !program.lacks(row, &over, &watched) {
                // Where it stops, that was said.
                let _ = program.run(row, &watched);
            }
        }
        let seen = watched.seen.into_inner();
        let found = seen.iter().filter_map(|(table, at)| {
            let above = table.left_out(*at, &Plain(values))?;
            let uncertainty = self.uncertainty_of_entries(table, *at);
            let value = table.read(at, Span::default(), &Plain(values)).ok()?;
            let is_rounding = above.abs() <= ROUNDING * value.abs();
            (above.abs() > uncertainty && !is_rounding).then_some(LeftOut {
                values: table.values,
                above,
                uncertainty,
            })
        });
        found.collect()
    }

    /// The standard uncertainty of what is read off at a place, as the entries have it.
    fn uncertainty_of_entries(&self, table: &Tabulated, at: f64) -> f64 {
        let graded = Graded(Plain(&self.results));
        let at: Dual<f64> = Dual::constant(at);
        let found = table.read(&at, Span::default(), &graded);
        found.map_or(0.0, |found| {
            self.results.sources.uncertainty(&found.gradient)
        })
    }

    fn warn_left_out(&mut self, line: Span, found: LeftOut) {
        if found.uncertainty == 0.0 || found.above.abs() <= 2.0 * found.uncertainty {
            return;
        }
        let key = &self.resolved.symbols.symbol(found.values).key;
        let [above, size] =
            [found.above.abs(), found.uncertainty].map(|it| self.in_unit_of(found.values, it));
        let word = if found.above > 0.0 { "more" } else { "less" };
        self.diagnostics.push(
            Diagnostic::warning(
                Code::K23,
                line,
                format!(
                    "the nearest rows give {above} {word} of `{key}` than the curve between two of them; its standard uncertainty is {size}"
                ),
            )
            .with_help("`by cubic`, or more rows; or what is left out as an uncertain number that is added"),
        );
    }

    /// The places between which all tables lie that an unknown is looked up in by itself.
    pub(super) fn range_of_tables(&self, sides: &[Expr], unknown: SymbolId) -> Option<[f64; 2]> {
        let mut found: Option<[f64; 2]> = None;
        let mut open: Vec<&Expr> = sides.iter().collect();
        while let Some(expr) = open.pop() {
            expr.for_each_part(|part| open.push(part));
            let ExprKind::Apply {
                function,
                arguments,
            } = &expr.kind
            else {
                continue;
            };
            let is_alone = |argument: &Expr| argument.inside().as_symbol() == Some(unknown);
            let is_table = |body: &Expr| matches!(body.kind, ExprKind::ReadOff(_));
            let mut functions = self.resolved.functions();
            let is_own = functions.any(|(_, own, body)| own == *function && is_table(body));
            if !is_own || !arguments.iter().any(is_alone) {
                continue;
            }
            for [low, high] in self
                .compile(expr)
                .tables()
                .iter()
                .filter_map(|it| self.ends(it))
            {
                let [least, most] = found.unwrap_or([f64::NEG_INFINITY, f64::INFINITY]);
                found = Some([least.max(low), most.min(high)]);
            }
        }
        found.filter(|[low, high]| low < high)
    }

    /// The least and the greatest place of a table.
    fn ends(&self, table: &Tabulated) -> Option<[f64; 2]> {
        let places = self.results.values.get(table.places)?;
        let lists = Plain(&self.results);
        let own = table.rows(&lists).ok()?;
        let mut rows = (0..own.count).filter(|row| own.has(table, *row, &lists));
        let first = rows.next()?;
        let last = rows.next_back().unwrap_or(first);
        let [first, last] = [places.at(first), places.at(last)];
        Some([first.min(last), first.max(last)])
    }

    /// An interval of a quantity in the unit of its author, to two figures.
    fn in_unit_of(&self, symbol: SymbolId, si: f64) -> String {
        let unit = self
            .checked
            .units
            .get(&symbol)
            .cloned()
            .unwrap_or_else(Unit::one);
        let counts = self.checked.symbols.get(symbol).map(|found| found.counts);
        let size = convert::size_in_unit(si, counts.unwrap_or(Counts::NOTHING), &unit);
        let number = quantity::to_figures(size, 2).text();
        format!("{number} {}", unit.text()).trim_end().to_owned()
    }

    /// A place of a table in the unit of its author.
    fn place_in_unit(&self, symbol: SymbolId, si: f64, figures: u8) -> String {
        let (Some(unit), Some(found)) = (
            self.checked.units.get(&symbol),
            self.checked.symbols.get(symbol),
        ) else {
            return self.shown_as(symbol, si);
        };
        let number = convert::in_unit(si, found.reading, found.counts, unit);
        let number = quantity::to_figures(number, figures).text();
        let number = match number.contains('.') {
            true => number.trim_end_matches('0').trim_end_matches('.'),
            false => &number,
        };
        format!("{number} {}", unit.text()).trim_end().to_owned()
    }

    /// What is said of a place outside of a table.
    pub(super) fn outside(&self, outside: &Outside) -> (Code, String, String) {
        let key = &self.resolved.symbols.symbol(outside.places).key;
        let shown = |si, figures| self.place_in_unit(outside.places, si, figures);
        let known = self.results.values.get(outside.places);
        let table = known.and_then(|value| value.of.as_ref());
        let table = table.and_then(|of| of.table);
        let table = table.map_or_else(String::new, |of| format!(" `{}`", of.of(self.text)));
        // Rounding shows only where it is all that there is.
        let is_end = |figures| {
            outside
                .ends
                .iter()
                .any(|end| shown(*end, figures) == shown(outside.at, figures))
        };
        let figures = if is_end(12) { 17 } else { 12 };
        let [first, last] = outside.ends.map(|end| shown(end, figures));
        let at = shown(outside.at, figures);
        (
            Code::K17,
            format!("{at} lies outside of the table{table}: `{key}` goes from {first} to {last}"),
            "more rows, or an argument inside: a table is never continued".to_owned(),
        )
    }
}
