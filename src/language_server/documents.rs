//! Documents under edit.
//!
//! In go the client's edits, out comes the worksheet. Edits are
//! applied at once; a worksheet is compiled when somebody looks at it.

use std::path::Path;
use std::sync::Arc;

use lsp_types::{TextDocumentContentChangeEvent, TextDocumentItem, Uri};

use super::names::Names;
use super::places::{Encoding, Lines, Places, Text};
use crate::text::{Beside, Files, MAX_BYTES, NoFiles};
use crate::worksheet::{Placed, Session, Worksheet};

/// One document.
#[derive(Debug)]
pub(super) struct Document {
    /// Its address.
    pub uri: Uri,
    /// The client's number of its text.
    pub version: i32,
    encoding: Encoding,
    /// The text as it stands in the editor, which the session may not have seen yet.
    text: String,
    lines: Lines,
    folders: Folders,
    session: Session,
    is_behind: bool,
}

/// The files in the folder of a worksheet.
pub type Folders = fn(&Path) -> Arc<dyn Files>;

impl Document {
    /// Takes a document that was opened.
    pub fn open(item: TextDocumentItem, encoding: Encoding, folders: Folders) -> Self {
        Self {
            session: session(&item.uri, folders),
            folders,
            uri: item.uri,
            version: item.version,
            encoding,
            lines: Lines::of(&item.text),
            text: item.text,
            is_behind: true,
        }
    }

    /// Applies edits in their order; each is placed in the text that those before it left.
    pub fn edit(&mut self, version: i32, changes: Vec<TextDocumentContentChangeEvent>) {
        self.version = version;
        self.is_behind = true;
        for change in changes {
            match change.range {
                Some(range) => {
                    let file = self.file();
                    let (start, end) = (file.offset(range.start), file.offset(range.end));
                    let (start, end) = (start.min(end), start.max(end));
                    self.text.replace_range(start..end, &change.text);
                }
                None => self.text = change.text,
            }
            self.lines = Lines::of(&self.text);
        }
    }

    /// Compiles the text as it stands now.
    pub fn compile(&mut self) {
        let text = if self.is_too_large() { "" } else { &self.text };
        self.session.update(text);
        self.is_behind = false;
    }

    /// Takes the text for an empty worksheet until the next edit, and forgets what was remembered.
    pub fn give_up(&mut self) {
        self.session = session(&self.uri, self.folders);
        self.is_behind = false;
    }

    /// Whether the text is longer than worksheets may be; it is then taken for an empty one.
    pub fn is_too_large(&self) -> bool {
        self.text.len() > MAX_BYTES
    }

    /// Whether the text was edited since it was compiled.
    pub fn is_behind(&self) -> bool {
        self.is_behind
    }

    /// Where the files beside it are read from.
    pub fn folders(&self) -> Folders {
        self.folders
    }

    /// The files beside it, as they are now.
    pub fn beside(&self) -> Beside {
        self.beside_of(&name(&self.uri))
    }

    /// The files beside a worksheet in its folder or below.
    pub fn beside_of(&self, path: &str) -> Beside {
        Beside::new(folder(&self.uri, self.folders), path)
    }

    /// The compiled worksheet.
    pub fn worksheet(&self) -> &Worksheet {
        self.session.worksheet()
    }

    /// The text as it stands in the editor.
    pub fn text(&self) -> &str {
        &self.text
    }

    /// The text that the worksheet was compiled from.
    pub fn compiled_text(&self) -> &str {
        self.session.text()
    }

    /// The text with its lines.
    pub fn file(&self) -> Text<'_> {
        Text {
            text: &self.text,
            lines: &self.lines,
            encoding: self.encoding,
        }
    }

    /// The way between positions of the client and places of the worksheet.
    pub fn places(&self) -> Places<'_> {
        Places {
            file: self.file(),
            source: &self.worksheet().source,
        }
    }

    /// The problem that a byte of the text belongs to.
    pub fn problem_at(&self, offset: usize) -> &Placed {
        self.worksheet().problem_at(offset as u32)
    }

    /// Which name stands where.
    pub fn names(&self) -> Names<'_> {
        Names {
            worksheet: self.worksheet(),
        }
    }
}

