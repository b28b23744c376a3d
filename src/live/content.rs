//! What stands on a live page, part by part, and how browsers are told of a change.

use rustc_hash::FxHashMap;
use serde::Serialize;

use crate::document::Paper;
use crate::page::{self, PartHtml};
use crate::typeset::escape;

/// What stands on a page.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Content {
    /// What it is called.
    pub(super) title: String,
    /// A language tag.
    pub(super) language: String,
    /// What it is printed on.
    pub(super) paper: Paper,
    /// What is wrong with it, in a few words.
    pub(super) state: String,
    /// Its parts in their order, each with an id of its own.
    pub(super) parts: Vec<PartHtml>,
}

/// What browsers are told: which parts are other ones now, and where all of them stand.
#[derive(Serialize)]
struct Message<'c> {
    kind: &'static str,
    version: u64,
    /// The version that a browser has to show; none where all parts are told.
    from: Option<u64>,
    /// The ids of all parts, section by section; none where they stand as before. The first
    /// stand in no section.
    order: Option<Vec<Vec<&'c str>>>,
    /// How many of the sections are laid out only where they are in sight.
    far: usize,
    /// The id and the markup of each part that is another one now.
    parts: Vec<(&'c str, &'c str)>,
    title: &'c str,
    state: &'c str,
    language: &'c str,
    paper: &'static str,
}

impl Content {
    /// What stands on a page that is no worksheet's: its title, and some markup below it.
    pub(super) fn plain(title: &str, html: String, state: String) -> Self {
        let mut header = String::from("<header><h1>");
        escape(title, &mut header);
        header.push_str("</h1></header>\n");
        let part = |id: &str, html: String, begins_section| PartHtml {
            id: format!("part/{id}"),
            html: html.into(),
            begins_section,
        };
        Self {
            title: title.to_owned(),
            language: "en".to_owned(),
            paper: Paper::A4,
            state,
            parts: vec![part("header", header, false), part("below", html, true)],
        }
    }

    /// The message (JSON) that makes this of what a browser shows: of the content `before`, which
    /// is that of the version before, or of anything.
    pub(super) fn message(&self, version: u64, before: Option<&Self>) -> String {
        let order = self.order();
        let stands_as_before = before.is_some_and(|before| before.order() == order);
        let message = Message {
            kind: "parts",
            version,
            from: before.map(|_| version - 1),
            order: (!stands_as_before).then_some(order),
            far: page::far(sections(&self.parts)),
            parts: self.changed(before),
            title: &self.title,
            state: &self.state,
            language: &self.language,
            paper: paper(self.paper),
        };
        // Strings, numbers and lists of them are always JSON.
        serde_json::to_string(&message).unwrap_or_default()
    }

    /// The ids of the parts: first those in no section, then section by section.
    fn order(&self) -> Vec<Vec<&str>> {
        let mut order = vec![Vec::new()];
        for part in &self.parts {
            if part.begins_section {
                order.push(Vec::new());
            }
            order
                .last_mut()
                .into_iter()
                .for_each(|ids| ids.push(&*part.id));
        }
        order
    }

    /// The parts that are other ones than before, each with its id.
    fn changed(&self, before: Option<&Self>) -> Vec<(&str, &str)> {
        let before = before.into_iter().flat_map(Self::pairs);
        let before: FxHashMap<&str, &str> = before.collect();
        let is_other = |(id, html): &(&str, &str)| before.get(id) != Some(html);
        self.pairs().filter(is_other).collect()
    }

    fn pairs(&self) -> impl Iterator<Item = (&str, &str)> {
        let parts = self.parts.iter();
        parts.map(|part| (part.id.as_str(), &*part.html))
    }
}

/// How many sections there are.
pub(super) fn sections(parts: &[PartHtml]) -> usize {
    parts.iter().filter(|part| part.begins_section).count()
}

/// The paper as it is told to browsers.
pub(super) fn paper(paper: Paper) -> &'static str {
    match paper {
        Paper::A4 => "A4",
        Paper::Letter => "letter",
    }
}
