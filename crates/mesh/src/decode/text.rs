//! Reading words and numbers out of the bytes of a text mesh.

use super::fault::{DecodeFault, Place};
use super::format::Format;

/// A walk over white-space separated words; it copies nothing.
pub(super) struct Words<'a> {
    bytes: &'a [u8],
    at: usize,
    /// Where the last word began, for errors.
    last: usize,
}

impl<'a> Words<'a> {
    pub(super) fn new(bytes: &'a [u8]) -> Words<'a> {
        Words {
            bytes,
            at: 0,
            last: 0,
        }
    }

    /// The next word; `None` at the end.
    pub(super) fn next(&mut self) -> Option<&'a [u8]> {
        while self
            .bytes
            .get(self.at)
            .is_some_and(|b| b.is_ascii_whitespace() || *b == 0x0B)
        {
            self.at += 1;
        }
        let start = self.at;
        while self
            .bytes
            .get(self.at)
            .is_some_and(|b| !b.is_ascii_whitespace() && *b != 0x0B)
        {
            self.at += 1;
        }
        self.last = start;
        (self.at > start).then(|| &self.bytes[start..self.at])
    }

    /// The rest of the line without its ends; the walk goes on after it.
    pub(super) fn rest_of_line(&mut self) -> &'a [u8] {
        let rest = &self.bytes[self.at..];
        let end = rest
            .iter()
            .position(|b| matches!(b, b'\n' | b'\r'))
            .unwrap_or(rest.len());
        self.at += end;
        rest[..end].trim_ascii()
    }

    /// Where the last word began, bytes.
    pub(super) fn last_start(&self) -> usize {
        self.last
    }

    /// The line on which the last word began.
    pub(super) fn place(&self) -> Place {
        Place::Line(line_of(self.bytes, self.last))
    }

    /// The fault of the word just read: `found`, or the end of the file.
    pub(super) fn unexpected(
        &self,
        format: Format,
        found: Option<&[u8]>,
        expected: &str,
    ) -> DecodeFault {
        match found {
            Some(word) if self.at < self.bytes.len() => DecodeFault::Malformed {
                format,
                place: self.place(),
                expected: expected.into(),
                found: quoted(word),
            },
            // A word that touches the end of the file was cut as well.
            _ => DecodeFault::EndsEarly {
                place: Place::Line(line_of(self.bytes, self.bytes.trim_ascii_end().len())),
                expected: expected.into(),
            },
        }
    }
}

/// The line on which a byte stands, from 1; a lone CR ends a line too.
pub(super) fn line_of(bytes: &[u8], at: usize) -> u64 {
    let before = &bytes[..at.min(bytes.len())];
    let mut lines = 1;
    for (i, &b) in before.iter().enumerate() {
        if b == b'\n' || (b == b'\r' && bytes.get(i + 1) != Some(&b'\n')) {
            lines += 1;
        }
    }
    lines
}

/// A number as text meshes write it; NaN and infinity are numbers here and are dealt with by the caller.
pub(super) fn real(word: &[u8]) -> Option<f32> {
    std::str::from_utf8(word).ok()?.parse().ok()
}

/// The longest piece of a file that is quoted in an error, characters.
const QUOTE: usize = 40;

/// A word of the file, fit to be shown: bounded, with control characters escaped.
pub(super) fn quoted(word: &[u8]) -> String {
    let text = String::from_utf8_lossy(&word[..word.len().min(4 * QUOTE)]);
    let mut shown: String = text
        .chars()
        .take(QUOTE)
        .flat_map(char::escape_debug)
        .collect();
    if text.chars().count() > QUOTE || word.len() > 4 * QUOTE {
        shown.push_str("...");
    }
    format!("\"{shown}\"")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lines_are_counted_with_every_line_end() {
        assert_eq!(line_of(b"a\nb\nc", 4), 3);
        assert_eq!(line_of(b"a\r\nb\r\nc", 6), 3);
        assert_eq!(line_of(b"a\rb\rc", 4), 3);
    }

    #[test]
    fn what_is_quoted_is_short_and_printable() {
        assert_eq!(quoted(b"abc\x07"), "\"abc\\u{7}\"");
        assert!(quoted(&[b'x'; 4000]).len() < 60);
    }
}
