//! Reading, strictly: local headers one after the other from offset 0, each compared field by field with
//! what the writer would have written, contents unpacked in constant memory. The directory is not believed;
//! it is rebuilt from what was read and compared byte by byte.
//!
//! So entries cannot overlap, nothing can hide between them, and the work is bounded by the size of the file
//! and by [`super::MOST_UNPACKED_BYTES`].

use super::MOST_UNPACKED_BYTES;
use super::deflate::{self, UnpackFault};
use super::layout::{self, Facts, Field, LOCAL_HEADER_BYTES, Method, Record};
use crate::date::Stamp;
use crate::sha256::{Digest, Hasher};

/// A fault of the container, with the offset in the file.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum ReadFault {
    /// A header field has another value than the only one it may have.
    #[error("{record}{entry}, {field} at byte {offset}: expected {expected}, found {found}")]
    Field {
        /// The record.
        record: Record,
        /// ` of NAME`, or empty for the end record.
        entry: String,
        /// The field's name.
        field: &'static str,
        /// Where the field starts.
        offset: usize,
        /// The bytes it must have, in hex, lowest address first.
        expected: String,
        /// The bytes it has.
        found: String,
    },
    /// The file ends within a record or an entry.
    #[error(
        "the file ends at byte {length} within the {what} that starts at byte {offset}: it was cut off, fetch it again"
    )]
    Cut {
        /// What is cut.
        what: String,
        /// Where that starts.
        offset: usize,
        /// Length of the file.
        length: usize,
    },
    /// The name is no UTF-8.
    #[error("the name at byte {offset} is not UTF-8")]
    Name {
        /// Where the name starts.
        offset: usize,
    },
    /// The contents do not unpack to what the header says.
    #[error("{name}, data at byte {offset}: {fault}")]
    Data {
        /// The entry.
        name: String,
        /// Where its data start.
        offset: usize,
        /// What is wrong.
        fault: UnpackFault,
    },
    /// The entries together unpack to more than any bundle may.
    #[error(
        "{name} at byte {offset} would bring the unpacked size to {total} bytes, more than the {MOST_UNPACKED_BYTES} that are unpacked at most"
    )]
    TooMuch {
        /// The entry that goes too far.
        name: String,
        /// Where its header starts.
        offset: usize,
        /// What the headers up to here say.
        total: u64,
    },
    /// Bytes behind the end record.
    #[error(
        "{bytes} bytes stand behind the end of the archive at byte {offset}: nothing may be appended"
    )]
    Trailing {
        /// Where they start.
        offset: usize,
        /// How many.
        bytes: usize,
    },
}

/// An entry as read.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ReadMember {
    /// The canonical facts: what the writer would have put into the headers.
    pub facts: Facts,
    /// Where the packed bytes start.
    pub data_offset: usize,
    /// SHA-256 of the contents.
    pub sha256: Digest,
}

/// All entries as far as they could be read.
#[derive(Debug)]
pub struct Members {
    /// In the order of the file.
    pub members: Vec<ReadMember>,
    /// What is wrong with them.
    pub faults: Vec<ReadFault>,
    /// Where the walk ended, if it reached the central directory: only then is it known where that starts.
    pub directory_offset: Option<usize>,
}

fn hex(bytes: &[u8]) -> String {
    let mut text: String = bytes.iter().take(48).map(|b| format!("{b:02x}")).collect();
    if bytes.len() > 48 {
        text.push_str("...");
    }
    text
}

/// The first field that differs from `file` at `offset`, if any.
fn first_difference(
    file: &[u8],
    offset: usize,
    record: Record,
    name: &str,
    fields: &[Field],
) -> Option<ReadFault> {
    let mut at = offset;
    for (field, expected) in fields {
        let found = file.get(at..at + expected.len());
        if found != Some(&expected[..]) {
            let entry = if record == Record::End {
                String::new()
            } else {
                format!(" of {name}")
            };
            return Some(match found {
                Some(found) => ReadFault::Field {
                    record,
                    entry,
                    field,
                    offset: at,
                    expected: hex(expected),
                    found: hex(found),
                },
                None => ReadFault::Cut {
                    what: format!("{record}{entry}"),
                    offset,
                    length: file.len(),
                },
            });
        }
        at += expected.len();
    }
    None
}

fn u16_at(file: &[u8], at: usize) -> u16 {
    u16::from_le_bytes([file[at], file[at + 1]])
}

fn u32_at(file: &[u8], at: usize) -> u32 {
    u32::from_le_bytes([file[at], file[at + 1], file[at + 2], file[at + 3]])
}

