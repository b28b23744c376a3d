//! Case distinctions, with their left brace.

use super::formula::{Place, Setter};
use super::tree::{self, Kind, Node};
use crate::resolve::{Case, Condition};

impl Setter<'_> {
    pub(super) fn cases(&mut self, cases: &[Case]) {
        let start = self.pen;
        let mut widest = start;
        let mut set = Vec::with_capacity(cases.len());
        for case in cases {
            self.pen = start;
            set.push(tree::Case {
                value: self.part(|setter| setter.expr(&case.value, Place::First)),
                condition: (case.condition.as_ref())
                    .map(|condition| self.part(|setter| setter.condition(condition))),
            });
            if case.condition.is_none() {
                self.pen += 4.0;
            }
            widest = widest.max(self.pen);
        }
        self.row.push(Node::Cases(set));
        self.pen = widest + 3.5;
    }

    fn condition(&mut self, condition: &Condition) {
        let mut relations = condition.relations.iter();
        for (index, member) in condition.members.iter().enumerate() {
            if index > 0
                && let Some(sign) = relations.next()
            {
                self.push(Node::Operator(sign.sign(), Kind::Relation), 1.3);
            }
            self.expr(member, Place::First);
        }
    }
}
