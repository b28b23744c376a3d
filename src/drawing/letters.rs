//! How wide words are in the font of the page, and where their lines are broken.

use super::advances::{MATH, TEXT};
use crate::typeset::{Face, Level, Run};

/// How far letters reach above their line and below it, in sizes of the type.
pub const ASCENT: f64 = 0.74;
pub const DESCENT: f64 = 0.24;

/// The size of raised and lowered letters, and how far they are moved, in sizes of the type.
pub const SMALL: f64 = 0.72;
pub const RAISE: f64 = 0.36;
pub const LOWER: f64 = 0.16;

/// A letter that neither font has is taken to be as wide as the widest ones are.
const UNKNOWN: u16 = 1000;

/// The width of some letters in this size of type.
pub fn width(runs: &[Run], size: f64) -> f64 {
    let run = |run: &Run| {
        let scale = match run.level {
            Level::Line => 1.0,
            Level::Raised | Level::Lowered => SMALL,
        };
        let letters = run.text.chars().map(|letter| advance(letter, run.face));
        letters.map(f64::from).sum::<f64>() * scale
    };
    runs.iter().map(run).sum::<f64>() * size / 1000.0
}

fn advance(letter: char, face: Face) -> u16 {
    let shown = set(letter, face);
    let find = |table: &[(u32, u16)], letter: char| {
        let found = table.binary_search_by_key(&(letter as u32), |(known, _)| *known);
        found.ok().map(|at| table[at].1)
    };
    find(&TEXT, shown)
        .or_else(|| find(&MATH, shown))
        .unwrap_or(UNKNOWN)
}

/// The letter of the font by which a letter is set: those of quantities are of the mathematical
/// alphabets, as in formulas.
pub fn set(letter: char, face: Face) -> char {
    let (latin, greek) = match face {
        Face::Word => return letter,
        Face::Quantity => (0x1d434, 0x1d6e2),
        Face::Vector => (0x1d468, 0x1d71c),
    };
    let code = letter as u32;
    let shown = match letter {
        // The italic h stood among the letters before the others came.
        'h' if face == Face::Quantity => return 'ℎ',
        'A'..='Z' => latin + code - 'A' as u32,
        'a'..='z' => latin + 26 + code - 'a' as u32,
        'Α'..='Ω' => greek + code - 'Α' as u32,
        'α'..='ω' => greek + 26 + code - 'α' as u32,
        'ϵ' => greek + 52,
        'ϑ' => greek + 53,
        'ϕ' => greek + 55,
        'ϱ' => greek + 56,
        'ϖ' => greek + 57,
        'µ' => return set('μ', face),
        other => return other,
    };
    char::from_u32(shown).unwrap_or(letter)
}

/// The letters as they are typed, in one line.
pub fn plain(runs: &[Run]) -> String {
    let mut text = String::new();
    for run in runs {
        text.push_str(match run.level {
            Level::Line => "",
            Level::Raised => "^",
            Level::Lowered => "_",
        });
        text.push_str(&run.text);
    }
    text
}

/// Words in lines that are no wider than this, broken at blanks; a longer word has a line of its
/// own.
pub fn wrapped(runs: &[Run], size: f64, widest: f64) -> Vec<Vec<Run>> {
    let mut lines: Vec<Vec<Run>> = vec![Vec::new()];
    for word in words(runs) {
        let last = lines.last_mut().map(std::mem::take).unwrap_or_default();
        let mut longer = last.clone();
        if !longer.is_empty() {
            append(&mut longer, &[Run::words(" ")]);
        }
        append(&mut longer, &word);
        if last.is_empty() || width(&longer, size) <= widest {
            lines.pop();
            lines.push(longer);
        } else {
            lines.pop();
            lines.extend([last, word]);
        }
    }
    lines
}

/// The parts between blanks.
fn words(runs: &[Run]) -> Vec<Vec<Run>> {
    let mut words: Vec<Vec<Run>> = vec![Vec::new()];
    for run in runs {
        for (at, text) in run.text.split(' ').enumerate() {
            if at > 0 {
                words.push(Vec::new());
            }
            let text = text.to_owned();
            let part = Run {
                text,
                ..run.clone()
            };
            if let Some(word) = words.last_mut().filter(|_| !part.text.is_empty()) {
                word.push(part);
            }
        }
    }
    words.retain(|word| !word.is_empty());
    words
}

fn append(line: &mut Vec<Run>, more: &[Run]) {
    for run in more {
        match line.last_mut() {
            Some(last) if (last.face, last.level) == (run.face, run.level) => {
                last.text.push_str(&run.text);
            }
            _ => line.push(run.clone()),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn digits_of_a_number_are_equally_wide() {
        let size = |text: &str| width(&[Run::words(text)], 10.0);
        assert_eq!(size("111"), size("808"));
        assert!((size("111") - 14.85).abs() < 1e-9);
    }

    #[test]
    fn every_letter_of_a_quantity_is_in_the_font() {
        for letter in ('a'..='z')
            .chain('A'..='Z')
            .chain('α'..='ω')
            .chain(['ϕ', 'ϑ'])
        {
            for face in [Face::Quantity, Face::Vector] {
                assert_ne!(advance(letter, face), UNKNOWN, "{letter} {face:?}");
            }
        }
    }

    #[test]
    fn lines_are_broken_at_blanks() {
        let lines = wrapped(&[Run::words("one  two three")], 10.0, 45.0);
        let lines: Vec<String> = lines.iter().map(|line| plain(line)).collect();
        assert_eq!(lines, ["one two", "three"]);
    }
}
