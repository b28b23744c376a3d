//! Comments of HTML, which are for those who read the text.

/// What begins another sheet of paper.
const NEW_PAGE: &str = "new page";

/// Whether inline HTML is a comment.
pub(super) fn is_one(html: &str) -> bool {
    end(html) == Some(html.len())
}

/// Whether a block of HTML is the comment that begins another sheet of paper.
pub(super) fn is_new_page(html: &str) -> bool {
    let html = html.trim();
    is_one(html)
        && html
            .strip_prefix("<!--")
            .and_then(|rest| rest.strip_suffix("-->"))
            .is_some_and(|words| words.trim() == NEW_PAGE)
}

/// The text without its comments. One that is not closed stays: it would take all that follows.
pub(super) fn removed(html: &str) -> String {
    let mut kept = String::with_capacity(html.len());
    let mut rest = html;
    while let Some(start) = rest.find("<!--") {
        let Some(length) = end(&rest[start..]) else {
            break;
        };
        kept.push_str(&rest[..start]);
        rest = &rest[start + length..];
    }
    kept.push_str(rest);
    kept
}

/// Where the comment ends that a text begins with.
fn end(html: &str) -> Option<usize> {
    let inner = html.strip_prefix("<!--")?;
    // These two are comments as well.
    let short = [">", "->"].iter().find(|end| inner.starts_with(**end));
    let length = match short {
        Some(end) => end.len(),
        None => inner.find("-->")? + "-->".len(),
    };
    Some("<!--".len() + length)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn comments_are_removed_wherever_they_stand() {
        for (html, kept) in [
            ("<!-- a -->", ""),
            ("x<!-- a --> y<!---->z", "x yz"),
            ("<!-->a-->", "a-->"),
            ("<!--->a", "a"),
            ("a <!-- b", "a <!-- b"),
            ("<!-- é --> <!-- b", " <!-- b"),
        ] {
            assert_eq!(removed(html), kept, "{html}");
        }
    }

    #[test]
    fn a_new_page_is_a_comment_of_its_own() {
        for html in ["<!-- new page -->\n", "  <!--new page-->"] {
            assert!(is_new_page(html), "{html}");
        }
        for html in [
            "<!-- new pages -->",
            "new page",
            "<!-- new page --> <!-- -->",
            "<!-->",
        ] {
            assert!(!is_new_page(html), "{html}");
        }
    }
}
