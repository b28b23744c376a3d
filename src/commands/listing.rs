//! What the lists of units and of constants have in common: aligned columns, and words that are
//! looked for.

/// Whether the word begins a word of the text, in either case.
pub fn begins_a_word(text: &str, word: &str) -> bool {
    let (text, word) = (text.to_lowercase(), word.to_lowercase());
    text.match_indices(&word).any(|(at, _)| {
        let before = text.get(..at).and_then(|text| text.chars().next_back());
        before.is_none_or(|character| !character.is_alphanumeric())
    })
}

/// Aligned columns under their headings; the last one is as long as it is.
pub fn table<const COLUMNS: usize>(
    headings: [&str; COLUMNS],
    lines: &[[String; COLUMNS]],
) -> String {
    let headings = headings.map(str::to_owned);
    let all = || std::iter::once(&headings).chain(lines);
    let mut widths = [0; COLUMNS];
    for line in all() {
        for (width, text) in widths.iter_mut().zip(line) {
            *width = text.chars().count().max(*width);
        }
    }
    let aligned = |line: &[String; COLUMNS]| {
        let cells = line.iter().zip(widths);
        let padded: Vec<String> = cells
            .map(|(text, width)| format!("{text:width$}"))
            .collect();
        format!("{}\n", padded.join("  ").trim_end())
    };
    all().map(aligned).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_word_is_found_where_a_word_begins() {
        assert!(begins_a_word("pound-force per square inch", "Force"));
        assert!(begins_a_word("pound-force per square inch", "square i"));
        assert!(!begins_a_word("pound-force per square inch", "ch"));
    }

    #[test]
    fn columns_are_aligned_under_their_headings() {
        let line = ["°C", "degree", "SI"].map(str::to_owned);
        assert_eq!(
            table(["symbol", "name", "source"], &[line]),
            "symbol  name    source\n\
             °C      degree  SI\n"
        );
    }
}
