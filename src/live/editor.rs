//! The address at which an editor is asked to show a line: of a scheme that it registered with the
//! system.

use super::Address;
use crate::text::coding;

/// Schemes that browsers keep for themselves.
const OF_BROWSERS: [&str; 9] = [
    "about",
    "blob",
    "data",
    "file",
    "filesystem",
    "http",
    "https",
    "javascript",
    "view-source",
];

/// An editor that is asked to show a line.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Editor {
    address: String,
    /// The path of the folder of the worksheets, as it stands in an address.
    folder: String,
}

impl Editor {
    /// An editor by the address that opens it, in which `{file}` and `{line}` stand for what is to
    /// be shown; `None` where it is no such address. `folder` is the path of the worksheets.
    pub fn new(address: &str, folder: &str) -> Option<Self> {
        let (scheme, _) = address.split_once(':')?;
        let mut letters = scheme.chars();
        let is_scheme = letters.next()?.is_ascii_alphabetic()
            && letters.all(|letter| letter.is_ascii_alphanumeric() || "+.-".contains(letter));
        let scheme = scheme.to_ascii_lowercase();
        let is_one = is_scheme
            && !OF_BROWSERS.contains(&scheme.as_str())
            && address.contains("{file}")
            && !address.contains(|letter: char| letter.is_whitespace() || letter.is_control());
        is_one.then(|| Self {
            address: address.to_owned(),
            folder: coding::escaped(folder),
        })
    }

    /// The address that shows a line of a worksheet.
    pub(super) fn at(&self, worksheet: &Address, line: usize) -> String {
        let file = format!("{}{}", self.folder, worksheet.url());
        let address = self.address.replace("{line}", &line.to_string());
        address.replace("{file}", &file)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_editor_is_sent_to_a_line_of_a_file() {
        let editor = Editor::new("edit://open?file={file}&line={line}", "/home/a b").unwrap();
        let worksheet = Address::of("sub/pump &c.md").unwrap();
        assert_eq!(
            editor.at(&worksheet, 14),
            "edit://open?file=/home/a%20b/sub/pump%20%26c.md&line=14"
        );
    }

    #[test]
    fn what_a_browser_would_open_itself_is_no_editor() {
        for address in [
            "{file}",
            "edit://open",
            "javascript:alert('{file}')",
            "JavaScript:alert('{file}')",
            "https://a.example/{file}",
            "file://{file}",
            "edit now:{file}",
            "1edit:{file}",
            "edit:{file} {line}",
        ] {
            assert_eq!(Editor::new(address, "/a"), None, "{address}");
        }
    }
}
