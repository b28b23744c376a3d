//! Fingerprints of bytes (SHA-256, FIPS 180-4).

use std::fmt;

use sha2::{Digest, Sha256};

/// The SHA-256 of some bytes, written as 64 hexadecimal digits.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct Hash([u8; 32]);

impl Hash {
    /// What stands before anything was hashed.
    pub const NONE: Self = Self([0; 32]);

    /// The hash of some bytes.
    pub fn of(bytes: &[u8]) -> Self {
        Self(Sha256::digest(bytes).into())
    }

    /// Reads 64 hexadecimal digits in lower case.
    pub fn read(text: &str) -> Option<Self> {
        let is_hex = |byte: u8| matches!(byte, b'0'..=b'9' | b'a'..=b'f');
        (text.len() == 64 && text.bytes().all(is_hex)).then_some(())?;
        let mut bytes = [0; 32];
        for (at, byte) in bytes.iter_mut().enumerate() {
            *byte = u8::from_str_radix(text.get(2 * at..2 * at + 2)?, 16).ok()?;
        }
        Some(Self(bytes))
    }

    /// In base64, as a security policy names it.
    pub fn base64(&self) -> String {
        let mut out = String::new();
        super::coding::base64(&self.0, &mut out);
        out
    }

    /// The first twelve digits, for people to compare.
    pub fn short(&self) -> String {
        self.to_string().chars().take(12).collect()
    }

    /// The first eight bytes, as a number.
    pub fn seed(&self) -> u64 {
        let first = self.0.iter().take(8);
        first.fold(0, |number, byte| number << 8 | u64::from(*byte))
    }
}

impl fmt::Display for Hash {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.0.iter().try_for_each(|byte| write!(f, "{byte:02x}"))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// FIPS 180-4's example of one block, "abc" (published by NIST with the standard).
    #[test]
    fn a_hash_is_that_of_the_standard_and_is_read_back() {
        let hash = Hash::of(b"abc");
        let written = "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad";
        assert_eq!(hash.to_string(), written);
        assert_eq!(Hash::read(written), Some(hash));
        assert_eq!(Hash::read(&written.to_uppercase()), None);
        assert_eq!(Hash::read(&written[1..]), None);
        assert_eq!(hash.short(), "ba7816bf8f01");
        assert_eq!(hash.seed(), 0xba78_16bf_8f01_cfea);
    }
}
