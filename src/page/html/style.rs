//! The style sheets of the page and the security policy that allows them by their hashes.

use crate::document::Paper;
use crate::text::Hash;

/// The look of the page.
const STYLE: &str = include_str!("style.css");
const STYLE_HASH: &str = "U3+/jWPqWGHti5Jf73dRVyZD0eztOBaC02qfYjLNsTY=";

/// The fonts, as written by `fonts/embed.py`.
const FONTS: &str = include_str!("../fonts/fonts.css");
const FONTS_HASH: &str = "tMoIIo2AgDDqgHv8ns/z5VHgOmC4K88p911J6kENkbI=";

const A4: &str = "@page{size:A4}";
const A4_HASH: &str = "J0QtAiiEpEUsf09R/1avPPOsAsmsE+Y0yEA2DkpJIQo=";

const LETTER: &str = "@page{size:letter}";
const LETTER_HASH: &str = "OVNI1OgnUL8ZHvSOG2sbUGjCHKERfkICRlKdsU542L4=";

/// Appends the `meta` element with the security policy: no network, no script, no form. `own` is
/// the style sheet that the page has for itself.
pub(super) fn policy(paper: Paper, own: &str, out: &mut String) {
    out.push_str(
        "<meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'none'; style-src",
    );
    for hash in [STYLE_HASH, FONTS_HASH, sheet(paper).1] {
        source(hash, out);
    }
    source(&Hash::of(own.as_bytes()).base64(), out);
    out.push_str(
        "; font-src data:; img-src data: 'self'; base-uri 'none'; form-action 'none'\"/>\n",
    );
}

/// What stands at the head of each sheet of paper but the first: the title, and the author.
pub(super) fn running_heads(title: &str, author: Option<&str>) -> String {
    let mut out = String::from("@page{");
    let corners = [("left", Some(title)), ("right", author)];
    for (corner, words) in corners {
        if let Some(words) = words.filter(|words| !words.is_empty()) {
            out.push_str(&format!("@top-{corner}{{content:\""));
            words.chars().for_each(|letter| string(letter, &mut out));
            out.push_str("\"}");
        }
    }
    out.push_str("}@page :first{@top-left{content:none}@top-right{content:none}}");
    out
}

/// What stands at the foot of each sheet of paper: these words, and which sheet it is.
pub(super) fn foot(words: &str) -> String {
    let mut out = String::from("@page{@bottom-center{content:none}@bottom-left{content:\"");
    words.chars().for_each(|letter| string(letter, &mut out));
    out.push_str("\"}@bottom-right{content:\"page \" counter(page) \" of \" counter(pages)}}");
    out
}

/// A letter in a string of a style sheet inside of HTML.
fn string(letter: char, out: &mut String) {
    match letter.is_alphanumeric() || " .,:;()-".contains(letter) {
        true => out.push(letter),
        false => out.push_str(&format!("\\{:x} ", u32::from(letter))),
    }
}

/// ` 'sha256-…'`
fn source(hash: &str, out: &mut String) {
    out.push_str(" 'sha256-");
    out.push_str(hash);
    out.push('\'');
}

/// The sources of all style sheets, whatever the paper, with a space before each.
pub(in crate::page) fn sources() -> String {
    let mut out = String::new();
    for hash in [STYLE_HASH, FONTS_HASH, A4_HASH, LETTER_HASH] {
        source(hash, &mut out);
    }
    out
}

/// Appends the `style` elements.
pub(in crate::page) fn write(paper: Paper, out: &mut String) {
    out.reserve(FONTS.len() + STYLE.len() + 200);
    for sheet in [STYLE, sheet(paper).0, FONTS] {
        out.push_str("<style>");
        out.push_str(sheet);
        out.push_str("</style>\n");
    }
}

fn sheet(paper: Paper) -> (&'static str, &'static str) {
    match paper {
        Paper::A4 => (A4, A4_HASH),
        Paper::Letter => (LETTER, LETTER_HASH),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_policy_names_the_hash_of_each_style_sheet() {
        for (name, sheet, hash) in [
            ("STYLE_HASH", STYLE, STYLE_HASH),
            ("FONTS_HASH", FONTS, FONTS_HASH),
            ("A4_HASH", A4, A4_HASH),
            ("LETTER_HASH", LETTER, LETTER_HASH),
        ] {
            let digest = Hash::of(sheet.as_bytes()).base64();
            assert_eq!(hash, digest, "put this into {name}");
        }
    }

    #[test]
    fn heads_of_sheets_hold_any_title() {
        let heads = running_heads("A \"beam\" & a \\ <bar>\u{ffff}", Some("B. Author"));
        assert!(heads.contains("content:\"A \\22 beam\\22  \\26  a \\5c  \\3c bar\\3e \\ffff \""));
        assert!(heads.contains("@top-right{content:\"B. Author\"}"));
        assert!(!heads.contains(['<', '&']));
    }

    #[test]
    fn a_style_sheet_needs_no_escape() {
        for sheet in [STYLE, FONTS] {
            assert!(!sheet.contains(['<', '&']));
        }
    }
}
