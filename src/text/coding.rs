//! What stands in addresses: paths (RFC 3986: `a%20b` for `a b`), and bytes in base64 (RFC 4648).

use std::fmt::Write;

use base64::Engine;
use base64::engine::general_purpose::STANDARD;

/// Appends bytes in base64.
pub fn base64(bytes: &[u8], out: &mut String) {
    STANDARD.encode_string(bytes, out);
}

/// A path as it stands in an address.
pub fn escaped(path: &str) -> String {
    let mut url = String::with_capacity(path.len());
    for byte in path.bytes() {
        let is_plain = byte.is_ascii_alphanumeric() || b"/-._~".contains(&byte);
        if is_plain {
            url.push(char::from(byte));
        } else {
            // Writing to a string does not fail.
            let _ = write!(url, "%{byte:02X}");
        }
    }
    url
}

/// A name with its `%41` decoded, once; none where that is not UTF-8 or a `%` stands alone.
pub fn decoded(name: &str) -> Option<String> {
    let mut bytes = Vec::with_capacity(name.len());
    let mut rest = name.bytes();
    while let Some(byte) = rest.next() {
        if byte == b'%' {
            let high = char::from(rest.next()?).to_digit(16)?;
            let low = char::from(rest.next()?).to_digit(16)?;
            bytes.push(u8::try_from(high * 16 + low).ok()?);
        } else {
            bytes.push(byte);
        }
    }
    String::from_utf8(bytes).ok()
}
