//! Writing the engine's numbers into the source, and taking them out again.
//!
//! `= ? kN to 3 figures` becomes `= -19.0 kN ? to 3 figures`; nothing else in the file changes.
//! An ask without a unit becomes `= -19.0 kN?`, with no blank before the mark, so that taking
//! the number out gives back the ask without a unit.

use super::build::Builder;
use super::model::{Shown, Worksheet};
use crate::diagnostic::{Code, Diagnostic, Edit};
use crate::quantity::{self, Decimal};
use crate::resolve::Shape;
use crate::resolve::statement::{Ask, Literal};
use crate::syntax::Precision;
use crate::text::{Source, Span};

/// An ask that `fill` can write to.
#[derive(Debug, Clone, PartialEq)]
pub struct AskSite {
    /// What stands there now.
    form: Form,
    /// The number, as an author would type it; absent where the value is not known.
    number: Option<String>,
    /// The unit in which an ask without one is answered.
    unit: String,
}

#[derive(Debug, Clone, PartialEq)]
enum Form {
    /// `? kN`: the place of the mark, and where its unit ends.
    Open {
        mark: usize,
        end: usize,
        has_unit: bool,
    },
    /// `-19.0 kN ?`: the number, and the place of the mark.
    Filled { number: Span, mark: usize },
}

impl Builder<'_> {
    /// Notes an ask, and warns when a filled number is stale.
    pub(super) fn note_site(&mut self, ask: &Ask, filled: Option<&Literal>, shown: Option<&Shown>) {
        let shown = shown.filter(|shown| shown.shape != Shape::List);
        let number = shown.map(number);
        let text = self.text;
        let form = match filled {
            Some(literal) => {
                let place = with_brackets(text, literal.amount);
                let after = place.end as usize;
                let Some(mark) = text[after..].find('?') else {
                    return;
                };
                let stands = place.of(text);
                if let Some(number) = number.as_ref().filter(|number| *number != stands) {
                    self.diagnostics.push(
                        Diagnostic::warning(
                            Code::E08,
                            place,
                            format!("the filled number `{stands}` is stale: it is now {number}"),
                        )
                        .with_help(format!("`{number}`, which `setsquare fill` writes"))
                        .with_fix(place, number.as_str()),
                    );
                }
                Form::Filled {
                    number: place,
                    mark: after + mark,
                }
            }
            None => match open(text, ask) {
                Some(form) => form,
                None => return,
            },
        };
        let unit = shown.map_or(String::new(), |shown| {
            [shown.unit.source(), shown.word.unwrap_or("")]
                .join(" ")
                .trim()
                .to_owned()
        });
        self.asks.push(AskSite { form, number, unit });
    }
}

impl Builder<'_> {
    /// Warns where the figures that are asked for and the uncertainty do not go together.
    pub(super) fn warn_of_figures(&mut self, ask: &Ask, shown: Option<&Shown>) {
        let Some(shown) = shown else {
            return;
        };
        let written = ask.span.of(self.text);
        if shown.is_cut {
            let printed = shown.digits.iter().map(Decimal::figures).max().unwrap_or(1);
            let figures = if printed == 1 { "figure" } else { "figures" };
            self.diagnostics.push(
                Diagnostic::warning(
                    Code::U11,
                    ask.span,
                    format!(
                        "`{written}` asks for digits below the uncertainty, which are not printed"
                    ),
                )
                .with_help(format!("without figures, or `to {printed} {figures}`")),
            );
        } else if let Some(Precision::Uncertainty(_)) = ask.precision
            && shown.uncertainties.is_empty()
        {
            self.diagnostics.push(
                Diagnostic::warning(
                    Code::U06,
                    ask.span,
                    format!("`{written}` asks for an uncertainty, and there is none"),
                )
                .with_help("`± …` behind the data in `given`, or `to 3 figures`"),
            );
        }
    }
}

/// The digits of a value as an author types them; those of a vector in brackets.
fn number(shown: &Shown) -> String {
    if shown.shape == Shape::Vector {
        let parts: Vec<String> = match &shown.written {
            Some(written) => written
                .split(',')
                .map(|part| part.trim().to_owned())
                .collect(),
            None => shown.digits.iter().map(|digits| digits.ascii()).collect(),
        };
        return format!("({})", parts.join(", "));
    }
    if let (Some(digits), Some(Some(spread))) = (shown.digits.first(), shown.uncertainties.first())
    {
        return quantity::estimate_ascii(digits, &spread.digits);
    }
    match (&shown.written, shown.digits.first()) {
        (_, Some(digits)) => digits.ascii(),
        (Some(written), None) => written.clone(),
        (None, None) => String::new(),
    }
}

/// The place of a filled number, with the brackets around the components of a vector.
fn with_brackets(text: &str, number: Span) -> Span {
    let (start, end) = (number.start as usize, number.end as usize);
    let before = text[..start].trim_end();
    let after = &text[end..];
    let blanks = after.len() - after.trim_start().len();
    if before.ends_with('(') && after.trim_start().starts_with(')') && number.of(text).contains(',')
    {
        Span::new(before.len() - 1, end + blanks + 1)
    } else {
        number
    }
}

/// The form of an ask that holds no number, if a mark stands there at all.
fn open(text: &str, ask: &Ask) -> Option<Form> {
    let written = ask.span.of(text);
    if !written.starts_with('?') {
        return None;
    }
    let end = match ask.precision {
        Some(_) => written.rfind(" to ").unwrap_or(written.len()),
        None => written.len(),
    };
    let start = ask.span.start as usize;
    Some(Form::Open {
        mark: start,
        end: start + written[..end].trim_end().len(),
        has_unit: ask.unit.is_some() || ask.datum.is_some(),
    })
}

impl AskSite {
    /// Where it stands: what changes when it is filled or emptied lies within.
    pub fn place(&self) -> Span {
        match &self.form {
            Form::Open { mark, end, .. } => Span::new(*mark, *end),
            Form::Filled { number, mark } => number.cover(Span::new(*mark, *mark + 1)),
        }
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

/// The text of a worksheet with every ask answered.
pub fn fill(worksheet: &Worksheet) -> String {
    let edits = worksheet.asks().flat_map(|ask| ask.filling());
    apply(worksheet.source.text(), edits.collect())
}

/// The text of a worksheet with the engine's numbers taken out of its asks.
pub fn unfill(source: &Source) -> String {
    let worksheet = super::compile(source.clone());
    let text = source.text();
    let edits = worksheet.asks().flat_map(|site| site.emptying(text));
    apply(text, edits.collect())
}

/// Applies edits that do not overlap.
fn apply(text: &str, mut edits: Vec<Edit>) -> String {
    edits.sort_by_key(|edit| edit.span);
    let mut out = String::with_capacity(text.len() + 16 * edits.len());
    let mut at = 0;
    for edit in edits {
        let (start, end) = (edit.span.start as usize, edit.span.end as usize);
        // The same ask is never noted twice, but a broken span must not lose text.
        if start < at {
            continue;
        }
        out.push_str(&text[at..start]);
        out.push_str(&edit.text);
        at = end;
    }
    out.push_str(&text[at..]);
    out
}
