//! The page around a live worksheet, or around the index: the finished page with a script and one
//! line that says how things stand.

use std::fmt::Write;

use super::sheet::Place;
use crate::document::Paper;
use crate::page::{self, PartHtml};
use crate::typeset::escape;

/// The look of what the finished page does not have. The parts are no boxes of their own, so that
/// what is in them stands as on the finished page.
const STYLE: &str = include_str!("client/live.css");
const STYLE_HASH: &str = "wV5adM1wPGQ81cFyXS6Q8eySo5S1/G2Lc5KL9iNNWgk=";

/// What a page says of itself.
#[derive(Debug, Clone, Copy)]
pub(super) struct Shell<'s> {
    /// What it is called.
    pub(super) title: &'s str,
    /// A language tag.
    pub(super) language: &'s str,
    /// What it is printed on.
    pub(super) paper: Paper,
    /// What is wrong with it, in a few words.
    pub(super) state: &'s str,
    /// Which version of its text it shows.
    pub(super) version: u64,
}

/// A page around `main`.
pub(super) fn page(shell: &Shell, main: &str, place: &Place) -> String {
    let mut out = String::with_capacity(main.len() + (1 << 19));
    out.push_str("<!DOCTYPE html>\n<html");
    let version = shell.version.to_string();
    for (name, value) in [
        ("lang", shell.language),
        ("data-paper", paper(shell.paper)),
        ("data-follow", &place.follow),
        ("data-run", &place.run),
        ("data-version", &version),
    ] {
        // Writing to a string cannot fail.
        let _ = write!(out, " {name}=\"");
        escape(value, &mut out);
        out.push('"');
    }
    out.push_str(
        ">\n<head>\n<meta charset=\"utf-8\"/>\n\
         <meta name=\"viewport\" content=\"width=device-width, initial-scale=1\"/>\n\
         <link rel=\"icon\" href=\"data:,\"/>\n<title>",
    );
    escape(shell.title, &mut out);
    out.push_str("</title>\n");
    // First, so that all other rules are stronger, as on the finished page.
    out.push_str("<style>");
    out.push_str(STYLE);
    out.push_str("</style>\n");
    page::styles(shell.paper, &mut out);
    out.push_str(
        "<script src=\"/-/idiomorph.js\" defer=\"defer\"></script>\n\
         <script src=\"/-/live.js\" type=\"module\"></script>\n</head>\n<body>\n<main>\n",
    );
    out.push_str(main);
    out.push_str("</main>\n");
    out.push_str(&page::footer());
    out.push_str("<p class=\"state\" role=\"status\">");
    escape(shell.state, &mut out);
    out.push_str("</p>\n</body>\n</html>\n");
    out
}

/// Appends what stands in the `main` of a worksheet: each part in an element that is no box.
pub(super) fn main<'p>(
    head: &str,
    parts: impl IntoIterator<Item = &'p PartHtml>,
    out: &mut String,
) {
    out.push_str("<div class=\"part\" data-part=\"head\">");
    out.push_str(head);
    out.push_str("</div>\n<section>\n");
    for (index, part) in parts.into_iter().enumerate() {
        if part.begins_section {
            out.push_str("</section>\n<section>\n");
        }
        let _ = write!(out, "<div class=\"part\" data-part=\"{index}\">");
        out.push_str(&part.html);
        out.push_str("</div>\n");
    }
    out.push_str("</section>\n");
}

/// The sources of all style sheets of live pages, as a security policy names them.
pub(super) fn style_sources() -> String {
    format!(
        "{} 'sha256-{STYLE_HASH}'",
        page::style_sources().trim_start()
    )
}

/// The paper as it is told to browsers.
pub(super) fn paper(paper: Paper) -> &'static str {
    match paper {
        Paper::A4 => "A4",
        Paper::Letter => "letter",
    }
}

#[cfg(test)]
mod tests {
    use base64::Engine;
    use sha2::Digest;

    use super::*;

    #[test]
    fn the_policy_names_the_hash_of_the_style_sheet() {
        let digest = sha2::Sha256::digest(STYLE.as_bytes());
        let digest = base64::engine::general_purpose::STANDARD.encode(digest);
        assert_eq!(STYLE_HASH, digest, "put this into STYLE_HASH");
        assert!(style_sources().contains(&digest));
        assert!(!STYLE.contains(['<', '&']));
    }

    #[test]
    fn the_page_is_well_formed_and_carries_what_its_script_needs() {
        let shell = Shell {
            title: "Pump & sump",
            language: "en",
            paper: Paper::Letter,
            state: "1 line refused",
            version: 7,
        };
        let place = Place {
            follow: "/-/follow/a \"b\".md".to_owned(),
            run: "r1".to_owned(),
        };
        let html = page(&shell, "<p>text</p>\n", &place);
        let document = roxmltree::Document::parse(html.strip_prefix("<!DOCTYPE html>").unwrap());
        let document = document.unwrap();
        let root = document.root_element();
        assert_eq!(root.attribute("data-follow"), Some("/-/follow/a \"b\".md"));
        assert_eq!(root.attribute("data-version"), Some("7"));
        assert!(html.contains("@page{size:letter}"));
        assert!(html.contains("<main>\n<p>text</p>\n</main>"));
        assert!(html.contains("have the results checked"));
        assert!(html.contains(">1 line refused</p>"));
    }
}
