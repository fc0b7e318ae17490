//! What leaves the house: parts in print pose as STL, 3MF and preview, checksums, the read-me, the
//! deterministic container that holds them, and the check of a received bundle.
//!
//! Bytes in, bytes out: this room touches no disk, reads no clock, measures nothing and judges nothing.
//! It must not know limits, rules or verdicts; whether a kit may be released is settled before it is asked.
//! Everything is a pure function of its arguments, so the same kit gives the same bytes with any number of
//! threads.

pub mod bundle;
pub mod cautions;
pub mod changed;
pub mod closing;
pub mod date;
pub mod earlier;
pub mod glb;
pub mod half_edges;
pub mod manifest;
pub mod manifold;
pub mod names;
pub mod plate;
pub mod preview;
pub mod readme;
pub mod sha256;
pub mod stl;
pub mod sums;
pub mod three_mf;
pub mod verify;
pub mod zip;

pub use bundle::{BundleFault, BundleInput, bundle};
pub use changed::changed;
pub use date::Stamp;
pub use earlier::{Earlier, EarlierFault, earlier};
pub use sha256::{Digest, Hasher, sha256};
pub use verify::{Entry, VerifyFault, unpack, verify};
