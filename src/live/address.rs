//! What stands behind the path of a request: a worksheet or an image below the served folder.
//!
//! In: the path as the browser wrote it, or the names of a file below the folder. Out: an
//! [`Address`], or nothing. Whether there is such a file, and whether links lead it out of the
//! folder, is left to who reads it.

use std::fmt;

use crate::text::coding;

/// The longest path that is looked at, in bytes.
const MOST_BYTES: usize = 2048;

/// The images that are served, with their types.
const IMAGES: [(&str, &str); 7] = [
    ("avif", "image/avif"),
    ("gif", "image/gif"),
    ("jpeg", "image/jpeg"),
    ("jpg", "image/jpeg"),
    ("png", "image/png"),
    ("svg", "image/svg+xml"),
    ("webp", "image/webp"),
];

/// The path of a worksheet or an image below the served folder: names parted by `/`, none of
/// them hidden, none that leads upwards or away.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Address {
    path: String,
    kind: Kind,
}

/// What an address is of.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Kind {
    /// A worksheet.
    Worksheet,
    /// An image, of this type.
    Image(&'static str),
    /// Any other file: a worksheet may read it, and browsers are not sent it.
    Data,
}

impl Kind {
    /// Whether one may stand for the other.
    pub fn is_like(self, other: Self) -> bool {
        match (self, other) {
            (Self::Worksheet, Self::Worksheet)
            | (Self::Image(_), Self::Image(_))
            | (Self::Data, Self::Data) => true,
            (Self::Worksheet | Self::Image(_) | Self::Data, _) => false,
        }
    }
}

impl Address {
    /// The address that a request means. `path` is as the browser wrote it, from its first `/`.
    pub fn requested(path: &str) -> Option<Self> {
        let encoded = path.strip_prefix('/')?;
        if encoded.len() > MOST_BYTES {
            return None;
        }
        // A slash that was written as `%2f` would part names only after they were looked at.
        let names: Option<Vec<String>> = encoded.split('/').map(coding::decoded).collect();
        let names = names?;
        (names.iter().all(|name| !name.contains('/'))).then_some(())?;
        Self::of(&names.join("/"))
    }

    /// The address of a file below the folder, by its names parted by `/`.
    pub fn of(path: &str) -> Option<Self> {
        let names_are_plain = path.split('/').all(is_plain);
        // `/-/` holds what the program itself serves.
        if !names_are_plain || path.starts_with("-/") {
            return None;
        }
        let (kind, path) = (kind(path), path.to_owned());
        Some(Self { path, kind })
    }

    /// The path below the folder, without a `/` before it.
    pub fn path(&self) -> &str {
        &self.path
    }

    /// What it is of.
    pub fn kind(&self) -> Kind {
        self.kind
    }

    /// The path as it stands in an address of the browser, from its first `/`.
    pub fn url(&self) -> String {
        format!("/{}", coding::escaped(&self.path))
    }
}

impl fmt::Display for Address {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        out.write_str(&self.path)
    }
}

/// Whether a name is one below its folder on every system: nothing hidden (`..` is hidden, too),
/// no sign that parts names or names a drive or a stream, no end that a system leaves out; and no
/// copy that an editor leaves of what it saves (`a.md~`).
fn is_plain(name: &str) -> bool {
    let is_sign = |sign: char| sign.is_control() || ['/', '\\', ':'].contains(&sign);
    !name.is_empty()
        && !name.starts_with('.')
        && !name.ends_with(['.', ' ', '~'])
        && !name.contains(is_sign)
}

fn kind(path: &str) -> Kind {
    let (_, ending) = path.rsplit_once('.').unwrap_or_default();
    if ending == "md" {
        return Kind::Worksheet;
    }
    let ending = ending.to_ascii_lowercase();
    let image = IMAGES.iter().find(|(name, _)| *name == ending);
    image.map_or(Kind::Data, |(_, mime)| Kind::Image(mime))
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    fn path(request: &str) -> Option<String> {
        Address::requested(request).map(|address| address.path)
    }

    #[test]
    fn worksheets_and_images_have_addresses() {
        assert_eq!(path("/a.md").as_deref(), Some("a.md"));
        assert_eq!(path("/sub/b%20c.md").as_deref(), Some("sub/b c.md"));
        assert_eq!(path("/%C3%A9.PNG").as_deref(), Some("é.PNG"));
        assert_eq!(
            Address::requested("/p.svg").unwrap().kind(),
            Kind::Image("image/svg+xml")
        );
    }

    #[test]
    fn any_other_file_is_data_which_is_like_no_worksheet() {
        for request in ["/notes.txt", "/md", "/a.html", "/sub/a.md.seal"] {
            let kind = Address::requested(request).unwrap().kind();
            assert_eq!(kind, Kind::Data, "{request}");
            assert!(!kind.is_like(Kind::Worksheet) && kind.is_like(Kind::Data));
        }
    }

    #[test]
    fn what_leads_to_no_file_has_none() {
        for request in ["", "/", "a.md", "//a.md", "/a.md/", "/sub/", "/-/a.md"] {
            assert_eq!(path(request), None, "{request}");
        }
    }

    #[test]
    fn no_path_leads_upwards_or_away() {
        for request in [
            "/../a.md",
            "/sub/../../a.md",
            "/%2e%2e/a.md",
            "/.%2e/a.md",
            "/..%2fa.md",
            "/sub%2fa.md",
            "/..\\a.md",
            "/..%5ca.md",
            "/%252e%252e/a.md/..",
            "/c:/a.md",
            "/a.md%00.png",
            "/%00/a.md",
            "//etc/a.md",
            "/%2fetc/a.md",
            "/.hidden/a.md",
            "/.a.md",
            "/%2ea.md",
            "/a.md:b.md",
            "/a./b.md",
            "/%/a.md",
            "/%4/a.md",
            "/%ff.md",
            "/a%0a.md",
        ] {
            assert_eq!(path(request), None, "{request}");
        }
    }

    #[test]
    fn a_path_is_decoded_once() {
        assert_eq!(path("/%252e.md").as_deref(), Some("%2e.md"));
    }

    proptest! {
        #[test]
        fn no_bytes_lead_out_of_the_folder(request in "/[a.%2eEfF5cC/\\\\:\u{0} -]{0,20}\\.md") {
            if let Some(address) = Address::requested(&request) {
                let mut names = address.path().split('/');
                prop_assert!(names.all(|name| !name.is_empty() && !name.starts_with('.')));
                prop_assert!(!address.path().contains(['\\', ':', '\0']));
            }
        }

        #[test]
        fn an_address_is_found_again_by_its_url(name in "[^./\\\\:\\p{Cc}][^/\\\\:\\p{Cc}]{0,12}x") {
            let address = Address::of(&format!("sub/{name}.md")).unwrap();
            prop_assert_eq!(Address::requested(&address.url()), Some(address));
        }
    }
}
