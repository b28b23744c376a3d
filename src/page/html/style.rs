//! The style sheets of the page and the security policy that allows them by their hashes.

use crate::document::Paper;

/// The look of the page.
const STYLE: &str = include_str!("style.css");
const STYLE_HASH: &str = "kX9dptLxGqH4ZpgPClUs4xv8RS3wCfSVxQ/bRrU57Dc=";

/// The fonts, as written by `fonts/embed.py`.
const FONTS: &str = include_str!("../fonts/fonts.css");
const FONTS_HASH: &str = "lOzOgSIBBWnD8NIEYTDyZUqrDMjWueMwJXjL9PMHuLk=";

const A4: &str = "@page{size:A4}";
const A4_HASH: &str = "J0QtAiiEpEUsf09R/1avPPOsAsmsE+Y0yEA2DkpJIQo=";

const LETTER: &str = "@page{size:letter}";
const LETTER_HASH: &str = "OVNI1OgnUL8ZHvSOG2sbUGjCHKERfkICRlKdsU542L4=";

/// Appends the `meta` element with the security policy: no network, no script, no form.
pub(super) fn policy(paper: Paper, out: &mut String) {
    out.push_str(
        "<meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'none'; style-src",
    );
    for hash in [STYLE_HASH, FONTS_HASH, sheet(paper).1] {
        source(hash, out);
    }
    out.push_str(
        "; font-src data:; img-src data: 'self'; base-uri 'none'; form-action 'none'\"/>\n",
    );
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
    use base64::Engine;
    use sha2::Digest;

    use super::*;

    #[test]
    fn the_policy_names_the_hash_of_each_style_sheet() {
        for (name, sheet, hash) in [
            ("STYLE_HASH", STYLE, STYLE_HASH),
            ("FONTS_HASH", FONTS, FONTS_HASH),
            ("A4_HASH", A4, A4_HASH),
            ("LETTER_HASH", LETTER, LETTER_HASH),
        ] {
            let digest = sha2::Sha256::digest(sheet.as_bytes());
            let digest = base64::engine::general_purpose::STANDARD.encode(digest);
            assert_eq!(hash, digest, "put this into {name}");
        }
    }

    #[test]
    fn a_style_sheet_needs_no_escape() {
        for sheet in [STYLE, FONTS] {
            assert!(!sheet.contains(['<', '&']));
        }
    }
}
