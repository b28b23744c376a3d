//! What is seen when all lines were read: unknowns that nothing computes, names that mislead.

use rustc_hash::FxHashSet;

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
        let with_work: FxHashSet<usize> = (blocks.iter())
            .filter(|block| block.kind == BlockKind::Work && !block.lines.is_empty())
            .map(|block| block.problem)
            .collect();
        let computing = blocks.iter().filter(|it| with_work.contains(&it.problem));
        for block in computing {
            for line in block.lines {
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
        let mut misleading: Vec<_> = (self.later.iter())
            .filter_map(|(symbol, span)| {
                let meant = meant_greek(&self.symbols.symbol(*symbol).key)?;
                Some((*span, meant))
            })
            .collect();
        misleading.sort_unstable_by_key(|(span, _)| span.start);
        for (span, meant) in misleading {
            let written = span.of(self.text);
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
