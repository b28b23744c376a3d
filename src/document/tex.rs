//! TeX in prose to MathML. The library that does it is not visible outside this file.

use std::sync::LazyLock;

use math_core::{LatexToMathML, MathCoreConfig, MathDisplay};

/// The library recurses; this keeps it far from the end of the stack.
const MAX_DEPTH: usize = 20;

/// Longer formulas are refused.
const MAX_BYTES: usize = 10_000;

static CONVERTER: LazyLock<Option<LatexToMathML>> =
    LazyLock::new(|| LatexToMathML::new(MathCoreConfig::default()).ok());

/// A formula as MathML.
///
/// # Errors
/// A sentence that says what the formula has that cannot be read.
pub fn mathml(tex: &str, display: bool) -> Result<String, String> {
    convert(tex, display).map(|mathml| without_styles(&mathml))
}

fn convert(tex: &str, display: bool) -> Result<String, String> {
    if tex.len() > MAX_BYTES {
        return Err(format!("a formula of more than {MAX_BYTES} bytes"));
    }
    if depth(tex) > MAX_DEPTH {
        return Err(format!("braces nested deeper than {MAX_DEPTH}"));
    }
    let Some(converter) = CONVERTER.as_ref() else {
        return Err("TeX is not available".into());
    };
    let display = if display {
        MathDisplay::Block
    } else {
        MathDisplay::Inline
    };
    match converter.convert_with_local_state(tex, display) {
        // The library has characters of its own for what it cannot show.
        Ok(result) if result.mathml.contains(is_no_xml) => Err("a control character".to_owned()),
        Ok(result) => Ok(result.mathml),
        Err(error) => Err(error.error_message().trim_end_matches('.').to_owned()),
    }
}

fn is_no_xml(character: char) -> bool {
    matches!(character, '\0'..'\t' | '\u{b}'..' ' | '\u{fffe}' | '\u{ffff}')
}

/// An upper bound of how deep the library recurses: open braces, `\left` and `\begin`, plus the
/// commands and scripts in a row that may each take the next as an argument without braces.
fn depth(tex: &str) -> usize {
    let (mut open, mut deepest) = (vec![0_usize], 0_usize);
    let mut total = 0_usize;
    let mut rest = tex;
    while let Some(character) = rest.chars().next() {
        let mut after = rest.get(character.len_utf8()..).unwrap_or("");
        let waiting = open.last_mut();
        match character {
            '\\' => {
                let end = after.find(|next: char| !next.is_ascii_alphabetic());
                let (word, next) = after.split_at(end.unwrap_or(after.len()));
                after = next;
                match word {
                    "left" | "begin" => open.push(0),
                    "right" | "end" => total -= close(&mut open),
                    _ => {
                        total += 1;
                        waiting.into_iter().for_each(|count| *count += 1);
                    }
                }
            }
            '{' => open.push(0),
            '}' => total -= close(&mut open),
            '^' | '_' => {
                total += 1;
                waiting.into_iter().for_each(|count| *count += 1);
            }
            ' ' | '\t' | '\r' | '\n' => {}
            // An ordinary character ends a row of commands.
            _ => total -= waiting.map_or(0, std::mem::take),
        }
        deepest = deepest.max(open.len() - 1 + total);
        rest = after;
    }
    deepest
}

/// Closes the innermost group; tells what still waited in it. The outermost stays.
fn close(open: &mut Vec<usize>) -> usize {
    if open.len() > 1 {
        open.pop().unwrap_or(0)
    } else {
        0
    }
}

/// MathML without `style` attributes, which the page's security policy forbids; the
/// alignment of table cells becomes a class of the page's style sheet.
fn without_styles(mathml: &str) -> String {
    let mut out = String::with_capacity(mathml.len());
    let mut rest = mathml;
    while let Some((before, after)) = rest.split_once(" style=\"") {
        let (style, after) = after.split_once('"').unwrap_or((after, ""));
        out.push_str(before);
        let class = [("text-align: left", "left"), ("text-align: right", "right")]
            .iter()
            .find(|(property, _)| style.contains(property));
        // A tag that has a class already keeps it alone: two would not be well-formed.
        let tag = before.rsplit('<').next().unwrap_or("");
        if let Some((_, class)) = class
            && !tag.contains(" class=")
        {
            out.push_str(" class=\"");
            out.push_str(class);
            out.push('"');
        }
        rest = after;
    }
    out.push_str(rest);
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_formula_becomes_mathml() {
        let set = mathml(r"\frac{\rho v^2}{2}", false).unwrap();
        assert!(set.starts_with("<math>"), "{set}");
    }

    #[test]
    fn what_cannot_be_read_is_said() {
        assert!(mathml(r"\nosuchthing", false).is_err());
        assert!(mathml(r"\frac{a<b", false).is_err());
        assert!(mathml("\0", false).is_err());
    }

    #[test]
    fn deep_nesting_is_refused_before_it_is_tried() {
        for text in [
            "{".repeat(1000),
            r"\frac".repeat(1000),
            r"\sqrt ".repeat(1000),
            "x^".repeat(10) + &"^\\sqrt".repeat(1000),
            r"\left(".repeat(1000),
            r"\begin{matrix}".repeat(500),
        ] {
            let error = mathml(&text, false).unwrap_err();
            assert!(error.contains("deeper"), "{error}");
        }
    }

    #[test]
    fn long_formulas_that_are_not_deep_are_read() {
        assert!(mathml(&r"\alpha x_1 + \frac{a}{b} ".repeat(100), true).is_ok());
    }

    #[test]
    fn no_style_attribute_is_left() {
        let matrix = mathml(r"\begin{array}{lr} a & b \\ c & d \end{array}", false).unwrap();
        assert!(!matrix.contains(" style="), "{matrix}");
        assert!(matrix.contains("class=\"left\""), "{matrix}");
    }
}
