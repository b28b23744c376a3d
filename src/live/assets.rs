//! The scripts of live pages, which are part of the program.

const SCRIPT: &str = "text/javascript; charset=utf-8";

/// The script of live pages: four files, which are one where they are served.
const LIVE: &str = concat!(
    include_str!("client/patch.js"),
    include_str!("client/keep.js"),
    include_str!("client/board.js"),
    include_str!("client/live.js"),
);

/// The type and the text of what is served at `/-/NAME`; `None` where there is nothing.
pub(super) fn asset(name: &str) -> Option<(&'static str, &'static str)> {
    match name {
        "live.js" => Some((SCRIPT, LIVE)),
        "idiomorph.js" => Some((SCRIPT, include_str!("client/idiomorph.js"))),
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn scripts_are_served_by_name_and_nothing_else_is() {
        for name in ["live.js", "idiomorph.js"] {
            let (kind, text) = asset(name).unwrap();
            assert!(kind.starts_with("text/javascript") && !text.is_empty());
        }
        assert_eq!(asset("live.css"), None);
    }
}
