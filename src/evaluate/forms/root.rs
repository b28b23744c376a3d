//! A root of an equation; of one with lists one in each row.

use std::sync::Arc;

use super::Outcome;
use super::work::is_list_name;
use crate::dimensions::Type;
use crate::evaluate::definitions::Definition;
use crate::evaluate::program::Program;
use crate::evaluate::solve::{self, Seek, Unsolved};
use crate::evaluate::unsolved::{self, Line};
use crate::evaluate::walk::{Lack, Walk};
use crate::evaluate::{convert, mend};
use crate::quantity;
use crate::resolve::Statement;
use crate::resolve::statement::{Root, Start};
use crate::text::Span;

impl<'a> Walk<'a> {
    pub(super) fn root(
        &mut self,
        statement: &Statement,
        root: &'a Root,
        found: &Type,
    ) -> Result<Outcome<'a>, Lack> {
        let sides = [self.compile(&root.sides[0]), self.compile(&root.sides[1])];
        self.needs(&sides, &[root.symbol])?;
        let (seek, place) = self.seek(root)?;
        let takes = |side: &Program| side.aggregated().any(|symbol| symbol == root.symbol);
        // A list has as many roots as rows, and a total of them is one number.
        let is_together = is_list_name(self.resolved, root.symbol) && sides.iter().any(takes);
        let solved = match is_together {
            true => Err(Unsolved::Together),
            false => solve::root(&sides, root.symbol, &|_| seek, &self.results),
        };
        match solved {
            Ok((value, convergence)) => {
                self.named_as_list(statement, root.symbol, &value)?;
                let value = Arc::new(value);
                let definition = Definition::Roots {
                    symbols: vec![root.symbol],
                    equations: vec![sides],
                    seek,
                    origins: root.origins.clone(),
                };
                self.know(definition, std::slice::from_ref(&value));
                if root.tail.ask().is_some() {
                    self.second_order_of(statement, (&root.lead, &[]), &root.lead, (&value, found));
                }
                Ok(Outcome::Root(root, value, convergence))
            }
            Err(unsolved) => {
                let unit = root.tail.ask().and_then(|(ask, _)| ask.unit.as_ref());
                let shown = |_: usize, value: f64| match unit {
                    Some(unit) => {
                        let number = convert::in_unit(value, found.reading, found.counts, unit);
                        let number = quantity::to_figures(number, 5).text();
                        format!("{number} {}", unit.text()).trim_end().to_owned()
                    }
                    None => self.shown_as(root.symbol, value),
                };
                let names = [root.lead.span.of(self.text).to_owned()];
                let line = Line {
                    place,
                    unknowns: &names,
                    shown: &shown,
                    stopped: &|fault| self.of_fault(fault, Some(place)),
                };
                let diagnostic = unsolved::diagnostic(&unsolved, &line)
                    .with_fixes(mend::starts(self.text, place, &unsolved, &shown))
                    .with_note("the equation stands here", root.sides[0].span);
                self.diagnostics.push(diagnostic);
                Err(Lack::Refused)
            }
        }
    }

    /// Where the line says that the root is, and the place where it says so.
    fn seek(&mut self, root: &Root) -> Result<(Seek, Span), Lack> {
        Ok(match &root.start {
            // What is looked up in a table lies within it.
            Start::Anywhere => match self.range_of_tables(&root.sides, root.symbol) {
                Some([low, high]) => (Seek::Between(low, high), root.label),
                None => (Seek::Anywhere, root.label),
            },
            Start::Near(value) => (Seek::Near(self.number(value)?), value.span),
            Start::Between(low, high) => (
                Seek::Between(self.number(low)?, self.number(high)?),
                low.span.cover(high.span),
            ),
        })
    }
}
