//! The page that `setsquare why CODE` prints, one a code.

use super::Code;

/// An explanation, taken apart.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Explanation {
    /// The code it explains.
    pub code: Code,
    /// The whole page, in Markdown.
    pub page: &'static str,
    /// A worksheet that raises the code; absent where bytes cannot show it.
    pub refused: Option<&'static str>,
    /// The worksheet put right.
    pub accepted: Option<&'static str>,
}

/// The explanation of one code.
pub fn explanation(code: Code) -> Explanation {
    let page = code.page();
    Explanation {
        code,
        page,
        refused: example(page, "## Refused"),
        accepted: example(page, "## Accepted"),
    }
}

/// All explanations, in the order of the codes.
pub fn explanations() -> impl Iterator<Item = Explanation> {
    Code::ALL.iter().copied().map(explanation)
}

/// The worksheet in the four-backtick fence under a heading.
fn example(page: &'static str, heading: &str) -> Option<&'static str> {
    let (_, after) = page.split_once(heading)?;
    let (_, inside) = after.split_once("````markdown\n")?;
    inside.split_once("````").map(|(worksheet, _)| worksheet)
}
