//! STL, binary and ASCII.
//!
//! Which of the two a file is follows from its size: a binary STL of n triangles has exactly 84 + 50 n
//! bytes. The word "solid" decides nothing, since a third of all published binary files begin with it.
//! Source: the 1989 interface note (from memory; no current standard text exists).

mod ascii;
mod binary;
mod damage;

use super::fault::DecodeFault;
use super::format::{DecodeLimits, Format};
use super::sniff::{self, Content};
use super::tidy::tidy;
use super::{Decoded, Oddity};

/// Bytes before the first triangle of a binary file: a free header of 80 and the count.
const PREFIX: usize = 84;
/// Bytes of one triangle of a binary file.
const RECORD: usize = 50;

/// The size of a binary file of `count` triangles, bytes.
fn size_of(count: u64) -> u64 {
    PREFIX as u64 + RECORD as u64 * count
}

/// The triangle count of a binary header; `None` where the file is shorter than a header.
fn claimed(bytes: &[u8]) -> Option<u64> {
    let count = bytes.get(PREFIX - 4..PREFIX)?;
    Some(u64::from(u32::from_le_bytes(count.try_into().ok()?)))
}

/// Decodes either kind, tidied. A named object is one of the solids of an ASCII file.
pub(super) fn decode(
    bytes: &[u8],
    object: Option<&str>,
    limits: &DecodeLimits,
) -> Result<Decoded, DecodeFault> {
    let size = bytes.len() as u64;
    let claimed = claimed(bytes);
    let exact = claimed.is_some_and(|n| size_of(n) == size);
    let text = sniff::looks_like_text(bytes);
    if !exact && (text || names_facets(bytes)) {
        return match sniff::content(bytes) {
            Content::AsciiStl | Content::Binary => {
                ascii::decode(bytes, object, limits).map(|mut decoded| {
                    tidy(&mut decoded);
                    decoded
                })
            }
            found => Err(wrong(found)),
        };
    }
    if !exact && let Some(fault) = damage::text_conversion(bytes) {
        return Err(fault);
    }
    match (exact, sniff::content(bytes)) {
        (true, _) | (false, Content::Binary | Content::AsciiStl | Content::Text) => {}
        (false, found) => return Err(wrong(found)),
    }
    let Some(claimed) = claimed else {
        return Err(DecodeFault::Truncated {
            expected_bytes: PREFIX as u64,
            found_bytes: size,
            announced_by: "the header of every binary STL".into(),
        });
    };
    if let Some(asked) = object {
        return Err(DecodeFault::Object {
            asked: asked.into(),
            matches: 0,
            known: Vec::new(),
        });
    }
    let room = (size - PREFIX as u64) / RECORD as u64;
    let beyond = size.saturating_sub(size_of(claimed));
    // A count of zero or of all ones before whole records is a header that its writer never finished; so is
    // a count that leaves whole records over.
    let whole_records = room > 0 && size == size_of(room);
    let unfinished = claimed == 0 || claimed == u64::from(u32::MAX) || claimed < room;
    if !exact && whole_records && unfinished {
        return Err(DecodeFault::CountMismatch { claimed, room });
    }
    if size < size_of(claimed) {
        return Err(DecodeFault::Truncated {
            expected_bytes: size_of(claimed),
            found_bytes: size,
            announced_by: format!("a header that claims {claimed} triangles"),
        });
    }
    if claimed > limits.max_triangles as u64 {
        return Err(DecodeFault::TooManyTriangles {
            count: claimed,
            limit: limits.max_triangles as u64,
        });
    }
    let records = &bytes[PREFIX..PREFIX + RECORD * claimed as usize];
    let (vertices, triangles, finite) = binary::decode(records);
    let mut oddities = Vec::new();
    if beyond > 0 {
        oddities.push(Oddity::TrailingBytes { count: beyond });
    }
    let mut decoded = Decoded {
        vertices,
        triangles,
        oddities,
        ..Decoded::default()
    };
    if !finite {
        tidy(&mut decoded);
    }
    Ok(decoded)
}

/// A text all the same: some writers put control characters into the name after `solid`.
fn names_facets(bytes: &[u8]) -> bool {
    let head = &bytes[..bytes.len().min(1024)];
    let word = |word: &str| {
        head.windows(word.len())
            .any(|w| w.eq_ignore_ascii_case(word.as_bytes()))
    };
    sniff::begins(sniff::trimmed(head), "solid") && !head.contains(&0) && word("facet")
}

fn wrong(found: Content) -> DecodeFault {
    DecodeFault::WrongFormat {
        expected: Format::Stl,
        found,
    }
}

/// Three new vertices per triangle: the vertex ids of `count` triangles that share nothing.
fn unshared(count: usize) -> Vec<[u32; 3]> {
    (0..count as u32)
        .map(|t| [3 * t, 3 * t + 1, 3 * t + 2])
        .collect()
}

#[cfg(test)]
mod tests;
