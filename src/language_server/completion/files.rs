//! Files beside the worksheet, and what stands in other worksheets.

use lsp_types::CompletionItemKind;

use super::super::documents::Document;
use super::wishes::{Wish, Wishes};
use super::{Offer, Place};
use crate::pictures;
use crate::syntax::tokens::typed;
use crate::text::{BlockKind, Source, coding};
use crate::worksheet::{self, Worksheet};

/// In its own symbols a problem has this number, and 0 is what all problems share.
const OWN: usize = 1;

/// Which files are meant.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Of {
    /// Worksheets.
    Worksheets,
    /// Tables.
    Tables,
    /// Pictures, by their addresses in Markdown.
    Pictures,
}

/// What may follow where a file, or something in one, is named: `file "…"`, `rho = rho of "…"`.
/// `after` is the rest of the line.
pub(super) fn wishes<'a>(kind: BlockKind, before: &'a str, after: &'a str) -> Option<Wishes<'a>> {
    let mut parts: Vec<&str> = before.split('"').collect();
    let written = parts.pop().unwrap_or("");
    if parts.len() % 2 == 1 {
        let word = parts.last()?.split_whitespace().next_back();
        let wish = match (kind, word) {
            (BlockKind::Data, Some("file")) => Wish::Files(Of::Tables),
            (BlockKind::Given, Some("of")) => Wish::Files(Of::Worksheets),
            (BlockKind::Given, Some("under")) => Wish::ProblemsOf(parts.get(1)?),
            // Words of other kinds are anybody's.
            _ => return Some(Wishes::default()),
        };
        return Some(Wishes::new(written, vec![wish]));
    }
    let typed_now = typed(before);
    let is_value = before[..before.len() - typed_now.len()]
        .trim_end()
        .ends_with('=');
    let path = after.trim_start_matches(|letter: char| letter.is_alphanumeric() || letter == '_');
    let path = path
        .trim_start()
        .strip_prefix("of")?
        .trim_start()
        .strip_prefix('"')?;
    let path = path.split('"').next()?;
    (kind == BlockKind::Given && is_value)
        .then(|| Wishes::new(typed_now, vec![Wish::NamesOf(path)]))
}

/// The files beside the worksheet, and the folders; what is typed may begin with a folder.
pub(super) fn files(place: Place<'_>, of: Of) -> Vec<Offer> {
    let folder = place
        .typed
        .rsplit_once('/')
        .map_or("", |(folder, _)| folder);
    let beside = place.document.beside();
    let listed = beside.read(&format!("{folder}/"));
    let Ok((names, _)) = &*listed else {
        return Vec::new();
    };
    let names = String::from_utf8_lossy(names);
    let own = beside.worksheet();
    let is_wanted = |name: &&str| match (of, name.rsplit_once('.')) {
        _ if name.ends_with('/') => true,
        (Of::Worksheets, Some((_, "md"))) => !folder.is_empty() || *name != own,
        (Of::Worksheets, _) => false,
        (Of::Tables, Some((_, "md" | "html" | "seal" | "tex"))) => false,
        (Of::Tables, _) => true,
        (Of::Pictures, Some((_, ending))) => {
            let ending = ending.to_ascii_lowercase();
            pictures::ENDINGS.contains(&ending.as_str())
        }
        (Of::Pictures, None) => false,
    };
    let offer = |name: &str| {
        let kind = match name.ends_with('/') {
            true => CompletionItemKind::FOLDER,
            false => CompletionItemKind::FILE,
        };
        let path = match folder {
            "" => name.to_owned(),
            folder => format!("{folder}/{name}"),
        };
        let written = match of {
            Of::Pictures => coding::escaped(&path),
            Of::Worksheets | Of::Tables => path,
        };
        Offer::new(kind, usize::from(name.ends_with('/')), written)
    };
    names.lines().filter(is_wanted).map(offer).collect()
}

/// Another worksheet, compiled with what it takes itself.
fn compiled(document: &Document, path: &str) -> Option<Worksheet> {
    let beside = document.beside();
    let contents = beside.read(path);
    let (bytes, _) = (*contents).as_ref().ok()?;
    let text = String::from_utf8(bytes.clone()).ok()?;
    let beside = document.beside_of(path);
    Some(worksheet::compile_beside(Source::new(path, text), &beside))
}

/// The names that another worksheet defines, in whichever problem.
pub(super) fn names(place: Place<'_>, path: &str) -> Vec<Offer> {
    let Some(other) = compiled(place.document, path) else {
        return Vec::new();
    };
    let mut offers = Vec::new();
    for placed in &other.problems {
        let symbols = &placed.problem.symbols;
        let offer = |kind: CompletionItemKind| move |key: &str| Offer::new(kind, 0, key);
        let quantities = symbols.keys(OWN, None).into_iter();
        offers.extend(quantities.map(offer(CompletionItemKind::VARIABLE)));
        let functions = symbols.function_keys(OWN).into_iter();
        offers.extend(functions.map(offer(CompletionItemKind::FUNCTION)));
    }
    offers
}

/// The titles of the problems of another worksheet.
pub(super) fn problems(place: Place<'_>, path: &str) -> Vec<Offer> {
    let Some(other) = compiled(place.document, path) else {
        return Vec::new();
    };
    let titles = other
        .problems
        .iter()
        .filter_map(|placed| placed.problem.title.clone());
    titles
        .map(|title| Offer::new(CompletionItemKind::REFERENCE, 0, title))
        .collect()
}
