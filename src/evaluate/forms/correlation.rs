//! A stated correlation of two givens.

use super::Outcome;
use crate::diagnostic::{Code, Diagnostic};
use crate::evaluate::number::Partial;
use crate::evaluate::value::Values;
use crate::evaluate::walk::{Lack, Walk};
use crate::resolve::{Expr, Kind, Statement, SymbolId};

impl<'a> Walk<'a> {
    /// Correlates the sources of two givens so that their sums correlate as stated.
    pub(super) fn correlation(
        &mut self,
        statement: &'a Statement,
        names: [SymbolId; 2],
        stated: &'a Expr,
    ) -> Result<Outcome<'a>, Lack> {
        let coefficient = self.number(stated)?;
        let mut parts: Vec<Vec<(u32, f64)>> = Vec::new();
        for name in names {
            let Some(value) = self.results.value(name) else {
                return Err(Lack::Needs(vec![(name, self.place_of(name))]));
            };
            let sources = &self.results.sources;
            let sizes = |it: &Partial| Some((it.source, it.slope * sources.size(it.source)?));
            let of: Vec<(u32, f64)> = value.gradient(0).iter().filter_map(sizes).collect();
            let own = of.iter().all(|(source, _)| {
                let block = sources.block_of(*source).map(|at| &sources.blocks()[at]);
                block.is_some_and(|block| block.about.names == [name])
            });
            if of.is_empty() || !own || value.rows.len() != 1 {
                let key = &self.resolved.symbols.symbol(name).key;
                let message = format!("`{key}` is not given as one number with an uncertainty");
                return Err(self.refuse_correlation(
                    statement,
                    message,
                    "two names that are given with `±`; what shares a name is correlated by itself",
                ));
            }
            parts.push(of);
        }
        let written = stated.span.of(self.text);
        let [first, second] = parts.as_slice() else {
            return Err(Lack::Refused);
        };
        if coefficient.abs() > 1.0 || names[0] == names[1] {
            let message = match names[0] == names[1] {
                true => "a quantity has the correlation 1 with itself".to_owned(),
                false => {
                    format!("`{written}` is no correlation: a coefficient lies between -1 and 1")
                }
            };
            let help = "two names, and a coefficient from -1 to 1";
            return Err(self.refuse_correlation(statement, message, help));
        }
        let said = &self.diagnostics;
        let is_refused = |line: &Statement| {
            said.iter()
                .any(|it| it.code == Code::U01 && it.span == line.span)
        };
        let is_before =
            |line: &&Statement| line.span.start < statement.span.start && !is_refused(line);
        let mut before = self.resolved.blocks.iter().flatten().filter(is_before);
        let is_same = |line: &Statement| {
            let own = [names, [names[1], names[0]]];
            matches!(&line.kind, Some(Kind::Correlation { names, .. }) if own.contains(names))
        };
        if before.any(is_same) {
            let keys = names.map(|name| &*self.resolved.symbols.symbol(name).key);
            let message = format!(
                "the correlation of `{}` and `{}` is stated twice",
                keys[0], keys[1]
            );
            return Err(self.refuse_correlation(statement, message, "one of the two lines"));
        }
        let size = |of: &[(u32, f64)]| of.iter().map(|(_, part)| part * part).sum::<f64>().sqrt();
        let whole = size(first) * size(second);
        let sources = &mut self.results.sources;
        for (one, a) in first {
            for (other, b) in second {
                sources.correlate(*one, *other, coefficient * a * b / whole, true);
            }
        }
        // Each of several that go together is only known with the last of them.
        let mut lines = self.resolved.blocks.iter().flatten();
        let is_last = !lines.any(|line| {
            line.span.start > statement.span.start
                && matches!(line.kind, Some(Kind::Correlation { .. }))
        });
        if is_last && !sources.hold_together() {
            for (one, _) in first {
                for (other, _) in second {
                    self.results.sources.correlate(*one, *other, 0.0, true);
                }
            }
            let message = "this coefficient and the others cannot hold together".to_owned();
            let help = "coefficients of one set of readings: of three, two of 0.9 leave no third below 0.62";
            return Err(self.refuse_correlation(statement, message, help));
        }
        Ok(Outcome::Correlation {
            names,
            coefficient: stated,
        })
    }

    fn refuse_correlation(&mut self, line: &Statement, message: String, help: &str) -> Lack {
        self.diagnostics
            .push(Diagnostic::error(Code::U01, line.span, message).with_help(help));
        Lack::Refused
    }
}
