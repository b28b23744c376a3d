//! Pictures: the bytes of a file to an address that holds the whole picture.
//!
//! What kind of picture a file is, its first bytes say, whatever it is called. Pixels are embedded
//! as they are; a drawing is written anew ([`svg`]), so that nothing is left in it but what draws.

mod svg;

#[cfg(test)]
mod laws;

use crate::text::coding;

/// The most bytes of a picture.
pub const MOST_BYTES: usize = 8 * 1024 * 1024;

/// What pictures may be, as messages name it.
pub const KINDS: &str = "PNG, JPEG, GIF, WebP, AVIF or SVG";

/// A picture that a page can hold.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Picture {
    /// An address that holds all its bytes: `data:image/png;base64,…`.
    pub address: String,
    /// The parts of a drawing that were left out: what runs, and what leads elsewhere.
    pub left_out: Vec<String>,
}

/// Why bytes are no picture of a page.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Refusal {
    /// There are more than [`MOST_BYTES`].
    TooLarge,
    /// They begin as no picture does.
    NoPicture,
    /// They are a drawing that is not read, for this reason.
    Drawing(String),
}

/// The picture that bytes are.
///
/// # Errors
/// A [`Refusal`] for bytes that are none, or too many.
pub fn picture(bytes: &[u8]) -> Result<Picture, Refusal> {
    if bytes.len() > MOST_BYTES {
        return Err(Refusal::TooLarge);
    }
    if let Some(kind) = pixels(bytes) {
        return Ok(Picture {
            address: address(kind, bytes),
            left_out: Vec::new(),
        });
    }
    let text = std::str::from_utf8(bytes).map_err(|_| Refusal::NoPicture)?;
    let text = text.trim_start_matches('\u{feff}');
    if !text.trim_start().starts_with('<') {
        return Err(Refusal::NoPicture);
    }
    let drawing = svg::written(text)?;
    Ok(Picture {
        address: address("svg+xml", drawing.text.as_bytes()),
        left_out: drawing.left_out,
    })
}

/// How the names of files with pictures usually end.
pub const ENDINGS: [&str; 7] = ["svg", "png", "jpg", "jpeg", "gif", "webp", "avif"];

/// The kind of a picture that is made of pixels, as its first bytes tell.
fn pixels(bytes: &[u8]) -> Option<&'static str> {
    let has = |at: usize, word: &[u8]| bytes.get(at..).is_some_and(|rest| rest.starts_with(word));
    let kinds = [
        ("png", has(0, b"\x89PNG\r\n\x1a\n")),
        ("jpeg", has(0, b"\xff\xd8\xff")),
        ("gif", has(0, b"GIF87a") || has(0, b"GIF89a")),
        ("webp", has(0, b"RIFF") && has(8, b"WEBP")),
        ("avif", has(4, b"ftypavif")),
    ];
    kinds
        .iter()
        .find(|(_, is_it)| *is_it)
        .map(|(kind, _)| *kind)
}

fn address(kind: &str, bytes: &[u8]) -> String {
    let mut address = format!("data:image/{kind};base64,");
    coding::base64(bytes, &mut address);
    address
}

#[cfg(test)]
mod tests {
    use base64::Engine;
    use base64::engine::general_purpose::STANDARD;

    use super::*;

    #[test]
    fn the_first_bytes_say_what_a_picture_is() {
        for (bytes, kind) in [
            (&b"\x89PNG\r\n\x1a\nrest"[..], "png"),
            (b"\xff\xd8\xff\xe0", "jpeg"),
            (b"GIF89a", "gif"),
            (b"RIFF\x10\0\0\0WEBPVP8 ", "webp"),
            (b"\0\0\0\x1cftypavif", "avif"),
            (b"\xef\xbb\xbf<svg/>", "svg+xml"),
        ] {
            let found = picture(bytes).unwrap();
            let begins = format!("data:image/{kind};base64,");
            assert!(found.address.starts_with(&begins), "{}", found.address);
        }
        for bytes in [
            &b""[..],
            b"text",
            b"\x89PNX",
            b"\xff\xfe<\0",
            b"RIFF\0\0\0\0WAVE",
        ] {
            assert_eq!(picture(bytes), Err(Refusal::NoPicture), "{bytes:?}");
        }
    }

    #[test]
    fn pixels_are_embedded_as_they_are() {
        let bytes = b"\x89PNG\r\n\x1a\n\0\xff<script>";
        let found = picture(bytes).unwrap();
        let (_, coded) = found.address.split_once(',').unwrap();
        assert_eq!(STANDARD.decode(coded).unwrap(), bytes);
    }

    #[test]
    fn a_picture_has_a_limit() {
        let mut bytes = b"GIF89a".to_vec();
        bytes.resize(MOST_BYTES, 0);
        assert!(picture(&bytes).is_ok());
        bytes.push(0);
        assert_eq!(picture(&bytes), Err(Refusal::TooLarge));
    }
}
