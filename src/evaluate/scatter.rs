//! Results of scatter: means that are uncertain by how far their readings lie apart (JCGM 100,
//! 4.2), and the correlation of those whose readings belong together (5.2.3).

use std::collections::BTreeSet;

use super::program::Program;
use super::sources::{About, Error, Key};
use super::table::{Deviations, Scatter, ScatterWord};
use super::value::Value;
use super::walk::Walk;
use crate::diagnostic::{Code, Diagnostic};
use crate::functions::Function;
use crate::resolve::{Expr, Shape, SymbolId};
use crate::statistics::spread;
use crate::syntax::Distribution;
use crate::text::Span;

impl Walk<'_> {
    /// Adds the source of a result of scatter: of one list, or of several row by row.
    pub(super) fn number_scatter(&mut self, place: Span, function: Function, lists: &[Expr]) {
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
        let programs: Vec<Program> = lists.iter().map(|list| self.compile(list)).collect();
        match (programs.as_slice(), values.as_slice()) {
            ([program], [list]) => self.scatter_of_list(place, program, list),
            (programs, lists) => self.scatter_by_row(place, function, programs, lists),
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
            self.add_scatter(place, degrees, vec![0.0], 0.0, false);
            return;
        }
        let size = scatter / (present.len() as f64).sqrt();
        // Only the last digit can hide scatter; where all are rounded alike, that is an error in
        // common, which is kept.
        let rounding = self.step(list, false) / 12_f64.sqrt();
        let hidden = match is_hidden(scatter, rounding * 12_f64.sqrt()) {
            true => rounding,
            false => 0.0,
        };
        if hidden > 0.0 {
            self.say_of_scatter(ScatterWord::Hidden(None));
        }
        let Some(source) = self.add_scatter(place, degrees, vec![size], hidden, false) else {
            return;
        };
        let mean = spread::mean(&present);
        let deviations = Deviations {
            of: list.of.clone(),
            entries: list.rows.clone(),
            deviations: list.rows.iter().map(|row| row - mean).collect(),
            columns: self.columns_behind(program),
        };
        self.know_scatter(Scatter {
            source,
            by_row: false,
            lists: vec![deviations],
        });
    }

    /// Notes what is to be said of the scatter that the present line finds.
    fn say_of_scatter(&mut self, word: ScatterWord) {
        let Some(line) = self.line else {
            return;
        };
        let said = self.results.scatter_words.entry(line.span).or_default();
        if !said.contains(&word) {
            said.push(word);
        }
    }

    /// With which results before it one is of readings that were taken together, and how these
    /// correlate.
    fn taken_with(&self, own: &Scatter) -> Vec<ScatterWord> {
        let mut found = Vec::new();
        let [list] = own.lists.as_slice() else {
            return found;
        };
        for other in &self.results.scatters {
            let [with] = other.lists.as_slice() else {
                continue;
            };
            let sources = &self.results.sources;
            let block = sources
                .block_of(other.source)
                .and_then(|at| sources.blocks().get(at));
            let (true, Some(block)) = (list.columns.is_disjoint(&with.columns), block) else {
                continue;
            };
            if let Some(coefficient) = self.relation(list, with) {
                found.push(ScatterWord::Together {
                    names: block.about.names.clone(),
                    place: block.about.place,
                    coefficient,
                });
            }
        }
        found
    }

    /// Correlates a result of scatter with those before it.
    pub(super) fn know_scatter(&mut self, own: Scatter) {
        for word in self.taken_with(&own) {
            self.say_of_scatter(word);
        }
        let mut pairs = Vec::new();
        for other in &self.results.scatters {
            pairs.extend(own.pairs(other, &|one, with| self.relation(one, with)));
        }
        for ((one, other), coefficient) in pairs {
            let sources = &mut self.results.sources;
            // What is one but for rounding is one, so that it cancels.
            let is_whole = coefficient.abs() > 1.0 - 1e-12;
            let coefficient = if is_whole {
                coefficient.signum()
            } else {
                coefficient
            };
            sources.correlate(one, other, coefficient, false);
        }
        self.results.scatters.push(own);
    }

    /// How the readings of two lists go together in the rows that they share: one list with
    /// itself wholly, lists from one column or from columns that were read together by their
    /// deviations.
    fn relation(&self, one: &Deviations, other: &Deviations) -> Option<f64> {
        let table = |list: &Deviations| list.of.as_ref().and_then(|of| of.table);
        if table(one) != table(other) {
            return None;
        }
        let is_one = one.columns.intersection(&other.columns).next().is_some();
        let are_together = || {
            self.results.together.iter().any(|group| {
                let has = |list: &Deviations| group.iter().any(|it| list.columns.contains(it));
                has(one) && has(other)
            })
        };
        if !(is_one || are_together()) {
            return None;
        }
        let (own, with) = one.shared(other, |list| &list.entries);
        if own == with {
            return Some(1.0);
        }
        let (own, with) = one.shared(other, |list| &list.deviations);
        spread::correlation(&own, &with)
    }

    fn scatter_by_row(
        &mut self,
        place: Span,
        function: Function,
        programs: &[Program],
        lists: &[Value],
    ) {
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
        let step = |all: bool| {
            let steps = lists.iter().map(|list| self.step(list, all));
            steps.fold(0.0, f64::max)
        };
        let steps = step(false);
        if sizes.iter().all(|size| *size == 0.0) && step(true) == 0.0 {
            self.report_equal(place);
            self.add_scatter(place, degrees, vec![0.0; rows], 0.0, is_pooled);
            return;
        }
        let are_hidden = |at: &usize| {
            let is_there = squares.get(*at).is_some_and(Option::is_some);
            is_there && is_hidden(sizes[*at] * count.sqrt(), steps)
        };
        let rows_hidden = (0..sizes.len()).filter(are_hidden).count();
        if rows_hidden > 0 {
            let whole = squares.iter().flatten().count();
            self.say_of_scatter(ScatterWord::Hidden(Some((rows_hidden, whole))));
        }
        // Only the last digit can hide scatter: it is added once in each row.
        let hidden = |size: f64| match is_hidden(size * count.sqrt(), steps) {
            true => size.hypot(steps / 12_f64.sqrt()),
            false => size,
        };
        let sizes = sizes.into_iter().map(hidden).collect();
        let Some(source) = self.add_scatter(place, degrees, sizes, 0.0, is_pooled) else {
            return;
        };
        let deviations = programs.iter().zip(lists).map(|(program, list)| {
            let mean = spread::mean(&present(list));
            // A row takes part where all lists have an entry.
            let own = (0..rows).map(|row| match squares.get(row) {
                Some(Some(_)) => list.at(row) - mean,
                _ => f64::NAN,
            });
            Deviations {
                of: list.of.clone(),
                entries: list.rows.clone(),
                deviations: own.collect(),
                columns: self.columns_behind(program),
            }
        });
        let lists = deviations.collect();
        self.know_scatter(Scatter {
            source,
            by_row: true,
            lists,
        });
    }

    fn add_scatter(
        &mut self,
        place: Span,
        degrees: f64,
        sizes: Vec<f64>,
        hidden: f64,
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
        sources.know(key, |sources| {
            // What the last digit hides is no scatter.
            let rounding = About {
                by_scatter: false,
                degrees: f64::INFINITY,
                is_one: false,
                distribution: Distribution::Resolution,
                ..about.clone()
            };
            let mut errors = vec![Error::Each(sources.add(about, sizes))];
            if hidden > 0.0 {
                let source = sources.add(rounding, [hidden]);
                errors.push(Error::Common(source, vec![1.0]));
            }
            errors
        });
        let first = sources.of(key, 0).first().map(|(source, _)| *source);
        first.filter(|_| !is_known)
    }

    /// Whether equal readings have no stated resolution that could hide their scatter.
    fn hides_scatter(&mut self, place: Span, scatter: f64, list: &Value) -> bool {
        if scatter > 0.0 || self.step(list, true) > 0.0 {
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

    /// The step that the entries of a list are rounded to, as far as their sources tell: also where
    /// they are rounded alike, or only where each is rounded by itself.
    fn step(&self, list: &Value, also_alike: bool) -> f64 {
        let sources = &self.results.sources;
        let rounded = |source: u32| {
            let block = sources
                .block_of(source)
                .and_then(|at| sources.blocks().get(at));
            block.is_some_and(|block| {
                let is_meant = also_alike || block.count > 1;
                block.about.distribution == Distribution::Resolution && is_meant
            })
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
    pub(super) fn columns_behind(&self, program: &Program) -> BTreeSet<SymbolId> {
        let mut found = BTreeSet::new();
        let mut seen = BTreeSet::new();
        let mut open: Vec<SymbolId> = program.symbols().collect();
        while let Some(symbol) = open.pop() {
            if !seen.insert(symbol) {
                continue;
            }
            match self.results.definitions.get(symbol) {
                Some(definition) => {
                    let reads = definition.reads();
                    let value = self.results.values.get(symbol);
                    let is_list = value.is_some_and(|value| value.shape == Shape::List);
                    // A list that stands alone is a column of its own.
                    if reads.is_empty() && is_list {
                        found.insert(symbol);
                    }
                    open.extend(reads);
                }
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

/// Whether the last digit may hide a scatter: it is no more than half of its step.
fn is_hidden(scatter: f64, step: f64) -> bool {
    step > 0.0 && scatter <= 0.5 * step * (1.0 + 1e-9)
}
