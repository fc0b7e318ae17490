//! The check of a received bundle: needs the zip and nothing else, and lets no flipped bit pass.
//!
//! 1. Local headers are walked one after the other, each field compared with the only value it may have;
//!    contents are unpacked in constant memory, hashed and compared with the header's checksum and size.
//! 2. Every entry is compared with `SHA256SUMS`, both ways: nothing missing, nothing extra.
//! 3. The seal is compared with the hash of all bytes in front of it, packed bytes and headers included.
//! 4. Central directory and end record are made anew from 1 and compared byte by byte; nothing may follow.
//!
//! So every byte is either hashed (in front of the seal's header), compared with the one value it may have
//! (the seal, the directory, the end record), or surplus and named. No step depends on the packer that made
//! the bundle.

use std::collections::{BTreeMap, BTreeSet};

use crate::bundle::{SEAL_NAME, seal_text};
use crate::names::{self, PathFault};
use crate::sha256::Digest;
use crate::sums::{self, SumsFault};
use crate::zip::{self, Method, ReadFault, ReadMember, deflate};

/// Signatures of the first entry's header and of the end record: a zip archive holds one of them early on.
const ZIP: [&[u8; 4]; 2] = [b"PK\x03\x04", b"PK\x05\x06"];

/// What stands before the first entry of a zip archive has at most so many bytes; farther on it is another file.
const MOST_BEFORE: usize = 1 << 16;

/// A file of a sound bundle.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Entry {
    /// Name with forward slashes.
    pub name: String,
    /// Length of the contents.
    pub bytes: u64,
    /// SHA-256 of the contents.
    pub sha256: Digest,
}

