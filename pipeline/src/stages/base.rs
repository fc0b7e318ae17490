//! Base: an earlier release, from a folder, a bundle or a git commit, as a kit to be proved again by this version.
//! No other base is ever put in the place of the one that was asked for.

use std::collections::BTreeSet;
use std::path::{Path, PathBuf};

use kit::Kit;
use tempfile::TempDir;
use thiserror::Error;

use crate::disk::{self, DiskFault};
use crate::git::{Commit, GitFault};
use crate::stages::load::Most;
use crate::stages::read::{self, MANIFEST, MOST_BYTES, Opened, ReadFault};

/// A bundle has at most so many bytes.
const MOST_BUNDLE: u64 = 4 << 30;

/// An earlier release, ready to be proved.
pub struct Base {
    /// The kit as it was.
    pub opened: Opened,
    /// Where it comes from, as typed.
    pub from: String,
    /// The folder that holds what was unpacked, for as long as it is needed.
    _unpacked: Option<TempDir>,
}

/// Why there is no base.
#[derive(Debug, Error)]
pub enum BaseFault {
    /// The disk.
    #[error("--base: {0}")]
    Disk(#[from] DiskFault),
    /// A folder for what is unpacked cannot be made.
    #[error("--base: no temporary folder can be made: {0}")]
    Folder(std::io::Error),
    /// git.
    #[error("--base {0}")]
    Git(#[from] GitFault),
    /// The bundle.
    #[error("--base {}: {fault}", path.display())]
    Bundle {
        /// The bundle.
        path: PathBuf,
        /// What is wrong.
        fault: archive::EarlierFault,
    },
    /// The manifest.
    #[error("--base {from}: {fault}")]
    Kit {
        /// The base as typed.
        from: String,
        /// What is wrong.
        fault: ReadFault,
    },
    /// Another kit.
    #[error(
        "--base {from} is the kit {theirs}, and this is {ours}: revisions of one kit are compared; a kit's id never changes"
    )]
    OtherKit {
        /// The base as typed.
        from: String,
        /// Its id.
        theirs: String,
        /// The present kit's id.
        ours: String,
    },
}

impl BaseFault {
    /// The outcome it means: what was asked for cannot be had, or the disk fails.
    pub fn outcome(&self) -> crate::outcome::Outcome {
        use crate::outcome::Outcome;
        match self {
            BaseFault::Disk(_) | BaseFault::Folder(_) => Outcome::Unfinished,
            BaseFault::Kit { fault, .. } => fault.outcome(),
            _ => Outcome::BadRequest,
        }
    }
}

/// Opens the base that was asked for: `none`, a folder with a kit.toml, a bundle, or what git knows by that name.
///
/// # Errors
/// [`BaseFault`].
pub fn open(asked: Option<&str>, present: &Opened) -> Result<Option<Base>, BaseFault> {
    let Some(asked) = asked.filter(|a| *a != "none") else {
        return Ok(None);
    };
    let path = match Path::new(asked) {
        manifest if manifest.file_name().is_some_and(|n| n == MANIFEST) => manifest
            .parent()
            .filter(|p| !p.as_os_str().is_empty())
            .unwrap_or(Path::new(".")),
        other => other,
    };
    let (folder, unpacked) = if disk::is_folder(path) {
        (path.to_path_buf(), None)
    } else if disk::exists(path) {
        let unpacked = from_bundle(path)?;
        (unpacked.path().to_path_buf(), Some(unpacked))
    } else {
        let commit = Commit::named(&present.folder, asked)?;
        let unpacked = from_commit(&commit, asked)?;
        (unpacked.path().to_path_buf(), Some(unpacked))
    };
    let opened = read::read(&folder).map_err(|fault| BaseFault::Kit {
        from: asked.to_string(),
        fault,
    })?;
    if opened.kit.id != present.kit.id {
        return Err(BaseFault::OtherKit {
            from: asked.to_string(),
            theirs: opened.kit.id,
            ours: present.kit.id.clone(),
        });
    }
    Ok(Some(Base {
        opened,
        from: asked.to_string(),
        _unpacked: unpacked,
    }))
}

fn folder() -> Result<TempDir, BaseFault> {
    tempfile::Builder::new()
        .prefix("kitproof-base-")
        .tempdir()
        .map_err(BaseFault::Folder)
}

fn from_bundle(path: &Path) -> Result<TempDir, BaseFault> {
    let bytes = disk::read(path, MOST_BUNDLE)?;
    let earlier = archive::earlier(&bytes).map_err(|fault| BaseFault::Bundle {
        path: path.to_path_buf(),
        fault,
    })?;
    let unpacked = folder()?;
    disk::write(&unpacked.path().join(MANIFEST), earlier.manifest.as_bytes())?;
    for (name, bytes) in &earlier.files {
        disk::write(&unpacked.path().join(name), bytes)?;
    }
    Ok(unpacked)
}

fn from_commit(commit: &Commit, asked: &str) -> Result<TempDir, BaseFault> {
    let unpacked = folder()?;
    let text = commit.file(MANIFEST, MOST_BYTES)?;
    disk::write(&unpacked.path().join(MANIFEST), &text)?;
    let opened = read::read(unpacked.path()).map_err(|fault| BaseFault::Kit {
        from: asked.to_string(),
        fault,
    })?;
    let most = Most::of_this_machine().bytes();
    for path in files_of(&opened.kit) {
        match commit.file(&path, most) {
            Ok(bytes) => disk::write(&unpacked.path().join(&path), &bytes)?,
            // A file that was not there then is found missing by the proof of the base, on its part.
            Err(GitFault::NoFile { .. }) => {}
            Err(e) => return Err(e.into()),
        }
    }
    Ok(unpacked)
}

/// Every file that a kit's manifest names, each once.
fn files_of(kit: &Kit) -> BTreeSet<String> {
    let parts = kit.parts.iter().filter_map(|p| p.mesh.as_ref());
    parts
        .chain(kit.references.iter().map(|r| &r.mesh))
        .map(|mesh| mesh.path.clone())
        .chain(kit.files.iter().map(|f| f.path.clone()))
        .collect()
}
