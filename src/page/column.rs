//! Columns of numbers and words below headings, one row a reading: tables of data, and of the
//! lists that are computed from them.

use super::tree::{Cell, Ends, Row, Set, Text};
use crate::text::{grouped, in_threes};
use crate::worksheet::Table;

/// So many of them are shown instead, the first and the last among them.
const SHOWN: usize = 12;

/// More rows that were left out than this are told below the table, and are no rows of it.
const MOST_LEFT_OUT: usize = 12;

/// A column.
pub(super) struct Column<'c> {
    pub heading: Text,
    /// What stands in a row.
    pub entry: Box<dyn Fn(usize) -> String + 'c>,
    /// Whether that is a number.
    pub is_number: bool,
    /// The mean, the least and the greatest of its numbers, and how many they are.
    pub summary: Option<[String; 4]>,
}

/// Which rows are shown.
pub(super) struct Chosen {
    rows: Vec<usize>,
    left_out: Vec<usize>,
    count: usize,
    has_numbers: bool,
}

impl Chosen {
    /// Of so many rows with those that take no part. Where rows are named below, all have numbers.
    pub(super) fn new(count: usize, left_out: Vec<usize>, are_named: bool) -> Self {
        let is_short = count > Table::MOST_ROWS;
        let mut rows: Vec<usize> = match is_short {
            // The nearest whole number to (count - 1) part / (SHOWN - 1).
            true => (0..SHOWN)
                .map(|part| (2 * part * (count - 1) + SHOWN - 1) / (2 * (SHOWN - 1)))
                .collect(),
            false => (0..count).collect(),
        };
        if left_out.len() <= MOST_LEFT_OUT {
            rows.extend(&left_out);
            rows.sort_unstable();
            rows.dedup();
        }
        Self {
            rows,
            has_numbers: is_short || are_named || !left_out.is_empty(),
            left_out,
            count,
        }
    }

    /// Whether not all rows are shown.
    pub(super) fn is_short(&self) -> bool {
        self.count > Table::MOST_ROWS
    }

    /// "every 9091st row shown (of 100 000)"
    pub(super) fn note(&self) -> Option<String> {
        let step = ((self.count.max(1) - 1) as f64 / (SHOWN - 1) as f64).round() as usize;
        self.is_short().then(|| {
            format!(
                "every {} row shown (of {})",
                ordinal(step),
                grouped(&self.count.to_string())
            )
        })
    }

