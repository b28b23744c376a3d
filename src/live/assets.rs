//! The scripts of the page.

/// Its type and its text.
pub(super) fn asset(name: &str) -> Option<(&'static str, &'static str)> {
    let known = matches!(name, "live.js" | "idiomorph.js");
    known.then_some(("text/javascript; charset=utf-8", "// nothing\n"))
}
