//! What an editor can write instead, as edits of the text.
//!
//! The pass that raises a diagnostic knows the place and the text; whoever shows the diagnostic
//! offers them. Nothing here knows how an edit is made.

use crate::text::Span;

/// A change of the text that makes a diagnostic go away.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Fix {
    /// What it does, in the words of a menu: "write `ln x`".
    pub title: String,
    /// The edits, which do not overlap, in the order of their places.
    pub edits: Vec<Edit>,
    /// What the author has to decide before it is made.
    pub decision: Decision,
}

/// `text` in the place of what `span` holds.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Edit {
    /// What is taken out; empty where something is only put in.
    pub span: Span,
    /// What is put in; empty where something is only taken out.
    pub text: String,
}

/// What the author has to decide before a fix is made.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Decision {
    /// What the line means is kept, or could be nothing else.
    None,
    /// The author has to choose: another reading is possible, or a number changes.
    Choose,
    /// Something is left for the author to fill in.
    Complete,
}

impl Decision {
    /// The word for it in reports.
    pub fn word(self) -> &'static str {
        match self {
            Self::None => "none",
            Self::Choose => "choose",
            Self::Complete => "complete",
        }
    }
}

impl Fix {
    /// A fix with one edit; `title` says what it does.
    pub fn new(
        decision: Decision,
        title: impl Into<String>,
        span: Span,
        text: impl Into<String>,
    ) -> Self {
        Self {
            title: title.into(),
            edits: vec![Edit::new(span, text)],
            decision,
        }
    }

    /// Writes `text` in the place of `span`, and is called so.
    pub fn write(decision: Decision, span: Span, text: impl Into<String>) -> Self {
        let text = text.into();
        Self::new(decision, format!("write `{text}`"), span, text)
    }

    /// Adds an edit at another place.
    #[must_use]
    pub fn and(mut self, span: Span, text: impl Into<String>) -> Self {
        self.edits.push(Edit::new(span, text));
        self.edits.sort_by_key(|edit| edit.span);
        self
    }

    /// The text as it stands after the fix; `None` where the edits do not fit it.
    pub fn applied(&self, text: &str) -> Option<String> {
        self.applied_at(text, 0)
    }

    /// The same for a part of the text, which stands at `start`.
    pub fn applied_at(&self, part: &str, start: u32) -> Option<String> {
        let mut out = String::with_capacity(part.len());
        let mut at = 0;
        for edit in &self.edits {
            let from = edit.span.start.checked_sub(start)? as usize;
            out.push_str(part.get(at..from)?);
            out.push_str(&edit.text);
            at = edit.span.end.checked_sub(start)? as usize;
        }
        out.push_str(part.get(at..)?);
        Some(out)
    }
}

impl Edit {
    /// `text` in the place of what `span` holds.
    pub fn new(span: Span, text: impl Into<String>) -> Self {
        Self {
            span,
            text: text.into(),
        }
    }
}

/// `written` as it can stand in the place of a part of a formula: in brackets, unless what is
/// around the part takes a product as it is.
pub fn in_formula(text: &str, part: Span, written: &str) -> String {
    const BEFORE: &str = "=(+,<>[:`\n-−";
    const AFTER: &str = ")+,<>]`\n\r?#-−=";
    let (before, after) = (
        text.get(..part.start as usize).unwrap_or(""),
        text.get(part.end as usize..).unwrap_or(""),
    );
    let before = before.trim_end_matches([' ', '\t']).chars().next_back();
    let after = after.trim_start_matches([' ', '\t']).chars().next();
    let is_free = before.is_none_or(|character| BEFORE.contains(character))
        && after.is_none_or(|character| AFTER.contains(character));
    match is_free {
        true => written.to_owned(),
        false => format!("({written})"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn edits_are_made_in_the_order_of_their_places() {
        let fix = Fix::write(Decision::None, Span::new(4, 5), "z").and(Span::new(1, 1), "αβ");
        assert_eq!(fix.title, "write `z`");
        assert_eq!(fix.applied("abcde").as_deref(), Some("aαβbcdz"));
    }

    #[test]
    fn a_product_is_bracketed_where_it_would_bind_otherwise() {
        let text = "x = N + r/N";
        assert_eq!(in_formula(text, Span::new(4, 5), "2 pi N"), "2 pi N");
        assert_eq!(in_formula(text, Span::new(10, 11), "2 pi N"), "(2 pi N)");
    }

    #[test]
    fn edits_that_overlap_or_split_a_character_are_not_made() {
        let overlapping =
            Fix::write(Decision::None, Span::new(0, 2), "x").and(Span::new(1, 3), "y");
        assert_eq!(overlapping.applied("abcd"), None);
        let split = Fix::write(Decision::None, Span::new(1, 2), "x");
        assert_eq!(split.applied("α"), None);
    }
}
