//! What refused lines of a sketch were to say, so that a line that needs it is left out and not
//! refused as well.

use crate::syntax::order::Part;
use crate::syntax::{self, tokens};

/// What refused lines were to say, as far as it can be told.
#[derive(Debug, Default)]
pub(super) struct Lost {
    /// The words that open them.
    openings: Vec<Box<str>>,
    /// The places and sections that they were to name.
    names: Vec<Box<str>>,
    /// Whether one of them was to name a place or a section, and which cannot be told.
    any_name: bool,
    /// Whether what one of them was to be cannot be told.
    any_line: bool,
}

impl Lost {
    /// Takes in a statement, perhaps of several lines.
    pub fn take(&mut self, statement: &str) {
        for line in statement.lines() {
            let code = &line[..tokens::tail(line).unwrap_or(line.len())];
            let code = code.trim_start_matches([' ', '\t', '>']);
            let label = tokens::label(code).map_or(0, |label| label.len() + 1);
            self.line(code.get(label..).unwrap_or("").trim_start());
        }
    }

    fn line(&mut self, body: &str) {
        let parts = syntax::sketch_line("", body).parts;
        let Some(first) = parts.first() else {
            self.any_line |= !body.is_empty();
            return;
        };
        let opening = &body[first.start..first.end];
        self.openings.push(opening.into());
        let is_new = |what| {
            matches!(
                what,
                Part::Place { is_new: true } | Part::Section { is_new: true }
            )
        };
        let named = parts.iter().filter(|part| is_new(part.what));
        let before = self.names.len();
        (self.names).extend(named.map(|part| body[part.start..part.end].into()));
        // A name of its own would follow, and nothing else can.
        let goes_on = syntax::sketch_line("", opening);
        let names_something = goes_on.next.is_empty() && !goes_on.is_whole;
        self.any_name |= names_something && self.names.len() == before;
        // What cannot stand right behind a name may be meant instead of it.
        let ends_with_it = parts.last().is_some_and(|last| is_new(last.what));
        self.any_name |= ends_with_it
            && parts
                .last()
                .is_some_and(|it| it.end < body.trim_end().len());
    }

    /// Whether one of them may be a line that begins with a word.
    pub fn may_be(&self, opening: &str) -> bool {
        self.any_line || self.openings.iter().any(|own| **own == *opening)
    }

    /// Whether one of them may name a place or a section.
    pub fn may_name(&self, name: &str) -> bool {
        self.any_line || self.any_name || self.names.iter().any(|own| **own == *name)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn lost(statement: &str) -> Lost {
        let mut lost = Lost::default();
        lost.take(statement);
        lost
    }

    #[test]
    fn a_refused_line_is_what_its_first_word_says() {
        let one = lost("point C = a rigt from A -- words");
        assert!(one.may_name("C") && one.may_be("point"));
        assert!(!one.may_name("D") && !one.may_be("moves"));
        let one = lost("force F dwn at B");
        assert!(!one.may_name("B") && one.may_be("force"));
    }

    #[test]
    fn what_cannot_be_told_may_be_anything() {
        assert!(lost("poin C = a right from A").may_name("C"));
        assert!(lost("poin C").may_be("moves"));
        assert!(lost("point").may_name("C"));
        assert!(lost("point point C").may_name("C"));
        assert!(!lost("liquid 2").may_name("C"));
        let several = lost("loss K (2\nsurface 2 level z_2");
        assert!(several.may_name("2") && !several.may_name("1"));
        assert!(!lost("").may_be("force"));
    }
}
