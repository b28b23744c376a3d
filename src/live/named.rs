//! Which files beside the worksheet a piece of its page names.

/// The relative addresses of images and links, without what follows `?` or `#`; each once, in
/// order.
pub(super) fn files(html: &str) -> Vec<String> {
    let mut found: Vec<String> = Vec::new();
    for (tag, attribute) in [("<img ", "src=\""), ("<a ", "href=\"")] {
        for piece in html.split(tag).skip(1) {
            // Neither sign stands in an attribute: both are escaped there.
            let inside = piece.split('>').next().unwrap_or_default();
            let value = inside.split_once(attribute).map(|(_, rest)| rest);
            let value = value.and_then(|rest| rest.split('"').next());
            found.extend(value.and_then(path));
        }
    }
    found.sort_unstable();
    found.dedup();
    found
}

/// The path of a relative address; `None` for an anchor and for what stands elsewhere.
fn path(address: &str) -> Option<String> {
    let address = address.replace("&amp;", "&").replace("&#39;", "'");
    let path = address.split(['?', '#']).next().unwrap_or_default();
    let has_scheme = path
        .split('/')
        .next()
        .is_some_and(|first| first.contains(':'));
    if path.is_empty() || has_scheme || path.starts_with("//") {
        return None;
    }
    Some(path.to_owned())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn images_and_links_beside_the_worksheet_are_named() {
        let html = "<img src=\"a%20b.png\" alt=\"x\" /> <a href=\"c.md?x=1&amp;y#z\">c</a> \
                    <img alt=\"\" src=\"d/e.svg\"/><a href=\"c.md\">again</a>";
        assert_eq!(files(html), ["a%20b.png", "c.md", "d/e.svg"]);
    }

    #[test]
    fn anchors_other_places_and_text_name_no_file() {
        let html = "<a href=\"#x\">x</a><a href=\"https://a.example/b\">b</a>\
                    <a href=\"//a.example/b\">b</a><img src=\"data:image/png;base64,A\"/>\
                    <p>&lt;img src=\"c.png\"></p><a href=\"mailto:a@b.example\">a</a>";
        assert_eq!(files(html), Vec::<String>::new());
    }
}
