//! Chains of equals: what they are is decided by their block.

use super::super::statement::Origin;
use super::super::{Resolver, SymbolId};
use super::Kind;
use crate::diagnostic::{Code, Diagnostic};
use crate::syntax::{BlockKind, Chain, ExprKind};

impl<'a> Resolver<'a> {
    pub(super) fn chain(
        &mut self,
        block: BlockKind,
        chain: &'a Chain,
        number: Option<usize>,
        origin: Origin,
        defines: &mut Option<SymbolId>,
    ) -> Option<Kind> {
        if let (BlockKind::Given, Some(names)) = (block, self.correlates(chain)) {
            return self.correlation(chain, names);
        }
        if let Some((name, parameters)) = self.defined_function(block, chain, number.is_some()) {
            return self.function(chain, name, &parameters, defines);
        }
        if block != BlockKind::Derive && self.refuse_component(chain) {
            return None;
        }
        match block {
            BlockKind::Given => self.given_line(chain, defines),
            BlockKind::Derive => {
                let Some(members) = self.exprs(&chain.members) else {
                    if let Some(ExprKind::Name(name)) = chain.members.first().map(|lead| &lead.kind)
                    {
                        self.remember_refused(&name.key, origin);
                    }
                    return None;
                };
                let by = match &chain.by {
                    Some(balance) => self.meant(balance).map(Box::new),
                    None => None,
                };
                self.remember(&members, number, origin);
                self.keep(number, origin, &members);
                Some(Kind::Equation { members, by })
            }
            _ => self.work(chain, defines),
        }
    }

    /// A component is part of its vector and has no value of its own.
    fn refuse_component(&mut self, chain: &Chain) -> bool {
        let Some(ExprKind::Component(name, _)) = chain.members.first().map(|lead| &lead.kind)
        else {
            return false;
        };
        let known = self.symbols.find(self.problem, &name.key);
        if known.is_some_and(|symbol| self.may_use(symbol)) {
            return false;
        }
        let written = name.span.of(self.text);
        self.diagnostics.push(
            Diagnostic::error(
                Code::V03,
                chain.members[0].span,
                format!("a component of `{written}` cannot be defined by itself"),
            )
            .with_help(format!(
                "the whole vector, `{written} = (…, …)`, from named components"
            )),
        );
        true
    }
}