    /// The headings of columns.
    pub(super) fn headings(&self, columns: &[Column<'_>]) -> Vec<Text> {
        let number = self.has_numbers.then(|| Text::new("Row"));
        let columns = columns.iter().map(|column| column.heading.clone());
        number.into_iter().chain(columns).collect()
    }

    /// The rows of columns, and what is told of these.
    pub(super) fn rows(&self, columns: &[Column<'_>]) -> Vec<Row> {
        let written: Vec<Vec<String>> = (columns.iter())
            .map(|column| {
                let rows = self.rows.iter().map(|row| (column.entry)(*row));
                let summary = column.summary.iter().filter(|_| self.is_short());
                rows.chain(summary.flatten().skip(1).cloned()).collect()
            })
            .collect();
        let longest: Vec<Longest> = written.iter().map(|texts| Longest::of(texts)).collect();
        let cells = |line: usize| {
            let written = columns.iter().zip(&written).zip(&longest);
            written.map(move |((column, texts), longest)| {
                let text = texts.get(line).map_or("", String::as_str);
                cell(text, column.is_number, longest)
            })
        };
        let mut found: Vec<Row> = (self.rows.iter().enumerate())
            .map(|(line, row)| {
                let number = self.has_numbers.then(|| {
                    let text = Text::new((row + 1).to_string());
                    numbered(text, 0, false)
                });
                let cells = number.into_iter().chain(cells(line)).collect();
                match self.left_out.binary_search(row) {
                    Ok(_) => Row::LeftOut(cells),
                    Err(_) => Row::Cells(None, cells),
                }
            })
            .collect();
        if self.is_short() && columns.iter().any(|column| column.summary.is_some()) {
            let counts = columns.iter().map(|column| {
                let count = column.summary.as_ref().map_or("", |[count, ..]| count);
                cell(count, column.is_number, &Longest::default())
            });
            let named = |name: &str, cells: Vec<Cell>| {
                let name = std::iter::once(Cell::from(Text::new(name)));
                Row::Summary(name.chain(cells).collect())
            };
            found.push(named("n", counts.collect()));
            for (at, name) in ["mean", "least", "greatest"].into_iter().enumerate() {
                found.push(named(name, cells(self.rows.len() + at).collect()));
            }
        }
        found
    }

    /// "rows 412 to 431 and 500": rows that were left out together.
    pub(super) fn named(rows: &[usize]) -> String {
        if rows.is_empty() {
            return "no row".to_owned();
        }
        let mut spans: Vec<(usize, usize)> = Vec::new();
        for row in rows {
            match spans.last_mut() {
                Some((_, last)) if *last + 1 == *row => *last = *row,
                _ => spans.push((*row, *row)),
            }
        }
        let parts: Vec<String> = (spans.iter())
            .map(|(first, last)| match last - first {
                0 => format!("{}", first + 1),
                1 => format!("{}, {}", first + 1, last + 1),
                _ => format!("{} to {}", first + 1, last + 1),
            })
            .collect();
        let word = if rows.len() == 1 { "row" } else { "rows" };
        format!("{word} {}", parts.join(", "))
    }
}

fn cell(text: &str, is_number: bool, longest: &Longest) -> Cell {
    if !is_number {
        return Text::new(text).into();
    }
    let Some((value, size, behind)) = apart(text) else {
        let (decimals, has_point) = longest.end;
        let own = ending(text);
        return numbered(
            longest.number(text),
            decimals - own.0.min(decimals),
            has_point && !own.1,
        );
    };
    let behind_value = room(longest.value, ending(value));
    let before_size = room((longest.wholes, false), (wholes(size), false));
    let behind_size = room(longest.size, ending(size));
    // Both numbers stand point below point; of those before a power of ten the first does, as
    // each has one digit before its point.
    let parts = match behind {
        "" => [
            longest.number(value),
            behind_value,
            Text::new(PLUS_OR_MINUS),
            before_size,
            shown(size),
            behind_size,
        ],
        _ => [
            longest.number(value),
            Text::new(PLUS_OR_MINUS),
            shown(size),
            shown(behind),
            behind_value,
            behind_size,
        ],
    };
    let mut set = Text::default();
    parts.into_iter().for_each(|part| set.append(part));
    numbered(set, 0, false)
}

fn shown(text: &str) -> Text {
    Text::new(text.replace('-', "\u{2212}"))
}

fn numbered(text: Text, decimals: usize, lacks_point: bool) -> Cell {
    Cell {
        number: Some(Ends {
            decimals,
            lacks_point,
        }),
        ..text.into()
    }
}

/// Between a value and its uncertainty.
const PLUS_OR_MINUS: &str = " ± ";

/// `(1.634 ± 0.016) × 10⁻⁷` as its value, its uncertainty and what stands behind both.
fn apart(text: &str) -> Option<(&str, &str, &str)> {
    let (value, size) = text.split_once(PLUS_OR_MINUS)?;
    let end = size.find(')').unwrap_or(size.len());
    let (size, behind) = size.split_at(end);
    Some((value, size, behind))
}

/// The room of what the longest number has and this one lacks.
fn room((digits, has_point): (usize, bool), own: (usize, bool)) -> Text {
    let room = Set::Room {
        digits: digits - own.0.min(digits),
        has_point: has_point && !own.1,
    };
    let is_none = Set::Room {
        digits: 0,
        has_point: false,
    };
    let mut text = Text::default();
    if room != is_none {
        text.put(room);
    }
    text
}

/// How many decimals the longest of some numbers has, and whether any has a point.
#[derive(Debug, Default)]
struct Longest {
    /// Of those at the very end.
    end: (usize, bool),
    /// Of those with an uncertainty behind them.
    value: (usize, bool),
    /// Of these uncertainties.
    size: (usize, bool),
    /// The most digits before the point of an uncertainty.
    wholes: usize,
    /// The most digits before the point of any other number.
    digits: usize,
}

impl Longest {
    fn of(texts: &[String]) -> Self {
        let longer =
            |one: (usize, bool), other: (usize, bool)| (one.0.max(other.0), one.1 || other.1);
        texts
            .iter()
            .fold(Self::default(), |found, text| match apart(text) {
                None => Self {
                    end: longer(found.end, ending(text)),
                    digits: found.digits.max(wholes(unsigned(text))),
                    ..found
                },
                Some((value, size, _)) => Self {
                    value: longer(found.value, ending(value)),
                    size: longer(found.size, ending(size)),
                    wholes: found.wholes.max(wholes(size)),
                    digits: found.digits.max(wholes(unsigned(value))),
                    ..found
                },
            })
    }
}

impl Longest {
    /// A number whose digits before the point are parted by threes where some in its column has
    /// five; decimals are not, so that they stand below each other.
    fn number(&self, text: &str) -> Text {
        if self.digits < 5 {
            return shown(text);
        }
        let number = unsigned(text);
        let sign = &text[..text.len() - number.len()];
        let (whole, rest) = number.split_at(wholes(number));
        shown(&format!("{sign}{}{rest}", in_threes(whole)))
    }
}

fn unsigned(text: &str) -> &str {
    text.trim_start_matches(['(', '-', '\u{2212}'])
}

/// How many digits a number begins with.
fn wholes(text: &str) -> usize {
    text.bytes().take_while(u8::is_ascii_digit).count()
}

/// How many decimals stand at the end of a number, and whether a point is before them.
fn ending(text: &str) -> (usize, bool) {
    match text.rsplit_once('.') {
        Some((_, decimals)) if decimals.bytes().all(|byte| byte.is_ascii_digit()) => {
            (decimals.len(), true)
        }
        _ => (0, false),
    }
}

/// "2nd", "9091st"
fn ordinal(number: usize) -> String {
    let ending = match (number % 10, number % 100) {
        (_, 11..=13) => "th",
        (1, _) => "st",
        (2, _) => "nd",
        (3, _) => "rd",
        _ => "th",
    };
    format!("{number}{ending}")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn twelve_rows_are_spread_evenly_from_the_first_to_the_last() {
        let chosen = Chosen::new(100_000, Vec::new(), false);
        assert_eq!(chosen.rows.len(), 12);
        assert_eq!((chosen.rows[0], chosen.rows[11]), (0, 99_999));
        // Row 1 + k 99999/11, counted from 1.
        assert_eq!(chosen.rows[1..4], [9091, 18_182, 27_272]);
        let note = chosen.note();
        assert_eq!(
            note.as_deref(),
            Some("every 9091st row shown (of 100\u{202f}000)")
        );
    }

    #[test]
    fn digits_of_a_column_are_parted_alike() {
        let check = |texts: [&str; 2], expected: [&str; 2]| {
            let longest = Longest::of(&texts.map(str::to_owned));
            assert_eq!(
                texts.map(|text| longest.number(text)),
                expected.map(Text::new)
            );
        };
        check(["1234", "-9876.54321"], ["1234", "\u{2212}9876.54321"]);
        check(
            ["1234.5", "-123456.7"],
            ["1\u{202f}234.5", "\u{2212}123\u{202f}456.7"],
        );
        check(
            ["12345 ± 12", "-1.5"],
            ["12\u{202f}345 ± 12", "\u{2212}1.5"],
        );
    }

    #[test]
    fn few_rows_are_all_shown_and_what_is_left_out_is_among_them() {
        assert_eq!(Chosen::new(40, Vec::new(), false).rows.len(), 40);
        let chosen = Chosen::new(41, vec![2, 30], false);
        assert_eq!(chosen.rows.len(), 14);
        assert!(chosen.rows.contains(&2) && chosen.rows.contains(&30));
        let many: Vec<usize> = (5..25).collect();
        assert_eq!(Chosen::new(41, many, false).rows.len(), 12);
    }

    #[test]
    fn rows_that_follow_each_other_are_a_span() {
        assert_eq!(Chosen::named(&[2]), "row 3");
        assert_eq!(Chosen::named(&[2, 3, 7]), "rows 3, 4, 8");
        assert_eq!(
            Chosen::named(&[411, 412, 413, 9000]),
            "rows 412 to 414, 9001"
        );
    }

    #[test]
    fn ordinals_end_as_they_are_spoken() {
        for (number, wanted) in [
            (1, "1st"),
            (2, "2nd"),
            (3, "3rd"),
            (4, "4th"),
            (11, "11th"),
            (112, "112th"),
            (9091, "9091st"),
        ] {
            assert_eq!(ordinal(number), wanted);
        }
    }
}
