//! The zip package: parts by name, bounded while they are unpacked.

use std::collections::BTreeMap;
use std::io::{self, Cursor, Read};

use zip::CompressionMethod;
use zip::result::ZipError;

use super::Broken;
use crate::decode::fault::{DecodeFault, Place};
use crate::decode::format::DecodeLimits;

/// A part may unpack to this many times its packed size: text of meshes packs 4 to 30 times, hardly more.
const RATIO: u64 = 250;
/// Below this a part is unpacked whatever its ratio, bytes.
const SMALL: u64 = 16 << 20;
/// A single tag or text may be this long, bytes.
const LONGEST_EVENT: u64 = 4 << 20;

/// An opened package.
pub(super) struct Package<'a> {
    archive: zip::ZipArchive<Cursor<&'a [u8]>>,
    /// Index of each part, by name in lower case: part names are equal in any case (OPC 6.2.2.3, from
    /// memory).
    index: BTreeMap<String, usize>,
    /// Bytes that all parts together may still unpack to.
    left: u64,
    limit: u64,
}

impl<'a> Package<'a> {
    /// Opens the archive and checks every name in it.
    pub(super) fn open(bytes: &'a [u8], limits: &DecodeLimits) -> Result<Package<'a>, DecodeFault> {
        let archive = zip::ZipArchive::new(Cursor::new(bytes)).map_err(opening)?;
        let mut index = BTreeMap::new();
        for i in 0..archive.len() {
            let entry = archive.by_index_data(i).map_err(opening)?;
            let raw = String::from_utf8_lossy(entry.name_raw()).replace('\\', "/");
            let drive = raw.as_bytes().get(1) == Some(&b':');
            if raw.starts_with('/') || drive || raw.split('/').any(|step| step == "..") {
                return Err(DecodeFault::PartPath { path: raw });
            }
            let name = raw.trim_start_matches("./").to_ascii_lowercase();
            if !name.ends_with('/') && index.insert(name, i).is_some() {
                return Err(DecodeFault::Package {
                    what: format!("it holds the part {raw} twice"),
                });
            }
        }
        Ok(Package {
            archive,
            index,
            left: limits.max_unpacked_bytes,
            limit: limits.max_unpacked_bytes,
        })
    }

    /// Is there a part of this name?
    pub(super) fn has(&self, name: &str) -> bool {
        self.index.contains_key(&name.to_ascii_lowercase())
    }

    /// Hands the bytes of a part to `read`, counted while they come.
    ///
    /// # Errors
    /// Those of `read`, or that the part is missing, damaged, packed by an unknown method or too large.
    pub(super) fn with_part<T>(
        &mut self,
        name: &str,
        read: impl FnOnce(&mut Bounded<'_>) -> Result<T, DecodeFault>,
    ) -> Result<T, DecodeFault> {
        let damaged = |what: String| DecodeFault::Package {
            what: format!("part {name}: {what}"),
        };
        let index = *self
            .index
            .get(&name.to_ascii_lowercase())
            .ok_or_else(|| Broken::new("2.1.1", "the part is not in the package").at(name))?;
        let entry = self
            .archive
            .by_index_data(index)
            .map_err(|e| damaged(e.to_string()))?;
        if entry.encrypted() {
            return Err(DecodeFault::Unreadable {
                what: "an encrypted part".into(),
                place: Place::Part {
                    name: name.into(),
                    line: None,
                },
            });
        }
        if !matches!(
            entry.compression(),
            CompressionMethod::Stored | CompressionMethod::Deflated
        ) {
            let what = format!(
                "packed by {:?}, only stored and deflated are allowed",
                entry.compression()
            );
            return Err(Broken::new("1.1", what).at(name));
        }
        let bound = self
            .left
            .min((entry.compressed_size().saturating_mul(RATIO)).max(SMALL));
        let mut file = self
            .archive
            .by_index(index)
            .map_err(|e| damaged(e.to_string()))?;
        let mut bounded = Bounded {
            inner: &mut file,
            left: bound,
            since_event: 0,
            tripped: false,
            failed: None,
        };
        let result = read(&mut bounded);
        let (tripped, failed, used) = (bounded.tripped, bounded.failed, bound - bounded.left);
        self.left -= used;
        if tripped {
            return Err(DecodeFault::UnpacksTooLarge {
                part: name.into(),
                limit_bytes: bound.min(self.limit),
            });
        }
        match failed {
            Some(what) => Err(damaged(what)),
            None => result,
        }
    }

    /// The line on which a byte of a part stands, from 1: read again, since only a fault needs it.
    pub(super) fn line_at(&mut self, name: &str, offset: u64) -> Option<u64> {
        self.left = self.limit;
        self.with_part(name, |input| {
            let mut line = 1;
            let mut left = offset;
            let mut piece = [0; 1 << 14];
            while left > 0 {
                let most = piece.len().min(usize::try_from(left).unwrap_or(usize::MAX));
                input.event();
                match input.read(&mut piece[..most]) {
                    Ok(0) | Err(_) => break,
                    Ok(n) => {
                        line += piece[..n].iter().filter(|&&b| b == b'\n').count() as u64;
                        left -= n as u64;
                    }
                }
            }
            Ok(line)
        })
        .ok()
    }
}

fn opening(error: ZipError) -> DecodeFault {
    DecodeFault::Package {
        what: match error {
            ZipError::InvalidArchive(_) | ZipError::Io(_) => {
                format!("the zip archive is damaged or cut short ({error})")
            }
            other => other.to_string(),
        },
    }
}

/// A reader that stops at its bound, and remembers why it stopped.
pub(super) struct Bounded<'a> {
    inner: &'a mut dyn Read,
    left: u64,
    since_event: u64,
    tripped: bool,
    failed: Option<String>,
}

impl Bounded<'_> {
    /// A tag or text has come to its end.
    pub(super) fn event(&mut self) {
        self.since_event = 0;
    }
}

impl Read for Bounded<'_> {
    fn read(&mut self, buf: &mut [u8]) -> io::Result<usize> {
        if self.since_event > LONGEST_EVENT {
            self.failed
                .get_or_insert(format!("a tag or text longer than {LONGEST_EVENT} bytes"));
            return Err(io::Error::other("too long"));
        }
        let n = match self.inner.read(buf) {
            Ok(n) => n,
            Err(e) => {
                self.failed.get_or_insert(format!("damaged data ({e})"));
                return Err(e);
            }
        };
        if n as u64 > self.left {
            self.tripped = true;
            return Err(io::Error::other("too large"));
        }
        self.left -= n as u64;
        self.since_event += n as u64;
        Ok(n)
    }
}
