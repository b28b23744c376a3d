//! What a browser is told about a worksheet, as JSON.

use serde::ser::SerializeMap;
use serde::{Serialize, Serializer};

use super::texts::Texts;

/// Parts that are taken away and put in: at which part, how many are taken away, and those that
/// are put in, each with whether it begins a section.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub(super) struct Splice(pub usize, pub usize, pub Vec<(bool, String)>);

/// What holds texts.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(untagged)]
pub(super) enum Holder {
    /// The element with this id.
    Element(String),
    /// A part.
    Part(usize),
}

/// What changed since the version before. The splice comes first.
#[derive(Debug, Default, PartialEq)]
pub(super) struct Update {
    pub(super) version: u64,
    pub(super) splice: Option<Splice>,
    pub(super) texts: Vec<(Holder, Texts)>,
    pub(super) elements: Vec<(String, String)>,
    pub(super) parts: Vec<(usize, String)>,
    pub(super) head: Option<String>,
    pub(super) title: Option<String>,
    pub(super) state: String,
    /// Whether the page names other files than before; not told.
    pub(super) has_other_files: bool,
}

impl Update {
    /// Bytes of markup.
    pub(super) fn size(&self) -> usize {
        let spliced = self.splice.iter().flat_map(|splice| &splice.2);
        let elements = self.elements.iter().map(|(_, html)| html.len());
        let parts = self.parts.iter().map(|(_, html)| html.len());
        elements.chain(parts).sum::<usize>() + spliced.map(|(_, html)| html.len()).sum::<usize>()
    }
}

impl Serialize for Update {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        let mut map = serializer.serialize_map(None)?;
        map.serialize_entry("kind", "parts")?;
        map.serialize_entry("version", &self.version)?;
        map.serialize_entry("from", &(self.version - 1))?;
        map.serialize_entry("splice", &self.splice)?;
        map.serialize_entry("texts", &self.texts)?;
        map.serialize_entry("elements", &self.elements)?;
        map.serialize_entry("parts", &self.parts)?;
        map.serialize_entry("head", &self.head)?;
        map.serialize_entry("title", &self.title)?;
        map.serialize_entry("state", &self.state)?;
        map.end()
    }
}

/// Everything.
#[derive(Debug, Serialize)]
pub(super) struct Whole<'s> {
    pub(super) kind: &'static str,
    pub(super) version: u64,
    pub(super) main: &'s str,
    pub(super) title: &'s str,
    pub(super) state: &'s str,
    pub(super) language: &'s str,
    pub(super) paper: &'static str,
}

/// A message as it is sent.
pub(super) fn json(message: &impl Serialize) -> String {
    // Strings, numbers and lists of them are always JSON.
    serde_json::to_string(message).unwrap_or_default()
}
