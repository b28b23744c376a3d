//! An ask in the source, and the edits that answer it.

use crate::diagnostic::Edit;
use crate::text::Span;

/// An ask that `fill` can write to.
#[derive(Debug, Clone, PartialEq)]
pub struct AskSite {
    /// What stands there now.
    pub(super) form: Form,
    /// The number, as an author would type it; absent where the value is not known.
    pub(super) number: Option<String>,
    /// The unit in which an ask without one is answered.
    pub(super) unit: String,
}

/// How it is written.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum Form {
    /// `? kN`: the place of the mark, and where its unit ends.
    Open {
        mark: usize,
        end: usize,
        has_unit: bool,
    },
    /// `-19.0 kN ?`: the number, and the place of the mark.
    Filled { number: Span, mark: usize },
}

impl AskSite {
    /// Where it stands: what changes when it is filled or emptied lies within.
    pub fn place(&self) -> Span {
        match &self.form {
            Form::Open { mark, end, .. } => Span::new(*mark, *end),
            Form::Filled { number, mark } => number.cover(Span::new(*mark, *mark + 1)),
        }
    }

    /// The number with its unit, as an author would type it.
    pub(super) fn answer(&self) -> Option<String> {
        let number = self.number.as_ref()?;
        Some(format!("{number} {}", self.unit).trim_end().to_owned())
    }

    /// The same at the places that `place` gives for its own.
    pub(super) fn moved(&self, place: &impl Fn(u32) -> u32) -> Self {
        let move_by = |at: usize| place(at as u32) as usize;
        let form = match &self.form {
            Form::Open {
                mark,
                end,
                has_unit,
            } => Form::Open {
                mark: move_by(*mark),
                end: move_by(*mark) + (end - mark),
                has_unit: *has_unit,
            },
            Form::Filled { number, mark } => {
                let start = move_by(number.start as usize);
                Form::Filled {
                    number: Span::new(start, start + number.len()),
                    mark: start + (mark - number.start as usize),
                }
            }
        };
        Self {
            form,
            ..self.clone()
        }
    }

    /// Whether it holds a number.
    pub fn is_filled(&self) -> bool {
        matches!(self.form, Form::Filled { .. })
    }

    /// The edits that write the number; none where the value is not known.
    pub fn filling(&self) -> Vec<Edit> {
        let Some(number) = &self.number else {
            return Vec::new();
        };
        match &self.form {
            Form::Open {
                mark,
                end,
                has_unit: true,
            } => vec![
                Edit::new(Span::new(*mark, *mark + 1), number),
                Edit::new(Span::new(*end, *end), " ?"),
            ],
            Form::Open { mark, .. } => {
                let filled = format!("{number} {}", self.unit);
                let filled = format!("{}?", filled.trim_end());
                vec![Edit::new(Span::new(*mark, *mark + 1), filled)]
            }
            Form::Filled { number: span, .. } => vec![Edit::new(*span, number)],
        }
    }

    /// The edits that take the number out; none where there is none.
    pub fn emptying(&self, text: &str) -> Vec<Edit> {
        let Form::Filled { number, mark } = &self.form else {
            return Vec::new();
        };
        if text[..*mark].ends_with([' ', '\t']) {
            vec![
                Edit::new(*number, "?"),
                Edit::new(Span::new(*mark - 1, *mark + 1), ""),
            ]
        } else {
            vec![Edit::new(number.cover(Span::new(*mark, *mark + 1)), "?")]
        }
    }
}
