//! The GNU form for the terminal: `file:line:column: error D12: sentence`, the line, and a
//! dimension line under the place: `|---|`.

use super::{Diagnostic, Severity};
use crate::text::{Source, Span};

/// Whether the output may be coloured.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Colour {
    /// Plain text.
    Never,
    /// ANSI escapes: weight for the place, red and yellow for the word.
    Always,
}

/// The longest piece of a source line that is shown, in characters.
const SHOWN: usize = 100;

/// One diagnostic as lines for a terminal, with a line ending after the last.
pub fn render(diagnostic: &Diagnostic, source: &Source, colour: Colour) -> String {
    let paint = |code: &str, text: &str| match colour {
        Colour::Never => text.to_owned(),
        Colour::Always => format!("\u{1b}[{code}m{text}\u{1b}[0m"),
    };
    let word = match diagnostic.severity {
        Severity::Error => paint("1;31", "error"),
        Severity::Warning => paint("1;33", "warning"),
    };
    let mut out = format!(
        "{} {word} {}: {}\n",
        paint("1", &place(source, diagnostic.span)),
        diagnostic.code,
        plain(&diagnostic.message)
    );
    excerpt(source, diagnostic.span, &mut out);
    for note in &diagnostic.notes {
        match note.span {
            Some(span) => {
                out.push_str(&format!(
                    "{} note: {}\n",
                    place(source, span),
                    plain(&note.message)
                ));
                excerpt(source, span, &mut out);
            }
            None => out.push_str(&format!("  note: {}\n", plain(&note.message))),
        }
    }
    if let Some(help) = &diagnostic.help {
        out.push_str(&format!("  Write instead: {}\n", plain(help)));
    }
    out
}

fn place(source: &Source, span: Span) -> String {
    let position = source.position(span.start);
    format!(
        "{}:{}:{}:",
        plain(source.name()),
        position.line,
        position.column
    )
}

/// The source line with a dimension line under the place; a long line is shown around the place only.
fn excerpt(source: &Source, span: Span, out: &mut String) {
    let position = source.position(span.start);
    let line = source.slice(source.line_span(position.line));
    let line = line.trim_start_matches('\u{feff}');
    if line.trim().is_empty() {
        return;
    }
    let before = position.column - 1;
    let count = line.chars().count();
    let skipped = match count <= SHOWN {
        true => 0,
        false => before.saturating_sub(SHOWN / 2),
    };
    let is_cut = count - skipped > SHOWN;
    let shown: String = line.chars().skip(skipped).take(SHOWN).collect();
    let width = source
        .slice(span)
        .lines()
        .next()
        .unwrap_or("")
        .chars()
        .count();
    let room = shown
        .chars()
        .count()
        .saturating_sub(before - skipped)
        .max(1);
    let indent: String = line
        .chars()
        .skip(skipped)
        .take(before - skipped)
        .map(|character| if character == '\t' { '\t' } else { ' ' })
        .collect();
    // What is left out is seen to be.
    let (left, below) = if skipped > 0 { ("…", " ") } else { ("", "") };
    let right = if is_cut { "…" } else { "" };
    out.push_str(&format!("    {left}{}{right}\n", plain(&shown)));
    out.push_str(&format!(
        "    {below}{indent}{}\n",
        dimension_line(width.clamp(1, room))
    ));
}

/// `|---|`, so many characters wide.
fn dimension_line(width: usize) -> String {
    match width.checked_sub(2) {
        Some(between) => format!("|{}|", "-".repeat(between)),
        None => "|".to_owned(),
    }
}

/// Control characters of the worksheet must not reach the terminal as commands.
fn plain(text: &str) -> String {
    text.chars()
        .map(|character| match character {
            '\t' => '\t',
            character if character.is_control() => '\u{fffd}',
            character => character,
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::diagnostic::Code;

    #[test]
    fn the_gnu_form_shows_the_line_the_place_and_a_way_out() {
        let source = Source::new("bend.md", "x\n  V = Q / A\n");
        let diagnostic = Diagnostic::error(Code::N01, Span::new(10, 11), "`A` is not defined")
            .with_note("`Q` stands here", Span::new(6, 7))
            .with_help("give `A` in a `given` block");
        assert_eq!(
            render(&diagnostic, &source, Colour::Never),
            "bend.md:2:9: error N01: `A` is not defined\n      V = Q / A\n            |\n\
             bend.md:2:5: note: `Q` stands here\n      V = Q / A\n        |\n  \
             Write instead: give `A` in a `given` block\n"
        );
    }

    #[test]
    fn a_long_line_says_where_it_is_cut() {
        let text = format!("{}x{}\n", "a + ".repeat(30), " + b".repeat(30));
        let at = text.find('x').unwrap();
        let shown = |place: usize| {
            let source = Source::new("long.md", text.as_str());
            let told = Diagnostic::error(Code::N01, Span::new(place, place + 1), "it");
            render(&told, &source, Colour::Never)
        };
        let lines = |text: String| -> Vec<String> { text.lines().map(str::to_owned).collect() };
        let [first, middle, last] = [0, at, text.len() - 2].map(|it| lines(shown(it)));
        assert!(first[1].starts_with("    a") && first[1].ends_with('…'));
        assert!(middle[1].starts_with("    …") && middle[1].ends_with('…'));
        assert!(last[1].starts_with("    …") && last[1].ends_with(" b"));
        for (lines, letter) in [(&first, 'a'), (&middle, 'x'), (&last, 'b')] {
            let under = lines[2].chars().position(|it| it == '|').unwrap();
            assert_eq!(lines[1].chars().nth(under), Some(letter));
        }
    }

    #[test]
    fn a_dimension_line_is_as_wide_as_its_place() {
        let lines = [1, 2, 3, 5].map(dimension_line);
        assert_eq!(lines, ["|", "||", "|-|", "|---|"]);
    }
}
