//! The page around a live worksheet, or around the index: the finished page with a script and one
//! line that says how things stand.

use std::fmt::Write;

use super::content::{self, Content};
use super::sheet::Place;
use crate::page::{self, PartHtml};
use crate::typeset::escape;

/// The look of what the finished page does not have. The parts are no boxes of their own, so that
/// what is in them stands as on the finished page.
const STYLE: &str = include_str!("client/live.css");
const STYLE_HASH: &str = "ak8mhfjZSQiWQFeEYJtCx5/QvtAQMJTa3kO6uQZJEQs=";

/// The page that shows this content.
pub(super) fn page(content: &Content, version: u64, place: &Place) -> String {
    let size: usize = content.parts.iter().map(|part| part.html.len() + 64).sum();
    let mut out = String::with_capacity(size + (1 << 19));
    out.push_str("<!DOCTYPE html>\n<html");
    let version = version.to_string();
    for (name, value) in [
        ("lang", content.language.as_str()),
        ("data-paper", content::paper(content.paper)),
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
    escape(&content.title, &mut out);
    out.push_str("</title>\n");
    // First, so that all other rules are stronger, as on the finished page.
    out.push_str("<style>");
    out.push_str(STYLE);
    out.push_str("</style>\n");
    page::styles(content.paper, &mut out);
    out.push_str(
        "<script src=\"/-/idiomorph.js\" defer=\"defer\"></script>\n\
         <script src=\"/-/live.js\" type=\"module\"></script>\n</head>\n<body>\n<main>\n",
    );
    main(&content.parts, &mut out);
    out.push_str("</main>\n");
    out.push_str(&page::footer());
    out.push_str("<p class=\"state\" role=\"status\">");
    escape(&content.state, &mut out);
    out.push_str("</p>\n</body>\n</html>\n");
    out
}

/// Appends what stands in `main`: each part in an element that is no box, in its section.
fn main(parts: &[PartHtml], out: &mut String) {
    let far = page::far(content::sections(parts));
    let mut begun = 0;
    let mut end = "";
    for part in parts {
        if part.begins_section {
            out.push_str(end);
            out.push_str(match begun < far {
                true => "<section class=\"far\">\n",
                false => "<section>\n",
            });
            begun += 1;
            end = "</section>\n";
        }
        out.push_str("<div class=\"part\" id=\"");
        escape(&part.id, out);
        out.push_str("\">");
        out.push_str(&part.html);
        out.push_str("</div>\n");
    }
    out.push_str(end);
}

/// The sources of all style sheets of live pages, as a security policy names them.
pub(super) fn style_sources() -> String {
    format!(
        "{} 'sha256-{STYLE_HASH}'",
        page::style_sources().trim_start()
    )
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::document::Paper;
    use crate::text::Hash;

    fn part(id: &str, begins_section: bool) -> PartHtml {
        PartHtml {
            id: id.to_owned(),
            html: format!("<p>{id}</p>").into(),
            begins_section,
        }
    }

    #[test]
    fn the_policy_names_the_hash_of_the_style_sheet() {
        let digest = Hash::of(STYLE.as_bytes()).base64();
        assert_eq!(STYLE_HASH, digest, "put this into STYLE_HASH");
        assert!(style_sources().contains(&digest));
        assert!(!STYLE.contains(['<', '&']));
    }

    #[test]
    fn the_page_is_well_formed_and_carries_what_its_script_needs() {
        let content = Content {
            title: "Pump & sump".to_owned(),
            language: "en".to_owned(),
            paper: Paper::Letter,
            state: "1 line refused".to_owned(),
            parts: vec![part("a", false), part("b", true), part("c", true)],
        };
        let place = Place {
            follow: "/-/follow/a \"b\".md".to_owned(),
            run: "r1".to_owned(),
        };
        let html = page(&content, 7, &place);
        let document = roxmltree::Document::parse(html.strip_prefix("<!DOCTYPE html>").unwrap());
        let document = document.unwrap();
        let root = document.root_element();
        assert_eq!(root.attribute("data-follow"), Some("/-/follow/a \"b\".md"));
        assert_eq!(root.attribute("data-version"), Some("7"));
        assert!(html.contains("@page{size:letter}"));
        assert!(html.contains(
            "<main>\n<div class=\"part\" id=\"a\"><p>a</p></div>\n\
             <section>\n<div class=\"part\" id=\"b\"><p>b</p></div>\n</section>\n\
             <section>\n<div class=\"part\" id=\"c\"><p>c</p></div>\n</section>\n</main>"
        ));
        assert!(html.contains("have the results checked"));
        assert!(html.contains(">1 line refused</p>"));
    }
}