/// Walks the entries of an archive. Never fails as a whole: the faults say what is wrong, the entries in
/// front of a fault that bars the way are there.
pub fn members(file: &[u8]) -> Members {
    let mut walk = Members {
        members: Vec::new(),
        faults: Vec::new(),
        directory_offset: None,
    };
    let (mut offset, mut total) = (0usize, 0u64);
    while file.get(offset..offset + 4) != Some(b"PK\x01\x02")
        && file.get(offset..offset + 4) != Some(b"PK\x05\x06")
    {
        match walk.step(file, offset, &mut total) {
            Ok(next) => offset = next,
            Err(fault) => {
                walk.faults.push(fault);
                return walk;
            }
        }
    }
    walk.directory_offset = Some(offset);
    walk
}

impl Members {
    /// Reads the entry whose local header starts at `offset`; gives the offset behind it. An error bars the
    /// way to what follows.
    fn step(&mut self, file: &[u8], offset: usize, total: &mut u64) -> Result<usize, ReadFault> {
        let signature = [("signature", b"PK\x03\x04".to_vec())];
        let nth = format!("entry {}", self.members.len() + 1);
        if let Some(fault) = first_difference(file, offset, Record::LocalHeader, &nth, &signature) {
            return Err(fault);
        }
        let cut = |what: String| ReadFault::Cut {
            what,
            offset,
            length: file.len(),
        };
        let fixed = file
            .get(offset..offset + LOCAL_HEADER_BYTES)
            .ok_or_else(|| cut(format!("local header of {nth}")))?;
        let name_offset = offset + LOCAL_HEADER_BYTES;
        let data_offset =
            name_offset + usize::from(u16_at(fixed, 26)) + usize::from(u16_at(fixed, 28));
        let name = file
            .get(name_offset..name_offset + usize::from(u16_at(fixed, 26)))
            .ok_or_else(|| cut(format!("local header of {nth}")))?;
        let name = std::str::from_utf8(name)
            .map_err(|_| ReadFault::Name {
                offset: name_offset,
            })?
            .to_string();
        let (packed_bytes, said) = (u32_at(fixed, 18), u64::from(u32_at(fixed, 22)));
        let data = file
            .get(data_offset..)
            .and_then(|rest| rest.get(..packed_bytes as usize))
            .ok_or_else(|| cut(name.clone()))?;
        *total += said;
        if *total > MOST_UNPACKED_BYTES {
            return Err(ReadFault::TooMuch {
                name,
                offset,
                total: *total,
            });
        }
        let method = Method::from_number(u16_at(fixed, 8)).unwrap_or(Method::Stored);
        let (mut crc, mut sha, mut unpacked) = (crc32fast::Hasher::new(), Hasher::default(), 0u64);
        let mut take = |piece: &[u8]| {
            crc.update(piece);
            sha.update(piece);
            unpacked += piece.len() as u64;
        };
        let unpacking = match method {
            Method::Stored => {
                take(data);
                Ok(())
            }
            Method::Deflated => deflate::unpack(data, said, &mut take),
        };
        if let Err(fault) = unpacking {
            self.faults.push(ReadFault::Data {
                name: name.clone(),
                offset: data_offset,
                fault,
            });
        }
        let facts = Facts {
            name,
            method,
            stamp: self.stamp(fixed),
            crc32: crc.finalize(),
            packed_bytes,
            unpacked_bytes: unpacked as u32,
            offset: offset as u32,
        };
        // After a fault in the data, checksum and size differ as a matter of course: say it once.
        let differs = unpacking.ok().and_then(|()| {
            let fields = layout::local_header(&facts);
            first_difference(file, offset, Record::LocalHeader, &facts.name, &fields)
        });
        self.faults.extend(differs);
        self.members.push(ReadMember {
            facts,
            data_offset,
            sha256: sha.finish(),
        });
        Ok(data_offset + packed_bytes as usize)
    }

    /// The time that an entry must have: that of the first entry, which itself must exist in a calendar.
    fn stamp(&self, fixed: &[u8]) -> Stamp {
        if let Some(first) = self.members.first() {
            return first.facts.stamp;
        }
        let stamp = Stamp {
            dos_time: u16_at(fixed, 10),
            dos_date: u16_at(fixed, 12),
        };
        if stamp.is_real() {
            stamp
        } else {
            Stamp::EARLIEST
        }
    }
}

/// Compares central directory and end record at `directory_offset` with those of the entries; the first
/// field that differs, or bytes behind the end.
pub fn directory_fault(
    file: &[u8],
    members: &[ReadMember],
    directory_offset: usize,
) -> Option<ReadFault> {
    let mut at = directory_offset;
    for member in members {
        let fields = layout::directory_header(&member.facts);
        let name = &member.facts.name;
        let fault = first_difference(file, at, Record::DirectoryHeader, name, &fields);
        if fault.is_some() {
            return fault;
        }
        at += layout::bytes(&fields).len();
    }
    let fields = layout::end(
        members.len() as u16,
        directory_offset as u32,
        (at - directory_offset) as u32,
    );
    first_difference(file, at, Record::End, "", &fields).or_else(|| {
        let end = at + layout::END_BYTES;
        (file.len() > end).then(|| ReadFault::Trailing {
            offset: end,
            bytes: file.len() - end,
        })
    })
}
