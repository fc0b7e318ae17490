//! SHA-256 (FIPS 180-4) and its text form.

use std::fmt;

use sha2::{Digest as _, Sha256};

/// A SHA-256 value. `Display` gives 64 lower-case hex digits.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct Digest(pub [u8; 32]);

impl Digest {
    /// Reads 64 lower-case hex digits; `None` for anything else, upper case included, so that a value has
    /// one spelling only.
    pub fn from_hex(text: &str) -> Option<Digest> {
        let text = text.as_bytes();
        if text.len() != 64 {
            return None;
        }
        let digit = |b: u8| match b {
            b'0'..=b'9' => Some(b - b'0'),
            b'a'..=b'f' => Some(b - b'a' + 10),
            _ => None,
        };
        let mut out = [0u8; 32];
        for (byte, pair) in out.iter_mut().zip(text.chunks_exact(2)) {
            *byte = digit(pair[0])? << 4 | digit(pair[1])?;
        }
        Some(Digest(out))
    }
}

impl fmt::Display for Digest {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.0.iter().try_for_each(|b| write!(f, "{b:02x}"))
    }
}

impl fmt::Debug for Digest {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "Digest({self})")
    }
}

/// The SHA-256 of some bytes.
pub fn sha256(bytes: &[u8]) -> Digest {
    Digest(Sha256::digest(bytes).into())
}

/// SHA-256 of bytes that come in pieces.
#[derive(Default)]
pub struct Hasher(Sha256);

impl Hasher {
    /// Takes the next piece.
    pub fn update(&mut self, piece: &[u8]) {
        self.0.update(piece);
    }

    /// The value of all pieces so far, one after the other.
    pub fn finish(self) -> Digest {
        Digest(self.0.finalize().into())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// "" and "abc": FIPS 180-4 examples as published by NIST; "hello\n" by coreutils `sha256sum`.
    const VECTORS: [(&[u8], &str); 3] = [
        (
            b"",
            "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855",
        ),
        (
            b"abc",
            "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad",
        ),
        (
            b"hello\n",
            "5891b5b522d5df086d0ff0b110fbd9d21bb4fc7163af34d08286a2e846f6be03",
        ),
    ];

    #[test]
    fn known_values() {
        for (bytes, hex) in VECTORS {
            assert_eq!(sha256(bytes).to_string(), hex);
            assert_eq!(Digest::from_hex(hex), Some(sha256(bytes)));
            let mut pieces = Hasher::default();
            bytes.chunks(2).for_each(|p| pieces.update(p));
            assert_eq!(pieces.finish(), sha256(bytes));
        }
    }

    #[test]
    fn hex_has_one_spelling() {
        let upper = VECTORS[0].1.to_uppercase();
        assert_eq!(Digest::from_hex(&upper), None);
        assert_eq!(Digest::from_hex(&VECTORS[0].1[..63]), None);
        assert_eq!(Digest::from_hex(&VECTORS[0].1.replacen('e', "g", 1)), None);
    }
}
