//! How high a section is, by what stands in it, and the class that says so.
//!
//! Of a long page, what is out of sight is not laid out; a bar to scroll by that does not jump needs
//! its height all the same. Estimates are within a fifth for nearly all sections; a browser takes
//! the true height of what it has once shown.

/// Heights in pixels on a screen with room for the whole column, from measurements of the pages of
/// the worksheets, by least squares.
const LINE: f64 = 21.0;
const ROW: f64 = 27.0;
const WORDS: f64 = 33.0;
const FIGURE: f64 = 277.0;
const LETTER: f64 = 0.2;
const LETTER_OF_FORMULA: f64 = 0.87;

/// The classes of the style sheet, `s0` and on: each so many times as high as the one before.
pub(super) const STEP: f64 = 1.15;
pub(super) const LOWEST: f64 = 100.0;
pub(super) const STEPS: i32 = 40;

/// The number of the class whose height is nearest.
pub(super) fn class(markup: &str) -> i32 {
    let steps = (height(markup) / LOWEST).max(1.0).log(STEP);
    (steps.round() as i32).min(STEPS - 1)
}

fn height(markup: &str) -> f64 {
    let mut height = 0.0;
    let mut letter = LETTER;
    let mut rest = markup;
    while let Some((words, tag)) = rest.split_once('<') {
        let Some((tag, behind)) = tag.split_once('>') else {
            break;
        };
        height += letter * words.chars().count() as f64;
        rest = behind;
        let name = tag.split(' ').next().unwrap_or(tag);
        match name {
            "math" => letter = LETTER_OF_FORMULA,
            "/math" => letter = LETTER,
            "tr" => height += ROW,
            "p" | "li" | "h1" | "h2" | "h3" | "h4" | "h5" | "h6" => height += WORDS,
            "figure" => height += FIGURE,
            "div" if tag.starts_with("div class=\"line\"") => height += LINE,
            "div" if tag.starts_with("div class=\"line ") => height += LINE,
            // What was drawn is in the height of a figure, and its numbers are folded away.
            "svg" | "details" => {
                let end = format!("</{name}>");
                rest = rest.split_once(&end).map_or("", |(_, behind)| behind);
            }
            _ => {}
        }
    }
    height
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_class_is_that_of_the_nearest_height() {
        assert_eq!(class(""), 0);
        let rows = |count| "<tr><td></td></tr>".repeat(count);
        assert!((height(&rows(10)) - 270.0).abs() < 1e-9);
        assert_eq!(class(&rows(10)), 7);
        assert_eq!(class(&rows(1_000_000)), STEPS - 1);
        let drawn =
            "<figure><svg><text>many words</text></svg><details><tr></tr></details></figure>";
        assert!((height(drawn) - FIGURE).abs() < 1e-9);
        let line = "<div class=\"line bare\" id=\"a\">ab<math><mi>x</mi></math></div>";
        assert!((height(line) - (LINE + 2.0 * LETTER + LETTER_OF_FORMULA)).abs() < 1e-9);
    }

    #[test]
    fn the_style_sheet_has_all_classes() {
        let sheet = include_str!("style.css");
        for step in 0..STEPS {
            let pixels = (LOWEST * STEP.powi(step)).round();
            let rule = format!(".s{step}{{--s:{pixels}px}}");
            assert!(sheet.contains(&rule), "{rule}");
        }
        assert!(!sheet.contains(&format!(".s{STEPS}{{")));
    }
}
