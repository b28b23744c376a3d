//! What changed in a part.

use super::message::{Holder, Update};
use super::texts;
use crate::page::PartHtml;

/// Notes what changed in the part at `index`: texts where that is all, else the elements of its
/// statements where that is all, else the part.
pub(super) fn note(index: usize, before: &PartHtml, now: &PartHtml, update: &mut Update) {
    let Some(elements) = elements(before, now) else {
        match texts::changed(&before.html, &now.html) {
            Some(texts) => update.texts.push((Holder::Part(index), texts)),
            None => update.parts.push((index, now.html.clone())),
        }
        return;
    };
    for Element { id, old, new } in elements {
        match texts::changed(old, new) {
            Some(texts) => update.texts.push((Holder::Element(id.to_owned()), texts)),
            None => update.elements.push((id.to_owned(), new.to_owned())),
        }
    }
}

/// An element that changed.
struct Element<'p> {
    id: &'p str,
    old: &'p str,
    new: &'p str,
}

/// The elements that differ, when nothing else does: the same elements stand in the same order,
/// and what is between them is the same.
fn elements<'p>(before: &'p PartHtml, now: &'p PartHtml) -> Option<Vec<Element<'p>>> {
    if before.elements.len() != now.elements.len() || before.begins_section != now.begins_section {
        return None;
    }
    let mut changed = Vec::new();
    let (mut end_before, mut end_now) = (0, 0);
    for ((id_before, at_before), (id, at)) in before.elements.iter().zip(&now.elements) {
        let between = before.html.get(end_before..at_before.start);
        if id_before != id || between != now.html.get(end_now..at.start) {
            return None;
        }
        let old = before.html.get(at_before.clone())?;
        let new = now.html.get(at.clone())?;
        if old != new {
            changed.push(Element { id, old, new });
        }
        (end_before, end_now) = (at_before.end, at.end);
    }
    (before.html.get(end_before..) == now.html.get(end_now..)).then_some(changed)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A part of elements `<i id="x">…</i>`, each an id and what it holds, with text between.
    fn part(pieces: &[(&str, &str)], end: &str) -> PartHtml {
        let mut part = PartHtml::default();
        for (id, content) in pieces {
            part.html.push_str("<b/>");
            let start = part.html.len();
            part.html.push_str(content);
            part.elements
                .push(((*id).to_owned(), start..part.html.len()));
        }
        part.html.push_str(end);
        part
    }

    fn changed(before: &PartHtml, now: &PartHtml) -> Option<Vec<String>> {
        let elements = elements(before, now)?;
        Some(
            elements
                .iter()
                .map(|element| format!("{}: {}", element.id, element.new))
                .collect(),
        )
    }

    #[test]
    fn only_the_elements_that_differ_are_told() {
        let before = part(&[("a", "1"), ("b", "2"), ("c", "3")], "end");
        let now = part(&[("a", "1"), ("b", "two"), ("c", "3")], "end");
        assert_eq!(changed(&before, &now).unwrap(), ["b: two"]);
    }

    #[test]
    fn a_part_is_told_whole_when_more_than_its_elements_differ() {
        let before = part(&[("a", "1"), ("b", "2")], "end");
        for now in [
            part(&[("a", "1"), ("c", "2")], "end"),
            part(&[("a", "1")], "end"),
            part(&[("a", "1"), ("b", "2")], "other"),
            part(&[("b", "2"), ("a", "1")], "end"),
        ] {
            assert_eq!(changed(&before, &now), None);
        }
    }
}
