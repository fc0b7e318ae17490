//! Read: from a path to the checked manifest.

use std::path::{Path, PathBuf};

use kit::{Kit, SignOff};
use thiserror::Error;

use crate::disk::{self, DiskFault};
use crate::stages::signed;

/// The manifest's name.
pub const MANIFEST: &str = "kit.toml";
/// A manifest is a text that somebody typed: more bytes than this are a mistake.
pub const MOST_BYTES: u64 = 16 << 20;

/// A kit whose manifest has been checked.
#[derive(Debug, Clone)]
pub struct Opened {
    /// The checked manifest.
    pub kit: Kit,
    /// Its text.
    pub text: String,
    /// The kit's folder.
    pub folder: PathBuf,
    /// What its designer signed off; `None` where there is no signoff.toml.
    pub signed: Option<SignOff>,
}

/// Why there is no kit to check.
#[derive(Debug, Error)]
pub enum ReadFault {
    /// Nothing of that name.
    #[error("{}: no such kit; expected a folder with a {MANIFEST}, or that file (kitproof new makes one)", .0.display())]
    NoKit(PathBuf),
    /// The manifest cannot be read.
    #[error(transparent)]
    Disk(#[from] DiskFault),
    /// The manifest is not text.
    #[error("{}: byte {offset} is not UTF-8 text; save the manifest as UTF-8", path.display())]
    NotText {
        /// The manifest.
        path: PathBuf,
        /// Where the text ends.
        offset: usize,
    },
    /// The manifest has faults, each already rendered with line and caret.
    #[error("{rendered}")]
    Manifest {
        /// All faults as text.
        rendered: String,
        /// How many.
        count: usize,
    },
}

/// The kits below the paths as typed: a kit's folder or manifest is one; any other folder stands for every
/// kit below it.
///
/// # Errors
/// [`ReadFault::NoKit`] for a path without any kit.
pub fn find(paths: &[PathBuf]) -> Result<Vec<PathBuf>, ReadFault> {
    let here = [PathBuf::from(".")];
    let paths = if paths.is_empty() { &here[..] } else { paths };
    let mut found = Vec::new();
    for path in paths {
        if path.file_name().is_some_and(|n| n == MANIFEST) && disk::exists(path) {
            let parent = path.parent().filter(|p| !p.as_os_str().is_empty());
            found.push(parent.unwrap_or(Path::new(".")).to_path_buf());
        } else if disk::exists(&path.join(MANIFEST)) {
            found.push(path.clone());
        } else if disk::is_folder(path) {
            let below = disk::folders_holding(path, MANIFEST, &["out", "dist", "target"])?;
            if below.is_empty() {
                return Err(ReadFault::NoKit(path.clone()));
            }
            // What lies within a kit is the kit's own: an earlier release kept beside it, say.
            let within = |folder: &PathBuf| {
                let mut others = below.iter().filter(|other| *other != folder);
                others.any(|other| folder.starts_with(other))
            };
            found.extend(below.iter().filter(|f| !within(f)).cloned());
        } else {
            return Err(ReadFault::NoKit(path.clone()));
        }
    }
    Ok(found)
}

/// Reads and checks the manifest of a kit's folder.
///
/// # Errors
/// [`ReadFault`]; faults of the text come all at once.
pub fn read(folder: &Path) -> Result<Opened, ReadFault> {
    let path = folder.join(MANIFEST);
    if !disk::exists(&path) {
        return Err(ReadFault::NoKit(folder.to_path_buf()));
    }
    let bytes = disk::read(&path, MOST_BYTES)?;
    let text = String::from_utf8(bytes).map_err(|e| ReadFault::NotText {
        offset: e.utf8_error().valid_up_to(),
        path: path.clone(),
    })?;
    let kit = of_text(&text, &path.to_string_lossy())?;
    Ok(Opened {
        signed: signed::read(folder, &kit.id)?,
        kit,
        text,
        folder: folder.to_path_buf(),
    })
}

/// Checks the text of a manifest; faults name it by `name`.
///
/// # Errors
/// [`ReadFault::Manifest`]; faults of the text come all at once.
pub fn of_text(text: &str, name: &str) -> Result<Kit, ReadFault> {
    match kit::read(text, name, &rules::registry::ids()) {
        // Findings name the manifest as the kit's own file, wherever the kit lies.
        Ok(kit) => Ok(Kit {
            file: MANIFEST.to_string(),
            ..kit
        }),
        Err(faults) => Err(ReadFault::Manifest {
            count: faults.len(),
            rendered: kit::render(&faults, text, false),
        }),
    }
}

impl ReadFault {
    /// The outcome it means: a text or name is the request's fault, a disk is not.
    pub fn outcome(&self) -> crate::outcome::Outcome {
        use crate::outcome::Outcome;
        match self {
            ReadFault::Disk(_) => Outcome::Unfinished,
            _ => Outcome::BadRequest,
        }
    }
}
