//! Values of other worksheets: the same errors wherever they are met, rows of their own tables.

use std::sync::Arc;

use rustc_hash::{FxHashMap, FxHashSet};

use super::definitions::Care;
use super::made::Made;
use super::number::Partial;
use super::others::Kept;
use super::program::{Rows, RowsOf};
use super::sources::About;
use super::value::{Value, Values};
use super::walk::{Ground, Lack, Results, Walk, walked};
use crate::diagnostic::{Code, Diagnostic};
use crate::resolve::{Elsewhere, Expr, ExprKind, Shape, SymbolId, Taken, TakenAs, Theirs};
use crate::text::Span;

impl Results<'_> {
    /// What is kept for those who take from the problem.
    pub fn keep(self) -> Kept {
        Kept {
            values: self.values,
            sources: Arc::new(self.sources),
            decided: self.decided,
        }
    }
}

/// The value of a name with other values of some givens.
///
/// # Errors
/// Why there is none, in a sentence.
pub fn what_if(
    ground: Ground<'_>,
    symbol: SymbolId,
    by: FxHashMap<SymbolId, Value>,
) -> Result<Value, String> {
    let mut walk = walked(ground);
    let program = walk.compile(&Expr {
        span: Span::default(),
        kind: ExprKind::Symbol(symbol),
    });
    let behind = walk.definitions_behind([&program]);
    let found = walk.replay(&behind, by, Care::All);
    let found = found.map(|replaced| replaced.value(symbol).cloned());
    match found {
        Ok(Some(value)) => Ok(value),
        Ok(None) => Err("it has no value".to_owned()),
        Err(stop) => {
            walk.report_stop(stop, Span::default());
            let last = walk.diagnostics.last();
            Err(last.map_or_else(String::new, |last| last.message.clone()))
        }
    }
}

impl Walk<'_> {
    /// Has the values of other worksheets that a line takes.
    pub(super) fn take(&mut self, taken: &Taken) -> Result<(), Lack> {
        for symbol in &taken.new {
            let mut all = self.resolved.elsewhere.iter();
            let Some((_, elsewhere)) = all.find(|(own, _)| own == symbol) else {
                continue;
            };
            let theirs = self.theirs(elsewhere, taken.place)?;
            if let Some(value) = theirs {
                let value = self.adopted(value, elsewhere.at, (*symbol, taken));
                self.results.values.insert(*symbol, Arc::new(value));
            }
        }
        Ok(())
    }

    /// A value as it is there.
    fn theirs(&mut self, of: &Elsewhere, place: Span) -> Result<Option<Value>, Lack> {
        let others = self.others;
        let Some(kept) = others.found(of.at) else {
            return Ok(None);
        };
        Ok(match &of.what {
            Theirs::Symbol(symbol) => kept.values.get(*symbol).map(|value| Value::clone(value)),
            Theirs::Rows(symbol, place) => kept.rows(*symbol, *place),
            Theirs::Quantity(expr) => kept.quantity(expr, others.text(of.at)),
            Theirs::WhatIf(symbol, by) => {
                let mut values = FxHashMap::default();
                for (given, stands) in by {
                    let value = self.compared_value(stands)?;
                    if value.gradients.iter().any(|gradient| !gradient.is_empty()) {
                        self.refuse_taken(
                            stands.span,
                            "what stands for a given of another worksheet is uncertain".to_owned(),
                            "a value without `±`",
                        );
                        return Err(Lack::Refused);
                    }
                    values.insert(*given, value);
                }
                match others.what_if(of.at, *symbol, values) {
                    Ok(value) => Some(value),
                    Err(why) => {
                        self.refuse_taken(
                            place,
                            format!("there is no such value there: {why}"),
                            "other values after `at`",
                        );
                        return Err(Lack::Refused);
                    }
                }
            }
        })
    }

    fn compared_value(&mut self, expr: &Expr) -> Result<Value, Lack> {
        self.number_inputs(expr);
        let program = self.compile(expr);
        self.needs(std::slice::from_ref(&program), &[])?;
        self.run(&program)
    }

    fn refuse_taken(&mut self, place: Span, message: String, help: &str) {
        let diagnostic = Diagnostic::error(Code::K18, place, message).with_help(help);
        self.diagnostics.push(diagnostic);
    }

    /// A value of another worksheet with its errors and its rows as they are here.
    fn adopted(&mut self, mut value: Value, at: usize, own: (SymbolId, &Taken)) -> Value {
        let others = self.others;
        let Some(kept) = others.found(at) else {
            return value;
        };
        let (symbol, taken) = own;
        let about = About {
            names: vec![match &taken.what {
                TakenAs::Quantity(name, _) => *name,
                TakenAs::Function(..) => symbol,
            }],
            words: self.line.and_then(|line| line.description),
            ..About::stated(taken.place)
        };
        let there = |place: Span| others.place(at, place);
        let mut met: Vec<u32> = (value.gradients.iter().flatten())
            .map(|partial| partial.source)
            .collect();
        met.sort_unstable();
        met.dedup();
        let known = self.results.adopted.entry(at).or_default();
        let sources = &mut self.results.sources;
        for source in met {
            let own = sources.adopt(&kept.sources, source, &about, &there);
            known.insert(source, own);
        }
        sources.correlate_as(&kept.sources, known);
        for gradient in &mut value.gradients {
            for partial in gradient.iter_mut() {
                partial.source = known
                    .get(&partial.source)
                    .copied()
                    .unwrap_or(partial.source);
            }
            gradient.sort_by_key(|partial: &Partial| partial.source);
        }
        value.of = value.of.map(|of| RowsOf {
            table: of
                .table
                .map(|table| self.table_of_other(at, table, taken.place)),
            chosen: of.chosen,
        });
        let rows = (value.shape != Shape::One).then(|| Rows {
            of: value.of.clone(),
            ..Rows::plain(value.rows.len(), value.shape)
        });
        value.made = (value.made.as_ref()).map(|made| Arc::new(Made::in_rows(made, rows)));
        value
    }

    /// The place here that stands for a table of another worksheet: that of the file where it is
    /// taken first, a letter less for each further table there.
    fn table_of_other(&mut self, at: usize, table: Span, place: Span) -> Span {
        let tables = &mut self.results.tables_elsewhere;
        if let Some(known) = tables.get(&(at, table)) {
            return *known;
        }
        let used: FxHashSet<Span> = tables.values().copied().collect();
        let mut own = place;
        while used.contains(&own) && !own.is_empty() {
            own.end -= 1;
        }
        tables.insert((at, table), own);
        own
    }
}
