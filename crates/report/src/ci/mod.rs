//! Views for a build server: SARIF, JUnit, a step's summary, a comment, annotations.
//!
//! They are made of the one verdict and of one tally, so that counts, waivers and the exit code agree in all of
//! them. Every cut that a platform forces is said, with the place of the whole list.

mod annotations;
mod comment;
mod fingerprint;
mod junit;
mod markdown;
mod sarif;
mod sheet;
mod summary;
mod tally;
#[cfg(test)]
mod trial;
mod uri;
mod words;
mod xml;

use findings::{Finding, Level};

pub use annotations::{Room, annotations};
pub use comment::comment;
pub use junit::junit;
pub use sarif::sarif;
pub use summary::{summary, summary_room};
pub use tally::Tally;

use crate::input::Checked;

/// A file that a check looked at.
#[derive(Debug, Clone, PartialEq, Eq, serde::Serialize, serde::Deserialize)]
pub struct CheckedFile {
    /// Path within the kit's folder, forward slashes.
    pub path: String,
    /// SHA-256 of its bytes, lower-case hexadecimal; `None` where it could not be read.
    pub sha256: Option<String>,
}

/// A finished check as a build server is told of it.
#[derive(Clone, Copy)]
pub struct Run<'a> {
    /// The check.
    pub checked: Checked<'a>,
    /// The kit's folder from the repository's root: empty or ending with a slash, forward slashes.
    pub folder: &'a str,
    /// The least level that fails the run.
    pub fail_on: Level,
    /// The exit code of the check.
    pub exit: u8,
    /// The manifest first, then the meshes, each once.
    pub files: &'a [CheckedFile],
    /// The name of the output that holds every finding, such as `report.html`.
    pub whole_list: &'a str,
}

impl Run<'_> {
    /// The manifest from the repository's root.
    fn manifest(&self) -> String {
        format!("{}{}", self.folder, self.checked.kit.file)
    }

    /// The line of the manifest at which a finding is shown: that of its part, 1 for the kit.
    fn line(&self, f: &Finding) -> usize {
        f.parts
            .first()
            .and_then(|p| self.checked.kit.part(&p.id))
            .map_or(1, |part| part.line)
    }

    /// Whether the gate itself did its work on every part.
    fn finished(&self) -> bool {
        let failed = self.checked.facts.iter().any(|f| f.panicked.is_some());
        !failed && !matches!(self.checked.extent, crate::Extent::Incomplete(_))
    }
}

/// A limit of a platform as a count.
fn most(limit: &limits::Limit) -> usize {
    limit.value as usize
}
