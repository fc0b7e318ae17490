//! The container: a zip file (APPNOTE 6.3.10) in which nothing is left to choice.
//!
//! Every field of every header is a function of the entry's name, its packed bytes, its contents and one
//! time for all entries: version made by and version needed 2.0, no flags (but bit 11 for a name beyond
//! ASCII), method stored or deflated, no extra fields, no comments, no attributes, no data descriptors, no
//! zip64, one disk, local headers one after the other from offset 0, the central directory in the same
//! order. [`layout`] is the only place that knows these fields; the writer and the reader share it, so what
//! the writer would not write, the reader names as a fault.
//!
//! This room knows zip, not bundles: 3MF files are written with it too.

pub mod deflate;
pub mod layout;
mod read;
mod write;

pub use layout::{Method, Record};
pub use read::{Members, ReadFault, ReadMember, directory_fault, members};
pub use write::{Member, WriteFault, write};

/// Contents may be at most this long, all entries of one archive together, when unpacked: 4 GiB.
pub const MOST_UNPACKED_BYTES: u64 = 1 << 32;
