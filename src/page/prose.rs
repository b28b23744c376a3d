//! Prose with what was asked for in it.

use super::tree::{Block, Manner, Picture, Set, Text};
use super::{Page, notice};
use crate::document::{self, Block as Markdown, Inline};
use crate::resolve::{Expr, ExprKind, SymbolId};
use crate::text::Series;
use crate::typeset;
use crate::worksheet::{self, Anchor, Filled, Replacement, Shown, Value};

/// A text of the author.
pub(super) fn text(page: &Page, content: &[Inline<Filled>]) -> Text {
    Text(document::text_filled(content, &mut |filled| {
        Inline::other(set(page, filled))
    }))
}

/// Markdown of the author.
pub(super) fn blocks(page: &Page, content: &[Markdown<Filled>]) -> Vec<Block> {
    document::blocks_filled(content, &mut |filled| Inline::other(set(page, filled)))
        .into_iter()
        .map(Block::Markdown)
        .collect()
}

fn set(page: &Page, filled: &Filled) -> Set {
    match filled {
        Filled::Reference {
            series,
            number,
            target,
            text,
        } => {
            let number = match number {
                Some(number) => page.equation(*number),
                None => page.placed.number_at(target).unwrap_or_default(),
            };
            reference(page, *series, number, target, text.as_deref())
        }
        Filled::Figure(picture) => Set::Picture(Box::new(figure(page, picture))),
        Filled::Value(value) => self::value(page, value),
        Filled::Failed { span, needs } => {
            let mut text = Text::default();
            text.code(page.slice(*span));
            text.say(" (");
            notice::brief(page, *span, needs, &mut text);
            text.say(")");
            Set::Span(Manner::Failed, text)
        }
    }
}

fn figure(page: &Page, picture: &worksheet::Picture) -> Picture {
    let number = page.placed.number_at(&picture.id).unwrap_or_default();
    let mut caption = Text::default();
    caption.strong(&format!("{}.", Series::Figure.reference(number)));
    let ends = picture.caption.ends_with(['.', '?', '!']);
    let stop = if ends { "" } else { "." };
    caption.say(format!(" {}{stop}", picture.caption));
    Picture {
        id: page.anchor(&picture.id),
        image: picture.image.clone(),
        caption,
    }
}

/// "(3)" or "Table 3", after the author's own words where there are any.
fn reference(
    page: &Page,
    series: Series,
    number: usize,
    target: &Anchor,
    text: Option<&str>,
) -> Set {
    let id = page.anchor(target);
    if series == Series::Equation {
        let words = text.unwrap_or_default().to_owned();
        return Set::Cited { id, words, number };
    }
    let words = text.map_or(String::new(), |text| format!("{text}\u{a0}"));
    Set::To(id, Text::new(words + &series.reference(number)))
}

fn value(page: &Page, value: &Value) -> Set {
    let mut text = Text::default();
    match &value.lead {
        // A name and its value stay on one line; a longer formula may break at its signs.
        Some(lead) => match is_short(lead) {
            true => {
                let name = typeset::math(lead, &page.context);
                let named = typeset::named(name, &value.shown);
                text.span(Manner::Value, named.into());
            }
            false => {
                let context = page.context.in_line();
                text.formula(typeset::equality(lead, &value.shown, &context));
            }
        },
        None => text.span(Manner::Value, typeset::value(&value.shown).into()),
    }
    conditions(page, &value.conditions, &mut text);
    Set::Words(text)
}

/// Whether an expression is a name, a component, or the magnitude or direction of a name.
fn is_short(expr: &Expr) -> bool {
    match &expr.kind {
        ExprKind::Symbol(_) | ExprKind::Component(..) => true,
        ExprKind::Group(inner) | ExprKind::Abs(inner) => is_short(inner),
        ExprKind::Call { arguments, .. } => {
            matches!(arguments.as_slice(), [only] if only.inside().as_symbol().is_some())
        }
        _ => false,
    }
}

/// " at Q = 40 L/s, H = 3 m", after a result with replaced givens.
pub(super) fn conditions<'a>(
    page: &Page,
    conditions: impl IntoIterator<Item = &'a (SymbolId, Replacement)>,
    text: &mut Text,
) {
    replaced(page, " at ", conditions, text);
}

/// The same behind other words.
pub(super) fn replaced<'a>(
    page: &Page,
    opening: &str,
    conditions: impl IntoIterator<Item = &'a (SymbolId, Replacement)>,
    text: &mut Text,
) {
    for (index, (symbol, replacement)) in conditions.into_iter().enumerate() {
        text.say(if index == 0 { opening } else { ", " });
        match replacement {
            Replacement::Value(shown) => equals(page, *symbol, shown, text),
            Replacement::Formula(formula) => {
                text.formula(typeset::symbol(*symbol, &page.context));
                text.say("\u{2060}");
                text.formula(typeset::side("=", formula, &page.context.in_line()).0);
            }
        }
    }
}

/// "Q = 40 L/s", with no place to break between.
pub(super) fn equals(page: &Page, symbol: SymbolId, shown: &Shown, text: &mut Text) {
    let name = typeset::symbol(symbol, &page.context);
    text.formula(typeset::named(name, shown));
}
