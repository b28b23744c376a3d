//! Which destinations a page may carry.

/// Whether a reader may be sent there: the web, mail, a path beside the worksheet, a heading.
pub(super) fn may_be_followed(url: &str) -> bool {
    match scheme(url) {
        None => !names_host(&cleaned(url)),
        Some(scheme) => ["http", "https", "mailto"].contains(&scheme.as_str()),
    }
}

/// Whether an image may be named by a page that must not load anything from the network: a
/// path beside the worksheet, or a picture written out in the link itself.
pub(super) fn may_be_shown(url: &str) -> bool {
    let cleaned = cleaned(url);
    match scheme(url).as_deref() {
        None => !names_host(&cleaned),
        Some("data") => ["png", "jpeg", "gif", "webp"]
            .iter()
            .any(|kind| cleaned.starts_with(&format!("data:image/{kind};base64,"))),
        Some(_) => false,
    }
}

/// Whether a destination without a scheme is on another host: browsers read `\` as `/`, and two of
/// them name one.
fn names_host(cleaned: &str) -> bool {
    matches!(cleaned.as_bytes(), [b'/' | b'\\', b'/' | b'\\', ..])
}

/// The scheme in lower case, as a browser would read it.
fn scheme(url: &str) -> Option<String> {
    let cleaned = cleaned(url);
    let (scheme, _) = cleaned.split_once(':')?;
    if scheme.contains(['/', '?', '#', '\\']) {
        return None;
    }
    Some(scheme.to_ascii_lowercase())
}

/// The destination without the characters that browsers skip when they look for the scheme.
fn cleaned(url: &str) -> String {
    url.chars()
        .filter(|character| !character.is_control() && !character.is_whitespace())
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_harmless_schemes_are_followed() {
        for url in [
            "https://a.example/b:c",
            "MAILTO:a@b.example",
            "a/b.md",
            "#x:y",
            "?q=a:b",
            "",
        ] {
            assert!(may_be_followed(url), "{url}");
        }
        for url in [
            "javascript:x",
            "java\nscript:x",
            " data:text/html,x",
            "file:///etc",
            ":x",
            "//evil.example/x",
            "/\\evil.example",
            "\\\\evil.example",
            "/\t/evil.example",
        ] {
            assert!(!may_be_followed(url), "{url}");
        }
    }

    #[test]
    fn images_come_from_beside_the_worksheet_only() {
        for url in ["bend.png", "img/a b.png", "data:image/png;base64,AAAA"] {
            assert!(may_be_shown(url), "{url}");
        }
        for url in [
            "https://a.example/b.png",
            "//a.example/b",
            "\\/a.example",
            "data:image/svg+xml,x",
        ] {
            assert!(!may_be_shown(url), "{url}");
        }
    }
}
