use proptest::prelude::*;

use super::*;
use crate::tables::{Decimal, MOST_ROWS};

fn readings(which: &Which) -> Wanted<'_> {
    Wanted {
        which,
        holds: Holds::Readings,
    }
}

#[test]
fn a_row_beyond_the_limit_is_refused_and_fewer_are_read() {
    let text = format!("t\n{}", "1\n".repeat(MOST_ROWS + 1));
    let which = Which::Numbered(1);
    let read = |rows| {
        let layout = Layout {
            rows,
            ..Layout::default()
        };
        columns(text.as_bytes(), &layout, &[readings(&which)])
    };
    assert_eq!(read(None), Err(vec![Fault::TooManyRows]));
    assert_eq!(
        read(Some([7, 9])).unwrap()[0].fields,
        Fields::Readings(vec![Some(crate::tables::reading("1").unwrap()); 3])
    );
}

fn written(text: &str, separator: Separator) -> String {
    let is_plain = !text.is_empty()
        && !text.contains(['"', '\n', '\r', ' ', '\t', char::from(separator.byte())]);
    match is_plain {
        true => text.to_owned(),
        false => format!("\"{}\"", text.replace('"', "\"\"")),
    }
}

fn encoded(text: &str, encoding: Encoding) -> Vec<u8> {
    match encoding {
        Encoding::Utf8 => text.as_bytes().to_vec(),
        // The letters of the law are the same in both.
        Encoding::Latin1 | Encoding::Windows1252 => text.chars().map(|it| it as u8).collect(),
        Encoding::Utf16 => std::iter::once(0xFEFF)
            .chain(text.encode_utf16())
            .flat_map(u16::to_le_bytes)
            .collect(),
    }
}

proptest! {
    #[test]
    fn what_is_written_is_read_back_in_every_manner(
        rows in prop::collection::vec(
            (any::<i32>(), -6..6_i32, "[a-z°é,;|\" ]{0,6}", any::<bool>()), 1..12),
        separator in prop::sample::select(Separator::ALL.to_vec()),
        sign in prop::sample::select(Sign::ALL.to_vec()),
        encoding in prop::sample::select(Encoding::ALL.to_vec()),
        before in 0..3_usize,
        end in prop::sample::select(vec!["\n", "\r\n"]),
    ) {
        let mut text = format!("logger \"7{end}").repeat(before);
        let divided = char::from(separator.byte());
        let mut line = |fields: [String; 2]| {
            text.push_str(&fields.join(&divided.to_string()));
            text.push_str(end);
        };
        line(["x".to_owned(), written("my words", separator)]);
        for (digits, power, words, is_there) in &rows {
            let number = Decimal { digits: i128::from(*digits), power: *power };
            let number = match (is_there, sign) {
                (false, _) => "-".to_owned(),
                (true, Sign::Point) => number.text(),
                (true, Sign::Comma) => number.text().replace('.', ","),
            };
            line([written(&number, separator), written(words, separator)]);
        }
        let layout = Layout {
            separator,
            sign,
            encoding,
            headings: Some(before + 1),
            ..Layout::default()
        };
        let [x, words] = [Which::Numbered(1), Which::Titled("my words".into())];
        let words = Wanted { which: &words, holds: Holds::Words };
        let found = columns(&encoded(&text, encoding), &layout, &[readings(&x), words]).unwrap();
        let numbers = rows.iter().map(|(digits, power, _, is_there)| {
            is_there.then_some(Reading {
                number: Decimal { digits: i128::from(*digits), power: *power },
                uncertainty: None,
            })
        });
        prop_assert_eq!(&found[0].fields, &Fields::Readings(numbers.collect()));
        let words = rows.iter().map(|(_, _, words, _)| words.trim().into());
        prop_assert_eq!(&found[1].fields, &Fields::Words(words.collect()));
    }

    #[test]
    fn no_bytes_make_it_panic(
        bytes in prop::collection::vec(any::<u8>(), 0..200),
        separator in prop::sample::select(Separator::ALL.to_vec()),
        encoding in prop::sample::select(Encoding::ALL.to_vec()),
        headings in prop::option::of(1..4_usize),
    ) {
        let layout = Layout { separator, encoding, headings, ..Layout::default() };
        let which = Which::Numbered(1);
        let _ = columns(&bytes, &layout, &[readings(&which)]);
    }
}
