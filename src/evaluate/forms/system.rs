//! Names that together satisfy equations.

use std::sync::Arc;

use super::Outcome;
use crate::evaluate::definitions::Definition;
use crate::evaluate::program::Program;
use crate::evaluate::solve::{self, Seek, Unsolved};
use crate::evaluate::unsolved::{self, Line};
use crate::evaluate::walk::{Lack, Walk};
use crate::resolve::statement::System;
use crate::resolve::{Statement, SymbolId};

impl<'a> Walk<'a> {
    pub(super) fn system(
        &mut self,
        statement: &Statement,
        system: &'a System,
    ) -> Result<Outcome<'a>, Lack> {
        let equations: Vec<[Program; 2]> = system
            .equations
            .iter()
            .map(|[left, right]| [self.compile(left), self.compile(right)])
            .collect();
        let symbols: Vec<SymbolId> = system.unknowns.iter().map(|(symbol, ..)| *symbol).collect();
        let programs: Vec<Program> = equations.iter().flatten().cloned().collect();
        self.needs(&programs, &symbols)?;
        let mut starts = Vec::with_capacity(symbols.len());
        for (_, _, start) in &system.unknowns {
            starts.push(match start {
                Some(start) => Some(self.number(start)?),
                None => None,
            });
        }
        match solve::system(&equations, &symbols, &starts, &self.results) {
            Ok((values, convergence)) => {
                let values: Vec<_> = values.into_iter().map(Arc::new).collect();
                let definition = Definition::Roots {
                    symbols,
                    equations,
                    seek: Seek::Anywhere,
                    origins: system.origins.clone(),
                };
                self.know(definition, &values);
                Ok(Outcome::System(system, values, convergence))
            }
            Err(unsolved) => {
                self.report_system(statement, system, &unsolved);
                Err(Lack::Refused)
            }
        }
    }

    fn report_system(&mut self, statement: &Statement, system: &System, unsolved: &Unsolved) {
        let names: Vec<String> = (system.unknowns.iter())
            .map(|(_, span, _)| span.of(self.text).to_owned())
            .collect();
        let shown = |at: usize, value: f64| {
            let unknown = system.unknowns.get(at);
            unknown.map_or_else(String::new, |(symbol, ..)| self.shown_as(*symbol, value))
        };
        let diagnostic = unsolved::diagnostic(
            unsolved,
            &Line {
                place: statement.span,
                unknowns: &names,
                shown: &shown,
                stopped: &|fault| self.of_fault(fault, None),
            },
        );
        self.diagnostics.push(diagnostic);
    }
}
