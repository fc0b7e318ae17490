//! Other files of the release.

pub mod missing;
