//! Lines to fields.

use std::ops::Range;

/// How the lines of a table are divided.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Bars {
    /// Bars stand between the fields.
    Between,
    /// Bars stand around them too.
    Around,
}

impl Bars {
    /// As the heading row has them.
    pub fn of(heading: &str) -> Self {
        match heading.trim_start().starts_with('|') {
            true => Self::Around,
            false => Self::Between,
        }
    }
}

/// The fields of a line, without the blanks around them, by their places in it.
pub fn fields(line: &str, bars: Bars) -> impl Iterator<Item = Range<usize>> {
    let inner = match bars {
        Bars::Between => 0..line.len(),
        Bars::Around => inside(line),
    };
    let mut start = inner.start;
    let within = line.get(inner).unwrap_or("");
    within.split('|').map(move |field| {
        let at = start + field.len() - field.trim_start().len();
        start += field.len() + 1;
        at..at + field.trim().len()
    })
}

/// What stands between the outer bars of a line; a bar that is missing leaves the end as it is.
fn inside(line: &str) -> Range<usize> {
    let start = line.len() - line.trim_start().len();
    let end = line.trim_end().len().max(start);
    let start = start + usize::from(line.get(start..end).is_some_and(|it| it.starts_with('|')));
    let end = match line.get(start..end) {
        Some(rest) if rest.ends_with('|') => end - 1,
        _ => end,
    };
    start..end
}

/// Whether a line is the rule below a heading: dashes in every field.
pub fn is_rule(line: &str, bars: Bars) -> bool {
    let is_dashes = |field: Range<usize>| {
        let field = line.get(field).unwrap_or("");
        let dashes = field.trim_start_matches(':').trim_end_matches(':');
        dashes.len() > 1 && dashes.bytes().all(|byte| byte == b'-')
    };
    fields(line, bars).all(is_dashes)
}

/// Whether a field says that there is no reading.
pub fn is_missing(field: &str) -> bool {
    matches!(field, "-" | "–" | "—")
}

#[cfg(test)]
mod tests {
    use super::*;

    fn texts(line: &str, bars: Bars) -> Vec<&str> {
        fields(line, bars).map(|field| &line[field]).collect()
    }

    #[test]
    fn bars_divide_a_line() {
        assert_eq!(texts(" a |b|  c d ", Bars::Between), ["a", "b", "c d"]);
        assert_eq!(texts("a", Bars::Between), ["a"]);
        assert_eq!(texts("| a | b |", Bars::Between), ["", "a", "b", ""]);
    }

    #[test]
    fn outer_bars_are_no_fields() {
        assert_eq!(texts("| a | b | ", Bars::Around), ["a", "b"]);
        assert_eq!(texts("|é||", Bars::Around), ["é", ""]);
        assert_eq!(texts("a | b", Bars::Around), ["a", "b"]);
        assert_eq!(texts("|", Bars::Around), [""]);
        assert_eq!(texts("", Bars::Around), [""]);
    }

    #[test]
    fn a_rule_has_dashes_in_every_field() {
        assert!(is_rule("|---|:--:|", Bars::Around));
        assert!(is_rule("--- | ---", Bars::Between));
        assert!(!is_rule("- | -", Bars::Between));
        assert!(!is_rule("--- | 3", Bars::Between));
    }
}
