//! Separated values (RFC 4180) to rows of fields with their places, each row by itself: what is
//! wrong with one is nothing to the others.

use std::ops::Range;

use csv::{ByteRecord, ReaderBuilder};

use super::Separator;

/// A row of fields.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Record {
    /// Where it stands, without what ends its line.
    pub place: Range<usize>,
    /// How many fields it has.
    pub count: usize,
    /// The first of them.
    pub fields: Vec<Entry>,
    /// Whether a quote is opened in it and never closed.
    pub is_open: bool,
}

/// A field.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Entry {
    /// Where it stands, quotes included.
    pub place: Range<usize>,
    /// What it says, without its quotes.
    pub text: Box<str>,
}

/// The rows of a text, one after another; of each as many fields as are asked for.
pub fn records(
    text: &str,
    separator: Separator,
    fields: usize,
) -> impl Iterator<Item = Record> + '_ {
    let mut reader = ReaderBuilder::new()
        .delimiter(separator.byte())
        .has_headers(false)
        .flexible(true)
        .from_reader(text.as_bytes());
    let mut record = ByteRecord::new();
    std::iter::from_fn(move || {
        // Bytes in memory are always read, and of lines with any number of fields each is one.
        let is_read = reader.read_byte_record(&mut record);
        if !is_read.unwrap_or(false) {
            return None;
        }
        let start = record.position().map_or(0, csv::Position::byte) as usize;
        let end = reader.position().byte() as usize;
        let (places, is_open) = places(text, start..end, separator, fields);
        // What was cut out of a text between separators is text.
        let texts = record.iter().map(|it| String::from_utf8_lossy(it).into());
        let place = match (places.first(), text.get(start..end)) {
            (Some(first), Some(raw)) => {
                first.start..start + raw.trim_end_matches(['\r', '\n']).len()
            }
            _ => start..end,
        };
        let is_last = end >= text.len();
        Some(Record {
            place,
            count: record.len(),
            fields: (places.into_iter().zip(texts))
                .map(|(place, text)| Entry { place, text })
                .collect(),
            is_open: is_open && is_last,
        })
    })
}

/// Where the first fields of a row stand, and whether its last quote is open.
fn places(
    text: &str,
    row: Range<usize>,
    separator: Separator,
    most: usize,
) -> (Vec<Range<usize>>, bool) {
    let raw = text.get(row.clone()).unwrap_or("");
    // Empty lines before it are no fields.
    let skipped = raw.len() - raw.trim_start_matches(['\r', '\n']).len();
    let written = raw.trim_matches(['\r', '\n']);
    let from = row.start + skipped;
    let (mut found, mut start) = (Vec::new(), 0);
    let (mut is_quoted, mut at_start) = (false, true);
    for (at, byte) in written.bytes().enumerate() {
        match byte {
            // A quote within a field that has none at its start is a letter of it.
            b'"' if is_quoted || at_start => is_quoted = !is_quoted,
            _ if is_quoted => {}
            _ if byte == separator.byte() => {
                if found.len() < most {
                    found.push(from + start..from + at);
                }
                start = at + 1;
                at_start = true;
            }
            _ => at_start = false,
        }
    }
    if found.len() < most {
        found.push(from + start..from + written.len());
    }
    (found, is_quoted)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn all(text: &str) -> Vec<Record> {
        records(text, Separator::Commas, 100).collect()
    }

    #[test]
    fn fields_have_their_places() {
        let text = "id,a\r\n\r\ns1,\"1,5 \"\"x\"\"\"\ns2,,é\n";
        let found = all(text);
        let place = |row: usize, at: usize| &text[found[row].fields[at].place.clone()];
        assert_eq!(found.len(), 3);
        assert_eq!(place(0, 1), "a");
        assert_eq!(place(1, 1), "\"1,5 \"\"x\"\"\"");
        assert_eq!(&*found[1].fields[1].text, "1,5 \"x\"");
        assert_eq!(place(2, 2), "é");
        assert_eq!(found[2].count, 3);
        assert_eq!(&text[found[1].place.clone()], "s1,\"1,5 \"\"x\"\"\"");
    }

    #[test]
    fn an_open_quote_is_told() {
        let found = all("a,b\n1,\"2\n3,4\n");
        assert_eq!(found.len(), 2);
        assert!(!found[0].is_open && found[1].is_open);
    }

    proptest! {
        #[test]
        fn what_is_written_is_read_again_in_its_place(
            rows in proptest::collection::vec(
                proptest::collection::vec("[a-z,;\"\n é]{0,5}", 2..5), 1..5,
            ),
        ) {
            let text = super::super::separated(rows.clone().into_iter());
            let found = all(&text);
            prop_assert_eq!(found.len(), rows.len());
            for (record, row) in found.iter().zip(&rows) {
                let texts: Vec<&str> = record.fields.iter().map(|it| &*it.text).collect();
                prop_assert_eq!(texts, row.iter().map(String::as_str).collect::<Vec<_>>());
                for field in &record.fields {
                    let written = &text[field.place.clone()];
                    let bare = written.strip_prefix('"').and_then(|it| it.strip_suffix('"'));
                    let bare = bare.map_or(written.to_owned(), |it| it.replace("\"\"", "\""));
                    prop_assert_eq!(&*bare, &*field.text);
                }
            }
        }

        #[test]
        fn any_text_has_as_many_places_as_fields(text in "[a,\"\r\n é]{0,30}") {
            for record in all(&text) {
                prop_assert_eq!(record.fields.len(), record.count, "{:?}", text);
            }
        }
    }
}
