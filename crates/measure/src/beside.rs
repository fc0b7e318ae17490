//! What a kit names besides its parts' meshes: references and other files.

use serde::{Deserialize, Serialize};

/// A file that a kit names and that cannot be had.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Unavailable {
    /// The reference's id; for another file its path.
    pub id: String,
    /// Path within the kit's folder.
    pub path: String,
    /// Why, in words.
    pub why: String,
}

/// What a kit names besides its parts' meshes and that cannot be had.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct Beside {
    /// References whose mesh cannot be read.
    pub bad_references: Vec<Unavailable>,
    /// Files of the release that are not there.
    pub bad_files: Vec<Unavailable>,
}
