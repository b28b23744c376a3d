//! Text that is safe between tags and in attributes.

/// Appends `text` with the five characters of markup escaped.
///
/// Control characters that neither HTML nor XML allows become U+FFFD.
pub fn escape(text: &str, out: &mut String) {
    let mut copied = 0;
    for (at, byte) in text.bytes().enumerate() {
        let instead = match byte {
            b'&' => "&amp;",
            b'<' => "&lt;",
            b'>' => "&gt;",
            b'"' => "&quot;",
            b'\'' => "&#39;",
            b'\t' | b'\n' | b'\r' => continue,
            0..0x20 | 0x7f => "\u{fffd}",
            _ => continue,
        };
        // Every byte that is replaced is ASCII, so both cuts lie on character boundaries.
        out.push_str(text.get(copied..at).unwrap_or(""));
        out.push_str(instead);
        copied = at + 1;
    }
    out.push_str(text.get(copied..).unwrap_or(""));
}

#[cfg(test)]
mod tests {
    use super::*;

    fn check(text: &str, expected: &str) {
        let mut out = String::new();
        escape(text, &mut out);
        assert_eq!(out, expected);
    }

    #[test]
    fn markup_is_escaped_and_the_rest_is_kept() {
        check("a < b & \"c\"'", "a &lt; b &amp; &quot;c&quot;&#39;");
        check("ρ ≥ 3 m²", "ρ ≥ 3 m²");
    }

    #[test]
    fn control_characters_are_replaced() {
        check("a\0b\tc", "a\u{fffd}b\tc");
    }
}
