//! What bytes really are, whatever their name: for the error that says so.

use serde::{Deserialize, Serialize};
use std::fmt;

use super::fault::DecodeFault;

/// A kind of content, recognised by its first bytes.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
pub enum Content {
    /// A zip archive, which a 3MF is too.
    Zip,
    /// A PLY mesh.
    Ply,
    /// An ASCII STL.
    AsciiStl,
    /// A PNG picture.
    Png,
    /// A JPEG picture.
    Jpeg,
    /// A GIF picture.
    Gif,
    /// A PDF document.
    Pdf,
    /// gzip-packed data.
    Gzip,
    /// A binary glTF.
    Glb,
    /// A STEP exchange file (ISO 10303-21).
    Step,
    /// A web page: often the error or log-in page of a download.
    Html,
    /// An XML document.
    Xml,
    /// JSON.
    Json,
    /// Other text.
    Text,
    /// Other bytes.
    Binary,
}

impl fmt::Display for Content {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Content::Zip => "a zip archive",
            Content::Ply => "a PLY mesh",
            Content::AsciiStl => "an ASCII STL mesh",
            Content::Png => "a PNG picture",
            Content::Jpeg => "a JPEG picture",
            Content::Gif => "a GIF picture",
            Content::Pdf => "a PDF document",
            Content::Gzip => "gzip-packed data",
            Content::Glb => "a binary glTF scene",
            Content::Step => "a STEP file",
            Content::Html => "a web page",
            Content::Xml => "an XML document",
            Content::Json => "JSON",
            Content::Text => "text of another kind",
            Content::Binary => "binary data of another kind",
        })
    }
}

/// How much of the start is looked at.
const HEAD: usize = 1024;

/// The UTF-8 byte order mark.
pub(super) const BYTE_ORDER_MARK: &[u8] = &[0xEF, 0xBB, 0xBF];

/// `bytes` without byte order mark and leading white space.
pub(super) fn trimmed(bytes: &[u8]) -> &[u8] {
    bytes
        .strip_prefix(BYTE_ORDER_MARK)
        .unwrap_or(bytes)
        .trim_ascii_start()
}

/// True where the start of `bytes` holds no control character that text would not hold.
pub(super) fn looks_like_text(bytes: &[u8]) -> bool {
    bytes[..bytes.len().min(HEAD)]
        .iter()
        .all(|&b| b >= 0x20 || matches!(b, b'\t' | b'\n' | b'\r' | 0x0B | 0x0C))
}

/// Does `bytes` begin with `word`, in any case?
pub(super) fn begins(bytes: &[u8], word: &str) -> bool {
    bytes.len() >= word.len() && bytes[..word.len()].eq_ignore_ascii_case(word.as_bytes())
}

/// What the bytes are.
pub(super) fn content(bytes: &[u8]) -> Content {
    const MAGIC: [(&[u8], Content); 8] = [
        (b"PK\x03\x04", Content::Zip),
        (b"PK\x05\x06", Content::Zip),
        (b"\x89PNG\r\n\x1a\n", Content::Png),
        (b"\xFF\xD8\xFF", Content::Jpeg),
        (b"GIF8", Content::Gif),
        (b"%PDF-", Content::Pdf),
        (b"\x1F\x8B\x08", Content::Gzip),
        (b"glTF", Content::Glb),
    ];
    if let Some((_, found)) = MAGIC.iter().find(|(magic, _)| bytes.starts_with(magic)) {
        return *found;
    }
    if bytes.starts_with(b"ply\n") || bytes.starts_with(b"ply\r") {
        return Content::Ply;
    }
    if !looks_like_text(bytes) {
        return Content::Binary;
    }
    let text = trimmed(bytes);
    if begins(text, "<!doctype html") || begins(text, "<html") {
        Content::Html
    } else if begins(text, "<?xml") {
        Content::Xml
    } else if begins(text, "ISO-10303-21") {
        Content::Step
    } else if begins(text, "solid") {
        Content::AsciiStl
    } else if text.starts_with(b"{") || text.starts_with(b"[") {
        Content::Json
    } else {
        Content::Text
    }
}

/// The fault of a pointer text that stands in place of a large file.
///
/// Source: the pointer format's specification says that the first line is `version` and an address ending
/// in `git-lfs.github.com/spec/v1`, that `size` gives bytes, and that a pointer is under 1024 bytes
/// (from memory).
pub(super) fn large_file_pointer(bytes: &[u8]) -> Option<DecodeFault> {
    let text = trimmed(bytes);
    if bytes.len() >= HEAD || !begins(text, "version https://") {
        return None;
    }
    let text = std::str::from_utf8(text).ok()?;
    let first = text.lines().next()?;
    if !first.contains("/spec/v") || !text.contains("oid ") {
        return None;
    }
    let real_bytes = text
        .lines()
        .find_map(|line| line.strip_prefix("size ")?.trim().parse().ok());
    Some(DecodeFault::LargeFilePointer { real_bytes })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn content_is_told_by_the_first_bytes() {
        assert_eq!(content(b"PK\x03\x04rest"), Content::Zip);
        assert_eq!(content(b"ply\nformat ascii 1.0\n"), Content::Ply);
        assert_eq!(content(b"\n  <!DOCTYPE html><html>"), Content::Html);
        assert_eq!(content(b"SOLID cube\n"), Content::AsciiStl);
        assert_eq!(content(b"{\"asset\":{}}"), Content::Json);
        assert_eq!(content(b"\x00\x01\x02"), Content::Binary);
        assert_eq!(content(b"hello"), Content::Text);
    }

    #[test]
    fn a_pointer_says_how_large_the_real_file_is() {
        let pointer = b"version https://git-lfs.github.com/spec/v1\noid sha256:4d7a\nsize 123456\n";
        assert_eq!(
            large_file_pointer(pointer),
            Some(DecodeFault::LargeFilePointer {
                real_bytes: Some(123_456)
            })
        );
        assert_eq!(large_file_pointer(b"solid x\nendsolid x\n"), None);
    }
}
