//! Case distinctions, with their left brace.

use super::formula::{Place, Writer};
use super::{escape, relation};
use crate::resolve::{Case, Condition};

impl Writer<'_> {
    pub(super) fn cases(&mut self, cases: &[Case]) -> u32 {
        let start = self.pen;
        let mut widest = start;
        self.out
            .push_str("<mrow><mo>{</mo><mtable class=\"cases\">");
        for case in cases {
            self.pen = start;
            self.out.push_str("<mtr><mtd>");
            self.closed(|writer| writer.expr(&case.value, Place::First));
            self.out.push_str("</mtd><mtd>");
            match &case.condition {
                Some(condition) => {
                    self.out.push_str("<mtext>for\u{2002}</mtext>");
                    self.closed(|writer| writer.condition(condition));
                }
                None => {
                    self.element("mtext", "otherwise", 4.0);
                }
            }
            self.out.push_str("</mtd></mtr>");
            widest = widest.max(self.pen);
        }
        self.out.push_str("</mtable></mrow>");
        self.pen = widest + 3.5;
        1
    }

    fn condition(&mut self, condition: &Condition) -> u32 {
        let mut elements = 0;
        let mut relations = condition.relations.iter();
        for (index, member) in condition.members.iter().enumerate() {
            if index > 0
                && let Some(sign) = relations.next()
            {
                self.out.push_str("<mo>");
                escape(relation(*sign), self.out);
                self.out.push_str("</mo>");
                self.pen += 1.3;
                elements += 1;
            }
            elements += self.expr(member, Place::First);
        }
        elements
    }
}
