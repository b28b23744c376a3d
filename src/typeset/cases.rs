//! Case distinctions, with their left brace, and the rows of a list for which a condition holds.

use super::formula::{Place, Setter};
use super::tree::{self, Kind, Node, Space};
use crate::resolve::{Case, Condition, Expr, Which};

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

    /// Those rows of a list; where the line goes on behind the condition, that stands in brackets.
    pub(super) fn chosen(&mut self, list: &Expr, which: &Which, goes_on: bool) {
        self.expr(list, Place::First);
        self.words(" where ");
        self.which(which, goes_on && !matches!(which, Which::Not(_)));
    }

    fn which(&mut self, which: &Which, in_brackets: bool) {
        if in_brackets {
            self.push(Node::OPEN, 0.35);
        }
        match which {
            Which::Compared(condition) => self.condition(condition),
            Which::Words { heading, words } => {
                self.word(&heading.1);
                self.push(Node::Operator("=", Kind::Relation), 1.3);
                self.word(&format!("“{words}”"));
            }
            Which::Not(inner) => {
                self.words("not ");
                self.which(inner, true);
            }
            Which::All(parts) => self.joined(parts, " and "),
            Which::Any(parts) => self.joined(parts, " or "),
        }
        if in_brackets {
            self.push(Node::CLOSE, 0.35);
        }
    }

    fn joined(&mut self, parts: &[Which], joint: &str) {
        for (at, part) in parts.iter().enumerate() {
            if at > 0 {
                self.words(joint);
            }
            self.which(part, matches!(part, Which::All(_) | Which::Any(_)));
        }
    }

    /// Words of the language, with the spaces around them.
    fn words(&mut self, words: &str) {
        if words.starts_with(' ') {
            self.push(Node::Space(Space::Word), 0.3);
        }
        self.word(words.trim());
        self.push(Node::Space(Space::Word), 0.3);
    }

    fn word(&mut self, word: &str) {
        self.push(Node::Text(word.into()), 0.5 * word.chars().count() as f32);
    }
}
