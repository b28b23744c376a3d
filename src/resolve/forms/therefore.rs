//! `therefore a = b`: a step of the author.

use super::super::Resolver;
use super::super::statement::Origin;
use super::Kind;
use crate::syntax;

impl<'a> Resolver<'a> {
    pub(in crate::resolve) fn therefore(
        &mut self,
        step: &'a syntax::Therefore,
        number: Option<usize>,
        origin: Origin,
    ) -> Option<Kind> {
        let Some(members) = self.exprs(&step.members) else {
            if let Some(syntax::ExprKind::Name(name)) = step.members.first().map(|lead| &lead.kind)
            {
                self.remember_refused(&name.key, origin);
            }
            return None;
        };
        let by = match &step.by {
            Some(balance) => self.meant(balance).map(Box::new),
            None => None,
        };
        self.remember(&members, number, origin);
        self.keep_step(number, origin, &members);
        Some(Kind::Therefore { members, by })
    }
}
