//! Text into HTML that is also XML.

/// Appends text as it may stand between tags.
pub(super) fn text(out: &mut String, text: &str) {
    escape(out, text, false);
}

/// Appends text as it may stand in a double-quoted attribute.
pub(super) fn attribute(out: &mut String, text: &str) {
    escape(out, text, true);
}

fn escape(out: &mut String, text: &str, quotes: bool) {
    let mut done = 0;
    for (at, byte) in text.bytes().enumerate() {
        let replacement = match byte {
            b'&' => "&amp;",
            b'<' => "&lt;",
            b'>' => "&gt;",
            b'"' if quotes => "&quot;",
            b'\n' | b'\t' => continue,
            // XML allows no other control character, not even escaped.
            b'\r' => "\n",
            0..=0x1f => "\u{fffd}",
            // U+FFFE and U+FFFF, which XML does not allow either.
            0xef if is_noncharacter(&text.as_bytes()[at..]) => {
                out.push_str(&text[done..at]);
                out.push('\u{fffd}');
                done = at + 3;
                continue;
            }
            _ => continue,
        };
        out.push_str(&text[done..at]);
        out.push_str(replacement);
        done = at + 1;
    }
    out.push_str(&text[done..]);
}

fn is_noncharacter(bytes: &[u8]) -> bool {
    matches!(bytes, [0xef, 0xbf, 0xbe | 0xbf, ..])
}

/// Appends a link's destination as it may stand in `href` or `src`.
pub(super) fn destination(out: &mut String, url: &str) {
    for byte in url.bytes() {
        match byte {
            b'&' => out.push_str("&amp;"),
            b'\'' => out.push_str("&#39;"),
            b'a'..=b'z' | b'A'..=b'Z' | b'0'..=b'9' => out.push(byte as char),
            b'-' | b'_' | b'.' | b'!' | b'~' | b'*' | b'(' | b')' | b';' | b'/' | b'?' | b':'
            | b'@' | b'=' | b'+' | b'$' | b',' | b'#' | b'%' => out.push(byte as char),
            _ => out.push_str(&format!("%{byte:02X}")),
        }
    }
}

#[cfg(test)]
mod tests {
    #[test]
    fn markup_and_characters_that_xml_refuses_are_replaced() {
        let mut out = String::new();
        super::attribute(&mut out, "a<b>&\"\u{1}\u{ffff}é\u{fffd}\n");
        assert_eq!(out, "a&lt;b&gt;&amp;&quot;\u{fffd}\u{fffd}é\u{fffd}\n");
    }

    #[test]
    fn destinations_are_percent_encoded() {
        let mut out = String::new();
        super::destination(&mut out, "a b?x=1&y=\"é'");
        assert_eq!(out, "a%20b?x=1&amp;y=%22%C3%A9&#39;");
    }
}