fn session(uri: &Uri, folders: Folders) -> Session {
    Session::beside(name(uri), folder(uri, folders), "")
}

/// The folder in which a document stands; none for one that is no file.
fn folder(uri: &Uri, folders: Folders) -> Arc<dyn Files> {
    let is_file = uri.scheme().is_some_and(|scheme| scheme.as_str() == "file");
    let path = uri.path().as_estr().decode().into_string();
    let folder = path
        .ok()
        .filter(|_| is_file)
        .map(|path| folders(Path::new(&*path)));
    folder.unwrap_or(Arc::new(NoFiles))
}

/// What messages call a document: the last part of its address.
fn name(uri: &Uri) -> String {
    let path = uri.as_str();
    path.rsplit('/').next().unwrap_or(path).to_owned()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::language_server::fixture;
    use lsp_types::{Position, Range};

    fn change(from: (u32, u32), to: (u32, u32), text: &str) -> TextDocumentContentChangeEvent {
        TextDocumentContentChangeEvent {
            range: Some(Range::new(
                Position::new(from.0, from.1),
                Position::new(to.0, to.1),
            )),
            range_length: None,
            text: text.to_owned(),
        }
    }

    fn symbols(document: &Document) -> usize {
        document.worksheet().problems[0].problem.symbols.len()
    }

    fn edited(text: &str, changes: Vec<TextDocumentContentChangeEvent>) -> String {
        let mut document = fixture::document(text);
        document.edit(2, changes);
        document.text().to_owned()
    }

    #[test]
    fn each_edit_is_placed_in_the_text_that_those_before_it_left() {
        let changes = vec![change((0, 0), (0, 0), "x\n"), change((1, 1), (1, 2), "")];
        assert_eq!(edited("abc", changes), "x\nac");
    }

    #[test]
    fn edits_past_the_end_are_edits_at_the_end() {
        assert_eq!(
            edited("ab\r\nc", vec![change((0, 9), (0, 9), "!")]),
            "ab!\r\nc"
        );
        assert_eq!(
            edited("ab\r\nc", vec![change((7, 0), (9, 9), "!")]),
            "ab\r\nc!"
        );
        assert_eq!(edited("ab", vec![change((0, 2), (0, 1), "!")]), "a!");
    }

    #[test]
    fn characters_are_counted_in_the_encoding_of_the_client() {
        assert_eq!(edited("😀b", vec![change((0, 2), (0, 3), "c")]), "😀c");
        // Half of a character is its start.
        assert_eq!(edited("😀b", vec![change((0, 1), (0, 3), "c")]), "c");
    }

    #[test]
    fn an_edit_without_a_range_is_the_whole_text() {
        let whole = TextDocumentContentChangeEvent {
            range: None,
            range_length: None,
            text: "new".to_owned(),
        };
        assert_eq!(
            edited("old", vec![whole, change((0, 3), (0, 3), "er")]),
            "newer"
        );
    }

    #[test]
    fn names_and_results_follow_the_edits() {
        let mut document = fixture::document("```given\na = 2 m\n```\n");
        assert_eq!(document.names().all().len(), 2);
        document.edit(2, vec![change((2, 0), (2, 0), "b = 3 m\n")]);
        assert!(document.is_behind());
        document.compile();
        assert!(!document.is_behind());
        assert_eq!(document.names().all().len(), 4);
        assert_eq!(symbols(&document), 2);
    }

    #[test]
    fn a_document_that_was_given_up_is_compiled_at_the_next_edit() {
        let mut document = fixture::document("```given\na = 2 m\n```\n");
        document.give_up();
        assert_eq!(symbols(&document), 0);
        assert_eq!(document.names().all().len(), 0);
        document.edit(2, vec![change((1, 0), (1, 1), "b")]);
        document.compile();
        assert_eq!(symbols(&document), 1);
    }

    #[test]
    fn a_text_that_is_too_large_is_an_empty_worksheet() {
        let document = fixture::document(&"a\n".repeat(MAX_BYTES / 2 + 1));
        assert!(document.is_too_large());
        assert_eq!(document.worksheet().parts().count(), 0);
        assert_eq!(document.names().all().len(), 0);
    }
}
