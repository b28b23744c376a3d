//! What is seen when all lines were read: unknowns that nothing computes, names that mislead.

use super::Resolver;
use crate::diagnostic::{Code, Diagnostic};
use crate::resolve::Block;
use crate::syntax::{BlockKind, Statement, meant_greek};

impl Resolver<'_> {
    pub(super) fn look_back(&mut self, blocks: &[Block<'_>]) {
        self.unknowns_never_computed(blocks);
        self.names_like_greek();
    }

    /// Where a problem has numbers, each of its unknowns is among them.
    fn unknowns_never_computed(&mut self, blocks: &[Block<'_>]) {
        for block in blocks {
            let has_work = blocks.iter().any(|other| {
                other.problem == block.problem
                    && other.kind == BlockKind::Work
                    && !other.lines.is_empty()
            });
            for line in block.lines.iter().filter(|_| has_work) {
                let Statement::Required(required) = &line.statement else {
                    continue;
                };
                let key = &required.name.key;
                let symbol = self.symbols.find(block.problem, key);
                if symbol.is_some_and(|symbol| self.later.contains_key(&symbol)) {
                    continue;
                }
                let written = required.name.span.of(self.text);
                self.diagnostics.push(
                    Diagnostic::warning(
                        Code::N16,
                        required.name.span,
                        format!("`{written}` is to be found, and no line of `work` computes it"),
                    )
                    .with_help(format!("`{written} = … = ?` in `work`")),
                );
            }
        }
    }

    fn names_like_greek(&mut self) {
        let mut defined: Vec<_> = self.later.values().copied().collect();
        defined.sort_unstable_by_key(|span| span.start);
        for span in defined {
            let written = span.of(self.text);
            let Some(meant) = meant_greek(&crate::syntax::canonical(written)) else {
                continue;
            };
            self.diagnostics.push(
                Diagnostic::warning(
                    Code::N17,
                    span,
                    format!("`{written}` is a word, and looks like a Greek letter"),
                )
                .with_help(format!("`{meant}`, where the letter is meant")),
            );
        }
    }
}
