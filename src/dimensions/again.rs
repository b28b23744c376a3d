//! One block, or one inline ask, checked again while the rest of the worksheet stays.

use super::infer::Inference;
use super::{Checked, Type};
use crate::diagnostic::Diagnostic;
use crate::quantity::Exponent;
use crate::resolve::statement::Origin;
use crate::resolve::{Inline, Resolved, Statement, SymbolId};

/// Checks a block again whose statements were resolved again, and puts the types in their place;
/// of the symbols in `gone` nothing is known any more.
///
/// `None`, and nothing is changed, where a name that it reads has no dimension yet: what the block
/// says about it would matter elsewhere too.
pub fn again(
    text: &str,
    resolved: &Resolved,
    checked: &mut Checked,
    at: usize,
    gone: &[SymbolId],
) -> Option<Vec<Diagnostic>> {
    let block = resolved.blocks.get(at)?;
    let own: Vec<SymbolId> = block
        .iter()
        .filter_map(|statement| statement.defines)
        .collect();
    let mut is_sound = bodies_are_settled(resolved, checked);
    for kind in block.iter().filter_map(|statement| statement.kind.as_ref()) {
        kind.for_each_symbol(&mut |symbol| {
            is_sound &= own.contains(&symbol) || is_settled(checked, symbol);
        });
    }
    if !is_sound {
        return None;
    }
    let mut inference = Inference::resumed(text, resolved, checked);
    gone.iter().for_each(|symbol| inference.forget(*symbol));
    for symbol in own {
        inference.forget(symbol);
        if let Some(origin) = checked.required.get(&symbol)
            && let Some(statement) = statement(resolved, *origin)
        {
            inference.seed(statement);
        }
    }
    block.iter().for_each(|statement| inference.seed(statement));
    let types = inference.block(resolved, &checked.statements, at);
    let found = inference.take_diagnostics();
    inference.give_back(checked);
    checked.statements[at] = types;
    Some(found)
}

/// Checks an inline ask again; `None` where a name in it has no dimension.
pub fn inline_again(
    text: &str,
    resolved: &Resolved,
    checked: &mut Checked,
    inline: &Inline,
) -> Option<(Option<Type>, Vec<Diagnostic>)> {
    let mut is_sound = bodies_are_settled(resolved, checked);
    inline.for_each_symbol(&mut |symbol| is_sound &= is_settled(checked, symbol));
    if !is_sound {
        return None;
    }
    let mut inference = Inference::resumed(text, resolved, checked);
    let of = inference.inline(inline);
    let found = inference.take_diagnostics();
    inference.give_back(checked);
    Some((of, found))
}

/// What others were checked against in a symbol.
#[derive(Debug, Clone, PartialEq)]
pub struct Facts {
    found: Option<Type>,
    is_literal: bool,
    /// Its exact number, where somebody asked for it.
    exact: Option<Exponent>,
}

impl Checked {
    /// What others were checked against in a symbol.
    pub fn facts(&self, symbol: SymbolId) -> Facts {
        let notes = &self.notes;
        Facts {
            found: self.symbols.get(&symbol).cloned(),
            is_literal: notes.literals.contains(&symbol),
            exact: (notes.exact.get(&symbol).copied())
                .filter(|_| notes.consulted.contains(&symbol)),
        }
    }
}

/// Whether a symbol has a dimension that does not depend on how it is used.
pub fn is_settled(checked: &Checked, symbol: SymbolId) -> bool {
    let found = checked.symbols.get(&symbol);
    !checked.notes.concluded.contains(&symbol)
        && found.is_some_and(|found| found.form.dimension().is_some())
}

fn statement(resolved: &Resolved, origin: Origin) -> Option<&Statement> {
    resolved.blocks.get(origin.block)?.get(origin.statement)
}

/// Whether the symbols in the bodies of all user functions have dimensions.
fn bodies_are_settled(resolved: &Resolved, checked: &Checked) -> bool {
    let mut all = true;
    for (.., body) in resolved.functions() {
        body.for_each_symbol(&mut |symbol, _| all &= is_settled(checked, symbol));
    }
    all
}

impl<'a> Inference<'a> {
    /// An inference that knows what was found before; it is lent to it.
    fn resumed(text: &'a str, resolved: &'a Resolved, checked: &mut Checked) -> Self {
        let mut inference = Self::new(text, &resolved.symbols);
        inference.types = std::mem::take(&mut checked.symbols);
        inference.take_up(std::mem::take(&mut checked.notes));
        let functions = resolved.functions();
        inference.bodies = functions
            .map(|(_, function, body)| (function, body))
            .collect();
        inference
    }

    fn give_back(mut self, checked: &mut Checked) {
        checked.notes = self.take_notes();
        checked.symbols = self.types;
    }
}
