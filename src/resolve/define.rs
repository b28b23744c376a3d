//! The names and labels that lines define.

use super::statement::Origin;
use super::{Resolver, SymbolId};
use crate::diagnostic::{Code, Decision, Diagnostic, Fix};
use crate::syntax::{BlockKind, Line, Name, Refused};
use crate::text::{Left, Span};

impl Resolver<'_> {
    pub(super) fn label(&mut self, line: &Line, origin: Origin) -> Option<(Box<str>, usize)> {
        let label = line.label.as_ref()?;
        let key = (self.problem, label.text.clone());
        if self.labels.contains_key(&key) {
            self.diagnostics.push(
                Diagnostic::error(
                    Code::N06,
                    label.span,
                    format!("the label `{}` is used twice in this problem", label.text),
                )
                .with_help("another label for one of the two")
                .with_fixes(self.other_label(&label.text, label.span)),
            );
            return None;
        }
        self.label_count += 1;
        self.labels.insert(key, (self.label_count, origin));
        Some((label.text.clone(), self.label_count))
    }

    /// The same of what has a number also without a label.
    pub(super) fn numbered(&mut self, line: &Line, origin: Origin) -> Option<(Box<str>, usize)> {
        self.label(line, origin).or_else(|| {
            self.label_count += 1;
            Some((Box::default(), self.label_count))
        })
    }

    /// The same label with the first number that is free.
    fn other_label(&self, label: &str, place: Span) -> Option<Fix> {
        let is_free = |other: &str| {
            let key = (self.problem, other.into());
            !self.labels.contains_key(&key)
        };
        let other = (2..100)
            .map(|count| format!("{label}_{count}"))
            .find(|other| is_free(other))?;
        Some(Fix::write(Decision::Choose, place, other))
    }

    /// Defines the name, or reports where it is defined already.
    pub(super) fn define(
        &mut self,
        name: &Name,
        defines: &mut Option<SymbolId>,
    ) -> Option<SymbolId> {
        let symbol = self.symbols.intern_declared(self.problem, &name.key);
        if let Some(first) = self.symbols.symbol(symbol).defined {
            self.report_twice(name.span.of(self.text), name.span, first);
            return None;
        }
        if !super::declare::may_be_name(&name.key) {
            self.diagnostics.push(
                Diagnostic::error(
                    Code::S14,
                    name.span,
                    format!(
                        "`{}` has a meaning of its own and cannot be defined",
                        name.key
                    ),
                )
                .with_help("another name, such as one with a subscript"),
            );
            return None;
        }
        self.symbols.define(symbol, name.span);
        *defines = Some(symbol);
        Some(symbol)
    }

    /// Keeps the name of a refused line, so that what needs it says so and nothing further.
    pub(super) fn refuse(
        &mut self,
        block: BlockKind,
        refused: Option<&Refused>,
        origin: Origin,
        defines: &mut Option<SymbolId>,
    ) {
        let Some(Refused { name, is_function }) = refused else {
            return;
        };
        if *is_function {
            if self
                .symbols
                .find_function(self.problem, &name.key)
                .is_some()
            {
                return;
            }
            // A call of it needs what was refused here.
            *defines = self.define_broken(name);
            self.broken_functions.extend(*defines);
            return;
        }
        match block.left() {
            Left::Stated => self.remember_refused(&name.key, origin),
            Left::Defined => *defines = self.define_broken(name),
            Left::Asked | Left::Used => {}
        }
    }

    /// The symbol that a refused line was to define, unless it is defined elsewhere.
    pub(super) fn define_broken(&mut self, name: &Name) -> Option<SymbolId> {
        let symbol = self.symbols.intern_declared(self.problem, &name.key);
        if self.symbols.symbol(symbol).defined.is_some() {
            return None;
        }
        self.symbols.define(symbol, name.span);
        Some(symbol)
    }

    /// The same name with the first subscript that is free.
    fn free_name(&self, written: &str) -> String {
        let is_free = |name: &String| {
            let key = crate::syntax::canonical(name);
            self.symbols.find(self.problem, &key).is_none()
        };
        let subscript = ["b", "c", "d", "e", "f"].into_iter();
        let mut names = subscript.map(|letter| format!("{written}_{letter}"));
        names
            .find(is_free)
            .unwrap_or_else(|| format!("{written}_2"))
    }

    pub(super) fn report_twice(&mut self, written: &str, span: Span, first: Span) {
        let shared = self.symbols.find(0, &crate::syntax::canonical(written));
        let is_shared = self.problem != 0 && shared.is_some_and(|it| self.later.contains_key(&it));
        let other = self.free_name(written);
        let help = match is_shared {
            true => format!(
                "another name, such as `{other}`; or a level-1 heading above the first `{written}` that is not the title: what stands above the first such heading holds in all problems"
            ),
            false => format!(
                "another name, such as `{other}`, since a name means one thing in all parts of a problem; or `at` for another value of a given: `P = ? kW at Q = 40 L/s`"
            ),
        };
        self.diagnostics.push(
            Diagnostic::error(Code::N02, span, format!("`{written}` is defined twice"))
                .with_note(format!("`{written}` is already defined here"), first)
                .with_help(help),
        );
    }
}
