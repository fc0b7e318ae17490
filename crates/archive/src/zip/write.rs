//! Writing: entries in the order given, packed in parallel, each one a function of its own contents.

use super::deflate;
use super::layout::{self, Facts, Method};
use crate::date::Stamp;

/// What goes into an archive.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Member {
    /// Name with forward slashes.
    pub name: String,
    /// Contents.
    pub bytes: Vec<u8>,
}

/// Why an archive cannot be written.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum WriteFault {
    /// More entries than the plain format can count.
    #[error(
        "{0} files are too many for one archive, which holds at most 65535: put some into an archive of their own"
    )]
    TooMany(usize),
    /// More bytes than the plain format can hold.
    #[error(
        "{name} would make the archive longer than the 4 GiB it can hold: leave out or split large files"
    )]
    TooLong {
        /// The entry that does not fit any more.
        name: String,
    },
}

struct Packed {
    method: Method,
    crc32: u32,
    /// Only when deflated.
    bytes: Option<Vec<u8>>,
}

/// Endings whose contents are packed already: trying again costs time and gains nothing.
const PACKED_ALREADY: [&str; 6] = [".3mf", ".png", ".jpg", ".jpeg", ".zip", ".webp"];

fn packed(member: &Member) -> Packed {
    let crc32 = crc32fast::hash(&member.bytes);
    let name = member.name.to_ascii_lowercase();
    let bytes = (!PACKED_ALREADY.iter().any(|ending| name.ends_with(ending)))
        .then(|| deflate::pack(&member.bytes))
        .filter(|packed| packed.len() < member.bytes.len());
    Packed {
        method: if bytes.is_some() {
            Method::Deflated
        } else {
            Method::Stored
        },
        crc32,
        bytes,
    }
}

/// Writes an archive of these members in this order, all with the same time. Names are taken as they come.
/// `last`, where given, makes one more member from all bytes written so far and is stored as it is.
///
/// # Errors
/// [`WriteFault`] where the plain format cannot hold it.
pub fn write(
    members: &[Member],
    stamp: Stamp,
    last: Option<&dyn Fn(&[u8]) -> Member>,
) -> Result<Vec<u8>, WriteFault> {
    let count = members.len() + usize::from(last.is_some());
    let entries = u16::try_from(count).map_err(|_| WriteFault::TooMany(count))?;
    let packed = parallel::map(members, |_, member| packed(member));
    let mut archive = Archive {
        out: Vec::new(),
        directory: Vec::new(),
        stamp,
    };
    for (member, packed) in members.iter().zip(&packed) {
        archive.push(member, packed)?;
    }
    if let Some(last) = last {
        let member = last(&archive.out);
        let packed = Packed {
            method: Method::Stored,
            crc32: crc32fast::hash(&member.bytes),
            bytes: None,
        };
        archive.push(&member, &packed)?;
    }
    archive.finish(entries)
}

struct Archive {
    out: Vec<u8>,
    directory: Vec<u8>,
    stamp: Stamp,
}

impl Archive {
    fn push(&mut self, member: &Member, packed: &Packed) -> Result<(), WriteFault> {
        let body = packed.bytes.as_deref().unwrap_or(&member.bytes);
        let too_long = || WriteFault::TooLong {
            name: member.name.clone(),
        };
        let size = |n: usize| u32::try_from(n).map_err(|_| too_long());
        let facts = Facts {
            name: member.name.clone(),
            method: packed.method,
            stamp: self.stamp,
            crc32: packed.crc32,
            packed_bytes: size(body.len())?,
            unpacked_bytes: size(member.bytes.len())?,
            offset: size(self.out.len())?,
        };
        self.out
            .extend_from_slice(&layout::bytes(&layout::local_header(&facts)));
        self.out.extend_from_slice(body);
        self.directory
            .extend_from_slice(&layout::bytes(&layout::directory_header(&facts)));
        Ok(())
    }

    fn finish(mut self, entries: u16) -> Result<Vec<u8>, WriteFault> {
        let too_long = |_| WriteFault::TooLong {
            name: "the central directory".to_string(),
        };
        let offset = u32::try_from(self.out.len()).map_err(too_long)?;
        let length = u32::try_from(self.directory.len()).map_err(too_long)?;
        self.out.append(&mut self.directory);
        self.out
            .extend_from_slice(&layout::bytes(&layout::end(entries, offset, length)));
        Ok(self.out)
    }
}
