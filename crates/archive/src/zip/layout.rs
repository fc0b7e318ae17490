//! The fields of the three records, with the one value each may have.
//!
//! Source: APPNOTE 6.3.10, sections 4.3.7 (local file header), 4.3.12 (central directory header) and 4.3.16
//! (end of central directory record).

use crate::date::Stamp;

/// Version made by and version needed: 2.0 (4.4.3: deflate), made on no particular system (4.4.2: 0).
const VERSION: u16 = 20;
/// Flag bit 11: the name is UTF-8 (appendix D); set only where the name is not ASCII.
const FLAG_UTF8: u16 = 1 << 11;

/// How an entry's bytes stand in the file.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Method {
    /// As they are (0).
    Stored,
    /// As a raw deflate stream (8).
    Deflated,
}

impl Method {
    /// The number in the header.
    pub fn number(self) -> u16 {
        match self {
            Method::Stored => 0,
            Method::Deflated => 8,
        }
    }

    /// The method of a number; `None` for those that no bundle uses.
    pub fn from_number(number: u16) -> Option<Method> {
        [Method::Stored, Method::Deflated]
            .into_iter()
            .find(|m| m.number() == number)
    }
}

/// Which record a field belongs to.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Record {
    /// The header in front of an entry's bytes.
    LocalHeader,
    /// The entry's line in the central directory.
    DirectoryHeader,
    /// The end of central directory record.
    End,
}

impl std::fmt::Display for Record {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(match self {
            Record::LocalHeader => "local header",
            Record::DirectoryHeader => "central directory header",
            Record::End => "end of central directory record",
        })
    }
}

/// A field: its name, its bytes as they must stand.
pub type Field = (&'static str, Vec<u8>);

/// What the headers say about an entry.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Facts {
    /// Name, UTF-8, forward slashes.
    pub name: String,
    /// How its bytes stand in the file.
    pub method: Method,
    /// The time of the archive.
    pub stamp: Stamp,
    /// CRC-32 of the contents.
    pub crc32: u32,
    /// Length as it stands in the file.
    pub packed_bytes: u32,
    /// Length of the contents.
    pub unpacked_bytes: u32,
    /// Where its local header starts.
    pub offset: u32,
}

/// Length of a local header before the name.
pub const LOCAL_HEADER_BYTES: usize = 30;
/// Length of a directory header before the name.
pub const DIRECTORY_HEADER_BYTES: usize = 46;
/// Length of the end record.
pub const END_BYTES: usize = 22;

fn flags(name: &str) -> u16 {
    if name.is_ascii() { 0 } else { FLAG_UTF8 }
}

fn two(value: u16) -> Vec<u8> {
    value.to_le_bytes().to_vec()
}

fn four(value: u32) -> Vec<u8> {
    value.to_le_bytes().to_vec()
}

/// The fields that both headers share, in their order.
fn shared(facts: &Facts) -> Vec<Field> {
    vec![
        ("version needed", two(VERSION)),
        ("flags", two(flags(&facts.name))),
        ("method", two(facts.method.number())),
        ("time", two(facts.stamp.dos_time)),
        ("date", two(facts.stamp.dos_date)),
        ("crc-32", four(facts.crc32)),
        ("packed size", four(facts.packed_bytes)),
        ("unpacked size", four(facts.unpacked_bytes)),
        ("name length", two(facts.name.len() as u16)),
        ("extra field length", two(0)),
    ]
}

/// The local header of an entry.
pub fn local_header(facts: &Facts) -> Vec<Field> {
    let mut fields = vec![("signature", b"PK\x03\x04".to_vec())];
    fields.extend(shared(facts));
    fields.push(("name", facts.name.clone().into_bytes()));
    fields
}

/// The central directory header of an entry.
pub fn directory_header(facts: &Facts) -> Vec<Field> {
    let mut fields = vec![
        ("signature", b"PK\x01\x02".to_vec()),
        ("version made by", two(VERSION)),
    ];
    fields.extend(shared(facts));
    fields.extend([
        ("comment length", two(0)),
        ("disk number", two(0)),
        ("internal attributes", two(0)),
        ("external attributes", four(0)),
        ("local header offset", four(facts.offset)),
        ("name", facts.name.clone().into_bytes()),
    ]);
    fields
}

/// The end record for `entries` entries whose directory of `directory_bytes` starts at `directory_offset`.
pub fn end(entries: u16, directory_offset: u32, directory_bytes: u32) -> Vec<Field> {
    vec![
        ("signature", b"PK\x05\x06".to_vec()),
        ("disk number", two(0)),
        ("disk of the directory", two(0)),
        ("entries on this disk", two(entries)),
        ("entries", two(entries)),
        ("directory size", four(directory_bytes)),
        ("directory offset", four(directory_offset)),
        ("comment length", two(0)),
    ]
}

/// The fields one after the other.
pub fn bytes(fields: &[Field]) -> Vec<u8> {
    fields.iter().flat_map(|(_, b)| b.iter().copied()).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_records_have_the_lengths_of_the_standard() {
        let facts = Facts {
            name: "a/b".into(),
            method: Method::Deflated,
            stamp: Stamp::EARLIEST,
            crc32: 1,
            packed_bytes: 2,
            unpacked_bytes: 3,
            offset: 4,
        };
        assert_eq!(bytes(&local_header(&facts)).len(), LOCAL_HEADER_BYTES + 3);
        assert_eq!(
            bytes(&directory_header(&facts)).len(),
            DIRECTORY_HEADER_BYTES + 3
        );
        assert_eq!(bytes(&end(1, 2, 3)).len(), END_BYTES);
    }
}