/// What is wrong with a bundle.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum VerifyFault {
    /// A fault of the container.
    #[error(transparent)]
    Container(#[from] ReadFault),
    /// Another kind of file.
    #[error("it is no zip archive, and so no bundle")]
    NoZip,
    /// Longer than any bundle.
    #[error("the file is {0} bytes long: no bundle is longer than 4 GiB")]
    TooLong(usize),
    /// A name that must not be unpacked.
    #[error(transparent)]
    Path(#[from] PathFault),
    /// Two entries have one name, or names that differ in case only.
    #[error("{name} stands in the bundle twice, upper and lower case taken as one")]
    Twice {
        /// The name.
        name: String,
    },
    /// Entries out of order.
    #[error("{name} stands behind {before}: entries stand in the order of their names")]
    Order {
        /// The entry.
        name: String,
        /// The entry in front of it.
        before: String,
    },
    /// A file that every bundle has is not there.
    #[error("{0} is missing: this is no bundle, or a part of one")]
    Lacks(&'static str),
    /// The sums cannot be read.
    #[error(transparent)]
    Sums(#[from] SumsFault),
    /// The contents of an entry are not those that were released.
    #[error("{name} has the SHA-256 {found}, and {} says {expected}", sums::NAME)]
    Changed {
        /// The entry.
        name: String,
        /// What the sums say.
        expected: Digest,
        /// What the contents give.
        found: Digest,
    },
    /// An entry that the sums do not know.
    #[error("{name} does not stand in {}: it was put in later", sums::NAME)]
    Unlisted {
        /// The entry.
        name: String,
    },
    /// An entry that the sums know and that is not there.
    #[error("{name} stands in {} and not in the bundle", sums::NAME)]
    Missing {
        /// The entry.
        name: String,
    },
    /// The seal stands somewhere else than last.
    #[error("{SEAL_NAME} is not the last entry")]
    SealNotLast,
    /// The seal does not fit.
    #[error(
        "{SEAL_NAME} says {found:?}, and the bytes in front of it give {expected:?}: packed data or a header changed"
    )]
    Seal {
        /// What the bytes give.
        expected: String,
        /// What the seal says.
        found: String,
    },
}

/// The contents of an entry that is known to unpack to what its header says, at most `most` bytes of it.
pub(crate) fn contents(file: &[u8], member: &ReadMember, most: u64) -> Option<Vec<u8>> {
    let facts = &member.facts;
    let packed = file
        .get(member.data_offset..)?
        .get(..facts.packed_bytes as usize)?;
    if u64::from(facts.unpacked_bytes) > most {
        return None;
    }
    match facts.method {
        Method::Stored => Some(packed.to_vec()),
        Method::Deflated => {
            let mut out = Vec::new();
            let said = u64::from(facts.unpacked_bytes);
            deflate::unpack(packed, said, |piece| out.extend_from_slice(piece)).ok()?;
            Some(out)
        }
    }
}

/// Checks a bundle.
///
/// # Errors
/// Every fault found, those of the container first.
pub fn verify(file: &[u8]) -> Result<Vec<Entry>, Vec<VerifyFault>> {
    let mut near = file.windows(4).take(MOST_BEFORE);
    if file.len() >= 4 && !near.any(|bytes| ZIP.iter().any(|zip| bytes == *zip)) {
        return Err(vec![VerifyFault::NoZip]);
    }
    if u32::try_from(file.len()).is_err() {
        return Err(vec![VerifyFault::TooLong(file.len())]);
    }
    let walk = zip::members(file);
    let mut faults: Vec<VerifyFault> = walk.faults.into_iter().map(Into::into).collect();
    faults.extend(name_faults(&walk.members));
    // Where the walk was barred, all that follows would only be named as missing.
    if let Some(directory_offset) = walk.directory_offset {
        faults.extend(zip::directory_fault(file, &walk.members, directory_offset).map(Into::into));
        faults.extend(sums_faults(file, &walk.members));
        faults.extend(seal_fault(file, &walk.members));
    }
    if faults.is_empty() {
        Ok(walk
            .members
            .into_iter()
            .map(|m| Entry {
                name: m.facts.name,
                bytes: u64::from(m.facts.unpacked_bytes),
                sha256: m.sha256,
            })
            .collect())
    } else {
        Err(faults)
    }
}

/// Checks a bundle and unpacks it: the contents of every file by its name, in the order of names.
///
/// # Errors
/// Every fault found; nothing of a bundle with a fault is handed out.
pub fn unpack(file: &[u8]) -> Result<BTreeMap<String, Vec<u8>>, Vec<VerifyFault>> {
    verify(file)?;
    Ok(zip::members(file)
        .members
        .iter()
        .filter_map(|m| {
            let bytes = contents(file, m, zip::MOST_UNPACKED_BYTES)?;
            Some((m.facts.name.clone(), bytes))
        })
        .collect())
}

fn name_faults(members: &[ReadMember]) -> Vec<VerifyFault> {
    let mut faults = Vec::new();
    let mut taken = BTreeSet::new();
    for (k, member) in members.iter().enumerate() {
        let name = &member.facts.name;
        faults.extend(names::check_path(name).err().map(VerifyFault::from));
        if !taken.insert(name.to_lowercase()) {
            faults.push(VerifyFault::Twice { name: name.clone() });
        } else if k > 0 && members[k - 1].facts.name > *name {
            faults.push(VerifyFault::Order {
                name: name.clone(),
                before: members[k - 1].facts.name.clone(),
            });
        }
    }
    faults
}

fn sums_faults(file: &[u8], members: &[ReadMember]) -> Vec<VerifyFault> {
    let Some(member) = members.iter().find(|m| m.facts.name == sums::NAME) else {
        return vec![VerifyFault::Lacks(sums::NAME)];
    };
    // A line is 66 bytes and a name: no sums are longer than this for 65535 names of 200 bytes.
    let Some(bytes) = contents(file, member, 20 << 20) else {
        return vec![
            SumsFault {
                line: 1,
                why: "cannot be unpacked, or is too long",
            }
            .into(),
        ];
    };
    let Ok(text) = std::str::from_utf8(&bytes) else {
        return vec![
            SumsFault {
                line: 1,
                why: "is not UTF-8",
            }
            .into(),
        ];
    };
    let listed: BTreeMap<&str, Digest> = match sums::read(text) {
        Ok(values) => values.into_iter().collect(),
        Err(faults) => return faults.into_iter().map(Into::into).collect(),
    };
    let mut faults = Vec::new();
    let mut there = BTreeSet::new();
    for member in members {
        let name = member.facts.name.as_str();
        there.insert(name);
        match listed.get(name) {
            _ if name == sums::NAME || name == SEAL_NAME => {}
            None => faults.push(VerifyFault::Unlisted {
                name: name.to_string(),
            }),
            Some(&expected) if expected != member.sha256 => faults.push(VerifyFault::Changed {
                name: name.to_string(),
                expected,
                found: member.sha256,
            }),
            Some(_) => {}
        }
    }
    for name in listed.keys() {
        if !there.contains(name) || *name == sums::NAME || *name == SEAL_NAME {
            faults.push(VerifyFault::Missing {
                name: (*name).to_string(),
            });
        }
    }
    faults
}

fn seal_fault(file: &[u8], members: &[ReadMember]) -> Option<VerifyFault> {
    let Some(k) = members.iter().position(|m| m.facts.name == SEAL_NAME) else {
        return Some(VerifyFault::Lacks(SEAL_NAME));
    };
    if k + 1 != members.len() {
        return Some(VerifyFault::SealNotLast);
    }
    let seal = &members[k];
    let start = seal.facts.offset as usize;
    let expected = seal_text(&file[..start]);
    let data = &file[seal.data_offset..][..seal.facts.packed_bytes as usize];
    let stored = seal.facts.method == Method::Stored;
    (!stored || data != expected.as_bytes()).then(|| VerifyFault::Seal {
        expected,
        found: String::from_utf8_lossy(&data[..data.len().min(200)]).into_owned(),
    })
}
