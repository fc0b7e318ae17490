//! Origin: where a kit lies in its repository, and which files were checked.

use std::path::Path;

use kit::Kit;
use report::ci::CheckedFile;
use serde::{Deserialize, Serialize};

use crate::disk;
use crate::stages::read::MANIFEST;

/// A file that is hashed has at most so many bytes; a longer one is listed without a hash.
const MOST_HASHED: u64 = 4 << 30;

/// Where a kit comes from.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct Origin {
    /// The kit's folder in the repository that holds it: empty, or ending with a slash.
    pub within: String,
    /// The manifest, then the meshes in its order, each once, with their hashes.
    pub files: Vec<CheckedFile>,
}

impl Origin {
    /// Where the kit of a folder comes from; `text` is its manifest.
    ///
    /// # Errors
    /// In words, where the folder cannot be found any more.
    pub fn of(kit: &Kit, text: &str, folder: &Path) -> Result<Origin, String> {
        let mut paths: Vec<&str> = Vec::new();
        for mesh in kit.parts.iter().filter_map(|part| part.mesh.as_ref()) {
            if !paths.contains(&mesh.path.as_str()) {
                paths.push(&mesh.path);
            }
        }
        let manifest = CheckedFile {
            path: MANIFEST.to_string(),
            sha256: Some(archive::sha256(text.as_bytes()).to_string()),
        };
        let hashed = paths.into_iter().map(|path| CheckedFile {
            path: path.to_string(),
            sha256: disk::read_within(folder, path, MOST_HASHED)
                .ok()
                .map(|bytes| archive::sha256(&bytes).to_string()),
        });
        Ok(Origin {
            within: disk::place_in_repository(folder).map_err(|e| e.to_string())?,
            files: std::iter::once(manifest).chain(hashed).collect(),
        })
    }
}
