//! Results of scatter: means that are uncertain by how far their readings lie apart (JCGM 100,
//! 4.2), and the correlation of those whose readings belong together (5.2.3).

use std::collections::BTreeSet;

use super::program::Program;
use super::sources::{About, Error, Key};
use super::table::Scatter;
use super::value::Value;
use super::walk::Walk;
use crate::diagnostic::{Code, Diagnostic};
use crate::functions::Function;
use crate::resolve::{Expr, SymbolId};
use crate::statistics::spread;
use crate::syntax::Distribution;
use crate::text::Span;

impl Walk<'_> {
    /// Adds the source of a result of scatter: of one list, or of several row by row.
    pub(super) fn number_scatter(&mut self, place: Span, function: Function, lists: &[Expr]) {
        let program = match lists {
            [list] => Some(self.compile(list)),
            _ => None,
        };
        let is_ready = |walk: &Self, list: &Expr| {
            let program = walk.compile(list);
            walk.missing(std::slice::from_ref(&program)).is_empty()
        };
        if !lists.iter().all(|list| is_ready(self, list)) {
            return;
        }
        let is_shared = lists
            .iter()
            .any(|list| self.joins_rows(&self.compile(list)));
        if is_shared {
            self.results.shared.insert(place);
            return;
        }
        let found: Option<Vec<Value>> = (lists.iter())
            .map(|list| {
                let before = self.diagnostics.len();
                let value = self.expr(list, &[]).ok();
                // What is wrong with it is said where it is evaluated.
                self.diagnostics.truncate(before);
                value
            })
            .collect();
        let Some(values) = found else { return };
        match (program, values.as_slice()) {
            (Some(program), [list]) => self.scatter_of_list(place, &program, list),
            (_, lists) => self.scatter_by_row(place, function, lists),
        }
    }

    fn scatter_of_list(&mut self, place: Span, program: &Program, list: &Value) {
        let present: Vec<f64> = present(list);
        if present.len() < 2 {
            return;
        }
        let scatter = spread::standard_deviation(&present);
        let degrees = present.len() as f64 - 1.0;
        if self.hides_scatter(place, scatter, list) {
            self.add_scatter(place, degrees, vec![0.0], false);
            return;
        }
        let size = scatter / (present.len() as f64).sqrt();
        let Some(source) = self.add_scatter(place, degrees, vec![size], false) else {
            return;
        };
        let mean = spread::mean(&present);
        let own = Scatter {
            source,
            of: list.of.clone(),
            deviations: list.rows.iter().map(|row| row - mean).collect(),
            columns: self.columns_behind(program),
        };
        for other in &self.results.scatters {
            if let Some(coefficient) = self.coefficient(&own, other) {
                let sources = &mut self.results.sources;
                sources.correlate(own.source, other.source, coefficient, false);
            }
        }
        self.results.scatters.push(own);
    }

    /// How two results correlate: by the rows that they share, where their readings are those of
    /// one column or were read together.
    fn coefficient(&self, one: &Scatter, other: &Scatter) -> Option<f64> {
        let same_table = match (&one.of, &other.of) {
            (Some(one), Some(other)) => one.table == other.table,
            _ => return None,
        };
        let is_one = one.columns.intersection(&other.columns).next().is_some();
        let are_together = || {
            self.results.together.iter().any(|group| {
                let has = |scatter: &Scatter| group.iter().any(|it| scatter.columns.contains(it));
                has(one) && has(other)
            })
        };
        if !same_table || !(is_one || are_together()) {
            return None;
        }
        let pairs = one.deviations.iter().zip(&other.deviations);
        let shared: (Vec<f64>, Vec<f64>) = (pairs)
            .filter(|(one, other)| !one.is_nan() && !other.is_nan())
            .unzip();
        let count = |scatter: &Scatter| {
            let present = scatter.deviations.iter().filter(|it| !it.is_nan());
            present.count() as f64
        };
        let coefficient = spread::correlation(&shared.0, &shared.1)?;
        Some(coefficient * shared.0.len() as f64 / (count(one) * count(other)).sqrt())
    }

    fn scatter_by_row(&mut self, place: Span, function: Function, lists: &[Value]) {
        let rows = lists.iter().map(|list| list.rows.len()).max().unwrap_or(0);
        let count = lists.len() as f64;
        if lists.len() < 2 {
            return;
        }
        let squares: Vec<Option<f64>> = (0..rows)
            .map(|row| {
                let own: Vec<f64> = lists.iter().map(|list| list.at(row)).collect();
                let is_whole = own.iter().all(|number| !number.is_nan());
                is_whole.then(|| spread::sum_of_squares(&own))
            })
            .collect();
        let whole = squares.iter().flatten().count() as f64;
        let deviations = |squares: f64, degrees: f64| (squares / degrees).sqrt() / count.sqrt();
        let is_pooled = function == Function::Pooled;
        let degrees = match is_pooled {
            true => whole * (count - 1.0),
            false => count - 1.0,
        };
        let all: f64 = squares.iter().flatten().sum();
        let size = |own: &Option<f64>| match (own, is_pooled) {
            (None, _) => 0.0,
            (Some(_), true) => deviations(all, degrees),
            (Some(own), false) => deviations(*own, degrees),
        };
        let sizes: Vec<f64> = squares.iter().map(size).collect();
        let steps = lists.iter().map(|list| self.step(list)).fold(0.0, f64::max);
        if sizes.iter().all(|size| *size == 0.0) && steps == 0.0 {
            self.report_equal(place);
            self.add_scatter(place, degrees, vec![0.0; rows], is_pooled);
            return;
        }
        // Only the last digit can hide scatter: it is added once in each row.
        let hidden = |size: f64| match size * count.sqrt() <= 0.5 * steps {
            true => size.hypot(steps / 12_f64.sqrt()),
            false => size,
        };
        let sizes = sizes.into_iter().map(hidden).collect();
        self.add_scatter(place, degrees, sizes, is_pooled);
    }

    fn add_scatter(
        &mut self,
        place: Span,
        degrees: f64,
        sizes: Vec<f64>,
        is_one: bool,
    ) -> Option<u32> {
        let line = self.line;
        let about = About {
            names: line.and_then(|line| line.defines).into_iter().collect(),
            words: line.and_then(|line| line.description),
            by_scatter: true,
            degrees,
            is_one,
            ..About::stated(place)
        };
        let key = Key::Literal(place);
        let sources = &mut self.results.sources;
        let is_known = !sources.of(key, 0).is_empty();
        sources.know(key, |sources| vec![Error::Each(sources.add(about, sizes))]);
        let first = sources.of(key, 0).first().map(|(source, _)| *source);
        first.filter(|_| !is_known)
    }

    /// Whether equal readings have no stated resolution that could hide their scatter.
    fn hides_scatter(&mut self, place: Span, scatter: f64, list: &Value) -> bool {
        if scatter > 0.0 || self.step(list) > 0.0 {
            return false;
        }
        self.report_equal(place);
        true
    }

    fn report_equal(&mut self, place: Span) {
        let written = place.of(self.text);
        self.diagnostics.push(
            Diagnostic::error(
                Code::U03,
                place,
                format!("the scatter of `{written}` is 0: the resolution hides it"),
            )
            .with_help(
                "the resolution of the readings below their table: `V_i (resolution 0.02 mL)`",
            ),
        );
    }

    /// The step that the entries of a list are rounded to, as far as their sources tell.
    fn step(&self, list: &Value) -> f64 {
        let sources = &self.results.sources;
        let rounded = |source: u32| {
            let block = sources
                .block_of(source)
                .and_then(|at| sources.blocks().get(at));
            block.is_some_and(|block| block.about.distribution == Distribution::Resolution)
        };
        let squares = list.gradients.iter().map(|gradient| {
            let own = gradient.iter().filter(|partial| rounded(partial.source));
            own.map(|partial| {
                let size = sources.size(partial.source).unwrap_or(0.0);
                (partial.slope * size).powi(2)
            })
            .sum::<f64>()
        });
        (12.0 * squares.fold(0.0, f64::max)).sqrt()
    }

    /// The columns that a program reads, also through what was computed from them.
    fn columns_behind(&self, program: &Program) -> BTreeSet<SymbolId> {
        let mut found = BTreeSet::new();
        let mut seen = BTreeSet::new();
        let mut open: Vec<SymbolId> = program.symbols().collect();
        while let Some(symbol) = open.pop() {
            if !seen.insert(symbol) {
                continue;
            }
            match self.results.definitions.get(&symbol) {
                Some(definition) => open.extend(definition.reads()),
                None if self.results.columns.contains(&symbol) => {
                    found.insert(symbol);
                }
                None => {}
            }
        }
        found
    }
}

fn present(list: &Value) -> Vec<f64> {
    let rows = list.rows.iter().copied();
    rows.filter(|row| !row.is_nan()).collect()
}
