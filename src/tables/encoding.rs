//! Bytes to text, in the encodings that loggers and spreadsheets write.

use std::borrow::Cow;

/// How the characters of a file are written.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Encoding {
    /// UTF-8.
    Utf8,
    /// Windows-1252 (WHATWG Encoding Standard, without its five bytes that stand for nothing).
    Windows1252,
    /// ISO 8859-1.
    Latin1,
    /// UTF-16, with its byte order mark.
    Utf16,
}

impl Encoding {
    /// Every encoding.
    pub const ALL: [Self; 4] = [Self::Utf8, Self::Windows1252, Self::Latin1, Self::Utf16];

    /// As an author writes it.
    pub fn word(self) -> &'static str {
        match self {
            Self::Utf8 => "UTF-8",
            Self::Windows1252 => "Windows-1252",
            Self::Latin1 => "ISO-8859-1",
            Self::Utf16 => "UTF-16",
        }
    }
}

/// Why bytes are no text.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum NotText {
    /// This byte has no meaning; with its line, counted from 1.
    Byte(u8, usize),
    /// Half of a pair, or an odd byte at the end, in this line.
    Unit(usize),
    /// Nothing says which byte of two comes first.
    NoMark,
}

/// What Windows-1252 has where ISO 8859-1 has control characters, from 0x80; zero for nothing.
const WINDOWS: [u16; 32] = [
    0x20AC, 0, 0x201A, 0x0192, 0x201E, 0x2026, 0x2020, 0x2021, 0x02C6, 0x2030, 0x0160, 0x2039,
    0x0152, 0, 0x017D, 0, 0, 0x2018, 0x2019, 0x201C, 0x201D, 0x2022, 0x2013, 0x2014, 0x02DC,
    0x2122, 0x0161, 0x203A, 0x0153, 0, 0x017E, 0x0178,
];

/// The text that bytes are; a byte order mark decides, and is no part of it.
///
/// # Errors
/// A [`NotText`] with the first place that cannot be read.
pub fn decoded(bytes: &[u8], encoding: Encoding) -> Result<Cow<'_, str>, NotText> {
    if let Some(rest) = bytes.strip_prefix(b"\xEF\xBB\xBF") {
        return utf8(rest);
    }
    if let Some(rest) = bytes.strip_prefix(b"\xFF\xFE") {
        return utf16(rest, u16::from_le_bytes);
    }
    if let Some(rest) = bytes.strip_prefix(b"\xFE\xFF") {
        return utf16(rest, u16::from_be_bytes);
    }
    match encoding {
        Encoding::Utf8 => utf8(bytes),
        Encoding::Latin1 => Ok(bytes.iter().map(|byte| char::from(*byte)).collect()),
        Encoding::Windows1252 => windows(bytes),
        Encoding::Utf16 if bytes.is_empty() => Ok("".into()),
        Encoding::Utf16 => Err(NotText::NoMark),
    }
}

fn utf8(bytes: &[u8]) -> Result<Cow<'_, str>, NotText> {
    let text = std::str::from_utf8(bytes).map_err(|error| {
        let at = error.valid_up_to();
        let byte = bytes.get(at).copied().unwrap_or_default();
        NotText::Byte(byte, line_at(bytes, at))
    })?;
    Ok(text.into())
}

fn windows(bytes: &[u8]) -> Result<Cow<'_, str>, NotText> {
    let letter = |(at, byte): (usize, &u8)| match byte {
        0x80..=0x9F => WINDOWS
            .get(usize::from(byte - 0x80))
            .and_then(|code| char::from_u32(u32::from(*code)))
            .filter(|letter| *letter != '\0')
            .ok_or_else(|| NotText::Byte(*byte, line_at(bytes, at))),
        _ => Ok(char::from(*byte)),
    };
    bytes.iter().enumerate().map(letter).collect()
}

fn utf16(bytes: &[u8], unit: fn([u8; 2]) -> u16) -> Result<Cow<'_, str>, NotText> {
    let units = bytes.chunks(2).map(|pair| match pair {
        [first, second] => unit([*first, *second]),
        // An odd byte at the end is half of something, as a lone surrogate is.
        _ => 0xD800,
    });
    let mut line = 1;
    char::decode_utf16(units)
        .map(|letter| {
            let letter = letter.map_err(|_| NotText::Unit(line))?;
            line += usize::from(letter == '\n');
            Ok(letter)
        })
        .collect()
}

fn line_at(bytes: &[u8], at: usize) -> usize {
    let before = bytes.get(..at).unwrap_or_default();
    1 + before.iter().filter(|byte| **byte == b'\n').count()
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn letters_beyond_ascii_are_read_in_their_encoding() {
        let read = |bytes: &[u8], encoding| decoded(bytes, encoding).map(Cow::into_owned);
        assert_eq!(read(b"\xB0C", Encoding::Latin1).unwrap(), "°C");
        assert_eq!(read(b"\x80\xB5", Encoding::Windows1252).unwrap(), "€µ");
        assert_eq!(read(b"\xFF\xFEa\0\xB0\0", Encoding::Utf8).unwrap(), "a°");
        assert_eq!(read(b"\xFE\xFF\0a\0\xB0", Encoding::Utf16).unwrap(), "a°");
        assert_eq!(read(b"\xEF\xBB\xBFa", Encoding::Latin1).unwrap(), "a");
    }

    #[test]
    fn what_is_no_text_is_told_with_its_line() {
        let fault = |bytes, encoding| decoded(bytes, encoding).unwrap_err();
        assert_eq!(fault(b"a\nb \xB0", Encoding::Utf8), NotText::Byte(0xB0, 2));
        assert_eq!(
            fault(b"\x81", Encoding::Windows1252),
            NotText::Byte(0x81, 1)
        );
        assert_eq!(fault(b"a\0", Encoding::Utf16), NotText::NoMark);
        assert_eq!(fault(b"\xFF\xFE\n\0a", Encoding::Utf16), NotText::Unit(2));
        assert_eq!(
            fault(b"\xFF\xFE\0\xD8a\0", Encoding::Utf16),
            NotText::Unit(1)
        );
    }

    proptest! {
        #[test]
        fn a_text_is_read_back_from_both_orders_of_bytes(text in "\\PC{0,20}") {
            let bytes = |mark: u16, order: fn(u16) -> [u8; 2]| -> Vec<u8> {
                let units = std::iter::once(mark).chain(text.encode_utf16());
                units.flat_map(order).collect()
            };
            let little = bytes(0xFEFF, u16::to_le_bytes);
            let big = bytes(0xFEFF, u16::to_be_bytes);
            prop_assert_eq!(&*decoded(&little, Encoding::Utf16).unwrap(), &*text);
            prop_assert_eq!(&*decoded(&big, Encoding::Utf8).unwrap(), &*text);
        }
    }
}
